package light

import "math"

// lane is the working space of a fixed set of bundles that are swept one after the other.
type lane struct {
	ppfd             []float32 // per voxel
	bed              []float32 // per column
	above, now, mean []float32 // transmitted share above, below and inside a layer, padded
	water            float64   // absorbed, µmol/s
	leaves           float64
	lost             [sinks]float64
}

// strips keep what share of a bundle's light is left at the walls, for the bundles that go on with it: by layer, place along the wall
// and column from the wall.
type strips [4][]float32

// depth is the number of columns of a strip.
const stripDepth = 3

func (s *Solver) makeSpace() {
	g := s.grid
	s.lanes = make([]lane, len(s.deals))
	for i := range s.lanes {
		s.lanes[i] = lane{
			ppfd:  make([]float32, g.nx*g.ny*g.nz),
			bed:   make([]float32, g.nx*g.ny),
			above: make([]float32, g.plane),
			now:   make([]float32, g.plane),
			mean:  make([]float32, g.plane),
		}
	}
	s.strips = make([]strips, len(s.bundles))
	for i := range s.bundles {
		for wall, on := range s.bundles[i].feeds {
			if on {
				s.strips[i][wall] = make([]float32, g.nz*g.along(wall)*stripDepth)
			}
		}
	}
	s.run = func() {
		defer s.wait.Done()
		for l := int(s.next.Add(1)) - 1; l < len(s.lanes); l = int(s.next.Add(1)) - 1 {
			for _, b := range s.deals[l][s.stage] {
				s.sweep(b, &s.lanes[l])
			}
		}
	}
}

// along is the number of columns along a wall.
func (g *grid) along(wall int) int {
	if wall >= front {
		return g.nx
	}
	return g.ny
}

// Solve returns the field under the given leaves and water.
//
// leaf is the extinction by leaves in each voxel (1/m along the path: extinction coefficient per leaf area times leaf area density; nil =
// none). cover is the share of the light (0 to 1) that floating leaves stop, by column (nil = none). kd is the water's extinction
// (1/m along the path). out is filled and returned when it was made by an earlier Solve of this grid, else a new Field is; nothing is
// allocated when it fits. Values that are negative or not numbers count as zero. The result depends smoothly on all three and not at all on the number of processors.
func (s *Solver) Solve(leaf, cover []float64, kd float64, out *Field) *Field {
	if !(kd > 0) {
		kd = 0
	}
	s.leaf, s.cover, s.kd = leaf, cover, float32(min(kd, opaque))
	for i := range s.lanes {
		l := &s.lanes[i]
		clear(l.ppfd)
		clear(l.bed)
		l.water, l.leaves = 0, 0
		l.lost = [sinks]float64{}
	}
	for stage := range s.stages {
		s.stage = stage
		s.next.Store(0)
		n := min(s.workers, len(s.lanes))
		s.wait.Add(n)
		for range n - 1 {
			go s.run()
		}
		s.run()
		s.wait.Wait()
	}
	out = s.gather(out)
	s.leaf, s.cover = nil, nil
	return out
}

// opaque is the largest extinction that is reckoned with, 1/m: nothing passes a voxel of it.
const opaque = 1e6

// seriesBelow is the optical thickness up to which the series in sweep is used; its first left-out term, τ⁵/720, is then below 2e-6.
const seriesBelow = 0.25

