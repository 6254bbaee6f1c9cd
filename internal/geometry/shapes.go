package geometry

import (
	"hash/fnv"
	"littoral/internal/mesh"
	"math"
	"math/rand/v2"
)

// The stones and roots drawn here stand for pieces not yet chosen. Their outer measures are those of the plan; their form is invented
// from the piece's id, so that the same plan always shows the same stone.

// stream returns a source of random numbers that depends only on what it is for.
func stream(seed uint64, words ...string) *rand.Rand {
	h := fnv.New64a()
	for _, w := range words {
		h.Write([]byte(w))
		h.Write([]byte{0})
	}
	return rand.New(rand.NewPCG(seed, h.Sum64()))
}

// fit stretches a body so that its bounding box has the given sides, with its middle above the origin and its lowest point at 0.
func fit(m *mesh.Mesh, size [3]float64) {
	lo, hi := m.Bounds()
	for i := range m.Vertices {
		for k := range 3 {
			if d := hi[k] - lo[k]; d > 0 {
				m.Vertices[i][k] = ((m.Vertices[i][k]-lo[k])/d - 0.5) * size[k]
			}
		}
		m.Vertices[i][2] += size[2] / 2
	}
}

// boulder is an ellipsoid from which planes have been struck off: none at roughness 0, then 16 to 30 that cut the deeper the
// rougher, up to a third of the way to its middle.
func boulder(length, width, height, roughness float64, r *rand.Rand) *mesh.Mesh {
	m := mesh.Geodesic(4)
	roughness = max(0, min(1, roughness))
	type plane struct {
		n [3]float64
		d float64
	}
	var planes []plane
	if roughness > 0 {
		for range 16 + int(math.Round(14*roughness)) {
			z := 2*r.Float64() - 1
			s, c := math.Sincos(2 * math.Pi * r.Float64())
			w := math.Sqrt(1 - z*z)
			planes = append(planes, plane{[3]float64{w * c, w * s, z}, 1 - math.Sqrt(roughness)*(0.04+0.29*r.Float64())})
		}
	}
	for i, v := range m.Vertices {
		reach := 1.0
		for _, p := range planes {
			if c := v[0]*p.n[0] + v[1]*p.n[1] + v[2]*p.n[2]; c > 0 {
				reach = min(reach, p.d/c)
			}
		}
		for k := range 3 {
			m.Vertices[i][k] = v[k] * reach
		}
	}
	fit(m, [3]float64{length, width, height})
	return m
}

// slab is a flat stone: an uneven outline of flat breaks between an under and an upper face, broken back a little at its rims.
func slab(length, width, thickness float64, r *rand.Rand) *mesh.Mesh {
	n := 14 + r.IntN(6)
	// Rings from below: radius as a share of the outline, height as a share of the thickness.
	rings := [4][2]float64{{0.93, 0}, {1, 0.3}, {0.98, 0.75}, {0.9, 1}}
	m := &mesh.Mesh{}
	radius := make([]float64, n)
	turn := make([]float64, n)
	for i := range n {
		turn[i] = 2 * math.Pi * (float64(i) + 0.5*r.Float64()) / float64(n)
		s, c := math.Sincos(turn[i])
		// A rectangle with round corners (superellipse of power 3), broken back by up to 12 %.
		radius[i] = math.Pow(math.Pow(math.Abs(c), 3)+math.Pow(math.Abs(s), 3), -1.0/3) * (1 - 0.12*r.Float64())
	}
	for _, ring := range rings {
		for i := range n {
			s, c := math.Sincos(turn[i])
			m.Vertices = append(m.Vertices, [3]float64{radius[i] * ring[0] * c, radius[i] * ring[0] * s, ring[1]})
		}
	}
	under, upper := int32(len(m.Vertices)), int32(len(m.Vertices)+1)
	m.Vertices = append(m.Vertices, [3]float64{0, 0, 0}, [3]float64{0, 0, 1})
	last := int32(len(rings)-1) * int32(n)
	for i := range int32(n) {
		j := (i + 1) % int32(n)
		m.Faces = append(m.Faces, [3]int32{under, j, i}, [3]int32{upper, last + i, last + j})
		for k := range int32(len(rings) - 1) {
			b, t := k*int32(n), (k+1)*int32(n)
			m.Faces = append(m.Faces, [3]int32{b + i, b + j, t + j}, [3]int32{b + i, t + j, t + i})
		}
	}
	fit(m, [3]float64{length, width, thickness})
	return m
}

