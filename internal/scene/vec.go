package scene

import "math"

// Vec is a place or a direction.
type Vec [3]float64

func (a Vec) add(b Vec) Vec            { return Vec{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }
func (a Vec) sub(b Vec) Vec            { return Vec{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
func (a Vec) mul(s float64) Vec        { return Vec{a[0] * s, a[1] * s, a[2] * s} }
func (a Vec) dot(b Vec) float64        { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func (a Vec) len() float64             { return math.Sqrt(a.dot(a)) }
func (a Vec) mix(b Vec, t float64) Vec { return a.add(b.sub(a).mul(t)) }
func (a Vec) cross(b Vec) Vec {
	return Vec{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

// unit is a in length 1; up when a has none.
func (a Vec) unit() Vec {
	if l := a.len(); l > 0 {
		return a.mul(1 / l)
	}
	return Vec{0, 0, 1}
}

// f32 is for storage.
func (a Vec) f32() [3]float32 { return [3]float32{float32(a[0]), float32(a[1]), float32(a[2])} }

// Mat places a mesh: three rows, the last column is the shift.
type Mat [3][4]float32

// Still leaves a mesh where it was built.
var Still = Mat{{1, 0, 0, 0}, {0, 1, 0, 0}, {0, 0, 1, 0}}

// placed turns about the vertical by angle, stretches by wide and high, and moves to p.
func placed(p Vec, angle, wide, high float64) Mat {
	s, c := math.Sincos(angle)
	w := float32(wide)
	return Mat{
		{float32(c) * w, -float32(s) * w, 0, float32(p[0])},
		{float32(s) * w, float32(c) * w, 0, float32(p[1])},
		{0, 0, float32(high), float32(p[2])},
	}
}

// Point moves a point.
func (m *Mat) Point(p [3]float32) [3]float32 {
	return [3]float32{
		m[0][0]*p[0] + m[0][1]*p[1] + m[0][2]*p[2] + m[0][3],
		m[1][0]*p[0] + m[1][1]*p[1] + m[1][2]*p[2] + m[1][3],
		m[2][0]*p[0] + m[2][1]*p[1] + m[2][2]*p[2] + m[2][3],
	}
}

// Turn moves a direction; the stretch of the placements here is mild enough that normals may go with it.
func (m *Mat) Turn(p [3]float32) [3]float32 {
	q := [3]float32{
		m[0][0]*p[0] + m[0][1]*p[1] + m[0][2]*p[2],
		m[1][0]*p[0] + m[1][1]*p[1] + m[1][2]*p[2],
		m[2][0]*p[0] + m[2][1]*p[1] + m[2][2]*p[2],
	}
	if l := float32(math.Sqrt(float64(q[0]*q[0] + q[1]*q[1] + q[2]*q[2]))); l > 0 {
		return [3]float32{q[0] / l, q[1] / l, q[2] / l}
	}
	return [3]float32{0, 0, 1}
}

// draws gives the chance numbers of one thing: the n-th number of an id is always the same, whatever else is drawn.
type draws uint64

func drawsOf(words ...string) draws {
	h := uint64(14695981039346656037) // FNV-1a
	for _, w := range words {
		for i := range len(w) {
			h = (h ^ uint64(w[i])) * 1099511628211
		}
		h = (h ^ 0xff) * 1099511628211
	}
	return draws(h)
}

// at is the n-th number, 0 to 1 (the finaliser of splitmix64: Steele, Lea & Flood 2014).
func (d draws) at(n int) float64 {
	z := uint64(d) + uint64(n+1)*0x9e3779b97f4a7c15
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return float64((z^z>>31)>>11) / (1 << 53)
}

func (d draws) between(n int, lo, hi float64) float64 { return lo + (hi-lo)*d.at(n) }

func clamp(v, lo, hi float64) float64 { return max(lo, min(hi, v)) }

func smooth(a, b, v float64) float64 {
	t := clamp((v-a)/(b-a), 0, 1)
	return t * t * (3 - 2*t)
}
