package papers

import (
	"littoral/internal/plan"
	"littoral/internal/unit"
	"littoral/internal/water"
	"math"
	"strings"
	"testing"
)

// TestMissingDose: what the card adds to a week's doses moves the mean of a week, stepped through, to the middle of the band.
func TestMissingDose(t *testing.T) {
	band := plan.Band{Low: 10, High: 30, House: 15}
	const uptake, share, source, start = 8.0, 0.4, 3.0, 6.0 // mg/L a week
	settled := func(weekly, doses float64) float64 {
		c, mean := 0.0, 0.0
		for range 300 {
			c = (1-share)*c + share*source
			mean = 0
			for part := range 42 {
				if math.Mod(float64(part), 42/doses) == 0 {
					c += weekly / doses
				}
				mean += (c - uptake/84) / 42
				c -= uptake / 42
			}
		}
		return mean
	}
	for _, doses := range []float64{1, 3, 7} {
		now := settled(start+4, doses)
		then := settled(start+4+missingDose(band, now, share, doses), doses)
		if math.Abs(then-band.House) > 1e-6 {
			t.Errorf("%g doses: from a mean of %g to %g, not to %g", doses, now, then, band.House)
		}
	}
	if missingDose(band, 9, 0, 1) != 0 {
		t.Error("without changes there is no settled dose")
	}
	if (unit.Every{N: 2, Freq: "WEEKLY"}).PerWeek() != 0.5 || (unit.Every{N: 1, Freq: "DAILY"}).PerWeek() != 7 {
		t.Error("how often a week")
	}
}

// TestCards reads the cards of the small sample.
func TestCards(t *testing.T) {
	f := desk()
	p := *f.Plan
	p.Care = append([]plan.Care{{Do: "dose", Every: unit.Every{N: 1, Freq: "WEEKLY"}, Grams: map[string]float64{"KNO3": 2}}}, p.Care...)
	p.Care = append(p.Care, plan.Care{Do: "water-change", Every: unit.Every{N: 1, Freq: "WEEKLY"}, Share: 0.4})
	p.Water.Mix.Pure = 0.5
	f.Plan = &p
	f.Change = water.Composition{T: 24, DIC: 1.5, Alk: 1.4, Ca: 30, Mg: 6}
	teller := newTeller(f, nil)
	r := teller.recipeCard()
	if r == nil || !strings.Contains(r.Says, "pure water") || len(r.Values) != 9 {
		t.Fatalf("recipe card %+v", r)
	}
	rows := teller.doseCard()
	if len(rows) != 3 {
		t.Fatalf("dose card %+v", rows)
	}
	for _, row := range rows {
		if row.Name == "" || row.Stands == "" || row.Target == "" || row.Instead == "" || strings.Contains(row.Instead, "NaN") {
			t.Errorf("%+v", row)
		}
	}
	// A band far over what stands asks for more, in grams of the usual salt that bring just that.
	high := plan.Band{Low: 90, High: 110, House: 100}
	said := teller.dosedInstead(high, 10, 4, 0.5, 2, "KNO3", func(a water.Amount) float64 { return a.NO3N * water.NO3PerN })
	if !strings.Contains(said, "2 doses of") || !strings.Contains(said, "g KNO3") {
		t.Error(said)
	}
	if said := teller.dosedInstead(plan.Band{Low: 1, High: 2, House: 1.5}, 40, 0, 0.3, 0, "KNO3", nil); !strings.Contains(said, "none") {
		t.Error(said)
	}
}
