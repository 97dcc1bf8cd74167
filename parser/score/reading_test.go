package score

import (
	"fmt"
	"strings"
	"testing"

	"fourfold/parser/syntax"

	"github.com/stretchr/testify/assert"
)

// plain lists the notes of a text as "pitch onset duration", voices one after
// the other.
func plain(text string) string {
	var out []string
	for _, t := range Build(syntax.Parse([]byte(text))).Tunes {
		for _, v := range t.Voices {
			for _, n := range Notes(&Tune{Voices: []*Voice{v}}) {
				out = append(out, fmt.Sprintf("%s %s %s", n.Pitch, n.Onset, n.Duration))
			}
		}
	}
	return strings.Join(out, ", ")
}

const head = "X:1\nM:4/4\nL:1/4\nK:C\n"

// Sections are those of ABC 2.1.
func TestReading(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"7.4 overlay of two bars", head + "C4|D4&&E4|F4|", "C4 0 1, E4 0 1, D4 1 1, F4 1 1"},
		{"7.4 overlay of two bars, after the bar line", head + "C4|D4|&&E4|F4|G4|", "C4 0 1, D4 1 1, E4 1 1, F4 2 1, G4 3 1"},
		{"7.4 overlay of one bar after one of two", head + "C4|D4&&E4|F4&G4|", "C4 0 1, E4 0 1, D4 1 1, F4 1 1, G4 1 1"},
		{"4.11 tie over a key change", head + "F4-|[K:G]F4|", "F4 0 2"},
		{"4.11 tie to another pitch", head + "F2-^F2|", "F4 0 1/2, F#4 1/2 1/2"},
		{"4.11 carried accidental is for the tied note alone", head + "^F4-|F2F2|", "F#4 0 3/2, F4 3/2 1/2"},
		{"4.11 tie over a rest", head + "F2-zF|", "F4 0 1/2, F4 3/4 1/4"},
		{"4.4 broken rhythm cut by a bar line", head + "C2D>|E4|", "C4 0 1/2, D4 1/2 1/4, E4 3/4 1"},
		{"4.13 tuplet over a bar line", head + "C3 (3DE|F G3|", "C4 0 3/4, D4 3/4 1/6, E4 11/12 1/6, F4 13/12 1/6, G4 5/4 3/4"},
		{"4.13 nested tuplet", head + "(3:2:4(3C/D/E/F|", "C4 0 1/18, D4 1/18 1/18, E4 1/9 1/18, F4 1/6 1/6"},
		{"4.17 chord left open", head + "[CE|G4|", "C4 0 1/4, E4 0 1/4, G4 1/4 1"},
		{"3.1.14 lower-case tonic", "X:1\nL:1/4\nK:g minor\nB|", "Bb4 0 1/4"},
		{"3.1.14 clef alone keeps the key", "X:1\nL:1/4\nK:D\nF|\nK:clef=bass\nF|", "F#4 0 1/4, F#4 1/4 1/4"},
		{"3.1.14 empty key", "X:1\nL:1/4\nK:D\nF|[K:]F|", "F#4 0 1/4, F4 1/4 1/4"},
		{"4.6 octave and clef octave add", "X:1\nL:1/4\nK:C treble-8 octave=1\nC|", "C4 0 1/4"},
		{"7.1 own words of a voice win", "X:1\nL:1/4\nV:1 octave=1\nK:C octave=-1\n[V:1]C|", "C5 0 1/4"},
		{"7 fields before any voice act on all", "X:1\nK:C\nL:1/4\nV:1\nC|\nV:2\nD|", "C4 0 1/4, D4 0 1/4"},
		{"7 notes before any V: belong to the first voice", "X:1\nL:1/4\nV:A\nV:B\nK:C\nC|\n[V:B]D|", "C4 0 1/4, D4 0 1/4"},
		{"3 note and colon before a bar line is music", head + "C4|\nD4|d:|", "C4 0 1, D4 1 1, D5 2 1/4"},
		{"2 a tune ends at an empty line", head + "C4|\n  \nD4|", "C4 0 1"},
		{"2 a remark alone is no empty line", head + "C4|\n%\nD4|", "C4 0 1, D4 1 1"},
		{"2 CR alone ends a line", "X:1\rL:1/4\rK:C\rC|\rD|", "C4 0 1/4, D4 1/4 1/4"},
		{"2 byte-order mark", "\xef\xbb\xbfX:1\nL:1/4\nK:C\nC|", "C4 0 1/4"},
		{"2 fragment", "K:D\nF|", "F#4 0 1/8"},
		{"11.4.5 an unclosed text block ends at the next tune", "X:1\nK:C\nC|\n%%begintext\nD\n\nX:2\nL:1/4\nK:C\nE|", "C4 0 1/8, E4 0 1/4"},
		{"4.14 letters in decorations are no notes", head + "!fine!C!dacapo!D|", "C4 0 1/4, D4 1/4 1/4"},
		{"12 a lone ! under loose reading", head + "C2D2|!E2F2|", "C4 0 1/2, D4 1/2 1/2, E4 1 1/2, F4 3/2 1/2"},
		{"10 chord of the oldest files", head + "+CEG+ +C2E2+|", "C4 0 1/4, E4 0 1/4, G4 0 1/4, C4 1/4 1/2, E4 1/4 1/2"},
		{"9 macros: the longest call wins", "X:1\nL:1/4\nm:~G=A\nm:~G2=B\nK:C\n~G2~G|", "B4 0 1/4, A4 1/4 1/4"},
		{"9 macros leave texts alone", "X:1\nL:1/4\nm:C=D\nK:C\n\"C\"C!C!E|", "D4 0 1/4, E4 1/4 1/4"},
		{"9.2 transposing macro with octaves", "X:1\nL:1/4\nm:n2=n/o/n/m/\nK:C\nb2|", "B5 0 1/8, C6 1/8 1/8, B5 1/4 1/8, A5 3/8 1/8"},
		{"absurd lengths do not stop what follows", head + "C99999999999999999999|D1/99999999999|E|", "C4 0 1/4, D4 1/4 1/4, E4 1/2 1/4"},
		{"signs of Unicode", head + "♯F♭B|", "F#4 0 1/4, Bb4 1/4 1/4"},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.Equal(t, c.want, plain(c.text))
			f := syntax.Parse([]byte(c.text))
			assert.Equal(t, notesOf(f), streamed(t, f), "without keeping the score")
		})
	}
}
