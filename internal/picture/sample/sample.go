// Package sample is an invented forecast of an invented tank, for tests and for designing drawings and papers without running the
// engine. Its numbers are plausible and nothing more: no test may take them for truth.
package sample

import (
	"fmt"
	"littoral/internal/catalog"
	"littoral/internal/forecast"
	"littoral/internal/geometry"
	"littoral/internal/growth"
	"littoral/internal/mesh"
	"littoral/internal/plan"
	"littoral/internal/unit"
	"math"
	"strings"
)

// planting is a short way to write a planting.
type planting struct {
	species string
	pots    int
	in      []plan.PointCM
	at      []plan.PointCM
	along   []plan.PointCM
	on      string
	afloat  bool
}

// Library returns a forecast of 160 weeks of a tank of 240 × 90 × 65 cm with 17 species.
func Library() *forecast.Forecast {
	return build("Reading room, Quay Street library", 2.4, .9, .65, .60, "box", 1120)
}

// Round returns a forecast of a year of a cylinder, 140 cm across and 90 cm high.
func Round() *forecast.Forecast { return build("Assay hall", 1.4, 1.4, .9, .84, "cylinder", 364) }

// Desk returns a forecast of ten weeks of a small tank, quick to draw, with every planting of the library in one pot each.
func Desk() *forecast.Forecast {
	f := build("Reading desk", .64, .34, .38, .34, "box", 70)
	for i := range f.Snapshots {
		s := &f.Snapshots[i]
		kept := s.Plants[:0]
		for _, p := range s.Plants {
			if strings.HasSuffix(p.ID, "/1") {
				kept = append(kept, p)
			}
		}
		s.Plants = kept
	}
	for i := range f.Plan.Plants {
		f.Plan.Plants[i].Pots = 1
	}
	return f
}

