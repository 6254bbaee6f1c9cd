package growth

import (
	"littoral/internal/catalog"
	"math"
	"slices"
	"strings"
)

// Held tells what kept a planting from growing as fast as its species can, over a span of days.
type Held struct {
	Planting string
	Species  *catalog.Species
	Reached  float64 // 0 to 1: photosynthesis against a replete plant in long, bright light at 25 °C; geometric mean over plants and days
	Factors  Limits  // 0 to 1, geometric means; their product is Reached. Of N, P, K and Fe only the least of a plant and day counts
	Shares   Limits  // what each took of all that was lost, ln factor over ln Reached; they add up to 1, or are all 0 where nothing was lost
}

// heldBack sums up −ln of each factor, weighed by leaf mass.
type heldBack struct {
	sp   *catalog.Species
	mass float64
	loss [limitKinds]float64
}

func (h *heldBack) add(o *heldBack) {
	if o.sp != nil {
		h.sp = o.sp
	}
	h.mass += o.mass
	for k, x := range o.loss {
		h.loss[k] += x
	}
}

// limitKinds is the number of fields of Limits.
const limitKinds = 11

// nothing is the least a factor counts as, so that a plant in full dark is told as held back by light and not as infinitely so.
const nothing = 1e-3

// each lists the fields of Limits in one order.
func (l *Limits) each() [limitKinds]*float64 {
	return [limitKinds]*float64{&l.Light, &l.CO2, &l.N, &l.P, &l.K, &l.Fe, &l.Temp, &l.Space, &l.Room, &l.Water, &l.Settle}
}

// limitNames are the words for the fields of Limits, in the order of each.
var limitNames = [limitKinds]string{"light", "CO2", "nitrogen", "phosphorus", "potassium", "iron", "temperature", "space", "root room", "pH or hardness", "settling in"}

// firstFood and lastFood bound the nutrients among the fields of Limits: of these only the least acts (Liebig).
const firstFood, lastFood = 2, 5

// hold adds a plant's day to what its planting is held back by.
func (w *tally) hold(p *plant) {
	h := &w.held[p.pi]
	h.sp = p.t.sp
	h.mass += p.shoot
	least := firstFood
	f := p.lim.each()
	for k := firstFood + 1; k <= lastFood; k++ {
		if *f[k] < *f[least] {
			least = k
		}
	}
	for k, x := range f {
		if *x >= 1 || k >= firstFood && k <= lastFood && k != least {
			continue
		}
		h.loss[k] -= p.shoot * math.Log(max(*x, nothing))
	}
}

// Held returns what held each planting back since it was last asked, sorted by planting, and begins anew. Plantings that had no
// living plant in the time are left out.
func (s *Stand) Held() []Held {
	var out []Held
	for i := range s.names {
		var b heldBack
		for k := range s.tallies {
			if held := s.tallies[k].held; i < len(held) {
				b.add(&held[i])
				held[i] = heldBack{}
			}
		}
		if b.mass <= 0 {
			continue
		}
		h := Held{Planting: s.names[i], Species: b.sp}
		total := 0.0
		for _, x := range b.loss {
			total += x
		}
		h.Reached = math.Exp(-total / b.mass)
		factors, shares := h.Factors.each(), h.Shares.each()
		for k, x := range b.loss {
			*factors[k] = math.Exp(-x / b.mass)
			if total > 0 {
				*shares[k] = x / total
			}
		}
		out = append(out, h)
	}
	slices.SortFunc(out, func(a, b Held) int { return strings.Compare(a.Planting, b.Planting) })
	return out
}

// Cause is one thing that holds growth back and its share of all that is lost.
type Cause struct {
	Name  string
	Share float64
}

// Causes lists the shares by size, largest first; equal ones keep the order of the fields. Meant for Held.Shares.
func (l Limits) Causes() []Cause {
	var out []Cause
	for k, x := range l.each() {
		if *x > 0 {
			out = append(out, Cause{limitNames[k], *x})
		}
	}
	slices.SortStableFunc(out, func(a, b Cause) int {
		switch {
		case a.Share > b.Share:
			return -1
		case a.Share < b.Share:
			return 1
		}
		return 0
	})
	return out
}
