package lsp

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis"
	"fourfold/lsp/lsptest"
)

const uri = "file:///scores/ferry.abc"

// docID names the document of a request.
func docID(uri string) map[string]any { return map[string]any{"uri": uri} }

func hoverAt(line, column int) map[string]any {
	return map[string]any{"textDocument": docID(uri), "position": lsptest.Position{Line: line, Character: column}}
}

// stuck is an analysis that lasts until its context ends, and says when it
// begins.
func stuck() (analyse, chan struct{}) {
	begun := make(chan struct{}, 1000)
	return func(g *analysis.Glimpse, ctx context.Context) (*analysis.Reading, error) {
		begun <- struct{}{}
		<-ctx.Done()
		return nil, ctx.Err()
	}, begun
}

func TestPhases(t *testing.T) {
	k := begin(t, (*analysis.Glimpse).Whole)
	k.fails("textDocument/hover", hoverAt(0, 0), -32002)
	k.fails("shutdown", nil, -32002)
	require.NoError(t, k.Open(uri, "X:1\nK:C\nC|\n"), "a notification before initialize is not heard")
	var result struct {
		Capabilities struct {
			PositionEncoding string
			TextDocumentSync struct {
				OpenClose, Save bool
				Change          int
			}
			HoverProvider      bool
			CodeActionProvider struct{ CodeActionKinds []string }
		}
		ServerInfo struct{ Name, Version string }
	}
	require.NoError(t, k.Initialize(k.ctx, "{}", &result))
	assert.Equal(t, "utf-16", result.Capabilities.PositionEncoding)
	assert.True(t, result.Capabilities.TextDocumentSync.OpenClose)
	assert.True(t, result.Capabilities.TextDocumentSync.Save)
	assert.Equal(t, 2, result.Capabilities.TextDocumentSync.Change)
	assert.True(t, result.Capabilities.HoverProvider)
	assert.Equal(t, []string{"quickfix", "source.fixAll.fourfold", "refactor.rewrite"}, result.Capabilities.CodeActionProvider.CodeActionKinds)
	assert.Equal(t, "fourfold", result.ServerInfo.Name)
	assert.Equal(t, "test", result.ServerInfo.Version)

	k.fails("textDocument/hover", hoverAt(0, 0), -32602) // it was opened too early
	k.fails("initialize", map[string]any{"capabilities": map[string]any{}}, -32600)
	require.NoError(t, k.Request(k.ctx, "shutdown", nil, nil))
	k.fails("textDocument/hover", hoverAt(0, 0), -32600)
	k.fails("shutdown", nil, -32600)
	require.NoError(t, k.Notify("exit", nil))
	assert.Equal(t, 0, k.exitCode())
}

func TestExitCode(t *testing.T) {
	t.Run("exit without shutdown", func(t *testing.T) {
		k := start(t, "{}")
		require.NoError(t, k.Notify("exit", nil))
		assert.Equal(t, 1, k.exitCode())
	})
	t.Run("exit before initialize", func(t *testing.T) {
		k := begin(t, (*analysis.Glimpse).Whole)
		require.NoError(t, k.Notify("exit", nil))
		assert.Equal(t, 1, k.exitCode())
	})
	t.Run("the connection ends", func(t *testing.T) {
		k := start(t, "{}")
		require.NoError(t, k.Close())
		assert.Equal(t, 1, k.exitCode())
	})
	t.Run("the connection ends after shutdown", func(t *testing.T) {
		k := start(t, "{}")
		require.NoError(t, k.Request(k.ctx, "shutdown", nil, nil))
		require.NoError(t, k.Close())
		assert.Equal(t, 0, k.exitCode())
	})
	t.Run("exit sent with shutdown, unanswered", func(t *testing.T) {
		k := start(t, "{}")
		require.NoError(t, k.Send(lsptest.Frame(`{"jsonrpc":"2.0","id":"s","method":"shutdown"}`)+
			lsptest.Frame(`{"jsonrpc":"2.0","method":"exit"}`)))
		a, err := k.AwaitAnswer(k.ctx, `"s"`)
		require.NoError(t, err, "shutdown is answered before the end")
		assert.Nil(t, a.Error)
		assert.Equal(t, 0, k.exitCode())
	})
	t.Run("the client's process is gone", func(t *testing.T) {
		k := begin(t, (*analysis.Glimpse).Whole)
		const nobody = 1 << 30 // above the largest process number of any system
		require.NoError(t, k.Request(k.ctx, "initialize", map[string]any{"processId": nobody, "capabilities": struct{}{}}, nil))
		assert.Equal(t, 1, k.exitCode())
	})
}

