package syntax

import (
	"bytes"
	"strings"
	"unicode/utf8"
)

// LexMusic cuts a piece of music without its line end into leaves and adds
// them to out. It is exported for text that no line holds: what a macro gives.
func LexMusic(out []Leaf, text []byte, d Dialect) []Leaf {
	m := music{text: text, dialect: d, out: out}
	for m.at < len(text) {
		m.next()
	}
	return m.out
}

// music cuts one line. Its only memory is whether a chord or a grace group is
// open, which decides what a bracket or a digit means.
type music struct {
	text    []byte
	at      int
	dialect Dialect
	chord   bool
	grace   bool
	bar     bool // the last leaf was a bar line
	mates   mates
	out     []Leaf
}

// take makes a leaf of the next n bytes.
func (m *music) take(k Kind, n int) {
	m.out = appendLeaf(m.out, k, n)
	m.at += n
	m.bar = k == Bar
}

// peek gives the byte i places on, 0 beyond the end.
func (m *music) peek(i int) byte {
	if m.at+i < len(m.text) {
		return m.text[m.at+i]
	}
	return 0
}

// run counts the bytes from the i-th on that are in the set.
func (m *music) run(i int, set string) int {
	n := 0
	for m.at+i+n < len(m.text) && strings.IndexByte(set, m.text[m.at+i+n]) >= 0 {
		n++
	}
	return n
}

// next cuts one leaf.
func (m *music) next() {
	c := m.text[m.at]
	if n := m.barLength(); n > 0 {
		m.chord, m.grace = false, false
		m.take(Bar, n)
		return
	}
	switch {
	case c == ' ' || c == '\t' || c == '\f' || c == '\v':
		m.take(Space, m.run(0, " \t\f\v"))
	case isPitch(c):
		m.take(Pitch, 1)
	case c == ',' || c == '\'':
		m.take(Octave, m.run(0, ",'"))
	case isDigit(c) && m.bar:
		m.take(Ending, m.endingLength(0))
	case isDigit(c) || c == '/':
		m.lengthOrSlash()
	case c == 'z' || c == 'x':
		m.take(Rest, 1)
	case c == 'Z' || c == 'X':
		m.take(MeasureRest, 1)
	case c == 'y':
		m.take(Spacer, 1)
	case c >= 'H' && c <= 'W' || c >= 'h' && c <= 'w' || c == '~':
		m.take(Shorthand, 1)
	default:
		m.sign(c)
	}
}

func (m *music) lengthOrSlash() { m.take(Length, m.run(0, "0123456789/")) }

// sign cuts everything that starts with neither a letter nor a digit.
func (m *music) sign(c byte) {
	switch c {
	case '^', '_', '=':
		m.accidental()
	case '"':
		m.quote()
	case '!':
		m.bang()
	case '+':
		m.plus()
	case '.':
		m.dot()
	case '(':
		m.paren()
	case ')':
		m.take(SlurClose, 1)
	case '[':
		m.bracket()
	case ']':
		m.closeBracket()
	case '{':
		m.grace = true
		if m.peek(1) == '/' {
			m.take(GraceOpen, 2)
		} else {
			m.take(GraceOpen, 1)
		}
	case '}':
		if m.grace {
			m.grace = false
			m.take(GraceClose, 1)
		} else {
			m.take(BadClose, 1)
		}
	case '>', '<':
		n := 1
		for n < 3 && m.peek(n) == c {
			n++
		}
		m.take(Broken, n)
	case '-':
		m.take(Tie, 1)
	case '&':
		if m.peek(1) == ')' {
			m.take(OverlayClose, 2)
		} else {
			m.take(Overlay, m.run(0, "&"))
		}
	case '`':
		m.take(BeamMark, m.run(0, "`"))
	case '$':
		m.breakOr(BreakDollar)
	case '#', '*', ';', '?', '@':
		m.take(Reserved, m.run(0, "#*;?@"))
	case '%':
		m.take(Comment, len(m.text)-m.at)
	case '\\':
		m.backslash()
	default:
		m.other()
	}
}

func (m *music) breakOr(b Breaks) {
	if m.dialect.Breaks&b != 0 {
		m.take(ScoreBreak, 1)
	} else {
		m.take(Reserved, 1)
	}
}

