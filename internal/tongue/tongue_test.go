package tongue

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestTheCatalogueIsWhole(t *testing.T) {
	c := german()
	for _, odd := range c.odd {
		t.Error(odd)
	}
	n := len(c.plain) + len(c.rest)
	for _, list := range c.first {
		n += len(list)
	}
	if n < 1500 {
		t.Errorf("the catalogue has %d entries", n)
	}
	for en, de := range c.plain {
		if strings.HasSuffix(de, " ") || strings.HasPrefix(de, " ") || strings.Contains(de, "  ") {
			t.Errorf("%q: spaces in %q", en, de)
		}
	}
}

// Sentences as the engine makes them, with what a German practitioner would read.
func TestToldInGerman(t *testing.T) {
	for _, c := range []struct{ en, de string }{
		{"Nitrate runs short in the water.", "Nitrat wird im Wasser knapp."},
		{"Anubias barteri var. nana lacks CO2.", "Anubias barteri var. nana fehlt CO2."},
		{"295 litres of water are changed.", "295 Liter Wasser werden gewechselt."},
		{"on day 12", "an Tag 12"},
		{"from month 3 to year 2.5", "von Monat 3 bis Jahr 2,5"},
		{"back left", "hinten links"},
		{"Water", "Wasser"},
		{"seen from front", "gesehen von vorne"},
		{
			"Carbonate hardness goes from 3.0 to 9.0 dKH and temperature moves by 3.5 °C within two days, 3 times in all.",
			"Die Karbonathärte geht von 3,0 auf 9,0 dKH und die Temperatur verschiebt sich um 3,5 °C binnen zwei Tagen, insgesamt 3-mal.",
		},
		{
			"It grows at 40 % of what its kind can; of what is lost, light 60 %, nitrogen 20 % and root room 10 %.",
			"Sie wächst mit 40 % dessen, was ihre Art kann; vom Entgangenen nehmen Licht 60 %, Stickstoff 20 % und Wurzelraum 10 %.",
		},
		{
			"Its tops stand 50 cm over the bottom glass under 52 cm of water; grown it is 30 to 60 cm high. It sits 20 cm up on root-left.",
			"Die Spitzen stehen 50 cm über der Bodenscheibe unter 52 cm Wasser; ausgewachsen ist die Art 30 bis 60 cm hoch. Sie sitzt 20 cm hoch auf root-left.",
		},
		{
			"Tried: with 0.4 g of KNO3 a week from week 4 it does not come, and Anubias barteri carries 3 g of leaves instead of 2.5; work takes 10 minutes a month more; but then: Nitrate builds up, and 3 more.",
			"Erprobt: Mit wöchentlich 0,4 g KNO3 ab Woche 4 kommt es nicht, und Anubias barteri trägt 3 g Blätter statt 2,5; die Arbeit braucht 10 Minuten im Monat mehr; dafür aber: Nitrat sammelt sich an, und 3 weitere.",
		},
		{
			"At work: CO2 at 5 of 25 mg/L when the light comes on, 3.5 g/m² of detritus on the bed and ammonium at 0.20 mg/L.",
			"Am Werk: CO2 bei 5 von 25 mg/L, wenn das Licht angeht, 3,5 g/m² Mulm auf dem Bodengrund und Ammonium bei 0,20 mg/L.",
		},
		{`planted "3.4.2027" is not a date`, `planted "3.4.2027" ist kein Datum`},
		{`unknown key "water" in tank.inside`, `unbekannter Schlüssel "water" in tank.inside`},
		{"write for example MgSO4·7H2O", "etwa MgSO4·7H2O schreiben"},
		{"By month 12 Vallisneria nana stands tallest with 41 cm, and all shoots together weigh about 120 g dry.", "Bis Monat 12 steht Vallisneria nana mit 41 cm am höchsten, und alle Triebe zusammen wiegen etwa 120 g trocken."},
		{"Nitrate runs 6 mg/L under forecast since week 9, in 4 tests.", "Nitrat läuft in 4 Messungen 6 mg/L unter der Vorschau, seit Woche 9."},
	} {
		if got := (Wish{Language: German}).Tell(c.en); got != c.de {
			t.Errorf("%s\n got %s\nwant %s", c.en, got, c.de)
		}
	}
}

// What people have named or written stays as it is, and so does what the catalogue does not know.
func TestNamesStay(t *testing.T) {
	for _, s := range []string{"", "Quay Street Library", "root-left", "Cryptocoryne × willisii", "KH2PO4", "2027-03-01", "plan.yaml:12.5", "1.2.3", "Nobody ever wrote this sentence into the catalogue of the program."} {
		if got := (Wish{Language: German}).Tell(s); got != s {
			t.Errorf("%q became %q", s, got)
		}
	}
}

