package render

import (
	"fmt"
	"image"
	"littoral/internal/scene"
	"math"
	"sort"
)

// Mass is a planting, or the bed, as it is seen from one side.
type Mass struct {
	Name    string  `json:"name"`        // planting or bed
	Species string  `json:"species"`     // of a planting
	Share   float64 `json:"share"`       // of the water seen through the glass
	Colour  Lab     `json:"lab"`         // mean, as seen through the water
	Accent  float64 `json:"accent_de00"` // CIEDE2000 against the mean of the greens; 0 for greens themselves
	Layer   string  `json:"layer"`       // fore, mid or back
}

// Piece is a stone or piece of wood.
type Piece struct {
	Name string  `json:"name"`
	Kind string  `json:"kind"`                  // stone or wood
	Then float64 `json:"share_on_planting_day"` // share of the water seen on planting day
	Now  float64 `json:"share"`
}

// Cover is a planting that now stands before hardscape seen on planting day.
type Cover struct {
	Planting string  `json:"planting"`
	Share    float64 `json:"share"` // of the hardscape seen on planting day
}

// Frame is a part of the view that reads as a small scene of its own, in shares of the water's width and height from the upper left.
type Frame struct {
	X float64 `json:"x"`
	Y float64 `json:"y"`
	W float64 `json:"w"`
	H float64 `json:"h"`
}

// Reading is what a view shows, in numbers: an aid to a designer's eye, never a grade.
type Reading struct {
	View      string     `json:"view"`
	Day       int        `json:"day"`
	Hardscape float64    `json:"hardscape_share"`      // share of the water in which stone and wood are seen
	Still     float64    `json:"hardscape_still_seen"` // of the hardscape seen on planting day, what is seen now (more than 1 where growth was cut back further)
	Pieces    []Piece    `json:"pieces"`
	HiddenBy  []Cover    `json:"hidden_by"` // largest first
	Masses    []Mass     `json:"masses"`    // largest first
	Fore      float64    `json:"fore"`      // shares of the plants seen, by the third of the depth in which they stand
	Mid       float64    `json:"mid"`
	Back      float64    `json:"back"`
	Open      float64    `json:"open_water"` // open water: share in which neither plant, hardscape nor bed is seen
	Green     float64    `json:"green"`      // shares of the plants' pixels by hue: green and yellow-green, red and brown, the rest
	Red       float64    `json:"red_to_brown"`
	Other     float64    `json:"other_colours"`
	Balance   [2]float64 `json:"visual_mass_at"`            // middle of visual mass, shares of width and height from the upper left; mass is darkness against the open water
	Focus     [2]float64 `json:"strongest_contrast_at"`     // where the strongest contrast sits
	ThirdOff  float64    `json:"focus_from_third"`          // distance of the focus from the nearest third of the width, share of the width
	GoldenOff float64    `json:"focus_from_golden_section"` // and from the nearer golden section
	Windows   []Frame    `json:"small_scenes"`              // up to three small scenes
}

// Caption says a view's two most useful numbers.
func (r *Reading) Caption() string {
	if len(r.Pieces) > 0 {
		return fmt.Sprintf("wood and stone still seen: %.0f %% of planting day; open water: %.0f %%", 100*min(1, r.Still), 100*r.Open)
	}
	return fmt.Sprintf("open water: %.0f %%; plants in the fore third: %.0f %%", 100*r.Open, 100*r.Fore)
}

// Hues of foliage, degrees: green runs from browner to 200, where it is light from redder on; what is darker between the two is brown to the eye, since brown is dark
// orange and yellow (common practice, no source; brown crypts through clear water lie at 100, green ones at 125).
const (
	redder, browner = 85, 105
	brownLight      = 60 // lightness from which a yellow no longer looks brown
)

// isGreen says whether a leaf's colour counts among the greens.
func isGreen(c Lab) bool {
	h := c.Hue()
	return h < 200 && (h > browner || h > redder && c.L >= brownLight)
}

