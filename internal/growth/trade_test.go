package growth

import (
	"fmt"
	"littoral/internal/catalog"
	"littoral/internal/check"
	"littoral/internal/plan"
	"math"
	"testing"
)

const practice = "common practice, no source"

// closes gives the week in which a planting first hides the share of the ground, or 99.
func closes(r *rig, share float64, weeks int) float64 {
	for range 7 * weeks {
		r.step()
		if r.day%3 == 0 && r.s.Cover() >= share {
			return float64(r.day) / 7
		}
	}
	return 99
}

// carpet is a tank whose ground is all carpet, at pots per m².
func carpet(t testing.TB, name string, pots float64, ppfd, co2 float64) *rig {
	r := newRig(t, 0.8, 0.5, 0.3, plan.Planting{ID: "a", Species: name, Pots: int(math.Round(pots * 0.4)), In: box(0, 0, 80, 50), Grown: "in-vitro"})
	r.i0, r.co2 = ppfd*math.Exp(0.2*0.28), co2
	return r.rich().start(1)
}

// Closed means nine tenths hidden, as a practitioner would say with a few gaps left.
func TestCarpetCloses(t *testing.T) {
	lo, hi := 99.0, 0.0
	for _, c := range []struct {
		name     string
		pots     float64
		ppfd     float64
		co2      float64
		from, to float64
	}{
		{"Glossostigma elatinoides", 50, 100, 25, 4, 10},
		{"Eleocharis acicularis", 60, 100, 25, 4, 10},
		{"Micranthemum tweediei", 60, 100, 25, 4, 10},
		{"Hydrocotyle tripartita", 60, 100, 25, 2.5, 10}, // a very fast one
		{"Micranthemum callitrichoides", 70, 120, 25, 4, 10},
	} {
		w := closes(carpet(t, c.name, c.pots, c.ppfd, c.co2), 0.9, 20)
		t.Logf("%s: week %.1f", c.name, w)
		if w < c.from || w > c.to {
			t.Errorf("%s at %g µmol and %g mg/L CO2 closes in week %.1f, want %g to %g", c.name, c.ppfd, c.co2, w, c.from, c.to)
		}
		lo, hi = min(lo, w), max(hi, w)
	}
	check.Record(t, check.Row{Room: "growth", What: "weeks until a carpet closes, 100–120 µmol for 8 h, 25 mg/L CO2, 50–70 pots/m²", Source: practice, Worst: fmt.Sprintf("%.1f to %.1f", lo, hi), Within: "4 to 10 (a very fast one from 2.5)"})
}

func TestCarpetMedium(t *testing.T) {
	lo, hi := 99.0, 0.0
	for _, name := range []string{"Eleocharis acicularis", "Helanthium tenellum", "Glossostigma elatinoides"} {
		w := closes(carpet(t, name, 50, 50, 8), 0.9, 30)
		t.Logf("%s: week %.1f", name, w)
		if w < 7 || w > 18 {
			t.Errorf("%s in medium light closes in week %.1f, want 8 to 16", name, w)
		}
		lo, hi = min(lo, w), max(hi, w)
	}
	check.Record(t, check.Row{Room: "growth", What: "weeks until a carpet closes, 50 µmol for 8 h, 8 mg/L CO2, 50 pots/m²", Source: practice, Worst: fmt.Sprintf("%.1f to %.1f", lo, hi), Within: "8 to 16, a week or two either way"})
}

