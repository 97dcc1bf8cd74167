package lsp

import (
	"strings"

	"fourfold/analysis"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

// typing is the place of the latest edit: the byte after what was typed.
type typing struct{ point int }

// typed says where an edit leaves the user. A text that was replaced whole is
// not being typed.
func typed(partly bool, e edit) *typing {
	if !partly {
		return nil
	}
	return &typing{point: e.span.Start + len(e.insert)}
}

// shown are the findings that the user is to see now. While a bar is being
// typed nothing flashes: what its notation lacks may be the next key, so that
// such findings wait for the bar line, a save or the next edit elsewhere.
func shown(snap *snapshot, reading *analysis.Reading) []rules.Finding {
	all := reading.Findings()
	if snap.typing == nil {
		return all
	}
	place := placeOf(reading.Score(), snap.typing.point)
	if place.tune == nil {
		return all
	}
	lineEnd := snap.typing.point + strings.IndexAny(snap.text()[snap.typing.point:]+"\n", "\r\n")
	place.rest = score.Span{Start: snap.typing.point, End: lineEnd}
	var list []rules.Finding
	for _, f := range all {
		if !strings.HasPrefix(f.Rule, "notation/") || !place.unfinished(f) {
			list = append(list, f)
		}
	}
	return list
}

// place is where in the music something is being typed.
type place struct {
	tune  *score.Tune
	voice string
	bar   int        // number
	span  score.Span // of the bar, in bytes of the file
	rest  score.Span // from the point of typing to the end of its line
}

// placeOf finds the bar that a point stands in; its tune is nil where the point
// is in no music. Just after a bar line the point is in the next bar, which
// need not be there yet.
func placeOf(s *score.Score, point int) place {
	for _, t := range s.Tunes {
		if point < t.Span.Start || point > t.Span.End {
			continue
		}
		best := place{}
		for _, v := range t.Voices {
			for i := range v.Bars {
				b := &v.Bars[i]
				if b.Start <= point && (best.tune == nil || b.Start >= best.span.Start) {
					best = place{tune: t, voice: v.ID, bar: i + 1, span: barSpan(b)}
					if b.Close.Text != "" && point >= best.span.End {
						best.bar++
						best.span = score.Span{Start: point, End: point}
					}
				}
			}
		}
		return best
	}
	return place{}
}

// barSpan is a bar's place in the file, with its bar line.
func barSpan(b *score.Bar) score.Span {
	end := b.Close.Span.End
	for _, e := range b.Events {
		end = max(end, e.Span.End)
	}
	return score.Span{Start: b.Start, End: b.Start + end}
}

// unfinished says whether a finding on the notation may be due to what is not
// typed yet: in the bar itself, after the point on its line, or in a last bar
// that has no bar line yet.
func (p place) unfinished(f rules.Finding) bool {
	if f.Span.Start < p.tune.Span.Start || f.Span.Start >= p.tune.Span.End {
		return false
	}
	switch {
	case f.Bar == p.bar && f.Voice == p.voice:
		return true
	case overlap(f.Span, p.span), overlap(f.Span, p.rest):
		return true
	}
	for _, v := range p.tune.Voices {
		if n := len(v.Bars); v.ID == f.Voice && f.Bar == n && n > 0 {
			return v.Bars[n-1].Close.Text == ""
		}
	}
	return false
}

// overlap is true also where two spans only touch.
func overlap(a, b score.Span) bool { return a.Start <= b.End && b.Start <= a.End }
