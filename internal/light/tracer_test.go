package light

import (
	"fmt"
	"littoral/internal/check"
	"littoral/internal/geometry"
	"math"
	"math/rand/v2"
	"testing"
)

// photonTracer follows photons one by one by chance: the plainest way to reckon light, slow and noisy, and with nothing in common with the
// solver but the laws of optics. It is the judge where there is no table: round tanks, and leaves whose shade goes by way of the panes.
type photonTracer struct {
	tank      geometry.Tank
	lamp      Source
	kd        float64
	b, g      float64 // scattering, 1/m, and its asymmetry
	albedo    float64
	kappa     float64       // leaves in the box hedge
	hedge     [2][3]float64 // its corners
	sigma     float64       // share of what they meet that the leaves scatter
	nx, ny    int
	bed       []float64 // arrivals per cell
	walls     float64
	surface   float64
	leaves    float64
	poly      polygon
	ripples   float64
	rand      *rand.Rand
	reflected float64
}

func (p *photonTracer) run(n int) {
	p.poly = outline(p.tank.Footprint)
	p.bed = make([]float64, p.nx*p.ny)
	p.rand = rand.New(rand.NewPCG(1, 2))
	for range n {
		p.photon()
	}
}

func (p *photonTracer) photon() {
	x := p.lamp.X + p.lamp.SizeX*(p.rand.Float64()-0.5)
	y := p.lamp.Y + p.lamp.SizeY*(p.rand.Float64()-0.5)
	cos := math.Pow(p.rand.Float64(), 1/(p.lamp.N+1))
	dx, dy := p.around(math.Sqrt(1 - cos*cos))
	for _, g := range p.lamp.gates {
		if fall := (p.lamp.Height - g.height) / cos; g.height > 0 && g.height < p.lamp.Height {
			if ax, ay := x+dx*fall, y+dy*fall; ax < g.x0 || ax > g.x1 || ay < g.y0 || ay > g.y1 {
				return
			}
		}
	}
	x, y = x+dx/cos*p.lamp.Height, y+dy/cos*p.lamp.Height
	if !p.poly.holds(x, y) {
		return
	}
	dx, dy, dz, back := p.facet(dx, dy, -cos, IndexAir, IndexWater)
	if back || dz >= 0 {
		p.reflected++
		return
	}
	p.follow(x, y, p.tank.WaterLevel, dx, dy, dz, 1)
}

// follow carries a photon on in the water.
func (p *photonTracer) follow(x, y, z, dx, dy, dz, weight float64) {
	for least := 1e-5 * weight; weight > least; {
		side, way := p.poly.meet(x, y, dx, dy)
		end := -z / dz
		if dz > 0 {
			end = (p.tank.WaterLevel - z) / dz
		}
		length := min(way, end)
		scatters := false
		if p.b > 0 {
			if free := -math.Log(1-p.rand.Float64()) / p.b; free < length {
				length, scatters = free, true
			}
		}
		from, to := p.inHedge(x, y, z, dx, dy, dz, length)
		leaf, meets := p.kappa*(to-from), false
		if p.sigma > 0 && leaf > 0 {
			if free := -math.Log(1-p.rand.Float64()) / p.kappa; free < to-from {
				length, meets, scatters = from+free, true, false
			}
			leaf = 0
		}
		left := weight * math.Exp(-p.kd*length-leaf)
		if leaf > 0 {
			p.leaves += (weight - left) * leaf / (p.kd*length + leaf)
		}
		weight = left
		x, y, z = x+dx*length, y+dy*length, z+dz*length
		switch {
		case meets:
			p.leaves += weight * (1 - p.sigma)
			weight *= p.sigma
			dx, dy, dz = p.offLeaf(dx, dy, dz)
		case scatters:
			dx, dy, dz = p.scattered(dx, dy, dz)
		case way < end:
			n := p.poly[side]
			across := dx*n.nx + dy*n.ny
			if p.rand.Float64() > WallReflectance(math.Abs(across), IndexWater) {
				p.walls += weight
				return
			}
			dx, dy = dx-2*across*n.nx, dy-2*across*n.ny
		case dz < 0:
			ix, iy := min(int(x/p.tank.LX*float64(p.nx)), p.nx-1), min(int(y/p.tank.LY*float64(p.ny)), p.ny-1)
			p.bed[max(iy, 0)*p.nx+max(ix, 0)] += weight
			weight *= p.albedo
			dz = math.Sqrt(p.rand.Float64())
			dx, dy = p.around(math.Sqrt(1 - dz*dz))
			z = 1e-12
		default:
			var back bool
			if dx, dy, dz, back = p.facet(dx, dy, dz, IndexWater, IndexAir); !back {
				p.surface += weight
				return
			}
			dz = -math.Abs(dz) // what a facet throws up again meets the next one
		}
	}
}

