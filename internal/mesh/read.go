package mesh

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"path"
	"strconv"
	"strings"
)

// Limits of what Read accepts. They keep the memory of one mesh within about 500 MB, of one with looks within a gigabyte, for the moment of
// reading; Simplify then leaves what is of use. Our own choice: six million faces are more than a careful scan of one stone has.
const (
	MaxBytes    = 256 << 20 // size of the file, bytes
	MaxFaces    = 6_000_000 // triangles after polygons are cut
	MaxVertices = 9_000_000 // positions, before equal ones are joined; STL holds three per face and is limited by its faces
)

// maxCoordinate bounds coordinates so that products of three of them stay far inside float64. Source: our own choice.
const maxCoordinate = 1e15

// Read reads a mesh from the bytes of an OBJ, STL, PLY or GLB file. Name is used for its extension only; when the content
// plainly says that it is another of the four formats, the content wins. The mesh has at least one face and only finite
// coordinates; nothing else is promised about it: see Inspect. Errors name the line (text) or the byte (binary) and what to do.
//
// Read gives the shape alone; ReadLooks also keeps materials.
func Read(name string, data []byte) (*Mesh, error) { return read(name, data, nil) }

func read(name string, data []byte, looks *looks) (*Mesh, error) {
	if len(data) > MaxBytes {
		return nil, fmt.Errorf("the mesh file is %d MB, more than the %d MB that can be read; reduce the number of faces in a mesh editor and export it again", len(data)>>20, MaxBytes>>20)
	}
	if len(data) == 0 {
		return nil, fmt.Errorf("the mesh file is empty; export it again")
	}
	switch format(name, data) {
	case "obj":
		return readOBJ(data, looks)
	case "stl":
		return readSTL(data)
	case "ply":
		return readPLY(data, looks)
	case "glb":
		return readGLB(data, looks)
	case "gltf":
		return nil, fmt.Errorf("this is a glTF file in text form, which keeps its numbers in other files; export it as one binary .glb file")
	}
	return nil, fmt.Errorf("the file is none of the mesh formats that can be read (OBJ, STL, PLY, GLB); export it as one of these")
}

func format(name string, data []byte) string {
	switch {
	case bytes.HasPrefix(data, []byte("glTF")):
		return "glb"
	case bytes.HasPrefix(data, []byte("ply\n")), bytes.HasPrefix(data, []byte("ply\r")):
		return "ply"
	case isBinarySTL(data):
		return "stl"
	}
	switch ext := strings.TrimPrefix(strings.ToLower(path.Ext(name)), "."); ext {
	case "obj", "stl", "ply", "glb", "gltf":
		return ext
	}
	if bytes.HasPrefix(data, []byte("solid")) {
		return "stl"
	}
	head := data[:min(len(data), 4096)]
	if bytes.HasPrefix(head, []byte("v ")) || bytes.Contains(head, []byte("\nv ")) {
		return "obj"
	}
	return ""
}

// tooManyFaces is the refusal shared by all readers.
func tooManyFaces(place string, n uint64) error {
	return fmt.Errorf("%s: the mesh has %d faces, more than the %d that can be read; simplify it in a mesh editor to fewer and export it again; %d are as many as are of use", place, n, MaxFaces, Enough)
}

func tooManyVertices(place string, n uint64) error {
	return fmt.Errorf("%s: the mesh has %d vertices, more than the %d that can be read; simplify it in a mesh editor to fewer and export it again", place, n, MaxVertices)
}

func checkPoint(place string, p [3]float64) error {
	for k, v := range p {
		if math.IsNaN(v) || math.IsInf(v, 0) || math.Abs(v) > maxCoordinate {
			return fmt.Errorf("%s: the %c coordinate is not a usable number; repair the mesh in a mesh editor and export it again", place, "xyz"[k])
		}
	}
	return nil
}

// lines walks text line by line without copying it.
type lines struct {
	rest   []byte
	number int // of the line last returned, from 1
}

