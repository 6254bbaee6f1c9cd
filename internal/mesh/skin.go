package mesh

import (
	"bytes"
	"fmt"
	"image"
	"image/draw"
	_ "image/jpeg" // the two kinds of pictures that meshes carry
	_ "image/png"
	"math"
	"path"
	"strings"
)

// Skin is how a mesh looks: for each of its faces a material and, at each corner, a place on the material's picture and a colour.
type Skin struct {
	Corners   [][3]Corner // of each face of the mesh, in its order
	Material  []uint16    // of each face, a number in Materials
	Materials []Material  // at least one; shared between copies of a mesh and never changed
}

// Corner is how one corner of one face looks.
type Corner struct {
	U, V float32  // place on the picture: 0 to 1 from its left and from its upper edge; beyond that it repeats
	C    [3]uint8 // colour by which the material's is multiplied in linear light, sRGB; white where the file has none
}

// Material is a colour and, where there is one, a picture by which it is multiplied in linear light.
type Material struct {
	Name   string
	Colour [3]uint8 // sRGB
	Image  *Image   // nil for a plain colour
}

// Image is a picture of at most ImageSide pixels a side, opaque. It is read-only.
type Image struct {
	Name   string
	Pixels *image.RGBA
}

// Bounds of what a mesh may bring for its looks, our own choice. A picture of 2048 pixels on a stone of 60 cm resolves a third of a
// millimetre, several times finer than any view of a tank.
const (
	ImageSide     = 2048     // pixels a side that are kept
	maxImageBytes = 64 << 20 // of a packed picture
	maxImageArea  = 8192 * 8192
	maxImages     = 16
	maxMaterials  = 256
	maxMTLBytes   = 1 << 20
)

// Beside gives the bytes of a file that a mesh names, by the name as the mesh writes it, with / between folders.
type Beside func(name string) ([]byte, error)

// ReadLooks reads a mesh as Read does and keeps how it looks: vertex colours, materials' colours and their pictures, of OBJ files with
// their MTL, of PLY files (colours only) and of GLB files with pictures inside. A mesh that says nothing of its looks has no Skin. What is named
// but cannot be had is left out and told: one sentence each, with the cure. Only beside opens anything; it may be nil.
//
// Formats: Wavefront OBJ and MTL (from memory of their published descriptions; colours after the coordinates of a vertex are a common extension);
// glTF 2.0 specification, sections 3.7.2 and 3.9; PNG and JPEG pictures.
func ReadLooks(name string, data []byte, beside Beside) (*Mesh, []string, error) {
	l := &looks{beside: beside, images: map[string]*Image{}, told: map[string]bool{}}
	m, err := read(name, data, l)
	if err != nil {
		return nil, nil, err
	}
	return m, l.warnings, nil
}

// looks gathers materials and pictures while a mesh is read. A nil one gathers nothing.
type looks struct {
	beside   Beside
	images   map[string]*Image // by name; nil for one that could not be had
	warnings []string
	told     map[string]bool
}

// warn tells a thing once, and not more than a person would read.
func (l *looks) warn(format string, args ...any) {
	s := fmt.Sprintf(format, args...)
	if !l.told[s] && len(l.warnings) < 8 {
		l.told[s] = true
		l.warnings = append(l.warnings, s)
	}
}

// file gives the bytes of a file beside the mesh; it warns when it cannot be had.
func (l *looks) file(name, what string) (data []byte, ok bool) {
	if l.beside == nil {
		l.warn("The %s %s is kept beside the mesh and cannot be opened here; read the plan from its folder.", what, clip([]byte(name)))
		return nil, false
	}
	data, err := l.beside(name)
	if err != nil {
		l.warn("The %s %s could not be read: %v. Put it beside the mesh under this name, or export the mesh as one .glb file with its pictures inside.", what, clip([]byte(name)), err)
		return nil, false
	}
	return data, true
}

// picture gives a picture of a file beside the mesh, once.
func (l *looks) picture(name string) *Image {
	if im, known := l.images[name]; known {
		return im
	}
	l.images[name] = nil
	if data, ok := l.file(name, "picture"); ok {
		l.unpack(name, data)
	}
	return l.images[name]
}

// unpack reads a packed picture and keeps it under a name.
func (l *looks) unpack(name string, data []byte) *Image {
	if len(l.images) > maxImages {
		l.warn("The mesh has more than %d pictures, and only the first are used; join them into one in a mesh editor.", maxImages)
		return nil
	}
	pixels, err := unpackImage(data)
	if err != nil {
		l.warn("The picture %s cannot be used: %v.", clip([]byte(name)), err)
		l.images[name] = nil
		return nil
	}
	im := &Image{Name: name, Pixels: pixels}
	l.images[name] = im
	return im
}

// unpackImage reads a PNG or JPEG picture and brings it to at most ImageSide a side.
func unpackImage(data []byte) (*image.RGBA, error) {
	if len(data) > maxImageBytes {
		return nil, fmt.Errorf("it has %d MB, more than the %d MB that are read; make it smaller", len(data)>>20, maxImageBytes>>20)
	}
	head, kind, err := image.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("it is neither a PNG nor a JPEG picture, or it is damaged; save it as one of these")
	}
	if head.Width < 1 || head.Height < 1 || head.Width > maxImageArea/head.Height {
		return nil, fmt.Errorf("its %d by %d pixels are too many; make it smaller than 8192 by 8192", head.Width, head.Height)
	}
	img, _, err := image.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("the %s picture is damaged (%w); copy or save it again", strings.ToUpper(kind), err)
	}
	return shrink(img), nil
}

