package mesh

import (
	"bytes"
	"fmt"
)

// readOBJ reads "v" and "f" lines; polygons are cut into a fan from their first corner. With looks it also reads "vt", "usemtl" and "mtllib" lines and
// colours behind coordinates. Every other line (groups, normals, curves) is passed over. Corners may count back from the last vertex with negative numbers.
func readOBJ(data []byte, looks *looks) (*Mesh, error) {
	vertices, faces, err := countOBJ(data)
	if err != nil {
		return nil, err
	}
	r := &objReader{mesh: &Mesh{Vertices: make([][3]float64, 0, vertices), Faces: make([][3]int32, 0, faces)}, vertices: vertices, lines: lines{rest: data}}
	if looks != nil {
		r.paint = newPaint(looks)
	}
	var joined []byte
	for {
		line, ok := r.lines.next()
		if !ok {
			break
		}
		// A backslash at the end carries the line on.
		if t := bytes.TrimRight(line, "\r \t"); len(t) > 0 && t[len(t)-1] == '\\' {
			joined = append(joined, t[:len(t)-1]...)
			joined = append(joined, ' ')
			continue
		}
		if len(joined) > 0 {
			joined = append(joined, line...)
			line = joined
		}
		if err := r.line(line); err != nil {
			return nil, err
		}
		joined = joined[:0]
	}
	m := r.mesh
	for _, f := range m.Faces {
		for _, v := range f {
			if int(v) >= len(m.Vertices) {
				return nil, fmt.Errorf("a face names vertex %d, but the file has %d vertices; export the mesh again", v+1, len(m.Vertices))
			}
		}
	}
	if r.paint != nil {
		m.Skin = r.paint.skin(m)
	}
	return finish(m)
}

// objReader is an OBJ file being read.
type objReader struct {
	mesh     *Mesh
	vertices int // that the file has
	lines    lines
	paint    *paint // nil when only the shape is wanted
}

func (r *objReader) line(line []byte) error {
	word, rest := field(line)
	switch string(word) {
	case "v":
		p, after, err := parsePoint(r.lines.place, rest)
		if err != nil {
			return err
		}
		if len(r.mesh.Vertices) == MaxVertices {
			return tooManyVertices(r.lines.place(), MaxVertices+1)
		}
		r.mesh.Vertices = append(r.mesh.Vertices, p)
		if r.paint != nil {
			r.paint.vertex(len(r.mesh.Vertices)-1, after)
		}
	case "f":
		return r.face(rest)
	case "vt", "usemtl", "mtllib":
		if r.paint != nil {
			r.paint.line(string(word), rest)
		}
	}
	return nil
}

func (r *objReader) face(rest []byte) error {
	m := r.mesh
	var first, last int32
	var firstUV, lastUV int32
	corners := 0
	for {
		var word []byte
		word, rest = field(rest)
		if len(word) == 0 || word[0] == '#' {
			break
		}
		uv := int32(-1)
		if i := bytes.IndexByte(word, '/'); i >= 0 {
			if r.paint != nil {
				uv = r.paint.place(word[i+1:])
			}
			word = word[:i]
		}
		n, ok := parseInt(word)
		if !ok || n == 0 {
			return fmt.Errorf("%s: %q is not a vertex number; vertices count from 1, or back from −1; export the mesh again", r.lines.place(), clip(word))
		}
		if n < 0 {
			n += int64(len(m.Vertices))
		} else {
			n--
		}
		if n < 0 || n >= int64(r.vertices) {
			return fmt.Errorf("%s: the face names vertex %s, but the file has %d vertices; export the mesh again", r.lines.place(), clip(word), r.vertices)
		}
		v := int32(n)
		corners++
		switch {
		case corners == 1:
			first, firstUV = v, uv
		case corners > 2:
			if len(m.Faces) == MaxFaces {
				return tooManyFaces(r.lines.place(), MaxFaces+1)
			}
			m.Faces = append(m.Faces, [3]int32{first, last, v})
			if r.paint != nil {
				r.paint.face([3]int32{firstUV, lastUV, uv})
			}
		}
		last, lastUV = v, uv
	}
	if corners < 3 {
		return fmt.Errorf("%s: a face needs at least three corners, this one has %d; export the mesh again", r.lines.place(), corners)
	}
	return nil
}

// countOBJ counts vertex and face lines before anything is allocated for them.
func countOBJ(data []byte) (vertices, faces int, err error) {
	l := lines{rest: data}
	for {
		line, ok := l.next()
		if !ok {
			break
		}
		word, _ := field(line)
		if len(word) != 1 {
			continue
		}
		switch word[0] {
		case 'v':
			vertices++
		case 'f':
			faces++
		}
	}
	if vertices > MaxVertices {
		return 0, 0, tooManyVertices("OBJ file", uint64(vertices))
	}
	if faces > MaxFaces {
		return 0, 0, tooManyFaces("OBJ file", uint64(faces))
	}
	return vertices, faces, nil
}

// parseInt reads a whole number of at most 12 digits.
func parseInt(word []byte) (int64, bool) {
	neg := false
	if len(word) > 0 && (word[0] == '-' || word[0] == '+') {
		neg = word[0] == '-'
		word = word[1:]
	}
	if len(word) == 0 || len(word) > 12 {
		return 0, false
	}
	var n int64
	for _, c := range word {
		if c < '0' || c > '9' {
			return 0, false
		}
		n = n*10 + int64(c-'0')
	}
	if neg {
		n = -n
	}
	return n, true
}
