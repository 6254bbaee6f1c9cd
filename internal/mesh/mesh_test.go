package mesh_test

import (
	"fmt"
	"littoral/internal/check"
	"littoral/internal/mesh"
	"littoral/internal/mesh/meshtest"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %g, want %g within %g", what, got, want, tolerance)
	}
}

// Closed forms from any table of solids; the inscribed facets miss a volume that falls with the square of their size.
func TestVolumesOfBodiesConverge(t *testing.T) {
	worst := 0.0
	for _, c := range []struct {
		name string
		body func(n int) *mesh.Mesh
		want float64
	}{
		{"sphere", func(n int) *mesh.Mesh { return meshtest.Sphere(2, n) }, 4.0 / 3 * math.Pi * 8},
		{"cone", func(n int) *mesh.Mesh { return meshtest.Cone(2, 5, n) }, math.Pi * 4 * 5 / 3},
		{"cylinder", func(n int) *mesh.Mesh { return meshtest.Cylinder(2, 5, n) }, math.Pi * 4 * 5},
		{"torus", func(n int) *mesh.Mesh { return meshtest.Torus(3, 1, n) }, 2 * math.Pi * math.Pi * 3},
	} {
		coarse, fine := c.body(32), c.body(64)
		e1, e2 := 1-coarse.Volume()/c.want, 1-fine.Volume()/c.want
		order := math.Log2(e1 / e2)
		if !(order > 1.95 && order < 2.05) {
			t.Errorf("%s: order of convergence %g, want 2 (errors %g, %g)", c.name, order, e1, e2)
		}
		e := math.Abs(1 - c.body(256).Volume()/c.want)
		worst = max(worst, e)
		if e > 5e-4 {
			t.Errorf("%s: relative error %g at 256 steps", c.name, e)
		}
	}
	near(t, "box", meshtest.Box(2, 3, 5).Volume(), 30, 1e-12)
	near(t, "wedge", meshtest.Wedge(2, 3, 5).Volume(), 15, 1e-12)
	check.Record(t, check.Row{
		Room: "mesh", What: "volume of sphere, cone, cylinder and torus from 256 facets round, converging at second order",
		Source: "closed forms of solid geometry", Worst: fmt.Sprintf("%.3f %%", 100*worst), Within: "0.05 %",
	})
}

func TestMeasures(t *testing.T) {
	b := meshtest.Box(2, 3, 5)
	near(t, "area of box", b.Area(), 2*(6+10+15), 1e-12)
	b.Translate([3]float64{1e4, -1e4, 1e4})
	near(t, "volume far from the origin", b.Volume(), 30, 1e-8)
	if c := b.Centroid(); math.Abs(c[0]-10001) > 1e-8 || math.Abs(c[1]+9998.5) > 1e-8 || math.Abs(c[2]-10002.5) > 1e-8 {
		t.Errorf("centre of box: %v", c)
	}
	// A cone's centre of mass lies a quarter of its height above its base.
	near(t, "centre of cone", meshtest.Cone(1, 4, 200).Centroid()[2], 1, 1e-9)
	lo, hi := b.Bounds()
	if lo != [3]float64{1e4, -1e4, 1e4} || hi != [3]float64{10002, -9997, 10005} {
		t.Errorf("bounds of box: %v %v", lo, hi)
	}
	b.Vertices = append(b.Vertices, [3]float64{9e9, 0, 0})
	if got := b.LongestSide(); got != 5 {
		t.Errorf("a stray vertex counts as part of the body: longest side %g", got)
	}
	empty := &mesh.Mesh{}
	if empty.Volume() != 0 || empty.LongestSide() != 0 || empty.Centroid() != [3]float64{} {
		t.Error("an empty mesh measures something")
	}
}

func TestMovingKeepsShape(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		angle := rapid.Float64Range(-7, 7)
		shift := rapid.Float64Range(-100, 100)
		m := meshtest.Wedge(2, 3, 5)
		m.RotateEuler(angle.Draw(t, "x"), angle.Draw(t, "y"), angle.Draw(t, "z"))
		m.Rotate([3]float64{1, 2, 3}, angle.Draw(t, "a"))
		m.Translate([3]float64{shift.Draw(t, "dx"), shift.Draw(t, "dy"), shift.Draw(t, "dz")})
		s := rapid.Float64Range(0.01, 100).Draw(t, "s")
		m.Scale(s)
		if v := m.Volume() / (s * s * s); math.Abs(v-15) > 1e-9 {
			t.Fatalf("volume became %g", v)
		}
		m.Mirror(1, 3)
		if v := m.Volume() / (s * s * s); math.Abs(v-15) > 1e-9 {
			t.Fatalf("mirrored volume became %g", v)
		}
	})
}

func TestRotateByHand(t *testing.T) {
	m := &mesh.Mesh{Vertices: [][3]float64{{1, 0, 0}}}
	m.Rotate([3]float64{0, 0, 2}, math.Pi/2)
	if p := m.Vertices[0]; math.Abs(p[0]) > 1e-15 || math.Abs(p[1]-1) > 1e-15 {
		t.Errorf("a quarter turn about z takes x to %v, want y", p)
	}
	m.RotateEuler(math.Pi/2, 0, math.Pi/2) // y goes to z, which stays
	if p := m.Vertices[0]; math.Abs(p[2]-1) > 1e-15 {
		t.Errorf("got %v, want z", p)
	}
}

func TestWeld(t *testing.T) {
	m := meshtest.Box(1, 1, 1)
	loose := &mesh.Mesh{}
	for _, f := range m.Faces {
		n := int32(len(loose.Vertices))
		for k, v := range f {
			p := m.Vertices[v]
			p[k] += 1e-7 // every copy of a corner a little elsewhere
			loose.Vertices = append(loose.Vertices, p)
		}
		loose.Faces = append(loose.Faces, [3]int32{n, n + 1, n + 2})
	}
	if r := loose.Inspect(); r.Closed || r.OpenEdges != 36 || r.Shells != 12 {
		t.Errorf("loose triangles: %+v", r)
	}
	w := loose.Weld(1e-6)
	if r := w.Inspect(); !r.Clean() || r.Vertices != 8 || r.Shells != 1 {
		t.Errorf("welded box: %+v", r)
	}
	near(t, "welded volume", w.Volume(), 1, 1e-5)
	w.Faces = append(w.Faces, [3]int32{0, 0, 1})
	if got := len(w.Weld(0).Faces); got != 12 {
		t.Errorf("a collapsed face is kept: %d faces", got)
	}
	if got := len(m.Weld(2).Faces); got != 0 {
		t.Errorf("a box smaller than the tolerance keeps %d faces", got)
	}
}
