package water

import (
	"fmt"
	"littoral/internal/check"
	"math"
	"testing"
)

func record(t *testing.T, what, source string, memory bool, worst float64, unit string, within float64) {
	t.Helper()
	check.Record(t, check.Row{
		Room: "water", What: what, Source: source, Memory: memory,
		Worst: fmt.Sprintf("%.2g %s", worst, unit), Within: fmt.Sprintf("%g %s", within, unit),
	})
}

// points compares a law with printed pairs.
func points(t *testing.T, what string, law func(float64) float64, tol float64, pairs [][2]float64) float64 {
	t.Helper()
	var worst float64
	for _, p := range pairs {
		worst = math.Max(worst, near(t, fmt.Sprintf("%s at %g", what, p[0]), law(p[0]), p[1], tol))
	}
	return worst
}

func TestDensity(t *testing.T) {
	// Tanaka et al. 2001, as recomputed from the CIPM formula; 0, 10, 20 and 30 °C are also printed on an independent page.
	w := points(t, "density", Density, 0.001, [][2]float64{
		{0, 999.8428},
		{4, 999.9749},
		{10, 999.7027},
		{15, 999.1026},
		{20, 998.2067},
		{24, 997.2988},
		{25, 997.0470},
		{26, 996.7857},
		{28, 996.2353},
		{30, 995.6488},
	})
	record(t, "density of water, 0 to 30 °C", "Tanaka et al. 2001", false, w, "kg/m³", 0.001)
	// Kell 1975 is another fit; the two differ by at most 0.0033.
	w = points(t, "density", Density, 0.0035, [][2]float64{{4, 999.972}, {10, 999.6996}, {15, 999.0996}, {20, 998.2041}, {25, 997.0449}, {30, 995.6473}})
	record(t, "density of water against a second fit, 4 to 30 °C", "Kell 1975", false, w, "kg/m³", 0.0035)
}

func TestCarbonateConstants(t *testing.T) {
	var worst float64
	for _, c := range []struct{ t, pKH, pK1, pK2, pKw, pKsp, a, air float64 }{
		{5, 1.1921, 6.5163, 10.5544, 14.7296, 8.3942, .4940, 1.188},
		{10, 1.2694, 6.4633, 10.4879, 14.5314, 8.4105, .4977, .994},
		{15, 1.3408, 6.4188, 10.4284, 14.3433, 8.4302, .5016, .843},
		{20, 1.4069, 6.3819, 10.3756, 14.1646, 8.4533, .5058, .724},
		{25, 1.4679, 6.3519, 10.3289, 13.9948, 8.4798, .5102, .629},
		{30, 1.5244, 6.3281, 10.2879, 13.8333, 8.5098, .5149, .553},
	} {
		e := NewEquilibrium(c.t, 0)
		for _, x := range []struct {
			name      string
			got, want float64
		}{
			{"pKH", PKH(c.t), c.pKH},
			{"pK1", PK1(c.t), c.pK1},
			{"pK2", PK2(c.t), c.pK2},
			{"pKw", PKw(c.t), c.pKw},
			{"pKsp", PKspCalcite(c.t), c.pKsp},
			{"Debye-Hückel A", DebyeHuckel(c.t), c.a},
			{"CO2 in air", e.CO2InAir(420) * molCO2, c.air},
		} {
			worst = math.Max(worst, near(t, fmt.Sprintf("%s at %g", x.name, c.t), x.got, x.want, 0.001))
		}
	}
	record(t, "pKH, pK1, pK2, pKw, pKsp, Debye–Hückel A and CO2 in air, 5 to 30 °C", "Plummer & Busenberg 1982", false, worst, "log units, mg/L", 0.001)
	w := points(t, "pK2", PK2, 0.0045, [][2]float64{{0, 10.625}, {5, 10.557}, {10, 10.490}, {15, 10.430}, {20, 10.377}, {25, 10.329}, {30, 10.290}})
	record(t, "pK2 against an independent table, 0 to 30 °C", "Harned & Scholes, in Stumm & Morgan", false, w, "log units", 0.0045)
	w = 0
	for _, c := range []struct{ i, g1, g2 float64 }{{.001, .965, .867}, {.005, .927, .738}, {.010, .902, .662}} {
		w = math.Max(w, near(t, "γ1", ActivityCoefficient(1, 25, c.i), c.g1, .001))
		w = math.Max(w, near(t, "γ2", ActivityCoefficient(2, 25, c.i), c.g2, .001))
	}
	record(t, "activity coefficients at 25 °C", "Davies 1962", true, w, "", 0.001)
}

