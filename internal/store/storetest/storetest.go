// Package storetest holds a database to what store.Store promises. Every database runs the same suite.
package storetest

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"littoral/internal/store"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// Run runs the suite; open gives a fresh, empty store for each test, which the suite closes.
func Run(t *testing.T, open func(t *testing.T) store.Store) {
	for _, c := range []struct {
		name string
		test func(t *testing.T, s store.Store)
	}{
		{"tanks come, are listed by name, and go with all that is theirs", tanks},
		{"revisions are kept whole and saved over the last one only", revisions},
		{"variants go their own way", variants},
		{"two savers over one revision: one wins", savers},
		{"a drawing rewrites its own revision until that is sealed", drawings},
		{"steps are taken back and done again in order, and a new one forgets those taken back", steps},
		{"forecasts are kept with their parts, and old ones cleared away", forecasts},
		{"an entry sent twice is kept once", entryTwice},
		{"entries changed by two are kept in both versions until one decides", entryConflict},
		{"an entry stays with its tank", entryOfAnotherTank},
		{"an entry that is taken back is told", entryTakenBack},
		{"the journal is read in pages without gaps or doubles", pages},
		{"writers of the journal do not disturb each other", writers},
		{"photos are known by their id", photos},
		{"people have names of their own", people},
		{"sessions come and go", sessions},
		{"links are found by their hash until revoked", links},
		{"the audit is read latest first", audit},
		{"settings", settings},
		{"palettes", palettes},
		{"a dump is written while others write", dump},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := open(t)
			c.test(t, s)
			if err := s.Close(); err != nil {
				t.Error(err)
			}
		})
	}
}

var made = time.Date(2027, 3, 1, 8, 0, 0, 0, time.UTC)

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func is(t *testing.T, err, want error) {
	t.Helper()
	if !errors.Is(err, want) {
		t.Errorf("the error is %v, want %v", err, want)
	}
}

func same(t *testing.T, want, got any) {
	t.Helper()
	if diff := cmp.Diff(want, got, cmpopts.EquateEmpty()); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}

func put(t *testing.T, s store.Store, id, name string) store.Tank {
	t.Helper()
	tank, err := s.AddTank(t.Context(), id, "2027-03-01", store.Revision{Name: name, Plan: "name: " + name, Sum: "sum-" + id, Author: "Ada", Made: made, Files: []store.File{{Name: "meshes/a.obj", Data: []byte("v 0 0 0")}}})
	must(t, err)
	return tank
}

func tanks(t *testing.T, s store.Store) {
	ctx := t.Context()
	b := put(t, s, "b", "beech room")
	a := put(t, s, "a", "Aula")
	_, err := s.AddTank(ctx, "a", "", store.Revision{Made: made})
	is(t, err, store.ErrTaken)
	list, err := s.Tanks(ctx)
	must(t, err)
	same(t, []store.Tank{a, b}, list)
	got, err := s.Tank(ctx, "a")
	must(t, err)
	same(t, store.Tank{ID: "a", Name: "Aula", Planted: "2027-03-01", Current: 1, Made: made, Changed: made}, got)
	_, err = s.Tank(ctx, "none")
	is(t, err, store.ErrNotFound)
	_, err = s.PutEntry(ctx, store.Entry{ID: "e", Tank: "a", Kind: "note", At: "2027-03-01", Body: "{}", Received: made}, false)
	must(t, err)
	for i, tank := range []string{"a", "a", "b"} {
		must(t, s.AddPhoto(ctx, store.Photo{ID: fmt.Sprint("p", i), Tank: tank, Sum: fmt.Sprint("s", max(1, i)), At: "2027-03-01", Made: made})) // s1 is of a alone, s2 of b alone
	}
	must(t, s.AddPhoto(ctx, store.Photo{ID: "p9", Tank: "a", Sum: "s2", At: "2027-03-01", Made: made})) // and of a too
	unused, err := s.DeleteTank(ctx, "a")
	must(t, err)
	same(t, []string{"s1"}, unused)
	_, err = s.DeleteTank(ctx, "a")
	is(t, err, store.ErrNotFound)
	_, err = s.Revision(ctx, "a", 1)
	is(t, err, store.ErrNotFound)
	v, err := s.EntryVersions(ctx, "e")
	must(t, err)
	same(t, []store.Entry{}, v)
	r, err := s.Revision(ctx, "b", 1) // whose file has the same content as that of the tank that is gone
	must(t, err)
	same(t, []store.File{{Name: "meshes/a.obj", Data: []byte("v 0 0 0")}}, r.Files)
}

