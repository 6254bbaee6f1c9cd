package light

import "math"

// Field is the light in a tank with all lamps at full power; every figure is proportional to the dimming.
type Field struct {
	Cell       float64 // edge of a voxel, m
	NX, NY, NZ int     // as in geometry.Voxels; index (iz*NY+iy)*NX+ix
	LX, LY     float64 // bounding rectangle of the tank, m
	WaterLevel float64 // m

	// PPFD is the planar downwelling irradiance (µmol m⁻² s⁻¹, through a level square metre) averaged over the water of each
	// free voxel, leaves' own shade included; 0 in solids and outside the glass.
	PPFD []float64
	// Surface is the irradiance on the water from above, before reflection, by column iy*NX+ix; 0 outside the glass.
	Surface []float64
	// Bed is the irradiance on the bed by column; 0 outside the glass and where hardscape stands on the bed.
	Bed []float64
	// BySource is PPFD of each source alone; nil unless Options.BySource.
	BySource [][]float64

	Budget Budget

	kd     float64 // extinction of the water that it stands for, scattering included, 1/m
	inside []bool  // columns inside the glass
	solid  []bool  // voxels, shared with the grid
}

// CopyTo copies the field onto another of the same grid, and returns that; nil makes a new one.
func (f *Field) CopyTo(to *Field) *Field {
	if to == nil || len(to.PPFD) != len(f.PPFD) || len(to.Bed) != len(f.Bed) {
		to = &Field{PPFD: make([]float64, len(f.PPFD)), Surface: make([]float64, len(f.Surface)), Bed: make([]float64, len(f.Bed))}
	}
	was := *to
	*to = *f
	to.PPFD, to.Surface, to.Bed = was.PPFD, was.Surface, was.Bed
	copy(to.PPFD, f.PPFD)
	copy(to.Surface, f.Surface)
	copy(to.Bed, f.Bed)
	to.BySource = nil
	return to
}

// Budget says where the lamps' photons go, as shares (0 to 1) of all emitted. Each share is reckoned on its own, of a field in which
// every layer passes on what it gets but does not take, so that Sum is 1 to within 0.001.
type Budget struct {
	Missed    float64 // beside the water's surface
	Reflected float64 // at the water's surface
	Water     float64 // absorbed by water and what is in it
	Leaves    float64 // absorbed by leaves, afloat ones included
	Hardscape float64 // absorbed by stones and wood
	Bed       float64 // absorbed by the bed
	Walls     float64 // went out through the walls under water
	Surface   float64 // went back up and out through the surface
}

// Sum is the sum of all shares; 1 but for the errors of the grid.
func (b Budget) Sum() float64 {
	return b.Missed + b.Reflected + b.Water + b.Leaves + b.Hardscape + b.Bed + b.Walls + b.Surface
}

// Closed returns the shares so that they sum to 1: what the grid has lost or won, a few thousandths, is laid on those under water in
// proportion. A dark budget stays as it is.
func (b Budget) Closed() Budget {
	under := b.Water + b.Leaves + b.Hardscape + b.Bed + b.Walls + b.Surface
	if !(under > 0) {
		return b
	}
	f := (1 - b.Missed - b.Reflected) / under
	b.Water *= f
	b.Leaves *= f
	b.Hardscape *= f
	b.Bed *= f
	b.Walls *= f
	b.Surface *= f
	return b
}

// Map is a report's light map: NX by NY equal cells over the tank's bounding rectangle, index iy*NX+ix.
type Map struct {
	NX, NY int
	LX, LY float64   // m
	PPFD   []float64 // mean over the cell's part inside the glass, µmol m⁻² s⁻¹; 0 where Inside is false
	Inside []bool    // the cell has some of the asked-for surface or water in it
}

// Stats returns the smallest, mean and largest value of the cells inside the tank; all 0 when there are none.
func (m Map) Stats() (lowest, mean, highest float64) {
	n := 0
	for i, v := range m.PPFD {
		if !m.Inside[i] {
			continue
		}
		if n == 0 {
			lowest, highest = v, v
		}
		lowest, highest = min(lowest, v), max(highest, v)
		mean += v
		n++
	}
	if n > 0 {
		mean /= float64(n)
	}
	return lowest, mean, highest
}

// BedMap averages the light at the bed over nx by ny cells (each at least 1).
func (f *Field) BedMap(nx, ny int) Map {
	return f.average(nx, ny, func(col int) (float64, bool) { return f.Bed[col], f.inside[col] })
}

