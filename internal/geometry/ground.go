package geometry

import (
	"fmt"
	"littoral/internal/crew"
	"littoral/internal/plan"
	"math"
)

// Ground is the bed: layers from below, then caps, each as a height over a fine lattice with straight lines between. Heights
// are never below the glass nor above the rim.
type Ground struct {
	Layers []BedLayer // from below: layers, then caps
	NX, NY int        // nodes of the lattice along x and y
	DX, DY float64    // spacing of the nodes, m; the first lies at 0, 0, the last at LX, LY

	barred []bool // by layer: a cap whose edge a barrier holds

	tops    [][]float64 // [layer][node] height of its top, m; index iy*NX+ix
	shaped  []float64   // top of the layers before caps: what the slopes are measured on
	covered []part      // what the glass encloses of each lattice cell; index iy*(NX-1)+ix
	area    float64
	lx, ly  float64
}

// latticeM is the widest spacing of the lattice: a tenth of the finest shape a hand makes in a bed; and a small tank has at
// least latticeMin spacings across.
const (
	latticeM   = 0.01
	latticeMin = 100
)

func newGround(t *Tank, p *plan.Substrate) (*Ground, []string, error) {
	g := &Ground{lx: t.LX, ly: t.LY}
	step := min(latticeM, min(t.LX, t.LY)/latticeMin)
	// At most a million nodes, for halls of glass.
	step = max(step, math.Sqrt(t.LX*t.LY/1e6))
	cx, cy := int(math.Ceil(t.LX/step-1e-9)), int(math.Ceil(t.LY/step-1e-9))
	g.NX, g.NY = cx+1, cy+1
	g.DX, g.DY = t.LX/float64(cx), t.LY/float64(cy)
	g.covered = raster{dx: g.DX, dy: g.DY, nx: cx, ny: cy}.cover(t.Footprint)
	for _, c := range g.covered {
		g.area += c.area
	}
	n := g.NX * g.NY
	below := make([]float64, n)
	var notes []string
	for i := range p.Layers {
		l := &p.Layers[i]
		top := make([]float64, n)
		switch {
		case l.Heights != nil:
			points := make([][3]float64, len(l.Heights.Points))
			for k, q := range l.Heights.Points {
				points[k] = [3]float64{q[0] / 100, q[1] / 100, q[2] / 100}
			}
			s, err := newSurface(points)
			if err != nil {
				return nil, nil, fmt.Errorf("substrate layer %d (%s): %w", i+1, l.Material, err)
			}
			crew.Do(0, g.NY, func(iy int) {
				for ix := range g.NX {
					top[iy*g.NX+ix] = s.at(float64(ix)*g.DX, float64(iy)*g.DY)
				}
			})
			under := 0
			for k := range top {
				if top[k] < below[k]-1e-6 {
					under++
				}
				top[k] = max(top[k], below[k])
			}
			if i > 0 && under > n/20 {
				notes = append(notes, fmt.Sprintf("Substrate layer %d (%s) runs under the layer below it over %.0f %% of the floor and has no depth there.", i+1, l.Material, 100*float64(under)/float64(n)))
			}
		case l.Depth >= 0 && l.Depth < 100:
			for k := range top {
				top[k] = below[k] + float64(l.Depth)
			}
		default:
			return nil, nil, fmt.Errorf("substrate layer %d (%s): the depth of %g m cannot be built; state a depth within the tank", i+1, l.Material, float64(l.Depth))
		}
		if limit(top, t.Height) {
			notes = append(notes, fmt.Sprintf("Substrate layer %d (%s) would rise above the rim and is cut off there.", i+1, l.Material))
		}
		g.Layers, g.barred = append(g.Layers, BedLayer{l.Material}), append(g.barred, false)
		g.tops = append(g.tops, top)
		below = top
	}
	g.shaped = append([]float64(nil), below...) // caps change the layers' own tops
	for i := range p.Caps {
		note, err := g.addCap(t, &p.Caps[i], i)
		if err != nil {
			return nil, nil, err
		}
		notes = append(notes, note...)
	}
	return g, notes, nil
}

