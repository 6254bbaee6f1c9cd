package picture

import (
	"fmt"
	"littoral/internal/forecast"
	"littoral/internal/geometry"
	"littoral/internal/growth"
	"littoral/internal/unit"
	"math"
	"sort"
	"strings"
)

// leafBudget is about how many leaves one elevation may draw before tufts are thinned: a page of eight stays a few megabytes.
const leafBudget = 3600

// Elevation draws the tank from a side with the plants of a snapshot, at scale drawing units per metre.
func Elevation(id string, f *forecast.Forecast, k *Key, snap *forecast.Snapshot, v View, scale float64, system unit.System) Drawing {
	t := &f.Model.Tank
	u0, u1, d0, d1 := v.extent(t)
	w, h := (u1-u0)*scale+2*frame, t.Height*scale+2*frame
	s := newSheet(id)
	x := func(u float64) float64 { return frame + (u-u0)*scale }
	y := func(z float64) float64 { return frame + (t.Height-z)*scale }
	clip := id + "-g"
	s.add(`<clipPath id="`, clip, `"><rect x="`, num(frame), `" y="`, num(frame), `" width="`, num(w-2*frame), `" height="`, num(h-2*frame), `"/></clipPath>`)
	s.rect("pp", 0, 0, w, h)
	s.rect("wt", frame, y(t.WaterLevel), (u1-u0)*scale, t.WaterLevel*scale)
	s.add(`<g clip-path="url(#`, clip, `)">`)

	haze := func(depth float64) string {
		return fmt.Sprintf("h%d", int(clamp((depth-d0)/(d1-d0)*hazes, 0, hazes-1)))
	}
	type item struct {
		depth float64
		rank  int // what comes first at one distance
		draw  func()
	}
	var items []item
	ground := groundOf(f)
	var rise func(x, y float64) float64
	if snap != nil {
		ground, rise = groundOn(f, snap.Day)
	}
	items = append(items, func() []item {
		var out []item
		const slices = 34
		for i := range slices {
			depth := d1 - (d1-d0)*(float64(i)+.02)/float64(slices-1)*.999
			out = append(out, item{depth, 0, func() { groundSlice(s, f, ground, v, depth, u0, u1, x, y, haze(depth)) }})
		}
		return out
	}()...)
	for i := range f.Model.Solids {
		so := &f.Model.Solids[i]
		letter := "q"
		if so.Kind == "wood" {
			letter = "w"
		}
		if letter == "w" && len(so.Limbs) > 0 {
			for j := range so.Limbs {
				l := &so.Limbs[j]
				_, da := v.along(l.A[0], l.A[1])
				_, db := v.along(l.B[0], l.B[1])
				depth := (da + db) / 2
				items = append(items, item{depth, 1, func() {
					s.add(`<g class="`, haze(depth), `">`)
					ua, _ := v.along(l.A[0], l.A[1])
					ub, _ := v.along(l.B[0], l.B[1])
					limb(s, x(ua), y(l.A[2]), l.RA*scale, x(ub), y(l.B[2]), l.RB*scale, drawsOf(fmt.Sprintf("%s/%d", so.ID, j)))
					s.add("</g>")
				}})
			}
			continue
		}
		_, depth := v.along((so.Min[0]+so.Max[0])/2, (so.Min[1]+so.Max[1])/2)
		items = append(items, item{depth, 1, func() {
			fc := look(so.Body, func(p [3]float64) (float64, float64, float64) {
				u, d := v.along(p[0], p[1])
				return x(u), y(p[2]), d * scale
			}, func(p [3]float64) bool { return p[2] > ground.flat(p[0], p[1])-.002 })
			s.add(`<g class="`, haze(depth), `">`)
			fc.draw(s, letter)
			s.add("</g>")
		}})
	}
	if snap != nil {
		detail := detailFor(snap.Plants)
		for i := range snap.Plants {
			p := &snap.Plants[i]
			u, depth := v.along(p.X, p.Y)
			if p.On != "" { // what is tied on sits on the near side of its wood
				depth -= .03
			}
			z := p.Z
			if rise != nil && p.Column >= 0 { // what roots in the bed moves with it
				z += rise(p.X, p.Y)
			}
			items = append(items, item{depth, 2, func() {
				figureOf(p, scale, t.WaterLevel-z, detail).write(s, haze(depth)+" "+k.class(p.Species), x(u), y(z))
			}})
		}
	}
	sort.SliceStable(items, func(i, j int) bool {
		if items[i].depth != items[j].depth {
			return items[i].depth > items[j].depth
		}
		return items[i].rank < items[j].rank
	})
	for _, it := range items {
		it.draw()
	}
	bedSection(s, f, v, ground, d0, d1, u0, u1, x, y)
	s.add("</g>")
	s.line("wl", x(u0), y(t.WaterLevel), x(u1), y(t.WaterLevel))
	heightMarks(s, t, system, x(u1), y)
	s.rect("ik2", frame-2, frame-2, w-2*frame+4, h-2*frame+4)
	s.rect("ikt", 1, 1, w-2, h-2)
	title := "The tank from the " + v.Name
	desc := "No plants stand in it yet."
	if snap != nil {
		title = fmt.Sprintf("The tank from the %s on day %d", v.Name, snap.Day)
		desc = describe(snap, system)
	}
	return s.finish(w, h, title, desc)
}

