package findings

import (
	"fmt"
	"littoral/internal/forecast"
	"littoral/internal/plan"
	"littoral/internal/soil"
	"math"
	"strings"
)

// shortMonths is how little supply a patch may have left before the trade feeds it; one round of plain tablets lasts two to four
// months, so a patch under two is due (common practice).
const shortMonths = forecast.ShortMonths

// rootZoneShort finds the first day on which a patch of bed runs down and where, and says how many tablets cure it.
func rootZoneShort(v *view) []Finding {
	cols := v.f.Columns
	var first *forecast.Snapshot
	var short []forecast.Patch
	rooted := 0
	for i := range v.f.Snapshots {
		s := &v.f.Snapshots[i]
		if s.Day < grown && v.p.Found == nil {
			continue
		}
		short = short[:0]
		rooted = 0
		for _, p := range s.Soil {
			if p.Months < 999 {
				rooted++
			}
			if p.Months < shortMonths {
				short = append(short, p)
			}
		}
		if rooted > 0 && len(short) >= max(3, rooted/20) {
			first = s
			break
		}
	}
	if first == nil {
		return nil
	}
	// How long it stays so: until fewer than half as many patches are short.
	until := v.f.Length
	for i := range v.f.Snapshots {
		s := &v.f.Snapshots[i]
		if s.Day <= first.Day {
			continue
		}
		n := 0
		for _, p := range s.Soil {
			if p.Months < shortMonths {
				n++
			}
		}
		if 2*n < len(short) {
			until = s.Day
			break
		}
	}
	var x, y, depth, area float64
	byNutrient := map[string]int{}
	for _, p := range short {
		px := (float64(p.Column%cols.NX) + 0.5) * cols.Cell
		py := (float64(p.Column/cols.NX) + 0.5) * cols.Cell
		x += px / float64(len(short))
		y += py / float64(len(short))
		for l := range cols.Layers {
			depth += cols.Depth[l][p.Column] / float64(len(short))
		}
		area += cols.Area[p.Column]
		byNutrient[p.Short]++
	}
	what := "nitrogen"
	if byNutrient["phosphorus"] > byNutrient["nitrogen"] {
		what = "phosphorus"
	}
	// The place is that of the short patch nearest their mean, so that a ring never sits on a stone between two edges.
	best := math.Inf(1)
	bx, by := x, y
	for _, p := range short {
		px := (float64(p.Column%cols.NX) + 0.5) * cols.Cell
		py := (float64(p.Column/cols.NX) + 0.5) * cols.Cell
		if d := math.Hypot(px-x, py-y); d < best {
			best, bx, by = d, px, py
		}
	}
	tablets := int(math.Ceil(area / perTablet))
	// Patches that are empty from the start, of inert material, are the usual case in a bare bed and no surprise.
	severity := Look
	stalled := v.rootFeedersHeld(first.Day)
	if stalled != "" {
		severity = Harm
	}
	because := fmt.Sprintf("%d of %d rooted patches (%s, %s of bed on the mean) hold %s for less than %.0f months.", len(short), rooted, v.area(area), v.cm(depth), what, shortMonths)
	if stalled != "" {
		because += " " + stalled
	}
	due := v.tabletsDue()
	do := fmt.Sprintf("Push %d plain root tablets into the thin patches, %s apart, and again every 3 months; coated ones once a year.", tablets, v.cm(0.12))
	if len(due) > 0 {
		do = fmt.Sprintf("Push plain root tablets in where patches thin out, %s apart, and again every 3 months, or coated ones once a year: %s.", v.cm(0.12), dueText(due))
	}
	return []Finding{{
		Rule: "root-zone-short", Severity: severity, Day: first.Day, Until: until, X: bx, Y: by, Where: v.where(bx, by), Subject: "substrate",
		What:    "The root zone runs short.",
		Because: because,
		Do:      do, Due: due,
	}}
}

// perTablet is the bed one root tablet feeds, m²: one for 190 cm², a grid of 10 to 15 cm (common practice).
const perTablet = 0.019

// rootFeedersHeld names the root feeder that a poor bed holds back most after a day.
func (v *view) rootFeedersHeld(day int) string {
	name, least, by := "", 0.6, ""
	for _, c := range v.crops {
		if c.species.Feeder == "leaf" {
			continue
		}
		for i, d := range c.days {
			if d < day || d > day+120 {
				continue
			}
			if c.limits[i].N < least {
				name, least, by = c.species.Name, c.limits[i].N, "nitrogen"
			}
			if c.limits[i].P < least {
				name, least, by = c.species.Name, c.limits[i].P, "phosphorus"
			}
		}
	}
	if name == "" {
		return ""
	}
	return fmt.Sprintf("%s grows at %.0f %% for want of %s.", name, 100*least, by)
}

