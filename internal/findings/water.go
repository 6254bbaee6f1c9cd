package findings

import (
	"fmt"
	"littoral/internal/forecast"
	"math"
)

// suddenChange finds days on which the water jumps so that sensitive plants dissolve or animals are shocked. The trade keeps
// refills within 2 °C; a jump of 3 °dH of carbonate hardness or 3 °C within two days is called sudden (common practice).
func suddenChange(v *view) []Finding {
	const jumpKH, jumpC = 3.0, 3.0
	start := math.NaN()
	if rd := v.found(); rd != nil && rd.Alkalinity != nil {
		start = float64(*rd.Alkalinity) / meqPerDH
	}
	first, last, times := -1, -1, 0
	var hard, warm float64 // the largest jumps
	var kh0At, khAt float64
	warmAt := 0
	for i := range v.f.Days {
		d := v.f.Days[i]
		kh0, t0 := d.KH, d.TempC // nothing to compare the first two days of a new tank with
		switch {
		case i >= 2:
			kh0, t0 = v.f.Days[i-2].KH, v.f.Days[i-2].TempC
		case !math.IsNaN(start):
			kh0 = start
		}
		dKH, dT := d.KH-kh0, math.Max(d.TempMax-t0, t0-d.TempMin)
		// The first weeks change most of the water every other day on purpose; only their temperature counts.
		if v.p.Found == nil && i < 28 {
			dKH = 0
		}
		if math.Abs(dKH) < jumpKH && dT < jumpC {
			continue
		}
		if first < 0 {
			first = i
		}
		if i > last+1 {
			times++
		}
		last = i
		if math.Abs(dKH) > math.Abs(hard) {
			hard, kh0At, khAt = dKH, kh0, d.KH
		}
		if dT > warm {
			warm, warmAt = dT, i
		}
	}
	if first < 0 {
		return nil
	}
	var parts []string
	if math.Abs(hard) >= jumpKH {
		parts = append(parts, fmt.Sprintf("carbonate hardness goes from %.1f to %.1f dKH", kh0At, khAt))
	}
	if warm >= jumpC {
		parts = append(parts, fmt.Sprintf("temperature moves by %.1f %s", v.step(warm), v.degree()))
	}
	because := title(list(parts, 2)) + " within two days"
	if times > 1 {
		because += fmt.Sprintf(", %d times in all", times)
	}
	f := Finding{
		Rule: "sudden-change", Severity: Harm, Day: first, Until: max(last, first+28), Subject: "water", X: -1, Y: -1, Where: "water",
		What:    "The water changes suddenly.",
		Because: because + ".",
		Do:      fmt.Sprintf("Blend and warm the change water to within 1 dKH and %.0f %s of the tank, and take smaller shares until the two agree.", v.step(2), v.degree()),
	}
	if warm >= jumpC {
		f.Do += v.tempered(warmAt, warm)
	}
	for _, c := range v.crops {
		if c.species.Melt == "high" {
			f.Subject, f.X, f.Y, f.Where = c.species.Name, c.x, c.y, v.where(c.x, c.y)
			f.What = fmt.Sprintf("%s will melt after a sudden change of water.", c.species.Name)
			f.Do += " Take off the slush, keep the light and the KH still and leave the roots: new leaves come in 2 to 4 weeks."
			break
		}
	}
	return []Finding{f}
}

// hose is the flow of a garden hose, L/min (10 to 15, common practice, no source); safeStep the jump that refills are kept within, °C.
const (
	hose     = 12.0
	safeStep = 2.0
)

// tempered says how large a change may be when the water of day i moved by dT, how long the refill takes and how long the heater needs.
func (v *view) tempered(i int, dT float64) string {
	litres := v.f.Days[i].ChangedL
	for back := i - 1; back >= max(0, i-2) && litres == 0; back-- {
		litres = v.f.Days[back].ChangedL
	}
	net := v.f.Model.Facts.NetWaterL
	if litres <= 0 || net <= 0 {
		return "" // no change of water made it
	}
	share := math.Min(1, litres/net)
	s := fmt.Sprintf(" With water as cold as this, at most %.0f %% at once keeps the jump under %.0f %s; the %s of this change run in within %.0f minutes from a hose of %s a minute, so let them in over hours", math.Floor(100*share*safeStep/dT), v.step(safeStep), v.degree(), v.litres(litres), litres/hose, v.litres(hose))
	if h := v.p.Heater; h != nil && h.Power > 0 {
		const heat = 4.181 // kJ/(kg K), water near 25 °C
		s += fmt.Sprintf("; the heater takes %.1f hours to make them up", dT*net*heat/3.6/float64(h.Power))
	}
	return s + "."
}

