package score

import (
	"strconv"
	"strings"
)

// setTempo acts on Q:. In a header it holds from bar 1, in the body from its
// place, and for all voices whichever it stands in.
func (r *reader) setTempo(f field) {
	t, ok := parseTempo(f.text, r.tempoUnit())
	if !ok {
		r.problem(RuleSyntax, f.span, "The tempo `"+f.text+"` is not understood: write it as `Q:1/4=120` or `Q:\"Andante\" 3/8=60`.")
		return
	}
	if isOldTempo(f.text) {
		r.loose(f.span, "This form of `Q:` is outdated: write the note that is counted, as in `Q:1/4=120`.",
			replace("Write `"+newTempo(t)+"`", f.span, newTempo(t)))
	}
	t.Text = r.plain(t.Text)
	t.Span, t.Bar, t.Onset, t.voice = f.span, 1, Zero, -1
	if v := r.voice; v != nil {
		t.Bar, t.Onset, t.voice = v.number, v.pos, v.index
	}
	r.tune.Tempi = append(r.tune.Tempi, t)
}

func (r *reader) tempoUnit() Frac {
	if r.voice != nil {
		return r.voice.unit
	}
	return r.env.unitLength()
}

// parseTempo reads "words" 1/4 3/8=40; also the old forms 120, C=120 and
// C3=120, which count the unit note length. It is false where neither words
// nor a number are there.
func parseTempo(text string, unit Frac) (Tempo, bool) {
	t := Tempo{Beat: F(1, 4)}
	rest := text
	if a := strings.IndexByte(text, '"'); a >= 0 {
		b := strings.IndexByte(text[a+1:], '"')
		if b < 0 {
			b = len(text) - a - 1
		}
		t.Text = text[a+1 : a+1+b]
		rest = text[:a] + " " + text[min(len(text), a+b+2):]
	}
	rest = strings.TrimSpace(rest)
	if rest == "" {
		return t, text != ""
	}
	beats, number, found := strings.Cut(rest, "=")
	if !found {
		beats, number = "", rest
	}
	n, ok := leadingNumber(number)
	if !ok {
		return t, t.Text != ""
	}
	beat, ok := parseBeats(beats, unit)
	if !ok || n <= 0 || n > 10000 {
		return t, false
	}
	t.Beat, t.PerMinute = beat, n
	return t, true
}

// leadingNumber reads 80, also behind "ca.".
func leadingNumber(s string) (float64, bool) {
	s = strings.TrimSpace(s)
	s = strings.TrimSpace(strings.TrimPrefix(strings.TrimPrefix(s, "ca."), "c."))
	n := 0
	for n < len(s) && (isDigitByte(s[n]) || s[n] == '.') {
		n++
	}
	if strings.HasPrefix(s[n:], "/") {
		return 0, false
	}
	x, err := strconv.ParseFloat(s[:n], 64)
	return x, err == nil
}

// parseBeats sums the beats before the sign of equality.
func parseBeats(s string, unit Frac) (Frac, bool) {
	s = strings.TrimSpace(s)
	if s == "" {
		return unit, true
	}
	if s[0] == 'C' || s[0] == 'c' {
		n := 1
		if s = strings.TrimSpace(s[1:]); s != "" {
			var ok bool
			if n, ok = smallInt(s); !ok {
				return Frac{}, false
			}
		}
		return unit.Mul(F(int64(n), 1)), true
	}
	total := Zero
	for _, w := range strings.Fields(s) {
		f, ok := parseUnit(w)
		if !ok {
			return Frac{}, false
		}
		total = total.Add(f)
	}
	return total, total.Valid()
}

// isOldTempo says whether a tempo counts the unit note length: 120, C=120.
func isOldTempo(text string) bool {
	text = strings.TrimSpace(text)
	if text == "" || strings.IndexByte(text, '"') >= 0 {
		return false
	}
	return text[0] == 'C' || strings.IndexByte(text, '=') < 0
}

func newTempo(t Tempo) string {
	return t.Beat.String() + "=" + strconv.FormatFloat(t.PerMinute, 'f', -1, 64)
}
