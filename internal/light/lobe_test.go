package light

import (
	"fmt"
	"littoral/internal/check"
	"math"
	"testing"
)

// TestLobeLikeBeam lays a cosⁿ beam on as a table: the field must be that of the beam in the tables.
func TestLobeLikeBeam(t *testing.T) {
	tank := boxTank(0.9, 0.5, 0.45)
	for _, n := range []float64{1, 3, 11} {
		lamp := Source{X: 0.4, Y: 0.3, Height: 0.3, SizeX: 0.3, SizeY: 0.1, Flux: 500, N: n}
		byTable := lamp
		byTable.Lobe = tiltedBeam(n, 0, 0)
		want := NewSolver([]Source{lamp}, emptyBox(tank, 0.025), tank, Options{Ground: 0.1}).Solve(nil, nil, 0.3, nil)
		got := NewSolver([]Source{byTable}, emptyBox(tank, 0.025), tank, Options{Ground: 0.1}).Solve(nil, nil, 0.3, nil)
		rms, worst := compare(got.BedMap(18, 10).PPFD, want.BedMap(18, 10).PPFD)
		if rms > 0.004 || worst > 0.02 {
			t.Errorf("n %g: RMS %.4f, worst cell %.4f", n, rms, worst)
		}
		if math.Abs(got.Budget.Sum()-1) > 0.003 || math.Abs(byTable.Lobe.Down-1) > 1e-3 {
			t.Errorf("n %g: %+v, down %.4f", n, got.Budget, byTable.Lobe.Down)
		}
		check.Record(t, check.Row{
			Room: "light", What: fmt.Sprintf("a cosⁿ beam given as a table, n %g: light at the bed, RMS over mean", n), Source: "the same beam in closed form",
			Worst: fmt.Sprintf("%.2f %%", 100*rms), Within: "0.4 %",
		})
	}
}

// TestTiltedLamp holds a leaning beam to the inverse-square and cosine law about its own axis, without refraction, and to its mirror image.
func TestTiltedLamp(t *testing.T) {
	tank := boxTank(1.2, 0.8, 0.4)
	const n, tilt = 4.0, 25 * math.Pi / 180
	lamp := Source{X: 0.5, Y: 0.4, Height: 0.4, Flux: 200, N: n, Lobe: tiltedBeam(n, tilt, 0)}
	v := emptyBox(tank, 0.02)
	f := NewSolver([]Source{lamp}, v, tank, Options{Index: 1, BlackWalls: true}).Solve(nil, nil, 0, nil)
	worst, top := 0.0, 0.0
	each(v, func(i int, x, y, z float64) {
		dx, dy, down := x-lamp.X, y-lamp.Y, lamp.Height+tank.WaterLevel-z
		d := math.Sqrt(dx*dx + dy*dy + down*down)
		cos := max((dx*math.Sin(tilt)+down*math.Cos(tilt))/d, 0)
		want := AxialIntensity(lamp.Flux, n) * math.Pow(cos, n) * down / (d * d * d)
		worst, top = max(worst, math.Abs(f.PPFD[i]-want)), max(top, want)
	})
	if worst > 0.01*top {
		t.Errorf("worst voxel off by %.4f of the brightest", worst/top)
	}
	check.Record(t, check.Row{
		Room: "light", What: "a beam tilted by 25°, index 1: inverse-square and cosine law about its axis", Source: "closed form",
		Worst: fmt.Sprintf("%.2f %% of the brightest", 100*worst/top), Within: "1 %",
	})
	turned := lamp
	turned.X, turned.Lobe = tank.LX-lamp.X, tiltedBeam(n, tilt, math.Pi)
	a := NewSolver([]Source{lamp}, v, tank, Options{}).Solve(nil, nil, 0.3, nil).BedMap(12, 8)
	b := NewSolver([]Source{turned}, v, tank, Options{}).Solve(nil, nil, 0.3, nil).BedMap(12, 8)
	for iy := range 8 {
		for ix := range 12 {
			if p, q := a.PPFD[iy*12+ix], b.PPFD[iy*12+11-ix]; math.Abs(p-q) > 1e-3*(1+p) {
				t.Fatalf("cell %d,%d: %.3f, mirrored %.3f", ix, iy, p, q)
			}
		}
	}
}
