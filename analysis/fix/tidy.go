package fix

import (
	"sort"

	"fourfold/parser/score"
)

// tidied takes accidentals out of the bars that were respelled which the notes needed
// before and need no more. What was superfluous before stays: the writer means it.
func (s *scope) tidied(after Text, to map[spot]pitch) Text {
	type place struct {
		voice string
		bar   int
	}
	touched := map[place]bool{}
	for at := range to {
		touched[place{s.tune.Voices[at.voice].ID, at.bar + 1}] = true
	}
	for _, pr := range s.tune.Problems {
		if pr.Rule == score.RuleAccidental {
			delete(touched, place{pr.Voice, pr.Bar})
		}
	}
	// One that goes may make another superfluous in the bar after it.
	for range len(touched) + 1 {
		var edits []score.Edit
		for _, pr := range after.Score.Tunes[s.index].Problems {
			if pr.Rule == score.RuleAccidental && touched[place{pr.Voice, pr.Bar}] && len(pr.Fixes) > 0 {
				edits = append(edits, pr.Fixes[0].Edits...)
			}
		}
		if len(edits) == 0 {
			break
		}
		sort.Slice(edits, func(i, j int) bool { return edits[i].Span.Start < edits[j].Span.Start })
		tidy := (&scope{Text: after, index: s.index}).edited(edits)
		if wrong, why := s.sounding(tidy.Score.Tunes[s.index], to); why != "" || len(wrong) > 0 {
			break
		}
		after = tidy
	}
	return after
}
