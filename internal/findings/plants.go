package findings

import (
	"fmt"
	"littoral/internal/catalog"
	"littoral/internal/forecast"
	"math"
	"sort"
	"strings"
)

// plantsOutOfRange compares the water of each month with what each species is kept in.
func plantsOutOfRange(v *view) []Finding {
	var out []Finding
	done := map[string]bool{}
	for _, c := range v.crops {
		s := c.species
		if done[s.Name] {
			continue
		}
		done[s.Name] = true
		type test struct {
			name, unit    string
			value         func(d *forecast.Day) float64
			lo, hi, slack float64
			do            string
		}
		tests := []test{
			{"temperature", v.degree(), func(d *forecast.Day) float64 { return v.degrees(d.TempC) }, v.degrees(s.Temp.Min), v.degrees(s.Temp.Max), v.step(0.5), "Set the heating or the room for it, or choose a species of this temperature."},
			{"pH", "", func(d *forecast.Day) float64 { return (d.PHDawn + d.PHDusk) / 2 }, s.PH.Min, s.PH.Max, 0.2, "Change the carbonate hardness of the water, or choose a species of this water."},
			{"hardness", "°dH", func(d *forecast.Day) float64 { return d.GH }, s.GH.Min, s.GH.Max, 1, "Blend in pure water, or choose a species of this water."},
		}
		if s.KHMax > 0 {
			tests = append(tests, test{"carbonate hardness", "dKH", func(d *forecast.Day) float64 { return d.KH }, 0, s.KHMax, 0.5, "Blend in pure water, or choose a species of this water."})
		}
		for _, t := range tests {
			if t.hi <= 0 {
				continue
			}
			first, last, ok := v.days(max(14*sign(v.p.Found == nil), c.days[0]), 21, func(d *forecast.Day) bool { x := t.value(d); return x < t.lo-t.slack || x > t.hi+t.slack })
			if !ok {
				continue
			}
			out = append(out, v.at(c, Finding{
				Rule: "plant-" + firstWord(t.name), Severity: Look, Day: first, Until: last,
				What:    fmt.Sprintf("%s stands outside its %s.", s.Name, t.name),
				Because: fmt.Sprintf("The tank runs at %s %s; the species is kept at %s to %s.", number(v.mean(first, last, t.value)), withUnit(t.unit), number(t.lo), join(number(t.hi), t.unit)),
				Do:      t.do,
			}))
		}
	}
	return out
}

func sign(b bool) int {
	if b {
		return 1
	}
	return 0
}

func firstWord(s string) string {
	for i := range s {
		if s[i] == ' ' {
			return s[:i]
		}
	}
	return s
}

// compensation is the light, µmol m⁻² s⁻¹, at which a leaf of the species no longer gains: I/(I+Ik)·Pm = R.
func compensation(s *catalog.Species) float64 {
	p := s.Phys
	if p.RGRMax.Value <= p.Respiration.Value {
		return p.Ik.Value
	}
	return p.Ik.Value * p.Respiration.Value / p.RGRMax.Value
}

// tooDark finds plantings whose tops get less than their class asks for although nothing shades them.
func tooDark(v *view) []Finding {
	var out []Finding
	for _, c := range v.crops {
		if c.species.Form == catalog.Floating {
			continue
		}
		low := c.species.PAR.Min
		first, last, ok := c.span(v.settled(), 6, func(i int) bool { return c.top[i] < 0.7*low && c.shader[i] == "" })
		if !ok {
			continue
		}
		mean := average(c.top[first : last+1])
		severity := Look
		if mean < math.Max(compensation(c.species), 0.3*low) {
			severity = Harm
		}
		out = append(out, v.at(c, Finding{
			Rule: "light-low", Severity: severity, Day: c.days[first], Until: c.days[last],
			What:    fmt.Sprintf("%s gets too little light.", c.species.Name),
			Because: fmt.Sprintf("%.0f µmol reach its top; it is grown at %s to %s (%s light).", mean, number(low), number(c.species.PAR.Max), c.species.Light),
			Do:      "Move a lamp over it, dim less, or plant something that lives in this light.",
		}))
	}
	return out
}