// US units of sentences; concentrations, hardness, light, power and what is weighed out stay. Factors of NIST SP 811.
func TestQuantitiesInUSUnits(t *testing.T) {
	us := Wish{Units: "US"}
	for _, c := range []struct{ in, out string }{
		{"295 L of water", "78 gal of water"},
		{"295 litres of water are changed.", "78 gallons of water are changed."},
		{"grown it is 10 to 14 cm high", "grown it is 3.9 to 5.5 in high"},
		{"grown it is 30 to 60 cm high", "grown it is 12 to 24 in high"},
		{"240 × 90 × 65 cm", "94 × 35 × 26 in"},
		{"Shear it to 1.5 cm every 4 weeks", "Shear it to 0.59 in every 4 weeks"},
		{"a pane 12 mm thick", "a pane 0.47 in thick"},
		{"1.2 m of water", "3.9 ft of water"},
		{"4.25 m² of bed", "46 ft² of bed"},
		{"340 kg stand on it: 5.2 kN/m²", "750 lb stand on it: 109 psf"},
		{"About 1200 L/h of real flow", "About 317 gal/h of real flow"},
		{"a hose of 12 L a minute", "a hose of 3.2 gal a minute"},
		{"It reaches 29.5 °C", "It reaches 85 °F"},
		{"the species is kept at 24 to 28 °C", "the species is kept at 75 to 82 °F"},
		{"temperature moves by 3.5 °C", "temperature moves by 6.3 °F"},
		{"within 1 dKH and 2 °C of the tank", "within 1 dKH and 3.6 °F of the tank"},
		{"Cool slowly, under 2 °C a day.", "Cool slowly, under 3.6 °F a day."},
		{"6 mg/L at 120 µmol/m²/s, 4 dKH, 15 W, 5 g, 20 mL, 300 µS/cm, CO2 L", "6 mg/L at 120 µmol/m²/s, 4 dKH, 15 W, 5 g, 20 mL, 300 µS/cm, CO2 L"},
		{"day 12 cm-root at 2027-03-01", "day 12 cm-root at 2027-03-01"},
	} {
		if got := us.Tell(c.in); got != c.out {
			t.Errorf("%q gave %q, want %q", c.in, got, c.out)
		}
	}
	both := Wish{Language: German, Units: "US"}
	if got, want := both.Tell("Its tops stand 50 cm over the bottom glass under 52 cm of water; grown it is 30 to 60 cm high."), "Die Spitzen stehen 20 Zoll über der Bodenscheibe unter 20 Zoll Wasser; ausgewachsen ist die Art 12 bis 24 Zoll hoch."; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	metric := Wish{Units: "metric"}
	for in, out := range map[string]string{"78 gal of water, 12 in high, 77 °F": "295 L of water, 30 cm high, 25 °C", "3 in all": "3 in all", "7.9 in up on the root": "20 cm up on the root"} {
		if got := metric.Tell(in); got != out {
			t.Errorf("%q gave %q, want %q", in, got, out)
		}
	}
}

func TestMarkup(t *testing.T) {
	w := Wish{Language: German, Units: "US"}
	in := `<html lang="en"><style>.water{fill:red}.caution::before{content:"Caution. "}</style><svg aria-label="The filter clogs."><text>week 3</text> <text>50 cm</text><text><tspan>root-left</tspan></text><!-- the bed --><script>"water"</script></svg>Nitrate &amp; water</html>`
	want := `<html lang="de"><style>.water{fill:red}.caution::before{content:"Vorsicht. "}</style><svg aria-label="Der Filter setzt sich zu."><text>Woche 3</text> <text>20 Zoll</text><text><tspan>root-left</tspan></text><!-- the bed --><script>"water"</script></svg>Nitrate &amp; water</html>`
	if got := string(w.Markup([]byte(in))); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}

// Figures set low and names in italics are found again in the other language, wherever they stand there.
func TestMarkupWithinSentences(t *testing.T) {
	w := Wish{Language: German}
	for in, want := range map[string]string{
		`<li>CO<sub>2</sub> is too high for <i>Paracheirodon innesi</i>.</li>`:                 `<li>CO<sub>2</sub> ist zu hoch für <i>Paracheirodon innesi</i>.</li>`,
		`<p><i>Rotala rotundifolia</i> lacks CO<sub>2</sub>.</p>`:                              `<p><i>Rotala rotundifolia</i> fehlt CO<sub>2</sub>.</p>`,
		`<b>Plan.</b> <i>Nitrate builds up.</i>`:                                               `<b>Plan.</b> <i>Nitrat sammelt sich an.</i>`,
		`<td>10 mg/L a week: 2 doses of 3.5 g KH<sub>2</sub>PO<sub>4</sub></td>`:               `<td>10 mg/L je Woche: 2 Gaben von je 3,5 g KH<sub>2</sub>PO<sub>4</sub></td>`,
		`<text>NO<tspan class="sub" dy="2.5">3</tspan><tspan dy="-2.5"></tspan> week 3</text>`: `<text>NO<tspan class="sub" dy="2.5">3</tspan><tspan dy="-2.5"></tspan> Woche 3</text>`,
	} {
		if got := string(w.Markup([]byte(in))); got != want {
			t.Errorf("%s\n got %s\nwant %s", in, got, want)
		}
	}
}