// facet meets a surface of chance slopes, each as likely as the light it catches, from either side, and says whether the photon is thrown back.
func (p *photonTracer) facet(dx, dy, dz, n1, n2 float64) (x, y, z float64, back bool) {
	side := -math.Copysign(1, dz) // of the normal, against the photon
	nx, ny, nz := 0.0, 0.0, side
	if p.ripples > 0 {
		s := math.Sqrt(p.ripples / 2)
		for {
			mx, my := s*p.rand.NormFloat64(), s*p.rand.NormFloat64()
			caught := math.Abs(dz) + side*(dx*mx+dy*my)
			if p.rand.Float64()*(math.Abs(dz)+6*s) > caught {
				continue
			}
			l := math.Sqrt(1 + mx*mx + my*my)
			nx, ny, nz = -side*mx/l, -side*my/l, side/l
			break
		}
	}
	c1 := -(dx*nx + dy*ny + dz*nz)
	if p.rand.Float64() < Fresnel(math.Acos(min(c1, 1)), n1, n2) {
		return dx + 2*c1*nx, dy + 2*c1*ny, dz + 2*c1*nz, true
	}
	r := n1 / n2
	t := r*c1 - math.Sqrt(1-r*r*(1-c1*c1))
	return r*dx + t*nx, r*dy + t*ny, r*dz + t*nz, false
}

func (p *photonTracer) around(r float64) (x, y float64) {
	y, x = math.Sincos(2 * math.Pi * p.rand.Float64())
	return x * r, y * r
}

// scattered turns a direction by a chance angle of Henyey and Greenstein's phase function.
func (p *photonTracer) scattered(dx, dy, dz float64) (x, y, z float64) {
	cos := 2*p.rand.Float64() - 1
	if p.g != 0 {
		t := (1 - p.g*p.g) / (1 + p.g*cos)
		cos = (1 + p.g*p.g - t*t) / (2 * p.g)
	}
	a, b := p.around(math.Sqrt(max(1-cos*cos, 0)))
	// Two directions across the old one.
	r := math.Hypot(dx, dy)
	if r < 1e-9 {
		return a, b, math.Copysign(cos, dz*cos)
	}
	x = dx*cos + a*dx*dz/r - b*dy/r
	y = dy*cos + a*dy*dz/r + b*dx/r
	z = dz*cos - a*r
	return x, y, z
}

// offLeaf turns a direction at a leaf that lies anyhow (spherical distribution of leaf normals) and scatters half forwards through it and half back, evenly
// about its normal on either side (Ross 1981's bi-Lambertian leaf).
func (p *photonTracer) offLeaf(dx, dy, dz float64) (x, y, z float64) {
	for {
		nz := 2*p.rand.Float64() - 1
		nx, ny := p.around(math.Sqrt(1 - nz*nz))
		if across := math.Abs(dx*nx + dy*ny + dz*nz); p.rand.Float64() > across {
			continue // seldom met, since seen nearly edge-on
		}
		// Either side with the same chance; Lambert's law by adding a point of the unit sphere.
		sz := 2*p.rand.Float64() - 1
		sx, sy := p.around(math.Sqrt(1 - sz*sz))
		x, y, z = nx+sx, ny+sy, nz+sz
		if r := math.Sqrt(x*x + y*y + z*z); r > 1e-6 {
			return x / r, y / r, z / r
		}
	}
}

