package scene

import (
	"fmt"
	"littoral/internal/clarity"
	"littoral/internal/forecast"
	"littoral/internal/geometry"
	"littoral/internal/growth"
	"littoral/internal/light"
	"littoral/internal/mesh"
	"slices"
	"sort"
)

// Kind says what a thing is.
type Kind uint8

// Kinds of things.
const (
	Ground Kind = iota
	Stone
	Wood
	Plant
	Animal
	Wall   // the inside of the panes, seen from within
	Lamp   // housings of lamps
	Stand  // the cabinet under the tank
	Person // an outline for scale
	Board  // a flat test board
)

// Surface is how a mesh takes light and which grain is drawn on it.
type Surface uint8

// Surfaces.
const (
	Matt    Surface = iota // plain
	Leaf                   // lets light through
	Grain                  // bed: grains as large as the vertex says
	Rock                   // stone
	Bark                   // wood
	Glowing                // a lamp's face: its colour is what one sees
	Painted                // as the file of a user's mesh says
)

// Vertex is a corner with its own colour.
type Vertex struct {
	P, N [3]float32
	C    [3]uint8
	A    uint8 // size of the bed's grains, 0.1 mm; 0 elsewhere
}

// Mesh is a set of triangles, counter-clockwise from outside; leaves are seen from both sides.
type Mesh struct {
	Name    string
	Surface Surface
	Under   [3]float32 // factors on the colour for the under side of leaves
	V       []Vertex
	F       [][3]uint32
	UV      [][2]float32 // places of the vertices on Picture, as mesh.Corner has them; nil without one
	Picture *mesh.Image  // multiplies the vertices' colours in linear light; nil for none
}

// Item is a thing with a name: a stone, a plant.
type Item struct {
	Kind     Kind
	ID       string // of the plan or the plant
	Planting string // of plants
	Species  string // of plants
	At       Vec    // crown or middle
}

// Node is a mesh standing somewhere.
type Node struct {
	Mesh int
	Item int
	M    Mat
}

// Water is what the forecast says of the water's clearness on the day.
type Water struct {
	Beam      float64 // beam attenuation, 1/m
	Kd        float64 // extinction of light, 1/m
	Colour    float64 // absorption by dissolved colour, 1/m
	Suspended float64 // mg/L
}

// Pool is the light of all lamps in the empty tank by their beams, on a grid over the tank's bounding rectangle and from the surface (layer 0) to the bottom: the middle
// of cell (i, j) lies at (i+½)·LX/NX, (j+½)·LY/NY, layer k at k/(NZ−1) of the water's depth. The mean of each layer is 1: what beams lose on the way
// is not in it. Without a lamp it is nil.
type Pool struct {
	NX, NY, NZ int
	V          []float32  // (k·NY + j)·NX + i
	Lean       [2]float64 // how far light runs to the right and to the back for each metre down, mean of all lamps in the water
}

// Scene is a tank on a day. It is read-only after Build.
type Scene struct {
	Name   string
	Day    int
	Tank   geometry.Tank
	Stand  float64 // height of the stand, m; common practice 0.8, no source
	Water  Water
	Pool   *Pool
	Meshes []Mesh
	Nodes  []Node
	Items  []Item
}

// Options choose what is built beside tank, bed, hardscape and plants.
type Options struct {
	Animals bool // the day's animals as simple shapes
	Person  bool // a standing person's outline beside the tank
	Tufts   int  // of ground cover and moss that are drawn before they are drawn larger and fewer; 0 means 7500
}

// Build makes the scene of the snapshot nearest to a day of a forecast. It fails when the forecast has no snapshot.
func Build(f *forecast.Forecast, day int, opt Options) (*Scene, error) {
	if f == nil || f.Model == nil || len(f.Snapshots) == 0 {
		return nil, fmt.Errorf("the forecast has no snapshot of day %d; forecast the plan first", day)
	}
	snap := &f.Snapshots[0]
	for i := range f.Snapshots {
		if abs(f.Snapshots[i].Day-day) < abs(snap.Day-day) {
			snap = &f.Snapshots[i]
		}
	}
	s := &Scene{Name: f.Plan.Name, Day: snap.Day, Tank: f.Model.Tank, Stand: standHeight, Water: clearness(f, snap.Day)}
	if opt.Tufts <= 0 {
		opt.Tufts = mostTufts
	}
	b := &builder{tufts: opt.Tufts, Scene: s, model: f.Model, columns: f.Columns, plan: f.Plan, shared: map[string]int{}, rise: f.Rise(snap.Day)}
	b.bed()
	for i := range f.Model.Solids {
		b.solid(&f.Model.Solids[i])
	}
	b.plants(b.settled(snap.Plants))
	if opt.Animals {
		b.animals(snap.Day)
	}
	b.walls()
	b.lamps()
	b.stand()
	if opt.Person {
		b.person()
	}
	return s, nil
}

// settled puts the plants that root in the bed where it lies today.
func (b *builder) settled(plants []growth.PlantState) []growth.PlantState {
	if b.rise == nil {
		return plants
	}
	plants = slices.Clone(plants)
	for i := range plants {
		if p := &plants[i]; p.Column >= 0 {
			p.Z = max(0, p.Z+b.rise(p.X, p.Y))
		}
	}
	return plants
}

const standHeight = 0.8

