package forecast

import (
	"fmt"
	"math"
	"testing"

	"littoral/internal/catalog"
	"littoral/internal/check"
	"littoral/internal/geometry"
	"littoral/internal/light"
	"littoral/internal/water"
)

// worked is a job as the trade reckons it: 200 × 70 × 60 cm of 15 mm glass, open top, seen from one side, tap of 9 dKH, 14 °dH and
// 8 mg/L nitrate, high energy with CO2. Its numbers are common practice, no source.
const worked = `littoral: 1
name: the worked job
tank:
  shape: box
  inside: {length: 200 cm, width: 70 cm, height: 60 cm}
  glass: {thickness: 15 mm, edges: rimless}
  water-level: 56 cm
  seen-from: [front]
  stand: 200 kg
room: {temperature: 22 °C, humidity: 50 %}
substrate:
  layers:
    - {material: active soil, heights: {points: [[0,0,5],[200,0,5],[0,70,14],[200,70,14]]}}
hardscape:
  - {id: s1, kind: stone, material: granite, shape: {boulder: {length: 40 cm, width: 28 cm, height: 30 cm}}, at: [70,35], sink: 5 cm}
  - {id: s2, kind: stone, material: granite, shape: {boulder: {length: 36 cm, width: 26 cm, height: 24 cm}}, at: [130,30], sink: 5 cm}
  - {id: w1, kind: wood, material: branching root wood, shape: {branch: {length: 60 cm, height: 30 cm, thick: 9 cm, limbs: 4}}, at: [100,40]}
plants:
  - {id: carpet, species: Eleocharis acicularis, pots: 24, in: [[10,3],[190,3],[190,23],[10,23]], grown: in-vitro}
  - {id: mid, species: Cryptocoryne wendtii, pots: 9, in: [[10,24],[190,24],[190,42],[10,42]]}
  - {id: stems, species: Hygrophila polysperma, pots: 7, in: [[5,45],[90,45],[90,67],[5,67]]}
  - {id: red, species: Rotala rotundifolia, pots: 7, in: [[110,45],[160,45],[160,67],[110,67]]}
  - {id: sword, species: Aquarius grisebachii, pots: 2, at: [[175,55],[95,58]]}
  - {id: anubias, species: Anubias barteri var. nana, pots: 5, on: s1}
  - {id: fern, species: Microsorum pteropus, pots: 3, on: w1}
  - {id: moss, species: Taxiphyllum barbieri, pots: 5, on: s2}
lamps:
  - {kind: panel, at: [50,35], above-water: 25 cm, size: 60x25 cm, ppf: 190 µmol/s, beam: 100°}
  - {kind: panel, at: [150,35], above-water: 25 cm, size: 60x25 cm, ppf: 190 µmol/s, beam: 100°}
light-day:
  - {until: day 21, on: "11:00", hours: 6, dim: 60 %}
  - {from: day 21, on: "11:00", hours: 8}
co2: {target: 28 mg/L, on: "08:30", off: "18:00"}
water:
  tap: {alkalinity: 9 dKH, hardness: 14 dGH, ph: 7.6, nitrate: 8 mg/L, tempered: true}
  mix: {pure: 56 %}
filter: [{flow: 4500 L/h, media: 18 L, seeded: 20 %}]
heater: {power: 300 W, set: 24 °C}
livestock:
  - {species: Caridina multidentata, count: 40, from: day 28}
  - {species: Paracheirodon innesi, count: 50, from: day 42}
feeding: {from: day 42, dry-food: 0.8 g/day}
care:
  - {every: 2 days, until: day 14, do: water-change, share: 50 %}
  - {every: 4 days, from: day 14, until: day 28, do: water-change, share: 50 %}
  - {every: week, from: day 28, do: water-change, share: 50 %}
  - {every: week, from: day 7, until: day 28, do: dose, salts: {KNO3: 5 g, K2SO4: 4 g, KH2PO4: 0.5 g, iron: 0.1 g}}
  - {every: week, from: day 28, do: dose, salts: {KNO3: 22.8 g, KH2PO4: 2.0 g, iron: 0.3 g, MgSO4·7H2O: 6 g}}
  - {every: 2 weeks, from: day 28, do: trim, species: Hygrophila polysperma, to: 20 cm}
  - {every: 3 weeks, from: day 28, do: trim, species: Rotala rotundifolia, to: 20 cm}
  - {every: 4 weeks, from: day 56, do: trim, species: Eleocharis acicularis, to: 3 cm}
  - {every: 6 weeks, do: filter-clean}
  - {every: 2 weeks, do: siphon}
  - {every: 3 months, from: day 300, do: root-feed, tablets: 65}
`

type number struct {
	name      string
	got, want float64
	tol       float64 // absolute
}

