package rules

import (
	"context"
	"runtime"
	"sync"
	"sync/atomic"

	"fourfold/analysis/hands"
)

// eachAtOnce does the work of each number below n on so many processors. It stops early, with the context's error, when the context ends. A panic goes
// on in the caller.
func eachAtOnce(ctx context.Context, workers, n int, do func(i int)) error {
	workers = min(n, workers)
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

// workersFor is how many processors a part may use: all for a stretch, which somebody
// waits for, and for a first reading; one for what is read behind the keys.
func workersFor(isStretch bool, m *Memory) int {
	if isStretch || m.isNew() {
		return runtime.GOMAXPROCS(0)
	}
	return 1
}

// bothHands does the work of either hand, where it may beside that of the other.
func (p *Part) bothHands(do func(side hands.Side)) {
	_ = eachAtOnce(context.Background(), p.workers, 2, func(i int) { do(hands.Side(i)) })
}

// panicValue is what a worker panicked with.
type panicValue struct{ value any }
