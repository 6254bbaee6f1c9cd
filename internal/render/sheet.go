package render

import (
	"bytes"
	"embed"
	"encoding/base64"
	"fmt"
	"html"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"math"
	"strconv"
	"sync"

	xdraw "golang.org/x/image/draw"
	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// Sheet is a finished plate: pictures, words and lines laid out on a page. SVG and Image give it as a drawing and as pixels.
type Sheet struct {
	name  string // for those who do not see it
	w, h  float64
	paper string
	marks []mark
	scale float64 // pixels for a unit, so that pictures keep theirs
}

// mark is one thing on a sheet, in units of the page.
type mark struct {
	kind       markKind
	x, y, w, h float64 // box; of words their left end and base line
	line       [][2]float64
	colour     string
	width      float64 // of lines
	opaque     float64
	dash       []float64
	face       face
	size       float64
	words      string
	halo       string // colour of an edge round words; empty for none
	image      image.Image
	closed     bool
}

type markKind uint8

const (
	markLine markKind = iota
	markWords
	markImage
)

// face is one of the typefaces of the look.
type face uint8

const (
	serif face = iota
	serifItalic
	serifStrong
	sans
)

// The typefaces of the look, latin subset, under the SIL Open Font License 1.1 (licence texts beside them): from the npm packages @fontsource/source-serif-4
// and @fontsource/source-sans-3, both 5.3.1, unpacked from WOFF.
//
//go:embed fonts/*.ttf
var fontFiles embed.FS

var fonts = sync.OnceValues(func() (out [4]*opentype.Font, err error) {
	for i, name := range []string{"source-serif-4-latin-400-normal", "source-serif-4-latin-400-italic", "source-serif-4-latin-600-normal", "source-sans-3-latin-400-normal"} {
		data, err := fontFiles.ReadFile("fonts/" + name + ".ttf")
		if err != nil {
			return out, err
		}
		if out[i], err = opentype.Parse(data); err != nil {
			return out, fmt.Errorf("the packaged typeface %s cannot be read: %w", name, err)
		}
	}
	return out, nil
})

// setter sets words at one size of a typeface.
func (f face) setter(size float64) (font.Face, error) {
	all, err := fonts()
	if err != nil {
		return nil, err
	}
	return opentype.NewFace(all[f], &opentype.FaceOptions{Size: size, DPI: 72, Hinting: font.HintingNone})
}

// long is how far words reach, in units of the size.
func (f face) long(words string, size float64) float64 {
	s, err := f.setter(100)
	if err != nil { // the typefaces are inside the program; a test reads them
		return .5 * size * float64(len(words))
	}
	return float64(font.MeasureString(s, words)) / 64 * size / 100
}

// frame is the double rule round a picture.
func (s *Sheet) frame(x, y, w, h float64, colour string) {
	for _, r := range [][2]float64{{1, 2}, {5, .8}} {
		o := r[0]
		s.marks = append(s.marks, mark{kind: markLine, line: [][2]float64{{x - o, y - o}, {x + w + o, y - o}, {x + w + o, y + h + o}, {x - o, y + h + o}}, closed: true, colour: colour, width: r[1], opaque: 1})
	}
}

func (s *Sheet) stroke(line [][2]float64, closed bool, colour string, width, opaque float64, dash ...float64) {
	s.marks = append(s.marks, mark{kind: markLine, line: line, closed: closed, colour: colour, width: width, opaque: opaque, dash: dash})
}

// text sets words and returns where they end.
func (s *Sheet) text(f face, size, x, y float64, colour, words string) float64 {
	s.marks = append(s.marks, mark{kind: markWords, x: x, y: y, face: f, size: size, colour: colour, words: words, opaque: 1})
	return x + f.long(words, size)
}

func (s *Sheet) picture(x, y, w, h float64, img image.Image) {
	s.marks = append(s.marks, mark{kind: markImage, x: x, y: y, w: w, h: h, image: img})
	s.scale = min(2, max(s.scale, float64(img.Bounds().Dx())/w))
}

// SVG gives the sheet as one file that needs nothing else, its pictures inside; words are set in the typefaces of the look where they are installed.
func (s *Sheet) SVG() ([]byte, error) {
	var b bytes.Buffer
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %g %.0f" width="%g" height="%.0f" role="img" aria-label="%s">`+"\n", s.w, s.h, s.w, s.h, html.EscapeString(s.name))
	b.WriteString(`<style>.f0,.f1,.f2{font-family:"Source Serif 4",Georgia,serif}.f1{font-style:italic}.f2{font-weight:600}.f3{font-family:"Source Sans 3","Helvetica Neue",Arial,sans-serif;font-variant-numeric:tabular-nums}</style>` + "\n")
	fmt.Fprintf(&b, `<rect width="100%%" height="100%%" fill="%s"/>`+"\n", s.paper)
	for i := range s.marks {
		m := &s.marks[i]
		switch m.kind {
		case markLine:
			b.WriteString(`<path fill="none" d="`)
			for k, p := range m.line {
				c := 'L'
				if k == 0 {
					c = 'M'
				}
				fmt.Fprintf(&b, "%c%.1f %.1f", c, p[0], p[1])
			}
			if m.closed {
				b.WriteByte('Z')
			}
			fmt.Fprintf(&b, `" stroke="%s" stroke-width="%g"`, m.colour, m.width)
			if m.opaque < 1 {
				fmt.Fprintf(&b, ` stroke-opacity="%g"`, m.opaque)
			}
			if len(m.dash) == 2 {
				fmt.Fprintf(&b, ` stroke-dasharray="%g %g"`, m.dash[0], m.dash[1])
			}
			b.WriteString("/>")
		case markWords:
			fmt.Fprintf(&b, `<text class="f%d" x="%.1f" y="%.1f" font-size="%g" fill="%s"`, m.face, m.x, m.y, m.size, m.colour)
			if m.halo != "" {
				fmt.Fprintf(&b, ` stroke="%s" stroke-width="3" paint-order="stroke"`, m.halo)
			}
			fmt.Fprintf(&b, `>%s</text>`, html.EscapeString(m.words))
		case markImage:
			var data bytes.Buffer
			if err := jpeg.Encode(&data, m.image, &jpeg.Options{Quality: 90}); err != nil {
				return nil, fmt.Errorf("a picture of the plate could not be packed: %w", err)
			}
			fmt.Fprintf(&b, `<image x="%.1f" y="%.1f" width="%.1f" height="%.1f" href="data:image/jpeg;base64,%s"/>`, m.x, m.y, m.w, m.h, base64.StdEncoding.EncodeToString(data.Bytes()))
		}
		b.WriteByte('\n')
	}
	b.WriteString("</svg>\n")
	return b.Bytes(), nil
}

// Image gives the sheet as pixels, its words in the typefaces of the look, so large that its pictures keep their pixels (1 to 2 for a unit of the page).
func (s *Sheet) Image() (*image.RGBA, error) {
	k := max(1, s.scale)
	img := image.NewRGBA(image.Rect(0, 0, int(math.Round(k*s.w)), int(math.Round(k*s.h))))
	draw.Draw(img, img.Bounds(), image.NewUniform(ink(s.paper, 1)), image.Point{}, draw.Src)
	for i := range s.marks {
		m := &s.marks[i]
		switch m.kind {
		case markLine:
			m.rule(img, k)
		case markWords:
			if err := m.set(img, k); err != nil {
				return nil, err
			}
		case markImage:
			at := image.Rect(int(math.Round(k*m.x)), int(math.Round(k*m.y)), int(math.Round(k*(m.x+m.w))), int(math.Round(k*(m.y+m.h))))
			if at.Size() == m.image.Bounds().Size() {
				draw.Draw(img, at, m.image, m.image.Bounds().Min, draw.Src)
				continue
			}
			xdraw.CatmullRom.Scale(img, at, m.image, m.image.Bounds(), draw.Src, nil)
		}
	}
	return img, nil
}

// set draws words, with a halo as the words laid round themselves.
func (m *mark) set(img *image.RGBA, k float64) error {
	f, err := m.face.setter(k * m.size)
	if err != nil {
		return err
	}
	lay := func(dx, dy float64, colour string) {
		d := font.Drawer{Dst: img, Src: image.NewUniform(ink(colour, 1)), Face: f, Dot: fixed.Point26_6{X: fixed.Int26_6(64 * k * (m.x + dx)), Y: fixed.Int26_6(64 * k * (m.y + dy))}}
		d.DrawString(m.words)
	}
	if m.halo != "" {
		for i := range 12 {
			s, c := math.Sincos(2 * math.Pi * float64(i) / 12)
			lay(1.5*c, 1.5*s, m.halo)
		}
	}
	lay(0, 0, m.colour)
	return nil
}

// rule draws a line, stretch by stretch.
func (m *mark) rule(img *image.RGBA, k float64) {
	pts := m.line
	if m.closed {
		pts = append(pts[:len(pts):len(pts)], pts[0])
	}
	lo, hi := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for _, p := range pts {
		for d := range 2 {
			lo[d], hi[d] = min(lo[d], k*p[d]), max(hi[d], k*p[d])
		}
	}
	pad := k*m.width + 2
	area := image.Rect(int(lo[0]-pad), int(lo[1]-pad), int(hi[0]+pad)+1, int(hi[1]+pad)+1).Intersect(img.Bounds())
	if area.Empty() {
		return
	}
	r := vector.NewRasterizer(area.Dx(), area.Dy())
	half := k * m.width / 2
	piece := func(a, b [2]float64) {
		dx, dy := b[0]-a[0], b[1]-a[1]
		l := math.Hypot(dx, dy)
		if l == 0 {
			return
		}
		ux, uy := dx/l, dy/l
		ext := 0.0
		if len(m.dash) == 0 {
			ext = half // corners meet
		}
		at := func(p [2]float64, along, aside float64) (float32, float32) {
			return float32(p[0] + ux*along - uy*aside - float64(area.Min.X)), float32(p[1] + uy*along + ux*aside - float64(area.Min.Y))
		}
		r.MoveTo(at(a, -ext, half))
		r.LineTo(at(b, ext, half))
		r.LineTo(at(b, ext, -half))
		r.LineTo(at(a, -ext, -half))
		r.ClosePath()
	}
	on, left := true, math.Inf(1)
	if len(m.dash) == 2 {
		left = k * m.dash[0]
	}
	for i := 1; i < len(pts); i++ {
		a, b := [2]float64{k * pts[i-1][0], k * pts[i-1][1]}, [2]float64{k * pts[i][0], k * pts[i][1]}
		l := math.Hypot(b[0]-a[0], b[1]-a[1])
		for at := 0.0; at < l; {
			step := min(left, l-at)
			if on {
				p := func(t float64) [2]float64 { return [2]float64{a[0] + (b[0]-a[0])*t/l, a[1] + (b[1]-a[1])*t/l} }
				piece(p(at), p(at+step))
			}
			at += step
			if left -= step; left <= 1e-9 {
				on = !on
				left = k * m.dash[0]
				if !on {
					left = k * m.dash[1]
				}
			}
		}
	}
	r.Draw(img, area, image.NewUniform(ink(m.colour, m.opaque)), image.Point{})
}

// ink reads a colour of the look.
func ink(hex string, opaque float64) color.NRGBA {
	v, err := strconv.ParseUint(hex[1:], 16, 32)
	if err != nil {
		return color.NRGBA{A: 255}
	}
	return color.NRGBA{uint8(v >> 16), uint8(v >> 8), uint8(v), uint8(math.Round(255 * opaque))}
}
