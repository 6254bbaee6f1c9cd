package plan

import (
	"errors"
	"littoral/internal/unit"
	"strings"
	"testing"
)

// bench is a plan in which a word stands for one value after the other.
const bench = `littoral: 1
name: Bench
tank:
  shape: box
  inside: {length: 120 cm, width: 60 cm, height: 60 cm}
  glass: {thickness: 12 mm, bottom: 15 mm}
  water-level: 55 cm
  stand: 90 kg
  equipment: 60 kg
room: {temperature: 22 °C, humidity: 45 %}
substrate:
  layers: [{material: fine quartz sand, depth: 5.5 cm}]
plants:
  - {id: stems, species: Rotala rotundifolia, pots: 4, in: [[5,15],[55,15],[55,28],[5,28]], height: 11 cm}
lamps: [{at: [30,15], above-water: 16 cm, ppf: 41 µmol/s, size: 61x20 cm, power: 34 W, beam: 110°}]
light-day: {on: "12:00", hours: 8}
co2: {target: 23 mg/L, on: "10:00", off: "18:00"}
heater: {power: 150 W, set: 25 °C}
water: {tap: {alkalinity: 5 dKH, hardness: 9 dGH, nitrate: 17 mg/L, temperature: 13 °C}}
filter: {flow: 310 L/h, media: 1 L, real: 64 %}
bottles: [{name: b, label: {K: 12 g/L}, density: 1.05 kg/L}]
care:
  - {every: week, do: water-change, share: 42 %}
  - {every: 2 weeks, do: trim, species: stems, to: 21 cm, when: height > 33 cm}
`

// What a cure offers must read when it is written instead. Whether it fits the other measures of the tank is another question.
func TestCuresPass(t *testing.T) {
	if _, err := Parse([]byte(bench), "b.yaml", nil); err != nil {
		t.Fatal(err)
	}
	tried := 0
	for _, value := range []string{
		"120 cm", "12 mm", "15 mm", "55 cm", "90 kg", "60 kg", "22 °C", "45 %", "5.5 cm", "11 cm", "16 cm", "41 µmol/s", "34 W", "110°",
		"23 mg/L", "150 W", "25 °C", "5 dKH", "9 dGH", "17 mg/L", "13 °C", "310 L/h", "64 %", "1.05 kg/L", "42 %", "21 cm",
	} {
		for _, wrong := range []string{"0", "0.4", "1.1", "2.7", "8", "24", "76", "120", "1200", "90000", "5 lux", "-3"} {
			_, err := Parse([]byte(strings.Replace(bench, ": "+value, ": "+wrong, 1)), "b.yaml", nil)
			var problems Problems
			if !errors.As(err, &problems) {
				continue // some may be left out, and a bare 0 % reads
			}
			_, offered, ok := strings.Cut(problems[0].Cure, ", for example ")
			if !ok {
				continue
			}
			for _, cure := range strings.Split(offered, " or ") {
				tried++
				_, err := Parse([]byte(strings.Replace(bench, ": "+value, ": "+cure, 1)), "b.yaml", nil)
				if err != nil && !strings.Contains(err.Error(), "lies outside the glass") && !strings.Contains(err.Error(), "does not fit a tank 60 cm high") {
					t.Errorf("%s in place of %s: the cure %q fails: %v", wrong, value, cure, err)
				}
			}
		}
	}
	if tried < 200 {
		t.Errorf("only %d cures were offered", tried)
	}
}

