package draft

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// cabinet is a plan on which each thing that is looked for can be drawn.
const cabinet = `littoral: 1
name: Cabinet
tank: {shape: box, inside: {length: 150 cm, width: 60 cm, height: 80 cm}, water-level: 76 cm%s}
room: {floor: {kind: timber joists, allowed-load: %s kN/m²}}
water: {tap: {alkalinity: 5 dKH, hardness: 8 dGH}}
substrate:
  layers:
    - {material: active soil, heights: {points: [%s]}}
lamps:
  - {id: bar, kind: bar, at: [40, 30], above-water: 20 cm, size: 80x10 cm, ppf: %s µmol/s}
hardscape:
  - {id: stone, kind: stone, material: slate, shape: {boulder: {length: 24 cm, width: 18 cm, height: 16 cm}}, at: [%s]}
plants:
  - {id: plant, species: %s, pots: 1, at: [[%s]]}
  - {id: other, species: Cryptocoryne wendtii, pots: 1, at: [[40, 30]]}
livestock:
  - {id: fish, species: %s, count: 5}
`

type drawing struct{ rest, floor, ground, flux, stone, plant, at, fish string }

func (c drawing) notes(t *testing.T) map[string]BoardNote {
	t.Helper()
	or := func(s, usual string) string {
		if s == "" {
			return usual
		}
		return s
	}
	src := fmt.Sprintf(cabinet, c.rest, or(c.floor, "30"), or(c.ground, "[0, 0, 6], [150, 0, 6], [0, 60, 7], [150, 60, 7]"), or(c.flux, "25"), or(c.stone, "75, 30"), or(c.plant, "Cryptocoryne wendtii"), or(c.at, "20, 12"), or(c.fish, "Hyphessobrycon amandae"))
	_, p := opened(t, src, nil)
	d, err := Open(p, 1, nil)
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]BoardNote{}
	for _, n := range d.Look(nil, d.Light()) {
		if n.Text == "" || len(n.IDs) == 0 && n.Kind != KindBody || n.Severity != Hint && n.Severity != Warning || !strings.HasSuffix(n.Text, ".") {
			t.Errorf("a note is %+v", n)
		}
		for _, x := range n.AtCM {
			if math.IsNaN(x) || math.Abs(x) > 1000 {
				t.Errorf("a note lies at %v", n.AtCM)
			}
		}
		for _, id := range n.IDs {
			out[n.Kind+" "+id] = n
		}
	}
	return out
}

func TestLooking(t *testing.T) {
	quiet := drawing{}.notes(t)
	for what, n := range quiet {
		if n.Kind != KindBody && n.Kind != KindReach { // the tank is deep
			t.Errorf("of a quiet tank it says %s: %s", what, n.Text)
		}
	}
	for name, c := range map[string]struct {
		d        drawing
		what     string
		severity string
		says     string
	}{
		"a plant too tall":         {drawing{rest: "", ground: "[0, 0, 60], [150, 0, 60], [0, 60, 60], [150, 60, 60]", plant: "Aquarius grisebachii", at: "75, 52", stone: "120, 20"}, "height plant", Warning, "of water stand over it here"},
		"plants too close":         {drawing{plant: "Aquarius grisebachii", at: "43, 31"}, "span plant", Hint, "stand 3.2 cm apart"},
		"a plant at the glass":     {drawing{plant: "Aquarius grisebachii", at: "75, 58"}, "span plant", Hint, "from the glass"},
		"too little light":         {drawing{plant: "Rotala rotundifolia", at: "145, 50", flux: "25"}, "light plant", Warning, "here it gets about"},
		"light that algae like":    {drawing{flux: "150", plant: "Anubias barteri var. nana", at: "40, 12"}, "light plant", Hint, "thrives in"},
		"a shallow bed":            {drawing{ground: "[0, 0, 2], [150, 0, 2], [0, 60, 2], [150, 60, 2]", plant: "Aquarius grisebachii", at: "75, 45"}, "roots plant", Hint, "The bed is 2 cm deep here"},
		"too far for an arm":       {drawing{at: "75, 30", stone: "120, 20"}, "reach plant", Warning, "From the nearest rim"},
		"a stone at the glass":     {drawing{stone: "75, 8"}, "clearance stone", Warning, "touches the glass"},
		"no room for a scraper":    {drawing{stone: "75, 13"}, "clearance stone", Hint, "A scraper wants"},
		"a fish that eats plants":  {drawing{fish: "Metynnis argenteus"}, "animals plant", Warning, "is planned for this tank"},
		"ground too steep":         {drawing{ground: "[0, 0, 4], [150, 0, 4], [70, 30, 4], [85, 30, 26], [0, 60, 4], [150, 60, 4]", stone: "20, 20", at: "30, 50"}, "slope ground", Warning, "slides when it is steeper"},
		"a floor that is too weak": {drawing{floor: "2"}, "weight tank", Warning, "loads its footprint"},
	} {
		n, ok := c.d.notes(t)[c.what]
		if !ok || n.Severity != c.severity || !strings.Contains(n.Text, c.says) {
			t.Errorf("%s: %+v of %v", name, n, ok)
		}
	}
}
