package growth

import (
	"littoral/internal/crew"
	"littoral/internal/geometry"
	"littoral/internal/plan"
	"math"
)

// spot is a place for a plant: crown position, and the hardscape it sits on, if any.
type spot struct {
	x, y, z float64
	on      string
	afloat  bool
}

// Spot is where a pot stands: its crown in m, and the hardscape it sits on, if any.
type Spot struct {
	X, Y, Z float64
	On      string
	Afloat  bool
}

// Places tells where the pots of plantings go in an empty tank, those of each planting in turn: exactly where New and Plant would set them. A planting
// of more pots than are followed singly has fewer places. The grids are those of the model.
func Places(p *plan.Plan, m *geometry.Model, v *geometry.Voxels, c *geometry.Columns, seed uint64, plantings []*plan.Planting) [][]Spot {
	out := make([][]Spot, len(plantings))
	crew.Do(0, len(plantings), func(i int) {
		s := &Stand{plan: p, model: m, vox: v, cols: c, seed: seed, vary: 1}
		pots := plantings[i].Pots
		if pots <= 0 {
			pots = len(plantings[i].At)
		}
		for _, at := range s.places(plantings[i], min(pots, mostPots)) {
			out[i] = append(out[i], Spot{at.x, at.y, at.z, at.on, at.afloat})
		}
	})
	return out
}

// columnAt is the index in the root grid under a point, −1 outside it.
func (s *Stand) columnAt(x, y float64) int {
	c := s.cols
	ix, iy := int(math.Floor(x/c.Cell)), int(math.Floor(y/c.Cell))
	if ix < 0 || iy < 0 || ix >= c.NX || iy >= c.NY {
		return -1
	}
	return iy*c.NX + ix
}

// plantable says whether something can root at a point, and in which column.
func (s *Stand) plantable(x, y float64) (int, bool) {
	c := s.columnAt(x, y)
	if c < 0 || s.cols.Area[c] <= 0 || s.cols.Free[c] < 0.3 {
		return c, false
	}
	ix, iy := int(x/s.vox.Cell), int(y/s.vox.Cell)
	if ix < 0 || iy < 0 || ix >= s.vox.NX || iy >= s.vox.NY {
		return c, false
	}
	g := s.vox.GroundIZ[iy*s.vox.NX+ix]
	return c, g < s.vox.NZ && !s.vox.Solid[(g*s.vox.NY+iy)*s.vox.NX+ix]
}

// bedSpot puts a crown on the bed at a point, or at the nearest point where something can root.
func (s *Stand) bedSpot(x, y float64) spot {
	if _, ok := s.plantable(x, y); !ok {
		best := math.Inf(1)
		bx, by := x, y
		for iy := range s.cols.NY {
			for ix := range s.cols.NX {
				cx, cy := (float64(ix)+0.5)*s.cols.Cell, (float64(iy)+0.5)*s.cols.Cell
				if d := (cx-x)*(cx-x) + (cy-y)*(cy-y); d < best {
					if _, ok := s.plantable(cx, cy); ok {
						best, bx, by = d, cx, cy
					}
				}
			}
		}
		x, y = bx, by
	}
	z := 0.0
	if c := s.columnAt(x, y); c >= 0 {
		z = s.cols.Top[c]
	}
	return spot{x: x, y: y, z: z}
}

// places works out where n plants of a planting go. The answer depends on the plan and the seed only.
func (s *Stand) places(pl *plan.Planting, n int) []spot {
	if n <= 0 {
		return nil
	}
	key := keyOf(pl.ID)
	switch {
	case pl.Afloat:
		return s.afloat(n)
	case pl.On != "":
		for i := range s.model.Solids {
			if s.model.Solids[i].ID == pl.On {
				if len(pl.At) > 0 {
					if got := s.onPlaces(&s.model.Solids[i], n, pl.At, key); len(got) > 0 {
						return got
					}
				}
				if got := s.onSolid(&s.model.Solids[i], n, key); len(got) > 0 {
					return got
				}
			}
		}
		return s.spread(n, nil, key)
	case len(pl.At) > 0:
		out := make([]spot, 0, n)
		for i := range n {
			p := pl.At[i%len(pl.At)]
			x, y := p[0]/100, p[1]/100
			if lap := i / len(pl.At); lap > 0 { // more pots than points: around the point, 5 cm further on each lap
				a := 2.39996 * float64(i) // golden angle
				x, y = x+0.05*float64(lap)*math.Cos(a), y+0.05*float64(lap)*math.Sin(a)
			}
			out = append(out, s.bedSpot(x, y))
		}
		return out
	case len(pl.Along) > 0:
		return s.along(n, pl.Along)
	}
	return s.spread(n, pl.In, key)
}

