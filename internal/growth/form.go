package growth

import (
	"littoral/internal/catalog"
	"math"
)

// Leaves seen from above hide the share 1 − e^{−a·L} of the ground at a leaf area index L: a is 1 for leaves at random, and more
// where leaves avoid each other, as in carpets (common practice, no source). fullCover is the index at which nine tenths of the
// ground under a carpet are hidden.
const (
	mosaic    = 1.3
	fullCover = 1.77
)

// allometry is how height and spread go with mass: a cube root for bodies that keep their shape, somewhat more because large leaves
// are also thicker; range 0.33 to 0.45, common practice, no source.
const allometry = 0.4

// thick is by how much less leaf area leaves made in air have for their mass (common practice, no source: they are thicker).
const thick = 0.35

// refresh brings heights, footprints and ground taken up to date after plants came, went, grew or were cut.
func (s *Stand) refresh() {
	s.blocks(func(hand *desk, _ *tally, lo, hi int) {
		for i := lo; i < hi; i++ {
			s.shape(hand, &s.plants[i])
		}
	})
	s.stake()
}

// stake adds up the ground that plants hold.
func (s *Stand) stake() {
	clear(s.taken)
	for i := range s.plants {
		p := &s.plants[i]
		for _, b := range p.beds {
			s.taken[b.i] += b.w * p.holds
		}
	}
}

// depth is how much water stands above a plant's crown.
func (s *Stand) depth(p *plant) float64 {
	return max(s.model.Tank.WaterLevel-p.z, s.vox.Cell/2)
}

// shape works out height, spread and leaf area from mass and form, and lays out the footprint anew when they have changed.
//
// A rosette's height and spread grow as its mass to the power allometry up to the species' largest; in dim light it is taller and
// narrower, in bright light lower and wider.
func (s *Stand) shape(hand *desk, p *plant) {
	t := p.t
	p.area = t.sla * (p.shoot - thick*min(p.em, p.shoot))
	depth := s.depth(p)
	one := p.shoot / p.count
	tall := 1.15 - 0.3*p.habit // habit 0.5 is the light the species is at home in
	r := power(one/t.full, allometry)
	wide := math.Sqrt(p.count)
	extra := 0.0 // m of stem or leaf that lies along the surface
	switch t.form {
	case catalog.Stem:
		p.h = min(p.length, depth)
		extra = p.length - p.h
		// Stems are set a few cm apart: a pot's worth takes its share of the ground, or the span of its leaves where that is more.
		p.spread = max(0.95*math.Sqrt(4/math.Pi*t.territory), 0.5*(t.sMin+t.sMax))*wide + extra
	case catalog.Carpet:
		dense := p.area / max(p.patch, 1e-6)
		p.h = min(0.5*t.hMin+(t.hMax-0.5*t.hMin)*clamp(dense/4, 0, 1.2)*tall, depth)
		p.spread = 2 * math.Sqrt(p.patch/math.Pi)
	case catalog.Floating:
		p.h = min(t.hMax, depth)
		p.spread = 2 * math.Sqrt(p.area/math.Pi)
	default:
		full := t.hMax * r * tall
		p.h = min(full, depth)
		extra = full - p.h
		lying := 0.3 * extra // leaves bend over; ribbons lie along the surface
		if t.form == catalog.Runner {
			lying = extra
		}
		p.spread = t.sMax*r*(2-tall)*wide + lying
	}
	p.h = max(p.h, 0.002)
	p.spread = max(p.spread, 0.004)
	// The footprint is laid out anew when it is off by a third of a cell or by 5 %, whichever is more.
	off := func(now, then float64) bool { return math.Abs(now-then) > max(s.vox.Cell/3, 0.05*now) }
	if len(p.cells) == 0 || off(p.h, p.builtH) || off(p.spread, p.builtS) || off(extra, p.builtE) {
		p.builtH, p.builtS, p.builtE = p.h, p.spread, extra
		s.footprint(hand, p, extra)
	}
	p.holds = p.ground()
}

