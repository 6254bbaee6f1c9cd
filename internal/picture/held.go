package picture

import (
	"fmt"
	"littoral/internal/forecast"
	"math"
	"sort"
	"strings"
)

// hatch is how a cause is drawn: a tile of strokes and dots over a tone, so that causes part without colour.
type hatch struct {
	cause string // as growth names it
	word  string // on the chart
	fill  string // name of one of the theme's colours
	tint  float64
	line  string // the same
	size  float64
	marks string // path of the tile
	dots  bool
}

// hatches in the order in which they lie on one another, from the top.
var hatches = []hatch{
	{"light", "light", "sand", 1, "wood", 4, "M0 1H4", false},
	{"CO2", "CO2", "water", 1, "waterl", 5, "M2.5 1a1.3 1.3 0 1 0 .01 0", false},
	{"nitrogen", "nitrogen", "leaf", .16, "leaf", 4, "M-1 1L1 -1M0 4L4 0M3 5L5 3", false},
	{"phosphorus", "phosphorus", "red", .14, "red", 4, "M-1 3L1 5M0 0L4 4M3 -1L5 1", false},
	{"potassium", "potassium", "moss", .16, "moss", 5, "M0 0L5 5M0 5L5 0", false},
	{"iron", "iron", "red", .14, "red", 3, "M1.5 0V3", false},
	{"temperature", "temperature", "stone", 1, "ink", 6, "M1 1.5h2M3.6 4.5h1.6", false},
	{"space", "own full size", "rule", .35, "soft", 8, "M0 8L8 0", false},
	{"root room", "root room", "wood", .2, "wood", 5, "M0 2.5H5M2.5 0V5", false},
	{"pH or hardness", "pH or hardness", "waterl", .16, "waterl", 6, "M0 3q1.5 -2.4 3 0t3 0", false},
	{"settling in", "settling in", "soft", .08, "soft", 5, "M1 1h.4M3.5 3.5h.4", true},
}

// heldQuarter is how many months one step of the chart joins after the first three.
const heldQuarter = 3

// step is a stretch of time on a row: what each hatch took of the height, from the top.
type step struct {
	from, until int
	took        []float64
}

