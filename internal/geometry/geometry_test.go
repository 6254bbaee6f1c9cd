package geometry

import (
	"fmt"
	"littoral/internal/catalog"
	"littoral/internal/check"
	"littoral/internal/mesh"
	"littoral/internal/mesh/meshtest"
	"littoral/internal/plan"
	"littoral/internal/unit"
	"math"
	"runtime"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

const cm = unit.CM

// boxPlan is a box tank, measures in cm, with an even bed of quartz gravel of the given depth.
func boxPlan(length, width, height, level, bed float64) *plan.Plan {
	p := &plan.Plan{Cat: catalog.Default()}
	p.Tank = plan.Tank{
		Shape: "box", Inside: plan.Inside{Length: unit.Length(length) * cm, Width: unit.Length(width) * cm, Height: unit.Length(height) * cm},
		WaterLevel: unit.Length(level) * cm, Glass: plan.Glass{Thickness: 15 * unit.MM},
	}
	if bed > 0 {
		p.Substrate.Layers = []plan.Layer{{Material: "quartz gravel", Depth: unit.Length(bed) * cm}}
	}
	return p
}

func heights(points ...plan.HeightCM) *plan.Heights { return &plan.Heights{Points: points} }

func build(t testing.TB, p *plan.Plan) *Model {
	t.Helper()
	m, err := Build(p, Options{Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.6g, want %.6g within %g", what, got, want, tolerance)
	}
}

func TestTankShapes(t *testing.T) {
	circle := boxPlan(1, 1, 90, 80, 0)
	circle.Tank.Shape = "cylinder"
	circle.Tank.Inside.Diameter = 140 * cm
	bow := boxPlan(120, 50, 60, 50, 0)
	bow.Tank.Shape, bow.Tank.Inside.Bow = "bow-front", 10*cm
	ell := boxPlan(1, 1, 60, 50, 0)
	ell.Tank.Shape = "polygon"
	ell.Tank.Outline = []plan.PointCM{{0, 0}, {0, 120}, {60, 120}, {60, 60}, {150, 60}, {150, 0}} // clockwise on purpose
	// A circular segment of chord l and height b: r = (l²/4 + b²)/2b, area r² acos(1 − b/r) − (r − b) √(2rb − b²).
	r := (60.0*60 + 100) / 20
	segment := r*r*math.Acos(1-10/r) - (r-10)*math.Sqrt(2*r*10-100)
	worst := 0.0
	for _, c := range []struct {
		name           string
		p              *plan.Plan
		area           float64 // cm²
		lx, ly         float64
		inX, inY       float64
		outX, outY     float64
		wall, wX, wY   float64
		outerPerimeter float64 // of the inside, for the glass
	}{
		{"box", boxPlan(240, 90, 65, 60, 0), 240 * 90, 240, 90, 1, 1, -1, 5, 20, 20, 45, 660},
		{"cylinder", circle, math.Pi * 70 * 70, 140, 140, 70, 1, 5, 5, 30, 110, 70, math.Pi * 140},
		{"bow-front", bow, 120*50 + segment, 120, 60, 60, 1, 2, 2, 5, 115, 40, 0},
		{"polygon", ell, 60*120 + 90*60, 150, 120, 30, 110, 100, 100, 10, 50, 70, 540},
	} {
		m := build(t, c.p)
		e := math.Abs(m.Tank.Area()*1e4/c.area - 1)
		worst = max(worst, e)
		if e > 1e-4 {
			t.Errorf("%s: area %g cm², want %g", c.name, m.Tank.Area()*1e4, c.area)
		}
		near(t, c.name+" length", m.Tank.LX*100, c.lx, 1e-9)
		near(t, c.name+" width", m.Tank.LY*100, c.ly, 1e-9)
		if !m.Tank.Contains(c.inX/100, c.inY/100) || m.Tank.Contains(c.outX/100, c.outY/100) {
			t.Errorf("%s: inside and outside are mixed up", c.name)
		}
		near(t, c.name+" distance to the glass", m.Tank.WallDistance(c.wX/100, c.wY/100)*100, c.wall, 0.01)
		if d := m.Tank.WallDistance(c.outX/100, c.outY/100); d >= 0 {
			t.Errorf("%s: a place outside lies %g m inside", c.name, d)
		}
		if c.outerPerimeter > 0 { // walls of 15 mm: perimeter times thickness and the corners
			grown := (m.Tank.outerArea() - m.Tank.Area()) * 1e4
			if grown < 1.5*c.outerPerimeter || grown > 1.5*c.outerPerimeter+4*1.5*1.5+0.1 {
				t.Errorf("%s: the glass covers %g cm² round an inside of %g cm", c.name, grown, c.outerPerimeter)
			}
		}
		near(t, c.name+" volume to the level", m.Facts.ToLevelL, c.area*float64(c.p.Tank.WaterLevel)/10, 1e-4*c.area*float64(c.p.Tank.WaterLevel)/10)
		near(t, c.name+" net water of an empty tank", m.Facts.FreeWaterL, m.Facts.ToLevelL, 1e-9)
	}
	check.Record(t, check.Row{
		Room: "geometry", What: "footprint of box, cylinder, bow-front and polygon tanks", Source: "closed forms of plane geometry",
		Worst: fmt.Sprintf("%.4f %%", 100*worst), Within: "0.01 %",
	})
}

// Common practice, no source: a tank of 150 × 150 × 75 cm is sold as about 1800 L, a quoted volume within 10 % of the box.
func TestQuotedVolume(t *testing.T) {
	m := build(t, boxPlan(150, 150, 75, 75, 0))
	near(t, "box volume", m.Facts.GrossL, 1687.5, 1e-9)
	if e := 1800/m.Facts.GrossL - 1; e > 0.10 {
		t.Errorf("quoted volume is %g above the box volume", e)
	}
	check.Record(t, check.Row{
		Room: "geometry", What: "box volume of a tank quoted as 1800 L", Source: "common practice, no source",
		Worst: "1687.5 L, 6.7 % less", Within: "10 %",
	})
}

// Filters and lamps weigh on the floor as the stand does, and on nothing else.
func TestEquipmentWeighsOnTheFloor(t *testing.T) {
	p := boxPlan(200, 70, 60, 56, 0)
	bare := build(t, p)
	p.Tank.Stand, p.Tank.Equipment = 90, 60
	m := build(t, p)
	near(t, "equipment", m.Facts.EquipmentKG, 60, 0)
	near(t, "stand", m.Facts.StandKG, 90, 0)
	near(t, "filled weight", m.Facts.FilledKG-bare.Facts.FilledKG, 150, 1e-9)
	near(t, "load", m.Facts.LoadPa/bare.Facts.LoadPa, 1+150/bare.Facts.FilledKG, 1e-9)
	near(t, "net water", m.Facts.NetWaterL, bare.Facts.NetWaterL, 0)
}

// A worked job of the trade: 200 × 70 × 60 cm in 15 mm glass, water to 56 cm, soil 5 cm in front and 14 cm at the back.
// Common practice, no source. The trade reckons the panes at their nominal size, without corners: our inside measures give 2.5 % more glass.
func TestWorkedJob(t *testing.T) {
	p := boxPlan(200, 70, 60, 56, 0)
	p.Substrate.Layers = []plan.Layer{{Material: "active soil", Heights: heights(plan.HeightCM{0, 0, 5}, plan.HeightCM{200, 0, 5}, plan.HeightCM{0, 70, 14}, plan.HeightCM{200, 70, 14})}}
	m := build(t, p)
	near(t, "gross volume", m.Facts.GrossL, 840, 1e-6)
	near(t, "volume to the level", m.Facts.ToLevelL, 784, 1e-6)
	near(t, "soil", m.Facts.BedL, 133, 0.01)
	near(t, "slope", m.Facts.MaxSlopeDeg, 7.3, 0.05)
	near(t, "slope, closed form", m.Facts.MaxSlopeDeg, math.Atan(9.0/70)*180/math.Pi, 1e-6)
	near(t, "glass", m.Facts.GlassKG, 174, 0.03*174)
	check.Record(t, check.Row{
		Room: "geometry", What: "worked job 200 × 70 × 60 cm: 840 L, 784 L, soil 133 L, slope 7.3°, glass 174 kg", Source: "common practice, no source",
		Worst: fmt.Sprintf("glass %.1f kg, others to the last digit", m.Facts.GlassKG), Within: "glass 3 %, soil 0.01 L, slope 0.05°",
	})
}

// Masses by hand: 2.0 × 0.8 × 0.7 m outside in 19 mm glass, walls standing on the base, water 0.64 m above it; then 8 cm of gravel of
// porosity 0.40 and grain density 2650 kg/m³. Arithmetic from the densities of glass and water.
func TestMassesByHand(t *testing.T) {
	p := boxPlan(196.2, 76.2, 68.1, 64, 0)
	p.Tank.Glass.Thickness = 19 * unit.MM
	m := build(t, p)
	near(t, "glass", m.Facts.GlassKG, 254.7, 0.001*254.7)
	near(t, "water", m.Facts.FreeWaterL, 956.83, 0.001*956.83)
	near(t, "water and glass", m.Facts.FilledKG, 1209.6, 0.001*1209.6)
	near(t, "load", m.Facts.LoadPa, 7410, 0.001*7410)
	near(t, "outer footprint", m.Facts.FootprintM2, 1.6, 1e-9)

	p.Substrate.Layers = []plan.Layer{{Material: "quartz gravel", Depth: 8 * cm}}
	full := build(t, p)
	bulk := 1.495044 * 0.08
	near(t, "bed", full.Facts.BedL, 1000*bulk, 1e-3)
	grit, ok := p.Cat.Material("quartz gravel")
	if !ok {
		t.Fatal("no quartz gravel in the catalogue")
	}
	// With the catalogue's mean bulk density b and porosity φ the bed adds b·V dry and pore water φ·V, and displaces V.
	gain := full.Facts.FilledKG - m.Facts.FilledKG
	near(t, "gain of mass by gravel", gain, 1000*bulk*grit.Bulk.Mid()+998*bulk*(grit.Porosity.Mid()-1), 1e-6)
	// Grains of 2650 kg/m³ at porosity 0.40 would add 118.6 kg; the catalogue's ranges include that bed.
	lo := 1000*bulk*grit.Bulk.Min - 998*bulk*(1-grit.Porosity.Min)
	hi := 1000*bulk*grit.Bulk.Max - 998*bulk*(1-grit.Porosity.Max)
	if !(lo < 118.6 && 118.6 < hi) {
		t.Errorf("gravel would add between %.1f and %.1f kg, which does not include 118.6", lo, hi)
	}
	check.Record(t, check.Row{
		Room: "geometry", What: "mass of water and glass, 2.0 × 0.8 × 0.7 m tank in 19 mm", Source: "arithmetic from EN 572-1 glass and 998 kg/m³ water",
		Worst: fmt.Sprintf("%.2f kg", math.Abs(m.Facts.FilledKG-1209.6)), Within: "0.1 %",
	})
}

// 20 kg of granite displaces 7.55 L and loads the tank by 12.5 kg more than the water it takes the place of. Arithmetic from its density.
func TestStoneInWater(t *testing.T) {
	p := boxPlan(120, 60, 60, 55, 0)
	stone, ok := p.Cat.Material("granite")
	if !ok {
		t.Fatal("no granite in the catalogue")
	}
	body := meshtest.Sphere(1, 96)
	// The diameter that gives 20 kg of the catalogue's granite.
	d := 2 * math.Cbrt(20/(1000*stone.Piece.Mid())*3/(4*math.Pi))
	p.Hardscape = []plan.Hardscape{{ID: "g", Kind: "stone", Material: "granite", Shape: plan.Shape{Body: body, Size: unit.Length(d)}, At: plan.PointCM{60, 30}}}
	m := build(t, p)
	near(t, "mass", m.Facts.StoneKG, 20, 0.05)
	near(t, "displaced", m.Facts.ToLevelL-m.Facts.FreeWaterL, 7.55, 0.1)
	near(t, "under water", m.Facts.HardInWaterKG, 12.5, 0.1)
	near(t, "gain", m.Facts.FilledKG-build(t, boxPlan(120, 60, 60, 55, 0)).Facts.FilledKG, 12.5, 0.1)
}

// A 10 L piece of light root wood at 0.6 to 0.7 kg/L lifts 3 to 4 kg until it has soaked. Common practice, no source.
func TestWoodFloats(t *testing.T) {
	p := boxPlan(120, 60, 60, 55, 0)
	body := meshtest.Box(40, 25, 10)
	for _, c := range []struct {
		material string
		floats   bool
	}{{"branching root wood", true}, {"heavy tropical driftwood", false}} {
		p.Hardscape = []plan.Hardscape{{ID: "w", Kind: "wood", Material: c.material, Shape: plan.Shape{Body: body, Size: 40 * cm}, At: plan.PointCM{60, 30}}}
		m := build(t, p)
		mat, _ := p.Cat.Material(c.material)
		near(t, c.material+" volume", m.Facts.WoodL, 10, 1e-3)
		near(t, c.material+" lift", m.Solids[0].Upthrust, max(0, 9.98-10*mat.Piece.Mid()), 1e-3)
		if (m.Solids[0].Upthrust > 0) != c.floats || strings.Contains(strings.Join(m.Notes, " "), "floats as bought") != c.floats {
			t.Errorf("%s: upthrust %g, notes %q", c.material, m.Solids[0].Upthrust, m.Notes)
		}
	}
}

func TestGroundThroughPoints(t *testing.T) {
	points := []plan.HeightCM{{0, 0, 4}, {240, 0, 5}, {168, 62, 16}, {0, 90, 12}, {240, 90, 14}, {60, 40, 5.5}, {120, 80, 11}}
	p := boxPlan(240, 90, 65, 60, 0)
	p.Substrate.Layers = []plan.Layer{{Material: "active soil", Heights: heights(points...)}}
	m := build(t, p)
	worst := 0.0
	for _, q := range points {
		worst = max(worst, math.Abs(m.Ground.Height(q[0]/100, q[1]/100)*100-q[2]))
	}
	if worst > 0.02 {
		t.Errorf("the surface misses a given point by %g cm", worst)
	}
	for x := -10.0; x <= 250; x += 1.7 {
		for y := -10.0; y <= 100; y += 1.3 {
			if h := m.Ground.Height(x/100, y/100) * 100; h < 4-1e-9 || h > 16+1e-9 {
				t.Fatalf("height %g cm at %g, %g leaves the range of the points", h, x, y)
			}
		}
	}
}

func TestGroundForms(t *testing.T) {
	for _, c := range []struct {
		name    string
		points  []plan.HeightCM
		x, y, z float64
		tol     float64
	}{
		{"one point is a level", []plan.HeightCM{{10, 10, 6}}, 90, 40, 6, 1e-9},
		{"two points slope from one to the other", []plan.HeightCM{{50, 0, 4}, {50, 50, 14}}, 7, 25, 9, 1e-9},
		{"beyond the last point it levels off", []plan.HeightCM{{50, 10, 4}, {50, 40, 14}}, 7, 49, 14, 1e-9},
		{"three points make a plane", []plan.HeightCM{{0, 0, 4}, {100, 0, 4}, {0, 50, 14}}, 100, 50, 14, 1e-9},
		{"a plane through many points", []plan.HeightCM{{0, 0, 2}, {100, 0, 12}, {0, 50, 7}, {100, 50, 17}, {30, 10, 6}, {70, 40, 13}}, 50, 25, 9.5, 1e-9},
		{"the same point twice", []plan.HeightCM{{10, 10, 6}, {10, 10, 6}, {90, 10, 6}}, 50, 40, 6, 1e-9},
		{"a mound between level corners", []plan.HeightCM{{0, 0, 3}, {100, 0, 3}, {0, 50, 3}, {100, 50, 3}, {50, 25, 20}}, 50, 25, 20, 0.02},
	} {
		p := boxPlan(100, 50, 50, 45, 0)
		p.Substrate.Layers = []plan.Layer{{Material: "active soil", Heights: &plan.Heights{Points: c.points}}}
		near(t, c.name, build(t, p).Ground.Height(c.x/100, c.y/100)*100, c.z, c.tol)
	}
	// A natural cubic spline through 0, 1, 0 at 0, 1, 2 is (3t − t³)/2 up to the middle (any text on splines): 0.6875 at a half.
	p := boxPlan(100, 50, 50, 45, 0)
	p.Substrate.Layers = []plan.Layer{{Material: "active soil", Heights: heights(plan.HeightCM{0, 25, 2}, plan.HeightCM{50, 25, 12}, plan.HeightCM{100, 25, 2})}}
	near(t, "natural spline", build(t, p).Ground.Height(0.25, 0.1)*100, 2+6.875, 0.01)
}

func TestLayersAndCaps(t *testing.T) {
	p := boxPlan(100, 50, 50, 45, 0)
	p.Substrate.Layers = []plan.Layer{
		{Material: "pumice granules", Depth: 3 * cm},
		{Material: "active soil", Heights: heights(plan.HeightCM{0, 0, 5}, plan.HeightCM{100, 0, 5}, plan.HeightCM{0, 50, 9}, plan.HeightCM{100, 50, 9})},
	}
	p.Substrate.Caps = []plan.Cap{
		{Material: "fine quartz sand", Over: []plan.PointCM{{0, 0}, {100, 0}, {100, 13}, {0, 7}}, Depth: 2 * cm},
		{Material: "cosmetic sand", Over: []plan.PointCM{{30.3, 20.2}, {60.6, 20.2}, {60.6, 40.4}, {30.3, 40.4}}, Depth: 1 * cm, Replace: true},
	}
	m := build(t, p)
	var got []float64
	for _, s := range m.Facts.BedByMaterial {
		got = append(got, s.Litres)
	}
	hole := 30.3 * 20.2
	want := []float64{(5000 - hole) * 3 / 1000, (5000*4 - hole*(4*30.3/50+2-0)) / 1000, 1000 * 2 / 1000, hole / 1000}
	// Soil over the hole: its mean height is 5 + 4·30.3/50, less 3 of pumice.
	want[1] = (5000*4 - hole*(5+4*30.3/50-3)) / 1000
	if diff := cmp.Diff(want, got, cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) < 2e-3*math.Max(a, b) })); diff != "" {
		t.Errorf("litres by material (−want +got):\n%s", diff)
	}
	near(t, "height in the path", m.Ground.Height(0.45, 0.30)*100, 1, 1e-9)
	near(t, "height under the sand cap", m.Ground.Height(0.5, 0.02)*100, 5+4*2.0/50+2, 1e-6)
	near(t, "steepest place, not the edge of a cap", m.Facts.MaxSlopeDeg, math.Atan(4.0/50)*180/math.Pi, 1e-6)
	if !strings.Contains(strings.Join(m.Notes, " "), "cosmetic sand) lies in a cut up to 7 cm deep") {
		t.Errorf("notes: %q", m.Notes)
	}
	porous, _ := p.Cat.Material("pumice granules")
	soil, _ := p.Cat.Material("active soil")
	sand, _ := p.Cat.Material("fine quartz sand")
	path, _ := p.Cat.Material("cosmetic sand")
	pores := got[0]*porous.Porosity.Mid() + got[1]*soil.Porosity.Mid() + got[2]*sand.Porosity.Mid() + got[3]*path.Porosity.Mid()
	near(t, "pore water", m.Facts.PoreWaterL, pores, 1e-9)
	near(t, "net water", m.Facts.FreeWaterL, m.Facts.ToLevelL-m.Facts.BedL, 1e-9)
}

