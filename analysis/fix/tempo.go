package fix

import (
	"fmt"
	"math"
	"regexp"
	"strconv"

	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

// slowest is the share of the written tempo below which a slower one is no advice
// but another piece. Common practice, no source.
const slowest = 0.5

var lastNumber = regexp.MustCompile(`[0-9]+(\.[0-9]+)?\s*$`)

// slower writes the fastest tempo at which the passage holds into the Q: in force.
func slower(s *site) (out []candidate) {
	q, ok := s.tempoInForce()
	f := s.finding
	if !ok || f.Speed == nil || f.Speed.HoldsUpTo < slowest*f.Speed.Tempo || f.Speed.HoldsUpTo <= 0 || s.set.Tempo > 0 {
		return nil
	}
	value := string(s.text[q.Span.Start:q.Span.End])
	at := lastNumber.FindStringIndex(value)
	if at == nil {
		return nil
	}
	beats := math.Floor(f.Speed.HoldsUpTo*0.25/q.Beat.Float() + 1e-6)
	for _, share := range []float64{1, 0.97, 0.94, 0.9, 0.85, 0.8, 0.7} {
		n := math.Floor(beats * share)
		if n < 1 || n >= q.PerMinute || n*4*q.Beat.Float() < slowest*f.Speed.Tempo {
			continue
		}
		edit := score.Edit{Span: score.Span{Start: q.Span.Start + at[0], End: q.Span.Start + at[1]}, Text: strconv.Itoa(int(n))}
		title := fmt.Sprintf("Take it at %s = %d, where it holds (same notes)", rules.BeatSign(q.Beat), int(n))
		out = append(out, candidate{title: title, change: change{marks: []score.Edit{edit}}, promise: untouched, slower: true})
	}
	return out
}

// tempoInForce is the Q: that sets the tempo where the finding starts.
func (s *site) tempoInForce() (q score.Tempo, ok bool) {
	onset := score.Zero
	if s.hand != nil {
		onset = s.hand.Plucks[s.finding.From][0].Onset
	}
	for _, t := range s.tune.Tempi {
		if t.PerMinute > 0 && (t.Bar < s.finding.Bar || t.Bar == s.finding.Bar && !onset.Less(t.Onset)) {
			q, ok = t, true
		}
	}
	return q, ok
}
