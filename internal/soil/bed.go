package soil

import (
	"littoral/internal/catalog"
	"littoral/internal/geometry"
	"math"
	"sort"
)

// Nutrients are the amounts of the elements roots take, in mg.
type Nutrients struct{ N, P, K, Fe float64 }

func (a Nutrients) plus(b Nutrients) Nutrients {
	return Nutrients{a.N + b.N, a.P + b.P, a.K + b.K, a.Fe + b.Fe}
}

func (a Nutrients) times(f float64) Nutrients { return Nutrients{a.N * f, a.P * f, a.K * f, a.Fe * f} }

func (a Nutrients) minus(b Nutrients) Nutrients { return a.plus(b.times(-1)) }

// Organic is dead matter: dry mass in g, carbon in mmol, the rest in mg.
type Organic struct {
	Dry, C float64
	Nutrients
}

// Params are the rates of the root zone that are uncertain; what they mean stands beside the house's values below, which
// DefaultParams returns.
type Params struct {
	LeachFast, Exchangeable     float64 // 1/day at 20 °C, share
	DetritusRate, DetritusToBed float64 // 1/day at 20 °C, share
	RootAccess                  float64 // share a day
	BufferVelocity              float64 // m/day
	HumusRate                   float64 // 1/day at 20 °C
	Selectivity, AffinityP      float64 // factor on that of ammonium and potassium; L/mg P
	Creep, RootHold, Settle     float64 // m²/year, g/m², share
}

// DefaultParams returns the house's values.
func DefaultParams() Params {
	return Params{
		LeachFast: leachFast, Exchangeable: exchangeable, DetritusRate: detritusRate, DetritusToBed: detritusToBed, RootAccess: rootAccess,
		BufferVelocity: bufferVelocity, HumusRate: humusRate, Selectivity: 1, AffinityP: affinityP,
		Creep: creep, RootHold: rootHold, Settle: settled,
	}
}

// Rates of the root zone. First-order rates are per day at 20 °C and follow theta^(T−20).
const (
	thetaMineral = 1.07 // temperature factor of mineralisation; PCLake parameter list (Janse 2005)

	// leachFast empties the freely leachable ammonium of a new bed: half gone in six days, so that the release peaks in the
	// first week and lasts two to five weeks. Range 0.07 to 0.2; common practice, no source.
	leachFast = 0.115
	// exchangeable is the share of the nitrogen reserve that sits as ammonium on exchange sites, from which hard water strips it; the rest
	// is organic and reaches the roots only. Range 0.04 to 0.3; common practice, no source. At 6 °dH a rich soil then loses about 0.01 %
	// of its nitrogen a day to the water.
	exchangeable = 0.1

	// detritusRate is how fast dead leaves and roots on and in the top of the bed mineralise; PCLake 0.01 in water and 0.002
	// in sediment, and the top of a planted bed lies between (Janse 2005, parameter list).
	detritusRate = 0.006
	// detritusToBed is the share of mineralised nutrients that stays with the roots; the rest reaches the open water.
	// Range 0.3 to 0.8; common practice, no source.
	detritusToBed = 0.6

	// humusRate is how fast the organic matter that a material brings rots to carbon dioxide; its nitrogen stays with the roots. Detritus
	// in sediment rots at 0.002, humus a hundred times slower (Janse 2005, parameter list); what is left in a soil as sold lies between.
	// Range 0.0003 to 0.002. Six centimetres of fresh active soil then give off some 25 mmol/m² and day, as the beds of lakes do (5 to 50,
	// from memory of sediment respiration).
	humusRate = 0.0008
	// humusCarbon is the carbon of that organic matter for its nitrogen, mmol per mg N: twelve to one by mass, as in the humus of soils
	// (10 to 12, from memory of soil textbooks). Its nitrogen is the part of the reserve that is not exchangeable.
	humusCarbon = 12.0 / 12.011

	// rootAccess is the share of a column's reserve that dense roots can win in a day at most. Range 0.02 to 0.1; common
	// practice, no source.
	rootAccess = 0.04

	// bufferVelocity is the piston velocity, m/day, with which an active bed draws carbonate hardness out of the water while
	// fresh: a 55 cm deep tank then loses about a fifth of its KH a day. Range 0.05 to 0.25; common practice (KH of change
	// water vanishes within days over fresh active soil), no source.
	bufferVelocity = 0.12
	// strongBuffer is the capacity, meq/kg, of an active soil that draws at the full velocity; weaker materials draw in proportion.
	// The catalogue's strong class; common practice, no source.
	strongBuffer = 150
	// bufferFloor is the alkalinity, meq/L, that a fresh active bed leaves in the water (about 0.5 dKH). Common practice.
	bufferFloor = 0.18

	// Lateral exchange with each of four neighbours, m²/day. Free diffusion of ammonium in a bed of porosity 0.5 is
	// 7e-10 m²/s (Boudreau 1997), retarded 2.3-fold by sorption; potassium alike; phosphate is held about 30 times harder.
	lateralN = 7e-10 * 86400 / 2.3
	lateralP = lateralN / 30

	takenMemory = 1.0 / 30 // 1/day, of the running mean of what roots ask for
	daysMonth   = 365.25 / 12
)

