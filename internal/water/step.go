package water

import "math"

const (
	longestPart  = 0.25      // h, inner step
	shortestPart = 1.0 / 400 // h
	// largestMove is the relative change of free CO2 that one inner step aims at.
	largestMove = 0.2
	smallCO2    = 0.01 // mmol/L, below which CO2 counts as small in that aim
)

// clean returns the forcing with every rate held to a finite value of zero or more.
func (f Forcing) clean() Forcing {
	for _, x := range []*float64{
		&f.GrossCO2, &f.GrossHCO3, &f.PlantResp, &f.AnimalResp, &f.MicrobeResp,
		&f.Demand.N, &f.Demand.P, &f.Demand.K, &f.Demand.Fe, &f.Demand.Ca, &f.Demand.Mg,
		&f.Supply.DIC, &f.Supply.TAN, &f.Supply.NO3N, &f.Supply.PO4P, &f.Supply.K, &f.Supply.Fe, &f.Supply.Ca, &f.Supply.Mg,
		&f.Litter.Dry, &f.Litter.C, &f.Litter.N, &f.Litter.P, &f.Litter.K,
		&f.SoilAlk, &f.SoilTAN, &f.Target, &f.MaxRate, &f.Area, &f.Turnover, &f.SuspendedIn, &f.Settling, &f.Capture,
		&f.EvapShare, &f.UA, &f.HeatIn, &f.HeaterMax, &f.HeaterSet,
	} {
		*x = within(*x, 0, 1e12)
	}
	f.K600 = within(f.K600, 0, 1000)
	f.Dissolved = within(f.Dissolved, 0, 1)
	if !(f.AirCO2 > 0) {
		f.AirCO2 = AirCO2
	}
	if !(f.Pressure > 0) {
		f.Pressure = 1
	}
	return f
}

// Step moves the water body on by some hours (0 to 1; more counts as 1) and returns what moved. Inside it takes parts of at most a
// quarter of an hour, shorter while CO2 moves fast. Free carbon follows an exponential Rosenbrock–Euler step on the exact slope of CO2 against
// dissolved carbon; nutrients and nitrogen follow drain; respiration is implicit in oxygen. No amount falls below zero, and
// Holds changes by Flows.Net. Step allocates nothing.
func (s *State) Step(hours float64, forcing Forcing) Flows {
	hours = within(hours, 0, 1)
	f := forcing.clean()
	if math.IsNaN(f.RoomT) {
		f.RoomT = s.T
	}
	f.RoomT = within(f.RoomT, -50, 80)
	w := Flows{Hours: hours, LowCO2: math.Inf(1), LowPH: math.Inf(1), LowO2: s.O2, HighO2: s.O2}
	if hours == 0 || !(s.Volume > 0) {
		c := s.Carbonate()
		w.MeanCO2, w.LowCO2, w.HighCO2 = c.CO2mg(), c.CO2mg(), c.CO2mg()
		w.MeanPH, w.LowPH, w.HighPH = c.PH, c.PH, c.PH
		return w
	}
	evaporated := s.warm(hours, &f, &w)
	s.cloud(hours, &f, &w)

	p := s.newPart(&f)
	c := p.eq.Solve(s.DIC, s.Alk)
	w.see(c, 0)
	for left := hours; left > 1e-9*hours; {
		r := s.carbon(c, &p, &f)
		h := p.length(c, r, &f, left)
		c = s.part(h, c, r, &p, &f, &w)
		w.see(c, h/hours)
		left -= h
		w.Parts++
	}
	s.evaporate(evaporated, &w)
	return w
}

// see keeps the lowest, highest and mean of CO2 and pH.
func (w *Flows) see(c Carbonate, share float64) {
	mg := c.CO2mg()
	w.MeanCO2 += share * mg
	w.MeanPH += share * c.PH
	w.LowCO2, w.HighCO2 = math.Min(w.LowCO2, mg), math.Max(w.HighCO2, mg)
	w.LowPH, w.HighPH = math.Min(w.LowPH, c.PH), math.Max(w.HighPH, c.PH)
}