// sweep carries the transmitted share of one bundle's light from the surface to the bed.
func (s *Solver) sweep(i int, ln *lane) {
	g := s.grid
	b := &s.bundles[i]
	if len(b.cells) == 0 {
		return
	}
	w := g.w
	s.open(b, ln.above)
	kd := s.kd
	for k := g.nz - 1; k >= 0; k-- {
		r := b.rects[k]
		if r.empty() {
			continue
		}
		if k == g.nz-1 || b.rects[k+1].empty() {
			extend(ln.above, w, rect{0, g.nx, 0, g.ny}, r)
		} else {
			extend(ln.above, w, b.rects[k+1], r)
			s.fromWalls(b, k+1, r, ln.above)
		}
		pitch, thick := float32(g.pitch[k]), float32(g.thick[k])
		above, now, mean := ln.above, ln.now, ln.mean
		width := r.x1 - r.x0
		wx := g.wx32[r.x0:r.x1]
		for iy := r.y0; iy < r.y1; iy++ {
			row := (iy+pad)*w + pad + r.x0
			vox := (k*g.ny+iy)*g.nx + r.x0
			start := b.first[k] + (iy-r.y0)*width
			cells := b.cells[start : start+width]
			solid := g.v.Solid[vox : vox+width]
			ppfd := ln.ppfd[vox : vox+width]
			now, mean := now[row:row+width], mean[row:row+width]
			var leaf []float64
			if s.leaf != nil {
				leaf = s.leaf[vox : vox+width]
			}
			rowWater, rowLeaf := float32(0), float32(0)
			fromX, fromY := float32(r.x0+pad), float32(iy+pad)
			for ix := range cells {
				if solid[ix] {
					now[ix], mean[ix] = 0, 0
					continue
				}
				c := &cells[ix]
				// The point of the layer above that the ray comes through.
				px := fromX + float32(ix) - c.slopeX*pitch
				py := fromY - c.slopeY*pitch
				jx, jy := int(px), int(py)
				fx, fy := px-float32(jx), py-float32(jy)
				j := jy*w + jx
				p, q := above[j:j+2], above[j+w:j+w+2]
				a := p[0] + (p[1]-p[0])*fx
				d := q[0] + (q[1]-q[0])*fx
				in := a + (d-a)*fy

				kappa, leaves := kd, float32(0)
				if leaf != nil && leaf[ix] > 0 {
					leaves = float32(min(leaf[ix], opaque))
					kappa += leaves
				}
				path := thick * c.slant
				tau := kappa * path
				// Mean of exp(−τt) over 0 ≤ t ≤ 1.
				var m, through float32
				if tau < seriesBelow {
					m = 1 - tau*(1./2-tau*(1./6-tau*(1./24-tau*(1./120))))
					through = 1 - tau*m
				} else {
					through = float32(math.Exp(-float64(tau)))
					m = (1 - through) / tau
				}
				inside := in * m
				now[ix] = in * through
				mean[ix] = inside
				ep := c.light * inside
				ppfd[ix] += ep
				met := ep * path * wx[ix]
				rowWater += met
				rowLeaf += met * leaves
			}
			ln.water += float64(rowWater) * float64(kd) * g.wy[iy]
			ln.leaves += float64(rowLeaf) * g.wy[iy]
		}
		s.leave(b, ln, k)
		s.keep(i, k, now)
		ln.above, ln.now = now, above
	}
}

// open sets the transmitted share just below the surface: 1 less what floats. In a box that is all, since its bundles know through which surface
// they come; else there is no light from outside the glass.
func (s *Solver) open(b *bundle, above []float32) {
	g := s.grid
	if !g.box {
		clear(above)
	}
	for iy := range g.ny {
		for ix := range g.nx {
			c := iy*g.nx + ix
			t := 1.0
			if s.cover != nil && s.cover[c] > 0 {
				t = 1 - min(s.cover[c], 1)
			}
			if !g.box && !g.inside[c] {
				t = 0
			}
			above[(iy+pad)*g.w+ix+pad] = float32(t)
		}
	}
}

// extend carries the values at the rim of have on to all that the layer below will read around want.
func extend(plane []float32, w int, have, want rect) {
	x0, x1 := min(want.x0, have.x0)-pad, max(want.x1, have.x1)+pad
	for iy := have.y0; iy < have.y1; iy++ {
		row := plane[(iy+pad)*w : (iy+pad+1)*w]
		for ix := x0; ix < have.x0; ix++ {
			row[ix+pad] = row[have.x0+pad]
		}
		for ix := have.x1; ix < x1; ix++ {
			row[ix+pad] = row[have.x1-1+pad]
		}
	}
	low := plane[(have.y0+pad)*w+x0+pad : (have.y0+pad)*w+x1+pad]
	for iy := min(want.y0, have.y0) - pad; iy < have.y0; iy++ {
		copy(plane[(iy+pad)*w+x0+pad:], low)
	}
	high := plane[(have.y1-1+pad)*w+x0+pad : (have.y1-1+pad)*w+x1+pad]
	for iy := have.y1; iy < max(want.y1, have.y1)+pad; iy++ {
		copy(plane[(iy+pad)*w+x0+pad:], high)
	}
}

