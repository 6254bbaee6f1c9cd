package water

// Composition is what is dissolved in a water, per litre, and its temperature.
type Composition struct {
	T    float64 // °C
	DIC  float64 // dissolved inorganic carbon, mmol/L
	Alk  float64 // alkalinity, meq/L
	Ca   float64 // mg/L, as all below
	Mg   float64
	K    float64
	Na   float64
	Cl   float64
	SO4  float64 // as the ion
	NO3N float64 // nitrate as N
	NO2N float64 // nitrite as N
	TAN  float64 // total ammonia as N
	PO4P float64 // phosphate as P
	Fe   float64 // dissolved, chelated iron
	O2   float64
}

// Amount is a quantity of dissolved matter: one m³ of a Composition, or what a dose brings.
type Amount struct {
	DIC  float64 // mol
	Alk  float64 // eq
	Ca   float64 // g, as all below
	Mg   float64
	K    float64
	Na   float64
	Cl   float64
	SO4  float64
	NO3N float64
	NO2N float64
	TAN  float64
	PO4P float64
	Fe   float64
	O2   float64

	Traces Traces // handed back for the record; the water body does not follow them
}

// Traces are trace elements, g.
type Traces struct{ Mn, Zn, Cu, B, Mo float64 }

// charge returns the equivalents that the strong ions leave to alkalinity, eq.
func (a Amount) charge() float64 {
	return 2*a.Ca/molCa + 2*a.Mg/molMg + a.K/molK + a.Na/molNa + a.TAN/molN -
		a.Cl/molCl - 2*a.SO4/molSO4 - (a.NO3N+a.NO2N)/molN - a.PO4P/molP
}

// Add returns the sum of two amounts.
func (a Amount) Add(b Amount) Amount {
	return Amount{
		a.DIC + b.DIC, a.Alk + b.Alk, a.Ca + b.Ca, a.Mg + b.Mg, a.K + b.K, a.Na + b.Na, a.Cl + b.Cl, a.SO4 + b.SO4,
		a.NO3N + b.NO3N, a.NO2N + b.NO2N, a.TAN + b.TAN, a.PO4P + b.PO4P, a.Fe + b.Fe, a.O2 + b.O2,
		Traces{a.Traces.Mn + b.Traces.Mn, a.Traces.Zn + b.Traces.Zn, a.Traces.Cu + b.Traces.Cu, a.Traces.B + b.Traces.B, a.Traces.Mo + b.Traces.Mo},
	}
}

// Times returns the amount multiplied by x.
func (a Amount) Times(x float64) Amount {
	return Amount{
		a.DIC * x, a.Alk * x, a.Ca * x, a.Mg * x, a.K * x, a.Na * x, a.Cl * x, a.SO4 * x,
		a.NO3N * x, a.NO2N * x, a.TAN * x, a.PO4P * x, a.Fe * x, a.O2 * x,
		Traces{a.Traces.Mn * x, a.Traces.Zn * x, a.Traces.Cu * x, a.Traces.B * x, a.Traces.Mo * x},
	}
}

// In returns what a volume in m³ of the water holds.
func (c Composition) In(volume float64) Amount {
	return Amount{
		DIC: c.DIC, Alk: c.Alk, Ca: c.Ca, Mg: c.Mg, K: c.K, Na: c.Na, Cl: c.Cl, SO4: c.SO4,
		NO3N: c.NO3N, NO2N: c.NO2N, TAN: c.TAN, PO4P: c.PO4P, Fe: c.Fe, O2: c.O2,
	}.Times(volume)
}

// Of returns the composition of an amount dissolved in a volume in m³ (> 0) at temperature t.
func Of(a Amount, volume, t float64) Composition {
	a = a.Times(1 / volume)
	return Composition{
		T: t, DIC: a.DIC, Alk: a.Alk, Ca: a.Ca, Mg: a.Mg, K: a.K, Na: a.Na, Cl: a.Cl, SO4: a.SO4,
		NO3N: a.NO3N, NO2N: a.NO2N, TAN: a.TAN, PO4P: a.PO4P, Fe: a.Fe, O2: a.O2,
	}
}

// Mix returns a closed mixture of two waters; share is the volume share of a, 0 to 1. Everything but pH mixes in proportion,
// and pH follows from what was mixed.
func Mix(a, b Composition, share float64) Composition {
	share = within(share, 0, 1)
	return Of(a.In(share).Add(b.In(1-share)), 1, share*a.T+(1-share)*b.T)
}

// Charge returns what the strong ions leave open, meq/L; in an electroneutral water it equals Alk.
func (c Composition) Charge() float64 { return c.In(1).charge() }

// IonicStrength returns the ionic strength, mol/L, with alkalinity counted as hydrogen carbonate.
func (c Composition) IonicStrength() float64 {
	single := c.K/molK + c.Na/molNa + c.Cl/molCl + (c.NO3N+c.NO2N+c.TAN)/molN + c.PO4P/molP
	if c.Alk > 0 {
		single += c.Alk
	} else {
		single -= c.Alk
	}
	return within((single+4*(c.Ca/molCa+c.Mg/molMg+c.SO4/molSO4))/2000, 0, 0.5)
}

// Equilibrium returns the carbonate constants of this water, with its ion pairs and with
// phosphate and ammonia as buffers.
func (c Composition) Equilibrium() Equilibrium {
	pos := func(x float64) float64 { return within(x/1000, 0, 1) }
	e := newEquilibrium(c.T, c.IonicStrength(), hardness{pos(c.Ca / molCa), pos(c.Mg / molMg), pos(c.SO4 / molSO4), pos(c.Alk)})
	e.phosphate, e.ammonia = pos(c.PO4P/molP), pos(c.TAN/molN)
	return e
}

// Carbonate returns pH and carbonate species of this water.
func (c Composition) Carbonate() Carbonate {
	e := c.Equilibrium()
	return e.Solve(c.DIC, c.Alk)
}

// DGH returns the total hardness in German degrees.
func (c Composition) DGH() float64 { return (c.Ca/molCa + c.Mg/molMg) / MmolPerDH }

// DKH returns the carbonate hardness (alkalinity) in German degrees.
func (c Composition) DKH() float64 { return c.Alk / MeqPerDH }

// Ammonia returns the un-ionised ammonia, mg N/L. Fish-keeper alarm at 0.02 to 0.05 (common practice, no source).
func (c Composition) Ammonia() float64 {
	return c.TAN * AmmoniaFraction(c.Carbonate().PH, c.T, c.IonicStrength())
}
