package growth

import (
	"littoral/internal/catalog"
	"math"
	"testing"
)

// Every number worked out of an entry is told with a range that holds it and a source.
func TestNumbersOfEverySpecies(t *testing.T) {
	all := catalog.Default().AllSpecies()
	for i := range all {
		list := Numbers(&all[i])
		if len(list) < 5 {
			t.Errorf("%s: only %d numbers", all[i].Name, len(list))
		}
		for _, n := range list {
			if n.What == "" || n.Source == "" || math.IsNaN(n.Value) || math.IsInf(n.Value, 0) || n.Min > n.Value*(1+1e-9) || n.Max < n.Value*(1-1e-9) {
				t.Errorf("%s: %+v", all[i].Name, n)
			}
		}
	}
}
