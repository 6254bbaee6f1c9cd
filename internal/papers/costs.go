package papers

import (
	"fmt"
	"littoral/internal/catalog"
	"littoral/internal/draft"
	"littoral/internal/forecast"
	"littoral/internal/plan"
	"littoral/internal/unit"
	"math"
	"sort"
	"strings"
)

// Rules of thumb of a planting day, common practice, no source.
const (
	plantersPerPreparer = 2   // one hand prepares pots for one or two who plant
	frontPerPlanter     = 0.7 // m of front glass that one planter takes, 0.6 to 0.8
	usualPotsPerHour    = 20  // where a species has no form in the catalogue
)

// Iron in the chelates of the trade, as a share of their mass; from memory of their labels.
var chelates = []struct {
	name string
	iron float64
}{{"Fe-EDDHA", .06}, {"Fe-DTPA", .11}}

// costLine is one thing to pay for. Price and Cost hold only when Priced.
type costLine struct {
	What   string
	Qty    float64
	Unit   string // of Qty: pot, L, kg, tablet, piece, kWh or h
	Plant  bool   // told species by species in the list of plants
	Priced bool
	Price  float64 // for one of PriceUnit
	Per    string
	Cost   float64
	Note   string // why there is no price though one is stated
}

// costBlock is the building, or a stretch of care.
type costBlock struct {
	Name        string
	From, Until int
	Lines       []costLine
}

// sum adds what has a price, and counts what has none.
func (b *costBlock) sum() (money float64, open int) {
	for _, l := range b.Lines {
		if l.Priced {
			money += l.Cost
		} else {
			open++
		}
	}
	return
}

// costs is all that the forecast needs money for.
type costs struct {
	Currency string
	Rate     float64 // for an hour of work; 0 when none is stated
	Stated   bool    // at least one thing has a price
	Build    *costBlock
	Years    []costBlock
}

// offer is a way to buy something: the names under which it may be priced, the particular before the general, and how much of it is
// needed in each unit that it is sold by. The first unit is the one shown.
type offer struct {
	names   []string
	amounts []amount
}

type amount struct {
	unit string
	qty  float64
}

// sold says how many of a unit make one kilogram, litre, piece, kilowatt-hour or hour.
var sold = map[string]struct {
	of    string
	times float64
}{
	"kg": {"kg", 1}, "g": {"kg", 1000}, "t": {"kg", .001}, "lb": {"kg", 2.20462262}, "oz": {"kg", 35.2739619}, // NIST SP 811
	"l": {"L", 1}, "litre": {"L", 1}, "liter": {"L", 1}, "ml": {"L", 1000}, "m3": {"L", .001}, "m³": {"L", .001}, "gal": {"L", .264172052}, // US gallon
	"pot": {"pot", 1}, "cup": {"pot", 1}, "portion": {"pot", 1}, "bunch": {"pot", 1}, "piece": {"pot", 1}, "tablet": {"pot", 1}, "each": {"pot", 1},
	"kwh": {"kWh", 1}, "h": {"h", 1}, "hour": {"h", 1},
}

// priceList is what things cost, by name: the plan's list, and under it the house's.
type priceList struct{ lists []map[string][]plan.Price }

func (t *teller) prices() priceList {
	add := func(list map[string][]plan.Price, p plan.Price) {
		for _, k := range t.sameThing(p.Item) {
			list[k] = append(list[k], p)
		}
	}
	own, house := map[string][]plan.Price{}, map[string][]plan.Price{}
	for _, p := range t.f.Plan.Costs.List {
		add(own, p)
	}
	// A house's prices are in its own currency; beside a plan in another they would not add up.
	if c := t.f.Plan.Costs.Currency; c == "" || strings.EqualFold(c, t.house.Currency) {
		for _, k := range sortedKeys(t.house.Prices) {
			p := plan.Price{Item: k, Price: t.house.Prices[k]}
			if i := strings.LastIndex(k, " "); i > 0 { // "substrate L" names its unit
				if s, ok := sold[strings.ToLower(k[i+1:])]; ok && s.of != "pot" {
					p.Item, p.Unit = k[:i], k[i+1:]
				}
			}
			add(house, p)
		}
	}
	return priceList{[]map[string][]plan.Price{own, house}}
}

