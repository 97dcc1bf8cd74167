package fix

import (
	"fourfold/analysis/rules"
	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// proveWhole proves a change on the whole tune. Pedals and strings without discs
// remember further than an excerpt goes, so changes of spelling and answers to the
// feet's findings are not left to it. The refusal is "" where the proof holds.
func (s *site) proveWhole(t tried, edits []score.Edit) refusal {
	if len(s.cut.text) == len(s.file.Text()) || s.hand != nil && !t.respells {
		return ""
	}
	q := s.question
	index := tuneIndex(q.Score, s.home)
	file := syntax.Parse(applied(s.file.Text(), edits))
	after := score.Update(q.Score, s.file, file)
	if len(after.Tunes) != len(q.Score.Tunes) {
		return textBreaks
	}
	if s.wholeWas == nil {
		s.wholeSet = s.homeSet.Branching()
		_, s.wholeWas = rules.RunSome(s.file.Text(), s.home, s.wholeSet, s.matters)
	}
	_, is := rules.RunSome(file.Text(), after.Tunes[index], s.wholeSet, s.matters)
	switch {
	case !answered(q.Finding, s.wholeWas, is):
		return stillThere
	case !t.slower && worse(q.Finding, s.wholeWas, is):
		return othersCome
	}
	return ""
}
