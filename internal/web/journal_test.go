package web

import (
	"bytes"
	"errors"
	"fmt"
	"littoral/internal/journal"
	"littoral/internal/shelf"
	"littoral/internal/store"
	"net/http"
	"strings"
	"sync"
	"testing"
	"time"
)

func note(id, at, text string) journal.Entry {
	return journal.Entry{ID: id, At: at, Kind: journal.KindNote, Text: text}
}

func (h *house) sync(tank string, entries ...SyncEntry) []SyncResult {
	h.Helper()
	var out Synced
	h.want(http.StatusOK, http.MethodPost, "/api/tanks/"+tank+"/journal", Sync{entries}, &out)
	return out.Results
}

func TestAVisitWithoutANetworkComesInOnce(t *testing.T) {
	h := serve(t, false)
	id, key := h.tank()
	var v shelf.VisitPage
	h.want(http.StatusOK, http.MethodGet, "/api/tanks/"+id+"/visit?date=2027-09-20", nil, &v)
	if v.Day != 14 || len(v.Lines) == 0 || len(v.Expect) != len(journal.Measured()) || len(v.Cautions) == 0 || v.Water == 0 {
		t.Errorf("the visit page is %+v", v)
	}
	day := 14
	yes := func(do, care string) *journal.Task {
		return &journal.Task{Do: do, Care: care, Done: true, Day: &day, Minutes: 10}
	}
	var batch []SyncEntry
	for i, task := range v.Work.Tasks {
		batch = append(batch, SyncEntry{Entry: journal.Entry{ID: fmt.Sprintf("visit-14-%d", i), At: "2027-09-20T18:10", Kind: journal.KindTask, Task: yes(task.Do, task.Care)}})
	}
	if len(batch) == 0 {
		t.Fatal("nothing is due on the day that the test takes")
	}
	batch = append(batch,
		SyncEntry{Entry: journal.Entry{ID: "visit-14-test", At: "2027-09-20T18:00", Kind: journal.KindTest, Test: &journal.Test{Change: "before", Readings: []journal.Reading{{What: "nitrate", Value: 30, Unit: "mg/L"}}}}},
		SyncEntry{Entry: journal.Entry{ID: "visit-14-loss", At: "2027-09-20T18:05", Kind: journal.KindLoss, Loss: &journal.Loss{Planting: "brown-crypts", Count: 1}}},
		SyncEntry{Entry: journal.Entry{ID: "visit-14-bad0", At: "2027-09-20T18:05", Kind: journal.KindTest, Test: &journal.Test{Readings: []journal.Reading{{What: "nitrate", Value: 3, Unit: "spoons"}}}}},
	)
	for round, want := range []string{store.Kept, store.Already} { // the answer was lost, the batch is sent again
		for i, r := range h.sync(id, batch...) {
			if i == len(batch)-1 {
				if r.Result != "refused" || !strings.Contains(r.Why, "nitrate") {
					t.Errorf("a reading in spoons became %+v", r)
				}
			} else if r.Result != want || r.Version != 1 {
				t.Errorf("round %d: %s became %+v", round, batch[i].Entry.ID, r)
			}
		}
	}
	var page EntryPage
	h.want(http.StatusOK, http.MethodGet, "/api/tanks/"+id+"/journal", nil, &page)
	if len(page.Entries) != len(batch)-1 || page.Next != "" {
		t.Errorf("the journal holds %d entries", len(page.Entries))
	}
	var c shelf.Calendar
	h.want(http.StatusOK, http.MethodGet, "/api/tanks/"+id+"/calendar?from=14&to=14", nil, &c)
	if len(c.Days) != 1 || len(c.Days[0].Tasks) != len(v.Work.Tasks) {
		t.Fatalf("the calendar is %+v", c)
	}
	for _, w := range c.Days[0].Tasks {
		if w.State != "done" {
			t.Errorf("%s is %s", w.Do, w.State)
		}
	}
	var m shelf.Measured
	h.want(http.StatusOK, http.MethodGet, "/api/tanks/"+id+"/measured", nil, &m)
	if len(m.Lines) != 1 || !strings.Contains(m.Lines[0].Says, "over forecast") {
		t.Errorf("measured is %+v", m)
	}
	var card shelf.Card
	h.want(http.StatusOK, http.MethodGet, "/api/tanks/"+id, nil, &card)
	if card.Fresh || card.Entries != len(batch)-1 || card.LastEntry != "2027-09-20T18:10" {
		t.Errorf("the card says %+v", card)
	}
	// The forecast runs on from what was done.
	next := h.forecast(id, 0)
	if next == key {
		t.Error("the journal did not move the forecast")
	}
	var r shelf.Result
	h.want(http.StatusOK, http.MethodGet, "/api/forecasts/"+next, nil, &r)
	if !r.Journal.Used || r.Journal.Until != 14 || len(r.Journal.Notes) > 0 {
		t.Errorf("of the journal was used %+v", r.Journal)
	}
	h.want(http.StatusOK, http.MethodGet, "/api/tanks/"+id, nil, &card)
	if !card.Fresh {
		t.Error("the forecast that took the journal in is not called fresh")
	}
	var asPlanned Started
	h.want(http.StatusOK, http.MethodPost, "/api/tanks/"+id+"/forecast", ForecastAsk{Days: days, AsPlanned: true}, &asPlanned)
	if asPlanned.State != "ready" || asPlanned.Key != key {
		t.Errorf("as planned it is %+v, want %s", asPlanned, key)
	}
	var s shelf.Story
	h.want(http.StatusOK, http.MethodGet, "/api/tanks/"+id+"/story", nil, &s)
	if len(s.Journal) != len(batch)-1 || len(s.Revisions) != 1 || s.Journal[0].At > s.Journal[1].At {
		t.Errorf("the story has %d entries and %d revisions", len(s.Journal), len(s.Revisions))
	}
}

