package forecast

import (
	"context"

	"littoral/internal/geometry"
	"littoral/internal/light"
	"littoral/internal/plan"
)

// Grown forecasts the plan to a day after planting (0 or later) and returns its tank, the voxels of a light study (see light.Voxels) and what
// grows in them on that day. It stops with the context's error when ctx ends; other errors are those of Run.
func Grown(ctx context.Context, p *plan.Plan, day int, opt Options) (*geometry.Model, *geometry.Voxels, *light.Canopy, error) {
	model, err := geometry.Build(p, geometry.Options{Seed: opt.Seed})
	if err != nil {
		return nil, nil, nil, err
	}
	opt.Days, opt.Voxel = max(day, 1), light.Voxels(model).Cell
	b, err := build(p, opt, 0)
	if err != nil {
		return nil, nil, nil, err
	}
	r, err := b.begin(usual(), opt.Seed, b.solver)
	if err != nil {
		return nil, nil, nil, err
	}
	r.days = day
	if err := r.through(ctx); err != nil {
		return nil, nil, nil, err
	}
	c := &light.Canopy{Leaf: make([]float64, len(r.voxels.Solid)), Cover: make([]float64, r.voxels.NX*r.voxels.NY)}
	r.stand.Canopy(c.Leaf, c.Cover)
	c.Kd = light.Kd(r.colourOn(day), r.water.Suspended)
	return b.model, r.voxels, c, nil
}
