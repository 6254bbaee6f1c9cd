package growth

import (
	"math"
	"slices"

	"littoral/internal/catalog"
)

// LightPiece is a stretch of the day with steady light: hours, and the share of full power.
type LightPiece struct{ Hours, Dim float64 }

// Pore is the root zone of one column: what roots can reach in it (mg) and what its pore water holds (mg/L).
type Pore struct {
	N, P, K, Fe  float64
	NConc, PConc float64
}

// DayEnv is what a day brings to the plants.
type DayEnv struct {
	Day            int
	TempC          float64
	Light          []LightPiece // ramps as pieces of their own
	PH, KH, GH     float64      // KH in dKH, GH in °dH; a PH of 0 means unknown, and nothing is judged
	Soil           func(col int) Pore
	WaterN, WaterP float64 // mg/L, dissolved mineral N and P
}

// RootAsk is what roots ask of one column today, mg.
type RootAsk struct {
	Column      int
	N, P, K, Fe float64
}

// Demand is what all plants together ask for on a day. It is overwritten by the next call.
type Demand struct {
	GrossC [2]float64 // mmol C that would be fixed at CO2 saturation: class 0 takes CO2 only, class 1 bicarbonate too
	AirC   float64    // mmol C that floating leaves fix from the air (Grow takes it; it does not touch the water)
	RespC  float64    // mmol C respired into the water over 24 h
	AirR   float64    // mmol C respired into the air by floating plants
	Water  Matter     // most that leaves take from the water today, mg
	Root   []RootAsk  // ascending by column; columns that are asked for nothing are left out
}

// Taken is what the plants got of their Demand.
type Taken struct {
	FixedC [2]float64 // mmol
	Water  Matter     // mg
	Root   []Matter   // mg, aligned with Demand.Root
}

// ColumnMatter is dead matter that falls on a root column (−1 = drifts in the water).
type ColumnMatter struct {
	Column int
	DryG   float64
	Matter Matter
}

// Change is something that happened to a plant.
type Change struct {
	ID, Planting, Species string
	X, Y                  float64
	From                  string // a daughter's parent
}

// Result is what a day did. Its slices are overwritten by the next call.
type Result struct {
	GrowthG         float64        // dry mass fixed less respired
	FixedAirC       float64        // mmol from the air
	RespiredC       float64        // mmol into the water
	RespiredAirC    float64        // mmol into the air
	ReleasedToWater Matter         // dissolved from dying leaves and over-full quotas
	Detritus        []ColumnMatter // dead leaves and roots, ascending by column
	Born, Lost      []Change
	MeltBegun       []Change // plants whose nursery leaves begin to die
	MeltOver        []Change // plants that stand on submersed leaves again
}

type dayState struct {
	demand Demand
	result Result
	stamp  int
	pieces []LightPiece
	seen   []int
	pore   []Pore
	ask    [][4]float64
	got    [][4]float64
	air    float64 // g/day
	class  [2]float64
	carbon [2]float64 // share of each class's demand that was met yesterday; 0 before the first day
	waterA [4]float64
	fallen []ColumnMatter // by column + 1
	touch  []bool

	disc   []share
	at     []int32
	heads  []int32
	leaves []leafColumn
	by     []float64
	over   []float64
}

func newDayState(cols int) dayState {
	return dayState{
		seen: make([]int, cols), pore: make([]Pore, cols), ask: make([][4]float64, cols), got: make([][4]float64, cols),
		fallen: make([]ColumnMatter, cols+1), touch: make([]bool, cols+1),
	}
}

// sumLight adds up a plant's photosynthesis over the day's pieces of light and its leaf layers, in hours of saturation.
func (s *Stand) sumLight(p *plant) {
	p.stale = false
	p.sum, p.dark = 0, 0
	if !s.lit {
		return
	}
	ik, r25 := p.t.ik*(0.6+0.8*p.habit), p.t.resp*p.burn()*warm25
	for k := range p.layers {
		l := &p.layers[k]
		if l.w <= 0 {
			continue
		}
		i0 := lightOnTop(l.ppfd, l.tau)
		f := 0.0
		for _, pc := range s.pieces {
			f += pc.Hours * canopyMean(i0*pc.Dim, l.tau, ik)
		}
		p.sum += l.w * f
		if p.t.most*-math.Expm1(-f/daylength) < r25 {
			p.dark += l.w
		}
	}
}

