package catalog

import (
	"fmt"
	"littoral/internal/check"
	"math"
	"testing"
)

func TestEverySpeciesHasPhysiology(t *testing.T) {
	for _, s := range Default().AllSpecies() {
		if err := checkPhysiology(&s.Phys); err != nil {
			t.Errorf("%s: %v", s.Name, err)
		}
		for _, f := range physiologyFields {
			p := f.at(&s.Phys)
			if !(p.Min <= p.Value && p.Value <= p.Max) || math.IsNaN(p.Value+p.Min+p.Max) || math.IsInf(p.Value+p.Min+p.Max, 0) || p.Source == "" {
				t.Errorf("%s: %s is %+v", s.Name, f.name, *p)
			}
		}
	}
}

// 14 rooted submersed plants grew at 0.007 to 0.109 per day at 15 °C; ten degrees warmer at most half as much again.
func TestRootedPlantsStayInsideTheMeasuredEnvelope(t *testing.T) {
	fastest, slowest := 0.0, 1.0
	for _, s := range Default().AllSpecies() {
		if s.Form == Floating {
			continue
		}
		fastest, slowest = math.Max(fastest, s.Phys.RGRMax.Max), math.Min(slowest, s.Phys.RGRMax.Value)
		if s.Phys.RGRMax.Max > 0.109*1.5+1e-12 {
			t.Errorf("%s may grow %g per day", s.Name, s.Phys.RGRMax.Max)
		}
	}
	if slowest < 0.004 {
		t.Errorf("the slowest plant grows %g per day", slowest)
	}
	check.Record(t, check.Row{
		Room: "catalog", What: "largest growth rate of rooted plants, upper end of the range, at 25 °C",
		Source: "Nielsen & Sand-Jensen 1991 (0.109 per day at 15 °C), times 1.5 for 10 °C", Worst: fmt.Sprintf("%.4f 1/d", fastest), Within: "0.1635 1/d",
	})
}

// OECD 221: a duckweed test is valid when the fronds double within 2.5 days, 0.2773 per day; "seven-fold in seven days" is 0.2780.
func TestDuckweedGrowsAsInTheStandardTest(t *testing.T) {
	s, ok := Default().Species("duckweed")
	if !ok {
		t.Fatal("duckweed is missing")
	}
	doubling := math.Ln2 / s.Phys.RGRMax.Value
	if doubling > 2.5 || doubling < 1.8 {
		t.Errorf("duckweed doubles in %.2f days, want 1.8 to 2.5", doubling)
	}
	for _, f := range Default().AllSpecies() {
		if f.Form == Floating && f.Phys.RGRMax.Max > 0.28 {
			t.Errorf("%s may grow %g per day, faster than duckweed", f.Name, f.Phys.RGRMax.Max)
		}
	}
	check.Record(t, check.Row{
		Room: "catalog", What: "doubling time of duckweed at its best", Source: "OECD 221 validity criterion", Memory: true,
		Worst: fmt.Sprintf("%.2f days", doubling), Within: "2.5 days at most",
	})
}

// The trade counts doubling in real tanks, so at its best a plant doubles at the short end of its class or sooner, yet not absurdly
// sooner.
func TestDoublingOfTheTradeFollowsFromTheRate(t *testing.T) {
	worst := 0.0
	for _, s := range Default().AllSpecies() {
		ideal := math.Ln2 / s.Phys.RGRMax.Value
		worst = math.Max(worst, ideal/s.Doubling.Min)
		if ideal > s.Doubling.Min*1.001 || ideal < s.Doubling.Min*0.5 {
			t.Errorf("%s doubles in %.1f days at its best, its class %s says %g to %g in a tank", s.Name, ideal, s.Speed, s.Doubling.Min, s.Doubling.Max)
		}
	}
	check.Record(t, check.Row{
		Room: "catalog", What: "ideal doubling over the short end of the trade's class", Source: "common practice, no source",
		Worst: fmt.Sprintf("%.2f", worst), Within: "0.5 to 1",
	})
}

// The starting classes for good light (about two half-saturations, so two thirds of the maximum): value and range per day.
func TestRatesMeetTheGrowthClasses(t *testing.T) {
	for _, c := range []struct {
		name   string
		lo, hi float64
	}{
		{"Hygrophila polysperma", 0.03, 0.08},
		{"Limnophila sessiliflora", 0.03, 0.08},
		{"Egeria densa", 0.03, 0.08},
		{"Ceratophyllum demersum", 0.03, 0.08},
		{"Rotala rotundifolia", 0.03, 0.08},
		{"Rotala wallichii", 0.02, 0.06},
		{"Alternanthera reineckii", 0.02, 0.06},
		{"Ludwigia brevipes", 0.02, 0.06},
		{"Eleocharis acicularis", 0.015, 0.05},
		{"Vallisneria nana", 0.015, 0.05},
		{"Sagittaria subulata", 0.015, 0.05},
		{"Aquarius grisebachii", 0.01, 0.03},
		{"Nymphaea glandulifera", 0.01, 0.03},
		{"Cryptocoryne wendtii", 0.005, 0.02},
		{"Cryptocoryne usteriana", 0.005, 0.02},
		{"Leptochilus pteropus", 0.005, 0.02},
		{"Vesicularia montagnei", 0.005, 0.02},
		{"Anubias barteri", 0.002, 0.008},
		{"Bucephalandra pygmaea", 0.002, 0.008},
	} {
		s, ok := Default().Species(c.name)
		if !ok {
			t.Errorf("%s is missing", c.name)
			continue
		}
		if good := s.Phys.RGRMax.Value * 2 / 3; good < c.lo || good > c.hi {
			t.Errorf("%s grows %.4f per day in good light, want %g to %g", c.name, good, c.lo, c.hi)
		}
	}
	check.Record(t, check.Row{
		Room: "catalog", What: "growth in good light of 19 species by class", Source: "common practice, no source",
		Worst: "inside the range of its class", Within: "the range of its class",
	})
}

