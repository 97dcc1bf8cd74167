package main

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fourfold/lsp/lsptest"
)

// asEditor has the test program be an editor that starts the server named there.
const asEditor = "FOURFOLD_TEST_EDITOR"

// beEditor starts a server, tells its process number and never ends by itself. The
// server's standard input can be held open by another process; see below.
func beEditor(server string) {
	command := exec.Command(server, "serve")
	p, err := lsptest.StartCommand(command)
	if err == nil {
		err = p.Request(context.Background(), "initialize", map[string]any{
			"processId": os.Getpid(), "capabilities": struct{}{}}, nil)
	}
	if err == nil {
		err = p.Open("untitled:a", turningBars)
	}
	if err == nil {
		_, err = p.AwaitDiagnostics(context.Background(), "untitled:a")
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	fmt.Println(command.Process.Pid)
	_, _ = io.Copy(io.Discard, os.Stdin) // until it is killed
	select {}
}

// TestServeEditorIsKilled: kill -9 of the editor ends the server.
func TestServeEditorIsKilled(t *testing.T) {
	if _, err := os.Stat("/proc/self/stat"); err != nil {
		t.Skip("how a process does that is not one's own is told under /proc alone")
	}
	editor := exec.Command(os.Args[0])
	editor.Env = append(os.Environ(), asEditor+"="+binary)
	editor.Stderr = os.Stderr
	in, err := editor.StdinPipe()
	require.NoError(t, err)
	defer in.Close()
	out, err := editor.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, editor.Start())
	line, err := bufio.NewReader(out).ReadString('\n')
	require.NoError(t, err)
	server, err := strconv.Atoi(strings.TrimSpace(line))
	require.NoError(t, err)
	require.True(t, runs(server))
	require.NoError(t, editor.Process.Kill())
	_ = editor.Wait() // killed: its exit code says nothing
	require.Eventually(t, func() bool { return !runs(server) }, patience, patience/600)
}

// TestServeProcessIDAlone: the editor is killed, and another process holds the pipe
// open; the number that initialize gave is all there is to go by.
func TestServeProcessIDAlone(t *testing.T) {
	editor := exec.Command(os.Args[0])
	editor.Env = append(os.Environ(), asEditor+"="+binary)
	in, err := editor.StdinPipe()
	require.NoError(t, err)
	defer in.Close()
	require.NoError(t, editor.Start())
	p, ctx := serving(t)
	require.NoError(t, p.Request(ctx, "initialize", map[string]any{
		"processId": editor.Process.Pid, "capabilities": json.RawMessage("{}")}, nil))
	answers(t, ctx, p)
	require.NoError(t, editor.Process.Kill())
	_ = editor.Wait() // killed: its exit code says nothing
	require.Equal(t, 1, exitOf(p))
}

// runs says whether a process is there and has not ended.
func runs(pid int) bool {
	stat, err := os.ReadFile(filepath.Join("/proc", strconv.Itoa(pid), "stat"))
	if err != nil {
		return false
	}
	_, state, _ := strings.Cut(string(stat), ") ")
	return !strings.HasPrefix(state, "Z") && !strings.HasPrefix(state, "X")
}
