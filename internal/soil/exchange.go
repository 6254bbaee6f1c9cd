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
	// of H2PO4⁻ (4.02 + 0.223 t)·1e-10 and of Ca²⁺ (3.60 + 0.179 t)·1e-10, Mg²⁺ with it (Boudreau 1997), K⁺ as NH4⁺ (1.96e-9 at 25 °C, phreeqc.dat); tortuosity 1 − ln φ² and porosity
	// φ 0.4 (Boudreau 1996, from memory).
	porosity = 0.4
	path     = 0.03 // m; the rooted middle of a bed, range 0.01 to 0.05, common practice, no source
)

// piston is how fast an ion of diffusion coefficient (a + b·t)·1e-10 m²/s passes between pores and open water, m/day.
func piston(a, b, tempC float64) float64 {
	d0 := (a + b*math.Max(tempC, 0)) * 1e-10
	return porosity * d0 / (1 - math.Log(porosity*porosity)) / path * 86400
}

// bases are the calcium and magnesium, mg, on the sites of a column as it is laid: what ammonium, potassium and protons leave of the charge, in
// the shares that the usual water gives; acid is the charge that protons hold, mmol. Makers rinse and fire their grains, so this is our own choice; it decides the first weeks only.
func (b *Bed) bases(c *column, acid float64) (ca, mg float64) {
	free := math.Max(0, c.sites-acid-b.params.Exchangeable*c.reserve.N/molN-c.reserve.K/molK)
	x, y := selCa*usualWater.Ca/molCa, selMg*usualWater.Mg/molMg
	return free * x / (x + y) / 2 * molCa, free * y / (x + y) / 2 * molMg
}

// swap lets calcium and magnesium change places between the sites of a column and the water, mmol of calcium that leave: the pores hold as much
// of both as the water, in the ratio in which the sites hold them over their selectivities.
func (b *Bed) swap(c *column, area float64, w Water, velocity float64) float64 {
	ca, mg := c.ca/molCa, c.mg/molMg
	hard := w.Ca/molCa + w.Mg/molMg
	if ca+mg <= 0 || hard <= 0 {
		return 0
	}
	x, y := ca/selCa, mg/selMg
	out := velocity * area * 1000 * (hard*x/(x+y) - w.Ca/molCa)
	return math.Max(-most*mg, math.Min(out, most*ca))
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

// uptakeShare is how much of the potassium and of the phosphate in the water the bed takes up in a day at most.
const uptakeShare = 0.1

// leach lets ions pass between the pores of every column and the water. Potassium goes both ways, for calcium; calcium and magnesium change
// places; phosphate goes both ways until grains are full. Ammonium only leaves, for in open water nitrifiers, leaves and films are faster
// than the bed.
func (b *Bed) leach(tempC float64, w Water, out *Release) {
	kN, kP := piston(9.5, 0.413, tempC), piston(4.02, 0.223, tempC)
	kCa := piston(3.60, 0.179, tempC)
	takes, takesP, gives := 0.0, 0.0, 0.0
	for _, i := range b.index {
		c := &b.cols[i]
		b.equilibrate(c, w)
		if w.K > c.poreK {
			takes += kN * b.grid.Area[i] * (w.K - c.poreK) * 1000
		} else if c.sites > 0 {
			gives += math.Min(kN*b.grid.Area[i]*1000*(c.poreK-w.K), most*c.reserve.K)
		}
		takesP += b.wantsP(c, b.grid.Area[i], w.P, kP)
	}
	// limited is the share of what all columns would take up that the water can spare in a day.
	limited := func(takes, have float64) float64 {
		if all := uptakeShare * have * w.Litres; takes > all {
			return all / takes
		}
		return 1
	}
	scale, scaleP := limited(takes, w.K), limited(takesP, w.P)
	scaleCa := limited(gives/molK/2*molCa, w.Ca) // potassium leaves a site for calcium, as far as the water has any
	for _, i := range b.index {
		c := &b.cols[i]
		litres := b.grid.Area[i] * 1000 // mg/L × m/day × m² × 1000 = mg/day
		n := math.Min(kN*litres*math.Max(c.poreN-w.N, 0), most*b.params.Exchangeable*c.reserve.N)
		p := math.Min(kP*litres*math.Max(c.poreP-w.P, 0), most*c.reserve.P)
		taken := scaleP * b.wantsP(c, b.grid.Area[i], w.P, kP)
		k := kN * litres * (c.poreK - w.K)
		if k > 0 {
			k = math.Min(k, most*c.reserve.K)
			if c.sites > 0 {
				k *= scaleCa
			}
		} else {
			// Sites take potassium for the calcium they hold.
			k = math.Max(k*scale, -0.5*c.ca/molCa*2*molK)
		}
		if c.sites > 0 {
			forK := k / molK / 2 * molCa // calcium that goes the other way
			out.Swap.K += k
			out.Swap.Ca -= forK
			c.ca += forK
			ca := b.swap(c, b.grid.Area[i], w, kCa)
			out.Swap.Ca += ca * molCa
			out.Swap.Mg -= ca * molMg
			c.ca -= ca * molCa
			c.mg += ca * molMg
		} else { // nothing holds it: it is dissolved in the pores and takes no calcium for its place
			k = math.Max(k, 0)
			out.K += k
		}
		c.reserve.N -= n
		c.reserve.P -= p - taken
		c.reserve.K -= k
		out.Exchanged += n
		out.P += p
		out.PTaken += taken
	}
}

// wantsP is the phosphate, mg P, that a column would sorb from the water in a day: what diffuses in, never more than most of the room that is
// left on its grains.
func (b *Bed) wantsP(c *column, area, inWater, velocity float64) float64 {
	room := fullP*c.holdP - c.reserve.P
	if room <= 0 || inWater <= c.poreP {
		return 0
	}
	return math.Min(velocity*area*1000*(inWater-c.poreP), most*room)
}

// fullP is the share of its capacity to which a grain fills with phosphate; the isotherm never reaches the whole of it.
const fullP = 0.95
