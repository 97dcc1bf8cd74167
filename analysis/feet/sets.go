package feet

import (
	"fmt"
	"math/bits"
	"strings"
)

// PitchSet is a set of pitch classes: bit 0 is C, bit 11 is B.
type PitchSet uint16

// Len gives how many pitch classes are in the set.
func (p PitchSet) Len() int { return bits.OnesCount16(uint16(p)) }

// Pitch is a pitch class with the name that it was asked for by.
type Pitch struct {
	Name  string // a capital letter with b, bb, # or ##
	Class int    // 0 (C) to 11 (B)
}

// ParsePitches reads names of pitches parted by spaces, commas, slashes or bars:
// a letter in either case with b or ♭, # or ♯, doubled or not, x or 𝄪, or ♮
// behind it. Names of the same pitch class are all kept.
func ParsePitches(text string) ([]Pitch, error) {
	var pitches []Pitch
	for _, name := range pitchNames(text) {
		l, alter, err := parsePitch(name)
		if err != nil {
			return nil, err
		}
		sign := strings.Repeat("#", max(alter, 0)) + strings.Repeat("b", max(-alter, 0))
		pitches = append(pitches, Pitch{Name: l.String() + sign, Class: pitchClass(l, alter)})
	}
	return pitches, nil
}

func pitchNames(text string) []string {
	return strings.FieldsFunc(text, func(r rune) bool {
		return strings.ContainsRune(" \t\r\n\u00a0,;|/", r)
	})
}

// parsePitch reads one name: its letter and by how many semitones it is altered.
func parsePitch(name string) (Letter, int, error) {
	letter := strings.IndexByte("CDEFGAB", strings.ToUpper(name[:1])[0])
	if letter < 0 {
		return 0, 0, fmt.Errorf("%q is not the name of a pitch; write a letter A to G with b or # behind it, and spaces between pitches", name)
	}
	alter := 0
	switch signs := strings.NewReplacer("♭", "b", "♯", "#", "𝄫", "bb", "𝄪", "##", "x", "##", "♮", "n").Replace(name[1:]); signs {
	case "", "n":
	case "b", "bb":
		alter = -len(signs)
	case "#", "##":
		alter = len(signs)
	default:
		return 0, 0, fmt.Errorf("%q is not the name of a pitch; write a letter A to G with b or # behind it, and spaces between pitches", name)
	}
	return Letter(letter), alter, nil
}

// SetOf gives the pitch classes of the pitches; enharmonics are the same.
func SetOf(pitches []Pitch) PitchSet {
	var set PitchSet
	for _, p := range pitches {
		set |= 1 << p.Class
	}
	return set
}

// Exact gives the settings in which every string sounds a pitch of the set and
// every pitch of the set has a string: what a glissando on the chord needs.
// Flats come first, in the order of the pedals from left to right.
func Exact(set PitchSet) []Setting {
	var found []Setting
	settings(func(s Setting) {
		if s.Pitches() == set {
			found = append(found, s)
		}
	})
	return found
}

// Containing counts those of the 2187 settings that sound every pitch of the
// set, whatever else they sound: what a chord needs.
func Containing(set PitchSet) int {
	n := 0
	settings(func(s Setting) {
		if set&^s.Pitches() == 0 {
			n++
		}
	})
	return n
}

// Impossible gives the fewest of the pitches that no setting has together, under
// their first names, and nothing where all can be had together. Of several such
// sets the one whose pitches were named first is given.
func Impossible(pitches []Pitch) []Pitch {
	var distinct []Pitch
	var seen PitchSet
	for _, p := range pitches {
		if seen&(1<<p.Class) == 0 {
			seen |= 1 << p.Class
			distinct = append(distinct, p)
		}
	}
	possible := together()
	for size := 1; size <= len(distinct); size++ {
		if found := firstImpossible(possible, distinct, nil, size); found != nil {
			return found
		}
	}
	return nil
}

// firstImpossible looks for size more pitches impossible with those chosen.
func firstImpossible(possible *[1 << 12]bool, from, chosen []Pitch, size int) []Pitch {
	if size == 0 {
		if possible[SetOf(chosen)] {
			return nil
		}
		return append([]Pitch(nil), chosen...)
	}
	for i := range from {
		if found := firstImpossible(possible, from[i+1:], append(chosen, from[i]), size-1); found != nil {
			return found
		}
	}
	return nil
}

// together says of every set of pitch classes whether some setting has it all.
func together() *[1 << 12]bool {
	var possible [1 << 12]bool
	settings(func(s Setting) { possible[s.Pitches()] = true })
	for set := len(possible) - 1; set >= 0; set-- {
		for class := 0; possible[set] && class < 12; class++ {
			possible[set&^(1<<class)] = true
		}
	}
	return &possible
}
