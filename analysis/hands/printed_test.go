package hands

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// Which note a number belongs to. Notes are listed as written, 0 for one without.
func TestPrintedFingersGoToNotes(t *testing.T) {
	tests := []struct {
		music   string
		fingers []int
		spare   int // numbers that no note has
	}{
		{"!3!c", []int{3}, 0},
		{"c", []int{0}, 0},
		{"!5!c", []int{0}, 0},
		{"!0!c", []int{0}, 0},
		{"!1!!3!c", []int{1}, 1},
		{"!1!!2!!4![ceg]", []int{4, 2, 1}, 0},
		{"!4!!2!!1![gec]", []int{1, 2, 4}, 0},
		{"[!4!c!2!e!1!g]", []int{4, 2, 1}, 0},
		{"[!3!ceg]", []int{3, 0, 0}, 0},
		{"!1![ceg]", []int{0, 0, 1}, 0},
		{"!2![ceg]", []int{0, 0, 2}, 0},
		{"!4![ceg]", []int{4, 0, 0}, 0},
		{"!1!!4![ceg]", []int{4, 0, 1}, 0},
		{"!1![c!3!eg]", []int{0, 3, 1}, 0},
		{"!1!!2!!3!!4![ce]", []int{2, 1}, 2},
		{"[!1!!2!ce]", []int{1, 0}, 1},
		{"{!2!d}!1!c", []int{1}, 0},
		{"!4![ceg]-!1![ceg]", []int{4, 0, 0}, 0},
	}
	for _, tt := range tests {
		t.Run(tt.music, func(t *testing.T) {
			s := score.Build(syntax.Parse(fmt.Appendf(nil, "X:1\nL:1/4\nK:C\n%s z|\n", tt.music)))
			ev := &s.Tunes[0].Voices[0].Bars()[0].Events()[0]
			got, spare := make([]int, len(ev.Notes)), 0
			for _, f := range PrintedFingers(ev) {
				if f.Note < 0 {
					spare++
					continue
				}
				require.Zero(t, got[f.Note])
				got[f.Note] = f.Finger
			}
			assert.Equal(t, tt.fingers, got)
			assert.Equal(t, tt.spare, spare)
		})
	}
}
