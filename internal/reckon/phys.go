package reckon

import (
	"fmt"
	"littoral/internal/unit"
	"littoral/internal/water"
	"math"
)

func oxygenTopic() Topic {
	return Topic{
		Name: "oxygen", Short: "Oxygen that water holds in equilibrium with air",
		About: "Fresh water against moist air (Benson & Krause 1984), at the standard air pressure of the altitude.",
		In: []Field{
			temperature(),
			{Column: "altitude_m", Flag: "altitude", Kind: unit.KindLength, Default: 0, Min: -500, Max: 5000, Help: "Height above the sea.", Example: "500 m"},
		},
		Out: []Output{{"do_sat_mg_l", "oxygen at saturation, mg/L", 2}},
		solve: func(in, out []float64) error {
			out[0] = water.OxygenSaturation(in[0], water.PressureAtHeight(in[1]))
			return nil
		},
		tell: func(in, out []float64) Answer {
			return Answer{
				Says: fmt.Sprintf("Full air saturation is %s mg/L of oxygen at %s °C.", num(out[0], 2), num(in[0], 1)),
				Why: []string{
					fmt.Sprintf("Air presses with %s atm at %s m.", num(water.PressureAtHeight(in[1]), 3), num(in[1], 0)),
					"Keep fish above 5 to 6 mg/L before lights-on (common practice); planted tanks often stand above saturation at dusk.",
				},
			}
		},
	}
}

func ammoniaTopic() Topic {
	const (
		iTAN = iota
		iPH
		iT
		iI
	)
	return Topic{
		Name: "ammonia", Short: "The poisonous part of a total ammonia reading",
		About: "Test kits read ammonium and ammonia together; only un-ionised ammonia harms. The share follows Emerson et al. 1975, at no ionic strength unless one is given.",
		In: []Field{
			{Column: "tan_mg_l", Flag: "total", Kind: unit.KindConcentration, Default: missing, Needed: true, Max: 1000, Help: "Total ammonia as nitrogen.", Example: "0.5 mg/L"},
			ph(), temperature(),
			{Column: "ionic_strength_mol_l", Flag: "ionic-strength", Default: 0, Max: 0.5, Help: "Ionic strength in mol/L; about 0.004 in soft tanks.", Example: "0.004"},
		},
		Out: []Output{
			{"nh3_n_mg_l", "un-ionised ammonia as nitrogen, mg/L", 4},
			{"fraction", "its share of the total", 5},
		},
		solve: func(in, out []float64) error {
			out[1] = water.AmmoniaFraction(in[iPH], in[iT], in[iI])
			out[0] = in[iTAN] * out[1]
			return nil
		},
		tell: func(in, out []float64) Answer {
			a := Answer{
				Says: fmt.Sprintf("Un-ionised ammonia is %s mg/L N, %s %% of the total.", num(out[0], 4), num(100*out[1], 2)),
				Why:  []string{fmt.Sprintf("pKa is %s at %s °C; each pH unit more makes ten times as much.", num(water.AmmoniaPK(in[iT]), 2), num(in[iT], 1))},
			}
			switch {
			case out[0] > 0.05:
				a.Caution = "Above 0.05 mg/L N fish suffer harm: feed nothing, change water of like pH, do not raise the pH, and take animals out if they gasp."
			case out[0] > 0.02:
				a.Caution = "0.02 to 0.05 mg/L N is the keeper's alarm (common practice, no source): change water and look for the cause."
			}
			return a
		},
	}
}

func length(column, flag, help, example string, otherwise float64) Field {
	return Field{
		Column: column, Flag: flag, Kind: unit.KindLength, Per: 0.01, Default: otherwise, Needed: math.IsNaN(otherwise), Max: 3000, Help: help, Example: example,
	}
}

