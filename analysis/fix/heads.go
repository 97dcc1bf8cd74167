package fix

import (
	"strings"

	"fourfold/parser/score"
)

var accidentals = [...]string{"__", "_", "=", "^", "^^"}

// letter writes a string number without accidental: 28 is "C", 35 "c".
func letter(str int) string {
	l := ((str % 7) + 7) % 7
	octave := (str - l) / 7
	if octave >= 5 {
		return string("cdefgab"[l]) + strings.Repeat("'", octave-5)
	}
	return string("CDEFGAB"[l]) + strings.Repeat(",", 4-octave)
}

// writtenString reads the string number off a head, without octave= or clef.
func writtenString(head string) (int, bool) {
	i := strings.IndexAny(head, "ABCDEFGabcdefg")
	if i < 0 {
		return 0, false
	}
	str := 28 + strings.IndexByte("CDEFGAB", head[i]&^0x20)
	if head[i] >= 'a' {
		str += 7
	}
	return str + 7*(strings.Count(head[i:], "'")-strings.Count(head[i:], ",")), true
}

// head writes a pitch in a voice, with its accidental where marked is set.
func (s *site) head(voice, bar int, p pitch, marked bool) (string, bool) {
	if p.alter < -2 || p.alter > 2 {
		return "", false
	}
	text := letter(p.str - s.shift(voice, bar))
	if marked {
		text = accidentals[p.alter+2] + text
	}
	return text, true
}

// shift is by how many strings a voice sounds above what is written, by octave=
// or its clef: read off the nearest note before.
func (s *site) shift(voice, bar int) int {
	bars := s.tune.Voices[voice].Bars()
	for _, b := range nearest(bar, len(bars)) {
		for e := range bars[b].Events() {
			ev := &bars[b].Events()[e]
			if len(ev.Notes) == 0 || ev.Expanded {
				continue
			}
			if str, ok := writtenString(s.typed(&bars[b], ev.Notes[0].Head)); ok {
				return ev.Notes[0].String - str
			}
		}
	}
	return 0
}

// nearest lists bars from one backwards, then those after it.
func nearest(bar, bars int) (out []int) {
	for b := min(bar, bars-1); b >= 0; b-- {
		out = append(out, b)
	}
	for b := bar + 1; b < bars; b++ {
		out = append(out, b)
	}
	return out
}

// typed is a piece of the text that a span of a bar covers.
func (s *site) typed(bar *score.Bar, span score.Span) string {
	at := span.Shift(bar.Start)
	if at.Start < 0 || at.End > len(s.text) || at.Start > at.End {
		return ""
	}
	return string(s.text[at.Start:at.End])
}

// name is a note as typed.
func (s *site) name(at noteAt) string { return s.typed(s.bar(at), s.note(at).Head) }
