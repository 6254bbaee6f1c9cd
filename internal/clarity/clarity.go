// Package clarity tells how clear the water is: how much light it takes from a beam, how far one sees through it, and how much
// of a plant's contrast is left at the far end of the tank. Concentrations are mg of suspended dry matter per litre, lengths
// metres, coefficients per metre.
package clarity

import "math"

const (
	// ClearWater is the beam attenuation of filtered tank water with a trace of colour; range 0.1 to 0.3. From memory of limnology texts.
	ClearWater = 0.15
	// PerSolids is the beam attenuation of fine suspended matter, m⁻¹ per mg/L: 1 NTU is roughly 1 mg/L and 0.7 to 1.2 /m
	// (from memory of optical oceanography reviews); range 0.4 to 1.2.
	PerSolids = 0.7
	// BeamPerColour is the beam attenuation that goes with each 1/m of dissolved colour's own absorption; dissolved colour does not scatter.
	BeamPerColour = 1.0
)

// Beam is the beam attenuation coefficient c [1/m] of water with suspended matter [mg/L] and dissolved colour [1/m of PAR absorption].
func Beam(suspended, colour float64) float64 { return BeamWith(PerSolids, suspended, colour) }

// BeamWith is Beam with another attenuation of suspended matter, m⁻¹ per mg/L.
func BeamWith(perSolids, suspended, colour float64) float64 {
	return ClearWater + perSolids*suspended + BeamPerColour*colour
}

// Contrast is the share of contrast left after a level path [m] through water of beam attenuation c [1/m]: e^(−c·r) (Duntley,
// as given by Zaneveld & Pegau 2003).
func Contrast(c, path float64) float64 { return math.Exp(-c * path) }

// Sighting is the distance [m] at which a black disk vanishes: 4.8/c (Davies-Colley 1988; the constant after Optics Express 2007).
func Sighting(c float64) float64 { return 4.8 / c }

// Class names how water of beam attenuation c looks (common practice, no source).
func Class(c float64) string {
	switch {
	case c < 0.2:
		return "crystal clear"
	case c < 0.5:
		return "clear"
	case c < 1:
		return "slightly hazy"
	}
	return "cloudy"
}
