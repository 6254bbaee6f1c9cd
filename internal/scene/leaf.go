package scene

import "math"

// outline is a leaf's shape: its width, 0 to 1, along the blade from base to tip.
type outline func(t float64) float64

// form is what a leaf shape of the catalogue means for the drawing. Proportions are common practice, no source.
type form struct {
	width    outline
	petiole  float64 // share of the whole length that is stalk
	aspect   float64 // width by length of the blade
	widest   float64 // the most that the aspect may become
	fill     float64 // blade area by length times width
	lobes    float64 // how far the base is drawn back beside the stalk, share of the length
	segments int
	feather  int     // pairs of leaflets; 0 for an undivided blade
	nod      float64 // how far the blade bends away from its stalk, rad
}

func lens(peak, sharp float64) outline {
	// A lens that is widest at peak.
	return func(t float64) float64 {
		u := t / (2 * peak)
		if t > peak {
			u = .5 + (t-peak)/(2*(1-peak))
		}
		return math.Pow(max(0, math.Sin(math.Pi*u)), sharp)
	}
}

func strap(t float64) float64 { return min(1, .55+6*t) * math.Pow(max(0, 1-math.Pow(t, 7)), .8) }

var forms = map[string]form{
	"linear":     {width: lens(.4, .45), petiole: .0, aspect: .09, widest: .14, fill: .78, segments: 7},
	"lanceolate": {width: lens(.40, .72), petiole: .25, aspect: .19, widest: .29, fill: .64, segments: 8},
	"ovate":      {width: lens(.40, .55), petiole: .30, aspect: .46, widest: .62, fill: .72, segments: 7, nod: .35},
	"cordate":    {width: func(t float64) float64 { return math.Pow(max(0, math.Sin(math.Pi*(.14+.86*t))), .75) }, petiole: .5, aspect: .8, widest: 1, fill: .7, lobes: .2, segments: 9, nod: .5},
	"spatulate":  {width: lens(.72, .8), petiole: .2, aspect: .4, widest: .6, fill: .66, segments: 7},
	"pinnate":    {width: lens(.4, .7), petiole: .28, aspect: .5, widest: .62, fill: .45, segments: 8, feather: 9},
	"needle":     {width: lens(.4, .4), petiole: 0, aspect: .06, widest: .1, fill: .8, segments: 4},
	"ribbon":     {width: strap, petiole: 0, aspect: .018, widest: .030, fill: .93, segments: 12},
	"frond":      {width: lens(.45, .7), petiole: .05, aspect: .4, widest: .55, fill: .5, segments: 6, feather: 6},
	"thread":     {width: lens(.2, .3), petiole: 0, aspect: .012, widest: .02, fill: .8, segments: 4},
	"round":      {width: func(t float64) float64 { return math.Sqrt(max(0, 1-(2*t-1)*(2*t-1)*.999)) }, petiole: .6, aspect: 1, widest: 1.05, fill: .78, segments: 6, nod: 1.1},
}

func formOf(shape string) form {
	if f, ok := forms[shape]; ok {
		return f
	}
	return forms["lanceolate"]
}

// leaf is one leaf to be drawn.
type leaf struct {
	from         Vec
	azimuth      float64
	length       float64 // stalk and blade, m along the leaf
	lean0, lean1 float64 // from the vertical at base and tip, rad
	width        float64 // of the blade, m
	fold         float64 // how far the halves stand up from the rib, rad
	wave, waves  float64 // ruffle of the edge: share of the width, and how many
	phase        float64
	curl         float64 // how far it swings sideways on its way, rad
	nod, joint   float64 // how far the blade bends away from its stalk, rad, and at which share of the length
	twist        float64 // of ribbons about their own line from base to tip, rad
	base, tip    tint
	rib, stem    tint
	stalk        float64 // half thickness of the stalk, m
	coarse       bool    // fewer rows, for leaves that are small or many
}

// step is a place along a leaf with the directions there.
type step struct{ p, along, side, up Vec }

