package sheets

import (
	"fmt"
	"littoral/internal/draft"
	"littoral/internal/picture"
	"math"
	"slices"
	"sort"
)

// formUnit is the unit in which forms are asked from the picture room, mm: its lines are made for some five units to the millimetre.
const formUnit = 0.2

// unitFor is the unit for the form of a stone so many millimetres large: coarser for large ones, whose facets are seen as well so.
func unitFor(mm float64) float64 { return max(formUnit, mm/500) }

// room round a drawing for its measures, mm.
const (
	roomLeft   = 17
	roomRight  = 20
	roomTop    = 11
	roomBottom = 26
)

// above draws the tank from above. The inside's front-left corner comes to ox, oy on the paper; k are millimetres to the centimetre.
type above struct {
	*subject
	p      *Page
	ox, oy float64
	k      float64
	taken  picture.Boxes
	cutA   []cut // lines of sections that are marked
	plain  bool  // without measures, for maps and comparisons
	quiet  bool  // plants are left out
	words  []func()
	part   *tile // what is drawn of the tank; nil = all of it
}

// cut is a section's line on the plan.
type cut struct {
	name     string
	from, to [2]float64 // cm
}

func (a *above) x(cm float64) float64 { return a.ox + cm*a.k }
func (a *above) y(cm float64) float64 { return a.oy - cm*a.k }

func (a *above) pts(cm [][2]float64) [][2]float64 {
	out := make([][2]float64, len(cm))
	for i, q := range cm {
		out[i] = [2]float64{a.x(q[0]), a.y(q[1])}
	}
	return out
}

// off tells that a rectangle of the tank, in cm, lies outside the part that is drawn.
func (a *above) off(x0, y0, x1, y1 float64) bool {
	return a.part != nil && (x1 < a.part.x0 || x0 > a.part.x1 || y1 < a.part.y0 || y0 > a.part.y1)
}

// room is the inside of the glass on the paper: left, top, right, bottom.
func (a *above) room() [4]float64 {
	return [4]float64{a.x(0) + 1, a.y(a.b.Tank.WidthCM) + 1, a.x(a.b.Tank.LengthCM) - 1, a.y(0) - 1}
}

func (a *above) draw() {
	foot := a.pts(a.b.Tank.OutlineCM)
	for i := range a.zones { // words keep off the marks of single pots
		if z := &a.zones[i]; z.outline == nil && len(a.zones) < 400 {
			for _, q := range z.PlacesCM {
				a.taken.Take(a.x(q[0]), a.y(q[1]), 2, 2)
			}
		}
	}
	if !a.plain {
		for _, h := range a.mainPieces() {
			a.taken.Take(a.x(h.AtCM[0]), a.y(h.AtCM[1]), 3.6, 3.6)
		}
	}
	a.p.clip(foot)
	a.caps(false)
	a.contours()
	a.caps(true)
	if !a.quiet {
		a.masses()
	}
	a.hardscape()
	if !a.quiet {
		for i := range a.zones {
			a.pots(&a.zones[i])
		}
	}
	for _, w := range a.words {
		w()
	}
	a.p.unclip()
	if !a.plain {
		a.lamps()
	}
	a.gear()
	a.glass()
	a.names()
	if a.plain {
		return
	}
	a.ruler()
	a.cuts()
	a.measures()
	a.front()
}

func (a *above) caps(replace bool) {
	for _, c := range a.b.Ground.Caps {
		if c.Replace != replace {
			continue
		}
		over := c.OverCM
		if len(over) == 0 {
			over = a.b.Tank.OutlineCM
		}
		pts := a.pts(over)
		a.p.poly(pts, true, ink{mm: thin, colour: wood, dash: []float64{1.2, .8}}, white)
		a.p.stipple(pts, 1.6)
	}
}

