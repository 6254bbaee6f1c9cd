package sheets

import (
	"slices"
	"strings"
	"sync"

	"github.com/go-fonts/dejavu/dejavusanscondensed"
	"github.com/go-fonts/dejavu/dejavusanscondensedbold"
	"github.com/go-fonts/dejavu/dejavuserifcondenseditalic"
	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// typeface is one of the packaged open fonts, which hold every sign that units and names need.
type typeface struct {
	css   string // family, style and weight for SVG
	style string // for PDF: "", "B" or "I"
	data  []byte
}

var typefaces = [...]typeface{
	sans:   {`font-family="DejaVu Sans Condensed,DejaVu Sans,sans-serif"`, "", dejavusanscondensed.TTF},
	bold:   {`font-family="DejaVu Sans Condensed,DejaVu Sans,sans-serif" font-weight="bold"`, "B", dejavusanscondensedbold.TTF},
	italic: {`font-family="DejaVu Serif Condensed,DejaVu Serif,serif" font-style="italic"`, "I", dejavuserifcondenseditalic.TTF},
}

// metrics are the widths of signs, read once.
type metrics struct {
	once  sync.Once
	width map[rune]float64 // of the em
}

var measured [len(typefaces)]metrics

// mostRunes bounds the table: Latin, Greek, punctuation, super- and subscripts, arrows and mathematical signs.
const mostRunes = 0x2300

func widths(f face) map[rune]float64 {
	m := &measured[f]
	m.once.Do(func() {
		m.width = map[rune]float64{}
		font1, err := sfnt.Parse(typefaces[f].data)
		if err != nil {
			return
		}
		var buf sfnt.Buffer
		for r := rune(' '); r < mostRunes; r++ {
			i, err := font1.GlyphIndex(&buf, r)
			if err != nil || i == 0 {
				continue
			}
			if a, err := font1.GlyphAdvance(&buf, i, fixed.I(1000), font.HintingNone); err == nil {
				m.width[r] = float64(a) / 64 / 1000
			}
		}
	})
	return m.width
}

// width is how wide text is set, mm.
func width(f face, size float64, text string) float64 {
	w, sum := widths(f), 0.0
	for _, r := range text {
		if a, ok := w[r]; ok {
			sum += a
		} else {
			sum += .6
		}
	}
	return sum * size
}

// fit shortens text to a width, with an ellipsis.
func fit(f face, size, most float64, text string) string {
	if width(f, size, text) <= most {
		return text
	}
	r := []rune(text)
	for len(r) > 1 && width(f, size, string(r)+"…") > most {
		r = r[:len(r)-1]
	}
	return strings.TrimSpace(string(r)) + "…"
}

// wrapped breaks text into lines of at most a width.
func wrapped(f face, size, most float64, text string) []string {
	var out []string
	line := ""
	for word := range strings.FieldsSeq(text) {
		switch {
		case line == "":
			line = word
		case width(f, size, line+" "+word) <= most:
			line += " " + word
		default:
			out, line = append(out, line), word
		}
	}
	if line != "" {
		out = append(out, line)
	}
	return out
}

// plain drops what the packaged fonts cannot set.
func plain(text string) string {
	w := widths(sans)
	return strings.Map(func(r rune) rune {
		if r == '\n' || r == '\t' {
			return ' '
		}
		if _, ok := w[r]; !ok {
			return -1
		}
		return r
	}, text)
}

func sortFloats(v []float64) { slices.Sort(v) }
