package rules

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Of two pedals of one foot the later says how late the foot is, and whether haste helps.
func TestSameFootTellsOfTheLaterPedal(t *testing.T) {
	p := harpPart(t, "[CD]3/8 [^C^D]29/8 |", "z4 |")
	found := checkSameFoot(p)
	require.Len(t, found, 1)
	assert.Contains(t, found[0].Message, "the last comes 0.6")
	hurried := checkSameFoot(harpPart(t, "[CD]3/4 [^C^D]13/4 |", "z4 |"))
	require.Len(t, hurried, 1)
	assert.Equal(t, Hint, hurried[0].Severity)
	assert.NotEqual(t, Hint, found[0].Severity, "no haste brings both in time")
}
