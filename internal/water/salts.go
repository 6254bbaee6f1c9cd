package water

import (
	"fmt"
	"strings"
)

// Salt is a substance that is weighed into water.
type Salt struct {
	Name    string  // the name plans use: the formula with · before water of crystallisation, or a plain word
	Words   string  // what it is called in plain words
	Mass    float64 // g/mol of the formula as named
	ions    ions
	element map[string]int
}

// ions are the dissolved ions of one formula unit, in moles.
type ions struct{ ca, mg, k, na, cl, so4, no3, nh4, po4, c, fe, mn, zn, cu, b, mo float64 }

// atomicWeights: IUPAC 2021 abridged (from memory; P, Mn, Mo agree with the IUPAC 2013 report), g/mol.
var atomicWeights = map[string]float64{
	"H": 1.008, "B": 10.81, "C": molC, "N": molN, "O": 15.999, "Na": molNa, "Mg": molMg, "P": molP, "S": 32.06, "Cl": molCl,
	"K": molK, "Ca": molCa, "Mn": 54.938, "Fe": 55.845, "Cu": 63.546, "Zn": 65.38, "Mo": 95.95,
}

// saltTable lists every salt with its ions; masses are computed from the formula. It is never written after start.
var saltTable = buildSalts([]Salt{
	{Name: "CaSO4·2H2O", Words: "gypsum, calcium sulphate dihydrate", ions: ions{ca: 1, so4: 1}},
	{Name: "CaCl2", Words: "calcium chloride, dry", ions: ions{ca: 1, cl: 2}},
	{Name: "CaCl2·2H2O", Words: "calcium chloride dihydrate", ions: ions{ca: 1, cl: 2}},
	{Name: "CaCO3", Words: "calcium carbonate", ions: ions{ca: 1, c: 1}},
	{Name: "Ca(NO3)2·4H2O", Words: "calcium nitrate tetrahydrate", ions: ions{ca: 1, no3: 2}},
	{Name: "MgSO4·7H2O", Words: "Epsom salt, magnesium sulphate heptahydrate", ions: ions{mg: 1, so4: 1}},
	{Name: "MgCl2·6H2O", Words: "magnesium chloride hexahydrate", ions: ions{mg: 1, cl: 2}},
	{Name: "Mg(NO3)2·6H2O", Words: "magnesium nitrate hexahydrate", ions: ions{mg: 1, no3: 2}},
	{Name: "NaHCO3", Words: "sodium hydrogen carbonate, baking soda", ions: ions{na: 1, c: 1}},
	{Name: "KHCO3", Words: "potassium hydrogen carbonate", ions: ions{k: 1, c: 1}},
	{Name: "K2CO3", Words: "potassium carbonate", ions: ions{k: 2, c: 1}},
	{Name: "NaCl", Words: "table salt", ions: ions{na: 1, cl: 1}},
	{Name: "KNO3", Words: "potassium nitrate", ions: ions{k: 1, no3: 1}},
	{Name: "KH2PO4", Words: "potassium dihydrogen phosphate", ions: ions{k: 1, po4: 1}},
	{Name: "K2HPO4", Words: "dipotassium hydrogen phosphate", ions: ions{k: 2, po4: 1}},
	{Name: "K2SO4", Words: "potassium sulphate", ions: ions{k: 2, so4: 1}},
	{Name: "KCl", Words: "potassium chloride", ions: ions{k: 1, cl: 1}},
	{Name: "NH4NO3", Words: "ammonium nitrate", ions: ions{nh4: 1, no3: 1}},
	{Name: "(NH4)2SO4", Words: "ammonium sulphate", ions: ions{nh4: 2, so4: 1}},
	{Name: "NH4Cl", Words: "ammonium chloride", ions: ions{nh4: 1, cl: 1}},
	{Name: "CO(NH2)2", Words: "urea, counted as the ammonium it becomes", ions: ions{nh4: 2, c: 1}},
	{Name: "FeSO4·7H2O", Words: "iron sulphate heptahydrate", ions: ions{fe: 1, so4: 1}},
	{Name: "MnSO4·H2O", Words: "manganese sulphate monohydrate", ions: ions{mn: 1, so4: 1}},
	{Name: "ZnSO4·7H2O", Words: "zinc sulphate heptahydrate", ions: ions{zn: 1, so4: 1}},
	{Name: "CuSO4·5H2O", Words: "copper sulphate pentahydrate", ions: ions{cu: 1, so4: 1}},
	{Name: "H3BO3", Words: "boric acid", ions: ions{b: 1}},
	{Name: "Na2MoO4·2H2O", Words: "sodium molybdate dihydrate", ions: ions{na: 2, mo: 1}},
	// A chelated iron is dosed by its iron: a plan writes the mass of Fe, the chelate's own mass does not matter here.
	{Name: "iron", Words: "chelated iron, weighed as Fe", ions: ions{fe: 1}},
})

