package forecast

import (
	"littoral/internal/catalog"
	"littoral/internal/plan"
	"math"
)

// Feed and animals. All per gram or per day as written.
const (
	feedN        = 0.16  // g N per g protein; handbook nitrogen-to-protein factor 6.25
	tanPerProt   = 0.092 // g ammonium N excreted per g protein fed (Timmons & Ebeling, from memory)
	fecesNShare  = 0.25  // share of fed N that becomes solid waste; from memory of aquaculture texts, range 0.15 to 0.3
	feedP        = 0.011 // g P per g dry food; 0.8 to 1.3 % (from memory of aquaculture texts)
	dissolvedP   = 0.5   // share of fed P excreted dissolved; about 60 % of it leaves the fish (from memory of aquaculture texts)
	fecesP       = 0.3
	feedK        = 0.007 // g K per g dry food; from memory of fish feed analyses
	dissolvedK   = 0.7
	fecesK       = 0.1
	feedC        = 0.45 // g C per g dry food; from memory of fish feed analyses
	fecesC       = 0.25 // share of fed C in solid waste
	fecesDry     = 0.25 // g dry solids per g of food; from memory of recirculating aquaculture texts
	bodyDry      = 0.25 // dry per wet mass of small fish; from memory
	bodyN, bodyP = 0.10, 0.02
	bodyK        = 0.012
	bodyC        = 0.45
	// grownShare is the mean mass of a display's animals against adult mass; young fish are bought. Range 0.4 to 0.8.
	grownShare = 0.6
	// routine is routine against resting metabolism with feeding; 2 to 3 (from memory of fish physiology texts).
	routine     = 2.0
	respiratory = 0.85 // mol CO2 per mol O2 of animals on protein-rich food; handbook respiratory quotient
	molC        = 12.011
	molP        = 30.973762
	molO2       = 31.998
)

// animalDay is what the animals and their food do on a day: dissolved waste in mg, respiration in mmol, solids.
type animalDay struct {
	TAN, P, K float64 // mg/day dissolved
	O2        float64 // mg/day breathed
	C         float64 // mmol/day breathed out
	feces     elements
	fecesG    float64  // dry g
	fed       elements // all that the food brought
	wetG      float64
	foodG     float64
}

// restingO2 is the oxygen one fish of mass m [g wet] breathes at rest, mg/h: ln R = 15.7 − 5020/T mmol/h at 50 g, scaled by
// mass^0.8 (Clarke & Johnston 1999).
func restingO2(m, tempC float64) float64 {
	return math.Exp(15.7-5020/(tempC+273.15)) * math.Pow(m/50, 0.8) * molO2
}

// animalsOn works out a day's animals and feeding; fed (0 to 1) is how much of their bodies' carbon they still hold: hungry
// animals breathe less.
func animalsOn(groups []group, f *plan.Feeding, tempC, fed float64, t *surroundings) animalDay {
	var d animalDay
	for _, g := range groups {
		m := g.animal.MassG.Value * grownShare
		d.wetG += m * float64(g.count)
		// Shrimps and snails breathe at about a third of a fish of the same mass (Liu et al. 2010 for freshwater shrimp: 0.46 mg/(g h)
		// at 25 °C is the same order for sub-gram animals, so the fish scaling by mass^0.8 is kept and snails are slower).
		o2 := restingO2(m, tempC) * t.routine * float64(g.count) * 24
		if g.animal.Kind == "snail" {
			o2 /= 3
		}
		d.O2 += o2
	}
	d.O2 *= fed
	d.C = d.O2 / molO2 * respiratory
	if f == nil {
		return d
	}
	food := float64(f.DryFood) * 86400 * 1000 // g/day
	protein := float64(f.Protein)
	d.foodG = food
	d.fed = elements{N: food * protein * feedN * 1000, P: food * feedP * 1000, K: food * feedK * 1000, C: food * feedC / molC * 1000}
	if len(groups) == 0 { // nobody eats it: all of it rots
		d.feces, d.fecesG = d.fed, food
		return d
	}
	d.TAN = food * protein * t.tanPerProt * 1000
	d.P = d.fed.P * dissolvedP
	d.K = d.fed.K * dissolvedK
	d.feces = elements{N: d.fed.N * fecesNShare, P: d.fed.P * fecesP, K: d.fed.K * fecesK, C: d.fed.C * fecesC}
	d.fecesG = food * fecesDry
	return d
}

// group is some animals of one kind that are in the tank.
type group struct {
	stock  *plan.Stock
	animal *catalog.Animal
	count  int
}

// body is what a group's bodies hold.
func (g group) body() elements {
	dry := g.animal.MassG.Value * grownShare * float64(g.count) * bodyDry
	return elements{N: dry * bodyN * 1000, P: dry * bodyP * 1000, K: dry * bodyK * 1000, C: dry * bodyC / molC * 1000}
}
