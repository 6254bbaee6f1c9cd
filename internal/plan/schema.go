package plan

import (
	"bytes"
	"encoding/json"
	"littoral/internal/unit"
	"reflect"
	"strconv"
	"strings"

	"github.com/invopop/jsonschema"
)

// SchemaID names the schema of this format version. It is an identifier, not an address to fetch.
const SchemaID = "urn:littoral:plan:1"

// Patterns of quantities. They catch a missing unit or a wrong form while one types; the reader alone knows every unit.
const (
	quantityPattern = `^\s*[-+−]?[0-9.,][0-9.,eE\s]*[^0-9.,\s-][^\n]*$`
	percentPattern  = `^\s*[0-9.,]+\s*(%|percent|per cent|pct)\s*$`
	clockPattern    = `^\s*([0-9]{1,2}:[0-9]{2}\s*([aApP]\.?[mM]\.?)?|[0-9]{1,2}\s*[aApP]\.?[mM]\.?)\s*$`
	dayPattern      = `^\s*([dD]ay|[wW]eek|[mM]onth|[yY]ear)\s+[-+−]?[0-9.,]+\s*$`
	everyPattern    = `^\s*(every\s+)?([0-9]+\s*)?(day|week|month|year)s?\s*$|^\s*(every\s+)?(daily|weekly|monthly|yearly)\s*$`
	whenPattern     = `^\s*(height\s*>\s*[0-9.,]+[^0-9\n]+|top\s*>\s*[0-9.,]+[^0-9\n]+ under (the )?surface)\s*$`
	sizePattern     = `^\s*[0-9.,]+[^0-9\n]*([xX×]|by)\s*[0-9.,]+\s*[^0-9\s][^\n]*$`
)

// Schema returns the JSON Schema (draft 2020-12) of a plan, generated from the types of this package. It is coarser than the
// reader: what it refuses the reader refuses too, and the reader also looks at meaning.
func Schema() []byte {
	r := jsonschema.Reflector{FieldNameTag: "yaml", RequiredFromJSONSchemaTags: true, Mapper: leafSchema}
	s := r.Reflect(&Plan{})
	s.ID = SchemaID
	s.Title = "Littoral plan, format version 1"
	s.Description = "The plan of a planted tank. Positions are bare numbers in centimetres from the front-left inside corner; every other quantity carries its unit."
	annotate(s, reflect.TypeFor[Plan](), map[reflect.Type]bool{})
	waive(s)
	var out bytes.Buffer
	enc := json.NewEncoder(&out)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(s); err != nil {
		panic("plan: schema: " + err.Error()) // the types are fixed at build time, and a test encodes them
	}
	return out.Bytes()
}

// waive makes keys required only where the plan does not have the key beside which they may be left out.
func waive(s *jsonschema.Schema) {
	def := s.Definitions["Plan"]
	def.If, def.Else = &jsonschema.Schema{Required: []string{"optics"}}, &jsonschema.Schema{Properties: jsonschema.NewProperties()}
	plan := reflect.TypeFor[Plan]()
	def.Else.Required = waived(plan)
	for i := range plan.NumField() {
		if t := plan.Field(i).Type; t.Kind() == reflect.Struct {
			if keys := waived(t); len(keys) > 0 {
				def.Else.Properties.Set(fieldOf(plan.Field(i)).name, &jsonschema.Schema{Required: keys})
			}
		}
	}
}

func waived(t reflect.Type) []string {
	var keys []string
	for i := range t.NumField() {
		if f := fieldOf(t.Field(i)); f.required && f.unless != "" {
			keys = append(keys, f.name)
		}
	}
	return keys
}

