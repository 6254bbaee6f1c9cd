package scene

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"image/jpeg"
	"littoral/internal/mesh"
	"math"
	"strconv"
)

// The parts of a glTF 2.0 document that a scene needs (Khronos glTF 2.0 specification, sections 3.5 to 3.9 and 4.4).
type gltfDoc struct {
	Asset       gltfAsset      `json:"asset"`
	Scene       int            `json:"scene"`
	Scenes      []gltfScene    `json:"scenes"`
	Nodes       []gltfNode     `json:"nodes"`
	Meshes      []gltfMesh     `json:"meshes"`
	Materials   []gltfMaterial `json:"materials"`
	Textures    []gltfTexture  `json:"textures,omitempty"`
	Images      []gltfImage    `json:"images,omitempty"`
	Samplers    []gltfSampler  `json:"samplers,omitempty"`
	Accessors   []gltfAccessor `json:"accessors"`
	BufferViews []gltfView     `json:"bufferViews"`
	Buffers     []gltfBuffer   `json:"buffers"`
}

type gltfAsset struct {
	Version   string `json:"version"`
	Generator string `json:"generator"`
}

type gltfScene struct {
	Name  string `json:"name,omitempty"`
	Nodes []int  `json:"nodes"`
}

type gltfNode struct {
	Name        string   `json:"name,omitempty"`
	Mesh        *int     `json:"mesh,omitempty"`
	Children    []int    `json:"children,omitempty"`
	Matrix      []number `json:"matrix,omitempty"`
	Translation []number `json:"translation,omitempty"`
	Rotation    []number `json:"rotation,omitempty"`
	Scale       []number `json:"scale,omitempty"`
}

type gltfMesh struct {
	Name       string          `json:"name,omitempty"`
	Primitives []gltfPrimitive `json:"primitives"`
}

type gltfPrimitive struct {
	Attributes map[string]int `json:"attributes"`
	Indices    int            `json:"indices"`
	Material   int            `json:"material"`
}

type gltfMaterial struct {
	Name        string    `json:"name"`
	PBR         gltfPBR   `json:"pbrMetallicRoughness"`
	Emissive    []float64 `json:"emissiveFactor,omitempty"`
	AlphaMode   string    `json:"alphaMode,omitempty"`
	DoubleSided bool      `json:"doubleSided,omitempty"`
}

type gltfTexture struct {
	Sampler int `json:"sampler"`
	Source  int `json:"source"`
}

type gltfImage struct {
	Name string `json:"name,omitempty"`
	Kind string `json:"mimeType"`
	View int    `json:"bufferView"`
}

// gltfSampler has the format's numbers for linear filtering between levels of detail.
type gltfSampler struct {
	Mag int `json:"magFilter"`
	Min int `json:"minFilter"`
}

type gltfTextureUse struct {
	Index int `json:"index"`
}

type gltfPBR struct {
	BaseColor []float64       `json:"baseColorFactor,omitempty"`
	Picture   *gltfTextureUse `json:"baseColorTexture,omitempty"`
	Metallic  float64         `json:"metallicFactor"`
	Roughness float64         `json:"roughnessFactor"`
}

type gltfAccessor struct {
	View       int       `json:"bufferView"`
	Offset     int       `json:"byteOffset,omitempty"`
	Component  int       `json:"componentType"`
	Normalized bool      `json:"normalized,omitempty"`
	Count      int       `json:"count"`
	Type       string    `json:"type"`
	Min        []float32 `json:"min,omitempty"`
	Max        []float32 `json:"max,omitempty"`
}

type gltfView struct {
	Buffer int `json:"buffer"`
	Offset int `json:"byteOffset"`
	Length int `json:"byteLength"`
	Stride int `json:"byteStride,omitempty"`
	Target int `json:"target,omitempty"`
}

type gltfBuffer struct {
	Length int `json:"byteLength"`
}

// number is written with six digits: a thousandth of a millimetre in a metre.
type number float32

