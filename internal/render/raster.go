package render

import (
	"image"
	"littoral/internal/scene"
	"math"
	"slices"
)

// strip is a band of rows of samples.
type strip struct {
	*frame
	y0, y1 int
	near   []float32
	colour [][3]float32
	mask   []uint8
	item   []int32
}

// Marks of samples and triangles beside the numbers of windows: the body of the glass, behind which the stand is not drawn, and lamps, which are drawn
// before it.
const (
	glassy  = 255
	hanging = 254
)

// draw fills the strip: what is around, then every triangle by its depth.
func (s *strip) draw() {
	n := (s.y1 - s.y0) * s.w
	s.near, s.mask = make([]float32, n), make([]uint8, n)
	s.item = make([]int32, n)
	for i := range s.item {
		s.item[i] = -1
	}
	if !s.plain {
		s.colour = make([][3]float32, n)
	}
	s.around()
	for k := range s.parts {
		p := &s.parts[k]
		for i := range p.f {
			t := &p.f[i]
			if int(t.y1) < s.y0 || int(t.y0) >= s.y1 {
				continue
			}
			s.fill(t, &p.v[t.a], &p.v[t.b], &p.v[t.c])
		}
	}
}

// around marks which window each sample looks through, and lays the background.
func (s *strip) around() {
	floor := -s.s.Tank.Bottom - s.s.Stand
	// The line where floor and wall meet, a little behind the tank.
	behind := vec{s.s.Tank.LX / 2, s.s.Tank.LY / 2, floor}
	away := s.c.Forward
	behind = add(behind, mul(vec{away[0], away[1], 0}, max(s.s.Tank.LX, s.s.Tank.LY)*.8))
	_, fy, ok := s.c.Pixel(behind)
	if !ok || s.c.Name == "top" {
		fy = math.Inf(1)
	}
	body := s.body()
	for y := s.y0; y < s.y1; y++ {
		row := (y - s.y0) * s.w
		if !s.plain {
			c := s.room.back
			if d := float32((float64(y)+.5)/float64(s.fine) - fy); d > 0 {
				t := min(1, d/40)
				for k := range 3 {
					c[k] += (s.room.floor[k] - c[k]) * t
				}
			}
			for x := range s.w {
				s.colour[row+x] = c
			}
		}
		for i, p := range body {
			s.span(p, y, func(x0, x1 int) {
				c := s.room.glass
				if i > 0 {
					for k := range 3 {
						c[k] = c[k]*.45 + s.room.back[k]*.55
					}
				}
				for x := x0; x <= x1; x++ {
					s.mask[row+x] = glassy
					if !s.plain {
						s.colour[row+x] = c
					}
				}
			})
		}
		for i, p := range s.polys {
			s.span(p, y, func(x0, x1 int) {
				empty := s.air.left(float32(s.s.Tank.LY))
				_, top, _, low := box(p)
				for x := x0; x <= x1; x++ {
					s.mask[row+x] = uint8(i + 1)
					if !s.plain {
						c := s.backdrop(float32((low - float64(y)) / max(1, low-top)))
						for k := range 3 {
							c[k] = c[k]*empty[k] + s.air.haze[k]*(1-empty[k])
						}
						s.colour[row+x] = c
					}
				}
			})
		}
	}
}

// body outlines the glass as it stands in the picture: the whole, then the part above the water.
func (s *strip) body() [][][2]float64 {
	t := &s.s.Tank
	hull := func(z0, z1, grow float64) [][2]float64 {
		var pts [][2]float64
		n := len(t.Footprint)
		for i, p := range t.Footprint {
			a, q := t.Footprint[(i+n-1)%n], t.Footprint[(i+1)%n]
			n1, n2 := unit(vec{p[1] - a[1], a[0] - p[0], 0}), unit(vec{q[1] - p[1], p[0] - q[0], 0})
			m := add(n1, n2)
			m = mul(m, grow/max(.3, dot(m, n1)))
			for _, z := range []float64{z0, z1} {
				if x, y, ok := s.c.Pixel(vec{p[0] + m[0], p[1] + m[1], z}); ok {
					pts = append(pts, [2]float64{x*float64(s.fine) - .5, y*float64(s.fine) - .5})
				}
			}
		}
		return convex(pts)
	}
	return [][][2]float64{hull(-t.Bottom, t.Height, t.Glass), hull(t.WaterLevel, t.Height, 0)}
}

