package fix

import (
	"context"
	"strings"

	"fourfold/analysis/rules"
)

// findSpelling answers a passage that another spelling makes easier with that spelling:
// the action that spells a selection, on the bars of the finding.
func findSpelling(ctx context.Context, q Question) Answer {
	a := Answer{Tried: 1, Refused: map[string]int{}}
	t, ok := q.tune()
	if !ok {
		return a
	}
	set, _ := q.Settings.ForTune(t)
	for _, p := range rules.Players(t) {
		if !set.Instrument.Pedals || !p.Has(q.Finding.Voice) {
			continue
		}
		s := &scope{Text: q.text(), index: tuneIndex(q.Score, t), tune: t, player: p, set: set, first: q.Finding.Bar - 1, last: q.Finding.EndBar - 1}
		if s.read(ctx) != nil {
			return a
		}
		acted, err := s.spell(ctx)
		switch {
		case err != nil:
			return a
		case acted.Why != "" || s.staysCheaper(ctx, acted):
			a.Refused[string(stillThere)]++
		default:
			a.Fixes = []Fix{s.fixOf(q, acted)}
		}
	}
	a.Why = whyNot(q.Finding, a)
	return a
}

// staysCheaper says whether in the bars of the scope another spelling is still easier.
func (s *scope) staysCheaper(ctx context.Context, acted Acted) bool {
	part, err := s.partIn(ctx, s.edited(acted.Edits))
	if err != nil {
		return true
	}
	for _, r := range part.Pedals.Cheaper {
		if r.First <= s.last+1 && r.Last >= s.first+1 {
			return true
		}
	}
	return false
}

// fixOf is what an action came to as the fix of a finding.
func (s *scope) fixOf(q Question, acted Acted) Fix {
	after := s.edited(acted.Edits)
	shown := &site{scene: &scene{text: s.File.Text(), tune: s.tune}}
	_, saved, _ := strings.Cut(acted.Title, ": ")
	before, now := shown.preview(written{edits: acted.Edits, text: acted.After, tune: after.Score.Tunes[s.index]})
	return Fix{Title: "Respell the passage for the feet: " + saved, Family: "passage", Rule: q.Finding.Rule, Edits: acted.Edits, Moved: len(acted.Edits), Before: before, After: now}
}
