package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"littoral/internal/check"
	"math"
	"os"
	"path/filepath"
	"testing"
)

// TestLightOfAScene runs a scene of the photon tracer as a plan, from the file to the JSON.
func TestLightOfAScene(t *testing.T) {
	// Brute-force Monte-Carlo photon tracer, 50 million photons: a panel over 120×60×55 cm, absorption 0.2 /m, scattering 0.3 /m of asymmetry 0.9.
	const mean, centre, least, most = 761.299, 777.744, 681.132, 806.041
	want := map[string]float64{
		"missing_surface": 0.353535, "reflected_at_surface": 0.017599, "absorbed_in_water": 0.080173, "lost_through_walls": 0.030960,
		"lost_through_surface": 0.024450, "absorbed_by_bottom": 0.493282,
	}
	name := filepath.Join(t.TempDir(), "scene.yaml")
	text := `lamps: [{kind: panel, at: [60, 30], above-water: 30 cm, size: 60x20 cm, ppf: 1000 µmol/s, beam: 120°}]
tank: {shape: box, inside: {length: 120 cm, width: 60 cm, height: 55 cm}}
optics: {absorption: 0.2 /m, scattering: 0.3 /m, asymmetry: 0.9, ground-reflectance: 0.1}
`
	if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	var out, err bytes.Buffer
	if code := (Program{Out: &out, Err: &err}).Run([]string{"light", name, "--json"}); code != exitFine || err.Len() > 0 {
		t.Fatalf("exit code %d: %s", code, err.String())
	}
	var got litMap
	if e := json.Unmarshal(out.Bytes(), &got); e != nil {
		t.Fatal(e)
	}
	if len(got.Cells) != 81 || got.Cells[40].X != 60 || got.Cells[40].Y != 30 {
		t.Fatalf("%d cells, the middle at %+v", len(got.Cells), got.Cells[40])
	}
	worst, sum := 0.0, 0.0
	for _, c := range []struct{ got, want float64 }{{got.Mean, mean}, {got.Cells[40].PPFD, centre}, {got.Min, least}, {got.Max, most}} {
		worst = max(worst, math.Abs(c.got/c.want-1))
	}
	if worst > 0.03 {
		t.Errorf("%+v is %.3f off", got, worst)
	}
	for key, share := range got.Fractions {
		sum += share
		if math.Abs(share-want[key]) > 0.01 {
			t.Errorf("%s %.4f, tracer %.4f", key, share, want[key])
		}
	}
	if len(got.Fractions) != len(want) || math.Abs(sum-1) > 1e-9 {
		t.Errorf("shares %v sum to %v", got.Fractions, sum)
	}
	check.Record(t, check.Row{
		Room: "cmd/littoral", What: "littoral light on a scattering scene: mean, centre, lowest and highest cell", Source: "brute-force Monte-Carlo photon tracer, 50 million photons",
		Worst: fmt.Sprintf("%.1f %%", 100*worst), Within: "3 %",
	})
}

// TestLightOfWindows: what windows add stands beside the lamps' map and shares, with shares of its own.
func TestLightOfWindows(t *testing.T) {
	const tank = `littoral: 1
name: Lobby
planted: 2027-03-01
tank: {shape: box, inside: {length: 120 cm, width: 50 cm, height: 50 cm}, water-level: 46 cm}
lamps: [{kind: panel, at: [60, 25], above-water: 20 cm, size: 80x20 cm, ppf: 60 µmol/s}]
light-day: {on: "10:00", hours: 8}
water: {tap: {alkalinity: 4 dKH, hardness: 8 dGH}}
`
	read := func(text string) litMap {
		name := filepath.Join(t.TempDir(), "plan.yaml")
		if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		var out, err bytes.Buffer
		if code := (Program{Out: &out, Err: &err}).Run([]string{"light", name, "--json", "--cells", "6x3"}); code != exitFine {
			t.Fatalf("exit code %d: %s", code, err.String())
		}
		var got litMap
		if e := json.Unmarshal(out.Bytes(), &got); e != nil {
			t.Fatal(e)
		}
		return got
	}
	bare := read(tank)
	lit := read(tank + `daylight: {latitude: 52°, windows: [{side: back, size: 120x120 cm, distance: 1 m, sun: {from: "14:00", hours: 2}}, {side: above, lux: 300}]}` + "\n")
	if bare.Daylight != nil || lit.Daylight == nil {
		t.Fatalf("daylight without windows %v, with windows %v", bare.Daylight, lit.Daylight)
	}
	if bare.Mean != lit.Mean || fmt.Sprint(bare.Fractions) != fmt.Sprint(lit.Fractions) {
		t.Errorf("windows change the lamps' map or shares: %v and %v", bare.Fractions, lit.Fractions)
	}
	d, sum, mean := lit.Daylight, 0.0, 0.0
	for _, share := range d.Fractions {
		sum += share
	}
	for _, c := range d.Cells {
		mean += c.DLI / float64(len(d.Cells))
	}
	if math.Abs(sum-1) > 0.001 || len(d.Cells) != 18 || math.Abs(mean/d.DLI-1) > 1e-3 || !(d.Sun > d.Noon && d.Noon > 1 && d.DLI > 0.1) || d.SunHours != 2 || !(d.LampDLI > 0.5) {
		t.Errorf("shares sum to %v, mean of cells %v: %+v", sum, mean, d)
	}
}
