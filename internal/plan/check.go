package plan

import (
	"fmt"
	"hash"
	"math"
	"reflect"
	"sort"
	"strings"
	"time"

	"littoral/internal/catalog"
	"littoral/internal/unit"
)

// Bounds of sanity for a tank, our own choice: they catch millimetres written as centimetres, not unusual tanks.
const (
	leastSide   = 10 * unit.CM
	mostSide    = 2000 * unit.CM
	leastGlass  = 2 * unit.MM
	mostGlass   = 300 * unit.MM // acrylic of public aquariums
	mostCorners = 400
	mostPots    = 20000
)

// checker looks at what a plan means, after it was read.
type checker struct {
	*decoder
	p         *Plan
	files     FileReader
	sum       hash.Hash // of the plan and of every file it names
	footprint []PointCM
	ids       map[string]string // id to the path that has it
	pots      int

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
	c.tank()
	c.substrate()
	c.hardscape()
	for i := range c.p.Plants {
		c.planting(&c.p.Plants[i], index("plants", i))
	}
	c.lamps()
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
			c.err("littoral", fmt.Sprintf("this plan is of format version %d, and this program reads version %d", v, Version), "use a newer littoral, or write littoral: 1 if the number is a slip")
		case v < Version:
			c.err("littoral", fmt.Sprintf("there is no plan format version %d", v), "write littoral: 1")
		}
	}
	if c.given("planted") {
		if day, err := time.Parse("2006-01-02", p.Planted); err != nil || day.Year() < 1900 || day.Year() > 2200 {
			c.err("planted", fmt.Sprintf("planted %q is not a date", clip(p.Planted)), "write year, month and day, such as 2027-03-01")
		}
	}
	for i, r := range p.Region {
		if c.given(index("region", i)) && strings.TrimSpace(r) == "" {
			c.err(index("region", i), "this region is empty", "write a region such as EU, or take it out")
		}
	}
}

// id takes note of an item's own name and refuses one that is used twice.
func (c *checker) id(id, path string) {
	if !c.given(path + ".id") {
		return
	}
	if strings.Trim(id, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_") != "" || id == "" || len(id) > 60 {
		c.err(path+".id", fmt.Sprintf("id %q is not a plain name", clip(id)), "write letters, digits and hyphens, such as main-root")
		return
	}
	if first, taken := c.ids[id]; taken {
		c.err(path+".id", fmt.Sprintf("id %q is used twice; the first is %s in line %d", id, first, c.at(first).Line), "give each item an id of its own")
		return
	}
	c.ids[id] = path
}

