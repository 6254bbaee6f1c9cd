package picture

import (
	"littoral/internal/geometry"
	"littoral/internal/mesh"
	"math"
)

// A body of many faces (a scanned stone has tens of thousands) is drawn by what one sees of it: its faces are looked at through a
// grid of one drawing unit, sorted into four tones by the way they face, and each tone is traced as flat facets with an ink outline.

// facets are outlines of a body in drawing units: the silhouette and, for each tone from lit to shaded, its patches.
type facets struct {
	outline [][][2]float64
	tone    [4][][][2]float64
}

// light comes from above, from the viewer's left, over the shoulder: in view coordinates right, up, towards the viewer.
var light = [3]float64{-0.45, 0.75, 0.48}

// look projects a body. at gives the place in drawing units (x right, y down) and the distance; seen tells whether a point of the body
// in tank coordinates is in sight (not under the bed).
func look(m *mesh.Mesh, at func(p [3]float64) (x, y, away float64), seen func(p [3]float64) bool) facets {
	var out facets
	if m == nil || len(m.Faces) == 0 {
		return out
	}
	type corner struct{ x, y, z float64 }
	pts := make([]corner, len(m.Vertices))
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for i, p := range m.Vertices {
		x, y, z := at(p)
		pts[i] = corner{x, y, z}
		x0, x1, y0, y1 = min(x0, x), max(x1, x), min(y0, y), max(y1, y)
	}
	if !(x1-x0 < 5000) || !(y1-y0 < 5000) {
		return out
	}
	x0, y0 = math.Floor(x0)-2, math.Floor(y0)-2
	nx, ny := int(x1-x0)+4, int(y1-y0)+4
	depth := make([]float64, nx*ny)
	tones := make([]int8, nx*ny)
	for i := range depth {
		depth[i], tones[i] = math.Inf(1), -1
	}
	for _, f := range m.Faces {
		a, b, c := pts[f[0]], pts[f[1]], pts[f[2]]
		// Normal in view space: x right, y up, z towards the viewer.
		ux, uy, uz := b.x-a.x, -(b.y - a.y), -(b.z - a.z)
		vx, vy, vz := c.x-a.x, -(c.y - a.y), -(c.z - a.z)
		n := [3]float64{uy*vz - uz*vy, uz*vx - ux*vz, ux*vy - uy*vx}
		l := math.Sqrt(n[0]*n[0] + n[1]*n[1] + n[2]*n[2])
		if l == 0 {
			continue
		}
		if n[2] < 0 { // open or turned-round faces are lit from the side one sees
			l = -l
		}
		lit := (n[0]*light[0] + n[1]*light[1] + n[2]*light[2]) / l
		t := int8(clamp(math.Floor((0.95-lit)/0.32), 0, 3))
		den := (b.y-c.y)*(a.x-c.x) + (c.x-b.x)*(a.y-c.y)
		if den == 0 {
			continue
		}
		lx, hx := int(min(a.x, b.x, c.x)-x0), int(max(a.x, b.x, c.x)-x0)+1
		ly, hy := int(min(a.y, b.y, c.y)-y0), int(max(a.y, b.y, c.y)-y0)+1
		for iy := max(ly, 0); iy <= min(hy, ny-1); iy++ {
			for ix := max(lx, 0); ix <= min(hx, nx-1); ix++ {
				px, py := x0+float64(ix)+.5, y0+float64(iy)+.5
				wa := ((b.y-c.y)*(px-c.x) + (c.x-b.x)*(py-c.y)) / den
				wb := ((c.y-a.y)*(px-c.x) + (a.x-c.x)*(py-c.y)) / den
				wc := 1 - wa - wb
				if wa < -1e-9 || wb < -1e-9 || wc < -1e-9 {
					continue
				}
				z := wa*a.z + wb*b.z + wc*c.z
				k := iy*nx + ix
				if z >= depth[k] {
					continue
				}
				var p [3]float64
				for d := range 3 {
					p[d] = wa*m.Vertices[f[0]][d] + wb*m.Vertices[f[1]][d] + wc*m.Vertices[f[2]][d]
				}
				if !seen(p) {
					continue
				}
				depth[k], tones[k] = z, t
			}
		}
	}
	trace := func(in func(int8) bool, least float64) [][][2]float64 {
		v := make([]float64, nx*ny)
		for i, t := range tones {
			if in(t) {
				v[i] = 1
			}
		}
		var loops [][][2]float64
		for _, l := range geometry.Contours(v, nx, ny, 1, 1, .5) {
			if len(l) < 4 || math.Abs(outlineArea(l)) < least {
				continue
			}
			for i := range l {
				l[i][0] += x0 + .5
				l[i][1] += y0 + .5
			}
			if s := geometry.Simplify(l, 1.1); len(s) > 3 {
				loops = append(loops, s[:len(s)-1])
			}
		}
		return loops
	}
	out.outline = trace(func(t int8) bool { return t >= 0 }, 4)
	for k := range out.tone {
		out.tone[k] = trace(func(t int8) bool { return t == int8(k) }, 14)
	}
	return out
}

// draw writes the facets: a ground tone inside the silhouette, then the patches, then the ink.
func (f facets) draw(s *sheet, letter string) {
	if len(f.outline) == 0 {
		return
	}
	d := func(loops [][][2]float64) string {
		var p path
		for _, l := range loops {
			p.poly(l, true)
		}
		return p.String()
	}
	sil := d(f.outline)
	s.add(`<path fill-rule="evenodd" class="`, letter, `1" d="`, sil, `"/>`)
	for _, k := range []int{0, 2, 3} {
		if len(f.tone[k]) > 0 {
			s.add(`<path fill-rule="evenodd" class="`, letter, string(rune('0'+k)), `" d="`, d(f.tone[k]), `"/>`)
		}
	}
	s.add(`<path class="ol" d="`, sil, `"/>`)
}
