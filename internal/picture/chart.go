package picture

import (
	"fmt"
	"littoral/internal/geometry"
	"math"
	"sort"
	"strconv"
)

// Series is one line of a chart, or one layer of a stack.
type Series struct {
	Name string
	V    []float64 // one value for each of the chart's days; NaN where there is none
	Key  int       // species number for a stack; 0 = a line of the chart's own styles

	Low, High []float64 // what one and nine of ten forecasts stay under, as long as V; both nil without
}

// Limit is a level worth marking, named on the chart.
type Limit struct {
	V    float64
	Name string
}

// Target is a band worth standing in, named on the chart.
type Target struct {
	Low, High float64
	Name      string
}

// Chart is values over days.
type Chart struct {
	ID, Title, Unit string
	Days            []int
	Lines           []Series
	Limits          []Limit
	Targets         []Target
	From, To        int     // days shown; both zero = all
	Zero            bool    // the scale begins at nothing
	Stack           bool    // layers on one another
	Bars            bool    // one bar for each day, which is then a month's first
	Least           float64 // the scale spans at least so much
}

const (
	chartW, chartH                             = 480.0, 190.0
	chartLeft, chartRight, chartTop, chartFoot = 42.0, 70.0, 10.0, 26.0
)

// Draw lays the chart out. After week 8 a line is the mean of each week within a band from the week's lowest to its highest day, so
// that the saw teeth of water changes stay readable over years.
func (c Chart) Draw() Drawing {
	s := newSheet(c.ID)
	from, to := c.From, c.To
	if from == 0 && to == 0 && len(c.Days) > 0 {
		from, to = c.Days[0], c.Days[len(c.Days)-1]
	}
	right := chartRight
	for _, l := range c.Lines {
		right = max(right, 14+5.9*float64(len([]rune(l.Name))))
	}
	if c.Bars {
		right = 12
	}
	r := NewRuler(from, to, chartLeft, chartW-chartLeft-right)
	floor := chartH - chartFoot
	lo, hi := c.span(from, to)
	steps := ticksOf(lo, hi, 4)
	lo, hi = min(lo, steps[0]), max(hi, steps[len(steps)-1])
	y := func(v float64) float64 { return floor - (floor-chartTop)*(clamp(v, lo, hi)-lo)/(hi-lo) }
	if r.bent() {
		s.rect("early", r.X(float64(from)), chartTop, r.X(earlyDays)-r.X(float64(from)), floor-chartTop)
	}
	for i, b := range c.Targets {
		top, foot := y(min(b.High, hi)), y(max(b.Low, lo))
		if foot-top < 2 { // out of sight
			continue
		}
		s.rect("target", chartLeft, top, r.width, foot-top)
		at := top + 11 // the second stands at its foot: two bands often share their top
		if i > 0 {
			at = foot - 4
		}
		left := chartLeft
		if r.bent() { // the first weeks are full of lines
			left = r.X(earlyDays)
		}
		s.text("it sm so halo", "start", left+5, at, b.Name)
	}
	for _, v := range steps {
		s.line("ru", chartLeft, y(v), chartLeft+r.width, y(v))
		s.text("sm so", "end", chartLeft-5, y(v)+4, figure3(v, steps))
	}
	var taken boxes
	var ends []lineEnd
	switch {
	case c.Stack:
		base := make([]float64, len(c.Days))
		for n := range c.Lines {
			l := &c.Lines[n]
			var up, down [][2]float64
			for i, d := range c.Days {
				if d < from || d > to || i >= len(l.V) {
					continue
				}
				x := r.X(float64(d))
				down = append(down, [2]float64{x, y(base[i])})
				if !math.IsNaN(l.V[i]) {
					base[i] += l.V[i]
				}
				up = append(up, [2]float64{x, y(base[i])})
			}
			if len(up) < 2 {
				continue
			}
			mid := (up[len(up)-1][1] + down[len(down)-1][1]) / 2
			var p path
			p.poly(geometry.Simplify(up, .3), false)
			low := geometry.Simplify(down, .3)
			for i := len(low) - 1; i >= 0; i-- {
				p.lineTo(low[i][0], low[i][1])
			}
			p.close()
			k := strconv.Itoa(l.Key)
			class := "area f" + k + " k" + k
			if l.Key == 0 {
				class = "area dp ikt"
			}
			s.add(`<path class="`, class, `" d="`, p.String(), `"/>`)
			if down[len(down)-1][1]-up[len(up)-1][1] > 2 {
				ends = append(ends, lineEnd{mid, l.Name})
			}
		}
	case c.Bars:
		for n := range c.Lines {
			l := &c.Lines[n]
			for i, d := range c.Days {
				if i >= len(l.V) || math.IsNaN(l.V[i]) {
					continue
				}
				next := float64(to)
				if i+1 < len(c.Days) {
					next = float64(c.Days[i+1])
				}
				x0, x1 := r.X(float64(d)), r.X(next)
				gap := min(1.5, (x1-x0)*.15)
				s.rect("bar", x0+gap/2, y(l.V[i]), x1-x0-gap, floor-y(l.V[i]))
			}
		}
	default:
		for n := range c.Lines {
			l := &c.Lines[n]
			k := strconv.Itoa(n%5 + 1)
			mean, low, high := c.weekly(l.V, from, to, r)
			if len(l.Low) == len(l.V) && len(l.High) == len(l.V) && len(l.V) > 0 { // many forecasts: their band, not the week's
				mean, low, high = nil, nil, nil
				for i, d := range c.Days {
					if d < from || d > to || i >= len(l.V) {
						continue
					}
					x := r.X(float64(d))
					mean, low, high = append(mean, [2]float64{x, l.V[i]}), append(low, [2]float64{x, l.Low[i]}), append(high, [2]float64{x, l.High[i]})
				}
				if len(mean) == 0 {
					continue
				}
			}
			if len(mean) == 0 {
				continue
			}
			if len(low) > 1 {
				var p path
				for i, q := range high {
					if i == 0 {
						p.move(q[0], y(q[1]))
						continue
					}
					p.lineTo(q[0], y(q[1]))
				}
				for i := len(low) - 1; i >= 0; i-- {
					p.lineTo(low[i][0], y(low[i][1]))
				}
				p.close()
				s.add(`<path class="b`, k, `" d="`, p.String(), `"/>`)
			}
			var pts [][2]float64
			for _, q := range mean {
				pts = append(pts, [2]float64{q[0], y(q[1])})
			}
			var p path
			p.poly(geometry.Simplify(pts, .25), false)
			s.add(`<path class="l`, k, `" d="`, p.String(), `"/>`)
			ends = append(ends, lineEnd{pts[len(pts)-1][1], l.Name})
		}
	}
	for _, l := range c.Limits {
		if l.V < lo || l.V > hi {
			continue
		}
		s.line("lim", chartLeft, y(l.V), chartLeft+r.width, y(l.V))
		w := float64(len(l.Name)) * 5.6
		tx := chartLeft + r.width - w/2 - 4
		dy := -4.0
		if y(l.V) < chartTop+14 {
			dy = 12
		}
		taken.take(tx, y(l.V), w, 12)
		s.text("it sm halo", "middle", tx, y(l.V)+dy, l.Name)
	}
	s.endNames(ends, chartLeft+r.width, floor)
	r.axis(s, floor, 5.9)
	return s.finish(chartW, chartH, c.Title, c.describe(from, to))
}

