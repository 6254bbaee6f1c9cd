package forecast

import (
	"littoral/internal/growth"
	"littoral/internal/soil"
	"littoral/internal/water"
	"math"
	"sort"
)

// elements are amounts of the elements whose balance is proven: C in mmol, the rest in mg. Calcium and magnesium are followed in the water and on
// the bed's exchange sites; plants, food and animals are taken to hold none.
type elements struct{ N, P, K, C, Ca, Mg float64 }

func (a elements) plus(b elements) elements {
	return elements{a.N + b.N, a.P + b.P, a.K + b.K, a.C + b.C, a.Ca + b.Ca, a.Mg + b.Mg}
}

func (a elements) times(f float64) elements {
	return elements{a.N * f, a.P * f, a.K * f, a.C * f, a.Ca * f, a.Mg * f}
}

func ofMatter(m growth.Matter) elements { return elements{N: m.N, P: m.P, K: m.K, C: m.C} }

func ofOrganic(o soil.Organic) elements { return elements{N: o.N, P: o.P, K: o.K, C: o.C} }

func ofCations(c soil.Cations) elements { return elements{K: c.K, Ca: c.Ca, Mg: c.Mg} }

func ofNutrients(n soil.Nutrients) elements { return elements{N: n.N, P: n.P, K: n.K} }

func ofAmount(a water.Amount) elements {
	return elements{N: 1000 * (a.NO3N + a.NO2N + a.TAN), P: 1000 * a.PO4P, K: 1000 * a.K, C: 1000 * a.DIC, Ca: 1000 * a.Ca, Mg: 1000 * a.Mg}
}

// ledger books everything that crosses the tank's border.
type ledger struct {
	start   []store
	in, out map[string]elements
}

// store is what one part of the tank holds.
type store struct {
	name string
	elements
}

// all sums up stores.
func all(list []store) elements {
	var e elements
	for _, s := range list {
		e = e.plus(s.elements)
	}
	return e
}

func newLedger() *ledger {
	return &ledger{in: map[string]elements{}, out: map[string]elements{}}
}

func (l *ledger) came(name string, e elements) { l.in[name] = l.in[name].plus(e) }
func (l *ledger) left(name string, e elements) { l.out[name] = l.out[name].plus(e) }

// close sets the ledger against what the tank holds at the end, part by part as at the start.
func (l *ledger) close(end []store) Balance {
	var b Balance
	for _, el := range []struct {
		name, unit string
		pick       func(elements) float64
	}{
		{"nitrogen", "mg", func(e elements) float64 { return e.N }},
		{"phosphorus", "mg", func(e elements) float64 { return e.P }},
		{"potassium", "mg", func(e elements) float64 { return e.K }},
		{"carbon", "mmol", func(e elements) float64 { return e.C }},
		{"calcium", "mg", func(e elements) float64 { return e.Ca }},
		{"magnesium", "mg", func(e elements) float64 { return e.Mg }},
	} {
		eb := ElementBalance{Element: el.name, Unit: el.unit, Start: el.pick(all(l.start)), End: el.pick(all(end))}
		for i, s := range end {
			from, to := el.pick(l.start[i].elements), el.pick(s.elements)
			if from != 0 || to != 0 {
				eb.Stores = append(eb.Stores, Store{s.name, from, to})
			}
		}
		eb.In, eb.Out = entries(l.in, el.pick), entries(l.out, el.pick)
		in, out := eb.Start, eb.End
		for _, e := range eb.In {
			in += e.Amount
		}
		for _, e := range eb.Out {
			out += e.Amount
		}
		if in > 0 {
			eb.Relative = math.Abs(in-out) / in
		}
		b.Elements = append(b.Elements, eb)
	}
	return b
}

func entries(from map[string]elements, pick func(elements) float64) []Entry {
	names := make([]string, 0, len(from))
	for name := range from {
		names = append(names, name)
	}
	sort.Strings(names)
	most := 0.0
	for _, name := range names {
		most = math.Max(most, math.Abs(pick(from[name])))
	}
	var list []Entry
	for _, name := range names {
		if amount := pick(from[name]); math.Abs(amount) > 1e-12*most { // less is rounding
			list = append(list, Entry{name, amount})
		}
	}
	return list
}
