package score

import (
	"bytes"
	"io"
)

// SameNotes says whether two texts have the same notes list, as WriteNotes prints
// it: every note of every voice in its bar, with time, length and pitch.
func SameNotes(a, b string) bool {
	var x, y bytes.Buffer
	return writeNotes(a, &x) && writeNotes(b, &y) && bytes.Equal(x.Bytes(), y.Bytes())
}

func writeNotes(text string, w io.Writer) bool { return WriteNotes([]byte(text), w) == nil }
