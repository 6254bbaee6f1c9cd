package growth

import (
	"fmt"
	"littoral/internal/catalog"
	"littoral/internal/check"
	"littoral/internal/geometry"
	"littoral/internal/mesh"
	"littoral/internal/plan"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// mixed is a small tank with every form.
func mixed(t testing.TB) *rig {
	r := newRig(t, 0.8, 0.4, 0.4,
		plan.Planting{ID: "carpet", Species: "Glossostigma elatinoides", Pots: 6, In: box(0, 0, 40, 15)},
		plan.Planting{ID: "stems", Species: "Rotala rotundifolia", Pots: 4, In: box(40, 20, 80, 40)},
		plan.Planting{ID: "hornwort", Species: "Ceratophyllum demersum", Pots: 1, At: []plan.PointCM{{5, 35}}},
		plan.Planting{ID: "crypts", Species: "Cryptocoryne wendtii", Pots: 3, In: box(40, 0, 80, 20)},
		plan.Planting{ID: "val", Species: "Vallisneria spiralis", Pots: 2, Along: []plan.PointCM{{5, 30}, {35, 30}}},
		plan.Planting{ID: "fern", Species: "Microsorum pteropus", Pots: 1, At: []plan.PointCM{{30, 20}}},
		plan.Planting{ID: "moss", Species: "Taxiphyllum barbieri", Pots: 1, At: []plan.PointCM{{20, 20}}},
		plan.Planting{ID: "bulb", Species: "Aponogeton crispus", Pots: 1, At: []plan.PointCM{{60, 18}}},
		plan.Planting{ID: "lily", Species: "Nymphaea lotus", Pots: 1, At: []plan.PointCM{{50, 25}}},
		plan.Planting{ID: "afloat", Species: "Salvinia natans", Pots: 2, Afloat: true},
	)
	for i := range r.p.Plants {
		species(t, r.p.Plants[i].Species)
	}
	return r
}

// Over a long and busy run nothing is made or lost: what stands is what came in less what went out, by every element.
func TestMassBalance(t *testing.T) {
	worst := 0.0
	for _, c := range []struct {
		name string
		set  func(r *rig)
	}{
		{"rich", func(r *rig) { r.rich() }},
		{"bounded bed and water", func(r *rig) {
			r.soil = make([]Pore, len(r.c.Area))
			for i := range r.soil {
				r.soil[i] = Pore{N: 5, P: 1, K: 5, Fe: 1, NConc: 5, PConc: 0.5}
			}
			r.litre = 120
		}},
		{"bare and hungry", func(r *rig) { r.n, r.p0, r.k = 0, 0, false }},
		{"hot", func(r *rig) { r.rich(); r.temp = 36 }},
		{"dark", func(r *rig) { r.rich(); r.i0 = 0 }},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := mixed(t)
			c.set(r)
			r.start(1)
			for day := range 500 {
				r.step()
				switch {
				case day%30 == 29:
					cut := r.s.Trim(r.day, "", 0, 0)
					r.books = r.books.Add(cut.Matter.Scale(-1))
				case day%50 == 20:
					cut := r.s.Thin(r.day, "Vallisneria spiralis", 0.3)
					r.books = r.books.Add(cut.Matter.Scale(-1))
					cut = r.s.OuterLeaves(r.day, "", 0.1)
					r.books = r.books.Add(cut.Matter.Scale(-1))
				case day == 300:
					out := r.s.Remove(r.day, []string{"stems", "Cryptocoryne wendtii"}, nil)
					r.books = r.books.Add(out.Matter.Scale(-1))
					for _, in := range r.s.Plant(r.day, r.p.Plants[1:4]) {
						r.books = r.books.Add(in.Matter)
					}
				}
				if day%100 == 99 {
					r.balanced()
					worst = max(worst, r.worst)
				}
			}
			for _, p := range r.s.States() {
				for _, x := range []float64{p.HeightM, p.SpreadM, p.ShootG, p.RootG, p.QN, p.QP, p.QK, p.Iron, p.LeafM2, p.PPFD, p.Net, p.Leaves} {
					if math.IsNaN(x) || math.IsInf(x, 0) {
						t.Fatalf("%s holds a number that is none: %+v", p.ID, p)
					}
				}
				if p.ShootG < 0 || p.RootG < 0 || p.QN < 0 || p.QP < 0 || p.QK < 0 {
					t.Errorf("%s holds less than nothing: %+v", p.ID, p)
				}
			}
		})
	}
	check.Record(t, check.Row{Room: "growth", What: "C, N, P, K and Fe of the stand over 500 days of growth, cutting, removal and planting", Source: "conservation of mass", Worst: fmt.Sprintf("%.0e of what came in", worst), Within: "1e-12 of what came in"})
}

