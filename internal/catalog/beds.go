package catalog

import (
	"fmt"
	"maps"
	"strings"
)

// This file is the one place where the trade's classes of a substrate (ammonia, nutrients, exchange, buffer) become numbers of the
// root zone. Most of them are uncertain by a factor of three to ten; a shake test of a handful of the material settles them, and a
// house writes the result into a table of its own.

var (
	classes         = []string{"substrate", "additive", "stone", "wood"}
	ammoniaClasses  = []string{"none", "low", "low-medium", "medium", "high"}
	nutrientClasses = []string{"none", "low", "medium", "high", "very high"}
	exchangeClasses = []string{"none", "low", "medium", "high", "very high"}
	bufferClasses   = []string{"none", "slight", "medium", "strong"}
)

// bedFields are the numbers of a bed by the column name under which a house may give its own.
var bedFields = []struct {
	name, words, unit string
	lo, hi            float64
	at                func(*Bed) *Param
}{
	{"nh4-n-g-kg", "leachable ammonium nitrogen when new", "g/kg dry bed", 0, 5, func(b *Bed) *Param { return &b.NH4NKg }},
	{"n-g-kg", "slow reserve of nitrogen", "g/kg", 0, 20, func(b *Bed) *Param { return &b.NKg }},
	{"p-g-kg", "available phosphorus", "g/kg", 0, 10, func(b *Bed) *Param { return &b.PKg }},
	{"k-g-kg", "exchangeable potassium", "g/kg", 0, 20, func(b *Bed) *Param { return &b.KKg }},
	{"fe-g-kg", "available iron", "g/kg", 0, 50, func(b *Bed) *Param { return &b.FeKg }},
	{"cec-cmol-kg", "cation exchange capacity", "cmol/kg", 0, 250, func(b *Bed) *Param { return &b.CEC }},
	{"buffer-meq-kg", "alkalinity it can take up", "meq/kg", 0, 3000, func(b *Bed) *Param { return &b.BufferMeq }},
	{"buffer-ph", "pH it holds water towards", "", 0, 9, func(b *Bed) *Param { return &b.BufferPH }},
}

func materialTable() table[Material] {
	type m = Material
	columns := []column[m]{
		listColumn("aliases", func(x *m) *[]string { return &x.Synonyms }),
		must(wordColumn("class", classes, func(x *m) *string { return &x.Class })),
		rangeColumn("bulk-kg-l", 0.05, 4, func(x *m) *Range { return &x.Bulk }),
		rangeColumn("piece-kg-l", 0.05, 8, func(x *m) *Range { return &x.Piece }),
		rangeColumn("wet-kg-l", 0.1, 8, func(x *m) *Range { return &x.Wet }),
		rangeColumn("porosity", 0, 0.95, func(x *m) *Range { return &x.Porosity }),
		rangeColumn("grain-mm", 0, 3000, func(x *m) *Range { return &x.GrainMM }),
		textColumn("ph", func(x *m) *string { return &x.PH }),
		textColumn("gh", func(x *m) *string { return &x.GH }),
		textColumn("kh", func(x *m) *string { return &x.KH }),
		wordColumn("ammonia", ammoniaClasses, func(x *m) *string { return &x.Ammonia }),
		wordColumn("nutrients", nutrientClasses, func(x *m) *string { return &x.Nutrients }),
		wordColumn("exchange", exchangeClasses, func(x *m) *string { return &x.Exchange }),
		wordColumn("buffer", bufferClasses, func(x *m) *string { return &x.Buffer }),
		{name: "angle-deg", set: func(x *m, text string) error {
			r, err := interval(text, 5, 60)
			if err == nil {
				x.AngleDeg = Param{Value: r.Mid(), Min: r.Min, Max: r.Max, Source: fromSlopes}
			}
			return err
		}},
		rangeColumn("life-years", 0, 100, func(x *m) *Range { return &x.LifeYears }),
		textColumn("note", func(x *m) *string { return &x.Note }),
		textColumn("source", func(x *m) *string { return &x.Source }),
	}
	for _, f := range bedFields {
		columns = append(columns, column[m]{name: f.name, set: func(x *m, text string) error {
			p, err := param(text, f.lo, f.hi)
			if err != nil {
				return err
			}
			p.Source = "house table"
			x.Measured = maps.Clone(x.Measured)
			if x.Measured == nil {
				x.Measured = map[string]Param{}
			}
			x.Measured[f.name] = p
			return nil
		}})
	}
	return table[m]{
		word:    "material",
		names:   materialNames,
		own:     func(x *m) *string { return &x.Name },
		columns: columns,
		fresh: func(file string) m {
			return m{PH: "neutral", GH: "none", KH: "none", Ammonia: "none", Nutrients: "none", LifeYears: Range{3, 10}, Source: "house table " + file}
		},
		finish: func(x *m) error {
			if !x.IsBed() {
				if x.Piece.Min == 0 || x.Wet.Min == 0 {
					return fmt.Errorf("stone and wood need piece-kg-l (dry) and wet-kg-l, the weight of a litre of the piece itself")
				}
				if len(x.Measured) > 0 || x.AngleDeg.Value > 0 {
					return fmt.Errorf("stone and wood have no bed, leave out the numbers of the root zone and the angle")
				}
				return nil
			}
			if x.Bulk.Min == 0 || x.Porosity.Min == 0 {
				return fmt.Errorf("a substrate needs bulk-kg-l (a dry litre of the bed) and porosity, 0.4 to 0.6 for most")
			}
			if x.Wet.Min == 0 { // pores full of water
				x.Wet = Range{x.Bulk.Min + x.Porosity.Max, x.Bulk.Max + x.Porosity.Min}
				if x.Wet.Min > x.Wet.Max {
					x.Wet.Min, x.Wet.Max = x.Wet.Max, x.Wet.Min
				}
			}
			if x.Exchange == "" {
				x.Exchange = "none"
			}
			if x.Buffer == "" {
				x.Buffer = "none"
			}
			if x.AngleDeg.Value == 0 {
				x.AngleDeg = Param{Value: 31, Min: 27, Max: 35, Source: fromSlopes}
			}
			x.Bed = bedOf(x)
			for _, f := range bedFields {
				if p, ok := x.Measured[f.name]; ok {
					*f.at(&x.Bed) = p
				}
			}
			return nil
		},
	}
}

