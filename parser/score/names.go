package score

import (
	"bytes"
	"strings"

	"fourfold/parser/syntax"
)

// NameKind tells the names apart that a file gives to things.
type NameKind uint8

// The kinds of name.
const (
	VoiceName  NameKind = iota // of V:
	MacroName                  // the target of m:
	SymbolName                 // the letter of U:, and those that have a meaning without
	PartName                   // of P:
)

// Name is one place where a name stands. Names of one kind and text with the same
// Scope are the same thing.
type Name struct {
	Kind    NameKind
	Text    string // as it is defined
	Span    Span   // of the file
	Scope   int    // the tune that it belongs to, from 0; -1 for the file's header
	Defines bool   // the field that gives it
	// Before and After are how many bytes of the span belong to the target of a
	// macro that stands for any note; between them stands the note.
	Before, After int
	Moving        bool // such a macro
}

// Names lists where the names of voices, macros, symbols and parts stand, in the
// order of the text.
func Names(f *syntax.File) []Name {
	n := namer{file: f, scope: -1}
	header := newScope()
	for _, b := range f.Blocks() {
		switch b.Kind {
		case syntax.FileHeaderBlock:
			n.here = header
		case syntax.TuneBlock:
			n.scope++
			n.here = header.within()
		default:
			continue
		}
		n.first = len(n.out)
		for i := b.First; i < b.End; i++ {
			n.line(i)
		}
		n.settle()
	}
	return n.out
}

// scope is what a tune defines, on top of what the file's header does.
type scope struct {
	defined map[nameKey]bool
	outer   map[nameKey]bool // of the header
	macros  macros
}

type nameKey struct {
	kind NameKind
	text string
}

func newScope() *scope { return &scope{defined: map[nameKey]bool{}} }

func (s *scope) within() *scope {
	return &scope{defined: map[nameKey]bool{}, outer: s.defined, macros: s.macros.own()}
}

// namer reads the names block by block.
type namer struct {
	file  *syntax.File
	out   []Name
	scope int
	here  *scope
	first int // of the names of this block
}

// settle gives each name of a tune the scope that defines it.
func (n *namer) settle() {
	for i := n.first; i < len(n.out); i++ {
		key := nameKey{n.out[i].Kind, n.out[i].Text}
		n.out[i].Scope = n.scope
		if !n.here.defined[key] && n.here.outer[key] {
			n.out[i].Scope = -1
		}
	}
}

func (n *namer) line(i int) {
	l := n.file.Line(i)
	text := n.file.LineText(i)
	switch l.Kind {
	case syntax.FieldLine:
		value, at := leafText(l, text, syntax.FieldText)
		n.field(l.Field, value, n.file.Start(i)+at, l.Zone == syntax.TuneBody)
	case syntax.DirectiveLine:
		name, _ := leafText(l, text, syntax.DirectiveName)
		value, at := leafText(l, text, syntax.DirectiveText)
		n.directive(strings.ToLower(strings.TrimPrefix(name, "%%")), value, n.file.Start(i)+at)
	case syntax.MusicLine:
		n.music(l, text, n.file.Start(i))
	}
}

// leafText is the first leaf of a kind and where it starts in its line.
func leafText(l *syntax.Line, text []byte, k syntax.Kind) (string, int) {
	at := 0
	for _, lf := range l.Leaves {
		if lf.Kind() == k {
			return string(text[at : at+lf.Len()]), at
		}
		at += lf.Len()
	}
	return "", len(text)
}

func (n *namer) add(kind NameKind, text string, at int, defines bool) {
	if text == "" {
		return
	}
	key := nameKey{kind, text}
	defines = defines && !n.here.defined[key]
	if defines {
		n.here.defined[key] = true
	}
	n.out = append(n.out, Name{Kind: kind, Text: text, Span: Span{at, at + len(text)}, Defines: defines})
}

// field reads a field whose value stands at a byte of the file.
func (n *namer) field(code byte, value string, at int, body bool) {
	lead := len(value) - len(strings.TrimLeft(value, " \t"))
	rest := value[lead:]
	switch code {
	case 'V':
		id := rest[:wordEnd(rest)]
		if id != "*" {
			n.add(VoiceName, id, at+lead, true)
		}
	case 'P':
		n.parts(strings.TrimRight(rest, " \t"), at+lead, body)
	case 'U':
		if name, _, found := strings.Cut(rest, "="); found && len(strings.TrimSpace(name)) == 1 {
			n.add(SymbolName, name[:1], at+lead, true)
		}
	case 'm':
		n.macro(rest, at+lead)
	case 'I':
		name, value, _ := strings.Cut(rest, " ")
		n.directive(strings.ToLower(name), value, at+lead+len(name)+1)
	}
}

// wordEnd is where the first word of a text ends.
func wordEnd(s string) int {
	if i := strings.IndexAny(s, " \t"); i >= 0 {
		return i
	}
	return len(s)
}

