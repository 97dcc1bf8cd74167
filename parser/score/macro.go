package score

import (
	"bytes"
	"maps"
	"strings"

	"fourfold/parser/syntax"
)

// macro is m:target=replacement. In a transposing one the n of the target
// stands for any note.
type macro struct {
	target      string
	replacement string
	before      string // what precedes the n of a transposing macro
	after       string // what follows it
	transposing bool
}

const (
	maxTarget      = 31
	maxReplacement = 200
)

// setMacro acts on m:. A later macro with the same target wins.
func (r *reader) setMacro(f field) {
	target, replacement, found := strings.Cut(f.text, "=")
	target, replacement = strings.TrimSpace(target), strings.TrimSpace(replacement)
	if !found || target == "" || len(target) > maxTarget || len(replacement) > maxReplacement {
		r.problem(RuleSyntax, f.span, "A macro is written `m:target=replacement`, the target with up to 31 signs, the replacement with up to 200.")
		return
	}
	r.env.macros.add(newMacro(target, replacement))
}

// newMacro is transposing where an n for the note ends its target, but for a
// length.
func newMacro(target, replacement string) *macro {
	m := &macro{target: target, replacement: replacement}
	if i := strings.LastIndexByte(target, 'n'); i >= 0 && strings.Trim(target[i+1:], "0123456789/") == "" {
		m.transposing, m.before, m.after = true, target[:i], target[i+1:]
	}
	return m
}

// macros are those in force. A static one is found by its target, a transposing
// one by what stands before the n of its target.
type macros struct {
	fixed  map[string]*macro
	moving map[string][]*macro
	fixedLengths,
	movingLengths uint32 // which lengths of target occur, a bit each
	shared bool
}

func (m *macros) none() bool { return m.fixedLengths == 0 && m.movingLengths == 0 }

// own gives macros that are copied before they change.
func (m macros) own() macros {
	m.shared = true
	return m
}

func (m *macros) add(n *macro) {
	if m.shared || m.fixed == nil {
		m.fixed, m.moving, m.shared = maps.Clone(m.fixed), maps.Clone(m.moving), false
		if m.fixed == nil {
			m.fixed, m.moving = map[string]*macro{}, map[string][]*macro{}
		}
	}
	if !n.transposing {
		m.fixed[n.target] = n
		m.fixedLengths |= 1 << len(n.target)
		return
	}
	list := []*macro{n}
	for _, o := range m.moving[n.before] {
		if o.target != n.target {
			list = append(list, o)
		}
	}
	m.moving[n.before] = list
	m.movingLengths |= 1 << len(n.before)
}

// call finds the longest macro whose call starts the text: the length of the
// call, 0 for none, and what it is replaced by.
func (m *macros) call(s []byte) (int, string) {
	o, n := m.find(s)
	switch {
	case o == nil:
		return 0, ""
	case o.transposing:
		_, base := o.match(s)
		return n, o.transpose(base)
	}
	return n, o.replacement
}

// find gives the longest macro whose call starts the text, and the length of the
// call; nil for none.
func (m *macros) find(s []byte) (best *macro, length int) {
	for n := min(len(s), maxTarget); n > 0; n-- {
		if m.fixedLengths&(1<<n) != 0 {
			if o := m.fixed[string(s[:n])]; o != nil {
				best, length = o, n
				break
			}
		}
	}
	for n := 0; n < min(len(s), maxTarget); n++ {
		if m.movingLengths&(1<<n) == 0 {
			continue
		}
		for _, o := range m.moving[string(s[:n])] {
			if n, _ := o.match(s); n > length {
				best, length = o, n
			}
		}
	}
	return best, length
}

