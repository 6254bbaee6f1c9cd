package main

import (
	"bytes"
	"littoral/internal/catalog"
	"littoral/internal/plan"
	"os"
	"os/signal"
	"path/filepath"
	"reflect"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"littoral": main})
}

// Scripts are the command line as it is typed, failures included. UPDATE_GOLDEN=1 renews the expected outputs inside them.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script", RequireExplicitExec: true, UpdateScripts: os.Getenv("UPDATE_GOLDEN") != "",
		Setup: func(e *testscript.Env) error {
			root, err := os.Getwd()
			if err != nil {
				return err
			}
			e.Setenv("EXAMPLES", root+"/../../examples")
			return nil
		},
	})
}

// run starts the program the way main does, with nobody at the terminal.
func run(t *testing.T, stdin string, args ...string) (code int, out, errs string) {
	t.Helper()
	var o, e bytes.Buffer
	p := Program{In: strings.NewReader(stdin), Out: &o, Err: &e}
	code = p.Run(args)
	return code, o.String(), e.String()
}

// Script tests cannot tell exit codes apart; scripts of users do.
func TestExitCodes(t *testing.T) {
	t.Chdir(t.TempDir())
	if err := os.WriteFile("broken.yaml", []byte("littoral: 1\nname: [\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile("folder-in-the-way", nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if code, _, errs := run(t, "", "new", "good.yaml", "--length", "60 cm", "--width", "30 cm", "--height", "36 cm", "--light", "low"); code != exitFine {
		t.Fatalf("new: exit %d: %s", code, errs)
	}
	for _, c := range []struct {
		name string
		args []string
		want int
	}{
		{"no arguments show the help", nil, exitFine},
		{"help", []string{"--help"}, exitFine},
		{"help of a command", []string{"forecast", "--help"}, exitFine},
		{"version", []string{"version"}, exitFine},
		{"a good plan", []string{"check", "good.yaml"}, exitFine},
		{"a word too many", []string{"check", "good.yaml", "again.yaml"}, exitBad},
		{"no such command", []string{"forcast", "good.yaml"}, exitBad},
		{"no such flag", []string{"check", "good.yaml", "--jsn"}, exitBad},
		{"no plan named", []string{"check"}, exitBad},
		{"no such plan", []string{"check", "absent.yaml"}, exitBad},
		{"a broken plan", []string{"check", "broken.yaml"}, exitBad},
		{"a broken plan, as JSON", []string{"check", "broken.yaml", "--json"}, exitBad},
		{"overwriting", []string{"new", "good.yaml"}, exitBad},
		{"nothing found", []string{"catalog", "zzzz"}, exitFine},
		{"no such entry", []string{"catalog", "show", "zzzz"}, exitBad},
		{"forecast of a broken plan", []string{"forecast", "broken.yaml", "--out", "report"}, exitBad},
		{"forecast into a file", []string{"forecast", "good.yaml", "--out", "folder-in-the-way", "--days", "2"}, exitBad},
		{"no days", []string{"forecast", "good.yaml", "--out", "report", "--days", "0"}, exitBad},
		{"days that are no number", []string{"forecast", "good.yaml", "--out", "report", "--days", "many"}, exitBad},
		{"a severity that is none", []string{"forecast", "good.yaml", "--out", "report", "--fail-on", "trifles"}, exitBad},
		{"a short forecast", []string{"forecast", "good.yaml", "--out", "report", "--days", "3"}, exitFine},
	} {
		t.Run(c.name, func(t *testing.T) {
			code, out, errs := run(t, "", c.args...)
			if code != c.want {
				t.Errorf("exit %d, want %d\nstdout: %s\nstderr: %s", code, c.want, out, errs)
			}
		})
	}
}

// What a person types into the questions must reach the plan, and a slip is asked again rather than written down.
func TestNewAsks(t *testing.T) {
	t.Chdir(t.TempDir())
	var o, e bytes.Buffer
	answers := strings.Join([]string{
		"Harbour room", "bowl", "bow-front", "2 m", "sixty", "60 cm", "3 m", "12 cm", "24 in", "High", "perhaps", "yes", "9 dKH", "14 dGH", "8 mg/L",
		"above", "front, left", "", "soon", "2027-03-01", "",
	}, "\n")
	p := Program{In: strings.NewReader(answers), Out: &o, Err: &e, InTerminal: true}
	if code := p.Run([]string{"new", "harbour.yaml"}); code != exitFine {
		t.Fatalf("exit %d: %s", code, e.String())
	}
	src, err := os.ReadFile("harbour.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`name: "Harbour room"`, "shape: bow-front", "length: 200 cm, width: 60 cm, height: 60.96 cm, bow: 12 cm", "seen-from: [front, left]", "alkalinity: 9 dKH, hardness: 14 dGH", "nitrate: 8 mg/L", `planted: "2027-03-01"`, "co2:", "100 µmol"} {
		if !strings.Contains(string(src), want) {
			t.Errorf("the plan has no %q\n%s", want, src)
		}
	}
	for _, slip := range []string{`"bowl" is none of box, bow-front`, `"sixty"`, "the bow of 300 cm", `"perhaps" is neither`, `"above"`, `"soon" is not a date`} {
		if !strings.Contains(e.String(), slip) {
			t.Errorf("the slip %s was not answered: %s", slip, e.String())
		}
	}
}

// An end of input in the middle of the questions leaves the rest at the usual values.
func TestNewTakesUsualValuesWhenInputEnds(t *testing.T) {
	t.Chdir(t.TempDir())
	var o, e bytes.Buffer
	p := Program{In: strings.NewReader("Short\n"), Out: &o, Err: &e, InTerminal: true}
	if code := p.Run([]string{"new"}); code != exitFine {
		t.Fatalf("exit %d: %s", code, e.String())
	}
	if _, err := os.Stat("plan.yaml"); err != nil {
		t.Error(err)
	}
}

// "catalog show" promises every number that growth uses.
func TestShowPrintsEveryParameter(t *testing.T) {
	fields := reflect.TypeFor[catalog.Physiology]().NumField()
	resting := &catalog.Physiology{}
	resting.RestDays.Max = 60 // seasons are told of bulbs that have them
	if got := len(physiologyFacts(resting)); got != fields {
		t.Errorf("%d parameters are shown, but growth has %d", got, fields)
	}
}

// Ctrl-C in the middle of a forecast: nothing half-written, words that say so, and the exit code that shells know.
func TestInterrupt(t *testing.T) {
	t.Chdir(t.TempDir())
	if code, _, errs := run(t, "", "new", "plan.yaml", "--light", "high"); code != exitFine {
		t.Fatalf("new: exit %d: %s", code, errs)
	}
	caught := make(chan os.Signal, 1)
	signal.Notify(caught, os.Interrupt) // the test itself must live through it
	defer signal.Stop(caught)
	done := make(chan struct{})
	go func() {
		for {
			select {
			case <-done:
				return
			case <-time.After(50 * time.Millisecond):
				_ = syscall.Kill(os.Getpid(), syscall.SIGINT)
			}
		}
	}()
	code, out, errs := run(t, "", "forecast", "plan.yaml", "--out", "report", "--days", "7000")
	close(done)
	if code != exitInterrupted {
		t.Errorf("exit %d, want %d", code, exitInterrupted)
	}
	if out != "" || !strings.Contains(errs, "stopped by interrupt after ") || !strings.Contains(errs, "report does not exist") {
		t.Errorf("stdout %q, stderr %q", out, errs)
	}
	left, err := os.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	if len(left) != 1 || left[0].Name() != "plan.yaml" {
		t.Errorf("left behind: %v", left)
	}
}

// Plans and house files printed in the guide must read as they stand there.
func TestGuidePlansRead(t *testing.T) {
	pages, err := filepath.Glob("../../docs/guide/*.md")
	if err != nil {
		t.Fatal(err)
	}
	plans := 0
	for _, page := range pages {
		text, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		for _, block := range strings.Split(string(text), "```yaml\n")[1:] {
			src, _, _ := strings.Cut(block, "```")
			if !strings.HasPrefix(src, "littoral: 1") {
				if _, err := plan.ParseHouse([]byte(src), filepath.Base(page)); err != nil {
					t.Errorf("neither a plan nor a house file: %v", err)
				}
				continue
			}
			plans++
			p, err := plan.Parse([]byte(src), filepath.Base(page), nil)
			if err != nil {
				t.Errorf("%v", err)
				continue
			}
			for _, w := range p.Warnings {
				t.Errorf("%s", w)
			}
		}
	}
	if plans < 2 {
		t.Errorf("only %d plans found in the guide: the test proves nothing", plans)
	}
}

// The demos are what their pages say they are; scripts and the README build on it.
func TestDemos(t *testing.T) {
	load := func(name string) *plan.Plan {
		t.Helper()
		p, err := plan.Load("../../examples/" + name + "/plan.yaml")
		if err != nil {
			t.Fatal(err)
		}
		// The first weeks: six hours at most of less than full light until day 21.
		first := p.LightDay[0]
		if first.Hours > 6 || first.Dim > 0.7 || first.Until < 21 {
			t.Errorf("%s: the first light regime is %.3g h at %.0f %% until day %.0f", name, first.Hours, 100*float64(first.Dim), float64(first.Until))
		}
		for _, s := range p.Livestock {
			if s.From < 28 {
				t.Errorf("%s: %s come on day %.0f", name, s.Species, float64(s.From))
			}
		}
		return p
	}
	kinds := func(p *plan.Plan) int {
		seen := map[string]bool{}
		for _, pl := range p.Plants {
			seen[pl.Species] = true
		}
		return len(seen)
	}

	quay := load("quay-street-library")
	if len(quay.Plants) < 45 || kinds(quay) < 15 || len(quay.CO2) == 0 || len(quay.Tank.SeenFrom) != 3 {
		t.Errorf("quay-street-library: %d plantings of %d species, %d CO2 regimes, seen from %v", len(quay.Plants), kinds(quay), len(quay.CO2), quay.Tank.SeenFrom)
	}
	scanned := false
	for _, h := range quay.Hardscape {
		scanned = scanned || h.Shape.Body != nil
	}
	if !scanned {
		t.Error("quay-street-library has no scanned stone")
	}

	hall := load("assay-hall")
	if hall.Tank.Shape != "cylinder" || hall.Start.Kind != "dark" {
		t.Errorf("assay-hall: %s, %s start", hall.Tank.Shape, hall.Start.Kind)
	}
	replanted := false
	for _, e := range hall.Events {
		replanted = replanted || e.Do == "replant" && e.On == 500 && len(e.Plant) > 0
	}
	if !replanted {
		t.Error("assay-hall is not replanted on day 500")
	}

	desk := load("reading-desk")
	if len(desk.CO2) != 0 || desk.Water.Mix.Pure != 0 || len(desk.Water.Salts) != 0 {
		t.Error("reading-desk is to run on tap water alone, without CO2")
	}
}
