package sheets

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"io"
	"littoral/examples"
	"littoral/internal/check"
	"littoral/internal/draft"
	"littoral/internal/plan"
	"math"
	"os"
	"path"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

var demos = []string{"quay-street-library", "assay-hall", "reading-desk"}

func open(t testing.TB, text string, file func(name string) ([]byte, error), units string) *draft.Draft {
	t.Helper()
	house := plan.DefaultHouse()
	house.Units = units
	p, err := plan.ParseIn(house, []byte(text), "plan.yaml", file)
	if err != nil {
		t.Fatal(err)
	}
	d, err := draft.Open(p, 1, nil)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func demo(t testing.TB, name, units string) *draft.Draft {
	t.Helper()
	text, err := examples.Demos.ReadFile(path.Join(name, "plan.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	return open(t, string(text), func(file string) ([]byte, error) { return os.ReadFile(path.Join("../../examples", name, file)) }, units)
}

// drawn is one line of a printed page, in mm from the top left.
type drawn struct {
	mm, x0, y0, x1, y1 float64
	closed             bool
}

// printed reads the lines back from a PDF: it inflates each content stream and follows the operators that draw.
func printed(t testing.TB, pdf []byte) (pages [][]drawn) {
	t.Helper()
	sizes := regexp.MustCompile(`/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]`).FindAllSubmatch(pdf, -1)
	for _, part := range bytes.Split(pdf, []byte("stream\n"))[1:] {
		r, err := zlib.NewReader(bytes.NewReader(part))
		if err != nil {
			continue
		}
		text, err := io.ReadAll(r)
		if err != nil || !bytes.Contains(text, []byte(" RG")) {
			continue // a font
		}
		high, err := strconv.ParseFloat(string(sizes[len(pages)][2]), 64)
		if err != nil {
			t.Fatal(err)
		}
		var out []drawn
		var stack []float64
		var line drawn
		fresh := func() {
			line = drawn{mm: line.mm, x0: math.Inf(1), y0: math.Inf(1), x1: math.Inf(-1), y1: math.Inf(-1)}
		}
		fresh()
		at := func(x, y float64) {
			x, y = x/pointsPerMM, (high-y)/pointsPerMM
			line.x0, line.y0, line.x1, line.y1 = min(line.x0, x), min(line.y0, y), max(line.x1, x), max(line.y1, y)
		}
		for _, word := range strings.Fields(string(text)) {
			if v, err := strconv.ParseFloat(word, 64); err == nil {
				stack = append(stack, v)
				continue
			}
			n := len(stack)
			switch {
			case word == "w" && n > 0:
				line.mm = stack[n-1] / pointsPerMM
			case (word == "m" || word == "l") && n > 1:
				at(stack[n-2], stack[n-1])
			case word == "c" && n > 5:
				at(stack[n-2], stack[n-1])
			case word == "h":
				line.closed = true
			case word == "S" || word == "B*" || word == "f*" || word == "n":
				if word != "n" && line.x1 >= line.x0 {
					out = append(out, line)
				}
				fresh()
			}
			stack = stack[:0]
		}
		pages = append(pages, out)
	}
	if len(pages) != len(sizes)-1 { // the last one is what pages have that state none
		t.Fatalf("%d pages read of %d", len(pages), len(sizes)-1)
	}
	return pages
}

// On the printed PDF, 10 cm of the tank are 100 mm divided by the scale, to a fifth of a millimetre: the inside of the glass in plan and
// elevation, and the bar by which a print is checked.
func TestMeasuresOnThePrintedPDF(t *testing.T) {
	worst := 0.0
	near := func(t *testing.T, what string, got, want float64) {
		t.Helper()
		worst = max(worst, math.Abs(got-want))
		if math.Abs(got-want) > .2 {
			t.Errorf("%s is %.3f mm on paper, want %.3f", what, got, want)
		}
	}
	for _, c := range []struct {
		demo, paper string
		scale       int
		units       string
	}{
		{"quay-street-library", "A3", 10, "metric"},
		{"quay-street-library", "A1", 5, "metric"},
		{"assay-hall", "A4", 20, "metric"},
		{"assay-hall", "Tabloid", 0, "US"},
		{"reading-desk", "A4", 5, "metric"},
		{"reading-desk", "A2", 2, "metric"},
		{"reading-desk", "Letter", 0, "US"},
	} {
		t.Run(fmt.Sprintf("%s on %s", c.demo, c.paper), func(t *testing.T) {
			d := demo(t, c.demo, c.units)
			pages, err := Draw(d, Options{Paper: c.paper, Scale: c.scale, Views: []string{Plan, "front"}})
			if err != nil {
				t.Fatal(err)
			}
			pdf, err := PDF("test", pages)
			if err != nil {
				t.Fatal(err)
			}
			scale := float64(c.scale)
			if scale == 0 {
				for i := range pages[0].items {
					if n := scaleOf(pages[0].items[i].text); n > 0 {
						scale = n
					}
				}
			}
			tank := d.Board().Tank
			var plans, fronts, bars int
			for _, page := range printed(t, pdf) {
				for _, l := range page {
					switch {
					case math.Abs(l.mm-strong) < .01 && l.closed:
						plans++
						near(t, "the tank's length", l.x1-l.x0, 10*tank.LengthCM/scale)
						near(t, "the tank's width", l.y1-l.y0, 10*tank.WidthCM/scale)
					case math.Abs(l.mm-strong) < .01 && l.y1-l.y0 > 9*tank.HeightCM/scale:
						fronts++
						near(t, "the elevation's length", l.x1-l.x0, 10*tank.LengthCM/scale)
						near(t, "the elevation's height", l.y1-l.y0, 10*tank.HeightCM/scale)
					case math.Abs(l.mm-.3) < .01 && l.y1-l.y0 < .01 && l.y0 > 180:
						bars++
						want := 50.0
						if c.units == "US" {
							want = 50.8
						}
						near(t, "the bar", l.x1-l.x0, want)
					}
				}
			}
			if plans != 1 || fronts != 1 || bars != len(pages) {
				t.Errorf("%d plans, %d elevations and %d bars found on %d pages", plans, fronts, bars, len(pages))
			}
		})
	}
	check.Record(t, check.Row{Room: "sheets", What: "length, width and height of tanks measured on the PDF, 1:2 to 1:20, A4 to A1", Source: "the plan's own measures", Worst: fmt.Sprintf("%.3f mm", worst), Within: "0.2 mm"})
}

// The marks along the glass lie 10 cm (4 in) apart at the scale.
func TestMarksAlongTheGlass(t *testing.T) {
	for units, pitch := range map[string]float64{"metric": 10, "US": 10.16} {
		s := subjectOf(demo(t, "reading-desk", units))
		p := &Page{W: 400, H: 300}
		(&above{subject: s, p: p, ox: 20, oy: 200, k: 2}).ruler()
		var xs []float64
		for _, it := range p.items {
			if it.kind == kindPath && it.steps[0].P[0][0] == it.steps[1].P[0][0] {
				xs = append(xs, it.steps[0].P[0][0])
			}
		}
		if len(xs) < 5 {
			t.Fatalf("%s: %d marks", units, len(xs))
		}
		for i := 1; i < len(xs); i++ {
			if math.Abs(xs[i]-xs[i-1]-2*pitch) > 1e-9 {
				t.Errorf("%s: marks at %v", units, xs)
				break
			}
		}
	}
}

func TestSameBytes(t *testing.T) {
	d := demo(t, "reading-desk", "metric")
	make1 := func() []byte {
		pages, err := Draw(d, Options{})
		if err != nil {
			t.Fatal(err)
		}
		chart, err := PlantingMap(d, MapOptions{})
		if err != nil {
			t.Fatal(err)
		}
		var all []byte
		for _, p := range append(pages, chart...) {
			all = append(all, p.SVG()...)
		}
		pdf, err := PDF("x", pages)
		if err != nil {
			t.Fatal(err)
		}
		return append(all, pdf...)
	}
	if !bytes.Equal(make1(), make1()) {
		t.Error("the same plan gave other bytes")
	}
}

// Every sheet is sound: nothing but numbers, no word off the paper, every word one that the fonts can set.
func sound(t *testing.T, pages []*Page) {
	t.Helper()
	for _, p := range pages {
		svg := string(p.SVG())
		if strings.Contains(svg, "NaN") || strings.Contains(svg, "Inf") || strings.Count(svg, "<g") != strings.Count(svg, "</g>") {
			t.Errorf("%s: not sound", p.Name)
		}
		for i := range p.items {
			it := &p.items[i]
			if it.kind != kindText {
				continue
			}
			w := width(it.face, it.size, it.text)
			x0 := it.x
			switch it.anchor {
			case centre:
				x0 -= w / 2
			case end:
				x0 -= w
			}
			if it.turn == 0 && (x0 < 0 || x0+w > p.W || it.y < 0 || it.y > p.H) {
				t.Errorf("%s: %q runs off the paper at %.0f, %.0f", p.Name, it.text, it.x, it.y)
			}
			for _, r := range it.text {
				if _, ok := widths(it.face)[r]; !ok {
					t.Errorf("%s: %q cannot be set", p.Name, it.text)
				}
			}
		}
	}
}

func words(pages []*Page) string {
	var b strings.Builder
	for _, p := range pages {
		for i := range p.items {
			b.WriteString(p.items[i].text + "\n")
		}
	}
	return b.String()
}

func TestSheetsOfTheDemos(t *testing.T) {
	for _, name := range demos {
		for units, sizes := range map[string][]string{"metric": {"A4", "A3"}, "US": {"Letter", "Tabloid"}} {
			d := demo(t, name, units)
			s := subjectOf(d)
			for _, size := range sizes {
				pages, err := Draw(d, Options{Paper: size, Views: Views(), Revision: "the third"})
				if err != nil {
					t.Fatalf("%s on %s: %v", name, size, err)
				}
				sound(t, pages)
				all := words(pages)
				for i := range s.zones {
					if z := &s.zones[i]; !strings.Contains(all, "\n"+z.label+"\n") || !strings.Contains(all, z.Species) {
						t.Errorf("%s on %s: zone %s is not named", name, size, z.label)
					}
				}
				for _, w := range []string{d.Plan.Name, "Front", "Section A–A′", "the third", "From the back"} {
					if !strings.Contains(all, w) {
						t.Errorf("%s on %s: no %q", name, size, w)
					}
				}
			}
		}
	}
}

// Each pot of planting day lies on a part of the map, the parts cover the tank, and every zone has a line in the order of work.
func TestPlantingMap(t *testing.T) {
	for _, name := range demos {
		d := demo(t, name, "metric")
		s := subjectOf(d)
		pages, err := PlantingMap(d, MapOptions{})
		if err != nil {
			t.Fatal(err)
		}
		sound(t, pages)
		for scale := 2; scale <= 20; scale += 3 {
			tiles := s.tiles(Paper{"A4", 297, 210}, 10/float64(scale))
			for x := .5; x < s.b.Tank.LengthCM; x += 3.1 {
				for y := .5; y < s.b.Tank.WidthCM; y += 3.1 {
					on := false
					for _, c := range tiles {
						on = on || x >= c.x0 && x <= c.x1 && y >= c.y0 && y <= c.y1
					}
					if !on {
						t.Fatalf("%s at 1:%d: %.0f, %.0f lies on no sheet", name, scale, x, y)
					}
				}
			}
			for _, c := range tiles {
				if w := (c.x1 - c.x0) * 10 / float64(scale); w > 297-30-2*partEdge+.01 {
					t.Errorf("%s at 1:%d: a part is %.0f mm wide", name, scale, w)
				}
			}
		}
		all := words(pages)
		for i := range s.zones {
			z := &s.zones[i]
			if z.FromDay <= 0 && !strings.Contains(all, fmt.Sprintf("%s · %d", z.label, z.Pots)) {
				t.Errorf("%s: zone %s is on no part", name, z.label)
			}
		}
		rows := 0
		for _, st := range s.steps() {
			rows += len(st.rows)
		}
		if rows != len(s.zones) {
			t.Errorf("%s: %d lines for %d zones", name, rows, len(s.zones))
		}
	}
}

// Common practice, no source: what is tied comes before what is planted, carpets from the front, tall stems after short ones, floating plants last.
func TestOrderOfPlanting(t *testing.T) {
	d := open(t, `littoral: 1
name: A tank
tank: {shape: box, inside: {length: 100 cm, width: 50 cm, height: 50 cm}, water-level: 47 cm}
substrate: {layers: [{material: quartz sand, depth: 5 cm}]}
hardscape: [{id: root, kind: wood, material: heavy tropical driftwood, shape: {branch: {length: 40 cm, thick: 5 cm}}, at: [50, 25]}]
water: {tap: {alkalinity: 6 dKH, hardness: 10 dGH}}
filter: {flow: 1000 L/h, media: 4 L}
plants:
  - {id: later, species: Bacopa caroliniana, pots: 2, at: [[30,40],[33,40]], from: day 30}
  - {id: afloat, species: Salvinia minima, pots: 3, afloat: true}
  - {id: tall, species: Hygrophila corymbosa, pots: 3, along: [[60,45],[95,45]]}
  - {id: short, species: Pogostemon helferi, pots: 3, along: [[60,12],[95,12]]}
  - {id: carpet-back, species: Eleocharis pusilla, pots: 5, in: [[5,25],[40,25],[40,35],[5,35]]}
  - {id: crypt, species: Cryptocoryne wendtii, pots: 3, at: [[50,40],[55,40],[60,40]]}
  - {id: carpet-front, species: Eleocharis acicularis, pots: 5, in: [[5,5],[40,5],[40,15],[5,15]]}
  - {id: tied, species: Anubias barteri var. nana, pots: 2, on: root}
`, nil, "metric")
	s := subjectOf(d)
	var got []string
	for _, z := range planted(s.zones) {
		got = append(got, z.ID)
	}
	if want := "tied carpet-front carpet-back crypt short tall afloat later"; strings.Join(got, " ") != want {
		t.Errorf("planted as %v, want %s", got, want)
	}
	if st := s.steps(); len(st) != 2 || st[1].title != "Day 30" || len(st[1].rows) != 1 {
		t.Errorf("%d tables", len(st))
	}
}

func TestWhatCannotBeDrawn(t *testing.T) {
	d := demo(t, "reading-desk", "metric")
	for _, c := range []struct {
		o    Options
		says string
	}{
		{Options{Paper: "B5"}, "A4, A3"},
		{Options{Scale: 3}, "1:2"},
		{Options{Views: []string{"below"}}, "plan"},
		{Options{Section: [2][2]float64{{0, 0}, {1, 1}}}, "5 cm"},
		{Options{Section: [2][2]float64{{0, 0}, {math.NaN(), 1}}}, "far"},
		{Options{Paper: "A4", Scale: 1}, "does not fit"},
	} {
		_, err := Draw(d, c.o)
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%+v: %v", c.o, err)
		}
	}
	if _, err := PlantingMap(demo(t, "quay-street-library", "metric"), MapOptions{Scale: 1}); err == nil || !strings.Contains(err.Error(), "sheets of A4") {
		t.Errorf("%v", err)
	}
}

// crowd is a plan of 2000 plantings.
func crowd(t testing.TB) *draft.Draft {
	var b strings.Builder
	b.WriteString(`littoral: 1
name: Two thousand
tank: {shape: box, inside: {length: 500 cm, width: 150 cm, height: 100 cm}, water-level: 92 cm}
substrate: {layers: [{material: quartz sand, depth: 8 cm}]}
water: {tap: {alkalinity: 6 dKH, hardness: 10 dGH}}
filter: {flow: 9000 L/h, media: 40 L}
plants:
`)
	species := []string{"Cryptocoryne wendtii", "Hygrophila corymbosa", "Eleocharis acicularis", "Vallisneria nana", "Aquarius grisebachii"}
	for i := range 2000 {
		fmt.Fprintf(&b, "  - {species: %s, pots: 1, at: [[%.1f, %.1f]]}\n", species[i%5], 4+float64(i%50)*9.9, 4+float64(i/50)*3.6)
	}
	return open(t, b.String(), nil, "metric")
}

func TestTwoThousandPlantings(t *testing.T) {
	d := crowd(t)
	pages, err := Draw(d, Options{Paper: "A1"})
	if err != nil {
		t.Fatal(err)
	}
	sound(t, pages)
	if len(pages) > 6 {
		t.Errorf("%d sheets", len(pages))
	}
}

func BenchmarkSheets(b *testing.B) {
	for _, name := range demos {
		d := demo(b, name, "metric")
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				pages, err := Draw(d, Options{})
				if err != nil {
					b.Fatal(err)
				}
				if _, err := PDF("x", pages); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	d := crowd(b)
	b.Run("two thousand", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			pages, err := Draw(d, Options{Paper: "A1"})
			if err != nil {
				b.Fatal(err)
			}
			if _, err := PDF("x", pages); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// What changed is marked on the drawing and told in the list.
func TestCompareOnPaper(t *testing.T) {
	text, err := examples.Demos.ReadFile("reading-desk/plan.yaml")
	if err != nil {
		t.Fatal(err)
	}
	a := demo(t, "reading-desk", "metric")
	h := a.Plan.Hardscape[0]
	old := fmt.Sprintf("at: [%g, %g]", h.At[0], h.At[1])
	if !strings.Contains(string(text), old) {
		t.Fatalf("no %q in the plan", old)
	}
	b := open(t, strings.Replace(string(text), old, fmt.Sprintf("at: [%g, %g]", h.At[0]+3, h.At[1]+4), 1), func(file string) ([]byte, error) { return os.ReadFile(path.Join("../../examples/reading-desk", file)) }, "metric")
	pages, err := Compare(a, b, Options{Paper: "A4"}, "revision 1", "revision 2")
	if err != nil {
		t.Fatal(err)
	}
	sound(t, pages)
	all := words(pages)
	for _, w := range []string{"1 →", "moved by 5 cm", "revision 1 to revision 2", "What changed"} {
		if !strings.Contains(all, w) {
			t.Errorf("no %q", w)
		}
	}
	same, err := Compare(a, a, Options{}, "one", "one")
	if err != nil || !strings.Contains(words(same), "draw the same") {
		t.Errorf("%v", err)
	}
}

func TestCutAlong(t *testing.T) {
	d := demo(t, "quay-street-library", "metric")
	p, err := CutAlong(d, [2][2]float64{{0, 30}, {240, 60}}, true)
	if err != nil {
		t.Fatal(err)
	}
	sound(t, []*Page{p})
	if _, err := CutAlong(d, [2][2]float64{{0, 0}, {0, 2}}, true); err == nil {
		t.Error("a line of 2 cm is cut along")
	}
}
