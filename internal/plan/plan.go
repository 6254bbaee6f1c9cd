package plan

import (
	"littoral/internal/catalog"
	"littoral/internal/ies"
	"littoral/internal/mesh"
	"littoral/internal/unit"
)

// Version is the plan format that this program writes.
const Version = 1

// PointCM is a place on the plan drawing, x and y in centimetres.
type PointCM [2]float64

// HeightCM is a point of a surface: x, y and z in centimetres.
type HeightCM [3]float64

// Plan is everything that a forecast needs to know of a tank. Field tags give the YAML key and, as doc, what the schema says.
type Plan struct {
	Littoral  int         `yaml:"littoral" doc:"version of the plan format, 1" req:"true" unless:"optics"`
	Name      string      `yaml:"name" doc:"what the tank is called" req:"true" unless:"optics"`
	Planted   string      `yaml:"planted" doc:"planting date, ISO 8601 (2027-03-01); sets the calendar under the day numbers"`
	Tank      Tank        `yaml:"tank" req:"true"`
	Room      Room        `yaml:"room"`
	Substrate Substrate   `yaml:"substrate"`
	Hardscape []Hardscape `yaml:"hardscape"`
	Plants    []Planting  `yaml:"plants"`
	Lamps     []Lamp      `yaml:"lamps"`
	Views     []Mark      `yaml:"views" doc:"places from which the tank is looked at"`
	Marks     []Mark      `yaml:"marks" doc:"fixed places from which it is photographed"`
	Daylight  *Daylight   `yaml:"daylight" doc:"light of windows, skylights and the sun, beside the lamps; absent = none"`
	Optics    *Optics     `yaml:"optics" doc:"the water's optics stated outright, for light alone: only tank, optics and lamps are then needed"`
	LightDay  []LightDay  `yaml:"light-day" single:"true" doc:"hours of light and dimming, by date"`
	CO2       []CO2       `yaml:"co2" single:"true" doc:"injected CO2, by date; absent = none"`
	Water     Water       `yaml:"water"`
	Filter    []Filter    `yaml:"filter" single:"true"`
	Heater    *Heater     `yaml:"heater"`
	Start     Start       `yaml:"start" doc:"how the tank is started"`
	Found     *Found      `yaml:"found" doc:"the tank as found, when the plan begins from a running tank"`
	Livestock []Stock     `yaml:"livestock"`
	Feeding   []Feeding   `yaml:"feeding" single:"true" doc:"dry food, by date"`
	Bottles   []Bottle    `yaml:"bottles" doc:"bottled fertilisers by their label analysis"`
	Care      []Care      `yaml:"care" doc:"the care routine"`
	Events    []Event     `yaml:"events" doc:"what happens once, on a day"`
	Costs     Costs       `yaml:"costs"`
	Region    []string    `yaml:"region" doc:"where the tank stands, for lists of banned plants: EU or one of its members, UK, US or one of its states, Australia, New Zealand"`
	Catalog   []string    `yaml:"catalog" doc:"files that add to or override the catalogue"`

	Source *Source          `yaml:"-"` // bytes and positions of the file, for errors and for editing
	Cat    *catalog.Catalog `yaml:"-"` // the catalogue with the plan's own additions
	House  *House           `yaml:"-"` // the studio's rules, prices and norms

	Measured []Measured `yaml:"-"` // tests that the forecast goes on from

	LightOnly bool `yaml:"-"` // it states optics and no water, so that there is nothing to forecast but light

	Warnings Problems `yaml:"-"` // what reads but deserves a look, in the order of the file
}

