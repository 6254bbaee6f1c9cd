package geometry

import (
	"littoral/internal/mesh"
	"math"
	"slices"
)

// span is a stretch of a vertical line inside a body, m.
type span struct{ lo, hi float64 }

// crossing is where a vertical line meets a face.
type crossing struct {
	z    float64
	step int8 // +1 where the line enters going up, −1 where it leaves
}

// trace holds, for the vertical line through the centre of every cell of a raster, where it lies inside a body. Where a
// body overlaps itself (the limbs of a root at their fork) the overlap counts once.
type trace struct {
	raster
	spans [][]span
	whole float64 // volume by these lines with overlaps counted as often as they occur, m³
}

// traced cuts a closed, outward-facing body with vertical lines. A line that runs exactly through an edge is given to one
// of the two faces by the fill rule of raster graphics (the upper and left edges of a face seen from above belong to it), and the side of an
// edge is always reckoned in the same direction, so that a closed body is entered as often as it is left.
func traced(m *mesh.Mesh, r raster) *trace {
	type hit struct {
		z    float64
		cell int32 // −1 − cell where the line leaves
	}
	hits := make([]hit, 0, 2*r.nx*r.ny)
	r.each(m, func(cell int, c crossing) {
		if c.step < 0 {
			cell = -1 - cell
		}
		hits = append(hits, hit{c.z, int32(cell)})
	})
	// Sorted into their lines by counting.
	start := make([]int32, r.nx*r.ny+1)
	for _, h := range hits {
		start[max(h.cell, -1-h.cell)+1]++
	}
	for i := 1; i < len(start); i++ {
		start[i] += start[i-1]
	}
	all := make([]crossing, len(hits))
	next := slices.Clone(start[:len(start)-1])
	for _, h := range hits {
		c := crossing{h.z, 1}
		if h.cell < 0 {
			h.cell, c.step = -1-h.cell, -1
		}
		all[next[h.cell]] = c
		next[h.cell]++
	}
	t := &trace{raster: r, spans: make([][]span, r.nx*r.ny)}
	spans := make([]span, 0, len(all)/2)
	for cell := range t.spans {
		line := all[start[cell]:start[cell+1]]
		slices.SortFunc(line, func(a, b crossing) int {
			switch {
			case a.z < b.z:
				return -1
			case a.z > b.z:
				return 1
			}
			return int(b.step) - int(a.step)
		})
		from := len(spans)
		depth, entered := 0, 0.0
		for _, c := range line {
			t.whole -= float64(c.step) * c.z * r.dx * r.dy
			if depth == 0 && c.step > 0 {
				entered = c.z
			}
			depth += int(c.step)
			if depth == 0 && c.step < 0 && c.z > entered {
				spans = append(spans, span{entered, c.z})
			}
		}
		t.spans[cell] = spans[from:len(spans):len(spans)]
	}
	return t
}

// each calls visit for every meeting of a line with a face, in the order of the faces.
func (r raster) each(m *mesh.Mesh, visit func(cell int, c crossing)) {
	for _, f := range m.Faces {
		a, b, c := f[0], f[1], f[2]
		step := int8(-1) // seen from above counter-clockwise: the top of the body
		p := &m.Vertices
		area := ((*p)[b][0]-(*p)[a][0])*((*p)[c][1]-(*p)[a][1]) - ((*p)[b][1]-(*p)[a][1])*((*p)[c][0]-(*p)[a][0])
		if area == 0 {
			continue
		}
		if area < 0 {
			b, c = c, b
			step = 1
		}
		va, vb, vc := (*p)[a], (*p)[b], (*p)[c]
		x0 := r.first((min(va[0], vb[0], vc[0])-r.x0)/r.dx, r.nx)
		x1 := r.last((max(va[0], vb[0], vc[0])-r.x0)/r.dx, r.nx)
		y0 := r.first((min(va[1], vb[1], vc[1])-r.y0)/r.dy, r.ny)
		y1 := r.last((max(va[1], vb[1], vc[1])-r.y0)/r.dy, r.ny)
		for iy := y0; iy <= y1; iy++ {
			for ix := x0; ix <= x1; ix++ {
				x, y := r.centre(ix, iy)
				wc, in := side(a, b, va, vb, x, y)
				if !in {
					continue
				}
				wa, in := side(b, c, vb, vc, x, y)
				if !in {
					continue
				}
				wb, in := side(c, a, vc, va, x, y)
				if !in {
					continue
				}
				sum := wa + wb + wc
				if sum <= 0 {
					continue
				}
				visit(iy*r.nx+ix, crossing{(wa*va[2] + wb*vb[2] + wc*vc[2]) / sum, step})
			}
		}
	}
}

// first and last are the cells whose centres lie at or within a bound given in cells; a millionth of a cell is allowed for rounding.
func (r raster) first(u float64, n int) int {
	return int(max(0, min(float64(n), math.Ceil(u-0.5-1e-6))))
}

func (r raster) last(u float64, n int) int {
	return int(max(-1, min(float64(n-1), math.Floor(u-0.5+1e-6))))
}

// side returns twice the area of the triangle over the edge from vertex i to vertex j and the point, positive to the left, and
// whether the point counts as inside of that edge.
func side(i, j int32, p, q [3]float64, x, y float64) (float64, bool) {
	flipped := i > j
	if flipped {
		p, q = q, p
	}
	e := (q[0]-p[0])*(y-p[1]) - (q[1]-p[1])*(x-p[0])
	dx, dy := q[0]-p[0], q[1]-p[1]
	if flipped {
		e, dx, dy = -e, -dx, -dy
	}
	return e, e > 0 || e == 0 && (dy < 0 || dy == 0 && dx < 0)
}

// minus returns what of a is not in b; both are sorted and do not overlap themselves.
func minus(a, b []span) []span {
	if len(b) == 0 {
		return a
	}
	var out []span
	for _, s := range a {
		for _, c := range b {
			if c.hi <= s.lo || c.lo >= s.hi {
				continue
			}
			if c.lo > s.lo {
				out = append(out, span{s.lo, c.lo})
			}
			s.lo = c.hi
			if s.lo >= s.hi {
				break
			}
		}
		if s.lo < s.hi {
			out = append(out, s)
		}
	}
	return out
}

// within is the length of spans between two heights.
func within(spans []span, lo, hi float64) float64 {
	sum := 0.0
	for _, s := range spans {
		sum += max(0, min(s.hi, hi)-max(s.lo, lo))
	}
	return sum
}
