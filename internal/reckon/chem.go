package reckon

import (
	"errors"
	"fmt"
	"littoral/internal/unit"
	"littoral/internal/water"
	"math"
	"strings"
)

var missing = math.NaN()

// Fields that several topics ask for.
func alkalinity() Field {
	return Field{
		Column: "alkalinity_dkh", Flag: "alkalinity", Kind: unit.KindAlkalinity, Per: water.MeqPerDH, Default: missing, Needed: true, Min: -3, Max: 60,
		Help: "Carbonate hardness of the water (KH).", Example: "4 dKH",
	}
}

func hardness() Field {
	return Field{
		Column: "hardness_dgh", Flag: "hardness", Kind: unit.KindHardness, Per: water.MmolPerDH, Default: missing, Min: 0, Max: 120,
		Help: "Total hardness (GH).", Example: "8 dGH",
	}
}

func temperature() Field {
	return Field{
		Column: "temperature_c", Flag: "temperature", Kind: unit.KindTemperature, Default: 25, Min: 0, Max: 45,
		Help: "Temperature of the water.", Example: "24 °C",
	}
}

func ph() Field {
	return Field{Column: "ph", Flag: "ph", Default: missing, Needed: true, Min: 2, Max: 12, Help: "pH of the water.", Example: "6.6"}
}

// ionOrder is the order of the ions in ionFields.
const (
	ionCa = iota
	ionMg
	ionNa
	ionK
	ionCl
	ionSO4
	ionNO3
	ionCount
)

// ionFields are the optional ions, mg/L.
func ionFields() []Field {
	names := [ionCount][3]string{
		{"ca", "Ca", "Calcium"},
		{"mg", "Mg", "Magnesium"},
		{"na", "Na", "Sodium"},
		{"k", "K", "Potassium"},
		{"cl", "Cl", "Chloride"},
		{"so4", "SO4", "Sulphate"},
		{"no3", "NO3", "Nitrate, as the ion"},
	}
	var fields []Field
	for _, n := range names {
		fields = append(fields, Field{
			Column: n[0] + "_mg_l", Also: n[0], Flag: n[0], Kind: unit.KindConcentration, Ion: n[1], Default: missing, Min: 0, Max: 20000,
			Help: n[2] + ", if known.", Example: "20 mg/L",
		})
	}
	return fields
}

// analysis makes a water of alkalinity (°dKH), hardness (°dGH, NaN when only the ions tell) and ions in mg/L (NaN when not known).
// It fails where hardness contradicts calcium and magnesium.
func analysis(t, dkh, dgh float64, ions []float64) (water.Composition, error) {
	a := water.Analysis{
		T: t, Alk: dkh * water.MeqPerDH, Hard: or(dgh, 0) * water.MmolPerDH, SulphateFirst: true,
		Na: or(ions[ionNa], 0), K: or(ions[ionK], 0), Cl: or(ions[ionCl], 0), SO4: or(ions[ionSO4], 0), NO3: or(ions[ionNO3], 0),
	}
	ca, mg := ions[ionCa]/water.MolCa, ions[ionMg]/water.MolMg // mmol/L
	switch {
	case !math.IsNaN(ca) && !math.IsNaN(mg):
		if !math.IsNaN(dgh) && math.Abs(ca+mg-a.Hard) > 0.05+0.1*a.Hard {
			return water.Composition{}, fmt.Errorf("hardness of %s °dGH does not fit calcium and magnesium, which make %s °dGH; leave one of them out", short(dgh), num((ca+mg)/water.MmolPerDH, 2))
		}
		a.Hard, a.CaMg = ca+mg, ratio(ca, mg)
	case !math.IsNaN(ca):
		mg = math.Max(0, a.Hard-ca)
		if math.IsNaN(dgh) {
			mg = 0
		}
		a.Hard, a.CaMg = ca+mg, ratio(ca, mg)
	case !math.IsNaN(mg):
		ca = math.Max(0, a.Hard-mg)
		a.Hard, a.CaMg = ca+mg, ratio(ca, mg)
	case math.IsNaN(dgh):
		// Nothing is known of the hardness: most waters hold a little more of it than of alkalinity (common practice, no source).
		a.Hard = math.Max(0, 1.2*a.Alk/2)
	}
	c, _ := a.Composition()
	return c, nil
}

