package findings

import (
	"context"
	"fmt"
	"littoral/internal/catalog"
	"littoral/internal/forecast"
	"littoral/internal/plan"
	"littoral/internal/unit"
	"maps"
	"math"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
)

// cure is a change of a plan that a program can make: what it is in words, and the change. Equal words mean the same change.
type cure struct {
	words string
	apply func(p *plan.Plan)
	anew  bool // changes bed, plants or windows, so that the tank has to be built anew
}

// Try forecasts the plan again with the cure of each finding that a program can apply (a cut, a dose, tablets, dimmer light, gas,
// animals that come later, a cleaner filter), and returns the findings with what each cure changed in Tried. Of the findings, which
// are those of Read, the first most with a cure are tried, each cure once; opt are the options of f. tell hears how many of the
// forecasts are done, one call at a time; nil = silent. The plan itself is not changed.
func Try(ctx context.Context, f *forecast.Forecast, found []Finding, opt forecast.Options, most int, tell func(done, total int)) ([]Finding, error) {
	v := newView(f)
	out := slices.Clone(found)
	at := map[string]int{} // words of a cure to its place in list
	of := map[int]int{}    // finding to cure
	var list []cure
	for i := range out {
		c := v.cureOf(&out[i])
		if c == nil {
			continue
		}
		k, known := at[c.words]
		if !known {
			if len(list) >= most {
				continue
			}
			k = len(list)
			at[c.words] = k
			list = append(list, *c)
		}
		of[i] = k
	}
	if len(list) == 0 {
		return out, nil
	}
	tank, err := forecast.Prepare(f.Plan, opt)
	if err != nil {
		return nil, err
	}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	again := make([]*forecast.Forecast, len(list))
	errs := make([]error, len(list))
	var next atomic.Int32
	var told sync.Mutex
	done := 0
	var wg sync.WaitGroup
	for range min(len(list), runtime.GOMAXPROCS(0)) {
		wg.Go(func() {
			for k := int(next.Add(1)) - 1; k < len(list); k = int(next.Add(1)) - 1 {
				p := changeable(f.Plan)
				list[k].apply(p)
				again[k], errs[k] = retried(ctx, tank, p, &list[k], opt)
				if errs[k] != nil {
					stop()
					return
				}
				told.Lock()
				if done++; tell != nil {
					tell(done, len(list))
				}
				told.Unlock()
			}
		})
	}
	wg.Wait()
	for _, err := range errs {
		if err != nil {
			return nil, err
		}
	}
	reads := make([][]Finding, len(list))
	for k := range again {
		reads[k] = Read(again[k])
	}
	for i := range out {
		if k, ok := of[i]; ok {
			out[i].Tried = outcome(&out[i], list[k].words, v, newView(again[k]), found, reads[k])
		}
	}
	return out, nil
}

// retried forecasts a changed plan in the tank, or in one built anew where the cure asks for it.
func retried(ctx context.Context, tank *forecast.Tank, p *plan.Plan, c *cure, opt forecast.Options) (*forecast.Forecast, error) {
	if !c.anew {
		return tank.Forecast(ctx, p)
	}
	anew, err := forecast.Prepare(p, opt)
	if err != nil {
		return nil, err
	}
	return anew.Forecast(ctx, p)
}

// changeable is a copy of a plan whose water, light, gas, filter, animals, plants, feeding, care, events, layers and caps may be changed without changing
// the plan; heights are shared.
func changeable(p *plan.Plan) *plan.Plan {
	c := *p
	c.Care = slices.Clone(p.Care)
	for i := range c.Care {
		c.Care[i].Grams = maps.Clone(p.Care[i].Grams)
	}
	c.LightDay, c.CO2, c.Livestock, c.Events = slices.Clone(p.LightDay), slices.Clone(p.CO2), slices.Clone(p.Livestock), slices.Clone(p.Events)
	c.Filter, c.Feeding, c.Plants = slices.Clone(p.Filter), slices.Clone(p.Feeding), slices.Clone(p.Plants)
	c.Substrate.Layers, c.Substrate.Caps = slices.Clone(p.Substrate.Layers), slices.Clone(p.Substrate.Caps)
	return &c
}

