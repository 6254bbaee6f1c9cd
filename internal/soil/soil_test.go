package soil

import (
	"fmt"
	"littoral/internal/catalog"
	"littoral/internal/check"
	"littoral/internal/geometry"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// floor is a level bed of nx by ny columns of 5 cm with one layer.
func floor(nx, ny int, material string, depth func(ix, iy int) float64) *geometry.Columns {
	n := nx * ny
	c := &geometry.Columns{
		Cell: 0.05, NX: nx, NY: ny, Area: make([]float64, n), Free: make([]float64, n), Top: make([]float64, n),
		Slope: make([]float64, n), Layers: []geometry.BedLayer{{Material: material}}, Depth: [][]float64{make([]float64, n)},
	}
	for i := range n {
		c.Area[i], c.Free[i] = 0.0025, 1
		c.Depth[0][i] = depth(i%nx, i/nx)
		c.Top[i] = c.Depth[0][i]
	}
	return c
}

// hard is water of a hardness, °dH, three parts calcium to one magnesium by charge, 700 L of it.
func hard(gh float64) Water {
	mmol := gh * 0.178326 // 1 °dH is 10 mg CaO/L
	return Water{Ca: 0.75 * mmol * molCa, Mg: 0.25 * mmol * molMg, Na: 10, K: 5, Litres: 700}
}

func even(d float64) func(int, int) float64 { return func(int, int) float64 { return d } }

func activeSoil(t testing.TB) *catalog.Material {
	t.Helper()
	m, ok := catalog.Default().Material("active soil")
	if !ok || m.Bed.BufferMeq.Value <= 0 {
		t.Fatal("the catalogue has no active soil that buffers")
	}
	return m
}

// A fresh active bed breathes like the beds of lakes, and less as its organic matter goes; sand does not.
func TestABedGivesOffCarbon(t *testing.T) {
	m := activeSoil(t)
	flux := func(material string, day int) float64 {
		b := New(floor(4, 4, material, even(0.06)), catalog.Default(), 0)
		for range day - 1 {
			b.Day(20, usualWater)
		}
		area := 0.0
		for _, a := range b.grid.Area {
			area += a
		}
		return b.Day(20, usualWater).C / area
	}
	first, later := flux(m.Name, 1), flux(m.Name, 1000)
	if first < 5 || first > 50 {
		t.Errorf("6 cm of fresh active soil give off %.1f mmol of carbon a m² and day, want 5 to 50", first)
	}
	if later > 0.6*first || later < 0.3*first {
		t.Errorf("after 1000 days they give off %.1f of the %.1f of the first day", later, first)
	}
	if x := flux("quartz sand", 1); x > 1 {
		t.Errorf("sand gives off %.1f mmol a m² and day", x)
	}
	check.Record(t, check.Row{Room: "soil", What: "carbon that 6 cm of fresh active soil give off at 20 °C, mmol/(m² day)", Source: "respiration of lake sediments 5 to 50", Memory: true, Worst: fmt.Sprintf("%.0f", first), Within: "5 to 50"})
}

// Whatever is done to a bed, what it holds changes by exactly what came and went.
func TestMatterIsKept(t *testing.T) {
	m := activeSoil(t)
	rapid.Check(t, func(rt *rapid.T) {
		b := New(floor(7, 5, m.Name, func(x, y int) float64 { return 0.02 + 0.01*float64(x) }), catalog.Default(), 0)
		have, carbon := b.Stock()
		bases, charge := b.Bases(), 0.0
		moved := 0.0
		for range rapid.IntRange(1, 60).Draw(rt, "steps") {
			col := rapid.IntRange(0, 34).Draw(rt, "column")
			x := rapid.Float64Range(0, 500).Draw(rt, "mg")
			switch rapid.IntRange(0, 7).Draw(rt, "job") {
			case 0:
				got := b.Take(col, Nutrients{x, x / 5, x, x / 50})
				have = have.minus(got)
				moved += got.N
			case 1:
				r := b.Day(18+x/50, hard(x/25))
				have = have.minus(Nutrients{N: r.TAN + r.Exchanged, P: r.P, K: r.K + r.Swap.K}).plus(Nutrients{P: r.PTaken})
				charge += math.Abs(r.Swap.K/molK + 2*r.Swap.Ca/molCa + 2*r.Swap.Mg/molMg)
				bases = Cations{Ca: bases.Ca - r.Swap.Ca, Mg: bases.Mg - r.Swap.Mg}
				carbon -= r.C - r.Humus
				moved += r.TAN + r.Exchanged
			case 2:
				o := Organic{Dry: x / 100, C: x / 10, Nutrients: Nutrients{x / 50, x / 400, x / 50, x / 9000}}
				if !b.AddDetritus(col, o) {
					rt.Fatal("a column of bed refused detritus")
				}
				have, carbon = have.plus(o.Nutrients), carbon+o.C
			case 3:
				held, _ := b.Push(int(x/50), Tablets["plain"], x > 250)
				have = have.plus(held)
			case 4:
				o := b.Siphon(0.5)
				have, carbon = have.minus(o.Nutrients), carbon-o.C
			case 5:
				r := b.Disturb([]int{col})
				have = have.minus(Nutrients{N: r.TAN + r.Exchanged, P: r.P, K: r.K})
			case 7:
				b.Hold(Cations{Ca: x, Mg: x / 3})
				bases = Cations{Ca: bases.Ca + x, Mg: bases.Mg + x/3}
			case 6:
				food, more := b.Refresh([]int{col}, m, 0.01)
				have = have.plus(food)
				bases = Cations{Ca: bases.Ca + more.Ca, Mg: bases.Mg + more.Mg}
			}
		}
		got, c := b.Stock()
		for _, e := range []struct {
			name      string
			got, want float64
		}{{"N", got.N, have.N}, {"P", got.P, have.P}, {"K", got.K, have.K}, {"Fe", got.Fe, have.Fe}, {"C", c, carbon}, {"Ca", b.Bases().Ca, bases.Ca}, {"Mg", b.Bases().Mg, bases.Mg}, {"charge of what is swapped", charge, 0}} {
			if math.Abs(e.got-e.want) > 1e-9*(1+math.Abs(e.want)) {
				rt.Errorf("%s: the bed holds %.9g, the books say %.9g", e.name, e.got, e.want)
			}
		}
	})
	b := New(floor(7, 5, m.Name, even(0.06)), catalog.Default(), 0)
	if b.Day(24, hard(8)).Exchanged == 0 || b.Take(3, Nutrients{N: 5}).N == 0 {
		t.Error("nothing moved: the balance proves nothing")
	}
}

// Common practice, no source: a new active soil gives off ammonium for one to four weeks with its peak in the first, 1 to 6 mg/L
// where much of the water is changed.
func TestNewSoilLeachesForWeeks(t *testing.T) {
	m := activeSoil(t)
	// The worked job of a 200 × 70 × 60 cm tank: 1.4 m² under 9.5 cm, 700 L.
	b := New(floor(40, 14, m.Name, even(0.095)), catalog.Default(), 0)
	var weeks [8]float64
	for day := range 56 {
		weeks[day/7] += b.Day(24, hard(6)).Exchanged
	}
	total := 0.0
	for _, w := range weeks {
		total += w
	}
	early := weeks[0] + weeks[1] + weeks[2] + weeks[3]
	perLitre := weeks[0] / 700
	for i := 1; i < len(weeks); i++ {
		if weeks[i] >= weeks[i-1] {
			t.Errorf("week %d gives %.0f mg, more than the week before (%.0f)", i+1, weeks[i], weeks[i-1])
		}
	}
	if early/total < 0.8 || weeks[0]/total < 0.3 {
		t.Errorf("weeks one to four give %.0f %% of two months, the first week %.0f %%", 100*early/total, 100*weeks[0]/total)
	}
	// Half to nine tenths of it leaves with the changes of the first week (50 to 70 % every second day), so 2 to 25 mg N/L released
	// show as 1 to 6 mg/L ammonium.
	if perLitre < 2 || perLitre > 25 {
		t.Errorf("the first week releases %.1f mg N/L into 700 L", perLitre)
	}
	check.Record(t, check.Row{
		Room: "soil", What: "ammonium from a new active soil: falls week by week, most in four weeks, released in week 1 per litre", Source: "common practice, no source",
		Worst: fmt.Sprintf("%.0f %% in four weeks, %.1f mg N/L released in week 1", 100*early/total, perLitre), Within: "≥ 80 %, 2 to 25 mg N/L",
	})
}

// Common practice, no source: buffering of active soil lasts 6 to 18 months where each week 30 to 50 % of water of 4 dKH comes in.
func TestBufferLastsMonths(t *testing.T) {
	m := activeSoil(t)
	const litres, dKH = 700.0, 0.356652
	lifetime := func(share, kh float64) float64 {
		b := New(floor(40, 14, m.Name, even(0.095)), catalog.Default(), 0)
		alk := kh * dKH
		for hour := 0; hour < 24*365*4; hour++ {
			if hour%(7*24) == 0 {
				alk += share * (kh*dKH - alk)
			}
			take := b.AlkalinityUptake(alk)
			b.Spend(take)
			alk -= take / litres
			if alk < 0 {
				t.Fatalf("alkalinity fell below zero at hour %d", hour)
			}
			if left, fresh := b.Buffer(); left < 0.1*fresh {
				return float64(hour) / 24 / daysMonth
			}
		}
		return math.Inf(1)
	}
	usual := lifetime(0.4, 4)
	if usual < 6 || usual > 18 {
		t.Errorf("at 4 dKH and 40 %% a week the buffering lasts %.1f months", usual)
	}
	if hard, soft := lifetime(0.4, 8), lifetime(0.4, 2); !(hard < usual && usual < soft) {
		t.Errorf("harder change water must spend it sooner: 8 dKH %.1f, 4 dKH %.1f, 2 dKH %.1f months", hard, usual, soft)
	}
	check.Record(t, check.Row{
		Room: "soil", What: "buffering of active soil at 4 dKH, 40 % a week", Source: "common practice, no source",
		Worst: fmt.Sprintf("%.1f months", usual), Within: "6 to 18 months",
	})
}

// Common practice, no source: plain tablets last two to four months, coated ones nine to twelve.
func TestTabletsLast(t *testing.T) {
	for _, c := range []struct {
		kind     string
		min, max float64 // months until 95 % is given
	}{{"plain", 2, 4}, {"coated", 9, 12}} {
		months := math.Log(20) / Tablets[c.kind].Rate / daysMonth
		if months < c.min || months > c.max {
			t.Errorf("%s tablets have given 95 %% after %.1f months", c.kind, months)
		}
		check.Record(t, check.Row{
			Room: "soil", What: "life of " + c.kind + " root tablets (95 % given)", Source: "common practice, no source",
			Worst: fmt.Sprintf("%.1f months", months), Within: fmt.Sprintf("%.0f to %.0f months", c.min, c.max),
		})
	}
}

// Common practice, no source: thin edges run short first, and tablets meant for thin places go there.
func TestThinPlacesRunShortFirst(t *testing.T) {
	m := activeSoil(t)
	grid := floor(9, 5, m.Name, func(x, _ int) float64 { return 0.03 + 0.015*float64(x) })
	b := New(grid, catalog.Default(), 0)
	for range 200 {
		for _, i := range b.Columns() {
			b.Take(i, Nutrients{N: 0.15, P: 0.02})
		}
		b.Day(24, hard(6))
	}
	last := 0.0
	for x := range 9 {
		months, short := b.Months(2*9 + x)
		if months <= last || short == "" {
			t.Errorf("column %d (%.1f cm) lasts %.1f months, its thinner neighbour %.1f", x, 100*grid.Depth[0][18+x], months, last)
		}
		last = months
	}
	_, cols := b.Push(10, Tablets["plain"], true)
	for _, c := range cols {
		if c%9 > 2 {
			t.Errorf("a tablet for thin places went to column %d, %.1f cm deep", c, 100*grid.Depth[0][c])
		}
	}
}

func TestBareGravelHoldsNothing(t *testing.T) {
	b := New(floor(4, 4, "quartz gravel", even(0.06)), catalog.Default(), 0)
	if s, _ := b.Stock(); s != (Nutrients{}) {
		t.Errorf("inert gravel holds %+v", s)
	}
	r := b.Day(24, Water{Ca: 40, Mg: 10, Litres: 700})
	if math.Abs(r.Swap.Ca) > 0.1 || r.Swap.K != 0 { // a trace of calcium for magnesium on the skin of the grains
		t.Errorf("inert gravel swaps %+v mg", r.Swap)
	}
	r.Swap = Cations{}
	if r != (Release{}) {
		t.Errorf("inert gravel gives off %+v", r)
	}
	if got := b.Take(3, Nutrients{N: 1, P: 1}); got != (Nutrients{}) {
		t.Errorf("roots draw %+v from inert gravel", got)
	}
	if b.AlkalinityUptake(2) != 0 {
		t.Error("inert gravel takes up carbonate hardness")
	}
}

func TestAgedSoilHasGivenMuch(t *testing.T) {
	m := activeSoil(t)
	fresh := New(floor(4, 4, m.Name, even(0.06)), catalog.Default(), 0)
	old := New(floor(4, 4, m.Name, even(0.06)), catalog.Default(), 2.2)
	a, _ := fresh.Stock()
	o, _ := old.Stock()
	if o.N > 0.4*a.N || o.P > 0.4*a.P {
		t.Errorf("after 26 months %.0f of %.0f mg N are left", o.N, a.N)
	}
	if left, _ := old.Buffer(); left != 0 {
		t.Errorf("after 26 months %.0f meq of buffering are left", left)
	}
}

func TestMirroredBedMirrors(t *testing.T) {
	m := activeSoil(t)
	depth := func(x, y int) float64 { return 0.03 + 0.01*float64(x) + 0.004*float64(y) }
	a := New(floor(6, 4, m.Name, depth), catalog.Default(), 0)
	b := New(floor(6, 4, m.Name, func(x, y int) float64 { return depth(5-x, y) }), catalog.Default(), 0)
	for day := range 120 {
		for _, i := range a.Columns() {
			x, y := i%6, i/6
			ask := Nutrients{N: 0.3 * float64(x%3), P: 0.03 * float64(day%2), K: 0.1}
			a.Take(i, ask)
			b.Take(y*6+5-x, ask)
		}
		a.Day(24, hard(6))
		b.Day(24, hard(6))
	}
	for _, i := range a.Columns() {
		x, y := i%6, i/6
		pa, pb := a.Pore(i), b.Pore(y*6+5-x)
		if math.Abs(pa.N-pb.N) > 1e-9*pa.N || math.Abs(pa.P-pb.P) > 1e-9*pa.P {
			t.Errorf("column %d: %+v, its mirror %+v", i, pa, pb)
		}
	}
}

// Infinite slope without seepage; worked values of tan φ / tan β.
func TestSlopeSafety(t *testing.T) {
	worst := 0.0
	for _, c := range []struct{ phi, beta, want float64 }{
		{30, 20, 1.586}, {30, 25, 1.238}, {34, 20, 1.853}, {34, 25, 1.446}, {34, 30, 1.168}, {38, 20, 2.147}, {38, 25, 1.675}, {38, 30, 1.353},
	} {
		d := math.Abs(SlopeSafety(c.phi, c.beta) - c.want)
		worst = math.Max(worst, d)
		if d > 6e-4 {
			t.Errorf("φ %g β %g: %.4f, want %.3f", c.phi, c.beta, SlopeSafety(c.phi, c.beta), c.want)
		}
	}
	for _, c := range []struct{ phi, want float64 }{{30, 25.7}, {34, 29.3}, {38, 33.1}} {
		if got := SteepestSafe(c.phi, 1.2); math.Abs(got-c.want) > 0.051 {
			t.Errorf("φ %g: safe to %.2f°, want %.1f", c.phi, got, c.want)
		}
	}
	if !math.IsInf(SlopeSafety(30, 0), 1) {
		t.Error("a level bed is safe")
	}
	check.Record(t, check.Row{
		Room: "soil", What: "safety of a long submerged slope", Source: "infinite-slope method, textbook soil mechanics", Memory: true,
		Worst: fmt.Sprintf("%.1g", worst), Within: "6e-4",
	})
}

func BenchmarkDay(b *testing.B) {
	m := activeSoil(b)
	bed := New(floor(48, 18, m.Name, even(0.08)), catalog.Default(), 0)
	b.ReportAllocs()
	for b.Loop() {
		for _, i := range bed.Columns() {
			bed.Take(i, Nutrients{N: 0.1, P: 0.01, K: 0.02, Fe: 0.001})
		}
		bed.Day(24, hard(6))
	}
}
