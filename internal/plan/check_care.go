package plan

import (
	"errors"
	"littoral/internal/unit"
	"math"
	"strings"
)

func (c *checker) bottles() {
	names := map[string]int{}
	for i := range c.p.Bottles {
		b, path := &c.p.Bottles[i], index("bottles", i)
		if c.given(path + ".name") {
			if first, twice := names[b.Name]; twice {
				c.err(path+".name", say("bottle %q is listed twice; the first is in line %d", clip(b.Name), c.at(index("bottles", first)).Line), "give each bottle a name of its own")
			}
			names[b.Name] = i
		}
		c.between(path+".density", float64(b.Density), leastBottle, mostBottle, "a density", "kg/m³")
		c.label(b, path)
	}
}

// careKeys lists which keys belong to which task, beyond every, from, until, at, id and do.
var careKeys = map[string][]string{
	"water-change": {"share", "amount"},
	"dose":         {"salts", "bottle", "amount"},
	"trim":         {"species", "to", "share", "shape", "rise", "when"},
	"thin":         {"species", "share", "when"},
	"outer-leaves": {"species", "share", "when"},
	"replant-tops": {"species", "to", "when"},
	"pull-runners": {"species", "within", "when"},
	"replace":      {"species", "share", "when"},
	"root-feed":    {"tablets", "tablet", "where"},
	"filter-clean": {},
	"siphon":       {},
	"glass":        {},
}

func (c *checker) care() {
	planted := c.planted()
	for i := range c.p.Care {
		k, path := &c.p.Care[i], index("care", i)
		c.id(k.ID, path)
		c.spanOf(path, k.From, k.Until)
		if !c.given(path + ".do") {
			continue
		}
		c.onlyKeys(path, k.Do, careKeys[k.Do], "share", "salts", "bottle", "amount", "species", "to", "shape", "rise", "tablets", "tablet", "where", "when", "within")
		c.outline(k.Within, path+".within")
		switch k.Do {
		case "water-change":
			c.change(path, "share", k.Share, k.Amount)
		case "dose":
			c.dose(k, path)
		case "trim", "thin", "outer-leaves", "replant-tops", "pull-runners", "replace":
			if c.given(path + ".species") {
				c.cutOf(k.Species, path+".species", planted)
			}
			if k.Do == "trim" && !c.written(path+".to") && !c.written(path+".share") {
				c.err(path, "it is not said how far to trim", "add to: 30 cm, the height that is left, or share: 30 %")
			}
			if c.written(path+".to") && c.written(path+".share") {
				c.err(path, "a trim goes either to a height or by a share", "keep one of to and share")
			}
			if shaped := c.given(path + ".shape"); shaped && (!c.given(path+".to") || !c.given(path+".rise")) {
				c.err(path+".shape", "a shape needs its lowest height and how far it rises", "add to: 12 cm and rise: 10 cm")
			} else if c.written(path+".rise") && !shaped {
				c.err(path+".rise", "it is not said in which shape the cut rises", "add shape: slope, or shape: dome")
			} else if shaped && (k.Rise <= 0 || k.Rise > 1) {
				c.err(path+".rise", "a cut rises by up to 1 m", "write for example rise: 10 cm")
			}
			if k.Do == "replace" && !c.written(path+".species") {
				c.err(path, "it is not said what is replaced", "add species: with the name of a species or the id of a planting")
			}
			if k.Do == "replace" && c.given(path+".share") && (k.Share <= 0 || k.Share > 1) {
				c.err(path+".share", "a share of the pots lies above 0 and up to 100 %", "write for example share: 50 %")
			}
			if k.Do == "outer-leaves" && c.given(path+".share") && (k.Share <= 0 || k.Share > 0.25) {
				c.err(path+".share", "no more than a quarter of a rosette's leaves come off at once", "write a share above 0 and up to 25 %")
			}
			if k.Do == "replant-tops" && c.given(path+".to") && (k.To < 0.05 || k.To > 0.3) {
				c.err(path+".to", "a top that roots well is 5 to 30 cm long", "write for example to: 10 cm")
			}
			if k.Do == "pull-runners" && !c.written(path+".within") {
				c.err(path, "it is not said where runners may stand", "add within: [[0, 0], [60, 0], [60, 20], [0, 20]], the outline that the species keeps, in cm")
			}
			if k.Do == "thin" {
				c.share(path, "share", k.Share, "thinning")
			}
		case "root-feed":
			if c.given(path+".tablets") && (k.Tablets < 1 || k.Tablets > 10000) || !c.written(path+".tablets") {
				c.err(path, "it is not said how many root tablets are given", "add tablets: 20")
			}
		}
	}
}

