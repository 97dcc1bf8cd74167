package rules

import (
	"context"
	"runtime"
	"sync"
	"sync/atomic"
)

// fewAtOnce is up to how many pieces of work are not worth a second processor.
const fewAtOnce = 4

// eachAtOnce does the work of each number below n, on all processors where there is
// much. It stops early, with the context's error, when the context ends. A panic goes
// on in the caller.
func eachAtOnce(ctx context.Context, n int, do func(i int)) error {
	workers := runtime.GOMAXPROCS(0)
	if n <= fewAtOnce {
		workers = 1
	}
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
	for range workers - 1 {
		others.Go(work)
	}
	work()
	others.Wait()
	if v := panicked.Load(); v != nil {
		panic(v.(panicValue).value)
	}
	return ctx.Err()
}

// panicValue is what a worker panicked with.
type panicValue struct{ value any }
