package plan

import (
	"hash"
	"littoral/internal/unit"
	"sort"
	"strings"
	"time"
)

// Bounds of sanity for a tank, our own choice: they catch millimetres written as centimetres, not unusual tanks.
const (
	leastSide   = 10 * unit.CM
	mostSide    = 2000 * unit.CM
	leastGlass  = 2 * unit.MM
	mostGlass   = 300 * unit.MM // acrylic of public aquariums
	mostCorners = 400
	mostPots    = 20000
	leastBottle = 700  // kg/m³
	mostBottle  = 3000 // kg/m³, beyond any solution
)

// checker looks at what a plan means, after it was read.
type checker struct {
	*decoder
	p         *Plan
	files     FileReader
	sum       hash.Hash           // of the plan and of every file it names
	before    map[string]readMesh // meshes of the plan as it was read before, when its files are the same
	read      map[string]readMesh
	footprint []PointCM
	ids       map[string]string // id to the path that has it
	pots      int
	regions   []string // of the plan or the house, as the notices name them

	hardscapeIDs, plantingIDs map[string]bool // given and derived, filled when first asked for
}

// given tells whether an item stands in the file and could be read.
func (c *checker) given(path string) bool {
	_, ok := c.pos[path]
	return ok && !c.bad[path]
}

// written tells whether an item stands in the file, readable or not.
func (c *checker) written(path string) bool {
	_, ok := c.pos[path]
	return ok || c.bad[path]
}

// at finds where an item, or what it belongs to, stands.
func (c *checker) at(path string) Position {
	for {
		if p, ok := c.pos[path]; ok {
			return p
		}
		i := strings.LastIndexAny(path, ".[")
		if i < 0 {
			return c.pos[""]
		}
		path = path[:i]
	}
}

func (c *checker) err(path, message, cure string) {
	c.add(SeverityError, path, c.at(path), message, cure)
}

func (c *checker) warn(path, message, cure string) {
	c.add(SeverityWarning, path, c.at(path), message, cure)
}

// all runs every check, so that a file tells all that is wrong with it in one go.
func (c *checker) all() {
	c.ids = map[string]string{}
	c.head()
	c.catalogues()
	c.region()
	c.tank()
	c.substrate()
	c.hardscape()
	for i := range c.p.Plants {
		c.planting(&c.p.Plants[i], index("plants", i))
	}
	c.lamps()
	c.marks("views", c.p.Views)
	c.marks("marks", c.p.Marks)
	c.daylight()
	c.optics()
	c.regimes()
	c.water()
	c.equipment()
	c.livestock()
	c.bottles()
	c.care()
	c.events()
	c.prices()
	c.meshes()
}

func (c *checker) head() {
	p := c.p
	if c.given("littoral") {
		switch v := p.Littoral; {
		case v > Version:
			c.err("littoral", say("this plan is of format version %d, and this program reads version %d", v, Version), "use a newer littoral, or write littoral: 1 if the number is a slip")
		case v < Version:
			c.err("littoral", say("there is no plan format version %d", v), "write littoral: 1")
		}
	}
	if c.given("planted") {
		if day, err := time.Parse("2006-01-02", p.Planted); err != nil || day.Year() < 1900 || day.Year() > 2200 {
			c.err("planted", say("planted %q is not a date", clip(p.Planted)), "write year, month and day, such as 2027-03-01")
		}
	}
}

// id takes note of an item's own name and refuses one that is used twice.
func (c *checker) id(id, path string) {
	if !c.given(path + ".id") {
		return
	}
	if strings.Trim(id, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_") != "" || id == "" || len(id) > 60 {
		c.err(path+".id", say("id %q is not a plain name", clip(id)), "write letters, digits and hyphens, such as main-root")
		return
	}
	if first, taken := c.ids[id]; taken {
		c.err(path+".id", say("id %q is used twice; the first is %s in line %d", id, first, c.at(first).Line), "give each item an id of its own")
		return
	}
	c.ids[id] = path
}

// unknown reports a name that the catalogue does not have.
func (c *checker) unknown(path, what, name string) {
	message, cure := say("%s %q is not in the catalogue", what, clip(name)), "search with \"littoral catalog WORDS\", or add it in a file under catalog:"
	if what != "species" {
		cure = say("list what there is with \"littoral catalog %s\", or add it in a file under catalog:", what)
	}
	if near := c.suggest(what, name); near != "" {
		message, cure = say("%s; did you mean %q?", message, near), "write "+near
		if strings.ContainsAny(near, ",:#[]{}") { // such a name needs its quotes between braces
			cure = say("write %q, with the quotes", near)
		}
	}
	c.err(path, message, cure)
}

// between reports a quantity outside the bounds of sanity.
func (c *checker) between(path string, x, low, high float64, what, in string) {
	if c.given(path) && (x < low || x > high) {
		if in != "" {
			in = " " + in
		}
		c.err(path, say("%s of %.4g%s is outside %.4g to %.4g%s", what, x, in, low, high, in), "check the value and its unit")
	}
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}
