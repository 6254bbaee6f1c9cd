package catalog

import (
	"fmt"
	"littoral/internal/check"
	"math"
	"slices"
	"strings"
	"testing"
)

func TestTablesAreLargeEnough(t *testing.T) {
	c := Default()
	for _, n := range []struct {
		what        string
		have, least int
	}{
		{"plants", len(c.AllSpecies()), 170},
		{"animals", len(c.AllAnimals()), 35},
		{"materials", len(c.AllMaterials()), 31},
		{"salts", len(c.AllSalts()), 25},
		{"lamps", len(c.AllLamps()), 10},
		{"bottles", len(c.AllBottles()), 5},
	} {
		if n.have < n.least {
			t.Errorf("%d %s, want at least %d", n.have, n.what, n.least)
		}
	}
}

// inside reports a range that is not ordered or leaves its bounds.
func inside(t *testing.T, where string, r Range, lo, hi float64) {
	t.Helper()
	if !(r.Min <= r.Max && r.Min >= lo && r.Max <= hi) {
		t.Errorf("%s: %g to %g is not an ordered range inside %g to %g", where, r.Min, r.Max, lo, hi)
	}
}

func TestEveryPlantRowIsComplete(t *testing.T) {
	for _, s := range Default().AllSpecies() {
		at := func(what string) string { return s.Name + " " + what }
		inside(t, at("height"), s.HeightCM, 0.2, 200)
		inside(t, at("spread"), s.SpreadCM, 0.2, 100)
		inside(t, at("PAR"), s.PAR, 10, 250)
		inside(t, at("temperature"), s.Temp, 4, 32)
		inside(t, at("pH"), s.PH, 4.5, 9)
		inside(t, at("GH"), s.GH, 0, 30)
		inside(t, at("pots"), s.PotsM2, 0, 110)
		inside(t, at("trim weeks"), s.TrimWeeks, 1, 60)
		if s.Temp.Max-s.Temp.Min < 4 {
			t.Errorf("%s lives between %g and %g °C only", s.Name, s.Temp.Min, s.Temp.Max)
		}
		for what, text := range map[string]string{
			"family": s.Family, "propagation": s.Propagation, "trim": s.Trim, "colour": s.Colour,
			"colour hex": s.ColourHex, "leaf shape": s.LeafShape, "melt": s.Melt, "source": s.Source, "feeder": s.Feeder, "speed": s.Speed,
		} {
			if text == "" {
				t.Errorf("%s has no %s", s.Name, what)
			}
		}
		if len(s.Places) == 0 {
			t.Errorf("%s has no place", s.Name)
		}
		if !strings.HasSuffix(s.Family, "ceae") {
			t.Errorf("%s is in the family %q, a family name ends in -ceae", s.Name, s.Family)
		}
		if class := doublingDays(s.Form, s.Speed); s.Doubling != class {
			t.Errorf("%s doubles in %v days, its class %s means %v", s.Name, s.Doubling, s.Speed, class)
		}
		if s.Form == Stem && s.ElongCMWeek.Max == 0 {
			t.Errorf("%s is a stem plant without elongation", s.Name)
		}
		if (s.Form == Carpet || s.Form == Moss) && s.LateralCMWk.Max == 0 {
			t.Errorf("%s spreads flat but has no lateral growth", s.Name)
		}
		if strings.ContainsAny(s.Source, "[]") {
			t.Errorf("%s carries a raw source mark %q", s.Name, s.Source)
		}
	}
}

// The trade's classes of stem growth: fast 5 to 15 cm a week, medium 2 to 5, slow 1 to 2 (common practice, no source).
func TestStemsElongateAtTheirClass(t *testing.T) {
	rows := 0
	for _, s := range Default().AllSpecies() {
		if s.Form != Stem {
			continue
		}
		rows++
		if s.HeightCM.Max <= 15 { // cushions: their stems hardly lengthen whatever their speed
			continue
		}
		bounds := map[string]Range{"very fast": {5, 15}, "fast": {5, 15}, "medium": {2, 5}, "slow": {1, 2}}[s.Speed]
		inside(t, s.Name+" elongation", s.ElongCMWeek, bounds.Min, bounds.Max)
	}
	check.Record(t, check.Row{
		Room: "catalog", What: fmt.Sprintf("weekly elongation of %d stem plants by speed class", rows),
		Source: "common practice, no source", Worst: "inside the class", Within: "5–15, 2–5 and 1–2 cm a week",
	})
}

