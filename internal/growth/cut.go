package growth

import (
	"cmp"
	"littoral/internal/catalog"
	"littoral/internal/plan"
	"math"
	"slices"
	"strings"
)

// Cut tells what a pass with the scissors took out.
type Cut struct {
	Plants  int     // plants cut
	FreshG  float64 // wet weight taken out
	DryG    float64
	Matter  Matter
	Minutes float64 // work
	Columns []int   // root columns over which was cut, with repeats
}

func (c *Cut) take(p *plant, g float64) {
	if g <= 0 {
		return
	}
	m := p.part(g)
	p.lose(m)
	p.em *= 1 - g/p.shoot
	p.leaves *= 1 - g/p.shoot
	p.shoot -= g
	c.Plants++
	c.DryG += g
	c.FreshG += g / p.t.dryFresh
	c.Matter = c.Matter.Add(m)
	if p.col >= 0 {
		c.Columns = append(c.Columns, p.col)
	}
}

// Norms of work, minutes (common practice, no source: 45 minutes of trimming in a rich tank of 700 L with about 14 pots of
// stems and 0.4 m² of carpet).
const (
	minutesStems   = 1.5  // a pot's worth of stems
	minutesCarpet  = 20.0 // a square metre
	minutesRosette = 1.0
	minutesMoss    = 2.0
	minutesThin    = 1.0
	minutesRunner  = 0.3
	minutesReplace = 4.5 // a pot taken out with its roots and a new one set
	minutesReplant = 5.0 // a pot's worth taken up, topped and set: 15 to 25 pots of stems an hour are planted, and as long again to take up
)

// Trim cuts back one planting (by its id), one species (by any of its names) or, with "", every plant that needs it. toHeightM > 0 is the height over the
// crown that is left; else share is the share of the shoot taken (0 = what the form is usually cut by). Rosettes lose their
// outer leaves, floating plants are netted off.
func (s *Stand) Trim(day int, species string, toHeightM, share float64) Cut {
	var c Cut
	is := s.named(species)
	cover := s.floatCover()
	for i := range s.plants {
		p := &s.plants[i]
		if !is(p) || (species == "" && !s.overgrown(p, cover)) {
			continue
		}
		s.trim(p, &c, toHeightM, share, cover)
		s.shape(&s.desks[0], p)
	}
	s.stake()
	return c
}

// Shape is how the heights of a cut rise over a group: a slope from its front (small y) to its back, or a dome from its rim to its middle.
type Shape struct {
	Dome      bool
	Low, Rise float64 // m: lowest height over the crown, and by how much it rises
}

// TrimShape cuts back one planting or one species, as Trim, each planting to a shape of its own.
func (s *Stand) TrimShape(day int, species string, shape Shape) Cut {
	var c Cut
	is := s.named(species)
	cover := s.floatCover()
	type span struct{ x0, x1, y0, y1 float64 }
	all := map[int32]span{}
	for i := range s.plants {
		p := &s.plants[i]
		if !is(p) {
			continue
		}
		e, ok := all[p.pi]
		if !ok {
			e = span{p.x, p.x, p.y, p.y}
		}
		all[p.pi] = span{min(e.x0, p.x), max(e.x1, p.x), min(e.y0, p.y), max(e.y1, p.y)}
	}
	for i := range s.plants {
		p := &s.plants[i]
		e, ok := all[p.pi]
		if !ok || (species == "" && !s.overgrown(p, cover)) {
			continue
		}
		up := 0.5
		if shape.Dome {
			dx, dy := (p.x-0.5*(e.x0+e.x1))/max(0.5*(e.x1-e.x0), 1e-6), (p.y-0.5*(e.y0+e.y1))/max(0.5*(e.y1-e.y0), 1e-6)
			up = max(1-dx*dx-dy*dy, 0)
		} else if e.y1 > e.y0 {
			up = (p.y - e.y0) / (e.y1 - e.y0)
		}
		s.trim(p, &c, shape.Low+up*shape.Rise, 0, cover)
		s.shape(&s.desks[0], p)
	}
	s.stake()
	return c
}