// Two tabs open the same visit; both edit it, and nothing is overwritten silently.
func TestTwoTabsOneVisit(t *testing.T) {
	h := serve(t, false)
	id, _ := h.tank()
	h.sync(id, SyncEntry{Entry: note("shared-note", "2027-09-20T10:00", "first")})
	var results [2]SyncResult
	var wg sync.WaitGroup
	for i := range 2 {
		wg.Go(func() {
			results[i] = h.sync(id, SyncEntry{Base: 1, Entry: note("shared-note", "2027-09-20T10:00", fmt.Sprint("tab ", i))})[0]
		})
	}
	wg.Wait()
	won := 0
	if results[1].Result == store.Kept {
		won = 1
	}
	lost := results[1-won]
	if results[won].Result != store.Kept || lost.Result != store.Clash || lost.Current == nil || lost.Current.Text != fmt.Sprint("tab ", won) {
		t.Fatalf("the tabs got %+v", results)
	}
	var open EntryVersions
	h.want(http.StatusOK, http.MethodGet, "/api/tanks/"+id+"/conflicts", nil, &open)
	if len(open.Versions) != 1 || open.Versions[0].Entry.Text != fmt.Sprint("tab ", 1-won) {
		t.Errorf("conflicts are %+v", open)
	}
	if r := h.sync(id, SyncEntry{Base: lost.Base, Settles: true, Entry: note("shared-note", "2027-09-20T10:00", "both")})[0]; r.Result != store.Kept {
		t.Errorf("the decision became %+v", r)
	}
	h.want(http.StatusOK, http.MethodGet, "/api/tanks/"+id+"/conflicts", nil, &open)
	if len(open.Versions) != 0 {
		t.Errorf("after the decision %+v is open", open)
	}
	var all EntryVersions
	h.want(http.StatusOK, http.MethodGet, "/api/tanks/"+id+"/journal/shared-note", nil, &all)
	if len(all.Versions) != 4 {
		t.Errorf("%d versions are kept", len(all.Versions))
	}
}

func TestTheJournalIsReadInPages(t *testing.T) {
	h := serve(t, false)
	id, _ := h.tank()
	var batch []SyncEntry
	for i := range 120 {
		batch = append(batch, SyncEntry{Entry: note(fmt.Sprintf("note-%04d", i), fmt.Sprintf("2027-09-%02dT10:00", 1+i%9), "x")})
	}
	h.sync(id, batch...)
	seen := map[string]bool{}
	for after := ""; ; {
		var page EntryPage
		h.want(http.StatusOK, http.MethodGet, "/api/tanks/"+id+"/journal?limit=50&after="+strings.ReplaceAll(after, " ", "+"), nil, &page)
		for _, e := range page.Entries {
			if seen[e.Entry.ID] {
				t.Fatalf("%s came twice", e.Entry.ID)
			}
			seen[e.Entry.ID] = true
		}
		if after = page.Next; after == "" {
			break
		}
	}
	if len(seen) != 120 {
		t.Errorf("%d of 120 entries were seen", len(seen))
	}
}

