package score

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/parser/syntax"
)

// Music is written into another staff by its number, or by so many up or down, until
// the next such word of its voice.
func TestOtherStaff(t *testing.T) {
	s := Build(syntax.Parse([]byte("X:1\nL:1/4\n%%score A B\nK:C\nV:A\nc [I:staff 2] d e | f [I:staff +1] g [I:staff -1] [I:staff -1] a [I:staff 1] b [I:staff x] c |\nV:B\nc d e | f g a b |\n")))
	var got []StaffMove
	for _, b := range s.Tunes[0].Voices[0].Bars() {
		for _, e := range b.Events() {
			got = append(got, e.Staff)
		}
	}
	assert.Equal(t, []StaffMove{{}, {To: 2}, {To: 2}, {To: 2}, {To: 2, By: 1}, {To: 2, By: -1}, {To: 1}, {To: 1}}, got)
	for _, b := range s.Tunes[0].Voices[1].Bars() {
		for _, e := range b.Events() {
			assert.Zero(t, e.Staff)
		}
	}
}

func TestCueVoice(t *testing.T) {
	s := Build(syntax.Parse([]byte("X:1\nV:A\nV:B cue=on\nV:C cue=off\nK:C\nV:A\nc\nV:B\nc\nV:C\nc\n")))
	require.Len(t, s.Tunes[0].Voices, 3)
	for i, cue := range []bool{false, true, false} {
		assert.Equal(t, cue, s.Tunes[0].Voices[i].Cue)
	}
}
