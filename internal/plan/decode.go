package plan

import (
	"errors"
	"fmt"
	"littoral/internal/unit"
	"math"
	"reflect"
	"strconv"
	"strings"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/token"
)

// kinds maps the quantity types of a plan to what unit.Parse is asked for.
var kinds = map[reflect.Type]unit.Kind{
	reflect.TypeFor[unit.Length]():        unit.KindLength,
	reflect.TypeFor[unit.Area]():          unit.KindArea,
	reflect.TypeFor[unit.Volume]():        unit.KindVolume,
	reflect.TypeFor[unit.Mass]():          unit.KindMass,
	reflect.TypeFor[unit.Flow]():          unit.KindFlow,
	reflect.TypeFor[unit.MassRate]():      unit.KindMassRate,
	reflect.TypeFor[unit.Celsius]():       unit.KindTemperature,
	reflect.TypeFor[unit.Concentration](): unit.KindConcentration,
	reflect.TypeFor[unit.Alkalinity]():    unit.KindAlkalinity,
	reflect.TypeFor[unit.Hardness]():      unit.KindHardness,
	reflect.TypeFor[unit.PPFD]():          unit.KindPPFD,
	reflect.TypeFor[unit.PhotonFlux]():    unit.KindPhotonFlux,
	reflect.TypeFor[unit.Power]():         unit.KindPower,
	reflect.TypeFor[unit.Angle]():         unit.KindAngle,
	reflect.TypeFor[unit.Fraction]():      unit.KindFraction,
	reflect.TypeFor[unit.Duration]():      unit.KindDuration,
	reflect.TypeFor[unit.Pressure]():      unit.KindPressure,
	reflect.TypeFor[unit.Density]():       unit.KindDensity,
	reflect.TypeFor[unit.Attenuation]():   unit.KindAttenuation,
	reflect.TypeFor[unit.Clock]():         unit.KindClock,
	reflect.TypeFor[unit.Day]():           unit.KindDay,
}

var (
	everyType = reflect.TypeFor[unit.Every]()
	moneyType = reflect.TypeFor[unit.Money]()
	sizeType  = reflect.TypeFor[[2]unit.Length]()
	whenType  = reflect.TypeFor[When]()
)

// mayBeZero are required quantities for which nothing at all is a true answer, such as tap water without hardness.
var mayBeZero = map[unit.Kind]bool{
	unit.KindClock: true, unit.KindDay: true, unit.KindFraction: true, unit.KindConcentration: true, unit.KindAlkalinity: true,
	unit.KindHardness: true, unit.KindTemperature: true, unit.KindAngle: true, unit.KindAttenuation: true,
}

// field is what the tags of a struct field say.
type field struct {
	name, enum, ion, doc string
	unless               string // the key of the plan beside which a required one may be left out
	required, single     bool
}

func fieldOf(f reflect.StructField) field {
	return field{
		name: f.Tag.Get("yaml"), enum: f.Tag.Get("enum"), ion: f.Tag.Get("ion"), doc: f.Tag.Get("doc"), unless: f.Tag.Get("unless"),
		required: f.Tag.Get("req") == "true", single: f.Tag.Get("single") == "true",
	}
}

// decoder walks a syntax tree along a Go type and reports all that does not fit.
type decoder struct {
	*reporter
	pos map[string]Position // where each given item stands
	bad map[string]bool     // items that could not be read, so that later checks leave them alone

	lightOnly bool // the plan states its optics

	shapes map[reflect.Type]*shape
}

// shape is what a mapping of a type may hold: its keys with the numbers of their fields, and what the fields' tags say. Plans have thousands of items of one
// shape, and taking tags apart for each would be most of the work.
type shape struct {
	fields map[string]int
	names  []string
	tags   []field
}

func (d *decoder) shape(t reflect.Type) *shape {
	if s := d.shapes[t]; s != nil {
		return s
	}
	s := &shape{fields: map[string]int{}, tags: make([]field, t.NumField())}
	for i := range t.NumField() {
		s.tags[i] = fieldOf(t.Field(i))
		if name := s.tags[i].name; name != "" && name != "-" {
			s.fields[name] = i
			s.names = append(s.names, name)
		}
	}
	d.shapes[t] = s
	return s
}