// convex is the hull of points (Andrew 1979).
func convex(p [][2]float64) [][2]float64 {
	if len(p) < 3 {
		return p
	}
	slices.SortFunc(p, func(a, b [2]float64) int {
		switch {
		case a[0] < b[0] || a[0] == b[0] && a[1] < b[1]:
			return -1
		case a == b:
			return 0
		}
		return 1
	})
	var h [][2]float64
	for pass := range 2 {
		base := len(h)
		for i := range p {
			q := p[i]
			if pass == 1 {
				q = p[len(p)-1-i]
			}
			for len(h) >= base+2 {
				a, b := h[len(h)-2], h[len(h)-1]
				if (b[0]-a[0])*(q[1]-a[1])-(b[1]-a[1])*(q[0]-a[0]) > 0 {
					break
				}
				h = h[:len(h)-1]
			}
			h = append(h, q)
		}
		h = h[:len(h)-1]
	}
	return h
}

// span finds the samples of a row inside an outline.
func (s *strip) span(p [][2]float64, y int, f func(x0, x1 int)) {
	var cross [16]float64
	n := 0
	fy := float64(y)
	for i, a := range p {
		b := p[(i+1)%len(p)]
		if (a[1] > fy) != (b[1] > fy) && n < len(cross) {
			cross[n] = a[0] + (fy-a[1])/(b[1]-a[1])*(b[0]-a[0])
			n++
		}
	}
	slices.Sort(cross[:n])
	for i := 0; i+1 < n; i += 2 {
		x0, x1 := max(0, int(math.Ceil(cross[i]))), min(s.w-1, int(math.Floor(cross[i+1])))
		if x0 <= x1 {
			f(x0, x1)
		}
	}
}

// fill draws one triangle into the strip.
func (s *strip) fill(t *facet, a, b, c *corner) {
	area := (b.x-a.x)*(c.y-a.y) - (b.y-a.y)*(c.x-a.x)
	if area == 0 || area != area {
		return
	}
	if area < 0 {
		b, c = c, b
		area = -area
	}
	x0 := max(0, int(math.Ceil(float64(min(a.x, b.x, c.x)))))
	x1 := min(s.w-1, int(math.Floor(float64(max(a.x, b.x, c.x)))))
	y0, y1 := max(s.y0, int(t.y0)), min(s.y1-1, int(t.y1))
	if x0 > x1 || y0 > y1 {
		return
	}
	inv := 1 / area
	// Weights of b and c as planes over the samples.
	bx, by := (c.y-a.y)*inv, -(c.x-a.x)*inv
	cx, cy := -(b.y-a.y)*inv, (b.x-a.x)*inv
	const eps = -1e-5
	nb, nc := b.near-a.near, c.near-a.near
	plainSurface := t.surface == scene.Glowing || t.surface == scene.Leaf || t.surface == scene.Matt || t.surface == scene.Painted && t.grain == 0
	var picture photo
	detail := 0
	if t.surface == scene.Painted && t.grain > 0 {
		picture = s.pictures[t.grain-1]
		detail = picture.level(a, b, c, area)
	}
	for y := y0; y <= y1; y++ {
		row := (y - s.y0) * s.w
		wb := bx*(float32(x0)-a.x) + by*(float32(y)-a.y)
		wc := cx*(float32(x0)-a.x) + cy*(float32(y)-a.y)
		for x := x0; x <= x1; x++ {
			if wb >= eps && wc >= eps && wb+wc <= 1-eps {
				i := row + x
				if m := s.mask[i]; m == t.window || t.window == hanging && (m == 0 || m == glassy) {
					near := a.near + wb*nb + wc*nc
					if near > s.near[i] {
						s.near[i], s.item[i] = near, t.item
						switch {
						case s.plain:
						case plainSurface:
							s.colour[i] = [3]float32{
								a.c[0] + wb*(b.c[0]-a.c[0]) + wc*(c.c[0]-a.c[0]),
								a.c[1] + wb*(b.c[1]-a.c[1]) + wc*(c.c[1]-a.c[1]),
								a.c[2] + wb*(b.c[2]-a.c[2]) + wc*(c.c[2]-a.c[2]),
							}
						case picture != nil:
							s.colour[i] = s.photographed(picture, detail, a, b, c, wb, wc)
						default:
							s.colour[i] = s.rough(t, a, b, c, wb, wc)
						}
					}
				}
			}
			wb += bx
			wc += cx
		}
	}
}

