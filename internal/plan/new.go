package plan

import (
	"errors"
	"fmt"
	"littoral/internal/catalog"
	"littoral/internal/unit"
	"math"
	"strconv"
	"strings"
	"time"
	"unicode"
)

// Answers is what NewPlan asks to know.
type Answers struct {
	Name       string      // what the tank is called
	Shape      string      // box, cylinder, bow-front or polygon
	Inside     Inside      // the inner measures that the shape has; 20 cm to 6 m, height to 2 m
	Outline    []PointCM   // polygon only
	WaterLevel unit.Length // 0 = a little below the rim
	Light      string      // low, medium or high: the level of light, and of feeding with it
	CO2        bool        // gas is injected
	TapKH      unit.Alkalinity
	TapGH      unit.Hardness
	TapNitrate unit.Concentration // as the ion
	SeenFrom   []string           // front, back, left, right, all; none = front, or all round a cylinder
	Style      string             // nature, garden, stones or jungle; "" = nature
	Planted    string             // ISO 8601 date of planting; may be empty
}

// shapes are the outlines that a new plan can have, the usual one first.
var shapes = []string{"box", "bow-front", "cylinder", "polygon"}

// Shapes returns the shapes of tank that NewPlan knows, the usual one first.
func Shapes() []string { return append([]string(nil), shapes...) }

// Usual returns the answers that stand in where nothing is said: a tank of usual size for the shape, medium light with CO2 and
// moderately hard tap water. An unknown shape gets no measures. Our own choice.
func Usual(shape string) Answers {
	a := Answers{Name: "New tank", Shape: shape, Light: "medium", CO2: true, TapKH: unit.FromDKH(6), TapGH: unit.FromDGH(10), TapNitrate: 10, Style: styles[0], SeenFrom: usualSides(shape)}
	switch shape {
	case "box":
		a.Inside = Inside{Length: 120 * unit.CM, Width: 50 * unit.CM, Height: 50 * unit.CM}
	case "bow-front":
		a.Inside = Inside{Length: 120 * unit.CM, Width: 50 * unit.CM, Height: 50 * unit.CM, Bow: 12 * unit.CM}
	case "cylinder":
		a.Inside = Inside{Diameter: 100 * unit.CM, Height: 60 * unit.CM}
	case "polygon":
		a.Inside = Inside{Height: 50 * unit.CM}
		a.Outline = []PointCM{{0, 0}, {160, 0}, {160, 60}, {60, 60}, {60, 140}, {0, 140}}
	}
	return a
}

func usualSides(shape string) []string {
	if shape == "cylinder" {
		return []string{"all"}
	}
	return []string{"front"}
}

// Styles are the ways of planting that NewPlan knows.
var styles = []string{"nature", "garden", "stones", "jungle"}

// Styles returns the styles of planting that NewPlan knows, the usual one first.
func Styles() []string { return append([]string(nil), styles...) }

