package mesh_test

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"littoral/internal/mesh"
	"littoral/internal/mesh/meshtest"
	"math"
	"runtime"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// Writers for the formats that only tests need.

func textSTL(m *mesh.Mesh) []byte {
	var b bytes.Buffer
	b.WriteString("solid stone\n")
	for _, f := range m.Faces {
		b.WriteString(" facet normal 0 0 0\n  outer loop\n")
		for _, v := range f {
			p := m.Vertices[v]
			fmt.Fprintf(&b, "   vertex %.17e %.17e %.17e\n", p[0], p[1], p[2])
		}
		b.WriteString("  endloop\n endfacet\n")
	}
	b.WriteString("endsolid stone\n")
	return b.Bytes()
}

// ply writes vertices with a property before and after the coordinates, faces with one, and an element that must be passed over.
func ply(m *mesh.Mesh, format string) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "ply\nformat %s 1.0\ncomment a stone\nelement camera 1\nproperty list uchar short shot\nelement vertex %d\nproperty uchar red\nproperty double x\nproperty float y\nproperty float z\nproperty list uchar int rays\n"+
		"element face %d\nproperty float quality\nproperty list uchar uint vertex_indices\nend_header\n", format, len(m.Vertices), len(m.Faces))
	if format == "ascii" {
		b.WriteString("2 -1 7\n")
		for _, p := range m.Vertices {
			fmt.Fprintf(&b, "200 %.17g %.17g %.17g 1 -5\n", p[0], p[1], p[2])
		}
		for _, f := range m.Faces {
			fmt.Fprintf(&b, "0.5 3 %d %d %d\n", f[0], f[1], f[2])
		}
		return b.Bytes()
	}
	var o binary.ByteOrder = binary.LittleEndian
	if strings.Contains(format, "big") {
		o = binary.BigEndian
	}
	put := func(v any) { _ = binary.Write(&b, o, v) }
	put(uint8(2))
	put([]int16{-1, 7})
	for _, p := range m.Vertices {
		put(uint8(200))
		put(p[0])
		put([]float32{float32(p[1]), float32(p[2])})
		put(uint8(1))
		put(int32(-5))
	}
	for _, f := range m.Faces {
		put(float32(0.5))
		put(uint8(3))
		put([]uint32{uint32(f[0]), uint32(f[1]), uint32(f[2])})
	}
	return b.Bytes()
}

type object = map[string]any

// glbFile wraps a description and its data.
func glbFile(doc object, bin []byte) []byte {
	text, err := json.Marshal(doc)
	if err != nil {
		panic(err)
	}
	for len(text)%4 != 0 {
		text = append(text, ' ')
	}
	for len(bin)%4 != 0 {
		bin = append(bin, 0)
	}
	out := []byte("glTF")
	out = binary.LittleEndian.AppendUint32(out, 2)
	out = binary.LittleEndian.AppendUint32(out, uint32(28+len(text)+len(bin)))
	out = binary.LittleEndian.AppendUint32(out, uint32(len(text)))
	out = append(append(out, "JSON"...), text...)
	out = binary.LittleEndian.AppendUint32(out, uint32(len(bin)))
	return append(append(out, "BIN\x00"...), bin...)
}

