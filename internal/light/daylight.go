package light

import (
	"littoral/internal/geometry"
	"math"
)

// Window is an opening that daylight falls through onto a tank. One without measures stands for light that was read at the tank.
type Window struct {
	ID       string
	Side     Side
	Width    float64 // m; 0 = not told
	Height   float64 // m; of a skylight its measure along y
	Distance float64 // from that side's pane; of a skylight from the water up, m
	Sill     float64 // lower edge over the bottom glass, m; not of a skylight
	X, Y     float64 // its middle; of an upright window only that along its side counts, m
	Through  float64 // share of the light that its glazing lets through, 0 to 1; of sky that was read at the tank nothing is taken

	Sun       bool    // the sun shines in
	SunHeight float64 // over the horizon, radians
	SunTurn   float64 // of its light from straight in, seen from above against the clock, radians; under a skylight from the right
	SunSweep  float64 // by how much that turns while it shines in, radians
}

// Side is where a window lies.
type Side int

// The sides.
const (
	Left Side = iota
	Right
	Front
	Back
	Above
)

// Sky is the daylight outside a window.
type Sky struct {
	Diffuse float64 // of the sky on open level ground, or as read on that side of the tank if the window has no measures, µmol m⁻² s⁻¹
	Sun     float64 // on a plane that faces the sun, µmol m⁻² s⁻¹
}

// Shine is daylight in a tank.
type Shine struct {
	Field   *Field  // Budget holds shares of Falling; Missed is 0, Reflected is what panes and surface throw back and the glass takes
	Falling float64 // on panes and water, µmol/s
	Panes   float64 // on the upright panes, mean PPFD from outside
	Around  float64 // mean over the water of the light from all sides (scalar), µmol m⁻² s⁻¹
}

// Daylight is the light of a tank's windows, made ready for any sky and canopy. It is no field of lamps: light through a pane runs flatter than the lamps'
// solver follows. It is followed along rays, one from each patch of each window to each piece of pane and water that looks to it and one for the sun:
// refracted there, weakened by water and leaves, returned by panes as lamps' light is, and given to coarse cells by the way it goes through each,
// so that every photon is counted and light changes smoothly with the canopy. What bed, stones, leaves and particles scatter of it is not followed; glass
// above the water, curtains and the room's own walls are left out. It has working space for one goroutine.
type Daylight struct {
	g          *grid
	poly       polygon
	walls      *wallTable
	nx, ny, nz int
	dx, dy, dz []float64
	ex, ey, ez []float64 // where cells begin and the last one ends, m
	toX, toY   []int32
	toZ        []int32
	of         [3][]lerp
	kind       []sink // of closed cells: toBed, toHardscape, or toWall outside the glass; of open ones toSurface
	rays       []ray
	falls      [][2]float64 // by window, for unit level of sky and sun: on the tank, µmol/s
	enters     [][2]float64 // of it into the water
	onPanes    [][2]float64 // on the upright panes
	paneArea   float64      // m²
	volume     float64      // of open cells, m³
	murk       float64      // what scattering adds to the extinction, 1/m

	kappa   []float64 // by cell, 1/m
	leaf    []float64 // of it, by leaves
	covered []float64 // by column: share under floating leaves
	light   []float64 // by cell: planar downwelling, µmol m⁻² s⁻¹
	scalar  []float64 // by cell, from all sides
	bed     []float64 // by column
	onBed   []bool    // by column: water stands on bed there
}

// ray is light that comes into the water at a place, going down.
type ray struct {
	x, y, z  float64 // m
	sx, sy   float64 // sideways for each metre down
	flux     float64 // µmol/s for unit level
	falls    float64 // before pane or surface
	window   int32
	sun, top bool
}

// glassTakes is what float glass absorbs, 1/m along the ray: about 1 % for each millimetre, 0.2 % of low-iron glass (common practice, no source).
const glassTakes = 10.0

// Edges of the pieces of pane and water that light is reckoned on, m; most patches of a window, and how long they may be over its distance.
const (
	usualPiece, finePiece     = 0.05, 0.025
	usualPatches, finePatches = 6, 48
	usualShare, fineShare     = 0.5, 0.25
	usualWays, fineWays       = 3, 8 // of the sun
	usualSun, fineSun         = 1, 2 // by so much are the pieces finer that the sun falls on
)