// Any gifts, also ones that no plant asked for, end up somewhere.
func TestGiftsAreKept(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		r := mixed(t).rich().start(1).run(rapid.IntRange(0, 5).Draw(rt, "days"))
		e := r.env()
		e.TempC = rapid.Float64Range(0, 45).Draw(rt, "temperature")
		e.WaterN = rapid.Float64Range(0, 20).Draw(rt, "N")
		d := r.s.Demand(e)
		g := func(name string) float64 { return rapid.Float64Range(0, 2).Draw(rt, name) }
		tk := Taken{FixedC: [2]float64{g("c0") * d.GrossC[0], g("c1") * (d.GrossC[1] + 1)}, Water: d.Water.Scale(g("water"))}
		tk.Water.Fe += g("fe")
		for range d.Root {
			tk.Root = append(tk.Root, Matter{N: g("rn"), P: g("rp"), K: g("rk"), Fe: g("rf")})
		}
		before := r.s.Stock()
		air := d.AirC
		res := r.s.Grow(e, tk)
		in := before.Add(tk.Water)
		in.C += tk.FixedC[0] + tk.FixedC[1] + air
		for _, m := range tk.Root {
			in = in.Add(m)
		}
		out := r.s.Stock().Add(res.ReleasedToWater)
		out.C += res.RespiredC + res.RespiredAirC
		for _, m := range res.Detritus {
			out = out.Add(m.Matter)
		}
		for _, x := range [][2]float64{{in.C, out.C}, {in.N, out.N}, {in.P, out.P}, {in.K, out.K}, {in.Fe, out.Fe}} {
			if math.Abs(x[0]-x[1]) > 1e-12*math.Abs(x[0]) {
				rt.Fatalf("%.15g came in and %.15g is there", x[0], x[1])
			}
		}
		if math.Abs(res.RespiredC-d.RespC) > 1e-9*d.RespC {
			rt.Fatalf("respired %.12g of %.12g", res.RespiredC, d.RespC)
		}
	})
}

// In the dark a plant loses mass at the rate of respiration and of leaves and roots that reach their age, and not faster than hunger allows.
func TestDark(t *testing.T) {
	r := newRig(t, 0.4, 0.4, 0.4, plan.Planting{ID: "a", Species: "Hygrophila corymbosa", Pots: 1, At: []plan.PointCM{{20, 20}}, Grown: "submersed"}).rich()
	r.i0, r.temp = 0, 20
	r.start(0)
	p := &r.s.plants[0]
	p.em, p.settled = 0, true
	r.run(60) // the memory of growth fades
	a := r.find("a/1")
	d0 := a.ShootG + a.RootG
	r.run(10)
	b := r.find("a/1")
	got := math.Log(d0/(b.ShootG+b.RootG)) / 10
	tr := traitsFor(a.Species)
	part := b.ShootG / (b.ShootG + b.RootG)
	// All leaves are below compensation: their loss is a half, as of leaves
	// that live twice as long, plus darkShed times the plain turnover of the leaves' share.
	// Leaves that have long fixed nothing burn their idle share.
	want := tr.resp*DefaultParams().IdleBreath + part*0.65*(0.5+DefaultParams().DarkShed)/tr.life + (1-part)/(3*tr.life)
	if math.Abs(got-want) > 0.05*want {
		t.Errorf("in the dark it declines by %.4f a day, want %.4f", got, want)
	}
	if r.last.GrowthG >= 0 {
		t.Error("a dark day must not bring growth")
	}
	// Of it respiration alone.
	r.step()
	breath := r.last.RespiredC / carbonPerGram / (b.ShootG + b.RootG)
	if idle := tr.resp * DefaultParams().IdleBreath; math.Abs(breath-idle) > 0.05*idle {
		t.Errorf("in the dark it burns %.5f of its mass a day, want %.5f", breath, idle)
	}
	check.Record(t, check.Row{Room: "growth", What: "decline in the dark at the sum of respiration and turnover", Source: "limit of the model", Worst: fmt.Sprintf("%.1f %%", 100*math.Abs(got-want)/want), Within: "5 %"})
}

