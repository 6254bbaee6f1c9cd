package plan

import (
	"littoral/internal/unit"
	"math"
	"strings"
)

// mostRipples is the largest mean square slope that is taken: that of the open sea in a gale (Cox and Munk 1954: 0.003 + 0.00512 for each m/s).
const mostRipples = 0.1

func (c *checker) tank() {
	t := &c.p.Tank
	in := "tank.inside"
	side := func(key string, l unit.Length) {
		if path := in + "." + key; c.given(path) && (l < leastSide || l > mostSide) {
			c.err(path, say("a tank %.3g cm in %s is outside what is planned here, 10 cm to 20 m", cm(l), key), "check the unit")
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
				c.err(in, say("a %s has no %s here", t.Shape, key), "add "+key+": 60 cm with the inner measure")
			case !wanted && c.written(path):
				c.err(path, say("%s is not a measure of a %s", key, t.Shape), "take it out")
			}
		}
	}
	if t.Shape == "bow-front" && c.given(in+".bow") && c.given(in+".length") {
		if t.Inside.Bow <= 0 || t.Inside.Bow > t.Inside.Length/2 {
			c.err(in+".bow", say("a bow of %.3g cm does not fit a front of %.3g cm", cm(t.Inside.Bow), cm(t.Inside.Length)), "write how far the glass bulges in the middle, at most half the length")
		}
	}
	switch {
	case t.Shape == "polygon" && !c.written("tank.outline"):
		c.err("tank", "a polygon tank has no outline", "add outline: [[0,0], [120,0], [120,60], …] with the corners in cm, seen from above")
	case t.Shape != "polygon" && c.given("tank.shape") && c.written("tank.outline"):
		c.err("tank.outline", say("an outline belongs to a polygon tank, not to a %s", t.Shape), "take it out, or write shape: polygon")
	case t.Shape == "polygon" && c.readable("tank.outline", len(t.Outline)):
		if c.polygon(t.Outline, "tank.outline") {
			lo, hi := bounds(t.Outline)
			switch {
			case math.Abs(lo[0]) > edgeCM || math.Abs(lo[1]) > edgeCM:
				c.err("tank.outline", say("the outline begins at x = %.4g, y = %.4g, but positions count from its front-left corner", lo[0], lo[1]), "shift it so that its smallest x and y are 0")
			case hi[0]-lo[0] > cm(mostSide) || hi[1]-lo[1] > cm(mostSide):
				c.err("tank.outline", "the outline is more than 20 m across", "write it in centimetres")
			default:
				c.footprint = t.FootprintCM()
			}
		}
	}
	if t.Shape != "polygon" && c.given("tank.shape") && !c.bad[in+".length"] && !c.bad[in+".width"] && !c.bad[in+".diameter"] && !c.bad[in+".bow"] {
		c.footprint = t.FootprintCM()
	}
	if c.given("tank.hood") && (t.Hood < 0 || t.Hood > 2) {
		c.err("tank.hood", say("a hood %.4g cm high is outside 0 to 200 cm", cm(t.Hood)), "write how far its opaque rim stands above the water")
	}
	if c.given("tank.ripples") && !(t.Ripples >= 0 && t.Ripples <= mostRipples) {
		c.err("tank.ripples", say("a mean square slope of %.4g is outside 0 to %g", t.Ripples, mostRipples), "write 0 for a still surface, 0.002 for gentle ripples, 0.02 under a strong outlet")
	}
	if c.given("tank.water-level") && c.given(in+".height") {
		switch {
		case t.WaterLevel > t.Inside.Height:
			c.err("tank.water-level", say("water %.4g cm high does not fit a tank %.4g cm high inside", cm(t.WaterLevel), cm(t.Inside.Height)), "write the height of the water over the bottom glass, 2 to 10 cm below the rim")
		case t.WaterLevel < 5*unit.CM:
			c.err("tank.water-level", say("water only %.3g cm high is no aquarium", cm(t.WaterLevel)), "check the unit")
		}
	}
	pane := func(path string, l unit.Length) {
		if c.given(path) && (l < leastGlass || l > mostGlass) {
			c.err(path, say("a pane %.5g mm thick is outside what tanks are built of, 2 to 300 mm", float64(l)*1000), "check the unit")
		}
	}
	pane("tank.glass.thickness", t.Glass.Thickness)
	pane("tank.glass.bottom", t.Glass.Bottom)
	r := &c.p.Room
	if c.given("room.temperature") && (r.Temperature < -10 || r.Temperature > 50) {
		c.err("room.temperature", say("a room of %.3g °C is outside what is planned here, −10 to 50 °C", float64(r.Temperature)), "check the unit")
	}
	if c.given("room.hottest") && (r.Hottest < 1 || r.Hottest > 12) {
		c.err("room.hottest", say("month %d is none", r.Hottest), "write the number of the hottest month, 1 to 12")
	}
	if !c.given("room.summer") {
		if c.given("room.hottest") {
			c.warn("room.hottest", "a hottest month means nothing without the temperature of that month", "add summer:")
		}
		return
	}
	room := defaultRoomTemperature
	if c.given("room.temperature") {
		room = r.Temperature
	}
	switch {
	case r.Summer < -10 || r.Summer > 50:
		c.err("room.summer", say("a room of %.3g °C is outside what is planned here, −10 to 50 °C", float64(r.Summer)), "check the unit")
	case r.Summer < room:
		c.err("room.summer", say("the hottest month, %.3g °C, is colder than the coldest, %.3g °C", float64(r.Summer), float64(room)), "write the mean of the hottest month under summer and that of the coldest under temperature")
	case c.p.Planted == "":
		c.err("room.summer", "a summer means nothing while the plan does not say when it is planted", "add planted: with year, month and day, such as 2027-03-01")
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
	c.err(path, say("%s is a material of class %s, not %s", m.Name, m.Class, what), say("choose a material of the right class; \"littoral catalog %s\" lists them", classes[0]))
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
			c.err(path+".depth", say("a layer %.4g cm deep is higher than the tank", cm(l.Depth)), "check the unit")
		}
		if c.given(path + ".depth") {
			even += l.Depth
		}
		if l.Heights != nil && c.readable(path+".heights.points", len(l.Heights.Points)) {
			c.heights(l.Heights.Points, path+".heights.points")
		}
	}
	if c.given("tank.inside.height") && even > c.p.Tank.Inside.Height && len(s.Layers) > 1 {
		c.err("substrate.layers", say("the layers together are %.4g cm deep, higher than the tank", cm(even)), "check the units")
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
			c.err(path+".depth", say("a cap %.4g cm deep is higher than the tank", cm(cap.Depth)), "check the unit")
		}
	}
}

