package reckon

import (
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"io"
	"littoral/internal/check"
	"math"
	"os"
	"runtime"
	"strconv"
	"strings"
	"testing"
)

func rows(t *testing.T, file string) []map[string]string {
	t.Helper()
	data, err := os.ReadFile("../water/testdata/" + file)
	if err != nil {
		t.Fatal(err)
	}
	all, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
	if err != nil || len(all) < 2 {
		t.Fatalf("%s: %v, %d rows", file, err, len(all))
	}
	var list []map[string]string
	for _, r := range all[1:] {
		m := map[string]string{}
		for i, name := range all[0] {
			m[name] = r[i]
		}
		list = append(list, m)
	}
	return list
}

// solve runs a file of columns through a topic and returns the answer's columns row by row.
func solve(t *testing.T, topic string, head []string, in [][]string) []map[string]float64 {
	t.Helper()
	top, err := Look(topic)
	if err != nil {
		t.Fatal(err)
	}
	var text, out bytes.Buffer
	w := csv.NewWriter(&text)
	if err := w.WriteAll(append([][]string{head}, in...)); err != nil {
		t.Fatal(err)
	}
	if err := Table(context.Background(), top, &text, &out); err != nil {
		t.Fatal(err)
	}
	all, err := csv.NewReader(&out).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(all) != len(in)+1 {
		t.Fatalf("%d rows came back of %d", len(all)-1, len(in))
	}
	var list []map[string]float64
	for _, r := range all[1:] {
		m := map[string]float64{}
		for i, name := range all[0] {
			if x, err := strconv.ParseFloat(r[i], 64); err == nil {
				m[name] = x
			}
		}
		list = append(list, m)
	}
	return list
}

func value(t *testing.T, r map[string]string, name string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(r[name], 64)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return x
}

func record(t *testing.T, what, source string, worst float64, unit string, tolerance float64) {
	t.Helper()
	if worst > tolerance {
		t.Errorf("%s: worst %g %s, at most %g", what, worst, unit, tolerance)
	}
	check.Record(t, check.Row{Room: "reckon", What: what, Source: source, Worst: fmt.Sprintf("%.3g %s", worst, unit), Within: fmt.Sprintf("%g %s", tolerance, unit)})
}

const byPhreeqc = "PHREEQC 3.8.8, phreeqc.dat"