// inHedge is the part of a way that lies inside the hedge (slabs).
func (p *photonTracer) inHedge(x, y, z, dx, dy, dz, length float64) (from, to float64) {
	if p.kappa == 0 {
		return 0, 0
	}
	to = length
	for i, at := range [3]float64{x, y, z} {
		d := [3]float64{dx, dy, dz}[i]
		if d == 0 {
			if at < p.hedge[0][i] || at > p.hedge[1][i] {
				return 0, 0
			}
			continue
		}
		a, b := (p.hedge[0][i]-at)/d, (p.hedge[1][i]-at)/d
		from, to = max(from, min(a, b)), min(to, max(a, b))
	}
	return from, max(to, from)
}

const ourTracer = "own photon tracer in the test, sharing only the Fresnel equations"

func round120(radius float64, depth float64) (geometry.Tank, *geometry.Voxels) {
	tank := boxTank(2*radius, 2*radius, depth)
	tank.Shape, tank.Footprint = "cylinder", nil
	for i := range 120 {
		a := 2 * math.Pi * float64(i) / 120
		tank.Footprint = append(tank.Footprint, [2]float64{radius + radius*math.Cos(a), radius + radius*math.Sin(a)})
	}
	v := emptyBox(tank, 0.025)
	for c := range v.GroundIZ {
		x, y := (float64(c%v.NX)+0.5)*v.Cell-radius, (float64(c/v.NX)+0.5)*v.Cell-radius
		if math.Hypot(x, y) > radius {
			v.GroundIZ[c] = v.NZ
			for iz := range v.NZ {
				v.Solid[iz*v.NX*v.NY+c] = true
			}
		}
	}
	return tank, v
}

func TestRoundTankLikeTracer(t *testing.T) {
	const radius, photons, n = 0.6, 3_000_000, 9
	tank, v := round120(radius, 0.6)
	lamp := Source{X: 0.5, Y: radius, Height: 0.3, SizeX: 0.4, SizeY: 0.2, Flux: 300, N: 1}
	p := photonTracer{tank: tank, lamp: lamp, kd: 0.3, albedo: 0.1, nx: n, ny: n}
	p.run(photons)
	f := NewSolver([]Source{lamp}, v, tank, Options{Ground: 0.1, Fine: true}).Solve(nil, nil, 0.3, nil)
	m := f.BedMap(n, n)
	side := 2 * radius / n
	mean, sq, cells, worst := 0.0, 0.0, 0, 0.0
	for pass := range 2 {
		for iy := range n {
			for ix := range n {
				// Whole cells only.
				x, y := max(math.Abs(float64(ix)*side-radius), math.Abs(float64(ix+1)*side-radius)), max(math.Abs(float64(iy)*side-radius), math.Abs(float64(iy+1)*side-radius))
				if math.Hypot(x, y) > radius {
					continue
				}
				want := p.bed[iy*n+ix] / photons * lamp.Flux / (side * side)
				if pass == 0 {
					mean += want
					cells++
					continue
				}
				sq += (m.PPFD[iy*n+ix] - want) * (m.PPFD[iy*n+ix] - want)
				worst = max(worst, math.Abs(m.PPFD[iy*n+ix]/want-1))
			}
		}
		if pass == 0 {
			mean /= float64(cells)
		}
	}
	rms := math.Sqrt(sq/float64(cells)) / mean
	bed := 0.0
	for _, w := range p.bed {
		bed += w / photons
	}
	share := max(math.Abs(bed*0.9-f.Budget.Bed), math.Abs(p.walls/photons-f.Budget.Walls), math.Abs(p.surface/photons-f.Budget.Surface))
	t.Logf("RMS %.4f, worst cell %.4f, worst share %.4f; %+v", rms, worst, share, f.Budget)
	if rms > 0.03 || worst > 0.08 || share > 0.01 {
		t.Errorf("RMS %.4f of the mean, worst cell %.4f, worst share %.4f", rms, worst, share)
	}
	for _, r := range []check.Row{
		{What: "round tank: light at the bed in whole cells of 9×9, RMS over mean", Worst: fmt.Sprintf("%.1f %%", 100*rms), Within: "3 %"},
		{What: "round tank: worst whole cell", Worst: fmt.Sprintf("%.1f %%", 100*worst), Within: "8 %"},
		{What: "round tank: shares at bed, walls and surface", Worst: fmt.Sprintf("%.4f", share), Within: "0.01"},
	} {
		r.Room, r.Source = "light", ourTracer
		check.Record(t, r)
	}
}

