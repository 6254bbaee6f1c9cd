package soil

import "math"

// Water is what lies over the bed, mg/L, and how much of it, L.
type Water struct {
	Ca, Mg, Na, K, N, P float64 // N: ammonium N
	Litres              float64
}

// Molar masses, g/mol, per charge where the ion carries two (IUPAC 2021, abridged).
const (
	molCa, molMg = 40.078, 24.305
	molNa, molK  = 22.990, 39.098
	molN         = 14.007
)

// Selectivity against sodium in the convention of Gaines & Thomas: log K of K⁺ 0.7, NH4⁺ 0.6, Ca²⁺ 0.8, Mg²⁺ 0.6, for concentrations in
// mol/L (USGS speciation database, phreeqc.dat). Those of a real baked clay are not known; range a factor of three.
var selK, selNH4, selCa, selMg = math.Pow(10, 0.7), math.Pow(10, 0.6), math.Pow(10, 0.8), math.Pow(10, 0.6)

// poreOf gives the ammonium and potassium, mol/L, of pore water that stands in equilibrium with sites of which the shares nh4 and k of
// the charge hold these ions and the rest holds calcium, magnesium and sodium as water of the given concentrations (mol/L) leaves them.
// With r = [Na]/β_Na the shares of the rest are [Na]/r, K_Ca[Ca]/r² and K_Mg[Mg]/r², and they add up to what nh4 and k leave: a
// quadratic in r.
func poreOf(nh4, k, ca, mg, na float64) (poreNH4, poreK float64) {
	rest := math.Max(1-nh4-k, 0.02)
	twice := selCa*ca + selMg*mg
	r := (na + math.Sqrt(na*na+4*rest*twice)) / (2 * rest)
	return nh4 * r / selNH4, k * r / selK
}

// sorbed gives the phosphate, mg P/L, of pore water in equilibrium with a share of the sorption capacity (Langmuir, affinity 0.6 m³/g P in
// oxic sediment: PCLake parameter list, Janse 2005).
func sorbed(share, affinity float64) float64 {
	share = math.Max(0, math.Min(share, 0.97))
	return share / (affinity * (1 - share))
}

const (
	affinityP = 0.6 // L/mg P
	// capacityP is the phosphate a material can hold against what it brings as plant-available when new, and sandP what any mineral grain
	// holds, mg/kg. Ranges 2 to 10 and 2 to 20; common practice, no source: PCLake's 65 mg P per g iron needs an iron content that hardly
	// any maker tells.
	capacityP, sandP = 4.0, 5.0

	// Between pore and open water lie a few centimetres of bed and the diffusion of the ion in it: D0 of NH4⁺ (9.5 + 0.413 t)·1e-10 m²/s
	// and of H2PO4⁻ (4.02 + 0.223 t)·1e-10 (Boudreau 1997), K⁺ as NH4⁺ (1.96e-9 at 25 °C, phreeqc.dat); tortuosity 1 − ln φ² and porosity
	// φ 0.4 (Boudreau 1996, from memory).
	porosity = 0.4
	path     = 0.03 // m; the rooted middle of a bed, range 0.01 to 0.05, common practice, no source
)

// piston is how fast an ion of diffusion coefficient (a + b·t)·1e-10 m²/s passes between pores and open water, m/day.
func piston(a, b, tempC float64) float64 {
	d0 := (a + b*math.Max(tempC, 0)) * 1e-10
	return porosity * d0 / (1 - math.Log(porosity*porosity)) / path * 86400
}

// equilibrate works out the pore water of a column under the water of the day.
func (b *Bed) equilibrate(c *column, w Water) {
	exch := b.params.Exchangeable * c.reserve.N
	if c.sites > 0 {
		nh4, k := exch/molN/c.sites, c.reserve.K/molK/c.sites // mmol over mmol of charge
		// A column so rich that its sites would be full holds the rest in its crystals or as salts.
		if over := nh4 + k; over > 0.9 {
			nh4, k = nh4*0.9/over, k*0.9/over
		}
		pn, pk := poreOf(nh4, k, w.Ca/molCa/1000, w.Mg/molMg/1000, w.Na/molNa/1000)
		c.poreN, c.poreK = pn*molN*1000/b.params.Selectivity, pk*molK*1000/b.params.Selectivity
	}
	if c.sites <= 0 { // all of it is dissolved
		c.poreN, c.poreK = exch/(porosity*c.litres), c.reserve.K/(porosity*c.litres)
	}
	if c.holdP > 0 {
		c.poreP = sorbed(c.reserve.P/c.holdP, b.params.AffinityP)
	}
}

// most is the share of what can move that a column gives off in a day at most, so that no step overshoots its equilibrium.
const most = 0.02

// uptakeShare is how much of the potassium in the water the bed takes up in a day at most.
const uptakeShare = 0.1

// leach lets ammonium, potassium and phosphate pass between the pores of every column and the water. Potassium goes both ways; ammonium and
// phosphate only leave, for in open water nitrifiers, leaves and films are faster than the bed.
func (b *Bed) leach(tempC float64, w Water, out *Release) {
	kN, kP := piston(9.5, 0.413, tempC), piston(4.02, 0.223, tempC)
	takes := 0.0
	for _, i := range b.index {
		c := &b.cols[i]
		b.equilibrate(c, w)
		if w.K > c.poreK {
			takes += kN * b.grid.Area[i] * (w.K - c.poreK) * 1000
		}
	}
	scale := 1.0
	if all := uptakeShare * w.K * w.Litres; takes > all {
		scale = all / takes
	}
	for _, i := range b.index {
		c := &b.cols[i]
		litres := b.grid.Area[i] * 1000 // mg/L × m/day × m² × 1000 = mg/day
		n := math.Min(kN*litres*math.Max(c.poreN-w.N, 0), most*b.params.Exchangeable*c.reserve.N)
		p := math.Min(kP*litres*math.Max(c.poreP-w.P, 0), most*c.reserve.P)
		k := kN * litres * (c.poreK - w.K)
		if k > 0 {
			k = math.Min(k, most*c.reserve.K)
			out.K += k
		} else {
			k *= scale
			if c.sites <= 0 {
				k = 0
			}
			out.KTaken -= k
		}
		c.reserve.N -= n
		c.reserve.P -= p
		c.reserve.K -= k
		out.Exchanged += n
		out.P += p
	}
}
