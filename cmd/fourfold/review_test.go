package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"html"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// reviewPage runs the command on one score and gives the page.
func reviewPage(t testing.TB, file string, flags ...string) string {
	t.Helper()
	out := filepath.Join(t.TempDir(), "page.html")
	var stdout, stderr bytes.Buffer
	require.Equal(t, 0, run(append([]string{"review", file, "-o", out}, flags...), &stdout, &stderr), stderr.String())
	page, err := os.ReadFile(out)
	require.NoError(t, err)
	return string(page)
}

var dataOf = regexp.MustCompile(`data-rule="([^"]*)" data-bar="(\d+)" data-severity="(\w+)"(?: data-load="([^"]*)" data-tempo="([^"]*)" data-holds-up-to="([^"]*)" data-comfortable-up-to="([^"]*)")?`)

// TestReviewEqualsCheck: each finding of check --format json stands on the page,
// with the same words and the same numbers, and nothing else does.
func TestReviewEqualsCheck(t *testing.T) {
	files, err := filepath.Glob("../../testdata/demo/*.abc")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		for _, flags := range [][]string{nil, {"--hand", "small", "--tempo", "160"}, {"--harp", "lever34"}} {
			sameNumbers(t, file, flags)
		}
	}
	examples, err := filepath.Glob("../../analysis/rules/examples/*.abc") // one for every rule
	require.NoError(t, err)
	require.NotEmpty(t, examples)
	for _, file := range examples {
		sameNumbers(t, file, nil)
	}
}

func sameNumbers(t *testing.T, file string, flags []string) {
	var stdout, stderr bytes.Buffer
	run(append([]string{"check", "--format", "json", file}, flags...), &stdout, &stderr)
	page := reviewPage(t, file, flags...)
	want := map[string]int{}
	words := regexp.MustCompile(`</?(?:code|p)>`).ReplaceAllString(html.UnescapeString(page), "")
	for _, line := range strings.Split(strings.TrimSpace(stdout.String()), "\n") {
		if line == "" {
			continue
		}
		var f struct {
			Rule, Severity, Message                 string
			Bar                                     int
			Load, Tempo, HoldsUpTo, ComfortableUpTo *float64
		}
		require.NoError(t, json.Unmarshal([]byte(line), &f))
		want[key(f.Rule, f.Bar, f.Severity, f.Load, f.Tempo, f.HoldsUpTo, f.ComfortableUpTo)]++
		assert.Contains(t, words, strings.ReplaceAll(f.Message, "`", ""), file)
	}
	got := map[string]int{}
	for _, m := range dataOf.FindAllStringSubmatch(page, -1) {
		bar, err := strconv.Atoi(m[2])
		require.NoError(t, err)
		got[key(m[1], bar, m[3], parsed(t, m[4]), parsed(t, m[5]), parsed(t, m[6]), parsed(t, m[7]))]++
	}
	assert.Equal(t, want, got, file)
}

func key(rule string, bar int, severity string, numbers ...*float64) string {
	k := fmt.Sprint(rule, " ", bar, " ", severity)
	for _, n := range numbers {
		if n == nil {
			return k
		}
		k += fmt.Sprintf(" %.9g", *n)
	}
	return k
}

func parsed(t *testing.T, text string) *float64 {
	if text == "" {
		return nil
	}
	n, err := strconv.ParseFloat(text, 64)
	require.NoError(t, err)
	return &n
}

func TestReviewEngraves(t *testing.T) {
	if _, err := exec.LookPath("abcm2ps"); err != nil {
		t.Skip("abcm2ps is not installed: bars are not set as notes")
	}
	page := reviewPage(t, "../../testdata/demo/morning-crossing.abc")
	assert.Contains(t, page, `<svg class="engraving"`)
	assert.Contains(t, page, `aria-label="The bars with the change, as notes"`)
}

// TestReviewFolder: a page a score, an index, and a file that cannot be read does
// not stop the rest.
func TestReviewFolder(t *testing.T) {
	in, out := t.TempDir(), filepath.Join(t.TempDir(), "pages")
	text, err := os.ReadFile("../../testdata/demo/harbour-lights.abc")
	require.NoError(t, err)
	for i := range 30 {
		name := filepath.Join(in, fmt.Sprintf("song %d", i%3), fmt.Sprintf("a%d.abc", i/3))
		require.NoError(t, os.MkdirAll(filepath.Dir(name), 0o755))
		require.NoError(t, os.WriteFile(name, text, 0o644))
	}
	require.NoError(t, os.WriteFile(filepath.Join(in, "empty.abc"), nil, 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(in, "bytes.abc"), bytes.Repeat([]byte{0xff, 0, '|', '['}, 1000), 0o644))
	var stdout, stderr bytes.Buffer
	assert.Equal(t, 2, run([]string{"review", in, filepath.Join(in, "gone.abc"), "-o", out}, &stdout, &stderr))
	assert.Contains(t, stderr.String(), "25 of 33 scores")
	assert.Contains(t, stderr.String(), "gone.abc: it cannot be read")
	index, err := os.ReadFile(filepath.Join(out, "index.html"))
	require.NoError(t, err)
	links := regexp.MustCompile(`<a href="([^"]+\.html)">`).FindAllStringSubmatch(string(index), -1)
	assert.Len(t, links, 32)
	seen := map[string]bool{}
	for _, l := range links {
		assert.False(t, seen[l[1]], l[1])
		seen[l[1]] = true
		assert.FileExists(t, filepath.Join(out, l[1]))
	}
	assert.Contains(t, string(index), "gone.abc")
}