// glb writes y-up positions with a stride of 16 bytes and indices of the given component type.
func glb(m *mesh.Mesh, component int, change func(doc object)) []byte {
	var bin []byte
	for _, p := range m.Vertices {
		for _, x := range []float64{p[0], p[2], -p[1]} {
			bin = binary.LittleEndian.AppendUint32(bin, math.Float32bits(float32(x)))
		}
		bin = append(bin, 0xff, 0xff, 0xff, 0xff)
	}
	points := len(bin)
	for _, f := range m.Faces {
		for _, v := range f {
			switch component {
			case 5121:
				bin = append(bin, byte(v))
			case 5123:
				bin = binary.LittleEndian.AppendUint16(bin, uint16(v))
			case 5125:
				bin = binary.LittleEndian.AppendUint32(bin, uint32(v))
			}
		}
	}
	doc := object{
		"asset":   object{"version": "2.0"},
		"scene":   0,
		"scenes":  []any{object{"nodes": []int{0}}},
		"nodes":   []any{object{"mesh": 0}},
		"meshes":  []any{object{"primitives": []any{object{"attributes": object{"POSITION": 0}, "indices": 1}}}},
		"buffers": []any{object{"byteLength": len(bin)}},
		"bufferViews": []any{
			object{"buffer": 0, "byteOffset": 0, "byteLength": points, "byteStride": 16},
			object{"buffer": 0, "byteOffset": points, "byteLength": len(bin) - points},
		},
		"accessors": []any{
			object{"bufferView": 0, "componentType": 5126, "count": len(m.Vertices), "type": "VEC3"},
			object{"bufferView": 1, "componentType": component, "count": 3 * len(m.Faces), "type": "SCALAR"},
		},
	}
	if change != nil {
		change(doc)
	}
	return glbFile(doc, bin)
}

func TestEveryFormatGivesTheSameStone(t *testing.T) {
	m := meshtest.Torus(3, 1, 14) // 196 vertices, so that one byte can number them
	for i := range m.Vertices {
		for k := range 3 {
			m.Vertices[i][k] = float64(float32(m.Vertices[i][k]))
		}
	}
	for _, c := range []struct {
		name string
		data []byte
	}{
		{"stone.obj", m.OBJ()},
		{"stone.stl", m.STL()},
		{"text.STL", textSTL(m)},
		{"a.ply", ply(m, "ascii")},
		{"little.ply", ply(m, "binary_little_endian")},
		{"big.ply", ply(m, "binary_big_endian")},
		{"byte.glb", glb(m, 5121, nil)},
		{"short.glb", glb(m, 5123, nil)},
		{"int.glb", glb(m, 5125, nil)},
		{"misnamed.obj", m.STL()},
		{"misnamed.stl", glb(m, 5125, nil)},
		{"no-name", ply(m, "ascii")},
		{"no-name", m.OBJ()},
	} {
		got, err := mesh.Read(c.name, c.data)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if len(got.Faces) != len(m.Faces) || len(got.Vertices) != len(m.Vertices) {
			t.Errorf("%s: %d faces, %d vertices; want %d, %d", c.name, len(got.Faces), len(got.Vertices), len(m.Faces), len(m.Vertices))
		}
		near(t, c.name+" volume", got.Volume(), m.Volume(), 1e-6)
		if r := got.Inspect(); !r.Clean() {
			t.Errorf("%s: %q", c.name, r.Problems())
		}
		for i, f := range got.Faces {
			for k := range 3 {
				if p, want := got.Vertices[f[k]], m.Vertices[m.Faces[i][k]]; p != want {
					t.Fatalf("%s: face %d corner %d is %v, want %v", c.name, i, k, p, want)
				}
			}
		}
	}
}

func TestOBJForms(t *testing.T) {
	for _, c := range []struct {
		name, text string
		faces      [][3]int32
	}{
		{"polygon in a fan", "v 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 1 0\nf 1 2 3 4\n", [][3]int32{{0, 1, 2}, {0, 2, 3}}},
		{"counted back", "v 0 0 0\nv 1 0 0\nv 1 1 0\nf -3 -2 -1", [][3]int32{{0, 1, 2}}},
		{"texture and normals, groups, comments, Windows line ends", "# stone\r\no a\r\ng b\r\nv 0 0 0\r\nv 1 0 0\r\nv 1 1 0\r\nvt 0 0\r\nvn 0 0 1\r\nusemtl x\r\ns off\r\nf 1/1/1 2//1 3/1 # last\r\n", [][3]int32{{0, 1, 2}}},
		{"faces before vertices", "f 1 2 3\nv 0 0 0\nv 1 0 0\nv 1 1 0\n", [][3]int32{{0, 1, 2}}},
		{"carried over", "v 0 \\\n 0 0\nv 1 0 0\nv 1 1 0\nf 1 \\\n2 \\\n3\n", [][3]int32{{0, 1, 2}}},
		{"colours behind the numbers", "v 0 0 0 1 0 0\nv 1 0 0 0.5 .5 0\nv 1e0 +1 -0 0 0 0\nf 1 2 3\n", [][3]int32{{0, 1, 2}}},
	} {
		m, err := mesh.Read("x.obj", []byte(c.text))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if diff := cmp.Diff(c.faces, m.Faces); diff != "" {
			t.Errorf("%s:\n%s", c.name, diff)
		}
		if m.Vertices[2] != [3]float64{1, 1, 0} {
			t.Errorf("%s: third vertex %v", c.name, m.Vertices[2])
		}
	}
}

