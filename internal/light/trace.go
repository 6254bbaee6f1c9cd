package light

import "math"

// tracks is the light that has met walls of a tank that is no box, followed ray by ray and gathered by layer.
type tracks struct {
	g     *grid
	light [][]float64 // per layer 0..nz−1 and then layer −1, and column
	sumX  [][]float64
	sumY  [][]float64
	slant [][]float64
	lost  [][]float64 // per layer and place in grid.rim, µmol/s
	home  []int32     // per column: itself, or the nearest column inside the glass; −1 when there is none near
	place []int32     // per padded column: its place in grid.rim, or −1
}

// Rays for each voxel edge along the surface, and about how many parts of a lamp.
const (
	raysPerCell = 2
	usualParts  = 9
)

// trace follows the lamps' light from a lattice of places on the surface down to the bed. At a wall a ray goes on mirrored with the share that the
// glass returns there; the rest is lost. Rays that meet no wall belong to the direct bundles.
func (b *bundle) trace(g *grid, reflects *wallTable, opt Options) *tracks {
	t := newTracks(g)
	poly := outline(g.tank.Footprint)
	step := g.cell / raysPerCell
	for _, lamp := range b.lamps {
		var table beam
		table.fill(&lamp, 0, opt.surface())
		edge := max(math.Sqrt(lamp.SizeX*lamp.SizeY/usualParts), minTile)
		nx, ny := pieces(lamp.SizeX, edge), pieces(lamp.SizeY, edge)
		for py := range ny {
			for px := range nx {
				part := lamp.part(px, py, nx, ny)
				for iy := range g.ny * raysPerCell {
					y := (float64(iy) + 0.5) * step
					for ix := range g.nx * raysPerCell {
						x := (float64(ix) + 0.5) * step
						if !poly.holds(x, y) {
							continue
						}
						dx, dy := x-part.X, y-part.Y
						r2 := dx*dx + dy*dy
						arrives, reflected, _ := table.read(r2)
						flux := part.Flux * (arrives - reflected) * step * step
						if part.gated() {
							flux *= part.passes(part.X, part.Y, x, y, part.SizeX, part.SizeY, step, 0)
							if flux == 0 {
								continue
							}
						}
						if part.Lobe != nil {
							d := math.Sqrt(r2 + part.Height*part.Height)
							flux *= part.toward(dx/d, dy/d)
						}
						// sin of the angle in water over r.
						sin := 1 / (opt.Index * math.Sqrt(r2+part.Height*part.Height))
						slope := sin / math.Sqrt(1-sin*sin*r2)
						t.follow(poly, reflects, x, y, slope*dx, slope*dy, flux)
					}
				}
			}
		}
	}
	t.level(poly, step)
	return t
}

// level turns gathered flux into irradiance: a column at the glass gathers from more or less than its own area, just as it gathers more
// or less of a lattice of points over the tank's area.
func (t *tracks) level(poly polygon, step float64) {
	g := t.g
	area := make([]float64, g.nx*g.ny)
	for iy := range g.ny * raysPerCell {
		for ix := range g.nx * raysPerCell {
			x, y := (float64(ix)+0.5)*step, (float64(iy)+0.5)*step
			if !poly.holds(x, y) {
				continue
			}
			t.spread(x, y, func(c int32, w float64) { area[c] += w * step * step })
		}
	}
	for k := range t.light {
		for c, a := range area {
			if a > 0 {
				t.light[k][c] /= a
				t.sumX[k][c] /= a
				t.sumY[k][c] /= a
				t.slant[k][c] /= a
			}
		}
	}
}

func newTracks(g *grid) *tracks {
	t := &tracks{g: g}
	for range g.nz + 1 {
		t.light = append(t.light, make([]float64, g.nx*g.ny))
		t.sumX = append(t.sumX, make([]float64, g.nx*g.ny))
		t.sumY = append(t.sumY, make([]float64, g.nx*g.ny))
		t.slant = append(t.slant, make([]float64, g.nx*g.ny))
		t.lost = append(t.lost, make([]float64, len(g.rim)))
	}
	t.home = make([]int32, g.nx*g.ny)
	for iy := range g.ny {
		for ix := range g.nx {
			c := iy*g.nx + ix
			t.home[c] = int32(c)
			if g.inside[c] {
				continue
			}
			t.home[c] = -1
			if at, ok := g.nearestInside(ix, iy); ok {
				t.home[c] = int32((at/g.w-pad)*g.nx + at%g.w - pad)
			}
		}
	}
	t.place = make([]int32, g.plane)
	for i := range t.place {
		t.place[i] = -1
	}
	for p, at := range g.rim {
		t.place[at] = int32(p)
	}
	return t
}

// follow carries one ray from the surface at (x, y) down.
func (t *tracks) follow(poly polygon, reflects *wallTable, x, y, sx, sy, flux float64) {
	g := t.g
	bottom := g.depth[g.nz] // one layer below the bed, which the faces there are read from
	slant := math.Sqrt(1 + sx*sx + sy*sy)
	z := 0.0
	k := g.nz - 1
	for met := 0; met <= mostWalls; met++ {
		side, down := poly.meet(x, y, sx, sy)
		end := min(z+down, bottom+1e-9)
		if met > 0 {
			for k >= -1 && t.depth(k) <= end {
				d := t.depth(k) - z
				t.add(k, x+sx*d, y+sy*d, sx, sy, slant, flux)
				k--
			}
		} else {
			for k >= -1 && t.depth(k) <= end {
				k--
			}
		}
		if z+down >= bottom || side < 0 {
			return
		}
		x, y, z = x+sx*down, y+sy*down, z+down
		n := poly[side]
		across := sx*n.nx + sy*n.ny
		returned := reflects.at(across * across / (slant * slant))
		if z < g.tank.WaterLevel {
			t.lose(z, x, y, flux*(1-returned))
		}
		flux *= returned
		sx, sy = sx-2*across*n.nx, sy-2*across*n.ny
		if flux == 0 {
			return
		}
	}
}

