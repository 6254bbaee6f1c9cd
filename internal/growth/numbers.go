package growth

import "littoral/internal/catalog"

// Number is a number that growth works out of a species' entry.
type Number struct {
	What, Unit string
	catalog.Param
}

const (
	customs = "common practice, no source"
	derived = "worked out of the numbers above"
)

// Numbers lists what growth works out of a species' entry beside its physiology, at the house's values, each with its range (equal ends: a choice without
// one) and source.
func Numbers(sp *catalog.Species) []Number {
	q := DefaultParams()
	t := newTraits(sp, &sp.Phys, &q)
	row := "catalogue row: " + sp.Source
	var out []Number
	add := func(what, unit string, value, lo, hi float64, source string) {
		out = append(out, Number{what, unit, catalog.Param{Value: value, Min: lo, Max: hi, Source: source}})
	}
	ranged := func(what, unit string, value float64, r catalog.Range, otherwise string) {
		if r.Max > 0 {
			add(what, unit, value, r.Min, r.Max, row)
		} else {
			add(what, unit, value, 0.5*value, 1.5*value, otherwise)
		}
	}
	ranged("new leaves of a growing point at its quickest", "1/week", 7*t.leavesTip, sp.LeavesWeek, "seventy times the largest growth rate; "+customs)
	add("light at which eight hours pay for a day", "µmol/m²/s", t.needs(), 0.5*t.needs(), 2*t.needs(), derived)
	if t.class != airClass {
		add("CO2 at which growth ends", "µmol/L", co2Floor, 2.5, 6, "Sand-Jensen, stream macrophytes")
	}
	add("least iron", "mg/g dry", 1000*feMin, 0.02, 0.06, "critical 60 ppm (Gerloff 1975, from memory)")
	add("most iron", "mg/g dry", 1000*feMax, 0.1, 0.5, "usual 100 to 500 ppm; "+customs)
	add("nursery leaves lost after planting", "share", t.meltShare, 0.5*t.meltShare, min(1.5*t.meltShare, 1), "by the class of melting; "+customs)
	add("loss of nursery leaves begins after", "days", t.meltFrom, t.meltFrom, t.meltTo, customs)
	switch t.form {
	case catalog.Stem:
		ranged("lengthening of stems at most", "cm/week", 700*t.elong, sp.ElongCMWeek, "three hundred times the largest growth rate; "+customs)
		add("stems in a pot", "", t.stems, 4, 8, customs)
		add("stem between two nodes in the species' own light", "cm", 100*t.internode(), 70*t.internode(), 130*t.internode(), derived)
	case catalog.Carpet:
		ranged("creep of the edge", "cm/week", 700*t.lateral, sp.LateralCMWk, customs)
		add("ground of a pot", "cm²", 1e4*t.territory, 1e4*t.territory, 1e4*t.territory, "density of the catalogue row")
		if t.mats {
			add("dark weeks that the base of a thick mat holds", "weeks", q.MatDays/7, 4, 10, customs)
		}
	case catalog.Rhizome:
		add("rhizome for each leaf", "cm", 100*rhizomeNode, 0.4, 1.2, customs)
	}
	if t.begets {
		add("days between daughters at least", "days", t.every, 0.8*t.every, 1.2*t.every, "by growth rate and form; "+customs)
		add("distance at which a daughter roots", "cm", 50*(t.reach[0]+t.reach[1]), 100*min(t.reach[0], t.reach[1]), 100*max(t.reach[0], t.reach[1]), customs)
		add("shoot of a daughter", "g dry", t.birth, t.birth, t.birth, derived)
	}
	switch t.plantlets {
	case onStalks:
		add("plantlets on a flower stalk", "", stalkBears, 2, 8, customs)
		add("days between flower stalks of a grown plant", "days", stalkEvery, 60, 200, customs)
	case onLeaves:
		add("plantlets for each new leaf", "", leafBears, 0.05, 0.4, customs)
	}
	if t.reddens {
		add("light at its tops for half of what light does to its red", "µmol/m²/s", redLight, 50, 120, "reds want 80 to 100 µmol at the leaf; "+customs)
		add("redness of a fed plant in full light, of its reddest", "share", redFed, 0.5, 0.9, customs)
	}
	return out
}
