package draft

// Board is a plan laid out for drawing. Places are centimetres from the front-left inside corner: x to the right, y to the back, z up from
// the bottom glass.
type Board struct {
	Tank      BoardTank     `json:"tank"`
	Hardscape []BoardPiece  `json:"hardscape" doc:"in the order of the plan"`
	Plants    []BoardPlant  `json:"plants" doc:"in the order of the plan; what events plant later comes last"`
	Lamps     []BoardLamp   `json:"lamps"`
	Filters   []BoardFilter `json:"filters"`
	Views     []BoardMark   `json:"views" doc:"places from which the tank is looked at"`
	Marks     []BoardMark   `json:"marks" doc:"fixed places from which it is photographed"`
	Ground    BoardGround   `json:"ground"`
	Weight    BoardWeight   `json:"weight"`
	Groups    []string      `json:"groups" doc:"names of groups, in the order in which they are first used"`
	Notes     []BoardNote   `json:"notes" doc:"what the engine has to say of the plan as it is drawn"`
}

// BoardTank is the glass.
type BoardTank struct {
	Shape     string       `json:"shape" enum:"box,cylinder,bow-front,polygon"`
	OutlineCM [][2]float64 `json:"outline_cm" doc:"inner outline seen from above, counter-clockwise"`
	LengthCM  float64      `json:"length_cm" doc:"inside, along x"`
	WidthCM   float64      `json:"width_cm" doc:"inside, along y, front to back"`
	HeightCM  float64      `json:"height_cm" doc:"inside"`
	WaterCM   float64      `json:"water_cm" doc:"height of the water over the bottom glass"`
	GlassCM   float64      `json:"glass_cm" doc:"thickness of the walls"`
	BowCM     float64      `json:"bow_cm" doc:"of a bow-front; else 0"`
	SeenFrom  []string     `json:"seen_from"`
	Cover     string       `json:"cover"`
	GrossL    float64      `json:"gross_litres" doc:"inside to the rim"`
	WaterL    float64      `json:"water_litres" doc:"all the water in the tank, in the pores of the bed too"`
	Line      int          `json:"line" doc:"of the plan's text, from 1"`
}

// BoardPiece is a stone or a piece of wood.
type BoardPiece struct {
	ID        string         `json:"id" doc:"as written, or derived where the plan gives none"`
	Kind      string         `json:"kind" enum:"stone,wood"`
	Material  string         `json:"material"`
	AtCM      [2]float64     `json:"at_cm"`
	TurnDeg   float64        `json:"turn_deg" doc:"about the vertical, counter-clockwise seen from above"`
	TiltDeg   float64        `json:"tilt_deg" doc:"about its own long axis"`
	LeanDeg   float64        `json:"lean_deg" doc:"about its own short axis"`
	Mirrored  bool           `json:"mirrored"`
	SinkCM    float64        `json:"sink_cm"`
	Shape     BoardShape     `json:"shape"`
	OutlineCM [][][2]float64 `json:"outline_cm" doc:"its outlines seen from above: one, or more where it has holes or parts"`
	Limbs     []BoardLimb    `json:"limbs" doc:"of a root, for drawing it"`
	BaseCM    float64        `json:"base_cm" doc:"height of its lowest point over the bottom glass"`
	TopCM     float64        `json:"top_cm" doc:"height of its highest point"`
	Litres    float64        `json:"litres"`
	MassKG    float64        `json:"mass_kg" doc:"dry, in air"`
	Group     string         `json:"group" doc:"empty = none"`
	Locked    bool           `json:"locked"`
	Line      int            `json:"line" doc:"of the plan's text, from 1"`
}

// BoardShape is a piece's form with the measures that this form has; the others are 0.
type BoardShape struct {
	Form      string  `json:"form" enum:"boulder,slab,branch,mesh" doc:"also the key under shape in the plan"`
	LengthCM  float64 `json:"length_cm"`
	WidthCM   float64 `json:"width_cm"`
	HeightCM  float64 `json:"height_cm" doc:"of a slab: its thickness"`
	ThickCM   float64 `json:"thick_cm" doc:"branch: diameter of the trunk"`
	Roughness float64 `json:"roughness" doc:"boulder: 0 smooth to 1 strongly facetted"`
	Limbs     int     `json:"limbs" doc:"branch: number of main limbs"`
	Mesh      string  `json:"mesh" doc:"name of the file beside the plan"`
	SizeCM    float64 `json:"size_cm" doc:"mesh: its longest side"`
}