// Tank is the glass and how high it is filled.
type Tank struct {
	Shape      string      `yaml:"shape" doc:"box, cylinder, bow-front or polygon" enum:"box,cylinder,bow-front,polygon" req:"true"`
	Inside     Inside      `yaml:"inside" req:"true"`
	Outline    []PointCM   `yaml:"outline" doc:"polygon only: corners in cm, seen from above"`
	Glass      Glass       `yaml:"glass"`
	WaterLevel unit.Length `yaml:"water-level" doc:"height of the water over the bottom glass" req:"true" unless:"optics"`
	SeenFrom   []string    `yaml:"seen-from" enum:"front,back,left,right,all" doc:"sides one looks from: front, back, left, right, all"`
	Cover      string      `yaml:"cover" doc:"open, glass (covered) or mesh" enum:"open,glass,mesh"`
	Stand      unit.Mass   `yaml:"stand" doc:"mass of the stand or cabinet, if its load counts"`
	Hood       unit.Length `yaml:"hood" doc:"height of an opaque rim around the tank above the water, which cuts the light of lamps that hang over it; absent = none"`
	Ripples    float64     `yaml:"ripples" doc:"mean square slope of the water's surface: 0 still, 0.002 to 0.02 under a filter's outlet; absent = 0"`
	Equipment  unit.Mass   `yaml:"equipment" doc:"mass of filters with their water, lamps and whatever else the floor carries with the tank"`
}

// Inside are the inner measures: length (x) and width (y, front to back) or diameter, and height; a bow-front's bow is how far
// the front glass bulges forward in the middle (the width is taken at the ends).
type Inside struct {
	Length   unit.Length `yaml:"length"`
	Width    unit.Length `yaml:"width"`
	Height   unit.Length `yaml:"height" req:"true"`
	Diameter unit.Length `yaml:"diameter"`
	Bow      unit.Length `yaml:"bow"`
}

// Glass is the panes' thickness and how the top edge is held.
type Glass struct {
	Thickness unit.Length `yaml:"thickness"`
	Bottom    unit.Length `yaml:"bottom" doc:"thickness of the bottom pane; absent = same"`
	Edges     string      `yaml:"edges" doc:"rimless or braced" enum:"rimless,braced"`
}

// Room is the air around the tank.
type Room struct {
	Temperature unit.Celsius  `yaml:"temperature" doc:"mean of day and night; beside summer that of the coldest month; absent = 21 °C"`
	Summer      unit.Celsius  `yaml:"summer" doc:"mean of the hottest month; the room swings between the two through the year; needs planted; absent = the same all year"`
	Hottest     int           `yaml:"hottest" doc:"number of the hottest month; absent = 7, or 1 where daylight lies in the south"`
	Humidity    unit.Fraction `yaml:"humidity" doc:"absent = 50 %"`
	Floor       *Floor        `yaml:"floor"`
}

// Floor is what carries the tank; shown beside the load, never judged.
type Floor struct {
	Kind        string        `yaml:"kind"`
	AllowedLoad unit.Pressure `yaml:"allowed-load"`
}

// Substrate is the bed: layers from below, then caps laid over an outline.
type Substrate struct {
	Layers []Layer `yaml:"layers"`
	Caps   []Cap   `yaml:"caps"`
}

// Layer is one material over the whole floor. Heights give the top of the layer (from the glass); Depth an even thickness.
// Exactly one of the two.
type Layer struct {
	Material string      `yaml:"material" req:"true"`
	Heights  *Heights    `yaml:"heights"`
	Depth    unit.Length `yaml:"depth"`
}

// Heights is a smooth surface through points.
type Heights struct {
	Points []HeightCM `yaml:"points" doc:"[x, y, height] in cm" req:"true"`
}

// Cap is a material laid on top, over an outline (absent = everywhere), to an even depth; Replace takes the bed below away
// first, as for a sand path down to the glass.
type Cap struct {
	Material string      `yaml:"material" req:"true"`
	Over     []PointCM   `yaml:"over"`
	Depth    unit.Length `yaml:"depth" req:"true"`
	Replace  bool        `yaml:"replace"`
	Barrier  bool        `yaml:"barrier" doc:"a strip or stones on the glass along its edge part it from the bed beside it"`
}

