package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const turningPart = "X:1\nM:4/4\nL:1/16\nQ:1/4=160\nK:C\nV:RH name=\"Harp\"\nDFdA z4 z8 |\n"

func scoreIn(t *testing.T, text string) string {
	name := filepath.Join(t.TempDir(), "part.abc")
	require.NoError(t, os.WriteFile(name, []byte(text), 0o640))
	return name
}

// The diff is what patch makes the fixed text of; the file itself stays.
func TestCheckFixPrintsADiff(t *testing.T) {
	name := scoreIn(t, turningPart)
	var out, errs bytes.Buffer
	assert.Zero(t, runCheck([]string{"--fix", "--rule", "hands/turn", name}, &out, &errs))
	assert.Contains(t, out.String(), "-DFdA z4 z8 |\n+DFAd z4 z8 |\n")
	assert.Contains(t, errs.String(), "1 fixed, 0 left")
	text, err := os.ReadFile(name)
	require.NoError(t, err)
	assert.Equal(t, turningPart, string(text))
	patch, err := exec.LookPath("patch")
	if err != nil {
		t.Skip("no patch here to apply the diff with")
	}
	cmd := exec.Command(patch, "--quiet", name)
	cmd.Stdin = &out
	require.NoError(t, cmd.Run())
	text, err = os.ReadFile(name)
	require.NoError(t, err)
	assert.Contains(t, string(text), "DFAd z4 z8 |")
}

func TestCheckFixWrites(t *testing.T) {
	name := scoreIn(t, turningPart)
	link := filepath.Join(filepath.Dir(name), "link.abc")
	require.NoError(t, os.Symlink(name, link))
	var out, errs bytes.Buffer
	assert.Zero(t, runCheck([]string{"--fix", "--rule", "hands/turn", "--write", link}, &out, &errs))
	assert.Empty(t, out.String())
	text, err := os.ReadFile(name)
	require.NoError(t, err)
	assert.Contains(t, string(text), "DFAd z4 z8 |")
	info, err := os.Lstat(link)
	require.NoError(t, err)
	assert.NotZero(t, info.Mode()&os.ModeSymlink)
	info, err = os.Stat(name)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o640), info.Mode().Perm())
	files, err := os.ReadDir(filepath.Dir(name))
	require.NoError(t, err)
	assert.Len(t, files, 2)
}

// What stands beside the notes that change stays, to the byte: a mark at the beginning
// of the file, the kind of line ends, letters of an old encoding, a last line without
// an end, permissions, links to links.
func TestCheckFixKeepsTheFile(t *testing.T) {
	for name, c := range map[string]struct{ from, to string }{
		"bom":           {"", "\xEF\xBB\xBF"},
		"cr-lf":         {"\n", "\r\n"},
		"mixed ends":    {"X:1\n", "X:1\r\n"},
		"latin-1":       {"X:1\n", "X:1\nT:Pri\xE8re\n"},
		"no end at end": {"|\n", "|"},
		"words":         {"|\n", "|\nw:one two three four\n"},
	} {
		for _, mode := range []os.FileMode{0o600, 0o644, 0o755} {
			text := strings.ReplaceAll(turningPart, c.from, c.to)
			if c.from == "" {
				text = c.to + turningPart
			}
			file := scoreIn(t, text)
			require.NoError(t, os.Chmod(file, mode))
			first, second := filepath.Join(filepath.Dir(file), "first"), filepath.Join(filepath.Dir(file), "second")
			require.NoError(t, os.Symlink("part.abc", first))
			require.NoError(t, os.Symlink("first", second))
			var out, errs bytes.Buffer
			assert.Zero(t, runCheck([]string{"--fix", "--rule", "hands/turn", "--write", second}, &out, &errs), errs.String())
			after, err := os.ReadFile(file)
			require.NoError(t, err)
			assert.Equal(t, strings.Replace(text, "DFdA", "DFAd", 1), string(after), name)
			info, err := os.Stat(file)
			require.NoError(t, err)
			assert.Equal(t, mode, info.Mode().Perm(), name)
			to, err := os.Readlink(second)
			require.NoError(t, err)
			assert.Equal(t, "first", to)
		}
	}
}