var (
	weekly        = unit.Every{N: 1, Freq: "WEEKLY"}
	fortnight     = unit.Every{N: 2, Freq: "WEEKLY"}
	fourWeeks     = unit.Every{N: 4, Freq: "WEEKLY"}
	thirteenWeeks = unit.Every{N: 13, Freq: "WEEKLY"}
)

// care adds a line to a plan's routine. It falls on the weekday of the crew's visits, so that a cure costs its own work and no way there.
func (v *view) care(line plan.Care) func(p *plan.Plan) {
	line.From = unit.Day(v.visitDay(int(line.From)))
	return func(p *plan.Plan) {
		line.ID = "tried"
		p.Care = append(p.Care, line)
	}
}

// visitDay is the first day from the given one on that falls on the weekday on which most visits of the plan fall; the day itself where
// nobody visits.
func (v *view) visitDay(from int) int {
	var count [7]int
	for i := range v.f.Visits {
		if d := v.f.Visits[i].Day; d >= 28 || v.p.Found != nil && d >= 0 { // the first weeks have their own rhythm
			count[d%7]++
		}
	}
	usual := 0
	for k, n := range count {
		if n > count[usual] {
			usual = k
		}
	}
	if count[usual] == 0 {
		return from
	}
	return from + (usual-from%7+7)%7
}

// doses are what a week's dose of a nutrient adds, mg/L of the ion, and how much of the salt that takes (mg of ion per mg of salt, by molar
// masses; iron is dosed as iron). The trade's weekly doses of a tank of middling pace: NO3 5 to 15, PO4 0.5 to 1.5, K 5 to 15, Fe 0.1 to 0.3.
var doses = map[string]struct {
	salt, ion string
	mgL, per  float64
}{
	"nitrogen": {"KNO3", "nitrate", 10, 62.005 / 101.103}, "phosphorus": {"KH2PO4", "phosphate", 1, 94.971 / 136.086},
	"potassium": {"K2SO4", "potassium", 10, 2 * 39.098 / 174.259}, "iron": {"iron", "iron", 0.15, 1},
}

// dose adds a weekly dose of a nutrient from a day on.
func (v *view) dose(nutrient string, day int) *cure {
	d := doses[nutrient]
	grams := d.mgL / d.per * v.f.Model.Facts.NetWaterL / 1000
	digits := math.Pow(10, 1-math.Floor(math.Log10(math.Max(grams, 1e-6))))
	grams = math.Round(grams*digits) / digits
	from := unit.Day(max(day-7, 1))
	return &cure{
		words: fmt.Sprintf("%s g of %s a week from %s", number(grams), d.salt, unit.FormatDay(from)),
		apply: v.care(plan.Care{Every: weekly, From: from, Do: "dose", Grams: map[string]float64{d.salt: grams}}),
	}
}

// cutBack is the usual cut of a species by its form.
func (v *view) cutBack(s *catalog.Species, from unit.Day, height float64) *cure {
	when := unit.FormatDay(from)
	switch s.Form {
	case catalog.Stem:
		to := math.Round(100*math.Max(0.08, 0.5*height)) / 100
		return &cure{words: fmt.Sprintf("%s cut to %s every two weeks from %s", s.Name, v.cm(to), when), apply: v.care(plan.Care{Every: fortnight, From: from, Do: "trim", Species: s.Name, To: unit.Length(to)})}
	case catalog.Rosette, catalog.Bulb, catalog.Lily, catalog.Runner:
		return &cure{words: fmt.Sprintf("a quarter of the outer leaves of %s taken every four weeks from %s", s.Name, when), apply: v.care(plan.Care{Every: fourWeeks, From: from, Do: "outer-leaves", Species: s.Name, Share: 0.25})}
	case catalog.Floating:
		return &cure{words: fmt.Sprintf("half of %s netted off every two weeks from %s", s.Name, when), apply: v.care(plan.Care{Every: fortnight, From: from, Do: "trim", Species: s.Name, Share: 0.5})}
	}
	// What grows slowly is cut seldom and little, or it fades.
	if s.Speed == "slow" || s.Speed == "very slow" || s.Form == catalog.Moss {
		return &cure{words: fmt.Sprintf("a fifth of %s cut every ten weeks from %s", s.Name, when), apply: v.care(plan.Care{Every: unit.Every{N: 10, Freq: "WEEKLY"}, From: from, Do: "trim", Species: s.Name, Share: 0.2})}
	}
	return &cure{words: fmt.Sprintf("a third of %s cut every four weeks from %s", s.Name, when), apply: v.care(plan.Care{Every: fourWeeks, From: from, Do: "trim", Species: s.Name, Share: 0.33})}
}

