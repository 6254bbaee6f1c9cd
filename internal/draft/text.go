package draft

import (
	"bytes"
	"fmt"
	"littoral/internal/plan"
	"reflect"
	"slices"
	"strconv"
	"strings"
)

// Text is a plan's text, taken apart so that it can be edited in place. It is read-only once made.
type Text struct {
	src  []byte
	root *node
	ids  map[string][]string // of the items of each list, given or derived
	nl   string              // its line break

	outline [][2]float64 // inside of the tank, cm
}

// lists are the lists of a plan that the board edits, with what their items are.
var lists = map[string]reflect.Type{
	"hardscape": reflect.TypeFor[plan.Hardscape](), "plants": reflect.TypeFor[plan.Planting](), "lamps": reflect.TypeFor[plan.Lamp](), "filter": reflect.TypeFor[plan.Filter](),
	"views": reflect.TypeFor[plan.Mark](), "marks": reflect.TypeFor[plan.Mark](), "substrate/layers": reflect.TypeFor[plan.Layer](), "substrate/caps": reflect.TypeFor[plan.Cap](),
}

// numbered are lists whose items have no ids and go by their number, from 1.
func numbered(list string) bool { return strings.HasPrefix(list, "substrate/") }

// NewText takes the text of a plan apart. The plan has to be fresh from its reader. The error is a Refusal where the text is written in a way that is not
// edited in place.
func NewText(p *plan.Plan) (*Text, error) {
	if p.Source == nil {
		return nil, refuse("the plan was not read from a text", "open it from its file")
	}
	t, err := taken(p.Source.Bytes)
	if err != nil {
		return nil, err
	}
	if p.Source.Tree == nil || !agree(t.root, p.Source.Tree) {
		return nil, refuse("the text is written in a way that the drawing board does not edit", "edit the text itself, or write it as other plans do")
	}
	t.ids, t.outline = idsOf(p), points(p.Tank.FootprintCM())
	return t, nil
}

// taken scans a text, with ids still to be told.
func taken(src []byte) (*Text, error) {
	root, err := scan(src)
	if err != nil {
		return nil, err
	}
	t := &Text{src: src, root: root, nl: "\n"}
	if i := bytes.IndexByte(src, '\n'); i > 0 && src[i-1] == '\r' {
		t.nl = "\r\n"
	}
	return t, nil
}

func idsOf(p *plan.Plan) map[string][]string {
	out := map[string][]string{}
	for i := range p.Hardscape {
		out["hardscape"] = append(out["hardscape"], p.Hardscape[i].ID)
	}
	for i := range p.Plants {
		out["plants"] = append(out["plants"], p.Plants[i].ID)
	}
	for i := range p.Lamps {
		out["lamps"] = append(out["lamps"], p.Lamps[i].ID)
	}
	for i := range p.Filter {
		out["filter"] = append(out["filter"], p.Filter[i].ID)
	}
	for i := range p.Views {
		out["views"] = append(out["views"], p.Views[i].ID)
	}
	for i := range p.Marks {
		out["marks"] = append(out["marks"], p.Marks[i].ID)
	}
	return out
}

// String returns the text.
func (t *Text) String() string { return string(t.src) }

// list finds a list of the plan: the entry that has it, in the mapping that has that; nil while it is not written.
func (t *Text) list(name string) (in *node, at int) {
	in = t.root
	keys := strings.Split(name, "/")
	for i, key := range keys {
		if !in.isMap() {
			return nil, -1
		}
		if at = in.find(key); at < 0 || i == len(keys)-1 {
			return in, at
		}
		in = in.entries[at].value
	}
	return in, at
}

// items are the items of a list that is written, one by itself counting as a list of one.
func (t *Text) items(name string) ([]*node, error) {
	in, at := t.list(name)
	if in == nil || at < 0 {
		return nil, nil
	}
	switch v := in.entries[at].value; {
	case v.isList():
		out := make([]*node, len(v.entries))
		for i := range v.entries {
			out[i] = v.entries[i].value
		}
		return out, nil
	case v.isMap():
		return []*node{v}, nil
	case v.kind == missing:
		return nil, nil
	}
	return nil, refuse(fmt.Sprintf("%s is no list in this text", name), "write its items with a dash each")
}

// index finds an item by its id, or number.
func (t *Text) index(list, id string) (int, error) {
	if numbered(list) {
		n, err := strconv.Atoi(id)
		if have, err := t.items(list); err != nil || n < 1 || n > len(have) {
			return 0, refuse(fmt.Sprintf("%s has no item number %q", list, clip(id)), "count from 1, from the bottom up")
		}
		return n - 1, err
	}
	i := slices.Index(t.ids[list], id)
	if i < 0 {
		return 0, refuse(fmt.Sprintf("%s has no item %q", list, clip(id)), "open the board again; it may have been taken out")
	}
	return i, nil
}

// given tells whether an item has its id written.
func given(item *node) bool { return item.isMap() && item.find("id") >= 0 }

// clip shortens a text for an error.
func clip(s string) string {
	if r := []rune(s); len(r) > 60 {
		return string(r[:60]) + "…"
	}
	return s
}

// Patch is how one text becomes another: at a byte, the old bytes give way to new ones.
type Patch struct {
	At       int    `json:"at"`
	Old, New string `json:"-"`
}

// Between returns the patch that makes after out of before: the one stretch in which they differ.
func Between(before, after string) Patch {
	from := 0
	for from < len(before) && from < len(after) && before[from] == after[from] {
		from++
	}
	a, b := len(before), len(after)
	for a > from && b > from && before[a-1] == after[b-1] {
		a, b = a-1, b-1
	}
	return Patch{from, before[from:a], after[from:b]}
}

// Apply makes the change; ok is false when the text is not the one that the patch is for.
func (p Patch) Apply(text string) (after string, ok bool) {
	if p.At < 0 || p.At+len(p.Old) > len(text) || text[p.At:p.At+len(p.Old)] != p.Old {
		return "", false
	}
	return text[:p.At] + p.New + text[p.At+len(p.Old):], true
}

// Inverse is the patch that takes p back.
func (p Patch) Inverse() Patch { return Patch{p.At, p.New, p.Old} }