func TestGLBNodes(t *testing.T) {
	box := meshtest.Box(1, 2, 3)
	// A parent turned a quarter about y (our z) and doubled, holding the box twice: once moved, once mirrored.
	h := math.Sqrt(0.5)
	data := glb(box, 5121, func(doc object) {
		doc["scenes"] = []any{object{"nodes": []int{0}}}
		doc["nodes"] = []any{
			object{"children": []int{1, 2}, "rotation": []float64{0, h, 0, h}, "scale": []float64{2, 2, 2}},
			object{"mesh": 0, "translation": []float64{10, 0, 0}},
			object{"mesh": 0, "matrix": []float64{-1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, -10, 0, 0, 1}},
			object{"mesh": 7},
		}
	})
	m, err := mesh.Read("x.glb", data)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "volume", m.Volume(), 2*6*8, 1e-4)
	r := m.Inspect()
	if !r.Clean() || r.Shells != 2 {
		t.Errorf("%+v %q", r, r.Problems())
	}
	// x runs along y after the quarter turn: from −22 to 22 in our y; the box's 3 up stays up.
	lo, hi := m.Bounds()
	near(t, "low y", lo[1], -22, 1e-5)
	near(t, "high y", hi[1], 22, 1e-5)
	near(t, "top", hi[2], 6, 1e-5)
}

func set(doc object, path string, value any) {
	parts := strings.Split(path, ".")
	var at any = doc
	for i, p := range parts {
		last := i == len(parts)-1
		switch x := at.(type) {
		case object:
			if last {
				x[p] = value
				return
			}
			at = x[p]
		case []any:
			n := int(p[0] - '0')
			if last {
				x[n] = value
				return
			}
			at = x[n]
		}
	}
}

