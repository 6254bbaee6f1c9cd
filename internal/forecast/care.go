package forecast

import (
	"fmt"
	"littoral/internal/algae"
	"littoral/internal/catalog"
	"littoral/internal/growth"
	"littoral/internal/plan"
	"littoral/internal/soil"
	"littoral/internal/unit"
	"littoral/internal/water"
	"math"
	"slices"
	"sort"
	"strings"
)

// Minutes of hand work that growth does not know; labour norms of the house's defaults (common practice, no source).
const (
	changeMinutes  = 8.0  // hoses, checks, restart
	changePerLitre = 0.04 // crew time bound while draining and filling; the rest of the time other work goes on
	doseMinutes    = 3.0
	// visitMinutes is what every visit costs besides its tasks: look and count, test, wipe the outside, photograph, watch, report.
	visitMinutes    = 25.0
	filterMinutes   = 20.0 // 15 to 25 for prefilter and media, once the crew is there
	siphonMinutes   = 12.0
	glassPerM2      = 6.0
	tabletMinutes   = 0.5
	plantMinutesPot = 3.0
	// siphonReach is the share of the detritus that a siphon takes off open bed, and siphonUnder of that share what it reaches under leaves.
	// Ranges 0.5 to 0.95 and 0.1 to 0.6.
	siphonReach, siphonUnder = 0.75, 0.4
	// rinsed is the share of the settled detritus in the water's own heap that a filter cleaning takes out.
	rinsed = 0.6
	// trimCloud is what cutting stirs up, mg dry per g of wet cuttings.
	trimCloud = 2.0
	// darkChange is the change that ends a dark start; the trade replaces 90 to 100 %.
	darkChange = 0.9
)

// arrivals puts in the animals and plantings that come on this day and takes out the animals that leave.
func (r *run) arrivals(day int) {
	for i := range r.p.Livestock {
		s := &r.p.Livestock[i]
		comes, goes := day == int(s.From), s.Until > 0 && day == int(s.Until)
		if !comes && !goes {
			continue
		}
		animal, ok := r.p.Cat.Animal(s.Species)
		if !ok || s.Count <= 0 {
			continue
		}
		g := group{stock: s, animal: animal, count: s.Count}
		if comes {
			r.groups = append(r.groups, g)
			r.animals = r.animals.plus(g.body())
			r.ledger.came("animals", g.body())
			r.event(Event{Day: day, Hour: usualHour, Kind: "stock", ID: s.ID, Text: fmt.Sprintf("%d %s are added.", s.Count, s.Species), Amount: float64(s.Count), Unit: "animals"})
		}
		if goes {
			kept := r.groups[:0]
			for _, have := range r.groups {
				if have.stock != s {
					kept = append(kept, have)
				}
			}
			if len(kept) < len(r.groups) {
				r.animals = r.animals.plus(negative(g.body()))
				r.ledger.left("animals", g.body())
				r.event(Event{Day: day, Hour: usualHour, Kind: "stock", ID: s.ID, Text: fmt.Sprintf("%d %s are taken out.", s.Count, s.Species), Amount: float64(-s.Count), Unit: "animals"})
			}
			r.groups = kept
		}
	}
	var late []plan.Planting
	for _, pl := range r.p.Plants {
		if pl.From > 0 && day == int(pl.From) {
			late = append(late, pl)
		}
	}
	r.plant(day, usualHour, late)
}

// plant puts plantings in and books them.
func (r *run) plant(day int, hour float64, list []plan.Planting) {
	if len(list) == 0 {
		return
	}
	before := ofMatter(r.stand.Stock())
	leaves := r.stand.LeafArea()
	r.stand.Plant(day, list)
	film := r.algae.Seed(r.stand.LeafArea() - leaves)
	r.ledger.came("plants", ofMatter(r.stand.Stock()).plus(negative(before)).plus(ofAlgae(film)))
	for _, pl := range list {
		r.event(Event{
			Day: day, Hour: hour, Kind: "plant", ID: pl.ID, Text: fmt.Sprintf("%d pots of %s are planted.", pl.Pots, pl.Species),
			Amount: float64(pl.Pots), Unit: "pots", Minutes: plantMinutesPot * float64(pl.Pots),
		})
	}
	r.litDay = math.MinInt32
	r.field = nil
}

