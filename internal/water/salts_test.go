package water

import (
	"littoral/internal/unit"
	"math"
	"testing"
)

func TestSaltMasses(t *testing.T) {
	var mass, share float64
	for _, c := range []struct {
		name string
		mol  float64
		el   string
		pct  float64
	}{
		{"CaSO4·2H2O", 172.164, "Ca", 23.279},
		{"CaCl2", 110.978, "Ca", 36.113},
		{"CaCl2.2H2O", 147.008, "Ca", 27.262},
		{"CaCO3", 100.086, "Ca", 40.044},
		{"Ca(NO3)2·4H2O", 236.146, "Ca", 16.972},
		{"Ca(NO3)2·4H2O", 236.146, "N", 11.863},
		{"MgSO4*7H2O", 246.466, "Mg", 9.861},
		{"MgCl2·6H2O", 203.295, "Mg", 11.956},
		{"Mg(NO3)2·6H2O", 256.403, "Mg", 9.479},
		{"Mg(NO3)2·6H2O", 256.403, "N", 10.926},
		{"KHCO3", 100.114, "K", 39.053},
		{"K2CO3", 138.204, "K", 56.580},
		{"KNO3", 101.102, "K", 38.672},
		{"KNO3", 101.102, "N", 13.854},
		{"KH2PO4", 136.084, "K", 28.731},
		{"KH2PO4", 136.084, "P", 22.761},
		{"K2HPO4", 174.174, "K", 44.895},
		{"K2HPO4", 174.174, "P", 17.783},
		{"K2SO4", 174.252, "K", 44.875},
		{"KCl", 74.548, "K", 52.447},
		{"NH4NO3", 80.043, "N", 34.999},
		{"(NH4)2SO4", 132.134, "N", 21.201},
		{"urea", 60.056, "N", 46.646},
		{"FeSO4·7H2O", 278.006, "Fe", 20.088},
		{"MnSO4·H2O", 169.009, "Mn", 32.506},
		{"ZnSO4·7H2O", 287.541, "Zn", 22.738},
		{"CuSO4·5H2O", 249.677, "Cu", 25.451},
		{"H3BO3", 61.831, "B", 17.483},
		{"Na2MoO4·2H2O", 241.956, "Mo", 39.656},
		{"NaHCO3", 84.006, "Na", 27.367},
		{"iron", 55.845, "Fe", 100},
	} {
		s, ok := LookSalt(c.name)
		if !ok {
			t.Errorf("salt %s is missing", c.name)
			continue
		}
		mass = math.Max(mass, near(t, c.name, s.Mass, c.mol, 0.005))
		share = math.Max(share, near(t, c.name+" "+c.el, 100*s.Share(c.el), c.pct, 0.005))
	}
	record(t, "molar masses of salts", "IUPAC 2021 abridged atomic weights", true, mass, "g/mol", 0.005)
	record(t, "element shares of salts", "IUPAC 2021 abridged atomic weights", true, share, "% of mass", 0.005)
}

func dissolve(t *testing.T, name string, grams float64) Amount {
	t.Helper()
	s, ok := LookSalt(name)
	if !ok {
		t.Fatalf("salt %s is missing", name)
	}
	return Dissolve(s, grams)
}

func TestDissolveInAThousandLitres(t *testing.T) {
	a := dissolve(t, "KNO3", 10)
	near(t, "K", a.K, 3.867, .001)
	near(t, "N", a.NO3N, 1.385, .001)
	near(t, "NO3", a.NO3N*NO3PerN, 6.133, .001)
	a = dissolve(t, "KH2PO4", 1)
	near(t, "K", a.K, .287, .001)
	near(t, "P", a.PO4P, .228, .001)
	near(t, "PO4", a.PO4P*PO4PerP, .698, .001)
	var worst float64
	for _, c := range []struct {
		salt            string
		grams, dGH, dKH float64
	}{
		{salt: "CaSO4·2H2O", grams: 30.70, dGH: 1},
		{salt: "CaCl2·2H2O", grams: 26.22, dGH: 1},
		{salt: "MgSO4·7H2O", grams: 43.95, dGH: 1},
		{salt: "NaHCO3", grams: 29.96, dKH: 1},
		{salt: "KHCO3", grams: 35.71, dKH: 1},
		{salt: "CaCO3", grams: 17.85, dGH: 1, dKH: 1},
	} {
		w := Of(dissolve(t, c.salt, c.grams), 1, 25)
		worst = math.Max(worst, near(t, c.salt+" dGH", w.DGH(), c.dGH, 3e-4))
		worst = math.Max(worst, near(t, c.salt+" dKH", w.DKH(), c.dKH, 3e-4))
	}
	record(t, "grams per 1000 L that raise hardness by 1 °dGH or 1 °dKH, six salts", "IUPAC 2021 abridged atomic weights", true, worst, "°dH", 3e-4)
	near(t, "iron is weighed as Fe", dissolve(t, "iron", 0.1).Fe, 0.1, 1e-12)
	near(t, "urea becomes ammonium", dissolve(t, "urea", 60.056).TAN, 2*molN, 1e-9)
}

// TestSaltsAreNeutral: no salt may carry charge in or out, apart from what its metal leaves as oxide.
func TestSaltsAreNeutral(t *testing.T) {
	for _, s := range Salts() {
		a := Dissolve(s, s.Mass) // one mole
		var masses float64
		masses += a.Ca + a.Mg + a.K + a.Na + a.Cl + a.SO4 + a.NO3N + a.TAN + a.PO4P + a.Fe
		masses += a.Traces.Mn + a.Traces.Zn + a.Traces.Cu + a.Traces.B + a.Traces.Mo
		if masses > s.Mass*1.0001 {
			t.Errorf("%s brings %g g of ions per %g g", s.Name, masses, s.Mass)
		}
		wantAlk := map[string]float64{
			"CaCO3": 2, "NaHCO3": 1, "KHCO3": 1, "K2CO3": 2, "K2HPO4": 1, "CO(NH2)2": 2,
			"FeSO4·7H2O": -2, "MnSO4·H2O": -2, "ZnSO4·7H2O": -2, "CuSO4·5H2O": -2,
		}[s.Name]
		near(t, s.Name+" alkalinity, eq/mol", a.Alk, wantAlk, 1e-9)
	}
}

func TestSaltNames(t *testing.T) {
	if _, ok := LookSalt("NaF"); ok {
		t.Error("NaF is not a salt of the trade")
	}
	if s, ok := LookSalt("mgso4.7h2o"); !ok || s.Name != "MgSO4·7H2O" {
		t.Error("case does not matter where it is clear")
	}
	if len(Salts()) < 25 {
		t.Error("salts are missing")
	}
	for _, s := range Salts() {
		if s.Words == "" || !(s.Mass > 0) {
			t.Errorf("%s has no words or no mass", s.Name)
		}
	}
}

// The masses of elements and ions that the water counts with are those of package unit.
func TestMolarMassesAreThoseOfUnit(t *testing.T) {
	for formula, have := range map[string]float64{
		"C": molC, "CO2": molCO2, "O2": molO2, "N": molN, "P": molP, "K": molK, "Na": molNa, "Mg": molMg, "Ca": molCa, "Cl": molCl,
		"SO4": molSO4, "NO3": molNO3, "PO4": molPO4, "CO3H": molHCO3, "CaO": molCaO, "CaCO3": molCaCO3,
	} {
		want, err := unit.MolarMass(formula)
		if err != nil {
			t.Fatal(err)
		}
		near(t, formula, have, want, 1e-3)
	}
}
