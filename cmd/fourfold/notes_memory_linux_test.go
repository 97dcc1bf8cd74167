package main

import (
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
			cmd := exec.Command(program, "notes", path)
			require.NoError(t, cmd.Run())
			peak := cmd.ProcessState.SysUsage().(*syscall.Rusage).Maxrss * 1024
			t.Logf("%.1f bytes a byte", float64(peak)/float64(len(text)))
			assert.Less(t, peak, int64(30*len(text)))
		})
	}
}