// Tablet is a kind of root tablet: what one holds, mg, and how fast it gives it away, 1/day.
type Tablet struct {
	Nutrients
	Rate float64
}

// Tablets by kind. A plain tablet has given 95 % in three months, a coated slow-release one in ten and a half (the trade says
// two to four, and nine to twelve). Contents: a round of 52 to a square metre carries a dense planting of 56 mg N a day and
// square metre for about three months; common practice, no source.
var Tablets = map[string]Tablet{
	"plain":  {Nutrients{N: 100, P: 25, K: 100, Fe: 20}, 3.0 / 90},
	"coated": {Nutrients{N: 300, P: 75, K: 300, Fe: 40}, 3.0 / 320},
}

type pushed struct {
	left Nutrients
	rate float64
}

// column is the state of one patch of bed.
type column struct {
	litres  float64 // bulk
	fast    float64 // leachable ammonium N, mg
	reserve Nutrients
	humus   float64 // carbon of the material's own organic matter, mmol
	tablets []pushed
	asked   Nutrients // running mean of daily demand, mg/day

	sites, holdP        float64 // mmol of charge on exchange sites; phosphate that it can sorb, mg P
	ca, mg              float64 // mg on exchange sites
	poreN, poreP, poreK float64 // mg/L of its pore water
}

// Bed is the root zone of a tank. It is not safe for concurrent use.
type Bed struct {
	params    Params
	chemistry func(*catalog.Material) catalog.Bed // nil: the catalogue's own
	grid      *geometry.Columns
	cols      []column
	index     []int   // columns that hold bed, ascending
	buffer    float64 // meq left
	fresh     float64 // meq when new
	area      float64 // m² of active bed, weaker materials by their strength
	move      []Nutrients
	lying     []Organic // by column: the detritus
}

// New fills a bed as the plan lays it. ageYears > 0 takes off what a bed of that age has already given: its reserve falls by
// the share of its catalogue life, its leachable ammonium is gone, and its buffering is spent after a year.
func New(grid *geometry.Columns, cat *catalog.Catalog, ageYears float64) *Bed {
	return NewWith(grid, cat, ageYears, DefaultParams(), nil)
}

// NewWith is New with other rates, and with other numbers of the materials where chemistry is not nil.
func NewWith(grid *geometry.Columns, cat *catalog.Catalog, ageYears float64, params Params, chemistry func(*catalog.Material) catalog.Bed) *Bed {
	b := &Bed{params: params, chemistry: chemistry, grid: grid, cols: make([]column, len(grid.Area)), move: make([]Nutrients, len(grid.Area)), lying: make([]Organic, len(grid.Area))}
	for i, area := range grid.Area {
		if area <= 0 {
			continue
		}
		c := &b.cols[i]
		active := 0.0 // how strongly the column buffers, against an active soil
		acid := 0.0   // mmol of charge that protons hold
		for l, layer := range grid.Layers {
			depth := grid.Depth[l][i]
			if depth <= 0 {
				continue
			}
			m, ok := cat.Material(layer.Material)
			if !ok {
				continue // the plan's check refuses unknown materials
			}
			of := b.of(m)
			litres := depth * area * 1000
			kg := litres * m.Bulk.Mid()
			left := 1.0
			if ageYears > 0 && m.LifeYears.Max > 0 {
				left = math.Max(0.05, 1-ageYears/m.LifeYears.Max)
			}
			c.litres += litres
			c.sites += kg * of.CEC.Value * 10 // cmol/kg
			c.holdP += kg * (capacityP*of.PKg.Value*1000 + sandP)
			if ageYears < 0.2 {
				c.fast += kg * of.NH4NKg.Value * 1000
			}
			c.reserve = c.reserve.plus(Nutrients{
				N: kg * of.NKg.Value, P: kg * of.PKg.Value, K: kg * of.KKg.Value, Fe: kg * of.FeKg.Value,
			}.times(1000 * left))
			c.humus += left * b.humus(kg, &of)
			if of.BufferMeq.Value > 0 {
				active = math.Max(active, math.Min(1, of.BufferMeq.Value/strongBuffer))
				b.fresh += kg * of.BufferMeq.Value
				b.buffer += kg * of.BufferMeq.Value * math.Max(0, 1-ageYears)
				acid += kg * of.BufferMeq.Value * math.Max(0, 1-ageYears)
			}
		}
		if c.litres > 0 {
			c.ca, c.mg = b.bases(c, acid)
			b.equilibrate(c, usualWater)
			b.index = append(b.index, i)
			b.area += area * active
		}
	}
	return b
}

