package light

import (
	"math"
	"runtime"
	"sync"
	"sync/atomic"

	"littoral/internal/geometry"
)

// Options are the solver's settings; the zero value is the usual choice.
type Options struct {
	Index       float64 // refractive index of the water; 0 = IndexWater, 1 = no refraction
	MaxEmitters int     // most parts that cast shadows of their own, over all lamps; 0 = usualEmitters, or what fits into tableBytes; each lamp has at least one
	TileShare   float64 // tile edge over distance; 0 = 0.2 (a rule of photometry: a source below a fifth of the distance is a point)
	BySource    bool    // also give each source's own field
	Workers     int     // goroutines; 0 = one for each processor. It never changes a result.
}

const (
	usualEmitters = 8         // over two lamps the shadow of a hedge is then right to 0.5 %, less than the blur of its edge
	tableBytes    = 256 << 20 // more tables than this are not worth a finer penumbra
)

// minTile is the smallest tile edge, m. Lamps closer to the water than five times this are cut no finer: the voxels that their
// light is averaged over are coarser anyway.
const minTile = 0.01

// Solver knows everything about the light that leaves and water clarity do not change. Its tables are read-only and take about
// 16 bytes for each voxel and emitter. A Solver has one set of working space: use Fork for each further goroutine.
type Solver struct {
	grid     *grid
	emitters []emitter
	lanes    []lane
	scratch  []scratch
	run      []func()
	workers  int
	bySource bool
	nSources int

	surface  []float64 // irradiance per column, all lamps, µmol m⁻² s⁻¹
	entering []float64 // what goes on into the water, per column, µmol/s
	missed   float64   // shares of all emitted photons
	reflect  float64
	struck   float64 // falls on hardscape that stands out of the water
	emission float64 // µmol/s, all lamps

	// Arguments of the running Solve, for the lanes.
	leaf, cover []float64
	kd          float64
	next        atomic.Int32
	wait        sync.WaitGroup
}

// lane is a fixed set of emitters of one source that are added up in order. Lanes run side by side and are summed in
// order, so that the number of processors cannot change the order of additions.
type lane struct{ source, from, to int }

// maxLanes bounds the working space of the lanes while leaving enough of them to keep the usual number of processors busy.
const maxLanes = 4

// pad is the rim of columns around the grid: a ray inside the water moves at most 1/√(n²−1) = 1.135 cells sideways while it
// crosses one layer, so that it may come from two columns away.
const pad = 2

// grid is the voxel grid with a padded rim, and which faces of free voxels take light out of the water.
type grid struct {
	v          *geometry.Voxels
	tank       geometry.Tank
	nx, ny, nz int
	w, plane   int       // padded width and padded layer size
	cell       float64   // m
	thick      []float64 // thickness of the water in a layer, m
	pitch      []float64 // from the middle of a layer (for the top layer: the surface) up to the middle of the next, in cells
	depth      []float64 // depth of a layer's middle, m; layer −1 (below the bottom glass) comes last
	wx, wy     []float64 // width of the columns that lies inside the tank, m
	inside     []bool
	faces      [][]face // per layer
}

// sink is where the light goes that leaves the water through a face.
type sink uint8

const (
	toWall sink = iota
	toBed
	toHardscape
	sinks
)

// face is a side or the underside of a free voxel that borders on something solid.
type face struct {
	at, beyond int32   // padded column of the voxel and of its neighbour
	t          float32 // place of the face between their middles, 0 to 1
	axis       uint8   // 0 x, 1 y, 2 down
	to         sink
	sign       float32 // direction of the outward normal
	area       float32 // m²
	column     int32   // for the bed's surface: column whose Bed this is; else −1
	step       bool    // the side of a step: light passes over the solid beyond
}

// emitter is a lamp, or a part of a large lamp, with its unweakened light at every voxel.
type emitter struct {
	Source
	source int
	// Per layer 0..nz−1 and then layer −1, per padded column:
	light  []float32 // planar irradiance without absorption, µmol m⁻² s⁻¹
	slopeX []float32 // sideways way for each metre down
	slopeY []float32
	slant  []float32 // length of path for each metre down
}

