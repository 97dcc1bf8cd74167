package bench

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fourfold/lsp/lsptest"
)

const uri = "file:///bench.abc"

// limit ends a run in which the server no longer answers.
const limit = 15 * time.Minute

// BenchmarkKeystroke prints the table of what a user feels, for parts of 200 to 20,000
// lines beside a floor server that publishes as many findings. Each iteration types a
// note that makes a text never seen before, waits for its findings, and hovers over
// that note:
//
//	go test ./lsp/bench -run '^$' -bench Keystroke -benchtime 200x -timeout 30m
func BenchmarkKeystroke(b *testing.B) {
	folder := b.TempDir()
	fourfold, err := lsptest.Build(folder, "cmd/fourfold")
	require.NoError(b, err)
	floor, err := lsptest.Build(folder, "lsp/bench/floor")
	require.NoError(b, err)
	var table []string
	for _, lines := range []int{200, 1000, 5000, 20000} {
		text := scoreOf(lines)
		var own, least felt
		b.Run(fmt.Sprintf("lines=%d/fourfold", lines), func(b *testing.B) { own = measure(b, text, fourfold, "serve") })
		b.Run(fmt.Sprintf("lines=%d/floor", lines), func(b *testing.B) { least = measure(b, text, floor, fmt.Sprint(own.found)) })
		if own.keys != nil && least.keys != nil {
			table = append(table, own.row(lines, least))
		}
	}
	if len(table) > 0 {
		fmt.Printf("\n%d processors, %s/%s; times in ms\n%s%s\n", runtime.NumCPU(), runtime.GOOS, runtime.GOARCH, heading, strings.Join(table, ""))
	}
}

// scoreOf is a part of so many lines, two for four bars below a head of ten.
func scoreOf(lines int) string { return Score(2*(lines-10), 7) }

// felt is what a user feels of one server.
type felt struct {
	keys, shifts, hovers []time.Duration // shifts are the keys that move the rest of their bar
	first, all           time.Duration   // from opening
	found                int             // published
	bytes                int64           // of memory
}

const heading = "" +
	"  lines      key       shift     floor   key÷floor    hover    open to first   to all    memory\n" +
	"          p50   p99   p50   p99   p50     (≤ 4)    p50   p99       ms             ms        MB\n"

// row is one line of the table. The key is measured against the floor's, or 0.3 ms
// where that is less.
func (f felt) row(lines int, floor felt) string {
	keys := slices.Concat(f.keys, f.shifts)
	least := max(ms(quantile(slices.Concat(floor.keys, floor.shifts), 0.5)), 0.3)
	return fmt.Sprintf("%7d %6.1f %6.1f %5.1f %6.1f %5.2f %8.1f %8.2f %6.2f %10.0f %14.0f %9.0f\n", lines,
		ms(quantile(keys, 0.5)), ms(quantile(keys, 0.99)), ms(quantile(f.shifts, 0.5)), ms(quantile(f.shifts, 0.99)), least,
		max(ms(quantile(keys, 0.5)), ms(quantile(f.shifts, 0.5)))/least,
		ms(quantile(f.hovers, 0.5)), ms(quantile(f.hovers, 0.99)), ms(f.first), ms(f.all), float64(f.bytes)/(1<<20))
}

// measure opens the text, types and hovers.
func measure(b *testing.B, text, binary string, args ...string) (f felt) {
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
	_, err = p.AwaitDiagnostics(ctx, uri)
	require.NoError(b, err)
	f.first = time.Since(begun)
	// A client that cannot be told to pull again is answered its pull only
	// when every finding of the whole is known. The floor, which has no pull, answers with
	// an error.
	var refused *lsptest.Error
	_, err = p.Pull(ctx, uri, "")
	require.True(b, err == nil || errors.As(err, &refused), "%v", err)
	f.all = time.Since(begun)

	typist := NewTypist(text, 3)
	for b.Loop() {
		edit := typist.Next()
		begun := time.Now()
		require.NoError(b, p.EditBlind(uri, edit))
		list, err := p.AwaitDiagnostics(ctx, uri)
		require.NoError(b, err)
		if took := time.Since(begun); len(edit.NewText) > 1 {
			f.shifts = append(f.shifts, took)
		} else {
			f.keys = append(f.keys, took)
		}
		f.found = len(list)
		begun = time.Now()
		_, _, err = p.Hover(ctx, uri, edit.Range.Start)
		require.NoError(b, err)
		f.hovers = append(f.hovers, time.Since(begun))
	}
	f.bytes, _ = p.Memory()
	b.ReportMetric(ms(quantile(slices.Concat(f.keys, f.shifts), 0.5)), "key-p50-ms")
	b.ReportMetric(0, "ns/op") // key and hover together say nothing
	return f
}

// BenchmarkTypingWhileChecking types in a part of 200 lines while a folder of 2,000
// scores is checked in the background.
func BenchmarkTypingWhileChecking(b *testing.B) {
	folder := b.TempDir()
	binary, err := lsptest.Build(b.TempDir(), "cmd/fourfold")
	require.NoError(b, err)
	for i := range 2000 {
		name := filepath.Join(folder, fmt.Sprintf("score%04d.abc", i))
		require.NoError(b, os.WriteFile(name, []byte(Score(32, uint64(i))), 0o600))
	}
	for _, checking := range []bool{false, true} {
		b.Run(fmt.Sprintf("checking=%t", checking), func(b *testing.B) { typeBeside(b, binary, folder, checking) })
	}
}

func typeBeside(b *testing.B, binary, folder string, checking bool) {
	ctx, cancel := context.WithTimeout(context.Background(), limit)
	defer cancel()
	p, err := lsptest.Start(binary, "serve")
	require.NoError(b, err)
	defer func() {
		_ = p.Command.Process.Kill()
		_ = p.Command.Wait() // killed: its exit code says nothing
	}()
	root := "file://" + filepath.ToSlash(folder)
	require.NoError(b, p.Request(ctx, "initialize", map[string]any{"processId": nil, "rootUri": root, "capabilities": struct{}{},
		"workspaceFolders": []any{map[string]any{"uri": root, "name": "scores"}}}, nil))
	require.NoError(b, p.Notify("initialized", struct{}{}))
	text := scoreOf(200)
	require.NoError(b, p.Open(uri, text))
	_, err = p.AwaitDiagnostics(ctx, uri)
	require.NoError(b, err)
	if checking {
		_, err := p.Ask("workspace/executeCommand", map[string]any{"command": "fourfold.checkWorkspace"})
		require.NoError(b, err)
	}
	typist := NewTypist(text, 3)
	var keys []time.Duration
	for b.Loop() {
		edit := typist.Next()
		begun := time.Now()
		require.NoError(b, p.EditBlind(uri, edit))
		_, err := p.AwaitDiagnostics(ctx, uri)
		require.NoError(b, err)
		keys = append(keys, time.Since(begun))
	}
	b.ReportMetric(ms(quantile(keys, 0.5)), "key-p50-ms")
	b.ReportMetric(ms(quantile(keys, 0.99)), "key-p99-ms")
	b.ReportMetric(0, "ns/op")
}

// report gives the quantiles of what was measured.
func report(b *testing.B, what string, all []time.Duration) {
	b.ReportMetric(ms(quantile(all, 0.5)), what+"-p50-ms")
	b.ReportMetric(ms(quantile(all, 0.99)), what+"-p99-ms")
}

// quantile is 0 of nothing.
func quantile(all []time.Duration, q float64) time.Duration {
	if len(all) == 0 {
		return 0
	}
	all = slices.Sorted(slices.Values(all))
	return all[int(q*float64(len(all)-1)+0.5)]
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
