package journal

import (
	"cmp"
	"fmt"
	"littoral/internal/forecast"
	"littoral/internal/unit"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Point is a reading beside what the forecast says for its time.
type Point struct {
	Entry    string  `json:"entry" doc:"id of the journal entry"`
	At       string  `json:"at"`
	Day      int     `json:"day"`
	Change   string  `json:"change" doc:"before or after the day's water change; empty when neither is said"`
	Measured float64 `json:"measured"`
	Low      float64 `json:"forecast_low" doc:"lowest of the forecast for that time"`
	High     float64 `json:"forecast_high" doc:"highest; the same as the lowest for what does not swing with the hour"`
	Off      float64 `json:"off" doc:"measured less forecast; 0 inside its range"`
	GoesOn   bool    `json:"goes_on" doc:"the forecast goes on from this reading, and what stands beside it is what had been forecast just before"`
	Means    bool    `json:"means" doc:"it lies off by more than a test can be wrong"`
}

// Line is all readings of a kind beside the forecast.
type Line struct {
	What   string  `json:"what"`
	Unit   string  `json:"unit"`
	Points []Point `json:"points" doc:"earliest first"`
	Says   string  `json:"says" say:"text" doc:"the misfit in a sentence"`
}

// Compare lays the readings of the entries over the days of a forecast (day 0 first) of a plan with a date of planting, kind by kind.
// Readings outside the forecast's days are left out. A reading that the forecast went on from (taken lists them) stands beside what had been
// forecast just before it, for after it the two are the same. Of the others, one before the day's water change stands beside the day before, and
// what swings with the hour stands beside the day's range.
func Compare(days []forecast.Day, taken []forecast.Measured, planted string, entries []Entry) []Line {
	type reading struct{ id, what string }
	was := map[reading]float64{}
	for _, m := range taken {
		was[reading{m.ID, m.What}] = m.Was
	}
	by := map[string][]Point{}
	for i := range entries {
		e := &entries[i]
		if e.Test == nil || e.Struck || e.Check() != nil {
			continue
		}
		day, ok := e.Day(planted)
		if !ok || day < 0 || day >= len(days) {
			continue
		}
		beside := day
		if e.Test.Change == "before" && day > 0 {
			beside--
		}
		for _, r := range e.Test.Readings {
			v, err := r.In()
			if err != nil {
				continue
			}
			low, high := Span(&days[beside], r.What)
			before, goesOn := was[reading{prefix + e.ID, r.What}]
			if goesOn {
				low, high = before, before
			}
			p := Point{Entry: e.ID, At: e.At, Day: day, Change: e.Test.Change, Measured: round(v), Low: round(low), High: round(high), GoesOn: goesOn}
			switch {
			case v < low:
				p.Off = round(v - low)
			case v > high:
				p.Off = round(v - high)
			}
			m := measures[r.What]
			p.Means = math.Abs(p.Off) > m.near+m.share*math.Abs(high)
			by[r.What] = append(by[r.What], p)
		}
	}
	out := []Line{}
	for _, what := range Measured() {
		points := by[what]
		if len(points) == 0 {
			continue
		}
		slices.SortStableFunc(points, func(a, b Point) int { return cmp.Compare(a.At, b.At) })
		out = append(out, Line{What: what, Unit: measures[what].unit, Points: points, Says: says(what, points)})
	}
	return out
}

func round(v float64) float64 { return math.Round(v*1000) / 1000 }

// Span is the range of a day of the forecast for what is measured.
func Span(d *forecast.Day, what string) (low, high float64) {
	one := func(v float64) (float64, float64) { return v, v }
	switch what {
	case "temperature":
		return d.TempMin, d.TempMax
	case "ph":
		return min(d.PHDawn, d.PHDusk), max(d.PHDawn, d.PHDusk)
	case "kh":
		return one(d.KH)
	case "gh":
		return one(d.GH)
	case "nitrate":
		return one(d.NO3)
	case "nitrite":
		return one(d.NO2)
	case "ammonium":
		return one(d.NH4)
	case "phosphate":
		return one(d.PO4)
	case "potassium":
		return one(d.K)
	case "iron":
		return one(d.Fe)
	case "calcium":
		return one(d.Ca)
	case "magnesium":
		return one(d.Mg)
	case "co2":
		return min(d.CO2Night, d.CO2Dawn, d.CO2On), max(d.CO2Max, d.CO2On)
	}
	return min(d.O2Dawn, d.O2Dusk), max(d.O2Dawn, d.O2Dusk)
}

// says words the misfit of a kind: how far off its latest run of readings on one side lies, and since when.
func says(what string, points []Point) string {
	m := measures[what]
	last := points[len(points)-1]
	if !last.Means {
		return fmt.Sprintf("%s agrees with the forecast within what a test can tell.", capital(m.name))
	}
	from := len(points) - 1
	for from > 0 && points[from-1].Means && (points[from-1].Off > 0) == (last.Off > 0) {
		from--
	}
	run := points[from:]
	sum := 0.0
	for _, p := range run {
		sum += math.Abs(p.Off)
	}
	side := "under"
	if last.Off > 0 {
		side = "over"
	}
	amount := strconv.FormatFloat(sum/float64(len(run)), 'f', m.digits, 64)
	if m.unit != "" {
		amount += " " + m.unit
	}
	when := unit.FormatDay(unit.Day(run[0].Day))
	if len(run) == 1 {
		return fmt.Sprintf("%s was %s %s forecast on %s, in one test; test again before anything is changed.", capital(m.name), amount, side, when)
	}
	return fmt.Sprintf("%s runs %s %s forecast since %s, in %d tests.", capital(m.name), amount, side, when, len(run))
}

func capital(s string) string {
	if s == "pH" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
