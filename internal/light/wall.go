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
