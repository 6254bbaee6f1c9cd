package geometry

import (
	"fmt"
	"littoral/internal/plan"
	"math"
)

const (
	// chords stand for a whole turn of a round wall; the inscribed polygon is then 0.005 % smaller than the circle.
	chords = 360
	// glassDensity in kg/m³: EN 572-1, properties of float glass.
	glassDensity = 2500.0
	// waterDensity in kg/m³, fresh water at 21 to 22 °C (Kell 1975 gives 997.77 at 22 °C).
	waterDensity = 998.0
	// gravity in m/s², standard value (CGPM 1901).
	gravity = 9.80665
)

// tankOf turns the plan's tank into metres. The front of a bow-front reaches y = 0 in the middle.
func tankOf(p *plan.Tank) (Tank, error) {
	t := Tank{
		Shape: p.Shape, Height: float64(p.Inside.Height), WaterLevel: float64(p.WaterLevel),
		Glass: float64(p.Glass.Thickness), Bottom: float64(p.Glass.Bottom),
	}
	l, w, d, bow := float64(p.Inside.Length), float64(p.Inside.Width), float64(p.Inside.Diameter), float64(p.Inside.Bow)
	for _, m := range []struct {
		name  string
		value float64
	}{{"length", l}, {"width", w}, {"diameter", d}, {"bow", bow}, {"height", t.Height}, {"water level", t.WaterLevel}, {"glass thickness", t.Glass}} {
		if math.IsNaN(m.value) || m.value < 0 || m.value > 100 {
			return t, fmt.Errorf("the tank's %s of %g m cannot be built; state a length between 0 and 100 m", m.name, m.value)
		}
	}
	switch p.Shape {
	case "box":
		t.Footprint = [][2]float64{{0, 0}, {l, 0}, {l, w}, {0, w}}
	case "cylinder":
		t.Footprint = make([][2]float64, chords)
		for i := range t.Footprint {
			s, c := math.Sincos(2 * math.Pi * float64(i) / chords)
			t.Footprint[i] = [2]float64{d / 2 * (1 + c), d / 2 * (1 + s)}
		}
	case "bow-front":
		if bow <= 0 || bow > l/2 {
			return t, fmt.Errorf("a bow-front's bow must be more than 0 and at most half the length; this one is %g m on %g m", bow, l)
		}
		r := (l*l/4 + bow*bow) / (2 * bow) // of the arc through both front corners and the foremost point
		half := math.Asin(min(1, l/2/r))
		steps := max(24, int(math.Ceil(chords*half/math.Pi)))
		for i := range steps + 1 {
			s, c := math.Sincos(half * (2*float64(i)/float64(steps) - 1))
			t.Footprint = append(t.Footprint, [2]float64{l/2 + r*s, r - r*c})
		}
		t.Footprint = append(t.Footprint, [2]float64{l, w + bow}, [2]float64{0, w + bow})
	case "polygon":
		for _, q := range p.Outline {
			t.Footprint = append(t.Footprint, [2]float64{q[0] / 100, q[1] / 100})
		}
		if len(t.Footprint) >= 3 && polygonArea(t.Footprint) < 0 {
			for i, j := 0, len(t.Footprint)-1; i < j; i, j = i+1, j-1 {
				t.Footprint[i], t.Footprint[j] = t.Footprint[j], t.Footprint[i]
			}
		}
	default:
		return t, fmt.Errorf("the tank's shape %q is not known; write box, cylinder, bow-front or polygon", p.Shape)
	}
	for _, q := range t.Footprint {
		if math.IsNaN(q[0]+q[1]) || q[0] < -1e-9 || q[1] < -1e-9 || q[0] > 100 || q[1] > 100 {
			return t, fmt.Errorf("the outline's corner at [%g, %g] cm lies outside 0 to 100 m; count from the front-left corner of the rectangle round the tank", 100*q[0], 100*q[1])
		}
		t.LX, t.LY = max(t.LX, q[0]), max(t.LY, q[1])
	}
	if len(t.Footprint) < 3 || polygonArea(t.Footprint) <= 1e-6 || t.Height <= 0 {
		return t, fmt.Errorf("the tank has no inside; state its length, width (or diameter, or outline) and height")
	}
	if t.WaterLevel > t.Height {
		return t, fmt.Errorf("the water stands %g cm high in a tank of %g cm; lower the water level", 100*t.WaterLevel, 100*t.Height)
	}
	return t, nil
}

// Area returns the inside of the footprint, m².
func (t *Tank) Area() float64 { return polygonArea(t.Footprint) }

// Contains reports whether a place, in m, lies inside the glass.
func (t *Tank) Contains(x, y float64) bool {
	switch t.Shape { // quick answers for the usual shapes
	case "box":
		return x > 0 && y > 0 && x < t.LX && y < t.LY
	case "cylinder":
		if r := math.Hypot(x-t.LX/2, y-t.LX/2); r >= t.LX/2 || r < t.LX/2*(1-5/float64(chords*chords)) {
			return r < t.LX/2 // only between a chord and its arc the polygon must decide; their gap is r·π²/2n²
		}
	}
	in := false
	for i, a := range t.Footprint {
		b := t.Footprint[(i+1)%len(t.Footprint)]
		if (a[1] > y) != (b[1] > y) && x < a[0]+(y-a[1])/(b[1]-a[1])*(b[0]-a[0]) {
			in = !in
		}
	}
	return in
}

