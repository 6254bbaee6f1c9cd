package water

import "math"

// The equilibrium constants below hold for 0 to 90 °C as ionic strength goes to zero: Plummer & Busenberg 1982, as carried in the
// phreeqc.dat database. Temperatures are held to 0 to 60 °C.

func kelvinOf(t float64) float64 { return within(t, 0, 60) + kelvin }

// PKH returns -log10 of Henry's constant of CO2, mol/(kg atm).
func PKH(t float64) float64 {
	k := kelvinOf(t)
	return -(108.3865 + 0.01985076*k - 6919.53/k - 40.45154*math.Log10(k) + 669365/(k*k))
}

// PK1 returns -log10 of the first dissociation constant of carbonic acid (CO2 and H2CO3 together).
func PK1(t float64) float64 {
	k := kelvinOf(t)
	return -(-356.3094 - 0.06091964*k + 21834.37/k + 126.8339*math.Log10(k) - 1684915/(k*k))
}

// PK2 returns -log10 of the second dissociation constant of carbonic acid.
func PK2(t float64) float64 {
	k := kelvinOf(t)
	return -(-107.8871 - 0.03252849*k + 5151.79/k + 38.92561*math.Log10(k) - 563713.9/(k*k))
}

// PKw returns -log10 of the ion product of water.
func PKw(t float64) float64 {
	k := kelvinOf(t)
	return -(293.29227 + 0.1360833*k - 10576.913/k - 123.73158*math.Log10(k) - 6.996455e-5*k*k)
}

// PKspCalcite returns -log10 of the solubility product of calcite.
func PKspCalcite(t float64) float64 {
	k := kelvinOf(t)
	return -(-171.9065 - 0.077993*k + 2839.319/k + 71.595*math.Log10(k))
}

// DebyeHuckel returns the constant A of the Debye–Hückel law for water at one atmosphere, (L/mol)^½, t in 0 to 60 °C:
// A = 1.82483e6 √ρ (εT)^-3/2 with the dielectric constant of Bradley & Pitzer 1979 (from memory; 78.38 at 25 °C).
func DebyeHuckel(t float64) float64 {
	t = within(t, 0, 60)
	k := t + kelvin
	d1000 := 342.79 * math.Exp(k*(-5.0866e-3+9.4690e-7*k))
	c := -2.0525 + 3115.9/(k-182.89)
	b := -8032.5 + 4.2142e6/k + 2.1417*k
	et := (d1000 + c*math.Log((b+1.01325)/(b+1000))) * k
	return 1.82483e6 * math.Sqrt(Density(t)/1000) / (et * math.Sqrt(et))
}

// ActivityCoefficient returns the activity coefficient of an ion of charge z (1 or 2, sign does not matter) at temperature t and
// ionic strength I in mol/L, held to 0 to 0.5. Davies 1962 (from memory).
func ActivityCoefficient(z int, t, ionic float64) float64 {
	return math.Pow(10, float64(z*z)*daviesLog(t, ionic))
}

func daviesLog(t, ionic float64) float64 { return davies(DebyeHuckel(t), ionic) }

func davies(a, ionic float64) float64 {
	i := within(ionic, 0, 0.5)
	r := math.Sqrt(i)
	return -a * (r/(1+r) - 0.3*i)
}

// Equilibrium holds the carbonate constants of one water at one temperature. Make it once and solve with it many times: the constants cost
// more than the solving.
type Equilibrium struct {
	KH             float64 // Henry's constant, mol/(L atm)
	K1, K2, Kw     float64 // constants between total concentrations, ion pairs counted with their carbonate, mol/L, mol/L, mol²/L²
	Gamma1, Gamma2 float64 // activity coefficients of single and double charges
	logGamma1      float64
	pKsp           float64
	Ionic          float64 // ionic strength of the free ions and charged pairs, mol/L
	freeCO3        float64 // share of carbonate not paired with calcium or magnesium
	freeHCO3       float64 // share of hydrogen carbonate not paired
	freeCa, freeMg float64 // shares of calcium and magnesium not paired
	freeSO4        float64 // share of sulphate not paired
	carbonateCa    float64 // share of the carbonate pairs that holds calcium, the rest holds magnesium

	kPhosphate, kAmmonium float64 // second dissociation of phosphoric acid with the pairs of HPO4--, dissociation of NH4+, mol/L
	phosphate, ammonia    float64 // what there is of them, mol/L
}

func pow10(x float64) float64 { return math.Exp(x * math.Ln10) }