// plantDay ends a dark start: the water goes, the plants come.
func (r *run) plantDay() {
	if r.waiting == nil {
		return
	}
	r.change(0, usualHour, "start", darkChange, "The dark phase ends with a large water change.", nil)
	r.stand, r.waiting = r.waiting, nil
	r.ledger.came("plants", ofMatter(r.stand.Stock()).plus(ofAlgae(r.algae.Seed(r.stand.LeafArea()))))
	r.field = nil
}

// dryPhase grows the plants of a dry start in moist air over the wet bed: roots feed them, carbon comes from the air, and no
// water stands over them. Growth out of water under film is lively but the light is not bent and the pots keep their
// emersed leaves, so they still have to change over after filling.
func (r *run) dryPhase(days int) {
	// airCarbon is how far ordinary air serves a leaf out of water, against CO2-rich water; range 0.4 to 0.8, common practice.
	const airCarbon = 0.6
	for day := -days; day < 0; day++ {
		r.relight(day)
		regime := r.regime(0)
		env := r.env(day, lightDay(regime))
		d := r.stand.Demand(env)
		taken := growth.Taken{Root: r.rootTake(d), FixedC: [2]float64{d.GrossC[0] * airCarbon, d.GrossC[1] * airCarbon}}
		r.ledger.came("carbon dioxide from the air", elements{C: taken.FixedC[0] + taken.FixedC[1]})
		r.ledger.left("carbon dioxide to the air", elements{C: d.RespC})
		g := r.stand.Grow(env, taken)
		row := Day{Day: day}
		r.waste(g, &row)
	}
}

// troubles tells what is out of order on a day.
func (r *run) troubles(day int) (powerOff, filterLost bool) {
	for i := range r.p.Events {
		e := &r.p.Events[i]
		on, until := float64(e.On), float64(e.On)+math.Max(1, float64(e.For/unit.Days))
		if float64(day) < math.Floor(on) || float64(day) >= until {
			continue
		}
		switch e.Do {
		case "power-cut":
			powerOff = true
		case "filter-loss":
			filterLost = e.For > 0
		}
	}
	return powerOff, filterLost
}

func (r *run) event(e Event) { r.out.Events = append(r.out.Events, e) }

