package main

import (
	"os"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
)

// Each keystroke makes a few megabytes that are soon of no use. Collecting them at
// Go's usual pace, whenever the heap has doubled, would come every few keys on a small
// heap and take part in the time of each. So a small heap may grow to several times
// its size, up to about roomyHeap, and a large one is collected at the usual pace.
const (
	roomyHeap   = 48 << 20 // bytes
	mostPercent = 400
	usual       = 100
)

// paceCollection sets how often memory is collected, anew after each collection,
// unless the user has set it.
func paceCollection() {
	if os.Getenv("GOGC") != "" || os.Getenv("GOMEMLIMIT") != "" {
		return
	}
	debug.SetGCPercent(mostPercent)
	afterCollections(func() { debug.SetGCPercent(percentFor(liveHeap())) })
}

// percentFor is by how much a heap of so many bytes may grow.
func percentFor(live uint64) int {
	return int(min(mostPercent, max(usual, roomyHeap*100/max(live, 1)-100)))
}

func liveHeap() uint64 {
	sample := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
	metrics.Read(sample)
	if sample[0].Value.Kind() != metrics.KindUint64 {
		return roomyHeap
	}
	return sample[0].Value.Uint64()
}

// spent is something for the collector to find unused.
type spent struct{ _ [64]byte }

// afterCollections calls do after each collection.
func afterCollections(do func()) {
	runtime.AddCleanup(&spent{}, func(do func()) {
		do()
		afterCollections(do)
	}, do)
}
