package light

import "math"

// Ripples are told by their mean square slope (dimensionless), over both directions together, slopes normally distributed and the same to all sides, the
// form that Cox and Munk found at sea (1954, J. Opt. Soc. Am. 44: 0.003 + 0.00512 for each m/s of wind). A still tank has 0; what a
// filter's outlet makes of the surface is 0.002 to 0.02 (common practice, no source).

// Nodes and weights of Gauss and Hermite's rule of seven points for a normal distribution of variance 1 (Abramowitz and Stegun 1964, table 25.10).
var (
	hermiteNodes   = [7]float64{-3.750439717725742, -2.366759410734541, -1.154405394739968, 0, 1.154405394739968, 2.366759410734541, 3.750439717725742}
	hermiteWeights = [7]float64{0.000548268855972, 0.030757123967586, 0.240123178605013, 0.457142857142857, 0.240123178605013, 0.030757123967586, 0.000548268855972}
)

// RippledFresnel returns the share (0 to 1) of unpolarised light that a rippled surface of mean square slope ripples reflects, for light that comes at
// angle theta (radians from the vertical, 0 to below π/2) in a medium of index n1 before one of index n2: the mean of Fresnel over the facets, each
// counted by how much of the light it meets. Light that one facet throws onto another is not followed. Without ripples it is Fresnel.
func RippledFresnel(theta, n1, n2, ripples float64) float64 {
	if !(ripples > 0) {
		return Fresnel(theta, n1, n2)
	}
	sin, cos := math.Sincos(theta)
	slope := math.Sqrt(ripples / 2)
	sum, met := 0.0, 0.0
	for i, x := range hermiteNodes {
		along := slope * x
		facing := cos + sin*along // of a facet over a square metre of level surface
		if facing <= 0 {
			continue
		}
		for j, y := range hermiteNodes {
			across := slope * y
			w := hermiteWeights[i] * hermiteWeights[j] * facing
			c1 := min(facing/math.Sqrt(1+along*along+across*across), 1)
			r := 1.0
			if s2 := (1 - c1*c1) * n1 * n1 / (n2 * n2); s2 < 1 {
				r = fresnelCos(c1, math.Sqrt(1-s2), n1, n2)
			}
			sum += w * r
			met += w
		}
	}
	return sum / met
}

// blurs is how much ripples spread light around where a flat surface would send it, as variances across x and y in units of the cell. A facet that leans by a
// small angle turns the refracted ray by 1 − cos θ/(n cos θw) of it in the plane of the ray, and moves where it lands so much the further
// the flatter the ray (Snell's law to first order).
func blurs(sx, sy, slant, depth, cell, index, ripples float64) (x, y float64) {
	cos := 1 / slant
	sin := index * math.Sqrt(max(1-cos*cos, 0)) // in air
	turn := 1 - math.Sqrt(max(1-sin*sin, 0))/(index*cos)
	across := depth * turn / cell
	along := across / (cos * cos)
	along, across = along*along*ripples/2, across*across*ripples/2
	s2 := sx*sx + sy*sy
	if s2 == 0 {
		return across, across
	}
	return (along*sx*sx + across*sy*sy) / s2, (along*sy*sy + across*sx*sx) / s2
}

// mostBlur is the largest variance, in units of the cell, that one pass of blur spreads; beyond a half it would not be stable.
const mostBlur = 0.3

// blur spreads the light of a layer as ripples do. Light is handed over between neighbours as in diffusion whose strength is that of the giving
// cell, so that none is made or lost, walls throw it back, and without ripples nothing changes.
func (l *layer) blur(depth float64, g *grid, opt Options) {
	n := g.nx * g.ny
	bx, by := make([]float64, n), make([]float64, n)
	most := 0.0
	for c := range bx {
		if !g.inside[c] || l.weight[c] == 0 {
			continue
		}
		sx, sy, slant := l.slopes(c)
		bx[c], by[c] = blurs(sx, sy, slant, depth, g.cell, opt.Index, opt.Ripples)
		most = max(most, bx[c], by[c])
	}
	passes := int(math.Ceil(most / mostBlur))
	for c := range bx {
		bx[c] /= float64(max(passes, 1))
		by[c] /= float64(max(passes, 1))
	}
	next := make([]float64, n)
	for range passes {
		for _, of := range [...][]float64{l.light, l.weight, l.sumX, l.sumY, l.slant} {
			copy(next, of)
			for iy := range g.ny {
				for ix := range g.nx {
					c := iy*g.nx + ix
					if !g.inside[c] || g.wx[ix] == 0 || g.wy[iy] == 0 {
						continue
					}
					if ix+1 < g.nx && g.inside[c+1] && g.wx[ix+1] > 0 {
						over := (bx[c]*of[c] - bx[c+1]*of[c+1]) / 2 * g.cell
						next[c] -= over / g.wx[ix]
						next[c+1] += over / g.wx[ix+1]
					}
					if iy+1 < g.ny && g.inside[c+g.nx] && g.wy[iy+1] > 0 {
						over := (by[c]*of[c] - by[c+g.nx]*of[c+g.nx]) / 2 * g.cell
						next[c] -= over / g.wy[iy]
						next[c+g.nx] += over / g.wy[iy+1]
					}
				}
			}
			copy(of, next)
		}
	}
}

// stray is how much further than through a flat surface rippled light may come at a depth, m: three standard deviations of rays that come in flat.
func stray(depth float64, opt Options) float64 {
	return 3 * depth * math.Sqrt(opt.Ripples/2)
}
