package light

import (
	"math"
	"sync"
	"sync/atomic"
)

// diffuse is the light that ground, stones and particles have scattered. It is smooth and a small share of all, and so is solved on coarse
// cells and in a few dozen directions (discrete ordinates; Chandrasekhar 1960, Radiative Transfer; upwind finite volumes, so that every photon is counted).
// Walls and surface reflect it as glass and water do; ground and stones give their share back evenly (Lambert).
//
// Directions come in groups of eight that walls and surface turn into each other; the groups share nothing but the sources, so that they
// run side by side.
type diffuse struct {
	g          *grid
	step       int // voxels along the edge of a cell
	nx, ny, nz int
	dx, dy, dz []float64 // widths of the cells, m
	open       []bool    // cells of water
	sides      []uint8   // bit d is set when the cell's side d is a boundary
	boundary   []int32   // per cell and side: place in bounds, or −1
	bounds     []bound
	toX, toY   []int32 // per voxel column or row: cell
	toZ        []int32
	lift       []int32 // per voxel: the open cell that takes what is given back there, or −1
	groups     []group
	closed     []closedCell

	lerpX, lerpY, lerpZ []lerp

	ground, stone float64 // share given back
	leaf          float64 // share scattered by leaves
	scattering    float64 // 1/m, without what goes on nearly straight
	first, second float64 // moments of the phase function
}

// Sides of a cell.
const (
	sideLeft = iota
	sideRight
	sideFront
	sideBack
	sideDown
	sideUp
	sixSides
)

// bound is a side of a cell with no water beyond.
type bound struct {
	cell int32
	side uint8
	to   sink    // toWall, toSurface, toBed or toHardscape
	area float64 // m²
}

// group is the eight directions (±ux, ±uy, ±uz).
type group struct {
	ux, uy, uz float64
	weight     float64 // solid angle of each
	wallX      float64 // reflectance of walls across x and y, and of the surface, for this group
	wallY      float64
	surface    float64
}

// newDiffuse lays the coarse cells; nil when nothing gives light back.
func newDiffuse(g *grid, opt Options) *diffuse {
	if g.nz == 0 || !(opt.Ground > 0 || opt.Stone > 0 || opt.Leaf > 0 || opt.Scattering > 0) {
		return nil
	}
	d := &diffuse{g: g, ground: opt.Ground, stone: opt.Stone, leaf: opt.Leaf}
	d.scattering, d.first, d.second = rescale(opt.Scattering, opt.Asymmetry)
	d.step = max(1, int(math.Round(usualCoarse/g.cell)))
	polar, azimuth := 1, 1
	if opt.Fine {
		d.step, polar, azimuth = max(1, int(math.Round(fineCoarse/g.cell))), 3, 4
	}
	d.dx, d.toX = coarse(g.wx, d.step)
	d.dy, d.toY = coarse(g.wy, d.step)
	d.dz, d.toZ = coarse(g.thick, d.step)
	d.nx, d.ny, d.nz = len(d.dx), len(d.dy), len(d.dz)
	if opt.Scattering > 0 {
		polar = max(polar, 2)
	}
	d.lay()
	d.findClosed()
	d.lerpX, d.lerpY, d.lerpZ = lerps(g.wx, d.dx), lerps(g.wy, d.dy), lerps(g.thick, d.dz)
	d.groups = directions(polar, azimuth, opt)
	return d
}

// Edges of the coarse cells, m.
const (
	usualCoarse = 0.1
	fineCoarse  = 0.05
)

// lean is how much of the fall across a cell is carried on to its far side: 0 blurs the light most, 1 least but in stripes. By trial against
// the tracer 0.3 serves the dim corners best.
const lean = 0.3

