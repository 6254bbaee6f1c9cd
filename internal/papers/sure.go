package papers

import (
	"fmt"
	"html/template"
	"littoral/internal/forecast"
	"littoral/internal/picture"
	"littoral/internal/unit"
)

// sure is the part of the report that says how sure the forecast is, from many forecasts with other values of the uncertain numbers.
type sure struct {
	Members string
	Charts  []plate
	Dates   []bandRow
	Years   []bandRow
	Heights []bandRow
	Drivers []fact
	Day     string // of the heights
}

// bandRow is a number with what one, five and nine of ten forecasts stay under.
type bandRow struct{ Name, Low, Mid, High, Note string }

func (t *teller) sure(b *forecast.Bands, svg func(picture.Drawing) template.HTML) *sure {
	out := &sure{Members: fmt.Sprint(b.Members)}
	for i := range b.Series {
		s := &b.Series[i]
		if len(s.Bands) != len(b.Days) || len(b.Days) == 0 {
			continue
		}
		line := picture.Series{Name: "middle", V: make([]float64, len(b.Days)), Low: make([]float64, len(b.Days)), High: make([]float64, len(b.Days))}
		for k, q := range s.Bands {
			line.V[k], line.Low[k], line.High[k] = finite(q.Mid), finite(q.Low), finite(q.High)
		}
		end := s.Bands[len(s.Bands)-1]
		c := picture.Chart{ID: fmt.Sprintf("band%d", i), Title: capital(s.Name), Unit: s.Unit, Days: b.Days, Lines: []picture.Series{line}, Zero: true}
		out.Charts = append(out.Charts, plate{SVG: svg(c.Draw()), Name: c.Title + ".", Says: fmt.Sprintf("at the end %s in eight of ten", spanOf(end.Low, end.High, 2)), Aside: s.Unit})
	}
	day := func(v float64) string {
		if v < 0 {
			return "later"
		}
		return unit.FormatDay(unit.Day(v))
	}
	for _, d := range b.Dates {
		out.Dates = append(out.Dates, bandRow{capital(d.Name), day(d.Day.Low), day(d.Day.Mid), day(d.Day.High), percent(d.Share)})
	}
	for _, y := range b.Totals {
		name := fmt.Sprintf("Year %d: ", y.Year)
		row := func(what string, q forecast.Band, show func(float64) string) {
			out.Years = append(out.Years, bandRow{Name: name + what, Low: show(q.Low), Mid: show(q.Mid), High: show(q.High)})
		}
		row("all care, a month", y.Minutes, hours)
		row("of it cutting, a month", y.TrimMinutes, hours)
		row("cut plants, wet, a month", y.HarvestG, func(g float64) string { return t.about(g / 1000) })
	}
	at := 0
	for k, d := range b.Days {
		if d <= 365 {
			at = k
		}
	}
	if len(b.Days) > 0 {
		out.Day = unit.FormatDay(unit.Day(b.Days[at]))
	}
	for i := range b.Plantings {
		p := &b.Plantings[i]
		if at >= len(p.HeightM) || !(p.HeightM[at].High > 0) {
			continue
		}
		q := p.HeightM[at]
		out.Heights = append(out.Heights, bandRow{p.Planting, t.length(q.Low), t.length(q.Mid), t.length(q.High), p.Species})
	}
	// The two strongest for each outcome.
	told := map[string]int{}
	for _, d := range b.Drivers {
		if told[d.Outcome] >= 2 {
			continue
		}
		told[d.Outcome]++
		way := "more with more"
		if d.Rank < 0 {
			way = "less with more"
		}
		out.Drivers = append(out.Drivers, fact{capital(d.Outcome), fmt.Sprintf("%s (%s, rank correlation %s)", d.Parameter, way, figure(d.Rank, 2))})
	}
	return out
}