func TestMalformed(t *testing.T) {
	box := meshtest.Box(1, 2, 3)
	stl := box.STL()
	cut := func(b []byte, n int) []byte { return append([]byte(nil), b[:n]...) }
	patch := func(b []byte, at int, with ...byte) []byte {
		c := append([]byte(nil), b...)
		copy(c[at:], with)
		return c
	}
	plyBig := ply(box, "binary_big_endian")
	glbWith := func(path string, value any) []byte {
		return glb(box, 5121, func(d object) { set(d, path, value) })
	}
	header := "ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nproperty float y\nproperty float z\nelement face 1\nproperty list uchar int vertex_indices\nend_header\n"
	v3 := "v 0 0 0\nv 1 0 0\nv 1 1 0\n"
	for _, c := range []struct {
		name, file string
		data       []byte
		want       string
	}{
		{"empty", "x.obj", nil, "the mesh file is empty; export it again"},
		{"unknown", "x.doc", []byte("hello"), "the file is none of the mesh formats that can be read (OBJ, STL, PLY, GLB)"},
		{"text glTF", "x.gltf", []byte("{}"), "export it as one binary .glb file"},

		{"obj, no faces", "x.obj", []byte(v3), "the file holds no faces; export a surface"},
		{"obj, short vertex", "x.obj", []byte("v 0 0\n"), "line 1: a vertex needs three numbers"},
		{"obj, word for number", "x.obj", []byte("\nv 0 zero 0\n"), `line 2: "zero" is not a number; repair the mesh`},
		{"obj, not a number", "x.obj", []byte("v 0 nan 0\n"), `line 1: "nan" is not a number`},
		{"obj, infinite", "x.obj", []byte("v 0 0 -Inf\n"), `line 1: "-Inf" is not a number`},
		{"obj, too large for a number", "x.obj", []byte("v 0 0 1e999\n"), `line 1: "1e999" is not a number`},
		{"obj, absurd", "x.obj", []byte("v 0 1e200 0\n"), "line 1: the y coordinate is not a usable number"},
		{"obj, hexadecimal", "x.obj", []byte("v 0x10 0 0\n"), `line 1: "0x10" is not a number`},
		{"obj, underscore", "x.obj", []byte("v 1_0 0 0\n"), `line 1: "1_0" is not a number`},
		{"obj, index zero", "x.obj", []byte(v3 + "f 0 1 2\n"), `line 4: "0" is not a vertex number; vertices count from 1`},
		{"obj, index beyond", "x.obj", []byte(v3 + "f 1 2 4\n"), "line 4: the face names vertex 4, but the file has 3 vertices"},
		{"obj, index before", "x.obj", []byte(v3 + "f -4 2 3\n"), "line 4: the face names vertex -4, but the file has 3 vertices"},
		{"obj, index huge", "x.obj", []byte(v3 + "f 1 2 99999999999999999999\n"), `line 4: "99999999999999999999" is not a vertex number`},
		{"obj, two corners", "x.obj", []byte(v3 + "f 1 2\n"), "line 4: a face needs at least three corners, this one has 2"},

		{"stl, header only", "x.stl", cut(stl, 50), "byte 50: the file ends inside the STL header"},
		{"stl, cut off", "x.stl", cut(stl, 200), "byte 80: the STL header claims 12 triangles, but the file has room for 2"},
		{"stl, no triangles", "x.stl", make([]byte, 84), "the file holds no faces"},
		{"stl, not a number", "x.stl", patch(stl, 84+50+12+4, 0, 0, 0xc0, 0x7f), "byte 146: the y coordinate is not a usable number"},
		{"stl, infinite", "x.stl", patch(stl, 84+12, 0, 0, 0x80, 0x7f), "byte 96: the x coordinate is not a usable number"},
		{"stl text, odd word", "x.stl", []byte("solid\nfacet\nvortex 0 0 0\n"), `line 3: "vortex" is not a word of a text STL file`},
		{"stl text, two corners", "x.stl", []byte("solid\nfacet\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nendloop\nendfacet\n"), "line 7: the facet has 2 vertices instead of three"},
		{"stl text, four corners", "x.stl", []byte("solid\nfacet\nvertex 0 0 0\nvertex 1 0 0\nvertex 1 1 0\nvertex 1 1 1\nendfacet\n"), "line 6: this vertex belongs to no triangle"},
		{"stl text, cut off", "x.stl", []byte("solid\nfacet\nvertex 0 0 0\n"), "line 3: the file ends inside a facet"},
		{"stl text, facet in facet", "x.stl", []byte("solid\nfacet\nfacet\n"), "line 3: a facet begins before the one above has ended"},

		{"ply, bad first line", "x.ply", []byte("plyx\n"), "line 1: a PLY file begins with the word ply"},
		{"ply, no end", "x.ply", []byte("ply\nformat ascii 1.0\n"), "line 2: the PLY header has no end_header line"},
		{"ply, no format", "x.ply", []byte("ply\nend_header\n"), "line 2: the PLY header has no format line"},
		{"ply, bad format", "x.ply", []byte("ply\nformat middle 1.0\n"), `line 2: "format middle 1.0" is not a line of a PLY header`},
		{"ply, negative count", "x.ply", []byte("ply\nformat ascii 1.0\nelement vertex -3\n"), `line 3: "element vertex -3" is not a line`},
		{"ply, float list length", "x.ply", []byte("ply\nformat ascii 1.0\nelement face 1\nproperty list float int vertex_indices\n"), "line 4:"},
		{"ply, only points", "x.ply", []byte("ply\nformat ascii 1.0\nelement vertex 1\nproperty float x\nproperty float y\nproperty float z\nend_header\n0 0 0\n"), "the PLY file has no faces, only points; build a surface"},
		{"ply, no z", "x.ply", []byte("ply\nformat ascii 1.0\nelement vertex 1\nproperty float x\nproperty float y\nend_header\n0 0 0\n"), "line 3: the vertices have no x, y and z"},
		{"ply, claims too many", "x.ply", []byte(strings.Replace(header, "vertex 3", "vertex 10000000", 1) + "0 0 0\n"), `line 3: the header claims 10000000 rows of "vertex"`},
		{"ply, cut off", "x.ply", []byte(header + "0 0 0\n1 0 0\n1 1 0\n"), `line 7: the header claims 1 rows of "face", more than the rest of the file can hold`},
		{"ply, blank end", "x.ply", []byte(header + "0 0 0\n1 0 0\n1 1 0\n   \n"), "line 13: the file ends before the last face"},
		{"ply, short row", "x.ply", []byte(header + "0 0\n1 0 0\n1 1 0\n3 0 1 2\n"), "line 10: the line has too few numbers"},
		{"ply, index beyond", "x.ply", []byte(header + "0 0 0\n1 0 0\n1 1 0\n3 0 1 3\n"), "a face names vertex 3, but the file has 3 vertices counted from 0"},
		{"ply, negative index", "x.ply", []byte(header + "0 0 0\n1 0 0\n1 1 0\n3 0 1 -1\n"), "line 13: -1 is not the number of a vertex"},
		{"ply, huge list", "x.ply", []byte(header + "0 0 0\n1 0 0\n1 1 0\n4000000000 0 1 2\n"), "line 13: a list claims 4e+09 entries, more than the file can hold"},
		{"ply, two corners", "x.ply", []byte(header + "0 0 0\n1 0 0\n1 1 0\n2 0 1\n"), "line 13: a face needs at least three corners, this one has 2"},
		{"ply binary, cut off", "x.ply", cut(plyBig, len(plyBig)-1), "the file ends too early; copy or export it again"},

		{"glb, short", "x.glb", []byte("glTF"), "byte 0: this is not a GLB file, or it is cut off"},
		{"glb, version 1", "x.glb", patch(glb(box, 5121, nil), 4, 1), "byte 4: this is a GLB file of version 1; export it as glTF 2.0"},
		{"glb, cut off", "x.glb", cut(glb(box, 5121, nil), 400), "but the file has 400; copy or export it again"},
		{"glb, chunk too long", "x.glb", patch(glb(box, 5121, nil), 12, 0xff, 0xff, 0xff, 0x7f), "byte 12: a part of the GLB file claims 2147483647 bytes"},
		{"glb, broken description", "x.glb", patch(glb(box, 5121, nil), 20, '['), "byte 20: the description inside the GLB file cannot be understood"},
		{"glb, sparse", "x.glb", glbWith("accessors.0.sparse", object{"count": 1}), "mesh 0 of the GLB file, part 0, accessor 0: sparse numbers cannot be read"},
		{"glb, outside", "x.glb", glbWith("buffers.0.uri", "a.bin"), "its numbers are kept outside the file"},
		{"glb, packed", "x.glb", glbWith("extensionsRequired", []string{"KHR_draco_mesh_compression"}), "the GLB file is packed with KHR_draco_mesh_compression; export it without compression"},
		{"glb, too many points", "x.glb", glbWith("accessors.0.count", 10_000_000), "it claims 10000000 entries, more than its 128 bytes hold"},
		{"glb, view beyond", "x.glb", glbWith("bufferViews.1.byteLength", 1<<40), "it reaches beyond the end of the file"},
		{"glb, offset wraps", "x.glb", glbWith("bufferViews.1.byteOffset", json.Number("18446744073709551615")), "it reaches beyond the end of the file"},
		{"glb, stride", "x.glb", glbWith("bufferViews.0.byteStride", 4), "its stride of 4 bytes is wrong"},
		{"glb, no such view", "x.glb", glbWith("accessors.0.bufferView", 9), "there are no numbers behind it"},
		{"glb, no such accessor", "x.glb", glbWith("meshes.0.primitives.0.attributes.POSITION", -1), "accessor -1 does not exist"},
		{"glb, no such node", "x.glb", glbWith("scenes.0.nodes", []int{3}), "the GLB file names node 3, but has 1 nodes"},
		{"glb, no such scene", "x.glb", glbWith("scene", 4), "the GLB file names scene 4, but has 1"},
		{"glb, no such mesh", "x.glb", glbWith("nodes.0.mesh", 5), "node 0 names mesh 5, but the GLB file has 1 meshes"},
		{"glb, ring of nodes", "x.glb", glbWith("nodes.0.children", []int{0}), "node 0 of the GLB file stands in more than one place"},
		{"glb, short matrix", "x.glb", glbWith("nodes.0.matrix", []int{1}), "the matrix of node 0 has 1 numbers instead of 16"},
		{"glb, strip", "x.glb", glbWith("meshes.0.primitives.0.mode", 5), "only plain triangles can be read, not strips or fans"},
		{"glb, points", "x.glb", glbWith("meshes.0.primitives.0.mode", 0), "the file holds no faces"},
		{"glb, odd corners", "x.glb", glbWith("accessors.1.count", 35), "35 corners do not make whole triangles"},
		{"glb, index beyond", "x.glb", glbWith("accessors.0.count", 2), "but there are 2; export it again"},
		{"glb, huge numbers", "x.glb", glbWith("nodes.0.scale", []float64{1e300, 1, 1}), "coordinate is not a usable number"},
	} {
		_, err := mesh.Read(c.file, c.data)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want %q", c.name, err, c.want)
		}
	}
}