// along sets n pots at even distances on a line of points, half a distance from its ends.
func (s *Stand) along(n int, line []plan.PointCM) []spot {
	total := 0.0
	for i := 1; i < len(line); i++ {
		total += math.Hypot(line[i][0]-line[i-1][0], line[i][1]-line[i-1][1])
	}
	out := make([]spot, 0, n)
	for k := range n {
		want := total * (float64(k) + 0.5) / float64(n)
		x, y := line[0][0], line[0][1]
		for i := 1; i < len(line); i++ {
			l := math.Hypot(line[i][0]-line[i-1][0], line[i][1]-line[i-1][1])
			if want <= l || i == len(line)-1 {
				f := 0.0
				if l > 0 {
					f = min(want/l, 1)
				}
				x = line[i-1][0] + f*(line[i][0]-line[i-1][0])
				y = line[i-1][1] + f*(line[i][1]-line[i-1][1])
				break
			}
			want -= l
		}
		out = append(out, s.bedSpot(x/100, y/100))
	}
	return out
}

// inside tells whether a point (m) lies in an outline given in cm; an empty outline holds everything.
func inside(x, y float64, line []plan.PointCM) bool {
	if len(line) < 3 {
		return true
	}
	in := false
	for i, j := 0, len(line)-1; i < len(line); j, i = i, i+1 {
		xi, yi, xj, yj := line[i][0]/100, line[i][1]/100, line[j][0]/100, line[j][1]/100
		if (yi > y) != (yj > y) && x < (xj-xi)*(y-yi)/(yj-yi)+xi {
			in = !in
		}
	}
	return in
}

// spread sets n pots evenly over an outline (nil = the whole bed): points far from each other, then relaxed so that each stands
// in the middle of its own share of the ground (Lloyd), then moved a little, as a hand does.
func (s *Stand) spread(n int, line []plan.PointCM, key uint64) []spot {
	x0, y0, x1, y1 := 0.0, 0.0, s.model.Tank.LX, s.model.Tank.LY
	if len(line) >= 3 {
		x0, y0, x1, y1 = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
		for _, p := range line {
			x0, x1 = min(x0, p[0]/100), max(x1, p[0]/100)
			y0, y1 = min(y0, p[1]/100), max(y1, p[1]/100)
		}
	}
	// About 30 candidate places for each pot.
	step := math.Sqrt(max((x1-x0)*(y1-y0), 1e-6) / float64(min(max(300, 30*n), 6000)))
	nx, ny := max(int(math.Ceil((x1-x0)/step)), 1), max(int(math.Ceil((y1-y0)/step)), 1)
	var pts [][2]float64
	for iy := range ny {
		for ix := range nx {
			x := x0 + (float64(ix)+0.5)*(x1-x0)/float64(nx)
			y := y0 + (float64(iy)+0.5)*(y1-y0)/float64(ny)
			if _, ok := s.plantable(x, y); ok && inside(x, y, line) {
				pts = append(pts, [2]float64{x, y})
			}
		}
	}
	if len(pts) == 0 {
		pts = append(pts, [2]float64{(x0 + x1) / 2, (y0 + y1) / 2})
	}
	at := farthest(n, len(pts), func(i, j int) float64 {
		dx, dy := pts[i][0]-pts[j][0], pts[i][1]-pts[j][1]
		return dx*dx + dy*dy
	})
	centre := make([][2]float64, n)
	for k, i := range at {
		centre[k] = pts[i]
	}
	sum := make([][3]float64, n)
	for range 12 {
		clear(sum)
		for _, p := range pts {
			best, bd := 0, math.Inf(1)
			for k, c := range centre {
				if d := (p[0]-c[0])*(p[0]-c[0]) + (p[1]-c[1])*(p[1]-c[1]); d < bd {
					best, bd = k, d
				}
			}
			sum[best][0] += p[0]
			sum[best][1] += p[1]
			sum[best][2]++
		}
		for k := range centre {
			if sum[k][2] > 0 {
				centre[k] = [2]float64{sum[k][0] / sum[k][2], sum[k][1] / sum[k][2]}
			}
		}
	}
	pitch := math.Sqrt(float64(len(pts)) * step * step / float64(n))
	out := make([]spot, n)
	for k, c := range centre {
		jx := c[0] + s.vary*0.2*pitch*(draw(s.seed, key, k, 1)-0.5)
		jy := c[1] + s.vary*0.2*pitch*(draw(s.seed, key, k, 2)-0.5)
		if _, ok := s.plantable(jx, jy); ok && inside(jx, jy, line) {
			c = [2]float64{jx, jy}
		}
		out[k] = s.bedSpot(c[0], c[1])
	}
	return out
}