// HeldBack draws what holds each planting back: a row as high as its kind can grow, of which the green foot is what it does grow and the hatches
// above are what keeps it from more, each in its share. Months are joined to quarters after the third.
func HeldBack(id string, f *forecast.Forecast, k *Key, width float64) Drawing {
	s := newSheet(id)
	rows := map[string][]*forecast.Month{}
	var names []string
	for i := range f.Held {
		m := &f.Held[i]
		if rows[m.Planting] == nil {
			names = append(names, m.Planting)
		}
		rows[m.Planting] = append(rows[m.Planting], m)
	}
	number := func(name string) int {
		if sp := rows[name][0].Species; sp != nil {
			return k.Number(sp.Name)
		}
		return 0
	}
	sort.SliceStable(names, func(a, b int) bool {
		if x, y := number(names[a]), number(names[b]); x != y {
			return x < y
		}
		return names[a] < names[b]
	})
	const left, right, high, gap, head = 190.0, 150.0, 24.0, 5.0, 34.0
	r := NewRuler(0, f.Length, left, width-left-right)
	s.add("<defs>")
	for i, h := range hatches {
		s.add(fmt.Sprintf(`<pattern id="%s-c%d" width="%s" height="%s" patternUnits="userSpaceOnUse">`, id, i, num(h.size), num(h.size)))
		s.add(fmt.Sprintf(`<rect width="%s" height="%s" style="fill:var(--%s);fill-opacity:%.2f"/>`, num(h.size), num(h.size), h.fill, h.tint))
		wide := ".8"
		if h.dots {
			wide = "1.1"
		}
		s.add(fmt.Sprintf(`<path d="%s" style="fill:none;stroke:var(--%s);stroke-width:%s"/></pattern>`, h.marks, h.line, wide))
	}
	s.add("</defs>")
	height := head + float64(len(names))*(high+gap)
	if r.bent() {
		s.rect("early", r.X(0), head-4, r.X(earlyDays)-r.X(0), height-head+4)
	}
	used := make([]bool, len(hatches))
	var told []string
	for n, name := range names {
		y0 := head + float64(n)*(high+gap)
		steps := stepsOf(rows[name])
		paths := make([]path, len(hatches))
		var days float64
		lost := make([]float64, len(hatches))
		for _, st := range steps {
			x0, x1 := r.X(float64(st.from)), r.X(float64(st.until+1))
			x1 = math.Min(x1, r.x0+r.width)
			y := y0
			for i, took := range st.took {
				if took*high < .15 {
					y += took * high
					continue
				}
				paths[i].poly([][2]float64{{x0, y}, {x1, y}, {x1, y + took*high}, {x0, y + took*high}}, true)
				y += took * high
				used[i] = true
			}
			d := float64(st.until - st.from + 1)
			days += d
			for i, took := range st.took {
				lost[i] += d * took
			}
		}
		from, until := r.X(float64(steps[0].from)), math.Min(r.X(float64(steps[len(steps)-1].until+1)), r.x0+r.width)
		s.rect("pp", from, y0, until-from, high)
		s.add(fmt.Sprintf(`<rect x="%s" y="%s" width="%s" height="%s" style="fill:var(--leaf);fill-opacity:.55"/>`, num(from), num(y0), num(until-from), num(high)))
		for i := range paths {
			if !paths[i].empty() {
				s.add(`<path class="pp" d="`, paths[i].String(), `"/>`)
				s.add(fmt.Sprintf(`<path d="%s" style="fill:url(#%s-c%d)"/>`, paths[i].String(), id, i))
			}
		}
		s.add(`<path class="ikt" d="M`, num(r.x0), " ", num(y0+high), "H", num(r.x0+r.width), `"/>`)
		sp := "?"
		if rows[name][0].Species != nil {
			sp = rows[name][0].Species.Name
		}
		s.text("sm so", "end", left-8, y0+high-7, name)
		s.text("sm", "start", 2, y0+high-7, fmt.Sprint(number(name)))
		worst, all := 0, 0.0
		for i := range lost {
			all += lost[i]
			if lost[i] > lost[worst] {
				worst = i
			}
		}
		text := "hardly held back"
		if days > 0 && all/days > .1 {
			text = fmt.Sprintf("most by %s", hatches[worst].word)
		}
		s.text("sm", "start", r.x0+r.width+8, y0+high-7, text)
		told = append(told, fmt.Sprintf("%s (%s): %s, grows %.0f %% of what it can.", name, sp, text, 100*(1-all/math.Max(days, 1))))
	}
	// The key: only what occurs.
	x := left
	s.add(fmt.Sprintf(`<rect x="%s" y="6" width="18" height="12" style="fill:var(--leaf);fill-opacity:.55"/>`, num(x)))
	s.rect("ikt", x, 6, 18, 12)
	s.text("sm", "start", x+23, 16, "grows")
	x += 70
	for i, h := range hatches {
		if !used[i] {
			continue
		}
		w := 24 + 6.2*float64(len(h.word)) + 12
		if x+w > width {
			break
		}
		s.add(fmt.Sprintf(`<rect x="%s" y="6" width="18" height="12" style="fill:url(#%s-c%d)"/>`, num(x), id, i))
		s.rect("ikt", x, 6, 18, 12)
		s.text("sm", "start", x+23, 16, h.word)
		x += w
	}
	r.axis(s, height+2, 6.2)
	return s.finish(width, height+28, "What holds each planting back", strings.Join(told, " "))
}

// stepsOf joins the months of a planting: each of the first three by itself, then quarters. What was lost is a mean over days.
func stepsOf(months []*forecast.Month) []step {
	var out []step
	for i := 0; i < len(months); {
		n := 1
		if i >= 3 {
			n = min(heldQuarter, len(months)-i)
		}
		st := step{from: months[i].From, until: months[i+n-1].Until, took: make([]float64, len(hatches))}
		days := 0.0
		for _, m := range months[i : i+n] {
			d := float64(m.Until - m.From + 1)
			days += d
			for _, c := range m.Shares.Causes() {
				for h := range hatches {
					if hatches[h].cause == c.Name && !math.IsNaN(c.Share+m.Reached) && !math.IsInf(c.Share+m.Reached, 0) {
						st.took[h] += d * c.Share * (1 - m.Reached)
					}
				}
			}
		}
		for h := range st.took {
			st.took[h] /= math.Max(days, 1)
		}
		out = append(out, st)
		i += n
	}
	return out
}