// burn is by how much respiration differs from the species' own in the light the plant has lived in. Shade leaves burn less and
// saturate sooner (sumLight), sun leaves the other way (from memory of sun and shade leaves of submersed plants; ranges 0.8 to
// 1.2 and 0.6 to 1.4).
func (p *plant) burn() float64 { return 0.8 + 0.4*p.habit }

// outside is how far x lies outside a range; an empty range holds everything.
func outside(x, lo, hi float64) float64 {
	if hi <= lo {
		return 0
	}
	return max(lo-x, x-hi, 0)
}

// climate is what temperature and water chemistry allow a species today.
func climate(t *traits, e *DayEnv) (warm, water float64) {
	warm = warmth(e.TempC, or(t.sp.Temp.Min, 18), or(t.sp.Temp.Max, 28))
	water = 1
	if e.PH > 0 {
		// A whole pH unit or 10 °dH outside its range takes a third of growth, never more than two thirds (common practice, no source).
		off := outside(e.PH, t.sp.PH.Min, t.sp.PH.Max) + outside(e.GH, t.sp.GH.Min, t.sp.GH.Max)/10
		if t.sp.KHMax > 0 {
			off += max(e.KH-t.sp.KHMax, 0) / 8
		}
		water = max(1-off/3, 1.0/3)
	}
	return warm, water
}

// space is the factor by which a plant near its full size, or crowded on its ground, holds back.
func (s *Stand) space(p *plant, afloat float64) float64 {
	t := p.t
	one := p.shoot / p.count / t.full
	switch t.form {
	case catalog.Carpet:
		return clamp((9-p.area/p.patch)/5, 0, 1) * min(1, 1.3/s.crowding(p))
	case catalog.Runner:
		return clamp((1.5-one)/0.6, 0, 1) * min(1, 1/s.crowding(p))
	case catalog.Stem:
		return clamp((4-one)/2.5, 0, 1)
	case catalog.Floating:
		return clamp(1-afloat*afloat*afloat, 0, 1)
	}
	// In water too shallow for its height a rosette stays smaller.
	return clamp((1.5-one/clamp(s.depth(p)/t.hMax, 0.3, 1))/0.6, 0, 1)
}

// setPieces takes over the day's light, stretches of equal light put together.
func (s *Stand) setPieces(light []LightPiece) {
	d := &s.day
	d.pieces = d.pieces[:0]
	for _, pc := range light {
		if pc.Hours <= 0 || pc.Dim <= 0 {
			continue
		}
		k := slices.IndexFunc(d.pieces, func(o LightPiece) bool { return o.Dim == pc.Dim })
		if k < 0 {
			d.pieces = append(d.pieces, pc)
		} else {
			d.pieces[k].Hours += pc.Hours
		}
	}
	if slices.Equal(s.pieces, d.pieces) {
		return
	}
	s.pieces = append(s.pieces[:0], d.pieces...)
	for i := range s.plants {
		s.plants[i].stale = true
	}
}

