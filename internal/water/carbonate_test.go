package water

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// sound fails unless the solved system keeps the books of carbon and charge.
func sound(t interface {
	Errorf(string, ...any)
}, e Equilibrium, dic, alk float64, c Carbonate,
) {
	for _, x := range []float64{c.PH, c.CO2, c.HCO3, c.CO3} {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			t.Errorf("DIC %g alk %g: %+v", dic, alk, c)
			return
		}
	}
	if c.CO2 < 0 || c.HCO3 < 0 || c.CO3 < 0 {
		t.Errorf("DIC %g alk %g: negative species %+v", dic, alk, c)
	}
	if d := math.Abs(c.DIC() - dic); d > 1e-9*(1+dic) {
		t.Errorf("DIC %g alk %g: species add to %g", dic, alk, c.DIC())
	}
	b, _ := e.buffer(c.h)
	a := c.HCO3 + 2*c.CO3 + 1000*(b+e.Kw/c.h-c.h)
	if d := math.Abs(a - alk); d > 1e-8*(1+math.Abs(alk)+dic) {
		t.Errorf("DIC %g alk %g: charges add to %g (pH %g)", dic, alk, a, c.PH)
	}
}

func TestSolveKeepsItsBooks(t *testing.T) {
	n := 0
	low, high := 99.0, 0.0
	for _, temp := range []float64{2, 12, 24, 40} {
		for _, i := range []float64{0, 0.002, 0.02, 0.3} {
			e := NewEquilibrium(temp, i)
			for alk := -1.0; alk <= 20; alk += 0.25 {
				for _, dic := range []float64{0, 1e-6, 0.01, 0.3, 1, 2, 3, 5, 10, 20, 40} {
					c := e.Solve(dic, alk)
					sound(t, e, dic, alk, c)
					low, high = math.Min(low, c.PH), math.Max(high, c.PH)
					n++
				}
			}
		}
	}
	if low > 3.1 || high < 11 {
		t.Errorf("%d waters only reached pH %g to %g", n, low, high)
	}
}

func TestSolveProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		temp := rapid.Float64Range(2, 40).Draw(t, "t")
		e := NewEquilibrium(temp, rapid.Float64Range(0, 0.1).Draw(t, "I"))
		e.phosphate, e.ammonia = rapid.Float64Range(0, 1e-3).Draw(t, "P"), rapid.Float64Range(0, 1e-3).Draw(t, "N")
		dic := rapid.Float64Range(0, 30).Draw(t, "dic")
		alk := rapid.Float64Range(-1, 20).Draw(t, "alk")
		c := e.Solve(dic, alk)
		sound(t, e, dic, alk, c)
		// More carbon at the same alkalinity: more CO2, lower pH. A far start gives the same answer.
		more := e.Solve(dic+0.1, alk)
		if !(more.PH < c.PH && more.CO2 > c.CO2) {
			t.Errorf("carbon added, but pH %g to %g, CO2 %g to %g", c.PH, more.PH, c.CO2, more.CO2)
		}
		warm := e.solve(dic/1000, alk/1000, more.h)
		if math.Abs(warm.PH-c.PH) > 1e-9 {
			t.Errorf("start matters: pH %v and %v", warm.PH, c.PH)
		}
		// There and back: pH gives carbon, CO2 gives carbon.
		if dic > 0.01 && math.Abs(alk) > 0.01 {
			if back := e.DICFromPH(c.PH, alk); math.Abs(back-dic) > 1e-5*(dic+math.Abs(alk)) && c.HCO3+2*c.CO3 > 0.01 {
				t.Errorf("DIC %g came back as %g at pH %g", dic, back, c.PH)
			}
			if back := e.AtCO2(c.CO2, alk); math.Abs(back.PH-c.PH) > 1e-6 {
				t.Errorf("pH %g came back as %g from CO2 %g", c.PH, back.PH, c.CO2)
			}
		}
		// The slopes agree with a small difference.
		if dic > 0.01 {
			d := 1e-5 * dic
			up, down := e.Solve(dic+d, alk), e.Solve(dic-d, alk)
			dCO2, dHCO3 := e.slopes(c)
			if math.Abs((up.CO2-down.CO2)/(2*d)-dCO2) > 1e-3*(1+dCO2) || math.Abs((up.HCO3-down.HCO3)/(2*d)-dHCO3) > 1e-3 {
				t.Errorf("slopes %g %g, differences %g %g", dCO2, dHCO3, (up.CO2-down.CO2)/(2*d), (up.HCO3-down.HCO3)/(2*d))
			}
		}
	})
}

func FuzzSolve(f *testing.F) {
	f.Add(1.5, 1.4, 24.0, 0.005)
	f.Add(0.0, -1.0, 2.0, 0.0)
	f.Add(1e300, -1e300, 1e300, -1e300)
	f.Add(5e-324, 20.0, 40.0, 0.5)
	f.Fuzz(func(t *testing.T, dic, alk, temp, ionic float64) {
		e := NewEquilibrium(temp, ionic)
		for _, c := range []Carbonate{e.Solve(dic, alk), e.AtPH(dic, alk), e.AtCO2(dic, alk)} {
			for _, x := range []float64{c.PH, c.CO2, c.HCO3, c.CO3} {
				if math.IsNaN(x) || math.IsInf(x, 0) || c.CO2 < 0 {
					t.Fatalf("DIC %g alk %g T %g I %g: %+v", dic, alk, temp, ionic, c)
				}
			}
		}
	})
}

