package light

import (
	"littoral/internal/geometry"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestRegrow holds a field that is carried over to other leaves to one that is solved for them, where a fifth of the leaves of a tank has moved.
func TestRegrow(t *testing.T) {
	opt := forecasts
	opt.Regrows = true
	library, desk := regrowTanks(t)
	for _, c := range []struct {
		name        string
		in          regrowTank
		leaf        func(x, y, z float64) float64 // after
		cover       float64
		single, all float64 // bounds of what single leaves and all together get, as a share
	}{
		{"a meadow a fifth denser", library, func(x, y, z float64) float64 { return 1.2 * library.meadow(x, y, z) }, 0, 0.02, 0.002},
		{"a meadow 5 cm higher", library, func(x, y, z float64) float64 { return library.meadow(x, y, z-0.05) }, 0, 0.05, 0.01},
		{"cut by 5 cm on the left half", library, func(x, y, z float64) float64 {
			if x < 1.2 {
				return library.meadow(x, y, z+0.05)
			}
			return library.meadow(x, y, z)
		}, 0, 0.02, 0.005},
		{"one plant more", library, func(x, y, z float64) float64 {
			if math.Hypot(x-1.5, y-0.2) < 0.1 && z < 0.4 {
				return 8
			}
			return library.meadow(x, y, z)
		}, 0, 0.01, 0.005},
		{"a floating tenth", library, library.meadow, 0.1, 0.005, 0.002},
		{"an odd number of columns", desk, func(x, y, z float64) float64 { return desk.meadow(x, y, z-0.03) }, 0, 0.05, 0.005},
	} {
		s := NewSolver(c.in.lamps, c.in.v, c.in.tank, opt)
		before, after, cover := make([]float64, len(c.in.v.Solid)), make([]float64, len(c.in.v.Solid)), make([]float64, c.in.v.NX*c.in.v.NY)
		each(c.in.v, func(i int, x, y, z float64) {
			if !c.in.v.Solid[i] {
				before[i], after[i] = c.in.meadow(x, y, z), c.leaf(x, y, z)
			}
		})
		for i := range cover {
			cover[i] = c.cover
		}
		f := s.Solve(before, nil, 0.3, nil)
		want := s.Fork().Solve(after, cover, 0.3, nil)
		got := s.Regrow(after, cover, 0.3, f, nil)
		single, all := onLeaves(after, got, want)
		still, _ := onLeaves(after, f, want)
		t.Logf("%s: single leaves %.4f (%.4f as it was), all %+.4f", c.name, single, still, all)
		if single > c.single || math.Abs(all) > c.all || single > 0.2*still {
			t.Errorf("%s: single leaves get another light by %.4f and all together by %+.4f, want at most %.4f and %.4f; the field as it was is off by %.4f", c.name, single, all, c.single, c.all, still)
		}
		// There and back again, onto a field that was there: what lies between wide voxels is not quite what it was.
		got = s.Regrow(before, nil, 0.3, got, got.CopyTo(nil))
		if rms, _ := compare(got.PPFD, f.PPFD); rms > 0.015 {
			t.Errorf("%s: there and back again it is off by %.2g", c.name, rms)
		}
	}
}

// onLeaves compares what leaves take of two fields: the mean difference of single leaves, and that of all together, as shares.
func onLeaves(leaf []float64, got, want *Field) (single, all float64) {
	sum := 0.0
	for i, l := range leaf {
		sum += l * want.PPFD[i]
		single += l * math.Abs(got.PPFD[i]-want.PPFD[i])
		all += l * (got.PPFD[i] - want.PPFD[i])
	}
	return single / sum, all / sum
}

type regrowTank struct {
	tank   geometry.Tank
	v      *geometry.Voxels
	lamps  []Source
	meadow func(x, y, z float64) float64
}

// regrowTanks are a large display, and a small tank of an odd number of voxels along each side.
func regrowTanks(t *testing.T) (display, desk regrowTank) {
	t.Helper()
	tank, v, lamps := library()
	display = regrowTank{tank, v, lamps, func(x, y, z float64) float64 {
		if y > 0.4 && z < 0.35 {
			return 6 + 4*math.Sin(9*x)
		}
		return 0
	}}
	tank = boxTank(0.625, 0.325, 0.325)
	v = emptyBox(tank, 0.025)
	bedTo(v, func(_, y float64) float64 { return 0.04 + 0.1*y })
	desk = regrowTank{tank, v, []Source{{X: 0.3, Y: 0.16, Height: 0.12, SizeX: 0.4, SizeY: 0.1, Flux: 60, N: 1}}, func(x, _, z float64) float64 {
		if x < 0.4 && z < 0.15 {
			return 10
		}
		return 0
	}}
	return display, desk
}

// Who has not solved yet, or was not told that it would be asked, solves.
func TestRegrowWithoutSolve(t *testing.T) {
	tank, v, lamps := library()
	opt := forecasts
	for _, regrows := range []bool{false, true} {
		opt.Regrows = regrows
		s := NewSolver(lamps, v, tank, opt)
		got, want := s.Regrow(meadow(v), nil, 0.3, nil, nil), s.Fork().Solve(meadow(v), nil, 0.3, nil)
		if !cmp.Equal(got.PPFD, want.PPFD) || got.Budget != want.Budget {
			t.Errorf("Regrows %v: another field than that of a Solve", regrows)
		}
	}
}

func BenchmarkRegrow(b *testing.B) {
	t, v, lamps := library()
	opt := forecasts
	opt.Regrows = true
	s := NewSolver(lamps, v, t, opt)
	leaf := meadow(v)
	grown := append([]float64(nil), leaf...)
	for i := range grown {
		grown[i] *= 1.1
	}
	f := s.Solve(leaf, nil, 0.3, nil)
	g := s.Regrow(grown, nil, 0.3, f, nil)
	b.ReportAllocs()
	defer cpu(b)()
	for b.Loop() {
		f, g = g, s.Regrow(leaf, nil, 0.3, g, f)
		leaf, grown = grown, leaf
	}
}
