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

// Rise tells by how much the bed lies higher at a place, both in m, on a day than it was laid: straight between the middles of columns that hold
// bed. It is nil where the forecast does not keep how the bed lies.
func (f *Forecast) Rise(day int) func(x, y float64) float64 {
	var g *Ground
	for i := range f.Ground {
		if f.Ground[i].Day <= day {
			g = &f.Ground[i]
		}
	}
	c := f.Columns
	if g == nil || c == nil || c.Cell <= 0 || c.NX*c.NY == 0 || len(g.Top) != c.NX*c.NY || len(c.Top) != len(g.Top) || len(c.Area) != len(g.Top) {
		return nil
	}
	return func(x, y float64) float64 {
		u, v := x/c.Cell-0.5, y/c.Cell-0.5
		ix, iy := int(math.Floor(u)), int(math.Floor(v))
		sum, weight := 0.0, 0.0
		for _, d := range [4][2]int{{0, 0}, {1, 0}, {0, 1}, {1, 1}} {
			jx, jy := min(max(ix+d[0], 0), c.NX-1), min(max(iy+d[1], 0), c.NY-1)
			i := jy*c.NX + jx
			rise := g.Top[i] - c.Top[i]
			if c.Area[i] <= 0 || math.IsNaN(rise) || math.IsInf(rise, 0) {
				continue
			}
			w := math.Abs(1-float64(d[0])-(u-float64(ix))) * math.Abs(1-float64(d[1])-(v-float64(iy)))
			sum, weight = sum+w*rise, weight+w
		}
		if weight <= 0 {
			return 0
		}
		return sum / weight
	}
}
