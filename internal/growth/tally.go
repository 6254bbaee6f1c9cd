package growth

import "littoral/internal/crew"

// blockSize is how many plants are worked on as one piece. Plants of a block follow each other, blocks are put together in their order:
// the sums are the same on any number of processors (our own choice: enough for an even share-out, few enough to cost nothing).
const blockSize = 24

// blocksAHand is how many blocks are worth waking another processor for. Each goes on with the same plants every day, which then lie in its own memory
// (measured: dealt out block by block, three years of 400 plants took longer on two processors than on one). It changes no answer.
const blocksAHand = 5

// tally is what one block of plants adds to the day.
type tally struct {
	Result        // its numbers and lists; Detritus stays empty
	left   Matter // taken, less what plants took in
	fell   []fallen
	held   []heldBack // by planting, since Held was last asked

	air    float64    // g a day that leaves in air would fix
	class  [2]float64 // g a day that would be fixed, by class
	airR   float64    // mmol
	respC  float64    // mmol
	waterA [4]float64 // mg
}

// fallen is dead matter on its way down.
type fallen struct {
	at   int // root column + 1
	dryG float64
	m    Matter
}

// desk is the working space of one goroutine.
type desk struct {
	disc []leafShare
	at   []int32 // by column of voxels, all 0 between uses
	by   []float64
}

// Workers sets the most goroutines that work on plants at once; it never changes an answer. A new Stand has one.
func (s *Stand) Workers(n int) {
	s.desks = make([]desk, max(n, 1))
}

// blocks calls f for each block of plants, lo to hi−1, and waits for all.
func (s *Stand) blocks(f func(hand *desk, w *tally, lo, hi int)) {
	n, count := len(s.plants), s.inBlocks()
	for len(s.tallies) < count {
		s.tallies = append(s.tallies, tally{})
	}
	hands := min(len(s.desks), max(count/blocksAHand, 1))
	crew.Hands(hands, hands, func(_, part int) {
		for b := part * count / hands; b < (part+1)*count/hands; b++ {
			f(&s.desks[part], &s.tallies[b], b*blockSize, min((b+1)*blockSize, n))
		}
	})
}

// inBlocks is the number of blocks that all plants make.
func (s *Stand) inBlocks() int { return (len(s.plants) + blockSize - 1) / blockSize }

// clear empties a tally but for what its plantings were held back by.
func (w *tally) clear() {
	*w = tally{Result: w.Result.emptied(), fell: w.fell[:0], held: w.held}
}

// emptied is a Result that keeps the room of its lists.
func (r *Result) emptied() Result {
	return Result{
		Detritus: r.Detritus[:0], Born: r.Born[:0], Lost: r.Lost[:0], MeltBegun: r.MeltBegun[:0], MeltOver: r.MeltOver[:0],
		RestBegun: r.RestBegun[:0], RestOver: r.RestOver[:0], Lifted: r.Lifted[:0],
	}
}

// add puts a block's part into the day's result.
func (r *Result) add(w *Result) {
	r.GrowthG += w.GrowthG
	r.FixedAirC += w.FixedAirC
	r.RespiredC += w.RespiredC
	r.RespiredAirC += w.RespiredAirC
	r.ReleasedToWater = r.ReleasedToWater.Add(w.ReleasedToWater)
	r.MeltBegun = append(r.MeltBegun, w.MeltBegun...)
	r.MeltOver = append(r.MeltOver, w.MeltOver...)
	r.RestBegun = append(r.RestBegun, w.RestBegun...)
	r.RestOver = append(r.RestOver, w.RestOver...)
	r.Lifted = append(r.Lifted, w.Lifted...)
}

// lands lays down what fell from a block.
func (d *dayState) lands(list []fallen) {
	for i := range list {
		f := &list[i]
		d.touch[f.at] = true
		o := &d.fallen[f.at]
		o.DryG += f.dryG
		o.Matter = o.Matter.Add(f.m)
	}
}

// room makes sure that a tally has a place for every planting.
func (w *tally) room(plantings int) {
	for len(w.held) < plantings {
		w.held = append(w.held, heldBack{})
	}
}
