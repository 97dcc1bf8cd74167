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

// harpScore is a part of two staves in quarter notes, a beat a second.
func harpScore(settings, key, right, left string) string {
	return "X:1\nM:4/4\nL:1/4\nQ:1/4=60\n" + settings + "%%score {RH LH}\nV:RH name=\"Harp\"\nV:LH clef=bass\nK:" + key + "\nV:RH\n" + right + "\nV:LH\n" + left + "\n"
}

// pedalsOn runs fourfold pedals on a score in a file of its own.
func pedalsOn(t *testing.T, score string, flags ...string) (file, stdout, stderr string) {
	t.Helper()
	file = filepath.Join(t.TempDir(), "score.abc")
	require.NoError(t, os.WriteFile(file, []byte(score), 0o600))
	var out, errs bytes.Buffer
	require.Zero(t, runPedals(append(flags, file), &out, &errs), errs.String())
	return file, out.String(), errs.String()
}

func TestPedalsOfAScoreAsText(t *testing.T) {
	score := harpScore("", "C", "|: F2 ^F2 | z4 |1 F4 :|2 _B4 | !~(!C2 !~)!c2 |]", "|: C,4 | z4 |1 C,4 :|2 C,4 | z4 |]")
	_, out, errs := pedalsOn(t, score)
	assert.Empty(t, errs)
	assert.Equal(t, `Tune 1, Harp: 2 moves
  before the piece  D♮ C♮ B♭ | E♮ F♮ G♮ A♮   ──▔│────
  bar 1
    beat 3     right foot  F♯  at 1.50 s, between 0.00 and 2.00 s
  bar 3
    beat 1     right foot  F♮  at 3.50 s, between 2.00 and 8.00 s
  bar 5
    beat 1     glissando  D♮ C♮ B♭ | E♮ F♮ G♮ A♮   ──▔│────  sounds C D E F G A Bb
  at the end        D♮ C♮ B♭ | E♮ F♮ G♮ A♮   ──▔│────
  from bar 2 into the ending at bar 4
    bar 5, beat 1  right foot  F♮  at 3.50 s, between 2.00 and 12.00 s

`, out)
}

func TestPedalsOfAScoreAsJSON(t *testing.T) {
	score := harpScore("", "C", "F2 ^F2 | ^F4 |", "C,4 | C,4 |")
	_, out, errs := pedalsOn(t, score, "--format", "json")
	assert.Empty(t, errs)
	assert.JSONEq(t, `{"tune":"1","player":"Harp","setting":"D C B | E F G A","final":"D C B | E F# G A","moves":[
		{"bar":1,"beat":"3","pedal":"F","from":"F","to":"F#","foot":"right","windowStart":0,"windowEnd":2,"at":1.5,"late":0}]}`, out)
}

func TestPedalsOfALeverHarp(t *testing.T) {
	score := harpScore("%%fourfold instrument=lever34\n", "Eb", "=F4 | ^F4 | _D4 |", "z4 | z4 | z4 |")
	_, out, errs := pedalsOn(t, score)
	assert.Empty(t, errs)
	assert.Equal(t, `Tune 1, Harp: 1 lever
  levers up before the piece  none
  bar 2    beat 1     F4 lever up  left hand  at 0.00 s, between 0.00 and 4.00 s
  bar 3    beat 1     D♭4 cannot be had: its lever does not reach it

`, out)
	_, out, _ = pedalsOn(t, score, "--format", "json")
	var plan leverPlan
	require.NoError(t, json.Unmarshal([]byte(out), &plan))
	assert.Equal(t, []leverMove{{Bar: 2, Beat: "1", String: "F4", Lever: "up", Free: true, Hand: "left", WindowEnd: 4}}, plan.Moves)
	assert.Equal(t, []leverMiss{{3, "1", "Db4"}}, plan.Missing)
}

func TestPedalsWithoutAHarp(t *testing.T) {
	_, out, errs := pedalsOn(t, "X:1\nK:C\nV:1 name=\"Flute\"\nc4|\n")
	assert.Empty(t, out)
	assert.Contains(t, errs, "holds no part for a harp: name a voice Harp")
}

// The change is printed; only --write touches the file.
func TestPedalsActions(t *testing.T) {
	score := harpScore("", "B", "B c d e | f4 |", "z4 | z4 |")
	for flag, want := range map[string]string{
		"--mark": `+"_D♯ C♯ B♮ | E♮ F♯ G♯ A♯"z4 | z4 |`,
		"--flat": "+c d e f | g4 |",
	} {
		file, out, errs := pedalsOn(t, score, flag)
		assert.Contains(t, out, "--- a/")
		assert.Contains(t, out, want)
		assert.Contains(t, errs, "Tune 1, Harp: ")
		now, err := os.ReadFile(file)
		require.NoError(t, err)
		assert.Equal(t, score, string(now))

		file, out, _ = pedalsOn(t, score, flag, "--write")
		assert.Empty(t, out)
		now, err = os.ReadFile(file)
		require.NoError(t, err)
		assert.Contains(t, string(now), strings.TrimPrefix(want, "+"))
	}
	_, out, errs := pedalsOn(t, score, "--respell")
	assert.Empty(t, out, "the feet stand still as it is")
	assert.Contains(t, errs, "The feet stand still as it is")
}

func TestPedalsActionsUsage(t *testing.T) {
	for _, args := range [][]string{{"--mark"}, {"--write", "x.abc"}, {"--mark", "--flat", "x.abc"}, {"--mark", "--set", "C"}, {"--mark", "no such file"}} {
		var out, errs bytes.Buffer
		assert.Equal(t, 2, runPedals(args, &out, &errs), args)
		assert.Empty(t, out.String())
		assert.NotEmpty(t, errs.String())
	}
}
