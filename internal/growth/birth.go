package growth

import (
	"littoral/internal/catalog"
	"math"
	"strconv"
)

// births lets plants that are near their size and growing make daughters on free, lit ground.
func (s *Stand) births(e *DayEnv) {
	for i, n := 0, len(s.plants); i < n; i++ {
		p := &s.plants[i]
		if s.hangs(p, e.Day) {
			s.peg(i, e.Day)
			continue
		}
		if !s.ready(p, e.Day) {
			continue
		}
		at, ok := s.berth(p, e.Day)
		if !ok {
			p.lastKid = e.Day - int(0.6*p.t.every) // looks again before a whole interval is over
			continue
		}
		p.lastKid = e.Day
		p.kids++
		s.bear(i, at, e.Day, p.t.birth)
	}
}

func (s *Stand) ready(p *plant, day int) bool {
	t := p.t
	if !t.begets || p.resting || p.rgr < 0.1*t.rgr || p.shoot < 2*t.birth {
		return false
	}
	if wait := t.every * (0.8 + 0.4*s.vary*draw(s.seed, p.key, p.kids, 7)); float64(day-p.lastKid) < wait {
		return false
	}
	one := p.shoot / p.count / t.full
	switch t.form {
	case catalog.Carpet:
		return p.area > 2*p.patch
	case catalog.Runner:
		return one > 0.4
	case catalog.Rosette:
		return one > 1
	case catalog.Floating:
		return one > 1
	}
	return one > 1.25
}

// berth looks for a place for a daughter: of a dozen within its reach the one with the most light on free ground.
func (s *Stand) berth(p *plant, day int) (spot, bool) {
	t := p.t
	if p.on != "" {
		return s.berthOn(p)
	}
	var best spot
	score := 0.0
	turn := draw(s.seed, p.key, day, 8)
	from := 0.0
	if t.form == catalog.Carpet || t.form == catalog.Floating {
		from = p.spread / 2
	}
	for k := range 12 {
		a := 2 * math.Pi * (float64(k) + turn) / 12
		far := from + t.reach[0] + (t.reach[1]-t.reach[0])*draw(s.seed, p.key, day, 16+k)
		x, y := p.x+far*math.Cos(a), p.y+far*math.Sin(a)
		if v := s.worth(p, x, y); v > score {
			score, best = v, s.bedSpot(x, y)
			if t.form == catalog.Floating {
				best = spot{x: x, y: y, z: s.model.Tank.WaterLevel, afloat: true}
			}
		}
	}
	return best, score > 0
}

// worth is how good a place is for a daughter: its light where that is enough to live on, times the ground that is free; 0 = none.
func (s *Stand) worth(p *plant, x, y float64) float64 {
	v := s.vox
	ix, iy := int(math.Floor(x/v.Cell)), int(math.Floor(y/v.Cell))
	if ix < 0 || iy < 0 || ix >= v.NX || iy >= v.NY {
		return 0
	}
	g := v.GroundIZ[iy*v.NX+ix]
	if g >= v.NZ {
		return 0
	}
	if p.t.form == catalog.Floating {
		if v.Solid[((v.NZ-1)*v.NY+iy)*v.NX+ix] {
			return 0
		}
		return 1 - s.cover[iy*v.NX+ix]
	}
	c, ok := s.plantable(x, y)
	if !ok {
		return 0
	}
	free := 1 - s.taken[c]/(s.cols.Area[c]*s.cols.Free[c])
	light := s.ppfd[(g*v.NY+iy)*v.NX+ix] * s.strongest()
	if free < 0.4 || light < 1.5*p.t.needs() {
		return 0
	}
	return free * light
}

// needs is the PPFD at which a day of eight hours pays for respiration at 25 °C.
func (t *traits) needs() float64 {
	r := t.resp * warm25 / t.most
	if r >= 1 {
		return 1e6
	}
	return min(compensation(8/t.daylength, -math.Log1p(-r), t.ik), 1e6)
}

