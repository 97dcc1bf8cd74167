package fix

import "fourfold/parser/score"

// noteAt names a note of a tune: indices of its voice, bar, event and of the note
// in it.
type noteAt struct{ voice, bar, event, note int }

// pitch is a string and how its letter is altered.
type pitch struct{ str, alter int }

func pitchOf(n *score.Note) pitch { return pitch{n.String, n.Alter} }

// change is what a rewrite does to the notes. How it is written is worked out
// afterwards.
type change struct {
	pitch map[noteAt]pitch // notes that get another pitch
	drop  map[noteAt]bool  // notes of chords that are left out
	give  map[noteAt]bool  // notes that go to the other staff
	marks []score.Edit     // what changes beside notes
	// graces are the events, named by their first note, that lose their grace notes:
	// true where these become notes of the chord.
	graces map[noteAt]bool
	// ornaments counts the trills that are left out.
	ornaments int
}

// spots are the notes that change, in no order.
func (c change) spots() (out []noteAt) {
	for at := range c.pitch {
		out = append(out, at)
	}
	for _, notes := range []map[noteAt]bool{c.drop, c.give, c.graces} {
		for at := range notes {
			out = append(out, at)
		}
	}
	return out
}

// touched counts the notes that change.
func (c change) touched() int { return len(c.pitch) + len(c.drop) + len(c.give) }

// moved counts the notes that change for the order of offers. What a listener or a
// reader notices more counts twice: a note in another octave, and one that goes to
// the other staff, where it leaves and where it comes. Of a row of grace notes, or a
// trill, that is left out each counts as a note; marks for a roll count as none.
func (c change) moved(s *site) int {
	n := c.touched() + len(c.give) + len(c.graces) + c.ornaments
	for at, p := range c.pitch {
		if distance(s.note(at).String, p.str) >= 7 {
			n++
		}
	}
	return n
}

// steps adds up how far notes move; to the other staff counts as an octave.
func (c change) steps(s *site) (sum int) {
	sum = 7 * len(c.give)
	for at, p := range c.pitch {
		sum += distance(s.note(at).String, p.str)
	}
	return sum
}

func distance(a, b int) int {
	if a < b {
		return b - a
	}
	return a - b
}

// holds says whether a change does all that another does, and more.
func (c change) holds(other change) bool {
	for at, p := range other.pitch {
		if q, ok := c.pitch[at]; !ok || q != p {
			return false
		}
	}
	for at := range other.drop {
		if !c.drop[at] {
			return false
		}
	}
	for at := range other.give {
		if !c.give[at] {
			return false
		}
	}
	return other.touched() > 0 && c.touched() > other.touched()
}

// candidate is a rewrite that has not been proved.
type candidate struct {
	title string
	change
	promise promise
	slower  bool // it changes the tempo alone
	// respells is set where notes come to other pedals.
	respells bool
	// spare is set where no pedal may have to move for it.
	spare bool
}
