package unit

import (
	"fmt"
	"strings"
)

// Abridged standard atomic weights, g/mol. Source: IUPAC 2021 abridged values, from memory; P, Mn and Mo compared with the
// IUPAC 2013 report.
const (
	wtH  = 1.008
	wtB  = 10.81
	wtC  = 12.011
	wtN  = 14.007
	wtO  = 15.999
	wtNa = 22.990
	wtMg = 24.305
	wtSi = 28.085
	wtP  = 30.974
	wtS  = 32.06
	wtCl = 35.45
	wtK  = 39.098
	wtCa = 40.078
	wtMn = 54.938
	wtFe = 55.845
	wtCu = 63.546
	wtZn = 65.38
	wtMo = 95.95
)

// Molar masses that the conversions below use, g/mol, from the weights above.
const (
	molCaO   = wtCa + wtO
	molCaCO3 = wtCa + wtC + 3*wtO
	molHCO3  = wtH + wtC + 3*wtO
	molNO3   = wtN + 3*wtO
	molNO2   = wtN + 2*wtO
	molNH4   = wtN + 4*wtH
	molPO4   = wtP + 4*wtO
)

// AtomicWeight returns the abridged standard atomic weight of an element of tank water and its salts, g/mol; ok is false for any other.
func AtomicWeight(symbol string) (weight float64, ok bool) {
	switch symbol {
	case "H":
		return wtH, true
	case "B":
		return wtB, true
	case "C":
		return wtC, true
	case "N":
		return wtN, true
	case "O":
		return wtO, true
	case "Na":
		return wtNa, true
	case "Mg":
		return wtMg, true
	case "Si":
		return wtSi, true
	case "P":
		return wtP, true
	case "S":
		return wtS, true
	case "Cl":
		return wtCl, true
	case "K":
		return wtK, true
	case "Ca":
		return wtCa, true
	case "Mn":
		return wtMn, true
	case "Fe":
		return wtFe, true
	case "Cu":
		return wtCu, true
	case "Zn":
		return wtZn, true
	case "Mo":
		return wtMo, true
	}
	return 0, false
}

// elements are those that AtomicWeight knows, in the order in which masses are added up.
var elements = [...]string{"H", "B", "C", "N", "O", "Na", "Mg", "Si", "P", "S", "Cl", "K", "Ca", "Mn", "Fe", "Cu", "Zn", "Mo"}

// MolarMass returns the molar mass in g/mol of a formula as Atoms reads it, and fails as Atoms does. Source: IUPAC 2021 abridged atomic weights.
func MolarMass(formula string) (float64, error) {
	counts, err := Atoms(formula)
	if err != nil {
		return 0, err
	}
	total := 0.0
	for _, e := range elements {
		w, _ := AtomicWeight(e)
		total += float64(counts[e]) * w
	}
	return total, nil
}

// Atoms counts the atoms by element of a formula such as "NO3", "Ca(NO3)2" or "MgSO4·7H2O" (the hydrate dot may also be "." or "*"). It knows
// the elements of tank water and its salts: H B C N O Na Mg Si P S Cl K Ca Mn Fe Cu Zn Mo. Anything else is an error that names the place.
func Atoms(formula string) (map[string]int, error) {
	s := strings.NewReplacer(".", "·", "*", "·", " ", "").Replace(canonical(formula))
	if s == "" || len(s) > maxText {
		return nil, fmt.Errorf("%s is not a chemical formula; write for example MgSO4·7H2O", quote(formula))
	}
	total := map[string]int{}
	for part := range strings.SplitSeq(s, "·") {
		count, rest := leadingCount(part)
		atoms, rest, err := formulaGroup(rest, 0)
		if err == nil && rest != "" {
			err = fmt.Errorf("%s is left over", quote(rest))
		}
		if err != nil {
			return nil, fmt.Errorf("%s is not a chemical formula that is known here: %w; write for example MgSO4·7H2O", quote(formula), err)
		}
		for e, n := range atoms {
			total[e] += count * n
		}
	}
	return total, nil
}

