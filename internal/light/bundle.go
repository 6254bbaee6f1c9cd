package light

import (
	"littoral/internal/crew"
	"math"
	"sort"
)

// bundle is unweakened light on its way from the surface to the bed: that of a lamp or of a part of a large lamp (order 0), or that of all lamps after
// it has met walls. Behind the wall of a box stands the mirrored tank: light that has met walls comes straight from the lamps' images
// in the mirrored box (i, j), through that box's surface. i = −1 is the box behind the left wall, i = 1 behind the right one; j likewise
// behind the front and the back. In other tanks one bundle, followed ray by ray, holds all that has met walls.
type bundle struct {
	lamps  []Source // moved to where their images stand
	source int      // −1 when it is more than one lamp's
	i, j   int
	traced bool // followed ray by ray

	// The bundles whose light this one goes on with behind the last wall, by axis (traced: all round); none when from = to.
	fromX, fromY span

	rects []rect // per layer 0..nz−1: the columns that its light can reach
	first []int  // where the layer's cells begin
	cells []cell
	keeps bool         // other bundles go on with what is left at the walls
	rim   []float32    // if so: its light at the rim, by layer; −1 where it has none
	faces [][]float32  // per layer and face of the grid: what goes through it unweakened, µmol/s
	bed   [][]float32  // per layer and face: irradiance on the bed, unweakened; only in layers that have bed
	loss  [][]wallLoss // per layer
	ways  []way        // mean direction by coarse cell, when particles scatter
}

// wallLoss is what goes out through the walls in one layer beside a column, unweakened, µmol/s.
type wallLoss struct {
	column int32 // padded; of a traced bundle the place in grid.rim
	lost   float32
}

// The walls of a box.
const (
	left = iota
	right
	front
	back
	walls
)

type span struct{ from, to int }

type rect struct{ x0, x1, y0, y1 int }

func (r rect) empty() bool { return r.x0 >= r.x1 || r.y0 >= r.y1 }

func (r rect) union(o rect) rect {
	switch {
	case r.empty():
		return o
	case o.empty():
		return r
	}
	return rect{min(r.x0, o.x0), max(r.x1, o.x1), min(r.y0, o.y0), max(r.y1, o.y1)}
}

// cell is a bundle's light in one voxel.
type cell struct {
	light float32 // planar irradiance without absorption, µmol m⁻² s⁻¹
	path  float32 // way of the light through the voxel, m
	// The point of the layer above that it comes through: from which of the padded columns, counted from the one straight above, and how
	// far to the next.
	up     int32
	fx, fy float32
}

func (b *bundle) order() int {
	if b.traced {
		return 1
	}
	return abs(b.i) + abs(b.j)
}

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

// bundlesOf lists the bundles of the lamps: first their parts, at most n for each lamp, then their images in the order of the walls
// met. What has met walls is taken together for all lamps, unless each source's own field is asked for: the glass spreads it.
func bundlesOf(src []Source, n int, g *grid, opt Options) []bundle {
	var out []bundle
	var groups [][]int // lamps that share images
	var direct []span
	for i, s := range src {
		nx, ny := parts(s, n)
		from := len(out)
		for iy := range ny {
			for ix := range nx {
				out = append(out, bundle{lamps: []Source{s.part(ix, iy, nx, ny)}, source: i})
			}
		}
		direct = append(direct, span{from, len(out)})
		if opt.BySource || i == 0 {
			groups = append(groups, nil)
		}
		groups[len(groups)-1] = append(groups[len(groups)-1], i)
	}
	if len(src) > mostAlone && !opt.BySource {
		out = together(src)
		for i := range direct {
			direct[i] = span{0, len(out)}
		}
	}
	if opt.BlackWalls && g.box {
		return out
	}
	for _, group := range groups {
		place := map[[2]int]span{{0, 0}: {direct[group[0]].from, direct[group[len(group)-1]].to}}
		source := group[0]
		if len(group) > 1 {
			source = -1
		}
		if !g.box {
			b := bundle{source: source, traced: true, fromX: place[[2]int{0, 0}]}
			for _, i := range group {
				b.lamps = append(b.lamps, src[i])
			}
			out = append(out, b)
			continue
		}
		for order := 1; order <= mostWalls; order++ {
			for i := -order; i <= order; i++ {
				for _, j := range []int{abs(i) - order, order - abs(i)} {
					if _, known := place[[2]int{i, j}]; known {
						continue
					}
					b := bundle{source: source, i: i, j: j}
					for _, l := range group {
						b.lamps = append(b.lamps, src[l].image(i, j, g))
					}
					okX, okY := true, true
					if i != 0 {
						b.fromX, okX = place[[2]int{before(i), j}]
					}
					if j != 0 {
						b.fromY, okY = place[[2]int{i, before(j)}]
					}
					if !okX || !okY || b.reach(0, g, opt).empty() {
						continue
					}
					place[[2]int{i, j}] = span{len(out), len(out) + 1}
					out = append(out, b)
				}
			}
		}
	}
	for i := range out {
		for _, of := range []span{out[i].fromX, out[i].fromY} {
			for p := of.from; p < of.to; p++ {
				out[p].keeps = true
			}
		}
	}
	return out
}

