package plan

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"

	"littoral/internal/catalog"
	"littoral/internal/unit"
)

// Answers is what NewPlan asks to know.
type Answers struct {
	Name       string      // what the tank is called
	Shape      string      // box, cylinder, bow-front or polygon
	Inside     Inside      // the inner measures that the shape has; 20 cm to 6 m, height to 2 m
	Outline    []PointCM   // polygon only
	WaterLevel unit.Length // 0 = a little below the rim
	Light      string      // low, medium or high
	CO2        bool
	TapKH      unit.Alkalinity
	TapGH      unit.Hardness
	SeenFrom   []string // front, back, left, right, all; none = front
	Style      string   // nature, garden, stones or jungle; "" = nature
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
		say("the shape %q is none of box, cylinder, bow-front and polygon", clip(a.Shape))
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
	// reach is the share of a panel's photons that arrives at the bed. A photon tracer gives 0.44 to 0.48 for a panel 30 cm above
	// a tank of 90x45 cm with 42 cm of water; hung at 20 cm it is a little more, shaded by hardscape a little less.
	newReach = 0.45
	// netShare of the volume to the water level that is water: net over gross is 0.80 to 0.88, common practice, no source.
	newNetShare = 0.85
	// turnover of the label flow divided by what a filter truly gives: 4 to 6 an hour is common practice, no source.
	newTurnover = 5.0
	// mediaShare of the net water, of the label volume of filters, our own choice: about 20 L for 1300 L.
	newMediaShare = 0.015
	// One root tablet for 190 cm²: a published explainer of root fertilising, one for 30 square inches.
	newTabletArea = 0.019 // m²
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
	soil         bool    // an active soil, for gas or high light
	front, back  float64 // depth of the bed in cm at the front (or the edge) and at the back (or the middle)
	pure, kh, gh float64 // share of pure water; degrees of the change water
	planted      []*catalog.Species
	tablets      int
}

