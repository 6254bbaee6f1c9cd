package render

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"html"
	"image"
	"image/jpeg"
	"math"
	"strings"
)

// Shot is one picture of a plate with the lines under it.
type Shot struct {
	Image   image.Image
	Title   string // in strong type
	Caption string // what it shows and its two most useful numbers
}

// The look of a plate: paper or a dark room, with ink, soft ink and rules.
func plateColours(r Room) (paper, ink, soft, rule string) {
	if r == Dark {
		return "#17201C", "#F6F1E4", "#B5BFB5", "#4A564D"
	}
	return "#F6F1E4", "#22302A", "#55635B", "#CBBFA5"
}

// Plate lays pictures of one size out in rows of a number of columns, each in a double rule with its caption, under a title. It is one SVG file that
// needs nothing else; text is set in the typefaces of the look where they are installed. All pictures must be of the size of the first.
func Plate(title, under string, shots []Shot, columns int, room Room) ([]byte, error) {
	if len(shots) == 0 || columns < 1 {
		return nil, fmt.Errorf("a plate needs at least one picture and one column")
	}
	size := shots[0].Image.Bounds().Size()
	// Drawing units: the page is 1600 wide whatever the pixels of the pictures are.
	const page, margin, gap = 1600.0, 48.0, 28.0
	w := (page - 2*margin - gap*float64(columns-1)) / float64(columns)
	h := w * float64(size.Y) / float64(size.X)
	text := math.Round(clamp(w/26, 15, 22))
	below := 2.9*text + 22
	rows := (len(shots) + columns - 1) / columns
	top := 118.0
	high := top + float64(rows)*(h+below) + margin - 10
	paper, ink, soft, rule := plateColours(room)
	var b bytes.Buffer
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %g %.0f" width="%g" height="%.0f" role="img" aria-label="%s">`+"\n", page, high, page, high, html.EscapeString(title+". "+under))
	fmt.Fprintf(&b, `<style>.t{font-family:"Source Serif 4",Georgia,serif;fill:%s}.c{font-family:"Source Sans 3","Helvetica Neue",Arial,sans-serif;fill:%s;font-variant-numeric:tabular-nums}.b{fill:none;stroke:%s}</style>`+"\n", ink, soft, ink)
	fmt.Fprintf(&b, `<rect width="100%%" height="100%%" fill="%s"/>`+"\n", paper)
	fmt.Fprintf(&b, `<text class="t" x="%g" y="62" font-size="38" font-weight="600">%s</text><text class="c" x="%g" y="92" font-size="20">%s</text>`+"\n", margin, html.EscapeString(title), margin, html.EscapeString(under))
	fmt.Fprintf(&b, `<path d="M%g 106H%g" stroke="%s"/>`+"\n", margin, page-margin, rule)
	for i, s := range shots {
		if s.Image.Bounds().Size() != size {
			return nil, fmt.Errorf("picture %d of the plate is of another size than the first", i+1)
		}
		var data bytes.Buffer
		if err := jpeg.Encode(&data, s.Image, &jpeg.Options{Quality: 90}); err != nil {
			return nil, fmt.Errorf("picture %d of the plate could not be packed: %w", i+1, err)
		}
		x, y := margin+float64(i%columns)*(w+gap), top+8+float64(i/columns)*(h+below)
		fmt.Fprintf(&b, `<image x="%.1f" y="%.1f" width="%.1f" height="%.1f" href="data:image/jpeg;base64,%s"/>`+"\n", x, y, w, h, base64.StdEncoding.EncodeToString(data.Bytes()))
		fmt.Fprintf(&b, `<rect class="b" x="%.1f" y="%.1f" width="%.1f" height="%.1f" stroke-width="2"/><rect class="b" x="%.1f" y="%.1f" width="%.1f" height="%.1f" stroke-width=".8"/>`+"\n", x-1, y-1, w+2, h+2, x-5, y-5, w+10, h+10)
		fmt.Fprintf(&b, `<text class="t" x="%.1f" y="%.1f" font-size="%g"><tspan font-weight="600">%s</tspan>`, x, y+h+text+14, text, html.EscapeString(s.Title))
		lines := wrap(s.Caption, int((w-text*.55*float64(len(s.Title)))/(text*.46)), int(w/(text*.46)))
		for k, l := range lines {
			if k == 0 {
				fmt.Fprintf(&b, ` <tspan font-style="italic" fill="%s">%s</tspan>`, soft, html.EscapeString(l))
				continue
			}
			fmt.Fprintf(&b, `<tspan x="%.1f" dy="%.1f" font-style="italic" fill="%s">%s</tspan>`, x, text*1.25, soft, html.EscapeString(l))
		}
		b.WriteString("</text>\n")
	}
	b.WriteString("</svg>\n")
	return b.Bytes(), nil
}

// wrap breaks a caption into lines of at most so many letters, the first of its own length; what does not fit in three lines is left out.
func wrap(text string, first, other int) []string {
	var out []string
	line := ""
	most := first
	for _, word := range strings.Fields(text) {
		if line != "" && len([]rune(line))+1+len([]rune(word)) > most {
			out = append(out, line)
			line, most = "", other
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	if line != "" {
		out = append(out, line)
	}
	return out[:min(len(out), 3)]
}