// SurfaceMap averages the light just above the water over nx by ny cells (each at least 1).
func (f *Field) SurfaceMap(nx, ny int) Map {
	return f.average(nx, ny, func(col int) (float64, bool) { return f.Surface[col], f.inside[col] })
}

// DepthMap averages the light at a depth below the surface (m, 0 to the water level) over nx by ny cells (each at least 1). It reads
// between the middles of the voxel layers, and beyond the outermost middles takes their values. Columns in which solids reach
// that depth count neither way.
func (f *Field) DepthMap(nx, ny int, depth float64) Map {
	z := f.WaterLevel - depth
	k := min(max(int(math.Floor(z/f.Cell)), 0), max(f.NZ-1, 0))
	other := min(k+1, f.NZ-1)
	if z < f.middle(k) {
		other = max(k-1, 0)
	}
	w := 0.0
	if other != k {
		w = min(max((z-f.middle(k))/(f.middle(other)-f.middle(k)), 0), 1)
	}
	plane := f.NX * f.NY
	return f.average(nx, ny, func(col int) (float64, bool) {
		if f.NZ == 0 {
			return 0, false
		}
		if f.solid[k*plane+col] {
			return 0, false
		}
		a, b := f.PPFD[k*plane+col], f.PPFD[other*plane+col]
		if f.solid[other*plane+col] {
			b = a
		}
		return a + (b-a)*w, true
	})
}

// middle is the height (m) of the middle of the water in layer k.
func (f *Field) middle(k int) float64 {
	return (float64(k)*f.Cell + min(float64(k+1)*f.Cell, f.WaterLevel)) / 2
}

func (f *Field) average(nx, ny int, value func(col int) (float64, bool)) Map {
	nx, ny = max(nx, 1), max(ny, 1)
	m := Map{NX: nx, NY: ny, LX: f.LX, LY: f.LY, PPFD: make([]float64, nx*ny), Inside: make([]bool, nx*ny)}
	for jy := range ny {
		y0, y1 := f.LY*float64(jy)/float64(ny), f.LY*float64(jy+1)/float64(ny)
		for jx := range nx {
			x0, x1 := f.LX*float64(jx)/float64(nx), f.LX*float64(jx+1)/float64(nx)
			sum, area := 0.0, 0.0
			for iy := int(y0 / f.Cell); iy < f.NY && float64(iy)*f.Cell < y1; iy++ {
				low, high := max(y0, float64(iy)*f.Cell), min(y1, float64(iy+1)*f.Cell)
				h, offY := high-low, (low+high)/2/f.Cell-float64(iy)-0.5
				for ix := int(x0 / f.Cell); ix < f.NX && float64(ix)*f.Cell < x1; ix++ {
					low, high := max(x0, float64(ix)*f.Cell), min(x1, float64(ix+1)*f.Cell)
					w, offX := high-low, (low+high)/2/f.Cell-float64(ix)-0.5
					v, ok := value(iy*f.NX + ix)
					if !ok || w <= 0 || h <= 0 {
						continue
					}
					if offX != 0 {
						v += offX * f.trend(value, iy*f.NX+ix, 1, ix > 0, ix < f.NX-1)
					}
					if offY != 0 {
						v += offY * f.trend(value, iy*f.NX+ix, f.NX, iy > 0, iy < f.NY-1)
					}
					sum += v * w * h
					area += w * h
				}
			}
			if area > 1e-9*f.Cell*f.Cell {
				m.PPFD[jy*nx+jx] = sum / area
				m.Inside[jy*nx+jx] = true
			}
		}
	}
	return m
}

// trend is the change of a value from one column to the next (stride columns on), held so small that the value inside a column
// never passes its neighbours' (monotonised central difference; van Leer 1977). Without it a map whose cells cut columns apart
// would be a step too coarse under a narrow beam.
func (f *Field) trend(value func(col int) (float64, bool), col, stride int, before, after bool) float64 {
	if !before || !after {
		return 0
	}
	v, _ := value(col)
	a, okA := value(col - stride)
	b, okB := value(col + stride)
	if !okA || !okB || (v-a)*(b-v) <= 0 {
		return 0
	}
	limit := 2 * min(math.Abs(v-a), math.Abs(b-v))
	return min(max((b-a)/2, -limit), limit)
}

// DLI returns the daily light integral (mol m⁻² d⁻¹) of a PPFD at full power (µmol m⁻² s⁻¹) over hours of light at the share dim
// (0 to 1) of full power. A ramp counts half: a day of h hours with ramps of r hours at both ends has h − r.
func DLI(ppfd, hours, dim float64) float64 { return ppfd * hours * 3600 * dim * 1e-6 }
