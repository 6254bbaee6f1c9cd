package geometry

import (
	"errors"
	"fmt"
	"littoral/internal/catalog"
	"littoral/internal/crew"
	"littoral/internal/mesh"
	"littoral/internal/plan"
	"math"
	"reflect"
	"slices"
)

// Options are what a build needs besides the plan.
type Options struct {
	Seed   uint64 // keys the invented form of roots, together with their id
	Before *Model // a model of the plan before it was changed: bodies that are the same are used again, and come out the same to the last bit; nil = none
}

// made is what a model was built from, and what building it took most time for.
type made struct {
	tank   plan.Tank
	ground plan.Substrate
	pieces []plan.Hardscape
	seed   uint64
	parts  []shares
	gaps   []float64
	said   [][]string // by piece
	notes  []string   // of the ground

	bed, stuff []*catalog.Material
}

// sameGround tells whether tank and bed are those of a plan.
func (m *Model) sameGround(p *plan.Plan) bool {
	return reflect.DeepEqual(m.made.tank, p.Tank) && reflect.DeepEqual(m.made.ground, p.Substrate)
}

// samePiece tells whether a piece is one of a plan, in the same place of the list. A mesh is the same when it is so in memory: looking at all its
// corners would take as long as building it.
func (m *Model) samePiece(h *plan.Hardscape, number int) bool {
	if number >= len(m.made.pieces) {
		return false
	}
	a, b := m.made.pieces[number], *h
	if a.Shape.Body != b.Shape.Body {
		return false
	}
	a.Shape.Body, b.Shape.Body = nil, nil
	a.Group, b.Group, a.Locked, b.Locked = "", "", false, false
	return reflect.DeepEqual(a, b)
}

// unmoved tells whether what a piece takes of water and bed is as before: neither it nor an earlier piece that it touches has changed.
func (m *Model) unmoved(number int, before *Model, same []bool) bool {
	if before == nil || !same[number] {
		return false
	}
	for j := range number {
		if !same[j] && (m.Solids[number].overlaps(&m.Solids[j]) || m.Solids[number].overlaps(&before.Solids[j])) {
			return false
		}
	}
	return true
}

// linesAcross is the number of vertical lines over the longer side of a piece when its volumes are taken. At 160 the bodies
// of known volume in the tests, part in water and part in the bed, come out within 0.1 %.
const linesAcross = 160

// apart is the MinClearance of a tank without hardscape, m.
const apart = 9

// Build turns a plan into bodies and sums. The same plan and seed give the same model, to the last bit, on any machine of the same
// kind and with any number of cores. Errors name the part of the plan; what was mended or looks doubtful is in Notes.
func Build(p *plan.Plan, opt Options) (*Model, error) {
	if p.Cat == nil {
		return nil, errors.New("the plan has no catalogue, so its materials are unknown; load the plan together with a catalogue")
	}
	m := &Model{}
	var err error
	if m.Tank, err = tankOf(&p.Tank); err != nil {
		return nil, err
	}
	if m.Tank.Glass == 0 {
		m.Tank.Glass = m.Tank.assumedGlass()
		m.Notes = append(m.Notes, fmt.Sprintf("The plan states no glass thickness; the weights assume %g mm, and the maker decides.", 1000*m.Tank.Glass))
	}
	if !(m.Tank.Bottom > 0 && m.Tank.Bottom < 1) {
		m.Tank.Bottom = m.Tank.Glass
	}
	materials := func(place, name string) (*catalog.Material, error) {
		c, ok := p.Cat.Material(name)
		if !ok {
			return nil, fmt.Errorf("%s: the material %q is not in the catalogue; choose one that is or add it to a catalogue file of your own", place, name)
		}
		return c, nil
	}
	m.made = made{tank: p.Tank, ground: p.Substrate, pieces: p.Hardscape, seed: opt.Seed}
	before := opt.Before
	if before != nil && (before.made.seed != opt.Seed || !before.sameGround(p)) {
		before = nil
	}
	ground, notes := (*Ground)(nil), []string(nil)
	if before != nil {
		ground, notes = before.Ground, before.made.notes
	} else if ground, notes, err = newGround(&m.Tank, &p.Substrate); err != nil {
		return nil, err
	}
	m.Ground, m.made.notes = ground, notes
	m.Notes = append(m.Notes, notes...)
	bed := make([]*catalog.Material, len(ground.Layers))
	for i, l := range ground.Layers {
		if bed[i], err = materials("substrate", l.Material); err != nil {
			return nil, err
		}
	}

	n := len(p.Hardscape)
	m.Solids = make([]Solid, n)
	stuff := make([]*catalog.Material, n)
	said, failed := make([][]string, n), make([]error, n)
	for i := range p.Hardscape {
		if stuff[i], err = materials(fmt.Sprintf("hardscape %q", p.Hardscape[i].ID), p.Hardscape[i].Material); err != nil {
			return nil, err
		}
	}
	same := make([]bool, n)
	crew.Do(0, n, func(i int) {
		if same[i] = before != nil && before.samePiece(&p.Hardscape[i], i); same[i] {
			m.Solids[i], said[i] = before.Solids[i], before.made.said[i]
			return
		}
		m.Solids[i], said[i], failed[i] = m.stand(&p.Hardscape[i], i, opt.Seed)
	})
	m.made.said = said
	if whole := before != nil && n == len(before.Solids) && !slices.Contains(same, false); whole && reflect.DeepEqual(bed, before.made.bed) && reflect.DeepEqual(stuff, before.made.stuff) {
		return before, nil
	}
	m.made.bed, m.made.stuff = bed, stuff
	for i := range n {
		if failed[i] != nil {
			return nil, failed[i]
		}
		m.Notes = append(m.Notes, said[i]...)
	}
	m.measure(bed, stuff, float64(p.Tank.Stand), float64(p.Tank.Equipment), before, same)
	return m, nil
}

