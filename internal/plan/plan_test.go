package plan

import (
	"errors"
	"fmt"
	"littoral/internal/check"
	"littoral/internal/unit"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// golden compares text with a file under testdata; UPDATE_GOLDEN=1 writes the file anew.
func golden(t *testing.T, name, got string) {
	t.Helper()
	if os.Getenv("UPDATE_GOLDEN") == "1" {
		if err := os.WriteFile(name, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if string(want) != got {
		t.Errorf("%s differs; UPDATE_GOLDEN=1 renews it after a look\n--- got\n%s\n--- want\n%s", name, got, want)
	}
}

// testFiles reads the files that a test plan names.
func testFiles(name string) ([]byte, error) {
	return readFile(filepath.Join("testdata", filepath.Base(name)), maxFileBytes)
}

// plans lists the plans of a folder under testdata by name and bytes.
func plans(t testing.TB, pattern string) map[string][]byte {
	t.Helper()
	names, err := filepath.Glob(pattern)
	if err != nil || len(names) == 0 {
		t.Fatalf("no plans under %s (%v)", pattern, err)
	}
	out := map[string][]byte{}
	for _, name := range names {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		out[name] = b
	}
	return out
}

func TestPlansThatRead(t *testing.T) {
	for name := range plans(t, "testdata/*.yaml") {
		t.Run(filepath.Base(name), func(t *testing.T) {
			p, err := Load(name)
			if err != nil {
				t.Fatal(err)
			}
			text := ""
			if len(p.Warnings) > 0 {
				text = p.Warnings.Error() + "\n"
			}
			golden(t, strings.TrimSuffix(name, ".yaml")+".warnings.txt", strings.ReplaceAll(text, "testdata"+string(filepath.Separator), ""))
		})
	}
}

// Each broken plan tells everything that is wrong with it, word for word.
func TestPlansThatDoNotRead(t *testing.T) {
	for name, src := range plans(t, "testdata/broken/*.yaml") {
		t.Run(filepath.Base(name), func(t *testing.T) {
			_, err := Parse(src, filepath.Base(name), testFiles)
			var problems Problems
			if !errors.As(err, &problems) {
				t.Fatalf("got %v, want Problems", err)
			}
			golden(t, strings.TrimSuffix(name, ".yaml")+".txt", err.Error()+"\n")
		})
	}
}

func load(t testing.TB, name string) *Plan {
	t.Helper()
	p, err := Load(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s is %.8g, want %.8g within %.2g", what, got, want, within)
	}
}

func TestQuantitiesArriveInTheirInnerUnits(t *testing.T) {
	p := load(t, "full.yaml")
	near(t, "length, m", float64(p.Tank.Inside.Length), 2.4, 1e-12)
	near(t, "glass, m", float64(p.Tank.Glass.Thickness), 0.019, 1e-12)
	near(t, "humidity", float64(p.Room.Humidity), 0.5, 1e-12)
	near(t, "turn, rad", float64(p.Hardscape[0].Turn), math.Pi/6, 1e-12)
	near(t, "tilt, rad", float64(p.Hardscape[0].Tilt), -5*math.Pi/180, 1e-12)
	near(t, "size, m", float64(p.Lamps[0].Size[1]), 0.2, 1e-12)
	near(t, "on, s", float64(p.LightDay[0].On), 43200, 0)
	near(t, "pure share", float64(p.Water.Mix.Pure), 0.6, 1e-12)
	near(t, "year 2, days", float64(p.Livestock[1].Until), 730.5, 1e-9)
	// Ammonium counted as N: 0.02 · 18.039/14.007.
	near(t, "ammonium, mg/L", float64(p.Water.Tap.Ammonium), 0.025757, 1e-5)
	// A US gallon is 3.785411784 L.
	near(t, "flow, m3/s", float64(p.Filter[1].Flow), 660*3.785411784e-3/3600, 1e-12)
	near(t, "food, kg/s", float64(p.Feeding[1].DryFood), 0.010/(7*86400), 1e-15)
	if p.Care[0].Every != (unit.Every{N: 2, Freq: "DAILY"}) {
		t.Errorf("every is %v", p.Care[0].Every)
	}
	if got := p.Hardscape[0].At; got != (PointCM{158, 55}) {
		t.Errorf("at is %v", got)
	}
	bow := load(t, "bow.yaml")
	near(t, "inches, m", float64(bow.Tank.Inside.Length), 48*0.0254, 1e-12)
	near(t, "nitrate as N, mg/L", float64(*bow.Found.Readings.Nitrate), 4.4266, 1e-3)
}

func TestNamesAreThoseOfTheCatalogue(t *testing.T) {
	p := load(t, "full.yaml")
	for _, c := range []struct{ what, got, want string }{
		{"synonym of a plant", p.Plants[1].Species, "Leptochilus pteropus"},
		{"old genus of a plant", p.Plants[3].Species, "Aquarius uruguayensis"},
		{"trade name of an animal", p.Livestock[0].Species, "Paracheirodon innesi"},
		{"short name of a wood", p.Hardscape[0].Material, "heavy tropical driftwood"},
		{"name of a salt", p.Water.Salts[1].Salt, "MgSO4·7H2O"},
		{"plant of an event", p.Events[0].Plant[0].Species, "Helanthium tenellum"},
	} {
		if c.got != c.want {
			t.Errorf("%s became %q, want %q", c.what, c.got, c.want)
		}
	}
	if _, ok := p.Cat.Species("river crypt"); !ok {
		t.Error("the plan's own catalogue file added no synonym")
	}
	if _, ok := load(t, "minimal.yaml").Cat.Species("river crypt"); ok {
		t.Error("one plan's catalogue file reached another plan")
	}
}

func TestIdsAreDerivedInOrder(t *testing.T) {
	p := load(t, "dark.yaml")
	var got []string
	for _, x := range p.Hardscape {
		got = append(got, x.ID)
	}
	for _, x := range p.Plants {
		got = append(got, x.ID)
	}
	for _, x := range p.Lamps {
		got = append(got, x.ID)
	}
	for _, x := range p.Care {
		got = append(got, x.ID)
	}
	want := "wood-1 vesicularia-dubyana-1 taxiphyllum-barbieri-1 vesicularia-dubyana-2 lamp-1 lamp-2 care-siphon-1"
	if s := strings.Join(got, " "); s != want {
		t.Errorf("ids are\n%s\nwant\n%s", s, want)
	}
	// An id that the plan gives itself is left out of the count.
	src := strings.Replace(string(plans(t, "testdata/dark.yaml")["testdata/dark.yaml"]), "{kind: spot,", "{id: lamp-1, kind: spot,", 1)
	q, err := Parse([]byte(src), "dark.yaml", testFiles)
	if err != nil {
		t.Fatal(err)
	}
	if q.Lamps[0].ID != "lamp-1" || q.Lamps[1].ID != "lamp-2" {
		t.Errorf("ids are %s and %s", q.Lamps[0].ID, q.Lamps[1].ID)
	}
}

func TestWhatIsLeftOutIsFilledIn(t *testing.T) {
	p := load(t, "dark.yaml")
	near(t, "room", float64(p.Room.Temperature), 21, 0)
	near(t, "humidity", float64(p.Room.Humidity), 0.5, 0)
	near(t, "pH", p.Water.Tap.PH, 7.5, 0)
	near(t, "root height, m", float64(p.Hardscape[0].Shape.Branch.Height), 0.30, 1e-12)
	near(t, "ppf from lumens", float64(p.Lamps[0].PPF), 100, 1e-9)
	near(t, "spot beam, rad", float64(p.Lamps[0].Beam), 40*math.Pi/180, 1e-12)
	near(t, "ppf of the model", float64(p.Lamps[1].PPF), 45, 1e-9)
	near(t, "hours", p.LightDay[1].Hours, 8, 0)
	near(t, "dim", float64(p.LightDay[0].Dim), 1, 0)
	near(t, "hour of care, s", float64(p.Care[0].At), 36000, 0)
	near(t, "labour, for no rate is invented", float64(p.Costs.Labour), 0, 0)
	if p.Tank.SeenFrom[0] != "all" || p.Tank.Cover != "open" || p.Start.Kind != "dark" || p.Plants[0].Grown != "emersed" || p.Costs.Currency != "EUR" {
		t.Errorf("words are %v %s %s %s %s", p.Tank.SeenFrom, p.Tank.Cover, p.Start.Kind, p.Plants[0].Grown, p.Costs.Currency)
	}
	// A value of nothing that is written stays nothing.
	src := strings.Replace(string(plans(t, "testdata/minimal.yaml")["testdata/minimal.yaml"]), "hours: 8", "hours: 8, dim: 0 %", 1) + "room: {humidity: 0 %}\n"
	q, err := Parse([]byte(src), "m.yaml", nil)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "humidity as written", float64(q.Room.Humidity), 0, 0)
	near(t, "dim as written", float64(q.LightDay[0].Dim), 0, 0)
}

func TestARegimeEndsWhereTheNextBegins(t *testing.T) {
	src := strings.Replace(string(plans(t, "testdata/minimal.yaml")["testdata/minimal.yaml"]), "light-day: {on: \"12:00\", hours: 8}",
		"light-day: [{on: \"12:00\", hours: 6}, {from: week 3, on: \"11:00\", hours: 8}]", 1)
	p, err := Parse([]byte(src), "m.yaml", nil)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "end of the first", float64(p.LightDay[0].Until), 21, 0)
	near(t, "end of the last", float64(p.LightDay[1].Until), 0, 0)
}

// Conversion factors that fertiliser labels are read with: P2O5 to P 0.4364, K2O to K 0.8301, NO3 to N 0.2259, MgO to Mg 0.6030.
func TestLabelsBecomeElements(t *testing.T) {
	worst := 0.0
	for _, c := range []struct {
		label, density, element string
		want                    float64 // g/L
	}{
		{"{P2O5: 10 g/L}", "1.0 kg/L", "P", 4.364},
		{"{K2O: 10 g/L}", "1.0 kg/L", "K", 8.301},
		{"{NO3: 10 g/L}", "1.0 kg/L", "NO3-N", 2.259},
		{"{MgO: 10 g/L}", "1.0 kg/L", "Mg", 6.030},
		{"{K2O: 4 %}", "1.1 kg/L", "K", 44 * 0.8301},
		{"{urea: 10 g/L}", "1.0 kg/L", "NH4-N", 4.665},
		{"{N: 3 g/L, NO3-N: 1 g/L, NH4-N: 0.5 g/L}", "1.0 kg/L", "NO3-N", 2.5},
		{"{Fe: 1000 mg/L}", "1.0 kg/L", "Fe", 1},
	} {
		src := string(plans(t, "testdata/minimal.yaml")["testdata/minimal.yaml"]) + "bottles: [{name: b, density: " + c.density + ", label: " + c.label + "}]\n"
		p, err := Parse([]byte(src), "m.yaml", nil)
		if err != nil {
			t.Fatal(err)
		}
		got := p.Bottles[0].PerLitre[c.element]
		near(t, c.label+" as "+c.element, got, c.want, 0.001*c.want)
		worst = max(worst, math.Abs(got/c.want-1))
	}
	check.Record(t, check.Row{
		Room: "plan", What: "label oxides and ions to elements: P2O5, K2O, NO3, MgO, urea",
		Source: "conversion factors of fertiliser practice", Memory: true, Worst: fmt.Sprintf("%.2g %%", 100*worst), Within: "0.1 %",
	})
}

func TestDosesBecomeGrams(t *testing.T) {
	p := load(t, "full.yaml")
	for _, c := range []struct {
		salt string
		want float64
	}{{"KNO3", 6}, {"KH2PO4", 0.8}, {"iron", 0.2}} {
		near(t, c.salt+", g", p.Care[2].Grams[c.salt], c.want, 1e-9)
	}
	last := p.Bottles[len(p.Bottles)-1]
	if last.Name != "micro bottle" || !(last.PerLitre["Fe"] > 0) {
		t.Errorf("the generic bottle of a dose is not in the plan: %+v", last)
	}
}

func TestPricesAndPositions(t *testing.T) {
	p := load(t, "full.yaml")
	if len(p.Costs.List) != 3 || p.Costs.List[1] != (Price{"active soil, normal grain", "L", 2.4}) {
		t.Errorf("prices are %v", p.Costs.List)
	}
	lines := strings.Split(string(p.Source.Bytes), "\n")
	for path, want := range map[string]string{
		"name": "Reading room", "tank.inside.length": "240 cm", "plants[0].species": "Cryptocoryne wendtii", "plants[2].along[1]": "[235,84]",
		"care[2].salts.KNO3": "6 g", "events[0].plant[0].pots": "30", "substrate.layers[1].heights.points[2]": "[168, 62, 16]",
		"water.tap.ammonium": "0.02 mg/L as N", "light-day[1].on": `"11:00"`, "hardscape[0].tilt": "-5°",
	} {
		at, ok := p.Source.Pos[path]
		if !ok {
			t.Errorf("%s has no position", path)
			continue
		}
		if rest := string([]rune(lines[at.Line-1])[at.Column-1:]); !strings.HasPrefix(rest, want) {
			t.Errorf("%s stands at %d:%d, where the file has %q", path, at.Line, at.Column, rest)
		}
	}
}

func TestMeshesArriveClosedAndOutward(t *testing.T) {
	for _, name := range []string{"full.yaml", "warnings.yaml"} {
		p := load(t, name)
		found := false
		for _, h := range p.Hardscape {
			if h.Shape.Mesh == "" {
				continue
			}
			found = true
			if r := h.Shape.Body.Inspect(); !r.Closed || !r.Outward || !(r.Volume > 0) {
				t.Errorf("%s: %s is not a body: %v", name, h.Shape.Mesh, r.Problems())
			}
		}
		if !found {
			t.Errorf("%s has no mesh", name)
		}
	}
}

func TestSumTellsPlansApart(t *testing.T) {
	a, b := load(t, "full.yaml"), load(t, "full.yaml")
	if a.Source.Sum != b.Source.Sum || len(a.Source.Sum) != 64 {
		t.Errorf("sums of the same plan are %q and %q", a.Source.Sum, b.Source.Sum)
	}
	src := a.Source.Bytes
	c, err := Parse(src, "full.yaml", func(name string) ([]byte, error) {
		b, err := testFiles(name)
		if name == "prices.csv" {
			b = append(b, "food,kg,50\n"...)
		}
		return b, err
	})
	if err != nil {
		t.Fatal(err)
	}
	if c.Source.Sum == a.Source.Sum {
		t.Error("a changed price file leaves the sum as it was")
	}
}

func TestLoadRefusesWhatIsNoPlanFile(t *testing.T) {
	dir := t.TempDir()
	big := filepath.Join(dir, "big.yaml")
	if err := os.WriteFile(big, []byte(strings.Repeat("# filler\n", MaxBytes/9+1)), 0o644); err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]string{
		filepath.Join(dir, "none.yaml"): "there is no such file", dir: "this is a folder, not a file", big: "more than the 4 MB",
	} {
		if _, err := Load(name); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q", name, err, want)
		}
	}
	if _, err := Parse(make([]byte, MaxBytes+1), "big.yaml", nil); err == nil || !strings.Contains(err.Error(), "4 MB") {
		t.Errorf("5 MB of bytes: %v", err)
	}
}

