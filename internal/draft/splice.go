package draft

import (
	"fmt"
	"littoral/internal/plan"
	"reflect"
	"slices"
	"strings"
)

// splice is one change of bytes: those from at up to end give way to put.
type splice struct {
	at, end int
	put     string
}

// cutter collects changes of one text. Their places are those of the text as it was; they must not overlap.
type cutter struct {
	*Text
	out []splice
}

func (c *cutter) change(at, end int, put string) { c.out = append(c.out, splice{at, end, put}) }

// done makes the changes.
func (c *cutter) done() []byte {
	slices.SortStableFunc(c.out, func(a, b splice) int {
		if a.at != b.at {
			return a.at - b.at
		}
		return min(a.end-a.at, 1) - min(b.end-b.at, 1) // what is put in before a value comes before what replaces it
	})
	size := len(c.src)
	for _, s := range c.out {
		size += len(s.put)
	}
	to := make([]byte, 0, size)
	from := 0
	for _, s := range c.out {
		to = append(to, c.src[from:max(s.at, from)]...)
		to = append(to, s.put...)
		from = max(from, s.end)
	}
	return append(to, c.src[from:]...)
}

// set writes a field of a mapping, which may lie in mappings of its own. A nil value takes the field out.
func (c *cutter) set(n *node, path []string, v any, t reflect.Type) error {
	key, rest := path[0], path[1:]
	of := fieldType(t, key)
	if !n.isMap() {
		return refuse(fmt.Sprintf("there is no group to write %s into", key), "edit the text itself")
	}
	i := n.find(key)
	if i < 0 {
		if v == nil {
			return nil
		}
		for k := len(rest) - 1; k >= 0; k-- { // the groups on the way to it are made
			v = map[string]any{rest[k]: v}
		}
		put, err := write(v, of, nil, 0)
		if err != nil {
			return err
		}
		c.insert(n, len(n.entries), text(key)+": "+put)
		return nil
	}
	e := &n.entries[i]
	switch {
	case len(rest) > 0 && e.value.kind == missing:
		if v == nil {
			return nil
		}
		for k := len(rest) - 1; k >= 0; k-- {
			v = map[string]any{rest[k]: v}
		}
		return c.replace(e, v, of)
	case len(rest) > 0:
		return c.set(e.value, rest, v, of)
	case v == nil:
		return c.remove(n, i, i+1)
	}
	return c.replace(e, v, of)
}

// replace writes a value in place of another, changing no more of it than has to be.
func (c *cutter) replace(e *entry, v any, t reflect.Type) error {
	n := e.value
	for t != nil && t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	if means(n, v, t) {
		return nil
	}
	switch x := v.(type) {
	case []any:
		if n.isList() && len(n.entries) > 0 && len(x) > 0 {
			return c.relist(n, x, t)
		}
	case map[string]any:
		if n.isMap() && len(n.entries) > 0 && len(x) > 0 {
			if done, err := c.remap(n, x, t); done || err != nil {
				return err
			}
		}
	}
	put, err := write(v, t, n, 0)
	if err != nil {
		return err
	}
	switch n.kind {
	case missing:
		c.change(n.start, n.end, " "+put)
	case list, mapping: // it stands in lines of its own; the new value goes behind its key or dash
		c.change(e.colon, n.end, " "+put)
	default:
		c.change(n.start, n.end, put)
	}
	return nil
}

// remap changes a mapping key by key; it is left to be written anew when keys have to go.
func (c *cutter) remap(n *node, v map[string]any, t reflect.Type) (done bool, err error) {
	for i := range n.entries {
		if v[n.entries[i].key] == nil {
			return false, nil
		}
	}
	for i := range n.entries {
		e := &n.entries[i]
		if err := c.replace(e, v[e.key], fieldType(t, e.key)); err != nil {
			return true, err
		}
	}
	for _, key := range keysOf(v, t) {
		if n.find(key) >= 0 || v[key] == nil {
			continue
		}
		put, err := write(v[key], fieldType(t, key), nil, 0)
		if err != nil {
			return true, err
		}
		c.insert(n, len(n.entries), text(key)+": "+put)
	}
	return true, nil
}