func (l *lines) next() (line []byte, ok bool) {
	if len(l.rest) == 0 {
		return nil, false
	}
	l.number++
	if i := bytes.IndexByte(l.rest, '\n'); i >= 0 {
		line, l.rest = l.rest[:i], l.rest[i+1:]
	} else {
		line, l.rest = l.rest, nil
	}
	return line, true
}

func (l *lines) place() string { return fmt.Sprintf("line %d", l.number) }

// field splits the first blank-separated word off line.
func field(line []byte) (word, rest []byte) {
	i := 0
	for i < len(line) && isBlank(line[i]) {
		i++
	}
	j := i
	for j < len(line) && !isBlank(line[j]) {
		j++
	}
	return line[i:j], line[j:]
}

func isBlank(c byte) bool { return c == ' ' || c == '\t' || c == '\r' || c == '\v' || c == '\f' }

// powersOfTen are exact in float64, as are integers below 2^53; one division or product of two exact numbers is
// correctly rounded (Clinger 1990, "How to read floating point numbers accurately").
var powersOfTen = [...]float64{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// parseFloat reads a plain decimal number; words such as "nan" and "inf" are not numbers. Short numbers, which is
// nearly all of them, take a fast road without a copy.
func parseFloat(word []byte) (float64, bool) {
	i, neg := 0, false
	if i < len(word) && (word[i] == '-' || word[i] == '+') {
		neg = word[i] == '-'
		i++
	}
	var mantissa uint64
	digits, point := 0, -1
	for ; i < len(word); i++ {
		c := word[i]
		if c == '.' && point < 0 {
			point = digits
			continue
		}
		if c < '0' || c > '9' {
			break
		}
		if mantissa > (1<<53)/10-1 {
			return slowFloat(word)
		}
		mantissa = mantissa*10 + uint64(c-'0')
		digits++
	}
	if digits == 0 {
		return 0, false
	}
	exponent := 0
	if point >= 0 {
		exponent = point - digits
	}
	if i < len(word) {
		if word[i] != 'e' && word[i] != 'E' {
			return 0, false
		}
		e, ok := parseInt(word[i+1:])
		if !ok || e > 22 || e < -22 {
			return slowFloat(word)
		}
		exponent += int(e)
	}
	if exponent < -22 || exponent > 22 {
		return slowFloat(word)
	}
	v := float64(mantissa)
	if exponent < 0 {
		v /= powersOfTen[-exponent]
	} else {
		v *= powersOfTen[exponent]
	}
	if neg {
		v = -v
	}
	return v, true
}

func slowFloat(word []byte) (float64, bool) {
	for _, c := range word {
		if (c < '0' || c > '9') && c != '.' && c != '-' && c != '+' && c != 'e' && c != 'E' {
			return 0, false
		}
	}
	v, err := strconv.ParseFloat(string(word), 64)
	return v, err == nil && !math.IsInf(v, 0)
}

// parsePoint reads three numbers from the start of rest.
func parsePoint(place func() string, rest []byte) (p [3]float64, after []byte, err error) {
	var word []byte
	for k := range 3 {
		word, rest = field(rest)
		if len(word) == 0 {
			return p, nil, fmt.Errorf("%s: a vertex needs three numbers; export the mesh again", place())
		}
		v, ok := parseFloat(word)
		if !ok {
			return p, nil, fmt.Errorf("%s: %q is not a number; repair the mesh in a mesh editor and export it again", place(), clip(word))
		}
		p[k] = v
	}
	for _, v := range p {
		if math.Abs(v) > maxCoordinate {
			return p, nil, checkPoint(place(), p)
		}
	}
	return p, rest, nil
}

// clip keeps a quoted word short in an error.
func clip(word []byte) string {
	if len(word) > 24 {
		return string(word[:24]) + "…"
	}
	return string(word)
}

// finish refuses a freshly read mesh that has no faces.
func finish(m *Mesh) (*Mesh, error) {
	if len(m.Faces) == 0 {
		return nil, fmt.Errorf("the file holds no faces; export a surface made of triangles or polygons, not points, lines or curves")
	}
	return m, nil
}

func float32At(order binary.ByteOrder, b []byte) float64 {
	return float64(math.Float32frombits(order.Uint32(b)))
}
