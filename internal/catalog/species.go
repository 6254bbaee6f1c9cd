package catalog

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"
)

// The words of the plant table.
var (
	forms      = []Form{Rosette, Stem, Rhizome, Carpet, Runner, Bulb, Lily, Moss, Floating}
	speeds     = []string{"very slow", "slow", "medium", "fast", "very fast"}
	lights     = []string{"low", "medium", "high"}
	co2Needs   = []string{"none", "helpful", "recommended", "required"}
	feeders    = []string{"root", "leaf", "both"}
	melts      = []string{"low", "medium", "high"}
	hco3Uses   = []string{"no", "partly", "yes"}
	leafShapes = []string{"linear", "lanceolate", "ovate", "cordate", "spatulate", "pinnate", "needle", "ribbon", "frond", "thread", "round"}
	places     = []string{"foreground", "midground", "background", "epiphyte", "surface", "solitary", "floating"}
	trims      = []string{
		"top-and-replant", "hedge", "shear", "thin-runners", "outer-leaves", "floating-leaves", "shorten-leaves",
		"split-and-replant", "divide-rhizome", "net-off",
	}
)

// doublingDays are the classes of growth speed as the trade means them: days in which a plant doubles its mass in a well-run tank.
// Common practice, no source. The very fast class of rooted plants starts at 6 days, not at 4 as the trade says, because the fastest
// rooted submersed plant measured needed 6.4 days (Nielsen & Sand-Jensen 1991); floating plants do reach 4.
func doublingDays(form Form, speed string) Range {
	switch speed {
	case "very fast":
		if form == Floating {
			return Range{4, 10}
		}
		return Range{6, 12}
	case "fast":
		return Range{10, 21}
	case "medium":
		return Range{21, 45}
	case "slow":
		return Range{45, 90}
	}
	return Range{90, 180}
}

// parRange are the trade's light classes, µmol m⁻² s⁻¹ at the leaf. Common practice, no source: the texts differ by a factor of two.
func parRange(light string) Range {
	switch light {
	case "low":
		return Range{15, 40}
	case "medium":
		return Range{40, 80}
	}
	return Range{80, 150}
}