// Hardscape is one stone or piece of wood.
type Hardscape struct {
	ID       string      `yaml:"id" doc:"a stable name; absent = derived from kind and order"`
	Kind     string      `yaml:"kind" enum:"stone,wood" req:"true"`
	Material string      `yaml:"material" req:"true"`
	Shape    Shape       `yaml:"shape" req:"true"`
	At       PointCM     `yaml:"at" req:"true"`
	Turn     unit.Angle  `yaml:"turn" doc:"about the vertical, counter-clockwise seen from above"`
	Tilt     unit.Angle  `yaml:"tilt" doc:"about the piece's own long axis"`
	Lean     unit.Angle  `yaml:"lean" doc:"about the piece's own short axis; what lies to its right rises"`
	Mirrored bool        `yaml:"mirrored" doc:"yes = as in a mirror along its long axis, before it is tilted and turned"`
	Sink     unit.Length `yaml:"sink" doc:"how deep it is pressed into the bed"`
	Group    string      `yaml:"group" doc:"pieces and plantings of one name are moved together on the drawing board"`
	Locked   bool        `yaml:"locked" doc:"yes = the drawing board leaves it where it is"`
}

// Shape is exactly one of boulder, slab, branch or mesh.
type Shape struct {
	Boulder *Boulder    `yaml:"boulder"`
	Slab    *Slab       `yaml:"slab"`
	Branch  *Branch     `yaml:"branch"`
	Mesh    string      `yaml:"mesh" doc:"OBJ, STL, PLY or GLB file beside the plan"`
	Size    unit.Length `yaml:"size" doc:"mesh only: its longest side"`

	Body *mesh.Mesh `yaml:"-"` // the mesh as read, unscaled
}

// Mark is a place to look from: an eye for a view, a camera for photos that are to be laid over one another. It lies outside the glass as a rule.
type Mark struct {
	ID     string      `yaml:"id"`
	Name   string      `yaml:"name" doc:"what people call it"`
	At     PointCM     `yaml:"at" doc:"[x, y] in cm; in front of the glass y is below 0" req:"true"`
	Height unit.Length `yaml:"height" doc:"of the eye or lens over the bottom glass; absent = half the water's height"`
	Toward PointCM     `yaml:"toward" doc:"what it looks at, [x, y] in cm; absent = the middle of the tank"`
	Aim    unit.Length `yaml:"aim" doc:"height of what it looks at over the bottom glass; absent = half the water's height"`
}

// Boulder is a rounded, facetted stone of the given outer measures.
type Boulder struct {
	Length    unit.Length `yaml:"length" req:"true"`
	Width     unit.Length `yaml:"width" req:"true"`
	Height    unit.Length `yaml:"height" req:"true"`
	Roughness float64     `yaml:"roughness" doc:"0 = smooth ellipsoid, 1 = strongly facetted; absent = 0.3"`
}

// Slab is a flat stone with broken edges.
type Slab struct {
	Length    unit.Length `yaml:"length" req:"true"`
	Width     unit.Length `yaml:"width" req:"true"`
	Thickness unit.Length `yaml:"thickness" req:"true"`
}

// Branch is a root: a trunk that parts into tapering limbs.
type Branch struct {
	Length unit.Length `yaml:"length" doc:"reach of the longest limb" req:"true"`
	Height unit.Length `yaml:"height" doc:"how high the limbs rise; absent = 0.6 of the length"`
	Thick  unit.Length `yaml:"thick" doc:"diameter of the trunk" req:"true"`
	Limbs  int         `yaml:"limbs" doc:"number of main limbs; absent = 4"`
}

// Planting is a species put in somewhere: over an outline, along a line, at points, on a piece of hardscape, or afloat.
type Planting struct {
	ID      string      `yaml:"id"`
	Species string      `yaml:"species" req:"true"`
	Pots    int         `yaml:"pots" req:"true"`
	In      []PointCM   `yaml:"in" doc:"outline to spread the pots over"`
	Along   []PointCM   `yaml:"along" doc:"line to set the pots along"`
	At      []PointCM   `yaml:"at" doc:"one place for each pot; beside on: where on the piece each is tied, seen from above"`
	On      string      `yaml:"on" doc:"id of the stone or wood it is tied or glued to"`
	Afloat  bool        `yaml:"afloat" doc:"floats on the surface"`
	Grown   string      `yaml:"grown" doc:"how the nursery grew it: emersed, submersed or in-vitro; absent = emersed" enum:"emersed,submersed,in-vitro"`
	Height  unit.Length `yaml:"height" doc:"height as planted or found; absent = a pot as bought"`
	Spread  unit.Length `yaml:"spread" doc:"spread as planted or found; absent = a pot as bought"`
	From    unit.Day    `yaml:"from" doc:"planted on this day; absent = day 0"`
	Group   string      `yaml:"group" doc:"pieces and plantings of one name are moved together on the drawing board"`
	Locked  bool        `yaml:"locked" doc:"yes = the drawing board leaves it where it is"`
}