// NewDaylight makes ready the daylight of windows in a tank. The grid is as for NewSolver; of the options Index, Ripples, BlackWalls, Scattering, Asymmetry and
// Fine count. hood is the height of an opaque rim above the water, m.
func NewDaylight(windows []Window, v *geometry.Voxels, t geometry.Tank, hood float64, opt Options) *Daylight {
	if opt.Index == 0 {
		opt.Index = IndexWater
	}
	g := newGrid(v, t)
	d := &Daylight{g: g, poly: outline(t.Footprint), walls: newWallTable(opt)}
	edge, piece, most, share, ways, finer := usualCoarse, usualPiece, usualPatches, usualShare, usualWays, float64(usualSun)
	if opt.Fine {
		edge, piece, most, share, ways, finer = fineCoarse, finePiece, finePatches, fineShare, fineWays, fineSun
	}
	step := max(1, int(math.Round(edge/g.cell)))
	d.dx, d.toX = coarse(g.wx, step)
	d.dy, d.toY = coarse(g.wy, step)
	d.dz, d.toZ = coarse(g.thick, step)
	d.ex, d.ey, d.ez = edges(d.dx), edges(d.dy), edges(d.dz)
	d.nx, d.ny, d.nz = len(d.dx), len(d.dy), len(d.dz)
	d.of = [3][]lerp{lerps(g.wx, d.dx), lerps(g.wy, d.dy), lerps(g.thick, d.dz)}
	rest, first, _ := rescale(opt.Scattering, opt.Asymmetry)
	d.murk = rest * (1 - first) / 2 // the half that goes back, more or less by the lobe's lean (two-stream)
	d.sort()
	d.makeSpace()
	d.falls, d.enters, d.onPanes = make([][2]float64, len(windows)), make([][2]float64, len(windows)), make([][2]float64, len(windows))
	for c, k := range d.kind {
		if k == toSurface {
			d.volume += d.cellVolume(c)
		}
	}
	open := d.openings(piece)
	for i := range open {
		if open[i].inward[2] == 0 {
			d.paneArea += open[i].area
		}
	}
	var sharp []opening // for the sun, whose light has edges
	for i := range windows {
		w := &windows[i]
		for _, p := range w.patches(t, most, share) {
			d.lay(open, i, p, nil, hood, opt)
		}
		if !w.Sun {
			continue
		}
		if sharp == nil {
			sharp = d.openings(piece / finer)
		}
		for k := range ways {
			part := *w
			part.SunTurn += w.SunSweep * ((float64(k)+0.5)/float64(ways) - 0.5)
			d.lay(sharp, i, patch{far: true, dir: part.sunDirection(), facing: 1 / float64(ways), all: true}, w, hood, opt)
		}
	}
	return d
}

func edges(widths []float64) []float64 {
	out := make([]float64, len(widths)+1)
	for i, w := range widths {
		out[i+1] = out[i] + w
	}
	return out
}

func (d *Daylight) at(ix, iy, iz int) int { return (iz*d.ny+iy)*d.nx + ix }

func (d *Daylight) cellVolume(c int) float64 {
	return d.dx[c%d.nx] * d.dy[c/d.nx%d.ny] * d.dz[c/d.nx/d.ny]
}

// sort tells open cells from closed ones, by the greater part.
func (d *Daylight) sort() {
	g := d.g
	n := d.nx * d.ny * d.nz
	all, outside, solid, ground := make([]int, n), make([]int, n), make([]int, n), make([]int, n)
	for k := range g.nz {
		for iy := range g.ny {
			for ix := range g.nx {
				c, col := d.at(int(d.toX[ix]), int(d.toY[iy]), int(d.toZ[k])), iy*g.nx+ix
				all[c]++
				switch {
				case !g.inside[col]:
					outside[c]++
				case g.v.Solid[k*g.nx*g.ny+col]:
					solid[c]++
					if k < g.v.GroundIZ[col] {
						ground[c]++
					}
				}
			}
		}
	}
	d.kind = make([]sink, n)
	for c := range d.kind {
		in := all[c] - outside[c]
		switch {
		case 2*in <= all[c]:
			d.kind[c] = toWall
		case 2*solid[c] <= in:
			d.kind[c] = toSurface
		case 2*ground[c] >= solid[c]:
			d.kind[c] = toBed
		default:
			d.kind[c] = toHardscape
		}
	}
	plane := d.nx * d.ny
	d.onBed = make([]bool, plane)
	for c, k := range d.kind {
		if k == toSurface && (c < plane || d.kind[c-plane] == toBed) {
			d.onBed[c%plane] = true
		}
	}
}

