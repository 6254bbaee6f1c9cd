package scene

import (
	"fmt"
	"littoral/internal/catalog"
	"littoral/internal/growth"
	"math"
	"strings"
)

// golden is the angle between one leaf and the next of a rosette, rad.
const golden = 2.399963229728653

// skin is how far leaves stay from the glass and under the surface, m.
const skin = 0.003

// plant builds one plant from its state.
func (b *builder) plant(p *growth.PlantState) {
	it := Item{Kind: Plant, ID: p.ID, Planting: p.Planting, Species: p.Species.Name, At: Vec{p.X, p.Y, p.Z}}
	item := b.item(it)
	d := drawsOf(p.ID)
	first := len(b.Nodes)
	defer func() { b.exact(b.Nodes[first:], p) }()
	switch p.Species.Form {
	case catalog.Stem:
		b.stems(p, item, d)
	case catalog.Carpet:
		b.carpet(p, item, d)
	case catalog.Moss:
		b.moss(p, item, d)
	case catalog.Floating:
		b.floating(p, item, d)
	default:
		b.rosette(p, item, d)
	}
}

// exact stretches a plant that is made of many shared meshes about its crown, by a few percent, to the height and spread of its state. Plants that
// the glass holds back are left as they are; ground covers follow the ground, and only their width is brought to the state's.
func (b *builder) exact(nodes []Node, p *growth.PlantState) {
	sp := p.Species.Form
	if sp != catalog.Stem && sp != catalog.Carpet && sp != catalog.Moss && sp != catalog.Floating {
		return
	}
	top, reach := 0.0, 0.0
	for i := range nodes {
		n := &nodes[i]
		for _, v := range b.Meshes[n.Mesh].V {
			q := n.M.Point(v.P)
			top, reach = max(top, float64(q[2])-p.Z), max(reach, sq(float64(q[0])-p.X)+sq(float64(q[1])-p.Y))
		}
	}
	reach = sqrt(reach)
	if reach <= 0 || top <= 0 {
		return
	}
	wide, high := float32(p.SpreadM/2/reach), float32(1)
	if b.Tank.WallDistance(p.X, p.Y) < p.SpreadM/2 {
		wide = min(1, wide)
	}
	if sp == catalog.Stem || sp == catalog.Moss {
		high = float32(p.HeightM / top)
		if p.Z+p.HeightM > b.Tank.WaterLevel-skin {
			high = min(1, float32((b.Tank.WaterLevel-skin-p.Z)/top))
		}
	}
	at := [3]float32{float32(p.X), float32(p.Y), float32(p.Z)}
	for i := range nodes {
		m := &nodes[i].M
		for row, s := range [3]float32{wide, wide, high} {
			for k := range 3 {
				m[row][k] *= s
			}
			m[row][3] = at[row] + (m[row][3]-at[row])*s
		}
	}
}

// habit is how the leaves of a form stand.
type habit struct {
	most        int     // leaves drawn for one plant
	wave, waves float64 // of the edge
	fold        float64
	spread      float64 // how far the oldest leaves lean out: 0 upright, 1 flat
	upright     bool    // ribbons
}

func habitOf(sp *catalog.Species) habit {
	h := habit{most: 64, wave: .10, waves: 2.5, fold: .22, spread: .62}
	words := strings.ToLower(sp.Colour + " " + sp.Name)
	if strings.Contains(words, "wavy") || strings.Contains(words, "undulat") || strings.Contains(words, "crisp") || strings.Contains(words, "hammered") || strings.Contains(words, "crinkled") {
		h.wave, h.waves = .26, 7
	}
	if sp.LeafShape == "ribbon" {
		h.upright, h.fold = true, .05
	}
	switch sp.Form {
	case catalog.Runner:
		h.upright, h.fold, h.wave = true, .05, .2
	case catalog.Rhizome:
		h.spread, h.fold = .85, .16
	case catalog.Lily:
		h.fold, h.spread, h.wave = .05, .42, .07
	case catalog.Bulb:
		h.wave, h.waves = .30, 9
	}
	return h
}

