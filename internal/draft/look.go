package draft

import (
	"fmt"
	"littoral/internal/catalog"
	"littoral/internal/geometry"
	"littoral/internal/growth"
	"littoral/internal/light"
	"littoral/internal/plan"
	"littoral/internal/unit"
	"maps"
	"math"
	"slices"
	"strings"
)

// What the checks hold a plan against. All common practice, no source, unless a comment says more.
const (
	armCM       = 70.0 // an arm over the rim reaches 60 to 70 cm
	easyCM      = 60.0
	scraperCM   = 5.0 // a scraper wants 5 to 8 cm between hardscape and glass
	touchCM     = 0.5 // nearer than this a stone may touch when it settles
	shareSpan   = 0.5 // two plants whose grown spreads overlap by more than half take each other's light and room
	glassSpan   = 0.3 // a plant nearer to the glass than so much of its grown spread lies flat against it
	deepRootsCM = 6.0 // bed under large root feeders, which take 6 to 10 cm
	rootsCM     = 4.0 // under other plants that feed by roots
	lowRootsCM  = 2.5 // under carpets
	tallCM      = 20.0
	paleLight   = 0.8 // light under so much of the least a species thrives in is too little: the tables of needs differ by more than the rest
	brightLight = 2.0 // light over so much of the most it thrives in is too much for a slow plant, on which algae then grow
	loadShare   = 0.9 // of what the floor is stated to carry
)

// Lit is the light of a tank's lamps in the light that they are run at, without plants. It is made once and used while plants are moved.
type Lit struct {
	field *light.Field
	level float64 // share of full power
}

// Light solves the light of the lamps in the tank without plants, coarsely: about a tenth of its cost later on. It is nil where the plan has no usable lamps.
func (d *Draft) Light() *Lit {
	src, err := light.Sources(d.Plan, d.Model.Tank)
	if err != nil || len(src) == 0 {
		return nil
	}
	water := light.WaterOf(d.Plan)
	opt := water.Over(light.Options{Ripples: d.Plan.Tank.Ripples, MaxEmitters: len(src)})
	l := &Lit{field: light.NewSolver(src, d.Voxels, d.Model.Tank, opt).Solve(nil, nil, water.Absorption, nil), level: 1}
	if n := len(d.Plan.LightDay); n > 0 {
		l.level = d.Plan.LightDay[n-1].Level()
	}
	return l
}

// At is the PPFD at a place in m, µmol m⁻² s⁻¹; that just above where the place lies in the bed or a stone. 0 outside the glass.
func (l *Lit) At(x, y, z float64) float64 {
	f := l.field
	ix, iy, iz := int(x/f.Cell), int(y/f.Cell), int(z/f.Cell)
	if x < 0 || y < 0 || ix >= f.NX || iy >= f.NY {
		return 0
	}
	for iz = max(iz, 0); iz < f.NZ; iz++ {
		if v := f.PPFD[(iz*f.NY+iy)*f.NX+ix]; v > 0 {
			return l.level * v
		}
	}
	return 0
}

// Look says what is to be said of items, by their ids; none are all items and the tank as a whole. lit may be nil, and then nothing is said of light.
// The answer depends on the plan alone, in the order of the plan.
func (d *Draft) Look(ids []string, lit *Lit) []BoardNote {
	v := &viewer{Draft: d, lit: lit, all: len(ids) == 0, wanted: map[string]bool{}}
	for _, id := range ids {
		v.wanted[id] = true
	}
	for i := range d.Model.Solids {
		if s := &d.Model.Solids[i]; v.all || v.wanted[s.ID] {
			v.piece(s)
		}
	}
	v.crowd()
	for i := range d.Plan.Plants {
		if p := &d.Plan.Plants[i]; v.all || v.wanted[p.ID] {
			v.planting(p)
		}
	}
	v.animals()
	v.slope()
	if v.all {
		v.weight()
		v.built()
	}
	return v.notes
}

// viewer collects notes.
type viewer struct {
	*Draft
	lit    *Lit
	all    bool
	wanted map[string]bool
	notes  []BoardNote

	beside map[string]neighbour // of plantings, the one that stands closest for its spread
}

func (v *viewer) say(kind, severity string, ids []string, at [3]float64, text, cure string) {
	v.notes = append(v.notes, BoardNote{ID: kind + ":" + strings.Join(ids, "+"), IDs: ids, Kind: kind, Severity: severity, Text: text, Cure: cure, AtCM: place(at)})
}

