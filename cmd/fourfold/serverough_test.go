package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/lsp/lsptest"
)

// turningBars is a part whose first bar turns back at a tempo that allows no turn.
const turningBars = "X:1\nT:Turning\nM:4/4\nL:1/16\nQ:1/4=144\n%%score {RH LH}\nV:RH name=\"Harp\"\nV:LH clef=bass\nK:F\n" +
	"V:RH\nFAfc FAfc GBgd GBgd | f8 z8 |\nV:LH\nF,16 | z16 |\n"

// patience is how long a test waits for what must come.
const patience = 5 * time.Minute

// asked is a request that any server answers, with an error.
const asked = `{"jsonrpc":"2.0","id":"still there?","method":"x/unheardOf"}`

// answers asserts that the server still answers.
func answers(t *testing.T, ctx context.Context, p *lsptest.Process) {
	t.Helper()
	require.NoError(t, p.Send(lsptest.Frame(asked)))
	a, err := p.AwaitAnswer(ctx, `"still there?"`)
	require.NoError(t, err)
	require.NotNil(t, a.Error)
	assert.Equal(t, -32601, a.Error.Code)
}

// exitOf waits for the end and gives the exit code.
func exitOf(p *lsptest.Process) int {
	_ = p.Command.Wait() // the code says it
	return p.Command.ProcessState.ExitCode()
}

// TestServeRoughFrames: whatever comes on the pipe, the next message is answered;
// and when the pipe ends inside a message, so does the server.
func TestServeRoughFrames(t *testing.T) {
	rubbish := make([]byte, 1<<20)
	r := rand.New(rand.NewPCG(1, 2))
	for i := range rubbish {
		rubbish[i] = byte(r.Uint32())
	}
	rubbish[len(rubbish)-1] = '\n'
	for name, sent := range map[string]string{
		"a length that is too short": "Content-Length: 9\r\n\r\n" + asked + "\r\n",
		"a length that is too long":  fmt.Sprintf("Content-Length: %d\r\n\r\n%s%s", len(asked)+10, asked, strings.Repeat("\n", 10)),
		"no header":                  asked + "\r\n\r\n",
		"half a header":              "Content-Len\r\n\r\n",
		"two lengths":                fmt.Sprintf("Content-Length: 3\r\nContent-Length: %d\r\n\r\n%s", len(asked), asked),
		"a negative length":          "Content-Length: -1\r\n\r\n",
		"a length of letters":        "Content-Length: 0x10\r\n\r\n",
		"a length above 64 bits":     "Content-Length: 99999999999999999999\r\n\r\n",
		"rubbish":                    string(rubbish),
		"an endless line":            strings.Repeat("Content-Length: ", 1<<17) + "\n",
		"an empty message":           lsptest.Frame(""),
		"deep nesting":               lsptest.Frame(strings.Repeat("[", 1<<20)),
		"a huge number":              lsptest.Frame(`{"jsonrpc":"2.0","method":"x","params":1e999999}`),
		"a message above the limit":  "Content-Length: 268435457\r\n\r\n" + strings.Repeat(" ", 268435457),
	} {
		t.Run(name, func(t *testing.T) {
			p, ctx := serving(t)
			require.NoError(t, p.Initialize(ctx, "{}", nil))
			require.NoError(t, p.Send(sent))
			answers(t, ctx, p)
			if bytes, ok := p.Memory(); ok {
				assert.Less(t, bytes>>20, int64(200), "MB of memory")
			}
			require.NoError(t, p.Send("Content-Length: 1000\r\n\r\n{"))
			require.NoError(t, p.Close())
			assert.Equal(t, 1, exitOf(p))
			assert.NotContains(t, p.Stderr.String(), "panic")
		})
	}
}

// unread starts a server whose client does not read.
func unread(t *testing.T) (server *exec.Cmd, in interface {
	Write([]byte) (int, error)
	Close() error
}, out *os.File) {
	server = exec.Command(binary, "serve")
	in, err := server.StdinPipe()
	require.NoError(t, err)
	out, theirs, err := os.Pipe()
	require.NoError(t, err)
	server.Stdout = theirs
	require.NoError(t, server.Start())
	require.NoError(t, theirs.Close())
	t.Cleanup(func() {
		_ = server.Process.Kill() // it has ended, or the test failed
		_ = out.Close()
	})
	return server, in, out
}

