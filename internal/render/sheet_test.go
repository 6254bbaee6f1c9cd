package render

import (
	"bytes"
	"image"
	"image/color"
	"image/gif"
	"strings"
	"testing"

	"golang.org/x/image/font/sfnt"
)

// The pixels of a plate show its picture where the drawing has it, its words as ink, its paper elsewhere.
func TestPlateAsPixels(t *testing.T) {
	blue := color.RGBA{20, 40, 200, 255}
	sheet, err := Plate("Then and now", "a tank", []Shot{{solid(752, 300, blue), "Day 1.", strings.Repeat("open water and more words ", 12)}}, 2, Paper)
	if err != nil {
		t.Fatal(err)
	}
	img, err := sheet.Image()
	if err != nil {
		t.Fatal(err)
	}
	if img.Bounds().Dx() != 1600*752/738 && img.Bounds().Dx() < 1600 {
		t.Errorf("the plate is %v", img.Bounds())
	}
	k := sheet.scale
	at := func(x, y float64) color.RGBA { return img.RGBAAt(int(k*x), int(k*y)) }
	if c := at(pageMargin+300, pageTop+100); c != blue {
		t.Errorf("in the picture stands %v", c)
	}
	if c := at(10, 10); c != (color.RGBA{0xf6, 0xf1, 0xe4, 255}) {
		t.Errorf("the margin is %v", c)
	}
	dark := 0
	for x := pageMargin; x < 400; x++ { // the title
		for y := 30.0; y < 64; y++ {
			if c := at(x, y); c.R < 90 {
				dark++
			}
		}
	}
	if dark < 300 {
		t.Errorf("only %d dark pixels where the title stands", dark)
	}
}

// Every line of a caption fits its length as set, and no word is lost before the third line ends.
func TestWrapFits(t *testing.T) {
	text := "wood and stone still seen: 41 % of planting day; open water: 37 %; and so on for a long while until the page ends"
	lines := wrap(text, 20, 120, 260)
	for i, l := range lines {
		most := 260.0
		if i == 0 {
			most = 120
		}
		if long := serifItalic.long(l, 20); long > most {
			t.Errorf("line %d is %.0f long of %.0f: %s", i+1, long, most, l)
		}
	}
	if !strings.HasPrefix(text, strings.Join(lines, " ")) || len(lines) != 3 {
		t.Errorf("lines are %q", lines)
	}
}

// The packaged typefaces hold every sign that plates use.
func TestTypefacesHoldTheSigns(t *testing.T) {
	all, err := fonts()
	if err != nil {
		t.Fatal(err)
	}
	var b sfnt.Buffer
	for i, f := range all {
		for _, r := range "abcXYZ0123456789 %°.,;:()-–·×éµ'" {
			if n, err := f.GlyphIndex(&b, r); err != nil || n == 0 {
				t.Errorf("typeface %d lacks %q", i, r)
			}
		}
	}
}

func TestGIFIsWhole(t *testing.T) {
	a, b := image.NewRGBA(image.Rect(0, 0, 64, 32)), image.NewRGBA(image.Rect(0, 0, 64, 32))
	for y := range 32 {
		for x := range 64 {
			a.SetRGBA(x, y, color.RGBA{uint8(4 * x), uint8(8 * y), 90, 255})
			b.SetRGBA(x, y, color.RGBA{30, uint8(8 * y), uint8(4 * x), 255})
		}
	}
	data, err := AnimationGIF([]*image.RGBA{a, b}, 100, 2500)
	if err != nil {
		t.Fatal(err)
	}
	g, err := gif.DecodeAll(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	if len(g.Image) != 2 || g.Delay[0] != 10 || g.Delay[1] != 250 || g.LoopCount != 0 {
		t.Errorf("%d frames, stays %v, loops %d", len(g.Image), g.Delay, g.LoopCount)
	}
	// Colours stay near: two planes of 256 by 256 levels share 256 colours, 23 levels a side each; half of a shade and the pattern come on top.
	worst := 0
	for i, f := range []*image.RGBA{a, b} {
		for y := range 32 {
			for x := range 64 {
				want := f.RGBAAt(x, y)
				r, gr, bl, _ := g.Image[i].At(x, y).RGBA()
				for _, d := range []int{int(want.R) - int(r>>8), int(want.G) - int(gr>>8), int(want.B) - int(bl>>8)} {
					worst = max(worst, d, -d)
				}
			}
		}
	}
	if worst > 23+4+5 {
		t.Errorf("a colour is %d levels off", worst)
	}
	if _, err := AnimationGIF(nil, 1, 1); err == nil {
		t.Error("an animation of nothing was made")
	}
	if _, err := AnimationGIF([]*image.RGBA{a, solid(3, 2, color.RGBA{})}, 1, 1); err == nil {
		t.Error("frames of two sizes were packed")
	}
	again, _ := AnimationGIF([]*image.RGBA{a, b}, 100, 2500)
	if !bytes.Equal(data, again) {
		t.Error("the same frames gave other bytes")
	}
}
