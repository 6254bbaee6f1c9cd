package light

import (
	"littoral/internal/geometry"
	"littoral/internal/plan"
)

// What bed, stones and wood give back of the light when the plan does not say it: 5 to 15 % for dark soils and wet stones,
// up to 40 % for white sand (common practice, no source).
const (
	usualGround = 0.1
	usualStone  = 0.1
)

// LeafScattering is the share of the photosynthetic light that leaves scatter rather than take, half of it reflected and half let through: 0.2 (Goudriaan
// and van Laar 1994, Modelling Potential Crop Growth Processes, from memory; Gates et al. 1965, Appl. Optics 4, and Ross 1981 give 0.1 to
// 0.25 for green leaves of land plants).
const LeafScattering = 0.2

// usualColour is the colour of the water, 1/m, where a plan states no optics: a planted tank that has settled (common practice, no source).
const usualColour = 0.1

// Water is what light meets in the water.
type Water struct {
	Absorption float64 // 1/m along the path
	Scattering float64 // 1/m along the path
	Asymmetry  float64 // mean cosine of the angle of scattering
	Ground     float64 // share that bed or bottom gives back
	Stone      float64 // share that stones and wood give back
	Leaf       float64 // share of what they meet that leaves scatter
}

// WaterOf takes the optics from a plan. Where it states none the water is that of a settled planted tank: it weakens light by absorption alone,
// which stands for the little that it scatters too.
func WaterOf(p *plan.Plan) Water {
	if o := p.Optics; o != nil {
		return Water{float64(o.Absorption), float64(o.Scattering), o.Asymmetry, o.GroundShare, o.GroundShare, LeafScattering}
	}
	return Water{Absorption: Kd(usualColour, 0), Ground: usualGround, Stone: usualStone, Leaf: LeafScattering}
}

// Over puts the water into the solver's settings.
func (w Water) Over(opt Options) Options {
	opt.Scattering, opt.Asymmetry, opt.Ground, opt.Stone, opt.Leaf = w.Scattering, w.Asymmetry, w.Ground, w.Stone, w.Leaf
	return opt
}

// Canopy is what grows in the tank, on the grid of a study; nil slices mean nothing.
type Canopy struct {
	Leaf  []float64 // extinction by voxel, 1/m
	Cover []float64 // share of the light that floating leaves stop, by column
	Kd    float64   // extinction of the water on that day, 1/m; used unless the plan states optics
	Tint  float64   // of it, by dissolved colour
}

// Study is the light of a plan's lamps at full power, solved once and finely.
type Study struct {
	Field   *Field
	Bands   []*Field // of it, by Band, where lamps have channels
	Water   Water
	Sources []Source

	bands    []band // one for all light, or three where lamps have channels
	canopy   *Canopy
	daylight *Daylight // nil without windows
	plan     *plan.Plan
}

// Tinted is the field when the water takes more light by so much (1/m), as when new wood stains it.
func (s *Study) Tinted(more float64) *Field {
	all, _ := s.solve(max(more, 0))
	return all
}

// band is a part of the lamps' light that the water takes alike.
type band struct {
	solver *Solver
	kd     float64 // 1/m
	tint   float64 // what more colour of 1/m takes of it
	flux   float64 // µmol/s
}

// solve adds up the bands in water of so much more colour, 1/m.
func (s *Study) solve(more float64) (all *Field, parts []*Field) {
	var budget Budget
	sum := 0.0
	for _, b := range s.bands {
		f := b.solver.Solve(s.canopy.Leaf, s.canopy.Cover, b.kd+more*b.tint, nil)
		budget.add(f.Budget, b.flux)
		sum += b.flux
		parts = append(parts, f)
		if all == nil {
			all = f
			continue
		}
		all = Mix(all, f, 1, 1, nil)
	}
	if len(s.bands) > 1 && sum > 0 {
		all.Budget = Budget{}
		all.Budget.add(budget, 1/sum)
	}
	return all, parts
}

// add adds another budget's shares, times a factor.
func (b *Budget) add(o Budget, x float64) {
	b.Missed += x * o.Missed
	b.Reflected += x * o.Reflected
	b.Water += x * o.Water
	b.Leaves += x * o.Leaves
	b.Hardscape += x * o.Hardscape
	b.Bed += x * o.Bed
	b.Walls += x * o.Walls
	b.Surface += x * o.Surface
}

// split makes ready the bands: what lamps give in each, and what the water takes of it. Water of stated optics takes all alike.
func (s *Study) split(src []Source, p *plan.Plan, v *geometry.Voxels, t geometry.Tank, opt Options) {
	colour, rest := usualColour, 0.0
	if s.canopy.Kd > 0 {
		colour = s.canopy.Tint
		rest = max(s.canopy.Kd-ExtinctionPure-colour, 0) / ExtinctionPerMgL
	}
	for b := range Bands {
		part := band{kd: KdOf(b, colour, rest), tint: colourBy[b]}
		if p.Optics != nil {
			part.kd, part.tint = s.Water.Absorption, 1
		}
		own := make([]Source, len(src))
		for i := range src {
			own[i] = src[i]
			own[i].Flux *= SpectrumOf(&p.Lamps[i])[b]
			part.flux += own[i].Flux
		}
		part.solver = NewSolver(own, v, t, opt)
		s.bands = append(s.bands, part)
	}
}

