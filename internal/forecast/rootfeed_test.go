package forecast

import (
	"fmt"
	"littoral/internal/check"
	"strings"
	"testing"
)

// feeders is a bed of active soil that rises from 4 cm at the front to 12 at the back, full of heavy root feeders, with lean water.
const feeders = `littoral: 1
name: root feeders
tank:
  shape: box
  inside: {length: 120 cm, width: 60 cm, height: 60 cm}
  water-level: 55 cm
substrate: {layers: [{material: active soil, heights: {points: [[0,0,4],[120,0,4],[0,60,12],[120,60,12]]}}]}
plants:
  - {id: swords, species: Aquarius grisebachii, pots: 4, at: [[20,45],[50,45],[80,45],[105,45]]}
  - {id: crypts, species: Cryptocoryne wendtii, pots: 16, in: [[5,5],[115,5],[115,28],[5,28]]}
lamps: [{kind: panel, at: [60,30], above-water: 20 cm, size: 80x30 cm, ppf: 200 µmol/s, beam: 110°}]
light-day: [{on: "10:00", hours: 8}]
co2: {target: 20 mg/L, on: "08:00", off: "17:30"}
water: {tap: {alkalinity: 3 dKH, hardness: 6 dGH, nitrate: 2 mg/L, phosphate: 0.05 mg/L, potassium: 6 mg/L, tempered: true}}
filter: [{flow: 2000 L/h, media: 12 L, seeded: 20 %}]
heater: {power: 200 W, set: 25 °C}
care:
  - {every: week, do: water-change, share: 40 %}
  - {every: week, do: dose, salts: {K2SO4: 2 g, iron: 0.05 g}}
  - {every: 8 weeks, from: day 120, do: outer-leaves, species: Aquarius grisebachii, share: 20 %}
  - {every: year, from: day 300, do: root-feed, tablets: 30, tablet: coated, where: thin}
`

// Common practice, no source: a rich soil with yearly root feeding in its thin places carries heavy root feeders for three and a half
// years, and the thin edges run short first.
func TestRichSoilCarriesRootFeeders(t *testing.T) {
	const days = 1278 // three and a half years
	fed := mustRun(t, feeders, Options{Days: days})
	last := fed.Snapshots[len(fed.Snapshots)-1]
	least, swords := 1.0, 0
	for _, p := range last.Plants {
		if p.Planting != "swords" {
			continue
		}
		swords++
		least = min(least, p.Limits.N, p.Limits.P)
	}
	if swords == 0 || least < 0.6 {
		t.Errorf("after three and a half years %d swords live, the hungriest at %.2f of its nutrients", swords, least)
	}

	// Unfed, the front edge under 6 cm of soil is short before the back over 10 cm.
	starved := mustRun(t, strings.Replace(feeders, "  - {every: year, from: day 300, do: root-feed, tablets: 30, tablet: coated, where: thin}\n", "", 1), Options{Days: days})
	cols := starved.Columns
	thin, deep := 0, 0
	for _, s := range starved.Snapshots {
		var months [2]float64
		var n [2]int
		for _, p := range s.Soil {
			if p.Months >= 999 {
				continue
			}
			k := -1
			switch d := cols.Depth[0][p.Column]; {
			case d < 0.06:
				k = 0
			case d > 0.10:
				k = 1
			}
			if k >= 0 {
				months[k] += p.Months
				n[k]++
			}
		}
		if s.Day < 120 || n[0] == 0 || n[1] == 0 {
			continue
		}
		if months[0]/float64(n[0]) < months[1]/float64(n[1]) {
			thin++
		} else {
			deep++
		}
	}
	if thin < 9*deep {
		t.Errorf("the thin edge has less in store than the deep back in only %d of %d weeks", thin, thin+deep)
	}
	check.Record(t, check.Row{
		Room: "forecast", What: "heavy root feeders on rich soil with yearly feeding, three and a half years: hungriest plant; weeks in which the thin edge is the poorer",
		Source: "common practice, no source", Worst: fmt.Sprintf("%.2f of its nutrients; %d of %d weeks", least, thin, thin+deep), Within: "at least 0.6; nine in ten",
	})
}
