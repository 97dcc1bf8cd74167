package main

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What the README says that the first command prints, it prints.
func TestReadmeShowsWhatCheckPrints(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	require.NoError(t, err)
	const call = "go run ./cmd/fourfold check testdata/demo/ferry-at-dusk.abc"
	_, rest, ok := strings.Cut(string(readme), call)
	require.True(t, ok)
	_, rest, _ = strings.Cut(rest, "at the end:\n\n")
	shown, _, _ := strings.Cut(rest, "\n\nThe exit code")
	t.Chdir("../..")
	var out, problems bytes.Buffer
	assert.Equal(t, 1, run([]string{"check", "testdata/demo/ferry-at-dusk.abc"}, &out, &problems))
	assert.Empty(t, problems.String())
	for _, line := range strings.Split(shown, "\n") {
		assert.Contains(t, out.String(), strings.TrimPrefix(line, "    "))
	}
}
