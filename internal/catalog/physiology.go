package catalog

import (
	"fmt"
	"math"
	"slices"
)

// This file is the one place where the trade's classes (speed, light, CO2 need, feeder, form, size) become numbers of plant
// physiology. Hardly any aquarium genus has been measured, so each number carries a wide range; a house that measures its own
// plants writes the result into a table of its own, and learning from a journal moves the values inside their ranges.

// physiologyFields are the parameters by the column name under which a house may give its own, with their words, their units and the bounds of what can be.
var physiologyFields = []struct {
	name, words, unit string
	lo, hi            float64
	at                func(*Physiology) *Param
}{
	{"rgr-max", "largest relative growth rate at 25 °C", "1/day", 0.0005, 0.5, func(p *Physiology) *Param { return &p.RGRMax }},
	{"ik", "half-saturating light at the leaf", "µmol/m²/s", 2, 1000, func(p *Physiology) *Param { return &p.Ik }},
	{"respiration", "dark respiration at 20 °C", "1/day", 0.0001, 0.1, func(p *Physiology) *Param { return &p.Respiration }},
	{"k-co2", "half-saturation for CO2", "µmol/L", 0.1, 1000, func(p *Physiology) *Param { return &p.KCO2 }},
	{"hco3-share", "share of growth that bicarbonate can carry", "", 0, 1, func(p *Physiology) *Param { return &p.HCO3Share }},
	{"n-min", "least nitrogen", "g/g dry", 0.001, 0.1, func(p *Physiology) *Param { return &p.NMin }},
	{"n-max", "most nitrogen", "g/g dry", 0.001, 0.2, func(p *Physiology) *Param { return &p.NMax }},
	{"p-min", "least phosphorus", "g/g dry", 0.0001, 0.02, func(p *Physiology) *Param { return &p.PMin }},
	{"p-max", "most phosphorus", "g/g dry", 0.0001, 0.05, func(p *Physiology) *Param { return &p.PMax }},
	{"k-content", "potassium", "g/g dry", 0.001, 0.2, func(p *Physiology) *Param { return &p.K }},
	{"root-n", "nitrogen taken by roots", "share", 0, 1, func(p *Physiology) *Param { return &p.RootN }},
	{"root-p", "phosphorus taken by roots", "share", 0, 1, func(p *Physiology) *Param { return &p.RootP }},
	{"root-k", "potassium taken by roots", "share", 0, 1, func(p *Physiology) *Param { return &p.RootK }},
	{"root-share", "roots of a grown plant", "share of dry mass", 0, 0.9, func(p *Physiology) *Param { return &p.RootShare }},
	{"sla", "leaf area", "m²/g dry", 0.001, 0.3, func(p *Physiology) *Param { return &p.SLA }},
	{"extinction", "light extinction", "per leaf area index", 0.1, 1.5, func(p *Physiology) *Param { return &p.Extinction }},
	{"dry-fresh", "dry share of fresh mass", "", 0.02, 0.6, func(p *Physiology) *Param { return &p.DryFresh }},
	{"leaf-life", "leaf life", "days", 5, 3000, func(p *Physiology) *Param { return &p.LeafLife }},
	{"active-days", "growth of a bulb until it rests", "days", 0, 3000, func(p *Physiology) *Param { return &p.ActiveDays }},
	{"rest-days", "rest of a bulb", "days", 0, 365, func(p *Physiology) *Param { return &p.RestDays }},
	{"pot-shoot", "shoot of a pot as bought", "g dry", 0.0001, 500, func(p *Physiology) *Param { return &p.PotShoot }},
	{"full-shoot", "shoot of a grown plant", "g dry", 0.0001, 5000, func(p *Physiology) *Param { return &p.FullShoot }},
}

