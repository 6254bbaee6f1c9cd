package growth

// LightPiece is a stretch of the day with steady light: hours, and the share of full power.
type LightPiece struct{ Hours, Dim float64 }

// Pore is the root zone of one column: what roots can reach in it (mg) and what its pore water holds (mg/L).
type Pore struct {
	N, P, K, Fe  float64
	NConc, PConc float64
}

// DayEnv is what a day brings to the plants.
type DayEnv struct {
	Day            int
	TempC          float64
	Light          []LightPiece // ramps as pieces of their own
	PH, KH, GH     float64      // KH in dKH, GH in °dH; a PH of 0 means unknown, and nothing is judged
	Soil           func(col int) Pore
	WaterN, WaterP float64 // mg/L, dissolved mineral N and P
	Uneven         float64 // 0..1: CO2 at the outlet is so much over its mean, in the farthest corner so much under it
}

// RootAsk is what roots ask of one column today, mg.
type RootAsk struct {
	Column      int
	N, P, K, Fe float64
}

// Demand is what all plants together ask for on a day. It is overwritten by the next call.
type Demand struct {
	GrossC [2]float64 // mmol C that would be fixed at CO2 saturation: class 0 takes CO2 only, class 1 bicarbonate too
	AirC   float64    // mmol C that floating leaves fix from the air (Grow takes it; it does not touch the water)
	RespC  float64    // mmol C respired into the water over 24 h
	AirR   float64    // mmol C respired into the air by floating plants
	Water  Matter     // most that leaves take from the water today, mg
	Root   []RootAsk  // ascending by column; columns that are asked for nothing are left out
}

// Taken is what the plants got of their Demand.
type Taken struct {
	FixedC [2]float64 // mmol
	Water  Matter     // mg
	Root   []Matter   // mg, aligned with Demand.Root
}

// ColumnMatter is dead matter that falls on a root column (−1 = drifts in the water).
type ColumnMatter struct {
	Column int
	DryG   float64
	Matter Matter
}

// Change is something that happened to a plant.
type Change struct {
	ID, Planting, Species string
	X, Y                  float64
	From                  string // a daughter's parent
}

// Result is what a day did. Its slices are overwritten by the next call.
type Result struct {
	GrowthG         float64        // dry mass fixed less respired
	FixedAirC       float64        // mmol from the air
	RespiredC       float64        // mmol into the water
	RespiredAirC    float64        // mmol into the air
	ReleasedToWater Matter         // dissolved from dying leaves and over-full quotas
	Detritus        []ColumnMatter // dead leaves and roots, ascending by column
	Born, Lost      []Change
	MeltBegun       []Change // plants whose nursery leaves begin to die
	MeltOver        []Change // plants that stand on submersed leaves again
	RestBegun       []Change // bulbs that begin to draw in their leaves
	RestOver        []Change // bulbs that grow again
	Lifted          []Mat    // patches of carpet that let go of the bed and float
}

type dayState struct {
	demand Demand
	result Result
	stamp  int
	pieces []LightPiece
	pore   []Pore
	ask    [][4]float64
	got    [][4]float64
	carbon [2]float64     // share of each class's demand that was met yesterday; 0 before the first day
	fallen []ColumnMatter // by column + 1
	touch  []bool

	heads  []int32
	leaves []leafColumn
	over   []float64
}

func newDayState(cols int) dayState {
	return dayState{
		pore: make([]Pore, cols), ask: make([][4]float64, cols), got: make([][4]float64, cols),
		fallen: make([]ColumnMatter, cols+1), touch: make([]bool, cols+1),
	}
}