// branch is a root: a short trunk from which limbs swing outward, rise and taper, each with three side twigs. It stands with its base on
// the origin; the farthest point of a limb lies length away seen from above, the highest point height above the base.
func branch(length, height, thick float64, limbs int, r *rand.Rand) (*mesh.Mesh, []Limb) {
	limbs = max(1, min(12, limbs))
	type point struct {
		p [3]float64
		r float64 // as a share of the trunk's radius
	}
	var paths [][]point
	// Everything is drawn with reach 1 and rise 1, and stretched afterwards.
	trunk := []point{{[3]float64{0, 0, 0}, 1}, {[3]float64{0.01, 0, 0.14}, 0.88}, {[3]float64{0.03, 0.01, 0.3}, 0.62}}
	paths = append(paths, trunk)
	for i := range limbs {
		azimuth := 2 * math.Pi * (float64(i) + 0.6*(r.Float64()-0.5)) / float64(limbs)
		reach := 0.6 + 0.4*r.Float64()
		rise := 0.35 + 0.65*r.Float64()
		if i == 0 { // one limb goes all the way out, another all the way up
			reach = 1
		}
		if i == limbs-1 {
			rise = 1
		}
		bend := 1.6 * (r.Float64() - 0.5) // how far it swings round on its way out
		sweep := 0.6 + 1.2*r.Float64()    // below 1 it rises first and then leans out, above 1 it creeps and then rises
		wave, phase := 0.04*r.Float64(), 6*r.Float64()
		at := func(u float64) [3]float64 {
			s, c := math.Sincos(azimuth + bend*u*u)
			ripple := wave * (math.Sin(phase+7*u) - math.Sin(phase))
			return [3]float64{u*reach*c - ripple*s, u*reach*s + ripple*c, 0.1 + (rise-0.1)*math.Pow(u, sweep) + 0.5*ripple}
		}
		const steps = 8
		var path []point
		for k := range steps + 1 {
			u := float64(k) / steps
			path = append(path, point{at(u), 0.62 * (1 - 0.82*u)})
		}
		paths = append(paths, path)
		for k := 3; k <= 7; k += 2 {
			from := path[k]
			swing := azimuth + bend + (0.5+0.6*r.Float64())*float64(1-2*r.IntN(2))
			s, c := math.Sincos(swing)
			long, climb := 0.14+0.2*r.Float64(), 0.1+0.9*r.Float64()
			var twig []point
			for q := range 4 {
				u := float64(q) / 3
				twig = append(twig, point{[3]float64{from.p[0] + u*long*c, from.p[1] + u*long*s, from.p[2] + climb*u*long}, from.r * (0.6 - 0.42*u)})
			}
			paths = append(paths, twig)
		}
	}
	far, high := 0.0, 0.0
	for _, path := range paths {
		for _, q := range path {
			far, high = max(far, math.Hypot(q.p[0], q.p[1])), max(high, q.p[2])
		}
	}
	m := &mesh.Mesh{}
	var out []Limb
	for _, path := range paths {
		axis := make([][3]float64, len(path))
		radius := make([]float64, len(path))
		for i, q := range path {
			axis[i] = [3]float64{q.p[0] / far * length, q.p[1] / far * length, q.p[2] / high * height}
			radius[i] = max(0.001, q.r*thick/2)
			if i > 0 {
				out = append(out, Limb{A: axis[i-1], B: axis[i], RA: radius[i-1], RB: radius[i]})
			}
		}
		m.Append(tube(axis, radius))
	}
	return m, out
}

// tube is a closed skin of ten-sided rings along a bent axis; each ring stands square to the axis.
func tube(axis [][3]float64, radius []float64) *mesh.Mesh {
	const sides = 10
	// Ten sides of a circle enclose 6.5 % less than the circle; corners this much farther out enclose as much.
	bulge := math.Sqrt(2 * math.Pi / (sides * math.Sin(2*math.Pi/sides)))
	m := &mesh.Mesh{}
	var across [3]float64
	for i, p := range axis {
		a, b := axis[max(0, i-1)], axis[min(len(axis)-1, i+1)]
		along := normal([3]float64{b[0] - a[0], b[1] - a[1], b[2] - a[2]})
		if i == 0 {
			across = normal(crossed(along, [3]float64{0.31, 0.77, 0.55}))
		} else { // carried along without twist
			d := across[0]*along[0] + across[1]*along[1] + across[2]*along[2]
			across = normal([3]float64{across[0] - d*along[0], across[1] - d*along[1], across[2] - d*along[2]})
		}
		other := crossed(along, across)
		for k := range sides {
			s, c := math.Sincos(2 * math.Pi * float64(k) / sides)
			s, c = s*radius[i]*bulge, c*radius[i]*bulge
			m.Vertices = append(m.Vertices, [3]float64{p[0] + c*across[0] + s*other[0], p[1] + c*across[1] + s*other[1], p[2] + c*across[2] + s*other[2]})
		}
	}
	for i := range int32(len(axis) - 1) {
		for k := range int32(sides) {
			l := (k + 1) % sides
			b, t := i*sides, (i+1)*sides
			m.Faces = append(m.Faces, [3]int32{b + k, b + l, t + l}, [3]int32{b + k, t + l, t + k})
		}
	}
	last := int32(len(axis)-1) * sides
	for k := int32(1); k < sides-1; k++ {
		m.Faces = append(m.Faces, [3]int32{0, k + 1, k}, [3]int32{last, last + k, last + k + 1})
	}
	return m
}

func normal(a [3]float64) [3]float64 {
	l := math.Sqrt(a[0]*a[0] + a[1]*a[1] + a[2]*a[2])
	if l == 0 {
		return [3]float64{0, 0, 1}
	}
	return [3]float64{a[0] / l, a[1] / l, a[2] / l}
}

func crossed(a, b [3]float64) [3]float64 {
	return [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}
