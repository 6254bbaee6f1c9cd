package geometry

import "math"

// Open tells, for the face between each column and its neighbour, what share of it is free of hardscape, 0 to 1: soil creeps through what is
// free. A face reaches from a depth of moving m under the lower side of the bed to its higher side, so a stone that is not sunk leaks below,
// and one that is lower than the bed behind it spills over. Right[i] is the face to column i+1, back[i] that to column i+NX; where there is
// no neighbour with bed, and along a cap that a barrier parts from the bed, the face is closed.
func (m *Model) Open(c *Columns, moving float64) (right, back []float64) {
	n := c.NX * c.NY
	right, back = make([]float64, n), make([]float64, n)
	lines := max(2, int(math.Ceil(c.Cell/fineM-1e-9))) // across a face
	step := c.Cell / float64(lines)
	for axis, open := range [][]float64{right, back} {
		// The raster's centres lie on the faces.
		r := raster{x0: c.Cell / 2, dx: c.Cell, dy: step, nx: c.NX, ny: c.NY * lines}
		if axis == 1 {
			r = raster{y0: c.Cell / 2, dx: step, dy: c.Cell, nx: c.NX * lines, ny: c.NY}
		}
		closed := make([]float64, n)
		face := func(ix, iy int) int { // of a line
			if axis == 0 {
				return iy/lines*c.NX + ix
			}
			return iy*c.NX + ix/lines
		}
		neighbour := func(i int) (int, bool) {
			j := i + 1
			if axis == 1 {
				j = i + c.NX
			}
			return j, j < n && (axis == 1 || j%c.NX != 0) && c.Area[i] > 0 && c.Area[j] > 0
		}
		spans := make([][]span, r.nx*r.ny)
		for i := range m.Solids {
			sub, ox, oy := r.over(&m.Solids[i])
			if sub.nx == 0 || sub.ny == 0 {
				continue
			}
			t := traced(m.Solids[i].Body, sub)
			for iy := range sub.ny {
				for ix := range sub.nx {
					k := (oy+iy)*r.nx + ox + ix
					spans[k] = append(spans[k], minusAll(t.spans[iy*sub.nx+ix], spans[k])...)
				}
			}
		}
		for iy := range r.ny {
			for ix := range r.nx {
				i := face(ix, iy)
				j, ok := neighbour(i)
				if !ok || len(spans[iy*r.nx+ix]) == 0 {
					continue
				}
				lo, hi := min(c.Top[i], c.Top[j])-moving, max(c.Top[i], c.Top[j])
				lo = max(lo, 0)
				if hi > lo {
					closed[i] += min(1, within(spans[iy*r.nx+ix], lo, hi)/(hi-lo)) / float64(lines)
				}
			}
		}
		for i := range n {
			if j, ok := neighbour(i); ok && !m.Ground.barrier(c, i, j) {
				open[i] = max(0, 1-closed[i])
			}
		}
	}
	return right, back
}

// barrier tells whether a barrier along the edge of a cap stands between two columns: a column belongs to a cap where it holds more than half of
// the cap's greatest depth.
func (g *Ground) barrier(c *Columns, i, j int) bool {
	for l, barred := range g.barred {
		if !barred || l >= len(c.Depth) {
			continue
		}
		half := 0.0
		for _, d := range c.Depth[l] {
			half = max(half, d/2)
		}
		if (c.Depth[l][i] > half) != (c.Depth[l][j] > half) {
			return true
		}
	}
	return false
}

// minusAll returns what of a is in none of the spans of b, which need not be sorted.
func minusAll(a, b []span) []span {
	for _, s := range b {
		a = minus(a, []span{s})
	}
	return a
}
