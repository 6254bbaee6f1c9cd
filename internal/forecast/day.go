package forecast

import (
	"fmt"
	"littoral/internal/algae"
	"littoral/internal/clarity"
	"littoral/internal/growth"
	"littoral/internal/light"
	"littoral/internal/plan"
	"littoral/internal/soil"
	"littoral/internal/unit"
	"littoral/internal/water"
	"math"
)

// day carries the tank through one day: work on plants and bed first, then light, then the water hour by hour with its
// jobs, then plants, bed and waste settle their accounts.
func (r *run) day(day int) Day {
	row := Day{Day: day, TempMin: math.Inf(1), TempMax: math.Inf(-1), O2Dawn: math.Inf(1)}
	r.arrivals(day)
	r.roomT = r.p.RoomOn(day)
	r.powerOff, r.filterLost = r.troubles(day)

	jobs := r.jobs[day]
	for _, j := range jobs {
		r.workInBed(j, &row)
	}
	fresh := r.relight(day)

	regime := r.regime(day)
	if day < 0 || r.powerOff {
		regime = nil
	}
	lamps := lightDay(regime)
	hours := r.withDaylight(day, lamps, fresh)
	gas := current(r.p.CO2, day, func(c *plan.CO2) (unit.Day, unit.Day) { return c.From, c.Until })
	if day < 0 || r.powerOff {
		gas = nil
	}
	feed := current(r.p.Feeding, day, func(f *plan.Feeding) (unit.Day, unit.Day) { return f.From, f.Until })
	if day < 0 {
		feed = nil
	}

	fauna := animalsOn(r.groups, feed, r.water.T, r.fed(), &r.t.site)
	r.ledger.came("food", fauna.fed)
	r.animals = r.animals.plus(fauna.fed).plus(negative(elements{N: fauna.TAN, P: fauna.P, K: fauna.K}.plus(fauna.feces)))

	env := r.env(day, hours)
	demand := r.stand.Demand(env)
	taken := growth.Taken{Root: r.rootTake(demand)}
	algaeEnv, leaves := r.algaeEnv(hours)
	algaeDemand := r.algae.Demand(algaeEnv)
	both := joined(demand, algaeDemand)
	release := r.soilDay()
	r.ledger.came("organic matter of the bed", elements{C: release.Humus})

	supply := r.pending
	supply.TAN += release.TAN + fauna.TAN
	supply.PO4P += release.P + fauna.P
	supply.K += release.K + fauna.K
	litter := r.litter.Add(water.Detritus{
		Dry: fauna.fecesG, C: fauna.feces.C * molC / 1000, N: fauna.feces.N / 1000,
		P: fauna.feces.P / 1000, K: fauna.feces.K / 1000,
	})
	r.pending, r.litter = water.Supply{}, water.Detritus{}

	lying := r.bed.Detritus().Dry // changes little within a day, and is summed over all columns
	clock := newDial(hours, lamps)
	risen := false
	swing := r.swings(day)
	for hour := range 24 {
		for _, j := range jobs {
			if j.hour == hour {
				r.workInWater(j, &row)
			}
		}
		f := r.forcing(both, fauna, release, supply, litter, lying, clock.weight[hour])
		f.HeatIn += lamps[hour].lit * lamps[hour].dim * r.lampW * r.t.site.lampHeat
		row.LampKWh += lamps[hour].lit * lamps[hour].dim * r.lampW / 1000
		open := gasOn(gas, hour)
		// Dawn is the end of the night: before gas and light, whichever comes first.
		if !risen && (clock.first == hour || clock.first >= 0 && open > 0) {
			c := r.water.Carbonate()
			row.PHDawn, row.CO2Night, risen = c.PH, c.CO2mg(), true
		}
		if clock.first == hour {
			row.CO2Dawn = r.water.Carbonate().CO2mg()
		}
		for _, part := range []struct{ hours, gas float64 }{{1 - open, 0}, {open, 1}} {
			if part.hours <= 0 {
				continue
			}
			f := f
			if part.gas > 0 {
				r.inject(&f, gas)
			}
			steps := 1
			if r.opt.halves {
				steps = 2
			}
			for range steps {
				r.settle(part.hours/float64(steps), f, clock.on[hour], &taken, &row, clock)
			}
		}
		swing.note(r, hour, hours[hour], open)
		if clock.last == hour {
			row.PHDusk = r.water.Carbonate().PH
		}
		if nh3 := r.water.Ammonia(); nh3 > row.NH3N {
			row.NH3N = nh3
		}
	}

	r.bed.Hold(r.sited)
	r.sited = soil.Cations{}
	r.dug = 0
	algaeTaken := apart(&taken, both, algaeDemand)
	result := r.stand.Grow(env, taken)
	r.waste(result, &row)
	r.growAlgae(algaeTaken)
	r.graze()
	r.evaporate(&row)
	r.finish(day, regime, clock, taken, &row)
	r.weather(day, &row, leaves, lying)
	return row
}

