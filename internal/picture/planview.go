package picture

import (
	"fmt"
	"littoral/internal/catalog"
	"littoral/internal/forecast"
	"littoral/internal/geometry"
	"littoral/internal/plan"
	"littoral/internal/unit"
	"math"
	"sort"
	"strings"
)

// Mark is a numbered ring on the plan that ties a note to a place.
type Mark struct {
	Number int
	X, Y   float64 // m
	Grave  bool    // ringed in the warning hue; the words of the note say so too
	Quiet  bool    // shown only when chosen: where many findings crowd, the rest wait
	Href   string  // where the ring leads; empty = nowhere
}

// Symbol says how a planting is drawn on the plan.
type Symbol string

// The symbols of the plan.
const (
	Single Symbol = "circle" // circle with radiating leaves and a centre mark
	Mass   Symbol = "hatch"  // outline with hatch
	Loose  Symbol = "star"   // stems
	Tied   Symbol = "sprig"  // on stone or wood
	Afloat Symbol = "pads"   // on the surface
)

// Entry is one planting of the legend.
type Entry struct {
	Number  int    // of its species
	Letter  string // a, b, c … when the species is planted in several places; else empty
	ID      string
	Species *catalog.Species
	Pots    int
	Symbol  Symbol
	From    int      // day it is planted
	X, Y    float64  // m, middle of its pots
	pots    []placed // where the pots stand
	spread  float64  // m, of one plant on the day drawn
	outline [][2]float64
}

// Label is the key under which the planting stands on the plan: 4, or 4b.
func (e *Entry) Label() string { return fmt.Sprintf("%d%s", e.Number, e.Letter) }

type placed struct{ x, y float64 }

// Legend lists the plantings of the plan by number and letter, those of later events included once they have stood in the tank.
// Spreads are those of the snapshot nearest to day.
func Legend(f *forecast.Forecast, k *Key, day int) []Entry {
	first := map[string][]placed{}
	species := map[string]*catalog.Species{}
	born := map[string]int{}
	for i := range f.Snapshots {
		now := map[string]bool{}
		for j := range f.Snapshots[i].Plants {
			p := &f.Snapshots[i].Plants[j]
			if _, known := born[p.Planting]; known && !now[p.Planting] {
				continue
			}
			if !now[p.Planting] {
				now[p.Planting] = true
				born[p.Planting] = f.Snapshots[i].Day
				species[p.Planting] = p.Species
			}
			first[p.Planting] = append(first[p.Planting], placed{p.X, p.Y})
		}
	}
	var entries []Entry
	add := func(p *plan.Planting, from int) {
		sp := species[p.ID]
		if sp == nil {
			return
		}
		e := Entry{Number: k.Number(sp.Name), ID: p.ID, Species: sp, Pots: p.Pots, From: from, pots: first[p.ID], outline: metres(p.In)}
		e.spread = spreadOn(f, p.ID, day)
		e.Symbol = symbolOf(p, sp)
		for _, q := range e.pots {
			e.X += q.x / float64(len(e.pots))
			e.Y += q.y / float64(len(e.pots))
		}
		if e.Symbol == Mass && len(e.outline) < 3 {
			e.outline = hull(e.pots, max(.03, e.spread/2))
		}
		entries = append(entries, e)
	}
	if f.Plan != nil {
		for i := range f.Plan.Plants {
			add(&f.Plan.Plants[i], int(f.Plan.Plants[i].From))
		}
		for i := range f.Plan.Events {
			for j := range f.Plan.Events[i].Plant {
				add(&f.Plan.Events[i].Plant[j], int(f.Plan.Events[i].On))
			}
		}
	}
	sort.SliceStable(entries, func(i, j int) bool { return entries[i].Number < entries[j].Number })
	for i := 0; i < len(entries); {
		j := i
		for j < len(entries) && entries[j].Number == entries[i].Number {
			j++
		}
		if j-i > 1 {
			for n := i; n < j; n++ {
				entries[n].Letter = letters(n - i)
			}
		}
		i = j
	}
	return entries
}

