package growth

import (
	"littoral/internal/catalog"
	"math"
)

// floatOpaque is the share of light that leaves afloat stop where they lie (trade: 70–90 % shade below; common practice, no source).
const floatOpaque = 0.85

// driftDays is over how many days a plant's drift is smoothed, enough to pass over single days of hunger or melt (our own choice).
const driftDays = 5

// Canopy writes the extinction by leaves of every voxel, 1/m along the light's path (projected leaf area × extinction coefficient
// / voxel volume), and the share of light that floating leaves stop by column iy*NX+ix of the voxels. Both slices are overwritten, and
// the Stand reads them from the next SetLight to the one after it.
func (s *Stand) Canopy(leaf, cover []float64) { s.canopy(leaf, cover, 0) }

// CanopyAhead is Canopy as it will stand, if every plant keeps its pace, at the middle of the time in which the given share of the
// leaf area changes, or of the given days if that is shorter, from late days on. Light that is solved for it and kept over the whole of that time errs
// first on one side and then on the other, where light solved for the leaves of today would be too bright on every day that follows.
func (s *Stand) CanopyAhead(leaf, cover []float64, share, days, late float64) {
	moving, area := 0.0, 0.0
	for i := range s.plants {
		p := &s.plants[i]
		moving += math.Abs(p.drift) * p.area
		area += p.area
	}
	if moving*days > share*area {
		days = share * area / moving
	}
	s.canopy(leaf, cover, days/2+late)
}

// mostAhead bounds the logarithm by which CanopyAhead lets the leaf area of a single plant change; our own choice.
const mostAhead = 0.2

// canopy is the arguments of a Canopy.
type canopy struct{ leaf, cover []float64 }

// canopy is Canopy after some days at the plants' pace.
func (s *Stand) canopy(leaf, cover []float64, days float64) {
	v := s.vox
	s.told = canopy{leaf, cover}
	clear(leaf)
	clear(cover)
	vol := v.Cell * v.Cell * v.Cell
	for i := range s.plants {
		p := &s.plants[i]
		area := p.area
		if days > 0 {
			area *= math.Exp(clamp(p.drift*days, -mostAhead, mostAhead))
		}
		if p.t.form == catalog.Floating {
			a := area / (v.Cell * v.Cell)
			for _, c := range p.above {
				cover[c.i] += a * float64(c.w)
			}
			continue
		}
		a := area * p.t.ext / vol
		for _, c := range p.cells {
			leaf[c.i] += a * float64(c.w)
		}
	}
	s.jostle(cover)
	for i := range s.plants {
		p := &s.plants[i]
		p.litArea, p.litH, p.litS = p.area, p.h, p.spread
	}
	s.litArea = s.LeafArea()
}

// jostle turns leaf area afloat per area of each column into the share of light stopped. Floating plants push each other aside:
// what is too much for its column covers open water elsewhere.
func (s *Stand) jostle(cover []float64) {
	v := s.vox
	over, open := 0.0, 0.0
	for i, g := range v.GroundIZ {
		if g < v.NZ {
			over += max(cover[i]-1, 0)
			open += max(1-cover[i], 0)
		}
	}
	fill := 0.0
	if over > 0 && open > 0 {
		fill = min(over/open, 1)
	}
	for i, g := range v.GroundIZ {
		a := min(cover[i], 1)
		if g < v.NZ {
			a += (1 - a) * fill
		}
		cover[i] = floatOpaque * a
	}
}

// SetLight takes the PPFD (µmol m⁻² s⁻¹, voxel means, all lamps at full power) that was solved for the last Canopy, and finds the
// light on each plant's leaf layers. The Stand reads the slice until the next SetLight or SetWater.
func (s *Stand) SetLight(ppfd []float64) {
	s.ppfd = ppfd
	s.ext, s.cover = s.told.leaf, s.told.cover
	s.lit = true
	s.blocks(func(_ *desk, _ *tally, lo, hi int) {
		for i := lo; i < hi; i++ {
			p := &s.plants[i]
			s.sample(p)
		}
	})
}