// BoardLimb is a tapering piece of wood.
type BoardLimb struct {
	FromCM [3]float64 `json:"from_cm"`
	ToCM   [3]float64 `json:"to_cm"`
	ThickA float64    `json:"from_thick_cm" doc:"diameter where it begins"`
	ThickB float64    `json:"to_thick_cm" doc:"diameter where it ends"`
}

// BoardPlant is one planting: a species put in somewhere.
type BoardPlant struct {
	ID       string       `json:"id" doc:"as written, or derived where the plan gives none"`
	Species  string       `json:"species" doc:"accepted botanical name"`
	Pots     int          `json:"pots"`
	Way      string       `json:"way" enum:"in,along,at,on,afloat" doc:"over an outline, along a line, at points, on a piece of hardscape, or afloat; also the key in the plan"`
	PointsCM [][2]float64 `json:"points_cm" doc:"corners, line or places as the plan has them; of those on a piece where they were tied to it, if that is said"`
	On       string       `json:"on" doc:"id of the piece it is tied to"`
	PlacesCM [][3]float64 `json:"places_cm" doc:"where each pot stands"`
	FromDay  int          `json:"from_day" doc:"0 = with the planting of the tank"`
	Event    string       `json:"event" doc:"id of the event that plants it; such plantings are not edited on the board"`

	HeightCM      float64    `json:"height_cm" doc:"as planted, as far as the plan states it; else 0"`
	GrownHeightCM [2]float64 `json:"grown_height_cm" doc:"from and to, by the catalogue"`
	GrownSpreadCM [2]float64 `json:"grown_spread_cm"`
	Form          string     `json:"form" doc:"way of growing: rosette, stem, rhizome, carpet, runner, bulb, lily, moss or floating"`
	Leaf          string     `json:"leaf" doc:"shape of its leaves"`
	Colour        string     `json:"colour" doc:"#RRGGBB"`
	Number        int        `json:"number" doc:"of the species on drawings, from 1 in the order of names"`
	Symbol        string     `json:"symbol" enum:"hatch,circle,star,sprig,pads" doc:"how drawings show it: a hatched mass, single plants, stems, tied to stone or wood, afloat"`
	Group         string     `json:"group"`
	Locked        bool       `json:"locked"`
	Line          int        `json:"line"`
}

// BoardLamp is one lamp.
type BoardLamp struct {
	ID           string     `json:"id"`
	Kind         string     `json:"kind"`
	AtCM         [2]float64 `json:"at_cm"`
	AboveWaterCM float64    `json:"above_water_cm"`
	SizeCM       [2]float64 `json:"size_cm" doc:"emitting face, along x and along y"`
	TurnDeg      float64    `json:"turn_deg"`
	TiltDeg      float64    `json:"tilt_deg"`
	PPF          float64    `json:"ppf_umol_s" doc:"photon flux at full power, µmol/s; 0 where it is found from readings"`
	Line         int        `json:"line"`
}

// BoardFilter is where a filter draws and returns its water.
type BoardFilter struct {
	ID        string       `json:"id"`
	InletsCM  [][2]float64 `json:"inlets_cm"`
	OutletsCM [][2]float64 `json:"outlets_cm"`
	FlowLH    float64      `json:"flow_l_h" doc:"label flow, L/h"`
	Line      int          `json:"line"`
}

// BoardMark is a place to look or photograph from.
type BoardMark struct {
	ID       string     `json:"id"`
	Name     string     `json:"name"`
	AtCM     [2]float64 `json:"at_cm"`
	HeightCM float64    `json:"height_cm" doc:"of the eye or lens over the bottom glass"`
	TowardCM [2]float64 `json:"toward_cm"`
	AimCM    float64    `json:"aim_cm" doc:"height of what it looks at"`
	Line     int        `json:"line"`
}

