package picture

import (
	"fmt"
	"littoral/internal/forecast"
	"littoral/internal/geometry"
	"math"
	"sort"
)

// early is the end of the first eight weeks, in which a tank changes faster than ever after: they get a fifth of every ruler.
const (
	earlyDays  = 56
	earlyShare = .2
)

// Ruler lays days along a line of width units from x0: the days up to week 8 on the first fifth, the rest on what is left.
type Ruler struct {
	From, To  int // first and last day
	x0, width float64
}

// NewRuler makes a ruler for days from to to.
func NewRuler(from, to int, x0, width float64) Ruler {
	return Ruler{from, max(to, from+1), x0, width}
}

// bent tells whether the early weeks are stretched: only where they would get less than their fifth.
func (r Ruler) bent() bool {
	return r.To > earlyDays && float64(earlyDays-r.From) < earlyShare*float64(r.To-r.From)
}

// X is the place of a day.
func (r Ruler) X(day float64) float64 {
	if !r.bent() {
		return r.x0 + r.width*(day-float64(r.From))/float64(r.To-r.From)
	}
	if day <= earlyDays {
		return r.x0 + r.width*earlyShare*(day-float64(r.From))/float64(earlyDays-r.From)
	}
	return r.x0 + r.width*(earlyShare+(1-earlyShare)*(day-earlyDays)/float64(r.To-earlyDays))
}

// tick is a day with a mark and perhaps a name.
type tick struct {
	day  float64
	big  bool
	name string
}

// ticks are weeks to week 8 and months after it, with the years strong; names only where they have room.
func (r Ruler) ticks(char float64) []tick {
	var out []tick
	const month = 365.25 / 12
	last := float64(r.To)
	switch {
	case r.To-r.From <= 130:
		for d := 0.0; d <= last; d += 7 {
			t := tick{day: d}
			if w := int(d / 7); w%2 == 0 {
				t.big, t.name = true, fmt.Sprintf("week %d", w)
				if w == 0 {
					t.name = "day 0"
				}
			}
			out = append(out, t)
		}
	default:
		for d := 0.0; d <= min(earlyDays, last); d += 7 {
			t := tick{day: d}
			switch d {
			case 0:
				t.big, t.name = true, "day 0"
			case earlyDays:
				t.big, t.name = true, "week 8"
			}
			out = append(out, t)
		}
		for m := 3; float64(m)*month <= last+1; m++ {
			t := tick{day: float64(m) * month}
			switch {
			case m%12 == 0 && m > 12:
				t.big, t.name = true, fmt.Sprintf("year %d", m/12)
			case m == 12:
				t.big, t.name = true, "month 12"
			case m == 6 || m == 18 || r.To < 500 && m%2 == 0:
				t.name = fmt.Sprintf("month %d", m)
			}
			out = append(out, t)
		}
	}
	if r.From < 0 {
		out = append([]tick{{day: float64(r.From), big: true, name: fmt.Sprintf("day %d", r.From)}}, out...)
	}
	// Names that would run into one another: the strong ones stay.
	var kept boxes
	order := make([]int, len(out))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return out[order[a]].big && !out[order[b]].big })
	for _, i := range order {
		if out[i].name == "" {
			continue
		}
		w := float64(len(out[i].name))*char + 6
		x := clamp(r.X(out[i].day), r.x0+w/2-3, r.x0+r.width-w/2+3)
		if !kept.free(x, 0, w, 1) {
			out[i].name = ""
			continue
		}
		kept.take(x, 0, w, 1)
	}
	return out
}

// axis draws the ruler at y with names under it.
func (r Ruler) axis(s *sheet, y, char float64) {
	s.line("ikt", r.x0, y, r.x0+r.width, y)
	for _, t := range r.ticks(char) {
		x := clamp(r.X(t.day), r.x0, r.x0+r.width)
		l := 3.5
		if t.big {
			l = 7
		}
		s.line("ikt", x, y, x, y+l)
		if t.name != "" {
			w := float64(len(t.name)) * char
			s.text("sm so", "middle", clamp(x, r.x0+w/2-3, r.x0+r.width-w/2+3), y+18, t.name)
		}
	}
}

// Pin is a finding on the ruler.
type Pin struct {
	Number int
	Day    int
	Grave  bool
	Href   string
}

