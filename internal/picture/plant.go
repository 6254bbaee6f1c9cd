package picture

import (
	"littoral/internal/catalog"
	"littoral/internal/growth"
	"math"
	"strings"
)

// A plant is drawn from its state. Its form and leaf shape give the manner, its id the chance of every leaf; the result is then
// stretched so that what stands above the crown is exactly as high and as wide as the state says.

// op is one pen stroke in drawing units from the crown: x to the right, y up.
type op struct {
	cmd byte // M, L, Q, C or Z
	p   [3][2]float64
}

// part is one leaf or stem; thin parts are lines without a filling.
type part struct {
	thin bool
	ops  []op
}

// figure is a whole plant in the making.
type figure struct {
	parts []part
	over  bool // lines lie over the leaves, not under them
	join  bool // further leaves go into the last part: small ones need not cover one another
}

func (f *figure) begin(thin bool, x, y float64) *part {
	if n := len(f.parts); f.join && n > 0 && f.parts[n-1].thin == thin {
		f.parts[n-1].move(x, y)
		return &f.parts[n-1]
	}
	f.parts = append(f.parts, part{thin: thin, ops: []op{{cmd: 'M', p: [3][2]float64{{x, y}}}}})
	return &f.parts[len(f.parts)-1]
}

func (p *part) move(x, y float64) { p.ops = append(p.ops, op{'M', [3][2]float64{{x, y}}}) }
func (p *part) line(x, y float64) { p.ops = append(p.ops, op{'L', [3][2]float64{{x, y}}}) }
func (p *part) quad(cx, cy, x, y float64) {
	p.ops = append(p.ops, op{'Q', [3][2]float64{{cx, cy}, {x, y}}})
}

func (p *part) cubic(ax, ay, bx, by, x, y float64) {
	p.ops = append(p.ops, op{'C', [3][2]float64{{ax, ay}, {bx, by}, {x, y}}})
}
func (p *part) close() { p.ops = append(p.ops, op{cmd: 'Z'}) }

// points of an op, with the end last.
func (o op) n() int {
	switch o.cmd {
	case 'M', 'L':
		return 1
	case 'Q':
		return 2
	case 'C':
		return 3
	}
	return 0
}

// bounds measures the strokes: the widest reach to either side, the highest and the lowest point.
func (f *figure) bounds() (wide, high, low float64) {
	see := func(x, y float64) {
		wide, high, low = max(wide, math.Abs(x)), max(high, y), min(low, y)
	}
	for _, p := range f.parts {
		var at [2]float64
		for _, o := range p.ops {
			switch o.cmd {
			case 'M', 'L':
				see(o.p[0][0], o.p[0][1])
			case 'Q', 'C':
				for k := 1; k <= 8; k++ {
					t := float64(k) / 8
					u := 1 - t
					if o.cmd == 'Q' {
						see(u*u*at[0]+2*u*t*o.p[0][0]+t*t*o.p[1][0], u*u*at[1]+2*u*t*o.p[0][1]+t*t*o.p[1][1])
						continue
					}
					a, b, c, d := u*u*u, 3*u*u*t, 3*u*t*t, t*t*t
					see(a*at[0]+b*o.p[0][0]+c*o.p[1][0]+d*o.p[2][0], a*at[1]+b*o.p[0][1]+c*o.p[1][1]+d*o.p[2][1])
				}
			}
			if n := o.n(); n > 0 {
				at = o.p[n-1]
			}
		}
	}
	return
}

// fit stretches the figure to a height and a spread.
func (f *figure) fit(height, spread float64) {
	wide, high, _ := f.bounds()
	sx, sy := 1.0, 1.0
	if wide > 0 {
		sx = spread / 2 / wide
	}
	if high > 0 {
		sy = height / high
	}
	for i := range f.parts {
		for j := range f.parts[i].ops {
			for k := range f.parts[i].ops[j].p {
				f.parts[i].ops[j].p[k][0] *= sx
				f.parts[i].ops[j].p[k][1] *= sy
			}
		}
	}
}