// rough gives ground, stone and bark their grain.
func (s *strip) rough(t *facet, a, b, c *corner, wb, wc float32) (out [3]float32) {
	var p [3]float32
	for k := range 3 {
		p[k] = a.p[k] + wb*(b.p[k]-a.p[k]) + wc*(c.p[k]-a.p[k])
	}
	path := a.path + wb*(b.path-a.path) + wc*(c.path-a.path)
	var g float32
	switch t.surface {
	case scene.Grain:
		g = granules(p, max(.0008, float32(t.grain)*1e-4))
	case scene.Rock:
		// Weathered breaks: a coarse and a fine pattern, and fine layers.
		g = .52 + .40*noise3(p, 1/.024) + .26*noise3(p, 1/.0068) + .20*noise3([3]float32{p[0] * .3, p[1] * .3, p[2] + .15*p[0]}, 1/.0050) + .10*noise3(p, 1/.002)
	default:
		g = .84 + .20*noise3(p, 1/.006) + .14*noise3(p, 1/.0022)
	}
	left := s.air.left(path)
	for k := range 3 {
		v := a.c[k] + wb*(b.c[k]-a.c[k]) + wc*(c.c[k]-a.c[k])
		out[k] = v*g + s.air.haze[k]*(1-left[k])
	}
	return out
}

func hash3(x, y, z int32) uint32 {
	h := uint32(x)*0x8da6b343 ^ uint32(y)*0xd8163841 ^ uint32(z)*0xcb1ab31f
	h ^= h >> 15
	h *= 0x2c1b3c6d
	h ^= h >> 12
	h *= 0x297a2d39
	return h ^ h>>15
}

func floor32(v float32) (int32, float32) {
	i := int32(v)
	if float32(i) > v {
		i--
	}
	return i, v - float32(i)
}

// noise3 is smooth noise, 0 to 1.
func noise3(p [3]float32, scale float32) float32 {
	ix, fx := floor32(p[0] * scale)
	iy, fy := floor32(p[1] * scale)
	iz, fz := floor32(p[2] * scale)
	fx, fy, fz = fx*fx*(3-2*fx), fy*fy*(3-2*fy), fz*fz*(3-2*fz)
	at := func(dx, dy, dz int32) float32 { return float32(hash3(ix+dx, iy+dy, iz+dz)>>8) / (1 << 24) }
	lay := func(dz int32) float32 {
		a, b := at(0, 0, dz), at(1, 0, dz)
		c, d := at(0, 1, dz), at(1, 1, dz)
		a, c = a+fx*(b-a), c+fx*(d-c)
		return a + fy*(c-a)
	}
	a := lay(0)
	return a + fz*(lay(1)-a)
}

// granules is a bed of grains: each with a tone of its own, darker in the gaps.
func granules(p [3]float32, size float32) float32 {
	ix, fx := floor32(p[0] / size)
	iy, fy := floor32(p[1] / size)
	iz, fz := floor32(p[2] / size)
	best := float32(9)
	var own uint32
	for d := range 8 {
		dx, dy, dz := int32(d&1), int32(d>>1&1), int32(d>>2&1)
		h := hash3(ix+dx, iy+dy, iz+dz)
		jx, jy, jz := float32(h&255)/255-.5, float32(h>>8&255)/255-.5, float32(h>>16&255)/255-.5
		ex, ey, ez := fx-float32(dx)-.85*jx, fy-float32(dy)-.85*jy, fz-float32(dz)-.85*jz
		if r := ex*ex + ey*ey + ez*ez; r < best {
			best, own = r, h
		}
	}
	tone := .74 + .52*float32(own>>24)/255
	return tone * (1.08 - .55*min(best, .8))
}

// resolve makes pixels of samples: the mean of what each sample shows, in sRGB.
func (s *strip) resolve(img *image.RGBA, r0, r1 int) {
	n := s.fine
	share := 1 / float32(n*n)
	for y := r0; y < r1; y++ {
		for x := range s.c.W {
			var sum [3]float32
			for j := range n {
				row := ((y-r0)*n+j)*s.w + x*n
				for i := range n {
					c := &s.colour[row+i]
					for k := range 3 {
						sum[k] += shoulder(c[k])
					}
				}
			}
			o := img.PixOffset(x, y)
			for k := range 3 {
				img.Pix[o+k] = level(sum[k] * share)
			}
			img.Pix[o+3] = 255
		}
	}
}

// shoulder keeps what is brighter than paper from clipping hard.
func shoulder(v float32) float32 {
	if v <= .8 {
		return max(0, v)
	}
	d := v - .8
	return .8 + .2*d/(d+.2)
}

var fromLinear = func() (out [4097]uint8) {
	for i := range out {
		v := float64(i) / 4096
		if v <= .0031308 {
			v *= 12.92
		} else {
			v = 1.055*math.Pow(v, 1/2.4) - .055
		}
		out[i] = uint8(math.Round(255 * v))
	}
	return
}()

func level(v float32) uint8 { return fromLinear[int(max(0, min(1, v))*4096+.5)] }