// studyCell is the edge of the voxels that a study is solved on, m; smallCell that in tanks of less than smallTank, m³, whose light changes over
// shorter ways; mostVoxels is how many there may be before they are made larger.
const (
	studyCell  = 0.025
	smallCell  = 0.0125
	smallTank  = 0.2
	mostVoxels = 600_000
)

// Voxels lays the grid of a study over a tank: of 2.5 cm, finer in small tanks and coarser in very large ones.
func Voxels(m *geometry.Model) *geometry.Voxels {
	cell, volume := studyCell, m.Tank.LX*m.Tank.LY*m.Tank.WaterLevel
	if volume < smallTank {
		cell = smallCell
	}
	for volume > mostVoxels*cell*cell*cell {
		cell *= 1.25
	}
	return m.Voxels(cell)
}

// NewStudy solves the light of a plan. The voxels are those of Voxels, and canopy belongs to them; a nil canopy is a tank without plants. It
// returns an error that lists every lamp that cannot be used.
func NewStudy(p *plan.Plan, m *geometry.Model, v *geometry.Voxels, canopy *Canopy) (*Study, error) {
	src, err := Sources(p, m.Tank)
	if err != nil {
		return nil, err
	}
	s := &Study{Water: WaterOf(p), Sources: src, plan: p}
	opt := s.Water.Over(Options{Fine: true, TileShare: 0.2, Ripples: p.Tank.Ripples})
	if canopy == nil {
		canopy = &Canopy{}
		if bare(v) {
			opt.MaxEmitters = len(src) // nothing casts a shadow whose edge the parts of a lamp would soften
		}
	} else if p.Optics == nil && canopy.Kd > 0 {
		s.Water.Absorption = canopy.Kd
	}
	s.canopy = canopy
	if Channelled(p) {
		s.split(src, p, v, m.Tank, opt)
	} else {
		s.bands = []band{{NewSolver(src, v, m.Tank, opt), s.Water.Absorption, 1, 1}}
	}
	var parts []*Field
	if s.Field, parts = s.solve(0); len(parts) > 1 {
		s.Bands = parts
	}
	if windows := Windows(p, m.Tank); windows != nil {
		s.daylight = NewDaylight(windows, v, m.Tank, float64(p.Tank.Hood), opt)
	}
	return s, nil
}

// Daytime is a day's light through the windows.
type Daytime struct {
	Noon     Shine // of the sky, in the hour after noon
	Sun      Shine // of the sun alone, in its brightest hour
	Sum      Shine // of the whole day: µmol m⁻² s⁻¹ × h in place of µmol m⁻² s⁻¹
	SunHours float64
	LampDay  float64 // hours of the lamps' full light that day, ramps counted half
}

// Day is the light through the windows on a day after planting (0 or later); nil in a plan without any.
func (s *Study) Day(day int) *Daytime {
	if s.daylight == nil {
		return nil
	}
	hours := SkyOn(s.plan, day)
	n := len(s.plan.Daylight.Windows)
	noon, sun, sum := make([]Sky, n), make([]Sky, n), make([]Sky, n)
	most := 0.0
	for h, sky := range hours {
		shining := 0.0
		for i, now := range sky {
			sum[i].Diffuse += now.Diffuse
			sum[i].Sun += now.Sun
			shining += s.daylight.Entering(i, Sky{Sun: now.Sun})
			if h == 12 {
				noon[i].Diffuse = now.Diffuse
			}
		}
		if shining > most {
			most = shining
			for i, now := range sky {
				sun[i].Sun = now.Sun
			}
		}
	}
	solve := func(sky []Sky) Shine {
		return s.daylight.Solve(s.canopy.Leaf, s.canopy.Cover, s.Water.Absorption, sky, nil)
	}
	d := &Daytime{Noon: solve(noon), Sun: solve(sun), Sum: solve(sum), SunHours: SunHours(s.plan, day)}
	for i := range s.plan.LightDay {
		if l := &s.plan.LightDay[i]; float64(l.From) <= float64(day) && (l.Until == 0 || float64(day) < float64(l.Until)) {
			d.LampDay = float64(l.Dim) * max(l.Hours-float64(l.Ramp)/3600, 0)
		}
	}
	return d
}

// bare says that nothing stands on the bed.
func bare(v *geometry.Voxels) bool {
	plane := v.NX * v.NY
	for i, solid := range v.Solid {
		if solid && i/plane >= v.GroundIZ[i%plane] {
			return false
		}
	}
	return true
}
