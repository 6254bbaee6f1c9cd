package forecast

import (
	"math"
	"strings"
	"testing"
)

// Each month tells of every planting that lives in it, months follow each other without a gap, and taking the gas away moves the
// blame to CO2.
func TestMonthsTellWhatHoldsPlantingsBack(t *testing.T) {
	f := mustRun(t, small, Options{Days: 130})
	next := map[string]int{}
	last := map[string]int{}
	for _, m := range f.Held {
		if want, seen := next[m.Planting]; seen && m.From != want {
			t.Errorf("%s: a month from day %d, want %d", m.Planting, m.From, want)
		}
		if m.Until-m.From > 31 || m.Until < m.From || !(m.Reached > 0 && m.Reached <= 1) {
			t.Errorf("%s: month from day %d to %d reached %g", m.Planting, m.From, m.Until, m.Reached)
		}
		sum := 0.0
		for _, c := range m.Shares.Causes() {
			sum += c.Share
		}
		if math.Abs(sum-1) > 1e-9 {
			t.Errorf("%s: shares from day %d add up to %g", m.Planting, m.From, sum)
		}
		next[m.Planting], last[m.Planting] = m.Until+1, m.Until
	}
	for _, id := range []string{"crypts", "rhizome", "new"} {
		if last[id] != 130 {
			t.Errorf("%s is told of until day %d, want 130", id, last[id])
		}
	}

	bare := mustRun(t, strings.Replace(small, "co2: {target: 25 mg/L, on: \"08:30\", off: \"17:00\"}\n", "", 1), Options{Days: 90})
	share := func(f *Forecast) float64 {
		for _, m := range f.Held {
			if m.Planting == "stems" && m.From > 55 {
				return m.Shares.CO2
			}
		}
		t.Fatal("nothing is told of the stems")
		return 0
	}
	if with, without := share(f), share(bare); !(without > with+0.1) {
		t.Errorf("CO2 takes %.2f of what is lost with gas and %.2f without", with, without)
	}
}
