package light

import (
	"fmt"
	"littoral/internal/check"
	"littoral/internal/geometry"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

func TestSunAndSky(t *testing.T) {
	const minute = 1. / 60
	for _, c := range []struct {
		what              string
		got, want, within float64
	}{
		// Solstices and equinoxes: 23.44° and 0 (Astronomical Almanac).
		{"declination at the June solstice, °", Declination(172) * 180 / math.Pi, 23.44, 0.05},
		{"declination at the December solstice, °", Declination(355) * 180 / math.Pi, -23.44, 0.05},
		{"declination at the March equinox (noon of day 79), °", Declination(79.5) * 180 / math.Pi, 0, 0.5},
		// At noon the sun stands at 90° − latitude + declination.
		{"noon at 52° N in June, °", math.Asin(SunHeight(deg(52), Declination(172), 12)) * 180 / math.Pi, 61.44, 0.05},
		{"noon at 52° N in December, °", math.Asin(SunHeight(deg(52), Declination(355), 12)) * 180 / math.Pi, 14.56, 0.05},
		// Tables of day length without refraction: 12 h at the equator, 16 h 24 min and 7 h 36 min at 52° N.
		{"day at the equator, h", DayLength(0, Declination(100)), 12, 1e-9},
		{"longest day at 52° N, h", DayLength(deg(52), Declination(172)), 16 + 30*minute, 10 * minute},
		{"shortest day at 52° N, h", DayLength(deg(52), Declination(355)), 7 + 30*minute, 10 * minute},
		{"midnight sun at 70° N, h", DayLength(deg(70), Declination(172)), 24, 0},
		{"polar night at 70° N, h", DayLength(deg(70), Declination(355)), 0, 0},
	} {
		if math.Abs(c.got-c.want) > c.within {
			t.Errorf("%s: %.3f, want %.3f", c.what, c.got, c.want)
		}
	}
	check.Record(t, check.Row{
		Room: "light", What: "declination at solstices and equinox, sun's height at noon, length of day at 0, 52 and 70° N", Source: "Astronomical Almanac; spherical astronomy", Memory: true,
		Worst: fmt.Sprintf("%.3f° at the June solstice", Declination(172)*180/math.Pi-23.44), Within: "0.05°, at the equinox 0.5°; 10 min",
	})
	// The sky gives 1 on level ground, and on an upright plane that sees half of it 0.396 (CIE overcast sky: 1/2 by the horizon's third would be 0.5 of a uniform one).
	level, upright := 0.0, 0.0
	const n = 400
	for i := range n {
		sin := (float64(i) + 0.5) / n
		level += overcast(sin) * sin * 2 * math.Pi / n
		upright += overcast(sin) * math.Sqrt(1-sin*sin) * 2 / n
	}
	if math.Abs(level-1) > 1e-5 || math.Abs(upright-0.396) > 0.001 {
		t.Errorf("an overcast sky gives %.5f on level ground, want 1, and %.4f on an upright plane, want 0.396", level, upright)
	}
	check.Record(t, check.Row{
		Room: "light", What: "CIE overcast sky: level ground from zenith luminance (7π/9), upright plane over level", Source: "Moon and Spencer 1942: 0.396 of the level illuminance on a wall", Memory: true,
		Worst: fmt.Sprintf("%.5f, %.4f", level, upright), Within: "1e-5; 0.001",
	})
	if SunPPFD(-0.1) != 0 || OvercastPPFD(0) != 0 || !(SunPPFD(1) > 1800 && SunPPFD(1) < 2100) {
		t.Errorf("sun overhead gives %.0f µmol, want about 1900", SunPPFD(1))
	}
}

// throughWindow sends photons from a window to chance places of the tank's faces, refracts them there and follows them.
func (p *photonTracer) throughWindow(w Window, photons int) (falling float64) {
	t := p.tank
	p.poly = outline(t.Footprint)
	p.bed = make([]float64, p.nx*p.ny)
	p.rand = rand.New(rand.NewPCG(3, 4))
	type wall struct {
		at, u, v, in [3]float64
		area         float64
	}
	x, y, z := t.LX, t.LY, t.WaterLevel
	walls := []wall{
		{[3]float64{0, 0, 0}, [3]float64{0, y, 0}, [3]float64{0, 0, z}, [3]float64{1, 0, 0}, y * z},
		{[3]float64{x, 0, 0}, [3]float64{0, y, 0}, [3]float64{0, 0, z}, [3]float64{-1, 0, 0}, y * z},
		{[3]float64{0, 0, 0}, [3]float64{x, 0, 0}, [3]float64{0, 0, z}, [3]float64{0, 1, 0}, x * z},
		{[3]float64{0, y, 0}, [3]float64{x, 0, 0}, [3]float64{0, 0, z}, [3]float64{0, -1, 0}, x * z},
		{[3]float64{0, 0, z}, [3]float64{x, 0, 0}, [3]float64{0, y, 0}, [3]float64{0, 0, -1}, x * y},
	}
	corner, u, v := w.frame(t)
	normal := w.Side.inward()
	for range photons {
		f := walls[p.rand.IntN(len(walls))]
		a, b, c, d := p.rand.Float64(), p.rand.Float64(), p.rand.Float64(), p.rand.Float64()
		var at, dir [3]float64
		r2 := 0.0
		for i := range at {
			at[i] = f.at[i] + a*f.u[i] + b*f.v[i]
			dir[i] = at[i] - (corner[i] + c*u[i] + d*v[i])
			r2 += dir[i] * dir[i]
		}
		weight := f.area * float64(len(walls)) / float64(photons)
		if w.Sun {
			one := w
			one.SunTurn += w.SunSweep * (p.rand.Float64() - 0.5)
			dir = one.sunDirection()
			// Back to the window's plane.
			down, way := dot(dir, normal), 0.0
			for i := range at {
				way += (at[i] - corner[i]) * normal[i] / down
			}
			inside := way > 0
			for _, edge := range [][3]float64{u, v} {
				s := 0.0
				for i := range at {
					s += (at[i] - dir[i]*way - corner[i]) * edge[i] / dot(edge, edge)
				}
				inside = inside && s >= 0 && s <= 1
			}
			if !inside {
				continue
			}
			weight *= w.Through * max(dot(dir, f.in), 0)
		} else {
			for i := range dir {
				dir[i] /= math.Sqrt(r2)
			}
			weight *= overcast(-dir[2]) * w.Through * w.Width * w.Height * max(dot(dir, f.in), 0) * max(dot(dir, normal), 0) / r2
		}
		if weight == 0 {
			continue
		}
		falling += weight
		cos := dot(dir, f.in)
		inWater := math.Sqrt(1 - (1-cos*cos)/(IndexWater*IndexWater))
		pass := 1 - Fresnel(math.Acos(min(cos, 1)), IndexAir, IndexWater)
		if f.in[2] == 0 {
			pass = (1 - WallReflectance(inWater, IndexWater)) * math.Exp(-glassTakes*t.Glass/math.Sqrt(1-(1-cos*cos)/(IndexGlass*IndexGlass)))
		}
		p.reflected += weight * (1 - pass)
		var in [3]float64
		for i := range in {
			in[i] = (dir[i]-cos*f.in[i])/IndexWater + inWater*f.in[i]
			at[i] += 1e-9 * f.in[i]
		}
		p.follow(at[0], at[1], at[2], in[0], in[1], in[2], weight*pass)
	}
	return falling
}

// TestDaylightLikeTracer follows photons from windows and the sun into tanks without bed or plants.
func TestDaylightLikeTracer(t *testing.T) {
	const photons = 2_000_000
	lobby := boxTank(2, 0.7, 0.6)
	lobby.Glass = 0.015
	worst := [3]float64{}
	for _, c := range []struct {
		name   string
		tank   geometry.Tank
		window Window
	}{
		{"window behind", lobby, Window{Side: Back, Width: 1.6, Height: 1.4, Distance: 1.2, Sill: 0.2, X: 1, Through: 0.7}},
		{"window at the side, off the middle", lobby, Window{Side: Left, Width: 1, Height: 1.2, Distance: 0.8, Sill: 0, Y: 0.6, Through: 0.7}},
		{"skylight", lobby, Window{Side: Above, Width: 1, Height: 0.8, Distance: 1.5, X: 0.8, Y: 0.5, Through: 0.6}},
		{"sun through a window behind", lobby, Window{Side: Back, Width: 1.6, Height: 1.4, Distance: 1.2, Sill: 0.2, X: 1, Through: 0.7, Sun: true, SunHeight: deg(30), SunTurn: deg(15), SunSweep: deg(37.5)}},
	} {
		p := photonTracer{tank: c.tank, kd: 0.3, nx: 9, ny: 9}
		falling := p.throughWindow(c.window, photons)
		sky := []Sky{{Diffuse: 1000}}
		if c.window.Sun {
			sky = []Sky{{Sun: 1000}}
		}
		s := NewDaylight([]Window{c.window}, emptyBox(c.tank, 0.025), c.tank, 0, Options{Fine: true}).Solve(nil, nil, 0.3, sky, nil)
		want, bed := make([]float64, 81), 0.0
		for i, n := range p.bed {
			want[i] = 1000 * n / (c.tank.LX * c.tank.LY / 81)
			bed += n
		}
		rms, cell := compareLit(s.Field.BedMap(9, 9).PPFD, want)
		b := s.Field.Budget
		part := max(math.Abs(b.Bed-bed/falling), math.Abs(b.Walls-p.walls/falling), math.Abs(b.Reflected-p.reflected/falling))
		t.Logf("%s: falling %.4f of %.4f, RMS %.4f, cell %.4f, share %.4f (bed %.4f %+.4f walls %.4f %+.4f reflected %.4f %+.4f), sum %.6f, mean bed %.2f of %.2f, panes %.1f around %.1f", c.name, s.Falling/1000, falling, rms, cell, part, b.Bed, b.Bed-bed/falling, b.Walls, b.Walls-p.walls/falling, b.Reflected, b.Reflected-p.reflected/falling, b.Sum(), mean(s.Field.BedMap(9, 9).PPFD), mean(want), s.Panes, s.Around)
		if math.Abs(s.Falling/1000/falling-1) > 0.01 || rms > 0.1 || part > 0.01 || math.Abs(b.Sum()-1) > 0.001 {
			t.Errorf("%s: falling %.4f of %.4f, RMS %.4f of the mean, worst cell %.4f, worst share %.4f, sum %.6f", c.name, s.Falling/1000, falling, rms, cell, part, b.Sum())
		}
		worst = [3]float64{max(worst[0], rms), max(worst[1], cell), max(worst[2], part)}
	}
	check.Record(t, check.Row{
		Room: "light", What: "daylight through windows behind and beside, a skylight, and sun: light at the bed, 9×9 cells, RMS over mean; worst cell (over a tenth of the mean at least); worst share", Source: ourTracer,
		Worst: fmt.Sprintf("%.1f %%; %.0f %%; %.4f", 100*worst[0], 100*worst[1], worst[2]), Within: "10 %; not held; 0.01",
	})
}

// TestDaylightLimits: mirrored windows give mirrored light, a far window even light, the sum is linear in the sky, nothing is lost under leaves.
func TestDaylightLimits(t *testing.T) {
	tank := boxTank(0.9, 0.45, 0.42)
	v := emptyBox(tank, 0.025)
	solve := func(w Window, sky Sky) Shine {
		return NewDaylight([]Window{w}, v, tank, 0, Options{}).Solve(nil, nil, 0.2, []Sky{sky}, nil)
	}
	w := Window{Side: Back, Width: 0.6, Height: 0.8, Distance: 0.5, Sill: 0.1, X: 0.2, Through: 1, Sun: true, SunHeight: deg(35), SunTurn: deg(20)}
	o := w
	o.X, o.SunTurn = tank.LX-w.X, -w.SunTurn
	a, b := solve(w, Sky{Diffuse: 100, Sun: 50}), solve(o, Sky{Diffuse: 100, Sun: 50})
	for iz := range v.NZ {
		for iy := range v.NY {
			for ix := range v.NX {
				p, q := a.Field.PPFD[(iz*v.NY+iy)*v.NX+ix], b.Field.PPFD[(iz*v.NY+iy)*v.NX+v.NX-1-ix]
				if math.Abs(p-q) > 1e-9*(1+p) {
					t.Fatalf("layer %d, row %d, column %d: %v, mirrored %v", iz, iy, ix, p, q)
				}
			}
		}
	}
	one, two := solve(w, Sky{Diffuse: 100}), solve(w, Sky{Sun: 50})
	for i, x := range a.Field.PPFD {
		if math.Abs(one.Field.PPFD[i]+two.Field.PPFD[i]-x) > 1e-9*(1+x) {
			t.Fatalf("voxel %d: %v and %v are not %v", i, one.Field.PPFD[i], two.Field.PPFD[i], x)
		}
	}
	// A far window is lit alike all along the pane that looks to it.
	far := Window{Side: Above, Width: 40, Height: 40, Distance: 200, X: 0.45, Y: 0.225, Through: 1}
	f := solve(far, Sky{Diffuse: 1000}).Field
	least, _, most := f.SurfaceMap(9, 9).Stats()
	if least/most < 0.999 {
		t.Errorf("a skylight 200 m up lays %v to %v on the water", least, most)
	}
	rapid.Check(t, func(t *rapid.T) {
		w := Window{
			Side: Side(rapid.IntRange(0, 4).Draw(t, "side")), Width: rapid.Float64Range(0.1, 4).Draw(t, "width"), Height: rapid.Float64Range(0.1, 3).Draw(t, "height"),
			Distance: rapid.Float64Range(0.05, 5).Draw(t, "distance"), Sill: rapid.Float64Range(0, 1).Draw(t, "sill"), X: rapid.Float64Range(-1, 2).Draw(t, "x"), Y: rapid.Float64Range(-1, 1).Draw(t, "y"),
			Through: 1, Sun: true, SunHeight: rapid.Float64Range(0.05, 1.5).Draw(t, "sun"), SunTurn: rapid.Float64Range(-1.4, 1.4).Draw(t, "turn"),
		}
		if rapid.Bool().Draw(t, "read") {
			w.Width = 0
		}
		leaf, cover := make([]float64, len(v.Solid)), make([]float64, v.NX*v.NY)
		for i := range leaf {
			leaf[i] = 20 * float64(i%7) / 7
		}
		cover[3] = 1
		s := NewDaylight([]Window{w}, v, tank, 0, Options{}).Solve(leaf, cover, rapid.Float64Range(0, 3).Draw(t, "kd"), []Sky{{Diffuse: 100, Sun: 30}}, nil)
		if s.Falling > 0 && math.Abs(s.Field.Budget.Sum()-1) > 0.001 {
			t.Fatalf("shares sum to %v: %+v", s.Field.Budget.Sum(), s.Field.Budget)
		}
		for _, x := range s.Field.PPFD {
			if !(x >= 0) || math.IsInf(x, 0) {
				t.Fatalf("a voxel has %v", x)
			}
		}
	})
}

func BenchmarkDaylight(b *testing.B) {
	tank, v, _ := library()
	leaf := meadow(v)
	d := NewDaylight([]Window{{Side: Back, Width: 1.6, Height: 1.4, Distance: 1.2, X: 1, Through: 0.7, Sun: true, SunHeight: 0.5}}, v, tank, 0, Options{})
	s := d.Solve(leaf, nil, 0.3, []Sky{{Diffuse: 100, Sun: 100}}, nil)
	b.ReportAllocs()
	defer cpu(b)()
	for b.Loop() {
		s = d.Solve(leaf, nil, 0.3, []Sky{{Diffuse: 100, Sun: 100}}, s.Field)
	}
}

// TestUsualDaylightLikeFine compares the forecast's setting with the study's.
func TestUsualDaylightLikeFine(t *testing.T) {
	tank := boxTank(2, 0.7, 0.6)
	v := emptyBox(tank, 0.025)
	worst, sums := 0.0, 0.0
	for _, w := range []Window{
		{Side: Back, Width: 1.6, Height: 1.4, Distance: 1.2, Sill: 0.2, X: 1, Through: 0.7},
		{Side: Left, Width: 1, Height: 1.2, Distance: 0.8, Y: 0.6, Through: 0.7},
		{Side: Back, Width: 1.6, Height: 1.4, Distance: 1.2, Sill: 0.2, X: 1, Through: 0.7, Sun: true, SunHeight: deg(30), SunTurn: deg(15), SunSweep: deg(37.5)},
	} {
		sky := []Sky{{Diffuse: 100}}
		if w.Sun {
			sky = []Sky{{Sun: 100}}
		}
		a := NewDaylight([]Window{w}, v, tank, 0, Options{}).Solve(nil, nil, 0.3, sky, nil)
		b := NewDaylight([]Window{w}, v, tank, 0, Options{Fine: true}).Solve(nil, nil, 0.3, sky, nil)
		for _, m := range [][2]Map{{a.Field.BedMap(9, 4), b.Field.BedMap(9, 4)}, {a.Field.DepthMap(9, 4, 0.3), b.Field.DepthMap(9, 4, 0.3)}} {
			rms, _ := compare(m[0].PPFD, m[1].PPFD)
			worst = max(worst, rms)
			sums = max(sums, math.Abs(mean(m[0].PPFD)/mean(m[1].PPFD)-1))
			t.Logf("sun %v: RMS %.3f, mean %+.3f", w.Sun, rms, mean(m[0].PPFD)/mean(m[1].PPFD)-1)
		}
	}
	if worst > 0.15 || sums > 0.06 {
		t.Errorf("the usual setting is off the fine one by %.3f of the mean (RMS), its mean by %.3f", worst, sums)
	}
}
