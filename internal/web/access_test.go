package web

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"fmt"
	"image"
	"image/jpeg"
	"littoral/internal/journal"
	"littoral/internal/shelf"
	"littoral/internal/store"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/danielgtaylor/huma/v2"
)

const password = "a quiet tank by the window"

// people makes an account for each role and signs it in; the one without a role is nobody.
func (h *house) people() map[string]*house {
	h.Helper()
	out := map[string]*house{"": h.as()}
	for _, role := range []string{roleCrew, roleDesigner, roleOwner} {
		u, err := NewUser("the "+role, role, password, time.Now())
		if err == nil {
			err = h.db.AddUser(h.Context(), u)
		}
		if err != nil {
			h.Fatal(err)
		}
		out[role] = h.as()
		out[role].want(http.StatusNoContent, http.MethodPost, "/api/login", Credentials{"The " + role, password}, nil)
	}
	return out
}

// operations lists what the API describes.
func (h *house) operations() []*huma.Operation {
	var out []*huma.Operation
	for _, item := range h.server.api.OpenAPI().Paths {
		for _, op := range []*huma.Operation{item.Get, item.Put, item.Post, item.Patch, item.Delete} {
			if op != nil {
				out = append(out, op)
			}
		}
	}
	return out
}

// Every operation of the API refuses everyone below the role that its description names.
func TestEveryOperationKeepsItsRole(t *testing.T) {
	h := serve(t, true)
	who := h.people()
	put, err := demoTank(h)
	if err != nil {
		t.Fatal(err)
	}
	var link ClientLink
	who[roleOwner].want(http.StatusCreated, http.MethodPost, "/api/tanks/"+put+"/links", NewLink{Name: "library"}, &link)
	who[roleClient] = h.as()
	if status, _, _ := who[roleClient].ask(http.MethodGet, link.Path, nil); status != http.StatusNotImplemented && status != http.StatusOK {
		t.Fatalf("the link gave %d", status)
	}
	refused := 0
	for _, op := range h.operations() {
		need, ok := op.Extensions["x-role"].(string)
		if !ok {
			t.Errorf("%s %s names no role", op.Method, op.Path)
		}
		path := strings.NewReplacer("{tank}", put, "{key}", "none", "{job}", "1", "{number}", "1", "{entry}", "e", "{photo}", "p", "{person}", "u", "{link}", "l", "{topic}", "co2").Replace(op.Path)
		for role, h := range who {
			if ranks[role] >= ranks[need] {
				continue
			}
			want := http.StatusForbidden
			if role == "" {
				want = http.StatusUnauthorized
			}
			status, b, _ := h.ask(op.Method, path, nil)
			var p Problem
			if err := json.Unmarshal(b, &p); err != nil || status != want || p.Cure == "" {
				t.Errorf("%q at %s %s got %d %.200s, want %d", role, op.Method, path, status, b, want)
			}
			refused++
		}
	}
	if refused < 80 {
		t.Errorf("only %d refusals were tried", refused)
	}
	var me Me
	who[roleClient].want(http.StatusOK, http.MethodGet, "/api/me", nil, &me)
	if me.Role != roleClient || me.Tank != put {
		t.Errorf("the client is %+v", me)
	}
}

func demoTank(h *house) (string, error) {
	return h.server.PutDemo(h.Context(), "reading-desk", nil)
}

