package fix

import (
	"bytes"
	"slices"
	"strings"

	"fourfold/parser/score"
)

// preview gives the bars that a rewrite changes, before and after, as ABC: a line
// for each voice, with its name where there are several; or the field that changes.
func (s *site) preview(w written) (before, after string) {
	touched := func(bar *score.Bar) bool {
		return anyTouches(w.edits, barSpan(bar)) &&
			slices.ContainsFunc(bar.Pieces(s.text), func(span score.Span) bool { return anyTouches(w.edits, span) })
	}
	lo, hi := s.tune.Voices[0].Len(), -1
	changed := map[int]bool{}
	for v, voice := range s.tune.Voices {
		for b := range voice.Bars() {
			if touched(&voice.Bars()[b]) {
				lo, hi, changed[v] = min(lo, b), max(hi, b), true
			}
		}
	}
	if len(changed) == 0 && len(w.edits) > 0 {
		e := w.edits[0]
		return lineAt(s.text, e.Span.Start), linesAt(w.text, e.Span.Start, e.Span.Start+len(e.Text))
	}
	for v := range s.tune.Voices {
		if !changed[v] {
			continue
		}
		name := ""
		if len(changed) > 1 {
			name = "[V:" + s.tune.Voices[v].ID + "] "
		}
		before += name + barsText(s.text, s.tune.Voices[v], lo, hi) + "\n"
		after += name + barsText(w.text, w.tune.Voices[v], lo, hi) + "\n"
	}
	return strings.TrimSuffix(before, "\n"), strings.TrimSuffix(after, "\n")
}

func anyTouches(edits []score.Edit, span score.Span) bool {
	return slices.ContainsFunc(edits, func(e score.Edit) bool {
		return e.Span.Start < span.End && (e.Span.End > span.Start || e.Span.Start == span.Start)
	})
}

// barsText is what stands in some bars of a voice.
func barsText(text []byte, v *score.Voice, lo, hi int) string {
	var out []string
	for b := lo; b <= hi && b < v.Len(); b++ {
		for _, span := range v.Bars()[b].Pieces(text) {
			out = append(out, strings.Fields(string(text[span.Start:span.End]))...)
		}
	}
	return strings.Join(out, " ")
}

// linesAt are the lines of a text from one that holds an offset to one that holds
// another.
func linesAt(text []byte, from, to int) string {
	start := bytes.LastIndexByte(text[:from], '\n') + 1
	rest, _, _ := bytes.Cut(text[to:], []byte("\n"))
	return strings.ReplaceAll(string(bytes.TrimSpace(text[start:to+len(rest)])), "\r\n", "\n")
}

// lineAt is the line of a text that holds an offset.
func lineAt(text []byte, at int) string {
	start := bytes.LastIndexByte(text[:at], '\n') + 1
	line, _, _ := bytes.Cut(text[start:], []byte("\n"))
	return string(bytes.TrimSpace(line))
}
