package water

import (
	"errors"
	"fmt"
)

// Analysis is a water as a supplier's sheet or a test kit tells it. What is unknown stays zero, except CaMg.
type Analysis struct {
	T    float64 // °C, at which pH was read
	Alk  float64 // alkalinity, meq/L (dKH times MeqPerDH)
	Hard float64 // Ca + Mg, mmol/L (dGH times MmolPerDH)
	CaMg float64 // Ca:Mg in moles; 0 means 3, an ordinary ground water (common practice, no source)
	PH   float64 // 0 means in equilibrium with air at AirCO2
	NO3  float64 // nitrate ion, mg/L
	NO2  float64 // nitrite ion, mg/L
	NH4  float64 // ammonium ion, mg/L
	PO4  float64 // phosphate ion, mg/L
	K    float64 // mg/L, as all below
	Na   float64
	Cl   float64
	SO4  float64
	Fe   float64
	O2   float64 // 0 means saturated

	// SulphateFirst closes an open charge with sulphate alone instead of sulphate and chloride in equal parts.
	SulphateFirst bool
}

// AirCO2 is the CO2 partial pressure of outdoor air, µatm; rooms with people hold 500 to 1500.
const AirCO2 = 420

// Closing reports the ions that were added so that a water's charges balance, mg/L.
type Closing struct{ Na, Cl, SO4 float64 }

// Composition turns the analysis into a composition. An analysis never lists every ion: missing anions are taken as chloride and
// sulphate in equal charge, missing cations as sodium, and reported.
func (a Analysis) Composition() (Composition, Closing) {
	ratio := a.CaMg
	if !(ratio > 0) {
		ratio = 3
	}
	ratio = within(ratio, 0, 1e6)
	hard := within(a.Hard, 0, 1e3)
	pos := func(x float64) float64 { return within(x, 0, 1e6) }
	c := Composition{
		T: within(a.T, 0, 60), Alk: within(a.Alk, -1e3, 1e3),
		Ca: hard * ratio / (1 + ratio) * molCa, Mg: hard / (1 + ratio) * molMg,
		K: pos(a.K), Na: pos(a.Na), Cl: pos(a.Cl), SO4: pos(a.SO4),
		NO3N: pos(a.NO3) / NO3PerN, NO2N: pos(a.NO2) / NO2PerN, TAN: pos(a.NH4) / NH4PerN, PO4P: pos(a.PO4) / PO4PerP,
		Fe: pos(a.Fe), O2: pos(a.O2),
	}
	if c.O2 == 0 {
		c.O2 = OxygenSaturation(c.T, 1)
	}
	var added Closing
	if open := c.Charge() - c.Alk; open > 0 {
		added.Cl, added.SO4 = open/2*molCl, open/4*molSO4
		if a.SulphateFirst {
			added.Cl, added.SO4 = 0, open/2*molSO4
		}
	} else {
		added.Na = -open * molNa
	}
	c.Na += added.Na
	c.Cl += added.Cl
	c.SO4 += added.SO4
	e := c.Equilibrium()
	if a.PH > 0 {
		c.DIC = e.DICFromPH(a.PH, c.Alk)
	} else {
		c.DIC = e.AtCO2(e.CO2InAir(AirCO2), c.Alk).DIC()
	}
	return c, added
}

// PureWater returns the water of a reverse-osmosis unit at t °C: about 1 mg/L of salts are left (2 µeq/L of sodium hydrogen carbonate),
// in equilibrium with air. Common practice, no source.
func PureWater(t float64) Composition {
	c, _ := Analysis{T: t, Alk: 0.002}.Composition()
	return c
}

// Dosage is a salt and its dose per litre of water.
type Dosage struct {
	Salt string  // a name that LookSalt knows
	MgL  float64 // mg of the salt as named per litre
}

// Source is the water that fills and refills a tank: tap water, a share of pure water, salts, and the temperature it is brought to.
type Source struct {
	Tap   Analysis
	Pure  float64 // volume share of reverse-osmosis water, 0 to 1
	Salts []Dosage
	T     float64 // °C as poured; 0 keeps the temperature of the mixture
}

// Composition returns the mixed and salted water and what was added to the tap analysis to balance its charges. It fails when a salt is
// not known or a dose is not a number of zero or more. Gas exchange while mixing is left out: carbon stays as it came.
func (s Source) Composition() (Composition, Closing, error) {
	tap, closing := s.Tap.Composition()
	c := Mix(PureWater(tap.T), tap, s.Pure)
	var errs []error
	all := c.In(1)
	for _, d := range s.Salts {
		salt, ok := LookSalt(d.Salt)
		switch {
		case !ok:
			errs = append(errs, fmt.Errorf("salt %q is not known, write a formula such as CaSO4·2H2O", d.Salt))
		case !(d.MgL >= 0 && d.MgL < 1e6):
			errs = append(errs, fmt.Errorf("dose of %s must be 0 mg/L or more, it is %g", d.Salt, d.MgL))
		default:
			add := Dissolve(salt, d.MgL)
			all = all.Add(add)
		}
	}
	if err := errors.Join(errs...); err != nil {
		return Composition{}, Closing{}, err
	}
	t := c.T
	if s.T != 0 {
		t = within(s.T, 0, 60)
	}
	return Of(all, 1, t), closing, nil
}