// sameThing gives an item's name as written and as the catalogue has it, in small letters.
func (t *teller) sameThing(item string) []string {
	name := strings.ToLower(strings.TrimSpace(item))
	keys := []string{name}
	also := func(s string) {
		if s = strings.ToLower(s); s != name {
			keys = append(keys, s)
		}
	}
	if m, ok := t.cat.Material(item); ok {
		also(m.Name)
	} else if s, ok := t.cat.Species(item); ok {
		also(s.Name)
	} else if a, ok := t.cat.Animal(item); ok {
		also(a.Name)
	} else if s, ok := t.cat.Salt(item); ok {
		also(s.Formula)
	}
	return keys
}

// cost prices one thing: the plan's list before the house's, the particular name before the general.
func (l priceList) cost(what string, offers ...offer) costLine {
	out := costLine{What: what, Unit: offers[0].amounts[0].unit, Qty: offers[0].amounts[0].qty}
	for _, list := range l.lists {
		for _, o := range offers {
			for _, name := range o.names {
				for _, p := range list[strings.ToLower(name)] {
					by := strings.ToLower(strings.TrimSuffix(strings.TrimSpace(p.Unit), "s"))
					s, known := sold[by]
					if p.Unit == "" {
						by = o.amounts[0].unit
						s.of, s.times, known = kindOf(by), timesOf(by), true
					}
					for _, a := range o.amounts {
						if known && kindOf(a.unit) == s.of {
							out.Priced, out.Price, out.Per, out.Cost, out.Note = true, p.Price, shownUnit(by), p.Price*s.times*a.qty/timesOf(a.unit), ""
							return out
						}
					}
					if out.Note == "" {
						out.Note = fmt.Sprintf("priced by the %s, which is not how it is counted here", clip(p.Unit))
					}
				}
			}
		}
	}
	return out
}

// timesOf is how many of a shown unit make one of its kind.
func timesOf(u string) float64 {
	if s, ok := sold[strings.ToLower(u)]; ok {
		return s.times
	}
	return 1
}

// kindOf is what a shown unit counts as.
func kindOf(u string) string {
	if s, ok := sold[strings.ToLower(u)]; ok {
		return s.of
	}
	return u
}

func shownUnit(u string) string {
	switch u {
	case "l":
		return "L"
	case "ml":
		return "mL"
	case "kwh":
		return "kWh"
	case "m3":
		return "m³"
	}
	return u
}

func clip(s string) string {
	if r := []rune(s); len(r) > 20 {
		return string(r[:20]) + "…"
	}
	return s
}

// costing prices the building and each year of care.
func (t *teller) costing() *costs {
	p := t.f.Plan
	l := t.prices()
	c := &costs{Currency: p.Costs.Currency, Rate: float64(p.Costs.Labour)}
	if c.Currency == "" {
		c.Currency = t.house.Currency
	}
	if c.Rate == 0 {
		c.Rate = float64(t.house.LabourRate)
	}
	if p.Found == nil { // a tank as found stands already
		c.Build = &costBlock{Name: "Building and planting", Lines: t.buildLines(l, c.Rate)}
	}
	for n, from := 1, 0; from <= t.f.Length && n <= 20; n, from = n+1, from+365 {
		until := min(from+364, t.f.Length)
		if t.f.Length-until < 30 { // a last day or two are no year
			until = t.f.Length
		}
		name := fmt.Sprintf("Year %d", n)
		if until-from < 360 {
			name += fmt.Sprintf(" (%s)", count(until-from, "day", "days"))
		}
		c.Years = append(c.Years, costBlock{Name: name, From: from, Until: until, Lines: t.yearLines(l, c.Rate, from, until)})
		if until == t.f.Length {
			break
		}
	}
	stated := func(b *costBlock) {
		for i := range b.Lines {
			c.Stated = c.Stated || b.Lines[i].Priced
		}
	}
	if c.Build != nil {
		stated(c.Build)
	}
	for i := range c.Years {
		stated(&c.Years[i])
	}
	return c
}

// labour prices hours of work.
func labour(what string, hours, rate float64) costLine {
	return costLine{What: what, Qty: hours, Unit: "h", Priced: rate > 0, Price: rate, Per: "h", Cost: rate * hours}
}