// write puts the figure on the sheet with its crown at x, y (y down).
// Stalks and stems lie in one path under the leaves, which cover one another.
func (f *figure) write(s *sheet, class string, x, y float64) {
	if len(f.parts) == 0 {
		return
	}
	s.add(`<g class="sp `, class, `">`)
	var lines path
	for i := range f.parts {
		if f.parts[i].thin {
			f.parts[i].trace(&lines, x, y)
		}
	}
	thin := func() {
		if !lines.empty() {
			s.add(`<path class="th" d="`, lines.String(), `"/>`)
		}
	}
	if !f.over {
		thin()
	}
	for i := range f.parts {
		if f.parts[i].thin {
			continue
		}
		var d path
		f.parts[i].trace(&d, x, y)
		s.add(`<path d="`, d.String(), `"/>`)
	}
	if f.over {
		thin()
	}
	s.add("</g>")
}

// trace puts the strokes of a part on a path with the crown at x, y (y down).
func (p *part) trace(d *path, x, y float64) {
	for _, o := range p.ops {
		q := o.p
		switch o.cmd {
		case 'M':
			d.move(x+q[0][0], y-q[0][1])
		case 'L':
			d.lineTo(x+q[0][0], y-q[0][1])
		case 'Q':
			d.quad(x+q[0][0], y-q[0][1], x+q[1][0], y-q[1][1])
		case 'C':
			d.cubic(x+q[0][0], y-q[0][1], x+q[1][0], y-q[1][1], x+q[2][0], y-q[2][1])
		case 'Z':
			d.close()
		}
	}
}

// onPage is a part whose y runs down already, as a path.
func (p *part) onPage() *path {
	var d path
	p.on(&d)
	return &d
}

// on puts a part whose y runs down on a path.
func (p *part) on(d *path) {
	for _, o := range p.ops {
		switch q := o.p; o.cmd {
		case 'M':
			d.move(q[0][0], q[0][1])
		case 'L':
			d.lineTo(q[0][0], q[0][1])
		case 'Q':
			d.quad(q[0][0], q[0][1], q[1][0], q[1][1])
		case 'C':
			d.cubic(q[0][0], q[0][1], q[1][0], q[1][1], q[2][0], q[2][1])
		case 'Z':
			d.close()
		}
	}
}

// leafKind is how a blade is drawn.
type leafKind int

const (
	lens    leafKind = iota // lanceolate and linear leaves
	ovate                   // widest near the base
	heart                   // cordate
	spoon                   // widest near the tip
	disc                    // round
	feather                 // pinnate, cut into threads
	frond                   // fern
	needle                  // needles and threads
	ribbon                  // long bands
)

// kindOf reads the catalogue's leaf shape; an unknown word gives a lens.
func kindOf(sp *catalog.Species) leafKind {
	switch strings.ToLower(sp.LeafShape) {
	case "ovate", "elliptic":
		return ovate
	case "cordate":
		return heart
	case "spatulate":
		return spoon
	case "round":
		return disc
	case "pinnate":
		return feather
	case "frond":
		return frond
	case "needle", "thread":
		return needle
	case "ribbon":
		return ribbon
	}
	return lens
}

// slim is the breadth of a blade as a share of its length, by kind.
func (k leafKind) slim() float64 {
	switch k {
	case ovate:
		return .42
	case heart:
		return .62
	case spoon:
		return .38
	case disc:
		return .9
	case ribbon:
		return .045
	case needle:
		return .05
	case frond, feather:
		return .34
	}
	return .2
}

