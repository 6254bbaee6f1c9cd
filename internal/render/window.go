package render

import (
	"littoral/internal/geometry"
	"math"
	"slices"
)

// Refractive indices of air, fresh water and soda-lime glass in yellow light (common tables).
const (
	waterIndex = 1.333
	glassIndex = 1.52
)

// window is a part of the water's boundary through which the eye looks in: a pane, a round wall, or the surface from above.
type window struct {
	poly    [][2]float64 // outline in the picture, convex, pixels
	sees    func(p vec) (dir vec, path, whole float64, ok bool)
	mirrors []mirror
	into    func(dir vec) vec // the direction in the water of a ray that comes in along dir
	top     bool
	flat    bool    // plane, so that sights change evenly over the tank
	away    float64 // of its middle from the eye, m
}

// mirror is a plane that throws back everything, as water behind glass or under air does beyond the critical angle.
type mirror struct {
	at, normal vec // normal points out of the water
	surface    bool
}

func (m *mirror) reflect(p vec) vec { return sub(p, mul(m.normal, 2*dot(sub(p, m.at), m.normal))) }

// pane is a flat window: at is a point of its inner face, normal points to the eye's side.
type pane struct {
	eye, at, normal vec
	glass           float64
}

// look finds the way of light from a point in the water to the eye: the direction in which the eye sees it, its way in the water, and the
// whole way. It solves e·tan α + g·tan γ + w·tan ω = r with one sine of Snell for all three.
func (q *pane) look(p vec) (dir vec, path, whole float64, ok bool) {
	to := sub(p, q.eye)
	w := dot(sub(q.at, p), q.normal)
	e := dot(sub(q.eye, q.at), q.normal) - q.glass
	if e <= 0 {
		return dir, 0, 0, false
	}
	w = max(w, 0)
	side := add(to, mul(q.normal, -dot(to, q.normal)))
	r := norm(side)
	flat := e + q.glass/glassIndex + w/waterIndex
	s := r / math.Sqrt(r*r+flat*flat)
	for range 6 {
		ca, cg, cw := math.Sqrt(max(1e-9, 1-s*s)), math.Sqrt(glassIndex*glassIndex-s*s), math.Sqrt(waterIndex*waterIndex-s*s)
		f := s*(e/ca+q.glass/cg+w/cw) - r
		d := e/(ca*ca*ca) + q.glass*glassIndex*glassIndex/(cg*cg*cg) + w*waterIndex*waterIndex/(cw*cw*cw)
		next := clamp(s-f/d, 0, .999999)
		done := math.Abs(next-s) < 1e-6 // the next step would be its square
		s = next
		if done {
			break
		}
	}
	ca := math.Sqrt(1 - s*s)
	dir = mul(q.normal, -ca)
	if r > 0 {
		dir = add(dir, mul(side, s/r))
	}
	path = w * waterIndex / math.Sqrt(waterIndex*waterIndex-s*s)
	whole = e/ca + q.glass*glassIndex/math.Sqrt(glassIndex*glassIndex-s*s) + path
	return dir, path, whole, true
}

// into is the direction in the water behind the pane.
func (q *pane) into(dir vec) vec { return refract(dir, q.normal) }

// refract bends a ray from air into water at a face whose normal points to the air.
func refract(dir, normal vec) vec {
	c := -dot(dir, normal)
	side := mul(add(dir, mul(normal, c)), 1/waterIndex)
	return add(side, mul(normal, -math.Sqrt(max(0, 1-dot(side, side)))))
}

// round is an upright cylindrical window about an axis, seen from outside.
type round struct {
	eye    vec
	cx, cy float64
	radius float64 // of the inner face; the glass is counted as water's neighbour without thickness
	grid   []bent  // [height][ring][turn], directions towards the eye, across and up

	out, across vec // level, towards the eye and square to it

	turns, rings, nz int
	dz               float64
}

