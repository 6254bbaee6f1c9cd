package soil

import (
	"littoral/internal/catalog"
	"littoral/internal/geometry"
	"math"
)

// Relief is how the bed lies and how it moves: it settles in its first weeks, slides where it is steeper than its material holds, and creeps
// where nothing holds it. Roots and hardscape hold it, digging and pulling level it. What moves is bulk as it was laid, in litres; it is kept to
// rounding, and a bed that mirrors another moves as its mirror image. It is not safe for concurrent use.
type Relief struct {
	params      Params
	grid        *geometry.Columns
	right, back []float64   // open share of the faces to the next column and row
	laid        [][]float64 // L by layer and column, as they would fill it before settling
	first       [][]float64 // the same on the first day
	hold        []float64   // tangent of the angle of friction by layer
	loose       []float64   // share of its bulk that a layer loses by settling
	moveRight   []float64   // L of this pass, positive towards the next column and row
	moveBack    []float64
	tops        []float64 // m
	gives       []float64 // L that each column gives in this pass
	part        [][]float64
	moves       []Move
}

const (
	// creep is how fast an unheld gentle slope spreads, m²/year: pumps, digging animals and settling take a fifth to two fifths of a slope from the
	// front to the back of a display (60 to 80 cm) in its first year. Range 0.007 to 0.03; common practice, no source.
	creep = 0.013
	// rootHold is the root mass, g dry/m², that halves creep: a closed carpet has 50 to 200. Range 8 to 60; common practice, no source.
	rootHold = 20.0
	// settled is the share of its bulk that active soil loses after it is laid and flooded, beyond what spare litres of the order cover. Range
	// 0.02 to 0.1; common practice, no source (the trade orders 10 to 15 % more and sees most of it go in the first month). Sand and gravel
	// settle a quarter as much.
	settled = 0.05
	// settleDays is the time in which two thirds of the settling are done; range 10 to 30, common practice, no source.
	settleDays = 20.0
	// nearLimit caps by how much creep quickens near the angle of friction.
	nearLimit = 10.0
	// usualAngle holds materials whose angle the catalogue does not give, degrees.
	usualAngle = 32.0
	// Moving is the depth, m, of the layer that creeps; range 0.01 to 0.05, common practice, no source.
	Moving = 0.02
	// levelled is the share of the difference to a dug or pulled neighbour that digging takes; range 0.05 to 0.3, common practice, no source.
	levelled = 0.12
)

// NewRelief lays a bed as the plan does. Right and back are the open shares of the faces between columns (geometry.Model.Open).
func NewRelief(grid *geometry.Columns, right, back []float64, cat *catalog.Catalog, params Params) *Relief {
	n := len(grid.Area)
	r := &Relief{params: params, grid: grid, right: right, back: back, moveRight: make([]float64, n), moveBack: make([]float64, n), tops: make([]float64, n), gives: make([]float64, n)}
	for l, layer := range grid.Layers {
		litres := make([]float64, n)
		for i, a := range grid.Area {
			litres[i] = 1000 * a * grid.Depth[l][i]
		}
		angle, loose := usualAngle, params.Settle/4
		if m, ok := cat.Material(layer.Material); ok {
			if m.AngleDeg.Value > 0 {
				angle = m.AngleDeg.Value
			}
			if m.Bed.BufferMeq.Value > 0 {
				loose = params.Settle
			}
		}
		r.laid, r.first = append(r.laid, litres), append(r.first, append([]float64(nil), litres...))
		r.part = append(r.part, make([]float64, n))
		r.hold, r.loose = append(r.hold, math.Tan(angle*math.Pi/180)), append(r.loose, loose)
	}
	return r
}

// Move is bulk that went from one column to its neighbour.
type Move struct {
	From, To int
	Litres   float64 // as laid
	Share    float64 // of what the column it left held
}

// Top is the height of the bed in each column, m, on a day after it was laid; the slice is overwritten by the next call.
func (r *Relief) Top(day float64) []float64 {
	gone := -math.Expm1(-math.Max(day, 0) / settleDays)
	for i, a := range r.grid.Area {
		r.tops[i] = 0
		if a <= 0 {
			continue
		}
		for l := range r.laid {
			r.tops[i] += r.laid[l][i] / (1000 * a) * (1 - r.loose[l]*gone)
		}
	}
	return r.tops
}

// Litres is the bulk, L as laid, of a column.
func (r *Relief) Litres(col int) float64 {
	sum := 0.0
	for l := range r.laid {
		sum += r.laid[l][col]
	}
	return sum
}

// Strange is how much more of a layer's material lies in a column than was laid there, L; negative where it has gone.
func (r *Relief) Strange(layer, col int) float64 { return r.laid[layer][col] - r.first[layer][col] }

// Step lets days pass, the last of which is the given day. Roots are g dry/m² by column. Shift hears of all that moves, pass by pass, in a fixed
// order (nil = no one); the list is overwritten by the next pass.
//
// Creep follows the law of soil on hillsides, flux = K·S/(1 − (S/Sc)²) with the tangent S of the slope and Sc of the angle of friction (Roering,
// Kirchner & Dietrich 1999); what is steeper than Sc slides.
func (r *Relief) Step(day, days float64, roots []float64, shift func([]Move)) {
	const pass = 7.0 // days
	for left := days; left > 1e-9; left -= pass {
		t := math.Min(pass, left)
		top := r.Top(day - left + t)
		r.each(func(i, j int, open float64, move *float64) {
			r.flow(i, j, open, top, t, roots, move)
		})
		r.carry(shift)
	}
	for range slides {
		top, slid := r.Top(day), false
		r.each(func(i, j int, open float64, move *float64) {
			from, to, s := downhill(i, j, top, r.grid.Cell)
			sc := r.limit(from)
			if s <= sc*(1+slack) {
				return
			}
			slid = true
			*move += sign(i, from) * r.atMost(from, to, open*(s-sc)*r.grid.Cell/8)
		})
		if !slid {
			break
		}
		r.carry(shift)
	}
}

