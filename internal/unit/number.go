package unit

import (
	"math"
	"strconv"
	"strings"
	"unicode"
)

// canonical brings the many ways to type a quantity to one: plain spaces, ASCII minus and quotes, "u" for micro, "^2" for
// raised digits, plain digits for lowered ones. Case is kept, because error texts show it.
func canonical(text string) string {
	var b strings.Builder
	b.Grow(len(text))
	space, raised, lowered := false, false, false
	var last rune
	put := func(r rune) {
		if space && b.Len() > 0 {
			b.WriteByte(' ')
		}
		space = false
		b.WriteRune(r)
		last = r
	}
	for _, r := range text {
		if up, ok := superscript(r); ok {
			if !raised {
				put('^')
			}
			put(up)
			raised = true
			continue
		}
		raised = false
		if r >= '₀' && r <= '₉' && (lowered || last == ')' || unicode.IsLetter(last)) {
			put('0' + r - '₀')
			lowered = true
			continue
		}
		lowered = false
		switch {
		case unicode.IsSpace(r):
			space = true
		default:
			switch r {
			case 'µ', 'μ':
				put('u')
			case 'º', '˚':
				put('°')
			case '℃':
				put('°')
				put('C')
			case '℉':
				put('°')
				put('F')
			case 'ℓ':
				put('L')
			case '−', '\u2010', '\u2011':
				put('-')
			case '⋅', '∙', '•', '*':
				put('·')
			case '–': // a minus in front; between numbers it stays a range
				if b.Len() == 0 {
					r = '-'
				}
				put(r)
			case '′', '’', '‘':
				put('\'')
			case '″', '”', '“':
				put('"')
			case '×':
				put('x')
			case '⁄', '∕':
				put('/')
			case '\u200b', '\ufeff': // invisible marks that come with copied text
			default:
				put(r)
			}
		}
	}
	return b.String()
}

func superscript(r rune) (rune, bool) {
	switch r {
	case '¹':
		return '1', true
	case '²':
		return '2', true
	case '³':
		return '3', true
	case '⁻':
		return '-', true
	case '⁺':
		return '+', true
	}
	if r == '⁰' || r >= '⁴' && r <= '⁹' {
		return '0' + r - '⁰', true
	}
	return 0, false
}

func digit(c byte) bool { return c >= '0' && c <= '9' }

// scanNumber reads the number at the start of a canonical text and returns what follows it, without leading space.
// kind and text are for the error only.
func scanNumber(kind Kind, text, s string) (x float64, rest string, err *Error) {
	fail := func(reason, cure string) (float64, string, *Error) {
		return 0, "", &Error{Text: text, Kind: kind, Reason: quote(text) + " " + reason, Cure: cure}
	}
	i := 0
	if i < len(s) && (s[i] == '+' || s[i] == '-') {
		i++
	}
	sign, from := s[:i], i
	for i < len(s) && (digit(s[i]) || s[i] == '.' || s[i] == ',' || s[i] == '_') {
		i++
	}
	mantissa := s[from:i]
	if strings.Trim(mantissa, ".,_") == "" {
		low := strings.ToLower(s[from:])
		if strings.HasPrefix(low, "nan") || strings.HasPrefix(low, "inf") {
			return fail("is not a finite number", "write an ordinary number and its unit")
		}
		return fail("does not begin with a number", example(kind))
	}
	from = i
	if i < len(s) && (s[i] == 'e' || s[i] == 'E') {
		j := i + 1
		if j < len(s) && (s[j] == '+' || s[j] == '-') {
			j++
		}
		if j < len(s) && digit(s[j]) {
			for j < len(s) && digit(s[j]) {
				j++
			}
			i = j
		}
	}
	exponent := s[from:i]
	rest = strings.TrimPrefix(s[i:], " ")
	tail := rest
	if tail != "" {
		tail = " " + tail
	}

	plain, other, ok := decimal(mantissa)
	if !ok {
		if plain == "" {
			return fail("is not a number", "write one number with a decimal point, for example 2.5")
		}
		cure := "write " + sign + plain + exponent + tail
		if other != "" {
			cure += " or " + sign + other + exponent + tail
		}
		return fail("has a thousands separator, which can be read two ways", cure)
	}
	// A run of three digits after a space or an apostrophe groups thousands; other second numbers are named for what they are.
	if group := strings.TrimPrefix(rest, "'"); len(group) >= 3 && digit(group[0]) && digit(group[1]) && digit(group[2]) &&
		(len(group) == 3 || !digit(group[3])) && !strings.Contains(group, `"`) {
		return fail("has a thousands separator, which can be read two ways", "write the number without gaps, for example "+sign+plain+group)
	}
	x, perr := strconv.ParseFloat(sign+plain+exponent, 64)
	if perr != nil || math.IsInf(x, 0) || math.IsNaN(x) {
		return fail("is too large a number", "write an ordinary number and its unit")
	}
	return x, rest, nil
}

// decimal turns the digits of a number into Go's form. A comma is a decimal comma unless it may group thousands. When
// the digits can be read two ways (ok false), plain and other are the two readings; both empty means no number at all.
func decimal(m string) (plain, other string, ok bool) {
	dots, commas := strings.Count(m, "."), strings.Count(m, ",")
	switch {
	case strings.Contains(m, "_"):
		if dots+commas > 0 {
			return "", "", false
		}
		return strings.ReplaceAll(m, "_", ""), "", false
	case dots+commas == 0:
		return m, "", true
	case dots == 1 && commas == 0:
		return m, "", true
	case dots == 0 && commas == 1:
		whole, frac, _ := strings.Cut(m, ",")
		if frac == "" || whole == "" {
			return "", "", false
		}
		if len(frac) == 3 && len(whole) <= 3 && whole != "0" {
			return whole + frac, strings.TrimRight(whole+"."+strings.TrimRight(frac, "0"), "."), false
		}
		return whole + "." + frac, "", true
	}
	// Several separators: the last one may be the decimal sign if the other kind groups thousands before it.
	last := strings.LastIndexAny(m, ".,")
	if dots > 0 && commas > 0 && strings.Count(m, m[last:last+1]) == 1 {
		whole := strings.NewReplacer(".", "", ",", "").Replace(m[:last])
		if whole == "" || last == len(m)-1 {
			return "", "", false
		}
		return whole + "." + m[last+1:], "", false
	}
	parts := strings.FieldsFunc(m, func(r rune) bool { return r == '.' || r == ',' })
	for _, p := range parts[1:] {
		if len(p) != 3 {
			return "", "", false
		}
	}
	return strings.Join(parts, ""), "", false
}
