package picture

import (
	"littoral/internal/forecast"
	"littoral/internal/geometry"
	"math"
)

// field is a value over the floor of the tank, known at the middle of cells.
type field struct {
	nx, ny int
	cx, cy float64 // edges of a cell, m
	v      []float64
}

// fill gives cells that are not known the mean of their known neighbours, ring by ring, so that contours run up to a curved glass.
func (f *field) fill(known []bool) {
	if len(known) != len(f.v) {
		return
	}
	ok := append([]bool(nil), known...)
	for {
		var add []int
		var val []float64
		for i := range f.v {
			if ok[i] {
				continue
			}
			ix, iy, sum, n := i%f.nx, i/f.nx, 0.0, 0.0
			for dy := -1; dy <= 1; dy++ {
				for dx := -1; dx <= 1; dx++ {
					x, y := ix+dx, iy+dy
					if x >= 0 && y >= 0 && x < f.nx && y < f.ny && ok[y*f.nx+x] {
						sum += f.v[y*f.nx+x]
						n++
					}
				}
			}
			if n > 0 {
				add, val = append(add, i), append(val, sum/n)
			}
		}
		if len(add) == 0 {
			return
		}
		for k, i := range add {
			f.v[i], ok[i] = val[k], true
		}
	}
}

// cell returns the value at a cell, carried on straight beyond the edges.
func (f *field) cell(ix, iy int) float64 {
	line := func(i, n int) (a, b int, t float64) { // value = v[a] + t·(v[b] − v[a])
		switch {
		case n == 1:
			return 0, 0, 0
		case i < 0:
			return 0, 1, float64(i)
		case i >= n:
			return n - 1, n - 2, float64(n - 1 - i)
		}
		return i, i, 0
	}
	xa, xb, tx := line(ix, f.nx)
	ya, yb, ty := line(iy, f.ny)
	row := func(y int) float64 {
		a, b := f.v[y*f.nx+xa], f.v[y*f.nx+xb]
		return a + tx*(b-a)
	}
	a, b := row(ya), row(yb)
	return a + ty*(b-a)
}

// at returns the value at a place in m, smooth through the cells (Catmull–Rom in both directions).
func (f *field) at(x, y float64) float64 {
	if f.nx == 0 || f.ny == 0 {
		return 0
	}
	gx := clamp(x/f.cx-.5, -1, float64(f.nx))
	gy := clamp(y/f.cy-.5, -1, float64(f.ny))
	ix, iy := int(math.Floor(gx)), int(math.Floor(gy))
	tx, ty := gx-float64(ix), gy-float64(iy)
	var rows [4]float64
	for r := range 4 {
		y := iy + r - 1
		rows[r] = spline(f.cell(ix-1, y), f.cell(ix, y), f.cell(ix+1, y), f.cell(ix+2, y), tx)
	}
	return spline(rows[0], rows[1], rows[2], rows[3], ty)
}

// flat returns the value at a place in m, straight between the cells: for the many points of a body's faces.
func (f *field) flat(x, y float64) float64 {
	if len(f.v) == 0 {
		return 0
	}
	gx := clamp(x/f.cx-.5, 0, float64(f.nx-1))
	gy := clamp(y/f.cy-.5, 0, float64(f.ny-1))
	ix, iy := min(int(gx), max(f.nx-2, 0)), min(int(gy), max(f.ny-2, 0))
	tx, ty := gx-float64(ix), gy-float64(iy)
	jx, jy := min(ix+1, f.nx-1), min(iy+1, f.ny-1)
	a := f.v[iy*f.nx+ix] + tx*(f.v[iy*f.nx+jx]-f.v[iy*f.nx+ix])
	b := f.v[jy*f.nx+ix] + tx*(f.v[jy*f.nx+jx]-f.v[jy*f.nx+ix])
	return a + ty*(b-a)
}

func spline(a, b, c, d, t float64) float64 {
	return b + .5*t*(c-a+t*(2*a-5*b+4*c-d+t*(3*(b-c)+d-a)))
}

// groundCell is the step at which the bed is drawn, m: fine enough for the edge of a sand path.
const groundCell = 0.02

