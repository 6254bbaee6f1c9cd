package findings

import (
	"context"
	"littoral/internal/forecast"
	"littoral/internal/plan"
	"strings"
	"testing"
)

// oneYear is a small tank in a room that turns cold and hot, with cold change water once and a heater that is too small.
const oneYear = `littoral: 1
name: under the roof
planted: "2027-03-01"
tank:
  shape: box
  inside: {length: 90 cm, width: 45 cm, height: 45 cm}
  glass: {thickness: 8 mm}
  water-level: 41 cm
room: {temperature: 13 °C, summer: 31 °C, hottest: 8, humidity: 50 %}
lamps:
  - {kind: panel, at: [45, 22], above-water: 20 cm, size: 80x30 cm, ppf: 90 µmol/s, beam: 100°}
light-day: [{on: "10:00", hours: 8}]
filter: [{flow: 900 L/h, media: 12 L}]
heater: {power: 40 W, set: 24 °C}
substrate: {layers: [{material: quartz gravel, depth: 5 cm}]}
plants: [{species: Hygrophila polysperma, pots: 3, in: [[5,20],[85,20],[85,40],[5,40]], height: 15 cm}]
water: {tap: {alkalinity: 4 dKH, hardness: 8 dGH, ph: 7.4, nitrate: 8 mg/L, phosphate: 0.5 mg/L, potassium: 5 mg/L, temperature: 9 °C}}
found: {age: 10 months, readings: {nitrate: 8 mg/L, phosphate: 1 mg/L, alkalinity: 4 dKH, hardness: 8 dGH, ph: 7.2, temperature: 15 °C, ammonium: 0 mg/L, nitrite: 0 mg/L}}
livestock: [{species: Petitella bleheri, count: 30}]
feeding: {dry-food: 2 g/day}
events:
  - {on: day 20, do: water-change, drain: 80 %}
  - {on: day 120, do: filter-loss}
care: [{every: week, do: water-change, share: 25 %}, {every: month, do: trim, to: 20 cm}]
`

func TestAYearOfHeatColdAndALostFilter(t *testing.T) {
	p, err := plan.Parse([]byte(oneYear), "year.yaml", nil)
	if err != nil {
		t.Fatal(err)
	}
	f, err := forecast.Run(context.Background(), p, forecast.Options{Days: 330})
	if err != nil {
		t.Fatal(err)
	}
	by := map[string]Finding{}
	list := Read(f)
	toldInGerman(t, list)
	for _, x := range list {
		if _, there := by[x.Rule]; !there {
			by[x.Rule] = x
		}
	}
	for rule, words := range map[string][]string{
		"overheats":     {"fan", "evaporate", "W", "Petitella bleheri"},
		"heater-small":  {"W in all"},
		"sudden-change": {"at most", "minutes", "heater takes"},
	} {
		x, ok := by[rule]
		if !ok {
			t.Errorf("no finding %s", rule)
			continue
		}
		for _, w := range words {
			if !strings.Contains(x.Because+" "+x.Do, w) {
				t.Errorf("%s lacks %q: %s %s", rule, w, x.Because, x.Do)
			}
		}
		t.Logf("day %d to %d: %s %s %s", x.Day, x.Until, x.What, x.Because, x.Do)
	}
	if x := by["overheats"]; x.Day < 90 || x.Until > 240 {
		t.Errorf("the summer lies from day %d to %d", x.Day, x.Until)
	}
	// A ripe tank is fit from the start. Ammonium in week 5 and nitrite after four months are found where they are.
	if s := SafeFor(f, "shrimp"); s.Day != 0 || len(s.Again) != 0 {
		t.Errorf("a ripe tank is fit as %+v", s)
	}
	ill := *f
	ill.Days = append([]forecast.Day(nil), f.Days...)
	ill.Days[30].NH4 = 0.4
	for i := 140; i < 145; i++ {
		ill.Days[i].NO2 = 0.15
	}
	if s := SafeFor(&ill, "shrimp"); s.Day != 31 || len(s.Again) != 1 || s.Again[0] != (Spell{140, 144}) {
		t.Errorf("shrimps are safe as %+v", s)
	}
	if s := SafeFor(&ill, "fish"); s.Day != 31 || len(s.Again) != 0 {
		t.Errorf("fish are safe as %+v", s)
	}
	ill.Days, ill.Length = ill.Days[:35], 34
	if s := SafeFor(&ill, "fish"); s.Day != -1 {
		t.Errorf("safe on day %d, three days before the end", s.Day)
	}
	// Losing the ripe media: what lives on glass, bed and leaves goes on, at several times the ammonium and nitrite.
	high := func(from, until int) float64 {
		m := 0.0
		for _, d := range f.Days[from:until] {
			m = max(m, d.NO2, d.NH4)
		}
		return m
	}
	if before, after := high(15, 120), high(120, 140); before > 0.1 || after < 1.7*before {
		t.Errorf("ammonium or nitrite at most %g before and %g after the filter was lost", before, after)
	}
}
