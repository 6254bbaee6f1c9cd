package algae

import (
	"fmt"
	"math"
	"slices"
)

// Kind is one of the algae that the trade tells apart by their look.
type Kind int

// The kinds.
const (
	BrownFilm Kind = iota
	GreenDust
	GreenSpot
	BlackTufts
	Thread
	BlueGreen
	GreenWater
	Kinds // how many there are
)

// String names a kind in words.
func (k Kind) String() string {
	if k < 0 || k >= Kinds {
		return "algae"
	}
	return [Kinds]string{"brown film", "green dust", "green spots", "black tufts", "thread algae", "blue-green film", "green water"}[k]
}

// Conditions are what the kinds answer to, as means over about a week.
type Conditions struct {
	Age           float64 // days since the tank was filled
	GlassPPFD     float64 // full light half way down, µmol m⁻² s⁻¹
	SlowPPFD      float64 // full light on leaves that live for half a year or more
	SlowShare     float64 // share of the leaf area that such leaves make up
	Hours         float64 // of light a day
	NO3, PO4, NH4 float64 // mg/L of the ion
	CO2           float64 // mg/L over the light hours
	CO2Start      float64 // mg/L at lights-on
	CO2Target     float64 // mg/L asked of the gas; 0 without gas
	Flow          float64 // of the filter, share of new
	Turnover      float64 // real turnovers an hour when new
	Dirt          float64 // detritus on the bed, g dry/m²
	Film          float64 // on glass, g dry/m²
	Grazers       float64 // keen grazers, g wet for each m² of glass, hardscape, bed and leaves
	SunHours      float64 // hours a day in which direct sun falls into the tank; 0 where none does or none is known
	Outside       float64 // light from windows in the water, µmol m⁻² s⁻¹, mean over those hours that it is light outside; 0 where none is known
	Floating      float64 // algae in the water, g dry/m³
}

// Driver is a cause and how strongly it is at work, 0 to 1.
type Driver struct {
	Level float64
	Text  string // with its number
}

// Risk is how strongly the causes of a kind are at work, 0 (not) to 1 (as strongly as where the trade sees it come), and which ones,
// strongest first; causes under a tenth are left out.
type Risk struct {
	Kind    Kind
	Level   float64
	Drivers []Driver
}

// ramp rises from 0 at lo to 1 at hi, or falls where lo is larger.
func ramp(x, lo, hi float64) float64 {
	return math.Max(0, math.Min((x-lo)/(hi-lo), 1))
}

// SlowLeaf is the leaf life from which a leaf counts as slow, days: long enough for algae to settle on (the trade: crypts 4 to 8 months,
// Anubias 1 to 3 years).
const SlowLeaf = 150.0