// match gives the length of a transposing macro's call, and the note called.
func (m *macro) match(s []byte) (length, base int) {
	n := len(m.before)
	if len(s) <= n || letterIndex(s[n]) < 0 {
		return 0, 0
	}
	note := n
	n++
	for n < len(s) && (s[n] == ',' || s[n] == '\'') {
		n++
	}
	if !bytes.HasPrefix(s[n:], []byte(m.after)) {
		return 0, 0
	}
	return n + len(m.after), noteNumber(s[note:n])
}

// transpose moves the letters h to z of the replacement with the note.
func (m *macro) transpose(base int) string {
	var b strings.Builder
	quoted := byte(0)
	for i := range len(m.replacement) {
		c := m.replacement[i]
		switch {
		case quoted != 0:
			if c == quoted {
				quoted = 0
			}
			b.WriteByte(c)
		case c == '"' || c == '!':
			quoted = c
			b.WriteByte(c)
		case c >= 'h' && c <= 'z':
			b.WriteString(noteText(base + int(c) - 'n'))
		default:
			b.WriteByte(c)
		}
	}
	return b.String()
}

// noteNumber counts the white keys up from the octave of C, middle C being 28.
func noteNumber(s []byte) int {
	n := 28 + letterIndex(s[0])
	if s[0] >= 'a' {
		n += 7
	}
	return n + 7*octaveMarks(s[1:])
}

// noteText writes such a number as a note.
func noteText(n int) string {
	octave, letter := floorDiv(n, 7)
	s := letters[letter : letter+1]
	if octave > 4 {
		return strings.ToLower(s) + strings.Repeat("'", octave-5)
	}
	return s + strings.Repeat(",", 4-octave)
}

// part is a stretch of expanded text and where it comes from.
type part struct {
	from, to int // in the expanded text
	start    int // in the file
	end      int
	call     bool // it is what a macro gave
}

// expand replaces the macro calls of a line. Text in quotes, decorations,
// fields and remarks are left alone.
func (r *reader) expand(c *cursor, d syntax.Dialect) {
	var out []byte
	var parts []part
	base, at, copied := c.src.base, 0, 0
	flush := func(to int) {
		if to > copied {
			parts = append(parts, part{len(out), len(out) + to - copied, base + copied, base + to, false})
			out = append(out, c.text[copied:to]...)
		}
	}
	skip := 0
	for _, l := range c.leaves {
		start := at
		at += l.Len()
		if l.Kind() == syntax.LineEnd {
			break
		}
		if !mayHoldMacro(l.Kind()) || start < skip {
			continue
		}
		n, text := r.env.macros.call(c.text[start:])
		if n == 0 {
			continue
		}
		flush(start)
		parts = append(parts, part{len(out), len(out) + len(text), base + start, base + start + n, true})
		out = append(out, text...)
		copied, skip = start+n, start+n
	}
	if parts == nil {
		return
	}
	flush(len(strings.TrimRight(string(c.text), "\r\n")))
	c.text, c.leaves = out, syntax.LexMusic(nil, out, d)
	c.src = source{base: base, parts: parts}
}

func mayHoldMacro(k syntax.Kind) bool {
	switch k {
	case syntax.Quoted, syntax.Decoration, syntax.Comment, syntax.FieldName, syntax.FieldText, syntax.FieldEnd, syntax.Space:
		return false
	}
	return true
}

func (s *source) find(at int) *part {
	lo, hi := 0, len(s.parts)-1
	for lo < hi {
		mid := (lo + hi) / 2
		if s.parts[mid].to <= at {
			lo = mid + 1
		} else {
			hi = mid
		}
	}
	return &s.parts[lo]
}

// mapped gives the place in the file of a stretch of expanded text: what a
// macro gave stands where its call stands.
func (s *source) mapped(from, to int) Span {
	p := s.find(from)
	span := Span{p.start + from - p.from, 0}
	if p.call {
		span.Start = p.start
	}
	q := s.find(max(from, to-1))
	span.End = q.start + to - q.from
	if q.call {
		span.End = q.end
	}
	return span
}

func (s *source) expanded(at int) bool { return s.find(at).call }
