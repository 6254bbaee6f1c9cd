package mesh

import (
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
)

// Limits on the JSON part of a GLB file, our own choice: a scene of one piece of hardscape needs a few kilobytes.
const (
	maxGLBJSON  = 4 << 20 // bytes
	maxGLBNodes = 100_000
	maxGLBDepth = 256 // nodes below one another
)

const (
	chunkJSON = 0x4E4F534A
	chunkBIN  = 0x004E4942
)

// The part of a glTF 2.0 document that describes shape.
type gltf struct {
	ExtensionsRequired []string `json:"extensionsRequired"`
	Scene              int      `json:"scene"`
	Scenes             []struct {
		Nodes []int `json:"nodes"`
	} `json:"scenes"`
	Nodes  []gltfNode `json:"nodes"`
	Meshes []struct {
		Primitives []struct {
			Attributes map[string]int `json:"attributes"`
			Indices    *int           `json:"indices"`
			Mode       *int           `json:"mode"`
			Material   *int           `json:"material"`
		} `json:"primitives"`
	} `json:"meshes"`
	Materials []struct {
		Name string `json:"name"`
		PBR  struct {
			Colour  []float64 `json:"baseColorFactor"`
			Texture *struct {
				Index      int             `json:"index"`
				Coordinate int             `json:"texCoord"`
				Extensions json.RawMessage `json:"extensions"`
			} `json:"baseColorTexture"`
		} `json:"pbrMetallicRoughness"`
	} `json:"materials"`
	Textures []struct {
		Source *int `json:"source"`
	} `json:"textures"`
	Images []struct {
		Name string `json:"name"`
		URI  string `json:"uri"`
		View *int   `json:"bufferView"`
	} `json:"images"`
	Accessors []struct {
		BufferView    *int            `json:"bufferView"`
		ByteOffset    uint64          `json:"byteOffset"`
		ComponentType int             `json:"componentType"`
		Count         uint64          `json:"count"`
		Type          string          `json:"type"`
		Sparse        json.RawMessage `json:"sparse"`
	} `json:"accessors"`
	BufferViews []struct {
		Buffer     int    `json:"buffer"`
		ByteOffset uint64 `json:"byteOffset"`
		ByteLength uint64 `json:"byteLength"`
		ByteStride uint64 `json:"byteStride"`
	} `json:"bufferViews"`
	Buffers []struct {
		URI        string `json:"uri"`
		ByteLength uint64 `json:"byteLength"`
	} `json:"buffers"`
}

type gltfNode struct {
	Mesh        *int      `json:"mesh"`
	Children    []int     `json:"children"`
	Matrix      []float64 `json:"matrix"`
	Translation []float64 `json:"translation"`
	Rotation    []float64 `json:"rotation"`
	Scale       []float64 `json:"scale"`
}

// affine is a 3×4 matrix: rows of a rotation and scale, then the shift.
type affine [3][4]float64

func (a affine) times(b affine) affine {
	var c affine
	for i := range 3 {
		for j := range 4 {
			for k := range 3 {
				c[i][j] += a[i][k] * b[k][j]
			}
		}
		c[i][3] += a[i][3]
	}
	return c
}

func (a affine) apply(p [3]float64) [3]float64 {
	var q [3]float64
	for i := range 3 {
		q[i] = a[i][0]*p[0] + a[i][1]*p[1] + a[i][2]*p[2] + a[i][3]
	}
	return q
}

func (a affine) determinant() float64 {
	return a[0][0]*(a[1][1]*a[2][2]-a[1][2]*a[2][1]) -
		a[0][1]*(a[1][0]*a[2][2]-a[1][2]*a[2][0]) +
		a[0][2]*(a[1][0]*a[2][1]-a[1][1]*a[2][0])
}

// readGLB reads every triangle primitive of the default scene, moved by its nodes, from a binary glTF 2.0 file whose numbers
// are inside the file, with looks also their materials. The format's y axis points up; it becomes our z.
func readGLB(data []byte, looks *looks) (*Mesh, error) {
	text, bin, err := glbChunks(data)
	if err != nil {
		return nil, err
	}
	g := &glbReader{bin: bin, welder: newWelder(0, 0), looks: looks}
	if err := json.Unmarshal(text, &g.doc); err != nil {
		return nil, fmt.Errorf("byte 20: the description inside the GLB file cannot be understood (%w); export it again", err)
	}
	if err := g.check(); err != nil {
		return nil, err
	}
	if looks != nil {
		g.mesh.Skin = &Skin{Materials: []Material{{Name: "plain", Colour: white}}}
	}
	roots, err := g.roots()
	if err != nil {
		return nil, err
	}
	g.visited = make([]bool, len(g.doc.Nodes))
	yUp := affine{{1, 0, 0, 0}, {0, 0, -1, 0}, {0, 1, 0, 0}}
	for _, r := range roots {
		if err := g.walk(r, yUp, 0); err != nil {
			return nil, err
		}
	}
	g.mesh.Vertices = g.welder.vertices
	if !g.looked {
		g.mesh.Skin = nil
	}
	return finish(&g.mesh)
}

