package findings

import (
	"context"
	"fmt"
	"littoral/internal/check"
	"littoral/internal/forecast"
	"littoral/internal/plan"
	"slices"
	"strings"
	"testing"
)

// found is a plan of a running tank: what the stories below share.
const found = `littoral: 1
name: %s
tank:
  shape: box
  inside: {length: %d cm, width: %d cm, height: %d cm}
  glass: {thickness: 12 mm}
  water-level: %d cm
room: {temperature: 22 °C, humidity: 50 %%}
lamps:
  - {kind: panel, at: [%d, %d], above-water: 20 cm, size: 100x30 cm, ppf: %d µmol/s, beam: 100°}
light-day: [{on: "10:00", hours: 8}]
filter: [{flow: %d L/h, media: 15 L}]
heater: {power: 300 W, set: 24 °C}
`

func tank(name string, l, w, h, ppf, flow int) string {
	return fmt.Sprintf(found, name, l, w, h, h-4, l/2, w/2, ppf, flow)
}

// story is a trouble that the trade knows, as a plan of the tank as found, and the rule that names its true cause.
type story struct {
	name  string
	plan  string
	days  int
	cause string   // rule that must come first
	also  string   // rule that must be there besides
	says  []string // words that its text must hold
	wrong []string // rules that would be the tempting wrong answer as first finding
}

