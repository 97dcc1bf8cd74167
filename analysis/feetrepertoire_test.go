package analysis_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis/rules"
)

// Printed harp parts can be pedalled at their printed tempo: no foot is late. Where one
// has to hurry that is a hint. The scores and where they come from: their README.
func TestHarpRepertoireCanBePedalled(t *testing.T) {
	corpus := os.Getenv("FOURFOLD_CORPUS")
	if corpus == "" {
		t.Skip("FOURFOLD_CORPUS is not set: the repertoire is skipped")
	}
	files, err := filepath.Glob(filepath.Join(corpus, "..", "repertoire", "harp", "*.abc"))
	require.NoError(t, err)
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		for _, f := range read(t, string(text)).Findings() {
			if f.Rule == rules.Late.Name || f.Rule == rules.SameFoot.Name {
				t.Log(filepath.Base(file), describe(string(text), f))
				assert.Greater(t, f.Severity, rules.Warning)
			}
		}
	}
}
