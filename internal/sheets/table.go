package sheets

import (
	"fmt"
	"littoral/internal/picture"
	"littoral/internal/unit"
	"math"
	"sort"
	"strings"
)

// cell is one entry of a table.
type tcell struct {
	text  string
	face  face
	draw  func(p *Page, x, y float64) // a symbol instead of text; x, y is the middle of the cell
	right bool
}

// table is a list that is laid out in columns over as many pages as it needs.
type table struct {
	title string
	says  string
	heads []string
	wide  []float64 // mm
	rows  [][]tcell
}

const rowHigh = 5.0

// mostZones is how many zones are listed one by one; of more, each species gets a row.
const mostZones = 160

func (s *subject) tables(size Paper) []*Page {
	return s.layTables(size, []table{s.legend(), s.hardscape(), s.bed(), s.equipment()}, "Legend")
}

// layTables flows tables down columns, from page to page.
func (s *subject) layTables(size Paper, list []table, name string) []*Page {
	var pages []*Page
	left, top, right, bottom := marginLeft+4, margin+4, size.W-margin-4, size.H-margin-titleHigh-3
	var p *Page
	x, y, column := left, top, 0.0
	page := func() {
		p = &Page{W: size.W, H: size.H, Name: name}
		pages = append(pages, p)
		x, y, column = left, top, 0
	}
	for i := range list {
		t := &list[i]
		if len(t.rows) == 0 {
			continue
		}
		wide := 0.0
		for _, w := range t.wide {
			wide += w
		}
		if p == nil {
			page()
		}
		next := func(need float64) { // begins a column where so much room is not left
			if y+need <= bottom {
				return
			}
			x, y = x+column+6, top
			column = 0
			if x+wide > right {
				page()
			}
		}
		head := func(title string) {
			p.word(bold, 3.2, start, x, y+4, title)
			if t.says != "" && !strings.HasSuffix(title, "continued") {
				lines := wrapped(sans, 2.2, wide, t.says)
				for j, l := range lines {
					p.note(2.2, start, x, y+7.4+2.9*float64(j), l)
				}
				y += 2.9 * float64(len(lines))
			}
			y += 6
			at := x
			for c, h := range t.heads {
				if t.rows[0][c].right {
					p.note(2, end, at+t.wide[c]-1.4, y+3, h)
				} else {
					p.note(2, start, at+.8, y+3, h)
				}
				at += t.wide[c]
			}
			y += 4
			p.line(x, y, x+wide, y, ink{mm: middle, colour: black})
			column = max(column, wide)
		}
		next(26)
		head(t.title)
		for r, row := range t.rows {
			if y+rowHigh > bottom {
				next(rowHigh + 99)
				head(t.title + ", continued")
			}
			at := x
			for c, e := range row {
				switch {
				case e.draw != nil:
					e.draw(p, at+t.wide[c]/2, y+rowHigh/2)
				case e.right:
					p.word(e.face, 2.5, end, at+t.wide[c]-1.4, y+3.5, fit(e.face, 2.5, t.wide[c]-1.6, e.text))
				default:
					p.word(e.face, 2.5, start, at+.8, y+3.5, fit(e.face, 2.5, t.wide[c]-1.6, e.text))
				}
				at += t.wide[c]
			}
			y += rowHigh
			if r == len(t.rows)-1 {
				p.line(x, y, x+wide, y, ink{mm: middle, colour: black})
			} else {
				p.line(x, y, x+wide, y, ink{mm: hair, colour: pale})
			}
		}
		y += 6
	}
	return pages
}

func (s *subject) span(lo, hi float64) string {
	f := func(v float64) string { // plants are known to a whole centimetre and no better
		if s.system == unit.US {
			return s.cm(v)
		}
		return fmt.Sprintf("%.0f", v)
	}
	if a, b := f(lo), f(hi); a != b {
		return a + "–" + b
	}
	return f(lo)
}