func (c *checker) tank() {
	t := &c.p.Tank
	in := "tank.inside"
	side := func(key string, l unit.Length) {
		if path := in + "." + key; c.given(path) && (l < leastSide || l > mostSide) {
			c.err(path, fmt.Sprintf("a tank %.3g cm in %s is outside what is planned here, 10 cm to 20 m", cm(l), key), "check the unit")
		}
	}
	side("length", t.Inside.Length)
	side("width", t.Inside.Width)
	side("height", t.Inside.Height)
	side("diameter", t.Inside.Diameter)
	needs := map[string][]string{"box": {"length", "width"}, "cylinder": {"diameter"}, "bow-front": {"length", "width", "bow"}, "polygon": {}}
	if wants, ok := needs[t.Shape]; ok && c.given("tank.shape") && c.given(in) {
		for _, key := range []string{"length", "width", "diameter", "bow"} {
			wanted := false
			for _, w := range wants {
				wanted = wanted || w == key
			}
			path := in + "." + key
			switch {
			case wanted && !c.written(path):
				c.err(in, fmt.Sprintf("a %s has no %s here", t.Shape, key), "add "+key+": 60 cm with the inner measure")
			case !wanted && c.written(path):
				c.err(path, fmt.Sprintf("%s is not a measure of a %s", key, t.Shape), "take it out")
			}
		}
	}
	if t.Shape == "bow-front" && c.given(in+".bow") && c.given(in+".length") {
		if t.Inside.Bow <= 0 || t.Inside.Bow > t.Inside.Length/2 {
			c.err(in+".bow", fmt.Sprintf("a bow of %.3g cm does not fit a front of %.3g cm", cm(t.Inside.Bow), cm(t.Inside.Length)), "write how far the glass bulges in the middle, at most half the length")
		}
	}
	switch {
	case t.Shape == "polygon" && !c.written("tank.outline"):
		c.err("tank", "a polygon tank has no outline", "add outline: [[0,0], [120,0], [120,60], …] with the corners in cm, seen from above")
	case t.Shape != "polygon" && c.given("tank.shape") && c.written("tank.outline"):
		c.err("tank.outline", fmt.Sprintf("an outline belongs to a polygon tank, not to a %s", t.Shape), "take it out, or write shape: polygon")
	case t.Shape == "polygon" && c.readable("tank.outline", len(t.Outline)):
		if c.polygon(t.Outline, "tank.outline") {
			lo, hi := bounds(t.Outline)
			if math.Abs(lo[0]) > edgeCM || math.Abs(lo[1]) > edgeCM {
				c.err("tank.outline", fmt.Sprintf("the outline begins at x = %.4g, y = %.4g, but positions count from its front-left corner", lo[0], lo[1]), "shift it so that its smallest x and y are 0")
			} else if hi[0]-lo[0] > cm(mostSide) || hi[1]-lo[1] > cm(mostSide) {
				c.err("tank.outline", "the outline is more than 20 m across", "write it in centimetres")
			} else {
				c.footprint = t.FootprintCM()
			}
		}
	}
	if t.Shape != "polygon" && c.given("tank.shape") && !c.bad[in+".length"] && !c.bad[in+".width"] && !c.bad[in+".diameter"] && !c.bad[in+".bow"] {
		c.footprint = t.FootprintCM()
	}
	if c.given("tank.water-level") && c.given(in+".height") {
		switch {
		case t.WaterLevel > t.Inside.Height:
			c.err("tank.water-level", fmt.Sprintf("water %.4g cm high does not fit a tank %.4g cm high inside", cm(t.WaterLevel), cm(t.Inside.Height)), "write the height of the water over the bottom glass, 2 to 10 cm below the rim")
		case t.WaterLevel < 5*unit.CM:
			c.err("tank.water-level", fmt.Sprintf("water only %.3g cm high is no aquarium", cm(t.WaterLevel)), "check the unit")
		}
	}
	pane := func(path string, l unit.Length) {
		if c.given(path) && (l < leastGlass || l > mostGlass) {
			c.err(path, fmt.Sprintf("a pane %.5g mm thick is outside what tanks are built of, 2 to 300 mm", float64(l)*1000), "check the unit")
		}
	}
	pane("tank.glass.thickness", t.Glass.Thickness)
	pane("tank.glass.bottom", t.Glass.Bottom)
	r := &c.p.Room
	if c.given("room.temperature") && (r.Temperature < -10 || r.Temperature > 50) {
		c.err("room.temperature", fmt.Sprintf("a room of %.3g °C is outside what is planned here, −10 to 50 °C", float64(r.Temperature)), "check the unit")
	}
}

// readable tells whether a list stands in the file and each of its items could be read.
func (c *checker) readable(path string, n int) bool {
	if !c.given(path) {
		return false
	}
	for i := range n {
		if c.bad[index(path, i)] {
			return false
		}
	}
	return true
}

func bounds(p []PointCM) (lo, hi PointCM) {
	lo, hi = PointCM{math.Inf(1), math.Inf(1)}, PointCM{math.Inf(-1), math.Inf(-1)}
	for _, q := range p {
		for k := range 2 {
			lo[k], hi[k] = min(lo[k], q[k]), max(hi[k], q[k])
		}
	}
	return lo, hi
}

// polygon reports an outline that is not a simple polygon.
func (c *checker) polygon(p []PointCM, path string) bool {
	if n := len(p); n > 3 && p[0] == p[n-1] {
		c.err(index(path, n-1), "the last corner repeats the first", "take it out; an outline closes by itself")
		return false
	}
	switch {
	case len(p) < 3:
		c.err(path, fmt.Sprintf("an outline of %d corners encloses nothing", len(p)), "give at least three corners")
		return false
	case len(p) > mostCorners:
		c.err(path, fmt.Sprintf("an outline of %d corners is finer than any drawing; at most %d are read", len(p), mostCorners), "leave out corners that lie on a line")
		return false
	}
	if i, j, crosses := crossing(p); crosses {
		c.err(path, fmt.Sprintf("the outline crosses or touches itself: the side from corner %d meets the side from corner %d", i+1, j+1), "give the corners in order, walking round the outline once")
		return false
	}
	if math.Abs(area(p)) < 1 {
		c.err(path, "the outline encloses less than 1 cm²", "check the corners")
		return false
	}
	return true
}

// place reports a position outside the glass.
func (c *checker) place(at PointCM, path string) bool {
	if c.footprint == nil {
		return true
	}
	ok := inside(c.footprint, at, edgeCM)
	if d := cm(c.p.Tank.Inside.Diameter); c.p.Tank.Shape == "cylinder" {
		ok = math.Hypot(at[0]-d/2, at[1]-d/2) <= d/2+edgeCM
	}
	if !ok {
		lo, hi := bounds(c.footprint)
		c.err(path, fmt.Sprintf("[%.4g, %.4g] lies outside the glass", at[0], at[1]),
			fmt.Sprintf("inside this tank x runs from %.4g to %.4g and y from %.4g to %.4g cm%s", lo[0], hi[0], lo[1], hi[1],
				map[bool]string{true: "", false: ", within its outline"}[c.p.Tank.Shape == "box"]))
	}
	return ok
}

