package unit

import (
	"errors"
	"fmt"
	"littoral/internal/check"
	"math"
	"strings"
	"testing"
)

// relative returns |got − want| / |want|.
func relative(got, want float64) float64 { return math.Abs(got-want) / math.Abs(want) }

func TestParseSpellings(t *testing.T) {
	tests := []struct {
		kind Kind
		text string
		want float64
	}{
		{KindLength, "240 cm", 2.4},
		{KindLength, "35cm", 0.35},
		{KindLength, "2,5 cm", 0.025},
		{KindLength, "0,125 m", 0.125},
		{KindLength, "1,2345 m", 1.2345},
		{KindLength, "19 MM", 0.019},
		{KindLength, "1.2e2 cm", 1.2},
		{KindLength, "94.5 in", 2.4003},
		{KindLength, "94.5 in.", 2.4003},
		{KindLength, `12"`, 0.3048},
		{KindLength, "12″", 0.3048},
		{KindLength, "3'", 0.9144},
		{KindLength, "3 ft 6 in", 1.0668},
		{KindLength, `3'6"`, 1.0668},
		{KindLength, "3′ 6.5″", 1.0795},
		{KindLength, "−4 cm", -0.04},
		{KindLength, "–4 cm", -0.04},
		{KindLength, "+4 cm", 0.04},
		{KindLength, "4\u00a0cm", 0.04},
		{KindLength, "-0 cm", 0},
		{KindArea, "2 m²", 2},
		{KindArea, "10000 cm^2", 1},
		{KindArea, "1 sq ft", 0.09290304},
		{KindVolume, "1300 L", 1.3},
		{KindVolume, "1300 ℓ", 1.3},
		{KindVolume, "1 gal", 0.003785411784},
		{KindVolume, "1 imp gal", 0.00454609},
		{KindVolume, "128 fl oz", 0.003785411784},
		{KindVolume, "1 ft³", 0.028316846592},
		{KindVolume, "500 mL", 0.0005},
		{KindVolume, "1.5 m3", 1.5},
		{KindMass, "6 g", 0.006},
		{KindMass, "1 lb", 0.45359237},
		{KindMass, "16 oz", 0.45359237},
		{KindMass, "1 lb 8 oz", 0.680388555},
		{KindMass, "200 mg", 0.0002},
		{KindFlow, "3600 L/h", 0.001},
		{KindFlow, "60 L / min", 0.001},
		{KindFlow, "3.6 m³/h", 0.001},
		{KindFlow, "3600 gph", 0.003785411784},
		{KindFlow, "3600 litres per hour", 0.001},
		{KindMassRate, "86.4 g/day", 1e-6},
		{KindMassRate, "604.8 g/week", 1e-6},
		{KindMassRate, "86400 mg per day", 1e-6},
		{KindTemperature, "24 °C", 24},
		{KindTemperature, "24 ºC", 24},
		{KindTemperature, "24℃", 24},
		{KindTemperature, "24 ° C", 24},
		{KindTemperature, "24 c", 24},
		{KindTemperature, "212 °F", 100},
		{KindTemperature, "-40 F", -40},
		{KindTemperature, "273.15 K", 0},
		{KindConcentration, "18 mg/L", 18},
		{KindConcentration, "18 ppm", 18},
		{KindConcentration, "18 g/m³", 18},
		{KindConcentration, "18 μg/l", 0.018},
		{KindAlkalinity, "2.5 meq/L", 2.5},
		{KindAlkalinity, "2.5 mmol/L", 2.5},
		{KindAlkalinity, "2.5 mmol/L HCO₃", 2.5},
		{KindHardness, "2.1 mmol/L", 2.1},
		{KindPPFD, "60 µmol/m²/s", 60},
		{KindPPFD, "60 μmol m⁻² s⁻¹", 60},
		{KindPPFD, "60 µmol·m⁻²·s⁻¹", 60},
		{KindPPFD, "60 umol/m2/s", 60},
		{KindPPFD, "60 umol/(m2 s)", 60},
		{KindPPFD, "60 umol m-2 s-1", 60},
		{KindPhotonFlux, "180 µmol/s", 180},
		{KindPhotonFlux, "180 µmol s⁻¹", 180},
		{KindPower, "1.2 kW", 1200},
		{KindAngle, "180°", math.Pi},
		{KindAngle, "-90 deg", -math.Pi / 2},
		{KindAngle, "0.5 rad", 0.5},
		{KindFraction, "45 %", 0.45},
		{KindFraction, "100%", 1},
		{KindFraction, "33 percent", 0.33},
		{KindDuration, "30 min", 1800},
		{KindDuration, "8 h 30 min", 30600},
		{KindDuration, "2 days", 172800},
		{KindDuration, "1 month", 30.4375 * 86400},
		{KindDuration, "1 year", 365.25 * 86400},
		{KindPressure, "5 kN/m²", 5000},
		{KindPressure, "5 kPa", 5000},
		{KindPressure, "100 kg/m²", 980.665},
		{KindDensity, "2.7 g/cm³", 2700},
		{KindDensity, "2.7 kg/L", 2700},
		{KindAttenuation, "0.4 1/m", 0.4},
		{KindAttenuation, "0.4/m", 0.4},
		{KindAttenuation, "0.4 m⁻¹", 0.4},
		{KindAttenuation, "0.4 per metre", 0.4},
		{KindClock, "09:30", 34200},
		{KindClock, "9:30", 34200},
		{KindClock, "9:30 pm", 77400},
		{KindClock, "9 PM", 75600},
		{KindClock, "12:15 a.m.", 900},
		{KindClock, "12:00 pm", 43200},
		{KindClock, "24:00", 86400},
		{KindDay, "day 21", 21},
		{KindDay, "Week 3", 21},
		{KindDay, "month 9", 9 * 30.4375},
		{KindDay, "year 1", 365.25},
		{KindDay, "week -12", -84},
	}
	for _, tt := range tests {
		t.Run(fmt.Sprintf("%s/%s", tt.kind, tt.text), func(t *testing.T) {
			got, err := Parse(tt.kind, tt.text)
			if err != nil {
				t.Fatalf("Parse: %v", err)
			}
			if math.Abs(got-tt.want) > 1e-12*math.Max(1, math.Abs(tt.want)) {
				t.Errorf("Parse = %v, want %v", got, tt.want)
			}
			if got == 0 && math.Signbit(got) {
				t.Error("Parse gave a negative zero")
			}
		})
	}
}

