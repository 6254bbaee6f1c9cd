package light

import (
	"littoral/internal/crew"
	"littoral/internal/geometry"
	"math"
	"runtime"
	"sort"
	"sync"
	"sync/atomic"
)

// Options are the solver's settings; the zero value is the usual choice.
type Options struct {
	Index       float64 // refractive index of the water; 0 = IndexWater, 1 = no refraction
	MaxEmitters int     // most parts that cast shadows of their own, over all lamps; 0 = usualEmitters, or what fits into tableBytes; each lamp has at least one
	TileShare   float64 // tile edge over distance; 0 = 0.35 (photometry takes a source below a fifth of the distance for a point; these tiles have the face's second moment)
	BySource    bool    // also give each source's own field
	BlackWalls  bool    // walls return nothing
	Ripples     float64 // mean square slope of the water's surface; 0 = still
	Ground      float64 // share of the light that the bed gives back, evenly to all sides, 0 to 1; 0 = none
	Stone       float64 // the same of stones and wood
	Leaf        float64 // share of the light that leaves meet which they scatter to all sides, 0 to 1; 0 = none
	Scattering  float64 // of the water, 1/m; 0 = none
	Asymmetry   float64 // mean cosine of the angle of scattering, −1 to 1 (Henyey–Greenstein)
	Regrows     bool    // Regrow will be asked for
	Fine        bool    // a finer diffuse field and more parts of lamps, for a map that is drawn once: about three times the work
	Workers     int     // goroutines; 0 = one for each processor. It never changes a result.
}

const (
	fineEmitters  = 24
	usualEmitters = 4         // two for each of two lamps: the shadow of a hedge is then right to 1 %, less than the blur of its edge
	tableBytes    = 256 << 20 // more tables than this are not worth a finer penumbra
)

// minTile is the smallest tile edge, m. Lamps closer to the water than five times this are cut no finer: the voxels that their
// light is averaged over are coarser anyway.
const minTile = 0.01

// Solver knows everything about the light that leaves and water clarity do not change. Its tables are read-only and take about
// 16 bytes for each voxel and bundle. A Solver has one set of working space: use Fork for each further goroutine.
type Solver struct {
	*tables
	lanes   []lane
	around  *diffuseSpace
	kappa   []float32   // extinction by voxel
	atRim   [][]float32 // by bundle: what is left at the rim, by layer
	totals  []tally     // per layer, all lanes
	passing []float64   // per layer: by how much balance scales the light in it
	landing []float64   // and what comes onto the bed there
	run     func()
	workers int

	// What the last Solve left, for the next to go on from where nothing has changed.
	planes [][]float32 // by bundle and layer, padded: the transmitted share below the layer; nil when not kept
	solved bool
	covers []float64

	rough *rough // nil without Options.Regrows

	// Arguments of the running Solve, for the lanes.
	cover []float64
	leafy bool
	kd    float32
	from  int // highest layer that is swept
	stage int
	next  atomic.Int32
	wait  sync.WaitGroup
}

// tables are the part of a Solver that its forks share.
type tables struct {
	grid     *grid
	diffuse  *diffuse // nil when nothing gives light back
	fine     bool
	bundles  []bundle
	stages   int
	deals    [][][]int // per lane and stage, the bundles that the lane sweeps, in order
	bySource bool
	black    bool // walls return nothing
	nSources int
	slant    []float32 // by voxel: length of path for each metre down, mean of all unweakened light there

	surface  []float64 // irradiance per column, all lamps, µmol m⁻² s⁻¹
	entering []float64 // what goes on into the water, per column, µmol/s
	missed   float64   // shares of all emitted photons
	reflect  float64
	struck   float64 // falls on hardscape that stands out of the water
	through  float64 // goes on into the water, µmol/s
	emission float64 // µmol/s, all lamps
}

// maxLanes bounds the working space of the lanes while leaving enough of them to keep the usual number of processors busy. Bundles are
// dealt to the lanes once and for all and the lanes are summed in order, so that the number of processors cannot change the order of additions.
const maxLanes = 4

// pad is the rim of columns around the grid: a ray inside the water moves at most 1/√(n²−1) = 1.135 cells sideways while it
// crosses one layer, so that it may come from two columns away.
const pad = 2

