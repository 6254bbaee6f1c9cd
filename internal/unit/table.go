package unit

import "strings"

// scale is one unit of one kind: inner value = (written − zero) · mul / div. Two factors rather than one keep
// 35 cm equal to the literal 0.35.
type scale struct {
	name     string // as shown to people
	mul, div float64
	zero     float64  // where the scale has its zero (temperatures only)
	spelled  []string // as unitKey gives them
}

// kindTable holds the units of one kind. The tables are filled once, below, and never written again.
type kindTable struct {
	noun     string // with its article, as in "a length"
	listed   string // the units named in error texts
	min, max float64
	minName  string // what the lower bound is, for the error text
	example  float64
	metric   string // spelling of the unit in which a cure is given
	us       string // and in US units; empty when the trade uses one unit everywhere
	units    []scale
	byKey    map[string]*scale
}

// Exact factors. Source: NIST SP 811 (2008), appendix B, from memory: the inch, the US gallon of 231 cubic inches, the
// avoirdupois pound and the standard gravity are exact by definition; the imperial gallon is 4.54609 L exactly.
const (
	metresPerInch    = 0.0254
	litresPerGallon  = 3.785411784
	litresPerImpGal  = 4.54609
	kgPerPound       = 0.45359237
	kgPerGrain       = 64.79891e-6
	standardGravity  = 9.80665 // m/s²
	daysPerMonth     = 30.4375 // a twelfth of the Julian year
	daysPerYear      = 365.25  // Julian year
	cubicFoot        = 0.028316846592
	squareFoot       = 0.09290304
	secondsPerDay    = 86400.0
	piOver180        = 3.14159265358979323846 / 180
	huge             = 1e15 // no quantity of a tank comes near; keeps every later product finite
	absoluteZero     = -273.15
	poundPerSquareFt = kgPerPound * standardGravity / squareFoot // Pa
	poundPerSquareIn = poundPerSquareFt * 144                    // Pa
	gpgCaCO3         = kgPerGrain * 1e6 / litresPerGallon        // mg/L in 1 US grain per gallon, 17.118
	clarkCaCO3       = kgPerGrain * 1e6 / litresPerImpGal        // mg/L in 1 °Clark (grain per imperial gallon), 14.254
	frenchCaCO3      = 10.0                                      // mg/L in 1 °fH
	longestDayOfPlan = 36525.0                                   // a century
)

// order fixes in which order kinds are asked whose unit a foreign unit is.
var order = []Kind{
	KindLength, KindArea, KindVolume, KindMass, KindFlow, KindMassRate, KindTemperature, KindConcentration, KindAlkalinity,
	KindHardness, KindPPFD, KindPhotonFlux, KindPower, KindAngle, KindFraction, KindDuration, KindPressure, KindDensity,
	KindAttenuation,
}

func u(name string, mul, div float64, spelled ...string) scale {
	return scale{name: name, mul: mul, div: div, spelled: spelled}
}

