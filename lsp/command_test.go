package lsp

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis"
	"fourfold/lsp/lsptest"
)

func (k *talk) execute(command string, result any, arguments ...any) error {
	return k.Request(k.ctx, "workspace/executeCommand", map[string]any{"command": command, "arguments": arguments}, result)
}

// The page is shown where the client can show it; else the user is told where it
// lies. It is in the folder of the caches, and no script is in it.
func TestOpenReview(t *testing.T) {
	hostile := strings.Replace(turning, "T:Turning", `T:<script>alert(1)</script>`, 1)
	for _, c := range []struct {
		name, capabilities, reply string
		told                      bool
	}{
		{"shown", `{"window":{"showDocument":{"support":true}}}`, `{"success":true}`, false},
		{"not shown", `{"window":{"showDocument":{"support":true}}}`, `{"success":false}`, true},
		{"not offered", `{}`, ``, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			k := start(t, c.capabilities)
			k.Reply("window/showDocument", c.reply)
			require.NoError(t, k.Open(uri, hostile))
			var page struct{ URI string }
			require.NoError(t, k.execute("fourfold.openReview", &page, uri))
			path, ok := filePath(page.URI)
			require.True(t, ok)
			assert.Equal(t, k.pages, filepath.Dir(path))
			html, err := os.ReadFile(path)
			require.NoError(t, err)
			assert.Contains(t, string(html), "holds up to")
			assert.NotContains(t, string(html), "<script")
			k.await(func(s lsptest.State) bool {
				said := s.Said("window/showMessage")
				return len(said) == 1 && strings.Contains(string(said[0]), filepath.Base(path)) || !c.told && len(said) == 0
			})
			k.await(func(s lsptest.State) bool {
				said := s.Said("window/showDocument")
				if c.capabilities == "{}" {
					return len(said) == 0
				}
				var p struct {
					URI      string
					External bool
				}
				return len(said) == 1 && json.Unmarshal(said[0], &p) == nil && p.URI == page.URI && p.External
			})
		})
	}
}

// Scores of one name have pages of their own; of one score the newest stays, and
// old pages make room.
func TestReviewPages(t *testing.T) {
	k := start(t, "{}")
	other := "file:///elsewhere/ferry.abc"
	unsaved := "untitled:Untitled-1"
	for _, name := range []string{uri, other, unsaved, uri} {
		require.NoError(t, k.Open(name, turning))
		require.NoError(t, k.execute("fourfold.openReview", nil, name))
	}
	names, err := filepath.Glob(filepath.Join(k.pages, "*"))
	require.NoError(t, err)
	assert.Len(t, names, 3)
	long := time.Now().Add(-time.Hour)
	for i := range 2 * mostPages {
		old := filepath.Join(k.pages, fmt.Sprintf("old-%d.html", i))
		require.NoError(t, os.WriteFile(old, nil, 0o600))
		require.NoError(t, os.Chtimes(old, long, long))
	}
	require.NoError(t, k.execute("fourfold.openReview", nil, uri))
	after, err := filepath.Glob(filepath.Join(k.pages, "*"))
	require.NoError(t, err)
	assert.Len(t, after, mostPages)
	for _, name := range names {
		assert.FileExists(t, name)
	}
}

func TestPageName(t *testing.T) {
	for uri, want := range map[string]string{
		"file:///a/ferry%20at%20dusk.abc":              "ferryatdusk-",
		"untitled:Untitled-1":                          "Untitled-1-",
		"file:///a/..%2f..%2fetc.abc":                  "etc-",
		"file:///" + strings.Repeat("é", 200) + ".abc": strings.Repeat("é", 40) + "-",
		"":                           "-",
		"file:///a/%3Cscript%3E.abc": "script-",
	} {
		name := pageName(uri)
		assert.True(t, strings.HasPrefix(name, want) || strings.Contains(name, want), "%s: %s", uri, name)
		assert.Equal(t, filepath.Base(name), name)
		assert.Less(t, len(name), 120)
	}
}

func TestReviewThatCannotBeWritten(t *testing.T) {
	k := start(t, "{}")
	require.NoError(t, os.WriteFile(k.pages, nil, 0o600)) // a file where the folder should be
	require.NoError(t, k.Open(uri, turning))
	var e *lsptest.Error
	require.ErrorAs(t, k.execute("fourfold.openReview", nil, uri), &e)
	assert.Equal(t, -32603, e.Code)
	assert.Contains(t, e.Message, "fourfold review")
}