func negative(e elements) elements { return e.times(-1) }

// dial spreads the day's photosynthesis over its light hours and collects means.
type dial struct {
	weight      [24]float64 // share of the day's photosynthesis in each hour
	on          [24]bool    // the lamps are on; on a day without lamps: there is daylight
	first, last int         // hours of lights-on and lights-off; -1 in the dark
	lit         float64
	co2Hours    float64
	hours       float64
}

func newDial(hours, lamps [24]lightHour) *dial {
	d := &dial{first: -1, last: -1}
	sum := 0.0
	for h, l := range hours {
		d.weight[h] = l.lit * l.dim
		sum += d.weight[h]
	}
	if lamps == ([24]lightHour{}) {
		lamps = hours
	}
	for h, l := range lamps {
		d.lit += l.lit
		d.on[h] = l.lit > 0
		if d.on[h] && lamps[(h+23)%24].lit == 0 {
			d.first = h
		}
		if d.on[h] && lamps[(h+1)%24].lit == 0 {
			d.last = h
		}
	}
	if sum > 0 {
		for h := range d.weight {
			d.weight[h] /= sum
		}
	}
	return d
}

// env is what the plants meet on a day.
func (r *run) env(day int, hours [24]lightHour) growth.DayEnv {
	c := r.water.Carbonate()
	e := growth.DayEnv{
		Day: day, TempC: r.water.T, PH: c.PH, KH: r.water.DKH(), GH: r.water.DGH(),
		WaterN: r.water.NO3N + r.water.TAN, WaterP: r.water.PO4P, Uneven: r.uneven(),
		Soil: func(col int) growth.Pore {
			p := r.bed.Pore(col)
			return growth.Pore{N: p.N, P: p.P, K: p.K, Fe: p.Fe, NConc: p.NConc, PConc: p.PConc}
		},
	}
	for _, h := range hours {
		if h.lit > 0 && h.dim > 0 {
			e.Light = append(e.Light, growth.LightPiece{Hours: h.lit, Dim: h.dim * r.lampShine()})
		}
	}
	return e
}

// rootTake hands the roots what the bed can give and keeps the bed's memory of demand. Its answer holds until the next call.
func (r *run) rootTake(d *growth.Demand) []growth.Matter {
	r.rootGot, r.rootCols = r.rootGot[:0], r.rootCols[:0]
	for _, ask := range d.Root {
		n := r.bed.Take(ask.Column, soil.Nutrients{N: ask.N, P: ask.P, K: ask.K, Fe: ask.Fe})
		r.rootGot = append(r.rootGot, growth.Matter{N: n.N, P: n.P, K: n.K, Fe: n.Fe})
		r.rootCols = append(r.rootCols, ask.Column)
	}
	r.bed.Forget(r.rootCols)
	return r.rootGot
}