func (a *above) contours() {
	const each = 5 // every fifth contour is strong and named
	for _, c := range a.b.Ground.ContoursCM {
		level := int(math.Round(c.LevelCM / draft.ContourCM))
		line, named := ink{mm: hair, colour: wood}, level%each == 0
		if named {
			line.mm = .18
		}
		var longest [][2]float64
		for _, l := range c.Lines {
			pts := a.pts(l)
			a.p.poly(pts, false, line, "")
			if named && reach(pts) > reach(longest) {
				longest = pts
			}
		}
		room := a.room()
		if text := a.cm(c.LevelCM) + " " + a.unitSign(); reach(longest) > 12 {
			for i := range longest {
				q := longest[(i+len(longest)/3)%len(longest)]
				if q[0] < room[0]+6 || q[0] > room[2]-6 || q[1] < room[1]+3 || q[1] > room[3]-3 || !a.taken.Free(q[0], q[1], 9, 3) || a.underHardscape(q) {
					continue
				}
				a.taken.Take(q[0], q[1], 9, 3)
				a.words = append(a.words, func() {
					w := width(sans, 2, text)
					a.p.rect(q[0]-w/2-.3, q[1]-1.2, w+.6, 2.3, none, white)
					a.p.turned(sans, 2, centre, q[0], q[1]+.7, 0, wood, text)
				})
				break
			}
		}
	}
}

// underHardscape tells whether stone or wood covers a place on the paper.
func (a *above) underHardscape(q [2]float64) bool {
	x, y := (q[0]-a.ox)/a.k, (a.oy-q[1])/a.k
	for i := range a.b.Hardscape {
		for _, l := range a.b.Hardscape[i].OutlineCM {
			if inside(l, x, y) {
				return true
			}
		}
	}
	return false
}

func reach(p [][2]float64) float64 {
	var l float64
	for i := 1; i < len(p); i++ {
		l += math.Hypot(p[i][0]-p[i-1][0], p[i][1]-p[i-1][1])
	}
	return l
}

// angles and gaps of the hatches, so that neighbouring numbers part in grey as well.
var hatchAngles = []float64{-35, 20, -65, 55, -10, 80}

func (a *above) masses() {
	for i := range a.zones {
		z := &a.zones[i]
		if z.outline == nil || z.FromDay > 0 {
			continue
		}
		if x0, y0, x1, y1 := bounds(z.outline); a.off(x0, y0, x1, y1) {
			continue
		}
		pts := a.pts(z.outline)
		a.p.poly(pts, true, ink{mm: middle, colour: leaf}, "")
		a.p.hatch([][][2]float64{pts}, hatchAngles[z.Number%len(hatchAngles)], 1.3+.35*float64(z.Number%3), ink{mm: hair, colour: leaf})
	}
}

func (a *above) hardscape() {
	type piece struct {
		z    float64
		draw func()
	}
	var list []piece
	for i := range a.b.Hardscape {
		h := &a.b.Hardscape[i]
		so := a.pieces[h.ID]
		if so == nil || a.off(100*so.Min[0], 100*so.Min[1], 100*so.Max[0], 100*so.Max[1]) {
			continue
		}
		if len(h.Limbs) > 0 {
			for j, l := range h.Limbs {
				list = append(list, piece{(l.FromCM[2] + l.ToCM[2]) / 2, func() { a.limb(h.ID, j, l) }})
			}
			continue
		}
		list = append(list, piece{.6 * h.TopCM, func() {
			ground := a.d.Model.Ground
			unit := unitFor(100 * a.k * max(so.Max[0]-so.Min[0], so.Max[1]-so.Min[1]))
			out, tones := picture.StoneForm(so.Body, func(p [3]float64) (float64, float64, float64) {
				return a.x(100*p[0]) / unit, a.y(100*p[1]) / unit, -p[2]
			}, func(p [3]float64) bool { return p[2] > ground.Height(p[0], p[1])-.002 })
			facets(a.p, out, tones, h.Kind, unit)
		}})
	}
	sort.SliceStable(list, func(i, j int) bool { return list[i].z < list[j].z })
	for _, l := range list {
		l.draw()
	}
}

func (a *above) limb(id string, j int, l draft.BoardLimb) {
	at := func(q [3]float64) [2]float64 { return [2]float64{a.x(q[0]) / formUnit, a.y(q[1]) / formUnit} }
	limb(a.p, fmt.Sprintf("%s/%d", id, j), at(l.FromCM), l.ThickA/2*a.k/formUnit, at(l.ToCM), l.ThickB/2*a.k/formUnit)
}

