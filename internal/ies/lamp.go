package ies

import (
	"math"
	"sort"
)

const degree = math.Pi / 180

// Intensity is the luminous intensity (cd) in a direction, a unit vector: x along the lamp, y across, down along its aim. It is 0 outside the
// file's angles.
func (f *File) Intensity(x, y, down float64) float64 {
	var h, v float64
	switch f.Type {
	case TypeC:
		v = math.Acos(min(max(down, -1), 1)) / degree
		h = math.Atan2(y, x) / degree
		if h < 0 {
			h += 360
		}
		h = f.fold(h)
	case TypeB:
		h = math.Asin(min(max(x, -1), 1)) / degree
		v = math.Atan2(y, down) / degree
	default:
		h = math.Atan2(x, down) / degree
		v = math.Asin(min(max(y, -1), 1)) / degree
	}
	if f.Type != TypeC {
		if f.Horizontal[0] == 0 {
			h = math.Abs(h)
		}
		if f.Vertical[0] == 0 {
			v = math.Abs(v)
		}
	}
	if v < f.Vertical[0]-1e-9 || v > f.Vertical[len(f.Vertical)-1]+1e-9 || f.Type != TypeC && math.Abs(h) > 90+1e-9 {
		return 0
	}
	a, b, t := place(f.Vertical, v)
	c, d, u := place(f.Horizontal, h)
	low := f.Candela[c][a] + (f.Candela[c][b]-f.Candela[c][a])*t
	high := f.Candela[d][a] + (f.Candela[d][b]-f.Candela[d][a])*t
	return low + (high-low)*u
}

// fold brings a horizontal angle of type C, 0 to 360, into those that the file has: one plane stands for all, a quarter for four, a half for two.
func (f *File) fold(h float64) float64 {
	switch last := f.Horizontal[len(f.Horizontal)-1]; {
	case len(f.Horizontal) == 1:
		return f.Horizontal[0]
	case last == 90:
		h = math.Mod(h, 180)
		return min(h, 180-h)
	case last == 180:
		return min(h, 360-h)
	case f.Horizontal[0] == 90: // to 270: alike on both sides of the plane from 90 to 270
		if h < 90 {
			return 180 - h
		} else if h > 270 {
			return 540 - h
		}
	}
	return h
}

// place finds the two angles around one and its share of the way between them.
func place(list []float64, x float64) (a, b int, t float64) {
	b = sort.SearchFloat64s(list, x)
	switch {
	case b == 0:
		return 0, 0, 0
	case b == len(list):
		return b - 1, b - 1, 0
	}
	a = b - 1
	return a, b, (x - list[a]) / (list[b] - list[a])
}

// Flux is the luminous flux (lm) to all sides, integrated over the sphere in steps of a degree.
func (f *File) Flux() float64 {
	sum := 0.0
	for i := range 180 {
		theta := (float64(i) + 0.5) * degree
		// The ring's area on the unit sphere, exactly.
		ring := (math.Cos(float64(i)*degree) - math.Cos(float64(i+1)*degree)) * degree
		sin, cos := math.Sincos(theta)
		for j := range 360 {
			y, x := math.Sincos((float64(j) + 0.5) * degree)
			sum += f.Intensity(sin*x, sin*y, cos) * ring
		}
	}
	return sum
}

// Tilted is the factor on all intensities of a lamp tilted by an angle (degrees) from straight down; 1 without tilt data.
func (f *File) Tilted(angle float64) float64 {
	if len(f.TiltAngles) == 0 {
		return 1
	}
	a, b, t := place(f.TiltAngles, math.Abs(angle))
	return f.TiltMultipliers[a] + (f.TiltMultipliers[b]-f.TiltMultipliers[a])*t
}
