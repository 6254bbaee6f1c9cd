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