// golden is the smaller part of the golden section.
var goldenCut = (3 - math.Sqrt(5)) / 2

// Read takes the reading of a view: then is the scene of planting day and now that of the date; both are seen by the same camera.
func Read(then, now *scene.Scene, c *Camera) Reading {
	img, after := Seen(now, c, Options{Fine: 1})
	return ReadSeen(then, now, c, Items(then, c), after, img)
}

// ReadSeen is Read where the pictures are there already: before are the Items of planting day's scene and after those of the date's, with the date's picture.
func ReadSeen(then, now *scene.Scene, c *Camera, before, after []int32, img *image.RGBA) Reading {
	r := Reading{View: c.Name, Day: now.Day}
	// The water: what lies inside a window.
	f := newFrame(now, c, Options{Fine: 1})
	inWater := make([]bool, c.W*c.H)
	x0, y0, x1, y1 := c.W, c.H, 0, 0
	total := 0
	for y := range c.H {
		for x := range c.W {
			for _, p := range f.polys {
				if inside(p, float64(x), float64(y)) {
					inWater[y*c.W+x] = true
					total++
					x0, x1, y0, y1 = min(x0, x), max(x1, x+1), min(y0, y), max(y1, y+1)
					break
				}
			}
		}
	}
	if total == 0 {
		return r
	}
	all := float64(total)
	kind := func(s *scene.Scene, item int32) scene.Kind {
		if item < 0 {
			return scene.Wall
		}
		return s.Items[item].Kind
	}
	hard := func(k scene.Kind) bool { return k == scene.Stone || k == scene.Wood }
	pieces := map[string]*Piece{}
	covers := map[string]float64{}
	type sum struct {
		n       int
		l, a, b float64
		away    float64
		species string
	}
	masses := map[string]*sum{}
	lab := make([]Lab, c.W*c.H)
	var thenHard, nowHard, plants float64
	var green sum
	var weight, wx, wy float64
	piece := func(s *scene.Scene, item int32) *Piece {
		it := &s.Items[item]
		p := pieces[it.ID]
		if p == nil {
			p = &Piece{Name: it.ID, Kind: "stone"}
			if it.Kind == scene.Wood {
				p.Kind = "wood"
			}
			pieces[it.ID] = p
		}
		return p
	}
	// Depths by the way from the eye, over the tank's own depth in that direction.
	near, far := math.Inf(1), math.Inf(-1)
	for _, q := range now.Tank.Footprint {
		d := dot(sub(vec{q[0], q[1], 0}, c.Eye), c.Forward)
		near, far = min(near, d), max(far, d)
	}
	for i := range after {
		if !inWater[i] {
			continue
		}
		o := 4 * i
		col := LabOf(img.Pix[o], img.Pix[o+1], img.Pix[o+2])
		lab[i] = col
		b, a := kind(then, before[i]), kind(now, after[i])
		if hard(b) {
			thenHard++
			piece(then, before[i]).Then += 1 / all
			if a == scene.Plant {
				covers[now.Items[after[i]].Planting]++
			}
		}
		if hard(a) {
			nowHard++
			piece(now, after[i]).Now += 1 / all
		}
		if a == scene.Wall {
			r.Open += 1 / all
		} else {
			w := max(0, 100-col.L)
			weight += w
			wx += w * (float64(i%c.W) - float64(x0)) / float64(x1-x0)
			wy += w * (float64(i/c.W) - float64(y0)) / float64(y1-y0)
		}
		name, species := "", ""
		switch a {
		case scene.Plant:
			plants++
			name, species = now.Items[after[i]].Planting, now.Items[after[i]].Species
		case scene.Ground:
			name = "bed"
		}
		if name == "" {
			continue
		}
		m := masses[name]
		if m == nil {
			m = &sum{species: species}
			masses[name] = m
		}
		m.n++
		m.l, m.a, m.b = m.l+col.L, m.a+col.A, m.b+col.B
		if a == scene.Plant {
			d := (dot(sub(now.Items[after[i]].At, c.Eye), c.Forward) - near) / max(1e-9, far-near)
			m.away += d
			switch {
			case d < 1./3:
				r.Fore++
			case d < 2./3:
				r.Mid++
			default:
				r.Back++
			}
			switch h := col.Hue(); {
			case col.Chroma() < 6:
				r.Other++
			case isGreen(col):
				r.Green++
				green.n++
				green.l, green.a, green.b = green.l+col.L, green.a+col.A, green.b+col.B
			case h <= browner || h > 330:
				r.Red++
			default:
				r.Other++
			}
		}
	}
	if plants > 0 {
		for _, v := range []*float64{&r.Fore, &r.Mid, &r.Back, &r.Green, &r.Red, &r.Other} {
			*v /= plants
		}
	}
	if thenHard > 0 {
		r.Still = nowHard / thenHard
	}
	r.Hardscape = nowHard / all
	if weight > 0 {
		r.Balance = [2]float64{wx / weight, wy / weight}
	}
	for _, p := range pieces {
		r.Pieces = append(r.Pieces, *p)
	}
	sort.Slice(r.Pieces, func(i, j int) bool { return r.Pieces[i].Name < r.Pieces[j].Name })
	for name, n := range covers {
		r.HiddenBy = append(r.HiddenBy, Cover{name, n / thenHard})
	}
	sort.Slice(r.HiddenBy, func(i, j int) bool {
		a, b := r.HiddenBy[i], r.HiddenBy[j]
		return a.Share > b.Share || a.Share == b.Share && a.Planting < b.Planting
	})
	mean := Lab{}
	if green.n > 0 {
		n := float64(green.n)
		mean = Lab{green.l / n, green.a / n, green.b / n}
	}
	for name, m := range masses {
		n := float64(m.n)
		v := Mass{Name: name, Species: m.species, Share: n / all, Colour: Lab{m.l / n, m.a / n, m.b / n}}
		if m.species != "" {
			v.Layer = "back"
			if d := m.away / n; d < 1./3 {
				v.Layer = "fore"
			} else if d < 2./3 {
				v.Layer = "mid"
			}
			if green.n > 0 && !isGreen(v.Colour) {
				v.Accent = Difference(v.Colour, mean)
			}
		}
		r.Masses = append(r.Masses, v)
	}
	sort.Slice(r.Masses, func(i, j int) bool {
		a, b := r.Masses[i], r.Masses[j]
		return a.Share > b.Share || a.Share == b.Share && a.Name < b.Name
	})
	r.focus(lab, inWater, c.W, x0, y0, x1, y1)
	r.windows(now, after, inWater, c.W, x0, y0, x1, y1)
	return r
}

