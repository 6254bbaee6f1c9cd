package draft

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

var box = [][2]float64{{0, 0}, {120, 0}, {120, 50}, {0, 50}}

var slope = [][3]float64{{0, 0, 4}, {120, 0, 4}, {60, 25, 7}, {0, 50, 9}, {120, 50, 9}}

// A stroke raises the ground under it by what it says, leaves it as it was elsewhere, and needs few points for that.
func TestABrushShapesTheGround(t *testing.T) {
	level := 12.0
	for name, c := range map[string]struct {
		s    Stroke
		at   [2]float64
		want func(before float64) float64
		miss float64
	}{
		"raise":   {Stroke{At: [][2]float64{{30, 20}}, RadiusCM: 12, RaiseCM: 4}, [2]float64{30, 20}, func(h float64) float64 { return h + 4 }, 0.5},
		"lower":   {Stroke{At: [][2]float64{{80, 30}}, RadiusCM: 15, RaiseCM: -3}, [2]float64{80, 30}, func(h float64) float64 { return h - 3 }, 0.5},
		"along":   {Stroke{At: [][2]float64{{20, 40}, {100, 40}}, RadiusCM: 10, RaiseCM: 3}, [2]float64{60, 40}, func(h float64) float64 { return h + 3 }, 0.7},
		"terrace": {Stroke{At: [][2]float64{{30, 38}, {50, 38}}, RadiusCM: 14, LevelCM: &level}, [2]float64{40, 38}, func(float64) float64 { return 12 }, 0.5},
	} {
		before, err := surfaceCM(slope)
		if err != nil {
			t.Fatal(err)
		}
		points, err := Brush(slope, c.s, box)
		if err != nil {
			t.Fatal(err)
		}
		after, err := surfaceCM(points)
		if err != nil {
			t.Fatal(err)
		}
		if got, want := after(c.at[0], c.at[1]), c.want(before(c.at[0], c.at[1])); math.Abs(got-want) > c.miss {
			t.Errorf("%s: the ground is %.2f cm high there, want %.2f", name, got, want)
		}
		worst := 0.0
		for x := 0.0; x <= 120; x += 2 {
			for y := 0.0; y <= 50; y += 2 {
				if fromStroke(c.s.At, x, y) > 2*c.s.RadiusCM {
					worst = max(worst, math.Abs(after(x, y)-before(x, y)))
				}
			}
		}
		if worst > 1 {
			t.Errorf("%s: far from the brush the ground moved by %.2f cm", name, worst)
		}
		if len(points) > len(slope)+3*fewPoints {
			t.Errorf("%s: it takes %d points", name, len(points))
		}
		t.Logf("%s: %d points, far away it moved by %.2f cm", name, len(points), worst)
	}
}

func TestABrushSmooths(t *testing.T) {
	rough := append([][3]float64{{60, 10, 12}}, slope...)
	points, err := Brush(rough, Stroke{At: [][2]float64{{60, 10}}, RadiusCM: 16, Smooth: 1}, box)
	if err != nil {
		t.Fatal(err)
	}
	if points[0][2] > 11 {
		t.Errorf("the heap is still %.1f cm high", points[0][2])
	}
}

// Whatever the brush, the points it leaves are ones that a plan takes: within the glass, apart from each other, and not below it.
func TestBrushedPointsAreThoseOfAPlan(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		points := slope
		for range rapid.IntRange(1, 4).Draw(rt, "strokes") {
			s := Stroke{RadiusCM: rapid.Float64Range(2, 60).Draw(rt, "radius")}
			for range rapid.IntRange(1, 4).Draw(rt, "places") {
				s.At = append(s.At, [2]float64{rapid.Float64Range(-10, 130).Draw(rt, "x"), rapid.Float64Range(-10, 60).Draw(rt, "y")})
			}
			switch rapid.IntRange(0, 2).Draw(rt, "what") {
			case 0:
				s.RaiseCM = rapid.Float64Range(-20, 20).Draw(rt, "raise")
			case 1:
				s.Smooth = rapid.Float64Range(0, 1).Draw(rt, "smooth")
			default:
				level := rapid.Float64Range(0, 30).Draw(rt, "level")
				s.LevelCM = &level
			}
			next, err := Brush(points, s, box)
			if err != nil {
				rt.Fatalf("%+v over %v: %v", s, points, err)
			}
			points = next
		}
		for i, p := range points {
			if !within(box, p[0], p[1]) || p[2] < 0 || math.IsNaN(p[2]) {
				rt.Fatalf("the point %v is none of a plan", p)
			}
			for _, q := range points[:i] {
				if math.Hypot(p[0]-q[0], p[1]-q[1]) < 1 {
					rt.Fatalf("%v and %v are too close", p, q)
				}
			}
		}
	})
}

func BenchmarkBrush(b *testing.B) {
	b.ReportAllocs()
	points := slope
	for i := range 30 {
		points = append(points, [3]float64{float64(5 + i*13%110), float64(3 + i*7%44), 5 + float64(i%4)})
	}
	for b.Loop() {
		if _, err := Brush(points, Stroke{At: [][2]float64{{20, 40}, {100, 40}}, RadiusCM: 10, RaiseCM: 3}, box); err != nil {
			b.Fatal(err)
		}
	}
}
