package water

import "math"

// Nutrients are amounts, rates or half-saturations of what leaves take from the water.
type Nutrients struct{ N, P, K, Fe, Ca, Mg float64 }

// Detritus is dead particulate matter on the bottom and in the filter, g.
type Detritus struct{ Dry, C, N, P, K float64 }

// Times returns the detritus multiplied by x.
func (d Detritus) Times(x float64) Detritus {
	return Detritus{d.Dry * x, d.C * x, d.N * x, d.P * x, d.K * x}
}

// Add returns the sum of two heaps.
func (d Detritus) Add(e Detritus) Detritus {
	return Detritus{d.Dry + e.Dry, d.C + e.C, d.N + e.N, d.P + e.P, d.K + e.K}
}

// State is the water body of a tank. It is a plain value: a copy is a snapshot.
type State struct {
	Volume float64 // net water, m³
	Composition
	AOB       float64  // ammonia oxidisers, g VSS
	NOB       float64  // nitrite oxidisers, g VSS
	Media     float64  // film area in the filter, m²
	Surface   float64  // film area of glass, hardscape, substrate and leaves, m²
	Detritus  Detritus // g
	Suspended float64  // mg/L dry, what clouds the water; carries no nutrients in the books
	Params    Params
}

// NewState returns a freshly filled tank: net volume in m³, its water, the water's temperature in °C, filter media area in m² and how far the filter
// is seeded with ripe media, 0 to 1 of what the area carries. The surface area is taken as that of a cube's six sides; set it where it is known.
func NewState(volume float64, c Composition, t, mediaArea, seeded float64) State {
	return NewStateWith(volume, c, t, mediaArea, seeded, DefaultParams())
}

// NewStateWith is NewState with other parameters.
func NewStateWith(volume float64, c Composition, t, mediaArea, seeded float64, q Params) State {
	s := State{Volume: within(volume, 1e-6, 1e6), Composition: c, Media: within(mediaArea, 0, 1e6), Params: q}
	s.T = within(t, 0, 60)
	side := math.Cbrt(s.Volume)
	s.Surface = 6 * side * side
	area := s.Media + s.Surface
	seeded = within(seeded, 0, 1)
	s.AOB = math.Max(s.Params.Inoculum*area, seeded*s.Media*s.Params.AOB.Capacity)
	s.NOB = math.Max(s.Params.Inoculum*area, seeded*s.Media*s.Params.NOB.Capacity)
	return s
}

// Injection says how CO2 is given.
type Injection int

const (
	NoInjection Injection = iota
	HoldCO2               // keep Target mg/L CO2, as far as MaxRate reaches
	HoldPH                // keep pH at Target by giving CO2, as far as MaxRate reaches
	FixedRate             // give MaxRate, whatever the water says
)

// Forcing is what acts on the water during a step. Rates are per hour and constant over the step. Negative and non-finite rates count as none;
// a room temperature that is not a number counts as the water's own.
type Forcing struct {
	GrossCO2    float64   // gross photosynthesis at CO2 saturation of plants that take only CO2, mmol C/h
	GrossHCO3   float64   // the same of plants that can use HCO3-, mmol C/h
	PlantResp   float64   // plants' respiration, mmol C/h
	AnimalResp  float64   // animals' respiration, mmol C/h
	MicrobeResp float64   // respiration of carbon that is not in Detritus (soil, food), mmol C/h
	Demand      Nutrients // largest uptake by leaves, mg/h; N is taken as ammonium first, the rest as nitrate

	Supply  Supply   // what comes in from feed, soil, tablets
	Litter  Detritus // dead matter that arrives, g/h
	SoilAlk float64  // alkalinity that an active soil takes up, meq/h, with calcium and magnesium of the same charge
	SoilTAN float64  // ammonium that the soil gives in exchange for calcium and magnesium, mg N/h; unlike Supply.TAN it leaves alkalinity alone

	CO2       Injection
	Target    float64 // mg/L CO2 or pH, see Injection
	MaxRate   float64 // g CO2/h leaving the bottle
	Dissolved float64 // share of it that dissolves, 0 to 1

	K600     float64 // gas transfer velocity, m/day
	Area     float64 // open water surface, m²
	AirCO2   float64 // µatm; 0 means AirCO2
	Pressure float64 // air pressure, atm; 0 means 1

	Turnover    float64 // water that passes the filter, tank volumes per hour
	SuspendedIn float64 // matter stirred up, mg/h
	Settling    float64 // settling of suspended matter, 1/h
	Capture     float64 // capture by the filter, 1/h (single-pass efficiency times turnover)

	RoomT     float64 // °C
	Humidity  float64 // relative, 0 to 1
	EvapShare float64 // factor on Carrier's law: UndisturbedPool times what the cover lets through
	UA        float64 // heat loss through panes and surface, W/K
	HeatIn    float64 // lamps and pumps, W into the water
	HeaterMax float64 // W
	HeaterSet float64 // °C
}

