package score

import (
	"strconv"
	"strings"
)

// accidental is one that acts on the rest of its bar. Its place is a letter or,
// where accidentals keep to their octave, a string; str is the string before
// which it was written last.
type accidental struct{ place, alter, str int }

// semitones of C to B above C.
var semitones = [7]int{0, 2, 4, 5, 7, 9, 11}

const maxOctaves = 9

// written is a note as it stands in the text.
type written struct {
	accidental string
	letter     byte
	octave     int // marks above 0 up
	length     Frac
	span, head Span // of the file
	expanded   bool
}

// pitch makes the note of a written note where the voice stands.
func (v *voice) pitch(r *reader, w *written, n *Note) {
	l := letterIndex(w.letter)
	octave := 4 + w.octave + v.shift.octave + v.shift.clefOctave
	if w.letter >= 'a' {
		octave++
	}
	octave = max(-maxOctaves, min(maxOctaves+9, octave))
	n.Span, n.Head, n.Duration = w.span, w.head, w.length
	n.String, n.Explicit = 7*octave+l, w.accidental != ""
	n.Alter = v.alter(r, n.String, l, w)
	n.Midi = 12*(octave+1) + semitones[l] + n.Alter + v.shift.transpose
}

// alter gives the alteration of a note, and keeps an accidental for the rest of
// the bar.
func (v *voice) alter(r *reader, str, letter int, w *written) int {
	place := letter
	if r.env.propagate == toOctave {
		place = str + 7000 // above every letter, and its letter modulo 7
	}
	if w.accidental != "" {
		a, known := readAccidental(w.accidental)
		if !known {
			r.problem(RuleSyntax, Span{w.head.Start, min(w.head.Start+len(w.accidental), w.head.End)},
				"`"+w.accidental+"` is no accidental: there are `^ ^^ = _ __`.")
		}
		v.repeated(r, place, letter, str, a, w)
		if r.env.propagate != toNone {
			v.keep(accidental{place, a, str})
		}
		return a
	}
	if a, ok := v.carried(str); ok {
		return a
	}
	for i := range v.acc {
		if v.acc[i].place == place {
			return v.acc[i].alter
		}
	}
	return int(v.key.Sign[letter])
}

func (v *voice) keep(a accidental) {
	for i := range v.acc {
		if v.acc[i].place == a.place {
			v.acc[i] = a
			return
		}
	}
	v.acc = append(v.acc, a)
}

// readAccidental reads the signs before a note. A microtone keeps the pitch of
// its letter.
func readAccidental(s string) (int, bool) {
	if strings.ContainsAny(s, "/0123456789") {
		return 0, true
	}
	return alterOf(s)
}

var letters = "CDEFGAB"

// pitchName gives "C#5" for a string and an alteration.
func pitchName(str, alter int) string {
	octave, letter := floorDiv(str, 7)
	s := letters[letter : letter+1]
	switch {
	case alter > 0:
		s += strings.Repeat("#", alter)
	case alter < 0:
		s += strings.Repeat("b", -alter)
	}
	return s + strconv.Itoa(octave)
}

func floorDiv(a, b int) (q, r int) {
	q, r = a/b, a%b
	if r < 0 {
		q, r = q-1, r+b
	}
	return q, r
}
