package hands

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"fourfold/analysis/harp"
)

// Published comparisons between figures, which no verdict on one of them tells. The
// figures are ours, made after the rule.
func TestPublishedComparisons(t *testing.T) {
	h := harp.Standard()
	cost := func(chord ...int) int64 { return Solve([]Stroke{{Strings: chord}}, h).Cost }
	holds := func(group [][]int, times, shift int) float64 {
		return 1 / Ceiling(figure(group, times, shift, 1./8), h)
	}

	// Philharmonia Orchestra, Harp: two inner notes inside a tenth are harder than a bare
	// tenth: here it takes longer to set them.
	assert.Less(t, holds([][]int{{21, 23, 25, 30}}, 4, 3), holds([][]int{{21, 30}}, 4, 3))
	// The same: the fuller the chord, the narrower it must be. Rimsky-Korsakov (1913):
	// close position.
	assert.Less(t, cost(21, 23, 25, 28), cost(21, 23, 25, 30))
	// Philharmonia Orchestra, Harp: fast repeated chords are worse than repeated notes.
	assert.Less(t, holds([][]int{{28, 30, 32, 34}}, 8, 0), holds([][]int{{28}}, 8, 0))
	// Teaching essays: hands alternating by groups go faster than one hand in a scale.
	assert.Greater(t, 2*holds(waiting(one(28, 29, 30, 31)), 2, 8), holds(one(28, 29, 30, 31), 2, 4))
	// Web essay on placing: one direction is easier than a turn.
	assert.Greater(t, holds(one(28, 30, 32, 35), 4, 0), holds(one(28, 30, 35, 32), 4, 0))
	// Harp forum on Salzedo technique: broken orders take more than straight ones.
	assert.Greater(t, holds(one(28, 30, 32, 35), 1, 0), holds(one(28, 32, 30, 35), 1, 0))
	// A lever-harp player's journal: quick work downward is felt as harder.
	assert.Greater(t, holds(one(28, 29, 30, 31), 3, 4), holds(one(40, 39, 38, 37), 3, -4))
	// University harpist's note for composers: a group and at once a chord elsewhere is
	// harder than the group and a note beside it.
	assert.Less(t, holds([][]int{{28}, {30}, {32}, {35}, {36, 38, 40, 43}}, 1, 0), holds(one(28, 30, 32, 35, 36), 1, 0))
}