func build(name string, lx, ly, height, level float64, shape string, days int) *forecast.Forecast {
	cm := func(x, y float64) plan.PointCM { return plan.PointCM{x * lx / 2.4, y * ly / .9} }
	poly := func(v ...float64) []plan.PointCM {
		var out []plan.PointCM
		for i := 0; i < len(v); i += 2 {
			out = append(out, cm(v[i], v[i+1]))
		}
		return out
	}
	plantings := []planting{
		{species: "Vallisneria americana", pots: 14, along: poly(6, 82, 70, 84)},
		{species: "Vallisneria americana", pots: 14, along: poly(170, 84, 234, 82)},
		{species: "Hygrophila corymbosa", pots: 8, in: poly(78, 70, 104, 70, 104, 86, 78, 86)},
		{species: "Rotala rotundifolia", pots: 12, in: poly(110, 72, 142, 72, 142, 87, 110, 87)},
		{species: "Ludwigia repens", pots: 9, in: poly(146, 70, 166, 70, 166, 86, 146, 86)},
		{species: "Limnophila sessiliflora", pots: 6, in: poly(20, 66, 40, 66, 40, 78, 20, 78)},
		{species: "Aquarius grisebachii", pots: 1, at: poly(62, 62)},
		{species: "Aquarius grisebachii", pots: 1, at: poly(182, 60)},
		{species: "Cryptocoryne wendtii", pots: 12, in: poly(60, 24, 108, 22, 105, 44, 65, 46)},
		{species: "Cryptocoryne wendtii", pots: 9, in: poly(196, 28, 230, 26, 228, 48, 200, 50)},
		{species: "Cryptocoryne beckettii", pots: 3, at: poly(30, 44, 38, 50, 44, 42)},
		{species: "Eleocharis pusilla", pots: 20, in: poly(8, 14, 58, 16, 56, 32, 10, 36)},
		{species: "Micranthemum tweediei", pots: 16, in: poly(150, 15, 200, 14, 204, 24, 190, 34, 154, 32)},
		{species: "Staurogyne repens", pots: 10, in: poly(112, 16, 146, 17, 144, 30, 116, 30)},
		{species: "Microsorum pteropus", pots: 6, on: "main-root"},
		{species: "Anubias barteri var. nana", pots: 5, on: "main-root"},
		{species: "Taxiphyllum barbieri", pots: 6, on: "main-root"},
		{species: "Nymphaea lotus", pots: 1, at: poly(140, 52)},
		{species: "Blyxa japonica", pots: 5, at: poly(128, 38, 134, 42, 140, 37, 147, 43, 121, 40)},
		{species: "Limnobium laevigatum", pots: 4, afloat: true},
	}
	p := &plan.Plan{
		Littoral: 1, Name: name, Planted: "2027-03-01",
		Tank: plan.Tank{
			Shape:  shape,
			Inside: plan.Inside{Length: unit.Length(lx), Width: unit.Length(ly), Height: unit.Length(height)},
			Glass:  plan.Glass{Thickness: .019, Edges: "braced"}, WaterLevel: unit.Length(level),
			SeenFrom: []string{"front", "left", "right"}, Cover: "open",
		},
		Room: plan.Room{Temperature: 21, Humidity: .5, Floor: &plan.Floor{Kind: "concrete slab", AllowedLoad: 5000}},
		Substrate: plan.Substrate{
			Layers: []plan.Layer{{Material: "active soil, normal grain"}},
			Caps:   []plan.Cap{{Material: "fine quartz sand", Over: poly(0, 0, 240, 0, 240, 13, 200, 12, 150, 14, 90, 10, 40, 13, 0, 10), Depth: .03}},
		},
		Lamps: []plan.Lamp{
			{ID: "lamp-1", Kind: "panel", At: cm(60, 45), AboveWater: .25, Size: [2]unit.Length{.55, .2}, PPF: 420, Power: 160},
			{ID: "lamp-2", Kind: "panel", At: cm(180, 45), AboveWater: .25, Size: [2]unit.Length{.55, .2}, PPF: 420, Power: 160},
		},
		LightDay: []plan.LightDay{
			{Until: 21, On: 12 * 3600, Hours: 6, Dim: .6},
			{From: 21, Until: 35, On: 11.5 * 3600, Hours: 7, Dim: .8},
			{From: 35, On: 11 * 3600, Hours: 8, Dim: 1, Ramp: 1800},
		},
		CO2:       []plan.CO2{{Target: 25, On: 9.5 * 3600, Off: 18 * 3600}},
		Water:     plan.Water{Tap: plan.Tap{Alkalinity: 2.5, Hardness: 2.14, PH: 7.6, Nitrate: 18}, Mix: plan.Mix{Pure: .6}, Salts: []plan.SaltDose{{Salt: "CaSO4·2H2O", Dose: 20}}},
		Filter:    []plan.Filter{{Flow: 5000.0 / 3.6e6, Real: .65, Media: .02}},
		Heater:    &plan.Heater{Power: 600, Set: 24},
		Livestock: []plan.Stock{{ID: "shoal", Species: "Paracheirodon innesi", Count: 60, From: 42}},
		Feeding:   []plan.Feeding{{From: 42, DryFood: .5e-3 / 86400, Protein: .45}},
		Care: []plan.Care{
			{ID: "changes-early", Every: unit.Every{N: 2, Freq: "DAILY"}, Until: 14, Do: "water-change", Share: .5},
			{ID: "changes", Every: unit.Every{N: 1, Freq: "WEEKLY"}, From: 14, Do: "water-change", Share: .4},
			{ID: "dose", Every: unit.Every{N: 1, Freq: "WEEKLY"}, From: 7, Do: "dose", Salts: map[string]string{"KNO3": "6 g", "KH2PO4": "0.8 g", "iron": "0.2 g"}, Grams: map[string]float64{"KNO3": 6, "KH2PO4": .8, "iron": .2}},
			{ID: "trim-stems", Every: unit.Every{N: 3, Freq: "WEEKLY"}, From: 28, Do: "trim", Species: "Hygrophila corymbosa", To: .3},
			{ID: "tablets", Every: unit.Every{N: 3, Freq: "MONTHLY"}, From: 270, Do: "root-feed", Tablets: 20, Where: "thin"},
		},
		Costs: plan.Costs{Currency: "EUR", Labour: 48},
		Cat:   catalog.Default(), House: plan.DefaultHouse(),
	}
	m, cols := bodies(lx, ly, height, level, shape, p)
	f := &forecast.Forecast{Plan: p, Model: m, Columns: cols, Seed: 1, Length: days}
	ground := func(x, y float64) float64 {
		ix, iy := int(math.Min(x/cols.Cell, float64(cols.NX-1))), int(math.Min(y/cols.Cell, float64(cols.NY-1)))
		return cols.Top[iy*cols.NX+ix]
	}
	type pot struct {
		s    growth.PlantState
		late float64
	}
	var pots []pot
	for i, q := range plantings {
		sp, ok := p.Cat.Species(q.species)
		if !ok {
			panic("sample: " + q.species + " is not in the catalogue")
		}
		id := fmt.Sprintf("%02d-%s", i+1, sp.Form)
		p.Plants = append(p.Plants, plan.Planting{ID: id, Species: q.species, Pots: q.pots, In: q.in, At: q.at, Along: q.along, On: q.on, Afloat: q.afloat})
		for n := range q.pots {
			x, y, z := 0.0, 0.0, -1.0
			u := noise(i, n)
			switch {
			case q.at != nil:
				x, y = q.at[n][0]/100, q.at[n][1]/100
			case q.along != nil:
				t := (float64(n) + .5) / float64(q.pots)
				x, y = (q.along[0][0]+t*(q.along[1][0]-q.along[0][0]))/100, (q.along[0][1]+t*(q.along[1][1]-q.along[0][1]))/100
			case q.on != "":
				l := m.Solids[0].Limbs[(n*3+i)%len(m.Solids[0].Limbs)]
				x, y, z = l.A[0]+u*(l.B[0]-l.A[0]), l.A[1]+u*(l.B[1]-l.A[1]), l.A[2]+u*(l.B[2]-l.A[2])+l.RA*.7
			case q.afloat:
				x, y, z = lx*(.3+.12*float64(n)), ly*(.6+.2*u), level
			default: // a loose grid over the outline's box, pots outside it drawn in
				cols := int(math.Ceil(math.Sqrt(float64(q.pots) * 2)))
				x0, y0, x1, y1 := 1e9, 1e9, -1e9, -1e9
				for _, c := range q.in {
					x0, x1, y0, y1 = math.Min(x0, c[0]), math.Max(x1, c[0]), math.Min(y0, c[1]), math.Max(y1, c[1])
				}
				rows := (q.pots + cols - 1) / cols
				x = (x0 + (x1-x0)*(float64(n%cols)+.5+.3*(u-.5))/float64(cols)) / 100
				y = (y0 + (y1-y0)*(float64(n/cols)+.5+.3*(noise(n, i)-.5))/float64(rows)) / 100
			}
			if shape == "cylinder" { // pull what would stand outside the glass in
				dx, dy := x-lx/2, y-ly/2
				if r := math.Hypot(dx, dy); r > lx/2-.05 {
					x, y = lx/2+dx/r*(lx/2-.05), ly/2+dy/r*(lx/2-.05)
				}
			}
			if z < 0 {
				z = ground(x, y)
			}
			st := growth.PlantState{ID: fmt.Sprintf("%s/%d", id, n+1), Planting: id, Species: sp, X: x, Y: y, Z: z, Column: -1, On: q.on}
			pots = append(pots, pot{st, u})
		}
	}
	state := func(p pot, day int) growth.PlantState {
		s := p.s
		d := float64(day)
		rate := map[string]float64{"very slow": .004, "slow": .007, "medium": .012, "fast": .02, "very fast": .03}[s.Species.Speed]
		g := 1 / (1 + 2.2*math.Exp(-rate*(d-20+30*p.late)))
		if day < 24 {
			g *= 1 - .25*math.Sin(math.Pi*d/24)
		}
		s.HeightM = s.Species.HeightCM.Max / 100 * g * (.85 + .25*p.late)
		s.SpreadM = s.Species.SpreadCM.Max / 100 * g * (.85 + .25*p.late)
		s.Leaves = 4 + 18*g*(.7+.6*p.late)
		if s.Species.Form == catalog.Stem {
			period := 21 * (1 + p.late*.1)
			s.HeightM = .12 + (s.Species.HeightCM.Max/100-.12)*math.Min(1, g*(.5+.6*math.Mod(d, period)/period))
			s.SpreadM = .05 + .09*g
			s.Stems = 3 + math.Floor(4*g)
			s.Leaves = s.Stems
		}
		if s.Species.Form == catalog.Floating {
			s.HeightM = .04 + .08*g
		}
		s.ShootG = 40 * s.HeightM * s.SpreadM * 20 * g
		s.RootG = s.ShootG * .2
		s.QN, s.QP, s.QK, s.Iron = .03, .004, .03, .9
		s.PPFD, s.TopPPFD, s.Red, s.LeafM2 = 45, 80, .6, s.ShootG*.04
		s.Limits = growth.Limits{Light: .6, CO2: .8, N: .9, P: .95, K: 1, Fe: 1, Temp: .95, Space: 1 - g}
		s.Submerse = math.Min(1, d/30)
		return s
	}
	for day := 0; day <= days; day += 7 {
		snap := forecast.Snapshot{Day: day}
		for n, q := range pots {
			snap.Plants = append(snap.Plants, state(q, day))
			if q.s.Species.Form != catalog.Carpet && q.s.Species.Form != catalog.Runner {
				continue
			}
			for k := range min(6, day/(40+n%9)) { // runners
				r := q
				r.s.ID = fmt.Sprintf("%s.%d", q.s.ID, k+1)
				r.s.X += (noise(n, k) - .5) * .18
				r.s.Y += (noise(k, n) - .5) * .12
				r.s.X, r.s.Y = math.Max(.03, math.Min(lx-.03, r.s.X)), math.Max(.03, math.Min(ly-.03, r.s.Y))
				if shape == "cylinder" && math.Hypot(r.s.X-lx/2, r.s.Y-ly/2) > lx/2-.04 {
					continue
				}
				r.s.Z = ground(r.s.X, r.s.Y)
				r.s.Born = (k + 1) * 40
				r.late = noise(n+k, 7)
				snap.Plants = append(snap.Plants, state(r, day-r.s.Born))
			}
		}
		sortByID(snap.Plants)
		for i := range cols.Area {
			if cols.Area[i] > 0 {
				snap.Soil = append(snap.Soil, forecast.Patch{Column: i, N: 80, P: 20, K: 60, Months: math.Max(0, 14+10*cols.Top[i]/.1-float64(day)/30), Short: "P"})
			}
		}
		f.Snapshots = append(f.Snapshots, snap)
	}
	f.LightMaps = []forecast.LightMap{lightMap(lx, ly, cols)}
	series(f)
	f.Balance = forecast.Balance{Elements: []forecast.ElementBalance{
		{Element: "N", Unit: "mg", Start: 120000, End: 98000, In: []forecast.Entry{{Name: "fish food", Amount: 34000}, {Name: "dosed salts", Amount: 131000}, {Name: "water changed in", Amount: 210000}}, Out: []forecast.Entry{{Name: "cut plants", Amount: 160000}, {Name: "water changed out", Amount: 230000}, {Name: "to the air", Amount: 7000}}, Relative: 3e-13},
		{Element: "P", Unit: "mg", Start: 30000, End: 21000, In: []forecast.Entry{{Name: "fish food", Amount: 5000}, {Name: "dosed salts", Amount: 29000}}, Out: []forecast.Entry{{Name: "cut plants", Amount: 22000}, {Name: "water changed out", Amount: 21000}}, Relative: 2e-13},
	}}
	return f
}