// stand gives a piece its body and puts it in its place: scaled, mirrored, tilted about its long axis, leant about its short one, turned, and let down until its lowest
// point is at the height of the bed under its middle (or, where the bed falls away, until it touches), then pressed in by its sink, but never
// through the bottom glass.
func (m *Model) stand(h *plan.Hardscape, number int, seed uint64) (Solid, []string, error) {
	s := Solid{ID: h.ID, Kind: h.Kind, Material: h.Material}
	if s.ID == "" {
		s.ID = fmt.Sprintf("%s-%d", h.Kind, number+1)
	}
	place := fmt.Sprintf("hardscape %q", s.ID)
	for _, v := range []float64{h.At[0], h.At[1], float64(h.Turn), float64(h.Tilt), float64(h.Lean), float64(h.Sink)} {
		if math.IsNaN(v) || math.Abs(v) > 1e5 {
			return s, nil, fmt.Errorf("%s: its place, turn, tilt, lean or sink is not a usable number; correct it", place)
		}
	}
	body, limbs, notes, err := shape(h, s.ID, seed)
	if err != nil {
		return s, nil, fmt.Errorf("%s: %w", place, err)
	}
	lo, hi := body.Bounds()
	long, short, across := [3]float64{1, 0, 0}, [3]float64{0, -1, 0}, 1 // about −y, so that a positive lean lifts what lies to the right
	if hi[1]-lo[1] > hi[0]-lo[0] {
		long, short, across = [3]float64{0, 1, 0}, [3]float64{1, 0, 0}, 0
	}
	move := func(f func(*mesh.Mesh)) {
		f(body)
		// The limbs are moved as a mesh of their ends.
		ends := &mesh.Mesh{}
		for _, l := range limbs {
			ends.Vertices = append(ends.Vertices, l.A, l.B)
		}
		f(ends)
		for i := range limbs {
			limbs[i].A, limbs[i].B = ends.Vertices[2*i], ends.Vertices[2*i+1]
		}
	}
	if h.Mirrored {
		move(func(b *mesh.Mesh) { b.Mirror(across, 0) })
	}
	move(func(b *mesh.Mesh) {
		b.Rotate(long, float64(h.Tilt))
		b.Rotate(short, float64(h.Lean))
		b.Rotate([3]float64{0, 0, 1}, float64(h.Turn))
	})
	x, y := h.At[0]/100, h.At[1]/100
	if h.Shape.Branch == nil { // a root stands with its trunk on the spot, everything else with its middle
		lo, hi = body.Bounds()
		move(func(b *mesh.Mesh) { b.Translate([3]float64{-(lo[0] + hi[0]) / 2, -(lo[1] + hi[1]) / 2, 0}) })
	}
	move(func(b *mesh.Mesh) { b.Translate([3]float64{x, y, 0}) })
	lowest, gap := math.Inf(1), math.Inf(1)
	for _, v := range body.Vertices {
		lowest = min(lowest, v[2])
		gap = min(gap, v[2]-m.Ground.Height(v[0], v[1]))
	}
	drop := max(lowest-m.Ground.Height(x, y), gap) + float64(h.Sink)
	if lowest-drop < -1e-9 {
		if wanted := drop - lowest; wanted > 0.002 {
			notes = append(notes, fmt.Sprintf("%s would reach %.1f cm into the bottom glass and stands on it instead.", s.ID, 100*wanted))
		}
		drop = lowest
	}
	move(func(b *mesh.Mesh) { b.Translate([3]float64{0, 0, -drop}) })
	s.Body, s.Limbs = body, limbs
	s.Min, s.Max = body.Bounds()
	return s, notes, nil
}

