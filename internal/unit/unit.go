package unit

// Each quantity is a float64 in the one inner unit named beside it. Reading and writing with other units is in parse.go
// and format.go; nothing else in the project converts.
type (
	Length        float64 // metres
	Area          float64 // square metres
	Volume        float64 // cubic metres
	Mass          float64 // kilograms
	Flow          float64 // cubic metres per second
	MassRate      float64 // kilograms per second
	Celsius       float64 // degrees Celsius
	Concentration float64 // milligrams of the ion or substance per litre (= g/m³)
	Alkalinity    float64 // milliequivalents per litre
	Hardness      float64 // millimoles of Ca + Mg per litre
	PPFD          float64 // µmol of photons (400–700 nm) per square metre and second
	PhotonFlux    float64 // µmol of photons (400–700 nm) per second (a lamp's PPF)
	Power         float64 // watts
	Angle         float64 // radians
	Fraction      float64 // 0 to 1, written as a percentage or a plain fraction with %
	Duration      float64 // seconds
	Pressure      float64 // pascals (floor loads)
	Density       float64 // kilograms per cubic metre
	Attenuation   float64 // per metre
	Clock         float64 // seconds after midnight, written "09:30"
	Day           float64 // days since planting (day 0), written "day 21", "week 3", "month 9"
)

// Handy multiples, so that code reads like the trade speaks: 60 * unit.CM.
const (
	MM    Length   = 1e-3
	CM    Length   = 1e-2
	Litre Volume   = 1e-3
	Gram  Mass     = 1e-3
	Hour  Duration = 3600
	Days  Duration = 86400
)

// Kind names a physical dimension; it picks the units that fit in Parse and in its error text.
type Kind string

// The kinds that a plan, a catalogue or a house file can hold.
const (
	KindLength        Kind = "length"
	KindArea          Kind = "area"
	KindVolume        Kind = "volume"
	KindMass          Kind = "mass"
	KindFlow          Kind = "flow"
	KindMassRate      Kind = "mass rate"
	KindTemperature   Kind = "temperature"
	KindConcentration Kind = "concentration"
	KindAlkalinity    Kind = "alkalinity"
	KindHardness      Kind = "hardness"
	KindPPFD          Kind = "light intensity"
	KindPhotonFlux    Kind = "photon flux"
	KindPower         Kind = "power"
	KindAngle         Kind = "angle"
	KindFraction      Kind = "share"
	KindDuration      Kind = "duration"
	KindPressure      Kind = "load"
	KindDensity       Kind = "density"
	KindAttenuation   Kind = "attenuation"
	KindClock         Kind = "time of day"
	KindDay           Kind = "day of the plan"
)

// Every is a recurrence: every N units, as in "2 days", "week", "3 weeks", "month". It follows RFC 5545 underneath
// (FREQ=DAILY|WEEKLY|MONTHLY|YEARLY;INTERVAL=N).
type Every struct {
	N    int    // at least 1
	Freq string // DAILY, WEEKLY, MONTHLY or YEARLY
}

// Money is an amount in the currency of the plan's costs or of the house; the currency code travels beside it.
type Money float64
