package soak

import (
	"context"
	"flag"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/lsp/lsptest"
)

var (
	steps  = flag.Int("steps", 600, "steps of the soak test")
	every  = flag.Int("every", 0, "steps between two checkpoints; 0 for a tenth, up to 500")
	seed   = flag.Uint64("seed", 1, "of the soak test")
	faults = flag.String("faults", "", "a folder for the texts that show a fault")
	most   = flag.Int("most", 1, "faults after which the soak test gives up")
	binary = flag.String("server", "", "the fourfold to test; built if empty")
)

// TestSoak wears the server out, half of the steps as a client that is told its
// diagnostics, half as one that pulls them.
func TestSoak(t *testing.T) {
	server := *binary
	if server == "" {
		var err error
		server, err = lsptest.Build(t.TempDir(), "cmd/fourfold")
		require.NoError(t, err)
	}
	folders := []string{filepath.Join("..", "..", "testdata")}
	if corpus := os.Getenv("FOURFOLD_CORPUS"); corpus != "" {
		folders = append(folders, corpus)
	} else {
		t.Log("FOURFOLD_CORPUS is not set: only the scores of testdata are edited.")
	}
	scores, err := Scores(folders...)
	require.NoError(t, err)
	require.NotEmpty(t, scores)
	apart := *every
	if apart == 0 {
		apart = max(1, min(500, *steps/10))
	}
	for _, pulls := range []bool{false, true} {
		t.Run(map[bool]string{false: "pushed", true: "pulled"}[pulls], func(t *testing.T) {
			o, err := Run(context.Background(), Plan{
				Binary: server, Scores: scores, Steps: *steps / 2, Every: apart,
				Seed: *seed, Pulls: pulls, Faults: *faults, MostBad: *most, Tell: t.Logf})
			t.Logf("%d steps over %d scores: %d edits, %d requests, %d cancellations; %d answers compared; refused: %v",
				o.Steps, len(scores), o.Edits, o.Requests, o.Cancelled, o.Compared, o.Refused)
			require.NoError(t, err)
			assert.Zero(t, len(o.Faults), "faults; they are told above")
			assert.Positive(t, o.Compared)
			flat(t, o.Memory)
		})
	}
}

// fewestTold is how many checkpoints a quarter of a run must have for its median to
// say more of the server than of the score that was open at one of them.
const fewestTold = 10

// flat holds the memory at the checkpoints of the last quarter against those of the
// first: scores come and go, so that it moves, but it must not grow.
func flat(t *testing.T, memory []Memory) {
	n := len(memory) / 4
	if n < fewestTold {
		t.Logf("memory: %d checkpoints are too few to tell whether it grows; 40,000 steps have enough", len(memory))
		return
	}
	var first, last, process []int64
	for i, m := range memory {
		process = append(process, m.Process>>20)
		if i < n {
			first = append(first, m.Live)
		} else if i >= len(memory)-n {
			last = append(last, m.Live)
		}
	}
	before, after := median(first), median(last)
	t.Logf("memory in use: %d MB in the first quarter, %d MB in the last (medians over %d checkpoints each); of the process: %d MB at the median, %d MB at most",
		before, after, n, median(process), slices.Max(process))
	assert.Positive(t, after, "the server tells what is in use")
	assert.LessOrEqual(t, after, before*3/2+16, "the memory grows")
}

func median(list []int64) int64 {
	slices.Sort(list)
	return list[len(list)/2]
}

// TestTypistKeepsTheText: the edits of the run are those that it means to make.
func TestTypistKeepsTheText(t *testing.T) {
	text := "X:1\r\nT:é 🎵\r\nK:C\r\nCDEF|\r\n"
	for _, c := range []struct{ old, now string }{{text, ""}, {"", text}, {text, text}, {text, strings.Replace(text, "é", "è", 1)}, {"a\r\nb", "a\nb"}, {"🎵", "🎶"}} {
		e := change(c.old, c.now)[0]
		got := c.old[:lsptest.Offset(c.old, e.Range.Start)] + e.NewText + c.old[lsptest.Offset(c.old, e.Range.End):]
		assert.Equal(t, c.now, got)
	}
}