// letters counts a, b … z, aa, ab …
func letters(n int) string {
	s := string(rune('a' + n%26))
	if n >= 26 {
		return letters(n/26-1) + s
	}
	return s
}

func symbolOf(p *plan.Planting, sp *catalog.Species) Symbol {
	switch {
	case p.Afloat || sp.Form == catalog.Floating:
		return Afloat
	case p.On != "":
		return Tied
	case sp.Form == catalog.Stem:
		return Loose
	case sp.Form == catalog.Carpet || sp.Form == catalog.Moss:
		return Mass
	case p.Pots > 8:
		return Mass
	}
	return Single
}

// Nearest returns the snapshot nearest to a day, the earlier of two; nil when there is none.
func Nearest(f *forecast.Forecast, day int) *forecast.Snapshot {
	var best *forecast.Snapshot
	for i := range f.Snapshots {
		s := &f.Snapshots[i]
		if best == nil || abs(s.Day-day) < abs(best.Day-day) {
			best = s
		}
	}
	return best
}

func abs(n int) int {
	if n < 0 {
		return -n
	}
	return n
}

// spreadOn is the mean spread of a planting's plants on the snapshot nearest to day, or on the last one in which it stood.
func spreadOn(f *forecast.Forecast, id string, day int) float64 {
	mean := func(s *forecast.Snapshot) (float64, bool) {
		var sum, n float64
		for i := range s.Plants {
			if s.Plants[i].Planting == id && s.Plants[i].SpreadM > 0 {
				sum += s.Plants[i].SpreadM
				n++
			}
		}
		return sum / max(n, 1), n > 0
	}
	if s := Nearest(f, day); s != nil {
		if m, ok := mean(s); ok {
			return m
		}
	}
	for i := len(f.Snapshots) - 1; i >= 0; i-- {
		if m, ok := mean(&f.Snapshots[i]); ok {
			return m
		}
	}
	return .06
}

func metres(p []plan.PointCM) [][2]float64 {
	out := make([][2]float64, len(p))
	for i := range p {
		out[i] = [2]float64{p[i][0] / 100, p[i][1] / 100}
	}
	return out
}

// hull is an outline round pots at a distance (convex hull of small circles).
func hull(pots []placed, r float64) [][2]float64 {
	var pts [][2]float64
	for _, p := range pots {
		for i := range 8 {
			s, c := math.Sincos(float64(i) * math.Pi / 4)
			pts = append(pts, [2]float64{p.x + r*c, p.y + r*s})
		}
	}
	sort.Slice(pts, func(i, j int) bool {
		return pts[i][0] < pts[j][0] || pts[i][0] == pts[j][0] && pts[i][1] < pts[j][1]
	})
	half := func(pts [][2]float64) [][2]float64 {
		var h [][2]float64
		for _, p := range pts {
			for len(h) > 1 {
				a, b := h[len(h)-2], h[len(h)-1]
				if (b[0]-a[0])*(p[1]-a[1])-(b[1]-a[1])*(p[0]-a[0]) > 0 {
					break
				}
				h = h[:len(h)-1]
			}
			h = append(h, p)
		}
		return h
	}
	lo := half(pts)
	rev := make([][2]float64, len(pts))
	for i := range pts {
		rev[i] = pts[len(pts)-1-i]
	}
	hi := half(rev)
	if len(lo) < 2 || len(hi) < 2 {
		return pts
	}
	return append(lo[:len(lo)-1], hi[:len(hi)-1]...)
}

// boxes are places on a drawing that are taken by words and rings.
type boxes [][4]float64

func (b *boxes) free(x, y, w, h float64) bool {
	for _, o := range *b {
		if x-w/2 < o[2] && x+w/2 > o[0] && y-h/2 < o[3] && y+h/2 > o[1] {
			return false
		}
	}
	return true
}

