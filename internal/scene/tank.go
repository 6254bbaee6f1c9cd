package scene

import (
	"littoral/internal/geometry"
	"littoral/internal/plan"
	"math"
)

// builder gathers a scene.
type builder struct {
	*Scene
	model   *geometry.Model
	columns *geometry.Columns
	plan    *plan.Plan
	coarse  float64                    // how much larger than life tufts are drawn
	tufts   int                        // how many of them there may be
	shared  map[string]int             // meshes that stand at many places, by what they are
	rise    func(x, y float64) float64 // by how much the bed lies higher than it was laid; nil = as laid
}

func sqrt(v float64) float64 { return math.Sqrt(v) }

// height is that of the bed at a place, m; models without a modelled ground have it by columns only.
func (b *builder) height(x, y float64) float64 {
	if b.model.Ground != nil {
		return max(0, b.model.Ground.Height(x, y)+b.lift(x, y))
	}
	c := b.columns
	if c == nil || c.NX*c.NY == 0 || len(c.Top) < c.NX*c.NY {
		return 0
	}
	ix, iy := int(clamp(x/c.Cell, 0, float64(c.NX-1))), int(clamp(y/c.Cell, 0, float64(c.NY-1)))
	return max(0, c.Top[iy*c.NX+ix]+b.lift(x, y))
}

// lift is by how much the bed lies higher at a place than it was laid.
func (b *builder) lift(x, y float64) float64 {
	if b.rise == nil {
		return 0
	}
	return b.rise(x, y)
}

// layerTop is the top of a layer of the bed, m: what lies uppermost ends where the bed lies today, what lies under it as it was laid but never over it.
func (b *builder) layerTop(layer int, x, y float64) float64 {
	g := b.model.Ground
	as := g.LayerTop(layer, x, y)
	if g.Height(x, y)-as < .0015 {
		return b.height(x, y)
	}
	return min(as, b.height(x, y))
}

// item names a new thing.
func (b *builder) item(it Item) int {
	b.Items = append(b.Items, it)
	return len(b.Items) - 1
}

// put adds a mesh that stands at one place.
func (b *builder) put(m *Mesh, item int) {
	if len(m.F) == 0 {
		return
	}
	b.Meshes = append(b.Meshes, *m)
	b.Nodes = append(b.Nodes, Node{Mesh: len(b.Meshes) - 1, Item: item, M: Still})
}

// sharing returns the number of a shared mesh, and makes it when it is not there.
func (b *builder) sharing(key string, make func() *Mesh) int {
	if i, ok := b.shared[key]; ok {
		return i
	}
	m := make()
	m.Name = key
	b.Meshes = append(b.Meshes, *m)
	b.shared[key] = len(b.Meshes) - 1
	return len(b.Meshes) - 1
}

// bedStep is how finely the ground is drawn, m.
const bedStep = 0.01

