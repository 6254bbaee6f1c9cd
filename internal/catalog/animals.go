package catalog

import "math"

var (
	kinds      = []string{"fish", "shrimp", "snail"}
	bodies     = []string{"slender", "usual", "deep", "shrimp", "snail"}
	tolerances = []string{"low", "medium", "high"}
)

func animalTable() table[Animal] {
	type a = Animal
	return table[a]{
		word:  "animal",
		names: animalNames,
		own:   func(x *a) *string { return &x.Name },
		fresh: func(file string) a {
			return a{GroupMin: 1, CO2Max: 25, CO2Class: "medium", EarlyWeek: 6, PH: Range{6, 7.5}, GH: Range{2, 15}, Source: "house table " + file}
		},
		columns: []column[a]{
			listColumn("synonyms", func(x *a) *[]string { return &x.Synonyms }),
			must(wordColumn("kind", kinds, func(x *a) *string { return &x.Kind })),
			must(numberColumn("size-cm", 0.2, 150, func(x *a) *float64 { return &x.SizeCM })),
			wordColumn("body", bodies, func(x *a) *string { return &x.Body }),
			must(rangeColumn("temperature-c", 0, 45, func(x *a) *Range { return &x.Temp })),
			rangeColumn("ph", 3, 11, func(x *a) *Range { return &x.PH }),
			rangeColumn("gh-dgh", 0, 60, func(x *a) *Range { return &x.GH }),
			countColumn("group-min", 1, 1000, func(x *a) *int { return &x.GroupMin }),
			numberColumn("litres-each", 0, 2000, func(x *a) *float64 { return &x.LitresEach }),
			textColumn("niche", func(x *a) *string { return &x.Niche }),
			textColumn("plants", func(x *a) *string { return &x.Plants }),
			yesColumn("eats-plants", func(x *a) *bool { return &x.EatsPlants }),
			textColumn("algae", func(x *a) *string { return &x.Algae }),
			wordColumn("co2-sensitivity", tolerances, func(x *a) *string { return &x.CO2Class }),
			numberColumn("co2-max", 1, 100, func(x *a) *float64 { return &x.CO2Max }),
			countColumn("earliest-week", 0, 200, func(x *a) *int { return &x.EarlyWeek }),
			textColumn("note", func(x *a) *string { return &x.Note }),
			noticesColumn("notices", func(x *a) *[]Notice { return &x.Notices }),
			textColumn("source", func(x *a) *string { return &x.Source }),
		},
		finish: func(x *a) error {
			if x.Body == "" {
				x.Body = map[string]string{"shrimp": "shrimp", "snail": "snail"}[x.Kind]
			}
			if x.Body == "" {
				x.Body = "usual"
			}
			x.MassG = massFromLength(x.SizeCM, x.Body)
			return nil
		},
	}
}

// massFromLength is the wet mass in g of an adult of the given length in cm: W = a L³. For fish of usual build a is about 0.013
// (0.009–0.02), for slender, loach-like fish 0.005, for deep discs such as angelfish 0.03 (from memory of the length-weight survey of
// Froese 2006). Shrimps, rostrum to tail, about 0.011; snails with their shell, by shell diameter, about 0.12 (from memory, from
// weighed animals; within a factor of 2).
func massFromLength(cm float64, body string) Param {
	a := Param{Value: 0.013, Min: 0.009, Max: 0.02}
	switch body {
	case "slender":
		a = Param{Value: 0.005, Min: 0.003, Max: 0.008}
	case "deep":
		a = Param{Value: 0.03, Min: 0.02, Max: 0.045}
	case "shrimp":
		a = Param{Value: 0.011, Min: 0.007, Max: 0.016}
	case "snail":
		a = Param{Value: 0.12, Min: 0.06, Max: 0.25}
	}
	cube := math.Pow(cm, 3)
	return Param{
		Value: a.Value * cube, Min: a.Min * cube, Max: a.Max * cube,
		Source: "W = a L³, a from memory of Froese 2006 (fish) and of weighed animals (shrimps, snails)",
	}
}
