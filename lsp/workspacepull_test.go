package lsp

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis"
	"fourfold/lsp/lsptest"
)

// workspace makes a folder of files; a name that ends in / is an empty folder.
func workspace(t *testing.T, files map[string]string) string {
	t.Helper()
	folder, err := filepath.EvalSymlinks(t.TempDir())
	require.NoError(t, err)
	for name, text := range files {
		path := filepath.Join(folder, filepath.FromSlash(name))
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	}
	return folder
}

// startIn starts a session of a client that pulls, with workspace folders.
func startIn(t *testing.T, read analyse, folders ...string) *talk {
	k := begin(t, read)
	list := []map[string]string{}
	for _, f := range folders {
		list = append(list, map[string]string{"uri": fileURI(f), "name": filepath.Base(f)})
	}
	require.NoError(t, k.Request(k.ctx, "initialize", map[string]any{
		"capabilities": json.RawMessage(editorPulls), "workspaceFolders": list}, nil))
	require.NoError(t, k.Notify("initialized", struct{}{}))
	return k
}

// pullWorkspace asks for the whole workspace, and gives the reports by the name of
// the file below a folder.
func (k *talk) pullWorkspace(folder string, previous map[string]string) map[string]lsptest.Report {
	k.t.Helper()
	reports, err := k.PullWorkspace(k.ctx, previous, "", "")
	require.NoError(k.t, err)
	return byName(k.t, folder, reports)
}

func byName(t *testing.T, folder string, reports []lsptest.Report) map[string]lsptest.Report {
	named := map[string]lsptest.Report{}
	for _, r := range reports {
		path, ok := filePath(r.URI)
		require.True(t, ok, r.URI)
		name, err := filepath.Rel(folder, path)
		require.NoError(t, err)
		require.NotContains(t, named, name, "each once")
		named[filepath.ToSlash(name)] = r
	}
	return named
}

// ids are what a client remembers of reports.
func ids(reports map[string]lsptest.Report) map[string]string {
	all := map[string]string{}
	for _, r := range reports {
		all[r.URI] = r.ResultID
	}
	return all
}

func kinds(reports map[string]lsptest.Report) map[string]string {
	all := map[string]string{}
	for name, r := range reports {
		all[name] = r.Kind
	}
	return all
}

// TestWorkspacePull walks through the life of a folder: found, unchanged, changed
// on disk, open with another text, other settings, gone.
func TestWorkspacePull(t *testing.T) {
	const odd = "parts/é # 100% a+b [x].ABC"
	folder := workspace(t, map[string]string{
		"harp.abc": turning, odd: "\ufeff" + turning, "empty.abc": "",
		"notes.txt": turning, ".hidden/harp.abc": turning, ".git/x.abc": turning,
	})
	k := startIn(t, (*analysis.Glimpse).Whole, folder, filepath.Join(folder, "parts"))

	first := k.pullWorkspace(folder, nil)
	require.Equal(t, map[string]string{"harp.abc": "full", odd: "full", "empty.abc": "full"}, kinds(first))
	pushed := start(t, "{}")
	require.NoError(t, pushed.Open(uri, turning))
	for _, name := range []string{"harp.abc", odd} {
		assert.Equal(t, pushed.diagnostics(uri), first[name].Items, name)
		assert.Nil(t, first[name].Version, "it is not open")
	}
	assert.NotNil(t, first["empty.abc"].Items)

	second := k.pullWorkspace(folder, ids(first))
	require.Equal(t, map[string]string{"harp.abc": "unchanged", odd: "unchanged", "empty.abc": "unchanged"}, kinds(second))

	require.NoError(t, os.WriteFile(filepath.Join(folder, "empty.abc"), []byte("X:1\nK:C\nC2\n"), 0o644))
	require.NoError(t, k.Open(first["harp.abc"].URI, "X:1\nT:Other\nK:C\nC|\n"))
	third := k.pullWorkspace(folder, ids(second))
	require.Equal(t, map[string]string{"harp.abc": "full", odd: "unchanged", "empty.abc": "full"}, kinds(third))
	require.NotNil(t, third["harp.abc"].Version)
	assert.Equal(t, 1, *third["harp.abc"].Version)
	assert.Empty(t, ofRule(third["harp.abc"].Items, "hands/turn"), "what is open counts, not what is on disk")
	document := k.pull(first["harp.abc"].URI, third["harp.abc"].ResultID)
	assert.Equal(t, "unchanged", document.Kind, "both pulls give one id")

	require.NoError(t, os.WriteFile(filepath.Join(folder, "parts", ".fourfold.toml"), []byte("[severity]\n\"hands/turn\" = \"error\"\n"), 0o644))
	fourth := k.pullWorkspace(folder, ids(third))
	require.Equal(t, map[string]string{"harp.abc": "unchanged", odd: "full", "empty.abc": "unchanged"}, kinds(fourth))
	assert.Equal(t, 1, ofRule(fourth[odd].Items, "hands/turn")[0].Severity)

	require.NoError(t, os.Remove(filepath.Join(folder, "empty.abc")))
	fifth := k.pullWorkspace(folder, ids(fourth))
	require.Equal(t, map[string]string{"harp.abc": "unchanged", odd: "unchanged", "empty.abc": "full"}, kinds(fifth))
	assert.Empty(t, fifth["empty.abc"].Items)

	require.NoError(t, k.Notify("workspace/didChangeWorkspaceFolders", map[string]any{"event": map[string]any{
		"added": []any{}, "removed": []any{map[string]string{"uri": fileURI(folder), "name": "x"}}}}))
	sixth := k.pullWorkspace(folder, nil)
	assert.Equal(t, map[string]string{odd: "full"}, kinds(sixth), "the inner folder is a folder of its own")
}