// humus is the carbon, mmol, of the organic matter that so much of a material brings.
func (b *Bed) humus(kg float64, of *catalog.Bed) float64 {
	return kg * of.NKg.Value * 1000 * (1 - b.params.Exchangeable) * humusCarbon
}

// of returns the root-zone numbers of a material.
func (b *Bed) of(m *catalog.Material) catalog.Bed {
	if b.chemistry == nil {
		return m.Bed
	}
	return b.chemistry(m)
}

// Pore is what a root meets in a column: reserve, mg, and pore-water concentrations, mg/L of N and of P.
type Pore struct {
	Nutrients
	NConc, PConc float64
}

// Pore returns the root zone of a column; zero outside the bed.
func (b *Bed) Pore(col int) Pore {
	if col < 0 || col >= len(b.cols) || b.cols[col].litres <= 0 {
		return Pore{}
	}
	c := &b.cols[col]
	return Pore{
		Nutrients: c.reserve,
		NConc:     c.poreN,
		PConc:     c.poreP,
	}
}

// Take gives roots up to what they ask for from a column, at most rootAccess of its reserve a day, and remembers the demand.
// Call it once per column and day, also with a zero ask, so that the remembered demand fades.
func (b *Bed) Take(col int, ask Nutrients) Nutrients {
	if col < 0 || col >= len(b.cols) {
		return Nutrients{}
	}
	c := &b.cols[col]
	c.asked = c.asked.plus(ask.minus(c.asked).times(takenMemory))
	got := Nutrients{
		N:  math.Min(ask.N, c.reserve.N*b.params.RootAccess),
		P:  math.Min(ask.P, c.reserve.P*b.params.RootAccess),
		K:  math.Min(ask.K, c.reserve.K*b.params.RootAccess),
		Fe: math.Min(ask.Fe, c.reserve.Fe*b.params.RootAccess),
	}
	c.reserve = c.reserve.minus(got)
	return got
}

// Forget lets the remembered demand of columns fade where nothing asked today; asked lists, ascending, the columns that did.
func (b *Bed) Forget(asked []int) {
	k := 0
	for _, i := range b.index {
		for k < len(asked) && asked[k] < i {
			k++
		}
		if k < len(asked) && asked[k] == i {
			continue
		}
		c := &b.cols[i]
		c.asked = c.asked.times(1 - takenMemory)
	}
}

// Release is what the bed gives to the water in a day: mg of ammonium N from mineralised matter (TAN) and from exchange sites
// (Exchanged, for which the water owes the bed as much charge in calcium and magnesium: see Hold), P, K, and mmol of respired C, of which Humus
// comes out of the organic matter that the material brought and that Stock does not count. Swap is what exchange sites give of potassium,
// calcium and magnesium, mg, negative where they take it up; its charges add up to nothing. PTaken is the phosphate, mg P, that grains sorb
// from the water.
type Release struct {
	TAN, Exchanged, P, K, C, Humus float64
	Swap                           Cations
	PTaken                         float64
}

// Cations are amounts of the metals that exchange sites hold, mg.
type Cations struct{ K, Ca, Mg float64 }

// usualWater is what a bed meets before its first day: about 6 °dH.
var usualWater = Water{Ca: 30, Mg: 7, Na: 10, K: 5}

