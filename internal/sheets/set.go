package sheets

import (
	"errors"
	"fmt"
	"littoral/internal/draft"
	"littoral/internal/picture"
	"littoral/internal/unit"
	"math"
	"slices"
	"strings"
)

// Paper is a size of sheet, in mm, on its side.
type Paper struct {
	Name string
	W, H float64
}

// papers are the sizes of ISO 216 and ANSI/ASME Y14.1.
var papers = []Paper{{"A4", 297, 210}, {"A3", 420, 297}, {"A2", 594, 420}, {"A1", 841, 594}, {"Letter", 279.4, 215.9}, {"Tabloid", 431.8, 279.4}}

// Papers are the names of the sizes, smallest first, those of ISO before those of the US.
func Papers() []string {
	var out []string
	for _, p := range papers {
		out = append(out, p.Name)
	}
	return out
}

// Scales are the scales that sheets are drawn to, 1 to so many (ISO 5455 and, between 2 and 5, 20 and 50, one that builders use).
var Scales = []int{1, 2, 5, 10, 20, 25, 50, 100}

// The things that can be drawn, in the order in which they come.
const (
	Plan    = "plan"
	Section = "section"
)

// Views are the drawings that a set may hold.
func Views() []string { return []string{Plan, "front", "left", "right", "back", Section} }

// Options say how a plan is put on paper.
type Options struct {
	Paper    string        // one of Papers; "" = A3, or Tabloid in a house that measures in inches
	Scale    int           // 1 to so many; 0 = the largest at which each drawing fits on a sheet
	Views    []string      // of Views; none = plan, front, left and section
	Section  [2][2]float64 // ends of the section's line, cm; both zero = across the middle, front to back
	NoPlants bool          // for setting stones and wood
	Revision string        // which state of the plan it shows, as people call it; may be empty
}

func (o *Options) check() error {
	if o.Paper != "" && paper(o.Paper) == nil {
		return fmt.Errorf("no sheet is called %q; take one of %s", o.Paper, strings.Join(Papers(), ", "))
	}
	if o.Scale != 0 && !slices.Contains(Scales, o.Scale) {
		return fmt.Errorf("1:%d is no scale of these sheets; take one of 1:%s", o.Scale, strings.Trim(strings.Join(strings.Fields(fmt.Sprint(Scales)), ", 1:"), "[]"))
	}
	for _, v := range o.Views {
		if !slices.Contains(Views(), v) {
			return fmt.Errorf("there is no drawing %q; take of %s", v, strings.Join(Views(), ", "))
		}
	}
	for _, q := range o.Section {
		if !(math.Abs(q[0]) <= 1e4) || !(math.Abs(q[1]) <= 1e4) {
			return errors.New("the section's line ends far from the tank; write its ends in centimetres from the front-left inside corner")
		}
	}
	if l := math.Hypot(o.Section[1][0]-o.Section[0][0], o.Section[1][1]-o.Section[0][1]); l > 0 && l < 5 {
		return errors.New("the section's line is shorter than 5 cm; draw it across the tank")
	}
	return nil
}

func paper(name string) *Paper {
	for i := range papers {
		if strings.EqualFold(papers[i].Name, name) {
			return &papers[i]
		}
	}
	return nil
}

// block is one drawing of a set with the room that it takes.
type block struct {
	name  string
	long  float64 // cm along the paper
	high  float64 // cm up the paper
	below float64 // mm of room under it
	draw  func(p *Page, ox, oy, k float64)
	says  string
}

// Margins of a sheet, mm: more on the left, to file it (ISO 5457, from memory).
const (
	marginLeft = 20.0
	margin     = 10.0
	titleHigh  = 24.0
	captionTop = 7.0
)

// Draw puts a plan on sheets: the drawings to one scale, then the tables. Errors say what of the options cannot be drawn.
func Draw(d *draft.Draft, o Options) ([]*Page, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	s := subjectOf(d)
	size := s.paper(o.Paper)
	blocks := s.blocks(&o)
	scale, err := o.scaleFor(blocks, size)
	if err != nil {
		return nil, err
	}
	k := 10 / float64(scale)
	var pages []*Page
	pages = append(pages, s.lay(blocks, size, k)...)
	if len(pages) > 0 && !o.NoPlants {
		s.beside(pages[0])
	}
	pages = append(pages, s.tables(size)...)
	for i, p := range pages {
		s.title(p, p.Name, fmt.Sprintf("1:%d", scale), o.Revision, i+1, len(pages))
	}
	return pages, nil
}

// CutAlong draws a section by itself, on paper as large as it needs, for pages that show one while its line is dragged.
func CutAlong(d *draft.Draft, line [2][2]float64, plants bool) (*Page, error) {
	o := Options{Section: line}
	if err := o.check(); err != nil {
		return nil, err
	}
	s := subjectOf(d)
	b := s.blocks(&Options{Section: line, Views: []string{Section}, NoPlants: !plants})[0]
	k := min(260/b.long, 160/b.high)
	w, h := b.size(k)
	p := &Page{Name: b.name, W: w, H: h}
	b.draw(p, roomLeft, captionTop+roomTop+b.high*k, k)
	return p, nil
}

