package growth

import (
	"fmt"
	"littoral/internal/catalog"
	"littoral/internal/check"
	"littoral/internal/plan"
	"math"
	"testing"
)

func near(t *testing.T, what string, got, want, tol float64) float64 {
	t.Helper()
	d := math.Abs(got - want)
	if !(d <= tol) {
		t.Errorf("%s is %.6g, want %.6g within %.2g", what, got, want, tol)
	}
	return d
}

func TestLightResponse(t *testing.T) {
	worst := 0.0
	for _, c := range []struct{ i, want float64 }{{50, 5}, {100, 6.6667}, {200, 8}} {
		worst = max(worst, near(t, fmt.Sprintf("photosynthesis at %g", c.i), 10*michaelis(c.i, 50), c.want, 5e-5))
	}
	worst = max(worst, near(t, "compensation point", compensation(10, 1, 50), 5.5556, 1e-4))
	check.Record(t, check.Row{Room: "growth", What: "light response and compensation point, Michaelis–Menten", Source: "arithmetic of the published form", Worst: fmt.Sprintf("%.1g", worst), Within: "1e-4"})

	// Pm 10, K 50, k 0.6, leaf area index 3 under 200 µmol.
	d := near(t, "canopy photosynthesis", 10/0.6*1.8*canopyMean(200, 1.8, math.Exp(-1.8), 50), 18.3650, 5e-5)
	check.Record(t, check.Row{Room: "growth", What: "photosynthesis of a whole canopy, closed form", Source: "integral of the Michaelis–Menten form over Beer–Lambert light", Worst: fmt.Sprintf("%.1g", d), Within: "5e-5"})

	// The closed form against a thousand thin layers, and continuity at the switch to thin layers.
	for _, tau := range []float64{1e-4, 9.99e-4, 1.001e-3, 0.1, 1.8, 6} {
		sum := 0.0
		for k := range 1000 {
			sum += michaelis(200*math.Exp(-tau*(float64(k)+0.5)/1000), 50) / 1000
		}
		near(t, fmt.Sprintf("canopy of optical depth %g", tau), canopyMean(200, tau, math.Exp(-tau), 50), sum, 2e-6)
		mean := 200 * -math.Expm1(-tau) / tau
		near(t, "light on top", (&layer{ppfd: mean, tau: tau, past: math.Exp(-tau)}).onTop(), 200, 1e-4)
	}
	if canopyMean(0, 1, math.Exp(-1), 50) != 0 || michaelis(-1, 50) != 0 {
		t.Error("no light must mean no photosynthesis")
	}
}

// Two species in one layer share its light by extinction times leaf area; stacked, the upper one takes first.
func TestMixedCanopy(t *testing.T) {
	r := newRig(t, 0.1, 0.1, 0.05,
		plan.Planting{ID: "a", Species: "Rotala rotundifolia", Pots: 1, At: []plan.PointCM{{5, 5}}},
		plan.Planting{ID: "b", Species: "Rotala rotundifolia", Pots: 1, At: []plan.PointCM{{5, 5}}}).start(0)
	// k·L of 0.9 and 0.5 in one voxel: extinction adds up, and each has its share.
	const kA, kB = 0.6 * 1.5, 0.5 * 1.0
	cell := r.v.Cell
	for i, tau := range []float64{kA, kB} {
		p := &r.s.plants[i]
		p.cells = append(p.cells[:0], leafShare{int32(2*r.v.NX*r.v.NY + 5), 1})
		p.area = tau / p.t.ext * cell * cell
	}
	r.s.Canopy(r.leaf, r.cover)
	total := r.leaf[2*r.v.NX*r.v.NY+5] * cell
	gone := -math.Expm1(-total)
	w := near(t, "absorbed by both", gone, 0.7534, 5e-5)
	w = max(w, near(t, "share of the first", gone*kA/total, 0.4843, 5e-5))
	w = max(w, near(t, "share of the second", gone*kB/total, 0.2691, 5e-5))
	w = max(w, near(t, "upper alone", -math.Expm1(-kA), 0.5934, 5e-5))
	w = max(w, near(t, "lower, stacked", math.Exp(-kA)*-math.Expm1(-kB), 0.1600, 5e-5))
	check.Record(t, check.Row{Room: "growth", What: "light taken by two species, mixed and stacked", Source: "shared absorption formula, arithmetic", Worst: fmt.Sprintf("%.1g", w), Within: "5e-5"})
}

