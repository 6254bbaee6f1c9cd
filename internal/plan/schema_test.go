package plan

import (
	"bytes"
	"maps"
	"path/filepath"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/santhosh-tekuri/jsonschema/v6"
)

const schemaFile = "../../schema/littoral-plan-1.schema.json"

func compiledSchema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema()))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource(SchemaID, doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile(SchemaID)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// yamlValue reads YAML as an editor with a schema does.
func yamlValue(t *testing.T, src []byte) any {
	t.Helper()
	var v any
	if err := yaml.Unmarshal(src, &v); err != nil {
		t.Fatal(err)
	}
	j, err := yaml.YAMLToJSON(src)
	if err != nil {
		t.Fatal(err)
	}
	out, err := jsonschema.UnmarshalJSON(bytes.NewReader(j))
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestSchemaIsFresh(t *testing.T) {
	golden(t, schemaFile, string(Schema()))
}

func TestPlansThatReadAreValid(t *testing.T) {
	s := compiledSchema(t)
	all := plans(t, "testdata/*.yaml")
	for _, more := range []string{"testdata/new/*.yaml", "../../examples/*/plan.yaml"} {
		maps.Copy(all, plans(t, more))
	}
	for name, src := range all {
		t.Run(filepath.ToSlash(name), func(t *testing.T) {
			if err := s.Validate(yamlValue(t, src)); err != nil {
				t.Error(err)
			}
		})
	}
}

// What the schema refuses the reader refuses too. Each row changes one thing in a plan that reads.
func TestSchemaAndReaderRefuse(t *testing.T) {
	s := compiledSchema(t)
	minimal := string(plans(t, "testdata/minimal.yaml")["testdata/minimal.yaml"])
	if err := s.Validate(yamlValue(t, []byte(minimal))); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ name, old, new string }{
		{"unknown key", "shape: box", "shape: box\n  colour: blue"},
		{"unknown key at the top", "name: Window seat", "name: Window seat\ntitel: x"},
		{"no unit", "length: 60 cm", "length: 60"},
		{"no unit in quotes", "length: 60 cm", `length: "60"`},
		{"wrong shape", "shape: box", "shape: sphere"},
		{"newer version", "littoral: 1", "littoral: 2"},
		{"version as text", "littoral: 1", `littoral: "1"`},
		{"no name", "name: Window seat", ""},
		{"no water level", "water-level: 32 cm", ""},
		{"list for a group", "inside: {length: 60 cm, width: 30 cm, height: 36 cm}", "inside: [60 cm, 30 cm, 36 cm]"},
		{"group for a list", "[{material: fine quartz sand, depth: 5 cm}]", "{material: fine quartz sand, depth: 5 cm}"},
		{"place of one number", "at: [30,15]", "at: [30]"},
		{"place with units", "at: [30,15]", "at: [30 cm, 15 cm]"},
		{"pots as words", "pots: 4", "pots: four"},
		{"half a pot", "pots: 4", "pots: 4.5"},
		{"hours with unit", "hours: 8", "hours: 8 h"},
		{"time without minutes", `on: "12:00"`, "on: 12"},
		{"share without percent", "hours: 8", "hours: 8, dim: 0.6"},
		{"day as number", "hours: 8", "hours: 8, until: 21"},
		{"list for a value", "water-level: 32 cm", "water-level: [32 cm]"},
		{"no tap", "{tap: {alkalinity: 5 dKH, hardness: 9 dGH}}", "{mix: {pure: 50 %}}"},
		{"unknown task", "filter: {flow", "care: [{every: week, do: sing}]\nfilter: {flow"},
		{"unknown recurrence", "filter: {flow", "care: [{every: fortnight, do: glass}]\nfilter: {flow"},
		{"unknown view", "shape: box", "shape: box\n  seen-from: [top]"},
		{"yes for true", "pots: 4", "pots: 4, afloat: yes please"},
	} {
		t.Run(c.name, func(t *testing.T) {
			src := strings.Replace(minimal, c.old, c.new, 1)
			if src == minimal {
				t.Fatalf("%q is not in the plan", c.old)
			}
			if _, err := Parse([]byte(src), "x.yaml", nil); err == nil {
				t.Error("the reader takes it")
			}
			if err := s.Validate(yamlValue(t, []byte(src))); err == nil {
				t.Error("the schema takes it")
			}
		})
	}
}
