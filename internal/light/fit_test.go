package light

import (
	"fmt"
	"littoral/internal/check"
	"math"
	"testing"
)

// TestPointLikeField holds single points to the solved field.
func TestPointLikeField(t *testing.T) {
	tank := boxTank(1.2, 0.6, 0.5)
	lamps := []Source{
		{X: 0.5, Y: 0.25, Height: 0.3, SizeX: 0.5, SizeY: 0.2, Flux: 200, N: 1},
		{X: 0.6, Y: 0.3, Height: 0.3, SizeX: 0.4, SizeY: 0.1, Flux: 200, N: 3, Lobe: tiltedBeam(3, 0.3, 0.5)},
	}
	worst := 0.0
	for _, lamp := range lamps {
		v := emptyBox(tank, 0.025)
		f := NewSolver([]Source{lamp}, v, tank, Options{}).Solve(nil, nil, 0.3, nil)
		lowest, mean, _ := f.BedMap(12, 6).Stats()
		_ = lowest
		for iy := 2; iy < v.NY; iy += 5 {
			for ix := 2; ix < v.NX; ix += 5 {
				got := lamp.At(tank, Water{Absorption: 0.3}, (float64(ix)+0.5)*v.Cell, (float64(iy)+0.5)*v.Cell, tank.WaterLevel)
				worst = max(worst, math.Abs(got-f.Bed[iy*v.NX+ix])/mean)
			}
		}
	}
	if worst > 0.04 {
		t.Errorf("worst point off by %.4f of the mean", worst)
	}
	check.Record(t, check.Row{
		Room: "light", What: "light reckoned at single points, walls included, against the solved field at the bed", Source: "two ways of one model",
		Worst: fmt.Sprintf("%.1f %% of the mean", 100*worst), Within: "4 % (a column's mean at the edge of returned light)",
	})
}

// TestFitFindsTheLamp makes readings from a known lamp and finds it again, also with readings that are off by a few hundredths.
func TestFitFindsTheLamp(t *testing.T) {
	tank := boxTank(1.2, 0.5, 0.5)
	w := Water{Absorption: 0.3}
	for _, beam := range []float64{40, 90, 120} {
		lamp := Source{X: 0.6, Y: 0.25, Height: 0.2, SizeX: 0.5, SizeY: 0.15, Flux: 150, N: beamOf(t, beam)}
		var readings []Reading
		for i, r := range []Reading{{X: 0.6, Y: 0.25}, {X: 0.3, Y: 0.25}, {X: 0.6, Y: 0.25, Depth: 0.3}, {X: 0.2, Y: 0.1, Depth: 0.4, Dim: 0.5}, {X: 0.9, Y: 0.4, Depth: 0.2}} {
			dim := max(r.Dim, 0)
			if dim == 0 {
				dim = 1
			}
			r.PPFD = dim * lamp.At(tank, w, r.X, r.Y, r.Depth)
			readings = append(readings, r)
			_ = i
		}
		unknown := lamp
		unknown.Flux, unknown.N = 1, 1
		found, fit := FitLamp(unknown, tank, w, readings, false)
		if math.Abs(found.Flux/lamp.Flux-1) > 0.005 || math.Abs(fit.Beam*180/math.Pi-beam) > 1 || fit.RMS > 0.002 {
			t.Errorf("beam %g°: found %.1f µmol/s, %.1f°, remaining %.4f", beam, found.Flux, fit.Beam*180/math.Pi, fit.RMS)
		}
		check.Record(t, check.Row{
			Room: "light", What: fmt.Sprintf("a lamp of beam %g° found again from five readings: photon flux", beam), Source: "made from the model itself",
			Worst: fmt.Sprintf("%.2f %%", 100*math.Abs(found.Flux/lamp.Flux-1)), Within: "0.5 %",
		})
		for i := range readings {
			readings[i].PPFD *= 1 + 0.05*float64(i%3-1)
		}
		found, fit = FitLamp(unknown, tank, w, readings, false)
		if math.Abs(found.Flux/lamp.Flux-1) > 0.1 || fit.RMS < 0.005 || fit.RMS > 0.06 || fit.Worst < fit.RMS {
			t.Errorf("beam %g°, rough readings: found %.1f µmol/s, remaining %.4f, worst %.4f", beam, found.Flux, fit.RMS, fit.Worst)
		}
		one, fit := FitLamp(lamp, tank, w, readings[1:2], false)
		if fit.Beam != 0 || math.Abs(one.Flux/lamp.Flux-1) > 1e-6 {
			t.Errorf("one reading: %+v", fit)
		}
	}
	if _, fit := FitLamp(Source{Height: 0.2, N: 1}, tank, w, nil, false); fit != (Fit{}) {
		t.Errorf("no readings: %+v", fit)
	}
}