func TestUnknownMethods(t *testing.T) {
	k := start(t, "{}")
	k.fails("textDocument/unheardOf", map[string]any{}, -32601)
	k.refused(k.ask("70", `{"jsonrpc":"2.0","id":70,"method":"textDocument/moniker"}`), -32601) // no params at all
	k.refused(k.ask("71", `{"jsonrpc":"2.0","id":71,"method":"$/unheardOf"}`), -32601)
	require.NoError(t, k.Notify("textDocument/unheardOf", 7))
	require.NoError(t, k.Notify("$/unheardOf", nil))
	k.fails("textDocument/hover", hoverAt(0, 0), -32602) // alive
}

func TestWrongParams(t *testing.T) {
	k := start(t, "{}")
	for i, params := range []string{
		`7`, `"x"`, `[]`, `null`, `{}`, `{"textDocument":7}`, `{"textDocument":{"uri":7}}`,
		`{"textDocument":{"uri":"` + uri + `"},"position":{"line":"0","character":0}}`,
		`{"textDocument":{"uri":"` + uri + `"},"position":{"line":0.5,"character":0}}`,
	} {
		id := fmt.Sprint(500 + i)
		k.refused(k.ask(id, `{"jsonrpc":"2.0","id":`+id+`,"method":"textDocument/hover","params":`+params+`}`), -32602)
		require.NoError(t, k.Send(lsptest.Frame(`{"jsonrpc":"2.0","method":"textDocument/didChange","params":`+params+`}`)))
		require.NoError(t, k.Send(lsptest.Frame(`{"jsonrpc":"2.0","method":"textDocument/didOpen","params":`+params+`}`)))
	}
	require.NoError(t, k.Open(uri, ""))
	assert.Empty(t, k.diagnostics(uri))
}

// A slow request does not hold up the next, nor an edit; it can be cancelled by
// the id that the client gave it, whatever that is.
func TestCancel(t *testing.T) {
	for _, id := range []string{`3`, `0`, `-1`, `4000000000`, `1e3`, `"three"`, `""`, `"3"`, `"é \" \u0001"`} {
		t.Run(id, func(t *testing.T) {
			read, begun := stuck()
			k := begin(t, read)
			require.NoError(t, k.Initialize(k.ctx, "{}", nil))
			require.NoError(t, k.Open(uri, "X:1\nK:C\nC|\n"))
			<-begun // the diagnostics' pass
			params, err := json.Marshal(hoverAt(2, 0))
			require.NoError(t, err)
			require.NoError(t, k.Send(lsptest.Frame(`{"jsonrpc":"2.0","id":`+id+`,"method":"textDocument/hover","params":`+string(params)+`}`)))
			k.fails("textDocument/unheardOf", nil, -32601) // answered meanwhile
			require.NoError(t, k.Edit(uri, lsptest.TextEdit{NewText: "%\n"}))
			<-begun // the edit was heard: its pass has begun

			k.refused(k.ask(id, `{"jsonrpc":"2.0","method":"$/cancelRequest","params":{"id":`+id+`}}`), -32800)
			require.NoError(t, k.Notify("$/cancelRequest", map[string]any{"id": 12345}))
			require.NoError(t, k.Notify("$/cancelRequest", nil))
			k.fails("textDocument/unheardOf", nil, -32601)
		})
	}
}