func TestTradeRuleAgainstEquilibrium(t *testing.T) {
	var worst float64
	for _, c := range []struct{ kh, pH, rule, at25, at25salt, at20salt, dic float64 }{
		{4, 6.6, 30.1, 35.45, 32.86, 35.23, 2.173},
		{4, 6.8, 19.0, 22.36, 20.72, 22.22, 1.897},
		{4, 7.0, 12.0, 14.10, 13.07, 14.02, 1.723},
		{3, 6.5, 28.5, 33.48, 31.03, 33.27, 1.775},
		{6, 7.0, 18.0, 21.15, 19.60, 21.02, 2.584},
		{8, 7.2, 15.1, 17.79, 16.48, 17.67, 3.225},
		{1, 6.2, 18.9, 22.30, 20.67, 22.17, .827},
		{4, 8.0, 1.2, 1.40, 1.29, 1.39, 1.447},
	} {
		near(t, "trade rule", TradeCO2(c.kh, c.pH), c.rule, 0.06)
		for _, x := range []struct{ t, i, want float64 }{{25, 0, c.at25}, {25, .005, c.at25salt}, {20, .005, c.at20salt}} {
			e := NewEquilibrium(x.t, x.i)
			got := e.AtPH(c.pH, c.kh*MeqPerDH).CO2mg()
			tol := 0.005*x.want + 0.005 // the printed last digit
			worst = math.Max(worst, near(t, fmt.Sprintf("CO2 at KH %g pH %g", c.kh, c.pH), got, x.want, tol)/x.want)
		}
		e := NewEquilibrium(25, .005)
		near(t, "DIC", e.DICFromPH(c.pH, c.kh*MeqPerDH), c.dic, 0.005*c.dic)
	}
	record(t, "CO2 from pH and KH, with the trade's 3·KH rule 8 to 21 % low", "Plummer & Busenberg 1982, recomputed", false, 100*worst, "%", 0.9)
	e := NewEquilibrium(25, .005)
	var w float64
	for _, c := range []struct{ kh, pH float64 }{{1, 7.71}, {4, 8.31}, {8, 8.60}} {
		w = math.Max(w, near(t, "pH in air", e.AtCO2(e.CO2InAir(420), c.kh*MeqPerDH).PH, c.pH, .02))
	}
	w = math.Max(w, near(t, "pH at 30 mg/L", e.AtCO2(30/molCO2, 4*MeqPerDH).PH, 6.639, .005))
	w = math.Max(w, near(t, "pH at 20 mg/L", e.AtCO2(20/molCO2, 4*MeqPerDH).PH, 6.815, .005))
	record(t, "pH in open air and at 20 and 30 mg/L CO2, 25 °C", "Plummer & Busenberg 1982, recomputed", false, w, "pH", 0.02)
}

func TestGasTransfer(t *testing.T) {
	w := math.Max(
		points(t, "Sc CO2", SchmidtCO2, .01, [][2]float64{{20, 599.42}, {25, 470.66}}),
		points(t, "Sc O2", SchmidtO2, .01, [][2]float64{{20, 530.46}, {25, 417.85}}))
	record(t, "Schmidt numbers of CO2 and O2", "Wanninkhof 1992", false, w, "", 0.01)
	near(t, "k rippled", TransferVelocity(.5, SchmidtCO2(25), 0.5), .5645, .0001)
	k := TransferVelocity(.5, SchmidtCO2(25), 2.0/3)
	near(t, "k smooth", k, .5878, .0001)
	// The printed half-life 17.7 h and 16.6 g/(m² day) use the rippled value.
	k = TransferVelocity(.5, SchmidtCO2(25), 0.5)
	near(t, "half-life h", .6/k*24*math.Ln2, 17.7, .05)
	near(t, "loss g/(m² day)", k*(30-.629), 16.6, .05)
}

// TestOvernightLoss lets CO2 leave a dark, closed-off tank and compares with the exponential law.
func TestOvernightLoss(t *testing.T) {
	c, _ := Analysis{T: 25, Alk: 0.001, PH: 7}.Composition()
	s := NewState(0.6, c, 25, 0, 0)
	s.Surface = 0
	s.Alk, s.DIC = -1, 0.5 // acid keeps all carbon as free CO2, so the law is plain
	e := s.Equilibrium()
	air := e.CO2InAir(420)
	c0 := s.Carbonate().CO2
	for range 18 {
		s.Step(1, Forcing{K600: .5, Area: 1, RoomT: 25, Humidity: 1})
	}
	k := TransferVelocity(.5, SchmidtCO2(25), .5) / .6 / 24
	want := air + (c0-air)*math.Exp(-k*18)
	w := near(t, "CO2 after 18 h", s.Carbonate().CO2, want, 0.002*want) / want
	record(t, "loss of CO2 overnight from water without alkalinity", "exponential law of gas exchange", false, 100*w, "%", 0.2)
}

