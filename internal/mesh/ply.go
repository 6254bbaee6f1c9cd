package mesh

import (
	"encoding/binary"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// plyType is one of the scalar types of PLY.
type plyType uint8

const (
	plyNone plyType = iota
	plyInt8
	plyUint8
	plyInt16
	plyUint16
	plyInt32
	plyUint32
	plyFloat32
	plyFloat64
)

func plyTypeOf(name string) plyType {
	switch name {
	case "char", "int8":
		return plyInt8
	case "uchar", "uint8":
		return plyUint8
	case "short", "int16":
		return plyInt16
	case "ushort", "uint16":
		return plyUint16
	case "int", "int32":
		return plyInt32
	case "uint", "uint32":
		return plyUint32
	case "float", "float32":
		return plyFloat32
	case "double", "float64":
		return plyFloat64
	}
	return plyNone
}

func (t plyType) size() int {
	switch t {
	case plyInt8, plyUint8:
		return 1
	case plyInt16, plyUint16:
		return 2
	case plyFloat64:
		return 8
	}
	return 4
}

func (t plyType) whole() bool { return t != plyFloat32 && t != plyFloat64 }

type plyProperty struct {
	name  string
	count plyType // type of the length of a list; plyNone for a scalar
	kind  plyType
}

type plyElement struct {
	name       string
	count      uint64
	line       int
	properties []plyProperty
}

// minimum is the fewest bytes one row of the element can take.
func (e *plyElement) minimum(text bool) uint64 {
	var n uint64
	for _, p := range e.properties {
		switch {
		case text:
			n += 2 // a digit and a separator
		case p.count != plyNone:
			n += uint64(p.count.size())
		default:
			n += uint64(p.kind.size())
		}
	}
	return n
}

// plySource yields the values of the body, from text or from bytes.
type plySource struct {
	order binary.ByteOrder // nil for text
	data  []byte           // binary: the whole file
	at    int
	lines lines // text
	line  []byte
}

func (s *plySource) place() string {
	if s.order == nil {
		return s.lines.place()
	}
	return fmt.Sprintf("byte %d", s.at)
}

func (s *plySource) left() uint64 {
	if s.order == nil {
		return uint64(len(s.lines.rest)) + 1 // the last line may lack its end
	}
	return uint64(len(s.data) - s.at)
}

// row makes ready for one row of an element.
func (s *plySource) row(name string) error {
	if s.order != nil {
		return nil
	}
	for {
		line, ok := s.lines.next()
		if !ok {
			return fmt.Errorf("%s: the file ends before the last %s; copy or export it again", s.place(), name)
		}
		if word, _ := field(line); len(word) > 0 {
			s.line = line
			return nil
		}
	}
}

func (s *plySource) value(t plyType) (float64, error) {
	if s.order == nil {
		var word []byte
		word, s.line = field(s.line)
		if len(word) == 0 {
			return 0, fmt.Errorf("%s: the line has too few numbers; export the mesh again", s.place())
		}
		v, ok := parseFloat(word)
		if !ok {
			return 0, fmt.Errorf("%s: %q is not a number; repair the mesh in a mesh editor and export it again", s.place(), clip(word))
		}
		return v, nil
	}
	n := t.size()
	if len(s.data)-s.at < n {
		return 0, fmt.Errorf("byte %d: the file ends too early; copy or export it again", len(s.data))
	}
	b := s.data[s.at:]
	s.at += n
	switch t {
	case plyInt8:
		return float64(int8(b[0])), nil
	case plyUint8:
		return float64(b[0]), nil
	case plyInt16:
		return float64(int16(s.order.Uint16(b))), nil
	case plyUint16:
		return float64(s.order.Uint16(b)), nil
	case plyInt32:
		return float64(int32(s.order.Uint32(b))), nil
	case plyUint32:
		return float64(s.order.Uint32(b)), nil
	case plyFloat32:
		return float32At(s.order, b), nil
	}
	return math.Float64frombits(s.order.Uint64(b)), nil
}

// list reads the length of a list and checks it against what is left of the file.
func (s *plySource) list(p plyProperty) (int, error) {
	at := s.at
	v, err := s.value(p.count)
	if err != nil {
		return 0, err
	}
	if v < 0 || v != math.Trunc(v) || v > float64(s.left())+float64(len(s.line)) {
		s.at = at
		return 0, fmt.Errorf("%s: a list claims %g entries, more than the file can hold; copy or export it again", s.place(), v)
	}
	return int(v), nil
}

// readPLY reads the vertex and face elements of a PLY file, with looks also the colours of vertices; every other element and property is passed over.
func readPLY(data []byte, looks *looks) (*Mesh, error) {
	elements, s, err := plyHeader(data)
	if err != nil {
		return nil, err
	}
	m := &Mesh{}
	var colours [][3]uint8
	facesFrom := -1
	for i := range elements {
		e := &elements[i]
		if len(e.properties) == 0 {
			continue // such rows take no room
		}
		if need := e.minimum(s.order == nil); e.count > s.left()/need {
			return nil, fmt.Errorf("line %d: the header claims %d rows of %q, more than the rest of the file can hold; copy or export it again", e.line, e.count, clip([]byte(e.name)))
		}
		switch e.name {
		case "vertex":
			var tint *[][3]uint8
			if looks != nil {
				tint = &colours
			}
			err = m.readPLYVertices(e, s, tint)
		case "face":
			facesFrom = e.line
			err = m.readPLYFaces(e, s)
		default:
			err = skipPLY(e, s)
		}
		if err != nil {
			return nil, err
		}
	}
	if facesFrom < 0 {
		return nil, fmt.Errorf("the PLY file has no faces, only points; build a surface from the scan before exporting it")
	}
	for _, f := range m.Faces {
		for _, v := range f {
			if int(v) >= len(m.Vertices) {
				return nil, fmt.Errorf("a face names vertex %d, but the file has %d vertices counted from 0; export the mesh again", v, len(m.Vertices))
			}
		}
	}
	if len(colours) == len(m.Vertices) {
		m.Skin = bare(len(m.Faces))
		for i, f := range m.Faces {
			for k, v := range f {
				m.Skin.Corners[i][k].C = colours[v]
			}
		}
	}
	return finish(m)
}

func plyHeader(data []byte) ([]plyElement, *plySource, error) {
	l := lines{rest: data}
	if first, _ := l.next(); strings.TrimSpace(clip(first)) != "ply" {
		return nil, nil, fmt.Errorf("line 1: a PLY file begins with the word ply; export the mesh again")
	}
	s := &plySource{data: data}
	var elements []plyElement
	format := false
	for {
		raw, ok := l.next()
		if !ok {
			return nil, nil, fmt.Errorf("%s: the PLY header has no end_header line; copy or export it again", l.place())
		}
		if len(raw) > 1024 {
			return nil, nil, fmt.Errorf("%s: this line of the PLY header is too long; export the mesh again", l.place())
		}
		words := strings.Fields(string(raw))
		if len(words) == 0 {
			continue
		}
		bad := func() error {
			return fmt.Errorf("%s: %q is not a line of a PLY header; export the mesh again", l.place(), clip(raw))
		}
		switch words[0] {
		case "comment", "obj_info":
		case "format":
			if len(words) != 3 || words[2] != "1.0" {
				return nil, nil, bad()
			}
			format = true
			switch words[1] {
			case "ascii":
			case "binary_little_endian":
				s.order = binary.LittleEndian
			case "binary_big_endian":
				s.order = binary.BigEndian
			default:
				return nil, nil, bad()
			}
		case "element":
			if len(words) != 3 {
				return nil, nil, bad()
			}
			n, err := strconv.ParseUint(words[2], 10, 62)
			if err != nil || len(elements) == 64 {
				return nil, nil, bad()
			}
			elements = append(elements, plyElement{name: words[1], count: n, line: l.number})
		case "property":
			p, ok := plyPropertyOf(words)
			if !ok || len(elements) == 0 {
				return nil, nil, bad()
			}
			e := &elements[len(elements)-1]
			if len(e.properties) == 256 {
				return nil, nil, fmt.Errorf("%s: an element with more than 256 properties cannot be read; export the mesh without them", l.place())
			}
			e.properties = append(e.properties, p)
		case "end_header":
			if !format {
				return nil, nil, fmt.Errorf("%s: the PLY header has no format line; export the mesh again", l.place())
			}
			s.at = len(data) - len(l.rest)
			s.lines = l
			return elements, s, nil
		default:
			return nil, nil, bad()
		}
	}
}

func plyPropertyOf(words []string) (plyProperty, bool) {
	if len(words) == 5 && words[1] == "list" {
		p := plyProperty{name: words[4], count: plyTypeOf(words[2]), kind: plyTypeOf(words[3])}
		return p, p.count != plyNone && p.kind != plyNone && p.count.whole()
	}
	if len(words) == 3 {
		p := plyProperty{name: words[2], kind: plyTypeOf(words[1])}
		return p, p.kind != plyNone
	}
	return plyProperty{}, false
}

// readPLYVertices reads places and, where colours is not nil and the file has them, colours: whole numbers count to 255, others to 1.
func (m *Mesh) readPLYVertices(e *plyElement, s *plySource, colours *[][3]uint8) error {
	place := fmt.Sprintf("line %d", e.line)
	if e.count > MaxVertices {
		return tooManyVertices(place, e.count)
	}
	axis := make([]int, len(e.properties))
	seen := 0
	shade := make([]int, len(e.properties)) // which of red, green and blue, counted from 1
	shades := 0
	for i, p := range e.properties {
		axis[i] = -1
		if k := slices.Index([]string{"red", "green", "blue"}, p.name); k >= 0 && p.count == plyNone && colours != nil {
			shade[i] = k + 1
			shades |= 1 << k
		}
		if k := strings.Index("xyz", p.name); len(p.name) == 1 && k >= 0 && p.count == plyNone {
			axis[i] = k
			seen |= 1 << k
		}
	}
	if seen != 7 {
		return fmt.Errorf("%s: the vertices have no x, y and z; export the mesh again", place)
	}
	m.Vertices = make([][3]float64, 0, e.count)
	for range e.count {
		if err := s.row("vertex"); err != nil {
			return err
		}
		var v [3]float64
		var c [3]uint8
		rowPlace := s.at
		for i, p := range e.properties {
			if p.count != plyNone {
				if err := skipPLYList(p, s); err != nil {
					return err
				}
				continue
			}
			x, err := s.value(p.kind)
			if err != nil {
				return err
			}
			if axis[i] >= 0 {
				v[axis[i]] = x
			}
			if shade[i] > 0 {
				if p.kind.whole() {
					x /= 255
				}
				c[shade[i]-1] = level(x)
			}
		}
		if !usable(v) {
			if s.order != nil {
				return checkPoint(fmt.Sprintf("byte %d", rowPlace), v)
			}
			return checkPoint(s.place(), v)
		}
		m.Vertices = append(m.Vertices, v)
		if shades == 7 {
			*colours = append(*colours, c)
		}
	}
	return nil
}

func (m *Mesh) readPLYFaces(e *plyElement, s *plySource) error {
	which := -1
	for i, p := range e.properties {
		if (p.name == "vertex_indices" || p.name == "vertex_index") && p.count != plyNone && p.kind.whole() {
			which = i
		}
	}
	if which < 0 {
		return fmt.Errorf("line %d: the faces have no list named vertex_indices; export the mesh again", e.line)
	}
	if e.count > MaxFaces {
		return tooManyFaces(fmt.Sprintf("line %d", e.line), e.count)
	}
	m.Faces = make([][3]int32, 0, e.count)
	for range e.count {
		if err := s.row("face"); err != nil {
			return err
		}
		for i, p := range e.properties {
			var err error
			switch {
			case i == which:
				err = m.readPLYFace(p, s)
			case p.count != plyNone:
				err = skipPLYList(p, s)
			default:
				_, err = s.value(p.kind)
			}
			if err != nil {
				return err
			}
		}
	}
	return nil
}

func (m *Mesh) readPLYFace(p plyProperty, s *plySource) error {
	place := s.at
	n, err := s.list(p)
	if err != nil {
		return err
	}
	where := func() string {
		if s.order != nil {
			return fmt.Sprintf("byte %d", place)
		}
		return s.place()
	}
	if n < 3 {
		return fmt.Errorf("%s: a face needs at least three corners, this one has %d; export the mesh again", where(), n)
	}
	var first, last int32
	for k := range n {
		v, err := s.value(p.kind)
		if err != nil {
			return err
		}
		if v < 0 || v >= MaxVertices || v != math.Trunc(v) {
			return fmt.Errorf("%s: %g is not the number of a vertex; export the mesh again", where(), v)
		}
		i := int32(v)
		switch {
		case k == 0:
			first = i
		case k > 1:
			if len(m.Faces) == MaxFaces {
				return tooManyFaces(where(), MaxFaces+1)
			}
			m.Faces = append(m.Faces, [3]int32{first, last, i})
		}
		last = i
	}
	return nil
}

func skipPLY(e *plyElement, s *plySource) error {
	for range e.count {
		if err := s.row(e.name); err != nil {
			return err
		}
		if s.order == nil {
			continue
		}
		for _, p := range e.properties {
			if p.count != plyNone {
				if err := skipPLYList(p, s); err != nil {
					return err
				}
				continue
			}
			if _, err := s.value(p.kind); err != nil {
				return err
			}
		}
	}
	return nil
}

func skipPLYList(p plyProperty, s *plySource) error {
	n, err := s.list(p)
	if err != nil {
		return err
	}
	for range n {
		if _, err := s.value(p.kind); err != nil {
			return err
		}
	}
	return nil
}