// NewEquilibrium returns the constants at t °C (held to 0 to 60) and ionic strength in mol/L (held to 0 to 0.5, Davies 1962), without
// ion pairs. Composition.Equilibrium counts pairs.
func NewEquilibrium(t, ionic float64) Equilibrium { return newEquilibrium(t, ionic, hardness{}) }

// Pairing constants of CaHPO4 and MgHPO4 at no ionic strength and 25 °C, L/mol: phreeqc.dat, from memory (log K about 2.7 and 2.85).
const (
	pairCaHPO4 = 500
	pairMgHPO4 = 710
)

// hardness is what forms ion pairs, mol/L.
type hardness struct{ ca, mg, so4, hco3 float64 }

// buffer returns the alkalinity that phosphate and ammonia hold, eq/L, counted from H2PO4- and NH4+, and its slope against H+.
func (e *Equilibrium) buffer(h float64) (alk, slope float64) {
	p := e.phosphate * e.kPhosphate / (e.kPhosphate + h)
	n := e.ammonia * e.kAmmonium / (e.kAmmonium + h)
	return p + n, -p/(e.kPhosphate+h) - n/(e.kAmmonium+h)
}

func newEquilibrium(t, ionic float64, w hardness) Equilibrium {
	a := DebyeHuckel(t)
	lg := davies(a, ionic)
	e := Equilibrium{KH: pow10(-PKH(t)), pKsp: PKspCalcite(t), Ionic: ionic, freeCO3: 1, freeHCO3: 1, freeCa: 1, freeMg: 1, freeSO4: 1}
	x := 1/298.15 - 1/kelvinOf(t)
	pairH, pairC, pairP := 1.0, 1.0, 1.0
	if w.ca+w.mg > 0 {
		// Pairing constants at no ionic strength, from memory of phreeqc.dat (version 3) and held to account by the reference waters. CaCO3 there is
		// Plummer & Busenberg 1982; CaHCO3+ is a later and weaker value (log K 0.59 at 25 °C) than theirs (1.11), which would read CO2 up to
		// 2 % lower in hard water. Sulphate by van 't Hoff from 25 °C, enthalpies 5.54 and 19.0 kJ/mol.
		k := kelvinOf(t)
		l := math.Log10(k)
		caH := -6.009 + 3.377e-2*k + 2044/k - PK2(t)
		caC := -1228.732 - 0.299440*k + 35512.75/k + 485.818*l
		mgH := -59.215 + 2537.455/k + 20.92298*l
		mgC := 0.9910 + 0.00667*k
		caS, mgS := 2.25+289.6*x, 2.37+994.5*x
		ca, mg, so4 := w.ca, w.mg, w.so4
		for range 3 {
			// CaHCO3+ counts one γ2, the neutral pairs count two.
			kCaH, kMgH := pow10(caH+4*lg), pow10(mgH+4*lg)
			kCaS, kMgS := pow10(caS+8*lg), pow10(mgS+8*lg)
			for range 3 {
				so4 = w.so4 / (1 + kCaS*ca + kMgS*mg)
				ca = w.ca / (1 + kCaS*so4 + kCaH*w.hco3)
				mg = w.mg / (1 + kMgS*so4 + kMgH*w.hco3)
			}
			pairH = 1 + kCaH*ca + kMgH*mg
			// A neutral pair takes 4 of ionic strength out, a hydrogen carbonate pair 2.
			e.Ionic = ionic - 4*(w.so4-so4) - 2*(pairH-1)/pairH*w.hco3
			lg = davies(a, e.Ionic)
		}
		withCa, withMg := pow10(caC+8*lg)*ca, pow10(mgC+8*lg)*mg
		pairC = 1 + withCa + withMg
		e.carbonateCa = withCa / (withCa + withMg)
		pairP = 1 + pow10(8*lg)*(pairCaHPO4*ca+pairMgHPO4*mg)
		e.freeCO3, e.freeHCO3 = 1/pairC, 1/pairH
		if w.ca > 0 {
			e.freeCa = ca / w.ca
		}
		if w.mg > 0 {
			e.freeMg = mg / w.mg
		}
		if w.so4 > 0 {
			e.freeSO4 = so4 / w.so4
		}
	}
	// pH stands for the activity of H+, the solver works with its concentration.
	e.K1 = pow10(-PK1(t)-2*lg) * pairH
	e.K2 = pow10(-PK2(t)-4*lg) * pairC / pairH
	e.Kw = pow10(-PKw(t) - 2*lg)
	// H2PO4-: phreeqc.dat, from memory, 7.198 at 25 °C and 4.14 kJ/mol.
	e.kPhosphate = pow10(-7.198+216.3*x-4*lg) * pairP
	e.kAmmonium = pow10(-AmmoniaPK(t))
	e.Gamma1, e.Gamma2, e.logGamma1 = pow10(lg), pow10(4*lg), lg
	return e
}

