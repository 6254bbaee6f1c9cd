package draft

import (
	"littoral/internal/geometry"
	"math"
)

// The lattice on which a page shades and brushes the ground: crossings about 2 cm apart, more in large tanks, so that a page gets at most
// mostCrossings of them. Our own choice.
const (
	crossingM     = 0.02
	mostCrossings = 12_000
)

// ContourCM is the height between two contours of the ground.
const ContourCM = 1

// lattice are the crossings over the tank's bounding rectangle.
func lattice(t *geometry.Tank) (nx, ny int, dx, dy float64) {
	step := max(crossingM, math.Sqrt(t.LX*t.LY/mostCrossings))
	nx, ny = max(2, int(math.Ceil(t.LX/step))+1), max(2, int(math.Ceil(t.LY/step))+1)
	return nx, ny, t.LX / float64(nx-1), t.LY / float64(ny-1)
}

// groundShape is the top of the bed.
type groundShape struct {
	nx, ny     int
	dx, dy     float64 // m
	top, slope []float64
	contours   []BoardContour
}

func (d *Draft) shaped() *groundShape {
	t, g := &d.Model.Tank, d.Model.Ground
	nx, ny, dx, dy := lattice(t)
	out := &groundShape{nx: nx, ny: ny, dx: dx, dy: dy}
	heights := make([]float64, nx*ny)
	most := 0.0
	for iy := range ny {
		for ix := range nx {
			x, y := float64(ix)*dx, float64(iy)*dy
			h, slope := 100*g.Height(x, y), 0.0
			if len(g.Layers) > 0 {
				slope = g.Slope(x, y)
			}
			heights[iy*nx+ix] = h
			most = max(most, h)
			out.top, out.slope = append(out.top, round(h, 100)), append(out.slope, round(slope, 10))
		}
	}
	for level := ContourCM; float64(level) <= most; level += ContourCM {
		// Whole heights are common in plans; a hundredth of a millimetre aside no crossing lies on the line.
		c := BoardContour{LevelCM: float64(level)}
		for _, line := range geometry.Contours(heights, nx, ny, 100*dx, 100*dy, float64(level)-1e-3) {
			line = geometry.Simplify(line, 0.15)
			for i := range line {
				line[i] = [2]float64{round(line[i][0], 100), round(line[i][1], 100)}
			}
			c.Lines = append(c.Lines, line)
		}
		if len(c.Lines) > 0 {
			out.contours = append(out.contours, c)
		}
	}
	return out
}

func (d *Draft) ground() BoardGround {
	facts, g := &d.Model.Facts, d.shape
	out := BoardGround{
		NX: g.nx, NY: g.ny, CellXCM: 100 * g.dx, CellYCM: 100 * g.dy, TopCM: g.top, SlopeDeg: g.slope, ReposeDeg: d.repose(), ContoursCM: g.contours,
		Litres: round(facts.BedL, 10), MassKG: round(facts.BedDryKG, 10),
	}
	sums := facts.BedByMaterial
	sum := func(i int) (litres, kg float64) {
		if i < len(sums) {
			return round(sums[i].Litres, 10), round(sums[i].DryKG, 10)
		}
		return 0, 0
	}
	s := &d.Plan.Substrate
	for i := range s.Layers {
		l := &s.Layers[i]
		q := BoardLayer{Material: l.Material, DepthCM: cm(float64(l.Depth)), Line: d.line(item("substrate.layers", i))}
		if l.Heights != nil {
			for _, p := range l.Heights.Points {
				q.PointsCM = append(q.PointsCM, p)
			}
		}
		q.Litres, q.MassKG = sum(i)
		out.Layers = append(out.Layers, q)
	}
	for i := range s.Caps {
		c := &s.Caps[i]
		q := BoardCap{Material: c.Material, OverCM: points(c.Over), DepthCM: cm(float64(c.Depth)), Replace: c.Replace, Barrier: c.Barrier, Line: d.line(item("substrate.caps", i))}
		q.Litres, q.MassKG = sum(len(s.Layers) + i)
		out.Caps = append(out.Caps, q)
	}
	out.Materials = d.purchase()
	return out
}

// purchase sums the bed by material.
func (d *Draft) purchase() []BoardMaterial {
	var out []BoardMaterial
	at := map[string]int{}
	for _, s := range d.Model.Facts.BedByMaterial {
		i, known := at[s.Material]
		if !known {
			i = len(out)
			at[s.Material] = i
			out = append(out, BoardMaterial{Material: s.Material, BagL: BagL, Currency: d.Plan.Costs.Currency})
		}
		out[i].Litres += s.Litres
		out[i].MassKG += s.DryKG
	}
	for i := range out {
		m := &out[i]
		m.Bags = int(math.Ceil(Settling*m.Litres/BagL - 1e-9))
		m.Price = d.price(m)
		m.Litres, m.MassKG = round(m.Litres, 10), round(m.MassKG, 10)
	}
	return out
}

// price is what a bed material costs by the litre, kilogram or bag, under its name or one of its short names; 0 where no list names it.
func (d *Draft) price(m *BoardMaterial) float64 {
	names := []string{m.Material}
	if c, ok := d.Plan.Cat.Material(m.Material); ok {
		names = append(names, c.Synonyms...)
	}
	for _, name := range append(names, "substrate") {
		for _, by := range []struct {
			unit   string
			amount float64
		}{{"L", m.Litres * Settling}, {"kg", m.MassKG * Settling}, {"bag", float64(m.Bags)}} {
			if price, ok := d.Plan.PriceOf(name, by.unit); ok {
				return round(price*by.amount, 100)
			}
		}
	}
	return 0
}

// How the material of a bed is ordered; common practice, no source.
const (
	Settling = 1.12 // ordered over what lies in the tank: 10 to 15 % for settling
	BagL     = 9.0  // litres in a bag
)

// usualRepose is the slope that holds under water where the catalogue does not know the material's, degrees (as the catalogue assumes).
const usualRepose = 31

// repose is the slope at which the material on top of the layers begins to slide, degrees; 0 without a bed.
func (d *Draft) repose() float64 {
	layers := d.Plan.Substrate.Layers
	if len(layers) == 0 {
		return 0
	}
	if m, ok := d.Plan.Cat.Material(layers[len(layers)-1].Material); ok && m.AngleDeg.Value > 0 {
		return m.AngleDeg.Value
	}
	return usualRepose
}
