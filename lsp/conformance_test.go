package lsp

import (
	"encoding/json"
	"fmt"
	"maps"
	"net"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.lsp.dev/protocol"

	"fourfold/analysis"
	"fourfold/lsp/lsptest"
)

// requestMethods are all requests that the server answers.
func requestMethods(t *testing.T) []string {
	ours, theirs := net.Pipe()
	t.Cleanup(func() { _ = ours.Close(); _ = theirs.Close() })
	return slices.Sorted(maps.Keys(newSession(t.Context(), theirs, Options{}, (*analysis.Glimpse).Whole).requests))
}

// aboutNothing are requests whose params need hold nothing.
var aboutNothing = map[string]bool{
	protocol.MethodShutdown: true, protocol.MethodWorkspaceSymbol: true, "workspace/diagnostic": true, "codeAction/resolve": true,
}

// Before initialize every request is answered with "server not initialized", after
// shutdown with "invalid request"; one with wrong params with "invalid params", an
// unknown one with "method not found". Ids may be strings, whatever is in them.
func TestRequestsInEveryPhase(t *testing.T) {
	methods := requestMethods(t)
	require.Greater(t, len(methods), 25)
	k := begin(t, (*analysis.Glimpse).Whole)
	id := 0
	send := func(method, params string, code int) {
		t.Helper()
		id++
		name, err := json.Marshal(fmt.Sprintf("é %d \" %s", id, method))
		require.NoError(t, err)
		a := k.ask(string(name), fmt.Sprintf(`{"jsonrpc":"2.0","id":%s,"method":%q,"params":%s}`, name, method, params))
		if code == 0 {
			require.Nil(t, a.Error, "%s %s", method, params)
			return
		}
		require.NotNil(t, a.Error, "%s %s: %s", method, params, a.Result)
		assert.Equal(t, code, a.Error.Code, "%s %s: %s", method, params, a.Error.Message)
		assert.NotEmpty(t, a.Error.Message)
	}
	for _, m := range methods {
		if m != protocol.MethodInitialize {
			send(m, "{}", -32002)
		}
	}
	send("textDocument/unheardOf", "{}", -32002)
	send("$/unheardOf", "{}", -32002)
	require.NoError(t, k.Initialize(k.ctx, editorUTF16, nil))
	for _, m := range methods {
		switch {
		case m == protocol.MethodInitialize:
			send(m, "{}", -32600)
		case m == protocol.MethodShutdown:
		default:
			for _, params := range []string{`7`, `"x"`, `[]`, `[7]`, `true`} {
				send(m, params, -32602)
			}
			if !aboutNothing[m] {
				for _, params := range []string{`null`, `{}`, `{"textDocument":{}}`, `{"textDocument":{"uri":"file:///not/open.abc"}}`} {
					send(m, params, -32602)
				}
			}
		}
	}
	send("textDocument/unheardOf", "{}", -32601)
	send("$/unheardOf", "7", -32601)
	require.NoError(t, k.Notify("$/unheardOf", 7))
	require.NoError(t, k.Notify("workspace/unheardOf", nil))
	send(protocol.MethodShutdown, "null", 0)
	for _, m := range append(methods, "textDocument/unheardOf") {
		send(m, "{}", -32600)
	}
	require.NoError(t, k.Notify("exit", nil))
	assert.Equal(t, 0, k.exitCode())
}

// The server asks the client nothing before it has said initialized.
func TestNothingIsAskedTooEarly(t *testing.T) {
	k := begin(t, (*analysis.Glimpse).Whole)
	require.NoError(t, k.Request(k.ctx, "initialize", map[string]any{
		"capabilities": json.RawMessage(`{"workspace":{"configuration":true,"didChangeConfiguration":{"dynamicRegistration":true},
			"didChangeWatchedFiles":{"dynamicRegistration":true},"diagnostics":{"refreshSupport":true},"inlayHint":{"refreshSupport":true},
			"codeLens":{"refreshSupport":true}},"textDocument":{"diagnostic":{}},"window":{"workDoneProgress":true}}`),
		"initializationOptions": json.RawMessage(levels("hint"))}, nil))
	asked := []string{"workspace/diagnostic/refresh", "workspace/inlayHint/refresh", "workspace/codeLens/refresh", "client/registerCapability", "workspace/configuration"}
	for range 3 {
		require.NoError(t, k.Notify("workspace/didChangeWorkspaceFolders", map[string]any{"event": map[string]any{"added": []any{}, "removed": []any{}}}))
		k.fails("textDocument/unheardOf", nil, -32601)
	}
	k.await(func(s lsptest.State) bool {
		for _, method := range asked {
			assert.Zero(t, s.Asked(method), method)
		}
		return true
	})
	require.NoError(t, k.Notify("initialized", struct{}{}))
	require.NoError(t, k.Notify("workspace/didChangeWorkspaceFolders", map[string]any{"event": map[string]any{"added": []any{}, "removed": []any{}}}))
	k.await(func(s lsptest.State) bool {
		for _, method := range asked {
			if s.Asked(method) == 0 {
				return false
			}
		}
		return true
	})
}

