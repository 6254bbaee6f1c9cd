package render

import (
	"image"
	"littoral/internal/mesh"
	"littoral/internal/scene"
	"math"
)

// Room is what surrounds the tank.
type Room int

// Rooms.
const (
	Paper Room = iota // the page of papers and reports
	Dark              // a dark room in which the tank glows
)

// Options choose how a picture is drawn.
type Options struct {
	Room Room
	Fine int // samples along a side of a pixel: 1 to 4; 0 means 2

	Light *Light // of this very scene; nil to have it worked out for this one picture
}

// corner is a vertex on its way to the picture.
type corner struct {
	x, y, near float32 // sample coordinates; 1 / depth
	c          [3]float32
	path       float32    // m of water to the eye
	p          [3]float32 // the place in the tank; of a mesh with a picture, the place on it
}

// facet is a triangle in the picture.
type facet struct {
	a, b, c uint32
	y0, y1  int32
	item    int32
	surface scene.Surface
	window  uint8 // 0 outside, else the window's number + 1
	grain   uint8 // of a bed its grain, of a mesh with a picture the picture's number
}

// part is what a few nodes become; parts are made on all cores and drawn in order.
type part struct {
	v []corner
	f []facet
}

// frame is a picture in the making.
type frame struct {
	s     *scene.Scene
	c     *Camera
	fine  int
	w, h  int // samples
	wins  []window
	polys [][][2]float64 // outlines in samples
	vol   *volume
	room  room
	air   airlight
	parts []part
	plain bool      // items only, no colours
	ink   []float32 // how much lines cover each pixel

	pictures []photo               // of users' meshes
	photo    map[*mesh.Image]uint8 // their numbers, from 1

	behind bool // the line in hand lies behind the water
}

// room are the colours around a tank, linear.
type room struct {
	back, floor, glass, stand [3]float32
	line                      [3]float32
	lineShare                 float32
	wallTop, wallLow          [3]float32 // the wall behind the tank
	haze                      [3]float32 // light scattered towards the eye by clouded water
	exposure                  float32
	mirror                    [3]float32 // what the surface shows from above
	front                     float32    // light from the eye's side
}

var toLinear = func() (out [256]float32) {
	for i := range out {
		v := float64(i) / 255
		if v <= .04045 {
			v /= 12.92
		} else {
			v = math.Pow((v+.055)/1.055, 2.4)
		}
		out[i] = float32(v)
	}
	return
}()

func srgb(r, g, b uint8) [3]float32 { return [3]float32{toLinear[r], toLinear[g], toLinear[b]} }

func rooms(r Room) room {
	if r == Dark {
		return room{
			back: srgb(0x17, 0x20, 0x1c), floor: srgb(0x12, 0x19, 0x16), glass: srgb(0x2a, 0x3a, 0x35), stand: srgb(0x24, 0x28, 0x23),
			line: srgb(0x9f, 0xb8, 0xae), lineShare: .5, wallTop: srgb(0x30, 0x4c, 0x4a), wallLow: srgb(0x0e, 0x1b, 0x1b), haze: srgb(0x3a, 0x55, 0x50),
			exposure: 1.35, mirror: srgb(0x20, 0x2a, 0x28), front: .16,
		}
	}
	return room{
		back: srgb(0xf6, 0xf1, 0xe4), floor: srgb(0xef, 0xe7, 0xd3), glass: srgb(0xc9, 0xd9, 0xd0), stand: srgb(0xd9, 0xcd, 0xb4),
		line: srgb(0x4a, 0x62, 0x5a), lineShare: .55, wallTop: srgb(0xe6, 0xee, 0xe6), wallLow: srgb(0xbf, 0xcf, 0xc6), haze: srgb(0xa6, 0xba, 0xb0),
		exposure: 1.22, mirror: srgb(0xe9, 0xec, 0xe2), front: .19,
	}
}

// airlight is the loss and gain of light along a path in water, for red, green and blue.
type airlight struct {
	c    [3]float64 // attenuation, 1/m
	haze [3]float32
	kept [][3]float32 // what is left after each step of airStep
}

