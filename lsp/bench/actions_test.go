package bench

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fourfold/lsp/lsptest"
)

// lazy is an editor that asks for the edit of an action when it is picked.
const lazy = `{"textDocument":{"codeAction":{"dataSupport":true,"resolveSupport":{"properties":["edit"]}}}}`

// BenchmarkActions: each iteration types a note that makes a text never seen before,
// lists what can be done at the next place that does not fit, and picks the first.
// The list is the first one about that place, so that it proves what it offers.
func BenchmarkActions(b *testing.B) {
	binary, err := lsptest.Build(b.TempDir(), "cmd/fourfold")
	require.NoError(b, err)
	for _, bars := range []int{16, 400, 2000, 40000} {
		b.Run(fmt.Sprintf("bars=%d", bars), func(b *testing.B) { act(b, Score(bars, 7), binary) })
	}
}

func act(b *testing.B, text, binary string) {
	ctx, cancel := context.WithTimeout(context.Background(), limit)
	defer cancel()
	p, err := lsptest.Start(binary, "serve")
	require.NoError(b, err)
	defer func() {
		_ = p.Command.Process.Kill()
		_ = p.Command.Wait() // killed: its exit code says nothing
	}()
	require.NoError(b, p.Initialize(ctx, lazy, nil))
	require.NoError(b, p.Open(uri, text))
	typist := NewTypist(text, 3)
	var lists, picks []time.Duration
	offered := 0
	for i := range b.N {
		require.NoError(b, p.EditBlind(uri, typist.Next()))
		found, err := p.AwaitDiagnostics(ctx, uri)
		require.NoError(b, err)
		require.NotEmpty(b, found)
		begun := time.Now()
		actions, err := p.Actions(ctx, uri, found[i%len(found)].Range)
		require.NoError(b, err)
		lists = append(lists, time.Since(begun))
		require.NotEmpty(b, actions)
		offered += len(actions)
		begun = time.Now()
		_, err = p.Resolve(ctx, actions[0])
		require.NoError(b, err)
		picks = append(picks, time.Since(begun))
	}
	report(b, "list", lists)
	report(b, "resolve", picks)
	b.ReportMetric(float64(offered)/float64(b.N), "actions")
	b.ReportMetric(0, "ns/op")
}