// Half the density closes later by the time that a doubling takes, and without CO2 the same tank grows a third or less.
func TestDensityAndCO2(t *testing.T) {
	full := closes(carpet(t, "Eleocharis acicularis", 60, 100, 25), 0.9, 30)
	half := closes(carpet(t, "Eleocharis acicularis", 30, 100, 25), 0.9, 30)
	if half < 1.2*full || half > 3*full {
		t.Errorf("half the pots close in week %.1f, all in week %.1f", half, full)
	}
	check.Record(t, check.Row{Room: "growth", What: "half the pots close later, factor", Source: practice, Worst: fmt.Sprintf("%.2f", half/full), Within: "1.2 to 3"})
	gain := func(co2 float64) float64 {
		r := newRig(t, 0.6, 0.4, 0.5, plan.Planting{ID: "a", Species: "Rotala rotundifolia", Pots: 10, In: box(0, 0, 60, 40), Grown: "submersed"}).rich()
		r.co2 = co2
		r.start(1).run(14)
		g, _ := r.s.DryMass()
		r.run(28)
		h, _ := r.s.DryMass()
		return math.Log(h / g)
	}
	with, without := gain(25), gain(3)
	if q := without / with; q < 0 || q > 0.5 {
		t.Errorf("without CO2 stems grow at %.2f of the rate with it", q)
	}
	check.Record(t, check.Row{Room: "growth", What: "growth of fast stems at 3 mg/L CO2 over that at 25 mg/L", Source: practice, Worst: fmt.Sprintf("%.2f", without/with), Within: "0 to 0.5"})
}

// stemsReach cuts a group of stems again and again and returns the mean days between cuts and the mean elongation in cm a week.
func stemsReach(t testing.TB, name string, pots int, ppfd, co2 float64) (days, perWeek float64) {
	r := newRig(t, 0.6, 0.4, 0.5, plan.Planting{ID: "a", Species: name, Pots: pots, In: box(0, 0, 60, 40), Grown: "submersed"}).rich()
	r.i0, r.co2 = ppfd, co2
	r.start(1)
	top := 2.0 / 3 * species(t, name).HeightCM.Max / 100
	var cuts []int
	grown, over := 0.0, 0
	for range 200 {
		before := r.s.plants[0].length
		r.step()
		if r.day > 28 {
			grown += r.s.plants[0].length - before
			over++
		}
		mean := 0.0
		for i := range r.s.plants {
			mean += r.s.plants[i].length / float64(len(r.s.plants))
		}
		if mean > top {
			r.s.Trim(r.day, name, 0.5*top, 0)
			cuts = append(cuts, r.day)
		}
	}
	if len(cuts) < 3 {
		return 999, grown / float64(over) * 700
	}
	return float64(cuts[len(cuts)-1]-cuts[1]) / float64(len(cuts)-2), grown / float64(over) * 700
}

func TestStemsReachTrimHeight(t *testing.T) {
	for _, c := range []struct {
		class    string
		names    []string
		pots     int
		lo, hi   float64 // weeks between cuts
		slow, up float64 // cm/week
	}{
		{"fast", []string{"Rotala rotundifolia", "Hygrophila polysperma", "Limnophila sessiliflora"}, 12, 1, 3.5, 4, 15},
		{"medium", []string{"Bacopa caroliniana", "Alternanthera reineckii", "Rotala macrandra"}, 10, 2.5, 6, 1.5, 6},
	} {
		lo, hi, slow, up := 99.0, 0.0, 99.0, 0.0
		for _, name := range c.names {
			d, e := stemsReach(t, name, c.pots, 150, 25)
			t.Logf("%s: every %.1f weeks, %.1f cm a week", name, d/7, e)
			if d/7 < c.lo || d/7 > c.hi {
				t.Errorf("%s wants a cut every %.1f weeks, want %g to %g", name, d/7, c.lo, c.hi)
			}
			if e < c.slow || e > c.up {
				t.Errorf("%s grows %.1f cm a week, want %g to %g", name, e, c.slow, c.up)
			}
			lo, hi, slow, up = min(lo, d/7), max(hi, d/7), min(slow, e), max(up, e)
		}
		check.Record(t, check.Row{Room: "growth", What: c.class + " stems: weeks from a cut to half back to trim height", Source: practice, Worst: fmt.Sprintf("%.1f to %.1f", lo, hi), Within: fmt.Sprintf("%g to %g", c.lo, c.hi)})
		check.Record(t, check.Row{Room: "growth", What: c.class + " stems: cm a week under regular cuts", Source: practice, Worst: fmt.Sprintf("%.1f to %.1f", slow, up), Within: fmt.Sprintf("%g to %g", c.slow, c.up)})
	}
	// In low light without CO2 stems want the scissors a few times a year.
	d, _ := stemsReach(t, "Bacopa monnieri", 8, 40, 4)
	t.Logf("low light: every %.0f days", d)
	if d < 60 {
		t.Errorf("in low light without CO2 a cut is due every %.0f days", d)
	}
}

