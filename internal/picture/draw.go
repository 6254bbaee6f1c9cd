package picture

import "math"

// draws are random numbers that belong to one plant: keyed by its id and a running number, never by the order of calls, so that a
// leaf keeps its place while the plant grows and whatever stands beside it.
type draws uint64

// drawsOf hashes an id (FNV-1a, 64 bit).
func drawsOf(id string) draws {
	h := uint64(14695981039346656037)
	for i := 0; i < len(id); i++ {
		h = (h ^ uint64(id[i])) * 1099511628211
	}
	return draws(h)
}

// at returns the k-th number, 0 ≤ u < 1 (the SplitMix64 finaliser over key and k).
func (d draws) at(k int) float64 {
	z := uint64(d) + uint64(k+1)*0x9e3779b97f4a7c15
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	z ^= z >> 31
	return float64(z>>11) / (1 << 53)
}

// between returns the k-th number stretched to lo..hi.
func (d draws) between(k int, lo, hi float64) float64 { return lo + (hi-lo)*d.at(k) }

// sign returns -1 or 1.
func (d draws) sign(k int) float64 {
	if d.at(k) < 0.5 {
		return -1
	}
	return 1
}

func clamp(x, lo, hi float64) float64 {
	if math.IsNaN(x) {
		return lo
	}
	return math.Max(lo, math.Min(hi, x))
}