const hello = `{"jsonrpc":"2.0","id":0,"method":"initialize","params":{"capabilities":{}}}`

// TestServeClientThatStopsReading: the server keeps taking in what is typed, up to a
// bound, and all that it says comes when the client reads again.
func TestServeClientThatStopsReading(t *testing.T) {
	server, in, out := unread(t)
	send := func(body string) {
		_, err := in.Write([]byte(lsptest.Frame(body)))
		require.NoError(t, err)
	}
	send(hello)
	open, err := json.Marshal(turningBars)
	require.NoError(t, err)
	send(`{"jsonrpc":"2.0","method":"textDocument/didOpen","params":{"textDocument":{"uri":"untitled:a","languageId":"abc","version":1,"text":` + string(open) + `}}}`)
	send(`{"jsonrpc":"2.0","method":"$/setTrace","params":{"value":"verbose"}}`)
	const edits, requests = 20000, 400
	for i := range edits {
		send(fmt.Sprintf(`{"jsonrpc":"2.0","method":"textDocument/didChange","params":{"textDocument":{"uri":"untitled:a","version":%d},"contentChanges":[{"range":{"start":{"line":1,"character":2},"end":{"line":1,"character":3}},"text":"%c"}]}}`, i+2, 'a'+i%26))
		if i%(edits/requests) == 0 {
			send(fmt.Sprintf(`{"jsonrpc":"2.0","id":"r%d","method":"textDocument/hover","params":{"textDocument":{"uri":"untitled:a"},"position":{"line":10,"character":1}}}`, i))
		}
	}
	p := &lsptest.Process{Command: server, Client: lsptest.New(out, in)}
	ctx, cancel := context.WithTimeout(t.Context(), patience)
	defer cancel()
	if bytes, ok := p.Memory(); ok {
		assert.Less(t, bytes>>20, int64(200), "MB of memory")
	}
	for i := 0; i < edits; i += edits / requests {
		_, err := p.AwaitAnswer(ctx, fmt.Sprintf(`"r%d"`, i))
		require.NoError(t, err)
	}
	require.NoError(t, p.Await(ctx, func(s lsptest.State) bool {
		last, _ := s.Last("untitled:a")
		return last.Version != nil && *last.Version == edits+1
	}))
	require.NoError(t, in.Close())
	assert.Equal(t, 1, exitOf(p))
}

// TestServeHalfClosedPipes: one end is enough for the server to see that its client
// has gone, also while it has much to say.
func TestServeHalfClosedPipes(t *testing.T) {
	flood := func(in interface{ Write([]byte) (int, error) }) {
		for i := range 2000 {
			if _, err := in.Write([]byte(lsptest.Frame(fmt.Sprintf(`{"jsonrpc":"2.0","id":%d,"method":"x/%s"}`, i+1, strings.Repeat("y", 200))))); err != nil {
				return // the server has gone
			}
		}
	}
	t.Run("the client's reading end", func(t *testing.T) {
		server, in, out := unread(t)
		require.NoError(t, out.Close())
		flood(in)
		_ = server.Wait() // by the signal for a broken pipe, where there is one
		assert.NotZero(t, server.ProcessState.ExitCode())
	})
	t.Run("the client's writing end, unread", func(t *testing.T) {
		server, in, _ := unread(t)
		go func() {
			flood(in)
		}()
		_, err := in.Write([]byte(lsptest.Frame(hello)))
		require.NoError(t, err)
		require.NoError(t, in.Close())
		_ = server.Wait()
		assert.Equal(t, 1, server.ProcessState.ExitCode())
	})
}