// relist changes a list item by item: what is the same at its beginning and end stays, what lies between is changed, put in or taken out.
func (c *cutter) relist(n *node, v []any, t reflect.Type) error {
	of := elem(t)
	old := len(n.entries)
	from := 0
	for from < old && from < len(v) && means(n.entries[from].value, v[from], of) {
		from++
	}
	a, b := old, len(v)
	for a > from && b > from && means(n.entries[a-1].value, v[b-1], of) {
		a, b = a-1, b-1
	}
	for from < a && from < b {
		if err := c.replace(&n.entries[from], v[from], of); err != nil {
			return err
		}
		from++
	}
	if from < a {
		return c.remove(n, from, a)
	}
	var puts []string
	for _, x := range v[from:b] {
		put, err := write(x, of, nil, 0)
		if err != nil {
			return err
		}
		puts = append(puts, put)
	}
	c.insert(n, from, puts...)
	return nil
}

// insert puts items (of a mapping: key and value) before the entry of a number, or after the last.
func (c *cutter) insert(n *node, before int, puts ...string) {
	if len(puts) == 0 {
		return
	}
	switch n.kind {
	case flowList, flowMap:
		all := strings.Join(puts, ", ")
		switch {
		case len(n.entries) == 0:
			c.change(n.start+1, n.start+1, all)
		case before == 0:
			c.change(n.entries[0].start, n.entries[0].start, all+", ")
		default:
			at := n.entries[before-1].end
			c.change(at, at, ", "+all)
		}
	default:
		pad := strings.Repeat(" ", n.column)
		dash := ""
		if n.kind == list {
			dash = "- "
		}
		if before == 0 {
			at := n.entries[0].start // the first key may stand behind a dash
			c.change(at, at, dash+strings.Join(puts, c.nl+pad+dash)+c.nl+pad)
			return
		}
		at := lineEnd(c.src, n.entries[before-1].end)
		c.change(at, at, c.nl+pad+dash+strings.Join(puts, c.nl+pad+dash))
	}
}

// remove takes entries out, from one up to, not including, another.
func (c *cutter) remove(n *node, from, to int) error {
	last := len(n.entries)
	first := &n.entries[from]
	if n.kind == flowList || n.kind == flowMap {
		switch {
		case to < last:
			c.change(first.start, n.entries[to].start, "")
		case from > 0:
			c.change(n.entries[from-1].end, n.entries[to-1].end, "")
		default:
			c.change(n.start+1, n.end-1, "")
		}
		return nil
	}
	behind := strings.TrimSpace(string(c.src[lineStart(c.src, first.start):first.start])) != "" // a dash
	switch {
	case from == 0 && to == last:
		if n.kind == list && !behind { // its key is left, without a value
			c.lines(first.start, n.entries[to-1].end)
			return nil
		}
		c.change(n.start, n.end, map[kind]string{list: "[]", mapping: "{}"}[n.kind])
	case behind:
		c.change(first.start, n.entries[to].start, "")
	default:
		c.lines(first.start, n.entries[to-1].end)
	}
	return nil
}

// lines takes whole lines out, from that of one place to that of another.
func (c *cutter) lines(from, to int) {
	at, end := lineStart(c.src, from), lineEnd(c.src, to)
	switch {
	case end < len(c.src):
		end += len(c.breakAt(end))
	case at > 0: // the last line has no break of its own and takes that of the line before
		at = lineEnd(c.src, at-1)
	}
	c.change(at, end, "")
}

func (c *cutter) breakAt(i int) string {
	if c.src[i] == '\r' {
		return "\r\n"
	}
	return "\n"
}

// itemText writes a new item for a list, in the way that its neighbours are written: on one line between braces, or a line for each key.
func (c *cutter) itemText(v map[string]any, t reflect.Type, column int, like *node) (string, error) {
	if like == nil || like.kind != mapping {
		return write(v, t, nil, 0)
	}
	var lines []string
	for _, key := range keysOf(v, t) {
		if v[key] == nil {
			continue
		}
		put, err := write(v[key], fieldType(t, key), nil, 0)
		if err != nil {
			return "", err
		}
		lines = append(lines, text(key)+": "+put)
	}
	return strings.Join(lines, c.nl+strings.Repeat(" ", column+2)), nil
}

