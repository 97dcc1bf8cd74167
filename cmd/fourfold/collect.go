package main

import (
	"os"
	"runtime/debug"
)

// roomyPercent lets the heap grow to three times what is in use before memory is
// collected, not twice as Go has it: each keystroke makes a few megabytes that are
// soon of no use, and on a small heap collecting them would take part in the time of
// every few keys.
const roomyPercent = 200

// paceCollection sets how often memory is collected, unless the user has.
func paceCollection() {
	if os.Getenv("GOGC") == "" && os.Getenv("GOMEMLIMIT") == "" {
		debug.SetGCPercent(roomyPercent)
	}
}
