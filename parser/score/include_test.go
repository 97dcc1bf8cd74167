package score

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/parser/syntax"
)

// Only the file itself is read; what an include would set is said to be unknown.
// Section 11 and the list of I: instructions of the standard, version 2.1.
func TestIncludeIsNamed(t *testing.T) {
	for _, line := range []string{"I:abc-include macros.abh", "%%abc-include macros.abh"} {
		s := Build(syntax.Parse([]byte("%abc-2.1\nX:1\nT:t\nL:1/4\n" + line + "\nK:C\nCDEF|]\n")))
		require.Len(t, s.Tunes, 1)
		require.Len(t, s.Tunes[0].Problems, 1, line)
		assert.Equal(t, RuleLoose, s.Tunes[0].Problems[0].Rule)
		assert.Contains(t, s.Tunes[0].Problems[0].Message, "`macros.abh`")
		assert.Len(t, Notes(s.Tunes[0]), 4)
	}
}
