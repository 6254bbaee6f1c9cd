package growth

import (
	"fmt"
	"littoral/internal/check"
	"littoral/internal/plan"
	"math"
	"testing"
)

// Reds come with light and with lean nitrogen, and take about two weeks to turn; green plants stay green.
func TestRedComesWithLightAndLeanNitrogen(t *testing.T) {
	red := func(name string, i0, n float64, days int) float64 {
		r := newRig(t, 0.4, 0.4, 0.3, plan.Planting{ID: "a", Species: name, Pots: 1, At: []plan.PointCM{{20, 20}}, Grown: "submersed"})
		r.i0, r.n = i0, n
		return r.start(0).run(days).find("a/1").Red
	}
	dim, bright, lean := red("Rotala rotundifolia", 35, 2, 60), red("Rotala rotundifolia", 150, 2, 60), red("Rotala rotundifolia", 150, 0.02, 60)
	if dim > 0.25 || bright < 0.45 || lean < 1.1*bright || lean > 1 {
		t.Errorf("red is %.2f in dim light, %.2f in bright light and %.2f there with little nitrogen", dim, bright, lean)
	}
	week := red("Rotala rotundifolia", 150, 2, 7)
	if start := 0.5; math.Abs(week-start) > 0.6*math.Abs(bright-start)+0.02 {
		t.Errorf("after a week red stands at %.2f of the %.2f it comes to", week, bright)
	}
	if x := red("Hygrophila corymbosa", 150, 0.02, 60); x != 0 {
		t.Errorf("a green plant is %.2f red", x)
	}
	check.Record(t, check.Row{Room: "growth", What: "redness of Rotala at 35 and 150 µmol, and at 150 with little nitrogen, of its reddest", Source: practice + "; red wants 80 to 100 µmol at the leaf, and is deeper where little nitrate is dosed", Worst: fmt.Sprintf("%.2f, %.2f, %.2f", dim, bright, lean), Within: "under 0.25, over 0.45, a tenth more"})
}

// A bulb draws in its leaves, rests for its weeks, and comes again out of its reserve.
func TestBulbsRestAndComeAgain(t *testing.T) {
	r := newRig(t, 0.5, 0.5, 0.5, plan.Planting{ID: "a", Species: "Aponogeton ulvaceus", Pots: 1, At: []plan.PointCM{{25, 25}}, Grown: "submersed"}).rich()
	r.i0 = 120
	r.start(1)
	begun, over := -1, -1
	grown, root, least := 0.0, 0.0, math.Inf(1)
	for r.day < 420 && (over < 0 || r.day < over+60) {
		res := r.step()
		p := &r.s.plants[0]
		switch {
		case len(res.RestBegun) > 0 && begun < 0:
			begun, root = r.day, p.root
			grown = p.shoot
		case len(res.RestOver) > 0 && over < 0:
			over = r.day
		case begun > 0 && over < 0:
			least = min(least, p.leaves)
			if r.day > begun+25 && !(p.resting && p.gross == 0) {
				t.Fatalf("on day %d of its rest it grows", r.day-begun)
			}
		}
	}
	r.balanced()
	t.Logf("rest from day %d to %d, %.1f leaves left, bulb and roots %.2f g", begun, over, least, root)
	if begun < 150 || begun > 330 || over-begun < 42+drawDays || over-begun > 120+drawDays {
		t.Errorf("it rests from day %d to day %d", begun, over)
	}
	if least > 1 {
		t.Errorf("it keeps %.1f leaves", least)
	}
	if p := r.find("a/1"); p.Resting || p.ShootG < 0.25*grown {
		t.Errorf("two months after its rest it weighs %.2f g, %.2f before", p.ShootG, grown)
	}
	check.Record(t, check.Row{Room: "growth", What: "Aponogeton ulvaceus: day on which it goes to rest, weeks until it grows again", Source: practice, Worst: fmt.Sprintf("%d, %.0f", begun, float64(over-begun)/7), Within: "150 to 330, 9 to 20"})
	// Most bulbs and all other plants of the tank never rest.
	if x := newRig(t, 0.5, 0.5, 0.5, plan.Planting{ID: "a", Species: "Crinum thaianum", Pots: 1, At: []plan.PointCM{{25, 25}}, Grown: "submersed"}).rich().start(0).run(500).find("a/1"); x.Resting || x.Leaves < 2 {
		t.Errorf("Crinum stands with %.1f leaves after 500 days", x.Leaves)
	}
}