// plants prices an order of plants.
func (t *teller) plantLine(l priceList, o plantOrder) costLine {
	names := []string{o.Species}
	switch {
	case o.Form == catalog.Moss:
		names = append(names, "moss portion", "moss")
	case o.InVitro:
		names = append(names, "in-vitro cup")
	}
	line := l.cost(o.Species, offer{append(names, "pot"), []amount{{"pot", float64(o.Order)}}})
	line.Plant = true
	return line
}

func (t *teller) buildLines(l priceList, rate float64) []costLine {
	x := &t.f.Model.Facts
	p := t.f.Plan
	var out []costLine
	for _, o := range t.plantOrders() {
		if o.Day <= 0 {
			out = append(out, t.plantLine(l, o))
		}
	}
	for _, m := range x.BedByMaterial {
		out = append(out, l.cost(capital(m.Material), offer{[]string{m.Material, "substrate"}, []amount{{"L", m.Litres * draft.Settling}, {"kg", m.DryKG * draft.Settling}}}))
	}
	for _, s := range t.hardscape() {
		kg := s.KG
		if s.Kind == "stone" {
			kg *= stoneChoice
		}
		out = append(out, l.cost(capital(s.Kind)+", "+s.Material, offer{[]string{s.Material, s.Kind}, []amount{{"kg", kg}, {"piece", float64(s.Pieces)}}}))
	}
	media := 0.0
	for i := range p.Filter {
		media += float64(p.Filter[i].Media) * 1000
	}
	if media > 0 {
		out = append(out, l.cost("Filter media", offer{[]string{"filter media"}, []amount{{"L", media}}}))
	}
	out = append(out, t.waterLines(l, "the filling", x.NetWaterL)...)
	out = append(out, t.saltLines(l, t.batchSalts(x.NetWaterL))...)
	out = append(out, t.animalLines(l, math.MinInt32, 0)...)
	d := t.plantingDay()
	return append(out, labour("Labour: building and planting, by the house's norm for the footprint", d.BuildH, rate))
}

func (t *teller) yearLines(l priceList, rate float64, from, until int) []costLine {
	p := t.f.Plan
	var out []costLine
	sum := func(of func(*forecast.Day) float64) float64 { return t.total(from, until, of) }
	for _, o := range t.plantOrders() {
		if o.Day > 0 && o.Day >= from && o.Day <= until {
			out = append(out, t.plantLine(l, o))
		}
	}
	for i := range p.Events {
		e := &p.Events[i]
		if n := len(p.Substrate.Layers); n > 0 && e.Fresh > 0 && int(e.On) >= from && int(e.On) <= until {
			top := p.Substrate.Layers[n-1].Material
			litres := float64(e.Fresh) * t.area(e.Within) * 1000 * draft.Settling
			out = append(out, l.cost("Fresh "+top, offer{[]string{top, "substrate"}, []amount{{"L", litres}}}))
		}
	}
	changed, topped := sum(func(d *forecast.Day) float64 { return d.ChangedL }), sum(func(d *forecast.Day) float64 { return d.TopUpL })
	out = append(out, t.waterLines(l, "changes and topping up", changed+topped)...)
	grams := t.batchSalts(changed)
	bottles := map[string]float64{}
	tablets := 0
	for i := range t.f.Events {
		e := &t.f.Events[i]
		if e.Day < from || e.Day > until {
			continue
		}
		switch e.Kind {
		case "dose":
			if c := t.careByID(e.ID, "dose"); c != nil {
				for s, g := range c.Grams {
					grams[s] += g
				}
				if c.Bottle != "" {
					bottles[c.Bottle] += float64(c.Amount) * 1000
				}
			}
		case "root-feed":
			if c := t.careByID(e.ID, "root-feed"); c != nil {
				tablets += c.Tablets
			}
		}
	}
	out = append(out, t.saltLines(l, grams)...)
	for _, b := range sortedKeys(bottles) {
		out = append(out, l.cost("Bottle: "+b, offer{[]string{b, "bottle"}, []amount{{"L", bottles[b]}}}))
	}
	if tablets > 0 {
		out = append(out, l.cost("Root tablets", offer{[]string{"root tablet", "root tablets"}, []amount{{"tablet", float64(tablets)}}}))
	}
	food := 0.0
	for day := max(from, 0); day <= until; day++ {
		for i := len(p.Feeding) - 1; i >= 0; i-- {
			if q := &p.Feeding[i]; float64(day) >= float64(q.From) && (q.Until <= 0 || float64(day) < float64(q.Until)) {
				food += float64(q.DryFood) * 86400
				break
			}
		}
	}
	if food > 0 {
		out = append(out, l.cost("Fish food", offer{[]string{"food", "fish food", "dry food"}, []amount{{"kg", food}}}))
	}
	out = append(out, t.animalLines(l, max(from, 1), until)...)
	if gas := sum(func(d *forecast.Day) float64 { return d.CO2UsedG }) / 1000; gas > 0 {
		out = append(out, l.cost("CO2 gas", offer{[]string{"co2", "co2 gas", "carbon dioxide"}, []amount{{"kg", gas}}}))
	}
	if kwh := sum(func(d *forecast.Day) float64 { return d.HeaterKWh + d.LampKWh }); kwh > 0 {
		out = append(out, l.cost("Electricity, lamps and heater", offer{[]string{"electricity", "power"}, []amount{{"kWh", kwh}}}))
	}
	// Work of day 0 belongs to the building.
	hours := t.total(max(from, 1), until, func(d *forecast.Day) float64 { return d.Minutes }) / 60
	return append(out, labour("Labour: care on site", hours, rate))
}

