package render

import (
	"bytes"
	"fmt"
	"image"
	"littoral/internal/check"
	"littoral/internal/clarity"
	"littoral/internal/forecast"
	"littoral/internal/geometry"
	"littoral/internal/growth"
	"littoral/internal/picture/sample"
	"littoral/internal/scene"
	"math"
	"runtime"
	"slices"
	"testing"
)

// bare is a tank of clear water without anything in it.
func bare(beam float64) *scene.Scene {
	return &scene.Scene{
		Stand: .8, Water: scene.Water{Beam: beam, Kd: .2},
		Tank: geometry.Tank{Shape: "box", Footprint: [][2]float64{{0, 0}, {1.2, 0}, {1.2, .6}, {0, .6}}, LX: 1.2, LY: .6, Height: .6, WaterLevel: .55, Glass: .012, Bottom: .012},
	}
}

// seenAt follows a ray from the eye through the front pane, by Snell at both of its faces, and gives where it comes to a depth behind the pane. It is
// the camera's way backwards, found by bisection: another road to the same pixel.
func seenAt(c *Camera, glass, depth, x, z float64) (px, py float64) {
	// Offsets along the pane go with the sine in air; the plane of incidence holds eye and point.
	e := -c.Eye[1] - glass
	r := math.Hypot(x-c.Eye[0], z-c.Eye[2])
	lo, hi := 0.0, .999
	for range 200 {
		s := (lo + hi) / 2
		got := e*math.Tan(math.Asin(s)) + glass*math.Tan(math.Asin(s/1.52)) + depth*math.Tan(math.Asin(s/1.333))
		if got < r {
			lo = s
		} else {
			hi = s
		}
	}
	t := math.Tan(math.Asin(lo))
	ux, uz := (x-c.Eye[0])/r, (z-c.Eye[2])/r
	return c.CX + c.Scale*t*ux, c.CY - c.Scale*t*uz
}

// A white square board in the water lands on the pixels that geometry and Snell's law predict.
func TestABoardLandsWhereSnellPutsIt(t *testing.T) {
	worst := 0.0
	for _, tt := range []struct {
		name        string
		middle      vec
		side, depth float64
	}{
		{"near", vec{.3, .05, .2}, .1, .05},
		{"middle", vec{.7, .3, .3}, .2, .3},
		{"far", vec{.9, .55, .35}, .14, .55},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s := bare(.02)
			s.AddBoard(tt.middle, tt.side, [3]uint8{255, 0, 0})
			c, err := At(s, "front", 800, 500)
			if err != nil {
				t.Fatal(err)
			}
			img := Draw(s, c, Options{Fine: 4})
			x0, y0, x1, y1 := 1e9, 1e9, -1e9, -1e9
			for y := range 500 {
				for x := range 800 {
					o := img.PixOffset(x, y)
					if img.Pix[o] > 150 && img.Pix[o+1] < 110 {
						x0, x1, y0, y1 = min(x0, float64(x)), max(x1, float64(x+1)), min(y0, float64(y)), max(y1, float64(y+1))
					}
				}
			}
			h := tt.side / 2
			var px0, px1, py0, py1 float64 = 1e9, -1e9, 1e9, -1e9
			for _, d := range [][2]float64{{-h, -h}, {h, -h}, {-h, h}, {h, h}} {
				x, y := seenAt(c, s.Tank.Glass, tt.depth, tt.middle[0]+d[0], tt.middle[2]+d[1])
				px0, px1, py0, py1 = min(px0, x), max(px1, x), min(py0, y), max(py1, y)
			}
			for _, d := range []float64{x0 - px0, x1 - px1, y0 - py0, y1 - py1} {
				worst = max(worst, math.Abs(d))
				if math.Abs(d) > 1 {
					t.Errorf("the board spans %g..%g by %g..%g pixels, predicted %.2f..%.2f by %.2f..%.2f", x0, x1, y0, y1, px0, px1, py0, py1)
					break
				}
			}
		})
	}
	check.Record(t, check.Row{
		Room: "render", What: "edges of a square board seen through pane and water, three places", Source: "Snell's law with 1.333 and 1.52, solved by bisection",
		Worst: fmt.Sprintf("%.2f pixel", worst), Within: "1 pixel",
	})
}

