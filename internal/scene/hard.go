package scene

import (
	"littoral/internal/geometry"
	"littoral/internal/mesh"
	"math"
	"slices"
)

// solid draws a stone or a piece of wood.
func (b *builder) solid(s *geometry.Solid) {
	mid := Vec{(s.Min[0] + s.Max[0]) / 2, (s.Min[1] + s.Max[1]) / 2, (s.Min[2] + s.Max[2]) / 2}
	if s.Body != nil && s.Body.Skin != nil {
		kind := Stone
		if s.Kind == "wood" {
			kind = Wood
		}
		item := b.item(Item{Kind: kind, ID: s.ID, At: mid})
		for _, m := range painted(s.ID, s.Body) {
			b.put(m, item)
		}
		return
	}
	if s.Kind == "wood" {
		c := woodColour(s.Material)
		item := b.item(Item{Kind: Wood, ID: s.ID, At: mid})
		m := &Mesh{Name: s.ID, Surface: Bark}
		if len(s.Limbs) > 0 {
			limbs(m, s.Limbs, c, drawsOf(s.ID, "wood"))
		} else {
			faceted(m, s.Body, c, drawsOf(s.ID))
		}
		b.put(m, item)
		return
	}
	c := stoneColour(s.Material)
	item := b.item(Item{Kind: Stone, ID: s.ID, At: mid})
	m := &Mesh{Name: s.ID, Surface: Rock}
	faceted(m, s.Body, c, drawsOf(s.ID))
	b.put(m, item)
}

// crease is the angle, cosine, up to which neighbouring faces of a stone are one worn face.
const crease = 0.94

// fineBody is from how many faces on a body is a scan whose breaks are in its shape, not in single faces, so that its corners are shared.
const fineBody = 20_000

// creased gives each corner of a body's faces its normal: of the faces round it, those within the crease of its own, large faces counting more.
func creased(body *mesh.Mesh) (face []Vec, corner [][3]Vec) {
	vec := func(i int32) Vec { return Vec(body.Vertices[i]) }
	normals := make([]Vec, len(body.Faces))
	face = make([]Vec, len(body.Faces))
	start := make([]int32, len(body.Vertices)+1) // faces round each vertex, one list after the other
	for i, f := range body.Faces {
		normals[i] = vec(f[1]).sub(vec(f[0])).cross(vec(f[2]).sub(vec(f[0]))) // as long as twice the face's area
		face[i] = normals[i].unit()
		for _, v := range f {
			start[v+1]++
		}
	}
	for i := range body.Vertices {
		start[i+1] += start[i]
	}
	around, next := make([]int32, start[len(body.Vertices)]), append([]int32(nil), start...)
	for i, f := range body.Faces {
		for _, v := range f {
			around[next[v]] = int32(i)
			next[v]++
		}
	}
	corner = make([][3]Vec, len(body.Faces))
	for i, f := range body.Faces {
		for k, v := range f {
			sum := Vec{}
			for _, o := range around[start[v]:start[v+1]] {
				if face[o].dot(face[i]) > crease {
					sum = sum.add(normals[o])
				}
			}
			corner[i][k] = sum.unit()
		}
	}
	return face, corner
}

// shared lets faces share the corners that are alike in all they have.
type shared struct {
	m    *Mesh
	uv   bool
	seen map[sharedKey]uint32
}

type sharedKey struct {
	v  Vertex
	uv [2]float32
}

func (s *shared) corner(v Vertex, uv [2]float32) uint32 {
	key := sharedKey{v, uv}
	if n, ok := s.seen[key]; ok {
		return n
	}
	n := uint32(len(s.m.V))
	s.seen[key] = n
	s.m.V = append(s.m.V, v)
	if s.uv {
		s.m.UV = append(s.m.UV, uv)
	}
	return n
}

// faceted draws a body with hard edges where its faces meet at more than the crease, and with a tone of its own for each break.
func faceted(m *Mesh, body *mesh.Mesh, c tint, d draws) {
	if body == nil {
		return
	}
	lo, hi := body.Bounds()
	size := max(hi[0]-lo[0], hi[1]-lo[1], hi[2]-lo[2], .01)
	face, corner := creased(body)
	join := shared{m: m, seen: map[sharedKey]uint32{}}
	for i, f := range body.Faces {
		var g [3]uint32
		for k, v := range f {
			own := face[i]
			if len(body.Faces) > fineBody {
				own = corner[i][k]
			}
			p := Vec(body.Vertices[v])
			// Weathered hollows are darker, upper faces paler.
			tone := 1 + .16*(patch(p[0]/size*5+7*d.at(0), (p[1]+p[2])/size*5)-.5) + .06*own[2] + .05*(draws(uint64(d)+uint64(int64(own[0]*5))*31+uint64(int64(own[1]*5))*17+uint64(int64(own[2]*5))).at(3)-.5)
			g[k] = join.corner(Vertex{P: p.f32(), N: corner[i][k].f32(), C: c.mul(tone).bytes()}, [2]float32{})
		}
		m.F = append(m.F, g)
	}
}