// named resolves a planting by its id, else a species by any of its names, to what picks its plants; "" picks every plant.
func (s *Stand) named(species string) func(p *plant) bool {
	if species == "" {
		return func(*plant) bool { return true }
	}
	for _, pl := range s.plan.Plantings() {
		if pl.ID == species { // an id such as java-fern is the name of a species as well
			return func(p *plant) bool { return p.planting == species }
		}
	}
	name := species
	if sp, ok := s.plan.Cat.Species(species); ok {
		name = sp.Name
	}
	return func(p *plant) bool { return p.t.sp.Name == name || p.planting == species }
}

// overgrown tells whether the usual hand would cut a plant: stems at two thirds of their height or close under the surface,
// carpets and moss thicker than their kind stays, rosettes over their spread, more than a quarter of the surface afloat.
func (s *Stand) overgrown(p *plant, cover float64) bool {
	t := p.t
	switch t.form {
	case catalog.Stem:
		return p.length > 2.0/3*t.hMax || p.length > s.depth(p)-0.05
	case catalog.Carpet:
		return p.area > 3.5*p.patch
	case catalog.Floating:
		return cover > 0.25
	case catalog.Rhizome:
		return p.shoot > 1.3*t.full*p.count
	}
	return p.shoot > t.full*p.count
}

func (s *Stand) trim(p *plant, c *Cut, to, share, cover float64) {
	t := p.t
	switch t.form {
	case catalog.Stem:
		if to <= 0 && share > 0 {
			to = p.length * (1 - min(share, 0.9))
		}
		if to <= 0 {
			to = max(0.08, t.hMax/4) // 5–10 cm are left on stems of 30–40 cm (common practice, no source)
		}
		to = max(to, 0.03)
		if p.length <= 1.05*to {
			return
		}
		gone := 1 - to/p.length
		// Tops carry more leaf than feet: the share of mass above the cut, by the profile of 0.6 + 0.8 u.
		u := to / p.length
		gone = 1 - (0.6*u+0.4*u*u)*0.5 - 0.5*(1-gone)
		c.take(p, p.shoot*gone)
		p.nodes *= to / p.length
		p.length = to
		// One to three shoots break from each cut stem (common practice, no source).
		p.stems = min(p.stems*1.6, 3*t.stems*p.count)
		p.cutAt = to
		p.base = p.shoot / (t.perLength * (0.55 + 0.9*p.habit) * to)
		p.bare = min(p.bare, 0.5*to)
		p.builtH = -1
		c.Minutes += minutesStems
	case catalog.Carpet, catalog.Moss:
		f := 0.45 // sheared to half its thickness
		if to > 0 && p.h > 0 {
			f = clamp(1-to/p.h, 0, 0.8)
		} else if share > 0 {
			f = min(share, 0.9)
		}
		c.take(p, p.shoot*f)
		if t.form == catalog.Carpet {
			p.loose *= 1 - f // cut low it gets light to its base and roots again
			c.Minutes += minutesCarpet * p.patch
		} else {
			c.Minutes += minutesMoss
		}
	case catalog.Floating:
		f := share
		if f <= 0 {
			f = clamp(1-0.15/max(cover, 1e-9), 0, 0.9) // down to about 15 % of the surface
		}
		c.take(p, p.shoot*min(f, 1))
		c.Minutes += 0.3
	default:
		f := share
		if to > 0 {
			f = clamp(1-math.Pow(to/max(p.h, 1e-6), 1/allometry), 0, 0.5)
			if p.h <= to {
				f = 0
			}
		} else if f <= 0 {
			f = 0.2
		}
		// Never more than a third of a single plant at once, whatever was asked of the whole (common practice, no source).
		c.take(p, p.shoot*min(f, 1.0/3))
		if f > 0 {
			p.plantlets = 0 // flower stalks and leaves with plantlets go first
			c.Minutes += minutesRosette
		}
	}
}

// Reach tells of the plants of a species or planting ("" = of those that need a cut) how high the highest stands over its crown and how
// far the one nearest to the surface is under it, m; ok is false when there is none.
func (s *Stand) Reach(species string) (height, gap float64, ok bool) {
	is := s.named(species)
	cover := s.floatCover()
	gap = math.Inf(1)
	for i := range s.plants {
		p := &s.plants[i]
		if !is(p) || (species == "" && !s.overgrown(p, cover)) {
			continue
		}
		ok = true
		height, gap = max(height, p.h), min(gap, max(s.depth(p)-p.h, 0))
	}
	return height, gap, ok
}

