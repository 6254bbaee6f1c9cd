package unit

import (
	"math"
	"strconv"
)

// System is a family of units for showing values.
type System string

// The two systems in which the trade reads.
const (
	Metric System = "metric"
	US     System = "us"
)

// Format shows a value, given in the inner unit of its kind, in the unit in which the trade reads it: "1164 L" or
// "307 gal", "24 °C" or "75 °F", "7 dKH" in both systems. Three digits are shown, more only to keep whole numbers whole;
// zeros behind the point are left off. A value that is not finite is shown as "not known". Parse reads the text back.
func Format(kind Kind, value float64, system System) string {
	return FormatDigits(kind, value, system, 3)
}

// FormatDigits is Format with another number of significant digits, 1 to 15.
func FormatDigits(kind Kind, value float64, system System, figures int) string {
	if math.IsNaN(value) || math.IsInf(value, 0) {
		return "not known"
	}
	figures = min(max(figures, 1), 15)
	switch kind {
	case KindDay:
		return FormatDay(Day(value))
	case KindClock:
		return formatClock(value, system)
	}
	t, ok := tables[kind]
	if !ok {
		return digits(value, figures)
	}
	s := t.byKey[showIn(kind, value, system)]
	x := s.outer(value)
	if kind == KindTemperature && figures <= 3 {
		return join(oneStep(x, system), s.name)
	}
	return join(digits(x, figures), s.name)
}

// oneStep shows temperatures to what a tank's thermometer tells: a tenth of a degree Celsius, a whole degree Fahrenheit.
func oneStep(x float64, system System) string {
	if math.Abs(x) >= 1e9 {
		return digits(x, 3)
	}
	if system == US {
		return strconv.FormatFloat(math.Round(x)+0, 'f', -1, 64)
	}
	return strconv.FormatFloat(math.Round(x*10)/10+0, 'f', -1, 64)
}

// showIn picks the unit of a kind by size: the one in which the number is easy to say.
func showIn(kind Kind, value float64, system System) string {
	a := math.Abs(value)
	us := system == US
	pick := func(metric, american string) string {
		if us {
			return american
		}
		return metric
	}
	switch kind {
	case KindLength:
		switch {
		case us && a < 10*0.3048:
			return "in"
		case us:
			return "ft"
		case a < 0.02: // panes and stems are spoken of in mm, tanks in cm
			return "mm"
		case a < 10:
			return "cm"
		}
		return "m"
	case KindArea:
		if !us && a < 0.1 {
			return "cm2"
		}
		return pick("m2", "ft2")
	case KindVolume:
		switch {
		case us && a < litresPerGallon/4000:
			return "fl oz"
		case us:
			return "gal"
		case a < 1e-3:
			return "ml"
		}
		return "l"
	case KindMass:
		switch {
		case a < 1e-3:
			return "mg"
		case us && a >= kgPerPound:
			return "lb"
		case us && a >= kgPerPound/16: // salts and food are weighed in grams everywhere
			return "oz"
		case a < 1:
			return "g"
		}
		return "kg"
	case KindFlow:
		if us {
			return "gal/h"
		}
		if a < 0.1/3.6e6 {
			return "ml/h"
		}
		return "l/h"
	case KindMassRate:
		if a < 0.1e-3/secondsPerDay {
			return "mg/day"
		}
		return "g/day"
	case KindTemperature:
		return pick("°c", "°f")
	case KindConcentration:
		if a < 0.01 && a > 0 {
			return "ug/l"
		}
		return "mg/l"
	case KindPower:
		if a >= 10000 {
			return "kw"
		}
		return "w"
	case KindDuration:
		switch {
		case a < 120:
			return "s"
		case a < 2*3600:
			return "min"
		case a < 2*secondsPerDay:
			return "h"
		case a < 2*daysPerYear*secondsPerDay:
			return "days"
		}
		return "years"
	case KindPressure:
		switch {
		case us:
			return "psf"
		case a < 100:
			return "pa"
		}
		return "kn/m2"
	case KindDensity:
		return pick("kg/m3", "lb/ft3")
	case KindAttenuation:
		return pick("1/m", "1/ft")
	}
	return tables[kind].metric
}

// join puts the unit behind the number; the degree of an angle and the marks of feet stand close.
func join(number, unit string) string {
	if unit == "°" {
		return number + unit
	}
	return number + " " + unit
}

// digits writes a number with so many significant digits, without zeros behind the point, and never rounds whole digits
// away. Very large and very small numbers are written with a power of ten.
func digits(x float64, figures int) string {
	a := math.Abs(x)
	switch {
	case x == 0:
		return "0"
	case a < 1e-4 || a >= 1e9:
		return strconv.FormatFloat(x, 'g', figures, 64)
	}
	places := max(0, figures-1-int(math.Floor(math.Log10(a))))
	s := strconv.FormatFloat(x, 'f', places, 64)
	if places > 0 {
		for s[len(s)-1] == '0' {
			s = s[:len(s)-1]
		}
		if s[len(s)-1] == '.' {
			s = s[:len(s)-1]
		}
	}
	if s == "-0" {
		return "0"
	}
	return s
}