// shape makes the body of a piece in metres, as it lies before it is tilted and turned.
func shape(h *plan.Hardscape, id string, seed uint64) (*mesh.Mesh, []Limb, []string, error) {
	size := func(name string, l float64) error {
		if !(l > 0 && l <= 100) {
			return fmt.Errorf("its %s of %g m cannot be built; state a length above 0", name, l)
		}
		return nil
	}
	switch {
	case h.Shape.Boulder != nil:
		b := h.Shape.Boulder
		rough := b.Roughness
		if rough == 0 {
			rough = 0.3
		}
		if err := errors.Join(size("length", float64(b.Length)), size("width", float64(b.Width)), size("height", float64(b.Height))); err != nil {
			return nil, nil, nil, err
		}
		return boulder(float64(b.Length), float64(b.Width), float64(b.Height), rough, stream(0, "boulder", id)), nil, nil, nil
	case h.Shape.Slab != nil:
		b := h.Shape.Slab
		if err := errors.Join(size("length", float64(b.Length)), size("width", float64(b.Width)), size("thickness", float64(b.Thickness))); err != nil {
			return nil, nil, nil, err
		}
		return slab(float64(b.Length), float64(b.Width), float64(b.Thickness), stream(0, "slab", id)), nil, nil, nil
	case h.Shape.Branch != nil:
		b := h.Shape.Branch
		height, limbs := float64(b.Height), b.Limbs
		if height == 0 {
			height = 0.6 * float64(b.Length)
		}
		if limbs == 0 {
			limbs = 4
		}
		if err := errors.Join(size("length", float64(b.Length)), size("height", height), size("thickness", float64(b.Thick))); err != nil {
			return nil, nil, nil, err
		}
		body, parts := branch(float64(b.Length), height, float64(b.Thick), limbs, stream(seed, "branch", id))
		return body, parts, nil, nil
	case h.Shape.Body != nil:
		if err := size("size", float64(h.Shape.Size)); err != nil {
			return nil, nil, nil, err
		}
		body, notes, err := scanned(h.Shape.Body, float64(h.Shape.Size), id)
		return body, nil, notes, err
	}
	return nil, nil, nil, errors.New("it has no shape; give it a boulder, slab, branch or mesh")
}

// scanned makes a solid of a mesh as read, with its longest side as given; what it mended is said in the notes.
func scanned(raw *mesh.Mesh, size float64, id string) (*mesh.Mesh, []string, error) {
	long := raw.LongestSide()
	if !(long > 0) || math.IsInf(long, 0) {
		return nil, nil, errors.New("its mesh has no size; export it again")
	}
	m := raw.Weld(1e-6 * long) // corners a millionth of the size apart were one corner before they were written down
	if len(m.Faces) == 0 {
		return nil, nil, errors.New("its mesh has no faces with an area; export it again")
	}
	m.Scale(size / long)
	var notes []string
	if turned := m.Orient(); turned > 0 && turned < len(m.Faces) {
		notes = append(notes, fmt.Sprintf("The mesh of %s had %d faces that looked the wrong way; they were turned.", id, turned))
	}
	closed, fills, err := m.Close()
	if err != nil {
		return nil, nil, fmt.Errorf("its mesh is open and was not closed: %w", err)
	}
	if len(fills) > 0 {
		share := 0.0
		for _, f := range fills {
			share += f.Share
		}
		openings := "1 opening"
		if len(fills) > 1 {
			openings = fmt.Sprintf("%d openings", len(fills))
		}
		notes = append(notes, fmt.Sprintf("The mesh of %s was open and was closed at %s, %.0f %% of its surface.", id, openings, 100*share))
		closed.Orient()
	}
	r := closed.Inspect()
	if !r.Oriented || !r.Closed {
		return nil, nil, errors.New("its faces cannot be brought to agree which side is outside, so it has no volume; repair the mesh in a mesh editor")
	}
	if r.Crossings > 0 {
		notes = append(notes, fmt.Sprintf("The mesh of %s passes through itself; what lies inside twice counts once.", id))
	}
	if r.Volume <= 0 {
		return nil, nil, errors.New("its mesh encloses no volume; export a closed body")
	}
	return closed, notes, nil
}

