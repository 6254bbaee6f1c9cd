package papers

import (
	"fmt"
	"littoral/internal/catalog"
	"littoral/internal/forecast"
	"littoral/internal/plan"
	"littoral/internal/unit"
	"math"
	"slices"
	"sort"
	"strings"
)

// Rules of thumb of an order list. All common practice, no source.
const (
	stoneChoice = 1.3 // stone bought over what is laid, to choose from: 1.3 to 1.5
	quarterDays = 91
)

// plantOrder is one species to order for one day.
type plantOrder struct {
	Species string
	Day     int
	Pots    int
	Order   int // with the house's spare, rounded up
	Form    catalog.Form
	InVitro bool // all of it comes from the laboratory
	Notices []catalog.Notice
}

// plantOrders sums pots by day and species: day 0 first, then the replantings.
func (t *teller) plantOrders() []plantOrder {
	type key struct {
		day     int
		species string
	}
	pots, vitro := map[key]int{}, map[key]int{}
	add := func(p *plan.Planting, day int) {
		k := key{day, t.accepted(p.Species)}
		pots[k] += p.Pots
		if p.Grown == "in-vitro" {
			vitro[k] += p.Pots
		}
	}
	for i := range t.f.Plan.Plants {
		p := &t.f.Plan.Plants[i]
		if t.f.Plan.Found != nil && p.From <= 0 {
			continue // stands already
		}
		add(p, int(p.From))
	}
	for i := range t.f.Plan.Events {
		for j := range t.f.Plan.Events[i].Plant {
			add(&t.f.Plan.Events[i].Plant[j], int(t.f.Plan.Events[i].On))
		}
	}
	for i := range t.f.Events {
		e := &t.f.Events[i]
		if e.Kind != "replace" {
			continue
		}
		if c := t.careByID(e.ID, "replace"); c != nil {
			species := c.Species
			for _, pl := range t.f.Plan.Plantings() {
				if pl.ID == c.Species {
					species = pl.Species
				}
			}
			pots[key{e.Day, t.accepted(species)}] += int(e.Amount)
		}
	}
	var out []plantOrder
	for k, n := range pots {
		o := plantOrder{Species: k.species, Day: k.day, Pots: n, InVitro: vitro[k] == n, Order: int(math.Ceil(float64(n)*(1+float64(t.house.Spare)) - 1e-9))}
		if sp, ok := t.cat.Species(k.species); ok {
			o.Notices, o.Form = sp.Notices, sp.Form
		}
		out = append(out, o)
	}
	sort.Slice(out, func(i, j int) bool {
		if out[i].Day != out[j].Day {
			return out[i].Day < out[j].Day
		}
		return out[i].Species < out[j].Species
	})
	return out
}

// noticeLine names where a species is banned or watched, with the date of the note.
func noticeLine(n []catalog.Notice) string {
	var parts []string
	for _, x := range n {
		parts = append(parts, fmt.Sprintf("%s %s (%s)", x.Region, x.Status, x.Noted))
	}
	return strings.Join(parts, "; ")
}

// saltMass is grams of a salt over some days.
type saltMass struct {
	Salt  string
	Grams float64
	For   string
}

// careByID finds the care line of an event; lines without an id are matched by what they do when only one does it.
func (t *teller) careByID(id, do string) *plan.Care {
	var only *plan.Care
	n := 0
	for i := range t.f.Plan.Care {
		c := &t.f.Plan.Care[i]
		if id != "" && c.ID == id {
			return c
		}
		if c.Do == do {
			only, n = c, n+1
		}
	}
	if id == "" && n == 1 {
		return only
	}
	return nil
}

// firstQuarter sums the salts of doses and of re-salted change water over the first 91 days.
func (t *teller) firstQuarter() []saltMass {
	grams := map[string]float64{}
	for i := range t.f.Events {
		e := &t.f.Events[i]
		if e.Kind != "dose" || e.Day >= quarterDays {
			continue
		}
		if c := t.careByID(e.ID, "dose"); c != nil {
			for s, g := range c.Grams {
				grams[s] += g
			}
		}
	}
	var out []saltMass
	for s, g := range grams {
		out = append(out, saltMass{s, g, "doses"})
	}
	water := t.total(-9999, quarterDays-1, func(d *forecast.Day) float64 { return d.ChangedL }) + t.f.Model.Facts.NetWaterL
	for _, s := range t.f.Plan.Water.Salts {
		out = append(out, saltMass{s.Salt, float64(s.Dose) * water / 1000, "filling and change water"})
	}
	sort.Slice(out, func(i, j int) bool {
		if out[i].For != out[j].For {
			return out[i].For < out[j].For
		}
		return out[i].Salt < out[j].Salt
	})
	return out
}

