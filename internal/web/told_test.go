package web

import (
	"encoding/json"
	"html"
	"littoral/internal/tongue"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
)

// left reads an address in English and in German and returns what of the German is English.
func (h *house) left(path string) []string {
	h.Helper()
	join := "?"
	if strings.Contains(path, "?") {
		join = "&"
	}
	status, de, head := h.ask("GET", path+join+"lang=de", nil)
	if status != 200 {
		h.Fatalf("%s gave %d: %.300s", path, status, de)
	}
	if !strings.Contains(head.Get("Vary"), "Accept-Language") {
		h.Errorf("%s does not tell caches that it hangs on the language", path)
	}
	var out []string
	if !json.Valid(de) {
		for _, text := range nodes(string(de)) {
			if english(text) {
				out = append(out, path+": "+text)
			}
		}
		return out
	}
	var v any
	if err := json.Unmarshal(de, &v); err != nil {
		h.Fatal(err)
	}
	walk(v, "", func(at, s string) {
		if english(s) {
			out = append(out, path+" "+at+": "+s)
		}
	})
	return out
}

// keys are members of answers that hold names, keys and what people wrote, not sentences to be read; the pages have words of their own for keys.
var keys = regexp.MustCompile(`(\.shares\.where|\.seen_from|\.sides|\.views|\.picture|\.do|\.care|\.id|\.kind|\.unit|\.name|\.text|\.variant|\.planting|\.shaded_by|\.classes\.name|^\.plan\.[ab])$`)

// told are members that end like keys and are sentences.
var toldToo = regexp.MustCompile(`(events\.text|tasks\.text|worries\.do|findings\.do|watch\.do|ahead\.do|limits\.name|tap\.name|lines\.name|numbers\.name|years\.name|numbers\.unit|algae\.kinds\.kind)$`)

func walk(v any, at string, see func(at, s string)) {
	switch x := v.(type) {
	case map[string]any:
		for k, y := range x {
			walk(y, at+"."+k, see)
		}
	case []any:
		for _, y := range x {
			walk(y, at, see)
		}
	case string:
		if !keys.MatchString(at) || toldToo.MatchString(at) {
			see(at, x)
		}
	}
}

// nodes are the texts of a drawing or a page.
func nodes(doc string) []string {
	doc = regexp.MustCompile(`(?s)<(style|script)\b.*?</(style|script)>`).ReplaceAllString(doc, "")
	var out []string
	for _, m := range regexp.MustCompile(`>([^<>]+)<`).FindAllStringSubmatch(doc, -1) {
		if s := strings.TrimSpace(html.UnescapeString(m[1])); s != "" {
			out = append(out, s)
		}
	}
	for _, m := range regexp.MustCompile(` (?:aria-label|alt|title)="([^"]+)"`).FindAllStringSubmatch(doc, -1) {
		out = append(out, html.UnescapeString(m[1]))
	}
	return out
}

// onlyEnglish are words that no German sentence and no name has.
var onlyEnglish = regexp.MustCompile(`(?i)\b(the|is|are|and|of|with|at|by|for|from|it|its|this|that|which|when|where|to|than|over|under|above|below|water|light|bed|day|week|month|year|leaves|plants|glass|after|before|once|each|every|least|most|mean|front|left|right|back|none|nothing|later)\b`)

func english(s string) bool {
	return onlyEnglish.MatchString(strings.ReplaceAll(s, "-", "_"))
}

// demos are put on the shelf and forecast over so many days; what is returned are their tanks and keys.
func (h *house) forecastDemos(days int) (tanks, keys []string) {
	h.Helper()
	var list Demos
	h.want(200, "GET", "/api/demos", nil, &list)
	for _, d := range list.Demos {
		var c struct {
			ID string `json:"id"`
		}
		h.want(201, "POST", "/api/tanks", NewTank{Demo: d.ID}, &c)
		var s Started
		for end := time.Now().Add(3 * time.Minute); s.State != "ready"; time.Sleep(200 * time.Millisecond) {
			h.want(200, "POST", "/api/tanks/"+c.ID+"/forecast", ForecastAsk{Days: days}, &s)
			if time.Now().After(end) {
				h.Fatalf("%s is not forecast after three minutes", d.ID)
			}
		}
		tanks, keys = append(tanks, c.ID), append(keys, s.Key)
	}
	return tanks, keys
}