func TestHouseIsFoundUpToThreeFoldersAbove(t *testing.T) {
	minimal := plans(t, "testdata/minimal.yaml")["testdata/minimal.yaml"]
	for _, c := range []struct {
		name, house string
		deep        int
		want        float64 // turnover
	}{
		{"beside", "turnover: {house: 6}\n", 0, 6},
		{"three above", "turnover: {house: 6}\n", 3, 6},
		{"four above", "turnover: {house: 6}\n", 4, DefaultHouse().Turnover.House},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			if err := os.WriteFile(filepath.Join(dir, "house.yaml"), []byte(c.house), 0o644); err != nil {
				t.Fatal(err)
			}
			for i := range c.deep {
				dir = filepath.Join(dir, strings.Repeat("d", i+1))
			}
			if err := os.MkdirAll(dir, 0o755); err != nil {
				t.Fatal(err)
			}
			file := filepath.Join(dir, "plan.yaml")
			if err := os.WriteFile(file, minimal, 0o644); err != nil {
				t.Fatal(err)
			}
			p, err := Load(file)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "turnover", p.House.Turnover.House, c.want, 0)
			near(t, "upper turnover", p.House.Turnover.High, 10, 0)
		})
	}
}

func TestHouseFiles(t *testing.T) {
	h, err := ParseHouse([]byte("units: US\nregion: [US]\nlight: {high: {house: 120}}\nlabour: {stem: 25}\nprices: {pot: 7.9, gravel L: 1.1}\nlabour-rate: 55 /h\nspare: 15 %\n"), "house.yaml")
	if err != nil {
		t.Fatal(err)
	}
	near(t, "high light", h.Light["high"].House, 120, 0)
	near(t, "upper high light", h.Light["high"].High, 150, 0)
	near(t, "low light", h.Light["low"].Low, 15, 0)
	near(t, "stems", h.Labour["stem"], 25, 0)
	near(t, "carpet", h.Labour["carpet"], DefaultHouse().Labour["carpet"], 0)
	near(t, "gravel", h.Prices["gravel L"], 1.1, 0)
	near(t, "rate", float64(h.LabourRate), 55, 0)
	near(t, "spare", float64(h.Spare), 0.15, 1e-12)
	_, err = ParseHouse([]byte("units: imperial\nlight: {dim: {house: 3}}\nturnover: {low: 5, high: 3}\nlabour: {stems: 20}\nprices: {pot: -1}\noxygen-min: 0\nnitrite-alarm: {snail: 0.1}\nrent: 3\n"), "house.yaml")
	if err == nil {
		t.Fatal("a broken house file reads")
	}
	golden(t, "testdata/broken/house.txt", err.Error()+"\n")
	if err := func() error { _, err := ParseHouse(nil, "house.yaml"); return err }(); err == nil {
		t.Error("an empty house file reads")
	}
}