// The table of what is left along a path: between its steps of 2 mm it is off by less than 1e-6 of the light at any attenuation up to 1.4 1/m (the second-order
// part, (c·step)²/8). Paths beyond its end are worked out.
const (
	airStep = .002
	airEnd  = 8.0 // m
)

// waterAbsorption is that of pure water at 610, 550 and 450 nm, 1/m (Pope & Fry 1997, from memory), and colourShare how dissolved colour, given as its mean
// over 400–700 nm, divides over these (exponential slope 0.014 1/nm, common practice in limnology).
var (
	waterAbsorption = [3]float64{.264, .057, .009}
	colourShare     = [3]float64{.47, .85, 1.68}
)

// beam splits the day's beam attenuation over red, green and blue so that their mean is the forecast's.
func beam(w scene.Water, haze [3]float32) airlight {
	a := airlight{haze: haze}
	var own [3]float64
	mean := 0.0
	for k := range 3 {
		own[k] = waterAbsorption[k] + w.Colour*colourShare[k]
		mean += own[k] / 3
	}
	for k := range 3 {
		a.c[k] = max(.02, w.Beam+own[k]-mean)
		// All colours are scattered alike; what is absorbed more comes to a dimmer balance.
		a.haze[k] = haze[k] * float32(w.Beam/a.c[k])
	}
	a.kept = make([][3]float32, int(airEnd/airStep)+2)
	for i := range a.kept {
		a.kept[i] = a.exact(float32(i) * airStep)
	}
	return a
}

func (a *airlight) exact(path float32) (t [3]float32) {
	for k := range 3 {
		t[k] = float32(math.Exp(-a.c[k] * float64(path)))
	}
	return t
}

// left is the share of light that is left after a path.
func (a *airlight) left(path float32) (t [3]float32) {
	if !(path >= 0 && path < airEnd) {
		return a.exact(path)
	}
	at := path * (1 / airStep)
	i := int(at)
	f := at - float32(i)
	p, q := &a.kept[i], &a.kept[i+1]
	for k := range 3 {
		t[k] = p[k] + f*(q[k]-p[k])
	}
	return t
}

// Draw makes a picture of a scene.
func Draw(s *scene.Scene, c *Camera, opt Options) *image.RGBA {
	img, _ := Seen(s, c, opt)
	return img
}

// Seen makes a picture, and says for every pixel which item of the scene is seen in its middle, as Items does.
func Seen(s *scene.Scene, c *Camera, opt Options) (*image.RGBA, []int32) {
	f := newFrame(s, c, opt)
	if opt.Light != nil {
		f.vol = opt.Light.vol
	} else {
		f.vol = shine(s)
	}
	f.photos()
	f.gather()
	img := image.NewRGBA(image.Rect(0, 0, c.W, c.H))
	items := make([]int32, c.W*c.H)
	f.paint(img, items)
	f.outline(img)
	return img, items
}

// Items says for every pixel which item of the scene is seen there; −1 where it is none. Rows from above.
func Items(s *scene.Scene, c *Camera) []int32 {
	f := newFrame(s, c, Options{Fine: 1})
	f.plain = true
	f.gather()
	out := make([]int32, c.W*c.H)
	f.paint(nil, out)
	return out
}

func newFrame(s *scene.Scene, c *Camera, opt Options) *frame {
	fine := opt.Fine
	if fine < 1 || fine > 4 {
		fine = 2
	}
	f := &frame{s: s, c: c, fine: fine, w: c.W * fine, h: c.H * fine, wins: c.windows, room: rooms(opt.Room)}
	f.air = beam(s.Water, f.room.haze)
	for i := range f.wins {
		p := make([][2]float64, len(f.wins[i].poly))
		for k, q := range f.wins[i].poly {
			p[k] = [2]float64{q[0]*float64(fine) - .5, q[1]*float64(fine) - .5}
		}
		f.polys = append(f.polys, p)
	}
	return f
}

