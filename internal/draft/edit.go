package draft

import (
	"encoding/json"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// Edit is one change of a plan's text.
type Edit struct {
	Op    string `json:"op" enum:"set,add,remove,move,brush" doc:"set: one field of an item; add: a whole item; remove: an item; move: its order in the list; brush: shape the ground"`
	List  string `json:"list,omitempty" enum:"hardscape,plants,lamps,filter,views,marks,substrate/layers,substrate/caps," doc:"list of the plan; empty = the plan itself"`
	ID    string `json:"id,omitempty" maxLength:"80" doc:"of the item; layers and caps are named by their number in the list, from 1"`
	Field string `json:"field,omitempty" maxLength:"120" doc:"set: key, those of groups with a stroke, such as at, shape/boulder/length or, of the plan itself, tank/water-level"`
	Value any    `json:"value,omitempty" doc:"set: the field's new value, none = the field is taken out; add: the whole item; brush: the stroke. Numbers and lists are written as they are, lengths and angles as text with their unit, or as numbers in cm and degrees"`
	After string `json:"after,omitempty" maxLength:"80" doc:"add and move: id of the item that it comes after; empty = at the end for add, at the beginning for move"`
}

// Stroke is one pass of a brush over the ground.
type Stroke struct {
	At       [][2]float64 `json:"at_cm" doc:"the brush's way, in cm"`
	RadiusCM float64      `json:"radius_cm" doc:"half its width; its force falls off to nothing at the rim"`
	RaiseCM  float64      `json:"raise_cm,omitempty" doc:"how much its middle raises the ground; below 0 it lowers it"`
	Smooth   float64      `json:"smooth,omitempty" doc:"in place of raise: 0 to 1, how far it brings the ground to the mean around it"`
	LevelCM  *float64     `json:"level_cm,omitempty" doc:"in place of raise: height to which it brings the ground, as for a terrace"`
}

// most edits of one step, and letters of an id that is made.
const (
	mostEdits = 5000
	mostID    = 50
)

// Apply makes edits one after the other and returns the new text; t stays as it is. It tells the ids of the items that were changed, added or
// taken out, GroundID for the bed. An edit that
// cannot be made is a Refusal, and then none is made. That the result is a plan is for the reader of plans to say.
func (t *Text) Apply(edits []Edit) (after *Text, changed []string, err error) {
	if len(edits) > mostEdits {
		return nil, nil, refuse(fmt.Sprintf("%d edits are more than one step may have", len(edits)), fmt.Sprintf("send at most %d", mostEdits))
	}
	w := &writer{next: map[string][]string{}}
	for list, ids := range t.ids {
		w.next[list] = slices.Clone(ids)
	}
	w.begin(t)
	for i := range edits {
		if err := w.edit(&edits[i]); err != nil {
			return nil, nil, err
		}
	}
	if err := w.flush(); err != nil {
		return nil, nil, err
	}
	return w.cut.Text, w.changed, nil
}

// writer makes edits one after the other. Edits of different places are collected and made together, since taking a text apart again for each would be
// slow; an edit that needs to see what another did waits until that is written.
type writer struct {
	cut     *cutter
	next    map[string][]string // ids as they are once all that is collected is made
	changed []string

	fields  map[string][]string // of items that are touched: the fields that are, "" = the whole item
	anchors map[string]bool     // items after which one is put
	loose   map[string]bool     // lists of which items are taken out
}

// begin starts to collect changes of a text.
func (w *writer) begin(t *Text) {
	w.cut = &cutter{Text: t}
	w.fields, w.anchors, w.loose = map[string][]string{}, map[string]bool{}, map[string]bool{}
}

// flush makes what was collected.
func (w *writer) flush() error {
	if len(w.cut.out) == 0 {
		w.begin(w.cut.Text)
		return nil
	}
	t, err := taken(w.cut.done())
	if err != nil {
		return refuse("the change could not be written into this text", "edit the text itself")
	}
	t.outline, t.ids = w.cut.outline, map[string][]string{}
	for list, ids := range w.next {
		t.ids[list] = slices.Clone(ids)
	}
	w.begin(t)
	return nil
}

// alone makes an edit that sees all before it, and that all after it see.
func (w *writer) alone(do func() error) error {
	if err := w.flush(); err != nil {
		return err
	}
	if err := do(); err != nil {
		return err
	}
	return w.flush()
}

func (w *writer) edit(e *Edit) error {
	if e.List != "" && lists[e.List] == nil {
		return refuse(fmt.Sprintf("%q is no list of the board", clip(e.List)), "name one of hardscape, plants, lamps, filter, views, marks, substrate/layers and substrate/caps")
	}
	if e.List == "" && e.Op != "set" {
		return refuse("only fields of the plan itself can be set outside of a list", "name the list")
	}
	switch e.Op {
	case "set":
		return w.set(e)
	case "add":
		return w.add(e)
	case "remove":
		return w.remove(e)
	case "move":
		return w.alone(func() error { return w.move(e) })
	case "brush":
		return w.alone(func() error { return w.brush(e) })
	}
	return refuse(fmt.Sprintf("%q is nothing that an edit does", clip(e.Op)), "send set, add, remove, move or brush")
}

// touched tells whether a field of an item, or what holds it or lies in it, is waiting to be changed.
func (w *writer) touched(item, field string) bool {
	for _, f := range w.fields[item] {
		if f == "" || field == "" || f == field || strings.HasPrefix(f, field+"/") || strings.HasPrefix(field, f+"/") {
			return true
		}
	}
	return false
}

func (w *writer) touch(item, field string) { w.fields[item] = append(w.fields[item], field) }

// index finds an item, making what waits when it may be among that.
func (w *writer) index(list, id string) (int, error) {
	i, err := w.cut.index(list, id)
	if err != nil && len(w.cut.out) > 0 {
		if err := w.flush(); err != nil {
			return 0, err
		}
		i, err = w.cut.index(list, id)
	}
	return i, err
}

// item finds an item's node by its number.
func (w *writer) item(list string, i int) (*node, error) {
	items, err := w.cut.items(list)
	if err != nil {
		return nil, err
	}
	if i >= len(items) || !items[i].isMap() && items[i].kind != missing {
		return nil, refuse(fmt.Sprintf("item %d of %s is no group of keys", i+1, list), "edit the text itself")
	}
	return items[i], nil
}

var fieldPath = regexp.MustCompile(`^[a-z0-9-]+(/[a-z0-9-]+)*$`)

func (w *writer) set(e *Edit) error {
	if !fieldPath.MatchString(e.Field) {
		return refuse(fmt.Sprintf("%q is no field", clip(e.Field)), "name the key, and those of groups with strokes, such as shape/boulder/length")
	}
	path := strings.Split(e.Field, "/")
	if e.List == "" {
		if lists[path[0]] != nil || path[0] == "substrate" && len(path) > 1 {
			return refuse(e.Field+" is a list of items", "name it as the list, and the item by its id")
		}
		return w.alone(func() error { return w.cut.set(w.cut.root, path, e.Value, planType) })
	}
	if w.loose[e.List] && numbered(e.List) { // the numbers of those above have changed
		if err := w.flush(); err != nil {
			return err
		}
	}
	i, err := w.index(e.List, e.ID)
	if err != nil {
		return err
	}
	at := e.List + "\x00" + e.ID
	item, err := w.item(e.List, i)
	if err != nil {
		return err
	}
	if e.Field == "id" {
		return w.alone(func() error { return w.rename(e) })
	}
	do := func() error {
		i, err := w.cut.index(e.List, e.ID)
		if err != nil {
			return err
		}
		if item, err = w.item(e.List, i); err != nil {
			return err
		}
		if item.kind == missing {
			return refuse("the item is empty", "edit the text itself")
		}
		w.markIn(e.List, e.ID)
		if !numbered(e.List) && !given(item) && !w.touched(at, "id") {
			w.cut.name(item, e.ID)
			w.touch(at, "id")
		}
		return w.cut.set(item, path, e.Value, lists[e.List])
	}
	if e.Value == nil || !simple(item, path) {
		return w.alone(do)
	}
	if w.touched(at, e.Field) || w.anchors[at] { // what is put behind the item must not come before its last key
		if err := w.flush(); err != nil {
			return err
		}
	}
	if err := do(); err != nil {
		return err
	}
	w.touch(at, e.Field)
	return nil
}

// simple tells whether setting a field only replaces what is written, or puts a key behind those of the item, so that it can be made together with
// other edits.
func simple(item *node, path []string) bool {
	if !item.isMap() || len(item.entries) == 0 || item.entries[len(item.entries)-1].value.kind == missing {
		return false
	}
	n := item
	for k, key := range path {
		if !n.isMap() {
			return false
		}
		i := n.find(key)
		if i < 0 {
			return k == 0
		}
		if n = n.entries[i].value; n.kind == missing {
			return false
		}
	}
	return true
}

func (w *writer) markIn(list, id string) {
	if numbered(list) {
		id = GroundID
	}
	w.mark(id)
}

func (w *writer) mark(id string) {
	if !slices.Contains(w.changed, id) {
		w.changed = append(w.changed, id)
	}
}

func (w *writer) rename(e *Edit) error {
	to, ok := e.Value.(string)
	if !ok || numbered(e.List) {
		return refuse("an id is a plain name", "send text such as main-root")
	}
	i, err := w.cut.index(e.List, e.ID)
	if err != nil {
		return err
	}
	item, err := w.item(e.List, i)
	if err != nil {
		return err
	}
	if to == e.ID && given(item) {
		return nil
	}
	if to != e.ID && w.cut.known()[to] {
		return refuse(fmt.Sprintf("the id %q is taken", clip(to)), "choose another")
	}
	if !given(item) {
		w.cut.name(item, to)
	} else if err := w.cut.replace(&item.entries[item.find("id")], to, nil); err != nil {
		return err
	}
	for _, m := range w.cut.mentions(e.List, e.ID) {
		w.cut.change(m.start, m.end, text(to))
	}
	w.next[e.List][i] = to
	w.mark(to)
	return nil
}

func (w *writer) add(e *Edit) error {
	v, ok := e.Value.(map[string]any)
	if !ok || len(v) == 0 {
		return refuse("an item that is added is a group of keys with values", "send the whole item")
	}
	v = maps.Clone(v)
	in, at := w.cut.list(e.List)
	steady := in != nil && at >= 0 && in.entries[at].value.isList() && len(in.entries[at].value.entries) > 0 && !w.loose[e.List] && !(numbered(e.List) && len(w.cut.out) > 0)
	if e.After != "" && (w.anchors[e.List+"\x00"+e.After] || slices.Index(w.cut.ids[e.List], e.After) < 0) {
		steady = false
	}
	do := func() error {
		have, err := w.cut.items(e.List)
		if err != nil {
			return err
		}
		before := len(have)
		if e.After != "" {
			i, err := w.cut.index(e.List, e.After)
			if err != nil {
				return err
			}
			before = i + 1
			w.anchors[e.List+"\x00"+e.After] = true
		}
		id := ""
		if !numbered(e.List) {
			if id, err = w.newID(e.List, v); err != nil {
				return err
			}
			v["id"] = id
		}
		if err := w.cut.add(e.List, v, before); err != nil {
			return err
		}
		if numbered(e.List) {
			w.mark(GroundID)
			return nil
		}
		at := len(w.next[e.List])
		if e.After != "" {
			at = slices.Index(w.next[e.List], e.After) + 1
		} else {
			w.anchors[e.List+"\x00"+lastOf(w.cut.ids[e.List])] = true // what is put behind the last one now would come after this
		}
		w.next[e.List] = slices.Insert(w.next[e.List], at, id)
		w.mark(id)
		return nil
	}
	if !steady {
		return w.alone(do)
	}
	return do()
}

func lastOf(ids []string) string {
	if len(ids) == 0 {
		return ""
	}
	return ids[len(ids)-1]
}

// newID is the id of an item that is added: its own, which has to be free, or one made of what it is.
func (w *writer) newID(list string, v map[string]any) (string, error) {
	known := w.cut.known()
	for _, ids := range w.next {
		for _, id := range ids {
			known[id] = true
		}
	}
	if id, ok := v["id"].(string); ok && id != "" {
		if known[id] {
			return "", refuse(fmt.Sprintf("the id %q is taken", clip(id)), "leave the id out, and one is made")
		}
		return id, nil
	}
	stem := strings.TrimSuffix(list, "s")
	for _, key := range []string{"species", "kind", "name"} {
		if s, ok := v[key].(string); ok && s != "" {
			stem = s
			break
		}
	}
	stem = slug(stem)
	id := stem
	for n := 2; known[id]; n++ {
		id = stem + "-" + strconv.Itoa(n)
	}
	return id, nil
}

// slug makes an id of words.
func slug(s string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(s) {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
		if b.Len() >= mostID {
			break
		}
	}
	if out := strings.Trim(b.String(), "-"); out != "" {
		return out
	}
	return "item"
}

// known are all ids of a text: those written anywhere, and those derived for items of the board's lists.
func (t *Text) known() map[string]bool {
	out := map[string]bool{}
	for _, ids := range t.ids {
		for _, id := range ids {
			out[id] = true
		}
	}
	t.root.walk(func(e *entry) {
		if e.key == "id" && e.value != nil {
			out[e.value.text] = true
		}
	})
	return out
}

// walk visits every entry of a node and of all below it.
func (n *node) walk(visit func(e *entry)) {
	for i := range n.entries {
		visit(&n.entries[i])
		n.entries[i].value.walk(visit)
	}
}

// mentions are where an item is named by another: wood and stone by what sits on them, plantings by care and events.
func (t *Text) mentions(list, id string) []*node {
	var out []*node
	look := func(under string, keys ...string) {
		i := t.root.find(under)
		if i < 0 {
			return
		}
		t.root.entries[i].value.walk(func(e *entry) {
			if !slices.Contains(keys, e.key) {
				return
			}
			if v := e.value; v.isList() {
				for k := range v.entries {
					if v.entries[k].value.text == id {
						out = append(out, v.entries[k].value)
					}
				}
			} else if v.text == id {
				out = append(out, v)
			}
		})
	}
	switch list {
	case "hardscape":
		look("plants", "on")
		look("events", "on")
	case "plants":
		look("care", "species")
		look("events", "remove")
	}
	return out
}

// keep writes the ids of items that have none, where others name them: those ids hang on the order of the items, which is about to change.
func (w *writer) keep(list string, but int) error {
	if numbered(list) {
		return nil
	}
	items, err := w.cut.items(list)
	if err != nil {
		return err
	}
	for i, item := range items {
		if i == but || i >= len(w.cut.ids[list]) || given(item) || !item.isMap() {
			continue
		}
		id := w.cut.ids[list][i]
		at := list + "\x00" + id
		if len(w.cut.mentions(list, id)) > 0 && !w.touched(at, "id") {
			w.cut.name(item, id)
			w.touch(at, "id")
		}
	}
	return nil
}

func (w *writer) remove(e *Edit) error {
	if w.loose[e.List] && numbered(e.List) {
		if err := w.flush(); err != nil {
			return err
		}
	}
	i, err := w.index(e.List, e.ID)
	if err != nil {
		return err
	}
	at := e.List + "\x00" + e.ID
	in, k := w.cut.list(e.List)
	do := func() error {
		i, err := w.cut.index(e.List, e.ID)
		if err != nil {
			return err
		}
		if err := w.keep(e.List, i); err != nil {
			return err
		}
		if err := w.cut.take(e.List, i); err != nil {
			return err
		}
		if !numbered(e.List) {
			n := slices.Index(w.next[e.List], e.ID)
			w.next[e.List] = slices.Delete(w.next[e.List], n, n+1)
		}
		w.markIn(e.List, e.ID)
		return nil
	}
	last := len(w.cut.ids[e.List])-1 == i // its line may have no break of its own
	if n := in.entries[k].value; n.kind != list || len(n.entries) < 2 || last || i == 0 || w.touched(at, "") || w.anchors[at] {
		return w.alone(do)
	}
	if err := do(); err != nil {
		return err
	}
	w.touch(at, "")
	w.loose[e.List] = true
	return nil
}

func (w *writer) move(e *Edit) error {
	i, err := w.cut.index(e.List, e.ID)
	if err != nil {
		return err
	}
	after := -1
	if e.After != "" {
		if after, err = w.cut.index(e.List, e.After); err != nil {
			return err
		}
	}
	if i == after || i == after+1 {
		return nil
	}
	if err := w.keep(e.List, -1); err != nil {
		return err
	}
	if err := w.flush(); err != nil { // the moved bytes have to hold the ids
		return err
	}
	if err := w.cut.move(e.List, i, after); err != nil {
		return err
	}
	if !numbered(e.List) {
		ids := slices.Delete(w.next[e.List], i, i+1)
		if after < i {
			after++
		}
		w.next[e.List] = slices.Insert(ids, after, e.ID)
	}
	w.markIn(e.List, e.ID)
	return nil
}

// brush shapes the top of a layer of the bed.
func (w *writer) brush(e *Edit) error {
	if e.List != "substrate/layers" {
		return refuse("a brush shapes a layer of the bed", "name the list substrate/layers and the layer's number")
	}
	raw, err := json.Marshal(e.Value)
	if err != nil {
		return refuse("the stroke cannot be read", "send at_cm, radius_cm and raise_cm")
	}
	var s Stroke
	if err := json.Unmarshal(raw, &s); err != nil {
		return refuse("the stroke cannot be read", "send at_cm, radius_cm and raise_cm")
	}
	i, err := w.cut.index(e.List, e.ID)
	if err != nil {
		return err
	}
	item, err := w.item(e.List, i)
	if err != nil {
		return err
	}
	if i > 0 && item.find("heights") < 0 {
		return refuse("this layer is even and follows the one below it", "shape the lowest layer, or give this one heights in the text")
	}
	points, err := w.cut.heights(item)
	if err != nil {
		return err
	}
	if points, err = Brush(points, s, w.cut.outline); err != nil {
		return err
	}
	list := make([]any, len(points))
	for k, p := range points {
		list[k] = []any{p[0], p[1], p[2]}
	}
	w.markIn(e.List, e.ID)
	t := lists[e.List]
	if item.find("depth") >= 0 {
		if err := w.cut.set(item, []string{"depth"}, nil, t); err != nil {
			return err
		}
		if err := w.flush(); err != nil {
			return err
		}
		if item, err = w.item(e.List, i); err != nil {
			return err
		}
	}
	return w.cut.set(item, []string{"heights", "points"}, list, t)
}