// With tokens the reports come in parts, with a percentage that rises to 100, and
// the answer is empty.
func TestWorkspacePullInParts(t *testing.T) {
	files := map[string]string{}
	for i := range 70 {
		files[fmt.Sprintf("%02d.abc", i)] = fmt.Sprintf("X:%d\nK:C\nC4|\n", i)
	}
	folder := workspace(t, files)
	k := startIn(t, (*analysis.Glimpse).Whole, folder)
	previous := map[string]string{}
	for _, want := range []string{"full", "unchanged"} {
		done, partial := `"done `+want+`"`, fmt.Sprint(len(previous)+7)
		whole, err := k.PullWorkspace(k.ctx, previous, done, partial)
		require.NoError(t, err)
		assert.Empty(t, whole)
		var reports []lsptest.Report
		var told []int
		k.await(func(s lsptest.State) bool {
			for _, value := range s.Progress(partial) {
				var part struct{ Items []lsptest.Report }
				require.NoError(t, json.Unmarshal(value, &part))
				reports = append(reports, part.Items...)
			}
			for i, value := range s.Progress(done) {
				var p struct {
					Kind, Title, Message string
					Percentage           *int
				}
				require.NoError(t, json.Unmarshal(value, &p))
				switch {
				case i == 0:
					assert.Equal(t, "begin", p.Kind)
					assert.Equal(t, "Checking scores", p.Title)
					require.NotNil(t, p.Percentage)
				case i == len(s.Progress(done))-1:
					assert.Equal(t, "end", p.Kind)
					assert.Equal(t, "70 of 70", p.Message)
					continue
				default:
					assert.Equal(t, "report", p.Kind)
				}
				told = append(told, *p.Percentage)
			}
			return true // all of it stands before the answer on the wire
		})
		assert.IsIncreasing(t, told)
		assert.Equal(t, 0, told[0])
		assert.Equal(t, 100, told[len(told)-1])
		named := byName(t, folder, reports)
		require.Len(t, named, len(files))
		for name, r := range named {
			assert.Equal(t, want, r.Kind, name)
		}
		previous = ids(named)
	}
}