// rosette draws leaves that rise from one crown, or stand off a creeping rhizome. The youngest stand in the middle, the oldest lean out; each is as
// long as the height and the spread of the state allow in its direction, and the whole is then brought to both exactly. Where the forecast's leaf
// area is more than its leaves can carry in the shape of the species, leaves that the count leaves out are drawn as well.
func (b *builder) rosette(p *growth.PlantState, item int, d draws) {
	sp := p.Species
	f, h, col := formOf(sp.LeafShape), habitOf(sp), paint(p)
	height, radius := p.HeightM, p.SpreadM/2
	if sp.Form == catalog.Rhizome && sp.Family != "Araceae" { // ferns: hardly a stalk, long tapering blades
		f.petiole *= .15
		f.aspect, f.widest = min(f.aspect, .45), min(f.widest, .5)
		if f.feather == 0 {
			f.aspect, f.widest = .15, .19
		}
	}
	if sp.Family == "Araceae" && sp.Form == catalog.Rosette { // long-stalked
		f.petiole = .42
	}
	if sp.Form == catalog.Runner || sp.LeafShape == "ribbon" {
		f.petiole = 0
	}
	direction := 2 * math.Pi * d.at(1)
	counted := max(1, int(math.Round(p.Leaves)))
	// A plant counted alone has its leaves; how many more carry the area is found from the length of a leaf.
	reach := math.Hypot(height, radius) * .8
	one := f.fill * f.widest * .9 * sq(reach*(1-f.petiole)) * .45
	n := counted
	if p.LeafM2 > 0 && one > 0 {
		n = max(n, min(int(math.Ceil(p.LeafM2/one)), 3*counted+4))
	}
	n = min(n, h.most*int(min(4, math.Ceil(max(1, p.Count)))))
	if height < .05 || n > 24 {
		f.segments = max(5, f.segments*3/4)
		if f.feather > 0 {
			f.feather = max(5, f.feather-2)
		}
	}
	creep := 0.0
	if sp.Form == catalog.Rhizome {
		creep = min(radius*.08, .0025*math.Sqrt(float64(n)))
	}
	if p.Count > 1.5 {
		creep = radius * .7
	}
	list := make([]leaf, n)
	total := 0.0
	for i := range n {
		k := 10 + 8*i
		age := 1.0
		if n > 1 {
			age = 1 - float64(i)/float64(n-1) // leaf 0 is the oldest
		}
		own := d.between(k, .8, 1.2)
		l := &list[i]
		l.azimuth = direction + golden*float64(i) + d.between(k+1, -.3, .3)
		l.curl = d.between(k+2, -.5, .5)
		l.fold = h.fold * d.between(k+3, .6, 1.3)
		l.lean0 = min((.03+.75*age*h.spread)*own, 1.35)
		l.lean1 = min((.22+(.55+1.75*age)*h.spread)*own, 2.3)
		if h.upright { // ribbons stand straight and only their ends lie over
			l.lean0 = (.02 + .16*age) * own
			l.lean1 = (.10 + 1.25*h.spread*(.3+.7*age)) * own
		}
		if creep > 0 {
			s := 0.0
			if n > 1 {
				s = float64(i)/float64(n-1)*2 - 1
			}
			a := direction + .8*math.Sin(3*s+6*d.at(3))
			side := d.between(k+4, -.35, .35)
			l.from = Vec{creep * (s*math.Cos(a) - side*math.Sin(a)), creep * (s*math.Sin(a) + side*math.Cos(a)), min(.005, height*.08)}
		}
		l.length = 1
		if f.petiole > .1 {
			l.nod, l.joint = f.nod*own, f.petiole
		}
		free := *l
		free.from = Vec{}
		top, wide := 1e-6, 1e-6
		for _, s := range free.walk(8) {
			top, wide = max(top, s.p[2]), max(wide, math.Hypot(s.p[0], s.p[1]))
		}
		// A leaf grows to its full length over the first third of its place in the order.
		l.length = min(height/top, max(radius-creep*.7, radius*.4)/wide) * (.4 + .6*smooth(0, .35, age+.08)) * d.between(k+5, .84, 1.02)
		if h.upright {
			l.length = max(l.length, min(height/top, math.Hypot(height, radius))*(.45+.5*smooth(0, .35, age+.08))*d.between(k+5, .8, 1))
		}
		total += sq(l.length * (1 - f.petiole))
	}
	// Width from the leaf area of the forecast, within what the shape allows.
	aspect := f.aspect
	if p.LeafM2 > 0 {
		aspect = clamp(p.LeafM2/(f.fill*total), .6*f.aspect, f.widest)
	}
	m := &Mesh{Name: p.ID, Surface: Leaf, Under: col.under}
	if sp.Form == catalog.Rhizome && sp.Family == "Araceae" && n > 2 {
		rhizome(m, list[0].from, list[n-1].from, clamp(height*.016, .001, .004), col.stem.mul(.6))
	}
	for i := range list {
		l, k := &list[i], 10+8*i
		age := 1 - float64(i)/float64(max(1, n-1))
		c := col.grown.mix(col.young, 1-smooth(.05, .4, age)).mix(col.old, .75*smooth(.75, 1.05, age))
		c = c.mul(d.between(k+6, .86, 1.08) * d.between(4, .93, 1.06))
		l.width = aspect * l.length * (1 - f.petiole) * d.between(k+7, .88, 1.1)
		if h.upright { // narrower than this a ribbon would be lost to the eye
			l.width, l.twist = max(l.width, .0035), d.between(k+6, -2.4, 2.4)
		}
		l.wave, l.waves, l.phase = h.wave*d.between(k+3, .6, 1.3), h.waves, 6*d.at(k+4)
		l.base, l.tip, l.rib, l.stem = c.mul(.86), c.mul(1.06), c.mix(col.rib, .7), col.stem
		l.stalk = clamp(l.length*.008, .0004, .003)
		l.draw(m, f)
	}
	fit(m, height, radius)
	if sp.Form == catalog.Rhizome { // its foot holds on below the crown
		for i := range m.V {
			if m.V[i].P[2] < .01 {
				m.V[i].P[2] -= .004
			}
		}
	}
	b.settle(m, p, sp.Form != catalog.Rhizome)
	b.put(m, item)
}