// Check returns what is wrong with the answers, all at once, or nil.
func (a *Answers) Check() error {
	var wrong []error
	say := func(format string, args ...any) { wrong = append(wrong, fmt.Errorf(format, args...)) }
	if strings.TrimSpace(a.Name) == "" || len(a.Name) > 200 || strings.IndexFunc(a.Name, func(r rune) bool { return !unicode.IsPrint(r) }) >= 0 {
		say("the name must be one line of ordinary characters")
	}
	side := func(what string, l, most unit.Length) {
		if !(l >= 20*unit.CM && l <= most) {
			say("the %s of %.4g cm is outside 20 cm to %.4g cm", what, cm(l), cm(most))
		}
	}
	side("height", a.Inside.Height, 200*unit.CM)
	switch a.Shape {
	case "box", "bow-front":
		side("length", a.Inside.Length, 600*unit.CM)
		side("width", a.Inside.Width, 600*unit.CM)
		if a.Shape == "bow-front" && !(a.Inside.Bow > 0 && a.Inside.Bow <= a.Inside.Length/2) {
			say("the bow of %.4g cm must be above zero and at most half the length", cm(a.Inside.Bow))
		}
	case "cylinder":
		side("diameter", a.Inside.Diameter, 600*unit.CM)
	case "polygon":
		d := newDecoder("answers", nil)
		d.pos["outline"] = Position{}
		c := &checker{decoder: d}
		if c.polygon(a.Outline, "outline"); d.failed() {
			say("the outline cannot be used: %s", d.found[0].Message)
		} else if lo, hi := bounds(a.Outline); math.Abs(lo[0]) > edgeCM || math.Abs(lo[1]) > edgeCM || hi[0] < 20 || hi[1] < 20 || hi[0] > 600 || hi[1] > 600 {
			say("the outline must begin at x = 0 and y = 0 and reach 20 to 600 cm")
		} else if _, clear := deepest(a.Outline); clear < 5 {
			say("the outline must leave a place 10 cm wide")
		}
	default:
		say("the shape %q is none of %s", clip(a.Shape), strings.Join(shapes, ", "))
	}
	if a.WaterLevel != 0 && !(a.WaterLevel >= 15*unit.CM && a.WaterLevel <= a.Inside.Height) {
		say("the water level of %.4g cm is outside 15 cm to the inside height", cm(a.WaterLevel))
	}
	if a.Light != "low" && a.Light != "medium" && a.Light != "high" {
		say("the light %q is none of low, medium and high", clip(a.Light))
	}
	if kh := unit.DKH(a.TapKH); !(kh >= 0 && kh <= 40) {
		say("the tap's carbonate hardness of %.4g dKH is outside 0 to 40", kh)
	}
	if gh := unit.DGH(a.TapGH); !(gh >= 0 && gh <= 60) {
		say("the tap's hardness of %.4g dGH is outside 0 to 60", gh)
	}
	if x := float64(a.TapNitrate); !(x >= 0 && x <= 100) {
		say("the tap's nitrate of %.4g mg/L is outside 0 to 100; drinking water in many countries stays under 50", x)
	}
	if _, err := time.Parse(time.DateOnly, a.Planted); a.Planted != "" && err != nil {
		say("%q is not a date; write year, month and day, such as 2027-03-01", clip(a.Planted))
	}
	for _, s := range a.SeenFrom {
		switch s {
		case "front", "back", "left", "right", "all":
		default:
			say("one does not look from %q; write front, back, left, right or all", clip(s))
		}
	}
	if a.Style != "" && !setOf(styles)[a.Style] {
		say("the style %q is none of %s", clip(a.Style), strings.Join(styles, ", "))
	}
	return errors.Join(wrong...)
}

// What NewPlan reckons with.
const (
	// freeboard between water and rim: 2 to 4 cm is common practice, no source.
	newFreeboard = 3 * unit.CM
	// reach is the share of the light that enters the water which arrives at the bed. This program's own light field gives 0.80 to
	// 0.90 over a bed with stones and wood; the glass walls keep what has once entered.
	newReach = 0.85
	// netShare of the volume to the water level that is water: net over gross is 0.80 to 0.88, common practice, no source.
	newNetShare = 0.85
	// mediaShare of the net water, of the label volume of filters, our own choice: about 20 L for 1300 L.
	newMediaShare = 0.015
	// seeded is the share of the media that comes from a running filter; our own choice. With it nitrite is gone in about three weeks.
	newSeeded = 20 // %
	// One root tablet for 190 cm²: a published explainer of root fertilising, one for 30 square inches.
	newTabletArea = 0.019 // m²
	// Less than this is raised with salts; texts give GH 4 to 10 and KH 2 to 6, soft-water reds KH 0 to 3.
	newLeastGH, newLeastKH = 5.0, 2.0 // °dH
	// Salts that raise 1 L by one degree, g per 100 L by molar mass: NaHCO3 3.0 for KH, CaSO4·2H2O 3.1 and MgSO4·7H2O 4.4 for GH.
	newBicarbonate, newGypsum, newEpsom = 30.0, 31.0, 44.0 // mg/L for each degree
)

// NewPlan writes a plan to start from: commented, sound, and with every number explained that the practitioner will want to change.
// It reads without errors. An error says which answers cannot be used.
func NewPlan(a Answers) ([]byte, error) {
	if err := a.Check(); err != nil {
		return nil, err
	}
	w := newWriter(a)
	w.head()
	w.bed()
	w.hardscape()
	w.plants()
	w.light()
	w.waterAndGear()
	w.care()
	out := []byte(w.b.String())
	if _, err := Parse(out, "plan.yaml", nil); err != nil {
		return nil, fmt.Errorf("these answers make no sound plan: %w", err)
	}
	return out, nil
}

