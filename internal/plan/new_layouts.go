package plan

import (
	"math"

	"littoral/internal/catalog"
)

// rect is an upright rectangle in cm: x0, y0, x1, y1.
type rect [4]float64

func (r rect) area() float64 { return (r[2] - r[0]) * (r[3] - r[1]) / 1e4 } // m²

func (r rect) centre() PointCM { return PointCM{(r[0] + r[2]) / 2, (r[1] + r[3]) / 2} }

// within tells whether the rectangle lies inside the outline with a little room to spare.
func (r rect) within(outline []PointCM) bool {
	for _, corner := range outline {
		if corner[0] > r[0] && corner[0] < r[2] && corner[1] > r[1] && corner[1] < r[3] {
			return false
		}
	}
	const steps = 12
	for i := range steps {
		t := float64(i) / steps
		x, y := r[0]+t*(r[2]-r[0]), r[1]+t*(r[3]-r[1])
		for _, p := range []PointCM{{x, r[1]}, {r[2], y}, {r[2] - (x - r[0]), r[3]}, {r[0], r[3] - (y - r[1])}} {
			if !inside(outline, p, 0) {
				return false
			}
		}
	}
	return true
}

// deepest returns the place of a 40 by 40 grid that is farthest from the outline, and how far, in cm.
func deepest(outline []PointCM) (PointCM, float64) {
	lo, hi := bounds(outline)
	best, clear := PointCM{}, 0.0
	const n = 40
	for i := range n {
		for j := range n {
			p := PointCM{lo[0] + (float64(i)+0.5)/n*(hi[0]-lo[0]), lo[1] + (float64(j)+0.5)/n*(hi[1]-lo[1])}
			if !inside(outline, p, 0) {
				continue
			}
			d := math.Inf(1)
			for k := range outline {
				d = min(d, distance(outline[k], outline[(k+1)%len(outline)], p))
			}
			if d > clear {
				best, clear = p, d
			}
		}
	}
	return best, clear
}

// fit returns the part of a wished-for rectangle that fits into the outline: it shrinks it and moves it towards the deepest place.
func fit(wish rect, outline []PointCM, deep PointCM) rect {
	c := wish.centre()
	for move := 0.0; move <= 1; move += 0.125 {
		at := PointCM{c[0] + move*(deep[0]-c[0]), c[1] + move*(deep[1]-c[1])}
		for scale := 1.0; scale > 0.3; scale *= 0.9 {
			w, h := scale*(wish[2]-wish[0])/2, scale*(wish[3]-wish[1])/2
			r := rect{round1(at[0] - w), round1(at[1] - h), round1(at[0] + w), round1(at[1] + h)}
			if r.within(outline) {
				return r
			}
		}
	}
	return rect{round1(deep[0] - 2), round1(deep[1] - 2), round1(deep[0] + 2), round1(deep[1] + 2)}
}

func round1(x float64) float64 { return math.Round(x*2) / 2 } // to half a centimetre

// place in a plan drawing, as shares of the bounding rectangle: x0, y0 (front), x1, y1 (back).
type role struct {
	what  string // head of the comment
	kind  string // which list of candidates
	where rect
	on    string // hardscape id for epiphytes
}

// candidates by kind, the first that suits is taken. All are in the catalogue and on no region's list that it knows of.
var candidates = map[string][]string{
	"tall":    {"Rotala rotundifolia", "Hygrophila corymbosa", "Bacopa caroliniana", "Hygrophila difformis", "Vallisneria spiralis", "Hydrocotyle leucocephala", "Cryptocoryne wendtii"},
	"ribbon":  {"Vallisneria nana", "Vallisneria spiralis", "Cryptocoryne crispatula var. balansae", "Cryptocoryne affinis", "Cryptocoryne wendtii"},
	"red":     {"Ammannia gracilis", "Ludwigia repens", "Ludwigia palustris", "Alternanthera reineckii", "Lagenandra meeboldii", "Cryptocoryne beckettii"},
	"bushy":   {"Ludwigia palustris", "Heteranthera zosterifolia", "Hygrophila difformis", "Lobelia cardinalis", "Cryptocoryne walkeri"},
	"big":     {"Aquarius grisebachii", "Aquarius uruguayensis", "Cryptocoryne pontederiifolia", "Cryptocoryne wendtii"},
	"mid":     {"Cryptocoryne wendtii", "Cryptocoryne undulata"},
	"mid2":    {"Cryptocoryne undulata", "Cryptocoryne beckettii"},
	"carpet":  {"Eleocharis pusilla", "Micranthemum tweediei", "Helanthium tenellum", "Marsilea hirsuta", "Sagittaria subulata", "Cryptocoryne × willisii"},
	"front":   {"Staurogyne repens", "Helanthium bolivianum", "Marsilea hirsuta", "Cryptocoryne × willisii"},
	"fern":    {"Leptochilus pteropus"},
	"anubias": {"Anubias barteri var. nana"},
	"buce":    {"Bucephalandra pygmaea", "Anubias barteri var. nana"},
	"moss":    {"Taxiphyllum barbieri"},
	"float":   {"Salvinia natans"},
}

