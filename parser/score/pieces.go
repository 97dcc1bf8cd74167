package score

import "regexp"

// pieceEnd is where other music may begin: a line's end, or another voice inside it.
var pieceEnd = regexp.MustCompile(`[\r\n]+|\[V:[^\]\r\n]*\]`)

// Pieces are the bytes of the file in which the bar stands, with the bar line that closes
// it and without the one that opens it: one span a line. What other voices, words and
// remarks have between its lines is left out. Text is the text that the score was built
// from.
func (b *Bar) Pieces(text []byte) (out []Span) {
	own := []Span{b.Close().Span.Shift(b.Start)}
	start, end := b.Start+max(b.Open().Span.End, 0), own[0].End // it may have opened on an earlier line
	for _, e := range b.Events() {
		s := e.Span.Shift(b.Start)
		own, end = append(own, s), max(end, s.End)
	}
	if start < 0 || end > len(text) || start >= end {
		return nil
	}
	keep := func(from, to int) {
		for _, o := range own {
			if o.Start < to && from < o.End {
				out = append(out, Span{from, to})
				return
			}
		}
	}
	from := start
	for _, cut := range pieceEnd.FindAllIndex(text[start:end], -1) {
		keep(from, start+cut[0])
		from = start + cut[1]
	}
	keep(from, end)
	return out
}
