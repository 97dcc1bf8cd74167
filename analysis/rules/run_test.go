package rules

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// impatient is a context that ends when it has been looked at so many times.
type impatient struct {
	context.Context
	looks int
}

func (c *impatient) Err() error {
	if c.looks--; c.looks < 0 {
		return context.Canceled
	}
	return nil
}

// TestRunEndsInsideATune: wherever the context ends, so does the run, and the
// next one with the same memory finds what a run from nothing finds.
func TestRunEndsInsideATune(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "testdata", "demo", "ferry-at-dusk.abc"))
	require.NoError(t, err)
	s := score.Build(syntax.Parse(text))
	require.Len(t, s.Tunes, 1)
	_, want, err := Run(t.Context(), text, s, Defaults())
	require.NoError(t, err)

	set := Defaults().Remembering(NewMemory())
	looks := 0
	for ; ; looks++ {
		parts, findings, err := Run(&impatient{t.Context(), looks}, text, s, set)
		if err == nil {
			assert.Equal(t, want, findings)
			break
		}
		require.ErrorIs(t, err, context.Canceled)
		require.Nil(t, parts)
		require.Nil(t, findings)
	}
	assert.Greater(t, looks, len(All())/2, "it is looked at between the rules")
}