// patch is a piece of a window, or of the sky where the window has no measures.
type patch struct {
	far    bool
	all    bool       // comes in by every face that looks to it, else (far) by its side only
	side   Side       //
	at     [3]float64 // m
	dir    [3]float64 // of the light, if far
	normal [3]float64 // of the window, into the room
	area   float64    // m², times what the glazing lets through
	tall   float64    // measure upwards, m
	facing float64    // far: PPFD on a plane that faces it, for unit level
}

// inward is the direction into the tank, level but for a skylight.
func (s Side) inward() [3]float64 {
	return [...][3]float64{{1, 0, 0}, {-1, 0, 0}, {0, 1, 0}, {0, -1, 0}, {0, 0, -1}}[s]
}

// sunDirection is where the sun's light goes.
func (w *Window) sunDirection() [3]float64 {
	in := w.Side.inward()
	if w.Side == Above {
		in = [3]float64{1, 0, 0}
	}
	sin, cos := math.Sincos(w.SunTurn)
	up, level := math.Sincos(w.SunHeight)
	return [3]float64{level * (in[0]*cos - in[1]*sin), level * (in[0]*sin + in[1]*cos), -up}
}

// frame is a corner of the window and its two edges.
func (w *Window) frame(t geometry.Tank) (corner, u, v [3]float64) {
	switch w.Side {
	case Left, Right:
		x := -w.Distance
		if w.Side == Right {
			x = t.LX + w.Distance
		}
		return [3]float64{x, w.Y - w.Width/2, w.Sill}, [3]float64{0, w.Width, 0}, [3]float64{0, 0, w.Height}
	case Front, Back:
		y := -w.Distance
		if w.Side == Back {
			y = t.LY + w.Distance
		}
		return [3]float64{w.X - w.Width/2, y, w.Sill}, [3]float64{w.Width, 0, 0}, [3]float64{0, 0, w.Height}
	}
	return [3]float64{w.X - w.Width/2, w.Y - w.Height/2, t.WaterLevel + w.Distance}, [3]float64{w.Width, 0, 0}, [3]float64{0, w.Height, 0}
}

// patches cuts a window into at most so many patches, none longer than a share of its distance where that is enough, or the half of the sky that a side
// of the tank looks to into twelve parts.
func (w *Window) patches(t geometry.Tank, most int, share float64) []patch {
	if w.Width == 0 {
		return w.skyPatches()
	}
	corner, u, v := w.frame(t)
	nu, nv := 1, 1
	for {
		a, b := w.Width/float64(nu), w.Height/float64(nv)
		switch {
		case max(a, b) <= w.Distance*share:
		case a >= b && (nu+1)*nv <= most:
			nu++
			continue
		case b > a && nu*(nv+1) <= most:
			nv++
			continue
		}
		break
	}
	var out []patch
	for j := range nv {
		for i := range nu {
			p := patch{normal: w.Side.inward(), area: w.Width * w.Height * w.Through / float64(nu*nv), tall: v[2] / float64(nv)}
			for a := range p.at {
				p.at[a] = corner[a] + u[a]*(float64(i)+0.5)/float64(nu) + v[a]*(float64(j)+0.5)/float64(nv)
			}
			out = append(out, p)
		}
	}
	return out
}

// skyPatches is an overcast sky that gives 1 on that side of the tank.
func (w *Window) skyPatches() []patch {
	const rings, turns = 3, 4
	in := w.Side.inward()
	var out []patch
	sum := 0.0
	for r := range rings {
		lo, hi := float64(r)/rings, float64(r+1)/rings
		sin := (lo + hi) / 2
		level := math.Sqrt(1 - sin*sin)
		from, wide := -math.Pi/2, math.Pi
		if w.Side == Above {
			from, wide = 0, 2*math.Pi
		}
		for a := range turns {
			s, c := math.Sincos(from + wide*(float64(a)+0.5)/turns)
			p := patch{far: true, side: w.Side, dir: [3]float64{level * (in[0]*c - in[1]*s), level * (in[0]*s + in[1]*c), -sin}}
			if w.Side == Above {
				p.dir = [3]float64{level * c, level * s, -sin}
			}
			p.facing = overcast(sin) * (hi - lo) * wide / turns
			sum += p.facing * dot(p.dir, in)
			out = append(out, p)
		}
	}
	for i := range out {
		out[i].facing /= sum
	}
	return out
}

