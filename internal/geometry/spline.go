package geometry

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// maxPoints bounds the dense system of a surface; our own choice.
const maxPoints = 400

// surface is the smoothest surface through given points: the thin-plate spline (Duchon 1977; Wahba 1990, "Spline models for
// observational data", chapter 2), which bends least of all surfaces through them. Points on one line give its
// counterpart in one dimension, the natural cubic spline, level across the line; a single point gives a level. The surface
// never rises above the highest point nor falls below the lowest, so that it levels off beyond the points instead of running away.
type surface struct {
	x, y   []float64 // points, scaled
	weight []float64
	poly   [3]float64 // level, slope along x, slope along y, in scaled coordinates
	line   bool       // natural spline along (ux, uy)
	ux, uy float64
	ox, oy float64 // origin of scaled coordinates
	scale  float64
	lo, hi float64
}

// newSurface takes points as x, y, height in m.
func newSurface(points [][3]float64) (*surface, error) {
	if len(points) == 0 {
		return nil, fmt.Errorf("the surface has no points; give at least one [x, y, height]")
	}
	if len(points) > maxPoints {
		return nil, fmt.Errorf("the surface has %d points, more than the %d that can be used; leave out points that lie close together", len(points), maxPoints)
	}
	s := &surface{lo: math.Inf(1), hi: math.Inf(-1)}
	var unique [][3]float64
	for _, p := range points {
		for _, v := range p {
			if math.IsNaN(v) || math.IsInf(v, 0) || math.Abs(v) > 1000 {
				return nil, fmt.Errorf("the point [%g, %g, %g] cm is not a place in a tank; correct it", 100*p[0], 100*p[1], 100*p[2])
			}
		}
		seen := false
		for _, q := range unique {
			if math.Hypot(p[0]-q[0], p[1]-q[1]) < 1e-4 { // a tenth of a millimetre
				if math.Abs(p[2]-q[2]) > 1e-4 {
					return nil, fmt.Errorf("two points lie at [%g, %g] cm with heights %g and %g cm; keep one of them", 100*p[0], 100*p[1], 100*q[2], 100*p[2])
				}
				seen = true
			}
		}
		if !seen {
			unique = append(unique, p)
		}
		s.lo, s.hi = min(s.lo, p[2]), max(s.hi, p[2])
		s.ox += p[0] / float64(len(points))
		s.oy += p[1] / float64(len(points))
	}
	// The scatter of the points about their middle: its larger and smaller spread tell a line from a field.
	var xx, xy, yy float64
	for _, p := range unique {
		dx, dy := p[0]-s.ox, p[1]-s.oy
		xx, xy, yy = xx+dx*dx, xy+dx*dy, yy+dy*dy
	}
	mean, diff := (xx+yy)/2, math.Hypot((xx-yy)/2, xy)
	s.scale = math.Sqrt(max(mean+diff, 1e-12) / float64(len(unique)))
	angle := 0.5 * math.Atan2(2*xy, xx-yy)
	s.uy, s.ux = math.Sincos(angle)
	s.line = mean-diff < 1e-6*(mean+diff)
	for _, p := range unique {
		x, y := s.local(p[0], p[1])
		s.x, s.y = append(s.x, x), append(s.y, y)
	}
	if len(unique) == 1 {
		s.poly[0] = unique[0][2]
		return s, nil
	}
	return s, s.solve(unique)
}

// local gives scaled coordinates; on a line only the first counts.
func (s *surface) local(x, y float64) (float64, float64) {
	dx, dy := (x-s.ox)/s.scale, (y-s.oy)/s.scale
	if s.line {
		return dx*s.ux + dy*s.uy, 0
	}
	return dx, dy
}

// kernel is r² ln r in the plane and r³ on a line, from the squared distance.
func (s *surface) kernel(r2 float64) float64 {
	if r2 == 0 {
		return 0
	}
	if s.line {
		return r2 * math.Sqrt(r2)
	}
	return 0.5 * r2 * math.Log(r2)
}

func (s *surface) solve(points [][3]float64) error {
	n, terms := len(points), 3
	if s.line {
		terms = 2
	}
	a := mat.NewDense(n+terms, n+terms, nil)
	b := mat.NewVecDense(n+terms, nil)
	for i := range n {
		for j := range n {
			dx, dy := s.x[i]-s.x[j], s.y[i]-s.y[j]
			a.Set(i, j, s.kernel(dx*dx+dy*dy))
		}
		for k, v := range []float64{1, s.x[i], s.y[i]}[:terms] {
			a.Set(i, n+k, v)
			a.Set(n+k, i, v)
		}
		b.SetVec(i, points[i][2])
	}
	var w mat.VecDense
	if err := w.SolveVec(a, b); err != nil {
		var poor mat.Condition
		if !errors.As(err, &poor) {
			return fmt.Errorf("no smooth surface runs through the points (%w); move points apart that lie close together", err)
		}
	}
	s.weight = make([]float64, n)
	for i := range n {
		s.weight[i] = w.AtVec(i)
	}
	for k := range terms {
		s.poly[k] = w.AtVec(n + k)
	}
	for _, p := range points {
		if miss := math.Abs(s.at(p[0], p[1]) - p[2]); !(miss < 1e-5) {
			return fmt.Errorf("no smooth surface runs through the point [%g, %g, %g] cm; move points apart that lie close together", 100*p[0], 100*p[1], 100*p[2])
		}
	}
	return nil
}

// at returns the height at a place, both in m.
func (s *surface) at(x, y float64) float64 {
	lx, ly := s.local(x, y)
	h := s.poly[0] + s.poly[1]*lx + s.poly[2]*ly
	for i, w := range s.weight {
		dx, dy := lx-s.x[i], ly-s.y[i]
		h += w * s.kernel(dx*dx+dy*dy)
	}
	return max(s.lo, min(s.hi, h))
}

// Through returns the smoothest surface through points (x, y and height, m), the one that a bed of these heights gets: its height at a place. Errors name
// the point that stands in the way.
func Through(points [][3]float64) (at func(x, y float64) float64, err error) {
	s, err := newSurface(points)
	if err != nil {
		return nil, err
	}
	return s.at, nil
}