// lineEnd is where a line ends at the right, and its name.
type lineEnd struct {
	y    float64
	name string
}

// endNames writes the names of lines beside their right end at x, pushed apart, with a thin lead where one moved.
func (s *sheet) endNames(ends []lineEnd, x, floor float64) {
	sort.SliceStable(ends, func(i, j int) bool { return ends[i].y < ends[j].y })
	place := make([]float64, len(ends))
	for i := range ends {
		place[i] = ends[i].y
		if i > 0 {
			place[i] = max(place[i], place[i-1]+13)
		}
	}
	for i := len(place) - 1; i >= 0; i-- {
		top := floor + 4
		if i+1 < len(place) {
			top = place[i+1] - 13
		}
		place[i] = min(place[i], top)
	}
	for i, e := range ends {
		s.line("ru", x+1, e.y, x+7, place[i])
		s.text("sm", "start", x+9, place[i]+4, e.name)
	}
}

// weekly gives the line of a series: each day up to week 8, then the mean of each week with its lowest and highest day.
func (c Chart) weekly(v []float64, from, to int, r Ruler) (mean, low, high [][2]float64) {
	var sum, n, lo, hi float64
	start := 0
	flush := func(end int) {
		if n == 0 {
			return
		}
		x := r.X((float64(start) + float64(end)) / 2)
		mean = append(mean, [2]float64{x, sum / n})
		if len(low) == 0 && len(mean) > 1 { // the band begins where the daily line ends
			low, high = append(low, mean[len(mean)-2]), append(high, mean[len(mean)-2])
		}
		low, high = append(low, [2]float64{x, lo}), append(high, [2]float64{x, hi})
		sum, n = 0, 0
	}
	for i, d := range c.Days {
		if d < from || d > to || i >= len(v) || math.IsNaN(v[i]) {
			continue
		}
		if d <= earlyDays || to-from <= 130 {
			mean = append(mean, [2]float64{r.X(float64(d)), v[i]})
			continue
		}
		if n == 0 {
			start, lo, hi = d, v[i], v[i]
		}
		sum, n, lo, hi = sum+v[i], n+1, min(lo, v[i]), max(hi, v[i])
		if d-start >= 6 {
			flush(d)
		}
	}
	if n >= 4 {
		flush(to)
	}
	return
}