// painted draws a user's mesh as its file says: a mesh for each of its materials that has faces.
func painted(name string, body *mesh.Mesh) []*Mesh {
	skin := body.Skin
	out := make([]*Mesh, len(skin.Materials))
	join := make([]shared, len(out))
	tone := make([][3][256]uint8, len(out)) // a level of a vertex under each material
	for i := range out {
		m := &skin.Materials[i]
		out[i] = &Mesh{Name: name, Surface: Painted, Picture: m.Image}
		join[i] = shared{m: out[i], uv: m.Image != nil, seen: map[sharedKey]uint32{}}
		for k := range 3 {
			for l := range 256 {
				tone[i][k][l] = product(uint8(l), m.Colour[k])
			}
		}
	}
	_, corner := creased(body)
	for i, f := range body.Faces {
		n := skin.Material[i]
		var g [3]uint32
		for k, v := range f {
			c := &skin.Corners[i][k]
			t := &tone[n]
			g[k] = join[n].corner(Vertex{P: Vec(body.Vertices[v]).f32(), N: corner[i][k].f32(), C: [3]uint8{t[0][c.C[0]], t[1][c.C[1]], t[2][c.C[2]]}}, [2]float32{c.U, c.V})
		}
		out[n].F = append(out[n].F, g)
	}
	return slices.DeleteFunc(out, func(m *Mesh) bool { return len(m.F) == 0 })
}

// product multiplies two sRGB levels in linear light (IEC 61966-2-1).
func product(a, b uint8) uint8 {
	v := float64(linearLevels[a]) * float64(linearLevels[b]) / (65535 * 65535)
	if v <= .0031308 {
		v *= 12.92
	} else {
		v = 1.055*math.Pow(v, 1/2.4) - .055
	}
	return uint8(math.Round(255 * v))
}

// limbs draws wood along its limbs: joined to bent paths, rounded between their corners, with knots, a twisted grain and a flare where a limb
// leaves the trunk. Limbs stay within a tenth of their radius of the body that displaces water.
func limbs(m *Mesh, list []geometry.Limb, c tint, d draws) {
	var axis []Vec
	var radius []float64
	path := 0
	flush := func() {
		if len(axis) > 1 {
			bough(m, axis, radius, c, d, path)
			path++
		}
		axis, radius = axis[:0], radius[:0]
	}
	for _, l := range list {
		a, q := Vec(l.A), Vec(l.B)
		if n := len(axis); n == 0 || axis[n-1].sub(a).len() > 1e-6 {
			flush()
			axis, radius = append(axis, a), append(radius, l.RA)
		}
		axis, radius = append(axis, q), append(radius, l.RB)
	}
	flush()
}

// bough is one bent, tapering path.
func bough(m *Mesh, axis []Vec, radius []float64, c tint, d draws, path int) {
	const fine = 4 // rings between corners
	at := func(i int) Vec { return axis[max(0, min(len(axis)-1, i))] }
	var p []Vec
	var r []float64
	for i := range len(axis) - 1 {
		for k := range fine {
			t := float64(k) / fine
			p0, p1, p2, p3 := at(i-1), at(i), at(i+1), at(i+2)
			// Catmull–Rom through the corners.
			q := Vec{}
			for x := range 3 {
				q[x] = .5 * (2*p1[x] + (p2[x]-p0[x])*t + (2*p0[x]-5*p1[x]+4*p2[x]-p3[x])*t*t + (3*p1[x]-p0[x]-3*p2[x]+p3[x])*t*t*t)
			}
			p, r = append(p, q), append(r, radius[i]+(radius[i+1]-radius[i])*t)
		}
	}
	p, r = append(p, axis[len(axis)-1]), append(r, radius[len(radius)-1]*.7)
	sides := 16
	if r[0] < .008 {
		sides = 9
	}
	first := len(m.V)
	along := 0.0
	var across Vec
	for i := range p {
		a, q := p[max(0, i-1)], p[min(len(p)-1, i+1)]
		dir := q.sub(a).unit()
		if i == 0 {
			across = dir.cross(Vec{.31, .77, .55}).unit()
		} else {
			across = across.sub(dir.mul(across.dot(dir))).unit()
			along += p[i].sub(p[i-1]).len()
		}
		other := dir.cross(across)
		for k := range sides + 1 {
			turn := 2 * math.Pi * float64(k%sides) / float64(sides)
			s, co := math.Sincos(turn)
			n := across.mul(co).add(other.mul(s))
			// Ribs that wind along the limb, and knots.
			rib := .06*math.Sin(3*turn+along*22+6*d.at(path)) + .04*math.Sin(5*turn-along*31+6*d.at(path+50))
			knot := .14 * math.Pow(patch(turn*1.3+9*float64(path), along*14), 4)
			w := r[i] * (1 + rib + knot)
			streak := patch(turn*4+13*float64(path), along*11) - .5
			fine := patch(turn*9+5*float64(path), along*40) - .5
			tone := 1 + .26*streak + .16*fine + 1.3*rib
			m.V = append(m.V, Vertex{P: p[i].add(n.mul(w)).f32(), N: n.f32(), C: c.mul(tone).mix(tint{.60, .52, .40}, .12*clamp(streak*2, 0, 1)).bytes()})
		}
	}
	m.grid(sides, len(p)-1, first, false)
	// A closed tip.
	tip := uint32(len(m.V))
	last := len(p) - 1
	m.V = append(m.V, Vertex{P: p[last].f32(), N: p[last].sub(p[last-1]).unit().f32(), C: c.mul(.9).bytes()})
	for k := range sides {
		a := uint32(first + last*(sides+1) + k)
		m.F = append(m.F, [3]uint32{a, a + 1, tip})
	}
}