func newDecoder(file string, src []byte) *decoder {
	return &decoder{reporter: newReporter(file, src), pos: map[string]Position{}, bad: map[string]bool{}, shapes: map[reflect.Type]*shape{}}
}

func (d *decoder) errorAt(n ast.Node, path, message, cure string) {
	d.bad[path] = true
	d.add(SeverityError, path, nodePosition(n), message, cure)
}

func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}

func index(path string, i int) string { return path + "[" + strconv.Itoa(i) + "]" }

// called names an item in a sentence.
func called(path string) string {
	if path == "" {
		return "the file"
	}
	return path
}

// value reads one node into v. Name is what error texts call it.
func (d *decoder) value(n ast.Node, v reflect.Value, path string, f field) {
	switch n := n.(type) {
	case *ast.AnchorNode:
		d.errorAt(n, path, fmt.Sprintf("%s has an anchor (&), and a plan is read without anchors", called(path)), "take the anchor out and write the value wherever it is needed")
		return
	case *ast.AliasNode:
		d.errorAt(n, path, fmt.Sprintf("%s is an alias (*), and a plan is read without aliases", called(path)), "write the value out")
		return
	case *ast.TagNode:
		d.errorAt(n, path, fmt.Sprintf("%s has a tag (!), and a plan is read without tags", called(path)), "take the tag out")
		return
	}
	d.pos[path] = nodePosition(n)
	if _, ok := n.(*ast.NullNode); ok {
		d.bad[path] = true
		switch v.Kind() {
		case reflect.Slice, reflect.Map, reflect.Struct, reflect.Pointer:
			if !f.required && v.Type() != whenType { // a key left without items is a key not given
				delete(d.pos, path)
				delete(d.bad, path)
				return
			}
		}
		d.errorAt(n, path, fmt.Sprintf("%s has no value", called(path)), "write its value, or take the line out")
		return
	}
	if v.Kind() == reflect.Pointer {
		fresh := reflect.New(v.Type().Elem())
		d.value(n, fresh.Elem(), path, f)
		v.Set(fresh)
		return
	}
	t := v.Type()
	kind, isQuantity := kinds[t]
	switch {
	case isQuantity:
		d.quantity(n, v, path, f, kind)
	case t == everyType, t == moneyType, t == sizeType, t == whenType:
		d.special(n, v, path, f)
	case t.Kind() == reflect.Struct:
		d.mapping(n, v, path, f)
	case t.Kind() == reflect.Slice:
		d.list(n, v, path, f)
	case t.Kind() == reflect.Array:
		d.point(n, v, path)
	case t.Kind() == reflect.Map:
		d.table(n, v, path)
	default:
		d.scalar(n, v, path, f)
	}
}

// mapping reads keys and values into a struct.
func (d *decoder) mapping(n ast.Node, v reflect.Value, path string, f field) {
	t := v.Type()
	shape := d.shape(t)
	fields, names := shape.fields, shape.names
	entries, ok := mapEntries(n)
	if !ok {
		d.errorAt(n, path, fmt.Sprintf("%s is %s where keys with values belong", called(path), nodeKind(n)), "write it as {"+names[0]+": …}, with the keys "+strings.Join(names, ", "))
		return
	}
	for _, e := range entries {
		d.lightOnly = d.lightOnly || path == "" && t == reflect.TypeFor[Plan]() && e.Key.GetToken().Value == "optics"
	}
	for _, e := range d.keys(entries, path) {
		i, known := fields[e.key]
		if !known {
			message, cure := fmt.Sprintf("unknown key %q in %s", e.key, called(path)), "the keys here are "+strings.Join(names, ", ")
			if disinfectant(e.key) {
				message = e.key + " is not modelled; the forecast takes change water as free of it"
				cure = "take this out, and dechlorinate water before it meets animals and filter"
			} else if near := d.nearest(e.key, names); near != "" {
				message, cure = fmt.Sprintf("%s; did you mean %q?", message, near), "write "+near
				d.bad[join(path, near)] = true // so that it does not count as missing too
			}
			if _, isNumber := parseNumber(e.key); isNumber {
				cure = "a comma parts items here; write numbers with a decimal point"
			}
			d.errorAt(e.node.Key, join(path, e.key), message, cure)
			continue
		}
		d.value(e.node.Value, v.Field(i), join(path, e.key), shape.tags[i])
	}
	for i := range t.NumField() {
		f := shape.tags[i]
		if !f.required {
			continue
		}
		p := join(path, f.name)
		if _, given := d.pos[p]; given || d.bad[p] || d.lightOnly && f.unless == "optics" {
			continue
		}
		cure := "add " + f.name + ": " + example(t.Field(i).Type, f)
		if f.doc != "" {
			cure += " (" + f.doc + ")"
		}
		d.errorAt(n, p, fmt.Sprintf("%s has no %s", called(path), f.name), cure)
	}
}

