package reckon

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// ask solves one row of named inputs.
func ask(t testing.TB, topic string, in map[string]float64) map[string]float64 {
	t.Helper()
	top, err := Look(topic)
	if err != nil {
		t.Fatal(err)
	}
	row := top.Blank()
	left := len(in)
	for i, f := range top.In {
		if x, ok := in[f.Column]; ok {
			row[i] = x
			left--
		}
	}
	if left != 0 {
		t.Fatalf("%s: %d of the inputs %v are not its own", topic, left, in)
	}
	out, err := top.Solve(row, nil)
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]float64{}
	for i, o := range top.Out {
		got[o.Column] = out[i]
	}
	return got
}

// TestDose: the closed form of a geometric series.
func TestDose(t *testing.T) {
	var worst float64
	for _, c := range []struct{ change, dose, source, uptake, periods, level, settled float64 }{
		{.5, 10, 0, 0, 4, 18.75, 20},
		{.3, 5, 0, 0, 10, 16.1959, 16.6667},
		{.5, 10, 8, 3, 10, 21.9785, 22},
		{.25, 4, 20, 2, 10, 26.4232, 28},
	} {
		got := ask(t, "dose", map[string]float64{"change_share": c.change, "dose_mg_l": c.dose, "source_mg_l": c.source, "uptake_mg_l": c.uptake, "periods": c.periods})
		worst = math.Max(worst, math.Max(math.Abs(got["level_mg_l"]-c.level), math.Abs(got["trough_mg_l"]-c.settled)))
		if peak := (1-c.change)*got["trough_mg_l"] + c.change*c.source + c.dose; math.Abs(peak-got["peak_mg_l"]) > 1e-9 {
			t.Errorf("peak %g, want %g", got["peak_mg_l"], peak)
		}
	}
	record(t, "levels under doses and water changes", "geometric series, exact", worst, "mg/L", 5e-5)
	if got := ask(t, "dose", map[string]float64{"change_share": .3, "dose_mg_l": 1, "uptake_mg_l": 9}); got["trough_mg_l"] != 0 {
		t.Errorf("plants that want more than they get leave %g", got["trough_mg_l"])
	}
}

func TestHeatAndEvaporation(t *testing.T) {
	// Carrier's law at 25 °C in a room of 22 °C and 50 %: 5.769 mm a day, times 0.74 for still water.
	got := ask(t, "evaporation", map[string]float64{"length_cm": 100, "width_cm": 100, "room_c": 22, "air_m_s": 0})
	record(t, "evaporation of an undisturbed pool", "Smith, Löf & Jones 1998", math.Abs(got["mm_day"]-4.269), "mm/day", 0.005)
	// 1000 L lose nothing while warmed: 1.16 kWh for 1 K.
	change := ask(t, "change", map[string]float64{"volume_l": 1000, "share": 1, "tank_c": 25, "new_c": 24, "heater_w": 1000})
	record(t, "heat to warm 1000 L by 1 K", "CRC Handbook, heat capacity of water (from memory)", math.Abs(change["reheat_h"]-1.16), "h with 1 kW", 0.005)
	if math.Abs(change["mixed_c"]-24) > 1e-9 || change["largest_share"] != 1 {
		t.Errorf("a change of 1 K: %v", change)
	}
	cold := ask(t, "change", map[string]float64{"volume_l": 1000, "share": 0.5, "tank_c": 25, "new_c": 15})
	if math.Abs(cold["mixed_c"]-20) > 1e-9 || math.Abs(cold["largest_share"]-0.2) > 1e-9 {
		t.Errorf("a cold change: %v", cold)
	}
	// A tank that nothing heats, without evaporation, takes the room's temperature.
	free := ask(t, "heat", map[string]float64{"length_cm": 100, "width_cm": 50, "level_cm": 50, "room_c": 20, "humidity": 1})
	if math.Abs(free["free_c"]-20) > 0.01 {
		t.Errorf("in saturated air it rests at %g °C", free["free_c"])
	}
	// A litre and a half to two watts per litre is what the trade fits in cold rooms: 0.3 to 1 W/L (common practice, no source).
	big := ask(t, "heat", map[string]float64{"length_cm": 240, "width_cm": 90, "level_cm": 60, "glass_mm": 19, "room_c": 20})
	if per := big["heater_w"] / 1296; per < 0.3 || per > 1 {
		t.Errorf("heater of %g W/L", per)
	}
	if big["warm_up_k_h"] < 0.299 {
		t.Errorf("it warms by %g K an hour", big["warm_up_k_h"])
	}
}

