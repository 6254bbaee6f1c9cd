package catalog

import (
	"fmt"
	"maps"
)

// bottleParts are the columns of a bottle, mg of the element per mL, and the key in Bottle.Parts.
var bottleParts = []struct{ column, key string }{
	{"no3-n", "NO3-N"},
	{"nh4-n", "NH4-N"},
	{"urea-n", "urea-N"},
	{"p", "P"},
	{"k", "K"},
	{"mg", "Mg"},
	{"ca", "Ca"},
	{"s", "S"},
	{"cl", "Cl"},
	{"fe", "Fe"},
	{"mn", "Mn"},
	{"b", "B"},
	{"zn", "Zn"},
	{"cu", "Cu"},
	{"mo", "Mo"},
}

func bottleTable() table[Bottle] {
	type b = Bottle
	columns := []column[b]{
		listColumn("synonyms", func(x *b) *[]string { return &x.Synonyms }),
		textColumn("note", func(x *b) *string { return &x.Note }),
		textColumn("source", func(x *b) *string { return &x.Source }),
	}
	for _, part := range bottleParts {
		columns = append(columns, column[b]{name: part.column, set: func(x *b, text string) error {
			v, err := number(text, 0, 500)
			if err != nil {
				return err
			}
			x.Parts = maps.Clone(x.Parts)
			if v > 0 {
				x.Parts[part.key] = v
			} else {
				delete(x.Parts, part.key)
			}
			return nil
		}})
	}
	return table[b]{
		word:    "bottle",
		names:   bottleNames,
		own:     func(x *b) *string { return &x.Name },
		columns: columns,
		fresh:   func(file string) b { return b{Parts: map[string]float64{}, Source: "house table " + file} },
		finish: func(x *b) error {
			x.Parts = maps.Clone(x.Parts) // the row it came from keeps its own
			delete(x.Parts, "N")
			if len(x.Parts) == 0 {
				return fmt.Errorf("the bottle holds nothing; give the mg of at least one element per mL")
			}
			if n := x.Parts["NO3-N"] + x.Parts["NH4-N"] + x.Parts["urea-N"]; n > 0 {
				x.Parts["N"] = n
			}
			return nil
		},
	}
}