// dimmed runs the lamps at a share of what the plan says.
func dimmed(share float64, words string) *cure {
	return &cure{words: words, apply: func(p *plan.Plan) {
		for i := range p.LightDay {
			p.LightDay[i].Dim = unit.Fraction(math.Min(1, float64(p.LightDay[i].Dim)*share))
		}
	}}
}

// gas sets every regime of the gas to a target, from two and a half hours before light; a plan without gas gets it.
func gas(target float64) *cure {
	return &cure{words: fmt.Sprintf("CO2 at %.0f mg/L from 2.5 hours before the light", target), apply: func(p *plan.Plan) {
		on, off := unit.Clock(8*3600), unit.Clock(18*3600)
		if n := len(p.LightDay); n > 0 {
			l := p.LightDay[n-1]
			on = unit.Clock(math.Max(0, float64(l.On)-2.5*3600))
			off = unit.Clock(math.Min(24*3600, float64(l.On)+3600*l.Hours))
		}
		if len(p.CO2) == 0 {
			p.CO2 = []plan.CO2{{Target: unit.Concentration(target), On: on, Off: off}}
			return
		}
		for i := range p.CO2 {
			p.CO2[i].Target, p.CO2[i].PH, p.CO2[i].Band = unit.Concentration(target), 0, 0
			p.CO2[i].On = min(p.CO2[i].On, on)
		}
	}}
}

// later lets an animal come on a later day.
func later(species string, day int) *cure {
	return &cure{words: fmt.Sprintf("%s from %s", species, unit.FormatDay(unit.Day(day))), apply: func(p *plan.Plan) {
		for i := range p.Livestock {
			if p.Livestock[i].Species == species && p.Livestock[i].From < unit.Day(day) {
				p.Livestock[i].From = unit.Day(day)
			}
		}
	}}
}

// fedLess halves the food.
var fedLess = &cure{words: "half of the food", apply: func(p *plan.Plan) {
	for i := range p.Feeding {
		p.Feeding[i].DryFood /= 2
	}
}}

// throughput changes what the filters move and hold back.
func throughput(words string, flow float64, fine bool) *cure {
	return &cure{words: words, apply: func(p *plan.Plan) {
		for i := range p.Filter {
			p.Filter[i].Flow *= unit.Flow(flow)
			p.Filter[i].Fine = p.Filter[i].Fine || fine
		}
	}}
}

// grazers are shrimps that eat film, one for every 8 litres, once the water is safe.
func (v *view) grazers() *cure {
	const name = "Caridina multidentata"
	if _, ok := v.p.Cat.Animal(name); !ok {
		return nil
	}
	n := max(3, int(v.f.Model.Facts.NetWaterL/8))
	day := max(35, v.safeFrom(0, v.house.Nitrite["shrimp"]))
	if v.p.Found != nil {
		day = max(1, v.safeFrom(0, v.house.Nitrite["shrimp"]))
	}
	if day >= v.f.Length {
		return nil
	}
	return &cure{words: fmt.Sprintf("%d %s from %s", n, name, unit.FormatDay(unit.Day(day))), apply: func(p *plan.Plan) {
		p.Livestock = append(p.Livestock, plan.Stock{ID: "tried", Species: name, Count: n, From: unit.Day(day)})
	}}
}

