package catalog

import "littoral/internal/unit"

// Form is a plant's way of growing, in the trade's words.
type Form string

// Growth forms.
const (
	Rosette  Form = "rosette"
	Stem     Form = "stem"
	Rhizome  Form = "rhizome" // grows attached to stone or wood, roots not buried
	Carpet   Form = "carpet"  // runner carpets and creeping ground cover
	Runner   Form = "runner"  // tall rosettes that spread by runners (ribbon plants)
	Bulb     Form = "bulb"
	Lily     Form = "lily"
	Moss     Form = "moss"
	Floating Form = "floating"
)

// Range is a closed interval; a value known as a single number has Min == Max.
type Range struct{ Min, Max float64 }

// Mid returns the middle of the range.
func (r Range) Mid() float64 { return (r.Min + r.Max) / 2 }

// Notice is a region's ban or watch on a species, with the date of the note; the local list decides.
type Notice struct {
	Region string // e.g. "EU", "US (some states)"
	Status string // "banned", "watched" or "restricted"
	Noted  string // date of the note, ISO 8601
}

// Species is a plant of the catalogue. Trade facts as printed in the reference table; physiology is in Physiology.
type Species struct {
	Name        string   // accepted botanical name
	Synonyms    []string // botanical synonyms and common names that mean this species
	SoldAs      []string // names that belong to another species under which the trade often sells this one
	Family      string
	Form        Form
	Places      []string // foreground, midground, background, epiphyte, surface, solitary
	HeightCM    Range    // grown height in a tank
	SpreadCM    Range    // grown spread of one plant (stem: leaf span of one stem; carpet: patch of one plug after 8 weeks)
	Speed       string   // very slow, slow, medium, fast, very fast
	Doubling    Range    // days to double in a well-run tank, from the speed class
	LeavesWeek  Range    // new leaves a week of one growing point; zero where not counted
	ElongCMWeek Range    // stem elongation, cm a week; zero where it does not apply
	LateralCMWk Range    // lateral spread of carpets, cm a week; zero where it does not apply
	Light       string   // low, medium, high
	PAR         Range    // µmol m⁻² s⁻¹ at the leaf it thrives in
	CO2         string   // none, helpful, recommended, required
	Temp        Range    // °C
	PH          Range
	GH          Range   // °dH
	KHMax       float64 // dKH; 0 = no known limit
	Feeder      string  // root, leaf, both
	Propagation string
	Trim        string   // what cutting it means: top-and-replant, hedge, shear, thin-runners, outer-leaves, ...
	TrimWeeks   Range    // usual interval between trims, weeks
	Colour      string   // in words
	ColourHex   string   // #RRGGBB, plausible under white light
	LeafShape   string   // linear, lanceolate, ovate, cordate, spatulate, pinnate, needle, ribbon, frond, thread, round
	PotsM2      Range    // usual planting density, pots per m²; 0,0 = listed only to warn
	Melt        string   // low, medium, high: loss of old leaves after planting
	Bicarbonate bool     // can use HCO3⁻, fully or partly (species lists after Maberly & Madsen 2002, from memory)
	HCO3Use     string   // no, partly, yes: how well it uses HCO3⁻
	Origin      []string // parts of the world it grows wild in, coarsely
	Notices     []Notice // regions that ban or watch it
	Source      string   // "memory" or the kind of public text
	Phys        Physiology
	Measured    map[string]Param // a house's own physiological numbers, by column name; already laid over Phys
}

// Param is a physiological parameter: a value with the range it may take (for ensembles) and its mark.
type Param struct {
	Value, Min, Max float64
	Source          string
}

// Physiology are the parameters the growth model runs on, mapped in one place (physiology.go) from the trade classes.
type Physiology struct {
	RGRMax      Param // largest relative growth rate, 1/day, at 25 °C, saturating light, CO2 20–30 mg/L, replete
	Ik          Param // half-saturating PPFD at the leaf, µmol m⁻² s⁻¹ (Michaelis–Menten)
	Respiration Param // dark respiration, 1/day at 20 °C, Q10 2
	KCO2        Param // half-saturation for CO2, µmol/L
	HCO3Share   Param // share of the CO2-saturated rate that the bicarbonate path can carry, 0..1
	NMin, NMax  Param // Droop bounds, g N per g dry mass
	PMin, PMax  Param // g P per g dry mass
	K           Param // g K per g dry mass
	RootN       Param // share of N taken by roots where both are rich, 0..1
	RootP       Param
	RootK       Param
	RootShare   Param // roots' share of dry mass when grown
	SLA         Param // leaf area per shoot dry mass, m²/g (projected, one side)
	Extinction  Param // light extinction per leaf area index
	DryFresh    Param // dry per fresh mass
	LeafLife    Param // days
	ActiveDays  Param // days that a bulb grows until it rests; 0 for plants that do not rest
	RestDays    Param // days without leaves; 0 for plants that do not rest
	PotShoot    Param // shoot dry mass of one pot as bought, g
	FullShoot   Param // shoot dry mass of one grown plant (a pot's worth at mature size), g
}

