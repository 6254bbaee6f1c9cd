package shelf

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"littoral/internal/plan"
	"littoral/internal/store"
	"os"
	"path"
	"slices"
	"strings"
	"sync"
	"time"
)

// Shelf is the room. It is safe for concurrent use.
type Shelf struct {
	Store  store.Store
	Photos store.Album
	Engine string           // which program forecasts; see Program
	Now    func() time.Time // the clock on the wall

	live   live
	briefs briefs
	boards boards
	sites  sites
}

// New makes a shelf over a store and the photos beside it.
func New(s store.Store, photos store.Album) (*Shelf, error) {
	engine, err := Program()
	if err != nil {
		return nil, err
	}
	return &Shelf{Store: s, Photos: photos, Engine: engine, Now: time.Now, live: live{locks: map[string]*sync.Mutex{}}}, nil
}

// Program names the running program by the start of the SHA-256 of its file, so that a program that was built from other sources never
// takes the forecasts of this one for its own.
func Program() (string, error) {
	file, err := os.Executable()
	if err != nil {
		return "", err
	}
	f, err := os.Open(file)
	if err != nil {
		return "", err
	}
	defer f.Close() //nolint:errcheck // read only
	sum := sha256.New()
	if _, err := io.Copy(sum, f); err != nil {
		return "", err
	}
	return hex.EncodeToString(sum.Sum(nil))[:16], nil
}

// PlanFile is what error texts call a kept plan, and HouseFile the studio's house beside it.
const (
	PlanFile  = "plan.yaml"
	HouseFile = "house.yaml"
)

// Ways are how a shelf shows quantities and reckons where a plan says nothing.
type Ways struct {
	Units string `json:"units,omitempty"` // metric or US; empty = as the house says
	House string `json:"house,omitempty"` // text of the shelf's house file; empty = the program's own house
}

// Ways reads them.
func (s *Shelf) Ways(ctx context.Context) (Ways, error) {
	units, err := s.Store.Setting(ctx, SettingUnits)
	if err != nil {
		return Ways{}, err
	}
	house, err := s.Store.Setting(ctx, SettingHouse)
	return Ways{units, house}, err
}

func ownHouse(files []store.File) bool {
	return slices.ContainsFunc(files, func(f store.File) bool { return f.Name == HouseFile })
}

// Parse reads a plan's text with the files that it names, in the ways of the shelf. A house.yaml among the files is its house, in place of the
// shelf's. Errors are plan.Problems.
func Parse(text string, files []store.File, ways Ways) (*plan.Plan, error) {
	p, err := parse(text, files, ways, nil)
	if err == nil {
		p.Source.Tree = nil // only the drawing board edits texts
	}
	return p, err
}

// parse is Parse that keeps the syntax tree. before is a plan that was read from the same files; nil = none.
func parse(text string, files []store.File, ways Ways, before *plan.Plan) (*plan.Plan, error) {
	have := map[string][]byte{}
	for _, f := range files {
		have[f.Name] = f.Data
	}
	src, own := have[HouseFile]
	if !own {
		src = []byte(ways.House)
	}
	house := plan.DefaultHouse()
	if len(src) > 0 {
		h, err := plan.ParseHouse(src, HouseFile)
		if err != nil {
			return nil, err
		}
		house = h
	}
	if !own && ways.Units != "" {
		house.Units = ways.Units
	}
	open := func(name string) ([]byte, error) {
		if b, ok := have[path.Clean(strings.ReplaceAll(name, "\\", "/"))]; ok {
			return b, nil
		}
		return nil, fmt.Errorf("no file of this name lies beside the plan")
	}
	if before != nil {
		return plan.ParseAgain(before, house, []byte(text), PlanFile, open)
	}
	return plan.ParseIn(house, []byte(text), PlanFile, open)
}

// SettingUnits is the name of the setting that says how quantities are shown: metric or US; empty is metric.
const SettingUnits = "units"

// SettingHouse is the name of the setting that holds the shelf's house file; empty is the program's own house.
const SettingHouse = "house"

// Sum is the hash of a plan's text and every file beside it.
func Sum(text string, files []store.File) string {
	sum := sha256.New()
	fmt.Fprintf(sum, "%d\n%s", len(text), text)
	for _, f := range files {
		fmt.Fprintf(sum, "\n%q %d\n", f.Name, len(f.Data))
		sum.Write(f.Data)
	}
	return hex.EncodeToString(sum.Sum(nil))
}

// GoodName tells what is wrong with the name of a file beside a plan; nil when nothing is. Names are those a plan writes: relative,
// with strokes, never out of the plan's folder.
func GoodName(name string) error {
	switch {
	case name == "" || len(name) > 200:
		return fmt.Errorf("a file beside a plan needs a name of 1 to 200 characters")
	case name != path.Clean(name) || path.IsAbs(name) || strings.HasPrefix(name, "..") || strings.ContainsAny(name, "\\:\x00") || name == "." || name == PlanFile:
		return fmt.Errorf("%q is no name for a file beside the plan; write it as the plan does, such as meshes/stone.obj", name)
	}
	return nil
}

// Today is the day of a tank's plan on a date, counted from its planting; ok is false when the plan states no date of planting.
func Today(planted string, now time.Time) (day int, ok bool) {
	if planted == "" {
		return 0, false
	}
	d, err := time.Parse(time.DateOnly, planted)
	if err != nil {
		return 0, false
	}
	today := time.Date(now.Year(), now.Month(), now.Day(), 0, 0, 0, 0, time.UTC)
	return int(today.Sub(d).Hours() / 24), true
}
