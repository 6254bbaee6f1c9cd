package mesh

import (
	"math"
	"slices"
)

// Enough is to how many faces Simplify brings a mesh that is to stand in a tank: on a stone of 60 cm they are 2 to 3 mm wide, a tenth of a voxel of
// light and about a pixel of a picture. Our own choice.
const Enough = 150_000

// Simplify returns a mesh of at most most faces (at least 16) of the same shape, and how far the farthest corner that was kept has moved, in mesh
// units. A mesh that has no more is returned as a copy.
//
// Corners in the same cell of a grid become one, at the place that lies closest to the planes of all faces they had (vertex clustering with
// quadrics: Rossignac & Borrel 1993; Lindstrom 2000, "Out-of-core simplification of large polygonal models", after Garland & Heckbert 1997). Faces
// with two corners in one cell vanish, and so do pairs of faces that come to lie on each other back to back. Every face that is left is one that was
// there, so along each edge as many sides run one way as the other where they did before: a watertight mesh stays watertight. Thin parts may come to touch themselves.
// Places on pictures are averaged over the corners of a cell, each unbroken piece of the picture by itself.
func (m *Mesh) Simplify(most int) (*Mesh, float64) {
	most = max(16, most)
	if len(m.Faces) <= most {
		return m.Clone(), 0
	}
	lo, hi := m.Bounds()
	d := sub(hi, lo)
	// A closed surface has about half as many cells along it as faces are left; begin there and come closer by the square law of areas.
	area := max(m.Area(), 1e-12*dot(d, d))
	cell := math.Sqrt(2.2 * area / float64(most))
	var c *cells
	for range 12 {
		c = m.cells(cell, lo)
		n := c.count(m)
		if n > most {
			cell *= max(1.02, math.Sqrt(float64(n)/float64(most))*1.03)
			continue
		}
		if n >= most/2 {
			break
		}
		// Coarser than it need be, as with deep folds: one step back.
		finer := m.cells(cell*.8, lo)
		if finer.count(m) > most {
			break
		}
		c, cell = finer, cell*.8
	}
	for c.count(m) > most { // surfaces that fill space
		cell *= 1.3
		c = m.cells(cell, lo)
	}
	return c.build(m, cell)
}

// cells says in which cell each corner lies.
type cells struct {
	of     []int32 // by vertex
	number int
}

func (m *Mesh) cells(cell float64, lo [3]float64) *cells {
	c := &cells{of: make([]int32, len(m.Vertices))}
	known := make(map[[3]int32]int32, 1<<16)
	for i, p := range m.Vertices {
		var key [3]int32
		for k := range 3 {
			// Half a cell aside: flat undersides lie in the middle of cells, not on their border.
			key[k] = int32(max(-1e9, min(1e9, math.Floor((p[k]-lo[k])/cell+.5))))
		}
		n, ok := known[key]
		if !ok {
			n = int32(len(known))
			known[key] = n
		}
		c.of[i] = n
	}
	c.number = len(known)
	return c
}

// count is how many faces have their corners in three cells.
func (c *cells) count(m *Mesh) int {
	n := 0
	for _, f := range m.Faces {
		if !collapsed([3]int32{c.of[f[0]], c.of[f[1]], c.of[f[2]]}) {
			n++
		}
	}
	return n
}

