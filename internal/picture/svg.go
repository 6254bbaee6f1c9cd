package picture

import (
	"math"
	"strconv"
	"strings"
)

// Drawing is a finished picture: an SVG element to stand inside a page, and its size in drawing units.
type Drawing struct {
	SVG  string
	W, H float64
}

// Text is safe to stand in an SVG or HTML text or attribute: marks that mean something there are escaped, characters that XML
// does not allow are dropped.
func Text(s string) string {
	var b strings.Builder
	for _, r := range s {
		switch {
		case r == '&':
			b.WriteString("&amp;")
		case r == '<':
			b.WriteString("&lt;")
		case r == '>':
			b.WriteString("&gt;")
		case r == '"':
			b.WriteString("&#34;")
		case r == '\'':
			b.WriteString("&#39;")
		case r == '\t' || r == '\n' || r == '\r':
			b.WriteByte(' ')
		case r < 0x20, r >= 0x7f && r < 0xa0, r == 0xfffe, r == 0xffff, r == 0xfffd:
		case r >= 0x202a && r <= 0x202e, r >= 0x2066 && r <= 0x2069: // marks that would turn the rest of a line around
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// num writes a coordinate with at most one decimal; a value that is not a number becomes 0 so that no drawing breaks.
func num(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "0"
	}
	t := math.Round(x * 10)
	if t == 0 {
		return "0"
	}
	s := strconv.FormatFloat(t/10, 'f', -1, 64)
	if strings.HasPrefix(s, "0.") {
		return s[1:]
	}
	if strings.HasPrefix(s, "-0.") {
		return "-" + s[2:]
	}
	return s
}

// sheet collects the parts of one SVG element.
type sheet struct {
	strings.Builder
	id    string // prefix of every id inside, so that several drawings may stand in one page
	links bool   // holds links: then it is a group of things to a screen reader, not one image
}

func newSheet(id string) *sheet { return &sheet{id: id} }

// add writes strings as they are.
func (s *sheet) add(parts ...string) {
	for _, p := range parts {
		s.WriteString(p)
	}
}

// attr writes one numeric attribute.
func (s *sheet) attr(name string, v float64) { s.add(" ", name, `="`, num(v), `"`) }

func (s *sheet) line(class string, x1, y1, x2, y2 float64) {
	s.add(`<path class="`, class, `" d="M`, num(x1), " ", num(y1), "L", num(x2), " ", num(y2), `"/>`)
}

func (s *sheet) rect(class string, x, y, w, h float64) {
	s.add(`<rect class="`, class, `"`)
	s.attr("x", x)
	s.attr("y", y)
	s.attr("width", max(0, w))
	s.attr("height", max(0, h))
	s.add("/>")
}

func (s *sheet) circle(class string, x, y, r float64) {
	s.add(`<circle class="`, class, `"`)
	s.attr("cx", x)
	s.attr("cy", y)
	s.attr("r", max(0, r))
	s.add("/>")
}

// text writes a label; anchor is start, middle or end.
func (s *sheet) text(class, anchor string, x, y float64, label string) {
	s.add(`<text class="`, class, `"`)
	s.attr("x", x)
	s.attr("y", y)
	if anchor != "start" {
		s.add(` text-anchor="`, anchor, `"`)
	}
	s.add(">", chem(label), "</text>")
}

// finish wraps the parts into an SVG element with a title and a description for those who do not see it.
func (s *sheet) finish(w, h float64, title, desc string) Drawing {
	var b strings.Builder
	role := "img"
	if s.links {
		role = "group"
	}
	b.WriteString(`<svg xmlns="http://www.w3.org/2000/svg" class="pic" viewBox="0 0 ` + num(w) + " " + num(h) + `" role="` + role + `" aria-labelledby="` + s.id + `-t ` + s.id + `-d">`)
	b.WriteString(`<title id="` + s.id + `-t">` + Text(title) + `</title><desc id="` + s.id + `-d">` + Text(desc) + `</desc>`)
	b.WriteString(s.String())
	b.WriteString("</svg>")
	return Drawing{SVG: b.String(), W: w, H: h}
}

// path builds the d attribute of a path with short relative commands; positions are rounded to a tenth and the rounding never adds up.
type path struct {
	b            []byte
	x, y, sx, sy int // tenths: the pen and the start of the subpath
	last         byte
}

func tenth(v float64) int {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return 0
	}
	return int(math.Round(math.Max(-1e7, math.Min(1e7, v)) * 10))
}

func (p *path) put(cmd byte, vals ...int) {
	if p.last != cmd {
		p.b = append(p.b, cmd)
	}
	for i, v := range vals {
		neg := v < 0
		if neg {
			p.b = append(p.b, '-')
			v = -v
		} else if i > 0 || p.last == cmd {
			p.b = append(p.b, ' ')
		}
		if v%10 == 0 {
			p.b = strconv.AppendInt(p.b, int64(v/10), 10)
			continue
		}
		if v >= 10 {
			p.b = strconv.AppendInt(p.b, int64(v/10), 10)
		}
		p.b = append(p.b, '.', byte('0'+v%10))
	}
	p.last = cmd
}

func (p *path) move(x, y float64) {
	tx, ty := tenth(x), tenth(y)
	p.last = 0
	p.put('M', tx, ty)
	p.x, p.y, p.sx, p.sy = tx, ty, tx, ty
}

func (p *path) lineTo(x, y float64) {
	tx, ty := tenth(x), tenth(y)
	p.put('l', tx-p.x, ty-p.y)
	p.x, p.y = tx, ty
}

func (p *path) quad(cx, cy, x, y float64) {
	tx, ty := tenth(x), tenth(y)
	p.put('q', tenth(cx)-p.x, tenth(cy)-p.y, tx-p.x, ty-p.y)
	p.x, p.y = tx, ty
}

func (p *path) cubic(ax, ay, bx, by, x, y float64) {
	tx, ty := tenth(x), tenth(y)
	p.put('c', tenth(ax)-p.x, tenth(ay)-p.y, tenth(bx)-p.x, tenth(by)-p.y, tx-p.x, ty-p.y)
	p.x, p.y = tx, ty
}

func (p *path) close() {
	p.b = append(p.b, 'z')
	p.last = 'z'
	p.x, p.y = p.sx, p.sy
}

func (p *path) String() string { return string(p.b) }
func (p *path) empty() bool    { return len(p.b) == 0 }

// poly draws a polyline through points, closed when asked.
func (p *path) poly(pts [][2]float64, closed bool) {
	for i, q := range pts {
		if i == 0 {
			p.move(q[0], q[1])
			continue
		}
		p.lineTo(q[0], q[1])
	}
	if closed && len(pts) > 0 {
		p.close()
	}
}

// chem writes escaped text with the figures of common formulas lowered (CO2, NO3, KH2PO4), since the page's fonts have no such characters.
func chem(s string) string {
	marked := lower(Text(s), func(d string) string { return "\x00" + d })
	first, rest, found := strings.Cut(marked, "\x00")
	if !found {
		return first
	}
	var b strings.Builder
	b.WriteString(first)
	for _, part := range strings.Split(rest, "\x00") {
		b.WriteString(`<tspan class="sub" dy="2.5">` + part[:1] + "</tspan>")
		// What follows stands on the line again; a figure that ends the text needs no way back.
		if len(part) > 1 {
			b.WriteString(`<tspan dy="-2.5">` + part[1:] + "</tspan>")
		} else {
			b.WriteString(`<tspan dy="-2.5"></tspan>`)
		}
	}
	return b.String()
}

// formulas are the words whose figures are lowered, longest first.
var formulas = []string{
	"Ca(NO3)2·4H2O", "Mg(NO3)2·6H2O", "CaSO4·2H2O", "CaCl2·2H2O", "MgSO4·7H2O", "MgCl2·6H2O", "FeSO4·7H2O", "MnSO4·H2O", "(NH4)2SO4", "NH4Cl", "Ca(NO3)2", "KH2PO4", "K2HPO4", "Mg(NO3)2", "NaHCO3", "CaCO3", "KHCO3", "K2CO3", "K2SO4", "CaSO4", "MgSO4", "CaCl2", "MgCl2",
	"NH4NO3", "KNO3", "H2O", "H2S", "HCO3", "NH3", "NH4", "NO2", "NO3", "PO4", "SO4", "P2O5", "K2O", "CO2", "O2",
}

// lower passes every figure of a known formula through wrap. The text is already escaped.
func lower(s string, wrap func(string) string) string {
	if !strings.ContainsAny(s, "0123456789") {
		return s
	}
	var b strings.Builder
	for i := 0; i < len(s); {
		f := ""
		if i == 0 || !isWord(s[i-1]) {
			for _, c := range formulas {
				if strings.HasPrefix(s[i:], c) && (i+len(c) == len(s) || !isWord(s[i+len(c)])) {
					f = c
					break
				}
			}
		}
		if f == "" {
			b.WriteByte(s[i])
			i++
			continue
		}
		before := rune(0)
		for _, r := range f {
			// The figure behind the dot of a hydrate counts molecules and stays on the line.
			if r >= '0' && r <= '9' && before != '·' {
				b.WriteString(wrap(string(r)))
			} else {
				b.WriteRune(r)
			}
			before = r
		}
		i += len(f)
	}
	return b.String()
}

func isWord(c byte) bool {
	return c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c == '_' || c >= 0x80
}

// Formulas writes text for an HTML page: escaped, and with the figures of common formulas lowered.
func Formulas(s string) string {
	return lower(Text(s), func(d string) string { return "<sub>" + d + "</sub>" })
}