func (c *checker) places(p []PointCM, path string) bool {
	if !c.readable(path, len(p)) {
		return false
	}
	if len(p) > mostCorners {
		c.err(path, fmt.Sprintf("%d places are more than any drawing has; at most %d are read", len(p), mostCorners), "leave some out, or split the item")
		return false
	}
	ok := true
	for i, q := range p {
		ok = c.place(q, index(path, i)) && ok
	}
	return ok
}

// outline checks that corners lie in the tank and form a simple polygon.
func (c *checker) outline(p []PointCM, path string) {
	if c.places(p, path) {
		c.polygon(p, path)
	}
}

// material checks a name of the catalogue and its class.
func (c *checker) material(name, path, what string, classes ...string) {
	if !c.given(path) {
		return
	}
	m, ok := c.p.Cat.Material(name)
	if !ok {
		c.unknown(path, "material", name)
		return
	}
	for _, class := range classes {
		if strings.Contains(m.Class, class) {
			return
		}
	}
	c.err(path, fmt.Sprintf("%s is a material of class %s, not %s", m.Name, m.Class, what), "choose a material of the right class; \"littoral catalog\" lists them")
}

// unknown reports a name that the catalogue does not have.
func (c *checker) unknown(path, what, name string) {
	message, cure := fmt.Sprintf("%s %q is not in the catalogue", what, clip(name)), "search with \"littoral catalog WORDS\", or add it in a file under catalog:"
	if near := c.suggest(what, name); near != "" {
		message, cure = fmt.Sprintf("%s; did you mean %q?", message, near), "write "+near
	}
	c.err(path, message, cure)
}

func (c *checker) substrate() {
	s := &c.p.Substrate
	even := unit.Length(0)
	for i := range s.Layers {
		l, path := &s.Layers[i], index("substrate.layers", i)
		c.material(l.Material, path+".material", "a bed", "substrate", "additive")
		heights, depth := c.written(path+".heights"), c.written(path+".depth")
		switch {
		case heights && depth:
			c.err(path, "this layer has both heights and depth", "keep one: heights for a sloping surface, depth for an even one")
		case !heights && !depth && c.given(path):
			c.err(path, "this layer has neither heights nor depth", "add depth: 6 cm, or heights: {points: [[0, 0, 4], …]}")
		}
		if c.given(path+".depth") && c.given("tank.inside.height") && l.Depth > c.p.Tank.Inside.Height {
			c.err(path+".depth", fmt.Sprintf("a layer %.4g cm deep is higher than the tank", cm(l.Depth)), "check the unit")
		}
		if c.given(path + ".depth") {
			even += l.Depth
		}
		if l.Heights != nil && c.readable(path+".heights.points", len(l.Heights.Points)) {
			c.heights(l.Heights.Points, path+".heights.points")
		}
	}
	if c.given("tank.inside.height") && even > c.p.Tank.Inside.Height && len(s.Layers) > 1 {
		c.err("substrate.layers", fmt.Sprintf("the layers together are %.4g cm deep, higher than the tank", cm(even)), "check the units")
	}
	if len(s.Layers) == 0 && len(s.Caps) > 0 && c.given("substrate") {
		needsBed := false
		for _, cap := range s.Caps {
			needsBed = needsBed || cap.Replace
		}
		if needsBed {
			c.err("substrate.caps", "a cap replaces the bed below, but there are no layers", "add layers, or take replace out")
		}
	}
	for i := range s.Caps {
		cap, path := &s.Caps[i], index("substrate.caps", i)
		c.material(cap.Material, path+".material", "a bed", "substrate", "additive")
		c.outline(cap.Over, path+".over")
		if c.given(path+".depth") && c.given("tank.inside.height") && cap.Depth > c.p.Tank.Inside.Height {
			c.err(path+".depth", fmt.Sprintf("a cap %.4g cm deep is higher than the tank", cm(cap.Depth)), "check the unit")
		}
	}
}

func (c *checker) heights(points []HeightCM, path string) {
	if len(points) == 0 || len(points) > mostCorners {
		c.err(path, fmt.Sprintf("a surface through %d points cannot be drawn; 1 to %d are read", len(points), mostCorners), "give a few points such as the corners and the highest place")
		return
	}
	rim := cm(c.p.Tank.Inside.Height)
	seen := map[PointCM]float64{}
	for i, h := range points {
		at := index(path, i)
		c.place(PointCM{h[0], h[1]}, at)
		if c.given("tank.inside.height") && (h[2] < 0 || h[2] > rim) {
			c.err(at, fmt.Sprintf("the bed cannot be %.4g cm high in a tank of %.4g cm", h[2], rim), "write a height between 0 and the rim, in cm over the bottom glass")
		}
		if z, twice := seen[PointCM{h[0], h[1]}]; twice && z != h[2] {
			c.err(at, fmt.Sprintf("[%.4g, %.4g] has two heights, %.4g and %.4g", h[0], h[1], z, h[2]), "keep one; a step needs two places at least 1 cm apart")
		}
		seen[PointCM{h[0], h[1]}] = h[2]
	}
}