func dot(a, b [3]float64) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

// opening is a piece of pane or water where light may come in.
type opening struct {
	middle [3]float64 // m
	inward [3]float64
	area   float64       // m²
	edge   [2][3]float64 // its two edges, m
	side   Side          // of the tank that it lies on, as a window's
}

// openings cuts panes and surface into pieces.
func (d *Daylight) openings(piece float64) []opening {
	t := d.g.tank
	var out []opening
	rows := max(1, int(math.Round(t.WaterLevel/piece)))
	high := t.WaterLevel / float64(rows)
	for i := range d.poly {
		s := &d.poly[i]
		ux, uy := s.bx-s.ax, s.by-s.ay
		n := max(1, int(math.Round(math.Hypot(ux, uy)/piece)))
		ux, uy = ux/float64(n), uy/float64(n)
		for k := range n * rows {
			along := float64(k%n) + 0.5
			out = append(out, opening{
				middle: [3]float64{s.ax + ux*along, s.ay + uy*along, high * (float64(k/n) + 0.5)},
				inward: [3]float64{-s.nx, -s.ny, 0},
				area:   math.Hypot(ux, uy) * high,
				edge:   [2][3]float64{{ux, uy, 0}, {0, 0, high}},
				side:   sideOf(-s.nx, -s.ny),
			})
		}
	}
	nx, ny := max(1, int(math.Round(t.LX/piece))), max(1, int(math.Round(t.LY/piece)))
	wx, wy := t.LX/float64(nx), t.LY/float64(ny)
	for k := range nx * ny {
		x, y := wx*(float64(k%nx)+0.5), wy*(float64(k/nx)+0.5)
		if d.poly.holds(x, y) {
			out = append(out, opening{middle: [3]float64{x, y, t.WaterLevel}, inward: Above.inward(), area: wx * wy, edge: [2][3]float64{{wx, 0, 0}, {0, wy, 0}}, side: Above})
		}
	}
	return out
}

// sideOf is the side of the tank that a pane lies on, by its direction inwards.
func sideOf(x, y float64) Side {
	switch {
	case math.Abs(x) > math.Abs(y) && x > 0:
		return Left
	case math.Abs(x) > math.Abs(y):
		return Right
	case y > 0:
		return Front
	}
	return Back
}

// arrives is the PPFD that a patch lays on a piece for unit level, and the way its light comes.
func (p *patch) arrives(o *opening) (ppfd float64, dir [3]float64) {
	if p.far {
		if !p.all && o.side != p.side {
			return 0, p.dir
		}
		return p.facing * max(dot(p.dir, o.inward), 0), p.dir
	}
	// Of a patch that reaches below the piece's own level only what lies above is sky.
	at, area := p.at, p.area
	if low := at[2] - p.tall/2; p.tall > 0 && low < o.middle[2] {
		above := max(at[2]+p.tall/2-o.middle[2], 0)
		at[2], area = o.middle[2]+above/2, area*above/p.tall
	}
	r2 := 0.0
	for a := range dir {
		dir[a] = o.middle[a] - at[a]
		r2 += dir[a] * dir[a]
	}
	r := math.Sqrt(r2)
	if r == 0 {
		return 0, dir
	}
	for a := range dir {
		dir[a] /= r
	}
	meets, leaves := dot(dir, o.inward), dot(dir, p.normal)
	if meets <= 0 || leaves <= 0 {
		return 0, dir
	}
	return overcast(-dir[2]) * area * meets * leaves / r2, dir
}

// leastFall is the least that light must fall on its way in the water to be followed; what runs flatter is under a ten-thousandth of any sky.
const leastFall = 1e-6

// lay makes the rays of a patch; those of the sun know the window that it shines through.
func (d *Daylight) lay(open []opening, window int, p patch, through *Window, hood float64, opt Options) {
	t := d.g.tank
	kind := 0
	if through != nil {
		kind = 1
	}
	for i := range open {
		o := &open[i]
		ppfd, dir := p.arrives(o)
		if !(ppfd > 0) || dir[2] > -leastFall {
			continue
		}
		if through != nil {
			ppfd *= through.sunThrough(t, o, dir)
		}
		top := o.inward[2] != 0
		if top && hood > 0 {
			ppfd *= overRim(t, o, dir, hood)
		}
		if !(ppfd > 0) {
			continue
		}
		falls := ppfd * o.area
		water, share := refracted(dir, o.inward, t.Glass, opt)
		r := ray{
			x: o.middle[0] + 1e-9*o.inward[0], y: o.middle[1] + 1e-9*o.inward[1], z: o.middle[2],
			sx: water[0] / -water[2], sy: water[1] / -water[2], flux: falls * share, falls: falls, window: int32(window), sun: through != nil, top: top,
		}
		d.rays = append(d.rays, r)
		d.falls[window][kind] += falls
		d.enters[window][kind] += r.flux
		if !top {
			d.onPanes[window][kind] += falls
		}
	}
}