// farthest picks k of n items so that each next one is as far as possible from those picked; it starts with the one that is
// farthest from item 0, and repeats items when k > n. dist is a squared distance.
func farthest(k, n int, dist func(i, j int) float64) []int {
	near := make([]float64, n)
	first, fd := 0, -1.0
	for i := range n {
		if d := dist(i, 0); d > fd {
			first, fd = i, d
		}
		near[i] = math.Inf(1)
	}
	out := make([]int, 0, k)
	next := first
	for len(out) < k {
		out = append(out, next)
		far, at := -1.0, 0
		for i := range n {
			near[i] = min(near[i], dist(i, next))
			if near[i] > far {
				far, at = near[i], i
			}
		}
		if far <= 0 { // every item is taken
			at = out[len(out)%n]
		}
		next = at
	}
	return out
}

// seats are places on the upper side of a solid where a plant can be tied: under water, clear of the bed.
func (s *Stand) seats(b *geometry.Solid, n int, key uint64) [][3]float64 {
	if b.Body == nil {
		return nil
	}
	type tri struct {
		a, b, c [3]float64
		upto    float64
	}
	var tris []tri
	total := 0.0
	for _, f := range b.Body.Faces {
		a, bb, c := b.Body.Vertices[f[0]], b.Body.Vertices[f[1]], b.Body.Vertices[f[2]]
		ux, uy, uz := bb[0]-a[0], bb[1]-a[1], bb[2]-a[2]
		vx, vy, vz := c[0]-a[0], c[1]-a[1], c[2]-a[2]
		nx, ny, nz := uy*vz-uz*vy, uz*vx-ux*vz, ux*vy-uy*vx
		l := math.Sqrt(nx*nx + ny*ny + nz*nz)
		if l == 0 || nz < 0.2*l {
			continue
		}
		total += l / 2
		tris = append(tris, tri{a, bb, c, total})
	}
	var out [][3]float64
	level := s.model.Tank.WaterLevel
	for i := 0; i < n && len(tris) > 0; i++ {
		want := (float64(i) + draw(s.seed, key, i, 3)) / float64(n) * total
		lo, hi := 0, len(tris)-1
		for lo < hi {
			if mid := (lo + hi) / 2; tris[mid].upto < want {
				lo = mid + 1
			} else {
				hi = mid
			}
		}
		t := tris[lo]
		u, v := draw(s.seed, key, i, 4), draw(s.seed, key, i, 5)
		if u+v > 1 {
			u, v = 1-u, 1-v
		}
		var p [3]float64
		for k := range 3 {
			p[k] = t.a[k] + u*(t.b[k]-t.a[k]) + v*(t.c[k]-t.a[k])
		}
		c := s.columnAt(p[0], p[1])
		if c < 0 || s.cols.Area[c] <= 0 || p[2] < s.cols.Top[c]+0.01 || p[2] > level-0.02 {
			continue
		}
		// Something further up on the same body may overhang the place; the voxel above must be free.
		ix, iy, iz := int(p[0]/s.vox.Cell), int(p[1]/s.vox.Cell), int((p[2]+s.vox.Cell)/s.vox.Cell)
		if ix >= s.vox.NX || iy >= s.vox.NY || iz >= s.vox.NZ || s.vox.Solid[(iz*s.vox.NY+iy)*s.vox.NX+ix] {
			continue
		}
		out = append(out, p)
	}
	return out
}

