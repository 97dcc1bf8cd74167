package rules

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A fermata inside a repeat puts the notes after it off, and takes nothing from the time
// on the way back.
func TestFermataInARepeat(t *testing.T) {
	for _, end := range []string{"c3c'/4e'/4g'/4c''/4", "c2 !arpeggio![c'c'']2"} {
		music := "|: C/4E/4G/4c/4 c3 | c2 c2 | " + end + " :|"
		plain := harpPart(t, music, "|: z4 | z4 | z4 :|")
		held := harpPart(t, strings.Replace(music, "c2 c2", "!fermata!c2 c2", 1), "|: z4 | z4 | z4 :|")
		assert.Len(t, held.seams, len(plain.seams), end)
		for i, s := range plain.seams {
			was, is := s.hand.Strokes, held.seams[i].hand.Strokes
			assert.InDelta(t, was[s.before].T-was[s.before-1].T, is[s.before].T-is[s.before-1].T, 1e-9, end)
		}
	}
}
