package score

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/parser/syntax"
)

func TestHeadings(t *testing.T) {
	text := "M:4/4\n\nX:1\nT:First \\'e\nT:Second\nK:C\nC|\n\nwords\n\nX: 2\r\nK:C\nT:in the music\nC|\n"
	list := Headings(syntax.Parse([]byte(text)))
	s := Build(syntax.Parse([]byte(text)))
	require.Len(t, list, len(s.Tunes))
	for i, h := range list {
		assert.Equal(t, s.Tunes[i].Number, h.Number)
		assert.Equal(t, s.Tunes[i].Title, h.Title)
		assert.Equal(t, s.Tunes[i].Span.Start, h.Span.Start)
	}
	assert.Equal(t, "First é", list[0].Title)
	assert.Equal(t, "X: 2", text[list[1].Span.Start:list[1].Span.End])
}
