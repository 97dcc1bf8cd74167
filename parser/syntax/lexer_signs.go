package syntax

import (
	"bytes"
	"strings"
)

// mates remembers for one line where the next closing sign stands, so that a
// line full of opening ones is not searched again for each.
type mates struct {
	at      [128]int
	escaped bool // every quote still to come stands behind a backslash
}

// next gives the place of the first c at or after from, -1 where there is none.
func (m *mates) next(text []byte, from int, c byte) int {
	known := m.at[c] - 1
	if known >= from || known == len(text) {
		if known == len(text) {
			return -1
		}
		return known
	}
	i := bytes.IndexByte(text[from:], c)
	if i < 0 {
		m.at[c] = len(text) + 1
		return -1
	}
	m.at[c] = from + i + 1
	return from + i
}

// quote cuts "text". A quote that no other closes on the line is an error up to
// the next blank or bar line, so that the music after it is still read.
func (m *music) quote() {
	from := m.at + 1
	first := -1
	for {
		end := m.mates.next(m.text, from, '"')
		if first < 0 {
			first = end
		}
		if end < 0 || m.mates.escaped {
			m.mates.escaped = true
			break
		}
		if m.text[end-1] != '\\' || end-1 == m.at {
			m.take(Quoted, end+1-m.at)
			return
		}
		from = end + 1
	}
	if first >= 0 {
		m.take(Quoted, first+1-m.at)
		return
	}
	m.take(BadQuote, m.untilBlank())
}

// untilBlank counts the bytes up to the next blank or bar line, at least one.
func (m *music) untilBlank() int {
	n := 1
	for m.at+n < len(m.text) && bytes.IndexByte([]byte(" \t|"), m.text[m.at+n]) < 0 {
		n++
	}
	return n
}

// bang cuts !name!, or a lone ! that breaks the line in old files.
func (m *music) bang() {
	if m.dialect.Breaks&BreakBang != 0 {
		m.take(ScoreBreak, 1)
		return
	}
	if n := m.nameLength('!'); n > 0 {
		m.take(Decoration, n)
		return
	}
	if m.dialect.Strict {
		m.take(BadDecoration, 1)
		return
	}
	m.take(ScoreBreak, 1)
}

// nameLength measures a decoration from its sign to its mate; a name holds no
// blank, bracket, bar line or colon.
func (m *music) nameLength(sign byte) int {
	for i := m.at + 1; i < len(m.text); i++ {
		switch c := m.text[i]; c {
		case sign:
			if i == m.at+1 {
				return 0
			}
			return i + 1 - m.at
		case ' ', '\t', '[', ']', '|', ':', '%':
			return 0
		}
	}
	return 0
}

// plus cuts +name+ where the dialect has it, and the oldest files' +CEG+.
func (m *music) plus() {
	if !m.dialect.Plus && !m.dialect.Strict {
		if n := m.oldChordLength(); n > 0 {
			m.oldChord(n)
			return
		}
	}
	if n := m.nameLength('+'); n > 0 && (m.dialect.Plus || !m.dialect.Strict) {
		m.take(Decoration, n)
		return
	}
	m.take(BadDecoration, 1)
}

// oldChordLength measures from one + to the next if only notes and blanks
// stand between.
func (m *music) oldChordLength() int {
	notes := 0
	for i := m.at + 1; i < len(m.text); i++ {
		c := m.text[i]
		switch {
		case c == '+' && notes > 0:
			return i + 1 - m.at
		case isPitch(c):
			notes++
		case strings.IndexByte("^_=,'/0123456789 -", c) < 0:
			return 0
		}
	}
	return 0
}

func (m *music) oldChord(n int) {
	end := m.at + n - 1
	m.take(OldChord, 1)
	for m.at < end {
		m.next()
	}
	m.take(OldChord, 1)
}
