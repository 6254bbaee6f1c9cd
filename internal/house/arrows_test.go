package house

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// floors is the house of docs/architecture.md: a package may import only packages of a lower floor.
var floors = map[string]int{
	"littoral/internal/unit":               0,
	"littoral/internal/crew":               0,
	"littoral/internal/mesh":               1,
	"littoral/internal/ies":                1,
	"littoral/internal/catalog":            1,
	"littoral/internal/plan":               2,
	"littoral/internal/geometry":           3,
	"littoral/internal/water":              4,
	"littoral/internal/light":              4,
	"littoral/internal/clarity":            4,
	"littoral/internal/soil":               4,
	"littoral/internal/algae":              4,
	"littoral/internal/growth":             4,
	"littoral/internal/forecast":           5,
	"littoral/internal/draft":              5,
	"littoral/internal/reckon":             5,
	"littoral/internal/recipe":             5,
	"littoral/internal/tapsheet":           5,
	"littoral/internal/findings":           6,
	"littoral/internal/nursery":            6,
	"littoral/internal/journal":            6,
	"littoral/internal/picture":            7,
	"littoral/internal/scene":              7,
	"littoral/internal/render":             8,
	"littoral/internal/sheets":             8,
	"littoral/internal/papers":             9,
	"littoral/internal/store":              9,
	"littoral/internal/store/sqlite/db":    8,
	"littoral/internal/jobs":               9,
	"littoral/examples":                    9,
	"littoral/internal/shelf":              10,
	"littoral/internal/web":                11,
	"littoral/cmd/littoral":                12,
	"littoral/internal/house":              12,
	"littoral/internal/check":              -1, // used by tests everywhere
	"littoral/internal/tongue":             -1, // retells finished sentences; knows nothing of ours
	"littoral/internal/words":              -1, // how far apart words are; knows nothing of ours
	"littoral/internal/check/verification": 12,
	"littoral/tools/stone":                 12,
	"littoral/tools/contacts":              12,
}

// engine are the packages that must stay pure: values in, values out.
const engineTop = 5

// impure are packages of the standard library that read a clock, a disk or a network, or draw without a seed.
var impure = map[string]string{
	"os": "the engine opens no files", "net": "the engine knows no network", "net/http": "the engine knows no network",
	"math/rand": "draws are keyed by seed, item and day", "io/ioutil": "the engine opens no files",
}

// mayTouchDisk lists packages below the engine's top whose loading step may read files.
var mayTouchDisk = map[string]bool{"littoral/internal/plan": true}

type listed struct {
	ImportPath string
	Dir        string
	GoFiles    []string
	Imports    []string
}

func packages(t *testing.T) []listed {
	t.Helper()
	cmd := exec.Command("go", "list", "-json=ImportPath,Dir,GoFiles,Imports", "littoral/...")
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	var all []listed
	dec := json.NewDecoder(strings.NewReader(string(out)))
	for dec.More() {
		var l listed
		if err := dec.Decode(&l); err != nil {
			t.Fatal(err)
		}
		all = append(all, l)
	}
	if len(all) < 10 {
		t.Fatalf("only %d packages listed: the test proves nothing", len(all))
	}
	return all
}

func TestArrowsPointDown(t *testing.T) {
	for _, p := range packages(t) {
		floor, known := floors[p.ImportPath]
		if !known {
			// A helper package for tests or data stands on the floor of its parent.
			parent := p.ImportPath[:strings.LastIndex(p.ImportPath, "/")]
			if floor, known = floors[parent]; !known {
				t.Errorf("%s has no floor in the house: give it one here and in docs/architecture.md", p.ImportPath)
				continue
			}
		}
		for _, imp := range p.Imports {
			if !strings.HasPrefix(imp, "littoral/") {
				continue
			}
			below, ok := floors[imp]
			if ok && below >= floor && !strings.HasPrefix(p.ImportPath, imp+"/") {
				t.Errorf("%s (floor %d) imports %s (floor %d); arrows point down (docs/architecture.md)", p.ImportPath, floor, imp, below)
			}
		}
	}
}

func TestEngineIsPure(t *testing.T) {
	for _, p := range packages(t) {
		floor, ok := floors[p.ImportPath]
		if !ok || floor < 0 || floor > engineTop || mayTouchDisk[p.ImportPath] {
			continue
		}
		for _, imp := range p.Imports {
			if why, bad := impure[imp]; bad {
				t.Errorf("%s imports %s: %s", p.ImportPath, imp, why)
			}
		}
	}
}

// sharedDraw finds calls of math/rand/v2 that draw from its shared source; a generator made with New and a stated key is welcome.
var sharedDraw = regexp.MustCompile(`\brand\.(Int|Uint|Float|N\(|Perm|Shuffle|Norm|Exp)`)

func TestDrawsAreKeyed(t *testing.T) {
	keyed := 0
	for _, p := range packages(t) {
		if !slices.Contains(p.Imports, "math/rand/v2") {
			continue
		}
		for _, name := range p.GoFiles {
			src, err := os.ReadFile(filepath.Join(p.Dir, name))
			if err != nil {
				t.Fatal(err)
			}
			if m := sharedDraw.Find(src); m != nil {
				t.Errorf("%s/%s draws with %s from the shared source; key a generator by seed, item and day", p.ImportPath, name, m)
			}
			if strings.Contains(string(src), "rand.New(") {
				keyed++
			}
		}
	}
	t.Logf("%d files draw from keyed generators", keyed)
}
