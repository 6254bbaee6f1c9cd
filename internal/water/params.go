package water

import "math"

// Nitrifier describes one of the two steps of nitrification and the film that does it.
//
//	growth g = Mu fT fpH falk · S/(KS+S) · O2/(KO+O2)   rate = g X / Yield   dX/dt = (g (1 - X/Capacity) - Decay fT) X
type Nitrifier struct {
	Mu       float64 // largest growth at RefT, 1/day
	Yield    float64 // g VSS per g N
	KS       float64 // half-saturation, mg N/L
	KO       float64 // half-saturation for oxygen, mg/L
	Decay    float64 // at RefT, 1/day
	Ea       float64 // activation energy of growth and decay, J/mol
	RefT     float64 // °C
	Capacity float64 // what a square metre carries, g VSS/m²
}

// Params are the parameters of the water body that are uncertain or that a user may fit. Each has its range in DefaultParams.
type Params struct {
	CO2Half      float64 // CO2 half-saturation of plants that take only CO2, mmol/L
	UserHalf     float64 // CO2 half-saturation of plants that can use HCO3-, mmol/L
	HCO3Share    float64 // share of full photosynthesis that the HCO3- path alone can carry
	HCO3Half     float64 // its half-saturation, mmol/L
	Compensation float64 // CO2 at which fixation ends, mmol/L

	Half Nutrients // half-saturations of leaf uptake, mg/L; N is nitrate-N
	// HalfTAN is the half-saturation of ammonium uptake, mg N/L.
	HalfTAN float64

	AOB, NOB Nitrifier // ammonia to nitrite, nitrite to nitrate
	Inoculum float64   // cells that always arrive with plants, food and hands, g VSS/m²
	PHFloor  float64   // share of nitrification that is left in acid water, 0 to 1
	AlkHalf  float64   // alkalinity at which nitrification is halved, meq/L

	MineralPerDay float64 // decay of detritus at 20 °C, 1/day
	MineralTheta  float64 // its factor per °C
	IronPerDay    float64 // loss of chelated iron at pH 6.5 and below, 1/day
	IronPerPH     float64 // log10 increase of that loss per pH unit above 6.5
	RespHalf      float64 // oxygen half-saturation of respiration, mg/L
	BubblePerHour float64 // how fast oxygen above BubbleAt leaves as bubbles, 1/h
	BubbleAt      float64 // times saturation
	QuotientP     float64 // mol O2 per mol C in photosynthesis
	QuotientR     float64 // mol O2 per mol C in respiration
	GasExponent   float64 // Schmidt number exponent of gas transfer, 1/2 rippled to 2/3 smooth
}

// DefaultParams returns the house's values with their sources and ranges.
func DefaultParams() Params {
	return Params{
		// CO2 half-saturations, compensation and HCO3 path: common practice, fitted to the ratios that Sand-Jensen found between air
		// level and saturation in stream plants; uncertain by a factor of 3 to 10.
		CO2Half: 0.100, UserHalf: 0.030, HCO3Share: 0.3, HCO3Half: 1.0, Compensation: 0.004,
		// Leaf uptake: common practice, no source; range a factor of 3 either way.
		Half:    Nutrients{N: 0.2, P: 0.02, K: 0.5, Fe: 0.01, Ca: 1, Mg: 0.3},
		HalfTAN: 0.05,
		// Growth and yield: enriched cultures, Blackburne et al. 2007, whose temperature is taken as 25 °C. KO: Wiesmann 1994, from
		// memory. Ea: Vannecke & Volcke. Half-saturations and decay of sludge (0.3 to 1.3 mg N/L, 0.05 to 0.15 1/day) do not hold for the
		// films of ripe aquaria: those live on traces, are largely archaea with half-saturations far below 0.1 mg N/L (Sauder et al. 2011;
		// Martens-Habbena et al. 2009, both from memory), and read under 0.05 mg/L of either ion for years (common practice). KS 0.08 and
		// 0.02 mg N/L, decay 0.02 1/day: common practice, range a factor of 3.
		// Capacity is set so that a ripe film at 25 °C takes 0.2 to 0.6 g N/(m² day) at 1 to 2 mg N/L (Timmons & Ebeling, from memory);
		// range a factor of 3.
		AOB:      Nitrifier{Mu: 0.54, Yield: 0.14, KS: 0.08, KO: 0.3, Decay: 0.02, Ea: 68e3, RefT: 25, Capacity: 0.15},
		NOB:      Nitrifier{Mu: 0.67, Yield: 0.072, KS: 0.02, KO: 1.1, Decay: 0.02, Ea: 44e3, RefT: 25, Capacity: 0.08},
		Inoculum: 2e-6, // fitted to start-up times of 3 to 6 weeks; range a factor of 10
		PHFloor:  0.5,  // common practice, no source: tanks over active substrate at pH 6 to 6.5 ripen in the usual 3 to 6 weeks
		AlkHalf:  0.1,  // common practice, no source: nitrification stalls when carbonate is spent
		// PCLake parameter list: 0.01 1/day in water, theta 1.07.
		MineralPerDay: 0.01, MineralTheta: 1.07,
		// Common practice, no source: a chelate of medium strength lasts two weeks at pH 6.5 and a few days at 7.5; range a factor of 3.
		IronPerDay: 0.05, IronPerPH: 0.7,
		RespHalf: 0.2, // general respiration studies, from memory
		// Common practice, no source: plants pearl above 110 to 130 % saturation.
		BubblePerHour: 3, BubbleAt: 1.3,
		QuotientP: 1.2, QuotientR: 1.0, // general, from memory; photosynthesis 1.0 to 1.4
		GasExponent: 0.5,
	}
}

// temperature returns the Arrhenius factor relative to RefT.
func (n Nitrifier) temperature(t float64) float64 {
	const gas = 8.314 // J/(mol K)
	if n.Ea == 0 {
		return 1
	}
	return math.Exp(n.Ea / gas * (1/(n.RefT+kelvin) - 1/(within(t, 0, 45)+kelvin)))
}

// NitrificationPH returns how acid water slows nitrification: 1 above pH 7.2, falling by 0.833 per unit, never below floor.
// EPA 1975/1993 nitrogen manual, from memory; the floor is common practice.
func NitrificationPH(pH, floor float64) float64 {
	if pH >= 7.2 {
		return 1
	}
	return math.Max(floor, 1-0.833*(7.2-pH))
}

// FeedAmmonia returns the total ammonia nitrogen, g/day, that animals excrete from a daily ration in g/day with the given
// protein share 0 to 1. Timmons & Ebeling (from memory): 16 % N in protein, 0.8 eaten and kept 0.8, 0.9 as ammonia.
func FeedAmmonia(feed, protein float64) float64 { return feed * protein * 0.092 }

// Oxygen and alkalinity cost of nitrification.
const (
	oxygenAOB = 3 * molO2 / 2 / molN // 3.427 g O2 per g N oxidised to nitrite, no cell synthesis
	oxygenNOB = molO2 / 2 / molN     // 1.142 g O2 per g N oxidised to nitrate
)
