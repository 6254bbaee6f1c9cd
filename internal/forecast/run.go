package forecast

import (
	"context"
	"errors"
	"fmt"
	"littoral/internal/algae"
	"littoral/internal/crew"
	"littoral/internal/geometry"
	"littoral/internal/growth"
	"littoral/internal/light"
	"littoral/internal/plan"
	"littoral/internal/soil"
	"littoral/internal/unit"
	"littoral/internal/water"
	"math"
)

// Options say how far and how finely a plan is forecast.
type Options struct {
	Days     int                   // days after day 0; 0 = three years
	Seed     uint64                // keys every random draw together with item id and day
	Voxel    float64               // edge of the light grid, m; 0 = 2.5 cm, finer in small and coarser in very large tanks
	Keep     []int                 // days whose snapshot and light map are kept besides the weekly ones
	Hours    bool                  // every day is kept hour by hour in Forecast.Hours, some 1.4 kB a day
	Progress func(done, total int) // called after each day, from the goroutine of Run; nil = silent

	relight float64 // share of the leaf area that must change before the light is brought up to date; 0 = relightLeaves
	daily   bool    // light is traced anew every morning, for the leaves of that day
	halves  bool    // the water goes by half the usual steps
}

// Defaults of Options.
const (
	ThreeYears = 1095
	columnM    = 0.05
)

// The physical surroundings that a plan does not spell out.
const (
	// mediaM2PerM3 is the film-bearing surface of filter media; range 200 to 1000, common practice, no source.
	mediaM2PerM3 = 400
	// gasStill and gasFlow give the gas transfer velocity k600, m/day: a still indoor surface, and more with the flow that the outlet
	// spreads over it, per m³/h and m² of surface. A display of 2 m³/h and m² comes to 1.3, where the trade's figures lie between a
	// gentle ripple (0.5 to 1) and strong movement (1 to 3), and uses the usual 0.06 to 0.12 g of CO2 a day and litre. Windless lakes
	// show 0.5 (Cole & Caraco 1998, from memory). Ranges 0.1 to 0.6 and 0.15 to 1.2; common practice, no source.
	gasStill, gasFlow = 0.3, 0.5
	// glassK, filmWater and filmAir are the conductivity of float glass, W/(m K), and the heat transfer of still water and of room air to a pane,
	// W/(m² K) (EN 673, from memory); usualPane is a pane, m, of unstated thickness. surfaceU is the sensible loss of an open surface, W/(m² K),
	// common practice.
	glassK, filmWater, filmAir, usualPane = 1.0, 300, 8, 0.012
	surfaceU                              = 8.0
	// lampHeat is the share of lamp power that ends as heat in the water; common practice, range 0.05 to 0.3.
	lampHeat = 0.15
	// lampEfficacy is the photon efficacy of a lamp whose power is not stated, µmol/J; LED panels 1.8 to 2.8, common practice.
	lampEfficacy = 2.2
	// pumpHeat is the heat of a circulation pump that reaches the water, W per m³/h of real flow; common practice.
	pumpHeat = 6
	// singlePass is the share of suspended matter that a filter holds back in one pass, coarse and fine; range 0.1 to 0.6.
	singlePass, singlePassFine = 0.25, 0.5
	// movedAlive is the share of the film on ripe media that lives through the move; set so that a filter seeded with a fifth of
	// ripe media is ready in one to two weeks (common practice, no source). Range 0.01 to 0.3.
	movedAlive = 0.05
	// settlingPerHour is how fast what clouds the water sinks; flocs of 20 µm sink 2 m a day (Stokes), range 0.05 to 0.4.
	settlingPerHour = 0.12
	// stirredPerDay is the share of the detritus on the bed that flow and animals stir up daily; range 0.005 to 0.05.
	stirredPerDay = 0.02
	// plantingCloud is what planting day leaves suspended, mg/L; clears in a day or two, common practice.
	plantingCloud = 6
	// clogLitre is the caught matter, g dry per litre of media, at which flow is down to 70 % of new (the trade then cleans);
	// with agingPerDay it gives the usual four to eight weeks in a planted display. Common practice, no source.
	clogLitre   = 4.0
	agingPerDay = 0.004
	// dissolvedCO2 is the share of the bottle's gas that a clean diffuser dissolves; range 0.5 to 0.95.
	dissolvedCO2 = 0.8
	// co2Hours is the time in which a valve of unstated rate reaches its target from air level; the trade opens one to three
	// hours before light.
	co2Hours = 2
	// usualColour is the colour, 1/m, of the water of a planted tank that has settled; new wood adds colourWood 1/m for each kg
	// of wood in a m³ of water, which fades over colourLife days. Ranges 0.05 to 0.2, 0.005 to 0.05, 14 to 60; common practice.
	usualColour, colourWood, colourLife = 0.1, 0.02, 35
	// relightLeaves is the share of the leaf area that must have changed (growth.Stand.CanopyChange) before the light field is carried over to them;
	// relightDays is the longest a field serves. What grows in a year is then right to 3 % (TestYearlyGrowthHoldsWithLightTracedDaily).
	relightLeaves = 0.15
	// resolveLeaves is the share of the leaf area, added up over such changes, that must have moved before the field is traced anew in full; till then light.Solver.Regrow
	// carries it over.
	resolveLeaves = 0.8
	relightDays   = 28
	// relightWater is the change in the water's optical depth from surface to bed for which the field is carried over to it: a hundredth of the light at
	// the bed. steadyKd, 1/m, is how far it is carried over from the water that it was solved in; light.Solver.Tint then errs by under 0.1 %.
	relightWater = 0.01
	steadyKd     = 0.1
)