func revisions(t *testing.T, s store.Store) {
	ctx := t.Context()
	put(t, s, "a", "Aula")
	later := made.Add(time.Hour)
	r, err := s.AddRevision(ctx, store.Revision{Tank: "a", Base: 1, Name: "leaner", Plan: "name: Aula 2", Sum: "two", Author: "Bo", Made: later, Files: []store.File{{Name: "prices.csv", Data: []byte{}}}}, "Aula 2", "2027-04-01")
	must(t, err)
	if r.Number != 2 {
		t.Errorf("the second revision is number %d", r.Number)
	}
	tank, err := s.Tank(ctx, "a")
	must(t, err)
	same(t, store.Tank{ID: "a", Name: "Aula 2", Planted: "2027-04-01", Current: 2, Made: made, Changed: later}, tank)
	_, err = s.AddRevision(ctx, store.Revision{Tank: "a", Base: 1, Plan: "x", Made: later}, "x", "")
	var clash store.Conflict
	if !errors.As(err, &clash) || clash != (store.Conflict{Base: 1, Last: 2}) {
		t.Errorf("saving over an old revision gave %v", err)
	}
	_, err = s.AddRevision(ctx, store.Revision{Tank: "none", Base: 1, Made: later}, "", "")
	is(t, err, store.ErrNotFound)
	must(t, s.NameRevision(ctx, "a", 1, "as offered"))
	is(t, s.NameRevision(ctx, "a", 9, "x"), store.ErrNotFound)
	first, err := s.Revision(ctx, "a", 1)
	must(t, err)
	same(t, store.Revision{Tank: "a", Number: 1, Name: "as offered", Plan: "name: Aula", Sum: "sum-a", Author: "Ada", Made: made, Files: []store.File{{Name: "meshes/a.obj", Data: []byte("v 0 0 0")}}}, first)
	list, err := s.Revisions(ctx, "a")
	must(t, err)
	same(t, []store.Revision{
		{Tank: "a", Number: 2, Base: 1, Name: "leaner", Sum: "two", Author: "Bo", Made: later},
		{Tank: "a", Number: 1, Name: "as offered", Sum: "sum-a", Author: "Ada", Made: made},
	}, list)
	_, err = s.Revisions(ctx, "none")
	is(t, err, store.ErrNotFound)
}

// draw writes the plan in force of tank a.
func draw(t *testing.T, s store.Store, was, plan string, step store.Step) (store.Revision, error) {
	t.Helper()
	return s.DrawPlan(t.Context(), store.Drawing{Tank: "a", Was: was, Plan: plan, Sum: "sum-" + plan, Author: "Bo", Made: made.Add(time.Hour), Title: plan, Planted: "2027-04-01", Step: step})
}

