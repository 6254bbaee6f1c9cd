package draft

import (
	"fmt"
	"littoral/internal/geometry"
	"littoral/internal/plan"
	"math/rand/v2"
	"reflect"
	"testing"
)

// What is built again from the draft before is what is built from nothing, to the last bit.
func TestBuiltAgainIsBuiltAnew(t *testing.T) {
	src, f := demoText(t, "quay-street-library")
	_, p := opened(t, src, f)
	before, err := Open(p, 1, nil)
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(3, 5))
	names := []string{"moved", "turned", "leant", "other", "plant", "pots", "level", "locked", "gone", "ground", "moved"}
	for _, name := range names {
		text, err := NewText(p)
		if err != nil {
			t.Fatalf("%v", err)
		}
		num := func(lo, hi float64) float64 { return round(lo+r.Float64()*(hi-lo), 10) }
		piece := before.Plan.Hardscape[r.IntN(len(before.Plan.Hardscape))].ID
		edits := map[string]Edit{
			"moved":  {Op: "set", List: "hardscape", ID: piece, Field: "at", Value: []any{num(20, 220), num(10, 80)}},
			"turned": {Op: "set", List: "hardscape", ID: piece, Field: "turn", Value: num(0, 359)},
			"leant":  {Op: "set", List: "hardscape", ID: piece, Field: "lean", Value: num(-40, 40)},
			"other":  {Op: "set", List: "hardscape", ID: piece, Field: "mirrored", Value: true},
			"plant":  {Op: "set", List: "plants", ID: "sword-left", Field: "at", Value: []any{[]any{num(5, 235), num(5, 85)}}},
			"pots":   {Op: "set", List: "plants", ID: "hairgrass", Field: "pots", Value: 7.0},
			"level":  {Op: "set", Field: "tank/water-level", Value: num(40, 62)},
			"locked": {Op: "set", List: "hardscape", ID: piece, Field: "locked", Value: true},
			"gone":   {Op: "remove", List: "hardscape", ID: "path-stone-1"},
			"ground": {Op: "brush", List: "substrate/layers", ID: "1", Value: map[string]any{"at_cm": []any{[]any{num(10, 230), num(10, 80)}}, "radius_cm": 14.0, "raise_cm": 3.0}},
		}
		after, _, err := text.Apply([]Edit{edits[name]})
		if err != nil {
			t.Fatalf("%v", err)
		}
		q, err := plan.ParseAgain(p, plan.DefaultHouse(), []byte(after.String()), "plan.yaml", f)
		if err != nil {
			continue // a stone outside the glass
		}
		again, err := Open(q, 1, before)
		if err != nil {
			t.Fatalf("%v", err)
		}
		anew, err := Open(q, 1, nil)
		if err != nil {
			t.Fatalf("%v", err)
		}
		if !reflect.DeepEqual(again.Model.Facts, anew.Model.Facts) || !reflect.DeepEqual(again.Model.Notes, anew.Model.Notes) {
			t.Fatalf("%s: built again %+v\nanew %+v", name, again.Model.Facts, anew.Model.Facts)
		}
		if !reflect.DeepEqual(again.Voxels, anew.Voxels) || !reflect.DeepEqual(again.Columns, anew.Columns) || !reflect.DeepEqual(again.Places, anew.Places) {
			t.Fatalf("%s: grids or places differ", name)
		}
		if !reflect.DeepEqual(again.Board(), anew.Board()) {
			t.Fatalf("%s: the boards differ", name)
		}
		if name == "plant" && again.Model != before.Model {
			t.Fatalf("the tank was built anew for a plant")
		}
	}
}

func TestLeanAndMirror(t *testing.T) {
	src := head + "hardscape:\n  - {id: slab, kind: stone, material: slate, shape: {slab: {length: 30 cm, width: 16 cm, thickness: 4 cm}}, at: [60, 25], %s}\n"
	solid := func(how string) *geometry.Solid {
		_, p := opened(t, fmt.Sprintf(src, how), nil)
		d, err := Open(p, 1, nil)
		if err != nil {
			t.Fatal(err)
		}
		return &d.Model.Solids[0]
	}
	flat, lean, tilt, mirrored := solid("turn: 0°"), solid("lean: 30°"), solid("tilt: 30°"), solid("mirrored: true")
	// A plate of 30 by 16 cm: lifted by 30° about its short axis its far end rises by half its length, about its long one by half its width.
	if rise := lean.Max[2] - lean.Min[2]; rise < 0.14 || rise > 0.19 {
		t.Errorf("leant it is %.3f m high", rise)
	}
	if rise := tilt.Max[2] - tilt.Min[2]; rise < 0.08 || rise > 0.125 {
		t.Errorf("tilted it is %.3f m high", rise)
	}
	high, far := 0.0, 0.0
	for _, v := range lean.Body.Vertices {
		if v[2] > high {
			high, far = v[2], v[0]
		}
	}
	if far < 0.6 {
		t.Errorf("leant, its highest point is at x %.2f m: the right side does not rise", far)
	}
	if v := mirrored.Body.Volume(); v <= 0 || v < 0.999*flat.Body.Volume() || v > 1.001*flat.Body.Volume() {
		t.Errorf("its mirror image holds %g m³, it holds %g", v, flat.Body.Volume())
	}
	if reflect.DeepEqual(mirrored.Body.Vertices, flat.Body.Vertices) {
		t.Error("its mirror image is the same")
	}
}
