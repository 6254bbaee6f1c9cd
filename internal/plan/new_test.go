package plan

import (
	"fmt"
	"littoral/internal/unit"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

var lobby = Answers{
	Name: "Quay Street library", Shape: "box", Inside: Inside{Length: 2.4, Width: 0.9, Height: 0.65}, Light: "high", CO2: true,
	TapKH: unit.FromDKH(9), TapGH: unit.FromDGH(14), SeenFrom: []string{"front", "left"}, Style: "nature",
}

func TestNewPlansForUsualTanks(t *testing.T) {
	desk := Answers{
		Name: "Reading desk", Shape: "box", Inside: Inside{Length: 0.64, Width: 0.34, Height: 0.38}, Light: "low",
		TapKH: unit.FromDKH(5), TapGH: unit.FromDGH(8), Style: "jungle",
	}
	round := Answers{
		Name: "Assay hall", Shape: "cylinder", Inside: Inside{Diameter: 1.4, Height: 0.9}, Light: "medium", CO2: true,
		TapKH: unit.FromDKH(1), TapGH: unit.FromDGH(1), Style: "stones",
	}
	for name, a := range map[string]Answers{"lobby": lobby, "desk": desk, "round": round} {
		t.Run(name, func(t *testing.T) {
			src, err := NewPlan(a)
			if err != nil {
				t.Fatal(err)
			}
			golden(t, "testdata/new/"+name+".yaml", string(src))
			p, err := Parse(src, name+".yaml", nil)
			if err != nil {
				t.Fatal(err)
			}
			if len(p.Warnings) > 0 {
				t.Errorf("a new plan warns:\n%v", p.Warnings)
			}
			if n := len(p.Plants); n < 6 || n > 10 {
				t.Errorf("%d plantings, want 6 to 10", n)
			}
		})
	}
}

// What is written must be a plan that the check passes without a word, for every level of light and from a desk tank to a hall tank, in
// soft and in hard water; the styles take turns.
func TestNewPlansPassTheCheck(t *testing.T) {
	turn := 0
	for _, light := range []string{"low", "medium", "high"} {
		for _, gas := range []bool{false, true} {
			for _, size := range []struct{ l, w, h unit.Length }{{45, 28, 30}, {64, 34, 38}, {120, 50, 50}, {300, 90, 70}} {
				for _, dkh := range []float64{1, 6, 16} {
					a := Usual("box")
					a.Light, a.CO2, a.Style, a.Planted = light, gas, styles[turn%len(styles)], "2027-03-01"
					a.Inside = Inside{Length: size.l * unit.CM, Width: size.w * unit.CM, Height: size.h * unit.CM}
					a.TapKH, a.TapGH = unit.FromDKH(dkh), unit.FromDGH(1.6*dkh)
					turn++
					t.Run(fmt.Sprintf("%s, gas %t, %s, %.0fx%.0fx%.0f cm, %.0f dKH", light, gas, a.Style, float64(size.l), float64(size.w), float64(size.h), dkh), func(t *testing.T) {
						src, err := NewPlan(a)
						if err != nil {
							t.Fatal(err)
						}
						p, err := Parse(src, "plan.yaml", nil)
						if err != nil {
							t.Fatalf("%v\n%s", err, src)
						}
						for _, warning := range p.Warnings {
							t.Errorf("%s", warning)
						}
					})
				}
			}
		}
		turn++ // so that a size does not keep its style
	}
}

func TestUsualAnswersMakeAPlan(t *testing.T) {
	for _, shape := range Shapes() {
		a := Usual(shape)
		if _, err := NewPlan(a); err != nil {
			t.Errorf("%s: %v", shape, err)
		}
	}
}

// The lamps are sized by how much of their light falls on the water: all of it for a lamp on a large surface, and, from a small lamp at
// height h over the middle of a disc of radius r, one less cos to the power n+1 of the angle whose tangent is r/h (the flux of a cosⁿ source).
func TestLightThatFallsOnTheWater(t *testing.T) {
	disc := func(radius float64) *writer {
		w := &writer{}
		for i := range 360 {
			a := 2 * math.Pi * float64(i) / 360
			w.footprint = append(w.footprint, PointCM{100 + radius*math.Cos(a), 100 + radius*math.Sin(a)})
		}
		return w
	}
	power := math.Log(0.5)/math.Log(math.Cos(newBeam/2*math.Pi/180)) + 1
	for _, c := range []struct{ radius, above, want float64 }{
		{90, 1, 1},
		{20, 20, 1 - math.Pow(math.Cos(math.Pi/4), power)},
		{30, 20, 1 - math.Pow(math.Cos(math.Atan(1.5)), power)},
	} {
		if got := disc(c.radius).entering(newLamp{x: 100, y: 100}, c.above); math.Abs(got-c.want) > 0.03 {
			t.Errorf("radius %.0f, height %.0f: %.3f, want %.3f", c.radius, c.above, got, c.want)
		}
	}
}

// Common practice, no source: a pot count of the trade's density over the planted floor, 50 to 90 pots for 1.4 m² of mixed planting.
func TestNewPlanIsOfTheTradesSize(t *testing.T) {
	src, err := NewPlan(lobby)
	if err != nil {
		t.Fatal(err)
	}
	p, err := Parse(src, "lobby.yaml", nil)
	if err != nil {
		t.Fatal(err)
	}
	pots, ppf := 0, 0.0
	for _, q := range p.Plants {
		pots += q.Pots
	}
	for _, l := range p.Lamps {
		ppf += float64(l.PPF)
	}
	perArea := float64(pots) / (2.4 * 0.9)
	if perArea < 20 || perArea > 60 {
		t.Errorf("%d pots on 2.16 m² are %.0f for each m²", pots, perArea)
	}
	if bed := ppf * 0.65 / (2.4 * 0.9); bed < 80 || bed > 150 { // a wide tank's bed gets about 65 % of the lamps' light, by the light field
		t.Errorf("high light gives %.0f µmol/m²/s at the bed", bed)
	}
	flow := 0.0
	for _, f := range p.Filter {
		flow += float64(f.Flow) * float64(f.Real) * 3600 * 1000
	}
	if turn := flow / (2.4 * 0.9 * 620 * 0.85); turn < 4 || turn > 6 {
		t.Errorf("the filters turn the water over %.1f times an hour", turn)
	}
	for _, q := range p.Plants {
		s, _ := p.Cat.Species(q.Species)
		if s.PotsM2.Max == 0 || len(s.Notices) > 0 {
			t.Errorf("%s is listed only to warn of it", q.Species)
		}
	}
}

func TestAnswersThatMakeNoPlan(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*Answers)
		want   string
	}{
		{"no name", func(a *Answers) { a.Name = " " }, "the name must be one line"},
		{"two lines", func(a *Answers) { a.Name = "a\nb" }, "the name must be one line"},
		{"no shape", func(a *Answers) { a.Shape = "" }, `the shape "" is none of`},
		{"no measures", func(a *Answers) { a.Inside = Inside{} }, "the height of 0 cm is outside"},
		{"not a number", func(a *Answers) { a.Inside.Length = unit.Length(math.NaN()) }, "the length of NaN"},
		{"water over the rim", func(a *Answers) { a.WaterLevel = 0.7 }, "the water level of 70 cm"},
		{"dim", func(a *Answers) { a.Light = "dim" }, `the light "dim"`},
		{"from below", func(a *Answers) { a.SeenFrom = []string{"below"} }, `one does not look from "below"`},
		{"rock", func(a *Answers) { a.Style = "rock" }, `the style "rock"`},
		{"nitrate", func(a *Answers) { a.TapNitrate = 300 }, "the tap's nitrate"},
		{"someday", func(a *Answers) { a.Planted = "someday" }, `"someday" is not a date`},
		{"hard", func(a *Answers) { a.TapGH = 1000 }, "the tap's hardness"},
		{"bow tie", func(a *Answers) { a.Shape, a.Outline = "polygon", []PointCM{{0, 0}, {50, 50}, {50, 0}, {0, 50}} }, "crosses or touches itself"},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := lobby
			c.change(&a)
			if _, err := NewPlan(a); err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want %q", err, c.want)
			}
		})
	}
}

