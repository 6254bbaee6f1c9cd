package mesh_test

import (
	"bytes"
	"encoding/base64"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"littoral/internal/check"
	"littoral/internal/mesh"
	"littoral/internal/mesh/meshtest"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// chequers is a packed picture of w by h pixels with four colours, one in each quarter.
func chequers(w, h int, asJPEG bool) []byte {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			img.Set(x, y, quarter(float64(x)/float64(w), float64(y)/float64(h)))
		}
	}
	var b bytes.Buffer
	var err error
	if asJPEG {
		err = jpeg.Encode(&b, img, &jpeg.Options{Quality: 95})
	} else {
		err = png.Encode(&b, img)
	}
	if err != nil {
		panic(err)
	}
	return b.Bytes()
}

func quarter(u, v float64) color.RGBA {
	c := color.RGBA{200, 40, 30, 255}
	if u >= .5 {
		c.G = 160
	}
	if v >= .5 {
		c.B = 220
	}
	return c
}

const cubeOBJ = `mtllib box.mtl
v 0 0 0
v 1 0 0
v 1 1 0
v 0 1 0
v 0 0 1
v 1 0 1
v 1 1 1
v 0 1 1
vt 0 0
vt 1 0
vt 1 1
vt 0 1
usemtl painted
f 1/1 4/4 3/3 2/2
f 5/1/7 6/2/7 7/3/7 8/4/7
usemtl brown
f 1 2 6 5
f 2 3 7 6
f 3 4 8 7
f 4 1 5 8
`

const cubeMTL = "# two materials\nnewmtl painted\nKd 1 1 1\nmap_Kd -s 1 1 1 -mm 0 1 my paint.png\nnewmtl brown\nKd 0.5 0.25 0\nd 1\n"

func cubeFiles(name string) ([]byte, error) {
	switch name {
	case "box.mtl":
		return []byte(cubeMTL), nil
	case "my paint.png":
		return chequers(64, 32, false), nil
	}
	return nil, errors.New("there is no such file")
}

func TestOBJLooks(t *testing.T) {
	m, warnings, err := mesh.ReadLooks("box.obj", []byte(cubeOBJ), cubeFiles)
	if err != nil || len(warnings) > 0 {
		t.Fatal(err, warnings)
	}
	s := m.Skin
	if s == nil || len(s.Corners) != 12 || len(s.Material) != 12 {
		t.Fatalf("the looks of twelve faces, got %+v", s)
	}
	painted, brown := s.Materials[s.Material[0]], s.Materials[s.Material[11]]
	if painted.Name != "painted" || painted.Image == nil || painted.Image.Pixels.Bounds() != image.Rect(0, 0, 64, 32) {
		t.Errorf("the painted faces have %+v", painted)
	}
	if diff := cmp.Diff(mesh.Material{Name: "brown", Colour: [3]uint8{128, 64, 0}}, brown); diff != "" {
		t.Error(diff)
	}
	// The first face is cut 1/1 4/4 3/3: the format's lower left corner is the picture's lower left, v = 1 for us.
	want := [3]mesh.Corner{{U: 0, V: 1, C: [3]uint8{255, 255, 255}}, {U: 0, V: 0, C: [3]uint8{255, 255, 255}}, {U: 1, V: 0, C: [3]uint8{255, 255, 255}}}
	if diff := cmp.Diff(want, s.Corners[0]); diff != "" {
		t.Error(diff)
	}
	plain, err := mesh.Read("box.obj", []byte(cubeOBJ))
	if err != nil || plain.Skin != nil {
		t.Errorf("Read gives the shape alone, got a skin %v, %v", plain.Skin != nil, err)
	}
	if diff := cmp.Diff(plain.Faces, m.Faces); diff != "" {
		t.Errorf("looks change the shape: %s", diff)
	}
}