func sq(v float64) float64 { return v * v }

// rhizome is the creeping shoot of epiphytes.
func rhizome(m *Mesh, a, q Vec, r float64, c tint) {
	first := len(m.V)
	dir := q.sub(a).unit()
	side := dir.cross(Vec{0, 0, 1}).unit()
	for i := range 5 {
		p := a.mix(q, float64(i)/4)
		for k := range 6 {
			s, co := math.Sincos(2 * math.Pi * float64(k%5) / 5)
			n := side.mul(co).add(Vec{0, 0, s})
			m.V = append(m.V, Vertex{P: p.add(n.mul(r)).f32(), N: n.f32(), C: c.bytes()})
		}
	}
	m.grid(5, 4, first, true)
}

// fit stretches a mesh about its crown to a height and a reach.
func fit(m *Mesh, height, radius float64) {
	top, reach := 0.0, 0.0
	for _, v := range m.V {
		top = max(top, float64(v.P[2]))
		reach = max(reach, math.Hypot(float64(v.P[0]), float64(v.P[1])))
	}
	if top <= 0 || reach <= 0 {
		return
	}
	sz, sx := float32(height/top), float32(radius/reach)
	for i := range m.V {
		m.V[i].P[0] *= sx
		m.V[i].P[1] *= sx
		m.V[i].P[2] *= sz
	}
}

// settle moves a plant built about the origin to its crown and bends what would stand in the glass, the bed or above the water back inside.
func (b *builder) settle(m *Mesh, p *growth.PlantState, rooted bool) {
	level := b.Tank.WaterLevel - skin
	for i := range m.V {
		v := &m.V[i]
		x, y := b.within(float64(v.P[0])+p.X, float64(v.P[1])+p.Y, skin)
		z := min(float64(v.P[2])+p.Z, level)
		if rooted {
			if g := b.height(x, y) + .001; z < g {
				z = g
			}
		}
		v.P = [3]float32{float32(x), float32(y), float32(z)}
	}
}

// stems draws a group of stems set apart over the ground the plant holds.
func (b *builder) stems(p *growth.PlantState, item int, d draws) {
	sp := p.Species
	n := max(1, int(math.Round(p.Stems)))
	if p.Stems < .5 {
		n = max(1, int(math.Round(p.Leaves)))
	}
	span := clamp(sp.SpreadCM.Mid()/100, .012, p.SpreadM*.9)
	height := p.HeightM
	extra := clamp((p.LengthM-height)/2, 0, .5)
	radius := p.SpreadM / 2
	inner := max(0, radius-span/2)
	internode := clamp(span*.33, .007, .028)
	if sp.HeightCM.Max < 13 {
		internode = clamp(span*.16, .005, .012)
	}
	// The leaf area of the forecast decides how leafy the stems are.
	leafy := 1.0
	if p.LeafM2 > 0 {
		f := formOf(sp.LeafShape)
		one := f.fill * f.aspect * span * span / 4 * 1.3
		usual := one * 2 * max(2, (height-p.BareM)/internode) * float64(n)
		leafy = clamp(math.Sqrt(p.LeafM2/max(1e-6, usual)), .62, 1.15)
	}
	size := math.Round(leafy*8) / 8
	col := paint(p)
	for i := range n {
		k := 100 + 9*i
		// Places by the sunflower's order: filled from the middle, each stem keeps its place when more come. The first stands at the rim.
		r := inner * math.Sqrt((float64(i)+.5)/float64(max(n, 6)))
		a := golden*float64(i) + 6*d.at(2)
		tall := d.between(k, .80, .99)
		if i == 0 {
			r, tall = inner, 1
		}
		x, y := b.within(p.X+r*math.Cos(a), p.Y+r*math.Sin(a), min(span*.45, .02))
		top := height * tall
		z := p.Z
		if p.On == "" {
			z = b.height(x, y)
			top = max(.01, p.Z+height*tall-z) // the group's tops are level, not its feet
			if i > 0 {
				top = max(.01, min(top, height*tall*1.25))
			}
		}
		top = min(top, b.Tank.WaterLevel-skin-z)
		if top <= .004 {
			continue
		}
		nodes := max(2, int(math.Round(top/internode)))
		nodes = bucket(nodes)
		lying := 0
		if extra > internode && i%2 == 0 {
			lying = bucket(int(extra / internode))
		}
		bare := 0
		if p.BareM > 0 {
			bare = int(math.Round(clamp(p.BareM/max(top, 1e-3), 0, .9)*float64(nodes)/3)) * 3
			bare = min(bare, nodes-2)
		}
		variant := int(3 * d.at(k+1))
		key := fmt.Sprintf("%s stem %d %d %d %d %.3f %v", sp.Name, nodes, lying, bare, variant, size, col.grown.bytes())
		mesh := b.sharing(key, func() *Mesh { return stem(sp, col, nodes, lying, bare, variant, internode, span, size) })
		high := meshTop(&b.Meshes[mesh])
		turn := a
		if lying == 0 && i > 0 {
			turn = 2 * math.Pi * d.at(k+2)
		}
		wide := 1.0
		if i == 0 { // reaches exactly to the rim
			if reach := meshReach(&b.Meshes[mesh]); reach > 0 {
				wide = clamp((radius-r)/reach, .3, 2.5)
			}
		}
		b.Nodes = append(b.Nodes, Node{Mesh: mesh, Item: item, M: placed(Vec{x, y, z}, turn, wide, top/high)})
	}
}

