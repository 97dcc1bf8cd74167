package lsp

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/lsp/lsptest"
	"fourfold/parser/score"
)

const ragged = `X:1
K:C
[V:RH] "é🎵"C | D |
[V:LH] C,,,, | D,,,, |
[V:RH] C | D |
[V:LH] C,,,, | D,,,, |
`

func (k *talk) format(method string, more map[string]any) string {
	k.t.Helper()
	params := map[string]any{"textDocument": docID(uri), "options": map[string]any{"tabSize": 4, "insertSpaces": false}}
	for name, v := range more {
		params[name] = v
	}
	edits := []lsptest.TextEdit{}
	require.NoError(k.t, k.Request(k.ctx, method, params, &edits))
	require.NotNil(k.t, edits)
	var a lsptest.Action
	a.Edit.Changes = map[string][]lsptest.TextEdit{uri: edits}
	require.NoError(k.t, k.Accept(a))
	return k.Buffer(uri).Text
}

func TestFormatting(t *testing.T) {
	first := "[V:RH] \"é🎵\"C | D     |\n[V:LH] C,,,, | D,,,, |\n"
	second := "[V:RH] C     | D     |\n[V:LH] C,,,, | D,,,, |\n"
	plain := ragged[len("X:1\nK:C\n"):]
	half := len("[V:RH] \"é🎵\"C | D |\n[V:LH] C,,,, | D,,,, |\n")
	at := func(line int) lsptest.Position { return lsptest.Position{Line: line, Character: 3} }
	for _, c := range []struct {
		name, method string
		more         map[string]any
		want         string
	}{
		{"all", "textDocument/formatting", nil, first + second},
		{"a range", "textDocument/rangeFormatting", map[string]any{"range": lsptest.Range{Start: at(4), End: at(4)}}, plain[:half] + second},
		{"a bar line is typed", "textDocument/onTypeFormatting", map[string]any{"position": at(3), "ch": "|"}, first + plain[half:]},
		{"a line ends", "textDocument/onTypeFormatting", map[string]any{"position": lsptest.Position{Line: 6}, "ch": "\n"}, plain[:half] + second},
	} {
		t.Run(c.name, func(t *testing.T) {
			k := start(t, "{}")
			require.NoError(t, k.Open(uri, ragged))
			got := k.format(c.method, c.more)
			assert.Equal(t, "X:1\nK:C\n"+c.want, got)
			assert.True(t, score.SameNotes(ragged, got))
			assert.Equal(t, got, k.format(c.method, c.more), "once is enough")
		})
	}
}

func TestFormattingOfNothing(t *testing.T) {
	k := start(t, "{}")
	require.NoError(t, k.Open(uri, ""))
	assert.Empty(t, k.format("textDocument/formatting", nil))
	assert.Empty(t, k.format("textDocument/onTypeFormatting", map[string]any{"position": lsptest.Position{}, "ch": "\n"}))
}
