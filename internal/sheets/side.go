package sheets

import (
	"fmt"
	"littoral/internal/draft"
	"littoral/internal/growth"
	"littoral/internal/picture"
	"math"
	"sort"
	"strings"
)

// side draws the tank from one side, or cut. The left end of the drawing at the height of the bottom glass comes to ox, oy on the paper;
// k are millimetres to the centimetre.
type side struct {
	*subject
	p      *Page
	ox, oy float64
	k      float64
	long   float64 // cm from end to end
}

func (s *side) x(u float64) float64 { return s.ox + u*s.k }
func (s *side) y(z float64) float64 { return s.oy - z*s.k }

// mostFigures bounds the plants of one elevation, and mostLeaves about how many of their leaves are drawn: beyond them nobody sees one more.
const (
	mostFigures = 1500
	mostLeaves  = 4200
)

// reachOf is the range of a view over the footprint, cm: how far it goes to the right and away.
func (s *subject) reachOf(v picture.View) (u0, u1, d0, d1 float64) {
	u0, d0 = math.Inf(1), math.Inf(1)
	u1, d1 = math.Inf(-1), math.Inf(-1)
	for _, q := range s.b.Tank.OutlineCM {
		u, d := v.Along(q[0], q[1])
		u0, u1, d0, d1 = min(u0, u), max(u1, u), min(d0, d), max(d1, d)
	}
	return
}

// elevation draws what one sees from a side, level and without perspective, so that every height can be measured.
func (s *side) elevation(v picture.View, plants bool) {
	t := &s.b.Tank
	u0, _, d0, d1 := s.reachOf(v)
	s.p.clip([][2]float64{{s.x(0), s.y(t.HeightCM)}, {s.x(s.long), s.y(t.HeightCM)}, {s.x(s.long), s.y(0)}, {s.x(0), s.y(0)}})
	type thing struct {
		away float64
		draw func()
	}
	var list []thing
	ground := s.d.Model.Ground
	for i := range s.b.Hardscape {
		h := &s.b.Hardscape[i]
		so := s.pieces[h.ID]
		if so == nil {
			continue
		}
		if len(h.Limbs) > 0 {
			for j, l := range h.Limbs {
				ua, da := v.Along(l.FromCM[0], l.FromCM[1])
				ub, db := v.Along(l.ToCM[0], l.ToCM[1])
				list = append(list, thing{(da + db) / 2, func() {
					limb(s.p, fmt.Sprintf("%s/%d", h.ID, j), [2]float64{s.x(ua-u0) / formUnit, s.y(l.FromCM[2]) / formUnit}, l.ThickA/2*s.k/formUnit, [2]float64{s.x(ub-u0) / formUnit, s.y(l.ToCM[2]) / formUnit}, l.ThickB/2*s.k/formUnit)
				}})
			}
			continue
		}
		_, away := v.Along(50*(so.Min[0]+so.Max[0]), 50*(so.Min[1]+so.Max[1]))
		list = append(list, thing{away, func() {
			unit := unitFor(100 * s.k * max(so.Max[0]-so.Min[0], so.Max[1]-so.Min[1], so.Max[2]-so.Min[2]))
			out, tones := picture.StoneForm(so.Body, func(p [3]float64) (float64, float64, float64) {
				u, d := v.Along(100*p[0], 100*p[1])
				return s.x(u-u0) / unit, s.y(100*p[2]) / unit, d
			}, func(p [3]float64) bool { return p[2] > ground.Height(p[0], p[1])-.002 })
			facets(s.p, out, tones, h.Kind, unit)
		}})
	}
	if plants {
		all := s.grown()
		step, detail := thinned(all)
		for i := 0; i < len(all); i += step {
			p := &all[i]
			u, away := v.Along(100*p.X, 100*p.Y)
			if p.On != "" { // what is tied on sits on the near side of its wood
				away -= 3
			}
			list = append(list, thing{away - .01, func() { s.plant(p, u-u0, detail) }})
		}
	}
	sort.SliceStable(list, func(i, j int) bool { return list[i].away > list[j].away })
	// The bed rises behind: its skyline from the back to the front, each ridge before what stands behind it.
	const ridges = 7
	next := 0
	for r := range ridges {
		away := d1 - (d1-d0)*float64(r)/ridges
		for next < len(list) && list[next].away > away {
			list[next].draw()
			next++
		}
		s.ridge(v, u0, away-.01, ink{mm: hair, colour: pale}, false)
	}
	for ; next < len(list); next++ {
		list[next].draw()
	}
	s.ridge(v, u0, d0+.3, ink{mm: .3, colour: wood}, true)
	s.p.unclip()
	s.frame()
	s.heights(v, u0, d0)
}