// walk follows the leaf's rib from base to tip.
func (l *leaf) walk(n int) []step {
	out := make([]step, 0, n+1)
	p := l.from
	const sub = 3
	h := l.length / float64(n*sub)
	for i := range n + 1 {
		for k := range sub {
			if i == 0 && k > 0 {
				break
			}
			t := (float64(i*sub+k-sub) + .5) / float64(n*sub)
			if i == 0 {
				t = 0
			}
			theta := l.lean0 + (l.lean1-l.lean0)*math.Pow(clamp(t, 0, 1), 1.4)
			if l.nod != 0 {
				theta = min(theta+l.nod*smooth(l.joint-.12, l.joint+.10, t), max(theta, 1.75))
			}
			az := l.azimuth + l.curl*t*t
			s, c := math.Sincos(theta)
			sa, ca := math.Sincos(az)
			dir := Vec{s * ca, s * sa, c}
			if i > 0 {
				p = p.add(dir.mul(h))
			}
			if k == sub-1 || i == 0 {
				out = append(out, step{p, dir, Vec{-sa, ca, 0}, Vec{-c * ca, -c * sa, s}})
			}
		}
	}
	return out
}

// draw adds the leaf to a mesh.
func (l *leaf) draw(m *Mesh, f form) {
	seg := f.segments
	if l.coarse {
		seg = max(3, seg/2)
	}
	stalkRows := 0
	if f.petiole > 0 {
		stalkRows = 2
		if l.coarse {
			stalkRows = 1
		}
	}
	// The walk goes over stalk and blade together; the blade begins at a share of the length.
	const fine = 24
	path := l.walk(fine)
	at := func(t float64) step {
		u := clamp(t, 0, 1) * fine
		i := min(int(u), fine-1)
		w := u - float64(i)
		a, b := path[i], path[i+1]
		return step{a.p.mix(b.p, w), a.along.mix(b.along, w), a.side.mix(b.side, w), a.up.mix(b.up, w)}
	}
	if stalkRows > 0 {
		l.stem3(m, at, f.petiole*1.02, stalkRows)
	}
	blade := func(t float64) float64 { return f.petiole + (1-f.petiole)*t }
	if f.feather > 0 {
		l.feathers(m, f, at, blade)
		return
	}
	half := l.width / 2
	first := len(m.V)
	l.waves = min(l.waves, float64(seg)/2.6) // no more ruffles than the rows can show
	if f.widest < .04 {                      // too narrow to show a rib
		for i := range seg + 1 {
			t := float64(i) / float64(seg)
			q := at(blade(t))
			w := max(half*f.width(t), 1e-4)
			s, co := math.Sincos(l.phase + l.twist*t)
			side, up := q.side.mul(co).add(q.up.mul(s)), q.up.mul(co).sub(q.side.mul(s))
			c := l.base.mix(l.tip, t).mix(l.rib, .2).bytes()
			n := up.unit().f32()
			m.V = append(m.V, Vertex{P: q.p.add(side.mul(w)).f32(), N: n, C: c}, Vertex{P: q.p.sub(side.mul(w)).f32(), N: n, C: c})
		}
		m.grid(1, seg, first, false)
		return
	}
	sf, cf := math.Sincos(l.fold)
	for i := range seg + 1 {
		t := float64(i) / float64(seg)
		q := at(blade(t))
		w := half * f.width(t)
		back := 0.0
		if f.lobes > 0 && t < .35 { // the lobes of a heart reach back beside the stalk
			back = f.lobes * (1 - f.petiole) * l.length * (1 - t/.35)
		}
		ruffle := l.wave * half * math.Sin(2*math.Pi*l.waves*t+l.phase)
		ruffle2 := l.wave * half * math.Sin(2*math.Pi*l.waves*t+l.phase+2.4)
		c := l.base.mix(l.tip, t)
		edge := c.mul(.93)
		left := q.p.add(q.side.mul(w * cf)).add(q.up.mul(w*sf + ruffle)).sub(q.along.mul(back))
		right := q.p.sub(q.side.mul(w * cf)).add(q.up.mul(w*sf + ruffle2)).sub(q.along.mul(back))
		tilt := sf*.9 + .12
		m.V = append(m.V,
			Vertex{P: left.f32(), N: q.up.mul(1).sub(q.side.mul(tilt)).unit().f32(), C: edge.bytes()},
			Vertex{P: q.p.f32(), N: q.up.unit().f32(), C: c.mix(l.rib, .75*(1-t*.5)).bytes()},
			Vertex{P: right.f32(), N: q.up.mul(1).add(q.side.mul(tilt)).unit().f32(), C: edge.bytes()},
		)
	}
	m.grid(2, seg, first, false)
}