func noise(a, b int) float64 {
	x := math.Sin(float64(a)*12.9898+float64(b)*78.233+1) * 43758.5453
	return x - math.Floor(x)
}

func sortByID(p []growth.PlantState) {
	for i := 1; i < len(p); i++ {
		for j := i; j > 0 && p[j].ID < p[j-1].ID; j-- {
			p[j], p[j-1] = p[j-1], p[j]
		}
	}
}

// bodies builds the tank, its bed and its hardscape without the geometry engine.
func bodies(lx, ly, height, level float64, shape string, p *plan.Plan) (*geometry.Model, *geometry.Columns) {
	t := geometry.Tank{Shape: shape, LX: lx, LY: ly, Height: height, WaterLevel: level, Glass: .019, Bottom: .019}
	if shape == "cylinder" {
		for i := range 96 {
			s, c := math.Sincos(float64(i) * 2 * math.Pi / 96)
			t.Footprint = append(t.Footprint, [2]float64{lx/2 + lx/2*c, ly/2 + ly/2*s})
		}
	} else {
		t.Footprint = [][2]float64{{0, 0}, {lx, 0}, {lx, ly}, {0, ly}}
	}
	const cell = .05
	cols := &geometry.Columns{Cell: cell, NX: int(math.Ceil(lx/cell - 1e-9)), NY: int(math.Ceil(ly/cell - 1e-9)), Layers: []geometry.BedLayer{{Material: "pumice, coarse"}, {Material: "active soil, normal grain"}, {Material: "fine quartz sand"}}}
	n := cols.NX * cols.NY
	cols.Area, cols.Free, cols.Top, cols.Slope = make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	cols.Depth = [][]float64{make([]float64, n), make([]float64, n), make([]float64, n)}
	top := func(x, y float64) float64 {
		u, v := x/lx, y/ly
		return .04 + .085*math.Pow(v, 1.2) + .07*math.Exp(-(math.Pow((u-.66)/.16, 2)+math.Pow((v-.68)/.3, 2))) - .012*math.Sin(u*9)*(1-v)*v*2
	}
	for i := range n {
		x, y := (float64(i%cols.NX)+.5)*cell, (float64(i/cols.NX)+.5)*cell
		if shape == "cylinder" && math.Hypot(x-lx/2, y-ly/2) > lx/2 {
			continue
		}
		cols.Area[i], cols.Free[i] = cell*cell, 1
		cols.Top[i] = top(x, y)
		cols.Depth[0][i] = cols.Top[i] * .35
		cols.Depth[1][i] = cols.Top[i] * .65
		if y < .12*ly/.9 {
			cols.Depth[2][i] = .02
			cols.Depth[1][i] -= .02
		}
		cols.Slope[i] = 8
	}
	m := &geometry.Model{Tank: t}
	// A root: a trunk on the hill that parts into limbs.
	base := [3]float64{.66 * lx, .62 * ly, top(.66*lx, .62*ly)}
	wood := geometry.Solid{ID: "main-root", Kind: "wood", Material: "waterlogged hardwood", Volume: .011, MassDry: 9.4, Upthrust: 0}
	reach := math.Min(lx, 1.4*ly) * .36
	for i := range 6 {
		a := float64(i)*1.05 + .3
		at := base
		r := .035
		for k := range 3 {
			s, c := math.Sincos(a + (noise(i, k)-.5)*.9)
			l := reach * (.5 - .08*float64(k))
			up := .05 + .11*noise(k, i)*float64(2-i%3)
			to := [3]float64{clamp(at[0]+c*l, .05, lx-.05), clamp(at[1]+s*l*.7, .05, ly-.05), clamp(at[2]+up, .02, level-.04)}
			if shape == "cylinder" {
				dx, dy := to[0]-lx/2, to[1]-ly/2
				if q := math.Hypot(dx, dy); q > lx/2-.08 {
					to[0], to[1] = lx/2+dx/q*(lx/2-.08), ly/2+dy/q*(lx/2-.08)
				}
			}
			wood.Limbs = append(wood.Limbs, geometry.Limb{A: at, B: to, RA: r, RB: r * .66})
			if k == 1 {
				s2, c2 := math.Sincos(a + 1.1)
				wood.Limbs = append(wood.Limbs, geometry.Limb{A: at, B: [3]float64{clamp(at[0]+c2*l*.6, .05, lx-.05), clamp(at[1]+s2*l*.4, .05, ly-.05), math.Min(at[2]+.1, level-.03)}, RA: r * .6, RB: r * .25})
			}
			at, r = to, r*.66
		}
	}
	wood.Min, wood.Max = [3]float64{.3 * lx, .3 * ly, .1}, [3]float64{.95 * lx, .95 * ly, .5}
	m.Solids = append(m.Solids, wood)
	for i, s := range [][5]float64{{.30, .34, .30, .20, .2}, {.24, .22, .16, .12, .11}, {.56, .36, .26, .2, .17}, {.86, .30, .2, .15, .12}, {.80, .17, .1, .08, .06}} {
		x, y := s[0]*lx, s[1]*ly
		b := boulder(i, s[2]/2, s[3]/2, s[4]/2)
		c := [3]float64{x, y, top(x, y) + s[4]*.22}
		b.Translate(c)
		lo, hi := b.Bounds()
		v := s[2] * s[3] * s[4] * math.Pi / 6
		m.Solids = append(m.Solids, geometry.Solid{ID: fmt.Sprintf("stone-%d", i+1), Kind: "stone", Material: "slate", Body: b, Volume: v, MassDry: v * 2700, InWater: v * .6, Min: lo, Max: hi})
	}
	gross, net := lx*ly*height*1000, lx*ly*(level-.09)*1000*.97
	if shape == "cylinder" {
		gross, net = gross*math.Pi/4, net*math.Pi/4
	}
	m.Facts = geometry.Facts{
		GrossL: gross, ToLevelL: gross * level / height, NetWaterL: net, PoreWaterL: 95, BedL: 190, BedDryKG: 175,
		BedByMaterial: []geometry.MaterialSum{{Material: "active soil, normal grain", Litres: 152, DryKG: 140}, {Material: "fine quartz sand", Litres: 24, DryKG: 35}},
		StoneL:        16, WoodL: 11, StoneKG: 43, WoodKG: 9.4, HardInWaterKG: 24, GlassKG: 240, StandKG: 160, FilledKG: net + 95 + 175 + 43 + 9 + 240 + 160,
		FootprintM2: lx*ly + .1, MaxSlopeDeg: 24, MaxSlopeAt: [2]float64{1.5, .5}, MinClearance: .06,
	}
	m.Facts.LoadPa = m.Facts.FilledKG * 9.80665 / m.Facts.FootprintM2
	_ = p
	return m, cols
}