// grid is the voxel grid with a padded rim, and which faces of free voxels take light out of the water.
type grid struct {
	v          *geometry.Voxels
	tank       geometry.Tank
	box        bool
	nx, ny, nz int
	w, plane   int       // padded width and padded layer size
	cell       float64   // m
	thick      []float64 // thickness of the water in a layer, m
	pitch      []float64 // from the middle of a layer (for the top layer: the surface) up to the middle of the next, in cells
	depth      []float64 // depth of a layer's middle, m; layer −1 (below the bottom glass) comes last
	wx, wy     []float64 // width of the columns that lies inside the tank, m
	ex, ey     int       // number of columns whose middle lies inside the bounding rectangle
	inside     []bool
	faces      [][]face // per layer
	wx32       []float32
	rim        []int32        // padded columns beside the walls, whose light is kept for what goes on behind the wall
	beyond     [walls][]outer // padded columns behind each wall; of a tank that is no box all are under the first
}

// sink is where the light goes that leaves the water through a face.
type sink uint8

const (
	toWall sink = iota
	toBed
	toHardscape
	toSurface
	sinks
)

// face is a side or the underside of a free voxel that borders on something solid.
type face struct {
	ix, iy int32   // column of the voxel
	dx, dy int8    // where its neighbour lies; both 0 for the underside
	to     sink    //
	area   float32 // m²
	column int32   // for the bed's surface: column whose Bed this is; else −1
	step   bool    // the side of a step: light passes over the solid beyond
}

// NewSolver tabulates the unweakened light of the sources in the tank. The grid must belong to the tank and stay as it is. Sources of
// zero flux give a dark field.
func NewSolver(src []Source, v *geometry.Voxels, t geometry.Tank, opt Options) *Solver {
	if opt.Index == 0 {
		opt.Index = IndexWater
	}
	if opt.TileShare == 0 {
		opt.TileShare = 0.35
	}
	if opt.Workers == 0 {
		opt.Workers = runtime.GOMAXPROCS(0)
	}
	g := newGrid(v, t)
	if opt.MaxEmitters == 0 {
		opt.MaxEmitters = usualEmitters
		if opt.Fine {
			opt.MaxEmitters = fineEmitters
		}
		opt.MaxEmitters = min(opt.MaxEmitters, tableBytes/(20*g.plane*(g.nz+1)))
	}
	s := &Solver{tables: &tables{grid: g, bySource: opt.BySource, black: opt.BlackWalls, nSources: len(src), fine: opt.Fine}, workers: opt.Workers}
	s.diffuse = newDiffuse(g, opt)
	for _, one := range src {
		s.emission += one.Flux
	}
	s.bundles = bundlesOf(src, max(opt.MaxEmitters/max(len(src), 1), 1), g, opt)
	beams := newBeams(src, g, opt)
	crew.Do(s.workers, len(s.bundles), func(i int) { s.bundles[i].tabulate(g, beams, s.diffuse, s.emission, opt) })
	surfaces := make([]surfaceLight, len(src))
	crew.Do(s.workers, len(src), func(i int) { surfaces[i] = src[i].onSurface(g, opt) })
	s.addSurface(surfaces)
	if g.box {
		s.level(surfaces)
	}
	s.findSlant()
	s.deal()
	s.makeSpace()
	if opt.Regrows {
		s.rough = newRough(src, g, opt)
	}
	return s
}

// findSlant averages the ways of all bundles' light in each voxel.
func (s *tables) findSlant() {
	g := s.grid
	light := make([]float32, g.nx*g.ny*g.nz)
	s.slant = make([]float32, len(light))
	for i := range s.bundles {
		b := &s.bundles[i]
		for k, r := range b.rects {
			if len(b.cells) == 0 || r.empty() || g.thick[k] == 0 {
				continue
			}
			at := b.first[k]
			for iy := r.y0; iy < r.y1; iy++ {
				for ix := r.x0; ix < r.x1; ix++ {
					c := &b.cells[at]
					vox := (k*g.ny+iy)*g.nx + ix
					light[vox] += c.light
					s.slant[vox] += c.light * c.path / float32(g.thick[k])
					at++
				}
			}
		}
	}
	for i, sum := range light {
		if sum > 0 {
			s.slant[i] /= sum
		} else {
			s.slant[i] = 1
		}
	}
}

// Fork returns a Solver that shares the tables and has its own working space, for use in another goroutine.
func (s *Solver) Fork() *Solver {
	f := &Solver{tables: s.tables, workers: s.workers}
	f.makeSpace()
	if s.rough != nil {
		f.rough = s.rough.fork()
	}
	return f
}