// limb draws a piece of wood, its ends and radii in units of forms.
func limb(p *Page, key string, from [2]float64, ra float64, to [2]float64, rb float64) {
	body, lines := picture.LimbForm(key, from, ra, to, rb)
	if len(lines) == 0 { // seen from its end
		p.circle(from[0]*formUnit, from[1]*formUnit, max(ra, rb)*formUnit, ink{mm: .18, colour: wood}, white)
		return
	}
	p.path(scaled(body.Steps), none, white)
	for i, l := range lines {
		line := ink{mm: .18, colour: wood}
		if i > 0 {
			line.mm = hair
		}
		p.path(scaled(l.Steps), line, "")
	}
}

func scaled(steps []picture.Step) []picture.Step {
	out := make([]picture.Step, len(steps))
	for i, s := range steps {
		out[i].Cmd = s.Cmd
		for k := range s.Points() {
			out[i].P[k] = [2]float64{s.P[k][0] * formUnit, s.P[k][1] * formUnit}
		}
	}
	return out
}

// facets draws a stone: its outline strong, the borders of its shades thin, the darkest shade hatched.
func facets(p *Page, out [][][2]float64, tones [4][][][2]float64, kind string, unit float64) {
	colour := black
	if kind == "wood" {
		colour = wood
	}
	mm := func(loops [][][2]float64) (steps1 []picture.Step, pts [][][2]float64) {
		for _, l := range loops {
			q := make([][2]float64, len(l))
			for i := range l {
				q[i] = [2]float64{l[i][0] * unit, l[i][1] * unit}
			}
			steps1 = append(steps1, steps(q, true)...)
			pts = append(pts, q)
		}
		return
	}
	run, _ := mm(out)
	p.path(run, none, white)
	for k, t := range tones {
		lines, pts := mm(t)
		if k != 1 {
			p.path(lines, ink{mm: hair, colour: pale}, "")
		}
		if k == 3 {
			p.hatch(pts, 45, .8, ink{mm: hair, colour: pale})
		}
	}
	p.path(run, ink{mm: .3, colour: colour}, "")
}

func (a *above) pots(z *zone) {
	if z.FromDay > 0 {
		return
	}
	line := ink{mm: thin, colour: leaf}
	r := z.species.SpreadCM.Mid() / 2 * a.k
	kind := picture.Symbol(z.Symbol)
	switch kind {
	case picture.Mass:
		r = .5
	case picture.Loose:
		r = min(max(r, .9), 1.8)
	case picture.Tied:
		r = min(max(r, 1.2), 4.5)
	case picture.Afloat:
		r = min(max(r, 1), 6)
	default:
		r = max(r, 1.2)
	}
	for i, q := range z.PlacesCM {
		if m := r / a.k; a.off(q[0]-m, q[1]-m, q[0]+m, q[1]+m) {
			continue
		}
		x, y := a.x(q[0]), a.y(q[1])
		switch kind {
		case picture.Single:
			a.p.circle(x, y, r, line, "")
		case picture.Afloat:
			a.p.circle(x, y, r, ink{mm: thin, colour: leaf, dash: []float64{.6, .5}}, "")
		default:
		}
		form := picture.SymbolForm(kind, x/formUnit, y/formUnit, r/formUnit, chance(z.Number, i, len(z.ID)))
		fill := ""
		if !form.Line {
			fill = white
		}
		a.p.path(scaled(form.Steps), line, fill)
	}
}

func (a *above) glass() {
	t := &a.b.Tank
	foot := a.pts(t.OutlineCM)
	a.p.poly(foot, true, edge, "")
	if t.Shape == "box" && t.GlassCM > 0 {
		g := t.GlassCM * a.k
		x0, y0, x1, y1 := bounds(foot)
		a.p.rect(x0-g, y0-g, x1-x0+2*g, y1-y0+2*g, fine, "")
	}
}