// run is a forecast under way.
type run struct {
	p     *plan.Plan
	opt   Options
	t     tuning
	out   *Forecast
	brief *brief // what a member of many forecasts keeps in place of days and snapshots; nil in a full forecast
	days  int

	model  *geometry.Model
	voxels *geometry.Voxels
	cols   *geometry.Columns
	sights []Sight

	water  water.State
	mix    water.Source      // what change water is made of
	source water.Composition // change water as poured, see changeWater
	topUp  water.Composition
	bed    *soil.Bed
	relief *soil.Relief
	roots  []float64 // g dry/m² by root column

	settledBy float64   // days for which the bed had lain on day 0
	laidTop   []float64 // m, the relief's heights on day 0
	stand     *growth.Stand
	solver    *light.Solver

	field       *light.Field
	open        *light.Field // without plants; nil in members
	leaf, cover []float64    // the canopy that it is for, as growth.Stand.Canopy
	next        lighting
	workers     int
	litDay      int     // day of the last light solve
	filmDay     int     // day on which the film on leaves was last looked at
	litKd       float64 // of the water that the field stands for, 1/m
	solvedKd    float64 // of the water that it was solved in
	moved       float64 // share of the leaf area that has moved since the field was traced in full
	bedMean     float64

	jobs   map[int][]job
	ledger *ledger

	groups             []group
	animals            elements // what the animals' bodies hold
	pending            water.Supply
	litter             water.Detritus  // g, to come into the water over the next day
	dug                float64         // mg of ammonium N stirred out of the bed, to come into the water over the day
	rootGot            []growth.Matter // see rootTake
	rootCols           []int
	plantDebt, bedDebt float64       // respiration that waits for oxygen, mmol
	sited              soil.Cations  // mg that exchange sites took from the water since midnight
	waiting            *growth.Stand // plants of a dark start, until day 0

	filterFlow  float64 // m³/h real when new
	mediaL      float64
	fine        bool
	caught      float64 // g dry since the last cleaning
	sinceClean  int
	filterLost  bool
	powerOff    bool
	lampW       float64
	evaporated  float64 // m³ waiting for top-up
	colour      float64 // tannin at day 0
	monthFrom   int     // first day of the running month
	targetLevel float64 // m³
	area        float64 // open surface, m²
	ua          float64
	roomT       float64 // °C, of the day

	algae      *algae.State
	mean       algae.Conditions // of about the last week
	wallArea   float64          // m² of glass under water
	stoneArea  float64          // m² of hardscape in the water
	covered    float64          // share of the open bed under leaves
	waterMean  float64          // mean PPFD of the water in full light
	freeVoxels int              // of water
	shine      float64          // what the lamps give, against what the plan says

	windows    *daylit      // nil without daylight
	lit        *light.Field // of lamps and windows; that of the lamps where there are none
	glassLight float64      // PPFD of full light on glass and on what floats; the water's mean but for windows
	floatLight float64
}

