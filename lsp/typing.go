package lsp

import (
	"bytes"
	"strings"

	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

// typing is the place of the latest edit: the byte after what was typed.
type typing struct{ point int }

// typed says where an edit leaves the user: at the byte after it. A text that was
// replaced whole is not being typed.
func typed(partly bool, end int) *typing {
	if !partly {
		return nil
	}
	return &typing{point: end}
}

// shown are the findings that the user is to see now. While a bar is being
// typed nothing flashes: what its notation lacks may be the next key, so that
// such findings wait for the bar line, a save or the next edit elsewhere.
func shown(snap *snapshot, s *score.Score, all []rules.Finding) []rules.Finding {
	if snap.typing == nil {
		return all
	}
	place := placeOf(s, snap.text(), snap.typing.point)
	if place.tune == nil {
		return all
	}
	list := make([]rules.Finding, 0, len(all))
	for _, f := range all {
		if !strings.HasPrefix(f.Rule, "notation/") || !place.unfinished(f) {
			list = append(list, f)
		}
	}
	return list
}

// place is the bar in which something is being typed.
type place struct {
	tune  *score.Tune
	voice string
	bar   int        // number
	last  bool       // no bar follows it in its voice, and it has no bar line yet
	span  score.Span // in bytes of the file
}

// placeOf finds the bar that a point of a text stands in; its tune is nil where
// the point is in no music. Just after the last bar line of a voice the point is
// in a bar that need not be there yet, and that reaches to the end of the line.
func placeOf(s *score.Score, text []byte, point int) place {
	for _, t := range s.Tunes {
		if point < t.Span.Start || point > t.Span.End {
			continue
		}
		best, closed := place{}, false
		for _, v := range t.Voices {
			_, begun := v.BarsIn(score.Span{Start: point, End: point})
			if begun == 0 {
				continue
			}
			if b := v.Bar(begun); best.tune == nil || b.Start >= best.span.Start {
				closed = b.Closing != ""
				best = place{tune: t, voice: v.ID, bar: begun, span: b.FileSpan(), last: !closed && begun == v.Len()}
			}
		}
		if closed && point >= best.span.End {
			best.bar++
			best.last = true
			best.span = score.Span{Start: best.span.End, End: lineEnd(text, point)}
		}
		return best
	}
	return place{}
}

// lineEnd is where the line that holds a byte ends, its line end left out.
func lineEnd(text []byte, at int) int {
	if i := bytes.IndexAny(text[at:], "\r\n"); i >= 0 {
		return at + i
	}
	return len(text)
}

// unfinished says whether a finding on the notation may be due to what is not
// typed yet: in the bar itself, in a last bar that has no bar line yet, or
// between voices of which one is still at that bar.
func (p place) unfinished(f rules.Finding) bool {
	if f.Span.Start < p.tune.Span.Start || f.Span.Start >= p.tune.Span.End {
		return false
	}
	if f.Rule == score.RuleVoices && (f.Bar == p.bar || p.last && f.Bar == p.bar-1) {
		return true
	}
	if f.Bar == p.bar && f.Voice == p.voice || overlap(f.Span, p.span) {
		return true
	}
	for _, v := range p.tune.Voices {
		if n := v.Len(); v.ID == f.Voice && f.Bar == n && n > 0 {
			return v.Bar(n).Closing == ""
		}
	}
	return false
}

// overlap is true also where two spans only touch.
func overlap(a, b score.Span) bool { return a.Start <= b.End && b.Start <= a.End }
