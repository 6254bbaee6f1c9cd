package light

import (
	"littoral/internal/geometry"
	"math"
	"syscall"
	"testing"
)

// library is a large display tank with a bed that rises to the back, a stone and two panels; 2.5 cm voxels.
func library() (geometry.Tank, *geometry.Voxels, []Source) {
	t := boxTank(2.4, 0.9, 0.6)
	v := emptyBox(t, 0.025)
	bedTo(v, func(x, y float64) float64 { return 0.05 + 0.1*y })
	block(v, func(x, y, z float64) bool { return math.Hypot(math.Hypot(x-0.8, y-0.4), z-0.1) < 0.2 })
	lamps := []Source{
		{ID: "left", X: 0.6, Y: 0.45, Height: 0.25, SizeX: 0.55, SizeY: 0.2, Flux: 180, N: 1.5},
		{ID: "right", X: 1.8, Y: 0.45, Height: 0.25, SizeX: 0.55, SizeY: 0.2, Flux: 180, N: 1.5},
	}
	return t, v, lamps
}

// meadow is a canopy up to 25 cm height over the back half, as leaf extinction.
func meadow(v *geometry.Voxels) []float64 {
	leaf := make([]float64, len(v.Solid))
	each(v, func(i int, x, y, z float64) {
		if !v.Solid[i] && y > 0.4 && z < 0.35 {
			leaf[i] = 6 + 4*math.Sin(9*x)
		}
	})
	return leaf
}

// benchmarkSolve solves two canopies in turn, of which the second has grown by a tenth up to a height (m), so that nothing below it can be kept.
func benchmarkSolve(b *testing.B, opt Options, height float64) {
	t, v, lamps := library()
	s := NewSolver(lamps, v, t, opt)
	leaf := meadow(v)
	grown := append([]float64(nil), leaf...)
	each(v, func(i int, _, _, z float64) {
		if z < height {
			grown[i] *= 1.1
		}
	})
	f := s.Solve(leaf, nil, 0.3, nil)
	b.ReportAllocs()
	defer cpu(b)()
	for b.Loop() {
		f = s.Solve(grown, nil, 0.3, f)
		leaf, grown = grown, leaf
	}
}

// Nothing given back; what the forecast asks for; the same when only the lower half of the canopy has grown; and when other water changes all.
func BenchmarkSolve(b *testing.B)         { benchmarkSolve(b, Options{}, 1) }
func BenchmarkSolveForecast(b *testing.B) { benchmarkSolve(b, forecasts, 1) }
func BenchmarkSolvePart(b *testing.B)     { benchmarkSolve(b, forecasts, 0.15) }

// forecasts are the settings of a forecast.
var forecasts = Water{Ground: usualGround, Stone: usualStone, Leaf: LeafScattering}.Over(Options{})

func BenchmarkTint(b *testing.B) {
	t, v, lamps := library()
	s := NewSolver(lamps, v, t, Options{})
	f := s.Solve(meadow(v), nil, 0.3, nil)
	kd := 0.3
	b.ReportAllocs()
	defer cpu(b)()
	for b.Loop() {
		kd = 0.65 - kd
		s.Tint(f, kd)
	}
}

func BenchmarkNewSolver(b *testing.B) {
	t, v, lamps := library()
	b.ReportAllocs()
	defer cpu(b)()
	for b.Loop() {
		NewSolver(lamps, v, t, Options{})
	}
}

// cpu reports the processor time of each operation, which other programs on the machine do not blur as they do the clock's.
func cpu(b *testing.B) func() {
	var start, end syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &start); err != nil {
		b.Fatal(err)
	}
	return func() {
		if err := syscall.Getrusage(syscall.RUSAGE_SELF, &end); err != nil {
			b.Fatal(err)
		}
		used := end.Utime.Nano() - start.Utime.Nano() + end.Stime.Nano() - start.Stime.Nano()
		b.ReportMetric(float64(used)/float64(b.N)/1e6, "cpu-ms/op")
	}
}

func BenchmarkMap(b *testing.B) {
	tank := boxTank(1.2, 0.6, 0.55)
	lamps := []Source{{X: 0.6, Y: 0.3, Height: 0.3, SizeX: 0.6, SizeY: 0.2, Flux: 1000, N: 1}}
	for _, c := range []struct {
		name string
		opt  Options
	}{
		{"usual", Options{MaxEmitters: 1, Ground: 0.1}},
		{"fine", Options{MaxEmitters: 1, Ground: 0.1, Fine: true}},
		{"fine scattering", Options{MaxEmitters: 1, Ground: 0.1, Scattering: 0.3, Asymmetry: 0.9, Fine: true}},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			defer cpu(b)()
			for b.Loop() {
				NewSolver(lamps, emptyBox(tank, 0.025), tank, c.opt).Solve(nil, nil, 0.2, nil).BedMap(48, 24)
			}
		})
	}
}