// bed draws the ground's upper face and, behind the glass, its section through the layers.
func (b *builder) bed() {
	g, t := b.model.Ground, &b.model.Tank
	if g == nil || len(g.Layers) == 0 {
		return
	}
	kinds := make([]tint, len(g.Layers))
	for i, l := range g.Layers {
		kinds[i], _ = bedColour(l.Material)
	}
	grain := make([]float32, len(g.Layers))
	for i, l := range g.Layers {
		grain[i] = 0.003
		if m, ok := b.plan.Cat.Material(l.Material); ok && m.GrainMM.Max > 0 {
			grain[i] = float32(clamp(m.GrainMM.Mid()/1000, .0006, .01))
		}
	}
	// The layer that shows at a place: the highest that has any depth there.
	shown := func(x, y float64) int {
		for l := len(g.Layers) - 1; l > 0; l-- {
			if g.LayerTop(l, x, y)-g.LayerTop(l-1, x, y) > .0015 {
				return l
			}
		}
		return 0
	}
	item := b.item(Item{Kind: Ground, ID: "bed"})
	step := max(bedStep, sqrt(t.LX*t.LY/60000))
	nx, ny := max(2, int(math.Ceil(t.LX/step))), max(2, int(math.Ceil(t.LY/step)))
	dx, dy := t.LX/float64(nx), t.LY/float64(ny)
	m := &Mesh{Name: "bed", Surface: Grain}
	for j := range ny + 1 {
		for i := range nx + 1 {
			x, y := b.within(float64(i)*dx, float64(j)*dy, 0)
			z := b.height(x, y)
			// Grains roll: edges are softer than the lattice of the bed.
			const roll = 2.5
			n := Vec{(b.height(x-roll*dx, y) - b.height(x+roll*dx, y)) / (2 * roll * dx), (b.height(x, y-roll*dy) - b.height(x, y+roll*dy)) / (2 * roll * dy), 1}.unit()
			if t.WallDistance(x, y) > 2*dx { // at the glass it meets its section
				z = .4*z + .15*(b.height(x-dx, y)+b.height(x+dx, y)+b.height(x, y-dy)+b.height(x, y+dy))
			}
			l := shown(x, y)
			c := kinds[l].mul(.4)
			for _, d := range [4][2]float64{{-dx, 0}, {dx, 0}, {0, -dy}, {0, dy}} {
				c = tint(Vec(c).add(Vec(kinds[shown(x+d[0], y+d[1])].mul(.15))))
			}
			c = c.mul(1 + .05*(patch(x*9, y*9)-.5) + .12*(draws(i*7919+j).at(1)-.5))
			m.V = append(m.V, Vertex{P: Vec{x, y, z}.f32(), N: n.f32(), C: c.bytes(), A: grainNumber(grain[l])})
		}
	}
	for j := range ny {
		for i := range nx {
			if !t.Contains((float64(i)+.5)*dx, (float64(j)+.5)*dy) && !nearWall(t, (float64(i)+.5)*dx, (float64(j)+.5)*dy, dx+dy) {
				continue
			}
			a := uint32(j*(nx+1) + i)
			c := a + uint32(nx) + 2
			m.F = append(m.F, [3]uint32{a, a + 1, c}, [3]uint32{a, c, c - 1})
		}
	}
	b.put(m, item)
	// The section behind the panes, layer by layer.
	side := &Mesh{Name: "bed section", Surface: Grain}
	for l := range g.Layers {
		for _, e := range b.edges(step) {
			p, q := e[0], e[1]
			lo := func(v [2]float64) float64 {
				if l == 0 {
					return 0
				}
				return b.layerTop(l-1, v[0], v[1])
			}
			hi := func(v [2]float64) float64 { return b.layerTop(l, v[0], v[1]) }
			if hi(p)-lo(p) < 1e-4 && hi(q)-lo(q) < 1e-4 {
				continue
			}
			n := Vec{q[1] - p[1], p[0] - q[0], 0}.unit().f32()
			k := uint32(len(side.V))
			for _, w := range []struct {
				v [2]float64
				z float64
			}{{p, lo(p)}, {q, lo(q)}, {q, hi(q)}, {p, hi(p)}} {
				deep := clamp((hi(w.v)-w.z)/.12, 0, 1)
				side.V = append(side.V, Vertex{P: Vec{w.v[0], w.v[1], w.z}.f32(), N: n, C: kinds[l].mul(.95 - .15*deep).bytes(), A: grainNumber(grain[l])})
			}
			side.F = append(side.F, [3]uint32{k, k + 1, k + 2}, [3]uint32{k, k + 2, k + 3})
		}
	}
	b.put(side, item)
}

// grainNumber packs a grain size, 0.1 mm each.
func grainNumber(m float32) uint8 { return uint8(clamp(math.Round(float64(m)*1e4), 1, 255)) }

func nearWall(t *geometry.Tank, x, y, d float64) bool { return t.WallDistance(x, y) > -d }