// tooBright finds slow, shade-loving plants under so much light that algae settle on their leaves. More than two plantings are told as one, at the
// place of the brightest.
func tooBright(v *view) []Finding {
	var out []Finding
	var light []float64 // on the tops, like out
	for _, c := range v.crops {
		if c.species.Light != "low" || c.species.Form == catalog.Floating || c.species.Speed != "slow" && c.species.Speed != "very slow" {
			continue
		}
		high := math.Max(2.5*c.species.PAR.Max, 90)
		first, last, ok := c.span(v.settled(), 8, func(i int) bool { return c.top[i] > high })
		if !ok {
			continue
		}
		mean := average(c.top[first : last+1])
		light = append(light, mean)
		out = append(out, v.at(c, Finding{
			Rule: "light-high", Severity: Look, Day: c.days[first], Until: c.days[last],
			What:    fmt.Sprintf("%s stands in more light than slow leaves keep clean.", c.species.Name),
			Because: fmt.Sprintf("%.0f µmol on its top; it does well at %s to %s and keeps a leaf for months, long enough for algae.", mean, number(c.species.PAR.Min), number(c.species.PAR.Max)),
			Do:      "Set it in the shade of taller plants or wood, or dim that lamp by a fifth.",
		}))
	}
	if len(out) <= 2 {
		return out
	}
	one, most := out[0], light[0]
	places := map[string]int{}
	var names []string
	for i, f := range out {
		if places[f.Where] == 0 {
			names = append(names, f.Where)
		}
		places[f.Where]++
		if light[i] > most {
			one.X, one.Y, one.Where, one.Subject, most = f.X, f.Y, f.Where, f.Subject, light[i]
		}
		one.Day, one.Until = min(one.Day, f.Day), max(one.Until, f.Until)
	}
	sort.SliceStable(names, func(a, b int) bool { return places[names[a]] > places[names[b]] })
	for i, n := range names {
		names[i] = fmt.Sprintf("%d %s", places[n], n)
	}
	one.What = fmt.Sprintf("%d plantings of slow kinds stand in more light than their leaves keep clean.", len(out))
	one.Because = fmt.Sprintf("The brightest, %s, has %.0f µmol on its top; such kinds do well in low light and keep a leaf for months, long enough for algae. They stand: %s.", one.Subject, most, list(names, 6))
	one.Subject = "slow plants"
	one.Do = "Set the brightest in the shade of taller plants or wood, or dim the lamps by a fifth; grazers and phosphate at 0.5 to 1 mg/L keep such leaves clean meanwhile."
	return []Finding{one}
}

// outgrows finds plants that reach the surface without being meant to, or that touch the glass.
func outgrows(v *view) []Finding {
	t := v.f.Model.Tank
	var out []Finding
	for _, c := range v.crops {
		switch c.species.Form {
		case catalog.Floating, catalog.Lily, catalog.Moss:
			continue
		}
		first, last, ok := c.span(7, 3, func(i int) bool { return c.reach[i] > t.WaterLevel-0.02 })
		if ok {
			severity, do := Look, fmt.Sprintf("Cut it to %s under the surface before it bends.", v.cm(0.1))
			if c.species.Form == catalog.Rosette || c.species.Form == catalog.Bulb {
				do = "Take outer leaves, plant it where the bed is lower, or choose a smaller species."
			}
			where := ""
			if c.on != "" {
				where = fmt.Sprintf(" It sits %s up on %s.", v.cm(c.reach[first]-c.height[first]), c.on)
				do = "Tie it lower on the piece, or choose a smaller species for this place."
			}
			out = append(out, v.at(c, Finding{
				Rule: "outgrows-surface", Severity: severity, Day: c.days[first], Until: c.days[last],
				What:    fmt.Sprintf("%s reaches the surface.", c.species.Name),
				Because: fmt.Sprintf("Its tops stand %s over the bottom glass under %s of water; grown it is %s high.%s", v.cm(c.reach[first]), v.cm(t.WaterLevel), v.spanCM(c.species.HeightCM.Min, c.species.HeightCM.Max), where),
				Do:      do,
			}))
			continue
		}
		if c.species.Form != catalog.Rosette && c.species.Form != catalog.Bulb {
			continue
		}
		gap := v.gapToGlass(c.x, c.y)
		if f, l, ok := c.span(28, 8, func(i int) bool { return c.n[i] <= 3 && c.spread[i]/2 > gap+0.05 }); ok {
			out = append(out, v.at(c, Finding{
				Rule: "outgrows-place", Severity: Look, Day: c.days[f], Until: c.days[l],
				What:    fmt.Sprintf("%s outgrows its place at the glass.", c.species.Name),
				Because: fmt.Sprintf("It is %s wide and stands %s from the pane.", v.cm(c.spread[f]), v.cm(gap)),
				Do:      fmt.Sprintf("Set it at least %s from the glass, or take outer leaves every few weeks.", v.cm(c.spread[f]/2)),
			}))
		}
	}
	return out
}

