package growth

import (
	"littoral/internal/catalog"
	"littoral/internal/geometry"
	"littoral/internal/plan"
	"littoral/internal/unit"
	"math"
	"slices"
	"strconv"
	"strings"
)

// most is how many plants are told apart; beyond it daughters join the nearest plant of their kind as one larger plant.
const most = 1200

// mostPots is how many pots of one planting are told apart; of more, each plant stands for several.
const mostPots = 300

// Stand is all plants of a tank. It is not safe for concurrent use. Its answers depend on the plan, the seed and the calls made,
// never on the order of maps or of processors. Voxel arrays are indexed as geometry.Voxels, root columns as geometry.Columns.
type Stand struct {
	plan     *plan.Plan
	model    *geometry.Model
	vox      *geometry.Voxels
	cols     *geometry.Columns
	seed     uint64
	outlets  [][2]float64 // where the filters' water comes back, m
	farthest float64      // m from the nearest of them, of the farthest corner

	vary float64 // scale of the random differences between pots: 1, or 0 where twins must be alike
	most int     // how many plants are told apart

	params     Params
	physiology func(*catalog.Species) catalog.Physiology // nil: the species' own

	plants []plant
	traits map[*catalog.Species]*traits
	number map[string]int   // planting id to pots numbered so far
	index  map[string]int32 // planting id to its place in names
	names  []string

	// Light as last told, and the canopy that it was solved for.
	ppfd, ext, cover []float64
	told             canopy // the last Canopy
	lit              bool
	film, filmLife   float64   // extinction of the film on a leaf of mean age; the mean life of submersed leaves, days
	litArea          float64   // m² of leaf at the last Canopy
	bare             []float64 // light without plants, see SetOpen
	pieces           []LightPiece

	// Ground taken per root column, m².
	taken []float64
	open  []share // see openBed

	seated map[string][][3]float64 // see berthOn

	day     dayState
	tallies []tally // by block of plants
	desks   []desk  // by goroutine
}

// plant is one individual, or several that are no longer told apart (count).
type plant struct {
	id       string
	key      uint64
	planting string
	pi       int32
	t        *traits
	x, y, z  float64
	col      int // root column; −1 for plants that do not root in the bed
	on       string
	born     int
	settle   int // day from which planting shock and melt are reckoned
	settled  bool
	lastKid  int
	kids     int
	count    float64

	shoot, root float64 // g dry
	em          float64 // g of shoot that is still as the nursery grew it
	emStart     float64 // g of it when planted
	n, p, k, fe float64 // mg
	length      float64 // m, along the stem or rhizome
	nodes       float64 // of one stem
	stems, base float64 // tips; stems below the last cut, weighed by thickness
	cutAt       float64 // m
	bare        float64 // m of leafless stem
	leaves      float64
	made        float64 // leaves or nodes that one growing point made today
	red         float64 // 0..1, of the species' reddest
	loose       float64 // how far a mat has lost its hold: at 1 it lifts
	plantlets   float64 // on its leaves or flower stalk
	stalk       int     // day of its last flower stalk, or of its last plantlet that rooted
	woke        int     // day on which a bulb last began to grow
	rests       int     // day on which its rest ends; only while resting
	resting     bool
	patch       float64 // m², ground of a carpet plant
	habit       float64 // 0 dim .. 1 bright, smoothed
	work        float64 // 0..1, smoothed: what is fixed of the most that the leaves could fix
	rgr         float64 // 1/day, smoothed net growth
	h, spread   float64
	area        float64 // m² leaf
	holds       float64 // m² of bed

	cells      []leafShare // leaf area by voxel, layer by layer from below
	above      []leafShare // leaf area by column of voxels
	beds       []share     // ground by root column
	layers     []layer
	builtH     float64
	builtS     float64
	builtE     float64
	stale      bool    // light has to be summed up anew
	light, top float64 // in the water at its leaves
	clean      float64 // share of it that passes the film on them
	sum        float64 // hours a day of light-saturated photosynthesis
	dark       float64 // share of leaves below their compensation point
	shader     int32   // −1: no one
	shaderPart float64 // of all optical depth that other plants lay above it

	gross, breath float64 // g/day asked for and respired today
	fit           float64 // carbonFit of today
	needR         [4]float64
	needW         [4]float64
	norm          [4]float64
	lim           Limits
	net           float64
	drift         float64 // net of the last days, smoothed

	litArea, litH, litS float64 // leaf area, height and spread at the last Canopy
}