// Run forecasts a plan. It stops with the context's error when ctx ends, and with an error that says what is wrong when the
// plan cannot be built (see geometry.Build).
func Run(ctx context.Context, p *plan.Plan, opt Options) (*Forecast, error) {
	b, err := build(p, opt, 0)
	if err != nil {
		return nil, err
	}
	return b.full(ctx, b.solver)
}

// full runs a forecast with the house's values that keeps everything.
func (b *built) full(ctx context.Context, solver *light.Solver) (*Forecast, error) {
	r, err := b.begin(usual(), b.opt.Seed, solver)
	if err != nil {
		return nil, err
	}
	r.litKd = light.Kd(usualColour, 0)
	r.open = r.solver.Solve(nil, nil, r.litKd, nil)
	r.field = r.open
	r.lit = r.field
	r.lightMap(0)
	r.field = nil
	if err := r.through(ctx); err != nil {
		return nil, err
	}
	r.out.Balance = r.ledger.close(r.holds())
	r.out.Heat = Heat{UA: r.ua, Area: r.area, EvapShare: r.evapShare(), LampShare: r.t.site.lampHeat, PumpW: pumpHeat * r.filterFlow}
	r.out.Change = r.source
	r.pick()
	r.visits()
	return r.out, nil
}

// through runs all days.
func (r *run) through(ctx context.Context) error {
	defer r.awaitLight() // nobody else has the solver while a field is in the making
	first := r.out.Start
	for day := first; day <= r.days; day++ {
		if err := ctx.Err(); err != nil {
			return err
		}
		if day == 0 {
			r.plantDay()
		}
		row := r.day(day)
		weekly := day >= 0 && (day%7 == 0 || day == r.days)
		r.ground(day)
		switch {
		case r.brief != nil:
			r.brief.note(r, &row, weekly)
		case day < 0:
			r.out.Before = append(r.out.Before, row)
		default:
			r.out.Days = append(r.out.Days, row)
			if weekly || keeps(r.opt.Keep, day) {
				r.snapshot(day)
			}
			r.month(day)
		}
		if r.opt.Progress != nil {
			r.opt.Progress(day-first+1, r.days-first+1)
		}
	}
	return nil
}

// daysMonth is a twelfth of a year of 365.25 days.
const daysMonth = 365.25 / 12

// month closes the account of what held the plantings back, at the end of a month and of the forecast.
func (r *run) month(day int) {
	if day < r.days && int(float64(day+1)/daysMonth) == int(float64(day)/daysMonth) {
		return
	}
	for _, h := range r.stand.Held() {
		r.out.Held = append(r.out.Held, Month{From: r.monthFrom, Until: day, Held: h})
	}
	r.monthFrom = day + 1
}

func keeps(list []int, day int) bool {
	for _, d := range list {
		if d == day {
			return true
		}
	}
	return false
}

// Tank is the glass, bed, hardscape and lamps of a plan made ready for more than one forecast. It is safe for concurrent use.
type Tank struct{ built *built }

// Prepare builds a tank once, with the options for all its forecasts (Options.Progress is not used).
func Prepare(p *plan.Plan, opt Options) (*Tank, error) {
	opt.Progress = nil
	b, err := build(p, opt, 1)
	if err != nil {
		return nil, err
	}
	return &Tank{b}, nil
}