// Day leaches, mineralises, dissolves tablets and lets nutrients spread sideways, at the water's temperature [°C] and under the water that
// stands over the bed.
func (b *Bed) Day(tempC float64, w Water) Release {
	var out Release
	theta := math.Pow(thetaMineral, tempC-20)
	fast := 1 - math.Exp(-b.params.LeachFast*theta)
	rot := 1 - math.Exp(-b.params.DetritusRate*theta)
	old := 1 - math.Exp(-b.params.HumusRate*theta)
	for _, i := range b.index {
		c := &b.cols[i]
		n := c.fast * fast
		c.fast -= n
		out.Exchanged += n

		gone := b.lying[i].times(rot)
		b.lying[i] = b.lying[i].plus(gone.times(-1))
		keep := gone.Nutrients.times(b.params.DetritusToBed)
		keep.Fe = gone.Fe // iron does not leave an oxic bed surface
		c.reserve = c.reserve.plus(keep)
		free := gone.Nutrients.minus(keep)
		out.TAN += free.N
		out.P += free.P
		out.K += free.K
		out.C += gone.C

		rotten := c.humus * old
		c.humus -= rotten
		out.Humus += rotten
		out.C += rotten

		live := c.tablets[:0]
		for _, t := range c.tablets {
			give := t.left.times(1 - math.Exp(-t.rate))
			t.left = t.left.minus(give)
			c.reserve = c.reserve.plus(give)
			if t.left.N > 0.01*Tablets["plain"].N {
				live = append(live, t)
			} else {
				c.reserve = c.reserve.plus(t.left)
			}
		}
		c.tablets = live
	}
	b.leach(tempC, w, &out)
	b.spread()
	return out
}

func (o Organic) plus(p Organic) Organic {
	return Organic{o.Dry + p.Dry, o.C + p.C, o.Nutrients.plus(p.Nutrients)}
}

func (o Organic) times(f float64) Organic { return Organic{o.Dry * f, o.C * f, o.Nutrients.times(f)} }

// spread moves nutrients between neighbouring columns by diffusion. Every pair's exchange follows from the state before any
// moved, and gives one what it takes from the other, so that sums are kept and no direction is preferred. A column gives at most
// an eighth of its difference to each of four neighbours, so none falls below zero.
func (b *Bed) spread() {
	nx := b.grid.NX
	cell2 := b.grid.Cell * b.grid.Cell
	kN, kP := math.Min(lateralN/cell2, 0.125), math.Min(lateralP/cell2, 0.125)
	for _, i := range b.index {
		b.move[i] = Nutrients{}
	}
	pair := func(i, j int) {
		p, q := &b.cols[i], &b.cols[j]
		if p.litres <= 0 || q.litres <= 0 {
			return
		}
		litres := math.Min(p.litres, q.litres)
		flux := Nutrients{
			N: kN * litres * (p.reserve.N/p.litres - q.reserve.N/q.litres),
			P: kP * litres * (p.reserve.P/p.litres - q.reserve.P/q.litres),
			K: kN * litres * (p.reserve.K/p.litres - q.reserve.K/q.litres),
		}
		b.move[i] = b.move[i].minus(flux)
		b.move[j] = b.move[j].plus(flux)
	}
	for _, i := range b.index {
		if (i+1)%nx != 0 && i+1 < len(b.cols) {
			pair(i, i+1)
		}
		if i+nx < len(b.cols) {
			pair(i, i+nx)
		}
	}
	for _, i := range b.index {
		b.cols[i].reserve = b.cols[i].reserve.plus(b.move[i])
	}
}

// AddDetritus lays dead matter on a column. It reports false, and takes nothing, where there is no bed.
func (b *Bed) AddDetritus(col int, o Organic) bool {
	if col < 0 || col >= len(b.cols) || b.cols[col].litres <= 0 {
		return false
	}
	b.lying[col] = b.lying[col].plus(o)
	return true
}

// Siphon takes the given share of the detritus that lies on open columns and returns it.
func (b *Bed) Siphon(share float64) Organic {
	var out Organic
	for _, i := range b.index {
		take := b.lying[i].times(share)
		b.lying[i] = b.lying[i].plus(take.times(-1))
		out = out.plus(take)
	}
	return out
}

// Graze takes up to the given carbon, mmol, out of the detritus of the bed, but never more than a tenth of it a day.
func (b *Bed) Graze(carbon float64) Organic {
	const reach = 0.1 // share of the detritus that grazers find in a day; common practice, no source
	if carbon <= 0 {
		return Organic{}
	}
	lying := b.Detritus().C
	if lying <= 0 {
		return Organic{}
	}
	return b.Siphon(math.Min(reach, carbon/lying))
}

// Detritus is the dead matter that lies on the bed.
func (b *Bed) Detritus() Organic {
	var out Organic
	for _, i := range b.index {
		out = out.plus(b.lying[i])
	}
	return out
}