// ratio returns Ca:Mg in moles in the way that water.Analysis takes it, where 0 would mean not known.
func ratio(ca, mg float64) float64 {
	switch {
	case mg > 0 && ca > 0:
		return ca / mg
	case mg > 0:
		return 1e-6
	default:
		return 1e6
	}
}

func co2Topic() Topic {
	const (
		iKH = iota
		iGH
		iPH
		iT
		iIons
	)
	return Topic{
		Name: "co2", Short: "Dissolved CO2 from pH and carbonate hardness",
		About: "Solves the carbonate system with the water's ionic strength and ion pairs. The reading holds only where carbonate alone buffers: humic acids, acid buffers and phosphate make titrated KH read too high, and the CO2 with it.",
		In:    append([]Field{alkalinity(), hardness(), ph(), temperature()}, ionFields()...),
		Out: []Output{
			{"co2_mg_l", "CO2, mg/L", 1},
			{"ionic_strength_mol_l", "ionic strength, mol/L", 5},
			{"pco2_uatm", "CO2 pressure, µatm", 0},
		},
		solve: func(in, out []float64) error {
			c, err := analysis(in[iT], in[iKH], in[iGH], in[iIons:])
			if err != nil {
				return err
			}
			e := c.Equilibrium()
			s := e.AtPH(in[iPH], c.Alk)
			out[0], out[1], out[2] = s.CO2mg(), e.Ionic, s.CO2/e.KH*1000
			return nil
		},
		tell: func(in, out []float64) Answer {
			a := Answer{
				Says: fmt.Sprintf("The water holds %s mg/L of CO2, %s times what open air would leave in it.", num(out[0], 1), num(out[2]/water.AirCO2, 0)),
				Why: []string{
					fmt.Sprintf("Carbonate equilibrium at %s °C (Plummer & Busenberg 1982) with activities for %s mol/L of ions.", num(in[iT], 1), num(out[1], 4)),
					fmt.Sprintf("The trade's rule 3 × KH × 10^(7 − pH) would read %s mg/L.", num(water.TradeCO2(in[iKH], in[iPH]), 1)),
				},
			}
			if out[0] > 30 {
				a.Caution = "Above 30 to 40 mg/L fish gasp and may die: close the gas, stir the surface, watch the animals. Work with pressurised gas as its supplier says, in a room that is aired."
			}
			return a
		},
	}
}

func phTopic() Topic {
	const (
		iKH = iota
		iGH
		iT
		iCO2
		iIons
	)
	gas := Field{
		Column: "co2_mg_l", Flag: "co2", Kind: unit.KindConcentration, Ion: "CO2", Default: missing, Needed: true, Min: 0.001, Max: 2000,
		Help: "Wanted CO2.", Example: "25 mg/L",
	}
	return Topic{
		Name: "ph", Short: "The pH at which a water holds a wanted CO2",
		About: "The set-point for a pH controller. Test KH again after each change of the tap or the bed: one degree of KH moves this pH by 0.1 to 0.3.",
		In:    append([]Field{alkalinity(), hardness(), temperature(), gas}, ionFields()...),
		Out:   []Output{{"ph", "pH", 2}},
		solve: func(in, out []float64) error {
			c, err := analysis(in[iT], in[iKH], in[iGH], in[iIons:])
			if err != nil {
				return err
			}
			e := c.Equilibrium()
			out[0] = e.AtCO2(in[iCO2]/water.MolCO2, c.Alk).PH
			return nil
		},
		tell: func(in, out []float64) Answer {
			a := Answer{
				Says: fmt.Sprintf("At pH %s this water holds %s mg/L of CO2.", num(out[0], 2), num(in[iCO2], 0)),
				Why:  []string{fmt.Sprintf("Carbonate equilibrium for KH %s °dKH at %s °C; the same gas gives a lower pH in softer water.", num(in[iKH], 1), num(in[iT], 1))},
			}
			if in[iCO2] > 30 {
				a.Caution = "Above 30 to 40 mg/L fish gasp and may die. Set a controller with a dead band and a timer, and watch the animals on the first days."
			}
			return a
		},
	}
}