// What a reader allocates must follow from the bytes it was given, not from what their header claims.
func TestClaimsCostNothing(t *testing.T) {
	const claim = 10_000_000
	stl := make([]byte, 84+50)
	binary.LittleEndian.PutUint32(stl[80:], claim)
	box := meshtest.Box(1, 1, 1)
	for _, c := range []struct {
		name string
		data []byte
	}{
		{"x.stl", stl},
		{"x.ply", []byte(fmt.Sprintf("ply\nformat binary_little_endian 1.0\nelement vertex %d\nproperty float x\nproperty float y\nproperty float z\nelement face %d\nproperty list uchar int vertex_indices\nend_header\n0123456789", claim, claim))},
		{"a.ply", []byte(fmt.Sprintf("ply\nformat ascii 1.0\nelement vertex 1\nproperty float x\nproperty float y\nproperty float z\nelement face %d\nproperty list uchar int vertex_indices\nend_header\n0 0 0\n", claim))},
		{"x.glb", glb(box, 5121, func(d object) { set(d, "accessors.1.count", 3*claim) })},
	} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, err := mesh.Read(c.name, c.data)
		runtime.ReadMemStats(&after)
		if err == nil {
			t.Errorf("%s: a claim of ten million was believed", c.name)
		}
		if used := after.TotalAlloc - before.TotalAlloc; used > 1<<20 {
			t.Errorf("%s: %d bytes allocated for a file of %d", c.name, used, len(c.data))
		}
	}
}

