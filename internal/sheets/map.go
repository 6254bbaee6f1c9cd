package sheets

import (
	"fmt"
	"littoral/internal/draft"
	"littoral/internal/picture"
	"littoral/internal/unit"
	"math"
	"slices"
	"strings"
)

// MapOptions say how a planting map is printed.
type MapOptions struct {
	Paper    string // one of Papers; "" = A4, or Letter in a house that measures in inches
	Scale    int    // 1 to so many; 0 = 1:2 for tanks of up to 60 cm, else 1:5, or smaller where that takes more than a dozen sheets
	Revision string // which state of the plan it shows
}

// mostTiles is how many sheets a map takes before it is drawn smaller unasked, and mostAsked how many it may take when asked.
const (
	mostTiles = 12
	mostAsked = 48
)

// tile is a part of the tank on one sheet, cm.
type tile struct {
	name           string
	x0, y0, x1, y1 float64
}

// PlantingMap draws what the crew lays beside the tank: an overview, the zones in the order in which they are planted, and the tank in parts
// with a grid, every pot in its place. Errors say what of the options cannot be drawn.
func PlantingMap(d *draft.Draft, o MapOptions) ([]*Page, error) {
	if err := (&Options{Paper: o.Paper, Scale: o.Scale}).check(); err != nil {
		return nil, err
	}
	s := subjectOf(d)
	size := *paper("A4")
	if s.system == unit.US {
		size = *paper("Letter")
	}
	if p := paper(o.Paper); p != nil {
		size = *p
	}
	scale, tiles := o.Scale, []tile(nil)
	if scale == 0 {
		for _, scale = range Scales {
			if scale == 1 || scale == 2 && max(s.b.Tank.LengthCM, s.b.Tank.WidthCM) > 60 {
				continue
			}
			if tiles = s.tiles(size, 10/float64(scale)); len(tiles) <= mostTiles {
				break
			}
		}
	} else {
		tiles = s.tiles(size, 10/float64(scale))
	}
	if len(tiles) > mostAsked {
		return nil, fmt.Errorf("at 1:%d the map takes %d sheets of %s, and at most %d are made; take a larger sheet or a smaller scale", scale, len(tiles), size.Name, mostAsked)
	}
	k := 10 / float64(scale)
	var pages []*Page
	over, small := s.overview(size, tiles)
	pages = append(pages, over)
	scales := []string{fmt.Sprintf("1:%d", small)}
	for _, p := range s.layTables(size, s.steps(), "Order of planting") {
		pages, scales = append(pages, p), append(scales, "–")
	}
	for i := range tiles {
		pages, scales = append(pages, s.part(size, tiles, i, k)), append(scales, fmt.Sprintf("1:%d", scale))
	}
	for i, p := range pages {
		s.title(p, p.Name, scales[i], o.Revision, i+1, len(pages))
	}
	return pages, nil
}

// part's margins inside the frame, mm: words above, the grid's numbers around.
const (
	partTop  = 11.0
	partEdge = 7.0
)

// tiles parts the tank into sheets, from the front left, as even as the grid allows. Neighbours share a square of it where that takes no
// further sheet.
func (s *subject) tiles(size Paper, k float64) []tile {
	w, h := size.W-marginLeft-margin-2*partEdge, size.H-2*margin-titleHigh-partTop-2*partEdge
	pitch := s.pitch()
	cuts := func(room, length float64) [][2]float64 {
		most := max(1, math.Floor(room/k/pitch)) * pitch
		n := math.Ceil(min(length, 60*most)/most - 1e-9)
		if length*k <= room {
			n, most = 1, length
		}
		shared := 0.0
		if n > 1 && n*most-(n-1)*pitch >= length { // a strip that both have costs no sheet
			shared = pitch
		}
		long := math.Ceil((length+(n-1)*shared)/n/pitch-1e-9) * pitch
		var out [][2]float64
		for i := range int(n) {
			at := float64(i) * (long - shared)
			out = append(out, [2]float64{at, min(at+long, length)})
		}
		return out
	}
	var out []tile
	for j, y := range cuts(h, s.b.Tank.WidthCM) {
		for i, x := range cuts(w, s.b.Tank.LengthCM) {
			out = append(out, tile{fmt.Sprintf("%s%d", strings.ToUpper(letters(j)), i+1), x[0], y[0], x[1], y[1]})
		}
	}
	return out
}