// writer holds what the parts of a new plan share.
type writer struct {
	a            Answers
	b            strings.Builder
	footprint    []PointCM
	lx, ly       float64 // cm
	deep         PointCM
	clear        float64 // cm, from the deepest place to the glass
	level        float64 // cm
	area         float64 // m²
	litres       float64 // net
	allRound     bool
	soil         bool    // an active soil, for gas or high light; else a rich base under gravel
	is           energy  // what the level of light and the gas ask for
	front, back  float64 // depth of the bed in cm at the front (or the edge) and at the back (or the middle)
	pure, kh, gh float64 // share of pure water; degrees of the change water
	planted      []*catalog.Species
}

func newWriter(a Answers) *writer {
	if a.Style == "" {
		a.Style = styles[0]
	}
	if len(a.SeenFrom) == 0 {
		a.SeenFrom = usualSides(a.Shape)
	}
	if a.WaterLevel == 0 {
		a.WaterLevel = a.Inside.Height - newFreeboard
	}
	w := &writer{a: a, level: math.Floor(min(cm(a.WaterLevel), cm(a.Inside.Height)-0.05)*10) / 10}
	t := Tank{Shape: a.Shape, Inside: a.Inside, Outline: a.Outline}
	w.footprint = t.FootprintCM()
	_, hi := bounds(w.footprint)
	w.lx, w.ly = hi[0], hi[1]
	w.deep, w.clear = deepest(w.footprint)
	w.area = area(w.footprint) / 1e4
	w.litres = w.area * w.level * 10 * newNetShare
	for _, s := range a.SeenFrom {
		w.allRound = w.allRound || s == "all" || s == "back"
	}
	w.soil = a.CO2 || a.Light == "high"
	w.is = energyOf(a.Light, a.CO2)
	w.front = math.Round(min(5, 0.14*w.level))
	w.back = math.Round(min(12, 0.25*w.level, w.front+0.2*max(w.ly, 10)))
	w.kh, w.gh = unit.DKH(a.TapKH), unit.DGH(a.TapGH)
	// Soft water suits most plants that want gas, and is where the gas lowers pH far enough; texts give KH 2 to 6. Without gas
	// the pH of hard water stands over what most species are kept in.
	if w.kh > newKH+1 {
		w.pure = math.Round(20*(1-newKH/w.kh)) / 20
	}
	w.kh *= 1 - w.pure
	w.gh *= 1 - w.pure
	return w
}

func (w *writer) line(format string, args ...any) { fmt.Fprintf(&w.b, format+"\n", args...) }

// n writes a number plainly.
func n(x float64) string { return strconv.FormatFloat(math.Round(x*100)/100, 'f', -1, 64) }

func (w *writer) head() {
	a := &w.a
	w.line("# A plan to start from. Change what you know better; \"littoral check\" tells what does not fit.")
	w.line("# Places are [x, y] in cm from the front-left inside corner: x to the right, y to the back. All else carries its unit.")
	w.line("littoral: 1")
	w.line("name: %s", quoteYAML(a.Name))
	if a.Planted != "" {
		w.line("planted: %q", a.Planted)
	} else {
		w.line("# planted: 2027-03-01     # sets the calendar under the day numbers")
	}
	w.line("# region: [EU]            # warns of plants that are banned or watched there")
	w.line("")
	w.line("tank:")
	w.line("  shape: %s", a.Shape)
	h := n(cm(a.Inside.Height))
	switch a.Shape {
	case "box":
		w.line("  inside: {length: %s cm, width: %s cm, height: %s cm}", n(cm(a.Inside.Length)), n(cm(a.Inside.Width)), h)
	case "bow-front":
		w.line("  inside: {length: %s cm, width: %s cm, height: %s cm, bow: %s cm}", n(cm(a.Inside.Length)), n(cm(a.Inside.Width)), h, n(math.Floor(min(100*cm(a.Inside.Bow), 50*cm(a.Inside.Length)-2))/100))
	case "cylinder":
		w.line("  inside: {diameter: %s cm, height: %s cm}", n(cm(a.Inside.Diameter)), h)
	case "polygon":
		w.line("  inside: {height: %s cm}", h)
		w.line("  outline: %s", outlineYAML(a.Outline))
	}
	w.line("  # glass: {thickness: %s mm, edges: rimless}   # left out, this usual thickness is taken; the maker decides", n(1000*float64(paneFor(a.Inside.Height, unit.Length(max(w.lx, w.ly))*unit.CM))))
	w.line("  water-level: %s cm", n(w.level))
	if !a.CO2 {
		w.line("  cover: glass          # little evaporates, so that the tap's hardness does not pile up")
	}
	w.line("  seen-from: [%s]", strings.Join(a.SeenFrom, ", "))
	w.line("")
}

