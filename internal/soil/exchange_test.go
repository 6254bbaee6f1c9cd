package soil

import (
	"fmt"
	"littoral/internal/catalog"
	"littoral/internal/check"
	"math"
	"testing"
)

// Gaines–Thomas sites and diffusion through the pores against worked values of the published constants.
func TestExchangeAndDiffusionAgainstWorkedValues(t *testing.T) {
	nh4 := func(share, ca float64) float64 { x, _ := poreOf(share, 0, ca, 0, 0); return x * 1000 } // mmol/L
	worst := 0.0
	for _, c := range []struct {
		name      string
		got, want float64
		tol       float64 // relative
	}{
		{"mmol/L NH4 beside 0.5 % of the sites under 1 mM Ca", nh4(0.005, 1e-3), 0.1, 0.02},
		{"mmol/L NH4 beside 5 % of the sites under 1 mM Ca", nh4(0.05, 1e-3), 1.02, 0.02},
		{"mg N/(m² day) from 5 to 0.05 mg/L over 3 cm at porosity 0.4, 25 °C", piston(9.5, 0.413, 25) * (5 - 0.05) * 1000, 3.99, 0.01},
		{"diffusion of NH4 in pores of 0.4, 1e-10 m²/s", piston(9.5, 0.413, 25) / 86400 * path / porosity * 1e10, 7.00, 0.01},
		{"mg P/L beside a quarter of the capacity", sorbed(0.25, 0.6), 1.0 / 3 / 0.6, 1e-9},
	} {
		d := math.Abs(c.got/c.want - 1)
		worst = math.Max(worst, d)
		if d > c.tol {
			t.Errorf("%s: %.4g, want %.4g", c.name, c.got, c.want)
		}
	}
	check.Record(t, check.Row{Room: "soil", What: "ammonium on exchange sites, diffusion out of the pores", Source: "phreeqc.dat (Gaines–Thomas); Boudreau 1997; PCLake (Janse 2005) for phosphate", Worst: fmt.Sprintf("%.1f %%", 100*worst), Within: "2 %"})
}

// Hard water strips ammonium and potassium from the sites; water rich in potassium gives it to a bed that is poor in it; phosphate stays.
func TestHardWaterStripsTheBed(t *testing.T) {
	m := activeSoil(t)
	lose := func(w Water) (share Nutrients, taken float64) {
		b := New(floor(20, 10, m.Name, even(0.08)), catalog.Default(), 0)
		for range 60 { // the ammonium of a new bed goes first
			b.Day(24, w)
		}
		was := b.Available()
		for range 365 {
			taken += b.Day(24, w).KTaken
		}
		is := b.Available()
		return Nutrients{N: 1 - is.N/was.N, P: 1 - is.P/was.P, K: 1 - is.K/was.K}, taken
	}
	soft, medium, hardest := hard(3), hard(8), hard(20)
	a, _ := lose(soft)
	b, _ := lose(medium)
	c, _ := lose(hardest)
	if !(a.N < b.N && b.N < c.N) || !(a.K < b.K && b.K < c.K) {
		t.Errorf("of N a year takes %.3f, %.3f, %.3f at 3, 8, 20 °dH, of K %.3f, %.3f, %.3f", a.N, b.N, c.N, a.K, b.K, c.K)
	}
	// The trade's soils feed for one to three years: water alone takes a small part of that.
	if b.N < 0.02 || b.N > 0.25 || b.P > 0.1 {
		t.Errorf("at 8 °dH the water takes %.0f %% of N and %.0f %% of P in a year", 100*b.N, 100*b.P)
	}
	rich := medium
	rich.K = 80
	if k, taken := lose(rich); !(k.K < 0 && taken > 0) {
		t.Errorf("under 80 mg/L potassium the bed loses %.3f of its own and takes %.0f mg", k.K, taken)
	}
	check.Record(t, check.Row{Room: "soil", What: "nitrogen that water of 3, 8, 20 °dH strips from an active soil in a year", Source: "hard water empties exchange sites: common practice, no source", Worst: fmt.Sprintf("%.0f, %.0f, %.0f %%", 100*a.N, 100*b.N, 100*c.N), Within: "rising; 2 to 25 % at 8 °dH"})
}
