package unit

import (
	"littoral/internal/words"
	"math"
	"strings"
)

// Parse reads a quantity with its unit, such as "240 cm", "94.5 in", "7 dKH" or "09:30", and returns it in the inner unit
// of its kind (see the types of this package). A decimal comma is accepted where it cannot be a thousands separator.
// Errors are of type *Error: a number without a unit, a unit of another kind, an unknown unit, a number that is not
// finite, or a value below or above what the kind can hold. The result is always finite.
func Parse(kind Kind, text string) (float64, error) {
	v, err := parse(kind, text)
	if err != nil {
		return 0, err
	}
	return v, nil
}

func parse(kind Kind, text string) (float64, *Error) {
	t, ok := tables[kind]
	if !ok {
		return 0, &Error{Text: text, Kind: kind, Reason: quote(string(kind)) + " is not a kind of quantity"}
	}
	if err := checkText(kind, text); err != nil {
		return 0, err
	}
	switch kind {
	case KindClock:
		return parseClock(text)
	case KindDay:
		return parseDay(text)
	case KindConcentration:
		return parseConcentration(text, "")
	}
	x, rest, err := scanQuantity(kind, t, text)
	if err != nil {
		return 0, err
	}
	if s, ok := t.byKey[unitKey(rest)]; ok {
		return inRange(kind, text, s.inner(x))
	}
	if v, ok := compound(t, x, rest); ok {
		return inRange(kind, text, v)
	}
	return 0, badUnit(kind, t, text, rest)
}

// checkText refuses empty and overlong texts before anything looks at them.
func checkText(kind Kind, text string) *Error {
	if len(text) > maxText {
		return &Error{Text: text, Kind: kind, Reason: quote(text) + " is too long to be a quantity", Cure: example(kind)}
	}
	if strings.TrimSpace(text) == "" {
		return &Error{Text: text, Kind: kind, Reason: "the value is empty", Cure: example(kind)}
	}
	return nil
}

// scanQuantity reads the number and refuses what may stand between a number and its unit: nothing at all, a range, a
// fraction, a second number.
func scanQuantity(kind Kind, t *kindTable, text string) (float64, string, *Error) {
	x, rest, err := scanNumber(kind, text, canonical(text))
	if err != nil {
		return 0, "", err
	}
	switch {
	case rest == "":
		return 0, "", noUnit(kind, t, text, x)
	case rest[0] == '^':
		return 0, "", &Error{text, kind, quote(text) + " has a raised digit behind the number", "write the number out, for example 1000"}
	case rest[0] == '-' || strings.HasPrefix(rest, "–") || strings.HasPrefix(rest, "to ") || strings.HasPrefix(rest, "..") || strings.HasPrefix(rest, "…"):
		return 0, "", &Error{text, kind, quote(text) + " is a range", "write one number and its unit"}
	case len(rest) > 1 && rest[0] == '/' && digit(rest[1]):
		return 0, "", fraction(kind, text, 0, x, rest[1:])
	case digit(rest[0]) && !strings.HasPrefix(rest, "1/"):
		if y, tail, err := scanNumber(kind, text, rest); err == nil && len(tail) > 1 && tail[0] == '/' && digit(tail[1]) {
			return 0, "", fraction(kind, text, x, y, tail[1:])
		}
		return 0, "", &Error{text, kind, quote(text) + " holds two numbers", "write one number and its unit"}
	case strings.HasPrefix(rest, "1/") && len(rest) > 2 && digit(rest[2]):
		return 0, "", fraction(kind, text, x, 1, rest[2:])
	}
	return x, rest, nil
}

// fraction explains "1/3" and "12 1/2 in" and gives the decimal number.
func fraction(kind Kind, text string, whole, num float64, rest string) *Error {
	e := &Error{text, kind, quote(text) + " is written as a fraction", "write a decimal number and its unit"}
	den, unit, err := scanNumber(kind, text, rest)
	if err != nil || den <= 0 || whole < 0 {
		return e
	}
	v := whole + num/den
	switch {
	case kind == KindFraction && unit == "":
		e.Cure = "write " + digits(100*v, 3) + " %"
	case unit != "" && !digit(unit[0]):
		e.Cure = "write " + digits(v, 4) + " " + unit
	}
	return e
}

