package fix_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis"
	"fourfold/analysis/rules"
	"fourfold/parser/syntax"
)

// TestPreviewOfStavesInTurns: where the staves take turns line by line, a change shows
// its own bars and nothing of the other staff, at the beginning of a line too.
func TestPreviewOfStavesInTurns(t *testing.T) {
	text := "X:1\nM:4/4\nL:1/16\nQ:1/4=144\n%%score {RH LH}\nV:RH name=\"Harp\"\nV:LH clef=bass\nK:F\n" +
		"[V:RH] f4 a4 c'4 b2a2 | g4 f2e2 f8 |\n[V:LH] F,,4 C,4 F,4 C,4 | C,4 G,4 F,8 |\n% the figure\n" +
		"[V:RH] FAfc FAfc GBgd GBgd | f16 |\nw: la la\n[V:LH] F,16 | F,16 |\n"
	ctx := context.Background()
	r, err := analysis.Read(ctx, syntax.Parse([]byte(text)), rules.Defaults())
	require.NoError(t, err)
	for _, f := range r.Findings() {
		if f.Rule == "hands/turn" {
			fixes := r.Fixes(ctx, f)
			require.NotEmpty(t, fixes)
			assert.Equal(t, "FAfc FAfc GBgd GBgd |", fixes[0].Before)
			assert.Equal(t, "FAcf FAcf GBdg GBdg |", fixes[0].After)
			return
		}
	}
	require.Fail(t, "the figure turns back")
}
