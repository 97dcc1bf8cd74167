package fix

import (
	"slices"
	"sort"

	"fourfold/analysis/hands"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// site is where a finding stands: an excerpt around it, read by itself, and in it
// the finding, its part and its hands. All places are those of the excerpt.
type site struct {
	*scene
	cut     *excerpt
	near    bool         // nothing but the bars closest around
	file    *syntax.File // the whole text
	finding rules.Finding
	was     []rules.Finding // those that count in the proof
	part    *rules.Part
	hand    *rules.Hand // nil where the finding is no hand's
	other   *rules.Hand // nil where there is one staff only
	// overloads is at how many places the hand is overloaded around the finding; -1
	// until it is asked for.
	overloads int
	question  Question
	far       *farScene // nil until it is asked for
}

// newSite finds the finding's place; false for a finding that no part has, as
// those of the notation. The shortest excerpt is taken that gives the same finding.
func newSite(q Question, closest *excerpt) (*site, bool) {
	t, ok := q.tune()
	if !ok {
		return nil, false
	}
	for _, more := range q.reaches(t) {
		x := closest
		if more != around {
			x = q.excerpt(t, more)
		}
		if s, ok := q.siteIn(t, x); ok {
			s.near = more == around
			return s, true
		}
	}
	if t.Bars() > mostWhole || q.Near {
		return nil, false
	}
	return q.siteIn(t, whole(q.File.Text()))
}

// tune is the one that the finding stands in; false where no harp plays there.
func (q Question) tune() (*score.Tune, bool) {
	f := q.Finding
	for _, t := range q.Score.Tunes {
		if t.Number == f.Tune && t.Span.Holds(f.Span) {
			return t, slices.ContainsFunc(rules.Players(t), func(p rules.Player) bool { return p.Has(f.Voice) })
		}
	}
	return nil, false
}

// text is what the question is about.
func (q Question) text() Text {
	return Text{File: q.File, Score: q.Score, Settings: q.Settings, Memory: q.Memory}
}

// excerpt cuts the finding out, with bars on each side.
func (q Question) excerpt(t *score.Tune, more int) *excerpt {
	return q.Memory.cut(q.File, t, max(0, q.Finding.Bar-1-more), min(q.Finding.EndBar-1+more, t.Bars()-1))
}

// siteIn looks for the finding in an excerpt.
func (q Question) siteIn(t *score.Tune, x *excerpt) (*site, bool) {
	sc, ok := q.Memory.scene(q, t, x)
	if !ok {
		return nil, false
	}
	s := &site{scene: sc, cut: x, file: q.File, overloads: -1, question: q}
	parts, found := sc.findings()
	for _, f := range found {
		if s.matters(f.Rule) {
			s.was = append(s.was, f)
		}
	}
	for _, f := range s.was {
		if x.is(f, q.Finding) {
			s.finding = f
			return s, s.meet(parts)
		}
	}
	return nil, false
}

// meet finds the finding's part and hands.
func (s *site) meet(parts []*rules.Part) bool {
	for _, p := range parts {
		if !p.Player.Has(s.finding.Voice) {
			continue
		}
		s.part = p
		for _, h := range p.Hands() {
			if s.finding.Hand == h.Name {
				s.hand = h
			}
		}
		for _, h := range p.Hands() {
			if s.hand != nil && h != s.hand {
				s.other = h
			}
		}
		return s.finding.Hand == "" || s.hand != nil && s.finding.To < len(s.hand.Strokes)
	}
	return false
}

func tuneIndex(s *score.Score, t *score.Tune) int {
	for i := range s.Tunes {
		if s.Tunes[i] == t {
			return i
		}
	}
	return 0
}

// event is what stands at a place.
func (s *site) event(at noteAt) *score.Event {
	return &s.bar(at).Events()[at.event]
}

func (s *site) bar(at noteAt) *score.Bar { return &s.tune.Voices[at.voice].Bars()[at.bar] }

func (s *site) note(at noteAt) *score.Note { return &s.event(at).Notes[at.note] }

// place finds a pluck's note; false for one that has no place of its own in the
// text: a grace note, or one that a macro made.
func (s *site) place(pl hands.Pluck) (noteAt, bool) {
	at, ok := s.spots[pl.Note]
	return at, ok && !pl.Event.Expanded
}

// plucks are the notes of the finding's strokes, stroke by stroke.
func (s *site) plucks() [][]hands.Pluck {
	if s.hand == nil {
		return nil
	}
	return s.hand.Plucks[s.finding.From : s.finding.To+1]
}

// isSung says whether words stand under the line that holds an offset of the
// excerpt: then the number of its notes must stay.
func (s *site) isSung(offset int) bool {
	home, ok := s.cut.home(score.Span{Start: offset, End: offset})
	if !ok {
		return true
	}
	for i := s.file.LineAt(home.Start) + 1; i < s.file.Lines(); i++ {
		switch l := s.file.Line(i); l.Kind {
		case syntax.CommentLine, syntax.PlusLine:
		case syntax.FieldLine:
			if l.Field == 'w' || l.Field == 's' {
				return true
			}
			return false
		default:
			return false
		}
	}
	return false
}

// inOrder are edits in the order of the text.
func inOrder(edits []score.Edit) []score.Edit {
	sorted := append([]score.Edit{}, edits...)
	sort.SliceStable(sorted, func(i, j int) bool { return sorted[i].Span.Start < sorted[j].Span.Start })
	return sorted
}
