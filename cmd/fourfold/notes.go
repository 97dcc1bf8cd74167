package main

import (
	"fmt"
	"io"
	"os"
	"runtime/debug"

	"fourfold/parser/score"
)

const notesUsage = `usage: fourfold notes FILE

Prints the sounding notes of a file as JSON lines: tune, voice, bar, onset and
duration in whole notes, pitch, midi. Ties are joined; graces and rests are left
out; repeats are not played out.
`

// runNotes is the command `fourfold notes FILE`. It gives 0 also where the
// notation is broken, and 2 for a file that cannot be read or a wrong usage.
func runNotes(args []string, stdout, stderr io.Writer) int {
	if len(args) == 1 && (args[0] == "-h" || args[0] == "--help") {
		fmt.Fprint(stdout, notesUsage)
		return 0
	}
	if len(args) != 1 || len(args[0]) > 1 && args[0][0] == '-' {
		fmt.Fprint(stderr, notesUsage)
		return 2
	}
	text, err := os.ReadFile(args[0])
	if err != nil {
		fmt.Fprintf(stderr, "fourfold notes: %s cannot be read (%v): check the name and its permissions\n", args[0], cause(err))
		return 2
	}
	// One pass over one file leaves much garbage for little that is kept.
	defer debug.SetGCPercent(debug.SetGCPercent(10))
	if err := score.WriteNotes(text, stdout); err != nil {
		fmt.Fprintf(stderr, "fourfold notes: %v\n", err)
		return 2
	}
	return 0
}
