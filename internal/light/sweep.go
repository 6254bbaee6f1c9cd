package light

import (
	"littoral/internal/crew"
	"math"
)

// lane is the working space of a fixed set of bundles that are swept one after the other.
type lane struct {
	ppfd             []float32 // per voxel
	bed              []float32 // per column
	above, now, mean []float32 // transmitted share above, below and inside a layer, padded
	sums             []tally   // per layer

	// For the diffuse light:
	landed [][]float32 // per layer and face: what has come onto ground and stones, µmol/s
	scalar []float32   // by coarse cell: one bundle's scalar light, µmol m⁻² s⁻¹ × m³
	beam   []float32   // moments of all
}

// tally is where light of one layer went, µmol/s.
type tally struct {
	left          float64 // goes on below, or onto what lies there
	water, leaves float64
	aside, onto   [sinks]float64 // went out through walls and the sides of steps, and came onto what lies below
}

// either is the light above the layer and below it. What goes out aside does so on the whole way down through the layer, so that the light reckoned with
// here, which is that at half its height but for what the layer takes, lies between the two.
func (t *tally) either() (above, below float64) {
	in, aside := t.left+t.water+t.leaves, 0.0
	for _, out := range t.aside {
		aside += out
	}
	if in <= 0 {
		return aside, 0
	}
	before := aside * in / (in + t.left)
	return in + before, max(t.left-aside+before, 0)
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
			sums:  make([]tally, g.nz),
		}
	}
	if d := s.diffuse; d != nil {
		s.around = d.space(maxLanes)
		n := d.nx * d.ny * d.nz
		for i := range s.lanes {
			ln := &s.lanes[i]
			ln.landed = make([][]float32, g.nz)
			for k := range ln.landed {
				ln.landed[k] = make([]float32, len(g.faces[k]))
			}
			if d.scattering > 0 {
				ln.scalar, ln.beam = make([]float32, n), make([]float32, n*moments)
			}
		}
	}
	if !s.fine && s.lanes[0].scalar == nil && 4*len(s.bundles)*g.nz*g.plane <= keptBytes {
		s.covers = make([]float64, g.nx*g.ny)
		s.planes = make([][]float32, len(s.bundles))
		for i := range s.bundles {
			if len(s.bundles[i].cells) > 0 {
				s.planes[i] = make([]float32, g.nz*g.plane)
			}
		}
	}
	s.kappa = make([]float32, g.nx*g.ny*g.nz)
	s.totals, s.passing, s.landing = make([]tally, g.nz), make([]float64, g.nz), make([]float64, g.nz)
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

// keptBytes is the most that a Solver keeps of a solve for the next one.
const keptBytes = 32 << 20