// A rhizome plant makes a leaf for each growing tip in 3 to 6 weeks, up to 8 in poor conditions.
func TestAnubiasLeaves(t *testing.T) {
	worst := [2]float64{99, 0}
	for _, c := range []struct {
		name           string
		ppfd, co2, k   float64
		slowest, quick float64
	}{{"good", 50, 20, 1, 6, 2.8}, {"usual", 30, 10, 1, 7, 3}, {"poor", 20, 4, 1, 9, 3.5}} {
		r := newRig(t, 0.4, 0.4, 0.3, plan.Planting{ID: "a", Species: "Anubias barteri var. nana", Pots: 1, At: []plan.PointCM{{20, 20}}, Grown: "submersed"}).rich()
		r.i0, r.co2 = c.ppfd, c.co2
		r.start(0).run(120)
		p := &r.s.plants[0]
		made, tips := 0.0, 0.0
		for range 180 {
			shoot, leaves := p.shoot, p.leaves
			r.step()
			// New leaves are the change of the count plus those that died with the mass shed.
			pace := clamp(p.gross*p.lim.CO2/p.fit/(shoot*(p.t.rgr+p.t.resp)), 0, 1.2)
			tips = max(1, math.Sqrt(p.shoot/p.t.pot))
			made += p.t.leavesTip * pace
			_ = leaves
		}
		weeks := 180 / 7.0 / made
		t.Logf("%s: a leaf per tip in %.1f weeks, %.1f tips, %.1f leaves", c.name, weeks, tips, p.leaves)
		if weeks < c.quick || weeks > c.slowest {
			t.Errorf("in %s conditions a leaf takes %.1f weeks, want %g to %g", c.name, weeks, c.quick, c.slowest)
		}
		worst = [2]float64{min(worst[0], weeks), max(worst[1], weeks)}
	}
	check.Record(t, check.Row{Room: "growth", What: "weeks for a leaf of a growing tip of Anubias, good to poor conditions", Source: practice, Worst: fmt.Sprintf("%.1f to %.1f", worst[0], worst[1]), Within: "about 3 to 8"})
}

// A big sword in a rich, lit tank reaches about 60 cm both ways within half a year to a year.
func TestSwordReaches(t *testing.T) {
	for _, name := range []string{"Aquarius grisebachii", "Aquarius major"} {
		r := newRig(t, 1.2, 0.8, 0.65, plan.Planting{ID: "a", Species: name, Pots: 1, At: []plan.PointCM{{60, 40}}}).rich()
		r.i0 = 110
		r.start(0)
		first := r.find("a/1")
		r.run(60)
		early := r.find("a/1")
		r.run(210)
		p := r.find("a/1")
		t.Logf("%s: %.0f cm as bought, %.0f cm at two months, at nine months %.0f cm high and %.0f cm wide, %.0f leaves", name, first.HeightM*100, early.HeightM*100, p.HeightM*100, p.SpreadM*100, p.Leaves)
		if first.HeightM > 0.35 || p.HeightM < 0.45 || p.SpreadM < 0.38 || p.SpreadM > 0.85 {
			t.Errorf("%s comes from %.2f m to %.2f m high and %.2f m wide", name, first.HeightM, p.HeightM, p.SpreadM)
		}
		check.Record(t, check.Row{Room: "growth", What: name + ": height and spread after nine months in a rich, lit tank, cm", Source: practice, Worst: fmt.Sprintf("%.0f by %.0f", p.HeightM*100, p.SpreadM*100), Within: "about 60 both ways (45 high and 38 to 85 wide)"})
	}
}