// NewSolver tabulates the unweakened light of the sources in the tank. The grid must belong to the tank and stay as it is. Sources of
// zero flux give a dark field.
func NewSolver(src []Source, v *geometry.Voxels, t geometry.Tank, opt Options) *Solver {
	if opt.Index == 0 {
		opt.Index = IndexWater
	}
	if opt.TileShare == 0 {
		opt.TileShare = 0.2
	}
	if opt.Workers == 0 {
		opt.Workers = runtime.GOMAXPROCS(0)
	}
	g := newGrid(v, t)
	if opt.MaxEmitters == 0 {
		opt.MaxEmitters = min(usualEmitters, tableBytes/(16*g.plane*(g.nz+1)))
	}
	s := &Solver{grid: g, workers: opt.Workers, bySource: opt.BySource, nSources: len(src)}
	for i, one := range src {
		s.emission += one.Flux
		nx, ny := parts(one, max(opt.MaxEmitters/len(src), 1))
		for iy := range ny {
			for ix := range nx {
				s.emitters = append(s.emitters, emitter{Source: one.part(ix, iy, nx, ny), source: i})
			}
		}
	}
	s.lanes = lanesOf(s.emitters, len(src))
	surfaces := make([]surfaceLight, len(s.emitters))
	parallel(s.workers, len(s.emitters), func(i int) {
		s.emitters[i].tabulate(g, opt)
		surfaces[i] = s.emitters[i].onSurface(g, opt)
	})
	s.addSurface(surfaces)
	s.makeScratch()
	return s
}

// Fork returns a Solver that shares the tables and has its own working space, for use in another goroutine.
func (s *Solver) Fork() *Solver {
	f := &Solver{
		grid: s.grid, emitters: s.emitters, lanes: s.lanes, workers: s.workers, bySource: s.bySource, nSources: s.nSources,
		surface: s.surface, entering: s.entering, struck: s.struck, missed: s.missed, reflect: s.reflect, emission: s.emission,
	}
	f.makeScratch()
	return f
}

// addSurface sums up what reaches the surface and what becomes of it there.
func (s *Solver) addSurface(each []surfaceLight) {
	g := s.grid
	s.surface = make([]float64, g.nx*g.ny)
	s.entering = make([]float64, g.nx*g.ny)
	reached, reflected, struck := 0.0, 0.0, 0.0
	for iy := range g.ny {
		for ix := range g.nx {
			c, at := iy*g.nx+ix, (iy+pad)*g.w+ix+pad
			if !g.inside[c] {
				continue
			}
			area := g.wx[ix] * g.wy[iy]
			arrives, returns := 0.0, 0.0
			for _, one := range each {
				arrives += one.irradiance[at]
				returns += one.reflected[at]
			}
			s.surface[c] = arrives
			reached += arrives * area
			if g.v.Solid[(g.nz-1)*g.nx*g.ny+c] {
				struck += arrives * area
				continue
			}
			reflected += returns * area
			s.entering[c] = (arrives - returns) * area
		}
	}
	if s.emission > 0 {
		s.missed = 1 - reached/s.emission
		s.reflect = reflected / s.emission
		s.struck = struck / s.emission
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

// lanesOf splits each source's emitters into lanes.
func lanesOf(em []emitter, sources int) []lane {
	var out []lane
	each := 1
	if sources > 0 {
		each = max(maxLanes/sources, 1)
	}
	for from := 0; from < len(em); {
		end := from
		for end < len(em) && em[end].source == em[from].source {
			end++
		}
		n := min(each, end-from)
		for i := range n {
			out = append(out, lane{em[from].source, from + (end-from)*i/n, from + (end-from)*(i+1)/n})
		}
		from = end
	}
	return out
}

// parallel calls f(0) … f(n−1) on several goroutines and waits.
func parallel(workers, n int, f func(i int)) {
	var next atomic.Int32
	var wg sync.WaitGroup
	for range min(workers, n) {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				f(i)
			}
		})
	}
	wg.Wait()
}