var stories = []story{
	{
		name: "T1 shrimps die in a new soil tank", days: 30, cause: "nitrogen-nitrite", says: []string{"itrite", "ammonium"}, wrong: []string{"co2-high"},
		plan: tank("soil start", 150, 65, 65, 250, 3000) + `
substrate: {layers: [{material: active soil, depth: 7 cm}]}
plants: [{species: Hygrophila polysperma, pots: 20, in: [[10,30],[140,30],[140,60],[10,60]]}]
co2: {target: 24 mg/L, on: "08:00", off: "17:00"}
water: {tap: {alkalinity: 2 dKH, hardness: 6 dGH, ph: 7.2}}
found: {age: 12 days, readings: {ammonium: 3 mg/L, nitrite: 0.6 mg/L, ph: 6.4, alkalinity: 2 dKH, temperature: 25 °C}, symptoms: [ten of forty shrimps dead]}
livestock: [{species: Caridina multidentata, count: 30}]
feeding: {dry-food: 0.2 g/day}
care: [{every: week, do: water-change, share: 30 %}]
`,
	},
	{
		name: "T2 black tufts after filter neglect", days: 40, cause: "flow-found", also: "algae-black-tufts", says: []string{"48 %", "diffuser", "tufts"}, wrong: []string{"nitrogen-high"},
		plan: tank("neglected filter", 130, 60, 60, 230, 2500) + `
substrate: {layers: [{material: quartz gravel, depth: 6 cm}]}
plants:
  - {species: Hygrophila polysperma, pots: 15, in: [[10,35],[120,35],[120,55],[10,55]], height: 25 cm}
  - {species: Anubias barteri var. nana, pots: 8, in: [[10,5],[120,5],[120,25],[10,25]], height: 10 cm}
co2: {target: 28 mg/L, on: "09:30", off: "17:00"}
water: {tap: {alkalinity: 4 dKH, hardness: 8 dGH, ph: 7.4, nitrate: 8 mg/L, phosphate: 0.5 mg/L, potassium: 5 mg/L, tempered: true}}
found: {age: 9 months, substrate: used, flow: 48 %, readings: {nitrate: 15 mg/L, phosphate: 1.5 mg/L, potassium: 18 mg/L, iron: 0.2 mg/L, ammonium: 0 mg/L, nitrite: 0 mg/L, alkalinity: 4 dKH, hardness: 8 dGH}, symptoms: [black tufts on old leaf edges and on the outlet]}
care:
  - {every: week, do: water-change, share: 30 %}
  - {every: week, do: dose, salts: {KNO3: 4 g, KH2PO4: 0.8 g, iron: 0.05 g}}
`,
	},
	{
		name: "T3 green dots on glass and Anubias", days: 40, cause: "phosphorus-short", also: "algae-green-spot", says: []string{"0.0", "green dots", "Dose phosphate"}, wrong: []string{"light-high"},
		plan: tank("lean dosing", 110, 50, 55, 170, 2500) + `
substrate: {layers: [{material: quartz gravel, depth: 5 cm}]}
hardscape: [{id: root, kind: stone, material: granite, shape: {boulder: {length: 40 cm, width: 25 cm, height: 25 cm}}, at: [55, 25]}]
plants:
  - {species: Hygrophila polysperma, pots: 14, in: [[10,35],[100,35],[100,45],[10,45]], height: 20 cm}
  - {species: Anubias barteri var. nana, pots: 6, on: root, height: 8 cm}
co2: {target: 27 mg/L, on: "07:00", off: "18:00"}
water: {tap: {alkalinity: 4 dKH, hardness: 8 dGH, ph: 7.4, nitrate: 10 mg/L, potassium: 5 mg/L, tempered: true}}
found: {age: 8 months, substrate: used, readings: {nitrate: 12 mg/L, phosphate: 0.04 mg/L, potassium: 15 mg/L, iron: 0.2 mg/L, ammonium: 0 mg/L, nitrite: 0 mg/L, alkalinity: 4 dKH, hardness: 8 dGH}, symptoms: [hard green dots on the glass within four days of cleaning]}
care:
  - {every: week, do: water-change, share: 30 %}
  - {every: week, do: dose, salts: {KNO3: 3 g, K2SO4: 2 g, iron: 0.04 g}}
`,
	},
	{
		name: "T4 pale new tips in hard water", days: 60, cause: "iron-falls-out", says: []string{"pH 7", "chelate", "blend"}, wrong: []string{"nitrogen-short"},
		plan: tank("hard water", 200, 70, 70, 420, 5000) + `
substrate: {layers: [{material: quartz gravel, depth: 7 cm}]}
plants:
  - {species: Ludwigia repens, pots: 20, in: [[10,40],[100,40],[100,65],[10,65]], height: 25 cm}
  - {species: Rotala rotundifolia, pots: 20, in: [[100,40],[190,40],[190,65],[100,65]], height: 25 cm}
co2: {target: 14 mg/L, on: "08:00", off: "17:00"}
water: {tap: {alkalinity: 12 dKH, hardness: 17 dGH, ph: 7.6, nitrate: 15 mg/L, phosphate: 0.5 mg/L, potassium: 4 mg/L, tempered: true}}
found: {age: 4 months, substrate: used, readings: {alkalinity: 12 dKH, hardness: 17 dGH, ph: 7.4, nitrate: 20 mg/L, phosphate: 1 mg/L, potassium: 15 mg/L, iron: 0.02 mg/L}, symptoms: [pale new leaves with green veins]}
care:
  - {every: week, do: water-change, share: 40 %}
  - {every: week, do: dose, salts: {KNO3: 12 g, KH2PO4: 0.8 g, iron: 0.004 g}}
`,
	},
	{
		name: "T5 holes in old leaves", days: 120, cause: "potassium-short", says: []string{"otassium", "pinholes"}, wrong: []string{"animal-plants"},
		plan: tank("inert gravel", 130, 60, 70, 300, 3000) + `
substrate: {layers: [{material: quartz gravel, depth: 6 cm}]}
plants: [{species: Hygrophila polysperma, pots: 40, in: [[5,15],[125,15],[125,55],[5,55]], height: 30 cm}]
co2: {target: 25 mg/L, on: "08:00", off: "17:00"}
water: {tap: {alkalinity: 4 dKH, hardness: 8 dGH, ph: 7.4, nitrate: 10 mg/L, potassium: 0.5 mg/L, phosphate: 0.3 mg/L, tempered: true}}
found: {age: 5 months, substrate: used, readings: {potassium: 3 mg/L, nitrate: 25 mg/L, phosphate: 1.5 mg/L, iron: 0.3 mg/L, alkalinity: 4 dKH, hardness: 8 dGH}, symptoms: [pinholes with yellow rims on old leaves]}
bottles: [{name: nitrogen bottle, label: {NO3: 100 g/L, PO4: 8 g/L, Fe: 0.5 g/L}}]
livestock: [{species: Planorbella duryi, count: 10}]
care:
  - {every: week, do: water-change, share: 30 %}
  - {every: 2 days, do: dose, bottle: nitrogen bottle, amount: 20 mL}
  - {every: week, do: siphon}
  - {every: 4 weeks, do: filter-clean}
  - {every: 3 weeks, do: trim, species: Hygrophila polysperma, to: 30 cm}
`,
	},
	{
		name: "T6 green water at the window", days: 30, cause: "algae-green-water", says: []string{"direct sun for 2.5 hours a day", "ammonium at 0.20 mg/L", "Screen the sun", "black-out", "third"}, wrong: []string{"phosphorus-high", "nitrogen-high"},
		plan: tank("lobby", 200, 100, 64, 420, 5000) + `
substrate: {layers: [{material: quartz gravel, depth: 6 cm}]}
plants: [{species: Hygrophila polysperma, pots: 20, in: [[10,50],[190,50],[190,90],[10,90]], height: 20 cm}]
co2: {target: 24 mg/L, on: "08:00", off: "17:00"}
daylight: {windows: [{side: left, size: 150x200 cm, distance: 150 cm, sun: {from: "15:00", hours: 2.5, height: 30°}}]}
water: {tap: {alkalinity: 5 dKH, hardness: 9 dGH, ph: 7.5, nitrate: 8 mg/L, phosphate: 0.5 mg/L, potassium: 5 mg/L, tempered: true}}
found: {age: 7 weeks, substrate: used, readings: {ammonium: 0.2 mg/L, nitrite: 0 mg/L, nitrate: 10 mg/L, phosphate: 1.5 mg/L, potassium: 15 mg/L, iron: 0.2 mg/L, alkalinity: 5 dKH, hardness: 9 dGH}, symptoms: [water pea green within six days of uprooting 60 % of the stems]}
care:
  - {every: week, do: water-change, share: 40 %}
  - {every: week, do: dose, salts: {KNO3: 5 g, KH2PO4: 0.8 g, iron: 0.05 g}}
`,
	},
	{
		name: "T7 fish gasp at the surface in the morning", days: 14, cause: "co2-high", says: []string{"CO2", "mg/L"}, wrong: []string{"nitrogen-ammonia", "nitrogen-nitrite"},
		plan: tank("still surface", 150, 70, 70, 350, 3000) + `
substrate: {layers: [{material: quartz gravel, depth: 6 cm}]}
plants: [{species: Hygrophila polysperma, pots: 25, in: [[5,30],[145,30],[145,65],[5,65]], height: 30 cm}]
co2: {target: 60 mg/L, on: "00:00", off: "24:00"}
water: {tap: {alkalinity: 5 dKH, hardness: 8 dGH, ph: 7.6, tempered: true}}
found: {age: 10 months, readings: {alkalinity: 5 dKH, ph: 6.4, ammonium: 0 mg/L, oxygen: 4.8 mg/L}, symptoms: [all fish at the surface from lights-on to noon]}
livestock: [{species: Petitella bleheri, count: 40}]
feeding: {dry-food: 1 g/day}
care: [{every: week, do: water-change, share: 40 %}]
`,
	},
	{
		name: "T8 crypts dissolve after a renovation", days: 40, cause: "sudden-change", says: []string{"melt", "dKH", "roots"}, wrong: []string{"dies-out"},
		plan: tank("moved crypts", 130, 55, 60, 160, 2500) + `
substrate: {layers: [{material: quartz gravel, depth: 7 cm}]}
plants: [{species: Cryptocoryne wendtii, pots: 20, in: [[10,10],[120,10],[120,45],[10,45]], height: 15 cm, spread: 15 cm}]
water: {tap: {alkalinity: 7 dKH, hardness: 10 dGH, ph: 7.6, nitrate: 10 mg/L, phosphate: 0.3 mg/L, potassium: 4 mg/L, tempered: true}}
found: {age: 14 months, substrate: used, readings: {alkalinity: 2 dKH, hardness: 6 dGH, ph: 6.8, temperature: 22 °C, nitrate: 10 mg/L, phosphate: 0.5 mg/L, potassium: 8 mg/L}, symptoms: [all crypts glassy]}
events: [{on: day 2, do: water-change, drain: 80 %}]
care: [{every: 2 weeks, do: dose, salts: {KNO3: 2 g, KH2PO4: 0.3 g, iron: 0.03 g}}]
`,
	},
	{
		name: "T9 the carpet floats up", days: 40, cause: "mat-thick", says: []string{"mat", "shear"}, wrong: []string{"root-zone-short"},
		plan: tank("old carpet", 100, 50, 50, 190, 2000) + `
substrate: {layers: [{material: active soil, depth: 6 cm}]}
plants: [{species: Micranthemum tweediei, pots: 30, in: [[5,5],[95,5],[95,40],[5,40]], height: 5 cm}]
co2: {target: 25 mg/L, on: "08:00", off: "17:00"}
water: {tap: {alkalinity: 4 dKH, hardness: 8 dGH, ph: 7.4, nitrate: 8 mg/L, phosphate: 0.5 mg/L, potassium: 5 mg/L, tempered: true}}
found: {age: 7 months, readings: {nitrate: 8 mg/L, phosphate: 1 mg/L, potassium: 12 mg/L, iron: 0.1 mg/L, alkalinity: 3 dKH, hardness: 8 dGH}, symptoms: [the carpet lifts]}
care:
  - {every: week, do: water-change, share: 40 %}
  - {every: week, do: dose, salts: {KNO3: 2 g, KH2PO4: 0.3 g, K2SO4: 1 g, iron: 0.03 g}}
`,
	},
	{
		name: "T10 slow fade in the second year", days: 60, cause: "substrate-spent", says: []string{"spent", "tablets", "replant"}, wrong: []string{"light-low"},
		plan: tank("office, 26 months", 240, 90, 75, 500, 6000) + `
substrate: {layers: [{material: active soil, depth: 8 cm}]}
plants:
  - {species: Aquarius grisebachii, pots: 6, at: [[40,60],[80,70],[120,60],[160,70],[200,60],[220,30]], height: 25 cm, spread: 25 cm}
  - {species: Cryptocoryne wendtii, pots: 20, in: [[10,10],[230,10],[230,45],[10,45]], height: 12 cm, spread: 12 cm}
co2: {target: 20 mg/L, on: "08:00", off: "17:00"}
water: {tap: {alkalinity: 4 dKH, hardness: 8 dGH, ph: 7.4, nitrate: 2 mg/L, potassium: 2 mg/L, tempered: true}}
found: {age: 26 months, flow: 60 %, readings: {alkalinity: 4 dKH, ph: 7.2, nitrate: 2 mg/L, phosphate: 0.3 mg/L, iron: 0.1 mg/L, potassium: 8 mg/L}, symptoms: [everything grows slower, swords small with yellow old leaves]}
care: [{every: week, do: water-change, share: 30 %}]
`,
	},
}

