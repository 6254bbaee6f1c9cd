package forecast

import (
	"littoral/internal/algae"
	"littoral/internal/catalog"
	"littoral/internal/growth"
	"littoral/internal/plan"
	"littoral/internal/unit"
	"littoral/internal/water"
	"math"
	"strings"
)

// Algae in the tank; common practice, no source, unless said.
const (
	// strainedAlgae is the share of floating algae that a filter holds back in one pass; most cells are finer than what it catches.
	// Range 0.002 to 0.05.
	strainedAlgae = 0.01
	// wiped is the share of the glass's film that a wipe takes off, and wipedOut the share of that which leaves with the sponge.
	wiped, wipedOut = 0.9, 0.5
	// digested is the share of eaten film that a grazer digests; range 0.3 to 0.6.
	digested = 0.4
	// weatherDays is the memory of the conditions that kinds of algae answer to: those of about the last week.
	weatherDays = 7.0
)

// AlgaeWeek is how strongly each kind of algae was invited in the week before a day.
type AlgaeWeek struct {
	Day   int
	Risks [algae.Kinds]algae.Risk
}

// beginAlgae puts the trace of algae in that any tank has.
func (r *run) beginAlgae() {
	for _, s := range r.model.Solids {
		if s.Body != nil && s.Volume > 0 {
			r.stoneArea += s.Body.Area() * math.Max(0, 1-s.InBed/s.Volume)
		}
	}
	r.algae = algae.New(r.algaeAreas(), r.t.algae)
}

// algaeAreas are the surfaces of today, m², and the water, m³.
func (r *run) algaeAreas() [algae.Surfaces]float64 {
	var a [algae.Surfaces]float64
	a[algae.Glass] = r.wallArea
	a[algae.Hardscape] = r.stoneArea
	a[algae.Bed] = r.area * (1 - r.covered)
	a[algae.Water] = r.water.Volume
	if r.stand != nil {
		a[algae.Leaves] = r.stand.LeafArea()
	}
	return a
}

// algaeEnv is what algae meet on a day.
func (r *run) algaeEnv(hours [24]lightHour) (algae.Env, growth.Foliage) {
	leaves := r.stand.Foliage(algae.SlowLeaf)
	e := algae.Env{TempC: r.water.T, Area: r.algaeAreas()}
	e.Area[algae.Leaves] = leaves.Area
	for _, h := range hours {
		if h.lit > 0 && h.dim > 0 {
			dim := h.dim * r.lampShine()
			if n := len(e.Light); n > 0 && e.Light[n-1].Dim == dim {
				e.Light[n-1].Hours += h.lit
			} else {
				e.Light = append(e.Light, algae.Piece{Hours: h.lit, Dim: dim})
			}
		}
	}
	e.PPFD = [algae.Surfaces]float64{algae.Glass: r.glassLight, algae.Hardscape: (r.waterMean + r.bedMean) / 2, algae.Bed: r.bedMean, algae.Leaves: leaves.PPFD, algae.Water: r.floatLight}
	e.Shed[algae.Leaves] = leaves.Fall
	if r.water.Volume > 0 {
		e.Shed[algae.Water] = 24 * strainedAlgae * r.filterFlow * r.flow() / r.water.Volume
	}
	e.Grazer = r.keen()
	return e, leaves
}

// keen is the wet mass of the animals, g, by how keen they are on algae.
func (r *run) keen() float64 {
	sum := 0.0
	for _, g := range r.groups {
		sum += g.animal.MassG.Value * grownShare * float64(g.count) * appetite(g.animal)
	}
	return sum
}

// appetite is how keen an animal is on algae, 0 to 1, by the words of the catalogue; common practice, no source.
func appetite(a *catalog.Animal) float64 {
	switch {
	case strings.HasPrefix(a.Algae, "yes"):
		return 1
	case a.Algae == "" || strings.HasPrefix(a.Algae, "no"):
		return 0
	}
	return 0.2
}

// joined adds what algae ask of the water to what plants ask. Algae use bicarbonate as the second group of plants does (general in
// periphyton and green algae, from memory).
func joined(plants *growth.Demand, a algae.Demand) *growth.Demand {
	both := *plants
	both.GrossC[1] += a.GrossC
	both.RespC += a.RespC
	both.Water.N += a.N
	both.Water.P += a.P
	return &both
}

// apart takes the algae's part out of what the water gave, by what each asked for.
func apart(taken *growth.Taken, both *growth.Demand, a algae.Demand) algae.Taken {
	part := func(from *float64, ask, all float64) float64 {
		if all <= 0 {
			return 0
		}
		x := *from * ask / all
		*from -= x
		return x
	}
	return algae.Taken{C: part(&taken.FixedC[1], a.GrossC, both.GrossC[1]), N: part(&taken.Water.N, a.N, both.Water.N), P: part(&taken.Water.P, a.P, both.Water.P)}
}