// Without nitrogen anywhere the quota falls to its floor and growth stops.
func TestNoNitrogen(t *testing.T) {
	r := newRig(t, 0.4, 0.4, 0.4, plan.Planting{ID: "a", Species: "Hygrophila corymbosa", Pots: 1, At: []plan.PointCM{{20, 20}}, Grown: "submersed"})
	r.n = 0
	r.start(0).run(200)
	a := r.find("a/1")
	tr := traitsFor(a.Species)
	if a.QN < 0.95*tr.qn[0] || a.QN > 1.6*tr.qn[0] {
		t.Errorf("nitrogen stands at %.4f g/g after 200 hungry days, want near the floor of %.4f", a.QN, tr.qn[0])
	}
	if a.Net > 0.002 || a.Limits.N > 0.5 {
		t.Errorf("it still grows by %.4f a day with a nitrogen factor of %.2f", a.Net, a.Limits.N)
	}
	if name, _ := a.Limits.Least(); name != "nitrogen" {
		t.Errorf("what holds it back is called %s", name)
	}
	check.Record(t, check.Row{Room: "growth", What: "200 days without nitrogen anywhere: tissue N against its floor, net growth, 1/day", Source: "limit of the model; floor of Janse 2005 (PCLake)", Worst: fmt.Sprintf("%.2f, %.4f", a.QN/tr.qn[0], a.Net), Within: "1 to 1.6, at most 0.002"})
	// The same with nitrogen grows on.
	q := newRig(t, 0.4, 0.4, 0.4, r.p.Plants...).start(0).run(200).find("a/1")
	if q.ShootG < 3*a.ShootG {
		t.Errorf("fed it comes to %.2f g, hungry to %.2f g", q.ShootG, a.ShootG)
	}
}

// Two identical plants in mirrored places stay equal for ever; to name them the other way round changes no sum.
func TestMirror(t *testing.T) {
	worst := 0.0
	for _, name := range []string{"Rotala rotundifolia", "Aponogeton crispus", "Bacopa caroliniana", "Nymphaea lotus"} {
		at := func(a, b float64) []plan.Planting {
			return []plan.Planting{
				{ID: "one", Species: name, Pots: 1, At: []plan.PointCM{{a, 20}}},
				{ID: "two", Species: name, Pots: 1, At: []plan.PointCM{{b, 20}}},
			}
		}
		r := newRig(t, 0.6, 0.4, 0.4, at(22.5, 37.5)...).rich().start(0).run(200)
		a, b := r.find("one/1"), r.find("two/1")
		for what, x := range map[string][2]float64{"shoot": {a.ShootG, b.ShootG}, "root": {a.RootG, b.RootG}, "height": {a.HeightM, b.HeightM}, "N": {a.QN, b.QN}, "light": {a.PPFD, b.PPFD}} {
			worst = max(worst, math.Abs(x[0]-x[1])/x[0])
			if math.Abs(x[0]-x[1]) > 1e-9*x[0] {
				t.Errorf("%s: %s of mirrored twins is %.12g and %.12g", name, what, x[0], x[1])
			}
		}
		q := newRig(t, 0.6, 0.4, 0.4, at(37.5, 22.5)...).rich().start(0).run(200)
		if x, y := r.s.Stock().C, q.s.Stock().C; math.Abs(x-y) > 1e-9*x {
			t.Errorf("%s: the sum is %.12g mmol C, and %.12g with the names changed", name, x, y)
		}
	}
	check.Record(t, check.Row{Room: "growth", What: "two like plants in mirrored places after 200 days", Source: "limit of the model", Worst: fmt.Sprintf("%.1g", worst), Within: "1e-9"})
}