// Supply is dissolved matter that arrives, mmol/h for carbon and mg/h for the rest.
type Supply struct{ DIC, TAN, NO3N, PO4P, K, Fe, Ca, Mg float64 }

// Flows are the exact amounts that a step moved.
type Flows struct {
	Hours float64

	FixedCO2, FixedHCO3                float64   // gross photosynthesis of the two classes, mmol C
	PlantResp, AnimalResp, MicrobeResp float64   // realised; less than asked only when oxygen is short, mmol C
	Taken                              Nutrients // by leaves, mg; N is the sum of the next two
	TakenTAN, TakenNO3                 float64   // mg N
	Supplied                           Supply    // as supplied, SoilTAN with it, mmol and mg
	Littered                           Detritus  // g
	Mineralised                        Detritus  // detritus that dissolved, g
	ToNitrite, ToNitrate               float64   // ammonia to nitrite and nitrite to nitrate, mg N
	SoilAlk                            float64   // alkalinity taken by the soil, meq
	SoilCa, SoilMg                     float64   // calcium and magnesium taken by the soil, mg
	IronLost                           float64   // fallen out, mg
	Injected                           float64   // CO2 dissolved from the bottle, mmol
	BottleCO2                          float64   // CO2 that left the bottle, g
	Degassed                           float64   // CO2 to the air (negative: from it), mmol
	OxygenMade, OxygenUsed             float64   // mg
	OxygenAir                          float64   // from the air (negative: to it), mg
	OxygenBubbled                      float64   // lost as bubbles, mg
	Evaporated                         float64   // m³
	HeaterWh                           float64
	Stirred, Settled, Caught           float64 // suspended matter, g

	MeanCO2, LowCO2, HighCO2 float64 // mg/L
	MeanPH, LowPH, HighPH    float64
	LowO2, HighO2            float64 // mg/L
	Parts                    int     // inner steps taken
}

// Elements are totals for the books: carbon in mol, the rest in g, charge in eq.
type Elements struct{ C, N, P, K, Ca, Mg, Fe, Alk, Water float64 }

// Minus returns the difference of two totals.
func (a Elements) Minus(b Elements) Elements {
	return Elements{a.C - b.C, a.N - b.N, a.P - b.P, a.K - b.K, a.Ca - b.Ca, a.Mg - b.Mg, a.Fe - b.Fe, a.Alk - b.Alk, a.Water - b.Water}
}

// Plus returns the sum of two totals.
func (a Elements) Plus(b Elements) Elements {
	return Elements{a.C + b.C, a.N + b.N, a.P + b.P, a.K + b.K, a.Ca + b.Ca, a.Mg + b.Mg, a.Fe + b.Fe, a.Alk + b.Alk, a.Water + b.Water}
}

// Elements returns what an amount holds; water is left at zero.
func (a Amount) Elements() Elements {
	return Elements{C: a.DIC, N: a.NO3N + a.NO2N + a.TAN, P: a.PO4P, K: a.K, Ca: a.Ca, Mg: a.Mg, Fe: a.Fe, Alk: a.Alk}
}

// Holds returns what the water body holds, dissolved and as detritus. Water is in m³.
func (s *State) Holds() Elements {
	e := s.In(s.Volume).Elements()
	e.C += s.Detritus.C / molC
	e.N += s.Detritus.N
	e.P += s.Detritus.P
	e.K += s.Detritus.K
	e.Water = s.Volume
	return e
}

