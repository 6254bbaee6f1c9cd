package picture

import (
	"fmt"
	"littoral/internal/forecast"
	"littoral/internal/geometry"
	"littoral/internal/plan"
	"littoral/internal/unit"
	"math"
)

// LightBorders are the PPFD, µmol/m²/s, between below low, low, medium and high: where the house's class bands begin.
func LightBorders(h *plan.House) [3]float64 {
	if h == nil {
		h = plan.DefaultHouse()
	}
	return [3]float64{h.Light["low"].Low, h.Light["medium"].Low, h.Light["high"].Low}
}

// LightMap draws the light at the bed with the borders between the house's light classes and the names of the classes in them, and at each plant of the snapshot
// nearest to a year whether it then gets the light that its species thrives in.
func LightMap(id string, f *forecast.Forecast, m *forecast.LightMap, scale float64, system unit.System) Drawing {
	t := &f.Model.Tank
	w, h := t.LX*scale+2*frame, t.LY*scale+2*frame
	s := newSheet(id)
	x := func(v float64) float64 { return frame + v*scale }
	y := func(v float64) float64 { return frame + (t.LY-v)*scale }
	p := outlined(t.Footprint, x, y)
	s.add(`<clipPath id="`, id, `-f"><path d="`, p.String(), `"/></clipPath><g clip-path="url(#`, id, `-f)">`)
	s.rect("dp", 0, 0, w, h)
	borders := LightBorders(f.Plan.House)
	names := [4]string{"below low", "low", "medium", "high"}
	var taken boxes
	room := [4]float64{frame + 30, frame + 12, w - frame - 30, h - frame - 12}
	if m.NX > 0 && m.NY > 0 && len(m.PPFD) == m.NX*m.NY {
		g := lightOf(m, t)
		step := max(min(m.CellX, m.CellY)/2, t.LX/200)
		// Tones by rows of fine cells of one class: plain rectangles, exact and small.
		nx, ny := int(t.LX/step)+1, int(t.LY/step)+1
		class := func(v float64) int {
			c := 0
			for _, b := range borders {
				if v >= b {
					c++
				}
			}
			return c
		}
		var tones [4]path
		var sum [4][3]float64 // where the name of a class can stand: the middle of its longest row
		for j := range ny {
			for i := 0; i < nx; {
				at := func(i int) float64 { return g.at((float64(i)+.5)*step, (float64(j)+.5)*step) }
				c, from := class(at(i)), i
				for i < nx && class(at(i)) == c {
					i++
				}
				x0, x1 := x(float64(from)*step), x(float64(i)*step)
				y0, y1 := y(float64(j)*step), y(float64(j+1)*step)
				tones[c].poly([][2]float64{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}, true)
				if l := float64(i - from); l > sum[c][0]*1.05 {
					sum[c] = [3]float64{l, (x0 + x1) / 2, (y0 + y1) / 2}
				}
			}
		}
		for c := range tones {
			if !tones[c].empty() {
				s.add(fmt.Sprintf(`<path shape-rendering="crispEdges" class="t%d" d="%s"/>`, c, tones[c].String()))
			}
		}
		// Lines at every class border, thin ones between: every 20 below 200.
		between := 20.0
		if m.Max > 120 {
			between = 40
		}
		for v := between; v < m.Max && v <= 800; v += between {
			strong := false
			for _, b := range borders {
				if b == v {
					strong = true
				}
			}
			if !strong {
				isolux(s, g, v, t.LX, t.LY, step, x, y, "ct", &taken, room)
			}
		}
		for _, b := range borders {
			isolux(s, g, b, t.LX, t.LY, step, x, y, "ik", &taken, room)
		}
		for c := range sum {
			if sum[c][0]*step*scale < 60 {
				continue
			}
			word := names[c]
			lx, ly := taken.near(clamp(sum[c][1], room[0]+30, room[2]-30), sum[c][2], float64(len(word))*8, 18, room, 8, 90)
			s.text("it halo", "middle", lx, ly+5, word)
		}
	}
	g := groundOf(f)
	s.add(`<g opacity=".85">`)
	solidsFromAbove(s, f, g, x, y, scale)
	s.add("</g>")
	marked := false
	if snap := Nearest(f, min(365, f.Length)); snap != nil {
		for i := range snap.Plants {
			if p := &snap.Plants[i]; p.HeightM > 0 {
				getsMark(s, gets(p), x(p.X), y(p.Y))
				marked = true
			}
		}
	}
	for i := range f.Plan.Lamps { // where the lamps hang
		l := &f.Plan.Lamps[i]
		lx, ly := l.At[0]/100, l.At[1]/100
		lw, lh := max(float64(l.Size[0]), .08), max(float64(l.Size[1]), .08)
		s.add(`<g stroke-dasharray="5 4">`)
		s.rect("ikt", x(lx-lw/2), y(ly+lh/2), lw*scale, lh*scale)
		s.add("</g>")
	}
	s.add("</g>")
	if t.Shape == "box" {
		s.rect("ik2", frame-2, frame-2, t.LX*scale+4, t.LY*scale+4)
		s.rect("ikt", 1, 1, w-2, h-2)
	} else {
		s.add(`<path class="ik2" d="`, p.String(), `"/>`)
	}
	bar := scaleBar(s, frame, h+11, scale, system)
	if marked && w > 560 { // what the signs at the plants mean, from the right end
		at := w - frame
		for _, sign := range []struct{ word, says string }{{"more", "more than it thrives in"}, {"less", "less"}, {"enough", "a plant with the light it thrives in"}} {
			at -= 6.2*float64(len(sign.says)) + 8
			s.text("sm so", "start", at, h+15, sign.says)
			getsMark(s, sign.word, at-9, h+11)
			at -= 22
		}
	}
	return s.finish(w, h+22, fmt.Sprintf("Light at the bed on day %d", m.Day), fmt.Sprintf("From %.0f to %.0f, mean %.0f µmol/m²/s. Lines between and at the borders of the light classes %.0f, %.0f and %.0f. Dashed: lamps. Scale bar %s.",
		known(m.Min), known(m.Max), known(m.Mean), borders[0], borders[1], borders[2], bar))
}

