// Package meshtest makes tessellated bodies of known volume for tests. Every body is closed and looks outward; n is the
// number of steps round a circle, so that the volume closes in on the true one with the square of 1/n. Lengths have the unit of the arguments.
package meshtest

import (
	"littoral/internal/mesh"
	"math"
)

// Box is an upright box with one corner at the origin. Volume a·b·c.
func Box(a, b, c float64) *mesh.Mesh {
	m := &mesh.Mesh{}
	for i := range 8 {
		m.Vertices = append(m.Vertices, [3]float64{a * float64(i&1), b * float64(i>>1&1), c * float64(i>>2)})
	}
	for _, q := range [][4]int32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		m.Faces = append(m.Faces, [3]int32{q[0], q[1], q[2]}, [3]int32{q[0], q[2], q[3]})
	}
	return m
}

// Wedge is a box cut from one lower edge (at x 0) to the opposite upper edge. Volume a·b·c/2.
func Wedge(a, b, c float64) *mesh.Mesh {
	return &mesh.Mesh{
		Vertices: [][3]float64{{0, 0, 0}, {a, 0, 0}, {a, 0, c}, {0, b, 0}, {a, b, 0}, {a, b, c}},
		Faces:    [][3]int32{{0, 1, 2}, {3, 5, 4}, {0, 4, 1}, {0, 3, 4}, {1, 4, 5}, {1, 5, 2}, {0, 2, 5}, {0, 5, 3}},
	}
}

// turned is a body of revolution about z. The profile runs upward, radius then height; it begins and ends on the axis.
func turned(profile [][2]float64, n int) *mesh.Mesh {
	m := &mesh.Mesh{}
	ring := func(p [2]float64) []int32 {
		var at []int32
		if p[0] == 0 {
			m.Vertices = append(m.Vertices, [3]float64{0, 0, p[1]})
			for range n {
				at = append(at, int32(len(m.Vertices)-1))
			}
			return at
		}
		for i := range n {
			s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			m.Vertices = append(m.Vertices, [3]float64{p[0] * c, p[0] * s, p[1]})
			at = append(at, int32(len(m.Vertices)-1))
		}
		return at
	}
	below := ring(profile[0])
	for _, p := range profile[1:] {
		above := ring(p)
		for i := range n {
			j := (i + 1) % n
			if below[i] != below[j] {
				m.Faces = append(m.Faces, [3]int32{below[i], below[j], above[j]})
			}
			if above[i] != above[j] {
				m.Faces = append(m.Faces, [3]int32{below[i], above[j], above[i]})
			}
		}
		below = above
	}
	return m
}

// Sphere has its centre at the origin. Volume 4/3·π·r³.
func Sphere(r float64, n int) *mesh.Mesh {
	var profile [][2]float64
	for i := 0; i <= n/2; i++ {
		s, c := math.Sincos(math.Pi * float64(i) / float64(n/2))
		profile = append(profile, [2]float64{r * s, -r * c})
	}
	profile[0][0], profile[n/2][0] = 0, 0
	return turned(profile, n)
}

// Cylinder stands on the origin. Volume π·r²·h.
func Cylinder(r, h float64, n int) *mesh.Mesh {
	return turned([][2]float64{{0, 0}, {r, 0}, {r, h}, {0, h}}, n)
}

// Cone stands on the origin. Volume π·r²·h/3.
func Cone(r, h float64, n int) *mesh.Mesh {
	return turned([][2]float64{{0, 0}, {r, 0}, {0, h}}, n)
}

// Torus lies flat about the origin: a tube of radius r whose middle runs at distance big from the z axis. Volume 2·π²·big·r².
func Torus(big, r float64, n int) *mesh.Mesh {
	m := &mesh.Mesh{}
	for i := range n {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		for j := range n {
			t, d := math.Sincos(2 * math.Pi * float64(j) / float64(n))
			m.Vertices = append(m.Vertices, [3]float64{(big + r*d) * c, (big + r*d) * s, r * t})
		}
	}
	at := func(i, j int) int32 { return int32(i%n*n + j%n) }
	for i := range n {
		for j := range n {
			m.Faces = append(m.Faces, [3]int32{at(i, j), at(i+1, j), at(i+1, j+1)}, [3]int32{at(i, j), at(i+1, j+1), at(i, j+1)})
		}
	}
	return m
}
