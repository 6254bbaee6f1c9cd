package web

import (
	"bytes"
	"littoral/internal/shelf"
	"net/http"
	"strings"
	"testing"
)

func TestDrawingsGoOut(t *testing.T) {
	h := serve(t, false)
	var c shelf.Card
	h.want(http.StatusCreated, "POST", "/api/tanks", NewTank{Demo: "reading-desk"}, &c)
	board := "/api/tanks/" + c.ID + "/board"
	for path, begins := range map[string]string{
		"/drawing.pdf?paper=A4&scale=5&views=plan,front": "%PDF-", "/planting-map.pdf": "%PDF-", "/drawing.svg?sheet=2&bare=true": "<svg ",
		"/section.svg?x1=0&y1=10&x2=60&y2=20": "<svg ",
	} {
		status, got, head := h.ask("GET", board+path, nil)
		if status != http.StatusOK || !strings.HasPrefix(string(got), begins) || head.Get("Content-Type") == "application/json" {
			t.Errorf("%s gives %d, %s: %.120s", path, status, head.Get("Content-Type"), got)
		}
		if _, again, _ := h.ask("GET", board+path, nil); !bytes.Equal(got, again) {
			t.Errorf("%s gives other bytes the second time", path)
		}
	}
	h.want(http.StatusUnprocessableEntity, "GET", board+"/drawing.pdf?paper=A4&scale=1", nil, nil)
	h.want(http.StatusUnprocessableEntity, "GET", board+"/drawing.pdf?views=below", nil, nil)
	h.want(http.StatusNotFound, "GET", board+"/drawing.svg?sheet=99", nil, nil)
	h.want(http.StatusNotFound, "GET", board+"/drawing.svg?revision=7", nil, nil)
}

func TestRevisionsAreCompared(t *testing.T) {
	h := serve(t, false)
	var c shelf.Card
	h.want(http.StatusCreated, "POST", "/api/tanks", NewTank{Demo: "reading-desk"}, &c)
	var p PlanText
	h.want(http.StatusOK, "GET", "/api/tanks/"+c.ID+"/plan", nil, &p)
	changed := strings.Replace(p.Text, "pots: ", "pots: 1", 1) // 4 pots become 14
	h.want(http.StatusOK, "PUT", "/api/tanks/"+c.ID+"/plan", SavePlan{Base: p.Revision, Text: changed, Name: "more of them"}, &p)
	var r shelf.Revised
	h.want(http.StatusOK, "GET", "/api/tanks/"+c.ID+"/board/compare?from=1", nil, &r)
	if len(r.Changes) != 1 || r.Changes[0].What != "changed" || !strings.Contains(r.Changes[0].Text, "pots") || r.To != "revision 2, more of them" {
		t.Errorf("%+v", r)
	}
	status, svg, _ := h.ask("GET", "/api/tanks/"+c.ID+"/board/compare.svg?from=1&to=2", nil)
	if status != http.StatusOK || !strings.Contains(string(svg), "1 ~") {
		t.Errorf("%d %.200s", status, svg)
	}
	status, pdf, _ := h.ask("GET", "/api/tanks/"+c.ID+"/board/compare.pdf?from=1&to=2", nil)
	if status != http.StatusOK || !strings.HasPrefix(string(pdf), "%PDF-") {
		t.Errorf("%d %.80s", status, pdf)
	}
	h.want(http.StatusOK, "GET", "/api/tanks/"+c.ID+"/board/compare?from=2&to=2", nil, &r)
	if len(r.Changes) != 0 {
		t.Errorf("%+v", r.Changes)
	}
}