func clamp(x, lo, hi float64) float64 { return math.Max(lo, math.Min(hi, x)) }

// boulder is a rough ellipsoid of flat faces.
func boulder(seed int, a, b, c float64) *mesh.Mesh {
	m := &mesh.Mesh{}
	const rings, round = 6, 9
	for i := 0; i <= rings; i++ {
		for j := range round {
			th, ph := math.Pi*float64(i)/rings, 2*math.Pi*(float64(j)+.5*float64(i%2))/round
			r := .82 + .3*noise(seed*31+i, j)
			if i == 0 || i == rings {
				r = .9
			}
			m.Vertices = append(m.Vertices, [3]float64{a * r * math.Sin(th) * math.Cos(ph), b * r * math.Sin(th) * math.Sin(ph), c * r * math.Cos(th)})
		}
	}
	for i := range rings {
		for j := range round {
			p, q := int32(i*round+j), int32(i*round+(j+1)%round)
			m.Faces = append(m.Faces, [3]int32{p, p + round, q}, [3]int32{q, p + round, q + round})
		}
	}
	return m
}

func lightMap(lx, ly float64, c *geometry.Columns) forecast.LightMap {
	m := forecast.LightMap{NX: c.NX, NY: c.NY, CellX: c.Cell, CellY: c.Cell, Min: math.Inf(1)}
	n := 0.0
	for i := range c.NX * c.NY {
		x, y := (float64(i%c.NX)+.5)*c.Cell, (float64(i/c.NX)+.5)*c.Cell
		v := 0.0
		for _, l := range []float64{.25, .75} {
			d2 := math.Pow(math.Max(0, math.Abs(x-l*lx)-.2), 2) + math.Pow(y-ly/2, 2)
			v += 96 * math.Pow(1+d2/.16, -1.7) * (1 + 1.2*c.Top[i])
		}
		m.PPFD = append(m.PPFD, v)
		if c.Area[i] > 0 {
			m.Min, m.Max, m.Mean, n = math.Min(m.Min, v), math.Max(m.Max, v), m.Mean+v, n+1
		}
	}
	m.Mean /= n
	return m
}

