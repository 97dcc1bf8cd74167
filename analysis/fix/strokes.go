package fix

import (
	"fmt"
	"strings"

	"fourfold/analysis/hands"
	"fourfold/parser/score"
)

// fewerStrokes writes a tremolo with fewer strokes through its stem, the fewest less
// first, or leaves it out.
func fewerStrokes(s *site) (out []candidate) {
	seen := map[*score.Event]bool{}
	for _, at := range append(s.struck(), s.marked()...) {
		ev := s.event(at)
		if seen[ev] {
			continue
		}
		seen[ev] = true
		for _, m := range ev.Marks {
			n := len(m.Text)
			if m.Kind != score.Decoration || n == 0 || strings.Trim(m.Text, "/") != "" || !hands.HasMark(ev, m.Text) {
				continue
			}
			for k := n - 1; k >= 0; k-- {
				out = append(out, s.withStrokes(at, m, k))
			}
		}
	}
	return out
}

// withStrokes writes a tremolo's mark with so many strokes.
func (s *site) withStrokes(at noteAt, m score.Mark, strokes int) candidate {
	edit := score.Edit{Span: m.Span.Shift(s.bar(at).Start)}
	title := fmt.Sprintf("Leave out the tremolo on %s (same notes)", s.eventName(at))
	if strokes > 0 {
		edit.Text = "!" + strings.Repeat("/", strokes) + "!"
		title = fmt.Sprintf("Write the tremolo on %s with %s through the stem instead of %d (same notes)", s.eventName(at), counted(strokes, "stroke"), len(m.Text))
	}
	return candidate{title: title, change: change{marks: []score.Edit{edit}, ornaments: len(m.Text) - strokes}, promise: untouched}
}
