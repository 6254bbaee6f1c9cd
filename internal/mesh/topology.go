package mesh

import (
	"cmp"
	"slices"
)

// halfEdge is one side of one face.
type halfEdge struct {
	key     uint64 // the lower vertex number, then the higher: equal for all sides that meet here
	face    int32
	forward bool // runs from the lower vertex number to the higher
}

// collapsed reports whether two corners of a face are one vertex; such a face has no surface and no sides.
func collapsed(f [3]int32) bool { return f[0] == f[1] || f[1] == f[2] || f[2] == f[0] }

// halfEdges returns the sides of all faces, sorted so that sides that meet stand together, in order of their faces.
func (m *Mesh) halfEdges() []halfEdge {
	// Filed by the lower vertex first: each then has a handful of sides to be sorted.
	start := make([]int32, len(m.Vertices)+1)
	each := func(visit func(h halfEdge, low int32)) {
		for i, f := range m.Faces {
			if collapsed(f) {
				continue
			}
			for k := range 3 {
				a, b := f[k], f[(k+1)%3]
				h := halfEdge{face: int32(i), forward: a < b}
				if !h.forward {
					a, b = b, a
				}
				h.key = uint64(a)<<32 | uint64(b)
				visit(h, a)
			}
		}
	}
	each(func(_ halfEdge, low int32) { start[low+1]++ })
	for i := range m.Vertices {
		start[i+1] += start[i]
	}
	out := make([]halfEdge, start[len(m.Vertices)])
	next := append([]int32(nil), start...)
	each(func(h halfEdge, low int32) {
		out[next[low]] = h
		next[low]++
	})
	for i := range m.Vertices {
		slices.SortStableFunc(out[start[i]:start[i+1]], func(a, b halfEdge) int { return cmp.Compare(a.key, b.key) })
	}
	return out
}

// groups calls visit with the sides that meet at each edge, in order.
func groups(edges []halfEdge, visit func(side []halfEdge)) {
	for i := 0; i < len(edges); {
		j := i + 1
		for j < len(edges) && edges[j].key == edges[i].key {
			j++
		}
		visit(edges[i:j])
		i = j
	}
}

// balance is how many sides more run forward than back. It is zero at every edge of a closed surface.
func balance(side []halfEdge) int {
	n := 0
	for _, h := range side {
		if h.forward {
			n++
		} else {
			n--
		}
	}
	return n
}

// Edge is a pair of vertex numbers.
type Edge [2]int32

func (h halfEdge) edge() Edge {
	a, b := int32(h.key>>32), int32(h.key&0xffffffff)
	if h.forward {
		return Edge{a, b}
	}
	return Edge{b, a}
}

// BoundaryEdges returns the edges that only one face touches, each in the direction in which that face runs along it.
func (m *Mesh) BoundaryEdges() []Edge {
	var out []Edge
	groups(m.halfEdges(), func(side []halfEdge) {
		if len(side) == 1 {
			out = append(out, side[0].edge())
		}
	})
	return out
}

// NonManifoldEdges returns the edges at which more than two faces meet, lower vertex number first.
func (m *Mesh) NonManifoldEdges() []Edge {
	var out []Edge
	groups(m.halfEdges(), func(side []halfEdge) {
		if len(side) > 2 {
			out = append(out, Edge{int32(side[0].key >> 32), int32(side[0].key & 0xffffffff)})
		}
	})
	return out
}

// shells numbers the pieces of the mesh that hang together over edges shared by exactly two faces. It returns the piece of
// every face, the number of pieces, and for every face whether it must be turned to agree with the first face of its
// piece; consistent is false for a piece that cannot be made to agree with itself (a Möbius band).
func (m *Mesh) shells(edges []halfEdge) (shell []int32, turn []bool, consistent []bool) {
	type link struct {
		face int32
		same bool // both run the same way along the edge, so one of the two must turn
	}
	// Up to three neighbours per face, in a flat array.
	neighbours := make([]link, 3*len(m.Faces))
	degree := make([]uint8, len(m.Faces))
	groups(edges, func(side []halfEdge) {
		if len(side) != 2 {
			return
		}
		a, b := side[0], side[1]
		same := a.forward == b.forward
		neighbours[3*int(a.face)+int(degree[a.face])] = link{b.face, same}
		degree[a.face]++
		neighbours[3*int(b.face)+int(degree[b.face])] = link{a.face, same}
		degree[b.face]++
	})
	shell = make([]int32, len(m.Faces))
	turn = make([]bool, len(m.Faces))
	for i := range shell {
		shell[i] = -1
	}
	var queue []int32
	for start := range m.Faces {
		if shell[start] >= 0 {
			continue
		}
		n := int32(len(consistent))
		consistent = append(consistent, true)
		shell[start] = n
		queue = append(queue[:0], int32(start))
		for len(queue) > 0 {
			f := queue[len(queue)-1]
			queue = queue[:len(queue)-1]
			for _, l := range neighbours[3*int(f) : 3*int(f)+int(degree[f])] {
				want := turn[f] != l.same
				if shell[l.face] < 0 {
					shell[l.face] = n
					turn[l.face] = want
					queue = append(queue, l.face)
				} else if turn[l.face] != want {
					consistent[n] = false
				}
			}
		}
	}
	return shell, turn, consistent
}