// copies are the direct view through a window and those by one or two mirrors.
func (w *window) copies() [][]*mirror {
	out := [][]*mirror{nil}
	for i := range w.mirrors {
		out = append(out, []*mirror{&w.mirrors[i]})
	}
	for i := range w.mirrors {
		for j := range w.mirrors[:i] {
			if math.Abs(dot(w.mirrors[i].normal, w.mirrors[j].normal)) < .01 { // two that meet in a corner
				out = append(out, []*mirror{&w.mirrors[i], &w.mirrors[j]})
			}
		}
	}
	return out
}

// box is the extent of a window's outline in samples.
func box(p [][2]float64) (x0, y0, x1, y1 float64) {
	x0, y0, x1, y1 = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, q := range p {
		x0, x1, y0, y1 = min(x0, q[0]), max(x1, q[0]), min(y0, q[1]), max(y1, q[1])
	}
	return
}

// gather brings every node into the picture.
func (f *frame) gather() {
	type ball struct {
		middle [3]float32
		r      float32
	}
	balls := make([]ball, len(f.s.Meshes))
	parallel(len(balls), func(i int) {
		v := f.s.Meshes[i].V
		if len(v) == 0 {
			return
		}
		lo, hi := v[0].P, v[0].P
		for k := range v {
			for d := range 3 {
				lo[d], hi[d] = min(lo[d], v[k].P[d]), max(hi[d], v[k].P[d])
			}
		}
		for d := range 3 {
			balls[i].middle[d] = (lo[d] + hi[d]) / 2
			balls[i].r = max(balls[i].r, hi[d]-lo[d])
		}
		balls[i].r *= .87
	})
	const size = 48
	n := (len(f.s.Nodes) + size - 1) / size
	f.parts = make([]part, n)
	var images []glimpse
	for i := range f.wins {
		for _, m := range f.wins[i].copies() {
			images = append(images, glimpse{win: i, mirrors: m})
		}
	}
	parallel(len(images), func(i int) {
		images[i].lattice = f.latticeOf(&f.wins[images[i].win], images[i].mirrors)
	})
	parallel(n, func(k int) {
		w := worker{frame: f, part: &f.parts[k]}
		corners, faces := 0, 0
		for i := k * size; i < min((k+1)*size, len(f.s.Nodes)); i++ {
			m := &f.s.Meshes[f.s.Nodes[i].Mesh]
			corners, faces = corners+len(m.V), faces+len(m.F)
		}
		w.part.v, w.part.f = make([]corner, 0, corners*5/4), make([]facet, 0, faces)
		for i := k * size; i < min((k+1)*size, len(f.s.Nodes)); i++ {
			node := &f.s.Nodes[i]
			b := balls[node.Mesh]
			switch f.s.Items[node.Item].Kind {
			case scene.Lamp, scene.Stand, scene.Person:
				w.outside(node)
				continue
			}
			w.light(node)
			// How large a shared mesh is where it stands: the longest of the stretched axes.
			grow := 0.0
			for c := range 3 {
				grow = max(grow, math.Hypot(math.Hypot(float64(node.M[0][c]), float64(node.M[1][c])), float64(node.M[2][c])))
			}
			mid := node.M.Point(b.middle)
			at := vec{float64(mid[0]), float64(mid[1]), float64(mid[2])}
			for j := range images {
				if w.near(&images[j], at, float64(b.r)*grow) {
					w.through(node, &images[j])
				}
			}
		}
	})
}

// worker brings nodes into one part.
type worker struct {
	*frame
	part *part
	p    [][3]float32 // places of the node's vertices
	c    [][3]float32 // their light
}

// near tells whether an image of a ball can fall into its window.
func (w *worker) near(im *glimpse, mid vec, r float64) bool {
	v, ok := w.sight(im, mid)
	if !ok {
		return true
	}
	reach := r/max(.05, 1/v.near-r)*w.frame.c.Scale*1.5*float64(w.fine) + 4
	x0, y0, x1, y1 := box(w.polys[im.win])
	return v.x > x0-reach && v.x < x1+reach && v.y > y0-reach && v.y < y1+reach
}