// soilDay lets the bed have its day under the water that stands over it. What exchange sites swap leaves the charge of the water as it is;
// phosphate that grains sorb leaves as much alkalinity as its charge.
func (r *run) soilDay() soil.Release {
	w := &r.water
	out := r.bed.Day(w.T, soil.Water{Ca: w.Ca, Mg: w.Mg, Na: w.Na, K: w.K, N: w.TAN, P: w.PO4P, Litres: 1000 * w.Volume})
	if w.Volume > 0 {
		litres := 1000 * w.Volume
		w.K += out.Swap.K / litres
		w.Ca += out.Swap.Ca / litres
		w.Mg += out.Swap.Mg / litres
		w.PO4P -= out.PTaken / litres
		w.Alk += out.PTaken / litres / molP
	}
	return out
}

// forcing is what acts on the water in one hour, before gas; lying is the detritus on the bed, g dry.
func (r *run) forcing(d *growth.Demand, a animalDay, rel soil.Release, s water.Supply, litter water.Detritus, lying, share float64) water.Forcing {
	room := r.p.Room
	flow := r.flow()
	turnover := 0.0
	if r.water.Volume > 0 {
		turnover = r.filterFlow * flow / r.water.Volume
	}
	pass := r.t.site.singlePass
	if r.fine {
		pass = math.Min(r.t.site.singlePassFine, 0.95)
	}
	lying += r.water.Detritus.Dry
	f := water.Forcing{
		GrossCO2: d.GrossC[0] * share, GrossHCO3: d.GrossC[1] * share,
		PlantResp: d.RespC / 24, AnimalResp: a.C / 24, MicrobeResp: rel.C / 24,
		Demand: water.Nutrients{N: d.Water.N / 24, P: d.Water.P / 24, K: d.Water.K / 24, Fe: d.Water.Fe / 24, Ca: d.Water.Ca / 24, Mg: d.Water.Mg / 24},
		Supply: water.Supply{DIC: s.DIC / 24, TAN: s.TAN / 24, NO3N: s.NO3N / 24, PO4P: s.PO4P / 24, K: s.K / 24, Fe: s.Fe / 24, Ca: s.Ca / 24, Mg: s.Mg / 24},
		Litter: litter.Times(1.0 / 24), SoilTAN: (rel.Exchanged + r.dug) / 24, SoilAlk: r.bed.AlkalinityUptake(r.water.Alk),
		K600: r.t.site.gasStill + r.t.site.gasFlow*r.filterFlow*flow/r.area, Area: r.area, Turnover: turnover,
		SuspendedIn: lying * r.t.site.stirredPerDay * 1000 / 24, Settling: r.t.site.settlingPerHour, Capture: pass * turnover,
		RoomT: r.roomT, Humidity: float64(room.Humidity), EvapShare: r.evapShare(),
		UA: r.ua, HeatIn: pumpHeat * r.filterFlow * flow,
	}
	if r.p.Tank.Cover == "glass" {
		// The air under a cover is still and fills with the CO2 that water, animals and bed give off; oxygen is not short in it.
		// Ranges 0.5 to 1 and 600 to 3000 µatm; common practice, no source.
		f.K600 *= 0.7
		f.AirCO2 = 1500
	}
	if h := r.p.Heater; h != nil && !r.powerOff {
		f.HeaterMax, f.HeaterSet = float64(h.Power), float64(h.Set)
	}
	return f
}

// evapShare is what part of an open pool's evaporation the cover lets through.
func (r *run) evapShare() float64 {
	switch r.p.Tank.Cover {
	case "glass":
		return 0.1 * water.UndisturbedPool // covered tanks lose 5 to 15 % of the open value; common practice
	case "mesh":
		return 0.9 * water.UndisturbedPool
	}
	return water.UndisturbedPool
}

