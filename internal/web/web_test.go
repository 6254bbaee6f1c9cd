package web

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"littoral/internal/jobs"
	"littoral/internal/papers"
	"littoral/internal/shelf"
	"littoral/internal/store"
	"littoral/internal/store/sqlite"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

func TestMain(m *testing.M) {
	hashing.Memory, hashing.Iterations = 64, 1 // KiB: the strength of the hash is the library's business
	m.Run()
}

// house is a server on a real port over a store in a folder of its own.
type house struct {
	*testing.T
	url    string
	client *http.Client
	db     *sqlite.DB
	shelf  *shelf.Shelf
	server *Server
	file   string
}

func serve(t *testing.T, accounts bool) *house {
	t.Helper()
	dir := t.TempDir()
	h := &house{T: t, file: filepath.Join(dir, store.DatabaseFile)}
	var err error
	if h.db, err = sqlite.Open(t.Context(), h.file); err != nil {
		t.Fatal(err)
	}
	if h.shelf, err = shelf.New(h.db, store.Album{Dir: filepath.Join(dir, store.PhotoDir)}); err != nil {
		t.Fatal(err)
	}
	queue, err := jobs.Open(t.Context(), sqlite.Address(filepath.Join(dir, "queue.sqlite"), "NORMAL"), Works(h.shelf), 2)
	if err != nil {
		t.Fatal(err)
	}
	h.server = New(h.shelf, queue, Config{Version: "test", Accounts: accounts, Log: t.Logf})
	s := httptest.NewUnstartedServer(h.server)
	if accounts {
		s.StartTLS()
	} else {
		s.Start()
	}
	h.url, h.client = s.URL, s.Client()
	h.client.Timeout = 2 * time.Minute
	t.Cleanup(func() {
		s.Close()
		if err := queue.Close(context.Background()); err != nil {
			t.Error(err)
		}
		if err := h.db.Close(); err != nil {
			t.Error(err)
		}
	})
	return h
}

// as returns the same house with cookies of its own.
func (h *house) as() *house {
	other := *h
	jar, err := cookiejar.New(nil)
	if err != nil {
		h.Fatal(err)
	}
	client := *h.client
	client.Jar = jar
	other.client = &client
	return &other
}

// ask sends a request and returns status, body and head. A body that is no reader is sent as JSON.
func (h *house) ask(method, path string, in any, head ...string) (int, []byte, http.Header) {
	h.Helper()
	var body io.Reader
	kind := "application/json"
	switch v := in.(type) {
	case nil:
	case []byte:
		body, kind = bytes.NewReader(v), "application/octet-stream"
	case string:
		body = strings.NewReader(v)
	default:
		b, err := json.Marshal(v)
		if err != nil {
			h.Fatal(err)
		}
		body = bytes.NewReader(b)
	}
	r, err := http.NewRequestWithContext(context.Background(), method, h.url+path, body)
	if err != nil {
		h.Fatal(err)
	}
	if body != nil {
		r.Header.Set("Content-Type", kind)
	}
	for i := 0; i+1 < len(head); i += 2 {
		if head[i] == "Host" {
			r.Host = head[i+1]
		}
		r.Header.Set(head[i], head[i+1])
	}
	w, err := h.client.Do(r)
	if err != nil {
		h.Fatalf("%s %s: %v", method, path, err)
	}
	defer w.Body.Close() //nolint:errcheck // read only
	out, err := io.ReadAll(w.Body)
	if err != nil {
		h.Fatalf("%s %s: %v", method, path, err)
	}
	return w.StatusCode, out, w.Header
}

// get asks for JSON and expects a status.
func (h *house) want(status int, method, path string, in, out any) {
	h.Helper()
	got, b, _ := h.ask(method, path, in)
	if got != status {
		h.Fatalf("%s %s gave %d, want %d: %.600s", method, path, got, status, b)
	}
	if out != nil {
		if err := json.Unmarshal(b, out); err != nil {
			h.Fatalf("%s %s: %v in %.300s", method, path, err, b)
		}
	}
}