func glbChunks(data []byte) (text, bin []byte, err error) {
	if len(data) < 20 || string(data[:4]) != "glTF" {
		return nil, nil, fmt.Errorf("byte 0: this is not a GLB file, or it is cut off; copy or export it again")
	}
	if v := binary.LittleEndian.Uint32(data[4:]); v != 2 {
		return nil, nil, fmt.Errorf("byte 4: this is a GLB file of version %d; export it as glTF 2.0", v)
	}
	if n := uint64(binary.LittleEndian.Uint32(data[8:])); n > uint64(len(data)) {
		return nil, nil, fmt.Errorf("byte 8: the GLB header claims %d bytes, but the file has %d; copy or export it again", n, len(data))
	}
	for at := 12; at < len(data); {
		if len(data)-at < 8 {
			break // padding after the last chunk
		}
		n := uint64(binary.LittleEndian.Uint32(data[at:]))
		kind := binary.LittleEndian.Uint32(data[at+4:])
		if n > uint64(len(data)-at-8) {
			return nil, nil, fmt.Errorf("byte %d: a part of the GLB file claims %d bytes, more than follow; copy or export it again", at, n)
		}
		body := data[at+8 : at+8+int(n)]
		switch {
		case kind == chunkJSON && text == nil:
			text = body
		case kind == chunkBIN && bin == nil:
			bin = body
		}
		at += 8 + int(n)
	}
	if text == nil {
		return nil, nil, fmt.Errorf("byte 12: the GLB file holds no description; export it again")
	}
	if len(text) > maxGLBJSON {
		return nil, nil, fmt.Errorf("byte 12: the description inside the GLB file is %d MB, more than the %d MB that can be read; export only the one piece", len(text)>>20, maxGLBJSON>>20)
	}
	return text, bin, nil
}

type glbReader struct {
	doc     gltf
	bin     []byte
	mesh    Mesh
	welder  *welder
	visited []bool
	read    uint64 // positions transformed so far
	looks   *looks // nil when only the shape is wanted
	dresses map[int]dress
	looked  bool // some face has looks of its own
}

func (g *glbReader) check() error {
	for _, e := range g.doc.ExtensionsRequired {
		switch e {
		case "KHR_draco_mesh_compression", "EXT_meshopt_compression", "KHR_mesh_quantization":
			return fmt.Errorf("the GLB file is packed with %s; export it without compression", e)
		}
	}
	if len(g.doc.Nodes) > maxGLBNodes {
		return fmt.Errorf("the GLB file has %d nodes, more than the %d that can be read; export only the one piece", len(g.doc.Nodes), maxGLBNodes)
	}
	return nil
}

// roots are those of the default scene, or every node that is nobody's child.
func (g *glbReader) roots() ([]int, error) {
	if len(g.doc.Scenes) > 0 {
		if g.doc.Scene < 0 || g.doc.Scene >= len(g.doc.Scenes) {
			return nil, fmt.Errorf("the GLB file names scene %d, but has %d; export it again", g.doc.Scene, len(g.doc.Scenes))
		}
		return g.doc.Scenes[g.doc.Scene].Nodes, nil
	}
	child := make([]bool, len(g.doc.Nodes))
	for _, n := range g.doc.Nodes {
		for _, c := range n.Children {
			if c >= 0 && c < len(child) {
				child[c] = true
			}
		}
	}
	var roots []int
	for i := range child {
		if !child[i] {
			roots = append(roots, i)
		}
	}
	return roots, nil
}

