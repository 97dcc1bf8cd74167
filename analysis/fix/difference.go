package fix

import (
	"bytes"

	"fourfold/parser/score"
)

// difference gives the edits that make one text of another, line by line: within a
// line that differs, what stands between its common beginning and end. Where the
// lines are not as many as they were, one edit covers all that differs.
func difference(before, after []byte) (out []score.Edit) {
	was, is := bytes.SplitAfter(before, []byte("\n")), bytes.SplitAfter(after, []byte("\n"))
	if len(was) != len(is) {
		was, is = [][]byte{before}, [][]byte{after}
	}
	at := 0
	for i := range was {
		if !bytes.Equal(was[i], is[i]) {
			head, tail := common(was[i], is[i])
			out = append(out, score.Edit{Span: score.Span{Start: at + head, End: at + len(was[i]) - tail},
				Text: string(is[i][head : len(is[i])-tail])})
		}
		at += len(was[i])
	}
	return out
}

// common counts the bytes that two lines share at their beginning and at their
// end, never part of a character.
func common(a, b []byte) (head, tail int) {
	shortest := min(len(a), len(b))
	for head < shortest && a[head] == b[head] {
		head++
	}
	for head > 0 && (head < len(a) && inside(a[head]) || head < len(b) && inside(b[head])) {
		head--
	}
	for tail < shortest-head && a[len(a)-1-tail] == b[len(b)-1-tail] {
		tail++
	}
	for tail > 0 && inside(a[len(a)-tail]) {
		tail--
	}
	return head, tail
}

// inside is true for a byte that goes on with a character of UTF-8.
func inside(c byte) bool { return c&0xC0 == 0x80 }