// waterLines prices water by the plan's mix of tap and pure water.
func (t *teller) waterLines(l priceList, what string, litres float64) []costLine {
	var out []costLine
	pure := float64(t.f.Plan.Water.Mix.Pure)
	if tap := litres * (1 - pure); tap > 0 {
		out = append(out, l.cost("Tap water for "+what, offer{[]string{"tap water", "water"}, []amount{{"m³", tap / 1000}, {"L", tap}}}))
	}
	if litres*pure > 0 {
		out = append(out, l.cost("Pure water for "+what, offer{[]string{"pure water"}, []amount{{"m³", litres * pure / 1000}, {"L", litres * pure}}}))
	}
	return out
}

// batchSalts is grams of the salts that go into so much change water.
func (t *teller) batchSalts(litres float64) map[string]float64 {
	out := map[string]float64{}
	for _, s := range t.f.Plan.Water.Salts {
		out[s.Salt] += float64(s.Dose) * litres / 1000
	}
	return out
}

func (t *teller) saltLines(l priceList, grams map[string]float64) []costLine {
	var out []costLine
	for _, s := range sortedKeys(grams) {
		kg := grams[s] / 1000
		if !(kg > 0) {
			continue
		}
		if !t.isIron(s) {
			out = append(out, l.cost(s, offer{[]string{s, "salt"}, []amount{{"kg", kg}}}))
			continue
		}
		// Iron is sold as a chelate.
		offers := []offer{{[]string{chelates[0].name}, []amount{{"kg", kg / chelates[0].iron}}}, {[]string{chelates[1].name}, []amount{{"kg", kg / chelates[1].iron}}}}
		out = append(out, l.cost("Iron, as "+chelates[0].name+" or "+chelates[1].name, offers...))
	}
	return out
}

// isIron tells whether a dose is written in grams of chelated iron rather than of a salt.
func (t *teller) isIron(salt string) bool {
	s, ok := t.cat.Salt(salt)
	return ok && s.Formula == "iron"
}

// chelated says what grams of iron weigh as what one buys.
func chelated(grams float64) string {
	var parts []string
	for _, c := range chelates {
		parts = append(parts, fmt.Sprintf("%s g of %s (%s Fe)", figure(grams/c.iron, 2), c.name, percent(c.iron)))
	}
	return strings.Join(parts, " or ")
}

func (t *teller) animalLines(l priceList, from, until int) []costLine {
	var out []costLine
	for _, s := range t.f.Plan.Livestock {
		if int(s.From) < from || int(s.From) > until || s.Count <= 0 || t.f.Plan.Found != nil && s.From <= 0 {
			continue
		}
		names := []string{s.Species}
		what := s.Species
		if a, ok := t.cat.Animal(s.Species); ok {
			names, what = append(names, a.Name, a.Kind), a.Name
		}
		out = append(out, l.cost(what, offer{names, []amount{{"piece", float64(s.Count)}}}))
	}
	return out
}