// The light at which a leaf just pays for itself. Shade genera 3–10 µmol by common practice; Myriophyllum salsugineum measured 2.4 at
// 15 °C to 16.9 at 35 °C.
func TestCompensationLight(t *testing.T) {
	lowest, highest := math.Inf(1), 0.0
	for _, s := range Default().AllSpecies() {
		if s.Form == Floating {
			continue
		}
		r25 := s.Phys.Respiration.Value * math.Sqrt2 // Q10 2 from 20 to 25 °C
		ic := s.Phys.Ik.Value * r25 / s.Phys.RGRMax.Value
		lowest, highest = math.Min(lowest, ic), math.Max(highest, ic)
		limit := 30.0
		if s.Light == "low" {
			limit = 12
		}
		if ic < 2.4 || ic > limit {
			t.Errorf("%s breaks even at %.1f µmol, want 2.4 to %g", s.Name, ic, limit)
		}
		if ic > 0.8*s.PAR.Min {
			t.Errorf("%s breaks even at %.1f µmol but is said to thrive from %g", s.Name, ic, s.PAR.Min)
		}
	}
	check.Record(t, check.Row{
		Room: "catalog", What: "light compensation point of submersed species at 25 °C",
		Source: "common practice for shade genera (3–10 µmol); the limit of 30 for light-hungry stems has no source; measured in one species, Myriophyllum salsugineum, 2.4–16.9 from 15 to 35 °C",
		Worst:  fmt.Sprintf("%.1f to %.1f µmol", lowest, highest), Within: "2.4 to 12 (low light), 30 (others)",
	})
}

// In water at equilibrium with air (15 µM CO2, 2 meq/L alkalinity) bicarbonate users work 2–3 times below their best, users of CO2 only
// 10–14 times (Sand-Jensen's stream plants, which are fast; slow shade plants lie lower by what the trade sees and are not
// among them); compensation 4 µM, half-saturation of bicarbonate 1 mM.
func TestCarbonAtAirLevel(t *testing.T) {
	factor := func(p *Physiology) float64 {
		const co2, compensation, bicarbonate, half = 15, 4, 2.0, 1.0 // µM, µM, mM, mM
		f := (co2 - compensation) / (co2 - compensation + p.KCO2.Value)
		return 1 / math.Min(1, f+p.HCO3Share.Value*bicarbonate/(half+bicarbonate))
	}
	for _, c := range []struct {
		name   string
		lo, hi float64
	}{{"Vallisneria spiralis", 2, 3}, {"Egeria densa", 2, 3}, {"Pogostemon helferi", 10, 14}, {"Ammannia crassicaulis", 10, 14}, {"Cabomba furcata", 10, 14}} {
		s, _ := Default().Species(c.name)
		if got := factor(&s.Phys); got < c.lo || got > c.hi {
			t.Errorf("%s works %.1f times below its best at air level, want %g to %g", c.name, got, c.lo, c.hi)
		}
	}
	check.Record(t, check.Row{
		Room: "catalog", What: "growth without added CO2, times below the best, 5 species",
		Source: "Sand-Jensen's stream macrophytes (2–3 bicarbonate users, 10–14 CO2 only)", Worst: "inside the range", Within: "2–3 and 10–14",
	})
}

func TestBicarbonateUsers(t *testing.T) {
	for name, want := range map[string]bool{
		"Vallisneria americana": true, "Egeria densa": true, "Elodea canadensis": true, "Elodea nuttallii": true, "Hydrilla verticillata": true,
		"Ceratophyllum demersum": true, "Potamogeton gayi": true, "Aquarius grisebachii": true,
		"Taxiphyllum barbieri": false, "Hygrophila corymbosa": false, "Rotala rotundifolia": false, "Ludwigia repens": false,
		"Cabomba caroliniana": false, "Lobelia cardinalis": false,
	} {
		s, _ := Default().Species(name)
		if s.Bicarbonate != want || (s.Phys.HCO3Share.Value > 0) != want {
			t.Errorf("%s: bicarbonate %v", name, s.Bicarbonate)
		}
	}
	check.Record(t, check.Row{
		Room: "catalog", What: "which of 14 species use bicarbonate", Source: "lists of Maberly & Madsen 2002", Memory: true,
		Worst: "all as listed", Within: "all as listed",
	})
}

