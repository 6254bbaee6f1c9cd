package plan

import (
	"littoral/internal/unit"
	"math"
)

// edgeCM is how far outside an edge a place may lie and still count as on it: half a millimetre, our own choice.
const edgeCM = 0.05

// Chords that stand for round walls. 180 keep a circle of 3 m within 0.5 mm, 96 keep a bow within 0.1 mm.
const (
	circleSteps = 180
	bowSteps    = 96
)

func cm(l unit.Length) float64 { return float64(l) * 100 }

// Plantings lists all plantings: those of the plan, then those of its events, in the order of the file.
func (p *Plan) Plantings() []*Planting {
	var out []*Planting
	for i := range p.Plants {
		out = append(out, &p.Plants[i])
	}
	for i := range p.Events {
		for j := range p.Events[i].Plant {
			out = append(out, &p.Events[i].Plant[j])
		}
	}
	return out
}

// FootprintCM returns the inside of the tank seen from above, counter-clockwise, in the centimetres of the plan's positions.
// The front of a bow-front reaches y = 0 in the middle, and its front corners stand at y = bow. Round walls are chords of the
// true curve. It returns nil while a measure is missing.
func (t *Tank) FootprintCM() []PointCM {
	l, w, d, bow := cm(t.Inside.Length), cm(t.Inside.Width), cm(t.Inside.Diameter), cm(t.Inside.Bow)
	switch t.Shape {
	case "box":
		if l > 0 && w > 0 {
			return []PointCM{{0, 0}, {l, 0}, {l, w}, {0, w}}
		}
	case "cylinder":
		if d > 0 {
			out := make([]PointCM, circleSteps)
			for i := range out {
				s, c := math.Sincos(2 * math.Pi * float64(i) / circleSteps)
				out[i] = PointCM{d/2 + d/2*c, d/2 + d/2*s}
			}
			return out
		}
	case "bow-front":
		if l > 0 && w > 0 && bow > 0 && bow <= l/2 {
			r := (l*l/4 + bow*bow) / (2 * bow) // radius of the arc through both corners and the foremost point
			half := math.Asin(min(1, l/2/r))
			out := make([]PointCM, 0, bowSteps+3)
			for i := range bowSteps + 1 {
				s, c := math.Sincos(half * (2*float64(i)/bowSteps - 1))
				out = append(out, PointCM{l/2 + r*s, r - r*c})
			}
			return append(out, PointCM{l, w + bow}, PointCM{0, w + bow})
		}
	case "polygon":
		if len(t.Outline) >= 3 {
			out := append([]PointCM(nil), t.Outline...)
			if area(out) < 0 {
				for i, j := 0, len(out)-1; i < j; i, j = i+1, j-1 {
					out[i], out[j] = out[j], out[i]
				}
			}
			return out
		}
	}
	return nil
}

// area is the signed area of a polygon, positive when it runs counter-clockwise.
func area(p []PointCM) float64 {
	sum := 0.0
	for i := range p {
		a, b := p[i], p[(i+1)%len(p)]
		sum += a[0]*b[1] - b[0]*a[1]
	}
	return sum / 2
}

// inside tells whether a place lies in a polygon or within slack of its edge.
func inside(p []PointCM, at PointCM, slack float64) bool {
	in := false
	for i := range p {
		a, b := p[i], p[(i+1)%len(p)]
		if (a[1] > at[1]) != (b[1] > at[1]) && at[0] < a[0]+(at[1]-a[1])/(b[1]-a[1])*(b[0]-a[0]) {
			in = !in
		}
		if distance(a, b, at) <= slack {
			return true
		}
	}
	return in
}

// distance from a place to the stretch between a and b.
func distance(a, b, at PointCM) float64 {
	dx, dy := b[0]-a[0], b[1]-a[1]
	t := 0.0
	if l := dx*dx + dy*dy; l > 0 {
		t = max(0, min(1, ((at[0]-a[0])*dx+(at[1]-a[1])*dy)/l))
	}
	return math.Hypot(at[0]-a[0]-t*dx, at[1]-a[1]-t*dy)
}

// crossing returns two sides of a polygon that cross or touch, counted from 0. Neighbours share a corner and are only looked at for
// folding back over one another.
func crossing(p []PointCM) (i, j int, found bool) {
	n := len(p)
	for i := range n {
		a, b := p[i], p[(i+1)%n]
		if a == b {
			return i, (i + 1) % n, true
		}
		for j := i + 1; j < n; j++ {
			c, d := p[j], p[(j+1)%n]
			switch {
			case j == i+1:
				if turn(a, b, d) == 0 && (b[0]-a[0])*(d[0]-b[0])+(b[1]-a[1])*(d[1]-b[1]) < 0 {
					return i, j, true
				}
			case i == 0 && j == n-1:
				if turn(c, d, b) == 0 && (d[0]-c[0])*(b[0]-d[0])+(d[1]-c[1])*(b[1]-d[1]) < 0 {
					return i, j, true
				}
			case meet(a, b, c, d):
				return i, j, true
			}
		}
	}
	return 0, 0, false
}

// turn is positive when c lies to the left of the line from a to b.
func turn(a, b, c PointCM) float64 {
	return (b[0]-a[0])*(c[1]-a[1]) - (b[1]-a[1])*(c[0]-a[0])
}

// meet tells whether two stretches have a point in common.
func meet(a, b, c, d PointCM) bool {
	t1, t2, t3, t4 := turn(a, b, c), turn(a, b, d), turn(c, d, a), turn(c, d, b)
	if (t1 > 0) != (t2 > 0) && (t3 > 0) != (t4 > 0) && t1 != 0 && t2 != 0 && t3 != 0 && t4 != 0 {
		return true
	}
	on := func(p, q, r PointCM) bool {
		return min(p[0], q[0]) <= r[0] && r[0] <= max(p[0], q[0]) && min(p[1], q[1]) <= r[1] && r[1] <= max(p[1], q[1])
	}
	return t1 == 0 && on(a, b, c) || t2 == 0 && on(a, b, d) || t3 == 0 && on(c, d, a) || t4 == 0 && on(c, d, b)
}