func TestParseErrors(t *testing.T) {
	tests := []struct {
		kind   Kind
		text   string
		reason string
		cure   string
	}{
		{KindLength, "3", `"3" has no unit`, "a length is written in mm, cm, m, in or ft, for example 3 cm or 1.2 in"},
		{KindLength, "", "the value is empty", "for example 3 cm or 1.2 in"},
		{KindLength, "deep", "does not begin with a number", "for example 3 cm"},
		{KindLength, "55 L", "L is the unit of a volume, not of a length", "a length is written in mm"},
		{KindLength, "5 cmm", `"cmm" is not a unit that is known here`, "perhaps cm was meant"},
		{KindLength, "1,200 cm", "thousands separator", "write 1200 cm or 1.2 cm"},
		{KindLength, "12,500 mm", "thousands separator", "write 12500 mm or 12.5 mm"},
		{KindLength, "1 200 cm", "thousands separator", "for example 1200 cm"},
		{KindLength, "1\u202f200 cm", "thousands separator", "for example 1200 cm"},
		{KindLength, "1'200 cm", "thousands separator", "for example 1200 cm"},
		{KindLength, "1_200 cm", "thousands separator", "write 1200 cm"},
		{KindLength, "1.200,5 cm", "thousands separator", "write 1200.5 cm"},
		{KindLength, "1,234,567 mm", "thousands separator", "write 1234567 mm"},
		{KindLength, "1.2.3 cm", "is not a number", "2.5"},
		{KindLength, "5, cm", "is not a number", "2.5"},
		{KindLength, "20-25 cm", "is a range", "write one number"},
		{KindLength, "20–25 cm", "is a range", "write one number"},
		{KindLength, "20 to 25 cm", "is a range", "write one number"},
		{KindLength, "12 1/2 in", "is written as a fraction", "write 12.5 in"},
		{KindLength, "1/2 in", "is written as a fraction", "write 0.5 in"},
		{KindLength, "3 ft 6", "has a second number without a unit", "write 3 ft 6 in"},
		{KindLength, "10³ cm", "raised digit", ""},
		{KindLength, "NaN cm", "is not a finite number", ""},
		{KindLength, "-Inf cm", "is not a finite number", ""},
		{KindLength, "1e400 cm", "too large", ""},
		{KindLength, "1e300 cm", "too large", ""},
		{KindLength, strings.Repeat("9", 200) + " cm", "too long", ""},
		{KindVolume, "24", `"24" has no unit`, "for example 24 L or 6.3 gal"},
		{KindVolume, "-3 L", "a volume cannot be negative", ""},
		{KindTemperature, "24", `"24" has no unit`, "for example 24 °C or 75 °F"},
		{KindTemperature, "-300 °C", "below absolute zero", ""},
		{KindFraction, "0.5", `"0.5" has no unit`, "for example 50 %"},
		{KindFraction, "1/3", "is written as a fraction", "write 33.3 %"},
		{KindFraction, "150 %", "more than the whole", ""},
		{KindPPFD, "4000 lux", "how bright the light looks", "with a stated spectrum"},
		{KindPPFD, "60 PAR", `"PAR" is not a unit that is known here`, "µmol/m²/s"},
		{KindPhotonFlux, "3000 lumens", "how bright the light looks", "with a stated spectrum"},
		{KindPhotonFlux, "60 µmol/m²/s", "is the unit of a light intensity", "180 µmol/s"},
		{KindAlkalinity, "125 mg/L", "does not say of what", "write mg/L CaCO3"},
		{KindHardness, "125 ppm", "does not say of what", "write ppm CaCO3"},
		{KindHardness, "7 dKH", "dKH is the unit of an alkalinity", "dGH"},
		{KindAlkalinity, "7", `"7" has no unit`, "for example 7 dKH"},
		{KindClock, "0930", "is not a time of day", `"09:30"`},
		{KindClock, "25:00", "is outside the day", ""},
		{KindClock, "9:60", "is outside the day", ""},
		{KindClock, "13:00 pm", "twelve-hour clock", ""},
		{KindDay, "21", "does not say whether", "write day 21"},
		{KindDay, "21 days", "is a duration", "write day 21"},
		{KindDay, "3 weeks", "is a duration", "write week 3"},
		{KindDay, "day 1e300", "century", ""},
		{KindDay, "day 3 cm", "behind the number", ""},
		{KindDay, "spring", "is not a day of the plan", "day 21"},
		{KindConcentration, "2 mmol/L", "molar mass", "mg/L"},
		{Kind("mood"), "3 cm", "is not a kind of quantity", ""},
	}
	for _, tt := range tests {
		t.Run(fmt.Sprintf("%s/%.20s", tt.kind, tt.text), func(t *testing.T) {
			got, err := Parse(tt.kind, tt.text)
			var e *Error
			if !errors.As(err, &e) {
				t.Fatalf("Parse = %v, %v; want an *Error", got, err)
			}
			if !strings.Contains(e.Reason, tt.reason) {
				t.Errorf("reason %q does not contain %q", e.Reason, tt.reason)
			}
			if !strings.Contains(e.Cure, tt.cure) {
				t.Errorf("cure %q does not contain %q", e.Cure, tt.cure)
			}
			if e.Text != tt.text || e.Kind != tt.kind {
				t.Errorf("error keeps %q of %q, want %q of %q", e.Text, e.Kind, tt.text, tt.kind)
			}
			if got != 0 {
				t.Errorf("value beside an error = %v, want 0", got)
			}
		})
	}
}

