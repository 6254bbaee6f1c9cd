package nursery

import (
	"littoral/examples"
	"littoral/internal/catalog"
	"littoral/internal/plan"
	"math"
	"os"
	"path"
	"slices"
	"strings"
	"testing"
)

const small = `littoral: 1
name: A test tank
tank: {shape: box, inside: {length: 100 cm, width: 50 cm, height: 50 cm}, water-level: 47 cm}
substrate: {layers: [{material: quartz sand, depth: 5 cm}]}
lamps: [{kind: panel, at: [50, 25], above-water: 20 cm, size: [90 cm, 20 cm], ppf: PPF µmol/s}]
light-day: {on: "10:00", hours: 8}
water: {tap: {alkalinity: 6 dKH, hardness: 10 dGH}}
filter: {flow: 1000 L/h, media: 4 L}
heater: {power: 200 W, set: 25 °C}
`

func read(t testing.TB, text string) *plan.Plan {
	t.Helper()
	p, err := plan.ParseIn(plan.DefaultHouse(), []byte(text), "plan.yaml", nil)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func site(t testing.TB, text string) *Site {
	t.Helper()
	s, err := SiteOf(read(t, text))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func species(t testing.TB, name string) *catalog.Species {
	t.Helper()
	sp, ok := catalog.Default().Species(name)
	if !ok {
		t.Fatalf("no %s in the catalogue", name)
	}
	return sp
}

// Facts of the trade: common practice, no source.
func TestFitSaysWhatTheTradeWouldSay(t *testing.T) {
	dim, bright := strings.Replace(small, "PPF", "60", 1), strings.Replace(small, "PPF", "700", 1)
	gas := bright + "co2: {target: 25 mg/L, on: \"09:00\", off: \"17:00\"}\n"
	for _, c := range []struct {
		name, text, species, about, fits, says string
	}{
		{"a red stem plant in a dim tank", dim, "Rotala macrandra", "light", Not, "80 to 200"},
		{"a tank fern in a dim tank", dim, "Leptochilus pteropus", "light", Fits, ""},
		{"a slow plant under strong light", bright, "Anubias barteri var. nana", "light", WithCare, "in the shade of others"},
		{"a plant that needs gas, without", bright, "Rotala macrandra", "CO2", Not, "no CO2"},
		{"the same with gas", gas, "Rotala macrandra", "CO2", Fits, "25 mg/L"},
		{"ribbons in 42 cm of water", bright, "Vallisneria americana", "height", WithCare, "42 cm"},
		{"a carpet in 42 cm of water", bright, "Eleocharis acicularis", "height", Fits, ""},
		{"a sword on poor sand", bright, "Aquarius grisebachii", "roots", WithCare, "root tablets"},
		{"a sword on poor sand with tablets", bright + "care: [{every: 3 months, do: root-feed, tablets: 6}]\n", "Aquarius grisebachii", "roots", Fits, "root tablets"},
		{"a tied plant without anything to tie it to", bright, "Anubias barteri var. nana", "roots", WithCare, "has none"},
		{"soft-water plant in very hard water", strings.Replace(bright, "10 dGH", "25 dGH", 1), "Rotala macrandra", "hardness", Not, "25.0"},
		{"a cold-water plant in a warm tank", strings.Replace(bright, "25 °C", "29 °C", 1), "Fontinalis antipyretica", "temperature", Not, "29"},
		{"a fast stem plant without visits", bright, "Hygrophila polysperma", "growth", WithCare, "no visit"},
		{"a fast stem plant cut every second month", bright + "care: [{every: 2 months, do: trim, to: 20 cm}]\n", "Hygrophila polysperma", "growth", Not, "too fast"},
		{"a fast stem plant cut every week", bright + "care: [{every: week, do: trim, to: 20 cm}]\n", "Hygrophila polysperma", "growth", Fits, "every week"},
		{"tender leaves beside goldfish", bright + "livestock: [{species: goldfish, count: 4}]\n", "Hygrophila polysperma", "animals", Not, "uproot"},
		{"a plant that the Union bans", bright + "region: [DE]\n", "Myriophyllum aquaticum", "law", Not, "EU"},
		{"the same where nobody bans it", bright + "region: [New Zealand]\n", "Cryptocoryne wendtii", "law", "", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			list := site(t, c.text).Fit(species(t, c.species), nil)
			i := slices.IndexFunc(list, func(v Verdict) bool { return v.About == c.about })
			if i < 0 {
				if c.fits != "" {
					t.Fatalf("nothing is said about %s: %+v", c.about, list)
				}
				return
			}
			if list[i].Fits != c.fits || !strings.Contains(strings.ToLower(list[i].Text), strings.ToLower(c.says)) {
				t.Errorf("%+v, want %q with %q", list[i], c.fits, c.says)
			}
		})
	}
}

// Where it stands counts: a verdict about a place uses the light and the depth of that place.
func TestFitAtAPlace(t *testing.T) {
	text := strings.Replace(strings.Replace(small, "PPF", "250", 1), "depth: 5 cm", "heights: {points: [[0,0,3],[100,0,3],[0,50,20],[100,50,20]]}", 1)
	s := site(t, text)
	front, back := s.At(50, 3), s.At(50, 47)
	if !(back.BedCM > front.BedCM+8) || !(back.Light > 0 && front.Light > 0) {
		t.Fatalf("front %+v, back %+v", front, back)
	}
	sp := species(t, "Cryptocoryne cordata")
	for _, at := range []Spot{front, back} {
		for _, v := range s.Fit(sp, &at) {
			if v.About == "height" && !strings.Contains(v.Text, s.cm(s.LevelCM-at.BedCM)) {
				t.Errorf("%q does not speak of %s", v.Text, s.cm(s.LevelCM-at.BedCM))
			}
		}
	}
	if off := s.At(-5, 10); off.OK {
		t.Error("a place outside the glass is taken for one inside")
	}
}

// Every verdict on every species of the demos' plans is a whole sentence without a number that is none.
func TestVerdictsAreSentences(t *testing.T) {
	for _, demo := range []string{"quay-street-library", "assay-hall", "reading-desk"} {
		s, err := SiteOf(demoPlan(t, demo))
		if err != nil {
			t.Fatal(err)
		}
		all := catalog.Default().AllSpecies()
		for i := range all {
			for _, v := range s.Fit(&all[i], nil) {
				if !strings.HasSuffix(v.Text, ".") || strings.Contains(v.Text, "NaN") || strings.Contains(v.Text, "Inf") || v.Text[:1] != strings.ToUpper(v.Text[:1]) || strings.Contains(v.Text, "  ") {
					t.Errorf("%s, %s: %q", demo, all[i].Name, v.Text)
				}
				if v.Fits != Fits && v.Fits != WithCare && v.Fits != Not {
					t.Errorf("%q", v.Fits)
				}
			}
		}
	}
}

func demoPlan(t testing.TB, demo string) *plan.Plan {
	t.Helper()
	text, err := examples.Demos.ReadFile(path.Join(demo, "plan.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	p, err := plan.ParseIn(plan.DefaultHouse(), text, "plan.yaml", func(name string) ([]byte, error) { return os.ReadFile(path.Join("../../examples", demo, name)) })
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestAlikeIsADistance(t *testing.T) {
	cat := catalog.Default()
	all := cat.AllSpecies()
	for i := range all {
		if d := between(&all[i], &all[i]); d.Far != 0 {
			t.Errorf("%s is %g from itself", all[i].Name, d.Far)
		}
		for j := range i {
			if a, b := between(&all[i], &all[j]).Far, between(&all[j], &all[i]).Far; math.Abs(a-b) > .011 {
				t.Errorf("%s to %s is %g, back %g", all[i].Name, all[j].Name, a, b)
			}
		}
	}
}

// What the trade swaps for one another (common practice, no source) is among the nearest.
func TestAlikeFindsWhatTheTradeSwaps(t *testing.T) {
	for _, c := range []struct{ of, near string }{
		{"Cryptocoryne wendtii", "Cryptocoryne undulata"},
		{"Vesicularia dubyana", "Taxiphyllum barbieri"},
		{"Vallisneria spiralis", "Vallisneria nana"},
		{"Ludwigia repens", "Ludwigia palustris"},
		{"Salvinia minima", "Salvinia auriculata"},
	} {
		list := Alike(catalog.Default(), species(t, c.of), 6)
		if !slices.ContainsFunc(list, func(l Like) bool { return l.Species.Name == c.near }) {
			t.Errorf("%s is not among the six nearest of %s", c.near, c.of)
			for _, l := range list {
				t.Logf("%.2f %s: %v", l.Far, l.Species.Name, l.Says)
			}
		}
	}
}

func BenchmarkFitAll(b *testing.B) {
	s := site(b, strings.Replace(small, "PPF", "300", 1))
	all := catalog.Default().AllSpecies()
	b.ReportAllocs()
	for b.Loop() {
		for i := range all {
			s.Fit(&all[i], nil)
		}
	}
}

func BenchmarkSiteOf(b *testing.B) {
	p := demoPlan(b, "quay-street-library")
	b.ReportAllocs()
	for b.Loop() {
		if _, err := SiteOf(p); err != nil {
			b.Fatal(err)
		}
	}
}