// gapToGlass is the distance from a place to the nearest pane, m.
func (v *view) gapToGlass(x, y float64) float64 {
	gap := math.Inf(1)
	foot := v.f.Model.Tank.Footprint
	for i, a := range foot {
		b := foot[(i+1)%len(foot)]
		dx, dy := b[0]-a[0], b[1]-a[1]
		l2 := dx*dx + dy*dy
		if l2 == 0 {
			continue
		}
		k := math.Max(0, math.Min(1, ((x-a[0])*dx+(y-a[1])*dy)/l2))
		gap = math.Min(gap, math.Hypot(x-a[0]-k*dx, y-a[1]-k*dy))
	}
	return gap
}

// shaded finds plantings that a neighbour keeps under the light they need to gain.
func shaded(v *view) []Finding {
	var out []Finding
	for _, c := range v.crops {
		need := math.Max(compensation(c.species), 0.35*c.species.PAR.Min)
		first, last, ok := c.span(28, 4, func(i int) bool { return c.ppfd[i] < need && c.shader[i] != "" && c.shader[i] != c.id })
		if !ok {
			continue
		}
		by := c.shader[first]
		name := by
		reach := ""
		if s := v.crop(by); s != nil {
			name = s.species.Name
			reach = fmt.Sprintf(" It is %s high and %s wide by then.", v.cm(at(s, c.days[first], s.height)), v.cm(at(s, c.days[first], s.spread)))
		}
		if name == c.species.Name {
			continue
		}
		if s := v.crop(by); s != nil && at(s, c.days[first], s.reach) < at(c, c.days[first], c.reach) {
			continue // what ends below its tops does not shade it, whatever lies over a few of its leaves
		}
		severity := Look
		if mean := average(c.ppfd[first : last+1]); mean < math.Max(compensation(c.species), 0.6*need) || last-first >= 26 && mean < 0.75*need {
			severity = Harm // it lives below what it burns, or for more than half a year on less than three quarters of its need
		}
		out = append(out, v.at(c, Finding{
			Rule: "shaded", Severity: severity, Day: c.days[first], Until: c.days[last],
			What:    fmt.Sprintf("%s shades %s.", name, c.species.Name),
			Because: fmt.Sprintf("%s of the %s µmol it lives on reach its leaves.%s", number(average(c.ppfd[first:last+1])), number(need), reach),
			Do:      fmt.Sprintf(v.keepDown(by), name),
		}))
	}
	return out
}

// keepDown is how a planting is kept from shading others, in the words for its form.
func (v *view) keepDown(planting string) string {
	if s := v.crop(planting); s != nil {
		switch s.species.Form {
		case catalog.Moss:
			return "Clip %s every few weeks, or move the planting."
		case catalog.Stem, catalog.Carpet:
			return "Cut %s back every few weeks, thin it, or move the planting."
		case catalog.Floating:
			return "Net part of %s off every week or two."
		case catalog.Rosette, catalog.Bulb, catalog.Lily, catalog.Runner:
			return "Take outer leaves of %s every few weeks, thin it, or move the planting."
		}
	}
	return "Take leaves or tops of %s every few weeks, thin it, or move the planting."
}

