package growth

import "littoral/internal/catalog"

// PlantState is what the outside may know of one plant (a pot's worth, or a runner's daughter) at the end of a day.
type PlantState struct {
	ID       string           // stable: planting id, then /number; daughters append their own number
	Planting string           // id of the planting in the plan
	Species  *catalog.Species // never nil
	X, Y     float64          // m, place of the crown
	Z        float64          // m, height of the crown above the bottom glass (bed, or where it sits on wood)
	Column   int              // index into geometry.Columns; -1 for plants that do not root in the bed
	On       string           // id of the hardscape it sits on; empty for rooted and floating plants
	Born     int              // day
	HeightM  float64          // height above its crown (floating: depth of roots)
	SpreadM  float64          // diameter seen from above
	Leaves   float64          // living leaves; pairs or whorls of a stem group, tufts of a carpet, tips of a moss, single plants afloat
	Stems    float64          // stems of a stem plant; 0 for others
	ShootG   float64          // g dry
	RootG    float64          // g dry
	QN, QP   float64          // g N, g P per g dry mass
	QK       float64          // g K per g dry mass
	Iron     float64          // status 0..1
	LeafM2   float64          // projected leaf area
	PPFD     float64          // leaf-area mean of yesterday's light at full light hours, µmol m⁻² s⁻¹
	TopPPFD  float64          // light at its top at full light hours
	FilmTake float64          // share of its light that the film on its leaves takes
	Net      float64          // net growth of the day, 1/day
	Limits   Limits           // what held it back today
	Shader   string           // planting that takes most of its light; empty when no one does
	FullPPFD float64          // mean light on its leaves if no plant stood in the tank; 0 when that has not been told (SetOpen)
	Shade    float64          // share of full light at its top that other plants take, 0 to 1; 0 when full light has not been told

	ShaderTakes float64 // share of full light at its top that Shader takes, 0 to 1
	Submerse    float64 // 0 = as the nursery grew it, 1 = fully changed to submersed leaves
	Count       float64 // plants that stand together and are no longer told apart; 1 for a single one
	LengthM     float64 // m along the stem, more than HeightM where stems lie along the surface, or along the rhizome; 0 for other forms
	BareM       float64 // m of stem without leaves at its foot; 0 for other forms

	Shoots     float64 // growing points: tips of stems and rhizomes, crowns of rosettes, tufts of a carpet
	Nodes      float64 // along one stem; 0 for other forms
	InternodeM float64 // mean length of stem between nodes; 0 for other forms
	LeafRate   float64 // new leaves a week of one growing point, as of today
	LeafLife   float64 // days that a leaf lives at today's growth
	Daughters  float64 // that it has made so far, by runners, offsets, side shoots or plantlets that rooted
	Runners    float64 // of these by runners
	Plantlets  float64 // that hang on its leaves or flower stalk
	Red        float64 // 0 to 1, of its species' reddest; 0 for green species
	Resting    bool    // a bulb without leaves
	Loose      float64 // 0 to 1: how far a carpet's mat has lost its hold on the bed; at 1 it lifts
}

// Limits are factors between 0 (stops growth) and 1 (does not hold back).
// Space is what a plant's own full size leaves it to grow, Room what the ground it shares leaves it, Water what pH and hardness
// outside the species' range take, Settle what rooting and leaves made in air do. Of N, P, K and Fe only the least acts.
type Limits struct{ Light, CO2, N, P, K, Fe, Temp, Space, Room, Water, Settle float64 }

// Least names the strongest limitation and its factor.
func (l Limits) Least() (string, float64) {
	name, least := limitNames[0], l.Light
	for k, x := range l.each() {
		if *x < least {
			name, least = limitNames[k], *x
		}
	}
	return name, least
}

// Matter is an amount of organic or dissolved matter by element.
type Matter struct {
	C  float64 // mmol
	N  float64 // mg
	P  float64 // mg
	K  float64 // mg
	Fe float64 // mg
	Ca float64 // mg
	Mg float64 // mg
}

// Add returns the sum.
func (m Matter) Add(o Matter) Matter {
	return Matter{m.C + o.C, m.N + o.N, m.P + o.P, m.K + o.K, m.Fe + o.Fe, m.Ca + o.Ca, m.Mg + o.Mg}
}

// Scale returns m times f.
func (m Matter) Scale(f float64) Matter {
	return Matter{m.C * f, m.N * f, m.P * f, m.K * f, m.Fe * f, m.Ca * f, m.Mg * f}
}
