package lsp

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/lsp/lsptest"
)

// codeLens is a lens as a client reads it.
type codeLens struct {
	Range   lsptest.Range
	Command struct {
		Title, Command string
		Arguments      []any
	}
}

func (k *talk) lenses() (lenses []codeLens) {
	k.t.Helper()
	require.NoError(k.t, k.Request(k.ctx, "textDocument/codeLens", map[string]any{"textDocument": docID(uri)}, &lenses))
	return lenses
}

func TestCodeLens(t *testing.T) {
	text := turning + "\n" + strings.Replace(pedalled, "X:1", "X:2", 1) + "\nX:3\nT:For the flute\nV:1 name=Flute\nK:C\nCDEF|\n"
	k := start(t, editorUTF16)
	require.NoError(t, k.Open(uri, text))
	lenses := k.lenses()
	require.Len(t, lenses, 2, "the flute's tune asks nothing of a harpist")
	assert.Equal(t, "X:1", under(text, lenses[0].Range))
	assert.Equal(t, "X:2", under(text, lenses[1].Range))
	assert.Contains(t, lenses[0].Command.Title, "Harp: ♩ = 144 asked, holds up to ♩ = ")
	assert.Contains(t, lenses[0].Command.Title, "hardest: bar 1, right hand")
	assert.Contains(t, lenses[1].Command.Title, "1 pedal move · busiest: bar 2, 1 move")
	assert.Equal(t, "fourfold.openReview", lenses[0].Command.Command)
	assert.Equal(t, []any{uri}, lenses[0].Command.Arguments)
}

func TestCodeLensOfNothing(t *testing.T) {
	k := start(t, editorUTF16)
	require.NoError(t, k.Open(uri, ""))
	lenses := k.lenses()
	assert.NotNil(t, lenses)
	assert.Empty(t, lenses)
}
