package light

import "math"

// Refractive indices for visible light, dimensionless (common handbook values, from memory).
const (
	IndexAir   = 1.0
	IndexWater = 1.333
	IndexGlass = 1.52
)

// Snell returns the angle in the second medium of a ray that meets a flat boundary at angle theta (radians from the normal,
// 0 to π/2) in a medium of index n1 and goes on in one of index n2: n1 sin θ1 = n2 sin θ2. Beyond the critical angle there is
// no such ray; ok is then false and the angle π/2.
func Snell(theta, n1, n2 float64) (refracted float64, ok bool) {
	s := n1 * math.Sin(theta) / n2
	if s > 1 {
		return math.Pi / 2, false
	}
	return math.Asin(s), true
}

// Fresnel returns the share (0 to 1) of unpolarised light that a flat boundary reflects, for light that meets it at angle theta
// (radians from the normal, 0 to π/2) in a medium of index n1 before one of index n2. Beyond the critical angle it is 1.
// Source: the Fresnel equations, mean of both polarisations (Born and Wolf, Principles of Optics, §1.5).
func Fresnel(theta, n1, n2 float64) float64 {
	s := n1 * math.Sin(theta) / n2
	if s >= 1 {
		return 1
	}
	return fresnelCos(math.Cos(theta), math.Sqrt(1-s*s), n1, n2)
}

// fresnelCos is Fresnel by the cosines of the angles on both sides, which the solver has at hand.
func fresnelCos(c1, c2, n1, n2 float64) float64 {
	rs, rp := polarised(c1, c2, n1, n2)
	return (rs + rp) / 2
}

// polarised returns the reflectance for light polarised across and along the plane of incidence.
func polarised(c1, c2, n1, n2 float64) (rs, rp float64) {
	rs = (n1*c1 - n2*c2) / (n1*c1 + n2*c2)
	rp = (n2*c1 - n1*c2) / (n2*c1 + n1*c2)
	return rs * rs, rp * rp
}

// path is one ray from a point lamp above the surface to a point in the water.
type path struct {
	cosAir   float64 // cosine of its angle in air
	cosWater float64 // cosine of its angle in water
}

// pathTo finds the ray from height h over the surface to depth z at horizontal distance r (all metres, h > 0, z and r ≥ 0) in water of
// index n. The crossing point at distance x from the lamp's foot solves Snell's law (equivalently Fermat's least time):
// x/√(x²+h²) = n (r−x)/√((r−x)²+z²). The left side rises and the right side falls with x, so there is exactly one solution
// between 0 and r; Newton steps that would leave the bracket are replaced by halving it.
func pathTo(h, z, r, n float64) path {
	if r == 0 {
		return path{1, 1}
	}
	x := r
	if z > 0 {
		lo, hi := 0.0, r
		x = r * h / (h + z/n)
		for range 60 {
			a, b := math.Hypot(x, h), math.Hypot(r-x, z)
			f := x/a - n*(r-x)/b
			if f > 0 {
				hi = x
			} else {
				lo = x
			}
			slope := h*h/(a*a*a) + n*z*z/(b*b*b)
			next := x - f/slope
			if !(next > lo && next < hi) {
				next = (lo + hi) / 2
			}
			done := math.Abs(next-x) <= 1e-13*r
			x = next
			if done {
				break
			}
		}
	}
	a := math.Hypot(x, h)
	s := x / a / n
	return path{h / a, math.Sqrt(1 - s*s)}
}

// spread returns planar irradiance per unit of radiant intensity (1/m²) along a ray from height h to depth z, before Fresnel and
// absorption. A bundle of rays between θ and θ+dθ carries I sin θ dθ dφ and lands on the ring r dr dφ, with
// r = h tan θ + z tan θw; dividing gives E = I sin θ / (r dr/dθ), in which sin θ cancels so that the axis is not singular.
// For z = 0 or n = 1 it is the inverse-square and cosine law, on the axis it is 1/(h + z/n)².
func (p path) spread(h, z, n float64) float64 {
	k := p.cosAir / (n * p.cosWater)
	c3 := p.cosAir * p.cosAir * p.cosAir
	return c3 / ((h + z*k) * (h + z*c3/(n*p.cosWater*p.cosWater*p.cosWater)))
}

// tanWater is the ray's sideways way for each metre of depth.
func (p path) tanWater() float64 {
	return math.Sqrt(1-p.cosWater*p.cosWater) / p.cosWater
}