// Taking a neighbour away never lowers what the other grows, daughters counted in.
func TestNeighbourGone(t *testing.T) {
	mass := func(r *rig) float64 {
		m := 0.0
		for _, p := range r.rich().start(0).run(90).s.States() {
			if p.Planting == "self" {
				m += p.ShootG + p.RootG
			}
		}
		return m
	}
	for _, self := range []string{"Rotala rotundifolia", "Cryptocoryne wendtii", "Vallisneria spiralis", "Glossostigma elatinoides", "Microsorum pteropus"} {
		one := plan.Planting{ID: "self", Species: self, Pots: 1, At: []plan.PointCM{{20, 20}}}
		alone := mass(newRig(t, 0.4, 0.4, 0.4, one))
		for _, other := range []plan.Planting{
			{ID: "other", Species: "Hygrophila corymbosa", Pots: 1, At: []plan.PointCM{{26, 22}}},
			{ID: "other", Species: "Vallisneria americana", Pots: 1, At: []plan.PointCM{{26, 22}}},
			{ID: "other", Species: "Salvinia natans", Pots: 2, Afloat: true},
			{ID: "other", Species: "Eleocharis acicularis", Pots: 1, At: []plan.PointCM{{26, 22}}},
		} {
			if both := mass(newRig(t, 0.4, 0.4, 0.4, one, other)); both > alone*1.001 {
				t.Errorf("%s comes to %.4f g alone and to %.4f g beside %s", self, alone, both, other.Species)
			}
		}
	}
}

func TestSameAgain(t *testing.T) {
	a := mixed(t).rich().start(1).run(150).s.States()
	b := mixed(t).rich().start(1).run(150).s.States()
	if d := cmp.Diff(a, b, cmp.Comparer(func(x, y *catalog.Species) bool { return x == y })); d != "" {
		t.Errorf("the same plan grew differently:\n%s", d)
	}
	if !slices.IsSortedFunc(a, func(x, y PlantState) int { return strings.Compare(x.ID, y.ID) }) {
		t.Error("states are not sorted by id")
	}
}

// Runners stop at a bounded number of plants, and the day still balances.
func TestBoundedCount(t *testing.T) {
	r := newRig(t, 1.2, 0.6, 0.3, plan.Planting{ID: "v", Species: "Vallisneria spiralis", Pots: 15, In: box(0, 0, 120, 60), Grown: "submersed"}).rich()
	r.every = 7
	r.start(1)
	r.s.most = 20
	r.run(400)
	if n := r.s.Len(); n > 20 || n < 15 {
		t.Errorf("%d plants are told apart, want 15 to 20", n)
	}
	r.balanced()
	count, g := 0.0, 0.0
	for _, p := range r.s.States() {
		count += p.Count
		g += p.ShootG + p.RootG
	}
	// Self-thinning: no stand holds more plants of its mean mass than (5950/w)^{2/3} per m².
	if count < 40 {
		t.Errorf("only %.0f plants stand where many daughters should", count)
	}
	area := 1.2 * 0.6
	w := g / count
	if limit := 1.1 * thinnest(w); count/area > limit {
		t.Errorf("%.0f plants/m² of %.2f g stand above the thinning line of %.0f", count/area, w, limit)
	}
	if crop := g / area; crop > 600 {
		t.Errorf("the stand weighs %.0f g dry/m²", crop)
	}
	check.Record(t, check.Row{Room: "growth", What: "plants per m² in a closed stand against the self-thinning line", Source: "N = (5950/w)^(2/3), Charisma (van Nes et al. 2003)", Worst: fmt.Sprintf("%.0f of %.0f", count/area, thinnest(w)), Within: "at most a tenth above the line"})
	check.Record(t, check.Row{Room: "growth", What: "standing crop of a closed ribbon stand, g dry/m²", Source: "carrying capacity 400 g/m², PCLake (Janse 2005); other stands reach more", Worst: fmt.Sprintf("%.0f", g/area), Within: "at most 600"})
}

