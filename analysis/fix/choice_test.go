package fix_test

import (
	"context"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis/fix"
)

// Of a chord with one string too many one note is left out, not three; and a roll
// that comes too fast, and so puts a warning in the place of an error, stands behind
// what leaves none.
func TestOneNoteIsEnough(t *testing.T) {
	demo, err := os.ReadFile("../../testdata/demo/ferry-at-dusk.abc")
	require.NoError(t, err)
	fixes, _ := fixesOf(t, string(demo), "hands/too-many")
	require.Greater(t, len(fixes), 1)
	assert.Equal(t, "Leave out the doubled A (same harmony, same bass and top)", fixes[0].Title)
	rolls := 0
	for i, fx := range fixes {
		assert.LessOrEqual(t, fx.Moved, 1, fx.Title)
		if fx.Family == "roll" {
			rolls++
			assert.True(t, fx.Warned)
			assert.Equal(t, len(fixes)-1, i)
		}
	}
	assert.Equal(t, 1, rolls)
}

// A tempo says what becomes of the finding there: what is tight holds already, and
// where notes around it are slower still, theirs counts.
func TestTempoSaysWhatItDoes(t *testing.T) {
	demo, err := os.ReadFile("../../testdata/demo/ferry-at-dusk.abc")
	require.NoError(t, err)
	rolled := strings.Replace(string(demo), "[FAcfa]", "!arpeggio![FAcfa]", 1)
	for name, c := range map[string]struct{ text, rule, place, want string }{
		"tight":     {string(demo), "hands/tight", "", "Take it at ♩ = 127, where it is no longer tight (same notes)"},
		"alone":     {string(demo), "hands/turn", "", "Take it at ♩ = 131, where it holds (same notes)"},
		"neighbour": {rolled, "hands/new-placing", "!arpeggio!", "Take it at ♩ = 77, where it and the notes around it hold (same notes)"},
	} {
		t.Run(name, func(t *testing.T) {
			r := read(t, []byte(c.text))
			at := strings.Index(c.text, c.place)
			for _, f := range r.findings {
				if f.Rule == c.rule && f.Span.Start >= at {
					fixes := fix.For(context.Background(), r.question(f))
					require.NotEmpty(t, fixes)
					assert.Equal(t, c.want, fixes[len(fixes)-1].Title)
					return
				}
			}
			require.Fail(t, "nothing found")
		})
	}
}
