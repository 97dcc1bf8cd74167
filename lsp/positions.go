package lsp

import (
	"sort"
	"strings"
	"unicode/utf8"

	"go.lsp.dev/protocol"

	"fourfold/parser/score"

	wire "fourfold/lsp/protocol"
)

// lines turns byte offsets of one text into lines and columns, and back. It is
// the only code that knows both. A line ends with \n, \r\n or a lone \r, as the
// protocol says. Columns count what the encoding says: UTF-16 units, bytes or
// characters; a byte that is not part of a character counts as one in each.
type lines struct {
	text     string
	starts   []int // byte offset of each line; the first is 0
	encoding string
}

func newLines(text, encoding string) lines {
	return lines{text: text, starts: appendStarts([]int{0}, text, 1, len(text)), encoding: encoding}
}

// appendStarts adds the line starts among the offsets from first to last.
func appendStarts(starts []int, text string, first, last int) []int {
	for i := max(first, 1); i <= last; i++ {
		switch text[i-1] {
		case '\n':
			starts = append(starts, i)
		case '\r':
			if i == len(text) || text[i] != '\n' {
				starts = append(starts, i)
			}
		}
	}
	return starts
}

// edit gives the lines after the bytes of span are replaced by insert. A start
// before the edit stays, one that follows a byte after the edit moves with it,
// and only those between are looked for.
func (l lines) edit(span score.Span, insert string) lines {
	text := l.text[:span.Start] + insert + l.text[span.End:]
	shift := len(insert) - (span.End - span.Start)
	before := max(sort.SearchInts(l.starts, span.Start), 1)
	after := max(sort.SearchInts(l.starts, span.End+1), 1)

	starts := make([]int, before, len(l.starts)+8)
	copy(starts, l.starts[:before])
	starts = appendStarts(starts, text, span.Start, span.Start+len(insert))
	for _, s := range l.starts[after:] {
		starts = append(starts, s+shift)
	}
	return lines{text: text, starts: starts, encoding: l.encoding}
}

// lineAt is the line that holds a byte.
func (l lines) lineAt(offset int) int {
	return sort.Search(len(l.starts), func(i int) bool { return l.starts[i] > offset }) - 1
}

// lineText is a line without its end.
func (l lines) lineText(line int) string {
	end := len(l.text)
	if line+1 < len(l.starts) {
		end = l.starts[line+1]
	}
	t := l.text[l.starts[line]:end]
	t = strings.TrimSuffix(t, "\n")
	return strings.TrimSuffix(t, "\r")
}

// position gives the line and column of a byte. An offset inside a character or
// a line end is taken back to its first byte; one outside the text is moved to
// the nearest end.
func (l lines) position(offset int) protocol.Position {
	offset = min(max(offset, 0), len(l.text))
	line := l.lineAt(offset)
	t := l.lineText(line)
	column := min(offset-l.starts[line], len(t))
	return protocol.Position{Line: uint32(line), Character: uint32(l.column(t, column))}
}

// column counts the units of a line before a byte of it.
func (l lines) column(t string, offset int) int {
	units := 0
	for i := 0; i < offset; {
		r, size := rune(t[i]), 1
		if r >= utf8.RuneSelf {
			r, size = utf8.DecodeRuneInString(t[i:])
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
	if int(p.Line) >= len(l.starts) {
		return len(l.text)
	}
	t := l.lineText(int(p.Line))
	left := int(p.Character)
	i := 0
	for i < len(t) && left > 0 {
		r, size := rune(t[i]), 1
		if r >= utf8.RuneSelf {
			r, size = utf8.DecodeRuneInString(t[i:])
		}
		if left -= l.units(r, size); left < 0 {
			break
		}
		i += size
	}
	return l.starts[p.Line] + i
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