func TestNamesLeadHome(t *testing.T) {
	c := Default()
	for _, s := range c.AllSpecies() {
		for _, name := range append([]string{s.Name, strings.ToUpper(s.Name), "  " + strings.ToLower(s.Name) + " "}, s.Synonyms...) {
			if got, ok := c.Species(name); !ok || got.Name != s.Name {
				t.Errorf("%q leads to %v, want %s", name, got, s.Name)
			}
		}
		for _, name := range s.SoldAs {
			got, ok := c.Species(name)
			if !ok || got.Name != s.Name && !slices.ContainsFunc(got.Synonyms, func(x string) bool { return fold(x) == fold(name) }) && fold(got.Name) != fold(name) {
				t.Errorf("%q, a name %s is sold under, leads nowhere sensible", name, s.Name)
			}
		}
	}
	for _, a := range c.AllAnimals() {
		for _, name := range append([]string{a.Name}, a.Synonyms...) {
			if got, ok := c.Animal(name); !ok || got.Name != a.Name {
				t.Errorf("%q does not lead to %s", name, a.Name)
			}
		}
	}
	for _, m := range c.AllMaterials() {
		for _, name := range append([]string{m.Name}, m.Synonyms...) {
			if got, ok := c.Material(name); !ok || got.Name != m.Name {
				t.Errorf("%q does not lead to %s", name, m.Name)
			}
		}
	}
}

// Names as the trade writes them and as the world checklist has them.
func TestTradeNamesAndAcceptedNamesMeet(t *testing.T) {
	for _, pair := range [][2]string{
		{"Microsorum pteropus", "Leptochilus pteropus"},
		{"Java fern", "Leptochilus pteropus"},
		{"Echinodorus bleheri", "Aquarius grisebachii"},
		{"Echinodorus amazonicus", "Aquarius grisebachii"},
		{"Echinodorus cordifolius", "Aquarius cordifolius"},
		{"Echinodorus tenellus", "Helanthium tenellum"},
		{"Hemianthus callitrichoides", "Micranthemum callitrichoides"},
		{"Limnobium laevigatum", "Hydrocharis laevigata"},
		{"Limnobium spongia", "Hydrocharis spongia"},
		{"Eichhornia crassipes", "Pontederia crassipes"},
		{"Nesaea pedicellata", "Ammannia pedicellata"},
		{"Cryptocoryne willisii", "Cryptocoryne × willisii"},
		{"cryptocoryne X willisii", "Cryptocoryne × willisii"},
		{"Anubias nana", "Anubias barteri var. nana"},
		{"anubias barteri var nana", "Anubias barteri var. nana"},
		{"Anubias barteri nana", "Anubias barteri var. nana"},
		{"Elodea densa", "Egeria densa"},
		{"Rotala indica", "Rotala rotundifolia"},
		{"Hemianthus micranthemoides", "Micranthemum glomeratum"},
		{"Vallisneria gigantea", "Vallisneria australis"},
		{"Trichocoronis rivularis", "Shinnersia rivularis"},
		{"Nesaea triflora", "Ammannia capitellata"},
		{"Vesicularia dubyana", "Vesicularia dubyana"},
		{"Java moss", "Taxiphyllum barbieri"},
	} {
		s, ok := Default().Species(pair[0])
		if !ok || s.Name != pair[1] {
			t.Errorf("%q leads to %v, want %s", pair[0], s, pair[1])
		}
	}
}