// growAlgae lets the algae's day happen and carries what they lose to water, bed and animals.
func (r *run) growAlgae(t algae.Taken) {
	g := r.algae.Grow(t)
	r.pending.DIC += g.Released.C
	r.pending.TAN += g.Released.N
	r.pending.PO4P += g.Released.P
	r.litter = r.litter.Add(litterOf(g.Lost)).Add(litterOf(g.Strained))
	r.caught += g.Strained.Dry
	eaten := g.Eaten
	r.animals.C += digested * eaten.C
	r.pending.TAN += digested * eaten.N
	r.pending.PO4P += digested * eaten.P
	r.litter = r.litter.Add(litterOf(algae.Matter{Dry: (1 - digested) * eaten.Dry, C: (1 - digested) * eaten.C, N: (1 - digested) * eaten.N, P: (1 - digested) * eaten.P}))
}

func litterOf(m algae.Matter) water.Detritus {
	return water.Detritus{Dry: m.Dry, C: m.C * molC / 1000, N: m.N / 1000, P: m.P / 1000}
}

func ofAlgae(m algae.Matter) elements { return elements{N: m.N, P: m.P, C: m.C} }

// wipeGlass takes the film off the glass and returns what left the tank.
func (r *run) wipeGlass() elements {
	m := r.algae.Wipe(algae.Glass, wiped)
	out := ofAlgae(m).times(wipedOut)
	r.ledger.left("wiped off the glass", out)
	rest := 1 - wipedOut
	r.litter = r.litter.Add(litterOf(algae.Matter{Dry: rest * m.Dry, C: rest * m.C, N: rest * m.N, P: rest * m.P}))
	return out
}

// turbid is what clouds the water, mg/L dry.
func (r *run) turbid() float64 {
	return r.water.Suspended + r.algae.Density(algae.Water)
}

// weather keeps the mean conditions of the last week (lying is the detritus on the bed, g dry), and once a week tells which kinds of algae they invite.
func (r *run) weather(day int, row *Day, leaves growth.Foliage, lying float64) {
	now := algae.Conditions{
		Age: float64(day), GlassPPFD: r.waterMean * r.brightest(row), SlowPPFD: leaves.SlowPPFD * r.brightest(row), Hours: row.LightHours, SunHours: row.SunHours, Outside: r.outside(),
		NO3: row.NO3, PO4: row.PO4, NH4: row.NH4, CO2: row.CO2On, CO2Start: row.CO2Dawn, Flow: row.Flow,
		Film: row.GlassFilm, Floating: row.Algae,
	}
	if wet := r.algaeAreas(); wet[algae.Glass] > 0 {
		now.Grazers = r.keen() / (wet[algae.Glass] + wet[algae.Hardscape] + wet[algae.Bed] + wet[algae.Leaves])
	}
	if r.p.Found != nil {
		now.Age += float64(r.p.Found.Age / unit.Days)
	}
	if leaves.Area > 0 {
		now.SlowShare = leaves.SlowArea / leaves.Area
	}
	if gas := current(r.p.CO2, day, func(c *plan.CO2) (unit.Day, unit.Day) { return c.From, c.Until }); gas != nil {
		now.CO2Target = r.gasTarget(gas)
	}
	if r.water.Volume > 0 {
		now.Turnover = r.filterFlow / r.water.Volume
	}
	if r.area > 0 {
		now.Dirt = lying / r.area
	}
	memory := weatherDays
	if r.mean.Age == 0 {
		r.mean, memory = now, math.Inf(1)
		r.asFound()
	}
	for _, x := range []struct {
		to   *float64
		from float64
	}{
		{&r.mean.GlassPPFD, now.GlassPPFD},
		{&r.mean.SlowPPFD, now.SlowPPFD},
		{&r.mean.SlowShare, now.SlowShare},
		{&r.mean.Hours, now.Hours},
		{&r.mean.SunHours, now.SunHours},
		{&r.mean.Outside, now.Outside},
		{&r.mean.NO3, now.NO3},
		{&r.mean.PO4, now.PO4},
		{&r.mean.NH4, now.NH4},
		{&r.mean.CO2, now.CO2},
		{&r.mean.CO2Start, now.CO2Start},
		{&r.mean.Flow, now.Flow},
		{&r.mean.Dirt, now.Dirt},
		{&r.mean.Film, now.Film},
		{&r.mean.Floating, now.Floating},
	} {
		*x.to += (x.from - *x.to) / memory
	}
	r.mean.Age, r.mean.CO2Target, r.mean.Turnover, r.mean.Grazers = now.Age, now.CO2Target, now.Turnover, now.Grazers
	if r.brief == nil && (day > 0 && day%7 == 0 || day == 0 && r.p.Found != nil) {
		r.out.Algae = append(r.out.Algae, AlgaeWeek{day, algae.Risks(r.mean)})
	}
}

// asFound lets the readings of a running tank speak for the week before it was found.
func (r *run) asFound() {
	if r.p.Found == nil || r.p.Found.Readings == nil {
		return
	}
	rd := r.p.Found.Readings
	for _, x := range []struct {
		to   *float64
		read *unit.Concentration
	}{{&r.mean.NO3, rd.Nitrate}, {&r.mean.PO4, rd.Phosphate}, {&r.mean.NH4, rd.Ammonium}} {
		if x.read != nil {
			*x.to = float64(*x.read)
		}
	}
}