// finished follows a job over server-sent events to its end.
func (h *house) finished(id int64) Job {
	h.Helper()
	status, b, head := h.ask(http.MethodGet, fmt.Sprintf("/api/jobs/%d/events", id), nil)
	if status != http.StatusOK || !strings.HasPrefix(head.Get("Content-Type"), "text/event-stream") {
		h.Fatalf("the events of job %d gave %d %s", id, status, head.Get("Content-Type"))
	}
	events := strings.Split(strings.TrimSpace(string(b)), "\n\n")
	last := events[len(events)-1]
	var j Job
	if err := json.Unmarshal([]byte(last[strings.Index(last, "data: ")+6:]), &j); err != nil {
		h.Fatalf("%v in %s", err, last)
	}
	return j
}

// days is how long the forecasts of these tests are.
const days = 42

// tank puts the small demo on the shelf and forecasts it.
func (h *house) tank() (id, key string) {
	h.Helper()
	var c shelf.Card
	h.want(http.StatusCreated, http.MethodPost, "/api/tanks", NewTank{Demo: "reading-desk"}, &c)
	return c.ID, h.forecast(c.ID, 0)
}

func (h *house) forecast(tank string, revision int) string {
	h.Helper()
	var st Started
	h.want(http.StatusOK, http.MethodPost, "/api/tanks/"+tank+"/forecast", ForecastAsk{Days: days, Revision: revision}, &st)
	if st.State == "working" {
		if j := h.finished(st.Job); j.State != jobs.Done || j.Key != st.Key || j.Tank != tank {
			h.Fatalf("the forecast ended as %+v, asked for %s", j, st.Key)
		}
	}
	return st.Key
}