// inject opens the valve.
func (r *run) inject(f *water.Forcing, c *plan.CO2) {
	f.CO2, f.Target, f.Dissolved = water.HoldCO2, float64(c.Target), dissolvedCO2
	if c.PH > 0 {
		// The valve closes at the set pH and opens a dead band above it, many times an hour: the mean lies half-way.
		f.CO2, f.Target = water.HoldPH, c.PH+c.Band/2
	}
	f.MaxRate = float64(c.MaxRate) * 1000 * 3600 // kg/s to g/h
	if f.MaxRate <= 0 {
		f.MaxRate = 1.3 * r.water.Volume * math.Min(r.gasTarget(c), mostTarget) / co2Hours / dissolvedCO2
	}
}

// mostTarget bounds the gas for which an unstated valve is sized, mg/L: no valve is opened for a pH that hard water never reaches.
const mostTarget = 60

// gasTarget returns the CO2 that a regime holds in the water as it is, mg/L.
func (r *run) gasTarget(c *plan.CO2) float64 {
	if c.PH == 0 {
		return float64(c.Target)
	}
	now := r.water.Composition
	e := now.Equilibrium()
	held := e.AtPH(c.PH+c.Band/2, now.Alk)
	return held.CO2mg()
}

// settle steps the water and books what moved.
func (r *run) settle(hours float64, f water.Forcing, lit bool, taken *growth.Taken, row *Day, d *dial) {
	// Carbon that plants and bed have already given up for respiration waits here while oxygen is too short to burn it.
	plants, bed := f.PlantResp*hours+r.plantDebt, f.MicrobeResp*hours+r.bedDebt
	f.PlantResp, f.MicrobeResp = plants/hours, bed/hours
	m := r.water.Step(hours, f)
	r.plantDebt, r.bedDebt = plants-m.PlantResp, bed-m.MicrobeResp
	r.animals.C -= m.AnimalResp
	taken.FixedC[0] += m.FixedCO2
	taken.FixedC[1] += m.FixedHCO3
	taken.Water.N += m.Taken.N
	taken.Water.P += m.Taken.P
	taken.Water.K += m.Taken.K
	taken.Water.Fe += m.Taken.Fe
	taken.Water.Ca += m.Taken.Ca
	taken.Water.Mg += m.Taken.Mg
	r.bed.Spend(m.SoilAlk)
	r.sited.Ca += m.SoilCa
	r.sited.Mg += m.SoilMg
	r.caught += m.Caught
	r.evaporated += m.Evaporated

	r.ledger.came("injected carbon dioxide", elements{C: m.Injected})
	if m.Degassed >= 0 {
		r.ledger.left("carbon dioxide to the air", elements{C: m.Degassed})
	} else {
		r.ledger.came("carbon dioxide from the air", elements{C: -m.Degassed})
	}

	row.CO2UsedG += m.BottleCO2
	row.HeaterKWh += m.HeaterWh / 1000
	row.CO2Max = math.Max(row.CO2Max, m.HighCO2)
	if lit {
		row.CO2On += m.MeanCO2 * hours
		d.co2Hours += hours
	}
	row.O2Dawn = math.Min(row.O2Dawn, m.LowO2)
	row.O2Dusk = math.Max(row.O2Dusk, m.HighO2)
	row.TempMin, row.TempMax = math.Min(row.TempMin, r.water.T), math.Max(row.TempMax, r.water.T)
	row.TempC += r.water.T * hours
	row.KH += r.water.DKH() * hours
	row.GH += r.water.DGH() * hours
	row.NO3 += r.water.NO3N * water.NO3PerN * hours
	row.NO2 += r.water.NO2N * water.NO2PerN * hours
	row.NH4 += r.water.TAN * water.NH4PerN * hours
	row.PO4 += r.water.PO4P * water.PO4PerP * hours
	row.K += r.water.K * hours
	row.Ca += r.water.Ca * hours
	row.Mg += r.water.Mg * hours
	row.Fe += r.water.Fe * hours
	row.Suspended += r.water.Suspended * hours
	d.hours += hours
}