// rescale takes the part of scattering that goes on nearly straight for no scattering at all and gives the first and second moments of the rest. Of a
// Henyey–Greenstein lobe of asymmetry g > 0 that part is the share g³ (delta-M of third order; Wiscombe 1977, J. Atmos. Sci. 34), with which the first
// three moments are those of the lobe, or as little more as keeps the rest from going below nought anywhere.
func rescale(b, g float64) (rest, first, second float64) {
	if !(b > 0) {
		return 0, 0, 0
	}
	if g <= 0 {
		return b, max(g, -1./3), 0
	}
	moments := func(forward float64) (first, second float64) {
		return (g - forward) / (1 - forward), (g*g - forward) / (1 - forward)
	}
	forward, most := g*g*g, g*g
	for range 40 {
		// 1 + 3 g₁ cos + 5 g₂ (3 cos² − 1)/2 is least at cos = −g₁/(5 g₂).
		first, second = moments(forward)
		if second <= 0 || 1-2.5*second-0.3*first*first/second >= 0 {
			break
		}
		forward += (most - forward) / 32
	}
	return b * (1 - forward), first, max(second, 0)
}

func coarse(widths []float64, step int) (sum []float64, to []int32) {
	n := (len(widths) + step - 1) / step
	sum, to = make([]float64, n), make([]int32, len(widths))
	for i, w := range widths {
		sum[i/step] += w
		to[i] = int32(i / step)
	}
	// A last cell of no width joins the one before.
	if n > 1 && sum[n-1] == 0 {
		sum = sum[:n-1]
		for i := range to {
			to[i] = min(to[i], int32(n-2))
		}
	}
	return sum, to
}

func (d *diffuse) at(ix, iy, iz int) int { return (iz*d.ny+iy)*d.nx + ix }

// lay finds the open cells and what bounds them.
func (d *diffuse) lay() {
	g := d.g
	n := d.nx * d.ny * d.nz
	solid, bed, all := make([]int, n), make([]int, n), make([]int, n)
	each := func(f func(c, vox, col, k int)) {
		for k := range g.nz {
			for iy := range g.ny {
				for ix := range g.nx {
					col := iy*g.nx + ix
					f(d.at(int(d.toX[ix]), int(d.toY[iy]), int(d.toZ[k])), k*g.nx*g.ny+col, col, k)
				}
			}
		}
	}
	outside := make([]int, n)
	each(func(c, vox, col, k int) {
		all[c]++
		switch {
		case !g.inside[col]:
			outside[c]++
		case g.v.Solid[vox]:
			solid[c]++
			if k < g.v.GroundIZ[col] {
				bed[c]++
			}
		}
	})
	d.open = make([]bool, n)
	for c := range d.open {
		in := all[c] - outside[c]
		d.open[c] = 2*in > all[c] && 2*solid[c] <= in
	}
	d.sides = make([]uint8, n)
	d.boundary = make([]int32, n*sixSides)
	for iz := range d.nz {
		for iy := range d.ny {
			for ix := range d.nx {
				c := d.at(ix, iy, iz)
				for side := range sixSides {
					d.boundary[c*sixSides+side] = -1
					if !d.open[c] {
						continue
					}
					jx, jy, jz := ix, iy, iz
					area := d.dx[ix] * d.dy[iy]
					switch side {
					case sideLeft, sideRight:
						jx += 2*(side-sideLeft) - 1
						area = d.dy[iy] * d.dz[iz]
					case sideFront, sideBack:
						jy += 2*(side-sideFront) - 1
						area = d.dx[ix] * d.dz[iz]
					default:
						jz += 2*(side-sideDown) - 1
					}
					b := bound{cell: int32(c), side: uint8(side), area: area}
					switch {
					case jz < 0:
						b.to = toBed
					case jz >= d.nz:
						b.to = toSurface
					case jx < 0 || jy < 0 || jx >= d.nx || jy >= d.ny:
						b.to = toWall
					default:
						o := d.at(jx, jy, jz)
						if d.open[o] {
							continue
						}
						switch {
						case 2*outside[o] >= all[o]:
							b.to = toWall
						case 2*bed[o] >= solid[o]:
							b.to = toBed
						default:
							b.to = toHardscape
						}
						if b.to == toWall && side >= sideDown {
							b.to = toBed
						}
					}
					d.sides[c] |= 1 << side
					d.boundary[c*sixSides+side] = int32(len(d.bounds))
					d.bounds = append(d.bounds, b)
				}
			}
		}
	}
	// What is given back in a cell that is mostly solid comes out of the next open one above.
	d.lift = make([]int32, n)
	for c := range d.lift {
		d.lift[c] = -1
		for up := c; up < n; up += d.nx * d.ny {
			if d.open[up] {
				d.lift[c] = int32(up)
				break
			}
		}
	}
}