// Demand works out what the plants ask for on a day. Grow must follow with the same day and what they were given. On days before
// the one for which a plant was set (a dry start) it grows in air.
func (s *Stand) Demand(e DayEnv) *Demand {
	d := &s.day
	d.stamp++
	s.setPieces(e.Light)
	dem := &d.demand
	*dem = Demand{Root: dem.Root[:0]}
	clear(d.ask)
	d.air, d.class, d.waterA = 0, [2]float64{}, [4]float64{}
	float := 0.0
	for i := range s.plants {
		if s.plants[i].t.form == catalog.Floating {
			float += s.plants[i].area
		}
	}
	if a := s.surface(); a > 0 {
		float /= a
	}
	q := q10(2, e.TempC)
	for i := range s.plants {
		p := &s.plants[i]
		t := p.t
		if p.stale {
			s.sumLight(p)
		}
		m := p.shoot + p.root
		lim := Limits{CO2: 1, Light: -math.Expm1(-p.sum / daylength)}
		if t.today != d.stamp {
			t.today = d.stamp
			t.warm, t.water = climate(t, &e)
		}
		lim.Temp, lim.Water = t.warm, t.water
		lim.Space = s.space(p, float)
		lim.N = droop(p.n/m/1000, t.qn[0], t.qn[1])
		lim.P = droop(p.p/m/1000, t.qp[0], t.qp[1])
		lim.K = droop(p.k/m/1000, t.qk[0], t.qk[1])
		lim.Fe = droop(p.fe/m/1000, feMin, feMax)
		p.lim = lim
		// Freshly set plants root first; leaves made in air do little more than half as well under water.
		fit := 1.0
		switch {
		case p.dry(e.Day):
			fit = 0.7
		case !p.settled:
			x := clamp(float64(e.Day-p.settle)/12, 0, 1)
			fit = (0.4 + 0.6*x*x*(3-2*x)) * (1 - 0.4*p.em/p.shoot)
		default:
			fit = 1 - 0.4*p.em/p.shoot
		}
		p.gross = min(t.most*p.shoot*-math.Expm1(-p.sum/daylength), quantum*s.photons(p)/carbonPerGram) * lim.Temp * lim.Water * lim.Space * fit * min(lim.N, lim.P, lim.K, lim.Fe)
		p.fit = s.carbonFit(t, lim.Light)
		p.gross *= p.fit
		p.breath = min(t.resp*p.burn()*q, 0.5) * m
		// A plant that grows at a steady relative rate x grows by e^x − 1 over a whole day.
		if x := (p.gross - p.breath) / m; math.Abs(x) > 1e-6 {
			f := math.Expm1(x) / x
			p.gross *= f
			p.breath *= f
		}
		if t.class == airClass {
			d.air += p.gross
			dem.AirR += p.breath * carbonPerGram
		} else {
			d.class[t.class] += p.gross
			dem.RespC += p.breath * carbonPerGram
		}
		s.ask(p, &e, m)
	}
	dem.GrossC = [2]float64{d.class[0] * carbonPerGram, d.class[1] * carbonPerGram}
	dem.AirC = d.air * carbonPerGram
	dem.Water = Matter{N: d.waterA[0], P: d.waterA[1], K: d.waterA[2], Fe: d.waterA[3]}
	for c := range d.ask {
		if a := d.ask[c]; a != [4]float64{} {
			dem.Root = append(dem.Root, RootAsk{c, a[0], a[1], a[2], a[3]})
		}
	}
	return dem
}

// dry tells that a plant grows in moist air over a bed that is not flooded yet, as in a dry start: it is planted for a day that is
// still to come.
func (p *plant) dry(day int) bool { return day < p.settle }

// photons is the light that a plant's leaves absorb over the day, mmol.
func (s *Stand) photons(p *plant) float64 {
	h := 0.0
	for _, pc := range s.pieces {
		h += pc.Hours * pc.Dim
	}
	return p.area * p.t.ext * p.light * h * 3.6
}

// crowding is the ground that plants hold over the ground there is, where p roots.
func (s *Stand) crowding(p *plant) float64 {
	room, held := 0.0, 0.0
	for _, b := range p.beds {
		room += b.w * s.cols.Area[b.i] * s.cols.Free[b.i]
		held += b.w * s.taken[b.i]
	}
	return held / max(room, 1e-9)
}

// carbonFit corrects a plant's share of what its class takes, from what the class met on the last day. The water knows one
// half-saturation for all plants that take CO2 only, and multiplies light and CO2 limitation; but a species has its own
// half-saturation, and in dim light CO2 matters less: between the product i·c of the factors of light and CO2 and two resistances
// in a row, i·c/(i + c − i·c), their geometric mean (common practice for co-limitation, no source; all three agree where either
// factor is 1).
func (s *Stand) carbonFit(t *traits, light float64) float64 {
	if t.class == airClass {
		return 1
	}
	f := min(s.day.carbon[t.class], 0.99)
	if f <= 0 {
		return 1
	}
	own := f
	if t.class == 0 {
		c := classHalf * f / (1 - f) // µmol/L over the compensation point
		own = c / (c + t.halfCO2)
	}
	return clamp(own/f/math.Sqrt(light+own-light*own), 0.5, 3)
}

// surface is the water's surface, m².
func (s *Stand) surface() float64 {
	n := 0
	for _, g := range s.vox.GroundIZ {
		if g < s.vox.NZ {
			n++
		}
	}
	return float64(n) * s.vox.Cell * s.vox.Cell
}