// Forecast runs a plan in the tank. The plan must be the one of Prepare or a copy of it that differs in water, gas, light regime, filter,
// animals, feeding, care and events alone; tank, bed, hardscape and lamps are taken as they were prepared.
func (t *Tank) Forecast(ctx context.Context, p *plan.Plan) (*Forecast, error) {
	b := *t.built
	b.p, b.jobs = p, schedule(p, b.opt.Days+1)
	return b.full(ctx, t.built.solver.Fork())
}

// built is what all forecasts of one plan share and none changes: bodies, grids, light tables and the schedule.
type built struct {
	p      *plan.Plan
	opt    Options
	model  *geometry.Model
	voxels *geometry.Voxels
	cols   *geometry.Columns
	jobs   map[int][]job
	solver *light.Solver

	daylight *light.Daylight // nil without daylight

	openRight, openBack []float64 // share of the faces between columns that no hardscape closes

	workers int
	lumens  float64 // share of the lamps' flux that was reckoned from lumens

	sources []light.Source
	optics  light.Options
}

// build builds the tank and lays the schedule; workers are those of one forecast, 0 = one for each processor.
func build(p *plan.Plan, opt Options, workers int) (*built, error) {
	if opt.Days <= 0 {
		opt.Days = ThreeYears
	}
	if p.LightOnly {
		return nil, errors.New("the plan states optics and no water, which is enough for its light but not for a forecast; add water: {tap: {alkalinity: 7 dKH, hardness: 12 dGH}}")
	}
	model, err := geometry.Build(p, geometry.Options{Seed: opt.Seed})
	if err != nil {
		return nil, err
	}
	cell := opt.Voxel
	if cell <= 0 {
		cell = model.VoxelEdge()
	}
	b := &built{p: p, opt: opt, model: model, voxels: model.Voxels(cell), cols: model.Columns(columnM), jobs: schedule(p, opt.Days+1), workers: crew.Size(workers)}
	b.openRight, b.openBack = model.Open(b.cols, soil.Moving)
	sources, err := light.Sources(p, model.Tank)
	if err != nil {
		return nil, err
	}
	flux, read := 0.0, 0.0
	for _, s := range sources {
		flux += s.Flux
		if doubt := s.Doubt(); doubt != "" {
			model.Notes = append(model.Notes, doubt)
		}
		if s.Spread > 0 && s.Fit.Readings == 0 {
			read += s.Flux
		}
	}
	if flux > 0 {
		b.lumens = read / flux
	}
	optics := light.WaterOf(p)
	optics.Scattering = 0 // the clearness of the water is the forecast's own
	b.sources, b.optics = sources, optics.Over(light.Options{Workers: b.workers, Ripples: p.Tank.Ripples, Regrows: true})
	b.solver = light.NewSolver(b.sources, b.voxels, model.Tank, b.optics)
	if windows := light.Windows(p, model.Tank); windows != nil {
		b.daylight = light.NewDaylight(windows, b.voxels, model.Tank, float64(p.Tank.Hood), b.optics)
	}
	return b, nil
}