// directions lays the groups: bands of the cosine from the vertical that end at the critical angle, so that the surface returns all of the one and
// little of the other, with Gauss points in each; azimuths evenly between the walls.
func directions(polar, azimuth int, opt Options) []group {
	walls := newWallTable(opt)
	critical := math.Sqrt(max(1-1/(opt.Index*opt.Index), 0))
	bands := [][2]float64{{0, critical}, {critical, 1}}
	if critical < 0.05 {
		bands = [][2]float64{{0, 0.5}, {0.5, 1}}
	}
	// Gauss–Legendre points on 0 to 1. Three get equal weights, since the walls' reflectance has its kink within the bands; by trial against the tracer.
	nodes, weights := []float64{0.5}, []float64{1}
	switch polar {
	case 2:
		nodes, weights = []float64{0.5 - 0.5/math.Sqrt(3), 0.5 + 0.5/math.Sqrt(3)}, []float64{0.5, 0.5}
	case 3:
		nodes, weights = []float64{0.5 - 0.5*math.Sqrt(0.6), 0.5, 0.5 + 0.5*math.Sqrt(0.6)}, []float64{1. / 3, 1. / 3, 1. / 3}
	}
	var out []group
	for _, band := range bands {
		lo, wide := band[0], band[1]-band[0]
		for p, node := range nodes {
			hi := lo + wide*weights[p]
			uz := band[0] + wide*node
			across := math.Sqrt(1 - uz*uz)
			for a := range azimuth {
				from, to := math.Pi/2*float64(a)/float64(azimuth), math.Pi/2*float64(a+1)/float64(azimuth)
				phi := (from + to) / 2
				gr := group{ux: across * math.Cos(phi), uy: across * math.Sin(phi), uz: uz}
				gr.weight = 2 * math.Pi * (hi - lo) / float64(4*azimuth)
				gr.wallX, gr.wallY, gr.surface = reflectances(walls, lo, hi, from, to, opt)
				out = append(out, gr)
			}
			lo = hi
		}
	}
	return out
}

// reflectances are the means over a bundle of directions, weighted by the flux they bring.
func reflectances(walls *wallTable, lo, hi, from, to float64, opt Options) (wallX, wallY, surface float64) {
	const n = 12
	var rx, ry, rz, fx, fy, fz float64
	for i := range n {
		uz := lo + (hi-lo)*(float64(i)+0.5)/n
		across := math.Sqrt(1 - uz*uz)
		rz += uz * RippledFresnel(math.Acos(uz), opt.Index, IndexAir, opt.Ripples)
		fz += uz
		for j := range n {
			phi := from + (to-from)*(float64(j)+0.5)/n
			x, y := across*math.Cos(phi), across*math.Sin(phi)
			rx += x * walls.at(x*x)
			ry += y * walls.at(y*y)
			fx += x
			fy += y
		}
	}
	return rx / fx, ry / fy, rz / fz
}

// moments of a cell's scalar light: itself, its flow along x, y, z, and the second moments xx, yy, zz, xy, xz, yz.
const moments = 10

// diffuseSpace is the working space of a Solver for diffuse light.
type diffuseSpace struct {
	lanes  []diffuseLane
	kappa  []float32   // what is taken out of a direction, by cell, 1/m × m³
	leaf   []float32   // of it, by leaves
	volume []float32   // m³
	given  []float32   // what is given back upwards inside a cell, µmol/s
	met    []float32   // what leaves in a cell meet of the lamps' light, µmol/s
	made   []float32   // what leaves scatter in it, µmol/s for each steradian
	beam   []float32   // moments of the lamps' light that particles meet, µmol m⁻² s⁻¹ × m³
	all    []float32   // moments of all light, as above
	first  []float32   // by bound: radiance of the lamps' light that ground and stones give back
	back   []float32   // and with that of diffuse light
	inside [][]float32 // by group: radiance coming in through each bound, by direction
	onward [][]float32 // the same for the next pass, of what the walls return
	down   []float32   // planar downwelling irradiance by cell
	onBed  []float32   // diffuse light on the bed by coarse column
	row    []float32

	arrives   []float64 // by bound, µmol/s
	lost      [sinks]float64
	scattered float64 // by particles in the last round, µmol/s

	run    func()
	passes int
	next   atomic.Int32
	wait   sync.WaitGroup
}

