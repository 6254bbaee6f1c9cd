package tapsheet

import (
	"littoral/internal/unit"
	"strings"
	"unicode"
)

// parameter is something that a sheet can state.
type parameter struct {
	key  string    // "Ca"
	kind unit.Kind // empty for pH; "conductivity" has no kind of its own
	ion  string    // formula for concentrations
	bare string    // unit that is meant when the sheet names none; empty where none can be assumed
	says []string  // how sheets call it, folded by fold
}

// parameters lists what is read, in the order of the account. Names are facts of the trade: how companies print them, common practice, no source.
var parameters = []parameter{
	{key: "pH", says: []string{"ph", "ph value", "ph wert", "ph at 25 c", "valeur ph"}},
	{key: "temperature", kind: unit.KindTemperature, bare: "°C", says: []string{"temperature", "water temperature", "temperatur", "wassertemperatur", "temperature de l eau"}},
	{key: "conductivity", says: []string{"conductivity", "electrical conductivity", "conductivity at 20 c", "conductivity at 25 c", "ec", "leitfahigkeit", "elektrische leitfahigkeit", "conductivite", "conductance", "specific conductance"}},
	{key: "alkalinity", kind: unit.KindAlkalinity, says: []string{
		"alkalinity", "total alkalinity", "alkalinity as caco3", "m alkalinity", "m value", "kh", "carbonate hardness", "temporary hardness", "karbonatharte", "carbonatharte", "saurekapazitat",
		"saurekapazitat bis ph 4 3", "saurekapazitat ks4 3", "ks4 3", "ks 4 3", "titre alcalimetrique complet", "tac", "alcalinite",
	}},
	{key: "HCO3", kind: unit.KindConcentration, ion: "HCO3", bare: "mg/L", says: []string{"hco3", "bicarbonate", "bicarbonates", "hydrogen carbonate", "hydrogencarbonate", "hydrogencarbonat", "hydrogenocarbonates"}},
	{key: "hardness", kind: unit.KindHardness, says: []string{
		"hardness", "total hardness", "hardness total", "gh", "general hardness", "gesamtharte", "harte", "summe erdalkalien", "calcium und magnesium", "durete", "durete totale", "titre hydrotimetrique", "th",
	}},
	{key: "Ca", kind: unit.KindConcentration, ion: "Ca", bare: "mg/L", says: []string{"ca", "calcium", "kalzium"}},
	{key: "Mg", kind: unit.KindConcentration, ion: "Mg", bare: "mg/L", says: []string{"mg", "magnesium"}},
	{key: "Na", kind: unit.KindConcentration, ion: "Na", bare: "mg/L", says: []string{"na", "sodium", "natrium"}},
	{key: "K", kind: unit.KindConcentration, ion: "K", bare: "mg/L", says: []string{"k", "potassium", "kalium"}},
	{key: "Cl", kind: unit.KindConcentration, ion: "Cl", bare: "mg/L", says: []string{"cl", "chloride", "chlorid", "chlorures", "chlorure"}},
	{key: "SO4", kind: unit.KindConcentration, ion: "SO4", bare: "mg/L", says: []string{"so4", "sulphate", "sulfate", "sulfat", "sulfates"}},
	{key: "NO3", kind: unit.KindConcentration, ion: "NO3", bare: "mg/L", says: []string{"no3", "nitrate", "nitrat", "nitrates"}},
	{key: "NO2", kind: unit.KindConcentration, ion: "NO2", bare: "mg/L", says: []string{"no2", "nitrite", "nitrit", "nitrites"}},
	{key: "NH4", kind: unit.KindConcentration, ion: "NH4", bare: "mg/L", says: []string{"nh4", "ammonium", "ammonia"}},
	{key: "PO4", kind: unit.KindConcentration, ion: "PO4", bare: "mg/L", says: []string{"po4", "phosphate", "orthophosphate", "phosphat", "orthophosphat", "phosphates"}},
	{key: "Fe", kind: unit.KindConcentration, ion: "Fe", bare: "mg/L", says: []string{"fe", "iron", "total iron", "eisen", "eisen gesamt", "fer"}},
}