// compounds are the pairs in which people write one quantity: 3 ft 6 in, 8 h 30 min, 2 lb 4 oz.
var compounds = map[string]string{"ft": "in", "h": "min", "min": "s", "lb": "oz"}

func compound(t *kindTable, x float64, rest string) (float64, bool) {
	i := strings.IndexAny(rest, "0123456789")
	if i < 1 || x < 0 || x != math.Trunc(x) {
		return 0, false
	}
	big, ok := t.byKey[unitKey(strings.TrimRight(rest[:i], " "))]
	if !ok || compounds[big.name] == "" {
		return 0, false
	}
	y, tail, err := scanNumber("", rest, rest[i:])
	if err != nil || y < 0 {
		return 0, false
	}
	small, ok := t.byKey[unitKey(tail)]
	if !ok || small.name != compounds[big.name] || small.inner(y) >= big.inner(1) {
		return 0, false
	}
	return big.inner(x) + small.inner(y), true
}

// unfinished tells whether a unit is followed by a bare number, as in 3 ft 6.
func unfinished(t *kindTable, rest string) (big, number string, ok bool) {
	i := strings.IndexAny(rest, "0123456789")
	if i < 1 || strings.Trim(rest[i:], "0123456789.") != "" {
		return "", "", false
	}
	s, ok := t.byKey[unitKey(strings.TrimRight(rest[:i], " "))]
	if !ok || compounds[s.name] == "" {
		return "", "", false
	}
	return s.name, rest[i:], true
}

// inRange refuses values that the kind cannot hold.
func inRange(kind Kind, text string, v float64) (float64, *Error) {
	t := tables[kind]
	switch {
	case math.IsNaN(v) || math.IsInf(v, 0) || math.Abs(v) > huge:
		return 0, &Error{text, kind, quote(text) + " is too large a number", "write an ordinary number and its unit"}
	case v < t.min && t.minName != "":
		return 0, &Error{text, kind, quote(text) + " is below " + t.minName, example(kind)}
	case v < t.min:
		return 0, &Error{text, kind, t.noun + " cannot be negative, as in " + quote(text), example(kind)}
	case v > t.max && kind == KindFraction:
		return 0, &Error{text, kind, quote(text) + " is more than the whole", "write a share between 0 % and 100 %"}
	}
	return v + 0, nil // + 0 turns a negative zero into zero
}

// example is the cure for a text that does not tell what was meant.
func example(kind Kind) string {
	switch kind {
	case KindClock:
		return `a time of day is written "09:30" or "9:30 pm"`
	case KindDay:
		return "a day of the plan is written for example day 21, week 3, month 9 or year 1"
	}
	t, ok := tables[kind]
	if !ok {
		return "write a number and its unit, for example 3 cm"
	}
	return written(t) + ", for example " + both(t, t.example)
}

func written(t *kindTable) string { return t.noun + " is written in " + t.listed }

// both gives a number in the metric unit of the kind, and the same in the US unit where there is one: "3 cm or 1.2 in".
func both(t *kindTable, x float64) string {
	s := t.byKey[t.metric]
	out := join(digits(x, 4), s.name)
	if t.us != "" {
		us := t.byKey[t.us]
		out += " or " + join(digits(us.outer(s.inner(x)), 2), us.name)
	}
	return out
}

// noUnit is the error for a bare number. The cure repeats the number with a unit, so that it can be copied.
func noUnit(kind Kind, t *kindTable, text string, x float64) *Error {
	if kind == KindFraction && x > 0 && x <= 1 {
		x *= 100
	}
	if math.Abs(x) < 1e-3 || math.Abs(x) > 1e6 {
		x = t.example
	}
	if v := t.byKey[t.metric].inner(x); v < t.min || v > t.max {
		x = t.example
	}
	return &Error{text, kind, quote(strings.TrimSpace(text)) + " has no unit", written(t) + ", for example " + both(t, x)}
}