// floatCover is the share of the surface under floating leaves.
func (s *Stand) floatCover() float64 {
	a := s.surface()
	if a <= 0 {
		return 0
	}
	cover := 0.0
	for i := range s.plants {
		if p := &s.plants[i]; p.t.form == catalog.Floating {
			cover += p.area / a
		}
	}
	return cover
}

// replanted is the height of a stem plant that is worth taking up, against the length of the top that is kept: shorter ones stay.
const replanted = 1.3

// ReplantTops takes up the stems of a species ("" = every kind that needs a cut), keeps their tops of the given length (m) and sets those
// in the same place: bare feet, old roots and all side shoots go, and the tops root anew. Columns of the Cut were dug over.
func (s *Stand) ReplantTops(day int, species string, top float64) Cut {
	var c Cut
	is := s.named(species)
	for i := range s.plants {
		p := &s.plants[i]
		if p.t.form != catalog.Stem || !is(p) || (species == "" && !s.overgrown(p, 0)) || p.length < replanted*top {
			continue
		}
		// One top from each of the pot's stems: of the mass over the cut (trim's profile) the share of stems that are set again.
		u := 1 - top/p.length
		over := 1 - (0.6*u+0.4*u*u)*0.5 - 0.5*u
		keep := over * min(p.t.stems*p.count/p.stems, 1)
		gone := p.shoot*(1-keep) + p.root
		m := p.part(gone)
		p.lose(m)
		c.Plants++
		c.DryG += gone
		c.FreshG += gone / p.t.dryFresh
		c.Matter = c.Matter.Add(m)
		c.Minutes += minutesReplant * p.count
		for _, b := range p.beds {
			c.Columns = append(c.Columns, int(b.i))
		}
		p.em *= keep
		p.emStart = p.em
		p.shoot *= keep
		p.root = 0
		p.stems = min(p.stems, p.t.stems*p.count)
		p.nodes *= top / p.length
		p.base, p.length, p.cutAt, p.bare = p.stems, top, 0, 0
		p.settle, p.settled = day, false
		p.builtH = -1
		s.shape(&s.desks[0], p)
	}
	s.stake()
	return c
}

// Replace takes out a share of the pots of a species or planting, the poorest first, with all their daughters, and sets new pots of
// the same planting in their places. Plants of the Cut are pots; its columns were dug over. Plants taken out are told in the Cut, what the new pots hold is
// the rest of the change of Stock.
func (s *Stand) Replace(day int, species string, share float64) Cut {
	var c Cut
	is := s.named(species)
	var pots []int
	for i := range s.plants {
		if p := &s.plants[i]; is(p) && strings.Count(p.id, "/") == 1 {
			pots = append(pots, i)
		}
	}
	slices.SortStableFunc(pots, func(a, b int) int {
		return cmp.Compare(s.plants[a].shoot/s.plants[a].count, s.plants[b].shoot/s.plants[b].count)
	})
	pots = pots[:min(int(math.Ceil(clamp(share, 0, 1)*float64(len(pots))-1e-9)), len(pots))]
	if len(pots) == 0 {
		return c
	}
	gone := map[string]bool{}
	var fresh []plant
	sown := map[string]*plan.Planting{}
	for _, pl := range s.plan.Plantings() {
		sown[pl.ID] = pl
	}
	for _, i := range pots {
		p := &s.plants[i]
		pl := sown[p.planting]
		if pl == nil {
			continue
		}
		gone[p.id] = true
		c.Plants++
		c.Minutes += minutesReplace * p.count
		s.number[pl.ID]++
		at := spot{x: p.x, y: p.y, z: p.z, on: p.on, afloat: p.t.form == catalog.Floating}
		fresh = append(fresh, s.pot(day, pl, p.t, at, s.number[pl.ID], p.count, max(pl.Pots, 1)))
	}
	keep := s.plants[:0]
	for i := range s.plants {
		p := &s.plants[i]
		pot := p.id
		if parts := strings.SplitN(p.id, "/", 3); len(parts) > 2 {
			pot = parts[0] + "/" + parts[1]
		}
		if !gone[pot] {
			keep = append(keep, s.plants[i])
			continue
		}
		c.DryG += p.shoot + p.root
		c.FreshG += (p.shoot + p.root) / p.t.dryFresh
		c.Matter = c.Matter.Add(p.matter())
		for _, b := range p.beds {
			c.Columns = append(c.Columns, int(b.i))
		}
	}
	clear(s.plants[len(keep):])
	s.plants = keep
	s.plants = append(s.plants, fresh...)
	s.refresh()
	return c
}