type entry struct {
	key  string
	node *ast.MappingValueNode
}

// keys returns the usable entries of a mapping and reports the others: duplicates, merges, and keys that are not words.
func (d *decoder) keys(entries []*ast.MappingValueNode, path string) []entry {
	var out []entry
	seen := map[string]Position{}
	for _, e := range entries {
		switch e.Key.(type) {
		case *ast.MergeKeyNode:
			d.errorAt(e.Key, path, "a merge key (<<) is not read in a plan", "write the keys out")
			continue
		case *ast.MappingKeyNode:
			d.errorAt(e.Key, path, "a key written with ? is not read in a plan", "write key: value")
			continue
		}
		key, ok := scalarText(e.Key)
		if !ok {
			d.errorAt(e.Key, path, "this key is not a word", "write a plain word before the colon")
			continue
		}
		if first, twice := seen[key]; twice {
			d.errorAt(e.Key, join(path, key), fmt.Sprintf("key %q stands twice in %s; the first is in line %d", key, called(path), first.Line), "keep one of the two")
			continue
		}
		seen[key] = nodePosition(e.Key)
		out = append(out, entry{key, e})
	}
	return out
}

// list reads a sequence into a slice. Where the tag allows it, one mapping stands for a list of one.
func (d *decoder) list(n ast.Node, v reflect.Value, path string, f field) {
	seq, ok := n.(*ast.SequenceNode)
	if !ok {
		if _, isMap := mapEntries(n); isMap && f.single {
			v.Set(reflect.MakeSlice(v.Type(), 1, 1))
			d.value(n, v.Index(0), index(path, 0), field{})
			return
		}
		d.errorAt(n, path, fmt.Sprintf("%s is %s where a list belongs", path, nodeKind(n)), "begin each item on its own line with \"- \", or write [ … ] around the items")
		return
	}
	v.Set(reflect.MakeSlice(v.Type(), len(seq.Values), len(seq.Values)))
	for i, item := range seq.Values {
		d.value(item, v.Index(i), index(path, i), field{name: f.name, enum: f.enum, ion: f.ion, required: true})
	}
}

// point reads [x, y] or [x, y, z], bare numbers in centimetres.
func (d *decoder) point(n ast.Node, v reflect.Value, path string) {
	cure := "write [x, y] in centimetres without unit, such as [60, 20]"
	if v.Len() == 3 {
		cure = "write [x, y, height] in centimetres without unit, such as [60, 20, 5]"
	}
	seq, ok := n.(*ast.SequenceNode)
	if !ok {
		d.errorAt(n, path, fmt.Sprintf("%s is %s where a place belongs", path, nodeKind(n)), cure)
		return
	}
	if len(seq.Values) != v.Len() {
		d.errorAt(n, path, fmt.Sprintf("%s has %d numbers where %d belong", path, len(seq.Values), v.Len()), cure)
		return
	}
	for i, item := range seq.Values {
		x, ok := number(item)
		if !ok || math.Abs(x) > 1e6 {
			d.errorAt(item, path, fmt.Sprintf("%s holds %s, which is not a place in centimetres", path, quoted(item)), cure)
			return
		}
		v.Index(i).SetFloat(x)
	}
}

