package feet

import (
	"math"
	"math/rand"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// everyOrder calls visit with every order of n things.
func everyOrder(n int, visit func(order []int)) {
	var extend func(order []int, used int)
	extend = func(order []int, used int) {
		if len(order) == n {
			visit(order)
			return
		}
		for i := 0; i < n; i++ {
			if used&(1<<i) == 0 {
				extend(append(order, i), used|1<<i)
			}
		}
	}
	extend(make([]int, 0, n), 0)
}

// twinLate tries all orders.
func twinLate(windows []Window, busy Busy) float64 {
	least := math.Inf(1)
	everyOrder(len(windows), func(order []int) {
		free, late := math.Inf(-1), 0.0
		for _, i := range order {
			free = math.Max(free, windows[i].Release) + busy.Of(windows[i])
			late = math.Max(late, free-windows[i].Deadline)
		}
		least = math.Min(least, late)
	})
	return least
}

// twinStretch tries all orders and all runs in them.
func twinStretch(windows []Window, busy Busy) float64 {
	least := math.Inf(1)
	everyOrder(len(windows), func(order []int) {
		worst := 1.0
		for i := range order {
			total := 0.0
			for j := i; j < len(order); j++ {
				total += busy.Of(windows[order[j]])
				width := windows[order[j]].Deadline - windows[order[i]].Release
				if width <= 1e-9 {
					worst = math.Inf(1)
				} else {
					worst = math.Max(worst, total/width)
				}
			}
		}
		least = math.Min(least, worst)
	})
	return least
}

// randomDemands makes demands on the letters of one foot, so that there are
// about as many moves as asked for.
func randomDemands(r *rand.Rand, moves int, letters []Letter) []Demand {
	var demands []Demand
	t := 0.0
	step := .1 + r.Float64()*.8
	grid := r.Intn(2) == 0
	for range moves + len(letters) {
		if grid {
			t += step / 4 * float64(1+r.Intn(4))
		} else {
			t += step * r.Float64()
		}
		for range 1 + r.Intn(2) {
			demands = append(demands, Demand{T: t, Letter: letters[r.Intn(len(letters))], Pos: Pos(r.Intn(3) - 1)})
		}
	}
	var kept []Demand
	for _, d := range demands {
		if len(kept) == 0 || len(Clashes(append(kept, d))) == 0 {
			kept = append(kept, d)
		}
	}
	return kept
}

var leftLetters, rightLetters = []Letter{D, C, B}, []Letter{E, F, G, A}

func TestLateAndStretchAsByTryingAllOrders(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	late := 0
	for n := range 3000 {
		moves, letters := 1+n%6, leftLetters
		if n%100 == 99 {
			moves = 8
		}
		if r.Intn(2) == 0 {
			letters = rightLetters
		}
		windows := Windows(randomDemands(r, moves, letters), AllFree(), 0)
		windows = windows[:min(len(windows), moves)]
		want := twinLate(windows, Steady)
		if len(windows) == 0 {
			want = 0
		}
		require.InDelta(t, want, Late(windows, Steady), 1e-9, "%+v", windows)
		if want > 0 {
			late++
			stretch := twinStretch(windows, Steady)
			if math.IsInf(stretch, 1) {
				require.Equal(t, stretch, Stretch(windows, Steady))
			} else {
				require.InDelta(t, stretch, Stretch(windows, Steady), 1e-8, "%+v", windows)
			}
		}
	}
	assert.Greater(t, late, 1000, "the cases must be hard enough to say something")
}