// Solve returns the field under the given leaves and water. It goes on from the last Solve: layers above the highest leaf that has changed
// stay as they are, to the last bit; other water or floating leaves change all (see Tint).
//
// leaf is the extinction by leaves in each voxel (1/m along the path: extinction coefficient per leaf area times leaf area density; nil =
// none). cover is the share of the light (0 to 1) that floating leaves stop, by column (nil = none). kd is the water's extinction
// (1/m along the path). out is filled and returned when it was made by an earlier Solve of this grid, else a new Field is; nothing is
// allocated when it fits. Values that are negative or not numbers count as zero. The result depends smoothly on all three and not at all on the number of processors.
func (s *Solver) Solve(leaf, cover []float64, kd float64, out *Field) *Field {
	if !(kd > 0) {
		kd = 0
	}
	kdBefore, leafyBefore := s.kd, s.leafy
	s.cover, s.kd = cover, float32(min(kd, opaque))
	if s.diffuse != nil {
		s.kd += float32(s.diffuse.scattering)
	}
	s.leafy = leaf != nil
	s.from = s.extinction(leaf)
	if s.otherCover() || s.kd != kdBefore || s.leafy != leafyBefore || !s.solved || s.planes == nil {
		s.from = s.grid.nz - 1
	}
	for i := range s.lanes {
		s.lanes[i].clear(s.grid, s.from)
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
	s.cover, s.solved = nil, true
	if s.rough != nil {
		s.rough.begin(leaf, cover, kd)
	}
	return out
}

// clear makes the lane ready for a sweep from a layer down.
func (ln *lane) clear(g *grid, from int) {
	clear(ln.ppfd[:(from+1)*g.nx*g.ny])
	clear(ln.sums[:from+1])
	for c, k := range g.v.GroundIZ {
		if k <= from {
			ln.bed[c] = 0
		}
	}
	if ln.landed != nil {
		for _, landed := range ln.landed[:from+1] {
			clear(landed)
		}
	}
	clear(ln.beam)
}

// otherCover says whether floating leaves are others than those of the last Solve, and remembers them.
func (s *Solver) otherCover() bool {
	other := false
	for c := range s.covers {
		share := 0.0
		if s.cover != nil && s.cover[c] > 0 {
			share = s.cover[c]
		}
		other = other || share != s.covers[c]
		s.covers[c] = share
	}
	return other
}

// opaque is the largest extinction that is reckoned with, 1/m: nothing passes a voxel of it.
const opaque = 1e6

// extinction puts water and leaves together, 1/m; −1 in solids. It returns the highest layer in which that is not what it was; −1 when there is none.
func (s *Solver) extinction(leaf []float64) (highest int) {
	highest = -1
	plane := s.grid.nx * s.grid.ny
	for k := range s.grid.nz {
		changed := false
		kappas := s.kappa[k*plane : (k+1)*plane]
		for c, solid := range s.grid.v.Solid[k*plane : (k+1)*plane] {
			kappa := s.kd
			switch {
			case solid:
				kappa = -1
			case leaf != nil && leaf[k*plane+c] > 0:
				kappa += float32(min(leaf[k*plane+c], opaque))
			}
			changed = changed || kappa != kappas[c]
			kappas[c] = kappa
		}
		if changed {
			highest = k
		}
	}
	return highest
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
	above, have := ln.above, rect{0, g.nx, 0, g.ny}
	if s.from+1 < g.nz && !b.rects[s.from+1].empty() {
		above, have = s.planes[i][(s.from+1)*g.plane:(s.from+2)*g.plane], b.rects[s.from+1]
	} else {
		s.open(b, above)
	}
	kd := s.kd
	for k := s.from; k >= 0; k-- {
		r := b.rects[k]
		if r.empty() {
			continue
		}
		extend(above, w, have, r)
		if k+1 < g.nz {
			s.fromWalls(b, k+1, r, above)
		}
		have = r
		below, sum := ln.now, &ln.sums[k]
		if s.planes != nil {
			below = s.planes[i][k*g.plane : (k+1)*g.plane]
		}
		now, mean := below, ln.mean
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
			left, passed, taken := float32(0), float32(0), float32(0)
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
				out := in * through
				now[ix] = out
				mean[ix] = inside
				light := c.light * inside
				ppfd[ix] += light
				left += c.light * out * wx[ix]
				met := light * c.path * wx[ix]
				passed += met
				taken += met * kappa
			}
			water := float64(passed) * float64(kd) * g.wy[iy]
			sum.left += float64(left) * g.wy[iy]
			sum.water += water
			if s.leafy {
				sum.leaves += float64(taken)*g.wy[iy] - water
			}
		}
		s.leave(b, ln, k, below)
		if ln.scalar != nil {
			s.addScalar(b, ln, k, r)
		}
		if b.keeps {
			rim := s.atRim[i][k*len(g.rim) : (k+1)*len(g.rim)]
			for p, at := range g.rim {
				rim[p] = below[at]
			}
		}
		if s.planes == nil {
			ln.above, ln.now = below, above
		}
		above = below
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

// leave counts the light that leaves the water through the faces of layer k and through its walls; below is the share that comes out of the layer.
func (s *Solver) leave(b *bundle, ln *lane, k int, below []float32) {
	g := s.grid
	faces := g.faces[k]
	bed := b.bed[k]
	sum := &ln.sums[k]
	for i, through := range b.faces[k] {
		if through == 0 {
			continue
		}
		f := &faces[i]
		at := (int(f.iy)+pad)*g.w + int(f.ix) + pad
		if f.dx|f.dy != 0 {
			sum.aside[f.to] += float64(through * ln.mean[at])
			continue
		}
		t := below[at]
		sum.onto[f.to] += float64(through * t)
		if f.column >= 0 {
			ln.bed[f.column] += bed[i] * t
		}
		if ln.landed != nil {
			ln.landed[k][i] += through * t
		}
	}
	for _, l := range b.loss[k] {
		if b.traced {
			t, _ := s.left(b.fromX, k, l.column)
			sum.aside[toWall] += float64(l.lost * t)
			continue
		}
		sum.aside[toWall] += float64(l.lost * ln.mean[l.column])
	}
}

// gather adds up the lanes in their fixed order.
func (s *Solver) gather(out *Field) *Field {
	out = s.fit(out)
	copy(out.Surface, s.surface)
	s.balance()
	s.addUp(out)
	water, leaves := 0.0, 0.0
	var lost [sinks]float64
	for k := range s.totals {
		sum := &s.totals[k]
		water += sum.water
		leaves += sum.leaves
		for i := range lost {
			lost[i] += sum.aside[i] + sum.onto[i]
		}
	}
	leaves = max(leaves, 0)
	out.kd = float64(s.kd)
	if s.diffuse != nil {
		w, l, gone := s.bounce(out, leaves, water)
		if s.kd > 0 {
			water *= 1 - s.diffuse.scattering/float64(s.kd)
		}
		water += w
		leaves += l
		for i := range lost {
			lost[i] += gone[i]
		}
	}
	leaves += s.afloat()
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

// traces of light, as a share of what comes in, that balance leaves as they are.
const traces = 1e-4

// balance sums up the layers and makes every photon count once. Where light is carried from layer to layer between columns of which some
// are shaded, some thousandths are won or lost: at each layer's foot, what comes onto the bed there and what goes on below are together scaled to
// what has come in above less what was taken in the layer. Light that is lost to black walls is known less well than that.
func (s *Solver) balance() {
	g := s.grid
	comes := s.through - s.afloat()
	rest := traces*s.through + math.SmallestNonzeroFloat32
	for k := range s.totals {
		sum := tally{}
		for l := range s.lanes {
			of := &s.lanes[l].sums[k]
			sum.left += of.left
			sum.water += of.water
			sum.leaves += of.leaves
			for i := range sinks {
				sum.aside[i] += of.aside[i]
				sum.onto[i] += of.onto[i]
			}
		}
		s.totals[k] = sum
	}
	factor := 1.0
	if g.nz > 0 {
		before, _ := s.totals[g.nz-1].either()
		factor = (comes + rest) / (before + rest)
	}
	for k := g.nz - 1; k >= 0; k-- {
		sum := &s.totals[k]
		_, left := sum.either()
		below := 0.0
		if k > 0 {
			below, _ = s.totals[k-1].either()
		}
		for _, onto := range sum.onto {
			below += onto
		}
		here := factor
		if s.black {
			here, factor = 1, 1
		} else {
			factor *= (left + rest) / (below + rest)
		}
		sum.water *= here
		sum.leaves *= here
		for i := range sinks {
			sum.aside[i] *= here
			sum.onto[i] *= factor
		}
		s.passing[k], s.landing[k] = here, factor
	}
}

// addUp adds the lanes' light in their fixed order, each layer scaled as balance says.
func (s *Solver) addUp(out *Field) {
	g := s.grid
	layer := g.nx * g.ny
	for k, factor := range s.passing {
		to := out.PPFD[k*layer : (k+1)*layer]
		clear(to)
		for l := range s.lanes {
			from := s.lanes[l].ppfd[k*layer : (k+1)*layer]
			if l < len(s.lanes)-1 {
				for i, v := range from {
					to[i] += float64(v)
				}
				continue
			}
			for i, v := range from {
				to[i] = (to[i] + float64(v)) * factor
			}
		}
		for l := range s.nSources {
			if !s.bySource {
				break
			}
			one := out.BySource[l]
			for i, v := range s.lanes[l].ppfd[k*layer : (k+1)*layer] {
				one[k*layer+i] = float64(v) * factor
			}
		}
	}
	for c, k := range g.v.GroundIZ {
		sum := 0.0
		for l := range s.lanes {
			sum += float64(s.lanes[l].bed[c])
		}
		if k < g.nz {
			sum *= s.landing[k]
		}
		out.Bed[c] = sum
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

// bounce adds the diffuse light to the field and returns by how much it changes where light went, µmol/s. So much of the lamps' light
// has met leaves, and so much has been taken or scattered by the water.
func (s *Solver) bounce(out *Field, met, byBeam float64) (water, leaves float64, lost [sinks]float64) {
	d, sp, g := s.diffuse, s.around, s.grid
	clear(sp.kappa)
	clear(sp.leaf)
	clear(sp.given)
	clear(sp.beam)
	clear(sp.met)
	for l := range s.lanes {
		for i, v := range s.lanes[l].beam {
			sp.beam[i] += v
		}
	}
	for k, faces := range g.faces {
		for i := range faces {
			if f := &faces[i]; f.dx|f.dy == 0 {
				flux := float32(0)
				for l := range s.lanes {
					flux += s.lanes[l].landed[k][i]
				}
				flux *= float32(s.landing[k])
				lost[f.to] -= d.give(sp, f, k, flux)
			}
		}
	}
	sum := float32(0)
	for k := range g.nz {
		for iy := range g.ny {
			base := d.at(0, int(d.toY[iy]), int(d.toZ[k]))
			area := float32(g.thick[k] * g.wy[iy])
			vox := (k*g.ny + iy) * g.nx
			for ix, kappa := range s.kappa[vox : vox+g.nx] {
				if kappa < 0 {
					continue
				}
				c, v := base+int(d.toX[ix]), area*g.wx32[ix]
				sp.kappa[c] += kappa * v
				if leaf := (kappa - s.kd) * v; leaf > 0 {
					sp.leaf[c] += leaf
					// Where the leaves meet it: by the mean way of light in the voxel. How much it is in all is known.
					sp.met[c] += leaf * float32(out.PPFD[vox+ix]) * s.slant[vox+ix]
				}
			}
		}
	}
	if d.leaf > 0 {
		for _, v := range sp.met {
			sum += v
		}
	}
	if sum > 0 {
		part := float32(met) / sum
		for c := range sp.met {
			sp.met[c] *= part
		}
	} else {
		clear(sp.met)
	}
	scattered := d.solve(sp, d.rounds(s.fine), 2, s.workers)
	absorption := float64(s.kd) - d.scattering
	kept := d.kept()
	thrown := 0.0
	if s.kd > 0 {
		thrown = byBeam * d.scattering / float64(s.kd)
	}
	for c, open := range d.open {
		if !open {
			continue
		}
		// The first moment holds the lamps' light too, which has been counted.
		light := float64(sp.all[c*kept] - sp.beam[c*kept])
		taken := light / float64(sp.volume[c])
		if s.kd > 0 {
			free := (float64(sp.kappa[c]) - float64(sp.leaf[c])) / float64(s.kd)
			water += taken * absorption * free
			thrown += taken * d.scattering * free
		}
		leaves += taken * float64(sp.leaf[c])
	}
	if d.scattering > 0 {
		// What particles have met less what they have thrown on.
		water += thrown - sp.scattered
	}
	d.spread(sp, out)
	for i := range lost {
		lost[i] += sp.lost[i]
	}
	return water, leaves - scattered, lost
}

// give hands what has come onto a face back to the diffuse light, as far as it does so, and returns how much that is.
func (d *diffuse) give(sp *diffuseSpace, f *face, k int, flux float32) float64 {
	share := d.ground
	if f.to == toHardscape {
		share = d.stone
	}
	c := d.lift[d.at(int(d.toX[f.ix]), int(d.toY[f.iy]), int(d.toZ[k]))]
	if c < 0 || share == 0 {
		return 0
	}
	back := flux * float32(share)
	sp.given[c] += back
	return float64(back)
}

// Tint carries a field that this Solver has solved over to water of another extinction (1/m along the path): nothing is traced again, since what
// water takes is known from the mean way of the light in each voxel. The budget stays that of the solve. It is right to the second order of the change: a change by
// 0.1 /m leaves an error of less than 0.1 % of the mean.
func (s *Solver) Tint(f *Field, kd float64) {
	if !(kd > 0) {
		kd = 0
	}
	g := s.grid
	if s.diffuse != nil {
		kd += s.diffuse.scattering
	}
	more := min(kd, opaque) - f.kd
	if more == 0 {
		return
	}
	f.kd += more
	plane := g.nx * g.ny
	crew.Do(s.workers, g.nz, func(k int) {
		by := float32(-more * g.depth[k])
		ppfd := f.PPFD[k*plane : (k+1)*plane]
		for i, slant := range s.slant[k*plane : (k+1)*plane] {
			if ppfd[i] != 0 { // in solids it is
				ppfd[i] *= float64(growing(by * slant))
			}
		}
	})
	for c, k := range g.v.GroundIZ {
		if k < g.nz && f.Bed[c] > 0 {
			f.Bed[c] *= float64(growing(float32(-more*(g.depth[k]+g.thick[k]/2)) * s.slant[k*plane+c]))
		}
	}
}

// growing is e to a power of either sign, right to 2e-5.
func growing(x float32) float32 {
	switch {
	case x > 0.25:
		return 1 / exp(-x)
	case x < -0.25:
		return exp(x)
	}
	return 1 + x*(1+x*(1./2+x*(1./6+x*(1./24))))
}