func (g *glbReader) walk(n int, above affine, depth int) error {
	if n < 0 || n >= len(g.doc.Nodes) {
		return fmt.Errorf("the GLB file names node %d, but has %d nodes; export it again", n, len(g.doc.Nodes))
	}
	if g.visited[n] || depth > maxGLBDepth {
		return fmt.Errorf("node %d of the GLB file stands in more than one place or too deep; export it again", n)
	}
	g.visited[n] = true
	node := &g.doc.Nodes[n]
	own, err := node.affine(n)
	if err != nil {
		return err
	}
	to := above.times(own)
	if node.Mesh != nil {
		if *node.Mesh < 0 || *node.Mesh >= len(g.doc.Meshes) {
			return fmt.Errorf("node %d names mesh %d, but the GLB file has %d meshes; export it again", n, *node.Mesh, len(g.doc.Meshes))
		}
		for p := range g.doc.Meshes[*node.Mesh].Primitives {
			if err := g.primitive(*node.Mesh, p, to); err != nil {
				return err
			}
		}
	}
	for _, c := range node.Children {
		if err := g.walk(c, to, depth+1); err != nil {
			return err
		}
	}
	return nil
}

func (n *gltfNode) affine(number int) (affine, error) {
	bad := func(what string, got, want int) (affine, error) {
		return affine{}, fmt.Errorf("the %s of node %d has %d numbers instead of %d; export the GLB file again", what, number, got, want)
	}
	if n.Matrix != nil {
		if len(n.Matrix) != 16 {
			return bad("matrix", len(n.Matrix), 16)
		}
		var a affine
		for i := range 3 {
			for j := range 4 {
				a[i][j] = n.Matrix[4*j+i] // stored column by column
			}
		}
		return a, nil
	}
	t, r, s := []float64{0, 0, 0}, []float64{0, 0, 0, 1}, []float64{1, 1, 1}
	if n.Translation != nil {
		if t = n.Translation; len(t) != 3 {
			return bad("translation", len(t), 3)
		}
	}
	if n.Rotation != nil {
		if r = n.Rotation; len(r) != 4 {
			return bad("rotation", len(r), 4)
		}
	}
	if n.Scale != nil {
		if s = n.Scale; len(s) != 3 {
			return bad("scale", len(s), 3)
		}
	}
	x, y, z, w := r[0], r[1], r[2], r[3]
	return affine{
		{(1 - 2*(y*y+z*z)) * s[0], 2 * (x*y - z*w) * s[1], 2 * (x*z + y*w) * s[2], t[0]},
		{2 * (x*y + z*w) * s[0], (1 - 2*(x*x+z*z)) * s[1], 2 * (y*z - x*w) * s[2], t[1]},
		{2 * (x*z - y*w) * s[0], 2 * (y*z + x*w) * s[1], (1 - 2*(x*x+y*y)) * s[2], t[2]},
	}, nil
}

func (g *glbReader) primitive(mesh, number int, to affine) error {
	p := &g.doc.Meshes[mesh].Primitives[number]
	place := fmt.Sprintf("mesh %d of the GLB file, part %d", mesh, number)
	switch mode := p.Mode; {
	case mode == nil || *mode == 4:
	case *mode >= 0 && *mode <= 3:
		return nil // points and lines have no surface
	default:
		return fmt.Errorf("%s: only plain triangles can be read, not strips or fans; export it as triangles", place)
	}
	position, ok := p.Attributes["POSITION"]
	if !ok {
		return nil // the format allows it and says that there is nothing to draw
	}
	points, err := g.accessor(place, position, "VEC3")
	if err != nil {
		return err
	}
	if points.kind != 5126 {
		return fmt.Errorf("%s: positions must be float32, not packed numbers; export it without compression", place)
	}
	count := points.count
	var indices *glbArray
	if p.Indices != nil {
		if indices, err = g.accessor(place, *p.Indices, "SCALAR"); err != nil {
			return err
		}
		if indices.kind == 5126 {
			return fmt.Errorf("%s: vertex numbers must be whole; export it again", place)
		}
		count = indices.count
	}
	if count%3 != 0 {
		return fmt.Errorf("%s: %d corners do not make whole triangles; export it again", place, count)
	}
	if n := uint64(len(g.mesh.Faces)) + count/3; n > MaxFaces {
		return tooManyFaces(place, n)
	}
	// The same positions may be used by many nodes, so the work is counted as well as the size.
	if g.read += points.count; g.read > 3*MaxVertices {
		return tooManyVertices(place, g.read)
	}
	vertex := make([]int32, points.count)
	for i := range points.count {
		at := points.at + i*points.stride
		b := g.bin[at:]
		v := to.apply([3]float64{float32At(binary.LittleEndian, b), float32At(binary.LittleEndian, b[4:]), float32At(binary.LittleEndian, b[8:])})
		if !usable(v) {
			return checkPoint(fmt.Sprintf("%s, byte %d of its data", place, at), v)
		}
		vertex[i] = g.welder.add(v)
		if len(g.welder.vertices) > MaxVertices {
			return tooManyVertices(place, MaxVertices+1)
		}
	}
	var look *glbLook
	if g.looks != nil {
		look = g.look(p.Material, p.Attributes, points.count, place)
	}
	mirrored := to.determinant() < 0
	for i := uint64(0); i < count; i += 3 {
		var f [3]int32
		var c [3]Corner
		for k := range uint64(3) {
			v := i + k
			if indices != nil {
				v = indices.whole(g.bin, i+k)
			}
			if v >= points.count {
				return fmt.Errorf("%s: a face names vertex %d, but there are %d; export it again", place, v, points.count)
			}
			f[k] = vertex[v]
			if look != nil {
				c[k] = look.corner(g.bin, v)
			}
		}
		g.mesh.Faces = append(g.mesh.Faces, f)
		if look != nil {
			g.mesh.Skin.Corners, g.mesh.Skin.Material = append(g.mesh.Skin.Corners, c), append(g.mesh.Skin.Material, look.material)
		}
		if mirrored {
			g.mesh.turnFace(len(g.mesh.Faces) - 1)
		}
	}
	return nil
}