func TestFromDemoToForecast(t *testing.T) {
	h := serve(t, false)
	var demos Demos
	h.want(http.StatusOK, http.MethodGet, "/api/demos", nil, &demos)
	if len(demos.Demos) != 3 || demos.Demos[0].About == "" {
		t.Fatalf("demos are %+v", demos)
	}
	var empty Shelf
	h.want(http.StatusOK, http.MethodGet, "/api/tanks", nil, &empty)
	if len(empty.Tanks) != 0 || empty.All != 0 {
		t.Errorf("an empty shelf shows %+v", empty)
	}
	id, key := h.tank()
	var r shelf.Result
	h.want(http.StatusOK, http.MethodGet, "/api/forecasts/"+key, nil, &r)
	if r.Tank != id || r.Outcome.Days != days || len(r.Events) == 0 || len(r.Plantings) != 9 || len(r.Days) < 7 || r.Outcome.Costs == nil {
		t.Errorf("the result has tank %s, %d days, %d events, %d plantings, snapshots on %v", r.Tank, r.Outcome.Days, len(r.Events), len(r.Plantings), r.Days)
	}
	var series shelf.Series
	h.want(http.StatusOK, http.MethodGet, "/api/forecasts/"+key+"/series", nil, &series)
	if len(series.Days) != days+1 || len(series.Columns) < 50 || len(series.Columns[0].Values) != days+1 {
		t.Errorf("the series have %d days and %d columns", len(series.Days), len(series.Columns))
	}
	var snap shelf.Snapshot
	h.want(http.StatusOK, http.MethodGet, "/api/forecasts/"+key+"/snapshot?day=30", nil, &snap)
	if snap.Day != 30 || len(snap.Plants) == 0 || len(snap.Soil) == 0 {
		t.Errorf("the snapshot is of day %d with %d plants, %d patches", snap.Day, len(snap.Plants), len(snap.Soil))
	}
	for path, begins := range map[string]string{
		"/picture?day=28&from=front&width=160&height=100": "\x89PNG", "/scene.glb?day=28": "glTF", "/drawing?what=plan&day=28": "<svg", "/drawing?what=light&day=28": "<svg",
		"/drawing?what=left&day=28": "<svg", "/paper?name=report.html": "<!", "/paper?name=series.csv": "day,",
	} {
		status, b, _ := h.ask(http.MethodGet, "/api/forecasts/"+key+path, nil)
		if status != http.StatusOK || !bytes.HasPrefix(bytes.TrimSpace(b), []byte(begins)) {
			t.Errorf("%s gave %d %.60q", path, status, b)
		}
	}
	var light shelf.Light
	h.want(http.StatusOK, http.MethodGet, "/api/forecasts/"+key+"/light?day=28", nil, &light)
	sum := 0.0
	for _, s := range light.Shares {
		sum += s.Share
	}
	if len(light.Bed.PPFD) != light.CellsX*light.CellsY || len(light.Depths) != 12 || len(light.Plantings) == 0 || sum < 0.999 || sum > 1.001 || light.Bed.Mean >= light.Empty.Mean {
		t.Errorf("light: %d cells of %d × %d, %d layers, shares add up to %g, bed %g of %g", len(light.Bed.PPFD), light.CellsX, light.CellsY, len(light.Depths), sum, light.Bed.Mean, light.Empty.Mean)
	}
	var water shelf.Water
	h.want(http.StatusOK, http.MethodGet, "/api/forecasts/"+key+"/water", nil, &water)
	if len(water.Routine.Doses) == 0 || len(water.Tap) == 0 {
		t.Errorf("water is %+v", water)
	}
	var bands papers.BandsJSON
	h.want(http.StatusOK, http.MethodGet, "/api/forecasts/"+key+"/bands", nil, &bands)
	if bands.Members != 0 {
		t.Errorf("%d members before any were run", bands.Members)
	}
	h.want(http.StatusNotFound, http.MethodGet, "/api/forecasts/nothing/bands", nil, nil)
	var started JobStarted
	h.want(http.StatusOK, http.MethodPost, "/api/forecasts/"+key+"/bands", MembersAsk{2}, &started)
	if j := h.finished(started.Job); j.State != jobs.Done {
		t.Fatalf("the members ended as %+v", j)
	}
	h.want(http.StatusOK, http.MethodGet, "/api/forecasts/"+key+"/bands", nil, &bands)
	if bands.Members != 2 {
		t.Errorf("%d members of 2", bands.Members)
	}
	var tries shelf.Tries
	finding := r.Outcome.Findings[0].ID
	h.want(http.StatusOK, http.MethodPost, "/api/forecasts/"+key+"/tries", TryAsk{finding}, &started)
	if j := h.finished(started.Job); j.State != jobs.Done {
		t.Fatalf("the cure ended as %+v", j)
	}
	h.want(http.StatusOK, http.MethodGet, "/api/forecasts/"+key+"/tries", nil, &tries)
	if len(tries.Tried) == 0 || tries.Tried[0].Finding != finding {
		t.Errorf("of the cure of %s is kept %+v", finding, tries)
	}
	h.want(http.StatusNotFound, http.MethodGet, "/api/forecasts/"+key+"/animation?day=28&width=96&height=64", nil, nil)
	h.want(http.StatusOK, http.MethodPost, "/api/forecasts/"+key+"/animation", Animation{Day: 28, Width: 96, Height: 64}, &started)
	if j := h.finished(started.Job); j.State != jobs.Done || j.Done != 5 {
		t.Fatalf("the animation ended as %+v", j)
	}
	if status, b, _ := h.ask(http.MethodGet, "/api/forecasts/"+key+"/animation?day=28&width=96&height=64", nil); status != http.StatusOK || !bytes.Contains(b, []byte("acTL")) {
		t.Errorf("the animation gave %d", status)
	}
	var shown Shelf
	h.want(http.StatusOK, http.MethodGet, "/api/tanks?search=desk+reading", nil, &shown)
	if len(shown.Tanks) != 1 || !shown.Tanks[0].Fresh || shown.Tanks[0].Forecast != key || shown.Tanks[0].Picture == "" {
		t.Fatalf("the shelf shows %+v", shown.Tanks)
	}
	opens := shown.Tanks[0].ShownDay
	if status, b, head := h.ask(http.MethodGet, shown.Tanks[0].Picture, nil); status != http.StatusOK || !strings.Contains(head.Get("Cache-Control"), "immutable") || len(b) < 1000 {
		t.Errorf("the picture on the shelf gave %d with %d bytes", status, len(b))
	}
	h.want(http.StatusOK, http.MethodGet, "/api/tanks?search=nothing+like+it", nil, &shown)
	if len(shown.Tanks) != 0 || shown.All != 1 {
		t.Errorf("a search for nothing shows %+v", shown)
	}
	// The picture that a page opens with, on the day of the shelf, was drawn with the forecast, and its neighbours in the week share it.
	if _, err := h.db.Part(t.Context(), key, fmt.Sprintf("picture/%d/front/1280x800/false.png", opens)); err != nil {
		t.Errorf("the first picture is not there: %v", err)
	}
	_, one, _ := h.ask(http.MethodGet, "/api/forecasts/"+key+"/picture?day=20&width=160&height=100", nil)
	_, two, _ := h.ask(http.MethodGet, "/api/forecasts/"+key+"/picture?day=23&width=160&height=100", nil)
	if !bytes.Equal(one, two) {
		t.Error("days of one snapshot have two pictures")
	}
	// Asked for again, it is there at once.
	var again Started
	h.want(http.StatusOK, http.MethodPost, "/api/tanks/"+id+"/forecast", ForecastAsk{Days: days}, &again)
	if again.State != "ready" || again.Key != key {
		t.Errorf("the same forecast again is %+v", again)
	}
	// A forecast that is no longer in memory is made again, with the same bytes.
	_, before, _ := h.ask(http.MethodGet, "/api/forecasts/"+key+"/scene.glb?day=28", nil)
	fresh, err := shelf.New(h.db, h.shelf.Photos)
	if err != nil {
		t.Fatal(err)
	}
	after, err := fresh.GLB(t.Context(), key, 28)
	if err != nil || !bytes.Equal(before, after) {
		t.Errorf("the scene made again differs (%v)", err)
	}
}

