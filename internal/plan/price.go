package plan

import "strings"

// PriceOf is what one unit of an item costs by the plan's price list or, where that is silent and the currency is the same, by the
// house's ("electricity kWh", or the bare item). ok is false when neither states it.
func (p *Plan) PriceOf(item, unit string) (price float64, ok bool) {
	for _, x := range p.Costs.List {
		if strings.EqualFold(x.Item, item) && strings.EqualFold(x.Unit, unit) {
			return x.Price, true
		}
	}
	if p.House == nil || p.Costs.Currency != "" && !strings.EqualFold(p.Costs.Currency, p.House.Currency) {
		return 0, false
	}
	for _, name := range []string{item + " " + unit, item} {
		for _, k := range sortedKeys(p.House.Prices) {
			if strings.EqualFold(k, name) {
				return p.House.Prices[k], true
			}
		}
	}
	return 0, false
}
