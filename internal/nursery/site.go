package nursery

import (
	"littoral/internal/forecast"
	"littoral/internal/geometry"
	"littoral/internal/light"
	"littoral/internal/plan"
	"littoral/internal/unit"
	"math"
	"slices"
)

// Site is what a plan offers to plants.
type Site struct {
	Light    light.Map  // PPFD on the bed without plants in the lamps' usual light, µmol m⁻² s⁻¹; no cells where the plan has no lamps
	BedCM    [2]float64 // height of the bed, lowest and highest, cm
	LevelCM  float64    // height of the water, cm
	GH, KH   float64    // of the change water, degrees
	TempC    [2]float64 // the water's set point, and the hottest month's where that is higher, °C
	CO2      float64    // free CO2 that the gas is set to, mg/L; 0 without gas
	Gas      bool       // gas is injected, at whatever level
	TrimDays float64    // days between visits that cut plants; 0 without any
	Eaters   []string   // animals that eat or uproot plants
	Hard     bool       // there is stone or wood to tie plants to
	Active   bool       // a bed material holds food for roots
	Tablets  bool       // root tablets are given

	plan   *plan.Plan
	ground *geometry.Ground
	tank   geometry.Tank
}

// cellM is the width of the cells in which the light on the bed is kept, m. Our own choice: about a pot.
const cellM = 0.05

// SiteOf works out what a plan offers. Errors are those of geometry.Build and of lamps that cannot be used.
func SiteOf(p *plan.Plan) (*Site, error) {
	m, err := geometry.Build(p, geometry.Options{Seed: 1})
	if err != nil {
		return nil, err
	}
	return siteIn(p, m)
}

func siteIn(p *plan.Plan, m *geometry.Model) (*Site, error) {
	s := &Site{LevelCM: 100 * m.Tank.WaterLevel, plan: p, ground: m.Ground, tank: m.Tank, Hard: len(m.Solids) > 0}
	if len(p.Lamps) > 0 {
		study, err := light.NewStudy(p, m, light.Voxels(m), nil)
		if err != nil {
			return nil, err
		}
		s.Light = study.Field.BedMap(cells(m.Tank.LX), cells(m.Tank.LY))
		if n := len(p.LightDay); n > 0 {
			for i := range s.Light.PPFD {
				s.Light.PPFD[i] *= p.LightDay[n-1].Level()
			}
		}
	}
	s.BedCM = [2]float64{math.Inf(1), 0}
	for iy := range cells(m.Tank.LY) {
		for ix := range cells(m.Tank.LX) {
			x, y := (float64(ix)+.5)*cellM, (float64(iy)+.5)*cellM
			if m.Tank.Contains(x, y) {
				z := 100 * m.Ground.Height(x, y)
				s.BedCM[0], s.BedCM[1] = min(s.BedCM[0], z), max(s.BedCM[1], z)
			}
		}
	}
	s.BedCM[0] = min(s.BedCM[0], s.BedCM[1])
	if c, err := forecast.ChangeWater(p); err == nil {
		s.GH, s.KH = c.DGH(), c.DKH()
	}
	room := [2]float64{math.Inf(1), math.Inf(-1)}
	for day := 0; day < 365; day += 15 {
		t := p.RoomOn(day)
		room[0], room[1] = min(room[0], t), max(room[1], t)
	}
	s.TempC = room
	if p.Heater != nil {
		s.TempC = [2]float64{max(room[0], float64(p.Heater.Set)), max(room[1], float64(p.Heater.Set))}
	}
	for _, c := range p.CO2 {
		s.Gas = true
		s.CO2 = max(s.CO2, float64(c.Target))
	}
	for i := range p.Care {
		c := &p.Care[i]
		switch c.Do {
		case "trim", "thin", "replant-tops":
			if every := days(c.Every); every > 0 && (s.TrimDays == 0 || every < s.TrimDays) {
				s.TrimDays = every
			}
		case "root-feed":
			s.Tablets = true
		}
	}
	for i := range p.Livestock {
		if a, ok := p.Cat.Animal(p.Livestock[i].Species); ok && a.EatsPlants && !slices.Contains(s.Eaters, a.Name) {
			s.Eaters = append(s.Eaters, a.Name)
		}
	}
	slices.Sort(s.Eaters)
	for i := range p.Substrate.Layers {
		s.Active = s.Active || feeds(p, p.Substrate.Layers[i].Material)
	}
	return s, nil
}

// feeds tells whether a bed material holds food for roots.
func feeds(p *plan.Plan, name string) bool {
	m, ok := p.Cat.Material(name)
	return ok && m.Nutrients != "none" && m.Nutrients != "low" && m.Nutrients != ""
}

func cells(length float64) int { return max(1, int(math.Round(length/cellM))) }

// days is the interval of a care line.
func days(e unit.Every) float64 {
	switch e.Freq {
	case "WEEKLY":
		return 7 * float64(e.N)
	case "MONTHLY":
		return 30 * float64(e.N)
	case "YEARLY":
		return 365 * float64(e.N)
	}
	return float64(e.N)
}

// At is what the site offers at one place, x and y in cm.
func (s *Site) At(x, y float64) Spot {
	sp := Spot{BedCM: 100 * s.ground.Height(x/100, y/100), OK: s.tank.Contains(x/100, y/100)}
	if n := s.Light.NX * s.Light.NY; n > 0 && sp.OK {
		ix := min(max(int(x/100/s.Light.LX*float64(s.Light.NX)), 0), s.Light.NX-1)
		iy := min(max(int(y/100/s.Light.LY*float64(s.Light.NY)), 0), s.Light.NY-1)
		if i := iy*s.Light.NX + ix; s.Light.Inside[i] {
			sp.Light = s.Light.PPFD[i]
		}
	}
	return sp
}

// Spot is one place on the bed.
type Spot struct {
	OK    bool
	BedCM float64 // height of the bed, cm
	Light float64 // µmol m⁻² s⁻¹ on the bed without plants; 0 where not known
}