// add puts a new item into a list of the plan, before the item of a number.
func (c *cutter) add(name string, v map[string]any, before int) error {
	t := lists[name]
	in, at := c.list(name)
	if in == nil {
		return refuse(fmt.Sprintf("there is no group to write %s into", name), "edit the text itself")
	}
	keys := strings.Split(name, "/")
	if at < 0 || in.entries[at].value.kind == missing { // the list is not written yet
		key := keys[len(keys)-1]
		put, err := write(v, t, nil, 0)
		if err != nil {
			return err
		}
		missingGroup := len(keys) > 1 && in == c.root // substrate itself is not written
		if at >= 0 {
			e := &in.entries[at]
			if missingGroup = missingGroup && e.key == keys[0]; in.kind == flowMap || missingGroup {
				if put = "[" + put + "]"; missingGroup {
					put = "{" + keys[1] + ": " + put + "}"
				}
				c.change(e.value.start, e.value.end, " "+put)
				return nil
			}
			pad := strings.Repeat(" ", in.column+2)
			end := lineEnd(c.src, e.end)
			c.change(end, end, c.nl+pad+"- "+put)
			return nil
		}
		switch {
		case missingGroup && in.kind == mapping:
			c.insert(in, len(in.entries), keys[0]+":"+c.nl+"  "+keys[1]+":"+c.nl+"    - "+put)
		case missingGroup:
			c.insert(in, len(in.entries), keys[0]+": {"+keys[1]+": ["+put+"]}")
		case in.kind == mapping && len(in.entries) > 0:
			pad := strings.Repeat(" ", in.column+2)
			c.insert(in, len(in.entries), key+":"+c.nl+pad+"- "+put)
		default:
			c.insert(in, len(in.entries), key+": ["+put+"]")
		}
		return nil
	}
	e := &in.entries[at]
	switch n := e.value; n.kind {
	case flowList:
		put, err := write(v, t, nil, 0)
		if err != nil {
			return err
		}
		c.insert(n, before, put)
	case list:
		like := n.entries[max(0, min(before, len(n.entries))-1)].value
		put, err := c.itemText(v, t, n.column, like)
		if err != nil {
			return err
		}
		c.insert(n, before, put)
	case flowMap: // one item by itself becomes a list of two
		put, err := write(v, t, nil, 0)
		if err != nil {
			return err
		}
		if before == 0 {
			c.change(n.start, n.start, "["+put+", ")
			c.change(n.end, n.end, "]")
		} else {
			c.change(n.start, n.start, "[")
			c.change(n.end, n.end, ", "+put+"]")
		}
	default:
		return refuse(name+" has one item without a dash, over several lines", "begin it with a dash in the text, and indent its lines")
	}
	return nil
}

// take takes an item of a list of the plan out.
func (c *cutter) take(name string, i int) error {
	in, at := c.list(name)
	n := in.entries[at].value
	if !n.isList() {
		return c.remove(in, at, at+1)
	}
	return c.remove(n, i, i+1)
}

// move puts an item of a list behind another, or at its beginning for −1.
func (c *cutter) move(name string, i, after int) error {
	if i == after || i == after+1 {
		return nil
	}
	in, at := c.list(name)
	n := in.entries[at].value
	e := &n.entries[i]
	switch n.kind {
	case flowList:
		item := string(c.src[e.start:e.end])
		if err := c.remove(n, i, i+1); err != nil {
			return err
		}
		c.insert(n, after+1, item)
	case list:
		from, end := lineStart(c.src, e.start), lineEnd(c.src, e.end)
		item := string(c.src[from:end])
		c.lines(e.start, e.end)
		if after < 0 {
			first := lineStart(c.src, n.entries[0].start)
			c.change(first, first, item+c.nl)
		} else {
			end := lineEnd(c.src, n.entries[after].end)
			c.change(end, end, c.nl+item)
		}
	default:
		return refuse(name+" has one item", "there is nothing to put it before or after")
	}
	return nil
}

// name writes the id of an item that has none, as its first key.
func (c *cutter) name(item *node, id string) {
	if item.isMap() && !given(item) {
		if len(item.entries) == 0 {
			c.insert(item, 0, "id: "+text(id))
			return
		}
		c.insert(item, 0, "id: "+text(id))
	}
}

// planType is the type of the plan itself.
var planType = reflect.TypeFor[plan.Plan]()