// Net returns what the step brought into the water body minus what it took out. State.Holds changes by exactly this, up to rounding.
func (f *Flows) Net() Elements {
	// The charge that nitrogen, phosphorus and the metals carried in or out.
	alk := (f.Supplied.TAN-f.Supplied.NO3N-f.TakenTAN+f.TakenNO3)/molN - 2*f.ToNitrite/molN +
		f.Mineralised.N*1000/molN - f.Mineralised.P*1000/molP + f.Mineralised.K*1000/molK -
		(f.Supplied.PO4P-f.Taken.P)/molP + (f.Supplied.K-f.Taken.K)/molK +
		2*(f.Supplied.Ca-f.Taken.Ca-f.SoilCa)/molCa + 2*(f.Supplied.Mg-f.Taken.Mg-f.SoilMg)/molMg
	return Elements{
		C:  (f.Supplied.DIC+f.PlantResp+f.AnimalResp+f.MicrobeResp+f.Injected-f.Degassed-f.FixedCO2-f.FixedHCO3)/1000 + f.Littered.C/molC,
		N:  (f.Supplied.TAN+f.Supplied.NO3N-f.TakenTAN-f.TakenNO3)/1000 + f.Littered.N,
		P:  (f.Supplied.PO4P-f.Taken.P)/1000 + f.Littered.P,
		K:  (f.Supplied.K-f.Taken.K)/1000 + f.Littered.K,
		Ca: (f.Supplied.Ca - f.Taken.Ca - f.SoilCa) / 1000, Mg: (f.Supplied.Mg - f.Taken.Mg - f.SoilMg) / 1000,
		Fe: (f.Supplied.Fe - f.Taken.Fe - f.IronLost) / 1000, Alk: alk / 1000, Water: -f.Evaporated,
	}
}

// Exchange is what a water change moved.
type Exchange struct {
	Out, In   Amount
	Volume    float64 // m³
	Suspended float64 // suspended matter that left, g
}

// Change replaces a share (0 to 1) of the volume by water of the given composition. Films and settled detritus stay.
func (s *State) Change(share float64, c Composition) Exchange {
	share = within(share, 0, 1)
	v := share * s.Volume
	x := Exchange{Out: s.In(v), In: c.In(v), Volume: v, Suspended: share * s.Volume * s.Suspended}
	s.Composition = Mix(c, s.Composition, share)
	s.Suspended *= 1 - share
	return x
}

// TopUp adds water of the given composition, m³, and returns what it brought.
func (s *State) TopUp(volume float64, c Composition) Amount {
	volume = within(volume, 0, 1e6)
	in := c.In(volume)
	s.Suspended *= s.Volume / (s.Volume + volume)
	s.Composition = Mix(c, s.Composition, volume/(s.Volume+volume))
	s.Volume += volume
	return in
}

// Drain takes water out, m³, and returns what left with it. At least a thousandth of the volume stays.
func (s *State) Drain(volume float64) Amount {
	volume = within(volume, 0, 0.999*s.Volume)
	out := s.In(volume)
	s.Volume -= volume
	return out
}

// Dose dissolves an amount in the water. An amount may be negative; no ion falls below zero, and what was really added is returned.
func (s *State) Dose(a Amount) Amount {
	was := s.In(s.Volume)
	now := was.Add(a)
	now.Traces = Traces{}
	for _, x := range []*float64{
		&now.DIC, &now.Ca, &now.Mg, &now.K, &now.Na, &now.Cl, &now.SO4,
		&now.NO3N, &now.NO2N, &now.TAN, &now.PO4P, &now.Fe, &now.O2,
	} {
		*x = within(*x, 0, 1e9)
	}
	now.Alk = within(now.Alk, -1e9, 1e9)
	s.Composition = Of(now, s.Volume, s.T)
	added := now.Add(was.Times(-1))
	added.Traces = a.Traces
	return added
}

// Siphon removes a share (0 to 1) of the settled detritus and returns it. Rinse the filter with it too.
func (s *State) Siphon(share float64) Detritus {
	out := s.Detritus.Times(within(share, 0, 1))
	s.Detritus = s.Detritus.Add(out.Times(-1))
	return out
}