// addCap lays a cap over the bed. A node at the edge of the outline takes the share of its surroundings that is covered, so
// that the volume is that of outline times depth, and the edge is as sharp as the lattice.
func (g *Ground) addCap(t *Tank, c *plan.Cap, number int) (notes []string, err error) {
	depth := float64(c.Depth)
	if !(depth >= 0 && depth < 100) {
		return nil, fmt.Errorf("substrate cap %d (%s): the depth of %g m cannot be built; state a depth within the tank", number+1, c.Material, depth)
	}
	outline := [][2]float64{{0, 0}, {t.LX, 0}, {t.LX, t.LY}, {0, t.LY}}
	if len(c.Over) > 0 {
		if len(c.Over) < 3 {
			return nil, fmt.Errorf("substrate cap %d (%s): the outline needs at least three corners", number+1, c.Material)
		}
		outline = outline[:0]
		for _, q := range c.Over {
			if math.IsNaN(q[0]+q[1]) || math.Abs(q[0]) > 1e5 || math.Abs(q[1]) > 1e5 {
				return nil, fmt.Errorf("substrate cap %d (%s): the corner [%g, %g] is not a place in a tank", number+1, c.Material, q[0], q[1])
			}
			outline = append(outline, [2]float64{q[0] / 100, q[1] / 100})
		}
	}
	for axis, far := range []float64{t.LX, t.LY} {
		outline = clipHalf(clipHalf(outline, axis, 0, true), axis, far, false)
	}
	cells := raster{x0: -g.DX / 2, y0: -g.DY / 2, dx: g.DX, dy: g.DY, nx: g.NX, ny: g.NY}.cover(outline)
	top := make([]float64, g.NX*g.NY)
	cut := 0.0
	for iy := range g.NY {
		for ix := range g.NX {
			whole := g.DX * g.DY // what of the node's surroundings lies within the bounding rectangle
			if ix == 0 || ix == g.NX-1 {
				whole /= 2
			}
			if iy == 0 || iy == g.NY-1 {
				whole /= 2
			}
			k := iy*g.NX + ix
			share := min(1, cells[k].area/whole)
			if c.Replace && share > 0 {
				cut = max(cut, share*(g.top(k)-depth))
				for l := range g.tops {
					g.tops[l][k] *= 1 - share
				}
			}
			top[k] = share * depth
		}
	}
	for k := range top {
		top[k] += g.top(k)
	}
	if limit(top, t.Height) {
		notes = append(notes, fmt.Sprintf("Substrate cap %d (%s) would rise above the rim and is cut off there.", number+1, c.Material))
	}
	if cut > 0.05 && !c.Barrier {
		notes = append(notes, fmt.Sprintf("Substrate cap %d (%s) lies in a cut up to %.0f cm deep; the bed beside it needs stones or a barrier to hold it.", number+1, c.Material, 100*cut))
	}
	g.Layers, g.barred = append(g.Layers, BedLayer{c.Material}), append(g.barred, c.Barrier)
	g.tops = append(g.tops, top)
	return notes, nil
}

// limit cuts heights off at most high and reports whether any was.
func limit(heights []float64, high float64) bool {
	any := false
	for i, h := range heights {
		if h > high+1e-9 {
			any = true
		}
		heights[i] = max(0, min(high, h))
	}
	return any
}

// top is the height of the bed at a node.
func (g *Ground) top(node int) float64 {
	if len(g.tops) == 0 {
		return 0
	}
	return g.tops[len(g.tops)-1][node]
}

// place finds the lattice cell of a point and where in it the point lies; points outside are taken to the nearest edge.
func (g *Ground) place(x, y float64) (node int, fx, fy float64) {
	u, v := max(0, min(x/g.DX, float64(g.NX-1))), max(0, min(y/g.DY, float64(g.NY-1)))
	ix, iy := min(int(u), g.NX-2), min(int(v), g.NY-2)
	return iy*g.NX + ix, u - float64(ix), v - float64(iy)
}

func (g *Ground) between(h []float64, node int, fx, fy float64) float64 {
	a, b := h[node], h[node+1]
	c, d := h[node+g.NX], h[node+g.NX+1]
	return (1-fy)*((1-fx)*a+fx*b) + fy*((1-fx)*c+fx*d)
}

// Height returns the height of the bed at a place, both in m; 0 on bare glass.
func (g *Ground) Height(x, y float64) float64 {
	if len(g.tops) == 0 {
		return 0
	}
	node, fx, fy := g.place(x, y)
	return g.between(g.tops[len(g.tops)-1], node, fx, fy)
}

// LayerTop returns the height, m, of the top of a layer (index into Layers) at a place in m.
func (g *Ground) LayerTop(layer int, x, y float64) float64 {
	node, fx, fy := g.place(x, y)
	return g.between(g.tops[layer], node, fx, fy)
}

// Slope returns the steepness of the bed at a place in m, in degrees. Caps are taken to lie parallel to the bed below them,
// so that the edge of a sand path does not count as a slope.
func (g *Ground) Slope(x, y float64) float64 {
	node, fx, fy := g.place(x, y)
	h := g.shaped
	a, b, c, d := h[node], h[node+1], h[node+g.NX], h[node+g.NX+1]
	gx := ((1-fy)*(b-a) + fy*(d-c)) / g.DX
	gy := ((1-fx)*(c-a) + fx*(d-b)) / g.DY
	return math.Atan(math.Hypot(gx, gy)) * 180 / math.Pi
}

// integrate sums f over the footprint; f is given the place and its lattice position.
func (g *Ground) integrate(f func(node int, fx, fy float64) float64) float64 {
	rows := make([]float64, g.NY-1)
	crew.Do(0, g.NY-1, func(iy int) {
		for ix := range g.NX - 1 {
			c := g.covered[iy*(g.NX-1)+ix]
			if c.area == 0 {
				continue
			}
			rows[iy] += c.area * f(iy*g.NX+ix, c.x/g.DX-float64(ix), c.y/g.DY-float64(iy))
		}
	})
	sum := 0.0
	for _, r := range rows {
		sum += r
	}
	return sum
}

// volumes returns the bulk of each layer, whole and below a level, m³, as if no hardscape stood in it.
func (g *Ground) volumes(level float64) (whole, under []float64) {
	whole, under = make([]float64, len(g.tops)), make([]float64, len(g.tops))
	for l := range g.tops {
		slice := func(high float64) float64 {
			return g.integrate(func(node int, fx, fy float64) float64 {
				lower := 0.0
				if l > 0 {
					lower = g.between(g.tops[l-1], node, fx, fy)
				}
				return max(0, min(high, g.between(g.tops[l], node, fx, fy))-min(high, lower))
			})
		}
		whole[l], under[l] = slice(math.Inf(1)), slice(level)
	}
	return whole, under
}