// stem3 is the leaf's stalk: three-sided.
func (l *leaf) stem3(m *Mesh, at func(float64) step, upTo float64, rows int) {
	first := len(m.V)
	for i := range rows + 1 {
		t := upTo * float64(i) / float64(rows)
		q := at(t)
		r := l.stalk * (1 - .35*float64(i)/float64(rows))
		for k := range 4 {
			s, c := math.Sincos(2 * math.Pi * float64(k%3) / 3)
			n := q.side.mul(c).add(q.up.mul(s))
			m.V = append(m.V, Vertex{P: q.p.add(n.mul(r)).f32(), N: n.unit().f32(), C: l.stem.bytes()})
		}
	}
	m.grid(3, rows, first, false)
}

// feathers draws a divided blade: a rib with pairs of leaflets.
func (l *leaf) feathers(m *Mesh, f form, at func(float64) step, blade func(float64) float64) {
	n := f.feather
	if l.coarse {
		n = max(3, n/2)
	}
	rib := max(l.stalk*.6, .0004)
	first := len(m.V)
	for i := range 5 {
		t := float64(i) / 4
		q := at(blade(t))
		m.V = append(m.V, Vertex{P: q.p.add(q.side.mul(rib * (1 - .8*t))).f32(), N: q.up.unit().f32(), C: l.rib.bytes()},
			Vertex{P: q.p.sub(q.side.mul(rib * (1 - .8*t))).f32(), N: q.up.unit().f32(), C: l.rib.bytes()})
	}
	m.grid(1, 4, first, false)
	bladeLength := l.length * (1 - f.petiole)
	thick := bladeLength / float64(n) * .62
	for i := range n {
		t := (float64(i) + .5) / float64(n)
		q := at(blade(t))
		w := l.width / 2 * max(.18, f.width(t))
		c := l.base.mix(l.tip, t)
		for _, s := range []float64{-1, 1} {
			out := q.side.mul(s).add(q.along.mul(.55)).add(q.up.mul(.18)).unit()
			across := q.along.sub(out.mul(q.along.dot(out))).unit()
			k := uint32(len(m.V))
			up := q.up.unit().f32()
			m.V = append(m.V,
				Vertex{P: q.p.sub(across.mul(thick * .35)).f32(), N: up, C: c.mul(.95).bytes()},
				Vertex{P: q.p.add(out.mul(w * .5)).sub(across.mul(thick * .5)).f32(), N: up, C: c.bytes()},
				Vertex{P: q.p.add(out.mul(w)).f32(), N: up, C: c.mul(1.06).bytes()},
				Vertex{P: q.p.add(out.mul(w * .45)).add(across.mul(thick * .5)).f32(), N: up, C: c.bytes()},
			)
			if s > 0 {
				m.F = append(m.F, [3]uint32{k, k + 3, k + 1}, [3]uint32{k + 1, k + 3, k + 2})
			} else {
				m.F = append(m.F, [3]uint32{k, k + 1, k + 3}, [3]uint32{k + 1, k + 2, k + 3})
			}
		}
	}
	// A leaflet at the tip.
	q := at(blade(.9))
	k := uint32(len(m.V))
	end := at(1)
	up := q.up.unit().f32()
	m.V = append(m.V, Vertex{P: q.p.add(q.side.mul(thick * .4)).f32(), N: up, C: l.tip.bytes()}, Vertex{P: end.p.f32(), N: up, C: l.tip.bytes()},
		Vertex{P: q.p.sub(q.side.mul(thick * .4)).f32(), N: up, C: l.tip.bytes()})
	m.F = append(m.F, [3]uint32{k, k + 2, k + 1})
}
