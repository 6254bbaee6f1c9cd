package growth

// Params are the constants of growth that all species share and that are uncertain. Their ranges stand in package forecast beside
// those of the other rooms.
type Params struct {
	// Daylength is how a day's photosynthesis becomes growth: of the most that a species can do in a day, a day worth L hours of
	// light-saturated leaves brings 1 − e^{−L/Daylength}. Stores and growing points fill up, so that twice the hours give less than
	// twice the growth, and no day exceeds the species' largest growth rate, to which the trade's classes and the envelope of
	// Nielsen & Sand-Jensen 1991 refer. Hours; range 2 to 5; set so that the trade's weeks to closed carpets and to trim height come
	// out (common practice, no source).
	Daylength float64
	// DarkShed is by how many times faster leaves die that do not pay for themselves: in two weeks in a fast stem, in months in an
	// Anubias (range 2 to 6, common practice, no source).
	DarkShed float64
	// Melt scales the share of nursery leaves that each species' class loses after planting (range 0.5 to 1.5).
	Melt float64
	// Elongation scales the catalogue's fastest lengthening of stems (range 0.7 to 1.4).
	Elongation float64
	// IdleBreath is the share of respiration that goes on in leaves that have long fixed nothing, see burn (range 0.2 to 0.6, common
	// practice, no source; what acts is that both published model values, 0.002 and 0.02 per day, can hold for one plant).
	IdleBreath float64
	// MatDays is how many days the base of a thick mat holds without light before the mat lifts (range 28 to 70, common practice, no source).
	MatDays float64
}

// DefaultParams returns the house's values.
func DefaultParams() Params {
	return Params{Daylength: 3, DarkShed: 4, Melt: 1, Elongation: 1, IdleBreath: 0.4, MatDays: 42}
}
