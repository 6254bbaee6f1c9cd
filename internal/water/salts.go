package water

import (
	"littoral/internal/catalog"
	"littoral/internal/unit"
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

// saltTable is the catalogue's salts with the ions they dissolve into. It is never written after start.
var saltTable = buildSalts(catalog.Salts())

func buildSalts(list []catalog.Salt) []Salt {
	out := make([]Salt, len(list))
	for i, c := range list {
		n := func(element string) float64 { return float64(c.Atoms[element]) }
		out[i] = Salt{
			Name: c.Formula, Words: c.Words, Mass: c.Molar, element: c.Atoms,
			ions: ions{
				ca: n("Ca"), mg: n("Mg"), k: n("K"), na: n("Na"), cl: n("Cl"), so4: n("S"), po4: n("P"), c: n("C"),
				no3: float64(c.Nitrate), nh4: float64(c.Ammonium + c.Urea), // urea counts as the ammonium it becomes
				fe: n("Fe"), mn: n("Mn"), zn: n("Zn"), cu: n("Cu"), b: n("B"), mo: n("Mo"),
			},
		}
	}
	return out
}

// atomicWeight is that of an element of the salts, g/mol.
func atomicWeight(element string) float64 {
	w, _ := unit.AtomicWeight(element)
	return w
}

// plainDots writes every hydrate dot as a full stop.
var plainDots = strings.NewReplacer("·", ".", "*", ".", "•", ".", "∙", ".", " ", "")

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
	return float64(s.element[element]) * atomicWeight(element) / s.Mass
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
		Fe: mol * i.fe * atomicWeight("Fe"), DIC: mol * i.c,
		Traces: Traces{
			Mn: mol * i.mn * atomicWeight("Mn"), Zn: mol * i.zn * atomicWeight("Zn"), Cu: mol * i.cu * atomicWeight("Cu"),
			B: mol * i.b * atomicWeight("B"), Mo: mol * i.mo * atomicWeight("Mo"),
		},
	}
	// The molybdate ion keeps its two charges beside sodium.
	a.Alk = a.charge() - 2*mol*i.mo
	return a
}
