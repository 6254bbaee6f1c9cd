package growth

import (
	"littoral/internal/catalog"
	"math"
)

// Grow lets the day happen with what the plants were given. Everything taken ends up in plants, detritus or the water.
func (s *Stand) Grow(e DayEnv, got Taken) *Result {
	d := &s.day
	r := &d.result
	*r = r.emptied()
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
	plantings := len(s.names)
	s.blocks(func(hand *desk, w *tally, lo, hi int) {
		w.clear()
		w.room(plantings)
		for i := lo; i < hi; i++ {
			p := &s.plants[i]
			s.live(w, p, &e, &in)
			if !p.spent() {
				s.shape(hand, p)
			}
		}
	})
	for i := range s.inBlocks() {
		w := &s.tallies[i]
		r.add(&w.Result)
		left = left.Add(w.left)
		d.lands(w.fell)
	}
	// Rounding, and anything given that no plant asked for, goes back to the water.
	r.ReleasedToWater = r.ReleasedToWater.Add(left)
	s.bury()
	s.stake()
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
		water: [4]float64{
			ratio(got.Water.N, dem.Water.N), ratio(got.Water.P, dem.Water.P), ratio(got.Water.K, dem.Water.K),
			ratio(got.Water.Fe, dem.Water.Fe),
		},
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
func (w *tally) drop(p *plant, g float64, keep [3]float64) {
	if g <= 0 {
		return
	}
	m := p.part(g)
	m.N *= 1 - keep[0]
	m.P *= 1 - keep[1]
	m.K *= 1 - keep[2]
	p.lose(m)
	w.lay(p, g, m)
}

func (w *tally) lay(p *plant, g float64, m Matter) {
	now := Matter{N: 0.25 * m.N, P: 0.25 * m.P, K: 0.5 * m.K, Fe: 0.5 * m.Fe}
	w.ReleasedToWater = w.ReleasedToWater.Add(now)
	w.fell = append(w.fell, fallen{p.col + 1, g, m.Add(now.Scale(-1))})
}

// live is one day of one plant.
func (s *Stand) live(w *tally, p *plant, e *DayEnv, in *inflow) {
	d, t := &s.day, p.t
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
	worked := g / (t.most * p.shoot)
	p.lim.CO2 = min(in.carbon[t.class]*p.fit, 1)
	if p.gross <= 0 {
		p.lim.CO2 = 1
	}
	if !p.resting {
		w.hold(p)
	}
	fed := min(p.lim.N, p.lim.P)
	want := min(t.roots*(1+0.8*(1-fed)), 0.7)
	have := p.root / before
	toRoot := clamp(want+3*(want-have), 0, min(2.5*want, 0.9))
	if t.class == airClass {
		w.FixedAirC += g * carbonPerGram
		w.RespiredAirC += p.breath * carbonPerGram
	} else {
		w.RespiredC += p.breath * carbonPerGram
		w.left.C -= g * carbonPerGram
	}
	w.left.N -= gain[0]
	w.left.P -= gain[1]
	w.left.K -= gain[2]
	w.left.Fe -= gain[3]
	w.GrowthG += g - p.breath
	burn := 1 - p.breath/before
	p.shoot = p.shoot*burn + g*(1-toRoot)
	p.root = p.root*burn + g*toRoot
	p.em *= burn

	// What roots hold beyond their share feeds new leaves, as when a crown has melted.
	if over := p.root - want*(p.shoot+p.root); over > 0 && !p.resting {
		move := 0.04 * over
		p.root -= move
		p.shoot += move
	}

	// Leaves and roots that have lived their time, leaves in the dark, and hunger, cold and heat.
	p.rgr += (clamp(math.Log1p(max((g-p.breath)/before, -0.5)), -0.1, 0.4) - p.rgr) / 15
	// Where growth is slow, leaves live longer, up to twice the usual (range 1.5 to 3, common practice, no source).
	life := t.life * (2 - clamp(p.rgr/t.rgr, 0, 1))
	rate := turnover(max(p.rgr, 0), life)
	rate += (s.params.DarkShed*p.dark + 1 - min(fed, p.lim.K)) / t.life
	rate += 0.1 * clamp(0.3-p.lim.Temp, 0, 0.3)
	part := 1.0
	if t.form == catalog.Stem {
		part = 0.65 // leaves' share of a stem plant's shoot; stems stay (common practice, no source)
	}
	shed := p.shoot * part * min(rate, 0.3)
	p.em -= p.em / max(p.shoot, 1e-12) * shed
	old := p.shoot
	back := [3]float64{0.5 * (1 - p.lim.N), 0.5 * (1 - p.lim.P), 0.5 * (1 - p.lim.K)}
	w.drop(p, shed, back)
	p.shoot -= shed
	dead := p.root * min(turnover(max(p.rgr, 0), 1.5*life), 0.3)
	w.drop(p, dead, back)
	p.root -= dead
	if p.dry(e.Day) {
		p.em, p.emStart = p.shoot, p.shoot // all that grows before the flood are leaves made in air
	}
	melted := s.melt(w, p, e.Day)
	s.rest(w, p, e.Day)
	s.lift(w, p)

	// Quotas above their ceiling leak: a tenth of the excess a day.
	m := p.shoot + p.root
	leak := Matter{
		N: 0.1 * max(p.n-t.qn[1]*m*1000, 0), P: 0.1 * max(p.p-t.qp[1]*m*1000, 0),
		K: 0.1 * max(p.k-t.qk[1]*m*1000, 0), Fe: 0.1 * max(p.fe-feMax*m*1000, 0),
	}
	p.lose(leak)
	w.ReleasedToWater = w.ReleasedToWater.Add(leak)

	p.net = m/before - 1
	p.drift += (p.net - p.drift) / driftDays
	lit := p.light * p.clean * s.strongest()
	p.habit += (clamp(lit/(lit+t.ik), 0, 1) - p.habit) / 14
	p.work += (clamp(worked, 0, 1) - p.work) / 14
	p.made = t.leavesTip * clamp(g/(old*(t.rgr+t.resp)), 0, 1.2)
	s.count(p, old, shed+melted)
	p.blush()
	p.sprout(e.Day)
	s.lengthen(p)
	s.widen(p)
}

// leafHours is how long light must last for leaves to live by it: a spell of sun shorter than that makes no sun leaves (common practice, no source;
// range 2 to 6 h).
const leafHours = 4.0

// strongest is the largest dimming that lasts leafHours of the day, or half of a shorter day.
func (s *Stand) strongest() float64 {
	lit := 0.0
	for _, pc := range s.pieces {
		lit += pc.Hours
	}
	most := 0.0
	for _, pc := range s.pieces {
		hours := 0.0
		for _, other := range s.pieces {
			if other.Dim >= pc.Dim {
				hours += other.Hours
			}
		}
		if hours >= min(leafHours, lit/2) {
			most = max(most, pc.Dim)
		}
	}
	return most
}

// count keeps the number of leaves: each growing tip makes them as fast as growth allows, and they are lost as they die.
func (s *Stand) count(p *plant, shoot, lost float64) {
	t := p.t
	switch t.form {
	case catalog.Stem:
		return // see lengthen
	case catalog.Carpet, catalog.Moss, catalog.Floating:
		p.leaves = s.leafCount(p)
		return
	case catalog.Rhizome:
		p.length += rhizomeNode * p.made // creeps on
	}
	p.leaves += p.made*p.tips() - p.leaves*lost/shoot
	p.leaves = max(p.leaves, 0)
}

// melt takes the nursery's leaves that do not stand the change, over the species' window, and turns the others.
func (s *Stand) melt(w *tally, p *plant, day int) float64 {
	if p.em <= 0 {
		return 0
	}
	t := p.t
	age := float64(day - p.settle)
	lost := 0.0
	if age >= t.meltFrom && age < t.meltTo {
		if age == t.meltFrom && t.meltShare*p.emStart > 0.1*p.shoot {
			w.MeltBegun = append(w.MeltBegun, s.change(p))
		}
		lost = min(t.meltShare*p.emStart/(t.meltTo-t.meltFrom), p.em, 0.95*p.shoot)
		w.drop(p, lost, [3]float64{})
		p.shoot -= lost
		p.em -= lost
	}
	if age > t.meltFrom {
		p.em -= p.em / t.adapt
	}
	if p.em < 0.05*p.emStart || p.em < 1e-9 {
		if p.emStart > 0.25*t.pot*p.count { // little of a plant grown submersed has to change over
			w.MeltOver = append(w.MeltOver, s.change(p))
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
	reach := p.cutAt + (p.shoot-per*p.base*p.cutAt)/(per*math.Exp(0.7*math.Log(p.base)+0.3*math.Log(p.stems)))
	longer := clamp(reach-p.length, 0, 1.2*t.elong)
	p.made = longer / p.internode()
	p.nodes += p.made
	p.length += longer
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
	p.leaves = s.leafCount(p)
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

// spent tells that too little of a plant is left to live: a fiftieth of a pot or of a daughter. A bulb lives on without leaves.
func (p *plant) spent() bool {
	alive := p.shoot
	if p.t.rest > 0 {
		alive += 0.3 * p.root
	}
	return alive < max(0.02*min(p.t.pot, or(p.t.birth, p.t.pot))*p.count, 1e-6)
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
	var w tally
	keep := s.plants[:0]
	for i := range s.plants {
		p := &s.plants[i]
		if !p.spent() {
			keep = append(keep, s.plants[i])
			continue
		}
		r.Lost = append(r.Lost, s.change(p))
		w.lay(p, p.shoot+p.root, p.matter())
	}
	clear(s.plants[len(keep):])
	s.plants = keep
	r.ReleasedToWater = r.ReleasedToWater.Add(w.ReleasedToWater)
	s.day.lands(w.fell)
}
