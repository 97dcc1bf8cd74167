package fix

import (
	"fmt"

	"fourfold/analysis/hands"
	"fourfold/parser/score"
)

// together takes marks of ornaments away: a chord is struck at once and not
// rolled, a trill is left out. The notes stay.
func together(s *site) (out []candidate) {
	seen := map[*score.Event]bool{}
	var all change
	for _, at := range append(s.struck(), s.marked()...) {
		if seen[s.event(at)] {
			continue
		}
		seen[s.event(at)] = true
		for _, name := range []string{"arpeggio", "trill"} {
			if edit, ok := s.without(at, name); ok {
				one := change{marks: []score.Edit{edit}}
				title := fmt.Sprintf("Strike %s at once, without the roll (same notes)", s.eventName(at))
				if name == "trill" {
					one.ornaments = 1
					title = fmt.Sprintf("Leave out the trill on %s (same notes)", s.eventName(at))
				}
				all.marks, all.ornaments = append(all.marks, edit), all.ornaments+one.ornaments
				out = append(out, candidate{title: title, change: one, promise: untouched})
			}
		}
	}
	if len(all.marks) > 1 {
		out = append(out, candidate{title: fmt.Sprintf("Leave out %d rolls or trills (same notes)", len(all.marks)), change: all, promise: untouched})
	}
	return out
}

// struck are the places of the notes of the finding's strokes.
func (s *site) struck() (out []noteAt) {
	for _, plucks := range s.plucks() {
		for _, pl := range plucks {
			if at, ok := s.place(pl); ok {
				out = append(out, at)
			}
		}
	}
	return out
}

// without takes a mark away from an event.
func (s *site) without(at noteAt, name string) (score.Edit, bool) {
	for _, m := range s.event(at).Marks {
		if m.Kind == score.Decoration && m.Text == name && hands.HasMark(s.event(at), name) {
			return score.Edit{Span: m.Span.Shift(s.bar(at).Start)}, true
		}
	}
	return score.Edit{}, false
}

// eventName is a note or chord as typed, without its length.
func (s *site) eventName(at noteAt) string {
	span := s.pitchesAt(at)
	return string(s.text[span.Start:span.End])
}
