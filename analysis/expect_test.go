package analysis_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// expectation is one %~ line: what must be found under the line of music above
// it, or what the first fix of a rule must make of that line.
type expectation struct {
	line     int // of the music, from 1
	from, to int // columns in code points, from 1, end exclusive
	rule     string
	message  *regexp.Regexp
	fix      string // the line after the fix; then the columns do not count
}

var (
	caretForm  = regexp.MustCompile(`^%~( *)(\^+) ([a-z/-]+)(?: "(.*)")?\s*$`)
	columnForm = regexp.MustCompile(`^%~ @(\d+)-(\d+) ([a-z/-]+)(?: "(.*)")?\s*$`)
	fixForm    = regexp.MustCompile(`^%~ fix ([a-z/-]+): ?(.*)$`)
)

func expectations(t *testing.T, text string) (out []expectation) {
	music := 0
	for i, line := range strings.Split(text, "\n") {
		if !strings.HasPrefix(line, "%~") {
			music = i + 1
			continue
		}
		e := expectation{line: music}
		pattern := ""
		if m := fixForm.FindStringSubmatch(line); m != nil {
			e.rule, e.fix = m[1], m[2]
		} else if m := columnForm.FindStringSubmatch(line); m != nil {
			e.from, _ = strconv.Atoi(m[1])
			e.to, _ = strconv.Atoi(m[2])
			e.to++
			e.rule, pattern = m[3], m[4]
		} else if m := caretForm.FindStringSubmatch(line); m != nil {
			e.from = 3 + len(m[1])
			e.to = e.from + len(m[2])
			e.rule, pattern = m[3], m[4]
		} else {
			require.Fail(t, "an expectation that cannot be read", "line %d: %s", i+1, line)
		}
		e.message = regexp.MustCompile(pattern)
		out = append(out, e)
	}
	return out
}

// column counts code points from the line's start, from 1.
func column(text string, offset int) (line, col int) {
	line = strings.Count(text[:offset], "\n") + 1
	start := strings.LastIndexByte(text[:offset], '\n') + 1
	return line, utf8.RuneCountInString(text[start:offset]) + 1
}

func TestScoresWithExpectations(t *testing.T) {
	files, err := filepath.Glob("../testdata/rules/*.abc")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".abc"), func(t *testing.T) {
			text, err := os.ReadFile(file)
			require.NoError(t, err)
			checkExpectations(t, string(text))
		})
	}
}

func checkExpectations(t *testing.T, text string) {
	expected := expectations(t, text)
	reading, err := analysis.Read(context.Background(), syntax.Parse([]byte(text)), rules.Defaults())
	require.NoError(t, err)
	found := make([]bool, len(expected))
	for _, f := range reading.Findings() {
		line, from := column(text, f.Span.Start)
		_, to := column(text, f.Span.End)
		known := false
		for i, e := range expected {
			if e.fix == "" && !found[i] && e.line == line && e.from == from && e.to == to && e.rule == f.Rule && e.message.MatchString(f.Message) {
				found[i], known = true, true
				break
			}
		}
		assert.True(t, known, "not expected: %s", describe(text, f))
		for i, e := range expected {
			if e.fix != "" && !found[i] && e.rule == f.Rule && e.line == line {
				found[i] = true
				checkFix(t, reading, f, text, e)
			}
		}
	}
	for i, e := range expected {
		assert.True(t, found[i], "not found: line %d columns %d-%d %s %q %s", e.line, e.from, e.to-1, e.rule, e.message, e.fix)
	}
}

func describe(text string, f rules.Finding) string {
	line, from := column(text, f.Span.Start)
	_, to := column(text, f.Span.End)
	return fmt.Sprintf("line %d columns %d-%d %s (%s): %s", line, from, to-1, f.Rule, f.Severity, f.Message)
}

func checkFix(t *testing.T, r *analysis.Reading, f rules.Finding, text string, e expectation) {
	fixes := r.Fixes(context.Background(), f)
	if !assert.NotEmpty(t, fixes, "no fix for %s", describe(text, f)) {
		return
	}
	lines := strings.Split(apply(text, fixes[0].Edits), "\n")
	assert.Equal(t, e.fix, lines[e.line-1], fixes[0].Title)
}

func apply(text string, edits []score.Edit) string {
	for i := range edits {
		for j := i + 1; j < len(edits); j++ {
			if edits[j].Span.Start > edits[i].Span.Start {
				edits[i], edits[j] = edits[j], edits[i]
			}
		}
	}
	for _, e := range edits {
		text = text[:e.Span.Start] + e.Text + text[e.Span.End:]
	}
	return text
}
