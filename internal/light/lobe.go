package light

import (
	"littoral/internal/ies"
	"math"
)

// Lobe is the beam of a lamp that is not the same all round: intensity for unit photon flux (1/sr) by direction below the horizontal. It is
// read-only.
type Lobe struct {
	Down  float64   // share of the flux that goes below the horizontal
	table []float32 // over the horizontal parts of the direction, −1 to 1 each
}

// lobeSide is the number of points of a lobe's table along each side. A beam of 10° half width is then still 10 points across.
const lobeSide = 128

// newLobe tabulates an intensity of any unit, given by unit vectors (x right, y back, down), over the whole sphere.
func newLobe(intensity func(x, y, down float64) float64) *Lobe {
	total, below := 0.0, 0.0
	const degree = math.Pi / 180
	for i := range 180 {
		ring := (math.Cos(float64(i)*degree) - math.Cos(float64(i+1)*degree)) * degree
		sin, cos := math.Sincos((float64(i) + 0.5) * degree)
		for j := range 360 {
			y, x := math.Sincos((float64(j) + 0.5) * degree)
			part := intensity(sin*x, sin*y, cos) * ring
			total += part
			if cos > 0 {
				below += part
			}
		}
	}
	l := &Lobe{table: make([]float32, lobeSide*lobeSide)}
	if !(total > 0) {
		return l
	}
	l.Down = below / total
	for iy := range lobeSide {
		for ix := range lobeSide {
			x, y := 2*float64(ix)/(lobeSide-1)-1, 2*float64(iy)/(lobeSide-1)-1
			r2 := x*x + y*y
			if r2 > 1 { // beyond the rim the value at it, for the points just inside
				r := math.Sqrt(r2)
				x, y, r2 = x/r, y/r, 1
			}
			l.table[iy*lobeSide+ix] = float32(intensity(x, y, math.Sqrt(1-r2)) / total)
		}
	}
	return l
}

// at reads the intensity for unit flux towards a direction given by its horizontal parts.
func (l *Lobe) at(x, y float64) float64 {
	u, v := (x+1)/2*(lobeSide-1), (y+1)/2*(lobeSide-1)
	i, j := min(max(int(u), 0), lobeSide-2), min(max(int(v), 0), lobeSide-2)
	fx, fy := u-float64(i), v-float64(j)
	t := l.table[j*lobeSide+i:]
	a := float64(t[0]) + float64(t[1]-t[0])*fx
	b := float64(t[lobeSide]) + float64(t[lobeSide+1]-t[lobeSide])*fx
	return a + (b-a)*fy
}

// aimed turns a body that looks straight down (length along x) by turn about the vertical and tilts it towards where its length then
// points, and returns its intensity in tank directions. Angles in radians.
func aimed(body func(x, y, down float64) float64, tilt, turn float64) func(x, y, down float64) float64 {
	sinA, cosA := math.Sincos(turn)
	sinT, cosT := math.Sincos(tilt)
	return func(x, y, down float64) float64 {
		x, y = x*cosA+y*sinA, y*cosA-x*sinA
		return body(x*cosT-down*sinT, y, down*cosT+x*sinT)
	}
}

// tiltedBeam is a cosⁿ beam whose axis leans.
func tiltedBeam(n, tilt, turn float64) *Lobe {
	return newLobe(aimed(func(_, _, down float64) float64 { return math.Pow(max(down, 0), n) }, tilt, turn))
}

// photometric is the beam of a photometric file.
func photometric(f *ies.File, tilt, turn float64) *Lobe {
	return newLobe(aimed(f.Intensity, tilt, turn))
}