// at reads a crop's series on a day.
func at(c *crop, day int, series []float64) float64 {
	i := sort.SearchInts(c.days, day)
	if i >= len(series) {
		i = len(series) - 1
	}
	return series[i]
}

// matTooThick finds carpets that nobody shears: over 4 cm they shade their own base and lift.
func matTooThick(v *view) []Finding {
	const thick = 0.04 // m; the trade shears at 3 to 4 cm (common practice)
	var out []Finding
	for _, c := range v.crops {
		if c.species.Form != catalog.Carpet || c.species.HeightCM.Min > 7 {
			continue
		}
		limit := math.Max(thick, 0.9*c.species.HeightCM.Max/100)
		if c.species.HeightCM.Max <= 6 {
			limit = math.Min(limit, thick)
		}
		first, last, ok := c.span(0, 2, func(i int) bool { return c.height[i] > limit && c.deepest[i] < 0.35*math.Max(1, c.top[i]) })
		if !ok {
			continue
		}
		since := v.sinceTrim(c, c.days[first])
		lifted, when := v.lifted(c.id)
		text := "it is never sheared in this plan"
		if since >= 0 {
			text = fmt.Sprintf("it was last sheared %d weeks before", since/7)
		}
		lost := ""
		if lifted > 0 {
			lost = fmt.Sprintf("; from week %d on %s of it let go and float", max(when/7, 1), v.area(lifted))
		}
		out = append(out, v.at(c, Finding{
			Rule: "mat-thick", Severity: Harm, Day: c.days[first], Until: c.days[last],
			What:    fmt.Sprintf("The mat of %s grows so thick that its base dies and it lifts.", c.species.Name),
			Because: fmt.Sprintf("It is %s thick; %.0f µmol fall on top and %.0f reach its lower leaves; %s%s.", v.length(c.height[first], 1), c.top[first], c.deepest[first], text, lost),
			Do:      fmt.Sprintf("Shear it to %s every 4 weeks; where it has lifted, cut it out and replant thin tops %s apart, closed again in 6 to 8 weeks.", v.length(0.015, 1), v.cm(0.03)),
		}))
	}
	return out
}

// sinceTrim is how many days before a day the crop was last cut; -1 when never.
func (v *view) sinceTrim(c *crop, d int) int {
	last := -1
	for _, e := range v.f.Events {
		if e.Day > d || e.Kind != "trim" && e.Kind != "thin" && e.Kind != "replant-tops" {
			continue
		}
		for i := range v.p.Care {
			if v.p.Care[i].ID == e.ID && (v.p.Care[i].Species == "" || v.p.Care[i].Species == c.species.Name || v.p.Care[i].Species == c.id) {
				last = e.Day
			}
		}
	}
	if last < 0 {
		return -1
	}
	return d - last
}

// lifted is how much of a carpet floats up over the forecast, m², and when it begins.
func (v *view) lifted(planting string) (m2 float64, first int) {
	for _, e := range v.f.Events {
		if e.Kind != "lift" || e.ID != planting {
			continue
		}
		if m2 == 0 {
			first = e.Day
		}
		m2 += e.Amount
	}
	return m2, first
}

// bulbsRest tells beforehand that a bulb will stand without leaves, which looks like a loss and is none.
func bulbsRest(v *view) []Finding {
	var out []Finding
	for _, c := range v.crops {
		if c.species.Phys.RestDays.Value <= 0 {
			continue
		}
		for _, e := range v.f.Events {
			if e.Kind != "rest" || !strings.HasPrefix(e.ID, c.id+"/") {
				continue
			}
			weeks := c.species.Phys.RestDays.Value / 7
			out = append(out, v.at(c, Finding{
				Rule: "bulb-rests", Severity: Note, Day: e.Day, Until: e.Day + int(c.species.Phys.RestDays.Value),
				What:    fmt.Sprintf("%s draws in its leaves and rests.", c.species.Name),
				Because: fmt.Sprintf("It has grown for about %.0f months; bulbs of seasonal waters then stand some %.0f weeks without leaves.", float64(e.Day-c.days[0])/30.4, weeks),
				Do:      "Take off the dead leaves, leave the bulb where it is and push no tablet beside it until new leaves come; let a neighbour fill the gap, and tell the client beforehand.",
			}))
			break
		}
	}
	return out
}

