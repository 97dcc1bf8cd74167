package analysis_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis/rules"
)

// hurriedFoot is a place in printed harp music where a foot has to hurry: what was seen
// on looking at it. None of the tempi is the composer's number: the files have them from
// typesetters, for playback, and the repertoire's README says so.
type hurriedFoot struct {
	bar int
	why string
}

// hurriedFeet are all such places in the repertoire, by file.
var hurriedFeet = map[string][]hurriedFoot{
	"abrams-crazy-jane.abc": {
		{36, "E flat and E natural follow each other as quavers (Andante, ♩ = 92): one notch in 0.33 s. The part is headed " +
			"'piano or harp', and on a piano there is nothing to it; a harpist writes D sharp for the E flat"},
	},
	"mozart-k299-2.abc": {
		{54, "the flute's turn d-c sharp-d over C in the bass: C sharp has 0.43 s, a hurried foot needs 0.25 s"},
		{54, "the same C sharp back to the C of the left hand, 0.43 s later; at ♩ = 60 the foot is in time"},
	},
	"mozart-k299-3-first-half.abc": {
		{6, "a lower neighbour, g-f sharp-g, after F: 0.46 s for one notch, 0.05 s less than a steady foot takes"},
	},
}

// Printed harp parts can be pedalled at their printed tempo: no foot is late. Where one
// has to hurry that is a hint, and each of these is in the table. The scores and where
// they come from: their README.
func TestHarpRepertoireCanBePedalled(t *testing.T) {
	corpus := os.Getenv("FOURFOLD_CORPUS")
	if corpus == "" {
		t.Skip("FOURFOLD_CORPUS is not set: the repertoire is skipped")
	}
	files, err := filepath.Glob(filepath.Join(corpus, "..", "repertoire", "harp", "*.abc"))
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		var bars, known []int
		for _, f := range read(t, string(text)).Findings() {
			if f.Rule == rules.Late.Name || f.Rule == rules.SameFoot.Name {
				bars = append(bars, f.Bar)
				assert.Greater(t, f.Severity, rules.Warning, describe(string(text), f))
			}
			assert.NotEqual(t, rules.CheaperSpelling.Name, f.Rule, "printed parts are spelled well enough")
		}
		for _, h := range hurriedFeet[filepath.Base(file)] {
			known = append(known, h.bar)
		}
		assert.ElementsMatch(t, known, bars, filepath.Base(file))
	}
}