// workInBed does the part of a job that touches plants and bed.
func (r *run) workInBed(j job, row *Day) {
	if j.test != nil {
		return
	}
	hour := float64(j.hour)
	if e := j.event; e != nil {
		switch e.Do {
		case "replant", "remove", "plant":
			r.replant(j, row)
		}
		return
	}
	c := j.care
	if !r.holdsTrue(c) {
		return
	}
	switch c.Do {
	case "outer-leaves":
		cut := r.stand.OuterLeaves(j.day, c.Species, float64(c.Share))
		r.cut(j, "outer-leaves", cut, row)
	case "replant-tops":
		cut := r.stand.ReplantTops(j.day, c.Species, float64(c.To))
		r.cut(j, "replant-tops", cut, row)
		r.digOver(j.day, cut.Columns)
	case "pull-runners":
		cut := r.stand.PullRunners(j.day, c.Species, c.Within)
		r.cut(j, "pull-runners", cut, row)
	case "trim":
		var cut growth.Cut
		if c.Shape != "" {
			cut = r.stand.TrimShape(j.day, c.Species, growth.Shape{Dome: c.Shape == "dome", Low: float64(c.To), Rise: float64(c.Rise)})
		} else {
			cut = r.stand.Trim(j.day, c.Species, float64(c.To), float64(c.Share))
		}
		r.cut(j, "trim", cut, row)
	case "replace":
		before := ofMatter(r.stand.Stock())
		cut := r.stand.Replace(j.day, c.Species, float64(c.Share))
		if cut.Plants == 0 {
			return
		}
		r.ledger.came("plants", ofMatter(r.stand.Stock()).plus(negative(before)).plus(ofMatter(cut.Matter)))
		r.cut(j, "replace", cut, row)
		r.digOver(j.day, cut.Columns)
		r.litDay = math.MinInt32
		r.field = nil
	case "thin":
		cut := r.stand.Thin(j.day, c.Species, float64(c.Share))
		r.cut(j, "thin", cut, row)
	case "root-feed":
		kind := soil.Tablets["plain"]
		if c.Tablet == "coated" {
			kind = soil.Tablets["coated"]
		}
		held, cols := r.bed.Push(c.Tablets, kind, c.Where != "even")
		if len(cols) == 0 {
			return
		}
		r.ledger.came("root tablets", ofNutrients(held))
		r.event(Event{
			Day: j.day, Hour: hour, Kind: "root-feed", ID: c.ID, Text: fmt.Sprintf("%d root tablets are pushed in.", c.Tablets),
			Amount: float64(c.Tablets), Unit: "tablets", N: held.N, P: held.P, Minutes: 5 + tabletMinutes*float64(c.Tablets),
		})
	case "siphon":
		reach := r.t.site.siphonReach * (1 - (1-siphonUnder)*r.covered)
		o := r.bed.Siphon(reach)
		d := r.water.Siphon(reach)
		film := r.algae.Wipe(algae.Bed, reach)
		out := ofOrganic(o).plus(ofDetritus(d)).plus(ofAlgae(film))
		r.ledger.left("siphoned", out)
		r.event(Event{
			Day: j.day, Hour: hour, Kind: "siphon", ID: c.ID, Text: "Detritus is siphoned from the open bed.",
			Amount: o.Dry + d.Dry, Unit: "g dry", N: out.N, P: out.P, Minutes: siphonMinutes,
		})
	}
}

// holdsTrue tells whether the condition of a care line holds today.
func (r *run) holdsTrue(c *plan.Care) bool {
	if c.When.What == "" {
		return true
	}
	height, gap, ok := r.stand.Reach(c.Species)
	if c.When.What == "top" {
		return ok && gap < float64(c.When.Length)
	}
	return ok && height > float64(c.When.Length)
}

// digOver stirs up the bed where plants were taken up.
func (r *run) digOver(day int, cols []int) {
	cols = slices.Clone(cols)
	slices.Sort(cols)
	cols = slices.Compact(cols)
	r.relief.Dig(r.settledBy+float64(max(day, 0)), cols, r.bed.Shift)
	loose := r.bed.Disturb(cols)
	r.dug += loose.Exchanged
	r.pending.PO4P += loose.P
	r.pending.K += loose.K
	r.water.Suspended += plantingCloud * float64(len(cols)) / float64(max(1, len(r.bed.Columns())))
}

// deeds says in words what was done to plants.
var deeds = map[string]string{
	"trim": "%s is cut back.", "thin": "%s is thinned.", "outer-leaves": "The outer leaves of %s are taken.",
	"replant-tops": "The tops of %s are replanted.", "pull-runners": "Runners of %s are pulled.", "replace": "%s is replaced by new pots.",
}

// deedsOf are the words for plants that have no crown of leaves to take from.
var deedsOf = map[catalog.Form]map[string]string{
	catalog.Moss:     {"trim": "%s is clipped.", "outer-leaves": "Tufts of %s are plucked off."},
	catalog.Stem:     {"outer-leaves": "Side shoots of %s are taken."},
	catalog.Carpet:   {"trim": "%s is mown.", "outer-leaves": "The rim of %s is taken back."},
	catalog.Floating: {"trim": "Part of %s is netted off.", "thin": "Part of %s is netted off.", "outer-leaves": "Part of %s is netted off."},
}

// deed says what was done to plants of a line of care, in the words for their form where the line names one species or planting.
func (r *run) deed(kind, name string) string {
	if s, ok := r.p.Cat.Species(r.speciesOf(name)); ok && name != "" {
		if say := deedsOf[s.Form][kind]; say != "" {
			return say
		}
	}
	return deeds[kind]
}