func newGrid(v *geometry.Voxels, t geometry.Tank) *grid {
	g := &grid{v: v, tank: t, nx: v.NX, ny: v.NY, nz: v.NZ, cell: v.Cell, w: v.NX + 2*pad}
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
	g.wx = widths(g.nx, g.cell, t.LX)
	g.wy = widths(g.ny, g.cell, t.LY)
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
			at := int32((iy+pad)*g.w + ix + pad)
			for _, d := range [...]struct{ dx, dy int }{{-1, 0}, {1, 0}, {0, -1}, {0, 1}} {
				jx, jy := ix+d.dx, iy+d.dy
				f := face{at: at, beyond: at + int32(d.dy*g.w+d.dx), t: 0.5, sign: float32(d.dx + d.dy), column: -1}
				length := g.wy[iy]
				middle, end := (float64(ix)+0.5)*g.cell, g.tank.LX
				if d.dy != 0 {
					f.axis = 1
					length = g.wx[ix]
					middle, end = (float64(iy)+0.5)*g.cell, g.tank.LY
				}
				f.area = float32(length * g.thick[k])
				switch {
				case jx < 0 || jy < 0 || jx >= g.nx || jy >= g.ny || !g.inside[jy*g.nx+jx]:
					f.to = toWall
					if f.sign > 0 && end > middle && end < middle+1.5*g.cell && g.tank.Shape == "box" {
						f.t = float32((end - middle) / g.cell)
					}
				case !v.Solid[(k*g.ny+jy)*g.nx+jx]:
					continue
				case k < v.GroundIZ[jy*g.nx+jx]:
					f.to = toBed
				default:
					f.to = toHardscape
				}
				f.step = f.to != toWall && (k+1 == g.nz || !v.Solid[((k+1)*g.ny+jy)*g.nx+jx])
				out = append(out, f)
			}
			if k == 0 || v.Solid[(k-1)*g.nx*g.ny+col] {
				f := face{at: at, beyond: at, t: 0.5, axis: 2, to: toHardscape, column: -1, area: float32(g.wx[ix] * g.wy[iy])}
				if k == v.GroundIZ[col] || k == 0 {
					f.to, f.column = toBed, int32(col)
				}
				out = append(out, f)
			}
		}
	}
	return out
}

// samples is the number of intervals of a beam table.
const samples = 1024

// beam holds irradiance and slope around a lamp at one depth, over u = d²/(d²+r²), where d is the effective distance on the
// axis. In u both are smooth and stay on a finite interval however far r reaches.
type beam struct {
	d2         float64
	irradiance [samples + 2]float64 // µmol m⁻² s⁻¹ for unit flux; after Fresnel, or before it at the surface
	other      [samples + 2]float64 // slope over r (1/m); at the surface the reflected part of irradiance
}

func (b *beam) fill(s *Source, z, n float64) {
	d := s.Height + z/n
	b.d2 = d * d
	axial := AxialIntensity(1, s.N)
	for j := 1; j <= samples; j++ {
		u := float64(j) / samples
		r := d * math.Sqrt(max(1/u-1, 0))
		p := pathTo(s.Height, z, r, n)
		e := axial * math.Pow(p.cosAir, s.N) * p.spread(s.Height, z, n)
		reflected := fresnelCos(p.cosAir, p.cosWater, IndexAir, n)
		switch {
		case z == 0:
			b.irradiance[j], b.other[j] = e, e*reflected
		case r == 0:
			b.irradiance[j], b.other[j] = e*(1-reflected), 1/(n*d)
		default:
			b.irradiance[j], b.other[j] = e*(1-reflected), p.tanWater()/r
		}
	}
	b.irradiance[samples+1], b.other[samples+1] = b.irradiance[samples], b.other[samples]
}

