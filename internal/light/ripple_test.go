package light

import (
	"fmt"
	"littoral/internal/check"
	"littoral/internal/geometry"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// TestRippledReflection holds the mean over facets to published values and to its limits.
func TestRippledReflection(t *testing.T) {
	diffuse := func(ripples float64) float64 {
		const steps = 2000
		sum := 0.0
		for i := range steps {
			a := (float64(i) + 0.5) / steps * math.Pi / 2
			sum += RippledFresnel(a, 1, IndexWater, ripples) * math.Sin(2*a) * math.Pi / 2 / steps
		}
		return sum
	}
	still, breeze, gale := diffuse(0), diffuse(0.003+0.00512*5), diffuse(0.003+0.00512*20)
	t.Logf("uniform sky: still %.4f, 5 m/s %.4f, 20 m/s %.4f", still, breeze, gale)
	if math.Abs(still-0.0664) > 0.0001 || !(breeze < still && gale < breeze) || gale < 0.05 || gale > 0.06 {
		t.Errorf("a uniform sky is reflected by %.4f still, %.4f in 5 m/s and %.4f in 20 m/s", still, breeze, gale)
	}
	check.Record(t, check.Row{
		Room: "light", What: "rippled surface under a uniform sky: still, 20 m/s of wind", Source: "0.066 still, falling to between 0.05 and 0.06 in strong wind (Preisendorfer and Mobley 1986; slopes of Cox and Munk 1954)",
		Memory: true, Worst: fmt.Sprintf("%.4f, %.4f", still, gale), Within: "0.0001; 0.05 to 0.06",
	})
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(0, 1.3).Draw(t, "angle")
		flat := RippledFresnel(a, 1, IndexWater, 0)
		if got := RippledFresnel(a, 1, IndexWater, 1e-9); math.Abs(got-flat) > 1e-6 {
			t.Fatalf("nearly still %v, still %v", got, flat)
		}
		if got := RippledFresnel(a, 1, IndexWater, rapid.Float64Range(0, 0.1).Draw(t, "ripples")); !(got > 0 && got < 1) {
			t.Fatalf("reflects %v", got)
		}
	})
}

// compareLit is compare with cells measured against a tenth of the mean at least: behind a shade's edge there is next to nothing.
func compareLit(got, want []float64) (rms, worst float64) {
	rms, _ = compare(got, want)
	for i := range want {
		worst = max(worst, math.Abs(got[i]-want[i])/max(want[i], 0.1*mean(want)))
	}
	return rms, worst
}