// waste carries dead leaves and what plants released to bed and water.
func (r *run) waste(g *growth.Result, row *Day) {
	for _, d := range g.Detritus {
		m := d.Matter
		o := soil.Organic{Dry: d.DryG, C: m.C, Nutrients: soil.Nutrients{N: m.N, P: m.P, K: m.K, Fe: m.Fe}}
		if !r.bed.AddDetritus(d.Column, o) {
			r.litter = r.litter.Add(water.Detritus{Dry: d.DryG, C: m.C * molC / 1000, N: m.N / 1000, P: m.P / 1000, K: m.K / 1000})
		}
	}
	m := g.ReleasedToWater
	r.pending.DIC += m.C
	r.pending.TAN += m.N
	r.pending.PO4P += m.P
	r.pending.K += m.K
	r.pending.Fe += m.Fe
	r.pending.Ca += m.Ca
	r.pending.Mg += m.Mg
	r.ledger.came("carbon dioxide from the air", elements{C: g.FixedAirC})
	r.ledger.left("carbon dioxide to the air", elements{C: g.RespiredAirC})
	row.GrowthG = g.GrowthG
	for _, c := range []struct {
		kind, text string
		list       []growth.Change
	}{
		{"offset", "%s puts out a daughter plant.", g.Born},
		{"lost", "A plant of %s is lost.", g.Lost},
		{"melt", "%s begins to lose the leaves it grew in air.", g.MeltBegun},
		{"melt-over", "%s stands on submersed leaves again.", g.MeltOver},
		{"rest", "%s goes to rest and draws in its leaves.", g.RestBegun},
		{"rest-over", "%s ends its rest and grows again.", g.RestOver},
	} {
		for _, x := range c.list {
			r.event(Event{Day: row.Day, Hour: 24, Kind: c.kind, ID: x.ID, Text: fmt.Sprintf(c.text, x.Species)})
		}
	}
	for i := 0; i < len(g.Lifted); {
		i += r.lifted(g.Lifted[i:], row)
	}
}

// liftMinutes is the work of netting out a floating patch of carpet (common practice, no source).
const liftMinutes = 2

// lifted books the patches of the first planting in a list that floated up, which are taken out of the open water, and returns how many they were.
func (r *run) lifted(list []growth.Mat, row *Day) int {
	first := list[0]
	e := Event{Day: row.Day, Hour: 24, Kind: "lift", ID: first.Planting, Unit: "m²"}
	n := 0
	for ; n < len(list) && list[n].Planting == first.Planting; n++ {
		x := &list[n]
		m := ofMatter(x.Matter)
		r.ledger.left("mats that floated up", m)
		row.CutG += x.DryG
		row.CutN += m.N
		row.CutP += m.P
		e.Amount += x.M2
		e.FreshG += x.FreshG
		e.N += m.N
		e.P += m.P
		e.Minutes += liftMinutes
	}
	e.Text = fmt.Sprintf("%.0f cm² of the mat of %s lift, float and are taken out.", 1e4*e.Amount, first.Species)
	r.event(e)
	return n
}

// bodyCarbon is the carbon, mmol, that the bodies of the animals in the tank should hold.
func (r *run) bodyCarbon() float64 {
	sum := 0.0
	for _, g := range r.groups {
		sum += g.body().C
	}
	return sum
}

// fed is how well the animals are fed: the carbon they hold against what their bodies should hold, 0 to 1.
func (r *run) fed() float64 {
	body := r.bodyCarbon()
	if body <= 0 {
		return 1
	}
	return math.Max(0, math.Min(1, r.animals.C/body))
}

// graze lets animals whose food does not cover their breath live on what lies on the bed, as shrimps, snails and small catfish
// do; the nutrients of what they eat are excreted into the water.
func (r *run) graze() {
	eaten := r.bed.Graze(r.bodyCarbon() - r.animals.C)
	r.animals.C += eaten.C
	r.pending.TAN += eaten.N
	r.pending.PO4P += eaten.P
	r.pending.K += eaten.K
	r.pending.Fe += eaten.Fe
}

