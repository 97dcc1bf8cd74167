package bench

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fourfold/lsp/lsptest"
)

const uri = "file:///bench.abc"

// limit ends a run in which the server no longer answers.
const limit = 5 * time.Minute

// BenchmarkKeystroke: each iteration types a note that makes a text never seen
// before, waits for its findings, and hovers over that note. Beside it runs the
// floor server, with as many findings.
func BenchmarkKeystroke(b *testing.B) {
	folder := b.TempDir()
	fourfold, err := lsptest.Build(folder, "cmd/fourfold")
	require.NoError(b, err)
	floor, err := lsptest.Build(folder, "lsp/bench/floor")
	require.NoError(b, err)
	for _, bars := range []int{400, 1000, 2000, 10000, 40000} { // two lines for four bars
		text := Score(bars, 7)
		found := 0
		name := fmt.Sprintf("bars=%d/lines=%d", bars, strings.Count(text, "\n"))
		b.Run(name+"/fourfold", func(b *testing.B) { found = measure(b, text, fourfold, "serve") })
		b.Run(name+"/floor", func(b *testing.B) { measure(b, text, floor, fmt.Sprint(found)) })
	}
}

// measure types and hovers b.N times; it gives the number of findings.
func measure(b *testing.B, text, binary string, args ...string) int {
	ctx, cancel := context.WithTimeout(context.Background(), limit)
	defer cancel()
	p, err := lsptest.Start(binary, args...)
	require.NoError(b, err)
	defer func() {
		_ = p.Command.Process.Kill()
		_ = p.Command.Wait() // killed: its exit code says nothing
	}()
	require.NoError(b, p.Initialize(ctx, "{}", nil))

	begun := time.Now()
	require.NoError(b, p.Open(uri, text))
	found, err := p.AwaitDiagnostics(ctx, uri)
	require.NoError(b, err)
	opened := time.Since(begun)

	typist := NewTypist(text, 3)
	var keys, hovers []time.Duration
	for range b.N {
		edit := typist.Next()
		begun := time.Now()
		require.NoError(b, p.EditBlind(uri, edit))
		_, err := p.AwaitDiagnostics(ctx, uri)
		require.NoError(b, err)
		keys = append(keys, time.Since(begun))
		begun = time.Now()
		_, _, err = p.Hover(ctx, uri, edit.Range.Start)
		require.NoError(b, err)
		hovers = append(hovers, time.Since(begun))
	}
	report(b, "key", keys)
	report(b, "hover", hovers)
	b.ReportMetric(ms(opened), "open-ms")
	b.ReportMetric(float64(len(found)), "findings")
	if bytes, ok := p.Memory(); ok {
		b.ReportMetric(float64(bytes)/(1<<20), "MB")
	}
	b.ReportMetric(0, "ns/op") // key and hover together say nothing
	return len(found)
}

func report(b *testing.B, what string, all []time.Duration) {
	slices.Sort(all)
	quantile := func(q float64) time.Duration { return all[int(q*float64(len(all)-1)+0.5)] }
	b.ReportMetric(ms(quantile(0.5)), what+"-p50-ms")
	b.ReportMetric(ms(quantile(0.99)), what+"-p99-ms")
}

func ms(d time.Duration) float64 { return d.Seconds() * 1000 }

// TestTypistAndServerAgree keeps the benchmark honest: the edits that it
// measures are those that it means to make.
func TestTypistAndServerAgree(t *testing.T) {
	text := Score(8, 7)
	typist := NewTypist(text, 3)
	seen := map[string]bool{text: true}
	for range 100 {
		e := typist.Next()
		text = text[:lsptest.Offset(text, e.Range.Start)] + e.NewText + text[lsptest.Offset(text, e.Range.End):]
		require.Equal(t, typist.Text(), text)
		require.False(t, seen[text] && e.NewText == "", "an edit changes something")
		seen[text] = true
	}
}