// refracted is the direction of light in the water after a pane or the surface, and the share that passes.
func refracted(dir, inward [3]float64, glass float64, opt Options) (water [3]float64, share float64) {
	n := opt.Index
	c1 := min(dot(dir, inward), 1)
	c2 := math.Sqrt(1 - (1-c1*c1)/(n*n))
	for a := range water {
		water[a] = (dir[a]-c1*inward[a])/n + c2*inward[a]
	}
	if inward[2] != 0 {
		return water, 1 - RippledFresnel(math.Acos(c1), IndexAir, n, opt.Ripples)
	}
	inGlass := math.Sqrt(1 - (1-c1*c1)/(IndexGlass*IndexGlass))
	return water, (1 - WallReflectance(c2, n)) * math.Exp(-glassTakes*glass/inGlass)
}

// sunThrough is the share of a piece that the sun reaches through the window.
func (w *Window) sunThrough(t geometry.Tank, o *opening, dir [3]float64) float64 {
	if w.Width == 0 {
		return w.Through
	}
	corner, u, v := w.frame(t)
	in := w.Side.inward()
	down := dot(dir, in)
	if down <= 0 {
		return 0
	}
	var back [3]float64 // from the window's corner to where the ray came through it
	for a := range back {
		back[a] = o.middle[a] - corner[a]
	}
	way := dot(back, in) / down
	if way <= 0 {
		return 0
	}
	share := w.Through
	for _, edge := range [][3]float64{u, v} {
		l := math.Sqrt(dot(edge, edge))
		at, wide := 0.0, 0.0
		for a := range edge {
			e := edge[a] / l
			at += (back[a] - dir[a]*way) * e
		}
		for _, own := range o.edge { // as the sun throws them onto the window's plane
			wide += math.Abs(dot(own, edge)/l - dot(own, in)*dot(dir, edge)/l/down)
		}
		share *= window{lo: 0, hi: l}.share(at, max(wide*wide, 1e-12))
	}
	return share
}

// overRim is the share of a piece of the water that light of a direction reaches over an opaque rim.
func overRim(t geometry.Tank, o *opening, dir [3]float64, hood float64) float64 {
	x, y := o.middle[0]-dir[0]/-dir[2]*hood, o.middle[1]-dir[1]/-dir[2]*hood
	wx, wy := o.edge[0][0], o.edge[1][1]
	return window{lo: 0, hi: t.LX}.share(x, wx*wx) * window{lo: 0, hi: t.LY}.share(y, wy*wy)
}

// Fork returns a Daylight that shares what is made ready and has its own working space, for use in another goroutine.
func (d *Daylight) Fork() *Daylight {
	f := *d
	f.makeSpace()
	return &f
}

func (d *Daylight) makeSpace() {
	n := d.nx * d.ny * d.nz
	d.kappa, d.leaf, d.light, d.scalar = make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	d.bed, d.covered = make([]float64, d.nx*d.ny), make([]float64, d.nx*d.ny)
}

// Mix adds two fields of one grid, each times a factor, with the first one's budget. out is filled and returned when it belongs to the grid, else a
// new Field is.
func Mix(a, b *Field, x, y float64, out *Field) *Field {
	if out == nil || len(out.PPFD) != len(a.PPFD) || len(out.Bed) != len(a.Bed) {
		out = &Field{PPFD: make([]float64, len(a.PPFD)), Surface: make([]float64, len(a.Surface)), Bed: make([]float64, len(a.Bed))}
	}
	for _, part := range [...]struct{ to, a, b []float64 }{{out.PPFD, a.PPFD, b.PPFD}, {out.Surface, a.Surface, b.Surface}, {out.Bed, a.Bed, b.Bed}} {
		for i := range part.to {
			part.to[i] = x*part.a[i] + y*part.b[i]
		}
	}
	out.Cell, out.NX, out.NY, out.NZ = a.Cell, a.NX, a.NY, a.NZ
	out.LX, out.LY, out.WaterLevel = a.LX, a.LY, a.WaterLevel
	out.inside, out.solid, out.Budget = a.inside, a.solid, a.Budget
	return out
}

