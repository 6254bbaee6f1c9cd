package journal

import (
	"fmt"
	"littoral/internal/forecast"
	"littoral/internal/plan"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func desk(t testing.TB) *plan.Plan {
	t.Helper()
	p, err := plan.Load("../../examples/reading-desk/plan.yaml")
	if err != nil {
		t.Fatal(err)
	}
	if p.Planted == "" {
		p.Planted = "2027-03-01"
	}
	return p
}

// on is the time of an entry on a day of the plan.
func on(p *plan.Plan, day int, clock string) string {
	start, err := time.Parse(time.DateOnly, p.Planted)
	if err != nil {
		panic(err)
	}
	return start.AddDate(0, 0, day).Format(time.DateOnly) + "T" + clock
}

func run(t testing.TB, p *plan.Plan, days int) *forecast.Forecast {
	t.Helper()
	f, err := forecast.Run(t.Context(), p, forecast.Options{Days: days, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func changes(f *forecast.Forecast) map[int]float64 {
	out := map[int]float64{}
	for _, e := range f.Events {
		if e.Kind == "water-change" {
			out[e.Day] += e.Amount
		}
	}
	return out
}

func TestWhatWasDoneStandsInPlaceOfThePlan(t *testing.T) {
	p := desk(t)
	asPlanned := changes(run(t, p, 60))
	entries := []Entry{
		{ID: "aaaaaaaa-1", At: on(p, 16, "18:00"), Kind: KindTask, Task: &Task{Do: "water-change", Done: true, Litres: 20}},
		{ID: "aaaaaaaa-2", At: on(p, 21, "18:00"), Kind: KindTask, Task: &Task{Do: "water-change"}}, // left out
		{ID: "aaaaaaaa-3", At: on(p, 30, "09:00"), Kind: KindTask, Task: &Task{Do: "water-change", Done: true, Litres: 10}},
	}
	laid := Lay(p, entries)
	if len(laid.Notes) > 0 || laid.From != 16 || laid.Until != 30 {
		t.Fatalf("laid as %+v", laid)
	}
	got := changes(run(t, laid.Plan, 60))
	for day, litres := range asPlanned {
		switch {
		case day < 16 && math.Abs(got[day]-litres) > 1e-9:
			t.Errorf("day %d before the journal changed %g L, planned %g", day, got[day], litres)
		case day > 30 && got[day] == 0:
			t.Errorf("the routine does not go on as planned on day %d", day)
		}
	}
	inside := map[int]float64{}
	for day, litres := range got {
		if day >= 16 && day <= 30 {
			inside[day] = math.Round(litres)
		}
	}
	if diff := cmp.Diff(map[int]float64{16: 20, 30: 10}, inside); diff != "" {
		t.Errorf("changes within the journal (-want +got):\n%s", diff)
	}
}

func TestStruckEntriesCountForNothing(t *testing.T) {
	p := desk(t)
	e := Entry{ID: "aaaaaaaa", At: on(p, 16, "18:00"), Kind: KindTask, Task: &Task{Do: "water-change", Done: true, Litres: 20}, Struck: true}
	if laid := Lay(p, []Entry{e}); laid.Plan != p {
		t.Error("a struck entry was laid over the plan")
	}
	test := Entry{ID: "bbbbbbbb", At: on(p, 3, "18:00"), Kind: KindTest, Test: &Test{Readings: []Reading{{"nitrate", 50, "mg/L"}}}, Struck: true}
	if lines := Compare(make([]forecast.Day, 10), nil, p.Planted, []Entry{test}); len(lines) > 0 {
		t.Errorf("a struck test stands beside the forecast: %+v", lines)
	}
}

func TestKindsTheJournalNeverNamesGoOnAsPlanned(t *testing.T) {
	p := desk(t)
	laid := Lay(p, []Entry{{ID: "aaaaaaaa", At: on(p, 10, "10:00"), Kind: KindTask, Task: &Task{Do: "glass", Done: true}}})
	count := func(p *plan.Plan, do string) (n int) {
		for _, c := range p.Care {
			if c.Do == do {
				n++
			}
		}
		return n
	}
	if count(laid.Plan, "water-change") != count(p, "water-change") {
		t.Errorf("water changes were touched by an entry about the glass")
	}
	if count(laid.Plan, "glass") <= count(p, "glass") {
		t.Errorf("what was done is not in the plan")
	}
}

func TestLossesAndArrivals(t *testing.T) {
	p := desk(t)
	group, place := p.Livestock[0], p.Plants[0]
	laid := Lay(p, []Entry{
		{ID: "aaaaaaaa-1", At: on(p, int(group.From)+5, "10:00"), Kind: KindLoss, Loss: &Loss{Stock: group.ID, Count: 2}},
		{ID: "aaaaaaaa-2", At: on(p, int(group.From)+9, "10:00"), Kind: KindLoss, Loss: &Loss{Stock: group.ID, Count: group.Count}},
		{ID: "aaaaaaaa-3", At: on(p, 20, "10:00"), Kind: KindLoss, Loss: &Loss{Planting: place.ID, Count: place.Pots}},
		{ID: "aaaaaaaa-4", At: on(p, 25, "10:00"), Kind: KindAdded, Added: &Added{Like: place.ID, Count: place.Pots}},
		{ID: "aaaaaaaa-5", At: on(p, 60, "10:00"), Kind: KindAdded, Added: &Added{Animals: true, Species: group.Species, Count: 3}},
		{ID: "aaaaaaaa-6", At: on(p, 27, "10:00"), Kind: KindLoss, Loss: &Loss{Planting: "nobody", Count: 1}},
	})
	if len(laid.Notes) != 1 || !strings.Contains(laid.Notes[0], on(p, 27, "10:00")) {
		t.Errorf("notes are %q", laid.Notes)
	}
	alive := func(day int) (n int) {
		for _, s := range laid.Plan.Livestock {
			if s.Species == group.Species && int(s.From) <= day && (s.Until == 0 || int(s.Until) > day) {
				n += s.Count
			}
		}
		return n
	}
	start := int(group.From)
	for day, want := range map[int]int{start: group.Count, start + 5: group.Count - 2, start + 9: 0} {
		if got := alive(day); got != want {
			t.Errorf("day %d: %d animals, want %d", day, got, want)
		}
	}
	f := run(t, laid.Plan, 40)
	standing := func(day int, id string) (n int) {
		for i := range f.Snapshots {
			if f.Snapshots[i].Day == day {
				for _, pl := range f.Snapshots[i].Plants {
					if pl.Planting == id {
						n++
					}
				}
			}
		}
		return n
	}
	if standing(14, place.ID) == 0 || standing(21, place.ID) != 0 || standing(28, "journal-aaaaaaaa-4") == 0 {
		t.Errorf("plants standing: day 14 %d, day 21 %d, replaced by day 28 %d", standing(14, place.ID), standing(21, place.ID), standing(28, "journal-aaaaaaaa-4"))
	}
	if diff := cmp.Diff(p.Livestock, desk(t).Livestock); diff != "" {
		t.Errorf("the plan itself was changed:\n%s", diff)
	}
}

// Whatever is written down, the plan that results can be forecast and the balance closes.
func TestAnyJournalCanBeForecast(t *testing.T) {
	p := desk(t)
	rapid.Check(t, func(rt *rapid.T) {
		var entries []Entry
		for i := range rapid.IntRange(1, 12).Draw(rt, "entries") {
			e := Entry{ID: fmt.Sprintf("aaaaaaaa-%d", i), At: on(p, rapid.IntRange(-3, 45).Draw(rt, "day"), "11:00")}
			switch rapid.IntRange(0, 3).Draw(rt, "kind") {
			case 0:
				e.Kind, e.Loss = KindLoss, &Loss{Planting: p.Plants[rapid.IntRange(0, len(p.Plants)-1).Draw(rt, "planting")].ID, Count: rapid.IntRange(1, 30).Draw(rt, "count")}
			case 1:
				e.Kind, e.Added = KindAdded, &Added{Like: p.Plants[rapid.IntRange(0, len(p.Plants)-1).Draw(rt, "planting")].ID, Count: rapid.IntRange(1, 12).Draw(rt, "count")}
			case 2:
				e.Kind, e.Loss = KindLoss, &Loss{Stock: p.Livestock[0].ID, Count: rapid.IntRange(1, 40).Draw(rt, "count")}
			default:
				do := rapid.SampledFrom([]string{"water-change", "dose", "trim", "thin", "outer-leaves", "replant-tops", "root-feed", "filter-clean", "siphon", "glass"}).Draw(rt, "do")
				e.Kind, e.Task = KindTask, &Task{Do: do, Done: rapid.Bool().Draw(rt, "done"), Share: rapid.Float64Range(0, 1).Draw(rt, "share"), Tablets: rapid.IntRange(0, 40).Draw(rt, "tablets")}
			}
			entries = append(entries, e)
		}
		f, err := forecast.Run(t.Context(), Lay(p, entries).Plan, forecast.Options{Days: 50, Seed: 1, Voxel: 0.06})
		if err != nil {
			rt.Fatal(err)
		}
		for _, b := range f.Balance.Elements {
			if b.Relative > 1e-9 {
				rt.Errorf("%s does not close: %g", b.Element, b.Relative)
			}
		}
	})
}

func TestReadingsInAnyUnit(t *testing.T) {
	for _, c := range []struct {
		r    Reading
		want float64 // NaN: refused
	}{
		{Reading{"nitrate", 10, "mg/L"}, 10},
		{Reading{"nitrate", 2.26, "mg/L as N"}, 10.005}, // NO3 = 4.4268 × NO3-N by molar masses
		{Reading{"temperature", 77, "°F"}, 25},
		{Reading{"kh", 5, "dKH"}, 5},
		{Reading{"kh", 89.2, "mg/L CaCO3"}, 5}, // 1 dKH = 17.85 mg/L as CaCO3
		{Reading{"gh", 10, "dGH"}, 10},
		{Reading{"ph", 6.8, ""}, 6.8},
		{Reading{"ph", 68, ""}, math.NaN()},
		{Reading{"ph", 7, "mg/L"}, math.NaN()},
		{Reading{"nitrate", 10, ""}, math.NaN()},
		{Reading{"nitrate", math.Inf(1), "mg/L"}, math.NaN()},
		{Reading{"gold", 1, "mg/L"}, math.NaN()},
	} {
		got, err := c.r.In()
		switch {
		case math.IsNaN(c.want) && err == nil:
			t.Errorf("%+v was taken as %g", c.r, got)
		case !math.IsNaN(c.want) && (err != nil || math.Abs(got-c.want) > 0.02):
			t.Errorf("%+v is %g, %v; want %g", c.r, got, err, c.want)
		}
	}
}

func TestMisfitIsSaidInWords(t *testing.T) {
	p := desk(t)
	f := run(t, p, 120)
	var entries []Entry
	for i, day := range []int{30, 63, 70, 84} {
		off := -6.0
		if day == 30 {
			off = 0.5
		}
		entries = append(entries, Entry{ID: fmt.Sprintf("aaaaaaaa-%d", i), At: on(p, day, "12:00"), Kind: KindTest, Test: &Test{Readings: []Reading{
			{"nitrate", f.Days[day].NO3 + off, "mg/L"}, {"temperature", f.Days[day].TempC, "°C"},
		}}})
	}
	slices.Reverse(entries)
	lines := Compare(f.Days, nil, p.Planted, entries)
	if len(lines) != 2 || lines[0].What != "temperature" || lines[1].What != "nitrate" {
		t.Fatalf("lines are %+v", lines)
	}
	if want := "Nitrate runs 6 mg/L under forecast since week 9, in 3 tests."; lines[1].Says != want {
		t.Errorf("it says %q, want %q", lines[1].Says, want)
	}
	if want := "Temperature agrees with the forecast within what a test can tell."; lines[0].Says != want {
		t.Errorf("it says %q, want %q", lines[0].Says, want)
	}
	single := Compare(f.Days, nil, p.Planted, entries[:1])
	if !strings.Contains(single[1].Says, "test again") {
		t.Errorf("of one test it says %q", single[1].Says)
	}
	// Before the change it stands beside the day before.
	e := Entry{ID: "aaaaaaaa", At: on(p, 63, "09:00"), Kind: KindTest, Test: &Test{Change: "before", Readings: []Reading{{"nitrate", 1, "mg/L"}}}}
	if got := Compare(f.Days, nil, p.Planted, []Entry{e})[0].Points[0].Low; math.Abs(got-f.Days[62].NO3) > 1e-3 {
		t.Errorf("before the change %g stands beside it, want %g", got, f.Days[62].NO3)
	}
}

func TestWrongEntriesAreNamed(t *testing.T) {
	for want, e := range map[string]Entry{
		"is no time":     {ID: "aaaaaaaa", At: "yesterday", Kind: KindNote},
		"needs its part": {ID: "aaaaaaaa", At: "2027-03-01", Kind: KindTest},
		"no kind":        {ID: "aaaaaaaa", At: "2027-03-01", Kind: "dream"},
		"two entries":    {ID: "aaaaaaaa", At: "2027-03-01", Kind: KindNote, Loss: &Loss{Stock: "x", Count: 1}},
		"one of the two": {ID: "aaaaaaaa", At: "2027-03-01", Kind: KindLoss, Loss: &Loss{Count: 1}},
		"at most 1":      {ID: "aaaaaaaa", At: "2027-03-01", Kind: KindTask, Task: &Task{Do: "trim", Share: 3}},
	} {
		if err := e.Check(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%+v gave %v, want %q", e, err, want)
		}
	}
}

// The forecast goes on from tests, and the misfit stays what it was before the forecast went on from them.
func TestForecastGoesOnFromTests(t *testing.T) {
	p := desk(t)
	plain := run(t, p, 60)
	test := func(id string, day int, over float64) Entry {
		return Entry{ID: id, At: on(p, day, "18:00"), Kind: KindTest, Test: &Test{Readings: []Reading{{"nitrate", plain.Days[day].NO3 + over, "mg/L"}, {"ph", 7, ""}}}}
	}
	entries := []Entry{test("aaaaaaaa-1", 30, 20), test("aaaaaaaa-2", 44, 0), {ID: "aaaaaaaa-3", At: on(p, 40, "18:00"), Kind: KindTest, Test: &Test{Readings: []Reading{{"ph", 7, ""}}}}}
	laid := Lay(p, entries)
	if len(laid.Plan.Measured) != 2 || len(laid.Notes) > 0 {
		t.Fatalf("laid as %+v", laid)
	}
	f := run(t, laid.Plan, 60)
	if got, want := f.Days[31].NO3, plain.Days[31].NO3+20; math.Abs(got-want) > 2 {
		t.Errorf("nitrate is %.1f mg/L the day after the test, want about %.1f", got, want)
	}
	var nitrate Line
	for _, l := range Compare(f.Days, f.Measured, p.Planted, entries) {
		if l.What == "nitrate" {
			nitrate = l
		} else if l.Points[0].GoesOn {
			t.Errorf("it is said that the forecast goes on from the %s", l.What)
		}
	}
	if len(nitrate.Points) != 2 || !nitrate.Points[0].GoesOn || math.Abs(nitrate.Points[0].Off-20) > 1 {
		t.Fatalf("nitrate beside the forecast: %+v", nitrate)
	}
	// Two weeks on, what is left of the 20 mg/L is what the forecast now has too much.
	if off := nitrate.Points[1].Off; off > -1 || off < -20 {
		t.Errorf("the second test lies off by %.2f mg/L", off)
	}
	if (&Entry{Kind: KindTest, Test: &Test{Readings: []Reading{{"ph", 7, ""}}}}).Moves() || !entries[0].Moves() {
		t.Error("tests of nitrate move a forecast, and tests of pH alone do not")
	}
}
