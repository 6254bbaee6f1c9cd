package picture

import (
	"fmt"
	"littoral/internal/forecast"
	"littoral/internal/geometry"
	"littoral/internal/growth"
	par "littoral/internal/light"
	"littoral/internal/mesh"
	"littoral/internal/unit"
	"math"
	"slices"
	"strings"
)

// Cut is an upright section through the tank along a line on the plan.
type Cut struct {
	From, To [2]float64 // ends of the line, m; what lies outside the glass is left out
	Light    *par.Field
	Day      int                 // of the plants
	Plants   []growth.PlantState // those near enough to the line are drawn
}

// gets says how the light of a plant stands to what its species thrives in: less, enough or more; empty when that is not known.
func gets(p *growth.PlantState) string {
	if p.Species == nil {
		return ""
	}
	return forecast.PlantingLight{PPFD: p.PPFD, Top: p.TopPPFD, Low: p.Species.PAR.Min, High: p.Species.PAR.Max}.Gets()
}

// getsMark draws the sign of what a plant gets: a dot for enough, a wedge that points down for less and up for more, a ring where it is not known.
func getsMark(s *sheet, word string, x, y float64) {
	const r = 4.2
	switch word {
	case "less":
		s.add(`<path class="gets less" d="M`, num(x-r), " ", num(y-r*.8), "h", num(2*r), "l", num(-r), " ", num(1.8*r), `z"/>`)
	case "more":
		s.add(`<path class="gets more" d="M`, num(x-r), " ", num(y+r*.8), "h", num(2*r), "l", num(-r), " ", num(-1.8*r), `z"/>`)
	case "enough":
		s.circle("gets", x, y, r*.75)
	default:
		s.circle("gets none", x, y, r*.75)
	}
}