// cropsOf are the plantings of a species.
func (v *view) cropsOf(species string) []*crop {
	var out []*crop
	for _, c := range v.crops {
		if c.species.Name == species {
			out = append(out, c)
		}
	}
	return out
}

// cureOf is the cure of a finding that a program can apply; nil when a hand, an eye or another tank is needed.
func (v *view) cureOf(f *Finding) *cure {
	from := unit.Day(max(14, f.Day-14))
	subject := v.cropsOf(f.Subject)
	var c *crop
	for _, x := range subject {
		if c == nil || math.Hypot(x.x-f.X, x.y-f.Y) < math.Hypot(c.x-f.X, c.y-f.Y) {
			c = x
		}
	}
	switch f.Rule {
	case "outgrows-surface", "outgrows-place":
		if c != nil {
			return v.cutBack(c.species, from, at(c, f.Day, c.height))
		}
	case "shaded":
		if c == nil {
			return nil
		}
		for i, day := range c.days {
			if day >= f.Day && c.shader[i] != "" {
				if s := v.crop(c.shader[i]); s != nil && s.species != c.species {
					return v.cutBack(s.species, from, at(s, f.Day, s.height))
				}
				return nil
			}
		}
	case "mat-thick":
		if c != nil {
			return &cure{words: fmt.Sprintf("%s sheared to %s every four weeks from %s", c.species.Name, v.length(0.015, 1), unit.FormatDay(from)), apply: v.care(plan.Care{Every: fourWeeks, From: from, Do: "trim", Species: c.species.Name, To: 0.015})}
		}
	case "nitrogen-short", "phosphorus-short", "potassium-short", "iron-short":
		return v.dose(strings.TrimSuffix(f.Rule, "-short"), f.Day)
	case "algae-green-spot":
		return v.dose("phosphorus", f.Day)
	case "algae-blue-green":
		return v.dose("nitrogen", f.Day)
	case "nitrogen-high", "phosphorus-high", "potassium-high", "iron-high":
		d := doses[strings.TrimSuffix(f.Rule, "-high")]
		return &cure{words: fmt.Sprintf("half of the dosed %s", d.ion), apply: func(p *plan.Plan) {
			for i := range p.Care {
				if _, ok := p.Care[i].Grams[d.salt]; ok {
					p.Care[i].Grams[d.salt] *= 0.5
				}
			}
		}}
	case "iron-falls-out":
		mg := 0.1 * v.f.Model.Facts.NetWaterL // the house's 0.1 mg/L of iron a day
		grams := math.Max(0.001, math.Round(mg)/1000)
		return &cure{words: fmt.Sprintf("%s g of iron a day from %s", number(grams), unit.FormatDay(from)), apply: v.care(plan.Care{Every: unit.Every{N: 1, Freq: "DAILY"}, From: from, Do: "dose", Grams: map[string]float64{"iron": grams}})}
	case "oxygen-low", "load-oxygen":
		if len(v.p.CO2) > 0 {
			return &cure{words: "the gas shut an hour before the light", apply: func(p *plan.Plan) {
				for i := range p.CO2 {
					for _, l := range p.LightDay {
						p.CO2[i].Off = min(p.CO2[i].Off, unit.Clock(float64(l.On)+3600*(l.Hours-1)))
					}
				}
			}}
		}
		return fedLess
	case "load-nitrogen":
		return fedLess
	case "sudden-change":
		return &cure{words: "no change over a quarter of the water from week 4 on", apply: func(p *plan.Plan) {
			for i := range p.Care {
				if c := &p.Care[i]; c.Do == "water-change" && (c.Until == 0 || c.Until > 28) && c.Share > 0.25 {
					c.Share = 0.25
				}
			}
		}}
	case "substrate-spent":
		n := 0.0
		for _, a := range v.f.Columns.Area {
			n += a / perTablet
		}
		return &cure{words: fmt.Sprintf("%.0f root tablets now and every 13 weeks", math.Ceil(n)), apply: v.care(plan.Care{Every: thirteenWeeks, From: 1, Do: "root-feed", Tablets: int(math.Ceil(n)), Tablet: "plain", Where: "even"})}
	case "flow-small":
		return throughput("a filter that moves half as much again", 1.5, false)
	case "hazy":
		if len(v.p.Filter) == 0 {
			return nil
		}
		if v.f.Clearer(1, true) < v.f.Clearer(2, false) {
			return throughput("a fine stage in the filter", 1, true)
		}
		return throughput("a filter that moves twice as much", 2, false)
	case "film-on-leaves":
		return v.grazers()
	case "co2-short":
		return gas(25)
	case "co2-high":
		limit := v.house.CO2Limit.House
		for _, h := range v.load {
			if h.animal.Name == f.Subject && h.animal.CO2Max > 0 {
				limit = h.animal.CO2Max
			}
		}
		return gas(math.Floor(limit))
	case "algae-green-dust":
		for i := range v.p.Care {
			if v.p.Care[i].Do == "glass" {
				return dimmed(0.8, "the lamps dimmed by a fifth")
			}
		}
		return &cure{words: "the glass wiped every week", apply: v.care(plan.Care{Every: weekly, From: 7, Do: "glass"})}
	case "light-high":
		return dimmed(0.8, "the lamps dimmed by a fifth")
	case "algae-thread":
		if strings.Contains(f.Because, "CO2 at") {
			return dimmed(2.0/3, "the lamps dimmed by a third")
		}
	case "light-low":
		return brighter(v.p, f.Day)
	case "plant-pH", "plant-hardness", "plant-carbonate", "plant-temperature", "animal-water":
		return v.outOfWater(f)
	case "dies-out":
		if c != nil {
			return v.unheld(c, f, from)
		}
	case "sand-mixes":
		return parted
	case "slope-creeps":
		return v.flatter()
	case "buffer-spent":
		return softer(v.p)
	case "melt":
		return underWater
	case "algae-brown-film":
		return seeded(v.p)
	case "algae-green-water":
		if v.p.Daylight != nil {
			return screened
		}
		return dimmed(0.8, "the lamps dimmed by a fifth")
	case "animal-plants":
		return group(f.Subject, 0)
	case "animal-group":
		for _, h := range v.load {
			if h.animal.Name == f.Subject {
				return group(f.Subject, h.animal.GroupMin)
			}
		}
	case "root-zone-short":
		if len(f.Due) > 0 {
			n := 0
			for _, d := range f.Due {
				n += d.Tablets
			}
			return &cure{words: fmt.Sprintf("%d root tablets every three months where and when it is due", n), apply: func(p *plan.Plan) {
				for _, d := range f.Due {
					v.care(plan.Care{Every: thirteenWeeks, From: unit.Day(max(1, d.Day-7)), Do: "root-feed", Tablets: d.Tablets, Tablet: "plain", Where: "thin"})(p)
				}
			}}
		}
	case "nitrogen-nitrite", "nitrogen-ammonia", "animal-early":
		for _, h := range v.load {
			if h.animal.Name != f.Subject {
				continue
			}
			limit := v.house.Nitrite["fish"]
			if h.shrimp() {
				limit = v.house.Nitrite["shrimp"]
			}
			day := v.safeFrom(max(0, int(h.stock.From)), limit)
			if v.p.Found == nil {
				day = max(day, 7*h.animal.EarlyWeek)
			}
			if day > int(h.stock.From) && day < v.f.Length {
				return later(h.animal.Name, day)
			}
		}
	case "flow-clogged", "flow-found", "algae-black-tufts":
		if f.Rule == "algae-black-tufts" && !strings.Contains(f.Because, "flow at") {
			if len(v.p.CO2) == 0 {
				return nil
			}
			last := v.p.CO2[len(v.p.CO2)-1]
			if last.PH > 0 {
				return gas(25) // a controller's pH says little; the house's middle target
			}
			return gas(float64(last.Target))
		}
		return &cure{words: "the filter cleaned now and every four weeks", apply: func(p *plan.Plan) {
			p.Care = slices.DeleteFunc(p.Care, func(c plan.Care) bool { return c.Do == "filter-clean" })
			v.care(plan.Care{Every: fourWeeks, From: 1, Do: "filter-clean"})(p)
		}}
	}
	return nil
}

