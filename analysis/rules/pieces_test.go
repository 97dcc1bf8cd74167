package rules

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// Whether a place is cut depends on the instants around it alone, and no piece is
// longer than a search takes.
func TestCutsAreLocal(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 5))
	all := make([]struckAt, 600)
	for i := range all {
		all[i] = struckAt{gap: float64(random.IntN(3)), sign: random.Uint64N(50)}
	}
	whole := cuts(all)
	require.NotEmpty(t, whole)
	last := 0
	for _, i := range append(whole, len(all)) {
		require.LessOrEqual(t, i-last, mostAtOnce)
		last = i
	}
	for range 100 {
		from := random.IntN(len(all) - 4*mostAtOnce)
		to := from + 3*mostAtOnce + random.IntN(mostAtOnce)
		inside := func(cuts []int, by int) (out []int) {
			for _, i := range cuts {
				if i+by >= from+mostAtOnce && i+by <= to-mostAtOnce {
					out = append(out, i+by)
				}
			}
			return out
		}
		require.Equal(t, inside(whole, 0), inside(cuts(all[from:to]), from), "from %d to %d", from, to)
	}
}
