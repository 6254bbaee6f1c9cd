package findings

import (
	"fmt"
	"littoral/internal/forecast"
	"littoral/internal/water"
	"math"
	"strings"
)

// most is the highest temperature that what lives in the tank on a day is kept at, °C, and what sets it.
func (v *view) most(day int) (limit float64, who string) {
	limit = math.Inf(1)
	lower := func(t float64, name string) {
		if t > 0 && t < limit {
			limit, who = t, name
		}
	}
	for _, h := range v.load {
		if day >= int(h.stock.From) && day <= h.until {
			lower(h.animal.Temp.Max, h.animal.Name)
		}
	}
	for _, c := range v.crops {
		if day >= c.days[0] && day <= c.days[len(c.days)-1] {
			lower(c.species.Temp.Max, c.species.Name)
		}
	}
	return limit, who
}

// fanAir is the speed of air that a fan across the water makes, m/s (1 to 2, common practice, no source).
const fanAir = 1.0

// overheats finds warm spells in which the water passes what its animals and plants are kept at, with what takes the heat away.
func overheats(v *view) []Finding {
	over := func(d *forecast.Day) bool {
		limit, _ := v.most(d.Day)
		return d.TempC > limit
	}
	first, last, ok := v.days(0, 4, over)
	if !ok {
		return nil
	}
	if set := v.p.Heater; set != nil {
		if limit, _ := v.most(first); float64(set.Set) > limit { // the heater makes it, and other rules say so
			return nil
		}
	}
	worst, spells, days := v.f.Days[first], 0, 0
	for from := 0; ; spells++ {
		a, b, ok := v.days(from, 4, over)
		if !ok {
			break
		}
		for _, d := range v.f.Days[a : b+1] {
			if days++; d.TempC > worst.TempC {
				worst = d
			}
		}
		from = b + 1
	}
	limit, who := v.most(worst.Day)
	room := v.p.RoomOn(worst.Day)
	watts := v.excess(worst.TempC, limit, room)
	because := fmt.Sprintf("It reaches %s %s while the room stands at %s; %s is kept under %s.", number(v.degrees(worst.TempMax)), v.degree(), number(v.degrees(room)), who, number(v.degrees(limit)))
	if spells > 1 {
		because += fmt.Sprintf(" That is %d days in %d warm spells.", days, spells)
	}
	return []Finding{nowhere(Finding{
		Rule: "overheats", Severity: Harm, Day: first, Until: last, Subject: who,
		What:    "The water overheats in the warm months.",
		Because: because + fmt.Sprintf(" Oxygen at dawn is %.1f mg/L.", worst.O2Dawn),
		Do:      v.cool(worst, limit, room, watts),
		Caution: "Cool slowly, under 2 °C a day. Electricity beside water: earth-leakage protection and drip loops; local codes and a licensed electrician decide. " + welfare,
	})}
}

// excess is the heat, W, that must be taken away so that water which stands at t in a room comes down to a limit.
func (v *view) excess(t, limit, room float64) float64 {
	h, damp := v.f.Heat, float64(v.p.Room.Humidity)
	loss := func(t float64) float64 {
		return h.UA*(t-room) + h.Area*water.Evaporation(t, room, damp, 0, h.EvapShare)*water.LatentHeat(t)
	}
	return math.Max(0, loss(t)-loss(limit))
}

// cool says what brings a warm day's water down to a limit: a fan where the room lets it, shorter light, a chiller.
func (v *view) cool(d forecast.Day, limit, room, watts float64) string {
	h, damp := v.f.Heat, float64(v.p.Room.Humidity)
	calm := water.Evaporation(limit, room, damp, 0, h.EvapShare)
	blown := water.Evaporation(limit, room, damp, fanAir, water.UndisturbedPool)
	most := math.Max(0, blown-calm) * h.Area * water.LatentHeat(limit)
	litres := watts / water.LatentHeat(limit) * 86400 // kg a day
	var say []string
	switch {
	case most >= watts && v.p.Tank.Cover == "glass":
		say = append(say, fmt.Sprintf("Take the cover off and blow a fan across the water: %s a day more evaporate and take the %.0f W away that are too many; top up with pure water.", v.vapour(litres), watts))
	case most >= watts:
		say = append(say, fmt.Sprintf("Blow a fan across the water: %s a day more evaporate and take the %.0f W away that are too many; top up with pure water.", v.vapour(litres), watts))
	default:
		say = append(say, fmt.Sprintf("A chiller that takes away %.0f W holds it at %s %s; a fan alone takes %.0f W in this room.", math.Ceil(1.3*watts/10)*10, number(v.degrees(limit)), v.degree(), most))
	}
	if d.LightHours > 0 && d.LampKWh > 0 && h.LampShare > 0 {
		hour := h.LampShare * d.LampKWh / d.LightHours * 1000 / 24 // W over the day
		say = append(say, fmt.Sprintf("Each hour of light less saves %s W over the day: put the light into the cool hours first.", number(hour)))
	}
	return strings.Join(say, " ")
}

// vapour writes a small amount of water.
func (v *view) vapour(litres float64) string {
	if litres >= 10 {
		return v.litres(litres)
	}
	if v.us() {
		return number(litres*galPerLitre) + " gal"
	}
	return number(litres) + " L"
}

// heaterSmall finds cold spells that the heater cannot make up.
func heaterSmall(v *view) []Finding {
	h := v.p.Heater
	if h == nil || h.Power <= 0 {
		return nil
	}
	set, full := float64(h.Set), float64(h.Power)*24/1000
	first, last, ok := v.days(3, 5, func(d *forecast.Day) bool { return d.TempC < set-1 && d.HeaterKWh > 0.9*full })
	if !ok {
		return nil
	}
	worst := v.f.Days[first]
	for _, d := range v.f.Days[first : last+1] {
		if d.TempC < worst.TempC {
			worst = d
		}
	}
	room := v.p.RoomOn(worst.Day)
	need := float64(h.Power) + v.excess(set, worst.TempC, room)
	return []Finding{nowhere(Finding{
		Rule: "heater-small", Severity: Look, Day: first, Until: last, Subject: "heater", Where: "heater",
		What:    "The heater is too small for the cold months.",
		Because: fmt.Sprintf("It runs day and night and the water still falls to %s %s where %s are set, in a room of %s; holding it takes %.0f W, and %.0f W are there.", number(v.degrees(worst.TempC)), v.degree(), number(v.degrees(set)), number(v.degrees(room)), need, float64(h.Power)),
		Do:      fmt.Sprintf("Take %.0f W in all, in two heaters, or cover the tank: most of the heat leaves as vapour.", math.Ceil(1.4*need/50)*50),
		Caution: "Electricity beside water: earth-leakage protection, drip loops, heaters off before their water is drained. Local codes and a licensed electrician decide.",
	})}
}