// FormatDay names a day as the trade does: "day 21" in the first four weeks, then "week 8", from half a year "month 12",
// from two years "year 3" to a tenth. The name is rounded; where the very day matters, write the number of the day.
func FormatDay(day Day) string {
	d := float64(day)
	switch a := math.Abs(d); {
	case math.IsNaN(d) || math.IsInf(d, 0):
		return "not known"
	case a < 28:
		return "day " + digits(math.Round(d), 6)
	case a < 26*7:
		return "week " + digits(math.Round(d/7), 6)
	case a < 2*daysPerYear-daysPerMonth/2:
		return "month " + digits(math.Round(d/daysPerMonth), 6)
	}
	return "year " + digits(math.Round(10*d/daysPerYear)/10, 6)
}

func formatClock(seconds float64, system System) string {
	m := int(math.Round(min(max(seconds, 0), secondsPerDay) / 60))
	h, m := m/60, m%60
	two := func(n int) string { return string([]byte{'0' + byte(n/10), '0' + byte(n%10)}) }
	if system != US || h == 24 {
		return two(h) + ":" + two(m)
	}
	half := " am"
	if h >= 12 {
		half = " pm"
	}
	return strconv.Itoa((h+11)%12+1) + ":" + two(m) + half
}

// The methods below show a value as Format does, in metric or US units.

// In shows a length: "60 cm" or "23.6 in".
func (v Length) In(s System) string { return Format(KindLength, float64(v), s) }

// In shows an area: "2.16 m²" or "23.3 ft²".
func (v Area) In(s System) string { return Format(KindArea, float64(v), s) }

// In shows a volume: "1164 L" or "307 gal".
func (v Volume) In(s System) string { return Format(KindVolume, float64(v), s) }

// In shows a mass: "6 g", "1.2 kg" or "2.65 lb".
func (v Mass) In(s System) string { return Format(KindMass, float64(v), s) }

// In shows a flow: "5000 L/h" or "1321 gal/h".
func (v Flow) In(s System) string { return Format(KindFlow, float64(v), s) }

// In shows a rate of feed or dose: "0.5 g/day".
func (v MassRate) In(s System) string { return Format(KindMassRate, float64(v), s) }

// In shows a temperature: "24 °C" or "75 °F".
func (v Celsius) In(s System) string { return Format(KindTemperature, float64(v), s) }

// In shows a concentration: "18 mg/L", the same in both systems.
func (v Concentration) In(s System) string { return Format(KindConcentration, float64(v), s) }

// In shows an alkalinity: "7 dKH", the same in both systems.
func (v Alkalinity) In(s System) string { return Format(KindAlkalinity, float64(v), s) }

// In shows a total hardness: "12 dGH", the same in both systems.
func (v Hardness) In(s System) string { return Format(KindHardness, float64(v), s) }

// In shows a light intensity: "60 µmol/m²/s", the same in both systems.
func (v PPFD) In(s System) string { return Format(KindPPFD, float64(v), s) }

// In shows a photon flux: "180 µmol/s", the same in both systems.
func (v PhotonFlux) In(s System) string { return Format(KindPhotonFlux, float64(v), s) }

// In shows a power: "600 W", the same in both systems.
func (v Power) In(s System) string { return Format(KindPower, float64(v), s) }

// In shows an angle: "30°", the same in both systems.
func (v Angle) In(s System) string { return Format(KindAngle, float64(v), s) }

// In shows a share: "45 %", the same in both systems.
func (v Fraction) In(s System) string { return Format(KindFraction, float64(v), s) }

// In shows a duration: "30 min", the same in both systems.
func (v Duration) In(s System) string { return Format(KindDuration, float64(v), s) }

// In shows a load: "5 kN/m²" or "104 psf".
func (v Pressure) In(s System) string { return Format(KindPressure, float64(v), s) }

// In shows a density: "2700 kg/m³" or "169 lb/ft³".
func (v Density) In(s System) string { return Format(KindDensity, float64(v), s) }

// In shows an attenuation: "0.4 m⁻¹" or "0.122 ft⁻¹".
func (v Attenuation) In(s System) string { return Format(KindAttenuation, float64(v), s) }

// In shows a time of day: "21:30" or "9:30 pm".
func (v Clock) In(s System) string { return Format(KindClock, float64(v), s) }

// In names a day of the plan as FormatDay does, the same in both systems.
func (v Day) In(s System) string { return Format(KindDay, float64(v), s) }