func drawings(t *testing.T, s store.Store) {
	ctx := t.Context()
	put(t, s, "a", "Aula")
	_, err := draw(t, s, "another", "x", store.Step{Label: "x"})
	var moved store.Moved
	if !errors.As(err, &moved) || moved.Last != 1 {
		t.Fatalf("drawn over what is not there: %v", err)
	}
	one, err := draw(t, s, "sum-a", "one", store.Step{Label: "move a stone", Old: "name: Aula", New: "one"})
	must(t, err)
	if one.Number != 2 || one.Base != 1 || !one.Open {
		t.Errorf("the first drawing is %+v", one)
	}
	two, err := draw(t, s, one.Sum, "two", store.Step{Label: "turn it", Old: "one", New: "two"})
	must(t, err)
	if two.Number != 2 {
		t.Errorf("the second drawing is in revision %d", two.Number)
	}
	r, err := s.Revision(ctx, "a", 2)
	must(t, err)
	same(t, "two", r.Plan)
	same(t, []store.File{{Name: "meshes/a.obj", Data: []byte("v 0 0 0")}}, r.Files)
	now, err := s.InForce(ctx, "a")
	must(t, err)
	if now.Number != 2 || now.Plan != "two" || now.Files != nil {
		t.Errorf("in force is %+v", now)
	}
	first, err := s.Revision(ctx, "a", 1)
	must(t, err)
	same(t, "name: Aula", first.Plan)
	tank, err := s.Tank(ctx, "a")
	must(t, err)
	if tank.Current != 2 || tank.Name != "two" || tank.Planted != "2027-04-01" {
		t.Errorf("the tank is %+v", tank)
	}
	must(t, s.Seal(ctx, "a"))
	three, err := draw(t, s, two.Sum, "three", store.Step{Label: "x", Old: "two", New: "three"})
	must(t, err)
	if three.Number != 3 {
		t.Errorf("a sealed revision was written: %+v", three)
	}
	must(t, s.NameRevision(ctx, "a", 3, "for the client")) // what has a name stays
	four, err := draw(t, s, three.Sum, "four", store.Step{Label: "x", Old: "three", New: "four"})
	must(t, err)
	if four.Number != 4 || four.Name != "" {
		t.Errorf("a named revision was written: %+v", four)
	}
	files := []store.File{{Name: "meshes/b.stl", Data: []byte("solid")}}
	five, err := s.DrawPlan(ctx, store.Drawing{Tank: "a", Was: four.Sum, Plan: "five", Sum: "sum-five", Made: made, Title: "five", Files: files, Step: store.Step{Label: "x", Old: "four", New: "five"}})
	must(t, err)
	r, err = s.Revision(ctx, "a", five.Number)
	must(t, err)
	if five.Number != 5 || len(r.Files) != 1 || r.Files[0].Name != "meshes/b.stl" {
		t.Errorf("with a file it is %+v", r)
	}
	saved, err := s.AddRevision(ctx, store.Revision{Tank: "a", Base: 5, Plan: "six", Sum: "sum-six", Made: made}, "six", "")
	must(t, err)
	seven, err := draw(t, s, saved.Sum, "seven", store.Step{Label: "x", Old: "six", New: "seven"})
	must(t, err)
	if seven.Number != 7 || seven.Base != 6 {
		t.Errorf("after a save the drawing is %+v", seven)
	}
	_, err = s.InForce(ctx, "none")
	is(t, err, store.ErrNotFound)
	_, err = s.DrawPlan(ctx, store.Drawing{Tank: "none"})
	is(t, err, store.ErrNotFound)
}

func steps(t *testing.T, s store.Store) {
	ctx := t.Context()
	put(t, s, "a", "Aula")
	told := func(undo, redo string) (u, r store.Step) {
		t.Helper()
		u, r, err := s.Steps(ctx, "a")
		must(t, err)
		if u.Label != undo || r.Label != redo {
			t.Fatalf("undo %q, redo %q, want %q and %q", u.Label, r.Label, undo, redo)
		}
		return u, r
	}
	told("", "")
	was := "sum-a"
	for i, text := range []string{"one", "two", "three"} {
		r, err := draw(t, s, was, text, store.Step{Label: "to " + text, At: i, Old: "o" + text, New: "n" + text})
		must(t, err)
		was = r.Sum
	}
	u, _ := told("to three", "")
	same(t, store.Step{Number: 3, Label: "to three", At: 2, Old: "othree", New: "nthree", Author: "Bo", Made: made.Add(time.Hour)}, u)
	for _, c := range []struct{ text, undo, redo string }{{"two", "to two", "to three"}, {"one", "to one", "to two"}, {"zero", "", "to one"}} {
		u, _, err := s.Steps(ctx, "a")
		must(t, err)
		r, err := draw(t, s, was, c.text, store.Step{Number: u.Number})
		must(t, err)
		was = r.Sum
		told(c.undo, c.redo)
	}
	_, redo := told("", "to one")
	r, err := draw(t, s, was, "one", store.Step{Number: redo.Number})
	must(t, err)
	told("to one", "to two")
	var moved store.Moved
	if _, err := draw(t, s, r.Sum, "three", store.Step{Number: 3}); !errors.As(err, &moved) { // neither next nor last
		t.Errorf("a step out of order gave %v", err)
	}
	told("to one", "to two")
	r, err = draw(t, s, r.Sum, "other", store.Step{Label: "to other"})
	must(t, err)
	told("to other", "")
	if _, err := s.AddRevision(ctx, store.Revision{Tank: "a", Base: r.Number, Plan: "saved", Sum: "s", Made: made, Step: store.Step{Label: "saved", Old: "other", New: "saved"}}, "saved", ""); err != nil {
		t.Fatal(err)
	}
	told("saved", "")
	_, err = s.DeleteTank(ctx, "a")
	must(t, err)
	told("", "")
}