// leafSchema gives the schema of the types that the reader treats as one value.
func leafSchema(t reflect.Type) *jsonschema.Schema {
	text := func(pattern, description string, examples ...any) *jsonschema.Schema {
		return &jsonschema.Schema{Type: "string", Pattern: pattern, Description: description, Examples: examples}
	}
	if kind, ok := kinds[t]; ok {
		pattern := quantityPattern
		switch kind {
		case unit.KindFraction:
			pattern = percentPattern
		case unit.KindClock:
			pattern = clockPattern
		case unit.KindDay:
			pattern = dayPattern
		}
		return text(pattern, unit.Describe(kind), strings.Trim(exampleOf[kind], `"`))
	}
	switch t {
	case everyType:
		return text(everyPattern, "a recurrence is written day, 2 days, week, 3 weeks, month or year", "week")
	case whenType:
		return text(whenPattern, "a condition is written height > 30 cm, or top > 10 cm under surface", "top > 10 cm under surface")
	case moneyType:
		return &jsonschema.Schema{
			AnyOf:       []*jsonschema.Schema{{Type: "number", Minimum: "0"}, {Type: "string", Pattern: `^\s*[0-9.]+\s*(/h|/hour|an hour|per hour)?\s*$`}},
			Description: "what an hour of work costs, in the currency beside it", Examples: []any{"48 /h"},
		}
	case sizeType:
		two := uint64(2)
		side := leafSchema(reflect.TypeFor[unit.Length]())
		return &jsonschema.Schema{AnyOf: []*jsonschema.Schema{text(sizePattern, "", "55x20 cm"), {Type: "array", Items: side, MinItems: &two, MaxItems: &two}}}
	}
	if t.Kind() == reflect.Array {
		n := uint64(t.Len())
		what := "[x, y] in cm"
		if n == 3 {
			what = "[x, y, height] in cm"
		}
		return &jsonschema.Schema{Type: "array", Items: &jsonschema.Schema{Type: "number"}, MinItems: &n, MaxItems: &n, Description: what}
	}
	return nil
}

// annotate carries the tags of a struct and of all structs below it into the schema: descriptions, choices, required keys, and
// a single item where a list may be one.
func annotate(s *jsonschema.Schema, t reflect.Type, done map[reflect.Type]bool) {
	for t.Kind() == reflect.Pointer || t.Kind() == reflect.Slice || t.Kind() == reflect.Map {
		t = t.Elem()
	}
	if t.Kind() != reflect.Struct || done[t] || leafSchema(t) != nil {
		return
	}
	done[t] = true
	def, ok := s.Definitions[t.Name()]
	if !ok {
		return
	}
	for i := range t.NumField() {
		f := fieldOf(t.Field(i))
		if f.name == "" || f.name == "-" {
			continue
		}
		prop, ok := def.Properties.Get(f.name)
		if !ok {
			continue
		}
		if f.required && f.unless == "" {
			def.Required = append(def.Required, f.name)
		}
		if f.enum != "" {
			into := prop
			if prop.Items != nil {
				into = prop.Items
			}
			for _, choice := range strings.Split(f.enum, ",") {
				into.Enum = append(into.Enum, choice)
			}
		}
		if f.single {
			one := *prop.Items
			prop = &jsonschema.Schema{AnyOf: []*jsonschema.Schema{{Type: prop.Type, Items: prop.Items}, &one}}
			def.Properties.Set(f.name, prop)
		}
		d := f.doc
		if leaf := leafSchema(deref(t.Field(i).Type)); leaf != nil && leaf.Description != "" {
			d = strings.TrimPrefix(d+"; "+leaf.Description, "; ")
		}
		if d != "" {
			if prop.Ref != "" { // a description beside a reference is allowed since draft 2019-09
				prop = &jsonschema.Schema{Ref: prop.Ref}
				def.Properties.Set(f.name, prop)
			}
			prop.Description = d
		}
		if f.name == "littoral" {
			prop.Minimum, prop.Maximum = json.Number(strconv.Itoa(Version)), json.Number(strconv.Itoa(Version))
		}
		annotate(s, t.Field(i).Type, done)
	}
}

func deref(t reflect.Type) reflect.Type {
	if t.Kind() == reflect.Pointer {
		return t.Elem()
	}
	return t
}
