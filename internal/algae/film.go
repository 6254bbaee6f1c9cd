package algae

import "math"

// Surface is a class of places where algae live.
type Surface int

// The classes.
const (
	Glass Surface = iota
	Hardscape
	Bed
	Leaves
	Water    // not a surface: what floats
	Surfaces // how many there are
)

// String names a class.
func (s Surface) String() string {
	if s < 0 || s >= Surfaces {
		return "nowhere"
	}
	return [Surfaces]string{"glass", "hardscape", "bed", "leaves", "water"}[s]
}

// Composition of algae per g dry: 40 % carbon, and C:N:P = 119:17:1 by moles, films that lack nothing (Hillebrand & Sommer 1999, from
// memory).
const (
	carbon   = 0.40 / 12.011 * 1000         // mmol C
	nitrogen = carbon / 119 * 17 * 14.007   // mg N
	phosphor = carbon / 119 * 1 * 30.973762 // mg P
)

// Params are the rates of the film and of floating algae.
type Params struct {
	FilmMax  float64 // growth of a thin film in full light at 20 °C, 1/day over 24 h of light; 0.3 to 0.6 net in days of 12 to 14 h (periphyton reviews, from memory), so range 0.8 to 2
	WaterMax float64 // the same of floating algae; 1.5 in PCLake's green algae (Janse 2005)
	FilmHalf float64 // PPFD of half a film's rate; films of shaded streams saturate at 20 to 100 µmol (from memory of periphyton reviews)
	Half     float64 // PPFD of half the rate of what floats; 17 W/m² of PAR, about 77 µmol (Janse 2005, green algae)
	Theta    float64 // factor per °C; 1.066 (Eppley 1972)
	Resp     float64 // respiration at 20 °C, 1/day, Q10 2; 0.05 to 0.1 (Janse 2005)
	Thick    float64 // film, g/m², at which shading by itself halves growth; range 1 to 5 (common practice, no source)
	Shade    float64 // extinction of light by the film on a leaf, m²/g dry; 0.5 to 1 % of chlorophyll that absorbs 8 to 20 m²/g (Kirk 1994, from memory) give 0.04 to 0.2, thick and dirty films less (strips with 330 g/m² passed about a tenth: Ow et al. 2020), so range 0.02 to 0.15
	Peel     float64 // what peels off a film at Thick in a day; thinner films lose in proportion; range 0.02 to 0.1 (common practice, no source)
	Sink     float64 // what of the floating sinks, 1/day; 0.2 m/day in PCLake over half a metre (Janse 2005)
	Refuge   float64 // g/m² (of the water: g/m³) that nothing takes, in scratches and corners; common practice, no source
	GrazeMax float64 // g dry eaten a day by a g wet of a keen grazer; 0.01 to 0.05 (common practice, no source)
	GrazeMid float64 // film, g/m², at which a grazer eats half of that; range 0.2 to 2 (common practice, no source)
}

// DefaultParams returns the house's values.
func DefaultParams() Params {
	return Params{FilmMax: 1.3, WaterMax: 1.5, FilmHalf: 30, Half: 77, Theta: 1.066, Resp: 0.06, Thick: 2, Shade: 0.06, Peel: 0.05, Sink: 0.4, Refuge: 0.005, GrazeMax: 0.02, GrazeMid: 0.5}
}

// Piece is a stretch of the day with steady light.
type Piece struct{ Hours, Dim float64 }

// Env is what a day brings to algae.
type Env struct {
	TempC  float64
	Light  []Piece
	PPFD   [Surfaces]float64 // in full light
	Area   [Surfaces]float64 // m²; of Water the volume in m³
	Shed   [Surfaces]float64 // 1/day: leaves that fall with their film, water that a filter strains
	Grazer float64           // g wet of keen grazers
}

// Matter is an amount of algae by element.
type Matter struct{ Dry, C, N, P float64 }

func of(dry float64) Matter { return Matter{dry, dry * carbon, dry * nitrogen, dry * phosphor} }

// Plus returns the sum.
func (m Matter) Plus(o Matter) Matter { return Matter{m.Dry + o.Dry, m.C + o.C, m.N + o.N, m.P + o.P} }

// Demand is what algae ask of the water for a day.
type Demand struct {
	GrossC float64 // mmol C that would be fixed at CO2 saturation
	RespC  float64 // mmol C that they breathe out, whatever they get
	N, P   float64 // mg
}

// Taken is what they got of it.
type Taken struct{ C, N, P float64 }

// Result is what a day did. All of it goes back to water, bed or grazers.
type Result struct {
	Growth   float64 // g dry, before losses
	Released Matter  // dissolved: what was taken and not used, and the nutrients of what was breathed out; Dry is 0
	Lost     Matter  // peeled, sunk and fallen with leaves: detritus
	Strained Matter  // caught by the filter: detritus
	Eaten    Matter
}

// State is the algae of a tank. It is not safe for concurrent use.
type State struct {
	Params Params
	dry    [Surfaces]float64
	ask    [Surfaces]float64 // g dry of gross growth asked for today
	breath [Surfaces]float64 // g dry
	env    Env
}

// start is the film of a new tank, g/m² and g/m³: four times the refuge (common practice, no source).
const start = 4

// New starts a tank whose surfaces have the given areas with the trace of algae that comes with plants, hands and water.
func New(area [Surfaces]float64, p Params) *State {
	s := &State{Params: p}
	for i, a := range area {
		s.dry[i] = start * p.Refuge * math.Max(a, 0)
	}
	return s
}