func TestAClientSeesItsTankAndNoMore(t *testing.T) {
	h := serve(t, true)
	who := h.people()
	owner := who[roleOwner]
	mine, key := owner.tank()
	var other shelf.Card
	owner.want(http.StatusCreated, http.MethodPost, "/api/tanks", NewTank{Blank: true, Name: "Secret hall"}, &other)
	otherKey := owner.forecast(other.ID, 0)
	var link ClientLink
	owner.want(http.StatusCreated, http.MethodPost, "/api/tanks/"+mine+"/links", NewLink{Name: "library", Days: 30}, &link)
	if link.Expiry == nil || !strings.HasPrefix(link.Path, "/look/") {
		t.Fatalf("the link is %+v", link)
	}
	client := h.as()
	client.ask(http.MethodGet, link.Path, nil)
	var s Shelf
	client.want(http.StatusOK, http.MethodGet, "/api/tanks", nil, &s)
	if len(s.Tanks) != 1 || s.Tanks[0].ID != mine || s.All != 1 || s.Tanks[0].Due != nil || len(s.Tanks[0].Worries) > 0 {
		t.Errorf("the client's shelf is %+v", s)
	}
	var r shelf.Result
	client.want(http.StatusOK, http.MethodGet, "/api/forecasts/"+key, nil, &r)
	if r.Outcome.Costs != nil || len(r.Outcome.Visits)+len(r.Outcome.Findings)+len(r.Events) > 0 || len(r.Plantings) == 0 {
		t.Errorf("the client sees costs, work or findings, or no plants")
	}
	var series shelf.Series
	client.want(http.StatusOK, http.MethodGet, "/api/forecasts/"+key+"/series", nil, &series)
	for _, c := range series.Columns {
		if strings.Contains(c.Name, "work") {
			t.Errorf("the client sees the column %s", c.Name)
		}
	}
	for path, want := range map[string]int{
		"/api/tanks/" + mine: 200, "/api/forecasts/" + key + "/picture?day=0&width=64&height=64": 200, "/api/tanks/" + other.ID: 404, "/api/forecasts/" + otherKey: 404,
		"/api/forecasts/" + otherKey + "/picture?day=0&width=64&height=64": 404, "/api/forecasts/none": 404, "/api/tanks/" + mine + "/plan": 403, "/api/tanks/" + mine + "/journal": 403,
		"/api/tanks/" + other.ID + "/photos": 404, "/api/archive": 403, "/api/forecasts/" + key + "/paper": 403,
	} {
		if status, _, _ := client.ask(http.MethodGet, path, nil); status != want {
			t.Errorf("the client got %d at %s, want %d", status, path, want)
		}
	}
	owner.want(http.StatusNoContent, http.MethodDelete, "/api/tanks/"+mine+"/links/"+link.ID, nil, nil)
	client.want(http.StatusUnauthorized, http.MethodGet, "/api/tanks", nil, nil)
	if status, _, _ := h.as().ask(http.MethodGet, link.Path, nil); status != http.StatusNotFound {
		t.Errorf("the revoked link gave %d", status)
	}
	var list ClientLinks
	owner.want(http.StatusOK, http.MethodGet, "/api/tanks/"+mine+"/links", nil, &list)
	if len(list.Links) != 1 || !list.Links[0].Revoked || list.Links[0].Path != "" {
		t.Errorf("links are %+v", list)
	}
}

func TestGuessingIsSlowedDown(t *testing.T) {
	h := serve(t, true)
	who := h.people()
	attacker := h.as()
	refused := 0
	for i := range 40 {
		status, _, _ := attacker.ask(http.MethodPost, "/api/login", Credentials{"the owner", fmt.Sprint("wrong password ", i)})
		switch {
		case status == http.StatusTooManyRequests:
			refused++
		case status != http.StatusUnauthorized:
			t.Fatalf("a wrong password gave %d", status)
		}
	}
	if refused != 40-failsOfName {
		t.Errorf("%d of 40 guesses were not even tried, want %d", refused, 40-failsOfName)
	}
	if status, _, _ := attacker.ask(http.MethodPost, "/api/login", Credentials{"the owner", password}); status != http.StatusTooManyRequests {
		t.Errorf("the right password after them gave %d", status)
	}
	for i := range failsOfHost { // many names from one place
		attacker.ask(http.MethodPost, "/api/login", Credentials{fmt.Sprint("name ", i), "wrong password"})
	}
	if status, _, _ := attacker.ask(http.MethodPost, "/api/login", Credentials{"the crew", password}); status != http.StatusTooManyRequests {
		t.Errorf("another name from the same place gave %d", status)
	}
	who[roleOwner].want(http.StatusOK, http.MethodGet, "/api/tanks", nil, nil) // who is signed in goes on
	h.shelf.Now = func() time.Time { return time.Now().Add(failSpan + time.Minute) }
	attacker.want(http.StatusNoContent, http.MethodPost, "/api/login", Credentials{"the owner", password}, nil)
}

