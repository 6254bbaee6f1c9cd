package growth

import (
	"littoral/internal/catalog"
	"littoral/internal/geometry"
	"littoral/internal/plan"
	"math"
	"testing"
)

// rig is a simple tank around a stand: light that falls straight down by Beer–Lambert, water of fixed or running-down content,
// a bed with a bounded or endless store in every column.
type rig struct {
	t      testing.TB
	p      *plan.Plan
	m      *geometry.Model
	v      *geometry.Voxels
	c      *geometry.Columns
	s      *Stand
	day    int
	i0     float64 // PPFD under the surface
	kd     float64
	hours  float64
	temp   float64
	co2    float64 // mg/L
	n, p0  float64 // mg/L in water
	k      bool    // potassium and iron in the water
	litre  float64 // > 0: the water's N and P run down, mg in litre
	soil   []Pore  // per column, runs down; nil = none
	fixed  bool    // soil does not run down
	uneven float64
	every  int          // days between light solutions
	daily  []LightPiece // the day's light where it is not a plain day of lamps

	leaf, cover, ppfd []float64
	books, in         Matter // in − out; all that came in
	tookN             float64
	last              *Result
	worst             float64 // largest imbalance that balanced has seen, as a share of what came in
}

func newRig(t testing.TB, lx, ly, depth float64, plants ...plan.Planting) *rig {
	return newRigOf(t, 0.025, lx, ly, depth, plants...)
}

func newRigOf(t testing.TB, cell, lx, ly, depth float64, plants ...plan.Planting) *rig {
	const bed = 0.05
	r := &rig{t: t, i0: 150, kd: 0.2, hours: 8, temp: 25, co2: 25, n: 2, p0: 0.3, k: true, every: 3}
	level := bed + depth
	v := &geometry.Voxels{Cell: cell, NX: int(math.Round(lx / cell)), NY: int(math.Round(ly / cell)), NZ: int(math.Ceil(level/cell - 1e-9))}
	v.Solid = make([]bool, v.NX*v.NY*v.NZ)
	v.GroundIZ = make([]int, v.NX*v.NY)
	ground := int(math.Round(bed / cell))
	for i := range v.GroundIZ {
		v.GroundIZ[i] = ground
	}
	for i := range ground * v.NX * v.NY {
		v.Solid[i] = true
	}
	c := &geometry.Columns{Cell: 0.05, NX: int(math.Round(lx / 0.05)), NY: int(math.Round(ly / 0.05))}
	n := c.NX * c.NY
	c.Area, c.Free, c.Top, c.Slope = make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range n {
		c.Area[i], c.Free[i], c.Top[i] = 0.0025, 1, bed
	}
	r.v, r.c = v, c
	r.m = &geometry.Model{Tank: geometry.Tank{Shape: "box", LX: lx, LY: ly, Height: level + 0.05, WaterLevel: level}}
	r.p = &plan.Plan{Plants: plants, Cat: catalog.Default()}
	r.leaf, r.cover, r.ppfd = make([]float64, len(v.Solid)), make([]float64, v.NX*v.NY), make([]float64, len(v.Solid))
	return r
}

// start makes the stand; seed 0 and vary say how alike the pots are.
func (r *rig) start(vary float64) *rig {
	r.s = newStand(r.p, r.m, r.v, r.c, 7)
	r.s.vary = vary
	r.s.Plant(0, r.p.Plants)
	r.books = r.s.Stock()
	r.in = r.books
	r.shine()
	return r
}

// rich gives every column an endless store.
func (r *rig) rich() *rig {
	r.soil = make([]Pore, len(r.c.Area))
	for i := range r.soil {
		r.soil[i] = Pore{N: 1000, P: 200, K: 1000, Fe: 100, NConc: 10, PConc: 1}
	}
	r.fixed = true
	return r
}

func (r *rig) shine() {
	r.s.Canopy(r.leaf, r.cover)
	v := r.v
	plane := v.NX * v.NY
	for col := range plane {
		i := r.i0 * (1 - r.cover[col])
		for z := v.NZ - 1; z >= 0; z-- {
			k := z*plane + col
			if v.Solid[k] {
				r.ppfd[k] = 0
				continue
			}
			tau := (r.kd + r.leaf[k]) * v.Cell
			out := i * math.Exp(-tau)
			r.ppfd[k] = (i - out) / tau
			i = out
		}
	}
	r.s.SetLight(r.ppfd)
}

