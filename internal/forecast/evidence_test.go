package forecast

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"littoral/internal/catalog"
	"littoral/internal/check"
	"littoral/internal/crew"
	"littoral/internal/geometry"
	"littoral/internal/plan"
	"littoral/internal/water"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
)

var demos = []string{"reading-desk", "assay-hall", "quay-street-library"}

func demoPlan(t testing.TB, name string) *plan.Plan {
	t.Helper()
	p, err := plan.Load(filepath.Join("..", "..", "examples", name, "plan.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// halved forecasts a year of the first members of a plan and gives the means over members of the leaf mass through the year and of what grew, g.
func halved(t *testing.T, p *plan.Plan, opt Options, members int) (stands, grows float64) {
	t.Helper()
	opt.Days = 365
	b, err := build(p, opt, 1)
	if err != nil {
		t.Fatal(err)
	}
	d, beams := newDraws(p, opt.Seed, members), b.beams()
	means := make([][2]float64, members)
	errs := make([]error, members)
	crew.Do(0, members, func(m int) {
		with := d.tuning(m)
		r, err := b.begin(with, mix(uint64(m)+1), beams[beamOf(with.site.lampBeam)].Fork())
		if err == nil {
			err = r.through(context.Background())
		}
		if errs[m] = err; err != nil {
			return
		}
		for i := range r.out.Days {
			means[m][0] += r.out.Days[i].ShootG / float64(len(r.out.Days))
			means[m][1] += r.out.Days[i].GrowthG
		}
	})
	for m, x := range means {
		if errs[m] != nil {
			t.Fatal(errs[m])
		}
		stands += x[0] / float64(members)
		grows += x[1] / float64(members)
	}
	return stands, grows
}

// Halving the steps of the water and the change of leaves that asks for new light, and halving the edges of the light grid while the root
// columns stay, change the leaf mass that members of each demo carry through a year and what they grow in it by under 3 % on the mean. Plants go by
// whole days and take the day's growth as the power of e that it is, so their step has no half.
func TestYearlyGrowthConverges(t *testing.T) {
	for _, demo := range demos {
		p := demoPlan(t, demo)
		stands, grows := halved(t, p, Options{}, convergenceMembers)
		for _, c := range []struct {
			what string
			opt  Options
		}{
			{"half the steps", Options{halves: true, relight: relightLeaves / 2}},
			{"half the voxel edge", Options{Voxel: usualVoxel(t, p) / 2}},
		} {
			finer, more := halved(t, p, c.opt, convergenceMembers)
			off, offGrown := math.Abs(stands/finer-1), math.Abs(grows/more-1)
			if off > 0.03 || offGrown > 0.03 {
				t.Errorf("%s, %s: %.1f g stand and %.1f g grow in a year, against %.1f and %.1f g", demo, c.what, finer, more, stands, grows)
			}
			check.Record(t, check.Row{
				Room: "forecast", What: fmt.Sprintf("demo %s, mean of %d members: leaf mass and growth of a year with %s", demo, convergenceMembers, c.what),
				Source: "convergence", Worst: fmt.Sprintf("%.2f %%, %.2f %%", 100*off, 100*offGrown), Within: "3 %",
			})
		}
	}
}

func usualVoxel(t *testing.T, p *plan.Plan) float64 {
	t.Helper()
	m, err := geometry.Build(p, geometry.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return m.VoxelEdge()
}

// convergenceMembers is as many as a minute of two processors allows.
const convergenceMembers = 3

// The light is carried over, and traced anew only when a share of the leaves has changed. Light that is traced every morning changes what stands through a
// year, and what grows in it, by no more than steps and voxels may: 3 %.
func TestYearlyGrowthHoldsWithLightTracedDaily(t *testing.T) {
	for _, demo := range demos {
		p := demoPlan(t, demo)
		year := func(opt Options) (stands, grows float64) {
			opt.Days = 365
			f, err := Run(context.Background(), p, opt)
			if err != nil {
				t.Fatal(err)
			}
			for i := range f.Days {
				stands += f.Days[i].ShootG / float64(len(f.Days))
				grows += f.Days[i].GrowthG
			}
			return stands, grows
		}
		stands, grows := year(Options{})
		finer, more := year(Options{daily: true, relight: 1e-9})
		off, offGrown := math.Abs(stands/finer-1), math.Abs(grows/more-1)
		if off > 0.03 || offGrown > 0.03 {
			t.Errorf("%s: %.2f g stand and %.1f g grow in a year, with light traced every morning %.2f g and %.1f g", demo, stands, grows, finer, more)
		}
		check.Record(t, check.Row{
			Room: "forecast", What: "demo " + demo + ": mean leaf mass and growth of a year, light as carried over against light traced every morning", Source: "convergence",
			Worst: fmt.Sprintf("%.2f %%, %.2f %%", 100*off, 100*offGrown), Within: "3 %, 3 %",
		})
	}
}

// Facts of the trade and of limnology as ranges over members of the three demos.
func TestDemosKeepTheTradesRanges(t *testing.T) {
	const rangeMembers = 12
	for _, demo := range []struct {
		name        string
		ready       [2]float64 // day; seeded filters are ripe in one to two weeks, others in three to six, dark starts on day 0 (common practice)
		crop        [2]float64 // g dry shoots per m² of footprint at the end of the span
		change, top float64    // work, minutes a month: at least the water changes; no more than
	}{
		{"reading-desk", [2]float64{0, 49}, [2]float64{15, 700}, 10, 600},
		{"assay-hall", [2]float64{0, 49}, [2]float64{15, 700}, 30, 1500},
		{"quay-street-library", [2]float64{0, 49}, [2]float64{15, 700}, 60, 2500},
	} {
		t.Run(demo.name, func(t *testing.T) {
			p := demoPlan(t, demo.name)
			b, err := RunMany(context.Background(), p, Options{Days: 90}, rangeMembers)
			if err != nil {
				t.Fatal(err)
			}
			foot := float64(p.Tank.Inside.Length) * float64(p.Tank.Inside.Width)
			if d := float64(p.Tank.Inside.Diameter); d > 0 {
				foot = math.Pi / 4 * d * d
			}
			end := b.Series[0].Bands[len(b.Days)-1]
			if end.Low/foot < demo.crop[0] || end.High/foot > demo.crop[1] {
				t.Errorf("members carry %.0f to %.0f g/m² of shoots after three months", end.Low/foot, end.High/foot)
			}
			said := ""
			for _, d := range b.Dates {
				if strings.HasPrefix(d.Name, "ammonium") {
					said = fmt.Sprintf("day %.0f to %.0f", d.Day.Low, d.Day.High)
					if d.Day.Low < demo.ready[0] || d.Day.High > demo.ready[1] {
						t.Errorf("ammonium and nitrite are gone on %s", said)
					}
				}
			}
			for _, x := range b.Series[1].Bands {
				if x.High > 80 || x.Low < 0 {
					t.Errorf("nitrate runs to %.0f mg/L", x.High)
				}
			}
			if y := b.Totals[0]; y.Minutes.Low < demo.change || y.Minutes.High > demo.top {
				t.Errorf("a month takes %.0f to %.0f minutes of work", y.Minutes.Low, y.Minutes.High)
			}
			check.Record(t, check.Row{
				Room: "forecast", What: fmt.Sprintf("demo %s, %d members: standing crop after three months; ammonium and nitrite gone", demo.name, rangeMembers),
				Source: "submersed stands up to some 700 g/m², PCLake's capacity 400 (Janse 2005); ripening 1 to 6 weeks, common practice, no source",
				Worst:  fmt.Sprintf("%.0f to %.0f g/m²; %s", end.Low/foot, end.High/foot, said), Within: "15 to 700 g/m²; by day 49",
			})
		})
	}
}

// members forecasts the members of a plan in full.
func members(t *testing.T, p *plan.Plan, days, n int) []*Forecast {
	t.Helper()
	b, err := build(p, Options{Days: days}, 1)
	if err != nil {
		t.Fatal(err)
	}
	d, beams := newDraws(p, 0, n), b.beams()
	out, errs := make([]*Forecast, n), make([]error, n)
	crew.Do(0, n, func(m int) {
		with := d.tuning(m)
		r, err := b.begin(with, mix(uint64(m)+1), beams[beamOf(with.site.lampBeam)].Fork())
		if err == nil {
			err = r.through(context.Background())
		}
		if errs[m] = err; err == nil {
			r.visits()
			out[m] = r.out
		}
	})
	for _, err := range errs {
		if err != nil {
			t.Fatal(err)
		}
	}
	return out
}

// counts are what a practitioner would count in a tank through its first year, by name.
func counts(f *Forecast, p *plan.Plan) map[string]float64 {
	x := map[string]float64{}
	var leaves, mass, grown, weeks, cut, stood, most float64
	last := float64(len(f.Days) - 90)
	for i := range f.Days {
		d := &f.Days[i]
		if d.Day < 42 && d.NH4 > most {
			most, x["day of most ammonium"] = d.NH4, float64(d.Day)
		}
		if d.Day >= 90 {
			cut += d.CutG
			stood += d.ShootG / last
		}
	}
	x["most ammonium, mg/L"], x["times that what stands is cut in a year"] = most, cut/stood*365/last
	long, closed := map[string]float64{}, map[string]float64{}
	for i := range f.Snapshots {
		s := &f.Snapshots[i]
		hides := map[string]float64{}
		for j := range s.Plants {
			q := &s.Plants[j]
			hides[q.Planting] += q.LeafM2
			switch sp := q.Species; {
			case s.Day >= 90 && sp.Form == catalog.Rhizome:
				leaves += q.LeafRate * q.ShootG
				mass += q.ShootG
			case s.Day >= 42 && sp.Form == catalog.Stem && sp.Speed == "fast":
				if was, ok := long[q.ID]; ok && q.LengthM > was {
					grown += 100 * (q.LengthM - was)
					weeks++
				}
				long[q.ID] = q.LengthM
			}
		}
		for k := range p.Plants {
			pl := &p.Plants[k]
			sp, ok := p.Cat.Species(pl.Species)
			if !ok || sp.Form != catalog.Carpet || len(pl.In) < 3 || closed[pl.ID] > 0 {
				continue
			}
			area := 0.0
			for e, v := range pl.In {
				w := pl.In[(e+1)%len(pl.In)]
				area += 0.5e-4 * (v[0]*w[1] - v[1]*w[0])
			}
			if hides[pl.ID] >= 2.3*math.Abs(area) { // nine tenths of the ground are hidden, see TestWorkedJobCourse
				closed[pl.ID] = float64(s.Day) / 7
			}
		}
	}
	x["weeks for a leaf of a rhizome's tip"], x["cm a week of fast stems"] = mass/leaves, grown/weeks
	for id, week := range closed {
		x["week in which a carpet closes: "+id] = week
	}
	return x
}

// What the trade counts, over members of each demo: the middle member lies inside the trade's range, and eight of ten are told (all common practice, no
// source). The demos with gas stand in middling light, so their fast stems may lengthen as slowly as middling ones do in strong light; the desk has neither
// gas nor strong light.
func TestDemosKeepTheTradesFacts(t *testing.T) {
	type fact struct {
		name      string
		low, high float64
	}
	gassed := []fact{
		{"weeks for a leaf of a rhizome's tip", 3, 6},
		{"cm a week of fast stems", 2, 15},
		{"times that what stands is cut in a year", 2, 12},
		{"week in which a carpet closes", 4, 10},
	}
	for _, demo := range []struct {
		name  string
		facts []fact
	}{
		{"quay-street-library", append([]fact{{"day of most ammonium", 1, 7}, {"most ammonium, mg/L", 1, 6}}, gassed...)}, // new active soil, wet start
		{"assay-hall", gassed}, // dark start: its ammonium is gone
		{"reading-desk", []fact{
			{"weeks for a leaf of a rhizome's tip", 3, 8},
			{"cm a week of fast stems", 0.5, 5},
			{"times that what stands is cut in a year", 0, 2},
			{"day of most ammonium", 1, 7},
		}},
	} {
		p := demoPlan(t, demo.name)
		all := map[string][]float64{}
		for _, f := range members(t, p, 365, 6) {
			for name, v := range counts(f, p) {
				name, _, _ = strings.Cut(name, ": ")
				all[name] = append(all[name], v)
			}
		}
		for _, x := range demo.facts {
			if len(all[x.name]) < 6 {
				t.Errorf("%s, %s: told by %d members", demo.name, x.name, len(all[x.name]))
				continue
			}
			q := band(all[x.name])
			if q.Mid < x.low || q.Mid > x.high {
				t.Errorf("%s, %s: %.3g in the middle, want %g to %g", demo.name, x.name, q.Mid, x.low, x.high)
			}
			check.Record(t, check.Row{
				Room: "forecast", What: fmt.Sprintf("demo %s, members: %s", demo.name, x.name), Source: practice,
				Worst: fmt.Sprintf("%.2g (%.2g to %.2g)", q.Mid, q.Low, q.High), Within: fmt.Sprintf("middle %g to %g", x.low, x.high),
			})
		}
	}
}

// A heavily planted, brightly lit tank takes 1 to 4 mg/L nitrate a day in every member (common practice, no source).
func TestHeavilyPlantedMembersTakeNitrate(t *testing.T) {
	p, err := plan.Parse([]byte(heavy), "heavy.yaml", nil)
	if err != nil {
		t.Fatal(err)
	}
	var all []float64
	for _, f := range members(t, p, 60, 8) {
		taken := 0.0
		for _, d := range f.Days[28:57] {
			taken += (d.UptakeNWater + d.UptakeNRoot) / f.Model.Facts.NetWaterL * water.NO3PerN / 29
		}
		all = append(all, taken)
	}
	least, most := slices.Min(all), slices.Max(all)
	if least < 1 || most > 4 {
		t.Errorf("members take %.2f to %.2f mg/L nitrate a day", least, most)
	}
	check.Record(t, check.Row{
		Room: "forecast", What: "heavily planted, brightly lit tank, 8 members: nitrate taken, mg/L a day", Source: practice,
		Worst: fmt.Sprintf("%.2f to %.2f", least, most), Within: "1 to 4",
	})
}

// undrawn are numbers that are as uncertain and stay at the house's value in every member; their ranges stand beside them in the code.
const undrawn = `
## Uncertain, and not drawn

These stay at the house's value in every member, so the bands are a little too narrow. All are practice. The first four move no band that is shown; the last
one moves what is told of algae and not what grows.

| Number | Value | Range | Unit |
| --- | --- | --- | --- |
| red: light at the tops for half of what light does | 80 | 50 to 120 | µmol/m²/s |
| red: share of the reddest in a fed plant | 0.75 | 0.5 to 0.9 | – |
| rhizomes: length for each leaf | 7 | 4 to 12 | mm |
| gas: share of a bottle that a clean diffuser dissolves | 0.8 | 0.5 to 0.95 | – |
| plantlets: days between flower stalks; plantlets on one | 120; 4 | 60 to 200; 2 to 8 | days; – |
| plantlets: for each new leaf of a fern; days until they root | 0.15; 60 | 0.05 to 0.4; 40 to 90 | –; days |
| stems: internodes in dim against bright light | 1.9 | 1.1 to 2 | – |
| leaves: how much longer they live where growth is slow, at most | 2 | 1.5 to 3 | – |
| leaves: half-saturation of shade and sun leaves against their species' own | 0.6 to 1.4 | spread 1 to 3 | – |
| form: power of mass in height and spread | 0.4 | 0.33 to 0.45 | – |
| bed: depth over which it changes places with the water | 3 | 1 to 5 | cm |
| bed: depth of the layer that creeps; time of settling | 2; 20 | 1 to 5; 10 to 30 | cm; days |
| CO2: what is lost between outlet and far corner; as diffuser and prefilter clog | 0.6; 2 % a week | a factor of 2 | – |
| animals: share of the food's nitrogen in solid waste | 0.25 | 0.15 to 0.3 | – |
| algae: the two thresholds of each cause of each kind | see ` + "`internal/algae/risk.go`" + ` | a factor of 1.5 | – |

Seasons of bulbs are drawn with their species (active days and days of rest).
`

// docs/uncertainty.md is the table of the parameters as the engine draws them; UPDATE_GOLDEN=1 writes it anew.
func TestUncertainNumbersAreDocumented(t *testing.T) {
	var b bytes.Buffer
	b.WriteString(`# What is uncertain

The numbers of the engine that ` + "`littoral forecast --members N`" + ` draws anew for each member, besides those of species and materials (` + "`littoral catalog show NAME`" + ` prints
these with their ranges). Half of the draws lie under the value and half over it, each half a triangle that falls off from the value to the end of the range, on a scale
of ratios, or of differences where it is said. Draws are a Latin hypercube; what drives an outcome is told by Spearman's rank correlation over the members. Of beams three
widths stand for all, the middles of the narrow, middle and wide third of the draws. "Practice" is common practice of the trade without a published source. This page is made by a test from the table in
` + "`internal/forecast/tuning.go`" + `.

| Number | Value | Range | Unit | Source |
| --- | --- | --- | --- | --- |
`)
	for _, p := range Parameters() {
		scale := ""
		if !p.Ratio {
			scale = " (differences)"
		}
		unit := p.Unit
		if unit == "" {
			unit = "–"
		}
		fmt.Fprintf(&b, "| %s | %.3g | %.2g to %.2g%s | %s | %s |\n", p.Name, p.Value, p.Min, p.Max, scale, unit, strings.ReplaceAll(p.Source, practice, "practice"))
	}
	b.WriteString(undrawn)
	path := filepath.Join("..", "..", "docs", "uncertainty.md")
	if os.Getenv("UPDATE_GOLDEN") != "" {
		if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	have, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(have, b.Bytes()) {
		t.Error("docs/uncertainty.md is not what the engine draws from; run the test with UPDATE_GOLDEN=1")
	}
}

// A forecast is the same to the last byte on any number of processors.
func TestForecastIsTheSameAtAnyProcessorCount(t *testing.T) {
	p := demoPlan(t, "assay-hall")
	on := func(procs int) []byte {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(procs))
		f, err := Run(context.Background(), p, Options{Days: 100})
		if err != nil {
			t.Fatal(err)
		}
		f.Plan, f.Model, f.Columns = nil, nil, nil
		text, err := json.Marshal(f)
		if err != nil {
			t.Fatal(err)
		}
		return text
	}
	one := on(1)
	for _, procs := range []int{2, 8} {
		if !bytes.Equal(on(procs), one) {
			t.Errorf("%d processors give another forecast than one", procs)
		}
	}
}

// The budget of the library's tank over its first year, element by element: what comes in and what is drawn from store is what goes out and what is stored.
func TestAYearsBudgetCloses(t *testing.T) {
	p, err := plan.Load(filepath.Join("..", "..", "examples", "quay-street-library", "plan.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	f, err := Run(context.Background(), p, Options{Days: 365, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	worst := 0.0
	for _, e := range f.Balance.Elements {
		in, out, start, end := 0.0, 0.0, 0.0, 0.0
		var table strings.Builder
		for _, x := range e.In {
			in += x.Amount
			fmt.Fprintf(&table, "\n%-40s %12.1f", x.Name, x.Amount)
		}
		for _, x := range e.Out {
			out += x.Amount
			fmt.Fprintf(&table, "\n%-40s %12s %12.1f", x.Name, "", x.Amount)
		}
		for _, x := range e.Stores {
			start, end = start+x.Start, end+x.End
			fmt.Fprintf(&table, "\n%-40s %12s %12.1f", "stored: "+x.Name, "", x.End-x.Start)
		}
		off := math.Abs(in-out-(end-start)) / (in + start)
		worst = max(worst, off, e.Relative)
		t.Logf("%s, %s%s\n%-40s %12.1f %12.1f", e.Element, e.Unit, table.String(), "sum", in, out+end-start)
		if off > 1e-9 || math.Abs(start-e.Start) > 1e-9*e.Start || math.Abs(end-e.End) > 1e-9*e.End {
			t.Errorf("%s: %.6g come in, %.6g go out and %.6g are stored", e.Element, in, out, end-start)
		}
	}
	check.Record(t, check.Row{Room: "forecast", What: "budget of N, P, K, C, Ca and Mg of a whole tank over a year, what does not close", Source: "conservation of mass", Worst: fmt.Sprintf("%.1g of the turnover", worst), Within: "1e-9"})
}