func (n number) MarshalJSON() ([]byte, error) {
	return strconv.AppendFloat(nil, float64(n), 'g', 6, 32), nil
}

// Names of numbers in the format.
const (
	typeUshort = 5123
	typeUint   = 5125
	typeFloat  = 5126
	arrays     = 34962
	indices    = 34963
)

// glbBuffers collects the binary part: one stretch for each kind of data.
type glbBuffers struct {
	position, normal, colour, short, long, uv []byte
	images                                    [][]byte
}

// The six stretches, in the order of their buffer views; behind them stand the pictures.
const (
	viewPosition = iota
	viewNormal
	viewColour
	viewShort
	viewLong
	viewUV
	viewImages
)

// linearLevels are the 256 sRGB levels as linear light in 16 bits (IEC 61966-2-1): vertex colours of the format are linear.
var linearLevels = linear()

func linear() (out [256]uint16) {
	for i := range out {
		v := float64(i) / 255
		if v <= .04045 {
			v /= 12.92
		} else {
			v = math.Pow((v+.055)/1.055, 2.4)
		}
		out[i] = uint16(math.Round(65535 * v))
	}
	return out
}

// GLB writes the scene as one binary glTF 2.0 file. Every named thing is a node of its own with the id of the plan; meshes that stand at many
// places are shared. Metres; the format's y axis is up, and the front of the tank looks along its z axis. It fails only when the file would be
// larger than the format can hold.
func (s *Scene) GLB() ([]byte, error) {
	doc := gltfDoc{
		Asset: gltfAsset{"2.0", "littoral"},
		Materials: []gltfMaterial{
			{Name: "plain", PBR: gltfPBR{Roughness: .9}},
			{Name: "leaf", PBR: gltfPBR{Roughness: .55}, DoubleSided: true},
			{Name: "bed", PBR: gltfPBR{Roughness: 1}},
			{Name: "stone", PBR: gltfPBR{Roughness: .85}},
			{Name: "wood", PBR: gltfPBR{Roughness: .9}},
			{Name: "glow", PBR: gltfPBR{Roughness: 1}, Emissive: []float64{.9, .88, .8}},
			{Name: "glass", PBR: gltfPBR{BaseColor: []float64{.75, .9, .85, .14}, Roughness: .05}, AlphaMode: "BLEND", DoubleSided: true},
			{Name: "leaf, one side", PBR: gltfPBR{Roughness: .55}},
			{Name: "water surface", PBR: gltfPBR{BaseColor: []float64{.75, .88, .88, .22}, Roughness: .05}, AlphaMode: "BLEND", DoubleSided: true},
		},
	}
	const glass, oneSide, surface = 6, 7, 8
	paint := map[*mesh.Image]int{} // materials of user's meshes
	var bin glbBuffers
	primitive := func(m *Mesh, material int) gltfPrimitive {
		a := gltfPrimitive{Attributes: map[string]int{}, Material: material}
		lo, hi := m.V[0].P, m.V[0].P
		pos := gltfAccessor{View: viewPosition, Offset: len(bin.position), Component: typeFloat, Count: len(m.V), Type: "VEC3"}
		nor := gltfAccessor{View: viewNormal, Offset: len(bin.normal), Component: typeFloat, Count: len(m.V), Type: "VEC3"}
		col := gltfAccessor{View: viewColour, Offset: len(bin.colour), Component: typeUshort, Normalized: true, Count: len(m.V), Type: "VEC4"}
		lo, hi = yUp(lo), yUp(hi)
		for i := range m.V {
			p, n := yUp(m.V[i].P), yUp(m.V[i].N)
			for k := range 3 {
				lo[k], hi[k] = min(lo[k], p[k]), max(hi[k], p[k])
				bin.position = binary.LittleEndian.AppendUint32(bin.position, math.Float32bits(p[k]))
			}
			l := float32(math.Sqrt(float64(n[0])*float64(n[0]) + float64(n[1])*float64(n[1]) + float64(n[2])*float64(n[2])))
			if !(l > 0) {
				n, l = [3]float32{0, 1, 0}, 1
			}
			for k := range 3 {
				bin.normal = binary.LittleEndian.AppendUint32(bin.normal, math.Float32bits(n[k]/l))
			}
			for k := range 3 {
				bin.colour = binary.LittleEndian.AppendUint16(bin.colour, linearLevels[m.V[i].C[k]])
			}
			bin.colour = binary.LittleEndian.AppendUint16(bin.colour, 65535)
		}
		pos.Min, pos.Max = lo[:], hi[:]
		idx := gltfAccessor{Count: 3 * len(m.F), Type: "SCALAR"}
		if len(m.V) < 65535 {
			idx.View, idx.Component, idx.Offset = viewShort, typeUshort, len(bin.short)
			for _, f := range m.F {
				for _, v := range f {
					bin.short = binary.LittleEndian.AppendUint16(bin.short, uint16(v))
				}
			}
		} else {
			idx.View, idx.Component, idx.Offset = viewLong, typeUint, len(bin.long)
			for _, f := range m.F {
				for _, v := range f {
					bin.long = binary.LittleEndian.AppendUint32(bin.long, v)
				}
			}
		}
		n := len(doc.Accessors)
		doc.Accessors = append(doc.Accessors, pos, nor, col, idx)
		if len(m.UV) == len(m.V) {
			a.Attributes["TEXCOORD_0"] = len(doc.Accessors)
			doc.Accessors = append(doc.Accessors, gltfAccessor{View: viewUV, Offset: len(bin.uv), Component: typeFloat, Count: len(m.UV), Type: "VEC2"})
			for _, t := range m.UV {
				for _, x := range t {
					bin.uv = binary.LittleEndian.AppendUint32(bin.uv, math.Float32bits(x))
				}
			}
		}
		a.Attributes["POSITION"], a.Attributes["NORMAL"], a.Attributes["COLOR_0"], a.Indices = n, n+1, n+2, n+3
		return a
	}
	add := func(m *Mesh, material int) int {
		doc.Meshes = append(doc.Meshes, gltfMesh{Name: m.Name, Primitives: []gltfPrimitive{primitive(m, material)}})
		return len(doc.Meshes) - 1
	}
	// painted gives the material of a user's mesh; a picture stands in the file once, however many meshes show it.
	painted := func(im *mesh.Image) (int, error) {
		if n, ok := paint[im]; ok {
			return n, nil
		}
		n := len(doc.Materials)
		m := gltfMaterial{Name: "as scanned", PBR: gltfPBR{Roughness: .9}}
		if im != nil {
			var b bytes.Buffer
			if err := jpeg.Encode(&b, im.Pixels, &jpeg.Options{Quality: 88}); err != nil {
				return 0, fmt.Errorf("the picture %s could not be packed: %w", im.Name, err)
			}
			if len(doc.Samplers) == 0 {
				doc.Samplers = []gltfSampler{{Mag: 9729, Min: 9987}}
			}
			m.Name, m.PBR.Picture = "as scanned, "+im.Name, &gltfTextureUse{len(doc.Textures)}
			doc.Textures = append(doc.Textures, gltfTexture{Source: len(doc.Images)})
			doc.Images = append(doc.Images, gltfImage{Name: im.Name, Kind: "image/jpeg", View: viewImages + len(bin.images)})
			bin.images = append(bin.images, b.Bytes())
		}
		doc.Materials = append(doc.Materials, m)
		paint[im] = n
		return n, nil
	}
	written := make([]int, len(s.Meshes))
	for i := range s.Meshes {
		written[i] = -1
	}
	children := make([][]int, len(s.Items))
	for i := range s.Nodes {
		n := &s.Nodes[i]
		if s.Items[n.Item].Kind == Wall {
			continue // the panes below stand for them
		}
		m := &s.Meshes[n.Mesh]
		if len(m.V) == 0 || len(m.F) == 0 {
			continue
		}
		if written[n.Mesh] < 0 {
			switch {
			case m.Surface == Painted:
				material, err := painted(m.Picture)
				if err != nil {
					return nil, err
				}
				written[n.Mesh] = add(m, material)
			case m.Surface == Leaf && m.Under[1] < .8: // red under sides
				written[n.Mesh] = add(m, oneSide)
				doc.Meshes[written[n.Mesh]].Primitives = append(doc.Meshes[written[n.Mesh]].Primitives, primitive(m.underSide(), oneSide))
			default:
				written[n.Mesh] = add(m, int(m.Surface))
			}
		}
		id := written[n.Mesh]
		g := gltfNode{Mesh: &id}
		stand(&g, n.M)
		doc.Nodes = append(doc.Nodes, g)
		children[n.Item] = append(children[n.Item], len(doc.Nodes)-1)
	}
	root := gltfScene{Name: s.Name}
	for i, list := range children {
		if len(list) == 0 {
			continue
		}
		it := &s.Items[i]
		name := it.ID
		if it.Species != "" {
			name += " (" + it.Species + ")"
		}
		if len(list) == 1 {
			doc.Nodes[list[0]].Name = name
			root.Nodes = append(root.Nodes, list[0])
			continue
		}
		doc.Nodes = append(doc.Nodes, gltfNode{Name: name, Children: list})
		root.Nodes = append(root.Nodes, len(doc.Nodes)-1)
	}
	for _, p := range []struct {
		m        *Mesh
		material int
	}{{s.panes(), glass}, {s.surface(), surface}} {
		id := add(p.m, p.material)
		doc.Nodes = append(doc.Nodes, gltfNode{Name: p.m.Name, Mesh: &id})
		root.Nodes = append(root.Nodes, len(doc.Nodes)-1)
	}
	doc.Scenes = []gltfScene{root}
	return glb(&doc, &bin)
}

