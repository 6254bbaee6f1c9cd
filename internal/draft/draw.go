package draft

import (
	"fmt"
	"littoral/internal/catalog"
	"littoral/internal/crew"
	"littoral/internal/geometry"
	"littoral/internal/growth"
	"littoral/internal/mesh"
	"littoral/internal/plan"
	"littoral/internal/unit"
	"math"
	"reflect"
	"slices"
)

// Draft is a plan with the bodies that it describes, kept while it is being drawn. It is read-only once made and safe for use by several
// goroutines.
type Draft struct {
	Plan    *plan.Plan
	Model   *geometry.Model
	Voxels  *geometry.Voxels
	Columns *geometry.Columns
	Places  map[string][]growth.Spot // of the pots, by planting

	seed      uint64
	plantings map[string]*plan.Planting
	outlines  map[*mesh.Mesh][][][2]float64 // of bodies in their place, seen from above, cm
	shape     *groundShape
}

// Open builds a plan. Seed keys what a plan leaves to chance, and is that of the forecast. before is the draft that this one was drawn from, of which what is
// the same is used again; it may be nil. Errors name the part of the plan that cannot be built.
func Open(p *plan.Plan, seed uint64, before *Draft) (*Draft, error) {
	opt := geometry.Options{Seed: seed}
	if before != nil {
		opt.Before = before.Model
	}
	model, err := geometry.Build(p, opt)
	if err != nil {
		return nil, err
	}
	d := &Draft{Plan: p, Model: model, seed: seed, Places: map[string][]growth.Spot{}, plantings: map[string]*plan.Planting{}, outlines: map[*mesh.Mesh][][][2]float64{}}
	same := before != nil && before.Model == model
	if same {
		d.Voxels, d.Columns = before.Voxels, before.Columns
	} else {
		d.Voxels, d.Columns = model.Voxels(model.VoxelEdge()), model.Columns(0)
	}
	var fresh []*plan.Planting
	for _, pl := range p.Plantings() {
		d.plantings[pl.ID] = pl
		if same {
			if old := before.plantings[pl.ID]; old != nil && reflect.DeepEqual(old, pl) {
				d.Places[pl.ID] = before.Places[pl.ID]
				continue
			}
		}
		fresh = append(fresh, pl)
	}
	for i, spots := range growth.Places(p, model, d.Voxels, d.Columns, seed, fresh) {
		d.Places[fresh[i].ID] = spots
	}
	outlines := make([][][][2]float64, len(model.Solids))
	crew.Do(0, len(outlines), func(i int) {
		if s := &model.Solids[i]; before != nil && before.outlines[s.Body] != nil {
			outlines[i] = before.outlines[s.Body]
		} else {
			outlines[i] = outline(s)
		}
	})
	for i, o := range outlines {
		d.outlines[model.Solids[i].Body] = o
	}
	if before != nil && before.Model.Ground == model.Ground {
		d.shape = before.shape
	} else {
		d.shape = d.shaped()
	}
	return d, nil
}

// outline is what covers the ground of a piece, in cm.
func outline(s *geometry.Solid) [][][2]float64 {
	out := [][][2]float64{}
	for _, line := range s.Outline(outlineLines) {
		loop := make([][2]float64, len(line))
		for k, p := range line {
			loop[k] = [2]float64{cm(p[0]), cm(p[1])}
		}
		out = append(out, loop)
	}
	return out
}

// hundredth of a centimetre, tenth of a millimetre: finer than anything is set in a tank.
func cm(m float64) float64 { return round(100*m, 100) }

func round(v, parts float64) float64 {
	if v = math.Round(v*parts) / parts; v == 0 { // no minus before a zero
		return 0
	}
	return v
}

func deg(a unit.Angle) float64 { return round(float64(a)*180/math.Pi, 100) }

func points(p []plan.PointCM) [][2]float64 {
	out := make([][2]float64, len(p))
	for i, q := range p {
		out[i] = q
	}
	return out
}

// line is where an item begins in the text; 0 when the plan was not read from one.
func (d *Draft) line(path string) int {
	if d.Plan.Source == nil {
		return 0
	}
	return d.Plan.Source.Pos[path].Line
}

// outlineLines is how many lines are looked at across a piece for its outline: a root of 50 cm is drawn to 3 mm.
const outlineLines = 160