func compare(t *testing.T, what string, list []number) {
	t.Helper()
	worst, name := 0.0, ""
	for _, n := range list {
		off := math.Abs(n.got - n.want)
		if off/n.tol > worst {
			worst, name = off/n.tol, n.name
		}
		if !(off <= n.tol) {
			t.Errorf("%s: %.3f, the trade reckons %.3f ± %.3f", n.name, n.got, n.want, n.tol)
		}
	}
	check.Record(t, check.Row{Room: "forecast", What: what, Source: "worked job of the trade; common practice, no source", Worst: fmt.Sprintf("%.0f %% of the tolerance (%s)", 100*worst, name), Within: "each number's last digit or the spread stated in the test"})
}

// The sums of the first days: volumes, weights, blend, dose, gas, light.
func TestWorkedJobSums(t *testing.T) {
	p := read(t, worked)
	m, err := geometry.Build(p, geometry.Options{})
	if err != nil {
		t.Fatal(err)
	}
	f := m.Facts
	tap := water.Analysis{T: 15, Alk: float64(p.Water.Tap.Alkalinity), Hard: float64(p.Water.Tap.Hardness), PH: 7.6, NO3: 8}
	blend, _, err := water.Source{Tap: tap, Pure: 0.56}.Composition()
	if err != nil {
		t.Fatal(err)
	}
	kno3, _ := water.LookSalt("KNO3")
	kh2po4, _ := water.LookSalt("KH2PO4")
	const net = 0.7 // m³
	dose := water.Of(water.Dissolve(kno3, 22.8), net, 24)
	phosphate := water.Of(water.Dissolve(kh2po4, 2.0), net, 24)
	soft := blend
	soft.T = 25
	eq := soft.Equilibrium()
	gas := eq.AtCO2(28/44.0095, 4*water.MeqPerDH)
	compare(t, "worked job: volumes, weights, blend, doses, CO2, light", []number{
		{"gross volume, L", f.GrossL, 840, 0.5},
		{"volume to 56 cm, L", f.ToLevelL, 784, 0.5},
		// 133 L of soil before what the hardscape displaces.
		{"soil with what stands in it, L", f.BedL + inBed(m), 133, 1.5},
		{"slope, degrees", f.MaxSlopeDeg, 7.3, 0.4},
		// The trade takes the panes by outer measures; ours stand outside the stated inside.
		{"glass, kg", f.GlassKG, 174, 6},
		{"carbonate hardness of the blend, dKH", blend.DKH(), 4, 0.05},
		{"hardness of the blend, dGH", blend.DGH(), 6.2, 0.05},
		{"nitrate of the blend, mg/L", blend.NO3N * water.NO3PerN, 3.5, 0.05},
		{"nitrate of 22.8 g KNO3 in 700 L, mg/L", dose.NO3N * water.NO3PerN, 20, 0.1},
		{"potassium it brings, mg/L", dose.K, 12.6, 0.05},
		{"phosphate of 2.0 g KH2PO4, mg/L", phosphate.PO4P * water.PO4PerP, 2, 0.02},
		// The rule of thumb gives pH 6.63 for 28 mg/L at 4 dKH; the equations about 6.67.
		{"pH for 28 mg/L by the rule", 7 - math.Log10(28/(3*4.0)), 6.63, 0.005},
		{"pH for 28 mg/L by the equations", gas.PH, 6.67, 0.02},
		{"light sum of 100 µmol for 8 h, mol/m²/d", light.DLI(100, 8, 1), 2.9, 0.03},
		{"light sum of weeks 1 to 3 at 60 % and 6 h, mol/m²/d", light.DLI(100, 6, 0.6), 1.3, 0.01},
		{"nitrate peak without uptake, mg/L", 20/0.5 + 3.5, 43.5, 0.01},
	})
	netL := f.NetWaterL
	if share := netL / f.GrossL; share < 0.80 || share > 0.88 {
		t.Errorf("net over gross volume %.3f, the trade's range is 0.80 to 0.88", share)
	}
}

// inBed is the bed that hardscape displaces, L.
func inBed(m *geometry.Model) float64 {
	sum := 0.0
	for _, s := range m.Solids {
		sum += s.InBed * 1000
	}
	return sum
}

// Every salt that a plan may name is one that water can dissolve, with the same mass.
func TestCatalogueSaltsDissolve(t *testing.T) {
	salts := catalog.Default().AllSalts()
	if len(salts) < 20 {
		t.Fatalf("only %d salts", len(salts))
	}
	for _, s := range salts {
		w, ok := water.LookSalt(s.Formula)
		if !ok {
			t.Errorf("water does not know %s", s.Formula)
			continue
		}
		if s.Molar > 0 && math.Abs(w.Mass-s.Molar) > 1e-3 {
			t.Errorf("%s weighs %.4f g/mol in the catalogue and %.4f in water", s.Formula, s.Molar, w.Mass)
		}
	}
}
