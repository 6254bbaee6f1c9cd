package light

import "math"

// bundle is the unweakened light of a lamp, or of a part of a large lamp, on its way from the surface (order 0), or of a whole lamp after it has met
// walls. Behind the wall of a box stands the mirrored tank: light that has met walls comes straight from the lamp's image
// in the mirrored box (i, j), through that box's surface. i = −1 is the box behind the left wall, i = 1 behind the right one; j likewise
// behind the front and the back.
type bundle struct {
	Source // moved to where its image stands
	source int
	i, j   int

	// The bundles whose light this one goes on with behind the last wall, by axis; none when from = to.
	fromX, fromY span

	rects []rect // per layer 0..nz−1 and then layer −1 below the bottom glass: the columns that its light can reach
	first []int  // where the layer's cells begin
	cells []cell
	feeds [4]bool      // other bundles go on with what meets the wall
	loss  [4][]float32 // what goes out through a wall, unweakened, µmol/s, per layer and place along the wall; nil when there is none
}

// The walls of a box.
const (
	left = iota
	right
	front
	back
)

type span struct{ from, to int }

type rect struct{ x0, x1, y0, y1 int }

func (r rect) empty() bool { return r.x0 >= r.x1 || r.y0 >= r.y1 }

// cell is a bundle's light in one voxel.
type cell struct {
	light  float32 // planar irradiance without absorption, µmol m⁻² s⁻¹
	slopeX float32 // sideways way for each metre down
	slopeY float32
	slant  float32 // length of path for each metre down
}

func (b *bundle) order() int { return abs(b.i) + abs(b.j) }

func abs(i int) int {
	if i < 0 {
		return -i
	}
	return i
}

// at returns the cell of a layer and column; nil where the bundle has none.
func (b *bundle) at(k, ix, iy int) *cell {
	r := &b.rects[k]
	if ix < r.x0 || ix >= r.x1 || iy < r.y0 || iy >= r.y1 {
		return nil
	}
	return &b.cells[b.first[k]+(iy-r.y0)*(r.x1-r.x0)+ix-r.x0]
}

// bundlesOf lists the bundles of a lamp: its parts, at most n, and then its images in the order of the walls met. base is the place of the first.
func bundlesOf(s Source, source, base, n int, g *grid, opt Options) []bundle {
	var out []bundle
	place := map[[2]int]span{}
	nx, ny := parts(s, n)
	for iy := range ny {
		for ix := range nx {
			out = append(out, newBundle(s.part(ix, iy, nx, ny), source, 0, 0, g, opt))
		}
	}
	place[[2]int{0, 0}] = span{base, base + len(out)}
	if !g.box || opt.BlackWalls {
		return out
	}
	for order := 1; order <= mostWalls; order++ {
		for i := -order; i <= order; i++ {
			for _, j := range []int{abs(i) - order, order - abs(i)} {
				if _, known := place[[2]int{i, j}]; known {
					continue
				}
				b := newBundle(s.image(i, j, g), source, i, j, g, opt)
				okX, okY := true, true
				if i != 0 {
					b.fromX, okX = place[[2]int{before(i), j}]
				}
				if j != 0 {
					b.fromY, okY = place[[2]int{i, before(j)}]
				}
				if !okX || !okY || len(b.cells) == 0 {
					continue
				}
				for _, w := range []struct {
					of   span
					i    int
					wall int
				}{{b.fromX, i, left}, {b.fromY, j, front}} {
					if w.i > 0 {
						w.wall++
					}
					for p := w.of.from; p < w.of.to; p++ {
						out[p-base].feeds[w.wall] = true
					}
				}
				place[[2]int{i, j}] = span{base + len(out), base + len(out) + 1}
				out = append(out, b)
			}
		}
	}
	return out
}

// mostWalls is the largest number of walls that light is followed over. Only in tanks that are deeper than wide does light meet more
// than two before it comes to the bed.
const mostWalls = 8

// before is the mirrored box, along one axis, from which light came before its last wall.
func before(i int) int {
	if i < 0 {
		return -1 - i
	}
	return 1 - i
}

// image is the lamp as it stands in the mirrored box.
func (s Source) image(i, j int, g *grid) Source {
	s.X = imageOf(s.X, i, g.tank.LX)
	s.Y = imageOf(s.Y, j, g.tank.LY)
	return s
}

func imageOf(x float64, i int, length float64) float64 {
	if i%2 == 0 {
		return x + float64(i)*length
	}
	return float64(i+1)*length - x
}

func newBundle(s Source, source, i, j int, g *grid, opt Options) bundle {
	b := bundle{Source: s, source: source, i: i, j: j, rects: make([]rect, g.nz+1), first: make([]int, g.nz+1)}
	n := 0
	for k := range g.nz + 1 {
		z := g.depth[k] + g.cell/2
		x0, x1 := reach(s.X, s.SizeX, s.Height, z, i, g.tank.LX, g.cell, g.ex, g.nx, opt.Index)
		y0, y1 := reach(s.Y, s.SizeY, s.Height, z, j, g.tank.LY, g.cell, g.ey, g.ny, opt.Index)
		b.rects[k], b.first[k] = rect{x0, x1, y0, y1}, n
		if b.rects[k].empty() {
			b.rects[k] = rect{}
			continue
		}
		n += (x1 - x0) * (y1 - y0)
	}
	if n > 0 {
		b.cells = make([]cell, n)
	}
	return b
}