// light works out how a node's vertices are lit, towards the eye.
func (w *worker) light(n *scene.Node) {
	m := &w.s.Meshes[n.Mesh]
	w.p, w.c = w.p[:0], w.c[:0]
	eye := w.frame.c.Eye
	for i := range m.V {
		v := &m.V[i]
		p := n.M.Point(v.P)
		w.p = append(w.p, p)
		if w.plain {
			w.c = append(w.c, [3]float32{})
			continue
		}
		base := srgb(v.C[0], v.C[1], v.C[2])
		if m.Surface == scene.Glowing {
			w.c = append(w.c, base)
			continue
		}
		nn := n.M.Turn(v.N)
		to := [3]float32{float32(eye[0]) - p[0], float32(eye[1]) - p[1], float32(eye[2]) - p[2]}
		l := float32(math.Sqrt(float64(to[0]*to[0] + to[1]*to[1] + to[2]*to[2])))
		facing := (nn[0]*to[0] + nn[1]*to[1] + nn[2]*to[2]) / l
		off := float32(.008)
		if m.Surface == scene.Leaf {
			off = .002
		}
		direct, soft := w.vol.at(p[0]+nn[0]*off, p[1]+nn[1]*off, p[2]+nn[2]*off+.012)
		var c [3]float32
		if m.Surface == scene.Leaf {
			if facing < 0 { // the under side is seen
				for k := range 3 {
					base[k] *= m.Under[k]
				}
			}
			up := nn[2]
			if facing < 0 {
				up = -up
			}
			// The side that is seen is lit from above, or the light comes through the blade.
			shine, through := max(0, up), max(0, -up)
			turn := float32(math.Abs(float64(facing)))
			gloss := float32(0)
			if up > 0 {
				// Half way between the light from above and the eye.
				hz := 1 + to[2]/l
				hx, hy := to[0]/l, to[1]/l
				hl := float32(math.Sqrt(float64(hx*hx + hy*hy + hz*hz)))
				s := (nn[0]*hx + nn[1]*hy + nn[2]*hz) / hl
				if facing < 0 {
					s = -s
				}
				if s > 0 {
					s *= s
					s *= s
					s *= s
					gloss = .10 * s * s * direct
				}
			}
			d := direct*(.28+.85*shine) + soft*(.65+.25*shine)
			g := direct * (.30 + .55*through)
			front := w.room.front * (.35 + .65*turn)
			c = [3]float32{
				base[0]*(d*(1-.5*through)+front) + base[0]*1.25*g*through + gloss,
				base[1]*(d*(1-.5*through)+front) + base[1]*1.30*g*through + gloss,
				base[2]*(d*(1-.5*through)+front) + base[2]*.70*g*through + gloss*.9,
			}
		} else {
			up := max(0, nn[2])
			side := 1 - float32(math.Abs(float64(nn[2])))
			d := direct*(.12+.88*up) + soft*(.45+.35*up+.25*side) + w.room.front*(.25+.75*max(0, facing))*.8
			for k := range 3 {
				c[k] = base[k] * d
			}
		}
		for k := range 3 {
			c[k] *= w.room.exposure
		}
		w.c = append(w.c, c)
	}
}

// sight is what a place becomes in the picture: sample coordinates, 1/depth, way in the water, and what the face it is seen through throws back.
type sight struct{ x, y, near, path, back float64 }

// see finds the sight of a place through a window, by mirrors.
func (f *frame) see(wd *window, ms []*mirror, p vec) (sight, bool) {
	for _, q := range ms {
		if q.surface { // the surface is never quite still
			p[2] += .003 * math.Sin(31*p[0]+17*p[1]+60*p[2])
		}
		p = q.reflect(p)
	}
	dir, path, whole, ok := wd.sees(p)
	x, y, ahead := f.c.along(dir)
	if !ok || !ahead {
		return sight{}, false
	}
	g := float64(f.fine)
	v := sight{x: x*g - .5, y: y*g - .5, near: 1 / (whole * dot(dir, f.c.Forward)), path: path}
	if wd.top { // Schlick's approximation of Fresnel
		k := 1 - clamp(-dir[2], 0, 1)
		v.back = .02 + .98*k*k*k*k*k
	}
	return v, true
}

