package light

import (
	"fmt"
	"littoral/internal/check"
	"littoral/internal/geometry"
	"math"
	"testing"
)

// tracer made the reference values: absorption, Fresnel and refraction by chance, scattering by Henyey and Greenstein's phase function. Its own proof:
// photon balance exact to 1e-7, irradiance below a Lambertian panel, refracted absorbed spots and two walled tanks against quadrature
// within noise.
const tracer = "brute-force Monte-Carlo photon tracer, 50 million photons a scene (testdata/scenes.csv, cells.csv)"

// scene is a reference scene: an open box filled to the rim, lamps above it, a bottom that gives a tenth back.
type scene struct {
	name          string
	tank          geometry.Tank
	lamps         []Source
	kd            float64
	scattering    float64
	asymmetry     float64
	albedo        float64
	entering      float64
	firstAtBottom float64
	shares        Budget
}

func scenes(t testing.TB) []scene {
	t.Helper()
	var out []scene
	for _, r := range table(t, "scenes.csv") {
		x, y, z := num(t, r["length_cm"])/100, num(t, r["width_cm"])/100, num(t, r["water_depth_cm"])/100
		s := scene{
			name: r["scene"], tank: boxTank(x, y, z), kd: num(t, r["absorption_per_m"]),
			scattering: num(t, r["scattering_per_m"]), asymmetry: num(t, r["HG_g"]), albedo: num(t, r["bottom_albedo"]),
			entering: num(t, r["fraction_entering"]), firstAtBottom: num(t, r["fraction_first_arrivals_bottom"]),
			shares: Budget{
				Missed: num(t, r["fraction_missing_surface"]), Reflected: num(t, r["fraction_reflected_at_surface"]), Water: num(t, r["fraction_absorbed_in_water"]),
				Bed: num(t, r["fraction_absorbed_by_bottom"]), Walls: num(t, r["fraction_lost_through_walls"]), Surface: num(t, r["fraction_lost_through_surface"]),
			},
		}
		panel := func(at float64) Source {
			return Source{ID: "panel", X: x / 2, Y: at, Height: 0.3, SizeX: 0.6, SizeY: 0.2, Flux: 1000, N: 1}
		}
		switch r["lamp_set"] {
		case "one_panel":
			s.lamps = []Source{panel(y / 2)}
		case "two_panels":
			s.lamps = []Source{panel(y / 4), panel(3 * y / 4)}
		case "spot40":
			s.lamps = []Source{{ID: "spot", X: x / 2, Y: y / 2, Height: 0.5, Flux: 1000, N: beamOf(t, 40)}}
		default:
			t.Fatalf("unknown lamp set %q", r["lamp_set"])
		}
		out = append(out, s)
	}
	return out
}

// solvers keeps the solver of each tank, lamp set and scattering, since several scenes differ in the water only.
type solvers map[string]*Solver

func (m solvers) field(s scene, opt Options) *Field {
	opt.Ground, opt.Scattering, opt.Asymmetry = s.albedo, s.scattering, s.asymmetry
	key := fmt.Sprint(s.tank.LX, s.tank.LY, s.lamps, opt)
	if m[key] == nil {
		m[key] = NewSolver(s.lamps, emptyBox(s.tank, 0.025), s.tank, opt)
	}
	return m[key].Solve(nil, nil, s.kd, nil)
}

// cells are the 81 reference values of a scene at a level, with their standard errors.
func cells(t testing.TB, name, level string) (ppfd, stderr []float64) {
	t.Helper()
	ppfd, stderr = make([]float64, 81), make([]float64, 81)
	n := 0
	for _, r := range table(t, "cells.csv") {
		if r["scene"] == name && r["level"] == level {
			i := int(num(t, r["cell_y"]))*9 + int(num(t, r["cell_x"]))
			ppfd[i], stderr[i] = num(t, r["ppfd_umol_m2_s"]), num(t, r["standard_error_umol_m2_s"])
			n++
		}
	}
	if n != 0 && n != 81 {
		t.Fatalf("%s %s: %d cells", name, level, n)
	}
	if n == 0 {
		return nil, nil
	}
	return ppfd, stderr
}

// compare returns the RMS difference over the mean, and the worst cell's relative difference.
func compare(got, want []float64) (rms, worst float64) {
	mean, sq := mean(want), 0.0
	for i := range want {
		sq += (got[i] - want[i]) * (got[i] - want[i]) / float64(len(want))
		// A cell without light has no relative error: it is measured against a fiftieth of the mean at least.
		worst = max(worst, math.Abs(got[i]-want[i])/max(want[i], 0.02*mean))
	}
	return math.Sqrt(sq) / mean, worst
}