func (b *boxes) take(x, y, w, h float64) {
	*b = append(*b, [4]float64{x - w/2, y - h/2, x + w/2, y + h/2})
}

// near finds the free place nearest to x, y inside the given rectangle and takes it. Without one it takes x, y.
func (b *boxes) near(x, y, w, h float64, in [4]float64, step, reach float64) (float64, float64) {
	for r := 0.0; r <= reach; r += step {
		n := 1
		if r > 0 {
			n = 12
		}
		for i := range n {
			s, c := math.Sincos(-math.Pi/2 + 2*math.Pi*float64(i)/12)
			px, py := x+r*c, y+r*s
			if px-w/2 < in[0] || px+w/2 > in[2] || py-h/2 < in[1] || py+h/2 > in[3] {
				continue
			}
			if b.free(px, py, w, h) {
				b.take(px, py, w, h)
				return px, py
			}
		}
	}
	b.take(x, y, w, h)
	return x, y
}

// Plan draws the tank from above with contours of the bed, hardscape, plantings of the legend and the rings of marks.
func Plan(id string, f *forecast.Forecast, k *Key, legend []Entry, marks []Mark, scale float64, system unit.System) Drawing {
	t := &f.Model.Tank
	w, h := t.LX*scale+2*frame, t.LY*scale+2*frame
	s := newSheet(id)
	x := func(v float64) float64 { return frame + v*scale }
	y := func(v float64) float64 { return frame + (t.LY-v)*scale }
	outline := func(pts [][2]float64) string { return outlined(pts, x, y).String() }
	foot := outline(t.Footprint)
	patterns(s, k, legend)
	s.add(`<clipPath id="`, id, `-f"><path d="`, foot, `"/></clipPath>`)
	s.add(`<path class="dp" d="`, foot, `"/><g clip-path="url(#`, id, `-f)">`)
	caps := func(replace bool) {
		if f.Plan == nil {
			return
		}
		for i := range f.Plan.Substrate.Caps {
			c := &f.Plan.Substrate.Caps[i]
			if c.Replace != replace {
				continue
			}
			over := metres(c.Over)
			if len(over) == 0 {
				over = t.Footprint
			}
			d := outline(over)
			s.add(`<path class="sand" d="`, d, `"/><path fill="url(#`, id, `-sand)" d="`, d, `"/>`)
		}
	}
	caps(false)
	var taken boxes
	room := [4]float64{frame + 4, frame + 4, w - frame - 4, h - frame - 4}
	for i := range legend { // words keep off the marks of the pots
		e := &legend[i]
		if e.From > 0 {
			continue
		}
		for _, q := range e.pots {
			if e.Symbol != Mass {
				taken.take(x(q.x), y(q.y), 9, 9)
			}
		}
	}
	ground := groundOf(f)
	contours(s, f, ground, x, y, scale, system, &taken, room)
	caps(true) // a path cut into the bed hides the crowd of lines at its edge
	for i := range legend {
		if e := &legend[i]; e.Symbol == Mass && e.From <= 0 {
			o := smooth(e.outline)
			d := outline(o)
			n := fmt.Sprint(e.Number)
			s.add(`<path class="mass f`, n, ` k`, n, `" d="`, d, `"/><path fill="url(#`, id, `-h`, n, `)" d="`, d, `"/>`)
		}
	}
	solidsFromAbove(s, f, ground, x, y, scale)
	for i := range legend {
		e := &legend[i]
		if e.From > 0 {
			continue
		}
		symbols(s, e, x, y, scale)
	}
	s.add("</g>")
	sides(s, f, w, h, &taken)
	rings(s, marks, x, y, room, &taken)
	for i := range legend {
		e := &legend[i]
		if e.From > 0 || len(e.pots) == 0 {
			continue
		}
		l := e.Label()
		lx, ly := taken.near(x(e.X), y(e.Y)+4, float64(len(l))*7.5+5, 15, room, 7, 60)
		s.text("it halo", "middle", lx, ly+4.5, l)
	}
	if t.Shape == "box" {
		s.rect("ik2", frame-2, frame-2, t.LX*scale+4, t.LY*scale+4)
		s.rect("ikt", 1, 1, w-2, h-2)
	} else {
		s.add(`<path class="ik2" d="`, foot, `"/>`)
	}
	bar := scaleBar(s, frame, h+11, scale, system)
	names := make([]string, 0, len(legend))
	for i := range legend {
		names = append(names, fmt.Sprintf("%s %s, %d pots", legend[i].Label(), legend[i].Species.Name, legend[i].Pots))
	}
	return s.finish(w, h+22, "Plan of the tank from above, front glass below", fmt.Sprintf("Contours of the bed, stones, wood and %d plantings: %s. Scale bar %s.", len(legend), strings.Join(names, "; "), bar))
}