// addSurface sums up what reaches the surface and what becomes of it there.
func (s *tables) addSurface(each []surfaceLight) {
	g := s.grid
	s.surface = make([]float64, g.nx*g.ny)
	s.entering = make([]float64, g.nx*g.ny)
	reached, reflected, struck := 0.0, 0.0, 0.0
	for iy := range g.ny {
		for ix := range g.nx {
			c := iy*g.nx + ix
			if !g.inside[c] {
				continue
			}
			area := g.wx[ix] * g.wy[iy]
			arrives, returns := 0.0, 0.0
			for _, one := range each {
				arrives += one.irradiance[c]
				returns += one.reflected[c]
			}
			s.surface[c] = arrives
			reached += arrives * area
			if g.v.Solid[(g.nz-1)*g.nx*g.ny+c] {
				struck += arrives * area
				continue
			}
			reflected += returns * area
			s.entering[c] = (arrives - returns) * area
			s.through += s.entering[c]
		}
	}
	if s.emission > 0 {
		s.missed = 1 - reached/s.emission
		s.reflect = reflected / s.emission
		s.struck = struck / s.emission
	}
}

// level makes every layer of the unweakened light carry what came in through the surface less what has gone out through the walls above. The
// tables do so but for a few thousandths, where tiles and cells cut the edge of returned light coarsely; each layer's light is
// scaled by what is missing.
func (s *tables) level(each []surfaceLight) {
	g := s.grid
	carried := 0.0
	for _, one := range each {
		for c, arrives := range one.irradiance {
			if g.inside[c] {
				carried += (arrives - one.reflected[c]) * g.wx[c%g.nx] * g.wy[c/g.nx]
			}
		}
	}
	const most = 0.02 // what lies further apart is no matter of tiles
	factors := make([]float32, g.nz+1)
	for k := g.nz - 1; k >= 0; k-- {
		flux, lost := 0.0, 0.0
		for i := range s.bundles {
			b := &s.bundles[i]
			r := b.rects[k]
			if len(b.cells) == 0 {
				continue
			}
			at := b.first[k]
			for iy := r.y0; iy < r.y1; iy++ {
				for ix := r.x0; ix < r.x1; ix++ {
					flux += float64(b.cells[at].light) * g.wx[ix] * g.wy[iy]
					at++
				}
			}
			for _, l := range b.loss[k] {
				lost += float64(l.lost)
			}
		}
		factor := 1.0
		if flux > 0 && math.Abs((carried-lost/2)/flux-1) < most {
			factor = (carried - lost/2) / flux
		}
		factors[k] = float32(factor)
		carried -= lost
	}
	factors[g.nz] = factors[0] // stands for the layer below the bottom
	for i := range s.bundles {
		s.bundles[i].scale(factors, g)
	}
}

// scale multiplies the bundle's light by a factor for each layer.
func (b *bundle) scale(factors []float32, g *grid) {
	if len(b.cells) == 0 {
		return
	}
	for k := range g.nz {
		end := len(b.cells)
		if k > 0 {
			end = b.first[k-1]
		}
		cells := b.cells[b.first[k]:end]
		for i := range cells {
			cells[i].light *= factors[k]
		}
		below := factors[g.nz]
		if k > 0 {
			below = factors[k-1]
		}
		for i := range b.faces[k] {
			f := factors[k]
			if face := &g.faces[k][i]; face.dx|face.dy == 0 {
				f = (f + below) / 2
			}
			b.faces[k][i] *= f
			if b.bed[k] != nil {
				b.bed[k][i] *= f
			}
		}
		for i := range b.loss[k] {
			b.loss[k][i].lost *= factors[k]
		}
	}
}

// parts cuts a lamp into at most n pieces, as square as they come.
func parts(s Source, n int) (nx, ny int) {
	nx, ny = 1, 1
	for {
		ax, ay := s.SizeX/float64(nx), s.SizeY/float64(ny)
		switch {
		case ax >= ay && ax > minTile && (nx+1)*ny <= n:
			nx++
		case ay > ax && ay > minTile && nx*(ny+1) <= n:
			ny++
		default:
			return nx, ny
		}
	}
}

// deal gives each lane its bundles. A stage's bundles need those of earlier stages only; within a stage the largest goes first to the
// lane with least to do.
func (s *tables) deal() {
	lanes := min(maxLanes, max(len(s.bundles), 1))
	if s.bySource {
		lanes = max(s.nSources, 1)
	}
	s.deals = make([][][]int, lanes)
	for i := range s.bundles {
		s.stages = max(s.stages, s.bundles[i].order()+1)
	}
	for l := range s.deals {
		s.deals[l] = make([][]int, s.stages)
	}
	for stage := range s.stages {
		var list []int
		for i := range s.bundles {
			if s.bundles[i].order() == stage {
				list = append(list, i)
			}
		}
		sort.SliceStable(list, func(a, b int) bool { return len(s.bundles[list[a]].cells) > len(s.bundles[list[b]].cells) })
		load := make([]int, lanes)
		for _, i := range list {
			to := 0
			for l := range load {
				if load[l] < load[to] {
					to = l
				}
			}
			if s.bySource {
				to = s.bundles[i].source
			}
			load[to] += len(s.bundles[i].cells)
			s.deals[to][stage] = append(s.deals[to][stage], i)
		}
	}
}

