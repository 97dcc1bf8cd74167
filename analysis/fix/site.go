package fix

import (
	"sort"

	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

// site is where a finding stands: its tune, part and hand.
type site struct {
	Question
	text []byte
	tune int // index in the score
	part *rules.Part
	hand *rules.Hand
}

// newSite finds the finding's place; false for a finding that no hand has.
func newSite(q Question) (*site, bool) {
	for _, p := range q.Parts {
		for _, h := range p.Hands() {
			if p.Tune.Number != q.Finding.Tune || h.Name != q.Finding.Hand || !p.Player.Has(q.Finding.Voice) {
				continue
			}
			if !p.Tune.Span.Holds(q.Finding.Span) || q.Finding.To >= len(h.Strokes) {
				continue
			}
			return &site{Question: q, text: q.File.Text(), tune: tuneIndex(q.Score, p.Tune), part: p, hand: h}, true
		}
	}
	return nil, false
}

func tuneIndex(s *score.Score, t *score.Tune) int {
	for i := range s.Tunes {
		if s.Tunes[i] == t {
			return i
		}
	}
	return 0
}

// applied gives the text after the edits; they must not overlap.
func applied(text []byte, edits []score.Edit) []byte {
	sorted := append([]score.Edit{}, edits...)
	sort.SliceStable(sorted, func(i, j int) bool { return sorted[i].Span.Start < sorted[j].Span.Start })
	out := make([]byte, 0, len(text)+64)
	at := 0
	for _, e := range sorted {
		out = append(out, text[at:e.Span.Start]...)
		out = append(out, e.Text...)
		at = e.Span.End
	}
	return append(out, text[at:]...)
}
