package shelf

import (
	"context"
	"fmt"
	"littoral/internal/findings"
	"littoral/internal/forecast"
	"slices"
	"strings"
)

// Comparison lays two forecasts side by side.
type Comparison struct {
	A       Side      `json:"a"`
	B       Side      `json:"b"`
	Plan    []Change  `json:"plan" doc:"lines of the plan that differ"`
	Numbers []Numbers `json:"numbers" doc:"what people look at first; the series of both have the rest"`
	OnlyA   []Worry   `json:"only_a" doc:"findings of the first that the second does not have"`
	OnlyB   []Worry   `json:"only_b"`
}

// Side is one of two forecasts.
type Side struct {
	Key      string `json:"key"`
	Tank     string `json:"tank"`
	Name     string `json:"name" doc:"of the plan, with its variant"`
	Revision int    `json:"revision"`
}

// Change is a place in the plan where two texts differ.
type Change struct {
	Line int      `json:"line" doc:"in the first text, from 1"`
	A    []string `json:"a" doc:"lines that only the first has there"`
	B    []string `json:"b"`
}

// Numbers is a number of both.
type Numbers struct {
	What string  `json:"what" say:"text"`
	Unit string  `json:"unit" say:"text"`
	A    float64 `json:"a"`
	B    float64 `json:"b"`
}

// mostDiffLines bounds the plans whose texts are compared line by line; the time grows with the product of both.
const mostDiffLines = 4000

// Compare lays two kept forecasts side by side, over the days that both have.
func (s *Shelf) Compare(ctx context.Context, a, b string) (Comparison, error) {
	var side [2]Side
	var text [2]string
	var whole [2]*Whole
	for i, key := range []string{a, b} {
		w, err := s.Live(ctx, key)
		if err != nil {
			return Comparison{}, err
		}
		r, err := s.Store.Revision(ctx, w.Ask.Tank, w.Ask.Revision)
		if err != nil {
			return Comparison{}, err
		}
		name := w.Plan.Name
		if r.Variant != "" {
			name += ", " + r.Variant
		}
		side[i], text[i], whole[i] = Side{key, w.Ask.Tank, name, w.Ask.Revision}, r.Plan, w
	}
	out := Comparison{A: side[0], B: side[1], Plan: diff(lines(text[0]), lines(text[1])), Numbers: numbers(whole[0].Forecast, whole[1].Forecast)}
	out.OnlyA, out.OnlyB = only(whole[0].Findings, whole[1].Findings), only(whole[1].Findings, whole[0].Findings)
	return out, nil
}

func lines(s string) []string {
	return strings.Split(strings.TrimRight(strings.ReplaceAll(s, "\r\n", "\n"), "\n"), "\n")
}

// diff finds the lines that differ by the longest common subsequence.
func diff(a, b []string) []Change {
	out := []Change{}
	if len(a) > mostDiffLines || len(b) > mostDiffLines {
		return out
	}
	n, m := len(a), len(b)
	common := make([][]int, n+1)
	for i := range common {
		common[i] = make([]int, m+1)
	}
	for i := n - 1; i >= 0; i-- {
		for k := m - 1; k >= 0; k-- {
			if a[i] == b[k] {
				common[i][k] = common[i+1][k+1] + 1
			} else {
				common[i][k] = max(common[i+1][k], common[i][k+1])
			}
		}
	}
	i, k := 0, 0
	for i < n || k < m {
		if i < n && k < m && a[i] == b[k] {
			i, k = i+1, k+1
			continue
		}
		c := Change{Line: i + 1, A: []string{}, B: []string{}}
		for (i < n || k < m) && !(i < n && k < m && a[i] == b[k]) {
			if k >= m || i < n && common[i+1][k] >= common[i][k+1] {
				c.A = append(c.A, a[i])
				i++
			} else {
				c.B = append(c.B, b[k])
				k++
			}
		}
		out = append(out, c)
	}
	return out
}

// numbers are those that a practitioner asks for first.
func numbers(a, b *forecast.Forecast) []Numbers {
	length := min(a.Length, b.Length)
	of := func(what, unit string, take func(f *forecast.Forecast) float64) Numbers {
		return Numbers{what, unit, hundredth(take(a)), hundredth(take(b))}
	}
	mean := func(from, to int, take func(d *forecast.Day) float64) func(f *forecast.Forecast) float64 {
		return func(f *forecast.Forecast) float64 {
			sum := 0.0
			for day := from; day <= to; day++ {
				sum += take(&f.Days[day])
			}
			return sum / float64(to-from+1)
		}
	}
	lowest := func(take func(d *forecast.Day) float64) func(f *forecast.Forecast) float64 {
		return func(f *forecast.Forecast) float64 {
			least := take(&f.Days[0])
			for day := range length + 1 {
				least = min(least, take(&f.Days[day]))
			}
			return least
		}
	}
	months := float64(length+1) / (365.0 / 12)
	perMonth := func(scale float64, take func(d *forecast.Day) float64) func(f *forecast.Forecast) float64 {
		all := mean(0, length, take)
		return func(f *forecast.Forecast) float64 { return all(f) * float64(length+1) / months * scale }
	}
	out := []Numbers{
		of("leaves cover half of the open bed", "day", func(f *forecast.Forecast) float64 {
			for day := range length + 1 {
				if f.Days[day].Cover >= 0.5 {
					return float64(day)
				}
			}
			return -1
		}),
		of(fmt.Sprintf("all shoots on day %d", length), "g dry", func(f *forecast.Forecast) float64 { return f.Days[length].ShootG }),
		of("nitrate, mean", "mg/L", mean(0, length, func(d *forecast.Day) float64 { return d.NO3 })),
		of("phosphate, mean", "mg/L", mean(0, length, func(d *forecast.Day) float64 { return d.PO4 })),
		of("carbonate hardness, mean", "dKH", mean(0, length, func(d *forecast.Day) float64 { return d.KH })),
		of("oxygen before light, lowest", "mg/L", lowest(func(d *forecast.Day) float64 { return d.O2Dawn })),
		of("film on the glass, mean", "g/m²", mean(0, length, func(d *forecast.Day) float64 { return d.GlassFilm })),
		of("work", "h a month", perMonth(1.0/60, func(d *forecast.Day) float64 { return d.Minutes })),
		of("water changed", "L a month", perMonth(1, func(d *forecast.Day) float64 { return d.ChangedL })),
		of("cut", "g dry a month", perMonth(1, func(d *forecast.Day) float64 { return d.CutG })),
		of("power of lamps and heater", "kWh a month", perMonth(1, func(d *forecast.Day) float64 { return d.LampKWh + d.HeaterKWh })),
	}
	return out
}

// only lists what a has and b has not: the same rule about the same subject counts as the same.
func only(a, b []findings.Finding) []Worry {
	out := []Worry{}
	for i := range a {
		x := &a[i]
		if slices.ContainsFunc(b, func(y findings.Finding) bool { return y.Rule == x.Rule && y.Subject == x.Subject }) {
			continue
		}
		out = append(out, Worry{Number: i + 1, Severity: x.Severity, Day: x.Day, Until: x.Until, What: x.What, Do: x.Do})
	}
	return out
}