// smooth rounds the corners of an outline (two rounds of Chaikin's cutting).
func smooth(p [][2]float64) [][2]float64 {
	for range 2 {
		if len(p) < 3 {
			return p
		}
		var q [][2]float64
		for i := range p {
			a, b := p[i], p[(i+1)%len(p)]
			q = append(q, [2]float64{a[0]*.78 + b[0]*.22, a[1]*.78 + b[1]*.22}, [2]float64{a[0]*.22 + b[0]*.78, a[1]*.22 + b[1]*.78})
		}
		p = q
	}
	return p
}

// patterns are the hatch of each species that stands in a mass, and the stipple of sand.
func patterns(s *sheet, k *Key, legend []Entry) {
	s.add("<defs>")
	d := drawsOf("sand")
	s.add(`<pattern id="`, s.id, `-sand" width="42" height="42" patternUnits="userSpaceOnUse">`)
	for i := range 7 {
		for j := range 7 {
			s.circle("dot", 6*float64(i)+6*d.at(14*i+2*j), 6*float64(j)+6*d.at(14*i+2*j+1), .5+.3*d.at(200+i*7+j))
		}
	}
	s.add("</pattern>")
	done := map[int]bool{}
	for i := range legend {
		e := &legend[i]
		if e.Symbol != Mass || done[e.Number] {
			continue
		}
		done[e.Number] = true
		// Neighbouring numbers get other angles and gaps, so that masses part in grey as well.
		angle := []int{-35, 20, -65, 55, -10, 80}[e.Number%6]
		gap := 5.5 + 1.4*float64(e.Number%3)
		s.add(fmt.Sprintf(`<pattern id="%s-h%d" width="%s" height="40" patternUnits="userSpaceOnUse" patternTransform="rotate(%d)">`, s.id, e.Number, num(gap), angle))
		s.line(fmt.Sprintf("hl k%d", e.Number), gap/2, 0, gap/2, 40)
		s.add("</pattern>")
	}
	s.add("</defs>")
}

