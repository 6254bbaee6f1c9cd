package forecast

import (
	"context"
	"fmt"
	"littoral/internal/plan"
	"strings"
	"testing"
)

// sized is a tank with its pots spread over the back two thirds: scale 1 is 120 × 60 × 50 cm, and pots and measures can grow apart.
func sized(scale float64, pots int) string { return measured(120*scale, 60*scale, 50*scale, pots) }

// measured is the same of inner measures in cm.
func measured(l, w, h float64, pots int) string {
	species := []string{"Hygrophila polysperma", "Cryptocoryne wendtii", "Aquarius grisebachii", "Rotala rotundifolia", "Bacopa caroliniana"}
	var plants strings.Builder
	for i, s := range species {
		x0, x1 := l*float64(i)/float64(len(species))+1, l*float64(i+1)/float64(len(species))-1
		fmt.Fprintf(&plants, "  - {species: %s, pots: %d, in: [[%.1f,%.1f],[%.1f,%.1f],[%.1f,%.1f],[%.1f,%.1f]]}\n", s, pots/len(species), x0, w/3, x1, w/3, x1, w-1, x0, w-1)
	}
	return fmt.Sprintf(`littoral: 1
name: sized
tank:
  shape: box
  inside: {length: %.1f cm, width: %.1f cm, height: %.1f cm}
  water-level: %.1f cm
substrate: {layers: [{material: active soil, depth: %.1f cm}]}
plants:
%slamps: [{kind: panel, at: [%.1f,%.1f], above-water: %.1f cm, size: %.0fx%.0f cm, ppf: %.0f µmol/s, beam: 110°}]
light-day: [{on: "10:00", hours: 8}]
co2: {target: 25 mg/L, on: "08:00", off: "18:00"}
water: {tap: {alkalinity: 4 dKH, hardness: 8 dGH, nitrate: 10 mg/L, phosphate: 0.5 mg/L, potassium: 5 mg/L, tempered: true}}
filter: [{flow: %.0f L/h, media: 15 L}]
care:
  - {every: week, do: water-change, share: 40 %%}
  - {every: week, do: dose, salts: {KNO3: 5 g, KH2PO4: 0.5 g, iron: 0.1 g}}
  - {every: 3 weeks, from: day 28, do: trim, species: Hygrophila polysperma, to: 25 cm}
`, l, w, h, h*0.92, 0.12*h, plants.String(), l/2, w/2, 0.4*h, l*0.7, w*0.4, 250*l*w/7200, 2000*l*w*h/360e3)
}

func benchmarkYear(b *testing.B, text string, voxel float64) {
	p := read(b, text)
	b.ReportAllocs()
	b.ResetTimer()
	for b.Loop() {
		if _, err := Run(context.Background(), p, Options{Days: 365, Voxel: voxel}); err != nil {
			b.Fatal(err)
		}
	}
}

// A year of 50 pots, of twice as many, and of the same pots in ten times the water at the same number of voxels: the second costs at
// most 2.3 times the first, the third no more than the first (docs/performance.md).
func BenchmarkYear50Pots(b *testing.B)  { benchmarkYear(b, sized(1, 50), 0.025) }
func BenchmarkYear100Pots(b *testing.B) { benchmarkYear(b, sized(1, 100), 0.025) }
func BenchmarkYearTenfold(b *testing.B) { benchmarkYear(b, sized(2.1544, 50), 0.025*2.1544) }

// BenchmarkQuayStreet is the main job: three years of the largest demo at 2.5 cm voxels.
func BenchmarkQuayStreet(b *testing.B) {
	p, err := plan.Load("../../examples/quay-street-library/plan.yaml")
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Run(context.Background(), p, Options{Days: ThreeYears, Voxel: 0.025}); err != nil {
			b.Fatal(err)
		}
	}
}
