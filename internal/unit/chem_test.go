package unit

import (
	"fmt"
	"littoral/internal/check"
	"math"
	"testing"
)

func TestGermanDegree(t *testing.T) {
	// What one German degree is in other units, from its definition of 10 mg CaO per litre.
	tests := []struct {
		name      string
		got, want float64
	}{
		{"mmol/L", float64(FromDGH(1)), 0.178326},
		{"meq/L", float64(FromDKH(1)), 0.356652},
		{"mg/L CaCO3", read(t, KindHardness, "1 dGH") / read(t, KindHardness, "1 mg/L CaCO3"), 17.848},
		{"ppm as CaCO3, alkalinity", read(t, KindAlkalinity, "1 dKH") / read(t, KindAlkalinity, "1 ppm as CaCO3"), 17.848},
		{"°fH", read(t, KindHardness, "1 °dH") / read(t, KindHardness, "1 °fH"), 1.7848},
		{"°Clark", read(t, KindHardness, "1 dGH") / read(t, KindHardness, "1 °Clark"), 1.2522},
		{"mg/L Ca", float64(FromDGH(1)) * wtCa, 7.147},
		{"mg/L Mg", float64(FromDGH(1)) * wtMg, 4.334},
		{"mg/L HCO3", read(t, KindAlkalinity, "1 °dKH") / read(t, KindAlkalinity, "1 mg/L HCO3"), 21.762},
		{"°Clark in mg/L CaCO3", read(t, KindHardness, "1 clark") / read(t, KindHardness, "1 ppm CaCO3"), 14.254},
		{"gpg in mg/L CaCO3", read(t, KindAlkalinity, "1 gpg") / read(t, KindAlkalinity, "1 mg/L CaCO3"), 17.118},
		{"°fH in mg/L CaCO3", read(t, KindAlkalinity, "1 fH") / read(t, KindAlkalinity, "1 mg CaCO3/L"), 10},
		{"Ca 40 + Mg 10 mg/L in dGH", DGH(Hardness(40/wtCa + 10/wtMg)), 7.904},
		{"dKH and back", DKH(FromDKH(7)), 7},
	}
	worst := 0.0
	for _, tt := range tests {
		d := relative(tt.got, tt.want)
		worst = math.Max(worst, d)
		if d > 1e-4 {
			t.Errorf("%s: %.6g, want %.6g", tt.name, tt.got, tt.want)
		}
	}
	check.Record(t, check.Row{
		Room: "unit", What: "1 °dH in mmol/L, meq/L, mg/L CaCO3, Ca, Mg and HCO3, °fH, °Clark, gpg",
		Source: "definition of the German degree (10 mg CaO per litre)", Worst: fmt.Sprintf("%.1g relative", worst), Within: "1e-4 relative",
	})
}

func read(t *testing.T, kind Kind, text string) float64 {
	t.Helper()
	v, err := Parse(kind, text)
	if err != nil {
		t.Fatalf("Parse(%s, %q): %v", kind, text, err)
	}
	return v
}

