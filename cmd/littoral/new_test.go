package main

import (
	"fmt"
	"littoral/internal/findings"
	"littoral/internal/forecast"
	"littoral/internal/plan"
	"littoral/internal/unit"
	"testing"
)

// A plan that the program itself writes must not run into what the program warns of: over five months, for every style and for tanks
// of every shape and level, its forecast finds no danger and no harm, and plants cover no less of the bed than once they had settled in.
func TestNewPlansForecastWell(t *testing.T) {
	const days = 150
	tanks := []struct {
		name string
		a    plan.Answers
	}{
		{"high box", plan.Answers{Shape: "box", Inside: plan.Inside{Length: 1.2, Width: 0.5, Height: 0.5}, Light: "high", CO2: true}},
		{"low box", plan.Answers{Shape: "box", Inside: plan.Inside{Length: 0.6, Width: 0.3, Height: 0.36}, Light: "low"}},
		{"medium cylinder", plan.Answers{Shape: "cylinder", Inside: plan.Inside{Diameter: 1, Height: 0.7}, Light: "medium", CO2: true}},
		{"medium bow-front", plan.Answers{Shape: "bow-front", Inside: plan.Inside{Length: 1.5, Width: 0.5, Height: 0.6, Bow: 0.12}, Light: "medium", CO2: true}},
		{"medium corner without gas", plan.Answers{
			Shape: "polygon", Inside: plan.Inside{Height: 0.55}, Light: "medium",
			Outline: []plan.PointCM{{0, 0}, {180, 0}, {180, 60}, {60, 60}, {60, 160}, {0, 160}},
		}},
	}
	for _, style := range plan.Styles() {
		for _, tank := range tanks {
			a := tank.a
			a.Name, a.Style = tank.name, style
			a.TapKH, a.TapGH, a.TapNitrate = unit.FromDKH(6), unit.FromDGH(10), 10
			t.Run(fmt.Sprintf("%s, %s", tank.name, style), func(t *testing.T) {
				t.Parallel()
				src, err := plan.NewPlan(a)
				if err != nil {
					t.Fatal(err)
				}
				p, err := plan.Parse(src, "plan.yaml", nil)
				if err != nil {
					t.Fatal(err)
				}
				f, err := forecast.Run(t.Context(), p, forecast.Options{Days: days, Seed: 1})
				if err != nil {
					t.Fatal(err)
				}
				for _, x := range findings.Read(f) {
					if x.Severity == findings.Danger || x.Severity == findings.Harm {
						t.Errorf("%s %s (%s) %s", x.When, x.What, x.Severity, x.Because)
					}
				}
				// Leaves that grew in air melt away in the first weeks; from then on it must close.
				settled, last := f.Days[56].Cover, f.Days[days].Cover
				if last < settled {
					t.Errorf("leaves cover %.0f %% of the bed on day 56 and %.0f %% on day %d", 100*settled, 100*last, days)
				}
				t.Logf("cover %.2f, %.2f, %.2f", f.Days[0].Cover, settled, last)
			})
		}
	}
}
