package findings

import (
	"fmt"
	"littoral/internal/forecast"
	"littoral/internal/plan"
	"littoral/internal/water"
	"math"
)

// welfare goes with every number that an animal's life hangs on.
const welfare = "Animals suffer before a number looks alarming: watch them breathe, act on what you see, and ask a vet who treats fish when in doubt."

func (h herd) shrimp() bool { return h.animal.Kind == "shrimp" }

// ammoniaAndNitrite looks at the days on which animals are in the tank, and at their first day above all. One day at the alarm is a
// reading; two in a row are trouble.
func ammoniaAndNitrite(v *view) []Finding {
	var out []Finding
	for _, h := range v.load {
		limit := v.house.Nitrite["fish"]
		if h.shrimp() {
			limit = v.house.Nitrite["shrimp"]
		}
		from := max(0, int(h.stock.From))
		bad := func(d *forecast.Day) bool { return d.NO2 > limit || d.NH3N > v.house.Ammonia }
		first, last, ok := v.days(from, 2, bad)
		if !ok || first > h.until {
			continue
		}
		worst := v.f.Days[first]
		for _, d := range v.f.Days[first : min(last, h.until)+1] {
			if d.NO2/limit+d.NH3N/v.house.Ammonia > worst.NO2/limit+worst.NH3N/v.house.Ammonia {
				worst = d
			}
		}
		cause := "nitrite"
		reason := fmt.Sprintf("Nitrite reaches %.2f mg/L where %s bear %.2g; the un-ionised share of %.2f mg/L ammonium is only %.3f mg/L at pH %.1f.", worst.NO2, plural(h.animal.Kind), limit, worst.NH4, worst.NH3N, worst.PHDusk)
		if worst.NH3N/v.house.Ammonia > worst.NO2/limit {
			cause = "ammonia"
			reason = fmt.Sprintf("Un-ionised ammonia reaches %.3f mg/L as N (alarm %.2g) from %.2f mg/L ammonium at pH %.1f; nitrite is %.2f mg/L.", worst.NH3N, v.house.Ammonia, worst.NH4, worst.PHDusk, worst.NO2)
		}
		safe := v.safeFrom(from, limit)
		do := "Change 50 to 70 % every second day with water of the same KH, bring ripe filter media, keep the light short, and take the animals out meanwhile if it can be done."
		if safe > from && safe < v.f.Length {
			do = fmt.Sprintf("Wait with them until day %d, when both have stayed under their alarms for three days; until then change 50 to 70 %% every second day with water of the same KH and bring ripe filter media.", safe)
		}
		out = append(out, nowhere(Finding{
			Rule: "nitrogen-" + cause, Severity: Danger, Day: first, Until: min(last, h.until), Subject: h.animal.Name,
			What:    fmt.Sprintf("%s meet %s.", h.animal.Name, cause),
			Because: reason, Do: do, Caution: welfare,
		}))
	}
	return out
}

// safeFrom is the first day from which ammonium and nitrite stay under 0.05 mg/L and their alarms for three days.
func (v *view) safeFrom(day int, nitrite float64) int {
	first, _, ok := v.days(max(0, day), 3, func(d *forecast.Day) bool {
		return d.NO2 <= math.Min(nitrite, 0.1) && d.NH3N <= v.house.Ammonia && d.NH4 <= 0.1
	})
	if !ok {
		return v.f.Length
	}
	return first + 3
}

// firstWeeks is the stretch in which a new filter's ammonium and nitrite come and go, days: twice the six weeks of practice.
const firstWeeks = 84

// Spell is a span of days.
type Spell struct{ From, Until int }

// Safe tells from when a forecast's water is fit for animals: the first day from which un-ionised ammonia and nitrite stay under the house's alarms
// and ammonium under 0.1 mg/L (the first step of a test kit) to the end of the first twelve weeks; Day is -1 when that is not reached a week before the
// forecast ends. Again lists later spells of two days or more in which they stand over, as after a lost filter.
type Safe struct {
	Day   int
	Again []Spell
}