// Voxels of half the edge change what a tank grows by little.
func TestFinerVoxels(t *testing.T) {
	grown := func(cell float64) float64 {
		r := newRigOf(t, cell, 0.8, 0.4, 0.4,
			plan.Planting{ID: "carpet", Species: "Glossostigma elatinoides", Pots: 8, In: box(0, 0, 80, 15)},
			plan.Planting{ID: "stems", Species: "Rotala rotundifolia", Pots: 6, In: box(40, 20, 80, 40)},
			plan.Planting{ID: "crypts", Species: "Cryptocoryne wendtii", Pots: 4, In: box(10, 15, 40, 40)},
			plan.Planting{ID: "bulb", Species: "Aponogeton crispus", Pots: 1, At: []plan.PointCM{{20, 30}}}).rich().start(1)
		mean := 0.0
		for range 180 {
			r.step()
			if r.day%21 == 0 {
				r.s.Trim(r.day, "Rotala rotundifolia", 0.15, 0)
			}
			a, b := r.s.DryMass()
			mean += (a + b) / 180
		}
		return mean
	}
	coarse, fine := grown(0.025), grown(0.0125)
	off := math.Abs(coarse-fine) / fine
	if off > 0.03 {
		t.Errorf("mean mass over half a year is %.2f g at 2.5 cm and %.2f g at 1.25 cm", coarse, fine)
	}
	check.Record(t, check.Row{Room: "growth", What: "mean mass over half a year, voxels of 2.5 cm against 1.25 cm", Source: "convergence of the model", Worst: fmt.Sprintf("%.1f %%", 100*off), Within: "3 %"})
}

// A dry start: plants set for day 0 grow in air before it, keep the nursery's kind of leaves, and change over after the flood.
func TestDryStart(t *testing.T) {
	r := newRig(t, 0.4, 0.4, 0.4, plan.Planting{ID: "a", Species: "Glossostigma elatinoides", Pots: 4, In: box(0, 0, 40, 40), Grown: "submersed"}).rich().start(0)
	r.day = -42
	before := r.find("a/1").ShootG
	for r.day < 0 {
		if res := r.step(); len(res.MeltBegun) > 0 {
			t.Fatalf("melt begins on dry day %d", r.day)
		}
	}
	a := r.find("a/1")
	if a.ShootG < 1.3*before || a.Submerse > 0.01 {
		t.Errorf("six dry weeks bring %.3f g from %.3f g, %.0f %% of it submersed leaves", a.ShootG, before, 100*a.Submerse)
	}
	r.run(60)
	if b := r.find("a/1"); b.Submerse < 0.95 {
		t.Errorf("two months after the flood it is %.0f %% changed over", 100*b.Submerse)
	}
	r.balanced()
}