// quoteYAML writes a text in double quotes, which JSON and YAML share.
func quoteYAML(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(s) + `"`
}

func outlineYAML(p []PointCM) string {
	parts := make([]string, len(p))
	for i, q := range p {
		parts[i] = fmt.Sprintf("[%s, %s]", strconv.FormatFloat(q[0], 'f', -1, 64), strconv.FormatFloat(q[1], 'f', -1, 64))
	}
	return "[" + strings.Join(parts, ", ") + "]"
}

func (w *writer) bed() {
	points := strings.Join(w.heights(), ", ")
	if w.soil {
		w.line("# An active soil feeds the roots for one to three years and softens the water at first; it needs the water changes below.")
		w.line("substrate:")
		w.line("  layers:")
		w.line("    - material: \"active soil, normal grain\"")
	} else {
		w.line("# A rich base under plain gravel: nothing that changes the water, something for the roots; tablets follow when it is spent (see care).")
		w.line("substrate:")
		w.line("  layers:")
		w.line("    - material: nutrient base")
		w.line("      depth: %s cm", n(newBase))
		w.line("    - material: quartz gravel")
	}
	w.line("      heights: {points: [%s]}", points)
	w.line("")
}

// heights puts the bed's surface through a few places: low at the front and high behind, or high in the middle.
func (w *writer) heights() []string {
	var at []PointCM
	switch {
	case w.a.Shape == "polygon" && len(w.footprint) <= 40:
		at = append(at, w.footprint...)
	default:
		step := max(1, len(w.footprint)/8)
		for i := 0; i < len(w.footprint); i += step {
			p := w.footprint[i]
			// A hair inside the glass, so that rounding does not carry a place out of it.
			hair := min(1, 0.15/math.Hypot(w.deep[0]-p[0], w.deep[1]-p[1]))
			at = append(at, PointCM{math.Round((p[0]+hair*(w.deep[0]-p[0]))*10) / 10, math.Round((p[1]+hair*(w.deep[1]-p[1]))*10) / 10})
		}
		if w.a.Shape == "box" {
			at = append([]PointCM(nil), w.footprint...)
		}
	}
	var out []string
	put := func(p PointCM, z float64) {
		out = append(out, fmt.Sprintf("[%s, %s, %s]", strconv.FormatFloat(p[0], 'f', -1, 64), strconv.FormatFloat(p[1], 'f', -1, 64), n(z)))
	}
	seen := map[PointCM]bool{}
	for _, p := range at {
		if seen[p] || !inside(w.footprint, p, edgeCM) {
			continue
		}
		seen[p] = true
		z := w.front + (w.back-w.front)*p[1]/w.ly
		if w.allRound {
			z = w.front
		}
		put(p, math.Round(z*10)/10)
	}
	if deep := (PointCM{math.Round(w.deep[0]*10) / 10, math.Round(w.deep[1]*10) / 10}); !seen[deep] {
		z := w.front + (w.back-w.front)*deep[1]/w.ly
		if w.allRound {
			z = min(w.back, w.front+0.3*w.clear) // a mound that stays: free soil holds 15 to 20 degrees
		}
		put(deep, math.Round(z*10)/10)
	}
	return out
}