// keep stores what is left of the light at the walls that other bundles go on from.
func (s *Solver) keep(i, k int, now []float32) {
	g := s.grid
	for wall := range s.strips[i] {
		strip := s.strips[i][wall]
		if strip == nil {
			continue
		}
		n := g.along(wall)
		strip = strip[k*n*stripDepth : (k+1)*n*stripDepth]
		at, step, in := pad*g.w+pad, g.w, 1
		switch wall {
		case right:
			at, in = pad*g.w+pad+g.ex-1, -1
		case front:
			step, in = 1, g.w
		case back:
			at, step, in = (pad+g.ey-1)*g.w+pad, 1, -g.w
		}
		for p := range n {
			for d := range stripDepth {
				strip[p*stripDepth+d] = now[at+p*step+d*in]
			}
		}
	}
}

// fromWalls fills the two columns behind the wall with what the earlier bundles have left in the mirrored columns of layer k, for the layer
// below, which covers r.
func (s *Solver) fromWalls(b *bundle, k int, r rect, above []float32) {
	g := s.grid
	if b.i != 0 {
		wall, at, out := left, pad-1, -1
		if b.i > 0 {
			wall, at, out = right, pad+g.ex, 1
		}
		for behind := range pad {
			for iy := max(r.y0-pad, 0); iy < min(r.y1+pad, g.ny); iy++ {
				if t, ok := s.left(b.fromX, wall, k, iy, behind); ok {
					above[(iy+pad)*g.w+at+out*behind] = t
				}
			}
		}
	}
	if b.j != 0 {
		wall, at, out := front, pad-1, -1
		if b.j > 0 {
			wall, at, out = back, pad+g.ey, 1
		}
		for behind := range pad {
			for ix := max(r.x0-pad, 0); ix < min(r.x1+pad, g.nx); ix++ {
				if t, ok := s.left(b.fromY, wall, k, ix, behind); ok {
					above[(at+out*behind)*g.w+ix+pad] = t
				}
			}
		}
	}
}

// left is the share of several bundles' light that is left at a place of the wall's mirror image, weighted by their light. It is not ok where they have none.
func (s *Solver) left(of span, wall, k, p, behind int) (float32, bool) {
	g := s.grid
	m := g.mirror[wall][behind]
	sum, light := float32(0), float32(0)
	for i := of.from; i < of.to; i++ {
		b := &s.bundles[i]
		var c *cell
		switch wall {
		case left:
			c = b.at(k, m.column, p)
		case right:
			c = b.at(k, g.ex-1-m.column, p)
		case front:
			c = b.at(k, p, m.column)
		default:
			c = b.at(k, p, g.ey-1-m.column)
		}
		if c == nil {
			continue
		}
		strip := s.strips[i][wall]
		at := (k*g.along(wall)+p)*stripDepth + m.column
		t := strip[at]
		if m.next > 0 {
			t += (strip[at+1] - t) * m.next
		}
		// A trace keeps the shade of unlit places, from which the lit ones beside them take their share.
		weight := c.light + 1e-9
		sum += weight * t
		light += weight
	}
	if light == 0 {
		return 0, false
	}
	return sum / light, true
}

// mirrored is where a column behind a wall lies in front of it: so many columns from the wall, and the share of the next one.
type mirrored struct {
	column int
	next   float32
}

// mirrors finds the mirrored columns of a wall that lies rest beyond the middle of the last column, in cells.
func mirrors(rest float64) (m [pad]mirrored) {
	for behind := range m {
		// The middle of the column behind lies behind+1−rest beyond the wall.
		x := min(max(float64(behind)+1-2*rest, 0), stripDepth-1)
		c := min(int(x), stripDepth-2)
		m[behind] = mirrored{c, float32(x - float64(c))}
	}
	return m
}

// afloat is what floating leaves stop, µmol/s.
func (s *Solver) afloat() float64 {
	sum := 0.0
	for c, share := range s.cover {
		if share > 0 {
			sum += min(share, 1) * s.entering[c]
		}
	}
	return sum
}