// bucket makes numbers of nodes coarser the larger they are, so that stems can share meshes.
func bucket(n int) int {
	switch {
	case n <= 8:
		return n
	case n <= 16:
		return n / 2 * 2
	}
	return n / 4 * 4
}

func meshTop(m *Mesh) float64 {
	top := 1e-6
	for i := range m.V {
		top = max(top, float64(m.V[i].P[2]))
	}
	return top
}

// meshReach is how far a mesh goes along its own x axis.
func meshReach(m *Mesh) float64 {
	r := 0.0
	for i := range m.V {
		r = max(r, math.Hypot(float64(m.V[i].P[0]), float64(m.V[i].P[1])))
	}
	return r
}

// stem is one stem with its leaves at the nodes, standing at the origin, its lying end along x.
func stem(sp *catalog.Species, col palette, nodes, lying, bare, variant int, internode, span, size float64) *Mesh {
	m := &Mesh{Surface: Leaf, Under: col.under}
	f := formOf(sp.LeafShape)
	f.petiole = min(f.petiole, .12)
	d := drawsOf(sp.Name, "stem", string(rune('a'+variant)))
	total := nodes + lying
	height := float64(nodes) * internode
	// The stem's line: a slight bend, and at the surface over to the side.
	at := func(u float64) (Vec, Vec) { // u in nodes
		z := min(u, float64(nodes)) * internode
		lie := max(0, u-float64(nodes)) * internode
		w := z / max(height, 1e-6)
		sway := span * .12 * math.Sin(math.Pi*w) * d.between(1, -1, 1)
		sway2 := span * .12 * math.Sin(math.Pi*w) * d.between(2, -1, 1)
		dir := Vec{0, 0, 1}
		if lie > 0 {
			dir = Vec{.97, 0, .24}
		}
		return Vec{sway + lie, sway2, z}, dir
	}
	r := clamp(span*.022, .0006, .0025)
	first := len(m.V)
	rows := max(2, total/3)
	for i := range rows + 1 {
		u := float64(i) / float64(rows) * float64(total)
		p, dir := at(u)
		side := Vec{0, 1, 0}
		other := dir.cross(side).unit()
		w := r * (1 - .55*float64(i)/float64(rows))
		for k := range 4 {
			s, c := math.Sincos(2 * math.Pi * float64(k%3) / 3)
			n := side.mul(c).add(other.mul(s))
			m.V = append(m.V, Vertex{P: p.add(n.mul(w)).f32(), N: n.f32(), C: col.stem.mul(.9).bytes()})
		}
	}
	m.grid(3, rows, first, false)
	whorl := 2
	switch sp.LeafShape {
	case "pinnate":
		whorl = 5
		if sp.SpreadCM.Mid() > 14 {
			whorl = 2
		}
	case "needle":
		whorl = 6
	case "linear":
		whorl = 4
	case "ribbon":
		whorl = 1
	case "cordate", "round":
		whorl = 1
	}
	f.segments = 4
	if span < .06 {
		f.segments = 3
	}
	if f.feather > 0 {
		f.feather = 5
	}
	long := span / 2 * 1.06
	for j := max(bare, 0); j <= total; j++ {
		young := 1 - smooth(0, 4.5, float64(total-j)) // 1 at the tip
		up := 1 - smooth(0, float64(total), float64(total-j))
		p, _ := at(float64(j))
		if j == total {
			p, _ = at(float64(j) - .15)
		}
		age := 1 - smooth(0, .55, up)
		c := col.grown.mix(col.young, .9*young).mix(col.old, .55*age)
		turn := float64(j) * math.Pi / 2
		if whorl != 2 {
			turn = float64(j) * golden
		}
		if j == 0 {
			turn = 0
		}
		for k := range whorl {
			q := 1000 + 20*j + k
			s := (1 - .62*young) * d.between(q, .86, 1.04) * (.82 + .18*up) * size
			c := c.mul(d.between(q+7, .9, 1.1))
			l := leaf{
				from: p, azimuth: turn + 2*math.Pi*float64(k)/float64(whorl) + d.between(q+8, -.2, .2), length: long * s,
				lean0: .95 - .65*young + .2*age, lean1: 1.65 - 1.0*young + .35*age + d.between(q+9, -.15, .15),
				width: f.aspect * long * s * 1.15, fold: .15, wave: .08, waves: 1.5, phase: 6 * d.at(q+10),
				base: c.mul(.88), tip: c.mul(1.06), rib: c.mix(col.rib, .5), stem: col.stem, stalk: .0006, coarse: f.feather > 0,
			}
			l.draw(m, f)
		}
	}
	return m
}