// mostAlone is how many lamps have bundles of their own; more are put together by place, so that tables stay small over very large tanks.
const mostAlone = 24

// together puts neighbouring lamps into mostAlone bundles.
func together(src []Source) []bundle {
	order := make([]int, len(src))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool {
		p, q := src[order[a]], src[order[b]]
		return p.X < q.X || p.X == q.X && p.Y < q.Y
	})
	out := make([]bundle, mostAlone)
	for n, i := range order {
		b := &out[n*mostAlone/len(order)]
		b.source = -1
		b.lamps = append(b.lamps, src[i])
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
	s.flipX, s.flipY = i%2 != 0, j%2 != 0
	s.gates = mirrored(s.gates, i, j, g)
	return s
}

func imageOf(x float64, i int, length float64) float64 {
	if i%2 == 0 {
		return x + float64(i)*length
	}
	return float64(i+1)*length - x
}

// reach is the columns that the bundle's light may get to in layer k.
func (b *bundle) reach(k int, g *grid, opt Options) rect {
	z := g.depth[k] + g.cell/2
	var all rect
	for _, s := range b.lamps {
		x0, x1 := reach(s.X, s.SizeX, s.Height, z, b.i, g.tank.LX, g.cell, g.ex, g.nx, opt.Index)
		y0, y1 := reach(s.Y, s.SizeY, s.Height, z, b.j, g.tank.LY, g.cell, g.ey, g.ny, opt.Index)
		if r := (rect{x0, x1, y0, y1}); !r.empty() {
			all = all.union(r)
		}
	}
	if opt.Ripples > 0 && !all.empty() {
		all = b.wider(all, int(math.Round(stray(z, opt)/g.cell)), g)
	}
	return all
}

// wider moves the edges that face away from the last walls by so many columns.
func (b *bundle) wider(r rect, by int, g *grid) rect {
	switch {
	case b.i < 0:
		r.x1 = min(r.x1+by, g.ex)
	case b.i > 0:
		r.x0 = max(r.x0-by, 0)
	}
	switch {
	case b.j < 0:
		r.y1 = min(r.y1+by, g.ey)
	case b.j > 0:
		r.y0 = max(r.y0-by, 0)
	}
	return r
}

