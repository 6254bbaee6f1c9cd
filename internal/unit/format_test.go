package unit

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestFormat(t *testing.T) {
	tests := []struct {
		kind   Kind
		value  float64
		metric string
		us     string
	}{
		{KindLength, 0.6, "60 cm", "23.6 in"},
		{KindLength, 2.4, "240 cm", "94.5 in"},
		{KindLength, 0.019, "19 mm", "0.748 in"},
		{KindLength, 12, "12 m", "39.4 ft"},
		{KindLength, -0.04, "-4 cm", "-1.57 in"},
		{KindArea, 2.16, "2.16 m²", "23.3 ft²"},
		{KindVolume, 1.164, "1164 L", "307 gal"},
		{KindVolume, 0.0005, "500 mL", "16.9 fl oz"},
		{KindMass, 0.006, "6 g", "6 g"},
		{KindMass, 0.0002, "200 mg", "200 mg"},
		{KindMass, 1.2, "1.2 kg", "2.65 lb"},
		{KindFlow, 5 / 3600.0, "5000 L/h", "1321 gal/h"},
		{KindMassRate, 0.5e-3 / 86400, "0.5 g/day", "0.5 g/day"},
		{KindTemperature, 24, "24 °C", "75 °F"},
		{KindTemperature, 24.46, "24.5 °C", "76 °F"},
		{KindTemperature, -0.01, "0 °C", "32 °F"},
		{KindConcentration, 18, "18 mg/L", "18 mg/L"},
		{KindConcentration, 0.0049, "4.9 µg/L", "4.9 µg/L"},
		{KindConcentration, 0, "0 mg/L", "0 mg/L"},
		{KindAlkalinity, float64(FromDKH(7)), "7 dKH", "7 dKH"},
		{KindHardness, float64(FromDGH(12.04)), "12 dGH", "12 dGH"},
		{KindPPFD, 60.04, "60 µmol/m²/s", "60 µmol/m²/s"},
		{KindPhotonFlux, 180, "180 µmol/s", "180 µmol/s"},
		{KindPower, 600, "600 W", "600 W"},
		{KindAngle, math.Pi / 6, "30°", "30°"},
		{KindFraction, 0.45, "45 %", "45 %"},
		{KindDuration, 1800, "30 min", "30 min"},
		{KindDuration, 8 * 3600, "8 h", "8 h"},
		{KindDuration, 42 * 86400, "42 days", "42 days"},
		{KindPressure, 5000, "5 kN/m²", "104 psf"},
		{KindDensity, 2700, "2700 kg/m³", "169 lb/ft³"},
		{KindAttenuation, 0.4, "0.4 m⁻¹", "0.122 ft⁻¹"},
		{KindClock, 34200, "09:30", "9:30 am"},
		{KindClock, 77400, "21:30", "9:30 pm"},
		{KindClock, 900, "00:15", "12:15 am"},
		{KindClock, 86400, "24:00", "24:00"},
		{KindDay, 21, "day 21", "day 21"},
		{KindVolume, math.NaN(), "not known", "not known"},
		{KindDay, math.Inf(1), "not known", "not known"},
	}
	for _, tt := range tests {
		if got := Format(tt.kind, tt.value, Metric); got != tt.metric {
			t.Errorf("Format(%s, %v, metric) = %q, want %q", tt.kind, tt.value, got, tt.metric)
		}
		if got := Format(tt.kind, tt.value, US); got != tt.us {
			t.Errorf("Format(%s, %v, US) = %q, want %q", tt.kind, tt.value, got, tt.us)
		}
	}
	if got := FormatDigits(KindVolume, 1.16449, Metric, 6); got != "1164.49 L" {
		t.Errorf("six digits: %q", got)
	}
	if got := Volume(1.164).In(US); got != "307 gal" {
		t.Errorf("In(US) = %q", got)
	}
}

func TestFormatDay(t *testing.T) {
	for _, tt := range []struct {
		day  Day
		want string
	}{
		{0, "day 0"},
		{1, "day 1"},
		{21, "day 21"},
		{27, "day 27"},
		{28, "week 4"},
		{56, "week 8"},
		{58, "week 8"},
		{98, "week 14"},
		{270, "month 9"},
		{365, "month 12"},
		{365.25, "month 12"},
		{500, "month 16"},
		{730, "year 2"},
		{1095, "year 3"},
		{1095.75, "year 3"},
		{913, "year 2.5"},
		{-84, "week -12"},
	} {
		if got := FormatDay(tt.day); got != tt.want {
			t.Errorf("FormatDay(%v) = %q, want %q", tt.day, got, tt.want)
		}
	}
}