// length writes centimetres in the house's units.
func (v *viewer) length(cm float64) string {
	system := unit.Metric
	if v.Plan.House != nil && v.Plan.House.Units == "US" {
		system = unit.US
	}
	return unit.FormatDigits(unit.KindLength, cm/100, system, 2)
}

func (v *viewer) piece(s *geometry.Solid) {
	gap, at := v.Model.Gap(s)
	name := "The stone"
	if s.Kind == "wood" {
		name = "The wood"
	}
	standing := at[2] < v.Model.Tank.WaterLevel
	switch {
	case 100*gap < touchCM && s.Kind == "stone":
		v.say(KindClear, Warning, []string{s.ID}, at, name+" touches the glass. Stone that settles against a pane scratches it and can break it.", "Move it at least "+v.length(scraperCM)+" inward.")
	case 100*gap < scraperCM && standing:
		v.say(KindClear, Hint, []string{s.ID}, at, fmt.Sprintf("%s stands %s from the glass. A scraper wants %s to %s.", name, v.length(math.Max(0, 100*gap)), v.length(scraperCM), v.length(8)), "Move it inward, or clean the pane there by hand.")
	}
	if s.Max[2] > v.Model.Tank.Height {
		v.say(KindHeight, Hint, []string{s.ID}, s.Max, name+" rises above the rim.", "Sink it, lay it lower or take a smaller one if a cover has to close.")
	}
}

// grows are plants of which height and span are spoken: not mats, and not what floats.
func grows(sp *catalog.Species) bool {
	return sp.Form != catalog.Carpet && sp.Form != catalog.Moss && sp.Form != catalog.Floating
}

func (v *viewer) planting(p *plan.Planting) {
	sp, ok := v.Plan.Cat.Species(p.Species)
	spots := v.Places[p.ID]
	if !ok || len(spots) == 0 || p.Afloat {
		return
	}
	ids := []string{p.ID}
	t := &v.Model.Tank
	// The place with the least water over it speaks for the planting, and so on.
	top, deep, far, dark, bare, side := spots[0], spots[0], spots[0], spots[0], spots[0], spots[0]
	reach := func(s growth.Spot) float64 { return v.reach(s) }
	lightAt := func(s growth.Spot) float64 {
		return v.lit.At(s.X, s.Y, s.Z+min(sp.HeightCM.Mid()/200, max(0, (t.WaterLevel-s.Z)/2)))
	}
	for _, s := range spots {
		if s.Z > top.Z {
			top = s
		}
		if s.Z < deep.Z {
			deep = s
		}
		if reach(s) > reach(far) {
			far = s
		}
		if v.lit != nil && lightAt(s) < lightAt(dark) {
			dark = s
		}
		if v.roots(s) < v.roots(bare) {
			bare = s
		}
		if t.WallDistance(s.X, s.Y) < t.WallDistance(side.X, side.Y) {
			side = s
		}
	}
	at := func(s growth.Spot) [3]float64 { return [3]float64{s.X, s.Y, s.Z} }
	water := 100 * (t.WaterLevel - top.Z)
	if grows(sp) {
		tall := fmt.Sprintf("%s grows %s to %s tall; %s of water stand over it here.", sp.Name, v.length(sp.HeightCM.Min), v.length(sp.HeightCM.Max), v.length(max(0, water)))
		switch {
		case water <= 0:
			v.say(KindHeight, Warning, ids, at(top), sp.Name+" would stand out of the water here.", "Set it lower.")
		case sp.HeightCM.Min > water && sp.Form != catalog.Stem && sp.Form != catalog.Lily && sp.Form != catalog.Runner:
			v.say(KindHeight, Warning, ids, at(top), tall, "Set it where the bed is lower, or take a smaller kind.")
		case sp.HeightCM.Mid() > water:
			cure := "Cut it in time, or set it where the bed is lower."
			if sp.Form == catalog.Lily || sp.Form == catalog.Runner {
				cure = "Its leaves will lie along the surface and shade what stands below; thin them, or take a smaller kind."
			}
			v.say(KindHeight, Hint, ids, at(top), tall, cure)
		}
		if wall := 100 * t.WallDistance(side.X, side.Y); wall < glassSpan*sp.SpreadCM.Min && p.On == "" {
			v.say(KindSpan, Hint, ids, at(side), fmt.Sprintf("%s spreads over %s to %s and stands %s from the glass.", sp.Name, v.length(sp.SpreadCM.Min), v.length(sp.SpreadCM.Max), v.length(max(0, wall))), "Set it further in, or its leaves lie flat against the pane and hinder cleaning.")
		}
		if n, ok := v.beside[p.ID]; ok {
			v.say(KindSpan, Hint, []string{p.ID, n.planting}, at(n.at), fmt.Sprintf("%s and %s stand %s apart; grown they spread over %s and %s at least.", sp.Name, n.species, v.length(100*n.apart), v.length(sp.SpreadCM.Min), v.length(n.spread)), "Set them further apart, or plan to thin one of them.")
		}
	}
	if v.lit != nil && sp.PAR.Min > 0 {
		got := lightAt(dark)
		slow := sp.Speed == "slow" || sp.Speed == "very slow"
		text := fmt.Sprintf("%s thrives in %.0f to %.0f µmol/m²/s; here it gets about %.0f before other leaves shade it.", sp.Name, sp.PAR.Min, sp.PAR.Max, got)
		switch {
		case got < paleLight*sp.PAR.Min:
			v.say(KindLight, Warning, ids, at(dark), text, "Set it under a lamp, out of the shade of stones and wood, or take a kind for less light.")
		case slow && got > brightLight*sp.PAR.Max:
			v.say(KindLight, Hint, ids, at(dark), text, "Algae grow on slow leaves in bright light; set it in the shade of wood or of other plants.")
		}
	}
	if p.On == "" && sp.Form != catalog.Rhizome && sp.Form != catalog.Moss && sp.Form != catalog.Floating && sp.Feeder != "leaf" {
		want := rootsCM
		switch {
		case sp.Form == catalog.Carpet:
			want = lowRootsCM
		case sp.HeightCM.Max >= tallCM && sp.Feeder == "root":
			want = deepRootsCM
		}
		if have := 100 * v.roots(bare); have < want-0.05 {
			v.say(KindRoots, Hint, ids, at(bare), fmt.Sprintf("The bed is %s deep here; %s roots in %s or more.", v.length(max(0, have)), sp.Name, v.length(want)), "Raise the ground, or set it where the bed is deeper.")
		}
	}
	if cm := 100 * reach(far); cm > armCM {
		v.say(KindReach, Warning, ids, at(far), fmt.Sprintf("From the nearest rim it is %s to here; an arm reaches %s to %s.", v.length(cm), v.length(easyCM), v.length(armCM)), "Work here takes long tools or lower water; set what needs much care nearer to the rim.")
	}
}