// overview draws the whole tank small, with the parts.
func (s *subject) overview(size Paper, tiles []tile) (*Page, int) {
	p := &Page{W: size.W, H: size.H, Name: "Planting map: overview"}
	w, h := size.W-marginLeft-margin-roomLeft-6, size.H-2*margin-titleHigh-captionTop-roomTop-14
	scale := Scales[len(Scales)-1]
	for _, n := range Scales {
		if k := 10 / float64(n); s.b.Tank.LengthCM*k <= w && s.b.Tank.WidthCM*k <= h {
			scale = n
			break
		}
	}
	k := 10 / float64(scale)
	a := &above{subject: s, p: p, k: k, plain: true, ox: marginLeft + roomLeft, oy: margin + captionTop + roomTop + s.b.Tank.WidthCM*k}
	a.draw()
	a.ruler()
	p.word(bold, 3.4, start, marginLeft+2, margin+5.4, "Overview")
	says := s.planWords()
	if len(tiles) > 1 {
		says += fmt.Sprintf("; parts %s to %s follow", tiles[0].name, tiles[len(tiles)-1].name)
	}
	p.note(2.3, start, marginLeft+25, margin+5.4, says)
	if len(tiles) > 1 {
		for _, t := range tiles {
			x, y := a.x(t.x0), a.y(t.y1)
			p.rect(x, y, (t.x1-t.x0)*k, (t.y1-t.y0)*k, ink{mm: .18, colour: warn, dash: []float64{1.5, 1}}, "")
			p.turned(bold, 2.6, end, a.x(t.x1)-1, a.y(t.y1)+3.2, 0, warn, t.name)
		}
	}
	a.p.poly([][2]float64{{a.x(s.b.Tank.LengthCM/2) - 2.2, a.oy + 10}, {a.x(s.b.Tank.LengthCM/2) + 2.2, a.oy + 10}, {a.x(s.b.Tank.LengthCM / 2), a.oy + 7.2}}, true, none, black)
	p.word(bold, 2.6, start, a.x(s.b.Tank.LengthCM/2)+4, a.oy+10, "Front")
	return p, scale
}

// steps are the tables of what is planted when and in which order.
func (s *subject) steps() []table {
	heads := []string{"", "", "zone", "", "species", "pots", "apart", "from left", "from front", "where"}
	wide := []float64{7, 7, 11, 11, 52, 11, 13, 19, 19, 36}
	var out []table
	n := 0
	for _, z := range planted(s.zones) {
		title := "Planting day"
		if z.FromDay > 0 {
			title = fmt.Sprintf("Day %d", z.FromDay)
		}
		if len(out) == 0 || out[len(out)-1].title != title {
			t := table{title: title, heads: heads, wide: wide}
			if z.FromDay <= 0 {
				t.says = fmt.Sprintf("Measures in %s. Tie and glue first and keep it wet; with the water at the height of the bed plant from the front to the back, stems last and the short ones before the tall; what floats goes in when the tank is full. Keep everything moist while you work.", s.unitSign())
			}
			out, n = append(out, t), 0
		}
		t := &out[len(out)-1]
		n++
		apart := "–"
		if z.spacing > 0 && z.Way != "on" {
			apart = s.cm(math.Round(z.spacing))
		}
		x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
		for _, q := range z.PlacesCM {
			x0, x1, y0, y1 = min(x0, q[0]), max(x1, q[0]), min(y0, q[1]), max(y1, q[1])
		}
		fromLeft, fromFront := "–", "–"
		if len(z.PlacesCM) > 0 {
			fromLeft, fromFront = s.span(x0, x1), s.span(y0, y1)
		}
		box := func(p *Page, x, y float64) { p.rect(x-1.5, y-1.5, 3, 3, fine, "") }
		t.rows = append(t.rows, []tcell{
			{draw: box},
			{text: fmt.Sprint(n), right: true},
			{text: z.label, face: bold},
			{draw: z.keySymbol()},
			{text: z.Species, face: italic},
			{text: fmt.Sprint(z.Pots), right: true},
			{text: apart, right: true},
			{text: fromLeft, right: true},
			{text: fromFront, right: true},
			{text: z.where()},
		})
	}
	return out
}

