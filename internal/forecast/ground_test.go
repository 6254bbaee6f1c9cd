package forecast

import (
	"littoral/internal/geometry"
	"math"
	"testing"
)

// The rise between two columns lies between theirs, at the middle of a column it is the column's, and places without bed tell of their neighbours.
func TestRiseLiesBetweenColumns(t *testing.T) {
	c := &geometry.Columns{Cell: 0.05, NX: 3, NY: 2, Area: []float64{1, 1, 0, 1, 1, 0}, Top: []float64{0.1, 0.1, 0, 0.1, 0.1, 0}}
	f := &Forecast{Columns: c, Ground: []Ground{{Day: 0, Top: []float64{0.1, 0.1, 0, 0.1, 0.1, 0}}, {Day: 28, Top: []float64{0.12, 0.09, 0, 0.12, 0.09, 0}}}}
	if (&Forecast{Columns: c}).Rise(5) != nil {
		t.Error("a forecast that keeps no ground tells of a rise")
	}
	if x := f.Rise(27)(0.025, 0.025); x != 0 {
		t.Errorf("before the bed was looked at again it has risen by %g", x)
	}
	rise := f.Rise(40)
	for _, p := range []struct{ x, y, want float64 }{{0.025, 0.025, 0.02}, {0.075, 0.075, -0.01}, {0.05, 0.05, 0.005}, {0, 0, 0.02}, {0.1, 0.03, -0.01}, {0.15, 0.05, 0}} {
		if got := rise(p.x, p.y); math.Abs(got-p.want) > 1e-12 {
			t.Errorf("at %g, %g: %g, want %g", p.x, p.y, got, p.want)
		}
	}
}

// Every four weeks and on the last day the forecast keeps how the bed lies, and on the first day it lies as it was laid.
func TestGroundIsKept(t *testing.T) {
	f := mustRun(t, small, Options{Days: 60})
	var days []int
	for _, g := range f.Ground {
		days = append(days, g.Day)
	}
	if len(days) != 4 || days[0] != 0 || days[1] != 28 || days[3] != 60 {
		t.Fatalf("ground of days %v", days)
	}
	for i, top := range f.Ground[0].Top {
		if f.Columns.Area[i] > 0 && math.Abs(top-f.Columns.Top[i]) > 1e-12 {
			t.Errorf("column %d is laid at %g and lies at %g", i, f.Columns.Top[i], top)
		}
	}
	if f.Ground[0].Down != 0 || f.Ground[3].Down < f.Ground[1].Down {
		t.Errorf("litres that came down: %v", f.Ground)
	}
}