func TestGroundStaysInTheTank(t *testing.T) {
	p := boxPlan(100, 50, 30, 25, 0)
	p.Substrate.Layers = []plan.Layer{{Material: "active soil", Heights: heights(plan.HeightCM{0, 0, -5}, plan.HeightCM{100, 0, 50})}, {Material: "fine quartz sand", Depth: 0.2}}
	m := build(t, p)
	for x := 0.0; x <= 1; x += 0.01 {
		if h := m.Ground.Height(x, 0.2); h < 0 || h > 0.3 {
			t.Fatalf("height %g m at x %g", h, x)
		}
	}
	if len(m.Notes) < 2 || !strings.Contains(m.Notes[0], "cut off") {
		t.Errorf("notes: %q", m.Notes)
	}
	if m.Facts.FreeWaterL < 0 || m.Facts.PoreWaterL <= 0 {
		t.Errorf("%+v", m.Facts)
	}
}

// bodies of known volume as hardscape in a tank with an even bed of 10 cm and water to 40 cm, all with z as their axis.
type placed struct {
	name  string
	body  *mesh.Mesh
	size  float64                 // longest side, cm
	sink  float64                 // cm into the bed
	whole float64                 // cm³
	below func(z float64) float64 // cm³ of it up to z cm above its lowest point
}