func variants(t *testing.T, s store.Store) {
	ctx := t.Context()
	put(t, s, "a", "Aula")
	save := func(variant string, base int) (int, error) {
		r, err := s.AddRevision(ctx, store.Revision{Tank: "a", Variant: variant, Base: base, Plan: variant, Made: made}, "changed", "")
		return r.Number, err
	}
	n, err := save("other lamp", 1)
	must(t, err)
	same(t, 2, n)
	n, err = save("", 1) // the plan in force was not touched by the variant
	must(t, err)
	same(t, 3, n)
	n, err = save("other lamp", 2)
	must(t, err)
	same(t, 4, n)
	if _, err = save("other lamp", 3); !errors.As(err, new(store.Conflict)) {
		t.Errorf("a variant saved over another line gave %v", err)
	}
	_, err = save("third", 99)
	is(t, err, store.ErrNotFound)
	tank, err := s.Tank(ctx, "a")
	must(t, err)
	same(t, 3, tank.Current)
}

func savers(t *testing.T, s store.Store) {
	put(t, s, "a", "Aula")
	var wg sync.WaitGroup
	var lock sync.Mutex
	won := 0
	for i := range 8 {
		wg.Go(func() {
			_, err := s.AddRevision(context.Background(), store.Revision{Tank: "a", Base: 1, Plan: fmt.Sprint(i), Made: made}, "x", "")
			lock.Lock()
			defer lock.Unlock()
			switch {
			case err == nil:
				won++
			case !errors.As(err, new(store.Conflict)):
				t.Error(err)
			}
		})
	}
	wg.Wait()
	if won != 1 {
		t.Errorf("%d savers won", won)
	}
}

func forecasts(t *testing.T, s store.Store) {
	ctx := t.Context()
	put(t, s, "a", "Aula")
	for i := range 12 {
		f := store.Forecast{Key: fmt.Sprint("k", i), Tank: "a", Revision: 1, Engine: "e", Days: 10, Made: made.Add(time.Duration(i) * time.Minute)}
		must(t, s.AddForecast(ctx, f, []store.Part{{Name: "result", Type: "application/json", Data: []byte{1, byte(i)}}}, i == 2))
	}
	is(t, s.AddForecast(ctx, store.Forecast{Key: "x", Tank: "none", Made: made}, nil, false), store.ErrNotFound)
	tank, err := s.Tank(ctx, "a")
	must(t, err)
	same(t, "k2", tank.Forecast)
	_, err = s.Forecast(ctx, "k2") // the last one is never cleared away
	must(t, err)
	_, err = s.Forecast(ctx, "k0")
	is(t, err, store.ErrNotFound)
	_, err = s.Part(ctx, "k0", "result")
	is(t, err, store.ErrNotFound)
	p, err := s.Part(ctx, "k11", "result")
	must(t, err)
	same(t, store.Part{Name: "result", Type: "application/json", Data: []byte{1, 11}}, p)
	must(t, s.PutPart(ctx, "k11", store.Part{Name: "result", Type: "image/png", Data: []byte{7}}))
	p, err = s.Part(ctx, "k11", "result")
	must(t, err)
	same(t, store.Part{Name: "result", Type: "image/png", Data: []byte{7}}, p)
	is(t, s.PutPart(ctx, "none", store.Part{Name: "x"}), store.ErrNotFound)
	put(t, s, "b", "Beech") // has none
	last, err := s.LastForecasts(ctx, "result")
	must(t, err)
	same(t, map[string]store.Last{"a": {
		Forecast: store.Forecast{Key: "k2", Tank: "a", Revision: 1, Engine: "e", Days: 10, Made: made.Add(2 * time.Minute)},
		Part:     store.Part{Name: "result", Type: "application/json", Data: []byte{1, 2}},
	}}, last)
	_, err = s.Part(ctx, "k11", "none")
	is(t, err, store.ErrNotFound)
}

func entry(id, body string, base int) store.Entry {
	return store.Entry{ID: id, Tank: "a", Base: base, Kind: "note", At: "2027-03-02T10:00", Body: body, Author: "Ada", Received: made}
}

func putEntry(t *testing.T, s store.Store, e store.Entry, settles bool, result string, version int) store.Put {
	t.Helper()
	p, err := s.PutEntry(t.Context(), e, settles)
	must(t, err)
	if p.Result != result || p.Version != version {
		t.Errorf("%s over %d became %s as version %d, want %s as %d", e.Body, e.Base, p.Result, p.Version, result, version)
	}
	return p
}

