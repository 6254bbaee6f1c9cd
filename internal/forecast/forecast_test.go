package forecast

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"littoral/internal/check"
	"littoral/internal/plan"
	"math"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// small is a 120 × 50 × 50 cm tank with a bit of everything that crosses its border.
const small = `littoral: 1
name: small
tank:
  shape: box
  inside: {length: 120 cm, width: 50 cm, height: 50 cm}
  glass: {thickness: 12 mm}
  water-level: 46 cm
room: {temperature: 22 °C, humidity: 50 %}
substrate: {layers: [{material: active soil, depth: 6 cm}]}
hardscape:
  - {id: stone-a, kind: stone, material: slate, shape: {boulder: {length: 22 cm, width: 16 cm, height: 14 cm}}, at: [60, 25], sink: 3 cm}
plants:
  - {id: stems, species: Hygrophila polysperma, pots: 6, in: [[5,30],[50,30],[50,45],[5,45]]}
  - {id: crypts, species: Cryptocoryne wendtii, pots: 6, in: [[70,15],[115,15],[115,40],[70,40]]}
  - {id: rhizome, species: Anubias barteri var. nana, pots: 3, on: stone-a}
lamps:
  - {kind: panel, at: [60,25], above-water: 20 cm, size: 90x25 cm, ppf: 170 µmol/s, beam: 110°}
light-day: [{until: day 14, on: "11:00", hours: 6, dim: 60 %}, {from: day 14, on: "10:00", hours: 8, ramp: 30 min}]
co2: {target: 25 mg/L, on: "08:30", off: "17:00"}
water:
  tap: {alkalinity: 6 dKH, hardness: 10 dGH, ph: 7.5, nitrate: 10 mg/L, phosphate: 0.2 mg/L, potassium: 2 mg/L, temperature: 14 °C, tempered: true}
  mix: {pure: 40 %}
filter: [{flow: 1200 L/h, media: 8 L, seeded: 20 %}]
heater: {power: 200 W, set: 24 °C}
livestock: [{species: Paracheirodon innesi, count: 15, from: day 42}, {species: Caridina multidentata, count: 10, from: day 30, until: day 90}]
feeding: {from: day 42, dry-food: 0.2 g/day}
care:
  - {every: 2 days, until: day 14, do: water-change, share: 50 %}
  - {every: week, from: day 14, do: water-change, share: 40 %}
  - {every: week, from: day 14, do: dose, salts: {KNO3: 1.5 g, KH2PO4: 0.2 g, KHCO3: 0.3 g, iron: 0.02 g}}
  - {every: 3 weeks, from: day 28, do: trim, species: Hygrophila polysperma, to: 15 cm}
  - {every: 2 weeks, from: day 28, do: siphon}
  - {every: 6 weeks, do: filter-clean}
  - {every: month, from: day 60, do: root-feed, tablets: 6}
  - {every: 2 months, from: day 70, do: thin, species: Cryptocoryne wendtii, share: 20 %}
events:
  - {on: day 80, do: power-cut, for: 1 day}
  - {on: day 85, do: filter-loss}
  - {id: half, on: day 100, do: replant, within: [[0,0],[60,0],[60,50],[0,50]], drain: 40 %, fresh: 2 cm, plant: [{id: new, species: Bacopa caroliniana, pots: 5, in: [[5,10],[50,10],[50,25],[5,25]]}]}
`

func read(t testing.TB, text string) *plan.Plan {
	t.Helper()
	p, err := plan.Parse([]byte(text), "test.yaml", nil)
	if err != nil {
		t.Fatalf("the plan does not read:\n%v", err)
	}
	return p
}