// dose is one dosing line of the plan.
type dose struct {
	What string // salts with their grams, or a bottle with its volume
	When string
	Adds string // to the net water by each dose
}

// adds says what grams of salts add to the net water, as ions, one amount for each.
func (t *teller) adds(grams map[string]float64) []string {
	net := t.f.Model.Facts.NetWaterL
	if !(net > 0) {
		return nil
	}
	// Ion per gram of element by molar masses: NO3 62.005 and NH4 18.039 over N 14.007, PO4 94.971 over P 30.974 (atomic weights IUPAC 2021).
	ions := []struct {
		name, part string
		factor     float64
	}{{"NO3", "NO3-N", 62.005 / 14.007}, {"NH4", "NH4-N", 18.039 / 14.007}, {"PO4", "P", 94.971 / 30.974}, {"K", "K", 1}, {"Ca", "Ca", 1}, {"Mg", "Mg", 1}, {"Fe", "Fe", 1}}
	var out []string
	for _, ion := range ions {
		sum := 0.0
		for _, salt := range sortedKeys(grams) {
			if s, ok := t.cat.Salt(salt); ok {
				sum += s.Parts[ion.part] * ion.factor * grams[salt] * 1000 / net
			}
		}
		if sum > 0 {
			out = append(out, fmt.Sprintf("%s %s mg/L", ion.name, figure(sum, 2)))
		}
	}
	return out
}

// doses tells the plan's lines of doses, those that are one and the same dose as one: given on several days of the week, or carried on where the line before
// it ends.
func (t *teller) doses() []dose {
	type span struct {
		what, adds  string
		every       unit.Every
		times       int // a week; 1 for other rhythms too
		from, until unit.Day
	}
	var spans []span
	for i := range t.f.Plan.Care {
		c := &t.f.Plan.Care[i]
		if c.Do != "dose" {
			continue
		}
		x := span{every: c.Every, times: 1, from: c.From, until: c.Until}
		if x.until <= x.from || x.until >= 1e6 {
			x.until = 0
		}
		x.what, x.adds = t.doseOf(c)
		weekly := c.Every.Freq == "WEEKLY" && c.Every.N <= 1
		at := slices.IndexFunc(spans, func(s span) bool {
			same := s.what == x.what && s.every.Freq == x.every.Freq && s.every.N == x.every.N
			return same && weekly && s.until == x.until && math.Abs(float64(s.from-x.from)) < 7
		})
		if at >= 0 {
			spans[at].times++
			spans[at].from = min(spans[at].from, x.from)
			continue
		}
		spans = append(spans, x)
	}
	for i := 0; i < len(spans); i++ {
		for k := i + 1; k < len(spans); k++ {
			a, b := &spans[i], &spans[k]
			if a.what == b.what && a.every.Freq == b.every.Freq && a.every.N == b.every.N && a.times == b.times && a.until > 0 && a.until == b.from {
				a.until = b.until
				spans = slices.Delete(spans, k, k+1)
				k = i
			}
		}
	}
	var out []dose
	for _, x := range spans {
		d := dose{What: x.what, Adds: x.adds, When: every(x.every)}
		switch {
		case x.times == 2:
			d.When = "twice a week"
		case x.times > 2:
			d.When = fmt.Sprintf("%d times a week", x.times)
		}
		if x.from > 0 {
			d.When += ", from " + unit.FormatDay(x.from)
		}
		if x.until > 0 {
			d.When += ", until " + unit.FormatDay(x.until)
		}
		out = append(out, d)
	}
	return out
}

// doseOf says what a line of care doses, and what that adds to the net water.
func (t *teller) doseOf(c *plan.Care) (what, adds string) {
	net := t.f.Model.Facts.NetWaterL
	var parts []string
	added := t.adds(c.Grams)
	for _, s := range sortedKeys(c.Grams) {
		parts = append(parts, t.grams(s, c.Grams[s]))
	}
	if c.Bottle != "" {
		parts = append(parts, c.Bottle+" "+unit.Format(unit.KindVolume, float64(c.Amount), t.system))
		for k := range t.f.Plan.Bottles {
			b := &t.f.Plan.Bottles[k]
			if b.Name != c.Bottle || net <= 0 {
				continue
			}
			for _, e := range sortedKeys(b.PerLitre) {
				if v := b.PerLitre[e] * float64(c.Amount) * 1000 * 1000 / net; v > 0 { // m³ to L, g to mg
					added = append(added, fmt.Sprintf("%s %s mg/L", e, figure(v, 2)))
				}
			}
		}
	}
	return strings.Join(parts, ", "), strings.Join(added, ", ")
}

