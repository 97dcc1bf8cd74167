package lsp

import (
	"context"
	"encoding/json"
	"fmt"
	"reflect"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis"
	"fourfold/lsp/lsptest"
)

// editorPulls is what an editor that pulls says about itself.
const editorPulls = `{
	"workspace": {"diagnostics": {"refreshSupport": true}},
	"textDocument": {"diagnostic": {"dynamicRegistration": true}, "publishDiagnostics": {}}
}`

// pull asks for the findings on a document.
func (k *talk) pull(uri, previous string) lsptest.Report {
	k.t.Helper()
	r, err := k.Pull(k.ctx, uri, previous)
	require.NoError(k.t, err)
	return r
}

func TestPullIsOfferedToThoseWhoCan(t *testing.T) {
	for capabilities, want := range map[string]string{
		`{}`:                                         `null`,
		`{"textDocument":{"diagnostic":null}}`:       `null`,
		`{"textDocument":{"diagnostic":{}}}`:         `{"identifier":"fourfold","interFileDependencies":false,"workspaceDiagnostics":true,"workDoneProgress":true}`,
		`{"workspace":{"diagnostics":{}}}`:           `null`,
		editorPulls:                                  `{"identifier":"fourfold","interFileDependencies":false,"workspaceDiagnostics":true,"workDoneProgress":true}`,
		`{"textDocument":{"publishDiagnostics":{}}}`: `null`,
	} {
		k := begin(t, (*analysis.Glimpse).Whole)
		var result struct {
			Capabilities struct{ DiagnosticProvider json.RawMessage }
		}
		require.NoError(t, k.Initialize(k.ctx, capabilities, &result))
		if result.Capabilities.DiagnosticProvider == nil {
			result.Capabilities.DiagnosticProvider = json.RawMessage("null")
		}
		assert.JSONEq(t, want, string(result.Capabilities.DiagnosticProvider), capabilities)
	}
}

// What is pulled is what would have been pushed, and never both.
func TestPulledIsNotPushed(t *testing.T) {
	pushed, pulled := start(t, "{}"), start(t, editorPulls)
	require.NoError(t, pushed.Open(uri, turning))
	want := pushed.diagnostics(uri)
	require.NotEmpty(t, want)

	require.NoError(t, pulled.Open(uri, turning))
	first := pulled.pull(uri, "")
	assert.Equal(t, "full", first.Kind)
	assert.Equal(t, want, first.Items)

	again := pulled.pull(uri, first.ResultID)
	assert.Equal(t, lsptest.Report{Kind: "unchanged", ResultID: first.ResultID}, again)
	assert.Equal(t, "full", pulled.pull(uri, "never given").Kind)

	require.NoError(t, pulled.Replace(uri, "X:1\nK:C\nC4|\n"))
	emptied := pulled.pull(uri, first.ResultID)
	assert.Equal(t, "full", emptied.Kind)
	assert.NotEqual(t, first.ResultID, emptied.ResultID)
	assert.NotNil(t, emptied.Items, "an empty list, not null")
	assert.Less(t, len(emptied.Items), len(first.Items))

	require.NoError(t, pulled.Notify("textDocument/didClose", map[string]any{"textDocument": docID(uri)}))
	pulled.fails("textDocument/diagnostic", map[string]any{"textDocument": docID(uri)}, -32602)
	pulled.await(func(s lsptest.State) bool {
		assert.Zero(t, s.Asked("textDocument/publishDiagnostics"))
		return true
	})

	pushed.await(func(s lsptest.State) bool {
		assert.Zero(t, s.Asked("workspace/diagnostic/refresh"))
		return true
	})
}

// While one types, a pull is answered by what the music around the edit decides; what
// comes in the end is what a fresh server says, and the client is told to ask for it if
// it is anything else.
func TestPulledBeforeTheWholeIsRead(t *testing.T) {
	k := start(t, editorPulls)
	text := ferry(t)
	require.NoError(t, k.Open(uri, text))
	at, err := lsptest.Find(text, "FAfc", 0)
	require.NoError(t, err)
	early := 0
	for i := range 40 {
		require.NoError(t, k.Edit(uri, lsptest.TextEdit{Range: lsptest.Range{Start: at.Start, End: lsptest.Position{Line: at.Start.Line, Character: at.Start.Character + 1}}, NewText: string("FGAB"[i%4])}))
		first := k.pull(uri, "")
		last := first
		for strings.HasSuffix(last.ResultID, "~") && last.Kind == "full" {
			early++
			last = k.pull(uri, last.ResultID)
		}
		if last.Kind == "unchanged" {
			last.Items = first.Items
		} else if !reflect.DeepEqual(first.Items, last.Items) {
			k.await(func(s lsptest.State) bool { return s.Asked("workspace/diagnostic/refresh") > 0 })
		}
		fresh := start(t, "{}")
		require.NoError(t, fresh.Open(uri, k.Buffer(uri).Text))
		require.NoError(t, k.Notify("textDocument/didSave", map[string]any{"textDocument": docID(uri)}))
		want := fresh.diagnostics(uri)
		for r := k.pull(uri, ""); ; r = k.pull(uri, r.ResultID) {
			if !strings.HasSuffix(r.ResultID, "~") {
				require.Equal(t, want, r.Items)
				break
			} else if r.Kind == "unchanged" {
				break
			}
		}
	}
	t.Logf("%d early answers to 40 keys", early)
}

