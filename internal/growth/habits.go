package growth

import (
	"littoral/internal/catalog"
	"math"
)

// plantlet is where a species makes plantlets.
type plantlet int

const (
	noPlantlets plantlet = iota
	onLeaves             // on old leaves, as ferns and some floating hearts do
	onStalks             // on the flower stalk, as swords do
)

// Numbers of how plants spread (all common practice, no source).
const (
	rhizomePiece  = 0.05  // m, a piece of rhizome as planted or parted
	rhizomeNode   = 0.007 // m of rhizome for each leaf; range 0.004 to 0.012
	stalkEvery    = 120   // days between the flower stalks of a grown sword; range 60 to 200
	stalkBears    = 4.0   // plantlets on a stalk; range 2 to 8
	leafBears     = 0.15  // plantlets for each new leaf where leaves bear them; range 0.05 to 0.4
	plantletDays  = 60    // until a plantlet has roots; range 40 to 90
	plantletShare = 0.02  // of a grown plant's shoot, what a plantlet weighs when it roots
)

// internode is the usual length of stem between two nodes, m.
func (t *traits) internode() float64 { return clamp(0.7*t.elong/t.leavesTip, 0.003, 0.15) }

// internode is how far apart nodes are set today: in dim light stems stretch, by a third in half of the light that the species is at home in, and stay short in bright light
// (stems of submersed plants lengthen in low light: Barko & Smart 1981, from memory; by how much is common practice, no source, range 1.1 to 2).
func (p *plant) internode() float64 { return p.t.internode() * (1.6 - 1.2*p.habit) }

// tips is the number of growing points.
func (p *plant) tips() float64 {
	switch p.t.form {
	case catalog.Stem:
		return p.stems
	case catalog.Rhizome:
		return p.count * max(1, math.Sqrt(p.shoot/p.count/p.t.pot))
	case catalog.Carpet, catalog.Moss, catalog.Floating:
		return p.leaves
	}
	return p.count
}

// told fills in what can be counted on a plant.
func (p *plant) told(st *PlantState) {
	t := p.t
	st.Shoots, st.LeafRate = p.tips(), 7*p.made
	st.LeafLife = t.life * (2 - clamp(p.rgr/t.rgr, 0, 1))
	st.Daughters, st.Plantlets, st.Red, st.Resting, st.Loose = float64(p.kids), math.Floor(p.plantlets), p.red, p.resting, clamp(p.loose, 0, 1)
	switch t.form {
	case catalog.Carpet, catalog.Runner:
		st.Runners = st.Daughters
	case catalog.Rhizome:
		st.LengthM = p.length
	case catalog.Stem:
		st.Nodes = p.nodes
		if p.nodes > 0 {
			st.InternodeM = p.length / p.nodes
		}
	}
}

// Redness of leaves: anthocyanin comes with strong light and with sugar that growth leaves over, as in plants short of nitrogen or phosphorus (Chalker-Scott
// 1999; Steyn et al. 2002, from memory). In the tank reds want some 80 to 100 µmol at the leaf and are deeper where little nitrate is dosed; leaves turn as
// new ones take the place of old ones, in about two weeks (common practice, no source).
const (
	redLight = 80.0 // µmol m⁻² s⁻¹ at the tops, at which half of what light does is done; range 50 to 120
	redFed   = 0.75 // of the reddest, in plants full of nitrogen and phosphorus; range 0.5 to 0.9
	redDays  = 14.0
)

// blush moves a plant's redness towards what its light and its stores make of it.
func (p *plant) blush() {
	t := p.t
	if !t.reddens {
		return
	}
	i := p.top
	if i < 0 {
		i = 0
	}
	lit := i * i / (i*i + redLight*redLight)
	hungry := 1 - min(p.lim.N, p.lim.P)
	want := min(lit*(redFed+(1-redFed)*min(2*hungry, 1)), 1)
	p.red += (want - p.red) / redDays
}

// sprout makes plantlets: one stalk after another on grown plants in good light, or a few along with new leaves.
func (p *plant) sprout(day int) {
	t := p.t
	switch t.plantlets {
	case onLeaves:
		if p.rgr > 0.1*t.rgr && t.form != catalog.Floating {
			p.plantlets = min(p.plantlets+leafBears*p.made*p.tips(), 0.5*p.leaves)
		}
	case onStalks:
		if p.shoot > 0.9*t.full*p.count && p.rgr > 0.05*t.rgr && p.plantlets < stalkBears*p.count && day-p.stalk >= stalkEvery {
			p.plantlets += stalkBears * p.count
			p.stalk = day
		}
	}
}