func knownBodies() []placed {
	dome := func(r, h float64) float64 { return math.Pi * h * h * (3*r - h) / 3 } // spherical cap
	// Volume of a lying torus up to height h of its tube: 2πR times the area of the tube's circle below h.
	segment := func(r, h float64) float64 { return r*r*math.Acos((r-h)/r) - (r-h)*math.Sqrt(max(0, 2*r*h-h*h)) }
	return []placed{
		{"sphere", meshtest.Sphere(1, 256), 40, 6, 4.0 / 3 * math.Pi * 8000, func(z float64) float64 { return dome(20, z) }},
		{"cone", meshtest.Cone(1, 2.25, 256), 45, 7, math.Pi * 400 * 45 / 3, func(z float64) float64 {
			return math.Pi * 400 * 45 / 3 * (1 - math.Pow((45-z)/45, 3))
		}},
		{"cylinder", meshtest.Cylinder(1, 4, 256), 40, 5, math.Pi * 100 * 40, func(z float64) float64 { return math.Pi * 100 * z }},
		{"wedge", meshtest.Wedge(40, 20, 40), 40, 6, 16000, func(z float64) float64 { return 20 * (40*z - z*z/2) }},
		{"torus", meshtest.Torus(3, 1, 256), 48, 4, 2 * math.Pi * math.Pi * 18 * 36, func(z float64) float64 { return 2 * math.Pi * 18 * segment(6, z) }},
	}
}