// begin fills the tank for one forecast. The solver is the built one or a fork of it, for this goroutine alone.
func (b *built) begin(t tuning, seed uint64, solver *light.Solver) (*run, error) {
	p := b.p
	r := &run{p: p, opt: b.opt, t: t, days: b.opt.Days, model: b.model, voxels: b.voxels, cols: b.cols, jobs: b.jobs, solver: solver, windows: b.windows(), ledger: newLedger()}
	r.out = &Forecast{Plan: p, Model: b.model, Columns: b.cols, Seed: b.opt.Seed, Length: b.opt.Days}
	r.workers = b.workers
	for _, c := range []struct{ leaf, cover *[]float64 }{{&r.leaf, &r.cover}, {&r.next.leaf, &r.next.cover}} {
		*c.leaf, *c.cover = make([]float64, len(r.voxels.Solid)), make([]float64, r.voxels.NX*r.voxels.NY)
	}
	r.litDay = math.MinInt32
	r.shine = t.site.lampLight * (1 + b.lumens*(t.site.lampSpectrum-1))
	for _, solid := range r.voxels.Solid {
		if !solid {
			r.freeVoxels++
		}
	}

	r.sights = r.out.Sights()
	if err := r.fill(); err != nil {
		return nil, err
	}
	r.surroundings()

	age := 0.0
	if p.Found != nil {
		age = float64(p.Found.Age) / (365.25 * 86400)
		switch p.Found.Substrate {
		case "new":
			age = 0
		case "used":
			age = math.Max(age, 0.75)
		case "spent":
			age = math.Max(age, 2.5)
		}
	}
	r.bed = soil.NewWith(r.cols, p.Cat, age, t.soil, t.chemistry)
	r.relief = soil.NewRelief(r.cols, b.openRight, b.openBack, p.Cat, t.soil)
	r.roots = make([]float64, len(r.cols.Area))
	r.settledBy = 0
	if p.Found != nil { // it settled long ago
		r.settledBy = longSettled
	}

	if p.Found == nil && p.Start.Kind != "" && p.Start.Kind != "wet" {
		r.out.Start = -int(math.Round(float64(p.Start.For / unit.Days)))
	}
	r.stand = growth.NewWith(p, r.model, r.voxels, r.cols, seed, t.growth, t.physiology)
	r.stand.SetOutlets(outlets(p))
	if r.out.Start < 0 && p.Start.Kind == "dark" {
		bare := *p
		bare.Plants = nil
		r.waiting = r.stand
		r.stand = growth.NewWith(&bare, r.model, r.voxels, r.cols, seed, t.growth, t.physiology)
	}
	r.stand.Workers(b.workers)
	if r.waiting != nil {
		r.waiting.Workers(b.workers)
	}
	r.beginAlgae()
	r.ledger.start = r.holds()
	if r.out.Start < 0 && p.Start.Kind == "dry" {
		r.dryPhase(-r.out.Start)
		r.out.Start = 0
	}
	return r, nil
}

// tapAnalysis is the plan's tap as an analysis.
func tapAnalysis(p *plan.Plan) water.Analysis {
	tap := p.Water.Tap
	a := water.Analysis{
		T: float64(tap.Temperature), Alk: float64(tap.Alkalinity), Hard: float64(tap.Hardness),
		PH: tap.PH, NO3: float64(tap.Nitrate), NH4: float64(tap.Ammonium), PO4: float64(tap.Phosphate),
		K: float64(tap.Potassium), Na: float64(tap.Sodium), Cl: float64(tap.Chloride),
		SO4: float64(tap.Sulphate), Fe: float64(tap.Iron),
	}
	if ca, mg := float64(tap.Calcium), float64(tap.Magnesium); ca > 0 && mg > 0 {
		a.CaMg = ca / 40.078 / (mg / 24.305) // molar masses, IUPAC 2021 abridged
	}
	return a
}

// TapWater returns the plan's tap water, balanced in charge, as it leaves the tap.
func TapWater(p *plan.Plan) water.Composition {
	c, _ := tapAnalysis(p).Composition()
	return c
}

// sourceOf is what the plan mixes its change water from.
func sourceOf(p *plan.Plan) water.Source {
	src := water.Source{Tap: tapAnalysis(p), Pure: float64(p.Water.Mix.Pure)}
	for _, s := range p.Water.Salts {
		src.Salts = append(src.Salts, water.Dosage{Salt: s.Salt, MgL: float64(s.Dose)})
	}
	return src
}

