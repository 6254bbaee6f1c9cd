package render

import (
	"bytes"
	"cmp"
	"fmt"
	"image"
	"image/color"
	"image/gif"
	"slices"
)

// AnimationGIF packs frames of one size as an animated GIF (GIF89a) that plays without end, for programs that do not play animated PNG. All frames share 256 colours
// chosen by median cut (Heckbert 1982, "Color image quantization for frame buffer display"); what falls between them is laid in a fixed pattern that
// does not crawl from frame to frame. delay and hold are as of Animation; the format counts in hundredths of a second.
func AnimationGIF(frames []*image.RGBA, delay, hold int) ([]byte, error) {
	if len(frames) == 0 {
		return nil, fmt.Errorf("an animation needs at least one frame")
	}
	size := frames[0].Bounds().Size()
	count, sum := make([]int, shades), make([][3]int, shades)
	for i, f := range frames {
		if f.Bounds().Size() != size {
			return nil, fmt.Errorf("frame %d of the animation is of another size than the first", i+1)
		}
		for o := 0; o+3 < len(f.Pix); o += 4 {
			n := shade(int(f.Pix[o]), int(f.Pix[o+1]), int(f.Pix[o+2]))
			count[n]++
			for k := range 3 {
				sum[n][k] += int(f.Pix[o+k])
			}
		}
	}
	// Each shade stands for the mean of its pixels, so that plain grounds keep their colour.
	mean := make([][3]int, shades)
	for n := range mean {
		mean[n][0], mean[n][1], mean[n][2] = unshade(n)
		for k := range 3 {
			if count[n] > 0 {
				mean[n][k] = (sum[n][k] + count[n]/2) / count[n]
			}
		}
	}
	colours := medianCut(count, mean, 256)
	nearest := make([]uint8, shades)
	for s := range nearest {
		r, g, b := mean[s][0], mean[s][1], mean[s][2]
		best := 1 << 30
		for i, c := range colours {
			p := c.(color.RGBA)
			dr, dg, db := r-int(p.R), g-int(p.G), b-int(p.B)
			if d := 3*dr*dr + 6*dg*dg + db*db; d < best { // roughly as bright as the eye takes them
				best, nearest[s] = d, uint8(i)
			}
		}
	}
	// A four by four pattern of thresholds (Bayer 1973), centred on nought.
	bayer := [16]int{0, 8, 2, 10, 12, 4, 14, 6, 3, 11, 1, 9, 15, 7, 13, 5}
	out := gif.GIF{Config: image.Config{ColorModel: colours, Width: size.X, Height: size.Y}}
	pages := make([]*image.Paletted, len(frames))
	parallel(len(frames), func(i int) {
		f := frames[i]
		p := image.NewPaletted(image.Rect(0, 0, size.X, size.Y), colours)
		for y := range size.Y {
			for x := range size.X {
				o := f.PixOffset(f.Rect.Min.X+x, f.Rect.Min.Y+y)
				r, g, b := int(f.Pix[o]), int(f.Pix[o+1]), int(f.Pix[o+2])
				n := nearest[shade(r, g, b)]
				// The pattern only where the colour itself is not to be had.
				if c := colours[n].(color.RGBA); max(r-int(c.R), int(c.R)-r, g-int(c.G), int(c.G)-g, b-int(c.B), int(c.B)-b) > 3 {
					d := (bayer[y&3<<2|x&3]*2 - 15) / 3
					n = nearest[shade(r+d, g+d, b+d)]
				}
				p.Pix[y*p.Stride+x] = n
			}
		}
		pages[i] = p
	})
	for i, p := range pages {
		stay := delay
		if i == len(pages)-1 {
			stay = hold
		}
		out.Image, out.Delay = append(out.Image, p), append(out.Delay, (stay+5)/10)
	}
	var b bytes.Buffer
	if err := gif.EncodeAll(&b, &out); err != nil {
		return nil, fmt.Errorf("the animation could not be packed: %w", err)
	}
	return b.Bytes(), nil
}

// shades are colours of five bits for each of red, green and blue.
const shades = 1 << 15

func shade(r, g, b int) int {
	five := func(v int) int { return max(0, min(255, v)) >> 3 }
	return five(r)<<10 | five(g)<<5 | five(b)
}

// unshade is the middle of a shade.
func unshade(s int) (r, g, b int) { return s>>10<<3 + 4, s>>5&31<<3 + 4, s&31<<3 + 4 }

// medianCut chooses up to n colours for a picture of so many pixels of each shade, with the mean colours of those: the box that holds most spread of colour is cut where half of its pixels lie on
// either side, until there are enough boxes; each gives its mean.
func medianCut(count []int, mean [][3]int, n int) color.Palette {
	type box struct {
		in     []int // shades
		pixels int
		axis   int
		spread int // pixels times the squared width of the widest axis
	}
	part := func(s, axis int) int { return s >> (10 - 5*axis) & 31 }
	measure := func(in []int) box {
		b := box{in: in}
		for axis := range 3 {
			lo, hi := 31, 0
			for _, s := range in {
				lo, hi = min(lo, part(s, axis)), max(hi, part(s, axis))
			}
			if w := (hi - lo) * (hi - lo); w > b.spread {
				b.spread, b.axis = w, axis
			}
		}
		for _, s := range in {
			b.pixels += count[s]
		}
		b.spread *= b.pixels
		return b
	}
	var all []int
	for s, c := range count {
		if c > 0 {
			all = append(all, s)
		}
	}
	if len(all) == 0 {
		return color.Palette{color.RGBA{A: 255}}
	}
	boxes := []box{measure(all)}
	for len(boxes) < n {
		widest := 0
		for i := range boxes {
			if boxes[i].spread > boxes[widest].spread {
				widest = i
			}
		}
		b := boxes[widest]
		if b.spread == 0 {
			break
		}
		slices.SortFunc(b.in, func(x, y int) int {
			return cmp.Or(cmp.Compare(part(x, b.axis), part(y, b.axis)), cmp.Compare(x, y))
		})
		cut, sum := 0, 0
		for cut = range len(b.in) - 1 {
			if sum += count[b.in[cut]]; 2*sum >= b.pixels {
				break
			}
		}
		boxes[widest] = measure(b.in[:cut+1])
		boxes = append(boxes, measure(b.in[cut+1:]))
	}
	out := make(color.Palette, len(boxes))
	for i, b := range boxes {
		var sum [3]int
		for _, s := range b.in {
			for k := range 3 {
				sum[k] += mean[s][k] * count[s]
			}
		}
		out[i] = color.RGBA{uint8(sum[0] / b.pixels), uint8(sum[1] / b.pixels), uint8(sum[2] / b.pixels), 255}
	}
	return out
}