func (c *checker) hardscape() {
	_, hi := bounds(c.footprint)
	reach := math.Hypot(hi[0], hi[1])
	for i := range c.p.Hardscape {
		h, path := &c.p.Hardscape[i], index("hardscape", i)
		c.id(h.ID, path)
		if c.given(path+".kind") && !c.bad[path+".kind"] {
			c.material(h.Material, path+".material", h.Kind, h.Kind)
		}
		if c.given(path + ".at") {
			c.place(h.At, path+".at")
		}
		if !c.given(path + ".shape") {
			continue
		}
		s, shape := &h.Shape, path+".shape"
		var shapes []string
		for _, key := range []string{"boulder", "slab", "branch", "mesh"} {
			if c.written(shape + "." + key) {
				shapes = append(shapes, key)
			}
		}
		switch {
		case len(shapes) == 0:
			c.err(shape, "the shape is not said", "write one of boulder: {…}, slab: {…}, branch: {…} or mesh: file.obj")
		case len(shapes) > 1:
			c.err(shape, "a piece has one shape, but here are "+strings.Join(shapes, " and "), "keep one")
		case shapes[0] == "mesh" && !c.written(shape+".size"):
			c.err(shape, "a mesh has no size here", "add size: 38 cm, its longest side")
		case shapes[0] != "mesh" && c.written(shape+".size"):
			c.err(shape+".size", "size belongs to a mesh; a "+shapes[0]+" has measures of its own", "take it out")
		}
		long := func(key string, l unit.Length) {
			if c.given(shape+"."+key) && c.footprint != nil && cm(l) > reach {
				c.err(shape+"."+key, fmt.Sprintf("%.4g cm is longer than the tank is from corner to corner", cm(l)), "check the unit")
			}
		}
		if b := s.Boulder; b != nil {
			long("boulder.length", b.Length)
			long("boulder.width", b.Width)
			long("boulder.height", b.Height)
			if r := shape + ".boulder.roughness"; c.given(r) && (b.Roughness < 0 || b.Roughness > 1) {
				c.err(r, fmt.Sprintf("a roughness of %.3g is outside 0 to 1", b.Roughness), "write 0 for a smooth stone, 1 for a strongly facetted one")
			}
			if c.given(path+".sink") && h.Sink >= b.Height && b.Height > 0 {
				c.err(path+".sink", fmt.Sprintf("sunk %.3g cm, this stone of %.3g cm height is buried", cm(h.Sink), cm(b.Height)), "sink it less than its height")
			}
		}
		if b := s.Slab; b != nil {
			long("slab.length", b.Length)
			long("slab.width", b.Width)
			long("slab.thickness", b.Thickness)
		}
		if b := s.Branch; b != nil {
			if l := shape + ".branch.limbs"; c.given(l) && (b.Limbs < 1 || b.Limbs > 30) {
				c.err(l, fmt.Sprintf("%d limbs cannot be drawn", b.Limbs), "write 1 to 30")
			}
			if c.given(shape+".branch.thick") && c.given(shape+".branch.length") && b.Thick > b.Length {
				c.err(shape+".branch.thick", "the trunk is thicker than the root is long", "check the two measures")
			}
		}
		if c.given(shape + ".size") {
			long("size", s.Size)
			if s.Size <= 0 {
				c.err(shape+".size", "the size is zero", "write the longest side, such as 38 cm")
			}
		}
	}
}

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
			c.err(path+".pots", fmt.Sprintf("%d pots cannot be planted", p.Pots), fmt.Sprintf("write 1 to %d", mostPots))
		case c.pots+p.Pots > mostPots:
			c.err(path+".pots", fmt.Sprintf("with these the plan has more than %d pots", mostPots), "plan such a tank in parts")
		case c.places(p.At, path+".at") && len(p.At) != p.Pots:
			c.err(path+".at", fmt.Sprintf("%d places for %d pots", len(p.At), p.Pots), "give one place for each pot, or use in: with an outline")
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
			c.err(at, fmt.Sprintf("a plant with %s %.3g cm is outside what is planned here", q.key, cm(q.l)), "check the unit")
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
		c.warn(path, fmt.Sprintf("%s is planted in the bed, where a buried rhizome rots", s.Name), "tie or glue it to stone or wood with on:, or keep the rhizome above the bed")
	case s.Form == catalog.Floating && !p.Afloat && !hasPlace(s, "background", "midground", "foreground"):
		c.warn(path, fmt.Sprintf("%s floats, but is not planted afloat", s.Name), "write afloat: true")
	case p.Afloat && s.Form != catalog.Floating && !hasPlace(s, "surface", "floating"):
		c.warn(path, fmt.Sprintf("%s is not a floating plant", s.Name), "plant it with in:, along:, at: or on:")
	case tied && s.Form != catalog.Rhizome && s.Form != catalog.Moss && !hasPlace(s, "epiphyte"):
		c.warn(path, fmt.Sprintf("%s roots in a bed and seldom lives tied to stone or wood", s.Name), "plant it with in:, along: or at:")
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
	message, cure := fmt.Sprintf("no hardscape has the id %q", clip(id)), "give the stone or wood this id"
	if near := c.nearestID(id, c.hardscapeIDs); near != "" {
		message, cure = fmt.Sprintf("%s; did you mean %q?", message, near), "write "+near
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
	regions := c.p.Region
	if len(regions) == 0 && c.p.House != nil {
		regions = c.p.House.Region
	}
	for _, n := range s.Notices {
		for _, r := range regions {
			if r = strings.TrimSpace(r); r != "" && sameRegion(r, n.Region) {
				c.warn(path, fmt.Sprintf("%s is %s in %s (noted %s)", s.Name, n.Status, n.Region, n.Noted), "check the local list before ordering, and never release plants or water to the wild")
				break
			}
		}
	}
}

