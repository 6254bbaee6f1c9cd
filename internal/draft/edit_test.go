package draft

import (
	"errors"
	"fmt"
	"littoral/internal/plan"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
	"pgregory.net/rapid"
)

// files gives the files beside a demo's plan.
func files(dir string) plan.FileReader {
	return func(name string) ([]byte, error) { return os.ReadFile(filepath.Join(dir, name)) }
}

const demos = "../../examples"

func demoText(t testing.TB, name string) (string, plan.FileReader) {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(demos, name, "plan.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	return string(b), files(filepath.Join(demos, name))
}

type failer interface {
	Helper()
	Fatalf(format string, args ...any)
}

func opened(t failer, src string, f plan.FileReader) (*Text, *plan.Plan) {
	t.Helper()
	p, err := plan.Parse([]byte(src), "plan.yaml", f)
	if err != nil {
		t.Fatalf("the plan does not read: %v\n%s", err, src)
	}
	text, err := NewText(p)
	if err != nil {
		t.Fatalf("the text is not taken apart: %v\n%s", err, src)
	}
	return text, p
}

// head is what a plan needs besides what is edited.
const head = `littoral: 1
name: Test tank   # of the board
tank: {shape: box, inside: {length: 120 cm, width: 50 cm, height: 50 cm}, water-level: 46 cm}
water: {tap: {alkalinity: 5 dKH, hardness: 8 dGH}}
substrate:
  layers:
    - {material: active soil, heights: {points: [[0, 0, 4], [120, 0, 4], [60, 25, 7], [0, 50, 9], [120, 50, 9]]}}
`

func TestEditsInPlace(t *testing.T) {
	const flow = head + `hardscape:
  # the big one
  - {id: root, kind: wood, material: waterlogged hardwood, shape: {branch: {length: 36 cm, height: 20 cm, thick: 4 cm}}, at: [56, 26], turn: 165°} # keep
  - {kind: stone, material: slate, shape: {boulder: {length: 18 cm, width: 12 cm, height: 10 cm}}, at: [48.5, 16], sink: 0.8 in}
plants:
- species: "Java fern"   # by hand
  pots: 3
  on: root

- species: Vallisneria nana
  pots: 2
  at:
    - [10, 40]   # left
    - [20, 40]
filter: {flow: 900 L/h, media: 3 L} # one
`
	for _, c := range []struct {
		name     string
		edits    []Edit
		old, new string // what becomes what; the rest stays
	}{
		{"a place between brackets", []Edit{{Op: "set", List: "hardscape", ID: "root", Field: "at", Value: []any{60.04, 26.0}}}, "at: [56, 26]", "at: [60.04, 26]"},
		{"only the number that has changed", []Edit{{Op: "set", List: "hardscape", ID: "stone-1", Field: "at", Value: []any{48.5, 17.0}}}, "- {kind: stone, material: slate, shape: {boulder: {length: 18 cm, width: 12 cm, height: 10 cm}}, at: [48.5, 16]", "- {id: stone-1, kind: stone, material: slate, shape: {boulder: {length: 18 cm, width: 12 cm, height: 10 cm}}, at: [48.5, 17]"},
		{"an angle without a unit is degrees", []Edit{{Op: "set", List: "hardscape", ID: "root", Field: "turn", Value: 12.34}}, "turn: 165°", "turn: 12.3°"},
		{"a new key goes behind the others", []Edit{{Op: "set", List: "hardscape", ID: "root", Field: "sink", Value: 3.0}}, "turn: 165°} # keep", "turn: 165°, sink: 3 cm} # keep"},
		{"a key goes with its comma", []Edit{{Op: "set", List: "hardscape", ID: "root", Field: "turn"}}, ", turn: 165°} # keep", "} # keep"},
		{"the first key goes with its comma", []Edit{{Op: "set", List: "hardscape", ID: "root", Field: "shape/branch/length"}}, "{length: 36 cm, height", "{height"},
		{"a measure deep inside", []Edit{{Op: "set", List: "hardscape", ID: "root", Field: "shape/branch/length", Value: 40.0}}, "length: 36 cm", "length: 40 cm"},
		{"inches stay inches", []Edit{{Op: "set", List: "hardscape", ID: "stone-1", Field: "sink", Value: 5.08}}, "- {kind: stone, material: slate, shape: {boulder: {length: 18 cm, width: 12 cm, height: 10 cm}}, at: [48.5, 16], sink: 0.8 in", "- {id: stone-1, kind: stone, material: slate, shape: {boulder: {length: 18 cm, width: 12 cm, height: 10 cm}}, at: [48.5, 16], sink: 2 in"},
		{"lines with keys", []Edit{{Op: "set", List: "plants", ID: "vallisneria-nana-1", Field: "pots", Value: 3.0}, {Op: "set", List: "plants", ID: "vallisneria-nana-1", Field: "at", Value: []any{[]any{10.0, 40.0}, []any{20.0, 41.0}, []any{30.0, 40.0}}}}, `- species: Vallisneria nana
  pots: 2
  at:
    - [10, 40]   # left
    - [20, 40]
`, `- id: vallisneria-nana-1
  species: Vallisneria nana
  pots: 3
  at:
    - [10, 40]   # left
    - [20, 41]
    - [30, 40]
`},
		{"a line goes", []Edit{{Op: "set", List: "plants", ID: "vallisneria-nana-1", Field: "pots", Value: 1.0}, {Op: "set", List: "plants", ID: "vallisneria-nana-1", Field: "at", Value: []any{[]any{10.0, 40.0}}}}, `- species: Vallisneria nana
  pots: 2
  at:
    - [10, 40]   # left
    - [20, 40]
`, `- id: vallisneria-nana-1
  species: Vallisneria nana
  pots: 1
  at:
    - [10, 40]   # left
`},
		{"quotes stay", []Edit{{Op: "set", List: "plants", ID: "leptochilus-pteropus-1", Field: "locked", Value: true}}, `- species: "Java fern"   # by hand
  pots: 3
  on: root
`, `- id: leptochilus-pteropus-1
  species: "Java fern"   # by hand
  pots: 3
  on: root
  locked: true
`},
		{"a new item as its neighbours", []Edit{{Op: "add", List: "plants", Value: map[string]any{"species": "Cryptocoryne parva", "pots": 1.0, "at": []any{[]any{5.0, 6.123}}}}}, "    - [20, 40]\n", "    - [20, 40]\n- id: cryptocoryne-parva\n  species: Cryptocoryne parva\n  pots: 1\n  at: [[5, 6.12]]\n"},
		{"a new item behind another", []Edit{{Op: "add", List: "hardscape", After: "root", Value: map[string]any{"kind": "stone", "material": "slate", "shape": map[string]any{"slab": map[string]any{"length": 20.0, "width": 12.0, "thickness": "5 cm"}}, "at": []any{30.0, 30.0}}}}, "turn: 165°} # keep\n", "turn: 165°} # keep\n  - {id: stone, kind: stone, material: slate, shape: {slab: {length: 20 cm, width: 12 cm, thickness: 5 cm}}, at: [30, 30]}\n"},
		{"the first lamp", []Edit{{Op: "add", List: "lamps", Value: map[string]any{"kind": "panel", "at": []any{60.0, 25.0}, "above-water": 20.0, "ppf": "60 µmol/s"}}}, "media: 3 L} # one\n", "media: 3 L} # one\nlamps:\n  - {id: panel, kind: panel, at: [60, 25], above-water: 20 cm, ppf: 60 µmol/s}\n"},
		{"the first cap", []Edit{{Op: "add", List: "substrate/caps", Value: map[string]any{"material": "cosmetic sand", "depth": 2.0}}}, "[0, 50, 9], [120, 50, 9]]}}\n", "[0, 50, 9], [120, 50, 9]]}}\n  caps:\n    - {material: cosmetic sand, depth: 2 cm}\n"},
		{"a second filter", []Edit{{Op: "add", List: "filter", Value: map[string]any{"flow": "500 L/h", "media": "2 L"}}}, "filter: {flow: 900 L/h, media: 3 L} # one", "filter: [{flow: 900 L/h, media: 3 L}, {id: filter, flow: 500 L/h, media: 2 L}] # one"},
		{"an item goes with its line", []Edit{{Op: "remove", List: "hardscape", ID: "stone-1"}}, "  - {kind: stone, material: slate, shape: {boulder: {length: 18 cm, width: 12 cm, height: 10 cm}}, at: [48.5, 16], sink: 0.8 in}\n", ""},
		{"the plan itself", []Edit{{Op: "set", Field: "tank/water-level", Value: 44.0}}, "water-level: 46 cm", "water-level: 44 cm"},
		{"a new name takes along what sits on it", []Edit{{Op: "set", List: "hardscape", ID: "root", Field: "id", Value: "main-root"}, {Op: "set", List: "hardscape", ID: "main-root", Field: "group", Value: "left: rocks"}}, "", ""},
		{"ground", []Edit{{Op: "set", List: "substrate/layers", ID: "1", Field: "heights/points", Value: []any{[]any{0.0, 0.0, 5.0}, []any{120.0, 0.0, 4.0}, []any{60.0, 25.0, 7.0}, []any{0.0, 50.0, 9.0}, []any{120.0, 50.0, 9.0}}}}, "[[0, 0, 4]", "[[0, 0, 5]"},
	} {
		for _, breaks := range []string{"\n", "\r\n"} {
			t.Run(c.name+strconv.Quote(breaks), func(t *testing.T) {
				src := strings.ReplaceAll(flow, "\n", breaks)
				text, _ := opened(t, src, nil)
				after, _, err := text.Apply(c.edits)
				if err != nil {
					t.Fatal(err)
				}
				if c.name != "the first key goes with its comma" { // it is one that a plan needs
					opened(t, after.String(), nil)
				}
				if text.String() != src {
					t.Error("the text that was edited has changed itself")
				}
				if c.old == "" && c.new == "" {
					return
				}
				want := strings.Replace(src, strings.ReplaceAll(c.old, "\n", breaks), strings.ReplaceAll(c.new, "\n", breaks), 1)
				if got := after.String(); got != want {
					t.Errorf("got\n%s\nwant\n%s", got, want)
				}
			})
		}
	}
}

// A plant is tied to a piece where it was clicked.
func TestTiedWhereClicked(t *testing.T) {
	src, f := demoText(t, "quay-street-library")
	text, _ := opened(t, src, f)
	after, changed, err := text.Apply([]Edit{{Op: "add", List: "plants", Value: map[string]any{"species": "Anubias barteri var. nana", "pots": 1.0, "on": "ledge-stone", "at": []any{[]any{146.0, 32.0}}}}})
	if err != nil {
		t.Fatal(err)
	}
	_, p := opened(t, after.String(), f)
	d, err := Open(p, 1, nil)
	if err != nil {
		t.Fatal(err)
	}
	spots := d.Places[changed[0]]
	if len(spots) != 1 || spots[0].On != "ledge-stone" || spots[0].X != 1.46 || spots[0].Y != 0.32 || spots[0].Z < 0.06 {
		t.Errorf("it sits at %+v", spots)
	}
	b := d.Board()
	q := b.Plants[len(b.Plants)-1]
	if q.Way != "on" || len(q.PointsCM) != 1 || q.PointsCM[0] != [2]float64{146, 32} {
		t.Errorf("the board shows it as %+v", q)
	}
}

func TestANewNameTakesAlongWhatNamesIt(t *testing.T) {
	src, f := demoText(t, "quay-street-library")
	text, _ := opened(t, src, f)
	after, changed, err := text.Apply([]Edit{{Op: "set", List: "hardscape", ID: "main-root", Field: "id", Value: "old-root"}})
	if err != nil {
		t.Fatal(err)
	}
	if got, want := after.String(), strings.ReplaceAll(src, "main-root", "old-root"); got != want || !slices.Equal(changed, []string{"old-root"}) {
		t.Errorf("changed %v, differs by %+v", changed, Between(want, got))
	}
	opened(t, after.String(), f)
}

func TestEditsThatCannotBeMade(t *testing.T) {
	src, f := demoText(t, "reading-desk")
	text, p := opened(t, src, f)
	id := p.Hardscape[0].ID
	for name, e := range map[string]Edit{
		"an item that is not there":   {Op: "set", List: "hardscape", ID: "nobody", Field: "at", Value: []any{1.0, 2.0}},
		"a layer that is not there":   {Op: "set", List: "substrate/layers", ID: "9", Field: "depth", Value: 3.0},
		"a list that is not there":    {Op: "set", List: "care", ID: "changes", Field: "share", Value: "40 %"},
		"a field that is no word":     {Op: "set", List: "hardscape", ID: id, Field: "at: [1, 2], x", Value: "y"},
		"an operation that is none":   {Op: "paint", List: "hardscape", ID: id},
		"an item without keys":        {Op: "add", List: "plants", Value: "fern"},
		"an id that is taken":         {Op: "add", List: "plants", Value: map[string]any{"id": id, "species": "Java fern"}},
		"nothing inside a list":       {Op: "set", List: "hardscape", ID: id, Field: "at", Value: []any{nil, 2.0}},
		"a brush over no ground":      {Op: "brush", List: "hardscape", ID: id},
		"a brush without a way":       {Op: "brush", List: "substrate/layers", ID: "1", Value: map[string]any{"radius_cm": 8.0}},
		"a list set from the outside": {Op: "set", Field: "hardscape", Value: []any{}},
	} {
		after, _, err := text.Apply([]Edit{e})
		var r *Refusal
		if !errors.As(err, &r) || r.Cure == "" || after != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// generic reads a text as plain lists, groups and words, by another hand than the board's.
func generic(t failer, src string) map[string]any {
	t.Helper()
	var v map[string]any
	if err := yaml.Unmarshal([]byte(src), &v); err != nil {
		t.Fatalf("%v\n%s", err, src)
	}
	return v
}

// written gives a plan in one of the many ways in which it can be written.
type written struct{ *rapid.T }

func (w written) pick(what string, of ...string) string { return rapid.SampledFrom(of).Draw(w.T, what) }

func (w written) comment() string {
	return w.pick("comment", "", "", "", " # a remark: [1, 2]", "\t# with a tab", "   # läßt, µ, 水草 🌿")
}

// item writes the keys of an item on one line, on several between braces, or with a line each.
func (w written) item(keys []string, pad string) string {
	quote := func(kv string) string {
		k, v, _ := strings.Cut(kv, ": ")
		if !strings.ContainsAny(v, "[]{}\"") && w.pick("quotes", "no", "no", "'", `"`) != "no" {
			if _, err := strconv.ParseFloat(v, 64); err != nil && v != "true" {
				return k + ": " + w.pick("quote", `"`+v+`"`, "'"+v+"'")
			}
		}
		return kv
	}
	out := make([]string, len(keys))
	for i := range keys {
		out[i] = quote(keys[i])
	}
	switch w.pick("style", "line", "braces", "block") {
	case "line":
		return "{" + strings.Join(out, w.pick("comma", ", ", ",  ", " , ")) + w.pick("closing", "}", " }", ",}") + w.comment()
	case "braces":
		sep := "," + w.comment() + "\n" + pad + "    "
		return "{" + w.pick("opening", "", "\n"+pad+"    ") + strings.Join(out, sep) + w.pick("closing", "}", "\n"+pad+"}") + w.comment()
	}
	s := ""
	for i, kv := range out {
		if i > 0 {
			s += "\n" + pad + "  "
			if w.pick("gap", "no", "no", "no", "yes") == "yes" {
				s += "# between\n" + pad + "  "
			}
		}
		s += kv + w.comment()
	}
	return s
}

func (w written) plan() (string, map[string]int) {
	count := map[string]int{}
	var s strings.Builder
	s.WriteString(w.pick("before", "", "# a plan\n", "---\n") + head)
	names := map[string]func(i int) []string{
		"hardscape": func(i int) []string {
			return []string{"kind: stone", "material: slate", "shape: {boulder: {length: 18 cm, width: 12 cm, height: 10 cm}}", fmt.Sprintf("at: [%d, %d.5]", 10+7*i, 11+2*i), "turn: 12°"}
		},
		"plants": func(i int) []string {
			k := []string{"species: " + w.pick("species", "Cryptocoryne parva", "Java fern", "Staurogyne repens", "Vallisneria nana"), "pots: 2"}
			return append(k, w.pick("way", fmt.Sprintf("at: [[%d, 8], [%d, 9]]", 5+9*i, 8+9*i), fmt.Sprintf("along: [[%d, 30], [%d, 32]]", 5+9*i, 9+9*i), fmt.Sprintf("in: [[%d, 20], [%d, 20], [%d, 30]]", 5+9*i, 12+9*i, 9+9*i)))
		},
	}
	for _, list := range []string{"hardscape", "plants"} {
		n := rapid.IntRange(0, 5).Draw(w.T, list)
		count[list] = n
		if n == 0 {
			s.WriteString(w.pick("nothing", "", list+":\n", list+": []\n", list+":   # none yet\n"))
			continue
		}
		flow := w.pick("list", "dashes", "dashes", "dashes", "brackets") == "brackets"
		pad := w.pick("pad", "", "  ", "    ")
		if flow {
			s.WriteString(list + ": [")
		} else {
			s.WriteString(list + ":" + w.comment() + "\n")
		}
		for i := range n {
			keys := names[list](i)
			if w.pick("id", "yes", "no") == "yes" {
				keys = slices.Insert(keys, rapid.IntRange(0, 1).Draw(w.T, "where"), fmt.Sprintf("id: %s-no-%d", list, i))
			}
			if flow {
				if i > 0 {
					s.WriteString(",\n  ")
				}
				item := written{w.T}
				text := item.item(keys, "  ")
				for !strings.HasPrefix(text, "{") || strings.Contains(text[strings.LastIndex(text, "}"):], "#") {
					text = "{" + strings.Join(keys, ", ") + "}"
				}
				s.WriteString(text)
				continue
			}
			if w.pick("above", "no", "no", "yes") == "yes" {
				s.WriteString(pad + "# about the next one\n")
			}
			s.WriteString(pad + "- " + w.item(keys, pad) + "\n")
			if w.pick("empty", "no", "no", "yes") == "yes" {
				s.WriteString("\n")
			}
		}
		if flow {
			s.WriteString("]\n")
		}
	}
	s.WriteString(w.pick("after", "", "filter: {flow: 900 L/h, media: 3 L}", "filter: {flow: 900 L/h, media: 3 L}\n# the end\n", "\n"))
	text := s.String()
	if w.pick("breaks", "unix", "unix", "windows") == "windows" {
		text = strings.ReplaceAll(text, "\n", "\r\n")
	}
	return text, count
}

// edit draws an edit of a plan that keeps it one, and makes it in the plain reading of the text as well.
func (w written) edit(ids map[string][]string, v map[string]any) (Edit, bool) {
	list := w.pick("list", "hardscape", "plants")
	have, _ := v[list].([]any)
	n := rapid.Float64Range(1, 49)
	num := func(what string) float64 { return round(n.Draw(w.T, what), 100) }
	if len(have) == 0 || w.pick("op", "set", "set", "set", "add", "remove", "move") == "add" {
		item := map[string]any{"species": "Cryptocoryne parva", "pots": 1.0, "at": []any{[]any{num("x"), num("y")}}}
		if list == "hardscape" {
			item = map[string]any{"kind": "stone", "material": "slate", "at": []any{num("x"), num("y")}, "shape": map[string]any{"boulder": map[string]any{"length": 10.0, "width": "8 cm", "height": 7.5}}}
		}
		e := Edit{Op: "add", List: list, Value: item}
		at := len(have)
		if len(have) > 0 && w.pick("where", "end", "after") == "after" {
			i := rapid.IntRange(0, len(have)-1).Draw(w.T, "after")
			e.After, at = ids[list][i], i+1
		}
		kept := map[string]any{}
		for k, x := range item {
			kept[k] = x
		}
		if list == "hardscape" {
			kept["shape"] = map[string]any{"boulder": map[string]any{"length": "10 cm", "width": "8 cm", "height": "7.5 cm"}}
		}
		kept["id"] = "?"
		v[list] = slices.Insert(slices.Clone(have), at, any(kept))
		return e, true
	}
	i := rapid.IntRange(0, len(have)-1).Draw(w.T, "item")
	item := have[i].(map[string]any)
	e := Edit{List: list, ID: ids[list][i]}
	switch w.pick("op", "at", "at", "turn", "group", "remove", "move", "out") {
	case "at":
		e.Op, e.Field = "set", "at"
		if list == "plants" {
			if item["at"] == nil {
				return e, false
			}
			var list []any
			for range item["at"].([]any) {
				list = append(list, []any{num("x"), num("y")})
			}
			e.Value = list
		} else {
			e.Value = []any{num("x"), num("y")}
		}
		item["at"] = e.Value
	case "turn":
		if list == "plants" {
			return e, false
		}
		d := float64(rapid.IntRange(0, 359).Draw(w.T, "turn"))
		e.Op, e.Field, e.Value = "set", "turn", d
		item["turn"] = tidy(d, 1) + "°"
	case "group":
		e.Op, e.Field, e.Value = "set", "group", w.pick("group", "rocks", "left: rocks, #1", "yes", "12", "it's \"so\"", "12:30", " x", "Größe 水 🌿")
		item["group"] = e.Value
	case "out":
		e.Op, e.Field = "set", w.pick("field", "group", "turn")
		delete(item, e.Field)
		if list == "plants" && e.Field == "turn" {
			return e, false
		}
		e.Value = nil
		return e, true // an id may or may not be written; what comes out is compared without
	case "remove":
		e.Op = "remove"
		v[list] = slices.Delete(slices.Clone(have), i, i+1)
		return e, true
	case "move":
		e.Op = "move"
		to := rapid.IntRange(-1, len(have)-1).Draw(w.T, "to")
		if to >= 0 {
			e.After = ids[list][to]
		}
		if to == i {
			return e, true
		}
		rest := slices.Delete(slices.Clone(have), i, i+1)
		if to > i {
			to--
		}
		v[list] = slices.Insert(rest, to+1, any(item))
		return e, true
	}
	return e, true
}

// plainly takes ids and empty lists out and makes numbers of one kind, so that two readings can be compared.
func plainly(v any) any {
	switch x := v.(type) {
	case map[string]any:
		out := map[string]any{}
		for k, y := range x {
			if y = plainly(y); k != "id" && y != nil {
				out[k] = y
			}
		}
		return out
	case []any:
		if len(x) == 0 {
			return nil
		}
		out := make([]any, len(x))
		for i := range x {
			out[i] = plainly(x[i])
		}
		return out
	case int:
		return float64(x)
	case uint64:
		return float64(x)
	case int64:
		return float64(x)
	}
	return v
}

// Whatever way a plan is written in, a step of edits gives the plan that the same changes of lists and groups give, only bytes of what is changed
// differ, and every step undone gives the very bytes before it; done again, those after it.
func TestAnySequenceOfEdits(t *testing.T) {
	made, refused := 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		w := written{rt}
		src, _ := w.plan()
		text, _ := opened(rt, src, nil)
		first, steps := src, []Patch{}
		for range rapid.IntRange(1, 5).Draw(rt, "steps") {
			v := generic(rt, text.String())
			ids := map[string][]string{}
			for list, of := range text.ids {
				ids[list] = slices.Clone(of)
			}
			var edits []Edit
			for range rapid.IntRange(1, 3).Draw(rt, "edits") {
				e, ok := w.edit(ids, v)
				if !ok {
					continue
				}
				edits = append(edits, e)
				switch e.Op { // edits after it name items by where they then are
				case "add":
					at := len(ids[e.List])
					if e.After != "" {
						at = slices.Index(ids[e.List], e.After) + 1
					}
					ids[e.List] = slices.Insert(ids[e.List], at, w.nextID(text, edits))
				case "remove":
					i := slices.Index(ids[e.List], e.ID)
					ids[e.List] = slices.Delete(ids[e.List], i, i+1)
				case "move":
					i, to := slices.Index(ids[e.List], e.ID), -1
					if e.After != "" {
						to = slices.Index(ids[e.List], e.After)
					}
					if to == i {
						continue
					}
					ids[e.List] = slices.Delete(ids[e.List], i, i+1)
					if to > i {
						to--
					}
					ids[e.List] = slices.Insert(ids[e.List], to+1, e.ID)
				}
			}
			after, _, err := text.Apply(edits)
			if err != nil {
				refused++
				rt.Fatalf("refused: %v\n%+v\n%s", err, edits, text.String())
			}
			made += len(edits)
			if got, want := plainly(generic(rt, after.String())), plainly(v); !reflect.DeepEqual(got, want) {
				rt.Fatalf("edits %+v of\n%s\ngave\n%s\nwhich reads as\n%v\nwant\n%v", edits, text, after, got, want)
			}
			for _, line := range strings.Split(text.String(), "\n") { // comments in lines of their own stay
				if c := strings.TrimSpace(line); strings.HasPrefix(c, "# about") && !strings.Contains(after.String(), c) {
					rt.Fatalf("the comment %q is gone", c)
				}
			}
			step := Between(text.String(), after.String())
			if back, ok := step.Inverse().Apply(after.String()); !ok || back != text.String() {
				rt.Fatalf("undone it is\n%s\nwant\n%s", back, text)
			}
			if again, ok := step.Apply(text.String()); !ok || again != after.String() {
				rt.Fatalf("done again it is\n%s\nwant\n%s", again, after)
			}
			steps = append(steps, step)
			text, _ = opened(rt, after.String(), nil)
		}
		now := text.String()
		for i := len(steps) - 1; i >= 0; i-- {
			now, _ = steps[i].Inverse().Apply(now)
		}
		if now != first {
			rt.Fatalf("all undone it is\n%s\nwant\n%s", now, first)
		}
	})
	t.Logf("%d edits made, %d refused", made, refused)
	if made < 100 {
		t.Errorf("only %d edits were made", made)
	}
}

// nextID is the id that the last of the edits, which adds an item, gets.
func (w written) nextID(text *Text, edits []Edit) string {
	after, changed, err := text.Apply(edits)
	if err != nil || after == nil {
		w.Fatalf("refused: %v\n%+v\n%s", err, edits, text)
	}
	return changed[len(changed)-1]
}

// Changes of different items commute, whichever of them is made on the drawing and whichever in the text.
func TestEditsOfDifferentItemsCommute(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		w := written{rt}
		src, count := w.plan()
		if count["hardscape"]+count["plants"] < 2 {
			return
		}
		text, _ := opened(rt, src, nil)
		type place struct {
			list string
			i    int
		}
		var all []place
		for _, list := range []string{"hardscape", "plants"} {
			for i := range count[list] {
				all = append(all, place{list, i})
			}
		}
		a := rapid.IntRange(0, len(all)-1).Draw(rt, "a")
		b := (a + rapid.IntRange(1, len(all)-1).Draw(rt, "b")) % len(all)
		edit := func(p place, what string) Edit {
			e := Edit{Op: "set", List: p.list, ID: text.ids[p.list][p.i]}
			switch w.pick(what, "group", "locked", "out", "pots") {
			case "group":
				e.Field, e.Value = "group", w.pick(what+" name", "rocks", "12", "a: b")
			case "locked":
				e.Field, e.Value = "locked", true
			case "out":
				e.Field = map[string]string{"hardscape": "turn", "plants": "group"}[p.list]
			default:
				e.Field, e.Value = map[string]string{"hardscape": "sink", "plants": "height"}[p.list], round(rapid.Float64Range(1, 8).Draw(rt, what+" cm"), 100)
			}
			return e
		}
		ea, eb := edit(all[a], "edit a"), edit(all[b], "edit b")
		apply := func(t *Text, e ...Edit) *Text {
			out, _, err := t.Apply(e)
			if err != nil {
				rt.Fatalf("%v", err)
			}
			return out
		}
		one, two, both := apply(apply(text, ea), eb), apply(apply(text, eb), ea), apply(text, ea, eb)
		if one.String() != two.String() || one.String() != both.String() {
			rt.Fatalf("%+v and %+v of\n%s\ngave\n%s\nand\n%s\nand together\n%s", ea, eb, text, one, two, both)
		}
		// By hand: a word of item b is changed in the text, before or after the drawing changes item a.
		items, err := text.items(all[b].list)
		if err != nil {
			rt.Fatalf("%v", err)
		}
		n := items[all[b].i]
		key := map[string]string{"hardscape": "material", "plants": "pots"}[all[b].list]
		v := n.entries[n.find(key)].value
		by := map[string]string{"hardscape": "granite", "plants": "2   "}[all[b].list] // the same number, other bytes
		hand := src[:v.start] + by + src[v.end:]
		typed, _ := opened(rt, hand, nil)
		drawnThen := apply(text, ea).String()
		step := Between(text.String(), hand)
		moved := apply(typed, ea).String()
		if shift := len(drawnThen) - len(src); step.At > 0 { // the same words, found again behind or before what the drawing changed
			at := v.start
			if len(drawnThen) < v.end || drawnThen[:v.end] != src[:v.end] {
				at += shift
			}
			if drawnThen[at:at+v.end-v.start] != src[v.start:v.end] {
				rt.Fatalf("%+v changed item %s", ea, eb.ID)
			}
			if typedThen := drawnThen[:at] + by + drawnThen[at+v.end-v.start:]; typedThen != moved {
				rt.Fatalf("typed then drawn:\n%s\ndrawn then typed:\n%s", moved, typedThen)
			}
		}
	})
}