// A document that is closed and opened again has no id in common with its earlier
// life.
func TestPulledAfterReopening(t *testing.T) {
	k := start(t, editorPulls)
	require.NoError(t, k.Open(uri, "X:1\nK:C\nC4|\n"))
	old := k.pull(uri, "").ResultID
	require.NoError(t, k.Open(uri, turning))
	now := k.pull(uri, old)
	assert.Equal(t, "full", now.Kind)
	assert.NotEmpty(t, now.Items)
}

// A pull about an older text is given up as soon as there is a newer, and the
// client is told to ask again.
func TestPullOfAnOlderText(t *testing.T) {
	begun := make(chan string, 10)
	k := begin(t, func(g *analysis.Glimpse, ctx context.Context) (*analysis.Reading, error) {
		if string(g.File().Text()) == "new" {
			return nothing(ctx)
		}
		begun <- string(g.File().Text())
		<-ctx.Done()
		return nil, ctx.Err()
	})
	require.NoError(t, k.Initialize(k.ctx, editorPulls, nil))
	require.NoError(t, k.Open(uri, "old"))
	<-begun
	id, err := k.Ask("textDocument/diagnostic", map[string]any{"textDocument": docID(uri)})
	require.NoError(t, err)
	k.fails("textDocument/unheardOf", nil, -32601) // the pull is under way
	require.NoError(t, k.Replace(uri, "new"))
	a, err := k.AwaitAnswer(k.ctx, id)
	require.NoError(t, err)
	k.refused(a, -32802)
	assert.JSONEq(t, `{"retriggerRequest":true}`, string(a.Error.Data))
	assert.Equal(t, "full", k.pull(uri, "").Kind)
}

// A pull that the client cancels is answered as cancelled.
func TestPullIsCancelled(t *testing.T) {
	read, begun := stuck()
	k := begin(t, read)
	require.NoError(t, k.Initialize(k.ctx, editorPulls, nil))
	require.NoError(t, k.Open(uri, "x"))
	<-begun
	id, err := k.Ask("textDocument/diagnostic", map[string]any{"textDocument": docID(uri)})
	require.NoError(t, err)
	require.NoError(t, k.Notify("$/cancelRequest", map[string]any{"id": json.RawMessage(id)}))
	a, err := k.AwaitAnswer(k.ctx, id)
	require.NoError(t, err)
	k.refused(a, -32800)
}

// When settings change the client is told to pull again, and gets what they say.
func TestSettingsRefreshThePull(t *testing.T) {
	k := start(t, editorPulls)
	require.NoError(t, k.Open(uri, turning))
	first := k.pull(uri, "")
	for i, level := range []string{"error", "hint"} {
		require.NoError(t, k.Notify("workspace/didChangeConfiguration", map[string]any{"settings": json.RawMessage(levels(level))}))
		k.await(func(s lsptest.State) bool { return s.Asked("workspace/diagnostic/refresh") > i })
		r := k.pull(uri, first.ResultID)
		require.Equal(t, "full", r.Kind)
		assert.Equal(t, map[string]int{"error": 1, "hint": 4}[level], ofRule(r.Items, "hands/turn")[0].Severity)
		first = r
	}
}

// No goroutine outlives its document, also where the client pulls: whether it waits for
// the answers, cancels them or types over them.
func TestNoGoroutineLeaksWhilePulling(t *testing.T) {
	folder := workspace(t, map[string]string{"a.abc": turning, "b.abc": turning})
	k := startIn(t, (*analysis.Glimpse).Whole, folder)
	require.NoError(t, k.Open("first:", ""))
	k.pull("first:", "")
	before := runtime.NumGoroutine()
	var asked []string
	for i := range 60 {
		name := fmt.Sprint("doc:", i)
		require.NoError(t, k.Open(name, turning))
		for _, method := range []string{"textDocument/diagnostic", "textDocument/codeAction", "textDocument/hover"} {
			id, err := k.Ask(method, map[string]any{"textDocument": docID(name), "position": lsptest.Position{Line: 10}, "range": lsptest.Range{}, "context": struct{}{}})
			require.NoError(t, err)
			asked = append(asked, id)
		}
		id, err := k.Ask("workspace/diagnostic", map[string]any{"previousResultIds": []any{}})
		require.NoError(t, err)
		require.NoError(t, k.Notify("$/cancelRequest", map[string]any{"id": json.RawMessage(id)}))
		asked = append(asked, id)
		require.NoError(t, k.Edit(name, lsptest.TextEdit{NewText: "%\n"}))
		require.NoError(t, k.CloseDocument(name))
	}
	for _, id := range asked {
		_, err := k.AwaitAnswer(k.ctx, id)
		require.NoError(t, err)
	}
	assert.Eventually(t, func() bool { return runtime.NumGoroutine() <= before+2 }, patience, patience/3000)
}
