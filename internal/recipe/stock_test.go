package recipe

import (
	"littoral/internal/water"
	"math"
	"strings"
	"testing"
)

func TestStocksStandApart(t *testing.T) {
	p, err := Stocks([]Portion{{"KNO3", 3}, {"KH2PO4", 0.4}, {"iron", 0.05}, {"CaCl2.2H2O", 4}, {"MgSO4·7H2O", 5}, {"KHCO3", 2}}, 500, 20, 15)
	if err != nil {
		t.Fatal(err)
	}
	in := map[string]string{}
	sum := map[string]float64{}
	for _, b := range p.Bottles {
		if b.Full > mostFull || b.Full <= 0 {
			t.Errorf("bottle %s is %g full", b.Letter, b.Full)
		}
		for _, l := range b.Lines {
			in[l.Salt.Name] = b.Letter
			sum[l.Salt.Name] += l.Grams
		}
	}
	for _, pair := range [][2]string{{"KH2PO4", "iron"}, {"KH2PO4", "CaCl2·2H2O"}, {"CaCl2·2H2O", "MgSO4·7H2O"}, {"KHCO3", "CaCl2·2H2O"}, {"KHCO3", "MgSO4·7H2O"}} {
		if in[pair[0]] == in[pair[1]] {
			t.Errorf("%s and %s stand in one bottle", pair[0], pair[1])
		}
	}
	if math.Abs(sum["KNO3"]-60) > 1e-9 || p.DoseML != 25 || len(p.Remarks) == 0 {
		t.Errorf("%+v", p)
	}
}

func TestStocksThatDoNotDissolve(t *testing.T) {
	for _, c := range []struct {
		name string
		in   []Portion
		want string
	}{
		{"gypsum", []Portion{{"CaSO4·2H2O", 1}}, "do not dissolve"},
		{"unknown", []Portion{{"NaF", 1}}, "not known"},
		{"nothing", []Portion{{"KNO3", 0}}, "more than 0 g"},
		{"twice", []Portion{{"KNO3", 1}, {"kno3", 1}}, "twice"},
		{"empty", nil, "no salts"},
	} {
		if _, err := Stocks(c.in, 500, 20, 20); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	// What dissolves on a warm day may settle on a cold one.
	if _, err := Stocks([]Portion{{"KNO3", 10}}, 1000, 24, 22); err == nil {
		t.Error("240 g of KNO3 in a litre at 22 °C are too near to what it holds")
	}
	if _, err := Stocks([]Portion{{"KNO3", 10}}, 1000, 20, 22); err != nil {
		t.Error(err)
	}
}

// TestSolubilityIsKnown: every salt of the table but the sparingly soluble carbonate can be planned for, and warmth never makes one less soluble by much.
func TestSolubilityIsKnown(t *testing.T) {
	for _, s := range water.Salts() {
		got := Solubility(s, 20)
		if (got == 0) != (s.Name == "CaCO3") {
			t.Errorf("%s: %g g/L", s.Name, got)
		}
		if Solubility(s, 30) < Solubility(s, 10) {
			t.Errorf("%s dissolves worse when warm", s.Name)
		}
	}
}