// sameRegion compares regions as words: "US" means "US (some states)" as well.
func sameRegion(a, b string) bool {
	a, b = strings.ToLower(a), strings.ToLower(b)
	return a == b || strings.HasPrefix(b, a+" ") || strings.HasPrefix(a, b+" ")
}

func (c *checker) lamps() {
	lo, hi := bounds(c.footprint)
	for i := range c.p.Lamps {
		l, path := &c.p.Lamps[i], index("lamps", i)
		c.id(l.ID, path)
		if c.given(path+".model") && c.lampModel(l.Model) == nil {
			c.unknown(path+".model", "lamp", l.Model)
		}
		var ways []string
		for _, key := range []string{"model", "ppf", "lumens"} {
			if c.written(path + "." + key) {
				ways = append(ways, key)
			}
		}
		lux := c.written(path + ".lux-per-ppfd")
		switch {
		case len(ways) == 0 && c.given(path):
			c.err(path, "it is not said how much light this lamp gives", "add ppf: 180 µmol/s from its data sheet, or model: with a lamp of the catalogue, or lumens: with lux-per-ppfd:")
		case len(ways) > 1:
			c.err(path, "the light of this lamp is stated in more than one way: "+strings.Join(ways, " and "), "keep one of model, ppf and lumens")
		case ways[0] == "lumens" && !lux:
			c.err(path+".lumens", "lumens tell how bright a lamp looks, not how many photons plants get; the two differ with its spectrum", "add lux-per-ppfd: 70 for white LEDs (60 to 75), or give ppf from the data sheet")
		}
		if at := path + ".lumens"; c.given(at) && (l.Lumens <= 0 || l.Lumens > 1e6) {
			c.err(at, fmt.Sprintf("%.4g lumens is not what a lamp gives", l.Lumens), "write the luminous flux at full power, such as 12000")
		}
		if at := path + ".lux-per-ppfd"; c.given(at) && (l.LuxPerPPFD < 10 || l.LuxPerPPFD > 147) {
			c.err(at, fmt.Sprintf("%.4g lux for each µmol/m²/s is outside what any light gives", l.LuxPerPPFD), "write about 70 for white LEDs, 54 for sunlight")
		}
		if at := path + ".ppf"; c.given(at) && l.PPF <= 0 {
			c.err(at, "the photon flux is zero", "write what the lamp gives at full power; dim it with light-day")
		}
		if at := path + ".beam"; c.given(at) && (l.Beam < 0.05 || l.Beam > math.Pi) {
			c.err(at, fmt.Sprintf("a beam of %.4g° is outside what lamps have, 3° to 180°", float64(l.Beam)*180/math.Pi), "write the full width at half maximum, such as 100°")
		}
		if at := path + ".above-water"; c.given(at) && l.AboveWater > 500*unit.CM {
			c.err(at, fmt.Sprintf("a lamp %.4g cm above the water does not light this tank", cm(l.AboveWater)), "check the unit")
		}
		if at := path + ".at"; c.given(at) && c.footprint != nil {
			const overhang = 50 // cm
			if l.At[0] < lo[0]-overhang || l.At[0] > hi[0]+overhang || l.At[1] < lo[1]-overhang || l.At[1] > hi[1]+overhang {
				c.err(at, fmt.Sprintf("a lamp at [%.4g, %.4g] does not hang over the tank", l.At[0], l.At[1]), fmt.Sprintf("over this tank x runs from %.4g to %.4g and y from %.4g to %.4g cm", lo[0], hi[0], lo[1], hi[1]))
			}
		}
	}
}