func volumeTopic() Topic {
	const (
		iL = iota
		iW
		iLevel
		iBed
		iStone
		iStoneDensity
	)
	return Topic{
		Name: "volume", Short: "Net water, and the weight that stands on the floor",
		About: "A box with a level bed: inside length and width, height of the water from the bottom, mean depth of the bed. Plans reckon other shapes, slopes and each stone; this is the sum on the back of an envelope.",
		In: []Field{
			length("length_cm", "length", "Inside length.", "240 cm", missing),
			length("width_cm", "width", "Inside width.", "90 cm", missing),
			length("level_cm", "level", "Height of the water above the bottom.", "60 cm", missing),
			length("bed_cm", "bed", "Mean depth of the bed.", "7 cm", 0),
			{Column: "stone_kg", Flag: "stone", Kind: unit.KindMass, Default: 0, Max: 1e5, Help: "Stone in it.", Example: "80 kg"},
			{Column: "stone_kg_m3", Flag: "stone-density", Kind: unit.KindDensity, Default: 2700, Min: 500, Max: 8000, Help: "Density of that stone.", Example: "2700 kg/m³"},
		},
		Out: []Output{
			{"gross_l", "water and everything in it, L", 0},
			{"bed_l", "bed, L", 0},
			{"stone_l", "stone, L", 1},
			{"net_l", "water, L", 0},
			{"contents_kg", "weight of water, bed and stone without the tank, kg", 0},
		},
		solve: func(in, out []float64) error {
			floor := in[iL] * in[iW] / 1000 // L per cm
			if in[iBed] > in[iLevel] {
				return fmt.Errorf("the bed of %s cm stands above the water level of %s cm", short(in[iBed]), short(in[iLevel]))
			}
			out[0], out[1], out[2] = floor*in[iLevel], floor*in[iBed], 1000*in[iStone]/in[iStoneDensity]
			pores := bedPores * out[1]
			out[3] = out[0] - out[1] + pores - out[2]
			if out[3] < 0 {
				return fmt.Errorf("bed and stone take %s L, more than the tank holds", num(out[1]-pores+out[2], 0))
			}
			out[4] = out[3] + (out[1]-pores)*bedGrain + in[iStone]
			return nil
		},
		tell: func(in, out []float64) Answer {
			return Answer{
				Says: fmt.Sprintf("It holds %s L of water and weighs about %s kg without glass and stand.", num(out[3], 0), num(out[4], 0)),
				Why: []string{
					fmt.Sprintf("%s L to the water line, less %s L of bed, of which %s %% is pores that hold water, and %s L of stone.", num(out[0], 0), num(out[1], 0), num(100*bedPores, 0), num(out[2], 0)),
				},
				Caution: "Glass, stand and floor must carry this for years: let a structural engineer judge the floor, and follow local building rules.",
			}
		},
	}
}

// A bed's pores and the density of its grains: gravel and sand, common practice, no source; baked clays lie near 0.5 and 1.9 kg/L.
const (
	bedPores = 0.40
	bedGrain = 2.65 // kg/L
)

// Surfaces of tanks: film coefficients inside and outside, W/(m² K), from memory of EN 673; conductivity of float glass, W/(m K).
const (
	filmInside, filmOutside = 300.0, 8.0
	glassConductivity       = 1.0
	waterHeat               = 4.181 // kJ/(kg K) near 25 °C, CRC Handbook (from memory)
	hoursPerYear            = 8766.0
)