// span is the range of the values shown.
func (c Chart) span(from, to int) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	stack := make([]float64, len(c.Days))
	for n := range c.Lines {
		for i, d := range c.Days {
			if d < from || d > to || i >= len(c.Lines[n].V) {
				continue
			}
			v := c.Lines[n].V[i]
			if math.IsNaN(v) || math.IsInf(v, 0) {
				continue
			}
			if c.Stack {
				stack[i] += v
				v = stack[i]
			}
			lo, hi = min(lo, v), max(hi, v)
			if s := &c.Lines[n]; i < len(s.Low) && i < len(s.High) {
				lo, hi = min(lo, s.Low[i]), max(hi, s.High[i])
			}
		}
	}
	if math.IsInf(lo, 0) || math.IsNaN(lo+hi) {
		return 0, 1
	}
	if c.Zero || c.Stack || c.Bars {
		lo = min(lo, 0)
	}
	if hi-lo < c.Least {
		if c.Zero || c.Stack || c.Bars {
			hi = lo + c.Least
		} else {
			mid := (lo + hi) / 2
			lo, hi = mid-c.Least/2, mid+c.Least/2
			if mid >= 0 && lo < 0 {
				lo, hi = 0, c.Least
			}
		}
	}
	if !(hi > lo) {
		hi = lo + 1
	}
	return
}

// ticksOf gives round values over a range, about n of them, covering it from a round value at or below lo.
func ticksOf(lo, hi float64, n int) []float64 {
	raw := (hi - lo) / float64(n)
	mag := math.Pow(10, math.Floor(math.Log10(raw)))
	step := 10 * mag
	for _, m := range []float64{1, 2, 2.5, 5} {
		if m*mag >= raw*.999 {
			step = m * mag
			break
		}
	}
	var out []float64
	first := math.Floor(lo/step + 1e-9)
	for k := first; ; k++ {
		out = append(out, k*step)
		if k*step >= hi-1e-9*step || len(out) > 20 {
			return out
		}
	}
}

// figure3 writes a value of the scale with the decimals that its steps need.
func figure3(v float64, steps []float64) string {
	places := 0
	if len(steps) > 1 {
		step := steps[1] - steps[0]
		for places < 4 && math.Abs(step-math.Round(step*math.Pow10(places))/math.Pow10(places)) > step*1e-6 {
			places++
		}
	}
	if math.Abs(v) < 1e-12 {
		v = 0
	}
	return strconv.FormatFloat(v, 'f', places, 64)
}

// describe gives each line's range and last value in words.
func (c Chart) describe(from, to int) string {
	out := ""
	if c.Unit != "" {
		out = "In " + c.Unit + ". "
	}
	for n := range c.Lines {
		lo, hi, last := math.Inf(1), math.Inf(-1), math.NaN()
		for i, d := range c.Days {
			if d < from || d > to || i >= len(c.Lines[n].V) || math.IsNaN(c.Lines[n].V[i]) || math.IsInf(c.Lines[n].V[i], 0) {
				continue
			}
			v := c.Lines[n].V[i]
			lo, hi, last = min(lo, v), max(hi, v), v
		}
		if math.IsInf(lo, 0) {
			continue
		}
		name := c.Lines[n].Name
		if name == "" {
			name = c.Title
		}
		out += fmt.Sprintf("%s from %.3g to %.3g, at the end %.3g. ", name, lo, hi, last)
	}
	return out
}