// LampReading is what a PAR meter showed under one lamp.
type LampReading struct {
	At    PointCM       `yaml:"at" doc:"[x, y] in cm" req:"true"`
	Depth unit.Length   `yaml:"depth" doc:"sensor below the surface; absent = just above the water"`
	PPFD  unit.PPFD     `yaml:"ppfd" req:"true"`
	Dim   unit.Fraction `yaml:"dim" doc:"what the dimmer stood at; absent = 100 %"`
}

// Optics states what light meets in the water, instead of what the forecast reckons from colour and suspended matter. A plan with it needs
// no more than tank and lamps beside it, and water up to the rim where it names no level.
type Optics struct {
	Absorption  unit.Attenuation `yaml:"absorption" doc:"of the water, along the path" req:"true"`
	Scattering  unit.Attenuation `yaml:"scattering" doc:"of the water, along the path; absent = none"`
	Asymmetry   float64          `yaml:"asymmetry" doc:"mean cosine of the angle of scattering, -1 to 1 (Henyey and Greenstein); absent = 0, to all sides alike"`
	GroundShare float64          `yaml:"ground-reflectance" doc:"share of the light that bed or bottom gives back, 0 to 1; absent = none"`
}

// Lamp is one lamp above the tank. Flux is stated as ppf, or lumens with lux-per-ppfd, or by a catalogue lamp.
type Lamp struct {
	ID         string          `yaml:"id"`
	Kind       string          `yaml:"kind" doc:"panel, bar, spot or pendant" enum:"panel,bar,spot,pendant"`
	Model      string          `yaml:"model" doc:"a generic lamp of the catalogue"`
	At         PointCM         `yaml:"at" req:"true"`
	AboveWater unit.Length     `yaml:"above-water" doc:"surface of the water to the emitting face" req:"true"`
	Size       [2]unit.Length  `yaml:"size" doc:"emitting face, x by y"`
	PPF        unit.PhotonFlux `yaml:"ppf" doc:"photon flux at full power"`
	Lumens     float64         `yaml:"lumens" doc:"luminous flux in lm; needs lux-per-ppfd"`
	LuxPerPPFD float64         `yaml:"lux-per-ppfd" doc:"lux for each µmol/m²/s of the lamp's spectrum"`
	Power      unit.Power      `yaml:"power" doc:"electrical power"`
	Beam       unit.Angle      `yaml:"beam" doc:"full width at half maximum; 120° is Lambertian"`
	IES        string          `yaml:"ies" doc:"photometric file (IES LM-63) with the lamp's beam; in place of beam"`
	Tilt       unit.Angle      `yaml:"tilt" doc:"how far the lamp is tilted from straight down"`
	Turn       unit.Angle      `yaml:"turn" doc:"where it is tilted to, and where the length of a photometric file points: 0° to the right, 90° to the back"`
	Dim        unit.Fraction   `yaml:"dim" doc:"share of full power that this lamp is set to; absent = 100 %"`
	Shade      unit.Length     `yaml:"shade" doc:"how far an opaque edge around the face hangs below it; absent = none"`

	Channels []Channel     `yaml:"channels" doc:"parts of the lamp that are dimmed by themselves, with the share of its photons and their colour; absent = one, white"`
	Readings []LampReading `yaml:"par-readings" doc:"PAR-meter readings under this lamp alone, from which its photon flux is found, and its beam where none is stated"`

	Photometry *ies.File `yaml:"-"` // of the file under ies
	FromLumens bool      `yaml:"-"` // PPF was reckoned from lumens and the spectrum's figure
}

// Daylight is light from outside. Clock times are sun time, with noon at 12.
type Daylight struct {
	Latitude unit.Angle `yaml:"latitude" doc:"of the place, negative in the south; with the planting date it makes days and sky change through the year; absent = days of 12 h"`
	Windows  []Window   `yaml:"windows" single:"true" doc:"where daylight falls on the tank" req:"true"`
}