// edges cuts the outline into stretches of about a step.
func (b *builder) edges(step float64) [][2][2]float64 {
	var out [][2][2]float64
	f := b.model.Tank.Footprint
	for i, p := range f {
		q := f[(i+1)%len(f)]
		n := max(1, int(math.Ceil(math.Hypot(q[0]-p[0], q[1]-p[1])/step)))
		at := func(k int) [2]float64 {
			s := float64(k) / float64(n)
			return [2]float64{p[0] + s*(q[0]-p[0]), p[1] + s*(q[1]-p[1])}
		}
		for k := range n {
			out = append(out, [2][2]float64{at(k), at(k + 1)})
		}
	}
	return out
}

// within brings a place inside the glass, at least gap from it.
func (b *builder) within(x, y, gap float64) (float64, float64) {
	t := &b.model.Tank
	switch t.Shape {
	case "box":
		return clamp(x, gap, t.LX-gap), clamp(y, gap, t.LY-gap)
	case "cylinder":
		r, cx := t.LX/2, t.LX/2
		dx, dy := x-cx, y-cx
		if d := math.Hypot(dx, dy); d > r-gap {
			return cx + dx/d*(r-gap), cx + dy/d*(r-gap)
		}
		return x, y
	}
	if t.Contains(x, y) && t.WallDistance(x, y) >= gap {
		return x, y
	}
	// To the nearest place on the outline, and in from there.
	best, bx, by := math.Inf(1), x, y
	for i, p := range t.Footprint {
		q := t.Footprint[(i+1)%len(t.Footprint)]
		ex, ey := q[0]-p[0], q[1]-p[1]
		l := ex*ex + ey*ey
		if l == 0 {
			continue
		}
		s := clamp(((x-p[0])*ex+(y-p[1])*ey)/l, 0, 1)
		px, py := p[0]+s*ex, p[1]+s*ey
		if d := math.Hypot(x-px, y-py); d < best {
			r := math.Sqrt(l)
			best, bx, by = d, px-ey/r*gap, py+ex/r*gap
		}
	}
	return bx, by
}

// walls are the insides of the panes up to the water and the wall behind; pictures show their background there.
func (b *builder) walls() {
	t := &b.model.Tank
	item := b.item(Item{Kind: Wall, ID: "panes"})
	m := &Mesh{Name: "panes", Surface: Glowing}
	const rows = 12
	for _, e := range b.edges(max(.03, t.LX/40)) {
		p, q := e[0], e[1]
		n := Vec{p[1] - q[1], q[0] - p[0], 0}.unit().f32()
		k := len(m.V)
		for j := range rows + 1 {
			z := t.WaterLevel * float64(j) / rows
			c := tint{.80, .86, .83}.bytes()
			m.V = append(m.V, Vertex{P: Vec{q[0], q[1], z}.f32(), N: n, C: c}, Vertex{P: Vec{p[0], p[1], z}.f32(), N: n, C: c})
		}
		m.grid(1, rows, k, false)
	}
	b.put(m, item)
}

// stand is a plain cabinet that carries the outer footprint.
func (b *builder) stand() {
	t := &b.model.Tank
	item := b.item(Item{Kind: Stand, ID: "stand"})
	m := &Mesh{Name: "stand", Surface: Matt}
	top := -t.Bottom
	c := tint{.55, .48, .39}.bytes()
	dark := tint{.42, .36, .29}.bytes()
	f := t.Footprint
	n := len(f)
	out := make([]Vec, n) // the outline grown by the glass
	for i, p := range f {
		a, q := f[(i+n-1)%n], f[(i+1)%n]
		n1, n2 := Vec{p[1] - a[1], a[0] - p[0], 0}.unit(), Vec{q[1] - p[1], p[0] - q[0], 0}.unit()
		w := n1.add(n2)
		w = w.mul(t.Glass / max(.3, w.dot(n1)))
		out[i] = Vec{p[0] + w[0], p[1] + w[1], 0}
	}
	centre := Vec{t.LX / 2, t.LY / 2, top}
	for i := range out {
		p, q := out[i], out[(i+1)%n]
		at := func(v Vec, z, in float64) Vec {
			d := Vec{v[0] - centre[0], v[1] - centre[1], 0}
			d = d.mul(1 - in/max(.01, d.len()))
			return Vec{centre[0] + d[0], centre[1] + d[1], z}
		}
		m.quad(at(p, top-.03, 0), at(q, top-.03, 0), at(q, top, 0), at(p, top, 0), dark)
		m.quad(at(p, top-b.Stand+.08, .004), at(q, top-b.Stand+.08, .004), at(q, top-.03, .004), at(p, top-.03, .004), c)
		m.quad(at(p, top-b.Stand, .05), at(q, top-b.Stand, .05), at(q, top-b.Stand+.08, .05), at(p, top-b.Stand+.08, .05), dark)
	}
	b.put(m, item)
}

