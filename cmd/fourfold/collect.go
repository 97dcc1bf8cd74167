package main

import (
	"os"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
)

// The heap grows to three times what is in use before memory is collected, not twice as
// Go has it: each keystroke makes a few megabytes that are soon of no use, and on a
// small heap collecting them would take part in the time of every few keys. A large
// heap has that room without.
const (
	roomyPercent = 200
	plainPercent = 100
	room         = 48 << 20 // bytes that keys may fill between two collections
)

// paceCollection sets how often memory is collected, unless the user has.
func paceCollection() {
	if os.Getenv("GOGC") == "" && os.Getenv("GOMEMLIMIT") == "" {
		debug.SetGCPercent(roomyPercent)
		afterCollection(&pace{percent: roomyPercent, live: []metrics.Sample{{Name: "/gc/heap/live:bytes"}}})
	}
}

// pace is how far the heap may grow, in per cent of what is in use.
type pace struct {
	percent int
	live    []metrics.Sample // bytes in use
}

// afterCollection sets the pace anew after each collection: nothing holds it, so that
// every one finds it and runs its finalizer.
func afterCollection(p *pace) {
	runtime.SetFinalizer(p, func(p *pace) {
		metrics.Read(p.live)
		if percent := percentFor(p.live[0].Value.Uint64()); percent != p.percent {
			p.percent = percent
			debug.SetGCPercent(percent)
		}
		afterCollection(p)
	})
}

// percentFor gives so many bytes in use the room that keys need, in steps of ten.
func percentFor(live uint64) int {
	percent := room * 100 / max(live, 1)
	return int(min(max(percent/10*10, plainPercent), roomyPercent))
}