// Any answers that pass their own check give a plan that reads, with all the answers in it.
func TestAnyAnswersGiveAPlanThatReads(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		metres := func(low, high float64, what string) unit.Length {
			return unit.Length(rapid.Float64Range(low, high).Draw(r, what))
		}
		a := Answers{
			Name:       rapid.StringMatching(`[ -~äµ×]{0,20}[a-z]`).Draw(r, "name"),
			Shape:      rapid.SampledFrom([]string{"box", "cylinder", "bow-front", "polygon"}).Draw(r, "shape"),
			Inside:     Inside{Height: metres(0.2, 2, "height")},
			Light:      rapid.SampledFrom([]string{"low", "medium", "high"}).Draw(r, "light"),
			CO2:        rapid.Bool().Draw(r, "co2"),
			TapKH:      unit.FromDKH(rapid.Float64Range(0, 40).Draw(r, "kh")),
			TapGH:      unit.FromDGH(rapid.Float64Range(0, 60).Draw(r, "gh")),
			TapNitrate: unit.Concentration(rapid.Float64Range(0, 100).Draw(r, "nitrate")),
			Planted:    rapid.SampledFrom([]string{"", "2027-03-01"}).Draw(r, "planted"),
			Style:      rapid.SampledFrom(append(Styles(), "")).Draw(r, "style"),
			SeenFrom:   rapid.SliceOfN(rapid.SampledFrom([]string{"front", "back", "left", "right", "all"}), 0, 3).Draw(r, "seen"),
		}
		switch a.Shape {
		case "cylinder":
			a.Inside.Diameter = metres(0.2, 6, "diameter")
		case "polygon":
			a.Outline = rapid.SampledFrom([][]PointCM{
				{{0, 0}, {120, 0}, {120, 60}, {60, 60}, {60, 120}, {0, 120}},
				{{0, 0}, {0, 80}, {80, 80}, {80, 40}, {40, 0}},
				{{40, 0}, {120, 0}, {160, 70}, {120, 140}, {40, 140}, {0, 70}},
				{{0, 0}, {300, 0}, {300, 30}, {30, 30}, {30, 200}, {0, 200}},
			}).Draw(r, "outline")
		default:
			a.Inside.Length, a.Inside.Width = metres(0.2, 6, "length"), metres(0.2, 6, "width")
			if a.Shape == "bow-front" {
				a.Inside.Bow = a.Inside.Length * metres(0.01, 0.5, "bow")
			}
		}
		if rapid.Bool().Draw(r, "level given") {
			a.WaterLevel = max(0.15, a.Inside.Height*metres(0.7, 1, "level"))
		}
		if err := a.Check(); err != nil {
			r.Fatalf("answers within the bounds are refused: %v", err)
		}
		src, err := NewPlan(a)
		if err != nil {
			r.Fatalf("%v", err)
		}
		p, err := Parse(src, "new.yaml", nil)
		if err != nil {
			r.Fatalf("%v", err)
		}
		if p.Name != a.Name || p.Tank.Shape != a.Shape || len(p.CO2) > 0 != a.CO2 {
			r.Fatalf("the plan is of %q, %s", p.Name, p.Tank.Shape)
		}
		if math.Abs(float64(p.Tank.Inside.Height-a.Inside.Height)) > 1e-4 || math.Abs(unit.DGH(p.Water.Tap.Hardness-a.TapGH)) > 0.01 {
			r.Fatalf("measures changed: %v, %v", p.Tank.Inside, p.Water.Tap.Hardness)
		}
		if n := len(p.Plants); n < 6 || n > 10 {
			r.Fatalf("%d plantings", n)
		}
		again, err := NewPlan(a)
		if err != nil || string(again) != string(src) {
			r.Fatalf("the same answers give another plan")
		}
	})
}

func ExampleNewPlan() {
	src, err := NewPlan(Answers{
		Name: "Window seat", Shape: "box", Inside: Inside{Length: 60 * unit.CM, Width: 30 * unit.CM, Height: 36 * unit.CM},
		Light: "low", TapKH: unit.FromDKH(5), TapGH: unit.FromDGH(9),
	})
	fmt.Println(err, strings.Contains(string(src), `name: "Window seat"`))
	// Output: <nil> true
}
