package lsp

import (
	"encoding/json"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis"
	"fourfold/lsp/lsptest"
)

func TestOurSettings(t *testing.T) {
	for sent, want := range map[string]string{
		`null`: "", `{}`: "", `[]`: "", `7`: "", ``: "",
		`{"fourfold":null}`:                        "",
		`{"python":{"tempo":3}}`:                   "",
		`{"fourfold":{}}`:                          `{}`,
		`{"fourfold":{"tempo":60},"hand":"small"}`: `{"tempo":60}`,
		`{"hand":"small"}`:                         `{"hand":"small"}`,
		`{"severity":{"hands":"off"}}`:             `{"severity":{"hands":"off"}}`,
	} {
		assert.Equal(t, want, string(ourSettings(json.RawMessage(sent))), sent)
	}
}

func TestFilePath(t *testing.T) {
	for uri, want := range map[string]string{
		"file:///scores/ferry%20at%20dusk.abc": "/scores/ferry at dusk.abc",
		"file:///a%23b%25/%C3%A9/\u266f.abc":   "/a#b%/é/\u266f.abc",
		"file://localhost/x.abc":               "/x.abc",
		"untitled:Untitled-1":                  "",
		"vscode-remote://127.0.0.1:80/x.abc":   "",
		"not a uri at all":                     "",
		"file:":                                "",
		"file:///%zz":                          "",
	} {
		path, ok := filePath(uri)
		assert.Equal(t, filepath.FromSlash(want), path, uri)
		assert.Equal(t, want != "", ok, uri)
	}
}

// severities are those of the findings published last.
func severities(k *talk, want int) {
	k.t.Helper()
	k.await(func(s lsptest.State) bool {
		p, _ := s.Last(uri)
		turns := ofRule(p.Diagnostics, "hands/turn")
		return len(turns) > 0 && turns[0].Severity == want
	})
}

func levels(level string) string { return fmt.Sprintf(`{"severity":{"hands/turn":%q}}`, level) }

func TestSettingsPushed(t *testing.T) {
	k := begin(t, (*analysis.Glimpse).Whole)
	params := map[string]any{"capabilities": struct{}{}, "initializationOptions": json.RawMessage(levels("error"))}
	require.NoError(t, k.Request(k.ctx, "initialize", params, nil))
	require.NoError(t, k.Open(uri, turning))
	severities(k, 1)
	push := func(settings string) {
		require.NoError(t, k.Notify("workspace/didChangeConfiguration", map[string]any{"settings": json.RawMessage(settings)}))
	}
	push(`{"fourfold":` + levels("hint") + `}`)
	severities(k, 4)
	push(levels("information")) // bare
	severities(k, 3)
	for _, empty := range []string{`null`, `{}`, `[]`, `{"fourfold":null}`, `{"python":{"tempo":3}}`} {
		push(empty) // none of these means "back to the defaults"
	}
	push(`{"fourfold":{"severity":{"hands/turn":"error"},"colour":"red"}}`)
	severities(k, 1)
	k.await(func(s lsptest.State) bool {
		return len(s.Logs()) == 1 && strings.Contains(s.Logs()[0], "fourfold.colour")
	})
}

func TestSettingsPulled(t *testing.T) {
	k := begin(t, (*analysis.Glimpse).Whole)
	k.SetSettings(levels("error"))
	require.NoError(t, k.Initialize(k.ctx, `{"workspace":{"configuration":true,"didChangeConfiguration":{"dynamicRegistration":true}}}`, nil))
	require.NoError(t, k.Open(uri, turning))
	severities(k, 1)
	k.await(func(s lsptest.State) bool { return s.Asked("client/registerCapability") == 1 })
	k.SetSettings(levels("hint"))
	require.NoError(t, k.Notify("workspace/didChangeConfiguration", map[string]any{"settings": nil}))
	severities(k, 4)
	k.SetSettings(`null`)
	require.NoError(t, k.Notify("workspace/didChangeConfiguration", map[string]any{"settings": map[string]any{}}))
	k.await(func(s lsptest.State) bool { return s.Asked("workspace/configuration") == 3 })
	require.NoError(t, k.Edit(uri, lsptest.TextEdit{NewText: "%\n"}))
	assert.Equal(t, 4, ofRule(k.diagnostics(uri), "hands/turn")[0].Severity, "null keeps what was set")
}

// The folder's file lies on what the editor says; when it changes the client
// tells, and what is wrong in it is told once.
func TestSettingsOfTheFolder(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "é # % of mine")
	require.NoError(t, os.MkdirAll(filepath.Join(folder, "parts"), 0o755))
	file := filepath.Join(folder, ".fourfold.toml")
	write := func(text string) { require.NoError(t, os.WriteFile(file, []byte(text), 0o644)) }
	write("colour = 1\n[severity]\n\"hands/turn\" = \"error\"\n")

	k := begin(t, (*analysis.Glimpse).Whole)
	require.NoError(t, k.Request(k.ctx, "initialize", map[string]any{
		"capabilities":          json.RawMessage(`{"workspace":{"didChangeWatchedFiles":{"dynamicRegistration":true}}}`),
		"initializationOptions": json.RawMessage(levels("hint"))}, nil))
	require.NoError(t, k.Notify("initialized", struct{}{}))
	k.await(func(s lsptest.State) bool { return s.Asked("client/registerCapability") == 1 })

	name := (&url.URL{Scheme: "file", Path: filepath.ToSlash(filepath.Join(folder, "parts", "harp.abc"))}).String()
	severity := func(want int) {
		t.Helper()
		k.await(func(s lsptest.State) bool {
			p, _ := s.Last(name)
			turns := ofRule(p.Diagnostics, "hands/turn")
			return len(turns) > 0 && turns[0].Severity == want
		})
	}
	require.NoError(t, k.Open(name, turning))
	severity(1)
	write("colour = 1\n[severity]\n\"hands/turn\" = \"information\"\n")
	require.NoError(t, k.Notify("workspace/didChangeWatchedFiles", map[string]any{"changes": []any{}}))
	severity(3)
	require.NoError(t, os.Remove(file))
	require.NoError(t, k.Notify("workspace/didChangeWatchedFiles", map[string]any{"changes": []any{}}))
	severity(4)
	k.await(func(s lsptest.State) bool {
		return len(s.Logs()) == 1 && strings.Contains(s.Logs()[0], "colour")
	})
}
