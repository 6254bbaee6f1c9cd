package forecast

import (
	"littoral/internal/plan"
	"littoral/internal/unit"
	"math"
	"testing"
)

var allRead = []string{"kh", "gh", "nitrate", "nitrite", "ammonium", "phosphate", "potassium", "iron", "calcium", "magnesium"}

// asMeasured forecasts the small tank with tests laid over it.
func asMeasured(t *testing.T, days int, tests ...plan.Measured) *Forecast {
	t.Helper()
	p := read(t, small)
	p.Measured = tests
	f, err := Run(t.Context(), p, Options{Days: days, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func closes(t *testing.T, f *Forecast) {
	t.Helper()
	for _, e := range f.Balance.Elements {
		if !(e.Relative <= 1e-9) {
			t.Errorf("%s is off by %g of the turnover", e.Element, e.Relative)
		}
	}
}

// A forecast goes on from what was read, and what that brings or takes stands in the balance.
func TestForecastGoesOnFromReadings(t *testing.T) {
	plain := asMeasured(t, 60)
	f := asMeasured(t, 60, plan.Measured{ID: "t1", On: 40, At: 20 * 3600, Readings: []plan.Reading{
		{What: "nitrate", Value: 45}, {What: "phosphate", Value: 0.04}, {What: "kh", Value: 2}, {What: "gh", Value: 4.5}, {What: "magnesium", Value: 5}, {What: "ph", Value: 5},
	}})
	closes(t, f)
	if len(f.Measured) != 5 {
		t.Fatalf("it goes on from %+v", f.Measured)
	}
	for day := range 40 {
		if f.Days[day] != plain.Days[day] {
			t.Fatalf("day %d, before the test, is another", day)
		}
	}
	// The day after the test lies where the test was, less what plants, filter and bed make of it in a day.
	for _, c := range []struct {
		what            string
		was, read, next float64
		near            float64
	}{
		{"nitrate", plain.Days[41].NO3, 45, f.Days[41].NO3, 3},
		{"phosphate", plain.Days[41].PO4, 0.04, f.Days[41].PO4, 0.1},
		{"kh", plain.Days[41].KH, 2, f.Days[41].KH, 0.3},
		{"gh", plain.Days[41].GH, 4.5, f.Days[41].GH, 0.4},
		{"magnesium", plain.Days[41].Mg, 5, f.Days[41].Mg, 0.5},
	} {
		if math.Abs(c.next-c.read) > c.near || math.Abs(c.was-c.read) < 2*c.near {
			t.Errorf("%s: %.3g the day after %.3g was read, where %.3g was forecast", c.what, c.next, c.read, c.was)
		}
	}
	// Gas holds the CO2: the harder water has the higher pH and not more CO2.
	if a, b := f.Days[41].CO2On, plain.Days[41].CO2On; math.Abs(a-b) > 1 {
		t.Errorf("CO2 is %.1f mg/L after a test of the hardness, and %.1f without", a, b)
	}
	by := map[string]*ElementBalance{}
	for i := range f.Balance.Elements {
		by[f.Balance.Elements[i].Element] = &f.Balance.Elements[i]
	}
	in, out := entry(by["nitrogen"].In, "measured correction"), entry(by["phosphorus"].Out, "measured correction")
	litres := f.Model.Facts.NetWaterL
	for _, m := range f.Measured {
		switch m.What {
		case "nitrate": // 14.007/62.004, molar masses
			if want := (m.Value - m.Was) * litres * 14.007 / 62.004; math.Abs(in-want) > 0.02*want {
				t.Errorf("the correction brought %.1f mg N, want %.1f", in, want)
			}
		case "phosphate": // 30.974/94.971
			if want := (m.Was - m.Value) * litres * 30.974 / 94.971; math.Abs(out-want) > 0.02*want {
				t.Errorf("the correction took %.2f mg P, want %.2f", out, want)
			}
		}
	}
}

// A reading that is what was forecast changes nothing, wherever on the day it is taken.
func TestReadingAsForecastChangesNothing(t *testing.T) {
	for _, change := range []string{"", "before", "after"} {
		ask := plan.Measured{ID: "t1", On: 42, At: 15 * 3600, Change: change}
		for _, what := range allRead {
			ask.Readings = append(ask.Readings, plan.Reading{What: what, Value: 1})
		}
		probe := asMeasured(t, 42, ask)
		for i := range ask.Readings {
			if probe.Measured[i].What != ask.Readings[i].What {
				t.Fatalf("reading %d is %+v", i, probe.Measured[i])
			}
			ask.Readings[i].Value = probe.Measured[i].Was
		}
		plain, f := asMeasured(t, 60), asMeasured(t, 60, ask)
		closes(t, f)
		for day := range f.Days {
			if f.Days[day] != plain.Days[day] {
				t.Fatalf("%q: day %d is another than without the test", change, day)
			}
		}
	}
}

// Before the change is before the water of the change came, after it is after.
func TestReadingsAroundTheChange(t *testing.T) {
	at := func(change string) Measured { // nitrate-poor change water at 10:00, dose after it
		return asMeasured(t, 28, plan.Measured{ID: "t", On: 28, At: 18 * 3600, Change: change, Readings: []plan.Reading{{What: "gh", Value: 9}, {What: "nitrate", Value: 9}}}).Measured[0]
	}
	before, after := at("before"), at("after")
	if before.Hour != 10 || after.Hour != 18 {
		t.Errorf("tested at %d and %d, want 10 (the hour of the change) and 18", before.Hour, after.Hour)
	}
	if math.Abs(before.Was-after.Was) < 0.05 {
		t.Errorf("hardness before the change %.3f, after it %.3f: the change moved nothing", before.Was, after.Was)
	}
}

// Whatever was read, the balance closes and no value leaves what is a number.
func TestAnyReadingsClose(t *testing.T) {
	var tests []plan.Measured
	for i, v := range []float64{0, 1e5, 0.001, math.NaN(), math.Inf(1), -3, 40} {
		m := plan.Measured{ID: "t", On: unit.Day(2 + 3*i), Change: "after"}
		for _, what := range append([]string{"ph", "gold"}, allRead...) {
			m.Readings = append(m.Readings, plan.Reading{What: what, Value: v})
		}
		tests = append(tests, m)
	}
	f := asMeasured(t, 30, tests...)
	closes(t, f)
	for i := range f.Days {
		d := &f.Days[i]
		for _, v := range []float64{d.NO3, d.KH, d.GH, d.PHDawn, d.PHDusk, d.CO2Max, d.PO4, d.K, d.Fe, d.GrowthG} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("day %d: %+v", i, d)
			}
		}
	}
}