// Volumes of known bodies partly in the bed and partly above the water, against closed forms, at the resolution that every build uses.
func TestKnownBodies(t *testing.T) {
	worst := 0.0
	for _, c := range knownBodies() {
		p := boxPlan(120, 100, 70, 40, 10)
		p.Hardscape = []plan.Hardscape{{
			ID: "b", Kind: "stone", Material: "granite", Shape: plan.Shape{Body: c.body, Size: unit.Length(c.size) * cm},
			At: plan.PointCM{61.3, 48.7}, Turn: 0.3, Sink: unit.Length(c.sink) * cm,
		}}
		m := build(t, p)
		s := m.Solids[0]
		level := 30 + c.sink // of the water over the body's lowest point
		if lo, hi := c.body.Bounds(); level > c.size && (hi[2]-lo[2])/c.body.LongestSide()*c.size < level {
			level = (hi[2] - lo[2]) / c.body.LongestSide() * c.size
		}
		tall := (s.Max[2] - s.Min[2]) * 100
		inBed := c.below(c.sink)
		inWater := c.below(min(tall, level)) - inBed
		for _, v := range []struct {
			what      string
			got, want float64
		}{
			{"whole", s.Volume, c.whole},
			{"in the bed", s.InBed, inBed},
			{"in the water", s.InWater, inWater},
			{"out of the net water", (m.Facts.ToLevelL - m.Facts.FreeWaterL - 120) / 1000, inWater},
			{"out of the bed", (120 - m.Facts.BedL) / 1000, inBed},
		} {
			e := math.Abs(v.got*1e6/v.want - 1)
			worst = max(worst, e)
			if e > 0.005 {
				t.Errorf("%s, %s: %g cm³, want %g (%.3f %%)", c.name, v.what, v.got*1e6, v.want, 100*e)
			}
		}
		if len(m.Notes) != 0 {
			t.Errorf("%s: %q", c.name, m.Notes)
		}
	}
	t.Logf("worst relative error %.4f %%", 100*worst)
	check.Record(t, check.Row{
		Room: "geometry", What: "sphere, cone, cylinder, wedge and torus part in the bed, part in water, part above: volumes", Source: "closed forms of solid geometry",
		Worst: fmt.Sprintf("%.3f %%", 100*worst), Within: "0.5 %",
	})
}

// On a sloping bed a sphere's part below the plane is a spherical cap, whatever the slope.
func TestSphereOnSlope(t *testing.T) {
	p := boxPlan(120, 100, 80, 75, 0)
	p.Substrate.Layers = []plan.Layer{{Material: "quartz gravel", Heights: heights(plan.HeightCM{0, 0, 5}, plan.HeightCM{120, 0, 5}, plan.HeightCM{0, 100, 25}, plan.HeightCM{120, 100, 25})}}
	p.Hardscape = []plan.Hardscape{{ID: "b", Kind: "stone", Material: "granite", Shape: plan.Shape{Body: meshtest.Sphere(1, 256), Size: 30 * cm}, At: plan.PointCM{60, 50}, Sink: 8 * cm}}
	m := build(t, p)
	s := m.Solids[0]
	// The centre stands 15 cm over its lowest point, which lies 8 cm under the bed there.
	centre := 15.0 - 8
	depth := 15 - centre*math.Cos(math.Atan(0.2))
	want := math.Pi * depth * depth * (45 - depth) / 3
	near(t, "cap below the slope, cm³", s.InBed*1e6, want, 0.005*want)
	near(t, "rest in the water, cm³", s.InWater*1e6, 4.0/3*math.Pi*3375-want, 0.005*4.0/3*math.Pi*3375)
}

// Halving the spacing of the lines must bring the unscaled volumes nearer to the truth.
func TestLinesConverge(t *testing.T) {
	for _, c := range knownBodies() {
		body := c.body.Clone()
		body.Rotate([3]float64{1, 2, 3}, 0.7)
		s := &Solid{Body: body}
		s.Min, s.Max = body.Bounds()
		exact := body.Volume()
		rough := math.Abs(traced(body, s.box(20)).whole/exact - 1)
		fine := math.Abs(traced(body, s.box(320)).whole/exact - 1)
		if fine > 5e-5 || fine > rough/8 && rough > 1e-6 {
			t.Errorf("%s: error %g with 20 lines across, %g with 320", c.name, rough, fine)
		}
	}
}

// Lines that run exactly through corners and edges must enter a body as often as they leave it.
func TestLinesThroughEdges(t *testing.T) {
	box := meshtest.Box(8, 8, 3)
	tr := traced(box, raster{x0: -0.5, y0: -0.5, dx: 1, dy: 1, nx: 9, ny: 9}) // centres at 0, 1, … 8
	inside := 0
	for _, s := range tr.spans {
		if len(s) > 1 || len(s) == 1 && s[0] != (span{0, 3}) {
			t.Fatalf("a line through the box gives %v", s)
		}
		inside += len(s)
	}
	if inside != 64 { // of 9 × 9 lines, those on two of the four sides belong to the box
		t.Errorf("%d lines inside, want 64", inside)
	}
	sphere := meshtest.Sphere(4, 16) // its poles and meridians lie on lines too
	tr = traced(sphere, raster{x0: -4.5, y0: -4.5, dx: 1, dy: 1, nx: 9, ny: 9})
	if s := tr.spans[4*9+4]; len(s) != 1 || math.Abs(s[0].lo+4) > 1e-12 || math.Abs(s[0].hi-4) > 1e-12 {
		t.Errorf("the line through both poles gives %v", s)
	}
	for _, spans := range tr.spans {
		for _, s := range spans {
			if !(s.lo < 0 && s.hi > 0) {
				t.Errorf("a line through a sphere gives %v", spans)
			}
		}
	}
}

// Two stones that stand in one another displace their union, a sphere pair of known overlap.
func TestOverlapCountsOnce(t *testing.T) {
	p := boxPlan(120, 60, 70, 65, 0)
	ball := plan.Shape{Body: meshtest.Sphere(1, 128), Size: 20 * cm}
	p.Hardscape = []plan.Hardscape{
		{ID: "a", Kind: "stone", Material: "granite", Shape: ball, At: plan.PointCM{50, 30}},
		{ID: "b", Kind: "stone", Material: "granite", Shape: ball, At: plan.PointCM{60, 30}},
	}
	m := build(t, p)
	// The overlap of two spheres of radius 10 at distance 10 is two caps of height 5.
	one, lens := 4.0/3*math.Pi, 2*math.Pi*25*(30-5)/3/1000
	near(t, "displaced, L", m.Facts.ToLevelL-m.Facts.FreeWaterL, 2*one-lens, 0.005*2*one)
	near(t, "mass of both, kg", m.Facts.StoneKG, 2*one*2.675, 0.02*2*one*2.675)
	if !strings.Contains(strings.Join(m.Notes, " "), "b stands partly inside another piece (1.3 L)") {
		t.Errorf("notes: %q", m.Notes)
	}
}

