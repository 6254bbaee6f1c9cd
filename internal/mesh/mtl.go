package mesh

import (
	"bytes"
	"strings"
)

// paint gathers the looks of an OBJ file.
type paint struct {
	*looks
	uv        [][2]float32
	colours   [][3]uint8 // of vertices; empty until one has a colour
	faces     [][3]int32 // places on pictures of each face's corners; −1 for none
	material  []uint16
	materials []Material
	number    map[string]uint16
	now       uint16
	libraries map[string]bool
}

func newPaint(l *looks) *paint {
	return &paint{looks: l, materials: []Material{{Name: "plain", Colour: white}}, number: map[string]uint16{}, libraries: map[string]bool{}}
}

// vertex takes the colour that may stand behind the coordinates of vertex n.
func (p *paint) vertex(n int, rest []byte) {
	var c [3]float64
	for k := range 3 {
		var word []byte
		word, rest = field(rest)
		v, ok := parseFloat(word)
		if !ok {
			return
		}
		c[k] = v
	}
	if max(c[0], c[1], c[2]) > 1 { // some programs count to 255
		for k := range 3 {
			c[k] /= 255
		}
	}
	for len(p.colours) < n {
		p.colours = append(p.colours, white)
	}
	p.colours = append(p.colours, [3]uint8{level(c[0]), level(c[1]), level(c[2])})
}

// line takes a line that says something of looks.
func (p *paint) line(word string, rest []byte) {
	switch word {
	case "vt":
		if len(p.uv) == MaxVertices {
			return
		}
		var t [2]float32
		for k := range 2 {
			var w []byte
			w, rest = field(rest)
			if v, ok := parseFloat(w); ok && v > -1e6 && v < 1e6 {
				t[k] = float32(v)
			}
		}
		p.uv = append(p.uv, [2]float32{t[0], 1 - t[1]}) // the format counts from the lower edge
	case "usemtl":
		name := string(bytes.TrimSpace(rest))
		n, ok := p.number[name]
		if !ok {
			n = p.add(Material{Name: name, Colour: white})
		}
		p.now = n
	case "mtllib":
		name := siblingName(string(rest))
		if p.libraries[name] || len(p.libraries) == maxImages {
			return
		}
		p.libraries[name] = true
		if data, ok := p.file(name, "material file"); ok {
			if len(data) > maxMTLBytes {
				p.warn("The material file %s has more than 1 MB and is not used; export the mesh again with its materials alone.", clip([]byte(name)))
				return
			}
			p.library(name, data)
		}
	}
}

// add makes a material known; its number is 0 when there are too many.
func (p *paint) add(m Material) uint16 {
	if len(p.materials) == maxMaterials {
		p.warn("The mesh has more than %d materials, and only the first are used; join them in a mesh editor.", maxMaterials)
		return 0
	}
	n := uint16(len(p.materials))
	p.materials, p.number[m.Name] = append(p.materials, m), n
	return n
}

// library reads an MTL file: names, diffuse colours (Kd) and their pictures (map_Kd).
func (p *paint) library(file string, data []byte) {
	l := lines{rest: bytes.TrimPrefix(data, []byte("\uFEFF"))}
	now := -1
	for {
		line, ok := l.next()
		if !ok {
			return
		}
		word, rest := field(line)
		switch string(word) {
		case "newmtl":
			name := string(bytes.TrimSpace(rest))
			n, known := p.number[name]
			if !known {
				n = p.add(Material{Name: name, Colour: white})
			}
			now = int(n)
			if n == 0 {
				now = -1
			}
		case "Kd":
			var c [3]uint8
			sound := now >= 0
			for k := range 3 {
				var w []byte
				w, rest = field(rest)
				v, ok := parseFloat(w)
				sound = sound && ok
				c[k] = level(v)
			}
			if sound {
				p.materials[now].Colour = c
			}
		case "map_Kd":
			name := mapName(rest)
			if now < 0 || name == "" {
				continue
			}
			if i := strings.LastIndexByte(file, '/'); i >= 0 { // names count from the material file
				name = siblingName(file[:i+1] + name)
			}
			if im := p.picture(name); im != nil {
				p.materials[now].Image = im
				if p.materials[now].Colour == [3]uint8{} {
					p.materials[now].Colour = white // black beside a picture is an exporter's default, not a colour
				}
			}
		}
	}
}

// mapName is the file name behind the options of a map line.
func mapName(rest []byte) string {
	one := map[string]bool{"-blendu": true, "-blendv": true, "-boost": true, "-texres": true, "-clamp": true, "-bm": true, "-imfchan": true, "-type": true, "-cc": true}
	for {
		word, after := field(rest)
		switch w := string(word); {
		case one[w]:
			_, rest = field(after)
		case w == "-mm", w == "-o", w == "-s", w == "-t":
			rest = after
			for range 3 {
				number, behind := field(rest)
				if _, ok := parseFloat(number); !ok {
					break
				}
				rest = behind
			}
		default:
			if len(word) == 0 {
				return ""
			}
			return siblingName(string(rest))
		}
	}
}

// place reads the number of a place on the picture out of what stands behind the first stroke of a corner; −1 for none.
func (p *paint) place(word []byte) int32 {
	if i := bytes.IndexByte(word, '/'); i >= 0 {
		word = word[:i]
	}
	n, ok := parseInt(word)
	switch {
	case !ok || n == 0:
		return -1
	case n < 0:
		n += int64(len(p.uv))
	default:
		n--
	}
	if n < 0 || n >= MaxVertices {
		return -1
	}
	return int32(n)
}

func (p *paint) face(uv [3]int32) {
	p.faces, p.material = append(p.faces, uv), append(p.material, p.now)
}

// skin is what was gathered; nil when it says nothing.
func (p *paint) skin(m *Mesh) *Skin {
	used := len(p.colours) > 0
	for _, n := range p.material {
		if n > 0 && (p.materials[n].Image != nil || p.materials[n].Colour != white) {
			used = true
			break
		}
	}
	if !used {
		return nil
	}
	s := &Skin{Corners: make([][3]Corner, len(m.Faces)), Material: p.material, Materials: p.materials}
	lost := false
	for i, f := range m.Faces {
		for k, v := range f {
			c := &s.Corners[i][k]
			c.C = white
			if int(v) < len(p.colours) {
				c.C = p.colours[v]
			}
			if t := p.faces[i][k]; t >= 0 && int(t) < len(p.uv) {
				c.U, c.V = p.uv[t][0], p.uv[t][1]
			} else if p.materials[p.material[i]].Image != nil {
				lost = true
			}
		}
	}
	if lost {
		p.warn("Some faces with a picture do not say which part of it they show, and take its corner; unwrap the mesh in a mesh editor and export it again with texture coordinates.")
	}
	return s
}