// Orient turns faces, in place, so that those of each connected piece agree with their majority, and pieces look outward:
// the signed volume of the whole is positive, and a piece that is inside out is turned unless it lies inside another
// piece, where it is a hollow. It returns the number of faces turned.
func (m *Mesh) Orient() int {
	edges := m.halfEdges()
	shell, turn, consistent := m.shells(edges)
	count := len(consistent)
	ask := make([]int, count)
	size := make([]int, count)
	for i, s := range shell {
		size[s]++
		if turn[i] {
			ask[s]++
		}
	}
	flip := make([]bool, len(m.Faces))
	agreed := make([]bool, count) // as given, before anything was turned
	for i, s := range shell {
		// The majority stays; on a tie the first face stays.
		flip[i] = turn[i] != (2*ask[s] > size[s])
		agreed[s] = ask[s] == 0 && consistent[s]
	}
	m.turn(flip)
	volume, lo, hi := m.shellVolumes(shell, count)
	var total float64
	for _, v := range volume {
		total += v
	}
	whole := make([]bool, count)
	for s := range whole {
		whole[s] = total < 0
	}
	// After that, a piece still inside out is a hollow when it came in agreement with itself and lies within another piece.
	// The test costs a pass over all faces, so the work is bounded; beyond the bound the box alone decides, then nothing is a hollow.
	work := 0
	const boxOnly, enough = 50_000_000, 100_000_000
	corner := make([][3]float64, count)
	for i := len(shell) - 1; i >= 0; i-- {
		corner[shell[i]] = m.Vertices[m.Faces[i][0]]
	}
	for s := range whole {
		v := volume[s]
		if total < 0 {
			v = -v
		}
		if v >= 0 {
			continue
		}
		hollow := false
		for o := range whole {
			if work++; work > enough {
				break
			}
			if o == s || !agreed[s] || !inBox(lo[s], hi[s], lo[o], hi[o]) || (volume[o] > 0) == (volume[s] > 0) {
				continue
			}
			if work > boxOnly {
				hollow = true
				break
			}
			work += len(m.Faces)
			if m.inside(shell, int32(o), corner[s]) {
				hollow = true
				break
			}
		}
		if !hollow {
			whole[s] = !whole[s]
		}
	}
	second := make([]bool, len(m.Faces))
	turned := 0
	for i, s := range shell {
		second[i] = whole[s]
		if flip[i] != second[i] {
			turned++
		}
	}
	m.turn(second)
	return turned
}

func (m *Mesh) turn(which []bool) {
	for i, t := range which {
		if t {
			m.turnFace(i)
		}
	}
}

func inBox(lo, hi, outerLo, outerHi [3]float64) bool {
	for k := range 3 {
		if lo[k] < outerLo[k] || hi[k] > outerHi[k] {
			return false
		}
	}
	return true
}

// shellVolumes returns the signed volume and the box of every piece.
func (m *Mesh) shellVolumes(shell []int32, count int) (volume []float64, lo, hi [][3]float64) {
	parts := make([]Mesh, count)
	for i, f := range m.Faces {
		s := shell[i]
		parts[s].Faces = append(parts[s].Faces, f)
	}
	volume = make([]float64, count)
	lo, hi = make([][3]float64, count), make([][3]float64, count)
	for s := range parts {
		parts[s].Vertices = m.Vertices
		volume[s] = parts[s].Volume()
		lo[s], hi[s] = parts[s].Bounds()
	}
	return volume, lo, hi
}

// inside reports whether p is enclosed by piece s, by the solid angle under which the piece is seen (van Oosterom &
// Strackee 1983, IEEE Transactions on Biomedical Engineering 30): ±4π from within, 0 from outside.
func (m *Mesh) inside(shell []int32, s int32, p [3]float64) bool {
	var sum float64
	for i, f := range m.Faces {
		if shell[i] == s {
			sum += solidAngle(sub(m.Vertices[f[0]], p), sub(m.Vertices[f[1]], p), sub(m.Vertices[f[2]], p))
		}
	}
	return sum > 6.28 || sum < -6.28 // more than half of 4π
}
