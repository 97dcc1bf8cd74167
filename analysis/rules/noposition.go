package rules

import (
	"fmt"

	"fourfold/parser/score"
)

const noPositionName = "feet/no-position"

// NoPosition finds double sharps and double flats.
var NoPosition = Rule{
	Name:  noPositionName,
	Title: "a pedal has no place for a double sharp or double flat",
	Doc: `Each of the seven pedals has three notches: flat, natural and sharp. There is no fourth
one, so a double sharp or double flat has to be played as its neighbour.

Fails: ^^F (F double sharp). Passes: G, which sounds the same.

What to do: write the note as it is played.

Where the number comes from: a harpist's essay on enharmonics for composers, and the action of the
double-action harp (Encyclopaedia Britannica, 11th edition, "Harp"); read.`,
	Check: checkNoPosition,
}

func checkNoPosition(p *Part) (out []Finding) {
	if p.Settings.Instrument.Levers {
		return nil
	}
	p.eachPluck(func(pl pluckAt) {
		alter := pl.Note.Alter
		if abs(alter) < 2 {
			return
		}
		f := p.finding(noPositionName, *pl.Pluck)
		name := "double sharp"
		if alter < 0 {
			name = "double flat"
		}
		f.Message = fmt.Sprintf("`%s` (%s) is a %s: the %c pedal stops at the single one.",
			p.Typed(*pl.Pluck), p.pitch(*pl.Pluck), name, "CDEFGAB"[letterOf(pl.Note)])
		if str, a, ok := neighbour(pl.Note); ok {
			f.Advice = fmt.Sprintf("Write %s, the string that sounds the same.", PitchWords(str, a))
		}
		out = append(out, f)
	})
	return out
}

func letterOf(n *score.Note) int { return letterOfString(n.String) }

func letterOfString(str int) int { return ((str % 7) + 7) % 7 }

// naturals are the semitones of C D E F G A B above C.
var naturals = [7]int{0, 2, 4, 5, 7, 9, 11}

// neighbour is the string next to a note's own that sounds its pitch with one
// accidental or none.
func neighbour(n *score.Note) (str, alter int, ok bool) {
	step := 1
	if n.Alter < 0 {
		step = -1
	}
	str = n.String + step
	alter = semitones(n.String) + n.Alter - semitones(str)
	return str, alter, alter >= -1 && alter <= 1
}

// semitones counts a natural string's semitones above C0.
func semitones(str int) int {
	letter := ((str % 7) + 7) % 7
	return 12*((str-letter)/7) + naturals[letter]
}
