package draft

import (
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strconv"
)

// value reads what is written as JSON would have it, with texts as they are written but for the numbers of places.
func (n *node) value(t reflect.Type) any {
	for t != nil && t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	switch n.kind {
	case flowList, list:
		out := []any{}
		for i := range n.entries {
			out = append(out, n.entries[i].value.value(elem(t)))
		}
		return out
	case flowMap, mapping:
		out := map[string]any{}
		for i := range n.entries {
			e := &n.entries[i]
			if v := e.value.value(fieldType(t, e.key)); v != nil {
				out[e.key] = v
			}
		}
		return out
	case plain:
		if x, err := strconv.ParseFloat(n.text, 64); err == nil && (t == nil || t.Kind() == reflect.Float64 || t.Kind() == reflect.Int) && t != lengthType && t != angleType {
			return x
		}
		if n.text == "true" || n.text == "false" {
			return n.text == "true"
		}
		return n.text
	case quoted:
		return n.text
	}
	return nil
}

// Copy makes the edits that put pieces and plantings of another plan into this one, moved along x and y, with ids that are free here. What is copied together
// stays together: plants on a piece go on its copy. rename tells under which name a mesh of the other plan is kept here. It also returns the new ids.
func (t *Text) Copy(from *Text, ids []string, by [2]float64, rename func(mesh string) string) (edits []Edit, made []string, err error) {
	known := t.known()
	fresh := map[string]string{}
	var items []map[string]any
	var in []string
	for _, list := range []string{"hardscape", "plants"} {
		nodes, err := from.items(list)
		if err != nil {
			return nil, nil, err
		}
		for i, n := range nodes {
			if i >= len(from.ids[list]) || !slices.Contains(ids, from.ids[list][i]) || !n.isMap() {
				continue
			}
			old := from.ids[list][i]
			id := old
			for k := 2; known[id]; k++ {
				id = old + "-" + strconv.Itoa(k)
			}
			known[id], fresh[old] = true, id
			v, ok := n.value(lists[list]).(map[string]any)
			if !ok {
				continue
			}
			v["id"] = id
			items, in = append(items, v), append(in, list)
			made = append(made, id)
		}
	}
	if len(items) < len(ids) {
		return nil, nil, refuse(fmt.Sprintf("%d of the %d items are not in the other plan", len(ids)-len(items), len(ids)), "open the other board again")
	}
	for i, v := range items {
		for _, key := range []string{"at", "in", "along"} {
			if p, ok := v[key]; ok {
				v[key] = moved(p, by)
			}
		}
		if on, ok := v["on"].(string); ok {
			if fresh[on] == "" {
				return nil, nil, refuse(fmt.Sprintf("%v grows on %s, which is not copied", v["id"], on), "copy the stone or wood along with it")
			}
			v["on"] = fresh[on]
		}
		if shape, ok := v["shape"].(map[string]any); ok {
			if mesh, ok := shape["mesh"].(string); ok {
				shape = maps.Clone(shape)
				shape["mesh"] = rename(mesh)
				v["shape"] = shape
			}
		}
		edits = append(edits, Edit{Op: "add", List: in[i], Value: v})
	}
	return edits, made, nil
}

// moved is a place or a list of places, moved.
func moved(v any, by [2]float64) any {
	list, ok := v.([]any)
	if !ok {
		return v
	}
	if len(list) == 2 {
		x, xok := number(list[0])
		y, yok := number(list[1])
		if xok && yok {
			return []any{x + by[0], y + by[1]}
		}
	}
	out := make([]any, len(list))
	for i := range list {
		out[i] = moved(list[i], by)
	}
	return out
}

// Meshes are the files that pieces of these ids are made of.
func (d *Draft) Meshes(ids []string) []string {
	var out []string
	for i := range d.Plan.Hardscape {
		if h := &d.Plan.Hardscape[i]; h.Shape.Mesh != "" && slices.Contains(ids, h.ID) && !slices.Contains(out, h.Shape.Mesh) {
			out = append(out, h.Shape.Mesh)
		}
	}
	return out
}