// meqPerDH: 1 °dH of carbonate hardness is 10 mg CaO/L, 0.356652 meq/L.
const meqPerDH = 0.356652

// nutrient is a dissolved nutrient with the standing range the trade keeps in a planted tank; the low ends are where leaves show it.
type nutrient struct {
	name, rule  string
	value       func(d *forecast.Day) float64
	low, high   float64 // mg/L; the trade's standing ranges: NO3 10–30 (1–5 lean), PO4 0.5–2, K 5–30, Fe 0.1–0.5; common practice
	limit       func(c *crop, i int) float64
	sign        string
	cure, lower string
}

var nutrients = []nutrient{
	{
		"nitrate", "nitrogen", func(d *forecast.Day) float64 { return d.NO3 }, 2, 40, func(c *crop, i int) float64 { return c.limits[i].N },
		"old leaves pale all over", "Dose potassium or calcium nitrate until 5 to 10 mg/L stand before each change.", "Dose less nitrate, feed less, or change more water.",
	},
	{
		"phosphate", "phosphorus", func(d *forecast.Day) float64 { return d.PO4 }, 0.05, 3, func(c *crop, i int) float64 { return c.limits[i].P },
		"dark, small leaves and hard green dots on glass and slow leaves", "Dose phosphate, 0.3 to 0.5 mg/L three times a week, to a standing 0.5 to 1.", "Dose less phosphate and feed less.",
	},
	{
		"potassium", "potassium", func(d *forecast.Day) float64 { return d.K }, 4, 60, func(c *crop, i int) float64 { return c.limits[i].K },
		"pinholes with yellow rims in old leaves", "Bring potassium to 10 to 15 mg/L over five days, then dose what a week takes.", "Dose less potassium.",
	},
	{
		"iron", "iron", func(d *forecast.Day) float64 { return d.Fe }, 0.02, 1, func(c *crop, i int) float64 { return c.limits[i].Fe },
		"pale new leaves with green veins", "Dose a stable chelate daily in small amounts, to 0.05 to 0.1 mg/L.", "Dose less iron.",
	},
}

// heldBack is the nutrient factor under which leaves show what they lack: at the critical tissue content (Gerloff & Krombholz
// 1966, from memory) growth is down to a third or a half, and signs come a little before.
const heldBack = 0.65

// nutrientsShort finds nutrients that run out in the water and hold plants back.
func nutrientsShort(v *view) []Finding {
	var out []Finding
	for _, n := range nutrients {
		if n.rule == "iron" && v.hardIron() {
			continue // ironFallsOut names the cause
		}
		// A nutrient is short when the water is empty of it and plants stand still for it; either alone is no trouble.
		first, last, ok := v.days(v.settled(), 14, func(d *forecast.Day) bool { return n.value(d) < n.low })
		if !ok {
			continue
		}
		var worst *crop
		least, held, all := 1.0, 0.0, 0.0
		for _, c := range v.crops {
			for i, day := range c.days {
				if day < first || day > last+7 {
					continue
				}
				all += c.shoot[i]
				if f := n.limit(c, i); f < heldBack {
					held += c.shoot[i]
					if f < least {
						least, worst = f, c
					}
				}
			}
		}
		if worst == nil || all == 0 || held/all < 0.15 {
			continue
		}
		mean := v.mean(first, last, n.value)
		f := Finding{
			Rule: n.rule + "-short", Severity: Harm, Day: first, Until: last,
			What:    fmt.Sprintf("%s runs short in the water.", title(n.name)),
			Because: fmt.Sprintf("It stands at %s mg/L; %s grows at %.0f %% of what light and carbon allow, and %.0f %% of the leaf mass is held back. Sign: %s.", number(mean), worst.species.Name, 100*least, 100*held/all, n.sign),
			Do:      n.cure,
		}
		out = append(out, v.at(worst, f))
	}
	return out
}

// settled is the day from which nutrients and light count: the first weeks have their own rules, a tank as found has none.
func (v *view) settled() int {
	if v.p.Found != nil {
		return 0
	}
	return 28
}

