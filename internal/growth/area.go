package growth

// LeafArea is the projected leaf area of all plants, m².
func (s *Stand) LeafArea() float64 {
	sum := 0.0
	for i := range s.plants {
		sum += s.plants[i].area
	}
	return sum
}
