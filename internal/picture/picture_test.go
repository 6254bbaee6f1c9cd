package picture

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"littoral/internal/catalog"
	"littoral/internal/check"
	"littoral/internal/forecast"
	"littoral/internal/geometry"
	"littoral/internal/growth"
	"littoral/internal/mesh"
	"littoral/internal/picture/sample"
	"littoral/internal/plan"
	"littoral/internal/unit"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// all draws everything there is of a forecast.
func all(f *forecast.Forecast, system unit.System) map[string]Drawing {
	k, scale := KeyOf(f), ScaleFor(&f.Model.Tank)
	legend := Legend(f, k, 365)
	marks := []Mark{{Number: 1, X: .5, Y: .5, Grave: true, Href: "#a"}, {Number: 2, X: .5, Y: .5}, {Number: 3, X: -1, Y: -1}, {Number: 4, X: .4, Y: .2, Quiet: true}}
	out := map[string]Drawing{
		"plan":       Plan("plan", f, k, legend, marks, scale, system),
		"ruler":      Timeline("ruler", f, sample.Bands(f), []Pin{{Number: 1, Day: 10, Grave: true, Href: "#a"}, {Number: 2, Day: 10}, {Number: 3, Day: 9999}}, 1000),
		"bare ruler": Timeline("bare", f, nil, nil, 400),
		"held":       HeldBack("held", f, k, 1000),
		"empty":      Elevation("empty", f, k, nil, Front, scale, system),
	}
	for i := range f.Snapshots {
		if s := &f.Snapshots[i]; len(s.Soil) > 0 && i%20 == 0 {
			out[fmt.Sprint("reserve", i)] = Reserve("reserve", f, s, []Push{{.5, .3, 12, s.Day}}, scale, system)
		}
	}
	for i := range f.LightMaps {
		out[fmt.Sprint("light", i)] = LightMap("light", f, &f.LightMaps[i], scale, system)
	}
	for i, v := range append([]View{Front}, Around(&f.Model.Tank)...) {
		out[fmt.Sprint("from ", v.Name)] = Elevation(fmt.Sprint("e", i), f, k, Nearest(f, 365), v, scale, system)
	}
	for i := range legend {
		out["key "+legend[i].Label()] = KeySymbol(fmt.Sprint("key", i), &legend[i])
	}
	return out
}

// wellFormed parses a drawing as XML and returns its ids.
func wellFormed(t *testing.T, name, svg string) []string {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(svg))
	var ids []string
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			return ids
		}
		if err != nil {
			t.Fatalf("%s is not well-formed: %v", name, err)
		}
		if e, ok := tok.(xml.StartElement); ok {
			for _, a := range e.Attr {
				if a.Name.Local == "id" {
					ids = append(ids, a.Value)
				}
				if a.Name.Local == "href" && !strings.HasPrefix(a.Value, "#") {
					t.Errorf("%s leads outside: %s", name, a.Value)
				}
				if strings.Contains(a.Value, "NaN") || strings.Contains(a.Value, "Inf") {
					t.Errorf("%s holds what is not a number: %.80s", name, a.Value)
				}
			}
		}
	}
}

func TestDrawingsAreWellFormed(t *testing.T) {
	for _, c := range []struct {
		name   string
		f      *forecast.Forecast
		system unit.System
	}{{"box", sample.Library(), unit.Metric}, {"cylinder", sample.Round(), unit.US}} {
		for name, d := range all(c.f, c.system) {
			ids := wellFormed(t, c.name+" "+name, d.SVG)
			seen := map[string]bool{}
			for _, id := range ids {
				if seen[id] {
					t.Errorf("%s %s: id %s stands twice", c.name, name, id)
				}
				seen[id] = true
			}
			if d.W <= 0 || d.H <= 0 || len(d.SVG) < 200 {
				t.Errorf("%s %s is empty", c.name, name)
			}
			if rest := strings.ReplaceAll(d.SVG, `xmlns="http://www.w3.org/2000/svg"`, ""); strings.Contains(rest, "://") {
				t.Errorf("%s %s refers to something outside", c.name, name)
			}
		}
	}
}

func TestDrawingsAreTheSameTwice(t *testing.T) {
	a, b := all(sample.Library(), unit.Metric), all(sample.Library(), unit.Metric)
	for name := range a {
		if a[name].SVG != b[name].SVG {
			t.Errorf("%s differs between two runs", name)
		}
	}
}