// blade draws a leaf from its base to its tip; bend throws it sideways by so much of its length.
func (f *figure) blade(k leafKind, bx, by, tx, ty, bend, breadth float64) {
	dx, dy := tx-bx, ty-by
	l := math.Hypot(dx, dy)
	if l < .05 {
		return
	}
	ax, ay := dx/l, dy/l
	nx, ny := -ay, ax
	pt := func(a, n float64) (float64, float64) { return bx + ax*a*l + nx*n, by + ay*a*l + ny*n }
	w := breadth / 2
	s := bend * l
	switch k {
	case ovate, heart, spoon, disc:
		a1, w1, a2, w2 := .08, 1.25, .75, .75
		switch k {
		case heart:
			a1, w1, a2, w2 = -.22, 1.5, .7, .7
		case spoon:
			a1, w1, a2, w2 = .45, .25, .95, 1.55
		case disc:
			a1, w1, a2, w2 = 0, 1.33, 1, 1.33
		}
		p := f.begin(false, bx, by)
		x1, y1 := pt(a1, w1*w+s*.6)
		x2, y2 := pt(a2, w2*w+s)
		p.cubic(x1, y1, x2, y2, tx, ty)
		x2, y2 = pt(a2, -w2*w+s)
		x1, y1 = pt(a1, -w1*w+s*.6)
		p.cubic(x2, y2, x1, y1, bx, by)
		p.close()
	case ribbon:
		p := f.begin(false, bx, by)
		x1, y1 := pt(.35, s+w)
		x2, y2 := pt(.7, -s*.7+w)
		p.cubic(x1, y1, x2, y2, tx, ty)
		x1, y1 = pt(.7, -s*.7-w)
		x2, y2 = pt(.35, s-w)
		p.cubic(x1, y1, x2, y2, bx, by)
		p.close()
	case feather, frond:
		n := 5
		if k == frond {
			n = 8
		}
		// A rib with pairs of leaflets; ferns have broad ones.
		p := f.begin(k == feather, bx, by)
		if k == feather {
			x1, y1 := pt(.5, s)
			p.quad(x1, y1, tx, ty)
		}
		if k == frond {
			for side := 1.0; side >= -1; side -= 2 {
				for i := range n {
					t := (float64(i) + .4) / float64(n)
					if side < 0 {
						t = 1 - (float64(i)+.6)/float64(n)
					}
					env := (.35 + .65*math.Sin(math.Pi*math.Pow(t, .6))) * (1 - t*t*.7) * w * side
					mid := s * 2 * t * (1 - t)
					tipX, tipY := pt(t+.1, mid+env)
					inX, inY := pt(clamp(t+.3/float64(n)*side, 0, 1), mid+env*.42)
					p.line(tipX, tipY)
					p.line(inX, inY)
				}
				if side > 0 {
					p.line(tx, ty)
				}
			}
			p.close()
			break
		}
		for i := 1; i <= n; i++ {
			t := float64(i) / float64(n+1)
			mid := s * 4 * t * (1 - t) / 2
			env := w * (1 - t*.6)
			x, y := pt(t, mid)
			xa, ya := pt(t+.16, mid+env)
			xb, yb := pt(t+.16, mid-env)
			p.move(xa, ya)
			p.line(x, y)
			p.line(xb, yb)
		}
	case needle:
		p := f.begin(true, bx, by)
		x, y := pt(.5, s)
		p.quad(x, y, tx, ty)
	default:
		p := f.begin(false, bx, by)
		x, y := pt(.45, s+w*1.15)
		p.quad(x, y, tx, ty)
		x, y = pt(.45, s-w*1.15)
		p.quad(x, y, bx, by)
		p.close()
	}
}

// stalk draws a thin line.
func (f *figure) stalk(bx, by, tx, ty, bend float64) {
	p := f.begin(true, bx, by)
	p.quad((bx+tx)/2-(ty-by)*bend, (by+ty)/2+(tx-bx)*bend, tx, ty)
}

// small is the size in drawing units under which nobody sees one leaf cover another; such a plant is one path, which keeps pages light.
const small = 42.0