// Water gives the part of the picture, in pixels, in which the water is seen: left, top, right and bottom. The shares of a Reading count from there.
func (c *Camera) Water(s *scene.Scene) (x0, y0, x1, y1 float64) {
	x0, y0, x1, y1 = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, w := range windows(c, &s.Tank) {
		a, b, d, e := box(w.poly)
		x0, y0, x1, y1 = min(x0, a), min(y0, b), max(x1, d), max(y1, e)
	}
	return
}

// focus finds where a patch stands out most from what surrounds it.
func (r *Reading) focus(lab []Lab, in []bool, w, x0, y0, x1, y1 int) {
	const nx = 36
	step := max(1, (x1-x0)/nx)
	ny := max(1, (y1-y0)/step)
	mean := make([]Lab, nx*ny)
	full := make([]bool, nx*ny)
	for j := range ny {
		for i := range nx {
			var s Lab
			n := 0
			for y := y0 + j*step; y < min(y1, y0+(j+1)*step); y++ {
				for x := x0 + i*step; x < min(x1, x0+(i+1)*step); x++ {
					if in[y*w+x] {
						c := lab[y*w+x]
						s.L, s.A, s.B = s.L+c.L, s.A+c.A, s.B+c.B
						n++
					}
				}
			}
			if n > step*step/2 {
				f := float64(n)
				mean[j*nx+i], full[j*nx+i] = Lab{s.L / f, s.A / f, s.B / f}, true
			}
		}
	}
	best := -1.0
	for j := range ny {
		for i := range nx {
			if !full[j*nx+i] {
				continue
			}
			sum, n := 0.0, 0.0
			for dj := -2; dj <= 2; dj++ {
				for di := -2; di <= 2; di++ {
					a, b := i+di, j+dj
					if a < 0 || b < 0 || a >= nx || b >= ny || !full[b*nx+a] || di == 0 && dj == 0 {
						continue
					}
					sum += Difference(mean[j*nx+i], mean[b*nx+a])
					n++
				}
			}
			if n >= 12 && sum/n > best {
				best = sum / n
				r.Focus = [2]float64{(float64(i) + .5) * float64(step) / float64(x1-x0), (float64(j) + .5) * float64(step) / float64(y1-y0)}
			}
		}
	}
	fx := r.Focus[0]
	r.ThirdOff = min(math.Abs(fx-1./3), math.Abs(fx-2./3))
	r.GoldenOff = min(math.Abs(fx-goldenCut), math.Abs(fx-1+goldenCut))
}

