package scene_test

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"littoral/internal/catalog"
	"littoral/internal/check"
	"littoral/internal/forecast"
	"littoral/internal/picture/sample"
	"littoral/internal/plan"
	"littoral/internal/scene"
	"math"
	"strings"
	"sync"
	"testing"
)

// The two tanks of the sample, and their scenes: made once, read by all.
var (
	library = sync.OnceValue(sample.Library)
	hall    = sync.OnceValue(sample.Round)
	built   sync.Map
)

func build(t testing.TB, f *forecast.Forecast, day int) *scene.Scene {
	t.Helper()
	type key struct {
		f   *forecast.Forecast
		day int
	}
	if s, ok := built.Load(key{f, day}); ok {
		return s.(*scene.Scene)
	}
	s := fresh(t, f, day)
	built.Store(key{f, day}, s)
	return s
}

func fresh(t testing.TB, f *forecast.Forecast, day int) *scene.Scene {
	t.Helper()
	s, err := scene.Build(f, day, scene.Options{Animals: true, Person: true})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func snapshot(f *forecast.Forecast, day int) *forecast.Snapshot {
	for i := range f.Snapshots {
		if f.Snapshots[i].Day == day {
			return &f.Snapshots[i]
		}
	}
	return nil
}

// Plants come out as high and as wide as the forecast says, where glass and surface leave them room.
func TestPlantsAreAsHighAndWideAsTheForecast(t *testing.T) {
	for _, tank := range []struct {
		name string
		f    *forecast.Forecast
	}{{"library", library()}, {"round", hall()}} {
		worstH, worstS, n := 0.0, 0.0, 0
		for _, day := range []int{0, 364} {
			s, snap := build(t, tank.f, day), snapshot(tank.f, day)
			items := map[string]int{}
			for i, it := range s.Items {
				if it.Kind == scene.Plant {
					items[it.ID] = i
				}
			}
			for _, p := range snap.Plants {
				item, ok := items[p.ID]
				if !ok {
					t.Fatalf("%s day %d: %s is not in the scene", tank.name, day, p.ID)
				}
				top, low, reach := s.Extent(item, scene.Vec{p.X, p.Y, p.Z})
				room := s.Tank.WallDistance(p.X, p.Y) - p.SpreadM/2
				switch p.Species.Form {
				case catalog.Floating:
					if d := math.Abs((s.Tank.WaterLevel-low)/p.HeightM - 1); d > .03 {
						t.Errorf("%s day %d: %s hangs %.1f cm deep, the forecast says %.1f", tank.name, day, p.ID, 100*(s.Tank.WaterLevel-low), 100*p.HeightM)
					}
				default:
					if p.Z+p.HeightM < s.Tank.WaterLevel-.005 && p.Species.Form != catalog.Carpet {
						d := math.Abs((top-p.Z)/p.HeightM - 1)
						worstH = max(worstH, d)
						if d > .03 {
							t.Errorf("%s day %d: %s (%s) is %.2f cm high, the forecast says %.2f", tank.name, day, p.ID, p.Species.Name, 100*(top-p.Z), 100*p.HeightM)
						}
					}
				}
				if room > .03 && p.LengthM <= p.HeightM+.01 {
					d := math.Abs(2*reach/p.SpreadM - 1)
					worstS = max(worstS, d)
					n++
					if d > .03 {
						t.Errorf("%s day %d: %s (%s) is %.2f cm wide, the forecast says %.2f", tank.name, day, p.ID, p.Species.Name, 200*reach, 100*p.SpreadM)
					}
				}
			}
		}
		if n < 20 {
			t.Fatalf("%s: only %d spreads compared", tank.name, n)
		}
		check.Record(t, check.Row{
			Room: "scene", What: "height and spread of drawn plants against the forecast's states, " + tank.name,
			Source: "the forecast itself", Worst: fmt.Sprintf("%.2g %% of height, %.2g %% of spread", 100*worstH, 100*worstS), Within: "3 %",
		})
	}
}

// Nothing stands in the glass, and no leaf above the water but those of floating plants.
func TestEverythingStandsInsideTheGlass(t *testing.T) {
	for _, f := range []*forecast.Forecast{library(), hall()} {
		s := build(t, f, 364)
		for i := range s.Nodes {
			n := &s.Nodes[i]
			it := &s.Items[n.Item]
			if it.Kind != scene.Plant {
				continue
			}
			for _, v := range s.Meshes[n.Mesh].V {
				p := n.M.Point(v.P)
				for _, c := range p {
					if c != c || c > 1e3 || c < -1e3 {
						t.Fatalf("%s: a corner at %v", it.ID, p)
					}
				}
				// Leaves of stems may lie against the pane.
				if d := s.Tank.WallDistance(float64(p[0]), float64(p[1])); d < -.09 {
					t.Fatalf("%s (%s) reaches %.1f cm through the glass", it.ID, it.Species, -100*d)
				}
				if float64(p[2]) > s.Tank.Height+.05 {
					t.Fatalf("%s (%s) stands above the rim", it.ID, it.Species)
				}
			}
		}
	}
}

func TestSameForecastSameScene(t *testing.T) {
	f := library()
	a, err := build(t, f, 364).GLB()
	if err != nil {
		t.Fatal(err)
	}
	b, _ := fresh(t, f, 364).GLB()
	if !bytes.Equal(a, b) {
		t.Error("two scenes of the same forecast and day differ")
	}
}

// A plant keeps its face: from one week to the next its leaves turn by little, while those of another plant stand elsewhere.
func TestAPlantGrowsAndIsNotThrownAnew(t *testing.T) {
	f := library()
	a, b := snapshot(f, 357), snapshot(f, 364)
	if a == nil || b == nil {
		t.Fatal("the sample has no two snapshots a week apart")
	}
	// The directions of the outermost corners of a plant.
	face := func(s *scene.Scene, id string) (out [16]float64) {
		for i := range s.Nodes {
			n := &s.Nodes[i]
			it := &s.Items[n.Item]
			if it.ID != id {
				continue
			}
			for _, v := range s.Meshes[n.Mesh].V {
				p := n.M.Point(v.P)
				dx, dy := float64(p[0])-it.At[0], float64(p[1])-it.At[1]
				k := int(8*(1+math.Atan2(dy, dx)/math.Pi)) % 16
				out[k] = max(out[k], math.Hypot(dx, dy))
			}
		}
		return
	}
	one, two := build(t, f, 357), build(t, f, 364)
	compared := 0
	for _, p := range b.Plants {
		if p.Species.Form != catalog.Rosette {
			continue
		}
		x, y := face(one, p.ID), face(two, p.ID)
		diff, size := 0.0, 0.0
		for k := range x {
			diff += math.Abs(x[k] - y[k])
			size += x[k]
		}
		if size == 0 {
			continue
		}
		compared++
		if diff > .35*size {
			t.Errorf("%s: its outline moved by %.0f %% in a week", p.ID, 100*diff/size)
		}
	}
	if compared < 5 {
		t.Fatalf("only %d rosettes compared", compared)
	}
}

func TestNoSnapshotIsAnError(t *testing.T) {
	if _, err := scene.Build(&forecast.Forecast{}, 3, scene.Options{}); err == nil {
		t.Error("a forecast without snapshots gave a scene")
	}
}

// The file's frame, its lengths, and that every accessor lies inside its view. The Khronos validator runs beside the browser tests.
func TestGLBHoldsTogether(t *testing.T) {
	s := build(t, library(), 364)
	data, err := s.GLB()
	if err != nil {
		t.Fatal(err)
	}
	if string(data[:4]) != "glTF" || binary.LittleEndian.Uint32(data[4:]) != 2 || int(binary.LittleEndian.Uint32(data[8:])) != len(data) {
		t.Fatalf("the header is % x for %d bytes", data[:12], len(data))
	}
	text := data[20 : 20+binary.LittleEndian.Uint32(data[12:])]
	var doc struct {
		Nodes []struct {
			Name string
			Mesh *int
		}
		Meshes      []struct{ Primitives []struct{ Indices int } }
		Accessors   []struct{ BufferView, ByteOffset, ComponentType, Count int }
		BufferViews []struct{ ByteOffset, ByteLength, ByteStride int }
		Buffers     []struct{ ByteLength int }
	}
	if err := json.Unmarshal(text, &doc); err != nil {
		t.Fatal(err)
	}
	size := map[int]int{5123: 2, 5125: 4, 5126: 4}
	for i, a := range doc.Accessors {
		v := doc.BufferViews[a.BufferView]
		step := v.ByteStride
		if step == 0 {
			step = size[a.ComponentType]
		}
		if end := a.ByteOffset + step*a.Count; end > v.ByteLength || a.ByteOffset%4 != 0 && step >= 4 {
			t.Fatalf("accessor %d ends at %d of a view of %d bytes", i, end, v.ByteLength)
		}
	}
	triangles := 0
	for _, n := range doc.Nodes {
		if n.Mesh != nil {
			triangles += doc.Accessors[doc.Meshes[*n.Mesh].Primitives[0].Indices].Count / 3
		}
	}
	if triangles == 0 || triangles > 1_500_000 {
		t.Errorf("the file draws %d triangles", triangles)
	}
	if len(data) > 25<<20 {
		t.Errorf("the file has %d bytes", len(data))
	}
	if !strings.Contains(string(text), "main-root") {
		t.Error("the root is not named in the file")
	}
}

func BenchmarkBuild(b *testing.B) {
	f := library()
	b.ReportAllocs()
	for b.Loop() {
		fresh(b, f, 364)
	}
}

// The same on a tank that has really been forecast, after two months of growth.
func TestForecastPlantsAreAsHighAndWide(t *testing.T) {
	p, err := plan.Load("../../examples/reading-desk/plan.yaml")
	if err != nil {
		t.Fatal(err)
	}
	f, err := forecast.Run(context.Background(), p, forecast.Options{Days: 63, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	s, snap := build(t, f, 63), snapshot(f, 63)
	worst, n := 0.0, 0
	for i := range s.Items {
		for _, q := range snap.Plants {
			if s.Items[i].Kind != scene.Plant || s.Items[i].ID != q.ID {
				continue
			}
			top, _, reach := s.Extent(i, scene.Vec{q.X, q.Y, q.Z})
			if q.Z+q.HeightM < s.Tank.WaterLevel-.005 && q.Species.Form != catalog.Carpet && q.Species.Form != catalog.Floating {
				worst = max(worst, math.Abs((top-q.Z)/q.HeightM-1))
				n++
			}
			if s.Tank.WallDistance(q.X, q.Y) > q.SpreadM/2+.03 && q.LengthM <= q.HeightM+.01 {
				worst = max(worst, math.Abs(2*reach/q.SpreadM-1))
				n++
			}
		}
	}
	if worst > .03 || n < 10 {
		t.Errorf("of %d heights and spreads the worst is %.1f %% off", n, 100*worst)
	}
	check.Record(t, check.Row{Room: "scene", What: "height and spread of drawn plants, desk tank in week 9", Source: "the forecast itself", Worst: fmt.Sprintf("%.2g %%", 100*worst), Within: "3 %"})
}

// The corners of every face run counter-clockwise seen against its normals, as 3D programs expect.
func TestFacesLookWhereTheirNormalsPoint(t *testing.T) {
	s := build(t, library(), 364)
	wrong, all := map[string]int{}, map[string]int{}
	for i := range s.Nodes {
		m := &s.Meshes[s.Nodes[i].Mesh]
		it := &s.Items[s.Nodes[i].Item]
		if it.Kind == scene.Person || it.Kind == scene.Lamp { // flat outlines and faces that glow
			continue
		}
		name := fmt.Sprint(it.Kind, " ", it.Species)
		for _, f := range m.F {
			var a, u, v, n scene.Vec
			for k := range 3 {
				a[k] = float64(m.V[f[0]].P[k])
				u[k], v[k] = float64(m.V[f[1]].P[k])-a[k], float64(m.V[f[2]].P[k])-a[k]
				n[k] = float64(m.V[f[0]].N[k]) + float64(m.V[f[1]].N[k]) + float64(m.V[f[2]].N[k])
			}
			c := scene.Vec{u[1]*v[2] - u[2]*v[1], u[2]*v[0] - u[0]*v[2], u[0]*v[1] - u[1]*v[0]}
			if d := c[0]*n[0] + c[1]*n[1] + c[2]*n[2]; d < 0 {
				wrong[name]++
			}
			all[name]++
		}
	}
	for name, n := range all {
		// Leaves pressed against glass or surface may fold over.
		if wrong[name] > n/8 {
			t.Errorf("%s: %d of %d faces look the other way", name, wrong[name], n)
		}
	}
}
