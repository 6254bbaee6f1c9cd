package forecast

import (
	"context"
	"littoral/internal/light"
	"math"
	"testing"
)

// TestLightOnLeaves holds the light on leaves by height to that of the plants that they belong to, in a snapshot and in a tank grown for a study.
func TestLightOnLeaves(t *testing.T) {
	const day = 70
	p := read(t, sized(1, 50))
	f, err := Run(context.Background(), p, Options{Days: day})
	if err != nil {
		t.Fatal(err)
	}
	s := f.Snapshots[len(f.Snapshots)-1]
	if s.Hours != 8 {
		t.Errorf("%v hours of full light, the lamps burn 8", s.Hours)
	}
	area, byLayer, sum, bySum := 0.0, 0.0, 0.0, 0.0
	for i := range s.Plants {
		x := &s.Plants[i]
		area += x.LeafM2
		sum += x.LeafM2 * x.PPFD
		if x.Shade < 0 || x.Shade > 1 || x.ShaderTakes > x.Shade+1e-9 || (x.ShaderTakes > 0) != (x.Shader != "" && x.Shade > 0) {
			t.Errorf("%s: others take %.3f of its light, %q %.3f", x.ID, x.Shade, x.Shader, x.ShaderTakes)
		}
		// Others' leaves scatter a little light upwards, so that full light is not quite the most.
		if !(x.FullPPFD > 0) || x.PPFD > 1.1*x.FullPPFD {
			t.Errorf("%s: %.1f µmol on its leaves, %.1f without plants", x.ID, x.PPFD, x.FullPPFD)
		}
	}
	for i, l := range s.Leaves {
		byLayer += l.LeafM2
		bySum += l.LeafM2 * l.PPFD
		if i > 0 && l.Planting == s.Leaves[i-1].Planting && l.Low <= s.Leaves[i-1].Low {
			t.Errorf("%s: %.3f m stands after %.3f m", l.Planting, l.Low, s.Leaves[i-1].Low)
		}
	}
	if math.Abs(byLayer/area-1) > 1e-6 || math.Abs(bySum/sum-1) > 1e-6 {
		t.Errorf("layers hold %.4f m² under %.4f µmol/s, plants %.4f m² under %.4f", byLayer, bySum, area, sum)
	}
	g, err := Grow(context.Background(), p, day, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range g.Plantings() {
		area, sum := 0.0, 0.0
		for _, leaf := range g.LayersOf(l.Planting) {
			area += leaf.LeafM2
			sum += leaf.LeafM2 * leaf.PPFD
		}
		if math.Abs(sum/area/l.PPFD-1) > 1e-6 || math.Abs(l.DLI-light.DLI(l.PPFD, 8, 1)) > 1e-9 {
			t.Errorf("%s: layers under %.2f µmol, planting under %.2f and %.3f mol a day", l.Planting, sum/area, l.PPFD, l.DLI)
		}
		if !(l.OfFull > 0 && l.OfFull < 1.05) || l.Takes > l.Shade+1e-9 {
			t.Errorf("%s: %.3f of full light, %.3f taken by others, %.3f by %s", l.Planting, l.OfFull, l.Shade, l.Takes, l.Shader)
		}
	}
}