// series invents the daily water and the care events.
func series(f *forecast.Forecast) {
	net := f.Model.Facts.NetWaterL
	shoot := map[int]float64{}
	for _, s := range f.Snapshots {
		for i := range s.Plants {
			shoot[s.Day] += s.Plants[i].ShootG
		}
	}
	for d := 0; d <= f.Length; d++ {
		x := float64(d)
		day := forecast.Day{Day: d, TempC: 24 + .4*math.Sin(x/58), LightHours: 8, Dim: 1, Contrast: .86}
		day.TempMin, day.TempMax = day.TempC-.3, day.TempC+.4
		if d < 21 {
			day.LightHours, day.Dim, day.Contrast = 6, .6, .6+.012*x
		}
		change := d%2 == 0 && d < 14 || d >= 14 && d%7 == 0
		share := .4
		if d < 14 {
			share = .5
		}
		saw := math.Mod(x, 7) / 7
		day.NH4 = 2.4 * math.Exp(-math.Pow((x-8)/6, 2))
		day.NO2 = 1.3 * math.Exp(-math.Pow((x-17)/6, 2))
		day.NO3 = 5 + 6*(1-saw) + 6*math.Exp(-math.Pow((x-30)/12, 2)) - 3*x/float64(f.Length)
		day.PO4 = .4 + .5*(1-saw)
		day.K, day.Ca, day.Mg, day.Fe = 9+3*(1-saw), 40, 7, .05+.1*(1-saw)
		day.KH, day.GH = 2.6+1.4*(1-math.Exp(-x/200)), 6.8+.4*saw
		day.CO2Dawn, day.CO2On, day.CO2Max = 8+2*math.Sin(x/40), 24, 26
		day.PHDawn, day.PHDusk = 7.15, 6.62
		day.O2Dawn, day.O2Dusk = 7.4-1.1*math.Min(1, x/300), 8.6+.6*math.Min(1, x/200)
		day.Suspended, day.Kd = 1, .3
		day.ShootG = shoot[d/7*7]
		day.RootG = day.ShootG * .2
		day.GrowthG = day.ShootG * .01
		day.Cover = math.Min(.94, .18+.8*(1-math.Exp(-x/45)))
		day.BedPPFD = 62 - 40*day.Cover
		day.SoilN, day.SoilP, day.SoilK = 90000*math.Exp(-x/600), 30000*math.Exp(-x/900), 60000*math.Exp(-x/700)
		day.BufferMeq = 900 * math.Exp(-x/160)
		day.Nitrifiers = math.Min(1, .02*math.Exp(x/7))
		day.Flow = 1 - .3*math.Mod(x, 56)/56
		day.EvaporatedL, day.TopUpL, day.CO2UsedG, day.HeaterKWh, day.LampKWh = 6, 6, 70, 2.2, 2.5
		if change {
			day.ChangedL = share * net
			id := "changes"
			if d < 14 {
				id = "changes-early"
			}
			f.Events = append(f.Events, forecast.Event{Day: d, Hour: 10, Kind: "water-change", ID: id, Text: "Water changed.", Amount: day.ChangedL, Unit: "L", Minutes: 40})
			day.Minutes += 40
		}
		if d >= 7 && d%7 == 0 {
			f.Events = append(f.Events, forecast.Event{Day: d, Hour: 10.5, Kind: "dose", ID: "dose", Text: "Weekly dose given.", Amount: 7, Unit: "g", Minutes: 3})
			day.Minutes += 3
		}
		if d >= 28 && (d-28)%21 == 0 {
			day.CutG = 18 + 22*math.Min(1, x/300)
			f.Events = append(f.Events, forecast.Event{Day: d, Hour: 11, Kind: "trim", ID: "trim-stems", Text: "Stems cut to 30 cm.", Amount: 8, Unit: "pots", FreshG: day.CutG / .08, Minutes: 35})
			day.Minutes += 35
		}
		if day.Minutes > 0 {
			f.Visits = append(f.Visits, forecast.Visit{Day: d, Minutes: day.Minutes})
		}
		f.Days = append(f.Days, day)
	}
}