// describe says in words what an elevation shows, for those who do not see it.
func describe(snap *forecast.Snapshot, system unit.System) string {
	if len(snap.Plants) == 0 {
		return "No plants stand in it."
	}
	tall := &snap.Plants[0]
	for i := range snap.Plants {
		if snap.Plants[i].HeightM > tall.HeightM {
			tall = &snap.Plants[i]
		}
	}
	name := ""
	if tall.Species != nil {
		name = tall.Species.Name
	}
	return fmt.Sprintf("%d plants; the tallest is %s with %s.", len(snap.Plants), name, unit.FormatDigits(unit.KindLength, tall.HeightM, system, 2))
}

// detailFor thins leaves when the drawing would get too many.
func detailFor(plants []growth.PlantState) float64 {
	var n float64
	for i := range plants {
		p := &plants[i]
		if p.Stems > 0 {
			n += 14 * clamp(p.Stems, 1, 5)
			continue
		}
		n += clamp(p.Leaves, 3, 10)
	}
	if n <= leafBudget {
		return 1
	}
	return clamp(leafBudget/n, .28, 1)
}

// groundSlice draws the bed as cut at one distance: the slope behind shows above the slope in front. Sand caps show as bands.
func groundSlice(s *sheet, f *forecast.Forecast, g *field, v View, depth, u0, u1 float64, x, y func(float64) float64, haze string) {
	sn, cs := math.Sincos(v.Azimuth)
	place := func(u float64) (float64, float64) { return u*cs + depth*sn, -u*sn + depth*cs } // along, turned back
	t := &f.Model.Tank
	const n = 240
	var run, sand [][2]float64
	flush := func(pts [][2]float64, class string) {
		if len(pts) < 2 {
			return
		}
		var p path
		p.move(pts[0][0], y(0)+1)
		for _, q := range geometry.Simplify(pts, .25) {
			p.lineTo(q[0], q[1])
		}
		p.lineTo(pts[len(pts)-1][0], y(0)+1)
		p.close()
		s.add(`<path class="`, class, `" d="`, p.String(), `"/>`)
		if class == "bd wf" { // ink along the top only: the ends of a slice are no edges of the bed
			var top path
			top.poly(geometry.Simplify(pts, .25), false)
			s.add(`<path class="bd th" d="`, top.String(), `"/>`)
		}
	}
	var sands [][][2]float64
	for i := 0; i <= n; i++ {
		u := u0 + (u1-u0)*float64(i)/n
		px, py := place(u)
		in := len(t.Footprint) == 0 || inside(t.Footprint, clamp(px, .002, t.LX-.002), clamp(py, .002, t.LY-.002))
		if !in {
			continue
		}
		q := [2]float64{x(u), y(g.at(px, py))}
		run = append(run, q)
		if onSand(f, px, py) {
			sand = append(sand, q)
		} else if len(sand) > 0 {
			sands, sand = append(sands, sand), nil
		}
	}
	if len(sand) > 0 {
		sands = append(sands, sand)
	}
	s.add(`<g class="`, haze, `">`)
	flush(run, "bd wf")
	for _, b := range sands {
		flush(b, "sd")
	}
	s.add("</g>")
}

// onSand tells whether a place lies under a cap that is drawn as sand.
func onSand(f *forecast.Forecast, px, py float64) bool {
	if f.Plan == nil {
		return false
	}
	for _, c := range f.Plan.Substrate.Caps {
		if len(c.Over) == 0 || inside(metres(c.Over), px, py) {
			return true
		}
	}
	return false
}

