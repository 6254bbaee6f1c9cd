package catalog

import "littoral/internal/unit"

// saltSpec is one line of the salt table. The element shares and the molar mass are computed from the formula.
type saltSpec struct {
	formula string
	words   string
	names   []string
	nitrate int     // moles of nitrate N per mole of salt
	ammonia int     // moles of ammonium N
	urea    int     // moles of urea N
	alk     float64 // equivalents of alkalinity per mole, counted from the pH of a KH titration: HCO3⁻ 1, CO3²⁻ 2, HPO4²⁻ 1
}

// saltTable lists the salts of the trade's cupboard. Names are common in shops, handbooks and recipes.
var saltTable = []saltSpec{
	{formula: "CaSO4·2H2O", words: "gypsum, calcium sulphate dihydrate", names: []string{"gypsum", "calcium sulfate", "calcium sulphate", "calcium sulfate dihydrate", "calcium sulphate dihydrate"}},
	{formula: "CaCl2", words: "calcium chloride, dry", names: []string{"calcium chloride anhydrous", "dry calcium chloride"}},
	{formula: "CaCl2·2H2O", words: "calcium chloride dihydrate", names: []string{"calcium chloride", "calcium chloride dihydrate"}},
	{formula: "CaCO3", words: "calcium carbonate", names: []string{"calcium carbonate", "lime"}, alk: 2},
	{formula: "Ca(NO3)2·4H2O", words: "calcium nitrate tetrahydrate", names: []string{"calcium nitrate", "calcium nitrate tetrahydrate"}, nitrate: 2},
	{formula: "MgSO4·7H2O", words: "Epsom salt, magnesium sulphate heptahydrate", names: []string{"Epsom salt", "bitter salt", "magnesium sulfate", "magnesium sulphate", "magnesium sulfate heptahydrate", "magnesium sulphate heptahydrate"}},
	{formula: "MgCl2·6H2O", words: "magnesium chloride hexahydrate", names: []string{"magnesium chloride", "magnesium chloride hexahydrate"}},
	{formula: "Mg(NO3)2·6H2O", words: "magnesium nitrate hexahydrate", names: []string{"magnesium nitrate", "magnesium nitrate hexahydrate"}, nitrate: 2},
	{formula: "NaHCO3", words: "sodium hydrogen carbonate, baking soda", names: []string{"baking soda", "sodium bicarbonate", "sodium hydrogen carbonate"}, alk: 1},
	{formula: "KHCO3", words: "potassium hydrogen carbonate", names: []string{"potassium bicarbonate", "potassium hydrogen carbonate"}, alk: 1},
	{formula: "K2CO3", words: "potassium carbonate", names: []string{"potassium carbonate", "potash"}, alk: 2},
	{formula: "NaCl", words: "table salt", names: []string{"table salt", "sodium chloride"}},
	{formula: "KNO3", words: "potassium nitrate", names: []string{"potassium nitrate", "saltpetre"}, nitrate: 1},
	{formula: "KH2PO4", words: "potassium dihydrogen phosphate", names: []string{"monopotassium phosphate", "potassium dihydrogen phosphate", "potassium phosphate"}},
	{formula: "K2HPO4", words: "dipotassium hydrogen phosphate", names: []string{"dipotassium phosphate", "dipotassium hydrogen phosphate"}, alk: 1},
	{formula: "K2SO4", words: "potassium sulphate", names: []string{"potassium sulfate", "potassium sulphate"}},
	{formula: "KCl", words: "potassium chloride", names: []string{"potassium chloride"}},
	{formula: "NH4NO3", words: "ammonium nitrate", names: []string{"ammonium nitrate"}, nitrate: 1, ammonia: 1},
	{formula: "(NH4)2SO4", words: "ammonium sulphate", names: []string{"ammonium sulfate", "ammonium sulphate"}, ammonia: 2},
	{formula: "NH4Cl", words: "ammonium chloride", names: []string{"ammonium chloride"}, ammonia: 1},
	{formula: "CO(NH2)2", words: "urea, counted as the ammonium it becomes", names: []string{"urea", "carbamide"}, urea: 2},
	{formula: "FeSO4·7H2O", words: "iron sulphate heptahydrate", names: []string{"iron sulfate", "iron sulphate", "ferrous sulfate", "ferrous sulphate", "iron sulphate heptahydrate"}},
	{formula: "MnSO4·H2O", words: "manganese sulphate monohydrate", names: []string{"manganese sulfate", "manganese sulphate", "manganese sulphate monohydrate"}},
	{formula: "ZnSO4·7H2O", words: "zinc sulphate heptahydrate", names: []string{"zinc sulfate", "zinc sulphate", "zinc sulphate heptahydrate"}},
	{formula: "CuSO4·5H2O", words: "copper sulphate pentahydrate", names: []string{"copper sulfate", "copper sulphate", "copper sulphate pentahydrate"}},
	{formula: "H3BO3", words: "boric acid", names: []string{"boric acid"}},
	{formula: "Na2MoO4·2H2O", words: "sodium molybdate dihydrate", names: []string{"sodium molybdate", "sodium molybdate dihydrate"}},
	// Chelated iron is dosed by its iron: a plan writes the mass of Fe, whatever the chelate weighs.
	{formula: "iron", words: "chelated iron, weighed as Fe", names: []string{"Fe", "chelated iron", "iron chelate"}},
}

// Salts returns the dry salts in the order of the salt table; they are the same in every catalogue. Atomic weights are those of package unit (IUPAC 2021 abridged, from memory).
func Salts() []Salt {
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
	counts, err := unit.Atoms(formula)
	if err != nil {
		return Salt{}, err
	}
	s := Salt{
		Formula: spec.formula, Words: spec.words, Names: spec.names, Molar: molar, Parts: map[string]float64{},
		Atoms: counts, Nitrate: spec.nitrate, Ammonium: spec.ammonia, Urea: spec.urea,
	}
	for element, n := range counts {
		weight, _ := unit.AtomicWeight(element)
		s.Parts[element] = float64(n) * weight / molar
	}
	nitrogen, _ := unit.AtomicWeight("N")
	set := func(key string, perGram float64) {
		if perGram > 0 {
			s.Parts[key] = perGram
		}
	}
	set("NO3-N", float64(spec.nitrate)*nitrogen/molar)
	set("NH4-N", float64(spec.ammonia)*nitrogen/molar)
	set("urea-N", float64(spec.urea)*nitrogen/molar)
	set("alk", spec.alk*1000/molar)
	return s, nil
}
