package web

import (
	"encoding/json"
	"fmt"
	"littoral/internal/journal"
	"maps"
	"math/rand/v2"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/danielgtaylor/huma/v2"
)

// maker makes values of a schema: mostly what it asks for, sometimes its bounds, sometimes what it forbids.
type maker struct {
	*rand.Rand
	schemas huma.Registry
	real    map[string][]string // names that exist, by the parameter that holds them
}

var nasty = []string{
	"", " ", "0", "-1", "null", "NaN", "1e309", "../../etc/passwd", "<script>alert(1)</script>", "' OR 1=1 --", "\x00", "%00", "ü", "\u202e", "\U0001F41F", "2027-02-30", "9999-12-31T24:00", "front", "30°",
	strings.Repeat("a", 300), "{}", "[]", "name: x\n", "&a [*a]", "10 mg/L", "-5 cm", "1e99 cm",
}

func (m *maker) text(s *huma.Schema) string {
	switch {
	case len(s.Enum) > 0 && m.IntN(8) > 0:
		return fmt.Sprint(s.Enum[m.IntN(len(s.Enum))])
	case s.Format == "date" && m.IntN(3) > 0:
		return fmt.Sprintf("20%02d-%02d-%02d", 20+m.IntN(20), m.IntN(14), m.IntN(33))
	case s.Format == "date-time":
		return "2027-03-01T10:00:00Z"
	case len(s.Examples) > 0 && m.IntN(3) > 0:
		return fmt.Sprint(s.Examples[0])
	}
	return nasty[m.IntN(len(nasty))]
}

func (m *maker) number(s *huma.Schema, whole bool) any {
	lo, hi := -1e6, 1e6
	if s.Minimum != nil {
		lo = *s.Minimum
	}
	if s.Maximum != nil {
		hi = *s.Maximum
	}
	v := lo + m.Float64()*(hi-lo)
	switch m.IntN(7) {
	case 0:
		v = lo
	case 1:
		v = hi
	case 2:
		v = lo - 1
	case 3:
		v = 0
	case 4:
		v = float64(m.IntN(50))
	}
	if whole {
		return int64(v)
	}
	return v
}

// value makes a value of a schema. Deep ones end in nothing.
func (m *maker) value(s *huma.Schema, depth int) any {
	if s.Ref != "" {
		s = m.schemas.SchemaFromRef(s.Ref)
	}
	if m.IntN(25) == 0 { // of another kind altogether
		return []any{nil, true, 1.5, "x", []any{}, map[string]any{}, []any{map[string]any{"a": 1}}}[m.IntN(7)]
	}
	switch s.Type {
	case huma.TypeBoolean:
		return m.IntN(2) == 0
	case huma.TypeInteger:
		return m.number(s, true)
	case huma.TypeNumber:
		return m.number(s, false)
	case huma.TypeString:
		return m.text(s)
	case huma.TypeArray:
		out := []any{}
		for range m.IntN(4) {
			if depth < 8 && s.Items != nil {
				out = append(out, m.value(s.Items, depth+1))
			}
		}
		return out
	}
	out := map[string]any{}
	if depth > 8 {
		return out
	}
	for _, name := range slices.Sorted(maps.Keys(s.Properties)) {
		p := s.Properties[name]
		if slices.Contains(s.Required, name) && m.IntN(12) > 0 || m.IntN(3) == 0 {
			out[name] = m.value(p, depth+1)
		}
	}
	if m.IntN(15) == 0 {
		out["nobody asked for this"] = nasty[m.IntN(len(nasty))]
	}
	return out
}

// heavy are answers that take seconds of work each; one of them is asked for in other tests.
var heavy = []string{"startForecast", "forecastBoard", "startMembers", "startTry", "getPaper", "getLight", "getScene", "startAnimation"}