// Push presses n tablets of a kind into the bed and returns what they hold and where they went, ascending by column. Thin goes
// first to the columns that will run short soonest; even spreads them over all columns that something roots in. Where no
// column is rooted yet, both spread them over the whole bed.
func (b *Bed) Push(n int, kind Tablet, thin bool) (Nutrients, []int) {
	type place struct {
		col  int
		rank float64
	}
	var places []place
	for _, i := range b.index {
		if b.cols[i].asked.N+b.cols[i].asked.P > 1e-6 {
			m, _ := b.Months(i)
			places = append(places, place{i, m})
		}
	}
	if len(places) == 0 {
		for _, i := range b.index {
			places = append(places, place{i, 0})
		}
	}
	if len(places) == 0 || n <= 0 {
		return Nutrients{}, nil
	}
	if thin {
		sort.SliceStable(places, func(a, c int) bool { return places[a].rank < places[c].rank })
	}
	var cols []int
	for k := range n {
		at := k % len(places)
		if !thin {
			at = (k*len(places)/n + len(places)/(2*n)) % len(places)
		}
		c := &b.cols[places[at].col]
		c.tablets = append(c.tablets, pushed{kind.Nutrients, kind.Rate})
		cols = append(cols, places[at].col)
	}
	sort.Ints(cols)
	return kind.Nutrients.times(float64(n)), cols
}

// Bases is the calcium and magnesium on the exchange sites of the whole bed, mg; K is 0, since it counts among the nutrients.
func (b *Bed) Bases() Cations {
	var sum Cations
	for _, i := range b.index {
		sum.Ca += b.cols[i].ca
		sum.Mg += b.cols[i].mg
	}
	return sum
}

// Hold books calcium and magnesium, mg, that the bed took from the water for ammonium and protons: it goes to the columns by their sites.
func (b *Bed) Hold(took Cations) {
	sites := 0.0
	for _, i := range b.index {
		sites += b.cols[i].sites
	}
	for _, i := range b.index {
		share := 1 / float64(len(b.index))
		if sites > 0 {
			share = b.cols[i].sites / sites
		}
		b.cols[i].ca += share * took.Ca
		b.cols[i].mg += share * took.Mg
	}
}

// AlkalinityUptake is how much carbonate hardness, meq/h, the bed draws from water of the given alkalinity [meq/L] now. Spend
// books what was really taken.
func (b *Bed) AlkalinityUptake(alk float64) float64 {
	if b.buffer <= 0 || b.fresh <= 0 || alk <= bufferFloor {
		return 0
	}
	// Full speed while fresh, fading over the last third.
	left := math.Min(1, 3*b.buffer/b.fresh)
	perHour := b.params.BufferVelocity * b.area * 1000 * (alk - bufferFloor) * left / 24
	return math.Min(perHour, b.buffer)
}

// Spend books alkalinity that the water gave to the bed, meq.
func (b *Bed) Spend(meq float64) { b.buffer = math.Max(0, b.buffer-meq) }

// Buffer is the carbonate hardness the bed can still take up, meq, and what it could when new.
func (b *Bed) Buffer() (left, fresh float64) { return b.buffer, b.fresh }

// Months tells how long the reserve of a column, tablets and half of its detritus included, will feed what has lately rooted
// there, and which nutrient ends first; 999 and "" where nothing draws on it.
func (b *Bed) Months(col int) (float64, string) {
	c := &b.cols[col]
	have := c.reserve.plus(b.lying[col].Nutrients.times(0.5 * b.params.DetritusToBed))
	for _, t := range c.tablets {
		have = have.plus(t.left)
	}
	months, short := 999.0, ""
	for _, e := range []struct {
		name       string
		have, need float64
	}{{"nitrogen", have.N, c.asked.N}, {"phosphorus", have.P, c.asked.P}} {
		if e.need < 1e-4 {
			continue
		}
		if m := e.have / e.need / daysMonth; m < months {
			months, short = m, e.name
		}
	}
	return months, short
}

// Columns lists the columns that hold bed, ascending.
func (b *Bed) Columns() []int { return b.index }

// Stock is everything the bed holds, mg, and the carbon of its detritus, mmol.
func (b *Bed) Stock() (Nutrients, float64) {
	var sum Nutrients
	carbon := 0.0
	for _, i := range b.index {
		c := &b.cols[i]
		sum = sum.plus(c.reserve).plus(b.lying[i].Nutrients)
		sum.N += c.fast
		for _, t := range c.tablets {
			sum = sum.plus(t.left)
		}
		carbon += b.lying[i].C
	}
	return sum, carbon
}