// bedSection draws the bed as one sees it through the near glass, in front of everything that stands behind its top: sand pale, a dotted line between the others.
func bedSection(s *sheet, f *forecast.Forecast, v View, g *field, d0, d1, u0, u1 float64, x, y func(float64) float64) {
	c := f.Columns
	if len(c.Depth) != len(c.Layers) {
		return
	}
	sn, cs := math.Sincos(v.Azimuth)
	t := &f.Model.Tank
	type edges struct{ top, low [][2]float64 }
	band := make([]edges, len(c.Layers))
	var face [][2]float64
	for i := 0; i <= 120; i++ {
		u := u0 + (u1-u0)*(float64(i)+.01)/120.02
		depth, ok := nearGlass(t, v, u, d0, d1)
		if !ok {
			continue
		}
		depth += .004
		px, py := u*cs+depth*sn, -u*sn+depth*cs
		face = append(face, [2]float64{x(u), y(g.at(px, py))})
		col := columnNear(c, px, py)
		if col < 0 {
			continue
		}
		z := g.at(px, py)
		for l := len(c.Layers) - 1; l >= 0; l-- {
			if col >= len(c.Depth[l]) {
				continue
			}
			low := max(z-c.Depth[l][col], 0)
			band[l].top = append(band[l].top, [2]float64{x(u), y(z)})
			band[l].low = append(band[l].low, [2]float64{x(u), y(low)})
			z = low
		}
	}
	if len(face) > 1 {
		var p path
		p.move(face[0][0], y(0)+1)
		for _, q := range geometry.Simplify(face, .25) {
			p.lineTo(q[0], q[1])
		}
		p.lineTo(face[len(face)-1][0], y(0)+1)
		p.close()
		s.add(`<g class="h0"><path class="bd wf" d="`, p.String(), `"/></g>`)
	}
	for l := range band {
		if len(band[l].top) < 2 {
			continue
		}
		var p path
		if strings.Contains(c.Layers[l].Material, "sand") {
			p.poly(geometry.Simplify(band[l].top, .3), false)
			low := geometry.Simplify(band[l].low, .3)
			for i := len(low) - 1; i >= 0; i-- {
				p.lineTo(low[i][0], low[i][1])
			}
			p.close()
			s.add(`<path class="sdl" d="`, p.String(), `"/>`)
			continue
		}
		if l > 0 {
			p.poly(geometry.Simplify(band[l].low, .4), false)
			s.add(`<path class="bdl" d="`, p.String(), `"/>`)
		}
	}
}

// nearGlass is how far away the glass nearest to the viewer is at u (the first crossing of the outline).
func nearGlass(t *geometry.Tank, v View, u, d0, d1 float64) (float64, bool) {
	best, ok := d1, false
	for i, j := 0, len(t.Footprint)-1; i < len(t.Footprint); j, i = i, i+1 {
		ua, da := v.along(t.Footprint[i][0], t.Footprint[i][1])
		ub, db := v.along(t.Footprint[j][0], t.Footprint[j][1])
		if (ua > u) == (ub > u) {
			continue
		}
		if d := da + (db-da)*(u-ua)/(ub-ua); d <= best {
			best, ok = d, true
		}
	}
	return max(best, d0), ok
}

// columnNear is the column at a place, or its neighbour that holds bed; -1 without one.
func columnNear(c *geometry.Columns, px, py float64) int {
	ix, iy := int(clamp(px/c.Cell, 0, float64(c.NX-1))), int(clamp(py/c.Cell, 0, float64(c.NY-1)))
	for r := range 3 {
		for dy := -r; dy <= r; dy++ {
			for dx := -r; dx <= r; dx++ {
				if x, y := ix+dx, iy+dy; x >= 0 && y >= 0 && x < c.NX && y < c.NY && y*c.NX+x < len(c.Area) && c.Area[y*c.NX+x] > 0 {
					return y*c.NX + x
				}
			}
		}
	}
	return -1
}

// limbParts is a tapering piece of wood as strokes of a pen, y down: its body, the side away from the light, the edge in ink, and a few
// lines of grain. The last three may be without strokes.
type limbParts struct{ body, shade, edge, grain part }

