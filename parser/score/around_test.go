package score

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/parser/syntax"
)

func TestPlaceAt(t *testing.T) {
	text := "X:1\nK:C\nV:1\nC2 [EG]4 {d}c2 | z4 D4 |\nV:2\nC,8|\n\nwords\n\nX:2\nK:C\nC|\n"
	s := Build(syntax.Parse([]byte(text)))
	bars := map[string]int{}
	at := func(piece string, plus int) Place {
		i := strings.Index(text, piece)
		require.GreaterOrEqual(t, i, 0)
		p, ok := s.PlaceAt(i + plus)
		require.True(t, ok, piece)
		if p.Bar != nil {
			bars[piece] = 1
			for k := range p.Voice.Bars() {
				if p.Voice.Bars()[k] == *p.Bar {
					bars[piece] = k + 1
				}
			}
		}
		return p
	}
	p := at("C2 [", 0)
	assert.Equal(t, "1", p.Voice.ID)
	require.NotNil(t, p.Note)
	assert.Equal(t, 28, p.Note.String)
	p = at("[EG]", 2)
	assert.True(t, p.Event.Chord)
	assert.Equal(t, 32, p.Note.String)
	p = at("[EG]", 0)
	assert.True(t, p.Event.Chord)
	assert.Nil(t, p.Note)
	p = at("d}", 0)
	assert.Equal(t, 36, p.Note.String, "the grace note, not the one behind it")
	p = at("D4", 0)
	assert.Equal(t, 2, bars["D4"])
	assert.Equal(t, "1", p.Voice.ID)
	p = at("C,8", 0)
	assert.Equal(t, "2", p.Voice.ID)
	p = at("K:C", 0)
	assert.Nil(t, p.Bar)
	_, ok := s.PlaceAt(strings.Index(text, "words"))
	assert.False(t, ok)
}
