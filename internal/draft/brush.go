package draft

import (
	"fmt"
	"littoral/internal/geometry"
	"math"
	"strconv"
)

// Bounds of a brush, our own choice. A surface through points stays readable in a plan with some dozens of them.
const (
	leastRadius = 2.0   // cm
	mostRadius  = 200.0 // cm
	mostStroke  = 2000  // places on a stroke
	mostPoints  = 120   // of a layer
	fewPoints   = 16    // added by one stroke that stays in its place, and by a longer one as many for every four radii of its way
	fitCM       = 0.25  // how far the surface may miss what was brushed: less than the grain of a bed shows
	fitShare    = 0.06  // of the most that a place was moved by, where that is more
)

// Brush shapes a surface through points (x, y, height, cm) by a stroke, and returns the few points that give the new surface: those there are, moved in
// height, and more where they are needed. outline is the inside of the tank in cm, counter-clockwise; points stay within it. Errors are Refusals.
func Brush(points [][3]float64, s Stroke, outline [][2]float64) ([][3]float64, error) {
	if len(s.At) == 0 || len(s.At) > mostStroke {
		return nil, refuse(fmt.Sprintf("a stroke of %d places is none", len(s.At)), "send the brush's way in at_cm")
	}
	if !(s.RadiusCM >= leastRadius && s.RadiusCM <= mostRadius) {
		return nil, refuse(fmt.Sprintf("a brush of %.4g cm radius is not used", s.RadiusCM), fmt.Sprintf("choose %g to %g cm", leastRadius, mostRadius))
	}
	for _, p := range s.At {
		if math.Abs(p[0])+math.Abs(p[1]) > 1e5 || math.IsNaN(p[0]+p[1]) {
			return nil, refuse("a place of the stroke is not near the tank", "send the brush's way in cm")
		}
	}
	level := 0.0
	if s.LevelCM != nil {
		level = *s.LevelCM
	}
	if math.Abs(s.RaiseCM) > 100 || math.Abs(level) > 1000 || !(s.Smooth >= 0 && s.Smooth <= 1) {
		return nil, refuse("the stroke would move the ground out of the tank", "raise by at most 100 cm; smooth from 0 to 1")
	}
	if len(points) == 0 {
		return nil, refuse("the layer has no points", "give it heights first")
	}
	old, err := surfaceCM(points)
	if err != nil {
		return nil, err
	}
	want := func(x, y float64) float64 {
		d := fromStroke(s.At, x, y) / s.RadiusCM
		h := old(x, y)
		if d >= 1 {
			return h
		}
		soft := (1 - d*d) * (1 - d*d)
		switch {
		case s.LevelCM != nil:
			flat := min(1, (1-d)/0.3) // a terrace is even up to its rim
			h += (level - h) * flat
		case s.Smooth > 0:
			mean, r := 0.0, 0.7*s.RadiusCM
			for k := range 8 {
				dy, dx := math.Sincos(float64(k) * math.Pi / 4)
				mean += old(x+r*dx, y+r*dy) / 8
			}
			h += s.Smooth * soft * (mean - h)
		default:
			h += s.RaiseCM * soft
		}
		return max(0, h)
	}
	out := make([][3]float64, len(points))
	for i, p := range points {
		out[i] = p
		if fromStroke(s.At, p[0], p[1]) < s.RadiusCM {
			out[i][2] = round(want(p[0], p[1]), 10)
		}
	}
	tries := candidates(s, outline)
	aim := make([]float64, len(tries))
	fit := fitCM
	for i, q := range tries {
		aim[i] = want(q[0], q[1])
		fit = max(fit, fitShare*math.Abs(aim[i]-old(q[0], q[1])))
	}
	for range int(fewPoints * (1 + length(s.At)/(4*s.RadiusCM))) {
		now, err := surfaceCM(out)
		if err != nil {
			return nil, err
		}
		worst, at := fit, -1
		for i, q := range tries {
			if miss := math.Abs(now(q[0], q[1]) - aim[i]); miss > worst && apart(out, q) {
				worst, at = miss, i
			}
		}
		if at < 0 || len(out) >= mostPoints {
			break
		}
		out = append(out, [3]float64{tries[at][0], tries[at][1], round(aim[at], 10)})
	}
	return out, nil
}

// surfaceCM is the surface through points, all in cm.
func surfaceCM(points [][3]float64) (func(x, y float64) float64, error) {
	m := make([][3]float64, len(points))
	for i, p := range points {
		m[i] = [3]float64{p[0] / 100, p[1] / 100, p[2] / 100}
	}
	at, err := geometry.Through(m)
	if err != nil {
		return nil, refuse(err.Error(), "move points apart that lie close together, or take some out")
	}
	return func(x, y float64) float64 { return 100 * at(x/100, y/100) }, nil
}

