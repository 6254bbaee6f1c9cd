package papers

import (
	"fmt"
	"littoral/internal/forecast"
	"littoral/internal/plan"
	"littoral/internal/water"
	"math"
	"strings"
)

// DoseLevel is a nutrient on the dose card: what is dosed, where it stands over the settled weeks, and what would hold it in the house's band.
type DoseLevel struct {
	Name    string  `json:"name" doc:"NO3, PO4 or K"`
	Now     string  `json:"now" say:"text" doc:"what the routine doses"`
	Stands  string  `json:"stands" say:"text" doc:"trough, peak and mean"`
	Target  string  `json:"target" say:"text"`
	Instead string  `json:"instead" say:"text" doc:"what would hold the middle of the band"`
	Trough  float64 `json:"trough_mg_l"`
	Peak    float64 `json:"peak_mg_l"`
	Mean    float64 `json:"mean_mg_l"`
	From    int     `json:"from" doc:"first day of the settled weeks"`
	To      int     `json:"to" doc:"last day of them"`
}

// DoseLevels lists the nutrients of the dose card; empty for a forecast that is too short to settle.
func DoseLevels(f *forecast.Forecast) []DoseLevel { return newTeller(f, nil).doseCard() }

// dosed are the nutrients of the dose card and the usual salt that carries each. Iron is left out: a chelate fades within days, so that its level
// says little of its dose.
var dosed = []struct {
	name, salt string
	level      func(d *forecast.Day) float64
	of         func(a water.Amount) float64
}{
	{"NO3", "KNO3", func(d *forecast.Day) float64 { return d.NO3 }, func(a water.Amount) float64 { return a.NO3N * water.NO3PerN }},
	{"PO4", "KH2PO4", func(d *forecast.Day) float64 { return d.PO4 }, func(a water.Amount) float64 { return a.PO4P * water.PO4PerP }},
	{"K", "K2SO4", func(d *forecast.Day) float64 { return d.K }, func(a water.Amount) float64 { return a.K }},
}

// doseCard compares what the plan doses in a settled week with what would hold the middle of the house's bands.
func (t *teller) doseCard() []DoseLevel {
	f, net := t.f, t.f.Model.Facts.NetWaterL
	from, to := t.steady()
	if !(net > 0) || to-from < 28 {
		return nil
	}
	weeks := float64(to-from+1) / 7
	share := math.Min(1, t.total(from, to, func(d *forecast.Day) float64 { return d.ChangedL })/weeks/net)
	var rows []DoseLevel
	for _, x := range dosed {
		band, ok := t.house.Water[x.name]
		if !ok {
			continue
		}
		week, often, bottle := 0.0, 0.0, (*plan.Care)(nil)
		for i := range f.Plan.Care {
			c := &f.Plan.Care[i]
			if c.Do != "dose" || int(c.From) > from || c.Until > 0 && int(c.Until) < to {
				continue
			}
			mg := 0.0 // mg/L by one dose
			for _, s := range sortedKeys(c.Grams) {
				if salt, ok := water.LookSalt(s); ok {
					mg += 1000 * x.of(water.Dissolve(salt, c.Grams[s])) / net
				}
			}
			for k := range f.Plan.Bottles {
				if b := &f.Plan.Bottles[k]; b.Name == c.Bottle {
					litres := float64(c.Amount) * 1000
					add := 1000 * litres * x.of(water.Amount{NO3N: b.PerLitre["NO3-N"], PO4P: b.PerLitre["P"], K: b.PerLitre["K"]}) / net
					if mg += add; add > 0 {
						bottle = c
					}
				}
			}
			if mg > 0 {
				week += mg * c.Every.PerWeek()
				often = math.Max(often, c.Every.PerWeek())
			}
		}
		lo, hi, _, _ := t.ranged(from, to, x.level)
		mean := t.total(from, to, x.level) / float64(to-from+1)
		row := DoseLevel{
			Name: x.name, Now: "nothing", Stands: spanOf(lo, hi, 2) + " mg/L, mean " + figure(mean, 2),
			Target: fmt.Sprintf("%s to %s, middle %s mg/L", figure(band.Low, 2), figure(band.High, 2), figure(band.House, 2)),
			Trough: round(lo, 3), Peak: round(hi, 3), Mean: round(mean, 3), From: from, To: to,
		}
		if week > 0 {
			row.Now = figure(week, 2) + " mg/L a week"
		}
		row.Instead = t.dosedInstead(band, mean, week, share, often, x.salt, x.of)
		if bottle != nil && week > 0 && row.Instead != asItIs {
			if want := week + missingDose(band, mean, share, often); want > 0 {
				row.Instead += fmt.Sprintf("; or %s %s mL of %s, by hand or %s mL a day by pump", every(bottle.Every), figure(float64(bottle.Amount)*1e6*want/week, 2), bottle.Bottle, figure(float64(bottle.Amount)*1e6*want/week*bottle.Every.PerWeek()/7, 2))
			}
		}
		rows = append(rows, row)
	}
	return rows
}

