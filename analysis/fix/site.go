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
	cut     *excerpt
	file    *syntax.File // the whole text
	text    []byte       // the excerpt
	parsed  *syntax.File // the excerpt read
	score   *score.Score
	tune    *score.Tune
	index   int // of the tune in the score
	set     rules.Settings
	finding rules.Finding
	was     []rules.Finding
	part    *rules.Part
	hand    *rules.Hand // nil where the finding is no hand's
	other   *rules.Hand // nil where there is one staff only
	spots   map[*score.Note]noteAt
	// overloads is at how many places the hand is overloaded around the finding; -1
	// until it is asked for.
	overloads int
	question  Question
	home      *score.Tune // of the whole file
	homeSet   rules.Settings
	memo      Memo // where the question brings none
}

// newSite finds the finding's place; false for a finding that no part has, as
// those of the notation. The excerpt is taken where it gives the same finding,
// else the whole file.
func newSite(q Question) (*site, bool) {
	t, ok := q.tune()
	if !ok {
		return nil, false
	}
	lo := max(0, q.Finding.Bar-1-around)
	x := cut(q.File, t, lo, q.Finding.EndBar-1+around)
	if s, ok := readSite(q, t, x); ok {
		return s, true
	}
	return readSite(q, t, whole(q.File.Text()))
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
	return Text{File: q.File, Score: q.Score, Settings: q.Settings, Memo: q.Memo}
}

// readSite reads an excerpt and looks for the finding in it.
func readSite(q Question, t *score.Tune, x *excerpt) (*site, bool) {
	own, _ := q.Settings.ForTune(t)
	s := &site{cut: x, file: q.File, text: x.text, set: own.Remembering(rules.NewMemory()), overloads: -1, question: q, home: t, homeSet: own}
	s.parsed = syntax.Parse(x.text)
	s.score = score.Build(s.parsed)
	if s.index = tuneIndex(q.Score, t); len(s.score.Tunes) == 1 {
		s.index = 0
	}
	if s.index >= len(s.score.Tunes) {
		return nil, false
	}
	s.tune = s.score.Tunes[s.index]
	if !x.faithful(t, s.tune) {
		return nil, false
	}
	var parts []*rules.Part
	parts, s.was = rules.RunSome(s.text, s.tune, s.set, s.matters)
	for _, f := range s.was {
		if home, ok := x.home(f.Span); ok && f.Rule == q.Finding.Rule && f.Hand == q.Finding.Hand && home == q.Finding.Span {
			s.finding = f
			return s, s.meet(parts)
		}
	}
	return nil, false
}

// meet finds the finding's part and hands.
func (s *site) meet(parts []*rules.Part) bool {
	s.spots = map[*score.Note]noteAt{}
	for v, voice := range s.tune.Voices {
		for b := range voice.Bars {
			for e := range voice.Bars[b].Events() {
				ev := &voice.Bars[b].Events()[e]
				for n := range ev.Notes {
					s.spots[&ev.Notes[n]] = noteAt{v, b, e, n}
				}
			}
		}
	}
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

func (s *site) bar(at noteAt) *score.Bar { return &s.tune.Voices[at.voice].Bars[at.bar] }

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