// shares are volumes of one piece, m³.
type shares struct {
	whole    float64
	water    float64 // in the water, inside the glass
	bed      float64 // in the bed, inside the glass
	bedUnder float64 // of that, below the water level
	outside  float64 // through the glass

	// The same without what lies inside an earlier piece, so that pieces can be summed.
	ownWhole, ownWater    float64
	ownBed, ownLayerUnder []float64 // by layer of the bed: all, and below the water level
}

// box is the raster of lines over a piece.
func (s *Solid) box(across int) raster {
	w, d := s.Max[0]-s.Min[0], s.Max[1]-s.Min[1]
	step := max(w, d) / float64(across)
	nx, ny := max(24, int(math.Ceil(w/step))), max(24, int(math.Ceil(d/step)))
	return raster{x0: s.Min[0], y0: s.Min[1], dx: w / float64(nx), dy: d / float64(ny), nx: nx, ny: ny}
}

func (s *Solid) overlaps(o *Solid) bool {
	for k := range 3 {
		if s.Max[k] <= o.Min[k] || o.Max[k] <= s.Min[k] {
			return false
		}
	}
	return true
}

// share integrates a piece over vertical lines, between the bed's surfaces and the water level. The lines miss a little of a
// rounded body or count a little too much; how much is known, since the exact volume follows from the surface, so the parts are
// scaled by the exact whole over the lines' whole.
func (m *Model) share(number, across int) shares {
	s := &m.Solids[number]
	grid := s.box(across)
	body := traced(s.Body, grid)
	var earlier []*trace
	for j := range number {
		if s.overlaps(&m.Solids[j]) {
			earlier = append(earlier, traced(m.Solids[j].Body, grid))
		}
	}
	layers := len(m.Ground.tops)
	out := shares{ownBed: make([]float64, layers), ownLayerUnder: make([]float64, layers)}
	tops := make([]float64, layers)
	for iy := range grid.ny {
		for ix := range grid.nx {
			cell := iy*grid.nx + ix
			spans := body.spans[cell]
			if len(spans) == 0 {
				continue
			}
			x, y := grid.centre(ix, iy)
			length := within(spans, math.Inf(-1), math.Inf(1))
			out.whole += length
			own := spans
			for _, e := range earlier {
				own = minus(own, e.spans[cell])
			}
			out.ownWhole += within(own, math.Inf(-1), math.Inf(1))
			if !m.Tank.Contains(x, y) {
				out.outside += length
				continue
			}
			node, fx, fy := m.Ground.place(x, y)
			for l := range layers {
				tops[l] = m.Ground.between(m.Ground.tops[l], node, fx, fy)
			}
			floor := 0.0
			for l, top := range tops {
				out.ownBed[l] += within(own, floor, top)
				out.ownLayerUnder[l] += within(own, floor, min(top, m.Tank.WaterLevel))
				floor = max(floor, top)
			}
			out.bed += within(spans, 0, floor)
			out.bedUnder += within(spans, 0, min(floor, m.Tank.WaterLevel))
			out.water += within(spans, floor, m.Tank.WaterLevel)
			out.ownWater += within(own, floor, m.Tank.WaterLevel)
		}
	}
	scale := grid.dx * grid.dy
	if exact := s.Body.Volume(); body.whole > 0 && exact > 0 {
		scale *= exact / body.whole
	}
	for _, v := range []*float64{&out.whole, &out.water, &out.bed, &out.bedUnder, &out.outside, &out.ownWhole, &out.ownWater} {
		*v *= scale
	}
	for l := range layers {
		out.ownBed[l] *= scale
		out.ownLayerUnder[l] *= scale
	}
	return out
}