// table reads a mapping with free keys. Values that are there already stay unless the file names them.
func (d *decoder) table(n ast.Node, v reflect.Value, path string) {
	entries, ok := mapEntries(n)
	if !ok {
		d.errorAt(n, path, fmt.Sprintf("%s is %s where keys with values belong", path, nodeKind(n)), "write it as {name: value, …}")
		return
	}
	if v.IsNil() {
		v.Set(reflect.MakeMap(v.Type()))
	}
	for _, e := range d.keys(entries, path) {
		item := reflect.New(v.Type().Elem()).Elem()
		if old := v.MapIndex(reflect.ValueOf(e.key)); old.IsValid() {
			item.Set(old)
		}
		p := join(path, e.key)
		d.value(e.node.Value, item, p, field{name: e.key, required: true})
		if !d.bad[p] {
			v.SetMapIndex(reflect.ValueOf(e.key), item)
		}
	}
}

func (d *decoder) quantity(n ast.Node, v reflect.Value, path string, f field, kind unit.Kind) {
	text, ok := scalarText(n)
	if !ok {
		d.errorAt(n, path, fmt.Sprintf("%s is %s where a %s belongs", path, nodeKind(n), kind), "write "+example(v.Type(), f))
		return
	}
	var x float64
	var err error
	if kind == unit.KindConcentration {
		var c unit.Concentration
		c, err = unit.ParseConcentration(text, f.ion)
		x = float64(c)
	} else {
		x, err = unit.Parse(kind, text)
	}
	if err != nil {
		d.unitError(n, path, f, cureThatPasses(path, text, f, kind, err))
		return
	}
	d.groupedThousands(path, nodePosition(n), f, text, smallQuantity(path, kind, x))
	if math.IsNaN(x) || math.IsInf(x, 0) {
		d.errorAt(n, path, fmt.Sprintf("%s %q is not a finite number", f.name, text), "write "+example(v.Type(), f))
		return
	}
	if x < 0 && kind == unit.KindLength {
		d.errorAt(n, path, fmt.Sprintf("%s %q is negative", f.name, text), "write a length above zero")
		return
	}
	if x == 0 && f.required && !mayBeZero[kind] {
		d.errorAt(n, path, fmt.Sprintf("%s %q is zero", f.name, text), "write a "+string(kind)+" above zero")
		return
	}
	v.SetFloat(x)
}

// unitError turns the unit package's reason and cure into a problem.
func (d *decoder) unitError(n ast.Node, path string, f field, err error) {
	var u *unit.Error
	if !errors.As(err, &u) {
		d.errorAt(n, path, f.name+": "+err.Error(), "")
		return
	}
	message := f.name + ": " + u.Reason
	if strings.HasPrefix(u.Reason, `"`) {
		message = f.name + " " + u.Reason
	}
	d.errorAt(n, path, message, u.Cure)
}

// special reads recurrences, money and sizes, each of which has a form of its own.
func (d *decoder) special(n ast.Node, v reflect.Value, path string, f field) {
	if seq, ok := n.(*ast.SequenceNode); ok && v.Type() == sizeType {
		if len(seq.Values) != 2 {
			d.errorAt(n, path, fmt.Sprintf("%s has %d lengths where two belong", path, len(seq.Values)), "write it as 55x20 cm")
			return
		}
		for i, item := range seq.Values {
			d.quantity(item, v.Index(i), path, field{name: f.name, required: true}, unit.KindLength)
		}
		return
	}
	text, ok := scalarText(n)
	if !ok {
		d.errorAt(n, path, fmt.Sprintf("%s is %s where one value belongs", path, nodeKind(n)), "write "+example(v.Type(), f))
		return
	}
	var err error
	switch v.Type() {
	case everyType:
		var e unit.Every
		e, err = unit.ParseEvery(text)
		v.Set(reflect.ValueOf(e))
	case whenType:
		var w When
		w, err = parseWhen(text)
		v.Set(reflect.ValueOf(w))
	case sizeType:
		var s [2]unit.Length
		s, err = unit.ParseSize(text)
		v.Set(reflect.ValueOf(s))
		if err != nil {
			err = &unit.Error{Text: text, Kind: unit.KindLength, Reason: reasonOf(err), Cure: "write two lengths, for example 55x20 cm"}
		}
	default:
		var m unit.Money
		m, err = parseHourly(text)
		v.Set(reflect.ValueOf(m))
	}
	if err != nil {
		d.unitError(n, path, f, err)
	}
}