func TestPlaces(t *testing.T) {
	r := newRig(t, 1.0, 0.5, 0.4, plan.Planting{ID: "in", Species: "Cryptocoryne wendtii", Pots: 12, In: box(10, 10, 50, 40)},
		plan.Planting{ID: "line", Species: "Vallisneria spiralis", Pots: 5, Along: []plan.PointCM{{10, 45}, {90, 45}}},
		plan.Planting{ID: "at", Species: "Aquarius major", Pots: 2, At: []plan.PointCM{{70, 25}, {85, 25}}},
		plan.Planting{ID: "on", Species: "Anubias barteri var. nana", Pots: 3, On: "rock"},
		plan.Planting{ID: "tied", Species: "Anubias barteri var. nana", Pots: 2, On: "rock", At: []plan.PointCM{{65, 20}, {90, 25}}},
		plan.Planting{ID: "lost", Species: "Anubias barteri var. nana", Pots: 1, On: "no such stone"},
		plan.Planting{ID: "float", Species: "Salvinia natans", Pots: 3, Afloat: true})
	r.m.Solids = []geometry.Solid{{ID: "rock", Kind: "stone", Body: block([3]float64{0.6, 0.15, 0.03}, [3]float64{0.8, 0.35, 0.20})}}
	for iz := range 8 {
		for iy := 6; iy < 14; iy++ {
			for ix := 24; ix < 32; ix++ {
				r.v.Solid[(iz*r.v.NY+iy)*r.v.NX+ix] = true
			}
		}
	}
	for i := range r.c.Area {
		x, y := (float64(i%r.c.NX)+0.5)*0.05, (float64(i/r.c.NX)+0.5)*0.05
		if x > 0.6 && x < 0.8 && y > 0.15 && y < 0.35 {
			r.c.Free[i] = 0
		}
	}
	r.start(1)
	nearest := math.Inf(1)
	st := r.s.States()
	n := map[string]int{}
	for i, p := range st {
		n[p.Planting]++
		switch p.Planting {
		case "in":
			if !inside(p.X, p.Y, r.p.Plants[0].In) {
				t.Errorf("%s stands outside its outline at %.3f, %.3f", p.ID, p.X, p.Y)
			}
			for _, q := range st[i+1:] {
				if q.Planting == "in" {
					nearest = min(nearest, math.Hypot(p.X-q.X, p.Y-q.Y))
				}
			}
		case "on":
			if p.On != "rock" || p.Column != -1 || math.Abs(p.Z-0.20) > 1e-9 {
				t.Errorf("%s sits at %.3f m on %q", p.ID, p.Z, p.On)
			}
		case "tied": // where it was said, and where that is beside the stone, on its edge there
			if p.On != "rock" || p.Column != -1 || math.Abs(p.Z-0.20) > 1e-9 || p.ID == "tied/1" && math.Hypot(p.X-0.65, p.Y-0.2) > 1e-9 || p.ID == "tied/2" && p.X < 0.76 {
				t.Errorf("%s sits at %.3f, %.3f, %.3f m on %q", p.ID, p.X, p.Y, p.Z, p.On)
			}
		case "at", "lost":
			if p.X > 0.6 && p.X < 0.8 && p.Y > 0.15 && p.Y < 0.35 {
				t.Errorf("%s stands inside the stone", p.ID)
			}
		case "line":
			if math.Abs(p.Y-0.45) > 1e-9 {
				t.Errorf("%s is off its line", p.ID)
			}
		case "float":
			if p.Column != -1 || math.Abs(p.Z-r.m.Tank.WaterLevel) > 1e-9 {
				t.Errorf("%s floats at %.3f m", p.ID, p.Z)
			}
		}
	}
	// A square metre of 100 evenly spread pots has them 10.7 cm apart in hexagons; half of that is still spread, not heaped.
	if want := 0.5 * 1.07 * math.Sqrt(0.4*0.3/12); nearest < want {
		t.Errorf("two pots stand %.3f m apart, want at least %.3f", nearest, want)
	}
	if d := cmp.Diff(map[string]int{"in": 12, "line": 5, "at": 2, "on": 3, "tied": 2, "lost": 1, "float": 3}, n); d != "" {
		t.Error(d)
	}
	r.rich().run(40)
	r.balanced()
}

