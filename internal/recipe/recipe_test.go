package recipe

import (
	"fmt"
	"littoral/internal/check"
	"littoral/internal/water"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func tap(kh, gh float64) water.Composition {
	c, _ := water.Analysis{T: 20, Alk: kh * water.MeqPerDH, Hard: gh * water.MmolPerDH, PH: 7.6, NO3: 10, K: 2}.Composition()
	return c
}

func shelf(names ...string) []Stock {
	var s []Stock
	for _, n := range names {
		s = append(s, Stock{n, math.Inf(1)})
	}
	return s
}

func one(key string, x float64) Want { return Want{key, x, x} }

func solve(t testing.TB, a Ask) Recipe {
	t.Helper()
	r, err := Solve(a)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func grams(r Recipe, salt string) float64 {
	for _, w := range r.Weighs {
		if w.Salt.Name == salt {
			return w.Grams
		}
	}
	return 0
}

// TestRemineralisedPureWater: from pure water alone the grams are the stoichiometric ones.
func TestRemineralisedPureWater(t *testing.T) {
	a := Ask{
		Tap: water.PureWater(20), Volume: 1000, MostPure: 1, LeastPure: 1,
		Wants:  []Want{one("GH", 6), one("KH", 3), one("Mg", 9), one("K", 10), one("NO3", 10), one("PO4", 1)},
		Stocks: shelf("CaSO4·2H2O", "MgSO4·7H2O", "NaHCO3", "K2SO4", "KNO3", "KH2PO4"),
	}
	r := solve(t, a)
	// By hand: NO3 10 mg/L from KNO3 16.306 mg/L (K 6.306), PO4 1 from KH2PO4 1.433 (K 0.412), the rest of K from K2SO4 (3.282 / 0.44875 = 7.31);
	// Mg 9 from MgSO4·7H2O 91.27; Ca (1.06996 − 0.37030) mmol/L from gypsum 120.45; KH 3 (less 0.002 meq/L of the pure water) from NaHCO3 89.71.
	var worst float64
	for salt, want := range map[string]float64{"KNO3": 16.306, "KH2PO4": 1.433, "K2SO4": 7.31, "MgSO4·7H2O": 91.27, "CaSO4·2H2O": 120.45, "NaHCO3": 89.71} {
		off := math.Abs(grams(r, salt)/want - 1)
		worst = math.Max(worst, off)
		if off > 0.002 {
			t.Errorf("%s: %.3f g, want %.3f", salt, grams(r, salt), want)
		}
	}
	check.Record(t, check.Row{Room: "recipe", What: "grams of six salts for 1000 L of remineralised pure water", Source: "stoichiometry with IUPAC 2021 abridged atomic weights, by hand", Worst: fmt.Sprintf("%.2g %%", 100*worst), Within: "0.2 %"})
	for _, m := range r.Met {
		if !m.OK {
			t.Errorf("%s missed: %g", m.Want.Key, m.Got)
		}
	}
}

// TestCutTap: half pure water halves a tap that is twice too hard, and no salt is used.
func TestCutTap(t *testing.T) {
	r := solve(t, Ask{Tap: tap(8, 12), Volume: 200, MostPure: 1, Wants: []Want{one("KH", 4), {"GH", 5, 7}}, Stocks: shelf("CaSO4·2H2O", "NaHCO3"), Step: 0.1})
	if math.Abs(r.Pure-0.5) > 0.011 || len(r.Weighs) != 0 {
		t.Errorf("%.0f %% pure and %v", 100*r.Pure, r.Weighs)
	}
	if math.Abs(r.Water.Charge()-r.Water.Alk) > 1e-6 {
		t.Errorf("the water is not neutral: %g", r.Water.Charge()-r.Water.Alk)
	}
}

func TestWhatCannotBe(t *testing.T) {
	for _, c := range []struct {
		name string
		ask  Ask
		key  string
		why  string
	}{
		{"no salt brings it", Ask{Tap: tap(4, 6), Volume: 100, MostPure: 1, Wants: []Want{one("K", 20)}, Stocks: shelf("CaSO4·2H2O")}, "K", "None of the allowed salts brings K"},
		{"too hard a tap, no pure water", Ask{Tap: tap(12, 18), Volume: 100, MostPure: 0.5, Wants: []Want{one("KH", 2)}, Stocks: shelf("CaSO4·2H2O")}, "KH", "Even with 50 %"},
		{"the cupboard", Ask{Tap: water.PureWater(20), Volume: 1000, MostPure: 1, Wants: []Want{one("KH", 4)}, Stocks: []Stock{{"KHCO3", 20}}}, "KH", "not enough of KHCO3"},
		{"charges", Ask{Tap: water.PureWater(20), Volume: 100, MostPure: 1, Wants: []Want{one("GH", 8), {"SO4", 0, 10}, {"Cl", 0, 10}}, Stocks: shelf("CaSO4·2H2O", "CaCl2·2H2O")}, "GH", "charges must balance"},
		{"two wishes", Ask{Tap: water.PureWater(20), Volume: 100, MostPure: 1, Wants: []Want{one("KH", 5), {"Na", 0, 5}}, Stocks: shelf("NaHCO3")}, "KH", "stands against Na"},
	} {
		r := solve(t, c.ask)
		missed := false
		for _, m := range r.Met {
			if !m.OK {
				missed = true
				if !strings.Contains(m.Why, c.why) && m.Want.Key == c.key {
					t.Errorf("%s: %q says nothing like %q", c.name, m.Why, c.why)
				}
			}
		}
		if !missed {
			t.Errorf("%s: nothing is missed: %+v", c.name, r.Met)
		}
	}
	for _, a := range []Ask{
		{},
		{Volume: 1, MostPure: 1, Wants: []Want{one("Xy", 1)}},
		{Volume: 1, MostPure: 1, Wants: []Want{{"GH", 5, 3}}},
		{Volume: 1, MostPure: 1, Wants: []Want{one("GH", 5)}, Stocks: shelf("NaF")},
	} {
		if _, err := Solve(a); err == nil {
			t.Errorf("%+v was solved", a)
		}
	}
}

func TestScaleStep(t *testing.T) {
	r := solve(t, Ask{Tap: water.PureWater(20), Volume: 20, MostPure: 1, Wants: []Want{one("PO4", 1), one("GH", 4)}, Stocks: shelf("KH2PO4", "CaSO4·2H2O"), Step: 0.1})
	for _, w := range r.Weighs {
		if math.Abs(math.Remainder(w.Grams, 0.1)) > 1e-9 {
			t.Errorf("%s: %g g is no step of 0.1 g", w.Salt.Name, w.Grams)
		}
	}
	if !strings.Contains(strings.Join(r.Remarks, " "), "stock solution") {
		t.Errorf("0.03 g of phosphate on a scale of 0.1 g: %v", r.Remarks)
	}
}

// TestAnyWish: every solvable wish gives a neutral water within the bounds, and wishes made from a real mixture are met.
func TestAnyWish(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		a := Ask{
			Tap:    tap(rapid.Float64Range(0, 18).Draw(r, "KH"), rapid.Float64Range(0, 30).Draw(r, "GH")),
			Volume: rapid.Float64Range(10, 5000).Draw(r, "L"), MostPure: 1,
			Stocks: shelf("CaSO4·2H2O", "CaCl2·2H2O", "MgSO4·7H2O", "KHCO3", "K2SO4", "KNO3", "KH2PO4"),
		}
		pure := math.Round(100*rapid.Float64Range(0, 1).Draw(r, "pure")) / 100
		sum := a.Tap.In(1 - pure).Add(water.PureWater(20).In(pure))
		for _, s := range a.Stocks {
			salt, _ := water.LookSalt(s.Salt)
			sum = sum.Add(water.Dissolve(salt, rapid.Float64Range(0, 80).Draw(r, s.Salt)))
		}
		for _, q := range Quantities() {
			a.Wants = append(a.Wants, Want{q.Key, math.Max(0, q.of(sum)*0.97), q.of(sum)*1.03 + 0.01})
		}
		got, err := Solve(a)
		if err != nil {
			r.Fatal(err)
		}
		for _, m := range got.Met {
			if !m.OK {
				r.Fatalf("%s: %g is outside %g to %g", m.Want.Key, m.Got, m.Want.Low, m.Want.High)
			}
		}
		if off := got.Water.Charge() - got.Water.Alk; math.Abs(off) > 1e-6 {
			r.Fatalf("the water is off by %g meq/L", off)
		}
	})
}

func BenchmarkSolve(b *testing.B) {
	a := Ask{
		Tap: tap(9, 14), Volume: 400, MostPure: 1, Step: 0.1,
		Wants:  []Want{one("GH", 6), one("KH", 3), {Ratio, 2, 4}, {"K", 8, 12}, one("NO3", 10), one("PO4", 0.8), {"Cl", 0, 30}},
		Stocks: shelf("CaSO4·2H2O", "MgSO4·7H2O", "KHCO3", "K2SO4", "KNO3", "KH2PO4"),
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Solve(a); err != nil {
			b.Fatal(err)
		}
	}
}