// keySymbol is the mark of a zone in the legend, 9 mm wide.
func (z *zone) keySymbol() func(p *Page, x, y float64) {
	return func(p *Page, x, y float64) {
		line := ink{mm: thin, colour: leaf}
		mark := func(kind picture.Symbol, x, y, r float64) {
			f := picture.SymbolForm(kind, x/formUnit, y/formUnit, r/formUnit, .3)
			fill := white
			if f.Line {
				fill = ""
			}
			p.path(scaled(f.Steps), line, fill)
		}
		switch kind := picture.Symbol(z.Symbol); kind {
		case picture.Mass:
			box := [][2]float64{{x - 4, y + 1.2}, {x - 3.2, y - 1.5}, {x + 1, y - 1.2}, {x + 4, y - 1.5}, {x + 3.4, y + 1.4}}
			round := picture.Smooth(box)
			p.poly(round, true, ink{mm: middle, colour: leaf}, "")
			p.hatch([][][2]float64{round}, hatchAngles[z.Number%len(hatchAngles)], 1.3+.35*float64(z.Number%3), ink{mm: hair, colour: leaf})
		case picture.Loose:
			for i := range 3 {
				mark(kind, x-2.6+2.6*float64(i), y, 1.1)
			}
		case picture.Afloat:
			p.circle(x, y, 1.9, ink{mm: thin, colour: leaf, dash: []float64{.6, .5}}, "")
			mark(kind, x, y, 1.9)
		case picture.Tied:
			p.line(x-4, y+1.6, x+4, y+.4, ink{mm: strong, colour: wood})
			mark(kind, x, y, 1.9)
		default:
			p.circle(x, y, 1.9, line, "")
			mark(kind, x, y, 1.9)
		}
	}
}

// where says in a word how a zone is planted.
func (z *zone) where() string {
	switch z.Way {
	case "on":
		return "tied to " + z.On
	case "afloat":
		return "afloat"
	case "along":
		return "along a line"
	case "at":
		return "single places"
	}
	return "over an area"
}

func (s *subject) legend() table {
	t := table{title: "Plants", heads: []string{"zone", "", "species", "pots", "grown height", "spread", "where"}, wide: []float64{11, 11, 52, 11, 19, 14, 32}}
	sign := s.unitSign()
	t.says = fmt.Sprintf("Heights and spreads in %s, as they grow in tanks. Numbers are species in the order of their names, letters their places.", sign)
	if len(s.zones) > mostZones {
		t.says = fmt.Sprintf("Heights and spreads in %s. With %d zones each species has one row; the zones are on the planting map.", sign, len(s.zones))
		for i := 0; i < len(s.zones); {
			j, pots := i, 0
			for j < len(s.zones) && s.zones[j].Number == s.zones[i].Number {
				pots += s.zones[j].Pots
				j++
			}
			z := &s.zones[i]
			where := "1 zone"
			if j-i > 1 {
				where = fmt.Sprintf("%d zones, %s to %s", j-i, z.label, s.zones[j-1].label)
			}
			t.rows = append(t.rows, s.legendRow(z, fmt.Sprint(z.Number), pots, where))
			i = j
		}
		return t
	}
	for i := range s.zones {
		z := &s.zones[i]
		where := z.where()
		if z.FromDay > 0 {
			where = fmt.Sprintf("from day %d, %s", z.FromDay, where)
		}
		t.rows = append(t.rows, s.legendRow(z, z.label, z.Pots, where))
	}
	return t
}

func (s *subject) legendRow(z *zone, label string, pots int, where string) []tcell {
	return []tcell{
		{text: label, face: bold},
		{draw: z.keySymbol()},
		{text: z.Species, face: italic},
		{text: fmt.Sprint(pots), right: true},
		{text: s.span(z.GrownHeightCM[0], z.GrownHeightCM[1]), right: true},
		{text: s.span(z.GrownSpreadCM[0], z.GrownSpreadCM[1]), right: true},
		{text: where},
	}
}

func (s *subject) hardscape() table {
	t := table{title: "Stones and wood", heads: []string{"", "name", "material", "from left", "from front", "turned", "base", "top", "kg"}, wide: []float64{9, 30, 38, 14, 15, 13, 11, 11, 12}}
	t.says = fmt.Sprintf("Places of their middles and heights over the bottom glass, in %s; turned counter-clockwise seen from above; weights dry, in air. Lift what is heavy with two people or a hoist.", s.unitSign())
	for i := range s.b.Hardscape {
		h := &s.b.Hardscape[i]
		t.rows = append(t.rows, []tcell{
			{text: pieceLabel(i), face: bold},
			{text: plain(h.ID)},
			{text: h.Material},
			{text: s.cm(h.AtCM[0]), right: true},
			{text: s.cm(h.AtCM[1]), right: true},
			{text: fmt.Sprintf("%.0f°", h.TurnDeg), right: true},
			{text: s.cm(h.BaseCM), right: true},
			{text: s.cm(h.TopCM), right: true},
			{text: weight(h.MassKG), right: true},
		})
	}
	return t
}