// PersonWidth is how wide the outline of a person is, m; its place is the top of the head.
const PersonWidth = .46

// person is a flat outline, 1.7 m tall, on the floor to the right of the tank.
func (b *builder) person() {
	t := &b.model.Tank
	m := &Mesh{Name: "person", Surface: Glowing}
	floor := -t.Bottom - b.Stand
	x, y := t.LX+t.Glass+.45, t.LY*.2
	item := b.item(Item{Kind: Person, ID: "person", At: Vec{x, y, floor + 1.705}})
	c := tint{.62, .63, .58}.bytes()
	// Half widths by height, both m, of a standing figure with arms at the sides (common proportions, no source).
	outline := [][2]float64{
		{0, .13},
		{.03, .12},
		{.1, .095},
		{.28, .115},
		{.48, .115},
		{.72, .165},
		{.85, .19},
		{.98, .205},
		{1.12, .2},
		{1.28, .215},
		{1.37, .2},
		{1.43, .16},
		{1.47, .085},
		{1.5, .052},
		{1.53, .056},
		{1.56, .075},
		{1.61, .084},
		{1.66, .072},
		{1.69, .045},
		{1.703, .015},
	}
	at := func(i int) [2]float64 { return outline[max(0, min(len(outline)-1, i))] }
	for i := range len(outline) - 1 {
		const fine = 5
		half := func(k int) (z, w float64) { // Catmull–Rom between the heights
			t := float64(k) / fine
			p0, p1, p2, p3 := at(i - 1)[1], at(i)[1], at(i + 1)[1], at(i + 2)[1]
			w = .5 * (2*p1 + (p2-p0)*t + (2*p0-5*p1+4*p2-p3)*t*t + (3*p1-p0-3*p2+p3)*t*t*t)
			return floor + at(i)[0] + t*(at(i + 1)[0]-at(i)[0]), w
		}
		for k := range fine {
			z0, w0 := half(k)
			z1, w1 := half(k + 1)
			gap := func(z float64) float64 { return .02 * clamp((floor+.78-z)/.7, 0, 1) } // between the legs
			for _, s := range []float64{-1, 1} {
				m.quad(Vec{x + s*gap(z0), y, z0}, Vec{x + s*w0, y, z0}, Vec{x + s*w1, y, z1}, Vec{x + s*gap(z1), y, z1}, c)
			}
		}
	}
	b.put(m, item)
}

// patch is smooth noise, 0 to 1, over a plane.
func patch(x, y float64) float64 {
	ix, iy := math.Floor(x), math.Floor(y)
	fx, fy := x-ix, y-iy
	fx, fy = fx*fx*(3-2*fx), fy*fy*(3-2*fy)
	h := func(i, j float64) float64 {
		return draws(uint64(int64(i))*0x9e3779b97f4a7c15 ^ uint64(int64(j))*0xc2b2ae3d27d4eb4f).at(0)
	}
	a := h(ix, iy) + fx*(h(ix+1, iy)-h(ix, iy))
	c := h(ix, iy+1) + fx*(h(ix+1, iy+1)-h(ix, iy+1))
	return a + fy*(c-a)
}