// runners draws the runners of ribbon plants: from each daughter to the plant it came from, where that still stands, over the bed in a low arch.
func (b *builder) runners(list []growth.PlantState, order []int) {
	at := make(map[string]int, len(list))
	for i := range list {
		at[list[i].ID] = i
	}
	for _, i := range order {
		p := &list[i]
		cut := strings.LastIndexByte(p.ID, '/')
		if p.Species == nil || p.Species.Form != catalog.Runner || cut < 0 {
			continue
		}
		k, ok := at[p.ID[:cut]]
		if !ok {
			continue
		}
		q := &list[k]
		long := math.Hypot(p.X-q.X, p.Y-q.Y)
		if long < .01 || long > .6 {
			continue
		}
		col := paint(p)
		m := &Mesh{Name: p.ID + " runner", Surface: Leaf, Under: col.under}
		const rows, r = 10, .0012
		side := Vec{-(p.Y - q.Y) / long, (p.X - q.X) / long, 0}
		for j := range rows + 1 {
			t := float64(j) / rows
			x, y := q.X+t*(p.X-q.X), q.Y+t*(p.Y-q.Y)
			z := b.height(x, y) + .002 + .012*math.Sin(math.Pi*t)
			for k := range 4 {
				s, c := math.Sincos(2 * math.Pi * float64(k%3) / 3)
				n := side.mul(c).add(Vec{0, 0, s})
				m.V = append(m.V, Vertex{P: Vec{x, y, z}.add(n.mul(r)).f32(), N: n.f32(), C: col.stem.mix(tint{.72, .70, .45}, .4).bytes()})
			}
		}
		m.grid(3, rows, 0, false)
		b.put(m, b.item(Item{Kind: Plant, ID: p.ID + " runner", Planting: p.Planting, Species: p.Species.Name, At: Vec{p.X, p.Y, p.Z}}))
	}
}

// carpet draws tufts over the patch a ground cover holds.
func (b *builder) carpet(p *growth.PlantState, item int, d draws) {
	sp := p.Species
	col := paint(p)
	r := p.SpreadM / 2
	area := math.Pi * r * r
	lai := p.LeafM2 / max(area, 1e-6)
	cover := 1 - math.Exp(-1.3*lai)
	pitch := tuftPitch(sp) * b.coarse
	n := int(math.Round(area / (pitch * pitch) * 1.25))
	n = max(1, min(n, 900))
	shades := 3
	for i := range n {
		k := 50 + 6*i
		q := math.Sqrt((float64(i) + .5) / float64(n))
		if d.at(k) > max(cover*1.15, .03) && i > 0 && i != n-1 {
			continue
		}
		a := golden*float64(i) + 6*d.at(1)
		rr := r*q + pitch*.35*(d.at(k+1)-.5)
		if i == n-1 {
			rr = r - pitch*.5
		}
		x, y := b.within(p.X+max(0, rr)*math.Cos(a), p.Y+max(0, rr)*math.Sin(a), .004)
		z := b.height(x, y)
		if p.On != "" || p.Column < 0 {
			z = p.Z
		}
		variant := int(4 * d.at(k+2))
		shade := int(float64(shades) * d.at(k+3))
		key := fmt.Sprintf("%s tuft %d %d %v", sp.Name, variant, shade, col.grown.bytes())
		mesh := b.sharing(key, func() *Mesh { return tuft(sp, col, pitch, variant, shade) })
		tall := p.HeightM * d.between(k+4, .72, .98)
		if i == 0 {
			tall = p.HeightM
		}
		// Tufts at the rim of a patch that still spreads are lower.
		if i > 0 {
			tall *= 1 - .35*smooth(.75, 1, q)
		}
		wide := clamp(math.Sqrt(tall/(pitch*1.4)), .75, 1.5)
		if i == n-1 && n > 1 {
			if reach := meshReach(&b.Meshes[mesh]); reach > 0 { // reaches to the patch's rim
				wide = clamp((r-max(0, rr))/reach, .2, 2)
			}
		}
		b.Nodes = append(b.Nodes, Node{Mesh: mesh, Item: item, M: placed(Vec{x, y, z - .001}, 2*math.Pi*d.at(k+5), wide, (tall+.001)/meshTop(&b.Meshes[mesh]))})
	}
}

// mostTufts is how many tufts of ground cover and moss are drawn in a tank before they are drawn larger and fewer: together with the other plants that
// keeps a scene near a million triangles.
const mostTufts = 7500

// detail chooses how much larger than life tufts are drawn.
func (b *builder) detail(list []growth.PlantState) {
	tufts := 0.0
	for i := range list {
		p := &list[i]
		if p.Species == nil {
			continue
		}
		area := math.Pi / 4 * p.SpreadM * p.SpreadM
		switch p.Species.Form {
		case catalog.Carpet:
			cover := 1 - math.Exp(-1.3*p.LeafM2/max(area, 1e-6))
			tufts += 1.25 * area / sq(tuftPitch(p.Species)) * min(1, 1.15*cover)
		case catalog.Moss:
			tufts += min(420, 8*area/sq(clamp(p.SpreadM*.08, .006, .012))) * 2
		}
	}
	b.coarse = max(1, math.Sqrt(tufts/float64(b.tufts)))
}

