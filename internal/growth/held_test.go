package growth

import (
	"fmt"
	"littoral/internal/check"
	"littoral/internal/plan"
	"math"
	"testing"
)

// The factors multiply to what was reached, the shares add up to one, and each cause is named where it acts.
func TestHeldBackIsToldInShares(t *testing.T) {
	stem := plan.Planting{ID: "a", Species: "Hygrophila polysperma", Pots: 4, In: box(5, 5, 35, 35)}
	runners := plan.Planting{ID: "a", Species: "Sagittaria subulata", Pots: 60, In: box(0, 0, 20, 20)}
	rosette := plan.Planting{ID: "a", Species: "Anubias barteri var. nana", Pots: 1, At: []plan.PointCM{{20, 20}}}
	worst := 0.0
	for _, c := range []struct {
		name, want string
		plant      plan.Planting
		set        func(r *rig)
		days       int
	}{
		{"dim light", "light", stem, func(r *rig) { r.i0 = 15 }, 60},
		{"no added carbon", "CO2", stem, func(r *rig) { r.co2, r.i0 = 0.6, 300; r.hours = 11 }, 40},
		{"no nitrogen", "nitrogen", stem, func(r *rig) { r.n, r.soil = 0, nil }, 90},
		{"no phosphorus", "phosphorus", stem, func(r *rig) { r.p0, r.soil = 0, nil }, 90},
		{"no potassium and iron", "potassium", stem, func(r *rig) { r.k, r.soil = false, nil }, 90},
		{"cold", "temperature", stem, func(r *rig) { r.temp = 12; r.hours = 11; r.i0 = 300 }, 20},
		{"grown", "space", rosette, func(r *rig) { r.i0 = 300; r.hours = 11 }, 1500},
		{"packed ground", "root room", runners, func(r *rig) { r.i0, r.hours = 800, 12 }, 30},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := newRig(t, 0.4, 0.4, 0.4, c.plant).rich()
			c.set(r)
			r.start(0).run(c.days - 14)
			r.s.Held()
			r.run(14)
			held := r.s.Held()
			if len(held) != 1 || held[0].Planting != "a" {
				t.Fatalf("%d plantings are told of, want one", len(held))
			}
			h := held[0]
			product, sum := 1.0, 0.0
			f, sh := h.Factors.each(), h.Shares.each()
			for k := range f {
				product *= *f[k]
				sum += *sh[k]
			}
			off := math.Max(math.Abs(product/h.Reached-1), math.Abs(sum-1))
			worst = math.Max(worst, off)
			if off > 1e-9 {
				t.Errorf("factors multiply to %g of the %g reached, shares add up to %g", product, h.Reached, sum)
			}
			causes := h.Shares.Causes()
			if causes[0].Name != c.want {
				t.Errorf("%s is named first, want %s: %v, factors %+v", causes[0].Name, c.want, causes, h.Factors)
			}
			if again := r.s.Held(); len(again) != 0 {
				t.Errorf("asked twice, the same days are told twice: %v", again)
			}
		})
	}
	check.Record(t, check.Row{Room: "growth", What: "shares of limitation: product of the factors, sum of the shares", Source: "identity of logarithms", Worst: fmt.Sprintf("%.0e", worst), Within: "1e-9"})
}
