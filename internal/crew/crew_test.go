package crew

import (
	"runtime"
	"sync/atomic"
	"testing"
)

// Every piece is done once, by a hand that has nothing else in work, at any size of crew.
func TestEveryPieceIsDoneOnce(t *testing.T) {
	for _, workers := range []int{-1, 0, 1, 2, 3, 8} {
		for _, n := range []int{0, 1, 2, 7, 500} {
			done := make([]atomic.Int32, n)
			busy := make([]atomic.Int32, max(workers, 1))
			Hands(workers, n, func(hand, i int) {
				if busy[hand].Add(1) != 1 {
					t.Errorf("hand %d has two pieces in work", hand)
				}
				runtime.Gosched()
				done[i].Add(1)
				busy[hand].Add(-1)
			})
			Do(workers, n, func(i int) { done[i].Add(1) })
			for i := range done {
				if got := done[i].Load(); got != 2 {
					t.Errorf("%d workers, piece %d of %d was done %d times, want 2", workers, i, n, got)
				}
			}
		}
	}
	if Size(3) != 3 || Size(0) != runtime.GOMAXPROCS(0) {
		t.Errorf("a crew of %d for a wish of 3, of %d for none", Size(3), Size(0))
	}
}