// diffuseLane is the working space of some groups that are solved one after the other.
type diffuseLane struct {
	moments []float32
	down    []float32
	arrives []float64 // by bound, µmol/s
	lost    [sinks]float64
	thrown  float64 // by particles, µmol/s
	outY    []float32
	outZ    []float32
}

func (d *diffuse) space(lanes int) *diffuseSpace {
	n := d.nx * d.ny * d.nz
	sp := &diffuseSpace{
		kappa: make([]float32, n), leaf: make([]float32, n), volume: make([]float32, n), given: make([]float32, n), met: make([]float32, n), made: make([]float32, n),
		first: make([]float32, len(d.bounds)), back: make([]float32, len(d.bounds)), arrives: make([]float64, len(d.bounds)),
		down: make([]float32, n), onBed: make([]float32, d.nx*d.ny), row: make([]float32, d.nx), beam: make([]float32, n*d.kept()), all: make([]float32, n*d.kept()),
	}
	for iz := range d.nz {
		for iy := range d.ny {
			for ix := range d.nx {
				sp.volume[d.at(ix, iy, iz)] = float32(d.dx[ix] * d.dy[iy] * d.dz[iz])
			}
		}
	}
	for range d.groups {
		sp.inside = append(sp.inside, make([]float32, 8*len(d.bounds)))
		sp.onward = append(sp.onward, make([]float32, 8*len(d.bounds)))
	}
	for range min(lanes, len(d.groups)) {
		sp.lanes = append(sp.lanes, diffuseLane{
			moments: make([]float32, n*d.kept()), down: make([]float32, n), arrives: make([]float64, len(d.bounds)),
			outY: make([]float32, d.nx), outZ: make([]float32, d.nx*d.ny),
		})
	}
	sp.run = func() {
		defer sp.wait.Done()
		for l := int(sp.next.Add(1)) - 1; l < len(sp.lanes); l = int(sp.next.Add(1)) - 1 {
			ln := &sp.lanes[l]
			clear(ln.moments)
			clear(ln.down)
			clear(ln.arrives)
			ln.lost, ln.thrown = [sinks]float64{}, 0
			for i := l; i < len(d.groups); i += len(sp.lanes) {
				d.solveGroup(sp, ln, i, sp.passes)
			}
		}
	}
	return sp
}

// kept is how many moments are kept: without scattering only the first is needed, for what the water takes.
func (d *diffuse) kept() int {
	if d.scattering > 0 {
		return moments
	}
	return 1
}

// Directions of a group, by bits: to the right, to the back, up.
const (
	toRight = 1 << iota
	toBack
	upwards
)

// rounds is how often the light is swept so that what is thrown back again and again is counted: about six tenths of diffuse light that leaves the
// ground come back to it, under a surface that returns half (by trial), so that each round leaves out so much less, and deep in leaves all that they scatter meets leaves again. Particles throw on about as much of it as they scatter in 60 cm.
func (d *diffuse) rounds(fine bool) int {
	left, n := max(d.ground*0.6, d.stone*0.6, d.leaf), 2
	if d.scattering > 0 {
		left, n = max(left, min(0.6*d.scattering, 0.6)), 3
	}
	if !fine {
		return 2
	}
	for rest := math.Pow(left, float64(n)); rest > 0.005 && n < 12; rest *= left {
		n++
	}
	return n
}