// change checks how much water is changed: a share, or a volume that the tank can hold. What stands in the water is not known here, so
// the volume is held against the empty tank; the forecast takes it as a share of the net water.
func (c *checker) change(path, key string, share unit.Fraction, amount unit.Volume) {
	at := path + ".amount"
	switch {
	case c.written(at) && c.written(path+"."+key):
		c.err(at, "a water change is a share or a volume, not both", say("keep one of %s and amount", key))
	case !c.written(at):
		c.share(path, key, share, "a water change")
	case c.given(at) && amount <= 0:
		c.err(at, "a water change of nothing does nothing", "write for example amount: 350 L")
	case c.given(at) && c.footprint != nil && c.p.Tank.WaterLevel > 0:
		if most := math.Abs(area(c.footprint)) * cm(c.p.Tank.WaterLevel) / 1000; float64(amount)*1000 > most {
			c.err(at, say("%.4g L do not fit a tank that holds %.4g L to its water level", float64(amount)*1000, most), "write the volume of one change, less than the tank holds, or a share such as "+key+": 40 %")
		}
	}
}

// cutOf checks what a line of care is about: a species, or one planting by its id.
func (c *checker) cutOf(name, path string, planted map[string]bool) {
	if c.plantingID(name) {
		return
	}
	s, ok := c.p.Cat.Species(name)
	if ok {
		if !planted[s.Name] {
			c.warn(path, say("%s is to be cut, but is not planted", s.Name), "check the name, or plant it")
		}
		return
	}
	message, cure := say("nothing planted is called %q, and no species is", clip(name)), "write the name of a species or the id of a planting"
	near := c.nearestID(name, c.plantingIDs)
	if near == "" {
		near = c.suggest("species", name)
	}
	if near != "" {
		message, cure = say("%s; did you mean %q?", message, near), "write "+near
	}
	c.err(path, message, cure)
}

// share checks the share that a task or event needs.
func (c *checker) share(path, key string, f unit.Fraction, what string) {
	switch {
	case !c.written(path + "." + key):
		c.err(path, what+" has no "+key, "add "+key+": 40 %")
	case c.given(path+"."+key) && f <= 0:
		c.err(path+"."+key, what+" of nothing does nothing", "write a share above 0 %")
	}
}

// onlyKeys reports keys that mean nothing for a task.
func (c *checker) onlyKeys(path, do string, allowed []string, all ...string) {
	for _, key := range all {
		ok := !c.written(path + "." + key)
		for _, a := range allowed {
			ok = ok || a == key
		}
		if !ok {
			c.err(path+"."+key, say("%s means nothing for do: %s", key, do), "take it out")
		}
	}
}

func (c *checker) dose(k *Care, path string) {
	salts, bottle := c.written(path+".salts"), c.written(path+".bottle")
	switch {
	case salts && bottle:
		c.err(path, "a dose is salts or a bottle, not both", "make two items")
	case !salts && !bottle:
		c.err(path, "it is not said what is dosed", "add salts: {KNO3: 6 g}, or bottle: with its name and amount: 20 mL")
	case salts && c.written(path+".amount"):
		c.err(path+".amount", "an amount belongs to a bottle; each salt has its own mass", "take it out")
	case bottle && !c.written(path+".amount"):
		c.err(path, "it is not said how much of the bottle is dosed", "add amount: 20 mL")
	case bottle && c.given(path+".amount") && k.Amount <= 0:
		c.err(path+".amount", "the amount is zero", "write for example 20 mL")
	}
	if c.given(path + ".bottle") {
		var names []string
		found := false
		for _, b := range c.p.Bottles {
			names = append(names, b.Name)
			found = found || b.Name == k.Bottle
		}
		if _, generic := c.p.Cat.Bottle(k.Bottle); !found && !generic {
			message, cure := say("no bottle is called %q", clip(k.Bottle)), "describe it by its label under bottles:"
			if near := c.nearest(k.Bottle, names); near != "" {
				message, cure = say("%s; did you mean %q?", message, near), "write "+near
			}
			c.err(path+".bottle", message, cure)
		}
	}
	if c.given(path+".salts") && len(k.Salts) == 0 {
		c.err(path+".salts", "no salt is named", "write {KNO3: 6 g}")
	}
	k.Grams = map[string]float64{}
	for _, name := range sortedKeys(k.Salts) {
		at := path + ".salts." + name
		s, ok := c.p.Cat.Salt(name)
		if !ok {
			c.unknown(at, "salt", name)
			continue
		}
		kg, err := unit.Parse(unit.KindMass, k.Salts[name])
		if err != nil {
			c.quantityError(at, name, err)
			continue
		}
		if kg <= 0 {
			c.err(at, say("a dose of %s that weighs nothing", name), "write for example 6 g")
		}
		k.Grams[s.Formula] += kg * 1000
	}
}

