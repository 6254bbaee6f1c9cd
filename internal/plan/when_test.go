package plan

import (
	"strings"
	"testing"
)

func TestWhenIsReadStrictly(t *testing.T) {
	for _, c := range []struct {
		text  string
		want  When
		wrong string // words of the error
	}{
		{text: "height > 30 cm", want: When{"height", 0.3}},
		{text: " height>12 in ", want: When{"height", 0.3048}},
		{text: "top > 10 cm under surface", want: When{"top", 0.1}},
		{text: "top > 10 cm under the surface", want: When{"top", 0.1}},
		{text: "height < 30 cm", wrong: "not a condition"},
		{text: "height > 30", wrong: "unit"},
		{text: "height > 0 cm", wrong: "above zero"},
		{text: "height > 30 cm under surface", wrong: "cm under surface"},
		{text: "top > 10 cm", wrong: "measured from the surface"},
		{text: "spread > 10 cm", wrong: "nothing that a condition can be about"},
		{text: "", wrong: "not a condition"},
	} {
		got, err := parseWhen(c.text)
		switch {
		case c.wrong == "" && (err != nil || got.What != c.want.What || got.Length < c.want.Length-1e-9 || got.Length > c.want.Length+1e-9):
			t.Errorf("%q reads as %+v, %v; want %+v", c.text, got, err, c.want)
		case c.wrong != "" && (err == nil || !strings.Contains(err.Error(), c.wrong)):
			t.Errorf("%q reads as %+v, %v; want an error about %q", c.text, got, err, c.wrong)
		case c.wrong == "":
			if again, err := parseWhen(got.String()); err != nil || again.What != got.What || again.Length < got.Length-1e-3 || again.Length > got.Length+1e-3 {
				t.Errorf("%q is written as %q, which reads as %+v, %v", c.text, got.String(), again, err)
			}
		}
	}
}

// Care that acts on plants says what is missing or wrong, and where.
func TestCareOnPlantsIsChecked(t *testing.T) {
	for _, c := range []struct{ name, care, wrong string }{
		{"condition on a trim", `{every: week, do: trim, to: 20 cm, when: top > 10 cm under surface}`, ""},
		{"outer leaves", `{every: month, do: outer-leaves, species: Echinodorus bleheri, share: 20 %}`, ""},
		{"tops", `{every: week, do: replant-tops, when: height > 30 cm}`, ""},
		{"runners", `{every: month, do: pull-runners, within: [[0,0],[30,0],[30,30],[0,30]]}`, ""},
		{"condition on water", `{every: week, do: water-change, share: 30 %, when: height > 30 cm}`, "when means nothing for do: water-change"},
		{"condition without a value", `{every: week, do: trim, to: 20 cm, when: }`, "has no value"},
		{"bad condition", `{every: week, do: trim, to: 20 cm, when: it looks untidy}`, "height > 30 cm"},
		{"half of the leaves", `{every: week, do: outer-leaves, share: 50 %}`, "a quarter"},
		{"runners without a line", `{every: week, do: pull-runners}`, "where runners may stand"},
		{"a slope", `{every: month, do: trim, to: 12 cm, shape: slope, rise: 10 cm}`, ""},
		{"a dome without a rise", `{every: month, do: trim, to: 12 cm, shape: dome}`, "how far it rises"},
		{"a slope by a share", `{every: month, do: trim, share: 20 %, shape: slope, rise: 10 cm}`, "its lowest height"},
		{"a rise without a shape", `{every: month, do: trim, to: 12 cm, rise: 10 cm}`, "in which shape"},
		{"a rise of nothing", `{every: month, do: trim, to: 12 cm, shape: dome, rise: 0 cm}`, "up to 1 m"},
		{"an unknown shape", `{every: month, do: trim, to: 12 cm, shape: ball, rise: 10 cm}`, "slope, dome"},
		{"new pots", `{every: year, do: replace, species: Echinodorus bleheri, share: 50 %}`, ""},
		{"new pots of nothing", `{every: year, do: replace}`, "what is replaced"},
		{"more than all", `{every: year, do: replace, species: Echinodorus bleheri, share: 130 %}`, "100 %"},
		{"long tops", `{every: week, do: replant-tops, to: 60 cm}`, "5 to 30 cm"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Parse([]byte(whole+"care:\n  - "+c.care+"\n"), "test.yaml", nil)
			switch {
			case c.wrong == "" && err != nil:
				t.Error(err)
			case c.wrong != "" && (err == nil || !strings.Contains(err.Error(), c.wrong)):
				t.Errorf("want an error about %q, got %v", c.wrong, err)
			}
		})
	}
}

const whole = `littoral: 1
name: test
tank:
  shape: box
  inside: {length: 60 cm, width: 30 cm, height: 36 cm}
  water-level: 32 cm
plants: [{species: Echinodorus bleheri, pots: 1, at: [[30, 15]]}]
water: {tap: {alkalinity: 4 dKH, hardness: 8 dGH}}
`
