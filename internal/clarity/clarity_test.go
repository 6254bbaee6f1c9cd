package clarity

import (
	"fmt"
	"littoral/internal/check"
	"math"
	"testing"
)

func TestPublishedSights(t *testing.T) {
	// Duntley's law and the black-disk constant, worked in closed form: Zaneveld & Pegau (2003), Optics Express 11, 2997.
	worst := 0.0
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"contrast over 2 m at c 0.3", Contrast(0.3, 2), 0.5488},
		{"contrast over 2 m at c 0.8", Contrast(0.8, 2), 0.2019},
		{"black disk at c 0.5", Sighting(0.5), 9.6},
	} {
		d := math.Abs(c.got - c.want)
		worst = math.Max(worst, d)
		if d > 5e-5 {
			t.Errorf("%s: %g, want %g", c.name, c.got, c.want)
		}
	}
	check.Record(t, check.Row{
		Room: "clarity", What: "contrast along a path, black-disk distance",
		Source: "Zaneveld & Pegau 2003; Optics Express 2007", Worst: fmt.Sprintf("%.1g", worst), Within: "5e-5",
	})
}

func TestLongPathsLookCloudier(t *testing.T) {
	for _, suspended := range []float64{0, 0.2, 1, 5} {
		c := Beam(suspended, 0)
		if Contrast(c, 2.4) >= Contrast(c, 0.9) {
			t.Errorf("suspended %g mg/L: end to end keeps no less contrast than front to back", suspended)
		}
		if Beam(suspended+1, 0) <= c || Beam(suspended, 0.5) <= c {
			t.Errorf("suspended %g mg/L: more matter or colour must take more light", suspended)
		}
	}
}

func TestClassesInOrder(t *testing.T) {
	want := []string{"crystal clear", "clear", "slightly hazy", "cloudy"}
	for i, c := range []float64{0.19, 0.3, 0.7, 1} {
		if got := Class(c); got != want[i] {
			t.Errorf("c %g: %q, want %q", c, got, want[i])
		}
	}
}