// Window is one place where daylight falls on the tank. It is stated by its size and distance, or by what was read at the tank, or holds the sun alone.
type Window struct {
	ID       string         `yaml:"id"`
	Side     string         `yaml:"side" doc:"side of the tank that it lies on: front, back, left, right, or above for a skylight" enum:"front,back,left,right,above" req:"true"`
	From     unit.Day       `yaml:"from" doc:"open from this day; absent = from the start"`
	Until    unit.Day       `yaml:"until" doc:"screened from this day; absent = never"`
	Size     [2]unit.Length `yaml:"size" doc:"width by height; of a skylight along x by along y"`
	Distance unit.Length    `yaml:"distance" doc:"from that side's glass to the window; of a skylight from the water up"`
	Sill     unit.Length    `yaml:"sill" doc:"lower edge above the tank's bottom glass; absent = level with it"`
	At       PointCM        `yaml:"at" doc:"its middle, [x, y] in cm, of which an upright window uses the one along its side; absent = the middle of the tank"`
	PPFD     unit.PPFD      `yaml:"ppfd" doc:"daylight read on that side of the tank at noon, in place of size"`
	Lux      float64        `yaml:"lux" doc:"the same in lux"`
	SkyLux   float64        `yaml:"sky-lux" doc:"what the sky gives on open level ground at noon, in lux; absent = an overcast sky by latitude and date, 10 000 without a latitude"`
	Glazing  unit.Fraction  `yaml:"glazing" doc:"share of the light that glass and curtains let through; absent = 70 %"`
	Sun      *Sun           `yaml:"sun" doc:"direct sun on the tank; absent = none"`
}

// Sun is when and how the sun falls on the tank.
type Sun struct {
	From   unit.Clock    `yaml:"from" req:"true"`
	Hours  float64       `yaml:"hours" req:"true"`
	Height unit.Angle    `yaml:"height" doc:"over the horizon in the middle of those hours; absent = by latitude at the equinox, else 30°"`
	Turn   unit.Angle    `yaml:"turn" doc:"of its light from straight in, seen from above against the clock; under a skylight from the right"`
	Share  unit.Fraction `yaml:"share" doc:"share of those hours with sunshine; absent = 100 %"`
}

// LightDay is the light regime from a day until another (until is not included).
type LightDay struct {
	From  unit.Day      `yaml:"from"`
	Until unit.Day      `yaml:"until"`
	On    unit.Clock    `yaml:"on" req:"true"`
	Hours float64       `yaml:"hours" doc:"hours from on to off, ramps included" req:"true"`
	Dim   unit.Fraction `yaml:"dim" doc:"share of full power; absent = 100 %"`
	Ramp  unit.Duration `yaml:"ramp" doc:"dawn and dusk, each"`

	Channels []ChannelDay `yaml:"channels" single:"true" doc:"channels of lamps that are run otherwise than the rest"`
}

// Channel is a part of a lamp that is dimmed by itself.
type Channel struct {
	Name   string        `yaml:"name" req:"true"`
	Colour string        `yaml:"colour" doc:"white, blue, green or red" enum:"white,blue,green,red" req:"true"`
	Share  unit.Fraction `yaml:"share" doc:"of the lamp's photons at full power; the channels' shares sum to 100 %" req:"true"`
}

// ChannelDay is how the lamps' channels of a name are run, on top of the light day.
type ChannelDay struct {
	Channel string        `yaml:"channel" req:"true"`
	Dim     unit.Fraction `yaml:"dim" doc:"share of what the light day gives it; 0 % turns it off, absent = 100 %"`
	Ramp    unit.Duration `yaml:"ramp" doc:"dawn and dusk, each; absent = the light day's"`

	Told   bool    `yaml:"-"` // Dim is stated
	Weight float64 `yaml:"-"` // share of all lamps' photons at full power
}

// Channel is the dimming of a channel on top of the light day, 1 where nothing is said of it; of a nil light day too.
func (l *LightDay) Channel(name string) float64 {
	if l != nil {
		for _, c := range l.Channels {
			if c.Channel == name && c.Told {
				return float64(c.Dim)
			}
		}
	}
	return 1
}