// Leaf lives of the trade: stems 6–10 weeks, crypts 4–8 months, Anubias 1–3 years (from memory).
func TestLeafLives(t *testing.T) {
	for _, c := range []struct {
		name   string
		lo, hi float64
	}{
		{"Hygrophila corymbosa", 42, 70},
		{"Limnophila sessiliflora", 42, 70},
		{"Cryptocoryne wendtii", 120, 240},
		{"Cryptocoryne undulata", 120, 240},
		{"Anubias barteri var. nana", 365, 1095},
	} {
		s, _ := Default().Species(c.name)
		if got := s.Phys.LeafLife.Value; got < c.lo || got > c.hi {
			t.Errorf("leaves of %s live %g days, want %g to %g", c.name, got, c.lo, c.hi)
		}
	}
	// A plant that cannot replace its leaves in half its best growth would fade in every tank.
	for _, s := range Default().AllSpecies() {
		if loss := 1 / s.Phys.LeafLife.Value; loss > 0.55*s.Phys.RGRMax.Value {
			t.Errorf("%s loses %.4f of its leaves a day and grows at best %.4f", s.Name, loss, s.Phys.RGRMax.Value)
		}
	}
	check.Record(t, check.Row{
		Room: "catalog", What: "leaf life of stems, crypts and Anubias", Source: "common practice, no source", Memory: true,
		Worst: "inside the range", Within: "6–10 weeks, 4–8 months, 1–3 years",
	})
}

// Pots and grown plants have believable weights, and a planting at the usual density ends as a stand that nature knows: at most the
// 400 g dry per m² that lake models carry (Janse 2005), for standing crops of submersed plants.
func TestWeightsOfPotsAndStands(t *testing.T) {
	heaviest := 0.0
	for _, s := range Default().AllSpecies() {
		pot, full := s.Phys.PotShoot.Value, s.Phys.FullShoot.Value
		if pot > full*0.61 || pot < full*0.04 {
			t.Errorf("%s: a pot of %.2f g for a grown plant of %.2f g", s.Name, pot, full)
		}
		if pot > 3 {
			t.Errorf("%s: a pot of %.2f g dry", s.Name, pot)
		}
		stand := full * s.PotsM2.Mid() // g/m²
		heaviest = math.Max(heaviest, stand)
		if stand > 400 {
			t.Errorf("%s: a stand of %.0f g/m²", s.Name, stand)
		}
	}
	for _, c := range []struct {
		name           string
		potLo, potHi   float64 // g dry
		fullLo, fullHi float64
	}{
		{"Aquarius cordifolius", 1, 3, 10, 40},              // a big sword fills half a metre
		{"Cryptocoryne wendtii", 0.5, 2, 1.5, 6},            //
		{"Rotala rotundifolia", 0.5, 2, 1, 4},               // 5–8 stems
		{"Hygrophila corymbosa", 1, 3, 4, 15},               //
		{"Micranthemum callitrichoides", 0.15, 1, 0.4, 1.5}, // a cup
		{"Anubias barteri var. nana", 0.5, 3, 2, 8},         //
		{"Vallisneria spiralis", 0.5, 2, 1.5, 5},            //
		{"Cryptocoryne parva", 0.3, 1, 0.4, 1.5},            //
		{"Lemna minor", 0.1, 1, 0.3, 2},                     // a handful
	} {
		s, _ := Default().Species(c.name)
		if pot := s.Phys.PotShoot.Value; pot < c.potLo || pot > c.potHi {
			t.Errorf("a pot of %s weighs %.2f g dry, want %g to %g", c.name, pot, c.potLo, c.potHi)
		}
		if full := s.Phys.FullShoot.Value; full < c.fullLo || full > c.fullHi {
			t.Errorf("a grown %s weighs %.2f g dry, want %g to %g", c.name, full, c.fullLo, c.fullHi)
		}
	}
	check.Record(t, check.Row{
		Room: "catalog", What: "heaviest grown stand at the usual planting density", Source: "Janse 2005 (carrying capacity 400 g/m²)",
		Worst: fmt.Sprintf("%.0f g/m²", heaviest), Within: "400 g/m²",
	})
}

func TestRootsFollowTheWayOfFeeding(t *testing.T) {
	for _, s := range Default().AllSpecies() {
		tied := s.Form == Rhizome || s.Form == Moss || s.Form == Floating || s.Feeder == "leaf"
		if tied != (s.Phys.RootN.Max == 0) || tied != (s.Phys.RootP.Value == 0) {
			t.Errorf("%s (%s, %s feeder) takes %g of its N from the bed", s.Name, s.Form, s.Feeder, s.Phys.RootN.Value)
		}
	}
	sword, _ := Default().Species("Amazon sword")
	if sword.Phys.RootN.Value != 0.8 || sword.Phys.RootP.Value != 0.9 || sword.Phys.RootK.Value != 0.2 {
		t.Errorf("a sword takes %+v from the bed", sword.Phys.RootN)
	}
}