// solve finds the diffuse light for what is in the space: kappa, leaf, given, beam, met. It returns what leaves have scattered, µmol/s. Light is given
// back as it was found in the round before; what the last round finds more or less than that counts as taken where it is, so that
// every photon is counted once however few the rounds.
func (d *diffuse) solve(sp *diffuseSpace, rounds, passes, workers int) (scattered float64) {
	clear(sp.arrives)
	clear(sp.first)
	for i := range sp.inside {
		clear(sp.inside[i])
		clear(sp.onward[i])
	}
	for c, given := range sp.given {
		if given == 0 || d.sides[c]&(1<<sideDown) == 0 {
			continue
		}
		// Over a boundary it comes from there, not from inside the cell.
		b := d.boundary[c*sixSides+sideDown]
		sp.first[b] += given / float32(math.Pi*d.bounds[b].area)
		sp.given[c] = 0
	}
	copy(sp.all, sp.beam)
	kept := d.kept()
	for round := range rounds {
		for i := range d.bounds {
			b := &d.bounds[i]
			sp.back[i] = sp.first[i]
			switch b.to {
			case toBed:
				sp.back[i] += float32(d.ground * sp.arrives[i] / (math.Pi * b.area))
			case toHardscape:
				sp.back[i] += float32(d.stone * sp.arrives[i] / (math.Pi * b.area))
			}
		}
		sum := 0.0
		for c, met := range sp.met {
			if round > 0 {
				met += (sp.all[c*kept] - sp.beam[c*kept]) / sp.volume[c] * sp.leaf[c]
			}
			sp.made[c] = met * float32(d.leaf/(4*math.Pi))
			if d.open[c] {
				sum += float64(sp.made[c])
			}
		}
		scattered = sum * 4 * math.Pi
		sp.passes = passes
		sp.next.Store(0)
		n := min(workers, len(sp.lanes))
		sp.wait.Add(n)
		for range n - 1 {
			go sp.run()
		}
		sp.run()
		sp.wait.Wait()
		clear(sp.arrives)
		clear(sp.down)
		copy(sp.all, sp.beam)
		sp.lost, sp.scattered = [sinks]float64{}, 0
		for l := range sp.lanes {
			ln := &sp.lanes[l]
			for i, v := range ln.moments {
				sp.all[i] += v
			}
			for i, v := range ln.down {
				sp.down[i] += v
			}
			for i, v := range ln.arrives {
				sp.arrives[i] += v
			}
			for i, v := range ln.lost {
				sp.lost[i] += v
			}
			sp.scattered += ln.thrown
		}
	}
	clear(sp.onBed)
	for i := range d.bounds {
		if b := &d.bounds[i]; b.to == toBed && b.side == sideDown {
			column := int(b.cell) % (d.nx * d.ny)
			sp.onBed[column] += float32(sp.arrives[i] / (d.dx[column%d.nx] * d.dy[column/d.nx]))
		}
	}
	return scattered
}

// solveGroup sweeps the eight directions of a group several times, so that what walls and surface return finds its way. What the surface returns goes on
// in the same pass and what walls return in the next, so that no direction goes before its mirror image.
func (d *diffuse) solveGroup(sp *diffuseSpace, ln *diffuseLane, i, passes int) {
	in, onward := sp.inside[i], sp.onward[i]
	n := len(d.bounds)
	for m := range 8 {
		for b := range d.bounds {
			if to := d.bounds[b].to; to == toBed || to == toHardscape {
				in[m*n+b] = sp.back[b]
			}
		}
	}
	for pass := range passes {
		for m := 7; m >= 0; m-- { // what goes up comes from the ground, what comes down is returned from above
			d.sweep(sp, ln, &d.groups[i], in, onward, m, pass == passes-1)
		}
		for b := range d.bounds {
			if d.bounds[b].to == toWall {
				for at := b; at < len(in); at += n {
					in[at] = onward[at]
				}
			}
		}
	}
}

