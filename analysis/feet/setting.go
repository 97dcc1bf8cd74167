// Package feet works out what a harp's pedals must do: which setting to start
// from, which foot moves which pedal when, who comes late and by how much, which
// chords can be set at all, and which spelling of a passage the feet like best.
//
// It computes on numbers alone: seconds, string numbers (7·octave + letter, C4
// is 28), letters and pedal positions. Where a number comes from is said where
// it stands; the times of a move are common practice, no source, fitted to the
// published "about two changes a second a foot" (handout "Writing for the Pedal
// Harp", item 6).
package feet

import (
	"fmt"
	"strings"
)

// tolerance is how far two times in seconds may differ and still be the same.
const tolerance = 1e-9

// Letter is a letter name, and so a pedal: C is 0, B is 6.
type Letter int8

// The seven letters.
const (
	C Letter = iota
	D
	E
	F
	G
	A
	B
)

// Letters is how many letters, pedals, there are.
const Letters = 7

// PedalOrder is the order of the pedals from left to right: three for the left
// foot, four for the right (Sibelius Academy's pedal diagrams; the handout
// "Writing for the Pedal Harp").
var PedalOrder = [Letters]Letter{D, C, B, E, F, G, A}

// semitones of the natural strings above C.
var semitones = [Letters]int{0, 2, 4, 5, 7, 9, 11}

// String gives the letter's name.
func (l Letter) String() string {
	if l < C || l > B {
		return fmt.Sprintf("letter %d", int8(l))
	}
	return "CDEFGAB"[l : l+1]
}

// Foot gives the foot that the pedal is under.
func (l Letter) Foot() Foot {
	if l == D || l == C || l == B {
		return Left
	}
	return Right
}

// place is where the pedal stands from left to right, from 0.
func (l Letter) place() int {
	for i, p := range PedalOrder {
		if p == l {
			return i
		}
	}
	return -1
}

// Adjacent says whether two pedals stand side by side under one foot. Some
// players can take such a pair together; D with B, never (a harpists' forum,
// citing P. Stickney, American Harp Journal 29/4).
func Adjacent(a, b Letter) bool {
	apart := a.place() - b.place()
	return a.Foot() == b.Foot() && (apart == 1 || apart == -1)
}

// Foot is a foot.
type Foot int8

// The two feet.
const (
	Left Foot = iota
	Right
)

// String gives "left" or "right".
func (f Foot) String() string {
	if f == Left {
		return "left"
	}
	return "right"
}

// Other gives the other foot.
func (f Foot) Other() Foot { return 1 - f }

// Pos is where a pedal stands: up is flat, the middle natural, down sharp.
type Pos int8

// The three positions, and Free for a pedal that nothing has asked for yet: it
// is set before the piece, wherever its first note wants it.
const (
	Flat    Pos = -1
	Natural Pos = 0
	Sharp   Pos = 1
	Free    Pos = 2
)

// Valid says whether a pedal has this position.
func (p Pos) Valid() bool { return p >= Flat && p <= Sharp }

// String gives "b", "" or "#", and "?" for Free.
func (p Pos) String() string {
	switch p {
	case Flat:
		return "b"
	case Natural:
		return ""
	case Sharp:
		return "#"
	}
	return "?"
}

// Setting is a position for each letter, C to B.
type Setting [Letters]Pos

// AllFree is the setting in which no pedal is set yet.
func AllFree() Setting {
	return Setting{Free, Free, Free, Free, Free, Free, Free}
}

// String writes the setting as players do, "D C# Bb | E F G A"; a pedal that is
// free has a question mark.
func (s Setting) String() string {
	var b strings.Builder
	for i, l := range PedalOrder {
		switch i {
		case 0:
		case 3:
			b.WriteString(" | ")
		default:
			b.WriteByte(' ')
		}
		b.WriteString(l.String())
		b.WriteString(s[l].String())
	}
	return b.String()
}

// Pitches gives the pitch classes that sound, as a set.
func (s Setting) Pitches() PitchSet {
	var set PitchSet
	for l := C; l <= B; l++ {
		if s[l].Valid() {
			set |= 1 << pitchClass(l, int(s[l]))
		}
	}
	return set
}

// pitchClass gives 0 (C) to 11 (B) for a letter altered by so many semitones.
func pitchClass(l Letter, alter int) int {
	return ((semitones[l]+alter)%12 + 12) % 12
}

// ParseSetting reads a setting: the seven letters in any order, each once, with
// b, ♭, #, ♯ or ♮ behind it, parted by spaces, commas, slashes or bars.
func ParseSetting(text string) (Setting, error) {
	s := AllFree()
	names := pitchNames(text)
	for _, name := range names {
		l, alter, err := parsePitch(name)
		if err != nil {
			return s, err
		}
		switch {
		case alter < -1 || alter > 1:
			return s, fmt.Errorf("%q: a pedal has no position for it; use flat, natural or sharp", name)
		case s[l] != Free:
			return s, fmt.Errorf("%q: the letter %v is there twice; name each of the seven letters once", name, l)
		}
		s[l] = Pos(alter)
	}
	if len(names) != Letters {
		return s, fmt.Errorf("%q has %d letters; name each of the seven once, as in D C# Bb | E F G A", text, len(names))
	}
	return s, nil
}

// settings calls visit with each of the 2187 settings, flats first, in the
// order of the pedals from left to right.
func settings(visit func(Setting)) {
	var s Setting
	var set func(place int)
	set = func(place int) {
		if place == Letters {
			visit(s)
			return
		}
		for p := Flat; p <= Sharp; p++ {
			s[PedalOrder[place]] = p
			set(place + 1)
		}
	}
	set(0)
}