// warm moves temperature and returns the water to be evaporated, m³. Heat loss is linear in temperature, evaporation is
// linearised, and the thermostat gives what is needed to end the step at its set point, so long steps stay stable.
func (s *State) warm(hours float64, f *Forcing, w *Flows) float64 {
	sec := hours * 3600
	capacity := s.Volume * Density(s.T) * specificHeat // J/K
	flow := func(t float64) float64 { return Evaporation(t, f.RoomT, f.Humidity, 0, f.EvapShare) * f.Area }
	e0 := flow(s.T)
	slope := (flow(s.T+0.5) - flow(s.T-0.5)) * LatentHeat(s.T)
	loss := f.UA + slope
	net := f.HeatIn - f.UA*(s.T-f.RoomT) - e0*LatentHeat(s.T) // W at the start, without heater
	p1, p2 := phi(-loss / capacity * sec)
	heater := 0.0
	if need := (f.HeaterSet - s.T) * capacity / (sec * p1); f.HeaterMax > 0 && need > net {
		heater = math.Min(need-net, f.HeaterMax)
	}
	gain := (net + heater) / capacity * sec
	mean := within(s.T+gain*p2, 0, 60)
	s.T = within(s.T+gain*p1, 0, 60)
	w.HeaterWh = heater * hours
	return math.Min(flow(mean)*sec/Density(mean), 0.2*s.Volume)
}

// cloud moves suspended matter: supply, settling and capture, exactly.
func (s *State) cloud(hours float64, f *Forcing, w *Flows) {
	litres := 1000 * s.Volume
	in := f.SuspendedIn / litres
	away := f.Settling + f.Capture
	p1, _ := phi(-away * hours)
	end := s.Suspended + hours*p1*(in-away*s.Suspended)
	gone := math.Max(0, s.Suspended+in*hours-end)
	w.Stirred = f.SuspendedIn * hours / 1000
	if away > 0 {
		w.Settled = gone * f.Settling / away * litres / 1000
		w.Caught = gone * f.Capture / away * litres / 1000
	}
	s.Suspended = math.Max(0, end)
}

// evaporate takes pure water and leaves everything dissolved behind.
func (s *State) evaporate(volume float64, w *Flows) {
	k := s.Volume / (s.Volume - volume)
	t := s.T
	s.Composition = Of(s.In(k), 1, t)
	s.Suspended *= k
	s.Volume -= volume
	w.Evaporated = volume
}

// part holds what stays constant during a step.
type part struct {
	eq           Equilibrium
	litres       float64
	kCO2, kO2    float64 // gas transfer, 1/h
	airCO2       float64 // mmol/L at equilibrium with air
	satO2        float64 // mg/L
	aob, nob     film
	mineral      float64 // 1/h
	maxInjection float64 // mmol/(L h) that dissolve at most
}

// film is a Nitrifier at the temperature of the step, per hour.
type film struct {
	mu, decay    float64 // 1/h
	capacity     float64 // g VSS
	seed         float64 // g VSS that is always there
	mediaShare   float64
	yield, ks    float64
	ko           float64
	litres, turn float64
}

func (s *State) newFilm(n *Nitrifier, f *Forcing) film {
	area := s.Media + s.Surface
	ft := n.temperature(s.T)
	x := film{
		mu: n.Mu * ft / 24, decay: n.Decay * ft / 24, capacity: n.Capacity * area, seed: s.Params.Inoculum * area,
		yield: n.Yield, ks: n.KS, ko: n.KO, litres: 1000 * s.Volume, turn: f.Turnover,
	}
	if area > 0 {
		x.mediaShare = s.Media / area
	}
	return x
}

