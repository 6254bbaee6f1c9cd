package water

import "testing"

func BenchmarkEquilibrium(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		_ = NewEquilibrium(24, 0.005)
	}
}

// BenchmarkSpeciation is a whole water from its analysis: constants at its temperature, ionic strength and pairs, then pH and species.
func BenchmarkSpeciation(b *testing.B) {
	b.ReportAllocs()
	c, _ := busyTap.Composition()
	var sum float64
	for i := 0; b.Loop(); i++ {
		c.T, c.DIC = 20+float64(i%100)*0.05, 1.9+float64(i%100)*0.005
		sum += c.Carbonate().PH
	}
	if !(sum > 0) {
		b.Fatal("no pH")
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "waters/s")
}

func BenchmarkSolve(b *testing.B) {
	e := NewEquilibrium(24, 0.005)
	b.Run("cold", func(b *testing.B) {
		b.ReportAllocs()
		for i := 0; b.Loop(); i++ {
			_ = e.Solve(1.5+float64(i%100)*0.005, 1.43)
		}
	})
	b.Run("warm", func(b *testing.B) {
		b.ReportAllocs()
		c := e.Solve(1.5, 1.43)
		for i := 0; b.Loop(); i++ {
			c = e.solve((1.5+float64(i%100)*0.005)/1000, 1.43/1000, c.h)
		}
	})
}

// BenchmarkThreeYears advances a planted, stocked, CO2-fed tank of 1 m³ through three years of hours with weekly changes.
func BenchmarkThreeYears(b *testing.B) {
	b.ReportAllocs()
	fill, _ := busyTap.Composition()
	salt, _ := LookSalt("KNO3")
	for b.Loop() {
		s := busyTank()
		parts := 0
		for h := range 3 * 365 * 24 {
			if h%168 == 167 {
				s.Change(0.4, fill)
				s.TopUp(1-s.Volume, fill)
				s.Dose(Dissolve(salt, 10))
			}
			f := busyHour(h)
			w := s.Step(1, f)
			parts += w.Parts
		}
		b.ReportMetric(float64(parts)/(3*365*24), "parts/step")
	}
}

// BenchmarkHardDay is the worst case for the inner steps: soft water, far more light than carbon.
func BenchmarkHardDay(b *testing.B) {
	b.ReportAllocs()
	c, _ := Analysis{T: 25, Alk: 0.2, Hard: 0.5, PH: 6.5}.Composition()
	parts, steps := 0, 0
	for b.Loop() {
		s := NewState(0.1, c, 25, 1, 1)
		for h := range 24 * 7 {
			f := busyHour(h)
			f.GrossCO2, f.GrossHCO3 = f.GrossCO2*2, f.GrossHCO3*10
			parts += s.Step(1, f).Parts
			steps++
		}
	}
	b.ReportMetric(float64(parts)/float64(steps), "parts/step")
}
