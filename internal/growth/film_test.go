package growth

import (
	"fmt"
	"littoral/internal/check"
	"littoral/internal/plan"
	"math"
	"testing"
)

// A film on leaves takes light from the leaf below it, most from kinds whose leaves live long, and they grow the slower for it. Epiphytes of a rich
// water take a third of an eelgrass's photosynthesis (Sand-Jensen 1977, from memory: 31 %).
func TestFilmShadesSlowLeavesMost(t *testing.T) {
	const slow, fast = "Anubias barteri var. nana", "Hygrophila polysperma"
	grown := func(film float64) (map[string]float64, map[string]float64) {
		r := newRig(t, 0.8, 0.4, 0.4,
			plan.Planting{ID: "slow", Species: slow, Pots: 4, In: box(5, 5, 75, 15)}, plan.Planting{ID: "fast", Species: fast, Pots: 4, In: box(5, 25, 75, 35)}).rich()
		r.i0 = 80
		r.start(0)
		dry, take := map[string]float64{}, map[string]float64{}
		r.s.SetFilm(film, 0.06)
		r.run(60)
		for _, p := range r.s.States() {
			dry[p.Planting] += p.ShootG
			take[p.Planting] = p.FilmTake
		}
		r.balanced()
		return dry, take
	}
	clean, none := grown(0)
	thin, a := grown(2)
	thick, b := grown(6)
	if none["slow"] != 0 || none["fast"] != 0 {
		t.Errorf("without film %v of the light is taken", none)
	}
	if !(a["slow"] > 1.5*a["fast"] && a["fast"] > 0 && b["slow"] > a["slow"]) {
		t.Errorf("a film of 2 g/m² takes %v of the light, of 6 g/m² %v", a, b)
	}
	for _, k := range []string{"slow", "fast"} {
		if !(thick[k] < thin[k] && thin[k] < clean[k]) {
			t.Errorf("%s: %.2f g clean, %.2f under 2 g/m² of film, %.2f under 6", k, clean[k], thin[k], thick[k])
		}
	}
	// What a leaf of 150 µmol loses at the load of a rich water, in the light response of the model.
	ik := traitsFor(species(t, slow)).ik
	i0 := 3 * ik
	loss := 1 - canopyMean(i0*math.Exp(-0.06*12), 0.3, math.Exp(-0.3), ik)/canopyMean(i0, 0.3, math.Exp(-0.3), ik)
	if loss < 0.15 || loss > 0.5 {
		t.Errorf("12 g/m² take %.0f %% of photosynthesis", 100*loss)
	}
	check.Record(t, check.Row{
		Room: "growth", What: "photosynthesis that epiphytes of 12 g/m² take from a leaf in three times its saturating light", Source: "Sand-Jensen 1977, from memory: 31 % in eelgrass", Worst: fmt.Sprintf("%.0f %%", 100*loss), Within: "15 to 50 %",
	})
}