type share struct {
	i int32
	w float64
}

// leafShare is the share of a plant's leaf area in a voxel or a column of them. There are very many.
type leafShare struct {
	i int32
	w float32
}

// layer is the light on the leaves of one plant in one voxel layer.
type layer struct {
	w, ppfd, tau float64
	past         float64 // e^−tau
	n            int     // cells of the plant in it
}

// Planted tells of one plant that came in.
type Planted struct {
	ID, Planting, Species string
	X, Y, Z               float64
	Matter                Matter
	DryG                  float64
}

// New sets the plants of day 0 and earlier (as found) into a tank. Those of later days and of events come
// with Plant. Before the first Demand the light has to be told: Canopy, then SetLight.
func New(p *plan.Plan, m *geometry.Model, v *geometry.Voxels, c *geometry.Columns, seed uint64) *Stand {
	return NewWith(p, m, v, c, seed, DefaultParams(), nil)
}

// NewWith is New with other constants, and with other parameters of the species where physiology is not nil. The geometry is read only,
// so that stands may share it.
func NewWith(p *plan.Plan, m *geometry.Model, v *geometry.Voxels, c *geometry.Columns, seed uint64, params Params, physiology func(*catalog.Species) catalog.Physiology) *Stand {
	s := newStand(p, m, v, c, seed)
	s.params, s.physiology = params, physiology
	var first []plan.Planting
	for i := range p.Plants {
		if p.Plants[i].From <= 0 {
			first = append(first, p.Plants[i])
		}
	}
	s.Plant(0, first)
	if p.Found != nil {
		for i := range s.plants {
			s.plants[i].settled = true
			s.plants[i].em, s.plants[i].emStart = 0, 0
			s.plants[i].stores(p.Found.Readings)
		}
	}
	return s
}

// stores fits what a found plant holds to the readings of its water: a plant that has lived in water without a nutrient has used
// up most of its store. The concentrations are the low ends of the trade's standing ranges (nitrate 5, phosphate 0.2, potassium 5,
// iron 0.1 mg/L; common practice, no source); at them and above the stores are those of a well-fed plant, below they fall in proportion
// to a tenth of their range. Root feeders keep what the bed gives: their nitrogen and phosphorus are left alone.
func (p *plant) stores(rd *plan.Readings) {
	if rd == nil {
		return
	}
	m := (p.shoot + p.root) * 1000
	fit := func(have *float64, lo, hi float64, read *unit.Concentration, enough float64) {
		if read == nil {
			return
		}
		*have = m * (lo + (hi-lo)*min(0.75, max(0.1, 0.75*float64(*read)/enough)))
	}
	if p.t.rootFe < 0.6 { // the share that roots win where both are rich; iron goes with nitrogen
		fit(&p.n, p.t.qn[0], p.t.qn[1], rd.Nitrate, 5)
		fit(&p.p, p.t.qp[0], p.t.qp[1], rd.Phosphate, 0.2)
	}
	fit(&p.k, p.t.qk[0], p.t.qk[1], rd.Potassium, 5)
	fit(&p.fe, feMin, feMax, rd.Iron, 0.1)
}