// Marks of where the numbers come from.
const (
	fromGrowthClasses = "trade growth classes inside the envelope of Nielsen & Sand-Jensen 1991 (14 rooted submersed species); common practice, no source"
	fromDuckweedTest  = "duckweed growth test OECD 221 (doubling within 2.5 days), from memory; other floating plants common practice"
	fromLightClasses  = "half-saturation set to the light class; Ik 40–250 µmol by common practice, no source"
	fromRespiration   = "around the two published model values 0.00193 and 0.02 per day at 20 °C (van Nes et al. 2003; Janse 2005), scaled with growth speed; slow leaves below them, so that they live in a corner of 10 to 15 µmol as they do (common practice)"
	fromCarbonClasses = "half-saturation 4–185 µM (Kirk 1994), placed by the trade's CO2 need; bicarbonate users 30 µM fitted to Sand-Jensen's ratios; common practice, no source"
	fromDroop         = "quota bounds of Janse 2005 (PCLake), ranges widened to the critical values of Gerloff & Krombholz 1966 and to Hill 1979, from memory"
	fromPotassium     = "1–5 % of dry mass, take 3 % in fast plants; common practice, no source"
	fromRootShares    = "bed shares after Carignan & Kalff 1980 and Barko 1982; values common practice, no source"
	fromLeafSurveys   = "from memory of published leaf areas per dry mass of submersed macrophytes"
	fromLeafAngle     = "0.5–0.7 per leaf area index by leaf angle; common practice, no source"
	fromFreshWeights  = "5–15 % dry of fresh by form; common practice, no source"
	fromLeafLives     = "leaf lives of the trade (stems 6–10 weeks, crypts 4–8 months, Anubias 1–3 years), from memory; 31–39 days in a fast stream plant"
	fromSeasons       = "bulbs of waters that dry up or cool rest one to four months a year; in warm, rich tanks later and shorter; common practice, no source"
	fromCrownSize     = "leaf area index over the grown crown, from adult height and spread and the leaf area per mass; common practice, no source"
	fromPotSize       = "share of a grown plant, 1–3 g dry for rosettes and stems, 0.3–1 g for carpets, as pots are sold; common practice, no source"
)

// Envelope of growth. Nielsen & Sand-Jensen 1991 measured at most 0.109 per day in rooted submersed plants at 15 °C; ten degrees
// warmer at most half as much again. Floating plants reach the 0.28 per day that the OECD 221 duckweed test asks for.
const (
	maxRootedRGR   = 0.109 * 1.5 // 1/day at 25 °C
	maxFloatingRGR = 0.28        // 1/day at 24 ± 2 °C
)

// physiology maps a species' trade classes. RGRMax is the net growth, respiration already paid, over a usual day with about 10 hours
// of saturating light.
func physiology(s *Species) Physiology {
	sla := leafArea(s)
	full := fullShoot(s, sla.Value)
	return Physiology{
		RGRMax:      growthRate(s),
		Ik:          halfLight(s),
		Respiration: respiration(s.Speed),
		KCO2:        halfCO2(s),
		HCO3Share:   bicarbonateShare(s.HCO3Use),
		NMin:        Param{0.010, 0.008, 0.013, fromDroop},
		NMax:        Param{0.035, 0.028, 0.040, fromDroop},
		PMin:        Param{0.0008, 0.0006, 0.0013, fromDroop},
		PMax:        Param{0.0035, 0.0028, 0.0059, fromDroop},
		K:           potassium(s.Speed),
		RootN:       rootUptake(s, 0.8, 0.5),
		RootP:       rootUptake(s, 0.9, 0.6),
		RootK:       rootUptake(s, 0.2, 0.1),
		RootShare:   rootMass(s),
		SLA:         sla,
		Extinction:  extinction(s),
		DryFresh:    dryFresh(s),
		LeafLife:    leafLife(s),
		ActiveDays:  rest(s, 0),
		RestDays:    rest(s, 1),
		PotShoot:    potShoot(s, full),
		FullShoot:   full,
	}
}

// growthRate places the largest rate by speed class. The growth classes in common use for good, not saturating, light (about two
// half-saturations, so two thirds of the maximum) are 0.05 per day for fast stems, 0.035 medium stems, 0.012 crypts and ferns, 0.005 Anubias; the maxima
// here are about one and a half times those, and the doubling time they allow is at or below the short end of the trade's
// doubling time for the class.
func growthRate(s *Species) Param {
	if s.Form == Floating {
		switch {
		case s.Speed == "very fast" && s.HeightCM.Max <= 1: // duckweeds and Azolla: hardly any tissue that is not leaf
			return Param{0.28, 0.20, maxFloatingRGR, fromDuckweedTest}
		case s.Speed == "very fast":
			return Param{0.18, 0.10, maxFloatingRGR, fromDuckweedTest}
		case s.Speed == "fast":
			return Param{0.10, 0.05, 0.16, fromDuckweedTest}
		}
	}
	switch s.Speed {
	case "very fast":
		return Param{0.12, 0.06, maxRootedRGR, fromGrowthClasses}
	case "fast":
		return Param{0.075, 0.04, 0.12, fromGrowthClasses}
	case "medium":
		return Param{0.042, 0.02, 0.07, fromGrowthClasses}
	case "slow":
		return Param{0.018, 0.008, 0.03, fromGrowthClasses}
	}
	return Param{0.008, 0.003, 0.013, fromGrowthClasses}
}