func TestHedgeLikeTracer(t *testing.T) {
	const photons, nx, ny = 3_000_000, 12, 6
	tank := boxTank(1.2, 0.6, 0.5)
	lamp := Source{X: 0.5, Y: 0.3, Height: 0.25, SizeX: 0.6, SizeY: 0.15, Flux: 150, N: 1}
	for _, h := range []struct {
		name         string
		sigma, kappa float64
		hedge        [2][3]float64
		rms, share   float64
	}{
		{"a hedge at the back pane, 8 /m, black leaves", 0, 8, [2][3]float64{{0.6, 0.3, 0}, {0.9, 0.6, 0.3}}, 0.04, 0.012},
		{"the same, leaves scatter a fifth", LeafScattering, 8, [2][3]float64{{0.6, 0.3, 0}, {0.9, 0.6, 0.3}}, 0.04, 0.012},
		{"meadow over the whole bed to half the depth, 6 /m, leaves scatter a fifth", LeafScattering, 6, [2][3]float64{{0, 0, 0}, {1.2, 0.6, 0.25}}, 0.03, 0.005},
	} {
		p := photonTracer{tank: tank, lamp: lamp, kd: 0.3, albedo: 0.1, nx: nx, ny: ny, kappa: h.kappa, sigma: h.sigma, hedge: h.hedge}
		p.run(photons)
		v := emptyBox(tank, 0.025)
		leaf := make([]float64, len(v.Solid))
		each(v, func(i int, x, y, z float64) {
			if x > h.hedge[0][0] && x < h.hedge[1][0] && y > h.hedge[0][1] && y < h.hedge[1][1] && z < h.hedge[1][2] {
				leaf[i] = h.kappa
			}
		})
		for _, c := range []struct {
			name string
			opt  Options
		}{
			{"usual setting", Options{Ground: 0.1, Leaf: h.sigma}},
			{"fine setting", Options{Ground: 0.1, Leaf: h.sigma, Fine: true}},
		} {
			f := NewSolver([]Source{lamp}, v, tank, c.opt).Solve(leaf, nil, 0.3, nil)
			got, want := f.BedMap(nx, ny).PPFD, make([]float64, nx*ny)
			for i, w := range p.bed {
				want[i] = w / photons * lamp.Flux / (tank.LX * tank.LY / (nx * ny))
			}
			rms, worst := compare(got, want)
			b := f.Budget
			share := math.Abs(p.leaves/photons - b.Leaves)
			t.Logf("%s, %s: RMS %.4f, worst cell %.3f, mean %+.4f, leaves %.4f and %.4f, surface %.4f and %.4f, walls %.4f and %.4f, sum %.5f", h.name, c.name, rms, worst, mean(got)/mean(want)-1,
				b.Leaves, p.leaves/photons, b.Surface, p.surface/photons, b.Walls, p.walls/photons, b.Sum())
			if rms > h.rms || share > h.share {
				t.Errorf("%s, %s: RMS %.4f of the mean, leaves %.4f, tracer %.4f", h.name, c.name, rms, b.Leaves, p.leaves/photons)
			}
			check.Record(t, check.Row{
				Room: "light", What: h.name + ", " + c.name + ": light at the bed, 12×6 cells, RMS over mean", Source: ourTracer,
				Worst: fmt.Sprintf("%.1f %%", 100*rms), Within: fmt.Sprintf("%.1f %%", 100*h.rms),
			})
			check.Record(t, check.Row{
				Room: "light", What: "the same: share of photons that the leaves take", Source: ourTracer,
				Worst: fmt.Sprintf("%.4f", share), Within: fmt.Sprint(h.share),
			})
		}
	}
}