func TestBansAreNamedByRegion(t *testing.T) {
	for _, c := range []struct {
		region string
		want   int
	}{{"[EU]", 1}, {"[US]", 1}, {"[New Zealand]", 0}, {"[]", 0}} {
		src := string(plans(t, "testdata/minimal.yaml")["testdata/minimal.yaml"])
		src = strings.Replace(src, "{species: Cryptocoryne wendtii, pots: 4, in: [[5,15],[55,15],[55,28],[5,28]]}", "{species: Pistia stratiotes, pots: 1, afloat: true}", 1) + "region: " + c.region + "\n"
		p, err := Parse([]byte(src), "m.yaml", nil)
		if err != nil {
			t.Fatal(err)
		}
		if len(p.Warnings) != c.want {
			t.Errorf("region %s gives %v", c.region, p.Warnings)
		}
	}
}

// A plan of 60 plantings stands for a large display tank.
func sixtyPlantings(t testing.TB) []byte {
	var b strings.Builder
	b.WriteString("littoral: 1\nname: Sixty\ntank: {shape: box, inside: {length: 300 cm, width: 100 cm, height: 80 cm}, water-level: 74 cm}\n")
	b.WriteString("substrate: {layers: [{material: active soil normal grain, depth: 8 cm}]}\nwater: {tap: {alkalinity: 5 dKH, hardness: 9 dGH}}\n")
	b.WriteString("lamps: [{model: LED panel, at: [150, 50], above-water: 20 cm}]\nlight-day: {on: \"12:00\", hours: 8}\nplants:\n")
	species := []string{"Cryptocoryne wendtii", "Vallisneria americana", "Rotala rotundifolia", "Helanthium tenellum"}
	for i := range 60 {
		x, y := 5+i%20*14, 10+i/20*30
		fmt.Fprintf(&b, "  - {species: %s, pots: 6, in: [[%d,%d],[%d,%d],[%d,%d],[%d,%d]]}\n", species[i%4], x, y, x+12, y, x+12, y+20, x, y+20)
	}
	return []byte(b.String())
}