func TestErrorJoinsReasonAndCure(t *testing.T) {
	_, err := ParseLength("3")
	want := `"3" has no unit; a length is written in mm, cm, m, in or ft, for example 3 cm or 1.2 in`
	if err == nil || err.Error() != want {
		t.Errorf("error %v, want %s", err, want)
	}
}

func TestParseSize(t *testing.T) {
	tests := []struct {
		text string
		want [2]Length
		ok   bool
	}{
		{"55x20 cm", [2]Length{0.55, 0.2}, true},
		{"55 cm x 20 cm", [2]Length{0.55, 0.2}, true},
		{"55 × 20 cm", [2]Length{0.55, 0.2}, true},
		{"1.2 m by 20 cm", [2]Length{1.2, 0.2}, true},
		{"10 X 5 in", [2]Length{0.254, 0.127}, true},
		{"55x20", [2]Length{}, false},
		{"55 cm", [2]Length{}, false},
		{"55x20x3 cm", [2]Length{}, false},
		{"0x20 cm", [2]Length{}, false},
		{"-5x20 cm", [2]Length{}, false},
		{"x", [2]Length{}, false},
	}
	for _, tt := range tests {
		got, err := ParseSize(tt.text)
		if (err == nil) != tt.ok || got != tt.want {
			t.Errorf("ParseSize(%q) = %v, %v; want %v", tt.text, got, err, tt.want)
		}
		var e *Error
		if err != nil && (!errors.As(err, &e) || e.Text != tt.text) {
			t.Errorf("ParseSize(%q): error %v does not keep the text", tt.text, err)
		}
	}
}

