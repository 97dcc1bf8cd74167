package lsp

import (
	"context"
	"net"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"go.uber.org/zap"
	"go.uber.org/zap/zaptest"

	"fourfold/analysis"
	"fourfold/lsp/lsptest"
)

// patience is how long a test waits for a state before it says that it never
// came. No test passes or fails by how fast something is.
const patience = 5 * time.Minute

// editorUTF16 is what most editors say about themselves.
const editorUTF16 = `{
	"workspace": {"workspaceEdit": {"documentChanges": true}},
	"textDocument": {
		"hover": {"contentFormat": ["markdown", "plaintext"]},
		"publishDiagnostics": {"relatedInformation": true},
		"codeAction": {"isPreferredSupport": true}
	}
}`

// talk is a session under test and the editor at its other end.
type talk struct {
	*lsptest.Client
	t     *testing.T
	ctx   context.Context
	code  chan int // the exit code
	pages string   // where reviews are written
}

// begin starts a session that is not initialized.
func begin(t *testing.T, read analyse) *talk {
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	ours, theirs := net.Pipe()
	pages := filepath.Join(t.TempDir(), "pages")
	s := newSession(ctx, theirs, Options{Log: zaptest.NewLogger(t, zaptest.Level(zap.FatalLevel)), Version: "test", Pages: pages}, read)
	s.budget = budget{picked: patience, listed: patience} // no test depends on how fast something is
	k := &talk{Client: lsptest.New(ours, ours), t: t, ctx: ctx, code: make(chan int, 1), pages: pages}
	go func() { k.code <- s.run(ctx) }()
	t.Cleanup(func() {
		_ = k.Close()
		k.exitCode()
		cancel()
	})
	return k
}

// exitCode waits for the end of the session; it can be asked again.
func (k *talk) exitCode() int {
	code := <-k.code
	k.code <- code
	return code
}

// start starts and initializes a session with the real analysis.
func start(t *testing.T, capabilities string) *talk {
	k := begin(t, (*analysis.Glimpse).Whole)
	require.NoError(t, k.Initialize(k.ctx, capabilities, nil))
	return k
}

// await fails the test unless the condition comes to hold.
func (k *talk) await(condition func(lsptest.State) bool) {
	k.t.Helper()
	require.NoError(k.t, k.Await(k.ctx, condition))
}

// ask sends a raw message and waits for the answer to an id as written.
func (k *talk) ask(id, message string) lsptest.Answer {
	k.t.Helper()
	require.NoError(k.t, k.Send(lsptest.Frame(message)))
	a, err := k.AwaitAnswer(k.ctx, id)
	require.NoError(k.t, err)
	return a
}

// refused asserts that an answer is an error of this code.
func (k *talk) refused(a lsptest.Answer, code int) {
	k.t.Helper()
	require.NotNil(k.t, a.Error, "an error was expected, not %s", a.Result)
	require.Equal(k.t, code, a.Error.Code, a.Error.Message)
}

// fails asserts that a request is answered with an error of this code.
func (k *talk) fails(method string, params any, code int) {
	k.t.Helper()
	var e *lsptest.Error
	require.ErrorAs(k.t, k.Request(k.ctx, method, params, nil), &e)
	require.Equal(k.t, code, e.Code, e.Message)
}

// diagnostics waits for the findings on the buffer as it is.
func (k *talk) diagnostics(uri string) []lsptest.Diagnostic {
	k.t.Helper()
	list, err := k.AwaitDiagnostics(k.ctx, uri)
	require.NoError(k.t, err)
	return list
}