// sweep carries one direction's radiance through the tank, each cell's after those that it comes from.
func (d *diffuse) sweep(sp *diffuseSpace, ln *diffuseLane, gr *group, in, onward []float32, m int, last bool) {
	n := len(d.bounds)
	mine := in[m*n : (m+1)*n]
	mirrorX, mirrorY, mirrorZ := onward[(m^toRight)*n:(m^toRight+1)*n], onward[(m^toBack)*n:(m^toBack+1)*n], in[(m^upwards)*n:(m^upwards+1)*n]
	fromX, intoX, fromY, intoY, fromZ, intoZ := sideRight, sideLeft, sideBack, sideFront, sideUp, sideDown
	ux, uy, uz := -gr.ux, -gr.uy, -gr.uz
	if m&toRight != 0 {
		fromX, intoX, ux = sideLeft, sideRight, gr.ux
	}
	if m&toBack != 0 {
		fromY, intoY, uy = sideFront, sideBack, gr.uy
	}
	up := m&upwards != 0
	if up {
		fromZ, intoZ, uz = sideDown, sideUp, gr.uz
	}
	solid := float32(gr.weight)
	basis := d.basis(ux, uy, uz)
	kept := d.kept()
	onto := inMoments(ux, uy, uz)
	lift := float32(gr.uz / math.Pi)
	for kz := range d.nz {
		iz := d.nz - 1 - kz
		if up {
			iz = kz
		}
		for ky := range d.ny {
			iy := d.ny - 1 - ky
			if m&toBack != 0 {
				iy = ky
			}
			ax := float32(gr.ux * d.dy[iy] * d.dz[iz])
			outX := float32(0)
			for kx := range d.nx {
				ix := d.nx - 1 - kx
				if m&toRight != 0 {
					ix = kx
				}
				c := (iz*d.ny+iy)*d.nx + ix
				if !d.open[c] {
					continue
				}
				ay, az := float32(gr.uy*d.dx[ix]*d.dz[iz]), float32(gr.uz*d.dx[ix]*d.dy[iy])
				inX, inY, inZ := outX, ln.outY[ix], ln.outZ[iy*d.nx+ix]
				sides := d.sides[c]
				bounds := d.boundary[c*sixSides : c*sixSides+sixSides]
				if sides != 0 {
					if sides&(1<<fromX) != 0 {
						inX = d.in(sp, ln, bounds[fromX], mine, ax*solid, last)
					}
					if sides&(1<<fromY) != 0 {
						inY = d.in(sp, ln, bounds[fromY], mine, ay*solid, last)
					}
					if sides&(1<<fromZ) != 0 {
						inZ = d.in(sp, ln, bounds[fromZ], mine, az*solid, last)
					}
				}
				made := sp.made[c]
				if up {
					made += lift * sp.given[c]
				}
				if kept == moments {
					s := sp.all[c*moments : c*moments+moments]
					scattered := float32(0)
					for i, v := range s {
						scattered += v * basis[i]
					}
					made += scattered
					if last {
						ln.thrown += float64(scattered * solid)
					}
				}
				// Radiance falls off across the cell from each side it comes in by (weighted diamond differences; Carlson and Lathrop
				// 1968), but only so far that none is left on any side.
				comes, across := ax*inX+ay*inY+az*inZ, ax+ay+az
				radiance := (made + (1+lean)*comes) / (sp.kappa[c] + (1+lean)*across)
				onX, onY, onZ := (1+lean)*radiance-lean*inX, (1+lean)*radiance-lean*inY, (1+lean)*radiance-lean*inZ
				if least := min(onX, onY, onZ); least < 0 {
					flat := (made + comes) / (sp.kappa[c] + across)
					part := flat / (flat - least)
					radiance = flat + (radiance-flat)*part
					onX, onY, onZ = max(flat+(onX-flat)*part, 0), max(flat+(onY-flat)*part, 0), max(flat+(onZ-flat)*part, 0)
				}
				outX, ln.outY[ix], ln.outZ[iy*d.nx+ix] = onX, onY, onZ
				if sides != 0 {
					d.out(ln, bounds[intoX], sides&(1<<intoX) != 0, mirrorX, onX, gr.wallX, ax*solid, last)
					d.out(ln, bounds[intoY], sides&(1<<intoY) != 0, mirrorY, onY, gr.wallY, ay*solid, last)
					d.out(ln, bounds[intoZ], sides&(1<<intoZ) != 0, mirrorZ, onZ, gr.surface, az*solid, last)
				}
				if last {
					scalar := radiance * solid * sp.volume[c]
					if kept == moments {
						to := ln.moments[c*moments : c*moments+moments]
						for i, v := range onto {
							to[i] += scalar * v
						}
					} else {
						ln.moments[c] += scalar
					}
					if !up {
						ln.down[c] += radiance * solid * float32(gr.uz)
					}
				}
			}
		}
	}
}

