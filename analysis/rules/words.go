package rules

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"fourfold/parser/score"
)

var intervals = [...]string{"a unison", "a second", "a third", "a fourth", "a fifth", "a sixth", "a seventh",
	"an octave", "a ninth", "a tenth", "an eleventh", "a twelfth", "a thirteenth", "a fourteenth", "two octaves"}

// IntervalWords names a distance in steps: 5 is "a sixth".
func IntervalWords(steps int) string {
	if steps < 0 {
		steps = -steps
	}
	if steps < len(intervals) {
		return intervals[steps]
	}
	return fmt.Sprintf("%d strings", steps+1)
}

var fingerNames = [...]string{"", "thumb", "second finger", "third finger", "fourth finger"}

// FingerWords names a finger as a harpist counts them: 1 is the thumb.
func FingerWords(f int) string {
	if f < 1 || f >= len(fingerNames) {
		return "finger"
	}
	return fingerNames[f]
}

// PitchName spells a string and its alteration for programs: 39 and 1 are "G#5".
func PitchName(str, alter int) string { return pitchIn(str, alter, "#", "b") }

// PitchWords is the same with the signs of music, for people: "G♯5".
func PitchWords(str, alter int) string { return pitchIn(str, alter, "♯", "♭") }

func pitchIn(str, alter int, sharp, flat string) string {
	letter := ((str % 7) + 7) % 7
	octave := (str - letter) / 7
	sign := strings.Repeat(sharp, max(alter, 0)) + strings.Repeat(flat, max(-alter, 0))
	return string("CDEFGAB"[letter]) + sign + strconv.Itoa(octave)
}

// LetterName spells a letter and its alteration with the signs of music: C♯.
func LetterName(letter, alter int) string {
	return string("CDEFGAB"[letter]) + [...]string{"♭♭", "♭", "♮", "♯", "♯♯"}[alter+2]
}

// count writes "1 note", "3 notes".
func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return strconv.Itoa(n) + " " + thing + "s"
}

// list joins words: "a", "a and b", "a, b and c".
func list(words []string) string {
	switch len(words) {
	case 0:
		return ""
	case 1:
		return words[0]
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

// seconds writes a time with two digits that matter: "0.12 s".
func seconds(s float64) string {
	if s < 0.095 {
		return fmt.Sprintf("%.3f s", s)
	}
	return fmt.Sprintf("%.2f s", s)
}

// twoTimes writes a need and what there is so that they differ on paper too.
func twoTimes(need, have float64) (string, string) {
	a, b := seconds(need), seconds(have)
	for digits := 3; a == b && need != have && digits <= 5; digits++ {
		a, b = fmt.Sprintf("%.*f s", digits, need), fmt.Sprintf("%.*f s", digits, have)
	}
	return a, b
}

// beatSigns are the note values that a tempo is counted in.
var beatSigns = map[score.Frac]string{
	score.F(1, 4): "♩", score.F(3, 8): "♩.",
	score.F(1, 8): "♪", score.F(3, 16): "♪.",
}

// BeatSign writes a note value: ♩. is three eighths.
func BeatSign(beat score.Frac) string {
	if s, ok := beatSigns[beat]; ok {
		return s
	}
	return beat.String()
}

// TempoWords writes a tempo given in quarters a minute in the beat of the
// score, rounded down so that it is never more than what holds: "♩ = 86".
func TempoWords(quarters float64, beat score.Frac) string {
	return BeatSign(beat) + " = " + tempoNumber(quarters, beat)
}

func tempoNumber(quarters float64, beat score.Frac) string {
	return strconv.Itoa(int(math.Floor(inBeats(quarters, beat) + 1e-6)))
}

// inBeats turns quarters a minute into beats a minute.
func inBeats(quarters float64, beat score.Frac) float64 {
	if beat.Sign() <= 0 {
		return quarters
	}
	return quarters * 0.25 / beat.Float()
}

// BeatName says where in a bar something stands, counted in beats from 1:
// "2", "2½", "3¼", else "2 + 1/12 note".
func BeatName(onset, beat score.Frac) string {
	if beat.Sign() <= 0 {
		beat = score.F(1, 4)
	}
	q := onset.Div(beat)
	if !q.Valid() {
		return "?"
	}
	whole := q.Num / q.Den
	rest := q.Sub(score.F(whole, 1))
	name := strconv.FormatInt(whole+1, 10)
	if s, ok := map[score.Frac]string{score.Zero: "", score.F(1, 2): "½", score.F(1, 4): "¼", score.F(3, 4): "¾",
		score.F(1, 3): "⅓", score.F(2, 3): "⅔", score.F(1, 8): "⅛", score.F(3, 8): "⅜", score.F(5, 8): "⅝", score.F(7, 8): "⅞",
		score.F(1, 6): "⅙", score.F(5, 6): "⅚"}[rest]; ok {
		return name + s
	}
	return name + " + " + rest.String()
}