func mixTopic() Topic {
	const (
		iShare = iota
		iAKH
		iAGH
		iAPH
		iAT
		iBKH
		iBGH
		iBPH
		iBT
	)
	of := func(f Field, water, which string, otherwise float64) Field {
		f.Column, f.Flag = water+"_"+f.Column, water+"-"+f.Flag
		f.Help = strings.TrimSuffix(f.Help, ".") + ", " + which + " water."
		f.Default, f.Needed = otherwise, math.IsNaN(otherwise)
		return f
	}
	share := Field{Column: "a_share", Flag: "a-share", Kind: unit.KindFraction, Default: missing, Needed: true, Min: 0, Max: 1, Help: "Share of the first water in the mixture.", Example: "40 %"}
	return Topic{
		Name: "mix", Short: "What two waters make when they are poured together",
		About: "Ions, hardness and carbon mix in proportion; pH follows from what was mixed and is never an average. The second water is that of a reverse-osmosis unit unless it is given.",
		In: []Field{
			share,
			of(alkalinity(), "a", "first", missing), of(hardness(), "a", "first", missing), of(ph(), "a", "first", 7.5), of(temperature(), "a", "first", 25),
			of(alkalinity(), "b", "second", 0.006), of(hardness(), "b", "second", 0), of(ph(), "b", "second", 5.65), of(temperature(), "b", "second", 25),
		},
		Out: []Output{
			{"alkalinity_dkh", "carbonate hardness, °dKH", 2},
			{"hardness_dgh", "total hardness, °dGH", 2},
			{"temperature_c", "temperature, °C", 1},
			{"ph", "pH, before air takes or gives CO2", 2},
			{"co2_mg_l", "CO2, mg/L", 1},
			{"aired_ph", "pH once it stands in equilibrium with air", 2},
			{"conductivity_us_cm", "conductivity at 25 °C, µS/cm", 0},
		},
		solve: func(in, out []float64) error {
			one := func(kh, gh, p, t float64) (water.Composition, error) {
				c, err := analysis(t, kh, gh, unknownIons[:])
				if err != nil {
					return c, err
				}
				e := c.Equilibrium()
				c.DIC = e.DICFromPH(p, c.Alk)
				return c, nil
			}
			a, err := one(in[iAKH], in[iAGH], in[iAPH], in[iAT])
			if err != nil {
				return err
			}
			b, err := one(in[iBKH], in[iBGH], in[iBPH], in[iBT])
			if err != nil {
				return err
			}
			m := water.Mix(a, b, in[iShare])
			e := m.Equilibrium()
			s := e.Solve(m.DIC, m.Alk)
			out[0], out[1], out[2], out[3], out[4] = m.DKH(), m.DGH(), m.T, s.PH, s.CO2mg()
			out[5] = e.AtCO2(e.CO2InAir(water.AirCO2), m.Alk).PH
			out[6] = m.Conductivity(25)
			return nil
		},
		tell: func(in, out []float64) Answer {
			return Answer{
				Says: fmt.Sprintf("The mixture has %s °dKH, %s °dGH and about %s µS/cm; pH %s, and %s after standing in air.", num(out[0], 1), num(out[1], 1), num(out[6], 0), num(out[3], 2), num(out[5], 2)),
				Why:  []string{fmt.Sprintf("%s %% of the first water, the rest of the second; everything but pH mixes in proportion.", num(100*in[iShare], 0))},
			}
		},
	}
}

var unknownIons = [ionCount]float64{missing, missing, missing, missing, missing, missing, missing}

