package tongue

import (
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// conversion takes a quantity of one unit to another: to = from × by + plus.
type conversion struct {
	to       string
	by, plus float64
}

// Factors of the International yard and pound agreement of 1959 and the US liquid gallon, as in NIST SP 811, appendix B.
const (
	inCM   = 2.54
	ftM    = 0.3048
	galL   = 3.785411784
	lbKG   = 0.45359237
	lbfKN  = 0.0044482216152605
	psfKNM = lbfKN / (ftM * ftM)
)

// toUS are the units of sentences that a US reader has otherwise. Concentrations, hardness, light, power, and the grams and millilitres that are weighed and
// measured out keep the trade's one notation.
var toUS = map[string]conversion{
	"cm": {"in", 1 / inCM, 0}, "mm": {"in", 0.1 / inCM, 0}, "m": {"ft", 1 / ftM, 0},
	"cm²": {"in²", 1 / (inCM * inCM), 0}, "m²": {"ft²", 1 / (ftM * ftM), 0}, "m³": {"ft³", 1 / (ftM * ftM * ftM), 0},
	"L": {"gal", 1 / galL, 0}, "kg": {"lb", 1 / lbKG, 0}, "°C": {"°F", 1.8, 32}, "kN/m²": {"psf", 1 / psfKNM, 0}, "kg/m²": {"psf", ftM * ftM / lbKG, 0}, "kN": {"lbf", 1 / lbfKN, 0},
	"litre": {"gallon", 1 / galL, 0}, "litres": {"gallons", 1 / galL, 0}, "Liter": {"Gallonen", 1 / galL, 0}, "Litern": {"Gallonen", 1 / galL, 0},
	"centimetres": {"inches", 1 / inCM, 0}, "centimetre": {"inch", 1 / inCM, 0}, "Zentimeter": {"Zoll", 1 / inCM, 0}, "metres": {"feet", 1 / ftM, 0},
}

var toMetric = map[string]conversion{
	"in": {"cm", inCM, 0}, "ft": {"m", ftM, 0}, "in²": {"cm²", inCM * inCM, 0}, "ft²": {"m²", ftM * ftM, 0}, "ft³": {"m³", ftM * ftM * ftM, 0}, "gal": {"L", galL, 0}, "qt": {"L", galL / 4, 0},
	"lb": {"kg", lbKG, 0}, "oz": {"g", 1000 * lbKG / 16, 0}, "°F": {"°C", 1 / 1.8, -32 / 1.8}, "psf": {"kN/m²", psfKNM, 0}, "lb/ft²": {"kg/m²", lbKG / (ftM * ftM), 0}, "lbf": {"kN", lbfKN, 0},
}

// inGerman are units whose sign would be read as a word.
var inGerman = map[string]string{"in": "Zoll", "ft": "Fuß"}

// inch tells by what follows whether "in" is the unit: "2 in high", not "3 in all".
func inch(after string) bool {
	word, _, _ := strings.Cut(strings.TrimPrefix(after, " "), " ")
	if after == "" || after[0] != ' ' {
		return true
	}
	switch strings.TrimRight(word, ".,;:") {
	case "wide", "high", "tall", "long", "deep", "thick", "apart", "up", "over", "under", "above", "below", "higher", "lower", "of", "from", "by", "every", "where", "and", "at", "is", "to", "behind", "with":
		return true
	}
	return false
}

// unitChar tells the letters of a unit.
func unitChar(r rune) bool {
	return unicode.IsLetter(r) || r == '°' || r == '²' || r == '³' || r == '/'
}

// measured sets the quantities of a text in the units of the wish: "10 to 14 cm", "120 × 50 × 50 cm", "2.5 kg". A number without a unit of the list stays.
func (w Wish) measured(text string) string {
	var table map[string]conversion
	switch w.Units {
	case "US":
		table = toUS
	case "metric":
		table = toMetric
	default:
		return text
	}
	comma := w.Language == German
	var out strings.Builder
	for i := 0; i < len(text); {
		n := 0
		if digitAt(text, i) && !inWord(text, i) {
			n = decimalAt(text[i:], comma)
		}
		if n == 0 {
			_, size := utf8.DecodeRuneInString(text[i:])
			out.WriteString(text[i : i+size])
			i += size
			continue
		}
		end, places, unit := chain(text, i, comma)
		c, ok := table[unit]
		if !ok || len(places) == 0 || unit == "in" && !inch(text[end:]) || strings.HasPrefix(text[end:], "-") {
			out.WriteString(text[i : i+n])
			i += n
			continue
		}
		step := c.plus != 0 && difference(text, i, end)
		at := i
		for _, p := range places {
			out.WriteString(text[at:p[0]])
			out.WriteString(converted(text[p[0]:p[1]], c, step, comma))
			at = p[1]
		}
		out.WriteString(text[at : end-len(unit)])
		if g, ok := inGerman[c.to]; ok && comma {
			c.to = g
		}
		out.WriteString(c.to)
		i = end
	}
	return out.String()
}

func digitAt(s string, i int) bool { return i < len(s) && s[i] >= '0' && s[i] <= '9' }

// inWord tells whether the number at i belongs to a word or a longer number: CO2, 2027-03-01, plan.yaml:12.
func inWord(s string, i int) bool {
	r, _ := utf8.DecodeLastRuneInString(s[:i])
	return i > 0 && (unicode.IsLetter(r) || unicode.IsDigit(r) || r == '.' || r == ',' || r == '_' || r == ':' || r == '#')
}

// decimalAt is the length of the plain number a text begins with.
func decimalAt(s string, comma bool) int {
	i := 0
	for digitAt(s, i) {
		i++
	}
	if i < len(s) && (s[i] == '.' || comma && s[i] == ',') && digitAt(s, i+1) {
		i++
		for digitAt(s, i) {
			i++
		}
	}
	return i
}

// links stand between the numbers of one quantity.
var links = []string{" to ", " bis ", " × ", "–", " and ", " und ", " or ", " oder ", "×", " x "}

// chain reads numbers from i on until a unit: where each number stands, and where the unit ends. No places when no unit follows.
func chain(s string, i int, comma bool) (end int, places [][2]int, unit string) {
	for {
		n := decimalAt(s[i:], comma)
		if n == 0 {
			return 0, nil, ""
		}
		places = append(places, [2]int{i, i + n})
		i += n
		at := i
		for at < len(s) && s[at] == ' ' {
			at++
		}
		if strings.HasPrefix(s[at:], "\u00a0") {
			at += len("\u00a0")
		}
		for _, u := range s[at:] {
			if !unitChar(u) {
				break
			}
			unit += string(u)
		}
		// A rate such as L/h, L/min or cm/day goes by its first part, unless the whole is a unit of its own.
		if _, us := toUS[unit]; !us {
			if _, metric := toMetric[unit]; !metric {
				unit, _, _ = strings.Cut(unit, "/")
			}
		}
		if _, us := toUS[unit]; us {
			return at + len(unit), places, unit
		}
		if _, metric := toMetric[unit]; metric {
			return at + len(unit), places, unit
		}
		unit = ""
		next := -1
		for _, l := range links {
			if strings.HasPrefix(s[i:], l) && digitAt(s, i+len(l)) {
				next = i + len(l)
				break
			}
		}
		if next < 0 || len(places) > 4 {
			return 0, nil, ""
		}
		i = next
	}
}

// difference tells whether a temperature is a difference: "by 3 °C", "within 2 °C of the tank", "2 °C a day". Water of 5 °C or less is none of a planted tank.
func difference(s string, from, end int) bool {
	before := strings.ToLower(s[:from])
	for _, w := range []string{" by ", " within ", " um ", "um ", " jump under ", "sprung unter ", "±"} {
		if strings.HasSuffix(before, w) {
			return true
		}
	}
	for _, w := range []string{" a day", " am tag", " of the tank", " pro tag", " warmer", " colder", " wärmer", " kälter"} {
		if strings.HasPrefix(strings.ToLower(s[end:]), w) {
			return true
		}
	}
	n := decimalAt(s[from:], true)
	v, err := strconv.ParseFloat(strings.Replace(s[from:from+n], ",", ".", 1), 64)
	if err != nil || v > 5 {
		return false
	}
	for _, w := range []string{" at ", " of ", " bei ", " von ", " to ", " auf "} {
		if strings.HasSuffix(before, w) {
			return false
		}
	}
	return true
}

// converted writes a number in another unit, with about as many digits as it had and at least two that count.
func converted(s string, c conversion, step, comma bool) string {
	v, err := strconv.ParseFloat(strings.Replace(s, ",", ".", 1), 64)
	if err != nil {
		return s
	}
	fine := 1.0 // the last digit of the number
	if k := strings.IndexAny(s, ".,"); k >= 0 {
		fine = math.Pow(10, -float64(len(s)-k-1))
	}
	x := v * c.by
	if !step {
		x += c.plus
	}
	if v == 0 && c.plus == 0 {
		return s
	}
	decimals := math.Floor(-math.Log10(fine*c.by) + 1e-9)
	if a := math.Abs(x); a > 0 && c.plus == 0 || step {
		decimals = math.Max(decimals, 1-math.Floor(math.Log10(math.Max(a, 1e-9))))
	}
	decimals = math.Max(0, math.Min(decimals, 4))
	out := strconv.FormatFloat(x, 'f', int(decimals), 64)
	if strings.Contains(out, ".") {
		out = strings.TrimRight(strings.TrimRight(out, "0"), ".")
	}
	if comma {
		out = strings.Replace(out, ".", ",", 1)
	}
	return out
}

// quality reads a weight of Accept-Language; what is none counts nothing.
func quality(s string) float64 {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || v < 0 || v > 1 || math.IsNaN(v) {
		return 0
	}
	return v
}