func nutrientsHigh(v *view) []Finding {
	var out []Finding
	for _, n := range nutrients {
		first, last, ok := v.days(v.settled(), 21, func(d *forecast.Day) bool { return n.value(d) > n.high })
		if !ok {
			continue
		}
		mean := v.mean(first, last, n.value)
		out = append(out, nowhere(Finding{
			Rule: n.rule + "-high", Severity: Look, Day: first, Until: last, Subject: "water",
			What:    fmt.Sprintf("%s builds up.", title(n.name)),
			Because: fmt.Sprintf("It stands at %s mg/L on the mean; the trade stays under %s.", number(mean), number(n.high)),
			Do:      n.lower,
		}))
	}
	return out
}

// hardIron tells whether the water's pH and hardness break weak chelates: pH at lights-on over 7.2 and KH over 8.
func (v *view) hardIron() bool {
	from := v.settled()
	if len(v.f.Days) <= from {
		return false
	}
	last := min(len(v.f.Days)-1, from+60)
	return v.mean(from, last, func(d *forecast.Day) float64 { return d.PHDawn }) > 7.2 &&
		v.mean(from, last, func(d *forecast.Day) float64 { return d.KH }) > 8
}

// ironFallsOut names the water as the cause when iron is short in hard, alkaline water.
func ironFallsOut(v *view) []Finding {
	if !v.hardIron() {
		return nil
	}
	first, last, ok := v.days(v.settled(), 7, func(d *forecast.Day) bool { return d.Fe < 0.03 })
	if !ok {
		return nil
	}
	worst, least := (*crop)(nil), 0.9
	for _, c := range v.crops {
		for i, day := range c.days {
			if day >= first && day <= last+7 && c.limits[i].Fe < least {
				worst, least = c, c.limits[i].Fe
			}
		}
	}
	if worst == nil {
		return nil
	}
	d := v.f.Days[first]
	return []Finding{v.at(worst, Finding{
		Rule: "iron-falls-out", Severity: Harm, Day: first, Until: last,
		What: "Iron falls out of hard, alkaline water.",
		Because: fmt.Sprintf("pH %.1f at lights-on and %.0f dKH break a weak chelate within a day or two: %s mg/L iron is left, while nitrate stands at %.0f. New leaves of %s turn pale with green veins.",
			d.PHDawn, d.KH, number(d.Fe), d.NO3, worst.species.Name),
		Do: "Use a chelate that holds at high pH, 0.1 mg/L a day in small doses, and blend the change water to 4 or 5 dKH; new tips are green again in 10 to 14 days, old pale leaves stay pale.",
	})}
}

// carbonShort finds plants that ask for CO2 and do not get it.
func carbonShort(v *view) []Finding {
	var out []Finding
	for _, c := range v.crops {
		if c.species.CO2 != "required" && c.species.CO2 != "recommended" {
			continue
		}
		first, last, ok := c.span(v.settled(), 4, func(i int) bool { return c.limits[i].CO2 < 0.45 && c.limits[i].CO2 < c.limits[i].Light })
		if !ok {
			continue
		}
		co2 := v.mean(c.days[first], c.days[last], func(d *forecast.Day) float64 { return d.CO2On })
		severity := Look
		if c.species.CO2 == "required" {
			severity = Harm
		}
		out = append(out, v.at(c, Finding{
			Rule: "co2-short", Severity: severity, Day: c.days[first], Until: c.days[last],
			What:    fmt.Sprintf("%s lacks CO2.", c.species.Name),
			Because: fmt.Sprintf("Over the light hours the water holds %s mg/L; the species grows at %.0f %% of what its light allows, and added CO2 is %s for it.", number(co2), 100*c.limits[first].CO2, c.species.CO2),
			Do:      "Inject CO2 to 20 to 30 mg/L from two hours before light, or choose a species that does without.", Caution: "Pressurised gas: keep the cylinder upright and fixed, air closed rooms, and follow local rules.",
		}))
	}
	return out
}