// ask adds a plant's nutrient needs of the day to the water's and the columns' asks. The need is the room left in its quota, with
// today's growth; roots and leaves share it by the species and by where the nutrient is.
func (s *Stand) ask(p *plant, e *DayEnv, m float64) {
	d := &s.day
	t := p.t
	grown := (m + p.gross) * 1000
	room := func(q [2]float64, have, share float64) float64 { return max((q[0]+(q[1]-q[0])*share)*grown-have, 0) }
	roomK, roomFe := room(t.qk, p.k, 1), room([2]float64{feMin, feMax}, p.fe, 1)
	p.needR, p.norm = [4]float64{}, [4]float64{}
	var mean Pore
	if p.col >= 0 && e.Soil != nil {
		for _, b := range p.beds {
			if d.seen[b.i] != d.stamp {
				d.seen[b.i] = d.stamp
				d.pore[b.i] = e.Soil(int(b.i))
			}
			o := &d.pore[b.i]
			mean.NConc += b.w * o.NConc
			mean.PConc += b.w * o.PConc
			p.norm[0] += b.w * max(o.N, 0)
			p.norm[1] += b.w * max(o.P, 0)
			p.norm[2] += b.w * max(o.K, 0)
			p.norm[3] += b.w * max(o.Fe, 0)
		}
	}
	spanN, spanP := t.qn[1]-t.qn[0], t.qp[1]-t.qp[0]
	var fromRoot [4]float64
	if p.norm[0] > 0 {
		fromRoot[0] = rootShareOfUptake(t.bendN, mean.NConc, e.WaterN)
	}
	if p.norm[1] > 0 {
		fromRoot[1] = rootShareOfUptake(t.bendP, mean.PConc, e.WaterP)
	}
	if p.norm[2] > 0 && t.rootK > 0 {
		fromRoot[2] = t.rootK + (1-t.rootK)*0.5*(1-p.lim.K) // hungry plants draw more on the bed
	}
	if p.norm[3] > 0 && t.rootFe > 0 {
		fromRoot[3] = t.rootFe
	}
	// The quota that can be reached rises with the concentration, half way at the half-saturation of uptake, so that tissue is
	// rich in rich water and lean in lean water (range and shape common practice, no source).
	fillN, fillP := e.WaterN/(e.WaterN+halfN), e.WaterP/(e.WaterP+halfP)
	p.needW = [4]float64{
		room(t.qn, p.n, fillN) * (1 - fromRoot[0]) * uptake(e.WaterN, vmN, spanN, halfN),
		room(t.qp, p.p, fillP) * (1 - fromRoot[1]) * uptake(e.WaterP, vmP, spanP, halfP),
		roomK * (1 - fromRoot[2]) * dailyK,
		roomFe * (1 - fromRoot[3]) * dailyFe,
	}
	fillN, fillP = mean.NConc/(mean.NConc+halfN), mean.PConc/(mean.PConc+halfP)
	p.needR = [4]float64{
		room(t.qn, p.n, fillN) * fromRoot[0] * uptake(mean.NConc, vmN, spanN, halfN),
		room(t.qp, p.p, fillP) * fromRoot[1] * uptake(mean.PConc, vmP, spanP, halfP),
		roomK * fromRoot[2] * dailyK,
		roomFe * fromRoot[3] * dailyFe,
	}
	for k := range 4 {
		d.waterA[k] += p.needW[k]
	}
	for _, b := range p.beds {
		o := &d.pore[b.i]
		a := &d.ask[b.i]
		for k, have := range [4]float64{o.N, o.P, o.K, o.Fe} {
			if p.norm[k] > 0 && have > 0 {
				a[k] += p.needR[k] * b.w * have / p.norm[k]
			}
		}
	}
}

// dailyK and dailyFe are the share of the room left in the potassium and iron quotas that a day's uptake can fill (common
// practice, no source: both refill within a few days).
const dailyK, dailyFe = 0.8, 0.6