// TestReviewKeepsOtherFiles: a page replaces a page, and nothing else.
func TestReviewKeepsOtherFiles(t *testing.T) {
	score := filepath.Join(t.TempDir(), "score.abc")
	require.NoError(t, os.WriteFile(score, []byte("X:1\nT:t\nK:C\nCDEF|\n"), 0o644))
	var stdout, stderr bytes.Buffer
	assert.Equal(t, 2, run([]string{"review", score, "-o", score}, &stdout, &stderr))
	assert.Contains(t, stderr.String(), "there is a file already that is no review")
	text, err := os.ReadFile(score)
	require.NoError(t, err)
	assert.Equal(t, "X:1\nT:t\nK:C\nCDEF|\n", string(text))
	page := filepath.Join(t.TempDir(), "page.html")
	for range 2 {
		assert.Equal(t, 0, run([]string{"review", score, "-o", page}, &stdout, &stderr), stderr.String())
	}
	site := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(site, "index.html"), []byte("<h1>mine</h1>"), 0o644))
	assert.Equal(t, 2, run([]string{"review", score, score, "-o", site}, &stdout, &stderr))
	text, err = os.ReadFile(filepath.Join(site, "index.html"))
	require.NoError(t, err)
	assert.Equal(t, "<h1>mine</h1>", string(text))
}

// TestReviewPattern: a pattern that the shell has not filled in stands for its
// files, - for standard input.
func TestReviewPattern(t *testing.T) {
	in, out := t.TempDir(), filepath.Join(t.TempDir(), "pages")
	for _, name := range []string{"one.abc", "two.abc", "three.txt"} {
		require.NoError(t, os.WriteFile(filepath.Join(in, name), []byte("X:1\nT:t\nK:C\nCDEF|\n"), 0o644))
	}
	var stdout, stderr bytes.Buffer
	require.Equal(t, 0, run([]string{"review", filepath.Join(in, "*.abc"), "-o", out}, &stdout, &stderr), stderr.String())
	pages, err := filepath.Glob(filepath.Join(out, "*.html"))
	require.NoError(t, err)
	assert.Len(t, pages, 3)
	assert.Equal(t, 2, run([]string{"review", filepath.Join(in, "x*.abc"), "-o", out}, &stdout, &stderr))
	assert.Contains(t, stderr.String(), "no file fits the pattern")
	assert.Equal(t, "standard input", nameOf("-"))
}

func TestReviewWrongUsage(t *testing.T) {
	for _, args := range [][]string{
		{}, {"a.abc", "--by", "size"}, {"a.abc", "--pictures", "0"}, {"a.abc", "--leave-out", "nothing"},
		{"a.abc", "--tempo", "-1"}, {"a.abc", "--hand", "third"}, {"a.abc", "--harp", "none"}, {"gone.abc"},
	} {
		var stdout, stderr bytes.Buffer
		assert.Equal(t, 2, run(append([]string{"review"}, args...), &stdout, &stderr), args)
		assert.Contains(t, stderr.String(), "fourfold review", args)
	}
}

// BenchmarkReviewFolder makes the pages of 500 scores.
func BenchmarkReviewFolder(b *testing.B) {
	const scores = 500
	in, out := b.TempDir(), b.TempDir()
	for i := range scores {
		name := []string{"harbour-lights", "morning-crossing", "harbour-lights", "ferry-at-dusk"}[i%4]
		text, err := os.ReadFile("../../testdata/demo/" + name + ".abc")
		require.NoError(b, err)
		require.NoError(b, os.WriteFile(filepath.Join(in, fmt.Sprintf("%03d.abc", i)), text, 0o644))
	}
	b.ResetTimer()
	for range b.N {
		var stdout, stderr bytes.Buffer
		require.Equal(b, 0, run([]string{"review", in, "-o", out}, &stdout, &stderr), stderr.String())
	}
	b.ReportMetric(scores*float64(b.N)/b.Elapsed().Seconds(), "files/s")
}
