package water

import "math"

// CornerShare returns the CO2 at the corner that is farthest from the outlet over that beside the outlet, 0 to 1: real turnovers an hour, cover of the tank
// with leaves (0 bare, 1 closed), and days since diffuser and prefilter were cleaned.
//
// Common practice, no source: six clean turnovers leave a tenth to a fifth between outlet and corner, a loaded filter in a grown tank half; dense
// leaves stand in the way of the current as much again as the distance does, and a diffuser loses a fiftieth a week to coarser bubbles that rise
// where they leave it. Uncertain by a factor of two: measure with two droppers of indicator, beside the outlet and in the far corner.
func CornerShare(turnovers, cover, daysSinceClean float64) float64 {
	n := within(turnovers, 0, 100)
	half := 0.6 * (1 + within(cover, 0, 1)) // turnovers an hour at which the corner holds half
	return n / (n + half) * math.Max(0.5, 1-0.02*within(daysSinceClean, 0, 1e4)/7)
}
