package draft

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// What became of an item between two plans.
const (
	Added   = "added"
	Taken   = "taken"
	Moved   = "moved"
	Changed = "changed"
)

// BoardChange is one item that is not the same in two plans.
type BoardChange struct {
	What   string      `json:"what" enum:"added,taken,moved,changed"`
	List   string      `json:"list" enum:"tank,hardscape,plants,lamps,filter,substrate" doc:"where in the plan the item stands"`
	ID     string      `json:"id" doc:"empty for the tank"`
	Name   string      `json:"name" doc:"species, material or kind"`
	FromCM *[2]float64 `json:"from_cm,omitempty" doc:"its middle in the first plan"`
	ToCM   *[2]float64 `json:"to_cm,omitempty" doc:"its middle in the second plan"`
	FarCM  float64     `json:"far_cm" doc:"how far its middle was moved, over the ground"`
	Turn   float64     `json:"turn_deg" doc:"how far it was turned, counter-clockwise seen from above, -180 to 180"`
	Other  []string    `json:"other" say:"text" doc:"what else is not the same, in words: pots 3 to 5"`
	Text   string      `json:"text" say:"text" doc:"all of it in a sentence"`
}

// still is how far the middle of an item may lie from where it was, cm, before it counts as moved: finer than a hand sets.
const still = 0.05

// Compare tells what is not the same in two plans, item by item under their ids: the tank and its bed first, then what was taken, moved,
// changed and added of hardscape, plants, lamps and filters, in the order of the second plan. Two plans that draw the same give nothing.
func Compare(a, b *Draft) []BoardChange { return compare(a.Board(), b.Board()) }

func compare(a, b Board) []BoardChange {
	c := comparison{a: a, b: b}
	c.tank()
	c.bed()
	c.list("hardscape", c.a.pieces(), c.b.pieces())
	c.list("plants", c.a.plantings(), c.b.plantings())
	c.list("lamps", c.a.lampItems(), c.b.lampItems())
	c.list("filter", c.a.filterItems(), c.b.filterItems())
	for i := range c.out {
		c.out[i].Text = c.out[i].sentence()
	}
	return c.out
}

type comparison struct {
	a, b Board
	out  []BoardChange
}

// compared is an item with what is looked at.
type compared struct {
	id, name string
	at       *[2]float64
	follows  bool // its place is not its own but follows from what it is tied to, or from the water
	turn     float64
	traits   []trait
}

type trait struct {
	name, value string
	quiet       bool // told only as changed, without its values
}

func cmWord(v float64) string { return strings.TrimSuffix(fmt.Sprintf("%.1f", v), ".0") + " cm" }
func degWord(v float64) string {
	return strings.TrimSuffix(fmt.Sprintf("%.1f", v), ".0") + "°"
}