func buildSalts(list []Salt) []Salt {
	for i := range list {
		s := &list[i]
		formula := s.Name
		if s.Name == "iron" {
			formula = "Fe"
		}
		counts, err := parseFormula(formula)
		if err != nil {
			panic("water: salt table: " + err.Error()) // reached only by a misprint in the table above
		}
		s.element = counts
		s.Mass = massOf(counts)
	}
	return list
}

func massOf(counts map[string]int) float64 {
	var m float64
	for _, el := range []string{"H", "B", "C", "N", "O", "Na", "Mg", "P", "S", "Cl", "K", "Ca", "Mn", "Fe", "Cu", "Zn", "Mo"} {
		m += float64(counts[el]) * atomicWeights[el]
	}
	return m
}

// MolarMass returns the molar mass of a chemical formula such as "Ca(NO3)2·4H2O", g/mol. The dot of a hydrate may be written ·, * or a full stop.
// It fails on a formula it cannot read or an element that no salt of the trade contains. IUPAC 2021 abridged weights.
func MolarMass(formula string) (float64, error) {
	counts, err := parseFormula(formula)
	if err != nil {
		return 0, err
	}
	return massOf(counts), nil
}

// plainDots writes every hydrate dot as a full stop.
var plainDots = strings.NewReplacer("·", ".", "*", ".", "•", ".", "∙", ".", " ", "")

const (
	longestFormula = 100 // characters; far beyond any salt
	largestCount   = 1000
)

func parseFormula(formula string) (map[string]int, error) {
	text := plainDots.Replace(formula)
	if text == "" || len(text) > longestFormula {
		return nil, fmt.Errorf("formula %q is empty or too long, write it like CaSO4·2H2O", formula)
	}
	total := map[string]int{}
	for _, part := range strings.Split(text, ".") {
		n, rest := leadingCount(part)
		counts, rest, err := parseGroup(rest, 0)
		if err == nil && (n == 0 || rest != "" || len(counts) == 0) {
			err = fmt.Errorf("cannot read %q", part)
		}
		if err != nil {
			return nil, fmt.Errorf("formula %q: %w, write it like Ca(NO3)2·4H2O", formula, err)
		}
		for el, c := range counts {
			total[el] += n * c
		}
	}
	return total, nil
}