func (r *rig) env() DayEnv {
	e := DayEnv{Day: r.day, TempC: r.temp, Light: []LightPiece{{0.5, 0.5}, {r.hours - 1, 1}, {0.5, 0.5}}, WaterN: r.n, WaterP: r.p0, Uneven: r.uneven}
	if r.daily != nil {
		e.Light = r.daily
	}
	if r.hours <= 1 {
		e.Light = []LightPiece{{r.hours, 1}}
	}
	if r.soil != nil {
		e.Soil = func(c int) Pore { return r.soil[c] }
	}
	return e
}

func (r *rig) step() *Result {
	r.t.Helper()
	if r.every > 0 && r.day%r.every == 0 {
		r.shine()
	}
	e := r.env()
	d := r.s.Demand(e)
	um := r.co2 / 44.01 * 1000
	f := max(um-co2Floor, 0)
	tk := Taken{FixedC: [2]float64{d.GrossC[0] * f / (f + 100), d.GrossC[1] * max(f/(f+30), 0.3)}}
	tk.Water.N, tk.Water.P = d.Water.N, d.Water.P
	if r.litre > 0 {
		tk.Water.N, tk.Water.P = min(d.Water.N, 0.9*r.n*r.litre), min(d.Water.P, 0.9*r.p0*r.litre)
		r.n -= tk.Water.N / r.litre
		r.p0 -= tk.Water.P / r.litre
	}
	if r.k {
		tk.Water.K, tk.Water.Fe = d.Water.K, d.Water.Fe
	}
	r.tookN = tk.Water.N
	for _, a := range d.Root {
		o := &r.soil[a.Column]
		g := Matter{N: min(a.N, o.N), P: min(a.P, o.P), K: min(a.K, o.K), Fe: min(a.Fe, o.Fe)}
		if !r.fixed {
			o.N -= g.N
			o.P -= g.P
			o.K -= g.K
			o.Fe -= g.Fe
		}
		r.tookN += g.N
		tk.Root = append(tk.Root, g)
	}
	in := tk.Water
	in.C = tk.FixedC[0] + tk.FixedC[1] + d.AirC
	for _, g := range tk.Root {
		in = in.Add(g)
	}
	res := r.s.Grow(e, tk)
	out := res.ReleasedToWater
	out.C += res.RespiredC + res.RespiredAirC
	for _, x := range res.Detritus {
		out = out.Add(x.Matter)
	}
	for _, x := range res.Lifted {
		out = out.Add(x.Matter)
	}
	r.books, r.in = r.books.Add(in).Add(out.Scale(-1)), r.in.Add(in)
	r.last = res
	r.day++
	return res
}

func (r *rig) run(days int) *rig {
	r.t.Helper()
	for range days {
		r.step()
	}
	return r
}

func (r *rig) balanced() {
	r.t.Helper()
	have := r.s.Stock()
	for _, x := range []struct {
		name             string
		want, have, over float64
	}{{"C", r.books.C, have.C, r.in.C}, {"N", r.books.N, have.N, r.in.N}, {"P", r.books.P, have.P, r.in.P}, {"K", r.books.K, have.K, r.in.K}, {"Fe", r.books.Fe, have.Fe, r.in.Fe}} {
		d := math.Abs(x.want-x.have) / x.over
		r.worst = max(r.worst, d)
		if !(d <= 1e-12) {
			r.t.Errorf("%s in the stand is %.12g, in less out is %.12g (%.2g)", x.name, x.have, x.want, d)
		}
	}
}

func (r *rig) find(id string) PlantState {
	for _, p := range r.s.States() {
		if p.ID == id {
			return p
		}
	}
	r.t.Fatalf("no plant %s", id)
	return PlantState{}
}

func box(x0, y0, x1, y1 float64) []plan.PointCM {
	return []plan.PointCM{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}
}

// traitsFor are a species' parameters with the house's values.
func traitsFor(sp *catalog.Species) *traits {
	q := DefaultParams()
	return newTraits(sp, &sp.Phys, &q)
}
