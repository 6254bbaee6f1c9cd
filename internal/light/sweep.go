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

	// For the diffuse light, by coarse cell:
	given  []float32 // what ground and stones give back, µmol/s
	scalar []float32 // one bundle's scalar light, µmol m⁻² s⁻¹ × m³
	beam   []float32 // moments of all
	back   [sinks]float64
}

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
	if d := s.diffuse; d != nil {
		s.around = d.space(maxLanes)
		n := d.nx * d.ny * d.nz
		for i := range s.lanes {
			s.lanes[i].given = make([]float32, n)
			if d.scattering > 0 {
				s.lanes[i].scalar, s.lanes[i].beam = make([]float32, n), make([]float32, n*moments)
			}
		}
	}
	s.kappa = make([]float32, g.nx*g.ny*g.nz)
	s.atRim = make([][]float32, len(s.bundles))
	for i := range s.bundles {
		if s.bundles[i].keeps {
			s.atRim[i] = make([]float32, g.nz*len(g.rim))
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
	s.cover, s.kd = cover, float32(min(kd, opaque))
	if s.diffuse != nil {
		s.kd += float32(s.diffuse.scattering)
	}
	s.leafy = leaf != nil
	s.extinction(leaf)
	for i := range s.lanes {
		l := &s.lanes[i]
		clear(l.ppfd)
		clear(l.bed)
		l.water, l.leaves = 0, 0
		l.lost, l.back = [sinks]float64{}, [sinks]float64{}
		clear(l.given)
		clear(l.beam)
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
	s.cover = nil
	return out
}

// opaque is the largest extinction that is reckoned with, 1/m: nothing passes a voxel of it.
const opaque = 1e6

// extinction puts water and leaves together, 1/m; −1 in solids.
func (s *Solver) extinction(leaf []float64) {
	for i, solid := range s.grid.v.Solid {
		k := s.kd
		switch {
		case solid:
			k = -1
		case leaf != nil && leaf[i] > 0:
			k += float32(min(leaf[i], opaque))
		}
		s.kappa[i] = k
	}
}

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
	have := rect{0, g.nx, 0, g.ny}
	kd := s.kd
	for k := g.nz - 1; k >= 0; k-- {
		r := b.rects[k]
		if r.empty() {
			continue
		}
		extend(ln.above, w, have, r)
		if k+1 < g.nz {
			s.fromWalls(b, k+1, r, ln.above)
		}
		have = r
		above, now, mean := ln.above, ln.now, ln.mean
		width := r.x1 - r.x0
		for iy := r.y0; iy < r.y1; iy++ {
			row := (iy+pad)*w + pad + r.x0
			vox := (k*g.ny+iy)*g.nx + r.x0
			start := b.first[k] + (iy-r.y0)*width
			cells := b.cells[start : start+width]
			kappas := s.kappa[vox : vox+width]
			ppfd := ln.ppfd[vox : vox+width]
			wx := g.wx32[r.x0 : r.x0+width]
			now, mean := now[row:row+width], mean[row:row+width]
			passed, taken := float32(0), float32(0)
			for ix := range cells {
				kappa := kappas[ix]
				if kappa < 0 {
					now[ix], mean[ix] = 0, 0
					continue
				}
				c := &cells[ix]
				j := row + ix + int(c.up)
				p0, p1, q0, q1 := above[j], above[j+1], above[j+w], above[j+w+1]
				p0 += (p1 - p0) * c.fx
				q0 += (q1 - q0) * c.fx
				in := p0 + (q0-p0)*c.fy
				tau := kappa * c.path
				// Mean of exp(−τt) over 0 ≤ t ≤ 1.
				var m, through float32
				if tau < seriesBelow {
					m = 1 - tau*(1./2-tau*(1./6-tau*(1./24-tau*(1./120))))
					through = 1 - tau*m
				} else {
					through = exp(-tau)
					m = (1 - through) / tau
				}
				inside := in * m
				now[ix] = in * through
				mean[ix] = inside
				light := c.light * inside
				ppfd[ix] += light
				met := light * c.path * wx[ix]
				passed += met
				taken += met * kappa
			}
			water := float64(passed) * float64(kd) * g.wy[iy]
			ln.water += water
			ln.leaves += float64(taken)*g.wy[iy] - water // nothing but rounding where there are none
		}
		s.leave(b, ln, k, r)
		if ln.scalar != nil {
			s.addScalar(b, ln, k, r)
		}
		if b.keeps {
			rim := s.atRim[i][k*len(g.rim) : (k+1)*len(g.rim)]
			for p, at := range g.rim {
				rim[p] = now[at]
			}
		}
		ln.above, ln.now = now, above
	}
	if ln.scalar != nil {
		collect(ln.beam, ln.scalar, b.ways)
		clear(ln.scalar)
	}
}

// addScalar gathers what particles meet of a bundle's light in layer k.
func (s *Solver) addScalar(b *bundle, ln *lane, k int, r rect) {
	g, d := s.grid, s.diffuse
	for iy := r.y0; iy < r.y1; iy++ {
		row := (iy+pad)*g.w + pad
		base := d.at(0, int(d.toY[iy]), int(d.toZ[k]))
		at := b.first[k] + (iy-r.y0)*(r.x1-r.x0)
		wy := float32(g.wy[iy])
		for ix := r.x0; ix < r.x1; ix++ {
			c := &b.cells[at+ix-r.x0]
			ln.scalar[base+int(d.toX[ix])] += c.light * ln.mean[row+ix] * c.path * g.wx32[ix] * wy
		}
	}
}

// exp is e to the power x for x ≤ 0, right to 2e-7 of its value: two to the power of the whole part by its exponent, of the rest by a series.
func exp(x float32) float32 {
	x *= math.Log2E
	if x < -125 {
		return 0
	}
	n := int32(x) - 1
	f := (x - float32(n) - 0.5) * math.Ln2
	p := 1 + f*(1+f*(1./2+f*(1./6+f*(1./24+f*(1./120+f*(1./720))))))
	return p * math.Sqrt2 * math.Float32frombits(uint32(n+127)<<23)
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

// fromWalls fills the columns behind the wall with what the earlier bundles have left in the mirrored columns of layer k, for the layer
// below, which covers r.
func (s *Solver) fromWalls(b *bundle, k int, r rect, above []float32) {
	g := s.grid
	if b.traced {
		s.fromWall(b.fromX, g.beyond[0], k, above)
		return
	}
	if b.i != 0 {
		wall := left
		if b.i > 0 {
			wall = right
		}
		from, to := max(r.y0-pad, 0), min(r.y1+pad, g.ny)
		for n := range pad {
			s.fromWall(b.fromX, g.beyond[wall][n*g.ny+from:n*g.ny+to], k, above)
		}
	}
	if b.j != 0 {
		wall := front
		if b.j > 0 {
			wall = back
		}
		from, to := max(r.x0-pad, 0), min(r.x1+pad, g.nx)
		for n := range pad {
			s.fromWall(b.fromY, g.beyond[wall][n*g.nx+from:n*g.nx+to], k, above)
		}
	}
}

func (s *Solver) fromWall(of span, columns []outer, k int, above []float32) {
	for i := range columns {
		c := &columns[i]
		t, ok := s.left(of, k, c.a)
		if !ok {
			continue
		}
		if c.part > 0 {
			if next, ok := s.left(of, k, c.b); ok {
				t += (next - t) * c.part
			}
		}
		above[c.at] = t
	}
}

// left is the share of several bundles' light that is left at a place of the rim, weighted by their light. It is not ok where they have none.
func (s *Solver) left(of span, k int, p int32) (float32, bool) {
	at := k*len(s.grid.rim) + int(p)
	sum, light := float32(0), float32(0)
	for i := of.from; i < of.to; i++ {
		b := &s.bundles[i]
		if !b.keeps || b.rim[at] < 0 {
			continue
		}
		// A trace keeps the shade of unlit places, from which the lit ones beside them take their share.
		weight := b.rim[at] + 1e-9
		sum += weight * s.atRim[i][at]
		light += weight
	}
	if light == 0 {
		return 0, false
	}
	return sum / light, true
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

// leave counts the light that leaves the water through the faces of layer k and through its walls.
func (s *Solver) leave(b *bundle, ln *lane, k int, r rect) {
	g := s.grid
	faces := g.faces[k]
	bed := b.bed[k]
	for i, through := range b.faces[k] {
		if through == 0 {
			continue
		}
		f := &faces[i]
		at := (int(f.iy)+pad)*g.w + int(f.ix) + pad
		if f.dx|f.dy == 0 {
			t := ln.now[at]
			ln.lost[f.to] += float64(through * t)
			if f.column >= 0 {
				ln.bed[f.column] += bed[i] * t
			}
			if d := s.diffuse; d != nil {
				d.give(ln, f, k, through*t)
			}
			continue
		}
		ln.lost[f.to] += float64(through * ln.mean[at])
	}
	for _, l := range b.loss[k] {
		if b.traced {
			t, _ := s.left(b.fromX, k, l.column)
			ln.lost[toWall] += float64(l.lost * t)
			continue
		}
		ln.lost[toWall] += float64(l.lost * ln.mean[l.column])
	}
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
	water, leaves := 0.0, 0.0
	var lost [sinks]float64
	for l := range s.lanes {
		ln := &s.lanes[l]
		add(out.PPFD, ln.ppfd)
		add(out.Bed, ln.bed)
		if s.bySource && l < s.nSources {
			add(out.BySource[l], ln.ppfd)
		}
		water += ln.water
		if s.leafy {
			leaves += ln.leaves
		}
		for i := range lost {
			lost[i] += ln.lost[i] - ln.back[i]
		}
	}
	leaves = max(leaves, 0) + s.afloat()
	if s.diffuse != nil {
		w, l, gone := s.bounce(out)
		if s.kd > 0 {
			water *= 1 - s.diffuse.scattering/float64(s.kd)
		}
		water += w
		if s.leafy {
			leaves += l
		}
		for i := range lost {
			lost[i] += gone[i]
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
			Surface:   lost[toSurface] / s.emission,
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

// bounce adds the diffuse light to the field and returns where it went, µmol/s.
func (s *Solver) bounce(out *Field) (water, leaves float64, lost [sinks]float64) {
	d, sp, g := s.diffuse, s.around, s.grid
	clear(sp.kappa)
	clear(sp.leaf)
	clear(sp.given)
	clear(sp.beam)
	for l := range s.lanes {
		for i, v := range s.lanes[l].given {
			sp.given[i] += v
		}
		for i, v := range s.lanes[l].beam {
			sp.beam[i] += v
		}
	}
	for k := range g.nz {
		for iy := range g.ny {
			base := d.at(0, int(d.toY[iy]), int(d.toZ[k]))
			area := float32(g.thick[k] * g.wy[iy])
			for ix, kappa := range s.kappa[(k*g.ny+iy)*g.nx : (k*g.ny+iy+1)*g.nx] {
				if kappa < 0 {
					continue
				}
				c, v := base+int(d.toX[ix]), area*g.wx32[ix]
				sp.kappa[c] += kappa * v
				sp.leaf[c] += (kappa - s.kd) * v
			}
		}
	}
	d.solve(sp, d.rounds(s.fine), 2, s.workers)
	absorption := float64(s.kd) - d.scattering
	kept := d.kept()
	for c, open := range d.open {
		if !open {
			continue
		}
		// The first moment holds the lamps' light too, which has been counted.
		light := float64(sp.all[c*kept] - sp.beam[c*kept])
		taken := light / float64(sp.volume[c])
		free := (float64(sp.kappa[c]) - float64(sp.leaf[c])) / float64(s.kd)
		if s.kd > 0 {
			water += taken * absorption * free
		}
		leaves += taken * float64(sp.leaf[c])
	}
	d.spread(sp, out)
	return water, leaves, sp.lost
}

// give hands what a face throws back to the diffuse light.
func (d *diffuse) give(ln *lane, f *face, k int, flux float32) {
	share := d.ground
	if f.to == toHardscape {
		share = d.stone
	}
	c := d.lift[d.at(int(d.toX[f.ix]), int(d.toY[f.iy]), int(d.toZ[k]))]
	if c < 0 || share == 0 {
		return
	}
	ln.given[c] += flux * float32(share)
	ln.back[f.to] += float64(flux) * share
}