// Level is the share of the lamps' full light that the light day gives between its ramps, 0 to 1.
func (l *LightDay) Level() float64 {
	rest, level := 1.0, 0.0
	for _, c := range l.Channels {
		rest -= c.Weight
		level += c.Weight * l.Channel(c.Channel)
	}
	return float64(l.Dim) * (rest + level)
}

// Weight is how much a lamp counts among others: its photon flux as dimmed (µmol/s), or 1 where that is still to be found from readings.
func Weight(l *Lamp) float64 {
	if l.PPF <= 0 {
		return 1
	}
	if l.Dim > 0 {
		return float64(l.PPF) * float64(l.Dim)
	}
	return float64(l.PPF)
}

// CO2 is the injection regime.
type CO2 struct {
	From    unit.Day           `yaml:"from"`
	Until   unit.Day           `yaml:"until"`
	Target  unit.Concentration `yaml:"target" doc:"free CO2 held while the gas is on"`
	PH      float64            `yaml:"ph" doc:"in place of target: the pH at which a controller closes the valve"`
	Band    float64            `yaml:"dead-band" doc:"with ph: how far pH rises before the controller opens again; absent = 0.1"`
	On      unit.Clock         `yaml:"on" req:"true"`
	Off     unit.Clock         `yaml:"off" req:"true"`
	MaxRate unit.MassRate      `yaml:"max-rate" doc:"most the valve gives; absent = what the target needs within 2 h"`
}

// Water is where the water comes from.
type Water struct {
	Tap   Tap        `yaml:"tap" req:"true"`
	Mix   Mix        `yaml:"mix"`
	Salts []SaltDose `yaml:"salts" doc:"salts added to each batch of change water"`
}

// Tap is the analysis of the tap water. Nitrate, nitrite, ammonium and phosphate are the ions unless written as N or as P.
type Tap struct {
	Alkalinity  unit.Alkalinity    `yaml:"alkalinity" req:"true"`
	Hardness    unit.Hardness      `yaml:"hardness" req:"true"`
	PH          float64            `yaml:"ph" doc:"absent = 7.5"`
	Calcium     unit.Concentration `yaml:"calcium" ion:"Ca"`
	Magnesium   unit.Concentration `yaml:"magnesium" ion:"Mg"`
	Sodium      unit.Concentration `yaml:"sodium" ion:"Na"`
	Potassium   unit.Concentration `yaml:"potassium" ion:"K"`
	Nitrate     unit.Concentration `yaml:"nitrate" ion:"NO3"`
	Ammonium    unit.Concentration `yaml:"ammonium" ion:"NH4"`
	Phosphate   unit.Concentration `yaml:"phosphate" ion:"PO4"`
	Chloride    unit.Concentration `yaml:"chloride" ion:"Cl"`
	Sulphate    unit.Concentration `yaml:"sulphate" ion:"SO4"`
	Iron        unit.Concentration `yaml:"iron" ion:"Fe"`
	Temperature unit.Celsius       `yaml:"temperature" doc:"as it leaves the tap; absent = 12 °C"`
	Tempered    bool               `yaml:"tempered" doc:"change water is warmed to the tank's temperature before it goes in"`
}

// Mix is the share of pure (reverse-osmosis) water in each batch.
type Mix struct {
	Pure unit.Fraction `yaml:"pure"`
}

// SaltDose is a salt and how much of it goes into each litre of change water.
type SaltDose struct {
	Salt string             `yaml:"salt" req:"true"`
	Dose unit.Concentration `yaml:"dose" req:"true"`
}

// Filter is one filter: its label flow, its share of that flow in truth, and its media.
type Filter struct {
	ID      string        `yaml:"id"`
	Flow    unit.Flow     `yaml:"flow" doc:"label flow" req:"true"`
	Real    unit.Fraction `yaml:"real" doc:"share of the label flow when clean; absent = 65 %"`
	Media   unit.Volume   `yaml:"media" req:"true"`
	Fine    bool          `yaml:"fine" doc:"fine mechanical stage (floss or pleats)"`
	Seeded  unit.Fraction `yaml:"seeded" doc:"share of the media that comes from a running filter"`
	Inlets  []PointCM     `yaml:"inlets" doc:"where it draws its water, [x, y] in cm each; for the drawing alone"`
	Outlets []PointCM     `yaml:"outlets" doc:"where its water comes back, [x, y] in cm each; plants far from all of them meet less CO2"`
}

