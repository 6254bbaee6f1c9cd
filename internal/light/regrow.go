package light

import "littoral/internal/geometry"

// rough is the same light on voxels twice as wide, an eighth as many. By how much other leaves change the light there, they change it in the fine
// field; what is left out is how the change is spread within a wide voxel.
type rough struct {
	solver  *Solver
	x, y, z []lerp  // where fine voxels lie among the wide ones
	wide    []int32 // the wide voxel of each fine one
	part    []float64

	leaf, cover []float64 // as the arguments of Solve, on wide voxels
	was, is     *Field    // before the change and after it
	ratio, row  []float32

	kd     float64 // the water for which was is solved
	solved bool    // there has been a Solve
	old    bool    // was has still to be solved, for leaf and cover
}

func newRough(src []Source, g *grid, opt Options) *rough {
	v := twiceAsWide(g.v)
	opt.Regrows, opt.Ground, opt.Stone, opt.Leaf, opt.Scattering = false, 0, 0, 0, 0
	r := &rough{solver: NewSolver(src, v, g.tank, opt), wide: make([]int32, len(g.v.Solid)), part: make([]float64, len(v.Solid))}
	w := r.solver.grid
	r.x, r.y, r.z = lerps(g.wx, w.wx), lerps(g.wy, w.wy), lerps(g.thick, w.thick)
	for i, solid := range g.v.Solid {
		r.wide[i] = int32(wideOf(i, g.v, v))
		if !solid {
			r.part[r.wide[i]]++
		}
	}
	for i, n := range r.part {
		r.part[i] = 1 / max(n, 1)
	}
	r.makeSpace()
	return r
}

func (r *rough) fork() *rough {
	f := &rough{solver: r.solver.Fork(), x: r.x, y: r.y, z: r.z, wide: r.wide, part: r.part}
	f.makeSpace()
	return f
}

func (r *rough) makeSpace() {
	v := r.solver.grid.v
	r.leaf, r.cover = make([]float64, len(v.Solid)), make([]float64, v.NX*v.NY)
	r.ratio, r.row = make([]float32, len(v.Solid)), make([]float32, v.NX)
}

// wideOf is the index of the voxel of w that holds the voxel i of v.
func wideOf(i int, v, w *geometry.Voxels) int {
	x, y, z := i%v.NX, i/v.NX%v.NY, i/(v.NX*v.NY)
	return (z/2*w.NY+y/2)*w.NX + x/2
}

// twiceAsWide puts every eight voxels together; solid is what is solid for the greater part.
func twiceAsWide(v *geometry.Voxels) *geometry.Voxels {
	w := &geometry.Voxels{Cell: 2 * v.Cell, NX: (v.NX + 1) / 2, NY: (v.NY + 1) / 2, NZ: (v.NZ + 1) / 2}
	solid := make([]int, w.NX*w.NY*w.NZ)
	for i, is := range v.Solid {
		if is {
			solid[wideOf(i, v, w)]++
		} else {
			solid[wideOf(i, v, w)]--
		}
	}
	w.Solid, w.GroundIZ = make([]bool, len(solid)), make([]int, w.NX*w.NY)
	for c, more := range solid {
		w.Solid[c] = more > 0
	}
	highest := make([]int, len(w.GroundIZ)) // stones that stand on the ground are solid too
	for c, ground := range v.GroundIZ {
		at := c/v.NX/2*w.NX + c%v.NX/2
		highest[at] = max(highest[at], (ground+1)/2)
	}
	for c := range w.GroundIZ {
		for w.GroundIZ[c] < highest[c] && w.Solid[w.GroundIZ[c]*w.NX*w.NY+c] {
			w.GroundIZ[c]++
		}
	}
	return w
}

// gather takes over the leaves, as the mean over the free water of each wide voxel.
func (r *rough) gather(leaf, cover []float64) {
	clear(r.leaf)
	for i, v := range leaf {
		if v > 0 {
			r.leaf[r.wide[i]] += min(v, opaque)
		}
	}
	for i, part := range r.part {
		r.leaf[i] *= part
	}
	clear(r.cover)
	for c, share := range cover {
		r.cover[r.wide[c]] += min(max(share, 0), 1) / 4
	}
}

// begin remembers for which leaves and water the fine field was solved.
func (r *rough) begin(leaf, cover []float64, kd float64) {
	r.kd, r.solved, r.old = kd, true, true
	r.gather(leaf, cover)
}

// Regrow is Solve for other leaves, at about a sixth of the work. It goes on from a field: what this Solver solved last, or has regrown since, tinted
// or not. Light is traced on voxels twice as wide, before and now, and each voxel's light changes by as much as there. The water stays that of the field; Bed
// follows the light above it, and Budget stays that of the solve. Without Options.Regrows it solves.
func (s *Solver) Regrow(leaf, cover []float64, kd float64, from, out *Field) *Field {
	r := s.rough
	if r == nil || !r.solved {
		return s.Solve(leaf, cover, kd, out)
	}
	out = from.CopyTo(out)
	if r.old {
		r.was = r.solver.Solve(r.leaf, r.cover, r.kd, r.was)
		r.old = false
	}
	r.gather(leaf, cover)
	r.is = r.solver.Solve(r.leaf, r.cover, r.kd, r.is)
	for i, before := range r.was.PPFD {
		r.ratio[i] = 1
		if now := r.is.PPFD[i]; before > 0 && now > 0 {
			r.ratio[i] = float32(now / before)
		}
	}
	r.was, r.is = r.is, r.was
	g, w := s.grid, r.solver.grid
	for k := range g.nz {
		for iy := range g.ny {
			rowBetween(r.ratio, w.nx, w.nx*w.ny, &r.y[iy], &r.z[k], r.row)
			vox := (k*g.ny + iy) * g.nx
			ppfd := out.PPFD[vox : vox+g.nx]
			for ix := range ppfd {
				ppfd[ix] *= float64(r.x[ix].of(r.row))
			}
			for ix := range ppfd {
				if c := iy*g.nx + ix; g.v.GroundIZ[c] == k {
					out.Bed[c] *= float64(r.ratio[r.wide[vox+ix]])
				}
			}
		}
	}
	return out
}