func (s *State) newPart(f *Forcing) part {
	p := part{eq: s.Equilibrium(), litres: 1000 * s.Volume}
	depth := s.Volume / math.Max(f.Area, 1e-9)
	p.kCO2 = TransferVelocity(f.K600, SchmidtCO2(s.T), s.Params.GasExponent) / 24 / depth
	p.kO2 = TransferVelocity(f.K600, SchmidtO2(s.T), s.Params.GasExponent) / 24 / depth
	p.airCO2 = p.eq.CO2InAir(f.AirCO2 * f.Pressure)
	p.satO2 = OxygenSaturation(s.T, f.Pressure)
	p.aob, p.nob = s.newFilm(&s.Params.AOB, f), s.newFilm(&s.Params.NOB, f)
	p.mineral = s.Params.MineralPerDay * math.Pow(s.Params.MineralTheta, s.T-20) / 24
	if f.CO2 != NoInjection {
		p.maxInjection = f.MaxRate * f.Dissolved / molCO2 * 1000 / p.litres
	}
	return p
}

// carbon is how fast dissolved carbon leaves at one moment, mmol/(L h), and how those rates answer to dissolved carbon, 1/h.
type carbon struct {
	fixA, fixB, out          float64 // plants that take only CO2, plants that can use HCO3-, to the air
	slopeA, slopeB, slopeOut float64
	respired                 float64 // asked respiration of everything alive, from outside Detritus
	dCO2                     float64 // mmol CO2 per mmol dissolved carbon
}

func (s *State) carbon(c Carbonate, p *part, f *Forcing) carbon {
	dCO2, dHCO3 := p.eq.slopes(c)
	r := carbon{
		dCO2: dCO2, out: p.kCO2 * (c.CO2 - p.airCO2), slopeOut: p.kCO2 * dCO2,
		respired: (f.PlantResp + f.AnimalResp + f.MicrobeResp) / p.litres,
	}
	q := &s.Params
	var user, dUser float64
	if x := c.CO2 - q.Compensation; x > 0 {
		a := x + q.CO2Half
		r.fixA = f.GrossCO2 / p.litres * x / a
		r.slopeA = f.GrossCO2 / p.litres * q.CO2Half / (a * a) * dCO2
		u := x + q.UserHalf
		user, dUser = x/u, q.UserHalf/(u*u)*dCO2
	}
	b := c.HCO3 + q.HCO3Half
	path, dPath := q.HCO3Share*c.HCO3/b, q.HCO3Share*q.HCO3Half/(b*b)*dHCO3
	r.fixB = f.GrossHCO3 / p.litres * (user + (1-user)*path)
	r.slopeB = f.GrossHCO3 / p.litres * math.Max(0, dUser*(1-path)+(1-user)*dPath)
	return r
}

// length chooses the next inner step from how fast free CO2 moves.
func (p *part) length(c Carbonate, r carbon, f *Forcing, left float64) float64 {
	speed := math.Abs(f.Supply.DIC/p.litres + r.respired - r.fixA - r.fixB - r.out)
	h := longestPart
	if move := largestMove * (c.CO2 + smallCO2); speed*r.dCO2*h > move {
		h = math.Max(shortestPart, move/(speed*r.dCO2))
	}
	switch {
	case h >= left:
		return left
	case h > left/2:
		return left / 2 // two equal parts instead of one and a crumb
	}
	return h
}