// Haze takes contrast by Beer–Lambert along the path of each ray.
func TestHazeFollowsBeerLambert(t *testing.T) {
	worst := 0.0
	for _, beam := range []float64{.2, .6, 1.5} {
		s := bare(beam)
		c, err := At(s, "front", 600, 375)
		if err != nil {
			t.Fatal(err)
		}
		f := newFrame(s, c, Options{})
		for _, p := range []vec{{.6, .05, .3}, {.2, .3, .1}, {1.1, .58, .5}} {
			_, path, _, _ := f.wins[0].sees(p)
			// The direct way: depth by the cosine in the water, from the pixel's slope.
			dir, _, _, _ := f.wins[0].sees(p)
			in := refract(dir, vec{0, -1, 0})
			want := p[1] / in[1]
			if math.Abs(path-want) > 1e-6 {
				t.Errorf("a path of %g m, by the cosine %g", path, want)
			}
			// The mean over the colours' attenuation is the forecast's; a white and a black thing differ by what is left of the contrast.
			left := f.air.left(float32(path))
			mean := 0.0
			for k := range 3 {
				mean -= math.Log(float64(left[k])) / path / 3
			}
			d := math.Abs(mean/beam - 1)
			worst = max(worst, d, math.Abs(math.Exp(-mean*path)-clarity.Contrast(beam, path)))
			if d > 1e-4 {
				t.Errorf("beam %g: the picture attenuates by %g 1/m", beam, mean)
			}
		}
	}
	// In the picture itself: a white and a black board at the same place keep e^(−c·r) of their difference.
	for _, beam := range []float64{.3, .9} {
		var light [2][3]float64
		var c *Camera
		var f *frame
		for i, colour := range [][3]uint8{{128, 128, 128}, {0, 0, 0}} {
			s := bare(beam)
			s.AddBoard(vec{.6, .4, .3}, .2, colour)
			c, _ = At(s, "front", 600, 375)
			f = newFrame(s, c, Options{})
			img := Draw(s, c, Options{})
			x, y := seenAt(c, s.Tank.Glass, .4, .6, .3)
			o := img.PixOffset(int(x), int(y))
			for k := range 3 {
				light[i][k] = float64(toLinear[img.Pix[o+k]])
			}
		}
		_, path, _, _ := f.wins[0].sees(vec{.6, .4, .3})
		for k := range 3 {
			got := (light[0][k] - light[1][k]) / float64(toLinear[128])
			want := math.Exp(-f.air.c[k] * path)
			worst = max(worst, math.Abs(got-want))
			if math.Abs(got-want) > .015 { // an 8-bit step at this tone is 0.005, twice
				t.Errorf("beam %g, colour %d: %.3f of the contrast is left, Beer–Lambert says %.3f", beam, k, got, want)
			}
		}
	}
	check.Record(t, check.Row{
		Room: "render", What: "contrast of a white and a black board behind water of three clarities", Source: "Beer–Lambert along the refracted path; Duntley",
		Worst: fmt.Sprintf("%.2g", worst), Within: "0.015 (8-bit steps)",
	})
}

func TestSameScenesSamePixels(t *testing.T) {
	s, err := scene.Build(few(sample.Library()), 364, scene.Options{Animals: true})
	if err != nil {
		t.Fatal(err)
	}
	c, _ := At(s, "corner", 240, 150)
	draw := func() *image.RGBA { return Draw(s, c, Options{}) }
	a := draw()
	before := runtime.GOMAXPROCS(1)
	b := draw()
	runtime.GOMAXPROCS(before)
	if !bytes.Equal(a.Pix, b.Pix) {
		t.Error("one core and several give different pixels")
	}
}