// contours draws the height of the bed at every centimetre (half inch), with every fifth (inch: second) line strong and named.
func contours(s *sheet, f *forecast.Forecast, g *field, x, y func(float64) float64, scale float64, system unit.System, taken *boxes, room [4]float64) {
	t := &f.Model.Tank
	step, strong, factor, name := .01, 5, 100.0, " cm"
	if system == unit.US {
		step, strong, factor, name = .0127, 2, 1/.0254, " in"
	}
	top := 0.0
	for _, v := range g.v {
		top = max(top, v)
	}
	type label struct {
		x, y float64
		text string
	}
	var labels []label
	fine := max(g.cx/2, t.LX/240)
	for n := 1; float64(n)*step < top && n < 200; n++ {
		level := float64(n) * step
		class := "ct"
		if n%strong == 0 {
			class = "ct5"
		}
		var p path
		var longest [][2]float64
		for _, line := range g.contour(level, t.LX, t.LY, fine) {
			for i := range line {
				line[i] = [2]float64{x(line[i][0]), y(line[i][1])}
			}
			line = geometry.Simplify(line, .35)
			p.poly(line, false)
			if class == "ct5" && reach(line) > reach(longest) {
				longest = line
			}
		}
		if p.empty() {
			continue
		}
		s.add(`<path class="`, class, `" d="`, p.String(), `"/>`)
		if reach(longest) > 60 {
			// The name stands on the line where nothing else does, looking from a third of the way.
			for i := range longest {
				q := longest[(i+len(longest)/3)%len(longest)]
				if q[0] < room[0]+40 || q[0] > room[2]-40 || q[1] < room[1]+14 || q[1] > room[3]-14 || !inside(t.Footprint, (q[0]-frame)/scale, t.LY-(q[1]-frame)/scale) || !taken.free(q[0], q[1], 44, 14) {
					continue
				}
				taken.take(q[0], q[1], 44, 14)
				labels = append(labels, label{q[0], q[1], num(level*factor) + name})
				break
			}
		}
	}
	for _, l := range labels {
		s.text("sm so halo", "middle", l.x, l.y+4, l.text)
	}
}

// reach is the length of a line.
func reach(p [][2]float64) float64 {
	var l float64
	for i := 1; i < len(p); i++ {
		l += math.Hypot(p[i][0]-p[i-1][0], p[i][1]-p[i-1][1])
	}
	return l
}

// solidsFromAbove draws stones as facets and wood as limbs, from low to high.
func solidsFromAbove(s *sheet, f *forecast.Forecast, g *field, x, y func(float64) float64, scale float64) {
	type piece struct {
		z    float64
		draw func()
	}
	var pieces []piece
	for i := range f.Model.Solids {
		so := &f.Model.Solids[i]
		if so.Kind == "wood" && len(so.Limbs) > 0 {
			for j := range so.Limbs {
				l := &so.Limbs[j]
				pieces = append(pieces, piece{(l.A[2] + l.B[2]) / 2, func() {
					limb(s, x(l.A[0]), y(l.A[1]), l.RA*scale, x(l.B[0]), y(l.B[1]), l.RB*scale, drawsOf(fmt.Sprintf("%s/%d", so.ID, j)))
				}})
			}
			continue
		}
		letter := "q"
		if so.Kind == "wood" {
			letter = "w"
		}
		pieces = append(pieces, piece{so.Max[2] * .6, func() {
			look(so.Body, func(p [3]float64) (float64, float64, float64) { return x(p[0]), y(p[1]), -p[2] * scale },
				func(p [3]float64) bool { return p[2] > g.flat(p[0], p[1])-.002 }).draw(s, letter)
		}})
	}
	sort.SliceStable(pieces, func(i, j int) bool { return pieces[i].z < pieces[j].z })
	s.add(`<g class="h0">`)
	for _, p := range pieces {
		p.draw()
	}
	s.add("</g>")
}

// symbols draws the pots of one planting.
func symbols(s *sheet, e *Entry, x, y func(float64) float64, scale float64) {
	n := fmt.Sprint(e.Number)
	switch e.Symbol {
	case Mass:
		var p path
		for _, q := range e.pots { // where each pot goes in
			p.move(x(q.x)-2, y(q.y))
			p.lineTo(x(q.x)+2, y(q.y))
			p.move(x(q.x), y(q.y)-2)
			p.lineTo(x(q.x), y(q.y)+2)
		}
		s.add(`<path class="st k`, n, `" d="`, p.String(), `"/>`)
	case Loose:
		var p path
		r := clamp(e.spread/2*scale, 5, 9)
		for i, q := range e.pots {
			starRays(x(q.x), y(q.y), r, drawsOf(e.ID).at(i)*math.Pi).on(&p)
		}
		s.add(`<path class="st k`, n, `" d="`, p.String(), `"/>`)
	case Tied:
		for i, q := range e.pots {
			rosetteMark(s, n, x(q.x), y(q.y), clamp(e.spread/2*scale, 6, 22), 5, drawsOf(e.ID).at(i), false, false)
		}
	case Afloat:
		for i, q := range e.pots {
			rosetteMark(s, n, x(q.x), y(q.y), clamp(e.spread/2*scale, 5, 30), 4, drawsOf(e.ID).at(i), true, true)
		}
	default:
		for i, q := range e.pots {
			rosetteMark(s, n, x(q.x), y(q.y), max(e.spread/2*scale, 6), 11, drawsOf(e.ID).at(i), true, false)
		}
	}
}