// reach is the range of columns, along one axis, that light from the lamp's image in the mirrored box i gets to at depth z: from the
// wall to where the flattest ray comes that passes the near end of the box's surface.
func reach(at, size, height, z float64, i int, length, cell float64, end, n int, index float64) (from, to int) {
	if i == 0 {
		return 0, n
	}
	far := at - size/2
	gap := float64(i+1)*length - far
	start := float64(i+1) * length
	if i > 0 {
		gap = at + size/2 - float64(i)*length
		start = (1 - float64(i)) * length
	}
	if gap <= 0 {
		return 0, 0
	}
	way := start + z*gap/math.Sqrt(index*index*(gap*gap+height*height)-gap*gap)
	if way <= 0 {
		return 0, 0
	}
	if i < 0 {
		return 0, min(int(way/cell)+2, end)
	}
	return max(int((length-way)/cell)-1, 0), end
}

// samples is the number of intervals of a beam table.
const samples = 1024

// beam holds irradiance and slope around a lamp at one depth, over u = d²/(d²+r²), where d is the effective distance on the
// axis. In u both are smooth and stay on a finite interval however far r reaches.
type beam struct {
	d2    float64
	table [samples + 2]pair
}

type pair struct {
	irradiance float64 // µmol m⁻² s⁻¹ for unit flux; after Fresnel, or before it at the surface
	other      float64 // slope over r (1/m); at the surface the reflected part of irradiance
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
			b.table[j] = pair{e, e * reflected}
		case r == 0:
			b.table[j] = pair{e * (1 - reflected), 1 / (n * d)}
		default:
			b.table[j] = pair{e * (1 - reflected), p.tanWater() / r}
		}
	}
	b.table[0] = pair{0, b.table[1].other}
	b.table[samples+1] = b.table[samples]
}

// read returns both values at distance r, given r².
func (b *beam) read(r2 float64) (irradiance, other float64) {
	u := b.d2 / (b.d2 + r2) * samples
	j := int(u)
	f := u - float64(j)
	p, q := &b.table[j], &b.table[j+1]
	return p.irradiance + (q.irradiance-p.irradiance)*f, p.other + (q.other-p.other)*f
}

// window is the piece of one axis through which an image's light enters the water: the surface of its mirrored box.
type window struct {
	lo, hi float64
	open   bool // no ends
}

func (g *grid) window(i int, length float64) window {
	return window{lo: float64(i) * length, hi: float64(i+1) * length, open: !g.box}
}

// share of a cell's light from a tile that comes through the window, when the light from middle to middle crosses the surface at x and all of it spreads
// over width.
func (w window) share(x, width float64) float64 {
	if w.open {
		return 1
	}
	width = max(width, 1e-9)
	return max(min((w.hi-x)/width+0.5, 1), 0) + max(min((x-w.lo)/width+0.5, 1), 0) - 1
}

// leaning gives the way of light through voxels just beside the lit part, whose own light is nought: that which it would have.
const leaning = 1e-6

// tabulate fills the bundle's unweakened light. Tiles grow with depth, so that they stay small against their distance.
func (b *bundle) tabulate(g *grid, opt Options) {
	if len(b.cells) == 0 {
		return
	}
	walls := newWallTable(opt)
	wx, wy := g.window(b.i, g.tank.LX), g.window(b.j, g.tank.LY)
	var table beam
	most := g.nx * g.ny
	light, weight := make([]float64, most), make([]float64, most)
	sumX, sumY := make([]float64, most), make([]float64, most)
	for k := range g.nz + 1 {
		r := b.rects[k]
		if r.empty() {
			continue
		}
		n := (r.x1 - r.x0) * (r.y1 - r.y0)
		clear(light[:n])
		clear(weight[:n])
		clear(sumX[:n])
		clear(sumY[:n])
		z := g.depth[k]
		table.fill(&b.Source, z, opt.Index)
		edge := max(opt.TileShare*(b.Height+z/opt.Index), minTile)
		tileX, tileY := b.SizeX/float64(pieces(b.SizeX, edge)), b.SizeY/float64(pieces(b.SizeY, edge))
		for _, tile := range b.Tiles(edge) {
			flux := b.Flux * tile.Share
			at := 0
			for iy := r.y0; iy < r.y1; iy++ {
				dy := (float64(iy)+0.5)*g.cell - tile.Y
				dy2 := dy * dy
				for ix := r.x0; ix < r.x1; ix++ {
					dx := (float64(ix)+0.5)*g.cell - tile.X
					e, slope := table.read(dx*dx + dy2)
					e *= flux
					back := 1 - z*slope // place of the crossing between the lamp's foot and here
					part := wx.share(tile.X+dx*back, math.Hypot(back*g.cell, (1-back)*tileX)) * wy.share(tile.Y+dy*back, math.Hypot(back*g.cell, (1-back)*tileY))
					if part > 0 && b.i|b.j != 0 {
						part *= b.returned(walls, slope*dx, slope*dy)
					}
					lit := e * part
					w := lit + e*leaning
					light[at] += lit
					weight[at] += w
					sumX[at] += w * slope * dx
					sumY[at] += w * slope * dy
					at++
				}
			}
			if k < g.nz && g.box {
				b.addLoss(&table, walls, tile, flux, k, g)
			}
		}
		cells := b.cells[b.first[k] : b.first[k]+n]
		for i := range cells {
			cells[i].slant = 1
			if weight[i] > 0 {
				sx, sy := sumX[i]/weight[i], sumY[i]/weight[i]
				cells[i].slopeX, cells[i].slopeY = float32(sx), float32(sy)
				cells[i].slant = float32(math.Sqrt(1 + sx*sx + sy*sy))
			}
		}
		cellMean(light[:n], r.x1-r.x0, func(i int, mean float64) { cells[i].light = float32(mean) })
	}
}

