package draft

import (
	"littoral/internal/plan"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

const compared1 = `littoral: 1
name: A tank
tank: {shape: box, inside: {length: 100 cm, width: 50 cm, height: 50 cm}, water-level: 47 cm}
substrate: {layers: [{material: quartz sand, depth: 5 cm}], caps: [{material: cosmetic sand, over: [[40,0],[60,0],[55,30],[45,30]], depth: 2 cm}]}
hardscape:
  - {id: rock, kind: stone, material: slate, shape: {boulder: {length: 20 cm, width: 14 cm, height: 12 cm}}, at: [30, 25], turn: 10°}
  - {id: slab, kind: stone, material: slate, shape: {slab: {length: 20 cm, width: 14 cm, thickness: 4 cm}}, at: [75, 30]}
water: {tap: {alkalinity: 6 dKH, hardness: 10 dGH}}
filter: {flow: 1000 L/h, media: 4 L}
lamps: [{id: lamp, kind: panel, at: [50, 25], above-water: 20 cm, size: [90 cm, 20 cm], ppf: 200 µmol/s}]
plants:
  - {id: stems, species: Bacopa caroliniana, pots: 4, in: [[60,38],[95,38],[95,47],[60,47]]}
  - {id: crypt, species: Cryptocoryne wendtii, pots: 1, at: [[50,40]]}
  - {id: moss, species: Taxiphyllum barbieri, pots: 2, on: rock}
`

func draftOf(t interface{ Fatal(...any) }, text string) *Draft {
	p, err := plan.ParseIn(plan.DefaultHouse(), []byte(text), "plan.yaml", nil)
	if err != nil {
		t.Fatal(err)
	}
	d, err := Open(p, 1, nil)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestCompare(t *testing.T) {
	a := draftOf(t, compared1)
	for _, c := range []struct {
		name, old, now string
		what, id       string
		far, turn      float64
		says           string
	}{
		{"a stone moved", "at: [30, 25]", "at: [33, 29]", Moved, "rock", 5, 0, "moved by 5 cm"},
		{"a stone turned over north", "turn: 10°", "turn: 350°", Moved, "rock", 0, -20, "turned by 20° clockwise"},
		{"a stone sunk", "at: [75, 30]}", "at: [75, 30], sink: 2 cm}", Changed, "slab", 0, 0, "sink 0 cm to 2 cm"},
		{"a stone made longer", "slab: {length: 20 cm", "slab: {length: 24 cm", Changed, "slab", 0, 0, "length 20 cm to 24 cm"},
		{"an area moved as a whole", "[[60,38],[95,38],[95,47],[60,47]]", "[[57,38],[92,38],[92,47],[57,47]]", Moved, "stems", 3, 0, "moved by 3 cm."},
		{"more pots", "pots: 4", "pots: 6", Changed, "stems", 0, 0, "pots 4 to 6"},
		{"another species", "Cryptocoryne wendtii", "Cryptocoryne undulata", Changed, "crypt", 0, 0, "Cryptocoryne wendtii to Cryptocoryne undulata"},
		{"a plant taken", "  - {id: crypt, species: Cryptocoryne wendtii, pots: 1, at: [[50,40]]}\n", "", Taken, "crypt", 0, 0, "taken at 50, 40 cm"},
		{"a plant added", "plants:\n", "plants:\n  - {id: new, species: Cryptocoryne parva, pots: 2, at: [[10,5],[15,5]]}\n", Added, "new", 0, 0, "new at 12, 5 cm"},
		{"a lamp lifted", "above-water: 20 cm", "above-water: 30 cm", Changed, "lamp", 0, 0, "20 cm to 30 cm"},
		{"less water", "water-level: 47 cm", "water-level: 45 cm", Changed, "", 0, 0, "water 47 cm to 45 cm"},
		{"more bed", "{material: quartz sand, depth: 5 cm}", "{material: quartz sand, depth: 6 cm}", Changed, "layer 1", 0, 0, "heights"},
		{"the path moved", "[[40,0],[60,0],[55,30],[45,30]]", "[[42,0],[62,0],[57,30],[47,30]]", Moved, "cap 1", 2, 0, "moved by 2 cm"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if !strings.Contains(compared1, c.old) {
				t.Fatalf("%q is not in the plan", c.old)
			}
			got := Compare(a, draftOf(t, strings.Replace(compared1, c.old, c.now, 1)))
			if len(got) != 1 {
				t.Fatalf("%d changes: %+v", len(got), got)
			}
			g := got[0]
			if g.What != c.what || g.ID != c.id || math.Abs(g.FarCM-c.far) > .05 || math.Abs(g.Turn-c.turn) > .05 || !strings.Contains(g.Text, c.says) || !strings.HasSuffix(g.Text, ".") {
				t.Errorf("%+v", g)
			}
		})
	}
	if got := Compare(a, draftOf(t, "# a comment\n"+compared1)); len(got) != 0 {
		t.Errorf("a comment changes %+v", got)
	}
}

// Compared the other way round, what was added is taken, and moves and turns run backwards.
func TestCompareRunsBothWays(t *testing.T) {
	base := draftOf(t, compared1).Board()
	rapid.Check(t, func(r *rapid.T) {
		b := base
		b.Hardscape, b.Plants = slices.Clone(base.Hardscape), slices.Clone(base.Plants)
		for i := range b.Hardscape {
			if rapid.Bool().Draw(r, "moved") {
				b.Hardscape[i].AtCM = [2]float64{rapid.Float64Range(0, 100).Draw(r, "x"), rapid.Float64Range(0, 50).Draw(r, "y")}
				b.Hardscape[i].TurnDeg = float64(rapid.IntRange(0, 359).Draw(r, "turn"))
			}
		}
		if rapid.Bool().Draw(r, "without") {
			b.Plants = b.Plants[:1]
		}
		there, back := compare(base, b), compare(b, base)
		if len(there) != len(back) {
			r.Fatalf("%d there, %d back", len(there), len(back))
		}
		for i := range there {
			f := &there[i]
			k := slices.IndexFunc(back, func(c BoardChange) bool { return c.ID == f.ID && c.List == f.List })
			if k < 0 {
				r.Fatalf("%s is the same on the way back", f.ID)
			}
			g := &back[k]
			opposite := map[string]string{Added: Taken, Taken: Added, Moved: Moved, Changed: Changed}[f.What]
			if g.What != opposite || f.FarCM != g.FarCM || f.Turn != -g.Turn && math.Abs(f.Turn) != 180 {
				r.Fatalf("there %+v, back %+v", f, g)
			}
		}
	})
}
