// Package harp holds the tables: what an instrument has, what a hand can do, and
// where each number comes from. It computes nothing about music.
package harp

import (
	"strconv"
	"strings"
)

// letters are the string names in the order of their numbers within an octave.
const letters = "CDEFGAB"

// StringName gives the name of a string number, 7·octave + letter with C = 0 and
// scientific octaves: 28 is "C4", middle C.
func StringName(number int) string {
	octave, letter := number/7, number%7
	if letter < 0 {
		octave, letter = octave-1, letter+7
	}
	return letters[letter:letter+1] + strconv.Itoa(octave)
}

// ParseString gives the number of a string named like "C4"; false for anything else.
// Letters may be small, octaves may be negative.
func ParseString(name string) (int, bool) {
	if name == "" {
		return 0, false
	}
	letter := strings.IndexByte(letters, name[0]&^0x20)
	octave, err := strconv.Atoi(name[1:])
	if letter < 0 || err != nil || octave < -1000 || octave > 1000 {
		return 0, false
	}
	return 7*octave + letter, true
}

// intervals are the names of distances in steps, from 0.
var intervals = [...]string{
	"unison", "second", "third", "fourth", "fifth", "sixth", "seventh", "octave",
	"ninth", "tenth", "eleventh", "twelfth", "thirteenth", "fourteenth", "double octave",
}

// IntervalName names a distance in steps as musicians do: 2 is "third", 7 "octave".
// Beyond two octaves it counts steps. Hands feel steps, not semitones, so there is
// no major or minor here.
func IntervalName(steps int) string {
	if steps < 0 {
		steps = -steps
	}
	if steps < len(intervals) {
		return intervals[steps]
	}
	return strconv.Itoa(steps) + " steps"
}
