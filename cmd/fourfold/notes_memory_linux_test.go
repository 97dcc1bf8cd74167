package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A file of 1 MB or more takes less than thirty times its size in memory.
func TestNotesMemory(t *testing.T) {
	if raceDetector {
		t.Skip("the race detector needs memory of its own: skipped")
	}
	dir := t.TempDir()
	program := filepath.Join(dir, "fourfold")
	out, err := exec.Command("go", "build", "-o", program, ".").CombinedOutput()
	require.NoError(t, err, string(out))
	head := "X:1\nM:4/4\nL:1/8\nV:RH\nV:LH\nK:Eb\n"
	staves := "[V:RH] !arpeggio![EGBe]2 (B2 {c}d2) e2- | e2 ^f=e (3dcB A2 |\n[V:LH] E,,2 B,,2 E,2 G,2 | [C,,C,]4 [G,,E,]4 |\n"
	for name, text := range map[string]string{
		"two staves":     head + strings.Repeat(staves, 11_000),
		"one line":       head + strings.Repeat("C", 1_100_000),
		"bars of a note": head + strings.Repeat("C|", 550_000),
		"short lines":    head + strings.Repeat("C|\n", 370_000),
		"many tunes":     strings.Repeat("X:1\nK:C\nCDE|\n\n", 80_000),
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(dir, "in.abc")
			require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
			peak := peakOf(t, program, "notes", path)
			t.Logf("%.1f bytes a byte", float64(peak)/float64(len(text)))
			assert.Less(t, peak, int64(30*len(text)))
		})
	}
}

// measured names the program whose memory TestMeasured looks at, with its words.
const measured = "FOURFOLD_MEASURED"

// peakOf gives the most memory, in bytes, that a program takes. The kernel counts
// to a process what its parent had taken when it started it, so a fresh process of
// this test starts the program. On one processor: how far the heap overshoots while
// memory is collected depends on how many there are, and on what else they do.
func peakOf(t *testing.T, words ...string) (peak int64) {
	t.Helper()
	fresh := exec.Command(os.Args[0], "-test.run", "^TestMeasured$", "-test.v")
	fresh.Env = append(fresh.Environ(), measured+"="+strings.Join(words, "\n"), "GOMAXPROCS=1")
	out, err := fresh.CombinedOutput()
	require.NoError(t, err, string(out))
	_, rest, ok := strings.Cut(string(out), "peak: ")
	require.True(t, ok, string(out))
	_, err = fmt.Sscan(rest, &peak)
	require.NoError(t, err)
	return peak
}

// TestMeasured is what peakOf starts.
func TestMeasured(t *testing.T) {
	words := strings.Split(os.Getenv(measured), "\n")
	if words[0] == "" {
		t.Skip("only TestNotesMemory starts it")
	}
	cmd := exec.Command(words[0], words[1:]...)
	require.NoError(t, cmd.Run())
	fmt.Println("peak:", cmd.ProcessState.SysUsage().(*syscall.Rusage).Maxrss*1024)
}