// underSide is the other side of leaves, in its own colours.
func (m *Mesh) underSide() *Mesh {
	u := &Mesh{Name: m.Name, Surface: m.Surface, V: make([]Vertex, len(m.V)), F: make([][3]uint32, len(m.F))}
	for i, v := range m.V {
		for k := range 3 {
			v.N[k] = -v.N[k]
			v.C[k] = uint8(min(255, float32(v.C[k])*m.Under[k]))
		}
		u.V[i] = v
	}
	for i, f := range m.F {
		u.F[i] = [3]uint32{f[0], f[2], f[1]}
	}
	return u
}

// yUp turns our axes into the format's.
func yUp(p [3]float32) [3]float32 { return [3]float32{p[0], p[2], -p[1]} }

// stand writes a placement: shift, turn and stretch where it is made of these, a matrix where not.
func stand(g *gltfNode, m Mat) {
	if m == Still {
		return
	}
	if m[0][2] == 0 && m[1][2] == 0 && m[2][0] == 0 && m[2][1] == 0 {
		wide := math.Hypot(float64(m[0][0]), float64(m[1][0]))
		half := math.Atan2(float64(m[1][0]), float64(m[0][0])) / 2
		g.Translation = []number{number(m[0][3]), number(m[2][3]), number(-m[1][3])}
		if half != 0 {
			g.Rotation = []number{0, number(math.Sin(half)), 0, number(math.Cos(half))}
		}
		g.Scale = []number{number(wide), number(m[2][2]), number(wide)}
		return
	}
	// In the format's axes, column by column.
	col := func(k int, sign float32) []number {
		p := yUp([3]float32{m[0][k] * sign, m[1][k] * sign, m[2][k] * sign})
		last := number(0)
		if k == 3 {
			last = 1
		}
		return []number{number(p[0]), number(p[1]), number(p[2]), last}
	}
	g.Matrix = append(append(append(col(0, 1), col(2, 1)...), col(1, -1)...), col(3, 1)...)
}