func heatTopic() Topic {
	const (
		iL = iota
		iW
		iLevel
		iGlass
		iSet
		iRoom
		iHumidity
		iCover
		iGains
	)
	return Topic{
		Name: "heat", Short: "Heat a tank loses, the heater it needs and what it costs in a year",
		About: "Loss through four panes, bottom left out, and from the surface by evaporation and by warming the air. Lamps, pumps and people warm the room; what they give to the water is stated with --gains.",
		In: []Field{
			length("length_cm", "length", "Inside length.", "240 cm", missing),
			length("width_cm", "width", "Inside width.", "90 cm", missing),
			length("level_cm", "level", "Height of the water.", "60 cm", missing),
			{Column: "glass_mm", Flag: "glass", Kind: unit.KindLength, Per: 0.001, Default: 12, Min: 2, Max: 100, Help: "Thickness of the glass.", Example: "15 mm"},
			{Column: "set_c", Flag: "set", Kind: unit.KindTemperature, Default: 25, Min: 5, Max: 40, Help: "Wanted water temperature.", Example: "25 °C"},
			{Column: "room_c", Flag: "room", Kind: unit.KindTemperature, Default: 18, Min: -10, Max: 45, Help: "Coldest room temperature.", Example: "18 °C"},
			{Column: "humidity", Flag: "humidity", Kind: unit.KindFraction, Default: 0.5, Min: 0, Max: 1, Help: "Relative humidity of the room.", Example: "50 %"},
			{Column: "cover", Flag: "cover", Kind: unit.KindFraction, Default: 0, Min: 0, Max: 1, Help: "Share of the surface that is covered.", Example: "0 %"},
			{Column: "gains_w", Flag: "gains", Kind: unit.KindPower, Default: 0, Max: 1e5, Help: "Heat that lamps and pumps give to the water, day's mean.", Example: "40 W"},
		},
		Out: []Output{
			{"loss_w", "heat that must be made up, W", 0},
			{"heater_w", "heater, at least, W", 0},
			{"kwh_year", "energy of a year with that room, kWh", 0},
			{"warm_up_k_h", "warming with that heater, K per hour", 2},
			{"free_c", "temperature without a heater, °C", 1},
		},
		solve: func(in, out []float64) error {
			l, w, h := in[iL]/100, in[iW]/100, in[iLevel]/100
			loss := func(t float64) float64 {
				return tankLoss(l, w, h, in[iGlass]/1000, t, in[iRoom], in[iHumidity], in[iCover])
			}
			out[0] = math.Max(0, loss(in[iSet])-in[iGains])
			litres := l * w * h * 1000
			// 1.4 times the worst loss (1.3 to 1.5), and at least what warms the water by 0.3 K an hour: common practice, no source.
			out[1] = math.Max(1.4*out[0], loss(in[iSet])-in[iGains]+0.3*litres*waterHeat/3.6)
			out[1] = math.Max(0, out[1])
			out[2] = out[0] * hoursPerYear / 1000
			out[3] = (out[1] - loss(in[iSet]) + in[iGains]) * 3.6 / (litres * waterHeat)
			lo, hi := in[iRoom]-20, in[iRoom]+60
			for range 60 {
				mid := (lo + hi) / 2
				if loss(mid) < in[iGains] {
					lo = mid
				} else {
					hi = mid
				}
			}
			out[4] = (lo + hi) / 2
			return nil
		},
		tell: func(in, out []float64) Answer {
			return Answer{
				Says: fmt.Sprintf("In a room of %s °C the tank needs %s W to stay at %s °C: take heaters of %s W in all, two of at least 60 %% each.", num(in[iRoom], 0), num(out[0], 0), num(in[iSet], 0), num(10*math.Ceil(out[1]/10), 0)),
				Why: []string{
					fmt.Sprintf("Glass of %s mm loses %s W per m² and K; evaporation takes the rest. Left alone the water would stand at %s °C.", num(in[iGlass], 0), num(water.PaneU(in[iGlass]/1000, glassConductivity, filmInside, filmOutside), 1), num(out[4], 1)),
					fmt.Sprintf("The whole year in that room takes %s kWh; a heater of that size warms the tank by %s K an hour.", num(out[2], 0), num(out[3], 1)),
				},
				Caution: "Electricity beside water: earth-leakage protection, drip loops, heaters off before their water is drained. Local codes and a licensed electrician decide.",
			}
		},
	}
}

// tankLoss returns the heat that a box of l × w m and h m of water loses at water temperature t, W. Glass in m, room in °C.
func tankLoss(l, w, h, glass, t, room, humidity, cover float64) float64 {
	u := water.PaneU(glass, glassConductivity, filmInside, filmOutside)
	open := l * w * (1 - cover*0.9) // a cover lets a tenth through: common practice, no source, 5 to 15 %
	evaporated := open * water.Evaporation(t, room, humidity, 0.05, water.UndisturbedPool)
	return (2*(l+w)*h*u+open*filmOutside)*(t-room) + evaporated*water.LatentHeat(t)
}