// tuftPitch is how far apart tufts stand, m: a little more for species with larger leaves.
func tuftPitch(sp *catalog.Species) float64 {
	return clamp(.006+.0009*sp.HeightCM.Mid(), .0085, .016)
}

// tuft is a small clump of a ground cover at the origin, about pitch wide.
func tuft(sp *catalog.Species, col palette, pitch float64, variant, shade int) *Mesh {
	m := &Mesh{Surface: Leaf, Under: col.under}
	d := drawsOf(sp.Name, "tuft", string(rune('a'+variant)))
	f := formOf(sp.LeafShape)
	c0 := col.grown.mix(col.young, .10*float64(shade)).mul(.84 + .07*float64(shade))
	high := pitch * 1.6
	switch sp.LeafShape {
	case "thread", "linear", "needle", "ribbon":
		f.segments = 3
		for i := range 9 {
			k := 10 + 8*i
			a := golden*float64(i) + d.between(k, -.4, .4)
			r := pitch * .45 * math.Sqrt(d.at(k+1))
			c := c0.mul(d.between(k+2, .84, 1.12))
			w := .0010
			if sp.LeafShape != "thread" {
				w = clamp(sp.HeightCM.Mid()*.0005, .0016, .004)
			}
			l := leaf{
				from: Vec{r * math.Cos(a), r * math.Sin(a), 0}, azimuth: a + d.between(k+3, -.5, .5), length: high * d.between(k+4, .65, 1),
				lean0: d.between(k+5, 0, .3), lean1: d.between(k+6, .3, 1.0), width: w, base: c.mul(.7), tip: c.mul(1.12), rib: c, stem: c,
			}
			l.draw(m, f)
		}
	default:
		// Round or egg-shaped leaves on short stalks in three tiers.
		n := 11
		if sp.LeafShape == "round" || sp.HeightCM.Mid() > 6 {
			n = 7
		}
		size := clamp(pitch*.52, .003, .009)
		for i := range n {
			k := 10 + 8*i
			a := golden*float64(i) + d.between(k, -.3, .3)
			tier := float64(i%3) / 2
			r := pitch * .5 * math.Sqrt(d.at(k+1))
			c := c0.mix(col.young, .18*tier).mul(d.between(k+2, .86, 1.1) * (.72 + .3*tier))
			s := size * d.between(k+3, .8, 1.25)
			z := high * (.30 + .6*tier) * d.between(k+4, .8, 1.05)
			chip(m, Vec{r * math.Cos(a), r * math.Sin(a), z}, a+d.between(k+6, -.8, .8), d.between(k+5, 1.0, 1.7), s*1.25, s*min(1.1, f.aspect*1.6), c)
			if i%2 == 0 { // a thread of stem below some of them
				q := leaf{from: Vec{r * .4 * math.Cos(a), r * .4 * math.Sin(a), 0}, azimuth: a, length: z * 1.02, lean0: .1, lean1: .45, width: .0007, base: col.stem.mul(.7), tip: col.stem, rib: col.stem, stem: col.stem}
				t := formOf("thread")
				t.segments = 2
				q.draw(m, t)
			}
		}
	}
	return m
}

// chip is a leaf of a few millimetres: six corners, folded along its rib.
func chip(m *Mesh, p Vec, azimuth, lean, length, width float64, c tint) {
	s, co := math.Sincos(lean)
	sa, ca := math.Sincos(azimuth)
	along, side, up := Vec{s * ca, s * sa, co}, Vec{-sa, ca, 0}, Vec{-co * ca, -co * sa, s}
	k := uint32(len(m.V))
	corner := func(t, w, lift float64, n Vec, c tint) {
		m.V = append(m.V, Vertex{P: p.add(along.mul(t * length)).add(side.mul(w * width / 2)).add(up.mul(lift * width)).f32(), N: n.unit().f32(), C: c.bytes()})
	}
	corner(0, 0, 0, up, c.mul(.9))
	corner(.35, 1, .12, up.sub(side.mul(.25)), c)
	corner(.8, .7, .1, up.sub(side.mul(.2)), c.mul(1.04))
	corner(1, 0, 0, up, c.mul(1.06))
	corner(.8, -.7, .1, up.add(side.mul(.2)), c.mul(1.04))
	corner(.35, -1, .12, up.add(side.mul(.25)), c)
	m.F = append(m.F, [3]uint32{k, k + 2, k + 1}, [3]uint32{k, k + 3, k + 2}, [3]uint32{k, k + 4, k + 3}, [3]uint32{k, k + 5, k + 4})
}

