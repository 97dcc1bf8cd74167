package score

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestSameNotes(t *testing.T) {
	tune := "X:1\nK:C\nCDEF|\n"
	for other, same := range map[string]bool{
		"X:1\nK:C\nC D  E F  |\n": true,
		"X:1\nT:x\nK:C\n!p!CDEF|": true,
		"X:1\nK:C\nCDEG|\n":       false,
		"X:1\nK:D\nCDEF|\n":       false,
		"X:1\nK:C\nCDE2|\n":       false,
		"X:1\nV:RH\nK:C\nCDEF|\n": false,
	} {
		assert.Equal(t, same, SameNotes(tune, other), other)
	}
}

func TestApply(t *testing.T) {
	assert.Equal(t, "aXdYf", string(Apply([]byte("abcdef"), []Edit{{Span{4, 5}, "Y"}, {Span{1, 3}, "X"}})))
	assert.Equal(t, "XYab", string(Apply([]byte("ab"), []Edit{{Span{0, 0}, "X"}, {Span{0, 0}, "Y"}})), "those at one place in their order")
	assert.Equal(t, "ab", string(Apply([]byte("ab"), nil)))
}