// Timeline is the ruler of a forecast: the weight of all shoots over it, wedges for visits, pins for findings. With bands of many
// forecasts the weight is drawn as the band that holds eight of ten of them; bands may be nil.
func Timeline(id string, f *forecast.Forecast, bands *forecast.Bands, pins []Pin, width float64) Drawing {
	s := newSheet(id)
	r := NewRuler(min(f.Start, 0), f.Length, 12, width-24)
	const top, base = 54.0, 92.0
	if r.bent() {
		s.rect("early", r.X(float64(r.From)), top-6, r.X(earlyDays)-r.X(float64(r.From)), base-top+6)
	}
	most := 0.0
	for i := range f.Days {
		if g := f.Days[i].ShootG; g > most && !math.IsInf(g, 0) {
			most = g
		}
	}
	spread := LeafMass(bands)
	if len(spread) > 0 {
		for _, b := range spread {
			most = max(most, b.High)
		}
		var p path
		for i, b := range spread {
			x, y := r.X(float64(bands.Days[i])), base-(base-top)*clamp(b.High/most, 0, 1)
			if i == 0 {
				p.move(x, y)
				continue
			}
			p.lineTo(x, y)
		}
		for i := len(spread) - 1; i >= 0; i-- {
			p.lineTo(r.X(float64(bands.Days[i])), base-(base-top)*clamp(spread[i].Low/most, 0, 1))
		}
		p.close()
		s.add(`<path class="bar" fill-opacity=".35" d="`, p.String(), `"/>`)
	} else if most > 0 {
		var pts [][2]float64
		for i := range f.Days {
			d := &f.Days[i]
			pts = append(pts, [2]float64{r.X(float64(d.Day)), base - (base-top)*clamp(d.ShootG/most, 0, 1)})
		}
		var p path
		p.move(r.X(float64(f.Days[0].Day)), base)
		for _, q := range geometry.Simplify(pts, .4) {
			p.lineTo(q[0], q[1])
		}
		p.lineTo(pts[len(pts)-1][0], base)
		p.close()
		s.add(`<path class="bar" fill-opacity=".35" d="`, p.String(), `"/>`)
	}
	r.axis(s, base, 6.2)
	var wedges path
	lastX := -9.0
	for i := range f.Visits {
		x := r.X(float64(f.Visits[i].Day))
		if x-lastX < 3.6 { // where visits stand closer than a wedge is wide, the row of them tells enough
			continue
		}
		lastX = x
		wedges.poly([][2]float64{{x - 2, base - 1}, {x + 2, base - 1}, {x, base - 6}}, true)
	}
	if !wedges.empty() {
		s.add(`<path class="wedge" d="`, wedges.String(), `"/>`)
	}
	// Pins in up to three rows, so that numbers never cover one another.
	sorted := append([]Pin(nil), pins...)
	sort.SliceStable(sorted, func(i, j int) bool { return sorted[i].Day < sorted[j].Day })
	free := [3]float64{-99, -99, -99}
	for _, p := range sorted {
		x := r.X(clamp(float64(p.Day), float64(r.From), float64(r.To)))
		row, px := 0, 0.0
		best := math.Inf(1)
		for i := range free {
			at := max(x, free[i]+17)
			if at-x < best-.01 {
				best, row, px = at-x, i, at
			}
		}
		px = min(px, r.x0+r.width)
		free[row] = px
		py := 37 - 14.5*float64(row)
		class := ""
		if p.Grave {
			class = " bad"
		}
		s.line("lead", px, py+7, x, base)
		s.add(`<g class="mark">`)
		if p.Href != "" {
			s.links = true
			s.add(`<a href="`, Text(p.Href), `" aria-label="finding `, fmt.Sprint(p.Number), `">`)
		}
		s.circle("ring"+class, px, py, 7.2)
		s.text("rn sm"+class, "middle", px, py+4, fmt.Sprint(p.Number))
		if p.Href != "" {
			s.add("</a>")
		}
		s.add("</g>")
	}
	desc := fmt.Sprintf("%d days, %d visits, %d findings. The band is the dry weight of all shoots, at most %.0f g.", f.Length, len(f.Visits), len(pins), most)
	if r.bent() {
		desc += " The first eight weeks take a fifth of the ruler."
	}
	return s.finish(width, base+26, "Ruler of the years ahead", desc)
}

// LeafMass is the band of the weight of all shoots, g dry, by the days of the bands; nil when there is none.
func LeafMass(b *forecast.Bands) []forecast.Band {
	if b == nil {
		return nil
	}
	for i := range b.Series {
		if b.Series[i].Name == "leaf mass" && len(b.Series[i].Bands) == len(b.Days) {
			return b.Series[i].Bands
		}
	}
	return nil
}