type bent struct {
	dir         vec
	path, whole float64
}

// exact finds the point of the round wall through which a point is seen: the shortest optical way (Fermat). For each upright line of the wall the height
// of the crossing follows by Newton's method; among the lines the way bends as Snell asks where it is shortest, found by halving. Beside the axis,
// near the wall, lie places from which no light comes to the eye; their whole way is given as 0.
func (q *round) exact(p vec) bent {
	ex, ey := q.eye[0]-q.cx, q.eye[1]-q.cy
	away := math.Hypot(ex, ey)
	middle := math.Atan2(ey, ex)
	side := math.Acos(min(1, q.radius/away)) // beyond it the wall turns its back
	var h vec
	var out, in float64
	// slope is how the optical way grows with the turn of the line.
	slope := func(phi float64) float64 {
		s, c := math.Sincos(phi)
		h[0], h[1] = q.cx+q.radius*c, q.cy+q.radius*s
		a := math.Hypot(q.eye[0]-h[0], q.eye[1]-h[1])
		b := max(1e-9, math.Hypot(p[0]-h[0], p[1]-h[1]))
		z := (q.eye[2]*b + waterIndex*p[2]*a) / (b + waterIndex*a)
		for range 5 {
			out, in = math.Hypot(a, q.eye[2]-z), math.Hypot(b, p[2]-z)
			d := ((z-q.eye[2])/out + waterIndex*(z-p[2])/in) / (a*a/(out*out*out) + waterIndex*b*b/(in*in*in))
			z -= d
			if math.Abs(d) < 1e-9 {
				break
			}
		}
		h[2] = z
		return ((h[0]-q.eye[0])*-s+(h[1]-q.eye[1])*c)/out + waterIndex*((h[0]-p[0])*-s+(h[1]-p[1])*c)/in
	}
	lo, hi := middle-side, middle+side
	fl, fh := slope(lo), slope(hi)
	if fl > 0 || fh < 0 {
		return bent{}
	}
	// Regula falsi that halves the weight of an end that stays (the Illinois way, Dowell & Jarratt 1971).
	for range 40 {
		m := (lo*fh - hi*fl) / (fh - fl)
		f := slope(m)
		switch {
		case math.Abs(f) < 1e-9 || hi-lo < 1e-10:
			lo, hi = m, m
		case f < 0:
			lo, fl, fh = m, f, fh/2
		default:
			hi, fh, fl = m, f, fl/2
		}
		if lo == hi {
			break
		}
	}
	return bent{unit(sub(h, q.eye)), in, out + in}
}

// fill prepares a grid over the tank and its image in the surface, up to a height, between whose points the way of light is interpolated: rings about
// the axis, so that no point of it lies outside the wall. Turns count from the eye; what lies to the other side of it is the mirror image.
func (q *round) fill(high float64) {
	q.turns, q.rings, q.nz = 60, 24, 22
	q.dz = high / float64(q.nz-1)
	q.grid = make([]bent, (q.turns+1)*q.rings*q.nz)
	out := vec{q.eye[0] - q.cx, q.eye[1] - q.cy, 0}
	q.out = unit(out)
	q.across = vec{-q.out[1], q.out[0], 0}
	parallel(q.nz, func(k int) {
		for j := range q.rings {
			for i := range q.turns + 1 {
				s, c := math.Sincos(math.Pi * float64(i) / float64(q.turns))
				r := q.ring(j)
				p := vec{q.cx + r*(c*q.out[0]+s*q.across[0]), q.cy + r*(c*q.out[1]+s*q.across[1]), float64(k) * q.dz}
				b := q.exact(p)
				b.dir = vec{dot(b.dir, q.out), dot(b.dir, q.across), b.dir[2]}
				q.grid[(k*q.rings+j)*(q.turns+1)+i] = b
			}
		}
	})
}

// ring is the radius of a ring.
func (q *round) ring(j int) float64 { return q.radius * .9995 * float64(j) / float64(q.rings-1) }