// ChangeWater returns the plan's change water: tap and pure water in their shares, with its salts. It returns an error when these
// cannot be mixed.
func ChangeWater(p *plan.Plan) (water.Composition, error) {
	mixed, _, err := sourceOf(p).Composition()
	if err != nil {
		return water.Composition{}, fmt.Errorf("the change water cannot be mixed: %w", err)
	}
	return mixed, nil
}

// fill sets up the water body as the plan starts it.
func (r *run) fill() error {
	p := r.p
	src := sourceOf(p)
	t := &r.t.site
	for _, x := range []*float64{&src.Tap.Alk, &src.Tap.Hard, &src.Tap.K, &src.Tap.Na, &src.Tap.Cl, &src.Tap.SO4} {
		*x *= t.tapHard
	}
	src.Tap.NO3 *= t.tapNitrate
	src.Tap.PO4 *= t.tapPhosphate
	set := r.setPoint()
	if p.Water.Tap.Tempered {
		src.T = set
	}
	r.mix = src
	mixed, _, err := src.Composition()
	if err != nil {
		return fmt.Errorf("the change water cannot be mixed: %w", err)
	}
	r.source = mixed
	r.topUp = mixed
	if p.Water.Mix.Pure > 0 {
		r.topUp = water.PureWater(mixed.T)
	}

	mediaL, seeded := 0.0, 0.0
	for _, f := range p.Filter {
		l := float64(f.Media) * 1000
		mediaL += l
		seeded += l * float64(f.Seeded)
		r.filterFlow += float64(f.Flow) * 3600 * float64(f.Real)
		r.fine = r.fine || f.Fine
	}
	r.mediaL = mediaL
	if mediaL > 0 {
		seeded *= r.t.site.movedAlive / mediaL
	}
	found := p.Found
	if found != nil {
		seeded = ripeAt(float64(found.Age / unit.Days))
		switch {
		case found.Flow > 0:
			r.caught = r.clogCapacity() * (1/float64(found.Flow) - 1) / 0.43
		case found.Filter == "loaded":
			r.caught = r.clogCapacity()
		case found.Filter == "clogged":
			r.caught = 2.5 * r.clogCapacity()
		}
	}
	start := mixed
	start.T = set
	volume := r.model.Facts.NetWaterL / 1000
	if found != nil && found.Readings != nil {
		start = foundWater(start, found.Readings)
	}
	r.water = water.NewStateWith(volume, start, start.T, mediaL/1000*r.t.site.mediaM2PerM3, seeded, r.t.water)
	r.targetLevel = volume
	if found == nil {
		r.water.Suspended = plantingCloud
	}
	return nil
}

// changeWater is the change water of a day: that of the plan, but for the seasons of the tap.
func (r *run) changeWater(day int) water.Composition {
	swing := r.t.site.tapSwing
	if swing == 0 {
		return r.source
	}
	mix := r.mix
	season := 1 + swing*math.Cos(2*math.Pi*float64(day)/365.25)
	for _, x := range []*float64{&mix.Tap.Alk, &mix.Tap.Hard, &mix.Tap.K, &mix.Tap.Na, &mix.Tap.Cl, &mix.Tap.SO4, &mix.Tap.NO3, &mix.Tap.PO4} {
		*x *= season
	}
	c, _, err := mix.Composition()
	if err != nil { // fill has mixed it before
		return r.source
	}
	return c
}

// ripeAt is how far the filter of a running tank has ripened by its age in days: full after six weeks, and before that a
// thousandth at the start, growing evenly (common practice: three to six weeks to a ripe filter). An unstated age counts as ripe.
func ripeAt(days float64) float64 {
	const ripeDays, startShare = 42, 0.001
	if days <= 0 || days >= ripeDays {
		return 1
	}
	return math.Pow(startShare, 1-days/ripeDays)
}

