package unit

import (
	"strings"
)

// ParseConcentration reads a concentration of an ion or substance named by its formula (NO3, Ca, CO2, CaSO4·2H2O) and
// returns milligrams of it per litre. The number means the ion itself, unless the text says otherwise: "4 mg/L as N",
// "4 mg N/L" and "4 mg/L NO3-N" count the nitrogen of NO3, NO2 and NH4, "as P" the phosphorus of PO4, and "as CaCO3"
// counts calcium or magnesium as calcium carbonate. mmol/L and µmol/L need a formula whose molar mass is known.
func ParseConcentration(text, ion string) (Concentration, error) {
	if err := checkText(KindConcentration, text); err != nil {
		return 0, err
	}
	v, err := parseConcentration(text, ion)
	if err != nil {
		return 0, err
	}
	return Concentration(v), nil
}

func parseConcentration(text, ion string) (float64, *Error) {
	const kind = KindConcentration
	t := tables[kind]
	x, rest, err := scanQuantity(kind, t, text)
	if err != nil {
		return 0, err
	}
	base, species := splitSpecies(unitKey(rest))
	s, ok := t.byKey[base]
	if !ok {
		return 0, badUnit(kind, t, text, rest)
	}
	perMass, reason := countedAs(species, ion)
	if reason != "" {
		return 0, &Error{text, kind, quote(text) + " " + reason, "write " + join(digits(x, 6), s.name) + " if the substance itself is meant"}
	}
	v := s.inner(x)
	if s.name == "mmol/L" || s.name == "µmol/L" {
		molar, merr := MolarMass(ion)
		if merr != nil {
			return 0, &Error{text, kind, quote(text) + " needs the molar mass of a substance that is not known here", "write it in mg/L"}
		}
		return inRange(kind, text, v*molar) // a mole of NO3 holds one mole of N, so "as N" changes nothing
	}
	return inRange(kind, text, v*perMass)
}

// splitSpecies parts "mg/l as n", "mg n/l" and "mg/l no3-n" into the plain unit and what is counted.
func splitSpecies(key string) (base, species string) {
	first, rest, _ := strings.Cut(key, " ")
	if !strings.Contains(first, "/") {
		if s, per, ok := strings.Cut(rest, "/"); ok {
			return first + "/" + per, s
		}
	}
	if rest == "-1" || strings.HasPrefix(rest, "l-1") || strings.HasPrefix(rest, "m-3") { // "mg l-1 as n"
		second, tail, _ := strings.Cut(rest, " ")
		first, rest = first+" "+second, tail
	}
	return first, strings.TrimPrefix(rest, "as ")
}

// names of the ions that water reports spell out.
var ionNames = map[string]string{
	"NO3": "nitrate", "NO2": "nitrite", "NH4": "ammonium", "PO4": "phosphate", "SO4": "sulfate", "Cl": "chloride",
	"HCO3": "bicarbonate", "Ca": "calcium", "Mg": "magnesium", "K": "potassium", "Na": "sodium", "Fe": "iron",
}

// countedAs returns how many mg of the ion one mg of the counted species stands for, or a reason why it cannot.
func countedAs(species, ion string) (factor float64, reason string) {
	ionKey := unitKey(canonical(ion))
	counted := strings.TrimRight(species, "+-")
	name := ionNames[ion]
	if counted == "" || counted == ionKey || counted == name && name != "" {
		return 1, ""
	}
	if name == "" {
		name = ion
	}
	if name == "" {
		return 0, "counts " + quote(species) + ", but no substance is named here"
	}
	element, of := counted, ""
	if i := strings.LastIndex(counted, "-"); i > 0 {
		of, element = counted[:i], counted[i+1:]
		if of != ionKey && of != name && !(ion == "NH4" && (of == "nh3" || of == "ammonia")) {
			return 0, "counts " + quote(species) + ", which is not " + name
		}
	}
	switch {
	case element == "n" || element == "nitrogen":
		switch ion {
		case "NO3":
			return molNO3 / wtN, ""
		case "NO2":
			return molNO2 / wtN, ""
		case "NH4":
			return molNH4 / wtN, ""
		}
		return 0, "is counted as nitrogen, but " + name + " is not counted so"
	case element == "p" || element == "phosphorus":
		if ion == "PO4" {
			return molPO4 / wtP, ""
		}
		return 0, "is counted as phosphorus, but " + name + " holds none"
	case counted == "caco3" && ion == "Ca":
		return wtCa / molCaCO3, ""
	case counted == "caco3" && ion == "Mg":
		return wtMg / molCaCO3, ""
	}
	return 0, "counts " + quote(species) + ", which is not " + name
}

// highestLuxPerPPFD is what light of 555 nm alone would give: 683 lm/W (SI definition of the candela) times the energy of
// a micromole of its photons, 0.21555 J (N_A·h·c/λ). Every real lamp lies below it.
const highestLuxPerPPFD = 683 * 0.21555

// LuxToPPFD turns an illuminance in lux into photons for a lamp whose spectrum gives luxPerPPFD lux per µmol/m²/s. That
// ratio is about 54 for sunlight and 74 for cool white fluorescent light (Thimijan and Heins 1983, from memory), and must
// be above 0 and at most 147 (light of 555 nm alone).
func LuxToPPFD(lux, luxPerPPFD float64) (PPFD, error) {
	v, err := perSpectrum(KindPPFD, lux, luxPerPPFD)
	return PPFD(v), err
}

// LumensToPhotonFlux turns a lamp's luminous flux in lumens into photons per second; luxPerPPFD as for LuxToPPFD.
func LumensToPhotonFlux(lumens, luxPerPPFD float64) (PhotonFlux, error) {
	v, err := perSpectrum(KindPhotonFlux, lumens, luxPerPPFD)
	return PhotonFlux(v), err
}

func perSpectrum(kind Kind, amount, ratio float64) (float64, error) {
	if !(ratio > 0 && ratio <= highestLuxPerPPFD) {
		return 0, &Error{
			digits(ratio, 4), kind, "a spectrum cannot give " + digits(ratio, 4) + " lux per µmol/m²/s",
			"give a ratio above 0 and at most 147, for example 54 for sunlight",
		}
	}
	v := amount / ratio
	if !(amount >= 0 && v <= huge) {
		return 0, &Error{digits(amount, 4), kind, "the brightness of " + digits(amount, 4) + " is not one that a lamp can have", "write a number of zero or more"}
	}
	return v, nil
}
