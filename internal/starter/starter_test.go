package starter

import (
	"fmt"
	"strings"
	"testing"

	"littoral/internal/plan"
	"littoral/internal/unit"
)

// What is written must be a plan that the check passes without a word, for every energy level and from a desk tank to a hall tank.
func TestEveryStarterPassesTheCheck(t *testing.T) {
	for _, energy := range Energies {
		for _, size := range []struct{ l, w, h unit.Length }{{45, 28, 30}, {64, 34, 38}, {120, 50, 50}, {300, 90, 70}} {
			for _, dkh := range []float64{1, 6, 16} {
				w := Usual()
				w.Energy, w.Length, w.Width, w.Height = energy, size.l*unit.CM, size.w*unit.CM, size.h*unit.CM
				w.Alkalinity = unit.Alkalinity(dkh * float64(w.Alkalinity) / 6)
				w.Hardness = unit.Hardness(dkh * float64(w.Hardness) / 6)
				w.Planted = "2027-03-01"
				t.Run(fmt.Sprintf("%s %.0fx%.0fx%.0f cm, %.0f dKH", energy, float64(size.l), float64(size.w), float64(size.h), dkh), func(t *testing.T) {
					src, err := Plan(w)
					if err != nil {
						t.Fatal(err)
					}
					p, err := plan.Parse(src, "plan.yaml", nil)
					if err != nil {
						t.Fatalf("%v\n%s", err, src)
					}
					for _, warning := range p.Warnings {
						t.Errorf("%s", warning)
					}
				})
			}
		}
	}
}

func TestPlanRefuses(t *testing.T) {
	for _, c := range []struct {
		name string
		bend func(*Wish)
		want string
	}{
		{"unknown energy", func(w *Wish) { w.Energy = "wild" }, "none of low, medium and high"},
		{"no name", func(w *Wish) { w.Name = " " }, "needs a name"},
		{"no height", func(w *Wish) { w.Height = 0 }, "above zero"},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := Usual()
			c.bend(&w)
			if _, err := Plan(w); err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want an error with %q", err, c.want)
			}
		})
	}
}
