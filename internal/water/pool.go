package water

import "math"

// sink takes from a pool at the rate v·c/(k+c): v in mg/(L h), k in mg/L.
type sink struct{ v, k float64 }

// phi returns (e^z - 1)/z and (e^z - 1 - z)/z², the weights of an exponential step.
func phi(z float64) (p1, p2 float64) {
	if z > -0.1 && z < 0.1 {
		// Taylor series; the first term left out is below 1e-11.
		p2 = 1.0/2 + z*(1.0/6+z*(1.0/24+z*(1.0/120+z*(1.0/720+z*(1.0/5040+z*(1.0/40320))))))
		return 1 + z*p2, p2
	}
	e := math.Expm1(z)
	return e / z, (e - z) / (z * z)
}

// drain advances one pool c (mg/L) by h hours under a constant supply s (mg/(L h)), a first-order loss and three sinks, and answers
// what each took. The end is the start plus the supply minus what was taken, so nothing is lost.
//
// The step is the exponential Rosenbrock–Euler method: exact for a linear pool, second order otherwise. Where it would take more than there is,
// the modified Patankar form (Burchard et al. 2003) is used instead, which cannot go below zero.
func drain(c, h, s, first float64, sinks *[3]sink) (end, lost float64, took [3]float64) {
	f, jac := s-first*c, -first
	var rate, slope [3]float64
	for i, k := range sinks {
		if d := k.k + c; k.v > 0 && d > 0 {
			rate[i] = k.v * c / d
			slope[i] = k.v * k.k / (d * d)
			f -= rate[i]
			jac -= slope[i]
		}
	}
	_, p2 := phi(h * jac)
	mean := h * p2 * f // mean distance from the start
	lost = h * first * (c + mean)
	end = c + h*s - lost
	fits := lost >= 0
	for i := range took {
		took[i] = h * (rate[i] + slope[i]*mean)
		end -= took[i]
		fits = fits && took[i] >= 0
	}
	if fits && end >= 0 {
		return end, lost, took
	}
	denom := 1 + h*first
	for _, k := range sinks {
		if d := k.k + c; k.v > 0 && d > 0 {
			denom += h * k.v / d
		}
	}
	x := (c + h*s) / denom
	lost = h * first * x
	end = c + h*s - lost
	for i, k := range sinks {
		took[i] = 0
		if d := k.k + c; k.v > 0 && d > 0 {
			took[i] = h * k.v / d * x
		}
		end -= took[i]
	}
	if end < 0 {
		end = 0 // rounding of the last digit
	}
	return end, lost, took
}
