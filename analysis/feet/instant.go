package feet

import (
	"fourfold/analysis/harp"
)

// Note is one string to pluck and how it is to be altered.
type Note struct {
	String int  // string number as written
	Alter  int  // semitones from the natural: −2 to 2 as written, a pedal has −1 to 1
	Fixed  bool // never to be respelled: a harmonic, or what the writer insists on
}

// Pitch gives the sounding pitch in semitones above C0; of a harmonic, that of
// the string.
func (n Note) Pitch() int { return soundOf(n.String) + n.Alter }

// Letter gives the letter of the note's string.
func (n Note) Letter() Letter {
	l := n.String % Letters
	if l < 0 {
		l += Letters
	}
	return Letter(l)
}

// soundOf gives the pitch of a string in its natural position.
func soundOf(str int) int {
	l := Note{String: str}.Letter()
	return 12*(str-int(l))/Letters + semitones[l]
}

// Instant is all that is plucked at one time.
type Instant struct {
	T     float64 // seconds
	Notes []Note
}

// Strings is what the spelling must know of the instrument.
type Strings struct {
	Lowest, Highest int
	Tuned           map[int]Pos // the strings without discs, and where they are tuned
}

// StringsOf gives the strings of a harp, its strings without discs tuned to what
// the music first writes on them, else to their naturals. Of a string that many
// harps have without disc (the top G) it is assumed that it has one.
func StringsOf(instrument harp.Instrument, music []Instant) Strings {
	s := Strings{Lowest: instrument.Lowest, Highest: instrument.Highest, Tuned: map[int]Pos{}}
	for i := len(music) - 1; i >= 0; i-- {
		for _, n := range music[i].Notes {
			if instrument.Fixed(n.String) && Pos(n.Alter).Valid() {
				s.Tuned[n.String] = Pos(n.Alter)
			}
		}
	}
	for _, str := range instrument.Undisced {
		if _, written := s.Tuned[str]; !written {
			s.Tuned[str] = Natural
		}
	}
	return s
}

// has says whether the harp has the string.
func (s Strings) has(str int) bool { return s.Lowest <= str && str <= s.Highest }

// sounds says whether the harp has the string and it can sound altered so.
func (s Strings) sounds(n Note) bool {
	if !s.has(n.String) {
		return false
	}
	if tuned, fixed := s.Tuned[n.String]; fixed {
		return n.Alter == int(tuned)
	}
	return Pos(n.Alter).Valid()
}

// asks says whether the note needs its pedal somewhere: those on strings without
// discs, and on strings that the harp has not, do not.
func (s Strings) asks(n Note) bool {
	_, fixed := s.Tuned[n.String]
	return !fixed && s.has(n.String)
}

// Respellings gives the other notes of the harp that sound as n does, lower
// strings first. D, G and A naturals have none (a harpist's essay on
// enharmonics; Sibelius Academy, Tremolo; and by search over all strings).
func (s Strings) Respellings(n Note) []Note {
	var found []Note
	for str := n.String - 2; str <= n.String+2; str++ {
		other := Note{String: str, Alter: n.Pitch() - soundOf(str)}
		if str != n.String && s.sounds(other) {
			found = append(found, other)
		}
	}
	return found
}