// rosetteMark is the plan symbol of one plant: leaves that radiate from a centre mark, within a ring as wide as the plant.
func rosetteMark(s *sheet, n string, x, y, r float64, leaves int, turn float64, ring, dashed bool) {
	if ring {
		if dashed {
			s.add(`<g stroke-dasharray="3 2.5">`)
		}
		s.circle("sym f"+n+" k"+n, x, y, r)
		if dashed {
			s.add("</g>")
		}
	}
	s.add(`<path class="rad f`, n, ` k`, n, `" d="`, rosetteLeaves(x, y, r, leaves, turn).onPage().String(), `"/>`)
	s.circle("sym k"+n, x, y, min(1.8, r*.12))
}

// rosetteLeaves are leaves that radiate from a centre mark, y down.
func rosetteLeaves(x, y, r float64, leaves int, turn float64) *part {
	p := &part{}
	for i := range leaves {
		a := 2 * math.Pi * (float64(i) + turn) / float64(leaves)
		sn, c := math.Sincos(a)
		l, b := r*.93, min(r*.93*.42, 2.6*r/float64(leaves)*1.5)
		p.move(x+c*r*.12, y+sn*r*.12)
		p.quad(x+c*l*.55-sn*b, y+sn*l*.55+c*b, x+c*l, y+sn*l)
		p.quad(x+c*l*.55+sn*b, y+sn*l*.55-c*b, x+c*r*.12, y+sn*r*.12)
		p.close()
	}
	return p
}

// starRays are the crossed lines of a loose stem, y down.
func starRays(x, y, r, turn float64) *part {
	p := &part{thin: true}
	for a := range 4 {
		sn, c := math.Sincos(turn + float64(a)*math.Pi/4)
		p.move(x-r*c, y-r*sn)
		p.line(x+r*c, y+r*sn)
	}
	return p
}

// sides names the glass and marks from which sides the tank is seen.
func sides(s *sheet, f *forecast.Forecast, w, h float64, taken *boxes) {
	seen := map[string]bool{}
	if f.Plan != nil {
		for _, v := range f.Plan.Tank.SeenFrom {
			if v == "all" {
				for _, a := range []string{"front", "back", "left", "right"} {
					seen[a] = true
				}
			}
			seen[v] = true
		}
	}
	mark := func(side string, tx, ty, rot float64) {
		label := side
		if seen[side] {
			label = "seen from the " + side
		}
		l := float64(len(label))*6 + 8
		if rot == 0 {
			taken.take(tx, ty-4, l, 16)
		} else {
			taken.take(tx, ty, 16, l)
		}
		if !seen[side] {
			return
		}
		s.add(fmt.Sprintf(`<g transform="translate(%s %s) rotate(%s)">`, num(tx), num(ty), num(rot)))
		s.text("it sm so halo", "middle", 0, 0, label)
		s.add("</g>")
	}
	mark("front", w/2, h-frame-7, 0)
	mark("back", w/2, frame+14, 0)
	mark("left", frame+13, h/2, -90)
	mark("right", w-frame-13, h/2, 90)
}