// TestRoundTrip: what Format writes, Parse reads back to within half of the last digit written.
func TestRoundTrip(t *testing.T) {
	// Spans from what a scale can show to a swimming hall, in the inner unit.
	spans := map[Kind][2]float64{
		KindLength: {1e-3, 100}, KindArea: {1e-3, 1000}, KindVolume: {1e-5, 1000}, KindMass: {1e-7, 5000}, KindFlow: {1e-9, 1},
		KindMassRate: {1e-12, 1e-3}, KindTemperature: {0.1, 100}, KindConcentration: {1e-5, 5000}, KindAlkalinity: {1e-3, 20},
		KindHardness: {1e-3, 20}, KindPPFD: {1e-2, 3000}, KindPhotonFlux: {1e-2, 1e5}, KindPower: {0.1, 1e5}, KindAngle: {1e-3, 7},
		KindFraction: {1e-3, 0.99}, KindDuration: {1, 2e8}, KindPressure: {1, 1e6}, KindDensity: {1, 1e4}, KindAttenuation: {1e-3, 100},
	}
	for _, kind := range order {
		span, ok := spans[kind]
		if !ok {
			t.Fatalf("kind %q has no span to test", kind)
		}
		rapid.Check(t, func(t *rapid.T) {
			lo, hi := math.Log(span[0]), math.Log(span[1])
			v := math.Exp(rapid.Float64Range(lo, hi).Draw(t, "log of value"))
			system := rapid.SampledFrom([]System{Metric, US}).Draw(t, "system")
			figures := rapid.SampledFrom([]int{2, 3, 5}).Draw(t, "figures")
			text := FormatDigits(kind, v, system, figures)
			got, err := Parse(kind, text)
			if err != nil {
				t.Fatalf("%v was written as %q, which is refused: %v", v, text, err)
			}
			if tol := halfLastDigit(kind, text, figures); math.Abs(got-v) > tol*(1+1e-9) {
				t.Fatalf("%v was written as %q and read back as %v, further than %v", v, text, got, tol)
			}
		})
	}
}

// halfLastDigit is half a step of the last digit that a text with so many figures means to show, in the inner unit.
// Zeros that were left off count as shown.
func halfLastDigit(kind Kind, text string, figures int) float64 {
	end := strings.IndexFunc(text, func(r rune) bool { return !strings.ContainsRune("0123456789.e+-", r) })
	number, unit := text[:end], strings.TrimSpace(text[end:])
	x, err := strconv.ParseFloat(number, 64)
	if err != nil {
		return 0
	}
	s := tables[kind].byKey[unitKey(canonical(unit))]
	step := math.Pow(10, math.Floor(math.Log10(math.Abs(x)))-float64(figures-1))
	switch {
	case kind == KindTemperature && figures <= 3 && s.name == "°F":
		step = 1
	case kind == KindTemperature && figures <= 3:
		step = 0.1
	case !strings.Contains(number, "e"):
		step = math.Min(step, 1)
	}
	return step / 2 * s.mul / s.div
}

func TestRoundTripOfDays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := Day(rapid.Float64Range(-400, 4000).Draw(t, "day"))
		got, err := ParseDay(FormatDay(d))
		if err != nil {
			t.Fatalf("%v: %v", d, err)
		}
		tol := map[string]float64{"day": 0.5, "week": 3.5, "month": daysPerMonth / 2, "year": daysPerYear / 20}
		word, _, _ := strings.Cut(FormatDay(d), " ")
		if math.Abs(float64(got-d)) > tol[word]+1e-9 {
			t.Fatalf("day %v was named %q, which is day %v", d, FormatDay(d), got)
		}
		c := Clock(rapid.Float64Range(0, 86400).Draw(t, "clock"))
		for _, s := range []System{Metric, US} {
			back, err := ParseClock(c.In(s))
			if err != nil || math.Abs(float64(back-c)) > 30 {
				t.Fatalf("%v s was written %q and read back as %v, %v", c, c.In(s), back, err)
			}
		}
	})
}

// readBack reads a text through the typed reader, writes it through the type's own method and returns that, so that a
// reader or a method of the wrong kind shows.
func readBack[T interface{ In(System) string }](parse func(string) (T, error)) func(string) (string, error) {
	return func(text string) (string, error) {
		v, err := parse(text)
		return v.In(Metric), err
	}
}

func TestTypedReadersAndWriters(t *testing.T) {
	tests := []struct {
		text string // read and written back unchanged
		read func(string) (string, error)
	}{
		{"60 cm", readBack(ParseLength)},
		{"2.16 m²", readBack(ParseArea)},
		{"1164 L", readBack(ParseVolume)},
		{"6 g", readBack(ParseMass)},
		{"5000 L/h", readBack(ParseFlow)},
		{"0.5 g/day", readBack(ParseMassRate)},
		{"24 °C", readBack(ParseTemperature)},
		{"18 mg/L", readBack(func(s string) (Concentration, error) { return ParseConcentration(s, "NO3") })},
		{"7 dKH", readBack(ParseAlkalinity)},
		{"12 dGH", readBack(ParseHardness)},
		{"60 µmol/m²/s", readBack(ParsePPFD)},
		{"180 µmol/s", readBack(ParsePhotonFlux)},
		{"600 W", readBack(ParsePower)},
		{"30°", readBack(ParseAngle)},
		{"45 %", readBack(ParseFraction)},
		{"30 min", readBack(ParseDuration)},
		{"5 kN/m²", readBack(ParsePressure)},
		{"2700 kg/m³", readBack(ParseDensity)},
		{"0.4 m⁻¹", readBack(ParseAttenuation)},
		{"09:30", readBack(ParseClock)},
		{"week 8", readBack(ParseDay)},
	}
	for _, tt := range tests {
		if got, err := tt.read(tt.text); err != nil || got != tt.text {
			t.Errorf("%q came back as %q, %v", tt.text, got, err)
		}
	}
	if got, want := Describe(KindHardness), "a hardness is written in dGH, mmol/L, mg/L CaCO3, °fH, °Clark or gpg, for example 12 dGH"; got != want {
		t.Errorf("Describe = %q, want %q", got, want)
	}
}
