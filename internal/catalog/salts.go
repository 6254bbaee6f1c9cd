package catalog

import (
	"fmt"
	"littoral/internal/unit"
)

// saltSpec is one line of the salt table. The element shares and the molar mass are computed from the formula.
type saltSpec struct {
	formula string
	names   []string
	nitrate float64 // moles of nitrate N per mole of salt
	ammonia float64 // moles of ammonium N
	urea    float64 // moles of urea N
	alk     float64 // equivalents of alkalinity per mole, counted from the pH of a KH titration: HCO3⁻ 1, CO3²⁻ 2, HPO4²⁻ 1
}

// saltTable lists the salts of the trade's cupboard. Names are common in shops, handbooks and recipes.
var saltTable = []saltSpec{
	{formula: "CaSO4·2H2O", names: []string{"gypsum", "calcium sulfate", "calcium sulphate", "calcium sulfate dihydrate", "calcium sulphate dihydrate"}},
	{formula: "CaCl2", names: []string{"calcium chloride anhydrous", "dry calcium chloride"}},
	{formula: "CaCl2·2H2O", names: []string{"calcium chloride", "calcium chloride dihydrate"}},
	{formula: "CaCO3", names: []string{"calcium carbonate", "lime"}, alk: 2},
	{formula: "Ca(NO3)2·4H2O", names: []string{"calcium nitrate", "calcium nitrate tetrahydrate"}, nitrate: 2},
	{formula: "MgSO4·7H2O", names: []string{"Epsom salt", "bitter salt", "magnesium sulfate", "magnesium sulphate", "magnesium sulfate heptahydrate", "magnesium sulphate heptahydrate"}},
	{formula: "MgCl2·6H2O", names: []string{"magnesium chloride", "magnesium chloride hexahydrate"}},
	{formula: "Mg(NO3)2·6H2O", names: []string{"magnesium nitrate", "magnesium nitrate hexahydrate"}, nitrate: 2},
	{formula: "NaHCO3", names: []string{"baking soda", "sodium bicarbonate", "sodium hydrogen carbonate"}, alk: 1},
	{formula: "KHCO3", names: []string{"potassium bicarbonate", "potassium hydrogen carbonate"}, alk: 1},
	{formula: "K2CO3", names: []string{"potassium carbonate", "potash"}, alk: 2},
	{formula: "NaCl", names: []string{"table salt", "sodium chloride"}},
	{formula: "KNO3", names: []string{"potassium nitrate", "saltpetre"}, nitrate: 1},
	{formula: "KH2PO4", names: []string{"monopotassium phosphate", "potassium dihydrogen phosphate", "potassium phosphate"}},
	{formula: "K2HPO4", names: []string{"dipotassium phosphate", "dipotassium hydrogen phosphate"}, alk: 1},
	{formula: "K2SO4", names: []string{"potassium sulfate", "potassium sulphate"}},
	{formula: "KCl", names: []string{"potassium chloride"}},
	{formula: "NH4NO3", names: []string{"ammonium nitrate"}, nitrate: 1, ammonia: 1},
	{formula: "(NH4)2SO4", names: []string{"ammonium sulfate", "ammonium sulphate"}, ammonia: 2},
	{formula: "NH4Cl", names: []string{"ammonium chloride"}, ammonia: 1},
	{formula: "CO(NH2)2", names: []string{"urea", "carbamide"}, urea: 2},
	{formula: "FeSO4·7H2O", names: []string{"iron sulfate", "iron sulphate", "ferrous sulfate", "ferrous sulphate", "iron sulphate heptahydrate"}},
	{formula: "MnSO4·H2O", names: []string{"manganese sulfate", "manganese sulphate", "manganese sulphate monohydrate"}},
	{formula: "ZnSO4·7H2O", names: []string{"zinc sulfate", "zinc sulphate", "zinc sulphate heptahydrate"}},
	{formula: "CuSO4·5H2O", names: []string{"copper sulfate", "copper sulphate", "copper sulphate pentahydrate"}},
	{formula: "H3BO3", names: []string{"boric acid"}},
	{formula: "Na2MoO4·2H2O", names: []string{"sodium molybdate", "sodium molybdate dihydrate"}},
	// Chelated iron is dosed by its iron: a plan writes the mass of Fe, whatever the chelate weighs.
	{formula: "iron", names: []string{"Fe", "chelated iron", "iron chelate"}},
}

// salts computes the salt table. Atomic weights are those of package unit (IUPAC 2021 abridged, from memory).
func salts() []Salt {
	list := make([]Salt, 0, len(saltTable))
	for _, spec := range saltTable {
		s, err := newSalt(spec)
		if err != nil {
			panic("catalog: salt table: " + err.Error()) // reached only by a misprint in the table above
		}
		list = append(list, s)
	}
	return list
}

func newSalt(spec saltSpec) (Salt, error) {
	formula := spec.formula
	if formula == "iron" {
		formula = "Fe"
	}
	molar, err := unit.MolarMass(formula)
	if err != nil {
		return Salt{}, err
	}
	counts, err := atoms(formula)
	if err != nil {
		return Salt{}, err
	}
	s := Salt{Formula: spec.formula, Names: spec.names, Molar: molar, Parts: map[string]float64{}}
	for element, n := range counts {
		weight, err := unit.MolarMass(element)
		if err != nil {
			return Salt{}, err
		}
		s.Parts[element] = n * weight / molar
	}
	nitrogen, err := unit.MolarMass("N")
	if err != nil {
		return Salt{}, err
	}
	set := func(key string, perGram float64) {
		if perGram > 0 {
			s.Parts[key] = perGram
		}
	}
	set("NO3-N", spec.nitrate*nitrogen/molar)
	set("NH4-N", spec.ammonia*nitrogen/molar)
	set("urea-N", spec.urea*nitrogen/molar)
	set("alk", spec.alk*1000/molar)
	return s, nil
}

// atoms counts the atoms of a formula with one level of brackets and hydrate dots, as in "Ca(NO3)2·4H2O".
func atoms(formula string) (map[string]float64, error) {
	counts := map[string]float64{}
	group := map[string]float64{} // what stands in the open bracket
	inGroup := false
	factor := 1.0 // the number before the current part of a hydrate
	rest := []rune(formula)
	number := func() float64 {
		n, any := 0.0, false
		for len(rest) > 0 && rest[0] >= '0' && rest[0] <= '9' {
			n, any = 10*n+float64(rest[0]-'0'), true
			rest = rest[1:]
		}
		if !any {
			return 1
		}
		return n
	}
	for len(rest) > 0 {
		r := rest[0]
		rest = rest[1:]
		switch {
		case r == '·':
			factor = number()
		case r == '(' && !inGroup:
			inGroup = true
		case r == ')' && inGroup:
			n := number()
			for element, count := range group {
				counts[element] += factor * n * count
			}
			group, inGroup = map[string]float64{}, false
		case r >= 'A' && r <= 'Z':
			element := string(r)
			for len(rest) > 0 && rest[0] >= 'a' && rest[0] <= 'z' {
				element += string(rest[0])
				rest = rest[1:]
			}
			if n := number(); inGroup {
				group[element] += n
			} else {
				counts[element] += factor * n
			}
		default:
			return nil, fmt.Errorf("the formula %q has %q where an element should stand", formula, r)
		}
	}
	if inGroup {
		return nil, fmt.Errorf("the formula %q has an open bracket", formula)
	}
	return counts, nil
}