// Animal is a livestock species.
type Animal struct {
	Name       string
	Synonyms   []string // common and trade names
	Kind       string   // fish, shrimp, snail
	SizeCM     float64  // adult
	Temp       Range    // °C
	PH         Range
	GH         Range
	GroupMin   int
	LitresEach float64 // trade guide, litres per animal
	Niche      string
	Plants     string // what it does to plants; "no" = nothing
	EatsPlants bool   // eats or uproots plants enough to warn
	Algae      string
	CO2Max     float64 // daytime ceiling, mg/L
	EarlyWeek  int     // earliest week after planting
	Note       string
	Source     string
	Body       string   // slender, usual, deep, shrimp, snail: picks the length-weight relation
	CO2Class   string   // low, medium, high: how sensitive it is to CO2
	Notices    []Notice // regions that ban or watch it
	MassG      Param    // adult wet mass, g (from length, see animals.go)
}

// Material is a substrate, stone or wood.
type Material struct {
	Name         string
	Synonyms     []string // short names that plans may use
	Class        string   // substrate, additive, stone, wood
	Bulk         Range    // dry bulk density, kg/L of bed
	Piece        Range    // dry piece density, kg/L (stone, wood)
	Wet          Range    // beds: saturated kg per litre of bed; pieces: wet piece
	Porosity     Range
	GrainMM      Range
	PH, GH, KH   string // direction in words
	Ammonia      string // none, low, medium, high
	Nutrients    string // none, low, medium, high, very high
	Exchange     string // cation exchange of a bed: none, low, medium, high, very high
	Buffer       string // how much carbonate hardness a fresh bed takes up: none, slight, medium, strong
	LifeYears    Range
	Note, Source string
	Bed          Bed              // chemistry of a bed; zero for stone and wood
	Measured     map[string]Param // a house's own numbers of the bed, by column name; already laid over Bed
	AngleDeg     Param            // angle of repose under water, degrees (beds only)
}

// Bed are the root-zone numbers of a substrate material, mapped from its trade classes in one place (beds.go).
type Bed struct {
	NH4NKg    Param // leachable ammonium N when new, g per kg of dry bed
	NKg       Param // slow reserve of plant-available N, g/kg
	PKg       Param // plant-available (sorbed) P, g/kg
	KKg       Param // exchangeable K, g/kg
	FeKg      Param // available Fe, g/kg
	CEC       Param // cation exchange capacity, cmol(+)/kg
	BufferMeq Param // alkalinity the fresh bed can take up, meq/kg
	BufferPH  Param // pH the fresh bed holds water towards; 0 = none
}

// Salt is a dry salt of the cupboard.
type Salt struct {
	Formula                 string         // as written in plans: KNO3, CaSO4·2H2O, …
	Words                   string         // what it is called in plain words
	Names                   []string       // other spellings and names
	Molar                   float64        // g/mol
	Atoms                   map[string]int // of one formula unit; of chelated iron its iron alone
	Nitrate, Ammonium, Urea int            // atoms of N in one formula unit by the form it dissolves in
	// Grams of each element per gram of salt, keyed by element symbol ("K", "N", "Ca", …), and besides:
	// "NO3-N", "NH4-N" and "urea-N", the grams of N per gram by the form it dissolves in (N held in a chelate is in "N" only);
	// "alk", the alkalinity that dissolving it adds, meq per gram.
	Parts map[string]float64
}

// Bottle is a liquid fertiliser.
type Bottle struct {
	Name     string
	Synonyms []string
	// Milligrams of each element per millilitre (the same number as grams per litre), keyed as in Salt.Parts; S is sulfate sulfur.
	Parts        map[string]float64
	Note, Source string
}

// LampKind is a generic lamp.
type LampKind struct {
	Name       string
	Synonyms   []string
	Kind       string         // panel, bar, spot, pendant
	Size       [2]unit.Length // emitting face, x by y
	PPF        unit.PhotonFlux
	Power      unit.Power
	Beam       unit.Angle // full width at half maximum
	Spectrum   string
	LuxPerPPFD Param // lux per µmol m⁻² s⁻¹
	Source     string
}
