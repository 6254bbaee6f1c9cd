package papers

import (
	"fmt"
	"html/template"
	"littoral/internal/findings"
	"littoral/internal/forecast"
	"littoral/internal/picture"
	"littoral/internal/unit"
	"sort"
	"strconv"
)

// heldHeader are the columns of held.csv: how fast a planting grew in a month against what its kind can, and what each cause took of what was
// lost. The shares of a line add up to one, or are all nothing where nothing was lost.
var heldHeader = []string{
	"from_day", "until_day", "planting", "species", "reached_share", "light", "co2", "nitrogen", "phosphorus", "potassium", "iron",
	"temperature", "own_size", "root_room", "ph_or_hardness", "settling_in",
}

func heldCSV(f *forecast.Forecast) []byte {
	return table(heldHeader, func(write func([]string)) {
		for i := range f.Held {
			m := &f.Held[i]
			name := ""
			if m.Species != nil {
				name = m.Species.Name
			}
			s := &m.Shares
			row := []string{strconv.Itoa(m.From), strconv.Itoa(m.Until), cell(m.Planting), cell(name), decimal(m.Reached, 3)}
			for _, x := range []float64{s.Light, s.CO2, s.N, s.P, s.K, s.Fe, s.Temp, s.Space, s.Room, s.Water, s.Settle} {
				row = append(row, decimal(x, 3))
			}
			write(row)
		}
	})
}

// bedEvery is the time between the days of rootzone.csv.
const bedEvery = 91

// rootZoneCSV is a line for each patch of the bed every quarter: how deep it is, what it holds and for how long it feeds what roots in it.
func rootZoneCSV(f *forecast.Forecast) []byte {
	return table([]string{"day", "x_cm", "y_cm", "bed_cm", "n_mg", "p_mg", "k_mg", "months_of_supply", "ends_first"}, func(write func([]string)) {
		for i := range f.Snapshots {
			s := &f.Snapshots[i]
			if s.Day%bedEvery != 0 && s.Day != f.Length {
				continue
			}
			top := groundOn(f, s.Day)
			for _, p := range s.Soil {
				months := ""
				if p.Months < 999 {
					months = decimal(p.Months, 1)
				}
				depth := ""
				if p.Column < len(top) {
					depth = decimal(100*top[p.Column], 1)
				}
				x, y := placeOf(f, p.Column)
				write([]string{strconv.Itoa(s.Day), decimal(100*x, 1), decimal(100*y, 1), depth, decimal(p.N, 1), decimal(p.P, 2), decimal(p.K, 1), months, p.Short})
			}
		}
	})
}

func placeOf(f *forecast.Forecast, col int) (x, y float64) {
	c := f.Columns
	if c.NX <= 0 {
		return 0, 0
	}
	return (float64(col%c.NX) + .5) * c.Cell, (float64(col/c.NX) + .5) * c.Cell
}

// groundOn is how the bed lay last before a day, as laid when it was not kept.
func groundOn(f *forecast.Forecast, day int) []float64 {
	top := f.Columns.Top
	for i := range f.Ground {
		if f.Ground[i].Day <= day {
			top = f.Ground[i].Top
		}
	}
	return top
}

// dueRow is a place where root tablets are due.
type dueRow struct{ When, Where, Tablets, Short string }

