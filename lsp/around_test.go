package lsp

import (
	"context"
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis"
	"fourfold/lsp/bench"
	"fourfold/lsp/lsptest"
)

// What asks about a place of a long text is answered while the whole is being read, and
// as after that.
func TestPlacesDoNotWaitForTheWhole(t *testing.T) {
	text := bench.Score(320, 5)
	require.Greater(t, len(text), shortText)
	read, begun := stuck()
	waiting, done := begin(t, read), start(t, "{}")
	require.NoError(t, waiting.Initialize(waiting.ctx, "{}", nil))
	require.NoError(t, waiting.Open(uri, text))
	<-begun
	require.NoError(t, done.Open(uri, text))
	done.diagnostics(uri)
	ask := func(k *talk, method string, params map[string]any) (answer json.RawMessage) {
		params["textDocument"] = docID(uri)
		require.NoError(t, k.Request(k.ctx, method, params, &answer))
		return answer
	}
	for line, l := range strings.Split(text, "\n") {
		if !strings.HasPrefix(l, "[V:") || line%9 > 1 {
			continue
		}
		at := lsptest.Position{Line: line, Character: 8 + line%20}
		for method, params := range map[string]map[string]any{
			"textDocument/hover":             {"position": at},
			"textDocument/documentHighlight": {"position": at},
			"textDocument/selectionRange":    {"positions": []any{at}},
		} {
			now, then := ask(waiting, method, params), ask(done, method, params)
			if method == "textDocument/hover" { // what is found there is not known yet
				now, then = fitting(t, now), fitting(t, then)
			}
			assert.JSONEq(t, string(then), string(now), "%s at %v", method, at)
		}
	}
	assert.JSONEq(t, string(ask(done, "textDocument/documentSymbol", map[string]any{})), string(ask(waiting, "textDocument/documentSymbol", map[string]any{})))
}

// fitting is a card without what does not fit and what would mend it.
func fitting(t *testing.T, hover json.RawMessage) json.RawMessage {
	var h *struct {
		Contents struct{ Value string }
		Range    any
	}
	require.NoError(t, json.Unmarshal(hover, &h))
	if h == nil {
		return hover
	}
	card, _, _ := strings.Cut(h.Contents.Value, "\nWhat does not fit")
	card, _, _ = strings.Cut(card, "\n"+askActions)
	out, err := json.Marshal(map[string]any{"card": card, "range": h.Range})
	require.NoError(t, err)
	return out
}

// Where a long text has just been opened, hints tell the fingers at once, and the moves of
// the pedals once the whole is read.
func TestHintsDoNotWaitForTheWhole(t *testing.T) {
	text := strings.ReplaceAll(bench.Score(320, 5), "d4 z4", "^g4 z4")
	release := make(chan struct{})
	k := begin(t, func(g *analysis.Glimpse, ctx context.Context) (*analysis.Reading, error) {
		<-release
		return g.Whole(ctx)
	})
	require.NoError(t, k.Initialize(k.ctx, `{"workspace":{"inlayHint":{"refreshSupport":true}}}`, nil))
	require.NoError(t, k.Open(uri, text))
	hints := func() (fingers, moves int) {
		var list []struct{ Label string }
		require.NoError(t, k.Request(k.ctx, "textDocument/inlayHint", map[string]any{"textDocument": docID(uri),
			"range": lsptest.Range{Start: lsptest.Position{Line: 20}, End: lsptest.Position{Line: 60}}}, &list))
		for _, h := range list {
			if strings.HasPrefix(h.Label, "ped. ") {
				moves++
			} else {
				fingers++
			}
		}
		return fingers, moves
	}
	fingers, moves := hints()
	assert.NotZero(t, fingers)
	assert.Zero(t, moves)
	close(release)
	k.await(func(s lsptest.State) bool { return s.Asked("workspace/inlayHint/refresh") == 1 })
	then, moves := hints()
	assert.Equal(t, fingers, then)
	assert.NotZero(t, moves)
}
