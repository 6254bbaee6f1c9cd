package findings

import (
	"fmt"
	"littoral/internal/forecast"
	"littoral/internal/plan"
	"littoral/internal/unit"
	"math"
	"slices"
	"strings"
)

// waterFor changes the share of pure water in the change water by a quarter towards what a species is kept in, or sets the heating to the middle
// of its temperatures; nil where the plan leaves no room for it. What is "temperature", "pH", "hardness" or "carbonate hardness", lo and hi the range.
func (v *view) waterFor(what string, first, last int, lo, hi float64) *cure {
	of := map[string]func(d *forecast.Day) float64{
		"pH":                 func(d *forecast.Day) float64 { return (d.PHDawn + d.PHDusk) / 2 },
		"hardness":           func(d *forecast.Day) float64 { return d.GH },
		"carbonate hardness": func(d *forecast.Day) float64 { return d.KH },
		"temperature":        func(d *forecast.Day) float64 { return d.TempC },
	}[what]
	if of == nil {
		return nil
	}
	is := v.mean(first, last, of)
	if what == "temperature" {
		set := math.Round((lo + hi) / 2)
		if v.p.Heater == nil || set <= float64(v.p.Room.Temperature) {
			return nil
		}
		return &cure{words: fmt.Sprintf("the heating set to %s %s", number(v.degrees(set)), v.degree()), apply: func(p *plan.Plan) {
			h := *p.Heater
			h.Set = unit.Celsius(set)
			p.Heater = &h
		}}
	}
	switch share := float64(v.p.Water.Mix.Pure); {
	case is > hi:
		return softer(v.p)
	case is < lo && share > 0:
		return pure(math.Max(0, share-0.25))
	}
	return nil
}

// pure sets the share of pure water in the change water.
func pure(share float64) *cure {
	return &cure{words: fmt.Sprintf("%.0f %% of pure water in the change water", 100*share), apply: func(p *plan.Plan) {
		p.Water.Mix.Pure = unit.Fraction(share)
	}}
}

// softer takes a quarter more pure water; nil where there is no room for it.
func softer(p *plan.Plan) *cure {
	share := float64(p.Water.Mix.Pure)
	if share >= 0.9 {
		return nil
	}
	return pure(math.Min(0.9, share+0.25))
}

// flatter draws the heights of the bed half together, about their mean; nil where it lies level.
func (v *view) flatter() *cure {
	if !slices.ContainsFunc(v.p.Substrate.Layers, func(l plan.Layer) bool { return l.Heights != nil }) {
		return nil
	}
	return &cure{words: "slopes laid half as steep", anew: true, apply: func(p *plan.Plan) {
		for i := range p.Substrate.Layers {
			l := &p.Substrate.Layers[i]
			if l.Heights == nil {
				continue
			}
			points := slices.Clone(l.Heights.Points)
			mean := 0.0
			for _, x := range points {
				mean += x[2] / float64(len(points))
			}
			for k := range points {
				points[k][2] = mean + 0.5*(points[k][2]-mean)
			}
			l.Heights = &plan.Heights{Points: points}
		}
	}}
}

// underWater has every plant that grew in air bought as it grows under water.
var underWater = &cure{words: "all plants grown under water by the nursery", anew: true, apply: func(p *plan.Plan) {
	for i := range p.Plants {
		p.Plants[i].Grown = "submersed"
	}
}}

// screened shuts windows and sun out.
var screened = &cure{words: "windows and sun screened", anew: true, apply: func(p *plan.Plan) { p.Daylight = nil }}

// seeded fills a third of the filters with media from a running tank; nil where that much is planned or the tank runs.
func seeded(p *plan.Plan) *cure {
	const share = 1.0 / 3
	if p.Found != nil || len(p.Filter) == 0 || p.Filter[0].Seeded >= share {
		return nil
	}
	return &cure{words: "a third of the filter's media from a running tank", apply: func(p *plan.Plan) {
		for i := range p.Filter {
			p.Filter[i].Seeded = max(p.Filter[i].Seeded, share)
		}
	}}
}