// figureOf draws a plant's state in drawing units (per of them to the metre). room is how much water stands over its crown in metres;
// what is longer lies along the surface. detail thins the leaves of crowded drawings, 0 < detail ≤ 1.
func figureOf(p *growth.PlantState, per, room, detail float64) *figure {
	f := &figure{}
	h, w := p.HeightM*per, p.SpreadM*per
	if !(h > 0) || !(w > 0) || p.Species == nil || h > 1e5 || w > 1e5 {
		return f
	}
	d := drawsOf(p.ID)
	kind := kindOf(p.Species)
	f.join = h*w < small*small
	count := func(n, lo, hi float64) int { return int(math.Round(clamp(clamp(n, lo, hi)*detail, min(lo, 3), hi))) }
	switch p.Species.Form {
	case catalog.Stem:
		stemPlant(f, p, d, kind, h, w, per, room, detail)
		return f
	case catalog.Runner:
		tallRibbons(f, d, count(p.Leaves, 4, 12), h, w, per, room)
		return f
	case catalog.Carpet:
		carpet(f, d, kind, count(p.Leaves, 4, 10))
	case catalog.Moss:
		moss(f, d)
	case catalog.Rhizome:
		rhizome(f, d, kind, count(p.Leaves, 3, 16))
	case catalog.Lily:
		lily(f, d, count(p.Leaves, 3, 14), min(h, max(room*per, .02*per)), w)
		f.fit(min(h, max(room*per, .02*per)), w)
		return f
	case catalog.Floating:
		floating(f, d, kind, count(p.Leaves, 3, 9), h, w, per)
		return f
	default:
		if kind == ribbon && p.Species.Form != catalog.Bulb {
			tallRibbons(f, d, count(p.Leaves, 4, 14), h, w, per, room)
			return f
		}
		rosette(f, d, kind, count(p.Leaves, 3, 20), w/h)
	}
	f.fit(h, w)
	return f
}

// rosette is a fan of leaves from one crown, the far ones first; wide is its spread over its height.
func rosette(f *figure, d draws, kind leafKind, n int, wide float64) {
	breadth := kind.slim()
	if n > 12 {
		breadth *= .85
	}
	type leaf struct {
		i    int
		away float64
	}
	order := make([]leaf, n)
	for i := range order {
		order[i] = leaf{i, math.Sin(2 * math.Pi * (float64(i)*.381966 + d.at(0)))}
	}
	for i := 1; i < n; i++ { // few leaves: insertion keeps the order of equals
		for j := i; j > 0 && order[j].away > order[j-1].away; j-- {
			order[j], order[j-1] = order[j-1], order[j]
		}
	}
	for _, o := range order {
		k := 1 + 4*o.i
		turn := 2 * math.Pi * (float64(o.i)*.381966 + d.at(0))
		lean := clamp(.16+1.0*math.Sqrt(float64(o.i)+.3)/math.Sqrt(float64(n))+d.between(k, -.12, .12), .08, 1.25)
		length := d.between(k+1, .8, 1)
		x, y := length*math.Sin(lean)*math.Cos(turn)*wide/1.2, length*math.Cos(lean)
		bend := -x / (math.Abs(x) + .2) * d.between(k+2, .1, .24) * lean
		l := math.Hypot(x, y)
		stalked := kind == ovate || kind == heart || kind == spoon || kind == lens && breadth > .1 && wide < 2.5
		if stalked {
			share := .48
			if kind == lens {
				share = .3
			}
			sx, sy := x*share*.8, y*share*1.1
			f.stalk(0, 0, sx, sy, bend*.6)
			f.blade(kind, sx, sy, x, y, bend*.8, max(breadth, .26)*l*(1-share)*1.15*(.62+.38*math.Abs(math.Cos(turn))))
			continue
		}
		b := breadth
		if kind == needle || kind == ribbon {
			b = .06
		}
		k2 := kind
		if k2 == needle || k2 == feather || k2 == frond || k2 == ribbon || k2 == disc {
			k2 = lens
		}
		f.blade(k2, 0, 0, x, y, bend, b*l*(.55+.45*math.Abs(math.Cos(turn))))
	}
}

// surface parts a height into what stands in the water and what lies along its surface (at most half a metre is drawn).
func surface(h, length, per, room float64) (top, rest float64) {
	r := room * per
	if r <= 0 {
		return h, 0
	}
	top = min(h, r)
	if h > .93*r {
		rest = max(length, h) - top
	}
	if rest < .02*per {
		rest = 0
	}
	return top, min(rest, .5*per)
}

