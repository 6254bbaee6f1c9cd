package web

import (
	"context"
	"littoral/internal/shelf"
	"net/http"
	"strconv"
	"testing"
	"time"
)

// eventually waits for what other goroutines bring about.
func (h *house) eventually(what string, done func() bool) {
	h.Helper()
	for range 600 {
		if done() {
			return
		}
		time.Sleep(100 * time.Millisecond)
	}
	h.Fatalf("%s did not come about within a minute", what)
}

// earlier puts the small demo on the shelf as a program now replaced has forecast it.
func (h *house) earlier() (id, key string) {
	h.Helper()
	var c shelf.Card
	h.want(http.StatusCreated, "POST", "/api/tanks", NewTank{Demo: "reading-desk"}, &c)
	other, err := shelf.New(h.db, h.shelf.Photos)
	if err != nil {
		h.Fatal(err)
	}
	other.Engine = "earlier"
	a, err := other.Asking(h.Context(), c.ID, 0, days, false)
	if err == nil {
		key, err = other.Run(h.Context(), a, nil)
	}
	if err == nil {
		err = other.Prepare(h.Context(), key)
	}
	if err != nil {
		h.Fatal(err)
	}
	return c.ID, key
}

// What an earlier version of the program forecast stays readable, is marked, and is made again by itself.
func TestForecastsOfAnEarlierVersion(t *testing.T) {
	h := serve(t, false)
	tank, old := h.earlier()

	var c shelf.Card
	h.want(http.StatusOK, "GET", "/api/tanks/"+tank, nil, &c)
	if c.Forecast != old || !c.Old || c.Fresh {
		t.Fatalf("the card says %+v", c)
	}
	for path, want := range map[string]int{
		"":                                      http.StatusOK,
		"/series":                               http.StatusOK,
		"/bands":                                http.StatusOK,
		"/tries":                                http.StatusOK,
		"/drawing?what=plan&day=30":             http.StatusGone,
		"/scene.glb?day=30":                     http.StatusGone,
		"/picture?day=30&from=back":             http.StatusGone,
		"/picture?day=49&width=1280&height=800": http.StatusOK, // near enough to the one that the page opens with
		"/picture?day=49&width=1280&height=800&dark=true": http.StatusOK,
	} {
		h.want(want, "GET", "/api/forecasts/"+old+path, nil, nil)
	}
	h.want(http.StatusOK, "GET", c.Picture, nil, nil)
	h.want(http.StatusOK, "GET", "/api/tanks/"+tank+"/measured", nil, nil)

	var r Renewing
	h.want(http.StatusOK, "GET", "/api/renewing", nil, &r)
	if r.Left != 1 || r.Job != 0 {
		t.Errorf("before the server begins it says %+v", r)
	}
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan struct{})
	go func() { defer close(ended); h.server.Renew(ctx) }()
	defer func() { stop(); <-ended }()
	h.eventually("a forecast of this version", func() bool {
		h.want(http.StatusOK, "GET", "/api/tanks/"+tank, nil, &c)
		return c.Fresh
	})
	if c.Old || c.Forecast == old {
		t.Errorf("the card says %+v", c)
	}
	h.want(http.StatusOK, "GET", "/api/forecasts/"+c.Forecast+"/drawing?what=plan&day=30", nil, nil)
	r = Renewing{}
	h.want(http.StatusOK, "GET", "/api/renewing", nil, &r)
	if r.Left != 0 || r.Tank != "" {
		t.Errorf("when all is done it says %+v", r)
	}
}

// What somebody asks for goes before what the server makes again by itself, and that is made later.
func TestAskedWorkGoesFirst(t *testing.T) {
	h := serve(t, false)
	tank, _ := h.earlier()
	if err := h.server.renewOne(t.Context()); err != nil {
		t.Fatal(err)
	}
	job := h.server.renewed.job
	if job == 0 {
		t.Fatal("nothing is made again")
	}
	var s Started
	h.want(http.StatusOK, "POST", "/api/tanks/"+tank+"/forecast", ForecastAsk{Days: 21}, &s)
	if j := h.finished(s.Job); j.State != "done" {
		t.Fatalf("the asked work is %+v", j)
	}
	h.eventually("an empty queue", func() bool {
		busy, err := h.server.queue.Busy(t.Context())
		return err == nil && !busy
	})
	var first Job
	h.want(http.StatusOK, "GET", "/api/jobs/"+strconv.FormatInt(job, 10), nil, &first)
	if first.State == "done" { // it was quicker than the wish
		return
	}
	if first.State != "stopped" || h.server.renewed.tried[h.server.renewed.key] {
		t.Errorf("the work that gave way is %s, and it will be begun anew: %v", first.State, !h.server.renewed.tried[h.server.renewed.key])
	}
}