func TestVertexColours(t *testing.T) {
	obj := "v 0 0 0 1 0 0\nv 1 0 0 0 1 0\nv 0 1 0 0 0 1\nf 1 2 3\n"
	ply := "ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nproperty float y\nproperty float z\nproperty uchar red\nproperty uchar green\nproperty uchar blue\nelement face 1\nproperty list uchar int vertex_indices\nend_header\n0 0 0 255 0 0\n1 0 0 0 255 0\n0 1 0 0 0 255\n3 0 1 2\n"
	for _, c := range []struct{ name, data string }{
		{"a.obj", obj},
		{"b.obj", strings.NewReplacer("0 1 0 0", "0 255 0 0", "0 0 1\n", "0 0 255\n", "0 0 0 1", "0 0 0 255", "0 0 0 255 0\n", "0 0 0 255 0\n").Replace("v 0 0 0 255 0 0\nv 1 0 0 0 255 0\nv 0 1 0 0 0 255\nf 1 2 3\n")},
		{"a.ply", ply},
	} {
		m, warnings, err := mesh.ReadLooks(c.name, []byte(c.data), nil)
		if err != nil || len(warnings) > 0 || m.Skin == nil {
			t.Fatalf("%s: %v %v", c.name, err, warnings)
		}
		for k := range 3 {
			var want [3]uint8
			want[k] = 255
			if got := m.Skin.Corners[0][k].C; got != want {
				t.Errorf("%s, corner %d: %v", c.name, k, got)
			}
		}
	}
}

// painted is a square of two faces as GLB, with a picture inside and a linear colour factor.
func painted(change func(doc object)) []byte {
	picture := chequers(32, 32, true)
	var bin []byte
	for _, p := range [][3]float32{{0, 0, 0}, {1, 0, 0}, {1, 1, 0}, {0, 1, 0}} {
		for _, x := range p {
			bin = appendFloat(bin, x)
		}
	}
	for _, p := range [][2]float32{{0, 1}, {1, 1}, {1, 0}, {0, 0}} {
		for _, x := range p {
			bin = appendFloat(bin, x)
		}
	}
	bin = append(bin, 0, 1, 2, 0, 2, 3, 0, 0)
	doc := object{
		"asset":  object{"version": "2.0"},
		"scenes": []any{object{"nodes": []any{0}}}, "nodes": []any{object{"mesh": 0}},
		"meshes":    []any{object{"primitives": []any{object{"attributes": object{"POSITION": 0, "TEXCOORD_0": 1}, "indices": 2, "material": 0}}}},
		"materials": []any{object{"name": "paint", "pbrMetallicRoughness": object{"baseColorFactor": []any{1, .5, 0, 1}, "baseColorTexture": object{"index": 0}}}},
		"textures":  []any{object{"source": 0}},
		"images":    []any{object{"bufferView": 3, "mimeType": "image/jpeg"}},
		"accessors": []any{
			object{"bufferView": 0, "componentType": 5126, "count": 4, "type": "VEC3"},
			object{"bufferView": 1, "componentType": 5126, "count": 4, "type": "VEC2"},
			object{"bufferView": 2, "componentType": 5121, "count": 6, "type": "SCALAR"},
		},
		"bufferViews": []any{
			object{"buffer": 0, "byteOffset": 0, "byteLength": 48},
			object{"buffer": 0, "byteOffset": 48, "byteLength": 32},
			object{"buffer": 0, "byteOffset": 80, "byteLength": 6},
			object{"buffer": 0, "byteOffset": 88, "byteLength": len(picture)},
		},
		"buffers": []any{object{"byteLength": 88 + len(picture)}},
	}
	if change != nil {
		change(doc)
	}
	return glbFile(doc, append(bin, picture...))
}

func appendFloat(b []byte, x float32) []byte {
	u := math.Float32bits(x)
	return append(b, byte(u), byte(u>>8), byte(u>>16), byte(u>>24))
}

func TestGLBLooks(t *testing.T) {
	m, warnings, err := mesh.ReadLooks("square.glb", painted(nil), nil)
	if err != nil || len(warnings) > 0 || m.Skin == nil {
		t.Fatal(err, warnings)
	}
	got := m.Skin.Materials[m.Skin.Material[1]]
	// Half of linear light is level 188 of sRGB (IEC 61966-2-1).
	if got.Colour != [3]uint8{255, 188, 0} || got.Image == nil || got.Image.Pixels.Bounds().Dx() != 32 {
		t.Errorf("material %+v", got)
	}
	if c := m.Skin.Corners[1][2]; c.U != 0 || c.V != 0 {
		t.Errorf("the third corner of the second face is the picture's upper left, got %v", c)
	}
	dataURI := painted(func(d object) {
		set(d, "images.0", object{"uri": "data:image/png;base64," + base64.StdEncoding.EncodeToString(chequers(8, 8, false))})
	})
	if m, warnings, err = mesh.ReadLooks("x.glb", dataURI, nil); err != nil || len(warnings) > 0 || m.Skin.Materials[1].Image.Pixels.Bounds().Dx() != 8 {
		t.Error("a picture inside the description:", err, warnings)
	}
}