func TestReferenceRowsThroughFiles(t *testing.T) {
	var in, ionRows [][]string
	ref := rows(t, "water_co2_ph_kh.csv")
	for _, r := range ref {
		in = append(in, []string{r["kh_dKH"], r["gh_dGH"], r["pH"], r["temperature_C"]})
		mg := func(name string, mol float64) string { return fmt.Sprint(value(t, r, name+"_mmol_per_L") * mol) }
		ionRows = append(ionRows, append(append([]string{}, in[len(in)-1]...), mg("Ca", 40.078), mg("Mg", 24.305), mg("Na", 22.98977), mg("SO4", 96.0626), mg("Cl", 35.453)))
	}
	head := []string{"alkalinity_dkh", "hardness_dgh", "ph", "temperature_c"}
	var co2, co2Ions, ionic, pressure float64
	for i, got := range solve(t, "co2", head, in) {
		co2 = math.Max(co2, math.Abs(got["co2_mg_l"]/value(t, ref[i], "CO2aq_mg_per_L")-1))
		ionic = math.Max(ionic, math.Abs(got["ionic_strength_mol_l"]/value(t, ref[i], "ionic_strength_mol_per_kg")-1))
		pressure = math.Max(pressure, math.Abs(got["pco2_uatm"]/value(t, ref[i], "pCO2_microatm")-1))
	}
	for i, got := range solve(t, "co2", append(head, "ca", "mg_mg_l", "na", "so4", "cl"), ionRows) {
		co2Ions = math.Max(co2Ions, math.Abs(got["co2_mg_l"]/value(t, ref[i], "CO2aq_mg_per_L")-1))
	}
	record(t, "CO2 from KH, GH and pH by file", byPhreeqc, 100*co2, "%", 1)
	record(t, "CO2 from KH, pH and ions by file", byPhreeqc, 100*co2Ions, "%", 1)
	record(t, "ionic strength by file", byPhreeqc, 100*ionic, "%", 3)
	record(t, "CO2 pressure by file", byPhreeqc, 100*pressure, "%", 1)

	in = nil
	ref = rows(t, "water_ph_for_co2.csv")
	for _, r := range ref {
		in = append(in, []string{r["kh_dKH"], r["gh_dGH"], r["temperature_C"], r["target_CO2aq_mg_per_L"]})
	}
	var acid float64
	for i, got := range solve(t, "ph", []string{"alkalinity_dkh", "hardness_dgh", "temperature_c", "co2_mg_l"}, in) {
		acid = math.Max(acid, math.Abs(got["ph"]-value(t, ref[i], "pH")))
	}
	record(t, "pH for a wanted CO2 by file", byPhreeqc, acid, "pH", 0.01)

	// Salts: every salt of the file is a column.
	ref = rows(t, "water_salts.csv")
	var names []string
	at := map[string]int{}
	for _, r := range ref {
		for _, part := range strings.Split(r["salts_mg_per_L"], ";") {
			name := strings.Fields(part)[0]
			if _, ok := at[name]; !ok {
				at[name] = len(names)
				names = append(names, name)
			}
		}
	}
	in = nil
	for _, r := range ref {
		row := make([]string, len(names)+1)
		row[0] = "250"
		for _, part := range strings.Split(r["salts_mg_per_L"], ";") {
			f := strings.Fields(part)
			mg, err := strconv.ParseFloat(f[1], 64)
			if err != nil {
				t.Fatal(err)
			}
			row[1+at[f[0]]] = fmt.Sprint(mg * 0.25)
		}
		in = append(in, row)
	}
	var ions, conductivity float64
	for i, got := range solve(t, "salts", append([]string{"volume_l"}, names...), in) {
		for column, want := range map[string]string{
			"k_mg_l": "K_mg_per_L", "ca_mg_l": "Ca_mg_per_L", "mg_mg_l": "Mg_mg_per_L", "na_mg_l": "Na_mg_per_L",
			"no3_mg_l": "NO3_mg_per_L", "po4_mg_l": "PO4_mg_per_L", "so4_mg_l": "SO4_mg_per_L", "cl_mg_l": "Cl_mg_per_L", "gh_dgh": "GH_dGH", "kh_dkh": "KH_dKH",
		} {
			if x := value(t, ref[i], want); x > 0 {
				ions = math.Max(ions, math.Abs(got[column]-x)/math.Max(x, 0.2))
			} else if math.Abs(got[column]) > 1e-6 {
				t.Errorf("%s: %s is %g, want none", ref[i]["case"], column, got[column])
			}
		}
		conductivity = math.Max(conductivity, math.Abs(got["conductivity_us_cm"]/value(t, ref[i], "conductivity_uS_per_cm")-1))
	}
	record(t, "ions of weighed salts by file", byPhreeqc, 100*ions, "%", 0.05)
	record(t, "conductivity of weighed salts by file", byPhreeqc, 100*conductivity, "%", 3)

	in = nil
	ref = rows(t, "water_nh3_fraction.csv")
	for _, r := range ref {
		in = append(in, []string{"1", r["pH"], r["temperature_C"]})
	}
	var ammonia float64
	for i, got := range solve(t, "ammonia", []string{"tan_mg_l", "ph", "temperature_c"}, in) {
		ammonia = math.Max(ammonia, math.Abs(got["fraction"]/value(t, ref[i], "NH3_fraction_closed_formula_zero_ionic_strength")-1))
	}
	record(t, "un-ionised ammonia by file", "Emerson et al. 1975", 100*ammonia, "%", 0.01)
}

