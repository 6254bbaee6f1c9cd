package recipe

import (
	"fmt"
	"littoral/internal/water"
	"math"
	"strconv"
	"strings"
)

// ParseWant reads "GH=6", "KH=3-4", "Ca:Mg=3" or "Cl=0-30". The ratio of calcium to magnesium is in milligrams.
func ParseWant(text string) (Want, error) {
	bad := fmt.Errorf("%q is no wish; write GH=6 or KH=3-4", text)
	key, value, ok := strings.Cut(text, "=")
	if !ok {
		return Want{}, bad
	}
	w := Want{Key: strings.TrimSpace(key)}
	if strings.EqualFold(w.Key, Ratio) {
		w.Key = Ratio
	} else {
		q, ok := quantity(w.Key)
		if !ok {
			return Want{}, fmt.Errorf("%q cannot be wanted; there are GH, KH, Ca, Mg, K, Na, NO3, PO4, Cl, SO4 and Ca:Mg", w.Key)
		}
		w.Key = q.Key
	}
	low, high, isRange := strings.Cut(strings.ReplaceAll(value, "–", "-"), "-")
	var err error
	if w.Low, err = strconv.ParseFloat(strings.TrimSpace(low), 64); err != nil {
		return Want{}, bad
	}
	w.High = w.Low
	if isRange {
		if w.High, err = strconv.ParseFloat(strings.TrimSpace(high), 64); err != nil {
			return Want{}, bad
		}
	}
	if !(w.Low >= 0 && w.High >= w.Low) || math.IsInf(w.High, 0) {
		return Want{}, fmt.Errorf("%q is no range; write the lower number first", text)
	}
	return w, nil
}

// BatchCard is a recipe as it is handed to whoever weighs.
type BatchCard struct {
	Litres     float64     `json:"litres"`
	PureLitres float64     `json:"pure_litres"`
	TapLitres  float64     `json:"tap_litres"`
	Salts      []CardSalt  `json:"salts"`
	Water      []CardValue `json:"water"`
	Wishes     []CardWish  `json:"wishes"`
	Remarks    []string    `json:"remarks" say:"text"`
}

// CardSalt is a line to weigh.
type CardSalt struct {
	Salt  string  `json:"salt"`
	Words string  `json:"words" say:"text"`
	Grams float64 `json:"grams"`
}

// CardValue is one property of the finished water.
type CardValue struct {
	Key   string  `json:"key"`
	Words string  `json:"words" say:"text"`
	Value float64 `json:"value"`
	Unit  string  `json:"unit"`
}

// CardWish is how a wish came out.
type CardWish struct {
	Key  string  `json:"key"`
	Low  float64 `json:"low"`
	High float64 `json:"high"`
	Got  float64 `json:"got"`
	Met  bool    `json:"met"`
	Why  string  `json:"why,omitempty"`
}

// Card returns the recipe for the batch it was asked for.
func (r Recipe) Card(a Ask) BatchCard {
	c := BatchCard{Litres: a.Volume, PureLitres: a.Volume * r.Pure, TapLitres: a.Volume * (1 - r.Pure), Salts: []CardSalt{}, Wishes: []CardWish{}, Remarks: append([]string{}, r.Remarks...)}
	for _, w := range r.Weighs {
		c.Salts = append(c.Salts, CardSalt{w.Salt.Name, w.Salt.Words, math.Round(w.Grams*1e6) / 1e6})
	}
	all := r.Water.In(1)
	for _, q := range Quantities() {
		c.Water = append(c.Water, CardValue{q.Key, q.Words, q.of(all), q.Unit})
	}
	e := r.Water.Equilibrium()
	c.Water = append(c.Water,
		CardValue{"pH", "pH once it has stood in air", e.AtCO2(e.CO2InAir(water.AirCO2), r.Water.Alk).PH, ""},
		CardValue{"EC", "conductivity at 25 °C", r.Water.Conductivity(25), "µS/cm"})
	for _, m := range r.Met {
		got := m.Got
		if math.IsInf(got, 0) {
			got = 1e9 // calcium without any magnesium
		}
		c.Wishes = append(c.Wishes, CardWish{m.Want.Key, m.Want.Low, m.Want.High, got, m.OK, m.Why})
	}
	return c
}