// reach is the range of columns, along one axis, that light from the lamp's image in the mirrored box i gets to at depth z: from the
// wall to where the flattest ray comes that passes the near end of the box's surface.
func reach(at, size, height, z float64, i int, length, cell float64, end, n int, index float64) (from, to int) {
	if i == 0 {
		return 0, n
	}
	gap, start := float64(i+1)*length-(at-size/2), float64(i+1)*length
	if i > 0 {
		gap, start = at+size/2-float64(i)*length, (1-float64(i))*length
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
const samples = 256

// beam holds irradiance and slope around a lamp at one depth, over u = d²/(d²+r²), where d is the effective distance on the
// axis. In u both are smooth and stay on a finite interval however far r reaches.
type beam struct {
	d2    float64
	table [samples + 2]reading
}

// surface is the water's, seen from above.
type surface struct{ index, ripples float64 }

// flat is a still tank's surface.
var flat = surface{index: IndexWater}

func (o Options) surface() surface { return surface{o.Index, o.Ripples} }

func (s surface) reflects(p path) float64 {
	if s.ripples > 0 {
		return RippledFresnel(math.Acos(min(p.cosAir, 1)), IndexAir, s.index, s.ripples)
	}
	return fresnelCos(p.cosAir, p.cosWater, IndexAir, s.index)
}

type reading struct {
	irradiance float64 // µmol m⁻² s⁻¹ for unit flux; after Fresnel, or before it at the surface
	other      float64 // slope over r (1/m); at the surface the reflected part of irradiance
	slant      float64 // length of path for each metre down
}

func (b *beam) fill(s *Source, z float64, over surface) {
	n := over.index
	d := s.Height + z/n
	b.d2 = d * d
	axial, exponent := AxialIntensity(1, s.N), s.N
	if s.Lobe != nil {
		axial, exponent = 1, 0 // the lobe is laid on where the direction is known
	}
	for j := 1; j <= samples; j++ {
		u := float64(j) / samples
		r := d * math.Sqrt(max(1/u-1, 0))
		p := pathTo(s.Height, z, r, n)
		e := axial * math.Pow(p.cosAir, exponent) * p.spread(s.Height, z, n)
		reflected := over.reflects(p)
		switch {
		case z == 0:
			b.table[j] = reading{e, e * reflected, 1 / p.cosWater}
		case r == 0:
			b.table[j] = reading{e * (1 - reflected), 1 / (n * d), 1}
		default:
			b.table[j] = reading{e * (1 - reflected), p.tanWater() / r, 1 / p.cosWater}
		}
	}
	b.table[0] = reading{0, b.table[1].other, b.table[1].slant}
	b.table[samples+1] = b.table[samples]
}

// read returns the values at distance r, given r².
func (b *beam) read(r2 float64) (irradiance, other, slant float64) {
	u := b.d2 / (b.d2 + r2) * samples
	j := int(u)
	f := u - float64(j)
	p, q := &b.table[j], &b.table[j+1]
	return p.irradiance + (q.irradiance-p.irradiance)*f, p.other + (q.other-p.other)*f, p.slant + (q.slant-p.slant)*f
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
// over a width, given its square.
func (w window) share(x, width2 float64) float64 {
	if w.open {
		return 1
	}
	if x >= w.lo && x <= w.hi {
		near := min(x-w.lo, w.hi-x)
		if near*near*4 >= width2 {
			return 1
		}
	} else if out := max(w.lo-x, x-w.hi); out*out*4 >= width2 {
		return 0
	}
	width := math.Sqrt(width2)
	return max(min((w.hi-x)/width+0.5, 1), 0) + max(min((x-w.lo)/width+0.5, 1), 0) - 1
}

// leaning gives the way of light through voxels just beside the lit part, whose own light is nought: that which it would have.
const leaning = 1e-6

// layer is the unweakened light of one layer while it is tabulated, over the grid's columns.
type layer struct {
	light      []float64 // planar irradiance, µmol m⁻² s⁻¹
	sumX, sumY []float64 // of slopes, weighted
	slant      []float64 // of path for each metre down, weighted
	weight     []float64
	middle     []float64 // light at the columns' middles
}

// negligible is light that is left out, as a share of all lamps' mean light over the tank's area.
const negligible = 3e-4

// tabulate fills the bundle's unweakened light.
func (b *bundle) tabulate(g *grid, beams *beams, d *diffuse, emission float64, opt Options) {
	n := g.nx * g.ny
	now, below := newLayer(n), newLayer(n)
	b.rects, b.first = make([]rect, g.nz), make([]int, g.nz)
	b.loss = make([][]wallLoss, g.nz)
	b.faces, b.bed = make([][]float32, g.nz), make([][]float32, g.nz)
	reflects := newWallTable(opt)
	var tracks *tracks
	if b.traced {
		tracks = b.trace(g, reflects, opt)
	}
	fill := func(l *layer, k int) {
		if b.traced {
			tracks.fill(l, k)
			if opt.Ripples > 0 {
				l.blur(g.depth[k], g, opt)
			}
			return
		}
		b.fill(l, k, g, beams, reflects, opt)
	}
	var ways *wayMaker
	if d != nil && d.scattering > 0 {
		ways = newWayMaker(d)
	}
	faint := negligible * emission / (g.tank.LX * g.tank.LY)
	lit := false
	fill(now, g.nz-1)
	for k := g.nz - 1; k >= 0; k-- {
		next := k - 1
		if k == 0 {
			next = g.nz
		}
		fill(below, next)
		full := b.span(k, g, opt)
		r := b.trim(now, full, faint, g)
		if k+1 < g.nz {
			r = r.union(b.rects[k+1])
		}
		b.rects[k], b.first[k] = r, len(b.cells)
		for iy := r.y0; iy < r.y1; iy++ {
			for ix := r.x0; ix < r.x1; ix++ {
				c := iy*g.nx + ix
				sx, sy, slant := now.slopes(c)
				px, py := float64(pad)-sx*g.pitch[k], float64(pad)-sy*g.pitch[k]
				jx, jy := int(px), int(py)
				b.cells = append(b.cells, cell{
					light: float32(now.light[c]),
					path:  float32(g.thick[k] * slant),
					up:    int32((jy-pad)*g.w + jx - pad),
					fx:    float32(px - float64(jx)), fy: float32(py - float64(jy)),
				})
				lit = lit || now.light[c] > faint
				if ways != nil {
					ways.add(ix, iy, k, now.weight[c], sx, sy)
				}
			}
		}
		b.throughFaces(k, now, below, r, g)
		if b.traced {
			b.loss[k] = tracks.loss(k)
		} else if g.box {
			b.throughWalls(k, g, beams, reflects, opt)
		}
		now, below = below, now
	}
	if ways != nil {
		b.ways = ways.done()
	}
	if b.keeps {
		b.rim = make([]float32, g.nz*len(g.rim))
		for k := range g.nz {
			for p, at := range g.rim {
				b.rim[k*len(g.rim)+p] = -1
				if c := b.at(k, int(at)%g.w-pad, int(at)/g.w-pad); c != nil {
					b.rim[k*len(g.rim)+p] = c.light
				}
			}
		}
	}
	if b.order() > 0 && !b.traced && !lit {
		b.cells, b.keeps = nil, false
	}
}

func newLayer(n int) *layer {
	return &layer{
		light: make([]float64, n), sumX: make([]float64, n), sumY: make([]float64, n), weight: make([]float64, n),
		slant: make([]float64, n), middle: make([]float64, n),
	}
}

func (l *layer) clear() {
	clear(l.light)
	clear(l.sumX)
	clear(l.sumY)
	clear(l.weight)
	clear(l.slant)
}

// slopes are the mean ways sideways for each metre down.
func (l *layer) slopes(c int) (sx, sy, slant float64) {
	if l.weight[c] > 0 {
		return l.sumX[c] / l.weight[c], l.sumY[c] / l.weight[c], l.slant[c] / l.weight[c]
	}
	return 0, 0, 1
}

// span is the columns in which layer k is tabulated.
func (b *bundle) span(k int, g *grid, opt Options) rect {
	if b.traced {
		return rect{0, g.nx, 0, g.ny}
	}
	return b.reach(k, g, opt)
}

// trim cuts off, on the side away from the last wall, the columns whose light is under faint everywhere.
func (b *bundle) trim(l *layer, r rect, faint float64, g *grid) rect {
	dark := func(part rect) bool {
		for iy := part.y0; iy < part.y1; iy++ {
			for ix := part.x0; ix < part.x1; ix++ {
				if l.light[iy*g.nx+ix] > faint {
					return false
				}
			}
		}
		return true
	}
	for b.i < 0 && r.x0 < r.x1 && dark(rect{r.x1 - 1, r.x1, r.y0, r.y1}) {
		r.x1--
	}
	for b.i > 0 && r.x0 < r.x1 && dark(rect{r.x0, r.x0 + 1, r.y0, r.y1}) {
		r.x0++
	}
	for b.j < 0 && r.y0 < r.y1 && dark(rect{r.x0, r.x1, r.y1 - 1, r.y1}) {
		r.y1--
	}
	for b.j > 0 && r.y0 < r.y1 && dark(rect{r.x0, r.x1, r.y0, r.y0 + 1}) {
		r.y0++
	}
	if r.empty() {
		return rect{}
	}
	return r
}

// fill works out the light of one layer. Tiles grow with depth, so that they stay small against their distance.
func (b *bundle) fill(l *layer, k int, g *grid, beams *beams, reflects *wallTable, opt Options) {
	l.clear()
	r := b.reach(k, g, opt)
	if r.empty() {
		return
	}
	z := g.depth[k]
	wx, wy := g.window(b.i, g.tank.LX), g.window(b.j, g.tank.LY)
	for s := range b.lamps {
		lamp := &b.lamps[s]
		table := beams.of(lamp, k)
		edge := max(opt.TileShare*(lamp.Height+z/opt.Index), minTile)
		tileX, tileY := lamp.SizeX/float64(pieces(lamp.SizeX, edge)), lamp.SizeY/float64(pieces(lamp.SizeY, edge))
		whole := b.i|b.j == 0 && (!g.box || lamp.within(g))
		gated := lamp.gated()
		for _, tile := range lamp.Tiles(edge) {
			flux := lamp.Flux * tile.Share
			for iy := r.y0; iy < r.y1; iy++ {
				dy := (float64(iy)+0.5)*g.cell - tile.Y
				dy2 := dy * dy
				row := iy * g.nx
				for ix := r.x0; ix < r.x1; ix++ {
					dx := (float64(ix)+0.5)*g.cell - tile.X
					e, slope, slant := table.read(dx*dx + dy2)
					e *= flux
					if lamp.Lobe != nil {
						e *= lamp.toward(opt.Index*slope*dx/slant, opt.Index*slope*dy/slant)
					}
					weight := e
					if gated {
						back := 1 - z*slope
						e *= lamp.passes(tile.X+tile.inX, tile.Y+tile.inY, tile.X+dx*back+tile.inX*(1-back), tile.Y+dy*back+tile.inY*(1-back), tileX, tileY, back*g.cell, 1-back)
						weight = e + leaning*weight
					}
					if !whole {
						back := 1 - z*slope // place of the crossing between the lamp's foot and here
						wide2, tile2 := back*back*g.cell*g.cell, (1-back)*(1-back)
						part := wx.share(tile.X+dx*back+tile.inX*(1-back), wide2+tile2*tileX*tileX)
						if part > 0 {
							part *= wy.share(tile.Y+dy*back+tile.inY*(1-back), wide2+tile2*tileY*tileY)
						}
						if part > 0 && b.i|b.j != 0 {
							part *= b.returned(reflects, slope*dx, slope*dy)
						}
						weight *= part + leaning
						e *= part
					}
					at := row + ix
					l.light[at] += e
					l.weight[at] += weight
					l.sumX[at] += weight * slope * dx
					l.sumY[at] += weight * slope * dy
					l.slant[at] += weight * slant
				}
			}
		}
	}
	if opt.Ripples > 0 {
		l.blur(z, g, opt)
	}
	if b.gated() {
		return // an edge above the water has been laid on by the column already, and has no curvature to go by
	}
	copy(l.middle, l.light)
	cellMean(l.middle, g.nx, r, l.light)
}

// gated says that something above the water may cut the light of one of its lamps.
func (b *bundle) gated() bool {
	for i := range b.lamps {
		if b.lamps[i].gated() {
			return true
		}
	}
	return false
}

// within says that the whole lamp hangs over the box, so that all its light that is in the water came in through the surface.
func (s Source) within(g *grid) bool {
	return s.X-s.SizeX/2 >= 0 && s.X+s.SizeX/2 <= g.tank.LX && s.Y-s.SizeY/2 >= 0 && s.Y+s.SizeY/2 <= g.tank.LY
}

// returned is the share of light that the walls it has met have sent back, for light of the given slopes.
func (b *bundle) returned(reflects *wallTable, sx, sy float64) float64 {
	slant2 := 1 + sx*sx + sy*sy
	r := 1.0
	if b.i != 0 {
		r = power(reflects.at(sx*sx/slant2), abs(b.i))
	}
	if b.j != 0 {
		r *= power(reflects.at(sy*sy/slant2), abs(b.j))
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

// throughFaces works out what goes out of the water unweakened through the faces of layer k. Where a slope is drawn in steps the
// sweep lets light come out of the steps that turn away from the lamp, as it would have passed over the smooth slope; such light counts back
// (negative), so that the slope takes the tops' light plus that of the steps that face the lamp less that of those that do
// not, which is what the smooth slope takes. Nothing comes out of cliffs and stones.
func (b *bundle) throughFaces(k int, now, below *layer, r rect, g *grid) {
	faces := g.faces[k]
	if len(faces) == 0 || r.empty() {
		return
	}
	out := make([]float32, len(faces))
	var bed []float32
	for i := range faces {
		f := &faces[i]
		ix, iy := int(f.ix), int(f.iy)
		if ix < r.x0 || ix >= r.x1 || iy < r.y0 || iy >= r.y1 {
			continue
		}
		c := iy*g.nx + ix
		if f.dx|f.dy == 0 {
			onto := between(now.light[c], below.light[c])
			out[i] = float32(onto * float64(f.area))
			if f.column >= 0 {
				if bed == nil {
					bed = make([]float32, len(faces))
				}
				bed[i] = float32(onto)
			}
			continue
		}
		along := func(c int) float64 {
			sx, sy, _ := now.slopes(c)
			return now.light[c] * (sx*float64(f.dx) + sy*float64(f.dy))
		}
		through := along(c)
		if jx, jy := ix+int(f.dx), iy+int(f.dy); jx >= 0 && jy >= 0 && jx < g.nx && jy < g.ny {
			through = (through + along(jy*g.nx+jx)) / 2
		}
		if through < 0 && !f.step {
			continue
		}
		out[i] = float32(through * float64(f.area))
	}
	b.faces[k], b.bed[k] = out, bed
}

// between is light midway between two layers. It falls about as 1/distance², for which the geometric mean is far closer than
// the arithmetic one; but not where the edge of the lit part lies between.
func between(a, b float64) float64 {
	if a > 2*b || b > 2*a {
		return (a + b) / 2
	}
	return math.Sqrt(a * b)
}

// throughWalls works out what the light loses through the walls of layer k.
func (b *bundle) throughWalls(k int, g *grid, beams *beams, reflects *wallTable, opt Options) {
	z := g.depth[k]
	wx, wy := g.window(b.i, g.tank.LX), g.window(b.j, g.tank.LY)
	for wall := range walls {
		alongX := wall >= front
		n, widths := g.ny, g.wy
		if alongX {
			n, widths = g.nx, g.wx
		}
		sum := make([]float64, n)
		for s := range b.lamps {
			lamp := &b.lamps[s]
			table := beams.of(lamp, k)
			for _, tile := range lamp.Tiles(max(opt.TileShare*(lamp.Height+z/opt.Index), minTile)) {
				d := [...]float64{-tile.X, g.tank.LX - tile.X, -tile.Y, g.tank.LY - tile.Y}[wall]
				if (wall == left || wall == front) == (d >= 0) {
					continue // the light comes from there
				}
				for p := range n {
					dx, dy := d, (float64(p)+0.5)*g.cell-tile.Y
					if alongX {
						dx, dy = (float64(p)+0.5)*g.cell-tile.X, d
					}
					e, slope, slant := table.read(dx*dx + dy*dy)
					gone := 1 - reflects.at(slope*slope*d*d/(slant*slant))
					if gone <= 0 {
						continue
					}
					back := 1 - z*slope
					wide2 := back * back * g.cell * g.cell
					gone *= wx.share(tile.X+dx*back+tile.inX*(1-back), wide2) * wy.share(tile.Y+dy*back+tile.inY*(1-back), wide2)
					if gone <= 0 {
						continue
					}
					if b.i|b.j != 0 {
						gone *= b.returned(reflects, slope*dx, slope*dy)
					}
					if lamp.gated() {
						gone *= lamp.passes(tile.X+tile.inX, tile.Y+tile.inY, tile.X+dx*back+tile.inX*(1-back), tile.Y+dy*back+tile.inY*(1-back), 0, 0, back*g.cell, 1-back)
					}
					if lamp.Lobe != nil {
						gone *= lamp.toward(opt.Index*slope*dx/slant, opt.Index*slope*dy/slant)
					}
					sum[p] += lamp.Flux * tile.Share * e * math.Abs(slope*d) * gone * widths[p] * g.thick[k]
				}
			}
		}
		at, step := (pad*g.w)+pad, g.w
		switch wall {
		case right:
			at += g.ex - 1
		case front:
			step = 1
		case back:
			at, step = at+(g.ey-1)*g.w, 1
		}
		for p, lost := range sum {
			if lost > 0 {
				b.loss[k] = append(b.loss[k], wallLoss{int32(at + p*step), float32(lost)})
			}
		}
	}
}

// cellMean turns values at the columns' middles inside r into means over the columns: for a smooth field the mean exceeds the middle by
// cell²/24 times the Laplacian. The outermost rim keeps its middles.
func cellMean(mid []float64, w int, r rect, out []float64) {
	for iy := r.y0 + 1; iy < r.y1-1; iy++ {
		for i := iy*w + r.x0 + 1; i < iy*w+r.x1-1; i++ {
			m := mid[i]
			out[i] = max(m+(mid[i-1]+mid[i+1]+mid[i-w]+mid[i+w]-4*m)/24, 0)
		}
	}
}

// beams keeps the beam tables of the lamps by height and exponent, for each layer: lamps of one kind share theirs.
type beams struct {
	kinds  []Source // of each kind, its height, exponent and lobe
	tables [][]beam // per kind and layer
}

func newBeams(src []Source, g *grid, opt Options) *beams {
	t := &beams{}
	for i := range src {
		if t.kind(&src[i]) < 0 {
			t.kinds = append(t.kinds, src[i])
			t.tables = append(t.tables, make([]beam, g.nz+1))
		}
	}
	crew.Do(opt.Workers, len(t.kinds)*(g.nz+1), func(i int) {
		kind, k := i/(g.nz+1), i%(g.nz+1)
		t.tables[kind][k].fill(&t.kinds[kind], g.depth[k], opt.surface())
	})
	return t
}

// kind finds a lamp's table. All lobes share one by height, since they are laid on later.
func (t *beams) kind(s *Source) int {
	for i := range t.kinds {
		k := &t.kinds[i]
		if k.Height == s.Height && (k.Lobe == nil) == (s.Lobe == nil) && (s.Lobe != nil || k.N == s.N) {
			return i
		}
	}
	return -1
}

func (t *beams) of(s *Source, k int) *beam { return &t.tables[t.kind(s)][k] }

// surfaceLight is a lamp's light on the water and what the surface throws back, per column, µmol m⁻² s⁻¹.
type surfaceLight struct{ irradiance, reflected []float64 }

func (s Source) onSurface(g *grid, opt Options) surfaceLight {
	var b beam
	b.fill(&s, 0, opt.surface())
	w := g.nx + 2
	sum := make([]float64, w*(g.ny+2))
	back := make([]float64, w*(g.ny+2))
	edge := max(opt.TileShare*s.Height/2, minTile) // one layer only, so that finer tiles cost little
	tileX, tileY := s.SizeX/float64(pieces(s.SizeX, edge)), s.SizeY/float64(pieces(s.SizeY, edge))
	gated := s.gated()
	for _, tile := range s.Tiles(edge) {
		flux := s.Flux * tile.Share
		for iy := range g.ny + 2 {
			dy := (float64(iy)-0.5)*g.cell - tile.Y
			for ix := range w {
				dx := (float64(ix)-0.5)*g.cell - tile.X
				light, reflected, _ := b.read(dx*dx + dy*dy)
				if s.Lobe != nil {
					d := math.Sqrt(dx*dx + dy*dy + s.Height*s.Height)
					part := s.toward(dx/d, dy/d)
					light *= part
					reflected *= part
				}
				if gated {
					light, reflected = s.onEdge(&b, &tile, (float64(ix)-0.5)*g.cell, (float64(iy)-0.5)*g.cell, tileX, tileY, g.cell)
				}
				sum[iy*w+ix] += flux * light
				back[iy*w+ix] += flux * reflected
			}
		}
	}
	out := surfaceLight{make([]float64, g.nx*g.ny), make([]float64, g.nx*g.ny)}
	all := rect{0, w, 0, g.ny + 2}
	means := make([]float64, len(sum))
	for _, c := range []struct{ mid, to []float64 }{{sum, out.irradiance}, {back, out.reflected}} {
		copy(means, c.mid)
		if !gated {
			cellMean(c.mid, w, all, means)
		}
		for iy := range g.ny {
			copy(c.to[iy*g.nx:(iy+1)*g.nx], means[(iy+1)*w+1:])
		}
	}
	return out
}

// onEdge is the mean of a tile's light on a cell of the water around a place, of nine points, each with what the gates let through.
func (s *Source) onEdge(b *beam, tile *Tile, x, y, tileX, tileY, cell float64) (light, reflected float64) {
	for j := range 3 {
		py := y + cell*float64(j-1)/3
		for i := range 3 {
			px := x + cell*float64(i-1)/3
			part := s.passes(tile.X+tile.inX, tile.Y+tile.inY, px, py, tileX, tileY, cell/3, 0) / 9
			if part == 0 {
				continue
			}
			dx, dy := px-tile.X, py-tile.Y
			e, back, _ := b.read(dx*dx + dy*dy)
			if s.Lobe != nil {
				d := math.Sqrt(dx*dx + dy*dy + s.Height*s.Height)
				part *= s.toward(dx/d, dy/d)
			}
			light += part * e
			reflected += part * back
		}
	}
	return light, reflected
}