func TestMeshesAreMended(t *testing.T) {
	open := meshtest.Sphere(1, 64)
	kept := open.Faces[:0]
	for _, f := range open.Faces {
		if open.Vertices[f[0]][2] > -1e-9 && open.Vertices[f[1]][2] > -1e-9 && open.Vertices[f[2]][2] > -1e-9 {
			kept = append(kept, f)
		}
	}
	open.Faces = kept
	mixed := meshtest.Box(1, 1, 1)
	mixed.Faces[0][0], mixed.Faces[0][1] = mixed.Faces[0][1], mixed.Faces[0][0]
	inward := meshtest.Box(1, 1, 1)
	inward.Flip()
	double := meshtest.Sphere(1, 128)
	other := meshtest.Sphere(1, 128)
	other.Translate([3]float64{1, 0.01, 0.02})
	double.Append(other)
	sheet := &mesh.Mesh{Vertices: [][3]float64{{0, 0, 0}, {1, 0, 0}, {1, 1, 0}, {0, 1, 0}}, Faces: [][3]int32{{0, 1, 2}, {0, 2, 3}}}
	for _, c := range []struct {
		name   string
		body   *mesh.Mesh
		size   float64 // cm
		litres float64
		tol    float64
		note   string
		fails  string
	}{
		{"open underside", open, 20, 2.0 / 3 * math.Pi, 0.01, "The mesh of s was open and was closed at 1 opening, 33 % of its surface.", ""},
		{"one face turned", mixed, 10, 1, 1e-9, "The mesh of s had 1 faces that looked the wrong way; they were turned.", ""},
		{"inside out", inward, 10, 1, 1e-9, "", ""},
		{"passes through itself", double, 30, 2*4.0/3*math.Pi - 2*math.Pi*25*25/3/1000, 0.05, "The mesh of s passes through itself; what lies inside twice counts once.", ""},
		{"a sheet", sheet, 20, 0, 0, "", `hardscape "s": its mesh is open and was not closed: the openings make up 50 %`},
		{"nothing", &mesh.Mesh{}, 20, 0, 0, "", `hardscape "s": its mesh has no size`},
	} {
		p := boxPlan(100, 60, 60, 55, 0)
		p.Hardscape = []plan.Hardscape{{ID: "s", Kind: "stone", Material: "slate", Shape: plan.Shape{Body: c.body, Size: unit.Length(c.size) * cm}, At: plan.PointCM{50, 30}}}
		m, err := Build(p, Options{})
		if c.fails != "" {
			if err == nil || !strings.Contains(err.Error(), c.fails) {
				t.Errorf("%s: got %v, want %q", c.name, err, c.fails)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		near(t, c.name, m.Facts.StoneL, c.litres, c.tol)
		if got := strings.Join(m.Notes, " "); got != c.note {
			t.Errorf("%s: notes %q, want %q", c.name, got, c.note)
		}
	}
}

func TestInventedPieces(t *testing.T) {
	b, s, w := "boulder", "slab", "branch"
	p := boxPlan(240, 90, 65, 60, 5)
	p.Hardscape = []plan.Hardscape{
		{ID: b, Kind: "stone", Material: "basalt", Shape: plan.Shape{Boulder: &plan.Boulder{Length: 40 * cm, Width: 28 * cm, Height: 22 * cm}}, At: plan.PointCM{50, 40}, Sink: 3 * cm},
		{ID: s, Kind: "stone", Material: "slate", Shape: plan.Shape{Slab: &plan.Slab{Length: 38 * cm, Width: 24 * cm, Thickness: 4 * cm}}, At: plan.PointCM{110, 50}},
		{ID: w, Kind: "wood", Material: "waterlogged hardwood", Shape: plan.Shape{Branch: &plan.Branch{Length: 45 * cm, Thick: 9 * cm, Limbs: 5}}, At: plan.PointCM{180, 45}, Sink: 2 * cm},
	}
	m := build(t, p)
	if len(m.Notes) != 0 {
		t.Errorf("notes: %q", m.Notes)
	}
	for i, want := range [][3]float64{{0.40, 0.28, 0.22}, {0.38, 0.24, 0.04}} {
		for k := range 3 {
			near(t, m.Solids[i].ID+" size", m.Solids[i].Max[k]-m.Solids[i].Min[k], want[k], 1e-9)
		}
	}
	near(t, "boulder pressed in by its sink", m.Solids[0].Min[2], 0.02, 1e-9)
	near(t, "slab on the bed", m.Solids[1].Min[2], 0.05, 1e-9)
	// A knocked-about ellipsoid fills a little less than π/6 of its box or a little more; a slab nearly all of it.
	if v := m.Solids[0].Volume / (0.40 * 0.28 * 0.22); v < 0.45 || v > 0.62 {
		t.Errorf("the boulder fills %g of its box", v)
	}
	if v := m.Solids[1].Volume / (0.38 * 0.24 * 0.04); v < 0.6 || v > 0.95 {
		t.Errorf("the slab fills %g of its box", v)
	}
	for i := range m.Solids[:2] {
		if r := m.Solids[i].Body.Inspect(); !r.Clean() {
			t.Errorf("%s: %q", m.Solids[i].ID, r.Problems())
		}
	}
	root := m.Solids[2]
	if r := root.Body.Inspect(); !r.Closed || !r.Outward || r.OpenEdges > 0 {
		t.Errorf("the root is no closed body: %q", r.Problems())
	}
	far, high := 0.0, 0.0
	for _, l := range root.Limbs {
		far = max(far, math.Hypot(l.B[0]-1.80, l.B[1]-0.45))
		high = max(high, l.B[2])
	}
	near(t, "reach of the longest limb", far, 0.45, 1e-9)
	near(t, "rise of the highest limb", high-(0.05-0.02), 0.27, 0.02)
	// The union of limbs is more than any one and less than their sum as cut cones.
	sum := 0.0
	for _, l := range root.Limbs {
		d := math.Sqrt(math.Pow(l.B[0]-l.A[0], 2) + math.Pow(l.B[1]-l.A[1], 2) + math.Pow(l.B[2]-l.A[2], 2))
		sum += math.Pi * d * (l.RA*l.RA + l.RA*l.RB + l.RB*l.RB) / 3
	}
	if root.Volume >= sum || root.Volume < 0.6*sum {
		t.Errorf("the root has %g m³, its limbs as cut cones %g", root.Volume, sum)
	}
	// Smooth boulders are ellipsoids.
	e := boulder(0.4, 0.3, 0.2, 0, stream(0, "x"))
	near(t, "ellipsoid", e.Volume(), math.Pi/6*0.4*0.3*0.2, 0.005*math.Pi/6*0.4*0.3*0.2)
	again := build(t, p)
	if !cmp.Equal(m.Solids, again.Solids) || !cmp.Equal(m.Facts, again.Facts) {
		t.Error("the same plan and seed gave another tank")
	}
	different, err := Build(p, Options{Seed: 2})
	if err != nil {
		t.Fatal(err)
	}
	if cmp.Equal(m.Solids[2].Limbs, different.Solids[2].Limbs) {
		t.Error("another seed gave the same root")
	}
	if !cmp.Equal(m.Solids[0].Body, different.Solids[0].Body) {
		t.Error("another seed gave another boulder")
	}
}

func TestPlacing(t *testing.T) {
	body := meshtest.Box(30, 10, 5)
	for _, c := range []struct {
		name     string
		h        plan.Hardscape
		min, max [3]float64 // cm
		note     string
	}{
		{"flat", plan.Hardscape{}, [3]float64{35, 25, 10}, [3]float64{65, 35, 15}, ""},
		{"turned a quarter", plan.Hardscape{Turn: math.Pi / 2}, [3]float64{45, 15, 10}, [3]float64{55, 45, 15}, ""},
		{"tilted onto its edge", plan.Hardscape{Tilt: math.Pi / 2}, [3]float64{35, 27.5, 10}, [3]float64{65, 32.5, 20}, ""},
		{"sunk", plan.Hardscape{Sink: 4 * cm}, [3]float64{35, 25, 6}, [3]float64{65, 35, 11}, ""},
		{"sunk through the glass", plan.Hardscape{Sink: 14 * cm}, [3]float64{35, 25, 0}, [3]float64{65, 35, 5}, "s would reach 4.0 cm into the bottom glass and stands on it instead."},
		{"through the wall", plan.Hardscape{At: plan.PointCM{10, 30}}, [3]float64{-5, 25, 10}, [3]float64{25, 35, 15}, "s reaches through the glass; move it inward, turn it or choose a smaller piece."},
	} {
		p := boxPlan(100, 60, 60, 55, 10)
		h := c.h
		h.ID, h.Kind, h.Material, h.Shape = "s", "stone", "slate", plan.Shape{Body: body, Size: 30 * cm}
		if h.At == (plan.PointCM{}) {
			h.At = plan.PointCM{50, 30}
		}
		p.Hardscape = []plan.Hardscape{h}
		m := build(t, p)
		for k := range 3 {
			near(t, c.name+" low corner", m.Solids[0].Min[k]*100, c.min[k], 1e-9)
			near(t, c.name+" high corner", m.Solids[0].Max[k]*100, c.max[k], 1e-9)
		}
		if got := strings.Join(m.Notes, " "); got != c.note {
			t.Errorf("%s: notes %q, want %q", c.name, got, c.note)
		}
	}
}

// An arch over a mound stands on its legs, not in the air: its middle is over the top of the mound, its legs beside it.
func TestArchStandsOnItsLegs(t *testing.T) {
	arch := meshtest.Box(50, 10, 5)
	arch.Translate([3]float64{0, 0, 25})
	for _, x := range []float64{0, 46} {
		leg := meshtest.Box(4, 10, 26)
		leg.Translate([3]float64{x, 0, 0})
		arch.Append(leg)
	}
	p := boxPlan(100, 60, 60, 55, 0)
	p.Substrate.Layers = []plan.Layer{{Material: "active soil", Heights: heights(plan.HeightCM{0, 30, 2}, plan.HeightCM{20, 30, 2}, plan.HeightCM{50, 30, 14}, plan.HeightCM{80, 30, 2}, plan.HeightCM{100, 30, 2})}}
	p.Hardscape = []plan.Hardscape{{ID: "arch", Kind: "stone", Material: "slate", Shape: plan.Shape{Body: arch, Size: 50 * cm}, At: plan.PointCM{50, 30}}}
	m := build(t, p)
	s := m.Solids[0]
	gap := 1.0
	for _, v := range s.Body.Vertices {
		gap = min(gap, v[2]-m.Ground.Height(v[0], v[1]))
	}
	near(t, "gap under the legs", gap, 0, 1e-12)
	if s.Min[2] > 0.06 {
		t.Errorf("the arch hangs %g m over the glass", s.Min[2])
	}
}

func TestClearance(t *testing.T) {
	p := boxPlan(100, 60, 60, 55, 10)
	if got := build(t, p).Facts.MinClearance; got != 9 {
		t.Errorf("without hardscape: %g", got)
	}
	p.Hardscape = []plan.Hardscape{{ID: "s", Kind: "stone", Material: "slate", Shape: plan.Shape{Body: meshtest.Box(30, 10, 5), Size: 30 * cm}, At: plan.PointCM{22, 30}}}
	near(t, "gap", build(t, p).Facts.MinClearance, 0.07, 1e-9)
	p.Hardscape[0].At = plan.PointCM{10, 30}
	if got := build(t, p).Facts.MinClearance; got != 0 {
		t.Errorf("through the glass: %g", got)
	}
}

func TestVoxels(t *testing.T) {
	p := boxPlan(100, 50, 50, 45, 10)
	p.Hardscape = []plan.Hardscape{{ID: "s", Kind: "stone", Material: "slate", Shape: plan.Shape{Body: meshtest.Box(30, 10, 20), Size: 30 * cm}, At: plan.PointCM{50, 25}}}
	m := build(t, p)
	v := m.Voxels(0.025)
	if v.NX != 40 || v.NY != 20 || v.NZ != 18 || len(v.Solid) != 40*20*18 || len(v.GroundIZ) != 800 {
		t.Fatalf("grid %d × %d × %d", v.NX, v.NY, v.NZ)
	}
	solid := 0
	for iz := range v.NZ {
		for iy := range v.NY {
			for ix := range v.NX {
				x, y, z := (float64(ix)+0.5)*2.5, (float64(iy)+0.5)*2.5, (float64(iz)+0.5)*2.5
				want := z < 10 || x > 35 && x < 65 && y > 20 && y < 30 && z < 30
				if v.Solid[(iz*v.NY+iy)*v.NX+ix] != want {
					t.Fatalf("cube at %g, %g, %g cm: solid %v", x, y, z, !want)
				}
				if want {
					solid++
				}
			}
		}
	}
	if v.GroundIZ[0] != 4 || v.GroundIZ[10*40+20] != 4 {
		t.Errorf("bed of 4 cubes: %d, %d", v.GroundIZ[0], v.GroundIZ[10*40+20])
	}
	near(t, "solid volume, L", float64(solid)*0.025*0.025*0.025*1000, 50+30*10*20/1000.0, 1e-9)

	round := boxPlan(1, 1, 90, 85, 10)
	round.Tank.Shape, round.Tank.Inside.Diameter = "cylinder", 140*cm
	w := build(t, round).Voxels(0.025)
	open := 0
	for _, s := range w.Solid {
		if !s {
			open++
		}
	}
	near(t, "water in a cylinder, L", float64(open)*0.025*0.025*25, math.Pi*7*7*7.5, 0.01*math.Pi*7*7*7.5)
	if w.GroundIZ[0] != w.NZ {
		t.Error("a column outside the glass has a bed")
	}
}

func TestColumns(t *testing.T) {
	p := boxPlan(100, 50, 50, 45, 0)
	p.Substrate.Layers = []plan.Layer{{Material: "pumice granules", Depth: 3 * cm}, {Material: "active soil", Heights: heights(plan.HeightCM{0, 0, 5}, plan.HeightCM{100, 0, 5}, plan.HeightCM{0, 50, 10})}}
	p.Hardscape = []plan.Hardscape{{ID: "s", Kind: "stone", Material: "slate", Shape: plan.Shape{Body: meshtest.Box(30, 10, 20), Size: 30 * cm}, At: plan.PointCM{55, 25}, Sink: 4 * cm}}
	m := build(t, p)
	c := m.Columns(0)
	if c.NX != 20 || c.NY != 10 || c.Cell != 0.05 || len(c.Layers) != 2 {
		t.Fatalf("grid %d × %d, %v", c.NX, c.NY, c.Layers)
	}
	area, free, bed := 0.0, 0.0, 0.0
	for i, a := range c.Area {
		area += a
		free += a * c.Free[i]
		bed += a * (c.Depth[0][i] + c.Depth[1][i])
		near(t, "slope", c.Slope[i], math.Atan(0.1)*180/math.Pi, 1e-6)
		near(t, "top", c.Top[i], c.Depth[0][i]+c.Depth[1][i], 1e-12)
	}
	near(t, "area", area, 0.5, 1e-12)
	near(t, "free area", area-free, 0.03, 0.002)
	near(t, "bed", bed*1000, 500*7.5/100, 1e-6)
	near(t, "depth of soil at the back", c.Depth[1][9*20+3]*100, 6.75, 1e-6)
	if c.Free[5*20+11] != 0 || c.Free[0] != 1 {
		t.Errorf("free under the stone %g, in the corner %g", c.Free[5*20+11], c.Free[0])
	}

	round := boxPlan(1, 1, 90, 85, 10)
	round.Tank.Shape, round.Tank.Inside.Diameter = "cylinder", 140*cm
	r := build(t, round).Columns(0.05)
	sum := 0.0
	for i, a := range r.Area {
		sum += a
		if a == 0 && r.Free[i] != 0 {
			t.Error("free bed outside the glass")
		}
	}
	near(t, "area of a round bed", sum, math.Pi*0.49, 1e-4*math.Pi*0.49)
}

// A mirrored plan gives the mirrored tank.
func TestMirror(t *testing.T) {
	const l = 240.0
	stone := meshtest.Cone(1, 1.7, 40)
	stone.Rotate([3]float64{1, 1, 0}, 0.5)
	mirrored := stone.Clone()
	mirrored.Mirror(0, 0)
	laid := func(flip bool) *Model {
		x := func(v float64) float64 {
			if flip {
				return l - v
			}
			return v
		}
		body, turn := stone, unit.Angle(0.4)
		if flip {
			body, turn = mirrored, -0.4
		}
		p := boxPlan(l, 90, 65, 60, 0)
		p.Substrate.Layers = []plan.Layer{{Material: "active soil", Heights: heights(plan.HeightCM{x(0), 0, 4}, plan.HeightCM{x(240), 0, 5}, plan.HeightCM{x(168), 62, 16}, plan.HeightCM{x(0), 90, 12}, plan.HeightCM{x(240), 90, 14})}}
		p.Substrate.Caps = []plan.Cap{{Material: "fine quartz sand", Over: []plan.PointCM{{x(0), 0}, {x(240), 0}, {x(240), 14}, {x(0), 10}}, Depth: 3 * cm}}
		p.Hardscape = []plan.Hardscape{{ID: "s", Kind: "stone", Material: "slate", Shape: plan.Shape{Body: body, Size: 38 * cm}, At: plan.PointCM{x(70), 30}, Turn: turn, Sink: 4 * cm}}
		return build(t, p)
	}
	a, b := laid(false), laid(true)
	for _, v := range []struct {
		what string
		a, b float64
		tol  float64
	}{
		{"net water", a.Facts.FreeWaterL, b.Facts.FreeWaterL, 1e-3},
		{"bed", a.Facts.BedL, b.Facts.BedL, 1e-3},
		{"filled weight", a.Facts.FilledKG, b.Facts.FilledKG, 1e-3},
		{"steepest", a.Facts.MaxSlopeDeg, b.Facts.MaxSlopeDeg, 1e-6},
		{"where", a.Facts.MaxSlopeAt[0], l/100 - b.Facts.MaxSlopeAt[0], 1e-6},
		{"clearance", a.Facts.MinClearance, b.Facts.MinClearance, 1e-9},
		{"in the bed", 1000 * a.Solids[0].InBed, 1000 * b.Solids[0].InBed, 1e-4},
	} {
		near(t, v.what, v.a, v.b, v.tol)
	}
	va, vb := a.Voxels(0.025), b.Voxels(0.025)
	differ := 0
	for iz := range va.NZ {
		for iy := range va.NY {
			for ix := range va.NX {
				if va.Solid[(iz*va.NY+iy)*va.NX+ix] != vb.Solid[(iz*va.NY+iy)*va.NX+va.NX-1-ix] {
					differ++
				}
			}
		}
	}
	if differ > 2 { // a cube whose centre lies on a surface to the last bit may fall either way
		t.Errorf("%d cubes differ in the mirror", differ)
	}
	ca, cb := a.Columns(0.05), b.Columns(0.05)
	for iy := range ca.NY {
		for ix := range ca.NX {
			near(t, "mirrored column", ca.Top[iy*ca.NX+ix], cb.Top[iy*ca.NX+ca.NX-1-ix], 1e-9)
		}
	}
}

// Whatever is put where, nothing may be lost: a piece's parts do not exceed it, and water, bed and hardscape fill the tank.
func TestBalanceOfVolumes(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		num := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(rt, name) }
		p := boxPlan(100, 60, 50, 42, 0)
		if rapid.Bool().Draw(rt, "round") {
			p.Tank.Shape, p.Tank.Inside.Diameter = "cylinder", 80*cm
		}
		var points []plan.HeightCM
		for i := range rapid.IntRange(1, 6).Draw(rt, "points") {
			points = append(points, plan.HeightCM{15*float64(i) + num("x", 0, 10), num("y", 0, 60), num("z", 0, 30)})
		}
		p.Substrate.Layers = []plan.Layer{{Material: "lava granules", Depth: 2 * cm}, {Material: "active soil", Heights: &plan.Heights{Points: points}}}
		for i := range rapid.IntRange(0, 3).Draw(rt, "pieces") {
			h := plan.Hardscape{
				ID: fmt.Sprint("p", i), Kind: "stone", Material: "lava rock", At: plan.PointCM{num("at x", 0, 100), num("at y", 0, 60)},
				Sink: unit.Length(num("sink", 0, 0.2)), Turn: unit.Angle(num("turn", -7, 7)), Tilt: unit.Angle(num("tilt", -7, 7)),
			}
			size := func(name string) unit.Length { return unit.Length(num(name, 0.01, 0.6)) }
			switch rapid.IntRange(0, 2).Draw(rt, "shape") {
			case 0:
				h.Shape.Boulder = &plan.Boulder{Length: size("l"), Width: size("w"), Height: size("h"), Roughness: num("rough", 0.01, 1)}
			case 1:
				h.Shape.Slab = &plan.Slab{Length: size("l"), Width: size("w"), Thickness: size("h")}
			case 2:
				h.Shape.Branch = &plan.Branch{Length: size("l"), Thick: size("t") / 10, Height: size("h"), Limbs: rapid.IntRange(1, 7).Draw(rt, "limbs")}
			}
			p.Hardscape = append(p.Hardscape, h)
		}
		m, err := Build(p, Options{Seed: rapid.Uint64().Draw(rt, "seed")})
		if err != nil {
			rt.Fatal(err)
		}
		f := m.Facts
		for _, s := range m.Solids {
			if !(s.Volume > 0 && s.InWater >= 0 && s.InBed >= 0 && s.InWater+s.InBed <= s.Volume*(1+1e-9)) {
				rt.Fatalf("%s: %g m³, of it %g in water and %g in the bed", s.ID, s.Volume, s.InWater, s.InBed)
			}
			if s.Min[2] < -1e-9 {
				rt.Fatalf("%s reaches %g m into the glass", s.ID, -s.Min[2])
			}
		}
		if f.FreeWaterL+f.PoreWaterL > f.ToLevelL+1e-9 || f.FreeWaterL < 0 || f.PoreWaterL < 0 {
			rt.Fatalf("%+v", f)
		}
		// The bed stays below the level here, so what is neither free water nor bed is hardscape, and overlaps count once.
		taken, sum, most := f.ToLevelL-f.FreeWaterL-f.BedL, 0.0, 0.0
		for _, s := range m.Solids {
			sum += 1000 * (s.InWater + s.InBed)
			most = max(most, 1000*(s.InWater+s.InBed))
		}
		slack := 1e-3*f.ToLevelL + 1e-9 // a round wall crosses the lattice's cells
		if taken > min(sum, f.StoneL)+slack || taken < 0.98*most-slack {
			rt.Fatalf("hardscape takes %g L of the tank; its pieces add up to %g, the largest is %g", taken, sum, most)
		}
		for _, v := range []float64{f.GrossL, f.FreeWaterL, f.BedDryKG, f.StoneKG, f.HardInWaterKG, f.FilledKG, f.LoadPa, f.MaxSlopeDeg, f.MinClearance} {
			if math.IsNaN(v) || math.IsInf(v, 0) || v < 0 {
				rt.Fatalf("%+v", f)
			}
		}
	})
}