// melt tells the client beforehand what the first weeks look like.
func melt(v *view) []Finding {
	if v.p.Found != nil {
		return nil
	}
	var names []string
	var place *crop
	seen := map[string]bool{}
	for i := range v.p.Plants {
		pl := &v.p.Plants[i]
		s, ok := v.p.Cat.Species(pl.Species)
		if !ok || s.Melt == "low" || pl.Grown == "submersed" || seen[s.Name] {
			continue
		}
		seen[s.Name] = true
		names = append(names, s.Name)
		if place == nil {
			place = v.crop(pl.ID)
		}
	}
	if len(names) == 0 {
		return nil
	}
	f := Finding{
		Rule: "melt", Severity: Note, Day: 3, Until: 35, Subject: "plants", X: -1, Y: -1, Where: "plants",
		What:    "Leaves that grew in air are lost before the new ones come.",
		Because: fmt.Sprintf("%s: loss begins between day 3 and 14, new leaves come in 2 to 6 weeks.", list(names, 5)),
		Do:      "Take dead leaves off at each visit, leave the plants where they are, and tell the client beforehand.",
	}
	if place != nil {
		f.X, f.Y = place.x, place.y
	}
	return []Finding{f}
}

// plantsLost finds plantings that die out although nobody takes them out.
func plantsLost(v *view) []Finding {
	var out []Finding
	removed := map[string]bool{}
	for _, e := range v.p.Events {
		for _, r := range e.Remove {
			removed[r] = true
		}
	}
	for _, c := range v.crops {
		last := len(c.days) - 1
		if c.days[0] > v.f.Length-90 || removed[c.id] || removed[c.species.Name] {
			continue
		}
		peak := 0.0
		for _, s := range c.shoot {
			peak = math.Max(peak, s)
		}
		gone := c.days[last] < v.f.Length-14
		if !gone && c.shoot[last] > 0.25*c.shoot[0] || peak == 0 {
			continue
		}
		if c.shoot[last] > 0.6*c.shoot[0] {
			continue
		}
		from := 0
		for i, s := range c.shoot {
			if s == peak {
				from = i
			}
		}
		if v.clearsAll() {
			continue
		}
		text := fmt.Sprintf("Its leaf mass falls from %.1f to %.1f g dry.", peak, c.shoot[last])
		out = append(out, v.at(c, Finding{
			Rule: "dies-out", Severity: Harm, Day: c.days[from], Until: c.days[last],
			What:    fmt.Sprintf("%s fades away.", c.species.Name),
			Because: text,
			Do:      "Cure what holds it back, or plan another species for this place.",
		}))
	}
	return out
}

// clearsAll tells whether an event takes out whatever stands in its outline.
func (v *view) clearsAll() bool {
	for _, e := range v.p.Events {
		if (e.Do == "replant" || e.Do == "remove") && len(e.Remove) == 0 {
			return true
		}
	}
	return false
}

func average(xs []float64) float64 {
	if len(xs) == 0 {
		return 0
	}
	sum := 0.0
	for _, x := range xs {
		sum += x
	}
	return sum / float64(len(xs))
}

// list joins names, at most so many.
func list(names []string, most int) string {
	rest := ""
	if len(names) > most {
		rest = fmt.Sprintf(" and %d more", len(names)-most)
		names = names[:most]
	}
	s := ""
	for i, n := range names {
		switch {
		case i == 0:
		case i == len(names)-1 && rest == "":
			s += " and "
		default:
			s += ", "
		}
		s += n
	}
	return s + rest
}