// outlined is an outline seen from above, such as a tank's inside, as a closed path on the sheet.
func outlined(outline [][2]float64, x, y func(float64) float64) *path {
	on := make([][2]float64, len(outline))
	for i, q := range outline {
		on[i] = [2]float64{x(q[0]), y(q[1])}
	}
	p := new(path)
	p.poly(on, true)
	return p
}

// isolux draws one line of equal light and names it once.
func isolux(s *sheet, g *field, level, lx, ly, step float64, x, y func(float64) float64, class string, taken *boxes, room [4]float64) {
	var p path
	var longest [][2]float64
	for _, line := range g.contour(level, lx, ly, step) {
		for i := range line {
			line[i] = [2]float64{x(line[i][0]), y(line[i][1])}
		}
		line = geometry.Simplify(line, .4)
		p.poly(line, false)
		if reach(line) > reach(longest) {
			longest = line
		}
	}
	if p.empty() {
		return
	}
	s.add(`<path class="`, class, `" d="`, p.String(), `"/>`)
	if reach(longest) < 80 {
		return
	}
	for i := range longest {
		q := longest[(i+len(longest)/3)%len(longest)]
		if q[0] > room[0] && q[0] < room[2] && q[1] > room[1] && q[1] < room[3] && taken.free(q[0], q[1], 30, 14) {
			taken.take(q[0], q[1], 30, 14)
			s.text("sm halo", "middle", q[0], q[1]+4, num(level))
			return
		}
	}
}

// known keeps words from speaking of what is no number.
func known(v float64) float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return 0
	}
	return v
}