// halfLight is the half-saturation of the Michaelis-Menten form, so that a leaf in the middle of its light class works at half to
// two thirds. Measured submersed plants lie at the low end: 10 to 52 µmol (Kahara & Vermaat 2003; van Nes et al. 2003), Ek up to 73
// (Angelstein & Schubert 2009), 77 in a lake model (Janse 2005).
func halfLight(s *Species) Param {
	switch {
	case s.Form == Floating: // leaves in air under the lamp
		return Param{120, 60, 200, fromLightClasses}
	case s.Form == Carpet && s.Light != "low": // ground covers close slowly in middling light
		switch {
		case s.Light == "medium":
			return Param{75, 40, 120, fromLightClasses}
		case s.PAR.Max >= 200:
			return Param{140, 90, 250, fromLightClasses}
		}
		return Param{110, 70, 180, fromLightClasses}
	case s.Light == "low":
		return Param{35, 15, 70, fromLightClasses}
	case s.Light == "medium":
		return Param{55, 25, 110, fromLightClasses}
	case s.PAR.Max >= 200: // red stems and demanding carpets
		return Param{110, 60, 250, fromLightClasses}
	}
	return Param{80, 45, 160, fromLightClasses}
}

// respiration at 20 °C goes with the speed of growth: long-lived leaves burn little, or no Anubias could live in a corner at 15 µmol.
func respiration(speed string) Param {
	value := map[string]float64{"very fast": 0.014, "fast": 0.010, "medium": 0.0055, "slow": 0.0015}[speed]
	if value == 0 {
		value = 0.0009
	}
	return Param{value, value / 2, value * 1.5, fromRespiration}
}

// halfCO2 in µmol/L. It follows from what the trade sees without added gas (about 3 mg/L) against 25 mg/L: slow plants keep 0.7
// of their growth, crypts, ferns and mosses 0.5 to 0.7, rosettes and runners 0.4 to 0.6, stems 0.25 to 0.5. Hyperbolas through
// those ratios have half-saturations of 33, 50, 83 and 134 µmol/L; a species' stated need lowers it within its class.
func halfCO2(s *Species) Param {
	if s.Form == Floating { // takes CO2 from the air: so small that the water's CO2 hardly counts
		return Param{1, 0.5, 2, "floating leaves take CO2 from the air; common practice, no source"}
	}
	if s.HCO3Use == "yes" {
		return Param{30, 15, 60, fromCarbonClasses}
	}
	value := 134.0
	switch {
	case s.Speed == "very slow":
		value = 33
	case s.Speed == "slow" || s.Form == Moss:
		value = 50
	case s.Form != Stem:
		value = 83
	}
	value *= map[string]float64{"none": 0.6, "helpful": 0.8, "recommended": 0.9, "required": 1}[s.CO2]
	return Param{value, value / 2, math.Min(185, value*2), fromCarbonClasses}
}

// seasons are the bulbs that rest: days of growth, days of rest.
var seasons = map[string][2]Param{
	"Aponogeton madagascariensis": {{270, 180, 365, fromSeasons}, {70, 42, 120, fromSeasons}},
	"Aponogeton ulvaceus":         {{240, 150, 330, fromSeasons}, {60, 42, 120, fromSeasons}},
	"Aponogeton boivinianus":      {{240, 150, 330, fromSeasons}, {60, 42, 120, fromSeasons}},
	"Aponogeton crispus":          {{330, 210, 600, fromSeasons}, {45, 21, 90, fromSeasons}},
	"Nymphaea lotus":              {{500, 300, 1000, fromSeasons}, {35, 21, 60, fromSeasons}},
}

// rest is a species' season of growth (0) or of rest (1).
func rest(s *Species, which int) Param {
	if p, ok := seasons[s.Name]; ok {
		return p[which]
	}
	return Param{0, 0, 0, "does not rest in a warm tank; common practice, no source"}
}

func bicarbonateShare(use string) Param {
	switch use {
	case "yes":
		return Param{0.30, 0.15, 0.45, fromCarbonClasses}
	case "partly":
		return Param{0.15, 0.05, 0.30, fromCarbonClasses}
	}
	return Param{0, 0, 0, fromCarbonClasses}
}