func saltsTopic() Topic {
	volume := Field{
		Column: "volume_l", Flag: "volume", Kind: unit.KindVolume, Per: 0.001, Default: missing, Needed: true, Min: 0.001, Max: 1e7,
		Help: "Water that the salts are dissolved in.", Example: "200 L",
	}
	return Topic{
		Name: "salts", Short: "What weighed salts bring into pure water",
		About: "Write each salt as its formula, water of crystallisation included, and its grams: CaSO4·2H2O, or CaSO4.2H2O. The water is pure, and neither gives nor takes CO2.",
		In:    []Field{volume},
		Salts: true,
		Out: []Output{
			{"k_mg_l", "potassium, mg/L", 2},
			{"ca_mg_l", "calcium, mg/L", 2},
			{"mg_mg_l", "magnesium, mg/L", 2},
			{"na_mg_l", "sodium, mg/L", 2},
			{"no3_mg_l", "nitrate, mg/L", 2},
			{"po4_mg_l", "phosphate, mg/L", 2},
			{"so4_mg_l", "sulphate, mg/L", 2},
			{"cl_mg_l", "chloride, mg/L", 2},
			{"gh_dgh", "total hardness, °dGH", 2},
			{"kh_dkh", "carbonate hardness, °dKH", 2},
			{"conductivity_us_cm", "conductivity at 25 °C, µS/cm", 0},
		},
		solveSalts: func(in []float64, salts []Weighed, out []float64) error {
			c, err := dissolved(in[0], salts)
			if err != nil {
				return err
			}
			for i, x := range []float64{c.K, c.Ca, c.Mg, c.Na, c.NO3N * water.NO3PerN, c.PO4P * water.PO4PerP, c.SO4, c.Cl, c.DGH(), c.DKH(), c.Conductivity(25)} {
				out[i] = x
			}
			return nil
		},
		tellSalts: func(in []float64, salts []Weighed, out []float64) Answer {
			a := Answer{Says: fmt.Sprintf("Hardness rises by %s °dGH and %s °dKH; conductivity reaches about %s µS/cm.", num(out[8], 2), num(out[9], 2), num(out[10], 0))}
			for _, w := range salts {
				if s, ok := water.LookSalt(w.Salt); ok && w.Grams > 0 && len(a.Why) < 2 {
					a.Why = append(a.Why, fmt.Sprintf("%s g of %s (%s, %s g/mol) in %s L is %s mg/L of it.", short(w.Grams), s.Name, s.Words, num(s.Mass, 2), short(in[0]), num(1000*w.Grams/in[0], 1)))
				}
			}
			a.Caution = "Dissolve salts in a little water before they reach animals; keep them away from eyes and children, and read their labels."
			return a
		},
	}
}

// dissolved returns pure water at 25 °C with salts in it; volume in litres.
func dissolved(volume float64, salts []Weighed) (water.Composition, error) {
	var sum water.Amount
	for _, w := range salts {
		s, ok := water.LookSalt(w.Salt)
		if !ok {
			return water.Composition{}, fmt.Errorf("salt %q is not known, write a formula such as CaSO4·2H2O", w.Salt)
		}
		if !(w.Grams >= 0 && w.Grams <= 1e6) {
			return water.Composition{}, fmt.Errorf("%s must be 0 g or more, it is %s", w.Salt, short(w.Grams))
		}
		sum = sum.Add(water.Dissolve(s, w.Grams))
	}
	return water.Of(sum, volume/1000, 25), nil
}

func conductivityTopic() Topic {
	const (
		iKH = iota
		iPH
		iT
		iIons
	)
	p := ph()
	p.Default, p.Needed = 7.5, false
	fields := ionFields()
	for i := range fields {
		fields[i].Default = 0
	}
	return Topic{
		Name: "conductivity", Short: "Electrical conductivity of an analysis, and whether its charges balance",
		About: "Each ion carries its own share (Debye–Hückel–Onsager law). Charges of cations and anions must balance: an analysis that is off by more than 10 % misses an ion or misprints one.",
		In:    append([]Field{alkalinity(), p, temperature()}, fields...),
		Out: []Output{
			{"conductivity_us_cm", "conductivity at 25 °C, µS/cm", 0},
			{"conductivity_at_t_us_cm", "conductivity at the water's temperature, µS/cm", 0},
			{"cations_meq_l", "cations, meq/L", 3},
			{"anions_meq_l", "anions, meq/L", 3},
			{"charge_error_percent", "cations more than anions, % of their mean", 1},
		},
		solve: func(in, out []float64) error {
			c := statedWater(in[iT], in[iKH], in[iIons:])
			e := c.Equilibrium()
			c.DIC = e.DICFromPH(in[iPH], c.Alk)
			cations, anions := c.Charges()
			out[0], out[1], out[2], out[3] = c.Conductivity(25), c.Conductivity(c.T), cations, anions
			if mean := (cations + anions) / 2; mean > 0 {
				out[4] = 100 * (cations - anions) / mean
			}
			return nil
		},
		tell: func(in, out []float64) Answer {
			a := Answer{Says: fmt.Sprintf("This analysis conducts %s µS/cm at 25 °C.", num(out[0], 0))}
			if math.Abs(out[4]) <= 10 {
				a.Why = []string{fmt.Sprintf("Cations carry %s and anions %s meq/L: the charges balance within %s %%.", num(out[2], 2), num(out[3], 2), num(math.Abs(out[4]), 1))}
				return a
			}
			ion, change := water.LikelyWrong(statedWater(in[iT], in[iKH], in[iIons:]))
			a.Why = []string{
				fmt.Sprintf("Cations carry %s and anions %s meq/L: the analysis cannot be right as it stands, it is off by %s %%.", num(out[2], 2), num(out[3], 2), num(math.Abs(out[4]), 0)),
				fmt.Sprintf("Most likely %s is missing or misprinted: %s mg/L of it would close the balance.", ion, num(change, 1)),
			}
			return a
		},
	}
}