// tallRibbons are bands that rise to the surface and lie along it when they are longer than the water is high.
func tallRibbons(f *figure, d draws, n int, h, w, per, room float64) {
	top, rest := surface(h, 0, per, room)
	broad := clamp(.008*per, 1.2, 5)
	for i := range n {
		k := 5 * i
		x := d.between(k, -1, 1)
		y := d.between(k+1, .62, 1)
		if i == 0 {
			y = 1
		}
		f.blade(ribbon, x*.1, 0, x, y, d.sign(k+2)*d.between(k+3, .03, .12), 0)
	}
	f.fit(top, w)
	for i := range f.parts { // breadth after the stretch, else tall narrow plants get hair
		o := f.parts[i].ops
		for j := 1; j <= 2; j++ {
			s := broad / 2
			if j == 2 {
				s = -s
			}
			o[j].p[0][0] += s
			o[j].p[1][0] += s
		}
	}
	if rest > 0 {
		for i := range f.parts {
			o := f.parts[i].ops
			end := o[1].p[2]
			if end[1] < top*.9 {
				continue
			}
			dir := d.sign(900)
			l := rest * d.between(901+i, .5, 1)
			p := f.begin(false, end[0], top-.5)
			p.cubic(end[0]+dir*l*.3, top-.2, end[0]+dir*l*.6, top-1.5, end[0]+dir*l, top-.8)
			p.cubic(end[0]+dir*l*.6, top-broad*.7, end[0]+dir*l*.3, top-broad*.8, end[0], top-broad)
			p.close()
		}
	}
}

// stemPlant is a bundle of upright stems with leaves at their nodes.
func stemPlant(f *figure, p *growth.PlantState, d draws, kind leafKind, h, w, per, room, detail float64) {
	top, rest := surface(h, p.LengthM*per, per, room)
	bare := clamp(p.BareM*per, 0, top*.8)
	stems := int(math.Round(clamp(p.Stems, 1, 5)))
	if detail < .6 {
		stems = min(stems, 4)
	}
	reach := clamp(p.Species.SpreadCM.Mid()/200*per, 2.5, w/2)
	nodes := int(clamp(math.Round((top-bare)/(.02*per)*detail), 3, 11))
	for i := range stems {
		k := 100 * i
		x := 0.0
		if stems > 1 {
			x = (w/2 - reach) * (2*(float64(i)+.5)/float64(stems) - 1 + d.between(k, -.15, .15))
		}
		hi := top * d.between(k+1, .74, .97)
		if i == int(d.at(7)*float64(stems)) {
			hi = top
		}
		sway := d.between(k+2, -.05, .05) * hi
		f.join = false
		f.stalk(x*.8, 0, x, hi*.98, sway/hi)
		f.join = true
		for j := range nodes {
			foot := clamp(bare/hi, .1, .9) // stems are bare at the foot
			t := foot + (1-foot)*(float64(j)+.4)/float64(nodes)
			y := min(hi*t, hi-reach*.25)
			cx := x*.8 + (x-x*.8)*t - sway*2*t*(1-t)
			size := reach * (.75 + .25*math.Sin(math.Pi*t)) * d.between(k+10+j, .82, 1.05)
			if t > .9 {
				size *= .75
			}
			rise := size * d.between(k+40+j, .12, .5)
			rise = min(rise, hi-y)
			for _, side := range []float64{-1, 1} {
				sz := size * (1 - .3*math.Abs(side*.5-d.at(k+70+j)))
				switch kind {
				case feather, needle, frond:
					for _, q := range []float64{.3, 1.1} {
						f.blade(needle, cx, y, cx+side*sz, y+min(rise*q, hi-y), .1*side, 0)
					}
				default:
					f.blade(kind, cx, y, cx+side*sz, y+rise, -.12*side, max(kind.slim(), .22)*sz)
				}
			}
		}
		f.blade(lens, x, hi-reach*.45, x, hi, 0, reach*.25)
	}
	f.fit(top, w)
	if rest > 0 {
		dir := d.sign(900)
		for i := range stems {
			x := d.between(910+i, -.4, .4) * w
			l := rest * d.between(920+i, .5, 1)
			p := f.begin(true, x, top-1)
			p.line(x+dir*l, top-1)
			for j := range 5 {
				at := x + dir*l*(float64(j)+.5)/5
				f.blade(lens, at, top-1, at+dir*reach*.5, top-reach*.6, 0, reach*.25)
			}
		}
	}
}

