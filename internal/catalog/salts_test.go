package catalog

import (
	"fmt"
	"littoral/internal/check"
	"math"
	"testing"
)

// Molar masses and element shares, computed outside this project from the IUPAC 2021 abridged atomic weights (from memory).
func TestSaltsAgainstAtomicWeights(t *testing.T) {
	rows := []struct {
		salt  string
		molar float64            // g/mol
		share map[string]float64 // mass %
	}{
		{"CaSO4·2H2O", 172.164, map[string]float64{"Ca": 23.279}},
		{"CaCl2", 110.978, map[string]float64{"Ca": 36.113}},
		{"CaCl2·2H2O", 147.008, map[string]float64{"Ca": 27.262}},
		{"CaCO3", 100.086, map[string]float64{"Ca": 40.044}},
		{"Ca(NO3)2·4H2O", 236.146, map[string]float64{"Ca": 16.972, "N": 11.863}},
		{"MgSO4·7H2O", 246.466, map[string]float64{"Mg": 9.861}},
		{"MgCl2·6H2O", 203.295, map[string]float64{"Mg": 11.956}},
		{"Mg(NO3)2·6H2O", 256.403, map[string]float64{"Mg": 9.479, "N": 10.926}},
		{"NaHCO3", 84.006, nil},
		{"KHCO3", 100.114, map[string]float64{"K": 39.053}},
		{"K2CO3", 138.204, map[string]float64{"K": 56.580}},
		{"KNO3", 101.102, map[string]float64{"K": 38.672, "N": 13.854}},
		{"KH2PO4", 136.084, map[string]float64{"K": 28.731, "P": 22.761}},
		{"K2HPO4", 174.174, map[string]float64{"K": 44.895, "P": 17.783}},
		{"K2SO4", 174.252, map[string]float64{"K": 44.875}},
		{"KCl", 74.548, map[string]float64{"K": 52.447}},
		{"NH4NO3", 80.043, map[string]float64{"N": 34.999}},
		{"(NH4)2SO4", 132.134, map[string]float64{"N": 21.201}},
		{"urea", 60.056, map[string]float64{"N": 46.646}},
		{"FeSO4·7H2O", 278.006, map[string]float64{"Fe": 20.088}},
		{"MnSO4·H2O", 169.009, map[string]float64{"Mn": 32.506}},
		{"ZnSO4·7H2O", 287.541, map[string]float64{"Zn": 22.738}},
		{"CuSO4·5H2O", 249.677, map[string]float64{"Cu": 25.451}},
		{"H3BO3", 61.831, map[string]float64{"B": 17.483}},
		{"Na2MoO4·2H2O", 241.956, map[string]float64{"Mo": 39.656}},
	}
	worst, worstShare := 0.0, 0.0
	for _, r := range rows {
		s, ok := Default().Salt(r.salt)
		if !ok {
			t.Errorf("%s is missing", r.salt)
			continue
		}
		worst = math.Max(worst, math.Abs(s.Molar-r.molar))
		if math.Abs(s.Molar-r.molar) > 0.005 {
			t.Errorf("%s: %.4f g/mol, want %.3f", r.salt, s.Molar, r.molar)
		}
		for element, want := range r.share {
			got := 100 * s.Parts[element]
			worstShare = math.Max(worstShare, math.Abs(got-want))
			if math.Abs(got-want) > 0.005 {
				t.Errorf("%s: %s %.4f %%, want %.3f", r.salt, element, got, want)
			}
		}
	}
	check.Record(t, check.Row{
		Room: "catalog", What: fmt.Sprintf("molar mass of %d salts", len(rows)), Source: "IUPAC 2021 abridged atomic weights",
		Memory: true, Worst: fmt.Sprintf("%.4f g/mol", worst), Within: "0.005 g/mol",
	})
	check.Record(t, check.Row{
		Room: "catalog", What: "element shares of the same salts", Source: "IUPAC 2021 abridged atomic weights",
		Memory: true, Worst: fmt.Sprintf("%.4f %%", worstShare), Within: "0.005 %",
	})
}

func TestSaltSharesAddUp(t *testing.T) {
	for _, s := range Default().AllSalts() {
		sum := 0.0
		for _, element := range []string{"H", "B", "C", "N", "O", "Na", "Mg", "P", "S", "Cl", "K", "Ca", "Mn", "Fe", "Cu", "Zn", "Mo"} {
			sum += s.Parts[element]
		}
		if math.Abs(sum-1) > 1e-12 {
			t.Errorf("the elements of %s add up to %.15f of its mass", s.Formula, sum)
		}
		if forms := s.Parts["NO3-N"] + s.Parts["NH4-N"] + s.Parts["urea-N"]; math.Abs(forms-s.Parts["N"]) > 1e-12 {
			t.Errorf("the forms of N in %s add up to %g, the element is %g", s.Formula, forms, s.Parts["N"])
		}
	}
}

// The charges of each salt's ions meet, counting alkalinity as negative charge and phosphate as H2PO4⁻.
func TestSaltChargesBalance(t *testing.T) {
	for _, s := range Default().AllSalts() {
		if s.Formula == "iron" || s.Formula == "CO(NH2)2" || s.Formula == "H3BO3" {
			continue // no ions: a chelate weighed as its iron, urea, and an acid that stays whole
		}
		p := s.Parts
		plus := 1000 * (p["K"]/39.098 + p["Na"]/22.990 + 2*p["Mg"]/24.305 + 2*p["Ca"]/40.078 + p["NH4-N"]/14.007 +
			2*p["Fe"]/55.845 + 2*p["Mn"]/54.938 + 2*p["Zn"]/65.38 + 2*p["Cu"]/63.546)
		minus := 1000*(p["NO3-N"]/14.007+p["P"]/30.974+2*p["S"]/32.06+p["Cl"]/35.45+2*p["Mo"]/95.95) + p["alk"]
		if math.Abs(plus-minus) > 1e-6 {
			t.Errorf("%s: %.6f meq/g positive, %.6f negative", s.Formula, plus, minus)
		}
	}
}

func TestSaltSpellings(t *testing.T) {
	for typed, want := range map[string]string{
		"CaSO4.2H2O": "CaSO4·2H2O", "CaSO4*2H2O": "CaSO4·2H2O", "caso4 · 2h2o": "CaSO4·2H2O", "CaSO₄·2H₂O": "CaSO4·2H2O", "gypsum": "CaSO4·2H2O",
		"potassium nitrate": "KNO3", "Epsom salt": "MgSO4·7H2O", "iron": "iron", "Fe": "iron", "urea": "CO(NH2)2", "baking soda": "NaHCO3",
	} {
		if s, ok := Default().Salt(typed); !ok || s.Formula != want {
			t.Errorf("%q leads to %v, want %s", typed, s, want)
		}
	}
	if _, ok := Default().Salt("KNO4"); ok {
		t.Error("a salt that is none was found")
	}
}