// speciesOf is the species that a line of care names, itself or by the id of a planting.
func (r *run) speciesOf(name string) string {
	for _, pl := range r.p.Plantings() {
		if pl.ID == name {
			return pl.Species
		}
	}
	return name
}

// cut books cuttings.
func (r *run) cut(j job, kind string, c growth.Cut, row *Day) {
	if c.Plants == 0 || c.DryG <= 0 {
		return
	}
	m, dry := ofMatter(c.Matter), c.DryG
	if shoot, _ := r.stand.DryMass(); shoot > 0 { // their film leaves with the leaves
		film := r.algae.Wipe(algae.Leaves, c.DryG/(c.DryG+shoot))
		m = m.plus(ofAlgae(film))
		dry += film.Dry
	}
	r.ledger.left("cuttings", m)
	row.CutG += dry
	row.CutN += m.N
	row.CutP += m.P
	r.water.Suspended += trimCloud * c.FreshG / (1000 * r.water.Volume)
	what := "every plant that needs it"
	if kind == "pull-runners" {
		what = "every kind"
	}
	name := ""
	if j.care != nil && j.care.Species != "" {
		name = j.care.Species
		what = r.called(name)
	}
	r.event(Event{
		Day: j.day, Hour: float64(j.hour), Kind: kind, ID: j.care.ID, Text: sentence(fmt.Sprintf(r.deed(kind, name), what)),
		Amount: float64(c.Plants), Unit: "plants", FreshG: c.FreshG, N: m.N, P: m.P, Minutes: c.Minutes,
	})
}

// called names what a line of care is about: a species as it is, a planting by its species and its id.
func (r *run) called(name string) string {
	for _, pl := range r.p.Plantings() {
		if pl.ID == name {
			return fmt.Sprintf("%s (%s)", pl.Species, pl.ID)
		}
	}
	return name
}

