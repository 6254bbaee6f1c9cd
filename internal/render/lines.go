package render

import (
	"image"
	"math"
)

// outline draws the edges of the glass and the water line over a picture: thin, half covering.
func (f *frame) outline(img *image.RGBA) {
	f.ink = make([]float32, f.c.W*f.c.H)
	defer f.blend(img)
	t := &f.s.Tank
	thick := max(.8, float64(f.c.W)/1100)
	for i := range f.wins {
		w := &f.wins[i]
		for k, a := range w.poly {
			b := w.poly[(k+1)%len(w.poly)]
			f.line(a, b, thick, f.room.lineShare*.75)
		}
	}
	// The rim, and the upright outer edges that face the eye.
	n := len(t.Footprint)
	var centre vec
	for _, p := range t.Footprint {
		centre = add(centre, mul(vec{p[0], p[1], 0}, 1/float64(n)))
	}
	for i, p := range t.Footprint {
		q := t.Footprint[(i+1)%n]
		at := func(p [2]float64, z float64) ([2]float64, bool) {
			d := sub(vec{p[0], p[1], 0}, centre)
			d = mul(d, 1+t.Glass/max(.05, norm(d)))
			x, y, ok := f.c.Pixel(vec{centre[0] + d[0], centre[1] + d[1], z})
			return [2]float64{x, y}, ok
		}
		normal := vec{q[1] - p[1], p[0] - q[0], 0}
		facing := dot(sub(f.c.Eye, vec{p[0], p[1], 0}), normal) > 0
		share := f.room.lineShare
		if !facing {
			share *= .45
		}
		a, ok1 := at(p, t.Height)
		b, ok2 := at(q, t.Height)
		if ok1 && ok2 {
			f.behind = !facing
			f.line(a, b, thick, share)
			f.behind = false
		}
		if !facing || f.c.Name == "top" {
			continue
		}
		a, ok1 = at(p, -t.Bottom)
		b, ok2 = at(q, -t.Bottom)
		if ok1 && ok2 {
			f.line(a, b, thick, share)
		}
		if n > 12 {
			continue
		}
		for _, v := range [][2]float64{p, q} {
			a, ok1 = at(v, -t.Bottom)
			b, ok2 = at(v, t.Height)
			if ok1 && ok2 {
				f.line(a, b, thick, share*.8)
			}
		}
	}
}

// blend lays the lines over the picture.
func (f *frame) blend(img *image.RGBA) {
	for y := range f.c.H {
		for x := range f.c.W {
			c := f.ink[y*f.c.W+x]
			if c == 0 {
				continue
			}
			o := img.PixOffset(x, y)
			for k := range 3 {
				old := toLinear[img.Pix[o+k]]
				img.Pix[o+k] = level(old + (f.room.line[k]-old)*c)
			}
		}
	}
}

// line notes a straight line with soft edges.
func (f *frame) line(a, b [2]float64, thick float64, share float32) {
	x0, x1 := int(math.Floor(min(a[0], b[0])-thick-1)), int(math.Ceil(max(a[0], b[0])+thick+1))
	y0, y1 := int(math.Floor(min(a[1], b[1])-thick-1)), int(math.Ceil(max(a[1], b[1])+thick+1))
	dx, dy := b[0]-a[0], b[1]-a[1]
	l := dx*dx + dy*dy
	if l == 0 {
		return
	}
	steep := math.Abs(dy) > math.Abs(dx)
	put := func(x, y int) {
		if x < 0 || y < 0 || x >= f.c.W || y >= f.c.H {
			return
		}
		px, py := float64(x)+.5, float64(y)+.5
		s := clamp(((px-a[0])*dx+(py-a[1])*dy)/l, 0, 1)
		d := math.Hypot(px-a[0]-s*dx, py-a[1]-s*dy)
		c := float32(clamp(thick/2+.5-d, 0, 1)) * share
		if c <= 0 {
			return
		}
		if f.behind { // the far rim is not drawn over the water
			for i := range f.wins {
				if inside(f.wins[i].poly, px, py) {
					return
				}
			}
		}
		if i := y*f.c.W + x; c > f.ink[i] { // lines that meet do not add up
			f.ink[i] = c
		}
	}
	reach := int(math.Ceil(thick)) + 2
	if steep {
		for y := max(0, y0); y <= min(f.c.H-1, y1); y++ {
			m := a[0] + dx*clamp((float64(y)-a[1])/dy, 0, 1)
			for x := int(m) - reach; x <= int(m)+reach; x++ {
				put(x, y)
			}
		}
		return
	}
	for x := max(0, x0); x <= min(f.c.W-1, x1); x++ {
		m := a[1]
		if dx != 0 {
			m = a[1] + dy*clamp((float64(x)-a[0])/dx, 0, 1)
		}
		for y := int(m) - reach; y <= int(m)+reach; y++ {
			put(x, y)
		}
	}
}