// span is the days from until of an item.
type span struct {
	path        string
	from, until unit.Day
}

func (c *checker) spanOf(path string, from, until unit.Day) span {
	s := span{path: path, from: from, until: unit.Day(math.Inf(1))}
	if c.given(path+".from") && from < 0 && c.p.Start.For <= 0 && !c.bad["start.for"] {
		c.err(path+".from", fmt.Sprintf("day %.4g comes before day 0, and the plan has no phase before planting", float64(from)), "write day 0 or later, or add start: {kind: dark, for: 3 weeks}")
	}
	if c.given(path + ".until") {
		s.until = until
	}
	if c.given(path+".until") && !c.bad[path+".from"] && until <= from {
		c.err(path+".until", fmt.Sprintf("%s ends on day %.4g, before it begins on day %.4g", path, float64(until), float64(from)), "write a day after "+map[bool]string{true: "from", false: "day 0, or add from:"}[c.given(path+".from")])
	}
	return s
}

// follow checks that the items of a regime come one after the other. An item without until ends where the next begins.
func (c *checker) follow(spans []span, what string, gaps bool) {
	if gaps && len(spans) > 0 && spans[0].from > 0 && c.given(spans[0].path+".from") {
		c.warn(spans[0].path, fmt.Sprintf("no %s is given before day %.4g; the lamps stay off", what, float64(spans[0].from)), "begin the first one at day 0")
	}
	for i := 1; i < len(spans); i++ {
		a, b := spans[i-1], spans[i]
		if c.bad[a.path+".from"] || c.bad[a.path+".until"] || c.bad[b.path+".from"] || !c.given(a.path) || !c.given(b.path) {
			continue
		}
		end := a.until
		if math.IsInf(float64(end), 1) {
			end = b.from
		}
		switch {
		case b.from <= a.from:
			c.err(b.path, fmt.Sprintf("this %s begins on day %.4g, but the one above begins on day %.4g", what, float64(b.from), float64(a.from)), "list them in order, each with from: the day it begins")
		case b.from < end:
			c.err(b.path, fmt.Sprintf("this %s begins on day %.4g, but the one above lasts until day %.4g", what, float64(b.from), float64(end)), fmt.Sprintf("write from: day %.4g", float64(end)))
		case b.from > end && gaps:
			c.warn(b.path, fmt.Sprintf("no %s is given from day %.4g to day %.4g; the lamps stay off", what, float64(end), float64(b.from)), "let the one above run until this one begins")
		}
	}
}

func (c *checker) regimes() {
	p := c.p
	var spans []span
	for i := range p.LightDay {
		l, path := &p.LightDay[i], index("light-day", i)
		spans = append(spans, c.spanOf(path, l.From, l.Until))
		if c.given(path+".hours") && (l.Hours <= 0 || l.Hours > 24) {
			c.err(path+".hours", fmt.Sprintf("%.4g hours of light do not fit a day", l.Hours), "write hours from on to off, such as 8")
		} else if c.given(path+".ramp") && c.given(path+".hours") && 2*float64(l.Ramp) > l.Hours*3600 {
			c.err(path+".ramp", fmt.Sprintf("dawn and dusk of %.4g min each do not fit %.4g hours of light", float64(l.Ramp)/60, l.Hours), "write a shorter ramp")
		}
	}
	c.follow(spans, "light-day", true)
	if len(p.Lamps) == 0 && len(p.LightDay) > 0 {
		c.warn("light-day", "hours of light are given, but there are no lamps", "add lamps:")
	}
	spans = nil
	for i := range p.CO2 {
		g, path := &p.CO2[i], index("co2", i)
		spans = append(spans, c.spanOf(path, g.From, g.Until))
		if c.given(path+".target") && (g.Target <= 0 || g.Target > 100) {
			c.err(path+".target", fmt.Sprintf("a CO2 target of %.4g mg/L is not one for a tank with life in it", float64(g.Target)), "write 20 to 30 mg/L")
		}
		if c.given(path+".on") && c.given(path+".off") && g.On == g.Off {
			c.err(path+".off", "the gas goes on and off at the same time", "write the hour it goes off")
		}
		if c.given(path+".max-rate") && g.MaxRate <= 0 {
			c.err(path+".max-rate", "the valve gives nothing", "write what it gives at most, such as 60 g/day, or take it out")
		}
	}
	c.follow(spans, "co2", false)
	spans = nil
	for i := range p.Feeding {
		path := index("feeding", i)
		spans = append(spans, c.spanOf(path, p.Feeding[i].From, p.Feeding[i].Until))
	}
	c.follow(spans, "feeding", false)
}

