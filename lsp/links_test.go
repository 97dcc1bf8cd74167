package lsp

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis"
	"fourfold/lsp/lsptest"
)

func TestDocumentLinks(t *testing.T) {
	text := "%%abc-include more scores.abh\nX:1\nF:https://example.org/é\nF:../beside.abc\nF:../../outside.abc\nF:/etc/passwd\nK:C\nC|\n"
	folder := t.TempDir()
	k := begin(t, (*analysis.Glimpse).Whole)
	require.NoError(t, k.Request(k.ctx, "initialize", map[string]any{"capabilities": struct{}{}, "rootUri": fileURI(folder)}, nil))
	name := fileURI(filepath.Join(folder, "parts", "harp.abc"))
	ask := func(name string) (found map[string]string) {
		require.NoError(t, k.Open(name, text))
		var links []struct {
			Range  lsptest.Range
			Target string
		}
		require.NoError(t, k.Request(k.ctx, "textDocument/documentLink", map[string]any{"textDocument": docID(name)}, &links))
		require.NotNil(t, links)
		found = map[string]string{}
		for _, l := range links {
			found[under(text, l.Range)] = l.Target
		}
		return found
	}
	assert.Equal(t, map[string]string{
		"more scores.abh":       fileURI(filepath.Join(folder, "parts", "more scores.abh")),
		"https://example.org/é": "https://example.org/é",
		"../beside.abc":         fileURI(filepath.Join(folder, "beside.abc")),
	}, ask(name))
	assert.Equal(t, map[string]string{"https://example.org/é": "https://example.org/é"}, ask("untitled:Untitled-1"))
}