// glimpse is one way to look into the tank: a window, and the mirrors behind it.
type glimpse struct {
	win     int
	mirrors []*mirror
	lattice *lattice // nil where each place must be worked out
}

// lattice holds the sights of points a few centimetres apart, all over the tank. Between them they are interpolated: at two metres the second-order part of a
// cell is below a tenth of a pixel of 1600.
type lattice struct {
	step       float64
	nx, ny, nz int
	s          []sight
}

// latticeStep is the edge of a cell, m.
const latticeStep = .04

// latticeOf works out the sights of a flat window.
func (f *frame) latticeOf(wd *window, ms []*mirror) *lattice {
	if !wd.flat {
		return nil
	}
	t := &f.s.Tank
	// The second-order part goes with the square of the step and with the pixels.
	step := latticeStep * math.Sqrt(1600/float64(max(800, min(1600, f.c.W))))
	l := &lattice{step: max(step, math.Cbrt(t.LX*t.LY*t.Height/60000))}
	// One cell more on every side: leaves may lie a little outside.
	l.nx, l.ny, l.nz = int(t.LX/l.step)+4, int(t.LY/l.step)+4, int(t.Height/l.step)+4
	l.s = make([]sight, l.nx*l.ny*l.nz)
	for k := range l.nz {
		for j := range l.ny {
			for i := range l.nx {
				v, ok := f.see(wd, ms, vec{float64(i-1) * l.step, float64(j-1) * l.step, float64(k-1) * l.step})
				if !ok {
					return nil
				}
				l.s[(k*l.ny+j)*l.nx+i] = v
			}
		}
	}
	return l
}

// at interpolates; false outside.
func (l *lattice) at(x, y, z float64) (v sight, ok bool) {
	inv := 1 / l.step
	x, y, z = x*inv+1, y*inv+1, z*inv+1
	if !(x >= 0 && y >= 0 && z >= 0) {
		return v, false
	}
	i, j, k := int(x), int(y), int(z)
	if i >= l.nx-1 || j >= l.ny-1 || k >= l.nz-1 {
		return v, false
	}
	fx, fy, fz := x-float64(i), y-float64(j), z-float64(k)
	for c := range 4 {
		row := l.s[((k+c>>1)*l.ny+j+c&1)*l.nx+i:][:2]
		w := 1 - fy
		if c&1 == 1 {
			w = fy
		}
		if c>>1 == 1 {
			w *= fz
		} else {
			w *= 1 - fz
		}
		a, b := &row[0], &row[1]
		wa, wb := w*(1-fx), w*fx
		v.x += wa*a.x + wb*b.x
		v.y += wa*a.y + wb*b.y
		v.near += wa*a.near + wb*b.near
		v.path += wa*a.path + wb*b.path
		v.back += wa*a.back + wb*b.back
	}
	return v, true
}

// sight of a place by an image.
func (f *frame) sight(m *glimpse, p vec) (sight, bool) {
	if m.lattice != nil {
		if v, ok := m.lattice.at(p[0], p[1], p[2]); ok {
			return v, true
		}
	}
	return f.see(&f.wins[m.win], m.mirrors, p)
}