// Bands returns invented bands of forty forecasts of the tank of f.
func Bands(f *forecast.Forecast) *forecast.Bands {
	b := &forecast.Bands{Members: 40, Seed: 1, Length: f.Length, Threshold: .41}
	var mass, nitrate []forecast.Band
	heights := make([][]forecast.Band, len(f.Plan.Plants))
	for d := 0; d <= f.Length; d += 7 {
		b.Days = append(b.Days, d)
		x := f.Days[d].ShootG
		mass = append(mass, forecast.Band{Low: .6 * x, Mid: x, High: 1.5 * x})
		nitrate = append(nitrate, forecast.Band{Low: .5 * f.Days[d].NO3, Mid: f.Days[d].NO3, High: 1.8 * f.Days[d].NO3})
		for i := range heights {
			h := .3 * (1 - math.Exp(-float64(d)/90))
			heights[i] = append(heights[i], forecast.Band{Low: .7 * h, Mid: h, High: 1.3 * h})
		}
	}
	b.Series = []forecast.SeriesBand{{Name: "leaf mass", Unit: "g dry", Bands: mass}, {Name: "nitrate", Unit: "mg/L", Bands: nitrate}}
	for i := range f.Plan.Plants {
		b.Plantings = append(b.Plantings, forecast.PlantingBand{Planting: f.Plan.Plants[i].ID, Species: f.Plan.Plants[i].Species, HeightM: heights[i], ShootG: heights[i]})
	}
	b.Totals = []forecast.TotalBand{{Year: 1, TrimMinutes: forecast.Band{Low: 40, Mid: 62, High: 90}, Minutes: forecast.Band{Low: 210, Mid: 240, High: 280}, HarvestG: forecast.Band{Low: 300, Mid: 520, High: 880}}}
	b.Dates = []forecast.DateBand{
		{Name: "ammonium and nitrite stay under 0.1 mg/L", Share: 1, Day: forecast.Band{Low: 21, Mid: 27, High: 36}},
		{Name: "the root zone runs short", Share: .6, Day: forecast.Band{Low: 430, Mid: 700, High: -1}},
	}
	b.Drivers = []forecast.Driver{{Outcome: "leaf mass in the last quarter", Parameter: "largest growth rate", Rank: .71}, {Outcome: "leaf mass in the last quarter", Parameter: "leaf area per mass", Rank: -.44}, {Outcome: "minutes of cutting", Parameter: "largest growth rate", Rank: .63}}
	return b
}