// Section draws a cut: ground and hardscape as cut, the plants that stand on the line, lines of equal light at the borders of the house's classes and between,
// and for each planting it meets whether it gets the light that its species thrives in.
func Section(id string, f *forecast.Forecast, k *Key, c Cut, scale float64, system unit.System) Drawing {
	t := &f.Model.Tank
	dx, dy := c.To[0]-c.From[0], c.To[1]-c.From[1]
	long := math.Hypot(dx, dy)
	s := newSheet(id)
	if !(long > 0.01) || math.IsInf(long, 0) || c.Light == nil {
		return s.finish(2*frame, 2*frame, "A section", "The line has no length.")
	}
	ux, uy := dx/long, dy/long
	at := func(u float64) (float64, float64) { return c.From[0] + u*ux, c.From[1] + u*uy }
	w, h := long*scale+2*frame, t.Height*scale+2*frame
	x := func(u float64) float64 { return frame + u*scale }
	y := func(z float64) float64 { return frame + (t.Height-z)*scale }
	step := min(.01, long/100)
	n := max(2, int(math.Ceil(long/step)))
	step = long / float64(n)
	ground := groundOf(f)
	// Stretches of the line that lie inside the glass, and the bed along them.
	var inside [][2]int
	top := make([]float64, n+1)
	for i := range n + 1 {
		px, py := at(float64(i) * step)
		top[i] = ground.at(px, py)
		if !t.Contains(px, py) {
			continue
		}
		if l := len(inside); l > 0 && inside[l-1][1] == i-1 {
			inside[l-1][1] = i
		} else {
			inside = append(inside, [2]int{i, i})
		}
	}
	rows := sectionRows(c.near(ux, uy, long))
	columns := 1
	if w > 640 {
		columns = 2
	}
	per := (len(rows) + columns - 1) / columns
	high := h
	if per > 0 {
		high += 17*float64(per) + 8
	}
	s.rect("pp", 0, 0, w, high)
	s.add(`<clipPath id="`, id, `-g">`)
	for _, r := range inside {
		s.rect("", x(float64(r[0])*step), y(t.Height), max(1, float64(r[1]-r[0])*step*scale), t.Height*scale)
	}
	s.add(`</clipPath><g clip-path="url(#`, id, `-g)">`)
	s.rect("wt", 0, y(t.WaterLevel), w, t.WaterLevel*scale)
	var taken boxes
	c.equal(s, f, at, top, step, n, long, x, y, &taken, [4]float64{frame + 34, y(t.WaterLevel) + 12, w - frame - 34, y(0) - 14})
	// Hardscape as the plane cuts it; what lies under the bed is covered by it.
	for i := range f.Model.Solids {
		so := &f.Model.Solids[i]
		class := "q1"
		if so.Kind == "wood" {
			class = "w1"
		}
		if p := slicePath(so.Body, c.From, [2]float64{ux, uy}, long, x, y); !p.empty() {
			s.add(`<g class="h0"><path class="`, class, `" fill-rule="evenodd" d="`, p.String(), `"/></g>`)
		}
	}
	// Plants whose spread meets the line, the farther ones first.
	type met struct {
		p       *growth.PlantState
		u, away float64
	}
	states := c.near(ux, uy, long)
	var list []met
	for i := range states {
		p := &states[i]
		list = append(list, met{p, (p.X-c.From[0])*ux + (p.Y-c.From[1])*uy, math.Abs((p.X-c.From[0])*uy - (p.Y-c.From[1])*ux)})
	}
	slices.SortStableFunc(list, func(a, b met) int {
		switch {
		case a.away > b.away:
			return -1
		case a.away < b.away:
			return 1
		}
		return 0
	})
	detail := detailFor(states)
	for _, m := range list {
		figureOf(m.p, scale, t.WaterLevel-m.p.Z, detail).write(s, "h0 "+k.class(m.p.Species), x(m.u), y(m.p.Z))
	}
	// The bed, layer by layer from above.
	if g := f.Model.Ground; g != nil && len(g.Layers) > 0 {
		for l := len(g.Layers) - 1; l >= 0; l-- {
			var p path
			p.move(x(0), y(0)+1)
			for i := range n + 1 {
				px, py := at(float64(i) * step)
				z := top[i]
				if l < len(g.Layers)-1 {
					z = min(z, g.LayerTop(l, px, py))
				}
				p.lineTo(x(float64(i)*step), y(z))
			}
			p.lineTo(x(long), y(0)+1)
			class := "bd"
			if strings.Contains(g.Layers[l].Material, "sand") {
				class = "sd"
			}
			s.add(`<g class="h0"><path class="`, class, `" d="`, p.String(), `"/></g>`)
		}
	}
	// What each planting gets.
	seen := map[string]bool{}
	slices.SortStableFunc(list, func(a, b met) int {
		switch {
		case a.u < b.u:
			return -1
		case a.u > b.u:
			return 1
		}
		return 0
	})
	for _, m := range list {
		getsMark(s, gets(m.p), x(m.u), y(m.p.Z)+8)
		if !seen[m.p.Planting] {
			seen[m.p.Planting] = true
			number := slices.IndexFunc(rows, func(r sectionRow) bool { return r.planting == m.p.Planting }) + 1
			lx, ly := taken.near(x(m.u), clamp(y(m.p.Z+m.p.HeightM)-10, y(t.WaterLevel)+14, y(0)-30), 18, 16, [4]float64{frame + 8, frame + 8, w - frame - 8, y(0) - 20}, 6, 60)
			s.text("rn halos", "middle", lx, ly+4, fmt.Sprint(number))
		}
	}
	s.add("</g>")
	for _, r := range inside {
		a, b := x(float64(r[0])*step), x(float64(r[1])*step)
		s.line("wl", a, y(t.WaterLevel), b, y(t.WaterLevel))
		s.line("ik2", a, y(t.Height), a, y(0))
		s.line("ik2", b, y(t.Height), b, y(0))
		s.line("ik2", a, y(0), b, y(0))
	}
	heightMarks(s, t, system, w-frame, y)
	s.rect("ikt", 1, 1, w-2, h-2)
	// The list of plantings under the drawing, in two columns where there is room.
	for i, r := range rows {
		cx, cy := frame+float64(i/max(per, 1))*(w/float64(columns)), h+18+17*float64(i%max(per, 1))
		s.text("rn", "start", cx, cy, fmt.Sprint(i+1))
		getsMark(s, r.gets, cx+26, cy-4)
		s.text("sm", "start", cx+38, cy, r.says)
	}
	return s.finish(w, high, fmt.Sprintf("A section through the tank, plants of day %d", c.Day), fmt.Sprintf("From %.0f, %.0f to %.0f, %.0f cm on the plan, %s long, with lines of equal light. %d plantings stand on it.",
		100*c.From[0], 100*c.From[1], 100*c.To[0], 100*c.To[1], unit.FormatDigits(unit.KindLength, long, system, 3), len(rows)))
}

