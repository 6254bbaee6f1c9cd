package growth

import (
	"math"
	"slices"
	"strings"
)

// LeafLayer is the light on the leaves of one planting in one layer of voxels.
type LeafLayer struct {
	Planting  string  // id of the planting in the plan
	Low, High float64 // m above the bottom glass
	LeafM2    float64 // projected leaf area
	PPFD      float64 // mean on it at full light hours, leaves' own shade included, µmol m⁻² s⁻¹
	Full      float64 // what would be there if no plant stood in the tank; 0 when that has not been told (SetOpen)
}

// SetOpen tells the PPFD of the same tank and water without plants, by voxel; States and Layers then say what of it reaches the leaves. The
// slice is read, never changed, until the next call.
func (s *Stand) SetOpen(ppfd []float64) { s.bare = ppfd }

// Layers lists the light on all leaves by planting, in the order of their names, and layer, from below.
func (s *Stand) Layers() []LeafLayer {
	v := s.vox
	plane := v.NX * v.NY
	sums := make([]LeafLayer, len(s.names)*v.NZ)
	for i := range s.plants {
		p := &s.plants[i]
		start := 0
		for _, l := range p.layers {
			cells := p.cells[start : start+l.n]
			start += l.n
			if l.n == 0 || l.w <= 0 {
				continue
			}
			k := int(cells[0].i) / plane
			to := &sums[int(p.pi)*v.NZ+k]
			area := p.area * l.w
			to.LeafM2 += area
			to.PPFD += area * l.ppfd
			to.Full += area * s.fullOn(cells)
		}
	}
	var out []LeafLayer
	for i, l := range sums {
		if l.LeafM2 <= 0 {
			continue
		}
		l.Planting = s.names[i/v.NZ]
		l.Low, l.High = float64(i%v.NZ)*v.Cell, float64(i%v.NZ+1)*v.Cell
		l.PPFD /= l.LeafM2
		l.Full /= l.LeafM2
		out = append(out, l)
	}
	slices.SortStableFunc(out, func(a, b LeafLayer) int { return strings.Compare(a.Planting, b.Planting) })
	return out
}

// fullOn is the mean light on some leaves without plants in the tank; 0 when it has not been told.
func (s *Stand) fullOn(cells []leafShare) float64 {
	if len(s.bare) != len(s.ppfd) {
		return 0
	}
	sum, light := 0.0, 0.0
	for _, c := range cells {
		sum += float64(c.w)
		light += float64(c.w) * s.bare[c.i]
	}
	if sum <= 0 {
		return 0
	}
	return light / sum
}

// shaded fills in what a plant gets of full light and what its shader takes of it: of all that other plants take at its top, the shader's share of
// the leaves above it, since light comes mainly from above.
func (s *Stand) shaded(p *plant, st *PlantState) {
	st.FullPPFD = s.fullOn(p.cells)
	n := len(p.layers)
	if n == 0 || p.layers[n-1].n > len(p.cells) {
		return
	}
	full := s.fullOn(p.cells[len(p.cells)-p.layers[n-1].n:])
	if full <= 0 {
		return
	}
	st.Shade = math.Max(0, 1-p.top/full)
	if p.shader >= 0 {
		st.ShaderTakes = st.Shade * p.shaderPart
	}
}