func (c *checker) heights(points []HeightCM, path string) {
	if len(points) == 0 || len(points) > mostCorners {
		c.err(path, say("a surface through %d points cannot be drawn; 1 to %d are read", len(points), mostCorners), "give a few points such as the corners and the highest place")
		return
	}
	rim := cm(c.p.Tank.Inside.Height)
	seen := map[PointCM]float64{}
	for i, h := range points {
		at := index(path, i)
		c.place(PointCM{h[0], h[1]}, at)
		if c.given("tank.inside.height") && (h[2] < 0 || h[2] > rim) {
			c.err(at, say("the bed cannot be %.4g cm high in a tank of %.4g cm", h[2], rim), "write a height between 0 and the rim, in cm over the bottom glass")
		}
		if z, twice := seen[PointCM{h[0], h[1]}]; twice && z != h[2] {
			c.err(at, say("[%.4g, %.4g] has two heights, %.4g and %.4g", h[0], h[1], z, h[2]), "keep one; a step needs two places at least 1 cm apart")
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
				c.err(shape+"."+key, say("%.4g cm is longer than the tank is from corner to corner", cm(l)), "check the unit")
			}
		}
		if b := s.Boulder; b != nil {
			long("boulder.length", b.Length)
			long("boulder.width", b.Width)
			long("boulder.height", b.Height)
			if r := shape + ".boulder.roughness"; c.given(r) && (b.Roughness < 0 || b.Roughness > 1) {
				c.err(r, say("a roughness of %.3g is outside 0 to 1", b.Roughness), "write 0 for a smooth stone, 1 for a strongly facetted one")
			}
			if c.given(path+".sink") && h.Sink >= b.Height && b.Height > 0 {
				c.err(path+".sink", say("sunk %.3g cm, this stone of %.3g cm height is buried", cm(h.Sink), cm(b.Height)), "sink it less than its height")
			}
		}
		if b := s.Slab; b != nil {
			long("slab.length", b.Length)
			long("slab.width", b.Width)
			long("slab.thickness", b.Thickness)
		}
		if b := s.Branch; b != nil {
			if l := shape + ".branch.limbs"; c.given(l) && (b.Limbs < 1 || b.Limbs > 30) {
				c.err(l, say("%d limbs cannot be drawn", b.Limbs), "write 1 to 30")
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