// area is of an outline in cm, or of the whole floor without one; m².
func (t *teller) area(outline []plan.PointCM) float64 {
	k := t.f.Model.Tank
	if len(outline) < 3 {
		if k.Shape == "cylinder" {
			return math.Pi * k.LX * k.LX / 4
		}
		return k.LX * k.LY
	}
	sum := 0.0
	for i, a := range outline {
		b := outline[(i+1)%len(outline)]
		sum += a[0]*b[1] - b[0]*a[1]
	}
	return math.Abs(sum) / 2 / 1e4
}

// plantingDay is how long the planting of day 0 and the whole building take, by the house's norms.
type plantingDay struct {
	Pots               int
	PlantH, PrepareH   float64 // person-hours
	BuildH, HardscapeH float64 // person-hours of the whole building, planting included, and of its hardscape
	Planters           int     // that fit at the front glass
	LastsH             float64 // hours of the day with so many
}

func (t *teller) plantingDay() plantingDay {
	var d plantingDay
	for i := range t.f.Plan.Plants {
		p := &t.f.Plan.Plants[i]
		if p.From > 0 || t.f.Plan.Found != nil {
			continue
		}
		rate := 0.0
		if sp, ok := t.cat.Species(p.Species); ok {
			rate = t.house.Labour[string(sp.Form)]
		}
		if !(rate > 0) {
			rate = usualPotsPerHour
		}
		d.Pots += p.Pots
		d.PlantH += float64(p.Pots) / rate
	}
	d.PrepareH = d.PlantH / plantersPerPreparer
	area := t.area(nil)
	d.HardscapeH = t.house.Labour["hardscape-hours-m2"] * area
	if len(t.f.Plan.Hardscape) == 0 {
		d.HardscapeH = 0
	}
	d.BuildH = max(t.house.Labour["build-hours-m2"]*area, d.PlantH+d.PrepareH+d.HardscapeH)
	// No more hands than keep busy for an hour.
	d.Planters = max(1, min(int(t.f.Model.Tank.LX/frontPerPlanter), int(math.Ceil(min(d.PlantH, 1e6)))))
	d.LastsH = d.PlantH / float64(d.Planters)
	return d
}

// plantingLine says the planting day in a sentence or two; empty when nothing is planted.
func (t *teller) plantingLine() string {
	d := t.plantingDay()
	if d.Pots == 0 {
		return ""
	}
	return fmt.Sprintf("Planting day: %s take about %s person-hours to set by the house's norms, and %s more to prepare. With %s at the front glass and one hand preparing for each two, that is about %s h. The whole building, planting included, takes about %s person-hours by the footprint.",
		count(d.Pots, "pot", "pots"), figure(d.PlantH, 2), figure(d.PrepareH, 2), count(d.Planters, "planter", "planters"), figure(d.LastsH, 2), figure(d.BuildH, 2))
}

// money writes an amount; three figures for an order, two for a forecast.
func (c *costs) money(v float64, figures int) string {
	return strings.TrimSpace(coins(v, figures) + " " + c.Currency)
}

// coins writes an amount with no more than two decimals.
func coins(v float64, figures int) string {
	if math.Abs(v) < 1 {
		figures = max(0, min(figures, 3+int(math.Floor(math.Log10(max(math.Abs(v), .001))))))
		if figures == 0 {
			return "0"
		}
	}
	return figure(v, figures)
}

// costSentence says the sums; empty without prices.
func (t *teller) costSentence() string {
	c := t.costing()
	if !c.Stated {
		return ""
	}
	var parts []string
	open := map[string]bool{}
	note := func(b *costBlock) {
		for _, l := range b.Lines {
			if !l.Priced {
				open[l.What] = true
			}
		}
	}
	if c.Build != nil {
		sum, _ := c.Build.sum()
		parts = append(parts, "building and planting cost about "+c.money(sum, 2))
		note(c.Build)
	}
	if len(c.Years) > 0 {
		y := &c.Years[0]
		sum, _ := y.sum()
		over := "in the first year"
		if y.Until-y.From < 360 {
			over = "over " + count(y.Until-y.From, "day", "days")
		}
		parts = append(parts, fmt.Sprintf("care %s about %s", over, c.money(sum, 2)))
		note(y)
	}
	s := capital(strings.Join(parts, " and "))
	if n := len(open); n > 0 {
		s += fmt.Sprintf(", without %s that %s no price yet", count(n, "thing", "things"), map[bool]string{true: "has", false: "have"}[n == 1])
	}
	return s + "."
}