// foundWater puts what was read in the running tank over what the change water would give.
func foundWater(c water.Composition, rd *plan.Readings) water.Composition {
	if rd.Temp != nil {
		c.T = float64(*rd.Temp)
	}
	a := water.Analysis{
		T: c.T, Alk: c.Alk, Hard: c.DGH() * water.MmolPerDH, NO3: c.NO3N * water.NO3PerN, PO4: c.PO4P * water.PO4PerP,
		K: c.K, Na: c.Na, Cl: c.Cl, SO4: c.SO4, Fe: c.Fe, NO2: c.NO2N * water.NO2PerN, NH4: c.TAN * water.NH4PerN,
	}
	set := func(to *float64, from *unit.Concentration) {
		if from != nil {
			*to = float64(*from)
		}
	}
	if rd.Alkalinity != nil {
		a.Alk = float64(*rd.Alkalinity)
	}
	if rd.Hardness != nil {
		a.Hard = float64(*rd.Hardness)
	}
	if rd.PH != nil {
		a.PH = *rd.PH
	}
	set(&a.NO3, rd.Nitrate)
	set(&a.NO2, rd.Nitrite)
	set(&a.NH4, rd.Ammonium)
	set(&a.PO4, rd.Phosphate)
	set(&a.K, rd.Potassium)
	set(&a.Fe, rd.Iron)
	set(&a.O2, rd.Oxygen)
	read, _ := a.Composition()
	return read
}

func (r *run) setPoint() float64 {
	room := r.p.RoomOn(0)
	if r.p.Heater != nil {
		return math.Max(room, float64(r.p.Heater.Set))
	}
	return room
}

// surroundings works out surfaces, heat losses and lamp power once.
func (r *run) surroundings() {
	t := r.model.Tank
	perimeter, area := 0.0, 0.0
	for i, a := range t.Footprint {
		b := t.Footprint[(i+1)%len(t.Footprint)]
		perimeter += math.Hypot(b[0]-a[0], b[1]-a[1])
		area += (a[0]*b[1] - b[0]*a[1]) / 2
	}
	r.area = math.Abs(area)
	walls := perimeter * t.WaterLevel
	pane := func(thickness float64) float64 {
		if thickness <= 0 {
			thickness = usualPane
		}
		return water.PaneU(thickness, glassK, filmWater, filmAir)
	}
	wall, floor := pane(t.Glass), pane(t.Bottom)
	r.ua = wall*walls + floor*r.area + surfaceU*r.area
	if r.p.Tank.Cover == "glass" {
		r.ua = wall*(walls+r.area) + floor*r.area
	}
	r.water.Surface = walls + 2*r.area
	r.wallArea = walls
	for _, l := range r.p.Lamps {
		w := float64(l.Power)
		if w <= 0 {
			w = float64(l.PPF) / r.t.site.lampEfficacy
		}
		if l.Dim > 0 {
			w *= float64(l.Dim)
		}
		r.lampW += w
	}
	for _, s := range r.model.Solids {
		if s.Kind == "wood" && r.p.Found == nil {
			r.colour += s.MassDry
		}
	}
	r.colour = math.Min(1.5, colourWood*r.colour/math.Max(0.01, r.targetLevel))
}

// clogCapacity is the caught matter, g, that brings the flow to 70 % of new.
func (r *run) clogCapacity() float64 { return math.Max(5, r.t.site.clogLitre*r.mediaL) }

// flow is the filter's flow as a share of new.
func (r *run) flow() float64 {
	if r.powerOff || r.filterLost || r.filterFlow <= 0 {
		return 0
	}
	return math.Max(0.25, 1/(1+0.43*r.caught/r.clogCapacity())*(1-math.Min(0.3, agingPerDay*float64(r.sinceClean))))
}

// outlets are the places where filters' water comes back, m.
func outlets(p *plan.Plan) [][2]float64 {
	var all [][2]float64
	for _, f := range p.Filter {
		for _, at := range f.Outlets {
			all = append(all, [2]float64{at[0] / 100, at[1] / 100})
		}
	}
	return all
}