// beside writes a short legend to the right of a page's drawings, where there is room for all of it.
func (s *subject) beside(p *Page) {
	const wide, high = 80.0, 4.2
	x, y := p.used+2, margin+5
	rows := len(s.zones)
	if rows == 0 || x+wide > p.W-margin-2 || y+9+float64(rows)*high > p.H-margin-titleHigh-2 {
		return
	}
	p.word(bold, 3.4, start, x, y+.4, "Legend")
	p.note(2, start, x, y+5, "zone")
	p.note(2, start, x+19, y+5, "species")
	p.note(2, end, x+wide, y+5, "pots")
	y += 6
	p.line(x, y, x+wide, y, ink{mm: middle, colour: black})
	for i := range s.zones {
		z := &s.zones[i]
		p.word(bold, 2.4, start, x, y+3, z.label)
		z.keySymbol()(p, x+13, y+high/2)
		p.word(italic, 2.4, start, x+19, y+3, fit(italic, 2.4, wide-28, z.Species))
		p.word(sans, 2.4, end, x+wide, y+3, fmt.Sprint(z.Pots))
		y += high
		p.line(x, y, x+wide, y, faint)
	}
}

func weight(kg float64) string {
	if kg < 10 {
		return fmt.Sprintf("%.1f", kg)
	}
	return fmt.Sprintf("%.0f", kg)
}

func (s *subject) bed() table {
	t := table{title: "Bed", heads: []string{"material", "litres", "kg, dry", "bags"}, wide: []float64{52, 16, 16, 38}}
	for _, m := range s.b.Ground.Materials {
		bags := ""
		if m.Bags > 0 {
			bags = fmt.Sprintf("%d of %.0f L, with settling", m.Bags, m.BagL)
		}
		t.rows = append(t.rows, []tcell{{text: m.Material}, {text: weight(m.Litres), right: true}, {text: weight(m.MassKG), right: true}, {text: bags}})
	}
	return t
}

func (s *subject) equipment() table {
	t := table{title: "Lamps and filters", heads: []string{"", "what", "from left", "from front", "over water"}, wide: []float64{9, 62, 16, 16, 18}}
	for i := range s.b.Lamps {
		l := &s.b.Lamps[i]
		what := l.Kind
		if l.PPF > 0 {
			what += fmt.Sprintf(", %.0f µmol/s", l.PPF)
		}
		t.rows = append(t.rows, []tcell{{text: fmt.Sprintf("L%d", i+1), face: bold}, {text: what}, {text: s.cm(l.AtCM[0]), right: true}, {text: s.cm(l.AtCM[1]), right: true}, {text: s.cm(l.AboveWaterCM), right: true}})
	}
	for i, f := range s.b.Filters {
		name := fmt.Sprintf("F%d", i+1)
		for _, q := range f.InletsCM {
			t.rows = append(t.rows, []tcell{{text: name, face: bold}, {text: "inlet"}, {text: s.cm(q[0]), right: true}, {text: s.cm(q[1]), right: true}, {}})
		}
		for _, q := range f.OutletsCM {
			t.rows = append(t.rows, []tcell{{text: name, face: bold}, {text: "outlet"}, {text: s.cm(q[0]), right: true}, {text: s.cm(q[1]), right: true}, {}})
		}
	}
	return t
}

// planted is the order in which a crew sets the zones of a day, from what the trade does: what is tied or glued first, while it is dry
// enough to hold and kept wet; then with the water at the bed's height carpets from the front, low plants and rosettes, stems last and
// the short ones before the tall; what floats when the tank is full. Common practice, no source.
func planted(zones []zone) []*zone {
	out := make([]*zone, len(zones))
	for i := range zones {
		out[i] = &zones[i]
	}
	rank := func(z *zone) int {
		switch {
		case z.Way == "on":
			return 0
		case z.Symbol == string(picture.Afloat):
			return 4
		case z.Form == "carpet", z.Form == "moss":
			return 1
		case z.Form == "stem":
			return 3
		}
		return 2
	}
	front := func(z *zone) float64 {
		y := math.Inf(1)
		for _, q := range z.PlacesCM {
			y = min(y, q[1])
		}
		return y
	}
	sort.SliceStable(out, func(i, j int) bool {
		a, b := out[i], out[j]
		switch ra, rb := rank(a), rank(b); {
		case a.FromDay != b.FromDay:
			return a.FromDay < b.FromDay
		case ra != rb:
			return ra < rb
		case ra == 3:
			return a.GrownHeightCM[1] < b.GrownHeightCM[1]
		}
		return front(a) < front(b)
	})
	return out
}
