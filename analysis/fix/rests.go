package fix

import (
	"strings"

	"fourfold/parser/score"
)

// restsFor writes the silence of a stretch of a bar as an engraver does: no rest
// hides a beat, and in bars of two or four beats two of them may share one. from and
// to count from the bar, in whole notes; unit is the length that a sign without a
// number has.
func restsFor(sign byte, from, to, unit score.Frac, m score.Meter) string {
	var out strings.Builder
	for at := from; at.Less(to); {
		end := restEnd(at, to, m)
		if out.Len() > 0 && starts(at, m.Beat) {
			out.WriteByte(' ')
		}
		out.WriteString(string(sign) + lengthOf(end.Sub(at).Div(unit)))
		at = end
	}
	return out.String()
}

// restEnd is where a rest that begins at a place ends at the latest.
func restEnd(at, to score.Frac, m score.Meter) score.Frac {
	beat := m.Beat
	if beat.Sign() <= 0 {
		return to
	}
	two := beat.Add(beat)
	if !m.Compound && starts(m.Length, two) && starts(at, two) && !to.Less(at.Add(two)) {
		return at.Add(two)
	}
	if starts(at, beat) && !to.Less(at.Add(beat)) {
		return at.Add(beat)
	}
	// Inside a beat: the largest part of it that begins here.
	part := beat
	if m.Compound {
		part = beat.Div(score.F(3, 1))
	} else {
		part = beat.Div(score.F(2, 1))
	}
	for range 6 {
		if starts(at, part) && !to.Less(at.Add(part)) {
			return at.Add(part)
		}
		part = part.Div(score.F(2, 1))
	}
	return to
}

// starts says whether a place is a multiple of a length.
func starts(at, length score.Frac) bool {
	q := at.Div(length)
	return q.Valid() && q.Den == 1
}

// unitOf is the length of a sign without a number, read off an event; not valid where
// a tuplet, a broken rhythm or a strange length hides it.
func (w *writer) unitOf(bar *score.Bar, ev *score.Event) score.Frac {
	if ev.Tuplet > 0 || ev.Broken || ev.Expanded {
		return score.Frac{}
	}
	length := multiple(w.lengthText(bar, ev))
	if !length.Valid() {
		return score.Frac{}
	}
	return ev.Duration.Div(length)
}

// joinRests lets neighbouring notes that leave nothing behind leave one rest, where
// nothing but blanks stands between them.
func (w *writer) joinRests(edits []score.Edit) []score.Edit {
	var out []score.Edit
	covered := map[int]bool{} // starts of edits that a row replaces
	for v := range w.tune.Voices {
		for b := range w.tune.Voices[v].Bars() {
			for _, row := range w.emptied(v, b) {
				edit, ok := w.rowOfRests(v, b, row)
				if !ok {
					continue
				}
				for _, e := range row {
					covered[w.eventCore(v, b, e).Start] = true
				}
				out = append(out, edit)
			}
		}
	}
	for _, e := range edits {
		if !covered[e.Span.Start] || e.Text != "z" {
			out = append(out, e)
		}
	}
	return out
}

// emptied lists the rows of two or more neighbouring events of a bar that lose all
// their notes.
func (w *writer) emptied(v, b int) (rows [][]int) {
	bar := &w.tune.Voices[v].Bars()[b]
	var row []int
	flush := func() {
		if len(row) > 1 {
			rows = append(rows, row)
		}
		row = nil
	}
	for e := range bar.Events() {
		change := w.events[noteAt{v, b, e, 0}]
		if change == nil || len(change.gone) < len(bar.Events()[e].Notes) || len(change.added) > 0 {
			flush()
			continue
		}
		if n := len(row); n > 0 && !w.blankBetween(bar, row[n-1], e) {
			flush()
		}
		row = append(row, e)
	}
	flush()
	return rows
}

func (w *writer) blankBetween(bar *score.Bar, a, b int) bool {
	between := w.typed(bar, score.Span{Start: bar.Events()[a].Span.End, End: bar.Events()[b].Span.Start})
	return strings.Trim(between, " ") == "" && bar.Events()[a].Layer == bar.Events()[b].Layer && len(bar.Events()[b].Marks) == 0
}

// rowOfRests writes a row of events as rests.
func (w *writer) rowOfRests(v, b int, row []int) (score.Edit, bool) {
	bar := &w.tune.Voices[v].Bars()[b]
	first, last := &bar.Events()[row[0]], &bar.Events()[row[len(row)-1]]
	unit := w.unitOf(bar, first)
	for _, e := range row {
		if u := w.unitOf(bar, &bar.Events()[e]); !u.Valid() || u != unit {
			return score.Edit{}, false
		}
	}
	span := score.Span{Start: w.eventCore(v, b, row[0]).Start, End: bar.Start + last.Span.End}
	return score.Edit{Span: span, Text: restsFor('z', first.Onset, last.Onset.Add(last.Duration), unit, bar.Meter)}, true
}

// eventCore is the place in the text of an event's pitches.
func (w *writer) eventCore(v, b, e int) score.Span {
	bar := &w.tune.Voices[v].Bars()[b]
	return core(w.site.text, bar, &bar.Events()[e]).Shift(bar.Start)
}