// asItIs is said where the level stands in its band.
const asItIs = "as it is"

// missingDose is what a week's doses must add or leave out, mg/L, so that the mean moves to the middle of a band while plants take what they take: a share of the
// water is changed each week, so the mean answers (1-share)/share + (n+1)/2n times; see the weekly dose of littoral reckon.
func missingDose(b plan.Band, mean, share, often float64) float64 {
	if share <= 0 {
		return 0
	}
	n := math.Max(1, math.Round(often))
	return (b.House - mean) / ((1-share)/share + (n+1)/(2*n))
}

func (t *teller) dosedInstead(b plan.Band, mean, week, share, often float64, salt string, of func(water.Amount) float64) string {
	if mean >= b.Low && mean <= b.High {
		return asItIs
	}
	if share <= 0 {
		return fmt.Sprintf("once %s mg/L more, then what a week takes", figure(b.House-mean, 2))
	}
	want := week + missingDose(b, mean, share, often)
	if want <= 0 {
		return "none, and more water changed: food, bed and source bring more than plants take"
	}
	n := math.Max(1, math.Round(often))
	s, ok := water.LookSalt(salt)
	if !ok {
		return figure(want, 2) + " mg/L a week"
	}
	grams := want / n * t.f.Model.Facts.NetWaterL / 1000 / of(water.Dissolve(s, 1))
	return fmt.Sprintf("%s mg/L a week: %s of %s g %s", figure(want, 2), count(int(n), "dose", "doses"), figure(grams, 2), salt)
}

// recipeCard is the plan's change water for its usual change, in words and numbers.
type recipeCard struct {
	Says   string
	Salts  string
	Values []fact
}

func (t *teller) recipeCard() *recipeCard {
	f, net := t.f, t.f.Model.Facts.NetWaterL
	var usual *plan.Care
	for i := range f.Plan.Care {
		if c := &f.Plan.Care[i]; c.Do == "water-change" {
			usual = c // the last stands for the running tank
		}
	}
	if usual == nil || !(net > 0) {
		return nil
	}
	litres := float64(usual.Share) * net
	if usual.Amount > 0 {
		litres = float64(usual.Amount) * 1000
	}
	w, pure := &f.Plan.Water, float64(f.Plan.Water.Mix.Pure)
	c := &recipeCard{Says: fmt.Sprintf("For the usual change of %s %s: %s of pure water and %s from the tap.", t.volume(litres), every(usual.Every), t.volume(litres*pure), t.volume(litres*(1-pure)))}
	var salts []string
	for _, s := range w.Salts {
		salts = append(salts, fmt.Sprintf("%s g %s", figure(float64(s.Dose)*litres/1000, 3), s.Salt))
	}
	if c.Salts = "No salts."; len(salts) > 0 {
		c.Salts = "Weigh in, each dissolved in a little water first: " + strings.Join(salts, ", ") + "."
	}
	x := f.Change
	e := x.Equilibrium()
	ion := func(v float64) string { return figure(v, 2) + " mg/L" }
	c.Values = []fact{
		{"GH", figure(x.DGH(), 2) + " °dH"},
		{"KH", figure(x.DKH(), 2) + " °dH"},
		{"pH once aired", fmt.Sprintf("%.1f", e.AtCO2(e.CO2InAir(water.AirCO2), x.Alk).PH)},
		{"Conductivity at 25 °C", figure(x.Conductivity(25), 2) + " µS/cm"},
		{"Ca", ion(x.Ca)},
		{"Mg", ion(x.Mg)},
		{"K", ion(x.K)},
		{"NO3", ion(x.NO3N * water.NO3PerN)},
		{"PO4", ion(x.PO4P * water.PO4PerP)},
	}
	return c
}
