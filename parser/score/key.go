package score

import (
	"fmt"
	"strings"
)

// The letters in the order in which sharps come; flats come the other way.
const sharpOrder = "FCGDAEB"

// letterIndex gives C to B as 0 to 6, in either case; -1 for anything else.
func letterIndex(c byte) int {
	switch {
	case c >= 'a' && c <= 'g':
		c -= 'a' - 'A'
	case c < 'A' || c > 'G':
		return -1
	}
	return (int(c-'A') + 5) % 7
}

// fifthsOf are the sharps (above 0) or flats of the major key on C to B.
var fifthsOf = [7]int{0, 2, 4, -1, 1, 3, 5}

// modes in fifths from major, by their first three letters.
var modes = map[string]int{
	"maj": 0, "ion": 0, "lyd": 1, "mix": -1, "dor": -2, "aeo": -3, "min": -3, "m": -3, "phr": -4, "loc": -5,
}

// keyField is what K: says.
type keyField struct {
	given  bool // a key, not only a clef
	key    Key
	props  props
	faults []string
}

// parseKey reads K:. A value that starts with a clef or a property leaves the
// key alone; an empty one means no signature.
func parseKey(text string) keyField {
	k := keyField{}
	words := splitWords(text)
	i := 0
	if len(words) == 0 {
		k.given = true
		return k
	}
	k.key.Text = text
	switch w := words[0]; {
	case w == "none":
		k.given = true
		i = 1
	case w == "HP", w == "Hp":
		k.given = true
		k.key.Sign = [7]int8{0: 1, 3: 1}
		i = 1
	case isTonic(w):
		k.given = true
		i = k.tonic(words)
	}
	k.accidentalsAndProps(words[i:])
	return k
}

// isTonic says whether a word starts with a tonic rather than a clef or a
// property.
func isTonic(w string) bool {
	if w == "exp" || letterIndex(w[0]) < 0 || strings.Contains(w, "=") && !strings.ContainsAny(w[1:2], "=^_#b") && !tonicWithSigns(w) {
		return false
	}
	rest := strings.TrimLeft(w[1:], "#b")
	if rest == "" || rest[0] == '^' || rest[0] == '_' || rest[0] == '=' {
		return true
	}
	if isClefName(w) && len(w) > 2 && w != "Alto" {
		return false
	}
	mode, _ := modeOf(rest)
	return mode != "" || len(rest) < 3 || w[0] < 'a'
}

func tonicWithSigns(w string) bool {
	rest := strings.TrimLeft(w[1:], "#b")
	mode, after := modeOf(rest)
	return mode != "" && (after == "" || strings.ContainsAny(after[:1], "=^_"))
}

// modeOf takes the mode off the front of a text; only its first three letters
// count, or a lone m.
func modeOf(s string) (mode, rest string) {
	n := 0
	for n < len(s) && (s[n] >= 'a' && s[n] <= 'z' || s[n] >= 'A' && s[n] <= 'Z') {
		n++
	}
	word := strings.ToLower(s[:n])
	if len(word) > 3 {
		word = word[:3]
	}
	if _, ok := modes[word]; ok {
		return word, s[n:]
	}
	return "", s
}

// tonic reads tonic and mode, and gives the number of words they took. What
// stands behind them in the same word is put back into the list.
func (k *keyField) tonic(words []string) int {
	w := words[0]
	fifths := fifthsOf[letterIndex(w[0])]
	if w[0] >= 'a' {
		k.faults = append(k.faults, fmt.Sprintf("The tonic of a key is a capital letter: write `%s`.", strings.ToUpper(w[:1])+w[1:]))
	}
	rest := w[1:]
	if rest != "" && rest[0] == '#' {
		fifths += 7
		rest = rest[1:]
	} else if rest != "" && rest[0] == 'b' {
		fifths -= 7
		rest = rest[1:]
	}
	used := 1
	mode, rest := modeOf(rest)
	if mode == "" && rest == "" && len(words) > 1 {
		if m, r := modeOf(words[1]); m != "" && r == "" || m != "" && strings.ContainsAny(r[:1], "=^_") {
			mode, rest, used = m, r, 2
		}
	}
	if rest != "" {
		if isLetter(rest[0]) {
			k.faults = append(k.faults, fmt.Sprintf("The mode `%s` is not known; it is read as major. There are major, minor, dorian, phrygian, lydian, mixolydian, aeolian, ionian and locrian.", rest))
		}
		used--
		words[used] = rest
	}
	fifths += modes[mode]
	if fifths < -7 || fifths > 7 {
		k.faults = append(k.faults, fmt.Sprintf("The key `%s` would have %d signs; there are seven at most.", strings.TrimSpace(k.key.Text), max(fifths, -fifths)))
		fifths = max(-7, min(7, fifths))
	}
	k.key.Sign = signature(fifths)
	return used
}

// signature gives the signs of so many sharps, or flats below 0.
func signature(fifths int) [7]int8 {
	var sign [7]int8
	for i := range fifths {
		sign[letterIndex(sharpOrder[i])] = 1
	}
	for i := range -fifths {
		sign[letterIndex(sharpOrder[6-i])] = -1
	}
	return sign
}

// accidentalsAndProps reads what follows the mode: signs that change the
// signature, `exp`, and clef words.
func (k *keyField) accidentalsAndProps(words []string) {
	var rest []string
	for i := 0; i < len(words); i++ {
		w := words[i]
		switch {
		case w[0] == '^' && len(w) > 1 && isDigitByte(w[1]), w[0] == '_' && len(w) > 1 && isDigitByte(w[1]):
			rest = append(rest, w)
		case w[0] == '^' || w[0] == '_' || w[0] == '=':
			k.signs(w)
		case strings.EqualFold(w, "exp"):
			k.key.Sign = [7]int8{}
		default:
			rest = append(rest, w)
		}
	}
	k.props = parseProps(rest)
}

// signs reads a run such as ^f_b=c.
func (k *keyField) signs(w string) {
	for len(w) > 0 {
		n := 0
		for n < len(w) && strings.IndexByte("^_=", w[n]) >= 0 {
			n++
		}
		if n == 0 || n == len(w) || letterIndex(w[n]) < 0 {
			k.faults = append(k.faults, fmt.Sprintf("`%s` is not understood in a key: signs stand before their letter, as in `K:D ^f _b`.", w))
			return
		}
		alter, ok := alterOf(w[:n])
		if !ok {
			k.faults = append(k.faults, fmt.Sprintf("`%s` is no accidental: there are `^ ^^ = _ __`.", w[:n]))
		}
		k.given = true
		k.key.Sign[letterIndex(w[n])] = int8(alter)
		w = w[n+1:]
	}
}

// alterOf reads an accidental as semitones; signs that fit no accidental are
// read as far as they go one way.
func alterOf(s string) (int, bool) {
	switch s {
	case "^", "♯":
		return 1, true
	case "^^":
		return 2, true
	case "=", "♮":
		return 0, true
	case "_", "♭":
		return -1, true
	case "__":
		return -2, true
	}
	switch s[0] {
	case '^':
		return min(2, strings.Count(s, "^")), false
	case '_':
		return max(-2, -strings.Count(s, "_")), false
	}
	return 0, false
}

func isLetter(c byte) bool { return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' }

func isDigitByte(c byte) bool { return c >= '0' && c <= '9' }
