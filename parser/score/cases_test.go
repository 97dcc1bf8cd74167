package score

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fourfold/parser/syntax"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// expected is one note of a case's JSON.
type expected struct {
	Tune     string `json:"tune"`
	Voice    string `json:"voice"`
	Bar      int    `json:"bar"`
	Onset    string `json:"onset"`
	Duration string `json:"duration"`
	Pitch    string `json:"pitch"`
	Midi     int    `json:"midi"`
}

func notesOf(f *syntax.File) []expected {
	var out []expected
	for _, t := range Build(f).Tunes {
		for _, n := range Notes(t) {
			out = append(out, expected{readable(n.Tune), readable(n.Voice), n.Bar, n.Onset.String(), n.Duration.String(), n.Pitch, n.Midi})
		}
	}
	return out
}

// readable gives a name as JSON has it: bytes that are no UTF-8 become U+FFFD.
func readable(s string) string { return string([]rune(s)) }

func streamed(t *testing.T, f *syntax.File) []expected {
	var b strings.Builder
	require.NoError(t, WriteNotes(f.Text(), &b))
	var out []expected
	for line := range strings.Lines(b.String()) {
		var e expected
		require.NoError(t, json.Unmarshal([]byte(line), &e))
		out = append(out, e)
	}
	return out
}

// The cases were written by hand from the sections of ABC 2.1 that
// testdata/abc/cases/README.md lists.
func TestCases(t *testing.T) {
	files, err := filepath.Glob("../../testdata/abc/cases/*.abc")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, name := range files {
		t.Run(strings.TrimSuffix(filepath.Base(name), ".abc"), func(t *testing.T) {
			text, err := os.ReadFile(name)
			require.NoError(t, err)
			truth, err := os.ReadFile(strings.TrimSuffix(name, ".abc") + ".json")
			require.NoError(t, err)
			var want []expected
			require.NoError(t, json.Unmarshal(truth, &want))
			f := syntax.Parse(text)
			assert.ElementsMatch(t, want, notesOf(f))
			assert.Equal(t, notesOf(f), streamed(t, f), "without keeping the score")
		})
	}
}