func changeTopic() Topic {
	const (
		iVolume = iota
		iShare
		iTank
		iNew
		iDrop
		iFlow
		iHeater
	)
	return Topic{
		Name: "change", Short: "A water change: cold shock, largest safe share, time to refill and to warm up",
		About: "Two waters of the same heat mix to their mean temperature. How far fish may be cooled in an hour is a house rule: 2 °C is usual, 1 °C for delicate ones.",
		In: []Field{
			{Column: "volume_l", Flag: "volume", Kind: unit.KindVolume, Per: 0.001, Default: missing, Needed: true, Min: 1, Max: 1e7, Help: "Water in the tank.", Example: "1200 L"},
			{Column: "share", Flag: "share", Kind: unit.KindFraction, Default: 0.4, Min: 0, Max: 1, Help: "Share that is changed.", Example: "40 %"},
			{Column: "tank_c", Flag: "tank", Kind: unit.KindTemperature, Default: 25, Min: 0, Max: 45, Help: "Temperature of the tank.", Example: "25 °C"},
			{Column: "new_c", Flag: "new", Kind: unit.KindTemperature, Default: missing, Needed: true, Min: 0, Max: 60, Help: "Temperature of the new water.", Example: "15 °C"},
			{Column: "largest_drop_k", Flag: "largest-drop", Default: 2, Min: 0.1, Max: 20, Help: "Largest change of temperature that the animals may meet, in °C.", Example: "2"},
			{Column: "hose_l_min", Flag: "hose", Kind: unit.KindFlow, Per: 1 / 6e4, Default: 12, Min: 0.1, Max: 1000, Help: "Flow of the hose.", Example: "12 L/min"},
			{Column: "heater_w", Flag: "heater", Kind: unit.KindPower, Default: 0, Max: 1e5, Help: "Power of the heaters.", Example: "600 W"},
		},
		Out: []Output{
			{"mixed_c", "temperature after the change, °C", 1},
			{"largest_share", "largest share at once", 3},
			{"new_l", "new water, L", 0},
			{"refill_min", "time to refill, min", 0},
			{"reheat_h", "time to warm up again without loss, h", 1},
		},
		solve: func(in, out []float64) error {
			gap := in[iTank] - in[iNew]
			out[0] = in[iTank] - in[iShare]*gap
			out[1] = 1
			if math.Abs(gap) > in[iDrop] {
				out[1] = in[iDrop] / math.Abs(gap)
			}
			out[2] = in[iVolume] * in[iShare]
			out[3] = out[2] / in[iFlow]
			out[4] = missing
			if in[iHeater] > 0 {
				out[4] = math.Max(0, in[iTank]-out[0]) * in[iVolume] * waterHeat / (3.6 * in[iHeater])
			}
			return nil
		},
		tell: func(in, out []float64) Answer {
			a := Answer{
				Says: fmt.Sprintf("The tank goes from %s °C to %s °C; at once no more than %s %% may be changed.", num(in[iTank], 1), num(out[0], 1), num(math.Floor(100*out[1]), 0)),
				Why:  []string{fmt.Sprintf("%s L of new water run in within %s minutes.", num(out[2], 0), num(out[3], 0))},
			}
			if !math.IsNaN(out[4]) {
				a.Why = append(a.Why, fmt.Sprintf("The heaters take %s hours to bring it back, losses to the room left out.", num(out[4], 1)))
			}
			if in[iShare] > out[1] {
				a.Caution = "This change cools or warms the animals by more than they may meet: temper the water, change less, or run it in over hours."
			}
			return a
		},
	}
}

