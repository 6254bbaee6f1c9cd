package render

import "math"

// Lab is a colour in CIELAB under D65.
type Lab struct {
	L float64 `json:"l"`
	A float64 `json:"a"`
	B float64 `json:"b"`
}

// LabOf gives the CIELAB of an sRGB colour (IEC 61966-2-1 to XYZ, CIE 15 with the white of D65).
func LabOf(r, g, b uint8) Lab {
	lr, lg, lb := float64(toLinear[r]), float64(toLinear[g]), float64(toLinear[b])
	x := (.4124564*lr + .3575761*lg + .1804375*lb) / .95047
	y := .2126729*lr + .7151522*lg + .0721750*lb
	z := (.0193339*lr + .1191920*lg + .9503041*lb) / 1.08883
	f := func(t float64) float64 {
		const d = 6.0 / 29
		if t > d*d*d {
			return math.Cbrt(t)
		}
		return t/(3*d*d) + 4.0/29
	}
	return Lab{116*f(y) - 16, 500 * (f(x) - f(y)), 200 * (f(y) - f(z))}
}

// Chroma is how far a colour is from grey.
func (c Lab) Chroma() float64 { return math.Hypot(c.A, c.B) }

// Hue is the hue angle, degrees, 0 to 360: red near 30, yellow 90, green 130 to 160.
func (c Lab) Hue() float64 {
	h := math.Atan2(c.B, c.A) * 180 / math.Pi
	if h < 0 {
		h += 360
	}
	return h
}

// Difference is CIEDE2000 with all weights 1 (Sharma, Wu & Dalal 2005, Color Research and Application 30, 21). About 1 is just seen; above 20 two
// colours are plainly of different families.
func Difference(p, q Lab) float64 {
	const deg = math.Pi / 180
	c7 := math.Pow((p.Chroma()+q.Chroma())/2, 7)
	g := .5 * (1 - math.Sqrt(c7/(c7+math.Pow(25, 7))))
	a1, a2 := (1+g)*p.A, (1+g)*q.A
	c1, c2 := math.Hypot(a1, p.B), math.Hypot(a2, q.B)
	hue := func(b, a float64) float64 {
		if a == 0 && b == 0 {
			return 0
		}
		h := math.Atan2(b, a) / deg
		if h < 0 {
			h += 360
		}
		return h
	}
	h1, h2 := hue(p.B, a1), hue(q.B, a2)
	dl, dc := q.L-p.L, c2-c1
	dh := 0.0
	if c1*c2 != 0 {
		dh = h2 - h1
		if dh > 180 {
			dh -= 360
		} else if dh < -180 {
			dh += 360
		}
	}
	dH := 2 * math.Sqrt(c1*c2) * math.Sin(dh/2*deg)
	l, c := (p.L+q.L)/2, (c1+c2)/2
	h := h1 + h2
	if c1*c2 != 0 {
		switch {
		case math.Abs(h1-h2) <= 180:
			h /= 2
		case h < 360:
			h = (h + 360) / 2
		default:
			h = (h - 360) / 2
		}
	}
	t := 1 - .17*math.Cos((h-30)*deg) + .24*math.Cos(2*h*deg) + .32*math.Cos((3*h+6)*deg) - .20*math.Cos((4*h-63)*deg)
	turn := 30 * math.Exp(-math.Pow((h-275)/25, 2))
	cc := math.Pow(c, 7)
	rc := 2 * math.Sqrt(cc/(cc+math.Pow(25, 7)))
	sl := 1 + .015*(l-50)*(l-50)/math.Sqrt(20+(l-50)*(l-50))
	sc, sh := 1+.045*c, 1+.015*c*t
	rt := -math.Sin(2*turn*deg) * rc
	x, y, z := dl/sl, dc/sc, dH/sh
	return math.Sqrt(x*x + y*y + z*z + rt*y*z)
}
