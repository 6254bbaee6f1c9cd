package light

import "math"

// scratch is the working space of one lane.
type scratch struct {
	ppfd       []float64 // per voxel
	bed        []float64 // per column
	above, now []float64 // transmitted share below a layer, padded
	mean       []float64 // mean transmitted share inside a voxel, padded
	water      float64   // absorbed, µmol/s
	leaves     float64
	lost       [sinks]float64
}

func (s *Solver) makeScratch() {
	g := s.grid
	s.scratch = make([]scratch, len(s.lanes))
	for i := range s.scratch {
		s.scratch[i] = scratch{
			ppfd:  make([]float64, g.nx*g.ny*g.nz),
			bed:   make([]float64, g.nx*g.ny),
			above: make([]float64, g.plane),
			now:   make([]float64, g.plane),
			mean:  make([]float64, g.plane),
		}
	}
	s.run = make([]func(), min(s.workers, len(s.lanes)))
	for i := range s.run {
		s.run[i] = func() {
			defer s.wait.Done()
			for l := int(s.next.Add(1)) - 1; l < len(s.lanes); l = int(s.next.Add(1)) - 1 {
				s.sweepLane(l)
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
	s.leaf, s.cover, s.kd = leaf, cover, min(kd, opaque)
	s.next.Store(0)
	s.wait.Add(len(s.run))
	for _, f := range s.run {
		go f()
	}
	s.wait.Wait()
	out = s.gather(out)
	s.leaf, s.cover = nil, nil
	return out
}

func (s *Solver) sweepLane(l int) {
	sc := &s.scratch[l]
	clear(sc.ppfd)
	clear(sc.bed)
	sc.water, sc.leaves = 0, 0
	sc.lost = [sinks]float64{}
	for i := s.lanes[l].from; i < s.lanes[l].to; i++ {
		s.sweep(&s.emitters[i], sc)
	}
}

// opaque is the largest extinction that is reckoned with, 1/m: nothing passes a voxel of it.
const opaque = 1e6

// seriesBelow is the optical thickness up to which the series in sweep is used; its first left-out term, τ⁶/5040, is then below 5e-8.
const seriesBelow = 0.25

// sweep carries the transmitted share of one emitter's light from the surface to the bed.
func (s *Solver) sweep(e *emitter, sc *scratch) {
	g := s.grid
	w := g.w
	s.open(sc.above)
	for k := g.nz - 1; k >= 0; k-- {
		base := k * g.plane
		pitch, thick := g.pitch[k], g.thick[k]
		above, now, mean := sc.above, sc.now, sc.mean
		for iy := range g.ny {
			row := (iy+pad)*w + pad
			vox := (k*g.ny + iy) * g.nx
			solid := g.v.Solid[vox : vox+g.nx]
			light := e.light[base+row : base+row+g.nx]
			slopeX := e.slopeX[base+row : base+row+g.nx]
			slopeY := e.slopeY[base+row : base+row+g.nx]
			slant := e.slant[base+row : base+row+g.nx]
			ppfd := sc.ppfd[vox : vox+g.nx]
			wx := g.wx[:g.nx]
			var leaf []float64
			if s.leaf != nil {
				leaf = s.leaf[vox : vox+g.nx]
			}
			rowWater, rowLeaf := 0.0, 0.0
			for ix := range solid {
				at := row + ix
				if solid[ix] {
					now[at], mean[at] = 0, 0
					continue
				}
				// The point of the layer above that the ray comes through.
				px := float64(ix+pad) - float64(slopeX[ix])*pitch
				py := float64(iy+pad) - float64(slopeY[ix])*pitch
				jx, jy := int(px), int(py)
				fx, fy := px-float64(jx), py-float64(jy)
				j := jy*w + jx
				a, b := above[j], above[j+w]
				a += (above[j+1] - a) * fx
				b += (above[j+w+1] - b) * fx
				in := a + (b-a)*fy

				kappa, leaves := s.kd, 0.0
				if leaf != nil && leaf[ix] > 0 {
					leaves = min(leaf[ix], opaque)
					kappa += leaves
				}
				path := thick * float64(slant[ix])
				tau := kappa * path
				// Mean of exp(−τt) over 0 ≤ t ≤ 1.
				var m, through float64
				if tau < seriesBelow {
					m = 1 - tau*(1./2-tau*(1./6-tau*(1./24-tau*(1./120-tau*(1./720)))))
					through = 1 - tau*m
				} else {
					through = math.Exp(-tau)
					m = (1 - through) / tau
				}
				inside := in * m
				now[at] = in * through
				mean[at] = inside
				ep := float64(light[ix]) * inside
				ppfd[ix] += ep
				met := ep * path * wx[ix]
				rowWater += met
				rowLeaf += met * leaves
			}
			sc.water += rowWater * s.kd * g.wy[iy]
			sc.leaves += rowLeaf * g.wy[iy]
		}
		s.leave(e, sc, k)
		sc.above, sc.now = now, above
	}
}

// open sets the transmitted share just below the surface: 1 less what floats, nothing outside the glass.
func (s *Solver) open(above []float64) {
	g := s.grid
	clear(above)
	for iy := range g.ny {
		for ix := range g.nx {
			c := iy*g.nx + ix
			if !g.inside[c] {
				continue
			}
			t := 1.0
			if s.cover != nil && s.cover[c] > 0 {
				t = 1 - min(s.cover[c], 1)
			}
			above[(iy+pad)*g.w+ix+pad] = t
		}
	}
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

// leave counts the light that leaves the water through the faces of layer k.
func (s *Solver) leave(e *emitter, sc *scratch, k int) {
	g := s.grid
	base := k * g.plane
	below := base - g.plane
	if k == 0 {
		below = g.nz * g.plane
	}
	for i := range g.faces[k] {
		f := &g.faces[k][i]
		at, beyond := base+int(f.at), base+int(f.beyond)
		if f.axis == 2 {
			// The light falls about as 1/distance² here, for which the geometric mean of the neighbours' middles is far closer than
			// the arithmetic one.
			onto := math.Sqrt(float64(e.light[at])*float64(e.light[below+int(f.at)])) * sc.now[f.at]
			sc.lost[f.to] += onto * float64(f.area)
			if f.column >= 0 {
				sc.bed[f.column] += onto
			}
			continue
		}
		slope := e.slopeX
		if f.axis == 1 {
			slope = e.slopeY
		}
		a := e.light[at] * slope[at]
		b := e.light[beyond] * slope[beyond]
		through := float64((a + (b-a)*f.t) * f.sign)
		if through < 0 && !f.step {
			continue
		}
		sc.lost[f.to] += through * float64(f.area) * sc.mean[f.at]
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
	water, leaves := 0.0, s.afloat()
	var lost [sinks]float64
	for l := range s.scratch {
		sc := &s.scratch[l]
		add(out.PPFD, sc.ppfd)
		add(out.Bed, sc.bed)
		if s.bySource {
			add(out.BySource[s.lanes[l].source], sc.ppfd)
		}
		water += sc.water
		leaves += sc.leaves
		for i := range lost {
			lost[i] += sc.lost[i]
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

func add(to, from []float64) {
	from = from[:len(to)]
	for i := range to {
		to[i] += from[i]
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
