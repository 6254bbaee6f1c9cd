package sheets

import (
	"bytes"
	"strconv"
	"time"

	"codeberg.org/go-pdf/fpdf"
)

// written on is the date that every file carries: a drawing is a function of its plan, and says itself which state it shows.
var writtenOn = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)

const pointsPerMM = 72 / 25.4

// PDF writes pages into one file, each in its own size.
func PDF(title string, pages []*Page) ([]byte, error) {
	f := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", OrientationStr: "P", Size: fpdf.SizeType{Wd: 210, Ht: 297}})
	f.SetCreationDate(writtenOn)
	f.SetModificationDate(writtenOn)
	f.SetCatalogSort(true)
	f.SetProducer("littoral", true)
	f.SetTitle(title, true)
	f.SetAutoPageBreak(false, 0)
	f.SetMargins(0, 0, 0)
	for _, t := range typefaces {
		f.AddUTF8FontFromBytes("sheet", t.style, t.data)
	}
	for _, p := range pages {
		f.AddPageFormat("P", fpdf.SizeType{Wd: p.W, Ht: p.H})
		f.SetLineCapStyle("round")
		f.SetLineJoinStyle("round")
		open := 0
		for i := range p.items {
			it := &p.items[i]
			switch it.kind {
			case kindPath:
				draw(f, it)
			case kindText:
				write(f, it)
			case kindClip:
				pts := make([]fpdf.PointType, 0, len(it.steps))
				for _, s := range it.steps {
					if n := s.Points(); n > 0 {
						pts = append(pts, fpdf.PointType{X: s.P[n-1][0], Y: s.P[n-1][1]})
					}
				}
				f.ClipPolygon(pts, false)
				open++
			case kindUnclip:
				if open > 0 {
					f.ClipEnd()
					open--
				}
			}
		}
		for ; open > 0; open-- {
			f.ClipEnd()
		}
	}
	var b bytes.Buffer
	err := f.Output(&b)
	return b.Bytes(), err
}

func draw(f *fpdf.Fpdf, it *item) {
	style := ""
	if it.fill != "" {
		r, g, b := parts(it.fill)
		f.SetFillColor(r, g, b)
		style = "F*"
	}
	if it.ink.mm > 0 {
		r, g, b := parts(it.ink.colour)
		f.SetDrawColor(r, g, b)
		f.SetLineWidth(it.ink.mm)
		f.SetDashPattern(it.ink.dash, 0)
		if style == "" {
			style = "D"
		} else {
			style = "FD*"
		}
	}
	if style == "" {
		return
	}
	var x, y float64
	for _, s := range it.steps {
		switch p := s.P; s.Cmd {
		case 'M':
			f.MoveTo(p[0][0], p[0][1])
		case 'L':
			f.LineTo(p[0][0], p[0][1])
		case 'Q': // as a cubic, which is all that PDF has
			f.CurveBezierCubicTo(x+2./3*(p[0][0]-x), y+2./3*(p[0][1]-y), p[1][0]+2./3*(p[0][0]-p[1][0]), p[1][1]+2./3*(p[0][1]-p[1][1]), p[1][0], p[1][1])
		case 'C':
			f.CurveBezierCubicTo(p[0][0], p[0][1], p[1][0], p[1][1], p[2][0], p[2][1])
		case 'Z':
			f.ClosePath()
		}
		if n := s.Points(); n > 0 {
			x, y = s.P[n-1][0], s.P[n-1][1]
		}
	}
	f.DrawPath(style)
}

func write(f *fpdf.Fpdf, it *item) {
	r, g, b := parts(it.colour)
	f.SetTextColor(r, g, b)
	f.SetFont("sheet", typefaces[it.face].style, it.size*pointsPerMM)
	x := it.x
	switch w := width(it.face, it.size, it.text); it.anchor {
	case centre:
		x -= w / 2
	case end:
		x -= w
	}
	if it.turn != 0 {
		f.TransformBegin()
		f.TransformRotate(it.turn, it.x, it.y)
	}
	f.Text(x, it.y, it.text)
	if it.turn != 0 {
		f.TransformEnd()
	}
}

// parts reads #RRGGBB; anything else is black.
func parts(colour string) (r, g, b int) {
	if len(colour) != 7 {
		return 0, 0, 0
	}
	v, err := strconv.ParseUint(colour[1:], 16, 32)
	if err != nil {
		return 0, 0, 0
	}
	return int(v >> 16), int(v >> 8 & 255), int(v & 255)
}
