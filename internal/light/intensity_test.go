package light

import (
	"math"
	"testing"
)

// Summed over the lower half-space, a beam's intensity is its flux: all of it, or of a lobe the share that goes down.
func TestIntensitySumsToTheFlux(t *testing.T) {
	const degree = math.Pi / 180
	for _, tt := range []struct {
		name string
		s    Source
		want float64
	}{
		{"Lambertian", Source{N: 1}, 1},
		{"narrow", Source{N: 20}, 1},
		{"tilted", Source{Lobe: tiltedBeam(20, 30*degree, 90*degree)}, 1},
	} {
		sum, y := 0.0, 0.0
		for i := range 90 {
			ring := (math.Cos(float64(i)*degree) - math.Cos(float64(i+1)*degree)) * degree
			sin, cos := math.Sincos((float64(i) + .5) * degree)
			for j := range 360 {
				s, c := math.Sincos((float64(j) + .5) * degree)
				part := tt.s.Intensity(sin*c, sin*s, cos) * ring
				sum, y = sum+part, y+part*sin*s
			}
		}
		if math.Abs(sum-tt.want) > .01 {
			t.Errorf("%s: %.4f of the flux, want %g", tt.name, sum, tt.want)
		}
		if leans := y > .3; leans != (tt.s.Lobe != nil) {
			t.Errorf("%s: leans to the back by %.2f", tt.name, y)
		}
	}
	if (Source{N: 1}).Intensity(0, 0, -1) != 0 {
		t.Error("a cosⁿ beam shines upwards")
	}
}
