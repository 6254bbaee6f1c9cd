package scene

import (
	"littoral/internal/geometry"
	"littoral/internal/mesh"
	"math"
)

// solid draws a stone or a piece of wood.
func (b *builder) solid(s *geometry.Solid) {
	mid := Vec{(s.Min[0] + s.Max[0]) / 2, (s.Min[1] + s.Max[1]) / 2, (s.Min[2] + s.Max[2]) / 2}
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

// faceted draws a body with hard edges where its faces meet at more than the crease, and with a tone of its own for each break.
func faceted(m *Mesh, body *mesh.Mesh, c tint, d draws) {
	if body == nil {
		return
	}
	vec := func(i int32) Vec { return Vec(body.Vertices[i]) }
	normals := make([]Vec, len(body.Faces))
	around := make([][]int32, len(body.Vertices))
	for i, f := range body.Faces {
		n := vec(f[1]).sub(vec(f[0])).cross(vec(f[2]).sub(vec(f[0])))
		normals[i] = n // as long as twice the face's area: large faces count more
		for _, v := range f {
			around[v] = append(around[v], int32(i))
		}
	}
	_, hi := body.Bounds()
	lo, _ := body.Bounds()
	size := max(hi[0]-lo[0], hi[1]-lo[1], hi[2]-lo[2], .01)
	for i, f := range body.Faces {
		own := normals[i].unit()
		k := uint32(len(m.V))
		for _, v := range f {
			sum := Vec{}
			for _, o := range around[v] {
				if normals[o].unit().dot(own) > crease {
					sum = sum.add(normals[o])
				}
			}
			p := vec(v)
			// Weathered hollows are darker, upper faces paler.
			tone := 1 + .16*(patch(p[0]/size*5+7*d.at(0), (p[1]+p[2])/size*5)-.5) + .06*own[2] + .05*(draws(uint64(d)+uint64(int64(own[0]*5))*31+uint64(int64(own[1]*5))*17+uint64(int64(own[2]*5))).at(3)-.5)
			m.V = append(m.V, Vertex{P: p.f32(), N: sum.unit().f32(), C: c.mul(tone).bytes()})
		}
		m.F = append(m.F, [3]uint32{k, k + 1, k + 2})
	}
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