// Text is the card for a terminal or a printed note.
func (c BatchCard) Text() string {
	var b strings.Builder
	fmt.Fprintf(&b, "For %s L: %s L of pure water and %s L from the tap.\n", digits(c.Litres, 0), digits(c.PureLitres, 0), digits(c.TapLitres, 0))
	if len(c.Salts) == 0 {
		fmt.Fprintln(&b, "No salts.")
	}
	for _, s := range c.Salts {
		fmt.Fprintf(&b, "  %9s g  %-15s %s\n", strconv.FormatFloat(s.Grams, 'g', 6, 64), s.Salt, s.Words)
	}
	b.WriteString("\nThe water will have:\n")
	for _, v := range c.Water {
		d := 1
		switch {
		case v.Key == "EC":
			d = 0
		case v.Value < 1:
			d = 2
		}
		fmt.Fprintf(&b, "  %9s %-6s %s\n", digits(v.Value, d), v.Unit, v.Words)
	}
	for _, m := range c.Wishes {
		if !m.Met {
			wanted := digits(m.Low, 1)
			if m.High != m.Low {
				wanted += " to " + digits(m.High, 1)
			}
			fmt.Fprintf(&b, "\n%s cannot be met: wanted %s, it will be %s. %s\n", m.Key, wanted, digits(m.Got, 1), m.Why)
		}
	}
	for _, r := range c.Remarks {
		fmt.Fprintf(&b, "\n%s\n", r)
	}
	if len(c.Salts) > 0 {
		b.WriteString("\nDissolve each salt by itself in warm pure water, gypsum in the whole batch over a day with a pump, then pour them in one after the other and measure GH, KH\nand conductivity before the water is used.\nCaution. Keep salts from eyes and children and read their labels; do not mix them dry.\n")
	}
	return b.String()
}

func digits(x float64, n int) string { return strconv.FormatFloat(x, 'f', n, 64) }

// StockCard is a set of stock solutions as it is handed to whoever weighs.
type StockCard struct {
	DoseML  float64      `json:"dose_ml"`
	Bottles []CardBottle `json:"bottles"`
	Remarks []string     `json:"remarks" say:"text"`
}

// CardBottle is one bottle.
type CardBottle struct {
	Letter string     `json:"letter"`
	Salts  []CardSalt `json:"salts"`
	Full   float64    `json:"share_of_solubility"`
}

// Card returns the bottles for printing.
func (p Plan) Card() StockCard {
	c := StockCard{DoseML: p.DoseML, Bottles: []CardBottle{}, Remarks: append([]string{}, p.Remarks...)}
	for _, b := range p.Bottles {
		one := CardBottle{Letter: b.Letter, Full: b.Full}
		for _, l := range b.Lines {
			one.Salts = append(one.Salts, CardSalt{l.Salt.Name, l.Salt.Words, l.Grams})
		}
		c.Bottles = append(c.Bottles, one)
	}
	return c
}

// Text is the card for a terminal or a printed note.
func (c StockCard) Text() string {
	var b strings.Builder
	for _, bottle := range c.Bottles {
		fmt.Fprintf(&b, "Bottle %s (%s %% of what dissolves):\n", bottle.Letter, digits(100*bottle.Full, 0))
		for _, s := range bottle.Salts {
			fmt.Fprintf(&b, "  %9s g  %-15s %s\n", digits(s.Grams, 1), s.Salt, s.Words)
		}
	}
	bottles := "the bottle"
	if len(c.Bottles) > 1 {
		bottles = "each bottle, a few minutes apart"
	}
	fmt.Fprintf(&b, "Fill up with pure water; dose %s mL from %s.\n", digits(c.DoseML, 1), bottles)
	for _, r := range c.Remarks {
		fmt.Fprintln(&b, r)
	}
	b.WriteString("Caution. Label bottles with what they hold and the date, keep them dark and from children, and throw away what clouds or moulds.\n")
	return b.String()
}
