package sheets

import (
	"fmt"
	"littoral/internal/catalog"
	"littoral/internal/draft"
	"littoral/internal/geometry"
	"littoral/internal/growth"
	"littoral/internal/picture"
	"littoral/internal/unit"
	"math"
	"slices"
	"sort"
	"strings"
)

// subject is what is drawn: a plan laid out, with its zones numbered.
type subject struct {
	d      *draft.Draft
	b      draft.Board
	system unit.System
	zones  []zone
	pieces map[string]*geometry.Solid
}

// zone is one planting on the sheets.
type zone struct {
	draft.BoardPlant
	label   string // 4, or 4b where the species is planted in several places
	species *catalog.Species
	outline [][2]float64 // cm, of a mass; else nil
	spacing float64      // cm, mean distance of a pot to its nearest neighbour; 0 where there is none
	lower   string       // the letter alone
}

func subjectOf(d *draft.Draft) *subject {
	s := &subject{d: d, b: d.Board(), pieces: map[string]*geometry.Solid{}}
	if d.Plan.House != nil && d.Plan.House.Units == "US" {
		s.system = unit.US
	}
	for i := range d.Model.Solids {
		s.pieces[d.Model.Solids[i].ID] = &d.Model.Solids[i]
	}
	for _, p := range s.b.Plants {
		sp, ok := d.Plan.Cat.Species(p.Species)
		if !ok {
			continue
		}
		z := zone{BoardPlant: p, species: sp, spacing: spacing(p.PlacesCM)}
		if p.Symbol == string(picture.Mass) {
			if p.Way == "in" && len(p.PointsCM) > 2 {
				z.outline = picture.Smooth(p.PointsCM)
			} else if len(p.PlacesCM) > 0 {
				flat := make([][2]float64, len(p.PlacesCM))
				for i, q := range p.PlacesCM {
					flat[i] = [2]float64{q[0], q[1]}
				}
				z.outline = picture.Smooth(picture.Hull(flat, max(3, sp.SpreadCM.Mid()/2)))
			}
		}
		s.zones = append(s.zones, z)
	}
	sort.SliceStable(s.zones, func(i, j int) bool { return s.zones[i].Number < s.zones[j].Number })
	for i := 0; i < len(s.zones); {
		j := i
		for j < len(s.zones) && s.zones[j].Number == s.zones[i].Number {
			j++
		}
		for n := i; n < j; n++ {
			if j-i > 1 {
				s.zones[n].lower = letters(n - i)
			}
			s.zones[n].label = fmt.Sprint(s.zones[n].Number) + s.zones[n].lower
		}
		i = j
	}
	return s
}

// letters counts a, b … z, aa, ab …
func letters(n int) string {
	s := string(rune('a' + n%26))
	if n >= 26 {
		return letters(n/26-1) + s
	}
	return s
}

// spacing is the mean distance from a pot to its nearest neighbour.
func spacing(places [][3]float64) float64 {
	if len(places) < 2 {
		return 0
	}
	sum := 0.0
	for i, a := range places {
		near := math.Inf(1)
		for j, b := range places {
			if i != j {
				near = min(near, math.Hypot(a[0]-b[0], a[1]-b[1]))
			}
		}
		sum += near
	}
	return sum / float64(len(places))
}

// cm writes a length for a person, without a unit: the sheet says which one it is.
func (s *subject) cm(v float64) string {
	if s.system == unit.US {
		v /= 2.54
	}
	v = math.Round(v*10) / 10
	if v == 0 {
		v = 0
	}
	return strings.TrimSuffix(fmt.Sprintf("%.1f", v), ".0")
}

// unitName is what lengths on the sheet are in.
func (s *subject) unitName() string {
	if s.system == unit.US {
		return "inches"
	}
	return "centimetres"
}

func (s *subject) unitSign() string {
	if s.system == unit.US {
		return "in"
	}
	return "cm"
}

// pitch is how far apart the marks along the glass lie, cm: 10 cm or 4 in.
func (s *subject) pitch() float64 {
	if s.system == unit.US {
		return 10.16
	}
	return 10
}

// seen tells whether people look in from a side.
func (s *subject) seen(side string) bool {
	return slices.Contains(s.b.Tank.SeenFrom, side) || slices.Contains(s.b.Tank.SeenFrom, "all")
}

// grown are the plants of the zones as they grow, one for each pot that is told apart, in the order of the zones.
func (s *subject) grown() []growth.PlantState {
	var out []growth.PlantState
	for i := range s.zones {
		z := &s.zones[i]
		for k, q := range z.PlacesCM {
			p := picture.Grown(z.species)
			p.ID, p.Planting = fmt.Sprintf("%s/%d", z.ID, k), z.ID
			p.X, p.Y, p.Z, p.On = q[0]/100, q[1]/100, q[2]/100, z.On
			if z.Form == string(catalog.Stem) { // pots stand close; a stem's own span, not a bunch of three
				p.Stems = 2
			}
			out = append(out, p)
		}
	}
	return out
}