func TestNamesCannotBreakADrawing(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		s := rapid.OneOf(rapid.String(), rapid.SampledFrom([]string{`</svg><script>x</script>`, `" onload="x`, `]]>`, "&#0;", "a\x00b\ufffe", "\u202egnp"})).Draw(r, "name")
		var root struct {
			Text string `xml:",chardata"`
		}
		if err := xml.Unmarshal([]byte(`<a b="`+Text(s)+`">`+Text(s)+`</a>`), &root); err != nil {
			r.Fatalf("%q: %v", s, err)
		}
		if strings.ContainsAny(Text(s), "<>\"") {
			r.Fatalf("%q keeps a mark: %q", s, Text(s))
		}
		if err := xml.Unmarshal([]byte(`<a>`+chem(s)+Formulas(s)+`</a>`), &root); err != nil {
			r.Fatalf("%q with figures lowered: %v", s, err)
		}
	})
}

func TestHostileNamesInDrawings(t *testing.T) {
	f := sample.Library()
	hostile := `<script>alert("1")</script>'&]]>` + "\x01\u202e"
	for i := range f.Plan.Plants {
		old := f.Plan.Plants[i].ID
		f.Plan.Plants[i].ID = hostile + old
		for j := range f.Snapshots {
			for k := range f.Snapshots[j].Plants {
				p := &f.Snapshots[j].Plants[k]
				if p.Planting == old {
					p.Planting, p.ID = hostile+old, hostile+p.ID
				}
			}
		}
	}
	sp := *f.Snapshots[0].Plants[0].Species
	sp.Name, sp.ColourHex, sp.LeafShape = hostile, "red;}</style>", "unheard of"
	for j := range f.Snapshots {
		f.Snapshots[j].Plants[0].Species = &sp
	}
	for i := range f.Model.Solids {
		f.Model.Solids[i].ID, f.Model.Solids[i].Material = hostile, hostile
	}
	for name, d := range all(f, unit.Metric) {
		wellFormed(t, name, d.SVG)
		if strings.Contains(d.SVG, "<script") {
			t.Errorf("%s lets a name through", name)
		}
	}
	if strings.Contains(Style(KeyOf(f)), "red;") {
		t.Error("a colour that is none reached the style rules")
	}
}

// state is a plant of a form in its simplest shape.
func state(form catalog.Form, leaf string, h, w float64) *growth.PlantState {
	return &growth.PlantState{ID: "p/1", Species: &catalog.Species{Name: "x", Form: form, LeafShape: leaf, ColourHex: "#446644", SpreadCM: catalog.Range{Min: 4, Max: 8}}, HeightM: h, SpreadM: w, Leaves: 11, Stems: 4}
}

func TestDrawnHeightAndSpreadAreThoseOfTheState(t *testing.T) {
	const per = 400.0
	for _, form := range []catalog.Form{catalog.Rosette, catalog.Stem, catalog.Rhizome, catalog.Carpet, catalog.Runner, catalog.Bulb, catalog.Lily, catalog.Moss} {
		for _, leaf := range []string{"linear", "lanceolate", "ovate", "cordate", "spatulate", "pinnate", "needle", "ribbon", "frond", "thread", "round"} {
			for _, h := range []float64{.02, .11, .48} {
				for _, detail := range []float64{1, .3} {
					for id := range 5 {
						p := state(form, leaf, h, .2)
						p.ID = fmt.Sprint("p/", id)
						wide, high, _ := figureOf(p, per, .6, detail).bounds()
						eh, ew := math.Abs(high/per-h)/h, math.Abs(2*wide/per-.2)/.2
						if form == catalog.Runner || form == catalog.Rosette && leaf == "ribbon" { // bands keep a breadth that can be seen
							ew = math.Max(0, ew-4/(.2*per))
						}
						if eh > .03 || ew > .03 {
							t.Errorf("%s %s of %g m: drawn %g high and %g wide", form, leaf, h, high/per, 2*wide/per)
						}
					}
				}
			}
		}
	}
}