// in is what comes in through a boundary; but for the lamps' light that is given back there it is taken off what goes out through it.
func (d *diffuse) in(sp *diffuseSpace, ln *diffuseLane, b int32, mine []float32, flux float32, last bool) float32 {
	if last {
		ln.lost[d.bounds[b].to] -= float64((mine[b] - sp.first[b]) * flux)
	}
	return mine[b]
}

// out hands on what comes to a boundary.
func (d *diffuse) out(ln *diffuseLane, b int32, is bool, mirror []float32, radiance float32, returned float64, flux float32, last bool) {
	if !is {
		return
	}
	to := d.bounds[b].to
	if last {
		ln.lost[to] += float64(radiance * flux)
	}
	if to != toBed && to != toHardscape {
		mirror[b] = radiance * float32(returned)
	} else if last {
		ln.arrives[b] += float64(radiance * flux)
	}
}

// inMoments are the weights by which a direction's light counts in each moment.
func inMoments(x, y, z float64) [moments]float32 {
	return [moments]float32{1, float32(x), float32(y), float32(z), float32(x * x), float32(y * y), float32(z * z), float32(x * y), float32(x * z), float32(y * z)}
}

// basis turns a cell's moments into what is scattered into a direction, per steradian: the phase function
// 1 + 3 g₁ cos + 5 g₂ (3 cos² − 1)/2 over 4π, times the scattering coefficient.
func (d *diffuse) basis(x, y, z float64) [moments]float32 {
	b := d.scattering / (4 * math.Pi)
	g1, g2 := 3*d.first, 7.5*d.second
	out := [moments]float64{
		1 - g2/3, g1 * x, g1 * y, g1 * z,
		g2 * x * x, g2 * y * y, g2 * z * z, 2 * g2 * x * y, 2 * g2 * x * z, 2 * g2 * y * z,
	}
	var basis [moments]float32
	for i, v := range out {
		basis[i] = float32(b * v)
	}
	return basis
}

// way is a direction, as a unit vector.
type way struct{ x, y, z float64 }

// wayMaker finds the mean direction of a bundle in each coarse cell.
type wayMaker struct {
	d    *diffuse
	sums []way // weight in z
}

func newWayMaker(d *diffuse) *wayMaker { return &wayMaker{d, make([]way, d.nx*d.ny*d.nz)} }

func (w *wayMaker) add(ix, iy, k int, weight, sx, sy float64) {
	s := &w.sums[w.d.at(int(w.d.toX[ix]), int(w.d.toY[iy]), int(w.d.toZ[k]))]
	s.x += weight * sx
	s.y += weight * sy
	s.z += weight
}

func (w *wayMaker) done() []way {
	for i, s := range w.sums {
		w.sums[i] = way{0, 0, -1}
		if s.z > 0 {
			x, y := s.x/s.z, s.y/s.z
			l := math.Sqrt(1 + x*x + y*y)
			w.sums[i] = way{x / l, y / l, -1 / l}
		}
	}
	return w.sums
}

// collect adds what a bundle's light, scalar by coarse cell (µmol m⁻² s⁻¹ × m³), gives to the moments.
func collect(beam, scalar []float32, ways []way) {
	for c, v := range scalar {
		if v == 0 {
			continue
		}
		to := beam[c*moments : c*moments+moments]
		for i, weight := range inMoments(ways[c].x, ways[c].y, ways[c].z) {
			to[i] += v * weight
		}
	}
}

// lerp is where the middle of a voxel lies among the middles of the coarse cells along one axis.
type lerp struct {
	lo, hi int32
	part   float32
}

func lerps(widths []float64, cells []float64) []lerp {
	middle := make([]float64, len(cells))
	at := 0.0
	for i, w := range cells {
		middle[i] = at + w/2
		at += w
	}
	out := make([]lerp, len(widths))
	at, j := 0.0, 0
	for i, w := range widths {
		m := at + w/2
		at += w
		for j+1 < len(middle) && middle[j+1] <= m {
			j++
		}
		next := min(j+1, len(middle)-1)
		l := lerp{lo: int32(j), hi: int32(next)}
		if next > j && m > middle[j] {
			l.part = float32((m - middle[j]) / (middle[next] - middle[j]))
		}
		out[i] = l
	}
	return out
}