func TestPeopleAndSessions(t *testing.T) {
	h := serve(t, true)
	who := h.people()
	owner, crew := who[roleOwner], who[roleCrew]
	var me Me
	crew.want(http.StatusOK, http.MethodGet, "/api/me", nil, &me)
	if me.Role != roleCrew || me.Name != "the crew" || !me.Accounts {
		t.Errorf("crew is %+v", me)
	}
	var people People
	owner.want(http.StatusOK, http.MethodGet, "/api/people", nil, &people)
	ids := map[string]string{}
	for _, p := range people.People {
		ids[p.Role] = p.ID
	}
	yes := true
	owner.want(http.StatusConflict, http.MethodPatch, "/api/people/"+ids[roleOwner], ChangePerson{Closed: &yes}, nil)
	owner.want(http.StatusConflict, http.MethodPatch, "/api/people/"+ids[roleOwner], ChangePerson{Role: roleCrew}, nil)
	owner.want(http.StatusUnprocessableEntity, http.MethodPost, "/api/people", NewPerson{"Bo", roleCrew, "short"}, nil)
	owner.want(http.StatusConflict, http.MethodPost, "/api/people", NewPerson{"THE CREW", roleCrew, password}, nil)
	crew.want(http.StatusForbidden, http.MethodPost, "/api/me/password", map[string]string{"old": "wrong", "new": password + " again"}, nil)
	crew.want(http.StatusNoContent, http.MethodPost, "/api/me/password", map[string]string{"old": password, "new": password + " again"}, nil)
	h.as().want(http.StatusUnauthorized, http.MethodPost, "/api/login", Credentials{"the crew", password}, nil)
	h.as().want(http.StatusNoContent, http.MethodPost, "/api/login", Credentials{"the crew", password + " again"}, nil)
	owner.want(http.StatusOK, http.MethodPatch, "/api/people/"+ids[roleCrew], ChangePerson{Closed: &yes}, nil)
	crew.want(http.StatusUnauthorized, http.MethodGet, "/api/tanks", nil, nil) // a closed account ends at once
	who[roleDesigner].want(http.StatusNoContent, http.MethodPost, "/api/logout", nil, nil)
	who[roleDesigner].want(http.StatusUnauthorized, http.MethodGet, "/api/tanks", nil, nil)
	var acts Acts
	owner.want(http.StatusOK, http.MethodGet, "/api/audit", nil, &acts)
	found := false
	for _, a := range acts.Acts {
		found = found || a.Who == "the owner" && a.What == "PATCH /api/people/"+ids[roleCrew] && a.Status == http.StatusOK
	}
	if !found {
		t.Errorf("the audit does not say who closed the account: %+v", acts)
	}
	// The cookie is not for scripts, not for other sites, not for plain connections.
	status, _, head := h.as().ask(http.MethodPost, "/api/login", Credentials{"the owner", password})
	cookie := head.Get("Set-Cookie")
	for _, want := range []string{"HttpOnly", "Secure", "SameSite=Strict"} {
		if status != http.StatusNoContent || !strings.Contains(cookie, want) {
			t.Errorf("the cookie %q is not %s (%d)", cookie, want, status)
		}
	}
}

func TestRequestsFromElsewhereAreRefused(t *testing.T) {
	h := serve(t, false)
	body := NewTank{Blank: true}
	for name, head := range map[string][]string{
		"a foreign name that leads here": {"Host", "evil.example"},
		"another site's page":            {"Origin", "https://evil.example"},
		"a page without an origin":       {"Origin", "null"},
		"another site, as browsers say":  {"Sec-Fetch-Site", "cross-site"},
		"a page on another port":         {"Origin", "http://127.0.0.1:1"},
	} {
		status, b, _ := h.ask(http.MethodPost, "/api/tanks", body, head...)
		if status != http.StatusForbidden && status != http.StatusMisdirectedRequest {
			t.Errorf("%s gave %d %s", name, status, b)
		}
		if name != "another site, as browsers say" { // reading is left to a browser's own rules there
			if status, _, _ := h.ask(http.MethodGet, "/api/tanks", nil, head...); status < 400 {
				t.Errorf("%s could read", name)
			}
		}
	}
	form := "blank=true"
	if status, _, _ := h.ask(http.MethodPost, "/api/tanks", form, "Content-Type", "application/x-www-form-urlencoded"); status < 400 {
		t.Errorf("a form was taken: %d", status)
	}
	if status, _, _ := h.ask(http.MethodPost, "/api/tanks", `{"blank":true}`, "Content-Type", "text/plain"); status < 400 {
		t.Errorf("plain text was taken as JSON: %d", status)
	}
	var s Shelf
	h.want(http.StatusOK, http.MethodGet, "/api/tanks", nil, &s)
	if len(s.Tanks) > 0 {
		t.Errorf("something got in: %+v", s)
	}
	h.want(http.StatusCreated, http.MethodPost, "/api/tanks", body, nil)
	if status, _, _ := h.ask(http.MethodPost, "/api/tanks", body, "Origin", h.url, "Sec-Fetch-Site", "same-origin"); status != http.StatusCreated {
		t.Errorf("our own page gave %d", status)
	}
}