func (w *writer) hardscape() {
	fx, fy := 0.60, 0.58 // near the golden section, behind the middle
	if w.allRound {
		fx, fy = 0.50, 0.50
	}
	// spot is the wished-for place, or one nearer to the deepest place that has so much room to the glass.
	spot := func(x, y, size, room float64) PointCM {
		p := fit(rect{x*w.lx - size/2, y*w.ly - size/2, x*w.lx + size/2, y*w.ly + size/2}, w.footprint, w.deep).centre()
		for move := 0.0; move < 1; move += 0.05 {
			q := PointCM{round1(p[0] + move*(w.deep[0]-p[0])), round1(p[1] + move*(w.deep[1]-p[1]))}
			if toEdge(w.footprint, q) >= room {
				return q
			}
		}
		return w.deep
	}
	small := min(w.lx, w.ly, 2*w.clear)
	root := func() {
		p := spot(fx, fy, 0.2*small, 0.6*w.clear)
		// A limb that rises reaches less far to the side than it is long: roots of 1.3 times the way to the glass stay inside, whatever their form.
		length := math.Floor(min(90, 0.42*w.lx, 1.3*toEdge(w.footprint, p)))
		w.line("  - id: main-root")
		w.line("    kind: wood")
		w.line("    material: heavy tropical driftwood")
		w.line("    shape: {branch: {length: %s cm, height: %s cm, thick: %s cm, limbs: 4}}", n(length), n(w.rootHigh()), n(max(2, math.Round(0.11*length))))
		w.line("    at: [%s, %s]", n(p[0]), n(p[1]))
		w.line("    turn: 25°")
	}
	stone := func(id string, x, y, share, high float64, turn int) {
		l := max(5, math.Round(share*small))
		p := spot(x, y, 0.6*l, min(0.6*l, 0.9*w.clear))
		w.line("  - id: %s", id)
		w.line("    kind: stone")
		w.line("    material: basalt")
		w.line("    shape: {boulder: {length: %s cm, width: %s cm, height: %s cm, roughness: 0.5}}", n(l), n(max(4, math.Round(0.7*l))), n(max(4, math.Round(min(high, 0.9*l)))))
		w.line("    at: [%s, %s]", n(p[0]), n(p[1]))
		w.line("    turn: %d°", turn)
		w.line("    sink: 2 cm")
	}
	switch w.a.Style {
	case "garden":
		return
	case "stones":
		w.line("# Buy a third more stone than is used, to choose from. Big stones stand on a mat on the glass, never on loose soil.")
		w.line("hardscape:")
		stone("main-stone", 0.62, 0.58, 0.40, 0.62*w.level, 15)
		stone("second-stone", 0.30, 0.62, 0.26, 0.36*w.level, 40)
		stone("side-stone", 0.82, 0.38, 0.18, 0.22*w.level, 70)
	case "jungle":
		w.line("# Wood that floats is held down by stone or screwed to slate.")
		w.line("hardscape:")
		root()
	default:
		w.line("# Wood that floats is held down by stone or screwed to slate; stones stand on a mat on the glass, never on loose soil.")
		w.line("hardscape:")
		root()
		stone("main-stone", fx-0.22, fy-0.14, 0.30, 0.28*w.level, 30)
	}
	w.line("")
}

// rootHigh is the height of the main root in cm: with the bed below it about two thirds of the water; hardscape of 50 to 70 % of the
// tank's height is common practice, no source.
func (w *writer) rootHigh() float64 { return math.Round(0.4 * w.level) }

func (w *writer) plants() {
	roles := layouts[w.a.Style].oneSided
	if w.allRound {
		roles = layouts[w.a.Style].allRound
	}
	w.line("# Pots are reckoned from the area and the trade's usual density. Order a tenth more.")
	w.line("plants:")
	used := map[string]bool{}
	for _, r := range roles {
		column := w.level - w.front
		switch {
		case r.on == "main-root":
			column = w.level - w.back - w.rootHigh()
		case r.on != "":
			column = w.level - w.back - 0.28*w.level
		}
		s := w.choose(r.kind, column, used)
		used[s.Name] = true
		w.planted = append(w.planted, s)
		w.line("  # %s: grows %s to %s cm high.", r.what, n(s.HeightCM.Min), n(s.HeightCM.Max))
		density := w.density(s)
		switch {
		case r.on != "":
			// Epiphytes cover about a fifth of the hardscape's upper side, which is about a tenth of the floor.
			w.line("  - {species: %s, pots: %d, on: %s}", s.Name, pots(0.06*w.area*density), r.on)
		default:
			q := w.ground(r.where)
			w.line("  - {species: %s, pots: %d, in: %s}", s.Name, pots(area(q)/1e4*density+w.more()), outlineYAML(q))
		}
	}
	w.line("")
}

// density is how many pots go on a square metre: within the catalogue's range three quarters up, and at its upper end without gas,
// where little grows in.
func (w *writer) density(s *catalog.Species) float64 {
	r := s.PotsM2
	if r.Max <= 0 {
		return 20
	}
	if !w.a.CO2 {
		return r.Max
	}
	return r.Min + 0.75*(r.Max-r.Min)
}

// more rounds pots up where little grows in.
func (w *writer) more() float64 {
	if w.a.CO2 {
		return 0
	}
	return 0.4
}

func pots(x float64) int { return int(max(1, min(400, math.Round(x)))) }

// ghIn is the hardness in the tank once salts are in the change water.
func (w *writer) ghIn() float64 { return max(w.gh, newLeastGH) }