// windows finds up to three parts of three to two, a quarter of the width, in which hardscape and several masses come together: where the shares of
// what is seen are most even (Shannon's measure over the things seen).
func (r *Reading) windows(s *scene.Scene, items []int32, in []bool, w, x0, y0, x1, y1 int) {
	fw := (x1 - x0) / 4
	fh := min(y1-y0, fw*2/3)
	if fw < 8 || fh < 6 {
		return
	}
	type found struct {
		f     Frame
		value float64
	}
	var list []found
	for j := 0; j <= 4; j++ {
		for i := 0; i <= 24; i++ {
			x, y := x0+(x1-x0-fw)*i/24, y0+(y1-y0-fh)*j/4
			count := map[string]int{}
			n, hard := 0, 0
			for yy := y; yy < y+fh; yy += 2 {
				for xx := x; xx < x+fw; xx += 2 {
					k := yy*w + xx
					if !in[k] {
						continue
					}
					n++
					if items[k] < 0 {
						count[""]++
						continue
					}
					it := &s.Items[items[k]]
					name := it.ID
					switch it.Kind {
					case scene.Plant:
						name = it.Planting
					case scene.Stone, scene.Wood:
						hard++
					case scene.Wall:
						name = ""
					}
					count[name]++
				}
			}
			if n < fw*fh/5 || float64(hard) < .06*float64(n) {
				continue
			}
			names := make([]string, 0, len(count))
			for name := range count {
				names = append(names, name)
			}
			sort.Strings(names)
			v := 0.0
			for _, name := range names {
				p := float64(count[name]) / float64(n)
				v -= p * math.Log(p)
			}
			list = append(list, found{Frame{float64(x-x0) / float64(x1-x0), float64(y-y0) / float64(y1-y0), float64(fw) / float64(x1-x0), float64(fh) / float64(y1-y0)}, v})
		}
	}
	sort.SliceStable(list, func(i, j int) bool { return list[i].value > list[j].value })
	for _, l := range list {
		apart := true
		for _, o := range r.Windows {
			if math.Abs(o.X-l.f.X) < o.W*.9 {
				apart = false
			}
		}
		if apart && len(r.Windows) < 3 {
			r.Windows = append(r.Windows, l.f)
		}
	}
	sort.Slice(r.Windows, func(i, j int) bool { return r.Windows[i].X < r.Windows[j].X })
}