// Grow lets the day happen with what the plants were given. Everything taken ends up in plants, detritus or the water.
func (s *Stand) Grow(e DayEnv, got Taken) *Result {
	d := &s.day
	r := &d.result
	*r = Result{Detritus: r.Detritus[:0], Born: r.Born[:0], Lost: r.Lost[:0], MeltBegun: r.MeltBegun[:0], MeltOver: r.MeltOver[:0]}
	in := s.ratios(got)
	for k, c := range d.demand.GrossC {
		if c > 0 {
			d.carbon[k] = in.carbon[k]
		}
	}
	var left Matter // of what was taken, not yet in a plant
	left = got.Water
	for _, m := range got.Root {
		left = left.Add(m)
	}
	left.C = got.FixedC[0] + got.FixedC[1]
	q := len(s.plants)
	for i := range q {
		s.live(&s.plants[i], &e, &in, &left)
	}
	// Rounding, and anything given that no plant asked for, goes back to the water.
	r.ReleasedToWater = r.ReleasedToWater.Add(left)
	s.bury()
	s.refresh()
	s.births(&e)
	for c := range d.fallen {
		if d.touch[c] {
			r.Detritus = append(r.Detritus, ColumnMatter{c - 1, d.fallen[c].DryG, d.fallen[c].Matter})
			d.fallen[c], d.touch[c] = ColumnMatter{}, false
		}
	}
	return r
}

// inflow is which share of what was asked for was given.
type inflow struct {
	carbon [3]float64
	water  [4]float64
}

func ratio(got, asked float64) float64 {
	if asked <= 0 {
		return 0
	}
	return got / asked
}

func (s *Stand) ratios(got Taken) inflow {
	d := &s.day
	dem := &d.demand
	in := inflow{
		carbon: [3]float64{ratio(got.FixedC[0], dem.GrossC[0]), ratio(got.FixedC[1], dem.GrossC[1]), 1},
		water: [4]float64{ratio(got.Water.N, dem.Water.N), ratio(got.Water.P, dem.Water.P), ratio(got.Water.K, dem.Water.K),
			ratio(got.Water.Fe, dem.Water.Fe)},
	}
	for i, a := range dem.Root {
		if i < len(got.Root) {
			g := got.Root[i]
			d.got[a.Column] = [4]float64{ratio(g.N, a.N), ratio(g.P, a.P), ratio(g.K, a.K), ratio(g.Fe, a.Fe)}
		} else {
			d.got[a.Column] = [4]float64{}
		}
	}
	return in
}

// drop lays g grams of a plant's dead matter down. keep is the share of its N, P and K that the plant draws back first; of the
// rest a quarter of N and P and half of K and Fe dissolve at once (PCLake: 25 % of nutrients at once), the rest falls.
func (s *Stand) drop(p *plant, g float64, keep [3]float64) {
	if g <= 0 {
		return
	}
	m := p.part(g)
	m.N *= 1 - keep[0]
	m.P *= 1 - keep[1]
	m.K *= 1 - keep[2]
	p.lose(m)
	s.lay(p, g, m)
}

func (s *Stand) lay(p *plant, g float64, m Matter) {
	d := &s.day
	now := Matter{N: 0.25 * m.N, P: 0.25 * m.P, K: 0.5 * m.K, Fe: 0.5 * m.Fe}
	d.result.ReleasedToWater = d.result.ReleasedToWater.Add(now)
	c := p.col + 1
	d.touch[c] = true
	d.fallen[c].DryG += g
	d.fallen[c].Matter = d.fallen[c].Matter.Add(m.Add(now.Scale(-1)))
}

// darkShed is by how many times faster leaves die that do not pay for themselves: in two weeks in a fast stem, in months in an
// Anubias (range 2 to 6, common practice, no source).
const darkShed = 4

