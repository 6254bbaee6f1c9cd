package mesh

import (
	"encoding/binary"
	"math"
	"strconv"
)

// OBJ returns the mesh as the text of an OBJ file that Read gives back exactly.
func (m *Mesh) OBJ() []byte {
	out := make([]byte, 0, 40*len(m.Vertices)+24*len(m.Faces))
	for _, p := range m.Vertices {
		out = append(out, 'v')
		for _, x := range p {
			out = append(out, ' ')
			out = strconv.AppendFloat(out, x, 'g', -1, 64)
		}
		out = append(out, '\n')
	}
	for _, f := range m.Faces {
		out = append(out, 'f')
		for _, v := range f {
			out = append(out, ' ')
			out = strconv.AppendInt(out, int64(v)+1, 10)
		}
		out = append(out, '\n')
	}
	return out
}

// STL returns the mesh as a binary STL file; positions are rounded to float32.
func (m *Mesh) STL() []byte {
	out := make([]byte, 80, stlHeader+stlFacet*len(m.Faces))
	out = binary.LittleEndian.AppendUint32(out, uint32(len(m.Faces)))
	for _, f := range m.Faces {
		a, b, c := m.Vertices[f[0]], m.Vertices[f[1]], m.Vertices[f[2]]
		n := cross(sub(b, a), sub(c, a))
		if l := norm(n); l > 0 {
			n = scale(n, 1/l)
		}
		for _, p := range [4][3]float64{n, a, b, c} {
			for _, x := range p {
				out = binary.LittleEndian.AppendUint32(out, math.Float32bits(float32(x)))
			}
		}
		out = append(out, 0, 0)
	}
	return out
}