// through brings a lit node into the picture by one image.
func (w *worker) through(n *scene.Node, im *glimpse) {
	win, ms := im.win, im.mirrors
	m := &w.s.Meshes[n.Mesh]
	wd := &w.wins[win]
	first := len(w.part.v)
	firstF := len(w.part.f)
	bx0, by0, bx1, by1 := box(w.polys[win])
	wall := w.s.Items[n.Item].Kind == scene.Wall
	seen := false
	coarse := m.Surface == scene.Grain || m.Surface == scene.Rock || m.Surface == scene.Bark
	number := w.photo[m.Picture]
	coarse = coarse || number > 0
	light := float32(1)
	for range ms {
		light *= .93
	}
	for i := range w.p {
		p := vec{float64(w.p[i][0]), float64(w.p[i][1]), float64(w.p[i][2])}
		v, ok := w.sight(im, p)
		if !ok {
			w.part.v = append(w.part.v, corner{near: -1})
			continue
		}
		q := corner{x: float32(v.x), y: float32(v.y), near: float32(v.near), path: float32(v.path), p: w.p[i]}
		if number > 0 {
			q.p = [3]float32{m.UV[i][0], m.UV[i][1]}
		}
		c, light := w.c[i], light
		if wall {
			c, light = w.backdrop(float32(p[2]/w.s.Tank.WaterLevel)), 1
		}
		if !w.plain {
			t := w.air.left(q.path)
			for k := range 3 {
				q.c[k] = c[k] * t[k] * light
				if !coarse {
					q.c[k] += w.air.haze[k] * (1 - t[k])
				}
			}
			if r := float32(v.back); r > 0 { // what the surface throws back
				for k := range 3 {
					q.c[k] = q.c[k]*(1-r) + w.room.mirror[k]*r
				}
			}
		}
		if v.x > bx0-2 && v.x < bx1+2 && v.y > by0-2 && v.y < by1+2 {
			seen = true
		}
		w.part.v = append(w.part.v, q)
	}
	if !seen && len(m.F) < 64 {
		// Small things whose corners all lie outside are outside.
		w.part.v = w.part.v[:first]
		return
	}
	for _, t := range m.F {
		a, b, c := &w.part.v[first+int(t[0])], &w.part.v[first+int(t[1])], &w.part.v[first+int(t[2])]
		if a.near <= 0 || b.near <= 0 || c.near <= 0 {
			continue
		}
		lo, hi := min(a.y, b.y, c.y), max(a.y, b.y, c.y)
		y0, y1 := int32(math.Ceil(float64(lo))), int32(math.Floor(float64(hi)))
		if y0 > y1 || float64(hi) < by0 || float64(lo) > by1 {
			continue
		}
		l, r := min(a.x, b.x, c.x), max(a.x, b.x, c.x)
		if float64(r) < bx0 || float64(l) > bx1 || math.Ceil(float64(l)) > math.Floor(float64(r)) {
			continue
		}
		if wall && w.mirrored(t, n, wd, ms) {
			continue
		}
		grain := m.V[t[0]].A
		if m.Surface == scene.Painted {
			grain = number
		}
		w.part.f = append(w.part.f, facet{uint32(first) + t[0], uint32(first) + t[1], uint32(first) + t[2], y0, y1, int32(n.Item), m.Surface, uint8(win + 1), grain})
	}
	if len(w.part.f) == firstF {
		w.part.v = w.part.v[:first]
	}
}

// mirrored tells whether a piece of wall is not to be drawn: the pane one looks in through, and walls that the ray meets beyond the critical
// angle. These are mirrors, and what they show is drawn as the tank's image behind them. In round and many-sided tanks the background stands for them.
func (w *worker) mirrored(t [3]uint32, n *scene.Node, wd *window, ms []*mirror) bool {
	m := &w.s.Meshes[n.Mesh]
	var mid vec
	for _, i := range t {
		for k := range 3 {
			mid[k] += float64(w.p[i][k]) / 3
		}
	}
	nn := m.V[t[0]].N
	normal := vec{float64(nn[0]), float64(nn[1]), float64(nn[2])}
	for _, q := range ms {
		mid = q.reflect(mid)
		normal = sub(normal, mul(q.normal, 2*dot(normal, q.normal)))
	}
	dir, _, _, ok := wd.sees(mid)
	if !ok {
		return true
	}
	in := wd.into(dir)
	if dot(in, normal) >= 0 { // the pane one looks in through
		return true
	}
	if len(wd.mirrors) < 2 { // round tanks: the background is laid behind all that is drawn
		return true
	}
	c := math.Abs(dot(in, normal))
	return math.Sqrt(1-c*c) > 1/waterIndex
}