// Crypts melt between day 3 and 14 and stand on new leaves two to four weeks later, from their roots.
func TestCryptMelt(t *testing.T) {
	r := newRig(t, 0.4, 0.4, 0.4, plan.Planting{ID: "a", Species: "Cryptocoryne wendtii", Pots: 1, At: []plan.PointCM{{20, 20}}}).rich()
	r.i0 = 60
	r.start(0)
	begun, over := -1, -1
	low, lowDay := math.Inf(1), 0
	for range 60 {
		res := r.step()
		if len(res.MeltBegun) > 0 {
			begun = r.day - 1
		}
		if len(res.MeltOver) > 0 {
			over = r.day - 1
		}
		if l := r.s.plants[0].leaves; l < low {
			low, lowDay = l, r.day
		}
	}
	start := newRig(t, 0.4, 0.4, 0.4, r.p.Plants...).start(0).s.plants[0]
	if begun < 3 || begun > 14 || lowDay < 5 || lowDay > 18 || low > 0.6*start.leaves {
		t.Errorf("melt begins on day %d and is deepest on day %d with %.1f of %.1f leaves", begun, lowDay, low, start.leaves)
	}
	if over < 12 || over > 45 {
		t.Errorf("the melt is called over on day %d", over)
	}
	again := newRig(t, 0.4, 0.4, 0.4, r.p.Plants...).rich()
	again.i0 = 60
	again.start(0).run(lowDay + 28)
	if l := again.s.plants[0].leaves; l < low+1 {
		t.Errorf("four weeks after the melt it has %.1f leaves, %.1f at its lowest", l, low)
	}
	check.Record(t, check.Row{Room: "growth", What: "melt of Cryptocoryne: first day, deepest day", Source: practice, Worst: fmt.Sprintf("%d, %d", begun, lowDay), Within: "3 to 14, 5 to 18"})
	// A plant grown submersed loses much less.
	sub := r.p.Plants[0]
	sub.Grown = "submersed"
	q := newRig(t, 0.4, 0.4, 0.4, sub).rich()
	q.i0 = 60
	q.start(0).run(15)
	if q.find("a/1").ShootG < 0.75*start.shoot {
		t.Error("a submersed pot melts like an emersed one")
	}
}

// No rooted submersed species grows faster than the fastest of Nielsen & Sand-Jensen's fourteen under their conditions, nor half as
// fast again at 25 °C.
func TestGrowthEnvelope(t *testing.T) {
	worst := [2]float64{}
	slowest := 1.0
	all := catalog.Default().AllSpecies()
	for i := range all {
		sp := &all[i]
		if sp.Form == catalog.Floating || sp.Form == catalog.Moss {
			continue
		}
		for k, c := range []struct{ temp, hours, ppfd, limit float64 }{{15, 16, 250, 0.109}, {25, 14, 250, 0.109 * 1.5}} {
			r := newRig(t, 0.6, 0.6, 0.4, plan.Planting{ID: "a", Species: sp.Name, Pots: 1, At: []plan.PointCM{{30, 30}}, Grown: "submersed"}).rich()
			r.temp, r.hours, r.i0, r.co2, r.every = c.temp, c.hours, c.ppfd, 60, 5
			r.start(0)
			r.s.plants[0].settled = true
			r.s.plants[0].em = 0
			r.run(5)
			a, b := r.s.DryMass()
			r.run(10)
			x, y := r.s.DryMass()
			g := math.Log((x+y)/(a+b)) / 10
			if g > c.limit {
				t.Errorf("%s grows by %.3f a day at %g °C, more than %.3f", sp.Name, g, c.temp, c.limit)
			}
			worst[k] = max(worst[k], g)
			if k == 1 {
				slowest = min(slowest, g)
			}
		}
	}
	t.Logf("fastest %.3f at 15 °C, %.3f at 25 °C; slowest at 25 °C %.4f", worst[0], worst[1], slowest)
	if slowest < 0.001 {
		t.Errorf("the slowest species grows by %.4f a day in the best of conditions", slowest)
	}
	check.Record(t, check.Row{Room: "growth", What: "fastest growth of any rooted species at 15 °C, 14.4 mol/(m² d), rich in carbon, 1/day", Source: "Nielsen & Sand-Jensen 1991, 14 species: 0.007–0.109", Worst: fmt.Sprintf("%.3f", worst[0]), Within: "at most 0.109"})
}

