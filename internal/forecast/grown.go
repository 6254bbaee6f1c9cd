package forecast

import (
	"context"
	"littoral/internal/geometry"
	"littoral/internal/growth"
	"littoral/internal/light"
	"littoral/internal/plan"
	"sort"
)

// Grown is a planted tank on one day, for a study of its light.
type Grown struct {
	Day    int
	Model  *geometry.Model
	Voxels *geometry.Voxels // as light.Voxels lays them
	Canopy *light.Canopy
	Plants []growth.PlantState
	Leaves []growth.LeafLayer // in full light, by planting and height
	Hours  [24]float64        // mean share of full light in each hour of the day

	hours float64 // of full light that day, ramps and dimming counted
}

// Grow forecasts the plan to a day after planting (0 or later). It stops with the context's error when ctx ends; other errors are those of Run.
func Grow(ctx context.Context, p *plan.Plan, day int, opt Options) (*Grown, error) {
	model, err := geometry.Build(p, geometry.Options{Seed: opt.Seed})
	if err != nil {
		return nil, err
	}
	opt.Days, opt.Voxel = max(day, 1), light.Voxels(model).Cell
	b, err := build(p, opt, 0)
	if err != nil {
		return nil, err
	}
	r, err := b.begin(usual(), opt.Seed, b.solver)
	if err != nil {
		return nil, err
	}
	r.days = day
	r.open = r.solver.Solve(nil, nil, light.Kd(usualColour, 0), nil)
	if err := r.through(ctx); err != nil {
		return nil, err
	}
	r.openLight()
	g := &Grown{Day: day, Model: b.model, Voxels: r.voxels, Plants: r.stand.States(), Leaves: r.stand.Layers()}
	g.Canopy = &light.Canopy{Leaf: make([]float64, len(r.voxels.Solid)), Cover: make([]float64, r.voxels.NX*r.voxels.NY), Kd: light.Kd(r.colourOn(day), r.water.Suspended), Tint: r.colourOn(day)}
	r.stand.Canopy(g.Canopy.Leaf, g.Canopy.Cover)
	for h, hour := range r.lightHours(day) {
		g.Hours[h] = hour.lit * hour.dim
		g.hours += g.Hours[h]
	}
	return g, nil
}

// PlantingLight is what a planting gets, and what its species thrives in.
type PlantingLight struct {
	Planting string
	Species  string
	Plants   float64
	PPFD     float64 // mean over its leaves at the day's full light, µmol m⁻² s⁻¹
	Top      float64 // at its tops
	DLI      float64 // of its leaves' mean, mol m⁻² d⁻¹
	Low      float64 // what the species thrives in at the leaf, µmol m⁻² s⁻¹; 0 when the catalogue does not know
	High     float64
	Share    float64 // leaves' mean over the light at the tops
	OfFull   float64 // leaves' mean over what they would get if no plant stood in the tank
	Shade    float64 // share of full light at the tops that other plants take
	Shader   string  // planting that takes most of its light; empty when none does
	Takes    float64 // share of full light at the tops that the shader takes
}

// Gets says in a word how the light at the tops stands to what the species thrives in: less, enough or more; empty when that is not known.
func (l PlantingLight) Gets() string {
	switch {
	case l.High == 0:
		return ""
	case l.Top < l.Low:
		return "less"
	case l.PPFD > l.High:
		return "more"
	}
	return "enough"
}

// LayersOf lists the light on a planting's leaves from below.
func (g *Grown) LayersOf(planting string) []growth.LeafLayer {
	var out []growth.LeafLayer
	for _, l := range g.Leaves {
		if l.Planting == planting {
			out = append(out, l)
		}
	}
	return out
}

// DLI is the daily light integral, mol m⁻² d⁻¹, of a PPFD at full light, µmol m⁻² s⁻¹.
func (g *Grown) DLI(ppfd float64) float64 { return light.DLI(ppfd, g.hours, 1) }

// Plantings sums up the light of the plants by planting, in the order of their names.
func (g *Grown) Plantings() []PlantingLight {
	type sums struct {
		PlantingLight
		leaf, count float64
		full        float64
		shaders     map[string]float64 // by planting: share of light taken, summed over plants
	}
	all := map[string]*sums{}
	for i := range g.Plants {
		s := &g.Plants[i]
		to := all[s.Planting]
		if to == nil {
			to = &sums{PlantingLight: PlantingLight{Planting: s.Planting, Species: s.Species.Name, Low: s.Species.PAR.Min, High: s.Species.PAR.Max}, shaders: map[string]float64{}}
			all[s.Planting] = to
		}
		n := max(s.Count, 1)
		to.Plants += n
		to.count += n
		to.leaf += s.LeafM2
		to.PPFD += s.PPFD * s.LeafM2
		to.Top += s.TopPPFD * n
		to.full += s.FullPPFD * s.LeafM2
		to.Shade += s.Shade * n
		if s.Shader != "" {
			to.shaders[s.Shader] += s.ShaderTakes * n
		}
	}
	var names []string
	for name := range all {
		names = append(names, name)
	}
	sort.Strings(names)
	var out []PlantingLight
	for _, name := range names {
		s := all[name]
		l := s.PlantingLight
		l.Top /= s.count
		if s.leaf > 0 {
			l.PPFD /= s.leaf
		}
		if s.full > 0 {
			l.OfFull = s.PPFD / s.full
		}
		l.Shade /= s.count
		if l.Top > 0 {
			l.Share = l.PPFD / l.Top
		}
		l.DLI = g.DLI(l.PPFD)
		var shaders []string
		for by := range s.shaders {
			shaders = append(shaders, by)
		}
		sort.Strings(shaders)
		most := 0.0
		for _, by := range shaders {
			if s.shaders[by] > most {
				most, l.Shader = s.shaders[by], by
			}
		}
		l.Takes = most / s.count
		out = append(out, l)
	}
	return out
}