// The number of cores must not change a single bit.
func TestSameOnAnyCores(t *testing.T) {
	p := library()
	before := runtime.GOMAXPROCS(1)
	one := build(t, p)
	v1, c1 := one.Voxels(0.025), one.Columns(0.05)
	runtime.GOMAXPROCS(5)
	five := build(t, p)
	v5, c5 := five.Voxels(0.025), five.Columns(0.05)
	runtime.GOMAXPROCS(before)
	if !cmp.Equal(one.Facts, five.Facts) || !cmp.Equal(one.Solids, five.Solids) || !cmp.Equal(v1, v5) || !cmp.Equal(c1, c5) || !cmp.Equal(one.Notes, five.Notes) {
		t.Error("the tank depends on the number of cores")
	}
}

func TestRefusals(t *testing.T) {
	two := func(p *plan.Plan) {
		p.Substrate.Layers = []plan.Layer{{Material: "active soil", Heights: heights(plan.HeightCM{10, 10, 4}, plan.HeightCM{10, 10, 9})}}
	}
	for _, c := range []struct {
		name   string
		change func(p *plan.Plan)
		want   string
	}{
		{"no catalogue", func(p *plan.Plan) { p.Cat = nil }, "the plan has no catalogue"},
		{"no inside", func(p *plan.Plan) { p.Tank.Inside.Width = 0 }, "the tank has no inside; state its length"},
		{"shape", func(p *plan.Plan) { p.Tank.Shape = "ball" }, `the tank's shape "ball" is not known; write box, cylinder, bow-front or polygon`},
		{"endless", func(p *plan.Plan) { p.Tank.Inside.Length = unit.Length(math.Inf(1)) }, "the tank's length of +Inf m cannot be built"},
		{"not a number", func(p *plan.Plan) { p.Tank.Inside.Height = unit.Length(math.NaN()) }, "the tank's height of NaN m cannot be built"},
		{"too much water", func(p *plan.Plan) { p.Tank.WaterLevel = 70 * cm }, "the water stands 70 cm high in a tank of 60 cm; lower the water level"},
		{"bow", func(p *plan.Plan) { p.Tank.Shape, p.Tank.Inside.Bow = "bow-front", 80*cm }, "a bow-front's bow must be more than 0 and at most half the length"},
		{"two heights in one place", two, "substrate layer 1 (active soil): two points lie at [10, 10] cm with heights 4 and 9 cm; keep one of them"},
		{"no points", func(p *plan.Plan) {
			p.Substrate.Layers = []plan.Layer{{Material: "active soil", Heights: heights()}}
		}, "substrate layer 1 (active soil): the surface has no points"},
		{"unknown bed", func(p *plan.Plan) { p.Substrate.Layers = []plan.Layer{{Material: "moon dust", Depth: 5 * cm}} }, `substrate: the material "moon dust" is not in the catalogue`},
		{"unknown stone", func(p *plan.Plan) {
			p.Hardscape = []plan.Hardscape{{ID: "a", Kind: "stone", Material: "cheese", Shape: plan.Shape{Slab: &plan.Slab{Length: 1, Width: 1, Thickness: 1}}}}
		}, `hardscape "a": the material "cheese" is not in the catalogue`},
		{"no shape", func(p *plan.Plan) {
			p.Hardscape = []plan.Hardscape{{ID: "a", Kind: "stone", Material: "slate"}}
		}, `hardscape "a": it has no shape; give it a boulder, slab, branch or mesh`},
		{"no size", func(p *plan.Plan) {
			p.Hardscape = []plan.Hardscape{{ID: "a", Kind: "stone", Material: "slate", Shape: plan.Shape{Body: meshtest.Box(1, 1, 1)}}}
		}, `hardscape "a": its size of 0 m cannot be built; state a length above 0`},
		{"place", func(p *plan.Plan) {
			p.Hardscape = []plan.Hardscape{{ID: "a", Kind: "stone", Material: "slate", At: plan.PointCM{math.NaN(), 0}, Shape: plan.Shape{Slab: &plan.Slab{Length: 1, Width: 1, Thickness: 1}}}}
		}, `hardscape "a": its place, turn, tilt, lean or sink is not a usable number`},
		{"cap outline", func(p *plan.Plan) {
			p.Substrate.Caps = []plan.Cap{{Material: "fine quartz sand", Over: []plan.PointCM{{0, 0}, {1, 1}}, Depth: 1 * cm}}
		}, "substrate cap 1 (fine quartz sand): the outline needs at least three corners"},
	} {
		p := boxPlan(100, 50, 60, 55, 0)
		c.change(p)
		m, err := Build(p, Options{})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want %q", c.name, err, c.want)
		}
		if err != nil && m != nil {
			t.Errorf("%s: a model came with the error", c.name)
		}
	}
}