// TestRipplesAndEdgesLikeTracer follows photons through chance facets and past shades and hoods.
func TestRipplesAndEdgesLikeTracer(t *testing.T) {
	const photons = 3_000_000
	panel := func(x, y, h float64) Source {
		return Source{X: x, Y: y, Height: h, SizeX: 0.6, SizeY: 0.2, N: 1, Flux: 1000}
	}
	spot := Source{X: 0.45, Y: 0.225, Height: 0.3, N: 30, Flux: 1000}
	wide, small := boxTank(1.2, 0.6, 0.55), boxTank(0.9, 0.45, 0.42)
	off := panel(0.3, 0.3, 0.3)
	worst := map[string][3]float64{}
	for _, c := range []struct {
		group, name string
		tank        geometry.Tank
		lamp        Source
		ripples     float64
	}{
		{"ripples", "panel, gentle", wide, panel(0.6, 0.3, 0.3), 0.005},
		{"ripples", "panel, strong, off the middle", wide, off, 0.03},
		{"ripples", "narrow spot, strong", small, spot, 0.03},
		{"edges", "panel with a shade", wide, panel(0.6, 0.3, 0.3).shaded(0.08, 0.6, 0.2), 0},
		{"edges", "spot with a shade", small, spot.shaded(0.15, 0.06, 0.06), 0},
		{"edges", "panel half outside a hood", wide, panel(0.1, 0.3, 0.3).hooded(wide, 0.15), 0},
		{"edges", "shade, hood and ripples", wide, off.shaded(0.05, 0.6, 0.2).hooded(wide, 0.1), 0.01},
	} {
		p := photonTracer{tank: c.tank, lamp: c.lamp, kd: 0.2, albedo: 0.1, nx: 9, ny: 9, ripples: c.ripples}
		p.run(photons)
		f := NewSolver([]Source{c.lamp}, emptyBox(c.tank, 0.025), c.tank, Options{Fine: true, MaxEmitters: 1, Ground: 0.1, Ripples: c.ripples}).Solve(nil, nil, 0.2, nil)
		want, bed := make([]float64, 81), 0.0
		for i, n := range p.bed {
			want[i] = n / photons * 1000 / (c.tank.LX * c.tank.LY / 81)
			bed += n / photons
		}
		rms, cell := compareLit(f.BedMap(9, 9).PPFD, want)
		b := f.Budget
		part := max(math.Abs(b.Bed-0.9*bed), math.Abs(b.Walls-p.walls/photons), math.Abs(b.Surface-p.surface/photons), math.Abs(b.Reflected-p.reflected/photons))
		t.Logf("%s: RMS %.4f, cell %.4f, share %.4f (bed %+.4f walls %+.4f of %.4f surface %+.4f reflected %+.4f), sum %.5f", c.name, rms, cell, part, b.Bed-0.9*bed, b.Walls-p.walls/photons, p.walls/photons, b.Surface-p.surface/photons, b.Reflected-p.reflected/photons, b.Sum())
		if rms > 0.03 || cell > 0.1 || part > 0.01 || math.Abs(b.Sum()-1) > 0.001 {
			t.Errorf("%s: RMS %.4f of the mean, worst cell %.4f, worst share %.4f, sum %.5f", c.name, rms, cell, part, b.Sum())
		}
		w := worst[c.group]
		worst[c.group] = [3]float64{max(w[0], rms), max(w[1], cell), max(w[2], part)}
	}
	for group, w := range worst {
		what := map[string]string{"ripples": "rippled surface (mean square slope 0.005 to 0.03), 3 tanks", "edges": "lamp shades and hoods, 4 tanks"}[group]
		check.Record(t, check.Row{
			Room: "light", What: what + ": light at the bed, 9×9 cells, RMS over mean; worst cell (over a tenth of the mean at least); worst share", Source: ourTracer,
			Worst: fmt.Sprintf("%.1f %%; %.0f %%; %.4f", 100*w[0], 100*w[1], w[2]), Within: "3 %; 10 %; 0.01",
		})
	}
}

// TestRippledLimits: nearly no ripples are none, and mirrored lamps give mirrored light, with edges and ripples.
func TestRippledLimits(t *testing.T) {
	tank := boxTank(0.9, 0.45, 0.42)
	v := emptyBox(tank, 0.025)
	solve := func(s Source, ripples float64) *Field {
		return NewSolver([]Source{s}, v, tank, Options{Ripples: ripples}).Solve(nil, nil, 0.2, nil)
	}
	lamp := Source{X: 0.3, Y: 0.2, Height: 0.25, SizeX: 0.3, SizeY: 0.1, N: 1, Flux: 100}
	still := solve(lamp, 0)
	nearly := solve(lamp, 1e-9)
	for i := range still.PPFD {
		if math.Abs(still.PPFD[i]-nearly.PPFD[i]) > 1e-3*(still.PPFD[i]+0.1) {
			t.Fatalf("voxel %d: still %v, nearly still %v", i, still.PPFD[i], nearly.PPFD[i])
		}
	}
	other := lamp
	other.X = tank.LX - lamp.X
	for _, s := range [][2]Source{{lamp, other}, {lamp.shaded(0.1, 0.3, 0.1), other.shaded(0.1, 0.3, 0.1)}, {lamp.hooded(tank, 0.2), other.hooded(tank, 0.2)}} {
		a, b := solve(s[0], 0.01), solve(s[1], 0.01)
		for iz := range v.NZ {
			for iy := range v.NY {
				for ix := range v.NX {
					p, q := a.PPFD[(iz*v.NY+iy)*v.NX+ix], b.PPFD[(iz*v.NY+iy)*v.NX+v.NX-1-ix]
					if math.Abs(p-q) > 1e-3*(p+0.1) {
						t.Fatalf("layer %d, row %d, column %d: %v, mirrored %v", iz, iy, ix, p, q)
					}
				}
			}
		}
	}
}