func newStand(p *plan.Plan, m *geometry.Model, v *geometry.Voxels, c *geometry.Columns, seed uint64) *Stand {
	n := len(v.Solid)
	s := &Stand{
		plan: p, model: m, vox: v, cols: c, seed: seed, vary: 1, most: most, params: DefaultParams(),
		traits: map[*catalog.Species]*traits{}, number: map[string]int{}, index: map[string]int32{},
		ppfd: make([]float64, n), ext: make([]float64, n), cover: make([]float64, v.NX*v.NY),
		taken: make([]float64, len(c.Area)),
		day:   newDayState(len(c.Area)),
		desks: make([]desk, 1), seated: map[string][][3]float64{},
	}
	s.told = canopy{s.ext, s.cover}
	return s
}

// Plant sets plantings into the tank on a day and tells what came in. Plantings whose species the catalogue does not know are
// passed over (checking a plan reports them).
func (s *Stand) Plant(day int, ps []plan.Planting) []Planted {
	var out []Planted
	for i := range ps {
		pl := &ps[i]
		sp, ok := s.plan.Cat.Species(pl.Species)
		if !ok {
			continue
		}
		t := s.traitsOf(sp)
		pots := pl.Pots
		if pots <= 0 {
			pots = len(pl.At)
		}
		spots := s.places(pl, min(pots, mostPots))
		for _, at := range spots {
			s.number[pl.ID]++
			q := s.pot(day, pl, t, at, s.number[pl.ID], float64(pots)/float64(len(spots)), pots)
			s.plants = append(s.plants, q)
			out = append(out, Planted{q.id, q.planting, sp.Name, q.x, q.y, q.z, q.matter(), q.shoot + q.root})
		}
	}
	s.refresh()
	return out
}

func (s *Stand) traitsOf(sp *catalog.Species) *traits {
	t := s.traits[sp]
	if t == nil {
		ph := sp.Phys
		if s.physiology != nil {
			ph = s.physiology(sp)
		}
		t = newTraits(sp, &ph, &s.params)
		s.traits[sp] = t
	}
	return t
}

// pot is a new plant as bought, ±10 % by chance, or of the size the plan states. It stands for count pots, of all pots planted.
func (s *Stand) pot(day int, pl *plan.Planting, t *traits, at spot, number int, count float64, pots int) plant {
	id := pl.ID + "/" + strconv.Itoa(number)
	key := keyOf(id)
	q := plant{
		id: id, key: key, planting: pl.ID, pi: s.nameOf(pl.ID), t: t, x: at.x, y: at.y, z: at.z, col: -1, on: at.on,
		born: day, settle: day, lastKid: day, stalk: day, woke: day, habit: 0.5, work: 0.5, shader: -1, clean: 1,
		count: 1,
	}
	if !at.afloat && at.on == "" {
		q.col = s.columnAt(at.x, at.y)
	}
	size := 1 + s.vary*0.2*(draw(s.seed, key, day, 6)-0.5)
	q.shoot = t.pot * size
	height, spread := float64(pl.Height), float64(pl.Spread)
	q.stems = t.stems
	q.length = min(0.1, 0.6*t.hMax) * size
	if t.form == catalog.Rhizome {
		q.length = rhizomePiece
	}
	switch t.form {
	case catalog.Stem:
		if height > 0 {
			q.length = height * size
			q.shoot = max(q.shoot*q.length/0.1, 0.7*t.perLength*t.stems*q.length)
		}
	case catalog.Carpet:
		q.patch = t.territory
		if len(pl.In) >= 3 {
			q.patch = clamp(s.freeArea(pl.In)/float64(pots), 0.5*t.territory, 2*t.territory)
		}
		if spread > 0 {
			q.patch = math.Pi / 4 * spread * spread
			q.shoot = max(q.shoot, fullCover*q.patch/t.sla) * size
		}
		if height > 0 {
			q.shoot = max(q.shoot, clamp(height/t.hMax, 0.3, 1.2)*4*q.patch/t.sla) * size
		}
	case catalog.Floating:
		if spread > 0 {
			q.shoot = math.Pi / 4 * spread * spread / t.sla * size
		}
	default:
		if height <= 0 && spread <= 0 && t.hMax > potHeight {
			q.shoot = min(q.shoot, t.full*math.Pow(potHeight/t.hMax, 1/allometry)*size)
		}
		if height > 0 || spread > 0 {
			r := max(height/t.hMax, spread/t.sMax)
			if height > 0 && spread > 0 {
				r = 0.5 * (height/t.hMax + spread/t.sMax)
			}
			q.shoot = t.full * math.Pow(clamp(r, 0.2, 1.15), 1/allometry) * size
		}
	}
	if t.form == catalog.Stem {
		q.nodes = q.length / t.internode()
	}
	if t.reddens && pl.Grown == "submersed" {
		q.red = 0.5
	}
	q.count = count
	q.shoot *= count
	q.stems *= count
	q.patch *= count
	q.base = q.stems
	q.root = q.shoot * t.roots / (1 - t.roots)
	m := (q.shoot + q.root) * 1000
	// A nursery feeds well: quotas at three quarters of their range.
	q.n = m * (t.qn[0] + 0.75*(t.qn[1]-t.qn[0]))
	q.p = m * (t.qp[0] + 0.75*(t.qp[1]-t.qp[0]))
	q.k = m * (t.qk[0] + 0.75*(t.qk[1]-t.qk[0]))
	q.fe = m * (feMin + 0.75*(feMax-feMin))
	switch {
	case t.form == catalog.Moss || t.form == catalog.Floating:
		q.settled = true
	case pl.Grown == "submersed":
		q.em = 0.2 * q.shoot // disturbed leaves still melt
	case pl.Grown == "in-vitro":
		q.em = 0.3 * q.shoot
	default:
		q.em = q.shoot
	}
	q.emStart = q.em
	q.leaves = s.leafCount(&q)
	return q
}

