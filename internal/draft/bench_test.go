package draft

import (
	"fmt"
	"littoral/internal/plan"
	"strings"
	"testing"
)

// crowded is the library's plan with 2000 plantings more, one pot each.
func crowded(t testing.TB) (string, plan.FileReader) {
	t.Helper()
	src, f := demoText(t, "quay-street-library")
	var s strings.Builder
	for i := range 2000 {
		fmt.Fprintf(&s, "  - {id: p-%d, species: Cryptocoryne parva, pots: 1, at: [[%d, %d]]}\n", i, 3+i%230, 3+(i*7)%80)
	}
	return strings.Replace(src, "plants:\n", "plants:\n"+s.String(), 1), f
}

func read(b *testing.B, src string, f plan.FileReader) *plan.Plan {
	b.Helper()
	p, err := plan.Parse([]byte(src), "plan.yaml", f)
	if err != nil {
		b.Fatal(err)
	}
	return p
}

// What a step on a plan of 2000 plantings takes, part by part.
func BenchmarkStep(b *testing.B) {
	src, f := crowded(b)
	p := read(b, src, f)
	text, err := NewText(p)
	if err != nil {
		b.Fatal(err)
	}
	d, err := Open(p, 1, nil)
	if err != nil {
		b.Fatal(err)
	}
	moved, _, err := text.Apply([]Edit{{Op: "set", List: "hardscape", ID: "right-block", Field: "at", Value: []any{119.0, 30.0}}})
	if err != nil {
		b.Fatal(err)
	}
	again := func(src string) *plan.Plan {
		q, err := plan.ParseAgain(p, plan.DefaultHouse(), []byte(src), "plan.yaml", f)
		if err != nil {
			b.Fatal(err)
		}
		return q
	}
	stone := again(moved.String())
	planted, _, err := text.Apply([]Edit{{Op: "set", List: "plants", ID: "p-77", Field: "at", Value: []any{[]any{119.0, 30.0}}}})
	if err != nil {
		b.Fatal(err)
	}
	plant := again(planted.String())
	b.Run("edit", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, _, err := text.Apply([]Edit{{Op: "set", List: "plants", ID: "p-77", Field: "at", Value: []any{[]any{119.0, 30.0}}}}); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("read", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			again(src)
		}
	})
	b.Run("take apart", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := NewText(p); err != nil {
				b.Fatal(err)
			}
		}
	})
	for _, c := range []struct {
		name   string
		p      *plan.Plan
		before *Draft
	}{{"build anew", p, nil}, {"a plant moved", plant, d}, {"a stone moved", stone, d}} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				n, err := Open(c.p, 1, c.before)
				if err != nil {
					b.Fatal(err)
				}
				n.Board()
			}
		})
	}
}

// What an answer takes while something of a plan of 2000 plantings is dragged.
func BenchmarkLook(b *testing.B) {
	src, f := crowded(b)
	p := read(b, src, f)
	text, err := NewText(p)
	if err != nil {
		b.Fatal(err)
	}
	d, err := Open(p, 1, nil)
	if err != nil {
		b.Fatal(err)
	}
	lit := d.Light()
	for name, edits := range map[string][]Edit{
		"a plant":   {{Op: "set", List: "plants", ID: "p-77", Field: "at", Value: []any{[]any{119.0, 30.0}}}},
		"a stone":   {{Op: "set", List: "hardscape", ID: "right-block", Field: "at", Value: []any{119.0, 30.0}}},
		"a scan":    {{Op: "set", List: "hardscape", ID: "ledge-stone", Field: "turn", Value: 40.0}},
		"the brush": {{Op: "brush", List: "substrate/layers", ID: "1", Value: map[string]any{"at_cm": []any{[]any{60.0, 40.0}}, "radius_cm": 14.0, "raise_cm": 3.0}}},
	} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				after, ids, err := text.Apply(edits)
				if err != nil {
					b.Fatal(err)
				}
				items, _ := after.Changed(ids)
				n, err := d.With(items, nil)
				if err != nil {
					b.Fatal(err)
				}
				n.Look(ids, lit)
			}
		})
	}
	b.Run("everything", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			d.Look(nil, lit)
		}
	})
	b.Run("the light", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			d.Light()
		}
	})
}