// The rows that official lists name (EU list of 2025, US federal noxious weeds, UK sale ban): from memory of these lists, and the EU
// dates from public notes on them. The local list of the day decides.
func TestListedSpeciesCarryTheirNotice(t *testing.T) {
	rows := []struct{ name, region, status string }{
		{"Cabomba caroliniana", "EU", "banned"},
		{"Elodea nuttallii", "EU", "banned"},
		{"Gymnocoronis spilanthoides", "EU", "banned"},
		{"Hydrocotyle ranunculoides", "EU", "banned"},
		{"Lagarosiphon major", "EU", "banned"},
		{"Myriophyllum aquaticum", "EU", "banned"},
		{"Myriophyllum heterophyllum", "EU", "banned"},
		{"Pistia stratiotes", "EU", "banned"},
		{"Pontederia crassipes", "EU", "banned"},
		{"Salvinia molesta", "EU", "banned"},
		{"Crassula helmsii", "EU", "banned"},
		{"Salvinia auriculata", "US federal", "banned"},
		{"Salvinia molesta", "US federal", "banned"},
		{"Hydrilla verticillata", "US federal", "banned"},
		{"Hygrophila polysperma", "US federal", "banned"},
		{"Limnophila sessiliflora", "US federal", "banned"},
		{"Lagarosiphon major", "US federal", "banned"},
		{"Egeria densa", "US (several states)", "restricted"},
		{"Crassula helmsii", "UK", "banned"},
		{"Azolla filiculoides", "UK", "banned"},
	}
	for _, r := range rows {
		s, ok := Default().Species(r.name)
		if !ok {
			t.Errorf("%s is missing", r.name)
			continue
		}
		if !slices.ContainsFunc(s.Notices, func(n Notice) bool { return n.Region == r.region && n.Status == r.status && isDate(n.Noted) }) {
			t.Errorf("%s lacks the notice %s %s: %v", r.name, r.region, r.status, s.Notices)
		}
	}
	check.Record(t, check.Row{
		Room: "catalog", What: fmt.Sprintf("%d bans and restrictions on %s", len(rows), "listed water plants"),
		Source: "EU list of invasive alien species 2025, US federal noxious weed list, UK sale ban 2014", Memory: true, Worst: "all present", Within: "all present",
	})
}

func TestNamesOfAPlanAreKnown(t *testing.T) {
	c := Default()
	for _, n := range []string{"Cryptocoryne wendtii", "Microsorum pteropus", "Vallisneria americana", "Hygrophila corymbosa"} {
		if _, ok := c.Species(n); !ok {
			t.Errorf("plant %q is missing", n)
		}
	}
	for name, want := range map[string]string{
		"baked clay soil": "active soil, normal grain", "active soil": "active soil, normal grain", "fine quartz sand": "fine quartz sand",
		"slate": "slate", "waterlogged hardwood": "heavy tropical driftwood", "Lava rock": "lava rock", "garden soil": "garden soil",
		"active soil normal grain (baked clay-humus granules)": "",
	} {
		m, ok := c.Material(name)
		if want == "" && ok || want != "" && (!ok || m.Name != want) {
			t.Errorf("material %q leads to %v, want %q", name, m, want)
		}
	}
	if a, ok := c.Animal("cardinal tetra"); !ok || a.Name != "Paracheirodon axelrodi" {
		t.Errorf("cardinal tetra leads to %v", a)
	}
	for _, n := range []string{"LED panel", "panel", "LED bar, 120 cm", "led bar", "spot", "pendant", "fluorescent tube"} {
		if _, ok := c.Lamp(n); !ok {
			t.Errorf("lamp %q is missing", n)
		}
	}
	if _, ok := c.Bottle("all-in-one bottle"); !ok {
		t.Error("the all-in-one bottle is missing")
	}
}