func mustRun(t testing.TB, text string, opt Options) *Forecast {
	t.Helper()
	f, err := Run(context.Background(), read(t, text), opt)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func entry(list []Entry, name string) float64 {
	for _, e := range list {
		if e.Name == name {
			return e.Amount
		}
	}
	return 0
}

// Everything that comes in goes out or is still there, to rounding, with every kind of traffic over the border.
func TestMassIsConserved(t *testing.T) {
	for _, c := range []struct{ name, plan string }{
		{"wet start", small},
		{"dark start", strings.Replace(small, "heater:", "start: {kind: dark, for: 2 weeks}\nheater:", 1)},
		{"dry start", strings.Replace(small, "heater:", "start: {kind: dry, for: 4 weeks}\nheater:", 1)},
		{"as found", strings.Replace(small, "heater:", "found: {age: 1 year, readings: {nitrate: 12 mg/L, alkalinity: 3 dKH}}\nheater:", 1)},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := mustRun(t, c.plan, Options{Days: 130})
			if len(f.Balance.Elements) != 6 {
				t.Fatalf("%d elements are balanced, want N, P, K, C, Ca and Mg", len(f.Balance.Elements))
			}
			worst := 0.0
			for _, e := range f.Balance.Elements {
				worst = math.Max(worst, e.Relative)
				if e.Relative > 1e-9 || math.IsNaN(e.Relative) {
					t.Errorf("%s: start %g, end %g, off by %g of the turnover", e.Element, e.Start, e.End, e.Relative)
				}
			}
			// A balance of nothing proves nothing: each kind of traffic must have happened.
			for _, want := range []struct {
				element int
				in      bool
				name    string
			}{
				{0, true, "change water"},
				{0, true, "fertiliser"},
				{0, true, "food"},
				{0, true, "animals"},
				{0, true, "root tablets"},
				{0, true, "plants"},
				{0, true, "fresh substrate"},
				{0, false, "water changed out"},
				{0, false, "cuttings"},
				{0, false, "siphoned"},
				{0, false, "rinsed from the filter"},
				{0, false, "plants taken out"},
				{0, false, "animals"},
				{1, true, "fertiliser"},
				{1, false, "cuttings"},
				{2, true, "fertiliser"},
				{2, false, "cuttings"},
				{3, true, "injected carbon dioxide"},
				{3, false, "carbon dioxide to the air"},
				{3, true, "fertiliser"},
			} {
				list := f.Balance.Elements[want.element].Out
				if want.in {
					list = f.Balance.Elements[want.element].In
				}
				if !(entry(list, want.name) > 0) {
					t.Errorf("%s: no %q in the books", f.Balance.Elements[want.element].Element, want.name)
				}
			}
			check.Record(t, check.Row{Room: "forecast", What: "mass balance of N, P, K and C, " + c.name, Source: "conservation of mass", Worst: fmt.Sprintf("%.0e relative", worst), Within: "1e-9 relative"})
		})
	}
}

