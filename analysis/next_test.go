package analysis_test

import (
	"context"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"fourfold/analysis"
	"fourfold/analysis/rules"
	"fourfold/parser/syntax"
)

// A reading taken on from edit to edit says what a reading from nothing says.
func TestNextEqualsRead(t *testing.T) {
	for _, name := range []string{"ferry-at-dusk", "morning-crossing", "harbour-lights"} {
		random := rand.New(rand.NewPCG(7, 11))
		text := []byte(demo(t, name))
		file := syntax.Parse(text)
		r := read(t, string(text))
		for range 60 {
			start, end, insert := randomEdit(random, text)
			text = append(append(append([]byte{}, text[:start]...), insert...), text[end:]...)
			file = file.Edit(start, end, []byte(insert))
			next, err := analysis.Next(context.Background(), r, file, rules.Defaults())
			require.NoError(t, err)
			fresh := read(t, string(text))
			require.Equal(t, fresh.Findings(), next.Findings(), "%s after %q at %d", name, insert, start)
			r = next
		}
	}
}

// randomEdit changes a few bytes as somebody who types would.
func randomEdit(random *rand.Rand, text []byte) (start, end int, insert string) {
	pieces := []string{"c", "^f", "[CEG]", "z4", " | ", "", "", "A2", "\n", "DFdA", "(3", "2", "!arpeggio!", "K:Eb\n", "-"}
	start = random.IntN(len(text))
	end = min(len(text), start+random.IntN(4))
	return start, end, pieces[random.IntN(len(pieces))]
}
