package mesh

import (
	"bytes"
	"encoding/binary"
	"fmt"
)

const (
	stlHeader = 84 // bytes: 80 of free text, then the number of triangles
	stlFacet  = 50 // bytes: normal and three corners as float32, then two spare bytes
)

// isBinarySTL trusts arithmetic over the first word: many binary files begin with "solid" too.
func isBinarySTL(data []byte) bool {
	return len(data) >= stlHeader+stlFacet &&
		uint64(len(data)) == stlHeader+stlFacet*uint64(binary.LittleEndian.Uint32(data[80:]))
}

// readSTL reads either kind of STL and joins equal corners into vertices. The normals in the file are passed over: the
// order of the corners says which way a face looks.
func readSTL(data []byte) (*Mesh, error) {
	if !isBinarySTL(data) && bytes.HasPrefix(bytes.TrimLeft(data[:min(len(data), 256)], " \t\r\n"), []byte("solid")) {
		return readTextSTL(data)
	}
	return readBinarySTL(data)
}

func readBinarySTL(data []byte) (*Mesh, error) {
	if len(data) < stlHeader {
		return nil, fmt.Errorf("byte %d: the file ends inside the STL header of %d bytes; copy or export it again", len(data), stlHeader)
	}
	n := uint64(binary.LittleEndian.Uint32(data[80:]))
	have := uint64(len(data)-stlHeader) / stlFacet
	if n > have {
		return nil, fmt.Errorf("byte 80: the STL header claims %d triangles, but the file has room for %d; copy or export it again", n, have)
	}
	if n > MaxFaces {
		return nil, tooManyFaces("byte 80", n)
	}
	m := &Mesh{Faces: make([][3]int32, 0, n)}
	w := newWelder(0, int(n)/2+3)
	for i := range int(n) {
		at := stlHeader + i*stlFacet
		var f [3]int32
		for k := range 3 {
			b := data[at+12+12*k:]
			p := [3]float64{float32At(binary.LittleEndian, b), float32At(binary.LittleEndian, b[4:]), float32At(binary.LittleEndian, b[8:])}
			if !usable(p) {
				return nil, checkPoint(fmt.Sprintf("byte %d", at+12+12*k), p)
			}
			f[k] = w.add(p)
		}
		m.Faces = append(m.Faces, f)
	}
	m.Vertices = w.vertices
	return finish(m)
}

// usable is the quick form of checkPoint; the comparison is false for NaN.
func usable(p [3]float64) bool {
	for _, v := range p {
		if !(v >= -maxCoordinate && v <= maxCoordinate) {
			return false
		}
	}
	return true
}

func readTextSTL(data []byte) (*Mesh, error) {
	// "vertex 0 0 0" and a line end are at least 13 bytes, so the count below cannot be larger than the data bears out.
	if n := uint64(bytes.Count(data, []byte("endfacet"))); n > MaxFaces {
		return nil, tooManyFaces("STL file", n)
	}
	m := &Mesh{}
	w := newWelder(0, 0)
	l := lines{rest: data}
	var f [3]int32
	var lower [16]byte
	corners, inFacet := 0, false
	for {
		line, ok := l.next()
		if !ok {
			break
		}
		word, rest := field(line)
		if len(word) > 16 {
			word = word[:16]
		}
		for i, c := range word { // some programs write capitals
			lower[i] = c | 0x20
		}
		switch string(lower[:len(word)]) {
		case "", "solid", "endsolid", "outer", "endloop":
		case "facet":
			if inFacet {
				return nil, fmt.Errorf("%s: a facet begins before the one above has ended; export the mesh again", l.place())
			}
			inFacet, corners = true, 0
		case "vertex":
			p, _, err := parsePoint(l.place, rest)
			if err != nil {
				return nil, err
			}
			if !inFacet || corners == 3 {
				return nil, fmt.Errorf("%s: this vertex belongs to no triangle; a facet has exactly three; export the mesh again", l.place())
			}
			f[corners] = w.add(p)
			corners++
		case "endfacet":
			if !inFacet || corners != 3 {
				return nil, fmt.Errorf("%s: the facet has %d vertices instead of three; export the mesh again", l.place(), corners)
			}
			if len(m.Faces) == MaxFaces {
				return nil, tooManyFaces(l.place(), MaxFaces+1)
			}
			m.Faces = append(m.Faces, f)
			inFacet = false
		default:
			return nil, fmt.Errorf("%s: %q is not a word of a text STL file; export the mesh again", l.place(), clip(word))
		}
	}
	if inFacet {
		return nil, fmt.Errorf("%s: the file ends inside a facet; copy or export it again", l.place())
	}
	m.Vertices = w.vertices
	return finish(m)
}
