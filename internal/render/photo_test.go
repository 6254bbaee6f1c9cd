package render

import (
	"image"
	"image/color"
	"littoral/internal/mesh"
	"littoral/internal/scene"
	"math"
	"testing"
)

// stripes is a picture of red on its left and green on its right half.
func stripes() *mesh.Image {
	img := image.NewRGBA(image.Rect(0, 0, 64, 64))
	for y := range 64 {
		for x := range 64 {
			c := color.RGBA{230, 20, 20, 255}
			if x >= 32 {
				c = color.RGBA{20, 200, 20, 255}
			}
			img.SetRGBA(x, y, c)
		}
	}
	return &mesh.Image{Name: "stripes", Pixels: img}
}

// A board with a picture on it shows the picture's halves where they belong, and its middle line where Snell's law puts it.
func TestAPictureLandsOnItsMesh(t *testing.T) {
	s := bare(.02)
	s.AddBoard(vec{.6, .3, .3}, .2, [3]uint8{255, 255, 255})
	m := &s.Meshes[len(s.Meshes)-1]
	m.Surface, m.Picture = scene.Painted, stripes()
	for _, v := range m.V {
		m.UV = append(m.UV, [2]float32{(v.P[0] - .5) / .2 * .998, 1 - (v.P[2]-.2)/.2*.998})
	}
	c, err := At(s, "front", 800, 500)
	if err != nil {
		t.Fatal(err)
	}
	img := Draw(s, c, Options{Fine: 2})
	px, py := seenAt(c, s.Tank.Glass, .3, .6, .3)
	if math.Abs(px-math.Round(px)) > .49 {
		px += .5
	}
	left, right := img.RGBAAt(int(px)-4, int(py)), img.RGBAAt(int(px)+4, int(py))
	if left.R < left.G+40 || right.G < right.R+40 {
		t.Errorf("left of the middle %v, right of it %v", left, right)
	}
}

// Each level of detail is the mean of the one before, and far away the picture is its mean and does not flicker.
func TestLevelsOfDetail(t *testing.T) {
	p := levels(stripes().Pixels)
	if len(p) != 7 || p[6].Bounds().Dx() != 1 {
		t.Fatalf("%d levels", len(p))
	}
	if c := p[6].RGBAAt(0, 0); c.R < 123 || c.R > 127 || c.G < 108 || c.G > 112 {
		t.Errorf("the mean of red and green is %v", c)
	}
	a, b, c := &corner{p: [3]float32{0, 0}}, &corner{p: [3]float32{1, 0}}, &corner{p: [3]float32{0, 1}}
	for _, tt := range []struct {
		area float32 // twice the samples of the triangle
		want int
	}{{64 * 64, 0}, {32 * 32, 1}, {1, 6}, {1e6, 0}, {1e-3, 6}} {
		if got := p.level(a, b, c, tt.area); got != tt.want {
			t.Errorf("%g samples take level %d, want %d", tt.area, got, tt.want)
		}
	}
	for _, uv := range [][2]float32{{-3.25, 7.5}, {.25, .5}, {1e6, -1e6}, {1, 1}} { // beyond the edges it repeats
		for l := range p {
			got := p.at(l, uv[0], uv[1])
			for k := range 3 {
				if !(got[k] >= 0 && got[k] <= 1) {
					t.Errorf("level %d at %v: %v", l, uv, got)
				}
			}
		}
	}
	if a, b := p.at(0, -3.75, .5), p.at(0, .25, .5); a != b {
		t.Errorf("a picture that repeats shows %v and %v", a, b)
	}
}
