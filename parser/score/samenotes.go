package score

import (
	"bytes"
	"io"
	"slices"
	"strings"
)

// SameNotes says whether two texts have the same notes list, as WriteNotes prints
// it: every note of every voice in its bar, with time, length and pitch.
func SameNotes(a, b string) bool {
	var x, y bytes.Buffer
	return writeNotes(a, &x) && writeNotes(b, &y) && bytes.Equal(x.Bytes(), y.Bytes())
}

func writeNotes(text string, w io.Writer) bool { return WriteNotes([]byte(text), w) == nil }

// Apply makes edits in a text. They must not lie over each other.
func Apply(text string, edits []Edit) string {
	sorted := slices.Clone(edits)
	slices.SortStableFunc(sorted, func(a, b Edit) int { return a.Span.Start - b.Span.Start })
	var out strings.Builder
	at := 0
	for _, e := range sorted {
		out.WriteString(text[at:e.Span.Start] + e.Text)
		at = e.Span.End
	}
	return out.String() + text[at:]
}
