package forecast

import "slices"

// Swing is one day hour by hour, at the end of each hour.
type Swing struct {
	Day   int
	Hours [24]SwingHour
}

// SwingHour is the water at the end of an hour, with what light and gas did in it.
type SwingHour struct {
	PH, CO2, O2, TempC float64 // mg/L, °C
	Light              float64 // lamps' share of full power, 0 to 1
	Gas                float64 // share of the hour with the valve open
}

// swingDays are the days whose hours are kept: the first week, the end of the run-in, and the years. They avoid whole weeks, on which most
// plans change water.
var swingDays = []int{4, 25, 53, 179, 362, 725, 1090}

// swings starts the hours of a day when they are to be kept.
func (r *run) swings(day int) *Swing {
	if r.opt.Hours && day >= 0 {
		r.out.Hours = append(r.out.Hours, Swing{Day: day})
		return &r.out.Hours[len(r.out.Hours)-1]
	}
	if !slices.Contains(swingDays, day) {
		return nil
	}
	r.out.Swings = append(r.out.Swings, Swing{Day: day})
	return &r.out.Swings[len(r.out.Swings)-1]
}

// pick takes the few days of Swings out of all hours, where all were kept.
func (r *run) pick() {
	for i := range r.out.Hours {
		if slices.Contains(swingDays, r.out.Hours[i].Day) {
			r.out.Swings = append(r.out.Swings, r.out.Hours[i])
		}
	}
}

// note keeps the end of an hour; a day that is not kept notes nothing.
func (s *Swing) note(r *run, hour int, l lightHour, gas float64) {
	if s == nil {
		return
	}
	c := r.water.Carbonate()
	s.Hours[hour] = SwingHour{PH: c.PH, CO2: c.CO2mg(), O2: r.water.O2, TempC: r.water.T, Light: l.lit * l.dim, Gas: gas}
}