// carpet is a tuft of short blades over its whole spread.
func carpet(f *figure, d draws, kind leafKind, n int) {
	f.join = true
	round := kind == disc || kind == ovate || kind == spoon || kind == heart
	for i := range n {
		k := 4 * i
		x := 2*(float64(i)+.5)/float64(n) - 1 + d.between(k, -.08, .08)
		y := d.between(k+1, .55, 1)
		if round {
			f.blade(disc, x, y*.62, x+d.between(k+3, -.06, .06), y, 0, .26)
			continue
		}
		f.blade(lens, x, 0, x+d.between(k+2, -.16, .16), y, d.between(k+3, -.1, .1), .07)
	}
}

// moss is a cushion with a frayed edge.
func moss(f *figure, d draws) {
	const n = 11
	f.over = true
	p := f.begin(false, -1, 0)
	for i := 1; i <= n; i++ {
		a := math.Pi * (1 - float64(i)/n)
		b := math.Pi * (1 - (float64(i)-.5)/n)
		r := d.between(i, .86, 1)
		q := r * d.between(30+i, 1.08, 1.2)
		p.quad(q*math.Cos(b), q*math.Sin(b), r*math.Cos(a), r*math.Max(math.Sin(a), 0))
	}
	p.close()
	for i := range 16 {
		a, r := math.Pi*d.at(60+i), .35+.55*d.at(90+i)
		x, y := r*math.Cos(a), r*math.Sin(a)
		f.stalk(x, y, x+d.between(120+i, -.12, .12), y+.13, .3)
	}
}

// rhizome is a creeping shoot with leaves standing off it.
func rhizome(f *figure, d draws, kind leafKind, n int) {
	r := f.begin(true, -.45, .03)
	r.quad(0, .1, .5, .05)
	if kind == lens || kind == disc || kind == needle || kind == feather {
		if kind == feather {
			kind = frond
		} else {
			kind = ovate
		}
	}
	for i := range n {
		k := 5 * i
		b := -.45 + .95*(float64(i)+.5)/float64(n)
		x := clamp(b*2+d.between(k, -.35, .35), -1, 1)
		y := d.between(k+1, .45, 1)
		if kind == frond {
			f.blade(frond, b, .05, x, y, -x*.15, .34*d.between(k+2, .8, 1.1))
			continue
		}
		mx, my := b+(x-b)*.45, y*.45
		f.stalk(b, .05, mx, my, -x*.1)
		f.blade(kind, mx, my, x, y, -x*.12, kind.slim()*.7*d.between(k+2, .7, 1))
	}
}

// lily is round leaves on stalks of many lengths, seen a little from above.
func lily(f *figure, d draws, n int, h, w float64) {
	for i := range n {
		k := 5 * i
		x := w / 2 * .8 * (2*(float64(i)+.5)/float64(n) - 1 + d.between(k, -.2, .2))
		y := h * d.between(k+1, .35, .97)
		if i == n/2 {
			y = h * .97
		}
		f.stalk(0, 0, x, y, -x/h*.2)
		r := clamp(w*d.between(k+2, .13, .19), 2, 60)
		tilt := d.between(k+3, -.25, .25) * r
		f.blade(disc, x-r*.75, y-tilt, x+r, y+tilt*.5, .08, r*d.between(k+4, .5, .85))
	}
}

// floating is a rosette on the surface with hanging roots; its height is the depth of the roots.
func floating(f *figure, d draws, kind leafKind, n int, h, w, per float64) {
	roots := int(clamp(float64(n)*1.5, 4, 12))
	for i := range roots {
		k := 3 * i
		x := w * .3 * d.between(k, -1, 1)
		y := -h * d.between(k+1, .55, 1)
		if i == 0 {
			y = -h
		}
		f.stalk(x*.4, 0, x, y, d.between(k+2, -.1, .1))
	}
	up := clamp(w*.22, 1.5, .05*per)
	for i := range n {
		x := w / 2 * (2*(float64(i)+.5)/float64(n) - 1)
		b := up * d.between(200+i, .5, 1)
		f.blade(ovate, x*.25, .3, x, .3+b*(1-.5*math.Abs(x)/(w/2)), 0, max(b*.8, 1.2))
	}
}