// thinned says which share of the plants is drawn, and how richly.
func thinned(all []growth.PlantState) (step int, detail float64) {
	step = (len(all) + mostFigures - 1) / mostFigures
	leaves := 0.0
	for i := 0; i < len(all); i += max(step, 1) {
		if p := &all[i]; p.Stems > 0 {
			leaves += 14 * p.Stems
		} else {
			leaves += p.Leaves
		}
	}
	return max(step, 1), min(1, max(.28, mostLeaves/max(leaves, 1)))
}

func (s *side) plant(p *growth.PlantState, u, detail float64) {
	room := s.d.Model.Tank.WaterLevel - p.Z
	for _, st := range picture.PlantForm(p, 100*s.k/formUnit, room, detail, s.x(u)/formUnit, s.y(100*p.Z)/formUnit) {
		fill := white
		if st.Line {
			fill = ""
		}
		s.p.path(scaled(st.Steps), ink{mm: hair, colour: leaf}, fill)
	}
}

// ridge is the bed as cut at one distance; what it hides is covered. The face is the one at the near glass, with its grain.
func (s *side) ridge(v picture.View, u0, away float64, line ink, face bool) {
	sn, cs := math.Sincos(v.Azimuth)
	const n = 160
	var run [][2]float64
	flush := func() {
		if len(run) > 1 {
			shape := append([][2]float64{{run[0][0], s.y(0)}}, run...)
			shape = append(shape, [2]float64{run[len(run)-1][0], s.y(0)})
			s.p.poly(shape, true, none, white)
			if face {
				s.p.stipple(shape, 1.7)
			}
			s.p.poly(run, false, line, "")
		}
		run = nil
	}
	m := s.d.Model
	for i := 0; i <= n; i++ {
		u := s.long * float64(i) / n
		d := away
		if face { // the near glass may be round
			near, ok := s.nearGlass(v, min(max(u, .05), s.long-.05)+u0)
			if !ok {
				flush()
				continue
			}
			d = near + .3
		}
		// Turned back from along and away to the tank's own axes.
		x, y := (u+u0)*cs+d*sn, -(u+u0)*sn+d*cs
		x, y = x/100, y/100
		if !face && !m.Tank.Contains(min(max(x, .002), m.Tank.LX-.002), min(max(y, .002), m.Tank.LY-.002)) {
			flush()
			continue
		}
		run = append(run, [2]float64{s.x(u), s.y(100 * m.Ground.Height(min(max(x, 0), m.Tank.LX), min(max(y, 0), m.Tank.LY)))})
	}
	flush()
}

// nearGlass is how far away the glass nearest to the viewer is at u, cm.
func (s *side) nearGlass(v picture.View, u float64) (float64, bool) {
	best, ok := math.Inf(1), false
	foot := s.b.Tank.OutlineCM
	for i, j := 0, len(foot)-1; i < len(foot); j, i = i, i+1 {
		ua, da := v.Along(foot[i][0], foot[i][1])
		ub, db := v.Along(foot[j][0], foot[j][1])
		if (ua > u) == (ub > u) {
			continue
		}
		if d := da + (db-da)*(u-ua)/(ub-ua); d < best {
			best, ok = d, true
		}
	}
	return best, ok
}

