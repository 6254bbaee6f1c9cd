package geometry

import "math"

// Contours traces the lines where a field equals level (marching squares; the saddle is cut by its middle value). v are its values at nx by ny
// nodes, rows along x, which lie dx and dy apart from the origin on; no value may equal level, since two lines would meet in that node. Lines
// end at the field's edge or close on themselves, and then end where they begin.
func Contours(v []float64, nx, ny int, dx, dy, level float64) [][][2]float64 {
	// Edges are numbered so that segments can be chained exactly.
	type edge = int // 2·node for the edge to the right, 2·node+1 for the edge upwards
	place := func(e edge) [2]float64 {
		n := e / 2
		m := n + 1
		if e%2 == 1 {
			m = n + nx
		}
		t := (level - v[n]) / (v[m] - v[n])
		x, y := float64(n%nx), float64(n/nx)
		if e%2 == 0 {
			x += t
		} else {
			y += t
		}
		return [2]float64{x * dx, y * dy}
	}
	next := map[edge][]edge{}
	var order []edge
	join := func(a, b edge) {
		if len(next[a]) == 0 {
			order = append(order, a)
		}
		if len(next[b]) == 0 {
			order = append(order, b)
		}
		next[a] = append(next[a], b)
		next[b] = append(next[b], a)
	}
	for j := 0; j < ny-1; j++ {
		for i := 0; i < nx-1; i++ {
			n := j*nx + i
			bottom, right, top, left := 2*n, 2*(n+1)+1, 2*(n+nx), 2*n+1
			var c int
			if v[n] > level {
				c |= 1
			}
			if v[n+1] > level {
				c |= 2
			}
			if v[n+nx+1] > level {
				c |= 4
			}
			if v[n+nx] > level {
				c |= 8
			}
			switch c {
			case 1, 14:
				join(left, bottom)
			case 2, 13:
				join(bottom, right)
			case 4, 11:
				join(right, top)
			case 8, 7:
				join(top, left)
			case 3, 12:
				join(left, right)
			case 6, 9:
				join(bottom, top)
			case 5, 10:
				mid := (v[n] + v[n+1] + v[n+nx] + v[n+nx+1]) / 4
				if (mid > level) == (c == 5) {
					join(left, top)
					join(bottom, right)
				} else {
					join(left, bottom)
					join(right, top)
				}
			}
		}
	}
	used := map[edge]bool{}
	var out [][][2]float64
	walk := func(start edge) {
		line := [][2]float64{place(start)}
		used[start] = true
		at := start
		for {
			found := false
			for _, e := range next[at] {
				if !used[e] {
					used[e] = true
					line = append(line, place(e))
					at, found = e, true
					break
				}
			}
			if !found {
				break
			}
		}
		if len(next[start]) == 2 && len(line) > 2 { // a closed line comes home
			line = append(line, line[0])
		}
		out = append(out, line)
	}
	for _, e := range order { // open lines first, from their ends
		if len(next[e]) == 1 && !used[e] {
			walk(e)
		}
	}
	for _, e := range order {
		if !used[e] {
			walk(e)
		}
	}
	return out
}

// Simplify drops points that lie nearer than tol to the line without them (Douglas and Peucker 1973).
func Simplify(p [][2]float64, tol float64) [][2]float64 {
	if len(p) < 3 {
		return p
	}
	keep := make([]bool, len(p))
	keep[0], keep[len(p)-1] = true, true
	stack := [][2]int{{0, len(p) - 1}}
	for len(stack) > 0 {
		s := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		a, b := p[s[0]], p[s[1]]
		far, at := tol, -1
		for i := s[0] + 1; i < s[1]; i++ {
			if d := fromStretch(p[i], a, b); d > far {
				far, at = d, i
			}
		}
		if at > 0 {
			keep[at] = true
			stack = append(stack, [2]int{s[0], at}, [2]int{at, s[1]})
		}
	}
	var out [][2]float64
	for i, k := range keep {
		if k {
			out = append(out, p[i])
		}
	}
	return out
}

// fromStretch is the distance of p from the segment a–b.
func fromStretch(p, a, b [2]float64) float64 {
	dx, dy := b[0]-a[0], b[1]-a[1]
	l := dx*dx + dy*dy
	t := 0.0
	if l > 0 {
		t = max(0, min(1, ((p[0]-a[0])*dx+(p[1]-a[1])*dy)/l))
	}
	return math.Hypot(p[0]-a[0]-t*dx, p[1]-a[1]-t*dy)
}

// Outline returns what covers the ground of a piece seen from above, in m: closed lines of which the first point is not repeated, one for each part
// and each hole of more than a few square millimetres. cells is how many lines are looked at across its longer side.
func (s *Solid) Outline(cells int) [][][2]float64 {
	if s.Body == nil || len(s.Body.Faces) == 0 {
		return nil
	}
	r := s.box(cells)
	body := traced(s.Body, r)
	nx, ny := r.nx+2, r.ny+2 // with an empty rim, so that every line closes
	v := make([]float64, nx*ny)
	for iy := range r.ny {
		for ix := range r.nx {
			if len(body.spans[iy*r.nx+ix]) > 0 {
				v[(iy+1)*nx+ix+1] = 1
			}
		}
	}
	var out [][][2]float64
	for _, line := range Contours(v, nx, ny, r.dx, r.dy, 0.5) {
		if len(line) < 6 { // a single cell
			continue
		}
		for i := range line {
			line[i][0] += r.x0 - r.dx/2
			line[i][1] += r.y0 - r.dy/2
		}
		if line = Simplify(line, 0.7*max(r.dx, r.dy)); len(line) > 3 {
			out = append(out, line[:len(line)-1])
		}
	}
	return out
}