func TestMolarMasses(t *testing.T) {
	tests := []struct {
		formula string
		mass    float64 // g/mol
		element string
		percent float64
	}{
		{"CaSO4·2H2O", 172.164, "Ca", 23.279},
		{"CaCl2", 110.978, "Ca", 36.113},
		{"CaCl2·2H2O", 147.008, "Ca", 27.262},
		{"CaCO3", 100.086, "Ca", 40.044},
		{"Ca(NO3)2·4H2O", 236.146, "Ca", 16.972},
		{"MgSO4·7H2O", 246.466, "Mg", 9.861},
		{"MgCl2·6H2O", 203.295, "Mg", 11.956},
		{"Mg(NO3)2·6H2O", 256.403, "Mg", 9.479},
		{"NaHCO3", 84.006, "", 0},
		{"KHCO3", 100.114, "K", 39.053},
		{"K2CO3", 138.204, "K", 56.580},
		{"KNO3", 101.102, "K", 38.672},
		{"KH2PO4", 136.084, "P", 22.761},
		{"K2HPO4", 174.174, "K", 44.895},
		{"K2SO4", 174.252, "K", 44.875},
		{"KCl", 74.548, "K", 52.447},
		{"NH4NO3", 80.043, "", 0},
		{"(NH4)2SO4", 132.134, "", 0},
		{"FeSO4·7H2O", 278.006, "Fe", 20.088},
		{"MnSO4·H2O", 169.009, "Mn", 32.506},
		{"ZnSO4·7H2O", 287.541, "Zn", 22.738},
		{"CuSO4·5H2O", 249.677, "Cu", 25.451},
		{"H3BO3", 61.831, "B", 17.483},
		{"Na2MoO4·2H2O", 241.956, "Mo", 39.656},
	}
	worst := 0.0
	for _, tt := range tests {
		m, err := MolarMass(tt.formula)
		if err != nil {
			t.Errorf("%s: %v", tt.formula, err)
			continue
		}
		d := math.Abs(m - tt.mass)
		worst = math.Max(worst, d)
		if d > 0.005 {
			t.Errorf("%s: %.4f g/mol, want %.3f", tt.formula, m, tt.mass)
		}
		if tt.element != "" {
			w, _ := AtomicWeight(tt.element)
			if p := 100 * w * float64(atoms(tt.element, tt.formula)) / m; math.Abs(p-tt.percent) > 0.005 {
				t.Errorf("%s: %.4f %% %s, want %.3f", tt.formula, p, tt.element, tt.percent)
			}
		}
	}
	check.Record(t, check.Row{
		Room: "unit", What: "molar masses of 24 salts of the trade, and their element shares", Source: "hand table reckoned from the same IUPAC 2021 abridged weights",
		Memory: true, Worst: fmt.Sprintf("%.1g g/mol", worst), Within: "0.005 g/mol",
	})
	for _, same := range []string{"Ca(NO₃)₂·4H₂O", "Ca(NO3)2.4H2O", "Ca(NO3)2*4H2O"} {
		if m, err := MolarMass(same); err != nil || math.Abs(m-236.146) > 0.005 {
			t.Errorf("MolarMass(%q) = %v, %v", same, m, err)
		}
	}
	for _, bad := range []string{"", "Xx", "CaCO3)", "(CaCO3", "2", "Ca()", "caco3", "·", "((((((H))))))"} {
		if m, err := MolarMass(bad); err == nil {
			t.Errorf("MolarMass(%q) = %v, want an error", bad, m)
		}
	}
}

// atoms says how often the leading potassium salts hold their metal; all other elements in the table occur once.
func atoms(element, formula string) int {
	if element == "K" && formula[:2] == "K2" {
		return 2
	}
	return 1
}

func TestIonRatios(t *testing.T) {
	tests := []struct {
		name      string
		got, want float64
	}{
		{"NO3/N", NToNO3(1.0), 4.4266},
		{"NO2/N", NToNO2(1.0), 3.2844},
		{"NH4/N", NToNH4(1.0), 1.2879},
		{"PO4/P", PToPO4(1.0), 3.0661},
		{"N/NO3", 1 / NO3ToN(1.0), 4.4266},
		{"N/NO2", 1 / NO2ToN(1.0), 3.2844},
		{"N/NH4", 1 / NH4ToN(1.0), 1.2879},
		{"P/PO4", 1 / PO4ToP(1.0), 3.0661},
	}
	worst := 0.0
	for _, tt := range tests {
		d := math.Abs(tt.got - tt.want)
		worst = math.Max(worst, d)
		if d > 5.1e-5 {
			t.Errorf("%s = %.6f, want %.4f", tt.name, tt.got, tt.want)
		}
	}
	check.Record(t, check.Row{
		Room: "unit", What: "NO3/N, NO2/N, NH4/N, PO4/P", Source: "IUPAC 2021 abridged atomic weights",
		Memory: true, Worst: fmt.Sprintf("%.1g", worst), Within: "5.1e-5, the last printed digit",
	})
}

