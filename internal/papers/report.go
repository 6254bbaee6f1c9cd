package papers

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"littoral/internal/clarity"
	"littoral/internal/draft"
	"littoral/internal/findings"
	"littoral/internal/forecast"
	"littoral/internal/picture"
	"littoral/internal/unit"
	"math"
	"sort"
	"strings"
)

//go:embed report.html.tmpl
var reportTemplate string

//go:embed report.css
var reportCSS string

// plate is a drawing with its caption.
type plate struct {
	SVG   template.HTML
	Name  string
	Says  string
	Aside string
	Width template.CSS // share of the page's drawing width, so that all drawings of a page keep one scale
	Wide  bool         // may scroll on a narrow screen: its words would be too small
	Broad bool         // the same, of a drawing that keeps the page's scale
}

// note is a finding in the margin.
type note struct {
	findings.Finding
	Number int
	Kind   string // the severity in words
	Grave  bool
	Placed bool
	Span   string
	Who    string // what it says of itself beside the others of its group
	Own    string // its cure where it differs from the group's
}

// group is a fold of findings as it is printed.
type group struct {
	note    // the gravest
	Title   string
	Members []note // all of them when there are several
}

// legendRow is a species of the legend.
type legendRow struct {
	Number  int
	Symbol  template.HTML
	Species string
	Pots    int
	Places  string
}

// lineItem is a row of an order list.
type lineItem struct{ What, Amount, Order, Note, Price, Cost string }

// fact is a number of the tank with what it is.
type fact struct{ Name, Value string }

// page is everything the template prints. It holds words and drawings only; no number is made in the template.
type page struct {
	Style                          template.CSS
	Title, Tank, Sub, Letterhead   string
	Sentences                      []string
	Facts                          []fact
	LoadNote, FloorNote            string
	Plan, Front, Timeline, Light   plate
	Growth, Sides                  []plate
	ThenNow, Between, Views        []plate // pictures; none in a plain report
	ViewRows                       [][]string
	ViewsDay                       string
	Section                        plate // through the middle, with its light; empty in a plain report
	GrowthRow                      bool
	Tall                           bool // plan and front view together are about as high as wide, or higher
	Legend                         []legendRow
	Notes                          []note
	Groups, Margin                 []group
	shown                          map[int]bool
	MoreNotes                      int
	LightHead                      []string
	LightRows                      [][]string
	LightNote                      string
	Charts, Swings                 []plate
	Held                           plate
	Reserve                        []plate
	Due                            []dueRow
	GroundSays                     string
	Regime                         []week
	Doses                          []dose
	DoseCard                       []DoseLevel
	Recipe                         *recipeCard
	Pots, Later, Bed, Stone, Salts []lineItem
	Notices                        []fact
	Lift, Gas, Electric, Cylinder  string
	PlantingDay                    string
	Costs                          *costTables
	Quarters                       []quarterRow
	Balance                        []balanceTable
	ModelNotes                     []string
	Made, SidesDay                 string
	Sure                           *sure
	Regions                        []string
	Animals                        []lineItem
}

type quarterRow struct{ Name, Visits, Hours, Changed, Cut, Gas, Power, Tablets string }

type balanceTable struct {
	Element, Unit, Closes string
	In, Out               []fact
	SumIn, SumOut         string
}