// part advances everything but heat and suspended matter by h hours and returns the new carbonate system.
func (s *State) part(h float64, c Carbonate, r carbon, p *part, f *Forcing, w *Flows) Carbonate {
	q := &s.Params
	perLitre := 1 / p.litres
	var charge float64 // meq/L that the strong ions gain

	// Respiration is held to the oxygen there is: an implicit estimate of oxygen at the end of the part sets the share.
	mineralC := p.mineral * s.Detritus.C / molC * 1000 * perLitre // mmol/(L h)
	made := q.QuotientP * molO2 * (r.fixA + r.fixB)
	demand := q.QuotientR * molO2 * (r.respired + mineralC)
	breath := p.breath(h, s.O2, made, demand, q.RespHalf)

	// Detritus dissolves; litter arrives.
	gone := s.Detritus.Times(-math.Expm1(-p.mineral * breath * h))
	s.Detritus = s.Detritus.Add(gone.Times(-1)).Add(f.Litter.Times(h))
	w.Mineralised = w.Mineralised.Add(gone)
	w.Littered = w.Littered.Add(f.Litter.Times(h))

	// Nitrogen. Plants take ammonium first; what is left of their demand they take as nitrate.
	slow := NitrificationPH(c.PH, q.PHFloor)
	if s.Alk <= 0 {
		slow = 0
	} else {
		slow *= s.Alk / (s.Alk + q.AlkHalf)
	}
	oxA, oxB := s.O2/(p.aob.ko+s.O2), s.O2/(p.nob.ko+s.O2)
	if p.aob.ko == 0 {
		oxA = 1
	}
	if p.nob.ko == 0 {
		oxB = 1
	}
	facA, facB := slow*oxA, slow*oxB
	if most := oxygenAOB*p.aob.top(s.AOB, facA) + oxygenNOB*p.nob.top(s.NOB, facB); p.aob.ko+p.nob.ko > 0 && most*h > 0.5*s.O2 {
		k := 0.5 * s.O2 / (most * h)
		facA, facB = facA*k, facB*k
	}
	var sinks [3]sink
	aobMid := p.aob.middle(s.AOB, s.TAN, facA, h)
	sinks[0], sinks[1] = p.aob.sinks(aobMid, facA)
	sinks[2] = sink{f.Demand.N * perLitre, q.HalfTAN}
	tan, _, took := drain(s.TAN, h, (f.Supply.TAN+f.SoilTAN)*perLitre+gone.N*1000*perLitre/h, 0, &sinks)
	ammonia := took[0] + took[1]
	takenTAN := took[2]
	s.AOB = p.aob.grow(s.AOB, aobMid, ammonia, h)

	nobMid := p.nob.middle(s.NOB, s.NO2N, facB, h)
	sinks[0], sinks[1] = p.nob.sinks(nobMid, facB)
	sinks[2] = sink{}
	no2, _, took := drain(s.NO2N, h, ammonia/h, 0, &sinks)
	nitrite := took[0] + took[1]
	s.NOB = p.nob.grow(s.NOB, nobMid, nitrite, h)

	no3, takenNO3 := drain1(s.NO3N, h, f.Supply.NO3N*perLitre+nitrite/h, math.Max(0, f.Demand.N*perLitre-takenTAN/h), q.Half.N)
	charge += ((tan - s.TAN) - (no2 - s.NO2N) - (no3 - s.NO3N)) / molN
	s.TAN, s.NO2N, s.NO3N = tan, no2, no3

	// Other nutrients.
	po4, takenP := drain1(s.PO4P, h, f.Supply.PO4P*perLitre+gone.P*1000*perLitre/h, f.Demand.P*perLitre, q.Half.P)
	k, takenK := drain1(s.K, h, f.Supply.K*perLitre+gone.K*1000*perLitre/h, f.Demand.K*perLitre, q.Half.K)
	// The soil takes calcium and magnesium, in the share they have of the hardness, for protons and for ammonium.
	var soilCa, soilMg, protons float64
	if hard := s.Ca/molCa + s.Mg/molMg; hard > 0 {
		ask := f.SoilAlk * perLitre
		if s.Alk > 0 {
			ask = math.Min(ask*s.Alk/(s.Alk+soilAlkHalf), 0.5*s.Alk/h) // at most half of it in one part
		} else {
			ask = 0
		}
		all := ask + f.SoilTAN*perLitre/molN // meq/(L h)
		if all > 0 {
			protons = ask / all
		}
		soilCa, soilMg = all/2*s.Ca/hard, all/2*s.Mg/hard
	}
	ca, takenCa, leftCa := drain2(s.Ca, h, f.Supply.Ca*perLitre, f.Demand.Ca*perLitre, q.Half.Ca, soilCa, soilIonHalf)
	mg, takenMg, leftMg := drain2(s.Mg, h, f.Supply.Mg*perLitre, f.Demand.Mg*perLitre, q.Half.Mg, soilMg, soilIonHalf)
	decay := q.IronPerDay / 24 * math.Exp(math.Ln10*q.IronPerPH*math.Max(0, c.PH-6.5))
	sinks = [3]sink{{f.Demand.Fe * perLitre, q.Half.Fe}}
	fe, ironLost, took := drain(s.Fe, h, f.Supply.Fe*perLitre, decay, &sinks)
	charge += -(po4-s.PO4P)/molP + (k-s.K)/molK + 2*(ca-s.Ca)/molCa + 2*(mg-s.Mg)/molMg
	s.PO4P, s.K, s.Ca, s.Mg, s.Fe = po4, k, ca, mg, fe
	s.Alk += charge

	// Carbon.
	in := f.Supply.DIC*perLitre + breath*r.respired + gone.C/molC*1000*perLitre/h
	net := in - r.fixA - r.fixB - r.out
	p1, p2 := phi(-h * (r.slopeA + r.slopeB + r.slopeOut))
	injected := p.inject(s, f, s.DIC+h*p1*net, h*p1)
	net += injected
	mean := h * p2 * net
	fixA, fixB := math.Max(0, h*(r.fixA+r.slopeA*mean)), math.Max(0, h*(r.fixB+r.slopeB*mean))
	out := h * (r.out + r.slopeOut*mean)
	end := s.DIC + h*(in+injected) - fixA - fixB - out
	if end < 0 {
		// The shortest part was still too long: shrink what leaves to what is there.
		k := (s.DIC + h*(in+injected)) / (fixA + fixB + math.Max(0, out))
		fixA, fixB, out, end = k*fixA, k*fixB, math.Max(0, k*out), 0
	}
	s.DIC = end

	// Oxygen. The air is an endless store, so whatever the balance leaves open came from it.
	gained := q.QuotientP * molO2 * (fixA + fixB)
	used := q.QuotientR*molO2*h*(in-f.Supply.DIC*perLitre) + oxygenAOB*ammonia + oxygenNOB*nitrite
	closed := s.O2 + gained - used
	e1, _ := phi(-p.kO2 * h)
	air := p.kO2 * h * e1 * (p.satO2 - s.O2)
	air += (gained - used) * (e1 - 1)
	if closed+air < 0 {
		air = -closed
	}
	o2 := closed + air
	var bubbled float64
	if top := q.BubbleAt * p.satO2; o2 > top {
		bubbled = (o2 - top) * -math.Expm1(-q.BubblePerHour*h)
		o2 -= bubbled
	}
	s.O2 = o2
	w.LowO2, w.HighO2 = math.Min(w.LowO2, o2), math.Max(w.HighO2, o2)

	l := p.litres
	w.FixedCO2 += fixA * l
	w.FixedHCO3 += fixB * l
	w.PlantResp += breath * h * f.PlantResp
	w.AnimalResp += breath * h * f.AnimalResp
	w.MicrobeResp += breath * h * f.MicrobeResp
	w.TakenTAN += takenTAN * l
	w.TakenNO3 += takenNO3 * l
	w.Taken = Nutrients{
		w.TakenTAN + w.TakenNO3, w.Taken.P + takenP*l, w.Taken.K + takenK*l, w.Taken.Fe + took[0]*l,
		w.Taken.Ca + takenCa*l, w.Taken.Mg + takenMg*l,
	}
	w.Supplied = Supply{
		w.Supplied.DIC + h*f.Supply.DIC, w.Supplied.TAN + h*(f.Supply.TAN+f.SoilTAN), w.Supplied.NO3N + h*f.Supply.NO3N,
		w.Supplied.PO4P + h*f.Supply.PO4P, w.Supplied.K + h*f.Supply.K, w.Supplied.Fe + h*f.Supply.Fe,
		w.Supplied.Ca + h*f.Supply.Ca, w.Supplied.Mg + h*f.Supply.Mg,
	}
	w.ToNitrite += ammonia * l
	w.ToNitrate += nitrite * l
	w.SoilCa += leftCa * l
	w.SoilMg += leftMg * l
	w.SoilAlk += protons * 2 * (leftCa/molCa + leftMg/molMg) * l
	w.IronLost += ironLost * l
	w.Injected += h * injected * l
	if f.CO2 == FixedRate {
		w.BottleCO2 += h * f.MaxRate
	} else if f.Dissolved > 0 {
		w.BottleCO2 += h * injected * l / 1000 * molCO2 / f.Dissolved
	}
	w.Degassed += out * l
	w.OxygenMade += gained * l
	w.OxygenUsed += used * l
	w.OxygenAir += air * l
	w.OxygenBubbled += bubbled * l

	p.eq.phosphate, p.eq.ammonia = s.PO4P/molP/1000, s.TAN/molN/1000
	return p.eq.solve(within(s.DIC/1000, 0, largest), within(s.Alk/1000, -largest, largest), c.h)
}

