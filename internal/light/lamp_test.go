package light

import (
	"littoral/internal/catalog"
	"littoral/internal/plan"
	"littoral/internal/unit"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestSources(t *testing.T) {
	tank := boxTank(2.4, 0.9, 0.6)
	size := func(x, y unit.Length) [2]unit.Length { return [2]unit.Length{x * unit.CM, y * unit.CM} }
	p := &plan.Plan{Lamps: []plan.Lamp{
		{ID: "left", Kind: "panel", At: plan.PointCM{60, 45}, AboveWater: 25 * unit.CM, Size: size(55, 20), PPF: 180, Beam: unit.Angle(deg(100))},
		{Kind: "spot", At: plan.PointCM{120, 45}, AboveWater: 0.5, Lumens: 7000, LuxPerPPFD: 70},
		{ID: "strip", Kind: "bar", At: plan.PointCM{180, 20}, AboveWater: 0.1, Size: size(100, 6), PPF: 90},
	}}
	got, err := Sources(p, tank)
	if err != nil {
		t.Fatal(err)
	}
	want := []Source{
		{ID: "left", X: 0.6, Y: 0.45, Height: 0.25, SizeX: 0.55, SizeY: 0.2, Flux: 180, N: beamOf(t, 100)},
		{ID: "lamp-2", X: 1.2, Y: 0.45, Height: 0.5, Flux: 100, N: beamOf(t, 40)},
		{ID: "strip", X: 1.8, Y: 0.2, Height: 0.1, SizeX: 1, SizeY: 0.06, Flux: 90, N: 1},
	}
	for i := range want {
		g, w := got[i], want[i]
		if g.ID != w.ID {
			t.Errorf("lamp %d: id %q, want %q", i, g.ID, w.ID)
		}
		for _, c := range [][2]float64{{g.X, w.X}, {g.Y, w.Y}, {g.Height, w.Height}, {g.SizeX, w.SizeX}, {g.SizeY, w.SizeY}, {g.Flux, w.Flux}, {g.N, w.N}} {
			if math.Abs(c[0]-c[1]) > 1e-9 {
				t.Errorf("%s: %+v, want %+v", w.ID, g, w)
				break
			}
		}
	}
}

func TestSourcesOfCatalogueLamps(t *testing.T) {
	cat := catalog.Default()
	for _, l := range cat.AllLamps() {
		p := &plan.Plan{Cat: cat, Lamps: []plan.Lamp{{ID: "a", Model: l.Name, At: plan.PointCM{30, 20}, AboveWater: 0.2}}}
		got, err := Sources(p, boxTank(0.6, 0.4, 0.4))
		if err != nil {
			t.Errorf("%s: %v", l.Name, err)
			continue
		}
		if got[0].Flux != float64(l.PPF) || !(got[0].N > 0) {
			t.Errorf("%s: %+v from %+v", l.Name, got[0], l)
		}
		if (l.Kind == "panel" || l.Kind == "bar") && got[0].SizeX != float64(l.Size[0]) {
			t.Errorf("%s: size %v, catalogue %v", l.Name, got[0].SizeX, l.Size)
		}
	}
}

func TestSourcesRefuse(t *testing.T) {
	good := plan.Lamp{ID: "a", Kind: "panel", At: plan.PointCM{30, 20}, AboveWater: 0.2, Size: [2]unit.Length{0.3, 0.1}, PPF: 50}
	for _, c := range []struct {
		name   string
		change func(l *plan.Lamp)
		says   string
	}{
		{"no kind", func(l *plan.Lamp) { l.Kind = "" }, "state its kind"},
		{"unknown model", func(l *plan.Lamp) { l.Model = "nothing" }, `no lamp "nothing"`},
		{"panel without size", func(l *plan.Lamp) { l.Size = [2]unit.Length{} }, "add size"},
		{"negative size", func(l *plan.Lamp) { l.Kind, l.Size = "spot", [2]unit.Length{-1, 0} }, "cannot be negative"},
		{"in the water", func(l *plan.Lamp) { l.AboveWater = -0.1 }, "above the water"},
		{"no flux", func(l *plan.Lamp) { l.PPF = 0 }, "state ppf"},
		{"lumens only", func(l *plan.Lamp) { l.PPF, l.Lumens = 0, 5000 }, "lux-per-ppfd"},
		{"flat beam", func(l *plan.Lamp) { l.Beam = unit.Angle(deg(180)) }, "between 0° and 180°"},
		{"metres for centimetres", func(l *plan.Lamp) { l.At = plan.PointCM{3000, 20} }, "beside the tank"},
		{"not a number", func(l *plan.Lamp) { l.At[0] = math.NaN() }, "two plain numbers"},
		{"endless flux", func(l *plan.Lamp) { l.PPF = unit.PhotonFlux(math.Inf(1)) }, "photon flux"},
	} {
		l := good
		c.change(&l)
		_, err := Sources(&plan.Plan{Lamps: []plan.Lamp{good, l, good}}, boxTank(0.6, 0.4, 0.4))
		if err == nil || !strings.Contains(err.Error(), c.says) || !strings.HasPrefix(err.Error(), "lamps[1] (a): ") {
			t.Errorf("%s: %v, want lamps[1] and %q", c.name, err, c.says)
		}
	}
}

// TestTilesKeepTheFace checks what the tiles must share with the face they stand for: flux, middle and second moment.
func TestTilesKeepTheFace(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := Source{X: 0.3, Y: 0.2, SizeX: rapid.Float64Range(0.02, 1.5).Draw(t, "x"), SizeY: rapid.Float64Range(0.02, 0.5).Draw(t, "y")}
		share, mx, my, vx, vy := 0.0, 0.0, 0.0, 0.0, 0.0
		for _, tile := range s.Tiles(rapid.Float64Range(0.01, 2).Draw(t, "edge")) {
			dx, dy := tile.X-s.X, tile.Y-s.Y
			share += tile.Share
			mx, my = mx+tile.Share*dx, my+tile.Share*dy
			vx, vy = vx+tile.Share*dx*dx, vy+tile.Share*dy*dy
		}
		for _, c := range [][2]float64{{share, 1}, {mx, 0}, {my, 0}, {vx, s.SizeX * s.SizeX / 12}, {vy, s.SizeY * s.SizeY / 12}} {
			if math.Abs(c[0]-c[1]) > 1e-9 {
				t.Fatalf("%v, want %v", c[0], c[1])
			}
		}
	})
	if n := len(Source{}.Tiles(0.1)); n != 1 {
		t.Errorf("a point has %d tiles", n)
	}
}