// What a mesh names and does not bring is told with its cure; the shape is used all the same.
func TestLooksThatAreMissing(t *testing.T) {
	gone := func(string) ([]byte, error) { return nil, errors.New("there is no such file") }
	text := func(string) ([]byte, error) {
		return []byte("newmtl painted\nmap_Kd C:\\scans\\paint.png\n"), nil
	}
	for _, c := range []struct {
		name   string
		data   []byte
		beside mesh.Beside
		want   string
	}{
		{"a.obj", []byte(cubeOBJ), gone, "The material file box.mtl could not be read: there is no such file. Put it beside the mesh under this name, or export the mesh as one .glb file"},
		{"b.obj", []byte(cubeOBJ), nil, "The material file box.mtl is kept beside the mesh and cannot be opened here"},
		{"c.obj", []byte(cubeOBJ), text, "The picture paint.png cannot be used: it is neither a PNG nor a JPEG picture"},
		{"d.glb", painted(func(d object) { set(d, "images.0", object{"uri": "paint.jpg"}) }), gone, "The picture paint.jpg could not be read: there is no such file."},
		{"e.glb", painted(func(d object) { set(d, "textures.0", object{}) }), nil, "is of a kind that is not read; export the file with PNG or JPEG"},
		{"f.glb", painted(func(d object) { set(d, "bufferViews.3.byteLength", 1<<30) }), nil, "reaches beyond the end of the file"},
		{"g.glb", painted(func(d object) { set(d, "accessors.1.count", 3) }), nil, "cannot be read; export the mesh again"},
		{"h.glb", painted(func(d object) { set(d, "meshes.0.primitives.0.material", 7) }), nil, "Some materials of the GLB file are not there"},
		{"i.glb", painted(func(d object) { set(d, "bufferViews.3.byteLength", 200) }), nil, "cannot be used: "},
	} {
		m, warnings, err := mesh.ReadLooks(c.name, c.data, c.beside)
		if err != nil || len(m.Faces) == 0 {
			t.Errorf("%s: the shape was lost: %v", c.name, err)
			continue
		}
		if !strings.Contains(strings.Join(warnings, "\n"), c.want) {
			t.Errorf("%s: %q, want %q", c.name, warnings, c.want)
		}
	}
}

// A picture that claims to be vast is not unpacked; a large one is brought to a bound.
func TestPicturesAreBounded(t *testing.T) {
	vast := chequers(8, 8, false)
	copy(vast[16:], []byte{0, 1, 0, 0, 0, 1, 0, 0}) // width and height 65536; the check sum no longer fits
	for _, data := range [][]byte{vast, []byte("GIF89a"), nil} {
		beside := func(name string) ([]byte, error) {
			if name == "box.mtl" {
				return []byte(cubeMTL), nil
			}
			return data, nil
		}
		if _, warnings, err := mesh.ReadLooks("a.obj", []byte(cubeOBJ), beside); err != nil || len(warnings) != 1 {
			t.Errorf("one warning, got %q, %v", warnings, err)
		}
	}
	large := func(name string) ([]byte, error) {
		if name == "box.mtl" {
			return []byte(cubeMTL), nil
		}
		return chequers(4100, 600, false), nil
	}
	m, warnings, err := mesh.ReadLooks("a.obj", []byte(cubeOBJ), large)
	if err != nil || len(warnings) > 0 {
		t.Fatal(err, warnings)
	}
	im := m.Skin.Materials[m.Skin.Material[0]].Image.Pixels
	if im.Bounds().Dx() > mesh.ImageSide || im.RGBAAt(10, 10) != quarter(0, 0) || im.RGBAAt(im.Bounds().Dx()-10, im.Bounds().Dy()-10) != quarter(1, 1) {
		t.Errorf("%v %v", im.Bounds(), im.RGBAAt(10, 10))
	}
}

// sphereMap is a ball with a colour and a place on a picture that follow from the place on the ball.
func sphereMap(level int) *mesh.Mesh {
	m := mesh.Geodesic(level)
	s := &mesh.Skin{Materials: []mesh.Material{{Name: "a", Colour: [3]uint8{255, 255, 255}}}}
	for _, f := range m.Faces {
		var c [3]mesh.Corner
		for k, v := range f {
			c[k] = lookAt(m.Vertices[v])
		}
		s.Corners, s.Material = append(s.Corners, c), append(s.Material, 0)
	}
	m.Skin = s
	return m
}

