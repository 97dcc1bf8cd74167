package fix

import (
	"bytes"
	"context"
	"fmt"
	"sort"
	"strings"
	"unicode/utf8"

	"fourfold/analysis/feet"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

func marksTitle(s *scope) string {
	if len(s.part.WantedMarks()) == 0 {
		return ""
	}
	return "Write the pedal plan into the score"
}

// writeMarks writes the marks of the plan that the score lacks, and takes out those that
// the notes contradict. Marks stand below the lower staff; where that has no note or
// rest at a place that will do, above the upper.
func writeMarks(_ context.Context, s *scope) (Acted, error) {
	m := s.newMarking()
	edits, gone := m.withoutWrong()
	written, lost := 0, 0
	for _, w := range s.part.WantedMarks() {
		if m.pedals.Marked(w) {
			continue
		}
		if m.put(w) {
			written++
		} else {
			lost++
		}
	}
	edits = append(edits, m.edits()...)
	if len(edits) == 0 {
		return Acted{Why: "The score bears all marks of the plan."}, nil
	}
	sort.SliceStable(edits, func(i, j int) bool { return edits[i].Span.Start < edits[j].Span.Start })
	after := s.edited(edits)
	if len(after.Score.Tunes) != len(s.Score.Tunes) || !untouched(s.tune, after.Score.Tunes[s.index]) {
		return Acted{Why: "The marks cannot be written: " + string(textBreaks) + "."}, nil
	}
	title := counted(written, "pedal mark") + " written"
	if gone > 0 {
		title += fmt.Sprintf(", %d that the notes contradict taken out", gone)
	}
	if lost > 0 {
		title += fmt.Sprintf(", %d without a place (inside a macro)", lost)
	}
	return Acted{Title: title, Edits: edits, After: after.File.Text()}, nil
}

// marking is where in the text marks may stand, and what is put there.
type marking struct {
	text   []byte
	pedals *rules.Pedals
	below  []anchor // of the lower staff
	above  []anchor // of the upper
	marks  map[markPlace][]rules.WantedMark
	plain  bool // the file's characters are not UTF-8
}

// markPlace is a byte offset in the file and the sign for above or below.
type markPlace struct {
	at   int
	sign string
}

// anchor is a note or rest that can bear a mark.
type anchor struct {
	rules.Place
	at int // byte offset in the file, before it
}

func (s *scope) newMarking() *marking {
	m := &marking{text: s.File.Text(), pedals: s.part.Pedals, marks: map[markPlace][]rules.WantedMark{}}
	m.plain = !utf8.Valid(m.text)
	staves := [][]*score.Voice{s.part.Player.Upper, s.part.Player.Lower}
	if len(staves[1]) == 0 {
		staves[1] = staves[0]
	}
	m.above, m.below = anchors(staves[0]), anchors(staves[1])
	return m
}

// anchors are the notes and rests of a staff's first voice in order; of a rest of
// several bars the first bar.
func anchors(staff []*score.Voice) (out []anchor) {
	if len(staff) == 0 {
		return nil
	}
	seen := map[int]bool{}
	for b := range staff[0].Bars {
		bar := &staff[0].Bars[b]
		for e := range bar.Events {
			ev := &bar.Events[e]
			at := bar.Start + ev.Span.Start
			if ev.Layer > 0 || ev.Kind == score.Spacer || ev.Hidden && ev.Kind == score.Sound || seen[at] || ev.Span.End <= ev.Span.Start {
				continue
			}
			seen[at] = true
			out = append(out, anchor{rules.Place{Bar: b + 1, Onset: ev.Onset}, at})
		}
	}
	return out
}

// put finds the place for a mark: below the lower staff the last note or rest before
// the one that needs it, else that one; if there is none, above the upper staff.
func (m *marking) put(w rules.WantedMark) bool {
	for _, staff := range []struct {
		sign    string
		anchors []anchor
	}{{"_", m.below}, {"^", m.above}} {
		if a, ok := m.find(staff.anchors, w); ok {
			at := markPlace{a.at, staff.sign}
			m.marks[at] = joinMarks(m.marks[at], w)
			return true
		}
	}
	return false
}

// joinMarks adds a mark to those of a place: changes become one mark.
func joinMarks(marks []rules.WantedMark, w rules.WantedMark) []rules.WantedMark {
	if last := len(marks) - 1; last >= 0 && !w.Full && !marks[last].Full {
		joined := marks[last]
		for l, pos := range w.Setting {
			if pos != feet.Free {
				joined.Setting[l] = pos
			}
		}
		return append(marks[:last:last], joined)
	}
	return append(marks, w)
}

// find looks for the last place before a mark is needed, or the very place. A whole
// setting stands where the music that it is for begins, if it can.
func (m *marking) find(anchors []anchor, w rules.WantedMark) (anchor, bool) {
	end := sort.Search(len(anchors), func(i int) bool { return anchors[i].Compare(w.Until) >= 0 })
	exact := end < len(anchors) && anchors[end].Compare(w.Until) == 0
	before := end > 0 && anchors[end-1].Compare(w.From) >= 0
	switch {
	case exact && (w.Full || !before):
		return anchors[end], true
	case before:
		return anchors[end-1], true
	}
	return anchor{}, false
}

// edits are the insertions, in order.
func (m *marking) edits() (out []score.Edit) {
	for spot, marks := range m.marks {
		text := ""
		for _, w := range marks {
			for _, line := range w.MarkWords(m.plain) {
				text += `"` + spot.sign + line + `"`
			}
		}
		out = append(out, score.Edit{Span: score.Span{Start: spot.at, End: spot.at}, Text: text})
	}
	sort.Slice(out, func(i, j int) bool { return out[i].Span.Start < out[j].Span.Start })
	return out
}

// withoutWrong takes marks out that the notes contradict, with the quotes around them.
func (m *marking) withoutWrong() (out []score.Edit, gone int) {
	wrong := m.pedals.Wrong()
	for _, i := range wrong {
		span := m.pedals.Marks[i].Span
		if span.Start < 0 || span.End > len(m.text) || !strings.HasPrefix(string(m.text[span.Start:span.End]), `"`) || !bytes.HasSuffix(m.text[span.Start:span.End], []byte(`"`)) {
			continue
		}
		out = append(out, score.Edit{Span: span})
		gone++
	}
	return out, gone
}