// bufferSpent gives the day on which an active bed stops holding carbonate hardness down.
func bufferSpent(v *view) []Finding {
	fresh := v.f.Days[0].BufferMeq
	// A little clay buffers a little; only a bed that could hold a month of change water down is called active.
	if fresh < 2*v.f.Model.Facts.NetWaterL {
		return nil
	}
	for i := range v.f.Days {
		if v.f.Days[i].BufferMeq > 0.1*fresh {
			continue
		}
		before := v.mean(max(0, i-90), i, func(d *forecast.Day) float64 { return d.KH })
		after := v.mean(i+30, i+90, func(d *forecast.Day) float64 { return d.KH })
		if after == 0 {
			after = v.f.Days[len(v.f.Days)-1].KH
		}
		return []Finding{nowhere(Finding{
			Rule: "buffer-spent", Severity: Note, Day: i, Until: v.f.Length, Subject: "substrate", Where: "substrate",
			What:    "The active substrate has spent its buffering.",
			Because: fmt.Sprintf("Carbonate hardness rises from %.1f towards %.1f dKH; the same gas then gives a higher pH.", before, after),
			Do:      "Set the CO2 anew by pH and carbonate hardness, and blend more pure water if soft-water species stand in it.",
		})}
	}
	return nil
}

// steepSlope compares the steepest free slope with what the material holds under water.
func steepSlope(v *view) []Finding {
	f := v.f.Model.Facts
	if f.MaxSlopeDeg < 5 {
		return nil
	}
	phi, name := 30.0, "the bed"
	if n := len(v.p.Substrate.Layers); n > 0 {
		if m, ok := v.p.Cat.Material(v.p.Substrate.Layers[n-1].Material); ok && m.AngleDeg.Value > 0 {
			phi, name = m.AngleDeg.Value, m.Name
		}
	}
	fs := soil.SlopeSafety(phi, f.MaxSlopeDeg)
	safe := soil.SteepestSafe(phi, 1.2)
	if fs >= 1.2 {
		return nil
	}
	severity := Look
	what := "A slope is steep for its material and will creep."
	if fs < 1 {
		severity, what = Harm, "A slope is steeper than its material holds and slides at the first water change."
	}
	x, y := f.MaxSlopeAt[0], f.MaxSlopeAt[1]
	low, high := soil.Creep(f.MaxSlopeDeg, 1)
	return []Finding{{
		Rule: "slope-steep", Severity: severity, Day: 0, Until: v.f.Length, X: x, Y: y, Where: v.where(x, y), Subject: "substrate",
		What:    what,
		Because: fmt.Sprintf("%.0f° where %s holds %.0f° under water: a safety of %.2f where 1.2 is wanted; unheld it lies at %.0f to %.0f° in a year.", f.MaxSlopeDeg, name, phi, fs, low, high),
		Do:      fmt.Sprintf("Lay it at %.0f° or less, or hold it with stones for every %s of rise.", safe, v.cm(0.15)),
	}}
}

func (v *view) found() *plan.Readings {
	if v.p.Found == nil {
		return nil
	}
	return v.p.Found.Readings
}