// Board lays the plan out for drawing, without notes.
func (d *Draft) Board() Board {
	b := Board{Tank: d.tank(), Ground: d.ground(), Weight: d.weight()}
	for i := range d.Plan.Hardscape {
		b.Hardscape = append(b.Hardscape, d.piece(i))
	}
	b.Plants = d.plants()
	for i := range d.Plan.Lamps {
		l := &d.Plan.Lamps[i]
		b.Lamps = append(b.Lamps, BoardLamp{
			ID: l.ID, Kind: l.Kind, AtCM: l.At, AboveWaterCM: cm(float64(l.AboveWater)), SizeCM: [2]float64{cm(float64(l.Size[0])), cm(float64(l.Size[1]))},
			TurnDeg: deg(l.Turn), TiltDeg: deg(l.Tilt), PPF: round(float64(l.PPF), 10), Line: d.line(item("lamps", i)),
		})
	}
	for i := range d.Plan.Filter {
		f := &d.Plan.Filter[i]
		b.Filters = append(b.Filters, BoardFilter{ID: f.ID, InletsCM: points(f.Inlets), OutletsCM: points(f.Outlets), FlowLH: round(float64(f.Flow)*3.6e6, 1), Line: d.line(item("filter", i))})
	}
	b.Views, b.Marks = d.marks("views", d.Plan.Views), d.marks("marks", d.Plan.Marks)
	b.Groups = d.groups()
	return b
}

func item(list string, i int) string { return fmt.Sprintf("%s[%d]", list, i) }

func (d *Draft) tank() BoardTank {
	t, g := &d.Plan.Tank, &d.Model.Tank
	out := BoardTank{
		Shape: t.Shape, LengthCM: cm(g.LX), WidthCM: cm(g.LY), HeightCM: cm(g.Height), WaterCM: cm(g.WaterLevel), GlassCM: cm(g.Glass), BowCM: cm(float64(t.Inside.Bow)),
		SeenFrom: t.SeenFrom, Cover: t.Cover, GrossL: round(d.Model.Facts.GrossL, 10), WaterL: round(d.Model.Facts.NetWaterL, 10), Line: d.line("tank"),
	}
	for _, p := range g.Footprint {
		out.OutlineCM = append(out.OutlineCM, [2]float64{cm(p[0]), cm(p[1])})
	}
	return out
}

func (d *Draft) piece(i int) BoardPiece {
	h, s := &d.Plan.Hardscape[i], &d.Model.Solids[i]
	out := BoardPiece{
		ID: h.ID, Kind: h.Kind, Material: h.Material, AtCM: h.At, TurnDeg: deg(h.Turn), TiltDeg: deg(h.Tilt), LeanDeg: deg(h.Lean), Mirrored: h.Mirrored,
		SinkCM: cm(float64(h.Sink)), BaseCM: cm(s.Min[2]), TopCM: cm(s.Max[2]), Litres: round(1000*s.Volume, 100), MassKG: round(s.MassDry, 100),
		Group: h.Group, Locked: h.Locked, Line: d.line(item("hardscape", i)),
	}
	switch b := &h.Shape; {
	case b.Boulder != nil:
		out.Shape = BoardShape{Form: "boulder", LengthCM: cm(float64(b.Boulder.Length)), WidthCM: cm(float64(b.Boulder.Width)), HeightCM: cm(float64(b.Boulder.Height)), Roughness: b.Boulder.Roughness}
	case b.Slab != nil:
		out.Shape = BoardShape{Form: "slab", LengthCM: cm(float64(b.Slab.Length)), WidthCM: cm(float64(b.Slab.Width)), HeightCM: cm(float64(b.Slab.Thickness))}
	case b.Branch != nil:
		out.Shape = BoardShape{Form: "branch", LengthCM: cm(float64(b.Branch.Length)), HeightCM: cm(float64(b.Branch.Height)), ThickCM: cm(float64(b.Branch.Thick)), Limbs: b.Branch.Limbs}
	default:
		out.Shape = BoardShape{Form: "mesh", Mesh: b.Mesh, SizeCM: cm(float64(b.Size))}
	}
	out.OutlineCM = d.outlines[s.Body]
	for _, l := range s.Limbs {
		out.Limbs = append(out.Limbs, BoardLimb{FromCM: place(l.A), ToCM: place(l.B), ThickA: cm(2 * l.RA), ThickB: cm(2 * l.RB)})
	}
	return out
}

func place(p [3]float64) [3]float64 { return [3]float64{cm(p[0]), cm(p[1]), cm(p[2])} }

