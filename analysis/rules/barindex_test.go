package rules

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// The index finds what walking through the row finds, in rows that are not quite in
// the order of their bars too.
func TestBarIndexIsWalking(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for range 300 {
		row := make([]int, random.IntN(12))
		for i := range row {
			row[i] = max(1, i/2+random.IntN(4)-1)
		}
		x := indexBars(len(row), func(i int) int { return row[i] })
		for bar := range 12 {
			last, first := -1, -1
			for i, b := range row {
				if b <= bar {
					last = i
				}
				if b >= bar && first < 0 {
					first = i
				}
			}
			assert.Equal(t, last, x.lastUpTo(bar), "%v up to %d", row, bar)
			assert.Equal(t, first, x.firstFrom(bar), "%v from %d", row, bar)
		}
	}
}
