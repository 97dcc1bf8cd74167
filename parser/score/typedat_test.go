package score

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"fourfold/parser/syntax"
)

// The place is where the bar of the text stands: ‸.
func TestTypedAt(t *testing.T) {
	const tune = "X:1\nV:RH\nK:C\n"
	for _, c := range []struct {
		text   string
		kind   TypedKind
		code   byte
		name   string
		before string
		word   string
		body   bool
	}{
		{"‸", TypedField, 0, "", "", "", false},
		{"X:1\n‸", TypedField, 0, "", "", "", false},
		{"X:1\nT‸", TypedField, 0, "", "", "T", false},
		{tune + "‸", TypedField, 0, "", "", "", true},
		{tune + "w‸", TypedField, 0, "", "", "w", true},
		{tune + "c‸", TypedNothing, 0, "", "", "", true},
		{tune + "cde‸", TypedNothing, 0, "", "", "", true},
		{tune + "c2|\n‸", TypedField, 0, "", "", "", true},
		{tune + "c2|\n\n‸", TypedField, 0, "", "", "", false},
		{"X:1\nK:‸", TypedValue, 'K', "", "", "", false},
		{"X:1\nK: D do‸", TypedValue, 'K', "", " D ", "do", false},
		{tune + "cde [K:D‸", TypedValue, 'K', "", "", "D", true},
		{tune + "cde [V:‸", TypedValue, 'V', "", "", "", true},
		{tune + "[V:RH] cde‸", TypedNothing, 0, "", "", "", true},
		{tune + "cde !tr‸", TypedDecoration, 0, "", "", "tr", true},
		{tune + "!p!cde!‸", TypedDecoration, 0, "", "", "", true},
		{tune + "!p!cde‸", TypedNothing, 0, "", "", "", true},
		{tune + "cde \"^R‸", TypedAnnotation, 0, "", "", "^R", true},
		{tune + "\"!\"cde‸", TypedNothing, 0, "", "", "", true},
		{tune + "cde % !x‸", TypedNothing, 0, "", "", "", true},
		{"%%sc‸", TypedDirective, 0, "", "", "sc", false},
		{"%%Score {R‸", TypedValue, 0, "score", " {", "R", false},
		{"X:1\nI:sc‸", TypedDirective, 0, "", "", "sc", false},
		{"X:1\n%%fourfold harp RH+L‸", TypedValue, 0, "fourfold", " harp RH+", "L", false},
		{"% a remark‸", TypedNothing, 0, "", "", "", false},
		{"%%begintext\nK‸", TypedNothing, 0, "", "", "", false},
		{tune + "C:|‸", TypedNothing, 0, "", "", "", true},
	} {
		offset := strings.Index(c.text, "‸")
		text := strings.Replace(c.text, "‸", "", 1)
		got := TypedAt(syntax.Parse([]byte(text)), offset)
		assert.Equal(t, c.kind, got.Kind, c.text)
		assert.Equal(t, c.body, got.Body, c.text)
		if c.kind != TypedNothing {
			assert.Equal(t, c.code, got.Code, c.text)
			assert.Equal(t, c.name, got.Name, c.text)
			assert.Equal(t, c.before, got.Before, c.text)
			assert.Equal(t, c.word, text[got.Span.Start:got.Span.End], c.text)
		}
	}
}

func FuzzTypedAt(f *testing.F) {
	f.Add("X:1\nK:C\n!p!\"^R\"[K:D]|\n%%score {R}\n", 12)
	f.Fuzz(func(t *testing.T, text string, offset int) {
		if offset < 0 || offset > len(text) {
			return
		}
		got := TypedAt(syntax.Parse([]byte(text)), offset)
		if got.Span.End != offset || got.Span.Start < 0 || got.Span.Start > offset || strings.ContainsAny(text[got.Span.Start:offset], "\r\n") {
			t.Fatalf("%+v", got)
		}
	})
}