// library is a tank of 240 × 90 × 65 cm with twelve pieces of every kind.
func library() *plan.Plan {
	p := boxPlan(240, 90, 65, 60, 0)
	p.Substrate.Layers = []plan.Layer{{Material: "active soil", Heights: heights(plan.HeightCM{0, 0, 4}, plan.HeightCM{240, 0, 5}, plan.HeightCM{168, 62, 16}, plan.HeightCM{0, 90, 12}, plan.HeightCM{240, 90, 14})}}
	p.Substrate.Caps = []plan.Cap{{Material: "fine quartz sand", Over: []plan.PointCM{{0, 0}, {240, 0}, {240, 14}, {0, 10}}, Depth: 3 * cm}}
	scan := meshtest.Sphere(1, 120)
	for i := range 12 {
		h := plan.Hardscape{ID: fmt.Sprintf("piece-%d", i), Kind: "stone", Material: "slate", At: plan.PointCM{30 + 16*float64(i), 30 + 8*float64(i%4)}, Sink: 2 * cm, Turn: unit.Angle(i)}
		switch i % 4 {
		case 0:
			h.Shape.Boulder = &plan.Boulder{Length: 30 * cm, Width: 22 * cm, Height: 18 * cm}
		case 1:
			h.Shape.Slab = &plan.Slab{Length: 30 * cm, Width: 18 * cm, Thickness: 4 * cm}
		case 2:
			h.Kind, h.Material = "wood", "waterlogged hardwood"
			h.Shape.Branch = &plan.Branch{Length: 26 * cm, Thick: 6 * cm}
		case 3:
			h.Shape.Body, h.Shape.Size = scan, 24*cm
		}
		p.Hardscape = append(p.Hardscape, h)
	}
	return p
}