func TestHeadsKeepPagesToThemselves(t *testing.T) {
	h := serve(t, false)
	for _, path := range []string{"/", "/tanks/x", "/api/tanks", "/api/none", "/look/none", "/assets/none.js"} {
		_, _, head := h.ask(http.MethodGet, path, nil)
		csp := head.Get("Content-Security-Policy")
		if !strings.Contains(csp, "script-src 'self';") || strings.Contains(csp, "unsafe-eval") || !strings.Contains(csp, "default-src 'self'") || strings.Contains(csp, "http") {
			t.Errorf("%s has the policy %q", path, csp)
		}
		for name, want := range map[string]string{"X-Content-Type-Options": "nosniff", "Referrer-Policy": "no-referrer", "Cross-Origin-Opener-Policy": "same-origin"} {
			if got := head.Get(name); got != want {
				t.Errorf("%s: %s is %q, want %q", path, name, got, want)
			}
		}
		if head.Get("Access-Control-Allow-Origin") != "" {
			t.Errorf("%s lets other origins read", path)
		}
	}
}

func TestPathsDoNotLeadOut(t *testing.T) {
	h := serve(t, false)
	id, key := h.tank()
	for _, path := range []string{
		"/../../etc/passwd", "/..%2f..%2fetc/passwd", "/assets/..%2f..%2fserver.go", "/%2e%2e/%2e%2e/etc/passwd", "/api/tanks/..%2f..%2fetc%2fpasswd",
		"/api/tanks/" + id + "/revisions/1/file?name=../../../../etc/passwd", "/api/tanks/" + id + "/revisions/1/file?name=/etc/passwd",
		"/api/tanks/" + id + "/photos/..%2f..%2ftanks.sqlite", "/api/forecasts/" + key + "/paper?name=../../etc/passwd", "/api/forecasts/..%2fx",
	} {
		status, b, _ := h.ask(http.MethodGet, path, nil)
		if strings.Contains(string(b), "root:") || strings.Contains(string(b), "SQLite format") || status >= 500 && status != http.StatusNotImplemented {
			t.Errorf("%s gave %d %.100q", path, status, b)
		}
	}
	var p PlanText
	h.want(http.StatusOK, http.MethodGet, "/api/tanks/"+id+"/plan", nil, &p)
	for _, name := range []string{"/etc/passwd", "../../../../../../etc/passwd"} {
		text := strings.Replace(p.Text, "prices: prices.csv", "prices: "+name, 1)
		status, b, _ := h.ask(http.MethodPost, "/api/check", CheckPlan{Text: text, Tank: id})
		if status != http.StatusOK || strings.Contains(string(b), "root:") || !strings.Contains(string(b), `"good":false`) {
			t.Errorf("a plan that names %s was checked as %d %.300s", name, status, b)
		}
	}
	for _, name := range []string{"../plan.yaml", "/plan.yaml", "a/../../plan.yaml"} {
		var b bytes.Buffer
		z := zip.NewWriter(&b)
		w, err := z.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write([]byte(p.Text)); err != nil {
			t.Fatal(err)
		}
		if err := z.Close(); err != nil {
			t.Fatal(err)
		}
		h.want(http.StatusUnprocessableEntity, http.MethodPost, "/api/archive", b.Bytes(), nil)
	}
}