// measure fills in what the pieces displace and weigh, and the sums.
func (m *Model) measure(bed, stuff []*catalog.Material, stand, equipment float64, before *Model, same []bool) {
	t, f := &m.Tank, &m.Facts
	f.MinClearance = apart
	parts := make([]shares, len(m.Solids))
	gaps := make([]float64, len(m.Solids))
	crew.Do(0, len(m.Solids), func(i int) {
		if m.unmoved(i, before, same) {
			parts[i], gaps[i] = before.made.parts[i], before.made.gaps[i]
			return
		}
		parts[i] = m.share(i, linesAcross)
		gaps[i] = m.clearance(&m.Solids[i])
	})
	m.made.parts, m.made.gaps = parts, gaps
	whole, under := m.Ground.volumes(t.WaterLevel)
	kept, wet := 0.0, 0.0 // volume below the level that is not free water; mass of soaked hardscape
	for _, v := range under {
		kept += v
	}
	for i := range m.Solids {
		s, p, c := &m.Solids[i], &parts[i], stuff[i]
		s.Volume, s.InWater, s.InBed = p.whole, p.water, p.bed
		s.MassDry = 1000 * c.Piece.Mid() * s.Volume
		soaked := max(s.MassDry, 1000*c.Wet.Mid()*s.Volume)
		wet += soaked
		// What lies below the level in water or in the water between grains is lifted by the water it displaces.
		lift := waterDensity * (p.water + p.bedUnder)
		if s.Kind == "wood" {
			f.WoodL += 1000 * p.ownWhole
			f.WoodKG += s.MassDry
			if s.Upthrust = max(0, lift-s.MassDry); s.Upthrust > 0.05 {
				m.Notes = append(m.Notes, fmt.Sprintf("%s floats as bought: water lifts it by %.1f kg until it has soaked, so tie it down or hold it with stone.", s.ID, s.Upthrust))
			}
		} else {
			f.StoneL += 1000 * p.ownWhole
			f.StoneKG += s.MassDry
		}
		f.HardInWaterKG += max(0, soaked-lift)
		kept += p.ownWater
		for l := range whole {
			whole[l] -= p.ownBed[l]
			under[l] -= p.ownLayerUnder[l]
		}
		f.MinClearance = min(f.MinClearance, gaps[i])
		if p.outside > 1e-6 && p.outside > 1e-3*p.whole {
			m.Notes = append(m.Notes, fmt.Sprintf("%s reaches through the glass; move it inward, turn it or choose a smaller piece.", s.ID))
		}
		if double := p.whole - p.ownWhole; double > 0.02*p.whole {
			m.Notes = append(m.Notes, fmt.Sprintf("%s stands partly inside another piece (%.1f L); that part counts once.", s.ID, 1000*double))
		}
		if s.Max[2] > t.Height {
			m.Notes = append(m.Notes, fmt.Sprintf("%s rises %.0f cm above the rim.", s.ID, 100*(s.Max[2]-t.Height)))
		}
	}
	area := t.Area()
	f.GrossL, f.ToLevelL = 1000*area*t.Height, 1000*area*t.WaterLevel
	pores := 0.0
	for l := range whole {
		whole[l], under[l] = max(0, whole[l]), max(0, under[l])
		pores += under[l] * bed[l].Porosity.Mid()
		row := MaterialSum{Material: m.Ground.Layers[l].Material, Litres: 1000 * whole[l], DryKG: 1000 * whole[l] * bed[l].Bulk.Mid()}
		f.BedByMaterial = append(f.BedByMaterial, row)
		f.BedL += row.Litres
		f.BedDryKG += row.DryKG
	}
	f.FreeWaterL = max(0, f.ToLevelL-1000*kept)
	f.PoreWaterL = 1000 * pores
	f.GlassKG, f.StandKG, f.EquipmentKG = t.glassMass(), stand, equipment
	f.NetWaterL = f.FreeWaterL + f.PoreWaterL
	f.FilledKG = f.GlassKG + stand + equipment + f.BedDryKG + wet + waterDensity/1000*f.NetWaterL
	f.FootprintM2 = t.outerArea()
	f.LoadPa = f.FilledKG * gravity / f.FootprintM2
	m.steepest()
}

