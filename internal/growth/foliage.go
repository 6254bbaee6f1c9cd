package growth

// Foliage is all leaves together, and those that live long enough for algae to settle on them.
type Foliage struct {
	Area, PPFD         float64 // m², mean full light on them
	SlowArea, SlowPPFD float64 // of leaves that live at least so many days: area, full light on their tops
	Fall               float64 // 1/day, share of the area that falls
}

// Foliage sums up the leaves; slow is the leaf life, days, from which a leaf counts as slow.
func (s *Stand) Foliage(slow float64) Foliage {
	var f Foliage
	for i := range s.plants {
		p := &s.plants[i]
		if p.t.class == airClass {
			continue // leaves in air
		}
		f.Area += p.area
		f.PPFD += p.area * p.light
		f.Fall += p.area / p.t.life
		if p.t.life >= slow {
			f.SlowArea += p.area
			f.SlowPPFD += p.area * p.top
		}
	}
	if f.Area > 0 {
		f.PPFD /= f.Area
		f.Fall /= f.Area
	}
	if f.SlowArea > 0 {
		f.SlowPPFD /= f.SlowArea
	}
	return f
}