func (b *Board) pieces() []compared {
	var out []compared
	for i := range b.Hardscape {
		h := &b.Hardscape[i]
		at := h.AtCM
		out = append(out, compared{h.ID, h.Material, &at, false, h.TurnDeg, []trait{
			{"kind", h.Kind, false},
			{"material", h.Material, false},
			{"form", h.Shape.Form, false},
			{"length", cmWord(h.Shape.LengthCM), false},
			{"width", cmWord(h.Shape.WidthCM), false},
			{"height", cmWord(h.Shape.HeightCM), false},
			{"thickness", cmWord(h.Shape.ThickCM), false},
			{"limbs", fmt.Sprint(h.Shape.Limbs), false},
			{"mesh", h.Shape.Mesh, false},
			{"size", cmWord(h.Shape.SizeCM), false},
			{"roughness", fmt.Sprint(h.Shape.Roughness), false},
			{"tilt", degWord(h.TiltDeg), false},
			{"lean", degWord(h.LeanDeg), false},
			{"mirrored", yes(h.Mirrored), false},
			{"sink", cmWord(h.SinkCM), false},
		}})
	}
	return out
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

func (b *Board) plantings() []compared {
	var out []compared
	for i := range b.Plants {
		p := &b.Plants[i]
		c := compared{id: p.ID, name: p.Species, follows: len(p.PointsCM) == 0, traits: []trait{
			{"species", p.Species, false},
			{"pots", fmt.Sprint(p.Pots), false},
			{"planted", p.Way, false},
			{"tied to", p.On, false},
			{"from day", fmt.Sprint(p.FromDay), false},
			{"height as planted", cmWord(p.HeightCM), false},
			{"outline", p.shape(), true},
		}}
		if at, ok := middle(p); ok {
			c.at = &at
		}
		out = append(out, c)
	}
	return out
}

// shape is the form of an outline or line wherever it lies, to tell a change of form from a move.
func (p *BoardPlant) shape() string {
	if len(p.PointsCM) < 2 {
		return ""
	}
	m := mean(p.PointsCM)
	var b strings.Builder
	for _, q := range p.PointsCM {
		fmt.Fprintf(&b, "%.1f,%.1f ", q[0]-m[0]+0, q[1]-m[1]+0)
	}
	return b.String()
}

func mean(pts [][2]float64) [2]float64 {
	var m [2]float64
	for _, q := range pts {
		m[0] += q[0] / float64(len(pts))
		m[1] += q[1] / float64(len(pts))
	}
	return m
}

// middle is where a planting is said to be: the middle of the points that the plan gives, else of its pots.
func middle(p *BoardPlant) ([2]float64, bool) {
	if len(p.PointsCM) > 0 {
		return mean(p.PointsCM), true
	}
	if len(p.PlacesCM) == 0 {
		return [2]float64{}, false
	}
	flat := make([][2]float64, len(p.PlacesCM))
	for i, q := range p.PlacesCM {
		flat[i] = [2]float64{q[0], q[1]}
	}
	return mean(flat), true
}

func (b *Board) lampItems() []compared {
	var out []compared
	for i := range b.Lamps {
		l := &b.Lamps[i]
		at := l.AtCM
		out = append(out, compared{l.ID, l.Kind, &at, false, l.TurnDeg, []trait{
			{"kind", l.Kind, false},
			{"over the water", cmWord(l.AboveWaterCM), false},
			{"length", cmWord(l.SizeCM[0]), false},
			{"width", cmWord(l.SizeCM[1]), false},
			{"tilt", degWord(l.TiltDeg), false},
			{"photon flux", fmt.Sprintf("%.0f µmol/s", l.PPF), false},
		}})
	}
	return out
}

func (b *Board) filterItems() []compared {
	var out []compared
	for i := range b.Filters {
		f := &b.Filters[i]
		out = append(out, compared{f.ID, "filter", nil, false, 0, []trait{{"flow", fmt.Sprintf("%.0f L/h", f.FlowLH), false}, {"inlets", fmt.Sprint(f.InletsCM), true}, {"outlets", fmt.Sprint(f.OutletsCM), true}}})
	}
	return out
}

func (c *comparison) tank() {
	a, b := &c.a.Tank, &c.b.Tank
	other := differ([]trait{
		{"shape", a.Shape, false},
		{"length", cmWord(a.LengthCM), false},
		{"width", cmWord(a.WidthCM), false},
		{"height", cmWord(a.HeightCM), false},
		{"water", cmWord(a.WaterCM), false},
		{"outline", fmt.Sprint(a.OutlineCM), true},
	}, []trait{
		{"shape", b.Shape, false},
		{"length", cmWord(b.LengthCM), false},
		{"width", cmWord(b.WidthCM), false},
		{"height", cmWord(b.HeightCM), false},
		{"water", cmWord(b.WaterCM), false},
		{"outline", fmt.Sprint(b.OutlineCM), true},
	})
	if len(other) > 0 {
		c.out = append(c.out, BoardChange{What: Changed, List: "tank", Name: "the tank", Other: other})
	}
}

// bed compares layers and caps by their place in the plan: they have no ids.
func (c *comparison) bed() {
	layer := func(b *Board) []compared {
		var out []compared
		for i, l := range b.Ground.Layers {
			out = append(out, compared{fmt.Sprintf("layer %d", i+1), l.Material, nil, false, 0, []trait{{"material", l.Material, false}, {"heights", fmt.Sprint(l.PointsCM, l.DepthCM), true}}})
		}
		for i, l := range b.Ground.Caps {
			at := mean(l.OverCM)
			cp := compared{fmt.Sprintf("cap %d", i+1), l.Material, nil, false, 0, []trait{
				{"material", l.Material, false}, {"depth", cmWord(l.DepthCM), false}, {"outline", fmt.Sprint(l.OverCM), true}, {"barrier", yes(l.Barrier), false}, {"in place of the bed below", yes(l.Replace), false},
			}}
			if len(l.OverCM) > 0 {
				cp.at = &at
			}
			out = append(out, cp)
		}
		return out
	}
	c.list("substrate", layer(&c.a), layer(&c.b))
}

func differ(a, b []trait) []string {
	var out []string
	for i := range a {
		switch {
		case a[i].value == b[i].value:
		case a[i].quiet:
			out = append(out, a[i].name)
		default:
			out = append(out, fmt.Sprintf("%s %s to %s", a[i].name, orNone(a[i].value), orNone(b[i].value)))
		}
	}
	return out
}

func orNone(s string) string {
	if s == "" {
		return "none"
	}
	return s
}

func (c *comparison) list(name string, a, b []compared) {
	find := func(l []compared, id string) *compared {
		if i := slices.IndexFunc(l, func(x compared) bool { return x.id == id }); i >= 0 {
			return &l[i]
		}
		return nil
	}
	for i := range a {
		if find(b, a[i].id) == nil {
			c.out = append(c.out, BoardChange{What: Taken, List: name, ID: a[i].id, Name: a[i].name, FromCM: a[i].at})
		}
	}
	for i := range b {
		now := &b[i]
		old := find(a, now.id)
		if old == nil {
			c.out = append(c.out, BoardChange{What: Added, List: name, ID: now.id, Name: now.name, ToCM: now.at})
			continue
		}
		ch := BoardChange{What: Changed, List: name, ID: now.id, Name: now.name, FromCM: old.at, ToCM: now.at, Other: differ(old.traits, now.traits)}
		if old.at != nil && now.at != nil && !(old.follows && now.follows) {
			ch.FarCM = math.Hypot(now.at[0]-old.at[0], now.at[1]-old.at[1])
			if ch.FarCM < still {
				ch.FarCM = 0
			}
			ch.FarCM = round(ch.FarCM, 10)
		}
		ch.Turn = round(math.Mod(now.turn-old.turn+540, 360)-180, 10)
		if ch.Turn == -180 {
			ch.Turn = 180
		}
		if ch.FarCM > 0 || ch.Turn != 0 {
			ch.What = Moved
		}
		if ch.What == Moved || len(ch.Other) > 0 {
			c.out = append(c.out, ch)
		}
	}
}

func (c *BoardChange) sentence() string {
	who := c.Name
	if c.ID != "" {
		who = fmt.Sprintf("%s (%s)", c.ID, c.Name)
	}
	at := func(p *[2]float64) string {
		if p == nil {
			return ""
		}
		return fmt.Sprintf(" at %.0f, %.0f cm", p[0], p[1])
	}
	switch c.What {
	case Added:
		return fmt.Sprintf("%s is new%s.", who, at(c.ToCM))
	case Taken:
		return fmt.Sprintf("%s is taken%s.", who, at(c.FromCM))
	}
	var says []string
	if c.FarCM > 0 {
		says = append(says, fmt.Sprintf("moved by %s", cmWord(c.FarCM)))
	}
	if c.Turn != 0 {
		way := "counter-clockwise"
		if c.Turn < 0 {
			way = "clockwise"
		}
		says = append(says, fmt.Sprintf("turned by %s %s", degWord(math.Abs(c.Turn)), way))
	}
	if len(c.Other) > 0 {
		says = append(says, "changed: "+strings.Join(c.Other, ", "))
	}
	return fmt.Sprintf("%s is %s.", who, strings.Join(says, ", "))
}
