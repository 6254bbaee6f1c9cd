package sheets

import (
	"littoral/internal/picture"
	"math"
	"strconv"
	"strings"
)

// SVG writes a page as a file of its own, in millimetres.
func (p *Page) SVG() []byte {
	var b strings.Builder
	b.WriteString(`<svg xmlns="http://www.w3.org/2000/svg" width="` + mm(p.W) + `mm" height="` + mm(p.H) + `mm" viewBox="0 0 ` + mm(p.W) + " " + mm(p.H) + `" role="img" aria-label="` + picture.Text(p.Name) + `">`)
	b.WriteString("<title>" + picture.Text(p.Name) + `</title><rect width="100%" height="100%" fill="#FFFFFF"/><g fill="none" stroke-linecap="round" stroke-linejoin="round">`)
	clips, open := 0, 0
	for i := range p.items {
		it := &p.items[i]
		switch it.kind {
		case kindPath:
			b.WriteString(`<path d="` + written(it.steps) + `"`)
			if it.fill != "" {
				b.WriteString(` fill="` + it.fill + `" fill-rule="evenodd"`)
			}
			if it.ink.mm > 0 {
				b.WriteString(` stroke="` + it.ink.colour + `" stroke-width="` + mm(it.ink.mm) + `"`)
				if len(it.ink.dash) > 0 {
					b.WriteString(` stroke-dasharray="`)
					for k, d := range it.ink.dash {
						if k > 0 {
							b.WriteByte(' ')
						}
						b.WriteString(mm(d))
					}
					b.WriteByte('"')
				}
			}
			b.WriteString("/>")
		case kindText:
			b.WriteString("<text ")
			if it.turn == 0 {
				b.WriteString(`x="` + mm(it.x) + `" y="` + mm(it.y) + `"`)
			} else {
				b.WriteString(`transform="translate(` + mm(it.x) + " " + mm(it.y) + ") rotate(" + mm(-it.turn) + `)"`)
			}
			b.WriteString(` fill="` + it.colour + `" font-size="` + mm(it.size) + `" ` + typefaces[it.face].css)
			if it.anchor != start {
				b.WriteString(` text-anchor="` + []string{centre: "middle", end: "end"}[it.anchor] + `"`)
			}
			// The width is that of the packaged font, so that nothing runs over where another one stands in.
			b.WriteString(` textLength="` + mm(width(it.face, it.size, it.text)) + `" lengthAdjust="spacingAndGlyphs">` + picture.Text(it.text) + "</text>")
		case kindClip:
			clips++
			open++
			id := "c" + strconv.Itoa(clips)
			b.WriteString(`<clipPath id="` + id + `"><path d="` + written(it.steps) + `"/></clipPath><g clip-path="url(#` + id + `)">`)
		case kindUnclip:
			if open > 0 {
				open--
				b.WriteString("</g>")
			}
		}
	}
	b.WriteString(strings.Repeat("</g>", open) + "</g></svg>")
	return []byte(b.String())
}

func written(steps []picture.Step) string {
	var b strings.Builder
	for _, s := range steps {
		b.WriteByte(s.Cmd)
		for k := range s.Points() {
			if k > 0 {
				b.WriteByte(' ')
			}
			b.WriteString(mm(s.P[k][0]) + " " + mm(s.P[k][1]))
		}
	}
	return b.String()
}

// mm writes a length to a hundredth of a millimetre; a value that is none becomes 0 so that no drawing breaks.
func mm(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "0"
	}
	v := math.Round(x*100) / 100
	if v == 0 {
		return "0"
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}
