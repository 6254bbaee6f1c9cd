package forecast

import (
	"littoral/internal/geometry"
	"littoral/internal/growth"
	"littoral/internal/plan"
	"littoral/internal/water"
)

// Forecast is what Run returns: the years ahead of one tank. Day 0 is planting (or filling); Days[i] is the end of day i.
type Forecast struct {
	Plan      *plan.Plan
	Model     *geometry.Model
	Columns   *geometry.Columns
	Seed      uint64
	Length    int         // days forecast
	Start     int         // first day simulated, negative when a dark or dry phase comes before day 0
	Days      []Day       // day 0..Length
	Before    []Day       // the dark phase, if any, oldest first
	Swings    []Swing     // some days hour by hour
	Hours     []Swing     // every day from day 0 hour by hour, when Options.Hours asks for it
	Snapshots []Snapshot  // day 0 (as planted), then every 7 days, and the days asked for
	Events    []Event     // everything that happened at an hour: care, events, plants lost, animals
	Visits    []Visit     // care grouped by day
	LightMaps []LightMap  // bed light without plants (day 0) and at snapshots asked for
	Held      []Month     // what held each planting back, month by month, then by planting
	Algae     []AlgaeWeek // which kinds of algae were invited, by week
	Ground    []Ground    // how the bed lies: on day 0, every four weeks, and on the last day
	Measured  []Measured  // readings that the forecast goes on from, in the order of time
	Balance   Balance
	Heat      Heat
	Change    water.Composition // the plan's change water, as it stands in air
}

// Heat is how the tank stands towards its room.
type Heat struct {
	UA        float64 // loss through panes and from the surface without what evaporates, W/K
	Area      float64 // open water, m²
	EvapShare float64 // of the evaporation of an open pool, by its cover
	LampShare float64 // of the lamps' power that ends in the water
	PumpW     float64 // that the clean filter's pump gives to the water
}

// Ground is how the bed lies on a day.
type Ground struct {
	Day     int
	Top     []float64 // height over the bottom glass by root column, m; 0 outside the bed
	Mixed   float64   // L of a material, as laid, that lie where another one was laid on top
	MixedAt int       // the column that holds most of it; -1 where none does
	Down    float64   // L, as laid, that have left the place where they were laid
}

// Month is what held a planting back over a month of daysMonth days counted from day 0; the last one may be shorter.
type Month struct {
	From, Until int // first and last day
	growth.Held
}

// Day is one line of series.csv. Concentrations are mg/L of the ion unless the name says otherwise.
type Day struct {
	Day                     int
	TempC, TempMin, TempMax float64
	PHDawn, PHDusk          float64 // at the end of the night, before gas and light; and at lights-off
	KH, GH                  float64 // dKH, dGH, mean
	CO2Dawn, CO2On, CO2Max  float64 // mg/L: at lights-on, mean over the light hours, highest
	CO2Corner               float64 // mg/L: mean over the light hours in the corner farthest from the outlet
	CO2Night                float64 // mg/L: at the end of the night, before gas and light
	O2Dawn, O2Dusk          float64 // mg/L: lowest before light, highest
	NO3, NO2, NH4           float64 // mg/L, mean
	NH3N                    float64 // un-ionised ammonia as N, highest of the day, mg/L
	PO4, K, Ca, Mg, Fe      float64
	Suspended               float64 // mg dry/L
	Kd                      float64 // light attenuation by water, 1/m
	Beam                    float64 // beam attenuation of the water, 1/m: what a line of sight loses
	Contrast                float64 // share of contrast kept along the shortest viewing path through the tank
	EvaporatedL, TopUpL     float64
	ChangedL                float64
	CO2UsedG                float64 // injected
	HeaterKWh               float64
	LampKWh                 float64
	LightHours, Dim         float64
	SunHours                float64 // of direct sun on the tank
	DaylightDLI             float64 // mean at the bed of the light from windows, mol m⁻² d⁻¹
	ShootG, RootG           float64 // dry mass of all plants
	GrowthG                 float64 // net dry growth of the day
	CutG                    float64 // dry mass taken out, with the film on it
	CutN, CutP              float64 // mg, the same
	UptakeNWater            float64 // mg N taken from the water
	UptakeNRoot             float64 // mg N taken from the bed
	Cover                   float64 // share of the plantable bed under leaves seen from above
	BedPPFD                 float64 // mean at the bed in full light, µmol m⁻² s⁻¹
	SoilN, SoilP, SoilK     float64 // mg, plant-available in the bed
	BufferMeq               float64 // carbonate hardness the bed can still take up
	Nitrifiers              float64 // share of full capacity (ammonium step)
	Flow                    float64 // filter flow as a share of new
	GlassFilm, LeafFilm     float64 // algae on glass and leaves, g dry/m²
	Algae                   float64 // algae that float, mg dry/L
	Minutes                 float64 // work of the day
}

// Snapshot is the standing crop on a day.
type Snapshot struct {
	Day    int
	Plants []growth.PlantState // sorted by ID
	Soil   []Patch             // per column that holds bed; nil in summaries
	Light  []float64           // PPFD at the bed per root column in full light; 0 outside the glass
	Leaves []growth.LeafLayer  // light on the leaves in full light by planting and height; nil in summaries
	Hours  float64             // of full light that day, ramps and dimming counted: light.DLI turns PPFD into a daily sum with it
}

// Patch is the root zone of one column.
type Patch struct {
	Column  int
	N, P, K float64 // mg available
	Months  float64 // of supply for what roots there (P or N, whichever ends first); 999 where nothing draws on it
	Short   string  // which nutrient ends first
}

// Event is something that happened at an hour.
type Event struct {
	Day     int
	Hour    float64
	Kind    string  // water-change, dose, trim, thin, outer-leaves, replant-tops, pull-runners, replace, root-feed, filter-clean, siphon, glass, replant, remove, plant, filter-loss, missed-visits, stock, power-cut, offset, lost, melt, melt-over, rest, rest-over, lift
	ID      string  // of the care line, event, planting or plant
	Text    string  // one plain sentence
	Amount  float64 // in Unit
	Unit    string
	FreshG  float64 // wet weight taken out
	N, P    float64 // mg that left or came
	Minutes float64
}

// Visit is a day's work of the crew together; days with nothing but a dose are none.
type Visit struct {
	Day     int
	Minutes float64
	Tasks   []int // indices into Events
}

// LightMap is PPFD at the bed in full light, by cells of about 5 cm; −1 outside the glass. The first one is without plants.
type LightMap struct {
	Day            int
	NX, NY         int
	CellX, CellY   float64 // m
	PPFD           []float64
	Min, Mean, Max float64
}

// Balance is the mass ledger of an element over the whole forecast: start + in = out + end.
type Balance struct {
	Elements []ElementBalance
}

// ElementBalance closes when Start + ΣIn − ΣOut − End is small against the turnover.
type ElementBalance struct {
	Element    string // nitrogen, phosphorus, potassium, carbon, calcium or magnesium
	Unit       string // mg or mmol
	Start, End float64
	Stores     []Store // where it is in the tank, at the start and at the end; their sums are Start and End
	In, Out    []Entry
	Relative   float64 // |Start + ΣIn − ΣOut − End| / (Start + ΣIn)
}

// Store is what one part of the tank holds of an element at the start and at the end.
type Store struct {
	Name       string
	Start, End float64
}

// Entry is one line of a balance.
type Entry struct {
	Name   string
	Amount float64
}