func TestVolumeAndTurnover(t *testing.T) {
	v := ask(t, "volume", map[string]float64{"length_cm": 100, "width_cm": 50, "level_cm": 40, "bed_cm": 5, "stone_kg": 27})
	// 200 L, 25 L bed with 10 L of pores, 10 L of stone: 175 L of water; 15 L of grains at 2.65.
	if math.Abs(v["net_l"]-175) > 1e-9 || math.Abs(v["contents_kg"]-(175+15*2.65+27)) > 1e-9 {
		t.Errorf("volume: %v", v)
	}
	w := ask(t, "turnover", map[string]float64{"volume_l": 1000, "flow_l_h": 5000, "arrives": 0.6})
	if math.Abs(w["per_hour"]-3) > 1e-12 || math.Abs(w["hours_to_pass_95_percent"]-1) > 1e-12 {
		t.Errorf("turnover: %v", w)
	}
}

func TestConductivityAndBalance(t *testing.T) {
	top, err := Look("conductivity")
	if err != nil {
		t.Fatal(err)
	}
	// A hard tap in balance; then the same with its sodium left out.
	in := top.Blank()
	whole := map[string]float64{"alkalinity_dkh": 14, "ca_mg_l": 96.2, "mg_mg_l": 18.2, "na_mg_l": 20.7, "k_mg_l": 2.3, "so4_mg_l": 43.2, "cl_mg_l": 34.3, "no3_mg_l": 24.8}
	for i, f := range top.In {
		if x, ok := whole[f.Column]; ok {
			in[i] = x
		}
	}
	out, err := top.Solve(in, nil)
	if err != nil || math.Abs(out[4]) > 1 {
		t.Fatalf("balance off by %g %%: %v", out[4], err)
	}
	for i, f := range top.In {
		if f.Column == "na_mg_l" {
			in[i] = 0
		}
		if f.Column == "ca_mg_l" {
			in[i] = 70
		}
	}
	out, _ = top.Solve(in, nil)
	said := strings.Join(top.Tell(in, nil, out).Why, " ")
	if !strings.Contains(said, "sodium") {
		t.Errorf("the missing ion is not named: %s", said)
	}
}

// TestCO2AndPHAgree: the pH for a CO2, read back, is that CO2, in any water that can be.
func TestCO2AndPHAgree(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		in := map[string]float64{
			"alkalinity_dkh": rapid.Float64Range(0.2, 20).Draw(r, "KH"), "hardness_dgh": rapid.Float64Range(0, 30).Draw(r, "GH"),
			"temperature_c": rapid.Float64Range(10, 32).Draw(r, "T"), "co2_mg_l": rapid.Float64Range(0.5, 100).Draw(r, "CO2"),
		}
		acid := ask(t, "ph", in)["ph"]
		want := in["co2_mg_l"]
		delete(in, "co2_mg_l")
		in["ph"] = acid
		if got := ask(t, "co2", in)["co2_mg_l"]; math.Abs(got/want-1) > 1e-6 {
			r.Fatalf("%g mg/L came back as %g", want, got)
		}
	})
}

func TestTableErrors(t *testing.T) {
	for _, c := range []struct{ name, topic, in, want string }{
		{"empty", "co2", "", "first line names the columns"},
		{"column missing", "co2", "ph,temperature_c\n7,25\n", "column alkalinity_dkh is missing"},
		{"no number", "co2", "alkalinity_dkh,ph\n4,seven\n", "line 2, column ph: \"seven\" is not a number"},
		{"unit in the cell", "co2", "alkalinity_dkh,ph\n4 dKH,7\n", "line 2, column alkalinity_dkh"},
		{"out of range", "co2", "alkalinity_dkh,ph\n4,7\n4,17\n", "line 3, column ph: 17 is outside 2 to 12"},
		{"not a number", "co2", "alkalinity_dkh,ph\n4,NaN\n", "line 2, column ph"},
		{"needed cell empty", "co2", "alkalinity_dkh,ph\n4,\n", "line 2: ph is missing"},
		{"ragged", "co2", "alkalinity_dkh,ph\n4\n", "line 2: wrong number of fields"},
		{"twice", "co2", "alkalinity_dkh,ph,ca,ca_mg_l\n4,7,1,1\n", "both hold ca_mg_l"},
		{"contradiction", "co2", "alkalinity_dkh,ph,hardness_dgh,ca,mg\n4,7,20,10,1\n", "does not fit"},
		{"unknown salt", "salts", "volume_l,NaNO3\n1,1\n", "formula"},
		{"the same salt twice", "salts", "volume_l,KNO3,kno3\n1,1,1\n", "the same salt"},
		{"rising for ever", "dose", "dose_mg_l,change_share\n1,0\n", "rises for ever"},
	} {
		top, err := Look(c.topic)
		if err != nil {
			t.Fatal(err)
		}
		var out bytes.Buffer
		err = Table(context.Background(), top, strings.NewReader(c.in), &out)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.name, err, c.want)
		}
		if s := out.String(); s != "" && !strings.HasSuffix(s, "\n") {
			t.Errorf("%s: half a row was written: %q", c.name, s)
		}
	}
}

