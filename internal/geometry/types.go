package geometry

import "littoral/internal/mesh"

// Tank is the glass box (or round, or polygon) in metres.
type Tank struct {
	Shape      string       // box, cylinder, bow-front, polygon
	Footprint  [][2]float64 // inner outline, counter-clockwise seen from above
	LX, LY     float64      // bounding rectangle of the footprint
	Height     float64      // inside
	WaterLevel float64
	Glass      float64 // wall thickness
	Bottom     float64 // bottom pane thickness
}

// Model is the tank of a plan as bodies. It is read-only after Build and safe for use by several goroutines.
type Model struct {
	Tank   Tank
	Ground *Ground
	Solids []Solid
	Facts  Facts
	Notes  []string // what was repaired or looks doubtful (an open mesh that was closed, a stone through the glass), whole sentences

	made made
}

// Solid is a stone or a piece of wood as a closed, outward-facing surface in tank coordinates.
type Solid struct {
	ID       string
	Kind     string // stone or wood
	Material string
	Body     *mesh.Mesh
	Limbs    []Limb  // wood: its limbs, for drawing and for tying plants on; empty for stones and meshes
	Volume   float64 // m³, whole body
	InWater  float64 // m³ of it that displaces water (below the level, above the bed)
	InBed    float64 // m³ of it that displaces bed
	MassDry  float64 // kg in air
	Upthrust float64 // wood: kg that water lifts beyond its weight as bought, before it has soaked; 0 when it sinks by itself
	Min, Max [3]float64
}

// Limb is a tapering piece of wood from A to B.
type Limb struct {
	A, B   [3]float64
	RA, RB float64 // radii at A and B, m
}

// Facts are the sums that the trade asks for first.
type Facts struct {
	GrossL        float64 // inside to the rim, L
	ToLevelL      float64 // inside to the water level, L
	FreeWaterL    float64 // free water above and between bed and hardscape, L
	NetWaterL     float64 // all the water in the tank, free and in the pores of the bed: what doses and changes act on, L
	PoreWaterL    float64 // water inside the bed, L
	BedL          float64 // bulk of the bed, L
	BedDryKG      float64
	BedByMaterial []MaterialSum // in the order of the plan: layers, then caps
	StoneL, WoodL float64       // hardscape volume, L
	StoneKG       float64       // in air
	WoodKG        float64       // in air, as bought
	HardInWaterKG float64       // what the submerged hardscape weighs under water
	GlassKG       float64
	StandKG       float64
	EquipmentKG   float64 // filters, lamps and whatever else the plan says the floor carries
	FilledKG      float64 // all together, as it stands on the floor
	FootprintM2   float64 // outer footprint that carries it
	LoadPa        float64 // FilledKG·g / footprint
	MaxSlopeDeg   float64 // steepest ground not under hardscape, and where
	MaxSlopeAt    [2]float64
	MinClearance  float64 // smallest gap between hardscape and glass, m (stones against the bottom do not count); NaN-free: 0 when touching, 9 when none
}

// MaterialSum is how much of a bed material lies in the tank.
type MaterialSum struct {
	Material string
	Litres   float64
	DryKG    float64
}

// Voxels is a regular grid over the bounding box, from the bottom glass to the water level. Index = (iz*NY+iy)*NX + ix.
type Voxels struct {
	Cell       float64 // edge, m (equal in x, y, z; the top layer may reach above the water level by less than a cell)
	NX, NY, NZ int
	Solid      []bool // ground, hardscape, or outside the glass
	GroundIZ   []int  // per column iy*NX+ix: first voxel layer above the bed; NZ where the column is outside the tank
}

// Columns is the horizontal grid of the root zone. Index = iy*NX + ix.
type Columns struct {
	Cell   float64 // edge, m
	NX, NY int
	Area   []float64   // m² of the cell that is bed (inside the glass); 0 outside
	Free   []float64   // share of that area not covered by stone or wood at the bed's surface
	Top    []float64   // height of the bed, m
	Layers []BedLayer  // from below
	Depth  [][]float64 // [layer][column], m of that layer in the column
	Slope  []float64   // degrees
}

// BedLayer names what a layer of the bed is made of.
type BedLayer struct{ Material string }
