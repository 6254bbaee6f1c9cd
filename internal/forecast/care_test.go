package forecast

import (
	"fmt"
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
  - {every: 4 weeks, from: day 42, do: trim, species: grass, to: 8 cm, shape: slope, rise: 10 cm}
  - {every: 3 months, from: day 90, do: replace, species: Cryptocoryne wendtii, share: 50 %}
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
	for _, kind := range []string{"outer-leaves", "replant-tops", "pull-runners", "trim", "replace"} {
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

// A water change in litres is the share of the net water that it is, and its events say the litres.
func TestAWaterChangeInLitres(t *testing.T) {
	share := mustRun(t, small, Options{Days: 30})
	net := share.Model.Facts.NetWaterL
	text := strings.Replace(small, "do: water-change, share: 40 %", fmt.Sprintf("do: water-change, amount: %.9f L", 0.4*net), 1)
	text = strings.Replace(text, "events:", "events:\n  - {on: day 25, do: water-change, amount: 100 L}\n  - {on: day 26, do: water-change, amount: 250 L}", 1)
	litres := mustRun(t, text, Options{Days: 30})
	for d := range 25 {
		// A share is one of the water that stands there that day, less what has evaporated since it was topped up.
		if a, b := share.Days[d].ChangedL, litres.Days[d].ChangedL; math.Abs(a-b) > 0.005*net {
			t.Errorf("day %d: %.3f L changed as a share, %.3f L as a volume", d, a, b)
		}
	}
	for day, want := range map[int]float64{25: 100, 26: 250} {
		if got := litres.Days[day].ChangedL; math.Abs(got-want) > 1e-6*want {
			t.Errorf("day %d: %.6f L changed, want %g L", day, got, want)
		}
	}
	for _, e := range litres.Balance.Elements {
		if e.Relative > 1e-9 {
			t.Errorf("%s is off by %g of the turnover", e.Element, e.Relative)
		}
	}
}

// A line of care about one planting leaves the others of its species alone, and its events name it.
func TestCareOfOnePlanting(t *testing.T) {
	text := strings.Replace(small, "  - {id: rhizome,", "  - {id: stems-right, species: Hygrophila polysperma, pots: 6, in: [[70,42],[115,42],[115,48],[70,48]]}\n  - {id: rhizome,", 1)
	text = strings.Replace(text, "do: trim, species: Hygrophila polysperma, to: 15 cm", "do: trim, species: stems, to: 15 cm", 1)
	f := mustRun(t, text, Options{Days: 50, Keep: []int{48, 49}})
	said := 0
	for _, e := range f.Events {
		if e.Kind == "trim" {
			said++
			if e.Text != "Hygrophila polysperma (stems) is cut back." {
				t.Errorf("day %d: %q", e.Day, e.Text)
			}
		}
	}
	if said == 0 {
		t.Fatal("nothing was cut")
	}
	highest := map[string]float64{}
	for i := range f.Snapshots {
		if s := &f.Snapshots[i]; s.Day == 49 { // cut on days 28 and 49
			for _, p := range s.Plants {
				highest[p.Planting] = math.Max(highest[p.Planting], p.HeightM)
			}
		}
	}
	if highest["stems"] > 0.2 || highest["stems-right"] < 1.3*highest["stems"] {
		t.Errorf("after the cut the stems are %.2f m high, those of the other planting %.2f m", highest["stems"], highest["stems-right"])
	}
}

// What is done to a plant is said in the words for its form: a moss has no outer leaves.
func TestWorkIsSaidInTheWordsForTheForm(t *testing.T) {
	r := run{p: read(t, strings.Replace(small, "pots: 3, on: stone-a}", "pots: 3, on: stone-a}\n  - {id: fluff, species: Taxiphyllum barbieri, pots: 2, on: stone-a}", 1))}
	for _, c := range []struct{ kind, name, want string }{
		{"outer-leaves", "Taxiphyllum barbieri", "Tufts of %s are plucked off."},
		{"trim", "fluff", "%s is clipped."},
		{"thin", "fluff", "%s is thinned."},
		{"outer-leaves", "crypts", "The outer leaves of %s are taken."},
		{"outer-leaves", "stems", "Side shoots of %s are taken."},
		{"trim", "Salvinia natans", "Part of %s is netted off."},
		{"trim", "", "%s is cut back."},
		{"outer-leaves", "no such plant", "The outer leaves of %s are taken."},
	} {
		if got := r.deed(c.kind, c.name); got != c.want {
			t.Errorf("%s of %q: %q, want %q", c.kind, c.name, got, c.want)
		}
	}
}