// potHeight, m: nurseries sell pots that fit a box, 15 to 25 cm high however tall the species grows (common practice, no source).
const potHeight = 0.22

// leafCount is how many leaves a plant of this size holds when leaves come as the species makes them and live as long as they do.
func (s *Stand) leafCount(q *plant) float64 {
	switch q.t.form {
	case catalog.Stem:
		return q.stems * q.nodes * (1 - clamp(q.bare/max(q.length, 1e-6), 0, 1))
	case catalog.Carpet, catalog.Moss, catalog.Floating:
		return q.shoot / max(q.t.birth, 1e-6)
	}
	grown := clamp(q.t.leavesTip*min(q.t.life, 250)*0.6, 4, 40)
	return max(grown*math.Pow(q.shoot/q.count/q.t.full, 0.5)*q.count, 2)
}

func (s *Stand) nameOf(planting string) int32 {
	i, ok := s.index[planting]
	if !ok {
		i = int32(len(s.names))
		s.index[planting] = i
		s.names = append(s.names, planting)
	}
	return i
}

// freeArea is the plantable ground inside an outline, m².
func (s *Stand) freeArea(line []plan.PointCM) float64 {
	sum := 0.0
	for i, a := range s.cols.Area {
		x, y := (float64(i%s.cols.NX)+0.5)*s.cols.Cell, (float64(i/s.cols.NX)+0.5)*s.cols.Cell
		if a > 0 && inside(x, y, line) {
			sum += a * s.cols.Free[i]
		}
	}
	return sum
}

func (p *plant) matter() Matter {
	return Matter{C: (p.shoot + p.root) * carbonPerGram, N: p.n, P: p.p, K: p.k, Fe: p.fe}
}

// part is what g grams of the plant hold.
func (p *plant) part(g float64) Matter {
	f := 0.0
	if m := p.shoot + p.root; m > 0 {
		f = g / m
	}
	return Matter{C: g * carbonPerGram, N: p.n * f, P: p.p * f, K: p.k * f, Fe: p.fe * f}
}

// lose takes matter out of the nutrient pools (its carbon is in the dry mass).
func (p *plant) lose(m Matter) {
	p.n -= m.N
	p.p -= m.P
	p.k -= m.K
	p.fe -= m.Fe
}

