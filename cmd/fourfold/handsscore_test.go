package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A bar of quick notes up, a bar that turns, and a bar with one chord.
const chartScore = "X:1\nT:t\nM:4/4\nL:1/16\nQ:1/4=120\n%%score {RH LH}\nV:RH name=\"Harp\"\nV:LH clef=bass\nK:C\n" +
	"V:RH\nCEGc z4 z8 | DFdA DFdA z8 | [CEGB]16 |\nV:LH\nz16 | z16 | z16 |\n"

func scoreCall(t *testing.T, run func([]string, *bytes.Buffer, *bytes.Buffer) int, text string, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	file := filepath.Join(t.TempDir(), "score.abc")
	require.NoError(t, os.WriteFile(file, []byte(text), 0o600))
	for i, a := range args {
		args[i] = strings.ReplaceAll(a, "FILE", file)
	}
	var out, errs bytes.Buffer
	code = run(args, &out, &errs)
	return code, out.String(), errs.String()
}

func handsCall(args []string, out, errs *bytes.Buffer) int { return runHands(args, out, errs) }

func explainCall(args []string, out, errs *bytes.Buffer) int { return runExplain(args, out, errs) }

func TestHandsOfScore(t *testing.T) {
	code, text, errs := scoreCall(t, handsCall, chartScore, "FILE")
	assert.Zero(t, code)
	assert.Empty(t, errs)
	assert.Contains(t, text, "right hand: 4 groups; at best it holds up to")
	assert.Regexp(t, `bar 1 +C=4 E=3 G=2 c=1 +straight-up +load 0\.\d\d  ends: a rest or a long note frees the hand`, text)
	assert.Regexp(t, `bar 1 +0\.48 ={10} {10}\| +holds up to ♩ = 250; hardest figure C E G c: 0\.48, up to ♩ = 250`, text)
	assert.Regexp(t, `bar 3 +0\.00 {21}\|\n`, text)
	assert.Regexp(t, `both hands: cost \d+\.\d\d as played; no way to share the notes costs less than \d`, text)
}

func TestHandsOfScoreAsJSON(t *testing.T) {
	code, text, _ := scoreCall(t, handsCall, chartScore, "--format", "json", "FILE")
	assert.Zero(t, code)
	var h handJSON
	require.NoError(t, json.Unmarshal([]byte(strings.SplitN(text, "\n", 2)[0]), &h))
	require.Len(t, h.Bars, 3)
	assert.Equal(t, []int{1, 2, 3}, []int{h.Bars[0].Bar, h.Bars[1].Bar, h.Bars[2].Bar})
	// Sixteenths at 120 are 0.125 s apart, and a group upwards needs 0.06 s.
	assert.InDelta(t, .06/.125, h.Bars[0].CeilingLoad, 1e-9)
	assert.InDelta(t, 250, h.Bars[0].HoldsUpTo, 1e-6)
	assert.Greater(t, h.Bars[1].CeilingLoad, h.Bars[0].CeilingLoad)
	assert.Zero(t, h.Bars[2].CeilingLoad)
	worst := 0.0
	for _, b := range h.Bars {
		worst = max(worst, b.CeilingLoad)
	}
	assert.Equal(t, h.CeilingLoad, worst)
	require.Len(t, h.Figures, 3)
	assert.Equal(t, [][]string{{"D"}, {"F"}, {"d"}, {"A"}}, h.Figures[1].Notes)
	for _, f := range h.Figures {
		assert.LessOrEqual(t, f.CeilingLoad, h.CeilingLoad)
	}
	for _, pl := range h.Placings {
		assert.NotEmpty(t, pl.Ends)
	}
	assert.GreaterOrEqual(t, h.Both.Cost, h.Both.LowerBound)
	assert.Positive(t, h.Both.LowerBound)
}

func TestExplainPlace(t *testing.T) {
	tests := []struct {
		place string
		code  int
		says  []string // the last in errors where the code is not 0
	}{
		{"FILE:11:3", 0, []string{"Right hand, bar 1, beat 1", "finger  4   3   2   1", "Ends here because: a rest or a long note frees the hand after it"}},
		{"FILE:11:16", 0, []string{"Order: with a turn", "What does not fit", "hands/tight"}},
		{"FILE:11", 0, []string{"bar 1, beat 1", "bar 2, beat 1", "bar 3, beat 1"}},
		{"FILE:1:1", 2, []string{"no note of a harp part stands at"}},
		{"FILE:99:1", 2, []string{"no note of a harp part stands at"}},
		{"FILE:11:999", 2, []string{"no note of a harp part stands at"}},
		{"FILE:11:0", 0, []string{"bar 3, beat 1"}},
		{"FILE.gone:1:1", 2, []string{"cannot be read"}},
		{"FILE:99999999999999999999:1", 2, []string{"there is no rule"}},
	}
	for _, tt := range tests {
		t.Run(tt.place, func(t *testing.T) {
			code, stdout, stderr := scoreCall(t, explainCall, chartScore, tt.place)
			assert.Equal(t, tt.code, code)
			for _, says := range tt.says {
				assert.Contains(t, stdout+stderr, says)
			}
		})
	}
}