// filterFlow compares the real turnover with the house's rule, when new and when loaded.
func filterFlow(v *view) []Finding {
	flow := 0.0
	for _, f := range v.p.Filter {
		flow += float64(f.Flow) * 3600 * 1000 * float64(f.Real)
	}
	net := v.f.Model.Facts.NetWaterL
	if net <= 0 {
		return nil
	}
	turns := flow / net
	band := v.house.Turnover
	var out []Finding
	if low := band.Low; turns < math.Max(1, 0.6*band.House) && turns < band.House {
		severity := Look
		if turns < low {
			severity = Harm
		}
		out = append(out, nowhere(Finding{
			Rule: "flow-small", Severity: severity, Day: 0, Until: v.f.Length, Subject: "filter", Where: "filter",
			What:    "The filter moves too little water.",
			Because: fmt.Sprintf("About %s/h of real flow pass %s of water %.1f times an hour; the house's rule is %.0f, published rules run from %.0f to %.0f.", v.litres(flow), v.litres(net), turns, band.House, band.Low, band.High),
			Do:      fmt.Sprintf("Add a pump or a second filter: %s/h on the label.", v.litres(band.House*net/0.65)),
		}))
	}
	first, last, ok := v.days(0, 10, func(d *forecast.Day) bool { return d.Flow < 0.6 && d.Flow > 0 })
	if ok {
		out = append(out, nowhere(Finding{
			Rule: "flow-clogged", Severity: Look, Day: first, Until: last, Subject: "filter", Where: "filter",
			What:    "The filter clogs.",
			Because: fmt.Sprintf("Its flow falls to %.0f %% of new; the trade cleans under 70 %%. %s", 100*v.mean(first, last, func(d *forecast.Day) float64 { return d.Flow }), v.corner(first, last)),
			Do:      "Rinse prefilter and media in tank water, every 4 to 8 weeks.",
		}))
	}
	return out
}

// corner says what a clogged filter leaves of the gas far from its outlet.
func (v *view) corner(first, last int) string {
	mean := v.mean(first, last, func(d *forecast.Day) float64 { return d.CO2On })
	if mean < 5 { // no gas is given: there is nothing to share out
		return "Dead corners and tufts on old leaves follow."
	}
	far := v.mean(first, last, func(d *forecast.Day) float64 { return d.CO2Corner })
	return fmt.Sprintf("In the corner farthest from the outlet about %.0f mg/L of CO2 are left where the tank's mean is %.0f; tufts on old leaves follow.", far, mean)
}

// floorLoad says what stands on the floor; it never judges a floor.
func floorLoad(v *view) []Finding {
	facts := v.f.Model.Facts
	kPa := facts.LoadPa / 1000
	f := Finding{
		Rule: "floor-load", Severity: Note, Day: 0, Until: v.f.Length, When: "when filled", Where: "floor", Subject: "tank",
		What:    "The floor has to carry the filled tank.",
		Because: fmt.Sprintf("%s stand on %s: %s under the footprint.", v.kg(facts.FilledKG), v.area(facts.FootprintM2), v.pressure(facts.LoadPa)),
		Do:      "Give this number to the building's engineer before the tank is ordered.",
		Caution: "An estimate, not a certificate. Local building codes and a licensed engineer decide what a floor carries; the glass is its maker's to size.",
	}
	if fl := v.p.Room.Floor; fl != nil && fl.AllowedLoad > 0 {
		allowed := float64(fl.AllowedLoad) / 1000
		f.Because += fmt.Sprintf(" The plan states %s for this floor.", v.pressure(1000*allowed))
		if kPa > allowed {
			f.Severity = Danger
			f.What = "The filled tank is heavier on its footprint than the floor's stated load."
			f.Do = "Have an engineer spread the load or confirm beams and span before anything is filled."
		}
	}
	return []Finding{nowhere(f)}
}

// regions repeats what the catalogue knows of bans where the tank stands.
func regions(v *view) []Finding {
	var out []Finding
	done := map[string]bool{}
	for _, c := range v.crops {
		if done[c.species.Name] {
			continue
		}
		done[c.species.Name] = true
		for _, n := range c.species.Notices {
			for _, region := range v.p.Region {
				if !sameRegion(n.Region, region) {
					continue
				}
				severity := Look
				if n.Status == "banned" {
					severity = Harm
				}
				out = append(out, v.at(c, Finding{
					Rule: "region", Severity: severity, Day: c.days[0], Until: v.f.Length,
					What:    fmt.Sprintf("%s is %s in %s.", c.species.Name, n.Status, n.Region),
					Because: fmt.Sprintf("Noted %s; lists change.", n.Noted),
					Do:      "Check the current local list and take a species that is allowed.",
					Caution: "Never release plants, animals or tank water into the wild; trimmings go into dry waste, not into a drain.",
				}))
			}
		}
	}
	return out
}

func sameRegion(notice, region string) bool {
	return len(notice) >= len(region) && len(region) > 0 && notice[:len(region)] == region
}

func title(s string) string {
	if s == "" {
		return s
	}
	return string(s[0]-'a'+'A') + s[1:]
}