// TestServeAnyURI: every document goes by the name that the client gives it, to the
// letter, on every road.
func TestServeAnyURI(t *testing.T) {
	p, ctx := serving(t)
	require.NoError(t, p.Initialize(ctx, `{"textDocument":{"codeAction":{"codeActionLiteralSupport":{"codeActionKind":{"valueSet":[]}}}}}`, nil))
	for _, uri := range []string{
		"file:///scores/ferry at dusk.abc",
		"file:///scores/ferry%20at%20dusk.abc",
		"file:///a%23b%25c/%C3%A9t%C3%A9/\u266f.abc",
		"file:///a#b%c/ete.abc",
		"file:///%zz/%.abc",
		"file:///c%3A/Scores/harp.abc",
		"file:///C:/Scores/harp.abc",
		"file:///c:\\Scores\\harp.abc",
		"file://server/share/harp.abc",
		"FILE:///scores/HARP.ABC",
		"file:///scores/../../../../etc/passwd",
		"file:///",
		"file:",
		"untitled:Untitled-1",
		"untitled:/scores/new.abc",
		"vscode-remote://ssh-remote%2Bhost/scores/harp.abc",
		"git:/scores/harp.abc?%7B%22ref%22%3A%22~%22%7D",
		"zipfile:///a.zip::harp.abc",
		"no scheme at all",
		"🎵:\u202eharp\u0000",
		"file:///" + strings.Repeat("long/", 2000) + "harp.abc",
	} {
		t.Run(uri[:min(len(uri), 50)], func(t *testing.T) {
			require.NoError(t, p.Open(uri, turningBars))
			found, err := p.AwaitDiagnostics(ctx, uri)
			require.NoError(t, err)
			turns := turnsIn(found)
			require.NotEmpty(t, turns)
			_, card, err := p.Hover(ctx, uri, turns[0].Range.Start)
			require.NoError(t, err)
			assert.Contains(t, card, "hand")
			actions, err := p.Actions(ctx, uri, turns[0].Range, turns[0])
			require.NoError(t, err)
			require.NotEmpty(t, actions)
			require.NoError(t, p.Accept(actions[0]), "the edit is for the name that the client uses")
			found, err = p.AwaitDiagnostics(ctx, uri)
			require.NoError(t, err)
			assert.Less(t, len(turnsIn(found)), len(turns))
			require.NoError(t, p.CloseDocument(uri))
			require.NoError(t, p.Await(ctx, func(s lsptest.State) bool {
				last, ok := s.Last(uri)
				return ok && last.Version == nil && len(last.Diagnostics) == 0
			}))
		})
	}
}

// TestServeFilesThatChangeOnDisk: what the editor has open counts, whatever becomes
// of the file; closed, the file counts.
func TestServeFilesThatChangeOnDisk(t *testing.T) {
	folder := t.TempDir()
	file := filepath.Join(folder, "harp part #1 100%.abc")
	write := func(text string) { require.NoError(t, os.WriteFile(file, []byte(text), 0o644)) }
	write("X:1\nK:C\nC|\n")
	p, ctx := serving(t)
	var registered []string
	require.NoError(t, p.Request(ctx, "initialize", map[string]any{
		"capabilities": json.RawMessage(`{"workspace":{"didChangeWatchedFiles":{"dynamicRegistration":true}},"textDocument":{"diagnostic":{}}}`),
		"rootUri":      "file://" + filepath.ToSlash(folder)}, nil))
	require.NoError(t, p.Notify("initialized", struct{}{}))
	require.NoError(t, p.Await(ctx, func(s lsptest.State) bool {
		registered = s.Registered()
		return len(registered) > 0
	}))
	assert.Contains(t, strings.Join(registered, "\n"), `"**/*.abc"`)
	assert.Contains(t, strings.Join(registered, "\n"), `"**/.fourfold.toml"`)

	reports, err := p.PullWorkspace(ctx, nil, "", "")
	require.NoError(t, err)
	require.Len(t, reports, 1)
	uri := reports[0].URI
	changed := func(kind int) {
		require.NoError(t, p.Notify("workspace/didChangeWatchedFiles", map[string]any{"changes": []any{map[string]any{"uri": uri, "type": kind}}}))
	}
	turnsOf := func() int {
		r, err := p.Pull(ctx, uri, "")
		require.NoError(t, err)
		return len(turnsIn(r.Items))
	}
	onDisk := func() int {
		reports, err := p.PullWorkspace(ctx, nil, "", "")
		require.NoError(t, err)
		n := 0
		for _, r := range reports {
			n += len(turnsIn(r.Items))
		}
		return n
	}
	require.NoError(t, p.Open(uri, turningBars))
	assert.Positive(t, turnsOf())
	write("X:1\nT:changed by another program\nK:C\nC|\n")
	changed(2)
	assert.Positive(t, turnsOf(), "the open text counts")
	assert.Positive(t, onDisk(), "for the workspace as well")
	require.NoError(t, os.Remove(file))
	changed(3)
	assert.Positive(t, turnsOf())
	write("X:1\nK:C\nC|\n")
	changed(1)
	require.NoError(t, p.CloseDocument(uri))
	assert.Zero(t, onDisk(), "closed, the file counts")
	write(turningBars)
	changed(2)
	assert.Positive(t, onDisk())
}

