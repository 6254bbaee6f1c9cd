package picture

import (
	"math"
	"strconv"
)

// DayLine is one day of a Swing: a value at the end of each hour.
type DayLine struct {
	Name string
	V    [24]float64
}

// Swing is how something runs through the day, on a few days.
type Swing struct {
	ID, Title, Unit string
	Lines           []DayLine
	Light, Gas      [24]float64 // of the last day: share of full light, share of the hour with gas
	Limits          []Limit
	Zero            bool
	Least           float64 // the scale spans at least so much
}

const swingRight = 74.0

// Draw lays the day out: hours from left to right, the light hours on lighter paper between dusk's rules, the gas as a bar along the top.
func (c Swing) Draw() Drawing {
	s := newSheet(c.ID)
	width := chartW - chartLeft - swingRight
	floor, top := chartH-chartFoot, chartTop+8
	x := func(hour float64) float64 { return chartLeft + width*hour/24 }
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, l := range c.Lines {
		for _, v := range l.V {
			lo, hi = min(lo, v), max(hi, v)
		}
	}
	if !(hi >= lo) {
		lo, hi = 0, 1
	}
	if c.Zero {
		lo = min(lo, 0)
	}
	if hi-lo < c.Least {
		if mid := (lo + hi) / 2; c.Zero {
			hi = lo + c.Least
		} else {
			lo, hi = mid-c.Least/2, mid+c.Least/2
		}
	}
	if !(hi > lo) {
		hi = lo + 1
	}
	steps := ticksOf(lo, hi, 4)
	lo, hi = min(lo, steps[0]), max(hi, steps[len(steps)-1])
	y := func(v float64) float64 { return floor - (floor-top)*(clamp(v, lo, hi)-lo)/(hi-lo) }
	spell(c.Light, func(from, to int) { s.rect("early", x(float64(from)), top, x(float64(to))-x(float64(from)), floor-top) })
	spell(c.Gas, func(from, to int) {
		s.rect("bar", x(float64(from)), chartTop-2, x(float64(to))-x(float64(from)), 4)
		s.text("it sm", "end", x(float64(from))-4, chartTop+4, "gas")
	})
	for _, v := range steps {
		s.line("ru", chartLeft, y(v), chartLeft+width, y(v))
		s.text("sm so", "end", chartLeft-5, y(v)+4, figure3(v, steps))
	}
	for hour := 0; hour <= 24; hour += 6 {
		s.line("ru", x(float64(hour)), floor, x(float64(hour)), floor+4)
		s.text("sm so", "middle", x(float64(hour)), floor+16, strconv.Itoa(hour)+" h")
	}
	for _, l := range c.Limits {
		if l.V >= lo && l.V <= hi {
			s.line("lim", chartLeft, y(l.V), chartLeft+width, y(l.V))
			s.text("it sm halo", "end", chartLeft+width-4, y(l.V)-4, l.Name)
		}
	}
	var ends []lineEnd
	for n, l := range c.Lines {
		var pts [][2]float64 // from the end of the first hour: a change of water may lie between two midnights
		for hour, v := range l.V {
			pts = append(pts, [2]float64{x(float64(hour + 1)), y(v)})
		}
		var p path
		p.poly(pts, false)
		s.add(`<path class="l`, strconv.Itoa(n%5+1), `" d="`, p.String(), `"/>`)
		ends = append(ends, lineEnd{y(l.V[23]), l.Name})
	}
	s.endNames(ends, chartLeft+width, floor)
	says := c.Title + " through the day"
	for _, l := range c.Lines {
		low, high := math.Inf(1), math.Inf(-1)
		for _, v := range l.V {
			low, high = min(low, v), max(high, v)
		}
		says += "; " + l.Name + ": " + strconv.FormatFloat(low, 'g', 3, 64) + " to " + strconv.FormatFloat(high, 'g', 3, 64) + " " + c.Unit
	}
	return s.finish(chartW, chartH, c.Title, says+".")
}

// spell calls draw for each stretch of hours in which v is more than nothing.
func spell(v [24]float64, draw func(from, to int)) {
	for from := 0; from < 24; from++ {
		if v[from] <= 0 {
			continue
		}
		to := from
		for to < 24 && v[to] > 0 {
			to++
		}
		draw(from, to)
		from = to
	}
}