// rootZone draws what holds plantings back and the reserve of the bed.
func (t *teller) rootZone(p *page, key *picture.Key, scale float64, svg func(picture.Drawing) template.HTML) {
	f := t.f
	if len(f.Held) > 0 {
		d := picture.HeldBack("held", f, key, 1000)
		p.Held = plate{SVG: svg(d), Name: "What holds each planting back.", Says: t.heldSays(), Wide: true}
	}
	var due []findings.Due
	for i := range t.found {
		due = append(due, t.found[i].Due...)
	}
	sort.SliceStable(due, func(a, b int) bool { return due[a].Day < due[b].Day })
	for _, d := range due {
		p.Due = append(p.Due, dueRow{t.when(d.Day), d.Where, strconv.Itoa(d.Tablets), d.Short})
	}
	last := -1
	for i, day := range []int{182, 365, f.Length} {
		s := nearest(f, day)
		if s == nil || len(f.Columns.Area) == 0 || s.Day <= last+28 || len(s.Soil) == 0 || day > f.Length {
			continue
		}
		rooted, short := 0, 0
		for _, q := range s.Soil {
			if q.Months < 999 {
				rooted++
			}
			if q.Months < forecast.ShortMonths {
				short++
			}
		}
		if rooted == 0 {
			continue
		}
		var push []picture.Push
		for _, d := range due {
			if d.Day > last && d.Day <= s.Day {
				push = append(push, picture.Push{X: d.X, Y: d.Y, Tablets: d.Tablets, Day: d.Day})
			}
		}
		last = s.Day
		d := picture.Reserve(fmt.Sprintf("reserve%d", i), f, s, push, scale, t.system)
		says := fmt.Sprintf("Months of supply for what roots there: %d of %d rooted patches hold less than %.0f months", short, rooted, forecast.ShortMonths)
		if len(push) > 0 {
			says += "; boxes: root tablets that have come due"
		}
		p.Reserve = append(p.Reserve, plate{SVG: svg(d), Name: "Reserve of the root zone, " + unit.FormatDay(unit.Day(s.Day)) + ".", Says: says, Wide: true})
	}
	p.GroundSays = t.groundSays()
}

// heldSays gives the two numbers of the chart: how many plantings grow at less than half of what they can over the year after the first quarter,
// and the cause that takes most from most of them.
func (t *teller) heldSays() string {
	days, lost := map[string]float64{}, map[string]float64{}
	cause := map[string]map[string]float64{}
	for i := range t.f.Held {
		m := &t.f.Held[i]
		if m.From < 90 {
			continue
		}
		n := float64(m.Until - m.From + 1)
		days[m.Planting] += n
		lost[m.Planting] += n * (1 - m.Reached)
		for _, c := range m.Shares.Causes() {
			if cause[m.Planting] == nil {
				cause[m.Planting] = map[string]float64{}
			}
			cause[m.Planting][c.Name] += n * c.Share * (1 - m.Reached)
		}
	}
	half := 0
	first := map[string]int{}
	for name, n := range days {
		if lost[name] > n/2 {
			half++
		}
		best, most := "", 0.0
		for c, x := range cause[name] {
			if x > most || x == most && c < best {
				best, most = c, x
			}
		}
		if best != "" {
			first[best]++
		}
	}
	if len(days) == 0 {
		return "The green foot of a row is what it grows of what its kind can"
	}
	best, most := "", 0
	for c, n := range first {
		if n > most || n == most && c < best {
			best, most = c, n
		}
	}
	says := fmt.Sprintf("The green foot of a row is what it grows of what its kind can; after the first quarter %s of %d stay under half of it", count(half, "planting", "plantings"), len(days))
	if best != "" {
		says += fmt.Sprintf(", and %s takes most from %d", best, most)
	}
	return says
}

// groundSays tells how the bed has moved by the end.
func (t *teller) groundSays() string {
	f := t.f
	if len(f.Ground) < 2 {
		return ""
	}
	end := &f.Ground[len(f.Ground)-1]
	low, high := 0.0, 0.0
	atLow, atHigh := -1, -1
	for i, top := range end.Top {
		if f.Columns.Area[i] <= 0 {
			continue
		}
		d := top - f.Columns.Top[i]
		if d < low {
			low, atLow = d, i
		}
		if d > high {
			high, atHigh = d, i
		}
	}
	s := fmt.Sprintf("By %s the slopes have lost %s of bed downhill", unit.FormatDay(unit.Day(end.Day)), t.shown(unit.KindVolume, end.Down/1000, 2))
	if atLow >= 0 && low < -0.005 {
		x, y := placeOf(f, atLow)
		s += fmt.Sprintf("; it has sunk most, by %s, at the %s", t.length(-low), t.where(x, y))
	}
	if atHigh >= 0 && high > 0.005 {
		x, y := placeOf(f, atHigh)
		s += fmt.Sprintf(", and risen most, by %s, at the %s", t.length(high), t.where(x, y))
	}
	if end.Mixed > 0.05 {
		s += fmt.Sprintf("; %s lie on another material than their own", t.shown(unit.KindVolume, end.Mixed/1000, 2))
	}
	return s + ". Roots, stones and wood hold it; settling is counted in."
}