// Large files are refused, or handled, within a bound of memory: here four bytes of memory for each byte of file.
func TestLargeFiles(t *testing.T) {
	const size = 200 << 20
	zeros := make([]byte, 257<<20)
	binary.LittleEndian.PutUint32(zeros[80:], (size-84)/50)
	lines := bytes.Repeat([]byte("v 0 0 0\n"), size/8)
	faces := bytes.Repeat([]byte("f 1 2 3\n"), 7_000_000)
	for _, c := range []struct {
		name, want string
		data       []byte
	}{
		{"zeros.obj", "the file holds no faces", zeros[:size-1]},
		{"lines.obj", "26214400 vertices, more than the 9000000 that can be read; simplify it in a mesh editor", lines},
		{"faces.obj", "7000000 faces, more than the 6000000 that can be read; simplify it in a mesh editor to fewer", faces},
		{"lines.stl", "byte 80: the STL header claims", lines},
		{"lines.ply", "line 1: a PLY file begins", lines},
		{"lines.glb", "byte 0: this is not a GLB file", lines},
		{"huge.obj", "the mesh file is 257 MB, more than the 256 MB that can be read", zeros},
	} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, err := mesh.Read(c.name, c.data)
		runtime.ReadMemStats(&after)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want %q", c.name, err, c.want)
		}
		if used := after.TotalAlloc - before.TotalAlloc; used > 1<<20 {
			t.Errorf("%s: %d MB allocated before the refusal", c.name, used>>20)
		}
	}
}