func TestAnimals(t *testing.T) {
	for _, a := range Default().AllAnimals() {
		inside(t, a.Name+" temperature", a.Temp, 5, 32)
		inside(t, a.Name+" pH", a.PH, 4.5, 8.5)
		inside(t, a.Name+" GH", a.GH, 0, 30)
		if a.SizeCM < 1.5 || a.SizeCM > 25 || a.GroupMin < 1 || a.LitresEach <= 0 || a.CO2Max < 15 || a.CO2Max > 35 || a.EarlyWeek < 1 {
			t.Errorf("%s has a number that cannot be: %+v", a.Name, a)
		}
		if a.Plants == "" || a.Algae == "" || a.Niche == "" || a.Source == "" || len(a.Synonyms) == 0 {
			t.Errorf("%s lacks a word: %+v", a.Name, a)
		}
		m := a.MassG
		if !(m.Min > 0 && m.Min <= m.Value && m.Value <= m.Max && m.Max < 1000) || m.Source == "" {
			t.Errorf("%s weighs %+v g", a.Name, m)
		}
		if a.EatsPlants && a.Plants == "no" {
			t.Errorf("%s eats plants but the words say no", a.Name)
		}
	}
	// Weights as known: a zebra danio of 4 cm about 0.5–1 g, a grown angelfish 50–150 g, a cherry shrimp 0.2–0.4 g (from memory).
	for _, w := range []struct {
		cm     float64
		body   string
		lo, hi float64
	}{{4, "usual", 0.5, 1.2}, {15, "deep", 50, 160}, {3, "shrimp", 0.2, 0.4}} {
		if m := massFromLength(w.cm, w.body).Value; m < w.lo || m > w.hi {
			t.Errorf("%g cm %s weighs %g g, want %g to %g", w.cm, w.body, m, w.lo, w.hi)
		}
	}
	check.Record(t, check.Row{
		Room: "catalog", What: "wet mass of three animals from length", Source: "weights of kept animals, from memory",
		Memory: true, Worst: "inside the range", Within: "a factor of 2 to 3",
	})
}

func TestLamps(t *testing.T) {
	for _, l := range Default().AllLamps() {
		efficacy := float64(l.PPF) / float64(l.Power) // µmol/J
		if efficacy < 0.6 || efficacy > 3.3 {
			t.Errorf("%s gives %.2f µmol/J", l.Name, efficacy)
		}
		if p := l.LuxPerPPFD; !(p.Min <= p.Value && p.Value <= p.Max && p.Min >= 45 && p.Max <= 90) || p.Source == "" {
			t.Errorf("%s has lux per PPFD %+v", l.Name, p)
		}
		if beam := float64(l.Beam) * 180 / math.Pi; beam < 20 || beam > 150 {
			t.Errorf("%s has a beam of %g degrees", l.Name, beam)
		}
		if l.Size[0] <= 0 || l.Size[1] <= 0 || l.Size[0] > 2 || l.Spectrum == "" || l.Source == "" {
			t.Errorf("%s is not complete: %+v", l.Name, l)
		}
	}
	// CIE 015:2018 and Thimijan & Heins 1983, lux per µmol m⁻² s⁻¹.
	for name, want := range map[string]float64{"LED bar": 69.4, "RGB panel": 60.5, "metal halide": 71, "fluorescent tube": 74} {
		if l, ok := Default().Lamp(name); !ok || l.LuxPerPPFD.Value != want {
			t.Errorf("%s: lux per PPFD %+v, want %g", name, l, want)
		}
	}
	check.Record(t, check.Row{
		Room: "catalog", What: "lux per PPFD of generic lamps", Source: "CIE 015:2018 illuminants; Thimijan & Heins 1983",
		Worst: "0 lux/µmol", Within: "equal to the printed digits",
	})
}

// A bottle is salts in water: the charges of what it holds must meet, within the rounding of the table.
func TestBottlesAreNeutral(t *testing.T) {
	for _, b := range Default().AllBottles() {
		plus := b.Parts["K"]/39.098 + 2*b.Parts["Mg"]/24.305 + 2*b.Parts["Ca"]/40.078 + b.Parts["NH4-N"]/14.007
		minus := b.Parts["NO3-N"]/14.007 + b.Parts["P"]/30.974 + 2*b.Parts["S"]/32.06 + b.Parts["Cl"]/35.45
		if math.Abs(plus-minus) > 0.03*math.Max(plus, 0.1) {
			t.Errorf("%s holds %.4f positive and %.4f negative mmol/mL", b.Name, plus, minus)
		}
		if b.Note == "" || b.Source == "" {
			t.Errorf("%s has no note or source", b.Name)
		}
	}
}