func (d *Draft) plants() []BoardPlant {
	var names []string
	for _, p := range d.Plan.Plantings() {
		if !slices.Contains(names, p.Species) {
			names = append(names, p.Species)
		}
	}
	slices.Sort(names)
	number := map[string]int{}
	for i, n := range names {
		number[n] = i + 1
	}
	var out []BoardPlant
	add := func(p *plan.Planting, path, event string, from int) {
		q := BoardPlant{
			ID: p.ID, Species: p.Species, Pots: p.Pots, On: p.On, FromDay: from, Event: event, HeightCM: cm(float64(p.Height)), Number: number[p.Species],
			Group: p.Group, Locked: p.Locked, Line: d.line(path),
		}
		switch {
		case p.Afloat:
			q.Way = "afloat"
		case p.On != "":
			q.Way, q.PointsCM = "on", points(p.At)
		case len(p.At) > 0:
			q.Way, q.PointsCM = "at", points(p.At)
		case len(p.Along) > 0:
			q.Way, q.PointsCM = "along", points(p.Along)
		default:
			q.Way, q.PointsCM = "in", points(p.In)
		}
		for _, s := range d.Places[p.ID] {
			q.PlacesCM = append(q.PlacesCM, place([3]float64{s.X, s.Y, s.Z}))
		}
		if sp, ok := d.Plan.Cat.Species(p.Species); ok {
			q.GrownHeightCM, q.GrownSpreadCM = [2]float64{sp.HeightCM.Min, sp.HeightCM.Max}, [2]float64{sp.SpreadCM.Min, sp.SpreadCM.Max}
			q.Form, q.Leaf, q.Colour, q.Symbol = string(sp.Form), sp.LeafShape, sp.ColourHex, symbol(p, sp)
		}
		out = append(out, q)
	}
	for i := range d.Plan.Plants {
		add(&d.Plan.Plants[i], item("plants", i), "", int(d.Plan.Plants[i].From))
	}
	for i := range d.Plan.Events {
		e := &d.Plan.Events[i]
		for j := range e.Plant {
			add(&e.Plant[j], item(item("events", i)+".plant", j), e.ID, int(e.On))
		}
	}
	return out
}

// symbol is how drawings show a planting.
func symbol(p *plan.Planting, sp *catalog.Species) string {
	switch {
	case p.Afloat || sp.Form == catalog.Floating:
		return "pads"
	case p.On != "":
		return "sprig"
	case sp.Form == catalog.Stem:
		return "star"
	case sp.Form == catalog.Carpet, sp.Form == catalog.Moss, p.Pots > 8:
		return "hatch"
	}
	return "circle"
}

func (d *Draft) marks(list string, marks []plan.Mark) []BoardMark {
	t := &d.Model.Tank
	var out []BoardMark
	for i := range marks {
		m := &marks[i]
		q := BoardMark{ID: m.ID, Name: m.Name, AtCM: m.At, HeightCM: cm(float64(m.Height)), TowardCM: m.Toward, AimCM: cm(float64(m.Aim)), Line: d.line(item(list, i))}
		if m.Height == 0 {
			q.HeightCM = cm(t.WaterLevel / 2)
		}
		if m.Aim == 0 {
			q.AimCM = cm(t.WaterLevel / 2)
		}
		if m.Toward == (plan.PointCM{}) {
			q.TowardCM = [2]float64{cm(t.LX / 2), cm(t.LY / 2)}
		}
		out = append(out, q)
	}
	return out
}

func (d *Draft) groups() []string {
	var out []string
	add := func(name string) {
		if name != "" && !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	for i := range d.Plan.Hardscape {
		add(d.Plan.Hardscape[i].Group)
	}
	for i := range d.Plan.Plants {
		add(d.Plan.Plants[i].Group)
	}
	return out
}

func (d *Draft) weight() BoardWeight {
	f := &d.Model.Facts
	w := BoardWeight{
		FilledKG: round(f.FilledKG, 1), HardscapeKG: round(f.StoneKG+f.WoodKG, 10), BedKG: round(f.BedDryKG, 10), LoadKPa: round(f.LoadPa/1000, 100),
		Caution: "This is a sum of weights for an engineer to judge, not a judgement of the floor or the stand; local codes and a structural engineer decide.",
	}
	if floor := d.Plan.Room.Floor; floor != nil {
		w.AllowedKPa = round(float64(floor.AllowedLoad)/1000, 100)
	}
	return w
}
