package web

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"littoral/internal/draft"
	"littoral/internal/jobs"
	"littoral/internal/shelf"
	"littoral/internal/store"
	"littoral/internal/store/sqlite"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// crowded is a server over 200 tanks, each with a forecast of three years, and 50,000 journal entries.
func crowded(b *testing.B) (*Server, string) {
	b.Helper()
	const tanks, entries = 200, 50_000
	ctx := context.Background()
	dir := b.TempDir()
	file := filepath.Join(dir, store.DatabaseFile)
	st, err := sqlite.Open(ctx, file)
	if err != nil {
		b.Fatal(err)
	}
	sh, err := shelf.New(st, store.Album{Dir: filepath.Join(dir, store.PhotoDir)})
	if err != nil {
		b.Fatal(err)
	}
	queue, err := jobs.Open(ctx, sqlite.Address(filepath.Join(dir, "queue.sqlite"), "NORMAL"), Works(sh), 1)
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() {
		_ = queue.Close(ctx) // a benchmark
		_ = st.Close()
	})
	s := New(sh, queue, Config{Version: "bench"})
	first, err := bare(ctx, s, sh)
	if err != nil {
		b.Fatal(err)
	}
	a, err := sh.Asking(ctx, first, 0, 0, false)
	if err != nil {
		b.Fatal(err)
	}
	key, err := sh.Run(ctx, a, nil)
	if err != nil {
		b.Fatal(err)
	}
	raw, err := sql.Open("sqlite", sqlite.Address(file, "OFF"))
	if err != nil {
		b.Fatal(err)
	}
	tx, err := raw.Begin()
	if err != nil {
		b.Fatal(err)
	}
	do := func(query string, args ...any) {
		if _, err := tx.Exec(query, args...); err != nil {
			b.Fatal(err)
		}
	}
	for i := 1; i < tanks; i++ {
		id, k := fmt.Sprint("tank-", i), fmt.Sprint("key-", i)
		do("INSERT INTO tanks SELECT ?, ?, planted, current, ?, made_ms, changed_ms FROM tanks WHERE id = ?", id, fmt.Sprint("Tank ", i), k, first)
		do("INSERT INTO revisions SELECT ?, number, variant, base, name, plan, sum, author, made_ms, open FROM revisions WHERE tank = ?", id, first)
		do("INSERT INTO forecasts SELECT ?, ?, revision, engine, days, made_ms FROM forecasts WHERE key = ?", k, id, key)
		do("INSERT INTO forecast_parts SELECT ?, name, type, data FROM forecast_parts WHERE key = ?", k, key)
	}
	for i := range entries {
		id := first
		if n := i % tanks; n > 0 {
			id = fmt.Sprint("tank-", n)
		}
		at := time.Date(2024, 1, 1, 0, 0, 0, 0, time.UTC).Add(time.Duration(i) * 31 * time.Minute).Format("2006-01-02T15:04")
		do("INSERT INTO entries VALUES (?, 1, ?, 0, 'current', 'note', ?, 0, ?, 'x', '', 1)", fmt.Sprintf("entry-%06d", i), id, at,
			fmt.Sprintf(`{"id":"entry-%06d","at":%q,"kind":"note","text":"the pump hums; rinsed the sponge and set the outlet a little higher"}`, i, at))
	}
	if err := tx.Commit(); err != nil {
		b.Fatal(err)
	}
	if err := raw.Close(); err != nil {
		b.Fatal(err)
	}
	return s, first
}

func ask(b *testing.B, s *Server, path string) {
	b.Helper()
	r := httptest.NewRequest(http.MethodGet, path, nil)
	r.Host = "localhost"
	w := httptest.NewRecorder()
	s.ServeHTTP(w, r)
	if w.Code != http.StatusOK {
		b.Fatalf("%s gave %d %s", path, w.Code, w.Body)
	}
}

// BenchmarkShelf is the shelf of 200 tanks with 50,000 journal entries, and a page of one of their journals.
func BenchmarkShelf(b *testing.B) {
	s, id := crowded(b)
	b.Run("shelf", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			ask(b, s, "/api/tanks")
		}
	})
	b.Run("journal page", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			ask(b, s, "/api/tanks/"+id+"/journal?limit=50")
		}
	})
}