func (s *subject) paper(name string) Paper {
	if p := paper(name); p != nil {
		return *p
	}
	if s.system == unit.US {
		return *paper("Tabloid")
	}
	return *paper("A3")
}

func (s *subject) sectionOf(o *Options) cut {
	t := &s.b.Tank
	c := cut{name: "A", from: o.Section[0], to: o.Section[1]}
	if c.from == c.to {
		c.from, c.to = [2]float64{t.LengthCM / 2, 0}, [2]float64{t.LengthCM / 2, t.WidthCM}
	}
	return c
}

func (s *subject) blocks(o *Options) []block {
	views := o.Views
	if len(views) == 0 {
		views = []string{Plan, "front", "left", Section}
	}
	t := &s.b.Tank
	section := s.sectionOf(o)
	var out []block
	for _, v := range Views() {
		if !slices.Contains(views, v) {
			continue
		}
		switch v {
		case Plan:
			var cuts []cut
			if slices.Contains(views, Section) {
				cuts = []cut{section}
			}
			out = append(out, block{name: "Plan", long: t.LengthCM, high: t.WidthCM, below: roomBottom, says: s.planWords(), draw: func(p *Page, ox, oy, k float64) {
				(&above{subject: s, p: p, ox: ox, oy: oy, k: k, cutA: cuts, quiet: o.NoPlants}).draw()
			}})
		case Section:
			long := math.Hypot(section.to[0]-section.from[0], section.to[1]-section.from[1])
			says := fmt.Sprintf("cut along A–A′; bed from below: %s", bedWords(&s.b.Ground))
			out = append(out, block{name: "Section A–A′", long: long, high: t.HeightCM, below: 11, says: says, draw: func(p *Page, ox, oy, k float64) {
				(&side{subject: s, p: p, ox: ox, oy: oy, k: k, long: long}).section(section, !o.NoPlants)
			}})
		default:
			view := map[string]picture.View{"front": picture.Front, "left": picture.Left, "right": picture.Right, "back": picture.Back}[v]
			u0, u1, _, _ := s.reachOf(view)
			says := "plants at the middle of their grown height"
			if o.NoPlants {
				says = "without plants"
			}
			out = append(out, block{name: "From the " + v, long: u1 - u0, high: t.HeightCM, below: 11, says: says, draw: func(p *Page, ox, oy, k float64) {
				(&side{subject: s, p: p, ox: ox, oy: oy, k: k, long: u1 - u0}).elevation(view, !o.NoPlants)
			}})
		}
	}
	return out
}

func (s *subject) planWords() string {
	pots := 0
	for i := range s.zones {
		pots += s.zones[i].Pots
	}
	words := fmt.Sprintf("contours every %s %s; %d pots in %d zones", s.cm(draft.ContourCM), s.unitSign(), pots, len(s.zones))
	later := 0
	for i := range s.zones {
		if s.zones[i].FromDay > 0 {
			later++
		}
	}
	if later > 0 {
		words += fmt.Sprintf(", of which %d are planted later and are not drawn", later)
	}
	return words
}

// scaleFor is the wanted scale, or the largest at which every drawing fits on one sheet.
func (o *Options) scaleFor(blocks []block, size Paper) (int, error) {
	fits := func(scale int) bool {
		k := 10 / float64(scale)
		for i := range blocks {
			if w, h := blocks[i].size(k); w > size.W-marginLeft-margin || h > size.H-2*margin-titleHigh {
				return false
			}
		}
		return true
	}
	if o.Scale != 0 {
		if !fits(o.Scale) {
			return 0, fmt.Errorf("at 1:%d the tank does not fit on %s; take a larger sheet or a smaller scale, or let the program choose it", o.Scale, size.Name)
		}
		return o.Scale, nil
	}
	for _, scale := range Scales {
		if fits(scale) {
			return scale, nil
		}
	}
	return 0, fmt.Errorf("the tank does not fit on %s at any scale; take a larger sheet", size.Name)
}

// size is the room of a drawing with its measures and words, mm.
func (b *block) size(k float64) (w, h float64) {
	return roomLeft + b.long*k + roomRight, captionTop + roomTop + b.high*k + b.below
}

// lay puts drawings on pages from the top left, in rows, the next beside the last where there is room: a plan above its elevation, the
// side beside the front.
func (s *subject) lay(blocks []block, size Paper, k float64) []*Page {
	var pages []*Page
	left, top, right, bottom := marginLeft, margin, size.W-margin, size.H-margin-titleHigh
	var p *Page
	var names []string
	x, y, row := left, top, 0.0
	turn := func() {
		if p != nil {
			p.Name = strings.Join(names, ", ")
		}
		p = &Page{W: size.W, H: size.H}
		pages = append(pages, p)
		names, x, y, row = nil, left, top, 0
	}
	for i := range blocks {
		b := &blocks[i]
		w, h := b.size(k)
		if p == nil || x > left && x+w > right {
			if p == nil {
				turn()
			} else {
				x, y, row = left, y+row, 0
			}
		}
		if y+h > bottom+.01 {
			turn()
		}
		ox, oy := x+roomLeft, y+captionTop+roomTop+b.high*k
		b.draw(p, ox, oy, k)
		p.word(bold, 3.4, start, x+2, y+5.4, b.name)
		at := x + 2 + width(bold, 3.4, b.name) + 3
		p.note(2.3, start, at, y+5.4, fit(sans, 2.3, x+w-at-1, b.says))
		names = append(names, b.name)
		x += w
		row = max(row, h)
		p.used = max(p.used, x)
	}
	if p != nil {
		p.Name = strings.Join(names, ", ")
	}
	return pages
}

