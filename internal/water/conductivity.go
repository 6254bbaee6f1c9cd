package water

import "math"

// mobility is how one ion carries current: its limiting equivalent conductivity at 25 °C in S cm²/eq, its charge, and the power of
// water's fluidity with which that rises with temperature (1 would be Walden's rule).
type mobility struct{ at25, charge, power float64 }

// Limiting conductivities at 25 °C: CRC Handbook of Chemistry and Physics, ionic conductivity and diffusion at infinite dilution (from
// memory). Powers from the conductivities at 0, 15 and 35 °C in Robinson & Stokes 1959, appendix 6 (from memory); hydrogen carbonate and its pairs
// from the reference waters at 20 to 28 °C.
var (
	mobileH      = mobility{349.65, 1, 0.63}
	mobileOH     = mobility{198, 1, 0.91}
	mobileNa     = mobility{50.08, 1, 0.94}
	mobileK      = mobility{73.48, 1, 0.85}
	mobileNH4    = mobility{73.5, 1, 0.86}
	mobileCa     = mobility{59.47, 2, 0.97}
	mobileMg     = mobility{53.0, 2, 0.97}
	mobileCl     = mobility{76.31, 1, 0.89}
	mobileNO3    = mobility{71.42, 1, 0.83}
	mobileNO2    = mobility{71.8, 1, 0.83}
	mobileSO4    = mobility{80.0, 2, 0.96}
	mobileHCO3   = mobility{44.5, 1, 1.05}
	mobileCO3    = mobility{69.3, 2, 0.94}
	mobileH2PO4  = mobility{31.8, 1, 0.95} // phosphates: diffusion coefficients of Li & Gregory 1974 (from memory), 0.846e-9 and 0.734e-9 m²/s
	mobileHPO4   = mobility{55.1, 2, 0.95}
	mobileHCO3Ca = mobility{19, 1, 1.05} // CaHCO3+ and MgHCO3+, from the diffusion coefficient 0.51e-9 m²/s in phreeqc.dat (from memory)
)

// Viscosity returns the viscosity of water, mPa s, t held to 0 to 60 °C. The form of Kestin, Sokolov & Wakeham 1978 after Likhachev's
// simpler fit; 1.002 at 20 °C, 0.890 at 25 °C (from memory).
func Viscosity(t float64) float64 {
	return 2.414e-2 * math.Pow(10, 247.8/(within(t, 0, 60)+kelvin-140))
}

// permittivity returns the relative static permittivity of water. Malmberg & Maryott 1956 (from memory; 78.30 at 25 °C).
func permittivity(t float64) float64 {
	t = within(t, 0, 60)
	return 87.740 + t*(-0.40008+t*(9.398e-4-1.410e-6*t))
}

// ionSize is the distance of closest approach, Å, in the finite-size form of the Debye–Hückel–Onsager law. Robinson & Stokes 1959 use 3 to 5.
const ionSize = 4.0

// carriers sums the ions of one sign.
type carriers struct{ eq, strength, carried float64 }

func (c *carriers) add(charge, mmol, conductivity float64) {
	part := charge * charge * mmol
	c.eq += charge * mmol
	c.strength += part
	c.carried += part * conductivity
}

// current returns what the ions of one sign carry, µS/cm for mmol/L and S cm²/eq: their equivalents times their mean conductivity, in which
// each ion weighs by its part in the ionic strength. Appelo 2017 (Cement and Concrete Research 101, as carried in PHREEQC 3). For ions of one
// charge this is the plain sum of their conductivities; where sulphate stands beside hydrogen carbonate it reads up to 6 % more.
func (c *carriers) current() float64 {
	if c.strength == 0 {
		return 0
	}
	return c.eq * c.carried / c.strength
}

// Conductivity returns the electrical conductivity in µS/cm that this water shows at t °C, without exchange of gas on the way to that
// temperature; meters state it at 25. Each free ion carries its limiting conductivity, lessened by the
// Debye–Hückel–Onsager law in the finite-size form of Robinson & Stokes 1959 with the ionic strength of the water; neutral pairs carry nothing.
// Ions of unlike charge share the current of their side as Appelo 2017 weighs them, see carriers.
// Ions that the composition does not list (silicate, traces) carry nothing either.
func (c Composition) Conductivity(t float64) float64 {
	c.T = within(t, 0, 60)
	e := c.Equilibrium()
	s := e.Solve(c.DIC, c.Alk)
	h := s.h
	k := c.T + kelvin
	et := permittivity(c.T) * k
	root := math.Sqrt(e.Ionic)
	screen := root / (1 + 50.29/math.Sqrt(et)*ionSize*root)
	// Relaxation and electrophoresis of an ion among ions of one charge: 2.801e6 q/(1+√q) with q = 1/2, and 41.25 per poise.
	relax := 2.801e6 * 0.5 / (1 + math.Sqrt(0.5)) / (et * math.Sqrt(et))
	drag := 41.25 / (Viscosity(c.T) / 100 * math.Sqrt(et))
	fluid := math.Log(Viscosity(25) / Viscosity(c.T))
	var cations, anions carriers
	carry := func(side *carriers, m mobility, mmol float64) {
		if !(mmol > 0) {
			return
		}
		limit := m.at25 * math.Exp(m.power*fluid)
		if l := limit - (relax*m.charge*limit+drag*m.charge)*screen; l > 0 {
			side.add(m.charge, mmol, l)
		}
	}
	carry(&cations, mobileCa, c.Ca/molCa*e.freeCa)
	carry(&cations, mobileMg, c.Mg/molMg*e.freeMg)
	carry(&cations, mobileNa, c.Na/molNa)
	carry(&cations, mobileK, c.K/molK)
	carry(&anions, mobileCl, c.Cl/molCl)
	carry(&anions, mobileSO4, c.SO4/molSO4*e.freeSO4)
	carry(&anions, mobileNO3, c.NO3N/molN)
	carry(&anions, mobileNO2, c.NO2N/molN)
	carry(&cations, mobileNH4, c.TAN/molN*(1-e.kAmmonium/(e.kAmmonium+h)))
	carry(&anions, mobileHCO3, s.HCO3*e.freeHCO3)
	carry(&cations, mobileHCO3Ca, s.HCO3*(1-e.freeHCO3))
	carry(&anions, mobileCO3, s.CO3*e.freeCO3)
	double := e.kPhosphate / (e.kPhosphate + h)
	carry(&anions, mobileH2PO4, c.PO4P/molP*(1-double))
	carry(&anions, mobileHPO4, c.PO4P/molP*double)
	carry(&cations, mobileH, 1000*h)
	carry(&anions, mobileOH, 1000*e.Kw/h)
	return cations.current() + anions.current()
}