// returned is the share of light that the walls it has met have sent back, for light of the given slopes.
func (b *bundle) returned(walls *wallTable, sx, sy float64) float64 {
	slant2 := 1 + sx*sx + sy*sy
	r := 1.0
	if b.i != 0 {
		r = power(walls.at(sx*sx/slant2), abs(b.i))
	}
	if b.j != 0 {
		r *= power(walls.at(sy*sy/slant2), abs(b.j))
	}
	return r
}

func power(x float64, n int) float64 {
	p := x
	for ; n > 1; n-- {
		p *= x
	}
	return p
}

// addLoss adds what a tile's light loses through the walls of layer k.
func (b *bundle) addLoss(table *beam, walls *wallTable, tile Tile, flux float64, k int, g *grid) {
	z := g.depth[k]
	wx, wy := g.window(b.i, g.tank.LX), g.window(b.j, g.tank.LY)
	for wall := range 4 {
		alongX := wall >= front
		n, widths := g.ny, g.wy
		if alongX {
			n, widths = g.nx, g.wx
		}
		var d float64 // from the tile to the wall
		switch wall {
		case left:
			d = -tile.X
		case right:
			d = g.tank.LX - tile.X
		case front:
			d = -tile.Y
		case back:
			d = g.tank.LY - tile.Y
		}
		if (wall == left || wall == front) == (d >= 0) {
			continue // the light comes from there
		}
		for p := range n {
			if widths[p] == 0 {
				continue
			}
			along := (float64(p)+0.5)*g.cell - tile.Y
			if alongX {
				along = (float64(p)+0.5)*g.cell - tile.X
			}
			e, slope := table.read(d*d + along*along)
			dx, dy := d, along
			if alongX {
				dx, dy = along, d
			}
			slant2 := 1 + slope*slope*(dx*dx+dy*dy)
			gone := 1 - walls.at(slope*slope*d*d/slant2)
			if gone <= 0 {
				continue
			}
			back := 1 - z*slope
			gone *= wx.share(tile.X+dx*back, back*g.cell) * wy.share(tile.Y+dy*back, back*g.cell)
			if gone <= 0 {
				continue
			}
			if b.i|b.j != 0 {
				gone *= b.returned(walls, slope*dx, slope*dy)
			}
			if b.loss[wall] == nil {
				b.loss[wall] = make([]float32, g.nz*n)
			}
			b.loss[wall][k*n+p] += float32(flux * e * math.Abs(slope*d) * gone * widths[p] * g.thick[k])
		}
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

// surfaceLight is a lamp's light on the water and what the surface throws back, per column, µmol m⁻² s⁻¹.
type surfaceLight struct{ irradiance, reflected []float64 }

func (s Source) onSurface(g *grid, opt Options) surfaceLight {
	var b beam
	b.fill(&s, 0, opt.Index)
	w := g.nx + 2
	sum := make([]float64, w*(g.ny+2))
	back := make([]float64, w*(g.ny+2))
	for _, tile := range s.Tiles(max(opt.TileShare*s.Height, minTile)) {
		flux := s.Flux * tile.Share
		for iy := range g.ny + 2 {
			dy := (float64(iy)-0.5)*g.cell - tile.Y
			for ix := range w {
				dx := (float64(ix)-0.5)*g.cell - tile.X
				light, reflected := b.read(dx*dx + dy*dy)
				sum[iy*w+ix] += flux * light
				back[iy*w+ix] += flux * reflected
			}
		}
	}
	out := surfaceLight{make([]float64, g.nx*g.ny), make([]float64, g.nx*g.ny)}
	inner := func(to []float64) func(int, float64) {
		return func(i int, mean float64) {
			if x, y := i%w-1, i/w-1; x >= 0 && x < g.nx && y >= 0 && y < g.ny {
				to[y*g.nx+x] = mean
			}
		}
	}
	cellMean(sum, w, inner(out.irradiance))
	cellMean(back, w, inner(out.reflected))
	return out
}