// TestSurfaceLikeTracer compares the light on the water, which nothing under water can change. The tracer's own noise is part of
// the difference: chi² over 81 cells is near 81 when noise is all there is.
func TestSurfaceLikeTracer(t *testing.T) {
	worstRMS, worstChi := 0.0, 0.0
	solved := solvers{}
	for _, s := range scenes(t) {
		want, noise := cells(t, s.name, "surface")
		if want == nil {
			continue
		}
		got := solved.field(s, Options{}).SurfaceMap(9, 9).PPFD
		rms, _ := compare(got, want)
		chi := 0.0
		for i := range got {
			// 0.1 % of our own; and cells that hardly any photon met have no usable error estimate.
			z := (got[i] - want[i]) / math.Hypot(noise[i], 0.001*want[i]+0.05)
			chi += z * z
			if math.Abs(z) > 4.5 {
				t.Errorf("%s: cell %d %.2f, tracer %.2f ± %.2f", s.name, i, got[i], want[i], noise[i])
			}
		}
		worstRMS, worstChi = max(worstRMS, rms), max(worstChi, chi)
		if rms > 0.004 || chi > 125 {
			t.Errorf("%s: RMS difference %.4f of the mean, chi² %.0f over 81 cells", s.name, rms, chi)
		}
	}
	check.Record(t, check.Row{
		Room: "light", What: "light on the water of 12 scenes, 9×9 cells, RMS over mean (the tracer's noise included)", Source: tracer,
		Worst: fmt.Sprintf("%.2f %%, chi² %.0f of 81", 100*worstRMS, worstChi), Within: "0.4 %, chi² 125 (with 0.1 % of our own)",
	})
}

// TestFirstArrivalsLikeTracer compares what reaches the bed for the first time in clear water, the tracer's own sum of it.
func TestFirstArrivalsLikeTracer(t *testing.T) {
	worst := 0.0
	solved := solvers{}
	for _, s := range scenes(t) {
		if s.scattering > 0 {
			continue
		}
		s.albedo = 0
		b := solved.field(s, Options{}).Budget
		worst = max(worst, math.Abs(b.Bed-s.firstAtBottom))
		if math.Abs(b.Bed-s.firstAtBottom) > 0.002 {
			t.Errorf("%s: bed %.4f, tracer %.4f", s.name, b.Bed, s.firstAtBottom)
		}
	}
	check.Record(t, check.Row{
		Room: "light", What: "first arrivals at the bottom of 36 clear scenes, share of emitted", Source: tracer,
		Worst: fmt.Sprintf("%.4f", worst), Within: "0.002",
	})
}

// TestScenesLikeTracer compares all scenes: the light at half depth and at the bottom cell by cell, and where the photons go. The usual setting
// is for the many solves of a forecast; its cells are held to the mean's measure only, since the far corners under a spot get a fiftieth of the mean.
func TestScenesLikeTracer(t *testing.T) {
	for _, c := range []struct {
		name string
		opt  Options
	}{{"usual", Options{}}, {"fine", Options{Fine: true}}} {
		for _, group := range []string{"clear", "scattering"} {
			worstRMS, worstCell, worstShare, worstSum := 0.0, 0.0, 0.0, 0.0
			solved := solvers{}
			for _, s := range scenes(t) {
				if (s.scattering > 0) != (group == "scattering") {
					continue
				}
				f := solved.field(s, c.opt)
				for _, level := range []string{"mid", "bottom"} {
					want, _ := cells(t, s.name, level)
					got := f.BedMap(9, 9).PPFD
					if level == "mid" {
						got = f.DepthMap(9, 9, s.tank.WaterLevel/2).PPFD
					}
					rms, worst := compare(got, want)
					t.Logf("%s %s %-6s RMS %.4f, worst cell %.4f, mean %+.4f", c.name, s.name, level, rms, worst, mean(got)/mean(want)-1)
					worstRMS, worstCell = max(worstRMS, rms), max(worstCell, worst)
					if rms > 0.03 || worst > 0.08 && c.opt.Fine {
						t.Errorf("%s %s %s: RMS difference %.4f of the mean, worst cell %.4f", c.name, s.name, level, rms, worst)
					}
				}
				b := f.Budget
				for what, diff := range map[string]float64{
					"missed": b.Missed - s.shares.Missed, "reflected": b.Reflected - s.shares.Reflected, "water": b.Water - s.shares.Water,
					"bed": b.Bed - s.shares.Bed, "walls": b.Walls - s.shares.Walls, "surface": b.Surface - s.shares.Surface,
				} {
					worstShare = max(worstShare, math.Abs(diff))
					if math.Abs(diff) > 0.01 {
						t.Errorf("%s %s: share %s off by %+.4f", c.name, s.name, what, diff)
					}
				}
				worstSum = max(worstSum, math.Abs(b.Sum()-1))
				if math.Abs(b.Sum()-1) > 0.001 {
					t.Errorf("%s %s: shares sum to %.5f: %+v", c.name, s.name, b.Sum(), b)
				}
			}
			what := fmt.Sprintf("%s scenes, %s setting: ", group, c.name)
			t.Logf("%s RMS %.4f, cell %.4f, share %.4f, sum %.5f", what, worstRMS, worstCell, worstShare, worstSum)
			for _, r := range []check.Row{
				{What: "PPFD at half depth and at the bottom, 9×9 cells, RMS over mean", Worst: fmt.Sprintf("%.2f %%", 100*worstRMS), Within: "3 %"},
				{What: "PPFD at half depth and at the bottom, worst cell", Worst: fmt.Sprintf("%.1f %%", 100*worstCell), Within: map[bool]string{true: "8 %", false: "not held"}[c.opt.Fine]},
				{What: "shares of photons, worst of six", Worst: fmt.Sprintf("%.4f", worstShare), Within: "0.01"},
				{What: "shares of photons sum to 1", Worst: fmt.Sprintf("%.5f", worstSum), Within: "0.001"},
			} {
				r.Room, r.Source, r.What = "light", tracer, what+r.What
				check.Record(t, r)
			}
		}
	}
}

func mean(xs []float64) float64 {
	sum := 0.0
	for _, x := range xs {
		sum += x / float64(len(xs))
	}
	return sum
}