func (q *round) look(p vec) (dir vec, path, whole float64, ok bool) {
	dx, dy := p[0]-q.cx, p[1]-q.cy
	towards, aside := dx*q.out[0]+dy*q.out[1], dx*q.across[0]+dy*q.across[1]
	turn := math.Atan2(math.Abs(aside), towards) / math.Pi
	r := min(math.Hypot(dx, dy)/(q.radius*.9995), 1)
	place := func(f float64, n int) (int, float64) {
		f = clamp(f, 0, float64(n-1))
		i := min(int(f), n-2)
		return i, f - float64(i)
	}
	i, u := place(turn*float64(q.turns), q.turns+1)
	j, v := place(r*float64(q.rings-1), q.rings)
	k, w := place(p[2]/q.dz, q.nz)
	sum := 0.0
	for c := range 8 {
		di, dj, dk := c&1, c>>1&1, c>>2
		f := 1.0
		for _, x := range [3]struct {
			b int
			t float64
		}{{di, u}, {dj, v}, {dk, w}} {
			if x.b == 1 {
				f *= x.t
			} else {
				f *= 1 - x.t
			}
		}
		g := &q.grid[((k+dk)*q.rings+j+dj)*(q.turns+1)+i+di]
		if g.whole == 0 {
			continue
		}
		sum += f
		dir = add(dir, mul(g.dir, f))
		path += f * g.path
		whole += f * g.whole
	}
	if sum < .5 {
		return dir, 0, 0, false
	}
	if aside < 0 {
		dir[1] = -dir[1]
	}
	dir = add(add(mul(q.out, dir[0]), mul(q.across, dir[1])), vec{0, 0, dir[2]})
	return unit(dir), path / sum, whole / sum, true
}

