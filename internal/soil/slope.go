package soil

import "math"

// SlopeSafety is the factor of safety of a long submerged slope of angle beta without seepage, for a material with the angle of
// friction phi, both in degrees: tan φ / tan β (buoyancy cancels). Below 1 it slides; the trade wants 1.2 or more.
// Infinite-slope method, standard soil mechanics. A level bed returns +Inf.
func SlopeSafety(phi, beta float64) float64 {
	if beta <= 0 {
		return math.Inf(1)
	}
	return math.Tan(phi*math.Pi/180) / math.Tan(beta*math.Pi/180)
}

// SteepestSafe is the steepest slope, in degrees, that keeps the factor of safety fs for friction angle phi [degrees].
func SteepestSafe(phi, fs float64) float64 {
	return math.Atan(math.Tan(phi*math.Pi/180)/fs) * 180 / math.Pi
}

// Creep is the range of the angle, degrees, at which an unheld slope lies after some years: pumps, digging animals and settling take a fifth
// to two fifths of its start in the first year (common practice, no source), and as large a share of what is left in each year after it.
func Creep(beta, years float64) (low, high float64) {
	years = math.Max(years, 0)
	return beta * math.Pow(0.6, years), beta * math.Pow(0.8, years)
}