// near are the plants whose spread meets the line.
func (c *Cut) near(ux, uy, long float64) []growth.PlantState {
	var out []growth.PlantState
	for i := range c.Plants {
		p := &c.Plants[i]
		u := (p.X-c.From[0])*ux + (p.Y-c.From[1])*uy
		away := math.Abs((p.X-c.From[0])*uy - (p.Y-c.From[1])*ux)
		if u > 0 && u < long && away <= max(.02, min(p.SpreadM/2, .15)) && p.HeightM > 0 {
			out = append(out, *p)
		}
	}
	return out
}

type sectionRow struct {
	planting, gets, says string
}

// sectionRows says for each planting, in order of their names, what light its plants get; the mark is that of the one with the least.
func sectionRows(list []growth.PlantState) []sectionRow {
	type sum struct {
		p      *growth.PlantState
		lo, hi float64
	}
	all := map[string]*sum{}
	var names []string
	for i := range list {
		p := &list[i]
		a := all[p.Planting]
		if a == nil {
			a = &sum{p: p, lo: p.TopPPFD, hi: p.TopPPFD}
			all[p.Planting] = a
			names = append(names, p.Planting)
		}
		if p.TopPPFD < a.lo {
			a.p, a.lo = p, p.TopPPFD
		}
		a.hi = max(a.hi, p.TopPPFD)
	}
	slices.Sort(names)
	var out []sectionRow
	for _, n := range names {
		a := all[n]
		got := fmt.Sprintf("%.0f", known(a.lo))
		if math.Round(a.hi) > math.Round(a.lo) {
			got += fmt.Sprintf(" to %.0f", known(a.hi))
		}
		r := sectionRow{planting: n, gets: gets(a.p)}
		switch r.gets {
		case "":
			r.says = fmt.Sprintf("%s: %s at its tops", n, got)
		default:
			r.says = fmt.Sprintf("%s: %s at its tops, thrives in %.0f to %.0f: %s", n, got, a.p.Species.PAR.Min, a.p.Species.PAR.Max, map[string]string{"less": "too little", "enough": "enough", "more": "more than needed"}[r.gets])
		}
		out = append(out, r)
	}
	return out
}

// equal lays tones of the light classes and lines of equal light over the water of a cut.
func (c *Cut) equal(s *sheet, f *forecast.Forecast, at func(u float64) (x, y float64), top []float64, step float64, n int, long float64, x, y func(float64) float64, taken *boxes, room [4]float64) {
	t := &f.Model.Tank
	l := c.Light
	if l.NX <= 0 || l.NY <= 0 || l.NZ <= 0 || len(l.PPFD) != l.NX*l.NY*l.NZ || !(l.Cell > 0) {
		return
	}
	// Light on a lattice over the section, of about the field's own cells; solids take the value beside them, so that lines run up to them.
	nx, nz := max(2, int(math.Ceil(long/l.Cell))), max(2, int(math.Ceil(t.WaterLevel/l.Cell)))
	g := &field{nx: nx, ny: nz, cx: long / float64(nx), cy: t.WaterLevel / float64(nz), v: make([]float64, nx*nz)}
	lit := make([]bool, nx*nz)
	any := false
	for i := range g.v {
		px, py := at((float64(i%nx) + .5) * g.cx)
		z := (float64(i/nx) + .5) * g.cy
		g.v[i], lit[i] = lightAt(l, px, py, z)
		any = any || lit[i]
	}
	if !any {
		return
	}
	g.fill(lit)
	borders := LightBorders(f.Plan.House)
	rows := max(2, int(t.WaterLevel/step))
	dz := t.WaterLevel / float64(rows)
	most := 0.0
	var tones [4]path
	for j := range rows {
		z := (float64(j) + .5) * dz
		class := func(i int) int {
			v, k := g.at((float64(i)+.5)*step, z), 0
			for _, b := range borders {
				if v >= b {
					k++
				}
			}
			most = max(most, v)
			return k
		}
		for i := 0; i < n; {
			k, from := class(i), i
			for i < n && class(i) == k {
				i++
			}
			x0, x1, y0, y1 := x(float64(from)*step), x(float64(i)*step), y(z-dz/2), y(z+dz/2)
			tones[k].poly([][2]float64{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}, true)
		}
	}
	for k := range tones {
		if !tones[k].empty() {
			s.add(fmt.Sprintf(`<path shape-rendering="crispEdges" class="t%d" d="%s"/>`, k, tones[k].String()))
		}
	}
	between := 20.0
	if most > 160 {
		between = 50
	}
	for v := between; v < most && v <= 1000; v += between {
		if !slices.Contains(borders[:], v) {
			isolux(s, g, v, long, t.WaterLevel, step, x, y, "ct", taken, room)
		}
	}
	for _, b := range borders {
		isolux(s, g, b, long, t.WaterLevel, step, x, y, "ik", taken, room)
	}
}

