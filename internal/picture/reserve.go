package picture

import (
	"fmt"
	"littoral/internal/forecast"
	"littoral/internal/unit"
	"math"
)

// reserveBorders are the months of supply between the classes of the reserve map: what the trade feeds at once, what one round of plain
// tablets lasts, and a year.
var reserveBorders = [3]float64{forecast.ShortMonths, 4, 12}

// Push is a place where root tablets are due.
type Push struct {
	X, Y    float64 // m
	Tablets int
	Day     int
}

// Reserve draws for how many months each patch of the bed feeds what grows in it on the day of a snapshot, by class and in numbers, with the
// places where tablets are due.
func Reserve(id string, f *forecast.Forecast, snap *forecast.Snapshot, due []Push, scale float64, system unit.System) Drawing {
	t, c := &f.Model.Tank, f.Columns
	w, h := t.LX*scale+2*frame, t.LY*scale+2*frame
	s := newSheet(id)
	x := func(v float64) float64 { return frame + v*scale }
	y := func(v float64) float64 { return frame + (t.LY-v)*scale }
	foot := outlined(t.Footprint, x, y)
	// Supply that ends soon is hatched dense, a year of it not at all.
	hatch := [4]struct {
		gap  float64
		line string
	}{{3.5, "warn"}, {6, "wood"}, {10, "moss"}, {0, ""}}
	s.add("<defs>")
	for k, p := range hatch {
		if p.gap > 0 {
			s.add(fmt.Sprintf(`<pattern id="%s-r%d" width="%s" height="%s" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path d="M0 0V%s" style="fill:none;stroke:var(--%s);stroke-width:1"/></pattern>`, id, k, num(p.gap), num(p.gap), num(p.gap), p.line))
		}
	}
	s.add(`<clipPath id="`, id, `-f"><path d="`, foot.String(), `"/></clipPath></defs><g clip-path="url(#`, id, `-f)">`)
	s.rect("dp", 0, 0, w, h)
	months := make([]float64, len(c.Area))
	for i := range months {
		months[i] = -1
	}
	rooted, short, least := 0, 0, 999.0
	for _, p := range snap.Soil {
		if p.Column < 0 || p.Column >= len(months) || math.IsNaN(p.Months) {
			continue
		}
		months[p.Column] = max(p.Months, 0)
		if p.Months < 999 {
			rooted++
			least = min(least, months[p.Column])
		}
		if p.Months < forecast.ShortMonths {
			short++
		}
	}
	class := func(m float64) int {
		k := 0
		for _, b := range reserveBorders {
			if m >= b {
				k++
			}
		}
		return k
	}
	var tones [4]path
	var bare path
	for iy := range c.NY {
		for ix := 0; ix < c.NX; {
			kind := func(i int) int {
				switch m := months[iy*c.NX+i]; {
				case m < 0:
					return -2
				case m >= 999:
					return -1
				default:
					return class(m)
				}
			}
			k, from := kind(ix), ix
			for ix < c.NX && kind(ix) == k {
				ix++
			}
			if k == -2 {
				continue
			}
			cell := [][2]float64{{x(float64(from) * c.Cell), y(float64(iy) * c.Cell)}, {x(float64(ix) * c.Cell), y(float64(iy) * c.Cell)}, {x(float64(ix) * c.Cell), y(float64(iy+1) * c.Cell)}, {x(float64(from) * c.Cell), y(float64(iy+1) * c.Cell)}}
			if k < 0 {
				bare.poly(cell, true)
				continue
			}
			tones[k].poly(cell, true)
		}
	}
	if !bare.empty() {
		s.add(`<path class="sdl wf" d="`, bare.String(), `"/>`)
	}
	for k := range tones {
		if tones[k].empty() {
			continue
		}
		s.add(`<path class="pp" d="`, tones[k].String(), `"/>`)
		if hatch[k].gap > 0 {
			s.add(fmt.Sprintf(`<path d="%s" style="fill:url(#%s-r%d)"/>`, tones[k].String(), id, k))
		}
	}
	s.add(`<g opacity=".85">`)
	solidsFromAbove(s, f, groundOf(f), x, y, scale)
	s.add("</g>")
	// Months in numbers, on every third patch, where they are not crowded.
	var taken boxes
	for _, d := range due {
		taken.take(x(d.X), y(d.Y), 26, 18)
	}
	for iy := 1; iy < c.NY; iy += 3 {
		for ix := 1; ix < c.NX; ix += 3 {
			m := months[iy*c.NX+ix]
			if m < 0 || m >= 999 {
				continue
			}
			px, py := x((float64(ix)+.5)*c.Cell), y((float64(iy)+.5)*c.Cell)
			label := fmt.Sprintf("%.0f", m)
			if m > 24 {
				label = "24+"
			}
			if !taken.free(px, py, 20, 13) {
				continue
			}
			taken.take(px, py, 20, 13)
			s.text("sm halo", "middle", px, py+4, label)
		}
	}
	for _, d := range due {
		s.add(`<path class="ring bad" d="M`, num(x(d.X)-11), " ", num(y(d.Y)-8), `h22v16h-22z"/>`)
		s.text("rn sm bad", "middle", x(d.X), y(d.Y)+4, fmt.Sprint(d.Tablets))
	}
	s.add("</g>")
	if t.Shape == "box" {
		s.rect("ik2", frame-2, frame-2, t.LX*scale+4, t.LY*scale+4)
		s.rect("ikt", 1, 1, w-2, h-2)
	} else {
		s.add(`<path class="ik2" d="`, foot.String(), `"/>`)
	}
	bar := scaleBar(s, frame, h+11, scale, system)
	// The key stands at the right, beside the scale bar; where that leaves no room, under it.
	words := []string{"under 2 months", "2 to 4", "4 to 12", "a year or more", "nothing roots"}
	long := 0.0
	for _, word := range words {
		long += 40 + 6.2*float64(len(word))
	}
	kx, ky, below := w-frame-long, h+4, 22.0
	if kx < frame+t.LX*scale/4 {
		kx, ky, below = max(frame, kx), h+24, 42
	}
	for k, word := range words {
		switch {
		case k == len(hatch):
			s.rect("sdl", kx, ky, 18, 11)
		case hatch[k].gap > 0:
			s.rect("pp", kx, ky, 18, 11)
			s.add(fmt.Sprintf(`<rect x="%s" y="%s" width="18" height="11" style="fill:url(#%s-r%d)"/>`, num(kx), num(ky), id, k))
		}
		s.rect("ikt", kx, ky, 18, 11)
		s.text("sm", "start", kx+23, ky+10, word)
		kx += 40 + 6.2*float64(len(word))
	}
	return s.finish(w, h+below, fmt.Sprintf("Reserve of the root zone on day %d", snap.Day),
		fmt.Sprintf("Of %d rooted patches %d hold less than %.0f months of supply; the least holds %.1f. %d places where tablets are due. Scale bar %s.", rooted, short, forecast.ShortMonths, least, len(due), bar))
}