func (a *above) lamps() {
	for i := range a.b.Lamps {
		l := &a.b.Lamps[i]
		w, h := max(l.SizeCM[0], 2)/2, max(l.SizeCM[1], 2)/2
		sn, cs := 0.0, 1.0
		if l.TiltDeg == 0 { // a tilted lamp's turn says where it is tilted to, and no more
			sn, cs = math.Sincos(l.TurnDeg * math.Pi / 180)
		}
		var pts [][2]float64
		for _, c := range [][2]float64{{-w, -h}, {w, -h}, {w, h}, {-w, h}} {
			pts = append(pts, [2]float64{a.x(l.AtCM[0] + c[0]*cs - c[1]*sn), a.y(l.AtCM[1] + c[0]*sn + c[1]*cs)})
		}
		a.p.poly(pts, true, ink{mm: thin, colour: soft, dash: []float64{2.4, .7, .5, .7}}, "")
		if !a.plain && len(a.b.Lamps) <= 12 {
			x, y := a.taken.Near(pts[3][0]+3, pts[3][1]+2.2, 6, 3, a.room(), 1.5, 20)
			a.p.turned(sans, 2, centre, x, y+.7, 0, soft, fmt.Sprintf("L%d", i+1))
		}
	}
}

// gear marks where filters draw and return their water.
func (a *above) gear() {
	for _, f := range a.b.Filters {
		for _, q := range f.InletsCM {
			x, y := a.x(q[0]), a.y(q[1])
			a.p.rect(x-1.1, y-1.1, 2.2, 2.2, ink{mm: .18, colour: water}, white)
			a.p.turned(bold, 1.9, centre, x, y+.7, 0, water, "in")
			a.taken.Take(x, y, 4, 4)
		}
		for _, q := range f.OutletsCM {
			x, y := a.x(q[0]), a.y(q[1])
			a.p.circle(x, y, 1.3, ink{mm: .18, colour: water}, white)
			a.p.turned(bold, 1.6, centre, x, y+.6, 0, water, "out")
			a.taken.Take(x, y, 4, 4)
		}
	}
}

// names writes the labels of zones and pieces.
func (a *above) names() {
	room := a.room()
	for i := range a.b.Hardscape {
		h := &a.b.Hardscape[i]
		x, y := a.taken.Near(a.x(h.AtCM[0]), a.y(h.AtCM[1]), 5.2, 3.4, room, 1.5, 20)
		label := pieceLabel(i)
		w := width(sans, 2.1, label) + 1
		a.p.rect(x-w/2, y-1.4, w, 2.8, ink{mm: hair, colour: soft}, white)
		a.p.turned(sans, 2.1, centre, x, y+.75, 0, soft, label)
	}
	if a.quiet {
		return
	}
	for i := range a.zones {
		z := &a.zones[i]
		if z.FromDay > 0 || len(z.PlacesCM) == 0 {
			continue
		}
		a.zoneName(z, room)
	}
}

// pieceLabel names a piece of hardscape on the sheets by its place in the plan.
func pieceLabel(i int) string { return fmt.Sprintf("H%d", i+1) }

func (a *above) zoneName(z *zone, room [4]float64) {
	var cx, cy float64
	for _, q := range z.PlacesCM {
		cx += q[0] / float64(len(z.PlacesCM))
		cy += q[1] / float64(len(z.PlacesCM))
	}
	px, py := a.x(cx), a.y(cy)
	w := width(bold, 2.8, z.label) + 1.4
	x, y := a.taken.Near(px, py, w, 3.8, room, 1.5, 30)
	if math.Hypot(x-px, y-py) > 4 {
		a.p.line(px, py, x, y, ink{mm: hair, colour: leaf})
	}
	a.p.path(pill(x, y, w, 3.6), ink{mm: thin, colour: leaf}, white)
	a.p.word(bold, 2.8, centre, x, y+1, z.label)
}

// pill is a label's rounded frame around x, y.
func pill(x, y, w, h float64) []picture.Step {
	r := min(h, w) / 2
	k := r * round
	c := func(ax, ay, bx, by, cx, cy float64) picture.Step {
		return picture.Step{Cmd: 'C', P: [3][2]float64{{ax, ay}, {bx, by}, {cx, cy}}}
	}
	l, t, rr, b := x-w/2, y-h/2, x+w/2, y+h/2
	return []picture.Step{
		step('M', l+r, t), step('L', rr-r, t), c(rr-r+k, t, rr, t+r-k, rr, t+r), step('L', rr, b-r), c(rr, b-r+k, rr-r+k, b, rr-r, b),
		step('L', l+r, b), c(l+r-k, b, l, b-r+k, l, b-r), step('L', l, t+r), c(l, t+r-k, l+r-k, t, l+r, t),
		{Cmd: 'Z'},
	}
}