func fuzz(f *testing.F, name string, seeds ...[]byte) {
	for _, s := range seeds {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		m, err := mesh.Read(name, data)
		if err != nil {
			if m != nil {
				t.Error("a mesh came with the error")
			}
			return
		}
		if len(m.Faces) == 0 {
			t.Error("no faces and no error")
		}
		for _, f := range m.Faces {
			for _, v := range f {
				if v < 0 || int(v) >= len(m.Vertices) {
					t.Fatalf("face %v of %d vertices", f, len(m.Vertices))
				}
			}
		}
		if v := m.Volume(); math.IsNaN(v) || math.IsInf(v, 0) {
			t.Errorf("volume %g", v)
		}
		m.Inspect()
		w := m.Weld(1e-6 * m.LongestSide())
		w.Orient()
		if closed, _, err := w.Close(); err == nil && closed.Inspect().OpenEdges != 0 && w.Inspect().NonManifoldEdges == 0 {
			t.Error("closed, but open edges remain")
		}
	})
}

func FuzzOBJ(f *testing.F) {
	fuzz(f, "x.obj", meshtest.Wedge(1, 2, 3).OBJ(), []byte("v 0 0 0\nv 1 0 \\\n0\nv 1e3 1 0 # c\nf -1 2//3 1/2 3"))
}

func FuzzSTL(f *testing.F) {
	fuzz(f, "x.stl", meshtest.Wedge(1, 2, 3).STL(), textSTL(meshtest.Wedge(1, 2, 3)))
}

func FuzzPLY(f *testing.F) {
	w := meshtest.Wedge(1, 2, 3)
	fuzz(f, "x.ply", ply(w, "ascii"), ply(w, "binary_little_endian"), ply(w, "binary_big_endian"))
}

func FuzzGLB(f *testing.F) {
	w := meshtest.Wedge(1, 2, 3)
	fuzz(f, "x.glb", glb(w, 5121, nil), glb(w, 5123, nil), glb(w, 5125, nil))
}

func BenchmarkRead(b *testing.B) {
	m := meshtest.Sphere(1, 316) // about 100 000 faces
	for _, c := range []struct {
		name string
		data []byte
	}{
		{"stone.obj", m.OBJ()},
		{"stone.stl", m.STL()},
		{"text.stl", textSTL(m)},
		{"text.ply", ply(m, "ascii")},
		{"binary.ply", ply(m, "binary_little_endian")},
		{"stone.glb", glb(m, 5125, nil)},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			b.SetBytes(int64(len(c.data)))
			for b.Loop() {
				if _, err := mesh.Read(c.name, c.data); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkInspect(b *testing.B) {
	m := meshtest.Sphere(1, 316)
	b.ReportAllocs()
	for b.Loop() {
		m.Inspect()
	}
}