// live is one day of one plant.
func (s *Stand) live(p *plant, e *DayEnv, in *inflow, left *Matter) {
	d, t := &s.day, p.t
	r := &d.result
	before := p.shoot + p.root

	// Uptake.
	var gain [4]float64
	for k := range 4 {
		gain[k] = p.needW[k] * in.water[k]
	}
	for _, b := range p.beds {
		o := &d.pore[b.i]
		g := &d.got[b.i]
		for k, have := range [4]float64{o.N, o.P, o.K, o.Fe} {
			if p.norm[k] > 0 && have > 0 {
				gain[k] += p.needR[k] * b.w * have / p.norm[k] * g[k]
			}
		}
	}
	p.n += gain[0]
	p.p += gain[1]
	p.k += gain[2]
	p.fe += gain[3]

	// Carbon: growth goes to shoot and root so that roots keep their share, a larger one in hungry plants.
	g := p.gross * in.carbon[t.class]
	p.lim.CO2 = min(in.carbon[t.class]*p.fit, 1)
	if p.gross <= 0 {
		p.lim.CO2 = 1
	}
	fed := min(p.lim.N, p.lim.P)
	want := min(t.roots*(1+0.8*(1-fed)), 0.7)
	have := p.root / before
	toRoot := clamp(want+3*(want-have), 0, min(2.5*want, 0.9))
	if t.class == airClass {
		r.FixedAirC += g * carbonPerGram
		r.RespiredAirC += p.breath * carbonPerGram
	} else {
		r.RespiredC += p.breath * carbonPerGram
		left.C -= g * carbonPerGram
	}
	left.N -= gain[0]
	left.P -= gain[1]
	left.K -= gain[2]
	left.Fe -= gain[3]
	r.GrowthG += g - p.breath
	burn := 1 - p.breath/before
	p.shoot = p.shoot*burn + g*(1-toRoot)
	p.root = p.root*burn + g*toRoot
	p.em *= burn

	// What roots hold beyond their share feeds new leaves, as when a crown has melted.
	if over := p.root - want*(p.shoot+p.root); over > 0 {
		move := 0.04 * over
		p.root -= move
		p.shoot += move
	}

	// Leaves and roots that have lived their time, leaves in the dark, and hunger, cold and heat.
	p.rgr += (clamp(math.Log1p(max((g-p.breath)/before, -0.5)), -0.1, 0.4) - p.rgr) / 15
	// Where growth is slow, leaves live longer, up to twice the usual (range 1.5 to 3, common practice, no source).
	life := t.life * (2 - clamp(p.rgr/t.rgr, 0, 1))
	rate := turnover(max(p.rgr, 0), life)
	rate += (darkShed*p.dark + 1 - min(fed, p.lim.K)) / t.life
	rate += 0.1 * clamp(0.3-p.lim.Temp, 0, 0.3)
	part := 1.0
	if t.form == catalog.Stem {
		part = 0.65 // leaves' share of a stem plant's shoot; stems stay (common practice, no source)
	}
	shed := p.shoot * part * min(rate, 0.3)
	p.em -= p.em / max(p.shoot, 1e-12) * shed
	old := p.shoot
	back := [3]float64{0.5 * (1 - p.lim.N), 0.5 * (1 - p.lim.P), 0.5 * (1 - p.lim.K)}
	s.drop(p, shed, back)
	p.shoot -= shed
	dead := p.root * min(turnover(max(p.rgr, 0), 1.5*life), 0.3)
	s.drop(p, dead, back)
	p.root -= dead
	if p.dry(e.Day) {
		p.em, p.emStart = p.shoot, p.shoot // all that grows before the flood are leaves made in air
	}
	melted := s.melt(p, e.Day)

	// Quotas above their ceiling leak: a tenth of the excess a day.
	m := p.shoot + p.root
	leak := Matter{
		N: 0.1 * max(p.n-t.qn[1]*m*1000, 0), P: 0.1 * max(p.p-t.qp[1]*m*1000, 0),
		K: 0.1 * max(p.k-t.qk[1]*m*1000, 0), Fe: 0.1 * max(p.fe-feMax*m*1000, 0),
	}
	p.lose(leak)
	r.ReleasedToWater = r.ReleasedToWater.Add(leak)

	p.net = m/before - 1
	p.habit += (clamp(p.light*s.strongest()/(p.light*s.strongest()+t.ik), 0, 1) - p.habit) / 14
	s.count(p, g, old, shed+melted)
	s.lengthen(p)
	s.widen(p)
}

// strongest is the largest dimming of the day's light.
func (s *Stand) strongest() float64 {
	best := 0.0
	for _, pc := range s.pieces {
		best = max(best, pc.Dim)
	}
	return best
}

// count keeps the number of leaves: each growing tip makes them as fast as growth allows, and they are lost as they die.
func (s *Stand) count(p *plant, g, shoot, lost float64) {
	t := p.t
	switch t.form {
	case catalog.Stem, catalog.Carpet, catalog.Moss, catalog.Floating:
		p.leaves = s.leafCount(p)
		return
	}
	tips := p.count
	if t.form == catalog.Rhizome {
		tips *= max(1, math.Sqrt(p.shoot/p.count/t.pot))
	}
	pace := clamp(g/(shoot*(t.rgr+t.resp)), 0, 1.2)
	p.leaves += t.leavesTip*tips*pace - p.leaves*lost/shoot
	p.leaves = max(p.leaves, 0)
}