// statedWater is a water exactly as an analysis states it; nothing is added to balance it. Ions in mg/L.
func statedWater(t, dkh float64, ions []float64) water.Composition {
	return water.Composition{
		T: t, Alk: dkh * water.MeqPerDH, DIC: math.Max(0, dkh*water.MeqPerDH),
		Ca: or(ions[ionCa], 0), Mg: or(ions[ionMg], 0), Na: or(ions[ionNa], 0), K: or(ions[ionK], 0),
		Cl: or(ions[ionCl], 0), SO4: or(ions[ionSO4], 0), NO3N: or(ions[ionNO3], 0) / water.NO3PerN,
	}
}

func doseTopic() Topic {
	const (
		iStart = iota
		iDose
		iUptake
		iChange
		iSource
		iPeriods
	)
	level := func(column, flag, help, example string, otherwise float64) Field {
		return Field{Column: column, Flag: flag, Kind: unit.KindConcentration, Default: otherwise, Max: 1e5, Help: help, Example: example}
	}
	dose := level("dose_mg_l", "dose", "What one dose adds.", "10 mg/L", missing)
	dose.Needed = true
	return Topic{
		Name: "dose", Short: "Where a nutrient settles with doses, uptake and water changes",
		About: "One period runs from water change to water change: the change comes first, the dose after it, plants take their share through the period. Plants never take more than there is.",
		In: []Field{
			level("start_mg_l", "start", "Level before the first change.", "0 mg/L", 0),
			dose,
			level("uptake_mg_l", "uptake", "What plants take in a period.", "3 mg/L", 0),
			{Column: "change_share", Flag: "change", Kind: unit.KindFraction, Default: missing, Needed: true, Min: 0, Max: 1, Help: "Share of the water that is changed each period.", Example: "50 %"},
			level("source_mg_l", "source", "Level in the change water.", "5 mg/L", 0),
			{Column: "periods", Flag: "periods", Default: 4, Min: 1, Max: 1000, Help: "Periods to look ahead.", Example: "8"},
		},
		Out: []Output{
			{"level_mg_l", "level at the end of the last period, mg/L", 2},
			{"trough_mg_l", "lowest of a settled period, just before the change, mg/L", 2},
			{"peak_mg_l", "highest of a settled period, after change and dose, mg/L", 2},
			{"periods_to_95_percent", "periods until 95 % of the way is done", 1},
		},
		solve: func(in, out []float64) error {
			c, share := in[iStart], in[iChange]
			for range int(in[iPeriods]) {
				c = math.Max(0, (1-share)*c+share*in[iSource]+in[iDose]-in[iUptake])
			}
			gain := in[iDose] - in[iUptake]
			out[0] = c
			switch {
			case share == 0 && gain > 0:
				return errors.New("without water changes the nutrient rises for ever; lower the dose or state a change")
			case share == 0:
				out[1] = math.Max(0, in[iStart])
				if gain < 0 {
					out[1] = 0
				}
				out[3] = missing
			default:
				out[1] = math.Max(0, in[iSource]+gain/share)
				out[3] = math.Log(0.05) / math.Log(1-share)
				if share == 1 {
					out[3] = 1
				}
			}
			out[2] = (1-share)*out[1] + share*in[iSource] + in[iDose]
			return nil
		},
		tell: func(in, out []float64) Answer {
			a := Answer{Says: fmt.Sprintf("It settles between %s mg/L before the change and %s mg/L after the dose.", num(out[1], 1), num(out[2], 1))}
			a.Why = append(a.Why, fmt.Sprintf("Settled level = source + (dose − uptake) / share changed; after %s periods from the start it stands at %s mg/L.", num(in[iPeriods], 0), num(out[0], 1)))
			if out[1] == 0 {
				a.Why = append(a.Why, "Plants would take more than they get: the nutrient runs out within each period.")
			} else if out[3] > 0 {
				a.Why = append(a.Why, fmt.Sprintf("95 %% of the way takes %s periods.", num(out[3], 0)))
			}
			return a
		},
	}
}