// parseHourly reads what an hour of work costs: "48 /h" or a bare "48".
func parseHourly(text string) (unit.Money, error) {
	s := strings.TrimSpace(text)
	for _, end := range []string{"/h", "/hour", "an hour", "per hour"} {
		s = strings.TrimSpace(strings.TrimSuffix(s, end))
	}
	x, ok := parseNumber(s)
	if !ok || x < 0 || x > 1e9 {
		return 0, &unit.Error{Text: text, Reason: fmt.Sprintf("%q is not what an hour costs", clip(text)), Cure: "write 48 /h; the currency stands beside it"}
	}
	return unit.Money(x), nil
}

// scalar reads words, bare numbers and yes or no.
func (d *decoder) scalar(n ast.Node, v reflect.Value, path string, f field) {
	text, ok := scalarText(n)
	if !ok {
		d.errorAt(n, path, fmt.Sprintf("%s is %s where one value belongs", path, nodeKind(n)), "write "+example(v.Type(), f))
		return
	}
	switch v.Kind() {
	case reflect.String:
		if f.enum != "" {
			choices := strings.Split(f.enum, ",")
			for _, c := range choices {
				if text == c {
					v.SetString(text)
					return
				}
			}
			message := fmt.Sprintf("%s %q is not one of %s", f.name, clip(text), strings.Join(choices, ", "))
			cure := "write " + oneOf(choices)
			if near := d.nearest(text, choices); near != "" {
				cure = "did you mean " + near + "?"
			}
			d.errorAt(n, path, message, cure)
			return
		}
		if strings.TrimSpace(text) == "" && f.required {
			d.errorAt(n, path, f.name+" is empty", "write a word")
			return
		}
		v.SetString(text)
	case reflect.Bool:
		b, isBool := n.(*ast.BoolNode)
		if !isBool {
			d.errorAt(n, path, fmt.Sprintf("%s %s is neither true nor false", f.name, quoted(n)), "write true or false")
			return
		}
		v.SetBool(b.Value)
	case reflect.Int:
		x, isNumber := number(n)
		if !isNumber || x != math.Trunc(x) || math.Abs(x) > 1e6 {
			d.errorAt(n, path, fmt.Sprintf("%s %s is not a whole number", f.name, quoted(n)), "write a bare number such as 12, without unit")
			return
		}
		v.SetInt(int64(x))
	case reflect.Float64:
		x, isNumber := number(n)
		if !isNumber || math.Abs(x) > 1e12 {
			cure := "write a bare number such as 7.5, without unit"
			if _, ok := parseNumber(strings.Replace(text, ",", ".", 1)); ok {
				cure = "write a decimal point: " + strings.Replace(text, ",", ".", 1)
			}
			if _, ok := parseNumber(text); ok {
				cure = "take the quotes away: " + text
			}
			d.errorAt(n, path, fmt.Sprintf("%s %s is not a number", f.name, quoted(n)), cure)
			return
		}
		d.groupedThousands(path, nodePosition(n), f, text, f.name == "lumens" && x < leastLumens)
		v.SetFloat(x)
	}
}

// reasonOf is what a unit error says is wrong, without its cure.
func reasonOf(err error) string {
	var u *unit.Error
	if errors.As(err, &u) {
		return u.Reason
	}
	return err.Error()
}

func oneOf(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}

// example shows a value of a type, for cures.
func example(t reflect.Type, f field) string {
	if f.enum != "" {
		return oneOf(strings.Split(f.enum, ","))
	}
	if t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	if kind, ok := kinds[t]; ok {
		return exampleOf[kind]
	}
	switch {
	case t == everyType:
		return "week"
	case t == moneyType:
		return "48 /h"
	case t == sizeType:
		return "55x20 cm"
	case t == whenType:
		return "height > 30 cm"
	}
	switch t.Kind() {
	case reflect.Struct:
		return "{…}"
	case reflect.Slice:
		return "[…]"
	case reflect.Array:
		return "[60, 20]"
	case reflect.Int:
		if f.name == "littoral" {
			return strconv.Itoa(Version)
		}
		return "12"
	case reflect.Float64:
		return "7.5"
	case reflect.Bool:
		return "true"
	case reflect.Map:
		return "{name: value}"
	}
	return "plain text"
}

