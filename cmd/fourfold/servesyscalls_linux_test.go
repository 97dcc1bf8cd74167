package main

import (
	"context"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/lsp/lsptest"
)

// reaching is a score that names other files in every way that the notation knows.
func reaching(secret string) string {
	return strings.NewReplacer("FAfc FAfc", "[I:abc-include "+secret+"]FAfc FAfc", "K:F\n",
		"I:abc-include "+secret+"\n%%abc-include "+secret+"\n%%format "+secret+"\n%%EPS "+secret+"\n%%includefile "+secret+
			"\nF:file://"+secret+"\n%%beginps\n("+secret+") run\n%%endps\n%%fourfold include="+secret+"\nK:F\n").Replace(turningBars)
}

// TestServeAsksTheSystemForLittle traces the real server through a session over a
// hostile workspace: it opens no port, starts no process, opens nothing to write, and
// reads nothing but the workspace and what the system's own libraries look at.
func TestServeAsksTheSystemForLittle(t *testing.T) {
	if _, err := exec.LookPath("strace"); err != nil {
		t.Skip("strace is not here")
	}
	top, err := filepath.EvalSymlinks(t.TempDir())
	require.NoError(t, err)
	work := filepath.Join(top, "work")
	secret := filepath.Join(top, "secret.abc")
	require.NoError(t, os.MkdirAll(filepath.Join(work, "sub"), 0o755))
	for name, text := range map[string]string{
		secret:                                  "X:1\nT:Secret\nK:C\nC|\n",
		filepath.Join(top, ".fourfold.toml"):    "secret = 1\n",
		filepath.Join(work, "harp.abc"):         reaching(secret),
		filepath.Join(work, "sub", "other.abc"): reaching("../../secret.abc"),
		filepath.Join(work, ".fourfold.toml"):   "extends = \"" + secret + "\"\ninclude = [\"../secret.abc\"]\n[set]\ncycle = nan\nroll = -1\n[severity]\n\"" + secret + "\" = \"error\"\n",
	} {
		require.NoError(t, os.WriteFile(name, []byte(text), 0o644))
	}
	require.NoError(t, os.Symlink(secret, filepath.Join(work, "link.abc")))
	require.NoError(t, os.Symlink(top, filepath.Join(work, "up")))
	require.NoError(t, os.Symlink(filepath.Join(top, ".fourfold.toml"), filepath.Join(work, "sub", ".fourfold.toml")))
	trace := filepath.Join(top, "trace")
	if out, err := exec.Command("strace", "-f", "-o", trace, binary, "version").CombinedOutput(); err != nil {
		t.Skipf("strace cannot trace here: %v: %s", err, out)
	}
	p, err := lsptest.Start("strace", "-f", "-y", "-s", "4096", "-e", "trace=%network,%process,%file", "-o", trace, binary, "serve")
	require.NoError(t, err)
	t.Cleanup(func() { _ = p.Command.Process.Kill() }) // it has ended, or the test failed
	ctx, cancel := context.WithTimeout(t.Context(), patience)
	defer cancel()
	wholeSession(t, ctx, p, work)

	text, err := os.ReadFile(trace)
	require.NoError(t, err)
	calls := strings.Split(string(text), "\n")
	require.Greater(t, len(calls), 50)
	execs, read := 0, map[string]bool{}
	opened := regexp.MustCompile(`^\d+ +open(?:at2?)?\((?:AT_FDCWD<[^>]*>|AT_FDCWD|\d+<([^>]*)>), "([^"]*)", (.*)$`)
	for _, call := range calls {
		_, name, _ := strings.Cut(call, " ")
		name, _, _ = strings.Cut(strings.TrimSpace(name), "(")
		switch name {
		case "execve":
			execs++
		case "socket", "socketpair", "bind", "listen", "connect", "accept", "accept4", "sendto", "sendmsg", "fork", "vfork", "execveat",
			"unlink", "unlinkat", "rename", "renameat", "renameat2", "mkdir", "mkdirat", "rmdir", "creat", "link", "linkat", "symlink", "symlinkat", "chmod", "fchmodat", "truncate":
			t.Errorf("the server calls %s", call)
		}
		m := opened.FindStringSubmatch(call)
		if m == nil {
			continue
		}
		path := m[2]
		if !filepath.IsAbs(path) && m[1] != "" {
			path = filepath.Join(m[1], path)
		}
		read[path] = true
		for _, flag := range []string{"O_WRONLY", "O_RDWR", "O_CREAT", "O_TRUNC", "O_APPEND"} {
			assert.NotContains(t, m[3], flag, call)
		}
		assert.NotEqual(t, secret, path, "the score beside the workspace is opened: %s", call)
		assert.True(t, isBelow(path, work) || isSystems(path), "the server opens %s", call)
	}
	assert.True(t, read[filepath.Join(work, "sub", "other.abc")] && read[filepath.Join(work, ".fourfold.toml")], "the trace shows what is read")
	assert.Equal(t, 1, execs, "the server itself, and no other")
	log := p.Stderr.String()
	assert.NotContains(t, log, "panic")
}