// SafeFor returns from when the water is fit for a kind of animal that the house has a nitrite alarm for: fish or shrimp; others count as fish.
func SafeFor(f *forecast.Forecast, kind string) Safe {
	v := &view{f: f, house: plan.DefaultHouse()}
	if f.Plan != nil && f.Plan.House != nil {
		v.house = f.Plan.House
	}
	nitrite, ok := v.house.Nitrite[kind]
	if !ok {
		nitrite = v.house.Nitrite["fish"]
	}
	over := func(d *forecast.Day) bool {
		return d.NO2 > nitrite || d.NH3N > v.house.Ammonia || d.NH4 > 0.1
	}
	var s Safe
	for i := range f.Days {
		if d := &f.Days[i]; d.Day <= firstWeeks && over(d) {
			s.Day = d.Day + 1
		}
	}
	if s.Day > f.Length-7 {
		return Safe{Day: -1}
	}
	for from := max(s.Day, firstWeeks+1); ; {
		first, last, ok := v.days(from, 2, over)
		if !ok {
			return s
		}
		s.Again = append(s.Again, Spell{first, last})
		from = last + 1
	}
}

func plural(kind string) string {
	if kind == "fish" || kind == "shrimp" {
		return kind
	}
	return kind + "s"
}

// co2AndAnimals compares the day's highest CO2 with what the animals in the tank bear.
func co2AndAnimals(v *view) []Finding {
	var out []Finding
	for _, h := range v.load {
		limit := h.animal.CO2Max
		if limit <= 0 {
			limit = v.house.CO2Limit.House
		}
		first, last, ok := v.days(max(0, int(h.stock.From)), 1, func(d *forecast.Day) bool { return d.CO2Max > 1.05*limit })
		if !ok || first > h.until {
			continue
		}
		high := 0.0
		for _, d := range v.f.Days[first : min(last, h.until)+1] {
			high = math.Max(high, d.CO2Max)
		}
		severity := Harm
		if high > math.Max(v.house.CO2Limit.High, 1.3*limit) {
			severity = Danger
		}
		out = append(out, nowhere(Finding{
			Rule: "co2-high", Severity: severity, Day: first, Until: min(last, h.until), Subject: h.animal.Name,
			What:    fmt.Sprintf("CO2 is too high for %s.", h.animal.Name),
			Because: fmt.Sprintf("It reaches %.0f mg/L; this species is kept under %.0f (the house's limit is %.0f, published ones run from %.0f to %.0f). Lowest oxygen that day %.1f mg/L.", high, limit, v.house.CO2Limit.House, v.house.CO2Limit.Low, v.house.CO2Limit.High, v.f.Days[first].O2Dawn),
			Do:      fmt.Sprintf("Set the gas to %.0f mg/L, end it with the light, ripple the surface, and watch them for an hour after lights-on.", limit),
			Caution: "Pressurised gas: keep the cylinder upright and fixed, air closed rooms, and follow local rules. " + welfare,
		}))
	}
	return out
}

// oxygenAtDawn finds nights that end short of oxygen.
func oxygenAtDawn(v *view) []Finding {
	short := func(d *forecast.Day) bool { return d.O2Dawn < v.house.OxygenMin }
	begins, _, ok := v.days(0, 2, short)
	if !ok {
		return nil
	}
	// The worst of all such stretches is told; the first is named beside it.
	first, last, low := 0, 0, math.Inf(1)
	for from := 0; ; {
		a, b, ok := v.days(from, 2, short)
		if !ok {
			break
		}
		for _, d := range v.f.Days[a : b+1] {
			if d.O2Dawn < low {
				first, last, low = a, b, d.O2Dawn
			}
		}
		from = b + 1
	}
	since := ""
	if begins < first {
		since = fmt.Sprintf(" It first ran short on day %d.", begins)
	}
	severity := Look
	who := "water"
	for _, h := range v.load {
		if int(h.stock.From) <= last && h.until >= first {
			severity, who = Harm, h.animal.Name
			if low < 3.5 {
				severity = Danger
			}
			break
		}
	}
	d := v.f.Days[first]
	return []Finding{nowhere(Finding{
		Rule: "oxygen-low", Severity: severity, Day: first, Until: last, Subject: who,
		What:    "Oxygen is low at dawn.",
		Because: fmt.Sprintf("It falls to %.1f mg/L before light (the house asks for %.1f); the day before it stood at %.1f. Plants, animals and decay breathe all night at %.1f %s.%s", low, v.house.OxygenMin, d.O2Dusk, v.degrees(d.TempC), v.degree(), since),
		Do:      "Lift the outlet so that the surface ripples at night, stop the gas with the light, siphon detritus, and stock less.",
		Caution: welfare,
	})}
}

