package fix

import (
	"fmt"

	"fourfold/analysis/hands"
	"fourfold/parser/score"
)

// roll lets chords be rolled from the bottom up, so that the hand can set them in
// two groups.
func roll(s *site) (out []candidate) {
	var all change
	chords := 0
	for _, plucks := range s.plucks() {
		c, ok := s.rolled(plucks)
		if !ok {
			continue
		}
		chords++
		all.marks = append(all.marks, c.marks...)
		if len(s.plucks()) > 1 && chords <= mostFigures {
			out = append(out, candidate{title: fmt.Sprintf("Roll the chord %s (same notes)", s.called(plucks)), change: c, promise: untouched})
		}
	}
	if chords == 1 && len(s.plucks()) == 1 {
		out = append(out, candidate{title: fmt.Sprintf("Roll the chord %s (same notes)", s.names(s.plucks()[0])), change: all, promise: untouched})
	} else if chords > 1 {
		out = append(out, candidate{title: fmt.Sprintf("Roll %d chords (same notes)", chords), change: all, promise: untouched})
	}
	return out
}

// rolled writes the mark before each chord of a stroke.
func (s *site) rolled(plucks []hands.Pluck) (c change, ok bool) {
	seen := map[*score.Event]bool{}
	for _, pl := range plucks {
		at, found := s.place(pl)
		if !found || pl.Grace || pl.Rolled {
			return change{}, false
		}
		if seen[pl.Event] || !pl.Event.Chord {
			continue
		}
		seen[pl.Event] = true
		start := s.bar(at).Start + pl.Event.Span.Start
		c.marks = append(c.marks, score.Edit{Span: score.Span{Start: start, End: start}, Text: "!arpeggio!"})
	}
	return c, len(c.marks) > 0
}
