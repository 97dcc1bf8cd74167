package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestServeColumns: an editor that names no encoding gets what --columns says: an
// emoji moves the columns after it by two UTF-16 units, four bytes or one character.
func TestServeColumns(t *testing.T) {
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
	}{
		{nil, 10},
		{[]string{"--columns", "utf-16"}, 10},
		{[]string{"--columns", "utf-8"}, len("[r:é ♯ 🎵]")},
		{[]string{"--columns", "utf-32"}, 9},
	} {
		_, s, e := column("[r:é ♯ 🎵]", c.args...)
		assert.Equal(t, []int{start + c.moved, end + c.moved}, []int{s, e}, "%v", c.args)
	}
}

func TestServeRefusesUnknownColumns(t *testing.T) {
	out, err := exec.Command(binary, "serve", "--columns", "feet").CombinedOutput()
	require.Error(t, err)
	assert.Equal(t, "fourfold serve: --columns feet: columns can be counted in utf-8, utf-16 or utf-32\n", string(out))
}
