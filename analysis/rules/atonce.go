package rules

import (
	"context"
	"runtime"
	"sync"
	"sync/atomic"

	"fourfold/analysis/hands"
)

// eachAtOnce does the work of each number below n on all processors. It stops early, with the context's error, when the context ends. A panic goes
// on in the caller.
func eachAtOnce(ctx context.Context, n int, do func(i int)) error {
	workers := min(n, runtime.GOMAXPROCS(0))
	var next atomic.Int64
	var panicked atomic.Value
	work := func() {
		defer func() {
			if v := recover(); v != nil {
				panicked.CompareAndSwap(nil, panicValue{v})
			}
		}()
		for i := int(next.Add(1)) - 1; i < n && ctx.Err() == nil; i = int(next.Add(1)) - 1 {
			do(i)
		}
	}
	var others sync.WaitGroup
	for range max(0, workers-1) {
		others.Go(work)
	}
	work()
	others.Wait()
	if v := panicked.Load(); v != nil {
		panic(v.(panicValue).value)
	}
	return ctx.Err()
}

// bothHands does the work of either hand beside that of the other.
func bothHands(do func(side hands.Side)) {
	_ = eachAtOnce(context.Background(), 2, func(i int) { do(hands.Side(i)) })
}

// panicValue is what a worker panicked with.
type panicValue struct{ value any }
