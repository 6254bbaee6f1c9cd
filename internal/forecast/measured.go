package forecast

import (
	"littoral/internal/plan"
	"littoral/internal/water"
	"math"
)

// Measured is a reading that the forecast goes on from, with what it had come to by itself at that hour.
type Measured struct {
	ID    string // of the test
	Day   int
	Hour  int
	What  string
	Was   float64 // forecast before the reading was taken over, in the unit of plan.Reading
	Value float64
}

// GoesOnFrom tells whether a forecast goes on from a reading of a kind. It does for what only work, growth and waste move. The pH, CO2, oxygen and
// temperature are those of gas, air and heater again within hours, so that a reading of them says nothing of the days after it; and a pH that is
// read 0.3 off would be twice the CO2.
func GoesOnFrom(what string) bool {
	return what == "kh" || what == "gh" || dissolved(&water.Composition{}, what) != nil
}

// dissolved is where a water holds an ion that is read, with mg/L of it for each mg/L there; nil for what is no single ion.
func dissolved(c *water.Composition, what string) *solute {
	switch what {
	case "nitrate":
		return &solute{&c.NO3N, water.NO3PerN}
	case "nitrite":
		return &solute{&c.NO2N, water.NO2PerN}
	case "ammonium": // tests turn all ammonia into one form
		return &solute{&c.TAN, water.NH4PerN}
	case "phosphate":
		return &solute{&c.PO4P, water.PO4PerP}
	case "potassium":
		return &solute{&c.K, 1}
	case "iron":
		return &solute{&c.Fe, 1}
	case "calcium":
		return &solute{&c.Ca, 1}
	case "magnesium":
		return &solute{&c.Mg, 1}
	}
	return nil
}

type solute struct {
	in  *float64
	per float64
}

// tests lays the tests of a plan on their days. A test before the day's water change comes before the first of the day, one after it after the
// last, whatever the clock says.
func tests(p *plan.Plan, days int, jobs map[int][]job) {
	for i := range p.Measured {
		m := &p.Measured[i]
		day := int(math.Floor(float64(m.On)))
		if day < 0 || day >= days {
			continue
		}
		hour := hourOf(m.At)
		for _, j := range jobs[day] {
			changes := j.care != nil && j.care.Do == "water-change" || j.event != nil && (j.event.Do == "water-change" || j.event.Drain > 0)
			switch {
			case changes && m.Change == "before":
				hour = min(hour, j.hour)
			case changes && m.Change == "after":
				hour = max(hour, j.hour)
			}
		}
		jobs[day] = append(jobs[day], job{day: day, hour: hour, test: m})
	}
}

// goOnFrom puts what was read in place of what was forecast. What that brings or takes is booked as a correction. Charge that the ions leave open is
// closed with chloride or sodium, so that no ion moves the alkalinity; where the alkalinity was read, the CO2 stays and the pH follows.
func (r *run) goOnFrom(j job) {
	w := &r.water
	before := w.Holds()
	was, now := w.Composition, w.Composition
	read := map[string]float64{}
	for _, x := range j.test.Readings {
		v := x.Value
		if !GoesOnFrom(x.What) || !(v >= 0 && v <= 1e5) {
			continue
		}
		had := 0.0
		switch x.What {
		case "kh":
			had = was.DKH()
		case "gh":
			had = was.DGH()
		default:
			at := dissolved(&was, x.What)
			had = *at.in * at.per
		}
		r.out.Measured = append(r.out.Measured, Measured{ID: j.test.ID, Day: j.day, Hour: j.hour, What: x.What, Was: had, Value: v})
		if v == had {
			continue
		}
		read[x.What] = v
		if x.What == "kh" {
			now.Alk = v * water.MeqPerDH
		} else if at := dissolved(&now, x.What); at != nil {
			*at.in = v / at.per
		}
	}
	if len(read) == 0 {
		return
	}
	if dgh, ok := read["gh"]; ok {
		_, ca := read["calcium"]
		_, mg := read["magnesium"]
		harden(&now, dgh, ca, mg)
	}
	if now.Alk != was.Alk {
		e := now.Equilibrium()
		now.DIC = e.AtCO2(was.Carbonate().CO2, now.Alk).DIC()
	}
	w.Dose(water.Neutral(now.In(w.Volume).Add(was.In(w.Volume).Times(-1))))

	gained := w.Holds().Minus(before)
	var in, out elements
	for _, x := range []struct {
		by      float64
		in, out *float64
	}{
		{gained.N, &in.N, &out.N},
		{gained.P, &in.P, &out.P},
		{gained.K, &in.K, &out.K},
		{gained.C, &in.C, &out.C},
		{gained.Ca, &in.Ca, &out.Ca},
		{gained.Mg, &in.Mg, &out.Mg},
	} {
		*x.in, *x.out = math.Max(0, 1000*x.by), math.Max(0, -1000*x.by)
	}
	r.ledger.came("measured correction", in)
	r.ledger.left("measured correction", out)
}

// harden brings a water to a total hardness, dGH. An ion that was read itself stays; without any hardness it comes as calcium and magnesium 3:1 by moles,
// as in most tap waters (common practice, no source).
func harden(c *water.Composition, dgh float64, ca, mg bool) {
	want := dgh * water.MmolPerDH
	mmol := func(ca, mg float64) float64 { return water.Composition{Ca: ca, Mg: mg}.DGH() * water.MmolPerDH }
	perCa, perMg := mmol(1, 0), mmol(0, 1)
	switch {
	case ca && mg:
	case ca:
		c.Mg = math.Max(0, want-c.Ca*perCa) / perMg
	case mg:
		c.Ca = math.Max(0, want-c.Mg*perMg) / perCa
	default:
		if have := mmol(c.Ca, c.Mg); have > 0 {
			c.Ca *= want / have
			c.Mg *= want / have
		} else {
			c.Ca, c.Mg = 0.75*want/perCa, 0.25*want/perMg
		}
	}
}