// Heater is the heating and its set point.
type Heater struct {
	Power unit.Power   `yaml:"power" req:"true"`
	Set   unit.Celsius `yaml:"set" req:"true"`
}

// Start says how the tank begins: wet (filled at planting), dark (bed and filter run without light and plants before planting)
// or dry (grown wet but not flooded before filling). Day 0 is the day of planting for wet and dark, the day of filling for dry.
type Start struct {
	Kind string        `yaml:"kind" enum:"wet,dark,dry" doc:"absent = wet"`
	For  unit.Duration `yaml:"for" doc:"length of the dark or dry phase before day 0"`
}

// Found is a tank taken over as it stands. What is unknown gets a range.
type Found struct {
	Age       unit.Duration `yaml:"age" doc:"since it was planted"`
	Substrate string        `yaml:"substrate" doc:"new, used or spent; absent = by its age" enum:"new,used,spent"`
	Filter    string        `yaml:"filter" doc:"clean, loaded or clogged" enum:"clean,loaded,clogged"`
	Readings  *Readings     `yaml:"readings"`
	Flow      unit.Fraction `yaml:"flow" doc:"flow left, as a share of the filter's flow when new"`
	Symptoms  []string      `yaml:"symptoms" doc:"what is seen, in words"`
}

// Readings are test results of the running tank.
type Readings struct {
	Alkalinity *unit.Alkalinity    `yaml:"alkalinity"`
	Hardness   *unit.Hardness      `yaml:"hardness"`
	PH         *float64            `yaml:"ph"`
	Nitrate    *unit.Concentration `yaml:"nitrate" ion:"NO3"`
	Nitrite    *unit.Concentration `yaml:"nitrite" ion:"NO2"`
	Ammonium   *unit.Concentration `yaml:"ammonium" ion:"NH4"`
	Phosphate  *unit.Concentration `yaml:"phosphate" ion:"PO4"`
	Potassium  *unit.Concentration `yaml:"potassium" ion:"K"`
	Iron       *unit.Concentration `yaml:"iron" ion:"Fe"`
	Oxygen     *unit.Concentration `yaml:"oxygen" ion:"O2"`
	Temp       *unit.Celsius       `yaml:"temperature"`
}

// Stock is a group of animals from a day on.
type Stock struct {
	ID      string   `yaml:"id"`
	Species string   `yaml:"species" req:"true"`
	Count   int      `yaml:"count" req:"true"`
	From    unit.Day `yaml:"from" doc:"added on this day; absent = day 0"`
	Until   unit.Day `yaml:"until" doc:"taken out on this day"`
}

// Feeding is dry food a day.
type Feeding struct {
	From    unit.Day      `yaml:"from"`
	Until   unit.Day      `yaml:"until"`
	DryFood unit.MassRate `yaml:"dry-food" req:"true"`
	Protein unit.Fraction `yaml:"protein" doc:"absent = 45 %"`
}

// Bottle is a bottled fertiliser by its label: each constituent as mass per litre or as a share of its mass (then with density).
type Bottle struct {
	Name    string            `yaml:"name" req:"true"`
	Label   map[string]string `yaml:"label" doc:"constituent (N, NO3, P, PO4, P2O5, K, K2O, Ca, Mg, MgO, Fe, …) to content: 12 g/L or 1.5 %" req:"true"`
	Density unit.Density      `yaml:"density" doc:"absent = 1.0 kg/L"`

	PerLitre map[string]float64 `yaml:"-"` // grams of each element per litre, resolved from the label; nitrogen by form: "NO3-N", "NH4-N"
}

