package papers

import (
	"fmt"
	"html/template"
	"littoral/internal/forecast"
	"littoral/internal/picture"
	"littoral/internal/unit"
	"math"
	"strconv"
)

// swings draws a day hour by hour at several ages of the tank: CO2, pH, oxygen and temperature.
func (t *teller) swings(p *page, svg func(picture.Drawing) template.HTML) {
	all := t.f.Swings
	if len(all) == 0 {
		return
	}
	if len(all) > 4 { // the first, the last, and two between: more lines cannot be told apart
		all = []forecast.Swing{all[0], all[len(all)/3], all[2*len(all)/3], all[len(all)-1]}
	}
	last := &all[len(all)-1]
	degrees, c2 := "°C", func(c float64) float64 { return c }
	if t.system == unit.US {
		degrees, c2 = "°F", func(c float64) float64 { return c*9/5 + 32 }
	}
	for _, q := range []struct {
		title, unit string
		zero        bool
		least       float64
		figures     int
		limits      []picture.Limit
		of          func(*forecast.SwingHour) float64
	}{
		{"CO2", "mg/L", true, 5, 2, []picture.Limit{{V: t.house.CO2Limit.House, Name: "house limit with animals"}}, func(h *forecast.SwingHour) float64 { return h.CO2 }},
		{"pH", "", false, .6, 2, nil, func(h *forecast.SwingHour) float64 { return h.PH }},
		{"Oxygen", "mg/L", true, 5, 2, []picture.Limit{{V: t.house.OxygenMin, Name: "house least at dawn"}}, func(h *forecast.SwingHour) float64 { return h.O2 }},
		{"Temperature", degrees, false, 3, 3, nil, func(h *forecast.SwingHour) float64 { return c2(h.TempC) }},
	} {
		c := picture.Swing{ID: fmt.Sprintf("swing%d", len(p.Swings)), Title: q.title, Unit: q.unit, Zero: q.zero, Least: q.least, Limits: q.limits}
		for i := range all {
			line := picture.DayLine{Name: unit.FormatDay(unit.Day(all[i].Day))}
			for h := range all[i].Hours {
				line.V[h] = q.of(&all[i].Hours[h])
			}
			c.Lines = append(c.Lines, line)
		}
		lo, hi := math.Inf(1), math.Inf(-1)
		for h := range last.Hours {
			c.Light[h], c.Gas[h] = last.Hours[h].Light, last.Hours[h].Gas
			lo, hi = math.Min(lo, q.of(&last.Hours[h])), math.Max(hi, q.of(&last.Hours[h]))
		}
		p.Swings = append(p.Swings, plate{SVG: svg(c.Draw()), Name: q.title + " through the day.", Says: fmt.Sprintf("%s, %s", spanOf(lo, hi, q.figures), unit.FormatDay(unit.Day(last.Day))), Aside: q.unit})
	}
}

var swingHeader = []string{"day", "hour", "ph", "co2_mg_l", "o2_mg_l", "temp_c", "light_share", "gas_share"}

// swingsCSV writes the hours of the days that were kept; an hour's values are those at its end.
func swingsCSV(f *forecast.Forecast) []byte {
	return table(swingHeader, func(write func([]string)) {
		for i := range f.Swings {
			s := &f.Swings[i]
			for h := range s.Hours {
				x := &s.Hours[h]
				write([]string{
					strconv.Itoa(s.Day), strconv.Itoa(h + 1), decimal(x.PH, 2), decimal(x.CO2, 2), decimal(x.O2, 2), decimal(x.TempC, 2),
					decimal(x.Light, 3), decimal(x.Gas, 3),
				})
			}
		}
	})
}
