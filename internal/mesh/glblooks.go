package mesh

import (
	"encoding/base64"
	"encoding/binary"
	"fmt"
	"math"
	"strings"
)

// dress is a material of a GLB file as it was brought into the skin.
type dress struct {
	material   uint16
	coordinate int // which set of places on the picture it uses
}

// glbLook gives the looks of one primitive's vertices.
type glbLook struct {
	material   uint16
	uv, colour *glbArray // nil for none
}

// look finds the looks of a primitive. What is wrong with them is told, and the shape is used without them.
func (g *glbReader) look(material *int, attributes map[string]int, count uint64, place string) *glbLook {
	l := &glbLook{}
	var d dress
	if material != nil {
		d = g.dress(*material)
		l.material = d.material
	}
	m := &g.mesh.Skin.Materials[l.material]
	if n, ok := attributes[fmt.Sprintf("TEXCOORD_%d", d.coordinate)]; ok && m.Image != nil {
		a, err := g.accessor(place, n, "VEC2")
		if err != nil || a.count < count || a.kind == 5125 {
			g.looks.warn("Places on the picture %s cannot be read; export the mesh again.", clip([]byte(m.Image.Name)))
		} else {
			l.uv = a
		}
	} else if m.Image != nil {
		g.looks.warn("Some faces with the picture %s do not say which part of it they show, and take its corner; unwrap the mesh in a mesh editor and export it again with texture coordinates.", clip([]byte(m.Image.Name)))
	}
	if n, ok := attributes["COLOR_0"]; ok && n >= 0 && n < len(g.doc.Accessors) {
		shape := g.doc.Accessors[n].Type
		a, err := g.accessor(place, n, shape)
		if err != nil || a.count < count || a.kind == 5125 || shape != "VEC3" && shape != "VEC4" {
			g.looks.warn("The colours of some vertices cannot be read; export the mesh again.")
		} else {
			l.colour = a
		}
	}
	if l.colour != nil || m.Image != nil || m.Colour != white {
		g.looked = true
	}
	return l
}

// corner is how vertex v looks.
func (l *glbLook) corner(bin []byte, v uint64) Corner {
	c := Corner{C: white}
	if l.uv != nil {
		b := bin[l.uv.at+v*l.uv.stride:]
		c.U, c.V = float32(share(b, 0, l.uv.kind)), float32(share(b, 1, l.uv.kind))
	}
	if l.colour != nil {
		b := bin[l.colour.at+v*l.colour.stride:]
		for k := range 3 {
			c.C[k] = toSRGB(share(b, k, l.colour.kind))
		}
	}
	return c
}

// share reads the number at place k of an element: a float, or a whole number that counts as a share of the largest of its kind. What is not usable is 0.
func share(b []byte, k, kind int) float64 {
	switch kind {
	case 5121:
		return float64(b[k]) / math.MaxUint8
	case 5123:
		return float64(binary.LittleEndian.Uint16(b[2*k:])) / math.MaxUint16
	}
	if v := float32At(binary.LittleEndian, b[4*k:]); v > -1e6 && v < 1e6 {
		return v
	}
	return 0
}

// dress brings a material into the skin, once. A plain one stands for those that cannot be had.
func (g *glbReader) dress(n int) dress {
	if d, ok := g.dresses[n]; ok {
		return d
	}
	if n < 0 || n >= len(g.doc.Materials) || len(g.mesh.Skin.Materials) == maxMaterials {
		g.looks.warn("Some materials of the GLB file are not there or are more than %d; export it again.", maxMaterials)
		return dress{}
	}
	from := &g.doc.Materials[n]
	m := Material{Name: from.Name, Colour: white}
	if f := from.PBR.Colour; len(f) >= 3 {
		for k := range 3 {
			m.Colour[k] = toSRGB(f[k])
		}
	}
	d := dress{material: uint16(len(g.mesh.Skin.Materials))}
	if t := from.PBR.Texture; t != nil {
		if t.Coordinate > 0 && t.Coordinate < 8 {
			d.coordinate = t.Coordinate
		}
		if strings.Contains(string(t.Extensions), "KHR_texture_transform") {
			g.looks.warn("The material %s shifts or turns its picture, which is not read; apply the shift in a mesh editor and export it again.", clip([]byte(from.Name)))
		}
		if t.Index >= 0 && t.Index < len(g.doc.Textures) && g.doc.Textures[t.Index].Source != nil {
			m.Image = g.image(*g.doc.Textures[t.Index].Source)
		} else {
			g.looks.warn("The picture of the material %s is of a kind that is not read; export the file with PNG or JPEG pictures.", clip([]byte(from.Name)))
		}
	}
	g.mesh.Skin.Materials = append(g.mesh.Skin.Materials, m)
	if g.dresses == nil {
		g.dresses = map[int]dress{}
	}
	g.dresses[n] = d
	return d
}

// image unpacks a picture of the file, once.
func (g *glbReader) image(n int) *Image {
	key := fmt.Sprintf("%d", n)
	if im, known := g.looks.images[key]; known {
		return im
	}
	if n < 0 || n >= len(g.doc.Images) {
		g.looks.warn("A picture of the GLB file is not there; export it again.")
		return nil
	}
	from := &g.doc.Images[n]
	name := from.Name
	if name == "" {
		name = fmt.Sprintf("number %d", n+1)
	}
	var data []byte
	switch {
	case from.View != nil && *from.View >= 0 && *from.View < len(g.doc.BufferViews):
		v := &g.doc.BufferViews[*from.View]
		if size := uint64(len(g.bin)); v.Buffer != 0 || v.ByteOffset > size || v.ByteLength > size-v.ByteOffset {
			g.looks.warn("The picture %s reaches beyond the end of the file; copy or export it again.", clip([]byte(name)))
			return nil
		}
		data = g.bin[v.ByteOffset : v.ByteOffset+v.ByteLength]
	case strings.HasPrefix(from.URI, "data:"):
		_, packed, ok := strings.Cut(from.URI, ";base64,")
		var err error
		if data, err = base64.StdEncoding.DecodeString(packed); !ok || err != nil {
			g.looks.warn("The picture %s inside the GLB file is damaged; export it again.", clip([]byte(name)))
			return nil
		}
	default:
		if from.URI == "" {
			g.looks.warn("The picture %s is not in the file; export it again with its pictures inside.", clip([]byte(name)))
			return nil
		}
		return g.looks.picture(siblingName(from.URI))
	}
	im := g.looks.unpack(key, data)
	if im != nil {
		im.Name = name
	}
	return im
}
