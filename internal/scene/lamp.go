package scene

import (
	"littoral/internal/light"
	"math"
)

// lamps hang over the tank as the plan has them: panels and bars as flat boxes, spots and pendants as drums, tilted and turned. A plan whose lamps cannot be
// used has none here; the forecast has said why.
func (b *builder) lamps() {
	sources, err := light.Sources(b.plan, b.Tank)
	if err != nil || len(sources) != len(b.plan.Lamps) {
		return
	}
	for i := range sources {
		s, l := &sources[i], &b.plan.Lamps[i]
		at := Vec{s.X, s.Y, b.Tank.WaterLevel + s.Height}
		lx, ly := max(.03, s.SizeX), max(.03, s.SizeY)
		item := b.item(Item{Kind: Lamp, ID: s.ID, At: at})
		body, face, cable := &Mesh{Name: "lamp " + s.ID, Surface: Matt}, &Mesh{Name: "lamp face " + s.ID, Surface: Glowing}, &Mesh{Name: "cable " + s.ID, Surface: Matt}
		dark, glow := [3]uint8{58, 62, 60}, [3]uint8{255, 240, 196}
		hang := []float64{-.38, .38} // shares of the length at which it hangs
		if s.SizeX == 0 && s.SizeY == 0 {
			drum(body, face, at, dark, glow)
			hang, lx = []float64{0}, 0
		} else {
			body.box(Vec{at[0] - lx/2, at[1] - ly/2, at[2] + .002}, Vec{at[0] + lx/2, at[1] + ly/2, at[2] + .022}, dark)
			lo, hi := Vec{at[0] - lx/2 + .004, at[1] - ly/2 + .004, at[2]}, Vec{at[0] + lx/2 - .004, at[1] + ly/2 - .004, at[2]}
			face.quad(Vec{lo[0], hi[1], lo[2]}, hi, Vec{hi[0], lo[1], lo[2]}, lo, glow)
		}
		m := tilted(at, float64(l.Tilt), float64(l.Turn))
		for _, h := range hang {
			top := m.Point(Vec{at[0] + h*lx, at[1], at[2] + .02}.f32())
			x, y, z := float64(top[0]), float64(top[1]), float64(top[2])
			cable.box(Vec{x - .0009, y - .0009, z}, Vec{x + .0009, y + .0009, z + .9}, [3]uint8{90, 95, 92})
		}
		b.put(cable, item)
		for _, x := range []*Mesh{body, face} {
			b.put(x, item)
			b.Nodes[len(b.Nodes)-1].M = m
		}
	}
	if len(sources) > 0 {
		b.Pool = pool(sources, b.Tank.LX, b.Tank.LY, b.Tank.WaterLevel)
	}
}

// drum is the housing of a spot or a pendant: 11 cm across and 13 cm high, as they commonly are (common practice, no source).
func drum(body, face *Mesh, at Vec, dark, glow [3]uint8) {
	const sides, r, high = 24, .055, .13
	rim := func(i int, r, z float64) Vec {
		s, c := math.Sincos(2 * math.Pi * float64(i%sides) / sides)
		return Vec{at[0] + r*c, at[1] + r*s, at[2] + z}
	}
	for i := range sides {
		body.quad(rim(i, r, .002), rim(i+1, r, .002), rim(i+1, r*.8, high), rim(i, r*.8, high), dark)
		body.tri(rim(i, r*.8, high), rim(i+1, r*.8, high), Vec{at[0], at[1], at[2] + high}, dark)
		face.tri(rim(i+1, r*.9, 0), rim(i, r*.9, 0), at, glow)
	}
}

// tilted turns what looks straight down from a place so that it looks towards turn (0 to the right, counter-clockwise seen from above) by tilt, both radians.
func tilted(at Vec, tilt, turn float64) Mat {
	if tilt == 0 || math.IsNaN(tilt) || math.IsNaN(turn) {
		return Still
	}
	st, ct := math.Sincos(tilt)
	sa, ca := math.Sincos(turn)
	u, w, z := Vec{ca, sa, 0}, Vec{-sa, ca, 0}, Vec{0, 0, 1}
	// Along u the body rises by the tilt; down turns towards u.
	toU, toZ := u.mul(ct).add(z.mul(st)), z.mul(ct).sub(u.mul(st))
	var m Mat
	for r := range 3 {
		shift := at[r]
		for c := range 3 {
			v := w[r]*w[c] + toU[r]*u[c] + toZ[r]*z[c]
			m[r][c] = float32(v)
			shift -= v * at[c]
		}
		m[r][3] = float32(shift)
	}
	return m
}

// poolStep is the finest cell of a pool, m, and poolLayers how many layers it has. Between them light is interpolated; a spot 30 cm over the water lights a circle of
// about that width.
const (
	poolStep   = .04
	poolLayers = 5
)

// pool works out the light of the lamps' beams in the empty tank, by the square law with the depth under water taken as depth/n (the effective distance on the
// axis, as in package light).
func pool(sources []light.Source, lx, ly, level float64) *Pool {
	const index = 1.333 // of water, common tables
	side := func(l float64) int { return max(2, min(80, int(math.Ceil(l/poolStep)))) }
	p := &Pool{NX: side(lx), NY: side(ly), NZ: poolLayers}
	p.V = make([]float32, p.NX*p.NY*p.NZ)
	sum := make([]float64, p.NX*p.NY)
	for k := range p.NZ {
		depth := level * float64(k) / float64(p.NZ-1)
		all := 0.0
		for i := range sum {
			x, y := (float64(i%p.NX)+.5)*lx/float64(p.NX), (float64(i/p.NX)+.5)*ly/float64(p.NY)
			e := 0.0
			for n := range sources {
				s := &sources[n]
				h := max(.02, s.Height) + depth/index
				tiles := s.Tiles(max(.1, s.SizeX/4, s.SizeY/2))
				for _, t := range tiles {
					dx, dy := x-t.X, y-t.Y
					r := math.Sqrt(dx*dx + dy*dy + h*h)
					e += s.Flux * t.Share * s.Intensity(dx/r, dy/r, h/r) * h / (r * r * r)
				}
			}
			sum[i] = e
			all += e
		}
		for i, e := range sum {
			v := 1.0
			if all > 0 {
				v = e * float64(len(sum)) / all
			}
			p.V[k*p.NX*p.NY+i] = float32(v)
		}
	}
	var mean Vec
	for n := range sources {
		d := direction(&sources[n])
		mean = mean.add(d.mul(sources[n].Flux))
	}
	if l := mean.len(); l > 0 {
		x, y := mean[0]/l/index, mean[1]/l/index // Snell, of the mean direction
		down := math.Sqrt(max(.2, 1-x*x-y*y))
		p.Lean = [2]float64{x / down, y / down}
	}
	return p
}

// direction is the mean direction of a lamp's light, of length up to 1: to the right, to the back, down.
func direction(s *light.Source) (d Vec) {
	const rings, turns = 18, 36
	for i := range rings {
		a := (float64(i) + .5) * math.Pi / 2 / rings
		sin, cos := math.Sincos(a)
		for j := range turns {
			y, x := math.Sincos(2 * math.Pi * float64(j) / turns)
			v := Vec{sin * x, sin * y, cos}
			d = d.add(v.mul(s.Intensity(v[0], v[1], v[2]) * sin))
		}
	}
	if l := d.len(); l > 0 {
		return d.mul(1 / l)
	}
	return Vec{0, 0, 1}
}
