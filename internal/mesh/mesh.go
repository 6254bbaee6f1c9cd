package mesh

import (
	"math"
)

// Mesh is a set of triangles that share vertices. Seen from outside, the corners of a face run counter-clockwise.
type Mesh struct {
	Vertices [][3]float64 // positions; without unit until scaled
	Faces    [][3]int32   // indices into Vertices
	Skin     *Skin        // how it looks; nil when nothing is known of that
}

// Clone returns a copy that shares nothing with m.
func (m *Mesh) Clone() *Mesh {
	return &Mesh{
		Vertices: append([][3]float64(nil), m.Vertices...),
		Faces:    append([][3]int32(nil), m.Faces...),
		Skin:     m.Skin.clone(),
	}
}

// Bounds returns the corners of the smallest upright box that holds every vertex used by a face. Stray vertices that no
// face uses do not count. A mesh without faces gives two zero corners.
func (m *Mesh) Bounds() (lo, hi [3]float64) {
	if len(m.Faces) == 0 {
		return lo, hi
	}
	lo = [3]float64{math.Inf(1), math.Inf(1), math.Inf(1)}
	hi = [3]float64{math.Inf(-1), math.Inf(-1), math.Inf(-1)}
	for _, f := range m.Faces {
		for _, v := range f {
			p := &m.Vertices[v]
			for k := range 3 {
				lo[k] = min(lo[k], p[k])
				hi[k] = max(hi[k], p[k])
			}
		}
	}
	return lo, hi
}

// LongestSide returns the longest edge of the bounding box, in mesh units.
func (m *Mesh) LongestSide() float64 {
	lo, hi := m.Bounds()
	return max(hi[0]-lo[0], hi[1]-lo[1], hi[2]-lo[2])
}

// Volume returns the signed enclosed volume in cubed mesh units: positive when the faces look outward. It is exact for a
// closed mesh; for an open one it depends on where the opening lies and should not be used.
func (m *Mesh) Volume() float64 {
	v, _ := m.moments()
	return v
}

// Centroid returns the centre of the enclosed volume of a closed mesh. When the mesh encloses nothing it is the centre
// of the bounding box.
func (m *Mesh) Centroid() [3]float64 {
	_, c := m.moments()
	return c
}

// moments sums signed tetrahedra from the centre of the bounding box, so that a small stone far from the origin keeps its digits.
func (m *Mesh) moments() (volume float64, centroid [3]float64) {
	lo, hi := m.Bounds()
	o := scale(add(lo, hi), 0.5)
	var sum [3]float64
	for _, f := range m.Faces {
		a, b, c := sub(m.Vertices[f[0]], o), sub(m.Vertices[f[1]], o), sub(m.Vertices[f[2]], o)
		v := dot(a, cross(b, c)) / 6
		volume += v
		for k := range 3 {
			sum[k] += v * (a[k] + b[k] + c[k]) / 4
		}
	}
	centroid = o
	// Below rounding of the box's own volume the quotient is noise.
	if box := (hi[0] - lo[0]) * (hi[1] - lo[1]) * (hi[2] - lo[2]); math.Abs(volume) > 1e-12*box {
		for k := range 3 {
			centroid[k] += sum[k] / volume
		}
	}
	return volume, centroid
}

// Area returns the total area of the faces, in squared mesh units.
func (m *Mesh) Area() float64 {
	var sum float64
	for _, f := range m.Faces {
		sum += m.faceArea(f)
	}
	return sum
}

func (m *Mesh) faceArea(f [3]int32) float64 {
	a, b, c := m.Vertices[f[0]], m.Vertices[f[1]], m.Vertices[f[2]]
	return norm(cross(sub(b, a), sub(c, a))) / 2
}

// Scale multiplies every position by s (s > 0) about the origin, in place.
func (m *Mesh) Scale(s float64) {
	for i := range m.Vertices {
		m.Vertices[i] = scale(m.Vertices[i], s)
	}
}

// Translate moves every position by d, in place.
func (m *Mesh) Translate(d [3]float64) {
	for i := range m.Vertices {
		m.Vertices[i] = add(m.Vertices[i], d)
	}
}

// Rotate turns the mesh about an axis through the origin by angle radians, counter-clockwise seen against the axis, in
// place. An axis of no length leaves the mesh as it is.
func (m *Mesh) Rotate(axis [3]float64, angle float64) {
	l := norm(axis)
	if l == 0 {
		return
	}
	u := scale(axis, 1/l)
	s, c := math.Sincos(angle)
	for i, p := range m.Vertices { // Rodrigues' formula
		d := dot(u, p) * (1 - c)
		x := cross(u, p)
		for k := range 3 {
			m.Vertices[i][k] = p[k]*c + x[k]*s + u[k]*d
		}
	}
}

// RotateEuler turns the mesh about the fixed x axis, then the fixed y axis, then the fixed z axis, by the given angles
// in radians, in place.
func (m *Mesh) RotateEuler(x, y, z float64) {
	m.Rotate([3]float64{1, 0, 0}, x)
	m.Rotate([3]float64{0, 1, 0}, y)
	m.Rotate([3]float64{0, 0, 1}, z)
}

// Mirror reflects the mesh in the plane where coordinate axis (0 x, 1 y, 2 z) equals at, and turns the faces so that
// they still look outward, in place.
func (m *Mesh) Mirror(axis int, at float64) {
	for i := range m.Vertices {
		m.Vertices[i][axis] = 2*at - m.Vertices[i][axis]
	}
	m.Flip()
}

