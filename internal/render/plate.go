package render

import (
	"fmt"
	"image"
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

// The page of a plate, units, and where its drawings begin.
const (
	pageWide   = 1600.0
	pageMargin = 48.0
	pageTop    = 118.0
)

// head begins a plate: title, line under it and rule.
func head(title, under string, high float64, room Room) *Sheet {
	paper, ink, soft, rule := plateColours(room)
	s := &Sheet{name: title + ". " + under, w: pageWide, h: math.Round(high), paper: paper, scale: 1}
	s.text(serifStrong, 38, pageMargin, 62, ink, title)
	s.text(sans, 20, pageMargin, 92, soft, under)
	s.stroke([][2]float64{{pageMargin, 106}, {pageWide - pageMargin, 106}}, false, rule, 1, 1)
	return s
}

// Plate lays pictures of one size out in rows of a number of columns, each in a double rule with its caption, under a title. All pictures must be of the
// size of the first.
func Plate(title, under string, shots []Shot, columns int, room Room) (*Sheet, error) {
	if len(shots) == 0 || columns < 1 {
		return nil, fmt.Errorf("a plate needs at least one picture and one column")
	}
	size := shots[0].Image.Bounds().Size()
	const gap = 28.0
	w := (pageWide - 2*pageMargin - gap*float64(columns-1)) / float64(columns)
	h := w * float64(size.Y) / float64(size.X)
	text := math.Round(clamp(w/26, 15, 22))
	below := 2.9*text + 22
	rows := (len(shots) + columns - 1) / columns
	_, ink, soft, _ := plateColours(room)
	s := head(title, under, pageTop+float64(rows)*(h+below)+pageMargin-10, room)
	for i, shot := range shots {
		if shot.Image.Bounds().Size() != size {
			return nil, fmt.Errorf("picture %d of the plate is of another size than the first", i+1)
		}
		x, y := pageMargin+float64(i%columns)*(w+gap), pageTop+8+float64(i/columns)*(h+below)
		s.picture(x, y, w, h, shot.Image)
		s.frame(x, y, w, h, ink)
		base := y + h + text + 14
		begin := s.text(serifStrong, text, x, base, ink, shot.Title) + .35*text
		for _, line := range wrap(shot.Caption, text, x+w-begin, w) {
			s.text(serifItalic, text, begin, base, soft, line)
			begin, base = x, base+1.25*text
		}
	}
	return s, nil
}

// ReadingPlate lays a reading over its picture: thirds and golden sections as fine lines, the middle of visual mass and the strongest contrast as rings, the
// small scenes as frames, and beside it what is seen, in numbers. The picture is the camera's. It aids a designer's eye and grades nothing.
func ReadingPlate(title, under string, img image.Image, x0, y0, x1, y1 float64, r *Reading, room Room) *Sheet {
	size := img.Bounds().Size()
	w := pageWide - 2*pageMargin
	k := w / float64(size.X)
	h := k * float64(size.Y)
	_, ink, soft, _ := plateColours(room)
	lines := r.lines()
	rows := (len(lines) + 1) / 2
	s := head(title, under, pageTop+h+70+30*float64(rows)+pageMargin, room)
	y := pageTop + 8
	s.picture(pageMargin, y, w, h, img)
	s.frame(pageMargin, y, w, h, ink)
	at := func(sx, sy float64) [2]float64 {
		return [2]float64{pageMargin + k*(x0+sx*(x1-x0)), y + k*(y0+sy*(y1-y0))}
	}
	// Light lines on a dark edge read on leaves and on water.
	over := func(line [][2]float64, closed bool, dash ...float64) {
		s.stroke(line, closed, "#22302A", 3.4, .45, dash...)
		s.stroke(line, closed, "#F6F1E4", 1.6, 1, dash...)
	}
	for _, f := range []float64{1. / 3, 2. / 3} {
		over([][2]float64{at(f, 0), at(f, 1)}, false, 2, 7)
		over([][2]float64{at(0, f), at(1, f)}, false, 2, 7)
	}
	for _, f := range []float64{goldenCut, 1 - goldenCut} {
		over([][2]float64{at(f, 0), at(f, 1)}, false, 12, 6)
	}
	for i, f := range r.Windows {
		a, b := at(f.X, f.Y), at(f.X+f.W, f.Y+f.H)
		over([][2]float64{a, {b[0], a[1]}, b, {a[0], b[1]}}, true)
		s.text(serifStrong, 22, a[0]+8, a[1]+26, "#F6F1E4", string(rune('A'+i)))
		s.marks[len(s.marks)-1].halo = "#22302A"
	}
	c := at(r.Focus[0], r.Focus[1])
	var ring [][2]float64
	for i := range 48 {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 48)
		ring = append(ring, [2]float64{c[0] + 26*cos, c[1] + 26*sin})
	}
	over(ring, true)
	over([][2]float64{{c[0] - 6, c[1]}, {c[0] + 6, c[1]}}, false)
	over([][2]float64{{c[0], c[1] - 6}, {c[0], c[1] + 6}}, false)
	c = at(r.Balance[0], r.Balance[1])
	over([][2]float64{c, {c[0] + 14, c[1] + 24}, {c[0] - 14, c[1] + 24}}, true)
	y += h + 48
	end := s.text(serifStrong, 20, pageMargin, y, ink, "The view read.")
	s.text(serifItalic, 20, end+7, y, soft, "dotted: thirds; dashed: golden sections; ring: strongest contrast; triangle: middle of visual mass; frames: small scenes")
	for i, l := range lines {
		s.text(sans, 17, pageMargin+float64(i/max(1, rows))*(w/2+10), y+36+30*float64(i%max(1, rows)), soft, l)
	}
	return s
}

// lines says a reading in short lines.
func (r *Reading) lines() []string {
	var out []string
	say := func(format string, a ...any) { out = append(out, fmt.Sprintf(format, a...)) }
	if len(r.Pieces) > 0 {
		say("Wood and stone fill %.0f %% of the view, %.0f %% of what planting day showed.", 100*r.Hardscape, 100*min(1, r.Still))
		var by []string
		for _, c := range r.HiddenBy[:min(3, len(r.HiddenBy))] {
			if c.Share < .01 {
				break // sorted by share: the rest hides less still
			}
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

// wrap breaks a caption into lines that are no longer than a length, the first than its own; what does not fit in three lines is left out.
func wrap(text string, size, first, other float64) []string {
	var out []string
	line := ""
	most := first
	for _, word := range strings.Fields(text) {
		longer := word
		if line != "" {
			longer = line + " " + word
		}
		if serifItalic.long(longer, size) > most && (line != "" || len(out) == 0 && most < other) {
			out = append(out, line)
			line, most = word, other
			continue
		}
		line = longer
	}
	if line != "" {
		out = append(out, line)
	}
	return out[:min(len(out), 3)]
}