// What the pages show of the demos is German when German is asked for.
func TestDemosAreToldInGerman(t *testing.T) {
	h := serve(t, false)
	tanks, keys := h.forecastDemos(120)
	var all []string
	for i, tank := range tanks {
		tank, f := "/api/tanks/"+tank, "/api/forecasts/"+keys[i]
		for _, path := range []string{
			f, f + "/light?day=70", f + "/water", f + "/tries", tank, tank + "/plan", tank + "/calendar?from=0&to=120", tank + "/visit", tank + "/story", tank + "/measured",
			f + "/drawing?what=plan&day=100", f + "/drawing?what=light&day=100", f + "/drawing?what=front&day=100", f + "/drawing?what=left&day=100",
			"/api/compare?a=" + keys[i] + "&b=" + keys[0],
		} {
			all = append(all, h.left(path)...)
		}
	}
	for _, path := range []string{"/api/tanks", "/api/demos", "/api/questions", "/api/reasons"} {
		all = append(all, h.left(path)...)
	}
	slices.Sort(all)
	for _, s := range slices.Compact(all) {
		t.Error(s)
	}
}

// Errors come in the language that was asked for, with what was typed as it was typed; without a wish they are English.
func TestProblemsAreTold(t *testing.T) {
	h := serve(t, false)
	plan := "littoral: 1\nname: x\ntank: {shape: box, inside: {length: 60 cm, width: 40 cm}}\nlamps: [{kind: panle}]\n"
	for _, c := range []struct {
		head, query, want string
		not               []string
	}{
		{"de-DE,de;q=0.9", "", "der Plan lässt sich nicht lesen", []string{"cannot be read", "write "}},
		{"en", "?lang=de", "der Plan lässt sich nicht lesen", []string{"cannot be read"}},
		{"de", "?lang=en", "the plan cannot be read", nil},
		{"", "", "the plan cannot be read", nil},
	} {
		status, b, _ := h.ask("POST", "/api/tanks"+c.query, NewTank{Plan: plan}, "Accept-Language", c.head)
		if status != 422 || !strings.Contains(string(b), c.want) {
			t.Errorf("%q %q gave %d: %s", c.head, c.query, status, b)
		}
		for _, s := range c.not {
			if strings.Contains(string(b), s) {
				t.Errorf("%q %q left %q: %s", c.head, c.query, s, b)
			}
		}
		if !strings.Contains(string(b), `panle`) {
			t.Errorf("what was typed is gone: %s", b)
		}
	}
	for path, want := range map[string]string{"/api/tanks/none": "unter diesem Namen gibt es nichts", "/api/nothing": "die API hat keine solche Adresse"} {
		if _, b, _ := h.ask("GET", path, nil, "Accept-Language", "de"); !strings.Contains(string(b), want) {
			t.Errorf("%s: %s", path, b)
		}
	}
}

// What is kept in memory is shared: telling one reader must not change what the next one reads.
func TestTellingCopies(t *testing.T) {
	type in struct {
		Name string `json:"name"`
		Says string `json:"says" say:"text"`
	}
	type out struct {
		List []in     `json:"list"`
		Told []string `json:"told" say:"text"`
		Key  string   `json:"key" say:"sentence"`
		More *in      `json:"more"`
		Row  []float64
	}
	kept := out{List: []in{{"water", "The filter clogs."}}, Told: []string{"The water turns green."}, Key: "bed", More: &in{"bed", "295 L of water"}, Row: []float64{1}}
	got, ok := told(tongue.Wish{Language: tongue.German}, &kept).(*out)
	if !ok || got.List[0].Says != "Der Filter setzt sich zu." || got.List[0].Name != "water" || got.Told[0] != "Das Wasser wird grün." || got.Key != "bed" {
		t.Errorf("told as %+v", got)
	}
	if kept.List[0].Says != "The filter clogs." || kept.Told[0] != "The water turns green." || kept.More.Says != "295 L of water" {
		t.Errorf("what was kept changed: %+v", kept)
	}
	us, ok := told(tongue.Wish{Units: "US"}, kept).(out)
	if !ok || us.More.Says != "78 gal of water" || kept.More.Says != "295 L of water" {
		t.Errorf("told as %+v", us.More)
	}
	if same, ok := told(tongue.Wish{}, &kept).(*out); !ok || same != &kept {
		t.Error("without a wish the answer is copied")
	}
}