func (t *tracks) depth(k int) float64 {
	if k < 0 {
		return t.g.depth[t.g.nz]
	}
	return t.g.depth[k]
}

// add gives a ray to the columns around where it crosses the middle of a layer.
func (t *tracks) add(k int, x, y, sx, sy, slant, flux float64) {
	if k < 0 {
		k = t.g.nz
	}
	t.spread(x, y, func(c int32, w float64) {
		t.light[k][c] += w * flux
		t.sumX[k][c] += w * flux * sx
		t.sumY[k][c] += w * flux * sy
		t.slant[k][c] += w * flux * slant
	})
}

// spread shares out what comes down at a place among those of the four columns around it that are inside the glass; when there are none, the
// nearest gets it.
func (t *tracks) spread(x, y float64, give func(c int32, w float64)) {
	g := t.g
	u, v := x/g.cell-0.5, y/g.cell-0.5
	ix, iy := int(math.Floor(u)), int(math.Floor(v))
	fx, fy := u-float64(ix), v-float64(iy)
	var columns [4]int32
	var weights [4]float64
	n, sum := 0, 0.0
	for dy := range 2 {
		for dx := range 2 {
			w := (1 - fx + float64(dx)*(2*fx-1)) * (1 - fy + float64(dy)*(2*fy-1))
			if cx, cy := ix+dx, iy+dy; w > 0 && cx >= 0 && cy >= 0 && cx < g.nx && cy < g.ny && g.inside[cy*g.nx+cx] {
				columns[n], weights[n] = int32(cy*g.nx+cx), w
				sum += w
				n++
			}
		}
	}
	for i, c := range columns[:n] {
		give(c, weights[i]/sum)
	}
	if n > 0 {
		return
	}
	best, nearest := math.Inf(1), int32(-1)
	for cy := max(iy-pad, 0); cy <= min(iy+1+pad, g.ny-1); cy++ {
		for cx := max(ix-pad, 0); cx <= min(ix+1+pad, g.nx-1); cx++ {
			if d := math.Hypot(u-float64(cx), v-float64(cy)); d < best && g.inside[cy*g.nx+cx] {
				best, nearest = d, int32(cy*g.nx+cx)
			}
		}
	}
	if nearest >= 0 {
		give(nearest, 1)
	}
}

// lose counts what goes out through the wall at a place.
func (t *tracks) lose(z, x, y, flux float64) {
	g := t.g
	k := min(max(int((g.tank.WaterLevel-z)/g.cell), 0), g.nz-1)
	ix, iy := min(max(int(x/g.cell), 0), g.nx-1), min(max(int(y/g.cell), 0), g.ny-1)
	if c := t.home[iy*g.nx+ix]; c >= 0 {
		at := (int(c)/g.nx+pad)*g.w + int(c)%g.nx + pad
		for _, beside := range [...]int{0, -1, 1, -g.w, g.w} {
			if p := t.place[at+beside]; p >= 0 {
				t.lost[k][p] += flux
				return
			}
		}
	}
}

// fill hands over one layer.
func (t *tracks) fill(l *layer, k int) {
	copy(l.light, t.light[k])
	copy(l.weight, t.light[k])
	copy(l.sumX, t.sumX[k])
	copy(l.sumY, t.sumY[k])
	copy(l.slant, t.slant[k])
}

func (t *tracks) loss(k int) []wallLoss {
	var out []wallLoss
	for p, lost := range t.lost[k] {
		if lost > 0 {
			out = append(out, wallLoss{int32(p), float32(lost)})
		}
	}
	return out
}

// polygon is the inner outline of a tank as sides with outward normals.
type polygon []side

type side struct {
	ax, ay, bx, by float64
	nx, ny         float64
}

func outline(points [][2]float64) polygon {
	var out polygon
	for i, a := range points {
		b := points[(i+1)%len(points)]
		dx, dy := b[0]-a[0], b[1]-a[1]
		l := math.Hypot(dx, dy)
		if l == 0 {
			continue
		}
		out = append(out, side{a[0], a[1], b[0], b[1], dy / l, -dx / l}) // counter-clockwise: outside is on the right
	}
	return out
}

// holds says that a point lies inside (even-odd rule).
func (p polygon) holds(x, y float64) bool {
	in := false
	for i := range p {
		s := &p[i]
		if (s.ay > y) != (s.by > y) && x < s.ax+(s.bx-s.ax)*(y-s.ay)/(s.by-s.ay) {
			in = !in
		}
	}
	return in
}

// meet finds the first side that a ray from inside goes out through and how far down that is, m. A ray that runs straight down meets none: −1.
func (p polygon) meet(x, y, sx, sy float64) (side int, down float64) {
	side, down = -1, math.Inf(1)
	for i := range p {
		s := &p[i]
		out := sx*s.nx + sy*s.ny
		if out <= 0 {
			continue
		}
		d := ((s.ax-x)*s.nx + (s.ay-y)*s.ny) / out
		if d < -1e-9 || d >= down {
			continue
		}
		// The place along the side, 0 to 1.
		ex, ey := s.bx-s.ax, s.by-s.ay
		at := ((x+sx*d-s.ax)*ex + (y+sy*d-s.ay)*ey) / (ex*ex + ey*ey)
		if at < -1e-9 || at > 1+1e-9 {
			continue
		}
		side, down = i, max(d, 0)
	}
	return side, down
}