func entryTwice(t *testing.T, s store.Store) {
	put(t, s, "a", "Aula")
	putEntry(t, s, entry("e", "one", 0), false, store.Kept, 1)
	putEntry(t, s, entry("e", "one", 0), false, store.Already, 1)
	putEntry(t, s, entry("e", "two", 1), false, store.Kept, 2)
	putEntry(t, s, entry("e", "two", 1), false, store.Already, 2)
	putEntry(t, s, entry("e", "one", 0), false, store.Already, 1) // an answer that came late
	all, err := s.AllEntries(t.Context(), "a")
	must(t, err)
	if len(all) != 1 || all[0].Body != "two" || all[0].Version != 2 {
		t.Errorf("in force are %+v", all)
	}
	v, err := s.EntryVersions(t.Context(), "e")
	must(t, err)
	if len(v) != 2 || v[0].State != store.Old || v[1].State != store.Current {
		t.Errorf("versions are %+v", v)
	}
}

// Taking back what moved the forecast moves it too.
func entryTakenBack(t *testing.T, s store.Store) {
	put(t, s, "a", "Aula")
	e := entry("e", "one", 0)
	e.Moves = true
	putEntry(t, s, e, false, store.Kept, 1)
	e = entry("e", "never mind", 1)
	e.Received = made.Add(time.Hour)
	putEntry(t, s, e, false, store.Kept, 2)
	counts, err := s.CountEntries(t.Context())
	must(t, err)
	same(t, made.Add(time.Hour), counts["a"].Moved)
}

func entryConflict(t *testing.T, s store.Store) {
	ctx := t.Context()
	put(t, s, "a", "Aula")
	putEntry(t, s, entry("e", "one", 0), false, store.Kept, 1)
	putEntry(t, s, entry("e", "by Ada", 1), false, store.Kept, 2)
	p := putEntry(t, s, entry("e", "by Bo", 1), false, store.Clash, 3)
	if p.Current.Body != "by Ada" || p.Current.Version != 2 {
		t.Errorf("in force is %+v", p.Current)
	}
	putEntry(t, s, entry("e", "by Bo", 1), false, store.Clash, 3)
	open, err := s.Conflicts(ctx, "a")
	must(t, err)
	if len(open) != 1 || open[0].Body != "by Bo" {
		t.Errorf("conflicts are %+v", open)
	}
	counts, err := s.CountEntries(ctx)
	must(t, err)
	same(t, map[string]store.Counted{"a": {Entries: 1, Conflicts: 1, Last: "2027-03-02T10:00"}}, counts)
	putEntry(t, s, entry("e", "both", 2), true, store.Kept, 4)
	open, err = s.Conflicts(ctx, "a")
	must(t, err)
	same(t, []store.Entry{}, open)
	v, err := s.EntryVersions(ctx, "e")
	must(t, err)
	var states []string
	for _, x := range v {
		states = append(states, x.Body+" "+x.State)
	}
	same(t, []string{"one old", "by Ada old", "by Bo settled", "both current"}, states)
	// Deciding for the version in force, word for word, decides too.
	putEntry(t, s, entry("e", "again", 2), false, store.Clash, 5)
	putEntry(t, s, entry("e", "both", 4), true, store.Kept, 6)
	open, err = s.Conflicts(ctx, "a")
	must(t, err)
	same(t, []store.Entry{}, open)
}

func entryOfAnotherTank(t *testing.T, s store.Store) {
	put(t, s, "a", "Aula")
	put(t, s, "b", "Beech")
	putEntry(t, s, entry("e", "one", 0), false, store.Kept, 1)
	e := entry("e", "two", 1)
	e.Tank = "b"
	_, err := s.PutEntry(t.Context(), e, false)
	is(t, err, store.ErrTaken)
	e = entry("f", "x", 0)
	e.Tank = "none"
	_, err = s.PutEntry(t.Context(), e, false)
	is(t, err, store.ErrNotFound)
}

