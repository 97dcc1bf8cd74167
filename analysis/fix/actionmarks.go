package fix

import (
	"bytes"
	"context"
	"fmt"
	"slices"
	"sort"
	"unicode/utf8"

	"fourfold/analysis/feet"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

func marksTitle(s *scope) string {
	if asks, _ := s.feet(); !asks {
		return ""
	}
	return "Write the pedal plan into the score"
}

// writeMarks writes the marks of the plan that the score lacks, and takes out those that
// the notes contradict. Marks stand below the lower staff; where that has no note or
// rest at a place that will do, above the upper.
func writeMarks(_ context.Context, s *scope) (Acted, error) {
	m := s.newMarking()
	if m.all(); len(m.marks) == 0 && len(m.gone) == 0 {
		return Acted{Why: "The score bears all marks of the plan."}, nil
	}
	edits := m.edits()
	after := s.edited(edits)
	if len(after.Score.Tunes) != len(s.Score.Tunes) || !untouched(s.tune, after.Score.Tunes[s.index]) {
		return Acted{Why: "The marks cannot be written: " + string(textBreaks) + "."}, nil
	}
	title := counted(m.written, "pedal mark") + " written"
	if len(m.gone) > 0 {
		title += fmt.Sprintf(", %d that the notes contradict taken out", len(m.gone))
	}
	if m.lost > 0 {
		title += fmt.Sprintf(", %d without a place (inside a macro)", m.lost)
	}
	return Acted{Title: title, Edits: edits, After: after.File.Text()}, nil
}

// remarked brings the pedal marks of a score up to date after its notes were respelled:
// where the notes now contradict some, these go, with the changes that the plan no
// longer makes, and those of the new plan are written.
func (s *scope) remarked(ctx context.Context, after Text) (Text, error) {
	part, err := s.partIn(ctx, after)
	if err != nil || len(part.Pedals.Wrong()) == 0 {
		return after, err
	}
	is := &scope{Text: after, index: s.index, tune: after.Score.Tunes[s.index], player: part.Player, set: part.Settings, part: part}
	m := is.newMarking()
	m.takeOut(part.Idle())
	m.all()
	return is.edited(m.edits()), nil
}

// marking is where in the text marks may stand, and what is put there.
type marking struct {
	text  []byte
	part  *rules.Part
	below []anchor // of the lower staff
	above []anchor // of the upper
	marks map[markPlace][]rules.WantedMark
	gone  []score.Edit // that take marks out
	plain bool         // the file's characters are not UTF-8

	written, lost int // marks put, and those without a place
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
	m := &marking{text: s.File.Text(), part: s.part, marks: map[markPlace][]rules.WantedMark{}}
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
	for b := range staff[0].Bars() {
		bar := &staff[0].Bars()[b]
		for e := range bar.Events() {
			ev := &bar.Events()[e]
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

// all puts what the score lacks.
func (m *marking) all() {
	m.takeOut(m.part.Pedals.Wrong())
	for _, w := range m.part.WantedMarks() {
		switch {
		case m.part.Pedals.Marked(w):
		case m.put(w):
			m.written++
		default:
			m.lost++
		}
	}
}

// put finds the place for a mark: below the lower staff the last note or rest before
// the one that needs it, else that one; if there is none, or the letter changes there
// already, above the upper.
func (m *marking) put(w rules.WantedMark) bool {
	var last *markPlace
	for _, staff := range []struct {
		sign    string
		anchors []anchor
	}{{"_", m.below}, {"^", m.above}} {
		a, ok := m.find(staff.anchors, w)
		if !ok {
			continue
		}
		at := markPlace{a.at, staff.sign}
		if last = &at; changesAgain(m.marks[at], w) {
			continue
		}
		m.marks[at] = joinMarks(m.marks[at], w)
		return true
	}
	if last != nil {
		m.marks[*last] = append(m.marks[*last], w)
	}
	return last != nil
}

// changesAgain says whether a place changes a letter of a mark already.
func changesAgain(marks []rules.WantedMark, w rules.WantedMark) bool {
	for _, mark := range marks {
		for l, pos := range w.Setting {
			if !mark.Full && !w.Full && pos != feet.Free && mark.Setting[l] != feet.Free {
				return true
			}
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

// edits are what changes in the text, in order.
func (m *marking) edits() []score.Edit {
	out := m.gone
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

// takeOut takes marks out, by their places, with the quotes around them.
func (m *marking) takeOut(marks []int) {
	for _, i := range marks {
		span := m.part.Pedals.Marks[i].Span
		if span.Start < 0 || span.End > len(m.text) || slices.Contains(m.gone, score.Edit{Span: span}) {
			continue
		}
		if quoted := m.text[span.Start:span.End]; bytes.HasPrefix(quoted, []byte(`"`)) && bytes.HasSuffix(quoted, []byte(`"`)) {
			m.gone = append(m.gone, score.Edit{Span: span})
		}
	}
}