// of is the light outside a window, of the sky or the sun.
func (s Sky) of(sun bool) float64 {
	x := s.Diffuse
	if sun {
		x = s.Sun
	}
	if !(x > 0) || math.IsInf(x, 0) {
		return 0
	}
	return x
}

// Entering is what comes into the water through a window under a sky, µmol/s.
func (d *Daylight) Entering(window int, sky Sky) float64 {
	return sky.of(false)*d.enters[window][0] + sky.of(true)*d.enters[window][1]
}

// Solve returns the daylight under the given leaves, water and sky; leaf, cover and kd are those of Solver.Solve, sky is by window and may be shorter. It is
// linear in the sky, so that a day's sum of skies gives the day's sum of light. out is filled and returned when it belongs to this grid.
func (d *Daylight) Solve(leaf, cover []float64, kd float64, sky []Sky, out *Field) Shine {
	if !(kd > 0) {
		kd = 0
	}
	kd = min(kd, opaque) + d.murk
	d.load(leaf, cover, kd)
	clear(d.light)
	clear(d.scalar)
	clear(d.bed)
	s := Shine{Field: d.fit(out)}
	entering := 0.0
	for i := range min(len(sky), len(d.falls)) {
		for kind, sun := range []bool{false, true} {
			level := sky[i].of(sun)
			s.Falling += level * d.falls[i][kind]
			entering += level * d.enters[i][kind]
			if d.paneArea > 0 {
				s.Panes += level * d.onPanes[i][kind] / d.paneArea
			}
		}
	}
	var sum passed
	for i := range d.rays {
		r := &d.rays[i]
		if int(r.window) >= len(sky) {
			continue
		}
		if level := sky[r.window].of(r.sun); level > 0 {
			if r.top {
				d.onSurface(s.Field, r, level)
			}
			d.follow(*r, level*r.flux, kd, &sum)
		}
	}
	for c := range d.light {
		v := d.cellVolume(c)
		if d.kind[c] == toSurface && d.volume > 0 {
			s.Around += d.scalar[c] / d.volume
		}
		d.light[c] /= v
	}
	for c := range d.bed {
		d.bed[c] /= d.dx[c%d.nx] * d.dy[c/d.nx]
	}
	if s.Falling > 0 {
		s.Field.Budget = Budget{
			Reflected: 1 - entering/s.Falling, Water: sum.water / s.Falling, Leaves: sum.leaves / s.Falling, Bed: sum.lost[toBed] / s.Falling,
			Hardscape: sum.lost[toHardscape] / s.Falling, Walls: sum.lost[toWall] / s.Falling,
		}
	}
	d.spread(s.Field)
	return s
}

// passed is where light goes, µmol/s.
type passed struct {
	water, leaves float64
	lost          [sinks]float64
}

// enough is the share of a ray's light that is followed no further; it counts as lost through the panes.
const enough = 1e-4

// cellOf is the cell of a place along one axis.
func cellOf(x float64, edges []float64) int {
	n := len(edges) - 1
	i := min(max(int(x/(edges[n]+1e-300)*float64(n)), 0), n-1)
	for i > 0 && x < edges[i] {
		i--
	}
	for i < n-1 && x >= edges[i+1] {
		i++
	}
	return i
}