// grams writes the mass of a salt; of chelated iron it is the mass of the iron itself.
func (t *teller) grams(salt string, g float64) string {
	s := fmt.Sprintf("%s %s g", salt, figure(g, 3))
	if t.isIron(salt) {
		s += " Fe"
	}
	return s
}

func sortedKeys(m map[string]float64) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}

// every says a recurrence in words.
func every(e unit.Every) string {
	word := map[string]string{"DAILY": "day", "WEEKLY": "week", "MONTHLY": "month", "YEARLY": "year"}[e.Freq]
	switch {
	case word == "":
		return "as written"
	case e.N <= 1:
		return "every " + word
	}
	return fmt.Sprintf("every %d %ss", e.N, word)
}

// week is one row of the first-six-weeks regime.
type week struct {
	Name, Light, Changes, CO2, Doses, Adds, Other string
}

// regime lays the plan's first six weeks out: the light and gas of its lines, the changes and doses as they fell.
func (t *teller) regime() []week {
	var out []week
	for w := range 6 {
		from, to := 7*w, 7*w+6
		if from > t.f.Length {
			break
		}
		row := week{Name: fmt.Sprintf("%d", w+1)}
		if d, ok := t.date(from); ok {
			row.Name += ", from " + d.Format("2 Jan")
		}
		row.Light = t.between(from, to, len(t.f.Plan.LightDay), func(i int) (unit.Day, unit.Day, string) {
			l := &t.f.Plan.LightDay[i]
			dim := float64(l.Dim)
			if dim == 0 {
				dim = 1
			}
			text := fmt.Sprintf("%s h at %s, on %s", figure(l.Hours, 3), percent(dim), t.clock(l.On))
			for _, c := range l.Channels {
				if c.Told {
					text += fmt.Sprintf(", %s at %s of that", c.Channel, percent(l.Channel(c.Channel)))
				}
			}
			return l.From, l.Until, text
		})
		row.CO2 = t.between(from, to, len(t.f.Plan.CO2), func(i int) (unit.Day, unit.Day, string) {
			c := &t.f.Plan.CO2[i]
			held := figure(float64(c.Target), 2) + " mg/L"
			if c.PH > 0 {
				held = fmt.Sprintf("controller at pH %s, dead band %s", figure(c.PH, 3), figure(c.Band, 2))
			}
			return c.From, c.Until, fmt.Sprintf("%s, %s to %s", held, t.clock(c.On), t.clock(c.Off))
		})
		changes, other := map[string]int{}, map[string]int{}
		var doses []string
		dosed := map[string]int{}
		var order, otherOrder, doseOrder []string
		for i := range t.f.Events {
			e := &t.f.Events[i]
			if e.Day < from || e.Day > to {
				continue
			}
			switch e.Kind {
			case "water-change":
				name := ""
				if c := t.careByID(e.ID, "water-change"); c != nil && c.Share > 0 {
					name = percent(float64(c.Share))
				} else if n := t.f.Model.Facts.NetWaterL; n > 0 && (e.Unit == "L" || e.Unit == "l") {
					name = percent(math.Round(20*e.Amount/n) / 20)
				}
				if changes[name] == 0 {
					order = append(order, name)
				}
				changes[name]++
			case "dose":
				if dosed[e.ID] == 0 {
					doseOrder = append(doseOrder, e.ID)
				}
				dosed[e.ID]++
			case "trim", "thin", "outer-leaves", "replant-tops", "pull-runners", "replace", "root-feed", "filter-clean", "siphon", "glass", "stock":
				name := strings.ReplaceAll(e.Kind, "-", " ")
				if other[name] == 0 {
					otherOrder = append(otherOrder, name)
				}
				other[name]++
			}
		}
		for i, s := range order {
			order[i] = fmt.Sprintf("%d × %s", changes[s], s)
		}
		grams := map[string]float64{}
		for _, id := range doseOrder {
			c := t.careByID(id, "dose")
			if c == nil {
				doses = append(doses, fmt.Sprintf("%d × dose", dosed[id]))
				continue
			}
			for s, g := range c.Grams {
				grams[s] += g * float64(dosed[id])
			}
			if c.Bottle != "" {
				doses = append(doses, fmt.Sprintf("%s %s", c.Bottle, unit.Format(unit.KindVolume, float64(c.Amount)*float64(dosed[id]), t.system)))
			}
		}
		for _, s := range sortedKeys(grams) {
			doses = append(doses, t.grams(s, grams[s]))
		}
		row.Adds = orNone(strings.Join(t.adds(grams), ", "))
		for _, s := range otherOrder {
			if other[s] > 1 {
				s = fmt.Sprintf("%s × %d", s, other[s])
			}
			row.Other += ", " + s
		}
		row.Other = strings.TrimPrefix(row.Other, ", ")
		row.Changes = orNone(strings.Join(order, ", "))
		row.Doses = orNone(strings.Join(doses, ", "))
		row.Light, row.CO2, row.Other = orNone(row.Light), orNone(row.CO2), orNone(row.Other)
		out = append(out, row)
	}
	return out
}