// moss draws a cushion of small fronds over what it sits on.
func (b *builder) moss(p *growth.PlantState, item int, d draws) {
	sp := p.Species
	col := paint(p)
	r := p.SpreadM / 2
	pitch := clamp(r*.16, .006, .012) * b.coarse
	n := max(7, min(int(math.Round(2.0*math.Pi*r*r/(pitch*pitch))), 420))
	for i := range n {
		k := 50 + 6*i
		q := math.Sqrt((float64(i) + .5) / float64(n))
		a := golden*float64(i) + 6*d.at(1)
		dome := math.Sqrt(max(0, 1-q*q))
		// Fronds stand off the dome outward.
		rr := r * q * .86
		z := p.HeightM * dome * .62 * d.between(k, .8, 1)
		x, y := b.within(p.X+rr*math.Cos(a), p.Y+rr*math.Sin(a), .004)
		variant, shade := int(3*d.at(k+1)), int(3*d.at(k+2))
		key := fmt.Sprintf("%s moss %d %d %v", sp.Name, variant, shade, col.grown.bytes())
		mesh := b.sharing(key, func() *Mesh { return mossTuft(sp, col, variant, shade) })
		long := (p.HeightM*.38 + .004) * d.between(k+3, .8, 1.05)
		tilt := 1.25 * q
		out := Vec{math.Cos(a), math.Sin(a), 0}
		axis := out.mul(math.Sin(tilt)).add(Vec{0, 0, math.Cos(tilt)})
		side := Vec{-math.Sin(a), math.Cos(a), 0}
		fwd := side.cross(axis)
		s := long
		w := s * clamp(pitch*1.9/long, .8, 2.2)
		spin := 2 * math.Pi * d.at(k+4)
		sn, cs := math.Sincos(spin)
		ux, uy := side.mul(cs*w).add(fwd.mul(sn*w)), side.mul(-sn*w).add(fwd.mul(cs*w))
		uz := axis.mul(s)
		base := Vec{x, y, p.Z + z - .002}
		if i == 0 { // the crown of the cushion
			base = Vec{p.X, p.Y, p.Z}
			uz = Vec{0, 0, p.HeightM}
		}
		if i == n-1 { // and its rim
			base = Vec{p.X + out[0]*(r-long), p.Y + out[1]*(r-long), p.Z + .001}
			base[0], base[1] = b.within(base[0], base[1], .004)
			if r > long {
				uz = out.mul(long)
				ux, uy = side.mul(long*.5), Vec{0, 0, long * .5}
			}
		}
		var m Mat
		for row := range 3 {
			m[row] = [4]float32{float32(ux[row]), float32(uy[row]), float32(uz[row]), float32(base[row])}
		}
		b.Nodes = append(b.Nodes, Node{Mesh: mesh, Item: item, M: m})
	}
}

// mossTuft is a tuft of fronds of height 1 and about half as wide.
func mossTuft(sp *catalog.Species, col palette, variant, shade int) *Mesh {
	m := &Mesh{Surface: Leaf, Under: col.under}
	d := drawsOf(sp.Name, "moss", string(rune('a'+variant)))
	f := formOf("frond")
	f.feather, f.petiole = 4, 0
	c0 := col.grown.mul(.8 + .14*float64(shade))
	for i := range 6 {
		k := 10 + 6*i
		a := golden * float64(i)
		c := c0.mul(d.between(k, .85, 1.15))
		tip := c.mix(col.young, .55)
		l := leaf{azimuth: a, length: d.between(k+1, .8, 1), lean0: d.between(k+2, .05, .4), lean1: d.between(k+3, .3, 1.1), width: .34, base: c.mul(.6), tip: tip, rib: c.mul(.8), stem: c.mul(.6), stalk: .02}
		if i == 0 {
			l.lean0, l.lean1, l.length = .02, .1, 1
		}
		l.draw(m, f)
	}
	// Scaled to height 1.
	top := float32(meshTop(m))
	for i := range m.V {
		m.V[i].P[2] /= top
	}
	return m
}

// floating draws plants on the surface: leaves in small rosettes above, roots below. Their height in the state is the depth of the roots.
func (b *builder) floating(p *growth.PlantState, item int, d draws) {
	sp := p.Species
	col := paint(p)
	level := b.Tank.WaterLevel
	r := p.SpreadM / 2
	single := clamp(sp.SpreadCM.Mid()/200, .0015, .15) // radius of one rosette
	n := int(clamp(p.Leaves/6, 1, 200))
	if r < single*1.3 {
		n = 1
	}
	roots := p.HeightM
	for i := range n {
		k := 40 + 5*i
		a := golden*float64(i) + 6*d.at(1)
		rr := max(0, r-single) * math.Sqrt((float64(i)+.5)/float64(n))
		if n > 1 && i == n-1 {
			rr = max(0, r-single)
		}
		x, y := b.within(p.X+rr*math.Cos(a), p.Y+rr*math.Sin(a), min(single, .02))
		variant := int(3 * d.at(k))
		key := fmt.Sprintf("%s float %d %v", sp.Name, variant, col.grown.bytes())
		mesh := b.sharing(key, func() *Mesh { return floater(sp, col, variant) })
		wide := single
		if n == 1 {
			wide = r
		} else if i < n-1 {
			wide *= d.between(k+1, .8, 1)
		}
		// Roots of unit depth hang below the mesh's origin, leaves stand above it.
		m := placed(Vec{x, y, level}, 2*math.Pi*d.at(k+2), wide, roots*d.between(k+3, .7, 1))
		if i == 0 {
			m = placed(Vec{x, y, level}, 2*math.Pi*d.at(k+2), wide, roots)
		}
		b.Nodes = append(b.Nodes, Node{Mesh: mesh, Item: item, M: m})
	}
}