// follow carries a ray down to the bed.
func (d *Daylight) follow(r ray, flux, kd float64, sum *passed) {
	x, y, z, sx, sy := r.x, r.y, r.z, r.sx, r.sy
	slant := math.Sqrt(1 + sx*sx + sy*sy)
	ix, iy, iz := cellOf(x, d.ex), cellOf(y, d.ey), min(cellOf(z, d.ez), d.nz-1)
	if r.top {
		if under := min(d.covered[iy*d.nx+ix], 1); under > 0 {
			sum.leaves += flux * under
			flux *= 1 - under
		}
	}
	least := enough * flux
	side, wall := d.poly.meet(x, y, sx, sy)
	for fell := 0.0; flux > least; {
		c := d.at(ix, iy, iz)
		if k := d.kind[c]; k == toBed || k == toHardscape {
			d.ends(k, iy*d.nx+ix, false, flux, sum)
			return
		}
		// How far down it leaves the cell, and by which side.
		down, by := z-d.ez[iz], sideDown
		if sx > 0 && (d.ex[ix+1]-x)/sx < down {
			down, by = (d.ex[ix+1]-x)/sx, sideRight
		} else if sx < 0 && (d.ex[ix]-x)/sx < down {
			down, by = (d.ex[ix]-x)/sx, sideLeft
		}
		if sy > 0 && (d.ey[iy+1]-y)/sy < down {
			down, by = (d.ey[iy+1]-y)/sy, sideBack
		} else if sy < 0 && (d.ey[iy]-y)/sy < down {
			down, by = (d.ey[iy]-y)/sy, sideFront
		}
		meets := side >= 0 && wall-fell <= down+1e-12
		if meets {
			down = wall - fell
		}
		down = max(down, 0)
		flux -= d.give(c, flux, down, slant, kd, sum)
		x, y, z, fell = x+sx*down, y+sy*down, z-down, fell+down
		if meets {
			s := &d.poly[side]
			across := sx*s.nx + sy*s.ny
			back := d.walls.at(across * across / (slant * slant))
			sum.lost[toWall] += flux * (1 - back)
			flux *= back
			sx, sy = sx-2*across*s.nx, sy-2*across*s.ny
			fell = 0
			side, wall = d.poly.meet(x-1e-9*s.nx, y-1e-9*s.ny, sx, sy)
			continue
		}
		switch by {
		case sideRight:
			ix++
		case sideLeft:
			ix--
		case sideBack:
			iy++
		case sideFront:
			iy--
		default:
			iz--
		}
		if ix < 0 || iy < 0 || ix >= d.nx || iy >= d.ny { // beside the outline by rounding alone
			break
		}
		if iz < 0 || by == sideDown && d.kind[d.at(ix, iy, iz)] != toSurface && d.kind[d.at(ix, iy, iz)] != toWall {
			to := toBed
			if iz >= 0 {
				to = d.kind[d.at(ix, iy, iz)]
			}
			d.ends(to, iy*d.nx+ix, true, flux, sum)
			return
		}
	}
	sum.lost[toWall] += flux
}

// ends lays a ray on bed or hardscape, from above or from the side.
func (d *Daylight) ends(on sink, column int, above bool, flux float64, sum *passed) {
	sum.lost[on] += flux
	if on == toBed && above {
		d.bed[column] += flux
	}
}

// give lays a ray's light on a cell that it crosses and returns what it loses there.
func (d *Daylight) give(c int, flux, down, slant, kd float64, sum *passed) float64 {
	length := down * slant
	kappa, leaf := kd, 0.0
	if d.kind[c] == toSurface {
		kappa, leaf = d.kappa[c], d.leaf[c]
	}
	tau := kappa * length
	mean := 1 - tau/2 + tau*tau/6 // of e^−τt over 0 ≤ t ≤ 1
	if tau > 1e-3 {
		mean = -math.Expm1(-tau) / tau
	}
	taken := flux * mean * tau
	if kappa > 0 {
		sum.leaves += taken * leaf / kappa
		sum.water += taken * (kappa - leaf) / kappa
	}
	d.light[c] += flux * mean * down
	d.scalar[c] += flux * mean * length
	return taken
}

// load puts leaves and water together, by cell.
func (d *Daylight) load(leaf, cover []float64, kd float64) {
	g := d.g
	clear(d.kappa)
	clear(d.leaf)
	clear(d.covered)
	for k := range g.nz {
		for iy := range g.ny {
			for ix := range g.nx {
				vox := (k*g.ny+iy)*g.nx + ix
				if g.v.Solid[vox] {
					continue
				}
				c, v := d.at(int(d.toX[ix]), int(d.toY[iy]), int(d.toZ[k])), g.wx[ix]*g.wy[iy]*g.thick[k]
				d.kappa[c] += kd * v
				if leaf != nil && leaf[vox] > 0 {
					d.leaf[c] += min(leaf[vox], opaque) * v
				}
			}
		}
	}
	for c := range d.kappa {
		v := d.cellVolume(c)
		d.leaf[c] /= v
		d.kappa[c] = d.kappa[c]/v + d.leaf[c]
	}
	if cover == nil {
		return
	}
	for iy := range g.ny {
		for ix := range g.nx {
			if share := cover[iy*g.nx+ix]; share > 0 && g.inside[iy*g.nx+ix] {
				x, y := int(d.toX[ix]), int(d.toY[iy])
				d.covered[y*d.nx+x] += min(share, 1) * g.wx[ix] * g.wy[iy] / (d.dx[x] * d.dy[y])
			}
		}
	}
}

