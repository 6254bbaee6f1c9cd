package growth

import (
	"littoral/internal/catalog"
	"math"
	"slices"
)

// sumLight adds up a plant's photosynthesis over the day's pieces of light and its leaf layers, in hours of saturation.
func (s *Stand) sumLight(p *plant) {
	p.stale = false
	p.sum, p.dark = 0, 0
	if !s.lit {
		return
	}
	// Shade leaves saturate sooner, sun leaves later (from memory of sun and shade leaves of submersed plants; range 0.6 to 1.4).
	ik := p.t.ik * (0.6 + 0.8*p.habit)
	// Leaves pay for themselves from so many hours of saturation on.
	pays := math.Inf(1)
	if r25 := p.t.resp * s.burn(p) * warm25; r25 < p.t.most {
		pays = -math.Log1p(-r25/p.t.most) * s.params.Daylength
	}
	for k := range p.layers {
		l := &p.layers[k]
		if l.w <= 0 {
			continue
		}
		i0 := l.onTop() * p.clean
		f := 0.0
		for _, pc := range s.pieces {
			f += pc.Hours * canopyMean(i0*pc.Dim, l.tau, l.past, ik)
		}
		p.sum += l.w * f
		if f < pays {
			p.dark += l.w
		}
	}
}

// burn is by how much a plant's respiration differs from its species' own. Leaves burn for what they keep alive and for what they build
// (maintenance and growth respiration: McCree 1970, Thornley 1970, from memory), so that a plant which fixes little, in shade or where
// carbon is short, burns little: its species' own at half work, Params.IdleBreath of that in leaves that fix nothing, and as much over it
// in leaves at full work.
func (s *Stand) burn(p *plant) float64 {
	return s.params.IdleBreath + 2*(1-s.params.IdleBreath)*p.work
}

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

// space is by how much a plant holds back near its full size, room by how much on ground that it shares with too many.
func (s *Stand) space(p *plant, afloat float64) (space, room float64) {
	t := p.t
	one := p.shoot / p.count / t.full
	switch t.form {
	case catalog.Carpet:
		return clamp((9-p.area/p.patch)/5, 0, 1), min(1, 1.3/s.crowding(p))
	case catalog.Runner:
		return clamp((1.5-one)/0.6, 0, 1), min(1, 1/s.crowding(p))
	case catalog.Stem:
		return clamp((4-one)/2.5, 0, 1), 1
	case catalog.Floating:
		return clamp(1-afloat*afloat*afloat, 0, 1), 1
	}
	// In water too shallow for its height a rosette stays smaller.
	return clamp((1.5-one/clamp(s.depth(p)/t.hMax, 0.3, 1))/0.6, 0, 1), 1
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
	float := 0.0
	for i := range s.plants {
		t := s.plants[i].t
		if t.form == catalog.Floating {
			float += s.plants[i].area
		}
		if t.today != d.stamp {
			t.today = d.stamp
			t.warm, t.water = climate(t, &e)
			t.leafN = uptake(e.WaterN, vmN, t.qn[1]-t.qn[0], halfN)
			t.leafP = uptake(e.WaterP, vmP, t.qp[1]-t.qp[0], halfP)
		}
	}
	if a := s.surface(); a > 0 {
		float /= a
	}
	if e.Soil != nil {
		for i := range d.pore {
			d.pore[i] = e.Soil(i)
		}
	}
	q := q10(2, e.TempC)
	s.blocks(func(_ *desk, w *tally, lo, hi int) {
		w.air, w.class, w.airR, w.respC, w.waterA = 0, [2]float64{}, 0, 0, [4]float64{}
		for i := lo; i < hi; i++ {
			s.wish(w, &s.plants[i], &e, float, q)
		}
	})
	var sum tally
	for i := range s.inBlocks() {
		w := &s.tallies[i]
		sum.air += w.air
		sum.airR += w.airR
		sum.respC += w.respC
		for k, x := range w.class {
			sum.class[k] += x
		}
		for k, x := range w.waterA {
			sum.waterA[k] += x
		}
	}
	s.askBed()
	dem.GrossC = [2]float64{sum.class[0] * carbonPerGram, sum.class[1] * carbonPerGram}
	dem.AirC = sum.air * carbonPerGram
	dem.AirR, dem.RespC = sum.airR, sum.respC
	dem.Water = Matter{N: sum.waterA[0], P: sum.waterA[1], K: sum.waterA[2], Fe: sum.waterA[3]}
	for c := range d.ask {
		if a := d.ask[c]; a != [4]float64{} {
			dem.Root = append(dem.Root, RootAsk{c, a[0], a[1], a[2], a[3]})
		}
	}
	return dem
}

