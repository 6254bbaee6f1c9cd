package forecast

import (
	"littoral/internal/algae"
	"littoral/internal/catalog"
	"littoral/internal/clarity"
	"littoral/internal/growth"
	"littoral/internal/soil"
	"littoral/internal/water"
)

// tuning is every number of the engine that is uncertain. The zero functions mean the catalogue's own numbers.
type tuning struct {
	water      water.Params
	soil       soil.Params
	growth     growth.Params
	algae      algae.Params
	site       surroundings
	physiology func(*catalog.Species) catalog.Physiology
	chemistry  func(*catalog.Material) catalog.Bed
}

// surroundings are the numbers of this package that are uncertain; what they mean stands beside the constants of the same names.
type surroundings struct {
	gasStill, gasFlow                   float64
	lampHeat, mediaM2PerM3, movedAlive  float64
	singlePass, singlePassFine          float64
	settlingPerHour, stirredPerDay      float64
	clogLitre, usualColour, siphonReach float64
	tanPerProt, routine, beamPerSolids  float64
	lampEfficacy                        float64

	// What lamps and tap are against what the plan says of them; tapSwing is added.
	lampLight, lampSpectrum, lampBeam           float64
	tapHard, tapNitrate, tapPhosphate, tapSwing float64
}

func usual() tuning {
	return tuning{water: water.DefaultParams(), soil: soil.DefaultParams(), growth: growth.DefaultParams(), algae: algae.DefaultParams(), site: surroundings{
		gasStill: gasStill, gasFlow: gasFlow, lampHeat: lampHeat, mediaM2PerM3: mediaM2PerM3, movedAlive: movedAlive,
		singlePass: singlePass, singlePassFine: singlePassFine, settlingPerHour: settlingPerHour, stirredPerDay: stirredPerDay,
		clogLitre: clogLitre, usualColour: usualColour, siphonReach: siphonReach, tanPerProt: tanPerProt, routine: routine,
		beamPerSolids: clarity.PerSolids, lampEfficacy: lampEfficacy,
		lampLight: 1, lampSpectrum: 1, lampBeam: 1, tapHard: 1, tapNitrate: 1, tapPhosphate: 1,
	}}
}

// Parameter is a number of the engine that is uncertain: what it is, the house's value, and the range it is drawn from. One half of
// the draws lies under the value and one half over it, each falling off in a straight line to its end of the range (two triangles that
// meet at the value), on a scale of ratios where Ratio is set and of differences otherwise. The shape is our own choice: the sources
// give a middle and a range and no more.
type Parameter struct {
	Name            string // in words, after the room
	Unit            string // empty for shares and factors
	Value, Min, Max float64
	Ratio           bool
	Source          string

	at func(*tuning) []*float64 // all move by the same ratio
}

const practice = "common practice, no source"

const lampBeam = "lamps: width of the beam against what the plan states"

