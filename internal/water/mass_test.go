package water

import (
	"littoral/internal/check"
	"math"
	"math/rand/v2"
	"testing"
)

// TestBooksOverAYear runs a year of random forcing, with water changes, top-ups, doses and siphoning, and holds the books to rounding error.
func TestBooksOverAYear(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 11))
	fill, _ := busyTap.Composition()
	s := busyTank()
	kno3, _ := LookSalt("KNO3")
	kh2po4, _ := LookSalt("KH2PO4")
	iron, _ := LookSalt("iron")
	start := s.Holds()
	var net, gross Elements
	var done Flows
	add := func(e Elements) {
		net = net.Plus(e)
		gross = gross.Plus(Elements{
			math.Abs(e.C), math.Abs(e.N), math.Abs(e.P), math.Abs(e.K), math.Abs(e.Ca), math.Abs(e.Mg),
			math.Abs(e.Fe), math.Abs(e.Alk), math.Abs(e.Water),
		})
	}
	for h := range 365 * 24 {
		f := busyHour(h)
		for _, x := range []*float64{
			&f.GrossCO2, &f.GrossHCO3, &f.PlantResp, &f.AnimalResp, &f.MicrobeResp, &f.Demand.N, &f.Demand.P,
			&f.Demand.K, &f.Demand.Fe, &f.Demand.Ca, &f.Demand.Mg, &f.Supply.TAN, &f.Supply.PO4P, &f.Litter.C, &f.Litter.N, &f.K600, &f.RoomT,
		} {
			*x *= 2 * rng.Float64()
		}
		f.SoilAlk, f.SoilTAN = 3*rng.Float64(), rng.Float64()
		f.CO2 = Injection(rng.IntN(4))
		if f.CO2 == HoldPH {
			f.Target = 6 + 2*rng.Float64()
		}
		f.Supply.DIC = rng.Float64()
		f.Supply.NO3N = rng.Float64()
		f.Supply.Ca = rng.Float64()
		w := s.Step(1, f)
		add(w.Net())
		done.FixedCO2 += w.FixedCO2
		done.ToNitrate += w.ToNitrate
		done.TakenNO3 += w.TakenNO3
		done.Evaporated += w.Evaporated
		done.SoilAlk += w.SoilAlk
		done.IronLost += w.IronLost
		for name, x := range map[string]float64{
			"DIC": s.DIC, "Ca": s.Ca, "Mg": s.Mg, "K": s.K, "NO3": s.NO3N, "NO2": s.NO2N,
			"TAN": s.TAN, "PO4": s.PO4P, "Fe": s.Fe, "O2": s.O2, "AOB": s.AOB, "NOB": s.NOB, "suspended": s.Suspended,
		} {
			if !(x >= 0) || math.IsInf(x, 0) {
				t.Fatalf("hour %d: %s is %g", h, name, x)
			}
		}
		if h%168 == 100 {
			x := s.Change(0.4*rng.Float64(), fill)
			add(x.In.Elements().Minus(x.Out.Elements()))
			short := 1 - s.Volume
			e := s.TopUp(short, fill).Elements()
			e.Water = short
			add(e)
			add(s.Dose(Dissolve(kno3, 10).Add(Dissolve(kh2po4, 1)).Add(Dissolve(iron, 0.1))).Elements())
			d := s.Siphon(0.3)
			add(Elements{C: -d.C / molC, N: -d.N, P: -d.P, K: -d.K})
		}
	}
	end := s.Holds()
	worst := 0.0
	for _, c := range []struct {
		name             string
		end, start, x, g float64
	}{
		{"C", end.C, start.C, net.C, gross.C},
		{"N", end.N, start.N, net.N, gross.N},
		{"P", end.P, start.P, net.P, gross.P},
		{"K", end.K, start.K, net.K, gross.K},
		{"Ca", end.Ca, start.Ca, net.Ca, gross.Ca},
		{"Mg", end.Mg, start.Mg, net.Mg, gross.Mg},
		{"Fe", end.Fe, start.Fe, net.Fe, gross.Fe},
		{"charge", end.Alk, start.Alk, net.Alk, gross.Alk},
		{"water", end.Water, start.Water, net.Water, gross.Water},
	} {
		off := math.Abs(c.end-c.start-c.x) / c.g
		worst = math.Max(worst, off)
		if !(off < 1e-9) {
			t.Errorf("%s: holds changed by %.12g, books say %.12g", c.name, c.end-c.start, c.x)
		}
	}
	// Something did happen.
	if done.FixedCO2 < 1000 || done.ToNitrate < 500 || done.TakenNO3 < 500 || done.Evaporated < 0.1 || done.SoilAlk < 100 || done.IronLost < 1 {
		t.Errorf("too little happened: %+v", done)
	}
	check.Record(t, check.Row{
		Room: "water", What: "books of C, N, P, K, Ca, Mg, Fe, charge and water over a year of random forcing",
		Source: "conservation of mass", Worst: sci(worst), Within: "1e-9 of what moved",
	})
}
