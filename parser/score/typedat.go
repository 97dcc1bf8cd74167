package score

import (
	"strings"

	"fourfold/parser/syntax"
)

// TypedKind is what is being typed at a place.
type TypedKind uint8

// The kinds.
const (
	TypedNothing    TypedKind = iota // nothing that has a list: notes, words, remarks
	TypedField                       // a field at the start of a line
	TypedDirective                   // the name of a %% line
	TypedValue                       // the value of a field or a %% line
	TypedDecoration                  // a name between exclamation marks
	TypedAnnotation                  // a text in quotes over a note
)

// Typed is what is being typed at a place of a text.
type Typed struct {
	Kind   TypedKind
	Code   byte   // the letter of the field whose value it is; 0 for a %% line's
	Name   string // of the %% line, in small letters
	Inline bool   // the field stands in brackets in the music
	Body   bool   // it is in the music of a tune
	Before string // the value up to the word that is being typed
	Span   Span   // of the file: the word as far as it is typed
}

// TypedAt says what is being typed at a byte of a file.
func TypedAt(f *syntax.File, offset int) (t Typed) {
	text := f.Text()
	start := offset
	for start > 0 && text[start-1] != '\n' && text[start-1] != '\r' {
		start--
	}
	before := string(text[start:offset])
	t.Span = Span{offset, offset}
	t.Body = bodyAt(f, start)
	switch {
	case f.Lines() > 0 && start < len(text) && f.Line(f.LineAt(start)).Kind == syntax.BlockLine:
		return t
	case strings.HasPrefix(before, "%%"):
		t.directive(before[2:], offset)
	case strings.HasPrefix(strings.TrimLeft(before, " \t"), "%"):
	case len(before) >= 2 && before[1] == ':' && (isLetter(before[0]) || before[0] == '+') && !noteColon(before, t.Body):
		t.value(before[0], before[2:], offset)
	case len(before) == 0 || len(before) == 1 && isLetter(before[0]) && !(t.Body && strings.ContainsAny(before, "abcdefgABCDEFGzxyZX")):
		t.Kind, t.Span.Start = TypedField, start
	case t.Body:
		t.music(before, offset)
	}
	return t
}

// bodyAt says whether the line that starts at a byte, which need not be there yet,
// stands in the music of a tune: the line before it does, or is the K: of its
// header.
func bodyAt(f *syntax.File, start int) bool {
	i := f.Lines() - 1
	for i >= 0 && f.Start(i) >= start {
		i--
	}
	if i < 0 {
		return false
	}
	l := f.Line(i)
	return l.Zone == syntax.TuneBody && l.Kind != syntax.EmptyLine || l.Kind == syntax.FieldLine && l.Field == 'K' && l.Zone == syntax.TuneHeader
}

// noteColon says whether a line starts with a note and a bar line, which look like
// a field.
func noteColon(before string, body bool) bool {
	return body && len(before) > 2 && strings.IndexByte("|:]", before[2]) >= 0
}

// directive reads what stands behind %%.
func (t *Typed) directive(rest string, offset int) {
	name := rest[:wordEnd(rest)]
	if len(name) == len(rest) {
		t.Kind, t.Span.Start = TypedDirective, offset-len(rest)
		return
	}
	t.Name = strings.ToLower(name)
	t.value(0, rest[len(name):], offset)
}

// value takes the last word of a value as the one that is being typed.
func (t *Typed) value(code byte, value string, offset int) {
	if code == 'I' {
		rest := strings.TrimLeft(value, " \t")
		t.directive(rest, offset)
		return
	}
	at := strings.LastIndexAny(value, " \t{}()[]|+,") + 1
	t.Kind, t.Code, t.Before, t.Span.Start = TypedValue, code, value[:at], offset-len(value)+at
}

// music looks for what is open at the end of a piece of music: quotes, a field in
// brackets, a decoration.
func (t *Typed) music(before string, offset int) {
	quote, bang, field := -1, -1, -1
	for i := 0; i < len(before); i++ {
		switch c := before[i]; {
		case quote >= 0:
			if c == '"' {
				quote = -1
			}
		case c == '"' && field < 0:
			quote, bang = i, -1
		case c == '[' && i+2 < len(before) && isLetter(before[i+1]) && before[i+2] == ':':
			field, bang = i, -1
		case c == ']':
			field = -1
		case c == '!' && bang < 0 && field < 0:
			bang = i
		case c == '!', c == ' ', c == '\t', c == '|', c == '[', c == ':':
			bang = -1
		case c == '%' && field < 0:
			return
		}
	}
	switch {
	case quote >= 0:
		t.Kind, t.Span.Start = TypedAnnotation, offset-len(before)+quote+1
	case field >= 0:
		t.Inline = true
		t.value(before[field+1], before[field+3:], offset)
	case bang >= 0:
		t.Kind, t.Span.Start = TypedDecoration, offset-len(before)+bang+1
	}
}