func pages(t *testing.T, s store.Store) {
	ctx := t.Context()
	put(t, s, "a", "Aula")
	put(t, s, "b", "Beech")
	for i := range 57 {
		e := entry(fmt.Sprintf("e%02d", i), "{}", 0)
		e.At = fmt.Sprintf("2027-03-%02d", 1+i%5) // many of one time
		if i%3 == 0 {
			e.Kind, e.Moves, e.Received = "task", true, made.Add(time.Duration(i)*time.Second)
		}
		putEntry(t, s, e, false, store.Kept, 1)
	}
	for kind, want := range map[string]int{"": 57, "task": 19, "test": 0} {
		seen := map[string]bool{}
		at, id, before := "", "", "~"
		for {
			list, err := s.Entries(ctx, "a", kind, at, id, 10)
			must(t, err)
			for _, e := range list {
				if seen[e.ID] || e.At > before {
					t.Fatalf("%s of %s came twice or out of order", e.ID, e.At)
				}
				seen[e.ID], before = true, e.At
			}
			if len(list) < 10 {
				break
			}
			at, id = list[9].At, list[9].ID
		}
		if len(seen) != want {
			t.Errorf("kind %q: %d entries were seen, want %d", kind, len(seen), want)
		}
	}
	movers, err := s.Movers(ctx, "a")
	must(t, err)
	if len(movers) != 19 || movers[0].At > movers[18].At || !movers[0].Moves {
		t.Errorf("%d entries move the forecast", len(movers))
	}
	counts, err := s.CountEntries(ctx)
	must(t, err)
	same(t, map[string]store.Counted{"a": {Entries: 57, Last: "2027-03-05", Moved: made.Add(54 * time.Second)}}, counts)
	none, err := s.Entries(ctx, "b", "", "", "", 10)
	must(t, err)
	same(t, []store.Entry{}, none)
}

func writers(t *testing.T, s store.Store) {
	put(t, s, "a", "Aula")
	var wg sync.WaitGroup
	for w := range 6 {
		wg.Go(func() {
			for i := range 15 {
				if _, err := s.PutEntry(context.Background(), entry(fmt.Sprintf("w%d-%d", w, i), "{}", 0), false); err != nil {
					t.Error(err)
				}
				if _, err := s.Tanks(context.Background()); err != nil {
					t.Error(err)
				}
				if err := s.PutSetting(context.Background(), fmt.Sprint(w), fmt.Sprint(i)); err != nil {
					t.Error(err)
				}
			}
		})
	}
	wg.Wait()
	all, err := s.AllEntries(t.Context(), "a")
	must(t, err)
	if len(all) != 90 {
		t.Errorf("%d of 90 entries were kept", len(all))
	}
}

func photos(t *testing.T, s store.Store) {
	ctx := t.Context()
	put(t, s, "a", "Aula")
	p := store.Photo{ID: "p1", Tank: "a", Sum: "s1", Mark: "front", At: "2027-03-02T10:00", Width: 4, Height: 3, Bytes: 99, Author: "Ada", Made: made}
	must(t, s.AddPhoto(ctx, p))
	must(t, s.AddPhoto(ctx, p))
	other := p
	other.Sum = "s2"
	is(t, s.AddPhoto(ctx, other), store.ErrTaken)
	other.ID, other.Sum, other.At = "p2", "s1", "2027-03-03T10:00"
	must(t, s.AddPhoto(ctx, other))
	list, err := s.Photos(ctx, "a")
	must(t, err)
	same(t, []store.Photo{other, p}, list)
	got, err := s.Photo(ctx, "p1")
	must(t, err)
	same(t, p, got)
	left, err := s.DeletePhoto(ctx, "p1")
	must(t, err)
	same(t, 1, left)
	left, err = s.DeletePhoto(ctx, "p2")
	must(t, err)
	same(t, 0, left)
	_, err = s.DeletePhoto(ctx, "p2")
	is(t, err, store.ErrNotFound)
}

func people(t *testing.T, s store.Store) {
	ctx := t.Context()
	u := store.User{ID: "1", Name: "Ada", Role: store.Owner, Hash: "h", Made: made}
	must(t, s.AddUser(ctx, u))
	is(t, s.AddUser(ctx, store.User{ID: "2", Name: "ada", Role: store.Crew, Made: made}), store.ErrTaken)
	got, err := s.UserByName(ctx, "ADA")
	must(t, err)
	same(t, u, got)
	u.Role, u.Closed, u.Hash = store.Crew, true, "h2"
	must(t, s.SetUser(ctx, u))
	got, err = s.User(ctx, "1")
	must(t, err)
	same(t, u, got)
	list, err := s.Users(ctx)
	must(t, err)
	same(t, []store.User{u}, list)
	is(t, s.SetUser(ctx, store.User{ID: "9", Role: store.Crew}), store.ErrNotFound)
	_, err = s.UserByName(ctx, "Bo")
	is(t, err, store.ErrNotFound)
}