// rings draws the numbered rings; one that would cover another moves aside and keeps a line to its place.
func rings(s *sheet, marks []Mark, x, y func(float64) float64, room [4]float64, taken *boxes) {
	for _, m := range marks {
		if m.X < 0 || m.Y < 0 || math.IsNaN(m.X+m.Y) {
			continue
		}
		px, py := x(m.X), y(m.Y)
		rx, ry := px, py
		if !m.Quiet {
			rx, ry = taken.near(px, py, 21, 21, room, 6, 120)
		}
		class := ""
		if m.Grave {
			class = " bad"
		}
		quiet := ""
		if m.Quiet {
			quiet = " quiet"
		}
		s.add(fmt.Sprintf(`<g class="mark%s" id="%s-m%d">`, quiet, s.id, m.Number))
		s.circle("place", px, py, 34)
		if math.Hypot(rx-px, ry-py) > 8 {
			s.line("lead", px, py, rx, ry)
			s.circle("lead", px, py, 1.5)
		}
		if m.Href != "" {
			s.links = true
			s.add(`<a href="`, Text(m.Href), `" aria-label="finding `, fmt.Sprint(m.Number), `">`)
		}
		s.circle("ring"+class, rx, ry, 9.5)
		s.text("rn"+class, "middle", rx, ry+4.4, fmt.Sprint(m.Number))
		if m.Href != "" {
			s.add("</a>")
		}
		s.add("</g>")
	}
}

// scaleBar draws a bar of a round length and returns the length in words.
func scaleBar(s *sheet, x, y, scale float64, system unit.System) string {
	steps, name, each := []float64{.02, .05, .1, .2, .5, 1}, "cm", .01
	if system == unit.US {
		steps, name, each = []float64{.0254, .0508, .127, .254, .6096, 1.2192}, "in", .0254
	}
	l := steps[0]
	for _, c := range steps {
		if c*scale <= 190 {
			l = c
		}
	}
	w := l * scale
	s.line("ik", x, y, x+w, y)
	for i := range 6 {
		tick := 3.0
		if i == 0 || i == 5 {
			tick = 5
		}
		s.line("ikt", x+w*float64(i)/5, y-tick, x+w*float64(i)/5, y+tick)
	}
	text := num(math.Round(l/each*10)/10) + " " + name
	s.text("sm", "start", x+w+8, y+4, text)
	return text
}

// KeySymbol is the small picture that stands beside a planting in the legend.
func KeySymbol(id string, e *Entry) Drawing {
	s := newSheet(id)
	n := fmt.Sprint(e.Number)
	switch e.Symbol {
	case Mass:
		s.add(`<path class="mass f`, n, ` k`, n, `" d="M3 10q3-8 14-6t15 4q-2 9-13 8t-16-6z"/>`)
		var p path
		for i := range 6 {
			p.move(6+4.5*float64(i), 15)
			p.lineTo(10+4.5*float64(i), 5)
		}
		s.add(`<path class="hl k`, n, `" d="`, p.String(), `"/>`)
	case Loose:
		var p path
		for i := range 3 {
			for a := range 4 {
				sn, c := math.Sincos(float64(a) * math.Pi / 4)
				p.move(7+11*float64(i)-4.5*c, 10-4.5*sn)
				p.lineTo(7+11*float64(i)+4.5*c, 10+4.5*sn)
			}
		}
		s.add(`<path class="st k`, n, `" d="`, p.String(), `"/>`)
	case Tied:
		s.add(`<g class="h0">`)
		limb(s, 2, 14, 3, 33, 9, 2, drawsOf("key"))
		s.add("</g>")
		rosetteMark(s, n, 17, 9, 7, 5, .3, false, false)
	case Afloat:
		rosetteMark(s, n, 17, 10, 8, 4, .3, true, true)
	default:
		rosetteMark(s, n, 17, 10, 8.5, 9, .3, true, false)
	}
	return s.finish(35, 20, e.Species.Name+", "+string(e.Symbol), "")
}