// of reads between the values of a row.
func (l *lerp) of(row []float32) float32 { return row[l.lo] + (row[l.hi]-row[l.lo])*l.part }

// rowBetween fills a row of values along x that lies between those of a grid of rows of nx and planes of so many values.
func rowBetween(values []float32, nx, plane int, y, z *lerp, row []float32) {
	low, high := values[int(z.lo)*plane:int(z.lo+1)*plane], values[int(z.hi)*plane:int(z.hi+1)*plane]
	a, b := low[int(y.lo)*nx:int(y.lo+1)*nx], low[int(y.hi)*nx:int(y.hi+1)*nx]
	p, q := high[int(y.lo)*nx:int(y.lo+1)*nx], high[int(y.hi)*nx:int(y.hi+1)*nx]
	for i := range row {
		u := a[i] + (b[i]-a[i])*y.part
		v := p[i] + (q[i]-p[i])*y.part
		row[i] = u + (v-u)*z.part
	}
}

// spread adds the diffuse light to the voxels and to the bed.
func (d *diffuse) spread(sp *diffuseSpace, f *Field) {
	g := d.g
	d.fillClosed(sp.down)
	nx, plane := d.nx, d.nx*d.ny
	for k := range g.nz {
		z := &d.lerpZ[k]
		for iy := range g.ny {
			y := &d.lerpY[iy]
			// One row of coarse cells at this height and depth, and then along it.
			row := sp.row[:nx]
			rowBetween(sp.down, nx, plane, y, z, row)
			vox := (k*g.ny + iy) * g.nx
			ppfd := f.PPFD[vox : vox+g.nx]
			solid := g.v.Solid[vox : vox+g.nx]
			for ix := range ppfd {
				if !solid[ix] {
					ppfd[ix] += float64(d.lerpX[ix].of(row))
				}
			}
		}
	}
	for iy := range g.ny {
		y := &d.lerpY[iy]
		for ix := range g.nx {
			c := iy*g.nx + ix
			if f.Bed[c] <= 0 {
				continue // outside the glass, or under a stone
			}
			x := &d.lerpX[ix]
			at := func(y int32) float32 {
				a, b := sp.onBed[int(y)*nx+int(x.lo)], sp.onBed[int(y)*nx+int(x.hi)]
				return a + (b-a)*x.part
			}
			a, b := at(y.lo), at(y.hi)
			f.Bed[c] += float64(a + (b-a)*y.part)
		}
	}
}

// fillClosed gives cells without water the mean of the open ones beside them, so that voxels of water in them and beside them find a
// value to go on from.
func (d *diffuse) fillClosed(values []float32) {
	for _, c := range d.closed {
		sum, n := float32(0), 0
		for _, o := range c.beside {
			sum += values[o]
			n++
		}
		values[c.cell] = sum / float32(n)
	}
}

// closedCell is a cell without water that has open ones beside it.
type closedCell struct {
	cell   int32
	beside []int32
}

func (d *diffuse) findClosed() {
	for iz := range d.nz {
		for iy := range d.ny {
			for ix := range d.nx {
				c := d.at(ix, iy, iz)
				if d.open[c] {
					continue
				}
				one := closedCell{cell: int32(c)}
				for dz := -1; dz <= 1; dz++ {
					for dy := -1; dy <= 1; dy++ {
						for dx := -1; dx <= 1; dx++ {
							jx, jy, jz := ix+dx, iy+dy, iz+dz
							if jx < 0 || jy < 0 || jz < 0 || jx >= d.nx || jy >= d.ny || jz >= d.nz {
								continue
							}
							if o := d.at(jx, jy, jz); d.open[o] {
								one.beside = append(one.beside, int32(o))
							}
						}
					}
				}
				if len(one.beside) > 0 {
					d.closed = append(d.closed, one)
				}
			}
		}
	}
}