// parameters lists the numbers that are uncertain and that belong to no species and no material.
func parameters() []Parameter {
	one := func(f func(*tuning) *float64) func(*tuning) []*float64 {
		return func(t *tuning) []*float64 { return []*float64{f(t)} }
	}
	list := []Parameter{
		{"growth: hours of full light that fill a plant's day", "h", 0, 2, 5, true, practice, one(func(t *tuning) *float64 { return &t.growth.Daylength })},
		{"growth: how much faster leaves die that do not pay for themselves", "", 0, 2, 6, true, practice, one(func(t *tuning) *float64 { return &t.growth.DarkShed })},
		{"growth: leaves lost after planting, against their class", "", 0, 0.5, 1.5, true, practice, one(func(t *tuning) *float64 { return &t.growth.Melt })},
		{"growth: lengthening of stems, against the catalogue", "", 0, 0.7, 1.4, true, practice, one(func(t *tuning) *float64 { return &t.growth.Elongation })},
		{"growth: respiration of leaves that fix nothing, against their species' own", "", 0, 0.2, 0.6, true, practice, one(func(t *tuning) *float64 { return &t.growth.IdleBreath })},
		{"growth: dark days that the base of a thick mat holds", "days", 0, 28, 70, true, practice, one(func(t *tuning) *float64 { return &t.growth.MatDays })},

		{"soil: leaching of ammonium from new material", "1/day", 0, 0.07, 0.2, true, practice, one(func(t *tuning) *float64 { return &t.soil.LeachFast })},
		{"soil: share of the nitrogen reserve on exchange sites", "", 0, 0.04, 0.3, true, practice, one(func(t *tuning) *float64 { return &t.soil.Exchangeable })},
		{"soil: decay of dead leaves in the bed", "1/day", 0, 0.002, 0.01, true, "Janse 2005 (PCLake): 0.01 in water, 0.002 in sediment", one(func(t *tuning) *float64 { return &t.soil.DetritusRate })},
		{"soil: decay of the organic matter that a material brings", "1/day", 0, 0.0003, 0.002, true, "between humus and detritus in sediment, Janse 2005 (PCLake)", one(func(t *tuning) *float64 { return &t.soil.HumusRate })},
		{"soil: share of what decays that stays with the roots", "", 0, 0.3, 0.8, false, practice, one(func(t *tuning) *float64 { return &t.soil.DetritusToBed })},
		{"soil: share of a reserve that roots win in a day", "", 0, 0.02, 0.1, true, practice, one(func(t *tuning) *float64 { return &t.soil.RootAccess })},
		{"soil: speed at which an active bed takes up carbonate hardness", "m/day", 0, 0.05, 0.25, true, practice, one(func(t *tuning) *float64 { return &t.soil.BufferVelocity })},
		{"soil: hold of exchange sites on ammonium and potassium", "", 0, 1.0 / 3, 3, true, "phreeqc.dat for clays; of baked clay not known, range a factor of 3", one(func(t *tuning) *float64 { return &t.soil.Selectivity })},
		{"soil: hold of the bed on phosphate", "L/mg", 0, 0.2, 2, true, "Janse 2005 (PCLake), oxic; range " + practice, one(func(t *tuning) *float64 { return &t.soil.AffinityP })},

		{"soil: creep of slopes that nothing holds", "m²/year", 0, 0.007, 0.03, true, practice, one(func(t *tuning) *float64 { return &t.soil.Creep })},
		{"soil: root mass that halves the creep of slopes", "g/m²", 0, 8, 60, true, practice, one(func(t *tuning) *float64 { return &t.soil.RootHold })},
		{"soil: settling of new active soil", "", 0, 0.02, 0.1, true, practice, one(func(t *tuning) *float64 { return &t.soil.Settle })},

		{"water: CO2 at which plants that take CO2 only reach half their rate", "mmol/L", 0, 0.033, 0.19, true, "4 to 185 µM (Kirk 1994); " + practice, one(func(t *tuning) *float64 { return &t.water.CO2Half })},
		{"water: share of photosynthesis that the bicarbonate path carries", "", 0, 0.15, 0.45, true, "ratios of Sand-Jensen 1983; " + practice, one(func(t *tuning) *float64 { return &t.water.HCO3Share })},
		{"water: nitrate at which leaves take half their most", "mg/L", 0, 0.07, 0.6, true, practice, one(func(t *tuning) *float64 { return &t.water.Half.N })},
		{"water: phosphate at which leaves take half their most", "mg/L", 0, 0.007, 0.06, true, practice, one(func(t *tuning) *float64 { return &t.water.Half.P })},
		{"water: growth of nitrifiers", "", 1, 0.7, 1.3, true, "spread of enriched cultures; Blackburne et al. 2007, range from memory", func(t *tuning) []*float64 { return []*float64{&t.water.AOB.Mu, &t.water.NOB.Mu} }},
		{"water: nitrifiers that come with plants and hands", "g/m²", 0, 0, 0, true, practice + ", range a factor of 10", one(func(t *tuning) *float64 { return &t.water.Inoculum })},
		{"water: capacity of a ripe film", "", 1, 1.0 / 3, 3, true, "Timmons & Ebeling, from memory; range a factor of 3", func(t *tuning) []*float64 { return []*float64{&t.water.AOB.Capacity, &t.water.NOB.Capacity} }},
		{"water: decay of detritus", "1/day", 0, 0.005, 0.02, true, "Janse 2005 (PCLake), range " + practice, one(func(t *tuning) *float64 { return &t.water.MineralPerDay })},
		{"water: loss of chelated iron", "1/day", 0, 0.01, 0.09, true, practice + ", range a factor of 3", one(func(t *tuning) *float64 { return &t.water.IronPerDay })},

		{"site: gas exchange of a still surface", "m/day", 0, 0.1, 0.6, true, practice + "; the largest single doubt of the CO2 bill", one(func(t *tuning) *float64 { return &t.site.gasStill })},
		{"site: gas exchange that flow along the surface adds", "m/day per m/h", 0, 0.15, 1.2, true, practice, one(func(t *tuning) *float64 { return &t.site.gasFlow })},
		{"site: lamp power that ends as heat in the water", "", 0, 0.05, 0.3, true, practice, one(func(t *tuning) *float64 { return &t.site.lampHeat })},
		{"site: film-bearing surface of filter media", "m²/m³", 0, 200, 1000, true, practice, one(func(t *tuning) *float64 { return &t.site.mediaM2PerM3 })},
		{"site: film on ripe media that lives through a move", "", 0, 0.01, 0.3, true, practice, one(func(t *tuning) *float64 { return &t.site.movedAlive })},
		{"site: suspended matter that a filter holds back in a pass", "", 1, 0.4, 2, true, "Range 0.1 to 0.6 of what passes; " + practice, func(t *tuning) []*float64 { return []*float64{&t.site.singlePass, &t.site.singlePassFine} }},
		{"site: settling of what clouds the water", "1/h", 0, 0.05, 0.4, true, "Stokes settling of flocs, range " + practice, one(func(t *tuning) *float64 { return &t.site.settlingPerHour })},
		{"site: detritus that flow and animals stir up", "1/day", 0, 0.005, 0.05, true, practice, one(func(t *tuning) *float64 { return &t.site.stirredPerDay })},
		{"site: dirt that clogs a litre of media", "g/L", 0, 2, 8, true, practice, one(func(t *tuning) *float64 { return &t.site.clogLitre })},
		{"site: colour of the water", "1/m", 0, 0.05, 0.2, true, practice, one(func(t *tuning) *float64 { return &t.site.usualColour })},
		{"site: detritus that a siphon takes off open bed", "", 0, 0.5, 0.95, false, practice, one(func(t *tuning) *float64 { return &t.site.siphonReach })},
		{"site: ammonium from food", "g N/g protein", 0, 0.06, 0.13, true, "Timmons & Ebeling, from memory; uncertain by a factor of 1.5 to 2", one(func(t *tuning) *float64 { return &t.site.tanPerProt })},
		{"site: breath of animals against resting", "", 0, 1.4, 3, true, "2 to 3, from memory of fish physiology texts", one(func(t *tuning) *float64 { return &t.site.routine })},
		{"site: photons of a lamp whose power is not stated", "µmol/J", 0, 1.8, 2.8, true, practice + " for LED panels", one(func(t *tuning) *float64 { return &t.site.lampEfficacy })},

		{"lamps: photons against what the plan states", "", 1, 0.85, 1.1, true, "flux of LED lamps within 7 to 10 % of the sheet, dirt and age 5 to 10 % less; from memory of makers' sheets", one(func(t *tuning) *float64 { return &t.site.lampLight })},
		{"lamps: photons against the plan where it states lumens, besides", "", 1, 0.9, 1.12, true, "60 to 75 lux for each µmol/m²/s of white LEDs (CIE 015:2018, LED-B1 to B5)", one(func(t *tuning) *float64 { return &t.site.lampSpectrum })},
		{lampBeam, "", 1, 0.8, 1.25, true, practice, one(func(t *tuning) *float64 { return &t.site.lampBeam })},
		{"tap: hardness and all that goes with it against the plan", "", 1, 0.8, 1.25, true, "range of a supplier's readings over its area and year; " + practice, one(func(t *tuning) *float64 { return &t.site.tapHard })},
		{"tap: nitrate against the plan", "", 1, 0.5, 1.5, true, "the same; " + practice, one(func(t *tuning) *float64 { return &t.site.tapNitrate })},
		{"tap: phosphate against the plan", "", 1, 0.5, 2, true, "suppliers that dose phosphate say ±50 %; " + practice, one(func(t *tuning) *float64 { return &t.site.tapPhosphate })},
		{"tap: swing of its salts over the year, as a share, from day 0 on", "", 0, -0.15, 0.15, false, "river water is harder and richer in nitrate in winter, ground water steady; " + practice, one(func(t *tuning) *float64 { return &t.site.tapSwing })},

		{"algae: growth of a thin film", "1/day", 0, 0.8, 2, true, "periphyton reviews, from memory", one(func(t *tuning) *float64 { return &t.algae.FilmMax })},
		{"algae: light of half a film's growth", "µmol/m²/s", 0, 15, 70, true, "periphyton reviews, from memory", one(func(t *tuning) *float64 { return &t.algae.FilmHalf })},
		{"algae: film that shades itself by half", "g/m²", 0, 1, 5, true, practice, one(func(t *tuning) *float64 { return &t.algae.Thick })},
		{"algae: light that the film on a leaf takes", "m²/g", 0, 0.02, 0.15, true, "Kirk 1994, from memory; Ow et al. 2020", one(func(t *tuning) *float64 { return &t.algae.Shade })},
		{"algae: film that peels off a surface", "1/day", 0, 0.02, 0.1, true, practice, one(func(t *tuning) *float64 { return &t.algae.Peel })},
		{"algae: film at which grazers eat half of their most", "g/m²", 0, 0.2, 2, true, practice, one(func(t *tuning) *float64 { return &t.algae.GrazeMid })},
		{"algae: what grazers eat", "g dry/g wet and day", 0, 0.01, 0.05, true, practice, one(func(t *tuning) *float64 { return &t.algae.GrazeMax })},

		{"clarity: beam attenuation of suspended matter", "1/m per mg/L", 0, 0.4, 1.2, true, "from memory of optical oceanography reviews", one(func(t *tuning) *float64 { return &t.site.beamPerSolids })},
	}
	house := usual()
	for i := range list {
		p := &list[i]
		if p.Value == 0 {
			p.Value = *p.at(&house)[0]
		}
		if p.Max == 0 {
			p.Min, p.Max = p.Value/10, p.Value*10
		}
	}
	return list
}

// Parameters lists the uncertain numbers of the engine that belong to no species and no material, with their ranges and sources.
// Those of species and materials stand in the catalogue.
func Parameters() []Parameter { return parameters() }