func newWriter(a Answers) *writer {
	if a.Style == "" {
		a.Style = styles[0]
	}
	if len(a.SeenFrom) == 0 {
		a.SeenFrom = []string{"front"}
		if a.Shape == "cylinder" {
			a.SeenFrom = []string{"all"}
		}
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
	w.front = math.Round(min(5, 0.14*w.level))
	w.back = math.Round(min(12, 0.25*w.level, w.front+0.2*max(w.ly, 10)))
	w.kh, w.gh = unit.DKH(a.TapKH), unit.DGH(a.TapGH)
	// Soft water suits most plants that want gas, and is where the gas lowers pH far enough; texts give KH 2 to 6.
	if w.kh > 7 && a.CO2 {
		w.pure = math.Round(20*(1-5/w.kh)) / 20
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
	w.line("# planted: 2027-03-01     # sets the calendar under the day numbers")
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

func rectYAML(r rect) string {
	return fmt.Sprintf("[[%s, %s], [%s, %s], [%s, %s], [%s, %s]]", n(r[0]), n(r[1]), n(r[2]), n(r[1]), n(r[2]), n(r[3]), n(r[0]), n(r[3]))
}

func (w *writer) bed() {
	material := "quartz gravel"
	if w.soil {
		material = "active soil, normal grain"
		w.line("# An active soil feeds the roots for one to three years and softens the water at first; it needs the water changes below.")
	} else {
		w.line("# A plain gravel lasts; the roots are fed by tablets (see care).")
	}
	points := w.heights()
	w.line("substrate:")
	w.line("  layers:")
	w.line("    - material: %q", material)
	w.line("      heights: {points: [%s]}", strings.Join(points, ", "))
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
	spot := func(x, y, size float64) PointCM {
		r := fit(rect{x*w.lx - size/2, y*w.ly - size/2, x*w.lx + size/2, y*w.ly + size/2}, w.footprint, w.deep)
		return r.centre()
	}
	small := min(w.lx, w.ly)
	root := func() {
		length := math.Round(min(90, 0.42*w.lx, 0.95*w.ly))
		p := spot(fx, fy, 0.2*small)
		w.line("  - id: main-root")
		w.line("    kind: wood")
		w.line("    material: heavy tropical driftwood")
		w.line("    shape: {branch: {length: %s cm, height: %s cm, thick: %s cm, limbs: 4}}", n(length), n(math.Round(0.5*w.level)), n(max(2, math.Round(0.11*length))))
		w.line("    at: [%s, %s]", n(p[0]), n(p[1]))
		w.line("    turn: 25°")
	}
	stone := func(id string, x, y, share, high float64, turn int) {
		l := max(5, math.Round(share*small))
		p := spot(x, y, 0.6*l)
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

func (w *writer) plants() {
	roles := layouts[w.a.Style].oneSided
	if w.allRound {
		roles = layouts[w.a.Style].allRound
	}
	w.line("# Pots are reckoned from the area and the trade's usual density. Order a tenth more.")
	w.line("plants:")
	used := map[string]bool{}
	column := w.level - w.front
	for _, r := range roles {
		s := w.a.choose(r.kind, w.ghIn(), column, used)
		used[s.Name] = true
		w.planted = append(w.planted, s)
		w.line("  # %s: grows %s to %s cm high.", r.what, n(s.HeightCM.Min), n(s.HeightCM.Max))
		density := s.PotsM2.Mid()
		if density <= 0 {
			density = 20
		}
		switch {
		case r.kind == "float":
			w.line("  - {species: %s, pots: %d, afloat: true}", s.Name, pots(0.15*w.area*density))
		case r.on != "":
			// Epiphytes cover about a fifth of the hardscape's upper side, which is about a tenth of the floor.
			w.line("  - {species: %s, pots: %d, on: %s}", s.Name, pots(0.06*w.area*density), r.on)
		default:
			q := fit(rect{r.where[0] * w.lx, r.where[1] * w.ly, r.where[2] * w.lx, r.where[3] * w.ly}, w.footprint, w.deep)
			w.line("  - {species: %s, pots: %d, in: %s}", s.Name, pots(q.area()*density), rectYAML(q))
		}
	}
	w.line("")
}

func pots(x float64) int { return int(max(1, min(400, math.Round(x)))) }

// ghIn is the hardness in the tank once salts are in the change water.
func (w *writer) ghIn() float64 { return max(w.gh, 3) }

func (w *writer) light() {
	target := DefaultHouse().Light[w.a.Light].House
	total := target * w.area / newReach
	across := int(max(1, math.Round(w.lx/75)))
	deepRows := 1
	if w.ly > 80 {
		deepRows = int(math.Round(w.ly / 60))
	}
	each := total / float64(across*deepRows)
	ppf := max(2, math.Round(each/5)*5)
	sx, sy := min(55, 0.7*w.lx/float64(across)), min(20, 0.5*w.ly/float64(deepRows))
	high := 20.0
	w.line("# %s light: about %s µmol/m²/s at the bed, if %s %% of the lamps' light arrives there. Electricity beside water: local codes and a", strings.ToUpper(w.a.Light[:1])+w.a.Light[1:], n(target), n(100*newReach))
	w.line("# licensed electrician decide on circuits and protection.")
	w.line("lamps:")
	for j := range deepRows {
		for i := range across {
			w.line("  - {kind: panel, at: [%s, %s], above-water: %s cm, size: %sx%s cm, ppf: %s µmol/s, beam: 110°}",
				n(w.lx*(float64(i)+0.5)/float64(across)), n(w.ly*(float64(j)+0.5)/float64(deepRows)), n(high), n(math.Round(sx)), n(math.Round(sy)), n(ppf))
		}
	}
	w.line("")
	w.line("# Short days while the tank is young, then half an hour more each week.")
	w.line("light-day:")
	last := 8.0
	if w.a.Light == "low" {
		last = 7.5
	}
	w.line("  - {until: day 21, on: \"11:00\", hours: 6, dim: 60 %%, ramp: 20 min}")
	day := 21
	for h := 6.5; h < last; h += 0.5 {
		dim := 70 + int((h-6.5)*2)*10
		w.line("  - {from: day %d, until: day %d, on: \"11:00\", hours: %s, dim: %d %%, ramp: 20 min}", day, day+7, n(h), dim)
		day += 7
	}
	w.line("  - {from: day %d, on: \"11:00\", hours: %s, ramp: 20 min}", day, n(last))
	w.line("")
	if w.a.CO2 {
		w.line("# The gas goes on two hours before the light, so that the target is met when the light comes on, and off an hour before dusk.")
		w.line("# Compressed gas in closed rooms is dangerous: fix the cylinder, keep the room aired, and follow local codes.")
		w.line("co2:")
		w.line("  - {until: day 42, target: 25 mg/L, on: \"09:00\", off: \"16:00\"}")
		w.line("  - {from: day 42, target: 25 mg/L, on: \"09:00\", off: \"18:00\"}")
		w.line("")
	}
}

func (w *writer) waterAndGear() {
	w.line("# Tap water as analysed. More lines of the water report make the forecast better: calcium, magnesium, nitrate, phosphate, …")
	w.line("water:")
	w.line("  tap: {alkalinity: %s dKH, hardness: %s dGH, tempered: true}", n(unit.DKH(w.a.TapKH)), n(unit.DGH(w.a.TapGH)))
	if w.pure > 0 {
		w.line("  mix: {pure: %s %%}       # brings the change water to about %s dKH and %s dGH", n(100*w.pure), n(w.kh), n(w.gh))
	}
	var salts []string
	if short := 3 - w.gh; short > 0.2 {
		salts = append(salts, fmt.Sprintf("{salt: CaSO4·2H2O, dose: %s mg/L}", n(math.Round(0.75*short*newGypsum))), fmt.Sprintf("{salt: MgSO4·7H2O, dose: %s mg/L}", n(math.Round(0.25*short*newEpsom))))
	}
	if short := 2 - w.kh; short > 0.2 {
		salts = append(salts, fmt.Sprintf("{salt: NaHCO3, dose: %s mg/L}", n(math.Round(short*newBicarbonate))))
	}
	if len(salts) > 0 {
		w.line("  # Very soft water gets what plants and the pH need.")
		w.line("  salts: [%s]", strings.Join(salts, ", "))
	}
	w.line("")
	flow := w.litres * newTurnover / float64(defaultReal)
	media := max(0.3, math.Round(w.litres*newMediaShare*10)/10)
	count := int(math.Ceil(flow / 4000))
	w.line("# Label flow for %s turnovers an hour of about %s L, because a filter gives about %s %% of its label.", n(newTurnover), n(math.Round(w.litres)), n(100*float64(defaultReal)))
	w.line("filter:")
	for range count {
		w.line("  - {flow: %s L/h, media: %s L, fine: true}", n(max(50, math.Round(flow/float64(count)/50)*50)), n(max(0.3, math.Round(10*media/float64(count))/10)))
	}
	// 0.2 to 0.4 W/L for large tanks in heated rooms, 0.5 to 1 for small ones: common practice, no source.
	perLitre := 0.3 + 0.4*math.Exp(-w.litres/150)
	w.line("heater: {power: %s W, set: 24 °C}", n(max(25, math.Round(w.litres*perLitre/25)*25)))
	w.line("")
	w.line("# Animals come late: grazers from week 4, fish from week 6, once ammonium and nitrite are gone twice in a row.")
	w.line("# livestock:")
	w.line("#   - {species: Caridina multidentata, count: 10, from: week 4}")
	w.line("#   - {species: Paracheirodon innesi, count: 20, from: week 6}")
	w.line("# feeding: {from: week 6, dry-food: 0.3 g/day}")
	w.line("")
}

func (w *writer) care() {
	w.line("care:")
	switch {
	case w.soil:
		w.line("  # A new soil gives off ammonium: many changes at first.")
		w.line("  - {every: 2 days, until: day 14, do: water-change, share: 50 %%}")
		w.line("  - {every: 3 days, from: day 14, until: day 28, do: water-change, share: 50 %%}")
		w.line("  - {every: week, from: day 28, do: water-change, share: 40 %%}")
	case w.a.Light == "low":
		w.line("  - {every: 3 days, until: day 28, do: water-change, share: 25 %%}")
		w.line("  - {every: 2 weeks, from: day 28, do: water-change, share: 30 %%}")
	default:
		w.line("  - {every: 3 days, until: day 28, do: water-change, share: 25 %%}")
		w.line("  - {every: week, from: day 28, do: water-change, share: 30 %%}")
	}
	// Weekly doses in mg/L. Rich with a 40 to 50 % change: NO3 15–30, PO4 1.5–4, Fe 0.3–0.7; low energy a fifth to a third of it.
	no3, po4, fe := 4.0, 0.4, 0.08
	switch {
	case w.a.CO2 && w.a.Light == "high":
		no3, po4, fe = 18, 1.8, 0.4
	case w.a.CO2:
		no3, po4, fe = 12, 1.2, 0.3
	case w.a.Light != "low":
		no3, po4, fe = 7, 0.7, 0.15
	}
	from := 7
	if w.soil {
		from = 21
	}
	// g = mg/L · L / 1000 · molar mass of the salt over that of the ion (KNO3 101.1/62.0, KH2PO4 136.1/95.0), every second day.
	share := w.litres / 1000 / 3.5
	w.line("  # About %s mg/L nitrate, %s phosphate and %s iron a week; lower it when readings rise.", n(no3), n(po4), n(fe))
	w.line("  - {every: 2 days, from: day %d, do: dose, salts: {KNO3: %s g, KH2PO4: %s g, iron: %s g}}", from, grams(no3*share*101.1/62.0), grams(po4*share*136.1/95.0), grams(fe*share))
	seen := map[string]bool{}
	for _, s := range w.planted {
		if seen[s.Name] {
			continue
		}
		seen[s.Name] = true
		weeks := int(max(1, math.Round(s.TrimWeeks.Mid())))
		switch {
		case s.Form == catalog.Stem && s.HeightCM.Max > 15:
			w.line("  - {every: %s, from: day 28, do: trim, species: %s, to: %s cm}", everyWeeks(weeks), s.Name, n(max(5, math.Round(min(0.5*(w.level-w.back), 0.6*s.HeightCM.Max)))))
		case s.Form == catalog.Stem || s.Form == catalog.Carpet:
			w.line("  - {every: %s, from: day 56, do: trim, species: %s, to: %s cm}", everyWeeks(weeks), s.Name, n(max(2, math.Round(0.5*s.HeightCM.Max))))
		case s.Form == catalog.Runner:
			w.line("  - {every: %s, from: day 84, do: thin, species: %s, share: 25 %%}", everyWeeks(weeks), s.Name)
		case s.Form == catalog.Moss || s.Form == catalog.Floating:
			w.line("  - {every: %s, from: day 42, do: trim, species: %s, share: 40 %%}", everyWeeks(weeks), s.Name)
		}
	}
	tablets := int(max(2, math.Round(0.6*w.area/newTabletArea)))
	if w.soil {
		w.line("  # The soil feeds the roots through the first nine months.")
		w.line("  - {every: 3 months, from: day 270, do: root-feed, tablets: %d, tablet: plain, where: thin}", tablets)
	} else {
		w.line("  - {every: 3 months, from: day 28, do: root-feed, tablets: %d, tablet: plain, where: thin}", tablets)
	}
	w.line("  - {every: week, do: glass}")
	w.line("  - {every: 2 weeks, from: day 14, do: siphon}")
	w.line("  - {every: 6 weeks, do: filter-clean}")
}

func everyWeeks(n int) string {
	if n == 1 {
		return "week"
	}
	return fmt.Sprintf("%d weeks", n)
}

// grams writes a mass in grams with two digits that count, and never as nothing.
func grams(x float64) string {
	x = max(x, 0.001)
	digits := int(max(0, 1-math.Floor(math.Log10(x))))
	return strconv.FormatFloat(x, 'f', digits, 64)
}