// Carbonate is a solved carbonate system. Species in mmol/L.
type Carbonate struct {
	PH   float64 // -log10 of the activity of H+
	CO2  float64 // free dissolved CO2 including H2CO3
	HCO3 float64 // with its pairs
	CO3  float64 // with its pairs
	h    float64 // concentration of H+, mol/L
}

// CO2mg returns the free CO2 in mg/L.
func (c Carbonate) CO2mg() float64 { return c.CO2 * molCO2 }

// largest is the bound that concentrations are held to inside the solver, mol/L; it only serves to keep squares finite.
const largest = 1e3

// waterH returns the H+ concentration at which Kw/H - H equals a, all in mol/L.
func (e *Equilibrium) waterH(a float64) float64 {
	r := math.Sqrt(a*a + 4*e.Kw)
	if a > 0 {
		return 2 * e.Kw / (a + r)
	}
	return (r - a) / 2
}

// Solve returns pH and carbonate species for dissolved inorganic carbon in mmol/L (a negative one counts as none) and alkalinity in meq/L
// (any sign), which phosphate and ammonia share where the water holds them. Newton's method on the logarithm of H+ inside a bracket that always holds the root: carbonate can carry no less than
// nothing and no more than two charges (Munhoven 2013). Every finite input has an answer; pH 3 to 11 is the range of sense.
func (e *Equilibrium) Solve(dic, alk float64) Carbonate {
	d, a := within(dic/1000, 0, largest), within(alk/1000, -largest, largest)
	// A start from the two species that dominate: CO2 and HCO3 where carbon exceeds alkalinity, HCO3 and CO3 otherwise.
	var h float64
	switch {
	case a <= 0:
		h = math.Max(-a, math.Sqrt(e.K1*d+e.Kw))
	case d > a*1.02:
		h = e.K1 * (d - a) / a
	case d < a*0.98 && 2*d > a:
		h = e.K2 * (2*d - a) / (a - d)
	case 2*d <= a:
		h = e.waterH(a - 2*d)
	default:
		h = math.Sqrt(e.K1 * e.K2)
	}
	return e.solve(d, a, h)
}

// solve is Solve from a first guess of H+; d and a in mol/L.
func (e *Equilibrium) solve(d, a, h float64) Carbonate {
	lo, hi := e.waterH(a), e.waterH(a-2*d-e.phosphate-e.ammonia)
	if !(h > lo && h < hi) {
		h = math.Sqrt(lo * hi)
	}
	k12 := e.K1 * e.K2
	for range 80 {
		den := h*(h+e.K1) + k12
		num := e.K1*h + 2*k12
		b, db := e.buffer(h)
		f := d*num/den + b + e.Kw/h - h - a
		if f > 0 {
			lo = h
		} else {
			hi = h
		}
		slope := h * (d*(e.K1*den-num*(2*h+e.K1))/(den*den) + db - e.Kw/(h*h) - 1)
		step := -f / slope
		next := h * (1 + step + 0.5*step*step)
		if math.Abs(step) > 0.3 {
			next = h * math.Exp(within(step, -40, 40))
		}
		enough := 1e-7 // the error that Newton leaves is about the square of its step
		if !(next > lo && next < hi) {
			next = math.Sqrt(lo * hi)
			step = next/h - 1
			enough = 1e-15
		}
		h = next
		if math.Abs(step) < enough {
			break
		}
	}
	return e.species(d, h)
}

func (e *Equilibrium) species(d, h float64) Carbonate {
	k12 := e.K1 * e.K2
	x := 1000 * d / (h*(h+e.K1) + k12)
	return Carbonate{PH: -math.Log10(h) - e.logGamma1, CO2: x * h * h, HCO3: x * e.K1 * h, CO3: x * k12, h: h}
}