// parts reads the order of the parts in a header, letter by letter, or the name
// of the one that starts in the body.
func (n *namer) parts(value string, at int, body bool) {
	if body {
		n.add(PartName, value, at, true)
		return
	}
	for i := range len(value) {
		if isLetter(value[i]) {
			n.add(PartName, value[i:i+1], at+i, false)
		}
	}
}

func (n *namer) macro(value string, at int) {
	target, replacement, found := strings.Cut(value, "=")
	target = strings.TrimRight(target, " \t")
	if !found || target == "" || len(target) > maxTarget {
		return
	}
	m := newMacro(target, strings.TrimSpace(replacement))
	n.here.macros.add(m)
	n.add(MacroName, target, at, true)
	n.out[len(n.out)-1].Moving = m.transposing
}

// directive reads the voices that %%score, %%staves and %%fourfold harp name.
func (n *namer) directive(name, value string, at int) {
	switch name {
	case "score", "staves":
		for _, v := range parseLayout(value, Span{at, at + len(value)}).names {
			n.add(VoiceName, v.id, v.span.Start, false)
		}
	case "fourfold":
		n.harpVoices(value, at)
	}
}

func (n *namer) harpVoices(value string, at int) {
	words := strings.Fields(value)
	if len(words) == 0 || words[0] != "harp" {
		return
	}
	from := strings.Index(value, "harp") + len("harp")
	for i := from; i < len(value); {
		if strings.IndexByte(" \t+", value[i]) >= 0 {
			i++
			continue
		}
		end := i
		for end < len(value) && strings.IndexByte(" \t+", value[end]) < 0 {
			end++
		}
		n.add(VoiceName, value[i:end], at+i, false)
		i = end
	}
}

// music reads the fields, symbols and macro calls of a line of music.
func (n *namer) music(l *syntax.Line, text []byte, start int) {
	at, field, skip := 0, byte(0), 0
	macros := !n.here.macros.none()
	for _, lf := range l.Leaves {
		k, from := lf.Kind(), at
		at += lf.Len()
		switch {
		case k == syntax.FieldName:
			field = text[from+1]
		case k == syntax.FieldText:
			n.field(field, string(text[from:at]), start+from, true)
		case k == syntax.LineEnd || from < skip || !mayHoldMacro(k):
		default:
			if macros {
				if m, length := n.here.macros.find(bytes.TrimRight(text[from:], "\r\n")); m != nil {
					n.call(m, start+from, length)
					skip = from + length
					continue
				}
			}
			if k == syntax.Shorthand {
				n.add(SymbolName, string(text[from:at]), start+from, false)
			}
		}
	}
}

func (n *namer) call(m *macro, at, length int) {
	c := Name{Kind: MacroName, Text: m.target, Span: Span{at, at + length}, Moving: m.transposing}
	if m.transposing {
		c.Before, c.After = len(m.before), len(m.after)
	}
	n.out = append(n.out, c)
}

// Renamed is the text of the span under another name; old is what it is now. Where
// a macro stands for any note, the note stays. It is false where the new name does
// not fit: such a macro needs an n for its note, and no other has one.
func (n Name) Renamed(old, name string) (string, bool) {
	if n.Kind != MacroName {
		return name, true
	}
	m := newMacro(name, "")
	switch {
	case m.transposing != n.Moving:
		return "", false
	case n.Defines || !n.Moving:
		return name, true
	}
	return m.before + old[n.Before:len(old)-n.After] + m.after, true
}

// Check says why a thing cannot be called so, and what its name may be; "" where it
// can.
func (n Name) Check(name string) string {
	switch n.Kind {
	case VoiceName:
		if name == "" || len(name) > maxVoiceID || name == "*" || strings.ContainsAny(name, " \t\r\n%\"{}()[]|*,+=\\") {
			return "a voice's name has up to 20 letters, digits and signs such as - or _, and no blank"
		}
	case MacroName:
		if name == "" || len(name) > maxTarget || strings.ContainsAny(name, "=%\r\n\t") || name != strings.TrimSpace(name) {
			return "a macro's name has up to 31 signs, and neither = nor %"
		}
	case SymbolName:
		if len(name) != 1 || !(name[0] >= 'H' && name[0] <= 'W' || name[0] >= 'h' && name[0] <= 'w' || name[0] == '~') {
			return "a symbol is one letter: H to W, h to w or ~"
		}
	case PartName:
		if len(n.Text) == 1 && (len(name) != 1 || !isLetter(name[0])) {
			return "a part's name is one letter, so that the order of the parts can be written as P:AABA"
		}
		if name == "" || name != strings.TrimSpace(name) || strings.ContainsAny(name, "%]\r\n") {
			return "a part's name stands on its own line: it is not empty, and has neither % nor ]"
		}
	}
	return ""
}