// wish works out what one plant asks for; afloat is the share of the surface under leaves of floating plants, q the factor of temperature
// on respiration.
func (s *Stand) wish(w *tally, p *plant, e *DayEnv, afloat, q float64) {
	t := p.t
	if p.stale {
		s.sumLight(p)
	}
	m := p.shoot + p.root
	lim := Limits{CO2: 1, Light: filled(p.sum / s.params.Daylength)}
	lim.Temp, lim.Water = t.warm, t.water
	lim.Space, lim.Room = s.space(p, afloat)
	lim.N = droop(p.n/m/1000, t.qn[0], t.qn[1])
	lim.P = droop(p.p/m/1000, t.qp[0], t.qp[1])
	lim.K = droop(p.k/m/1000, t.qk[0], t.qk[1])
	lim.Fe = droop(p.fe/m/1000, feMin, feMax)
	// Freshly set plants root first; leaves made in air do little more than half as well under water.
	var fit float64
	switch {
	case p.dry(e.Day):
		fit = 0.7
	case !p.settled:
		x := clamp(float64(e.Day-p.settle)/12, 0, 1)
		fit = (0.4 + 0.6*x*x*(3-2*x)) * (1 - 0.4*p.em/p.shoot)
	default:
		fit = 1 - 0.4*p.em/p.shoot
	}
	lim.Settle = fit
	p.lim = lim
	p.gross = min(t.most*p.shoot*lim.Light, quantum*s.photons(p)/carbonPerGram) * lim.Temp * lim.Water * lim.Space * lim.Room * fit * min(lim.N, lim.P, lim.K, lim.Fe)
	p.fit = s.carbonFit(t, lim.Light, 1+e.Uneven*(1-2*s.away(p.x, p.y)))
	p.gross *= p.fit
	p.breath = min(t.resp*s.burn(p)*q, 0.5) * m
	if p.resting {
		p.gross = 0
	}
	// A plant that grows at a steady relative rate x grows by e^x − 1 over a whole day.
	if x := (p.gross - p.breath) / m; math.Abs(x) > 1e-6 {
		f := math.Expm1(x) / x
		p.gross *= f
		p.breath *= f
	}
	if t.class == airClass {
		w.air += p.gross
		w.airR += p.breath * carbonPerGram
	} else {
		w.class[t.class] += p.gross
		w.respC += p.breath * carbonPerGram
	}
	s.ask(w, p, e, m)
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
	return p.area * p.t.ext * p.light * p.clean * h * 3.6
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
// factor is 1). local is the CO2 where the plant stands over the tank's mean.
func (s *Stand) carbonFit(t *traits, light, local float64) float64 {
	if t.class == airClass {
		return 1
	}
	f := min(s.day.carbon[t.class], 0.99)
	if f <= 0 {
		return 1
	}
	x := f / (1 - f) * local // in half-saturations of its class, over the compensation point
	own := x / (1 + x)
	if t.class == 0 {
		own = x * classHalf / (x*classHalf + t.halfCO2)
	}
	return clamp(own/f/math.Sqrt(light+own-light*own), 0.5, 3)
}

// SetOutlets tells where the filters' water comes back, m from the front-left inside corner.
func (s *Stand) SetOutlets(at [][2]float64) {
	s.outlets, s.farthest = at, 0
	for _, x := range []float64{0, float64(s.vox.NX) * s.vox.Cell} {
		for _, y := range []float64{0, float64(s.vox.NY) * s.vox.Cell} {
			s.farthest = max(s.farthest, s.toOutlet(x, y))
		}
	}
}

func (s *Stand) toOutlet(x, y float64) float64 {
	near := math.Inf(1)
	for _, o := range s.outlets {
		near = min(near, math.Hypot(x-o[0], y-o[1]))
	}
	return near
}

// away is how far a place lies from the nearest outlet, as a share of the farthest corner's distance; half where no outlet is known.
func (s *Stand) away(x, y float64) float64 {
	if len(s.outlets) == 0 || s.farthest <= 0 {
		return 0.5
	}
	return min(1, s.toOutlet(x, y)/s.farthest)
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
func (s *Stand) ask(w *tally, p *plant, e *DayEnv, m float64) {
	if p.resting {
		p.needR, p.needW, p.norm = [4]float64{}, [4]float64{}, [4]float64{}
		return
	}
	d := &s.day
	t := p.t
	grown := (m + p.gross) * 1000
	room := func(q [2]float64, have, share float64) float64 { return max((q[0]+(q[1]-q[0])*share)*grown-have, 0) }
	roomK, roomFe := room(t.qk, p.k, 1), room([2]float64{feMin, feMax}, p.fe, 1)
	p.needR, p.norm = [4]float64{}, [4]float64{}
	var mean Pore
	if p.col >= 0 && e.Soil != nil {
		for _, b := range p.beds {
			o := &d.pore[b.i]
			mean.NConc += b.w * o.NConc
			mean.PConc += b.w * o.PConc
			p.norm[0] += b.w * max(o.N, 0)
			p.norm[1] += b.w * max(o.P, 0)
			p.norm[2] += b.w * max(o.K, 0)
			p.norm[3] += b.w * max(o.Fe, 0)
		}
	}
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
		room(t.qn, p.n, fillN) * (1 - fromRoot[0]) * t.leafN,
		room(t.qp, p.p, fillP) * (1 - fromRoot[1]) * t.leafP,
		roomK * (1 - fromRoot[2]) * dailyK,
		roomFe * (1 - fromRoot[3]) * dailyFe,
	}
	fillN, fillP = mean.NConc/(mean.NConc+halfN), mean.PConc/(mean.PConc+halfP)
	p.needR = [4]float64{
		room(t.qn, p.n, fillN) * fromRoot[0] * uptake(mean.NConc, vmN, t.qn[1]-t.qn[0], halfN),
		room(t.qp, p.p, fillP) * fromRoot[1] * uptake(mean.PConc, vmP, t.qp[1]-t.qp[0], halfP),
		roomK * fromRoot[2] * dailyK,
		roomFe * fromRoot[3] * dailyFe,
	}
	for k := range 4 {
		w.waterA[k] += p.needW[k]
	}
}

// askBed adds up what all plants ask of each root column.
func (s *Stand) askBed() {
	d := &s.day
	clear(d.ask)
	for i := range s.plants {
		d.askFor(&s.plants[i])
	}
}

func (d *dayState) askFor(p *plant) {
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