// Density is the film on a surface, g dry/m², or what floats, g dry/m³ (mg/L), on the areas of the last day.
func (s *State) Density(k Surface) float64 {
	if a := s.env.Area[k]; a > 0 {
		return s.dry[k] / a
	}
	return 0
}

// Stock is everything that the algae hold.
func (s *State) Stock() Matter {
	sum := 0.0
	for _, x := range s.dry {
		sum += x
	}
	return of(sum)
}

// Demand works out what the algae ask for on a day; Grow follows with what they got.
func (s *State) Demand(e Env) Demand {
	s.env = e
	p := &s.Params
	warm := math.Pow(p.Theta, e.TempC-20)
	breath := math.Min(p.Resp*math.Pow(2, (e.TempC-20)/10), 0.5)
	var d Demand
	for k := range Surfaces {
		x := s.dry[k]
		s.ask[k], s.breath[k] = 0, 0
		if x <= 0 || e.Area[k] <= 0 {
			continue
		}
		day, half := 0.0, p.FilmHalf
		if k == Water {
			half = p.Half
		}
		for _, l := range e.Light {
			if i := e.PPFD[k] * l.Dim; i > 0 {
				day += l.Hours / 24 * i / (i + half)
			}
		}
		most := p.FilmMax
		crowd := 1 / (1 + x/e.Area[k]/p.Thick)
		if k == Water {
			most, crowd = p.WaterMax, 1
		}
		// Growth over a day in small steps is exponential.
		s.ask[k] = x * math.Expm1(math.Min(most*warm*day*crowd, 2))
		s.breath[k] = s.over(k, x) * breath
		g := of(s.ask[k])
		d.GrossC += g.C
		d.N += g.N
		d.P += g.P
		d.RespC += of(s.breath[k]).C
	}
	return d
}

// over is what of a mass lies over the refuge.
func (s *State) over(k Surface, x float64) float64 {
	return math.Max(x-s.Params.Refuge*s.env.Area[k], 0)
}

// Grow lets the day happen.
func (s *State) Grow(t Taken) Result {
	var r Result
	p := &s.Params
	asked := 0.0
	for _, a := range s.ask {
		asked += a
	}
	// The scarcest of the three decides (Liebig).
	grown := math.Min(t.C/carbon, math.Min(t.N/nitrogen, t.P/phosphor))
	share := 0.0
	if asked > 0 {
		share = math.Max(0, math.Min(grown/asked, 1))
	}
	r.Growth = asked * share
	used := of(r.Growth)
	r.Released = Matter{0, t.C - used.C, t.N - used.N, t.P - used.P}
	for k := range Surfaces {
		s.dry[k] += s.ask[k]*share - s.breath[k]
		b := of(s.breath[k])
		r.Released.N += b.N // its carbon was in the demand
		r.Released.P += b.P
	}
	lose := func(k Surface, g float64) Matter {
		g = math.Min(g, s.over(k, s.dry[k]))
		s.dry[k] -= g
		return of(g)
	}
	for k := range Surfaces {
		a := s.env.Area[k]
		if s.dry[k] <= 0 {
			continue
		}
		if k == Water {
			r.Strained = r.Strained.Plus(lose(k, s.dry[k]*-math.Expm1(-s.env.Shed[k])))
			r.Lost = r.Lost.Plus(lose(k, s.dry[k]*-math.Expm1(-p.Sink)))
			continue
		}
		peel := p.Peel
		if a > 0 {
			peel *= math.Min(s.dry[k]/a/p.Thick, 4)
		}
		r.Lost = r.Lost.Plus(lose(k, s.dry[k]*-math.Expm1(-peel-s.env.Shed[k])))
	}
	r.Eaten = s.graze()
	s.settle()
	return r
}

// settle seeds surfaces that hold less than their refuge from those that hold more: spores drift everywhere.
func (s *State) settle() {
	have, lack := 0.0, 0.0
	for k := range Surfaces {
		have += s.over(k, s.dry[k])
		lack += math.Max(s.Params.Refuge*s.env.Area[k]-s.dry[k], 0)
	}
	move := math.Min(lack, have)
	if move <= 0 {
		return
	}
	for k := range Surfaces {
		s.dry[k] += move/lack*math.Max(s.Params.Refuge*s.env.Area[k]-s.dry[k], 0) - move/have*s.over(k, s.dry[k])
	}
}

// Seed adds the trace of algae that comes with leaves of an area, m², and returns it.
func (s *State) Seed(area float64) Matter {
	g := start * s.Params.Refuge * math.Max(area, 0)
	s.dry[Leaves] += g
	return of(g)
}

// graze lets grazers eat from the surfaces, most where most grows.
func (s *State) graze() Matter {
	var sum, area float64
	for k := range Water {
		sum += s.over(k, s.dry[k])
		area += s.env.Area[k]
	}
	if sum <= 0 || area <= 0 || s.env.Grazer <= 0 {
		return Matter{}
	}
	x := sum / area
	eaten := math.Min(s.env.Grazer*s.Params.GrazeMax*x/(x+s.Params.GrazeMid), 0.9*sum)
	var out Matter
	for k := range Water {
		g := eaten * s.over(k, s.dry[k]) / sum
		s.dry[k] -= g
		out = out.Plus(of(g))
	}
	return out
}

// Wipe takes a share of the film off a surface.
func (s *State) Wipe(k Surface, share float64) Matter {
	g := s.over(k, s.dry[k]) * math.Max(0, math.Min(share, 1))
	s.dry[k] -= g
	return of(g)
}

// Drain takes the share of what floats that leaves with a water change.
func (s *State) Drain(share float64) Matter {
	g := s.dry[Water] * math.Max(0, math.Min(share, 1))
	s.dry[Water] -= g
	return of(g)
}
