package catalog

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func found(hits []Hit) []string {
	list := make([]string, len(hits))
	for i, h := range hits {
		list[i] = h.Species.Name
	}
	return list
}

func TestSearch(t *testing.T) {
	c := Default()
	for _, row := range []struct {
		words  string
		filter Filter
		first  string   // "" when order does not matter
		holds  []string // must be among the hits
		lacks  []string
	}{
		{words: "Microsorum pteropus", first: "Leptochilus pteropus"},
		{words: "java", holds: []string{"Leptochilus pteropus", "Taxiphyllum barbieri"}},
		{words: "cryptocoryne", holds: []string{"Cryptocoryne wendtii", "Cryptocoryne × willisii"}, lacks: []string{"Anubias barteri"}},
		{words: "carpet under 10 cm", holds: []string{"Micranthemum callitrichoides", "Eleocharis pusilla"}, lacks: []string{"Eleocharis acicularis", "Cryptocoryne parva"}},
		{words: "carpet <10cm", holds: []string{"Micranthemum callitrichoides"}, lacks: []string{"Eleocharis acicularis"}},
		{words: "carpet up to 4 in", holds: []string{"Eleocharis pusilla"}, lacks: []string{"Eleocharis acicularis"}},
		{words: "foreground low light", holds: []string{"Anubias barteri var. nana"}, lacks: []string{"Micranthemum callitrichoides"}},
		{words: "red stem", holds: []string{"Rotala macrandra", "Ludwigia palustris"}, lacks: []string{"Bacopa monnieri"}},
		{words: "very fast stem without CO2", holds: []string{"Hygrophila difformis", "Egeria densa"}, lacks: []string{"Rotala rotundifolia", "Lemna minor"}},
		{words: "background over 1 cm", filter: Filter{MinHeightCM: 110}, holds: []string{"Crinum thaianum"}, lacks: []string{"Vallisneria nana"}},
		{words: "stem", filter: Filter{NotBannedIn: "eu", ForPlanting: true}, holds: []string{"Rotala rotundifolia"}, lacks: []string{"Cabomba caroliniana", "Elodea nuttallii", "Crassula helmsii"}},
		{words: "", filter: Filter{Form: Moss, Light: "low"}, holds: []string{"Taxiphyllum barbieri"}, lacks: []string{"Riccia fluitans"}},
		{words: "araliaceae", holds: []string{"Hydrocotyle tripartita"}},
		{words: "needle", holds: []string{"Rotala wallichii"}},
		{words: "Rotala indica", first: "Rotala rotundifolia"},
		{words: "qqq", lacks: []string{"Rotala rotundifolia"}},
	} {
		got := found(c.Search(strings.Fields(row.words), row.filter))
		if row.first != "" && (len(got) == 0 || got[0] != row.first) {
			t.Errorf("%q: first is %.60v, want %s", row.words, got, row.first)
		}
		for _, want := range row.holds {
			if !slices.Contains(got, want) {
				t.Errorf("%q %+v lacks %s among %d hits", row.words, row.filter, want, len(got))
			}
		}
		for _, no := range row.lacks {
			if slices.Contains(got, no) {
				t.Errorf("%q %+v should not find %s", row.words, row.filter, no)
			}
		}
	}
	if all := c.Search(nil, Filter{}); len(all) != len(c.AllSpecies()) {
		t.Errorf("an empty search finds %d of %d", len(all), len(c.AllSpecies()))
	}
}

func TestSearchIsRepeatable(t *testing.T) {
	c := Default()
	first := found(c.Search([]string{"green"}, Filter{}))
	for range 20 {
		if d := cmp.Diff(first, found(c.Search([]string{"green"}, Filter{}))); d != "" {
			t.Fatal(d)
		}
	}
	if !slices.IsSortedFunc(c.Search([]string{"green", "fast"}, Filter{}), func(a, b Hit) int {
		if a.Score != b.Score {
			return b.Score - a.Score
		}
		return strings.Compare(fold(a.Species.Name), fold(b.Species.Name))
	}) {
		t.Error("hits are not in order of score, then name")
	}
}

func FuzzSearch(f *testing.F) {
	for _, s := range []string{"carpet <10 cm", "no co2", "> ", "under 99999999999999999999999999", "very", "\x00", "×", "co2"} {
		f.Add(s)
	}
	c := Default()
	f.Fuzz(func(t *testing.T, text string) {
		hits := c.Search(strings.Fields(text), Filter{})
		if len(hits) > len(c.species) {
			t.Error("more hits than plants")
		}
		c.Suggest(text)
	})
}

func BenchmarkSearchWords(b *testing.B) {
	c := Default()
	b.ReportAllocs()
	for b.Loop() {
		c.Search([]string{"carpet", "under", "10", "cm", "green"}, Filter{})
	}
}

func BenchmarkSearchName(b *testing.B) {
	c := Default()
	b.ReportAllocs()
	for b.Loop() {
		c.Search([]string{"Microsorum", "pteropus"}, Filter{})
	}
}

func BenchmarkSpecies(b *testing.B) {
	c := Default()
	b.ReportAllocs()
	for b.Loop() {
		c.Species("Microsorum pteropus")
	}
}

func BenchmarkSuggest(b *testing.B) {
	c := Default()
	b.ReportAllocs()
	for b.Loop() {
		c.Suggest("Cryptocorine wendti")
	}
}