func BenchmarkBuild(b *testing.B) {
	p := library()
	b.ReportAllocs()
	for b.Loop() {
		build(b, p)
	}
}

func BenchmarkVoxels(b *testing.B) {
	m := build(b, library())
	b.ReportAllocs()
	for b.Loop() {
		m.Voxels(0.025)
	}
}

func BenchmarkColumns(b *testing.B) {
	m := build(b, library())
	b.ReportAllocs()
	for b.Loop() {
		m.Columns(0.05)
	}
}

// A slab that is sunk across the tank closes every face it stands in; one that hangs above the bed closes none of the layer that moves, and one on
// the surface leaks below.
func TestHardscapeClosesFaces(t *testing.T) {
	across := func(sink string) *Model {
		p, err := plan.Parse([]byte(`littoral: 1
name: held
tank: {shape: box, inside: {length: 60 cm, width: 30 cm, height: 40 cm}, glass: {thickness: 8 mm}, water-level: 36 cm}
substrate: {layers: [{material: quartz gravel, depth: 8 cm}]}
hardscape: [{id: wall, kind: stone, material: slate, shape: {slab: {length: 29 cm, width: 7 cm, thickness: 12 cm}}, at: [30, 15], turn: 90°, sink: `+sink+`}]
water: {tap: {alkalinity: 4 dKH, hardness: 8 dGH}}
`), "held.yaml", nil)
		if err != nil {
			t.Fatal(err)
		}
		return build(t, p)
	}
	share := func(m *Model) float64 {
		c := m.Columns(0.05)
		right, back := m.Open(c, 0.02)
		mid := 3*c.NX + 5 // the face at 30 cm, in the middle of the width
		if right[c.NX-1] != 0 || back[len(back)-1] != 0 {
			t.Error("a face without a neighbour is open")
		}
		if right[3*c.NX] != 1 || back[3*c.NX] != 1 {
			t.Error("a face far from the slab is not open")
		}
		return right[mid]
	}
	sunk, flat := share(across("5 cm")), share(across("0 cm"))
	if sunk > 0.05 {
		t.Errorf("a slab sunk by 5 cm leaves %.0f %% of its face open", 100*sunk)
	}
	if flat < 0.9 {
		t.Errorf("a slab on the surface leaves only %.0f %% of the moving layer open", 100*flat)
	}
}