func TestQuota(t *testing.T) {
	worst := 0.0
	for _, c := range []struct {
		name            string
		q, lo, hi, want float64
	}{
		{"N 1.3 %", 0.013, 0.01, 0.035, 0.3231},
		{"N 2 %", 0.02, 0.01, 0.035, 0.7},
		{"N 3.5 %", 0.035, 0.01, 0.035, 1},
		{"P 0.13 %", 0.0013, 0.0008, 0.0035, 0.4986},
		{"P 0.2 %", 0.002, 0.0008, 0.0035, 0.7778},
		{"floor", 0.01, 0.01, 0.035, 0},
		{"below the floor", 0.005, 0.01, 0.035, 0},
		{"above the ceiling", 0.05, 0.01, 0.035, 1},
	} {
		worst = max(worst, near(t, c.name, droop(c.q, c.lo, c.hi), c.want, 5e-5))
	}
	check.Record(t, check.Row{Room: "growth", What: "growth factor of N and P quotas", Source: "Droop form and bounds of PCLake (Janse 2005)", Worst: fmt.Sprintf("%.1g", worst), Within: "5e-5"})

	// Critical tissue contents of Gerloff & Krombholz 1966 (N 1.3 %, P 0.13 %) and Gerloff 1975 (K 0.8 %, Fe 60 ppm): a plant at
	// its critical content is clearly held back, but still grows.
	tr := traitsFor(species(t, "Hygrophila corymbosa"))
	lo, hi := 1.0, 0.0
	for name, f := range map[string]float64{
		"N": droop(0.013, tr.qn[0], tr.qn[1]), "P": droop(0.0013, tr.qp[0], tr.qp[1]),
		"K": droop(0.008, tr.qk[0], tr.qk[1]), "Fe": droop(60e-6, feMin, feMax),
	} {
		lo, hi = min(lo, f), max(hi, f)
		if f < 0.25 || f > 0.75 {
			t.Errorf("at its critical %s a plant grows at %.2f of its rate, want 0.25 to 0.75", name, f)
		}
	}
	check.Record(t, check.Row{Room: "growth", What: "growth at the critical tissue N, P, K and Fe, share of full", Source: "Gerloff & Krombholz 1966; Gerloff 1975", Memory: true, Worst: fmt.Sprintf("%.2f to %.2f", lo, hi), Within: "0.25 to 0.75"})
}

func species(t testing.TB, name string) *catalog.Species {
	t.Helper()
	sp, ok := catalog.Default().Species(name)
	if !ok {
		t.Fatalf("the catalogue has no %s", name)
	}
	return sp
}

func TestSedimentShare(t *testing.T) {
	worst := 0.0
	for _, c := range []struct{ r, want float64 }{{0.1, 0.0526}, {1, 0.2727}, {10, 0.7162}, {100, 0.9431}} {
		worst = max(worst, near(t, fmt.Sprintf("sediment share at %g", c.r), sedimentShare(c.r), c.want, 5e-5))
	}
	check.Record(t, check.Row{Room: "growth", What: "share of nutrient uptake from the bed", Source: "PCLake documentation, macrophyte module", Worst: fmt.Sprintf("%.1g", worst), Within: "5e-5"})
	near(t, "a rooted species at a ratio of ten", rootShareOfUptake(bend(0.8), 10, 1), 0.8, 1e-12)
	near(t, "the published plant", rootShareOfUptake(bend(sedimentShare(10)), 2, 1), sedimentShare(2), 1e-12)
	for _, c := range []struct {
		name              string
		rich, pore, water float64
		want              float64
	}{{"epiphyte", 0, 10, 1, 0}, {"bare sand", 0.8, 0, 1, 0}, {"empty water", 0.5, 1, 0, 1}} {
		if got := rootShareOfUptake(bend(c.rich), c.pore, c.water); got != c.want {
			t.Errorf("%s takes %.3f from the bed, want %g", c.name, got, c.want)
		}
	}
}