// parseGroup reads element symbols and bracketed groups until the end or a closing bracket.
func parseGroup(s string, depth int) (map[string]int, string, error) {
	counts := map[string]int{}
	if depth > 5 {
		return nil, s, fmt.Errorf("too many brackets")
	}
	for s != "" && s[0] != ')' {
		var inner map[string]int
		if s[0] == '(' {
			var err error
			inner, s, err = parseGroup(s[1:], depth+1)
			if err != nil {
				return nil, s, err
			}
			if s == "" || len(inner) == 0 {
				return nil, s, fmt.Errorf("a bracket is not closed or empty")
			}
			s = s[1:]
		} else {
			size := 1
			if len(s) > 1 && s[1] >= 'a' && s[1] <= 'z' {
				size = 2
			}
			if _, ok := atomicWeights[s[:size]]; !ok {
				return nil, s, fmt.Errorf("unknown element %q", s[:size])
			}
			inner, s = map[string]int{s[:size]: 1}, s[size:]
		}
		var n int
		n, s = leadingCount(s)
		if n == 0 {
			return nil, s, fmt.Errorf("a count of zero")
		}
		for el, c := range inner {
			counts[el] += n * c
			if counts[el] > largestCount {
				return nil, s, fmt.Errorf("too many atoms of %s", el)
			}
		}
	}
	if s != "" && depth == 0 {
		return nil, s, fmt.Errorf("a bracket closes that was not opened")
	}
	return counts, s, nil
}

// leadingCount reads a count in front of s; no digits mean one.
func leadingCount(s string) (int, string) {
	n, i := 0, 0
	for i < len(s) && s[i] >= '0' && s[i] <= '9' {
		if n <= largestCount {
			n = 10*n + int(s[i]-'0')
		}
		i++
	}
	if i == 0 {
		return 1, s
	}
	return n, s[i:]
}

// Salts returns every known salt in table order.
func Salts() []Salt { return append([]Salt(nil), saltTable...) }

// LookSalt finds a salt by formula (any hydrate dot, "CaSO4.2H2O"), by "iron" or "Fe", or by "urea". Case matters in formulas only where it
// tells elements apart, so it is first matched exactly, then without case.
func LookSalt(name string) (Salt, bool) {
	key := plainDots.Replace(name)
	switch strings.ToLower(key) {
	case "fe", "ironchelate", "chelatediron":
		key = "iron"
	case "urea":
		key = "CO(NH2)2"
	}
	for _, s := range saltTable {
		if plainDots.Replace(s.Name) == key {
			return s, true
		}
	}
	for _, s := range saltTable {
		if strings.EqualFold(plainDots.Replace(s.Name), key) {
			return s, true
		}
	}
	return Salt{}, false
}

// Share returns the mass share of an element ("Ca", "N") in the salt, 0 to 1, computed from atomic weights.
func (s Salt) Share(element string) float64 {
	if s.Mass == 0 {
		return 0
	}
	return float64(s.element[element]) * atomicWeights[element] / s.Mass
}

// Dissolve returns what the given grams of a salt bring into water. Urea counts as the ammonium and carbonate that it becomes within hours to days.
// Trace metals come back in Traces. Alkalinity is the charge of the strong ions; iron, manganese, copper and zinc salts
// that are not chelates end as oxides or hydroxides and cost the 2 meq/mmol of their anion.
func Dissolve(s Salt, grams float64) Amount {
	if !(s.Mass > 0) {
		return Amount{}
	}
	mol := within(grams, 0, 1e9) / s.Mass
	i := s.ions
	a := Amount{
		Ca: mol * i.ca * molCa, Mg: mol * i.mg * molMg, K: mol * i.k * molK, Na: mol * i.na * molNa,
		Cl: mol * i.cl * molCl, SO4: mol * i.so4 * molSO4,
		NO3N: mol * i.no3 * molN, TAN: mol * i.nh4 * molN, PO4P: mol * i.po4 * molP,
		Fe: mol * i.fe * atomicWeights["Fe"], DIC: mol * i.c,
		Traces: Traces{
			Mn: mol * i.mn * atomicWeights["Mn"], Zn: mol * i.zn * atomicWeights["Zn"], Cu: mol * i.cu * atomicWeights["Cu"],
			B: mol * i.b * atomicWeights["B"], Mo: mol * i.mo * atomicWeights["Mo"],
		},
	}
	// The molybdate ion keeps its two charges beside sodium.
	a.Alk = a.charge() - 2*mol*i.mo
	return a
}