// An exchanger takes up less as its counter-ions run out; half-saturations in meq/L of alkalinity and mg/L of calcium or magnesium.
// Common practice, no source.
const (
	soilAlkHalf = 0.2
	soilIonHalf = 0.5
)

// breath returns the share of the asked respiration that the oxygen allows, 0 to 1: the root of one implicit step of oxygen under supply,
// exchange with air and demand·O2/(half+O2).
func (p *part) breath(h, o2, made, demand, half float64) float64 {
	if demand == 0 || half == 0 {
		return 1
	}
	a := 1 + h*p.kO2
	c := o2 + h*(made+p.kO2*p.satO2)
	b := a*half + h*demand - c
	root := math.Sqrt(b*b + 4*a*c*half)
	x := (root - b) / (2 * a)
	if b > 0 {
		x = 2 * c * half / (b + root)
	}
	return x / (half + x)
}

// inject returns the CO2 to dissolve, mmol/(L h): dic is where carbon would end without it, gain how much a unit of rate would add.
func (p *part) inject(s *State, f *Forcing, dic, gain float64) float64 {
	var want Carbonate
	switch f.CO2 {
	case FixedRate:
		return p.maxInjection
	case HoldCO2:
		want = p.eq.AtCO2(f.Target/molCO2, s.Alk)
	case HoldPH:
		want = p.eq.AtPH(f.Target, s.Alk)
	default:
		return 0
	}
	return within((want.DIC()-dic)/gain, 0, p.maxInjection)
}