// potassium content: 1–5 % of dry mass, higher in fast, soft tissue.
func potassium(speed string) Param {
	switch speed {
	case "very fast", "fast":
		return Param{0.030, 0.015, 0.05, fromPotassium}
	case "medium":
		return Param{0.025, 0.012, 0.045, fromPotassium}
	}
	return Param{0.020, 0.010, 0.04, fromPotassium}
}

// rootUptake is the share taken from the bed where bed and water are both rich. Plants that are tied on, float, or have no roots take
// all from the water.
func rootUptake(s *Species, rootFeeder, both float64) Param {
	share := 0.0
	switch {
	case s.Form == Rhizome || s.Form == Moss || s.Form == Floating || s.Feeder == "leaf":
	case s.Feeder == "root":
		share = rootFeeder
	default:
		share = both
	}
	return Param{share, share * 0.6, math.Min(1, share*1.25), fromRootShares}
}

// rootMass is the roots' share of dry mass; for bulbs and lilies it holds the bulb or rootstock.
func rootMass(s *Species) Param {
	mark := "0.1 in summer stands (Janse 2005), more in rosettes and with storage organs; from memory"
	switch s.Form {
	case Stem:
		if s.Feeder == "leaf" {
			return Param{0, 0, 0.03, mark}
		}
		return Param{0.10, 0.05, 0.20, mark}
	case Rosette:
		return Param{0.25, 0.15, 0.40, mark}
	case Carpet, Runner:
		return Param{0.20, 0.10, 0.30, mark}
	case Bulb, Lily:
		return Param{0.40, 0.25, 0.55, mark}
	case Rhizome, Floating:
		return Param{0.12, 0.05, 0.25, mark}
	}
	return Param{0, 0, 0.03, mark}
}

func isAnubias(s *Species) bool { return s.Family == "Araceae" && s.Form == Rhizome }
func isFern(s *Species) bool {
	return s.Form == Rhizome && !isAnubias(s)
}

// leafArea per shoot dry mass, m²/g.
func leafArea(s *Species) Param {
	switch {
	case isAnubias(s):
		return Param{0.016, 0.012, 0.020, fromLeafSurveys}
	case isFern(s):
		return Param{0.025, 0.018, 0.035, fromLeafSurveys}
	case s.Form == Moss:
		return Param{0.030, 0.020, 0.045, fromLeafSurveys}
	case s.Form == Stem:
		return Param{0.050, 0.035, 0.080, fromLeafSurveys} // the stem itself counted in
	case s.Form == Carpet, s.Form == Runner:
		return Param{0.048, 0.035, 0.065, fromLeafSurveys}
	case s.Form == Floating && s.HeightCM.Max > 8: // leaves that stand in the air
		return Param{0.024, 0.015, 0.035, fromLeafSurveys}
	case s.Form == Floating:
		return Param{0.035, 0.020, 0.050, fromLeafSurveys}
	case s.Speed == "slow" || s.Speed == "very slow": // crypts and other tougher leaves
		return Param{0.034, 0.025, 0.045, fromLeafSurveys}
	}
	return Param{0.040, 0.030, 0.050, fromLeafSurveys}
}

// extinction of light per leaf area index: upright blades shade least, flat leaves most.
func extinction(s *Species) Param {
	value := 0.6
	switch {
	case s.Form == Floating:
		value = 0.8
	case slices.Contains([]string{"linear", "ribbon", "needle", "thread"}, s.LeafShape):
		value = 0.5
	case slices.Contains([]string{"ovate", "cordate", "round"}, s.LeafShape):
		value = 0.7
	}
	return Param{value, value - 0.1, value + 0.1, fromLeafAngle}
}

func dryFresh(s *Species) Param {
	switch {
	case isAnubias(s), isFern(s):
		return Param{0.15, 0.11, 0.20, fromFreshWeights}
	case s.Form == Stem:
		return Param{0.07, 0.05, 0.10, fromFreshWeights}
	case s.Form == Floating:
		return Param{0.06, 0.04, 0.09, fromFreshWeights}
	}
	return Param{0.10, 0.07, 0.13, fromFreshWeights}
}