func TestStemsLieAlongTheSurface(t *testing.T) {
	const per, room = 400.0, .3
	for _, form := range []catalog.Form{catalog.Stem, catalog.Runner} {
		p := state(form, "lanceolate", .45, .2)
		_, high, _ := figureOf(p, per, room, 1).bounds()
		if math.Abs(high/per-room)/room > .03 {
			t.Errorf("a %s of 45 cm under 30 cm of water is drawn %g m high", form, high/per)
		}
		short := state(form, "lanceolate", .2, .2)
		wide, _, _ := figureOf(short, per, room, 1).bounds()
		long, _, _ := figureOf(p, per, room, 1).bounds()
		if long <= wide*1.2 {
			t.Errorf("nothing of the %s lies along the surface", form)
		}
	}
}

func TestFloatingRootsHangAsDeepAsTheState(t *testing.T) {
	_, _, low := figureOf(state(catalog.Floating, "round", .12, .1), 400, 0, 1).bounds()
	if math.Abs(-low/400-.12)/.12 > .03 {
		t.Errorf("roots of 12 cm are drawn %g m deep", -low/400)
	}
}

func TestPlantsThatCannotBeDrawnAreLeftOut(t *testing.T) {
	for _, p := range []*growth.PlantState{
		state(catalog.Stem, "ovate", math.NaN(), .1), state(catalog.Rosette, "ovate", .1, math.Inf(1)), state(catalog.Moss, "", 0, 0), state(catalog.Moss, "", -1, 1), {HeightM: 1, SpreadM: 1},
	} {
		if n := len(figureOf(p, 400, .5, 1).parts); n != 0 {
			t.Errorf("%v is drawn with %d parts", *p, n)
		}
	}
}

func TestAPlantKeepsItsLeavesWhateverStandsBesideIt(t *testing.T) {
	p := state(catalog.Rosette, "lanceolate", .3, .2)
	draw := func() string {
		s := newSheet("x")
		figureOf(p, 400, .5, 1).write(s, "h0 s1", 100, 100)
		return s.String()
	}
	want := draw()
	figureOf(state(catalog.Stem, "ovate", .2, .1), 400, .5, 1)
	if draw() != want {
		t.Error("a plant drawn in between changed another plant's leaves")
	}
	p.ID = "p/2"
	if draw() == want {
		t.Error("two plants have the very same leaves")
	}
}

// TestContourOfACone: the height of a cone is 1 − r, so its contour at level c is a circle of radius 1 − c.
func TestContourOfACone(t *testing.T) {
	f := &field{nx: 60, ny: 60, cx: .05, cy: .05, v: make([]float64, 3600)}
	for i := range f.v {
		f.v[i] = 1 - math.Hypot((float64(i%60)+.5)*.05-1.5, (float64(i/60)+.5)*.05-1.5)
	}
	lines := f.contour(.5, 3, 3, .02)
	if len(lines) != 1 {
		t.Fatalf("%d lines, want one ring", len(lines))
	}
	l := lines[0]
	if l[0] != l[len(l)-1] {
		t.Error("the ring does not close")
	}
	for _, q := range l {
		if r := math.Hypot(q[0]-1.5, q[1]-1.5); math.Abs(r-.5) > .004 { // a tenth of a cell: what a smooth curve through the cells can be off
			t.Fatalf("radius %g, want 0.5", r)
		}
	}
}

func TestContourKeepsEveryCrossing(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		n := rapid.IntRange(3, 9).Draw(r, "n")
		v := rapid.SliceOfN(rapid.Float64Range(-1, 1), n*n, n*n).Draw(r, "v")
		crossings := 0
		for i := range v {
			if v[i] == .1 {
				v[i] += 1e-9
			}
		}
		for i := range v {
			if (i+1)%n != 0 && (v[i] > .1) != (v[i+1] > .1) {
				crossings++
			}
			if i+n < len(v) && (v[i] > .1) != (v[i+n] > .1) {
				crossings++
			}
		}
		points := 0
		for _, l := range geometry.Contours(v, n, n, 1, 1, .1) {
			points += len(l)
			if l[0] == l[len(l)-1] && len(l) > 2 {
				points--
			}
		}
		if points != crossings {
			r.Fatalf("%d points on %d crossings", points, crossings)
		}
	})
}