// lightAt reads the field at a place, between the middles of its free voxels; false where none of them is free.
func lightAt(l *par.Field, px, py, z float64) (float64, bool) {
	place := func(v float64, n int) (int, float64) {
		v = clamp(v/l.Cell-.5, 0, float64(n-1))
		i := min(int(v), max(0, n-2))
		return i, v - float64(i)
	}
	i, fx := place(px, l.NX)
	j, fy := place(py, l.NY)
	k, fz := place(z, l.NZ)
	sum, weight := 0.0, 0.0
	for c := range 8 {
		di, dj, dk := c&1, c>>1&1, c>>2
		if i+di >= l.NX || j+dj >= l.NY || k+dk >= l.NZ {
			continue
		}
		v := l.PPFD[((k+dk)*l.NY+j+dj)*l.NX+i+di]
		if !(v > 0) {
			continue
		}
		w := 1.0
		for _, a := range [3]struct {
			d int
			f float64
		}{{di, fx}, {dj, fy}, {dk, fz}} {
			if a.d == 1 {
				w *= a.f
			} else {
				w *= 1 - a.f
			}
		}
		sum, weight = sum+w*v, weight+w
	}
	if weight < 1e-6 {
		return 0, false
	}
	return sum / weight, true
}

// slicePath cuts a closed body with the upright plane through from along dir and gives the outlines.
func slicePath(body *mesh.Mesh, from, dir [2]float64, long float64, x, y func(float64) float64) *path {
	var p path
	for _, line := range Slice(body, from, dir, long) {
		for i := range line {
			line[i] = [2]float64{x(line[i][0]), y(line[i][1])}
		}
		p.poly(geometry.Simplify(line, .3), true)
	}
	return &p
}

// Slice cuts a closed body with the upright plane through from along dir (of length 1) and gives the outlines, in m along the line and
// of height. What lies beyond the line's ends is drawn in to them.
func Slice(body *mesh.Mesh, from, dir [2]float64, long float64) [][][2]float64 {
	var out [][][2]float64
	if body == nil {
		return nil
	}
	side := make([]float64, len(body.Vertices))
	for i, v := range body.Vertices {
		side[i] = (v[0]-from[0])*dir[1] - (v[1]-from[1])*dir[0]
		if side[i] == 0 { // on the plane: to one side of it, so that every outline closes
			side[i] = 1e-12
		}
	}
	type edge [2]int32
	cross := func(a, b int32) (edge, bool) {
		if (side[a] > 0) == (side[b] > 0) {
			return edge{}, false
		}
		return edge{min(a, b), max(a, b)}, true
	}
	next := map[edge][]edge{}
	var order []edge
	for _, f := range body.Faces {
		var e []edge
		for k := range 3 {
			if c, ok := cross(f[k], f[(k+1)%3]); ok {
				e = append(e, c)
			}
		}
		if len(e) != 2 {
			continue
		}
		for k := range 2 {
			if len(next[e[k]]) == 0 {
				order = append(order, e[k])
			}
			next[e[k]] = append(next[e[k]], e[1-k])
		}
	}
	place := func(e edge) [2]float64 {
		a, b := body.Vertices[e[0]], body.Vertices[e[1]]
		t := side[e[0]] / (side[e[0]] - side[e[1]])
		px, py, pz := a[0]+t*(b[0]-a[0]), a[1]+t*(b[1]-a[1]), a[2]+t*(b[2]-a[2])
		u := (px-from[0])*dir[0] + (py-from[1])*dir[1]
		return [2]float64{clamp(u, 0, long), pz}
	}
	used := map[edge]bool{}
	for _, start := range order {
		if used[start] {
			continue
		}
		var line [][2]float64
		for e, ok := start, true; ok; {
			used[e] = true
			line = append(line, place(e))
			ok = false
			for _, to := range next[e] {
				if !used[to] {
					e, ok = to, true
					break
				}
			}
		}
		if len(line) > 2 {
			out = append(out, line)
		}
	}
	return out
}
