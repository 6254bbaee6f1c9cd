package plan

import (
	"littoral/internal/catalog"
	"littoral/internal/unit"
	"strings"
)

// planting checks one planting of the plan or of an event.
func (c *checker) planting(p *Planting, path string) {
	c.id(p.ID, path)
	var ways []string
	for _, key := range []string{"in", "along", "at", "on", "afloat"} {
		if c.written(path+"."+key) && (key != "afloat" || p.Afloat || c.bad[path+"."+key]) {
			ways = append(ways, key)
		}
	}
	switch {
	case len(ways) == 0 && c.given(path):
		c.err(path, "it is not said where these are planted", "add one of in: outline, along: line, at: places, on: hardscape id, or afloat: true")
	case len(ways) == 2 && ways[0] == "at" && ways[1] == "on": // tied on, in places of their own
		ways = ways[1:]
	case len(ways) > 1:
		c.err(path, "these are planted in more than one way: "+strings.Join(ways, " and "), "keep one of in, along, at, on and afloat, or make two items")
	}
	c.outline(p.In, path+".in")
	if c.places(p.Along, path+".along") && len(p.Along) < 2 {
		c.err(path+".along", "a line needs two points at least", "write [[5, 80], [235, 84]]")
	}
	if c.given(path + ".pots") {
		switch {
		case p.Pots < 1 || p.Pots > mostPots:
			c.err(path+".pots", say("%d pots cannot be planted", p.Pots), say("write 1 to %d", mostPots))
		case c.pots+p.Pots > mostPots:
			c.err(path+".pots", say("with these the plan has more than %d pots", mostPots), "plan such a tank in parts")
		case c.places(p.At, path+".at") && len(p.At) != p.Pots:
			c.err(path+".at", say("%d places for %d pots", len(p.At), p.Pots), "give one place for each pot, or use in: with an outline")
		}
	}
	if p.Pots > 0 && c.pots+p.Pots <= mostPots {
		c.pots += p.Pots
	}
	if c.given(path + ".on") {
		c.stands(p.On, path+".on")
	}
	for _, q := range []struct {
		key string
		l   unit.Length
	}{{"height", p.Height}, {"spread", p.Spread}} {
		if at := path + "." + q.key; c.given(at) && (q.l <= 0 || cm(q.l) > 500) {
			c.err(at, say("a plant with %s %.3g cm is outside what is planned here", q.key, cm(q.l)), "check the unit")
		}
	}
	if c.given(path+".from") && p.From < 0 {
		c.err(path+".from", "a planting cannot come before day 0, the day of planting", "write day 0 or later")
	}
	if !c.given(path + ".species") {
		return
	}
	s, ok := c.p.Cat.Species(p.Species)
	if !ok {
		c.unknown(path+".species", "species", p.Species)
		return
	}
	c.notices(s, path+".species")
	rooted := len(ways) == 1 && (ways[0] == "in" || ways[0] == "along" || ways[0] == "at")
	tied := len(ways) == 1 && ways[0] == "on"
	switch {
	case s.Form == catalog.Rhizome && rooted:
		c.warn(path, say("%s is planted in the bed, where a buried rhizome rots", s.Name), "tie or glue it to stone or wood with on:, or keep the rhizome above the bed")
	case s.Form == catalog.Floating && !p.Afloat && !hasPlace(s, "background", "midground", "foreground"):
		c.warn(path, say("%s floats, but is not planted afloat", s.Name), "write afloat: true")
	case p.Afloat && s.Form != catalog.Floating && !hasPlace(s, "surface", "floating"):
		c.warn(path, say("%s is not a floating plant", s.Name), "plant it with in:, along:, at: or on:")
	case tied && s.Form != catalog.Rhizome && s.Form != catalog.Moss && !hasPlace(s, "epiphyte"):
		c.warn(path, say("%s roots in a bed and seldom lives tied to stone or wood", s.Name), "plant it with in:, along: or at:")
	}
}

func hasPlace(s *catalog.Species, places ...string) bool {
	for _, have := range s.Places {
		for _, p := range places {
			if strings.Contains(have, p) {
				return true
			}
		}
	}
	return false
}

// stands checks that a piece of hardscape of this id is there.
func (c *checker) stands(id, path string) {
	if c.hardscapeIDs == nil {
		c.hardscapeIDs = setOf(deriveHardscapeIDs(c.p.Hardscape, c.ids))
	}
	if c.hardscapeIDs[id] {
		return
	}
	message, cure := say("no hardscape has the id %q", clip(id)), "give the stone or wood this id"
	if near := c.nearestID(id, c.hardscapeIDs); near != "" {
		message, cure = say("%s; did you mean %q?", message, near), "write "+near
	}
	c.err(path, message, cure)
}

// nearestID looks for the id that a mistyped one means, unless there are too many to sort.
func (c *checker) nearestID(id string, known map[string]bool) string {
	if c.full() || len(known) > maxChoice {
		return ""
	}
	return c.nearest(id, sortedKeys(known))
}

func setOf(words []string) map[string]bool {
	set := make(map[string]bool, len(words))
	for _, w := range words {
		set[w] = true
	}
	return set
}

// notices warns of species that a region of the plan bans or watches.
func (c *checker) notices(s *catalog.Species, path string) {
	for _, n := range noticed(s.Notices, c.regions) {
		c.warn(path, say("%s is %s in %s (noted %s)", s.Name, n.Status, n.Region, n.Noted), "check the local list before ordering, and never release plants or water to the wild")
	}
}

func (c *checker) livestock() {
	for i := range c.p.Livestock {
		s, path := &c.p.Livestock[i], index("livestock", i)
		c.id(s.ID, path)
		c.spanOf(path, s.From, s.Until)
		if c.given(path+".count") && (s.Count < 1 || s.Count > 100000) {
			c.err(path+".count", say("%d animals cannot be kept", s.Count), "write how many, at least 1")
		}
		if c.given(path + ".species") {
			if _, ok := c.p.Cat.Animal(s.Species); !ok {
				c.unknown(path+".species", "animal", s.Species)
			}
		}
		if c.given(path+".from") && s.From < 0 && c.p.Start.For > 0 {
			c.err(path+".from", "animals cannot come before day 0, when there is no water for them", "write day 0 or later")
		}
	}
}

// planted is the accepted names of all species that are ever planted.
func (c *checker) planted() map[string]bool {
	names := map[string]bool{}
	note := func(ps []Planting) {
		for i := range ps {
			if s, ok := c.p.Cat.Species(ps[i].Species); ok {
				names[s.Name] = true
			}
		}
	}
	note(c.p.Plants)
	for i := range c.p.Events {
		note(c.p.Events[i].Plant)
	}
	return names
}

// plantingID tells whether a planting of the plan or of an event has this id, given or derived.
func (c *checker) plantingID(id string) bool {
	if c.plantingIDs == nil {
		c.plantingIDs = setOf(derivePlantingIDs(c.p, c.ids))
	}
	return c.plantingIDs[id]
}
