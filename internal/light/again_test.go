package light

import (
	"fmt"
	"littoral/internal/check"
	"littoral/internal/geometry"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// TestSolvesAgainTheSame solves canopies one after the other with one solver: each field is, to the last bit, that of a solver that has never
// solved anything else, whatever has stayed the same in between.
func TestSolvesAgainTheSame(t *testing.T) {
	tank := boxTank(0.6, 0.4, 0.35)
	v := emptyBox(tank, 0.025)
	block(v, func(x, y, z float64) bool { return math.Hypot(x-0.2, y-0.1) < 0.06 && z < 0.2 })
	lamps := []Source{{X: 0.25, Y: 0.2, Height: 0.1, SizeX: 0.3, SizeY: 0.1, Flux: 60, N: 1}}
	for _, opt := range []Options{{}, forecasts} {
		tables := NewSolver(lamps, v, tank, opt)
		rapid.Check(t, func(t *rapid.T) {
			s := tables.Fork()
			var f *Field
			leaf, cover, kd := make([]float64, len(v.Solid)), make([]float64, v.NX*v.NY), 0.3
			for range rapid.IntRange(2, 4).Draw(t, "solves") {
				// Leaves change between two heights, or only the water does, or what floats, or nothing.
				switch rapid.IntRange(0, 4).Draw(t, "change") {
				case 0:
					kd = rapid.Float64Range(0, 1).Draw(t, "kd")
				case 1:
					cover[rapid.IntRange(0, len(cover)-1).Draw(t, "column")] = rapid.Float64Range(0, 1).Draw(t, "cover")
				case 2, 3:
					low := rapid.Float64Range(0, 0.3).Draw(t, "low")
					high, by := low+rapid.Float64Range(0, 0.2).Draw(t, "high"), rapid.Float64Range(0, 2).Draw(t, "by")
					each(v, func(i int, x, _, z float64) {
						if x < 0.4 && z >= low && z < high {
							leaf[i] = by * (leaf[i] + 1)
						}
					})
				}
				f = s.Solve(leaf, cover, kd, f)
				afresh := s.Fork().Solve(leaf, cover, kd, nil)
				if diff := cmp.Diff(afresh.Budget, f.Budget); diff != "" {
					t.Fatalf("budget: %s", diff)
				}
				if !cmp.Equal(afresh.PPFD, f.PPFD) || !cmp.Equal(afresh.Bed, f.Bed) {
					t.Fatal("another field than that of a solver that starts afresh")
				}
			}
		})
		// Water that takes what leaves took before.
		leaf := make([]float64, len(v.Solid))
		for i := range leaf {
			leaf[i] = 3
		}
		tables.Solve(leaf, nil, 0, nil)
		if f, afresh := tables.Solve(nil, nil, 3, nil), tables.Fork().Solve(nil, nil, 3, nil); !cmp.Equal(afresh.PPFD, f.PPFD) || f.Budget != afresh.Budget {
			t.Error("after leaves that took as much, water gives another field than that of a solver that starts afresh")
		}
	}
}

// TestTint holds a field that is carried over to other water to one that is solved in it, over empty and planted tanks.
func TestTint(t *testing.T) {
	tank, v, lamps := library()
	_, cylinder := round120(0.6, 0.6)
	for _, c := range []struct {
		name        string
		tank        geometry.Tank
		v           *geometry.Voxels
		lamps       []Source
		leaf        []float64
		more        float64
		rms, column float64
	}{
		{"empty, a little more", tank, v, lamps, nil, 0.05, 0.001, 0.01},
		{"meadow, a little more", tank, v, lamps, meadow(v), 0.05, 0.001, 0.01},
		{"meadow, a tenth more", tank, v, lamps, meadow(v), 0.1, 0.001, 0.02},
		{"meadow, a tenth less", tank, v, lamps, meadow(v), -0.1, 0.001, 0.02},
		{"meadow, a metre's worth more", tank, v, lamps, meadow(v), 1, 0.02, 0.2},
		{"round", func() geometry.Tank { t, _ := round120(0.6, 0.6); return t }(), cylinder, []Source{{X: 0.6, Y: 0.6, Height: 0.3, SizeX: 0.4, SizeY: 0.2, Flux: 300, N: 1}}, nil, 0.1, 0.001, 0.01},
	} {
		const kd = 0.3
		s := NewSolver(c.lamps, c.v, c.tank, forecasts)
		f, want := s.Solve(c.leaf, nil, kd, nil), s.Solve(c.leaf, nil, kd+c.more, nil)
		s.Tint(f, kd+c.more)
		rms, _ := compare(f.PPFD, want.PPFD)
		bedRMS, worst := compare(f.Bed, want.Bed)
		t.Logf("%s: RMS %.5f in the water, %.5f at the bed, worst column %.4f", c.name, rms, bedRMS, worst)
		if max(rms, bedRMS) > c.rms || worst > c.column {
			t.Errorf("%s: RMS %.5f in the water, %.5f at the bed, worst column %.4f", c.name, rms, bedRMS, worst)
		}
		// There and back again.
		s.Tint(f, kd)
		again := s.Solve(c.leaf, nil, kd, nil)
		if rms, _ := compare(f.PPFD, again.PPFD); rms > 5e-5 {
			t.Errorf("%s: tinted there and back it is off by %.6f", c.name, rms)
		}
		check.Record(t, check.Row{
			Room: "light", What: fmt.Sprintf("a field carried over to water of %+.2g /m more extinction against a solve in it: %s", c.more, c.name), Source: "own full solve",
			Worst: fmt.Sprintf("%.3f %% RMS, %.1f %% worst column", 100*max(rms, bedRMS), 100*worst), Within: fmt.Sprintf("%.2g %%, %.2g %%", 100*c.rms, 100*c.column),
		})
	}
}

// TestNoFlicker moves a canopy by a little in many ways, as a week does: the field moves in proportion and by no more.
func TestNoFlicker(t *testing.T) {
	tank, v, lamps := library()
	s := NewSolver(lamps, v, tank, forecasts)
	leaf := meadow(v)
	base := s.Solve(leaf, nil, 0.3, nil)
	top := 0.0
	for _, e := range base.PPFD {
		top = max(top, e)
	}
	rapid.Check(t, func(t *rapid.T) {
		// A ball of leaves more (or less), of optical depth d across.
		x, y, z := rapid.Float64Range(0.1, 2.3).Draw(t, "x"), rapid.Float64Range(0.1, 0.8).Draw(t, "y"), rapid.Float64Range(0.2, 0.55).Draw(t, "z")
		d := rapid.Float64Range(1e-4, 0.05).Draw(t, "depth")
		const radius = 0.08
		change := func(by float64) []float64 {
			out := append([]float64(nil), leaf...)
			each(v, func(i int, vx, vy, vz float64) {
				if !v.Solid[i] && math.Hypot(math.Hypot(vx-x, vy-y), vz-z) < radius {
					out[i] += by * d / (2 * radius)
				}
			})
			return out
		}
		one, two := s.Solve(change(1), nil, 0.3, nil), s.Solve(change(2), nil, 0.3, nil)
		for i, e := range base.PPFD {
			a, b := one.PPFD[i]-e, two.PPFD[i]-e
			// No voxel loses more than the ball can take on the flattest way through it, nor gains more than it can scatter.
			if a < -1.1*d*e-1e-4*top || a > 0.1*d*top {
				t.Fatalf("voxel %d of %.4g changes by %.4g for an optical depth of %.4g", i, e, a, d)
			}
			if math.Abs(b-2*a) > d*math.Abs(b)+2e-5*top {
				t.Fatalf("voxel %d: twice the leaves change it by %.6g, once by %.6g", i, b, a)
			}
		}
	})
	check.Record(t, check.Row{
		Room: "light", What: "a ball of leaves of optical depth d set anywhere into a planted tank: no voxel loses more than 1.1 d of its light, twice the leaves change it twice as much",
		Source: "Beer–Lambert's bound", Worst: "held", Within: "held, and to the share d",
	})
}

// TestEndlessCanopyReflects holds what a canopy without end throws back of light from straight above to Chandrasekhar's solution for a half-space that
// scatters evenly, R = 1 − H(1) √(1−ϖ) (Radiative Transfer 1960, §§ 38 and 39), and to the canopy reflection of Goudriaan and van Laar 1994
// for leaves that lie anyhow: (1 − √(1−σ))/(1 + √(1−σ)) · 2K/(1+K) with K = 0.5. Both tend to Beer–Lambert's law, that throws nothing back, as leaves turn black.
func TestEndlessCanopyReflects(t *testing.T) {
	tank := boxTank(3, 3, 0.8)
	v := emptyBox(tank, 0.05)
	lamp := []Source{{X: 1.5, Y: 1.5, Height: 4, SizeX: 0.1, SizeY: 0.1, Flux: 100, N: 60}}
	leaf := make([]float64, len(v.Solid))
	for i := range leaf {
		leaf[i] = 8
	}
	worst := 0.0
	for _, sigma := range []float64{0, 0.1, 0.2, 0.4} {
		b := NewSolver(lamp, v, tank, Options{Index: 1, Leaf: sigma, Fine: true, MaxEmitters: 1}).Solve(leaf, nil, 0, nil).Budget
		got := (b.Surface + b.Reflected) / (1 - b.Missed)
		want := 1 - hFunction(sigma)*math.Sqrt(1-sigma)
		root := math.Sqrt(1 - sigma)
		practice := (1 - root) / (1 + root) * 2 * 0.5 / 1.5
		t.Logf("leaves that scatter %.1f: %.4f thrown back; Chandrasekhar %.4f, Goudriaan %.4f; sum %.5f", sigma, got, want, practice, b.Sum())
		worst = max(worst, math.Abs(got-want))
		if math.Abs(got-want) > 0.005 || math.Abs(got-practice) > 0.008 {
			t.Errorf("leaves that scatter %.1f throw %.4f back, want %.4f; by Goudriaan %.4f", sigma, got, want, practice)
		}
	}
	check.Record(t, check.Row{
		Room: "light", What: "what an endless canopy throws back of light from above, leaves scattering 0 to 0.4: share", Source: "Chandrasekhar 1960, H-function solved in the test",
		Worst: fmt.Sprintf("%.4f", worst), Within: "0.005",
	})
}

// hFunction is Chandrasekhar's H(1) for even scattering of albedo w, by iteration of its integral equation.
func hFunction(w float64) float64 {
	const n = 200
	mu := func(i int) float64 { return (float64(i) + 0.5) / n }
	h := make([]float64, n)
	for i := range h {
		h[i] = 1
	}
	at := func(x float64) float64 {
		sum := 0.0
		for j := range h {
			sum += h[j] / (x + mu(j)) / n
		}
		return 1 / (1 - w/2*x*sum)
	}
	for range 60 {
		next := make([]float64, n)
		for i := range next {
			next[i] = at(mu(i))
		}
		h = next
	}
	return at(1)
}

// TestReciprocity swaps source and receiver: without refraction, what a small Lambertian lamp at A sends to B on the bed through a smooth canopy comes back
// from a lamp at B to A through the canopy turned upside down, since both go the same way in the same leaves.
func TestReciprocity(t *testing.T) {
	const clearance = 0.1 // m from the lamp to the surface, and from the bed to the lowest leaves
	tank := boxTank(1, 0.6, 0.5)
	v := emptyBox(tank, 0.025)
	canopy := func(x, y, z float64) float64 {
		if z < clearance || z > tank.WaterLevel {
			return 0
		}
		up := (z - clearance) / (tank.WaterLevel - clearance)
		return 5 * math.Sin(math.Pi*up) * (1 + 0.7*math.Sin(3*x+2*up)) * (1 + 0.3*math.Cos(4*y))
	}
	upright, turned := make([]float64, len(v.Solid)), make([]float64, len(v.Solid))
	each(v, func(i int, x, y, z float64) {
		upright[i], turned[i] = canopy(x, y, z), canopy(x, y, tank.WaterLevel+clearance-z)
	})
	column := func(x, y float64) int { return int(y/v.Cell)*v.NX + int(x/v.Cell) }
	worst := 0.0
	for _, c := range [][4]float64{{0.2125, 0.2125, 0.7125, 0.3875}, {0.3125, 0.4125, 0.4125, 0.1875}, {0.6125, 0.2875, 0.6125, 0.3375}, {0.8125, 0.1125, 0.4875, 0.4875}} {
		send := func(x, y float64, leaf []float64, toX, toY float64) float64 {
			lamp := []Source{{X: x, Y: y, Height: clearance, Flux: 100, N: 1}}
			return NewSolver(lamp, v, tank, Options{Index: 1, BlackWalls: true}).Solve(leaf, nil, 0, nil).Bed[column(toX, toY)]
		}
		there, back := send(c[0], c[1], upright, c[2], c[3]), send(c[2], c[3], turned, c[0], c[1])
		bare := send(c[0], c[1], nil, c[2], c[3])
		t.Logf("%v: %.5f there, %.5f back, %.5f without leaves", c, there, back, bare)
		// By the optical way, as in TestInfiniteCanopyIsBeerLambert.
		err := math.Abs(math.Log(there/back)) / max(1, math.Log(bare/there))
		worst = max(worst, err)
		if err > 0.02 || there > 0.75*bare {
			t.Errorf("%v: %.5f there, %.5f back, %.5f without leaves", c, there, back, bare)
		}
	}
	check.Record(t, check.Row{
		Room: "light", What: "source and receiver changed over through a smooth canopy, index 1: difference of the optical depth", Source: "reciprocity",
		Worst: fmt.Sprintf("%.1f %%", 100*worst), Within: "2 %",
	})
}