// formulaGroup counts elements and bracketed groups until the end or a closing bracket, which it leaves in rest.
func formulaGroup(s string, depth int) (atoms map[string]int, rest string, err error) {
	if s == "" || depth > 4 {
		return nil, s, fmt.Errorf("a part of it is empty or nested too deeply")
	}
	atoms = map[string]int{}
	sum := 0
	for s != "" && s[0] != ')' {
		var one map[string]int
		if s[0] == '(' {
			one, s, err = formulaGroup(s[1:], depth+1)
			if err != nil {
				return nil, s, err
			}
			if s == "" {
				return nil, s, fmt.Errorf("a bracket is not closed")
			}
			s = s[1:]
		} else {
			n := 1
			if len(s) > 1 && s[1] >= 'a' && s[1] <= 'z' {
				n = 2
			}
			if _, ok := AtomicWeight(s[:n]); !ok {
				return nil, s, fmt.Errorf("%s is not an element of its list", quote(s[:n]))
			}
			one, s = map[string]int{s[:n]: 1}, s[n:]
		}
		var count int
		count, s = leadingCount(s)
		for e, n := range one {
			atoms[e] += count * n
			sum += count * n
		}
	}
	if sum == 0 {
		return nil, s, fmt.Errorf("a part of it is empty")
	}
	if depth == 0 && s != "" {
		return nil, s, fmt.Errorf("a bracket was never opened")
	}
	return atoms, s, nil
}

// leadingCount reads a whole number of at most three digits; none means one.
func leadingCount(s string) (int, string) {
	n, i := 0, 0
	for i < len(s) && i < 3 && digit(s[i]) {
		n = 10*n + int(s[i]-'0')
		i++
	}
	if i == 0 {
		return 1, s
	}
	return n, s[i:]
}

// NToNO3 turns nitrate counted as nitrogen (NO3-N) into nitrate, both in the same mass unit: factor 4.4266.
func NToNO3[T ~float64](n T) T { return n * molNO3 / wtN }

// NO3ToN turns nitrate into nitrate counted as nitrogen.
func NO3ToN[T ~float64](no3 T) T { return no3 * wtN / molNO3 }

// NToNO2 turns nitrite counted as nitrogen (NO2-N) into nitrite: factor 3.2844.
func NToNO2[T ~float64](n T) T { return n * molNO2 / wtN }

// NO2ToN turns nitrite into nitrite counted as nitrogen.
func NO2ToN[T ~float64](no2 T) T { return no2 * wtN / molNO2 }

// NToNH4 turns ammonium counted as nitrogen (NH4-N) into ammonium: factor 1.2879.
func NToNH4[T ~float64](n T) T { return n * molNH4 / wtN }

// NH4ToN turns ammonium into ammonium counted as nitrogen.
func NH4ToN[T ~float64](nh4 T) T { return nh4 * wtN / molNH4 }

// PToPO4 turns phosphate counted as phosphorus (PO4-P) into phosphate: factor 3.0661.
func PToPO4[T ~float64](p T) T { return p * molPO4 / wtP }

// PO4ToP turns phosphate into phosphate counted as phosphorus.
func PO4ToP[T ~float64](po4 T) T { return po4 * wtP / molPO4 }

// Degrees of hardness. 1 °dH is 10 mg CaO per litre (definition of the German degree), so 0.178326 mmol/L of Ca + Mg and
// 0.356652 meq/L.
const (
	mmolPerDegree = 10 / molCaO
	meqPerDegree  = 20 / molCaO
)

// DKH returns an alkalinity in German degrees of carbonate hardness (1 dKH = 0.356652 meq/L = 17.848 mg/L CaCO3).
func DKH(a Alkalinity) float64 { return float64(a) / meqPerDegree }

// FromDKH returns the alkalinity of so many German degrees of carbonate hardness.
func FromDKH(degrees float64) Alkalinity { return Alkalinity(degrees * meqPerDegree) }

// DGH returns a total hardness in German degrees (1 dGH = 0.178326 mmol/L of Ca + Mg = 17.848 mg/L CaCO3).
func DGH(h Hardness) float64 { return float64(h) / mmolPerDegree }

// FromDGH returns the total hardness of so many German degrees.
func FromDGH(degrees float64) Hardness { return Hardness(degrees * mmolPerDegree) }
