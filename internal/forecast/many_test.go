package forecast

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"littoral/internal/catalog"
	"littoral/internal/check"
	"math"
	"runtime"
	"sort"
	"strings"
	"testing"
)

func many(t testing.TB, text string, opt Options, members int) *Bands {
	t.Helper()
	b, err := RunMany(context.Background(), read(t, text), opt, members)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// The same plan, seed and members give the same bytes at any number of processors.
func TestManyAreTheSameAtAnyProcessorCount(t *testing.T) {
	text := func(procs int) string {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(procs))
		b, err := json.Marshal(many(t, small, Options{Days: 50, Seed: 3}, 5))
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	one := text(1)
	for _, procs := range []int{2, 5} {
		if text(procs) != one {
			t.Errorf("%d processors give other bands than one", procs)
		}
	}
	if other, err := json.Marshal(many(t, small, Options{Days: 50, Seed: 4}, 5)); err != nil || string(other) == one {
		t.Errorf("another seed changes nothing (%v)", err)
	}
}

// Bands lie in order, hold the run with the house's values, and widen with time.
func TestBandsHoldTheHousesRun(t *testing.T) {
	const days, members = 180, 16
	b := many(t, small, Options{Days: days}, members)
	f := mustRun(t, small, Options{Days: days})
	if len(b.Days) < 26 || b.Days[0] != 0 || b.Days[len(b.Days)-1] != days {
		t.Fatalf("weeks %v", b.Days)
	}
	check3 := func(what string, list []Band) {
		if len(list) != len(b.Days) {
			t.Fatalf("%s: %d bands for %d weeks", what, len(list), len(b.Days))
		}
		for i, x := range list {
			if !(x.Low <= x.Mid && x.Mid <= x.High) || x.Low < 0 {
				t.Errorf("%s, day %d: %+v is out of order", what, b.Days[i], x)
			}
		}
	}
	for _, s := range b.Series {
		check3(s.Name, s.Bands)
	}
	for _, p := range b.Plantings {
		check3(p.Planting, p.HeightM)
		check3(p.Planting, p.ShootG)
	}
	inside, all := 0, 0
	for w, day := range b.Days {
		for s, pick := range []func(d *Day) float64{func(d *Day) float64 { return d.ShootG }, func(d *Day) float64 { return d.NO3 }, func(d *Day) float64 { return d.PO4 }} {
			x := pick(&f.Days[day])
			all++
			if q := b.Series[s].Bands[w]; x >= q.Low*0.9 && x <= q.High*1.1 {
				inside++
			}
		}
	}
	if share := float64(inside) / float64(all); share < 0.8 {
		t.Errorf("the house's run lies inside the 10 to 90 %% band on %.0f %% of its weeks", 100*share)
	}
	width := func(x Band) float64 { return (x.High - x.Low) / x.Mid }
	if first, last := width(b.Series[0].Bands[0]), width(b.Series[0].Bands[12]); !(last > first) {
		t.Errorf("the band of the leaf mass is %.2f wide on day 0 and %.2f after twelve weeks", first, last)
	}
	for _, d := range b.Drivers {
		if math.Abs(d.Rank) < b.Threshold || math.Abs(d.Rank) > 1 {
			t.Errorf("%s by %s: rank correlation %g against a threshold of %g", d.Outcome, d.Parameter, d.Rank, b.Threshold)
		}
	}
	for _, y := range b.Totals {
		if !(y.TrimMinutes.High <= y.Minutes.High) || y.HarvestG.Low < 0 {
			t.Errorf("year %d: %+v", y.Year, y)
		}
	}
}

// With every number drawn at its middle a member is the full forecast: what it keeps is what the full one says.
func TestAMemberIsAForecast(t *testing.T) {
	p := read(t, small)
	opt := Options{Days: 130, Seed: 5}
	b, err := build(p, opt, 1)
	if err != nil {
		t.Fatal(err)
	}
	r, err := b.begin(usual(), opt.Seed, b.solver.Fork())
	if err != nil {
		t.Fatal(err)
	}
	r.brief = &brief{plantings: map[string]*briefPlanting{}, reserve: -1, spent: -1, covered: -1, lastToxic: -1}
	if err := r.through(context.Background()); err != nil {
		t.Fatal(err)
	}
	r.brief.close(r)
	f := mustRun(t, small, opt)
	for w, day := range r.brief.days {
		if r.brief.shoot[w] != f.Days[day].ShootG || r.brief.no3[w] != f.Days[day].NO3 {
			t.Fatalf("day %d: the member has %g g and %g mg/L, the forecast %g and %g", day, r.brief.shoot[w], r.brief.no3[w], f.Days[day].ShootG, f.Days[day].NO3)
		}
	}
	tall := 0.0
	for _, s := range f.Snapshots[len(f.Snapshots)-1].Plants {
		if s.Planting == "crypts" {
			tall = math.Max(tall, s.HeightM)
		}
	}
	if got := r.brief.plantings["crypts"].height; got[len(got)-1] != tall {
		t.Errorf("the member's crypts are %g m high, the forecast's %g", got[len(got)-1], tall)
	}
	cut := 0.0
	for _, e := range f.Events {
		if e.Kind == "trim" || e.Kind == "thin" {
			cut += e.FreshG
		}
	}
	if got := r.brief.harvest[0] * 130 / daysMonth; math.Abs(got-cut) > 1e-9*cut {
		t.Errorf("the member cut %g g, the forecast %g", got, cut)
	}
	work := 0.0
	for _, d := range f.Days[1:] {
		work += d.Minutes
	}
	if got := r.brief.minutes[0] * 130 / daysMonth; work == 0 || math.Abs(got-work) > 1e-9*work {
		t.Errorf("the member works %g minutes, the forecast %g", got, work)
	}
}

// Every parameter is drawn inside its range, half of the time under its value; the draws of a species do not depend on what else is in
// the plan; and each declared parameter moves something in the engine.
func TestDrawsKeepTheirRanges(t *testing.T) {
	p := read(t, small)
	const n = 400
	d := newDraws(p, 1, n)
	for i := range d.general {
		q := &d.general[i]
		if !(q.Min < q.Value && q.Value < q.Max) || q.Source == "" || q.Name == "" {
			t.Errorf("%s: %g outside %g to %g, or no source", q.Name, q.Value, q.Min, q.Max)
		}
		under := 0
		for m := range n {
			x := quantile(d.u[i][m], q.Value, q.Min, q.Max, q.Ratio)
			if x < q.Min || x > q.Max {
				t.Errorf("%s drawn at %g, outside %g to %g", q.Name, x, q.Min, q.Max)
			}
			if x < q.Value {
				under++
			}
		}
		if math.Abs(float64(under)/n-0.5) > 0.02 {
			t.Errorf("%s lies under its value in %d of %d draws", q.Name, under, n)
		}
		u, was := usual(), usual()
		*q.at(&u)[0] += 0.1 * (q.Max - q.Min)
		if *q.at(&u)[0] == *q.at(&was)[0] {
			t.Errorf("%s moves nothing", q.Name)
		}
	}
	for m := range 20 {
		u := d.tuning(m)
		for _, s := range d.species.list {
			ph := u.physiology(s)
			for _, f := range catalog.PhysiologyFields() {
				own := s.Phys
				q, x := f.At(&own), f.At(&ph)
				if x.Value < q.Min-1e-12 || x.Value > q.Max+1e-12 {
					t.Errorf("%s, %s: %g outside %g to %g", s.Name, f.Name, x.Value, q.Min, q.Max)
				}
			}
		}
	}
	fewer := read(t, strings.Replace(small, "  - {id: crypts, species: Cryptocoryne wendtii, pots: 6, in: [[70,15],[115,15],[115,40],[70,40]]}\n", "", 1))
	e := newDraws(fewer, 1, n)
	s, _ := p.Cat.Species("Hygrophila polysperma")
	s2, _ := fewer.Cat.Species("Hygrophila polysperma")
	for m := range 10 {
		a, b := d.tuning(m).physiology(s), e.tuning(m).physiology(s2)
		if a != b {
			t.Errorf("member %d: Hygrophila differs when a neighbour is not planted", m)
		}
	}
}

// Lamps and tap move what they should: more light more leaves, a wider beam less light on the bed, more nitrate in the tap more in the tank, and a
// swinging tap harder water in its first winter than half a year later.
func TestLampsAndTapMoveMembers(t *testing.T) {
	p := read(t, small)
	b, err := build(p, Options{Days: 200}, 1)
	if err != nil {
		t.Fatal(err)
	}
	beams := b.beams()
	run := func(change func(*surroundings)) []Day {
		with := usual()
		change(&with.site)
		r, err := b.begin(with, 1, beams[beamOf(with.site.lampBeam)].Fork())
		if err != nil {
			t.Fatal(err)
		}
		if err := r.through(context.Background()); err != nil {
			t.Fatal(err)
		}
		return r.out.Days
	}
	mean := func(days []Day, pick func(*Day) float64) float64 {
		sum := 0.0
		for i := range days {
			sum += pick(&days[i]) / float64(len(days))
		}
		return sum
	}
	house := run(func(*surroundings) {})
	dim, bright := run(func(s *surroundings) { s.lampLight = 0.85 }), run(func(s *surroundings) { s.lampLight = 1.1 })
	leaves := func(d *Day) float64 { return d.ShootG }
	if a, h, z := mean(dim, leaves), mean(house, leaves), mean(bright, leaves); !(a < h && h < z) {
		t.Errorf("leaf mass under dim, stated and bright lamps: %.2f, %.2f, %.2f g", a, h, z)
	}
	bed := func(d *Day) float64 { return d.BedPPFD }
	narrow, wide := run(func(s *surroundings) { s.lampBeam = 0.8 }), run(func(s *surroundings) { s.lampBeam = 1.25 })
	if a, z := narrow[1].BedPPFD, wide[1].BedPPFD; !(a > z) {
		t.Errorf("a narrow beam puts %.1f µmol on the bed, a wide one %.1f", a, z)
	}
	if x := mean(dim[:7], bed) / mean(house[:7], bed); math.Abs(x-0.85) > 0.01 {
		t.Errorf("lamps at 85 %% put %.2f of the light on the bed in the first week", x)
	}
	rich := run(func(s *surroundings) { s.tapNitrate = 1.5 })
	nitrate := func(d *Day) float64 { return d.NO3 }
	if !(mean(rich, nitrate) > mean(house, nitrate)) {
		t.Error("a tap richer in nitrate leaves no more in the tank")
	}
	swing := run(func(s *surroundings) { s.tapSwing = 0.15 })
	hard := func(d *Day) float64 { return d.GH }
	if first, later := mean(swing[30:60], hard)/mean(house[30:60], hard), mean(swing[170:], hard)/mean(house[170:], hard); !(first > 1.02 && later < 0.98) {
		t.Errorf("a tap that swings by 15 %% gives %.2f of the usual hardness in month 2 and %.2f in month 7", first, later)
	}
}

// Quantiles and rank correlations against worked values.
func TestBandAndRankArithmetic(t *testing.T) {
	x := []float64{7, 1, 3, 9, 5, 11, 2, 4, 8, 6, 10}
	q := band(x)
	worst := 0.0
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		// Type 7 of Hyndman & Fan 1996 on 1..11: (n−1)p + 1.
		{"10 % of 1 to 11", q.Low, 2},
		{"50 %", q.Mid, 6},
		{"90 %", q.High, 10},
		// ρ = 1 − 6Σd²/(n(n²−1)) without ties; IQ and hours of television, the usual worked example: −29/165.
		{"rank correlation", spearman([]float64{106, 100, 86, 101, 99, 103, 97, 113, 112, 110}, []float64{7, 27, 2, 50, 28, 29, 20, 12, 6, 17}), -29.0 / 165},
		{"same order", spearman(x, x), 1},
		{"no variation", spearman(x, make([]float64, len(x))), 0},
		{"middle of a range", quantile(0.5, 4, 1, 9, false), 4},
		{"end of a range", quantile(1, 4, 1, 9, true), 9},
		{"quarter of the lower triangle", quantile(0.125, 4, 2, 9, false), 3},
	} {
		d := math.Abs(c.got - c.want)
		worst = math.Max(worst, d)
		if d > 1e-12 {
			t.Errorf("%s: %.15g, want %.15g", c.name, c.got, c.want)
		}
	}
	check.Record(t, check.Row{Room: "forecast", What: "quantiles of members, rank correlation, drawing from a range", Source: "Hyndman & Fan 1996 type 7; Spearman's closed form on a textbook example", Memory: true, Worst: fmt.Sprintf("%.0e", worst), Within: "1e-12"})

	u := strata(9, 50, "a")
	sort.Float64s(u)
	for i, v := range u {
		if v < float64(i)/50 || v >= float64(i+1)/50 {
			t.Errorf("stratum %d holds %g", i, v)
		}
	}
}

func TestManyStopWhenAsked(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	_, err := RunMany(ctx, read(t, small), Options{Days: 300, Progress: func(done, total int) {
		if total != 4*301 {
			t.Errorf("total %d, want %d", total, 4*301)
		}
		if done > 30 {
			cancel()
		}
	}}, 4)
	if !errors.Is(err, context.Canceled) {
		t.Errorf("stopped with %v", err)
	}
	if _, err := RunMany(context.Background(), read(t, small), Options{Days: 3}, 1); err == nil {
		t.Error("one member makes a band")
	}
}

func BenchmarkMany(b *testing.B) {
	p := read(b, small)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := RunMany(context.Background(), p, Options{Days: 365}, 8); err != nil {
			b.Fatal(err)
		}
	}
}