// A mat that is never sheared lifts some weeks after it has shut out the light from its base; one that is sheared every four weeks stays.
func TestThickMatsLift(t *testing.T) {
	mat := func(shear int) (lifts []int, closed int, thick float64) {
		r := newRig(t, 0.6, 0.4, 0.3, plan.Planting{ID: "a", Species: "Micranthemum tweediei", Pots: 14, In: box(0, 0, 60, 40), Grown: "in-vitro"}).rich()
		r.i0 = 120
		r.start(1)
		for r.day < 240 {
			if shear > 0 && r.day > 49 && r.day%shear == 0 {
				c := r.s.Trim(r.day, "Micranthemum tweediei", 0.015, 0)
				r.books = r.books.Add(c.Matter.Scale(-1))
			}
			res := r.step()
			if closed == 0 && r.s.Cover() > 0.9 {
				closed = r.day
			}
			for range res.Lifted {
				if len(lifts) == 0 {
					for i := range r.s.plants {
						thick = max(thick, r.s.plants[i].h)
					}
				}
				lifts = append(lifts, r.day)
			}
		}
		r.balanced()
		return lifts, closed, thick
	}
	lifts, closed, thick := mat(0)
	if len(lifts) == 0 {
		t.Fatal("a mat that is never sheared stays for eight months")
	}
	after := float64(lifts[0]-closed) / 7
	t.Logf("closed on day %d, first patch lifts on day %d, mat %.1f cm; %d patches in eight months", closed, lifts[0], 100*thick, len(lifts))
	if after < 5 || after > 20 || thick < 0.03 || thick > 0.08 {
		t.Errorf("it lifts %.1f weeks after it has closed, %.1f cm thick", after, 100*thick)
	}
	check.Record(t, check.Row{Room: "growth", What: "mat of Micranthemum tweediei never sheared, 120 µmol: weeks from closed to the first patch that lifts, and its thickness, cm", Source: practice + "; 5 cm and 11 weeks after the last shear in one story of the trade", Worst: fmt.Sprintf("%.0f, %.1f", after, 100*thick), Within: "5 to 20, 3 to 8"})
	if sheared, _, _ := mat(28); len(sheared) > 0 {
		t.Errorf("sheared every four weeks it still lifts on day %d", sheared[0])
	}
}

// A grown sword puts up flower stalks whose plantlets root on free ground; where its leaves are tidied the stalks go.
func TestSwordsMakePlantlets(t *testing.T) {
	run := func(tidy bool) (hung float64, plants int) {
		r := newRig(t, 1.0, 0.6, 0.6, plan.Planting{ID: "a", Species: "Aquarius grisebachii", Pots: 1, At: []plan.PointCM{{50, 30}}, Height: 0.4, Spread: 0.35, Grown: "submersed"}).rich()
		r.start(1)
		for r.day < 400 {
			if tidy && r.day%28 == 27 {
				c := r.s.OuterLeaves(r.day, "Aquarius grisebachii", 0.05)
				r.books = r.books.Add(c.Matter.Scale(-1))
			}
			r.step()
			hung = max(hung, r.find("a/1").Plantlets)
		}
		r.balanced()
		return hung, r.s.Len()
	}
	hung, plants := run(false)
	if hung < 2 || hung > 8 || plants < 2 || plants > 12 {
		t.Errorf("a sword carries up to %.0f plantlets, and %d plants stand after a year", hung, plants)
	}
	check.Record(t, check.Row{Room: "growth", What: "plantlets on the flower stalk of a sword; swords that stand after a year", Source: practice, Worst: fmt.Sprintf("%.0f; %d", hung, plants), Within: "2 to 8; 2 to 12"})
	if _, n := run(true); n != 1 {
		t.Errorf("where stalks are taken off, %d swords stand", n)
	}
}

// Epiphytes creep along what they sit on, and ferns carry plantlets on their old leaves.
func TestEpiphytesCreep(t *testing.T) {
	for _, c := range []struct {
		name      string
		lo, hi    float64 // cm a year
		plantlets bool
	}{{"Anubias barteri var. nana", 3, 15, false}, {"Leptochilus pteropus", 6, 30, true}} {
		r := newRig(t, 0.5, 0.5, 0.4, plan.Planting{ID: "a", Species: c.name, Pots: 1, At: []plan.PointCM{{25, 25}}, Grown: "submersed"}).rich()
		r.i0 = 60
		r.start(0)
		before := r.find("a/1").LengthM
		r.run(364)
		p, after := r.find("a/1"), 0.0
		for _, q := range r.s.States() { // with the pieces that have parted
			after += q.LengthM
		}
		if crept := 100 * (after - before); crept < c.lo || crept > c.hi {
			t.Errorf("%s creeps %.1f cm in a year, want %g to %g", c.name, crept, c.lo, c.hi)
		} else {
			check.Record(t, check.Row{Room: "growth", What: "rhizome of " + c.name + ", cm a year at 60 µmol", Source: practice, Worst: fmt.Sprintf("%.1f", crept), Within: fmt.Sprintf("%g to %g", c.lo, c.hi)})
		}
		if (p.Plantlets > 0) != c.plantlets {
			t.Errorf("%s carries %.0f plantlets", c.name, p.Plantlets)
		}
	}
}

