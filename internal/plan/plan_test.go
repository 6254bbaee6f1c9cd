package plan

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// golden compares text with a file under testdata; UPDATE_GOLDEN=1 writes the file anew.
func golden(t *testing.T, name, got string) {
	t.Helper()
	if os.Getenv("UPDATE_GOLDEN") == "1" {
		if err := os.WriteFile(name, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if string(want) != got {
		t.Errorf("%s differs; UPDATE_GOLDEN=1 renews it after a look\n--- got\n%s\n--- want\n%s", name, got, want)
	}
}

// testFiles reads the files that a test plan names.
func testFiles(name string) ([]byte, error) {
	return readFile(filepath.Join("testdata", filepath.Base(name)), maxFileBytes)
}

// plans lists the plans of a folder under testdata by name and bytes.
func plans(t testing.TB, pattern string) map[string][]byte {
	t.Helper()
	names, err := filepath.Glob(pattern)
	if err != nil || len(names) == 0 {
		t.Fatalf("no plans under %s (%v)", pattern, err)
	}
	out := map[string][]byte{}
	for _, name := range names {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		out[name] = b
	}
	return out
}

func TestPlansThatRead(t *testing.T) {
	for name := range plans(t, "testdata/*.yaml") {
		t.Run(filepath.Base(name), func(t *testing.T) {
			p, err := Load(name)
			if err != nil {
				t.Fatal(err)
			}
			for _, w := range p.Warnings {
				t.Log(w)
			}
		})
	}
}

// Each broken plan tells everything that is wrong with it, word for word.
func TestPlansThatDoNotRead(t *testing.T) {
	for name, src := range plans(t, "testdata/broken/*.yaml") {
		t.Run(filepath.Base(name), func(t *testing.T) {
			_, err := Parse(src, filepath.Base(name), testFiles)
			var problems Problems
			if !errors.As(err, &problems) {
				t.Fatalf("got %v, want Problems", err)
			}
			golden(t, strings.TrimSuffix(name, ".yaml")+".txt", err.Error()+"\n")
		})
	}
}