// clearance is the smallest gap between a piece and the upright panes, m; 0 when it touches or passes through.
func (m *Model) clearance(s *Solid) float64 {
	gap := math.Inf(1)
	for _, v := range s.Body.Vertices {
		if v[2] <= m.Tank.Height {
			gap = min(gap, m.Tank.WallDistance(v[0], v[1]))
		}
	}
	return max(0, min(apart, gap))
}

// steepest finds the steepest place of the bed that no piece covers.
func (m *Model) steepest() {
	g := m.Ground
	if len(g.tops) == 0 {
		return
	}
	cells := raster{dx: g.DX, dy: g.DY, nx: g.NX - 1, ny: g.NY - 1}
	hidden := m.standing(cells)
	for iy := range cells.ny {
		for ix := range cells.nx {
			k := iy*cells.nx + ix
			if g.covered[k].area < 0.5*g.DX*g.DY || hidden[k] {
				continue
			}
			x, y := cells.centre(ix, iy)
			if s := g.Slope(x, y); s > m.Facts.MaxSlopeDeg {
				m.Facts.MaxSlopeDeg, m.Facts.MaxSlopeAt = s, [2]float64{x, y}
			}
		}
	}
}

// standing tells for each cell of a raster whether a piece takes up the surface of the bed at its centre.
func (m *Model) standing(cells raster) []bool {
	out := make([]bool, cells.nx*cells.ny)
	for i := range m.Solids {
		s := &m.Solids[i]
		sub, ox, oy := cells.over(s)
		if sub.nx == 0 || sub.ny == 0 {
			continue
		}
		t := traced(s.Body, sub)
		for iy := range sub.ny {
			for ix := range sub.nx {
				x, y := sub.centre(ix, iy)
				h := m.Ground.Height(x, y)
				for _, c := range t.spans[iy*sub.nx+ix] {
					// A millimetre above: a stone that lies flat on the glass or the bed covers it.
					if c.lo <= h+0.001 && c.hi > h {
						out[(oy+iy)*cells.nx+ox+ix] = true
					}
				}
			}
		}
	}
	return out
}

// over is the part of a raster that lies over a piece, and where in the raster it begins.
func (r raster) over(s *Solid) (sub raster, ox, oy int) {
	ox, oy = max(0, r.first((s.Min[0]-r.x0)/r.dx, r.nx)), max(0, r.first((s.Min[1]-r.y0)/r.dy, r.ny))
	tx, ty := r.last((s.Max[0]-r.x0)/r.dx, r.nx), r.last((s.Max[1]-r.y0)/r.dy, r.ny)
	sub = raster{x0: r.x0 + float64(ox)*r.dx, y0: r.y0 + float64(oy)*r.dy, dx: r.dx, dy: r.dy, nx: max(0, tx-ox+1), ny: max(0, ty-oy+1)}
	return sub, ox, oy
}

// With returns the model as it is with another bed, with pieces changed, added (of new ids, behind the others) and without some: quickly, for a first look while
// something is dragged. The solids' shares of water and bed and the Facts are those of before; everything else is as Build makes it. bed may be nil.
func (m *Model) With(bed *plan.Substrate, changed []plan.Hardscape, gone map[string]bool) (*Model, error) {
	out := *m
	out.Notes = nil
	if bed != nil {
		g, _, err := newGround(&m.Tank, bed)
		if err != nil {
			return nil, err
		}
		out.Ground = g
	}
	out.Solids = nil
	at := map[string]int{}
	for i := range m.Solids {
		if s := m.Solids[i]; !gone[s.ID] {
			at[s.ID] = len(out.Solids)
			out.Solids = append(out.Solids, s)
		}
	}
	for i := range changed {
		s, _, err := out.stand(&changed[i], i, m.made.seed)
		if err != nil {
			return nil, err
		}
		if k, known := at[s.ID]; known {
			s.Volume, s.MassDry = out.Solids[k].Volume, out.Solids[k].MassDry
			out.Solids[k] = s
		} else {
			out.Solids = append(out.Solids, s)
		}
	}
	return &out, nil
}

// Gap is the smallest distance of a piece from the upright panes, m (0 when it touches or passes through), and the place of the piece that has it.
func (m *Model) Gap(s *Solid) (gap float64, at [3]float64) {
	gap = math.Inf(1)
	for _, v := range s.Body.Vertices {
		if v[2] <= m.Tank.Height {
			if d := m.Tank.WallDistance(v[0], v[1]); d < gap {
				gap, at = d, v
			}
		}
	}
	return max(0, gap), at
}