// TestSilhouetteOfASphere: seen from any side it covers a disc of πr².
func TestSilhouetteOfASphere(t *testing.T) {
	m := &mesh.Mesh{}
	const rings, round, r = 24, 32, 60.0
	for i := 0; i <= rings; i++ {
		for j := range round {
			a, b := math.Pi*float64(i)/rings, 2*math.Pi*float64(j)/round
			m.Vertices = append(m.Vertices, [3]float64{r * math.Sin(a) * math.Cos(b), r * math.Sin(a) * math.Sin(b), r * math.Cos(a)})
		}
	}
	for i := range rings {
		for j := range round {
			p, q := int32(i*round+j), int32(i*round+(j+1)%round)
			m.Faces = append(m.Faces, [3]int32{p, p + round, q}, [3]int32{q, p + round, q + round})
		}
	}
	f := look(m, func(p [3]float64) (float64, float64, float64) { return p[0], -p[2], p[1] }, func([3]float64) bool { return true })
	if len(f.outline) != 1 {
		t.Fatalf("%d outlines, want one", len(f.outline))
	}
	if a := math.Abs(outlineArea(f.outline[0])); math.Abs(a-math.Pi*r*r)/(math.Pi*r*r) > .03 {
		t.Errorf("area %g, want %g", a, math.Pi*r*r)
	}
	half := look(m, func(p [3]float64) (float64, float64, float64) { return p[0], -p[2], p[1] }, func(p [3]float64) bool { return p[2] > 0 })
	if a := math.Abs(outlineArea(half.outline[0])); math.Abs(a-math.Pi*r*r/2)/(math.Pi*r*r/2) > .04 {
		t.Errorf("area of what stands above the bed %g, want %g", a, math.Pi*r*r/2)
	}
	if f.tone[0] == nil || f.tone[3] == nil {
		t.Error("a sphere has a lit and a shaded side")
	}
}

func TestViewsTurnRoundTheTank(t *testing.T) {
	for _, c := range []struct {
		view     View
		u, depth float64 // of x = 0.3, y = 0.1
	}{{Front, .3, .1}, {Left, -.1, .3}, {Back, -.3, -.1}, {Right, .1, -.3}} {
		u, d := c.view.along(.3, .1)
		if math.Abs(u-c.u) > 1e-12 || math.Abs(d-c.depth) > 1e-12 {
			t.Errorf("from the %s: %g to the right, %g away; want %g and %g", c.view.Name, u, d, c.u, c.depth)
		}
	}
}

func TestEarlyWeeksTakeAFifthOfTheRuler(t *testing.T) {
	for _, c := range []struct {
		from, to int
		share    float64
	}{{0, 1095, .2}, {-21, 1095, .2}, {0, 365, .2}, {0, 200, 56. / 200}, {0, 30, 0}} {
		r := NewRuler(c.from, c.to, 10, 500)
		if c.share > 0 {
			if got := (r.X(56) - r.X(float64(c.from))) / 500; math.Abs(got-c.share) > 1e-9 {
				t.Errorf("%d to %d: week 8 at %g of the ruler, want %g", c.from, c.to, got, c.share)
			}
		}
		if r.X(float64(c.from)) != 10 || math.Abs(r.X(float64(c.to))-510) > 1e-9 {
			t.Errorf("%d to %d: the ends stand at %g and %g", c.from, c.to, r.X(float64(c.from)), r.X(float64(c.to)))
		}
		last := math.Inf(-1)
		for d := c.from; d <= c.to; d++ {
			if x := r.X(float64(d)); x <= last {
				t.Fatalf("day %d stands before the day ahead of it", d)
			} else {
				last = x
			}
		}
	}
}

func TestRulerNamesDoNotCollide(t *testing.T) {
	for _, days := range []int{1, 30, 90, 150, 250, 365, 700, 1095, 3000} {
		for _, width := range []float64{260, 360, 980} {
			const char = 6.2
			r := NewRuler(0, days, 0, width)
			end, names := math.Inf(-1), 0
			for _, k := range r.ticks(char) {
				if k.name == "" {
					continue
				}
				names++
				w := float64(len(k.name)) * char
				x := clamp(r.X(k.day), w/2-3, width-w/2+3)
				if x-w/2 < end {
					t.Errorf("%d days on %g: %q runs into the name before it", days, width, k.name)
				}
				end = x + w/2
			}
			if names == 0 {
				t.Errorf("%d days on %g: no name at all", days, width)
			}
		}
	}
}