func TestSuggest(t *testing.T) {
	c := Default()
	for _, row := range []struct{ typed, first string }{
		{"Cryptocorine wendti", "Cryptocoryne wendtii"},
		{"wendtii", "Cryptocoryne wendtii"},
		{"Vallisneria spirallis", "Vallisneria spiralis"},
		{"Mircosorum pteropus", "Microsorum pteropus"},
		{"duckwed", "duckweed"},
		{"Rotala rotundifola", "Rotala rotundifolia"},
	} {
		got := c.Suggest(row.typed)
		if len(got) == 0 || got[0] != row.first {
			t.Errorf("%q suggests %v, want %s first", row.typed, got, row.first)
		}
	}
	for _, nonsense := range []string{"", "   ", "zzzzqqqq", strings.Repeat("a", 10000), "\x00"} {
		if got := c.Suggest(nonsense); len(got) != 0 {
			t.Errorf("%.20q suggests %v", nonsense, got)
		}
	}
	if got := c.SuggestMaterial("actve soil"); len(got) == 0 || got[0] != "active soil" {
		t.Errorf("material: %v", got)
	}
	if got := c.SuggestSalt("KNO"); len(got) == 0 {
		t.Errorf("salt: %v", got)
	}
	if got := c.SuggestAnimal("neon tetr"); len(got) == 0 || got[0] != "neon tetra" {
		t.Errorf("animal: %v", got)
	}
	if got := c.SuggestLamp("LED pannel"); len(got) == 0 || got[0] != "LED panel" {
		t.Errorf("lamp: %v", got)
	}
	for _, want := range []struct{ typed, first string }{
		{"LED panel, 120 cm", "LED panel, 90 cm"},
		{"LED panel 120", "LED panel, 90 cm"},
		{"LED panel, 1.2 m", "LED panel, 90 cm"},
		{"LED panel, 40 cm", "LED panel, 30 cm"},
		{"led pannel, 55 cm", "LED panel, 60 cm"},
		{"LED bar, 48 in", "LED bar, 120 cm"},
		{"LED spot, 50 W", "LED spot, 60 W"},
		{"LED spot, 36 W", "LED spot, 30 W"},
		{"fluorescent tube, 54 W, 120 cm", "fluorescent tube, 54 W, 115 cm"},
	} {
		if got := c.SuggestLamp(want.typed); len(got) == 0 || got[0] != want.first {
			t.Errorf("lamp %s: %v, want %s first", want.typed, got, want.first)
		}
	}
	if got := c.SuggestBottle("macro botle"); len(got) == 0 || got[0] != "macro bottle" {
		t.Errorf("bottle: %v", got)
	}
}

// The parts of the world are few and spelt alike, so that they can be chosen from a list; every plant has one.
func TestOrigins(t *testing.T) {
	known := strings.Split("Africa|Australia|Central America|East Asia|Europe|Madagascar|Mauritius|New Zealand|North America|South America|South Asia|Southeast Asia|Western Asia|worldwide", "|")
	for _, s := range Default().AllSpecies() {
		if len(s.Origin) == 0 {
			t.Errorf("%s comes from nowhere", s.Name)
		}
		for _, o := range s.Origin {
			if !slices.Contains(known, o) {
				t.Errorf("%s comes from %q", s.Name, o)
			}
		}
	}
	for _, c := range []struct {
		words  string
		filter Filter
		want   string
	}{
		{"madagascar", Filter{}, "Aponogeton madagascariensis"},
		{"", Filter{Origin: "sri lanka"}, ""},
		{"rosette", Filter{Origin: "south asia"}, "Cryptocoryne wendtii"},
		{"stem", Filter{Colour: "red"}, "Rotala macrandra"},
	} {
		found := slices.ContainsFunc(Default().Search(strings.Fields(c.words), c.filter), func(h Hit) bool { return h.Species.Name == c.want })
		if found != (c.want != "") {
			t.Errorf("%q %+v: %q found %v", c.words, c.filter, c.want, found)
		}
	}
}
