package forecast

import (
	"littoral/internal/algae"
	"littoral/internal/light"
	"math"
)

// lighting is a field of light in the making, worked out beside the days: what is begun on a morning serves from a later one.
type lighting struct {
	field       *light.Field
	leaf, cover []float64     // the canopy that it is for
	kd          float64       // of the water, 1/m
	moved       bool          // of another canopy than the field in use
	day         int           // on which it is put to use
	bed, water  float64       // its means
	done        chan struct{} // closed when it is ready; nil when nothing is in the making
}

// relight brings the light up to date, and says whether it is new. A field is asked for when the canopy has changed, and at least every relightDays; it is
// that of the canopy half-way to the next such day. What other water takes is carried over. The film on leaves is looked at weekly. Where there is no
// field, or plants have been set, the light is there at once.
func (r *run) relight(day int) (fresh bool) {
	n := &r.next
	if r.opt.daily {
		r.awaitLight()
		r.field = nil
	}
	switch {
	case r.field == nil: // what is in the making is for a canopy that is no more
		r.awaitLight()
	case day >= n.day:
		fresh = r.takeLight()
	}
	if r.field == nil || day-r.filmDay >= 7 {
		r.stand.SetFilm(r.algae.Density(algae.Leaves), r.t.algae.Shade)
		r.filmDay = day
	}
	if n.done != nil {
		return fresh
	}
	share := r.opt.relight
	if share <= 0 {
		share = relightLeaves
	}
	kd := r.extinction(day)
	change := r.stand.CanopyChange()
	full := resolveLeaves / relightLeaves * share
	switch {
	case r.field == nil || change > share && r.moved < 2*full || day-r.litDay >= relightDays:
		// In water of a steady clearness the solver keeps the light above the leaves from one solve to the next.
		if math.Abs(kd-r.solvedKd) > steadyKd {
			r.solvedKd = kd
		}
		r.litDay, r.moved = day, r.moved+change
		late := regrownDays
		if r.field == nil {
			late = 0
		}
		r.stand.CanopyAhead(n.leaf, n.cover, share, relightDays, float64(late))
		n.kd, n.moved, n.day = kd, true, day+regrownDays
		if r.field == nil {
			r.trace()
			return r.takeLight()
		}
		from, solved := r.field, r.solvedKd
		r.beginLight(func() { n.field = r.solver.Regrow(n.leaf, n.cover, solved, from, n.field) })
	case r.moved >= full:
		// Regrown often enough. The tracing takes longer than a day's work.
		copy(n.leaf, r.leaf)
		copy(n.cover, r.cover)
		n.kd, n.moved, n.day = r.litKd, false, day+tracedDays
		r.trace()
	case math.Abs(kd-r.litKd)*r.model.Tank.WaterLevel > relightWater:
		n.kd, n.moved, n.day = kd, false, day+regrownDays
		from := r.field
		r.beginLight(func() { n.field = from.CopyTo(n.field) })
	}
	return fresh
}

// A field serves from so many days on after it was begun, as long as the work on it takes beside the days' own: traced in full, and carried over.
const tracedDays, regrownDays = 4, 1

// trace begins a field for the canopy and the water of next.
func (r *run) trace() {
	n, solved := &r.next, r.solvedKd
	r.moved = 0
	r.beginLight(func() { n.field = r.solver.Solve(n.leaf, n.cover, solved, n.field) })
}

// beginLight sets the next field to work, on a processor of its own if there is one. What solve reads must stay as it is until takeLight.
func (r *run) beginLight(solve func()) {
	n := &r.next
	n.done = make(chan struct{})
	work := func() {
		defer close(n.done)
		solve()
		r.solver.Tint(n.field, n.kd)
		n.bed, n.water = r.means(n.field)
	}
	if r.workers > 1 {
		go work()
		return
	}
	work()
}

// awaitLight waits for the field in the making. It says whether there was one.
func (r *run) awaitLight() bool {
	if r.next.done == nil {
		return false
	}
	<-r.next.done
	r.next.done = nil
	return true
}

// takeLight puts the field that is in the making to use. It says whether there was one.
func (r *run) takeLight() bool {
	if !r.awaitLight() {
		return false
	}
	n := &r.next
	r.field, n.field = n.field, r.field
	r.litKd, r.bedMean, r.waterMean = n.kd, n.bed, n.water
	if !n.moved {
		r.stand.SetWater(r.field.PPFD)
		return true
	}
	r.leaf, n.leaf = n.leaf, r.leaf
	r.cover, n.cover = n.cover, r.cover
	r.stand.SetLight(r.field.PPFD)
	return true
}
