package light

import (
	"littoral/internal/geometry"
	"math"
)

// At is the planar downwelling PPFD (µmol m⁻² s⁻¹) of the lamp at full power at a place (x, y in m) and depth below the surface (m; 0 or
// less: just above the water, before reflection) of an empty tank: straight and, in boxes, by way of the panes, without what ground and
// particles give back.
func (s Source) At(t geometry.Tank, w Water, x, y, depth float64) float64 {
	depth = max(depth, 0)
	var b beam
	b.fill(&s, depth, flat)
	return w.places(t).light(s, &b, x, y, depth)
}

// places reckons light at single places of an empty tank.
type places struct {
	g        *grid
	reflects *wallTable
	kd       float64 // 1/m
}

func (w Water) places(t geometry.Tank) *places {
	// The forward part of what particles scatter comes to the place all the same (delta-Eddington; Joseph, Wiscombe and Weinman 1976).
	forward := max(w.Asymmetry, 0)
	scattering := max(w.Scattering, 0) * (1 - forward*forward)
	return &places{&grid{tank: t, box: t.Shape == "box"}, newWallTable(Options{Index: IndexWater}), w.Absorption + scattering}
}

// mostImages is how far mirrored boxes are followed along each axis for single places.
const mostImages = 2

// images is how many mirrored boxes light at a depth may come from along an axis: the flattest ray in water runs 1.135 sideways for each down.
func (p *places) images(depth, length float64) int {
	if !p.g.box || depth == 0 {
		return 0
	}
	return min(mostImages, int(math.Ceil(depth*1.135/length)))
}

// light is what a lamp gives at a place, given its table for the depth.
func (p *places) light(s Source, table *beam, x, y, depth float64) float64 {
	g := p.g
	sum := 0.0
	edge := max(0.35*(s.Height+depth/IndexWater), minTile)
	tileX, tileY := s.SizeX/float64(pieces(s.SizeX, edge)), s.SizeY/float64(pieces(s.SizeY, edge))
	ni, nj := p.images(depth, g.tank.LX), p.images(depth, g.tank.LY)
	for j := -nj; j <= nj; j++ {
		for i := -ni; i <= ni; i++ {
			lamp := s.image(i, j, g)
			b := bundle{i: i, j: j}
			wx, wy := g.window(i, g.tank.LX), g.window(j, g.tank.LY)
			for _, tile := range lamp.Tiles(edge) {
				dx, dy := x-tile.X, y-tile.Y
				e, slope, slant := table.read(dx*dx + dy*dy)
				if lamp.gated() {
					back := 1.0
					if depth > 0 {
						back = 1 - depth*slope
					}
					e *= lamp.passes(tile.X+tile.inX, tile.Y+tile.inY, tile.X+dx*back+tile.inX*(1-back), tile.Y+dy*back+tile.inY*(1-back), tileX, tileY, 0, 1-back)
					if e == 0 {
						continue
					}
				}
				if depth > 0 {
					back := 1 - depth*slope
					wide := (1 - back) * (1 - back)
					part := wx.share(tile.X+dx*back+tile.inX*(1-back), max(wide*tileX*tileX, 1e-9)) * wy.share(tile.Y+dy*back+tile.inY*(1-back), max(wide*tileY*tileY, 1e-9))
					if part <= 0 {
						continue
					}
					if i|j != 0 {
						part *= b.returned(p.reflects, slope*dx, slope*dy)
					}
					e *= part * math.Exp(-p.kd*depth*slant)
				}
				if s.Lobe != nil {
					sin := IndexWater * slope / slant // over r
					if depth == 0 {
						sin = 1 / math.Sqrt(dx*dx+dy*dy+s.Height*s.Height)
					}
					e *= lamp.toward(sin*dx, sin*dy)
				}
				sum += e * s.Flux * tile.Share
			}
		}
	}
	return sum
}

// Reading is what a PAR meter showed under one lamp.
type Reading struct {
	X, Y  float64 // m
	Depth float64 // m below the surface; 0 just above the water
	PPFD  float64 // µmol m⁻² s⁻¹
	Dim   float64 // what the dimmer stood at, share of full power; 0 = 1
}

// Fit is a lamp found from readings.
type Fit struct {
	Flux     float64 // µmol/s at full power
	Beam     float64 // full width at half maximum, radians; 0 when it was known
	RMS      float64 // remaining error of the readings, relative
	Worst    float64
	Readings int
}

// beamsTried are the exponents a beam is sought among: from flatter than Lambertian to a narrow spot of about 15°.
const (
	flattest  = 0.5
	narrowest = 80
)

// FitLamp finds a lamp's photon flux, and its beam unless that is known, from readings under it in an empty tank: the values that leave the least
// mean square of relative errors. One reading gives the flux alone. No usable reading gives a zero Fit.
func FitLamp(s Source, t geometry.Tank, w Water, readings []Reading, beamKnown bool) (Source, Fit) {
	p := w.places(t)
	var table beam
	// at is what the lamp gives at a reading's place, the dimmer as it stood.
	at := func(one Source, r Reading) float64 {
		depth, dim := max(r.Depth, 0), r.Dim
		if dim == 0 {
			dim = 1
		}
		table.fill(&one, depth, flat)
		return dim * p.light(one, &table, r.X, r.Y, depth)
	}
	try := func(n float64) (flux, square float64) {
		one := s
		one.Flux, one.N = 1, n
		var ratios []float64
		sum, sum2 := 0.0, 0.0
		for _, r := range readings {
			ratio := at(one, r) / r.PPFD
			ratios = append(ratios, ratio)
			sum += ratio
			sum2 += ratio * ratio
		}
		if !(sum2 > 0) {
			return 0, math.Inf(1)
		}
		flux = sum / sum2
		for _, ratio := range ratios {
			square += (flux*ratio - 1) * (flux*ratio - 1)
		}
		return flux, square
	}
	n := s.N
	known := beamKnown || s.Lobe != nil || len(readings) < 2
	if !known {
		// The error over ln n has one valley in practice; a coarse search finds it and a golden section its bottom.
		const steps = 24
		best, place := math.Inf(1), 0
		logN := func(i float64) float64 { return flattest * math.Pow(narrowest/flattest, i/steps) }
		for i := range steps + 1 {
			if _, square := try(logN(float64(i))); square < best {
				best, place = square, i
			}
		}
		lo, hi := max(float64(place-1), 0), min(float64(place+1), steps)
		golden := (math.Sqrt(5) - 1) / 2
		for range 30 {
			a, b := hi-golden*(hi-lo), lo+golden*(hi-lo)
			_, low := try(logN(a))
			_, high := try(logN(b))
			if low < high {
				hi = b
			} else {
				lo = a
			}
		}
		n = logN((lo + hi) / 2)
	}
	flux, square := try(n)
	if !(flux > 0) || !finite(flux, square) {
		return s, Fit{}
	}
	s.Flux, s.N = flux, n
	f := Fit{Flux: flux, Readings: len(readings), RMS: math.Sqrt(square / float64(len(readings)))}
	if !known {
		f.Beam = 2 * math.Acos(math.Pow(0.5, 1/n))
	}
	for _, r := range readings {
		f.Worst = max(f.Worst, math.Abs(at(s, r)/r.PPFD-1))
	}
	return s, f
}