// Plans that checking would refuse, or that hold nothing to root in, must not break anything.
func TestOddPlans(t *testing.T) {
	for _, c := range []struct {
		name string
		pl   plan.Planting
		set  func(r *rig)
	}{
		{"no bed", plan.Planting{Species: "Cryptocoryne wendtii", Pots: 3, In: box(0, 0, 40, 40)}, func(r *rig) { clear(r.c.Area) }},
		{"outside the glass", plan.Planting{Species: "Rotala rotundifolia", Pots: 2, At: []plan.PointCM{{-50, 20}, {900, 20}}}, nil},
		{"outline of no area", plan.Planting{Species: "Eleocharis acicularis", Pots: 4, In: box(10, 10, 10, 10)}, nil},
		{"line of one point", plan.Planting{Species: "Vallisneria spiralis", Pots: 4, Along: []plan.PointCM{{20, 20}}}, nil},
		{"taller than the water", plan.Planting{Species: "Vallisneria spiralis", Pots: 1, At: []plan.PointCM{{20, 20}}, Height: 3, Spread: 2}, nil},
		{"no place given", plan.Planting{Species: "Taxiphyllum barbieri", Pots: 2}, nil},
		{"no pots", plan.Planting{Species: "Taxiphyllum barbieri"}, nil},
		{"unknown species", plan.Planting{Species: "Planta ignota", Pots: 2, In: box(0, 0, 40, 40)}, nil},
		{"fifty thousand pots", plan.Planting{Species: "Glossostigma elatinoides", Pots: 50000, In: box(0, 0, 40, 40)}, nil},
		{"bed full of stone", plan.Planting{Species: "Hygrophila corymbosa", Pots: 2, In: box(0, 0, 40, 40)}, func(r *rig) { clear(r.c.Free) }},
		{"solid to the surface", plan.Planting{Species: "Hygrophila corymbosa", Pots: 2, In: box(0, 0, 40, 40)}, func(r *rig) {
			for i := range r.v.Solid {
				r.v.Solid[i] = true
			}
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.pl.ID = "a"
			r := newRig(t, 0.4, 0.4, 0.3, c.pl)
			if c.set != nil {
				c.set(r)
			}
			r.rich().start(1).run(40)
			r.s.Trim(r.day, "", 0, 0)
			r.s.Thin(r.day, "", 0.5)
			r.run(5)
			for _, p := range r.s.States() {
				for _, x := range []float64{p.X, p.Y, p.Z, p.HeightM, p.SpreadM, p.ShootG, p.RootG, p.QN, p.LeafM2, p.PPFD, p.Net} {
					if math.IsNaN(x) || math.IsInf(x, 0) {
						t.Fatalf("%s holds a number that is none: %+v", p.ID, p)
					}
				}
			}
			if n := r.s.Len(); n > most {
				t.Errorf("%d plants are told apart", n)
			}
			if x := r.s.Cover(); !(x >= 0 && x <= 1) {
				t.Errorf("cover is %g", x)
			}
		})
	}
}

// block is a box as a closed mesh.
func block(lo, hi [3]float64) *mesh.Mesh {
	m := &mesh.Mesh{}
	for i := range 8 {
		p := lo
		for k := range 3 {
			if i>>k&1 == 1 {
				p[k] = hi[k]
			}
		}
		m.Vertices = append(m.Vertices, p)
	}
	for _, q := range [][4]int32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		m.Faces = append(m.Faces, [3]int32{q[0], q[1], q[2]}, [3]int32{q[0], q[2], q[3]})
	}
	return m
}

// A tall planting over a low one is named as the one that takes its light.
func TestShader(t *testing.T) {
	r := newRig(t, 0.4, 0.4, 0.4,
		plan.Planting{ID: "low", Species: "Cryptocoryne parva", Pots: 1, At: []plan.PointCM{{20, 20}}},
		plan.Planting{ID: "tall", Species: "Hygrophila corymbosa", Pots: 1, At: []plan.PointCM{{22, 20}}, Height: 0.35},
		plan.Planting{ID: "far", Species: "Rotala rotundifolia", Pots: 1, At: []plan.PointCM{{2, 2}}, Height: 0.3}).rich().start(0)
	if s := r.find("low/1").Shader; s != "tall" {
		t.Errorf("the low plant is shaded by %q", s)
	}
	if s := r.find("tall/1").Shader; s != "" {
		t.Errorf("the tall plant is shaded by %q", s)
	}
	// And a cover of floating plants by itself.
	f := newRig(t, 0.4, 0.4, 0.4,
		plan.Planting{ID: "low", Species: "Cryptocoryne parva", Pots: 1, At: []plan.PointCM{{20, 20}}},
		plan.Planting{ID: "float", Species: "Salvinia natans", Pots: 8, Afloat: true}).rich().start(0).run(60)
	f.shine()
	if s := f.find("low/1").Shader; s != "float" {
		t.Errorf("under a closed cover the low plant is shaded by %q", s)
	}
}

