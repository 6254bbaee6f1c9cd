package geometry

import (
	"littoral/internal/crew"
	"math"
)

// Sizes of the voxels of a forecast, our own choice: 2.5 cm, more where they would be more than mostVoxels, so that cost follows the picture and
// not the volume, and two thirds of it where they would be fewer than fewVoxels: in a tank on a desk a leaf rosette is not much wider.
const (
	voxelM     = 0.025
	mostVoxels = 400_000
	fewVoxels  = 20_000
)

// VoxelEdge is the edge of the voxels in which a forecast follows light and plants in this tank, m.
func (m *Model) VoxelEdge() float64 {
	n := m.Tank.LX * m.Tank.LY * m.Tank.WaterLevel / (voxelM * voxelM * voxelM)
	switch {
	case n > mostVoxels:
		return voxelM * math.Cbrt(n/mostVoxels)
	case n < fewVoxels:
		return voxelM * 2 / 3
	}
	return voxelM
}

// Voxels cuts the tank up to the water level into cubes of the given edge in m. A cube is solid when its centre lies in the bed or
// in a piece of hardscape, or outside the glass. The grid begins at the origin and reaches past the right, back and top
// by less than an edge. An edge that would give more than 64 million cubes is widened until it does not.
func (m *Model) Voxels(cell float64) *Voxels {
	t := &m.Tank
	const most = 64e6 // our own choice: 64 MB
	level := max(t.WaterLevel, 1e-3)
	if !(cell > 0) || math.IsInf(cell, 0) {
		cell = 0.025
	}
	cell = max(cell, math.Cbrt(t.LX*t.LY*level/most))
	count := func(length float64) int { return max(1, int(math.Ceil(length/cell-1e-9))) }
	v := &Voxels{Cell: cell, NX: count(t.LX), NY: count(t.LY), NZ: count(level)}
	v.Solid = make([]bool, v.NX*v.NY*v.NZ)
	v.GroundIZ = make([]int, v.NX*v.NY)
	cells := raster{dx: cell, dy: cell, nx: v.NX, ny: v.NY}
	// layer is the first whose centre lies above z.
	layer := func(z float64) int { return int(max(0, min(float64(v.NZ), math.Floor(z/cell+0.5)))) }
	crew.Do(0, v.NY, func(iy int) {
		for ix := range v.NX {
			x, y := cells.centre(ix, iy)
			top := v.NZ
			if t.Contains(x, y) {
				top = layer(m.Ground.Height(x, y))
			}
			v.GroundIZ[iy*v.NX+ix] = top
			for iz := range top {
				v.Solid[(iz*v.NY+iy)*v.NX+ix] = true
			}
		}
	})
	subs, traces, at := make([]raster, len(m.Solids)), make([]*trace, len(m.Solids)), make([][2]int, len(m.Solids))
	crew.Do(0, len(m.Solids), func(i int) {
		subs[i], at[i][0], at[i][1] = cells.over(&m.Solids[i])
		traces[i] = traced(m.Solids[i].Body, subs[i])
	})
	for i, t := range traces {
		for iy := range subs[i].ny {
			for ix := range subs[i].nx {
				for _, s := range t.spans[iy*subs[i].nx+ix] {
					for iz := layer(s.lo); iz < layer(s.hi); iz++ {
						v.Solid[(iz*v.NY+at[i][1]+iy)*v.NX+at[i][0]+ix] = true
					}
				}
			}
		}
	}
	return v
}

// fineM is the spacing of the lines by which a column's free surface is found, m.
const fineM = 0.01

// Columns divides the bed into upright columns of the given width in m; 5 cm, about the room of one pot, when it is not above 0. Depths,
// height and slope are means over the part of the column inside the glass.
func (m *Model) Columns(cell float64) *Columns {
	t, g := &m.Tank, m.Ground
	if !(cell > 0) || math.IsInf(cell, 0) {
		cell = 0.05
	}
	cell = max(cell, math.Sqrt(t.LX*t.LY/1e6)) // at most a million columns, our own choice
	count := func(length float64) int { return max(1, int(math.Ceil(length/cell-1e-9))) }
	c := &Columns{Cell: cell, NX: count(t.LX), NY: count(t.LY), Layers: append([]BedLayer(nil), g.Layers...)}
	n := c.NX * c.NY
	grid := raster{dx: cell, dy: cell, nx: c.NX, ny: c.NY}
	c.Area, c.Free, c.Top, c.Slope = make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	c.Depth = make([][]float64, len(g.tops))
	for l := range c.Depth {
		c.Depth[l] = make([]float64, n)
	}
	for i, p := range grid.cover(t.Footprint) {
		c.Area[i] = p.area
	}
	// The fine raster divides every column evenly.
	fine := max(2, int(math.Ceil(cell/fineM-1e-9)))
	sub := raster{dx: cell / float64(fine), dy: cell / float64(fine), nx: c.NX * fine, ny: c.NY * fine}
	hidden := m.standing(sub)
	inside := sub.cover(t.Footprint)
	crew.Do(0, c.NY, func(cy int) {
		tops := make([]float64, len(g.tops))
		for cx := range c.NX {
			k := cy*c.NX + cx
			free, area := 0.0, 0.0
			for iy := cy * fine; iy < (cy+1)*fine; iy++ {
				for ix := cx * fine; ix < (cx+1)*fine; ix++ {
					p := inside[iy*sub.nx+ix]
					if p.area == 0 {
						continue
					}
					area += p.area
					if !hidden[iy*sub.nx+ix] {
						free += p.area
					}
					node, fx, fy := g.place(p.x, p.y)
					lower := 0.0
					for l := range tops {
						tops[l] = g.between(g.tops[l], node, fx, fy)
						c.Depth[l][k] += p.area * max(0, tops[l]-lower)
						lower = tops[l]
					}
					c.Top[k] += p.area * lower
					if len(tops) > 0 {
						c.Slope[k] += p.area * g.Slope(p.x, p.y)
					}
				}
			}
			if area == 0 {
				continue
			}
			c.Free[k] = free / area
			c.Top[k] /= area
			c.Slope[k] /= area
			for l := range tops {
				c.Depth[l][k] /= area
			}
		}
	})
	return c
}
