package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestServeInBytes: with --bytes an editor that names no encoding gets bytes, so
// that an emoji of four bytes (two UTF-16 units) moves the columns after it by four.
func TestServeInBytes(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "demo", "ferry-at-dusk.abc"))
	require.NoError(t, err)
	lines := strings.Split(string(data), "\n")
	column := func(prefix string, args ...string) (line, start, end int) {
		p, ctx := serving(t, args...)
		require.NoError(t, p.Initialize(ctx, "{}", nil))
		text := strings.Replace(string(data), lines[14], prefix+lines[14], 1)
		require.NoError(t, p.Open(ferryURI, text))
		found, err := p.AwaitDiagnostics(ctx, ferryURI)
		require.NoError(t, err)
		turns := turnsIn(found)
		require.NotEmpty(t, turns)
		require.NoError(t, p.Request(ctx, "shutdown", nil, nil))
		require.NoError(t, p.Notify("exit", nil))
		require.NoError(t, p.Command.Wait())
		r := turns[0].Range
		return r.Start.Line, r.Start.Character, r.End.Character
	}
	line, start, end := column("")
	require.Equal(t, 14, line)
	for _, c := range []struct {
		args  []string
		moved int
	}{{nil, len("[r:é ♯ XX]") - 3}, {[]string{"--bytes"}, len("[r:é ♯ 🎵]")}} {
		_, s, e := column("[r:é ♯ 🎵]", c.args...)
		assert.Equal(t, []int{start + c.moved, end + c.moved}, []int{s, e}, "%v", c.args)
	}
}