// title draws the frame, the title block, the bar by which a print is checked, and the scale bar.
func (s *subject) title(p *Page, what, scale, revision string, n, of int) {
	left, top, right, bottom := marginLeft, margin, p.W-margin, p.H-margin
	p.rect(left, top, right-left, bottom-top, ink{mm: .35, colour: black}, "")
	y := bottom - titleHigh
	p.line(left, y, right, y, ink{mm: .35, colour: black})
	wide := min(180, right-left-62) // ISO 7200 has 180 mm, from memory; a narrow sheet takes less
	x := right - wide
	p.line(x, y, x, bottom, ink{mm: middle, colour: black})
	cell := func(cx, cy, cw float64, name, text string, f face, size float64) {
		p.note(1.9, start, cx+1.5, cy+3, name)
		p.word(f, size, start, cx+1.5, cy+7.6, fit(f, size, cw-3, plain(text)))
	}
	half, third := y+titleHigh/2, wide/6
	p.line(x, half, right, half, ink{mm: thin, colour: black})
	v := func(at, from, to float64) { p.line(at, from, at, to, ink{mm: thin, colour: black}) }
	v(x+4*third, y, bottom)
	v(x+5*third, y, bottom)
	cell(x, y, 4*third, "tank", s.d.Plan.Name, bold, 4)
	cell(x, half, 4*third, "drawing", what, sans, 3.2)
	cell(x+4*third, y, third, "scale", scale, bold, 4)
	cell(x+5*third, y, third, "sheet", fmt.Sprintf("%d of %d", n, of), sans, 3.2)
	cell(x+4*third, half, third, "planted", orDash(s.d.Plan.Planted), sans, 2.8)
	cell(x+5*third, half, third, "state", orDash(revision), sans, 2.8)
	// Left of it: how to read and how to check the sheet.
	tx := left + 3
	room := x - tx - 3
	lines := []string{fmt.Sprintf("Measures in %s, inside the glass, from its front left corner.", s.unitName())}
	if s.d.Plan.House != nil && s.d.Plan.House.Letterhead != "" {
		lines = append([]string{plain(s.d.Plan.House.Letterhead)}, lines...)
	}
	for i, l := range lines {
		for j, part := range wrapped(sans, 2.2, room, l) {
			if i+j < 3 {
				p.note(2.2, start, tx, y+4+3*float64(i+j), part)
			}
		}
	}
	bar := 50.0
	words := "Print at 100 %: this bar is 50 mm"
	if s.system == unit.US {
		bar, words = 50.8, "Print at 100 %: this bar is 2 in"
	}
	by := bottom - 8
	p.line(tx, by, tx+bar, by, ink{mm: .3, colour: black})
	for i := range 6 {
		h := 1.2
		if i == 0 || i == 5 {
			h = 2
		}
		p.line(tx+bar*float64(i)/5, by-h/2, tx+bar*float64(i)/5, by+h/2, fine)
	}
	p.note(2.1, start, tx, by+3.6, words)
	if k := scaleOf(scale); k > 0 && room > bar+40 {
		s.scaleBar(p, tx+bar+12, by, 10/k, room-bar-14)
	}
}

func orDash(s string) string {
	if s == "" {
		return "–"
	}
	return s
}

// scaleOf reads 1:10 as 10.
func scaleOf(s string) float64 {
	var n float64
	if _, err := fmt.Sscanf(s, "1:%g", &n); err != nil {
		return 0
	}
	return n
}

// scaleBar draws a bar of a round length in the tank, black and white in fifths.
func (s *subject) scaleBar(p *Page, x, y, k, most float64) {
	l := 0.0
	steps := []float64{5, 10, 20, 50, 100, 200}
	if s.system == unit.US {
		steps = []float64{5.08, 10.16, 25.4, 50.8, 121.92}
	}
	for _, c := range steps {
		if c*k <= min(most, 110) {
			l = c
		}
	}
	if l == 0 {
		return
	}
	w := l * k / 5
	for i := range 5 {
		fill := white
		if i%2 == 0 {
			fill = black
		}
		p.rect(x+w*float64(i), y-.8, w, 1.6, fine, fill)
	}
	p.note(2.1, start, x, y+3.6, "0")
	p.note(2.1, end, x+5*w, y+3.6, s.cm(l)+" "+s.unitSign()+" in the tank")
}