func TestAdvice(t *testing.T) {
	tank := boxTank(2.4, 0.9, 0.6)
	lamp := Source{SizeX: 0.55, SizeY: 0.2, Flux: 180, N: 1.5}
	list := Advise(lamp, tank, Water{Absorption: 0.25}, Wish{Ground: 60, Top: 250, Bed: 0.08})
	if len(list) == 0 {
		t.Fatal("no advice")
	}
	preferred := 0
	for _, a := range list {
		if math.Abs(a.Mean-60) > 1e-9 || a.Dim > 1 || a.Top > 250 || a.Least > a.Mean || a.Most < a.Mean || len(a.Sources) != a.Lamps {
			t.Errorf("%+v", a)
		}
		for i, s := range a.Sources {
			for _, o := range a.Sources[:i] {
				if math.Abs(s.X-o.X) < lamp.SizeX-1e-9 && math.Abs(s.Y-o.Y) < lamp.SizeY-1e-9 {
					t.Errorf("%d lamps in %d rows overlap: %.2f, %.2f and %.2f, %.2f", a.Lamps, a.Rows, s.X, s.Y, o.X, o.Y)
				}
			}
		}
		if a.Preferred {
			preferred++
		}
	}
	// Two boards of 80 cm have no room in a row of 120 cm, nor two rows of 30 cm in 50 cm.
	if got := Advise(Source{SizeX: 0.8, SizeY: 0.3, Flux: 500, N: 1}, boxTank(1.2, 0.5, 0.55), Water{Absorption: 0.25}, Wish{Ground: 60}); len(got) != 1 || got[0].Lamps != 1 {
		t.Errorf("lamps without room: %d ways", len(got))
	}
	if preferred != 1 {
		t.Errorf("%d preferred", preferred)
	}
	// What was advised gives what was wished when it is solved as a field.
	for _, a := range list {
		if !a.Preferred {
			continue
		}
		for i := range a.Sources {
			a.Sources[i].Flux *= a.Dim
		}
		v := emptyBox(tank, 0.025)
		bedTo(v, func(_, _ float64) float64 { return 0.08 })
		_, mean, _ := NewSolver(a.Sources, v, tank, Options{}).Solve(nil, nil, 0.25, nil).BedMap(9, 5).Stats()
		if math.Abs(mean/60-1) > 0.03 {
			t.Errorf("the field's mean is %.2f", mean)
		}
		check.Record(t, check.Row{
			Room: "light", What: "advised lamps give the wished mean at the bed", Source: "the solved field", Worst: fmt.Sprintf("%.1f %%", 100*math.Abs(mean/60-1)), Within: "3 %",
		})
	}
	if got := Advise(lamp, tank, Water{Absorption: 0.25}, Wish{Ground: 5000}); len(got) != 0 {
		t.Errorf("5000 µmol are promised: %+v", got)
	}
}

// A reading a quarter off is doubted, one that a meter's own error explains is not.
func TestDoubt(t *testing.T) {
	for worst, doubted := range map[float64]bool{0: false, 0.08: false, 0.25: true} {
		s := Source{ID: "board", Fit: Fit{Worst: worst}}
		if got := s.Doubt(); (got != "") != doubted {
			t.Errorf("off by %g: %q", worst, got)
		}
	}
}