// Duckweed under the conditions of OECD 221 doubles in less than 2.5 days, free on open water.
func TestDuckweedDoubles(t *testing.T) {
	r := newRig(t, 1.0, 1.0, 0.1, plan.Planting{ID: "a", Species: "Lemna minor", Pots: 1, Afloat: true})
	r.temp, r.i0, r.hours, r.n, r.p0, r.every = 24, 110, 24, 20, 4, 1
	r.start(0).run(4)
	a := r.s.Stock().C
	r.run(7)
	days := 7 * math.Ln2 / math.Log(r.s.Stock().C/a)
	if days >= 2.5 {
		t.Errorf("duckweed doubles in %.2f days, want less than 2.5", days)
	}
	check.Record(t, check.Row{Room: "growth", What: "doubling time of duckweed, 24 °C, 110 µmol, day and night", Source: "validity rule of OECD 221: below 2.5 days", Memory: true, Worst: fmt.Sprintf("%.2f days", days), Within: "below 2.5 days"})
}

// A heavily planted, brightly lit tank takes 1 to 4 mg/L nitrate a day.
func TestNitrateUptake(t *testing.T) {
	// 200 × 90 × 55 cm, about 1000 L, nearly all of the ground planted, three months old and cut every fortnight.
	r := newRig(t, 2.0, 0.9, 0.55,
		plan.Planting{ID: "stems", Species: "Rotala rotundifolia", Pots: 40, In: box(0, 50, 200, 90)},
		plan.Planting{ID: "hygro", Species: "Hygrophila corymbosa", Pots: 10, In: box(0, 60, 200, 90)},
		plan.Planting{ID: "carpet", Species: "Glossostigma elatinoides", Pots: 36, In: box(0, 0, 200, 30)},
		plan.Planting{ID: "crypts", Species: "Cryptocoryne wendtii", Pots: 10, In: box(0, 30, 200, 50)})
	r.i0, r.hours = 200, 9
	r.start(1) // bare bed: all comes from the water
	took, fixed, photons := 0.0, 0.0, 0.0
	for range 120 {
		if r.day%14 == 13 {
			r.s.Trim(r.day, "", 0, 0)
		}
		r.step()
		if r.day > 60 {
			took += r.tookN
			fixed += r.last.GrowthG + r.last.RespiredC/carbonPerGram
			photons += r.i0 * 3.6e-3 * (r.hours - 0.5) * 2.0 * 0.9
		}
	}
	yield := fixed * carbonPerGram / 1000 / photons
	t.Logf("%.1f g/m² a day, %.3f mol C for a mol of photons", fixed/60/1.8, yield)
	if yield > 0.08 {
		t.Errorf("the stand fixes %.3f mol C for each mol of photons on the water", yield)
	}
	check.Record(t, check.Row{Room: "growth", What: "carbon fixed by a closed stand for the light on the water, mol/mol", Source: "eight photons for each carbon, 0.125; leaves reach about 0.08 (Kirk 1994)", Memory: true, Worst: fmt.Sprintf("%.3f", yield), Within: "at most 0.08"})
	litre := 2.0 * 0.9 * 0.55 * 1000
	perDay := took / 60 / litre * 62.005 / 14.007
	shoot, root := r.s.DryMass()
	t.Logf("%.2f mg/L nitrate a day, stand %.0f g dry", perDay, shoot+root)
	if perDay < 1 || perDay > 4 {
		t.Errorf("it takes %.2f mg/L nitrate a day, want 1 to 4", perDay)
	}
	check.Record(t, check.Row{Room: "growth", What: "nitrate taken by a heavily planted, brightly lit tank of 1000 L, mg/L a day", Source: practice, Worst: fmt.Sprintf("%.2f", perDay), Within: "1 to 4"})
}