// frame draws glass and water.
func (s *side) frame() {
	t := &s.b.Tank
	s.p.line(s.x(0), s.y(t.WaterCM), s.x(s.long), s.y(t.WaterCM), ink{mm: .18, colour: water, dash: []float64{3, 1}})
	wx := s.x(s.long) - 7
	s.p.poly([][2]float64{{wx - 1.2, s.y(t.WaterCM) - 2}, {wx + 1.2, s.y(t.WaterCM) - 2}, {wx, s.y(t.WaterCM)}}, true, ink{mm: thin, colour: water}, "")
	s.p.poly([][2]float64{{s.x(0), s.y(t.HeightCM)}, {s.x(0), s.y(0)}, {s.x(s.long), s.y(0)}, {s.x(s.long), s.y(t.HeightCM)}}, false, edge, "")
	s.p.line(s.x(0), s.y(t.HeightCM), s.x(s.long), s.y(t.HeightCM), ink{mm: thin, colour: black})
	if g := t.GlassCM * s.k; g > 0 {
		s.p.poly([][2]float64{{s.x(0) - g, s.y(t.HeightCM)}, {s.x(0) - g, s.y(0) + g}, {s.x(s.long) + g, s.y(0) + g}, {s.x(s.long) + g, s.y(t.HeightCM)}}, false, fine, "")
	}
	for i := 1; float64(i)*s.pitch() < t.HeightCM-.5; i++ {
		z := float64(i) * s.pitch()
		long := 1.2
		if i%2 == 0 {
			long = 2
			s.p.note(1.9, end, s.x(0)-3.6, s.y(z)+.7, s.cm(z))
		}
		s.p.line(s.x(0)-.8, s.y(z), s.x(0)-.8-long, s.y(z), measure)
	}
}

// heights measures tank, water and bed at the right and left ends.
func (s *side) heights(v picture.View, u0, d0 float64) {
	t := &s.b.Tank
	right := s.x(s.long) + 1
	dim(s.p, right, s.y(0), right, s.y(t.HeightCM), 12, s.cm(t.HeightCM))
	dim(s.p, right, s.y(0), right, s.y(t.WaterCM), 6.5, s.cm(t.WaterCM))
	dim(s.p, s.x(0), s.y(0)+1, s.x(s.long), s.y(0)+1, 7, s.cm(s.long))
	// The bed at the near glass, a twentieth in from both ends.
	for _, f := range []float64{.05, .5, .95} {
		u := s.long * f
		d, ok := s.nearGlass(v, u+u0)
		if !ok {
			continue
		}
		sn, cs := math.Sincos(v.Azimuth)
		x, y := ((u+u0)*cs+(d+.3)*sn)/100, (-(u+u0)*sn+(d+.3)*cs)/100
		h := 100 * s.d.Model.Ground.Height(x, y)
		if h > .4 {
			s.level(u, h)
		}
	}
}

// level writes a height over the bottom glass at a point of the drawing, with a small wedge, as builders do.
func (s *side) level(u, z float64) {
	x, y := s.x(u), s.y(z)
	s.p.poly([][2]float64{{x, y}, {x - .9, y - 1.4}, {x + .9, y - 1.4}}, true, ink{mm: thin, colour: wood}, white)
	text := "+" + s.cm(z)
	w := width(sans, 2.1, text)
	s.p.rect(x-w/2-.3, y-4, w+.6, 2.4, none, white)
	s.p.turned(sans, 2.1, centre, x, y-2.1, 0, wood, text)
}