// windows lists what the eye looks through.
func windows(c *Camera, t *geometry.Tank) []window {
	var out []window
	level := t.WaterLevel
	f := t.Footprint
	n := len(f)
	surface := mirror{vec{0, 0, level}, vec{0, 0, 1}, true}
	flat := func(i int) (at, normal vec) {
		p, q := f[i], f[(i+1)%n]
		return vec{p[0], p[1], 0}, unit(vec{q[1] - p[1], p[0] - q[0], 0})
	}
	// The surface from above.
	if c.Eye[2] > level+.02 {
		var poly [][2]float64
		for _, p := range f {
			if x, y, ok := c.Pixel(vec{p[0], p[1], level}); ok {
				poly = append(poly, [2]float64{x, y})
			}
		}
		q := &pane{c.Eye, vec{0, 0, level}, vec{0, 0, 1}, 0}
		w := window{poly: poly, sees: q.look, into: q.into, top: true, flat: true, away: math.Inf(1)}
		if t.Shape == "box" {
			for i := range n {
				at, normal := flat(i)
				w.mirrors = append(w.mirrors, mirror{at, normal, false})
			}
		}
		out = append(out, w)
	}
	curved := t.Shape == "cylinder" || t.Shape == "bow-front"
	arcEnd := 0 // edges of the footprint that belong to the round wall
	var q *round
	if t.Shape == "cylinder" {
		arcEnd = n
		q = &round{eye: c.Eye, cx: t.LX / 2, cy: t.LX / 2, radius: t.LX / 2}
	} else if curved {
		arcEnd = n - 3
		a, m, b := f[0], f[arcEnd/2], f[arcEnd]
		q = &round{eye: c.Eye}
		q.cx, q.cy, q.radius = circle(a, m, b)
	}
	if q != nil && math.Hypot(c.Eye[0]-q.cx, c.Eye[1]-q.cy) > q.radius {
		var lower, upper [][2]float64
		// From the first edge that faces the eye to the last: a closed wall may begin in the middle of them.
		faces := func(i int) bool {
			at, normal := flat(i)
			return dot(sub(c.Eye, at), normal) > 0
		}
		start := 0
		if arcEnd == n {
			for i := range n {
				if faces(i) && !faces((i+n-1)%n) {
					start = i
				}
			}
		} else {
			for start < arcEnd && !faces(start) {
				start++
			}
		}
		for k := 0; k < arcEnd && faces((start+k)%n) && start+k < start+arcEnd; k++ {
			i := (start + k) % n
			if arcEnd < n && i >= arcEnd {
				break
			}
			for _, e := range []int{i, (i + 1) % n} {
				if k > 0 && e == i {
					continue
				}
				if x, y, ok := c.Pixel(vec{f[e][0], f[e][1], 0}); ok {
					lower = append(lower, [2]float64{x, y})
				}
				if x, y, ok := c.Pixel(vec{f[e][0], f[e][1], level}); ok {
					upper = append(upper, [2]float64{x, y})
				}
			}
		}
		if len(lower) > 1 {
			poly := lower
			for i := len(upper) - 1; i >= 0; i-- {
				poly = append(poly, upper[i])
			}
			q.fill(2 * level)
			out = append(out, window{poly: poly, sees: q.look, into: func(d vec) vec { return d }, mirrors: []mirror{surface}})
		}
	}
	for i := range n {
		if i < arcEnd {
			continue
		}
		at, normal := flat(i)
		if dot(sub(c.Eye, at), normal) <= t.Glass+.01 {
			continue
		}
		p, r := f[i], f[(i+1)%n]
		var poly [][2]float64
		q := &pane{c.Eye, at, normal, t.Glass}
		for _, v := range []vec{{p[0], p[1], 0}, {r[0], r[1], 0}, {r[0], r[1], level}, {p[0], p[1], level}} {
			if d, _, _, ok := q.look(v); ok {
				if x, y, ok := c.along(d); ok {
					poly = append(poly, [2]float64{x, y})
				}
			}
		}
		if len(poly) < 4 {
			continue
		}
		w := window{poly: poly, sees: q.look, into: q.into, flat: true, mirrors: []mirror{surface}, away: norm(sub(vec{(p[0] + r[0]) / 2, (p[1] + r[1]) / 2, level / 2}, c.Eye))}
		if t.Shape == "box" {
			for _, j := range []int{(i + 1) % n, (i + n - 1) % n} {
				a2, n2 := flat(j)
				w.mirrors = append(w.mirrors, mirror{a2, n2, false})
			}
		}
		out = append(out, w)
	}
	// Where panes of a cornered tank lie behind each other in the picture, the nearest is the one seen.
	slices.SortStableFunc(out, func(a, b window) int {
		switch {
		case a.away > b.away:
			return -1
		case a.away < b.away:
			return 1
		}
		return 0
	})
	return out
}

// circle runs through three points.
func circle(a, b, c [2]float64) (x, y, r float64) {
	d := 2 * (a[0]*(b[1]-c[1]) + b[0]*(c[1]-a[1]) + c[0]*(a[1]-b[1]))
	aa, bb, cc := a[0]*a[0]+a[1]*a[1], b[0]*b[0]+b[1]*b[1], c[0]*c[0]+c[1]*c[1]
	x = (aa*(b[1]-c[1]) + bb*(c[1]-a[1]) + cc*(a[1]-b[1])) / d
	y = (aa*(c[0]-b[0]) + bb*(a[0]-c[0]) + cc*(b[0]-a[0])) / d
	return x, y, math.Hypot(a[0]-x, a[1]-y)
}

// inside tells whether a place lies in a convex outline of either direction.
func inside(poly [][2]float64, x, y float64) bool {
	in := false
	for i, a := range poly {
		b := poly[(i+1)%len(poly)]
		if (a[1] > y) != (b[1] > y) && x < a[0]+(y-a[1])/(b[1]-a[1])*(b[0]-a[0]) {
			in = !in
		}
	}
	return in
}
