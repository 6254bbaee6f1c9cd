package crew

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// Size is the number of goroutines for a wish: the wish itself, or one for each processor when it is 0 or less.
func Size(wish int) int {
	if wish > 0 {
		return wish
	}
	return runtime.GOMAXPROCS(0)
}

// Do calls f(0) … f(n−1), each once, on at most so many goroutines, the caller's among them, and waits for all; see Size for 0.
func Do(workers, n int, f func(i int)) {
	Hands(Size(workers), n, func(_, i int) { f(i) })
}

// Hands is Do that also tells which of the goroutines calls, 0 to workers−1 (0 alone when workers is not above 1), so that each can have working
// space of its own.
func Hands(workers, n int, f func(hand, i int)) {
	workers = min(workers, n)
	if workers <= 1 {
		for i := range n {
			f(0, i)
		}
		return
	}
	var next atomic.Int32
	turn := func(hand int) {
		for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
			f(hand, i)
		}
	}
	var wg sync.WaitGroup
	for hand := 1; hand < workers; hand++ {
		wg.Go(func() { turn(hand) })
	}
	turn(0)
	wg.Wait()
}
