package fix

import (
	"regexp"
	"strings"

	"fourfold/parser/score"
)

// chordName is a chord symbol: its root, what kind of chord it is, and a bass note.
// Other words in quotes are not taken for one.
var chordName = regexp.MustCompile(`^([A-G])(##|bb|[#b♯♭]?)((?:maj|min|mi|ma|dim|aug|sus|add|alt|omit|no|[mM°ø+Δ0-9()#b♯♭,-])*)(?:/([A-G])(##|bb|[#b♯♭]?))?$`)

// chordEdits moves the chord symbols over the bars that are moved.
func (s *scope) chordEdits() (edits []score.Edit) {
	text := s.File.Text()
	for v, voice := range s.tune.Voices {
		for b := range voice.Bars() {
			if !s.player.Has(voice.ID) || !s.moves(v, b) {
				continue
			}
			bar := &voice.Bars()[b]
			events := bar.Events()
			for e := range events {
				for _, m := range events[e].Marks {
					span := m.Span.Shift(bar.Start)
					if m.Kind != score.ChordSymbol || events[e].Expanded || span.Start < 0 || span.End > len(text) {
						continue
					}
					written := string(text[span.Start:span.End])
					if is, ok := flatterChord(strings.Trim(written, `"`)); ok {
						edits = append(edits, score.Edit{Span: span, Text: `"` + is + `"`})
					}
				}
			}
		}
	}
	return edits
}

// flatterChord writes a chord symbol one letter up where its notes go there; false where
// it stays, or is none.
func flatterChord(text string) (is string, ok bool) {
	m := chordName.FindStringSubmatch(text)
	if m == nil {
		return "", false
	}
	is = flatterRoot(m[1], m[2]) + m[3]
	if m[4] != "" {
		is += "/" + flatterRoot(m[4], m[5])
	}
	return is, is != text
}

// flatterRoot writes a root or a bass note one letter up, with the signs of chord symbols.
func flatterRoot(letter, sign string) string {
	alter := strings.Count(sign, "#") + strings.Count(sign, "♯") - strings.Count(sign, "b") - strings.Count(sign, "♭")
	was := pitch{strings.Index("CDEFGAB", letter), alter}
	is := flatter(was)
	if is == was {
		return letter + sign
	}
	return "CDEFGAB"[is.str%7:is.str%7+1] + map[int]string{-1: "b", 0: "", 1: "#"}[is.alter]
}
