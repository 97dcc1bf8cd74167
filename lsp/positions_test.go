package lsp

import (
	"strings"
	"testing"
	"unicode/utf16"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.lsp.dev/protocol"

	wire "fourfold/lsp/protocol"
	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

func newLines(text, encoding string) lines { return lines{syntax.Parse([]byte(text)), encoding} }

func at(line, column uint32) protocol.Position {
	return protocol.Position{Line: line, Character: column}
}

func asked(p protocol.Position) wire.Position {
	return wire.Position{Line: wire.Integer(p.Line), Character: wire.Integer(p.Character)}
}

func TestPositionCountsUnits(t *testing.T) {
	const text = "\ufeffX:1\r\nT:café ♯ 🎵 D\rC\n\n"
	d := strings.Index(text, "D")
	for _, c := range []struct {
		name   string
		offset int
		utf16  protocol.Position
		utf8   protocol.Position
		utf32  protocol.Position
	}{
		{"start", 0, at(0, 0), at(0, 0), at(0, 0)},
		{"after the byte order mark", 3, at(0, 1), at(0, 3), at(0, 1)},
		{"between \\r and \\n", strings.Index(text, "\n"), at(0, 4), at(0, 6), at(0, 4)},
		{"second line", strings.Index(text, "T:"), at(1, 0), at(1, 0), at(1, 0)},
		{"inside é", strings.Index(text, "é") + 1, at(1, 5), at(1, 5), at(1, 5)},
		{"after é", strings.Index(text, "é") + 2, at(1, 6), at(1, 7), at(1, 6)},
		{"inside the emoji", strings.Index(text, "🎵") + 2, at(1, 9), at(1, 12), at(1, 9)},
		{"after é ♯ emoji", d, at(1, 12), at(1, 17), at(1, 11)},
		{"after a lone \\r", strings.Index(text, "C\n"), at(2, 0), at(2, 0), at(2, 0)},
		{"last, empty line", len(text), at(4, 0), at(4, 0), at(4, 0)},
		{"past the end", len(text) + 9, at(4, 0), at(4, 0), at(4, 0)},
		{"before the start", -1, at(0, 0), at(0, 0), at(0, 0)},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.Equal(t, c.utf16, newLines(text, wire.UTF16).position(c.offset))
			assert.Equal(t, c.utf8, newLines(text, wire.UTF8).position(c.offset))
			assert.Equal(t, c.utf32, newLines(text, wire.UTF32).position(c.offset))
		})
	}
}

func TestOffsetClamps(t *testing.T) {
	l := newLines("D F\r\na🎵b", wire.UTF16)
	for _, c := range []struct {
		name string
		at   wire.Position
		want int
	}{
		{"past the end of a line", wire.Position{Line: 0, Character: 99}, 3},
		{"between \\r and \\n", wire.Position{Line: 0, Character: 4}, 3},
		{"inside a surrogate pair", wire.Position{Line: 1, Character: 2}, 6},
		{"after it", wire.Position{Line: 1, Character: 3}, 10},
		{"past the last line", wire.Position{Line: 7, Character: 0}, 11},
		{"negative", wire.Position{Line: -1, Character: 3}, 0},
		{"negative column", wire.Position{Line: 1, Character: -3}, 5},
		{"the largest number", wire.Position{Line: 2147483647, Character: 2147483647}, 11},
	} {
		t.Run(c.name, func(t *testing.T) { assert.Equal(t, c.want, l.offset(c.at)) })
	}
	assert.Equal(t, score.Span{Start: 1, End: 5},
		l.span(wire.Range{Start: wire.Position{Line: 1}, End: wire.Position{Character: 1}}), "ends the wrong way round")
}

// FuzzPositions compares with the plain definition: the lines by splitting, the
// columns by encoding what stands before.
func FuzzPositions(f *testing.F) {
	for _, s := range []string{"", "\r", "\r\n\n\r", "é♯🎵\x00e\u0301\n\xff\xc3", "\ufeffX:1\r\nK:C\rCDE"} {
		f.Add(s, 3, 0)
		f.Add(s, 1, 1)
		f.Add(s, 2, 2)
	}
	f.Fuzz(func(t *testing.T, text string, offset, encoding int) {
		encodings := []string{wire.UTF16, wire.UTF8, wire.UTF32}
		l := newLines(text, encodings[uint(encoding)%3])
		if offset < 0 || offset > len(text) {
			offset = len(text) / 2
		}
		p := l.position(offset)
		back := l.offset(asked(p))
		require.LessOrEqual(t, back, offset)
		require.Equal(t, p, l.position(back), "a position is kept")

		if offset == len(text) || utf8.RuneStart(text[offset]) && utf8.ValidString(text) && text[offset] != '\n' {
			require.Equal(t, offset, back, "the start of a character is kept")
			before := strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(text[:offset])
			if offset < len(text) && strings.HasSuffix(text[:offset], "\r") && text[offset] == '\n' {
				return
			}
			require.EqualValues(t, strings.Count(before, "\n"), p.Line)
			line := before[strings.LastIndex(before, "\n")+1:]
			want := map[string]int{wire.UTF8: len(line), wire.UTF16: len(utf16.Encode([]rune(line))), wire.UTF32: len([]rune(line))}[l.encoding]
			require.EqualValues(t, want, p.Character)
		}
	})
}

// FuzzLinesEdit compares the lines after an edit with those of the new text.
func FuzzLinesEdit(f *testing.F) {
	f.Add("a\r\nb", 2, 2, "x")
	f.Add("a\r", 2, 2, "\n")
	f.Add("\r\n", 1, 1, "")
	f.Add("a\nb\rc\r\n", 1, 6, "\r\r\n")
	f.Fuzz(func(t *testing.T, text string, start, end int, insert string) {
		start = min(max(start, 0), len(text))
		end = min(max(end, start), len(text))
		got := newLines(text, wire.UTF16).edit(score.Span{Start: start, End: end}, insert)
		want := newLines(text[:start]+insert+text[end:], wire.UTF16)
		require.Equal(t, string(want.text()), string(got.text()))
		require.Equal(t, want.count(), got.count())
		for line := range want.count() {
			require.Equal(t, want.start(line), got.start(line), "line %d", line)
			require.Equal(t, string(want.lineText(line)), string(got.lineText(line)), "line %d", line)
			require.Equal(t, want.lineAt(want.start(line)), got.lineAt(want.start(line)), "line %d", line)
		}
	})
}