// counted are endings that say what a number counts, folded; the second member is the text that package unit reads.
var counted = [][2]string{
	{"nitrate nitrogen", "as N"},
	{"nitrite nitrogen", "as N"},
	{"ammonium nitrogen", "as N"},
	{"ammonia nitrogen", "as N"},
	{"no3 n", "as N"},
	{"no2 n", "as N"},
	{"nh4 n", "as N"},
	{"po4 p", "as P"},
	{"phosphate phosphorus", "as P"},
	{"nitratstickstoff", "as N"},
	{"nitritstickstoff", "as N"},
	{"ammoniumstickstoff", "as N"},
}

var baseOf = map[string]string{
	"nitrate nitrogen": "no3", "nitrite nitrogen": "no2", "ammonium nitrogen": "nh4", "ammonia nitrogen": "nh4",
	"no3 n": "no3", "no2 n": "no2", "nh4 n": "nh4", "po4 p": "po4", "phosphate phosphorus": "po4",
	"nitratstickstoff": "no3", "nitritstickstoff": "no2", "ammoniumstickstoff": "nh4",
}

var accents = strings.NewReplacer("ä", "a", "ö", "o", "ü", "u", "é", "e", "è", "e", "ê", "e", "à", "a", "â", "a", "î", "i", "ô", "o", "ß", "ss",
	"₂", "2", "₃", "3", "₄", "4", "²", "", "⁺", "", "⁻", "", "³", "")

// fold writes a name in small letters and digits with single spaces, charges and accents left out: "Ca²⁺ (gelöst)" becomes "ca gelost".
func fold(name string) string {
	var b strings.Builder
	for _, r := range accents.Replace(strings.ToLower(name)) {
		switch {
		case unicode.IsLetter(r) || unicode.IsDigit(r):
			b.WriteRune(r)
		case r == '+':
		default:
			b.WriteByte(' ')
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// fluff are words that sheets add to a name and that change nothing.
var fluff = map[string]bool{
	"total": true, "gesamt": true, "dissolved": true, "gelost": true, "mean": true, "average": true, "mittelwert": true, "as": true, "ion": true, "ions": true, "concentration": true,
	"gehalt": true, "moyenne": true, "berechnet": true, "calculated": true, "mg": true, "l": true, "ug": true, "mmol": true, "meq": true, "dh": true, "d": true, "us": true, "cm": true, "c": true,
}

// find tells which parameter a name means, and what its number counts ("as N", "as CaCO3"; empty for the ion itself).
func find(name string) (p parameter, as string, ok bool) {
	if p, as, ok = lookup(fold(name)); ok {
		return p, as, true
	}
	// What stands in brackets is often another name for the same: "Säurekapazität bis pH 4,3 (Ks4,3)".
	if open := strings.IndexAny(name, "(["); open > 0 {
		if p, as, ok = lookup(fold(name[:open])); ok {
			return p, as, true
		}
	}
	// "Ca2+" and "SO42-" carry their charge.
	if charged := strings.TrimRight(name, "+- "); len(charged) > 2 && charged != strings.TrimSpace(name) {
		return lookup(fold(charged[:len(charged)-1]))
	}
	return parameter{}, "", false
}

// lookup is find for a folded name.
func lookup(f string) (p parameter, as string, ok bool) {
	if f == "" {
		return parameter{}, "", false
	}
	for _, c := range counted {
		if f == c[0] || strings.HasPrefix(f, c[0]+" ") {
			f, as = baseOf[c[0]], c[1]
			break
		}
	}
	for _, end := range [][2]string{{" as caco3", "as CaCO3"}, {" caco3", "as CaCO3"}, {" as n", "as N"}, {" as p", "as P"}} {
		if rest, cut := strings.CutSuffix(f, end[0]); cut {
			f, as = rest, end[1]
		}
	}
	if p, ok := named(f); ok {
		return p, as, true
	}
	var kept []string
	for _, w := range strings.Fields(f) {
		if !fluff[w] {
			kept = append(kept, w)
		}
	}
	if p, ok := named(strings.Join(kept, " ")); ok {
		return p, as, true
	}
	// "Calcium Ca": a word and its formula.
	if len(kept) == 2 {
		a, okA := named(kept[0])
		b, okB := named(kept[1])
		if okA && okB && a.key == b.key {
			return a, as, true
		}
	}
	return parameter{}, "", false
}

func named(f string) (parameter, bool) {
	for _, p := range parameters {
		for _, s := range p.says {
			if f == s {
				return p, true
			}
		}
	}
	return parameter{}, false
}
