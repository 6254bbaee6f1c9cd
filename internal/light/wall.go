package light

import "math"

// WallReflectance returns the share (0 to 1) that an upright glass pane with air behind it returns of unpolarised light that
// meets it in water at the angle whose cosine from the pane's normal is given. Beyond the critical angle of water and air it is all;
// else it is the sum over the reflections inside the pane, which absorbs nothing, separately for both polarisations.
// Source: the Fresnel equations and the geometric series of a plate (Born and Wolf, Principles of Optics, §1.5 and §7.6).
func WallReflectance(cos, index float64) float64 {
	s2 := index * index * (1 - cos*cos)
	if s2 >= 1 {
		return 1
	}
	cosGlass, cosAir := math.Sqrt(1-s2/(IndexGlass*IndexGlass)), math.Sqrt(1-s2)
	rs1, rp1 := polarised(cos, cosGlass, index, IndexGlass)
	rs2, rp2 := polarised(cosGlass, cosAir, IndexGlass, IndexAir)
	return (twice(rs1, rs2) + twice(rp1, rp2)) / 2
}

// twice is the reflectance of two boundaries in a row.
func twice(a, b float64) float64 { return a + (1-a)*(1-a)*b/(1-a*b) }

// wallStray is by how much a facet's lean changes the cosine at which light meets a pane, about the critical angle, where it matters: light that comes
// from 62° in air is turned by 1 − cos θ/(n cos θw) = 0.53 of it, times cos θw = 0.75 (Snell's law to first order).
const wallStray = 0.4

// wallSamples is the number of intervals of a wallTable.
const wallSamples = 512

// wallTable holds WallReflectance over the square of the cosine.
type wallTable struct {
	black bool
	total float64 // below this square of the cosine everything returns
	r     [wallSamples + 2]float64
}

func newWallTable(opt Options) *wallTable {
	w := &wallTable{black: opt.BlackWalls}
	w.total = max(1-1/(opt.Index*opt.Index), 0)
	if opt.Ripples > 0 {
		spread := wallStray * math.Sqrt(opt.Ripples/2)
		least := max(math.Sqrt(w.total)+spread*hermiteNodes[0], 0)
		w.total = least * least
		for i := range w.r {
			u := min(float64(i)/wallSamples, 1)
			cos := math.Sqrt(w.total + (1-w.total)*u*u)
			for j, x := range hermiteNodes {
				w.r[i] += hermiteWeights[j] * WallReflectance(min(math.Abs(cos+spread*x), 1), opt.Index)
			}
		}
		return w
	}
	for i := range w.r {
		// Near the critical angle reflectance falls like a square root, which a table over its square root follows.
		u := min(float64(i)/wallSamples, 1)
		w.r[i] = WallReflectance(math.Sqrt(w.total+(1-w.total)*u*u), opt.Index)
	}
	return w
}

func (w *wallTable) at(cos2 float64) float64 {
	if w.black {
		return 0
	}
	if cos2 <= w.total {
		return 1
	}
	u := math.Sqrt((cos2-w.total)/(1-w.total)) * wallSamples
	i := min(int(u), wallSamples)
	return w.r[i] + (w.r[i+1]-w.r[i])*(u-float64(i))
}

// outer is a column behind a wall and the rim's columns that it mirrors.
type outer struct {
	at   int32   // padded column
	a, b int32   // places in grid.rim
	part float32 // share of b
}

// findRim lists the columns beside the walls and, behind them, those that a ray may seem to come from.
func (g *grid) findRim() {
	place := map[int]int32{}
	keep := func(at int) int32 {
		p, ok := place[at]
		if !ok {
			p = int32(len(g.rim))
			place[at] = p
			g.rim = append(g.rim, int32(at))
		}
		return p
	}
	if !g.box {
		for iy := -pad; iy < g.ny+pad; iy++ {
			for ix := -pad; ix < g.nx+pad; ix++ {
				if at, ok := g.nearestInside(ix, iy); ok && at >= 0 {
					p := keep(at)
					g.beyond[0] = append(g.beyond[0], outer{int32((iy+pad)*g.w + ix + pad), p, p, 0})
				}
			}
		}
		return
	}
	// The middle of the first column behind a wall lies 1−rest cells behind it when the wall is rest cells beyond the middle of the last.
	behind := func(n int, rest float64) (near, next int, part float32) {
		x := max(float64(n)+1-2*rest, 0)
		near = int(x)
		return near, near + 1, float32(x - float64(near))
	}
	restX, restY := g.tank.LX/g.cell-float64(g.ex)+0.5, g.tank.LY/g.cell-float64(g.ey)+0.5
	padded := func(ix, iy int) int { return (iy+pad)*g.w + ix + pad }
	for n := range pad {
		a, b, part := behind(n, 0.5)
		c, d, far := behind(n, restX)
		a, b = min(a, g.ex-1), min(b, g.ex-1)
		c, d = max(g.ex-1-c, 0), max(g.ex-1-d, 0)
		for iy := range g.ny {
			g.beyond[left] = append(g.beyond[left], outer{int32(padded(-1-n, iy)), keep(padded(a, iy)), keep(padded(b, iy)), part})
			g.beyond[right] = append(g.beyond[right], outer{int32(padded(g.ex+n, iy)), keep(padded(c, iy)), keep(padded(d, iy)), far})
		}
		a, b, part = behind(n, 0.5)
		c, d, far = behind(n, restY)
		a, b = min(a, g.ey-1), min(b, g.ey-1)
		c, d = max(g.ey-1-c, 0), max(g.ey-1-d, 0)
		for ix := range g.nx {
			g.beyond[front] = append(g.beyond[front], outer{int32(padded(ix, -1-n)), keep(padded(ix, a)), keep(padded(ix, b)), part})
			g.beyond[back] = append(g.beyond[back], outer{int32(padded(ix, g.ey+n)), keep(padded(ix, c)), keep(padded(ix, d)), far})
		}
	}
}

// nearestInside finds the padded column inside the glass that is nearest to a column outside it, within two columns; it gives −1 for a column that is inside or far off.
func (g *grid) nearestInside(ix, iy int) (int, bool) {
	within := func(x, y int) bool { return x >= 0 && y >= 0 && x < g.nx && y < g.ny && g.inside[y*g.nx+x] }
	if within(ix, iy) {
		return -1, false
	}
	best, at := pad*pad+pad*pad+1, -1
	for dy := -pad; dy <= pad; dy++ {
		for dx := -pad; dx <= pad; dx++ {
			if d := dx*dx + dy*dy; d < best && within(ix+dx, iy+dy) {
				best, at = d, (iy+dy+pad)*g.w+ix+dx+pad
			}
		}
	}
	return at, at >= 0
}
