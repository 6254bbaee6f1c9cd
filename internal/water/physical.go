package water

import "math"

// Physical constants and molar masses (IUPAC 2021 abridged atomic weights), g/mol.
const (
	molC    = 12.011
	molCO2  = 44.009
	molO2   = 31.998
	molN    = 14.007
	molP    = 30.974
	molK    = 39.098
	molNa   = 22.990
	molMg   = 24.305
	molCa   = 40.078
	molCl   = 35.45
	molSO4  = 96.056
	molNO3  = 62.004
	molPO4  = 94.970
	molHCO3 = 61.016

	kelvin = 273.15 // °C to K

	// specificHeat of water near 25 °C, J/(kg K) (CRC Handbook, from memory).
	specificHeat = 4181.0
)

// Molar masses that other rooms need, g/mol.
const (
	MolCa   = molCa
	MolMg   = molMg
	MolCO2  = molCO2
	MolHCO3 = molHCO3
)

// within returns x held to [lo, hi]; NaN becomes lo, so that a broken number never travels on.
func within(x, lo, hi float64) float64 {
	if !(x > lo) {
		return lo
	}
	if x > hi {
		return hi
	}
	return x
}

// Density returns the density of air-free pure water at one atmosphere, kg/m³, for t in 0 to 40 °C (held to that range).
// Tanaka et al. 2001 (CIPM).
func Density(t float64) float64 {
	t = within(t, 0, 40)
	d := t - 3.983035
	return 999.97495 * (1 - d*d*(t+301.797)/(522528.9*(t+69.34881)))
}

// PressureAtHeight returns the standard air pressure at h metres above the sea, in atm, for h in -500 to 5000 m.
// Standard atmosphere, as used by APHA for oxygen tables (from memory of APHA Standard Methods).
func PressureAtHeight(h float64) float64 {
	return math.Pow(1-2.25577e-5*within(h, -500, 5000), 5.25588)
}

// OxygenSaturation returns the oxygen that fresh water holds in equilibrium with moist air, mg/L, for t in 0 to 40 °C and an
// air pressure of p atm (0.5 to 1.1). Benson & Krause 1984 as printed in APHA Standard Methods; pressure term from memory of the same.
func OxygenSaturation(t, p float64) float64 {
	t = within(t, 0, 40)
	k := t + kelvin
	c := math.Exp(-139.34411 + (1.575701e5+(-6.642308e7+(1.243800e10-8.621949e11/k)/k)/k)/k)
	if p == 1 {
		return c
	}
	p = within(p, 0.5, 1.1)
	theta := 0.000975 - 1.426e-5*t + 6.436e-8*t*t
	pwv := math.Exp(11.8571 - 3840.70/k - 216961/(k*k))
	return c * p * (1 - pwv/p) * (1 - theta*p) / ((1 - pwv) * (1 - theta))
}

// SchmidtCO2 returns the Schmidt number of carbon dioxide in fresh water, t held to 0 to 35 °C. Wanninkhof 1992.
func SchmidtCO2(t float64) float64 {
	t = within(t, 0, 35)
	return 1911.1 + t*(-118.11+t*(3.4527-0.04132*t))
}

// SchmidtO2 returns the Schmidt number of oxygen in fresh water, t held to 0 to 35 °C. Wanninkhof 1992.
func SchmidtO2(t float64) float64 {
	t = within(t, 0, 35)
	return 1800.6 + t*(-120.10+t*(3.7818-0.047608*t))
}

// TransferVelocity returns a gas's transfer velocity in the unit of k600, for its Schmidt number and the exponent n:
// 1/2 for a rippled, 2/3 for a smooth surface (Wanninkhof 1992). Common practice, no source, for k600 of tanks in m/day: still and
// covered 0.3, gentle outlet ripple 0.5 to 1, strong agitation 1 to 3, overflow 3 to 10; uncertain by a factor of 3 to 10.
func TransferVelocity(k600, schmidt, n float64) float64 {
	if n == 0.5 {
		return k600 * math.Sqrt(600/schmidt)
	}
	return k600 * math.Pow(schmidt/600, -n)
}

// AmmoniaPK returns pKa of ammonium in fresh water, t in 0 to 40 °C. Emerson et al. 1975 (from memory; checked against their table).
func AmmoniaPK(t float64) float64 {
	return 0.09018 + 2729.92/(within(t, 0, 40)+kelvin)
}

// AmmoniaFraction returns the share of total ammonia that is un-ionised NH3 (0 to 1) at the given pH, temperature in °C and
// ionic strength in mol/L. At ionic strength 0 it is the formula of Emerson et al. 1975; salt shifts it by the Davies activity
// coefficient of NH4+.
func AmmoniaFraction(pH, t, ionic float64) float64 {
	g1 := ActivityCoefficient(1, t, ionic)
	return 1 / (1 + math.Pow(10, AmmoniaPK(t)-within(pH, -2, 16))/g1)
}

// VapourPressure returns the saturation pressure of water vapour over water, Pa, t held to -20 to 60 °C.
// Alduchov & Eskridge 1996 (Magnus form), from memory.
func VapourPressure(t float64) float64 {
	t = within(t, -20, 60)
	return 610.94 * math.Exp(17.625*t/(t+243.04))
}

// LatentHeat returns the heat of evaporation of water, J/kg, t held to 0 to 60 °C. Linear fit to steam tables, from memory.
func LatentHeat(t float64) float64 {
	return (2501 - 2.361*within(t, 0, 60)) * 1000
}

// UndisturbedPool is the share of the Carrier evaporation law that an undisturbed indoor water surface shows.
// Smith, Löf & Jones 1998.
const UndisturbedPool = 0.74

// Evaporation returns the evaporation of open water in kg/(m² s): water and air temperature in °C, relative humidity 0 to 1, air speed
// at the surface in m/s, and a factor: UndisturbedPool times what a cover lets through (common practice, no source: 0.05 to 0.15
// for a covered tank). Never negative: condensation onto the tank is left out. Carrier's law in SI form,
// Smith, Löf & Jones 1998; Shah 2014 finds it uncertain, a factor of two in tanks.
func Evaporation(tWater, tAir, humidity, airSpeed, factor float64) float64 {
	dp := (VapourPressure(tWater) - within(humidity, 0, 1)*VapourPressure(tAir)) / 1000
	if !(dp > 0) {
		return 0
	}
	return factor * (0.0885 + 0.0779*airSpeed) * dp / (LatentHeat(tWater) / 1000)
}

// PaneU returns the heat transfer coefficient of one pane between water and room, W/(m² K): thickness in m, conductivity of
// the pane in W/(m K) (float glass 1.0, acrylic 0.19), film coefficients inside (water, about 300) and outside (air, about 8) in W/(m² K).
// Series resistances; film values from memory of EN 673 and heat-transfer handbooks.
func PaneU(thickness, conductivity, inside, outside float64) float64 {
	return 1 / (1/inside + thickness/conductivity + 1/outside)
}