// shrink brings a picture to at most ImageSide a side by whole steps, each pixel the mean of those it stands for.
func shrink(img image.Image) *image.RGBA {
	b := img.Bounds()
	step := max(1, (max(b.Dx(), b.Dy())+ImageSide-1)/ImageSide)
	w, h := (b.Dx()+step-1)/step, (b.Dy()+step-1)/step
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	row := image.NewRGBA(image.Rect(0, 0, b.Dx(), step))
	for y := range h {
		rows := min(step, b.Dy()-y*step)
		// What is not opaque shows mid grey, as paint on stone would.
		draw.Draw(row, row.Bounds(), image.NewUniform(middleGrey), image.Point{}, draw.Src)
		draw.Draw(row, image.Rect(0, 0, b.Dx(), rows), img, image.Pt(b.Min.X, b.Min.Y+y*step), draw.Over)
		for x := range w {
			var sum [3]int
			cols := min(step, b.Dx()-x*step)
			for j := range rows {
				p := row.Pix[j*row.Stride+x*step*4:]
				for i := range cols {
					for k := range 3 {
						sum[k] += int(p[4*i+k])
					}
				}
			}
			o := out.Pix[y*out.Stride+4*x:]
			for k := range 3 {
				o[k] = uint8((sum[k] + rows*cols/2) / (rows * cols))
			}
			o[3] = 255
		}
	}
	return out
}

var middleGrey = grey{}

// grey is a fixed colour.
type grey struct{}

func (grey) RGBA() (r, g, b, a uint32) { return 0x7777, 0x7777, 0x7777, 0xffff }

// siblingName makes a name in a mesh's own words one that can be opened beside it: slashes of one kind, and of a place on somebody else's disk only the
// last part.
func siblingName(name string) string {
	name = strings.TrimSpace(strings.ReplaceAll(name, `\`, "/"))
	if strings.HasPrefix(name, "/") || len(name) > 1 && name[1] == ':' {
		return path.Base(name)
	}
	return path.Clean(name)
}

// white is a corner of which the file says nothing.
var white = [3]uint8{255, 255, 255}

// bare is a skin of white corners for so many faces.
func bare(faces int) *Skin {
	s := &Skin{Corners: make([][3]Corner, faces), Material: make([]uint16, faces), Materials: []Material{{Name: "plain", Colour: white}}}
	for i := range s.Corners {
		for k := range 3 {
			s.Corners[i][k].C = white
		}
	}
	return s
}

// clone copies what belongs to faces; materials are shared.
func (s *Skin) clone() *Skin {
	if s == nil {
		return nil
	}
	return &Skin{Corners: append([][3]Corner(nil), s.Corners...), Material: append([]uint16(nil), s.Material...), Materials: s.Materials}
}

// turnFace makes face i run the other way round.
func (m *Mesh) turnFace(i int) {
	m.Faces[i][1], m.Faces[i][2] = m.Faces[i][2], m.Faces[i][1]
	if m.Skin != nil {
		c := &m.Skin.Corners[i]
		c[1], c[2] = c[2], c[1]
	}
}

// appendSkin lays the skin of o beside that of m, whose faces are already joined: before is how many m had.
func (m *Mesh) appendSkin(o *Mesh, before int) {
	if m.Skin == nil && o.Skin == nil {
		return
	}
	a, b := m.Skin, o.Skin
	if a == nil {
		a = bare(before)
	}
	if b == nil {
		b = bare(len(o.Faces))
	}
	s := &Skin{
		Corners:   append(append([][3]Corner(nil), a.Corners...), b.Corners...),
		Material:  append([]uint16(nil), a.Material...),
		Materials: append(append([]Material(nil), a.Materials...), b.Materials...),
	}
	for _, n := range b.Material {
		s.Material = append(s.Material, n+uint16(len(a.Materials)))
	}
	m.Skin = s
}

// dress gives faces that were added behind the first n the looks of a face beside them, one spot of it for the whole face: nobody has seen
// what they stand for.
func (m *Mesh) dress(n int) {
	if m.Skin == nil {
		return
	}
	at := map[int32][2]int32{}
	for _, f := range m.Faces[n:] {
		at[f[0]] = [2]int32{-1, 0}
	}
	for i, f := range m.Faces[:n] {
		for k, v := range f {
			if have, wanted := at[v]; wanted && have[0] < 0 {
				at[v] = [2]int32{int32(i), int32(k)}
			}
		}
	}
	for _, f := range m.Faces[n:] {
		from := at[f[0]]
		c, material := Corner{C: white}, uint16(0)
		if from[0] >= 0 {
			c, material = m.Skin.Corners[from[0]][from[1]], m.Skin.Material[from[0]]
		}
		m.Skin.Corners = append(m.Skin.Corners, [3]Corner{c, c, c})
		m.Skin.Material = append(m.Skin.Material, material)
	}
}

// toSRGB packs a share of linear light into a level of sRGB (IEC 61966-2-1).
func toSRGB(v float64) uint8 {
	v = max(0, min(1, v))
	if v <= .0031308 {
		v *= 12.92
	} else {
		v = 1.055*math.Pow(v, 1/2.4) - .055
	}
	return uint8(math.Round(255 * v))
}

// level packs a share of sRGB, as OBJ and MTL files have it by common practice; NaN is none.
func level(v float64) uint8 {
	if !(v > 0) {
		return 0
	}
	return uint8(math.Round(255 * min(1, v)))
}