// exampleOf is a value of each kind as the trade writes it.
var exampleOf = map[unit.Kind]string{
	unit.KindLength: "60 cm", unit.KindArea: "2 m²", unit.KindVolume: "20 L", unit.KindMass: "6 g", unit.KindFlow: "1200 L/h",
	unit.KindMassRate: "0.5 g/day", unit.KindTemperature: "24 °C", unit.KindConcentration: "18 mg/L", unit.KindAlkalinity: "7 dKH",
	unit.KindHardness: "12 dGH", unit.KindPPFD: "60 µmol/m²/s", unit.KindPhotonFlux: "180 µmol/s", unit.KindPower: "300 W",
	unit.KindAngle: "30°", unit.KindFraction: "50 %", unit.KindDuration: "8 h", unit.KindPressure: "5 kN/m²",
	unit.KindDensity: "2700 kg/m³", unit.KindAttenuation: "0.4 1/m", unit.KindClock: `"09:30"`, unit.KindDay: "day 21",
}

// nodePosition is where a value begins: the first key of a block of keys, the first dash of a list, the bracket of the flow forms.
func nodePosition(n ast.Node) Position {
	var t *token.Token
	switch n := n.(type) {
	case nil:
		return Position{1, 1}
	case *ast.MappingNode:
		if t = n.Start; !n.IsFlowStyle && len(n.Values) > 0 {
			t = n.Values[0].Key.GetToken()
		}
	case *ast.MappingValueNode:
		t = n.Key.GetToken()
	case *ast.LiteralNode:
		t = n.Start
	default:
		t = n.GetToken()
	}
	if t == nil || t.Position == nil {
		return Position{1, 1}
	}
	return Position{t.Position.Line, t.Position.Column}
}

func mapEntries(n ast.Node) ([]*ast.MappingValueNode, bool) {
	switch n := n.(type) {
	case *ast.MappingNode:
		return n.Values, true
	case *ast.MappingValueNode:
		return []*ast.MappingValueNode{n}, true
	}
	return nil, false
}

// scalarText returns a scalar as it is written, without quotes.
func scalarText(n ast.Node) (string, bool) {
	switch n := n.(type) {
	case *ast.StringNode:
		return n.Value, true
	case *ast.LiteralNode:
		return strings.TrimSpace(n.Value.Value), true
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode, *ast.InfinityNode, *ast.NanNode:
		return strings.TrimSpace(n.GetToken().Value), true
	}
	return "", false
}

// number reads a bare number; a quoted one is text.
func number(n ast.Node) (float64, bool) {
	switch n.(type) {
	case *ast.StringNode, *ast.IntegerNode, *ast.FloatNode:
	default:
		return 0, false
	}
	t := n.GetToken()
	if t.Type == token.DoubleQuoteType || t.Type == token.SingleQuoteType {
		return 0, false
	}
	return parseNumber(strings.TrimSpace(t.Value))
}

// parseNumber reads a plain decimal number. Hexadecimal, underscores and names such as inf are not numbers of a plan.
func parseNumber(s string) (float64, bool) {
	if s == "" || strings.Trim(s, "+-.0123456789eE") != "" {
		return 0, false
	}
	x, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		return 0, false
	}
	return x, true
}

func nodeKind(n ast.Node) string {
	switch n.(type) {
	case *ast.MappingNode, *ast.MappingValueNode:
		return "a set of keys"
	case *ast.SequenceNode:
		return "a list"
	case *ast.NullNode:
		return "empty"
	}
	return "a single value"
}

func quoted(n ast.Node) string {
	if text, ok := scalarText(n); ok {
		return strconv.Quote(clip(text))
	}
	return nodeKind(n)
}

// clip shortens a text for an error.
func clip(s string) string {
	if r := []rune(s); len(r) > 60 {
		return string(r[:60]) + "…"
	}
	return s
}