func BenchmarkParse(b *testing.B) {
	src := sixtyPlantings(b)
	b.ReportAllocs()
	b.SetBytes(int64(len(src)))
	for b.Loop() {
		if _, err := Parse(src, "sixty.yaml", nil); err != nil {
			b.Fatal(err)
		}
	}
}

// Files that are no plans are refused without taking them apart to the end: the parser's time grows with the square of these.
func TestOverlongFilesAreRefused(t *testing.T) {
	for name, src := range map[string]string{
		"many keys": strings.Repeat("a: 1\n", maxEntries+1), "many dashes": strings.Repeat("- \n", maxEntries+1),
		"many texts": strings.Repeat("a: |\n", maxTexts+1), "many words": "[" + strings.Repeat("a,", maxTokens) + "]",
		"question marks": strings.Repeat("? ", maxNesting+1), "dashes in dashes": strings.Repeat("- ", maxNesting+1) + "x",
	} {
		_, err := Parse([]byte(src), "x.yaml", nil)
		if err == nil || !strings.Contains(err.Error(), "more entries than a plan") && !strings.Contains(err.Error(), "nested deeper") {
			t.Errorf("%s: %v", name, err)
		}
	}
	// And the list of problems ends.
	_, err := Parse([]byte(strings.Repeat("a: 1\n", 5000)), "x.yaml", nil)
	var problems Problems
	if !errors.As(err, &problems) || len(problems) != maxProblems+1 {
		t.Errorf("5000 slips give %d problems", len(problems))
	}
}

