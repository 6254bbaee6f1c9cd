package draft

import (
	"encoding/json"
	"fmt"
	"littoral/internal/unit"
	"math"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

var (
	lengthType = reflect.TypeFor[unit.Length]()
	angleType  = reflect.TypeFor[unit.Angle]()
	sizeType   = reflect.TypeFor[[2]unit.Length]()

	placeType = reflect.TypeFor[coordinate]()
)

// coordinate is a number of a place, in cm without a unit.
type coordinate float64

// amount is a quantity as plans write it: a number and its unit.
var amount = regexp.MustCompile(`^([-+]?[0-9]*\.?[0-9]+)(\s*)([^\s0-9].*)$`)

// tidy writes a number with at most so many decimals.
func tidy(v float64, decimals int) string {
	p := math.Pow(10, float64(decimals))
	if r := math.Round(v*p) / p; !math.IsInf(r, 0) {
		v = r
	}
	if v == 0 {
		v = 0 // no minus before a zero
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// words that a plain text may not be: YAML or older readers of it take them for something else.
var reserved = []string{"", "~", "null", "true", "false", "yes", "no", "on", "off", "y", "n", ".inf", ".nan"}

// plainText is a text that means the same with and without quotes, between brackets too.
var plainText = regexp.MustCompile(`^[\p{L}\p{M}0-9µ][\p{L}\p{M}\p{N}µ·²³°%×'’/()+._ -]*$`)

// clock and number are plain texts that are read as something else than text.
var (
	clockLike  = regexp.MustCompile(`^[0-9]+:`)
	numberLike = regexp.MustCompile(`^[-+.]?[0-9][-+.0-9_eExXoObBa-fA-F]*$`)
)

// text writes a text, in quotes where it needs them.
func text(s string) string {
	if plainText.MatchString(s) && !slices.Contains(reserved, strings.ToLower(s)) && !clockLike.MatchString(s) && !numberLike.MatchString(s) && !strings.HasSuffix(s, " ") {
		return s
	}
	return quote(s)
}

// quote writes a text between double quotes.
func quote(s string) string {
	b, err := json.Marshal(s)
	if err != nil { // a string always can be
		return `""`
	}
	// JSON's escapes are YAML's too; signs that JSON escapes for pages are written out.
	return strings.NewReplacer(`\u003c`, "<", `\u003e`, ">", `\u0026`, "&").Replace(string(b))
}

// number reads a JSON number.
func number(v any) (float64, bool) {
	switch x := v.(type) {
	case float64:
		return x, !math.IsNaN(x) && !math.IsInf(x, 0)
	case int:
		return float64(x), true
	}
	return 0, false
}

// key finds the field of a struct type that a key of the plan stands for; nil type when there is none.
func fieldType(t reflect.Type, key string) reflect.Type {
	for t != nil && t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	if t == nil || t.Kind() != reflect.Struct {
		return nil
	}
	for i := range t.NumField() {
		if f := t.Field(i); f.Tag.Get("yaml") == key {
			return f.Type
		}
	}
	return nil
}

// elem is the type of the items of a list type; nil when it is none.
func elem(t reflect.Type) reflect.Type {
	switch {
	case t == nil:
	case t == sizeType:
		return lengthType
	case t.Kind() == reflect.Slice:
		return t.Elem()
	case t.Kind() == reflect.Array:
		return placeType
	}
	return nil
}

// keysOf are the keys of a JSON object in the order of the plan's own fields, others last.
func keysOf(m map[string]any, t reflect.Type) []string {
	for t != nil && t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	var out []string
	if t != nil && t.Kind() == reflect.Struct {
		for i := range t.NumField() {
			key := t.Field(i).Tag.Get("yaml")
			if _, ok := m[key]; ok && key != "-" {
				out = append(out, key)
			}
		}
	}
	var rest []string
	for key := range m {
		if !slices.Contains(out, key) {
			rest = append(rest, key)
		}
	}
	slices.Sort(rest)
	return append(out, rest...)
}

// most nesting and length of a value that is written.
const (
	mostValueDepth = 8
	mostItems      = 20_000
)

// write gives a value as text between brackets, on one line. like is what stood there before, whose unit and quotes are kept; it may be nil.
func write(v any, t reflect.Type, like *node, depth int) (string, error) {
	for t != nil && t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	if depth > mostValueDepth {
		return "", refuse("a value is nested deeper than anything in a plan", "send what the field takes")
	}
	if x, ok := number(v); ok {
		return quantity(x, t, like), nil
	}
	switch v := v.(type) {
	case nil:
		return "", refuse("a value is missing inside another", "leave out what has no value")
	case bool:
		return strconv.FormatBool(v), nil
	case string:
		if like != nil && like.kind == quoted && like.text == v {
			return quote(v), nil
		}
		return text(v), nil
	case []any:
		if len(v) > mostItems {
			return "", refuse(fmt.Sprintf("a list of %d items is longer than any in a plan", len(v)), "send fewer")
		}
		if t == sizeType && len(v) == 2 {
			a, aok := number(v[0])
			b, bok := number(v[1])
			if aok && bok {
				return tidy(a, 2) + "x" + tidy(b, 2) + " cm", nil
			}
		}
		parts := make([]string, len(v))
		for i := range v {
			part, err := write(v[i], elem(t), nil, depth+1)
			if err != nil {
				return "", err
			}
			parts[i] = part
		}
		return "[" + strings.Join(parts, ", ") + "]", nil
	case map[string]any:
		var parts []string
		for _, key := range keysOf(v, t) {
			if v[key] == nil {
				continue
			}
			part, err := write(v[key], fieldType(t, key), nil, depth+1)
			if err != nil {
				return "", err
			}
			parts = append(parts, text(key)+": "+part)
		}
		return "{" + strings.Join(parts, ", ") + "}", nil
	}
	return "", refuse(fmt.Sprintf("a value of the kind %T is not one of a plan", v), "send text, numbers, yes or no, lists or groups")
}

// quantity writes a number for a field: lengths in cm and angles in degrees get their unit, or keep the one that stood there.
func quantity(x float64, t reflect.Type, like *node) string {
	unitKind, per, sign, decimals := unit.Kind(""), 0.0, "", 4
	switch t {
	case lengthType:
		unitKind, per, sign, decimals = unit.KindLength, 0.01, " cm", 2
	case angleType:
		unitKind, per, sign, decimals = unit.KindAngle, math.Pi/180, "°", 1
	case placeType:
		return tidy(x, 2)
	case nil:
	default:
		if k := t.Kind(); k == reflect.Int {
			return tidy(x, 0)
		}
	}
	if per == 0 {
		return tidy(x, decimals)
	}
	if like != nil && !like.folded {
		if m := amount.FindStringSubmatch(like.text); m != nil {
			if one, err := unit.Parse(unitKind, "1 "+m[3]); err == nil && one > 0 {
				s := tidy(x*per/one, decimals) + m[2] + m[3]
				if back, err := unit.Parse(unitKind, s); err == nil && math.Abs(back-x*per) <= per*math.Pow(10, -float64(decimals)) { // in feet two decimals are too coarse
					if like.kind == quoted {
						return quote(s)
					}
					return s
				}
			}
		}
	}
	return tidy(x, decimals) + sign
}

// lengthCM reads a length as plans write it.
func lengthCM(s string) (float64, error) {
	v, err := unit.Parse(unit.KindLength, s)
	return 100 * v, err
}

// means tells whether what is written already says a value, so that it can stay as it is.
func means(n *node, v any, t reflect.Type) bool {
	for t != nil && t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	if n.folded {
		return false
	}
	if x, ok := number(v); ok {
		if n.kind != plain && n.kind != quoted {
			return false
		}
		switch t {
		case lengthType:
			have, err := unit.Parse(unit.KindLength, n.text)
			return err == nil && math.Abs(have*100-x) < 0.005
		case angleType:
			have, err := unit.Parse(unit.KindAngle, n.text)
			return err == nil && math.Abs(have*180/math.Pi-x) < 0.05
		case placeType:
			have, err := strconv.ParseFloat(n.text, 64)
			return n.kind == plain && err == nil && math.Abs(have-x) < 0.005
		}
		have, err := strconv.ParseFloat(n.text, 64)
		return n.kind == plain && err == nil && have == x
	}
	switch v := v.(type) {
	case bool:
		return n.kind == plain && n.text == strconv.FormatBool(v)
	case string:
		return (n.kind == plain || n.kind == quoted) && n.text == v
	case []any:
		if !n.isList() || len(n.entries) != len(v) {
			return false
		}
		for i := range v {
			if !means(n.entries[i].value, v[i], elem(t)) {
				return false
			}
		}
		return true
	case map[string]any:
		if !n.isMap() || len(n.entries) != len(v) {
			return false
		}
		for i := range n.entries {
			x, ok := v[n.entries[i].key]
			if !ok || !means(n.entries[i].value, x, fieldType(t, n.entries[i].key)) {
				return false
			}
		}
		return true
	}
	return false
}