// PullRunners takes out the daughters of a species ("" = of every kind) that stand outside an outline in cm.
func (s *Stand) PullRunners(day int, species string, line []plan.PointCM) Cut {
	var c Cut
	is := s.named(species)
	keep := s.plants[:0]
	for i := range s.plants {
		p := &s.plants[i]
		daughter := strings.Count(p.id, "/") > 1
		if !daughter || !p.t.begets || !is(p) || inside(p.x, p.y, line) {
			keep = append(keep, s.plants[i])
			continue
		}
		c.Plants++
		c.DryG += p.shoot + p.root
		c.FreshG += (p.shoot + p.root) / p.t.dryFresh
		c.Matter = c.Matter.Add(p.matter())
		c.Minutes += minutesRunner
		if p.col >= 0 {
			c.Columns = append(c.Columns, p.col)
		}
	}
	clear(s.plants[len(keep):])
	s.plants = keep
	s.refresh()
	return c
}

// OuterLeaves takes the share of the oldest leaves (at most a quarter) of rosettes, bulbs, lilies and runner
// plants of a species ("" = all that need it).
func (s *Stand) OuterLeaves(day int, species string, share float64) Cut {
	var c Cut
	is := s.named(species)
	for i := range s.plants {
		p := &s.plants[i]
		switch p.t.form {
		case catalog.Rosette, catalog.Bulb, catalog.Lily, catalog.Runner:
			if is(p) && (species != "" || s.overgrown(p, 0)) {
				c.take(p, p.shoot*clamp(share, 0, 0.25))
				p.plantlets = 0
				c.Minutes += minutesRosette
				s.shape(&s.desks[0], p)
			}
		}
	}
	s.stake()
	return c
}

// Thin takes whole plants out until the share of them is gone, youngest first, of one species or of every kind that makes
// runners, daughters or floats (""). Of plants that cannot be told apart it takes the share of each.
func (s *Stand) Thin(day int, species string, share float64) Cut {
	var c Cut
	is := s.named(species)
	share = clamp(share, 0, 1)
	owed := map[*traits]float64{}
	// Daughters are listed after their parents, so the walk from the end meets the youngest first.
	total := map[*traits]float64{}
	for i := range s.plants {
		p := &s.plants[i]
		if is(p) && (species != "" || p.t.begets) {
			total[p.t] += p.count
		}
	}
	for i := range s.plants {
		t := s.plants[i].t
		if n, ok := total[t]; ok {
			owed[t] = share * n
		}
	}
	gone := make([]bool, len(s.plants))
	for i := len(s.plants) - 1; i >= 0; i-- {
		p := &s.plants[i]
		o := owed[p.t]
		if o < 0.5 || !is(p) {
			continue
		}
		if o >= p.count-0.5 {
			owed[p.t] = o - p.count
			gone[i] = true
			c.Plants++
			c.DryG += p.shoot + p.root
			c.FreshG += (p.shoot + p.root) / p.t.dryFresh
			c.Matter = c.Matter.Add(p.matter())
		} else {
			f := o / p.count
			owed[p.t] = 0
			m := p.part(f * (p.shoot + p.root))
			p.lose(m)
			c.Plants++
			c.DryG += f * (p.shoot + p.root)
			c.FreshG += f * (p.shoot + p.root) / p.t.dryFresh
			c.Matter = c.Matter.Add(m)
			p.shoot *= 1 - f
			p.root *= 1 - f
			p.em *= 1 - f
			p.leaves *= 1 - f
			p.patch *= 1 - f
			p.count -= o
		}
		if p.col >= 0 {
			c.Columns = append(c.Columns, p.col)
		}
		c.Minutes += minutesThin
	}
	keep := s.plants[:0]
	for i := range s.plants {
		if !gone[i] {
			keep = append(keep, s.plants[i])
		}
	}
	clear(s.plants[len(keep):])
	s.plants = keep
	s.refresh()
	return c
}
