package main

import (
	"os/exec"
	"path/filepath"
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The git hook in editors/pre-commit stops what does not fit and nothing else.
func TestPreCommitHook(t *testing.T) {
	if _, err := exec.LookPath("git"); err != nil || runtime.GOOS == "windows" {
		t.Skip("git and a shell are needed for the hook")
	}
	binary := filepath.Join(t.TempDir(), "fourfold")
	out, err := exec.Command("go", "build", "-o", binary, ".").CombinedOutput()
	require.NoError(t, err, string(out))
	test := exec.Command("sh", "../../editors/pre-commit/test.sh")
	test.Env = append(test.Environ(), "FOURFOLD="+binary)
	out, err = test.CombinedOutput()
	assert.NoError(t, err, string(out))
	assert.Contains(t, string(out), "pre-commit test: passed")
}
