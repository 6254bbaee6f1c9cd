package growth

import (
	"littoral/internal/plan"
	"testing"
)

// busy is a tank of 240 × 90 × 55 cm with 400 plants of all forms, settled for 60 days.
func busy(b testing.TB) *rig {
	r := newRig(b, 2.4, 0.9, 0.55,
		plan.Planting{ID: "carpet", Species: "Glossostigma elatinoides", Pots: 60, In: box(0, 0, 240, 25), Grown: "submersed"},
		plan.Planting{ID: "stems", Species: "Rotala rotundifolia", Pots: 90, In: box(0, 60, 150, 90), Grown: "submersed"},
		plan.Planting{ID: "crypts", Species: "Cryptocoryne wendtii", Pots: 100, In: box(0, 25, 240, 60), Grown: "submersed"},
		plan.Planting{ID: "swords", Species: "Aquarius grisebachii", Pots: 10, In: box(0, 25, 240, 60), Grown: "submersed"},
		plan.Planting{ID: "ferns", Species: "Microsorum pteropus", Pots: 90, In: box(150, 25, 240, 90), Grown: "submersed"},
		plan.Planting{ID: "moss", Species: "Taxiphyllum barbieri", Pots: 50, In: box(150, 25, 240, 90), Grown: "submersed"},
	).rich().start(1)
	for i := range r.s.plants {
		r.s.plants[i].t.begets = false // so that the count stays
	}
	return r.run(60)
}

func BenchmarkDay(b *testing.B) {
	r := busy(b)
	e := r.env()
	tk := Taken{}
	plants, days := 0, 0
	b.ReportAllocs()
	for b.Loop() {
		e.Day++
		if e.Day%7 == 0 || e.Day > 260 {
			b.StopTimer()
			if e.Day > 260 { // before the weaker ones are lost
				r = busy(b)
				e = r.env()
			}
			r.shine()
			b.StartTimer()
		}
		plants, days = plants+r.s.Len(), days+1
		d := r.s.Demand(e)
		tk.FixedC = [2]float64{0.7 * d.GrossC[0], 0.9 * d.GrossC[1]}
		tk.Water = d.Water
		tk.Root = tk.Root[:0]
		for _, a := range d.Root {
			tk.Root = append(tk.Root, Matter{N: a.N, P: a.P, K: a.K, Fe: a.Fe})
		}
		r.s.Grow(e, tk)
	}
	b.ReportMetric(float64(plants)/float64(days), "plants")
}

func BenchmarkCanopy(b *testing.B) {
	r := busy(b)
	b.ReportAllocs()
	for b.Loop() {
		r.s.Canopy(r.leaf, r.cover)
	}
}

func BenchmarkSetLight(b *testing.B) {
	r := busy(b)
	r.shine()
	b.ReportAllocs()
	for b.Loop() {
		r.s.SetLight(r.ppfd)
	}
}

func BenchmarkCover(b *testing.B) {
	r := busy(b)
	b.ReportAllocs()
	for b.Loop() {
		r.s.Cover()
	}
}