// TestFixedColumns: scripts may rely on these names, on the order of rows and on what they sent coming back as it stood.
func TestFixedColumns(t *testing.T) {
	for _, c := range []struct{ topic, head, row, adds, starts string }{
		{"co2", "alkalinity_dkh,hardness_dgh,ph,temperature_c", "4.0,6,6.80,24", "co2_mg_l,ionic_strength_mol_l,pco2_uatm", "21."},
		{"co2", "alkalinity_dkh,hardness_dgh,ph,temperature_c,ca,mg,na,k,cl,so4,no3", "4,6,6.8,24,32,6.6,5,2,10,20,8", "co2_mg_l,ionic_strength_mol_l,pco2_uatm", "21."},
		{"ph", "alkalinity_dkh,hardness_dgh,temperature_c,co2_mg_l", "4,6,25,20", "ph", "6.8"},
		{"salts", "volume_l,MgSO4·7H2O,KNO3", "1000,43.95,10", "k_mg_l,ca_mg_l,mg_mg_l,na_mg_l,no3_mg_l,po4_mg_l,so4_mg_l,cl_mg_l,gh_dgh,kh_dkh,conductivity_us_cm", "3.867"},
		{"salts", "volume_l,MgSO4.7H2O,CaSO4*2H2O", "1000,43.95,30.7", "k_mg_l,ca_mg_l,mg_mg_l,na_mg_l,no3_mg_l,po4_mg_l,so4_mg_l,cl_mg_l,gh_dgh,kh_dkh,conductivity_us_cm", "0,7.14"},
		{"ammonia", "tan_mg_l,ph,temperature_c", "1,8,25", "nh3_n_mg_l,fraction", "0.0536"},
		{"oxygen", "temperature_c,altitude_m", "25,500", "do_sat_mg_l", "7.77"},
	} {
		top, err := Look(c.topic)
		if err != nil {
			t.Fatal(err)
		}
		var out bytes.Buffer
		if err := Table(context.Background(), top, strings.NewReader(c.head+"\n"+c.row+"\n"+c.row+"\n"), &out); err != nil {
			t.Errorf("%s: %v", c.topic, err)
			continue
		}
		lines := strings.Split(out.String(), "\n")
		if lines[0] != c.head+","+c.adds {
			t.Errorf("%s writes the columns %s", c.topic, lines[0])
		}
		if !strings.HasPrefix(lines[1], c.row+","+c.starts) || lines[1] != lines[2] || len(lines) != 4 {
			t.Errorf("%s answers %q, want %s,%s…", c.topic, lines[1:], c.row, c.starts)
		}
	}
}

// manyRows makes rows until so many are read, and looks at the memory in use on the way.
type manyRows struct {
	left int
	most uint64
}

func (m *manyRows) Read(p []byte) (int, error) {
	if m.left == 0 {
		return 0, io.EOF
	}
	if m.left%50_000 == 0 {
		var s runtime.MemStats
		runtime.ReadMemStats(&s)
		m.most = max(m.most, s.HeapAlloc)
	}
	m.left--
	return copy(p, "4,6,6.8,24\n"), nil
}

// TestRowsStream: a million rows take no more memory than the garbage of a few.
func TestRowsStream(t *testing.T) {
	top, err := Look("co2")
	if err != nil {
		t.Fatal(err)
	}
	var before runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	const rows = 1_000_000
	many := &manyRows{left: rows}
	var n counting
	if err := Table(context.Background(), top, io.MultiReader(strings.NewReader("alkalinity_dkh,hardness_dgh,ph,temperature_c\n"), many), &n); err != nil {
		t.Fatal(err)
	}
	if n.lines != rows+1 {
		t.Errorf("%d lines came back", n.lines)
	}
	if more := int64(many.most) - int64(before.HeapAlloc); more > 16<<20 {
		t.Errorf("%d MB more were in use on the way", more>>20)
	}
}

type counting struct{ lines int }

func (c *counting) Write(p []byte) (int, error) {
	c.lines += bytes.Count(p, []byte("\n"))
	return len(p), nil
}
