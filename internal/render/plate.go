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

// ReadingPlate lays a reading over its picture: thirds and golden sections as fine lines, the middle of visual mass and the strongest contrast as rings, the
// small scenes as frames, and beside it what is seen, in numbers. The picture is the camera's. It aids a designer's eye and grades nothing.
func ReadingPlate(title, under string, img image.Image, x0, y0, x1, y1 float64, r *Reading, room Room) ([]byte, error) {
	size := img.Bounds().Size()
	const page, margin = 1600.0, 48.0
	w := page - 2*margin
	k := w / float64(size.X)
	h := k * float64(size.Y)
	const top = 118.0
	paper, ink, soft, rule := plateColours(room)
	lines := r.lines()
	rows := (len(lines) + 1) / 2
	high := top + h + 70 + 30*float64(rows) + margin
	var data, b bytes.Buffer
	if err := jpeg.Encode(&data, img, &jpeg.Options{Quality: 90}); err != nil {
		return nil, fmt.Errorf("the picture of the plate could not be packed: %w", err)
	}
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %g %.0f" width="%g" height="%.0f" role="img" aria-label="%s">`+"\n", page, high, page, high, html.EscapeString(title+". "+under))
	fmt.Fprintf(&b, `<style>.t{font-family:"Source Serif 4",Georgia,serif;fill:%s}.c{font-family:"Source Sans 3","Helvetica Neue",Arial,sans-serif;fill:%s;font-variant-numeric:tabular-nums}.b{fill:none;stroke:%s}.o{fill:none;stroke:#F6F1E4;stroke-width:1.6}.u{fill:none;stroke:#22302A;stroke-width:3.4;opacity:.45}</style>`+"\n", ink, soft, ink)
	fmt.Fprintf(&b, `<rect width="100%%" height="100%%" fill="%s"/><text class="t" x="%g" y="62" font-size="38" font-weight="600">%s</text><text class="c" x="%g" y="92" font-size="20">%s</text><path d="M%g 106H%g" stroke="%s"/>`+"\n",
		paper, margin, html.EscapeString(title), margin, html.EscapeString(under), margin, page-margin, rule)
	y := top + 8
	fmt.Fprintf(&b, `<image x="%g" y="%.1f" width="%.1f" height="%.1f" href="data:image/jpeg;base64,%s"/>`+"\n", margin, y, w, h, base64.StdEncoding.EncodeToString(data.Bytes()))
	fmt.Fprintf(&b, `<rect class="b" x="%g" y="%.1f" width="%.1f" height="%.1f" stroke-width="2"/><rect class="b" x="%g" y="%.1f" width="%.1f" height="%.1f" stroke-width=".8"/>`+"\n", margin-1, y-1, w+2, h+2, margin-5, y-5, w+10, h+10)
	at := func(sx, sy float64) (float64, float64) {
		return margin + k*(x0+sx*(x1-x0)), y + k*(y0+sy*(y1-y0))
	}
	draw := func(shape string) {
		fmt.Fprintf(&b, "<g class=\"u\">%s</g><g class=\"o\">%s</g>\n", shape, shape)
	}
	line := func(sx, sy, ex, ey float64, dash string) {
		ax, ay := at(sx, sy)
		bx, by := at(ex, ey)
		draw(fmt.Sprintf(`<path d="M%.1f %.1fL%.1f %.1f" stroke-dasharray="%s"/>`, ax, ay, bx, by, dash))
	}
	for _, f := range []float64{1. / 3, 2. / 3} {
		line(f, 0, f, 1, "2 7")
		line(0, f, 1, f, "2 7")
	}
	for _, f := range []float64{goldenCut, 1 - goldenCut} {
		line(f, 0, f, 1, "12 6")
	}
	for i, f := range r.Windows {
		ax, ay := at(f.X, f.Y)
		bx, by := at(f.X+f.W, f.Y+f.H)
		draw(fmt.Sprintf(`<rect x="%.1f" y="%.1f" width="%.1f" height="%.1f"/>`, ax, ay, bx-ax, by-ay))
		fmt.Fprintf(&b, `<text class="t" x="%.1f" y="%.1f" font-size="22" font-weight="600" style="fill:#F6F1E4;stroke:#22302A;stroke-width:3;paint-order:stroke">%c</text>`+"\n", ax+8, ay+26, 'A'+i)
	}
	cx, cy := at(r.Focus[0], r.Focus[1])
	draw(fmt.Sprintf(`<circle cx="%.1f" cy="%.1f" r="26"/><path d="M%.1f %.1fh12m-6 -6v12"/>`, cx, cy, cx-6, cy))
	cx, cy = at(r.Balance[0], r.Balance[1])
	draw(fmt.Sprintf(`<path d="M%.1f %.1fl14 24h-28z"/>`, cx, cy))
	y += h + 48
	fmt.Fprintf(&b, `<text class="t" x="%g" y="%.1f" font-size="20"><tspan font-weight="600">The view read.</tspan> <tspan font-style="italic" fill="%s">dotted: thirds; dashed: golden sections; ring: strongest contrast; triangle: middle of visual mass; frames: small scenes</tspan></text>`+"\n", margin, y, soft)
	for i, l := range lines {
		fmt.Fprintf(&b, `<text class="c" x="%g" y="%.1f" font-size="17">%s</text>`+"\n", margin+float64(i/max(1, rows))*(w/2+10), y+36+30*float64(i%max(1, rows)), html.EscapeString(l))
	}
	b.WriteString("</svg>\n")
	return b.Bytes(), nil
}

// lines says a reading in short lines.
func (r *Reading) lines() []string {
	var out []string
	say := func(format string, a ...any) { out = append(out, fmt.Sprintf(format, a...)) }
	if len(r.Pieces) > 0 {
		say("Wood and stone fill %.0f %% of the view, %.0f %% of what planting day showed.", 100*r.Hardscape, 100*r.Still)
		var by []string
		for _, c := range r.HiddenBy[:min(3, len(r.HiddenBy))] {
			by = append(by, fmt.Sprintf("%s %.0f %%", c.Planting, 100*c.Share))
		}
		if len(by) > 0 {
			say("Before it now stand %s.", strings.Join(by, ", "))
		}
	}
	say("Open water is %.0f %% of the view.", 100*r.Open)
	var m []string
	for _, x := range r.Masses[:min(4, len(r.Masses))] {
		m = append(m, fmt.Sprintf("%s %.0f %%", x.Name, 100*x.Share))
	}
	if len(m) > 0 {
		say("Largest masses: %s.", strings.Join(m, ", "))
	}
	say("Plants by thirds of the depth: fore %.0f %%, middle %.0f %%, back %.0f %%.", 100*r.Fore, 100*r.Mid, 100*r.Back)
	say("Their colours: %.0f %% green, %.0f %% red to brown, %.0f %% other.", 100*r.Green, 100*r.Red, 100*r.Other)
	var accent []string
	for _, x := range r.Masses {
		if x.Accent >= 15 && x.Share >= .003 && len(accent) < 3 { // clearly distinct foliage: common practice, no source
			accent = append(accent, fmt.Sprintf("%s ΔE %.0f", x.Name, x.Accent))
		}
	}
	if len(accent) > 0 {
		say("Accents against the green: %s.", strings.Join(accent, ", "))
	}
	say("Strongest contrast: %.0f %% of the width from a third, %.0f %% from a golden section.", 100*r.ThirdOff, 100*r.GoldenOff)
	say("The middle of visual mass lies at %.0f %% of the width.", 100*r.Balance[0])
	return out
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