// outOfWater is the cure of a finding that a plant or an animal stands outside a range.
func (v *view) outOfWater(f *Finding) *cure {
	for _, what := range []string{"carbonate hardness", "hardness", "pH", "temperature"} {
		if !strings.Contains(f.What, "its "+what) {
			continue
		}
		for _, c := range v.cropsOf(f.Subject) {
			s := c.species
			switch what {
			case "carbonate hardness":
				return v.waterFor(what, f.Day, f.Until, 0, s.KHMax)
			case "hardness":
				return v.waterFor(what, f.Day, f.Until, s.GH.Min, s.GH.Max)
			case "pH":
				return v.waterFor(what, f.Day, f.Until, s.PH.Min, s.PH.Max)
			}
			return v.waterFor(what, f.Day, f.Until, s.Temp.Min, s.Temp.Max)
		}
		for _, h := range v.load {
			if h.animal.Name != f.Subject {
				continue
			}
			switch what {
			case "hardness":
				return v.waterFor(what, f.Day, f.Until, h.animal.GH.Min, h.animal.GH.Max)
			case "pH":
				return v.waterFor(what, f.Day, f.Until, h.animal.PH.Min, h.animal.PH.Max)
			}
			return v.waterFor(what, f.Day, f.Until, h.animal.Temp.Min, h.animal.Temp.Max)
		}
	}
	return nil
}

// unheld is the cure of what held a planting back most over a span, of the things that a program can change: light that a neighbour takes or lamps
// hold back, CO2, or a nutrient. What takes less than a tenth of what is lost is left alone.
func (v *view) unheld(c *crop, f *Finding, from unit.Day) *cure {
	causes, _ := v.causes(c.id, f.Day, f.Until)
	for _, cause := range causes {
		if cause.Share < 0.1 {
			break
		}
		switch cause.Name {
		case "light":
			if m := v.lighter(c, f, from); m != nil {
				return m
			}
		case "CO2":
			return gas(25)
		case "nitrogen", "phosphorus", "potassium", "iron":
			return v.dose(cause.Name, f.Day)
		}
	}
	return nil
}

// lighter cuts the neighbour that shades a planting, or turns lamps up where none does.
func (v *view) lighter(c *crop, f *Finding, from unit.Day) *cure {
	for i, day := range c.days {
		if day < f.Day || c.shader[i] == "" {
			continue
		}
		if s := v.crop(c.shader[i]); s != nil && s.species != c.species {
			return v.cutBack(s.species, from, at(s, f.Day, s.height))
		}
		break
	}
	return brighter(v.p, f.Day)
}

// brighter runs the lamps a quarter brighter as far as they go; nil where they give all they can from a day on.
func brighter(p *plan.Plan, day int) *cure {
	for _, l := range p.LightDay {
		if l.Dim < 0.85 && (l.Until == 0 || int(l.Until) > day) {
			return dimmed(1.25, "the lamps a quarter brighter, as far as they go")
		}
	}
	return nil
}

// group brings a species to the number it is kept in, or leaves it out (0).
func group(species string, count int) *cure {
	words := fmt.Sprintf("%d %s", count, species)
	if count == 0 {
		words = "no " + species
	}
	return &cure{words: words, apply: func(p *plan.Plan) {
		if count == 0 {
			p.Livestock = slices.DeleteFunc(p.Livestock, func(s plan.Stock) bool { return s.Species == species })
			return
		}
		for i := range p.Livestock {
			if p.Livestock[i].Species == species {
				p.Livestock[i].Count = count
				return
			}
		}
	}}
}

// parted puts a barrier along the edge of every cap.
var parted = &cure{words: "a barrier along the edge of the sand", anew: true, apply: func(p *plan.Plan) {
	for i := range p.Substrate.Caps {
		p.Substrate.Caps[i].Barrier = true
	}
}}