// Every request about a document is answered on texts of all kinds: an empty one,
// one that is no score, one cut off anywhere, with places far outside.
func TestRequestsOnAnyText(t *testing.T) {
	texts := []string{"", "\n", "words\r\rmore", "X:1", "%%", "X:1\nK:", "\xff\xfe", withNames, turning[:len(turning)/2], inParts, "[V:1][V:2]|[", "é🎵\u2028" + pedalled}
	far := lsptest.Position{Line: 1 << 30, Character: 1 << 30}
	mid := lsptest.Position{Line: 9, Character: 3}
	k := start(t, editorTrees)
	for i, text := range texts {
		name := fmt.Sprintf("file:///scores/%d.abc", i)
		require.NoError(t, k.Open(name, text))
		for _, m := range requestMethods(t) {
			if !strings.HasPrefix(m, "textDocument/") && !strings.HasPrefix(m, "fourfold/") {
				continue
			}
			for _, at := range []lsptest.Position{{}, mid, far} {
				id, err := k.Ask(m, map[string]any{
					"textDocument": docID(name), "position": at, "positions": []any{at, at}, "range": lsptest.Range{Start: at, End: far},
					"context": map[string]any{"diagnostics": []any{}, "includeDeclaration": true}, "newName": "x", "ch": "|", "previousResultId": "1",
					"options": map[string]any{"tabSize": 2, "insertSpaces": true}})
				require.NoError(t, err)
				a, err := k.AwaitAnswer(k.ctx, id)
				require.NoError(t, err)
				if a.Error != nil {
					assert.Equal(t, protocol.MethodTextDocumentRename, m, a.Error)
					assert.Equal(t, -32803, a.Error.Code)
				}
			}
		}
	}
}

// What the server says that it can do, it does; and it says no more than the client
// takes.
func TestCapabilitiesAreKept(t *testing.T) {
	ask := func(capabilities string) map[string]json.RawMessage {
		k := begin(t, (*analysis.Glimpse).Whole)
		var result struct{ Capabilities map[string]json.RawMessage }
		require.NoError(t, k.Initialize(k.ctx, capabilities, &result))
		return result.Capabilities
	}
	plain := ask("{}")
	for capability, method := range map[string]string{
		"hoverProvider": "textDocument/hover", "codeActionProvider": "textDocument/codeAction", "inlayHintProvider": "textDocument/inlayHint",
		"codeLensProvider": "textDocument/codeLens", "documentSymbolProvider": "textDocument/documentSymbol", "workspaceSymbolProvider": "workspace/symbol",
		"foldingRangeProvider": "textDocument/foldingRange", "selectionRangeProvider": "textDocument/selectionRange",
		"semanticTokensProvider": "textDocument/semanticTokens/full", "completionProvider": "textDocument/completion",
		"signatureHelpProvider": "textDocument/signatureHelp", "definitionProvider": "textDocument/definition", "referencesProvider": "textDocument/references",
		"renameProvider": "textDocument/rename", "documentHighlightProvider": "textDocument/documentHighlight",
		"documentFormattingProvider": "textDocument/formatting", "documentRangeFormattingProvider": "textDocument/rangeFormatting",
		"documentOnTypeFormattingProvider": "textDocument/onTypeFormatting", "documentLinkProvider": "textDocument/documentLink",
		"executeCommandProvider": "workspace/executeCommand",
	} {
		assert.Contains(t, plain, capability)
		assert.Contains(t, requestMethods(t), method)
	}
	assert.JSONEq(t, `true`, string(plain["renameProvider"]))
	assert.NotContains(t, plain, "diagnosticProvider")
	full := ask(`{"textDocument":{"rename":{"prepareSupport":true},"diagnostic":{}}}`)
	assert.JSONEq(t, `{"prepareProvider":true}`, string(full["renameProvider"]))
	assert.Contains(t, full, "diagnosticProvider")
}
