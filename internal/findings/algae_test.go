package findings

import (
	"context"
	"littoral/internal/algae"
	"littoral/internal/check"
	"littoral/internal/forecast"
	"littoral/internal/plan"
	"strings"
	"testing"
)

const brightTank = `littoral: 1
name: bright
tank:
  shape: box
  inside: {length: 100 cm, width: 45 cm, height: 50 cm}
  glass: {thickness: 10 mm}
  water-level: 46 cm
room: {temperature: 22 °C, humidity: 50 %}
substrate: {layers: [{material: active soil, depth: 6 cm}]}
plants:
  - {id: stems, species: Hygrophila polysperma, pots: 12, in: [[5,20],[95,20],[95,40],[5,40]]}
  - {id: front, species: Eleocharis acicularis, pots: 20, in: [[5,3],[95,3],[95,18],[5,18]]}
lamps: [{kind: panel, at: [50,22], above-water: 15 cm, size: 80x25 cm, ppf: 120 µmol/s, beam: 100°}]
light-day: [{on: "10:00", hours: 9}]
co2: {target: 25 mg/L, on: "08:00", off: "18:30"}
water: {tap: {alkalinity: 4 dKH, hardness: 8 dGH, ph: 7.4, nitrate: 8 mg/L, phosphate: 0.5 mg/L, potassium: 5 mg/L, tempered: true}}
filter: [{flow: 1500 L/h, media: 8 L, seeded: 30 %}]
heater: {power: 150 W, set: 24 °C}
care:
  - {every: week, do: water-change, share: 40 %}
  - {every: week, do: glass}
  - {every: week, from: day 14, do: dose, salts: {KNO3: 2 g, KH2PO4: 0.3 g, iron: 0.03 g}}
  - {every: 2 weeks, from: day 28, do: trim, species: Hygrophila polysperma, to: 15 cm}
  - {every: 4 weeks, from: day 42, do: trim, species: Eleocharis acicularis, to: 3 cm}
`

func forecastOf(t *testing.T, text string, days int) *forecast.Forecast {
	t.Helper()
	p, err := plan.Parse([]byte(text), "test.yaml", nil)
	if err != nil {
		t.Fatalf("the plan does not read:\n%v", err)
	}
	f, err := forecast.Run(context.Background(), p, forecast.Options{Days: days})
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// Without injected CO2 the same bright tank grows a third or less, yet it grows, and gets algae (common practice, no source).
func TestBrightTankWithoutGasGetsAlgae(t *testing.T) {
	const days = 84
	with := forecastOf(t, brightTank, days)
	without := forecastOf(t, strings.Replace(brightTank, "co2: {target: 25 mg/L, on: \"08:00\", off: \"18:30\"}\n", "", 1), days)
	grown := func(f *forecast.Forecast) float64 {
		sum := 0.0
		for _, d := range f.Days {
			sum += d.GrowthG
		}
		return sum
	}
	worst := func(f *forecast.Forecast, k algae.Kind) float64 {
		most := 0.0
		for _, w := range f.Algae {
			if w.Day >= 42 && w.Risks[k].Level > most {
				most = w.Risks[k].Level
			}
		}
		return most
	}
	if a, b := grown(with), grown(without); !(b > 0.08*a && b < 0.33*a) {
		t.Errorf("with gas %.1f g are grown in twelve weeks, without %.1f", a, b)
	}
	// Its carbon, besides what the plants breathe themselves, comes from the bed and from hard change water over a bed that takes hardness
	// up; in all it loses carbon to the air, since its bed keeps the nights over the air's level.
	for _, e := range without.Balance.Elements {
		if e.Element != "carbon" {
			continue
		}
		amount := map[string]float64{}
		for _, x := range e.In {
			amount[x.Name] = x.Amount / days
		}
		for _, x := range e.Out {
			amount[x.Name] -= x.Amount / days
		}
		bed, change, air := amount["organic matter of the bed"], amount["change water"], amount["carbon dioxide to the air"]
		t.Logf("mmol of carbon a day: bed %.1f, change water %.1f, air %.1f", bed, change, air)
		if bed < 5 || change < 5 || air > 0 {
			t.Errorf("of carbon the bed brings %.1f mmol a day, the change water %.1f, the air %.1f", bed, change, air)
		}
	}
	if a, b := worst(with, algae.Thread), worst(without, algae.Thread); !(b > 0.6 && a < 0.3) {
		t.Errorf("thread algae are invited at %.2f with gas and at %.2f without", a, b)
	}
	// New soil gives off ammonium, which invites threads in both; where carbon keeps up with the light they go with it.
	if a, b := until(Read(with), "algae-thread"), until(Read(without), "algae-thread"); !(a < 50 && b >= days-7) {
		t.Errorf("thread algae are told of until day %d with gas and day %d without", a, b)
	}
	check.Record(t, check.Row{Room: "findings", What: "the same bright tank with and without gas, growth of 12 weeks and thread algae", Source: "common practice, no source", Worst: "growth by " + percentText(grown(without)/grown(with)), Within: "8 to 33 % (a third or less)"})
}

// until is the last day of a rule's finding, -1 without one.
func until(list []Finding, rule string) int {
	for _, f := range list {
		if f.Rule == rule {
			return f.Until
		}
	}
	return -1
}

func percentText(x float64) string { return number(100*x) + " %" }
