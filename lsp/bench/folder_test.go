package bench

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fourfold/lsp/lsptest"
)

// folderOf2000 are the scores of a large folder: 2,000 of 16 bars in two staves.
const folderOf2000 = 2000

// BenchmarkFolder types into a score of 1,000 bars while the server has nothing else
// to do, and while it checks a folder of 2,000 scores; beside the keys it tells how
// long the check of the folder takes alone and beside the typing.
func BenchmarkFolder(b *testing.B) {
	binary, err := lsptest.Build(b.TempDir(), "cmd/fourfold")
	require.NoError(b, err)
	folder := b.TempDir()
	for i := range folderOf2000 {
		name := filepath.Join(folder, fmt.Sprintf("%02d", i%40), fmt.Sprintf("%04d.abc", i))
		require.NoError(b, os.MkdirAll(filepath.Dir(name), 0o755))
		require.NoError(b, os.WriteFile(name, []byte(Score(16, uint64(i))), 0o644))
	}
	b.Run("typing alone", func(b *testing.B) { typeAtPace(b, binary, folder, false) })
	b.Run("typing beside the check", func(b *testing.B) { typeAtPace(b, binary, folder, true) })
	b.Run("the check alone", func(b *testing.B) {
		p, ctx := puller(b, binary, folder)
		begun := time.Now() // once, however often the keys are pressed
		reports, err := p.PullWorkspace(ctx, nil, "", "")
		require.NoError(b, err)
		require.Len(b, reports, folderOf2000)
		b.ReportMetric(time.Since(begun).Seconds(), "folder-s")
		previous := map[string]string{}
		for _, r := range reports {
			previous[r.URI] = r.ResultID
		}
		begun = time.Now()
		_, err = p.PullWorkspace(ctx, previous, "", "")
		require.NoError(b, err)
		b.ReportMetric(ms(time.Since(begun)), "unchanged-ms")
		if bytes, ok := p.Memory(); ok {
			b.ReportMetric(float64(bytes)/(1<<20), "MB")
		}
		b.ReportMetric(0, "ns/op") // the two together say nothing
	})
}

// puller starts a server for a client that pulls.
func puller(b *testing.B, binary, folder string) (*lsptest.Process, context.Context) {
	ctx, cancel := context.WithTimeout(context.Background(), limit)
	b.Cleanup(cancel)
	p, err := lsptest.Start(binary, "serve")
	require.NoError(b, err)
	b.Cleanup(func() {
		_ = p.Command.Process.Kill()
		_ = p.Command.Wait() // killed: its exit code says nothing
	})
	require.NoError(b, p.Request(ctx, "initialize", map[string]any{
		"capabilities": json.RawMessage(`{"workspace":{"diagnostics":{"refreshSupport":true}},"textDocument":{"diagnostic":{}}}`), "rootUri": "file://" + filepath.ToSlash(folder)}, nil))
	require.NoError(b, p.Notify("initialized", struct{}{}))
	return p, ctx
}

// typeAtPace types b.N keys, one after the findings on the last are there, and asks
// for the whole folder again and again meanwhile.
func typeAtPace(b *testing.B, binary, folder string, check bool) {
	p, ctx := puller(b, binary, folder)
	text := Score(1000, 7)
	require.NoError(b, p.Open(uri, text))
	_, err := p.Pull(ctx, uri, "")
	require.NoError(b, err)
	asking := ""
	ask := func() {
		var err error
		asking, err = p.Ask("workspace/diagnostic", map[string]any{"previousResultIds": []any{}, "partialResultToken": "part"})
		require.NoError(b, err)
	}
	if check {
		ask()
	}
	typist := NewTypist(text, 3)
	var keys []time.Duration
	again := 0
	for range b.N {
		edit := typist.Next()
		begun := time.Now()
		require.NoError(b, p.EditBlind(uri, edit))
		_, err := p.Pull(ctx, uri, "")
		require.NoError(b, err)
		keys = append(keys, time.Since(begun))
		time.Sleep(pause)
		if check && p.Answered(asking) {
			again++
			ask()
		}
	}
	report(b, "key", keys)
	if check {
		b.ReportMetric(float64(again), "folders")
	}
	b.ReportMetric(0, "ns/op") // the pauses are in it
}

// pause is the time between two keys of a quick typist, in which the background has
// its turn.
const pause = 60 * time.Millisecond
