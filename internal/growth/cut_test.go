package growth

import (
	"littoral/internal/plan"
	"math"
	"testing"
)

// A shaped cut leaves a slope that rises from front to back, or a dome that stands highest in its middle.
func TestCutToAShape(t *testing.T) {
	grown := func() *rig {
		return newRig(t, 0.6, 0.6, 0.6, plan.Planting{ID: "a", Species: "Hygrophila polysperma", Pots: 16, In: box(0, 0, 60, 60), Height: 0.5, Grown: "submersed"}).rich().start(0)
	}
	for _, c := range []struct {
		name  string
		shape Shape
		want  func(x, y float64) float64 // share of the rise, x and y from −1 to 1 over the group
	}{
		{"slope", Shape{Low: 0.12, Rise: 0.2}, func(_, y float64) float64 { return (y + 1) / 2 }},
		{"dome", Shape{Dome: true, Low: 0.12, Rise: 0.2}, func(x, y float64) float64 { return max(1-x*x-y*y, 0) }},
	} {
		r := grown()
		before := r.s.Stock()
		cut := r.s.TrimShape(0, "a", c.shape)
		x0, x1, y0, y1 := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
		for _, p := range r.s.States() {
			x0, x1, y0, y1 = min(x0, p.X), max(x1, p.X), min(y0, p.Y), max(y1, p.Y)
		}
		for _, p := range r.s.States() {
			x, y := (2*p.X-x0-x1)/(x1-x0), (2*p.Y-y0-y1)/(y1-y0)
			if want := 0.12 + 0.2*c.want(x, y); math.Abs(p.HeightM-want) > 1e-9 {
				t.Errorf("%s: at %.2f, %.2f it stands %.3f m high, want %.3f", c.name, x, y, p.HeightM, want)
			}
		}
		if left := r.s.Stock().Add(cut.Matter); math.Abs(left.C-before.C) > 1e-9*before.C || cut.Plants != 16 || cut.Minutes <= 0 || cut.FreshG <= 0 {
			t.Errorf("%s: the cut is told as %+v", c.name, cut)
		}
	}
}

// Replacing takes the poorest pots and their daughters out and sets new pots in their places, and the books close.
func TestReplacedPotsAreNewOnes(t *testing.T) {
	r := newRig(t, 0.8, 0.4, 0.4, plan.Planting{ID: "grass", Species: "Vallisneria spiralis", Pots: 4, In: box(0, 0, 80, 40), Grown: "submersed"}).rich().start(1).run(150)
	old := r.s.States()
	before := r.s.Stock()
	c := r.s.Replace(150, "grass", 0.5)
	after := r.s.Stock()
	if c.Plants != 2 || c.Minutes != 2*minutesReplace || c.FreshG <= 0 || len(c.Columns) == 0 {
		t.Fatalf("it is told as %+v", c)
	}
	came := after.Add(c.Matter).Add(before.Scale(-1))
	fresh := map[string]PlantState{}
	for _, p := range r.s.States() {
		if p.Born == 150 {
			fresh[p.ID] = p
		}
	}
	want := Matter{}
	for i := range r.s.plants {
		if p := &r.s.plants[i]; p.born == 150 {
			want = want.Add(p.matter())
		}
	}
	if len(fresh) != 2 || math.Abs(came.C-want.C) > 1e-9*before.C || math.Abs(came.N-want.N) > 1e-9*before.N {
		t.Errorf("%d new pots bring %+v, the books say %+v", len(fresh), want, came)
	}
	for id, p := range fresh {
		stood := false
		for _, q := range old {
			stood = stood || q.X == p.X && q.Y == p.Y
			if q.ID == id {
				t.Errorf("the new pot takes the name %s of an old one", id)
			}
		}
		if !stood {
			t.Errorf("%s stands where nothing stood", id)
		}
	}
	r.books = r.books.Add(came).Add(c.Matter.Scale(-1))
	r.run(30)
	r.balanced()
	if none := r.s.Replace(180, "Anubias barteri", 1); none.Plants != 0 {
		t.Error("what does not stand there was replaced")
	}
}