// BenchmarkTracer is the measure for the solver's speed: photons followed in a tank of 120×60×55 cm.
func BenchmarkTracer(b *testing.B) {
	tank := boxTank(1.2, 0.6, 0.55)
	p := photonTracer{tank: tank, lamp: Source{X: 0.6, Y: 0.3, Height: 0.3, SizeX: 0.6, SizeY: 0.2, N: 1}, kd: 0.2, albedo: 0.1, nx: 48, ny: 24}
	b.ReportAllocs()
	defer cpu(b)()
	p.run(b.N)
}

// TestMurkyWaterLikeTracer tries scattering from none to far more than a tank's, and ground from dark to white.
func TestMurkyWaterLikeTracer(t *testing.T) {
	const photons = 1_500_000
	worstRMS, worstCell, worstShare := 0.0, 0.0, 0.0
	for _, c := range []struct {
		name            string
		tank            geometry.Tank
		lamp            Source
		kd, b, g, bed   float64
		rms, cell, part float64
	}{
		{"murky", boxTank(1.2, 0.6, 0.55), Source{X: 0.6, Y: 0.3, Height: 0.3, SizeX: 0.6, SizeY: 0.2, N: 1}, 0.2, 1, 0.9, 0.1, 0.03, 0.08, 0.01},
		{"clear over white sand, lamp off the middle", boxTank(1.2, 0.6, 0.55), Source{X: 0.4, Y: 0.25, Height: 0.3, SizeX: 0.6, SizeY: 0.2, N: 1}, 0.2, 0, 0, 0.4, 0.03, 0.08, 0.01},
		{"scattering to all sides", boxTank(0.9, 0.45, 0.42), Source{X: 0.45, Y: 0.225, Height: 0.3, SizeX: 0.6, SizeY: 0.2, N: 1}, 0.3, 0.5, 0, 0.1, 0.03, 0.08, 0.01},
		{"milky under a spot", boxTank(1.5, 1.5, 0.68), Source{X: 0.75, Y: 0.75, Height: 0.5, N: 11}, 0.2, 2, 0.8, 0.1, 0.03, 0.08, 0.01},
	} {
		c.lamp.Flux = 1000
		p := photonTracer{tank: c.tank, lamp: c.lamp, kd: c.kd, b: c.b, g: c.g, albedo: c.bed, nx: 9, ny: 9}
		p.run(photons)
		w := Water{Absorption: c.kd, Scattering: c.b, Asymmetry: c.g, Ground: c.bed}
		f := NewSolver([]Source{c.lamp}, emptyBox(c.tank, 0.025), c.tank, w.Over(Options{Fine: true, MaxEmitters: 1})).Solve(nil, nil, c.kd, nil)
		want, bed := make([]float64, 81), 0.0
		for i, n := range p.bed {
			want[i] = n / photons * c.lamp.Flux / (c.tank.LX * c.tank.LY / 81)
			bed += n / photons
		}
		rms, cell := compare(f.BedMap(9, 9).PPFD, want)
		b := f.Budget
		part := max(math.Abs(b.Bed-bed*(1-c.bed)), math.Abs(b.Walls-p.walls/photons), math.Abs(b.Surface-p.surface/photons))
		t.Logf("%s: RMS %.4f, worst cell %.4f, worst share %.4f (bed %+.4f walls %+.4f surface %+.4f), sum %.5f", c.name, rms, cell, part, b.Bed-bed*(1-c.bed), b.Walls-p.walls/photons, b.Surface-p.surface/photons, b.Sum())
		worstRMS, worstCell, worstShare = max(worstRMS, rms), max(worstCell, cell), max(worstShare, part)
		if rms > c.rms || cell > c.cell || part > c.part {
			t.Errorf("%s: RMS %.4f of the mean, worst cell %.4f, worst share %.4f", c.name, rms, cell, part)
		}
	}
	check.Record(t, check.Row{
		Room: "light", What: "murky water and white ground, 4 tanks: light at the bed, 9×9 cells, RMS over mean; worst cell; worst share", Source: ourTracer,
		Worst: fmt.Sprintf("%.1f %%; %.0f %%; %.4f", 100*worstRMS, 100*worstCell, worstShare), Within: "3 %; 8 %; 0.01",
	})
}
