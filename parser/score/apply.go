package score

import "slices"

// Apply gives the text after some edits, which must not lie over each other. Those at
// one place come in the order given.
func Apply(text []byte, edits []Edit) []byte {
	sorted := slices.Clone(edits)
	slices.SortStableFunc(sorted, func(a, b Edit) int { return a.Span.Start - b.Span.Start })
	out := make([]byte, 0, len(text)+64)
	at := 0
	for _, e := range sorted {
		out = append(append(out, text[at:e.Span.Start]...), e.Text...)
		at = e.Span.End
	}
	return append(out, text[at:]...)
}