// costRow is a line of a priced list, in words.
type costRow struct{ What, Amount, Price, Cost string }

// yearRow is a line of the table of years: what, and its cost in each.
type yearRow struct {
	What  string
	Costs []string
}

// costTables are the priced lists of the report.
type costTables struct {
	Currency             string
	Build, BuildOpen     []costRow
	BuildSum             string
	Years                []string
	Care                 []yearRow
	Sums                 []string
	Open                 []string // what the years hold that has no price
	Rate, Without, Power string
}

// together sums the plants of a block into one line with a price and, where it must be, one without.
func together(lines []costLine) []costLine {
	plants := [2]costLine{{What: "Plants without a price", Unit: "pot"}, {What: "Plants, as listed by species", Unit: "pot", Priced: true}}
	var rest []costLine
	for _, l := range lines {
		if !l.Plant {
			rest = append(rest, l)
			continue
		}
		p := &plants[0]
		if l.Priced {
			p = &plants[1]
		}
		p.Qty += l.Qty
		p.Cost += l.Cost
	}
	var out []costLine
	for _, p := range []costLine{plants[1], plants[0]} {
		if p.Qty > 0 {
			out = append(out, p)
		}
	}
	return append(out, rest...)
}

func (t *teller) quantity(l *costLine) string {
	switch l.Unit {
	case "L":
		return t.shown(unit.KindVolume, l.Qty/1000, 2)
	case "kg":
		return t.about(l.Qty)
	case "pot", "piece", "tablet":
		return count(int(min(l.Qty, 1e9)), l.Unit, l.Unit+"s")
	}
	return figure(l.Qty, 2) + " " + l.Unit
}

func (t *teller) costTables() *costTables {
	c := t.costing()
	out := &costTables{Currency: c.Currency}
	if !c.Stated {
		return nil
	}
	if c.Rate > 0 {
		out.Rate = fmt.Sprintf("An hour of work counts %s.", c.money(c.Rate, 4))
	}
	if c.Build != nil {
		lines := together(c.Build.Lines)
		for i := range lines {
			l := &lines[i]
			row := costRow{What: l.What, Amount: t.quantity(l)}
			if !l.Priced {
				row.Price = l.Note
				out.BuildOpen = append(out.BuildOpen, row)
				continue
			}
			row.Cost = coins(l.Cost, 3)
			if l.Per != "" {
				row.Price = figure(l.Price, 4) + " / " + l.Per
			}
			out.Build = append(out.Build, row)
		}
		sum, _ := c.Build.sum()
		out.BuildSum = c.money(sum, 3)
	}
	// The years side by side, in the order in which things first come.
	at := map[string]int{}
	open := map[string]bool{}
	for k := range c.Years {
		y := &c.Years[k]
		out.Years = append(out.Years, y.Name)
		lines := together(y.Lines)
		for i := range lines {
			l := &lines[i]
			if !l.Priced {
				open[l.What] = true
				continue
			}
			n, ok := at[l.What]
			if !ok {
				n = len(out.Care)
				at[l.What] = n
				out.Care = append(out.Care, yearRow{l.What, make([]string, len(c.Years))})
			}
			out.Care[n].Costs[k] = coins(l.Cost, 2)
		}
		sum, _ := y.sum()
		out.Sums = append(out.Sums, c.money(sum, 2))
	}
	for what := range open {
		out.Open = append(out.Open, what)
	}
	sort.Strings(out.Open)
	out.Without = "The sum leaves out what has no price yet, and everything that the plan does not hold: tank, stand, lamps, filters, transport, tax."
	out.Power = "Filter pumps, driving, worn lamps, repairs and tax are not in the sums."
	return out
}
