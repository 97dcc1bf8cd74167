package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/lsp/lsptest"
)

const ferryURI = "file:///scores/ferry%20at%20dusk.abc"

// serving starts the real binary. Its context ends only a run that hangs.
func serving(t *testing.T, args ...string) (*lsptest.Process, context.Context) {
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	t.Cleanup(cancel)
	p, err := lsptest.Start(binary, append([]string{"serve"}, args...)...)
	require.NoError(t, err)
	t.Cleanup(func() { _ = p.Command.Process.Kill() }) // it has ended, or the test failed
	return p, ctx
}

// binary is the program as it is installed.
var binary string

func TestMain(m *testing.M) {
	if server := os.Getenv(asEditor); server != "" {
		beEditor(server)
		return
	}
	os.Exit(func() int {
		folder, err := os.MkdirTemp("", "fourfold")
		if err == nil {
			defer os.RemoveAll(folder)
			binary, err = lsptest.Build(folder, "cmd/fourfold")
		}
		if err != nil {
			os.Stderr.WriteString(err.Error() + "\n")
			return 1
		}
		return m.Run()
	}())
}

// TestServe walks the whole way with the real binary: open, findings, card, fix,
// the finding gone, and a proper end.
func TestServe(t *testing.T) {
	p, ctx := serving(t)
	require.NoError(t, p.Initialize(ctx, `{}`, nil))
	text, err := os.ReadFile(filepath.Join("..", "..", "testdata", "demo", "ferry-at-dusk.abc"))
	require.NoError(t, err)
	require.NoError(t, p.Open(ferryURI, string(text)))
	found, err := p.AwaitDiagnostics(ctx, ferryURI)
	require.NoError(t, err)
	turns := turnsIn(found)
	require.NotEmpty(t, turns)

	_, card, err := p.Hover(ctx, ferryURI, turns[0].Range.Start)
	require.NoError(t, err)
	assert.Contains(t, card, "hand")

	actions, err := p.Actions(ctx, ferryURI, turns[0].Range, turns[0])
	require.NoError(t, err)
	require.NotEmpty(t, actions)
	require.NoError(t, p.Accept(actions[0]))
	found, err = p.AwaitDiagnostics(ctx, ferryURI)
	require.NoError(t, err)
	assert.Less(t, len(turnsIn(found)), len(turns))

	require.NoError(t, p.Request(ctx, "shutdown", nil, nil))
	require.NoError(t, p.Notify("exit", nil))
	assert.NoError(t, p.Command.Wait())
	assert.NotContains(t, p.Stderr.String(), "panic")
}

func turnsIn(list []lsptest.Diagnostic) (turns []lsptest.Diagnostic) {
	for _, d := range list {
		if d.Code == "hands/turn" {
			turns = append(turns, d)
		}
	}
	return turns
}

func TestServeEndsWithItsClient(t *testing.T) {
	exit := func(p *lsptest.Process) int {
		_ = p.Command.Wait() // the code says it
		return p.Command.ProcessState.ExitCode()
	}
	t.Run("the pipe is closed", func(t *testing.T) {
		p, ctx := serving(t)
		require.NoError(t, p.Initialize(ctx, "{}", nil))
		require.NoError(t, p.Close())
		assert.Equal(t, 1, exit(p))
	})
	t.Run("the pipe is closed before anything", func(t *testing.T) {
		p, _ := serving(t)
		require.NoError(t, p.Close())
		assert.Equal(t, 1, exit(p))
	})
	t.Run("exit alone", func(t *testing.T) {
		p, ctx := serving(t)
		require.NoError(t, p.Initialize(ctx, "{}", nil))
		require.NoError(t, p.Notify("exit", nil))
		assert.Equal(t, 1, exit(p))
	})
	t.Run("a signal alone", func(t *testing.T) {
		if runtime.GOOS == "windows" {
			t.Skip("there is no such signal here")
		}
		p, ctx := serving(t)
		require.NoError(t, p.Initialize(ctx, "{}", nil))
		require.NoError(t, p.Command.Process.Signal(syscall.SIGTERM))
		assert.Equal(t, 0, exit(p))
	})
	t.Run("the editor's process is gone, its pipe is not", func(t *testing.T) {
		editor := exec.Command(os.Args[0], "-test.run", "^$")
		require.NoError(t, editor.Run()) // it was there, and is not now
		p, ctx := serving(t)
		require.NoError(t, p.Request(ctx, "initialize", map[string]any{
			"processId": editor.ProcessState.Pid(), "capabilities": struct{}{}}, nil))
		assert.Equal(t, 1, exit(p))
	})
}

// TestServeLogsToAFile: standard output is the protocol's, and with --log
// standard error stays empty too.
func TestServeLogsToAFile(t *testing.T) {
	file := filepath.Join(t.TempDir(), "server.log")
	p, ctx := serving(t, "--log", file, "--verbose")
	require.NoError(t, p.Initialize(ctx, "{}", nil))
	require.NoError(t, p.Request(ctx, "shutdown", nil, nil))
	require.NoError(t, p.Notify("exit", nil))
	require.NoError(t, p.Command.Wait())
	assert.Empty(t, p.Stderr.String())
	log, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Contains(t, string(log), "initialize")
}

func TestServeUsage(t *testing.T) {
	for _, c := range []struct {
		args []string
		code int
		says string
	}{
		{[]string{"serve", "-h"}, 0, "usage: fourfold serve"},
		{[]string{"serve", "--port", "1"}, 2, "there is no option --port"},
		{[]string{"serve", "file.abc"}, 2, "it takes no file"},
		{[]string{"serve", "--log", filepath.Join("no", "such", "folder", "x")}, 2, "fourfold serve: "},
	} {
		t.Run(strings.Join(c.args, " "), func(t *testing.T) {
			var out, err bytes.Buffer
			assert.Equal(t, c.code, run(c.args, &out, &err))
			assert.Empty(t, out.String(), "standard output is the protocol's")
			assert.Contains(t, err.String(), c.says)
		})
	}
}

// A document of a kind that is no file at all is a document.
func TestServeNeedsNoFile(t *testing.T) {
	p, ctx := serving(t)
	require.NoError(t, p.Initialize(ctx, "{}", nil))
	require.NoError(t, p.Open("untitled:Untitled-1", "X:1\nK:C\nCDEF|\n"))
	_, err := p.AwaitDiagnostics(ctx, "untitled:Untitled-1")
	require.NoError(t, err)
	var answer json.RawMessage
	require.NoError(t, p.Request(ctx, "textDocument/hover", map[string]any{
		"textDocument": map[string]any{"uri": "untitled:Untitled-1"},
		"position":     lsptest.Position{Line: 2}}, &answer))
	require.NoError(t, p.Request(ctx, "shutdown", nil, nil))
	require.NoError(t, p.Notify("exit", nil))
	require.NoError(t, p.Command.Wait())
}