var tables = index(map[Kind]*kindTable{
	KindLength: {noun: "a length", listed: "mm, cm, m, in or ft", min: -huge, max: huge, example: 3, metric: "cm", us: "in", units: []scale{
		u("mm", 1, 1000, "mm", "millimetre", "millimetres", "millimeter", "millimeters"),
		u("cm", 1, 100, "cm", "centimetre", "centimetres", "centimeter", "centimeters"),
		u("m", 1, 1, "m", "metre", "metres", "meter", "meters"),
		u("in", 254, 10000, "in", "inch", "inches", `"`, "''"),
		u("ft", 3048, 10000, "ft", "foot", "feet", "'"),
	}},
	KindArea: {noun: "an area", listed: "cm², m², in² or ft²", max: huge, example: 2, metric: "m2", us: "ft2", units: []scale{
		u("mm²", 1, 1e6, "mm2", "sq mm"),
		u("cm²", 1, 1e4, "cm2", "sq cm", "square centimetres", "square centimeters"),
		u("m²", 1, 1, "m2", "sq m", "sqm", "square metres", "square meters"),
		u("in²", 254*254, 1e8, "in2", "sq in", "square inches"),
		u("ft²", 3048*3048, 1e8, "ft2", "sq ft", "sqft", "square feet"),
	}},
	KindVolume: {noun: "a volume", listed: "mL, L, m³, gal, imp gal, fl oz or ft³", max: huge, example: 20, metric: "l", us: "gal", units: []scale{
		u("mL", 1, 1e6, "ml", "cm3", "cc", "millilitre", "millilitres", "milliliter", "milliliters"),
		u("L", 1, 1000, "l", "litre", "litres", "liter", "liters", "dm3", "ltr"),
		u("m³", 1, 1, "m3", "cubic metre", "cubic metres", "cubic meter", "cubic meters"),
		u("gal", litresPerGallon, 1000, "gal", "gals", "gallon", "gallons", "us gal", "us gallon", "us gallons"),
		u("imp gal", litresPerImpGal, 1000, "imp gal", "imp gallon", "imp gallons", "imperial gallon", "imperial gallons", "uk gal", "uk gallon", "uk gallons"),
		u("qt", litresPerGallon, 4000, "qt", "quart", "quarts"),
		u("fl oz", litresPerGallon, 128000, "fl oz", "floz", "fluid ounce", "fluid ounces", "us fl oz"),
		u("in³", 254*254*254, 1e12, "in3", "cu in", "cubic inch", "cubic inches"),
		u("ft³", cubicFoot, 1, "ft3", "cu ft", "cuft", "cubic foot", "cubic feet"),
	}},
	KindMass: {noun: "a mass", listed: "mg, g, kg, oz or lb", max: huge, example: 6, metric: "g", us: "oz", units: []scale{
		u("µg", 1, 1e9, "ug", "microgram", "micrograms"),
		u("mg", 1, 1e6, "mg", "milligram", "milligrams"),
		u("g", 1, 1000, "g", "gram", "grams", "gramme", "grammes"),
		u("kg", 1, 1, "kg", "kilo", "kilos", "kilogram", "kilograms"),
		u("t", 1000, 1, "t", "tonne", "tonnes"),
		u("oz", kgPerPound, 16, "oz", "ounce", "ounces"),
		u("lb", kgPerPound, 1, "lb", "lbs", "pound", "pounds"),
	}},
	KindFlow: {noun: "a flow", listed: "L/h, L/min, m³/h, gal/h or gal/min", max: huge, example: 1200, metric: "l/h", us: "gal/h", units: []scale{
		u("L/h", 1, 3.6e6, "l/h", "lph", "l/hr", "l/hour", "litres/hour", "liters/hour", "litre/hour", "liter/hour", "l h-1"),
		u("L/min", 1, 6e4, "l/min", "lpm", "litres/minute", "liters/minute", "litre/minute", "liter/minute", "l min-1"),
		u("L/s", 1, 1000, "l/s", "l s-1"),
		u("m³/h", 1, 3600, "m3/h", "m3/hr", "m3 h-1"),
		u("mL/h", 1, 3.6e9, "ml/h", "ml/hr"),
		u("mL/min", 1, 6e7, "ml/min"),
		u("L/day", 1, 1000*secondsPerDay, "l/day", "l/d", "litres/day", "liters/day"),
		u("mL/day", 1, 1e6*secondsPerDay, "ml/day", "ml/d"),
		u("gal/h", litresPerGallon, 3.6e6, "gal/h", "gph", "gal/hr", "gal/hour", "gallons/hour", "us gal/h"),
		u("gal/min", litresPerGallon, 6e4, "gal/min", "gpm", "gallons/minute"),
		u("gal/day", litresPerGallon, 1000*secondsPerDay, "gal/day", "gpd", "gallons/day"),
	}},
	KindMassRate: {noun: "a rate of feed or dose", listed: "mg/day, g/day, g/week or kg/day", max: huge, example: 0.5, metric: "g/day", units: rates()},
	KindTemperature: {noun: "a temperature", listed: "°C, °F or K", min: absoluteZero, minName: "absolute zero", max: huge, example: 24, metric: "°c", us: "°f", units: []scale{
		u("°C", 1, 1, "°c", "c", "deg c", "degc", "celsius", "degrees c", "degrees celsius"),
		{name: "°F", mul: 5, div: 9, zero: 32, spelled: []string{"°f", "f", "deg f", "degf", "fahrenheit", "degrees f", "degrees fahrenheit"}},
		{name: "K", mul: 1, div: 1, zero: -absoluteZero, spelled: []string{"k", "kelvin", "°k"}},
	}},
	KindConcentration: {noun: "a concentration", listed: "mg/L, ppm, g/m³, µg/L, mmol/L or µmol/L", max: huge, example: 18, metric: "mg/l", units: []scale{
		u("mg/L", 1, 1, "mg/l", "mg l-1", "mg/litre", "mg/liter"),
		u("ppm", 1, 1, "ppm"),
		u("g/m³", 1, 1, "g/m3", "g m-3"),
		u("µg/L", 1, 1000, "ug/l", "ug l-1", "mg/m3"),
		u("ppb", 1, 1000, "ppb"),
		u("g/L", 1000, 1, "g/l"),
		u("mmol/L", 1, 1, "mmol/l", "mmol l-1", "mol/m3"), // counted in mmol/L until the molar mass is known
		u("µmol/L", 1, 1000, "umol/l", "umol l-1", "mmol/m3"),
	}},
	KindAlkalinity: {noun: "an alkalinity", listed: "dKH, meq/L, mmol/L, mg/L CaCO3, °fH, °Clark or gpg", max: huge, example: 7, metric: "dkh", units: []scale{
		u("dKH", 20, molCaO, "dkh", "°dkh", "kh", "°kh", "dh", "°dh"),
		u("meq/L", 1, 1, "meq/l", "mval/l", "meq l-1"),
		u("mmol/L", 1, 1, "mmol/l", "mmol/l hco3", "mmol hco3/l", "mmol l-1"),
		u("mg/L CaCO3", 2, molCaCO3, caco3("mg/l", "ppm", "g/m3")...),
		u("mg/L HCO3", 1, molHCO3, "mg/l hco3", "mg/l hco3-", "mg/l as hco3", "mg hco3/l", "ppm hco3", "ppm as hco3", "mg/l bicarbonate"),
		u("°fH", 2*frenchCaCO3, molCaCO3, "fh", "°fh"),
		u("°Clark", 2*clarkCaCO3, molCaCO3, "clark", "°clark"),
		u("gpg", 2*gpgCaCO3, molCaCO3, "gpg", "grains/gal", "gr/gal", "grains/gallon", "grain/gal"),
	}},
	KindHardness: {noun: "a hardness", listed: "dGH, mmol/L, mg/L CaCO3, °fH, °Clark or gpg", max: huge, example: 12, metric: "dgh", units: []scale{
		u("dGH", 10, molCaO, "dgh", "°dgh", "gh", "°gh", "dh", "°dh"),
		u("mmol/L", 1, 1, "mmol/l", "mmol l-1"),
		u("meq/L", 1, 2, "meq/l", "mval/l", "meq l-1"),
		u("mg/L CaCO3", 1, molCaCO3, caco3("mg/l", "ppm", "g/m3")...),
		u("°fH", frenchCaCO3, molCaCO3, "fh", "°fh"),
		u("°Clark", clarkCaCO3, molCaCO3, "clark", "°clark"),
		u("gpg", gpgCaCO3, molCaCO3, "gpg", "grains/gal", "gr/gal", "grains/gallon", "grain/gal"),
	}},
	KindPPFD: {noun: "a light intensity", listed: "µmol/m²/s", max: huge, example: 60, metric: "umol/m2/s", units: []scale{
		u("µmol/m²/s", 1, 1, "umol/m2/s", "umol m-2 s-1", "umol/m2 s", "umol/m2s", "umol m-2s-1", "umol/s/m2", "umol/m2 s-1", "umol s-1 m-2",
			"micromol/m2/s", "micromol m-2 s-1", "umols/m2/s", "umol photons/m2/s", "umol photons m-2 s-1"),
	}},
	KindPhotonFlux: {noun: "a photon flux", listed: "µmol/s", max: huge, example: 180, metric: "umol/s", units: []scale{
		u("µmol/s", 1, 1, "umol/s", "umol s-1", "umols/s", "micromol/s", "umol photons/s"),
	}},
	KindPower: {noun: "a power", listed: "W or kW", max: huge, example: 600, metric: "w", units: []scale{
		u("W", 1, 1, "w", "watt", "watts"),
		u("kW", 1000, 1, "kw", "kilowatt", "kilowatts"),
	}},
	KindAngle: {noun: "an angle", listed: "° (or deg) or rad", min: -huge, max: huge, example: 30, metric: "°", units: []scale{
		u("°", piOver180, 1, "°", "deg", "degs", "degree", "degrees"),
		u("rad", 1, 1, "rad", "radian", "radians"),
	}},
	KindFraction: {noun: "a share", listed: "%", max: 1, example: 50, metric: "%", units: []scale{
		u("%", 1, 100, "%", "percent", "per cent", "pct"),
	}},
	KindDuration: {noun: "a duration", listed: "s, min, h, days, weeks, months or years", max: huge, example: 8, metric: "h", units: []scale{
		u("s", 1, 1, "s", "sec", "secs", "second", "seconds"),
		u("min", 60, 1, "min", "mins", "minute", "minutes"),
		u("h", 3600, 1, "h", "hr", "hrs", "hour", "hours"),
		u("days", secondsPerDay, 1, "days", "day", "d"),
		u("weeks", 7*secondsPerDay, 1, "weeks", "week", "wk", "wks"),
		u("months", daysPerMonth*secondsPerDay, 1, "months", "month", "mo"),
		u("years", daysPerYear*secondsPerDay, 1, "years", "year", "yr", "yrs", "a"),
	}},
	KindPressure: {noun: "a load", listed: "kN/m², kPa, Pa, kg/m² or psf", max: huge, example: 5, metric: "kn/m2", us: "psf", units: []scale{
		u("kN/m²", 1000, 1, "kn/m2", "kn m-2"),
		u("kPa", 1000, 1, "kpa"),
		u("Pa", 1, 1, "pa", "n/m2"),
		u("hPa", 100, 1, "hpa", "mbar"),
		u("MPa", 1e6, 1, "mpa", "n/mm2"),
		u("bar", 1e5, 1, "bar"),
		u("kg/m²", standardGravity, 1, "kg/m2"),
		u("psf", poundPerSquareFt, 1, "psf", "lb/ft2", "lbs/ft2", "lbf/ft2", "lb/sq ft", "lbs/sq ft", "pounds/square foot"),
		u("psi", poundPerSquareIn, 1, "psi", "lb/in2"),
	}},
	KindDensity: {noun: "a density", listed: "kg/m³, g/cm³, kg/L or lb/ft³", max: huge, example: 2700, metric: "kg/m3", us: "lb/ft3", units: []scale{
		u("kg/m³", 1, 1, "kg/m3", "kg m-3", "g/l"),
		u("g/cm³", 1000, 1, "g/cm3", "g/ml", "g/cc", "g cm-3"),
		u("kg/L", 1000, 1, "kg/l", "kg/dm3"),
		u("lb/ft³", kgPerPound, cubicFoot, "lb/ft3", "lbs/ft3", "pcf"),
	}},
	KindAttenuation: {noun: "an attenuation", listed: "m⁻¹ (also written 1/m) or ft⁻¹", max: huge, example: 0.4, metric: "1/m", units: []scale{
		u("m⁻¹", 1, 1, "1/m", "/m", "m-1", "per m", "per metre", "per meter"),
		u("cm⁻¹", 100, 1, "1/cm", "/cm", "cm-1", "per cm"),
		u("ft⁻¹", 10000, 3048, "1/ft", "/ft", "ft-1", "per ft"),
	}},
	KindClock: {noun: "a time of day", listed: `"09:30" or "9:30 pm"`},
	KindDay:   {noun: "a day of the plan", listed: "day, week, month or year"},
})

