package nursery

import (
	"fmt"
	"littoral/internal/catalog"
	"math"
	"slices"
	"strconv"
)

// Like is a species that could stand in for another.
type Like struct {
	Species *catalog.Species
	Far     float64  // 0 = alike in everything compared; one whole trait apart adds about 1
	Says    []string // in what they are alike and how they differ, in words
}

// Weights of the traits in the distance between two species. Our own choice: what one sees first from a metre away counts most, then what
// a tank must offer.
const (
	weighForm   = 1.5
	weighHeight = 1.2 // for a doubling
	weighSpread = 0.6 // for a doubling
	weighLeaf   = 0.8
	weighColour = 1.0 // for 40 units of CIE L*a*b*, about green to red-brown
	weighLight  = 0.5 // for a class
	weighCO2    = 0.3 // for a class
	weighSpeed  = 0.2 // for a class
	weighPlace  = 0.7 // where no place is shared
)

var (
	lights = []string{"low", "medium", "high"}
	needs  = []string{"none", "helpful", "recommended", "required"}
	speeds = []string{"very slow", "slow", "medium", "fast", "very fast"}
)

// Alike lists the species of a catalogue that are for planting, nearest to sp first, at most so many. Equally near ones come by name.
func Alike(cat *catalog.Catalog, sp *catalog.Species, most int) []Like {
	all := cat.AllSpecies()
	var out []Like
	for i := range all {
		if o := &all[i]; o.Name != sp.Name && o.PotsM2.Max > 0 {
			out = append(out, between(sp, o))
		}
	}
	slices.SortStableFunc(out, func(a, b Like) int {
		switch {
		case a.Far < b.Far:
			return -1
		case a.Far > b.Far:
			return 1
		}
		return 0
	})
	return out[:min(most, len(out))]
}

func between(a, b *catalog.Species) Like {
	l := Like{Species: b}
	sum := 0.0
	add := func(weight, x float64) { sum += weight * weight * x * x }
	if a.Form == b.Form {
		l.Says = append(l.Says, "the same form")
	} else {
		add(weighForm, 1)
		l.Says = append(l.Says, string(b.Form)+" instead of "+string(a.Form))
	}
	height := math.Log2(b.HeightCM.Mid() / a.HeightCM.Mid())
	add(weighHeight, height)
	add(weighSpread, math.Log2(b.SpreadCM.Mid()/a.SpreadCM.Mid()))
	switch d := b.HeightCM.Mid() - a.HeightCM.Mid(); {
	case math.Abs(height) < .2: // within a seventh: catalogue heights are not surer than that
		l.Says = append(l.Says, "as high")
	case d > 0:
		l.Says = append(l.Says, fmt.Sprintf("%.0f cm higher", math.Max(1, d)))
	default:
		l.Says = append(l.Says, fmt.Sprintf("%.0f cm lower", math.Max(1, -d)))
	}
	if a.LeafShape == b.LeafShape {
		l.Says = append(l.Says, "the same leaf")
	} else {
		add(weighLeaf, 1)
		l.Says = append(l.Says, b.LeafShape+" leaves")
	}
	colour := apart(a.ColourHex, b.ColourHex) / 40
	add(weighColour, colour)
	if colour > .5 {
		l.Says = append(l.Says, b.Colour)
	}
	if d := class(lights, b.Light) - class(lights, a.Light); d != 0 {
		add(weighLight, float64(d))
		l.Says = append(l.Says, b.Light+" light")
	}
	if d := class(needs, b.CO2) - class(needs, a.CO2); d != 0 {
		add(weighCO2, float64(d))
		l.Says = append(l.Says, map[string]string{"none": "no CO2 needed", "helpful": "CO2 helps", "recommended": "CO2 recommended", "required": "CO2 required"}[b.CO2])
	}
	if d := class(speeds, b.Speed) - class(speeds, a.Speed); d != 0 {
		add(weighSpeed, float64(d))
		l.Says = append(l.Says, b.Speed+" growth")
	}
	if !slices.ContainsFunc(a.Places, func(p string) bool { return slices.Contains(b.Places, p) }) {
		add(weighPlace, 1)
		if len(b.Places) > 0 {
			l.Says = append(l.Says, "for the "+b.Places[0])
		}
	}
	l.Far = math.Round(100*math.Sqrt(sum)) / 100
	return l
}

func class(of []string, word string) int { return slices.Index(of, word) }

// apart is how far two colours lie from each other in CIE L*a*b* (CIE 1976, white D65); 0 where one of them is not #RRGGBB.
func apart(a, b string) float64 {
	p, ok1 := lab(a)
	q, ok2 := lab(b)
	if !ok1 || !ok2 {
		return 0
	}
	return math.Sqrt((p[0]-q[0])*(p[0]-q[0]) + (p[1]-q[1])*(p[1]-q[1]) + (p[2]-q[2])*(p[2]-q[2]))
}

// lab turns sRGB (IEC 61966-2-1) into L*a*b* by the matrix and white point of that standard.
func lab(hex string) (out [3]float64, ok bool) {
	if len(hex) != 7 {
		return out, false
	}
	v, err := strconv.ParseUint(hex[1:], 16, 32)
	if err != nil {
		return out, false
	}
	var c [3]float64
	for i := range c {
		x := float64(v>>(16-8*i)&255) / 255
		if x <= .04045 {
			c[i] = x / 12.92
		} else {
			c[i] = math.Pow((x+.055)/1.055, 2.4)
		}
	}
	f := func(t float64) float64 {
		if t > 216./24389 {
			return math.Cbrt(t)
		}
		return (24389./27*t + 16) / 116
	}
	x := f((.4124*c[0] + .3576*c[1] + .1805*c[2]) / .9505)
	y := f(.2126*c[0] + .7152*c[1] + .0722*c[2])
	z := f((.0193*c[0] + .1192*c[1] + .9505*c[2]) / 1.089)
	return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}, true
}