// badUnit explains a unit that the kind does not have: brightness for the eye, a substance not named, a unit of another
// kind, or one that nobody knows.
func badUnit(kind Kind, t *kindTable, text, rest string) *Error {
	key := unitKey(rest)
	e := &Error{Text: text, Kind: kind}
	if kind == KindPPFD || kind == KindPhotonFlux {
		brightness := ""
		switch key {
		case "lux", "lx", "klx", "klux":
			brightness = "lux"
		case "lm", "lumen", "lumens", "klm":
			brightness = "lumens"
		}
		if brightness != "" {
			e.Reason = quote(text) + " tells how bright the light looks, not how many photons plants get; the two differ with the lamp's spectrum"
			e.Cure = "write " + t.listed + " from a quantum meter or the lamp's data sheet, or convert the " + brightness + " with a stated spectrum (lux per µmol/m²/s)"
			return e
		}
	}
	if kind == KindAlkalinity || kind == KindHardness {
		if s, ok := tables[KindConcentration].byKey[key]; ok && s.name != "mmol/L" {
			e.Reason = quote(text) + " does not say of what"
			e.Cure = "write " + s.name + " CaCO3 if it is counted as calcium carbonate"
			return e
		}
	}
	if big, num, ok := unfinished(t, rest); ok {
		e.Reason = quote(text) + " has a second number without a unit"
		e.Cure = "write " + strings.TrimSuffix(canonical(text), rest) + " " + big + " " + num + " " + compounds[big]
		e.Cure = strings.ReplaceAll(e.Cure, "  ", " ")
		return e
	}
	for _, other := range order {
		if other == kind {
			continue
		}
		if s, ok := tables[other].byKey[key]; ok {
			e.Reason = s.name + " is the unit of " + tables[other].noun + ", not of " + t.noun
			e.Cure = example(kind)
			return e
		}
	}
	e.Reason = quote(rest) + " is not a unit that is known here"
	e.Cure = example(kind)
	if near := nearest(t, key); near != "" {
		e.Cure = "perhaps " + near + " was meant; " + e.Cure
	}
	return e
}

// nearest finds the unit of the table whose spelling is closest to key: at most one slip in short words, two in long ones.
func nearest(t *kindTable, key string) string {
	if len(key) == 0 || len(key) > 20 {
		return ""
	}
	best, found := 6, ""
	for i := range t.units {
		for _, s := range t.units[i].spelled {
			limit := 1
			if len(s) > 4 {
				limit = 2
			}
			if len(s) == 1 && len(key) > 1 {
				limit = 0
			}
			d := words.Edits([]rune(key), []rune(s), limit)
			if d > limit || d >= len(s) {
				continue
			}
			closeness := 2*d + 1
			if key[0] == s[0] { // the first letter is seldom the wrong one
				closeness--
			}
			if closeness < best {
				best, found = closeness, t.units[i].name
			}
		}
	}
	return found
}

// typed reads a quantity of a kind into its type.
func typed[T ~float64](kind Kind, text string) (T, error) {
	v, err := Parse(kind, text)
	return T(v), err
}

// ParseLength reads a length: "3 cm", "1.2 in", "3 ft 6 in". Negative lengths are allowed, as positions.
func ParseLength(text string) (Length, error) { return typed[Length](KindLength, text) }

// ParseArea reads an area: "2.1 m²", "6 ft²".
func ParseArea(text string) (Area, error) { return typed[Area](KindArea, text) }

// ParseVolume reads a volume: "1300 L", "343 gal" (US gallons), "50 imp gal".
func ParseVolume(text string) (Volume, error) { return typed[Volume](KindVolume, text) }

// ParseMass reads a mass: "6 g", "2 lb 4 oz".
func ParseMass(text string) (Mass, error) { return typed[Mass](KindMass, text) }

// ParseFlow reads a flow: "5000 L/h", "400 gph".
func ParseFlow(text string) (Flow, error) { return typed[Flow](KindFlow, text) }

// ParseMassRate reads a rate of feed or dose: "0.5 g/day", "6 g/week".
func ParseMassRate(text string) (MassRate, error) { return typed[MassRate](KindMassRate, text) }

// ParseTemperature reads a temperature: "24 °C", "75 °F", "297 K".
func ParseTemperature(text string) (Celsius, error) { return typed[Celsius](KindTemperature, text) }

// ParseAlkalinity reads an alkalinity: "7 dKH", "2.5 meq/L", "125 mg/L CaCO3".
func ParseAlkalinity(text string) (Alkalinity, error) {
	return typed[Alkalinity](KindAlkalinity, text)
}

