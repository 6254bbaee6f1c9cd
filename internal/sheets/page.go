package sheets

import (
	"littoral/internal/picture"
	"math"
)

// Page is one sheet of paper.
type Page struct {
	Name string  // what is drawn on it
	W, H float64 // mm

	items []item
	used  float64 // mm from the left that drawings take
}

// ink is how a line is drawn.
type ink struct {
	mm     float64   // breadth; 0 = no line
	colour string    // #RRGGBB
	dash   []float64 // mm drawn and left out in turn; none = whole
}

// Colours of the sheets. Each is dark enough to be read in grey: hue never carries a meaning alone.
const (
	black = "#22302A"
	soft  = "#55635B"
	pale  = "#A9A594"
	leaf  = "#3E5A41"
	wood  = "#7A5C3E"
	water = "#4E7A79"
	warn  = "#9A4420"
	white = "#FFFFFF"
)

// Breadths of lines, mm: a thin, a middle and a strong one in steps of about √2, as drawings of buildings have them (ISO 128-20, from memory).
const (
	hair   = 0.09
	thin   = 0.13
	middle = 0.25
	strong = 0.5
)

var (
	edge    = ink{mm: strong, colour: black}
	fine    = ink{mm: thin, colour: black}
	measure = ink{mm: thin, colour: soft}
	faint   = ink{mm: hair, colour: pale}
	none    = ink{}
)

// face is a typeface.
type face int

const (
	sans face = iota
	bold
	italic // of species
)

// Where a word stands against its place.
const (
	start = iota
	centre
	end
)

type kind int

const (
	kindPath kind = iota
	kindText
	kindClip
	kindUnclip
)

// item is one thing on a page.
type item struct {
	kind  kind
	steps []picture.Step // path, clip
	ink   ink
	fill  string // #RRGGBB; empty = none

	text   string
	x, y   float64
	size   float64 // mm, of the em
	face   face
	anchor int
	turn   float64 // degrees, counter-clockwise
	colour string
}

func (p *Page) path(steps []picture.Step, line ink, fill string) {
	if len(steps) > 0 {
		p.items = append(p.items, item{kind: kindPath, steps: steps, ink: line, fill: fill})
	}
}

func (p *Page) line(x1, y1, x2, y2 float64, line ink) {
	p.path([]picture.Step{step('M', x1, y1), step('L', x2, y2)}, line, "")
}

func step(cmd byte, x, y float64) picture.Step {
	return picture.Step{Cmd: cmd, P: [3][2]float64{{x, y}}}
}

// steps turns points into a run of the pen.
func steps(pts [][2]float64, closed bool) []picture.Step {
	var out []picture.Step
	for i, q := range pts {
		if i == 0 {
			out = append(out, step('M', q[0], q[1]))
			continue
		}
		out = append(out, step('L', q[0], q[1]))
	}
	if closed && len(pts) > 0 {
		out = append(out, picture.Step{Cmd: 'Z'})
	}
	return out
}

func (p *Page) poly(pts [][2]float64, closed bool, line ink, fill string) {
	p.path(steps(pts, closed), line, fill)
}

func (p *Page) rect(x, y, w, h float64, line ink, fill string) {
	p.poly([][2]float64{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}}, true, line, fill)
}

// round is the share of the radius at which the handles of four Bézier arcs lie that come nearest to a circle.
const round = 0.5523

func (p *Page) circle(x, y, r float64, line ink, fill string) {
	if !(r > 0) {
		return
	}
	k := r * round
	c := func(ax, ay, bx, by, cx, cy float64) picture.Step {
		return picture.Step{Cmd: 'C', P: [3][2]float64{{ax, ay}, {bx, by}, {cx, cy}}}
	}
	p.path([]picture.Step{
		step('M', x+r, y), c(x+r, y+k, x+k, y+r, x, y+r), c(x-k, y+r, x-r, y+k, x-r, y), c(x-r, y-k, x-k, y-r, x, y-r), c(x+k, y-r, x+r, y-k, x+r, y), {Cmd: 'Z'},
	}, line, fill)
}

// word writes text with its foot at x, y.
func (p *Page) word(f face, size float64, anchor int, x, y float64, text string) {
	p.turned(f, size, anchor, x, y, 0, black, text)
}