// Whatever is sent that the description of the API can lead to, the server answers, soon, and never that it is its own fault.
func TestAPIFromItsDescription(t *testing.T) {
	const rounds = 14
	h := serve(t, false)
	id, key := h.tank()
	h.sync(id, SyncEntry{Entry: journal.Entry{ID: "entry-0001", At: "2027-04-01T10:00", Kind: journal.KindNote, Text: "words"}})
	h.client.Timeout = 30 * time.Second // an answer that hangs
	api := h.server.api.OpenAPI()
	m := &maker{Rand: rand.New(rand.NewPCG(7, 11)), schemas: api.Components.Schemas, real: map[string][]string{"tank": {id}, "key": {key}, "a": {key}, "b": {key}, "job": {"1"}, "number": {"1"}, "id": {"photo-0001"}, "entry": {"entry-0001"}, "name": {"prices.csv", "plan.yaml"}, "topic": {"co2", "salts", "weekly"}}}
	seen := map[int]int{}
	reached := map[string]bool{}
	operations := h.operations()
	slices.SortFunc(operations, func(a, b *huma.Operation) int { return strings.Compare(a.OperationID, b.OperationID) })
	for _, op := range operations {
		n := rounds
		if slices.Contains(heavy, op.OperationID) {
			n = 4
		}
		if op.OperationID == "deleteTank" {
			m.real["tank"] = nil // it would take the tank that the others are tried on
		} else {
			m.real["tank"] = []string{id}
		}
		for range n {
			path := op.Path
			query := url.Values{}
			for _, p := range op.Parameters {
				v := fmt.Sprint(m.value(p.Schema, 8))
				if names := m.real[p.Name]; len(names) > 0 && m.IntN(4) > 0 {
					v = names[m.IntN(len(names))]
				}
				switch {
				case p.In == "path":
					path = strings.ReplaceAll(path, "{"+p.Name+"}", url.PathEscape(v))
				case p.In == "query" && (p.Required || m.IntN(2) == 0):
					if p.Name == "width" || p.Name == "height" { // large pictures take seconds each
						v = fmt.Sprint(m.IntN(200))
					}
					query.Set(p.Name, v)
				}
			}
			var body any
			if op.RequestBody != nil {
				if c := op.RequestBody.Content["application/json"]; c != nil {
					v := m.value(c.Schema, 0)
					if o, ok := v.(map[string]any); ok && slices.Contains(heavy, op.OperationID) {
						delete(o, "members")
						if op.OperationID == "startAnimation" {
							o["width"], o["height"] = 40, 40
						}
						if _, ok := o["days"]; ok {
							o["days"] = m.IntN(30) - 1
						}
					}
					raw, err := json.Marshal(v)
					if err != nil {
						t.Fatal(err)
					}
					if m.IntN(15) == 0 {
						raw = raw[:len(raw)/2]
					}
					body = string(raw)
				} else {
					body = []byte(nasty[m.IntN(len(nasty))])
				}
			}
			if strings.Contains(path, "\x00") || op.OperationID == "watchJob" && strings.Contains(path, "/1/") {
				continue
			}
			var extra []string
			for _, p := range op.Parameters {
				if p.In == "header" && m.IntN(6) > 0 { // the version of the plan, so that changes are really made
					_, _, head := h.ask(http.MethodGet, "/api/tanks/"+id+"/board", nil)
					extra = []string{p.Name, head.Get("ETag")}
				}
			}
			status, out, head := h.ask(op.Method, path+"?"+query.Encode(), body, extra...)
			seen[status/100]++
			if status/100 == 2 {
				reached[op.OperationID] = true
			}
			if status >= 500 {
				t.Errorf("%s %s?%s gave %d to %.400v: %.300s", op.Method, path, query.Encode(), status, body, out)
			}
			if status >= 400 && head.Get("Content-Type") == "application/problem+json" {
				var p Problem
				if err := json.Unmarshal(out, &p); err != nil || p.Detail == "" || p.Cure == "" {
					t.Errorf("%s %s gave a problem without words or cure: %.300s", op.Method, path, out)
				}
			}
		}
	}
	t.Logf("answers by hundred: %v", seen)
	if n := len(reached); n < len(operations)/2 {
		t.Errorf("only %d of %d operations were ever reached behind their checks", n, len(operations))
	}
	if seen[2] < 100 || seen[4] < 100 {
		t.Errorf("the requests reached too little: %v", seen)
	}
	h.want(http.StatusOK, http.MethodGet, "/api/tanks/"+id, nil, nil)
}
