package fix

import (
	"bytes"
	"cmp"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"

	"fourfold/analysis/rules"
	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// slowest is the share of the written tempo below which a slower one is no advice
// but another piece. Common practice, no source.
const slowest = 0.5

// slower writes the fastest tempo at which the passage holds into the Q: in force;
// where the score gives no tempo as a number, as one.
func slower(s *site) []candidate {
	if s.finding.Speed == nil {
		return nil
	}
	return s.slowerThan(s.finding.Speed.HoldsUpTo)
}

// slowerThan writes tempi, in quarters a minute, from one down.
func (s *site) slowerThan(goal float64) (out []candidate) {
	f := s.finding
	if f.Speed == nil || goal <= 0 || s.set.Tempo > 0 {
		return nil
	}
	beat, write, ok := s.tempoPlace()
	if !ok {
		return nil
	}
	where := "where it holds"
	if f.Rule == tightName {
		goal, where = goal*s.set.Hand.Tight, "where it is no longer tight"
	}
	quarters := 4 * beat.Float()
	for i, tempo := range s.slowerTempi(goal) {
		n := math.Floor(tempo/quarters + 1e-6)
		if n < 1 || n*quarters >= f.Speed.Tempo || n*quarters < slowest*f.Speed.Tempo {
			continue
		}
		if i > 0 {
			where = "where it and the notes around it hold"
		}
		title := fmt.Sprintf("Take it at %s = %d, %s (same notes)", rules.BeatSign(beat), int(n), where)
		out = append(out, candidate{title: title, change: change{marks: []score.Edit{write(int(n))}}, promise: untouched, slower: true})
	}
	return out
}

// slowerTempi are tempi to try, the fastest first: the one at which the finding
// goes, those at which others of the hand go in its bars and beside them, and, since
// one may come where another goes, some below.
func (s *site) slowerTempi(goal float64) []float64 {
	tempi := []float64{goal}
	for _, share := range []float64{0.97, 0.94, 0.9, 0.85, 0.8, 0.7} {
		tempi = append(tempi, goal*share)
	}
	for _, g := range s.was {
		if g.Speed != nil && g.Hand == s.finding.Hand && near(s.finding, g) && g.Speed.HoldsUpTo < goal {
			tempi = append(tempi, g.Speed.HoldsUpTo)
		}
	}
	slices.SortFunc(tempi, func(a, b float64) int { return cmp.Compare(b, a) })
	return slices.Compact(tempi)
}

// tempoPlace gives the note that is counted, and the edit that writes a number of
// them a minute: over the number in force at the finding, behind the words of a Q:
// that has none, or in a Q: of its own before K:.
func (s *site) tempoPlace() (beat score.Frac, write func(int) score.Edit, ok bool) {
	edit := func(at score.Span, before, after string) func(int) score.Edit {
		return func(n int) score.Edit { return score.Edit{Span: at, Text: before + strconv.Itoa(n) + after} }
	}
	if q, ok := s.tempoInForce(); ok {
		at, ok := numberOf(s.text[q.Span.Start:q.Span.End])
		return q.Beat, edit(at.Shift(q.Span.Start), "", ""), ok
	}
	beat = s.part.Timeline.BeatAt(1, score.Zero)
	counted := beat.String() + "="
	if len(s.tune.Tempi) > 0 {
		end := s.tune.Tempi[0].Span.End
		return beat, edit(score.Span{Start: end, End: end}, " "+counted, ""), s.tune.Tempi[0].Bar == 1
	}
	for i := s.parsed.LineAt(s.tune.Span.Start); i < s.parsed.Lines(); i++ {
		if l := s.parsed.Line(i); l.Kind == syntax.FieldLine && l.Field == 'K' {
			at := s.parsed.Start(i)
			return beat, edit(score.Span{Start: at, End: at}, "Q:"+counted, lineEnd(s.parsed.LineText(i))), true
		}
	}
	return beat, nil, false
}

var tempoNumber = regexp.MustCompile(`[0-9]+(\.[0-9]+)?\s*$`)

// numberOf finds the number of a tempo, whatever words stand before or behind it.
func numberOf(value []byte) (score.Span, bool) {
	plain := bytes.Clone(value)
	quoted := false
	for i, c := range plain {
		if c == '"' {
			quoted = !quoted
		}
		if quoted || c == '"' {
			plain[i] = ' '
		}
	}
	at := tempoNumber.FindIndex(plain)
	if at == nil {
		return score.Span{}, false
	}
	return score.Span{Start: at[0], End: at[0] + len(bytes.TrimRight(plain[at[0]:at[1]], " \t"))}, true
}

// lineEnd is how a line ends.
func lineEnd(line []byte) string {
	if bytes.HasSuffix(line, []byte("\r\n")) {
		return "\r\n"
	}
	if bytes.HasSuffix(line, []byte("\r")) {
		return "\r"
	}
	return "\n"
}

// tempoInForce is the Q: with a number that sets the tempo where the finding starts.
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