func TestStopAForecast(t *testing.T) {
	h := serve(t, false)
	var c shelf.Card
	h.want(http.StatusCreated, http.MethodPost, "/api/tanks", NewTank{Demo: "quay-street-library"}, &c)
	var st Started
	h.want(http.StatusOK, http.MethodPost, "/api/tanks/"+c.ID+"/forecast", ForecastAsk{Days: 7000}, &st)
	h.want(http.StatusNoContent, http.MethodDelete, fmt.Sprintf("/api/jobs/%d", st.Job), nil, nil)
	if j := h.finished(st.Job); j.State != jobs.Stopped {
		t.Errorf("the stopped forecast ended as %+v", j)
	}
	h.want(http.StatusNotFound, http.MethodGet, "/api/forecasts/"+st.Key, nil, nil)
}

func TestPlansAreSavedOverWhatWasOpened(t *testing.T) {
	h := serve(t, false)
	id, key := h.tank()
	var p PlanText
	h.want(http.StatusOK, http.MethodGet, "/api/tanks/"+id+"/plan", nil, &p)
	dimmer := strings.Replace(p.Text, "dim: 100 %", "dim: 60 %", 1)
	if dimmer == p.Text {
		dimmer = strings.Replace(p.Text, "share: 25 %", "share: 35 %", 1)
	}
	var saved PlanText
	h.want(http.StatusOK, http.MethodPut, "/api/tanks/"+id+"/plan", SavePlan{Base: 1, Variant: "other routine", Name: "more change", Text: dimmer}, &saved)
	if saved.Revision != 2 || saved.Variant != "other routine" || len(saved.Files) == 0 {
		t.Errorf("saved as %+v", saved)
	}
	var c Comparison
	h.want(http.StatusOK, http.MethodGet, "/api/compare?a="+key+"&b="+h.forecast(id, 2), nil, &c)
	if len(c.Plan) != 1 || len(c.Plan[0].A) != 1 || len(c.Plan[0].B) != 1 || len(c.Numbers) < 8 || !strings.Contains(c.B.Name, "other routine") {
		t.Errorf("the comparison is %+v", c)
	}
	h.want(http.StatusOK, http.MethodPut, "/api/tanks/"+id+"/plan", SavePlan{Base: 1, Text: p.Text + "\n# one\n"}, &saved)
	status, b, head := h.ask(http.MethodPut, "/api/tanks/"+id+"/plan", SavePlan{Base: 1, Text: p.Text + "\n# other\n"})
	var problem Problem
	if err := json.Unmarshal(b, &problem); err != nil || status != http.StatusConflict || problem.Last != 3 || problem.Cure == "" || head.Get("Content-Type") != "application/problem+json" {
		t.Errorf("saving over an old revision gave %d %s", status, b)
	}
	status, b, _ = h.ask(http.MethodPut, "/api/tanks/"+id+"/plan", SavePlan{Base: 3, Text: strings.Replace(p.Text, "64 cm", "64 kg", 1) + "\nnonsense: 1\n"})
	problem = Problem{}
	if err := json.Unmarshal(b, &problem); err != nil || status != http.StatusUnprocessableEntity || len(problem.Problems) != 2 || problem.Problems[0].Line == 0 || problem.Problems[0].Cure == "" {
		t.Errorf("a plan with two faults gave %d %s", status, b)
	}
	var checked Checked
	h.want(http.StatusOK, http.MethodPost, "/api/check", CheckPlan{Text: p.Text, Tank: id}, &checked)
	if !checked.Good {
		t.Errorf("a good plan is checked as %+v", checked)
	}
	h.want(http.StatusNoContent, http.MethodPatch, "/api/tanks/"+id+"/revisions/1", map[string]string{"name": "as offered"}, nil)
	var history History
	h.want(http.StatusOK, http.MethodGet, "/api/tanks/"+id+"/revisions", nil, &history)
	if history.Current != 3 || len(history.Revisions) != 3 || history.Revisions[2].Name != "as offered" {
		t.Errorf("the history is %+v", history)
	}
	var card shelf.Card
	h.want(http.StatusOK, http.MethodGet, "/api/tanks/"+id, nil, &card)
	if card.Fresh || card.Forecast != key {
		t.Errorf("after a change the card says fresh %v, forecast %s", card.Fresh, card.Forecast)
	}
}