// BoardGround is the bed. Grid values are at the crossings of a lattice, rows of nx values from the front, each from the left.
type BoardGround struct {
	NX         int             `json:"nx"`
	NY         int             `json:"ny"`
	CellXCM    float64         `json:"cell_x_cm" doc:"from one crossing to the next along x"`
	CellYCM    float64         `json:"cell_y_cm"`
	TopCM      []float64       `json:"top_cm" doc:"height of the bed over the bottom glass"`
	SlopeDeg   []float64       `json:"slope_deg"`
	ReposeDeg  float64         `json:"repose_deg" doc:"slope at which the bed's top begins to slide under water; 0 without a bed"`
	ContoursCM []BoardContour  `json:"contours"`
	Layers     []BoardLayer    `json:"layers" doc:"from below"`
	Caps       []BoardCap      `json:"caps" doc:"laid on top, in this order"`
	Materials  []BoardMaterial `json:"materials" doc:"what to buy, by material"`
	Litres     float64         `json:"litres" doc:"of the bed, hardscape taken out"`
	MassKG     float64         `json:"mass_kg" doc:"dry"`
}

// BoardContour is a line of equal height.
type BoardContour struct {
	LevelCM float64        `json:"level_cm"`
	Lines   [][][2]float64 `json:"lines" doc:"in cm; closed ones end where they begin"`
}

// BoardLayer is one material over the whole floor.
type BoardLayer struct {
	Material string       `json:"material"`
	PointsCM [][3]float64 `json:"points_cm" doc:"[x, y, height] of its top; empty for an even layer"`
	DepthCM  float64      `json:"depth_cm" doc:"of an even layer; else 0"`
	Litres   float64      `json:"litres"`
	MassKG   float64      `json:"mass_kg" doc:"dry"`
	Line     int          `json:"line"`
}

// BoardCap is a material over an outline.
type BoardCap struct {
	Material string       `json:"material"`
	OverCM   [][2]float64 `json:"over_cm" doc:"outline; empty = everywhere"`
	DepthCM  float64      `json:"depth_cm"`
	Replace  bool         `json:"replace" doc:"it takes the place of the bed below, as a sand path does"`
	Barrier  bool         `json:"barrier" doc:"a strip or stones part it from the bed beside it"`
	Litres   float64      `json:"litres"`
	MassKG   float64      `json:"mass_kg" doc:"dry"`
	Line     int          `json:"line"`
}

// BoardMaterial is how much of a bed material lies in the tank, and what that takes to buy.
type BoardMaterial struct {
	Material string  `json:"material"`
	Litres   float64 `json:"litres"`
	MassKG   float64 `json:"mass_kg" doc:"dry"`
	BagL     float64 `json:"bag_litres" doc:"size of the bags that are counted"`
	Bags     int     `json:"bags" doc:"to order, with what is lost to settling"`
	Price    float64 `json:"price" doc:"by the plan's or the house's prices; 0 where they name none"`
	Currency string  `json:"currency" doc:"ISO 4217"`
}

// BoardWeight is what stands on the floor.
type BoardWeight struct {
	FilledKG    float64 `json:"filled_kg" doc:"glass, stand, equipment, bed, hardscape and water"`
	HardscapeKG float64 `json:"hardscape_kg"`
	BedKG       float64 `json:"bed_kg" doc:"dry"`
	LoadKPa     float64 `json:"load_kpa" doc:"on the footprint"`
	AllowedKPa  float64 `json:"allowed_kpa" doc:"as the plan states it; 0 where it does not"`
	Caution     string  `json:"caution" say:"text" doc:"stands wherever the load is shown"`
}

// Severities of notes.
const (
	Hint    = "hint"
	Warning = "warning"
)

// Kinds of notes.
const (
	KindHeight = "height"
	KindSpan   = "span"
	KindLight  = "light"
	KindRoots  = "roots"
	KindReach  = "reach"
	KindClear  = "clearance"
	KindAnimal = "animals"
	KindSlope  = "slope"
	KindWeight = "weight"
	KindBody   = "body"
)

// BoardNote is one thing the engine has to say, beside its place.
type BoardNote struct {
	ID       string     `json:"id" doc:"the same as long as the same is said of the same items"`
	IDs      []string   `json:"ids" doc:"items it speaks of"`
	Kind     string     `json:"kind" enum:"height,span,light,roots,reach,clearance,animals,slope,weight,body"`
	Severity string     `json:"severity" enum:"hint,warning"`
	Text     string     `json:"text" say:"text" doc:"what is true, in whole sentences"`
	Cure     string     `json:"cure" say:"text" doc:"what to do about it; may be empty"`
	AtCM     [3]float64 `json:"at_cm"`
}
