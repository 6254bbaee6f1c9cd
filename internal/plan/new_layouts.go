package plan

import (
	"littoral/internal/catalog"
	"math"
	"slices"
)

// rect is an upright rectangle in cm: x0, y0, x1, y1.
type rect [4]float64

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
			if d := toEdge(outline, p); d > clear {
				best, clear = p, d
			}
		}
	}
	return best, clear
}

// toEdge is the distance from a place to the outline, in cm.
func toEdge(outline []PointCM, p PointCM) float64 {
	d := math.Inf(1)
	for k := range outline {
		d = min(d, distance(outline[k], outline[(k+1)%len(outline)], p))
	}
	return d
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

// ground returns where a group stands. Its share from left to right is of the whole tank, its share from front to back of the depth
// that the tank has there, so that groups follow curved and cornered glass. Where that gives no place, it is the rectangle that fits.
func (w *writer) ground(r rect) []PointCM {
	x0, dx := r[0]*w.lx, (r[2]-r[0])*w.lx
	for _, part := range [][2]float64{{0, 1}, {0, 0.75}, {0.25, 1}, {0, 0.5}, {0.5, 1}} {
		if q := w.strip(x0+part[0]*dx, x0+part[1]*dx, r[1], r[3]); q != nil {
			return q
		}
	}
	q := fit(rect{r[0] * w.lx, r[1] * w.ly, r[2] * w.lx, r[3] * w.ly}, w.footprint, w.deep)
	return []PointCM{{q[0], q[1]}, {q[2], q[1]}, {q[2], q[3]}, {q[0], q[3]}}
}

// strip is the ground between two x and two shares of the depth, or nil where it is too thin or crosses the glass.
func (w *writer) strip(x0, x1, share0, share1 float64) []PointCM {
	const off, thin, pieces = 1.0, 3.0, 6 // cm from the glass, cm, edges along the length
	var front, back []PointCM
	for i := range pieces + 1 {
		x := x0 + (x1-x0)*float64(i)/pieces
		lo, hi := w.depthAt(x)
		y0, y1 := max(lo+off, lo+share0*(hi-lo)), min(hi-off, lo+share1*(hi-lo))
		if y1-y0 < thin {
			return nil
		}
		front = append(front, PointCM{round1(x), round1(y0)})
		back = append(back, PointCM{round1(x), round1(y1)})
	}
	front, back = straight(front), straight(back)
	for i := len(back) - 1; i >= 0; i-- {
		front = append(front, back[i])
	}
	for i, a := range front {
		b := front[(i+1)%len(front)]
		for k := range 12 {
			t := float64(k) / 12
			if !inside(w.footprint, PointCM{a[0] + t*(b[0]-a[0]), a[1] + t*(b[1]-a[1])}, 0) {
				return nil
			}
		}
	}
	for _, corner := range w.footprint {
		if inside(front, corner, 0) {
			return nil
		}
	}
	return front
}

// straight leaves out the places that lie on the line between their neighbours to half a centimetre.
func straight(line []PointCM) []PointCM {
	out := line[:1:1]
	for i := 1; i < len(line)-1; i++ {
		if distance(out[len(out)-1], line[i+1], line[i]) > 0.5 {
			out = append(out, line[i])
		}
	}
	return append(out, line[len(line)-1])
}

// depthAt returns between which y the tank reaches at x, in cm: the longest such stretch; both 0 where there is none.
func (w *writer) depthAt(x float64) (front, back float64) {
	var at []float64
	for i, a := range w.footprint {
		b := w.footprint[(i+1)%len(w.footprint)]
		if (a[0] <= x) != (b[0] <= x) {
			at = append(at, a[1]+(b[1]-a[1])*(x-a[0])/(b[0]-a[0]))
		}
	}
	slices.Sort(at)
	for i := 0; i+1 < len(at); i += 2 {
		if at[i+1]-at[i] > back-front {
			front, back = at[i], at[i+1]
		}
	}
	return front, back
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
	"tall":    {"Rotala rotundifolia", "Hygrophila corymbosa", "Hygrophila difformis", "Hydrocotyle leucocephala", "Cryptocoryne pontederiifolia", "Cryptocoryne wendtii"},
	"ribbon":  {"Cryptocoryne crispatula var. balansae", "Cryptocoryne spiralis", "Vallisneria nana", "Limnophila heterophylla", "Myriophyllum mattogrossense", "Vallisneria spiralis", "Sagittaria subulata", "Cryptocoryne pontederiifolia", "Cryptocoryne beckettii", "Cryptocoryne wendtii"},
	"red":     {"Ludwigia repens", "Ludwigia palustris", "Alternanthera reineckii", "Lagenandra meeboldii", "Cryptocoryne beckettii", "Cryptocoryne walkeri"},
	"bushy":   {"Heteranthera zosterifolia", "Ludwigia palustris", "Hygrophila difformis", "Cryptocoryne walkeri"},
	"big":     {"Aquarius grisebachii", "Aquarius uruguayensis", "Cryptocoryne pontederiifolia", "Cryptocoryne wendtii"},
	"mid":     {"Cryptocoryne wendtii", "Pogostemon helferi", "Cryptocoryne undulata"},
	"mid2":    {"Cryptocoryne undulata", "Lobelia cardinalis", "Cryptocoryne beckettii"},
	"carpet":  {"Micranthemum tweediei", "Eleocharis pusilla", "Helanthium tenellum", "Marsilea hirsuta", "Cryptocoryne × willisii", "Cryptocoryne walkeri"},
	"front":   {"Staurogyne repens", "Helanthium bolivianum", "Marsilea hirsuta", "Cryptocoryne × willisii", "Cryptocoryne walkeri"},
	"fern":    {"Leptochilus pteropus", "Anubias barteri var. nana", "Bucephalandra pygmaea"},
	"anubias": {"Anubias barteri var. nana", "Bucephalandra pygmaea"},
	"buce":    {"Bucephalandra pygmaea", "Anubias barteri var. nana"},
	"moss":    {"Taxiphyllum barbieri"},
}

// oneSided and allRound are where the groups of each style stand: tall behind and low in front, or tall in the middle.
var layouts = map[string]struct{ oneSided, allRound []role }{
	"nature": {
		oneSided: []role{
			{"Tall plants behind, on the left", "tall", rect{0.02, 0.66, 0.34, 0.97}, ""},
			{"Tall plants of another leaf behind, on the right", "ribbon", rect{0.68, 0.68, 0.98, 0.97}, ""},
			{"Colour at the far third", "red", rect{0.37, 0.70, 0.65, 0.96}, ""},
			{"A group of middle height beside the root", "mid", rect{0.04, 0.36, 0.34, 0.63}, ""},
			{"Another leaf of middle height", "mid2", rect{0.72, 0.36, 0.96, 0.64}, ""},
			{"Low plants in front", "carpet", rect{0.03, 0.05, 0.58, 0.32}, ""},
			{"Where the low plants meet the stones", "front", rect{0.61, 0.06, 0.97, 0.32}, ""},
			{"Larger epiphytes on the root", "fern", rect{}, "main-root"},
			{"Small epiphytes on the root", "anubias", rect{}, "main-root"},
			{"Moss on the stone", "moss", rect{}, "main-stone"},
		},
		allRound: []role{
			{"Tall plants in the middle", "tall", rect{0.28, 0.36, 0.49, 0.64}, ""},
			{"Tall plants of another leaf beside them", "ribbon", rect{0.52, 0.36, 0.72, 0.64}, ""},
			{"Middle height on the left", "mid", rect{0.08, 0.34, 0.26, 0.66}, ""},
			{"Middle height on the right", "mid2", rect{0.74, 0.34, 0.92, 0.66}, ""},
			{"Low plants in front", "carpet", rect{0.24, 0.10, 0.76, 0.33}, ""},
			{"Low plants on the far side", "front", rect{0.24, 0.67, 0.76, 0.90}, ""},
			{"Larger epiphytes on the root", "fern", rect{}, "main-root"},
			{"Small epiphytes on the root", "anubias", rect{}, "main-root"},
			{"Moss on the stone", "moss", rect{}, "main-stone"},
		},
	},
	"garden": {
		oneSided: []role{
			{"Back row, left", "tall", rect{0.02, 0.67, 0.32, 0.97}, ""},
			{"Back row, middle: the street of colour", "red", rect{0.35, 0.52, 0.60, 0.96}, ""},
			{"Back row, right", "ribbon", rect{0.63, 0.68, 0.98, 0.97}, ""},
			{"Middle row, left", "bushy", rect{0.03, 0.35, 0.32, 0.63}, ""},
			{"Middle row, right of the street", "mid", rect{0.63, 0.37, 0.80, 0.65}, ""},
			{"Middle row, far right", "mid2", rect{0.82, 0.36, 0.98, 0.65}, ""},
			{"Front row, left", "front", rect{0.03, 0.05, 0.42, 0.31}, ""},
			{"Front row, right", "carpet", rect{0.45, 0.05, 0.97, 0.32}, ""},
		},
		allRound: []role{
			{"The middle of the bed", "tall", rect{0.29, 0.36, 0.49, 0.64}, ""},
			{"The group of colour beside it", "red", rect{0.52, 0.36, 0.71, 0.64}, ""},
			{"Ring, left", "mid", rect{0.08, 0.34, 0.27, 0.66}, ""},
			{"Ring, right", "mid2", rect{0.73, 0.34, 0.92, 0.66}, ""},
			{"Ring, front", "carpet", rect{0.24, 0.10, 0.76, 0.33}, ""},
			{"Ring, far side", "front", rect{0.24, 0.67, 0.76, 0.90}, ""},
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
			{"At the foot of the main stone", "mid", rect{0.36, 0.42, 0.48, 0.58}, ""},
			{"Small epiphytes in the stone's shade", "buce", rect{}, "main-stone"},
		},
	},
	"jungle": {
		oneSided: []role{
			{"Tall leaves over the whole length behind", "ribbon", rect{0.05, 0.76, 0.60, 0.95}, ""},
			{"The biggest leaves, a few", "big", rect{0.66, 0.56, 0.94, 0.90}, ""},
			{"Tall plants in the corner", "tall", rect{0.05, 0.50, 0.26, 0.72}, ""},
			{"Middle height in the middle", "mid", rect{0.30, 0.40, 0.58, 0.66}, ""},
			{"Another leaf of middle height", "mid2", rect{0.62, 0.26, 0.92, 0.50}, ""},
			{"Low plants in front", "front", rect{0.06, 0.07, 0.60, 0.30}, ""},
			{"Larger epiphytes on the root", "fern", rect{}, "main-root"},
			{"Small epiphytes on the root", "anubias", rect{}, "main-root"},
		},
		allRound: []role{
			{"Tall leaves in the middle", "ribbon", rect{0.30, 0.38, 0.50, 0.62}, ""},
			{"The biggest leaves, a few", "big", rect{0.54, 0.38, 0.80, 0.62}, ""},
			{"Middle height on the left", "mid", rect{0.08, 0.34, 0.28, 0.66}, ""},
			{"Middle height in front", "mid2", rect{0.24, 0.10, 0.76, 0.33}, ""},
			{"Low plants on the far side", "front", rect{0.24, 0.67, 0.76, 0.90}, ""},
			{"Larger epiphytes on the root", "fern", rect{}, "main-root"},
			{"Small epiphytes on the root", "anubias", rect{}, "main-root"},
		},
	},
}

// lightRank orders the light classes.
var lightRank = map[string]int{"low": 0, "medium": 1, "high": 2}

// choose takes the first candidate that suits light, gas, water and height and is not planted yet, else the first that suits, else
// the last one of the list.
func (w *writer) choose(kind string, column float64, used map[string]bool) *catalog.Species {
	cat := catalog.Default()
	list := candidates[kind]
	for pass := range 2 {
		for _, name := range list {
			if s, ok := cat.Species(name); ok && (pass > 0 || !used[s.Name]) && w.suits(s, column) {
				return s
			}
		}
	}
	s, _ := cat.Species(list[len(list)-1])
	return s
}

// suits tells whether a species can be expected to thrive under a column of so many cm of water.
func (w *writer) suits(s *catalog.Species, column float64) bool {
	slow := s.Speed == "slow" || s.Speed == "very slow"
	epiphyte := s.Form == catalog.Rhizome || s.Form == catalog.Moss
	switch {
	case lightRank[s.Light] > lightRank[w.a.Light]:
		return false
	case w.a.Light == "high" && s.Light == "low" && slow && !epiphyte:
		return false // leaves that last for months collect algae in the light
	case !w.a.CO2 && s.CO2 != "none" && !(s.CO2 == "helpful" && slow):
		return false // what grows fast starves in the little CO2 that animals and bed breathe out
	case !w.a.CO2 && s.PH.Max < 7.8:
		return false // without gas the water of most taps stands near pH 8
	case w.ghIn() < s.GH.Min || w.ghIn() > s.GH.Max:
		return false
	case s.Form == catalog.Stem:
		return s.HeightCM.Min <= column // stems are cut to length
	case epiphyte:
		return 0.9*s.HeightCM.Max <= column
	}
	return s.HeightCM.Mid() <= 0.8*column
}