// build makes the simplified mesh.
func (c *cells) build(m *Mesh, cell float64) (*Mesh, float64) {
	q := make([]quadric, c.number)
	mean := make([][3]float64, c.number)
	members := make([]float64, c.number)
	for v, p := range m.Vertices {
		n := c.of[v]
		mean[n] = add(mean[n], p)
		members[n]++
	}
	for n := range mean {
		mean[n] = scale(mean[n], 1/members[n])
	}
	for _, f := range m.Faces {
		a, b, d := m.Vertices[f[0]], m.Vertices[f[1]], m.Vertices[f[2]]
		normal := cross(sub(b, a), sub(d, a)) // as long as twice the area: large faces count more
		for k, v := range f {
			if n := c.of[v]; k == 0 || n != c.of[f[0]] && (k == 1 || n != c.of[f[1]]) { // once for each cell
				q[n].plane(normal, dot(normal, sub(a, mean[n])))
			}
		}
	}
	out := &Mesh{Vertices: make([][3]float64, c.number)}
	for n := range out.Vertices {
		out.Vertices[n] = add(mean[n], q[n].lowest(cell))
	}
	far := 0.0
	for v, p := range m.Vertices {
		far = max(far, q[c.of[v]].distance(sub(p, mean[c.of[v]]), sub(out.Vertices[c.of[v]], mean[c.of[v]])))
	}
	kept := c.kept(m)
	for _, i := range kept {
		f := m.Faces[i]
		out.Faces = append(out.Faces, [3]int32{c.of[f[0]], c.of[f[1]], c.of[f[2]]})
	}
	if m.Skin != nil {
		out.Skin = c.skin(m, kept)
	}
	return out.compact(), far
}

// kept lists faces that are left: with corners in three cells, without pairs back to back.
func (c *cells) kept(m *Mesh) []int32 {
	type side struct {
		key  [3]int32 // cells, sorted
		face int32
		up   bool
	}
	var all []side
	for i, f := range m.Faces {
		g := [3]int32{c.of[f[0]], c.of[f[1]], c.of[f[2]]}
		if collapsed(g) {
			continue
		}
		s := side{key: g, face: int32(i)}
		slices.Sort(s.key[:])
		// Up when the corners run as the sorted ones do.
		s.up = g == s.key || g == [3]int32{s.key[1], s.key[2], s.key[0]} || g == [3]int32{s.key[2], s.key[0], s.key[1]}
		all = append(all, s)
	}
	slices.SortFunc(all, func(a, b side) int {
		if d := slices.Compare(a.key[:], b.key[:]); d != 0 {
			return d
		}
		return int(a.face) - int(b.face)
	})
	var out []int32
	for i := 0; i < len(all); {
		j, up := i, 0
		for ; j < len(all) && all[j].key == all[i].key; j++ {
			if all[j].up {
				up++
			} else {
				up--
			}
		}
		for ; i < j; i++ { // as many as one way has more than the other
			if all[i].up && up > 0 {
				out = append(out, all[i].face)
				up--
			} else if !all[i].up && up < 0 {
				out = append(out, all[i].face)
				up++
			}
		}
	}
	slices.Sort(out)
	return out
}

// quadric is the sum of squared distances from planes, about a middle: xᵀAx + 2bᵀx + …, after Garland & Heckbert 1997.
type quadric struct {
	xx, xy, xz, yy, yz, zz float64
	b                      [3]float64
	weight                 float64
}

// plane adds the plane normal·x = at; the weight is the square of the normal's length.
func (q *quadric) plane(n [3]float64, at float64) {
	q.xx += n[0] * n[0]
	q.xy += n[0] * n[1]
	q.xz += n[0] * n[2]
	q.yy += n[1] * n[1]
	q.yz += n[1] * n[2]
	q.zz += n[2] * n[2]
	q.b = sub(q.b, scale(n, at))
	q.weight += dot(n, n)
}

// lowest is where the quadric is least, held to the middle where planes leave it free and within the cell.
func (q *quadric) lowest(cell float64) [3]float64 {
	if !(q.weight > 0) {
		return [3]float64{}
	}
	// A spring to the middle, a hundredth as stiff as the planes together (Lindstrom 2000 cuts small singular values off instead).
	e := .01 * q.weight
	a, b, c := q.xx+e, q.yy+e, q.zz+e
	det := a*(b*c-q.yz*q.yz) - q.xy*(q.xy*c-q.yz*q.xz) + q.xz*(q.xy*q.yz-b*q.xz)
	if !(det > 0) {
		return [3]float64{}
	}
	r := scale(q.b, -1/det)
	x := [3]float64{
		r[0]*(b*c-q.yz*q.yz) + r[1]*(q.xz*q.yz-q.xy*c) + r[2]*(q.xy*q.yz-q.xz*b),
		r[0]*(q.yz*q.xz-q.xy*c) + r[1]*(a*c-q.xz*q.xz) + r[2]*(q.xy*q.xz-a*q.yz),
		r[0]*(q.xy*q.yz-b*q.xz) + r[1]*(q.xz*q.xy-a*q.yz) + r[2]*(a*b-q.xy*q.xy),
	}
	for k := range 3 {
		x[k] = max(-cell, min(cell, x[k]))
	}
	return x
}

