package catalog

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

const newPlantCSV = `species,form,height-cm,spread-cm,speed,light,co2,temperature-c,synonyms
Rotala exempli,stem,20-40,4,fast,high,recommended,20-28,example stem
`

const newPlantYAML = `species:
  - name: Rotala exempli
    form: stem
    height-cm: [20, 40]
    spread-cm: 4
    speed: fast
    light: high
    co2: recommended
    temperature-c: 20 to 28
    synonyms: [example stem]
`

func TestExtendAddsAPlant(t *testing.T) {
	fromCSV, err := Default().Extend(File{"own.csv", []byte(newPlantCSV)})
	if err != nil {
		t.Fatal(err)
	}
	fromYAML, err := Default().Extend(File{"own.yaml", []byte(newPlantYAML)})
	if err != nil {
		t.Fatal(err)
	}
	a, ok := fromCSV.Species("example stem")
	b, ok2 := fromYAML.Species("Rotala exempli")
	if !ok || !ok2 {
		t.Fatal("the new plant is not found")
	}
	b2 := *b
	b2.Source = a.Source // names the file
	if d := cmp.Diff(*a, b2); d != "" {
		t.Errorf("CSV and YAML give different plants:\n%s", d)
	}
	if a.PAR != (Range{80, 150}) || a.Doubling != (Range{10, 21}) || a.Phys.RGRMax.Value <= 0 {
		t.Errorf("what follows from the classes was not filled in: %+v", a)
	}
	if _, ok := Default().Species("Rotala exempli"); ok {
		t.Error("the embedded catalogue was changed")
	}
	if hits := fromCSV.Search([]string{"exempli"}, Filter{}); len(hits) != 1 {
		t.Errorf("the new plant is not found by searching: %v", hits)
	}
}

func TestExtendChangesOnlyWhatIsGiven(t *testing.T) {
	before, _ := Default().Species("Java fern")
	old := *before
	c, err := Default().Extend(File{"house.csv", []byte("species,height-cm,rgr-max,sla\nMicrosorum pteropus,10-20,0.02 0.01-0.03,0.03\n")})
	if err != nil {
		t.Fatal(err)
	}
	s, _ := c.Species("Leptochilus pteropus")
	if s.HeightCM != (Range{10, 20}) || s.Phys.RGRMax != (Param{0.02, 0.01, 0.03, "house table"}) || s.Phys.SLA.Value != 0.03 {
		t.Errorf("the new values did not arrive: %+v", s)
	}
	if s.SpreadCM != old.SpreadCM || s.Family != old.Family || s.Light != old.Light {
		t.Errorf("other values changed: %+v", s)
	}
	if d := cmp.Diff(old, *before); d != "" {
		t.Errorf("the embedded row was changed:\n%s", d)
	}
	if len(c.AllSpecies()) != len(Default().AllSpecies()) {
		t.Error("a row written under a synonym was added as a new plant")
	}
	later, err := c.Extend(File{"b.csv", []byte("species,speed\nJava fern,medium\n")})
	if err != nil {
		t.Fatal(err)
	}
	if s, _ := later.Species("Java fern"); s.Phys.RGRMax.Value != 0.02 || s.Speed != "medium" {
		t.Errorf("a house's measured rate was lost when its class changed: %+v", s.Phys.RGRMax)
	}
}

func TestExtendAllTables(t *testing.T) {
	c, err := Default().Extend(File{"house.yaml", []byte(`
animals:
  - {name: Exemplum piscis, kind: fish, size-cm: 4, temperature-c: 22-26, synonyms: [example fish]}
materials:
  - {name: house soil, class: substrate, bulk-kg-l: 0.9, porosity: 0.6, ammonia: low, nutrients: high, exchange: high, buffer: medium, p-g-kg: 0.2}
  - {name: house stone, class: stone, piece-kg-l: 2.7, wet-kg-l: 2.7}
lamps:
  - {name: house lamp, kind: panel, size-cm: 50x30, ppf: 200, watts: 80, beam-deg: 90}
bottles:
  - {name: house bottle, no3-n: 5, k: 14}
`)})
	if err != nil {
		t.Fatal(err)
	}
	if a, ok := c.Animal("example fish"); !ok || a.MassG.Value <= 0 {
		t.Errorf("animal: %+v", a)
	}
	m, ok := c.Material("house soil")
	if !ok || m.Wet.Min != 1.5 || m.Bed.PKg.Value != 0.2 || m.Bed.BufferMeq.Value != 90 || m.AngleDeg.Value != 31 {
		t.Errorf("material: %+v", m)
	}
	if m, ok := c.Material("house stone"); !ok || m.IsBed() {
		t.Errorf("stone: %+v", m)
	}
	if l, ok := c.Lamp("house lamp"); !ok || l.PPF != 200 || l.LuxPerPPFD.Value != 70 {
		t.Errorf("lamp: %+v", l)
	}
	if b, ok := c.Bottle("House Bottle"); !ok || b.Parts["N"] != 5 {
		t.Errorf("bottle: %+v", b)
	}
}