// Flip turns every face inside out, in place.
func (m *Mesh) Flip() {
	for i := range m.Faces {
		m.turnFace(i)
	}
}

// Append adds the vertices and faces of o, in place. The two are laid side by side, not joined.
func (m *Mesh) Append(o *Mesh) {
	base, before := int32(len(m.Vertices)), len(m.Faces)
	m.Vertices = append(m.Vertices, o.Vertices...)
	for _, f := range o.Faces {
		m.Faces = append(m.Faces, [3]int32{f[0] + base, f[1] + base, f[2] + base})
	}
	m.appendSkin(o, before)
}

// Weld returns a mesh in which vertices no farther apart than tolerance are one vertex; faces that collapse are dropped, and so are vertices that no face uses.
// Tolerance zero joins only vertices with equal coordinates. Earlier vertices win, so the result does not depend on anything but the input.
func (m *Mesh) Weld(tolerance float64) *Mesh {
	out := &Mesh{Faces: make([][3]int32, 0, len(m.Faces))}
	if m.Skin != nil {
		out.Skin = &Skin{Materials: m.Skin.Materials}
	}
	to := make([]int32, len(m.Vertices))
	for i := range to {
		to[i] = -1
	}
	w := newWelder(tolerance, len(m.Vertices))
	for i, f := range m.Faces {
		var g [3]int32
		for k, v := range f {
			if to[v] < 0 {
				to[v] = w.add(m.Vertices[v])
			}
			g[k] = to[v]
		}
		if g[0] != g[1] && g[1] != g[2] && g[2] != g[0] {
			out.Faces = append(out.Faces, g)
			if m.Skin != nil {
				out.Skin.Corners, out.Skin.Material = append(out.Skin.Corners, m.Skin.Corners[i]), append(out.Skin.Material, m.Skin.Material[i])
			}
		}
	}
	out.Vertices = w.vertices
	return out.compact()
}

// compact drops vertices that no face uses.
func (m *Mesh) compact() *Mesh {
	to := make([]int32, len(m.Vertices))
	n := int32(0)
	for _, f := range m.Faces {
		for _, v := range f {
			if to[v] == 0 {
				n++
				to[v] = n
			}
		}
	}
	if int(n) == len(m.Vertices) {
		return m
	}
	kept := make([][3]float64, n)
	for v, t := range to {
		if t > 0 {
			kept[t-1] = m.Vertices[v]
		}
	}
	for i, f := range m.Faces {
		m.Faces[i] = [3]int32{to[f[0]] - 1, to[f[1]] - 1, to[f[2]] - 1}
	}
	m.Vertices = kept
	return m
}

// welder gives equal or nearly equal positions one index.
type welder struct {
	tolerance float64
	vertices  [][3]float64
	exact     map[[3]uint64]int32
	cells     map[[3]int32]int32 // the vertex filed last in a cell
	next      []int32            // the one filed in the same cell before; −1 for none
}

// weldCells is how many tolerances wide the cells are in which vertices are filed: so wide that few vertices lie near a border and have to be
// looked for beyond it, so narrow that few share a cell.
const weldCells = 16

func newWelder(tolerance float64, hint int) *welder {
	w := &welder{tolerance: tolerance}
	if tolerance > 0 {
		w.cells = make(map[[3]int32]int32, hint/2)
	} else {
		w.exact = make(map[[3]uint64]int32, hint)
	}
	return w
}

func (w *welder) add(p [3]float64) int32 {
	if w.exact != nil {
		var key [3]uint64
		for k := range 3 {
			key[k] = math.Float64bits(p[k] + 0) // +0 makes −0 and 0 one key
		}
		if i, ok := w.exact[key]; ok {
			return i
		}
		i := int32(len(w.vertices))
		w.exact[key] = i
		w.vertices = append(w.vertices, p)
		return i
	}
	var cell, from, to [3]int32
	for k := range 3 {
		// Clamped so that absurd coordinates cannot overflow the cell number; they then merely share cells.
		at := max(-1e9, min(1e9, p[k]/(weldCells*w.tolerance)))
		cell[k] = int32(math.Floor(at))
		from[k], to[k] = int32(math.Floor(at-1.01/weldCells)), int32(math.Floor(at+1.01/weldCells))
	}
	best := int32(-1)
	for x := from[0]; x <= to[0]; x++ {
		for y := from[1]; y <= to[1]; y++ {
			for z := from[2]; z <= to[2]; z++ {
				i, ok := w.cells[[3]int32{x, y, z}]
				for ; ok && i >= 0; i = w.next[i] {
					if norm(sub(w.vertices[i], p)) <= w.tolerance && (best < 0 || i < best) {
						best = i
					}
				}
			}
		}
	}
	if best >= 0 {
		return best
	}
	i := int32(len(w.vertices))
	before, ok := w.cells[cell]
	if !ok {
		before = -1
	}
	w.cells[cell] = i
	w.vertices, w.next = append(w.vertices, p), append(w.next, before)
	return i
}

func add(a, b [3]float64) [3]float64 { return [3]float64{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }
func sub(a, b [3]float64) [3]float64 { return [3]float64{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
func dot(a, b [3]float64) float64    { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func norm(a [3]float64) float64      { return math.Sqrt(dot(a, a)) }
func scale(a [3]float64, s float64) [3]float64 {
	return [3]float64{a[0] * s, a[1] * s, a[2] * s}
}

func cross(a, b [3]float64) [3]float64 {
	return [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}
