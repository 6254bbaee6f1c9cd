package light

import "math"

// Intensity is how strongly the lamp shines towards a direction, for unit photon flux (1/sr): its beam, tilted and turned as it hangs, without the shades of
// its edge and hood. The direction is a unit vector: x to the right, y to the back, down; 0 above the horizontal.
func (s Source) Intensity(x, y, down float64) float64 {
	if !(down > 0) {
		return 0
	}
	if s.Lobe != nil {
		return s.Lobe.at(x, y)
	}
	return AxialIntensity(1, s.N) * math.Pow(down, s.N)
}