func TestCuresNameWhatWasMeant(t *testing.T) {
	for _, c := range []struct{ value, wrong, want string }{
		{"25 °C", "76", "for example 76 °F"},
		{"25 °C", "25", "for example 25 °C or 77 °F"},
		{"1.05 kg/L", "2.7", "for example 2.7 kg/L"},
		{"1.05 kg/L", "1100", "for example 1100 kg/m³"},
		{"12 mm", "12", "for example 12 mm"},
		{"5 dKH", "125", "for example 125 mg/L CaCO3"},
		{"120 cm", "2400", "for example 2400 mm"},
		{"120 cm", "90 m", "a tank 9000 cm in length"},
		{"61x20 cm", "61x20", "write two lengths, for example 55x20 cm"},
		{"height > 33 cm", "height > 33", "write when: height > 30 cm"},
		{"nitrate: 17 mg/L", "chlorine: 1 ppm", "chlorine is not modelled; the forecast takes change water as free of it"},
		{"nitrate: 17 mg/L", "chloramine: 1 ppm", "dechlorinate water before it meets animals and filter"},
		{"nitrate: 17 mg/L", "free-chlorine: 1 ppm", "free-chlorine is not modelled"},
		{"nitrate: 17 mg/L", "chlorid: 1 ppm", `did you mean "chloride"?`},
		{"ppf: 41 µmol/s", `model: "LED panel, 120 cm"`, `did you mean "LED panel, 90 cm"?`},
		{"ppf: 41 µmol/s", `model: "LED panel, 120 cm"`, `write "LED panel, 90 cm", with the quotes`},
		{"ppf: 41 µmol/s", "model: gas mantle", `list what there is with "littoral catalog lamp"`},
		{"310 L/h", `"1,200 L/h"`, "write 1200 L/h or 1.2 L/h"},
	} {
		src := strings.Replace(bench, c.value, c.wrong, 1)
		if _, err := Parse([]byte(src), "b.yaml", nil); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s in place of %s says %v, want %q", c.wrong, c.value, err, c.want)
		}
	}
}

func TestADotThatGroupsThousandsIsSuspected(t *testing.T) {
	for _, c := range []struct{ value, written, want string }{
		{"310 L/h", `"1.200 L/h"`, `flow "1.200 L/h" is read as 1.2 L/h, which is very little; a dot is the decimal point here`},
		{"310 L/h", "1.200 L/h", "write 1200 L/h if thousands are meant, or 1.2 L/h"},
		{"310 L/h", "12.000 L/h", "write 12000 L/h if thousands are meant, or 12 L/h"},
		{"310 L/h", "1.200 m³/h", ""},
		{"310 L/h", "1.20 L/h", ""},
		{"310 L/h", "310.125 L/h", ""},
		{"60 kg", "1.050 kg", "write 1050 kg"},
		{"120 cm", "1.200 m", ""},
		{"1.05 kg/L", "1.050 kg/L", ""},
		{"ppf: 41 µmol/s", "lumens: 12.000, lux-per-ppfd: 70", "write 12000 if thousands"},
	} {
		p, err := Parse([]byte(strings.Replace(bench, c.value, c.written, 1)), "b.yaml", nil)
		if err != nil {
			t.Errorf("%s: %v", c.written, err)
			continue
		}
		if said := p.Warnings.Error(); !strings.Contains(said, c.want) || c.want == "" && said != "" {
			t.Errorf("%s says %q, want %q", c.written, said, c.want)
		}
	}
}

func TestFiguresHaveNoPowersOfTen(t *testing.T) {
	for _, c := range []struct {
		format string
		x      float64
		want   string
	}{{"%.3g", 9000, "9000"}, {"%.3g", 12345, "12300"}, {"%.4g", 0.0001234, "0.0001234"}, {"%.4g", 45, "45"}, {"%.3g", 0, "0"}, {"%.4g", -7.25, "-7.25"}, {"%.3f", 2, "2.000"}} {
		if got := say(c.format, c.x); got != c.want {
			t.Errorf("%s of %g is %q, want %q", c.format, c.x, got, c.want)
		}
	}
}

func TestCareMayNameOnePlanting(t *testing.T) {
	p, err := Parse([]byte(bench), "b.yaml", nil)
	if err != nil {
		t.Fatal(err)
	}
	if p.Care[1].Species != "stems" || len(p.Warnings) != 0 {
		t.Errorf("the line is about %q, warnings %v", p.Care[1].Species, p.Warnings)
	}
	for _, c := range []struct{ name, want string }{
		{"stemms", `nothing planted is called "stemms", and no species is; did you mean "stems"?`},
		{"Rotala rotundifola", `did you mean "Rotala rotundifolia"?`},
		{"zzzz", "write the name of a species or the id of a planting"},
	} {
		if _, err := Parse([]byte(strings.Replace(bench, "species: stems", "species: "+c.name, 1)), "b.yaml", nil); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.name, err, c.want)
		}
	}
}