// glb joins the description and the numbers into one file.
func glb(doc *gltfDoc, b *glbBuffers) ([]byte, error) {
	pad := func(p []byte) []byte {
		for len(p)%4 != 0 {
			p = append(p, 0)
		}
		return p
	}
	type part struct {
		data           []byte
		stride, target int
	}
	parts := []part{{b.position, 12, arrays}, {b.normal, 12, arrays}, {b.colour, 8, arrays}, {b.short, 0, indices}, {b.long, 0, indices}, {b.uv, 8, arrays}}
	for _, p := range b.images {
		parts = append(parts, part{data: p})
	}
	var bin []byte
	renumber := make([]int, len(parts))
	for i, part := range parts {
		renumber[i] = len(doc.BufferViews)
		if len(part.data) == 0 {
			continue // the format knows no empty views
		}
		doc.BufferViews = append(doc.BufferViews, gltfView{Offset: len(bin), Length: len(part.data), Stride: part.stride, Target: part.target})
		bin = pad(append(bin, part.data...))
	}
	for i := range doc.Accessors {
		doc.Accessors[i].View = renumber[doc.Accessors[i].View]
	}
	for i := range doc.Images {
		doc.Images[i].View = renumber[doc.Images[i].View]
	}
	doc.Buffers = []gltfBuffer{{len(bin)}}
	text, err := json.Marshal(doc)
	if err != nil {
		return nil, fmt.Errorf("the description of the scene could not be written: %w", err)
	}
	for len(text)%4 != 0 {
		text = append(text, ' ')
	}
	total := 12 + 8 + len(text) + 8 + len(bin)
	if total > math.MaxUint32 {
		return nil, fmt.Errorf("the scene takes %d bytes, more than a binary glTF file can hold; leave out animals or forecast a smaller tank", total)
	}
	out := make([]byte, 0, total)
	word := func(v uint32) { out = binary.LittleEndian.AppendUint32(out, v) }
	word(0x46546C67) // glTF
	word(2)
	word(uint32(total))
	word(uint32(len(text)))
	word(0x4E4F534A) // JSON
	out = append(out, text...)
	word(uint32(len(bin)))
	word(0x004E4942) // BIN
	return append(out, bin...), nil
}