// IsBed says whether the material lies on the floor as a bed of grains.
func (m *Material) IsBed() bool { return m.Class == "substrate" || m.Class == "additive" }

// Marks of where the numbers come from.
const (
	fromSlopes = "submerged angles of repose: sand below its 34° in air, gravel unchanged (USBR Hyd-299, 1950); 28–30° fine sand, 33–38° angular gravel and lava, common practice; 30–36° baked granules, from memory"
	fromLeach  = "set so that 60 to 130 kg in a 700 L tank bring 1 to 6 mg/L in the first week under the trade's frequent changes; common practice, no source"
	fromSupply = "set so that 8 cm of rich soil feed a fast-growing planting for one to three years (56 mg N and 10 mg P per m² and day from the bed); common practice, no source"
	fromCEC    = "exchange capacity of fired granules 1–35, take 15 cmol/kg (from memory of soil handbooks); clays and humus after soil tables, from memory"
	fromBuffer = "set so that 130 kg in 700 L, with weekly changes of 30 to 50 % at 4 dKH, are spent in 6 to 18 months; within the exchange capacity; common practice, no source"
)

// bedOf maps the classes of a substrate.
func bedOf(m *Material) Bed {
	b := Bed{NH4NKg: leach(m.Ammonia), CEC: exchange(m.Exchange), BufferMeq: buffer(m.Buffer)}
	b.NKg, b.PKg, b.KKg, b.FeKg = reserve(m.Nutrients)
	if strings.Contains(m.Note, "iron-rich") {
		b.FeKg = Param{0.5, 0.1, 2, fromSupply}
	}
	b.BufferPH = Param{Source: fromBuffer}
	if m.Buffer == "medium" || m.Buffer == "strong" {
		b.BufferPH = Param{6.4, 6.0, 6.8, fromBuffer}
	}
	return b
}

// leach is the ammonium nitrogen that a new bed gives off in its first weeks, g/kg. 0.25 g/kg on an exchanger of 18 cmol/kg is a tenth
// of its sites.
func leach(class string) Param {
	switch class {
	case "high":
		return Param{0.08, 0.03, 0.25, fromLeach}
	case "medium":
		return Param{0.04, 0.01, 0.12, fromLeach}
	case "low-medium":
		return Param{0.02, 0.005, 0.06, fromLeach}
	case "low":
		return Param{0.005, 0.001, 0.02, fromLeach}
	}
	return Param{0, 0, 0.001, fromLeach}
}

// reserve is the slow store of N, available P, exchangeable K and available Fe, g/kg.
func reserve(class string) (n, p, k, fe Param) {
	mark := func(value, lo, hi float64) Param { return Param{value, lo, hi, fromSupply} }
	switch class {
	case "very high":
		return mark(1.0, 0.5, 2), mark(0.15, 0.05, 0.4), mark(0.30, 0.1, 0.6), mark(0.2, 0.05, 0.6)
	case "high":
		return mark(0.6, 0.3, 1.2), mark(0.10, 0.05, 0.3), mark(0.25, 0.1, 0.5), mark(0.1, 0.03, 0.3)
	case "medium":
		return mark(0.3, 0.1, 0.6), mark(0.06, 0.02, 0.15), mark(0.15, 0.05, 0.3), mark(0.08, 0.02, 0.25)
	case "low":
		return mark(0.05, 0.01, 0.2), mark(0.02, 0.005, 0.06), mark(0.05, 0.01, 0.15), mark(0.03, 0.005, 0.1)
	}
	return mark(0, 0, 0.01), mark(0, 0, 0.003), mark(0, 0, 0.01), mark(0, 0, 0.01)
}

// exchange capacity in cmol(+)/kg.
func exchange(class string) Param {
	switch class {
	case "very high": // peat and humus
		return Param{100, 60, 180, fromCEC}
	case "high": // fresh clay-humus granules, soils
		return Param{18, 10, 30, fromCEC}
	case "medium": // fired or aged granules
		return Param{12, 3, 25, fromCEC}
	case "low": // lava, pumice, laterite, shell
		return Param{3, 1, 6, fromCEC}
	}
	return Param{0.2, 0, 1, fromCEC}
}

// buffer is the alkalinity that the fresh bed can take up, meq/kg.
func buffer(class string) Param {
	switch class {
	case "strong":
		return Param{150, 80, 260, fromBuffer}
	case "medium":
		return Param{90, 40, 160, fromBuffer}
	case "slight":
		return Param{20, 0, 60, fromBuffer}
	}
	return Param{0, 0, 5, fromBuffer}
}