// oneSided and allRound are where the groups of each style stand: tall behind and low in front, or tall in the middle.
var layouts = map[string]struct{ oneSided, allRound []role }{
	"nature": {
		oneSided: []role{
			{"Tall plants behind, on the left", "tall", rect{0.02, 0.66, 0.34, 0.97}, ""},
			{"Ribbons behind, on the right", "ribbon", rect{0.68, 0.68, 0.98, 0.97}, ""},
			{"Colour at the far third", "red", rect{0.37, 0.70, 0.65, 0.96}, ""},
			{"A group of rosettes beside the root", "mid", rect{0.04, 0.36, 0.34, 0.63}, ""},
			{"Rosettes of another leaf", "mid2", rect{0.72, 0.36, 0.96, 0.64}, ""},
			{"Low plants in front", "carpet", rect{0.03, 0.05, 0.58, 0.32}, ""},
			{"Where the low plants meet the stones", "front", rect{0.61, 0.06, 0.97, 0.32}, ""},
			{"Fern on the root", "fern", rect{}, "main-root"},
			{"Moss on the root's limbs", "moss", rect{}, "main-root"},
			{"Small epiphytes on the stone", "anubias", rect{}, "main-stone"},
		},
		allRound: []role{
			{"Tall plants in the middle", "tall", rect{0.30, 0.42, 0.48, 0.60}, ""},
			{"Ribbons beside them", "ribbon", rect{0.54, 0.44, 0.70, 0.60}, ""},
			{"Rosettes on the left", "mid", rect{0.12, 0.38, 0.28, 0.62}, ""},
			{"Rosettes on the right", "mid2", rect{0.72, 0.38, 0.88, 0.62}, ""},
			{"Low plants in front", "carpet", rect{0.25, 0.10, 0.75, 0.28}, ""},
			{"Low plants on the far side", "front", rect{0.25, 0.72, 0.75, 0.90}, ""},
			{"Fern on the root", "fern", rect{}, "main-root"},
			{"Moss on the root's limbs", "moss", rect{}, "main-root"},
			{"Small epiphytes on the stone", "anubias", rect{}, "main-stone"},
		},
	},
	"garden": {
		oneSided: []role{
			{"Back row, left", "tall", rect{0.02, 0.67, 0.32, 0.97}, ""},
			{"Back row, middle: the red street", "red", rect{0.35, 0.52, 0.60, 0.96}, ""},
			{"Back row, right", "ribbon", rect{0.63, 0.68, 0.98, 0.97}, ""},
			{"Middle row, left", "bushy", rect{0.03, 0.35, 0.32, 0.63}, ""},
			{"Middle row, right of the street", "mid", rect{0.63, 0.37, 0.80, 0.65}, ""},
			{"Middle row, far right", "mid2", rect{0.82, 0.36, 0.98, 0.65}, ""},
			{"Front row, left", "front", rect{0.03, 0.05, 0.42, 0.31}, ""},
			{"Front row, right", "carpet", rect{0.45, 0.05, 0.97, 0.32}, ""},
		},
		allRound: []role{
			{"The middle of the bed", "tall", rect{0.34, 0.42, 0.48, 0.60}, ""},
			{"The red group beside it", "red", rect{0.52, 0.42, 0.66, 0.58}, ""},
			{"Ring, left", "mid", rect{0.12, 0.38, 0.30, 0.62}, ""},
			{"Ring, right", "mid2", rect{0.70, 0.38, 0.88, 0.62}, ""},
			{"Ring, front", "carpet", rect{0.25, 0.10, 0.75, 0.30}, ""},
			{"Ring, far side", "front", rect{0.25, 0.70, 0.75, 0.90}, ""},
		},
	},
	"stones": {
		oneSided: []role{
			{"Low plants over the open ground, left", "carpet", rect{0.04, 0.06, 0.48, 0.60}, ""},
			{"Low plants over the open ground, right", "carpet", rect{0.54, 0.06, 0.96, 0.40}, ""},
			{"Between the stones", "front", rect{0.60, 0.44, 0.80, 0.62}, ""},
			{"Fine leaves behind the stones", "ribbon", rect{0.66, 0.72, 0.94, 0.94}, ""},
			{"A second group behind", "mid", rect{0.08, 0.70, 0.30, 0.92}, ""},
			{"Small epiphytes in the stone's shade", "buce", rect{}, "main-stone"},
		},
		allRound: []role{
			{"Low plants in front of the stones", "carpet", rect{0.20, 0.12, 0.80, 0.36}, ""},
			{"Low plants behind the stones", "carpet", rect{0.20, 0.66, 0.80, 0.88}, ""},
			{"Between the stones, left", "front", rect{0.14, 0.42, 0.30, 0.60}, ""},
			{"Between the stones, right", "front", rect{0.72, 0.42, 0.86, 0.60}, ""},
			{"Rosettes at the foot of the main stone", "mid", rect{0.36, 0.42, 0.48, 0.58}, ""},
			{"Small epiphytes in the stone's shade", "buce", rect{}, "main-stone"},
		},
	},
	"jungle": {
		oneSided: []role{
			{"Ribbons over the whole length behind", "ribbon", rect{0.05, 0.76, 0.60, 0.95}, ""},
			{"One or a few big rosettes", "big", rect{0.66, 0.56, 0.94, 0.90}, ""},
			{"Tall stems in the corner", "tall", rect{0.05, 0.50, 0.26, 0.72}, ""},
			{"Rosettes in the middle", "mid", rect{0.30, 0.40, 0.58, 0.66}, ""},
			{"Rosettes of another leaf", "mid2", rect{0.62, 0.26, 0.92, 0.50}, ""},
			{"Low plants in front", "front", rect{0.06, 0.07, 0.60, 0.30}, ""},
			{"Fern on the root", "fern", rect{}, "main-root"},
			{"Small epiphytes on the root", "anubias", rect{}, "main-root"},
			{"Moss on the root's limbs", "moss", rect{}, "main-root"},
			{"A light cover of floating plants; keep it under a third of the surface", "float", rect{}, ""},
		},
		allRound: []role{
			{"Ribbons in the middle", "ribbon", rect{0.36, 0.40, 0.50, 0.60}, ""},
			{"One or a few big rosettes", "big", rect{0.54, 0.40, 0.72, 0.60}, ""},
			{"Rosettes on the left", "mid", rect{0.12, 0.38, 0.30, 0.62}, ""},
			{"Rosettes in front", "mid2", rect{0.28, 0.12, 0.72, 0.34}, ""},
			{"Low plants on the far side", "front", rect{0.28, 0.68, 0.72, 0.88}, ""},
			{"Fern on the root", "fern", rect{}, "main-root"},
			{"Small epiphytes on the root", "anubias", rect{}, "main-root"},
			{"A light cover of floating plants; keep it under a third of the surface", "float", rect{}, ""},
		},
	},
}

// lightRank orders the light classes.
var lightRank = map[string]int{"low": 0, "medium": 1, "high": 2}

// choose takes the first candidate that suits the light, the gas, the water and the height, else the last one.
func (a *Answers) choose(kind string, gh, column float64, used map[string]bool) *catalog.Species {
	cat := catalog.Default()
	list := candidates[kind]
	for pass := range 2 {
		for _, name := range list {
			s, ok := cat.Species(name)
			if !ok || pass == 0 && used[s.Name] {
				continue
			}
			needsGas := s.CO2 == "required" || s.CO2 == "recommended"
			if lightRank[s.Light] <= lightRank[a.Light] && (a.CO2 || !needsGas) && gh >= s.GH.Min && gh <= s.GH.Max && s.HeightCM.Min <= column {
				return s
			}
		}
	}
	s, _ := cat.Species(list[len(list)-1])
	return s
}
