package plan

import "testing"

func TestPriceOf(t *testing.T) {
	p := &Plan{Costs: Costs{Currency: "EUR", List: []Price{{"Electricity", "kWh", .3}, {"pot", "pot", 6}}}, House: &House{Currency: "EUR", Prices: map[string]float64{"electricity kWh": .4, "co2 kg": 9, "fish": 4}}}
	for _, c := range []struct {
		item, unit string
		want       float64
		ok         bool
	}{{"electricity", "kWh", .3, true}, {"electricity", "MJ", 0, false}, {"CO2", "kg", 9, true}, {"fish", "piece", 4, true}, {"stone", "kg", 0, false}} {
		if got, ok := p.PriceOf(c.item, c.unit); got != c.want || ok != c.ok {
			t.Errorf("%s by the %s: %g, %t", c.item, c.unit, got, ok)
		}
	}
	p.Costs.Currency = "USD"
	if _, ok := p.PriceOf("co2", "kg"); ok {
		t.Error("a price of the house in another currency counts")
	}
}