// SetWater takes the PPFD of the same canopy after nothing but the water has changed.
func (s *Stand) SetWater(ppfd []float64) {
	s.ppfd = ppfd
	s.blocks(func(_ *desk, _ *tally, lo, hi int) {
		for i := lo; i < hi; i++ {
			s.sample(&s.plants[i])
		}
	})
}

// SetFilm tells of the film on leaves, g dry per m² of leaf, and how strongly it takes light, m²/g.
func (s *Stand) SetFilm(density, extinction float64) {
	s.film = max(0, density*extinction)
	area, life := 0.0, 0.0
	for i := range s.plants {
		if p := &s.plants[i]; p.t.class != airClass {
			area += p.area
			life += p.area * p.t.life
		}
	}
	s.filmLife = 0
	if area > 0 {
		s.filmLife = life / area
	}
	for i := range s.plants {
		p := &s.plants[i]
		p.clean = s.passed(p.t)
		p.stale = true
	}
}

// longFilm is how many times the mean film a long-lived leaf carries at most (common practice, no source).
const longFilm = 4

// passed is the share of light that passes the film on a plant's leaves. A film gathers as long as its leaf lives, so each kind carries it in
// proportion to the life of its leaves against the mean; leaves in air carry none.
func (s *Stand) passed(t *traits) float64 {
	if s.film <= 0 || s.filmLife <= 0 || t.class == airClass {
		return 1
	}
	return math.Exp(-s.film * min(t.life/s.filmLife, longFilm))
}

// CanopyChange is how much of the leaf area is not what or where it was at the last Canopy, as a share of what it was then:
// what single plants won or lost, the leaves of those that came or went, and of those whose height or spread changed half as much of
// their leaves as that. It is 1 before the light was first told.
func (s *Stand) CanopyChange() float64 {
	if !s.lit {
		return 1
	}
	changed, still := 0.0, 0.0
	cell := s.vox.Cell
	for i := range s.plants {
		p := &s.plants[i]
		if p.litArea == 0 {
			changed += p.area
			continue
		}
		still += p.litArea
		moved := math.Abs(p.h-p.litH)/max(p.h, p.litH, cell) + math.Abs(p.spread-p.litS)/max(p.spread, p.litS, cell)
		changed += math.Abs(p.area-p.litArea) + 0.5*min(moved, 1)*p.area
	}
	changed += max(s.litArea-still, 0)
	return changed / max(s.litArea, 0.01)
}

// sample reads the light on a plant's layers.
func (s *Stand) sample(p *plant) {
	p.stale = true
	p.clean = s.passed(p.t)
	if !s.lit {
		return
	}
	v := s.vox
	start, mean := 0, 0.0
	for k := range p.layers {
		l := &p.layers[k]
		sum, light, tau := 0.0, 0.0, 0.0
		if p.t.form == catalog.Floating {
			top := int32((v.NZ - 1) * v.NX * v.NY)
			for _, c := range p.cells[start : start+l.n] {
				w := float64(c.w)
				sum += w
				light += w * s.ppfd[c.i] / (1 - s.cover[max(c.i-top, 0)]) // lies above the light it takes itself
			}
		} else {
			for _, c := range p.cells[start : start+l.n] {
				w := float64(c.w)
				sum += w
				light += w * s.ppfd[c.i]
				tau += w * s.ext[c.i]
			}
		}
		start += l.n
		if sum > 0 {
			l.ppfd, l.tau = light/sum, tau/sum*v.Cell
		}
		l.past = math.Exp(-l.tau)
		l.w = sum
		mean += light
	}
	p.light, p.top = mean, 0
	if n := len(p.layers); n > 0 {
		// The voxel mean lies under the plant's own leaves; its top sees the light before them.
		p.top = p.layers[n-1].onTop()
	}
}

