package main

import (
	"context"
	"encoding/json"
	"littoral/internal/findings"
	"littoral/internal/forecast"
	"littoral/internal/plan"
	"path/filepath"
	"testing"
)

// band is a range that a demo's page promises.
type band struct{ low, high float64 }

func (b band) holds(x float64) bool { return x >= b.low && x <= b.high }

// The demos are jobs to copy from, so each is held to what its page says: three years without danger or harm, readings in the ranges that
// its doses are meant for, a tank that looks thin on planting day and fills, and the hours of such a job (ranges of readings and hours:
// common practice, no source).
func TestDemosHoldWhatTheirPagesSay(t *testing.T) {
	for _, c := range []struct {
		name                          string
		plantings                     band
		species                       int  // at least
		bed                           band // µmol/m²/s, mean over the empty bed at full power
		first, week14, year, last     band // share of the bed under leaves on day 1, in week 14, month 12 and at the end
		nitrate, phosphate, potassium band // mg/L, monthly means from month 4 on
		iron                          band
		kh                            band // dKH, mean of the third year
		visit                         band // minutes a week, mean from month 4 to month 12
		floor                         float64
	}{
		{
			"quay-street-library",
			band{43, 47},
			30,
			band{93, 107},
			band{0.3, 0.45},
			band{0.62, 0.8},
			band{0.7, 0.85},
			band{0.75, 0.88},
			band{5, 15},
			band{0.5, 1.5},
			band{10, 20},
			band{0.05, 0.2},
			band{3, 5},
			band{110, 190},
			10e3,
		},
		{
			"assay-hall",
			band{25, 30},
			15,
			band{72, 90},
			band{0.3, 0.45},
			band{0.5, 0.75},
			band{0.6, 0.8},
			band{0.62, 0.8},
			band{5, 15},
			band{0.5, 1.5},
			band{8, 20},
			band{0.05, 0.2},
			band{3, 5},
			band{90, 170},
			15e3,
		},
		{
			"reading-desk",
			band{9, 9},
			8,
			band{30, 41},
			band{0.28, 0.4},
			band{0.28, 0.45},
			band{0.5, 0.68},
			band{0.6, 0.75},
			band{5, 20},
			band{0.2, 1.4},
			band{5, 12},
			band{0.005, 0.12},
			band{3, 5},
			band{15, 45},
			7.5e3,
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			file := filepath.Join("..", "..", "examples", c.name, "plan.yaml")
			p, err := plan.Load(file)
			if err != nil {
				t.Fatal(err)
			}
			f, err := forecast.Run(context.Background(), p, forecast.Options{Days: 1095, Seed: 1})
			if err != nil {
				t.Fatal(err)
			}
			for _, x := range findings.Read(f) {
				if x.Severity == findings.Danger || x.Severity == findings.Harm {
					t.Errorf("%s: %s %s %s", x.Severity, x.What, x.When, x.Because)
				}
			}
			kinds := map[string]bool{}
			for _, x := range p.Plants {
				kinds[x.Species] = true
			}
			if n := float64(len(p.Plants)); !c.plantings.holds(n) || len(kinds) < c.species {
				t.Errorf("%v plantings of %d species", n, len(kinds))
			}
			if f.Model.Facts.LoadPa > c.floor {
				t.Errorf("%.0f Pa on the floor", f.Model.Facts.LoadPa)
			}
			check := func(what string, b band, x float64) {
				t.Helper()
				if !b.holds(x) {
					t.Errorf("%s: %.3g, want %v to %v", what, x, b.low, b.high)
				}
			}
			mean := func(from, until int, of func(d *forecast.Day) float64) float64 {
				sum := 0.0
				for i := from; i < until; i++ {
					sum += of(&f.Days[i])
				}
				return sum / float64(until-from)
			}
			cover := func(d *forecast.Day) float64 { return d.Cover }
			check("cover on day 1", c.first, f.Days[1].Cover)
			check("cover in week 14", c.week14, mean(91, 98, cover))
			check("cover in month 12", c.year, mean(335, 365, cover))
			check("cover at the end", c.last, mean(1065, 1095, cover))
			for m := 120; m+30 <= 1095; m += 30 {
				check("nitrate", c.nitrate, mean(m, m+30, func(d *forecast.Day) float64 { return d.NO3 }))
				check("phosphate", c.phosphate, mean(m, m+30, func(d *forecast.Day) float64 { return d.PO4 }))
				check("potassium", c.potassium, mean(m, m+30, func(d *forecast.Day) float64 { return d.K }))
				check("iron", c.iron, mean(m, m+30, func(d *forecast.Day) float64 { return d.Fe }))
			}
			check("carbonate hardness", c.kh, mean(730, 1095, func(d *forecast.Day) float64 { return d.KH }))
			check("minutes a week", c.visit, 7*mean(120, 365, func(d *forecast.Day) float64 { return d.Minutes }))
			code, out, errs := run(t, "", "light", file, "--json")
			var bed struct {
				Mean float64 `json:"ppfd_mean"`
			}
			if err := json.Unmarshal([]byte(out), &bed); code != exitFine || err != nil {
				t.Fatalf("light: exit %d, %v: %s", code, err, errs)
			}
			check("light on the empty bed", c.bed, bed.Mean)
		})
	}
}