// A plan with very many warnings is a plan, and an error among them is told.
func TestManyWarningsAreNoError(t *testing.T) {
	var b strings.Builder
	b.WriteString("littoral: 1\nname: Many\ntank: {shape: box, inside: {length: 60 cm, width: 30 cm, height: 36 cm}, water-level: 32 cm}\nwater: {tap: {alkalinity: 4 dKH, hardness: 8 dGH}}\n" +
		"substrate: {layers: [{material: quartz gravel, depth: 5 cm}]}\nplants:\n")
	for i := range 2 * maxProblems {
		fmt.Fprintf(&b, "  - {id: far-%d, species: Anubias barteri, pots: 1, at: [[30, 15]]}\n", i) // a rhizome in the bed
	}
	p, err := Parse([]byte(b.String()), "many.yaml", nil)
	if err != nil {
		t.Fatalf("%d warnings refuse a plan: %v", 2*maxProblems, err)
	}
	if n := len(p.Warnings); n != maxProblems+1 {
		t.Errorf("%d warnings listed, want %d and how many more there are", n, maxProblems)
	}
	b.WriteString("  - {id: last, species: Nothing at all, pots: 1, at: [[30, 15]]}\n")
	if _, err := Parse([]byte(b.String()), "many.yaml", nil); err == nil || !strings.Contains(err.Error(), "Nothing at all") {
		t.Errorf("an error after %d warnings is told as %v", 2*maxProblems, err)
	}
}