// quantityError reports a quantity inside a map of texts.
func (c *checker) quantityError(path, name string, err error) {
	var u *unit.Error
	if errors.As(err, &u) {
		message := name + ": " + u.Reason
		if strings.HasPrefix(u.Reason, `"`) {
			message = name + " " + u.Reason
		}
		c.err(path, message, u.Cure)
		return
	}
	c.err(path, name+": "+err.Error(), "")
}

// eventKeys lists which keys belong to which event, beyond id, on, at and do.
var eventKeys = map[string][]string{
	"replant":       {"remove", "within", "plant", "drain", "fresh"},
	"water-change":  {"drain", "amount"},
	"remove":        {"remove", "within", "drain"},
	"plant":         {"plant", "drain", "fresh", "within"},
	"filter-loss":   {"for"},
	"filter-clean":  {},
	"missed-visits": {"for"},
	"power-cut":     {"for"},
}

func (c *checker) events() {
	planted := c.planted()
	for i := range c.p.Events {
		e, path := &c.p.Events[i], index("events", i)
		c.id(e.ID, path)
		for j := range e.Plant {
			c.planting(&e.Plant[j], index(path+".plant", j))
		}
		c.outline(e.Within, path+".within")
		if c.given(path+".on") && e.On < 0 {
			c.err(path+".on", "an event cannot come before day 0, the day of planting", "write day 0 or later")
		}
		if !c.given(path + ".do") {
			continue
		}
		c.onlyKeys(path, e.Do, eventKeys[e.Do], "remove", "within", "plant", "drain", "amount", "fresh", "for")
		need := func(key, cure string) {
			if !c.written(path + "." + key) {
				c.err(path, say("%s has no %s", e.Do, key), "add "+cure)
			}
		}
		switch e.Do {
		case "replant":
			if !c.written(path+".remove") && !c.written(path+".plant") && !c.written(path+".within") {
				c.err(path, "it is not said what is replanted", "add remove: [ids or species] and plant: [plantings]")
			}
		case "remove":
			if !c.written(path+".remove") && !c.written(path+".within") {
				c.err(path, "it is not said what is removed", "add remove: [ids or species], or within: outline")
			}
		case "plant":
			need("plant", "plant: [plantings]")
		case "missed-visits":
			need("for", "for: 3 weeks")
		case "power-cut":
			need("for", "for: 8 h")
		case "water-change":
			c.change(path, "drain", e.Drain, e.Amount)
		}
		for j, name := range e.Remove {
			at := index(path+".remove", j)
			if !c.given(at) {
				continue
			}
			if s, ok := c.p.Cat.Species(name); ok {
				if !planted[s.Name] {
					c.warn(at, say("%s is to be taken out, but is not planted", s.Name), "check the name")
				}
				continue
			}
			if !c.plantingID(name) {
				message, cure := say("nothing planted is called %q", clip(name)), "write the id of a planting, or the name of a species"
				if near := c.nearestID(name, c.plantingIDs); near != "" {
					message, cure = say("%s; did you mean %q?", message, near), "write "+near
				}
				c.err(at, message, cure)
			}
		}
	}
}