func TestTableKeepsColumns(t *testing.T) {
	top, _ := Look("salts")
	var out bytes.Buffer
	in := "\ufeffnote,volume_l,MgSO4.7H2O,KNO3 g\n\"a, b\",100,1.50,\nlast, 100,,2\n"
	if err := Table(context.Background(), top, strings.NewReader(in), &out); err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(out.String(), "\n")
	if !strings.HasPrefix(lines[0], "note,volume_l,MgSO4.7H2O,KNO3 g,k_mg_l,") || !strings.HasPrefix(lines[1], "\"a, b\",100,1.50,,0,") || !strings.HasPrefix(lines[2], "last,100,,2,7.73") {
		t.Errorf("columns were not kept:\n%s", out.String())
	}
}

// endless makes rows until so many are read.
type endless struct{ left int }

func (e *endless) Read(p []byte) (int, error) {
	if e.left == 0 {
		return 0, io.EOF
	}
	e.left--
	return copy(p, "4,6,6.8,24\n"), nil
}

func BenchmarkCO2Rows(b *testing.B) {
	top, _ := Look("co2")
	b.ReportAllocs()
	from := io.MultiReader(strings.NewReader("alkalinity_dkh,hardness_dgh,ph,temperature_c\n"), &endless{b.N})
	if err := Table(context.Background(), top, from, io.Discard); err != nil {
		b.Fatal(err)
	}
}

func FuzzTable(f *testing.F) {
	f.Add("co2", "alkalinity_dkh,ph\n4,7\n")
	f.Add("salts", "volume_l,KNO3\n100,5\n")
	f.Add("mix", "a_share,a_alkalinity_dkh,a_hardness_dgh\n.4,7,12\n")
	f.Add("heat", "length_cm,width_cm,level_cm\n240,90,60\n")
	f.Fuzz(func(t *testing.T, topic, text string) {
		top, err := Look(topic)
		if err != nil {
			return
		}
		var out bytes.Buffer
		if Table(context.Background(), top, strings.NewReader(text), &out) == nil && strings.Contains(out.String(), "Inf") && !strings.Contains(text, "Inf") && !strings.Contains(text, "inf") {
			t.Errorf("an infinite answer: %q", out.String())
		}
	})
}

// TestTopicsAreWhole: names are unique, examples read, and each topic answers its own examples in words.
func TestTopicsAreWhole(t *testing.T) {
	seen := map[string]bool{}
	for _, top := range Topics() {
		if seen[top.Name] {
			t.Errorf("%s is there twice", top.Name)
		}
		seen[top.Name] = true
		in := top.Blank()
		columns := map[string]bool{}
		for i, f := range top.In {
			if columns[f.Column] {
				t.Errorf("%s: column %s is there twice", top.Name, f.Column)
			}
			columns[f.Column] = true
			x, err := f.Read(f.Example)
			if err != nil {
				t.Errorf("%s: %v", top.Name, err)
			}
			if strings.HasSuffix(f.Column, "_mg_l") && (f.Column == "ca_mg_l" || f.Column == "mg_mg_l") {
				continue // they would contradict the hardness beside them
			}
			in[i] = x
		}
		var salts []Weighed
		if top.Salts {
			salts = []Weighed{{"KNO3", 5}}
		}
		out, err := top.Solve(in, salts)
		if err != nil {
			t.Errorf("%s: %v", top.Name, err)
			continue
		}
		a := top.Tell(in, salts, out)
		if a.Says == "" || len(a.Why) > 2 || strings.Contains(fmt.Sprint(a), "NaN") {
			t.Errorf("%s: %+v", top.Name, a)
		}
	}
	if len(seen) < 13 {
		t.Errorf("only %d topics", len(seen))
	}
}