func newGrid(v *geometry.Voxels, t geometry.Tank) *grid {
	g := &grid{v: v, tank: t, nx: v.NX, ny: v.NY, nz: v.NZ, cell: v.Cell, w: v.NX + 2*pad, box: t.Shape == "box"}
	g.plane = g.w * (v.NY + 2*pad)
	g.thick = make([]float64, g.nz)
	g.pitch = make([]float64, g.nz)
	g.depth = make([]float64, g.nz+1)
	for k := range g.nz {
		g.thick[k] = max(min(float64(k+1)*g.cell, t.WaterLevel)-float64(k)*g.cell, 0)
		g.depth[k] = t.WaterLevel - float64(k)*g.cell - g.thick[k]/2
	}
	for k := range g.nz {
		above := 0.0
		if k+1 < g.nz {
			above = g.depth[k+1]
		}
		g.pitch[k] = (g.depth[k] - above) / g.cell
	}
	g.depth[g.nz] = t.WaterLevel + g.cell/2
	g.inside = make([]bool, g.nx*g.ny)
	for c := range g.inside {
		g.inside[c] = v.GroundIZ[c] < g.nz
	}
	for g.ex < g.nx && (float64(g.ex)+0.5)*g.cell <= t.LX+1e-9 {
		g.ex++
	}
	for g.ey < g.ny && (float64(g.ey)+0.5)*g.cell <= t.LY+1e-9 {
		g.ey++
	}
	g.wx = widths(g.nx, g.cell, t.LX)
	g.wy = widths(g.ny, g.cell, t.LY)
	g.wx32 = make([]float32, g.nx)
	for i, w := range g.wx {
		g.wx32[i] = float32(w)
	}
	g.findRim()
	g.faces = make([][]face, g.nz)
	for k := range g.nz {
		g.faces[k] = g.facesOf(k)
	}
	return g
}

// widths are the parts of n cells that lie within length; a strip whose cell's middle is outside belongs to the cell before.
func widths(n int, cell, length float64) []float64 {
	w := make([]float64, n)
	for i := range w {
		w[i] = min(max(length-float64(i)*cell, 0), cell)
	}
	for i := n - 1; i > 0; i-- {
		if (float64(i)+0.5)*cell <= length {
			break
		}
		w[i-1] += w[i]
		w[i] = 0
	}
	return w
}

// facesOf lists the faces of layer k through which light leaves the water. Where a slope is drawn in steps the sweep lets light come out
// of the steps that turn away from the lamp, as it would have passed over the smooth slope; such light counts back
// (negative), so that the slope takes the tops' light plus that of the steps that face the lamp less that of those that do
// not, which is what the smooth slope takes. Nothing comes out of walls and cliffs.
func (g *grid) facesOf(k int) []face {
	var out []face
	v := g.v
	for iy := range g.ny {
		for ix := range g.nx {
			col := iy*g.nx + ix
			if v.Solid[k*g.nx*g.ny+col] || !g.inside[col] {
				continue
			}
			for _, d := range [...]struct{ dx, dy int }{{-1, 0}, {1, 0}, {0, -1}, {0, 1}} {
				jx, jy := ix+d.dx, iy+d.dy
				f := face{ix: int32(ix), iy: int32(iy), dx: int8(d.dx), dy: int8(d.dy), column: -1}
				length := g.wy[iy]
				if d.dy != 0 {
					length = g.wx[ix]
				}
				f.area = float32(length * g.thick[k])
				switch {
				case jx < 0 || jy < 0 || jx >= g.nx || jy >= g.ny || !g.inside[jy*g.nx+jx]:
					continue // the walls have their own sums, see bundle.loss
				case !v.Solid[(k*g.ny+jy)*g.nx+jx]:
					continue
				case k < v.GroundIZ[jy*g.nx+jx]:
					f.to = toBed
				default:
					f.to = toHardscape
				}
				f.step = k+1 == g.nz || !v.Solid[((k+1)*g.ny+jy)*g.nx+jx]
				out = append(out, f)
			}
			if k == 0 || v.Solid[(k-1)*g.nx*g.ny+col] {
				f := face{ix: int32(ix), iy: int32(iy), to: toHardscape, column: -1, area: float32(g.wx[ix] * g.wy[iy])}
				if k == v.GroundIZ[col] || k == 0 {
					f.to, f.column = toBed, int32(col)
				}
				out = append(out, f)
			}
		}
	}
	return out
}
