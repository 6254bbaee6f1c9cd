// Package check keeps the list of what the tests compare with the outside world.
//
// A test that checks a number against a published table, a reference calculation or a fact of the trade calls Record.
// When the environment variable LITTORAL_VERIFICATION names a folder, each test binary writes its rows there as JSON lines;
// `make verification` turns them into docs/verification.md. Without the variable Record only takes note and costs nothing.
package check

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
)

// Row is one line of docs/verification.md.
type Row struct {
	Room   string // package, e.g. "water"
	What   string // what was compared, e.g. "oxygen saturation, 0 to 30 °C"
	Source string // published source, or "common practice, no source"
	Memory bool   // true when the reference value was written from memory of the source
	Worst  string // worst difference seen, with unit, e.g. "0.004 mg/L"
	Within string // tolerance the test holds it to, e.g. "0.02 mg/L"
}

var mu sync.Mutex

// Record notes a comparison that the running test has just made. Call it after the comparison, whatever its outcome;
// rows of failed tests are not written.
func Record(t testing.TB, r Row) {
	t.Helper()
	dir := os.Getenv("LITTORAL_VERIFICATION")
	if dir == "" {
		return
	}
	t.Cleanup(func() {
		if t.Failed() {
			return
		}
		mu.Lock()
		defer mu.Unlock()
		line, err := json.Marshal(struct {
			Row
			Test string
		}{r, t.Name()})
		if err != nil {
			t.Errorf("verification row: %v", err)
			return
		}
		name := filepath.Join(dir, strings.ReplaceAll(r.Room, "/", "-")+".jsonl")
		f, err := os.OpenFile(name, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o644)
		if err != nil {
			t.Errorf("verification row: %v", err)
			return
		}
		defer f.Close()
		if _, err := f.Write(append(line, '\n')); err != nil {
			t.Errorf("verification row: %v", err)
		}
	})
}