// animalsOutOfWater compares each species' ranges with the water it lives in.
func animalsOutOfWater(v *view) []Finding {
	var out []Finding
	for _, h := range v.load {
		from := max(0, int(h.stock.From))
		if from > h.until {
			continue
		}
		type span struct {
			name, unit string
			value      func(d *forecast.Day) float64
			lo, hi     float64
			slack      float64
		}
		a := h.animal
		for _, r := range []span{
			{"temperature", v.degree(), func(d *forecast.Day) float64 { return v.degrees(d.TempC) }, v.degrees(a.Temp.Min), v.degrees(a.Temp.Max), v.step(0.3)},
			{"pH", "", func(d *forecast.Day) float64 { return (d.PHDawn + d.PHDusk) / 2 }, a.PH.Min, a.PH.Max, 0.1},
			{"hardness", "°dH", func(d *forecast.Day) float64 { return d.GH }, a.GH.Min, a.GH.Max, 0.5},
		} {
			if r.hi <= 0 {
				continue
			}
			first, last, ok := v.days(from, 10, func(d *forecast.Day) bool { x := r.value(d); return x < r.lo-r.slack || x > r.hi+r.slack })
			if !ok || first > h.until {
				continue
			}
			mean := v.mean(first, min(last, h.until), r.value)
			out = append(out, nowhere(Finding{
				Rule: "animal-water", Severity: Harm, Day: first, Until: min(last, h.until), Subject: a.Name,
				What:    fmt.Sprintf("%s needs other water: its %s does not fit.", a.Name, r.name),
				Because: fmt.Sprintf("The tank holds %s %s; the species is kept at %s to %s.", number(mean), withUnit(r.unit), number(r.lo), join(number(r.hi), r.unit)),
				Do:      "Choose animals for the water you will run, or change the water's recipe before they come.",
			}))
		}
	}
	return out
}

// animalsTooEarly looks at the earliest week the trade gives for a species.
func animalsTooEarly(v *view) []Finding {
	var out []Finding
	for _, h := range v.load {
		if v.p.Found != nil {
			continue
		}
		earliest := 7 * h.animal.EarlyWeek
		if from := int(h.stock.From); from < earliest-3 {
			out = append(out, nowhere(Finding{
				Rule: "animal-early", Severity: Look, Day: max(0, from), Until: earliest, Subject: h.animal.Name,
				What:    fmt.Sprintf("%s come early.", h.animal.Name),
				Because: fmt.Sprintf("They are due on day %d; the trade adds them from week %d on (common practice).", from, h.animal.EarlyWeek),
				Do:      fmt.Sprintf("Move them to week %d, when films and food are there and the water has settled.", h.animal.EarlyWeek),
			}))
		}
	}
	return out
}

func animalsEatPlants(v *view) []Finding {
	var out []Finding
	for _, h := range v.load {
		if !h.animal.EatsPlants {
			continue
		}
		out = append(out, nowhere(Finding{
			Rule: "animal-plants", Severity: Look, Day: max(0, int(h.stock.From)), Until: h.until, Subject: h.animal.Name,
			What:    fmt.Sprintf("%s harm plants.", h.animal.Name),
			Because: fmt.Sprintf("What they do: %s.", h.animal.Plants),
			Do:      "Leave them out of a tank with soft or freshly planted species, or add them once roots hold.",
		}))
	}
	return out
}

