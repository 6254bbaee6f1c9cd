package shelf

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"littoral/internal/forecast"
	"littoral/internal/recipe"
	"littoral/internal/reckon"
	"littoral/internal/tapsheet"
	"littoral/internal/unit"
	"littoral/internal/water"
	"math"
	"strconv"
)

// BatchAsk is a wish for a batch of change water. Amounts carry their units.
type BatchAsk struct {
	Volume string      `json:"volume" maxLength:"40" doc:"of the batch, such as 200 L"`
	Step   string      `json:"step" maxLength:"40" doc:"of the scale, such as 0.1 g"`
	Least  string      `json:"least_pure" maxLength:"40" doc:"least share of pure water, such as 0 %"`
	Most   string      `json:"most_pure" maxLength:"40" doc:"most share of pure water"`
	Wants  []BatchWant `json:"wants" maxItems:"20"`
	Salts  []BatchSalt `json:"salts" maxItems:"60" doc:"salts that may be used"`
	Sheet  string      `json:"sheet,omitempty" maxLength:"100000" doc:"an analysis of the tap as text, in place of the plan's"`
}

// BatchWant is one value or range that is wanted.
type BatchWant struct {
	Key   string `json:"key" maxLength:"20" doc:"GH, KH, Ca:Mg, …"`
	Value string `json:"value" maxLength:"40" doc:"a number or a range, such as 4-6"`
}

// BatchSalt is a salt that may be used.
type BatchSalt struct {
	Salt string `json:"salt" maxLength:"60" doc:"formula"`
	Have string `json:"have" maxLength:"40" doc:"what is in the cupboard, such as 100 g; empty when it may be bought"`
}

// BatchStart is what the recipe of a tank begins from.
type BatchStart struct {
	Ask        BatchAsk        `json:"ask"`
	Tap        []Amount        `json:"tap"`
	Quantities []BatchQuantity `json:"quantities" doc:"what can be wanted"`
	Salts      []SaltName      `json:"salts" doc:"what can be weighed"`
	Plan       []Amount        `json:"plan" doc:"the change water of the plan as it is now, once it has stood in air; empty without a forecast"`
}

// BatchQuantity is something that can be wanted of a water.
type BatchQuantity struct {
	Key   string `json:"key"`
	Words string `json:"words" say:"text"`
	Unit  string `json:"unit"`
}

// SaltName is a salt as it is written and said.
type SaltName struct {
	Salt  string `json:"salt"`
	Words string `json:"words" say:"text"`
}

// Batch is a recipe with what it was worked out from.
type Batch struct {
	Card recipe.BatchCard `json:"card"`
	Tap  []Amount         `json:"tap"`
	Read []string         `json:"read" say:"text" doc:"how an analysis was understood, and what is doubted about it; empty for the plan's tap"`
	Why  []string         `json:"why" say:"text" doc:"how the recipe was found"`
}

// usualSalts are ticked at the start: what a cupboard for planted tanks holds (common practice, no source).
var usualSalts = []string{"CaSO4·2H2O", "CaCl2·2H2O", "MgSO4·7H2O", "KHCO3", "K2SO4", "KNO3", "KH2PO4"}

// scaleStep is the step of a kitchen or pocket scale, our own choice.
const scaleStep = "0.1 g"