// caco3 spells "as calcium carbonate" behind the given bases in the ways water reports do.
func caco3(bases ...string) []string {
	var all []string
	for _, b := range bases {
		all = append(all, b+" caco3", b+" as caco3")
	}
	return append(all, "mg caco3/l")
}

// rates spells masses per day and week, which are the two rhythms of feeding and dosing.
func rates() []scale {
	var all []scale
	for _, m := range []struct {
		name, key string
		mul, div  float64
	}{{"mg", "mg", 1, 1e6}, {"g", "g", 1, 1000}, {"kg", "kg", 1, 1}, {"oz", "oz", kgPerPound, 16}} {
		all = append(all,
			u(m.name+"/day", m.mul, m.div*secondsPerDay, m.key+"/day", m.key+"/d", m.key+" a day", m.key+" daily", m.key+" d-1"),
			u(m.name+"/week", m.mul, m.div*7*secondsPerDay, m.key+"/week", m.key+"/wk", m.key+" a week", m.key+" weekly"))
	}
	return all
}

func index(all map[Kind]*kindTable) map[Kind]*kindTable {
	for _, t := range all {
		t.byKey = make(map[string]*scale, 8*len(t.units))
		for i := range t.units {
			for _, k := range t.units[i].spelled {
				t.byKey[k] = &t.units[i]
			}
		}
	}
	return all
}

func (s *scale) inner(x float64) float64 { return (x - s.zero) * s.mul / s.div }
func (s *scale) outer(v float64) float64 { return v*s.div/s.mul + s.zero }

// unitKey brings a unit, already canonical, to the spelling of the tables: lower case, no carets, dots or brackets, one
// space for a product sign, "/" for "per" between words.
func unitKey(s string) string {
	plain := true
	for i := 0; i < len(s); i++ {
		if c := s[i]; c >= 'A' && c <= 'Z' || c == '^' || c == '.' || c == ' ' || c == '(' || c >= 0x80 {
			plain = false
			break
		}
	}
	if plain {
		return s
	}
	s = strings.ToLower(s)
	s = strings.NewReplacer("^", "", ".", "", "·", " ", "(", " ", ")", " ", " per ", "/").Replace(s)
	s = strings.Join(strings.Fields(s), " ")
	s = strings.ReplaceAll(s, " /", "/")
	s = strings.ReplaceAll(s, "/ ", "/")
	return strings.ReplaceAll(s, "° ", "°")
}