func smallGroups(v *view) []Finding {
	var out []Finding
	count := map[string]int{}
	for _, h := range v.load {
		count[h.animal.Name] += h.stock.Count
	}
	done := map[string]bool{}
	for _, h := range v.load {
		if done[h.animal.Name] || count[h.animal.Name] >= h.animal.GroupMin {
			continue
		}
		done[h.animal.Name] = true
		out = append(out, nowhere(Finding{
			Rule: "animal-group", Severity: Look, Day: max(0, int(h.stock.From)), Until: h.until, Subject: h.animal.Name,
			What:    fmt.Sprintf("The group of %s is too small.", h.animal.Name),
			Because: fmt.Sprintf("%d are planned; the species is kept in groups of %d or more.", count[h.animal.Name], h.animal.GroupMin),
			Do:      fmt.Sprintf("Plan %d, or another species.", h.animal.GroupMin),
		}))
	}
	return out
}

// animalLoad says in numbers what the animals ask of filter, plants and oxygen, when that is more than they carry.
func animalLoad(v *view) []Finding {
	if len(v.load) == 0 {
		return nil
	}
	net := v.f.Model.Facts.NetWaterL
	if net <= 0 {
		return nil
	}
	fed := 0.0
	for _, f := range v.p.Feeding {
		fed = math.Max(fed, float64(f.DryFood)*86400*1000*float64(f.Protein))
	}
	start := v.f.Length
	for _, h := range v.load {
		start = min(start, max(0, int(h.stock.From)))
	}
	from := min(len(v.f.Days)-1, start+60)
	tan := water.FeedAmmonia(fed, 1) * 1000 / net // mg N/L a day
	uptake := v.mean(from, len(v.f.Days)-1, func(d *forecast.Day) float64 { return d.UptakeNWater }) / net
	rise := v.nitrateRise(from)
	var out []Finding
	if tan > 0.3 && tan > 1.5*uptake && rise > 0 {
		out = append(out, nowhere(Finding{
			Rule: "load-nitrogen", Severity: Harm, Day: start, Until: v.f.Length, Subject: "livestock",
			What:    "The animals bring more nitrogen than the plants carry off.",
			Because: fmt.Sprintf("Their food gives %.2f mg/L of ammonium nitrogen a day, the plants take %.2f from the water; nitrate stands at %.0f mg/L by the end.", tan, uptake, v.f.Days[len(v.f.Days)-1].NO3),
			Do:      "Feed less, keep fewer, or change more water; count the food before the animals.",
		}))
	}
	first, last, ok := v.days(start, 3, func(d *forecast.Day) bool { return d.O2Dawn < v.house.OxygenMin })
	if ok {
		breath := 0.0
		for _, h := range v.load {
			breath += h.animal.MassG.Value * float64(h.stock.Count)
		}
		out = append(out, nowhere(Finding{
			Rule: "load-oxygen", Severity: Harm, Day: first, Until: last, Subject: "livestock",
			What:    "The animals and the night use more oxygen than the surface brings.",
			Because: fmt.Sprintf("%.0f g of grown animals in %s; oxygen falls to %.1f mg/L at dawn.", breath, v.litres(net), v.f.Days[first].O2Dawn),
			Do:      "Keep fewer, ripple the surface at night, stop the gas with the light.", Caution: welfare,
		}))
	}
	return out
}

// nitrateRise is the rise of nitrate, mg/L, from a day to the end.
func (v *view) nitrateRise(from int) float64 {
	n := len(v.f.Days)
	if from >= n-30 {
		return 0
	}
	return v.mean(n-30, n-1, func(d *forecast.Day) float64 { return d.NO3 }) - v.mean(from, from+29, func(d *forecast.Day) float64 { return d.NO3 })
}

// number writes a value with no more digits than it is true to.
func number(x float64) string {
	switch a := math.Abs(x); {
	case a >= 100:
		return fmt.Sprintf("%.0f", x)
	case a >= 10:
		return trim0(fmt.Sprintf("%.1f", x))
	case a > 0 && a < 0.001:
		return "under 0.001"
	}
	return trim0(fmt.Sprintf("%.2g", x))
}

func trim0(s string) string {
	if len(s) > 2 && s[len(s)-2:] == ".0" {
		return s[:len(s)-2]
	}
	return s
}

func withUnit(u string) string {
	if u == "" {
		return "on the mean"
	}
	return u + " on the mean"
}

func join(s, u string) string {
	if u == "" {
		return s
	}
	return s + " " + u
}