// TestTables keeps the unit tables sound: every spelling is reachable as it is typed, and belongs to one unit of its kind.
func TestTables(t *testing.T) {
	for _, kind := range order {
		table := tables[kind]
		if table == nil {
			t.Fatalf("kind %q has no table", kind)
		}
		if table.byKey[table.metric] == nil || table.us != "" && table.byKey[table.us] == nil {
			t.Errorf("kind %q: the unit of its cure is missing", kind)
		}
		seen := map[string]string{}
		for _, s := range table.units {
			for _, k := range s.spelled {
				if other, twice := seen[k]; twice {
					t.Errorf("kind %q: %q is both %s and %s", kind, k, other, s.name)
				}
				seen[k] = s.name
				if unitKey(canonical(k)) != k {
					t.Errorf("kind %q: spelling %q becomes %q and cannot be reached", kind, k, unitKey(canonical(k)))
				}
			}
			if got := table.byKey[unitKey(canonical(s.name))]; got == nil || got.name != s.name {
				t.Errorf("kind %q: the shown name %q is not read back", kind, s.name)
			}
			if !(s.mul > 0 && s.div > 0) {
				t.Errorf("kind %q: %s has no scale", kind, s.name)
			}
		}
		if _, err := Parse(kind, fmt.Sprint(table.example, " ", table.metric)); err != nil {
			t.Errorf("kind %q: its own example is refused: %v", kind, err)
		}
	}
}