// A floating cover shows below within weeks.
func TestFloatingCoverShades(t *testing.T) {
	one := plan.Planting{ID: "self", Species: "Rotala rotundifolia", Pots: 4, In: box(0, 0, 40, 40), Grown: "submersed"}
	open := newRig(t, 0.4, 0.4, 0.4, one).rich().start(0).run(42)
	under := newRig(t, 0.4, 0.4, 0.4, one, plan.Planting{ID: "cover", Species: "Salvinia natans", Pots: 6, Afloat: true}).rich().start(0).run(42)
	a, b := 0.0, 0.0
	for _, p := range open.s.States() {
		a += p.ShootG
	}
	for _, p := range under.s.States() {
		if p.Planting == "self" {
			b += p.ShootG
		}
	}
	if b > 0.7*a {
		t.Errorf("after six weeks stems under a floating cover weigh %.2f g, in the open %.2f g", b, a)
	}
	check.Record(t, check.Row{Room: "growth", What: "stems after six weeks under floating plants that close over them, of those in the open", Source: practice, Worst: fmt.Sprintf("%.2f", b/a), Within: "at most 0.7"})
}

// An epiphyte takes nothing from the bed: a rich bed and no nutrients in the water leave it hungry, and in lean water it grows on a rich bed as it does on sand.
func TestEpiphyteTakesNothingFromBed(t *testing.T) {
	grown := func(rich bool) float64 {
		r := newRig(t, 0.4, 0.4, 0.4, plan.Planting{ID: "a", Species: "Microsorum pteropus", Pots: 1, At: []plan.PointCM{{20, 20}}, Grown: "submersed"})
		if rich {
			r.rich()
		}
		r.n, r.p0 = 0.05, 0.005
		shoot, root := r.start(0).run(240).s.DryMass()
		return shoot + root
	}
	sand, soil := grown(false), grown(true)
	if math.Abs(soil/sand-1) > 1e-12 {
		t.Errorf("in lean water an epiphyte comes to %.4f g over rich soil and to %.4f g over sand", soil, sand)
	}
	check.Record(t, check.Row{Room: "growth", What: "an epiphyte over a bed with root tablets against one over sand, 240 days in lean water", Source: "plants tied on have no roots in the bed; " + practice, Worst: fmt.Sprintf("%.1g", math.Abs(soil/sand-1)), Within: "1e-12"})
	r := newRig(t, 0.4, 0.4, 0.4, plan.Planting{ID: "a", Species: "Microsorum pteropus", Pots: 1, At: []plan.PointCM{{20, 20}}}).rich()
	r.n, r.p0, r.k = 0, 0, false
	r.start(0)
	for range 20 {
		r.step()
		if r.tookN != 0 || len(r.s.day.demand.Root) != 0 {
			t.Fatalf("it took %.3g mg N and asked %d columns", r.tookN, len(r.s.day.demand.Root))
		}
	}
}

// Replanting tops leaves plants of the stated length with green feet that grow on; short plants are left alone.
func TestReplantedTopsGrowOn(t *testing.T) {
	r := newRig(t, 0.4, 0.4, 0.5, plan.Planting{ID: "a", Species: "Hygrophila polysperma", Pots: 4, In: box(5, 5, 35, 35)}).rich().start(0).run(60)
	before := r.find("a/1")
	c := r.s.ReplantTops(60, "Hygrophila polysperma", 0.1)
	if before.LengthM < 0.2 || c.Plants != 4 || c.FreshG <= 0 {
		t.Fatalf("%d plants of %.2f m were taken up, %.1f g wet", c.Plants, before.LengthM, c.FreshG)
	}
	r.books = r.books.Add(c.Matter.Scale(-1))
	r.balanced()
	after := r.find("a/1")
	if math.Abs(after.LengthM-0.1) > 1e-9 || after.BareM != 0 || after.RootG != 0 || after.ShootG >= 0.6*before.ShootG {
		t.Errorf("a top is %.3f m long, bare over %.3f m, with %.2f g of roots and %.2f g of %.2f g of shoot", after.LengthM, after.BareM, after.RootG, after.ShootG, before.ShootG)
	}
	if again := r.s.ReplantTops(60, "Hygrophila polysperma", 0.1); again.Plants != 0 {
		t.Errorf("%d fresh tops were taken up again", again.Plants)
	}
	r.run(42)
	r.balanced()
	if grown := r.find("a/1"); grown.LengthM < 0.15 || grown.RootG <= 0 {
		t.Errorf("six weeks later a top is %.2f m long with %.2f g of roots", grown.LengthM, grown.RootG)
	}
}