// fit returns out, emptied, when it belongs to this grid, else a new Field for it.
func (d *Daylight) fit(out *Field) *Field {
	g := d.g
	voxels, columns := g.nx*g.ny*g.nz, g.nx*g.ny
	if out == nil || len(out.PPFD) != voxels || len(out.Bed) != columns || len(out.Surface) != columns {
		out = &Field{PPFD: make([]float64, voxels), Surface: make([]float64, columns), Bed: make([]float64, columns)}
	}
	clear(out.PPFD)
	clear(out.Surface)
	clear(out.Bed)
	out.Cell, out.NX, out.NY, out.NZ = g.cell, g.nx, g.ny, g.nz
	out.LX, out.LY, out.WaterLevel = g.tank.LX, g.tank.LY, g.tank.WaterLevel
	out.inside, out.solid = g.inside, g.v.Solid
	out.Budget = Budget{}
	return out
}

// onSurface adds a ray's light on the water.
func (d *Daylight) onSurface(f *Field, r *ray, level float64) {
	g := d.g
	x, y := cellOf(r.x, d.ex), cellOf(r.y, d.ey)
	light := level * r.falls / (d.dx[x] * d.dy[y])
	for iy := range g.ny {
		if int(d.toY[iy]) != y {
			continue
		}
		for ix := range g.nx {
			if int(d.toX[ix]) == x && g.inside[iy*g.nx+ix] {
				f.Surface[iy*g.nx+ix] += light
			}
		}
	}
}

// spread brings the light of the cells to voxels and bed, between the cells' middles.
func (d *Daylight) spread(f *Field) {
	g := d.g
	d.fillClosed()
	for k := range g.nz {
		z := &d.of[2][k]
		for iy := range g.ny {
			y := &d.of[1][iy]
			for ix := range g.nx {
				vox := (k*g.ny+iy)*g.nx + ix
				if g.v.Solid[vox] {
					continue
				}
				x := &d.of[0][ix]
				low, high := d.between(d.light[int(z.lo)*d.nx*d.ny:], x, y), d.between(d.light[int(z.hi)*d.nx*d.ny:], x, y)
				f.PPFD[vox] = low + (high-low)*float64(z.part)
			}
		}
	}
	for iy := range g.ny {
		for ix := range g.nx {
			c := iy*g.nx + ix
			if k := g.v.GroundIZ[c]; k < g.nz && !g.v.Solid[k*g.nx*g.ny+c] {
				f.Bed[c] = d.between(d.bed, &d.of[0][ix], &d.of[1][iy])
			}
		}
	}
}

// between reads a layer of cells between their middles.
func (d *Daylight) between(layer []float64, x, y *lerp) float64 {
	row := func(iy int32) float64 {
		a, b := layer[int(iy)*d.nx+int(x.lo)], layer[int(iy)*d.nx+int(x.hi)]
		return a + (b-a)*float64(x.part)
	}
	a, b := row(y.lo), row(y.hi)
	return a + (b-a)*float64(y.part)
}

// fillClosed gives cells without water, and columns whose water stands on no bed, the mean of those beside them, for the voxels that read
// from them.
func (d *Daylight) fillClosed() {
	n := d.nx * d.ny
	for c, k := range d.kind {
		if k == toSurface {
			continue
		}
		sum, count := 0.0, 0.0
		d.beside(c%n, func(o int) {
			if at := c/n*n + o; d.kind[at] == toSurface {
				sum += d.light[at]
				count++
			}
		})
		if up := c + n; up < len(d.kind) && d.kind[up] == toSurface {
			sum += d.light[up]
			count++
		}
		if count > 0 {
			d.light[c] = sum / count
		}
	}
	for c := range d.bed {
		if d.onBed[c] {
			continue
		}
		sum, count := 0.0, 0.0
		d.beside(c, func(o int) {
			if d.onBed[o] {
				sum += d.bed[o]
				count++
			}
		})
		if count > 0 {
			d.bed[c] = sum / count
		}
	}
}

// beside calls f with the columns around a column.
func (d *Daylight) beside(column int, f func(column int)) {
	ix, iy := column%d.nx, column/d.nx
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			if x, y := ix+dx, iy+dy; (dx != 0 || dy != 0) && x >= 0 && y >= 0 && x < d.nx && y < d.ny {
				f(y*d.nx + x)
			}
		}
	}
}