// Care is a repeated task.
type Care struct {
	ID      string            `yaml:"id"`
	Every   unit.Every        `yaml:"every" req:"true"`
	From    unit.Day          `yaml:"from"`
	Until   unit.Day          `yaml:"until"`
	At      unit.Clock        `yaml:"at" doc:"hour of the day; absent = 10:00"`
	Do      string            `yaml:"do" enum:"water-change,dose,trim,thin,outer-leaves,replant-tops,pull-runners,replace,root-feed,filter-clean,siphon,glass" req:"true"`
	When    When              `yaml:"when" doc:"trim, thin, outer-leaves, replant-tops, pull-runners, replace: done on the visits on which this holds of a plant of the line; absent = on every visit"`
	Share   unit.Fraction     `yaml:"share" doc:"water-change: share of the water; trim and thin: share taken; replace: share of the pots, the poorest first, absent = all; outer-leaves: share of the leaves, at most 25 %, absent = 20 %"`
	Salts   map[string]string `yaml:"salts" doc:"dose: salt to mass (KNO3: 6 g); iron means grams of chelated Fe"`
	Bottle  string            `yaml:"bottle" doc:"dose: name of a bottle"`
	Amount  unit.Volume       `yaml:"amount" doc:"dose: volume of the bottle; water-change: volume of water changed, in place of share"`
	Species string            `yaml:"species" doc:"trim, thin, outer-leaves, replant-tops, pull-runners: which species, or the id of one planting; absent = every plant that needs it; replace needs it"`
	To      unit.Length       `yaml:"to" doc:"trim: height above the bed that is left; replant-tops: length of the tops that are kept, absent = 10 cm"`
	Shape   string            `yaml:"shape" enum:"slope,dome" doc:"trim: slope rises from to at the group's front to its back, dome from to at its rim to its middle; absent = flat"`
	Rise    unit.Length       `yaml:"rise" doc:"trim with a shape: by how much it rises over to"`
	Within  []PointCM         `yaml:"within" doc:"pull-runners: outline that the species keeps; what has run beyond it is pulled"`
	Tablets int               `yaml:"tablets" doc:"root-feed: number of tablets"`
	Tablet  string            `yaml:"tablet" doc:"root-feed: plain or coated; absent = plain" enum:"plain,coated"`
	Where   string            `yaml:"where" doc:"root-feed: thin (thinnest reserve first) or even; absent = thin" enum:"thin,even"`

	Grams map[string]float64 `yaml:"-"` // Salts resolved to grams, by catalogue formula
}

// First is the first day a care line can fall on. A line that starts with the plan is first due one interval after
// planting, since planting day is itself the work of the day; a line with a stated start is due on that day.
func (c *Care) First() unit.Day {
	if c.From > 0 {
		return c.From
	}
	switch c.Every.Freq {
	case "WEEKLY":
		return unit.Day(7 * c.Every.N)
	case "MONTHLY":
		return unit.Day(30 * c.Every.N)
	case "YEARLY":
		return unit.Day(365 * c.Every.N)
	}
	return unit.Day(c.Every.N)
}

// Event happens once.
type Event struct {
	ID     string        `yaml:"id"`
	On     unit.Day      `yaml:"on" req:"true"`
	At     unit.Clock    `yaml:"at"`
	Do     string        `yaml:"do" enum:"replant,water-change,remove,plant,filter-loss,filter-clean,missed-visits,power-cut" req:"true"`
	Remove []string      `yaml:"remove" doc:"ids or species of plantings taken out"`
	Within []PointCM     `yaml:"within" doc:"only plants inside this outline are taken out"`
	Plant  []Planting    `yaml:"plant" doc:"plantings put in"`
	Drain  unit.Fraction `yaml:"drain" doc:"share of the water drained for the work"`
	Amount unit.Volume   `yaml:"amount" doc:"water-change: volume of water changed, in place of drain"`
	Fresh  unit.Length   `yaml:"fresh" doc:"fresh substrate of the top layer's material added over the outline"`
	For    unit.Duration `yaml:"for" doc:"missed-visits, power-cut: how long"`
}

// Costs are what work and material cost here.
type Costs struct {
	Currency string     `yaml:"currency" doc:"ISO 4217 code"`
	Labour   unit.Money `yaml:"labour" doc:"an hour of work, written 48 /h"`
	Prices   string     `yaml:"prices" doc:"CSV file of prices beside the plan"`

	List []Price `yaml:"-"` // the price file as read
}

// Price is a row of a price list.
type Price struct {
	Item  string // catalogue name or free text
	Unit  string // pot, kg, L, tablet, piece, …
	Price float64
}