// The trouble stories of the trade: the tank as found, and the finding that must come first. Common practice, no source.
func TestTroubleStoriesNameTheTrueCauseFirst(t *testing.T) {
	for _, s := range stories {
		t.Run(s.name, func(t *testing.T) {
			p, err := plan.Parse([]byte(s.plan), "story.yaml", nil)
			if err != nil {
				t.Fatalf("the story does not read:\n%v", err)
			}
			f, err := forecast.Run(context.Background(), p, forecast.Options{Days: s.days})
			if err != nil {
				t.Fatal(err)
			}
			got := Read(f)
			if len(got) == 0 {
				t.Fatal("nothing found")
			}
			toldInGerman(t, got)
			first := got[0]
			if first.Rule != s.cause {
				var lines []string
				for _, g := range got {
					lines = append(lines, fmt.Sprintf("%s %s day %d: %s %s", g.Severity, g.Rule, g.Day, g.What, g.Because))
				}
				t.Errorf("the first finding is %q, want %q:\n%s", first.Rule, s.cause, strings.Join(lines, "\n"))
			}
			if s.also != "" && !slices.ContainsFunc(got, func(g Finding) bool { return g.Rule == s.also }) {
				t.Errorf("nothing is told of %s", s.also)
			}
			text := first.What + " " + first.Because + " " + first.Do
			for _, w := range s.says {
				if !strings.Contains(text, w) {
					t.Errorf("the first finding does not say %q: %s", w, text)
				}
			}
			for _, w := range s.wrong {
				if first.Rule == w {
					t.Errorf("the tempting wrong answer %q comes first", w)
				}
			}
			check.Record(t, check.Row{Room: "findings", What: s.name + ": true cause first", Source: "common practice, no source", Worst: first.Rule, Within: s.cause})
		})
	}
}