func TestWrongCommands(t *testing.T) {
	k := start(t, "{}")
	for _, p := range []map[string]any{
		{}, {"command": "fourfold.unheardOf"}, {"command": 7},
		{"command": "fourfold.openReview"},
		{"command": "fourfold.openReview", "arguments": []any{}},
		{"command": "fourfold.openReview", "arguments": []any{7}},
		{"command": "fourfold.openReview", "arguments": []any{"file:///not/open.abc"}},
		{"command": "fourfold.openReview", "arguments": "x"},
	} {
		k.fails("workspace/executeCommand", p, -32602)
	}
}

// The client is told all commands, and each of them is carried out.
func TestCommandsAreTold(t *testing.T) {
	k := begin(t, (*analysis.Glimpse).Whole)
	var result struct {
		Capabilities struct{ ExecuteCommandProvider struct{ Commands []string } }
	}
	require.NoError(t, k.Initialize(k.ctx, "{}", &result))
	require.NotEmpty(t, result.Capabilities.ExecuteCommandProvider.Commands)
	for _, name := range result.Capabilities.ExecuteCommandProvider.Commands {
		assert.Contains(t, commands(), name)
	}
}

// A client that does not pull is published the findings on scores that are not
// open, and the end of them.
func TestCheckWorkspace(t *testing.T) {
	folder := workspace(t, map[string]string{"turning.abc": turning, "sub/fine.abc": "X:1\nQ:1/4=60\nK:C\nC4|\n", "notes.txt": "X:1"})
	k := begin(t, (*analysis.Glimpse).Whole)
	require.NoError(t, k.Request(k.ctx, "initialize", map[string]any{
		"capabilities":     json.RawMessage(`{"window":{"workDoneProgress":true}}`),
		"workspaceFolders": []any{map[string]string{"uri": fileURI(folder), "name": "scores"}}}, nil))
	require.NoError(t, k.Notify("initialized", struct{}{}))
	check := func() (sum struct{ Scores, Errors, Warnings int }) {
		require.NoError(t, k.execute("fourfold.checkWorkspace", &sum))
		return sum
	}
	sum := check()
	assert.Equal(t, 2, sum.Scores)
	assert.Equal(t, 1, sum.Errors+sum.Warnings)
	name := fileURI(filepath.Join(folder, "turning.abc"))
	k.await(func(s lsptest.State) bool {
		p, _ := s.Last(name)
		said := s.Said("window/showMessage")
		return len(p.Diagnostics) > 0 && len(said) == 1 && strings.Contains(string(said[0]), "2 scores checked: 1 with") &&
			s.Asked("window/workDoneProgress/create") == 1 && s.Asked("$/progress") > 1
	})
	require.NoError(t, os.WriteFile(filepath.Join(folder, "turning.abc"), []byte("X:1\nQ:1/4=60\nK:C\nC4|\n"), 0o644))
	check()
	gone := func(s lsptest.State) bool {
		p, _ := s.Last(name)
		return len(p.Diagnostics) == 0 && strings.Contains(p.Raw, `"diagnostics":[]`)
	}
	k.await(gone)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "turning.abc"), []byte(turning), 0o644))
	assert.Equal(t, 2, check().Scores)
	k.await(func(s lsptest.State) bool { return !gone(s) })
	require.NoError(t, os.Remove(filepath.Join(folder, "turning.abc")))
	assert.Equal(t, 1, check().Scores)
	k.await(gone)
}

func TestCheckWithoutAFolder(t *testing.T) {
	k := start(t, "{}")
	require.NoError(t, k.execute("fourfold.checkWorkspace", nil))
	k.await(func(s lsptest.State) bool {
		said := s.Said("window/showMessage")
		return len(said) == 1 && strings.Contains(string(said[0]), "open the folder")
	})
}

// The button beside the progress ends the work, and the request is answered as
// cancelled.
func TestProgressCanBeCancelled(t *testing.T) {
	folder := workspace(t, map[string]string{"a.abc": turning})
	read, begun := stuck()
	k := begin(t, read)
	require.NoError(t, k.Request(k.ctx, "initialize", map[string]any{
		"capabilities": json.RawMessage(`{}`), "rootUri": fileURI(folder)}, nil))
	id, err := k.Ask("workspace/executeCommand", map[string]any{"command": "fourfold.checkWorkspace", "workDoneToken": "mine"})
	require.NoError(t, err)
	<-begun
	require.NoError(t, k.Notify("window/workDoneProgress/cancel", map[string]any{"token": "another's"}))
	require.NoError(t, k.Notify("window/workDoneProgress/cancel", map[string]any{"token": "mine"}))
	a, err := k.AwaitAnswer(k.ctx, id)
	require.NoError(t, err)
	k.refused(a, -32800)
}