// part draws one sheet of the map.
func (s *subject) part(size Paper, tiles []tile, n int, k float64) *Page {
	t := tiles[n]
	p := &Page{W: size.W, H: size.H, Name: "Planting map: part " + t.name}
	left, top := marginLeft+partEdge, margin+partTop+partEdge
	if len(tiles) == 1 { // in the middle of the sheet
		left += max(0, (size.W-marginLeft-margin-2*partEdge-(t.x1-t.x0)*k)/2)
	}
	a := &above{subject: s, p: p, k: k, plain: true, quiet: true, part: &t, ox: left - t.x0*k, oy: top + t.y1*k}
	x0, y0, x1, y1 := a.x(t.x0), a.y(t.y1), a.x(t.x1), a.y(t.y0)
	frame := [][2]float64{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}
	p.clip(frame)
	foot := a.pts(s.b.Tank.OutlineCM)
	a.caps(false)
	a.contours()
	a.caps(true)
	a.masses()
	a.hardscape()
	s.grid(a, t)
	p.poly(foot, true, edge, "")
	in := [4]float64{x0 + 1, y0 + 1, x1 - 1, y1 - 1}
	var taken picture.Boxes
	here := func(q [3]float64) bool { return q[0] >= t.x0 && q[0] <= t.x1 && q[1] >= t.y0 && q[1] <= t.y1 }
	for i := range s.b.Hardscape {
		h := &s.b.Hardscape[i]
		if here([3]float64{h.AtCM[0], h.AtCM[1], 0}) {
			x, y := taken.Near(a.x(h.AtCM[0]), a.y(h.AtCM[1]), 6, 3.6, in, 1.5, 20)
			p.turned(sans, 2.4, centre, x, y+.8, 0, soft, pieceLabel(i))
		}
	}
	for i := range s.zones {
		if z := &s.zones[i]; z.FromDay <= 0 {
			a.pots(z)
			for _, q := range z.PlacesCM {
				if here(q) {
					taken.Take(a.x(q[0]), a.y(q[1]), 2.4, 2.4)
				}
			}
		}
	}
	for i := range s.zones {
		z := &s.zones[i]
		if z.FromDay > 0 || !slices.ContainsFunc(z.PlacesCM, here) {
			continue
		}
		var cx, cy, m float64
		for _, q := range z.PlacesCM {
			if !here(q) {
				continue
			}
			cx, cy, m = cx+q[0], cy+q[1], m+1
			if z.outline == nil { // each pot says which zone it is of
				w := width(sans, 2, z.label) + .4
				x, y := taken.Near(a.x(q[0])+1.5+w/2, a.y(q[1])-1.8, w, 2.4, in, .8, 5)
				p.turned(sans, 2, centre, x, y+.7, 0, leaf, z.label)
			}
		}
		words := fmt.Sprintf("%s · %d", z.label, z.Pots)
		px, py := a.x(cx/m), a.y(cy/m)
		w := width(bold, 3, words) + 2.4
		x, y := taken.Near(px, py, w, 4.4, in, 1.5, 40)
		if math.Hypot(x-px, y-py) > 5 {
			p.line(px, py, x, y, ink{mm: hair, colour: leaf})
		}
		p.path(pill(x, y, w, 4), ink{mm: .18, colour: leaf}, white)
		p.word(bold, 3, centre, x, y+1.1, words)
	}
	p.unclip()
	p.poly(frame, true, ink{mm: .18, colour: soft}, "")
	s.gridNumbers(a, t)
	p.word(bold, 3.4, start, marginLeft+2, margin+5.4, "Part "+t.name)
	says := fmt.Sprintf("grid of %s %s from the front left inside corner; a label's second number is pots", s.cm(s.pitch()), s.unitSign())
	if t.y0 == 0 {
		says += "; the front glass is below"
	}
	p.note(2.3, start, marginLeft+24, margin+5.4, says)
	s.keyMap(p, tiles, n)
	return p
}

func (s *subject) grid(a *above, t tile) {
	for i := 1; float64(i)*s.pitch() < t.x1; i++ {
		if at := float64(i) * s.pitch(); at > t.x0 {
			a.p.line(a.x(at), a.y(t.y0), a.x(at), a.y(t.y1), faint)
		}
	}
	for i := 1; float64(i)*s.pitch() < t.y1; i++ {
		if at := float64(i) * s.pitch(); at > t.y0 {
			a.p.line(a.x(t.x0), a.y(at), a.x(t.x1), a.y(at), faint)
		}
	}
}

func (s *subject) gridNumbers(a *above, t tile) {
	for i := 0; float64(i)*s.pitch() <= t.x1+.01; i++ {
		if at := float64(i) * s.pitch(); at >= t.x0-.01 {
			a.p.note(2.3, centre, a.x(at), a.y(t.y0)+3.4, s.cm(at))
			a.p.note(2.3, centre, a.x(at), a.y(t.y1)-1.2, s.cm(at))
		}
	}
	for i := 0; float64(i)*s.pitch() <= t.y1+.01; i++ {
		if at := float64(i) * s.pitch(); at >= t.y0-.01 {
			a.p.note(2.3, end, a.x(t.x0)-1, a.y(at)+.8, s.cm(at))
			a.p.note(2.3, start, a.x(t.x1)+1, a.y(at)+.8, s.cm(at))
		}
	}
}

// keyMap shows in a corner of the words which part of the tank a sheet holds.
func (s *subject) keyMap(p *Page, tiles []tile, n int) {
	if len(tiles) < 2 {
		return
	}
	k := min(34/s.b.Tank.LengthCM, 7.5/s.b.Tank.WidthCM)
	x, y := p.W-margin-3-s.b.Tank.LengthCM*k, margin+1.5+s.b.Tank.WidthCM*k
	for i, t := range tiles {
		if i == n {
			p.rect(x+t.x0*k, y-t.y1*k, (t.x1-t.x0)*k, (t.y1-t.y0)*k, none, pale)
		}
	}
	for _, t := range tiles {
		p.rect(x+t.x0*k, y-t.y1*k, (t.x1-t.x0)*k, (t.y1-t.y0)*k, ink{mm: hair, colour: soft}, "")
	}
	p.rect(x, y-s.b.Tank.WidthCM*k, s.b.Tank.LengthCM*k, s.b.Tank.WidthCM*k, ink{mm: .18, colour: black}, "")
}