// outcome says in one sentence what a cure changed.
func outcome(f *Finding, words string, before, after *view, was, is []Finding) string {
	s := fmt.Sprintf("Tried: with %s ", words)
	placed := f.X >= 0 && len(before.cropsOf(f.Subject)) > 0 // two plantings of a species are two; the bed and the like are one
	same := func(g *Finding) bool {
		return g.Rule == f.Rule && g.Subject == f.Subject && (!placed || math.Hypot(g.X-f.X, g.Y-f.Y) < 0.1)
	}
	var still *Finding
	for i := range is {
		if same(&is[i]) {
			still = &is[i]
			break
		}
	}
	switch {
	case still == nil:
		s += "it does not come"
	case still.Day >= f.Day+14:
		s += fmt.Sprintf("it comes %s instead of %s", when(still.Day, still.Until, after.f.Length), when(f.Day, f.Until, before.f.Length))
	case still.Until-still.Day < 4*(f.Until-f.Day)/5:
		s += fmt.Sprintf("it lasts %d days instead of %d", still.Until-still.Day, f.Until-f.Day)
	case order(still.Severity) > order(f.Severity):
		s += "it is less grave"
	default:
		s += "it stays"
	}
	mass := func(v *view) float64 {
		sum, n := 0.0, 0.0
		for _, c := range v.cropsOf(f.Subject) {
			for i, d := range c.days {
				if d >= f.Day && d <= f.Until+90 {
					sum += c.shoot[i]
				}
			}
		}
		for i := range v.f.Snapshots {
			if d := v.f.Snapshots[i].Day; d >= f.Day && d <= f.Until+90 {
				n++
			}
		}
		return sum / math.Max(n, 1)
	}
	if f.Subject == "plants" { // all of them
		leaves := func(v *view) string {
			return number(v.mean(f.Day, min(f.Until+90, v.f.Length), func(d *forecast.Day) float64 { return d.ShootG }))
		}
		s += fmt.Sprintf(", and all plants carry %s g of leaves instead of %s in the months after", leaves(after), leaves(before))
	}
	if len(before.cropsOf(f.Subject)) > 0 {
		if is, was := number(mass(after)), number(mass(before)); is == was {
			s += fmt.Sprintf(", and %s carries %s g of leaves either way", f.Subject, is)
		} else {
			s += fmt.Sprintf(", and %s carries %s g of leaves instead of %s", f.Subject, is, was)
		}
	}
	if a, b := monthly(before.f), monthly(after.f); math.Abs(b-a) >= 5 {
		word := "more"
		if b < a {
			word = "less"
		}
		s += fmt.Sprintf("; work takes %.0f minutes a month %s", math.Abs(b-a), word)
	}
	// New trouble that the cure brings is told with it.
	var fresh []string
	for i := range is {
		g := &is[i]
		if order(g.Severity) > order(Harm) || same(g) {
			continue
		}
		if !slices.ContainsFunc(was, func(o Finding) bool { return o.Rule == g.Rule && o.Subject == g.Subject }) {
			fresh = append(fresh, strings.TrimSuffix(g.What, "."))
		}
	}
	switch len(fresh) {
	case 0:
	case 1:
		s += "; but then: " + fresh[0]
	default:
		s += fmt.Sprintf("; but then: %s, and %d more", fresh[0], len(fresh)-1)
	}
	return s + "."
}

// monthly is the work of a mean month after the day of planting, minutes.
func monthly(f *forecast.Forecast) float64 {
	sum := 0.0
	for i := range f.Visits {
		if f.Visits[i].Day > 0 {
			sum += f.Visits[i].Minutes
		}
	}
	return sum / math.Max(1, float64(f.Length)/(365.25/12))
}