// wholeSession uses all that reads or writes in the manner of an editor.
func wholeSession(t *testing.T, ctx context.Context, p *lsptest.Process, work string) {
	folder := "file://" + work
	uri := folder + "/harp.abc"
	var result struct {
		Capabilities map[string]json.RawMessage
	}
	require.NoError(t, p.Request(ctx, "initialize", map[string]any{
		"processId": os.Getpid(), "workspaceFolders": []any{map[string]any{"uri": folder, "name": "work"}},
		"capabilities": json.RawMessage(`{"textDocument":{"diagnostic":{}},"workspace":{"didChangeWatchedFiles":{"dynamicRegistration":true}}}`)}, &result))
	require.NoError(t, p.Notify("initialized", struct{}{}))
	text, err := os.ReadFile(filepath.Join(work, "harp.abc"))
	require.NoError(t, err)
	require.NoError(t, p.Open(uri, string(text)))
	r, err := p.Pull(ctx, uri, "")
	require.NoError(t, err)
	turns := turnsIn(r.Items)
	require.NotEmpty(t, turns)
	reports, err := p.PullWorkspace(ctx, nil, "", "")
	require.NoError(t, err)
	assert.Len(t, reports, 2, "the links are not followed")
	_, err = p.Actions(ctx, uri, turns[0].Range, turns[0])
	require.NoError(t, err)
	for _, method := range []string{"documentSymbol", "codeLens", "documentLink", "foldingRange", "semanticTokens/full"} {
		// Not every server has all of them: what matters is what it does to the system.
		if a, err := askOf(ctx, p, "textDocument/"+method, uri); err != nil {
			t.Fatalf("%s: %v", method, err)
		} else if a.Error != nil {
			assert.Equal(t, -32601, a.Error.Code, "%s: %v", method, a.Error)
		}
	}
	require.NoError(t, p.Edit(uri, lsptest.TextEdit{NewText: "%%abc-include /etc/passwd\n"}))
	_, err = p.Pull(ctx, uri, "")
	require.NoError(t, err)
	require.NoError(t, p.CloseDocument(uri))
	require.NoError(t, p.Request(ctx, "shutdown", nil, nil))
	require.NoError(t, p.Notify("exit", nil))
	require.NoError(t, p.Command.Wait())
}

func askOf(ctx context.Context, p *lsptest.Process, method, uri string) (lsptest.Answer, error) {
	id, err := p.Ask(method, map[string]any{"textDocument": map[string]any{"uri": uri}})
	if err != nil {
		return lsptest.Answer{}, err
	}
	return p.AwaitAnswer(ctx, id)
}

func isBelow(path, folder string) bool {
	return path == folder || strings.HasPrefix(path, folder+"/")
}

// isSystems says whether a path is one that the loader and Go's runtime look at.
func isSystems(path string) bool {
	for _, folder := range []string{"/proc/self", "/sys/kernel", "/sys/devices/system/cpu", "/sys/fs/cgroup", "/lib", "/lib64", "/usr/lib", "/etc/ld.so.cache", "/etc/localtime", "/usr/share/zoneinfo", "/usr/local/go/lib/time", "/dev/null"} {
		if isBelow(path, folder) {
			return true
		}
	}
	return false
}