// melt takes the nursery's leaves that do not stand the change, over the species' window, and turns the others.
func (s *Stand) melt(p *plant, day int) float64 {
	if p.em <= 0 {
		return 0
	}
	t, r := p.t, &s.day.result
	age := float64(day - p.settle)
	lost := 0.0
	if age >= t.meltFrom && age < t.meltTo {
		if age == t.meltFrom && t.meltShare*p.emStart > 0.1*p.shoot {
			r.MeltBegun = append(r.MeltBegun, s.change(p))
		}
		lost = min(t.meltShare*p.emStart/(t.meltTo-t.meltFrom), p.em, 0.95*p.shoot)
		s.drop(p, lost, [3]float64{})
		p.shoot -= lost
		p.em -= lost
	}
	if age > t.meltFrom {
		p.em -= p.em / t.adapt
	}
	if p.em < 0.05*p.emStart || p.em < 1e-9 {
		if p.emStart > 0.5*t.pot*0.5 {
			r.MeltOver = append(r.MeltOver, s.change(p))
		}
		p.em, p.emStart = 0, 0
	}
	if p.em > p.shoot {
		p.em = p.shoot
	}
	return lost
}

func (s *Stand) change(p *plant) Change {
	return Change{ID: p.id, Planting: p.planting, Species: p.t.sp.Name, X: p.x, Y: p.y}
}

// lengthen turns a stem plant's mass into length. Stems are thinner for their length in dim light and thicker in bright (habit);
// shoots from below a cut are thinner the more there are. They never grow longer than the species' fastest elongation allows,
// and surplus makes side shoots.
func (s *Stand) lengthen(p *plant) {
	if p.t.form != catalog.Stem {
		return
	}
	t := p.t
	per := t.perLength * (0.55 + 0.9*p.habit)
	reach := p.cutAt + (p.shoot-per*p.base*p.cutAt)/(per*math.Pow(p.base, 0.7)*math.Pow(p.stems, 0.3))
	p.length += clamp(reach-p.length, 0, 1.2*t.elong)
	switch {
	case reach > 1.25*p.length && p.stems < 3*t.stems*p.count:
		p.stems *= 1.01
		if p.cutAt == 0 {
			p.base = p.stems
		}
	case reach < 0.5*p.length && p.stems > p.count:
		p.stems *= 0.99
		if p.cutAt == 0 {
			p.base = p.stems
		}
	}
	// The foot of the stem drops its leaves where the lowest leafy layer does not pay for itself.
	if p.dark > 0.05 {
		p.bare = min(p.bare+0.003, 0.7*p.length)
		if p.bare > 0.5*s.vox.Cell {
			p.builtH = -1
		}
	}
}

// widen lets a closed carpet creep over free ground beside it.
func (s *Stand) widen(p *plant) {
	if p.t.form != catalog.Carpet || p.area < fullCover*p.patch || p.patch > 2*p.t.territory {
		return
	}
	if c := s.crowding(p); c < 1 {
		p.patch += 2 * math.Sqrt(math.Pi*p.patch) * p.t.lateral * (1 - c)
	}
}

// spent tells that too little of a plant is left to live: a fiftieth of a pot or of a daughter.
func (p *plant) spent() bool {
	return p.shoot < max(0.02*min(p.t.pot, or(p.t.birth, p.t.pot))*p.count, 1e-6)
}

// bury takes out plants of which too little is left to live.
func (s *Stand) bury() {
	r := &s.day.result
	dying := false
	for i := range s.plants {
		dying = dying || s.plants[i].spent()
	}
	if !dying {
		return
	}
	keep := s.plants[:0]
	for i := range s.plants {
		p := &s.plants[i]
		if !p.spent() {
			keep = append(keep, s.plants[i])
			continue
		}
		r.Lost = append(r.Lost, s.change(p))
		s.lay(p, p.shoot+p.root, p.matter())
	}
	clear(s.plants[len(keep):])
	s.plants = keep
}
