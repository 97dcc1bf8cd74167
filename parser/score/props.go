package score

import (
	"strconv"
	"strings"
)

// shift moves what is read (octaves) and what sounds (semitones). Each of its
// parts may be unset, and then leaves what was before.
type shift struct {
	octave       int // octave=
	clefOctave   int // +8, -8 of the clef
	transpose    int // transpose=
	hasOctave    bool
	hasClef      bool
	hasTranspose bool
}

// merge lets what the other one sets win.
func (s *shift) merge(o shift) {
	if o.hasOctave {
		s.octave, s.hasOctave = o.octave, true
	}
	if o.hasClef {
		s.clefOctave, s.hasClef = o.clefOctave, true
	}
	if o.hasTranspose {
		s.transpose, s.hasTranspose = o.transpose, true
	}
}

// props are the words that K: and V: share, and the names of a voice.
type props struct {
	shift   shift
	clef    string
	name    string
	subname string
	cue     string
	any     bool
}

// splitWords cuts at blanks; "quoted text" stays whole, and so does
// name = value with blanks about its sign.
func splitWords(s string) []string {
	var words []string
	for i := 0; i < len(s); {
		if s[i] == ' ' || s[i] == '\t' {
			i++
			continue
		}
		start, quoted := i, false
		for i < len(s) && (quoted || s[i] != ' ' && s[i] != '\t') {
			if s[i] == '"' {
				quoted = !quoted
			}
			i++
		}
		words = append(words, s[start:i])
	}
	return joinEquals(words)
}

func joinEquals(words []string) []string {
	out := words[:0]
	for _, w := range words {
		n := len(out)
		if n > 0 && (w == "=" && isName(out[n-1]) || strings.HasSuffix(out[n-1], "=") && isName(strings.TrimSuffix(out[n-1], "=")) && w != "=") {
			out[n-1] += w
			continue
		}
		out = append(out, w)
	}
	return out
}

func isName(w string) bool {
	switch w {
	case "name", "nm", "subname", "snm", "sname", "clef", "stem", "middle", "m", "transpose", "t", "octave", "stafflines", "cue":
		return true
	}
	return false
}

func parseProps(words []string) props {
	p := props{}
	for _, w := range words {
		name, value, found := strings.Cut(w, "=")
		value = strings.Trim(value, `"`)
		if !found {
			name, value = "clef", w
			if !isClefName(w) {
				continue
			}
		}
		p.any = true
		switch strings.ToLower(name) {
		case "name", "nm":
			p.name = value
		case "subname", "snm", "sname":
			p.subname = value
		case "cue":
			p.cue = value
		case "clef":
			p.clef = value
			p.shift.clefOctave, p.shift.hasClef = clefShift(value), true
		case "octave":
			if n, err := strconv.Atoi(value); err == nil && n > -10 && n < 10 {
				p.shift.octave, p.shift.hasOctave = n, true
			}
		case "transpose", "t":
			if n, err := strconv.Atoi(value); err == nil && n > -128 && n < 128 {
				p.shift.transpose, p.shift.hasTranspose = n, true
			}
		}
	}
	return p
}

var clefNames = []string{"treble", "alto", "tenor", "bass", "perc", "none", "auto", "baritone", "soprano", "mezzosoprano"}

// isClefName says whether a word names a clef, with its line and octave.
func isClefName(w string) bool {
	w = strings.ToLower(w)
	for _, n := range clefNames {
		if rest, ok := strings.CutPrefix(w, n); ok {
			if rest == "" || strings.ContainsAny(rest[:1], "0123456789+-^_") {
				return true
			}
		}
	}
	if w == "g" || w == "f" || w == "c" {
		return false
	}
	return len(w) == 2 && strings.Contains("gfc", w[:1]) && isDigitByte(w[1])
}

// clefShift is the octaves that a clef's +8, -8, +15 or -15 moves the sound by.
func clefShift(clef string) int {
	for _, s := range []struct {
		suffix string
		octave int
	}{{"+8", 1}, {"-8", -1}, {"^8", 1}, {"_8", -1}, {"+15", 2}, {"-15", -2}} {
		if strings.HasSuffix(clef, s.suffix) {
			return s.octave
		}
	}
	return 0
}