// leafLife in days: long where growth is slow.
func leafLife(s *Species) Param {
	switch {
	case s.Form == Floating:
		return Param{35, 20, 60, fromLeafLives}
	case s.Speed == "very fast":
		return Param{45, 30, 60, fromLeafLives}
	case s.Speed == "fast":
		return Param{60, 42, 80, fromLeafLives}
	case s.Speed == "medium":
		return Param{90, 60, 150, fromLeafLives}
	case s.Speed == "slow" && s.Form == Rhizome: // ferns
		return Param{300, 180, 540, fromLeafLives}
	case s.Speed == "slow":
		return Param{180, 120, 300, fromLeafLives}
	}
	if s.Form == Rhizome {
		return Param{600, 300, 1095, fromLeafLives}
	}
	return Param{300, 150, 500, fromLeafLives}
}

// crownArea in m² is the ground that one grown pot covers. A pot of a large rosette, bulb, lily, fern or moss is one plant: the circle of
// its spread. Small rosettes and runner plants come about three to a pot, stems, carpets and floating plants by the handful: they
// cover the pot's share of a closed planting, of which 3/4 is filled (carpets 9/10).
func crownArea(s *Species) float64 {
	spread := s.SpreadCM.Mid() / 100
	circle := math.Pi / 4 * spread * spread
	share := func(filled, unknown float64) float64 {
		if s.PotsM2.Mid() > 0 {
			return filled / s.PotsM2.Mid()
		}
		return unknown // where the table gives no density
	}
	switch {
	case s.Form == Stem:
		return share(0.75, 3*circle) // six stems whose leaves reach into each other
	case s.Form == Carpet:
		return math.Max(circle, share(0.9, circle))
	case s.Form == Floating:
		return math.Max(circle, share(0.75, 0.02))
	case s.Form == Runner, s.Form == Rosette && s.SpreadCM.Mid() <= 15:
		return math.Max(circle, math.Min(3*circle, share(0.75, 3*circle)))
	}
	return circle
}

// leafAreaIndex over the grown crown: 2–3 for low carpets and mosses, 3–4 for rosettes, up to 8 or 9 for ribbon plants and tall stem
// groups, about 1.2 for flat floating leaves and 3 for standing ones. Common practice, no source.
func leafAreaIndex(s *Species) float64 {
	height := s.HeightCM.Mid() / 100
	switch s.Form {
	case Stem:
		return math.Min(9, 3+12*height)
	case Runner:
		return math.Min(8, 2+5*height)
	case Rosette, Bulb:
		return math.Min(4.5, 2.5+2.5*height)
	case Lily:
		return 2.5
	case Carpet:
		return math.Min(3.5, 2+8*height)
	case Floating:
		if s.HeightCM.Max > 8 {
			return 3
		}
		return 1.2
	}
	return 3
}

// fullShoot in g dry.
func fullShoot(s *Species, sla float64) Param {
	value := crownArea(s) * leafAreaIndex(s) / sla
	return Param{value, value * 0.6, value * 1.6, fromCrownSize}
}

// potShoot in g dry: a pot is about a third of a grown plant, but not heavier than a pot can be.
func potShoot(s *Species, full Param) Param {
	least, most := 0.8, 3.0
	switch s.Form {
	case Carpet, Moss:
		least, most = 0.25, 1.0
	case Floating:
		least, most = 0.1, 2.0
	}
	value := math.Min(most, math.Max(least, 0.3*full.Value))
	value = math.Min(value, 0.6*full.Value) // small plants are sold nearly grown
	return Param{value, value * 0.6, value * 1.6, fromPotSize}
}

// checkPhysiology says whether a parameter set can be run: each value inside its range, finite, marked, and bounds in order.
func checkPhysiology(p *Physiology) error {
	for _, f := range physiologyFields {
		v := f.at(p)
		for _, x := range []float64{v.Value, v.Min, v.Max} {
			if math.IsNaN(x) || x < f.lo || x > f.hi {
				return fmt.Errorf("its %s comes to %.3g, outside %g to %g; check height, spread and pots per m²", f.name, x, f.lo, f.hi)
			}
		}
		if v.Min > v.Value || v.Value > v.Max || v.Source == "" {
			return fmt.Errorf("its %s of %.3g is outside its range %.3g to %.3g or has no mark", f.name, v.Value, v.Min, v.Max)
		}
	}
	if p.NMin.Value >= p.NMax.Value || p.PMin.Value >= p.PMax.Value {
		return fmt.Errorf("its least content of N or P is not below its largest")
	}
	return nil
}
