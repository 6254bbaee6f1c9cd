package papers

import (
	"encoding/json"
	"fmt"
	"littoral/internal/check"
	"littoral/internal/draft"
	"littoral/internal/findings"
	"littoral/internal/forecast"
	"littoral/internal/plan"
	"littoral/internal/unit"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func priced(rows ...plan.Price) *forecast.Forecast {
	f := desk()
	f.Plan.Costs.List = rows
	return f
}

func lineOf(t *testing.T, b *costBlock, what string) costLine {
	t.Helper()
	for _, l := range b.Lines {
		if l.What == what {
			return l
		}
	}
	t.Fatalf("no line %q in %+v", what, b.Lines)
	return costLine{}
}

func TestPricesByNameAndUnit(t *testing.T) {
	f := priced(plan.Price{Item: "pot", Unit: "pot", Price: 6}, plan.Price{Item: "Java fern", Unit: "pot", Price: 9}, plan.Price{Item: "moss portion", Unit: "pot", Price: 8},
		plan.Price{Item: "electricity", Unit: "kWh", Price: .3}, plan.Price{Item: "KNO3", Unit: "g", Price: .02}, plan.Price{Item: "water", Unit: "m3", Price: 4})
	c := newTeller(f, nil).costing()
	for _, x := range []struct {
		what string
		want float64
	}{{"Leptochilus pteropus", 9 * 2}, {"Taxiphyllum barbieri", 8 * 2}, {"Rotala rotundifolia", 6 * 2}} { // a pot with its spare makes two
		if l := lineOf(t, c.Build, x.what); !l.Priced || math.Abs(l.Cost-x.want) > 1e-9 {
			t.Errorf("%s: %+v, want %g", x.what, l, x.want)
		}
	}
	var kwh, tap, litres float64
	for _, d := range f.Days {
		kwh += d.HeaterKWh + d.LampKWh
		litres += d.ChangedL + d.TopUpL
	}
	tap = litres * .4 / 1000 // the sample mixes 60 % of pure water
	y := &c.Years[0]
	for _, x := range []struct {
		what string
		want float64
	}{{"Electricity, lamps and heater", .3 * kwh}, {"Tap water for changes and topping up", 4 * tap}, {"KNO3", .02 * 6 * 10}} { // 6 g in each of ten weeks
		if l := lineOf(t, y, x.what); !l.Priced || math.Abs(l.Cost-x.want) > 1e-6*x.want {
			t.Errorf("%s: %+v, want %g", x.what, l, x.want)
		}
	}
	if l := lineOf(t, y, "CO2 gas"); l.Priced || l.Cost != 0 {
		t.Errorf("gas has got a price from nowhere: %+v", l)
	}
	sum, open := y.sum()
	told := 0.0
	unpriced := 0
	for _, l := range y.Lines {
		told += l.Cost
		if !l.Priced {
			unpriced++
		}
	}
	if math.Abs(sum-told) > 1e-9 || open != unpriced || open == 0 {
		t.Errorf("sum %g of %g, %d of %d without a price", sum, told, open, unpriced)
	}
}

func TestHousePricesLieUnderThePlans(t *testing.T) {
	f := priced(plan.Price{Item: "pot", Unit: "pot", Price: 6})
	f.Plan.House.Prices = map[string]float64{"pot": 7, "substrate L": 2, "electricity kWh": .25}
	build := newTeller(f, nil).costing().Build
	if l := lineOf(t, build, "Rotala rotundifolia"); l.Price != 6 {
		t.Errorf("the house's price lies over the plan's: %+v", l)
	}
	soil := f.Model.Facts.BedByMaterial[0]
	if l := lineOf(t, build, capital(soil.Material)); math.Abs(l.Cost-2*soil.Litres*draft.Settling) > 1e-9 || l.Per != "L" {
		t.Errorf("substrate: %+v", l)
	}
	f.Plan.Costs.Currency = "USD"
	if l := lineOf(t, newTeller(f, nil).costing().Build, capital(soil.Material)); l.Priced {
		t.Errorf("euros of the house are added to dollars of the plan: %+v", l)
	}
	f.Plan.Costs.List[0].Unit = "kg"
	if l := lineOf(t, newTeller(f, nil).costing().Build, "Rotala rotundifolia"); l.Priced || !strings.Contains(l.Note, "kg") {
		t.Errorf("plants by weight: %+v", l)
	}
}

func TestCostsInThePapers(t *testing.T) {
	f := priced(plan.Price{Item: "pot", Unit: "pot", Price: 6})
	files := build(t, f, found())
	var o Outcome
	if err := json.Unmarshal(files["forecast.json"], &o); err != nil {
		t.Fatal(err)
	}
	if o.Costs == nil || o.Costs.Currency != "EUR" || o.Costs.HourlyRate != 48 || o.Costs.Building == nil || len(o.Costs.Years) != 1 || o.Costs.Building.Unpriced == 0 {
		t.Fatalf("costs %+v", o.Costs)
	}
	page := string(files["report.html"])
	for _, want := range []string{"What building and planting costs", "no price yet", "What care costs, EUR", "An hour of work counts 48 EUR.", "Planting day: 20 pots"} {
		if !strings.Contains(page, want) {
			t.Errorf("no %q in the report", want)
		}
	}
	if s := newTeller(f, nil).costSentence(); !strings.HasPrefix(s, "Building and planting cost about ") || !strings.Contains(s, "care over 70 days") || !strings.Contains(s, "no price yet") {
		t.Errorf("the sentence is %q", s)
	}
	f.Plan.Costs = plan.Costs{}
	k := newTeller(f, nil)
	if k.costSentence() != "" || k.costTables() != nil {
		t.Error("costs are told without a price")
	}
	if page = string(build(t, f, nil)["report.html"]); !strings.Contains(page, "Nothing has a price yet") {
		t.Error("the report does not say that nothing has a price")
	}
	f.Plan.Found = &plan.Found{}
	if c := newTeller(f, nil).costing(); c.Build != nil {
		t.Error("a tank as found is built again")
	}
}

func TestYearsOfCosts(t *testing.T) {
	f := desk()
	for _, c := range []struct {
		length int
		want   []int // last days
	}{{1095, []int{364, 729, 1095}}, {1000, []int{364, 729, 1000}}, {70, []int{70}}, {0, []int{0}}, {380, []int{380}}, {730, []int{364, 730}}} {
		f.Length = c.length
		var got []int
		for _, y := range newTeller(f, nil).costing().Years {
			got = append(got, y.Until)
		}
		if d := cmp.Diff(c.want, got); d != "" {
			t.Errorf("%d days: %s", c.length, d)
		}
	}
}

// TestPlantingDayOfTheWorkedJob: 62 pots on 2.0 × 0.7 m take about 4.6 person-hours, and the whole building 25.
func TestPlantingDayOfTheWorkedJob(t *testing.T) {
	f := desk()
	f.Plan.Plants = nil
	for _, p := range []struct {
		species string
		pots    int
	}{{"Eleocharis pusilla", 24}, {"Cryptocoryne wendtii", 9}, {"Rotala rotundifolia", 14}, {"Aquarius grisebachii", 2}, {"Anubias barteri var. nana", 8}, {"Taxiphyllum barbieri", 5}} {
		f.Plan.Plants = append(f.Plan.Plants, plan.Planting{Species: p.species, Pots: p.pots})
	}
	f.Model.Tank.LX, f.Model.Tank.LY = 2, .7
	d := newTeller(f, nil).plantingDay()
	if d.Pots != 62 || math.Abs(d.PlantH-4.6) > .1 || math.Abs(d.BuildH-25) > .3 || d.Planters != 2 {
		t.Errorf("%+v", d)
	}
	check.Record(t, check.Row{
		Room: "papers", What: "person-hours to plant 62 pots and to build 1.4 m²", Source: "the trade's worked job, common practice, no source",
		Worst: fmt.Sprintf("%.1f and %.1f h", math.Abs(d.PlantH-4.6), math.Abs(d.BuildH-25)), Within: "0.1 and 0.3 h of 4.6 and 25",
	})
}

func TestIronIsWhatOneCanBuy(t *testing.T) {
	if got := chelated(3.05); got != "51 g of Fe-EDDHA (6 % Fe) or 28 g of Fe-DTPA (11 % Fe)" {
		t.Error(got)
	}
	f := priced(plan.Price{Item: "Fe-DTPA", Unit: "kg", Price: 30})
	if l := lineOf(t, &newTeller(f, nil).costing().Years[0], "Iron, as Fe-EDDHA or Fe-DTPA"); math.Abs(l.Cost-30*.2*10/1000/.11) > 1e-9 { // 0.2 g Fe in each of ten weeks
		t.Errorf("%+v", l)
	}
}

func TestFoldsByCause(t *testing.T) {
	x := func(rule, severity, subject, what string) findings.Finding {
		return findings.Finding{Rule: rule, Severity: severity, Subject: subject, What: what, Do: "Act.", X: -1, Y: -1}
	}
	list := []findings.Finding{
		x("shaded", "harm", "A a", "Java fern shades A a."), x("shaded", "look", "B b", "Java fern shades B b."), x("shaded", "harm", "B b", "Moss shades B b."),
		x("surface", "look", "A a", "A a reaches the surface."), x("surface", "look", "A a", "A a reaches the surface."), x("mat", "look", "C c", "The mat of C c lifts."), x("mat", "look", "D d", "The mat of D d lifts."),
		x("floor-load", "danger", "tank", "The tank is too heavy for the floor."), x("nitrite", "danger", "water", "Nitrite is high."),
	}
	k := newTeller(desk(), list)
	var got []string
	for _, f := range k.folded() {
		got = append(got, f.sentence())
	}
	want := []string{"The tank is too heavy for the floor.", "Nitrite is high.", "Java fern shades 2 plantings: A a, B b.", "Moss shades B b.", "Each of 2 plantings reaches the surface: A a (2).", "The mat of each of 2 plantings lifts: C c, D d."}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
	s := k.findingSentence()
	for _, part := range []string{"9 findings on 6 matters, 4 of them harmful; the gravest: The tank is too heavy", "Besides: Nitrite is high. Java fern shades 2 plantings"} {
		if !strings.Contains(s, part) {
			t.Errorf("no %q in %q", part, s)
		}
	}
}

func TestTakenOverTankOrdersNothingThatStands(t *testing.T) {
	f := desk()
	f.Plan.Found = &plan.Found{}
	f.Plan.Plants[0].From = unit.Day(30)
	o := newTeller(f, nil).plantOrders()
	if len(o) != 1 || o[0].Day != 30 {
		t.Errorf("orders %+v", o)
	}
}

func TestCoins(t *testing.T) {
	for _, c := range []struct {
		v       float64
		figures int
		want    string
	}{{0, 2, "0"}, {.214, 3, "0.21"}, {.92, 2, "0.92"}, {.04, 3, "0.04"}, {.001, 3, "0"}, {6.874, 3, "6.87"}, {1866.24, 3, "1870"}, {5940, 2, "5900"}} {
		if got := coins(c.v, c.figures); got != c.want {
			t.Errorf("%g is written %q, want %q", c.v, got, c.want)
		}
	}
}