// candidates are places, in whole centimetres, at which the surface is compared and may get a point: close together under the brush and at its rim, and
// here and there elsewhere, so that what lies far from the brush stays as it was.
func candidates(s Stroke, outline [][2]float64) [][2]float64 {
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, p := range outline {
		x0, y0, x1, y1 = min(x0, p[0]), min(y0, p[1]), max(x1, p[0]), max(y1, p[1])
	}
	var out [][2]float64
	put := func(step float64, near bool) {
		step = max(1, math.Round(step))
		for y := math.Ceil(y0); y <= y1; y += step {
			for x := math.Ceil(x0); x <= x1; x += step {
				if fromStroke(s.At, x, y) < 1.5*s.RadiusCM == near && within(outline, x, y) {
					out = append(out, [2]float64{x, y})
				}
			}
		}
	}
	fine := max(s.RadiusCM/4, math.Sqrt((x1-x0)*(y1-y0)/3000))
	put(fine, true)
	put(max(4*fine, math.Sqrt((x1-x0)*(y1-y0)/200)), false)
	return out
}

// length of a stroke.
func length(at [][2]float64) float64 {
	sum := 0.0
	for i := 1; i < len(at); i++ {
		sum += math.Hypot(at[i][0]-at[i-1][0], at[i][1]-at[i-1][1])
	}
	return sum
}

// apart tells whether a place is so far from all points that a surface can run through both.
func apart(points [][3]float64, q [2]float64) bool {
	for _, p := range points {
		if math.Hypot(p[0]-q[0], p[1]-q[1]) < 2 {
			return false
		}
	}
	return true
}

// fromStroke is the distance of a place from a stroke.
func fromStroke(at [][2]float64, x, y float64) float64 {
	best := math.Hypot(at[0][0]-x, at[0][1]-y)
	for i := 1; i < len(at); i++ {
		ax, ay := at[i-1][0], at[i-1][1]
		dx, dy := at[i][0]-ax, at[i][1]-ay
		t := 0.0
		if l := dx*dx + dy*dy; l > 0 {
			t = max(0, min(1, ((x-ax)*dx+(y-ay)*dy)/l))
		}
		best = min(best, math.Hypot(ax+t*dx-x, ay+t*dy-y))
	}
	return best
}

// within tells whether a place lies in an outline or on its edge.
func within(outline [][2]float64, x, y float64) bool {
	in := false
	for i := range outline {
		a, b := outline[i], outline[(i+1)%len(outline)]
		dx, dy := b[0]-a[0], b[1]-a[1]
		if l := dx*dx + dy*dy; l > 0 {
			t := max(0, min(1, ((x-a[0])*dx+(y-a[1])*dy)/l))
			if math.Hypot(a[0]+t*dx-x, a[1]+t*dy-y) < 1e-9 {
				return true
			}
		}
		if (a[1] > y) != (b[1] > y) && x < a[0]+(y-a[1])/(b[1]-a[1])*dx {
			in = !in
		}
	}
	return in
}

// heights are the points of a layer as they are written. An even layer on the glass gets some on its outline.
func (t *Text) heights(item *node) ([][3]float64, error) {
	get := func(n *node, key string) *node {
		if n != nil && n.isMap() {
			if i := n.find(key); i >= 0 {
				return n.entries[i].value
			}
		}
		return nil
	}
	if list := get(get(item, "heights"), "points"); list != nil && list.isList() {
		var out [][3]float64
		for i := range list.entries {
			var p [3]float64
			v := list.entries[i].value
			if !v.isList() || len(v.entries) != 3 {
				return nil, refuse("a point of the layer is not [x, y, height]", "mend it in the text")
			}
			for k := range 3 {
				x, err := strconv.ParseFloat(v.entries[k].value.text, 64)
				if err != nil {
					return nil, refuse("a point of the layer is not [x, y, height]", "mend it in the text")
				}
				p[k] = x
			}
			out = append(out, p)
		}
		return out, nil
	}
	depth := get(item, "depth")
	if depth == nil {
		return nil, refuse("the layer has neither heights nor depth", "mend it in the text")
	}
	h, err := lengthCM(depth.text)
	if err != nil {
		return nil, refuse("the layer's depth cannot be read", "mend it in the text")
	}
	var out [][3]float64
	for i := 0; i < len(t.outline); i += 1 + (len(t.outline)-1)/8 {
		out = append(out, [3]float64{round(t.outline[i][0], 10), round(t.outline[i][1], 10), round(h, 100)})
	}
	return out, nil
}
