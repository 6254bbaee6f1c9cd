package growth

import (
	"littoral/internal/catalog"
	"slices"
	"strings"
)

// Sum is a planting as a whole.
type Sum struct {
	Planting      string
	Species       *catalog.Species
	Plants        float64
	HeightM       float64 // of its tallest plant, over its crown
	ShootG, RootG float64 // dry
}

// Sums lists the plantings that have living plants, sorted by planting.
func (s *Stand) Sums() []Sum {
	at := make([]int, len(s.names))
	out := make([]Sum, 0, len(s.names))
	for i := range s.plants {
		p := &s.plants[i]
		if at[p.pi] == 0 {
			out = append(out, Sum{Planting: p.planting, Species: p.t.sp})
			at[p.pi] = len(out)
		}
		q := &out[at[p.pi]-1]
		q.Plants += p.count
		q.HeightM = max(q.HeightM, p.h)
		q.ShootG += p.shoot
		q.RootG += p.root
	}
	slices.SortFunc(out, func(a, b Sum) int { return strings.Compare(a.Planting, b.Planting) })
	return out
}
