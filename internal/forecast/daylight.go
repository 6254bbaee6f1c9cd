package forecast

import (
	"littoral/internal/light"
	"math"
	"slices"
)

// daylit is the windows' light in a run. Plants and algae know one field and one course of the day, so that lamps and windows are put together: each place gets
// its right sum over the day of both, and the hours of the day share it out as the means over the water go. Windows' light is what comes in;
// what bed and leaves throw back of it is left out, and so is the sun's warmth.
type daylit struct {
	*light.Daylight
	field  *light.Field // sum over a day, µmol m⁻² s⁻¹ × h
	mixed  *light.Field // both, at the day's full light
	panes  float64      // of that sum on the panes from outside, and around a place in the water
	around float64
	mean   float64 // of that sum, over the water
	hours  float64 // that it is light outside
	lamps  float64 // mean of the lamps' light at full power over the water, µmol m⁻² s⁻¹
	of     mixture // what mixed was put together for
	today  [24]lightHour
	sky    []light.Sky // sum over the day

	openField, openMixed *light.Field // without plants
}

// mixture is what decides how lamps and windows go together.
type mixture struct {
	lampHours, skyHours, rel float64
}

func (b *built) windows() *daylit {
	if b.daylight == nil {
		return nil
	}
	return &daylit{Daylight: b.daylight.Fork()}
}

// withDaylight lays the windows' light over that of the lamps, whose hours are given, and returns the hours of both. fresh says that the lamps' field is new.
func (r *run) withDaylight(day int, lamps [24]lightHour, fresh bool) [24]lightHour {
	w := r.windows
	r.glassLight, r.floatLight = r.waterMean, r.waterMean
	if w == nil || day < 0 {
		r.lit = r.field
		return lamps
	}
	sky := light.SkyOn(r.p, day)
	var sum []light.Sky
	var q [24]float64
	all := 0.0
	w.hours = 0
	for h, now := range sky {
		if sum == nil {
			sum = make([]light.Sky, len(now))
		}
		for i, s := range now {
			sum[i].Diffuse += s.Diffuse
			sum[i].Sun += s.Sun
			q[h] += w.Entering(i, s)
		}
		all += q[h]
		if q[h] > 0 {
			w.hours++
		}
	}
	if fresh || w.field == nil || math.Abs(all-w.of.skyHours) > relightSky*w.of.skyHours {
		s := w.Solve(r.leaf, r.cover, r.litKd, sum, w.field)
		w.field, w.panes, w.around = s.Field, s.Panes, s.Around
		_, w.mean = r.means(w.field)
		_, w.lamps = r.means(r.field)
		w.of.skyHours = all
		fresh = true
	}
	// The course of the day in the water's mean, and the whole day in hours of full light.
	var hours [24]lightHour
	lampHours, rel := 0.0, 0.0
	for h, l := range lamps {
		now := l.lit * l.dim * r.shine
		lampHours += now
		hours[h].dim = w.lamps * now
		if all > 0 {
			hours[h].dim += w.mean * q[h] / all
		}
	}
	full := fullLight(hours)
	if full == 0 {
		r.lit = r.field
		return lamps
	}
	for h := range hours {
		hours[h].dim /= full
		hours[h].lit = 1
		if hours[h].dim < leastLight {
			hours[h] = lightHour{}
		}
		rel += hours[h].dim
	}
	if now := (mixture{lampHours, all, rel}); fresh || now != w.of {
		w.of = now
		w.mixed = light.Mix(r.field, w.field, lampHours/rel, 1/rel, w.mixed)
		r.stand.SetWater(w.mixed.PPFD)
	}
	r.lit, w.today, w.sky = w.mixed, hours, sum
	r.bedMean, r.waterMean = r.means(r.lit)
	r.glassLight = (w.lamps*lampHours + w.panes) / rel
	r.floatLight = (w.lamps*lampHours + w.around) / rel
	return hours
}

// lightHours are a day's hours of light: today's of lamps and windows, else the lamps' regime.
func (r *run) lightHours(day int) [24]lightHour {
	if r.windows != nil && r.lit != nil && r.lit == r.windows.mixed {
		return r.windows.today
	}
	return lightDay(r.regime(day))
}

// withWindows lays today's windows over the lamps' light in a tank without plants.
func (r *run) withWindows(lamps *light.Field) *light.Field {
	w := r.windows
	if w == nil || r.lit == nil || r.lit != w.mixed {
		return lamps
	}
	w.openField = w.Solve(nil, nil, r.litKd, w.sky, w.openField).Field
	w.openMixed = light.Mix(lamps, w.openField, w.of.lampHours/w.of.rel, 1/w.of.rel, w.openMixed)
	return w.openMixed
}

// fullLight is the light that lasts fullLasts of the day, or half of a shorter day, so that a spell of sun is brighter than full light.
func fullLight(hours [24]lightHour) float64 {
	var all []float64
	for _, h := range hours {
		if h.dim > 0 {
			all = append(all, h.dim)
		}
	}
	if len(all) == 0 {
		return 0
	}
	slices.Sort(all)
	return all[len(all)-min(fullLasts, (len(all)+1)/2)]
}

const (
	// fullLasts is how long light must last to be told as a day's full light, as for leaves (growth); common practice, no source.
	fullLasts = 4
	// relightSky is the change of a day's daylight that asks for a new solution.
	relightSky = 0.05
	// leastLight is the share of full light below which an hour counts as night; our own choice.
	leastLight = 0.002
)

// outside is what windows give in the water while it is light outside, from all sides, mean over the water, µmol m⁻² s⁻¹.
func (r *run) outside() float64 {
	if r.windows == nil || r.windows.hours == 0 {
		return 0
	}
	return r.windows.around / r.windows.hours
}

// means are the mean light at the bed and in the water, µmol m⁻² s⁻¹.
func (r *run) means(f *light.Field) (bed, water float64) {
	sum, n := 0.0, 0
	for i, g := range r.voxels.GroundIZ {
		if g < r.voxels.NZ {
			sum += f.Bed[i]
			n++
		}
	}
	if n > 0 {
		bed = sum / float64(n)
	}
	sum = 0
	for _, x := range f.PPFD { // 0 in solids
		sum += x
	}
	if r.freeVoxels > 0 {
		water = sum / float64(r.freeVoxels)
	}
	return bed, water
}
