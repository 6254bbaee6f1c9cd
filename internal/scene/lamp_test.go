package scene

import (
	"littoral/internal/light"
	"math"
	"testing"
)

// brightest gives the middle of the brightest cell of a layer, m.
func (p *Pool) brightest(layer int, lx, ly float64) (x, y, most float64) {
	for i := range p.NX * p.NY {
		if v := float64(p.V[layer*p.NX*p.NY+i]); v > most {
			x, y, most = (float64(i%p.NX)+.5)*lx/float64(p.NX), (float64(i/p.NX)+.5)*ly/float64(p.NY), v
		}
	}
	return x, y, most
}

// The pool of light lies where the lamp's axis meets the bottom after refraction, is brighter the narrower the beam, and each layer's mean is 1.
func TestPoolFollowsTheBeam(t *testing.T) {
	const lx, ly, level = 1.2, .5, .5
	upright := func(n float64) *Pool {
		return pool([]light.Source{{X: .6, Y: .25, Height: .3, Flux: 100, N: n}}, lx, ly, level)
	}
	wide, narrow := upright(1), upright(40)
	for _, p := range []*Pool{wide, narrow} {
		for k := range p.NZ {
			sum := 0.0
			for _, v := range p.V[k*p.NX*p.NY : (k+1)*p.NX*p.NY] {
				sum += float64(v)
			}
			if mean := sum / float64(p.NX*p.NY); math.Abs(mean-1) > 1e-5 {
				t.Errorf("layer %d has a mean of %g", k, mean)
			}
		}
		if x, y, _ := p.brightest(p.NZ-1, lx, ly); math.Abs(x-.6) > .03 || math.Abs(y-.25) > .03 || math.Hypot(p.Lean[0], p.Lean[1]) > 1e-6 {
			t.Errorf("an upright lamp is brightest at %.2f, %.2f and leans by %v", x, y, p.Lean)
		}
	}
	_, _, a := wide.brightest(0, lx, ly)
	_, _, b := narrow.brightest(0, lx, ly)
	if b < 2*a {
		t.Errorf("a narrow beam is %.1f times the mean where a wide one is %.1f", b, a)
	}
}

// A mesh tilted by 90° to the back looks to the back; what lies on the axis stays.
func TestTiltedLamps(t *testing.T) {
	at := Vec{.3, .2, 1}
	m := tilted(at, math.Pi/2, math.Pi/2)
	if p := m.Point(Vec{.3, .2, .5}.f32()); math.Abs(float64(p[1])-.7) > 1e-6 || math.Abs(float64(p[2])-1) > 1e-6 {
		t.Errorf("half a metre down comes to %v", p)
	}
	if p := m.Point(at.f32()); math.Abs(float64(p[0])-.3)+math.Abs(float64(p[1])-.2)+math.Abs(float64(p[2])-1) > 1e-6 {
		t.Errorf("the lamp's own place comes to %v", p)
	}
	if tilted(at, 0, 1) != Still {
		t.Error("a lamp that hangs straight is moved")
	}
}