func lookAt(p [3]float64) mesh.Corner {
	return mesh.Corner{U: float32(p[0]), V: float32(p[1]), C: [3]uint8{uint8(127 + 120*p[0]), uint8(127 + 120*p[1]), uint8(127 + 120*p[2])}}
}

// worstLook is how far the looks of a ball are from those of its places: on the picture, and in levels.
func worstLook(m *mesh.Mesh) (uv, level float64) {
	for i, f := range m.Faces {
		for k, v := range f {
			want, got := lookAt(m.Vertices[v]), m.Skin.Corners[i][k]
			uv = max(uv, math.Abs(float64(want.U-got.U)), math.Abs(float64(want.V-got.V)))
			for j := range 3 {
				level = max(level, math.Abs(float64(want.C[j])-float64(got.C[j])))
			}
		}
	}
	return uv, level
}

// Whatever is done to a mesh, a face keeps its looks.
func TestLooksGoWithTheirFaces(t *testing.T) {
	m := sphereMap(3)
	half := &mesh.Mesh{Vertices: m.Vertices, Skin: &mesh.Skin{Materials: m.Skin.Materials}}
	for i, f := range m.Faces {
		if m.Vertices[f[0]][2] > -.3 {
			half.Faces, half.Skin.Corners, half.Skin.Material = append(half.Faces, f), append(half.Skin.Corners, m.Skin.Corners[i]), append(half.Skin.Material, 0)
		}
	}
	half = half.Clone()
	for i := range half.Faces {
		if i%3 == 0 {
			half.Faces[i][1], half.Faces[i][2] = half.Faces[i][2], half.Faces[i][1]
			c := &half.Skin.Corners[i]
			c[1], c[2] = c[2], c[1]
		}
	}
	n := len(half.Faces)
	half = half.Weld(1e-9)
	half.Orient()
	closed, _, err := half.Close()
	if err != nil {
		t.Fatal(err)
	}
	if len(closed.Skin.Corners) != len(closed.Faces) || len(closed.Faces) <= n {
		t.Fatalf("%d faces, %d looks", len(closed.Faces), len(closed.Skin.Corners))
	}
	old := &mesh.Mesh{Vertices: closed.Vertices, Faces: closed.Faces[:n], Skin: &mesh.Skin{Corners: closed.Skin.Corners[:n]}}
	if uv, level := worstLook(old); uv > 0 || level > 0 {
		t.Errorf("looks moved by %g of the picture, %g levels", uv, level)
	}
	two := sphereMap(1)
	two.Append(meshtest.Box(1, 1, 1))
	if len(two.Skin.Corners) != len(two.Faces) || len(two.Skin.Materials) != 2 || two.Skin.Material[len(two.Faces)-1] != 1 {
		t.Error("a mesh without looks beside one with them gets plain ones of its own")
	}
}

func TestSimplify(t *testing.T) {
	for _, c := range []struct{ level, most int }{{6, 6000}, {6, 20000}, {5, 300}} {
		m := sphereMap(c.level)
		s, moved := m.Simplify(c.most)
		r := s.Inspect()
		if len(s.Faces) > c.most || len(s.Faces) < c.most/2 {
			t.Errorf("%d faces to at most %d: %d left", len(m.Faces), c.most, len(s.Faces))
		}
		if !r.Closed || !r.Outward {
			t.Errorf("the ball is no longer watertight: %+v", r)
		}
		cell := math.Sqrt(8 * math.Pi / float64(len(s.Faces))) // about the side of a face
		if v, tolerance := math.Abs(s.Volume()/m.Volume()-1), cell*cell/4; v > tolerance {
			t.Errorf("the volume changed by %.2g, more than the %.2g of a chord", v, tolerance)
		}
		for _, p := range s.Vertices {
			if d := math.Abs(math.Sqrt(p[0]*p[0]+p[1]*p[1]+p[2]*p[2]) - 1); d > cell*cell/4 {
				t.Errorf("a corner lies %g off the ball, cells are %g", d, cell)
				break
			}
		}
		if moved > cell/2 {
			t.Errorf("said to have moved by %g with cells of %g", moved, cell)
		}
		if uv, level := worstLook(s); uv > cell || level > 1+120*cell {
			t.Errorf("looks are off by %g of the picture and %g levels with faces of %g", uv, level, cell)
		}
		if c.most == 6000 {
			check.Record(t, check.Row{
				Room: "mesh", What: "volume of a ball of 82,000 faces simplified to 6,000", Source: "the solid itself; vertex clustering with quadrics, Lindstrom 2000",
				Worst: fmt.Sprintf("%.3f %%", 100*math.Abs(s.Volume()/m.Volume()-1)), Within: fmt.Sprintf("%.2f %%", 100*cell*cell/4),
			})
		}
	}
	box := meshtest.Box(1, 2, 3)
	if s, moved := box.Simplify(mesh.Enough); moved != 0 || len(s.Faces) != len(box.Faces) {
		t.Error("a mesh that is small enough changed")
	}
}