// Available is the plant-available reserve of the whole bed, mg.
func (b *Bed) Available() Nutrients {
	var sum Nutrients
	for _, i := range b.index {
		sum = sum.plus(b.cols[i].reserve)
	}
	return sum
}

// Shift lets bulk that moves between columns carry with it the share of all that its column holds in the mean: reserve, leachable ammonium and
// exchange sites with what is on them. Detritus and tablets stay.
func (b *Bed) Shift(moves []Move) {
	type load struct {
		litres, humus, fast, sites, holdP, ca, mg float64
		reserve                                   Nutrients
	}
	loads := make([]load, len(moves))
	for k, m := range moves {
		c, f := &b.cols[m.From], m.Share
		loads[k] = load{f * c.litres, f * c.humus, f * c.fast, f * c.sites, f * c.holdP, f * c.ca, f * c.mg, c.reserve.times(f)}
	}
	give := func(c *column, l *load, sign float64) {
		c.litres += sign * l.litres
		c.humus += sign * l.humus
		c.fast += sign * l.fast
		c.sites += sign * l.sites
		c.holdP += sign * l.holdP
		c.ca += sign * l.ca
		c.mg += sign * l.mg
		c.reserve = c.reserve.plus(l.reserve.times(sign))
	}
	bare := false
	for k, m := range moves {
		give(&b.cols[m.From], &loads[k], -1)
		bare = bare || b.cols[m.To].litres <= 0
		give(&b.cols[m.To], &loads[k], 1)
	}
	if bare { // bulk came where there was bare glass
		b.index = b.index[:0]
		for i := range b.cols {
			if b.cols[i].litres > 0 {
				b.index = append(b.index, i)
			}
		}
	}
}

// Litres is the bulk of the whole bed as it was laid, L.
func (b *Bed) Litres() float64 {
	sum := 0.0
	for _, i := range b.index {
		sum += b.cols[i].litres
	}
	return sum
}

// Disturb frees part of what the bed holds when it is dug over columns: the share of the reserve that pore water carries.
// It returns mg of ammonium N, P and K that reach the water.
func (b *Bed) Disturb(cols []int) Release {
	// dugLoose is the share of ammonium and phosphate that uprooting stirs into the water; range 0.005 to 0.03, common
	// practice (a replanted bed gives an ammonia pulse), no source.
	const dugLoose = 0.01
	var out Release
	for _, i := range cols {
		if i < 0 || i >= len(b.cols) {
			continue
		}
		c := &b.cols[i]
		lost := c.reserve.times(dugLoose)
		lost.Fe = 0
		lost.P *= 0.2
		c.reserve = c.reserve.minus(lost)
		out.Exchanged += lost.N
		out.P += lost.P
		out.K += lost.K
	}
	return out
}

// Refresh adds fresh material over columns to the given depth [m] and returns what it brought, mg.
func (b *Bed) Refresh(cols []int, m *catalog.Material, depth float64) (Nutrients, Cations) {
	var added Nutrients
	var bases Cations
	of := b.of(m)
	for _, i := range cols {
		if i < 0 || i >= len(b.cols) || b.grid.Area[i] <= 0 || b.cols[i].litres <= 0 {
			continue
		}
		c := &b.cols[i]
		litres := depth * b.grid.Area[i] * 1000
		kg := litres * m.Bulk.Mid()
		n := Nutrients{N: kg * of.NKg.Value, P: kg * of.PKg.Value, K: kg * of.KKg.Value, Fe: kg * of.FeKg.Value}.times(1000)
		fast := kg * of.NH4NKg.Value * 1000
		c.litres += litres
		c.sites += kg * of.CEC.Value * 10
		c.holdP += kg * (capacityP*of.PKg.Value*1000 + sandP)
		c.fast += fast
		c.humus += b.humus(kg, &of)
		c.reserve = c.reserve.plus(n)
		n.N += fast
		added = added.plus(n)
		b.buffer += kg * of.BufferMeq.Value
		b.fresh += kg * of.BufferMeq.Value
		ca, mg := b.bases(&column{sites: kg * of.CEC.Value * 10, reserve: n}, kg*of.BufferMeq.Value)
		c.ca += ca
		c.mg += mg
		bases.Ca += ca
		bases.Mg += mg
	}
	return added, bases
}
