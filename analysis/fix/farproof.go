package fix

import (
	"strings"

	"fourfold/analysis/rules"
	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// How many bars are read on each side of the bars that a finding and its fixes touch: a
// fingering does not depend on music that lies further off than around, and the feet
// rarely on what lies further off than farAround.
const (
	around    = 4
	farAround = 20
	mostWhole = 512 // bars of a tune that is read as a whole where nothing less will do
)

// reaches are the numbers of bars on each side that are tried one after another. What a
// mark should say may be decided anywhere.
func (q Question) reaches(t *score.Tune) []int {
	all := []int{around, farAround, 4 * farAround}
	if t.Bars() <= mostWhole {
		all[2] = mostWhole
	}
	switch {
	case isMark(q.Finding.Rule):
		return all[2:]
	case q.Near:
		return all[:1]
	}
	return all
}

func isMark(rule string) bool { return rule == rules.MarkWrong.Name || rule == rules.MarkMissing.Name }

// farScene is a longer excerpt than the site's, on which the feet are read again: they
// remember further than the hands.
type farScene struct {
	*scene
	cut     *excerpt
	was     []rules.Finding // of the feet
	finding rules.Finding
}

// proveFar proves a change as far as a pedal or a ringing string reaches. Changes of
// spelling and answers to the feet's findings are not left to the site alone. The
// refusal is "" where the proof holds.
func (s *site) proveFar(t tried, edits []score.Edit) refusal {
	if s.cut.all || !t.respells && s.ofHands() {
		return ""
	}
	if wholly := s.asksWhole(t); s.far == nil || wholly && !s.far.cut.all {
		if s.far = s.readFar(wholly); s.far == nil {
			return stillThere
		}
	}
	own, ok := s.far.cut.insideEdits(edits)
	if !ok {
		return textBreaks
	}
	file := editedFile(s.far.parsed, own)
	after := score.Update(s.far.score, s.far.parsed, file)
	if len(after.Tunes) != len(s.far.score.Tunes) {
		return textBreaks
	}
	f := s.far.finding
	is := rules.RunFeet(file.Text(), after.Tunes[s.far.index], s.far.set, s.matters)
	switch {
	case !s.ofHands() && !answered(f, s.far.was, is):
		return stillThere
	case !t.slower && worse(f, weight(f), s.far.was, is):
		return othersCome
	}
	return ""
}

// readFar reads the longer excerpt; nil where the music cannot be cut so.
func (s *site) readFar(wholly bool) *farScene {
	q := s.question
	t, _ := q.tune()
	for _, more := range []int{farAround, 4 * farAround, mostWhole} {
		switch {
		case more == mostWhole && t.Bars() > mostWhole, wholly && more != mostWhole && t.Bars() <= mostWhole:
			continue
		}
		x := q.excerpt(t, more)
		sc, ok := q.Memory.scene(q, t, x)
		if !ok {
			continue
		}
		far := &farScene{scene: sc, cut: x, was: sc.feetFindings(s.limit())}
		if span, ok := x.inside(q.Finding.Span); ok && s.ofHands() {
			far.finding = q.Finding
			far.finding.Span, far.finding.Bar, far.finding.EndBar = span, q.Finding.Bar-x.first, q.Finding.EndBar-x.first
			return far
		}
		for _, f := range far.was {
			if x.is(f, q.Finding) {
				far.finding = f
				return far
			}
		}
	}
	return nil
}

// ofHands says whether the finding is one of the hands, who remember no further than the
// site.
func (s *site) ofHands() bool { return strings.HasPrefix(s.finding.Rule, "hands/") }

// asksWhole says whether more has a say than the bars around: a repeat may lead anywhere,
// and a string without a disc is tuned once for the whole piece.
func (s *site) asksWhole(t tried) bool {
	if s.finding.Rule == undiscedName || isMark(s.finding.Rule) || s.repeats() {
		return true
	}
	for at, p := range t.pitch {
		if s.set.Instrument.Fixed(p.str) || s.set.Instrument.Fixed(s.note(at).String) {
			return true
		}
	}
	return false
}

// repeats says whether the tune is played through otherwise than it is written.
func (s *site) repeats() bool {
	t, _ := s.question.tune()
	for _, v := range t.Voices[:min(1, len(t.Voices))] {
		for b := range v.Bars() {
			if strings.Contains(v.Bars()[b].Closing, ":") || v.Bars()[b].Ending != "" {
				return true
			}
		}
	}
	return false
}

// editedFile reads a file again with some edits: only where they are.
func editedFile(f *syntax.File, edits []score.Edit) *syntax.File {
	sorted := inOrder(edits)
	for i := len(sorted) - 1; i >= 0; i-- {
		f = f.Edit(sorted[i].Span.Start, sorted[i].Span.End, []byte(sorted[i].Text))
	}
	return f
}
