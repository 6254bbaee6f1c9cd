package plan

import (
	"math"
)

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
		c.err(path, say("an outline of %d corners encloses nothing", len(p)), "give at least three corners")
		return false
	case len(p) > mostCorners:
		c.err(path, say("an outline of %d corners is finer than any drawing; at most %d are read", len(p), mostCorners), "leave out corners that lie on a line")
		return false
	}
	if i, j, crosses := crossing(p); crosses {
		c.err(path, say("the outline crosses or touches itself: the side from corner %d meets the side from corner %d", i+1, j+1), "give the corners in order, walking round the outline once")
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
		c.err(path, say("[%.4g, %.4g] lies outside the glass", at[0], at[1]),
			say("inside this tank x runs from %.4g to %.4g and y from %.4g to %.4g cm%s", lo[0], hi[0], lo[1], hi[1],
				map[bool]string{true: "", false: ", within its outline"}[c.p.Tank.Shape == "box"]))
	}
	return ok
}

func (c *checker) places(p []PointCM, path string) bool {
	if !c.readable(path, len(p)) {
		return false
	}
	if len(p) > mostCorners {
		c.err(path, say("%d places are more than any drawing has; at most %d are read", len(p), mostCorners), "leave some out, or split the item")
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

// farCM is how far from the tank one looks at it: further away nobody sees a plant.
const farCM = 5000

// marks checks the places to look or photograph from. They lie outside the glass as a rule.
func (c *checker) marks(list string, marks []Mark) {
	for i := range marks {
		m, path := &marks[i], index(list, i)
		c.id(m.ID, path)
		for key, at := range map[string]PointCM{"at": m.At, "toward": m.Toward} {
			if p := path + "." + key; c.given(p) && (math.Abs(at[0]) > farCM || math.Abs(at[1]) > farCM) {
				c.err(p, say("[%.4g, %.4g] is more than %d m away", at[0], at[1], farCM/100), "write [x, y] in cm from the front-left inside corner")
			}
		}
		c.between(path+".height", cm(m.Height), 0, farCM, "a height", "cm")
		c.between(path+".aim", cm(m.Aim), 0, farCM, "a height", "cm")
	}
}