// roots is how deep the bed is at a place, m.
func (v *viewer) roots(s growth.Spot) float64 { return v.Model.Ground.Height(s.X, s.Y) }

// reach is how far a hand has to go from the nearest rim to a place, m: down the pane and inward. The tank is reached from every side.
func (v *viewer) reach(s growth.Spot) float64 {
	t := &v.Model.Tank
	return math.Hypot(max(0, t.WallDistance(s.X, s.Y)), max(0, t.Height-s.Z))
}

// neighbour is a planting that stands too close.
type neighbour struct {
	planting, species string
	apart             float64 // m
	spread            float64 // least grown, cm
	at                growth.Spot
	tight             float64 // apart over what both need
}

// crowd finds for each planting that is looked at the other that stands closest, measured by what both spread.
func (v *viewer) crowd() {
	type pot struct {
		growth.Spot
		planting int
	}
	plants := v.Plan.Plants
	species := make([]*catalog.Species, len(plants))
	widest := 0.0
	for i := range plants {
		if sp, ok := v.Plan.Cat.Species(plants[i].Species); ok && grows(sp) && !plants[i].Afloat {
			species[i] = sp
			widest = max(widest, sp.SpreadCM.Min/100)
		}
	}
	if widest == 0 {
		return
	}
	cell := max(widest*shareSpan, 0.02)
	grid := map[[2]int][]pot{}
	key := func(s growth.Spot) [2]int { return [2]int{int(math.Floor(s.X / cell)), int(math.Floor(s.Y / cell))} }
	for i := range plants {
		if species[i] != nil {
			for _, s := range v.Places[plants[i].ID] {
				grid[key(s)] = append(grid[key(s)], pot{s, i})
			}
		}
	}
	v.beside = map[string]neighbour{}
	for i := range plants {
		id := plants[i].ID
		if species[i] == nil || !v.all && !v.wanted[id] {
			continue
		}
		for _, s := range v.Places[id] {
			k := key(s)
			for dy := -1; dy <= 1; dy++ {
				for dx := -1; dx <= 1; dx++ {
					for _, q := range grid[[2]int{k[0] + dx, k[1] + dy}] {
						if q.planting == i || species[q.planting].Name == species[i].Name { // one kind may stand as densely as one likes
							continue
						}
						need := shareSpan * (species[i].SpreadCM.Min + species[q.planting].SpreadCM.Min) / 200
						apart := math.Sqrt((s.X-q.X)*(s.X-q.X) + (s.Y-q.Y)*(s.Y-q.Y) + (s.Z-q.Z)*(s.Z-q.Z))
						tight := apart / need
						old, known := v.beside[id]
						if tight < 1 && (!known || tight < old.tight) {
							v.beside[id] = neighbour{plants[q.planting].ID, species[q.planting].Name, apart, species[q.planting].SpreadCM.Min, s, tight}
						}
					}
				}
			}
		}
	}
	if !v.all {
		return
	}
	for _, id := range slices.Sorted(maps.Keys(v.beside)) { // of two that crowd each other one speaks
		n, ok := v.beside[id]
		if back, both := v.beside[n.planting]; ok && both && back.planting == id && id > n.planting {
			delete(v.beside, id)
		}
	}
}