func (s *Stand) onSolid(b *geometry.Solid, n int, key uint64) []spot {
	pts := s.seats(b, min(max(200, 20*n), 2000), keyOf(b.ID)^key)
	if len(pts) == 0 {
		return nil
	}
	at := farthest(n, len(pts), func(i, j int) float64 {
		dx, dy, dz := pts[i][0]-pts[j][0], pts[i][1]-pts[j][1], pts[i][2]-pts[j][2]
		return dx*dx + dy*dy + dz*dz
	})
	out := make([]spot, n)
	for k, i := range at {
		out[k] = spot{x: pts[i][0], y: pts[i][1], z: pts[i][2], on: b.ID}
	}
	return out
}

// onPlaces ties n pots to the upper side of a solid at places seen from above: on top of it there, or, where it has no such place, on the seat nearest to it.
func (s *Stand) onPlaces(b *geometry.Solid, n int, at []plan.PointCM, key uint64) []spot {
	if b.Body == nil {
		return nil
	}
	var seats [][3]float64
	out := make([]spot, 0, n)
	for i := range n {
		p := at[i%len(at)]
		x, y := p[0]/100, p[1]/100
		if z, ok := s.topOf(b, x, y); ok {
			out = append(out, spot{x: x, y: y, z: z, on: b.ID})
			continue
		}
		if seats == nil {
			if seats = s.seats(b, 1000, keyOf(b.ID)^key); len(seats) == 0 {
				return nil
			}
		}
		best, near := 0, math.Inf(1)
		for k, q := range seats {
			if d := (q[0]-x)*(q[0]-x) + (q[1]-y)*(q[1]-y); d < near {
				best, near = k, d
			}
		}
		q := seats[best]
		out = append(out, spot{x: q[0], y: q[1], z: q[2], on: b.ID})
	}
	return out
}

// topOf is the height of a solid's upper side at a place, where a plant can be tied to it: not too steep, under water and clear of the bed.
func (s *Stand) topOf(b *geometry.Solid, x, y float64) (float64, bool) {
	c := s.columnAt(x, y)
	if c < 0 || s.cols.Area[c] <= 0 {
		return 0, false
	}
	top := math.Inf(-1)
	for _, f := range b.Body.Faces {
		p, q, r := b.Body.Vertices[f[0]], b.Body.Vertices[f[1]], b.Body.Vertices[f[2]]
		if x < min(p[0], q[0], r[0]) || x > max(p[0], q[0], r[0]) || y < min(p[1], q[1], r[1]) || y > max(p[1], q[1], r[1]) {
			continue
		}
		area := (q[0]-p[0])*(r[1]-p[1]) - (r[0]-p[0])*(q[1]-p[1]) // twice, seen from above
		if area <= 0 {
			continue
		}
		u := ((q[0]-x)*(r[1]-y) - (r[0]-x)*(q[1]-y)) / area
		v := ((r[0]-x)*(p[1]-y) - (p[0]-x)*(r[1]-y)) / area
		if u < 0 || v < 0 || u+v > 1 {
			continue
		}
		top = max(top, u*p[2]+v*q[2]+(1-u-v)*r[2])
	}
	return top, top > s.cols.Top[c]+0.01 && top < s.model.Tank.WaterLevel-0.02
}

// afloat sets n portions evenly over the water's surface.
func (s *Stand) afloat(n int) []spot {
	v := s.vox
	var cols []int
	top := (v.NZ - 1) * v.NX * v.NY
	for i := range v.NX * v.NY {
		if v.NZ > 0 && v.GroundIZ[i] < v.NZ && !v.Solid[top+i] {
			cols = append(cols, i)
		}
	}
	if len(cols) == 0 {
		return nil
	}
	stride := max(len(cols)/2000, 1)
	var thin []int
	for i := 0; i < len(cols); i += stride {
		thin = append(thin, cols[i])
	}
	at := farthest(n, len(thin), func(i, j int) float64 {
		dx, dy := thin[i]%v.NX-thin[j]%v.NX, thin[i]/v.NX-thin[j]/v.NX
		return float64(dx*dx + dy*dy)
	})
	out := make([]spot, n)
	for k, i := range at {
		c := thin[i]
		out[k] = spot{x: (float64(c%v.NX) + 0.5) * v.Cell, y: (float64(c/v.NX) + 0.5) * v.Cell, z: s.model.Tank.WaterLevel, afloat: true}
	}
	return out
}