// TestServeTwoServersOnOneFile: they know nothing of each other, and neither writes.
func TestServeTwoServersOnOneFile(t *testing.T) {
	file := filepath.Join(t.TempDir(), "harp.abc")
	require.NoError(t, os.WriteFile(file, []byte(turningBars), 0o444))
	uri := "file://" + filepath.ToSlash(file)
	a, ctx := serving(t)
	b, _ := serving(t)
	for _, p := range []*lsptest.Process{a, b} {
		require.NoError(t, p.Initialize(ctx, "{}", nil))
		require.NoError(t, p.Open(uri, turningBars))
	}
	require.NoError(t, a.Replace(uri, "X:1\nK:C\nC4|\n"))
	found, err := a.AwaitDiagnostics(ctx, uri)
	require.NoError(t, err)
	assert.Empty(t, turnsIn(found))
	found, err = b.AwaitDiagnostics(ctx, uri)
	require.NoError(t, err)
	assert.NotEmpty(t, turnsIn(found))
	require.NoError(t, a.Command.Process.Kill())
	_ = a.Command.Wait() // killed: its exit code says nothing
	answers(t, ctx, b)
	now, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, turningBars, string(now))
}

// TestServeLeavesNothingBehind: after a day's work and kill -9 no file is there that
// was not there before, and no process.
func TestServeLeavesNothingBehind(t *testing.T) {
	home := t.TempDir()
	work := filepath.Join(home, "work")
	require.NoError(t, os.MkdirAll(work, 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(work, "harp.abc"), []byte(turningBars), 0o644))
	before := listing(t, home)

	command := exec.Command(binary, "serve")
	command.Dir = work
	for _, name := range []string{"HOME", "USERPROFILE", "TMPDIR", "TMP", "TEMP", "APPDATA", "LOCALAPPDATA", "XDG_CACHE_HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_RUNTIME_DIR"} {
		command.Env = append(command.Env, name+"="+home)
	}
	p, err := lsptest.StartCommand(command)
	require.NoError(t, err)
	ctx, cancel := context.WithTimeout(t.Context(), patience)
	defer cancel()
	uri := "file://" + filepath.ToSlash(filepath.Join(work, "harp.abc"))
	require.NoError(t, p.Request(ctx, "initialize", map[string]any{"capabilities": struct{}{}, "rootUri": "file://" + filepath.ToSlash(work)}, nil))
	require.NoError(t, p.Notify("initialized", struct{}{}))
	require.NoError(t, p.Open(uri, turningBars))
	found, err := p.AwaitDiagnostics(ctx, uri)
	require.NoError(t, err)
	_, err = p.Actions(ctx, uri, turnsIn(found)[0].Range)
	require.NoError(t, err)
	_, err = p.PullWorkspace(ctx, nil, "", "")
	require.NoError(t, err)
	require.NoError(t, p.Edit(uri, lsptest.TextEdit{NewText: "%\n"}))
	assert.Empty(t, childrenOf(p.Command.Process.Pid), "it starts no process")
	require.NoError(t, p.Command.Process.Kill())
	_ = p.Command.Wait() // killed: its exit code says nothing
	assert.Equal(t, before, listing(t, home))
}

// listing are the files below a folder with what is in them.
func listing(t *testing.T, folder string) map[string]string {
	all := map[string]string{}
	require.NoError(t, filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			all[path] = "a folder"
			return err
		}
		text, err := os.ReadFile(path)
		all[path] = string(text)
		return err
	}))
	return all
}

// childrenOf are the processes that one has started, where the system tells.
func childrenOf(pid int) string {
	if runtime.GOOS != "linux" {
		return ""
	}
	all, err := filepath.Glob(fmt.Sprintf("/proc/%d/task/*/children", pid))
	if err != nil {
		return err.Error()
	}
	var children []byte
	for _, file := range all {
		if text, err := os.ReadFile(file); err == nil { // a thread may have ended
			children = append(children, text...)
		}
	}
	return string(bytes.TrimSpace(children))
}
