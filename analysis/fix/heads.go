package fix

import (
	"strings"

	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// noteAt names a note by its place in a tune; the place survives a rewrite that
// changes pitches only.
type noteAt struct{ voice, bar, event, note int }

// pitch is a string and how its letter is altered.
type pitch struct{ str, alter int }

// rewrite gives new pitches to some notes of a tune by replacing the heads of
// the notes (accidental, letter, octave) in the text. Accidentals are written
// where the new order needs them, also before later notes of the bar, so that
// every other note sounds as before. False where that cannot be done.
func (s *site) rewrite(want map[noteAt]pitch, heads map[noteAt]string) ([]score.Edit, bool) {
	tune := s.Score.Tunes[s.tune]
	expect := pitches(tune)
	for at, p := range want {
		expect[at] = p
	}
	for range 6 {
		edits, ok := headEdits(tune, heads)
		if !ok {
			return nil, false
		}
		after := score.Build(syntax.Parse(applied(s.text, edits)))
		if len(after.Tunes) != len(s.Score.Tunes) {
			return nil, false
		}
		wrong := differing(expect, pitches(after.Tunes[s.tune]))
		if wrong == nil {
			return nil, false
		}
		if len(wrong) == 0 {
			return edits, true
		}
		for _, at := range wrong {
			head, ok := s.head(tune, at, expect[at])
			if !ok || heads[at] == head {
				return nil, false
			}
			heads[at] = head
		}
	}
	return nil, false
}

// pitches lists what every note of a tune asks for.
func pitches(t *score.Tune) map[noteAt]pitch {
	all := map[noteAt]pitch{}
	for v, voice := range t.Voices {
		for b, bar := range voice.Bars {
			for e, ev := range bar.Events {
				for n, note := range ev.Notes {
					all[noteAt{v, b, e, n}] = pitch{note.String, note.Alter}
				}
			}
		}
	}
	return all
}

// differing lists the notes that do not sound as expected; nil where the notes
// themselves are not the same any more.
func differing(expect, got map[noteAt]pitch) []noteAt {
	if len(expect) != len(got) {
		return nil
	}
	wrong := []noteAt{}
	for at, p := range expect {
		g, ok := got[at]
		if !ok || g.str != p.str {
			return nil
		}
		if g != p {
			wrong = append(wrong, at)
		}
	}
	return wrong
}

// headEdits replaces the heads in the text.
func headEdits(t *score.Tune, heads map[noteAt]string) ([]score.Edit, bool) {
	var edits []score.Edit
	for at, head := range heads {
		bar := &t.Voices[at.voice].Bars[at.bar]
		ev := &bar.Events[at.event]
		if ev.Expanded {
			return nil, false
		}
		edits = append(edits, score.Edit{Span: ev.Notes[at.note].Head.Shift(bar.Start), Text: head})
	}
	return edits, true
}

// head writes a pitch at a note's place with its accidental; the voice's octave
// shift is read off the note that stands there.
func (s *site) head(t *score.Tune, at noteAt, p pitch) (string, bool) {
	bar := &t.Voices[at.voice].Bars[at.bar]
	note := &bar.Events[at.event].Notes[at.note]
	span := note.Head.Shift(bar.Start)
	if span.Start < 0 || span.End > len(s.text) || p.alter < -2 || p.alter > 2 {
		return "", false
	}
	written, ok := writtenString(string(s.text[span.Start:span.End]))
	if !ok {
		return "", false
	}
	return accidentals[p.alter+2] + letter(p.str-(note.String-written)), true
}

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
