package picture

import (
	"encoding/xml"
	"errors"
	"io"
	"littoral/internal/growth"
	par "littoral/internal/light"
	"littoral/internal/mesh"
	"littoral/internal/picture/sample"
	"littoral/internal/unit"
	"math"
	"strings"
	"testing"
)

// even is a field that falls evenly from 200 under the surface to 0 at the bottom.
func even(lx, ly, level float64) *par.Field {
	f := &par.Field{Cell: .05, LX: lx, LY: ly, WaterLevel: level, NX: int(lx/.05 + .5), NY: int(ly/.05 + .5), NZ: int(level/.05 + .5)}
	for k := range f.NZ {
		for range f.NX * f.NY {
			f.PPFD = append(f.PPFD, 200*(float64(k)+.5)*.05/level)
		}
	}
	return f
}

// A section through any line is a whole drawing, with the plants that stand on it and the light they get.
func TestSectionDraws(t *testing.T) {
	f := sample.Library()
	k := KeyOf(f)
	snap := Nearest(f, 364)
	tank := &f.Model.Tank
	field := even(tank.LX, tank.LY, tank.WaterLevel)
	plain := func(c Cut) string {
		s := Section("cut", f, k, c, 400, unit.Metric).SVG
		d := xml.NewDecoder(strings.NewReader(s))
		for {
			if _, err := d.Token(); errors.Is(err, io.EOF) {
				break
			} else if err != nil {
				t.Fatal(err)
			}
		}
		if strings.Contains(s, "NaN") || strings.Contains(s, "Inf") {
			t.Error("a number is none")
		}
		return s
	}
	across := Cut{From: [2]float64{0, tank.LY / 2}, To: [2]float64{tank.LX, tank.LY / 2}, Light: field, Day: snap.Day, Plants: snap.Plants}
	s := plain(across)
	met := across.near(1, 0, tank.LX)
	if len(met) == 0 {
		t.Fatal("no plant stands on the middle line of the sample")
	}
	for _, r := range sectionRows(met) {
		if !strings.Contains(s, Text(r.says)) {
			t.Errorf("the drawing does not say: %s", r.says)
		}
	}
	for _, line := range [][4]float64{{-1, -1, 5, 4}, {.1, 0, .1, tank.LY}, {tank.LX, tank.LY, 0, 0}, {9, 9, 10, 10}, {1, 1, 1, 1}} {
		plain(Cut{From: [2]float64{line[0], line[1]}, To: [2]float64{line[2], line[3]}, Light: field, Plants: snap.Plants})
	}
	plain(Cut{From: [2]float64{0, .1}, To: [2]float64{1, .1}, Light: &par.Field{}})
}

// Between the middles of voxels the light is theirs in proportion, and solid voxels do not count.
func TestLightOfASection(t *testing.T) {
	f := even(1, .5, .5)
	for _, z := range []float64{.1, .225, .31, .45} {
		if got, ok := lightAt(f, .43, .21, z); !ok || math.Abs(got-400*z) > 1e-9 {
			t.Errorf("at %g m stands %g", z, got)
		}
	}
	f.PPFD[0] = 0 // a solid in the lower front left corner
	if got, ok := lightAt(f, .02, .02, .02); ok || got != 0 {
		t.Errorf("inside a solid stands %g", got)
	}
	if got, ok := lightAt(f, .05, .025, .025); !ok || math.Abs(got-f.PPFD[1]) > 1e-9 {
		t.Errorf("beside a solid stands %g", got)
	}
}

// The cut of a ball is the circle that geometry has: its outline lies on it to within the width of a face.
func TestSliceOfABall(t *testing.T) {
	ball := mesh.Geodesic(4)
	p := slicePath(ball, [2]float64{-2, .6}, [2]float64{1, 0}, 4, func(u float64) float64 { return 1000 * u }, func(z float64) float64 { return 1000 * z })
	if p.empty() {
		t.Fatal("nothing was cut")
	}
	for _, line := range strings.FieldsFunc(p.String(), func(r rune) bool { return r == 'M' || r == 'Z' || r == 'z' }) {
		if strings.TrimSpace(line) == "" {
			t.Error("an empty outline")
		}
	}
	if far := slicePath(ball, [2]float64{-2, 1.5}, [2]float64{1, 0}, 4, func(u float64) float64 { return u }, func(z float64) float64 { return z }); !far.empty() {
		t.Error("a plane beside the ball cuts it")
	}
}

func TestGetsFollowsTheForecastsRule(t *testing.T) {
	p := sample.Library().Snapshots[0].Plants[0]
	lo, hi := p.Species.PAR.Min, p.Species.PAR.Max
	for _, tt := range []struct {
		top, mean float64
		want      string
	}{{lo - 1, lo - 1, "less"}, {lo + 1, lo + 1, "enough"}, {hi + 5, hi - 1, "enough"}, {hi + 50, hi + 1, "more"}} {
		p.TopPPFD, p.PPFD = tt.top, tt.mean
		if got := gets(&p); got != tt.want {
			t.Errorf("%g at the top, %g in the mean: %s, want %s", tt.top, tt.mean, got, tt.want)
		}
	}
	if gets(&growth.PlantState{}) != "" {
		t.Error("a plant without a species gets something")
	}
}