func TestScaleStepsAreRoundAndCover(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		lo := rapid.Float64Range(-100, 100).Draw(r, "lo")
		hi := lo + rapid.Float64Range(1e-4, 1e5).Draw(r, "span")
		s := ticksOf(lo, hi, 4)
		if len(s) < 2 || len(s) > 8 || s[0] > lo+1e-6*(hi-lo) || s[len(s)-1] < hi-1e-6*(hi-lo) {
			r.Fatalf("%g to %g: %v", lo, hi, s)
		}
	})
}

// TestChartPutsValuesWhereTheScaleSays draws a straight line and reads its ends back.
func TestChartPutsValuesWhereTheScaleSays(t *testing.T) {
	c := Chart{ID: "c", Title: "x", Days: []int{0, 10, 20, 30}, Lines: []Series{{Name: "a", V: []float64{0, 10, math.NaN(), 30}}}, Zero: true}
	d := c.Draw()
	wellFormed(t, "chart", d.SVG)
	i := strings.Index(d.SVG, `class="l1" d="M`)
	var x, y float64
	if _, err := fmt.Sscanf(d.SVG[i+len(`class="l1" d="M`):], "%f %f", &x, &y); err != nil {
		t.Fatal(err)
	}
	if x != chartLeft || y != chartH-chartFoot {
		t.Errorf("day 0, value 0 stands at %g, %g", x, y)
	}
	for _, empty := range []Chart{
		{ID: "e", Title: "none"},
		{ID: "e", Title: "one day", Days: []int{5}, Lines: []Series{{V: []float64{1}}}},
		{ID: "e", Title: "no numbers", Days: []int{0, 1}, Lines: []Series{{V: []float64{math.NaN(), math.Inf(1)}}}},
		{ID: "e", Title: "bars", Bars: true, Days: []int{0, 30}, To: 60, Lines: []Series{{V: []float64{1}}}},
		{ID: "e", Title: "band", Days: []int{0, 30}, Lines: []Series{{V: []float64{1, 2}, Low: []float64{0, 1}, High: []float64{2, 9}}}},
		{ID: "e", Title: "stack", Stack: true, Days: []int{0, 30}, Lines: []Series{{V: []float64{1, 2}, Key: 3}, {V: []float64{2, math.NaN()}}}},
	} {
		wellFormed(t, empty.Title, empty.Draw().SVG)
	}
}

// TestContrast holds words to 4.5 : 1 (WCAG 2.2, success criterion 1.4.3) on both papers of both themes.
func TestContrast(t *testing.T) {
	ratio := func(a, b rgb) float64 {
		x, y := a.light(), b.light()
		return (max(x, y) + .05) / (min(x, y) + .05)
	}
	if r := ratio(rgb{255, 255, 255}, rgb{}); math.Abs(r-21) > 1e-9 {
		t.Fatalf("white on black is %g : 1, want 21", r)
	}
	least := 99.0
	for name, c := range map[string]tone{"paper": day, "ink": night} {
		for word, pair := range map[string][2]rgb{
			"ink": {c.ink, c.paper}, "soft": {c.soft, c.paper}, "warning": {c.warnText, c.paper}, "ink on deep": {c.ink, c.deep}, "soft on deep": {c.soft, c.deep}, "warning on deep": {c.warnText, c.deep}, "soft on water": {c.soft, c.water},
		} {
			r := ratio(pair[0], pair[1])
			least = min(least, r)
			if r < 4.5 {
				t.Errorf("%s: %s stands at %.2f : 1, want 4.5", name, word, r)
			}
		}
	}
	check.Record(t, check.Row{Room: "picture", What: "contrast of words on paper, both themes", Source: "WCAG 2.2, success criterion 1.4.3", Worst: fmt.Sprintf("%.1f : 1", least), Within: "at least 4.5 : 1"})
}

func TestFormulasAreLowered(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"CO2 25 mg/L", "CO<sub>2</sub> 25 mg/L"},
		{"KH2PO4", "KH<sub>2</sub>PO<sub>4</sub>"},
		{"NO3, PO4 & O2", "NO<sub>3</sub>, PO<sub>4</sub> &amp; O<sub>2</sub>"},
		{"CO22 and xCO2 stay", "CO22 and xCO2 stay"},
		{"MgSO4·7H2O", "MgSO<sub>4</sub>·7H<sub>2</sub>O"},
		{"day 3", "day 3"},
	} {
		if got := Formulas(c.in); got != c.want {
			t.Errorf("%q becomes %q, want %q", c.in, got, c.want)
		}
	}
}

