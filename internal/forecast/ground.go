package forecast

import "math"

// longSettled is the age, days, of a bed that settles no more.
const longSettled = 365

// ground lets the bed creep, once a week, and keeps how it lies every four weeks.
func (r *run) ground(day int) {
	if day > 0 && day%7 == 0 {
		r.stand.Roots(r.roots)
		r.relief.Step(r.settledBy+float64(day), 7, r.roots, r.bed.Shift)
	}
	if r.brief != nil || day < 0 || day%28 != 0 && day != r.days {
		return
	}
	g := Ground{Day: day, MixedAt: -1}
	// Heights are told against the plan's, which are those of the first day.
	g.Top = append(g.Top, r.relief.Top(r.settledBy+float64(day))...)
	if day == 0 {
		r.laidTop = append([]float64(nil), g.Top...)
	}
	for i, top := range g.Top {
		if r.cols.Area[i] > 0 {
			g.Top[i] = math.Max(0, r.cols.Top[i]+top-r.laidTop[i])
		}
	}
	most := 0.0
	for _, i := range r.bed.Columns() {
		own := -1
		for l := range r.cols.Layers {
			if r.cols.Depth[l][i] > 0.015 {
				own = l
			}
		}
		strange := 0.0
		for l := range r.cols.Layers {
			x := r.relief.Strange(l, i)
			g.Down += math.Max(-x, 0)
			if own >= 0 && r.cols.Layers[l].Material != r.cols.Layers[own].Material {
				strange += math.Max(x, 0)
			}
		}
		g.Mixed += strange
		if strange > most {
			most, g.MixedAt = strange, i
		}
	}
	r.out.Ground = append(r.out.Ground, g)
}