func TestPanicCostsOneAnswer(t *testing.T) {
	k := begin(t, func(*analysis.Glimpse, context.Context) (*analysis.Reading, error) {
		panic("on purpose")
	})
	require.NoError(t, k.Initialize(k.ctx, "{}", nil))
	require.NoError(t, k.Open(uri, "X:1\nK:C\nC|\n"))
	for range 3 {
		k.fails("textDocument/hover", hoverAt(2, 0), -32603)
	}
	k.fails("textDocument/unheardOf", nil, -32601)
	require.NoError(t, k.Request(k.ctx, "shutdown", nil, nil))
}

// What is not a message is refused, and what follows is heard.
func TestMalformedFrames(t *testing.T) {
	for _, c := range []struct {
		name, sent string
		code       int // 0: no answer
	}{
		{"not JSON", lsptest.Frame(`{"jsonrpc":`), -32700},
		{"empty", lsptest.Frame(``), -32700},
		{"bytes", lsptest.Frame("\xff\x00\xfe"), -32700},
		{"a batch", lsptest.Frame(`[{"jsonrpc":"2.0","id":1,"method":"shutdown"}]`), -32600},
		{"a string", lsptest.Frame(`"shutdown"`), -32600},
		{"id is null", lsptest.Frame(`{"jsonrpc":"2.0","id":null,"method":"shutdown"}`), -32600},
		{"id is an object", lsptest.Frame(`{"jsonrpc":"2.0","id":{},"method":"shutdown"}`), -32600},
		{"method is a number", lsptest.Frame(`{"jsonrpc":"2.0","id":1,"method":7}`), -32600},
		{"nothing in it", lsptest.Frame(`{}`), -32600},
		{"length too short", "Content-Length: 5\r\n\r\n{\"jsonrpc\":\"2.0\"}", -32700},
		{"length too long", "Content-Length: 60\r\n\r\n{\"jsonrpc\":\"2.0\",\"method\":\"x\"}\r\n\r\n                            ", 0},
		{"no length", "Content-Type: x\r\n\r\n", 0},
		{"length is no number", "Content-Length: many\r\n\r\n", 0},
		{"negative length", "Content-Length: -4\r\n\r\n", 0},
		{"a log line", "starting up…\r\n", 0},
		{"a line without end", strings.Repeat("x", 100000), 0},
		{"an answer to nothing", lsptest.Frame(`{"jsonrpc":"2.0","id":77,"result":null}`), 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			k := start(t, "{}")
			require.NoError(t, k.Send(c.sent))
			if c.code != 0 {
				a, err := k.AwaitAnswer(k.ctx, "null")
				require.NoError(t, err)
				k.refused(a, c.code)
			}
			k.fails("textDocument/unheardOf", nil, -32601)
		})
	}
}

func TestHeadersOfAnyKind(t *testing.T) {
	k := start(t, "{}")
	body := `{"jsonrpc":"2.0","id":9,"method":"textDocument/unheardOf"}`
	require.NoError(t, k.Send(fmt.Sprintf("content-type: application/vscode-jsonrpc; charset=utf-8\r\ncontent-length:%d\n\n%s", len(body), body)))
	a, err := k.AwaitAnswer(k.ctx, "9")
	require.NoError(t, err)
	k.refused(a, -32601)
}

// A client that does not read is read no further than maxRequests; when it
// reads again, every request is answered once.
func TestClientThatReadsLate(t *testing.T) {
	k := start(t, "{}")
	ids := map[string]bool{}
	for range 3 * maxRequests {
		id, err := k.Ask("textDocument/unheardOf", nil)
		require.NoError(t, err)
		require.False(t, ids[id])
		ids[id] = true
	}
	for id := range ids {
		_, err := k.AwaitAnswer(k.ctx, id)
		require.NoError(t, err)
	}
}

func TestTrace(t *testing.T) {
	k := start(t, "{}")
	k.fails("textDocument/unheardOf", nil, -32601)
	require.NoError(t, k.Notify("$/setTrace", map[string]any{"value": "verbose"}))
	k.fails("textDocument/heardOf", nil, -32601)
	k.await(func(s lsptest.State) bool {
		all := strings.Join(s.Traces(), "\n")
		return strings.Contains(all, "textDocument/heardOf took") && !strings.Contains(all, "textDocument/unheardOf")
	})
}