// top returns the largest rate, mg N/(L h), of a film of x g VSS slowed by fac.
func (m *film) top(x, fac float64) float64 { return m.mu * fac * x * 1000 / (m.yield * m.litres) }

// sinks returns the film on open surfaces and the film in the filter. The filter's part gets no more than the flow brings: kinetics and flow in series
// raise its half-saturation by top/turnover.
func (m *film) sinks(x, fac float64) (surface, media sink) {
	v := m.top(x, fac)
	surface = sink{v * (1 - m.mediaShare), m.ks}
	if m.turn > 0 {
		in := v * m.mediaShare
		media = sink{in, m.ks + in/m.turn}
	}
	return surface, media
}

// middle returns the film's mass half way through h hours, from its growth at the start.
func (m *film) middle(x, c, fac, h float64) float64 {
	if m.capacity <= 0 {
		return 0
	}
	a, b := m.sinks(x, fac)
	var took float64
	if a.v > 0 {
		took += a.v * c / (a.k + c)
	}
	if b.v > 0 {
		took += b.v * c / (b.k + c)
	}
	return m.grow(x, x, took*h/2, h/2)
}

// grow returns the film's mass after h hours in which it oxidised took mg N/L while its mass was about mid.
func (m *film) grow(x, mid, took, h float64) float64 {
	if m.capacity <= 0 || mid <= 0 {
		return m.seed
	}
	g := took * m.litres / 1000 * m.yield / mid
	return math.Max(m.seed, x*math.Exp(g*(1-mid/m.capacity)-m.decay*h))
}

func drain1(c, h, s, v, k float64) (end, taken float64) {
	sinks := [3]sink{{v, k}}
	end, _, took := drain(c, h, s, 0, &sinks)
	return end, took[0]
}

func drain2(c, h, s, v1, k1, v2, k2 float64) (end, took1, took2 float64) {
	sinks := [3]sink{{v1, k1}, {v2, k2}}
	end, _, took := drain(c, h, s, 0, &sinks)
	return end, took[0], took[1]
}