// limbOf makes the strokes of a limb that is not seen end on.
func limbOf(ax, ay, ra, bx, by, rb float64, d draws) limbParts {
	dx, dy := bx-ax, by-ay
	l := math.Hypot(dx, dy)
	nx, ny := -dy/l, dx/l
	ra, rb = max(ra, .6), max(rb, .5)
	// A slight bow makes it wood and not a pipe.
	bow := d.between(0, -.06, .06) * l
	mx, my, rm := (ax+bx)/2+nx*bow, (ay+by)/2+ny*bow, (ra+rb)/2*d.between(1, .9, 1.15)
	out := limbParts{edge: part{thin: true}, grain: part{thin: true}}
	p, edge := &out.body, &out.edge
	p.move(ax+nx*ra, ay+ny*ra)
	p.quad(mx+nx*rm, my+ny*rm, bx+nx*rb, by+ny*rb)
	p.quad(bx+dx/l*rb*1.2, by+dy/l*rb*1.2, bx-nx*rb, by-ny*rb)
	p.quad(mx-nx*rm, my-ny*rm, ax-nx*ra, ay-ny*ra)
	p.quad(ax-dx/l*ra*1.1, ay-dy/l*ra*1.1, ax+nx*ra, ay+ny*ra)
	p.close()
	// Ink only along the sides and the thin end, so that limbs join without a seam.
	edge.move(ax+nx*ra, ay+ny*ra)
	edge.quad(mx+nx*rm, my+ny*rm, bx+nx*rb, by+ny*rb)
	edge.quad(bx+dx/l*rb*1.2, by+dy/l*rb*1.2, bx-nx*rb, by-ny*rb)
	edge.quad(mx-nx*rm, my-ny*rm, ax-nx*ra, ay-ny*ra)
	// The side away from the light is darker: lower right.
	side := 1.0
	if nx*.5+ny < 0 {
		side = -1
	}
	if ra > 1.5 {
		q := &out.shade
		q.move(ax+nx*ra*side, ay+ny*ra*side)
		q.quad(mx+nx*rm*side, my+ny*rm*side, bx+nx*rb*side, by+ny*rb*side)
		q.quad(mx+nx*rm*side*.25, my+ny*rm*side*.25, ax+nx*ra*side*.1, ay+ny*ra*side*.1)
		q.close()
	}
	if ra > 3 {
		q := &out.grain
		for i := range 3 {
			o := d.between(4+i, -.6, .6)
			t0, t1 := d.between(8+i, .05, .4), d.between(12+i, .55, .95)
			at := func(t float64) (float64, float64) {
				r := (ra + (rb-ra)*t) * o
				return ax + dx*t + nx*(r+bow*2*t*(1-t)), ay + dy*t + ny*(r+bow*2*t*(1-t))
			}
			x0, y0 := at(t0)
			xm, ym := at((t0 + t1) / 2)
			x1, y1 := at(t1)
			q.move(x0, y0)
			q.quad(2*xm-(x0+x1)/2, 2*ym-(y0+y1)/2, x1, y1)
		}
	}
	return out
}

// endOn is how short a limb may be drawn, in units, before it is drawn as seen from its end.
const endOn = .5

// limb draws a tapering piece of wood with a few lines of grain.
func limb(s *sheet, ax, ay, ra, bx, by, rb float64, d draws) {
	if math.Hypot(bx-ax, by-ay) < endOn {
		s.circle("w1", ax, ay, max(ra, rb))
		s.circle("th w3", ax, ay, max(ra, rb)*.55)
		return
	}
	l := limbOf(ax, ay, ra, bx, by, rb, d)
	for _, p := range []struct {
		class string
		part  *part
	}{{"w0 wf", &l.body}, {"w2 wf", &l.shade}, {"w1 th", &l.edge}, {"th w3", &l.grain}} {
		if len(p.part.ops) > 0 {
			s.add(`<path class="`, p.class, `" d="`, p.part.onPage().String(), `"/>`)
		}
	}
}

// heightMarks are the ticks on the right glass: every 10 cm (4 in), each second one with its height.
func heightMarks(s *sheet, t *geometry.Tank, system unit.System, right float64, y func(float64) float64) {
	step, name := .1, "cm"
	each := 10.0
	if system == unit.US {
		step, name, each = .1016, "in", 4
	}
	for i := 1; float64(i)*step < t.Height-.03; i++ {
		z := float64(i) * step
		l := 5.0
		if i%2 == 0 {
			l = 9
			label := num(float64(i) * each)
			if float64(i+2)*step >= t.Height-.03 {
				label += " " + name
			}
			s.text("sm so halos", "end", right-11, y(z)-3, label)
		}
		s.line("ikt", right-l, y(z), right, y(z))
	}
}
