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

// BenchmarkChoice is the table from which the settings are chosen (docs/model.md): over every fourth reference scene the RMS error of the map, the worst of 81
// cells and the worst share of photons, in per cent, against the effort for a map made from nothing. go test -run xxx -bench Choice -benchtime 1x
func BenchmarkChoice(b *testing.B) {
	var some []scene
	for i, s := range scenes(b) {
		if i%4 == 0 {
			some = append(some, s)
		}
	}
	for _, c := range []struct {
		name string
		cell float64
		back bool
		opt  Options
	}{
		{"voxels 5 cm, usual", 0.05, true, Options{MaxEmitters: 1}},
		{"voxels 2.5 cm, nothing given back", 0.025, false, Options{MaxEmitters: 1}},
		{"voxels 2.5 cm, usual, tiles of the whole distance", 0.025, true, Options{MaxEmitters: 1, TileShare: 1}},
		{"voxels 2.5 cm, usual", 0.025, true, Options{MaxEmitters: 1}},
		{"voxels 2.5 cm, fine", 0.025, true, Options{MaxEmitters: 1, Fine: true}},
		{"voxels 2.5 cm, fine, tiles of a fifth", 0.025, true, Options{MaxEmitters: 1, Fine: true, TileShare: 0.2}},
		{"voxels 1.25 cm, usual", 0.0125, true, Options{MaxEmitters: 1}},
		{"voxels 1.25 cm, fine, tiles of a fifth", 0.0125, true, Options{MaxEmitters: 1, Fine: true, TileShare: 0.2}},
	} {
		b.Run(c.name, func(b *testing.B) {
			worstRMS, worstCell, worstShare, solves := 0.0, 0.0, 0.0, 0
			done := cpu(b)
			for b.Loop() {
				for _, s := range some {
					opt := c.opt
					if c.back {
						opt.Ground, opt.Scattering, opt.Asymmetry = s.albedo, s.scattering, s.asymmetry
					}
					f := NewSolver(s.lamps, emptyBox(s.tank, c.cell), s.tank, opt).Solve(nil, nil, s.kd, nil)
					solves++
					for _, level := range []string{"mid", "bottom"} {
						want, _ := cells(b, s.name, level)
						got := f.BedMap(9, 9).PPFD
						if level == "mid" {
							got = f.DepthMap(9, 9, s.tank.WaterLevel/2).PPFD
						}
						rms, worst := compare(got, want)
						worstRMS, worstCell = max(worstRMS, rms), max(worstCell, worst)
					}
					x := f.Budget
					worstShare = max(worstShare, math.Abs(x.Water-s.shares.Water), math.Abs(x.Bed-s.shares.Bed), math.Abs(x.Walls-s.shares.Walls), math.Abs(x.Surface-s.shares.Surface))
				}
			}
			done()
			b.ReportMetric(100*worstRMS, "RMS%")
			b.ReportMetric(100*worstCell, "cell%")
			b.ReportMetric(100*worstShare, "share%")
			b.ReportMetric(float64(solves), "maps")
		})
	}
}