// between reports a quantity outside the bounds of sanity.
func (c *checker) between(path string, x, low, high float64, what, in string) {
	if c.given(path) && (x < low || x > high) {
		if in != "" {
			in = " " + in
		}
		c.err(path, fmt.Sprintf("%s of %.4g%s is outside %.4g to %.4g%s", what, x, in, low, high, in), "check the value and its unit")
	}
}

func (c *checker) water() {
	t := &c.p.Water.Tap
	c.between("water.tap.ph", t.PH, 4, 10.5, "a tap pH", "")
	c.between("water.tap.temperature", float64(t.Temperature), 0, 60, "a tap temperature", "°C")
	c.between("water.tap.alkalinity", unit.DKH(t.Alkalinity), 0, 60, "an alkalinity", "dKH")
	c.between("water.tap.hardness", unit.DGH(t.Hardness), 0, 120, "a hardness", "dGH")
	v := reflect.ValueOf(*t)
	for i := range v.NumField() {
		if f := fieldOf(v.Type().Field(i)); f.ion != "" {
			c.between("water.tap."+f.name, v.Field(i).Float(), 0, 2000, f.name, "mg/L")
		}
	}
	if !c.written("water") {
		c.err("", "the plan does not say what water comes from the tap", "add water: {tap: {alkalinity: 7 dKH, hardness: 12 dGH}}")
	}
	if c.given("water.tap.calcium") && c.given("water.tap.magnesium") && c.given("water.tap.hardness") {
		// mmol/L from mg/L by atomic weights (IUPAC 2021 abridged).
		sum := float64(t.Calcium)/40.078 + float64(t.Magnesium)/24.305
		if h := float64(t.Hardness); math.Abs(sum-h) > 0.15*max(h, sum)+0.1 {
			c.warn("water.tap.hardness", fmt.Sprintf("hardness %.3g dGH does not agree with %.3g dGH from calcium and magnesium", unit.DGH(t.Hardness), unit.DGH(unit.Hardness(sum))), "check the water report")
		}
	}
	for i, s := range c.p.Water.Salts {
		path := index("water.salts", i)
		if c.given(path + ".salt") {
			if _, ok := c.p.Cat.Salt(s.Salt); !ok {
				c.unknown(path+".salt", "salt", s.Salt)
			}
		}
		c.between(path+".dose", float64(s.Dose), 0, 10000, "a dose", "mg/L")
	}
}

func (c *checker) equipment() {
	for i := range c.p.Filter {
		f, path := &c.p.Filter[i], index("filter", i)
		c.id(f.ID, path)
		if c.given(path+".real") && f.Real <= 0 {
			c.err(path+".real", "a filter without flow does not filter", "write the share of the label flow that it gives when clean, such as 65 %")
		}
	}
	if h := c.p.Heater; h != nil {
		c.between("heater.set", float64(h.Set), 4, 40, "a set point", "°C")
	}
	s := &c.p.Start
	switch {
	case c.given("start.kind") && s.Kind == "wet" && c.written("start.for"):
		c.err("start.for", "a wet start has no phase before day 0", "take it out, or write kind: dark or kind: dry")
	case c.given("start.kind") && s.Kind != "wet" && !c.written("start.for"):
		c.err("start", fmt.Sprintf("it is not said how long the %s phase lasts", s.Kind), map[string]string{"dark": "add for: 3 weeks", "dry": "add for: 6 weeks"}[s.Kind])
	case c.given("start.for") && (s.For <= 0 || s.For > 366*unit.Days):
		c.err("start.for", "a phase before planting lasts days to months", "write for example 3 weeks")
	}
	if f := c.p.Found; f != nil {
		if c.written("start") {
			c.err("found", "a tank is either started or found running, but start: and found: are both here", "take one of them out")
		}
		if f.Readings != nil && f.Readings.PH != nil {
			c.between("found.readings.ph", *f.Readings.PH, 4, 10.5, "a pH", "")
		}
		if f.Readings != nil && f.Readings.Temp != nil {
			c.between("found.readings.temperature", float64(*f.Readings.Temp), 2, 45, "a water temperature", "°C")
		}
		if c.given("found.age") && f.Age < 0 {
			c.err("found.age", "the age is negative", "write how long ago the tank was planted")
		}
	}
}