// slopes returns how CO2 and HCO3 answer to dissolved inorganic carbon at fixed alkalinity, mmol per mmol.
func (e *Equilibrium) slopes(c Carbonate) (dCO2, dHCO3 float64) {
	h, k12 := c.h, e.K1*e.K2
	d := (c.CO2 + c.HCO3 + c.CO3) / 1000
	den := h*(h+e.K1) + k12
	num := e.K1*h + 2*k12
	_, db := e.buffer(h)
	dAdh := d*(e.K1*den-num*(2*h+e.K1))/(den*den) + db - e.Kw/(h*h) - 1
	dhdD := -(num / den) / dAdh
	dCO2 = h*h/den + d*h*num/(den*den)*dhdD
	dHCO3 = e.K1*h/den + d*e.K1*(k12-h*h)/(den*den)*dhdD
	return dCO2, dHCO3
}

// DICFromPH returns the dissolved inorganic carbon, mmol/L, of a water of the given pH and alkalinity in meq/L. Zero when the alkalinity at
// that pH leaves no room for carbonate.
func (e *Equilibrium) DICFromPH(pH, alk float64) float64 {
	h := math.Pow(10, -within(pH, 0, 14)-e.logGamma1)
	b, _ := e.buffer(h)
	ca := within(alk/1000, -largest, largest) - b - e.Kw/h + h
	if !(ca > 0) {
		return 0
	}
	k12 := e.K1 * e.K2
	return 1000 * ca * (h*(h+e.K1) + k12) / (e.K1*h + 2*k12)
}

// AtPH returns the carbonate system of a water of the given pH and alkalinity in meq/L.
func (e *Equilibrium) AtPH(pH, alk float64) Carbonate {
	h := math.Pow(10, -within(pH, 0, 14)-e.logGamma1)
	return e.species(e.DICFromPH(pH, alk)/1000, h)
}

// AtCO2 returns the carbonate system of a water of the given alkalinity (meq/L) that holds the given free CO2 (mmol/L).
func (e *Equilibrium) AtCO2(co2, alk float64) Carbonate {
	c, a := within(co2/1000, 0, largest), within(alk/1000, -largest, largest)
	k12 := e.K1 * e.K2
	// c(K1/h + 2 K1K2/h²) + buffer + Kw/h - h = a: the quadratic without double charge and buffer starts, the bracket keeps.
	b := c*e.K1 + e.Kw
	h := (math.Sqrt(a*a+4*b) - a) / 2
	if a > 0 {
		h = 2 * b / (a + math.Sqrt(a*a+4*b))
	}
	lo, hi := h, 4*largest // what was left out only adds alkalinity, so the root lies above
	for range 80 {
		w, dw := e.buffer(h)
		f := (b+2*c*k12/h)/h + w - h - a
		if f > 0 {
			lo = h
		} else {
			hi = h
		}
		slope := -(b+4*c*k12/h)/h + h*dw - h
		step := -f / slope
		next := h * math.Exp(within(step, -40, 40))
		enough := 1e-7
		if next < lo || next > hi {
			next = math.Sqrt(lo * hi)
			step = next/h - 1
			enough = 1e-15
		}
		h = next
		if math.Abs(step) < enough {
			break
		}
	}
	return e.species(c*(1+(e.K1+k12/h)/h), h)
}

// DIC returns the sum of the species, mmol/L.
func (c Carbonate) DIC() float64 { return c.CO2 + c.HCO3 + c.CO3 }

// CO2InAir returns the free CO2, mmol/L, in equilibrium with a gas of the given CO2 partial pressure in µatm (420 in open air).
func (e *Equilibrium) CO2InAir(microatm float64) float64 {
	return e.KH * within(microatm, 0, 1e6) / 1000
}

// CalciteIndex returns the saturation index of calcite, log10(ion product / solubility product), for calcium in mg/L; above about
// +0.3 to +0.5 scale forms on heaters and leaves (common practice, no source). Minus infinity is held to -99.
func (e *Equilibrium) CalciteIndex(c Carbonate, calcium float64) float64 {
	// What carbonate itself binds counts at high pH; the free shares leave it out.
	free := calcium/molCa*e.freeCa - c.CO3*(1-e.freeCO3)*e.carbonateCa
	x := free * c.CO3 * e.freeCO3 * 1e-6 * e.Gamma2 * e.Gamma2
	if !(x > 0) {
		return -99
	}
	return math.Log10(x) + e.pKsp
}

// TradeCO2 returns the CO2, mg/L, by the trade's rule 3 · KH · 10^(7-pH), KH in °dH. Common practice, no source; it reads 8 to 21 % below
// the equilibrium and is kept only for comparison.
func TradeCO2(dKH, pH float64) float64 {
	return 3 * dKH * math.Pow(10, 7-within(pH, 0, 14))
}