// ruler marks tens of centimetres (four inches) along the front and the left glass, from which a crew measures in.
func (a *above) ruler() {
	t := &a.b.Tank
	every := 1
	for float64(every)*a.pitch()*a.k < 9 {
		every++
	}
	for i := 0; float64(i)*a.pitch() <= t.LengthCM+.01; i++ {
		at := float64(i) * a.pitch()
		long := 1.2
		if i%every == 0 {
			long = 2
			a.p.note(1.9, centre, a.x(at), a.y(0)+4.6, a.cm(at))
		}
		a.p.line(a.x(at), a.y(0)+.6, a.x(at), a.y(0)+.6+long, measure)
	}
	for i := 0; float64(i)*a.pitch() <= t.WidthCM+.01; i++ {
		at := float64(i) * a.pitch()
		long := 1.2
		if i%every == 0 {
			long = 2
			a.p.note(1.9, end, a.x(0)-3.2, a.y(at)+.7, a.cm(at))
		}
		a.p.line(a.x(0)-.6, a.y(at), a.x(0)-.6-long, a.y(at), measure)
	}
}

// measures draws the tank's length and width, and where the middles of the main pieces stand.
func (a *above) measures() {
	t := &a.b.Tank
	var xs, ys []float64
	main := a.mainPieces()
	for _, h := range main {
		xs, ys = append(xs, h.AtCM[0]), append(ys, h.AtCM[1])
		x, y := a.x(h.AtCM[0]), a.y(h.AtCM[1])
		a.p.line(x-1.6, y, x+1.6, y, ink{mm: thin, colour: black, dash: []float64{.8, .3}})
		a.p.line(x, y-1.6, x, y+1.6, ink{mm: thin, colour: black, dash: []float64{.8, .3}})
	}
	along := chain(xs, t.LengthCM, 7/a.k)
	if len(along) > 2 {
		for i := 1; i < len(along); i++ {
			a.dimX(along[i-1], along[i], 9)
		}
	}
	a.dimX(0, t.LengthCM, 14)
	up := chain(ys, t.WidthCM, 7/a.k)
	if len(up) > 2 {
		for i := 1; i < len(up); i++ {
			a.dimY(up[i-1], up[i], 6)
		}
	}
	a.dimY(0, t.WidthCM, 12)
}

// mostMain is how many pieces are measured in on the drawing itself; all stand in the table.
const mostMain = 6

// mainPieces are the largest pieces by volume, in the order of the plan.
func (s *subject) mainPieces() []*draft.BoardPiece {
	var list []*draft.BoardPiece
	for i := range s.b.Hardscape {
		list = append(list, &s.b.Hardscape[i])
	}
	order := slices.Clone(list)
	sort.SliceStable(order, func(i, j int) bool { return order[i].Litres > order[j].Litres })
	order = order[:min(mostMain, len(order))]
	return slices.DeleteFunc(list, func(h *draft.BoardPiece) bool { return !slices.Contains(order, h) })
}

// chain is a chain of measures from 0 to the end; places nearer than gap to one taken already are left out.
func chain(at []float64, length, gap float64) []float64 {
	sortFloats(at)
	out := []float64{0}
	for _, v := range at {
		if v-out[len(out)-1] >= gap && length-v >= gap {
			out = append(out, v)
		}
	}
	return append(out, length)
}

// dimX is a measure along x under the drawing, off millimetres below the front glass.
func (a *above) dimX(from, to, off float64) {
	dim(a.p, a.x(from), a.y(0)+1, a.x(to), a.y(0)+1, off, a.cm(to-from))
}

// dimY is a measure along y to the right of the drawing.
func (a *above) dimY(from, to, off float64) {
	x := a.x(a.b.Tank.LengthCM) + 1
	dim(a.p, x, a.y(from), x, a.y(to), off, a.cm(to-from))
}

