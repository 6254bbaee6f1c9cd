package light

import (
	"littoral/internal/geometry"
	"math"
)

// gate is an opening above the water that a lamp's light must pass: the lower edge of its own shade, or the upper edge of a hood around the tank.
// What it stops is absorbed.
type gate struct {
	height         float64 // above the water, m; 0 = none
	x0, x1, y0, y1 float64 // m
	poly           *polygon
}

// shaded gives the lamp a shade of a depth (m) below its face, snug around the given measures of its opening.
func (s Source) shaded(depth, x, y float64) Source {
	if depth > 0 {
		s.gates[0] = gate{height: max(s.Height-depth, 0), x0: s.X - x/2, x1: s.X + x/2, y0: s.Y - y/2, y1: s.Y + y/2}
	}
	return s
}

// hooded puts the lamp over a tank with an opaque rim up to a height above the water, m. A lamp that hangs lower is inside it.
func (s Source) hooded(t geometry.Tank, height float64) Source {
	if !(height > 0) || height >= s.Height {
		s.gates[1] = gate{}
		return s
	}
	s.gates[1] = gate{height: height, x1: t.LX, y1: t.LY}
	if t.Shape != "box" {
		poly := outline(t.Footprint)
		s.gates[1].poly = &poly
	}
	return s
}

// hung is the lamp, shade and all, at another place and height.
func (s Source) hung(x, y, height float64) Source {
	if g := &s.gates[0]; g.height > 0 {
		g.height = max(g.height+height-s.Height, 1e-6)
		g.x0, g.x1, g.y0, g.y1 = g.x0+x-s.X, g.x1+x-s.X, g.y0+y-s.Y, g.y1+y-s.Y
	}
	s.X, s.Y, s.Height = x, y, height
	return s
}

// gated says that something above the water may cut the lamp's light.
func (s *Source) gated() bool { return s.gates[0].height > 0 || s.gates[1].height > 0 }

// passes is the share of a tile's light towards a place on the water that passes the gates. The tile's middle is at (tx, ty) and it is wideX by
// wideY; the light of one cell comes down through spread (m) of the water around (px, py), a place that moves by the share follow when
// the tile moves.
func (s *Source) passes(tx, ty, px, py, wideX, wideY, spread, follow float64) float64 {
	share := 1.0
	for i := range s.gates {
		g := &s.gates[i]
		if g.height == 0 || g.height >= s.Height {
			continue
		}
		f := g.height / s.Height // 1 at the lamp, 0 on the water
		x, y := tx*f+px*(1-f), ty*f+py*(1-f)
		if g.poly != nil {
			if !g.poly.holds(x, y) {
				return 0
			}
			continue
		}
		cell, tile := spread*(1-f), f+follow*(1-f)
		share *= window{lo: g.x0, hi: g.x1}.share(x, max(cell*cell+wideX*wideX*tile*tile, 1e-12))
		share *= window{lo: g.y0, hi: g.y1}.share(y, max(cell*cell+wideY*wideY*tile*tile, 1e-12))
		if share <= 0 {
			return 0
		}
	}
	return share
}

// mirrored are the gates in the mirrored box (i, j).
func mirrored(gates [2]gate, i, j int, g *grid) [2]gate {
	for n := range gates {
		one := &gates[n]
		if one.height == 0 {
			continue
		}
		a, b := imageOf(one.x0, i, g.tank.LX), imageOf(one.x1, i, g.tank.LX)
		one.x0, one.x1 = math.Min(a, b), math.Max(a, b)
		a, b = imageOf(one.y0, j, g.tank.LY), imageOf(one.y1, j, g.tank.LY)
		one.y0, one.y1 = math.Min(a, b), math.Max(a, b)
	}
	return gates
}
