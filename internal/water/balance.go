package water

import "math"

// Charges returns the equivalents of cations and of anions, meq/L, alkalinity counted among the anions (or among the cations where it is
// negative). In a water that can exist the two are equal.
func (c Composition) Charges() (cations, anions float64) {
	cations = 2*c.Ca/molCa + 2*c.Mg/molMg + c.K/molK + c.Na/molNa + c.TAN/molN
	anions = c.Cl/molCl + 2*c.SO4/molSO4 + (c.NO3N+c.NO2N)/molN + c.PO4P/molP
	if c.Alk < 0 {
		return cations - c.Alk, anions
	}
	return cations, anions + c.Alk
}

// LikelyWrong names the ion that most likely makes an analysis out of balance, and what it would have to be, in mg/L of the ion. Sheets leave sodium
// out more often than any other cation, and chloride or sulphate than any other anion (common practice, no source); an ion that is not listed at all
// is suspected first, then the one whose correction is the smallest part of what was stated. Hydrogen carbonate stands for alkalinity.
func LikelyWrong(c Composition) (ion string, mgL float64) {
	cations, anions := c.Charges()
	off := anions - cations // meq/L of cations that are missing, or of anions where it is negative
	type listed struct {
		name     string
		mg, perM float64 // mg/L and mg per meq
	}
	short := []listed{{"sodium", c.Na, molNa}, {"calcium", c.Ca, molCa / 2}, {"magnesium", c.Mg, molMg / 2}, {"potassium", c.K, molK}}
	if off < 0 {
		short = []listed{
			{"chloride", c.Cl, molCl},
			{"sulphate", c.SO4, molSO4 / 2},
			{"hydrogen carbonate", math.Max(0, c.Alk) * molHCO3, molHCO3},
			{"nitrate", c.NO3N * NO3PerN, molNO3},
		}
		off = -off
	}
	for _, l := range short[:2] {
		if l.mg == 0 {
			return l.name, off * l.perM
		}
	}
	best := short[0]
	for _, l := range short[1:] {
		if l.mg > 0 && l.perM/l.mg < best.perM/best.mg {
			best = l
		}
	}
	return best.name, best.mg + off*best.perM
}
