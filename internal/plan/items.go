package plan

import (
	"maps"
	"reflect"
)

// Items are some of a plan's items, read by themselves.
type Items struct {
	Substrate *Substrate  `yaml:"substrate"`
	Hardscape []Hardscape `yaml:"hardscape"`
	Plants    []Planting  `yaml:"plants"`
}

// Items reads items in the words of a plan file as if they stood in this plan, which they may change or add to; each has its id. It looks at the items
// alone, and is quick: what they mean for the rest of the plan only reading the whole text tells. Meshes are those of the plan. Errors are Problems.
func (p *Plan) Items(src []byte) (*Items, error) {
	out := &Items{}
	d := newDecoder("", src)
	body := d.syntax()
	if body == nil {
		return nil, d.sorted(SeverityError)
	}
	d.value(body, reflect.ValueOf(out).Elem(), "", field{})
	q := &Plan{Tank: p.Tank, Cat: p.Cat, House: p.House, Hardscape: out.Hardscape, Plants: out.Plants}
	if out.Substrate != nil {
		q.Substrate = *out.Substrate
	}
	c := &checker{decoder: d, p: q, footprint: p.Tank.FootprintCM(), ids: map[string]string{}, hardscapeIDs: map[string]bool{}}
	for i := range p.Hardscape {
		c.hardscapeIDs[p.Hardscape[i].ID] = true
	}
	for i := range q.Hardscape {
		c.hardscapeIDs[q.Hardscape[i].ID] = true
	}
	maps.Copy(d.pos, map[string]Position{"tank.inside.height": {1, 1}}) // it is known, from the plan
	c.substrate()
	c.hardscape()
	for i := range q.Plants {
		c.planting(&q.Plants[i], index("plants", i))
	}
	for i := range q.Hardscape {
		if s := &q.Hardscape[i].Shape; s.Mesh != "" && p.Source != nil {
			s.Body = p.Source.meshes[s.Mesh].body
			if s.Body == nil {
				c.err(index("hardscape", i)+".shape.mesh", say("the mesh %s is not known yet", clip(s.Mesh)), "put the piece into the plan first")
			}
		}
	}
	if d.failed() {
		return nil, d.sorted(SeverityError)
	}
	c.resolveBodies()
	for i := range q.Plants {
		c.resolvePlanting(&q.Plants[i])
	}
	if out.Substrate != nil {
		*out.Substrate = q.Substrate
	}
	return out, nil
}
