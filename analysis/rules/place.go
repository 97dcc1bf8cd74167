package rules

import (
	"sort"

	"fourfold/parser/score"
)

// place is a byte of a file, told so that it stays the same when the text before it
// changes: by a voice of the tune, the number of a bar, and so many bytes from where
// that bar starts. In bar 0 bytes count from the start of the tune.
type place struct{ voice, bar, at int }

// placeAt tells a byte of the file by the bar that starts last before it.
func placeAt(t *score.Tune, offset int) place {
	p := place{at: offset - t.Span.Start}
	start := -1
	for voice, v := range t.Voices {
		i := sort.Search(v.Len(), func(i int) bool { return v.BarStart(i) > offset }) - 1
		if i >= 0 && v.BarStart(i) > start {
			start = v.BarStart(i)
			p = place{voice, v.Number(i), offset - start}
		}
	}
	return p
}

// in is the byte of the file, in a tune that has the bar; never one behind the tune, where
// a bar has become shorter.
func (p place) in(t *score.Tune) int {
	if p.bar > 0 && p.voice < len(t.Voices) {
		if b := t.Voices[p.voice].Bar(p.bar); b != nil {
			return min(b.Start+p.at, t.Span.End)
		}
	}
	return min(t.Span.Start+p.at, t.Span.End)
}
