package lsp

import (
	"bytes"
	"unicode/utf8"

	"go.lsp.dev/protocol"

	"fourfold/parser/score"
	"fourfold/parser/syntax"

	wire "fourfold/lsp/protocol"
)

// lines turns byte offsets of one text into lines and columns, and back. It is
// the only code that knows both. A line ends with \n, \r\n or a lone \r, as the
// protocol says. Columns count what the encoding says: UTF-16 units, bytes or
// characters; a byte that is not part of a character counts as one in each.
type lines struct {
	file     *syntax.File // whose lines are the protocol's
	encoding string
}

// text is what the lines are of. It must not be changed.
func (l lines) text() []byte { return l.file.Text() }

// count is the number of lines. What comes after the last line end is a line, though
// it be empty.
func (l lines) count() int {
	text := l.text()
	if n := len(text); n > 0 && text[n-1] != '\n' && text[n-1] != '\r' {
		return l.file.Lines()
	}
	return l.file.Lines() + 1
}

// start is the byte that a line begins with.
func (l lines) start(line int) int { return l.file.Start(line) }

// edit gives the lines after the bytes of span are replaced by insert.
func (l lines) edit(span score.Span, insert string) lines {
	return lines{l.file.Edit(span.Start, span.End, []byte(insert)), l.encoding}
}

// lineAt is the line that holds a byte.
func (l lines) lineAt(offset int) int {
	if offset >= len(l.text()) {
		return l.count() - 1
	}
	return l.file.LineAt(offset)
}

// lineText is a line without its end.
func (l lines) lineText(line int) []byte {
	if line == l.file.Lines() {
		return nil
	}
	return bytes.TrimSuffix(bytes.TrimSuffix(l.file.LineText(line), []byte("\n")), []byte("\r"))
}

// position gives the line and column of a byte. An offset inside a character or
// a line end is taken back to its first byte; one outside the text is moved to
// the nearest end.
func (l lines) position(offset int) protocol.Position {
	offset = min(max(offset, 0), len(l.text()))
	line := l.lineAt(offset)
	t := l.lineText(line)
	column := min(offset-l.start(line), len(t))
	return protocol.Position{Line: uint32(line), Character: uint32(l.column(t, column))}
}

// column counts the units of a line before a byte of it.
func (l lines) column(t []byte, offset int) int {
	units := 0
	for i := 0; i < offset; {
		r, size := rune(t[i]), 1
		if r >= utf8.RuneSelf {
			r, size = utf8.DecodeRune(t[i:])
		}
		if i+size > offset {
			break
		}
		i += size
		units += l.units(r, size)
	}
	return units
}

// units is how far a character moves the column.
func (l lines) units(r rune, size int) int {
	switch {
	case l.encoding == wire.UTF8:
		return size
	case l.encoding == wire.UTF16 && r >= 0x10000:
		return 2
	}
	return 1
}

// offset gives the byte of a client's position. A column past the end of its
// line is the end of the line, a line past the last is the end of the text, and
// a column inside a character is its start: editors send all three.
func (l lines) offset(p wire.Position) int {
	if p.Line < 0 {
		return 0
	}
	if int(p.Line) >= l.count() {
		return len(l.text())
	}
	t := l.lineText(int(p.Line))
	left := int(p.Character)
	i := 0
	for i < len(t) && left > 0 {
		r, size := rune(t[i]), 1
		if r >= utf8.RuneSelf {
			r, size = utf8.DecodeRune(t[i:])
		}
		if left -= l.units(r, size); left < 0 {
			break
		}
		i += size
	}
	return l.start(int(p.Line)) + i
}

// span gives the bytes of a client's range; the two ends may stand the wrong
// way round.
func (l lines) span(r wire.Range) score.Span {
	a, b := l.offset(r.Start), l.offset(r.End)
	return score.Span{Start: min(a, b), End: max(a, b)}
}

// lineRange gives the range of a span for the client.
func (l lines) lineRange(s score.Span) protocol.Range {
	return protocol.Range{Start: l.position(s.Start), End: l.position(s.End)}
}
