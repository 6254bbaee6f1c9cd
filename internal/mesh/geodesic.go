package mesh

import "math"

// Geodesic is an icosahedron whose faces are cut in four the given number of times, with all corners on the unit sphere and
// every face seen from outside counter-clockwise: 20·4^times faces.
func Geodesic(times int) *Mesh {
	t := (1 + math.Sqrt(5)) / 2
	m := &Mesh{
		Vertices: [][3]float64{{-1, t, 0}, {1, t, 0}, {-1, -t, 0}, {1, -t, 0}, {0, -1, t}, {0, 1, t}, {0, -1, -t}, {0, 1, -t}, {t, 0, -1}, {t, 0, 1}, {-t, 0, -1}, {-t, 0, 1}},
		Faces: [][3]int32{
			{0, 11, 5},
			{0, 5, 1},
			{0, 1, 7},
			{0, 7, 10},
			{0, 10, 11},
			{1, 5, 9},
			{5, 11, 4},
			{11, 10, 2},
			{10, 7, 6},
			{7, 1, 8},
			{3, 9, 4},
			{3, 4, 2},
			{3, 2, 6},
			{3, 6, 8},
			{3, 8, 9},
			{4, 9, 5},
			{2, 4, 11},
			{6, 2, 10},
			{8, 6, 7},
			{9, 8, 1},
		},
	}
	unit := func(p [3]float64) [3]float64 {
		l := math.Sqrt(p[0]*p[0] + p[1]*p[1] + p[2]*p[2])
		return [3]float64{p[0] / l, p[1] / l, p[2] / l}
	}
	for i, p := range m.Vertices {
		m.Vertices[i] = unit(p)
	}
	for range times {
		middle := map[[2]int32]int32{}
		half := func(a, b int32) int32 {
			key := [2]int32{min(a, b), max(a, b)}
			if v, ok := middle[key]; ok {
				return v
			}
			p, q := m.Vertices[a], m.Vertices[b]
			m.Vertices = append(m.Vertices, unit([3]float64{p[0] + q[0], p[1] + q[1], p[2] + q[2]}))
			middle[key] = int32(len(m.Vertices) - 1)
			return middle[key]
		}
		faces := make([][3]int32, 0, 4*len(m.Faces))
		for _, f := range m.Faces {
			ab, bc, ca := half(f[0], f[1]), half(f[1], f[2]), half(f[2], f[0])
			faces = append(faces, [3]int32{f[0], ab, ca}, [3]int32{f[1], bc, ab}, [3]int32{f[2], ca, bc}, [3]int32{ab, bc, ca})
		}
		m.Faces = faces
	}
	return m
}