func (p *Page) note(size float64, anchor int, x, y float64, text string) {
	p.turned(sans, size, anchor, x, y, 0, soft, text)
}

func (p *Page) turned(f face, size float64, anchor int, x, y, turn float64, colour, text string) {
	if text != "" {
		p.items = append(p.items, item{kind: kindText, text: text, x: x, y: y, size: size, face: f, anchor: anchor, turn: turn, colour: colour})
	}
}

// clip bounds what follows to an outline, until unclip.
func (p *Page) clip(pts [][2]float64) {
	p.items = append(p.items, item{kind: kindClip, steps: steps(pts, true)})
}

func (p *Page) unclip() { p.items = append(p.items, item{kind: kindUnclip}) }

// hatch draws lines at an angle and a distance, in mm, over the inside of outlines (even–odd rule).
func (p *Page) hatch(loops [][][2]float64, angle, gap float64, line ink) {
	sn, cs := math.Sincos(angle * math.Pi / 180)
	lo, hi := math.Inf(1), math.Inf(-1)
	turned := make([][][2]float64, len(loops))
	for i, l := range loops {
		for _, q := range l {
			u, v := q[0]*cs+q[1]*sn, -q[0]*sn+q[1]*cs
			turned[i] = append(turned[i], [2]float64{u, v})
			lo, hi = min(lo, v), max(hi, v)
		}
	}
	if !(hi > lo) || (hi-lo)/gap > 4000 {
		return
	}
	var run []picture.Step
	for v := (math.Floor(lo/gap) + .5) * gap; v < hi; v += gap {
		var us []float64
		for _, l := range turned {
			for i := range l {
				a, b := l[i], l[(i+1)%len(l)]
				if (a[1] > v) != (b[1] > v) {
					us = append(us, a[0]+(v-a[1])*(b[0]-a[0])/(b[1]-a[1]))
				}
			}
		}
		sortFloats(us)
		for i := 0; i+1 < len(us); i += 2 {
			run = append(run, step('M', us[i]*cs-v*sn, us[i]*sn+v*cs), step('L', us[i+1]*cs-v*sn, us[i+1]*sn+v*cs))
		}
	}
	p.path(run, line, "")
}

// stipple sets dots over the inside of an outline, about one to each square of a side of gap mm.
func (p *Page) stipple(outline [][2]float64, gap float64) {
	x0, y0, x1, y1 := bounds(outline)
	if !(x1-x0 < 2000) || !(y1-y0 < 2000) {
		return
	}
	var run []picture.Step
	for j := int(y0 / gap); float64(j)*gap < y1; j++ {
		for i := int(x0 / gap); float64(i)*gap < x1; i++ {
			x, y := (float64(i)+chance(i, j, 1))*gap, (float64(j)+chance(i, j, 2))*gap
			if inside(outline, x, y) {
				run = append(run, step('M', x, y), step('L', x+.01, y))
			}
		}
	}
	p.path(run, ink{mm: .22, colour: pale}, "")
}

// chance is a number, 0 to 1, that hangs on its keys alone (the finaliser of SplitMix64).
func chance(i, j, k int) float64 {
	z := uint64(i)*0x9e3779b97f4a7c15 ^ uint64(j)*0xd1b54a32d192ed03 ^ uint64(k)*0x8cb92ba72f3d8dd7
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	z ^= z >> 31
	return float64(z>>11) / (1 << 53)
}

func bounds(pts [][2]float64) (x0, y0, x1, y1 float64) {
	x0, y0, x1, y1 = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, q := range pts {
		x0, y0, x1, y1 = min(x0, q[0]), min(y0, q[1]), max(x1, q[0]), max(y1, q[1])
	}
	return
}

// inside tells whether a place lies inside an outline (even–odd rule).
func inside(outline [][2]float64, x, y float64) bool {
	in := false
	for i, j := 0, len(outline)-1; i < len(outline); j, i = i, i+1 {
		a, b := outline[i], outline[j]
		if (a[1] > y) != (b[1] > y) && x < (b[0]-a[0])*(y-a[1])/(b[1]-a[1])+a[0] {
			in = !in
		}
	}
	return in
}