// Whatever the bytes, reading ends with a plan or with Problems that can be printed, and never panics.
func FuzzParse(f *testing.F) {
	for _, pattern := range []string{"testdata/*.yaml", "testdata/broken/*.yaml"} {
		for _, src := range plans(f, pattern) {
			f.Add(src)
		}
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		p, err := Parse(src, "fuzz.yaml", testFiles)
		var problems Problems
		switch {
		case err != nil && !errors.As(err, &problems):
			t.Fatalf("%v is not Problems", err)
		case err != nil && (p != nil || len(problems) == 0 || problems.Error() == ""):
			t.Fatal("an error without problems")
		case err == nil && (p.Source == nil || p.House == nil || p.Cat == nil):
			t.Fatal("a plan without source, house or catalogue")
		}
	})
}

// Whatever stands in place of any one value of a plan that has every key, reading ends with a plan or with Problems. One value
// is tried at each place; which one differs from place to place.
func TestAnyValueInAnyPlace(t *testing.T) {
	full := load(t, "full.yaml")
	junk := []string{"x", `""`, "[]", "{}", "~", "-1", "0", "1e300 cm", "-5 cm", "[[1, 2]]", "[1, 2, 3]", "{x: y}", "true", "day 9999", "0 %", "[x, x]", "[{}]", "[~]"}
	paths := sortedKeys(full.Source.Pos)
	lines := strings.SplitAfter(string(full.Source.Bytes), "\n")
	for i, path := range paths {
		at := full.Source.Pos[path]
		before := strings.Join(lines[:at.Line-1], "") + string([]rune(lines[at.Line-1])[:at.Column-1])
		rest := full.Source.Bytes[len(before):]
		// The value ends where the flow or the line does; cutting in the wrong place only gives another broken plan.
		end := 0
		for depth := 0; end < len(rest) && (depth > 0 || !strings.ContainsRune(",}]\n", rune(rest[end]))); end++ {
			switch rest[end] {
			case '[', '{':
				depth++
			case ']', '}':
				depth--
			}
		}
		src := before + junk[5*i%len(junk)] + string(rest[end:])
		_, err := Parse([]byte(src), "x.yaml", testFiles)
		var problems Problems
		if err != nil && (!errors.As(err, &problems) || len(problems) == 0) {
			t.Fatalf("%s: %v", path, err)
		}
	}
}