// tough are plants that animals with a taste for leaves leave alone: hard or bitter leaves tied to wood and stone.
func tough(sp *catalog.Species) bool { return sp.Form == catalog.Rhizome }

func (v *viewer) animals() {
	done := map[string]bool{}
	for i := range v.Plan.Livestock {
		a, ok := v.Plan.Cat.Animal(v.Plan.Livestock[i].Species)
		if !ok || !a.EatsPlants || done[a.Name] {
			continue
		}
		done[a.Name] = true
		var ids []string
		var at [3]float64
		for k := range v.Plan.Plants {
			p := &v.Plan.Plants[k]
			sp, known := v.Plan.Cat.Species(p.Species)
			if !known || tough(sp) || !v.all && !v.wanted[p.ID] {
				continue
			}
			if s := v.Places[p.ID]; len(ids) == 0 && len(s) > 0 {
				at = [3]float64{s[0].X, s[0].Y, s[0].Z}
			}
			ids = append(ids, p.ID)
		}
		if len(ids) > 0 {
			v.say(KindAnimal, Warning, ids, at, fmt.Sprintf("%s is planned for this tank. What it does to plants: %s.", a.Name, a.Plants), "Plant ferns, Anubias and their like, or leave the animal out.")
		}
	}
}

// slope speaks of the steepest ground that no stone or wood covers.
func (v *viewer) slope() {
	repose := v.repose()
	if repose == 0 || !v.all && !v.wanted[GroundID] {
		return
	}
	g := v.shape
	steep, at := 0.0, -1
	for i, s := range g.slope {
		if s <= steep {
			continue
		}
		x, y := float64(i%g.nx)*g.dx, float64(i/g.nx)*g.dy
		if v.Model.Tank.Contains(x, y) && !v.covered(x, y) {
			steep, at = s, i
		}
	}
	if steep <= repose {
		return
	}
	x, y := float64(at%g.nx)*g.dx, float64(at/g.nx)*g.dy
	v.say(KindSlope, Warning, []string{GroundID}, [3]float64{x, y, v.Model.Ground.Height(x, y)}, fmt.Sprintf("The ground rises at %.0f° here; this bed holds %.0f° under water and slides when it is steeper.", steep, repose), "Lower the rise, spread it over more ground, or hold it with stones set along it.")
}

// GroundID names the bed among the items that notes speak of.
const GroundID = "ground"

// covered tells whether a piece lies over a place.
func (v *viewer) covered(x, y float64) bool {
	for i := range v.Model.Solids {
		s := &v.Model.Solids[i]
		if x < s.Min[0] || x > s.Max[0] || y < s.Min[1] || y > s.Max[1] {
			continue
		}
		in := false
		for _, loop := range v.outlines[s.Body] {
			for k := range loop {
				a, b := loop[k], loop[(k+1)%len(loop)]
				if (a[1] > 100*y) != (b[1] > 100*y) && 100*x < a[0]+(100*y-a[1])/(b[1]-a[1])*(b[0]-a[0]) {
					in = !in
				}
			}
		}
		if in {
			return true
		}
	}
	return false
}

// weight speaks of the load on the floor where the plan states what that carries.
func (v *viewer) weight() {
	w := v.Draft.weight()
	if w.AllowedKPa == 0 || w.LoadKPa < loadShare*w.AllowedKPa {
		return
	}
	severity := Hint
	if w.LoadKPa > w.AllowedKPa {
		severity = Warning
	}
	t := &v.Model.Tank
	v.say(KindWeight, severity, []string{"tank"}, [3]float64{t.LX / 2, t.LY / 2, 0}, fmt.Sprintf("Filled, the tank weighs %.0f kg and loads its footprint with %.3g kN/m²; the plan says the floor carries %.3g kN/m².", w.FilledKG, w.LoadKPa, w.AllowedKPa),
		"Have a structural engineer look at floor and stand before anything is filled; local codes decide. Less stone, less bed or a lower water level weigh less.")
}