func TestLegend(t *testing.T) {
	f := sample.Library()
	legend := Legend(f, KeyOf(f), 365)
	pots, planned := 0, 0
	keys := map[string]bool{}
	for i := range legend {
		e := &legend[i]
		pots += e.Pots
		if keys[e.Label()] {
			t.Errorf("key %s stands twice", e.Label())
		}
		keys[e.Label()] = true
		if len(e.pots) != e.Pots {
			t.Errorf("%s: %d pots drawn, %d planned", e.Label(), len(e.pots), e.Pots)
		}
	}
	for _, p := range f.Plan.Plants {
		planned += p.Pots
	}
	if pots != planned {
		t.Errorf("%d pots in the legend, %d in the plan", pots, planned)
	}
	if !keys["2a"] || !keys["2b"] {
		t.Errorf("a species in two places has no letters: %v", keys)
	}
}

func TestRingsDoNotCoverOneAnother(t *testing.T) {
	s := newSheet("x")
	var taken boxes
	var marks []Mark
	for i := range 12 {
		marks = append(marks, Mark{Number: i + 1, X: .5, Y: .5})
	}
	at := func(v float64) float64 { return v * 400 }
	rings(s, marks, at, at, [4]float64{0, 0, 960, 360}, &taken)
	for i, a := range taken {
		for _, b := range taken[i+1:] {
			if a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3] {
				t.Fatalf("two rings overlap: %v and %v", a, b)
			}
		}
	}
}

func TestLightBordersComeFromTheHouse(t *testing.T) {
	h := plan.DefaultHouse()
	b := LightBorders(h)
	if b != [3]float64{h.Light["low"].Low, h.Light["medium"].Low, h.Light["high"].Low} || !(b[0] < b[1] && b[1] < b[2]) {
		t.Errorf("borders %v", b)
	}
}

func BenchmarkPlan(b *testing.B) {
	f := sample.Library()
	k, scale := KeyOf(f), ScaleFor(&f.Model.Tank)
	legend := Legend(f, k, 365)
	b.ReportAllocs()
	for b.Loop() {
		Plan("p", f, k, legend, nil, scale, unit.Metric)
	}
}

func BenchmarkElevation(b *testing.B) {
	f := sample.Library()
	k, scale := KeyOf(f), ScaleFor(&f.Model.Tank)
	b.ReportAllocs()
	for b.Loop() {
		Elevation("e", f, k, Nearest(f, 1095), Front, scale, unit.Metric)
	}
}

// Every cause that growth can name has a hatch of its own.
func TestEveryCauseHasAHatch(t *testing.T) {
	every := growth.Limits{Light: 1, CO2: 1, N: 1, P: 1, K: 1, Fe: 1, Temp: 1, Space: 1, Room: 1, Water: 1, Settle: 1}
	drawn, marks := map[string]bool{}, map[string]bool{}
	for _, h := range hatches {
		drawn[h.cause] = true
		if marks[h.marks] {
			t.Errorf("the hatch of %s is that of another cause", h.word)
		}
		marks[h.marks] = true
	}
	for _, c := range every.Causes() {
		if !drawn[c.Name] {
			t.Errorf("%s has no hatch", c.Name)
		}
	}
}

// What the hatches take of a row and what the planting reaches make up the whole row.
func TestHeldRowsAreWhole(t *testing.T) {
	months := []*forecast.Month{}
	for i := range 8 {
		m := &forecast.Month{From: 30 * i, Until: 30*i + 29}
		m.Reached, m.Shares = 0.4, growth.Limits{Light: 0.7, N: 0.3}
		months = append(months, m)
	}
	for _, st := range stepsOf(months) {
		sum := 0.0
		for _, x := range st.took {
			sum += x
		}
		if math.Abs(sum-0.6) > 1e-9 {
			t.Errorf("days %d to %d lose %.3f of a row that reaches 0.4", st.from, st.until, sum)
		}
	}
	if n := len(stepsOf(months)); n != 5 { // three months, a quarter, the rest
		t.Errorf("eight months are drawn in %d steps", n)
	}
}
