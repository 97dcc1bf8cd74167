package syntax

import "bytes"

// lexer reads lines one after the other.
type lexer struct {
	arena   arena
	scratch []Leaf
}

// line reads one line, line end included, and changes the state to what holds
// after it.
func (x *lexer) line(text []byte, s *state) *Line {
	l := &Line{length: len(text), in: *s}
	body := trimEnd(text)
	x.scratch = x.scratch[:0]
	if len(text) > 4*arenaSize && cap(x.scratch) < len(text) {
		x.scratch = make([]Leaf, 0, len(text)) // it holds no more leaves than bytes
	}
	if s.first && bytes.HasPrefix(body, []byte("\xef\xbb\xbf")) {
		x.scratch = append(x.scratch, leaf(Space, 3))
		body = body[3:]
	}
	x.classify(l, body, s)
	l.Zone = x.zoneOf(l, s)
	end := text[len(trimEnd(text)):]
	blank := len(end)
	for blank > 0 && (end[blank-1] == '\n' || end[blank-1] == '\r') {
		blank--
	}
	x.scratch = appendLeaf(x.scratch, Space, blank)
	x.scratch = appendLeaf(x.scratch, LineEnd, len(end)-blank)
	l.Leaves = x.arena.keep(&x.scratch)
	s.first = false
	return l
}

// zoneOf says where the line belongs: what opens a tune is in it, what closes
// one is not.
func (x *lexer) zoneOf(l *Line, s *state) Zone {
	in := l.in.zone
	switch {
	case l.Starts:
		return TuneHeader
	case l.Kind == EmptyLine && s.zone == FreeZone:
		return FreeZone
	case in == HeaderZone && s.zone == FreeZone:
		return FreeZone
	case in == TuneHeader && l.Kind == MusicLine:
		return TuneBody
	}
	return in
}

// classify finds what kind of line it is, cuts it into leaves and moves the
// state on.
func (x *lexer) classify(l *Line, body []byte, s *state) {
	if s.block != noBlock {
		if x.inBlock(l, body, s) {
			return
		}
	}
	lead := len(body) - len(bytes.TrimLeft(body, " \t\f\v"))
	rest := body[lead:]
	switch {
	case len(rest) == 0:
		x.scratch = appendLeaf(x.scratch, Space, len(body))
		l.Kind = EmptyLine
		x.empty(s)
	case bytes.HasPrefix(body, []byte("%%")):
		l.Kind = DirectiveLine
		x.directive(body, s)
	case rest[0] == '%':
		l.Kind = CommentLine
		x.scratch = appendLeaf(x.scratch, Space, lead)
		x.scratch = appendLeaf(x.scratch, Comment, len(rest))
		if s.first && lead == 0 {
			x.version(rest, s)
		}
	case isField(body, s.zone):
		x.field(l, body, s)
	case s.zone == TuneBody:
		l.Kind = MusicLine
		x.scratch = LexMusic(x.scratch, body, s.tune)
	case s.zone == TuneHeader:
		x.stray(l, body, s)
	default:
		l.Kind = TextLine
		x.scratch = appendLeaf(x.scratch, Text, len(body))
		if s.zone == HeaderZone {
			s.zone = FreeZone
		}
	}
}

// empty acts on an empty line: it ends the file header and the tune.
func (x *lexer) empty(s *state) {
	switch {
	case s.zone == HeaderZone && !s.fields && !s.first:
		// blank lines before anything else leave the header open
	case s.zone == HeaderZone && s.first:
	case s.zone != FreeZone:
		s.leaveTune()
	}
}

// stray reads a line of a tune header that is neither field nor remark: the
// rest of an H: field in old files, else music whose K: is missing.
func (x *lexer) stray(l *Line, body []byte, s *state) {
	if !s.inH && looksLikeMusic(body) {
		l.Kind = MusicLine
		s.zone = TuneBody
		x.scratch = LexMusic(x.scratch, body, s.tune)
		return
	}
	l.Kind = StrayLine
	x.scratch = appendLeaf(x.scratch, Text, len(body))
}

// looksLikeMusic tells music without a K: from a stray line of words: it has a
// bar line and few letters beyond the notes and rests.
func looksLikeMusic(body []byte) bool {
	if bytes.IndexByte(body, '|') < 0 {
		return false
	}
	notes, others := 0, 0
	for _, c := range body {
		switch {
		case c >= 'A' && c <= 'G', c >= 'a' && c <= 'g', c == 'z':
			notes++
		case c >= 'h' && c <= 'y', c >= 'H' && c <= 'Z', c >= 0x80:
			others++
		}
	}
	return notes > 3*others
}

// isField says whether a line is a field. A note followed by a colon and a bar
// line is music where music may stand.
func isField(body []byte, z Zone) bool {
	if len(body) < 2 || body[1] != ':' {
		return false
	}
	c := body[0]
	if c == '+' {
		return true
	}
	if !isLetter(c) {
		return false
	}
	if z == TuneBody && len(body) > 2 && (isPitch(c) || c == 'z' || c == 'x' || c == 'Z') {
		if n := body[2]; n == '|' || n == ':' || n == ']' {
			return false
		}
	}
	return true
}

// field reads a field line.
func (x *lexer) field(l *Line, body []byte, s *state) {
	c := body[0]
	if s.zone == FreeZone && c != 'X' && c != 'K' {
		l.Kind = TextLine
		x.scratch = appendLeaf(x.scratch, Text, len(body))
		return
	}
	l.Kind, l.Field = FieldLine, c
	if c == '+' {
		l.Kind = PlusLine
	}
	x.scratch = appendLeaf(x.scratch, FieldName, 2)
	value := x.value(body[2:], FieldText)
	if c != '+' && c != 'r' {
		s.inH = c == 'H' || s.inH && c == 'w'
	}
	switch {
	case c == 'X':
		l.Starts = true
		s.leaveTune()
		s.zone = TuneHeader
	case c == 'K' && s.zone == TuneHeader:
		s.zone = TuneBody
	case c == 'K' && s.zone != TuneBody:
		l.Starts = true
		s.leaveTune()
		s.zone = TuneBody
	case c == 'I':
		s.instruction(value)
	}
	if s.zone == HeaderZone {
		s.fields = true
	}
}

// value cuts what follows a field's or a directive's name: blanks, text,
// remark. It gives the text.
func (x *lexer) value(rest []byte, k Kind) []byte {
	lead := len(rest) - len(bytes.TrimLeft(rest, " \t"))
	x.scratch = appendLeaf(x.scratch, Space, lead)
	rest = rest[lead:]
	cut := commentStart(rest)
	value := bytes.TrimRight(rest[:cut], " \t")
	x.scratch = appendLeaf(x.scratch, k, len(value))
	x.scratch = appendLeaf(x.scratch, Space, cut-len(value))
	x.scratch = appendLeaf(x.scratch, Comment, len(rest)-cut)
	return value
}

// commentStart finds the % that starts a remark; \% is a plain percent.
func commentStart(b []byte) int {
	for i, c := range b {
		if c == '%' && (i == 0 || b[i-1] != '\\') {
			return i
		}
	}
	return len(b)
}

func trimEnd(b []byte) []byte { return bytes.TrimRight(b, " \t\r\n\f\v") }

func isLetter(c byte) bool { return c >= 'A' && c <= 'Z' || c >= 'a' && c <= 'z' }
func isPitch(c byte) bool  { return c >= 'A' && c <= 'G' || c >= 'a' && c <= 'g' }
func isDigit(c byte) bool  { return c >= '0' && c <= '9' }
