package findings

import (
	"fmt"
	"littoral/internal/check"
	"littoral/internal/soil"
	"math"
	"strings"
	"testing"
)

const swordTank = `littoral: 1
name: swords
tank:
  shape: box
  inside: {length: 120 cm, width: 50 cm, height: 50 cm}
  glass: {thickness: 12 mm}
  water-level: 46 cm
room: {temperature: 22 °C, humidity: 50 %}
substrate: {layers: [{material: BED, heights: {points: [[0,0,3],[120,0,3],[0,50,8],[120,50,8]]}}]}
plants:
  - {id: swords, species: Echinodorus bleheri, pots: 4, in: [[10,25],[110,25],[110,45],[10,45]]}
  - {id: grass, species: Sagittaria subulata, pots: 20, in: [[5,3],[115,3],[115,20],[5,20]]}
lamps: [{kind: panel, at: [60,25], above-water: 20 cm, size: 100x30 cm, ppf: 200 µmol/s, beam: 110°}]
light-day: [{on: "10:00", hours: 8}]
co2: {target: 25 mg/L, on: "08:00", off: "17:30"}
water: {tap: {alkalinity: TAPKH dKH, hardness: 10 dGH, ph: 7.5, nitrate: 10 mg/L, phosphate: 0.3 mg/L, potassium: 3 mg/L, tempered: true}}
filter: [{flow: 1500 L/h, media: 8 L, seeded: 30 %}]
heater: {power: 150 W, set: 24 °C}
care:
  - {every: week, do: water-change, share: 40 %}
  - {every: week, from: day 14, do: dose, salts: {KNO3: 2 g, KH2PO4: 0.3 g, iron: 0.03 g}}
`

func sword(bed, kh string) string {
	return strings.NewReplacer("BED", bed, "TAPKH", kh).Replace(swordTank)
}

// A poor bed says where, when and how many tablets, thinner places first or with the thick ones; a rich one later or never; and what is
// pushed in by that advice is what the area asks for.
func TestRootZoneGivesDatedPlaces(t *testing.T) {
	poor := newView(forecastOf(t, sword("quartz gravel", "5"), 200))
	due := poor.tabletsDue()
	if len(due) == 0 {
		t.Fatal("a bare gravel bed under swords is never due")
	}
	seen := map[int]bool{}
	for i, d := range due {
		area := 0.0
		for _, col := range d.Columns {
			if seen[col] {
				t.Errorf("column %d is in two places", col)
			}
			seen[col] = true
			area += poor.f.Columns.Area[col]
		}
		if d.Day < grown || i > 0 && d.Day < due[i-1].Day || len(d.Columns) < 3 {
			t.Errorf("%+v is out of order or too small", d)
		}
		if want := int(math.Ceil(area / perTablet)); d.Tablets != want || d.Where != poor.where(d.X, d.Y) {
			t.Errorf("%s: %d tablets for %.3f m², want %d; its middle lies %s", d.Where, d.Tablets, area, want, poor.where(d.X, d.Y))
		}
	}
	rich := newView(forecastOf(t, sword("active soil", "5"), 200)).tabletsDue()
	if len(rich) > 0 && rich[0].Day <= due[0].Day {
		t.Errorf("active soil is due on day %d, gravel on day %d", rich[0].Day, due[0].Day)
	}
	for _, f := range Read(poor.f) {
		if f.Rule == "root-zone-short" && (len(f.Due) != len(due) || !strings.Contains(f.Do, due[0].Where)) {
			t.Errorf("the finding does not list the places: %s", f.Do)
		}
	}
}

// The harder the change water, the sooner an active bed has spent its buffering.
func TestBufferDateFollowsTheChangeWater(t *testing.T) {
	spent := func(kh string) int {
		for _, f := range Read(forecastOf(t, sword("active soil", kh), 400)) {
			if f.Rule == "buffer-spent" {
				return f.Day
			}
		}
		return 401
	}
	soft, usual, hard := spent("1.5"), spent("4"), spent("9")
	if !(hard < usual && usual < soft) {
		t.Errorf("spent on day %d, %d, %d at 9, 4, 1.5 dKH", hard, usual, soft)
	}
	check.Record(t, check.Row{Room: "findings", What: "day on which an active bed has spent its buffering, 9, 4 and 1.5 dKH", Source: "common practice, no source", Worst: fmt.Sprintf("day %d, %d, %d", hard, usual, soft), Within: "sooner in harder water"})
}

// Slopes creep by a fifth to two fifths in a year; a rule of the trade, at its own numbers.
func TestSlopesCreep(t *testing.T) {
	low, high := soil.Creep(28, 1)
	if math.Abs(low-16.8) > 1e-9 || math.Abs(high-22.4) > 1e-9 {
		t.Errorf("28° lies at %.1f to %.1f° after a year, want 16.8 to 22.4", low, high)
	}
	if l, h := soil.Creep(28, 0); l != 28 || h != 28 {
		t.Errorf("nothing creeps in no time: %g to %g", l, h)
	}
}
