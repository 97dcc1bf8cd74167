package score

import "strings"

// Signature is how the value of a field is built: a line with its parts, and which
// of them is being typed.
type Signature struct {
	Label  string
	Doc    string
	Parts  []Term // their names stand in the label, each once, in its order
	Active int
}

// SignatureOf is the signature of K:, Q: or V: with the part that comes behind what
// has been typed of the value; false for other fields.
func SignatureOf(code byte, typed string) (Signature, bool) {
	switch code {
	case 'K':
		return Signature{
			Label: "K:tonic mode accidentals clef= octave= transpose=",
			Doc:   "The key: its tonic and mode, or none. What follows may change single signs and set the clef.",
			Parts: []Term{
				{"tonic", "C to B, with # or b; or none", ""}, {"mode", "major, m, dor, mix, phr, lyd, loc; nothing for major", ""},
				{"accidentals", "signs that differ from the mode's: ^f _b =c", ""}, {"clef=", "treble, bass, alto, tenor, …", ""},
				{"octave=", "octaves that the notes are moved by", ""}, {"transpose=", "semitones that they sound away", ""},
			},
			Active: keyPart(typed),
		}, true
	case 'Q':
		return Signature{
			Label:  `Q:"words" beat=number`,
			Doc:    "The tempo: words in quotes, the note that is counted, and how many a minute. Without a number the tempo is assumed, and findings about speed are hints.",
			Parts:  []Term{{`"words"`, "as printed: \"Andante\"; may be left out", ""}, {"beat", "the note that is counted: 1/4, 3/8", ""}, {"number", "how many a minute", ""}},
			Active: tempoPart(typed),
		}, true
	case 'V':
		return Signature{
			Label: "V:id name= subname= clef= octave= transpose= stem=",
			Doc:   "A voice. In the header it is declared, in the music turned to by its id alone.",
			Parts: append([]Term{{"id", "up to 20 signs without blanks: RH", ""}},
				propertyTerms("name=", "subname=", "clef=", "octave=", "transpose=", "stem=")...),
			Active: voicePart(typed),
		}, true
	}
	return Signature{}, false
}

func propertyTerms(names ...string) (out []Term) {
	for _, n := range names {
		for _, t := range VoiceProperties() {
			if t.Name == n {
				out = append(out, t)
			}
		}
	}
	return out
}

// words of a value that are done, and the one that is being typed.
func typedWords(typed string) (done []string, last string) {
	words := splitWords(typed)
	if len(words) > 0 && !strings.HasSuffix(typed, " ") && !strings.HasSuffix(typed, "\t") {
		return words[:len(words)-1], words[len(words)-1]
	}
	return words, ""
}

func keyPart(typed string) int {
	done, last := typedWords(typed)
	switch {
	case strings.HasPrefix(last, "^"), strings.HasPrefix(last, "_"), strings.HasPrefix(last, "="):
		return 2
	case strings.HasPrefix(last, "clef"), last != "" && isClefName(last):
		return 3
	case strings.HasPrefix(last, "oct"):
		return 4
	case strings.HasPrefix(last, "tr"):
		return 5
	case len(done) == 0 && len(strings.TrimRight(last, "#b")) < 2:
		return 0
	case len(done) > 1:
		return 3
	}
	return 1
}

func tempoPart(typed string) int {
	switch {
	case strings.Count(typed, `"`)%2 == 1:
		return 0
	case strings.Contains(typed, "="):
		return 2
	}
	return 1
}

func voicePart(typed string) int {
	done, last := typedWords(typed)
	if len(done) == 0 {
		return 0
	}
	name, _, _ := strings.Cut(last, "=")
	for i, full := range []string{"name", "subname", "clef", "octave", "transpose", "stem"} {
		if name != "" && (strings.HasPrefix(full, name) || name == "nm" && full == "name" || name == "snm" && full == "subname") {
			return i + 1
		}
	}
	return min(len(done), 6)
}
