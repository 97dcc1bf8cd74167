package score

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"testing"

	"fourfold/parser/syntax"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// corpus gives the folder of the large test sets, and skips where there is none.
func corpus(t testing.TB) string {
	dir := os.Getenv("FOURFOLD_CORPUS")
	if dir == "" {
		t.Skip("FOURFOLD_CORPUS is not set: the large sets of scores are skipped")
	}
	return dir
}

func abcFiles(t testing.TB, dirs ...string) []string {
	var files []string
	for _, d := range dirs {
		found, err := filepath.Glob(filepath.Join(d, "*.abc"))
		require.NoError(t, err)
		files = append(files, found...)
	}
	require.NotEmpty(t, files)
	return files
}

// The tables beside the scores were computed from the original engravings
// (OpenScore Lieder Corpus, MusicXML; Mutopia, the engraver's events), not from
// the ABC text.
func TestScoreTruth(t *testing.T) {
	dir := corpus(t)
	notes, wrong := 0, 0
	for _, name := range abcFiles(t, dir+"/openscore-lieder", dir+"/mutopia-harp") {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		table, err := os.ReadFile(strings.TrimSuffix(name, ".abc") + ".notes.tsv")
		require.NoError(t, err)
		var want []string
		for line := range strings.Lines(string(table)) {
			if line = strings.TrimSpace(line); line != "" && line[0] != '#' {
				want = append(want, line)
			}
		}
		var got []string
		for _, e := range notesOf(syntax.Parse(text)) {
			got = append(got, fmt.Sprintf("%s\t%s\t%d\t%s\t%s\t%s\t%d", e.Tune, e.Voice, e.Bar, e.Onset, e.Duration, e.Pitch, e.Midi))
		}
		sort.Strings(want)
		sort.Strings(got)
		notes += len(want)
		missing := difference(want, got)
		extra := difference(got, want)
		wrong += len(missing)
		assert.Empty(t, missing, "%s: notes missing", filepath.Base(name))
		assert.Empty(t, extra, "%s: notes too many", filepath.Base(name))
	}
	t.Logf("%d notes, %d not found", notes, wrong)
}

// difference gives what is in a and not in b; both are sorted.
func difference(a, b []string) []string {
	var out []string
	j := 0
	for _, s := range a {
		for j < len(b) && b[j] < s {
			j++
		}
		if j < len(b) && b[j] == s {
			j++
			continue
		}
		out = append(out, s)
	}
	return out
}

// Every file of every set comes back byte for byte, and reading it with and
// without a score gives the same notes.
func TestCorpusRoundTrip(t *testing.T) {
	dir := corpus(t)
	for _, name := range abcFiles(t, dir+"/*", dir+"/../repertoire/*", dir+"/../abc/cases") {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		f := syntax.Parse(text)
		var b bytes.Buffer
		_, err = f.WriteTo(&b)
		require.NoError(t, err)
		require.True(t, bytes.Equal(text, b.Bytes()), name)
		assert.Equal(t, notesOf(f), streamed(t, f), name)
	}
}