func TestUSUnitsAgainstNIST(t *testing.T) {
	// NIST SP 811 (2008), appendix B.8, from memory; the digits as printed there.
	tests := []struct {
		kind Kind
		text string
		want float64
		tol  float64 // relative; the table's last digit
	}{
		{KindLength, "1 ft", 3.048e-1, 1e-12},
		{KindLength, "1 in", 2.54e-2, 1e-12},
		{KindArea, "1 ft²", 9.290304e-2, 1e-12},
		{KindArea, "1 in²", 6.4516e-4, 1e-12},
		{KindVolume, "1 gal", 3.785412e-3, 5e-7},
		{KindVolume, "1 imp gal", 4.54609e-3, 1e-12},
		{KindVolume, "1 fl oz", 2.957353e-5, 5e-7},
		{KindVolume, "1 qt", 9.463529e-4, 5e-7},
		{KindVolume, "1 ft³", 2.831685e-2, 5e-7},
		{KindVolume, "1 in³", 1.6387064e-5, 1e-12},
		{KindMass, "1 lb", 4.5359237e-1, 1e-12},
		{KindMass, "1 oz", 2.834952e-2, 5e-7},
		{KindFlow, "1 gal/min", 6.309020e-5, 5e-7},
		{KindPressure, "1 psf", 4.788026e1, 5e-7},
		{KindPressure, "1 psi", 6.894757e3, 5e-7},
		{KindDensity, "1 lb/ft³", 1.601846e1, 5e-7},
	}
	worst := 0.0
	for _, tt := range tests {
		got, err := Parse(tt.kind, tt.text)
		if err != nil {
			t.Errorf("%s: %v", tt.text, err)
			continue
		}
		d := relative(got, tt.want)
		worst = math.Max(worst, d)
		if d > tt.tol {
			t.Errorf("%s = %.9g, want %.9g", tt.text, got, tt.want)
		}
	}
	check.Record(t, check.Row{
		Room: "unit", What: "US and imperial units, 16 factors", Source: "NIST SP 811 (2008), appendix B.8",
		Memory: true, Worst: fmt.Sprintf("%.1g relative", worst), Within: "5e-7 relative, half of the seventh digit",
	})
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{
		"3", "240 cm", "1,200 L", "3 ft 6 in", "12 1/2 in", "9:30 pm", "day 21", "4 mg/L as N", "mg N/L", "1e400 m",
		"-1e-300 °F", "55x20 cm", "3 weeks", "60 µmol m⁻² s⁻¹", "10³ L", "NO₃", "Ca(NO3)2·4H2O", "\xff\xfe", "1__2.,3", "1/0 %", "1e 2/", "0.4 1/m",
	} {
		f.Add(s)
	}
	kinds := append([]Kind{KindClock, KindDay}, order...)
	f.Fuzz(func(t *testing.T, text string) {
		for _, kind := range kinds {
			v, err := Parse(kind, text)
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Errorf("Parse(%s, %q) = %v", kind, text, v)
			}
			checkError(t, text, err)
			if err == nil {
				for _, system := range []System{Metric, US} {
					if _, err := Parse(kind, Format(kind, v, system)); err != nil {
						t.Errorf("Format(%s, %v) cannot be read back: %v", kind, v, err)
					}
				}
			}
		}
		c, err := ParseConcentration(text, "NO3")
		if math.IsNaN(float64(c)) || math.IsInf(float64(c), 0) {
			t.Errorf("ParseConcentration(%q) = %v", text, c)
		}
		checkError(t, text, err)
		size, err := ParseSize(text)
		checkError(t, text, err)
		if err == nil && !(size[0] > 0 && size[1] > 0) {
			t.Errorf("ParseSize(%q) = %v", text, size)
		}
		every, err := ParseEvery(text)
		checkError(t, text, err)
		if err == nil {
			if again, err := ParseEvery(every.String()); err != nil || again != every {
				t.Errorf("ParseEvery(%q) = %v is not read back: %v, %v", text, every, again, err)
			}
		}
		if m, err := MolarMass(text); err == nil && !(m >= 0 && m < 1e15) {
			t.Errorf("MolarMass(%q) = %v", text, m)
		}
	})
}

func checkError(t *testing.T, text string, err error) {
	t.Helper()
	if err == nil {
		return
	}
	var e *Error
	if !errors.As(err, &e) || e.Reason == "" || e.Text != text {
		t.Errorf("%q: error without reason or text: %#v", text, err)
	}
}

func BenchmarkParse(b *testing.B) {
	for _, c := range []struct {
		name string
		kind Kind
		text string
	}{
		{"length", KindLength, "240 cm"},
		{"light", KindPPFD, "60 µmol m⁻² s⁻¹"},
		{"clock", KindClock, "09:30"},
		{"refused", KindLength, "3"},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				_, _ = Parse(c.kind, c.text)
			}
		})
	}
}