// groundOf is the top of the bed: of the model's own surface where there is one, else of the columns.
func groundOf(f *forecast.Forecast) *field {
	if t := &f.Model.Tank; f.Model.Ground != nil && t.LX > 0 && t.LY > 0 {
		nx, ny := max(2, int(t.LX/groundCell+.5)), max(2, int(t.LY/groundCell+.5))
		nx, ny = min(nx, 300), min(ny, 300)
		g := &field{nx: nx, ny: ny, cx: t.LX / float64(nx), cy: t.LY / float64(ny), v: make([]float64, nx*ny)}
		known := make([]bool, nx*ny)
		for i := range g.v {
			x, y := (float64(i%nx)+.5)*g.cx, (float64(i/nx)+.5)*g.cy
			known[i] = inside(t.Footprint, x, y)
			if known[i] {
				g.v[i] = f.Model.Ground.Height(x, y)
			}
		}
		g.fill(known)
		return g
	}
	c := f.Columns
	g := &field{nx: c.NX, ny: c.NY, cx: c.Cell, cy: c.Cell, v: make([]float64, c.NX*c.NY)}
	copy(g.v, c.Top)
	known := make([]bool, len(g.v))
	for i := range known {
		known[i] = i < len(c.Area) && c.Area[i] > 0 && !math.IsNaN(g.v[i])
	}
	g.fill(known)
	return g
}

// groundOn is the top of the bed as it lies on a day, and by how much it lies higher there than it was laid; the latter nil where that is not kept.
func groundOn(f *forecast.Forecast, day int) (*field, func(x, y float64) float64) {
	g, rise := groundOf(f), f.Rise(day)
	if rise != nil {
		for i := range g.v {
			g.v[i] = max(0, g.v[i]+rise((float64(i%g.nx)+.5)*g.cx, (float64(i/g.nx)+.5)*g.cy))
		}
	}
	return g, rise
}

// lightOf is the light on the bed; cells outside the glass are filled from their neighbours.
func lightOf(m *forecast.LightMap, t *geometry.Tank) *field {
	f := &field{nx: m.NX, ny: m.NY, cx: m.CellX, cy: m.CellY, v: make([]float64, m.NX*m.NY)}
	copy(f.v, m.PPFD)
	known := make([]bool, len(f.v))
	for i := range known {
		x, y := (float64(i%m.NX)+.5)*m.CellX, (float64(i/m.NX)+.5)*m.CellY
		known[i] = inside(t.Footprint, x, y) && !math.IsNaN(f.v[i])
	}
	f.fill(known)
	return f
}

// inside tells whether a place lies inside an outline (even–odd rule).
func inside(outline [][2]float64, x, y float64) bool {
	in := false
	for i, j := 0, len(outline)-1; i < len(outline); j, i = i, i+1 {
		a, b := outline[i], outline[j]
		if (a[1] > y) != (b[1] > y) && x < (b[0]-a[0])*(y-a[1])/(b[1]-a[1])+a[0] {
			in = !in
		}
	}
	return in
}

// contour traces the lines where the field equals level over the rectangle 0..lx, 0..ly, sampled with steps of about step (marching
// squares; the saddle is cut by its middle value). Lines end at the rectangle or close on themselves.
func (f *field) contour(level, lx, ly, step float64) [][][2]float64 {
	nx, ny := int(math.Ceil(lx/step))+1, int(math.Ceil(ly/step))+1
	nx, ny = min(max(nx, 2), 600), min(max(ny, 2), 600)
	dx, dy := lx/float64(nx-1), ly/float64(ny-1)
	v := make([]float64, nx*ny)
	for j := range ny {
		for i := range nx {
			v[j*nx+i] = f.at(float64(i)*dx, float64(j)*dy)
			if v[j*nx+i] == level { // a node on the level would make two lines meet in it
				v[j*nx+i] += 1e-9
			}
		}
	}
	return geometry.Contours(v, nx, ny, dx, dy, level)
}

// area of an outline, positive when it runs counter-clockwise.
func outlineArea(p [][2]float64) float64 {
	var a float64
	for i := range p {
		j := (i + 1) % len(p)
		a += p[i][0]*p[j][1] - p[j][0]*p[i][1]
	}
	return a / 2
}