// StartBatch returns what the recipe of a tank begins from: its tap, its usual change, and the house's own hardness. Units are metric or US; empty = as
// the tank's house says.
func (s *Shelf) StartBatch(ctx context.Context, tank, units string) (BatchStart, error) {
	p, f, err := s.known(ctx, tank)
	if err != nil {
		return BatchStart{}, err
	}
	var out BatchStart
	for _, q := range recipe.Quantities() {
		out.Quantities = append(out.Quantities, BatchQuantity{q.Key, q.Words, q.Unit})
	}
	out.Quantities = append(out.Quantities, BatchQuantity{recipe.Ratio, "calcium to magnesium, by mass", ""})
	for _, salt := range water.Salts() {
		out.Salts = append(out.Salts, SaltName{salt.Name, salt.Words})
	}
	out.Ask = BatchAsk{Step: scaleStep, Least: "0 %", Most: "100 %", Volume: fmt.Sprintf("%d L", plainBatch)}
	for _, name := range usualSalts {
		out.Ask.Salts = append(out.Ask.Salts, BatchSalt{Salt: name})
	}
	if p == nil {
		return out, nil
	}
	out.Ask.Volume = unit.Format(unit.KindVolume, batchLitres(p, f)/1000, systemOf(cmp.Or(units, p.House.Units)))
	for _, key := range []string{"GH", "KH"} {
		if band, ok := p.House.Water[key]; ok {
			out.Ask.Wants = append(out.Ask.Wants, BatchWant{key, strconv.FormatFloat(band.House, 'g', 3, 64)})
		}
	}
	out.Tap = amountsOf(forecast.TapWater(p))
	if f != nil {
		out.Plan = amountsOf(f.Change)
	}
	return out, nil
}

// SolveBatch finds a recipe; tank may be empty when the ask brings an analysis. Errors that whoever asks can mend are ErrSum.
func (s *Shelf) SolveBatch(ctx context.Context, tank string, ask BatchAsk) (Batch, error) {
	var out Batch
	a, err := ask.read()
	if err != nil {
		return out, ErrSum{err}
	}
	switch {
	case ask.Sheet != "":
		sheet, err := readSheet(ask.Sheet)
		if err != nil {
			return out, ErrSum{err}
		}
		a.Tap, _ = sheet.Analysis.Composition()
		for _, l := range sheet.Lines {
			said := fmt.Sprintf("%s: %s %s", l.Name, reckon.Show(l.Value, 2), l.Unit)
			if l.Name == "" {
				said = "left out: " + l.Text
			}
			if l.Remark != "" {
				said += " (" + l.Remark + ")"
			}
			out.Read = append(out.Read, said)
		}
		out.Read = append(append(out.Read, fmt.Sprintf("Cations carry %.2f and anions %.2f meq/L.", sheet.Cations, sheet.Anions)), sheet.Remarks...)
	case tank == "":
		return out, ErrSum{errors.New("there is no tap water to begin from; name a tank or send an analysis")}
	default:
		p, _, err := s.known(ctx, tank)
		if err != nil {
			return out, err
		}
		if p == nil {
			return out, ErrSum{errors.New("the tank's plan says nothing of its tap; send an analysis")}
		}
		a.Tap = forecast.TapWater(p)
	}
	r, err := recipe.Solve(a)
	if err != nil {
		return out, ErrSum{err}
	}
	out.Card, out.Tap = r.Card(a), amountsOf(a.Tap)
	out.Why = []string{
		"Ions of tap, pure water and salts add up by mass; the least that misses any wish is found by linear programming, and of equal ones the one with least pure water and salt.",
		"The share of pure water is rounded to a whole percent and grams to the scale's step; what is shown is the water of the rounded batch. A wish counts as met within 2 % or what the scale's step moves.",
	}
	return out, nil
}

func (ask BatchAsk) read() (recipe.Ask, error) {
	var a recipe.Ask
	volume, err := unit.ParseVolume(ask.Volume)
	if err != nil {
		return a, fmt.Errorf("the batch: %w", err)
	}
	a.Volume = 1000 * float64(volume)
	if a.Step, err = reckon.Grams(ask.Step); err != nil {
		return a, fmt.Errorf("the scale's step: %w", err)
	}
	for _, x := range []struct {
		text string
		to   *float64
	}{{ask.Least, &a.LeastPure}, {ask.Most, &a.MostPure}} {
		if *x.to, err = unit.Parse(unit.KindFraction, x.text); err != nil {
			return a, fmt.Errorf("the share of pure water: %w", err)
		}
	}
	for _, w := range ask.Wants {
		if w.Value == "" {
			continue
		}
		want, err := recipe.ParseWant(w.Key + "=" + w.Value)
		if err != nil {
			return a, err
		}
		a.Wants = append(a.Wants, want)
	}
	for _, x := range ask.Salts {
		grams := math.Inf(1)
		if x.Have != "" {
			if grams, err = reckon.Grams(x.Have); err != nil {
				return a, fmt.Errorf("%s: %w", x.Salt, err)
			}
		}
		a.Stocks = append(a.Stocks, recipe.Stock{Salt: x.Salt, Grams: grams})
	}
	return a, nil
}

