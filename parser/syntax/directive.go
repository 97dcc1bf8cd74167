package syntax

import (
	"bytes"
	"strconv"
	"strings"
)

// directive reads a %% line and acts on those that change the reading.
func (x *lexer) directive(body []byte, s *state) {
	n := 2
	for n < len(body) && body[n] != ' ' && body[n] != '\t' {
		n++
	}
	name := strings.ToLower(string(body[2:n]))
	x.scratch = appendLeaf(x.scratch, DirectiveName, n)
	kind := DirectiveText
	rest := body[n:]
	lead := len(rest) - len(bytes.TrimLeft(rest, " \t"))
	x.scratch = appendLeaf(x.scratch, Space, lead)
	rest = rest[lead:]
	cut := commentStart(rest)
	value := bytes.TrimRight(rest[:cut], " \t")
	x.scratch = appendLeaf(x.scratch, kind, len(value))
	x.scratch = appendLeaf(x.scratch, Space, cut-len(value))
	x.scratch = appendLeaf(x.scratch, Comment, len(rest)-cut)
	if b, ok := blockNames[strings.TrimPrefix(name, "begin")]; ok && strings.HasPrefix(name, "begin") {
		s.block, s.blank = b, false
	}
	s.instruct(name, string(value))
	if s.zone == HeaderZone {
		s.fields = true
	}
}

// inBlock reads a line inside a text block. It is false where the block ends
// without its mark because a tune starts.
func (x *lexer) inBlock(l *Line, body []byte, s *state) bool {
	word := string(bytes.ToLower(firstWord(body)))
	if end, ok := strings.CutPrefix(word, "%%end"); ok && blockNames[end] == s.block {
		l.Kind = DirectiveLine
		x.scratch = appendLeaf(x.scratch, DirectiveName, len(word))
		x.scratch = appendLeaf(x.scratch, DirectiveText, len(body)-len(word))
		s.endBlock()
		return true
	}
	if s.blank && len(body) > 2 && body[0] == 'X' && body[1] == ':' {
		s.endBlock()
		return false
	}
	l.Kind = BlockLine
	if len(body) == 0 && s.block == textBlock {
		s.blank = true
	}
	x.scratch = appendLeaf(x.scratch, Text, len(body))
	return true
}

// endBlock closes a text block; an empty line inside it ends the tune.
func (s *state) endBlock() {
	s.block = noBlock
	if s.blank && s.zone != FreeZone {
		s.leaveTune()
	}
	s.blank = false
}

// version reads the first line: %abc or %abc-2.1.
func (x *lexer) version(line []byte, s *state) {
	rest, ok := bytes.CutPrefix(line, []byte("%abc"))
	if !ok {
		return
	}
	if v, ok := bytes.CutPrefix(rest, []byte("-")); ok {
		s.file.Strict = strictVersion(string(v))
		s.tune = s.file
	}
}

// strictVersion says whether a version asks for strict reading: 2.1 or later.
func strictVersion(v string) bool {
	v = strings.TrimSpace(v)
	if i := strings.IndexAny(v, " \t%"); i >= 0 {
		v = v[:i]
	}
	major, minor, _ := strings.Cut(v, ".")
	minor, _, _ = strings.Cut(minor, ".")
	a, err := strconv.Atoi(major)
	if err != nil {
		return false
	}
	b, _ := strconv.Atoi(minor)
	return a > 2 || a == 2 && b >= 1
}

// instruction acts on the value of an I: field.
func (s *state) instruction(value []byte) {
	name := firstWord(value)
	s.instruct(strings.ToLower(string(name)), strings.TrimSpace(string(value[len(name):])))
}

// instruct acts on the instructions that change how music is cut into leaves.
// In a tune's body they come too late and are left alone.
func (s *state) instruct(name, value string) {
	if s.zone == TuneBody {
		return
	}
	d := s.tune
	switch name {
	case "linebreak":
		d.Breaks = breaks(value)
		if d.Breaks&BreakBang != 0 {
			d.Plus = true
		}
	case "decoration":
		d.Plus = strings.HasPrefix(value, "+")
	case "abc-version":
		d.Strict = strictVersion(value)
	default:
		return
	}
	s.tune = d
	if s.zone == HeaderZone {
		s.file = d
	}
}

func breaks(value string) Breaks {
	var b Breaks
	for _, w := range strings.Fields(value) {
		switch strings.ToLower(w) {
		case "<eol>":
			b |= BreakEOL
		case "$":
			b |= BreakDollar
		case "!":
			b |= BreakBang
		}
	}
	return b
}

func firstWord(b []byte) []byte {
	for i, c := range b {
		if c == ' ' || c == '\t' {
			return b[:i]
		}
	}
	return b
}