// ground is the area of bed that a plant holds against others, m².
func (p *plant) ground() float64 {
	switch p.t.form {
	case catalog.Carpet:
		return p.patch * min(1, p.area/p.patch/1.2)
	case catalog.Stem:
		return p.stems * p.count * 4e-4
	case catalog.Runner:
		return p.count / thinnest((p.shoot+p.root)/p.count)
	case catalog.Floating:
		return 0
	}
	return 0.15 * p.spread * p.spread
}

// weight is the leaf area density of a form at the relative height u (0 crown, 1 top), up to a factor.
func (p *plant) weight(u float64) float64 {
	switch p.t.form {
	case catalog.Stem:
		if u*p.builtH < p.bare {
			return 0.02
		}
		return 0.6 + 0.8*u
	case catalog.Rosette, catalog.Rhizome:
		return 0.5 + u
	case catalog.Lily:
		return 0.2 + 2*u
	}
	return 1
}

// footprint lays a plant's leaf area over the voxels: a disc as wide as its spread, from the crown up to its top, by the profile
// of its form; what is longer than the water is deep lies along the surface in the top layer. Voxels of ground, stone and wood take none.
func (s *Stand) footprint(hand *desk, p *plant, extra float64) {
	v := s.vox
	p.cells, p.beds, p.layers = p.cells[:0], p.beds[:0], p.layers[:0]
	p.stale = true
	if v.NX == 0 || v.NY == 0 || v.NZ == 0 {
		return
	}
	plane := v.NX * v.NY
	iz0 := min(max(int(math.Floor(p.z/v.Cell)), 0), v.NZ-1)
	iz1 := min(max(int(math.Ceil((p.z+p.h)/v.Cell-1e-9))-1, iz0), v.NZ-1)
	if p.t.form == catalog.Floating {
		iz0, iz1 = v.NZ-1, v.NZ-1
	}
	along := 0.0
	if extra > 0 {
		along = extra / (extra + p.h)
	}
	hand.disc = s.disc(hand.disc[:0], p, max(p.spread-extra, 0.5*p.spread, 0.004)/2)
	total := 0.0
	for iz := iz0; iz <= iz1; iz++ {
		lo, hi := max(float64(iz)*v.Cell, p.z), min(float64(iz+1)*v.Cell, p.z+p.h)
		w := 1.0
		if hi > lo {
			w = (hi - lo) / p.h * p.weight(((lo+hi)/2-p.z)/p.h) * (1 - along)
		}
		if iz == iz1 && along > 0 {
			w += along
			hand.disc = s.disc(hand.disc[:0], p, p.spread/2) // only the top lies along the surface
		}
		n0, sum := len(p.cells), 0.0
		for _, c := range hand.disc {
			if i := iz*plane + int(c.i); !v.Solid[i] {
				p.cells = append(p.cells, leafShare{int32(i), float32(w) * c.w})
				sum += w * float64(c.w)
			}
		}
		if n := len(p.cells) - n0; n > 0 {
			total += sum
			p.layers = append(p.layers, layer{w: sum, n: n})
		}
	}
	if len(p.cells) == 0 { // wedged between stones: the first free voxel above the crown, or the top one
		ix, iy := min(max(int(p.x/v.Cell), 0), v.NX-1), min(max(int(p.y/v.Cell), 0), v.NY-1)
		iz := iz0
		for iz < v.NZ-1 && v.Solid[iz*plane+iy*v.NX+ix] {
			iz++
		}
		p.cells = append(p.cells, leafShare{int32(iz*plane + iy*v.NX + ix), 1})
		p.layers = append(p.layers, layer{w: 1, n: 1})
		total = 1
	}
	one := float32(1 / total)
	for i := range p.cells {
		p.cells[i].w *= one
	}
	for i := range p.layers {
		p.layers[i].w /= total
	}
	s.seenFromAbove(hand, p)
	s.rootDisc(p)
	s.sample(p)
}

