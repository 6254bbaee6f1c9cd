package picture

import (
	"littoral/internal/growth"
	"littoral/internal/mesh"
	"math"
)

// Step is one movement of a pen in drawing units, x to the right and y down: M, L, Q, C or Z, with its points, the end last.
type Step struct {
	Cmd byte
	P   [3][2]float64
}

// Points is how many of its points a step uses.
func (s Step) Points() int { return op{cmd: s.Cmd}.n() }

// Stroke is a run of the pen: a line, or the outline of something to be filled.
type Stroke struct {
	Line  bool
	Steps []Step
}

func strokeOf(p *part, x, y, up float64) Stroke {
	s := Stroke{Line: p.thin, Steps: make([]Step, len(p.ops))}
	for i, o := range p.ops {
		s.Steps[i].Cmd = o.cmd
		for k := range o.n() {
			s.Steps[i].P[k] = [2]float64{x + o.p[k][0], y + up*o.p[k][1]}
		}
	}
	return s
}

// PlantForm is a plant from the side as drawings of this room show it, with its crown at x, y; per units are a metre, and room is the
// water over its crown in m. Detail thins its leaves, 0 < detail ≤ 1.
func PlantForm(p *growth.PlantState, per, room, detail, x, y float64) []Stroke {
	f := figureOf(p, per, room, detail)
	var out []Stroke
	for i := range f.parts {
		out = append(out, strokeOf(&f.parts[i], x, y, -1))
	}
	return out
}

// SymbolForm is the mark of one pot on the plan, r units in radius: leaves that radiate, or the crossed lines of a stem. A ring round
// it, where the symbol has one, is for the caller to draw. Turn, 0 to 1, keeps neighbours from looking stamped.
func SymbolForm(kind Symbol, x, y, r, turn float64) Stroke {
	switch kind {
	case Loose:
		return strokeOf(starRays(x, y, r, turn*math.Pi), 0, 0, 1)
	case Tied:
		return strokeOf(rosetteLeaves(x, y, r, 5, turn), 0, 0, 1)
	case Afloat:
		return strokeOf(rosetteLeaves(x, y, r, 4, turn), 0, 0, 1)
	case Mass:
		p := &part{thin: true}
		p.move(x-r, y)
		p.line(x+r, y)
		p.move(x, y-r)
		p.line(x, y+r)
		return strokeOf(p, 0, 0, 1)
	default:
		return strokeOf(rosetteLeaves(x, y, r, 11, turn), 0, 0, 1)
	}
}

// LimbForm is a tapering piece of wood from a to b with radii ra and rb: its body, then lines of its edge and grain. The key is that of
// the limb, so that it looks the same on every drawing. A limb that is seen from its end gives nothing.
func LimbForm(key string, a [2]float64, ra float64, b [2]float64, rb float64) (body Stroke, lines []Stroke) {
	if math.Hypot(b[0]-a[0], b[1]-a[1]) < endOn {
		return Stroke{}, nil
	}
	l := limbOf(a[0], a[1], ra, b[0], b[1], rb, drawsOf(key))
	lines = []Stroke{strokeOf(&l.edge, 0, 0, 1)}
	if len(l.grain.ops) > 0 {
		lines = append(lines, strokeOf(&l.grain, 0, 0, 1))
	}
	return strokeOf(&l.body, 0, 0, 1), lines
}

// StoneForm is a body as one sees it: its outlines, and its facets in four tones from lit to shaded. At gives the place of a point in
// units and how far away it lies; seen tells whether a point of the body is in sight.
func StoneForm(m *mesh.Mesh, at func(p [3]float64) (x, y, away float64), seen func(p [3]float64) bool) (outline [][][2]float64, tones [4][][][2]float64) {
	f := look(m, at, seen)
	return f.outline, f.tone
}

// Along returns how far to the right and how far away a place lies, seen from a side.
func (v View) Along(x, y float64) (right, away float64) { return v.along(x, y) }

// Smooth rounds the corners of an outline, as plans show masses.
func Smooth(p [][2]float64) [][2]float64 { return smooth(p) }

// Hull is an outline round places at a distance, all in the same unit.
func Hull(places [][2]float64, r float64) [][2]float64 {
	pots := make([]placed, len(places))
	for i, p := range places {
		pots[i] = placed{p[0], p[1]}
	}
	return hull(pots, r)
}

// Boxes are places on a drawing that are taken by words and marks, so that the next word keeps off them.
type Boxes struct{ taken boxes }

// Take marks a place with its middle at x, y as taken.
func (b *Boxes) Take(x, y, w, h float64) { b.taken.take(x, y, w, h) }

// Free tells whether nothing was taken there.
func (b *Boxes) Free(x, y, w, h float64) bool { return b.taken.free(x, y, w, h) }

// Near finds the free place nearest to x, y inside the rectangle in (left, top, right, bottom), in rings of a step up to reach, and
// takes it. Without one it takes x, y.
func (b *Boxes) Near(x, y, w, h float64, in [4]float64, step, reach float64) (float64, float64) {
	return b.taken.near(x, y, w, h, in, step, reach)
}