func TestAccept(t *testing.T) {
	for header, want := range map[string]string{"": English, "de": German, "de-AT,de;q=0.9,en;q=0.8": German, "en-GB,en;q=0.9,de;q=0.8": English, "fr,de;q=0.5": German, "fr": English, "de;q=0": English, "de;q=x": English} {
		if got := Accept(header); got != want {
			t.Errorf("%q gave %q, want %q", header, got, want)
		}
	}
}

// samples are all entries with numbers and names in their places.
func samples() []string {
	c := german()
	var out []string
	for s := range c.plain {
		out = append(out, s)
	}
	all := slices.Clone(c.rest)
	for _, list := range c.first {
		all = append(all, list...)
	}
	for _, p := range all {
		s := p.lits[0]
		for i, place := range p.places {
			s += []string{"Rotala", fmt.Sprintf("%d.5", 11+i), `"a name"`}[place] + p.lits[i+1]
		}
		out = append(out, s)
	}
	slices.Sort(out)
	return out
}

func TestEnglishStaysAsItIs(t *testing.T) {
	all := samples()
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.OneOf(rapid.SampledFrom(all), rapid.String()).Draw(t, "text")
		for _, w := range []Wish{{}, {Language: English}} {
			if got := w.Tell(s); got != s {
				t.Fatalf("%q became %q", s, got)
			}
		}
	})
}

// Every number and every name of a sentence is in what becomes of it.
func TestNumbersSurvive(t *testing.T) {
	for _, s := range samples() {
		told, whole := Told(s)
		if !whole {
			t.Errorf("%q is in the catalogue and is not retold", s)
		}
		for i := range 12 {
			n := fmt.Sprintf("%d.5", 11+i)
			if strings.Count(s, n) != strings.Count(told, strings.Replace(n, ".", ",", 1))+strings.Count(told, n) {
				t.Errorf("%q became %q: %s", s, told, n)
			}
		}
		for _, name := range []string{"Rotala", `"a name"`} {
			if strings.Count(s, name) > strings.Count(told, name) {
				t.Errorf("%q became %q: %s", s, told, name)
			}
		}
	}
}

func FuzzTell(f *testing.F) {
	for _, s := range samples()[:200] {
		f.Add(s)
	}
	f.Add(strings.Repeat("a and b, ", 200))
	f.Add("5 to 7 to 9 cm × 3 °C")
	f.Fuzz(func(t *testing.T, s string) {
		for _, w := range []Wish{{German, ""}, {German, "US"}, {English, "US"}, {German, "metric"}} {
			if got := w.Tell(s); s != "" && got == "" && strings.TrimSpace(s) != "" {
				t.Errorf("%q became nothing", s)
			}
		}
		if got := (Wish{}).Tell(s); got != s {
			t.Errorf("%q became %q", s, got)
		}
	})
}

func FuzzMarkup(f *testing.F) {
	f.Add(`<svg><text>week 3</text><style>a{}</style></svg>`)
	f.Add(`<a title="the bed`)
	f.Fuzz(func(t *testing.T, s string) {
		if got := string((Wish{}).Markup([]byte(s))); got != s {
			t.Errorf("%q became %q", s, got)
		}
		_ = Wish{German, "US"}.Markup([]byte(s))
	})
}

// A page of 200 sentences.
func BenchmarkTell(b *testing.B) {
	all := samples()
	var page []string
	for i := range 200 {
		page = append(page, all[i*len(all)/200]+".")
	}
	w := Wish{German, "US"}
	b.ReportAllocs()
	for b.Loop() {
		for _, s := range page {
			_ = w.Tell(s)
		}
	}
}

// A text made to be hard: nothing in it is known, and every joint is there many times.
func BenchmarkTellNothing(b *testing.B) {
	s := strings.Repeat("the one of some and the other of none, with 5 to 7 cm: ", 40)
	w := Wish{German, "US"}
	b.ReportAllocs()
	for b.Loop() {
		_ = w.Tell(s)
	}
}