// accidental cuts the signs before a note. Anything but a note after them makes
// them an error.
func (m *music) accidental() {
	n := m.run(0, "^_=")
	if f := m.run(n, "0123456789/"); f > 0 && isPitch(m.peek(n+f)) {
		n += f
	}
	if isPitch(m.peek(n + m.run(n, "#*;?@`"))) {
		m.take(Accidental, n)
	} else {
		m.take(BadAccidental, n)
	}
}

// dot cuts a dotted tie, slur or bar line, else staccato.
func (m *music) dot() {
	switch m.peek(1) {
	case '-':
		m.take(Tie, 2)
	case '(':
		if isDigit(m.peek(2)) {
			m.take(Shorthand, 1)
		} else {
			m.take(SlurOpen, 2)
		}
	default:
		m.take(Shorthand, 1)
	}
}

// paren cuts a tuplet's head, an overlay's or a slur.
func (m *music) paren() {
	if m.peek(1) == '&' {
		m.take(OverlayOpen, 2)
		return
	}
	n := m.digits(1)
	if n == 0 {
		m.take(SlurOpen, 1)
		return
	}
	n++
	for range 2 {
		if m.peek(n) != ':' {
			break
		}
		n++
		n += m.digits(n)
	}
	m.take(Tuplet, n)
}

func (m *music) digits(i int) int { return m.run(i, "0123456789") }

// bracket cuts what an opening bracket starts, once it is no bar line: a field,
// an ending, or a chord.
func (m *music) bracket() {
	c := m.peek(1)
	switch {
	case isLetter(c) && m.peek(2) == ':':
		m.inlineField()
	case isDigit(c):
		m.take(Ending, m.endingLength(1))
	case c == '"' && !m.chordAfterQuote():
		m.endingText()
	default:
		m.chord = true
		m.take(ChordOpen, 1)
	}
}

// endingLength measures a list such as 1,3-5 with what stands before it.
func (m *music) endingLength(i int) int {
	n := i + m.digits(i)
	for (m.peek(n) == ',' || m.peek(n) == '-') && isDigit(m.peek(n+1)) {
		n++
		n += m.digits(n)
	}
	return n
}

// chordAfterQuote tells ["Am"CEG] from an ending named by a text: in a chord a
// bracket closes before the next one opens and before the bar line.
func (m *music) chordAfterQuote() bool {
	rest := m.text[m.at+2:]
	q := bytes.IndexByte(rest, '"')
	if q < 0 {
		return true
	}
	for _, c := range rest[q+1:] {
		switch c {
		case ']':
			return true
		case '[', '|', ' ':
			return false
		}
	}
	return false
}

func (m *music) endingText() {
	q := bytes.IndexByte(m.text[m.at+2:], '"')
	m.take(Ending, q+3)
}

// inlineField cuts [K:…] into name, value and end. One without its end is an
// error up to the next blank.
func (m *music) inlineField() {
	rest := m.text[m.at+3:]
	end := m.mates.next(m.text, m.at+3, ']') - (m.at + 3)
	if end < 0 {
		n := bytes.IndexAny(rest, " \t|")
		if n < 0 {
			n = len(rest)
		}
		m.take(BadField, 3+n)
		return
	}
	m.take(FieldName, 3)
	value := rest[:end]
	lead := len(value) - len(bytes.TrimLeft(value, " \t"))
	text := bytes.TrimRight(value[lead:], " \t")
	m.take(Space, lead)
	m.take(FieldText, len(text))
	m.take(Space, len(value)-lead-len(text))
	m.take(FieldEnd, 1)
}

func (m *music) closeBracket() {
	if m.chord {
		m.chord = false
		m.take(ChordClose, 1)
	} else {
		m.take(BadClose, 1)
	}
}

// backslash at the end of the line joins the next line of music.
func (m *music) backslash() {
	n := 1 + m.run(1, " \t")
	if c := m.peek(n); c == 0 || c == '%' {
		m.take(Continuation, 1)
	} else {
		m.take(BadByte, 1)
	}
}

// other cuts the accidentals of Unicode, and a whole run of bytes that mean
// nothing.
func (m *music) other() {
	rest := m.text[m.at:]
	if r, n := utf8.DecodeRune(rest); r >= '♭' && r <= '♯' && isPitch(m.peek(n)) {
		m.take(Accidental, n)
		return
	}
	n := 0
	for n < len(rest) && meansNothing(rest[n]) {
		n++
	}
	m.take(BadByte, max(n, 1))
}

func meansNothing(c byte) bool { return c >= 0x80 || c < ' ' && c != '\t' || c == 0x7f || c == 'Y' }