// clearness reads the day's water; suspended matter and extinction are in the forecast, the rest follows from them.
func clearness(f *forecast.Forecast, day int) Water {
	w := Water{Suspended: light.SuspendedUsual, Kd: light.ExtinctionUsual}
	if day >= 0 && day < len(f.Days) && f.Days[day].Kd > 0 {
		w.Suspended, w.Kd = f.Days[day].Suspended, f.Days[day].Kd
	}
	w.Colour = max(0, w.Kd-light.Kd(0, w.Suspended))
	w.Beam = clarity.Beam(w.Suspended, w.Colour)
	return w
}

// Triangles is the number of triangles drawn, shared meshes counted at each place.
func (s *Scene) Triangles() int {
	n := 0
	for i := range s.Nodes {
		n += len(s.Meshes[s.Nodes[i].Mesh].F)
	}
	return n
}

// Extent is what one item spans: the highest point, and the reach from a place seen from above.
func (s *Scene) Extent(item int, from Vec) (top, low, reach float64) {
	top, low = -1e9, 1e9
	for i := range s.Nodes {
		n := &s.Nodes[i]
		if n.Item != item {
			continue
		}
		for _, v := range s.Meshes[n.Mesh].V {
			p := n.M.Point(v.P)
			top, low = max(top, float64(p[2])), min(low, float64(p[2]))
			dx, dy := float64(p[0])-from[0], float64(p[1])-from[1]
			reach = max(reach, dx*dx+dy*dy)
		}
	}
	return top, low, sqrt(reach)
}

// AddBoard puts a square board of one colour into the scene, upright and facing the front, with its middle at a place. Tests of the camera use it.
func (s *Scene) AddBoard(middle Vec, side float64, colour [3]uint8) {
	const n = 24
	m := Mesh{Name: "board", Surface: Glowing}
	for j := range n + 1 {
		for i := range n + 1 {
			p := Vec{middle[0] + side*(float64(i)/n-.5), middle[1], middle[2] + side*(float64(j)/n-.5)}
			m.V = append(m.V, Vertex{P: p.f32(), N: [3]float32{0, -1, 0}, C: colour})
		}
	}
	m.grid(n, n, 0, false)
	s.Items = append(s.Items, Item{Kind: Board, ID: "board", At: middle})
	s.Meshes = append(s.Meshes, m)
	s.Nodes = append(s.Nodes, Node{Mesh: len(s.Meshes) - 1, Item: len(s.Items) - 1, M: Still})
}

// grid joins vertices laid out in rows of nx+1, ny+1 rows, from the vertex first on.
func (m *Mesh) grid(nx, ny, first int, flip bool) {
	for j := range ny {
		for i := range nx {
			a := uint32(first + j*(nx+1) + i)
			b, c, d := a+1, a+uint32(nx)+2, a+uint32(nx)+1
			if flip {
				m.F = append(m.F, [3]uint32{a, c, b}, [3]uint32{a, d, c})
				continue
			}
			m.F = append(m.F, [3]uint32{a, b, c}, [3]uint32{a, c, d})
		}
	}
}

// tri adds a flat triangle of one colour.
func (m *Mesh) tri(a, b, c Vec, colour [3]uint8) {
	n := b.sub(a).cross(c.sub(a)).unit().f32()
	k := uint32(len(m.V))
	m.V = append(m.V, Vertex{P: a.f32(), N: n, C: colour}, Vertex{P: b.f32(), N: n, C: colour}, Vertex{P: c.f32(), N: n, C: colour})
	m.F = append(m.F, [3]uint32{k, k + 1, k + 2})
}

// quad adds a flat rectangle.
func (m *Mesh) quad(a, b, c, d Vec, colour [3]uint8) {
	n := b.sub(a).cross(c.sub(a)).unit().f32()
	k := uint32(len(m.V))
	for _, p := range []Vec{a, b, c, d} {
		m.V = append(m.V, Vertex{P: p.f32(), N: n, C: colour})
	}
	m.F = append(m.F, [3]uint32{k, k + 1, k + 2}, [3]uint32{k, k + 2, k + 3})
}

// box adds an upright box.
func (m *Mesh) box(lo, hi Vec, colour [3]uint8) {
	p := func(x, y, z int) Vec {
		c := [2]Vec{lo, hi}
		return Vec{c[x][0], c[y][1], c[z][2]}
	}
	m.quad(p(0, 0, 0), p(1, 0, 0), p(1, 0, 1), p(0, 0, 1), colour)
	m.quad(p(1, 1, 0), p(0, 1, 0), p(0, 1, 1), p(1, 1, 1), colour)
	m.quad(p(0, 1, 0), p(0, 0, 0), p(0, 0, 1), p(0, 1, 1), colour)
	m.quad(p(1, 0, 0), p(1, 1, 0), p(1, 1, 1), p(1, 0, 1), colour)
	m.quad(p(0, 0, 1), p(1, 0, 1), p(1, 1, 1), p(0, 1, 1), colour)
	m.quad(p(0, 1, 0), p(1, 1, 0), p(1, 0, 0), p(0, 0, 0), colour)
}

// plants builds every plant, in the order of their ids.
func (b *builder) plants(list []growth.PlantState) {
	b.detail(list)
	order := make([]int, len(list))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(i, j int) bool { return list[order[i]].ID < list[order[j]].ID })
	for _, i := range order {
		if list[i].Species != nil && list[i].HeightM > 0 && list[i].SpreadM > 0 {
			b.plant(&list[i])
		}
	}
	b.runners(list, order)
}

func abs(v int) int {
	if v < 0 {
		return -v
	}
	return v
}