// sentence begins a text with a capital letter.
func sentence(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// replant takes plants out, digs the bed, brings fresh substrate and puts the new plants in.
func (r *run) replant(j job, row *Day) {
	e := j.event
	hour := float64(j.hour)
	minutes := 0.0
	if e.Do != "plant" {
		before := ofMatter(r.stand.Stock())
		gone := r.stand.Remove(j.day, e.Remove, e.Within)
		out := before.plus(negative(ofMatter(r.stand.Stock())))
		r.ledger.left("plants taken out", out)
		row.CutG += gone.DryG
		row.CutN += out.N
		row.CutP += out.P
		minutes = gone.Minutes
		r.event(Event{
			Day: j.day, Hour: hour, Kind: "remove", ID: e.ID, Text: fmt.Sprintf("%d plants are taken out.", gone.Plants),
			Amount: float64(gone.Plants), Unit: "plants", FreshG: gone.FreshG, N: out.N, P: out.P, Minutes: minutes,
		})
	}
	cols := r.columnsWithin(e.Within)
	if e.Do == "replant" {
		r.digOver(j.day, cols)
	}
	if e.Fresh > 0 && len(r.cols.Layers) > 0 {
		top := r.cols.Layers[len(r.cols.Layers)-1].Material
		if n := len(r.p.Substrate.Layers); n > 0 {
			top = r.p.Substrate.Layers[n-1].Material
		}
		if m, ok := r.p.Cat.Material(top); ok {
			food, bases := r.bed.Refresh(cols, m, float64(e.Fresh))
			r.relief.Add(cols, top, float64(e.Fresh))
			r.ledger.came("fresh substrate", ofNutrients(food).plus(ofCations(bases)))
		}
	}
	r.plant(j.day, hour, e.Plant)
	r.field = nil
}

// within turns an outline in cm into a test on metres; no outline holds everything.
func within(outline []plan.PointCM) func(x, y float64) bool {
	if len(outline) < 3 {
		return func(x, y float64) bool { return true }
	}
	return func(x, y float64) bool {
		inside := false
		x, y = x*100, y*100
		for i, a := range outline {
			b := outline[(i+1)%len(outline)]
			if (a[1] > y) != (b[1] > y) && x < (b[0]-a[0])*(y-a[1])/(b[1]-a[1])+a[0] {
				inside = !inside
			}
		}
		return inside
	}
}

func (r *run) columnsWithin(outline []plan.PointCM) []int {
	in := within(outline)
	var cols []int
	for _, i := range r.bed.Columns() {
		x := (float64(i%r.cols.NX) + 0.5) * r.cols.Cell
		y := (float64(i/r.cols.NX) + 0.5) * r.cols.Cell
		if in(x, y) {
			cols = append(cols, i)
		}
	}
	return cols
}

// workInWater does the part of a job that touches water and filter.
func (r *run) workInWater(j job, row *Day) {
	if j.test != nil {
		r.goOnFrom(j)
		return
	}
	hour := float64(j.hour)
	if e := j.event; e != nil {
		switch e.Do {
		case "water-change":
			r.change(j.day, hour, e.ID, r.shareOf(e.Drain, e.Amount), "", row)
		case "replant":
			if e.Drain > 0 {
				r.change(j.day, hour, e.ID, float64(e.Drain), "", row)
			}
		case "filter-clean":
			r.cleanFilter(j.day, hour, e.ID)
		case "filter-loss":
			// The film of the media is gone; what lives on glass, bed and leaves stays.
			share := r.water.Surface / (r.water.Surface + r.water.Media)
			r.water.AOB *= share
			r.water.NOB *= share
			r.event(Event{Day: j.day, Hour: hour, Kind: "filter-loss", ID: e.ID, Text: "The filter's ripe media are lost."})
		case "power-cut":
			r.event(Event{Day: j.day, Hour: hour, Kind: "power-cut", ID: e.ID, Text: "The power fails: no light, gas, heating or filter."})
		case "missed-visits":
			days := float64(e.For / unit.Days)
			r.event(Event{Day: j.day, Hour: hour, Kind: "missed-visits", ID: e.ID, Text: fmt.Sprintf("No one comes for %.0f days.", days), Amount: days, Unit: "days"})
		}
		return
	}
	c := j.care
	switch c.Do {
	case "water-change":
		r.change(j.day, hour, c.ID, r.shareOf(c.Share, c.Amount), "", row)
	case "dose":
		r.dose(j)
	case "filter-clean":
		r.cleanFilter(j.day, hour, c.ID)
	case "glass":
		t := r.model.Tank
		area := 2 * (t.LX + t.LY) * t.WaterLevel
		out := r.wipeGlass()
		r.event(Event{Day: j.day, Hour: hour, Kind: "glass", ID: c.ID, Text: "The glass is wiped.", Amount: area, Unit: "m²", N: out.N, P: out.P, Minutes: glassPerM2 * area})
	}
}

// shareOf is what part of the net water a change replaces, stated as a share or as a volume.
func (r *run) shareOf(share unit.Fraction, amount unit.Volume) float64 {
	if amount > 0 {
		return math.Min(1, float64(amount)/r.water.Volume)
	}
	return float64(share)
}

// change replaces a share of the water.
func (r *run) change(day int, hour float64, id string, share float64, text string, row *Day) {
	if share <= 0 {
		return
	}
	x := r.water.Change(share, r.changeWater(day))
	r.ledger.left("water changed out", ofAmount(x.Out).plus(ofAlgae(r.algae.Drain(share))))
	r.ledger.came("change water", ofAmount(x.In))
	litres := x.Volume * 1000
	if text == "" {
		text = fmt.Sprintf("%.0f litres of water are changed.", litres)
	}
	if row != nil {
		row.ChangedL += litres
	}
	r.event(Event{
		Day: day, Hour: hour, Kind: "water-change", ID: id, Text: text, Amount: litres, Unit: "L",
		N: 1000 * (x.Out.NO3N + x.Out.NO2N + x.Out.TAN), P: 1000 * x.Out.PO4P, Minutes: changeMinutes + changePerLitre*litres,
	})
}

// dose dissolves salts or a measure of a bottle.
func (r *run) dose(j job) {
	c := j.care
	before := r.water.Holds()
	names := make([]string, 0, len(c.Grams))
	for name := range c.Grams {
		names = append(names, name)
	}
	sort.Strings(names)
	grams := 0.0
	for _, name := range names {
		salt, ok := water.LookSalt(name)
		if !ok {
			continue // the plan's check refuses unknown salts
		}
		r.water.Dose(water.Dissolve(salt, c.Grams[name]))
		grams += c.Grams[name]
	}
	what := strings.Join(names, ", ")
	amount, u := grams, "g"
	if c.Bottle != "" {
		for _, b := range r.p.Bottles {
			if b.Name == c.Bottle {
				r.water.Dose(bottled(b.PerLitre, float64(c.Amount)*1000))
				what, amount, u = b.Name, float64(c.Amount)*1e6, "mL"
			}
		}
	}
	gained := r.water.Holds().Minus(before)
	r.ledger.came("fertiliser", elements{N: 1000 * gained.N, P: 1000 * gained.P, K: 1000 * gained.K, C: 1000 * gained.C, Ca: 1000 * gained.Ca, Mg: 1000 * gained.Mg})
	r.event(Event{
		Day: j.day, Hour: float64(j.hour), Kind: "dose", ID: c.ID, Text: fmt.Sprintf("%s is dosed.", what), Amount: amount, Unit: u,
		N: 1000 * gained.N, P: 1000 * gained.P, Minutes: doseMinutes,
	})
}

// bottled is what a measure of a bottle brings. Labels name elements, not salts: the charge they leave open is closed with
// chloride or sodium, so that a dose never moves alkalinity by mistake.
func bottled(perLitre map[string]float64, litres float64) water.Amount {
	a := water.Amount{
		NO3N: perLitre["NO3-N"] * litres, TAN: perLitre["NH4-N"] * litres, PO4P: perLitre["P"] * litres, K: perLitre["K"] * litres,
		Ca: perLitre["Ca"] * litres, Mg: perLitre["Mg"] * litres, Fe: perLitre["Fe"] * litres,
	}
	return water.Neutral(a)
}

// cleanFilter rinses media in tank water.
func (r *run) cleanFilter(day int, hour float64, id string) {
	d := r.water.Siphon(rinsed)
	out := ofDetritus(d)
	r.ledger.left("rinsed from the filter", out)
	r.caught, r.sinceClean = 0, 0
	r.event(Event{Day: day, Hour: hour, Kind: "filter-clean", ID: id, Text: "The filter is rinsed in tank water.", Amount: d.Dry, Unit: "g dry", N: out.N, P: out.P, Minutes: filterMinutes})
}

// visits gathers the events that are work into days. A day on which nothing is done but a dose is no visit: front-desk staff or a
// pump gives it; its minutes count all the same.
func (r *run) visits() {
	sort.SliceStable(r.out.Events, func(a, b int) bool {
		ea, eb := r.out.Events[a], r.out.Events[b]
		if ea.Day != eb.Day {
			return ea.Day < eb.Day
		}
		return ea.Hour < eb.Hour
	})
	var v Visit
	crew := false
	finish := func() {
		if crew {
			v.Minutes += visitMinutes
			if v.Day >= 0 && v.Day < len(r.out.Days) {
				r.out.Days[v.Day].Minutes += visitMinutes
			}
			r.out.Visits = append(r.out.Visits, v)
		}
	}
	v.Day = math.MinInt32
	for i, e := range r.out.Events {
		if e.Minutes <= 0 {
			continue
		}
		if e.Day != v.Day {
			finish()
			v, crew = Visit{Day: e.Day}, false
		}
		v.Minutes += e.Minutes
		v.Tasks = append(v.Tasks, i)
		crew = crew || e.Kind != "dose"
		if e.Day >= 0 && e.Day < len(r.out.Days) {
			r.out.Days[e.Day].Minutes += e.Minutes
		}
	}
	finish()
}