func TestTablesOfTestsComeInAndGoOut(t *testing.T) {
	h := serve(t, false)
	id, _ := h.tank()
	at := "/api/tanks/" + id + "/tests"
	const table = "Date;Time;NO3 (mg/L);Temp °F;pH;Remark\n2027-09-10;18:30;12,5;77;6,8;calm\n11.9.2027;;<5;;7.0;\n\n"
	var read TestsRead
	h.want(http.StatusOK, http.MethodPost, at, table, &read)
	if read.Kept != 2 || len(read.Problems) > 0 {
		t.Fatalf("the table was read as %+v", read)
	}
	h.want(http.StatusOK, http.MethodPost, at, table, &read)
	if read.Kept != 0 || read.Already != 2 {
		t.Errorf("the same table again was read as %+v", read)
	}
	_, csv, _ := h.ask(http.MethodGet, at, nil)
	want := "2027-09-10,18:30,,25,6.8,,,12.5,,,,,,,,,\n2027-09-11,,,,7,,,5,,,,,,,,,\n"
	if !strings.HasSuffix(string(csv), want) {
		t.Errorf("the table that goes out is\n%s", csv)
	}
	_, xlsx, _ := h.ask(http.MethodGet, at+"?as=xlsx", nil)
	other := serve(t, false)
	otherID, _ := other.tank()
	for _, raw := range [][]byte{xlsx, csv} { // what goes out comes in elsewhere, whichever way
		read = TestsRead{}
		other.want(http.StatusOK, http.MethodPost, "/api/tanks/"+otherID+"/tests", raw, &read)
		if read.Kept+read.Already != 2 || len(read.Problems) > 0 {
			t.Errorf("the table was read elsewhere as %+v", read)
		}
	}
	_, again, _ := other.ask(http.MethodGet, "/api/tanks/"+otherID+"/tests", nil)
	if !bytes.Equal(csv, again) {
		t.Errorf("there and back it is\n%s", again)
	}
	for raw, want := range map[string]string{
		"a,b\n1,2\n": "date", "date,nitrate\n3/4/2027,5\n": "no date that is sure", "date,nitrate\n2027-01-01,many\n": "no number", "date,ph\n2027-01-01,99\n": "pH 99",
		"date,nitrate spoons\n2027-01-01,3\n": "nitrate", "\n": "no rows", "PK\x03\x04junk": "XLSX",
	} {
		h.want(http.StatusOK, http.MethodPost, at, raw, &read)
		if read.Kept > 0 || !strings.Contains(strings.Join(read.Problems, " "), want) {
			t.Errorf("%q was read as %+v, want %q", raw, read, want)
		}
	}
}

// Today moves what the shelf shows.
func TestTheShelfKnowsTheDay(t *testing.T) {
	h := serve(t, false)
	id, _ := h.tank() // planted on 2027-09-06
	for date, want := range map[string]struct{ today, shown, due int }{
		"2027-09-01": {-5, 0, 3}, "2027-09-06": {0, 0, 3}, "2027-09-10": {4, 0, 6}, "2027-10-05": {29, 28, 42},
	} {
		now, err := time.Parse(time.DateOnly, date)
		if err != nil {
			t.Fatal(err)
		}
		h.shelf.Now = func() time.Time { return now.Add(15 * time.Hour) }
		c, err := h.shelf.Card(t.Context(), id)
		if err != nil {
			t.Fatal(err)
		}
		due := -1
		if c.Due != nil {
			due = c.Due.Day
		}
		if *c.Today != want.today || c.ShownDay != want.shown || due != want.due {
			t.Errorf("on %s the card says day %d, shows %d, due on day %d", date, *c.Today, c.ShownDay, due)
		}
	}
}

func TestUnitsMoveTheForecastToo(t *testing.T) {
	h := serve(t, false)
	id, key := h.tank()
	h.want(http.StatusOK, http.MethodPut, "/api/settings", Settings{Units: "US", Language: "de"}, nil)
	var me Me
	h.want(http.StatusOK, http.MethodGet, "/api/me", nil, &me)
	if me.Units != "US" || me.Language != "de" {
		t.Errorf("the settings are %+v", me)
	}
	var c shelf.Card
	h.want(http.StatusOK, http.MethodPut, "/api/settings", Settings{Units: "metric"}, nil)
	h.want(http.StatusOK, http.MethodGet, "/api/tanks/"+id, nil, &c)
	if !c.Fresh {
		t.Error("choosing what holds anyway made the forecast stale")
	}
	h.want(http.StatusOK, http.MethodPut, "/api/settings", Settings{Units: "US"}, nil)
	h.want(http.StatusOK, http.MethodGet, "/api/tanks/"+id, nil, &c)
	if c.Fresh {
		t.Error("a forecast in other units is called fresh")
	}
	if next := h.forecast(id, 0); next == key {
		t.Error("the forecast did not change its units")
	}
	h.want(http.StatusNoContent, http.MethodDelete, "/api/tanks/"+id, nil, nil)
	h.want(http.StatusNotFound, http.MethodGet, "/api/tanks/"+id, nil, nil)
	h.want(http.StatusNotFound, http.MethodGet, "/api/forecasts/"+key, nil, nil)
}

// Another version of the program shows what it finds, and makes nothing of it as if it were its own.
func TestAForecastOfAnotherProgram(t *testing.T) {
	h := serve(t, false)
	id, key := h.tank()
	h.shelf.Engine = "another"
	var c shelf.Card
	h.want(http.StatusOK, http.MethodGet, "/api/tanks/"+id, nil, &c)
	if c.Fresh || !c.Old || c.Forecast != key || c.Picture == "" {
		t.Errorf("the card says %+v", c)
	}
	other, err := shelf.New(h.db, h.shelf.Photos)
	if err != nil {
		t.Fatal(err)
	}
	other.Engine = "another"
	if _, err := other.Live(t.Context(), key); !errors.Is(err, shelf.ErrOld) {
		t.Errorf("it took the forecast for its own: %v", err)
	}
	if next := h.forecast(id, 0); next == key {
		t.Error("it found its forecast under the other's key")
	}
}