// Risks works out every kind. Thresholds are common practice, no source: where the trade says "over", "under" or "from" a number,
// a cause begins a little before and is full a little after it.
func Risks(c Conditions) [Kinds]Risk {
	say := func(level float64, format string, args ...any) Driver {
		return Driver{level, fmt.Sprintf(format, args...)}
	}

	// A young tank: brown film comes in weeks 2 to 4 and goes by itself within the first three months.
	young := say(math.Min(ramp(c.Age, 4, 12), ramp(c.Age, 90, 40)), "a tank %.0f days old", c.Age)
	dim := say(ramp(c.GlassPPFD, 60, 25), "dim light, %.0f µmol half way down", c.GlassPPFD)
	ammonium := say(ramp(c.NH4, 0.05, 0.3), "ammonium at %.2f mg/L", c.NH4)
	// Over 100 µmol the risk of algae rises fast.
	bright := say(ramp(c.GlassPPFD, 50, 110), "bright light, %.0f µmol half way down", c.GlassPPFD)
	film := say(ramp(c.Film, 0.2, 1), "a film of %.1f g/m² on the glass", c.Film)
	// Phosphate under 0.05 mg/L with 120 µmol on slow leaves brings green spots.
	starved := say(ramp(c.PO4, 0.25, 0.06), "phosphate at %.2f mg/L", c.PO4)
	slowLit := say(ramp(c.SlowPPFD, 40, 100), "%.0f µmol on slow leaves", c.SlowPPFD)
	// The trade cleans a filter under 70 % of its flow; carbon then is uneven and swings.
	slack := say(ramp(c.Flow, 0.8, 0.55), "flow at %.0f %% of new", 100*c.Flow)
	late := say(0, "")
	if c.CO2Target > 0 {
		late = say(ramp(c.CO2Start/c.CO2Target, 0.8, 0.4), "CO2 at %.0f of %.0f mg/L when the light comes on", c.CO2Start, c.CO2Target)
	}
	lean := say(ramp(c.CO2, 14, 6)*bright.Level, "CO2 at %.0f mg/L under bright light", c.CO2)
	slowLeaves := say(ramp(c.SlowShare, 0, 0.2), "slow leaves on %.0f %% of the leaf area", 100*c.SlowShare)
	// Near-zero nitrate feeds blue-green film, which fixes its own.
	hungry := say(ramp(c.NO3, 6, 1.5), "nitrate at %.1f mg/L", c.NO3)
	dirty := say(ramp(c.Dirt, 5, 40), "%.0f g/m² of detritus on the bed", c.Dirt)
	long := say(ramp(c.Hours, 8, 12), "light for %.0f hours a day", c.Hours)
	floating := say(ramp(c.Floating, 0.5, 3), "%.1f mg/L of algae in the water", c.Floating)

	// Direct sun for an hour or more a day turns water green and dusts glass; bright windows do the same more slowly.
	outside := fmt.Sprintf("direct sun for %.1f hours a day and %.0f µmol from windows", c.SunHours, c.Outside)
	switch {
	case c.SunHours == 0:
		outside = fmt.Sprintf("%.0f µmol from windows", c.Outside)
	case c.Outside == 0:
		outside = fmt.Sprintf("direct sun for %.1f hours a day", c.SunHours)
	}
	sun := Driver{math.Max(ramp(c.SunHours, 0.25, 1.5), 0.8*ramp(c.Outside, 30, 120)), outside}
	glare := bright // by lamps alone, since the sun has its own word
	if c.SunHours > 0 {
		glare.Level = 0
	}
	// A shrimp of two grams for every 8 litres keeps films thin and eats threads; black tufts, spots and slime they leave.
	eaten := 1 - 0.6*ramp(c.Grazers, 2, 12)

	unsteady := math.Max(slack.Level, math.Max(late.Level, lean.Level))
	risks := [Kinds]Risk{
		{BrownFilm, young.Level * math.Max(0.6, math.Max(dim.Level, ammonium.Level)) * eaten, []Driver{young, dim, ammonium}},
		{GreenDust, math.Sqrt(math.Max(bright.Level, sun.Level)*film.Level) * (0.8 + 0.2*long.Level), []Driver{bright, film, long, sun}},
		{GreenSpot, starved.Level * slowLit.Level * math.Max(slowLeaves.Level, 0.5), []Driver{starved, slowLit}},
		{BlackTufts, unsteady * (0.5 + 0.5*slowLeaves.Level) * ramp(c.Age, 30, 90), []Driver{slack, late, lean, slowLeaves}},
		{Thread, math.Max(ammonium.Level*math.Max(bright.Level, 0.3), lean.Level) * (0.8 + 0.2*long.Level) * eaten, []Driver{ammonium, lean, bright}},
		{BlueGreen, hungry.Level * math.Max(0.4, math.Max(dirty.Level, slack.Level)), []Driver{hungry, dirty, slack}},
		{GreenWater, math.Max(math.Max(floating.Level, 0.9*sun.Level), ammonium.Level*ramp(c.GlassPPFD, 120, 300)), []Driver{floating, sun, ammonium, glare}},
	}
	for i := range risks {
		d := slices.DeleteFunc(risks[i].Drivers, func(d Driver) bool { return d.Level < 0.1 })
		slices.SortStableFunc(d, func(a, b Driver) int {
			switch {
			case a.Level > b.Level:
				return -1
			case a.Level < b.Level:
				return 1
			}
			return 0
		})
		risks[i].Drivers = d
	}
	return risks
}