// leave counts the light that leaves the water through the faces of layer k. Where a slope is drawn in steps the sweep lets light come out
// of the steps that turn away from the lamp, as it would have passed over the smooth slope; such light counts back
// (negative), so that the slope takes the tops' light plus that of the steps that face the lamp less that of those that do
// not, which is what the smooth slope takes. Nothing comes out of cliffs and stones.
func (s *Solver) leave(b *bundle, ln *lane, k int) {
	g := s.grid
	below := k - 1
	if k == 0 {
		below = g.nz
	}
	for i := range g.faces[k] {
		f := &g.faces[k][i]
		ix, iy := int(f.ix), int(f.iy)
		c := b.at(k, ix, iy)
		if c == nil {
			continue
		}
		at := (iy+pad)*g.w + ix + pad
		if f.dx|f.dy == 0 {
			onto := float64(c.light)
			if under := b.at(below, ix, iy); under != nil {
				onto = between(onto, float64(under.light))
			}
			onto *= float64(ln.now[at])
			ln.lost[f.to] += onto * float64(f.area)
			if f.column >= 0 {
				ln.bed[f.column] += float32(onto)
			}
			continue
		}
		beyond := b.at(k, ix+int(f.dx), iy+int(f.dy))
		if beyond == nil {
			beyond = c
		}
		through := c.light*(c.slopeX*float32(f.dx)+c.slopeY*float32(f.dy)) + beyond.light*(beyond.slopeX*float32(f.dx)+beyond.slopeY*float32(f.dy))
		if through < 0 && !f.step {
			continue
		}
		ln.lost[f.to] += float64(through / 2 * f.area * ln.mean[at])
	}
	for wall, loss := range b.loss {
		if loss == nil {
			continue
		}
		n := g.along(wall)
		at, step := pad*g.w+pad, g.w
		switch wall {
		case right:
			at += g.ex - 1
		case front:
			step = 1
		case back:
			at, step = at+(g.ey-1)*g.w, 1
		}
		for p, l := range loss[k*n : (k+1)*n] {
			if l != 0 {
				ln.lost[toWall] += float64(l * ln.mean[at+p*step])
			}
		}
	}
}

// between is light midway between two layers. It falls about as 1/distance², for which the geometric mean is far closer than
// the arithmetic one; but not where the edge of the lit part lies between.
func between(a, b float64) float64 {
	if a > 2*b || b > 2*a {
		return (a + b) / 2
	}
	return math.Sqrt(a * b)
}

// gather adds up the lanes in their fixed order.
func (s *Solver) gather(out *Field) *Field {
	out = s.fit(out)
	clear(out.PPFD)
	clear(out.Bed)
	copy(out.Surface, s.surface)
	for _, one := range out.BySource {
		clear(one)
	}
	water, leaves := 0.0, s.afloat()
	var lost [sinks]float64
	for l := range s.lanes {
		ln := &s.lanes[l]
		add(out.PPFD, ln.ppfd)
		add(out.Bed, ln.bed)
		if s.bySource && l < s.nSources {
			add(out.BySource[l], ln.ppfd)
		}
		water += ln.water
		leaves += ln.leaves
		for i := range lost {
			lost[i] += ln.lost[i]
		}
	}
	out.Budget = Budget{}
	if s.emission > 0 {
		out.Budget = Budget{
			Missed:    s.missed,
			Reflected: s.reflect,
			Water:     water / s.emission,
			Leaves:    leaves / s.emission,
			Hardscape: s.struck + lost[toHardscape]/s.emission,
			Bed:       lost[toBed] / s.emission,
			Walls:     lost[toWall] / s.emission,
		}
	}
	return out
}

func add(to []float64, from []float32) {
	from = from[:len(to)]
	for i := range to {
		to[i] += float64(from[i])
	}
}

// fit returns out when it belongs to this solver's grid, else a new Field for it.
func (s *Solver) fit(out *Field) *Field {
	g := s.grid
	voxels, columns := g.nx*g.ny*g.nz, g.nx*g.ny
	if out == nil || len(out.PPFD) != voxels || len(out.Bed) != columns || len(out.Surface) != columns {
		out = &Field{
			PPFD:    make([]float64, voxels),
			Surface: make([]float64, columns),
			Bed:     make([]float64, columns),
		}
	}
	if s.bySource && len(out.BySource) != s.nSources {
		out.BySource = make([][]float64, s.nSources)
		for i := range out.BySource {
			out.BySource[i] = make([]float64, voxels)
		}
	}
	out.Cell, out.NX, out.NY, out.NZ = g.cell, g.nx, g.ny, g.nz
	out.LX, out.LY, out.WaterLevel = g.tank.LX, g.tank.LY, g.tank.WaterLevel
	out.inside, out.solid = g.inside, g.v.Solid
	return out
}