func TestCut(t *testing.T) {
	r := newRig(t, 0.4, 0.4, 0.5, plan.Planting{ID: "a", Species: "Rotala rotundifolia", Pots: 2, At: []plan.PointCM{{10, 20}, {30, 20}}, Height: 0.45, Grown: "submersed"}).rich().start(0)
	before := r.s.Stock()
	stems := r.find("a/1").Stems
	cut := r.s.Trim(0, "Rotala rotundifolia", 0.15, 0)
	a := r.find("a/1")
	if math.Abs(a.HeightM-0.15) > 1e-9 {
		t.Errorf("after the cut to 15 cm it stands %.3f m high", a.HeightM)
	}
	if f := a.Stems / stems; f < 1 || f > 3 {
		t.Errorf("each cut stem breaks into %.1f shoots, want 1 to 3", f)
	}
	if got := before.Add(cut.Matter.Scale(-1)).Add(r.s.Stock().Scale(-1)); math.Abs(got.C) > 1e-9 || math.Abs(got.N) > 1e-9 {
		t.Errorf("the cut lost %+v", got)
	}
	if cut.Plants != 2 || cut.FreshG < 8*cut.DryG || cut.Minutes <= 0 || len(cut.Columns) != 2 {
		t.Errorf("cut is reported as %+v", cut)
	}
	if again := r.s.Trim(0, "Rotala rotundifolia", 0.15, 0); again.DryG != 0 {
		t.Errorf("a second pass took %.3f g more", again.DryG)
	}
	if none := r.s.Trim(0, "Anubias barteri", 0.05, 0); none.Plants != 0 {
		t.Error("a species that does not stand there was cut")
	}
}

// An id goes before a species: java-fern is both, and only the planting is meant.
func TestACutFindsOnePlanting(t *testing.T) {
	r := newRig(t, 0.6, 0.4, 0.5,
		plan.Planting{ID: "java-fern", Species: "Leptochilus pteropus", Pots: 4, In: box(0, 0, 30, 40)},
		plan.Planting{ID: "other", Species: "Leptochilus pteropus", Pots: 4, In: box(30, 0, 60, 40)}).rich()
	r.start(0)
	for _, c := range []struct {
		name, species string
		want          int
	}{
		{"an id that is a name too", "java-fern", 4},
		{"an id", "other", 4},
		{"a synonym", "Microsorum pteropus", 8},
		{"the accepted name", "Leptochilus pteropus", 8},
		{"nothing here", "Rotala rotundifolia", 0},
	} {
		if got := r.s.Trim(0, c.species, 0, 0.1).Plants; got != c.want {
			t.Errorf("%s: %d plants are cut, want %d", c.name, got, c.want)
		}
	}
}

// TestNearTheOutlet: where the filter gives uneven CO2, a plant beside the outlet grows more and one in the far corner less than where it is even; with no
// outlet known none does.
func TestNearTheOutlet(t *testing.T) {
	grow := func(outlets [][2]float64, uneven float64) (near, far float64) {
		r := newRig(t, 0.6, 0.2, 0.3,
			plan.Planting{ID: "near", Species: "Rotala rotundifolia", Pots: 1, At: []plan.PointCM{{8, 10}}},
			plan.Planting{ID: "far", Species: "Rotala rotundifolia", Pots: 1, At: []plan.PointCM{{52, 10}}}).start(0)
		r.uneven = uneven
		r.s.SetOutlets(outlets)
		r.run(40)
		for _, p := range r.s.plants {
			if p.planting == "near" {
				near += p.shoot
			} else {
				far += p.shoot
			}
		}
		return near, far
	}
	even, twin := grow(nil, 0)
	if math.Abs(even/twin-1) > 1e-6 {
		t.Fatalf("twins grew to %g and %g", even, twin)
	}
	if near, far := grow(nil, 0.5); near != even || far != twin {
		t.Errorf("without a known outlet they grew to %g and %g, not %g", near, far, even)
	}
	if near, far := grow([][2]float64{{0, 0.1}}, 0.5); !(near > even*1.02 && far < even*0.98) {
		t.Errorf("beside the outlet %g, even %g, in the corner %g", near, even, far)
	}
}
