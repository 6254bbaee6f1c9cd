package reckon

import (
	"fmt"
	"littoral/internal/unit"
	"littoral/internal/water"
	"math"
)

// carriers are the usual salts that bring one nutrient each, and how much of it a gram of salt holds, g.
var carriers = []struct {
	salt, nutrient, column string
	of                     func(a water.Amount) float64
}{
	{"KNO3", "nitrate", "kno3_for_no3_g", func(a water.Amount) float64 { return a.NO3N * water.NO3PerN }},
	{"KH2PO4", "phosphate", "kh2po4_for_po4_g", func(a water.Amount) float64 { return a.PO4P * water.PO4PerP }},
	{"K2SO4", "potassium", "k2so4_for_k_g", func(a water.Amount) float64 { return a.K }},
	{"MgSO4·7H2O", "magnesium", "mgso4_7h2o_for_mg_g", func(a water.Amount) float64 { return a.Mg }},
}

// week is a settled week: change and first dose on day 0, n equal doses spread over the week, uptake spread evenly.
type week struct{ dose, uptake, share, source, doses, start float64 }

// after is the level just after the change, before that day's dose, mg/L.
func (w week) after() float64 {
	if w.share == 0 {
		return w.start
	}
	return w.source + (1-w.share)*(w.doses*w.dose-w.uptake)/w.share
}

// mean is the level's mean over the week.
func (w week) mean() float64 { return w.after() + w.dose*(w.doses+1)/2 - w.uptake/2 }

// ends are the lowest and highest level: just before and just after each dose, and before the next change.
func (w week) ends() (low, high float64) {
	a := w.after()
	low = a + w.doses*w.dose - w.uptake
	high = math.Inf(-1)
	for k := 0.0; k < w.doses; k++ {
		before := a + k*w.dose - w.uptake*k/w.doses
		if k > 0 { // on day 0 the dose follows the change at once
			low = math.Min(low, before)
		}
		high = math.Max(high, before+w.dose)
	}
	return low, high
}

func weeklyTopic() Topic {
	const (
		iTarget = iota
		iLow
		iHigh
		iUptake
		iShare
		iSource
		iVolume
		iDoses
	)
	level := func(column, flag, help, example string, otherwise float64) Field {
		return Field{Column: column, Flag: flag, Kind: unit.KindConcentration, Default: otherwise, Needed: column == "target_mg_l", Max: 1e5, Help: help, Example: example}
	}
	out := []Output{
		{"dose_mg_l", "one dose, mg/L", 2},
		{"dose_g", "one dose, g of the nutrient", 2},
		{"trough_mg_l", "lowest of a settled week, mg/L", 2},
		{"peak_mg_l", "highest of a settled week, mg/L", 2},
		{"mean_mg_l", "mean of a settled week, mg/L", 2},
		{"weeks_to_settle", "weeks until 95 % of the way is done", 1},
	}
	for _, c := range carriers {
		out = append(out, Output{c.column, fmt.Sprintf("one dose as %s where the nutrient is %s, g", c.salt, c.nutrient), 2})
	}
	return Topic{
		Name: "weekly", Short: "The dose that holds a nutrient at its target week by week",
		About: "A week runs from water change to water change; the first dose follows the change, the others are spread evenly, and plants take the same every day. Find the uptake with a test just after the change and one just before the next: what is missing is uptake and dose together.",
		In: []Field{
			level("target_mg_l", "target", "Mean level to hold.", "15 mg/L", missing),
			level("low_mg_l", "low", "Lower end of the band it should stay in.", "10 mg/L", missing),
			level("high_mg_l", "high", "Upper end of that band.", "30 mg/L", missing),
			level("uptake_mg_l", "uptake", "What plants take in a week.", "10 mg/L", 0),
			{Column: "change_share", Flag: "change", Kind: unit.KindFraction, Default: missing, Needed: true, Min: 0, Max: 1, Help: "Share of the water that is changed each week.", Example: "50 %"},
			level("source_mg_l", "source", "Level in the change water.", "5 mg/L", 0),
			{Column: "volume_l", Flag: "volume", Kind: unit.KindVolume, Per: 0.001, Default: missing, Needed: true, Min: 0.001, Max: 1e7, Help: "Water in the tank.", Example: "200 L"},
			{Column: "doses_a_week", Flag: "doses", Default: 3, Min: 1, Max: 21, Help: "Doses a week, by hand or by a pump.", Example: "3"},
		},
		Out: out,
		solve: func(in, out []float64) error {
			w := week{uptake: in[iUptake], share: in[iShare], source: in[iSource], doses: math.Round(in[iDoses])}
			if w.share == 0 {
				w.dose = w.uptake / w.doses
				w.start = in[iTarget] - w.mean()
			} else {
				rest := (1 - w.share) / w.share // weeks' gains that stand behind the last
				w.dose = math.Max(0, (in[iTarget]-w.source+w.uptake*(rest+0.5))/(w.doses*rest+(w.doses+1)/2))
			}
			low, high := w.ends()
			if low < 0 {
				return fmt.Errorf("at a mean of %s mg/L plants would empty the water between doses; dose more often than %s times a week or aim higher", short(in[iTarget]), short(w.doses))
			}
			grams := w.dose * in[iVolume] / 1000
			out[0], out[1], out[2], out[3], out[4] = w.dose, grams, low, high, w.mean()
			out[5] = missing
			switch {
			case w.share == 1:
				out[5] = 1
			case w.share > 0:
				out[5] = math.Log(0.05) / math.Log(1-w.share)
			}
			for i, c := range carriers {
				out[6+i] = missing
				if s, ok := water.LookSalt(c.salt); ok {
					out[6+i] = grams / c.of(water.Dissolve(s, 1))
				}
			}
			return nil
		},
		tell: func(in, out []float64) Answer {
			often, hold := num(math.Round(in[iDoses]), 0)+" doses a week", "hold"
			if math.Round(in[iDoses]) == 1 {
				often, hold = "One dose a week", "holds"
			}
			a := Answer{
				Says: fmt.Sprintf("%s of %s mg/L, %s g of the nutrient each time, %s it between %s and %s mg/L.", often, num(out[0], 2), num(out[1], 2), hold, num(out[2], 1), num(out[3], 1)),
				Why: []string{fmt.Sprintf("One dose is %s g of KNO3 where the nutrient is nitrate, %s g of KH2PO4 for phosphate, %s g of K2SO4 for potassium, %s g of MgSO4·7H2O for magnesium.",
					num(out[6], 2), num(out[7], 2), num(out[8], 2), num(out[9], 2))},
			}
			var beside []string
			if out[4] > in[iTarget]+0.005 {
				beside = append(beside, fmt.Sprintf("The change water alone holds it at %s mg/L, over the target: blend in pure water.", num(out[4], 1)))
			}
			if out[2] < in[iLow] || out[3] > in[iHigh] { // false where no band is given
				beside = append(beside, "The week leaves the band: dose more often, change less at once, or aim elsewhere in it.")
			}
			if !math.IsNaN(out[5]) && len(beside) == 0 {
				beside = append(beside, fmt.Sprintf("From any start 95 %% of the way takes %s weeks; test before the change then and correct the uptake.", num(math.Ceil(out[5]), 0)))
			}
			for _, s := range beside {
				if len(a.Why) < 2 {
					a.Why = append(a.Why, s)
				} else {
					a.Why[1] += " " + s
				}
			}
			a.Caution = "Keep phosphate apart from iron and calcium in stock bottles, and salts from eyes and children."
			return a
		},
	}
}