// The same plan and seed give the same bytes; another seed does not.
func TestSameSeedSameBytes(t *testing.T) {
	text := func(seed uint64) string {
		f := mustRun(t, small, Options{Days: 60, Seed: seed})
		b, err := json.Marshal(struct {
			D []Day
			S []Snapshot
			E []Event
		}{f.Days, f.Snapshots, f.Events})
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	a, b := text(7), text(7)
	if a != b {
		t.Error("two runs with the same seed differ")
	}
	if text(8) == a {
		t.Error("another seed changes nothing")
	}
}

// Numbers stay finite and within what water can be.
func TestNumbersAreSane(t *testing.T) {
	f := mustRun(t, small, Options{Days: 130})
	if len(f.Days) != 131 {
		t.Fatalf("%d days, want 131", len(f.Days))
	}
	for _, d := range f.Days {
		b, err := json.Marshal(d)
		if err != nil {
			t.Fatalf("day %d: %v", d.Day, err)
		}
		var all map[string]float64
		if err := json.Unmarshal(b, &all); err != nil {
			t.Fatal(err)
		}
		for name, x := range all {
			if math.IsNaN(x) || math.IsInf(x, 0) || x < -1e3 && name != "GrowthG" {
				t.Errorf("day %d: %s is %g", d.Day, name, x)
			}
		}
		if d.PHDawn < 5 || d.PHDusk > 9.5 || d.TempC < 15 || d.TempC > 30 || d.O2Dusk > 25 || d.Flow < 0 || d.Flow > 1 || d.Cover < 0 || d.Cover > 1 {
			t.Errorf("day %d is not a day of a tank: %+v", d.Day, d)
		}
	}
}

func TestStopsWhenAsked(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	p := read(t, small)
	done := 0
	_, err := Run(ctx, p, Options{Days: 400, Progress: func(d, total int) {
		done = d
		if d == 20 {
			cancel()
		}
		if total != 401 {
			t.Errorf("total %d, want 401", total)
		}
	}})
	if !errors.Is(err, context.Canceled) || done != 20 {
		t.Errorf("stopped after %d days with %v", done, err)
	}
}

// bare is a tank without plants, bed and light: water alone, with a weekly change and dose.
const bare = `littoral: 1
name: bare
tank:
  shape: box
  inside: {length: 100 cm, width: 50 cm, height: 50 cm}
  water-level: 40 cm
  cover: glass
room: {temperature: 24 °C}
water: {tap: {alkalinity: 4 dKH, hardness: 6 dGH, ph: 7.8, nitrate: 8 mg/L, tempered: true}}
filter: [{flow: 800 L/h, media: 5 L}]
care:
  - {every: week, do: water-change, share: %d %%}
  - {every: week, do: dose, salts: {KNO3: %g g}}
`

// Weekly changes of share r and doses d of a substance nothing takes up: C∞ = s + d/r just before the change, and the approach is
// geometric, (1−r)ⁿ (elementary geometric series). Potassium is followed, for nitrate is also made by nitrifiers.
func TestDosesReachTheClosedFormLimit(t *testing.T) {
	const gK = 0.386718 // g K per g KNO3, from atomic weights (IUPAC 2021 abridged)
	worst := 0.0
	for _, c := range []struct {
		share int
		grams float64
	}{{50, 2}, {30, 1}, {25, 4}} {
		f := mustRun(t, fmt.Sprintf(bare, c.share, c.grams), Options{Days: 7 * 40})
		litres := f.Model.Facts.NetWaterL
		if math.Abs(litres-200) > 0.2 {
			t.Fatalf("the bare tank holds %.2f L, want 200", litres)
		}
		r, dose := float64(c.share)/100, c.grams*gK*1000/litres
		conc := 0.0
		for n := 1; n <= 39; n++ {
			conc = (1-r)*conc + dose
			if n == 1 || n == 4 || n == 39 {
				got := f.Days[7*n+3].K // mid-week, after change and dose of week n
				d := math.Abs(got-conc) / conc
				worst = math.Max(worst, d)
				if d > 0.002 {
					t.Errorf("share %d %%, week %d: K %.4f mg/L, closed form %.4f", c.share, n, got, conc)
				}
			}
		}
		if limit := dose / r; math.Abs(conc-limit) > 1e-3*limit {
			t.Errorf("the series ends at %.4f, the limit is %.4f", conc, limit)
		}
	}
	check.Record(t, check.Row{Room: "forecast", What: "dosing under weekly changes against the geometric series", Source: "elementary; C∞ = s + (d − u)/r", Worst: fmt.Sprintf("%.2g relative", worst), Within: "0.002 relative (evaporated water is topped up daily)"})
}

// No light, no growth; and the plants of an unlit tank shrink.
func TestNoLightNoGrowth(t *testing.T) {
	// A plan cannot ask for no light at all, so the regime is taken out of the plan as read.
	p := read(t, small)
	p.LightDay = nil
	f, err := Run(context.Background(), p, Options{Days: 42})
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range f.Days {
		if d.GrowthG > 0 {
			t.Fatalf("day %d: %.3f g grown in the dark", d.Day, d.GrowthG)
		}
	}
	if first, last := f.Days[0].ShootG, f.Days[42].ShootG; last > 0.8*first {
		t.Errorf("six weeks of dark leave %.1f of %.1f g", last, first)
	}
}

// A mirrored plan gives the mirrored tank. Plants stand on the centres of columns, since one on an edge belongs to the right of the two.
func TestMirroredPlanMirrors(t *testing.T) {
	text := func(mirror bool) string {
		x := func(v float64) float64 {
			if mirror {
				return 100 - v
			}
			return v
		}
		return fmt.Sprintf(`littoral: 1
name: mirror
tank:
  shape: box
  inside: {length: 100 cm, width: 40 cm, height: 40 cm}
  water-level: 36 cm
substrate: {layers: [{material: active soil, heights: {points: [[%g,0,4],[%g,0,9],[%g,40,6],[%g,40,12]]}}]}
plants:
  - {id: a, species: Echinodorus bleheri, pots: 1, at: [[%g,22.5]]}
  - {id: b, species: Hygrophila polysperma, pots: 2, at: [[%g,32.5],[%g,12.5]]}
lamps: [{kind: panel, at: [%g,20], above-water: 15 cm, size: 50x15 cm, ppf: 90 µmol/s, beam: 110°}]
light-day: [{on: "10:00", hours: 8}]
water: {tap: {alkalinity: 3 dKH, hardness: 6 dGH, nitrate: 10 mg/L, phosphate: 0.5 mg/L, potassium: 5 mg/L, tempered: true}}
filter: [{flow: 600 L/h, media: 4 L}]
care: [{every: week, do: water-change, share: 30 %%}]
`, x(0), x(100), x(0), x(100), x(32.5), x(72.5), x(82.5), x(40))
	}
	a, b := mustRun(t, text(false), Options{Days: 84}), mustRun(t, text(true), Options{Days: 84})
	la, lb := a.Snapshots[len(a.Snapshots)-1], b.Snapshots[len(b.Snapshots)-1]
	if len(la.Plants) != len(lb.Plants) {
		t.Fatalf("%d plants, mirrored %d", len(la.Plants), len(lb.Plants))
	}
	worst := 0.0
	for _, p := range la.Plants {
		for _, q := range lb.Plants {
			if p.ID == q.ID {
				worst = math.Max(worst, math.Abs(p.ShootG-q.ShootG)/p.ShootG)
				if math.Abs(p.X+q.X-1) > 1e-6 {
					t.Errorf("%s stands at %.4f and %.4f m", p.ID, p.X, q.X)
				}
			}
		}
	}
	if worst > 1e-6 {
		t.Errorf("mirrored plants differ by %.2g", worst)
	}
}

// Care that belongs to missed visits does not happen; after them it goes on.
func TestMissedVisits(t *testing.T) {
	f := mustRun(t, strings.Replace(small, "events:", "events:\n  - {on: day 40, do: missed-visits, for: 3 weeks}", 1), Options{Days: 80})
	for _, v := range f.Visits {
		if v.Day > 40 && v.Day < 61 {
			t.Errorf("there is work on day %d of a holiday", v.Day)
		}
	}
	days := map[int]bool{}
	for _, v := range f.Visits {
		days[v.Day] = true
	}
	if !days[35] || !days[63] {
		t.Errorf("visits before and after are missing: %v", f.Visits)
	}
}

func TestScheduleOrder(t *testing.T) {
	p := read(t, small)
	jobs := schedule(p, 130)
	var got []string
	for _, j := range jobs[42] {
		got = append(got, j.care.Do)
	}
	want := []string{"siphon", "water-change", "filter-clean", "dose"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("work of day 42 (-want +got):\n%s", diff)
	}
}

func TestLightDayRamps(t *testing.T) {
	l := &plan.LightDay{On: 10 * 3600, Hours: 8, Dim: 0.8, Ramp: 3600}
	sum := 0.0
	for _, h := range lightDay(l) {
		sum += h.lit * h.dim
	}
	// Eight hours at 0.8 less half an hour's worth at each ramp of an hour.
	if want := 0.8 * 7; math.Abs(sum-want) > 1e-9 {
		t.Errorf("%.4f full hours, want %.4f", sum, want)
	}
}

// The light grid is a means: halving its edge must not change what grows by much.
func TestHalfAVoxelChangesLittle(t *testing.T) {
	fine := mustRun(t, small, Options{Days: 70, Voxel: 0.025})
	coarse := mustRun(t, small, Options{Days: 70, Voxel: 0.05})
	a, b := fine.Days[70].ShootG, coarse.Days[70].ShootG
	if d := math.Abs(a-b) / a; d > 0.15 {
		t.Errorf("leaf mass at day 70: %.1f g with 2.5 cm voxels, %.1f g with 5 cm", a, b)
	}
}

func BenchmarkSmallYear(b *testing.B) {
	p := read(b, small)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Run(context.Background(), p, Options{Days: 365}); err != nil {
			b.Fatal(err)
		}
	}
}

