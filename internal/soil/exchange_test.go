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
			taken -= b.Day(24, w).Swap.K
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

// Grains take phosphate out of water that holds more than their pores and stop when they are full; under water without it they give none of it
// back faster than it diffuses. Hard water fills the sites of an acid bed with calcium and magnesium in the ratio that their selectivities ask for.
func TestTheBedHoldsPhosphateCalciumAndMagnesium(t *testing.T) {
	m, ok := catalog.Default().Material("cosmetic sand")
	if !ok {
		t.Fatal("the catalogue has no cosmetic sand")
	}
	sand := New(floor(20, 10, m.Name, even(0.04)), catalog.Default(), 0)
	capacity := 0.0
	for _, i := range sand.Columns() {
		capacity += sand.cols[i].holdP
	}
	rich := hard(8)
	rich.P = 0.65 // 2 mg/L phosphate
	taken, first := 0.0, 0.0
	for day := range 3650 {
		x := sand.Day(24, rich).PTaken
		if taken += x; day == 0 {
			first = x
		}
	}
	if have := sand.Available().P; taken <= 0 || have > fullP*capacity*(1+1e-9) || math.Abs(have-taken) > 0.3*taken {
		t.Errorf("in ten years sand takes %.1f mg P, holds %.1f and could hold %.1f", taken, have, capacity)
	}
	if last := sand.Day(24, rich).PTaken; last > 0.2*first {
		t.Errorf("nearly full sand takes %.4f mg P a day, new sand %.4f", last, first)
	}
	poor := New(floor(20, 10, m.Name, even(0.04)), catalog.Default(), 0)
	if x := poor.Day(24, hard(8)).PTaken; x != 0 {
		t.Errorf("sand takes %.3g mg P out of water that holds none", x)
	}

	bed := New(floor(20, 10, activeSoil(t).Name, even(0.08)), catalog.Default(), 0)
	w := Water{Ca: 20, Mg: 30, Na: 10, K: 5, Litres: 700}
	for range 20000 {
		bed.Day(24, w)
	}
	b := bed.Bases()
	got, want := (b.Ca/molCa)/(b.Mg/molMg), selCa*w.Ca/molCa/(selMg*w.Mg/molMg)
	if math.Abs(got/want-1) > 0.02 {
		t.Errorf("after decades the sites hold calcium to magnesium %.3f, the constants say %.3f", got, want)
	}
	check.Record(t, check.Row{Room: "soil", What: "calcium to magnesium on exchange sites after decades under one water", Source: "phreeqc.dat (Gaines–Thomas)", Worst: fmt.Sprintf("%.1f %%", 100*math.Abs(got/want-1)), Within: "2 %"})
}
