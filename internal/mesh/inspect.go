package mesh

import (
	"fmt"
	"math"
)

// Report says what is wrong with a mesh.
type Report struct {
	Faces, Vertices  int
	Shells           int  // pieces that hang together over shared edges
	OpenEdges        int  // edges that only one face touches
	NonManifoldEdges int  // edges where more than two faces meet
	DegenerateFaces  int  // faces without area
	Crossings        int  // pairs of faces that pass through one another, as far as they were looked for
	CrossingsCounted bool // false when the search stopped at its bound, so there may be more
	Closed           bool // as many sides run one way as the other along every edge, so the volume is well defined
	Oriented         bool // neighbouring faces agree which side is out
	Outward          bool // oriented, and the enclosed volume is positive
	Volume           float64
}

// Clean reports whether the mesh can be used as a solid without mending.
func (r Report) Clean() bool {
	return r.Closed && r.Oriented && r.Outward && r.Crossings == 0 && r.CrossingsCounted && r.NonManifoldEdges == 0
}

// Problems returns what a person should know, one sentence each; none for a clean mesh.
func (r Report) Problems() []string {
	var out []string
	say := func(n int, one, many string) {
		switch {
		case n == 1:
			out = append(out, one)
		case n > 1:
			out = append(out, fmt.Sprintf(many, n))
		}
	}
	say(r.OpenEdges, "The surface is open along 1 edge.", "The surface is open along %d edges.")
	say(r.NonManifoldEdges, "More than two faces meet at 1 edge.", "More than two faces meet at %d edges.")
	say(r.DegenerateFaces, "1 face has no area.", "%d faces have no area.")
	if !r.CrossingsCounted && r.Crossings > 0 {
		out = append(out, fmt.Sprintf("The surface passes through itself in at least %d places.", r.Crossings))
	} else {
		say(r.Crossings, "The surface passes through itself in 1 place.", "The surface passes through itself in %d places.")
	}
	if !r.CrossingsCounted && r.Crossings == 0 {
		out = append(out, "The surface is too crowded to be searched through for places where it passes through itself.")
	}
	if !r.Oriented {
		out = append(out, "Neighbouring faces disagree about which side is outside.")
	} else if !r.Outward && r.Closed {
		out = append(out, "The faces look inward.")
	}
	return out
}

// Inspect looks a mesh over without changing it. Vertices that only lie in the same place count as different: Weld first.
// Two faces cross when one passes through the inside of the other; faces that share a corner, or only touch, or lie in one plane, do not count.
func (m *Mesh) Inspect() Report {
	r := Report{Faces: len(m.Faces), Vertices: len(m.Vertices), Closed: true, Oriented: true}
	edges := m.halfEdges()
	groups(edges, func(side []halfEdge) {
		switch {
		case len(side) == 1:
			r.OpenEdges++
		case len(side) > 2:
			r.NonManifoldEdges++
		}
		if b := balance(side); b != 0 {
			r.Closed = false
			if len(side) == 2 {
				r.Oriented = false
			}
		}
	})
	_, _, consistent := m.shells(edges)
	r.Shells = len(consistent)
	size := m.LongestSide()
	for _, f := range m.Faces {
		// Thinner than rounding of the coordinates can tell from a line.
		if collapsed(f) || m.faceArea(f) <= 1e-14*size*size {
			r.DegenerateFaces++
		}
	}
	r.Volume = m.Volume()
	r.Outward = r.Oriented && r.Volume > 0
	r.Crossings, r.CrossingsCounted = m.crossings()
	return r
}

// Bounds of the search for crossings, our own choice: about a second of work, and enough places to say that a mesh is bad.
const (
	maxCrossings     = 1000
	maxCrossingTests = 20_000_000
)