// read returns both values at distance r, given r².
func (b *beam) read(r2 float64) (irradiance, other float64) {
	u := b.d2 / (b.d2 + r2) * samples
	j := int(u)
	f := u - float64(j)
	return b.irradiance[j] + (b.irradiance[j+1]-b.irradiance[j])*f, b.other[j] + (b.other[j+1]-b.other[j])*f
}

// tabulate fills the emitter's unweakened light. Tiles grow with depth, so that they stay small against their distance.
func (e *emitter) tabulate(g *grid, opt Options) {
	size := (g.nz + 1) * g.plane
	e.light = make([]float32, size)
	e.slopeX = make([]float32, size)
	e.slopeY = make([]float32, size)
	e.slant = make([]float32, size)
	var b beam
	sum := make([]float64, g.plane)
	sumX := make([]float64, g.plane)
	sumY := make([]float64, g.plane)
	for k := range g.nz + 1 {
		z := g.depth[k]
		b.fill(&e.Source, z, opt.Index)
		clear(sum)
		clear(sumX)
		clear(sumY)
		for _, tile := range e.Tiles(max(opt.TileShare*(e.Height+z/opt.Index), minTile)) {
			flux := e.Flux * tile.Share
			for iy := range g.ny + 2*pad {
				dy := (float64(iy-pad)+0.5)*g.cell - tile.Y
				dy2 := dy * dy
				row := iy * g.w
				for ix := range g.w {
					dx := (float64(ix-pad)+0.5)*g.cell - tile.X
					light, slope := b.read(dx*dx + dy2)
					light *= flux
					sum[row+ix] += light
					sumX[row+ix] += light * slope * dx
					sumY[row+ix] += light * slope * dy
				}
			}
		}
		base := k * g.plane
		for i, l := range sum {
			if l > 0 {
				sx, sy := sumX[i]/l, sumY[i]/l
				e.slopeX[base+i], e.slopeY[base+i] = float32(sx), float32(sy)
				e.slant[base+i] = float32(math.Sqrt(1 + sx*sx + sy*sy))
			} else {
				e.slant[base+i] = 1
			}
		}
		cellMean(sum, g.w, func(i int, mean float64) { e.light[base+i] = float32(mean) })
	}
}

// cellMean turns values at the cells' middles into means over the cells: for a smooth field the mean exceeds the middle by
// cell²/24 times the Laplacian. The outermost rim keeps its middles.
func cellMean(mid []float64, w int, set func(i int, mean float64)) {
	for i, m := range mid {
		x := i % w
		if x > 0 && x < w-1 && i >= w && i < len(mid)-w {
			m = max(m+(mid[i-1]+mid[i+1]+mid[i-w]+mid[i+w]-4*m)/24, 0)
		}
		set(i, m)
	}
}

// surfaceLight is an emitter's light on the water and what the surface throws back, per padded column, µmol m⁻² s⁻¹.
type surfaceLight struct{ irradiance, reflected []float64 }

func (e *emitter) onSurface(g *grid, opt Options) surfaceLight {
	var b beam
	b.fill(&e.Source, 0, opt.Index)
	sum := make([]float64, g.plane)
	back := make([]float64, g.plane)
	for _, tile := range e.Tiles(max(opt.TileShare*e.Height, minTile)) {
		flux := e.Flux * tile.Share
		for iy := range g.ny + 2*pad {
			dy := (float64(iy-pad)+0.5)*g.cell - tile.Y
			for ix := range g.w {
				dx := (float64(ix-pad)+0.5)*g.cell - tile.X
				light, reflected := b.read(dx*dx + dy*dy)
				sum[iy*g.w+ix] += flux * light
				back[iy*g.w+ix] += flux * reflected
			}
		}
	}
	out := surfaceLight{make([]float64, g.plane), make([]float64, g.plane)}
	cellMean(sum, g.w, func(i int, mean float64) { out.irradiance[i] = mean })
	cellMean(back, g.w, func(i int, mean float64) { out.reflected[i] = mean })
	return out
}