// report lays out report.html.
func report(t *teller, opts Options) ([]byte, error) {
	p, err := t.page(opts)
	if err != nil {
		return nil, err
	}
	// Names of the tank's species are set in italic wherever they stand.
	var pairs []string
	key := picture.KeyOf(t.f)
	names := make([]string, 0, len(key.Species))
	for _, s := range key.Species {
		names = append(names, s.Name)
	}
	sort.Slice(names, func(i, j int) bool {
		if len(names[i]) != len(names[j]) {
			return len(names[i]) > len(names[j])
		}
		return names[i] < names[j]
	})
	for _, n := range names {
		e := picture.Text(n)
		pairs = append(pairs, e, "<i>"+e+"</i>")
	}
	italic := strings.NewReplacer(pairs...)
	rich := func(s string) template.HTML {
		return template.HTML(italic.Replace(picture.Formulas(plain(s)))) //nolint:gosec // Formulas escapes everything
	}
	tmpl, err := template.New("report").Funcs(template.FuncMap{"t": rich, "full": full}).Parse(reportTemplate)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if err := tmpl.Execute(&b, p); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

func (t *teller) page(opts Options) (*page, error) {
	fonts, err := fontFaces()
	if err != nil {
		return nil, err
	}
	f := t.f
	key := picture.KeyOf(f)
	scale := picture.ScaleFor(&f.Model.Tank)
	svg := func(d picture.Drawing) template.HTML { return template.HTML(d.SVG) } //nolint:gosec // package picture escapes every word
	p := &page{
		Style: template.CSS(fonts + picture.Style(key) + reportCSS), //nolint:gosec // our own rules
		Title: f.Plan.Name, Tank: t.tankLine(), Letterhead: t.house.Letterhead, Made: opts.Made, ModelNotes: f.Model.Notes,
		Sentences: t.sentences(), Facts: t.facts(), Regions: f.Plan.Region,
	}
	p.Sub = fmt.Sprintf("Forecast of %s from day 0", count(f.Length, "day", "days"))
	if d, ok := t.date(0); ok {
		p.Sub += ", " + d.Format("2 January 2006")
	}
	p.Sub += fmt.Sprintf("; seed %d.", f.Seed)

	for i := range t.found {
		x := t.found[i]
		n := note{Finding: x, Number: i + 1, Kind: kind(x.Severity), Grave: gravity(x.Severity) >= 2, Placed: x.X >= 0 && x.Y >= 0}
		n.Span = x.When
		if n.Span == "" {
			n.Span = "from " + unit.FormatDay(unit.Day(x.Day))
		}
		if w := x.Where; w != "" {
			n.Span += ", " + w
		} else if n.Placed {
			n.Span += ", " + t.where(x.X, x.Y)
		}
		p.Notes = append(p.Notes, n)
	}
	t.group(p)

	t.plates(p, key, scale, opts, svg)
	t.drawn(p, opts.Pictures)
	t.charts(p, key, svg)
	t.swings(p, svg)
	t.rootZone(p, key, scale, svg)
	t.tables(p)
	if opts.Bands != nil {
		p.Sure = t.sure(opts.Bands, svg)
	}
	return p, nil
}

// inMargin is how many notes stand beside the plan, atFirstSight how many findings are ringed on it from the start.
const (
	inMargin     = 6
	atFirstSight = 14
)

// group lays out folded findings, so that one cause does not drown the others; numbers stay those of the order by harm. A caution
// stands once in the margin.
func (t *teller) group(p *page) {
	for _, f := range t.folded() {
		g := group{note: p.Notes[f.Numbers[0]-1], Title: f.Headline}
		if len(f.Numbers) > 1 {
			for _, n := range f.Numbers {
				m := p.Notes[n-1]
				m.Who = m.Subject
				if m.Who == "" || !strings.Contains(m.What, m.Subject) {
					m.Who = m.What
				}
				if m.Do != g.Do {
					m.Own = m.Do
				}
				g.Members = append(g.Members, m)
			}
		}
		p.Groups = append(p.Groups, g)
	}
	said := map[string]bool{}
	for _, g := range p.Groups[:min(len(p.Groups), inMargin)] {
		if said[g.Caution] {
			g.Caution = ""
		}
		said[g.Caution] = true
		p.Margin = append(p.Margin, g)
		p.MoreNotes -= max(1, len(g.Members))
	}
	p.MoreNotes += len(p.Notes)
	// Ringed at first sight: one of each group, then the gravest of what is left.
	p.shown = map[int]bool{}
	show := func(number int) {
		if len(p.shown) < atFirstSight {
			p.shown[number] = true
		}
	}
	for _, g := range p.Groups {
		show(g.Number)
	}
	for _, n := range p.Notes {
		show(n.Number)
	}
}

func kind(severity string) string {
	switch severity {
	case "danger":
		return "Danger"
	case "harm":
		return "Harm"
	case "look":
		return "Worth a look"
	}
	return "Note"
}

// facts are the sums that the trade asks for first.
func (t *teller) facts() []fact {
	x := t.f.Model.Facts
	out := []fact{
		{"Inside to the rim", t.volume(x.GrossL)},
		{"To the water level", t.volume(x.ToLevelL)},
		{"Net water", t.volume(x.NetWaterL)},
		{"Water in the bed", t.shown(unit.KindVolume, x.PoreWaterL/1000, 2)},
		{"Bed", t.shown(unit.KindVolume, x.BedL/1000, 2) + ", " + t.about(x.BedDryKG) + " dry"},
	}
	if x.StoneKG > 0 {
		out = append(out, fact{"Stone", t.about(x.StoneKG)})
	}
	if x.WoodKG > 0 {
		out = append(out, fact{"Wood", t.about(x.WoodKG)})
	}
	if x.GlassKG > 0 {
		out = append(out, fact{"Glass", t.about(x.GlassKG)})
	}
	if x.StandKG > 0 {
		out = append(out, fact{"Stand", t.mass(x.StandKG)})
	}
	if x.EquipmentKG > 0 {
		out = append(out, fact{"Equipment", t.mass(x.EquipmentKG)})
	}
	return append(out, fact{"Filled weight", t.mass(x.FilledKG)}, fact{"Load under the tank", t.load(x.LoadPa)},
		fact{"Steepest bed", figure(x.MaxSlopeDeg, 2) + "°, " + t.where(x.MaxSlopeAt[0], x.MaxSlopeAt[1])})
}

// plates makes the drawings of the tank.
func (t *teller) plates(p *page, key *picture.Key, scale float64, opts Options, svg func(picture.Drawing) template.HTML) {
	f, bands := t.f, opts.Bands
	year := min(365, f.Length)
	legend := picture.Legend(f, key, year)
	var marks []picture.Mark
	var pins []picture.Pin
	for _, n := range p.Notes {
		href := fmt.Sprintf("#finding-%d", n.Number)
		if p.shown[n.Number] {
			pins = append(pins, picture.Pin{Number: n.Number, Day: n.Day, Grave: n.Grave, Href: href})
		}
		if n.Placed {
			marks = append(marks, picture.Mark{Number: n.Number, X: n.X, Y: n.Y, Grave: n.Grave, Quiet: !p.shown[n.Number], Href: href})
		}
	}
	plan := picture.Plan("plan", f, key, legend, marks, scale, t.system)
	full := plan.W
	width := func(d picture.Drawing) template.CSS { return template.CSS(fmt.Sprintf("%.4f", d.W/full)) } //nolint:gosec // a number
	pots, species := t.pots()
	contour := "every centimetre, named every five"
	if t.system == unit.US {
		contour = "every half inch, named every inch"
	}
	p.Plan = plate{
		SVG: svg(plan), Name: "Plan.", Wide: true,
		Says:  fmt.Sprintf("%s of %s. Contours of the bed %s; plants as wide as in %s", capital(count(pots, "pot", "pots")), count(species, "species", "species"), contour, unit.FormatDay(unit.Day(year))),
		Aside: "front glass below",
	}
	snap := nearest(f, year)
	elevation := func(id string, s *forecast.Snapshot, v picture.View) picture.Drawing {
		return picture.Elevation(id, f, key, s, v, scale, t.system)
	}
	caption := func(s *forecast.Snapshot) string {
		if s == nil || len(s.Plants) == 0 {
			return "No plants stand in it"
		}
		n := 0.0
		for i := range s.Plants {
			n += max(1, s.Plants[i].Count)
		}
		x := tallest(s)
		return fmt.Sprintf("%s; the tallest, %s, stands %s", capital(count(int(n), "plant", "plants")), speciesOf(x), t.length(x.HeightM))
	}
	if snap != nil {
		front := elevation("front", snap, picture.Front)
		p.Front = plate{SVG: svg(front), Name: "From the front, " + unit.FormatDay(unit.Day(snap.Day)) + ".", Says: caption(snap), Aside: "one scale, both drawings", Width: width(front), Broad: true}
	}
	line := picture.Timeline("ruler", f, bands, pins, 1000)
	weight := "Weight of all shoots"
	if bands != nil {
		weight = "Weight of all shoots in eight of ten forecasts"
	}
	p.Timeline = plate{SVG: svg(line), Name: "The ruler.", Says: fmt.Sprintf("%s above, %s below; the first eight weeks take a fifth", weight, count(len(f.Visits), "visit", "visits")), Wide: true}

	for i, day := range t.viewDays() {
		s := nearest(f, day)
		if s == nil || opts.Pictures != nil { // pictures stand for these drawings
			continue
		}
		name := capital(unit.FormatDay(unit.Day(s.Day)))
		if s.Day == 0 {
			name = "Day 1, as planted"
		}
		d := elevation(fmt.Sprintf("grow%d", i), s, picture.Front)
		p.Growth = append(p.Growth, plate{SVG: svg(d), Name: name + ".", Says: caption(s), Width: width(d), Broad: true})
	}
	if snap != nil {
		p.SidesDay = unit.FormatDay(unit.Day(snap.Day))
		for i, v := range picture.Around(&f.Model.Tank) {
			d := elevation(fmt.Sprintf("side%d", i), snap, v)
			seen := ""
			for _, s := range f.Plan.Tank.SeenFrom {
				if s == v.Name || s == "all" {
					seen = "a viewing side"
				}
			}
			p.Sides = append(p.Sides, plate{SVG: svg(d), Name: "From the " + v.Name + ".", Says: seen, Width: width(d), Broad: d.W > .6*full})
		}
	}
	p.GrowthRow = f.Model.Tank.LX < 1.7*f.Model.Tank.Height
	p.Tall = f.Model.Tank.LX < 1.2*(f.Model.Tank.LY+f.Model.Tank.Height)

	t.legendRows(p, legend, svg)
	if len(f.LightMaps) > 0 {
		m := &f.LightMaps[0]
		d := picture.LightMap("light", f, m, scale, t.system)
		p.Light = plate{
			SVG: svg(d), Name: "Light at the bed, " + unit.FormatDay(unit.Day(m.Day)) + ".", Wide: true,
			Says: fmt.Sprintf("%s to %s µmol/m²/s at full power, mean %s. Strong lines where the house's classes meet; lamps dashed", figure(m.Min, 2), figure(m.Max, 2), figure(m.Mean, 2)),
		}
		if snap != nil {
			p.Light.Says += fmt.Sprintf(". At each plant: a dot where it gets the light it thrives in, a wedge down for less and up for more, as in %s", unit.FormatDay(unit.Day(snap.Day)))
		}
		if tank := &f.Model.Tank; opts.Pictures != nil && opts.Pictures.light != nil && snap != nil {
			d := picture.Section("section", f, key, picture.Cut{From: [2]float64{0, tank.LY / 2}, To: [2]float64{tank.LX, tank.LY / 2}, Light: opts.Pictures.light, Day: snap.Day, Plants: snap.Plants}, scale, t.system)
			p.Section = plate{
				SVG: svg(d), Name: "Section through the middle, from the front.", Wide: true,
				Says: fmt.Sprintf("Lines of equal light in the bare tank, strong at the borders of the classes; plants and what they get as in %s", unit.FormatDay(unit.Day(snap.Day))),
			}
		}
		b := picture.LightBorders(t.house)
		p.LightNote = fmt.Sprintf("House classes: low from %s, medium from %s, high from %s µmol/m²/s. Texts of the trade disagree by a factor of two to three.", figure(b[0], 2), figure(b[1], 2), figure(b[2], 2))
		t.lightTable(p, m)
	}
}

func (t *teller) legendRows(p *page, legend []picture.Entry, svg func(picture.Drawing) template.HTML) {
	for i := 0; i < len(legend); {
		j := i
		row := legendRow{Number: legend[i].Number, Species: legend[i].Species.Name, Symbol: svg(picture.KeySymbol(fmt.Sprintf("key%d", legend[i].Number), &legend[i]))}
		var places []string
		for ; j < len(legend) && legend[j].Number == legend[i].Number; j++ {
			e := &legend[j]
			row.Pots += e.Pots
			s := t.where(e.X, e.Y)
			switch e.Symbol {
			case picture.Tied:
				s = "on hardscape"
			case picture.Afloat:
				s = "afloat"
			}
			if e.Letter != "" {
				s = fmt.Sprintf("%s %d %s", e.Letter, e.Pots, s)
			}
			if e.From > 0 {
				s += ", from " + unit.FormatDay(unit.Day(e.From))
			}
			places = append(places, s)
		}
		row.Places = strings.Join(places, "; ")
		p.Legend = append(p.Legend, row)
		i = j
	}
}

// lightTable gives the map in numbers on a coarse grid, back row first, as on the drawing.
func (t *teller) lightTable(p *page, m *forecast.LightMap) {
	if m.NX <= 0 || m.NY <= 0 || len(m.PPFD) != m.NX*m.NY {
		return
	}
	nx, ny := min(12, m.NX), min(8, m.NY)
	p.LightHead = []string{""}
	for i := range nx {
		x := (float64(i) + .5) / float64(nx) * float64(m.NX) * m.CellX
		p.LightHead = append(p.LightHead, t.length(x))
	}
	for j := ny - 1; j >= 0; j-- {
		y := (float64(j) + .5) / float64(ny) * float64(m.NY) * m.CellY
		row := []string{t.length(y)}
		for i := range nx {
			var sum, n float64
			for b := j * m.NY / ny; b < (j+1)*m.NY/ny; b++ {
				for a := i * m.NX / nx; a < (i+1)*m.NX/nx; a++ {
					c := b*m.NX + a
					if t.inTank((float64(a)+.5)*m.CellX, (float64(b)+.5)*m.CellY) && !math.IsNaN(m.PPFD[c]) {
						sum, n = sum+m.PPFD[c], n+1
					}
				}
			}
			if n == 0 {
				row = append(row, "")
				continue
			}
			row = append(row, figure(sum/n, 2))
		}
		p.LightRows = append(p.LightRows, row)
	}
}

// inTank tells whether a place lies inside the glass.
func (t *teller) inTank(x, y float64) bool {
	o := t.f.Model.Tank.Footprint
	in := len(o) == 0
	for i, j := 0, len(o)-1; i < len(o); j, i = i, i+1 {
		a, b := o[i], o[j]
		if (a[1] > y) != (b[1] > y) && x < (b[0]-a[0])*(y-a[1])/(b[1]-a[1])+a[0] {
			in = !in
		}
	}
	return in
}

// charts draws the water, the plants and the work over the years.
func (t *teller) charts(p *page, key *picture.Key, svg func(picture.Drawing) template.HTML) {
	f := t.f
	all := append(append([]forecast.Day(nil), f.Before...), f.Days...)
	if len(all) == 0 {
		return
	}
	days := make([]int, len(all))
	for i := range all {
		days[i] = all[i].Day
	}
	series := func(name string, of func(*forecast.Day) float64) picture.Series {
		s := picture.Series{Name: name, V: make([]float64, len(all))}
		for i := range all {
			s.V[i] = of(&all[i])
		}
		return s
	}
	add := func(c picture.Chart, says string) {
		c.ID = fmt.Sprintf("chart%d", len(p.Charts))
		if c.Days == nil {
			c.Days = days
		}
		p.Charts = append(p.Charts, plate{SVG: svg(c.Draw()), Name: c.Title + ".", Says: says, Aside: c.Unit})
	}
	a, b := t.steady()
	said := func(format string, from, to int, of func(*forecast.Day) float64, figures int) string {
		lo, hi, _, _ := t.ranged(from, to, of)
		return fmt.Sprintf(format, spanOf(lo, hi, figures))
	}
	span := fmt.Sprintf("%s to %s", unit.FormatDay(unit.Day(a)), unit.FormatDay(unit.Day(b)))

	dawn, dusk := func(d *forecast.Day) float64 { return d.PHDawn }, func(d *forecast.Day) float64 { return d.PHDusk }
	lo, hi, _, _ := t.ranged(a, b, dusk)
	nlo, nhi, _, _ := t.ranged(a, b, dawn)
	add(picture.Chart{Title: "pH", Lines: []picture.Series{series("end of night", dawn), series("lights-off", dusk)}, Least: .6}, fmt.Sprintf("%s at lights-off, %s at the end of the night, %s", spanOf(lo, hi, 2), spanOf(nlo, nhi, 2), span))
	target := func(keys ...string) []picture.Target {
		var bands []picture.Target
		for _, k := range keys {
			if b, ok := t.house.Water[k]; ok {
				bands = append(bands, picture.Target{Low: b.Low, High: b.High, Name: "the house's " + k})
			}
		}
		return bands
	}
	kh, gh := func(d *forecast.Day) float64 { return d.KH }, func(d *forecast.Day) float64 { return d.GH }
	add(picture.Chart{Title: "Hardness", Unit: "degrees", Zero: true, Lines: []picture.Series{series("KH", kh), series("GH", gh)}, Targets: target("KH", "GH")}, said("KH %s", a, b, kh, 2)+", "+said("GH %s, ", a, b, gh, 2)+span)
	on := func(d *forecast.Day) float64 { return d.CO2On }
	var gasBand []picture.Target
	if len(f.Plan.CO2) > 0 {
		gasBand = target("CO2")
	}
	add(picture.Chart{
		Title: "CO2", Targets: gasBand, Unit: "mg/L", Zero: true, Least: 5, Lines: []picture.Series{series("mean lit", on), series("at lights-on", func(d *forecast.Day) float64 { return d.CO2Dawn }), series("end of night", func(d *forecast.Day) float64 { return d.CO2Night })},
		Limits: []picture.Limit{{V: t.house.CO2Limit.House, Name: "house limit with animals"}},
	}, said("%s mg/L while lit, ", a, b, on, 2)+span)
	o2 := func(d *forecast.Day) float64 { return d.O2Dawn }
	olo, _, oday, _ := t.ranged(0, f.Length, o2)
	add(picture.Chart{
		Title: "Oxygen", Unit: "mg/L", Zero: true, Lines: []picture.Series{series("highest", func(d *forecast.Day) float64 { return d.O2Dusk }), series("dawn", o2)},
		Limits: []picture.Limit{{V: t.house.OxygenMin, Name: "house least at dawn"}},
	}, fmt.Sprintf("never under %s mg/L at dawn, %s", figure(olo, 2), unit.FormatDay(unit.Day(oday))))
	nh4, no2 := func(d *forecast.Day) float64 { return d.NH4 }, func(d *forecast.Day) float64 { return d.NO2 }
	_, nh, _, nd := t.ranged(-9999, 56, nh4)
	_, nn, _, nnd := t.ranged(-9999, 56, no2)
	add(picture.Chart{
		Title: "Ammonium and nitrite, first eight weeks", Unit: "mg/L", Zero: true, Least: .2, From: days[0], To: min(56, f.Length),
		Lines:  []picture.Series{series("NH4", nh4), series("NO2", no2)},
		Limits: []picture.Limit{{V: t.house.Nitrite["fish"], Name: "house alarm, nitrite for fish"}},
	}, fmt.Sprintf("NH4 at most %s on day %d, NO2 at most %s on day %d", figure(nh, 2), nd, figure(nn, 2), nnd))
	no3, k := func(d *forecast.Day) float64 { return d.NO3 }, func(d *forecast.Day) float64 { return d.K }
	add(picture.Chart{Title: "Nitrate and potassium", Unit: "mg/L", Zero: true, Lines: []picture.Series{series("NO3", no3), series("K", k)}, Targets: target("NO3", "K")}, said("NO3 %s, ", a, b, no3, 2)+said("K %s, ", a, b, k, 2)+span)
	po4, fe := func(d *forecast.Day) float64 { return d.PO4 }, func(d *forecast.Day) float64 { return d.Fe }
	add(picture.Chart{Title: "Phosphate and iron", Unit: "mg/L", Zero: true, Least: .2, Lines: []picture.Series{series("PO4", po4), series("Fe", fe)}, Targets: target("PO4", "Fe")}, said("PO4 %s, ", a, b, po4, 2)+said("Fe %s, ", a, b, fe, 2)+span)
	c2 := func(c float64) float64 { return c }
	deg := "°C"
	if t.system == unit.US {
		c2, deg = func(c float64) float64 { return c*9/5 + 32 }, "°F"
	}
	mean := func(d *forecast.Day) float64 { return c2(d.TempC) }
	tlo, _, _, _ := t.ranged(0, f.Length, func(d *forecast.Day) float64 { return d.TempMin })
	_, thi, _, _ := t.ranged(0, f.Length, func(d *forecast.Day) float64 { return d.TempMax })
	add(picture.Chart{Title: "Temperature", Unit: deg, Least: 3, Lines: []picture.Series{series("mean", mean), series("lowest", func(d *forecast.Day) float64 { return c2(d.TempMin) }), series("highest", func(d *forecast.Day) float64 { return c2(d.TempMax) })}}, fmt.Sprintf("lowest %s, highest %s", t.temp(tlo), t.temp(thi)))

	t.massCharts(p, key, add)

	cover, light := func(d *forecast.Day) float64 { return 100 * d.Cover }, func(d *forecast.Day) float64 { return d.BedPPFD }
	_, cmax, _, _ := t.ranged(0, f.Length, cover)
	add(picture.Chart{Title: "Bed under leaves", Unit: "% of open bed", Zero: true, Least: 100, Lines: []picture.Series{series("cover", cover)}}, fmt.Sprintf("at most %s %%", figure(cmax, 2)))
	add(picture.Chart{Title: "Light at the bed", Unit: "µmol/m²/s, mean at full light", Zero: true, Lines: []picture.Series{series("mean", light)}}, said("%s from first to last", 0, f.Length, light, 2))
	first := f.Days[0]
	left := func(of func(*forecast.Day) float64) func(*forecast.Day) float64 {
		start := of(&first)
		return func(d *forecast.Day) float64 {
			if start <= 0 || d.Day < 0 {
				return math.NaN()
			}
			return 100 * of(d) / start
		}
	}
	n, ph, pk := left(func(d *forecast.Day) float64 { return d.SoilN }), left(func(d *forecast.Day) float64 { return d.SoilP }), left(func(d *forecast.Day) float64 { return d.SoilK })
	end := t.last()
	add(picture.Chart{Title: "Root-zone reserve", Unit: "% of day 0", Zero: true, Least: 100, Lines: []picture.Series{series("N", n), series("P", ph), series("K", pk)}}, fmt.Sprintf("at the end N %s %%, P %s %%", figure(n(end), 2), figure(ph(end), 2)))
	var views []picture.Series
	says := ""
	for _, s := range f.Sights() {
		view := func(d *forecast.Day) float64 {
			if d.Beam <= 0 {
				return math.NaN()
			}
			return 100 * d.Kept(s, 1)
		}
		views = append(views, series(s.Name, view))
		if says != "" {
			says += ", "
		}
		says += fmt.Sprintf("%s, %s of water, %s %%", s.Name, t.length(s.PathM), said("%s", a, b, view, 2))
	}
	add(picture.Chart{Title: "Clearness", Unit: "% of contrast kept", Zero: true, Least: 100, Lines: views}, says+", "+span+t.seen(a, b))
}

// seen says how far one sees from day a to day b, and what more flow or a fine stage would make of the longest view.
func (t *teller) seen(a, b int) string {
	sights := t.f.Sights()
	mean := func(of func(d *forecast.Day) float64) float64 {
		return t.total(a, b, of) / max(1, t.total(a, b, func(*forecast.Day) float64 { return 1 }))
	}
	beam := mean(func(d *forecast.Day) float64 { return d.Beam })
	if len(sights) == 0 || beam <= 0 {
		return ""
	}
	longest := sights[len(sights)-1]
	kept := func(share float64) float64 {
		return 100 * mean(func(d *forecast.Day) float64 { return d.Kept(longest, share) })
	}
	now, flow, fine := kept(1), kept(t.f.Clearer(2, false)), kept(t.f.Clearer(1, true))
	far := fmt.Sprintf("; a black disk vanishes at %s, ", t.length(clarity.Sighting(beam)))
	if max(flow, fine)-now < 1 {
		return far + "and neither more flow nor a fine stage would show"
	}
	return far + fmt.Sprintf("and of the longest view twice the flow would keep %s %%, a fine stage %s %%", figure(flow, 2), figure(fine, 2))
}

// massCharts draws what grows, what is cut and how long the work takes.
func (t *teller) massCharts(p *page, key *picture.Key, add func(picture.Chart, string)) {
	f := t.f
	factor, gram := 1.0, "g dry"
	if n := len(f.Snapshots); n > 0 {
		days := make([]int, n)
		bySpecies := map[string][]float64{}
		total := map[string]float64{}
		for i := range f.Snapshots {
			days[i] = f.Snapshots[i].Day
			for j := range f.Snapshots[i].Plants {
				q := &f.Snapshots[i].Plants[j]
				name := speciesOf(q)
				if bySpecies[name] == nil {
					bySpecies[name] = make([]float64, n)
				}
				bySpecies[name][i] += q.ShootG * factor
				total[name] += q.ShootG
			}
		}
		names := make([]string, 0, len(total))
		for s := range total {
			names = append(names, s)
		}
		sort.Slice(names, func(i, j int) bool {
			if total[names[i]] != total[names[j]] {
				return total[names[i]] > total[names[j]]
			}
			return names[i] < names[j]
		})
		var lines []picture.Series
		rest := picture.Series{Name: "others", V: make([]float64, n)}
		for i, s := range names {
			if i < 8 {
				lines = append(lines, picture.Series{Name: fmt.Sprintf("%d %s", key.Number(s), short(s)), V: bySpecies[s], Key: key.Number(s)})
				continue
			}
			for k := range rest.V {
				rest.V[k] += bySpecies[s][k]
			}
		}
		if len(names) > 8 {
			lines = append(lines, rest)
		}
		end := 0.0
		for _, s := range names {
			end += bySpecies[s][n-1]
		}
		share := ""
		if len(names) > 0 && end > 0 {
			share = fmt.Sprintf(", %s of it %s", percent(bySpecies[names[0]][n-1]/end), names[0])
		}
		add(picture.Chart{Title: "Shoots by species", Unit: gram, Stack: true, Days: days, Lines: lines}, fmt.Sprintf("%s at the end%s", t.about(end/1000), share))
	}
	months := f.Length*12/365 + 1
	starts := make([]int, 0, months)
	for m := range months {
		if d := int(math.Round(float64(m) * 365.25 / 12)); d <= f.Length-7 || m == 0 {
			starts = append(starts, d)
		}
	}
	wet, work := make([]float64, len(starts)), make([]float64, len(starts))
	month := func(day int) int {
		m := sort.SearchInts(starts, day+1) - 1
		return max(m, 0)
	}
	var wetSum float64
	for i := range f.Events {
		if e := &f.Events[i]; e.Day >= 0 {
			wet[month(e.Day)] += e.FreshG / 1000
			wetSum += e.FreshG / 1000
		}
	}
	var workSum float64
	for i := range f.Days {
		work[month(f.Days[i].Day)] += f.Days[i].Minutes / 60
		workSum += f.Days[i].Minutes / 60
	}
	kg := "kg wet a month"
	if t.system == unit.US {
		kg = "lb wet a month"
		for i := range wet {
			wet[i] *= 2.20462262 // pounds in a kilogram (NIST SP 811)
		}
	}
	add(picture.Chart{Title: "Cut plants", Unit: kg, Bars: true, Days: starts, To: f.Length, Lines: []picture.Series{{V: wet}}, Least: .1}, fmt.Sprintf("%s in all, weighed wet", t.about(wetSum)))
	add(picture.Chart{Title: "Work", Unit: "hours a month on site", Bars: true, Days: starts, To: f.Length, Lines: []picture.Series{{V: work}}, Least: 1}, fmt.Sprintf("%s h in all, %s a month", figure(workSum, 2), hours(60*workSum/max(1, float64(f.Length)/30.44))))
}

// short abbreviates a genus as botanists do after its first mention.
func short(species string) string {
	genus, rest, ok := strings.Cut(species, " ")
	if !ok || genus == "" {
		return species
	}
	s := genus[:1] + ". " + rest
	if r := []rune(s); len(r) > 15 {
		return strings.TrimSpace(string(r[:14])) + "…"
	}
	return s
}

// cylinderKG is a common cylinder of CO2, kg of gas.
const cylinderKG = 10.0

// tables makes orders, regime, work and balance.
func (t *teller) tables(p *page) {
	f := t.f
	p.Regime, p.Doses = t.regime(), t.doses()
	p.DoseCard, p.Recipe = t.doseCard(), t.recipeCard()
	p.PlantingDay, p.Costs = t.plantingLine(), t.costTables()
	list := t.prices()
	for _, o := range t.plantOrders() {
		i := lineItem{What: o.Species, Amount: fmt.Sprint(o.Pots), Order: fmt.Sprint(o.Order), Cost: "no price yet"}
		if l := t.plantLine(list, o); l.Priced {
			i.Price, i.Cost = figure(l.Price, 4), figure(l.Cost, 3)
		}
		if o.Day > 0 {
			i.Note = t.when(o.Day)
			p.Later = append(p.Later, i)
		} else {
			p.Pots = append(p.Pots, i)
		}
		if n := noticeLine(o.Notices); n != "" {
			p.Notices = append(p.Notices, fact{o.Species, n})
		}
	}
	for _, m := range f.Model.Facts.BedByMaterial {
		l := m.Litres * draft.Settling
		bags := ""
		if t.system != unit.US && finite(l) > 0 {
			bags = fmt.Sprintf("%s of %s L", count(int(math.Ceil(min(l, 1e9)/draft.BagL)), "bag", "bags"), figure(draft.BagL, 2))
		}
		p.Bed = append(p.Bed, lineItem{What: m.Material, Amount: t.shown(unit.KindVolume, m.Litres/1000, 2) + ", " + t.about(m.DryKG), Order: t.shown(unit.KindVolume, l/1000, 2), Note: bags})
	}
	heaviest := 0.0
	for _, s := range t.hardscape() {
		i := lineItem{What: capital(s.Kind) + ", " + s.Material, Amount: fmt.Sprintf("%s, %s", count(s.Pieces, "piece", "pieces"), t.about(s.KG)), Order: t.about(s.KG * stoneChoice), Note: "heaviest " + t.about(s.Heaviest)}
		if s.Kind != "stone" {
			i.Order = t.about(s.KG)
		}
		heaviest = max(heaviest, s.Heaviest)
		p.Stone = append(p.Stone, i)
	}
	if heaviest >= 15 {
		p.Lift = fmt.Sprintf("The heaviest piece weighs %s dry. Lift with enough people or a hoist, with a mat on the glass, and by local rules for lifting at work.", t.about(heaviest))
	} else if len(p.Stone) > 0 {
		p.Lift = "Lift stones with both hands over a mat, never over bare glass, and by local rules for lifting at work."
	}
	for _, s := range t.firstQuarter() {
		i := lineItem{What: s.Salt, Amount: figure(s.Grams, 3) + " g", Note: s.For}
		if t.isIron(s.Salt) {
			i.Amount += " Fe"
			i.Note += ": " + chelated(s.Grams)
		}
		p.Salts = append(p.Salts, i)
	}
	for _, s := range f.Plan.Livestock {
		i := lineItem{What: s.Species, Amount: fmt.Sprint(s.Count), Note: t.when(int(s.From))}
		if a, ok := t.cat.Animal(s.Species); ok {
			i.What = a.Name
		}
		p.Animals = append(p.Animals, i)
	}
	x := f.Model.Facts
	p.LoadNote = "Glass under load: the maker and a licensed professional decide on panes, seams and bracing by local codes; nothing here is a proof of strength."
	p.FloorNote = fmt.Sprintf("Floor: %s stand on %s.", t.mass(x.FilledKG), unit.FormatDigits(unit.KindArea, x.FootprintM2, t.system, 2))
	if fl := f.Plan.Room.Floor; fl != nil && fl.AllowedLoad > 0 {
		p.FloorNote += fmt.Sprintf(" The plan gives the floor %s", t.load(float64(fl.AllowedLoad)))
		if x.LoadPa > float64(fl.AllowedLoad) {
			p.FloorNote += ", less than the load under the tank"
		}
		p.FloorNote += "."
	}
	p.FloorNote += " Local codes and a licensed engineer decide whether the floor carries it, as a whole and under each foot."
	if gas := t.total(0, f.Length, func(d *forecast.Day) float64 { return d.CO2UsedG }); gas > 0 {
		day := gas / float64(max(1, f.Length))
		p.Cylinder = fmt.Sprintf("CO2: about %s a year; a cylinder of %s lasts about %s days.", t.about(day*365/1000), t.mass(cylinderKG), figure(cylinderKG*1000/day, 2))
		p.Gas = fmt.Sprintf("CO2: about %s g a day. The gas is heavier than air and suffocates in closed rooms: fasten cylinders upright, air the room, keep an alarm where local codes ask for one, and let a licensed professional fit the regulator.", figure(day, 2))
	}
	power := 0.0
	for _, l := range f.Plan.Lamps {
		power += float64(l.Power)
	}
	if h := f.Plan.Heater; h != nil {
		power += float64(h.Power)
	}
	if power > 0 {
		p.Electric = fmt.Sprintf("Electricity beside water: lamps and heater draw up to %s. Residual-current protection, drip loops and sockets above the water line; a licensed electrician and local codes decide. Pull the plug before a hand goes in, and let a heater cool under water.", unit.FormatDigits(unit.KindPower, power, t.system, 2))
	} else {
		p.Electric = "Electricity beside water: residual-current protection, drip loops and sockets above the water line; a licensed electrician and local codes decide. Pull the plug before a hand goes in, and let a heater cool under water."
	}
	for _, q := range t.quarters() {
		p.Quarters = append(p.Quarters, quarterRow{q.Name, fmt.Sprint(q.Visits), figure(q.Hours, 2), t.volume(q.ChangedL), t.about(q.WetKG), t.about(q.CO2KG), figure(q.KWh, 2), fmt.Sprint(q.Tablets)})
	}
	for i := range f.Balance.Elements {
		e := &f.Balance.Elements[i]
		factor, name := 1.0, e.Unit
		if e.Unit == "mg" {
			factor, name = 1e-3, "g"
		} else if e.Unit == "mmol" {
			factor, name = 1e-3, "mol"
		}
		b := balanceTable{Element: capital(elementName(e.Element)), Unit: name, Closes: meets(e.Relative)}
		type entry struct {
			name   string
			amount float64
		}
		var in, out []entry
		for _, x := range e.In {
			in = append(in, entry{x.Name, x.Amount * factor})
		}
		for _, x := range e.Out {
			out = append(out, entry{x.Name, x.Amount * factor})
		}
		stores := e.Stores
		if len(stores) == 0 {
			stores = []forecast.Store{{Name: "the tank", Start: e.Start, End: e.End}}
		}
		for _, x := range stores {
			switch more := factor * (x.End - x.Start); {
			case more > 0:
				out = append(out, entry{"more stored: " + x.Name, more})
			case more < 0:
				in = append(in, entry{"less stored: " + x.Name, -more})
			}
		}
		sum := func(list []entry) (s float64) {
			for _, x := range list {
				s += x.amount
			}
			return s
		}
		decimals := ledgerDecimals(math.Max(sum(in), sum(out)))
		for _, x := range in {
			b.In = append(b.In, fact{x.name, ledger(x.amount, decimals)})
		}
		for _, x := range out {
			b.Out = append(b.Out, fact{x.name, ledger(x.amount, decimals)})
		}
		b.SumIn, b.SumOut = ledger(sum(in), decimals), ledger(sum(out), decimals)
		p.Balance = append(p.Balance, b)
	}
}

// ledgerDecimals are those of all numbers of one ledger, so that they can be added up: four figures of its sum, three decimals at most.
func ledgerDecimals(sum float64) int {
	if !(sum > 0) || math.IsInf(sum, 0) {
		return 0
	}
	return min(3, max(0, 3-int(math.Floor(math.Log10(sum)))))
}

// ledger writes an amount with the decimals of its ledger; what is too small for them is under the last one.
func ledger(x float64, decimals int) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return figure(x, 1)
	}
	least := math.Pow10(-decimals)
	if x > 0 && x < least/2 {
		return fmt.Sprintf("under %.*f", decimals, least)
	}
	return fmt.Sprintf("%.*f", decimals, x)
}

// meets says how well the two sides of a ledger agree.
func meets(relative float64) string {
	if r := math.Abs(finite(relative)); r >= 1e-9 {
		return fmt.Sprintf("the sums differ by %.1g of the turnover", r)
	}
	return "the sums meet to better than one part in a thousand million"
}

func elementName(s string) string {
	if s == "C" {
		return "carbon"
	}
	return element(s)
}
