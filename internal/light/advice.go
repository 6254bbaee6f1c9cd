package light

import (
	"littoral/internal/geometry"
	"math"
)

// Wish is what lamps are to give.
type Wish struct {
	Ground float64 // mean PPFD at the bed, µmol m⁻² s⁻¹
	Top    float64 // most PPFD allowed just under the surface; 0 = no limit
	Bed    float64 // mean height of the bed, m
}

// Advice is one way to hang lamps of a kind.
type Advice struct {
	Lamps     int     // evenly along the length, in Rows rows
	Rows      int     // 1 or 2
	Spacing   float64 // between the middles of neighbours along the length, m; 0 for one lamp a row
	Height    float64 // above the water, m
	Dim       float64 // share of full power
	Least     float64 // at the bed, µmol m⁻² s⁻¹
	Mean      float64
	Most      float64
	Top       float64 // brightest place just under the surface, µmol m⁻² s⁻¹
	Sources   []Source
	Preferred bool // the fewest lamps that light the bed evenly enough
}

// What advice tries, our own choice: heights in use over open tanks (m), most lamps, and the places where light is reckoned.
var heightsTried = [...]float64{0.1, 0.15, 0.2, 0.25, 0.3, 0.4, 0.5, 0.6, 0.8}

const (
	mostLamps  = 10
	pointsX    = 9
	pointsY    = 5
	topDepth   = 0.03 // m; where the highest leaves stand
	evenEnough = 0.6  // least over mean at the bed; common practice asks for 0.5 to 0.7
)

// Advise finds ways to hang lamps like the given one over an empty tank so that the bed gets what is wished, at a dimming of at most full power and
// within the limit at the top: for each number of lamps the height that lights the bed most evenly. Lamps never overlap each other. None is returned when
// as many as there is room for, ten at most, are too few or the limit cannot be kept.
func Advise(lamp Source, t geometry.Tank, w Water, wish Wish) []Advice {
	p := w.places(t)
	depth := max(t.WaterLevel-wish.Bed, topDepth)
	spots := inside(t)
	var toBed, toTop [len(heightsTried)]beam
	for i, height := range heightsTried {
		one := lamp.hung(lamp.X, lamp.Y, height)
		toBed[i].fill(&one, depth, flat)
		toTop[i].fill(&one, topDepth, flat)
	}
	var out []Advice
	for n := 1; n <= mostLamps; n++ {
		var best *Advice
		for rows := 1; rows <= 2; rows++ {
			if n%rows != 0 {
				continue
			}
			for h, height := range heightsTried {
				a := Advice{Lamps: n, Rows: rows, Height: height}
				if !a.hang(lamp, t) {
					continue
				}
				a.Least = math.Inf(1)
				for _, spot := range spots {
					ground, top := 0.0, 0.0
					for _, s := range a.Sources {
						ground += p.light(s, &toBed[h], spot[0], spot[1], depth)
						top += p.light(s, &toTop[h], spot[0], spot[1], topDepth)
					}
					a.Mean += ground / float64(len(spots))
					a.Least, a.Most, a.Top = min(a.Least, ground), max(a.Most, ground), max(a.Top, top)
				}
				if !(a.Mean > 0) {
					continue
				}
				a.Dim = wish.Ground / a.Mean
				a.Mean, a.Least, a.Most, a.Top = a.Mean*a.Dim, a.Least*a.Dim, a.Most*a.Dim, a.Top*a.Dim
				if a.Dim > 1 || wish.Top > 0 && a.Top > wish.Top {
					continue
				}
				if best == nil || a.Least/a.Mean > best.Least/best.Mean+0.01 {
					best = &a
				}
			}
		}
		if best != nil {
			out = append(out, *best)
		}
	}
	prefer(out)
	return out
}

// prefer marks the fewest lamps that are even enough, or else the most even.
func prefer(list []Advice) {
	best := -1
	for i, a := range list {
		if a.Least/a.Mean >= evenEnough {
			best = i
			break
		}
		if best < 0 || a.Least/a.Mean > list[best].Least/list[best].Mean {
			best = i
		}
	}
	if best >= 0 {
		list[best].Preferred = true
	}
}

// hang puts the lamps up, or returns false where they would overlap.
func (a *Advice) hang(lamp Source, t geometry.Tank) bool {
	each := a.Lamps / a.Rows
	if each > 1 {
		a.Spacing = t.LX / float64(each)
		if a.Spacing < lamp.SizeX {
			return false
		}
	}
	if a.Rows > 1 && t.LY/float64(a.Rows) < lamp.SizeY {
		return false
	}
	for row := range a.Rows {
		for i := range each {
			x, y := t.LX*(float64(i)+0.5)/float64(each), t.LY*(float64(row)+0.5)/float64(a.Rows)
			a.Sources = append(a.Sources, lamp.hung(x, y, a.Height))
		}
	}
	return true
}

// inside are places spread evenly over the tank.
func inside(t geometry.Tank) [][2]float64 {
	poly := outline(t.Footprint)
	var out [][2]float64
	for iy := range pointsY {
		for ix := range pointsX {
			p := [2]float64{t.LX * (float64(ix) + 0.5) / pointsX, t.LY * (float64(iy) + 0.5) / pointsY}
			if poly.holds(p[0], p[1]) {
				out = append(out, p)
			}
		}
	}
	return out
}
