package plan

import (
	"littoral/internal/unit"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestFootprints(t *testing.T) {
	r := (60.0*60 + 10*10) / (2 * 10) // radius of a bow of 10 cm over a front of 120 cm
	segment := r*r*math.Asin(60/r) - 60*(r-10)
	for _, c := range []struct {
		name       string
		tank       Tank
		area       float64 // cm²
		within     float64
		in, out    PointCM
		widthRange [2]float64
	}{
		{"box", Tank{Shape: "box", Inside: Inside{Length: 1.2, Width: 0.5}}, 6000, 1e-9, PointCM{119, 49}, PointCM{121, 20}, [2]float64{0, 50}},
		{"cylinder", Tank{Shape: "cylinder", Inside: Inside{Diameter: 1}}, math.Pi * 2500, 2, PointCM{50, 1}, PointCM{5, 5}, [2]float64{0, 100}},
		{"bow-front", Tank{Shape: "bow-front", Inside: Inside{Length: 1.2, Width: 0.5, Bow: 0.1}}, 6000 + segment, 0.3, PointCM{60, 1}, PointCM{2, 2}, [2]float64{0, 60}},
		{"polygon", Tank{Shape: "polygon", Outline: []PointCM{{0, 0}, {0, 80}, {80, 80}, {80, 40}, {40, 0}}}, 6400 - 800, 1e-9, PointCM{39, 1}, PointCM{70, 20}, [2]float64{0, 80}},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := c.tank.FootprintCM()
			near(t, "area, cm²", area(p), c.area, c.within)
			if !inside(p, c.in, 0) || inside(p, c.out, 0) {
				t.Errorf("%v inside: %v, %v inside: %v", c.in, inside(p, c.in, 0), c.out, inside(p, c.out, 0))
			}
			lo, hi := bounds(p)
			near(t, "least y", lo[1], c.widthRange[0], 1e-9)
			near(t, "most y", hi[1], c.widthRange[1], 1e-9)
			if _, _, crosses := crossing(p); crosses {
				t.Error("the footprint crosses itself")
			}
		})
	}
	for _, bare := range []Tank{{}, {Shape: "box"}, {Shape: "bow-front", Inside: Inside{Length: 1, Width: 1}}, {Shape: "polygon"}} {
		if p := bare.FootprintCM(); p != nil {
			t.Errorf("a tank without measures has the footprint %v", p)
		}
	}
}

// A star-shaped polygon never crosses itself, and swapping two of its neighbouring corners makes it do so.
func TestCrossing(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		n := rapid.IntRange(4, 30).Draw(r, "corners")
		p := make([]PointCM, n)
		for i := range p {
			radius := rapid.Float64Range(10, 100).Draw(r, "radius")
			s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			p[i] = PointCM{100 + radius*c, 100 + radius*s}
		}
		if i, j, crosses := crossing(p); crosses {
			r.Fatalf("sides %d and %d cross in %v", i, j, p)
		}
		if !inside(p, PointCM{100, 100}, 0) || area(p) <= 0 {
			r.Fatalf("the centre is outside, or the area %v is not positive", area(p))
		}
	})
	for _, c := range []struct {
		name string
		p    []PointCM
		want bool
	}{
		{"square", []PointCM{{0, 0}, {1, 0}, {1, 1}, {0, 1}}, false},
		{"bow tie", []PointCM{{0, 0}, {1, 1}, {1, 0}, {0, 1}}, true},
		{"corner twice", []PointCM{{0, 0}, {1, 0}, {1, 0}, {0, 1}}, true},
		{"spike", []PointCM{{0, 0}, {2, 0}, {1, 0}, {1, 1}}, true},
		{"spike over the start", []PointCM{{1, 0}, {1, 1}, {0, 0}, {2, 0}}, true},
		{"touching a side", []PointCM{{0, 0}, {4, 0}, {4, 4}, {2, 0}, {0, 4}}, true},
		{"corner on a straight side", []PointCM{{0, 0}, {1, 0}, {2, 0}, {2, 2}, {0, 2}}, false},
	} {
		if _, _, got := crossing(c.p); got != c.want {
			t.Errorf("%s crosses: %v", c.name, got)
		}
	}
}

func TestExcerpt(t *testing.T) {
	for _, c := range []struct {
		name, src   string
		at          Position
		text, caret string
	}{
		{"plain", "a: 1\nbc: 2\n", Position{2, 5}, "bc: 2", "    ^"},
		{"tab stays under a tab", "\ta: 1", Position{1, 5}, "\ta: 1", "\t   ^"},
		{"two-byte letters count as one", "µm: x", Position{1, 5}, "µm: x", "    ^"},
		{"carriage return is dropped", "a: 1\r\nb: 2\r\n", Position{1, 4}, "a: 1", "   ^"},
		{"control characters are shown as boxes", "a: \x1b[31m", Position{1, 4}, "a: □[31m", "   ^"},
		{"behind the end", "a:\n", Position{1, 4}, "a:", "   ^"},
	} {
		text, caret := newReporter("x", []byte(c.src)).excerpt(c.at)
		if text != c.text || caret != c.caret {
			t.Errorf("%s: %q under %q", c.name, caret, text)
		}
	}
}

func TestNearest(t *testing.T) {
	known := []string{"length", "width", "height", "diameter", "bow", "water-level", "lux-per-ppfd"}
	for word, want := range map[string]string{
		"lenght": "length", "Width": "width", "hieght": "height", "diam": "diameter", "water_level": "water-level", "waterlevel": "water-level",
		"colour": "", "x": "", "": "", "luxperppfd": "lux-per-ppfd", "box": "bow",
	} {
		if got := nearest(word, known); got != want {
			t.Errorf("%q is taken for %q, want %q", word, got, want)
		}
	}
}

// From memory of makers' tables: 120x50x50 cm is built of 10 to 12 mm, 150x60x60 of 12 to 15, 200x70x70 of 15 to 19, 300x80x80 of 19 to 25.
func TestPanes(t *testing.T) {
	for _, c := range []struct{ long, high, low, most float64 }{{1.2, 0.5, 10, 12}, {1.5, 0.6, 12, 15}, {2, 0.7, 15, 19}, {3, 0.8, 19, 25}, {0.6, 0.36, 6, 8}} {
		if got := 1000 * float64(paneFor(unit.Length(c.high), unit.Length(c.long))); got < c.low || got > c.most {
			t.Errorf("%v m long and %v m high gets %v mm", c.long, c.high, got)
		}
	}
}
