package shelf

import (
	"context"
	"fmt"
	"littoral/internal/forecast"
	"littoral/internal/reckon"
	"littoral/internal/water"
	"math"
)

// Swing is a day hour by hour: the water at the end of each hour, with what light, gas and filter did in it.
type Swing struct {
	Day    int       `json:"day"`
	CO2    []float64 `json:"co2_mg_l"`
	PH     []float64 `json:"ph"`
	O2     []float64 `json:"o2_mg_l"`
	TempC  []float64 `json:"temp_c"`
	Light  []float64 `json:"light_share" doc:"of the lamps' full power"`
	Gas    []float64 `json:"gas_share" doc:"share of the hour with the valve open"`
	Filter float64   `json:"filter_share" doc:"flow of the filter on that day as a share of a clean one"`
	Work   []Event   `json:"work" doc:"water changes and doses of the day, by their hour"`
	Why    []string  `json:"why" say:"text" doc:"what makes the lines"`
}

// Swing returns a day of a kept forecast hour by hour; days beyond its ends are its first or last.
func (s *Shelf) Swing(ctx context.Context, key string, day int) (Swing, error) {
	w, err := s.Live(ctx, key)
	if err != nil {
		return Swing{}, err
	}
	return swingOf(w.Forecast, day), nil
}

func swingOf(f *forecast.Forecast, day int) Swing {
	i := max(0, min(day, len(f.Hours)-1))
	out := Swing{Day: f.Hours[i].Day, Filter: hundredth(rowOf(f, f.Hours[i].Day).Flow)}
	for _, h := range f.Hours[i].Hours {
		out.CO2 = append(out.CO2, hundredth(h.CO2))
		out.PH = append(out.PH, hundredth(h.PH))
		out.O2 = append(out.O2, hundredth(h.O2))
		out.TempC = append(out.TempC, hundredth(h.TempC))
		out.Light = append(out.Light, math.Round(h.Light*1000)/1000)
		out.Gas = append(out.Gas, math.Round(h.Gas*1000)/1000)
	}
	for _, e := range f.Events {
		if e.Day == out.Day && (e.Kind == "water-change" || e.Kind == "dose" || e.Kind == "power-cut") {
			out.Work = append(out.Work, eventOf(e))
		}
	}
	d := rowOf(f, out.Day)
	e := f.Change.Equilibrium()
	out.Why = []string{
		fmt.Sprintf("CO2 and pH hang together by the carbonate equilibrium of this water (%s °dKH on the day's mean; Plummer & Busenberg 1982): half the CO2 is a pH 0.3 higher.", reckon.Show(d.KH, 1)),
		fmt.Sprintf("Air alone would leave %s mg/L of CO2 and %s mg/L of oxygen in it at %s °C (Benson & Krause 1984); the surface gives and takes the difference, faster the more it is stirred, while leaves, animals and bacteria take and give by the hour.",
			reckon.Show(e.CO2InAir(water.AirCO2)*water.MolCO2, 1), reckon.Show(water.OxygenSaturation(d.TempC, 1), 1), reckon.Show(d.TempC, 1)),
	}
	return out
}