// panes are the glass: walls with their thickness, and the bottom.
func (s *Scene) panes() *Mesh {
	t := &s.Tank
	m := &Mesh{Name: "glass"}
	c := [3]uint8{235, 248, 242}
	f := t.Footprint
	n := len(f)
	out := make([]Vec, n)
	for i, p := range f {
		a, q := f[(i+n-1)%n], f[(i+1)%n]
		n1, n2 := Vec{p[1] - a[1], a[0] - p[0], 0}.unit(), Vec{q[1] - p[1], p[0] - q[0], 0}.unit()
		w := n1.add(n2)
		w = w.mul(t.Glass / max(.3, w.dot(n1)))
		out[i] = Vec{p[0] + w[0], p[1] + w[1], 0}
	}
	at := func(v Vec, z float64) Vec { return Vec{v[0], v[1], z} }
	in := func(i int) Vec { return Vec{f[i][0], f[i][1], 0} }
	for i := range n {
		j := (i + 1) % n
		m.quad(at(out[i], -t.Bottom), at(out[j], -t.Bottom), at(out[j], t.Height), at(out[i], t.Height), c)
		m.quad(at(in(j), 0), at(in(i), 0), at(in(i), t.Height), at(in(j), t.Height), c)
		m.quad(at(out[i], t.Height), at(out[j], t.Height), at(in(j), t.Height), at(in(i), t.Height), c)
	}
	return m
}

// surface is the water's.
func (s *Scene) surface() *Mesh {
	t := &s.Tank
	m := &Mesh{Name: "water surface"}
	c := [3]uint8{240, 250, 250}
	middle := Vec{t.LX / 2, t.LY / 2, t.WaterLevel}
	n := len(t.Footprint)
	for i, p := range t.Footprint {
		q := t.Footprint[(i+1)%n]
		m.tri(Vec{p[0], p[1], t.WaterLevel}, Vec{q[0], q[1], t.WaterLevel}, middle, c)
	}
	return m
}