// ParseHardness reads a total hardness: "12 dGH", "2.1 mmol/L", "214 ppm CaCO3".
func ParseHardness(text string) (Hardness, error) { return typed[Hardness](KindHardness, text) }

// ParsePPFD reads a light intensity: "60 µmol/m²/s". Lux is refused, see LuxToPPFD.
func ParsePPFD(text string) (PPFD, error) { return typed[PPFD](KindPPFD, text) }

// ParsePhotonFlux reads a lamp's photon flux: "180 µmol/s". Lumens are refused, see LumensToPhotonFlux.
func ParsePhotonFlux(text string) (PhotonFlux, error) {
	return typed[PhotonFlux](KindPhotonFlux, text)
}

// ParsePower reads a power: "600 W", "1.2 kW".
func ParsePower(text string) (Power, error) { return typed[Power](KindPower, text) }

// ParseAngle reads an angle: "30°", "0.5 rad". Negative angles are allowed.
func ParseAngle(text string) (Angle, error) { return typed[Angle](KindAngle, text) }

// ParseFraction reads a share between 0 % and 100 %: "45 %" is 0.45.
func ParseFraction(text string) (Fraction, error) { return typed[Fraction](KindFraction, text) }

// ParseDuration reads a duration: "30 min", "8 h 30 min", "2 days"; a month is 30.4375 and a year 365.25 days.
func ParseDuration(text string) (Duration, error) { return typed[Duration](KindDuration, text) }

// ParsePressure reads a load or pressure: "5 kN/m²", "100 psf", "500 kg/m²".
func ParsePressure(text string) (Pressure, error) { return typed[Pressure](KindPressure, text) }

// ParseDensity reads a density: "2700 kg/m³", "2.7 g/cm³".
func ParseDensity(text string) (Density, error) { return typed[Density](KindDensity, text) }

// ParseAttenuation reads a light attenuation: "0.4 1/m", "0.4 m⁻¹".
func ParseAttenuation(text string) (Attenuation, error) {
	return typed[Attenuation](KindAttenuation, text)
}

// ParseClock reads a time of day: "09:30", "9:30 pm", "24:00" for the end of the day. The result is 0 to 86400 s.
func ParseClock(text string) (Clock, error) { return typed[Clock](KindClock, text) }

// ParseDay reads a day of the plan: "day 21", "week 3" (day 21), "month 9" (day 273.94), "year 1" (day 365.25). Days
// before planting are negative: "week -12".
func ParseDay(text string) (Day, error) { return typed[Day](KindDay, text) }

// ParseSize reads the two sides of a face: "55x20 cm", "55 cm x 20 cm", "21.7 × 7.9 in". Both are above zero; a side
// without a unit takes the unit of the other.
func ParseSize(text string) ([2]Length, error) {
	bad := &Error{Text: text, Kind: KindLength, Reason: quote(text) + " is not a size", Cure: "a size is written as two lengths, for example 55x20 cm"}
	if err := checkText(KindLength, text); err != nil {
		err.Cure = bad.Cure
		return [2]Length{}, err
	}
	s := strings.ReplaceAll(strings.ReplaceAll(canonical(text), " by ", "x"), "X", "x")
	parts := strings.Split(s, "x")
	if len(parts) != 2 {
		return [2]Length{}, bad
	}
	second := strings.TrimSpace(parts[1])
	first := strings.TrimSpace(parts[0])
	if _, rest, err := scanNumber(KindLength, text, first); err == nil && rest == "" {
		if _, unit, err := scanNumber(KindLength, text, second); err == nil {
			first += " " + unit
		}
	}
	var size [2]Length
	for i, part := range []string{first, second} {
		v, err := parse(KindLength, part)
		if err != nil {
			err.Text = text
			return [2]Length{}, err
		}
		if v <= 0 {
			return [2]Length{}, &Error{text, KindLength, quote(text) + " has a side that is not above zero", bad.Cure}
		}
		size[i] = Length(v)
	}
	return size, nil
}

// Describe says how a kind of quantity is written, for help texts and schemas: "a length is written in mm, cm, m, in or ft,
// for example 3 cm or 1.2 in".
func Describe(kind Kind) string { return example(kind) }
