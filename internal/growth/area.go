package growth

// Roots writes the root mass in each root column, g dry per m² of bed; to is as long as there are columns.
func (s *Stand) Roots(to []float64) {
	clear(to)
	for i := range s.plants {
		p := &s.plants[i]
		if p.col < 0 {
			continue
		}
		for _, b := range p.beds {
			to[b.i] += b.w * p.root
		}
	}
	for i, a := range s.cols.Area {
		if a > 0 {
			to[i] /= a
		}
	}
}

// LeafArea is the projected leaf area of all plants, m².
func (s *Stand) LeafArea() float64 {
	sum := 0.0
	for i := range s.plants {
		sum += s.plants[i].area
	}
	return sum
}
