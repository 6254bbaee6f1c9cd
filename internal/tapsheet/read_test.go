package tapsheet

import (
	"littoral/internal/water"
	"math"
	"strings"
	"testing"
)

func read(t *testing.T, text string) (Sheet, error) {
	t.Helper()
	rows, err := Rows(text)
	if err != nil {
		t.Fatal(err)
	}
	return Read(rows)
}

// TestOneWaterInManyPrints: the same water as companies print it, in units and words of several countries (common practice, no source). It holds 96.2 mg/L Ca,
// 18.2 Mg, 20.7 Na, 2.35 K, 43.2 SO4, 34.3 Cl, 24.8 NO3 and 4.9931 meq/L of alkalinity.
func TestOneWaterInManyPrints(t *testing.T) {
	for name, text := range map[string]string{
		"list, German": `Parameter;Einheit;Messwert;Grenzwert
pH-Wert;;7,4;6,5-9,5
Leitfähigkeit (25 °C);µS/cm;704;2790
Säurekapazität bis pH 4,3 (Ks4,3);mmol/l;4,99;
Gesamthärte;°dH;17,66;
Calcium;mg/l;96,2;
Magnesium;mg/l;18,2;
Natrium;mg/l;20,7;200
Kalium;mg/l;2,35;
Sulfat;mg/l;43,2;250
Chlorid;mg/l;34,3;250
Nitrat;mg/l;24,8;50
Nitrit;mg/l;< 0,01;0,5
Eisen, gesamt;mg/l;0,02;0,2
`,
		"list with colons": `pH: 7.4
Alkalinity: 249.9 mg/L CaCO3
Calcium: 96.2 mg/L
Magnesium: 18.2 mg/L
Sodium: 20.7 mg/L
Potassium: 2.35 mg/L
Sulphate: 43.2 mg/L
Chloride: 34.3 mg/L
Nitrate: 24.8 mg/L`,
		"list, American": `Parameter,Result,Units
"Alkalinity, Total (as CaCO3)",249.9,mg/L
"Hardness, Total",315.2,mg/L CaCO3
Calcium (as CaCO3),240.24,mg/L
Magnesium,18.2,ppm
Sodium,20.7,ppm
Potassium,2.35,ppm
Sulfate,43.2,ppm
Chloride,34.3,ppm
Nitrate-Nitrogen,5.602,mg/L
pH,7.4,`,
		"list, French": `Paramètre	Valeur	Unité
pH	7,4	unité pH
Titre alcalimétrique complet	24,97	°f
TAC	24,97	°fH
Calcium	96,2	mg/L
Magnésium	18,2	mg/L
Sodium	20,7	mg/L
Potassium	2,35	mg/L
Sulfates	43,2	mg/L
Chlorures	34,3	mg/L
Nitrates (NO3)	24,8	mg/L`,
		"row of a spreadsheet": "Date,pH,HCO3 (mg/l),Ca (mg/l),Mg (mg/l),Na,K,SO4,Cl,NO3\n2026-03-02,7.4,304.7,96.2,18.2,20.7,2.35,43.2,34.3,24.8\n",
		"row with units below": "Sample;pH;Alkalinity;Ca2+;Mg2+;Na+;K+;SO42-;Cl-;NO3-\n;;meq/l;mmol/l;mmol/l;mg/l;mg/l;mg/l;mg/l;mg/l\nNorth;7,4;4,993;2,4003;0,7488;20,7;2,35;43,2;34,3;24,8\n",
	} {
		s, err := read(t, text)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		a := s.Analysis
		got := map[string]float64{"alkalinity": a.Alk, "hardness": a.Hard, "Ca:Mg": a.CaMg, "Na": a.Na, "K": a.K, "SO4": a.SO4, "Cl": a.Cl, "NO3": a.NO3, "pH": a.PH}
		for k, want := range map[string]float64{"alkalinity": 4.993, "hardness": 3.149, "Ca:Mg": 3.2055, "Na": 20.7, "K": 2.35, "SO4": 43.2, "Cl": 34.3, "NO3": 24.8, "pH": 7.4} {
			if math.Abs(got[k]/want-1) > 0.002 {
				t.Errorf("%s: %s is %g, want %g\n%+v", name, k, got[k], want, s.Lines)
			}
		}
		if math.Abs(s.Cations/s.Anions-1) > 0.02 {
			t.Errorf("%s: cations %g, anions %g", name, s.Cations, s.Anions)
		}
		for _, r := range s.Remarks {
			t.Errorf("%s: remark %q on a sound sheet", name, r)
		}
	}
}

func TestSheetsThatCannotBe(t *testing.T) {
	for _, c := range []struct{ name, text, remark string }{
		{"sodium left out", "Alkalinity;5;meq/l\nCa;60;mg/l\nMg;12;mg/l\nCl;60;mg/l\nSO4;40;mg/l", "Most likely sodium"},
		{"hardness against ions", "KH;4;dKH\nCa;40;mg/l\nMg;10;mg/l\nGH;20;dGH\nSO4;60;mg/l\nCl;10;mg/l", "the sheet says 20.0; the ions count"},
		{"two alkalinities", "KH;4;dKH\nHCO3;200;mg/l\nGH;6;dGH", "do not fit"},
		{"conductivity", "KH;4;dKH\nGH;6;dGH\nconductivity;900;uS/cm", "The ions conduct about"},
	} {
		s, err := read(t, c.text)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if all := strings.Join(s.Remarks, " "); !strings.Contains(all, c.remark) {
			t.Errorf("%s: %q says nothing like %q", c.name, all, c.remark)
		}
	}
	for _, c := range []struct{ name, text, want string }{
		{"no alkalinity", "Ca;40;mg/l\nMg;5;mg/l", "neither alkalinity"},
		{"no hardness", "KH;4;dKH\nNa;5;mg/l", "neither hardness"},
		{"nothing known", "a;b;c\nd;1;e", "nothing in the sheet is known"},
		{"empty", "", "nothing in the sheet is known"},
	} {
		if _, err := read(t, c.text); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	s, err := read(t, "KH;4;dKH\nGesamthärte;12\nGH;8;dGH\nNO3;<1;mg/l")
	if err != nil {
		t.Fatal(err)
	}
	if s.Analysis.Hard < 8*water.MmolPerDH-1e-9 || s.Analysis.NO3 != 0.5 {
		t.Errorf("a hardness without unit must not count, and half of a limit does: %+v", s)
	}
}

func FuzzRead(f *testing.F) {
	f.Add("KH;4;dKH\nGH;8;dGH")
	f.Add("pH,HCO3 (mg/l),Ca,Mg\n7.4,304,96,18\n")
	f.Add("Calcium: 45 mg/l\nKH: < 3,5-4 dKH")
	f.Fuzz(func(t *testing.T, text string) {
		rows, err := Rows(text)
		if err != nil {
			return
		}
		s, err := Read(rows)
		if err != nil {
			return
		}
		c, _ := s.Analysis.Composition()
		for _, x := range []float64{c.Alk, c.Ca, c.Mg, c.Na, c.DIC, s.Cations, s.Anions} {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				t.Errorf("%q gives %+v", text, c)
			}
		}
	})
}
