package scene

import (
	"encoding/binary"
	"encoding/json"
	"image"
	"littoral/internal/geometry"
	"littoral/internal/mesh"
	"testing"
)

// paintedBall is a ball with two materials: one half shows a picture, the other a colour.
func paintedBall(im *mesh.Image) *mesh.Mesh {
	m := mesh.Geodesic(4)
	m.Skin = &mesh.Skin{Materials: []mesh.Material{{Name: "plain", Colour: [3]uint8{255, 255, 255}}, {Name: "photo", Colour: [3]uint8{255, 255, 255}, Image: im}, {Name: "half", Colour: [3]uint8{188, 188, 255}}}}
	for i := range m.Faces {
		var c [3]mesh.Corner
		for k, v := range m.Faces[i] {
			p := m.Vertices[v]
			c[k] = mesh.Corner{U: float32(p[0]), V: float32(p[1]), C: [3]uint8{255, 188, 0}}
		}
		m.Skin.Corners, m.Skin.Material = append(m.Skin.Corners, c), append(m.Skin.Material, uint16(1+i%2))
	}
	return m
}

func TestUsersMeshesKeepTheirLooks(t *testing.T) {
	im := &mesh.Image{Name: "photo", Pixels: image.NewRGBA(image.Rect(0, 0, 8, 4))}
	ball := paintedBall(im)
	list := painted("ball", ball)
	if len(list) != 2 || list[0].Picture != im || list[1].Picture != nil || len(list[0].UV) != len(list[0].V) || list[1].UV != nil {
		t.Fatalf("%d meshes for a picture and a colour", len(list))
	}
	if n := len(list[0].F) + len(list[1].F); n != len(ball.Faces) {
		t.Errorf("%d of %d faces are drawn", n, len(ball.Faces))
	}
	// Level 188 is 0.503 of linear light; its square is level 138 of sRGB (IEC 61966-2-1), and once white it stays 188.
	if c := list[1].V[0].C; c != [3]uint8{188, 138, 0} {
		t.Errorf("the product of the two colours is %v", c)
	}
	// Corners are shared where all they have is alike: as many as the ball has vertices.
	if n := len(list[0].V); n > len(ball.Vertices) {
		t.Errorf("%d corners for a ball of %d", n, len(ball.Vertices))
	}
}

// A picture stands in the file once, however many pieces show it.
func TestGLBHoldsAPictureOnce(t *testing.T) {
	im := &mesh.Image{Name: "photo", Pixels: image.NewRGBA(image.Rect(0, 0, 8, 4))}
	s := &Scene{Tank: geometry.Tank{Shape: "box", Footprint: [][2]float64{{0, 0}, {1, 0}, {1, .5}, {0, .5}}, LX: 1, LY: .5, Height: .5, WaterLevel: .45, Glass: .01, Bottom: .01}}
	b := &builder{Scene: s}
	for _, id := range []string{"a", "b"} {
		item := b.item(Item{Kind: Stone, ID: id})
		for _, m := range painted(id, paintedBall(im)) {
			b.put(m, item)
		}
	}
	data, err := s.GLB()
	if err != nil {
		t.Fatal(err)
	}
	var doc gltfDoc
	if err := json.Unmarshal(data[20:20+binary.LittleEndian.Uint32(data[12:])], &doc); err != nil {
		t.Fatal(err)
	}
	if len(doc.Images) != 1 || len(doc.Textures) != 1 {
		t.Errorf("%d pictures, %d textures for one", len(doc.Images), len(doc.Textures))
	}
	v := doc.BufferViews[doc.Images[0].View]
	bin := data[20+binary.LittleEndian.Uint32(data[12:])+8:]
	if head := bin[v.Offset : v.Offset+2]; head[0] != 0xff || head[1] != 0xd8 || v.Target != 0 {
		t.Errorf("the view of the picture begins with % x", head)
	}
	shown := 0
	for _, m := range doc.Meshes {
		if _, ok := m.Primitives[0].Attributes["TEXCOORD_0"]; ok {
			shown++
			if doc.Materials[m.Primitives[0].Material].PBR.Picture == nil {
				t.Error("a mesh with places on a picture has no picture")
			}
		}
	}
	if shown != 2 {
		t.Errorf("%d meshes show the picture, two do", shown)
	}
}