// built passes on what was noticed when the tank was built.
func (v *viewer) built() {
	for _, n := range v.Model.Notes {
		note := BoardNote{Kind: KindBody, Severity: Hint, Text: n}
		for i := range v.Model.Solids {
			if s := &v.Model.Solids[i]; strings.HasPrefix(n, s.ID+" ") || strings.Contains(n, " of "+s.ID+" ") {
				note.IDs, note.AtCM = []string{s.ID}, place([3]float64{(s.Min[0] + s.Max[0]) / 2, (s.Min[1] + s.Max[1]) / 2, s.Max[2]})
			}
		}
		note.ID = KindBody + ":" + n
		v.notes = append(v.notes, note)
	}
}

// With is the draft as it would be with other items: for a first look while something is dragged. Voxels, the light and sums of weight and water stay those
// of before. text holds the items, as Text.Changed writes them; gone are ids of pieces and plantings that are taken out. Errors are plan.Problems, or say what
// cannot be built.
func (d *Draft) With(text []byte, gone []string) (*Draft, error) {
	items, err := d.Plan.Items(text)
	if err != nil {
		return nil, err
	}
	out := *d
	p := *d.Plan
	out.Plan = &p
	lost := map[string]bool{}
	for _, id := range gone {
		lost[id] = true
	}
	if items.Substrate != nil {
		p.Substrate = *items.Substrate
	}
	if items.Substrate != nil || len(items.Hardscape) > 0 || len(gone) > 0 {
		if out.Model, err = d.Model.With(items.Substrate, items.Hardscape, lost); err != nil {
			return nil, err
		}
		out.outlines = maps.Clone(d.outlines)
		for i := range out.Model.Solids {
			if s := &out.Model.Solids[i]; out.outlines[s.Body] == nil {
				out.outlines[s.Body] = outline(s)
			}
		}
	}
	if items.Substrate != nil {
		out.shape = out.shaped()
	}
	out.Places = maps.Clone(d.Places)
	p.Plants = slices.DeleteFunc(slices.Clone(d.Plan.Plants), func(q plan.Planting) bool { return lost[q.ID] })
	plantings := make([]*plan.Planting, len(items.Plants))
	for i := range items.Plants {
		plantings[i] = &items.Plants[i]
		if k := slices.IndexFunc(p.Plants, func(q plan.Planting) bool { return q.ID == items.Plants[i].ID }); k >= 0 {
			p.Plants[k] = items.Plants[i]
		} else {
			p.Plants = append(p.Plants, items.Plants[i])
		}
	}
	for i, spots := range growth.Places(&p, out.Model, d.Voxels, d.Columns, d.seed, plantings) {
		out.Places[plantings[i].ID] = spots
	}
	return &out, nil
}

// Changed writes the items of some ids in the words of a plan, for Draft.With, and the bed when ground is among them. ok is false where they are written in
// so many ways that only the whole text tells.
func (t *Text) Changed(ids []string) (text []byte, ok bool) {
	var b strings.Builder
	for _, list := range []string{"hardscape", "plants"} {
		items, err := t.items(list)
		if err != nil {
			continue
		}
		begun, column := false, 2
		for i, item := range items {
			if i < len(t.ids[list]) && slices.Contains(ids, t.ids[list][i]) && item.kind == mapping {
				if column = item.column; column < 2 {
					return nil, false
				}
			}
		}
		for i, item := range items {
			if i >= len(t.ids[list]) || !slices.Contains(ids, t.ids[list][i]) {
				continue
			}
			if !item.isMap() || item.kind == mapping && item.column != column {
				return nil, false
			}
			if !begun {
				b.WriteString(list + ":\n")
				begun = true
			}
			b.WriteString(strings.Repeat(" ", column-2) + "- ")
			if !given(item) && item.kind == mapping {
				b.WriteString("id: " + t.ids[list][i] + "\n" + strings.Repeat(" ", item.column))
			}
			if !given(item) && item.kind == flowMap {
				b.WriteString("{id: " + t.ids[list][i] + ", " + string(t.src[item.start+1:item.end]) + "\n")
				continue
			}
			b.Write(t.src[item.start:item.end])
			b.WriteString("\n")
		}
	}
	if slices.Contains(ids, GroundID) {
		if i := t.root.find("substrate"); i >= 0 {
			e := &t.root.entries[i]
			b.WriteString("substrate:" + string(t.src[e.colon:e.value.end]) + "\n")
		}
	}
	return []byte(b.String()), true
}