// shaders finds for each plant the planting whose leaves above it take most of its light.
func (s *Stand) shaders() {
	v := s.vox
	plane := v.NX * v.NY
	d := &s.day
	// Leaves by column: the optical depth that every plant adds to it.
	d.heads = grow(d.heads, plane)
	for i := range d.heads {
		d.heads[i] = -1
	}
	d.leaves = d.leaves[:0]
	for i := range s.plants {
		p := &s.plants[i]
		a := p.area * p.t.ext / (v.Cell * v.Cell)
		if p.t.form == catalog.Floating {
			a = -math.Log(1-floatOpaque) * p.area / (v.Cell * v.Cell)
		}
		low, top := p.z, p.z+p.h
		if p.t.form == catalog.Floating {
			top = low
		}
		for _, c := range p.above {
			d.leaves = append(d.leaves, leafColumn{planting: p.pi, next: d.heads[c.i], tau: a * float64(c.w), low: low, top: top})
			d.heads[c.i] = int32(len(d.leaves) - 1)
		}
	}
	s.blocks(func(hand *desk, _ *tally, lo, hi int) {
		hand.by = grow(hand.by, len(s.names))
		for i := lo; i < hi; i++ {
			s.shader(hand, &s.plants[i])
		}
	})
}

// shader finds the planting that takes most of a plant's light, from the leaves that shaders has listed by column.
func (s *Stand) shader(hand *desk, p *plant) {
	d, v := &s.day, s.vox
	p.shader = -1
	clear(hand.by)
	cx, cy := min(max(int(p.x/v.Cell), 0), v.NX-1), min(max(int(p.y/v.Cell), 0), v.NY-1)
	reach := min(int(p.spread/2/v.Cell), 1)
	mid := p.z + 0.6*p.h // the share of others' leaves above this height counts
	n := 0
	for iy := max(cy-reach, 0); iy <= min(cy+reach, v.NY-1); iy++ {
		for ix := max(cx-reach, 0); ix <= min(cx+reach, v.NX-1); ix++ {
			n++
			for h := d.heads[iy*v.NX+ix]; h >= 0; h = d.leaves[h].next {
				l := &d.leaves[h]
				if l.planting != p.pi && l.top > mid {
					hand.by[l.planting] += l.tau * min((l.top-mid)/max(l.top-l.low, 0.01), 1)
				}
			}
		}
	}
	best := 0.05 * float64(max(n, 1)) // less than a twentieth of an optical depth is no shade to speak of
	all := 0.0
	for k, tau := range hand.by {
		all += tau
		if tau > best {
			best, p.shader = tau, int32(k)
		}
	}
	p.shaderPart = 0
	if p.shader >= 0 {
		p.shaderPart = best / all
	}
}

// leafColumn is the optical depth that one plant adds to one column of voxels, and between which heights (m); next is the next
// plant there.
type leafColumn struct {
	planting, next int32
	tau, low, top  float64
}

func grow[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	return s[:n]
}

// Cover is the share of the plantable bed that is under leaves, seen from above (leaves on hardscape and afloat do not count).
func (s *Stand) Cover() float64 {
	v := s.vox
	plane := v.NX * v.NY
	d := &s.day
	d.over = grow(d.over, plane)
	clear(d.over)
	for i := range s.plants {
		p := &s.plants[i]
		if p.col < 0 {
			continue
		}
		a := p.area
		if p.t.form == catalog.Carpet {
			a *= mosaic
		}
		for _, c := range p.above {
			d.over[c.i] += a * float64(c.w)
		}
	}
	sum, free := 0.0, 0.0
	cell := v.Cell * v.Cell
	for _, o := range s.openBed() {
		free += o.w
		if l := d.over[o.i]; l > 0 {
			sum += o.w * filled(l/cell)
		}
	}
	if free == 0 {
		return 0
	}
	return sum / free
}

// openBed lists the columns of voxels over plantable bed, each with the share of it that is free.
func (s *Stand) openBed() []share {
	if s.open == nil {
		v := s.vox
		s.open = []share{}
		for col, g := range v.GroundIZ {
			x, y := (float64(col%v.NX)+0.5)*v.Cell, (float64(col/v.NX)+0.5)*v.Cell
			if c := s.columnAt(x, y); g < v.NZ && c >= 0 && s.cols.Area[c] > 0 && s.cols.Free[c] > 0 {
				s.open = append(s.open, share{int32(col), s.cols.Free[c]})
			}
		}
	}
	return s.open
}
