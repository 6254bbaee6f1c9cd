package render

import (
	"fmt"
	"littoral/internal/check"
	"math"
	"testing"
)

func TestColourDifferenceOnPublishedPairs(t *testing.T) {
	worst := 0.0
	for _, c := range []struct {
		p, q Lab
		want float64
	}{ // Sharma, Wu & Dalal 2005, Table 1
		{Lab{50, 2.6772, -79.7751}, Lab{50, 0, -82.7485}, 2.0425},
		{Lab{50, 3.1571, -77.2803}, Lab{50, 0, -82.7485}, 2.8615},
		{Lab{50, 2.8361, -74.0200}, Lab{50, 0, -82.7485}, 3.4412},
		{Lab{50, -1.3802, -84.2814}, Lab{50, 0, -82.7485}, 1.0000},
		{Lab{50, 0, 0}, Lab{50, -1, 2}, 2.3669},
		{Lab{50, 2.49, -.001}, Lab{50, -2.49, .0009}, 7.1792},
		{Lab{50, 2.49, -.001}, Lab{50, -2.49, .0011}, 7.2195},
		{Lab{50, -.001, 2.49}, Lab{50, .0009, -2.49}, 4.8045},
		{Lab{50, -.001, 2.49}, Lab{50, .0011, -2.49}, 4.7461},
		{Lab{50, 2.5, 0}, Lab{50, 0, -2.5}, 4.3065},
		{Lab{50, 2.5, 0}, Lab{73, 25, -18}, 27.1492},
		{Lab{50, 2.5, 0}, Lab{61, -5, 29}, 22.8977},
		{Lab{50, 2.5, 0}, Lab{56, -27, -3}, 31.9030},
		{Lab{50, 2.5, 0}, Lab{58, 24, 15}, 19.4535},
		{Lab{50, 2.5, 0}, Lab{50, 3.1736, .5854}, 1.0000},
		{Lab{60.2574, -34.0099, 36.2677}, Lab{60.4626, -34.1751, 39.4387}, 1.2644},
		{Lab{63.0109, -31.0961, -5.8663}, Lab{62.8187, -29.7946, -4.0864}, 1.2630},
		{Lab{61.2901, 3.7196, -5.3901}, Lab{61.4292, 2.2480, -4.9620}, 1.8731},
		{Lab{35.0831, -44.1164, 3.7933}, Lab{35.0232, -40.0716, 1.5901}, 1.8645},
		{Lab{22.7233, 20.0904, -46.6940}, Lab{23.0331, 14.9730, -42.5619}, 2.0373},
		{Lab{36.4612, 47.8580, 18.3852}, Lab{36.2715, 50.5065, 21.2231}, 1.4146},
		{Lab{90.8027, -2.0831, 1.4410}, Lab{91.1528, -1.6435, .0447}, 1.4441},
		{Lab{90.9257, -.5406, -.9208}, Lab{88.6381, -.8985, -.7239}, 1.5381},
		{Lab{6.7747, -.2908, -2.4247}, Lab{5.8714, -.0985, -2.2286}, .6377},
		{Lab{2.0776, .0795, -1.1350}, Lab{.9033, -.0636, -.5514}, .9082},
	} {
		for _, got := range []float64{Difference(c.p, c.q), Difference(c.q, c.p)} {
			d := math.Abs(got - c.want)
			worst = max(worst, d)
			if d > 1e-4 {
				t.Errorf("%v against %v: %.4f, published %.4f", c.p, c.q, got, c.want)
			}
		}
	}
	check.Record(t, check.Row{Room: "render", What: "CIEDE2000, 25 pairs both ways", Source: "Sharma, Wu & Dalal 2005, Table 1", Worst: fmt.Sprintf("%.1g", worst), Within: "1e-4"})
}

func TestLabOfScreenColours(t *testing.T) {
	worst := 0.0
	for _, c := range []struct {
		r, g, b uint8
		want    Lab
	}{
		{34, 120, 34, Lab{44.07, -42.91, 38.27}}, {150, 40, 40, Lab{34.31, 45.45, 27.29}}, {90, 140, 60, Lab{53.23, -31.79, 36.95}}, {255, 255, 255, Lab{100, 0, 0}},
	} {
		got := LabOf(c.r, c.g, c.b)
		d := max(math.Abs(got.L-c.want.L), math.Abs(got.A-c.want.A), math.Abs(got.B-c.want.B))
		worst = max(worst, d)
		if d > .02 {
			t.Errorf("%d %d %d: %v, want %v", c.r, c.g, c.b, got, c.want)
		}
	}
	check.Record(t, check.Row{Room: "render", What: "CIELAB of sRGB colours", Source: "CIE 15 and IEC 61966-2-1, worked by hand", Worst: fmt.Sprintf("%.2g", worst), Within: "0.02"})
}

// Colours of leaves as people call them (CIELAB as drawn through clear water; common practice, no source).
func TestLeavesAreCalledGreenOrBrown(t *testing.T) {
	for _, c := range []struct {
		name  string
		c     Lab
		green bool
	}{
		{"mid-green crypt", Lab{52, -20, 29}, true},
		{"pale stem plant", Lab{68, -22, 29}, true},
		{"yellow-green stem tip", Lab{78, -3, 40}, true},
		{"brown crypt", Lab{47, -4, 22}, false},
		{"orange stem plant", Lab{55, 25, 35}, false},
		{"red stem plant", Lab{40, 40, 20}, false},
	} {
		if got := isGreen(c.c); got != c.green {
			t.Errorf("%s, hue %.0f: green %v", c.name, c.c.Hue(), got)
		}
	}
}