// evaporate keeps the level: what left as vapour comes back as top-up water.
func (r *run) evaporate(row *Day) {
	row.EvaporatedL = r.evaporated * 1000
	if missing := r.targetLevel - r.water.Volume; missing > 0 {
		in := r.water.TopUp(missing, r.topUp)
		r.ledger.came("top-up water", ofAmount(in))
		row.TopUpL = missing * 1000
	}
	r.evaporated = 0
}

// finish fills in what is known at the end of the day.
func (r *run) finish(day int, regime *plan.LightDay, d *dial, taken growth.Taken, row *Day) {
	if d.hours > 0 {
		for _, x := range []*float64{&row.TempC, &row.KH, &row.GH, &row.NO3, &row.NO2, &row.NH4, &row.PO4, &row.K, &row.Ca, &row.Mg, &row.Fe, &row.Suspended} {
			*x /= d.hours
		}
	}
	if d.co2Hours > 0 {
		row.CO2On /= d.co2Hours
	}
	if d.first < 0 { // no light today: the pH of midnight stands for both
		c := r.water.Carbonate()
		row.PHDawn, row.CO2Night = c.PH, c.CO2mg()
		row.PHDusk = row.PHDawn
	}
	if regime != nil {
		row.LightHours, row.Dim = regime.Hours, regime.Level()
	}
	if w := r.windows; w != nil && day >= 0 {
		row.SunHours = light.SunHours(r.p, day)
		bed, _ := r.means(w.field)
		row.DaylightDLI = light.DLI(bed, 1, 1)
	}
	colour := r.colourOn(day)
	row.GlassFilm, row.LeafFilm, row.Algae = r.algae.Density(algae.Glass), r.algae.Density(algae.Leaves), r.algae.Density(algae.Water)
	row.Kd = light.Kd(colour, row.Suspended+row.Algae)
	row.Beam = clarity.BeamWith(r.t.site.beamPerSolids, row.Suspended+row.Algae, colour)
	row.Contrast = clarity.Contrast(row.Beam, r.sights[0].PathM)
	row.UptakeNWater = taken.Water.N
	for _, m := range taken.Root {
		row.UptakeNRoot += m.N
	}
	row.ShootG, row.RootG = r.stand.DryMass()
	row.Cover = r.stand.Cover()
	r.covered = row.Cover
	row.BedPPFD = r.bedMean * r.brightest(row)
	have := r.bed.Available()
	row.SoilN, row.SoilP, row.SoilK = have.N, have.P, have.K
	row.BufferMeq, _ = r.bed.Buffer()
	area := r.water.Media + r.water.Surface
	if full := area * r.water.Params.AOB.Capacity; full > 0 {
		row.Nitrifiers = math.Min(1, r.water.AOB/full)
	}
	row.Flow = r.flow()
	row.CO2Corner = row.CO2On * (1 - r.uneven())
	r.sinceClean++
}

// extinction is the water's on a day for the lamps' light, 1/m; of lamps with channels that of their spectrum over the water's depth.
func (r *run) extinction(day int) float64 {
	if !light.Channelled(r.p) {
		return light.Kd(r.colourOn(day), r.turbid())
	}
	return light.KdMixed(light.SpectrumOn(r.p, r.regime(day)), r.colourOn(day), r.turbid(), r.model.Tank.WaterLevel)
}

// brightest is the share of the field's light that is the day's full light: the lamps' dimming, or 1 where windows have been laid over them.
func (r *run) brightest(row *Day) float64 {
	if r.lit != r.field {
		return 1
	}
	return row.Dim * r.shine
}

// lampShine is what the field is to be taken times: what the lamps give against what the plan says, which is in it where windows have been laid over them.
func (r *run) lampShine() float64 {
	if r.lit != r.field {
		return 1
	}
	return r.shine
}