// dim draws a measure from a to b, moved off by so much to the right of the way from a to b (y down: below, for a way to the right; to
// the right, for a way up): lines of extension, the line with strokes at its ends, and the figure.
func dim(p *Page, ax, ay, bx, by, off float64, text string) {
	l := math.Hypot(bx-ax, by-ay)
	if l < .5 {
		return
	}
	ux, uy := (bx-ax)/l, (by-ay)/l
	nx, ny := -uy, ux
	p.line(ax+nx, ay+ny, ax+nx*(off+1), ay+ny*(off+1), measure)
	p.line(bx+nx, by+ny, bx+nx*(off+1), by+ny*(off+1), measure)
	x0, y0, x1, y1 := ax+nx*off, ay+ny*off, bx+nx*off, by+ny*off
	p.line(x0, y0, x1, y1, measure)
	for _, q := range [][2]float64{{x0, y0}, {x1, y1}} { // the builder's stroke, at 45° to the line
		sx, sy := (ux-nx)*.9, (uy-ny)*.9
		p.line(q[0]-sx, q[1]-sy, q[0]+sx, q[1]+sy, ink{mm: middle, colour: soft})
	}
	w := width(sans, 2.5, text)
	mx, my := (x0+x1)/2, (y0+y1)/2
	turn := 0.0
	if math.Abs(ux) < .5 {
		turn = 90
	}
	p.clearWord(mx, my, w, turn)
	if turn == 0 {
		p.turned(sans, 2.5, centre, mx, my+.9, 0, black, text)
		return
	}
	p.turned(sans, 2.5, centre, mx+.9, my, turn, black, text)
}

// clearWord takes the lines away behind a figure.
func (p *Page) clearWord(x, y, w, turn float64) {
	if turn == 0 {
		p.rect(x-w/2-.6, y-1.4, w+1.2, 2.8, none, white)
		return
	}
	p.rect(x-1.4, y-w/2-.6, 2.8, w+1.2, none, white)
}

// front marks the front glass and the sides one looks from.
func (a *above) front() {
	t := &a.b.Tank
	x, y := a.x(t.LengthCM/2), a.y(0)+20.5
	a.p.poly([][2]float64{{x - 2.6, y}, {x + 2.6, y}, {x, y - 3.4}}, true, none, black)
	a.p.word(bold, 2.6, start, x+4, y, "Front")
	eye := func(x, y float64, side string) {
		if a.seen(side) {
			a.p.circle(x, y, .7, none, black)
			a.p.path([]picture.Step{step('M', x-2, y), {Cmd: 'Q', P: [3][2]float64{{x, y - 2.4}, {x + 2, y}}}, {Cmd: 'Q', P: [3][2]float64{{x, y + 2.4}, {x - 2, y}}}, {Cmd: 'Z'}}, ink{mm: .18, colour: black}, "")
		}
	}
	eye(x-6, y-1.3, "front")
	eye(x, a.y(t.WidthCM)-5.5, "back")
	eye(a.x(0)-11.5, a.y(t.WidthCM/2), "left")
	eye(a.x(t.LengthCM)+17.5, a.y(t.WidthCM/2), "right")
}

// cuts marks the lines of sections: strong at both ends, with the letter and an arrow to where one looks.
func (a *above) cuts() {
	for _, c := range a.cutA {
		x0, y0, x1, y1 := a.x(c.from[0]), a.y(c.from[1]), a.x(c.to[0]), a.y(c.to[1])
		a.p.line(x0, y0, x1, y1, ink{mm: .18, colour: warn, dash: []float64{4, 1, .8, 1}})
		l := math.Hypot(x1-x0, y1-y0)
		if l == 0 {
			continue
		}
		ux, uy := (x1-x0)/l, (y1-y0)/l
		vx, vy := uy, -ux // one looks to the left of the way: into the tank, for a line from the left to the right
		for i, q := range [][2]float64{{x0, y0}, {x1, y1}} {
			out := 1.0
			if i == 0 {
				out = -1
			}
			qx, qy := q[0]+ux*out*1.5, q[1]+uy*out*1.5
			a.p.line(q[0]-ux*out*3, q[1]-uy*out*3, qx, qy, ink{mm: strong, colour: warn})
			a.p.poly([][2]float64{{qx - ux*1.1, qy - uy*1.1}, {qx + ux*1.1, qy + uy*1.1}, {qx + vx*2.2, qy + vy*2.2}}, true, none, warn)
			name := c.name
			if i == 1 {
				name += "′"
			}
			a.p.turned(bold, 2.8, centre, qx-vx*2.4, qy-vy*2.4+1, 0, warn, name)
		}
	}
}