// All faults come at once, each with its file and line.
func TestExtendReportsEveryFault(t *testing.T) {
	_, err := Default().Extend(
		File{"a.csv", []byte("species,hight-cm,ph,notices\nJava fern,3,4-90,\nJava moss,,x,EU forbidden 2025-01-01\nNew plant,,7,\n")},
		File{"b.yaml", []byte("species:\n  - name: Anubias nana\n    speed: quick\n    colour-hex: #112233\nfishes:\n  - name: x\n")},
		File{"c.txt", []byte("x")},
		File{"d.csv", []byte("fish,size\n")},
		File{"e.csv", []byte("")},
		File{"f.csv", []byte("lamp,kind,size-cm,ppf,watts\nbig,panel,60x20,900,100\nodd,panel,60,1,1\n")},
		File{"g.csv", []byte("species,synonyms\nJava fern,Java moss\n")},
		File{"h.yaml", []byte("species:\n  - name: [\n")},
	)
	if err == nil {
		t.Fatal("the faults were not seen")
	}
	text := err.Error()
	for _, want := range []string{
		`a.csv:2: "hight-cm" is not a column of a species table, did you mean "height-cm"`,
		`a.csv:2: species Java fern: ph: 90 is outside 3 to 11`,
		`a.csv:3: species Java moss: ph: "x" is not a plain number`,
		`a.csv:3: species Java moss: notices: the notice "EU forbidden 2025-01-01" has the status "forbidden"`,
		`a.csv:4: species New plant is new and needs a value for form, height-cm`,
		`b.yaml:4: "colour-hex" has no plain value`,
		`b.yaml:5: the key "fishes" is not known here`,
		`c.txt: the file must end in .csv, .yaml or .yml`,
		`d.csv:1: the first column heading is "fish"`,
		`e.csv: the file is empty`,
		`f.csv:2: lamp big: 900 µmol/s from 100 W is more than light can carry`,
		`f.csv:3: lamp odd: size-cm: "60" must give length and width`,
		`g.csv:2: the name "Java moss" of Leptochilus pteropus already belongs to Taxiphyllum barbieri`,
		`h.yaml`,
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the report lacks: %s\n", want)
		}
	}
	if t.Failed() {
		t.Log(text)
	}
	var one *FileError
	if !errors.As(err, &one) || one.File == "" {
		t.Error("the faults are not FileErrors")
	}
}

func TestExtendRefusesHugeAndManyFaults(t *testing.T) {
	if _, err := Default().Extend(File{"big.csv", make([]byte, maxBytes+1)}); err == nil {
		t.Error("a huge file was read")
	}
	if _, err := Default().Extend(File{"deep.yaml", []byte("species:\n  " + strings.Repeat("[", 100000))}); err == nil || !strings.Contains(err.Error(), "deep.yaml:2") {
		t.Errorf("a file of brackets: %.200v", err)
	}
	var rows strings.Builder
	rows.WriteString("species,ph\n")
	for i := range 500 {
		fmt.Fprintf(&rows, "plant %d,x\n", i)
	}
	_, err := Default().Extend(File{"many.csv", []byte(rows.String())})
	if err == nil || !strings.Contains(err.Error(), "more faults") || strings.Count(err.Error(), "\n") > maxFaults+1 {
		t.Error("a thousand faults are not cut short")
	}
}

func TestNumbersAreStrict(t *testing.T) {
	for _, bad := range []string{"", " ", "NaN", "Inf", "1e3", "0x10", "1,5", "-3", "1.2.3", "5-3", "5-", "-5", "1--2", "٣"} {
		if r, err := interval(bad, 0, 1e6); err == nil {
			t.Errorf("%q was read as %v", bad, r)
		}
	}
	for text, want := range map[string]Range{"5": {5, 5}, "5-8": {5, 8}, "5 - 8.5": {5, 8.5}, "5–8": {5, 8}, "5 to 8": {5, 8}, "5; 8": {5, 8}} {
		if r, err := interval(text, 0, 100); err != nil || r != want {
			t.Errorf("%q was read as %v, %v", text, r, err)
		}
	}
	for _, bad := range []string{"3 4-5", "x", "3 5-4", "3 2-"} {
		if p, err := param(bad, 0, 100); err == nil {
			t.Errorf("%q was read as %v", bad, p)
		}
	}
}

func FuzzExtend(f *testing.F) {
	f.Add("a.csv", []byte(newPlantCSV))
	f.Add("a.yaml", []byte(newPlantYAML))
	f.Add("a.csv", []byte("material,class,bulk-kg-l,porosity\nsand,substrate,1.5,0.4\n"))
	f.Add("a.yaml", []byte("lamps: [{name: a, kind: bar, size-cm: 1x2, ppf: 1, watts: 1}]"))
	f.Add("a.yaml", []byte("species: &a [*a]"))
	f.Add("a.csv", []byte("species,form\n\"x"))
	base := Default()
	f.Fuzz(func(t *testing.T, name string, text []byte) {
		c, err := base.Extend(File{name, text})
		if err != nil {
			if c != nil {
				t.Error("a catalogue came with an error")
			}
			return
		}
		for _, s := range c.AllSpecies() {
			if err := checkPhysiology(&s.Phys); err != nil {
				t.Errorf("%q: %v", s.Name, err)
			}
			if _, ok := c.Species(s.Name); !ok {
				t.Errorf("%q is not found under its own name", s.Name)
			}
		}
	})
}

func BenchmarkExtend(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Default().Extend(File{"own.csv", []byte(newPlantCSV)}); err != nil {
			b.Fatal(err)
		}
	}
}