// TestCO2LeavesAlkalinity: CO2 in or out leaves alkalinity, so the way back is the way there.
func TestCO2LeavesAlkalinity(t *testing.T) {
	c, _ := busyTap.Composition()
	e := c.Equilibrium()
	before := e.Solve(c.DIC, c.Alk)
	after := e.Solve(c.DIC+1, c.Alk)
	sound(t, e, c.DIC+1, c.Alk, after)
	if after.PH >= before.PH {
		t.Error("CO2 did not lower the pH")
	}
}

// TestWatersOfEveryKind: ions, pairs, phosphate and ammonia over the whole range of waters; every sum is finite, charges add up, and more acid
// or more carbon never does the contrary.
func TestWatersOfEveryKind(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := func(name string, low, high float64) float64 { return rapid.Float64Range(low, high).Draw(t, name) }
		c := Composition{
			T: x("t", 2, 40), Alk: x("alk", -1, 20), Ca: x("Ca", 0, 300), Mg: x("Mg", 0, 100), K: x("K", 0, 100), Na: x("Na", 0, 500),
			Cl: x("Cl", 0, 500), SO4: x("SO4", 0, 800), NO3N: x("NO3N", 0, 50), TAN: x("TAN", 0, 10), PO4P: x("PO4P", 0, 10),
		}
		e := c.Equilibrium()
		pH := x("pH", 3, 11)
		at := e.AtPH(pH, c.Alk)
		if more := e.AtPH(pH+0.05, c.Alk); more.CO2 > at.CO2 {
			t.Errorf("CO2 rises from %g to %g mmol/L with the pH from %g", at.CO2, more.CO2, pH)
		}
		c.DIC = at.DIC()
		s := e.Solve(c.DIC, c.Alk)
		sound(t, e, c.DIC, c.Alk, s)
		if at.CO2+at.HCO3+at.CO3 > 0.001 && math.Abs(s.PH-pH) > 1e-4 {
			t.Errorf("pH %g came back as %g", pH, s.PH)
		}
		acid := e.Solve(c.DIC, c.Alk-0.01)
		if acid.PH > s.PH || acid.CO2 < s.CO2 {
			t.Errorf("acid moved pH from %g to %g and CO2 from %g to %g", s.PH, acid.PH, s.CO2, acid.CO2)
		}
		for name, v := range map[string]float64{"conductivity": c.Conductivity(25), "calcite": e.CalciteIndex(s, c.Ca), "ionic strength": e.Ionic, "ammonia": c.Ammonia()} {
			if math.IsNaN(v) || math.IsInf(v, 0) || name != "calcite" && v < 0 {
				t.Errorf("%s is %g", name, v)
			}
		}
		for _, share := range []float64{e.freeCO3, e.freeHCO3, e.freeCa, e.freeMg, e.freeSO4} {
			if !(share > 0 && share <= 1) {
				t.Errorf("a free share of %g in %+v", share, c)
			}
		}
	})
}

func TestSpeciationAllocatesNothing(t *testing.T) {
	c, _ := busyTap.Composition()
	var sum float64
	if n := testing.AllocsPerRun(200, func() {
		c.DIC += 0.001
		sum += c.Carbonate().PH + c.Conductivity(25)
	}); n != 0 || sum <= 0 {
		t.Errorf("%g allocations per water", n)
	}
}

// TestRandomWatersBalance: over many random waters the species add up to the carbon and the charges that went in, and a mixture holds what its parts held.
func TestRandomWatersBalance(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 5))
	x := func(low, high float64) float64 { return low + (high-low)*rng.Float64() }
	any := func() Composition {
		return Composition{
			T: x(2, 40), DIC: x(0, 20), Alk: x(-1, 20), Ca: x(0, 300), Mg: x(0, 100), K: x(0, 100), Na: x(0, 500),
			Cl: x(0, 500), SO4: x(0, 800), NO3N: x(0, 50), TAN: x(0, 10), PO4P: x(0, 10),
		}
	}
	const waters = 20_000
	carbon, charge, mixed := 0.0, 0.0, 0.0
	for range waters {
		c := any()
		e := c.Equilibrium()
		s := e.Solve(c.DIC, c.Alk)
		carbon = math.Max(carbon, math.Abs(s.DIC()-c.DIC)/(1e-3+c.DIC))
		b, _ := e.buffer(s.h)
		have := s.HCO3 + 2*s.CO3 + 1000*(b+e.Kw/s.h-s.h)
		charge = math.Max(charge, math.Abs(have-c.Alk)/(1+math.Abs(c.Alk)+c.DIC))
		other, share := any(), rng.Float64()
		m := Mix(c, other, share)
		for _, pair := range [][2]float64{
			{m.Charge(), share*c.Charge() + (1-share)*other.Charge()},
			{m.Alk, share*c.Alk + (1-share)*other.Alk},
			{m.DIC, share*c.DIC + (1-share)*other.DIC},
			{m.Ca, share*c.Ca + (1-share)*other.Ca},
			{m.SO4, share*c.SO4 + (1-share)*other.SO4},
		} {
			mixed = math.Max(mixed, math.Abs(pair[0]-pair[1])/(1+math.Abs(pair[1])))
		}
	}
	record(t, "carbon in all its species over 20,000 random waters, 2 to 40 °C, alkalinity -1 to 20 meq/L", "conservation of mass", false, carbon, "relative", 1e-9)
	record(t, "charges of the same waters", "electroneutrality", false, charge, "relative", 1e-8)
	record(t, "what mixtures of them hold against their parts", "conservation of mass and charge", false, mixed, "relative", 1e-12)
}