// bare puts the small demo on the shelf without a forecast under way.
func bare(ctx context.Context, s *Server, sh *shelf.Shelf) (string, error) {
	text, files, err := demo("reading-desk")
	if err != nil {
		return "", err
	}
	p, err := s.parse(ctx, text, files)
	if err != nil {
		return "", err
	}
	t, err := sh.Add(ctx, p, text, files, "")
	return t.ID, err
}

// A plan of 2000 plantings on the drawing board: opened for the first time, opened again, a plant and a stone moved for good, and looked at while dragged.
func BenchmarkBoard(b *testing.B) {
	ctx := context.Background()
	dir := b.TempDir()
	st, err := sqlite.Open(ctx, filepath.Join(dir, store.DatabaseFile))
	if err != nil {
		b.Fatal(err)
	}
	sh, err := shelf.New(st, store.Album{Dir: filepath.Join(dir, store.PhotoDir)})
	if err != nil {
		b.Fatal(err)
	}
	queue, err := jobs.Open(ctx, sqlite.Address(filepath.Join(dir, "queue.sqlite"), "NORMAL"), Works(sh), 1)
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() {
		_ = queue.Close(ctx) // a benchmark
		_ = st.Close()
	})
	text, files, err := demo("quay-street-library")
	if err != nil {
		b.Fatal(err)
	}
	var more strings.Builder
	for i := range 2000 {
		fmt.Fprintf(&more, "  - {id: p-%d, species: Cryptocoryne parva, pots: 1, at: [[%d, %d]]}\n", i, 3+i%230, 3+(i*7)%80)
	}
	text = strings.Replace(text, "plants:\n", "plants:\n"+more.String(), 1)
	p, err := shelf.Parse(text, files, shelf.Ways{})
	if err != nil {
		b.Fatal(err)
	}
	tank, err := sh.Add(ctx, p, text, files, "")
	if err != nil {
		b.Fatal(err)
	}
	s := New(sh, queue, Config{Version: "bench"})
	at := "/api/tanks/" + tank.ID + "/board"
	version := ""
	ask := func(method, path string, body any) {
		raw, err := json.Marshal(body)
		if err != nil {
			b.Fatal(err)
		}
		r := httptest.NewRequest(method, path, bytes.NewReader(raw))
		r.Host = "localhost"
		r.Header.Set("Content-Type", "application/json")
		r.Header.Set("If-Match", version)
		w := httptest.NewRecorder()
		s.ServeHTTP(w, r)
		if w.Code != http.StatusOK {
			b.Fatalf("%s %s gave %d: %.300s", method, path, w.Code, w.Body)
		}
		if e := w.Header().Get("ETag"); e != "" {
			version = e
		}
	}
	ask(http.MethodGet, at, nil)
	n := 0
	move := func(list, id string, place any) []draft.Edit {
		return []draft.Edit{{Op: "set", List: list, ID: id, Field: "at", Value: place}}
	}
	x := func() float64 { n++; return 100 + float64(n%200)/10 }
	for _, c := range []struct {
		name string
		do   func()
	}{
		{"opened for the first time", func() { // in a program that was just started
			fresh, err := shelf.New(st, store.Album{Dir: filepath.Join(dir, store.PhotoDir)})
			if err != nil {
				b.Fatal(err)
			}
			s = New(fresh, queue, Config{Version: "bench"})
			ask(http.MethodGet, at, nil)
		}},
		{"opened again", func() { ask(http.MethodGet, at, nil) }},
		{"a plant moved", func() {
			ask(http.MethodPost, at+"/edits", BoardEdits{Label: "x", Edits: move("plants", "p-7", []any{[]any{x(), 30.0}})})
		}},
		{"a stone moved", func() {
			ask(http.MethodPost, at+"/edits", BoardEdits{Label: "x", Edits: move("hardscape", "right-block", []any{x(), 30.0})})
		}},
		{"a plant looked at", func() {
			ask(http.MethodPost, at+"/look", BoardLook{Edits: move("plants", "p-7", []any{[]any{x(), 30.0}})})
		}},
		{"a stone looked at", func() {
			ask(http.MethodPost, at+"/look", BoardLook{Edits: move("hardscape", "right-block", []any{x(), 30.0})})
		}},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				c.do()
			}
		})
	}
}