// Every view of every shape of tank shows something, and nothing is drawn outside the glass.
func TestEveryViewIsDrawn(t *testing.T) {
	for _, f := range []struct {
		name string
		s    *scene.Scene
	}{{"box", first(scene.Build(few(sample.Library()), 364, scene.Options{Person: true}))}, {"round", first(scene.Build(few(sample.Round()), 364, scene.Options{}))}} {
		views := []string{"front", "corner", "top", "standing", "200°"}
		if f.name == "box" {
			views = append(views, "left", "back", "seated")
		}
		for _, v := range views {
			c, err := At(f.s, v, 160, 100)
			if err != nil {
				t.Fatal(err)
			}
			plants := 0
			for _, i := range Items(f.s, c) {
				if i >= 0 && f.s.Items[i].Kind == scene.Plant {
					plants++
				}
			}
			if plants < 160*100/50 {
				t.Errorf("%s from %s: plants fill only %d pixels", f.name, v, plants)
			}
		}
	}
	if _, err := At(bare(.2), "beneath", 100, 100); err == nil {
		t.Error("an unknown view was accepted")
	}
	if _, err := At(bare(.2), "front", 100000, 100); err == nil {
		t.Error("a picture of 100000 pixels was accepted")
	}
}

// few is a forecast with every eighth plant: enough for what is tested, and quick.
func few(f *forecast.Forecast) *forecast.Forecast {
	g := *f
	g.Snapshots = slices.Clone(f.Snapshots)
	for i := range g.Snapshots {
		var kept []growth.PlantState
		for k, p := range g.Snapshots[i].Plants {
			if k%8 == 0 {
				kept = append(kept, p)
			}
		}
		g.Snapshots[i].Plants = kept
	}
	return &g
}

func first(s *scene.Scene, err error) *scene.Scene {
	if err != nil {
		panic(err)
	}
	return s
}

func BenchmarkDraw(b *testing.B) {
	s := first(scene.Build(sample.Library(), 364, scene.Options{}))
	c, _ := At(s, "front", 1600, 1000)
	b.ReportAllocs()
	for b.Loop() {
		Draw(s, c, Options{})
	}
}

// The grid through which round glass is looked at agrees with the exact way between its points, and the exact way obeys Snell's law at the wall.
func TestRoundGlassBendsLightBySnell(t *testing.T) {
	s := bare(.2)
	s.Tank.Shape, s.Tank.LX, s.Tank.LY = "cylinder", 1.2, 1.2
	s.Tank.Footprint = nil
	for i := range 360 {
		sn, cs := math.Sincos(2 * math.Pi * float64(i) / 360)
		s.Tank.Footprint = append(s.Tank.Footprint, [2]float64{.6 + .6*cs, .6 + .6*sn})
	}
	c, err := At(s, "front", 1600, 1000)
	if err != nil {
		t.Fatal(err)
	}
	q := &round{eye: c.Eye, cx: .6, cy: .6, radius: .6}
	q.fill(1.1)
	worst, worstPixel := 0.0, 0.0
	for _, p := range []vec{{.6, .2, .3}, {.3, .5, .1}, {.8, .7, .5}, {.6, 1.1, .2}, {.95, .6, .4}} {
		b := q.exact(p)
		h := add(c.Eye, mul(b.dir, b.whole-b.path))
		n := unit(vec{h[0] - .6, h[1] - .6, 0})
		air, in := cross(b.dir, n), cross(unit(sub(p, h)), n)
		for k := range 3 {
			worst = max(worst, math.Abs(air[k]-waterIndex*in[k]))
		}
		x0, y0, _ := c.along(b.dir)
		d, _, _, _ := q.look(p)
		x1, y1, _ := c.along(d)
		worstPixel = max(worstPixel, math.Hypot(x1-x0, y1-y0))
	}
	if worst > 1e-4 {
		t.Errorf("sin α and n·sin ω differ by %g at the round wall", worst)
	}
	if worstPixel > 2 {
		t.Errorf("the grid is %g pixels off", worstPixel)
	}
	check.Record(t, check.Row{Room: "render", What: "refraction at round glass, five points", Source: "Snell's law; Fermat's principle", Worst: fmt.Sprintf("%.1g of the sine; %.2g pixel by interpolation", worst, worstPixel), Within: "1e-4; 2 pixels of 1600"})
}
