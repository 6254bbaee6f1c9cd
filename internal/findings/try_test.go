package findings

import (
	"context"
	"encoding/json"
	"errors"
	"littoral/internal/forecast"
	"littoral/internal/plan"
	"strings"
	"testing"
)

// troubled has stems that nobody cuts, a filter and glass that nobody cleans, animals that come too early and more gas than they bear.
const troubled = `littoral: 1
name: troubled
tank:
  shape: box
  inside: {length: 100 cm, width: 45 cm, height: 50 cm}
  glass: {thickness: 10 mm}
  water-level: 46 cm
room: {temperature: 22 °C, humidity: 50 %}
substrate: {layers: [{material: active soil, depth: 6 cm}]}
plants:
  - {id: stems, species: Hygrophila polysperma, pots: 12, in: [[5,25],[95,25],[95,42],[5,42]]}
  - {id: front, species: Cryptocoryne parva, pots: 10, in: [[5,3],[95,3],[95,18],[5,18]]}
lamps: [{kind: panel, at: [50,22], above-water: 15 cm, size: 80x25 cm, ppf: 130 µmol/s, beam: 100°}]
light-day: [{on: "10:00", hours: 8}]
co2: {target: 40 mg/L, on: "08:00", off: "18:00"}
water: {tap: {alkalinity: 4 dKH, hardness: 8 dGH, ph: 7.4, nitrate: 10 mg/L, phosphate: 0.5 mg/L, potassium: 0.5 mg/L, tempered: true}}
filter: [{flow: 1500 L/h, media: 8 L}]
heater: {power: 150 W, set: 24 °C}
livestock: [{species: Paracheirodon innesi, count: 15, from: day 7}]
feeding: {from: day 7, dry-food: 0.3 g/day}
care:
  - {every: week, do: water-change, share: 30 %}
  - {every: week, from: day 14, do: dose, salts: {"Ca(NO3)2·4H2O": 2 g, iron: 0.03 g}}
`

// Cures that a program can apply are tried, told in one sentence with what they change, and cure.
func TestTryTellsWhatTheCureChanges(t *testing.T) {
	opt := forecast.Options{Days: 150}
	p, err := plan.Parse([]byte(troubled), "test.yaml", nil)
	if err != nil {
		t.Fatalf("the plan does not read:\n%v", err)
	}
	f, err := forecast.Run(context.Background(), p, opt)
	if err != nil {
		t.Fatal(err)
	}
	found := Read(f)
	// The whole plan as text, but for the catalogue and the source, which hold no values of their own.
	text := func() string {
		q := *p
		q.Cat, q.Source, q.House = nil, nil, nil
		b, err := json.Marshal(q)
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	was := text()
	heard := 0
	tried, err := Try(context.Background(), f, found, opt, 20, func(done, total int) {
		heard++
		if done != heard || total < done {
			t.Errorf("told %d of %d after %d", done, total, heard)
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	toldInGerman(t, tried)
	if text() != was {
		t.Error("trying has changed the plan")
	}
	for i := range tried {
		if tried[i].CanTry != (tried[i].Tried != "") {
			t.Errorf("%s: it is said that its cure can be tried: %v; tried it said %q", tried[i].ID, tried[i].CanTry, tried[i].Tried)
		}
	}
	if len(tried) != len(found) || heard == 0 {
		t.Fatalf("%d findings from %d, %d forecasts", len(tried), len(found), heard)
	}
	said := map[string]string{}
	for i := range tried {
		x := tried[i]
		if x.Tried != "" {
			said[x.Rule] = x.Tried
			if !strings.HasPrefix(x.Tried, "Tried: with ") || strings.Count(x.Tried, ". ") > 0 || !strings.HasSuffix(x.Tried, ".") {
				t.Errorf("%s: %q is not one sentence", x.Rule, x.Tried)
			}
		}
		x.Tried = found[i].Tried
		a, _ := json.Marshal(x)
		b, _ := json.Marshal(found[i])
		if string(a) != string(b) {
			t.Errorf("%s was changed by trying", x.ID)
		}
	}
	for rule, want := range map[string][]string{
		"outgrows-surface": {"Hygrophila polysperma cut to", "it does not come", "minutes a month more"},
		"shaded":           {"Hygrophila polysperma cut to", "it does not come", "Cryptocoryne parva carries"},
		"algae-green-dust": {"glass wiped every week", "it does not come"},
		"flow-clogged":     {"cleaned now and every four weeks", "it does not come"},
		"co2-high":         {"CO2 at", "it does not come"},
		"animal-early":     {"Paracheirodon innesi from", "it does not come"},
	} {
		for _, w := range want {
			if !strings.Contains(said[rule], w) {
				t.Errorf("%s: %q does not say %q", rule, said[rule], w)
			}
		}
	}
	again, err := Try(context.Background(), f, found, opt, 20, nil)
	if err != nil {
		t.Fatal(err)
	}
	for i := range again {
		if again[i].Tried != tried[i].Tried {
			t.Errorf("tried twice: %q and %q", tried[i].Tried, again[i].Tried)
		}
	}
	if few, err := Try(context.Background(), f, found, opt, 1, nil); err != nil {
		t.Error(err)
	} else {
		n := map[string]bool{}
		for _, x := range few {
			if x.Tried != "" {
				n[strings.Split(x.Tried, ", ")[0]] = true
			}
		}
		if len(n) < 1 || len(n) > 2 {
			t.Errorf("one cure asked for, %d told", len(n))
		}
	}
}

func TestTryStopsWhenAsked(t *testing.T) {
	opt := forecast.Options{Days: 100}
	f := forecastOf(t, troubled, 100)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Try(ctx, f, Read(f), opt, 20, nil); !errors.Is(err, context.Canceled) {
		t.Errorf("stopped with %v", err)
	}
}