// WallDistance returns how far a place, in m, stands from the nearest upright pane, in m; negative outside the glass.
func (t *Tank) WallDistance(x, y float64) float64 {
	if t.Shape == "cylinder" {
		return t.LX/2 - math.Hypot(x-t.LX/2, y-t.LX/2)
	}
	best := math.Inf(1)
	for i, a := range t.Footprint {
		b := t.Footprint[(i+1)%len(t.Footprint)]
		dx, dy := b[0]-a[0], b[1]-a[1]
		s := 0.0
		if l := dx*dx + dy*dy; l > 0 {
			s = max(0, min(1, ((x-a[0])*dx+(y-a[1])*dy)/l))
		}
		best = min(best, math.Hypot(x-a[0]-s*dx, y-a[1]-s*dy))
	}
	if !t.Contains(x, y) {
		return -best
	}
	return best
}

// outerArea is the footprint grown by the glass all round, with mitred corners, m².
func (t *Tank) outerArea() float64 {
	sum := t.Area()
	n := len(t.Footprint)
	for i, b := range t.Footprint {
		a, c := t.Footprint[(i+n-1)%n], t.Footprint[(i+1)%n]
		ux, uy, vx, vy := b[0]-a[0], b[1]-a[1], c[0]-b[0], c[1]-b[1]
		sum += math.Hypot(vx, vy) * t.Glass
		// A corner that turns by θ adds the kite t² tan(θ/2); one that turns inward takes it away. No mitre is drawn out beyond
		// four times the glass.
		turn := math.Atan2(ux*vy-uy*vx, ux*vx+uy*vy)
		sum += t.Glass * t.Glass * max(-4, min(4, math.Tan(turn/2)))
	}
	return sum
}

// glassMass is that of the bottom pane and of walls standing on it, kg.
func (t *Tank) glassMass() float64 {
	outer := t.outerArea()
	return glassDensity * (outer*t.Bottom + (outer-t.Area())*t.Height)
}

// assumedGlass is a thickness for weights only, when the plan states none: the middle of what makers use for tanks of that
// length and height. Common practice, no source.
func (t *Tank) assumedGlass() float64 {
	long := max(t.LX, t.LY)
	for _, row := range []struct{ length, height, glass float64 }{
		{0.65, 0.42, 0.006}, {0.95, 0.5, 0.008}, {1.25, 0.55, 0.011}, {1.55, 0.62, 0.0135}, {2.05, 0.72, 0.017}, {3.05, 0.85, 0.022},
	} {
		if long <= row.length && t.Height <= row.height {
			return row.glass
		}
	}
	return 0.025
}

// polygonArea is positive when the corners run counter-clockwise.
func polygonArea(p [][2]float64) float64 {
	sum := 0.0
	for i, a := range p {
		b := p[(i+1)%len(p)]
		sum += a[0]*b[1] - b[0]*a[1]
	}
	return sum / 2
}

// raster is a rectangular grid of nx by ny cells of dx by dy from x0, y0. Index iy*nx+ix.
type raster struct {
	x0, y0, dx, dy float64
	nx, ny         int
}

// centre of a cell.
func (r raster) centre(ix, iy int) (x, y float64) {
	return r.x0 + (float64(ix)+0.5)*r.dx, r.y0 + (float64(iy)+0.5)*r.dy
}

// part is what a polygon covers of a cell.
type part struct{ area, x, y float64 } // m², and the centre of the covered part

// cover returns what a polygon covers of each cell, exactly (clipping after Sutherland & Hodgman 1974, Communications of the ACM 17).
func (r raster) cover(polygon [][2]float64) []part {
	out := make([]part, r.nx*r.ny)
	sign := 1.0
	if polygonArea(polygon) < 0 {
		sign = -1
	}
	for iy := range r.ny {
		y := r.y0 + float64(iy)*r.dy
		strip := clipHalf(clipHalf(polygon, 1, y, true), 1, y+r.dy, false)
		if len(strip) < 3 {
			continue
		}
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, q := range strip {
			lo, hi = min(lo, q[0]), max(hi, q[0])
		}
		from := max(0, int(math.Floor((lo-r.x0)/r.dx)))
		to := min(r.nx-1, int(math.Floor((hi-r.x0)/r.dx)))
		for ix := from; ix <= to; ix++ {
			x := r.x0 + float64(ix)*r.dx
			cell := clipHalf(clipHalf(strip, 0, x, true), 0, x+r.dx, false)
			cx, cy := r.centre(ix, iy)
			var p part
			for i, a := range cell { // about the cell's centre, to keep digits
				b := cell[(i+1)%len(cell)]
				ax, ay, bx, by := a[0]-cx, a[1]-cy, b[0]-cx, b[1]-cy
				w := ax*by - bx*ay
				p.area += w / 2
				p.x += w * (ax + bx) / 6
				p.y += w * (ay + by) / 6
			}
			if p.area *= sign; p.area <= 1e-12*r.dx*r.dy {
				continue
			}
			// An outline that crosses itself must not put the centre outside the cell.
			p.x = cx + max(-r.dx/2, min(r.dx/2, sign*p.x/p.area))
			p.y = cy + max(-r.dy/2, min(r.dy/2, sign*p.y/p.area))
			p.area = min(p.area, r.dx*r.dy)
			out[iy*r.nx+ix] = p
		}
	}
	return out
}

// clipHalf keeps the part of a polygon where coordinate axis is at least (above) or at most at.
func clipHalf(polygon [][2]float64, axis int, at float64, above bool) [][2]float64 {
	out := make([][2]float64, 0, len(polygon)+4)
	keep := func(p [2]float64) bool { return (p[axis] >= at) == above || p[axis] == at }
	for i, a := range polygon {
		b := polygon[(i+1)%len(polygon)]
		ka, kb := keep(a), keep(b)
		if ka {
			out = append(out, a)
		}
		if ka != kb {
			s := (at - a[axis]) / (b[axis] - a[axis])
			q := [2]float64{a[0] + s*(b[0]-a[0]), a[1] + s*(b[1]-a[1])}
			q[axis] = at
			out = append(out, q)
		}
	}
	return out
}
