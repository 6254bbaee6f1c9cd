package water

// One German degree is 10 mg CaO per litre; CaO is 56.077 g/mol with the atomic weights of IUPAC 2021. All other factors follow.
const (
	molCaO    = 56.077
	molCaCO3  = 100.086
	MmolPerDH = 10 / molCaO // mmol/L of Ca + Mg per °dGH: 0.178326
	MeqPerDH  = 20 / molCaO // meq/L of alkalinity per °dKH: 0.356652

	// CaCO3PerDH is mg/L as CaCO3 per °dH: 17.848. Labels that say 17.8 or 17.9 round it.
	CaCO3PerDH = 10 * molCaCO3 / molCaO
	// CaCO3PerFH, CaCO3PerClark and CaCO3PerGrain are mg/L as CaCO3 per French degree, per Clark (British) degree, per US grain per gallon.
	CaCO3PerFH    = 10.0
	CaCO3PerClark = 14.254
	CaCO3PerGrain = 17.118
)

// Ratios of an ion's mass to its element's mass, from IUPAC 2021 abridged atomic weights.
const (
	NO3PerN = molNO3 / molN
	NO2PerN = 46.005 / molN
	NH4PerN = 18.039 / molN
	PO4PerP = molPO4 / molP
)