func TestTemperature(t *testing.T) {
	near(t, "respiration at 25 °C", warm25, q10(2, 25), 1e-12)
	w := near(t, "respiration, +10 °C", q10(2, 30)/q10(2, 20), 2, 1e-12)
	check.Record(t, check.Row{Room: "growth", What: "respiration doubles in 10 °C", Source: "Q10 2.0, PCLake parameter list (Janse 2005) and Charisma (van Nes et al. 2003)", Worst: fmt.Sprintf("%.1g", w), Within: "1e-12"})
	near(t, "at 25 °C", warmth(25, 18, 28), 1, 0.02)
	gain := warmth(28, 18, 28) / warmth(18, 16, 28)
	if gain < 1.5 || gain > 2 {
		t.Errorf("growth from 18 to 28 °C rises %.2f-fold, want 1.5 to 2", gain)
	}
	check.Record(t, check.Row{Room: "growth", What: "photosynthesis from 18 to 28 °C, factor", Source: "common practice, no source", Worst: fmt.Sprintf("%.2f", gain), Within: "1.5 to 2"})
	last := 1.1
	for _, c := range []float64{29, 30, 31, 32, 33, 35, 40} { // gradual fall above the range, no recovery
		f := warmth(c, 20, 28)
		if f >= last && c > 29 {
			t.Errorf("photosynthesis rises from %.3f to %.3f at %g °C", last, f, c)
		}
		last = f
	}
	if last > 0.01 || warmth(5, 20, 28) > 0.01 {
		t.Error("far outside its range a plant must stand still")
	}
}

func TestThinning(t *testing.T) {
	d := max(near(t, "plants of 1 g", thinnest(1), 328.4, 0.05), near(t, "plants of 10 g", thinnest(10), 70.7, 0.05))
	check.Record(t, check.Row{Room: "growth", What: "self-thinning line at 1 and 10 g", Source: "(5950/w)^(2/3), Charisma (van Nes et al. 2003)", Worst: fmt.Sprintf("%.2g per m²", d), Within: "0.05 per m²"})
}

// Leaves of a population that has long grown at rate r are lost at the rate that keeps their ages in balance.
func TestTurnover(t *testing.T) {
	const life, r = 60, 0.03
	// Cohorts: production p per unit of mass and day, each dies after life days; p is such that mass grows at r.
	n := make([]float64, life)
	for a := range n {
		n[a] = math.Exp(-r * float64(a))
	}
	sum := 0.0
	for _, x := range n {
		sum += x
	}
	lost := n[life-1] * math.Exp(-r) / sum
	near(t, "turnover against cohorts", turnover(r, life), lost, 0.03*lost)
	near(t, "turnover without growth", turnover(0, life), 1.0/life, 1e-12)
	near(t, "turnover of slow growth", turnover(2e-6, life), 1.0/life, 1e-5)
}

// Draws are even, differ by key, and do not depend on what was drawn before.
func TestDraw(t *testing.T) {
	n, sum, sq := 20000, 0.0, 0.0
	for i := range n {
		x := draw(1, keyOf(fmt.Sprint(i)), 3, 4)
		sum += x
		sq += x * x
	}
	near(t, "mean", sum/float64(n), 0.5, 0.01)
	near(t, "mean square", sq/float64(n), 1.0/3, 0.01)
	if draw(1, 2, 3, 4) == draw(1, 2, 3, 5) || draw(1, 2, 3, 4) == draw(2, 2, 3, 4) || draw(1, 2, 3, 4) != draw(1, 2, 3, 4) {
		t.Error("draws must depend on all their keys and on nothing else")
	}
}