func orNone(s string) string {
	if s == "" {
		return "none"
	}
	return s
}

// between joins the lines of a regime that hold within a week; until is not included, none means for good.
func (t *teller) between(from, to, n int, at func(i int) (unit.Day, unit.Day, string)) string {
	var parts []string
	for i := range n {
		a, b, s := at(i)
		if float64(a) > float64(to) || b > a && float64(b) <= float64(from) {
			continue
		}
		if len(parts) > 0 {
			s = fmt.Sprintf("from day %g ", float64(a)) + s
		}
		parts = append(parts, s)
	}
	return strings.Join(parts, "; ")
}

// quarter is one row of the work table.
type quarter struct {
	Name              string
	Visits            int
	Hours, CO2KG, KWh float64
	ChangedL, WetKG   float64
	Tablets           int
}

// quarters sums the work by quarters of 91 days, the last one as long as it is.
func (t *teller) quarters() []quarter {
	var out []quarter
	for from := 0; from <= t.f.Length; from += quarterDays {
		to := min(from+quarterDays-1, t.f.Length)
		if to-from < 6 && from > 0 {
			break
		}
		q := quarter{Name: fmt.Sprintf("Quarter %d", from/quarterDays+1)}
		if to-from < quarterDays-2 {
			q.Name += fmt.Sprintf(" (%d days)", to-from+1)
		}
		q.Hours = t.total(from, to, func(d *forecast.Day) float64 { return d.Minutes }) / 60
		q.ChangedL = t.total(from, to, func(d *forecast.Day) float64 { return d.ChangedL })
		q.CO2KG = t.total(from, to, func(d *forecast.Day) float64 { return d.CO2UsedG }) / 1000
		q.KWh = t.total(from, to, func(d *forecast.Day) float64 { return d.HeaterKWh + d.LampKWh })
		for i := range t.f.Visits {
			if v := &t.f.Visits[i]; v.Day >= from && v.Day <= to {
				q.Visits++
			}
		}
		for i := range t.f.Events {
			e := &t.f.Events[i]
			if e.Day < from || e.Day > to {
				continue
			}
			q.WetKG += e.FreshG / 1000
			if e.Kind == "root-feed" {
				if c := t.careByID(e.ID, "root-feed"); c != nil {
					q.Tablets += c.Tablets
				}
			}
		}
		out = append(out, q)
	}
	return out
}

// stoneSum is hardscape by kind and material.
type stoneSum struct {
	Kind, Material string
	Pieces         int
	KG, Heaviest   float64
}

func (t *teller) hardscape() []stoneSum {
	at := map[string]int{}
	var out []stoneSum
	for i := range t.f.Model.Solids {
		s := &t.f.Model.Solids[i]
		k := s.Kind + "\x00" + s.Material
		n, ok := at[k]
		if !ok {
			n = len(out)
			at[k] = n
			out = append(out, stoneSum{Kind: s.Kind, Material: s.Material})
		}
		out[n].Pieces++
		out[n].KG += s.MassDry
		out[n].Heaviest = max(out[n].Heaviest, s.MassDry)
	}
	return out
}

// Routine is what goes into the water and out of it, in the units of the house: the doses, and the first six weeks.
type Routine struct {
	Doses []DoseLine `json:"doses"`
	Weeks []WeekLine `json:"weeks"`
}

// DoseLine is a dose of the plan and what it adds to the tank's water.
type DoseLine struct {
	When string `json:"when" say:"text"`
	What string `json:"what" say:"text"`
	Adds string `json:"adds" say:"text"`
}

// WeekLine is a week of the first six.
type WeekLine struct {
	Week    string `json:"week" say:"text"`
	Light   string `json:"light" say:"text"`
	Changes string `json:"changes" say:"text"`
	CO2     string `json:"co2" say:"text"`
	Doses   string `json:"doses" say:"text"`
	Adds    string `json:"adds" say:"text"`
	Other   string `json:"other" say:"text"`
}

// RoutineOf lays the doses and the first six weeks of a forecast out as the report does.
func RoutineOf(f *forecast.Forecast) Routine {
	t := newTeller(f, nil)
	out := Routine{Doses: []DoseLine{}, Weeks: []WeekLine{}}
	for _, d := range t.doses() {
		out.Doses = append(out.Doses, DoseLine{d.When, d.What, d.Adds})
	}
	for _, w := range t.regime() {
		out.Weeks = append(out.Weeks, WeekLine{w.Name, w.Light, w.Changes, w.CO2, w.Doses, w.Adds, w.Other})
	}
	return out
}