// Without --write, or where nothing can be fixed, no file is touched.
func TestCheckFixTouchesNothingElse(t *testing.T) {
	fits := scoreIn(t, "X:1\nM:4/4\nL:1/4\nQ:1/4=60\nK:C\nV:RH name=\"Harp\"\nC D E F |\n")
	turns := scoreIn(t, turningPart)
	var before []os.FileInfo
	for _, file := range []string{fits, turns} {
		info, err := os.Stat(file)
		require.NoError(t, err)
		before = append(before, info)
	}
	var out, errs bytes.Buffer
	assert.Zero(t, runCheck([]string{"--fix", "--write", fits}, &out, &errs))
	runCheck([]string{"--fix", turns}, &out, &errs)
	for i, file := range []string{fits, turns} {
		info, err := os.Stat(file)
		require.NoError(t, err)
		assert.True(t, os.SameFile(before[i], info), file)
		assert.Equal(t, before[i].ModTime(), info.ModTime())
	}
}

func TestCheckFixLeavesProtectedFiles(t *testing.T) {
	file := scoreIn(t, turningPart)
	require.NoError(t, os.Chmod(file, 0o444))
	var out, errs bytes.Buffer
	other := scoreIn(t, turningPart)
	assert.Equal(t, 2, runCheck([]string{"--fix", "--rule", "hands/turn", "--write", file, other}, &out, &errs))
	assert.Contains(t, errs.String(), file+" is not written: the file is write-protected")
	written, err := os.ReadFile(other)
	require.NoError(t, err)
	assert.NotEqual(t, turningPart, string(written), "the others are written")
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, turningPart, string(text))
}

func TestReplaceFileWantsAFile(t *testing.T) {
	folder := t.TempDir()
	assert.ErrorIs(t, replaceFile(folder, nil, []byte("x")), errNoFile)
	assert.ErrorIs(t, replaceFile(filepath.Join(folder, "none.abc"), nil, []byte("x")), os.ErrNotExist)
	files, err := os.ReadDir(folder)
	require.NoError(t, err)
	assert.Empty(t, files)
}

func TestReplaceFileLeavesWhatHasChanged(t *testing.T) {
	name := scoreIn(t, "other")
	assert.ErrorIs(t, replaceFile(name, []byte("before"), []byte("after")), errChanged)
	text, err := os.ReadFile(name)
	require.NoError(t, err)
	assert.Equal(t, "other", string(text))
	files, err := os.ReadDir(filepath.Dir(name))
	require.NoError(t, err)
	assert.Len(t, files, 1)
}

func TestCheckFixWrongUsage(t *testing.T) {
	for _, args := range [][]string{{"--write", "x.abc"}, {"--fix", "--write", "-"}, {"--fix", "--format", "json", "x.abc"}} {
		var out, errs bytes.Buffer
		assert.Equal(t, 2, runCheck(args, &out, &errs), args)
		assert.NotEmpty(t, errs.String())
	}
}

// What cannot be fixed stays, is said, and counts for the exit code.
func TestCheckFixSaysWhatStays(t *testing.T) {
	name := scoreIn(t, "X:1\nM:4/4\nL:1/16\nQ:1/4=160\nK:C\nV:RH name=\"Harp\"\naaaa aaaa z8 |\n")
	var out, errs bytes.Buffer
	assert.Equal(t, 1, runCheck([]string{"--fix", name}, &out, &errs))
	assert.Contains(t, errs.String(), "stays, bar 1: hands/restrike.")
}

func TestUnified(t *testing.T) {
	for name, c := range map[string]struct{ before, after, want string }{
		"same":      {"a\n", "a\n", ""},
		"one":       {"a\nb\n", "a\nc\n", "--- a/f\n+++ b/f\n@@ -1,2 +1,2 @@\n a\n-b\n+c\n"},
		"no end":    {"a", "b", "--- a/f\n+++ b/f\n@@ -1,1 +1,1 @@\n-a\n\\ No newline at end of file\n+b\n\\ No newline at end of file\n"},
		"line more": {"a\nb\n", "a\nx\nb\n", "--- a/f\n+++ b/f\n@@ -1,2 +1,3 @@\n a\n+x\n b\n"},
		"far apart": {"1\n2\n3\n4\n5\n6\n7\n8\n9\n", "a\n2\n3\n4\n5\n6\n7\n8\nb\n",
			"--- a/f\n+++ b/f\n@@ -1,4 +1,4 @@\n-1\n+a\n 2\n 3\n 4\n@@ -6,4 +6,4 @@\n 6\n 7\n 8\n-9\n+b\n"},
	} {
		t.Run(name, func(t *testing.T) { assert.Equal(t, c.want, unified("f", []byte(c.before), []byte(c.after))) })
	}
}

func TestUnifiedName(t *testing.T) {
	assert.Contains(t, unified("a b.abc", []byte("a"), []byte("b")), "--- a/a b.abc\n+++ b/a b.abc\n")
	assert.Contains(t, unified("a\n+++ b", []byte("a"), []byte("b")), "--- \"a/a\\n+++ b\"\n")
}