// backdrop is the wall behind the tank: brighter towards the lamps.
func (f *frame) backdrop(high float32) [3]float32 {
	if high > 1 {
		high = 2 - high
	}
	high = max(0, min(1, high))
	t := high * high * (3 - 2*high)
	var c [3]float32
	for k := range 3 {
		c[k] = f.room.wallLow[k] + (f.room.wallTop[k]-f.room.wallLow[k])*t
	}
	return c
}

// outside brings what stands in the air into the picture.
func (w *worker) outside(n *scene.Node) {
	it := &w.s.Items[n.Item]
	cam := w.frame.c
	if it.Kind == scene.Lamp && (cam.Eye[2] > it.At[2]-.02 || w.plain) {
		return // from above the lamps would hide the tank
	}
	mark := uint8(0)
	if it.Kind == scene.Lamp {
		mark = hanging
	}
	m := &w.s.Meshes[n.Mesh]
	first := len(w.part.v)
	g := float64(w.fine)
	for i := range m.V {
		v := &m.V[i]
		p32 := n.M.Point(v.P)
		p := vec{float64(p32[0]), float64(p32[1]), float64(p32[2])}
		x, y, ok := cam.Pixel(p)
		if !ok {
			w.part.v = append(w.part.v, corner{near: -1})
			continue
		}
		c := srgb(v.C[0], v.C[1], v.C[2])
		if m.Surface != scene.Glowing {
			nn := n.M.Turn(v.N)
			d := .78 + .22*(-.35*nn[0]-.55*nn[1]+.75*nn[2])
			if it.Kind == scene.Stand { // its parts keep their tones in the room's colour
				tone := .7 + 1.5*c[1]
				for k := range 3 {
					c[k] = w.room.stand[k] * tone
				}
			}
			for k := range 3 {
				c[k] *= d
			}
			if w.room.back[0] < .1 && it.Kind == scene.Lamp {
				for k := range 3 {
					c[k] *= .5
				}
			}
		} else if it.Kind == scene.Person {
			for k := range 3 {
				c[k] = w.room.back[k]*.55 + w.room.line[k]*.2
			}
		}
		w.part.v = append(w.part.v, corner{x: float32(x*g - .5), y: float32(y*g - .5), near: float32(1 / dot(sub(p, cam.Eye), cam.Forward)), c: c, p: p32})
	}
	for _, t := range m.F {
		a, b, c := &w.part.v[first+int(t[0])], &w.part.v[first+int(t[1])], &w.part.v[first+int(t[2])]
		if a.near <= 0 || b.near <= 0 || c.near <= 0 {
			continue
		}
		y0, y1 := int32(math.Ceil(float64(min(a.y, b.y, c.y)))), int32(math.Floor(float64(max(a.y, b.y, c.y))))
		w.part.f = append(w.part.f, facet{uint32(first) + t[0], uint32(first) + t[1], uint32(first) + t[2], y0, y1, int32(n.Item), scene.Glowing, mark, 0})
	}
}

// paint draws all parts into the picture and the items into a list.
func (f *frame) paint(img *image.RGBA, items []int32) {
	bands := 24
	rows := (f.c.H + bands - 1) / bands
	parallel(bands, func(b int) {
		r0, r1 := b*rows, min((b+1)*rows, f.c.H)
		if r0 >= r1 {
			return
		}
		s := strip{frame: f, y0: r0 * f.fine, y1: r1 * f.fine}
		s.draw()
		for y := r0; y < r1; y++ {
			for x := range f.c.W {
				items[y*f.c.W+x] = s.item[((y-r0)*f.fine+f.fine/2)*f.w+x*f.fine+f.fine/2]
			}
		}
		if !f.plain {
			s.resolve(img, r0, r1)
		}
	})
}