// Lindstrom's clustering keeps closed surfaces closed, whatever their shape.
func TestSimplifyKeepsWatertight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := mesh.Geodesic(rapid.IntRange(2, 4).Draw(t, "level"))
		a, b, c := rapid.Float64Range(.02, 1).Draw(t, "a"), rapid.Float64Range(-2, 2).Draw(t, "b"), rapid.Float64Range(.1, 9).Draw(t, "c")
		for i, p := range m.Vertices { // a lens that bends and folds
			m.Vertices[i] = [3]float64{p[0] + b*p[2]*p[2], p[1] * (1 + .5*math.Sin(c*p[0])), a * p[2]}
		}
		s, _ := m.Simplify(rapid.IntRange(1, 400).Draw(t, "most"))
		if len(s.Faces) > 0 && !s.Inspect().Closed {
			t.Fatalf("open after simplification to %d faces", len(s.Faces))
		}
		for _, p := range s.Vertices {
			for k := range 3 {
				if math.IsNaN(p[k]) || math.Abs(p[k]) > 10 {
					t.Fatalf("a corner flew away to %v", p)
				}
			}
		}
	})
}

func FuzzLooks(f *testing.F) {
	f.Add([]byte(cubeOBJ), []byte(cubeMTL), chequers(4, 4, false))
	f.Add([]byte("v 0 0 0 1 2 300\nv 1 0 0\nv 0 1 0\nvt nan 1\nusemtl a\nmtllib a\nf 1/1/1 2/-1 3/9\n"), []byte("newmtl a\nKd 1 2\nmap_Kd -s 1 -o\nmap_Kd ../..//x"), chequers(4, 4, true))
	f.Fuzz(func(t *testing.T, obj, mtl, picture []byte) {
		m, _, err := mesh.ReadLooks("a.obj", obj, func(name string) ([]byte, error) {
			if strings.HasSuffix(name, "mtl") {
				return mtl, nil
			}
			return picture, nil
		})
		soundLooks(t, m, err)
	})
}

func FuzzGLBLooks(f *testing.F) {
	f.Add(painted(nil))
	f.Add(painted(func(d object) { set(d, "accessors.1.componentType", 5123) }))
	f.Add(painted(func(d object) { set(d, "meshes.0.primitives.0.attributes.COLOR_0", 0) }))
	f.Fuzz(func(t *testing.T, data []byte) {
		m, _, err := mesh.ReadLooks("a.glb", data, nil)
		soundLooks(t, m, err)
	})
}

func soundLooks(t *testing.T, m *mesh.Mesh, err error) {
	t.Helper()
	if err != nil || m.Skin == nil {
		return
	}
	if len(m.Skin.Corners) != len(m.Faces) || len(m.Skin.Material) != len(m.Faces) {
		t.Fatal("looks and faces differ in number")
	}
	for i, c := range m.Skin.Corners {
		if int(m.Skin.Material[i]) >= len(m.Skin.Materials) {
			t.Fatal("a material is not there")
		}
		for _, k := range c {
			if k.U != k.U || k.V != k.V || math.Abs(float64(k.U)) > 1e7 || math.Abs(float64(k.V)) > 1e7 {
				t.Fatal("a place on the picture is no number")
			}
		}
	}
	s, _ := m.Simplify(16)
	if len(s.Skin.Corners) != len(s.Faces) {
		t.Fatal("looks and faces differ in number after simplification")
	}
}

func BenchmarkSimplify(b *testing.B) {
	m := sphereMap(7) // 327,680 faces
	b.ReportAllocs()
	for b.Loop() {
		m.Simplify(40_000)
	}
}