// A check of the workspace can be cancelled, stands back behind what the user waits
// for, and then goes on.
func TestWorkspacePullStandsBack(t *testing.T) {
	folder := workspace(t, map[string]string{"a.abc": "background", "b.abc": "background"})
	reached, release := make(chan struct{}, 10), make(chan struct{})
	k := startIn(t, func(g *analysis.Glimpse, ctx context.Context) (*analysis.Reading, error) {
		if string(g.File().Text()) == "background" {
			reached <- struct{}{}
		} else {
			<-release
		}
		if err := ctx.Err(); err != nil { // here the background stands back
			return nil, err
		}
		return nothing(context.WithoutCancel(ctx))
	}, folder)
	require.NoError(t, k.Open("untitled:typing", "foreground"))
	typing, err := k.Ask("textDocument/hover", map[string]any{"textDocument": docID("untitled:typing"), "position": lsptest.Position{}})
	require.NoError(t, err)
	check := func() string {
		id, err := k.Ask("workspace/diagnostic", map[string]any{"previousResultIds": []any{}})
		require.NoError(t, err)
		return id
	}
	cancelled, goesOn := check(), check()
	require.NoError(t, k.Notify("$/cancelRequest", map[string]any{"id": json.RawMessage(cancelled)}))
	a, err := k.AwaitAnswer(k.ctx, cancelled)
	require.NoError(t, err)
	k.refused(a, -32800)
	k.await(func(s lsptest.State) bool {
		_, answered := s.Answer(goesOn)
		assert.False(t, answered, "the hover is not answered yet")
		return true
	})
	assert.Empty(t, reached, "nothing in the background has begun")
	close(release)
	_, err = k.AwaitAnswer(k.ctx, typing)
	require.NoError(t, err)
	a, err = k.AwaitAnswer(k.ctx, goesOn)
	require.NoError(t, err)
	assert.Nil(t, a.Error)
	assert.Equal(t, 2, strings.Count(string(a.Result), `"full"`))
}

// One score that makes the analysis panic, and one that cannot be read, cost their
// own reports alone.
func TestWorkspacePullSurvives(t *testing.T) {
	folder := workspace(t, map[string]string{"a.abc": "panic", "b.abc": "fine", "c.abc": strings.Repeat("x", maxScoreFile+1), "d.abc": "fine"})
	k := startIn(t, func(g *analysis.Glimpse, ctx context.Context) (*analysis.Reading, error) {
		if string(g.File().Text()) == "panic" {
			panic("on purpose")
		}
		return nothing(ctx)
	}, folder)
	assert.Equal(t, map[string]string{"b.abc": "full", "d.abc": "full"}, kinds(k.pullWorkspace(folder, nil)))
}

// Nothing outside the workspace is read: links are not followed, whether they are
// scores, folders or the settings' file, and no settings above the folder count.
func TestLinksOutOfTheWorkspace(t *testing.T) {
	outside := workspace(t, map[string]string{
		"secret.abc":     "X:1\nT:Secret\nK:C\nC2 C2 C2\n",
		".fourfold.toml": "secret = \"words\"\n",
		"work/harp.abc":  turning, "work/sub/harp.abc": turning,
	})
	folder := filepath.Join(outside, "work")
	link := func(from, to string) {
		if err := os.Symlink(to, filepath.Join(folder, from)); err != nil {
			t.Skip("links cannot be made here: ", err)
		}
	}
	link("out.abc", filepath.Join(outside, "secret.abc"))
	link("in.abc", filepath.Join(folder, "harp.abc"))
	link("up", outside)
	link("round", folder)
	link("sub/.fourfold.toml", filepath.Join(outside, ".fourfold.toml"))

	k := startIn(t, (*analysis.Glimpse).Whole, folder)
	reports := k.pullWorkspace(folder, nil)
	assert.Equal(t, map[string]string{"harp.abc": "full", "sub/harp.abc": "full"}, kinds(reports))
	require.NoError(t, k.Open(reports["harp.abc"].URI, turning))
	require.NoError(t, k.Open(reports["sub/harp.abc"].URI, turning))
	for _, r := range reports {
		assert.NotEmpty(t, k.pull(r.URI, "").Items)
	}
	k.await(func(s lsptest.State) bool {
		logs := strings.Join(s.Logs(), "\n")
		assert.NotContains(t, logs, "secret")
		assert.NotContains(t, logs, "words")
		return strings.Contains(logs, "sub") // it is told that the link is not read
	})
}
