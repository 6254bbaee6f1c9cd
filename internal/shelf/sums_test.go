package shelf

import (
	"context"
	"fmt"
	"littoral/internal/check"
	"littoral/internal/forecast"
	"littoral/internal/plan"
	"littoral/internal/reckon"
	"littoral/internal/unit"
	"math"
	"sync"
	"testing"
)

// forecastOnce forecasts the library's demo for all tests of this file.
var forecastOnce = sync.OnceValues(func() (*forecast.Forecast, error) {
	p, err := plan.Load("../../examples/quay-street-library/plan.yaml")
	if err != nil {
		return nil, err
	}
	return forecast.Run(context.Background(), p, forecast.Options{Days: 200, Hours: true})
})

func library(t *testing.T) (*plan.Plan, *forecast.Forecast) {
	t.Helper()
	f, err := forecastOnce()
	if err != nil {
		t.Fatal(err)
	}
	return f.Plan, f
}

// A tank's own values can be read back as they are written, in both systems, and every sum answers with them.
func TestOwnValuesReadBack(t *testing.T) {
	p, f := library(t)
	v := valuesOf(p, f, 40)
	for _, topic := range reckon.Topics() {
		for _, field := range topic.In {
			x, known := v.of(topic.Name, field)
			if !known {
				continue
			}
			for _, system := range []unit.System{unit.Metric, unit.US} {
				text := field.Write(x, system)
				back, err := field.Read(text)
				if err != nil || math.Abs(back-x) > 0.006*math.Abs(x)+0.4 && field.Kind == unit.KindTemperature || math.Abs(back-x) > 0.006*math.Abs(x)+1e-9 && field.Kind != unit.KindTemperature {
					t.Errorf("%s %s: %g is written %q and read as %g, %v", topic.Name, field.Column, x, text, back, err)
				}
			}
		}
		if topic.Name != "salts" && v.ask(topic.Name, unit.Metric) == nil {
			t.Errorf("%s does not answer with the tank's own values", topic.Name)
		}
	}
}

// The dose that would hold a nutrient where the forecast has it is the dose that the plan gives.
func TestTheWeekFollowsFromTheForecast(t *testing.T) {
	p, f := library(t)
	net := f.Model.Facts.NetWaterL
	share, aWeek := usualChange(p, net)
	const day = 150
	worst := 0.0
	for _, n := range nutrients {
		v := values{"volume_l": net}
		v.nutrient(p, f, day, share, aWeek, n)
		mean, rows := 0.0, f.Days[day-28:day+28]
		for i := range rows {
			mean += n.level(&rows[i]) / float64(len(rows))
		}
		v["target_mg_l"] = mean
		a := v.ask("weekly", unit.Metric)
		if a == nil || a.Numbers[0].Column != "dose_mg_l" {
			t.Fatalf("no week for %s: %+v", n.Key, v)
		}
		week, often := doseOf(p, f, n, day, net)
		off := math.Abs(a.Numbers[0].Value*often/week - 1)
		worst = math.Max(worst, off)
		if off > 0.05 {
			t.Errorf("%s at %.2f mg/L wants %.2f mg/L a week, the plan gives %.2f", n.Key, mean, a.Numbers[0].Value*often, week)
		}
	}
	check.Record(t, check.Row{Room: "shelf", What: "weekly dose worked out from a forecast's own levels against the dose of its plan, NO3, PO4, K", Source: "the forecast's mass balance", Worst: fmt.Sprintf("%.1f %%", 100*worst), Within: "5 %"})
}

func TestUsualChange(t *testing.T) {
	line := func(share float64, until unit.Day, every unit.Every) plan.Care {
		return plan.Care{Do: "water-change", Share: unit.Fraction(share), Until: until, Every: every}
	}
	week, two := unit.Every{N: 1, Freq: "WEEKLY"}, unit.Every{N: 2, Freq: "WEEKLY"}
	for _, c := range []struct {
		care         []plan.Care
		share, aWeek float64
	}{
		{nil, 0, 0},
		{[]plan.Care{line(0.5, 28, week), line(0.4, 0, two)}, 0.4, 0.5},
		{[]plan.Care{line(0.3, 0, week), line(0.3, 0, week)}, 0.3, 2},
		{[]plan.Care{line(0.5, 28, week)}, 0.5, 1},
		{[]plan.Care{{Do: "water-change", Amount: 0.05, Every: week}}, 0.5, 1},
	} {
		if share, aWeek := usualChange(&plan.Plan{Care: c.care}, 100); math.Abs(share-c.share) > 1e-9 || math.Abs(aWeek-c.aWeek) > 1e-9 {
			t.Errorf("%+v: %g at once, %g a week", c.care, share, aWeek)
		}
	}
}

func TestSwingOfADay(t *testing.T) {
	_, f := library(t)
	for day, want := range map[int]int{-5: 0, 0: 0, 33: 33, 200: 200, 4000: 200} {
		s := swingOf(f, day)
		if s.Day != want || len(s.PH) != 24 || len(s.Light) != 24 || len(s.Why) != 2 {
			t.Errorf("day %d is %d with %d hours", day, s.Day, len(s.PH))
		}
		for _, e := range s.Work {
			if e.Day != want {
				t.Errorf("day %d holds work of day %d", want, e.Day)
			}
		}
	}
}

func TestBottlesBeginSolvable(t *testing.T) {
	p, f := library(t)
	ask := startBottles(stockOf(p, f.Length))
	card, err := SolveBottles(ask)
	if err != nil || len(card.Bottles) < 2 || ask.Lasts < 2 {
		t.Errorf("%+v: %v", ask, err)
	}
	if empty := startBottles(nil); len(empty.Doses) != 0 || empty.Lasts != mostLasts {
		t.Errorf("without doses: %+v", empty)
	}
}

func FuzzSolveSum(f *testing.F) {
	f.Add("co2", "alkalinity_dkh", "4 dKH", "KNO3", "5 g")
	f.Add("salts", "volume_l", "200 L", "MgSO4.7H2O", "12")
	f.Add("weekly", "target_mg_l", "15 mg/L", "", "")
	f.Fuzz(func(t *testing.T, topic, column, text, salt, grams string) {
		a, err := SolveSum(topic, map[string]string{column: text, "ph": "7", "volume_l": "100 L"}, []SumSalt{{salt, grams}})
		if err != nil {
			return
		}
		for _, n := range a.Numbers {
			if math.IsNaN(n.Value) || math.IsInf(n.Value, 0) {
				t.Errorf("%s is %g", n.Column, n.Value)
			}
		}
	})
}