func evaporationTopic() Topic {
	const (
		iL = iota
		iW
		iTank
		iRoom
		iHumidity
		iAir
		iCover
		iVolume
		iGH
	)
	gh := hardness()
	gh.Default, gh.Flag, gh.Column, gh.Help = 0, "top-up-hardness", "top_up_dgh", "Hardness of the top-up water."
	return Topic{
		Name: "evaporation", Short: "Water that evaporates, and how hardness creeps up with it",
		About: "Carrier's law at the share that undisturbed indoor pools show (Smith, Löf & Jones 1998); in tanks uncertain by a factor of two.",
		In: []Field{
			length("length_cm", "length", "Length of the surface.", "240 cm", missing),
			length("width_cm", "width", "Width of the surface.", "90 cm", missing),
			{Column: "tank_c", Flag: "tank", Kind: unit.KindTemperature, Default: 25, Min: 0, Max: 45, Help: "Water temperature.", Example: "25 °C"},
			{Column: "room_c", Flag: "room", Kind: unit.KindTemperature, Default: 21, Min: -10, Max: 45, Help: "Room temperature.", Example: "21 °C"},
			{Column: "humidity", Flag: "humidity", Kind: unit.KindFraction, Default: 0.5, Min: 0, Max: 1, Help: "Relative humidity.", Example: "50 %"},
			{Column: "air_m_s", Flag: "air", Default: 0.05, Min: 0, Max: 5, Help: "Air speed over the surface in m/s; a fan makes 1 to 2.", Example: "0.05"},
			{Column: "cover", Flag: "cover", Kind: unit.KindFraction, Default: 0, Min: 0, Max: 1, Help: "Share of the surface that is covered.", Example: "0 %"},
			{Column: "volume_l", Flag: "volume", Kind: unit.KindVolume, Per: 0.001, Default: missing, Min: 1, Max: 1e7, Help: "Water in the tank, for the creep of hardness.", Example: "1200 L"},
			gh,
		},
		Out: []Output{
			{"mm_day", "evaporation, mm a day", 2},
			{"l_day", "evaporation, L a day", 1},
			{"l_week", "top-up, L a week", 0},
			{"cooling_w", "heat it takes, W", 0},
			{"dgh_month", "rise of hardness, °dGH a month", 2},
		},
		solve: func(in, out []float64) error {
			area := in[iL] * in[iW] / 1e4 * (1 - 0.9*in[iCover])
			flux := water.Evaporation(in[iTank], in[iRoom], in[iHumidity], in[iAir], water.UndisturbedPool)
			out[0] = flux * 86400
			out[1] = out[0] * area
			out[2] = 7 * out[1]
			out[3] = flux * area * water.LatentHeat(in[iTank])
			out[4] = missing
			if !math.IsNaN(in[iVolume]) {
				out[4] = out[1] * 30 * in[iGH] / in[iVolume]
			}
			return nil
		},
		tell: func(in, out []float64) Answer {
			a := Answer{
				Says: fmt.Sprintf("About %s L a day evaporate, %s L a week (half to twice that).", num(out[1], 1), num(out[2], 0)),
				Why:  []string{fmt.Sprintf("%s mm a day from the open surface; it cools the tank with %s W.", num(out[0], 1), num(out[3], 0))},
			}
			if !math.IsNaN(out[4]) && in[iGH] > 0 {
				a.Why = append(a.Why, fmt.Sprintf("Topped up with water of %s °dGH, hardness rises by %s °dGH a month between changes.", num(in[iGH], 0), num(out[4], 1)))
			}
			return a
		},
	}
}

func turnoverTopic() Topic {
	return Topic{
		Name: "turnover", Short: "How often a filter passes the tank's water",
		About: "Pumps are rated without hose, head or media: what arrives is half to two thirds of the label, and less as media clog. Measure it with a bucket and a watch.",
		In: []Field{
			{Column: "volume_l", Flag: "volume", Kind: unit.KindVolume, Per: 0.001, Default: missing, Needed: true, Min: 1, Max: 1e7, Help: "Water in the tank.", Example: "1200 L"},
			{Column: "flow_l_h", Flag: "flow", Kind: unit.KindFlow, Per: 1 / 3.6e6, Default: missing, Needed: true, Min: 0, Max: 1e7, Help: "Flow on the label, or measured.", Example: "5000 L/h"},
			{Column: "arrives", Flag: "arrives", Kind: unit.KindFraction, Default: 0.6, Min: 0, Max: 1, Help: "Share of that flow that arrives; 100 % for a measured one.", Example: "60 %"},
		},
		Out: []Output{
			{"per_hour", "turnovers an hour", 2},
			{"hours_to_pass_95_percent", "time until 95 % of the water has passed, h", 2},
		},
		solve: func(in, out []float64) error {
			out[0] = in[1] * in[2] / in[0]
			out[1] = missing
			if out[0] > 0 {
				out[1] = 3 / out[0] // a well-stirred tank: 1 - e^-3 = 95 %
			}
			return nil
		},
		tell: func(in, out []float64) Answer {
			return Answer{
				Says: fmt.Sprintf("The water passes the filter %s times an hour.", num(out[0], 1)),
				Why: []string{
					fmt.Sprintf("%s L/h, of which %s %% arrive, over %s L; house rules for planted tanks lie between 2 and 10 an hour.", num(in[1], 0), num(100*in[2], 0), num(in[0], 0)),
					"Water mixes as it passes, so 95 % of it has been through after three turnovers.",
				},
			}
		},
	}
}
