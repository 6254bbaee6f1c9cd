package picture

import (
	"fmt"
	"littoral/internal/catalog"
	"littoral/internal/growth"
	"littoral/internal/unit"
	"math"
)

// Grown is one grown plant of a species as the catalogue has it: at the middle of its height and spread. A stem plant stands as a bunch of
// three stems, and leaves are as many as its form usually carries (our own choice, for drawing only).
func Grown(sp *catalog.Species) growth.PlantState {
	p := growth.PlantState{ID: sp.Name, Planting: sp.Name, Species: sp, Count: 1, HeightM: sp.HeightCM.Mid() / 100, SpreadM: sp.SpreadCM.Mid() / 100, Leaves: 10}
	switch sp.Form {
	case catalog.Stem:
		p.Stems, p.LengthM = 3, p.HeightM
		p.SpreadM *= 1.8 // stems of a bunch stand close and share their span
	case catalog.Moss:
		p.Leaves = 16
	case catalog.Rosette, catalog.Rhizome:
		p.Leaves = 14
	case catalog.Floating:
		p.Leaves = 6
	default:
	}
	return p
}

// specimenPerM is the scale of a specimen's drawing in units per metre: 4 to the centimetre.
const specimenPerM = 400

// Specimen draws one grown plant of a species in water of a height over its crown, in m, beside a hand and a measure of 10 cm (4 in), as a
// picture that can stand alone. Window is the height of the drawing in m, so that several can be had to one scale; 0 = as high as this
// one needs. The middle of the catalogue's range is drawn, and a dotted line shows how high it may grow.
func Specimen(sp *catalog.Species, room, window float64, system unit.System) Drawing {
	p := Grown(sp)
	k := KeyFor(sp)
	most := sp.HeightCM.Max / 100
	if !(room > 0) || room > 3 {
		room = max(most, p.HeightM) + .02
	}
	floats := sp.Form == catalog.Floating
	need := max(min(most, room), .2)
	if floats {
		need = max(p.HeightM+.06, .2)
	}
	if !(window > 0) || window > 3 {
		window = need
	}
	s := newSheet("plate")
	high := window*specimenPerM + 34
	foot := high - 22
	wide := p.SpreadM
	if !floats && p.HeightM > room {
		wide = max(wide, .5)
	}
	mid := 70 + wide*specimenPerM/2 + 14
	w := mid + wide*specimenPerM/2 + 20
	s.rect("pp", 0, 0, w, high)
	y := func(z float64) float64 { return foot - z*specimenPerM }
	level := room
	if floats {
		level = p.HeightM + .005
	}
	if level <= window {
		s.rect("wt", 70, y(level), w-78, level*specimenPerM)
		s.line("wl", 70, y(level), w-8, y(level))
	} else {
		s.rect("wt", 70, y(window), w-78, window*specimenPerM)
	}
	hand(s, 38, foot, specimenPerM)
	step, name := .1, "10 cm"
	if system == unit.US {
		step, name = .1016, "4 in"
	}
	s.line("ik", 66, y(0), 66, y(step))
	for i := range 11 {
		tick := 2.5
		if i%5 == 0 {
			tick = 5
		}
		s.line("ikt", 66-tick, y(step*float64(i)/10), 66, y(step*float64(i)/10))
	}
	s.text("sm so", "middle", 66, foot+14, name)
	s.add(`<clipPath id="plate-w"><rect x="70"`)
	s.attr("y", y(window))
	s.attr("width", w-78)
	s.attr("height", window*specimenPerM+8)
	s.add(`/></clipPath><g clip-path="url(#plate-w)">`)
	if floats {
		figureOf(&p, specimenPerM, 0, 1).write(s, "h0 "+k.class(sp), mid, y(level))
	} else {
		figureOf(&p, specimenPerM, room, 1).write(s, "h0 "+k.class(sp), mid, foot)
		if top := min(most, room); top > p.HeightM+.005 && top <= window {
			s.add(`<path class="lim" d="M`, num(mid-wide*specimenPerM/2), " ", num(y(top)), "H", num(mid+wide*specimenPerM/2), `"/>`)
		}
	}
	s.add("</g>")
	s.line("ik", 8, foot, w-8, foot)
	says := fmt.Sprintf("%s high, %s wide", span(sp.HeightCM, system), span(sp.SpreadCM, system))
	d := s.finish(w, high, sp.Name+" as it grows", says+"; a hand of 18 cm stands beside it.")
	return d.Alone(k)
}

// span writes a range of centimetres in the units of a house.
func span(r catalog.Range, system unit.System) string {
	lo, hi := unit.FormatDigits(unit.KindLength, r.Min/100, system, 2), unit.FormatDigits(unit.KindLength, r.Max/100, system, 2)
	if math.Abs(r.Max-r.Min) < .05 {
		return lo
	}
	return lo + " to " + hi
}

// Alone gives a drawing its own size and rules of colour, so that it can be a file of its own.
func (d Drawing) Alone(k *Key) Drawing {
	const head = `<svg xmlns="http://www.w3.org/2000/svg" class="pic"`
	size := fmt.Sprintf(` width="%s" height="%s"`, num(d.W), num(d.H))
	at := len(head)
	end := at
	for end < len(d.SVG) && d.SVG[end] != '>' {
		end++
	}
	if len(d.SVG) < at || d.SVG[:at] != head || end == len(d.SVG) {
		return d
	}
	d.SVG = head + size + d.SVG[at:end+1] + "<style>" + Style(k) + "</style>" + d.SVG[end+1:]
	return d
}

// hand draws an open hand, 18 cm from wrist to finger tip (middle of adult hands; from memory of body measures for design), standing on foot.
func hand(s *sheet, x, foot, per float64) {
	u := per * .18 / 18 // units per centimetre
	var p path
	at := func(cx, cy float64) (float64, float64) { return x + cx*u, foot - cy*u }
	p.move(at(-2.6, 0))
	curve := func(ax, ay, bx, by, cx, cy float64) {
		x1, y1 := at(ax, ay)
		x2, y2 := at(bx, by)
		x3, y3 := at(cx, cy)
		p.cubic(x1, y1, x2, y2, x3, y3)
	}
	curve(-3, 3, -4, 5, -4.1, 8.5)        // little finger's side of the palm
	curve(-4.4, 11, -4.7, 12, -4.7, 13.2) // little finger
	curve(-4.6, 14, -3.5, 14, -3.4, 13.2)
	curve(-3.2, 12, -2.9, 11, -2.6, 9.6)
	curve(-2.6, 12, -2.6, 15, -2.4, 16.4) // ring finger
	curve(-2.2, 17.3, -1.1, 17.3, -1, 16.4)
	curve(-.9, 14, -.8, 12, -.6, 10)
	curve(-.4, 12.5, -.3, 16, -.1, 17.2) // middle finger
	curve(.1, 18.2, 1.2, 18.2, 1.3, 17.2)
	curve(1.3, 15, 1.2, 12.5, 1.3, 10)
	curve(1.6, 12, 2, 14.5, 2.3, 15.8) // forefinger
	curve(2.6, 16.7, 3.6, 16.4, 3.6, 15.5)
	curve(3.5, 13.5, 3.2, 11, 3.1, 8.6)
	curve(3.6, 8.6, 4.4, 9.8, 5.1, 10.8) // thumb
	curve(5.7, 11.5, 6.6, 10.9, 6.3, 10)
	curve(5.6, 7.6, 4.4, 4.6, 3.2, 3.4)
	curve(2.8, 2.4, 2.7, 1.2, 2.6, 0)
	s.add(`<path class="ru" d="`, p.String(), `"/>`)
}