// crossings sorts faces into a grid of boxes about two mean edges wide and tests those that share a box.
func (m *Mesh) crossings() (found int, counted bool) {
	if len(m.Faces) < 2 {
		return 0, true
	}
	lo, hi := m.Bounds()
	var edge float64
	for _, f := range m.Faces {
		edge += norm(sub(m.Vertices[f[0]], m.Vertices[f[1]]))
	}
	cell := 2 * edge / float64(len(m.Faces))
	var n [3]int
	for k := range 3 {
		n[k] = 1
		if cell > 0 {
			n[k] = int(max(1, min(256, math.Ceil((hi[k]-lo[k])/cell))))
		}
	}
	slot := func(k int, x float64) int {
		if hi[k] == lo[k] {
			return 0
		}
		return min(n[k]-1, int((x-lo[k])/(hi[k]-lo[k])*float64(n[k])))
	}
	// Two passes: count the faces of each box, then file them. A face that spans very many boxes is filed in each, so the
	// total is bounded too.
	const maxFiled = 20_000_000
	boxes := n[0] * n[1] * n[2]
	start := make([]int32, boxes+1)
	filed := 0
	span := func(f [3]int32) (a, b [3]int) {
		for k := range 3 {
			x, y, z := m.Vertices[f[0]][k], m.Vertices[f[1]][k], m.Vertices[f[2]][k]
			a[k], b[k] = slot(k, min(x, y, z)), slot(k, max(x, y, z))
		}
		return a, b
	}
	each := func(f [3]int32, visit func(box int)) {
		a, b := span(f)
		for i := a[0]; i <= b[0]; i++ {
			for j := a[1]; j <= b[1]; j++ {
				for k := a[2]; k <= b[2]; k++ {
					visit((i*n[1]+j)*n[2] + k)
				}
			}
		}
	}
	for _, f := range m.Faces {
		a, b := span(f)
		if filed += (b[0] - a[0] + 1) * (b[1] - a[1] + 1) * (b[2] - a[2] + 1); filed > maxFiled {
			return 0, false
		}
		each(f, func(box int) { start[box+1]++ })
	}
	for i := range boxes {
		start[i+1] += start[i]
	}
	list := make([]int32, filed)
	next := append([]int32(nil), start[:boxes]...)
	for i, f := range m.Faces {
		each(f, func(box int) {
			list[next[box]] = int32(i)
			next[box]++
		})
	}
	tests := 0
	for box := range boxes {
		in := list[start[box]:start[box+1]]
		for i, f := range in {
			for _, g := range in[i+1:] {
				if tests++; tests > maxCrossingTests {
					return found, false
				}
				if m.firstShared(f, g, lo, hi, n) != box {
					continue // met in an earlier box
				}
				if m.cross(m.Faces[f], m.Faces[g]) {
					if found++; found == maxCrossings {
						return found, false
					}
				}
			}
		}
	}
	return found, true
}

// firstShared is the box that holds the low corner of the overlap of two faces' boxes, so that a pair that meets in many
// boxes is tested in one only; −1 when the boxes do not overlap.
func (m *Mesh) firstShared(f, g int32, lo, hi [3]float64, n [3]int) int {
	box := 0
	for k := range 3 {
		a, b := m.Faces[f], m.Faces[g]
		a0, a1, a2 := m.Vertices[a[0]][k], m.Vertices[a[1]][k], m.Vertices[a[2]][k]
		b0, b1, b2 := m.Vertices[b[0]][k], m.Vertices[b[1]][k], m.Vertices[b[2]][k]
		low := max(min(a0, a1, a2), min(b0, b1, b2))
		if low > min(max(a0, a1, a2), max(b0, b1, b2)) {
			return -1
		}
		i := 0
		if hi[k] > lo[k] {
			i = min(n[k]-1, int((low-lo[k])/(hi[k]-lo[k])*float64(n[k])))
		}
		box = box*n[k] + i
	}
	return box
}

// cross reports whether a side of one face passes through the inside of the other.
func (m *Mesh) cross(f, g [3]int32) bool {
	for _, a := range f {
		for _, b := range g {
			if a == b {
				return false
			}
		}
	}
	return m.pierces(f, g) || m.pierces(g, f)
}

func (m *Mesh) pierces(f, g [3]int32) bool {
	a, b, c := m.Vertices[g[0]], m.Vertices[g[1]], m.Vertices[g[2]]
	u, v := sub(b, a), sub(c, a)
	n := cross(u, v)
	l := norm(n)
	if l == 0 {
		return false
	}
	var d [3]float64
	for k := range 3 {
		d[k] = dot(n, sub(m.Vertices[f[k]], a)) / l
	}
	// Nearer than this to the plane counts as touching: 1e-9 of the size of the face, far above rounding.
	near := 1e-9 * (norm(u) + norm(v))
	for k := range 3 {
		p, q := d[k], d[(k+1)%3]
		if !(p > near && q < -near || p < -near && q > near) {
			continue
		}
		from, to := m.Vertices[f[k]], m.Vertices[f[(k+1)%3]]
		t := p / (p - q)
		x := add(from, scale(sub(to, from), t))
		// Barycentric coordinates, all clearly positive when x is inside.
		w := sub(x, a)
		i, j := dot(cross(w, v), n)/(l*l), dot(cross(u, w), n)/(l*l)
		if i > 1e-9 && j > 1e-9 && i+j < 1-1e-9 {
			return true
		}
	}
	return false
}

// solidAngle is the signed angle, in steradian, under which the triangle is seen from the origin.
func solidAngle(a, b, c [3]float64) float64 {
	la, lb, lc := norm(a), norm(b), norm(c)
	return 2 * math.Atan2(dot(a, cross(b, c)), la*lb*lc+dot(a, b)*lc+dot(b, c)*la+dot(c, a)*lb)
}