// downhill orders two neighbours by height and gives the tangent of the slope between them.
func downhill(i, j int, top []float64, cell float64) (from, to int, slope float64) {
	if top[i] >= top[j] {
		return i, j, (top[i] - top[j]) / cell
	}
	return j, i, (top[j] - top[i]) / cell
}

// slides is how often what is too steep may slide in a step; slack is by how much a slope may be too steep for it.
const (
	slides = 400
	slack  = 1e-3
)

// Dig levels columns where plants were pulled or the bed was dug over against all their neighbours.
func (r *Relief) Dig(day float64, cols []int, shift func([]Move)) {
	dug := make([]bool, len(r.grid.Area))
	for _, c := range cols {
		if c >= 0 && c < len(dug) {
			dug[c] = true
		}
	}
	top := r.Top(day)
	r.each(func(i, j int, open float64, move *float64) {
		if dug[i] || dug[j] {
			from, to, s := downhill(i, j, top, r.grid.Cell)
			*move += sign(i, from) * r.atMost(from, to, open*levelled*s*r.grid.Cell/2)
		}
	})
	r.carry(shift)
}

// Add lays fresh material over columns to a depth, m; it counts as laid there.
func (r *Relief) Add(cols []int, material string, depth float64) {
	for l := len(r.laid) - 1; l >= 0; l-- {
		if r.grid.Layers[l].Material != material {
			continue
		}
		for _, i := range cols {
			r.laid[l][i] += 1000 * r.grid.Area[i] * depth
			r.first[l][i] += 1000 * r.grid.Area[i] * depth
		}
		return
	}
}

func sign(first, from int) float64 {
	if first == from {
		return 1
	}
	return -1
}

// each visits the face of every two neighbours that hold bed.
func (r *Relief) each(visit func(i, j int, open float64, move *float64)) {
	nx := r.grid.NX
	for i, a := range r.grid.Area {
		if a <= 0 {
			continue
		}
		if r.right[i] > 0 {
			visit(i, i+1, r.right[i], &r.moveRight[i])
		}
		if r.back[i] > 0 {
			visit(i, i+nx, r.back[i], &r.moveBack[i])
		}
	}
}

// flow is the creep through one face in t days.
func (r *Relief) flow(i, j int, open float64, top []float64, t float64, roots []float64, move *float64) {
	from, to, s := downhill(i, j, top, r.grid.Cell)
	if s == 0 {
		return
	}
	x := s / r.limit(from)
	quick := nearLimit
	if x < 1 {
		quick = math.Min(nearLimit, 1/(1-x*x))
	}
	held := 1.0
	if from < len(roots) {
		held = r.params.RootHold / (r.params.RootHold + roots[from])
	}
	height := r.params.Creep / 365.25 * t * quick * held * open * s / r.grid.Cell // m of the giver's column
	*move += sign(i, from) * r.atMost(from, to, math.Min(height, s*r.grid.Cell/8))
}

// limit is the tangent of the steepest slope that the topmost layer of a column holds.
func (r *Relief) limit(col int) float64 {
	for l := len(r.laid) - 1; l >= 0; l-- {
		if r.laid[l][col] > 1e-6 {
			return r.hold[l]
		}
	}
	return math.Tan(usualAngle * math.Pi / 180)
}

// atMost turns a height over the smaller of two columns into litres, never more than an eighth of what the giver holds.
func (r *Relief) atMost(from, to int, height float64) float64 {
	litres := height * math.Min(r.grid.Area[from], r.grid.Area[to]) * 1000
	return math.Min(litres, r.Litres(from)/8)
}

// carry carries out what was noted, from the topmost layers of each giver, and tells it to shift. All moves follow from the state before any, so
// that the order of columns makes no difference; a column gives at most an eighth through each of four faces.
func (r *Relief) carry(shift func([]Move)) {
	nx := r.grid.NX
	r.moves = r.moves[:0]
	clear(r.gives)
	note := func(i, j int, litres float64) {
		if litres == 0 {
			return
		}
		if litres < 0 {
			i, j, litres = j, i, -litres
		}
		r.moves = append(r.moves, Move{From: i, To: j, Litres: litres, Share: litres / r.Litres(i)})
		r.gives[i] += litres
	}
	for i := range r.grid.Area {
		note(i, i+1, r.moveRight[i])
		note(i, i+nx, r.moveBack[i])
		r.moveRight[i], r.moveBack[i] = 0, 0
	}
	if len(r.moves) == 0 {
		return
	}
	// What each layer of a giver gives, the topmost first, as a share of all it gives.
	for i, gives := range r.gives {
		left := gives
		for l := len(r.laid) - 1; l >= 0 && gives > 0; l-- {
			take := math.Min(left, r.laid[l][i])
			r.part[l][i] = take / gives
			left -= take
		}
	}
	for _, m := range r.moves {
		for l := range r.laid {
			x := r.part[l][m.From] * m.Litres
			r.laid[l][m.From] -= x
			r.laid[l][m.To] += x
		}
	}
	if shift != nil {
		shift(r.moves)
	}
}