// hangs tells that a plant has plantlets that could root today: rosettes and lilies that have no other way to multiply.
func (s *Stand) hangs(p *plant, day int) bool {
	t := p.t
	return t.plantlets != noPlantlets && !t.begets && p.on == "" && p.plantlets >= 1 && day-p.stalk >= plantletDays && (day-p.stalk)%14 == 0
}

// peg roots a plantlet of plant i where its stalk or leaf reaches free, lit ground.
func (s *Stand) peg(i, day int) {
	p := &s.plants[i]
	at, ok := s.berth(p, day)
	if !ok {
		return
	}
	p.plantlets--
	p.kids++
	p.lastKid = day
	s.bear(i, at, day, plantletShare*p.t.full)
}

// Rest of bulbs: over three weeks the leaves are drawn in, half of their mass and most of their nutrients into the bulb, the rest drops; a bud stays
// (common practice, no source).
const (
	drawDays = 21
	drawMass = 0.5
	drawFood = 0.6
	budShare = 0.005 // of a grown plant's shoot
)

// rest lets a bulb go to rest when its time has come, and wake.
func (s *Stand) rest(w *tally, p *plant, day int) {
	t := p.t
	if t.rest <= 0 || p.dry(day) {
		return
	}
	if !p.resting {
		// No two bulbs keep the same calendar: a fifth either way.
		if age := float64(day - p.woke); age < t.active*(0.8+0.4*(0.5+s.vary*(draw(s.seed, p.key, p.woke, 9)-0.5))) {
			return
		}
		p.resting, p.rests = true, day+drawDays+int(t.rest)
		w.RestBegun = append(w.RestBegun, s.change(p))
	}
	if day >= p.rests {
		p.resting, p.woke = false, day
		w.RestOver = append(w.RestOver, s.change(p))
		return
	}
	began := p.rests - drawDays - int(t.rest)
	gone := (p.shoot - budShare*t.full*p.count) / float64(max(began+drawDays-day, 1))
	if gone <= 0 {
		return
	}
	f := gone / p.shoot
	p.root += drawMass * gone
	p.shoot -= drawMass * gone
	w.drop(p, (1-drawMass)*gone, [3]float64{drawFood, drawFood, drawFood})
	p.shoot -= (1 - drawMass) * gone
	p.leaves *= 1 - f
	p.em *= 1 - f
}

// Mat tells of a patch of carpet that floated up and was taken out.
type Mat struct {
	Change
	FreshG, DryG float64
	Matter       Matter
	M2           float64 // of bed laid open
}

// How mats lift. A thick mat takes the light of its own base; the base dies and rots, and gas under it lifts the rest. The trade tells of a mat of 5 cm that
// lifted 11 weeks after it was last sheared, with 110 µmol on top and under 5 below, and shears at 3 to 4 cm (common practice, no source).
const (
	matThick = 0.03 // m; thinner ones stay
	matMends = 21.0 // days in which a base that is lit again takes hold
	matLost  = 0.95 // of a patch goes when it lifts; what is left creeps on
)

// lift loosens mats over a dark base and lets them go.
func (s *Stand) lift(w *tally, p *plant) {
	t := p.t
	if !t.mats || len(p.layers) == 0 {
		return
	}
	l := &p.layers[0]
	base := l.onTop() * l.past * s.strongest()
	need := t.needs()
	if base >= need || p.h < min(matThick, 0.9*t.hMax) {
		p.loose -= p.loose / matMends
		return
	}
	p.loose += (1 - base/need) / s.params.MatDays
	if p.loose < 0.85+0.3*(0.5+s.vary*(draw(s.seed, p.key, p.born, 10)-0.5)) {
		return
	}
	p.loose = 0
	gone := matLost * p.shoot
	m := p.part(gone)
	p.lose(m)
	p.shoot -= gone
	p.em *= 1 - matLost
	roots := matLost * p.root
	w.drop(p, roots, [3]float64{})
	p.root -= roots
	w.Lifted = append(w.Lifted, Mat{Change: s.change(p), FreshG: gone / t.dryFresh, DryG: gone, Matter: m, M2: p.patch})
}