// Removed tells what was taken out.
type Removed struct {
	Plants      int
	FreshG      float64 // wet weight
	DryG        float64
	Matter      Matter
	Minutes     float64 // work
	IDs         []string
	RootColumns []int // columns that were dug over, ascending, each once
}

// Remove takes out whole plants, roots and all: those whose planting id or species is in match (none = all), and that stand inside the outline in cm (none = anywhere).
func (s *Stand) Remove(day int, match []string, within []plan.PointCM) Removed {
	var r Removed
	names := map[string]bool{}
	for _, m := range match {
		names[m] = true
		if sp, ok := s.plan.Cat.Species(m); ok {
			names[sp.Name] = true
		}
	}
	keep := s.plants[:0]
	for i := range s.plants {
		p := &s.plants[i]
		hit := len(match) == 0 || names[p.planting] || names[p.t.sp.Name] || names[p.id]
		if !hit || !inside(p.x, p.y, within) {
			keep = append(keep, s.plants[i])
			continue
		}
		r.Plants++
		r.IDs = append(r.IDs, p.id)
		r.DryG += p.shoot + p.root
		r.FreshG += (p.shoot + p.root) / p.t.dryFresh
		r.Matter = r.Matter.Add(p.matter())
		r.Minutes += 1.5 // lift, rinse, sort; common practice, no source
		for _, b := range p.beds {
			r.RootColumns = append(r.RootColumns, int(b.i))
		}
	}
	clear(s.plants[len(keep):])
	s.plants = keep
	slices.Sort(r.RootColumns)
	r.RootColumns = slices.Compact(r.RootColumns)
	s.refresh()
	return r
}

// Stock is everything the plants hold.
func (s *Stand) Stock() Matter {
	var m Matter
	for i := range s.plants {
		m = m.Add(s.plants[i].matter())
	}
	return m
}

// DryMass is the dry mass of all shoots and of all roots, g.
func (s *Stand) DryMass() (shoot, root float64) {
	for i := range s.plants {
		shoot += s.plants[i].shoot
		root += s.plants[i].root
	}
	return shoot, root
}

// Len is the number of plants told apart.
func (s *Stand) Len() int { return len(s.plants) }

// States lists every plant, sorted by ID.
func (s *Stand) States() []PlantState {
	if s.lit {
		s.shaders()
	}
	out := make([]PlantState, len(s.plants))
	order := make([]*plant, len(s.plants))
	for i := range s.plants {
		order[i] = &s.plants[i]
	}
	slices.SortFunc(order, func(a, b *plant) int { return strings.Compare(a.id, b.id) })
	for i, p := range order {
		m := p.shoot + p.root
		st := PlantState{
			ID: p.id, Planting: p.planting, Species: p.t.sp, X: p.x, Y: p.y, Z: p.z, Column: p.col, On: p.on, Born: p.born,
			Count: p.count, HeightM: p.h, SpreadM: p.spread, Leaves: p.leaves, ShootG: p.shoot, RootG: p.root, LeafM2: p.area,
			PPFD: p.light, TopPPFD: p.top, FilmTake: 1 - p.clean, Net: p.net, Limits: p.lim, Submerse: 1,
		}
		st.Limits.Temp = min(st.Limits.Temp, 1) // over 25 °C growth is faster than the reference
		if m > 0 {
			st.QN, st.QP, st.QK = p.n/m/1000, p.p/m/1000, p.k/m/1000
			st.Iron = droop(p.fe/m/1000, feMin, feMax)
		}
		if p.t.form == catalog.Stem {
			st.Stems = p.stems
			st.LengthM, st.BareM = p.length, p.bare
		}
		p.told(&st)
		if p.shoot > 0 {
			st.Submerse = clamp(1-p.em/p.shoot, 0, 1)
		}
		if p.shader >= 0 {
			st.Shader = s.names[p.shader]
		}
		s.shaded(p, &st)
		out[i] = st
	}
	return out
}
