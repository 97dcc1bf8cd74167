package score

import (
	"bytes"
	"strings"

	"fourfold/parser/syntax"
)

// Link is an address of the web or the name of a file that stands in a text. It is
// told where it stands; nothing is read.
type Link struct {
	Span Span // of the file
	Text string
	File bool // the name of a file
}

// Links are the web addresses in fields, %% lines, remarks and free text, and the
// files that F: and the lines that include others name.
func Links(f *syntax.File) (links []Link) {
	for i := range f.Lines() {
		l, text := f.Line(i), f.LineText(i)
		if l.Kind == syntax.MusicLine || l.Kind == syntax.EmptyLine {
			continue
		}
		at := f.Start(i)
		web := webLinks(text, at)
		links = append(links, web...)
		if len(web) == 0 {
			links = append(links, fileLink(l, text, at)...)
		}
	}
	return links
}

// webLinks finds http:// and https:// up to a blank or a sign that closes.
func webLinks(text []byte, start int) (links []Link) {
	for from := 0; ; {
		i := bytes.Index(text[from:], []byte("http"))
		if i < 0 {
			return links
		}
		at := from + i
		from = at + len("http")
		rest := bytes.TrimPrefix(text[from:], []byte("s"))
		if !bytes.HasPrefix(rest, []byte("://")) {
			continue
		}
		end := at + urlLength(text[at:])
		if end > at+len(text[at:])-len(rest)+len("://") {
			links = append(links, Link{Span: Span{start + at, start + end}, Text: string(text[at:end])})
		}
		from = end
	}
}

// urlLength measures an address; a sign of punctuation at its end is not part of it.
func urlLength(text []byte) int {
	n := bytes.IndexAny(text, " \t\r\n\"<>[]{}|\\^`%")
	for n >= 0 && text[n] == '%' && n+2 < len(text) && isHex(text[n+1]) && isHex(text[n+2]) {
		more := bytes.IndexAny(text[n+3:], " \t\r\n\"<>[]{}|\\^`%")
		if more < 0 {
			n = -1
			break
		}
		n += 3 + more
	}
	if n < 0 {
		n = len(text)
	}
	return len(bytes.TrimRight(text[:n], ".,;:!?)'"))
}

func isHex(c byte) bool { return isDigitByte(c) || c >= 'a' && c <= 'f' || c >= 'A' && c <= 'F' }

// fileLink is the file that a line names.
func fileLink(l *syntax.Line, text []byte, start int) []Link {
	name, value, at := "", "", 0
	switch {
	case l.Kind == syntax.DirectiveLine:
		directive, _ := leafText(l, text, syntax.DirectiveName)
		name = strings.ToLower(strings.TrimPrefix(directive, "%%"))
		value, at = leafText(l, text, syntax.DirectiveText)
	case l.Kind == syntax.FieldLine && l.Field == 'F':
		name = "abc-include"
		value, at = leafText(l, text, syntax.FieldText)
	case l.Kind == syntax.FieldLine && l.Field == 'I':
		value, at = leafText(l, text, syntax.FieldText)
		n := wordEnd(value)
		name = strings.ToLower(value[:n])
		lead := len(value[n:]) - len(strings.TrimLeft(value[n:], " \t"))
		value, at = value[n+lead:], at+n+lead
	}
	switch name {
	case "abc-include", "format", "eps":
	default:
		return nil
	}
	if value == "" || strings.ContainsAny(value, "\x00:") { // another scheme, or a drive
		return nil
	}
	return []Link{{Span: Span{start + at, start + at + len(value)}, Text: value, File: true}}
}
