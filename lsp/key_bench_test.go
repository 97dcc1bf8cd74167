package lsp

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"runtime"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"go.lsp.dev/jsonrpc2"

	"fourfold/analysis"
	"fourfold/lsp/bench"
)

// sink is a client that reads everything and keeps nothing.
type sink struct{ io.Reader }

func (sink) Write(p []byte) (int, error) { return len(p), nil }
func (sink) Close() error                { return nil }

// BenchmarkKey measures what stands between a key and its findings in one goroutine:
// the message is decoded, the text changed, the music around it read, and the list
// written. Then the pointer rests on the new note. The whole is read once, before; what goes on beside the keys is not in it.
// Run it with -cpuprofile to see where the time goes.
func BenchmarkKey(b *testing.B) {
	for _, lines := range []int{200, 1000, 5000, 20000} {
		b.Run(fmt.Sprintf("lines=%d", lines), func(b *testing.B) { benchmarkKey(b, bench.Score(2*(lines-10), 7)) })
	}
}

func benchmarkKey(b *testing.B, text string) {
	ctx := b.Context()
	s := newSession(ctx, sink{bytes.NewReader(nil)}, Options{}, (*analysis.Glimpse).Whole)
	s.ctx = ctx
	s.client = client{conn: s.conn, ctx: ctx}
	s.editor.encoding = "utf-16"
	d := &document{cancel: func() {}, wake: make(chan struct{}, 1)}
	l := newLines(text, s.editor.encoding)
	d.put(&snapshot{uri: uri, lines: l, told: &tokensTold{}, pass: newPass(s.analyse, s.settingsFor(uri), l.file)})
	s.docs[uri] = d
	_, err := d.newest().pass.read(ctx)
	require.NoError(b, err)
	typist := bench.NewTypist(text, 3)
	version, wholes, hovers := 1, 0, time.Duration(0)
	runtime.GC() // what the reading left is not the key's
	for b.Loop() {
		version++
		e := typist.Next()
		change, err := json.Marshal(map[string]any{"jsonrpc": "2.0", "method": "textDocument/didChange", "params": map[string]any{
			"textDocument": map[string]any{"uri": uri, "version": version}, "contentChanges": []any{map[string]any{"range": e.Range, "text": e.NewText}}}})
		require.NoError(b, err)
		m, ok := s.stream.decode(change).(*jsonrpc2.Notification)
		require.True(b, ok)
		require.NoError(b, s.didChange(m.Params()))
		if s.glance(ctx, d.newest()) == nil { // it takes the whole
			wholes++
			_, err := d.newest().pass.read(ctx)
			require.NoError(b, err)
		}
		begun := time.Now()
		params, err := json.Marshal(map[string]any{"textDocument": docID(uri), "position": e.Range.Start})
		require.NoError(b, err)
		hover, err := s.hover(params)
		require.NoError(b, err)
		_, err = hover(ctx)
		require.NoError(b, err)
		hovers += time.Since(begun)
	}
	b.ReportMetric(1000*hovers.Seconds()/float64(b.N), "hover-ms")
	b.ReportMetric(float64(wholes), "wholes")
}