// uneven is by how much the CO2 beside the outlet is over its mean, and in the farthest corner under it, 0 to 1.
func (r *run) uneven() float64 {
	if r.water.Volume <= 0 {
		return 0
	}
	corner := water.CornerShare(r.filterFlow*r.flow()/r.water.Volume, r.covered, float64(r.sinceClean))
	return (1 - corner) / (1 + corner)
}

// holds is everything inside the tank's border, by where it is.
func (r *run) holds() []store {
	w := r.water.Holds()
	n, c := r.bed.Stock()
	lying := ofOrganic(r.bed.Detritus())
	adrift := ofDetritus(r.water.Detritus)
	return []store{
		{"plants", ofMatter(r.stand.Stock())},
		{"bed", ofNutrients(n).plus(elements{C: c}).plus(ofCations(r.bed.Bases())).plus(negative(lying))},
		{"water", elements{N: 1000 * w.N, P: 1000 * w.P, K: 1000 * w.K, C: 1000 * w.C, Ca: 1000 * w.Ca, Mg: 1000 * w.Mg}.plus(negative(adrift))},
		{"detritus", lying.plus(adrift).plus(ofDetritus(r.litter))},
		{"algae", ofAlgae(r.algae.Stock())},
		{"animals", r.animals},
		// Given off by plants, animals and bed, and not yet in the water or burnt.
		{"on its way", elements{
			N: r.pending.TAN + r.pending.NO3N + r.dug, P: r.pending.PO4P, K: r.pending.K, C: r.pending.DIC + r.plantDebt + r.bedDebt, Ca: r.pending.Ca, Mg: r.pending.Mg,
		}},
	}
}

func ofDetritus(d water.Detritus) elements {
	return elements{N: 1000 * d.N, P: 1000 * d.P, K: 1000 * d.K, C: 1000 * d.C / molC}
}

func (r *run) colourOn(day int) float64 {
	return r.t.site.usualColour + r.colour*math.Exp(-math.Max(0, float64(day))/colourLife)
}

func (r *run) snapshot(day int) {
	r.openLight()
	s := Snapshot{Day: day, Hours: fullHours(r.lightHours(day))}
	looks := [...]func(){func() { s.Plants = r.stand.States() }, func() { s.Leaves, s.Soil = r.stand.Layers(), r.patches() }}
	crew.Do(r.workers, len(looks), func(i int) { looks[i]() })
	if r.lit != nil {
		m := r.lit.BedMap(r.cols.NX, r.cols.NY)
		s.Light = m.PPFD
		if keeps(r.opt.Keep, day) {
			r.lightMap(day)
		}
	}
	r.out.Snapshots = append(r.out.Snapshots, s)
}

// openLight tells the plants what the light would be without them, in the water as it is.
func (r *run) openLight() {
	if r.open != nil {
		r.solver.Tint(r.open, r.litKd)
		r.stand.SetOpen(r.withWindows(r.open).PPFD)
	}
}

// patches is the root zone as it is now, by column.
func (r *run) patches() []Patch {
	columns := r.bed.Columns()
	list := make([]Patch, 0, len(columns))
	for _, i := range columns {
		p := r.bed.Pore(i)
		m, short := r.bed.Months(i)
		list = append(list, Patch{Column: i, N: p.N, P: p.P, K: p.K, Months: m, Short: short})
	}
	return list
}

// lightMap keeps the light at the bed as it is now.
func (r *run) lightMap(day int) {
	nx, ny := max(1, int(math.Round(r.model.Tank.LX/columnM))), max(1, int(math.Round(r.model.Tank.LY/columnM)))
	m := r.lit.BedMap(nx, ny)
	l := LightMap{Day: day, NX: nx, NY: ny, CellX: m.LX / float64(nx), CellY: m.LY / float64(ny), PPFD: m.PPFD}
	for i := range l.PPFD {
		if !m.Inside[i] {
			l.PPFD[i] = -1
		}
	}
	l.Min, l.Mean, l.Max = m.Stats()
	r.out.LightMaps = append(r.out.LightMaps, l)
}
