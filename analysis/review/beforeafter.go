package review

import (
	"bytes"
	"slices"
	"sort"

	"fourfold/parser/score"
)

// Stretch is a piece of the score that a change touches. Where says whose bars it
// has; it is empty where the change has one piece only.
type Stretch struct {
	Where string
	Parts []TextPart
}

// TextPart is a piece of ABC, changed or not.
type TextPart struct {
	Text    string
	Changed bool
}

// changes gives the bars that the edits touch, before and after them. What stands
// between them, as when a change is in both staves, is left out.
func changes(text []byte, voices []*score.Voice, edits []score.Edit) (before, after []Stretch) {
	sorted := append([]score.Edit{}, edits...)
	sort.SliceStable(sorted, func(i, j int) bool { return sorted[i].Span.Start < sorted[j].Span.Start })
	list := touched(text, voices, sorted)
	for _, t := range list {
		b, a := t.parts(text, sorted)
		where := ""
		if len(list) > 1 {
			where = t.where()
		}
		before, after = append(before, Stretch{where, b}), append(after, Stretch{where, a})
	}
	return before, after
}

// touchedBars are bars of a voice that follow each other in the text, or, without a
// voice, a line outside them.
type touchedBars struct {
	span     score.Span
	voice    string
	from, to int
}

func (t touchedBars) where() string {
	if t.voice == "" {
		return ""
	}
	return visible(t.voice) + ", " + barsWords(t.from, t.to)
}

// touched gives what the edits touch in the order of the text, without overlaps.
func touched(text []byte, voices []*score.Voice, edits []score.Edit) []touchedBars {
	var list []touchedBars
	inBars := make([]bool, len(edits))
	for _, v := range voices {
		for b := range v.Bars() {
			if place := v.Bars()[b].FileSpan(); !slices.ContainsFunc(edits, func(e score.Edit) bool { return touches(e, place) }) {
				continue
			}
			for _, s := range barPieces(text, v, b+1) {
				whole, hit := s, false
				for i, e := range edits {
					if touches(e, s) {
						whole = score.Span{Start: min(whole.Start, e.Span.Start), End: max(whole.End, e.Span.End)}
						hit, inBars[i] = true, true
					}
				}
				if hit {
					list = append(list, touchedBars{whole, v.ID, b + 1, b + 1})
				}
			}
		}
	}
	for i, e := range edits {
		if !inBars[i] {
			list = append(list, touchedBars{span: score.Span{Start: lineStart(text, e.Span.Start), End: lineEnd(text, e.Span.End)}})
		}
	}
	sort.SliceStable(list, func(i, j int) bool { return list[i].span.Start < list[j].span.Start })
	return joined(text, list)
}

// touches says whether an edit changes something in a span or puts something into it.
func touches(e score.Edit, s score.Span) bool {
	return e.Span.Start < s.End && s.Start < max(e.Span.End, e.Span.Start+1)
}

// joined makes one of pieces that overlap, and of bars of a voice with nothing but
// blanks between.
func joined(text []byte, list []touchedBars) (out []touchedBars) {
	for _, t := range list {
		if n := len(out) - 1; n >= 0 {
			l := &out[n]
			if t.span.Start < l.span.End || t.voice == l.voice && t.from == l.to+1 && len(bytes.TrimSpace(text[l.span.End:t.span.Start])) == 0 {
				l.span.End, l.to = max(l.span.End, t.span.End), max(l.to, t.to)
				continue
			}
		}
		out = append(out, t)
	}
	return out
}

// parts gives the text of the piece before and after the edits in it.
func (t touchedBars) parts(text []byte, edits []score.Edit) (before, after []TextPart) {
	at := t.span.Start
	keep := func(end int) {
		if at < end {
			part := TextPart{Text: visible(string(text[at:end]))}
			before, after = append(before, part), append(after, part)
		}
	}
	for _, e := range edits {
		if e.Span.Start < t.span.Start || e.Span.End > t.span.End {
			continue
		}
		keep(e.Span.Start)
		if e.Span.End > e.Span.Start {
			before = append(before, TextPart{visible(string(text[e.Span.Start:e.Span.End])), true})
		}
		if e.Text != "" {
			after = append(after, TextPart{visible(e.Text), true})
		}
		at = e.Span.End
	}
	keep(t.span.End)
	return before, after
}
