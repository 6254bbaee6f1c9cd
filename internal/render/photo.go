package render

import (
	"image"
	"littoral/internal/mesh"
	"math"
)

// photo is a picture of a user's mesh with its levels of detail, each half as large as the one before.
type photo []*image.RGBA

// photos lists the pictures of a scene's meshes, each once, with their numbers counted from 1.
func (f *frame) photos() {
	f.photo = map[*mesh.Image]uint8{}
	for i := range f.s.Meshes {
		im := f.s.Meshes[i].Picture
		if im == nil || f.photo[im] > 0 || len(f.pictures) == math.MaxUint8 {
			continue
		}
		f.pictures = append(f.pictures, levels(im.Pixels))
		f.photo[im] = uint8(len(f.pictures))
	}
}

// levels makes the levels of detail (Williams 1983, "Pyramidal parametrics").
func levels(img *image.RGBA) photo {
	out := photo{img}
	for b := img.Bounds(); b.Dx() > 1 || b.Dy() > 1; b = img.Bounds() {
		w, h := max(1, b.Dx()/2), max(1, b.Dy()/2)
		next := image.NewRGBA(image.Rect(0, 0, w, h))
		for y := range h {
			for x := range w {
				o := next.Pix[y*next.Stride+4*x:]
				x1, y1 := min(2*x+1, b.Dx()-1), min(2*y+1, b.Dy()-1)
				for k := range 3 {
					at := func(x, y int) int { return int(img.Pix[y*img.Stride+4*x+k]) }
					o[k] = uint8((at(2*x, 2*y) + at(x1, 2*y) + at(2*x, y1) + at(x1, y1) + 2) / 4)
				}
				o[3] = 255
			}
		}
		out = append(out, next)
		img = next
	}
	return out
}

// level chooses the level of detail at which a sample of the triangle is about one pixel of the picture.
func (p photo) level(a, b, c *corner, area float32) int {
	size := p[0].Bounds()
	t := (b.p[0]-a.p[0])*(c.p[1]-a.p[1]) - (b.p[1]-a.p[1])*(c.p[0]-a.p[0])
	texels := math.Abs(float64(t)) * float64(size.Dx()) * float64(size.Dy())
	if !(texels > float64(area)) {
		return 0
	}
	return min(len(p)-1, int(.5*math.Log2(texels/float64(area))+.5))
}

// at is the picture's colour, linear, between its pixels; beyond its edges it repeats.
func (p photo) at(level int, u, v float32) (c [3]float32) {
	img := p[level]
	w, h := img.Rect.Dx(), img.Rect.Dy()
	_, u = floor32(u)
	_, v = floor32(v)
	ix, fx := floor32(u*float32(w) - .5)
	iy, fy := floor32(v*float32(h) - .5)
	add := func(x, y int, share float32) {
		if x < 0 {
			x += w
		} else if x >= w {
			x -= w
		}
		if y < 0 {
			y += h
		} else if y >= h {
			y -= h
		}
		o := img.Pix[y*img.Stride+4*x:]
		for k := range 3 {
			c[k] += share * toLinear[o[k]]
		}
	}
	x, y := int(ix), int(iy)
	add(x, y, (1-fx)*(1-fy))
	add(x+1, y, fx*(1-fy))
	add(x, y+1, (1-fx)*fy)
	add(x+1, y+1, fx*fy)
	return c
}

// photographed gives a sample of a triangle its place of the picture.
func (s *strip) photographed(p photo, level int, a, b, c *corner, wb, wc float32) (out [3]float32) {
	between := func(x, y, z float32) float32 { return x + wb*(y-x) + wc*(z-x) }
	g := p.at(level, between(a.p[0], b.p[0], c.p[0]), between(a.p[1], b.p[1], c.p[1]))
	left := s.air.left(between(a.path, b.path, c.path))
	for k := range 3 {
		out[k] = between(a.c[k], b.c[k], c.c[k])*g[k] + s.air.haze[k]*(1-left[k])
	}
	return out
}