// Script that is stored in names and notes comes out as text everywhere.
func TestStoredScriptStaysText(t *testing.T) {
	h := serve(t, false)
	id, _ := h.tank()
	const script = `<script>alert(1)</script><img src=x onerror=alert(2)>`
	var p PlanText
	h.want(http.StatusOK, http.MethodGet, "/api/tanks/"+id+"/plan", nil, &p)
	var text []string
	for _, line := range strings.Split(p.Text, "\n") {
		if strings.HasPrefix(line, "name:") {
			line = "name: '" + script + "'"
		}
		text = append(text, line)
	}
	h.want(http.StatusOK, http.MethodPut, "/api/tanks/"+id+"/plan", SavePlan{Base: 1, Name: script, Text: strings.Join(text, "\n")}, nil)
	key := h.forecast(id, 0)
	var out Synced
	h.want(http.StatusOK, http.MethodPost, "/api/tanks/"+id+"/journal", Sync{[]SyncEntry{{Entry: journal.Entry{ID: "11111111-1", At: "2027-09-07", Kind: journal.KindNote, Text: script}}}}, &out)
	if out.Results[0].Result != store.Kept {
		t.Fatalf("the note became %+v", out)
	}
	for _, path := range []string{
		"/api/tanks", "/api/tanks/" + id + "/journal", "/api/tanks/" + id + "/story", "/api/tanks/" + id + "/revisions", "/api/forecasts/" + key, "/api/forecasts/" + key + "/paper?name=report.html",
		"/api/forecasts/" + key + "/drawing?what=plan&day=7", "/api/forecasts/" + key + "/drawing?what=front&day=7",
	} {
		status, b, head := h.ask(http.MethodGet, path, nil)
		if status != http.StatusOK {
			t.Fatalf("%s gave %d", path, status)
		}
		if !strings.HasPrefix(head.Get("Content-Type"), "application/json") && (bytes.Contains(b, []byte("<script>alert")) || bytes.Contains(b, []byte("<img src=x"))) {
			t.Errorf("%s (%s) carries the script", path, head.Get("Content-Type"))
		}
	}
}

func TestWhatIsTooLargeOrDisguisedIsRefused(t *testing.T) {
	h := serve(t, false)
	id, _ := h.tank()
	at := "/api/tanks/" + id + "/photos?id=photo-0001&at=2027-09-08T10:00&mark=front"
	var b bytes.Buffer
	if err := jpeg.Encode(&b, image.NewGray(image.Rect(0, 0, 50, 40)), nil); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		raw  []byte
		want int
	}{
		"a page":         {[]byte("<html><script>1</script>"), http.StatusUnprocessableEntity},
		"a drawing":      {[]byte(`<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"/>`), http.StatusUnprocessableEntity},
		"too many bytes": {make([]byte, store.MostPhotoBytes+10), http.StatusRequestEntityTooLarge},
	} {
		if status, out, _ := h.ask(http.MethodPost, at, c.raw, "Content-Type", "image/jpeg"); status != c.want {
			t.Errorf("%s as a photo gave %d %.200s, want %d", name, status, out, c.want)
		}
	}
	h.want(http.StatusRequestEntityTooLarge, http.MethodPost, "/api/tanks/"+id+"/forecast", strings.Repeat(" ", 2<<20)+"{}", nil)
	var info shelf.PhotoInfo
	for range 2 { // sent again after a lost answer
		status, out, _ := h.ask(http.MethodPost, at, b.Bytes(), "Content-Type", "image/jpeg")
		if status != http.StatusOK {
			t.Fatalf("a photo gave %d %s", status, out)
		}
		if err := json.Unmarshal(out, &info); err != nil || info.Width != 50 || info.Mark != "front" {
			t.Errorf("the photo is %s", out)
		}
	}
	var list PhotoList
	h.want(http.StatusOK, http.MethodGet, "/api/tanks/"+id+"/photos", nil, &list)
	if len(list.Photos) != 1 {
		t.Errorf("%d photos were kept", len(list.Photos))
	}
	status, out, head := h.ask(http.MethodGet, "/api/tanks/"+id+"/photos/photo-0001?thumb=true", nil)
	if status != http.StatusOK || head.Get("Content-Type") != "image/jpeg" || !bytes.HasPrefix(out, []byte{0xFF, 0xD8}) {
		t.Errorf("the small picture gave %d %s", status, head.Get("Content-Type"))
	}
	h.want(http.StatusNoContent, http.MethodDelete, "/api/tanks/"+id+"/photos/photo-0001", nil, nil)
	h.want(http.StatusNotFound, http.MethodGet, "/api/tanks/"+id+"/photos/photo-0001", nil, nil)
	// A small archive that claims to be huge.
	var bomb bytes.Buffer
	z := zip.NewWriter(&bomb)
	w, err := z.Create("plan.yaml")
	if err != nil {
		t.Fatal(err)
	}
	zeros := make([]byte, 1<<20)
	for range 600 {
		if _, err := w.Write(zeros); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	h.want(http.StatusUnprocessableEntity, http.MethodPost, "/api/archive", bomb.Bytes(), nil)
}
