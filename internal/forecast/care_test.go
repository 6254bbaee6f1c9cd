package forecast

import (
	"math"
	"strings"
	"testing"
)

// A line with a condition is done on the visits on which it holds, and on no other.
func TestCareOnACondition(t *testing.T) {
	line := `  - {id: tops, every: week, from: day 28, do: trim, species: Hygrophila polysperma, to: 15 cm, when: WHEN}`
	with := func(when string) *Forecast {
		old := `  - {every: 3 weeks, from: day 28, do: trim, species: Hygrophila polysperma, to: 15 cm}`
		text := strings.Replace(small, old, strings.Replace(line, "WHEN", when, 1), 1)
		if text == small {
			t.Fatal("the care line is not there")
		}
		return mustRun(t, text, Options{Days: 98, Keep: everyDay(98)})
	}
	for _, c := range []struct {
		when string
		held func(height, gap float64) bool
		some bool
	}{
		{"top > 10 cm under surface", func(_, gap float64) bool { return gap < 0.1 }, true},
		{"height > 30 cm", func(height, _ float64) bool { return height > 0.3 }, true},
		{"height > 2 m", func(height, _ float64) bool { return height > 2 }, false},
	} {
		t.Run(c.when, func(t *testing.T) {
			f := with(c.when)
			cut := map[int]bool{}
			for _, e := range f.Events {
				if e.ID == "tops" {
					cut[e.Day] = true
					if e.Minutes <= 0 || e.FreshG <= 0 || e.N <= 0 || e.P <= 0 {
						t.Errorf("day %d: a cut of %g g, %g mg N, %g mg P in %g minutes", e.Day, e.FreshG, e.N, e.P, e.Minutes)
					}
				}
			}
			if (len(cut) > 0) != c.some || len(cut) > 8 {
				t.Errorf("cut on %d of 11 visits", len(cut))
			}
			for i := range f.Snapshots {
				s := &f.Snapshots[i]
				visit := s.Day + 1 // the state of an evening is what the visit of the next day finds
				if visit < 28 || visit > 98 || visit%7 != 0 {
					if cut[visit] {
						t.Errorf("cut on day %d, which is no visit", visit)
					}
					continue
				}
				height, gap := 0.0, math.Inf(1)
				for _, p := range s.Plants {
					if p.Planting == "stems" {
						height = math.Max(height, p.HeightM)
						gap = math.Min(gap, f.Model.Tank.WaterLevel-p.Z-p.HeightM)
					}
				}
				if held := c.held(height, gap); held != cut[visit] {
					t.Errorf("day %d: stems %.3f m high, %.3f m under the surface, cut: %v", visit, height, gap, cut[visit])
				}
			}
		})
	}
}

func everyDay(n int) []int {
	var days []int
	for d := range n + 1 {
		days = append(days, d)
	}
	return days
}

// Outer leaves, replanted tops and pulled runners leave the tank with their nutrients, take time, and keep the books.
func TestCareOnPlantsKeepsTheBooks(t *testing.T) {
	text := strings.Replace(small, "events:", `  - {every: month, from: day 40, do: outer-leaves, species: Cryptocoryne wendtii, share: 20 %}
  - {every: week, from: day 28, do: replant-tops, species: Hygrophila polysperma, when: height > 25 cm}
  - {every: month, from: day 60, do: pull-runners, species: Vallisneria spiralis, within: [[70,2],[115,2],[115,13],[70,13]]}
events:`, 1)
	text = strings.Replace(text, "  - {id: rhizome,", "  - {id: grass, species: Vallisneria spiralis, pots: 8, in: [[70,2],[115,2],[115,13],[70,13]]}\n  - {id: rhizome,", 1)
	text = strings.Replace(text, "  - {every: 3 weeks, from: day 28, do: trim, species: Hygrophila polysperma, to: 15 cm}\n", "", 1)
	f := mustRun(t, text, Options{Days: 200})
	for _, e := range f.Balance.Elements {
		if e.Relative > 1e-9 {
			t.Errorf("%s is off by %g of the turnover", e.Element, e.Relative)
		}
	}
	for _, kind := range []string{"outer-leaves", "replant-tops", "pull-runners"} {
		n := 0
		for _, e := range f.Events {
			if e.Kind != kind {
				continue
			}
			n++
			if e.Minutes <= 0 || e.FreshG <= 0 || e.N <= 0 || e.P <= 0 || e.Amount < 1 {
				t.Errorf("%s on day %d: %+v", kind, e.Day, e)
			}
		}
		if n == 0 {
			t.Errorf("nothing was done of %s", kind)
		}
	}
	for _, p := range f.Snapshots[len(f.Snapshots)-1].Plants {
		if p.Planting == "stems" && p.BareM > 0.15 {
			t.Errorf("%s has %.2f m of bare stem although its tops are replanted", p.ID, p.BareM)
		}
	}
}
