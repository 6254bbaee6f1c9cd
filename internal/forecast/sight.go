package forecast

import (
	"littoral/internal/clarity"
	"sort"
)

// Sight is a way to look through the tank.
type Sight struct {
	Name  string  // front to back, end to end, or through the middle
	From  string  // the viewing sides it is seen from, joined by "and"
	PathM float64 // m of water between the near glass and the far one
}

// Sights are the lines of sight from the sides that the plan says people look from, the shortest first and each length once; from the front
// where it says none.
func (f *Forecast) Sights() []Sight {
	t := &f.Model.Tank
	sides := f.Plan.Tank.SeenFrom
	if len(sides) == 0 {
		sides = []string{"front"}
	}
	var out []Sight
	add := func(name, from string, path float64) {
		for i := range out {
			if out[i].Name == name {
				out[i].From += " and " + from
				return
			}
		}
		out = append(out, Sight{name, from, path})
	}
	for _, s := range sides {
		switch {
		case t.Shape == "cylinder":
			add("through the middle", s, min(t.LX, t.LY))
		case s == "left" || s == "right":
			add("end to end", s, t.LX)
		case s == "all":
			add("front to back", "front and back", t.LY)
			add("end to end", "the ends", t.LX)
		default:
			add("front to back", s, t.LY)
		}
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].PathM < out[b].PathM })
	return out
}

// Clearer tells what share of its suspended matter the water of this tank keeps in the long run where the filter moves flow times as much
// water, or has a fine stage, against the filter it has: matter comes in as before, and leaves by settling and by what a pass holds back.
func (f *Forecast) Clearer(flow float64, fine bool) float64 {
	litres := f.Model.Facts.NetWaterL
	if litres <= 0 || flow <= 0 {
		return 1
	}
	turns, has := 0.0, false
	for i := range f.Plan.Filter {
		x := &f.Plan.Filter[i]
		turns += float64(x.Flow) * 3600 * 1000 * float64(x.Real) / litres
		has = has || x.Fine
	}
	pass := func(fine bool) float64 {
		if fine {
			return singlePassFine
		}
		return singlePass
	}
	return (settlingPerHour + pass(has)*turns) / (settlingPerHour + pass(has || fine)*turns*flow)
}

// Kept is the share of contrast that is left along a line of sight on a day, with suspended matter at a share of what it is.
func (d *Day) Kept(s Sight, share float64) float64 {
	return clarity.Contrast(d.Beam-clarity.PerSolids*d.Suspended*(1-share), s.PathM)
}