// Any text in: never a panic; and what is edited is taken apart again, and is the same again when the edit is taken back.
func FuzzEdit(f *testing.F) {
	for _, name := range []string{"quay-street-library", "assay-hall", "reading-desk"} {
		src, _ := demoText(f, name)
		f.Add(src, "hardscape", "at", 12.5)
		f.Add(strings.ReplaceAll(src, "\n", "\r\n"), "plants", "height", 3.0)
	}
	for _, src := range []string{
		head + "plants:\n- {species: x, pots: 1, at: [[1, 2]]}\n", "a: &b [*b]", "a: |\n  text\n b: c", "{a: [1, {b: 'it''s'}], \"c\\u00e4\": }", "a:\n- - b\n  -\n-\n", "? a\n: b", "a: b: c", "a: 'x\n y'", "\ta: b",
		"hardscape: [{}, {a: 1,}, ]", "hardscape:\n  -\n", "hardscape: {kind: stone}", "plants:\n  - id: a\n    at:\n      - [1, 2]\n", "plants: []", "a: \"\\", "a: >-\n\n\n", "a: {b: c", "---\na: 1\n---\n", "a: 1 # b\n#c",
	} {
		f.Add(src, "plants", "pots", 1.0)
	}
	f.Fuzz(func(t *testing.T, src, list, field string, value float64) {
		text, err := taken([]byte(src))
		if err != nil {
			return
		}
		if lists[list] == nil {
			list = "plants"
		}
		items, err := text.items(list)
		if err != nil {
			return
		}
		text.ids = map[string][]string{}
		for i := range items {
			text.ids[list] = append(text.ids[list], "item-"+strconv.Itoa(i))
		}
		for _, edits := range [][]Edit{
			{{Op: "set", List: list, ID: "item-0", Field: field, Value: value}},
			{{Op: "set", List: list, ID: "item-0", Field: "at", Value: []any{value, 2.0}}},
			{{Op: "set", List: list, ID: "item-0", Field: "at"}},
			{{Op: "set", List: list, ID: "item-0", Field: "at", Value: []any{[]any{value, 2.0}, []any{value, 3.0}}}, {Op: "set", List: list, ID: "item-1", Field: "group", Value: field}},
			{{Op: "add", List: list, Value: map[string]any{"kind": field, "at": []any{value, 1.0}}}},
			{{Op: "add", List: list, After: "item-0", Value: map[string]any{field: value, "name": "x"}}},
			{{Op: "remove", List: list, ID: "item-0"}},
			{{Op: "remove", List: list, ID: "item-1"}, {Op: "remove", List: list, ID: "item-0"}},
			{{Op: "move", List: list, ID: "item-0", After: "item-1"}},
			{{Op: "move", List: list, ID: "item-1"}},
			{{Op: "set", Field: "tank/" + field, Value: value}},
			{{Op: "brush", List: "substrate/layers", ID: "1", Value: map[string]any{"at_cm": []any{[]any{value, 2.0}}, "radius_cm": 9.0, "raise_cm": 2.0}}},
		} {
			after, _, err := text.Apply(edits)
			if err != nil {
				continue
			}
			if _, err := taken([]byte(after.String())); err != nil {
				t.Fatalf("%+v made a text that is not taken apart: %v\n%q\n%q", edits, err, src, after)
			}
			p := Between(src, after.String())
			if back, ok := p.Inverse().Apply(after.String()); !ok || back != src {
				t.Fatalf("%+v is not taken back", edits)
			}
		}
	})
}