// TestSwings: days are kept hour by hour; gas and light move the water in the order of the trade: CO2 highest and pH lowest while the gas is on, oxygen
// highest late in the light and lowest before it (common practice, no source).
func TestSwings(t *testing.T) {
	f, err := Run(context.Background(), demoPlan(t, "quay-street-library"), Options{Days: 60})
	if err != nil {
		t.Fatal(err)
	}
	if len(f.Swings) != 3 || f.Swings[2].Day != 53 {
		t.Fatalf("%d days are kept", len(f.Swings))
	}
	for _, s := range f.Swings[1:] { // in the first days water changes rule the day
		day := f.Days[s.Day-f.Days[0].Day]
		best, least := 0, 0
		on, off := 0.0, 0.0
		for h, x := range s.Hours {
			if x.O2 > s.Hours[best].O2 {
				best = h
			}
			if x.O2 < s.Hours[least].O2 {
				least = h
			}
			if x.Gas == 1 {
				on = max(on, x.CO2)
			} else {
				off = max(off, x.PH)
			}
		}
		if s.Hours[best].Light == 0 && best > 0 && s.Hours[best-1].Light == 0 || s.Hours[least].Light > 0.9 {
			t.Errorf("day %d: oxygen is highest at %d h and lowest at %d h", s.Day, best+1, least+1)
		}
		if on < 10 || on > day.CO2Max+0.5 || off < day.PHDusk {
			t.Errorf("day %d: CO2 reaches %g with gas, pH %g without; the day says %g and %g", s.Day, on, off, day.CO2Max, day.PHDusk)
		}
	}
}

// TestHours: keeping every hour changes nothing else.
func TestHours(t *testing.T) {
	p := demoPlan(t, "reading-desk")
	few, err := Run(context.Background(), p, Options{Days: 30})
	if err != nil {
		t.Fatal(err)
	}
	all, err := Run(context.Background(), p, Options{Days: 30, Hours: true})
	if err != nil {
		t.Fatal(err)
	}
	if len(few.Hours) != 0 || len(all.Hours) != 31 || all.Hours[30].Day != 30 {
		t.Fatalf("%d and %d days are kept hour by hour", len(few.Hours), len(all.Hours))
	}
	if !reflect.DeepEqual(few.Swings, all.Swings) || !reflect.DeepEqual(few.Days, all.Days) {
		t.Error("keeping every hour changes the forecast")
	}
	if h := all.Hours[4].Hours; h != few.Swings[0].Hours {
		t.Errorf("day 4 reads %v among all hours", h)
	}
}