func speciesTable() table[Species] {
	type s = Species
	return table[s]{
		word:  "species",
		names: speciesNames,
		own:   func(x *s) *string { return &x.Name },
		fresh: func(file string) s {
			return s{
				Feeder: "both", Melt: "medium", HCO3Use: "no", LeafShape: "lanceolate", Colour: "green", ColourHex: "#5F9A3A",
				PH: Range{6, 7.5}, GH: Range{2, 15}, Source: "house table " + file,
			}
		},
		columns: append([]column[s]{
			listColumn("synonyms", func(x *s) *[]string { return &x.Synonyms }),
			listColumn("sold-as", func(x *s) *[]string { return &x.SoldAs }),
			textColumn("family", func(x *s) *string { return &x.Family }),
			must(wordColumn("form", forms, func(x *s) *Form { return &x.Form })),
			{name: "places", set: func(x *s, text string) error {
				items, err := listOf(text)
				if err != nil {
					return err
				}
				for _, item := range items {
					if !slices.Contains(places, item) {
						return fmt.Errorf("%q is not one of %s", item, join(places))
					}
				}
				x.Places = items
				return nil
			}},
			must(rangeColumn("height-cm", 0.1, 300, func(x *s) *Range { return &x.HeightCM })),
			must(rangeColumn("spread-cm", 0.1, 200, func(x *s) *Range { return &x.SpreadCM })),
			must(wordColumn("speed", speeds, func(x *s) *string { return &x.Speed })),
			rangeColumn("doubling-days", 1, 1000, func(x *s) *Range { return &x.Doubling }),
			rangeColumn("leaves-week", 0, 50, func(x *s) *Range { return &x.LeavesWeek }),
			rangeColumn("elongation-cm-week", 0, 60, func(x *s) *Range { return &x.ElongCMWeek }),
			rangeColumn("lateral-cm-week", 0, 30, func(x *s) *Range { return &x.LateralCMWk }),
			must(wordColumn("light", lights, func(x *s) *string { return &x.Light })),
			rangeColumn("par", 1, 1000, func(x *s) *Range { return &x.PAR }),
			must(wordColumn("co2", co2Needs, func(x *s) *string { return &x.CO2 })),
			must(rangeColumn("temperature-c", 0, 45, func(x *s) *Range { return &x.Temp })),
			rangeColumn("ph", 3, 11, func(x *s) *Range { return &x.PH }),
			rangeColumn("gh-dgh", 0, 60, func(x *s) *Range { return &x.GH }),
			numberColumn("kh-max-dkh", 0, 60, func(x *s) *float64 { return &x.KHMax }),
			wordColumn("feeder", feeders, func(x *s) *string { return &x.Feeder }),
			textColumn("propagation", func(x *s) *string { return &x.Propagation }),
			wordColumn("trim", trims, func(x *s) *string { return &x.Trim }),
			rangeColumn("trim-weeks", 0.5, 200, func(x *s) *Range { return &x.TrimWeeks }),
			textColumn("colour", func(x *s) *string { return &x.Colour }),
			colourColumn("colour-hex", func(x *s) *string { return &x.ColourHex }),
			wordColumn("leaf-shape", leafShapes, func(x *s) *string { return &x.LeafShape }),
			rangeColumn("pots-m2", 0, 1000, func(x *s) *Range { return &x.PotsM2 }),
			wordColumn("melt", melts, func(x *s) *string { return &x.Melt }),
			wordColumn("bicarbonate", hco3Uses, func(x *s) *string { return &x.HCO3Use }),
			listColumn("origin", func(x *s) *[]string { return &x.Origin }),
			noticesColumn("notices", func(x *s) *[]Notice { return &x.Notices }),
			textColumn("source", func(x *s) *string { return &x.Source }),
		}, physiologyColumns()...),
		finish: func(x *s) error {
			if x.Doubling == (Range{}) {
				x.Doubling = doublingDays(x.Form, x.Speed)
			}
			if x.PAR == (Range{}) {
				x.PAR = parRange(x.Light)
			}
			x.Bicarbonate = x.HCO3Use != "no"
			x.Phys = physiology(x)
			for _, f := range physiologyFields {
				if p, ok := x.Measured[f.name]; ok {
					*f.at(&x.Phys) = p
				}
			}
			return checkPhysiology(&x.Phys)
		},
	}
}

// physiologyColumns let a house write its own measured numbers in place of those mapped from the trade classes, as a value or as a
// value with its range ("0.05 0.03-0.08").
func physiologyColumns() []column[Species] {
	list := make([]column[Species], 0, len(physiologyFields))
	for _, f := range physiologyFields {
		list = append(list, column[Species]{name: f.name, set: func(x *Species, text string) error {
			p, err := param(text, f.lo, f.hi)
			if err != nil {
				return err
			}
			p.Source = "house table"
			x.Measured = maps.Clone(x.Measured) // the row it came from keeps its own
			if x.Measured == nil {
				x.Measured = map[string]Param{}
			}
			x.Measured[f.name] = p
			return nil
		}})
	}
	return list
}

// Reddens tells that a species' leaves can turn red, by the words of its colour; red undersides and stems alone do not count.
func (s *Species) Reddens() bool {
	words := strings.ToLower(s.Colour)
	for _, part := range strings.Split(words, ",") {
		if strings.Contains(part, "under") || strings.Contains(part, "stem") || strings.Contains(part, "new leaves") {
			continue
		}
		for _, w := range strings.FieldsFunc(part, func(r rune) bool { return !unicode.IsLetter(r) }) {
			switch w {
			case "red", "reddish", "pink", "pinkish", "magenta", "orange", "copper", "coppery", "salmon", "violet":
				return true
			}
		}
	}
	return false
}