// section draws the tank cut along a line on the plan.
func (s *side) section(c cut, plants bool) {
	t, m := &s.b.Tank, s.d.Model
	dx, dy := c.to[0]-c.from[0], c.to[1]-c.from[1]
	ux, uy := dx/s.long, dy/s.long
	at := func(u float64) (float64, float64) { return (c.from[0] + u*ux) / 100, (c.from[1] + u*uy) / 100 }
	n := max(60, int(s.long*2))
	var stretches [][2]float64 // of the line that lie inside the glass
	for i := 0; i <= n; i++ {
		u := s.long * float64(i) / float64(n)
		x, y := at(u)
		if !m.Tank.Contains(min(max(x, 1e-4), m.Tank.LX-1e-4), min(max(y, 1e-4), m.Tank.LY-1e-4)) {
			continue
		}
		if l := len(stretches); l > 0 && u-stretches[l-1][1] < 1.5*s.long/float64(n) {
			stretches[l-1][1] = u
		} else {
			stretches = append(stretches, [2]float64{u, u})
		}
	}
	s.p.clip([][2]float64{{s.x(0), s.y(t.HeightCM)}, {s.x(s.long), s.y(t.HeightCM)}, {s.x(s.long), s.y(0)}, {s.x(0), s.y(0)}})
	if plants {
		type met struct {
			p       growth.PlantState
			u, away float64
		}
		var list []met
		for _, p := range s.grown() {
			u := (100*p.X-c.from[0])*ux + (100*p.Y-c.from[1])*uy
			away := -(100*p.X-c.from[0])*uy + (100*p.Y-c.from[1])*ux
			if u > 0 && u < s.long && math.Abs(away) <= max(2, min(50*p.SpreadM, 15)) {
				list = append(list, met{p, u, away})
			}
		}
		sort.SliceStable(list, func(i, j int) bool { return list[i].away > list[j].away })
		for i := range list[:min(len(list), mostFigures)] {
			s.plant(&list[i].p, list[i].u, 1)
		}
	}
	for i := range s.b.Hardscape {
		so := s.pieces[s.b.Hardscape[i].ID]
		if so == nil {
			continue
		}
		var loops [][][2]float64
		for _, l := range picture.Slice(so.Body, [2]float64{c.from[0] / 100, c.from[1] / 100}, [2]float64{ux, uy}, s.long/100) {
			q := make([][2]float64, len(l))
			for k := range l {
				q[k] = [2]float64{s.x(100 * l[k][0]), s.y(100 * l[k][1])}
			}
			loops = append(loops, q)
		}
		var run []picture.Step
		for _, l := range loops {
			run = append(run, steps(l, true)...)
		}
		s.p.path(run, ink{mm: .35, colour: black}, white)
		s.p.hatch(loops, 45, 1.1, ink{mm: hair, colour: soft})
	}
	for _, r := range stretches {
		s.cutBed(at, r)
	}
	s.p.unclip()
	for _, r := range stretches {
		s.p.line(s.x(r[0]), s.y(t.WaterCM), s.x(r[1]), s.y(t.WaterCM), ink{mm: .18, colour: water, dash: []float64{3, 1}})
		s.p.poly([][2]float64{{s.x(r[0]), s.y(t.HeightCM)}, {s.x(r[0]), s.y(0)}, {s.x(r[1]), s.y(0)}, {s.x(r[1]), s.y(t.HeightCM)}}, false, edge, "")
	}
	right := s.x(s.long) + 1
	dim(s.p, right, s.y(0), right, s.y(t.HeightCM), 12, s.cm(t.HeightCM))
	dim(s.p, right, s.y(0), right, s.y(t.WaterCM), 6.5, s.cm(t.WaterCM))
	dim(s.p, s.x(0), s.y(0)+1, s.x(s.long), s.y(0)+1, 7, s.cm(s.long))
	for _, f := range []float64{.03, .27, .5, .73, .97} {
		x, y := at(s.long * f)
		if h := 100 * m.Ground.Height(x, y); m.Tank.Contains(x, y) && h > .4 {
			s.level(s.long*f, h)
		}
	}
	s.p.turned(bold, 2.8, centre, s.x(0), s.y(t.HeightCM)-1.8, 0, warn, c.name)
	s.p.turned(bold, 2.8, centre, s.x(s.long), s.y(t.HeightCM)-1.8, 0, warn, c.name+"′")
}

// cutBed draws the layers of the bed along a stretch of a section, from above.
func (s *side) cutBed(at func(u float64) (x, y float64), r [2]float64) {
	g := s.d.Model.Ground
	if g == nil {
		return
	}
	const n = 220
	for l := len(g.Layers) - 1; l >= 0; l-- {
		var top [][2]float64
		for i := 0; i <= n; i++ {
			u := r[0] + (r[1]-r[0])*float64(i)/n
			x, y := at(u)
			z := g.Height(x, y)
			if l < len(g.Layers)-1 {
				z = min(z, g.LayerTop(l, x, y))
			}
			top = append(top, [2]float64{s.x(u), s.y(100 * z)})
		}
		shape := append([][2]float64{{top[0][0], s.y(0)}}, top...)
		shape = append(shape, [2]float64{top[n][0], s.y(0)})
		s.p.poly(shape, true, none, white)
		if strings.Contains(g.Layers[l].Material, "sand") {
			s.p.stipple(shape, 1.5)
		} else {
			s.p.hatch([][][2]float64{shape}, []float64{-30, 30, -60, 60}[l%4], 1.8, faint)
		}
		line := ink{mm: thin, colour: wood}
		if l == len(g.Layers)-1 {
			line.mm = .35
		}
		s.p.poly(top, false, line, "")
	}
}

// bedWords names the layers of the bed from below, for the words under a section.
func bedWords(b *draft.BoardGround) string {
	var names []string
	for _, l := range b.Layers {
		names = append(names, l.Material)
	}
	for _, c := range b.Caps {
		names = append(names, c.Material)
	}
	if len(names) == 0 {
		return "no bed"
	}
	return strings.Join(names, ", ")
}