// distance is how far two places lie apart across the surface that the quadric stands for: the mean over its planes.
func (q *quadric) distance(a, b [3]float64) float64 {
	if !(q.weight > 0) {
		return 0
	}
	d := sub(a, b)
	s := q.xx*d[0]*d[0] + q.yy*d[1]*d[1] + q.zz*d[2]*d[2] + 2*(q.xy*d[0]*d[1]+q.xz*d[0]*d[2]+q.yz*d[1]*d[2])
	return math.Sqrt(max(0, s) / q.weight)
}

// skin carries the looks of the faces that are kept over to their new corners.
func (c *cells) skin(m *Mesh, kept []int32) *Skin {
	chart := m.charts()
	type spot struct {
		cell, chart int32
	}
	type sum struct{ u, v, r, g, b, n float64 }
	number := map[spot]int32{}
	var sums []sum
	wanted := func(i int32) {
		for _, v := range m.Faces[i] {
			s := spot{c.of[v], chart[i]}
			if _, ok := number[s]; !ok {
				number[s] = int32(len(sums))
				sums = append(sums, sum{})
			}
		}
	}
	for _, i := range kept {
		wanted(i)
	}
	for i, f := range m.Faces {
		for k, v := range f {
			n, ok := number[spot{c.of[v], chart[i]}]
			if !ok {
				continue
			}
			o, s := &m.Skin.Corners[i][k], &sums[n]
			s.u, s.v, s.n = s.u+float64(o.U), s.v+float64(o.V), s.n+1
			s.r, s.g, s.b = s.r+float64(o.C[0]), s.g+float64(o.C[1]), s.b+float64(o.C[2])
		}
	}
	out := &Skin{Materials: m.Skin.Materials}
	for _, i := range kept {
		var corners [3]Corner
		for k, v := range m.Faces[i] {
			s := &sums[number[spot{c.of[v], chart[i]}]]
			part := func(x float64) uint8 { return uint8(math.Round(x / s.n)) }
			corners[k] = Corner{U: float32(s.u / s.n), V: float32(s.v / s.n), C: [3]uint8{part(s.r), part(s.g), part(s.b)}}
		}
		out.Corners, out.Material = append(out.Corners, corners), append(out.Material, m.Skin.Material[i])
	}
	return out
}

// charts numbers the unbroken pieces of the pictures: faces of one material that share a corner with the same place on the picture.
func (m *Mesh) charts() []int32 {
	up := make([]int32, len(m.Faces))
	for i := range up {
		up[i] = int32(i)
	}
	root := func(i int32) int32 {
		for up[i] != i {
			up[i] = up[up[i]]
			i = up[i]
		}
		return i
	}
	// For each vertex, a chain of the different places that it has on pictures, each with one of its faces.
	type place struct {
		u, v     float32
		material uint16
		face     int32
		next     int32
	}
	first := make([]int32, len(m.Vertices))
	var places []place
	for i, f := range m.Faces {
	corners:
		for k, v := range f {
			c := &m.Skin.Corners[i][k]
			steps := 0
			for n := first[v]; n > 0 && steps < 64; n = places[n-1].next {
				p := &places[n-1]
				if p.u == c.U && p.v == c.V && p.material == m.Skin.Material[i] {
					if a, b := root(p.face), root(int32(i)); a != b {
						up[max(a, b)] = min(a, b)
					}
					continue corners
				}
				steps++
			}
			places = append(places, place{c.U, c.V, m.Skin.Material[i], int32(i), first[v]})
			first[v] = int32(len(places))
		}
	}
	for i := range up {
		up[i] = root(int32(i))
	}
	return up
}
