package sheets

import (
	"fmt"
	"littoral/internal/draft"
	"littoral/internal/geometry"
	"math"
)

// signs are how a change is marked on the drawing, so that it can be told in grey: by what stands in the ring's corner.
var signs = map[string]string{draft.Added: "+", draft.Taken: "×", draft.Moved: "→", draft.Changed: "~"}

// mostMarks is how many changes are marked on the drawing; the list has all.
const mostMarks = 150

// Compare draws the second plan with what was changed since the first: where moved things stood, with the way to where they stand now, what
// was taken and what is new, each with its number in the list behind. Errors say what of the options cannot be drawn.
func Compare(a, b *draft.Draft, o Options, from, to string) ([]*Page, error) {
	o.Views = []string{Plan}
	if err := o.check(); err != nil {
		return nil, err
	}
	changes := draft.Compare(a, b)
	s, old := subjectOf(b), subjectOf(a)
	size := s.paper(o.Paper)
	blocks := []block{{
		name: "What changed", long: max(s.b.Tank.LengthCM, old.b.Tank.LengthCM), high: max(s.b.Tank.WidthCM, old.b.Tank.WidthCM), below: roomBottom,
		says: fmt.Sprintf("from %s to %s; dashed lines show where things were; numbers are those of the list", from, to),
		draw: func(p *Page, ox, oy, k float64) {
			v := &above{subject: s, p: p, ox: ox, oy: oy, k: k, plain: true}
			v.draw()
			v.ruler()
			v.front()
			v.changes(old, changes)
		},
	}}
	scale, err := o.scaleFor(blocks, size)
	if err != nil {
		return nil, err
	}
	pages := s.lay(blocks, size, 10/float64(scale))
	pages = append(pages, s.layTables(size, []table{changeTable(changes)}, "What changed: list")...)
	for i, p := range pages {
		s.title(p, p.Name, fmt.Sprintf("1:%d", scale), from+" to "+to, i+1, len(pages))
	}
	return pages, nil
}

func changeTable(changes []draft.BoardChange) table {
	t := table{title: "What changed", heads: []string{"", "", "what", ""}, wide: []float64{9, 7, 17, 147}}
	for i := range changes {
		c := &changes[i]
		for j, line := range wrapped(sans, 2.5, 144, plain(c.Text)) {
			row := []tcell{{text: fmt.Sprint(i + 1), face: bold}, {text: signs[c.What], face: bold}, {text: c.What}, {text: line}}
			if j > 0 {
				row[0], row[1], row[2] = tcell{}, tcell{}, tcell{}
			}
			t.rows = append(t.rows, row)
		}
	}
	if len(changes) == 0 {
		t.rows = append(t.rows, []tcell{{}, {}, {}, {text: "The two plans draw the same."}})
	}
	return t
}

// changes marks what is not the same as on an older plan.
func (a *above) changes(old *subject, list []draft.BoardChange) {
	was := ink{mm: middle, colour: warn, dash: []float64{1.4, .9}}
	outlines := func(s *subject, id string) [][][2]float64 {
		for i := range s.b.Hardscape {
			if h := &s.b.Hardscape[i]; h.ID == id {
				return h.OutlineCM
			}
		}
		for i := range s.b.Plants {
			p := &s.b.Plants[i]
			switch {
			case p.ID != id:
			case len(p.PointsCM) > 2 && p.Way == "in":
				return [][][2]float64{p.PointsCM}
			default:
				var rings [][][2]float64
				for _, q := range p.PlacesCM {
					rings = append(rings, ringAt(q[0], q[1], max(1.5, (p.GrownSpreadCM[0]+p.GrownSpreadCM[1])/4)))
				}
				return rings
			}
		}
		return nil
	}
	if fmt.Sprint(old.b.Tank.OutlineCM) != fmt.Sprint(a.b.Tank.OutlineCM) {
		a.p.poly(a.pts(old.b.Tank.OutlineCM), true, was, "")
	}
	room := a.room()
	for i := range list {
		c := &list[i]
		if i >= mostMarks || c.FromCM == nil && c.ToCM == nil {
			continue
		}
		at := c.ToCM
		if at == nil {
			at = c.FromCM
		}
		if c.What == draft.Moved || c.What == draft.Taken {
			for _, l := range outlines(old, c.ID) {
				a.p.poly(geometry.Simplify(a.pts(l), .05), true, was, "")
			}
		}
		if c.What == draft.Added {
			for _, l := range outlines(a.subject, c.ID) {
				a.p.poly(geometry.Simplify(a.pts(l), .05), true, ink{mm: strong, colour: warn}, "")
			}
		}
		if c.What == draft.Moved && c.FromCM != nil && c.FarCM > 0 {
			a.arrow(*c.FromCM, *c.ToCM)
		}
		words := fmt.Sprintf("%d %s", i+1, signs[c.What])
		px, py := a.x(at[0]), a.y(at[1])
		w := width(bold, 2.8, words) + 2.4
		x, y := a.taken.Near(px, py, w, 4.2, room, 1.5, 40)
		if math.Hypot(x-px, y-py) > 3 {
			a.p.line(px, py, x, y, ink{mm: thin, colour: warn})
		}
		a.p.path(pill(x, y, w, 4), ink{mm: middle, colour: warn}, white)
		a.p.turned(bold, 2.8, centre, x, y+1, 0, warn, words)
	}
}

func ringAt(x, y, r float64) [][2]float64 {
	out := make([][2]float64, 24)
	for i := range out {
		sn, cs := math.Sincos(2 * math.Pi * float64(i) / 24)
		out[i] = [2]float64{x + r*cs, y + r*sn}
	}
	return out
}

func (a *above) arrow(from, to [2]float64) {
	x0, y0, x1, y1 := a.x(from[0]), a.y(from[1]), a.x(to[0]), a.y(to[1])
	l := math.Hypot(x1-x0, y1-y0)
	if l < .6 {
		return
	}
	ux, uy := (x1-x0)/l, (y1-y0)/l
	head := min(2.4, l)
	a.p.line(x0, y0, x1-ux*head*.8, y1-uy*head*.8, ink{mm: .35, colour: warn})
	a.p.poly([][2]float64{{x1, y1}, {x1 - ux*head - uy*head*.35, y1 - uy*head + ux*head*.35}, {x1 - ux*head + uy*head*.35, y1 - uy*head - ux*head*.35}}, true, none, warn)
}
