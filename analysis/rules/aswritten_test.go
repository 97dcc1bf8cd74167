package rules

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// Read as written, a tune has the same findings at the same places: sharing
// changes only how much they matter.
func TestAsWrittenFindsTheSame(t *testing.T) {
	files, err := filepath.Glob("../../testdata/*/*.abc")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		for _, tune := range score.Build(syntax.Parse(text)).Tunes {
			set, _ := Defaults().ForTune(tune)
			_, full, err := RunTune(t.Context(), text, tune, Defaults())
			require.NoError(t, err)
			_, written := RunAsWritten(text, tune, set)
			assert.ElementsMatch(t, places(full), places(written), file)
		}
	}
}

func places(findings []Finding) (out []string) {
	for _, f := range findings {
		if f.Rule != TempoAssumed.Name && f.Rule != settingName {
			out = append(out, fmt.Sprint(f.Rule, f.Hand, f.Span, f.From, f.To))
		}
	}
	return out
}