func (c *checker) livestock() {
	for i := range c.p.Livestock {
		s, path := &c.p.Livestock[i], index("livestock", i)
		c.id(s.ID, path)
		c.spanOf(path, s.From, s.Until)
		if c.given(path+".count") && (s.Count < 1 || s.Count > 100000) {
			c.err(path+".count", fmt.Sprintf("%d animals cannot be kept", s.Count), "write how many, at least 1")
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

func (c *checker) bottles() {
	names := map[string]int{}
	for i := range c.p.Bottles {
		b, path := &c.p.Bottles[i], index("bottles", i)
		if c.given(path + ".name") {
			if first, twice := names[b.Name]; twice {
				c.err(path+".name", fmt.Sprintf("bottle %q is listed twice; the first is in line %d", clip(b.Name), c.at(index("bottles", first)).Line), "give each bottle a name of its own")
			}
			names[b.Name] = i
		}
		c.between(path+".density", float64(b.Density), 700, 2500, "a density", "kg/m³")
		c.label(b, path)
	}
}

// careKeys lists which keys belong to which task, beyond every, from, until, at, id and do.
var careKeys = map[string][]string{
	"water-change": {"share"},
	"dose":         {"salts", "bottle", "amount"},
	"trim":         {"species", "to", "share"},
	"thin":         {"species", "share"},
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
		c.onlyKeys(path, k.Do, careKeys[k.Do], "share", "salts", "bottle", "amount", "species", "to", "tablets", "tablet", "where")
		switch k.Do {
		case "water-change":
			c.share(path+".share", k.Share, "a water change")
		case "dose":
			c.dose(k, path)
		case "trim", "thin":
			if c.given(path + ".species") {
				if s, ok := c.p.Cat.Species(k.Species); !ok {
					c.unknown(path+".species", "species", k.Species)
				} else if !planted[s.Name] {
					c.warn(path+".species", fmt.Sprintf("%s is to be cut, but is not planted", s.Name), "check the name, or plant it")
				}
			}
			if k.Do == "trim" && !c.written(path+".to") && !c.written(path+".share") {
				c.err(path, "it is not said how far to trim", "add to: 30 cm, the height that is left, or share: 30 %")
			}
			if c.written(path+".to") && c.written(path+".share") {
				c.err(path, "a trim goes either to a height or by a share", "keep one of to and share")
			}
			if k.Do == "thin" {
				c.share(path+".share", k.Share, "thinning")
			}
		case "root-feed":
			if c.given(path+".tablets") && (k.Tablets < 1 || k.Tablets > 10000) || !c.written(path+".tablets") {
				c.err(path, "it is not said how many root tablets are given", "add tablets: 20")
			}
		}
	}
}

func (c *checker) share(path string, f unit.Fraction, what string) {
	switch {
	case !c.written(path):
		c.err(path, what+" has no share", "add share: 40 %")
	case c.given(path) && f <= 0:
		c.err(path, what+" of nothing does nothing", "write a share above 0 %")
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
			c.err(path+"."+key, fmt.Sprintf("%s means nothing for do: %s", key, do), "take it out")
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
			message, cure := fmt.Sprintf("no bottle is called %q", clip(k.Bottle)), "describe it by its label under bottles:"
			if near := c.nearest(k.Bottle, names); near != "" {
				message, cure = fmt.Sprintf("%s; did you mean %q?", message, near), "write "+near
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
			c.err(at, fmt.Sprintf("a dose of %s that weighs nothing", name), "write for example 6 g")
		}
		k.Grams[s.Formula] += kg * 1000
	}
}

// quantityError reports a quantity inside a map of texts.
func (c *checker) quantityError(path, name string, err error) {
	if u, ok := err.(*unit.Error); ok {
		message := name + ": " + u.Reason
		if strings.HasPrefix(u.Reason, `"`) {
			message = name + " " + u.Reason
		}
		c.err(path, message, u.Cure)
		return
	}
	c.err(path, name+": "+err.Error(), "")
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
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

// eventKeys lists which keys belong to which event, beyond id, on, at and do.
var eventKeys = map[string][]string{
	"replant":       {"remove", "within", "plant", "drain", "fresh"},
	"water-change":  {"drain"},
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
		c.onlyKeys(path, e.Do, eventKeys[e.Do], "remove", "within", "plant", "drain", "fresh", "for")
		need := func(key, cure string) {
			if !c.written(path + "." + key) {
				c.err(path, fmt.Sprintf("%s has no %s", e.Do, key), "add "+cure)
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
			c.share(path+".drain", e.Drain, "a water change")
		}
		for j, name := range e.Remove {
			at := index(path+".remove", j)
			if !c.given(at) {
				continue
			}
			if s, ok := c.p.Cat.Species(name); ok {
				if !planted[s.Name] {
					c.warn(at, fmt.Sprintf("%s is to be taken out, but is not planted", s.Name), "check the name")
				}
				continue
			}
			if !c.plantingID(name) {
				message, cure := fmt.Sprintf("nothing planted is called %q", clip(name)), "write the id of a planting, or the name of a species"
				if near := c.nearestID(name, c.plantingIDs); near != "" {
					message, cure = fmt.Sprintf("%s; did you mean %q?", message, near), "write "+near
				}
				c.err(at, message, cure)
			}
		}
	}
}

// plantingID tells whether a planting of the plan or of an event has this id, given or derived.
func (c *checker) plantingID(id string) bool {
	if c.plantingIDs == nil {
		c.plantingIDs = setOf(derivePlantingIDs(c.p, c.ids))
	}
	return c.plantingIDs[id]
}