// What can be counted adds up: leaves come at the rate told and die at the life told; internodes lengthen in dim light; shaded feet of stems go bare.
func TestWhatCanBeCounted(t *testing.T) {
	stems := func(i0 float64, pots int) PlantState {
		r := newRig(t, 0.4, 0.4, 0.5, plan.Planting{ID: "a", Species: "Hygrophila polysperma", Pots: pots, In: box(5, 5, 35, 35), Grown: "submersed"}).rich()
		r.i0 = i0
		return r.start(0).run(42).find("a/1")
	}
	bright, dim := stems(160, 1), stems(35, 1)
	if bright.InternodeM < 0.008 || bright.InternodeM > 0.05 || dim.InternodeM < 1.2*bright.InternodeM || dim.InternodeM > 3*bright.InternodeM {
		t.Errorf("internodes are %.1f mm in bright light and %.1f in dim", 1000*bright.InternodeM, 1000*dim.InternodeM)
	}
	check.Record(t, check.Row{Room: "growth", What: "internodes of Hygrophila polysperma at 160 and at 35 µmol, mm", Source: practice, Worst: fmt.Sprintf("%.0f, %.0f", 1000*bright.InternodeM, 1000*dim.InternodeM), Within: "8 to 50; a fifth longer or more in dim light"})
	if dense := stems(120, 12); dense.BareM < 0.02 || dense.Leaves >= dense.Stems*dense.Nodes {
		t.Errorf("in a dense stand the foot is bare over %.1f cm, with %.0f of %.0f leaves", 100*dense.BareM, dense.Leaves, dense.Stems*dense.Nodes)
	}

	// Leaves counted, made and lost agree with the life told.
	r := newRig(t, 0.5, 0.5, 0.4, plan.Planting{ID: "a", Species: "Cryptocoryne wendtii", Pots: 1, At: []plan.PointCM{{25, 25}}, Grown: "submersed"}).rich()
	r.i0 = 60
	r.start(0).run(200)
	first := r.find("a/1")
	if first.LeafRate < 0.2 || first.LeafRate > 1.2 || first.LeafLife < 110 || first.LeafLife > 400 {
		t.Errorf("a crypt makes %.2f leaves a week that live %.0f days", first.LeafRate, first.LeafLife)
	}
	made, held, life := 0.0, 0.0, 0.0
	for range 200 {
		r.step()
		p := r.find("a/1")
		made += p.LeafRate / 7
		held += p.Leaves
		life += p.LeafLife / 200
	}
	lost := made - (r.find("a/1").Leaves - first.Leaves)
	t.Logf("%.1f leaves made, %.1f lost; %.0f days each, told as %.0f", made, lost, held/lost, life)
	if lived := held / lost; lived < 0.6*life || lived > 1.7*life {
		t.Errorf("leaves of a crypt live %.0f days by their count, and are told to live %.0f", lived, life)
	}

	v := newRig(t, 1.0, 0.5, 0.4, plan.Planting{ID: "a", Species: "Vallisneria spiralis", Pots: 1, At: []plan.PointCM{{50, 25}}, Grown: "submersed"}).rich().start(1).run(150)
	made = 0
	for _, p := range v.s.States() {
		made += p.Daughters
		if p.Runners != p.Daughters {
			t.Errorf("%s has %.0f daughters on %.0f runners", p.ID, p.Daughters, p.Runners)
		}
	}
	if n := v.s.Len(); int(made) != n-1 || n < 4 {
		t.Errorf("%d plants stand where %.0f daughters were told", n, made)
	}
}

// Stems that are never cut reach the surface, bend over and lie along it, and take the light of what stands under them.
func TestUncutStemsCarpetTheSurface(t *testing.T) {
	low := plan.Planting{ID: "low", Species: "Cryptocoryne wendtii", Pots: 4, In: box(5, 5, 45, 35), Grown: "submersed"}
	r := newRig(t, 0.5, 0.4, 0.35, low, plan.Planting{ID: "stems", Species: "Hygrophila polysperma", Pots: 6, In: box(5, 5, 45, 35), Grown: "submersed"}).rich().start(1)
	before := r.find("low/1").PPFD
	r.run(120)
	p, under := r.find("stems/1"), r.find("low/1")
	if math.Abs(p.HeightM-0.35) > 1e-9 || p.LengthM < 1.3*p.HeightM || p.SpreadM < 0.2 {
		t.Errorf("after four months a stem is %.2f m long, %.2f m high and %.2f m wide in 0.35 m of water", p.LengthM, p.HeightM, p.SpreadM)
	}
	if under.PPFD > 0.3*before || under.Shader != "stems" {
		t.Errorf("under them %.0f µmol are left of %.0f, taken by %q", under.PPFD, before, under.Shader)
	}
}