// tankAsFound reads a tank that was taken over: what the tests of the first day and its age say before any forecast.
func tankAsFound(v *view) []Finding {
	fd := v.p.Found
	if fd == nil {
		return nil
	}
	var out []Finding
	years := float64(fd.Age) / (365.25 * 86400)
	spent := fd.Substrate == "spent" || fd.Substrate == "" && years >= 1.8
	active := false
	for _, l := range v.p.Substrate.Layers {
		if m, ok := v.p.Cat.Material(l.Material); ok && m.Bed.BufferMeq.Value > 0 {
			active = true
		}
	}
	if spent && active {
		reason := fmt.Sprintf("It is %.0f months old; active substrate feeds for 6 to 24 months and its grains last 2 to 3 years (texts disagree).", 12*years)
		if rd := fd.Readings; rd != nil && rd.Nitrate != nil && rd.Phosphate != nil {
			reason += fmt.Sprintf(" Nitrate %s and phosphate %s mg/L stand in the water.", number(float64(*rd.Nitrate)), number(float64(*rd.Phosphate)))
		}
		if fd.Flow > 0 && fd.Flow < 0.7 {
			reason += fmt.Sprintf(" The filter gives %.0f %% of its flow when new.", 100*float64(fd.Flow))
		}
		area := 0.0
		for _, a := range v.f.Columns.Area {
			area += a
		}
		out = append(out, Finding{
			Rule: "substrate-spent", Severity: Harm, Day: 0, Until: v.f.Length, When: "now", X: -1, Y: -1, Where: "substrate", Subject: "substrate",
			What:    "The substrate is spent and clogged.",
			Because: reason,
			Do:      fmt.Sprintf("Push in about %d root tablets %s apart for three months of relief, bring nitrate to 10 mg/L, clean the filter, and plan a replant with %s of new substrate, or a full strip where over a tenth of the cores are black.", int(math.Ceil(area/perTablet)), v.cm(0.12), v.cm(0.03)),
		})
	}
	if unknown := unread(fd); len(unknown) > 0 {
		out = append(out, nowhere(Finding{
			Rule: "not-measured", Severity: Look, Day: 0, Until: 28, When: "now",
			What:    "Part of what this forecast rests on has not been measured.",
			Because: fmt.Sprintf("Assumed until read: %s.", list(unknown, 8)),
			Do:      "Test these on the first visit, before any water is changed, and put the readings into the plan.",
		}))
	}
	if fd.Flow > 0 && fd.Flow < 0.7 && !spent {
		out = append(out, nowhere(Finding{
			Rule: "flow-found", Severity: Harm, Day: 0, Until: 28, When: "now", Where: "filter", Subject: "filter",
			What:    "The filter has lost its flow.",
			Because: fmt.Sprintf("It gives %.0f %% of new; the trade cleans under 70 %%. CO2 and food then no longer reach the far corner.", 100*float64(fd.Flow)),
			Do:      "Clean prefilter, media and diffuser, and turn the outlet along the long side.",
		}))
	}
	return out
}

// unread lists what a tank as found leaves open, with the range that running planted tanks show (common practice, no source).
func unread(fd *plan.Found) []string {
	rd := fd.Readings
	if rd == nil {
		rd = &plan.Readings{}
	}
	var out []string
	for _, x := range []struct {
		known bool
		text  string
	}{
		{fd.Age > 0, "age (6 months to 3 years)"},
		{rd.Alkalinity != nil, "carbonate hardness (as the change water, 1 to 8 dKH)"},
		{rd.Hardness != nil, "hardness (as the change water, 3 to 15 °dH)"},
		{rd.Nitrate != nil, "nitrate (as the change water, 0 to 40 mg/L)"},
		{rd.Phosphate != nil, "phosphate (as the change water, 0 to 3 mg/L)"},
		{rd.Potassium != nil, "potassium (as the change water, 0 to 30 mg/L)"},
		{rd.Iron != nil, "iron (as the change water, 0 to 0.3 mg/L)"},
		{rd.Ammonium != nil, "ammonium (as the change water, 0 to 0.5 mg/L)"},
		{rd.Nitrite != nil, "nitrite (none, 0 to 0.3 mg/L)"},
		{fd.Flow > 0 || fd.Filter != "", "flow of the filter (as new, 40 to 100 %)"},
	} {
		if !x.known {
			out = append(out, x.text)
		}
	}
	return out
}

// symptoms are what the trade sees when a rule's cause is at work; words of the plan's symptoms are matched against them.
var symptoms = map[string][]string{
	"nitrogen-nitrite": {"dead shrimp", "shrimps dead", "dying"},
	"nitrogen-ammonia": {"dead", "dying", "gasp"},
	"co2-high":         {"gasp", "surface", "breath"},
	"oxygen-low":       {"gasp", "surface at dawn", "breath"},
	"iron-falls-out":   {"pale new", "green veins", "new leaves"},
	"iron-short":       {"pale new", "green veins", "new leaves"},
	"potassium-short":  {"pinhole", "holes", "yellow rim"},
	"nitrogen-short":   {"pale old", "yellow old"},
	"phosphorus-short": {"green dot", "dark leaves"},
	"sudden-change":    {"glassy", "melt", "slush"},
	"mat-thick":        {"lift", "float"},
	"substrate-spent":  {"slow", "small", "yellow old"},
	"flow-found":       {"tuft", "brush"},
	"flow-clogged":     {"tuft", "brush"},
}

// seen adds to a finding the symptom of the plan that it explains.
func seen(fd *plan.Found, f *Finding) {
	if fd == nil {
		return
	}
	for _, s := range fd.Symptoms {
		for _, word := range symptoms[f.Rule] {
			if strings.Contains(strings.ToLower(s), word) {
				f.Because += fmt.Sprintf(" It fits what is seen: %s.", strings.TrimSuffix(s, "."))
				return
			}
		}
	}
}