// glbArray is an accessor whose every element is known to lie inside the binary part.
type glbArray struct {
	at, stride, count uint64
	kind              int
}

func (a *glbArray) whole(bin []byte, i uint64) uint64 {
	b := bin[a.at+i*a.stride:]
	switch a.kind {
	case 5121:
		return uint64(b[0])
	case 5123:
		return uint64(binary.LittleEndian.Uint16(b))
	}
	return uint64(binary.LittleEndian.Uint32(b))
}

func (g *glbReader) accessor(place string, n int, shape string) (*glbArray, error) {
	if n < 0 || n >= len(g.doc.Accessors) {
		return nil, fmt.Errorf("%s: accessor %d does not exist; export it again", place, n)
	}
	a := &g.doc.Accessors[n]
	fail := func(format string, args ...any) (*glbArray, error) {
		return nil, fmt.Errorf("%s, accessor %d: "+format, append([]any{place, n}, args...)...)
	}
	if a.Sparse != nil {
		return fail("sparse numbers cannot be read; export it without morphs or sparse accessors")
	}
	if a.Type != shape {
		return fail("the numbers are %q instead of %s; export it again", clip([]byte(a.Type)), shape)
	}
	var width uint64
	switch a.ComponentType {
	case 5121:
		width = 1
	case 5123:
		width = 2
	case 5125, 5126:
		width = 4
	default:
		return fail("the number type %d cannot be read; export it again", a.ComponentType)
	}
	width *= map[string]uint64{"SCALAR": 1, "VEC2": 2, "VEC3": 3, "VEC4": 4}[shape]
	if a.BufferView == nil || *a.BufferView < 0 || *a.BufferView >= len(g.doc.BufferViews) {
		return fail("there are no numbers behind it; export it again")
	}
	v := &g.doc.BufferViews[*a.BufferView]
	if v.Buffer < 0 || v.Buffer >= len(g.doc.Buffers) {
		return fail("its buffer does not exist; export it again")
	}
	if v.Buffer != 0 || g.doc.Buffers[0].URI != "" {
		return fail("its numbers are kept outside the file; export it as one .glb file with everything inside")
	}
	stride := v.ByteStride
	if stride == 0 {
		stride = width
	}
	size := uint64(len(g.bin))
	if stride < width || stride > math.MaxUint16 {
		return fail("its stride of %d bytes is wrong; export it again", stride)
	}
	if v.ByteOffset > size || v.ByteLength > size-v.ByteOffset || a.ByteOffset > v.ByteLength {
		return fail("it reaches beyond the end of the file; copy or export it again")
	}
	if room := v.ByteLength - a.ByteOffset; a.Count > 0 && (room < width || a.Count-1 > (room-width)/stride) {
		return fail("it claims %d entries, more than its %d bytes hold; copy or export it again", a.Count, room)
	}
	return &glbArray{at: v.ByteOffset + a.ByteOffset, stride: stride, count: a.Count, kind: a.ComponentType}, nil
}
