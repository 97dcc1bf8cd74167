package fix

import (
	"sync"

	"fourfold/analysis/rules"
	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// Memo keeps what the questions about one reading share: the findings of its tunes
// as written, against which changes are proved on the whole. The zero value is ready;
// many may ask at once.
type Memo struct {
	mu  sync.Mutex
	was map[*score.Tune][]rules.Finding
}

// asWritten gives the findings of a tune without the help of the other hand.
func (m *Memo) asWritten(text []byte, t *score.Tune, set rules.Settings) []rules.Finding {
	m.mu.Lock()
	defer m.mu.Unlock()
	if was, ok := m.was[t]; ok {
		return was
	}
	_, was := rules.RunAsWritten(text, t, set)
	if m.was == nil {
		m.was = map[*score.Tune][]rules.Finding{}
	}
	m.was[t] = was
	return was
}

// proveWhole proves a change on the whole tune. Pedals and strings without discs
// remember further than an excerpt goes, so changes of spelling and answers to the
// feet's findings are not left to it. The refusal is "" where the proof holds.
func (s *site) proveWhole(t tried, edits []score.Edit) refusal {
	if len(s.cut.text) == len(s.file.Text()) || s.hand != nil && !t.respells {
		return ""
	}
	q := s.question
	file := editedFile(s.file, edits)
	after := score.Update(q.Score, s.file, file)
	if len(after.Tunes) != len(q.Score.Tunes) {
		return textBreaks
	}
	memo := q.Memo
	if memo == nil {
		memo = &s.memo
	}
	set := s.homeSet.Branching()
	was := memo.asWritten(s.file.Text(), s.home, set)
	_, is := rules.RunSome(file.Text(), after.Tunes[tuneIndex(q.Score, s.home)], set, s.matters)
	switch {
	case !answered(q.Finding, was, is):
		return stillThere
	case !t.slower && worse(q.Finding, weight(q.Finding), was, is):
		return othersCome
	}
	return ""
}

// editedFile reads a file again with some edits: only where they are.
func editedFile(f *syntax.File, edits []score.Edit) *syntax.File {
	sorted := inOrder(edits)
	for i := len(sorted) - 1; i >= 0; i-- {
		f = f.Edit(sorted[i].Span.Start, sorted[i].Span.End, []byte(sorted[i].Text))
	}
	return f
}
