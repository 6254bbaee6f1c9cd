package forecast

import (
	"fmt"
	"littoral/internal/check"
	"littoral/internal/geometry"
	"littoral/internal/light"
	"littoral/internal/water"
	"math"
	"testing"
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
		{"CO2 by the rule at pH 6.63, mg/L", water.TradeCO2(4, 6.63), 28, 0.3},
		{"pH for 28 mg/L by the equations", gas.PH, 6.67, 0.02},
		{"light sum of 100 µmol for 8 h, mol/m²/d", light.DLI(100, 8, 1), 2.9, 0.03},
		{"light sum of weeks 1 to 3 at 60 % and 6 h, mol/m²/d", light.DLI(100, 6, 0.6), 1.3, 0.01},
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

// heavy is the tank of which the trade says that it takes 1 to 4 mg/L of nitrate a day: 1000 L full of fast stems under strong light
// with CO2 and rich doses.
const heavy = `littoral: 1
name: heavily planted, brightly lit
tank:
  shape: box
  inside: {length: 180 cm, width: 80 cm, height: 75 cm}
  glass: {thickness: 19 mm}
  water-level: 71 cm
room: {temperature: 22 °C}
substrate: {layers: [{material: active soil, depth: 8 cm}]}
plants:
  - {id: a, species: Hygrophila polysperma, pots: 16, in: [[5,40],[60,40],[60,75],[5,75]]}
  - {id: b, species: Limnophila sessiliflora, pots: 16, in: [[62,40],[120,40],[120,75],[62,75]]}
  - {id: c, species: Rotala rotundifolia, pots: 16, in: [[122,40],[175,40],[175,75],[122,75]]}
  - {id: d, species: Egeria densa, pots: 12, in: [[5,20],[90,20],[90,38],[5,38]]}
  - {id: e, species: Ludwigia repens, pots: 12, in: [[92,20],[175,20],[175,38],[92,38]]}
  - {id: f, species: Eleocharis acicularis, pots: 20, in: [[5,3],[175,3],[175,18],[5,18]], grown: in-vitro}
lamps:
  - {kind: panel, at: [45,40], above-water: 20 cm, size: 70x50 cm, ppf: 260 µmol/s, beam: 100°}
  - {kind: panel, at: [135,40], above-water: 20 cm, size: 70x50 cm, ppf: 260 µmol/s, beam: 100°}
light-day: [{until: day 14, on: "10:00", hours: 7, dim: 70 %}, {from: day 14, on: "10:00", hours: 9}]
co2: {target: 28 mg/L, on: "08:00", off: "18:30"}
water:
  tap: {alkalinity: 5 dKH, hardness: 9 dGH, ph: 7.5, nitrate: 10 mg/L, phosphate: 0.3 mg/L, potassium: 4 mg/L, tempered: true}
filter: [{flow: 6000 L/h, media: 25 L, seeded: 20 %}]
heater: {power: 400 W, set: 25 °C}
care:
  - {every: 2 days, until: day 14, do: water-change, share: 50 %}
  - {every: week, from: day 14, do: water-change, share: 50 %}
  - {every: 2 days, from: day 14, do: dose, salts: {KNO3: 8 g, KH2PO4: 1 g, K2SO4: 3 g, iron: 0.15 g}}
  - {every: 2 weeks, from: day 42, do: trim, species: Hygrophila polysperma, to: 40 cm}
  - {every: 2 weeks, from: day 42, do: trim, species: Limnophila sessiliflora, to: 40 cm}
  - {every: 3 weeks, from: day 42, do: trim, species: Rotala rotundifolia, to: 35 cm}
  - {every: 2 weeks, from: day 42, do: trim, species: Egeria densa, to: 40 cm}
  - {every: 3 weeks, from: day 42, do: trim, species: Ludwigia repens, to: 35 cm}
  - {every: 6 weeks, do: filter-clean}
  - {every: week, from: day 28, do: siphon}
`

// Common practice, no source: what a heavily planted, brightly lit tank takes, gives and uses. The worked job's own harvest of
// 2.5 kg wet a week from 700 L is not held to: its 2.9 mol/m² of light a day cannot fix so much carbon (0.05 mol C for each mol of
// photons, a high yield for leaves, makes 1.3 kg of plants with 92 % water from all the light that falls on its 1.4 m² in a week).
func TestHeavilyPlantedTank(t *testing.T) {
	f := mustRun(t, heavy, Options{Days: 84})
	litres := f.Model.Facts.NetWaterL
	nitrogen, gas, days := 0.0, 0.0, 0.0
	for _, d := range f.Days[28:57] {
		nitrogen += d.UptakeNWater + d.UptakeNRoot
		gas += d.CO2UsedG
		days++
	}
	wet := 0.0
	for _, e := range f.Events {
		if e.Day >= 42 && e.Day < 84 {
			wet += e.FreshG
		}
	}
	mass, tissueN, tissueP := 0.0, 0.0, 0.0
	for i := range f.Snapshots {
		if f.Snapshots[i].Day < 28 {
			continue
		}
		for j := range f.Snapshots[i].Plants {
			q := &f.Snapshots[i].Plants[j]
			mass += q.ShootG
			tissueN += q.QN * q.ShootG
			tissueP += q.QP * q.ShootG
		}
	}
	// Critical contents 1.3 and 0.13 %, means of freshwater plants 1.9 and 0.21 %, Potamogeton nodosus 2.65 and 0.59 % (Hill 1979).
	n, p := 100*tissueN/mass, 100*tissueP/mass
	if n < 1.3 || n > 3.5 || p < 0.13 || p > 0.6 {
		t.Errorf("shoots hold %.2f %% nitrogen and %.2f %% phosphorus of their dry mass", n, p)
	}
	check.Record(t, check.Row{
		Room: "forecast", What: "nitrogen and phosphorus of the shoots that are cut in a richly fed tank, % of dry mass", Source: "Gerloff & Krombholz 1966; Duarte 1992; Hill 1979",
		Memory: true, Worst: fmt.Sprintf("%.2f and %.2f", n, p), Within: "1.3 to 3.5 and 0.13 to 0.6",
	})
	nitrate := nitrogen / days / litres * water.NO3PerN
	compare(t, "heavily planted, brightly lit tank: nitrate taken, harvest, CO2", []number{
		{"nitrogen taken, as nitrate, mg/L a day", nitrate, 2.5, 1.5},
		{"harvest, kg wet a week for each 430 L (2 at most reported)", wet / 1000 / 6 / litres * 430, 1.1, 0.9},
		{"CO2, g a day and litre", gas / days / litres, 0.09, 0.03},
	})
	t.Logf("%.2f mg/L nitrate a day, %.2f kg wet a week, %.3f g CO2/L", nitrate, wet/1000/6, gas/days/litres)
}

// Common practice, no source: the course of the worked job. The carpet closes in week 6 to 8 (the house allows the trade's wider 4 to
// 10), a visit takes about 100 minutes, the gas 0.06 to 0.12 g a day and litre, and the tank takes its nitrogen from water and bed.
func TestWorkedJobCourse(t *testing.T) {
	f := mustRun(t, worked, Options{Days: 120})
	litres := f.Model.Facts.NetWaterL
	closed := 0
	for _, s := range f.Snapshots {
		leaves := 0.0
		for _, p := range s.Plants {
			if p.Planting == "carpet" {
				leaves += p.LeafM2
			}
		}
		// Nine tenths of the ground are hidden where leaves that lie at random cover it 2.3 times over: 1 − e^(−2.3) = 0.9. The outline
		// is 180 × 20 cm.
		if leaves >= 2.3*1.8*0.2 && closed == 0 {
			closed = s.Day / 7
		}
	}
	minutes, visits, gas := 0.0, 0.0, 0.0
	for _, v := range f.Visits {
		if v.Day >= 42 {
			minutes += v.Minutes
			visits++
		}
	}
	for _, d := range f.Days[42:] {
		gas += d.CO2UsedG
	}
	compare(t, "worked job: carpet, visits, CO2 over the first months", []number{
		{"week in which the carpet closes", float64(closed), 7, 3},
		{"minutes of a visit", minutes / visits, 100, 30},
		{"CO2, g a day and litre", gas / float64(len(f.Days)-42) / litres, 0.09, 0.03},
	})
	t.Logf("carpet closed in week %d, %.0f minutes a visit, %.3f g CO2/L", closed, minutes/visits, gas/float64(len(f.Days)-42)/litres)
}