// Comparison is the answer of compare, as pages read it.
type Comparison = shelf.Comparison

func TestWaysToStart(t *testing.T) {
	h := serve(t, false)
	var q Questions
	h.want(http.StatusOK, http.MethodGet, "/api/questions", nil, &q)
	for _, shape := range q.Shapes {
		a := q.Usual[shape]
		a.Name, a.Style, a.Planted = "Hall "+shape, "garden", "2027-03-01"
		var c shelf.Card
		h.want(http.StatusCreated, http.MethodPost, "/api/tanks", NewTank{Questions: &a}, &c)
		if c.Name != "Hall "+shape || c.Planted != "2027-03-01" {
			t.Errorf("a %s starts as %+v", shape, c)
		}
	}
	h.want(http.StatusCreated, http.MethodPost, "/api/tanks", NewTank{Blank: true, Name: "Blank"}, nil)
	for name, in := range map[string]NewTank{
		"nothing": {}, "two things": {Blank: true, Demo: "reading-desk"}, "an outside path": {Demo: "../examples"}, "no demo": {Demo: "atlantis"},
		"a tank of 90 m": {Questions: &Answers{Shape: "box", Length: "90 m"}}, "no unit": {Questions: &Answers{Shape: "box", Length: "90"}}, "no plan": {Plan: "hello"},
		"a file out of the folder": {Plan: "x", Files: []PlanFile{{Name: "../x", Data: []byte("x")}}},
	} {
		status, b, _ := h.ask(http.MethodPost, "/api/tanks", in)
		var p Problem
		if err := json.Unmarshal(b, &p); err != nil || status < 400 || status > 422 || p.Cure == "" {
			t.Errorf("starting from %s gave %d %s", name, status, b)
		}
	}
	status, b, _ := h.ask(http.MethodGet, "/api/archive", nil)
	if status != http.StatusOK {
		t.Fatalf("the archive gave %d", status)
	}
	other := serve(t, false)
	var in ImportedTanks
	other.want(http.StatusCreated, http.MethodPost, "/api/archive", b, &in)
	if len(in.Tanks) != len(q.Shapes)+1 {
		t.Errorf("%d tanks came out of the archive", len(in.Tanks))
	}
}