// berthOn finds a free seat on the stone or wood that the parent sits on.
func (s *Stand) berthOn(p *plant) (spot, bool) {
	for i := range s.model.Solids {
		b := &s.model.Solids[i]
		if b.ID != p.on {
			continue
		}
		best, score := [3]float64{}, 0.0
		seats, known := s.seated[b.ID]
		if !known {
			seats = s.seats(b, 300, keyOf(b.ID))
			s.seated[b.ID] = seats
		}
		for _, q := range seats {
			d := math.Sqrt((q[0]-p.x)*(q[0]-p.x) + (q[1]-p.y)*(q[1]-p.y) + (q[2]-p.z)*(q[2]-p.z))
			if d < p.t.reach[0] || d > p.t.reach[1] {
				continue
			}
			near := math.Inf(1)
			for j := range s.plants {
				if o := &s.plants[j]; o.on == p.on {
					near = min(near, math.Sqrt((q[0]-o.x)*(q[0]-o.x)+(q[1]-o.y)*(q[1]-o.y)+(q[2]-o.z)*(q[2]-o.z))/(o.spread/2))
				}
			}
			if near > 1.2 && 1/d > score {
				best, score = q, 1/d
			}
		}
		return spot{x: best[0], y: best[1], z: best[2], on: p.on}, score > 0
	}
	return spot{}, false
}

// bear parts a daughter of g grams of shoot from plant i and sets it at a place; when there are too many to tell apart it joins the nearest of its kind.
func (s *Stand) bear(i int, at spot, day int, g float64) {
	p := &s.plants[i]
	t := p.t
	f := min(g/p.shoot, 0.5)
	q := plant{
		id: p.id + "/" + strconv.Itoa(p.kids), planting: p.planting, pi: p.pi, t: t, x: at.x, y: at.y, z: at.z, col: -1, on: at.on,
		born: day, settle: max(day, p.settle), settled: true, lastKid: day, stalk: day, woke: day, count: 1, habit: p.habit, work: p.work, rgr: p.rgr, shader: -1, clean: 1,
		shoot: f * p.shoot, root: f * p.root, n: f * p.n, p: f * p.p, k: f * p.k, fe: f * p.fe, leaves: f * p.leaves,
		patch: daughterPatch, stems: t.stems, base: t.stems, red: p.red,
	}
	if t.form == catalog.Rhizome {
		q.length = min(rhizomePiece, 0.5*p.length)
		p.length -= q.length
		p.plantlets = max(p.plantlets-1, 0)
	}
	q.key = keyOf(q.id)
	if p.dry(day) {
		q.em, q.emStart = q.shoot, q.shoot
	}
	if !at.afloat && at.on == "" {
		q.col = s.columnAt(at.x, at.y)
	}
	p.shoot -= q.shoot
	p.root -= q.root
	p.n -= q.n
	p.p -= q.p
	p.k -= q.k
	p.fe -= q.fe
	p.em *= 1 - f
	p.leaves -= q.leaves
	c := s.change(&q)
	c.From = p.id
	s.day.result.Born = append(s.day.result.Born, c)
	if len(s.plants) >= s.most {
		s.join(&q, at)
		return
	}
	s.shape(&s.desks[0], p)
	s.plants = append(s.plants, q)
	d := &s.plants[len(s.plants)-1]
	s.shape(&s.desks[0], d)
	for _, b := range d.beds {
		s.taken[b.i] += b.w * d.holds
	}
}

// join adds a daughter to the nearest plant of its species; there is always its parent.
func (s *Stand) join(q *plant, at spot) {
	best, bd := -1, math.Inf(1)
	for j := range s.plants {
		o := &s.plants[j]
		if o.t != q.t || o.on != q.on || (o.col < 0) != (q.col < 0) {
			continue
		}
		if d := (o.x-at.x)*(o.x-at.x) + (o.y-at.y)*(o.y-at.y); d < bd {
			best, bd = j, d
		}
	}
	o := &s.plants[best]
	o.shoot += q.shoot
	o.root += q.root
	o.n += q.n
	o.p += q.p
	o.k += q.k
	o.fe += q.fe
	o.leaves += q.leaves
	o.patch += q.patch
	o.count++
	s.shape(&s.desks[0], o)
}