func TestOxygenSaturation(t *testing.T) {
	law := func(x float64) float64 { return OxygenSaturation(x, 1) }
	w := points(t, "O2", law, .005, [][2]float64{{0, 14.621}, {10, 11.288}, {15, 10.084}, {20, 9.092}, {22, 8.744}, {24, 8.418}, {25, 8.263}, {26, 8.114}, {28, 7.828}, {30, 7.559}})
	record(t, "oxygen saturation, 0 to 30 °C", "Benson & Krause 1984, APHA Standard Methods", false, w, "mg/L", 0.005)
	w = points(t, "O2", law, .02, [][2]float64{{10, 11.3}, {15, 10.1}, {20, 9.09}, {22, 8.74}, {24, 8.42}, {25, 8.26}, {26, 8.11}, {28, 7.83}, {30, 7.56}})
	record(t, "oxygen saturation table, 10 to 30 °C", "EN 25814", false, w, "mg/L", 0.02)
	w = 0
	for _, c := range []struct{ h, p, o2 float64 }{{500, .9421, 7.770}, {1000, .8870, 7.300}, {1500, .8345, 6.852}} {
		p := PressureAtHeight(c.h)
		near(t, "pressure", p, c.p, .0001)
		w = math.Max(w, near(t, "O2 at height", OxygenSaturation(25, p), c.o2, .005))
	}
	record(t, "oxygen saturation at 500 to 1500 m, 25 °C", "Benson & Krause 1984, APHA Standard Methods", true, w, "mg/L", 0.005)
}

func TestAmmonia(t *testing.T) {
	w := points(t, "pKa", AmmoniaPK, .0005, [][2]float64{{15, 9.5641}, {20, 9.4025}, {25, 9.2464}, {28, 9.1552}})
	record(t, "pKa of ammonium, 15 to 28 °C", "Emerson et al. 1975", true, w, "", 0.0005)
	w = 0
	for _, c := range []struct {
		t float64
		p [6]float64
	}{
		{20, [6]float64{.0396, .125, .3942, 1.2361, 3.8071, 11.1235}},
		{25, [6]float64{.0567, .179, .5639, 1.7616, 5.3662, 15.2052}},
		{28, [6]float64{.0699, .2207, .6947, 2.1644, 6.5384, 18.1151}},
	} {
		for i, want := range c.p {
			got := 100 * AmmoniaFraction(6+0.5*float64(i), c.t, 0)
			w = math.Max(w, near(t, "% NH3", got, want, 0.0006*want+0.0001)/want)
		}
	}
	record(t, "un-ionised ammonia, pH 6 to 8.5, 20 to 28 °C", "Emerson et al. 1975", true, 100*w, "%", 0.1)
	w = 0
	for _, c := range []struct{ t, pH, want float64 }{{25, 8, 5.28}, {25, 7, .55}, {20, 8, 3.83}} {
		w = math.Max(w, near(t, "% NH3", 100*AmmoniaFraction(c.pH, c.t, 0), c.want, 0.03*c.want)/c.want)
	}
	record(t, "un-ionised ammonia against a second table", "Trussell 1972", false, 100*w, "%", 3)
}

func TestEvaporationAndHeat(t *testing.T) {
	w := points(t, "vapour pressure", VapourPressure, 0.1, [][2]float64{{20, 2333.4}, {22, 2638.6}, {24, 2978.1}, {25, 3161.7}, {26, 3355.2}, {28, 3773.5}})
	record(t, "vapour pressure of water, 20 to 28 °C", "Alduchov & Eskridge 1996", true, w, "Pa", 0.1)
	perDay := func(v, f float64) float64 { return Evaporation(25, 22, .5, v, f) * 86400 }
	w = near(t, "still", perDay(0, 1), 5.769, .01)
	w = math.Max(w, near(t, "still, undisturbed", perDay(0, UndisturbedPool), 4.269, .01))
	w = math.Max(w, near(t, "0.05 m/s", perDay(.05, 1), 6.023, .01))
	record(t, "evaporation at 25 °C water, 22 °C air, 50 % humidity", "Carrier, in Smith, Löf & Jones 1998", false, w, "mm/day", 0.01)
	near(t, "latent W/m²", Evaporation(25, 22, .5, .05, UndisturbedPool)*LatentHeat(25), 126, .5)
	near(t, "latent heat", LatentHeat(25), 2.442e6, 500)
	near(t, "U", PaneU(.012, 1, 300, 8), 7.13, .01)
	if Evaporation(10, 30, 1, 0, 1) != 0 {
		t.Error("cold water in a damp room must not evaporate")
	}

	// A tank of 1000 L that holds 3 K above the room through 5.2 m² at 7.2 W/(m² K) needs 112 W.
	s := NewState(1, PureWater(25), 25, 1, 0)
	var wh float64
	for range 100 {
		wh += s.Step(1, Forcing{RoomT: 22, Humidity: 1, UA: 5.2 * 7.2, HeaterMax: 500, HeaterSet: 25}).HeaterWh
	}
	w = near(t, "heater W", wh/100, 112.3, .5)
	record(t, "steady heater power for 3 K through 5.2 m² of pane", "series resistances, worked sum", false, w, "W", 0.5)
	near(t, "held", s.T, 25, 1e-6)
	// 1 K in 1000 L is 1.16 kWh.
	s = NewState(1, PureWater(20), 20, 1, 0)
	for range 10 {
		s.Step(1, Forcing{RoomT: 20, Humidity: 1, HeaterMax: 116, HeaterSet: 30})
	}
	near(t, "warmed by 1.16 kWh", s.T, 21, .005)
	// Cooling towards the room is exponential.
	s = NewState(1, PureWater(30), 30, 1, 0)
	for range 48 {
		s.Step(1, Forcing{RoomT: 20, Humidity: 1, UA: 50})
	}
	near(t, "cooled", s.T, 20+10*math.Exp(-50*48*3600/(997*specificHeat)), 0.02)
}