func sessions(t *testing.T, s store.Store) {
	ctx := t.Context()
	until := time.Now().Add(time.Hour).UTC().Truncate(time.Millisecond)
	must(t, s.PutSession(ctx, "t", []byte("one"), until))
	must(t, s.PutSession(ctx, "t", []byte("two"), until))
	b, expiry, err := s.Session(ctx, "t")
	must(t, err)
	same(t, "two", string(b))
	same(t, until, expiry)
	must(t, s.DeleteSession(ctx, "t"))
	_, _, err = s.Session(ctx, "t")
	is(t, err, store.ErrNotFound)
}

func links(t *testing.T, s store.Store) {
	ctx := t.Context()
	put(t, s, "a", "Aula")
	l := store.Link{ID: "1", Tank: "a", Name: "library", Hash: "h", Made: made, Expiry: made.Add(time.Hour)}
	must(t, s.AddLink(ctx, l))
	is(t, s.AddLink(ctx, store.Link{ID: "2", Tank: "a", Hash: "h", Made: made}), store.ErrTaken)
	is(t, s.RevokeLink(ctx, "b", "1", made), store.ErrNotFound)
	must(t, s.RevokeLink(ctx, "a", "1", made.Add(time.Minute)))
	is(t, s.RevokeLink(ctx, "a", "1", made), store.ErrNotFound)
	l.Revoked = made.Add(time.Minute)
	got, err := s.LinkByHash(ctx, "h")
	must(t, err)
	same(t, l, got)
	list, err := s.Links(ctx, "a")
	must(t, err)
	same(t, []store.Link{l}, list)
	_, err = s.LinkByHash(ctx, "x")
	is(t, err, store.ErrNotFound)
}

func audit(t *testing.T, s store.Store) {
	ctx := t.Context()
	for i := range 5 {
		must(t, s.AddAct(ctx, store.Act{At: made, Who: "Ada", What: fmt.Sprint(i), Tank: "a", Status: 200}))
	}
	list, err := s.Acts(ctx, 0, 3)
	must(t, err)
	next, err := s.Acts(ctx, list[2].Number, 3)
	must(t, err)
	var whats string
	for _, a := range append(list, next...) {
		whats += a.What
	}
	same(t, "43210", whats)
}

func settings(t *testing.T, s store.Store) {
	ctx := t.Context()
	v, err := s.Setting(ctx, "units")
	must(t, err)
	same(t, "", v)
	must(t, s.PutSetting(ctx, "units", "US"))
	must(t, s.PutSetting(ctx, "units", "metric"))
	v, err = s.Setting(ctx, "units")
	must(t, err)
	same(t, "metric", v)
}

func dump(t *testing.T, s store.Store) {
	put(t, s, "a", "Aula")
	done := make(chan error, 1)
	go func() {
		for i := range 60 {
			if _, err := s.PutEntry(context.Background(), entry(fmt.Sprint("d", i), "{}", 0), false); err != nil {
				done <- err
				return
			}
		}
		done <- nil
	}()
	var b bytes.Buffer
	must(t, s.Dump(t.Context(), &b))
	must(t, <-done)
	if b.Len() == 0 {
		t.Error("the dump is empty")
	}
}

func palettes(t *testing.T, s store.Store) {
	ctx := t.Context()
	shade := store.Palette{ID: "p1", Name: "Shade", Species: []string{"Anubias barteri", "Cryptocoryne wendtii"}, Author: "Ada", Changed: made}
	must(t, s.PutPalette(ctx, shade))
	must(t, s.PutPalette(ctx, store.Palette{ID: "p2", Name: "Blood", Species: []string{}, Author: "Ada", Changed: made}))
	shade.Species = append(shade.Species, "Leptochilus pteropus")
	must(t, s.PutPalette(ctx, shade))
	list, err := s.Palettes(ctx)
	must(t, err)
	same(t, []store.Palette{{ID: "p2", Name: "Blood", Species: []string{}, Author: "Ada", Changed: made}, shade}, list)
	must(t, s.DeletePalette(ctx, "p2"))
	is(t, s.DeletePalette(ctx, "p2"), store.ErrNotFound)
	list, err = s.Palettes(ctx)
	must(t, err)
	same(t, []store.Palette{shade}, list)
}