func TestAWaterChangeMayBeAVolume(t *testing.T) {
	change := func(s string) string { return strings.Replace(bench, "share: 42 %", s, 1) }
	p, err := Parse([]byte(change("amount: 150 L")), "b.yaml", nil)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "amount, m3", float64(p.Care[0].Amount), 0.150, 1e-12)
	p, err = Parse([]byte(bench+"events: [{on: day 40, do: water-change, amount: 40 gal}]\n"), "b.yaml", nil)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "amount of the event, m3", float64(p.Events[0].Amount), 40*3.785411784e-3, 1e-12)
	for _, c := range []struct{ what, src, want string }{
		{"both", change("share: 40 %, amount: 150 L"), "a share or a volume, not both"},
		{"nothing", change("amount: 0 L"), "a water change of nothing does nothing"},
		{"too much", change("amount: 900 L"), "900 L do not fit a tank that holds 396 L to its water level"},
		{"neither", strings.Replace(bench, ", share: 42 %", "", 1), "a water change has no share"},
		{"an event with both", bench + "events: [{on: day 40, do: water-change, drain: 40 %, amount: 40 L}]\n", "keep one of drain and amount"},
		{"another event", bench + "events: [{on: day 40, do: filter-clean, amount: 40 L}]\n", "amount means nothing for do: filter-clean"},
	} {
		if _, err := Parse([]byte(c.src), "b.yaml", nil); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.what, err, c.want)
		}
	}
}

// Other readers of YAML take on, off, yes and no for truth values. In a plan they are words, as keys and as values, quoted or not.
func TestOnAndOffAreWords(t *testing.T) {
	src := strings.NewReplacer(
		`co2: {target: 23 mg/L, on: "10:00", off: "18:00"}`, "co2:\n  target: 23 mg/L\n  on: 10:00\n  off: 6 pm\n",
		`light-day: {on: "12:00", hours: 8}`, `light-day: {"on": "12:00", 'hours': 8}`,
		"plants:\n", "hardscape:\n  - {id: on, kind: wood, material: bog oak, shape: {branch: {length: 30 cm, thick: 4 cm}}, at: [60, 30]}\n"+
			"  - {id: main-root, kind: wood, material: bog oak, shape: {branch: {length: 30 cm, thick: 4 cm}}, at: [90, 30]}\n"+
			"plants:\n  - {species: Anubias barteri, pots: 1, on: on}\n  - {species: Anubias barteri, pots: 1, on: main-root}\n  - species: Anubias barteri\n    pots: 1\n    on: \"on\"\n",
		"name: Bench", "name: off",
	).Replace(bench) + "events:\n  - on: day 5\n    do: filter-clean\n  - {on: week 3, do: water-change, drain: 30 %}\n"
	p, err := Parse([]byte(src), "b.yaml", nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		what      string
		got, want any
	}{
		{"name", p.Name, "off"},
		{"on: on", p.Plants[0].On, "on"},
		{"on: main-root", p.Plants[1].On, "main-root"},
		{`on: "on"`, p.Plants[2].On, "on"},
		{"gas on", p.CO2[0].On, unit.Clock(10 * 3600)},
		{"gas off", p.CO2[0].Off, unit.Clock(18 * 3600)},
		{"light on", p.LightDay[0].On, unit.Clock(12 * 3600)},
		{"event on", p.Events[0].On, unit.Day(5)},
		{"event in braces on", p.Events[1].On, unit.Day(21)},
	} {
		if c.got != c.want {
			t.Errorf("%s is %v, want %v", c.what, c.got, c.want)
		}
	}
}