func TestHardnessUnits(t *testing.T) {
	var w float64
	for _, c := range []struct{ got, want float64 }{
		{MmolPerDH, 0.178326},
		{MeqPerDH, 0.356652},
		{CaCO3PerDH, 17.848},
		{CaCO3PerDH / CaCO3PerFH, 1.7848},
		{CaCO3PerDH / CaCO3PerClark, 1.2522},
		{MmolPerDH * molCa, 7.147},
		{MmolPerDH * molMg, 4.334},
		{MeqPerDH * 61.016, 21.762},
		{NO3PerN, 4.4266},
		{NO2PerN, 3.2844},
		{NH4PerN, 1.2879},
		{PO4PerP, 3.0661},
	} {
		w = math.Max(w, near(t, "unit", c.got, c.want, 1e-4*c.want)/c.want)
	}
	record(t, "hardness units and ion to element ratios", "definition of the German degree; IUPAC 2021 weights", false, 100*w, "%", 0.01)
	c := Composition{Ca: 40, Mg: 10}
	near(t, "dGH", c.DGH(), 7.904, .001)
}

func TestNitrogenCosts(t *testing.T) {
	near(t, "O2 per N", oxygenAOB+oxygenNOB, 4.569, .001)
	near(t, "first step", oxygenAOB, 3.427, .001)
	near(t, "TAN of 10 g of food with 45 % protein", FeedAmmonia(10, .45), .414, 1e-9)
	near(t, "O2 for it", FeedAmmonia(10, .45)*(oxygenAOB+oxygenNOB), 1.892, .001)
	// Relative growth against 30 °C for the activation energies of Vannecke & Volcke.
	p := DefaultParams()
	var w float64
	for _, c := range []struct {
		n       Nitrifier
		t, want float64
	}{{p.AOB, 20, .398}, {p.AOB, 25, .636}, {p.NOB, 20, .551}, {p.NOB, 25, .746}} {
		w = math.Max(w, near(t, "f(T)", c.n.temperature(c.t)/c.n.temperature(30), c.want, .002))
	}
	record(t, "temperature response of nitrifiers, 20 and 25 against 30 °C", "Vannecke & Volcke", false, w, "", 0.002)
	near(t, "pH factor 6.6", NitrificationPH(6.6, 0), .5002, 1e-3)
	near(t, "pH factor 6.0", NitrificationPH(5.5, 0), 0, 0)
}

// TestNitrificationStoichiometry oxidises 10 mg/L of ammonium nitrogen and reads oxygen, alkalinity and nitrate.
func TestNitrificationStoichiometry(t *testing.T) {
	c, _ := Analysis{T: 25, Alk: 4, Hard: 2, PH: 8}.Composition()
	s := NewState(1, c, 25, 20, 1)
	s.TAN, s.Alk = 10, s.Alk+10/molN
	alk, no3 := s.Alk, s.NO3N
	var used float64
	for range 60 * 24 {
		used += s.Step(1, Forcing{K600: 5, Area: 2, Turnover: 5, RoomT: 25, Humidity: 1, UA: 1}).OxygenUsed
	}
	if s.TAN+s.NO2N > 1e-3 {
		t.Fatalf("not finished: TAN %g, NO2 %g", s.TAN, s.NO2N)
	}
	w := near(t, "alkalinity, dKH", (alk-s.Alk)/MeqPerDH, 4.00, .005)
	near(t, "oxygen, mg/L", used/1000, 45.7, .05)
	near(t, "nitrate ion", (s.NO3N-no3)*NO3PerN, 44.27, .02)
	record(t, "alkalinity, oxygen and nitrate of 10 mg/L ammonium-N oxidised", "textbook stoichiometry, 4.569 g O2 and 2 eq per N", true, w, "dKH", 0.005)
}