func readSheet(text string) (tapsheet.Sheet, error) {
	rows, err := tapsheet.Cells([]byte(text))
	if err != nil {
		return tapsheet.Sheet{}, err
	}
	return tapsheet.Read(rows)
}

// amountsOf lists what a water holds, as it stands in air.
func amountsOf(c water.Composition) []Amount {
	e := c.Equilibrium()
	return []Amount{
		{"GH", hundredth(c.DGH()), "°dGH"},
		{"KH", hundredth(c.DKH()), "°dKH"},
		{"pH once aired", hundredth(e.AtCO2(e.CO2InAir(water.AirCO2), c.Alk).PH), ""},
		{"conductivity", math.Round(c.Conductivity(25)), "µS/cm"},
		{"calcium", hundredth(c.Ca), "mg/L"},
		{"magnesium", hundredth(c.Mg), "mg/L"},
		{"potassium", hundredth(c.K), "mg/L"},
		{"sodium", hundredth(c.Na), "mg/L"},
		{"nitrate", hundredth(c.NO3N * water.NO3PerN), "mg/L"},
		{"phosphate", hundredth(c.PO4P * water.PO4PerP), "mg/L"},
		{"chloride", hundredth(c.Cl), "mg/L"},
		{"sulphate", hundredth(c.SO4), "mg/L"},
	}
}

// BottlesAsk asks for stock solutions. Amounts carry their units.
type BottlesAsk struct {
	Doses  []SumSalt `json:"doses" maxItems:"30" doc:"what one dose brings of each salt"`
	Bottle string    `json:"bottle" maxLength:"40" doc:"size of each bottle, such as 500 mL"`
	Lasts  float64   `json:"lasts" doc:"doses that a bottle lasts for"`
	Cold   string    `json:"cold" maxLength:"40" doc:"the coldest that the bottles will stand, such as 15 °C"`
}

// Of bottles that a plan's doses are put into at first, our own choice.
const (
	plainBottle = "1 L"
	plainCold   = "15 °C"
	mostLasts   = 30
)

// startBottles is what stock solutions of a plan begin from: as many doses to a bottle as dissolve.
func startBottles(doses []reckon.Weighed) BottlesAsk {
	ask := BottlesAsk{Bottle: plainBottle, Cold: plainCold, Lasts: mostLasts}
	for _, d := range doses {
		ask.Doses = append(ask.Doses, SumSalt{d.Salt, gramsText(d.Grams)})
	}
	for len(doses) > 0 && ask.Lasts > 1 {
		if _, err := SolveBottles(ask); err == nil {
			break
		}
		ask.Lasts--
	}
	return ask
}

// SolveBottles parts the salts of a dose into stock solutions. Errors are ErrSum.
func SolveBottles(ask BottlesAsk) (recipe.StockCard, error) {
	bottle, err := unit.ParseVolume(ask.Bottle)
	if err != nil {
		return recipe.StockCard{}, ErrSum{fmt.Errorf("the bottle: %w", err)}
	}
	cold, err := unit.ParseTemperature(ask.Cold)
	if err != nil {
		return recipe.StockCard{}, ErrSum{fmt.Errorf("the coldest day: %w", err)}
	}
	var portions []recipe.Portion
	for _, d := range ask.Doses {
		if d.Text == "" {
			continue
		}
		g, err := reckon.Grams(d.Text)
		if err != nil {
			return recipe.StockCard{}, ErrSum{fmt.Errorf("%s: %w", d.Salt, err)}
		}
		portions = append(portions, recipe.Portion{Salt: d.Salt, Grams: g})
	}
	p, err := recipe.Stocks(portions, 1e6*float64(bottle), ask.Lasts, float64(cold))
	if err != nil {
		return recipe.StockCard{}, ErrSum{err}
	}
	return p.Card(), nil
}