// floater is a floating rosette of radius 1 whose roots go down to −1.
func floater(sp *catalog.Species, col palette, variant int) *Mesh {
	m := &Mesh{Surface: Leaf, Under: col.under}
	d := drawsOf(sp.Name, "float", string(rune('a'+variant)))
	f := formOf(sp.LeafShape)
	f.petiole = min(f.petiole, .35)
	f.segments = 5
	if f.feather > 0 {
		f.feather = 5
	}
	for i := range 6 {
		k := 10 + 6*i
		a := golden * float64(i)
		c := col.grown.mix(col.young, .2*d.at(k)).mul(d.between(k+1, .9, 1.1))
		s := d.between(k+2, .75, 1)
		l := leaf{azimuth: a, length: s, lean0: 1.45, lean1: 1.57, width: min(f.aspect, .62) * s, fold: .05, base: c, tip: c.mul(1.05), rib: c.mix(col.rib, .5), stem: col.stem, stalk: .03}
		l.draw(m, f)
	}
	top, reach := meshTop(m), meshReach(m)
	for i := range m.V {
		m.V[i].P[0] /= float32(reach)
		m.V[i].P[1] /= float32(reach)
		m.V[i].P[2] *= float32(.12 / max(top, .12))
	}
	t := formOf("thread")
	for i := range 9 {
		k := 80 + 5*i
		a := golden * float64(i)
		r := .22 * d.at(k)
		c := tint{.45, .42, .30}
		l := leaf{from: Vec{r * math.Cos(a), r * math.Sin(a), 0}, azimuth: a, length: d.between(k+1, .5, 1), lean0: math.Pi - .05, lean1: math.Pi - .25, width: .03, base: c, tip: c.mul(.8), rib: c, stem: c}
		if i == 0 {
			l.length, l.lean0, l.lean1 = 1, math.Pi, math.Pi
		}
		l.draw(m, t)
	}
	return m
}

// animals puts the day's animals in as simple shapes, in schools; for scale and life, not a claim where each one swims.
func (b *builder) animals(day int) {
	for i := range b.plan.Livestock {
		s := &b.plan.Livestock[i]
		if float64(s.From) > float64(day) {
			continue
		}
		a, ok := b.plan.Cat.Animal(s.Species)
		if !ok || a.Kind != "fish" {
			continue
		}
		d := drawsOf(s.ID, "school")
		long := a.SizeCM / 100 * .85
		deep := .26
		if a.Body == "slender" {
			deep = .2
		}
		if a.Body == "deep" {
			deep = .55
		}
		item := b.item(Item{Kind: Animal, ID: s.ID, Species: a.Name})
		mesh := b.sharing("fish "+s.ID, func() *Mesh { return fish(deep, d) })
		t := &b.Tank
		n := min(s.Count, 160)
		cx, cy := t.LX*d.between(1, .3, .7), t.LY*d.between(2, .25, .5)
		heading := 0.0
		if d.at(3) > .5 {
			heading = math.Pi
		}
		for k := range n {
			q := 20 + 6*k
			spread := clamp(.05*math.Sqrt(float64(n)), .1, .5)
			x, y := b.within(cx+spread*1.8*(d.at(q)+d.at(q+1)-1), cy+spread*.7*(d.at(q+2)-.5), .03)
			floor := b.height(x, y)
			z := clamp(t.WaterLevel*d.between(4, .55, .72)+spread*.5*(d.at(q+3)-.5), floor+.04, t.WaterLevel-.03)
			size := long * d.between(q+4, .82, 1)
			b.Nodes = append(b.Nodes, Node{Mesh: mesh, Item: item, M: placed(Vec{x, y, z}, heading+d.between(q+5, -.35, .35), size, size)})
		}
	}
}

// fish is a body of length 1 with a tail fin, swimming along x.
func fish(deep float64, d draws) *Mesh {
	m := &Mesh{Surface: Matt}
	c := tint{.72, .60, .46}.mix(tint{.78, .40, .24}, d.at(9))
	back := c.mul(.62)
	const rings, sides = 8, 8
	for i := range rings + 1 {
		t := float64(i) / rings
		h := deep / 2 * math.Pow(math.Sin(math.Pi*clamp(.04+.9*t, 0, 1)), .8) * (1 - .35*t)
		for k := range sides + 1 {
			s, co := math.Sincos(2 * math.Pi * float64(k%sides) / sides)
			n := Vec{0, .45 * co, s}
			m.V = append(m.V, Vertex{P: Vec{.45 - .8*t, h * .45 * co, h * s}.f32(), N: n.unit().f32(), C: c.mix(back, clamp(.5+.9*s, 0, 1)).bytes()})
		}
	}
	m.grid(sides, rings, 0, true)
	k := uint32(len(m.V))
	for _, p := range []Vec{{-.33, 0, 0}, {-.5, 0, deep * .42}, {-.45, 0, 0}, {-.5, 0, -deep * .42}} {
		m.V = append(m.V, Vertex{P: p.f32(), N: [3]float32{0, 1, 0}, C: c.mul(.95).bytes()})
	}
	m.F = append(m.F, [3]uint32{k, k + 1, k + 2}, [3]uint32{k, k + 2, k + 3})
	return m
}
