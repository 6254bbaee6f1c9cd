package findings

import (
	"strings"
	"testing"
)

// The trade's story of the carpet that floats up, and of the bulb that is taken for dead.
func TestMatsThatLiftAndBulbsThatRestAreTold(t *testing.T) {
	const text = `littoral: 1
name: mat
tank:
  shape: box
  inside: {length: 80 cm, width: 40 cm, height: 45 cm}
  glass: {thickness: 8 mm}
  water-level: 42 cm
room: {temperature: 22 °C, humidity: 50 %}
substrate: {layers: [{material: active soil, depth: 6 cm}]}
plants:
  - {id: lawn, species: Micranthemum tweediei, pots: 14, in: [[3,3],[77,3],[77,22],[3,22]], grown: in-vitro}
  - {id: bulb, species: Aponogeton ulvaceus, pots: 1, at: [[40,32]]}
lamps: [{kind: panel, at: [40,20], above-water: 15 cm, size: 60x25 cm, ppf: 110 µmol/s, beam: 100°}]
light-day: [{on: "10:00", hours: 8.5}]
co2: {target: 25 mg/L, on: "08:00", off: "18:00"}
water: {tap: {alkalinity: 4 dKH, hardness: 8 dGH, ph: 7.4, nitrate: 8 mg/L, phosphate: 0.5 mg/L, potassium: 5 mg/L, tempered: true}}
filter: [{flow: 900 L/h, media: 5 L, seeded: 30 %}]
heater: {power: 100 W, set: 24 °C}
care:
  - {every: week, do: water-change, share: 40 %}
  - {every: week, from: day 14, do: dose, salts: {KNO3: 1.5 g, KH2PO4: 0.2 g, K2SO4: 0.5 g, iron: 0.02 g}}
`
	f := forecastOf(t, text, 365)
	lifted, rested, woke := 0.0, -1, -1
	for _, e := range f.Events {
		switch e.Kind {
		case "lift":
			lifted += e.Amount
			if e.FreshG <= 0 || e.N <= 0 || e.P <= 0 || e.Minutes <= 0 {
				t.Errorf("what floats is told as %+v", e)
			}
		case "rest":
			rested = e.Day
		case "rest-over":
			woke = e.Day
		}
	}
	if lifted <= 0.01 || rested < 150 || woke < rested+42 {
		t.Fatalf("%.3f m² lift, the bulb rests from day %d to %d", lifted, rested, woke)
	}
	for _, e := range f.Balance.Elements {
		if e.Relative > 1e-9 {
			t.Errorf("the books of %s are open by %.2g", e.Element, e.Relative)
		}
	}
	told := map[string]string{}
	list := Read(f)
	toldInGerman(t, list)
	for _, x := range list {
		told[x.Rule] += x.What + " " + x.Because + " " + x.Do
	}
	if !strings.Contains(told["mat-thick"], "let go and float") {
		t.Errorf("of the mat it says %q", told["mat-thick"])
	}
	if !strings.Contains(told["bulb-rests"], "without leaves") {
		t.Errorf("of the bulb it says %q", told["bulb-rests"])
	}
	if strings.Contains(told["plants-lost"], "Aponogeton") {
		t.Error("the resting bulb is called lost")
	}
	sheared := forecastOf(t, text+"  - {every: 4 weeks, from: day 49, do: trim, species: Micranthemum tweediei, to: 1.5 cm}\n", 365)
	for _, e := range sheared.Events {
		if e.Kind == "lift" {
			t.Fatalf("sheared every four weeks, %.4f m² lift on day %d", e.Amount, e.Day)
		}
	}
}