func TestParseConcentration(t *testing.T) {
	tests := []struct {
		text, ion string
		want      float64 // below zero: refused
	}{
		{"18 mg/L", "NO3", 18},
		{"18 mg/L NO3", "NO3", 18},
		{"18 mg/L NO₃⁻", "NO3", 18},
		{"18 mg/L nitrate", "NO3", 18},
		{"18 mg NO3/L", "NO3", 18},
		{"1 mg/L as N", "NO3", 4.4266},
		{"1 mg N/L", "NO3", 4.4266},
		{"1 ppm N", "NO3", 4.4266},
		{"1 mg/L NO3-N", "NO3", 4.4266},
		{"1 mg/L nitrate-N", "NO3", 4.4266},
		{"1 mg l⁻¹ as N", "NO3", 4.4266},
		{"1000 µg/L as N", "NO2", 3.2844},
		{"1 mg/L NH3-N", "NH4", 1.2879},
		{"1 mg/L as P", "PO4", 3.0661},
		{"1 mg P/L", "PO4", 3.0661},
		{"1 mg/L PO4-P", "PO4", 3.0661},
		{"1 mmol/L", "NO3", 62.004},
		{"1 mmol/L as N", "NO3", 62.004},
		{"1000 µmol/L", "Ca", 40.078},
		{"1 mmol/L", "Mg", 24.305},
		{"1 mmol/L", "CaSO4·2H2O", 172.164},
		{"100.086 mg/L as CaCO3", "Ca", 40.078},
		{"20 mg/L", "humic acid", 20},
		{"1 mg/L as P", "NO3", -1},
		{"1 mg/L as N", "PO4", -1},
		{"1 mg/L as N", "Ca", -1},
		{"1 mg/L NO2-N", "NO3", -1},
		{"1 mg/L as N", "", -1},
		{"1 mg/L Ca", "Mg", -1},
		{"1 mmol/L", "humic acid", -1},
		{"1 dKH", "NO3", -1},
		{"-1 mg/L", "NO3", -1},
		{"18", "NO3", -1},
		{"", "NO3", -1},
	}
	for _, tt := range tests {
		got, err := ParseConcentration(tt.text, tt.ion)
		if tt.want < 0 {
			if err == nil {
				t.Errorf("ParseConcentration(%q, %q) = %v, want an error", tt.text, tt.ion, got)
			}
			continue
		}
		if err != nil || math.Abs(float64(got)-tt.want) > 1e-4*tt.want {
			t.Errorf("ParseConcentration(%q, %q) = %v, %v; want %v", tt.text, tt.ion, got, err, tt.want)
		}
	}
}

func TestBrightnessNeedsASpectrum(t *testing.T) {
	p, err := LuxToPPFD(108000, 54)
	if err != nil || p != 2000 {
		t.Errorf("LuxToPPFD(108000, 54) = %v, %v; want 2000", p, err)
	}
	f, err := LumensToPhotonFlux(7400, 74)
	if err != nil || f != 100 {
		t.Errorf("LumensToPhotonFlux(7400, 74) = %v, %v; want 100", f, err)
	}
	// 683 lm/W times N_A·h·c/λ at 555 nm (exact SI constants) is the ceiling for any lamp.
	ceiling := 683 * 6.02214076e23 * 6.62607015e-34 * 299792458 / 555e-9 * 1e-6
	if math.Abs(highestLuxPerPPFD-ceiling) > 0.01 {
		t.Errorf("ceiling %v, want %v", highestLuxPerPPFD, ceiling)
	}
	check.Record(t, check.Row{
		Room: "unit", What: "most lux that 1 µmol/m²/s can give (light of 555 nm)", Source: "SI brochure, exact constants",
		Memory: true, Worst: fmt.Sprintf("%.1g lx", math.Abs(highestLuxPerPPFD-ceiling)), Within: "0.01 lx",
	})
	for _, bad := range [][2]float64{{1, 0}, {1, -5}, {1, 200}, {-1, 54}, {math.NaN(), 54}, {math.Inf(1), 54}, {1, math.NaN()}} {
		if p, err := LuxToPPFD(bad[0], bad[1]); err == nil || p != 0 {
			t.Errorf("LuxToPPFD(%v, %v) = %v, want an error", bad[0], bad[1], p)
		}
	}
}