// disc appends the columns of voxels under a disc of radius r about a plant, each with the share of it that lies inside, by how
// deep its middle lies inside the rim. Plants smaller than a cell are shared out by nearness.
func (s *Stand) disc(out []leafShare, p *plant, r float64) []leafShare {
	v := s.vox
	ix0, ix1 := max(int(math.Floor((p.x-r)/v.Cell-0.5)), 0), min(int(math.Ceil((p.x+r)/v.Cell+0.5)), v.NX-1)
	iy0, iy1 := max(int(math.Floor((p.y-r)/v.Cell-0.5)), 0), min(int(math.Ceil((p.y+r)/v.Cell+0.5)), v.NY-1)
	for iy := iy0; iy <= iy1; iy++ {
		dy := (float64(iy)+0.5)*v.Cell - p.y
		for ix := ix0; ix <= ix1; ix++ {
			dx := (float64(ix)+0.5)*v.Cell - p.x
			in := (r-math.Sqrt(dx*dx+dy*dy))/v.Cell + 0.5
			if r < v.Cell/2 {
				in = max(1-math.Abs(dx)/v.Cell, 0) * max(1-math.Abs(dy)/v.Cell, 0)
			}
			if in > 0 {
				out = append(out, leafShare{int32(iy*v.NX + ix), float32(min(in, 1))})
			}
		}
	}
	return out
}

// seenFromAbove sums a plant's leaf area over each column of voxels.
func (s *Stand) seenFromAbove(hand *desk, p *plant) {
	plane := s.vox.NX * s.vox.NY
	if len(hand.at) != plane {
		hand.at = make([]int32, plane)
	}
	p.above = p.above[:0]
	k := 0
	for _, l := range p.layers {
		base := int32(int(p.cells[k].i) / plane * plane)
		for _, c := range p.cells[k : k+l.n] {
			col := c.i - base
			if hand.at[col] == 0 {
				p.above = append(p.above, leafShare{i: col})
				hand.at[col] = int32(len(p.above))
			}
			p.above[hand.at[col]-1].w += c.w
		}
		k += l.n
	}
	for _, c := range p.above {
		hand.at[c.i] = 0
	}
}

// rootDisc lists the root columns under a plant: roots reach as far as the leaves, at least one column.
func (s *Stand) rootDisc(p *plant) {
	if p.col < 0 {
		return
	}
	c := s.cols
	r := 0.5 * min(p.spread, 0.5)
	if p.t.form == catalog.Stem {
		r = 0.5 * min(p.spread, 0.1)
	}
	ix0, ix1 := max(int(math.Floor((p.x-r)/c.Cell)), 0), min(int(math.Floor((p.x+r)/c.Cell)), c.NX-1)
	iy0, iy1 := max(int(math.Floor((p.y-r)/c.Cell)), 0), min(int(math.Floor((p.y+r)/c.Cell)), c.NY-1)
	total := 0.0
	for iy := iy0; iy <= iy1; iy++ {
		dy := (float64(iy)+0.5)*c.Cell - p.y
		for ix := ix0; ix <= ix1; ix++ {
			dx := (float64(ix)+0.5)*c.Cell - p.x
			i := iy*c.NX + ix
			if c.Area[i] <= 0 {
				continue
			}
			if in := min((r-math.Sqrt(dx*dx+dy*dy))/c.Cell+0.5, 1); in > 0 {
				p.beds = append(p.beds, share{int32(i), in * c.Area[i]})
				total += in * c.Area[i]
			}
		}
	}
	if total == 0 {
		if c.Area[p.col] > 0 {
			p.beds = append(p.beds, share{int32(p.col), 1})
		}
		return
	}
	for i := range p.beds {
		p.beds[i].w /= total
	}
}
