package feet

import (
	"math"
	"math/bits"
	"math/rand"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// twinSchedule tries all orders, and in each all choices of which moves wait
// until their strings are quiet. It gives the least lateness, the fewest moves
// that ring when nobody is late, and the most time to spare with so few.
func twinSchedule(windows []Window, busy Busy) (late float64, rings int, spare float64) {
	late, rings, spare = math.Inf(1), len(windows)+1, math.Inf(-1)
	everyOrder(len(windows), func(order []int) {
		for wait := 0; wait < 1<<len(windows); wait++ {
			free, worst, tight, ringing := math.Inf(-1), 0.0, math.Inf(1), 0
			for _, i := range order {
				w := windows[i]
				from := w.Release
				if wait&(1<<i) != 0 {
					from = w.Quiet
				}
				at := math.Max(free, from)
				if at < w.Quiet-1e-9 {
					ringing++
				}
				free = at + busy.Of(w)
				worst = math.Max(worst, free-w.Deadline)
				tight = math.Min(tight, w.Deadline-free)
			}
			late = math.Min(late, worst)
			if worst > 1e-9 || ringing > rings {
				continue
			}
			if ringing < rings {
				rings, spare = ringing, tight
			}
			spare = math.Max(spare, tight)
		}
	})
	return late, rings, spare
}

// ringing gives each demand a time for which its string rings.
func ringing(r *rand.Rand, demands []Demand) []Demand {
	for i := range demands {
		demands[i].Rings = []float64{0, .6, 1.5, 3}[r.Intn(4)]
	}
	return demands
}

// checkSlots says what every schedule must keep to.
func checkSlots(t *testing.T, windows []Window, slots []Slot, busy Busy) {
	t.Helper()
	require.Len(t, slots, len(windows))
	at := map[Window]bool{}
	var pedal [Letters]float64
	for i, s := range slots {
		at[s.Window] = true
		assert.GreaterOrEqual(t, s.At, s.Window.Release-1e-9)
		assert.InDelta(t, s.At+busy.Of(s.Window), s.End, 1e-12)
		assert.InDelta(t, math.Max(0, s.End-s.Window.Deadline), s.Late, 1e-8)
		if i > 0 {
			assert.GreaterOrEqual(t, s.At, slots[i-1].End-1e-8, "one move at a time")
		}
		assert.GreaterOrEqual(t, s.Window.Deadline, pedal[s.Window.Letter]-1e-9, "a pedal's moves in turn")
		pedal[s.Window.Letter] = s.Window.Deadline
	}
	assert.Len(t, at, len(windows))
}

func TestScheduleAsByTryingAllOrders(t *testing.T) {
	r := rand.New(rand.NewSource(2))
	inTime, eight := 0, 0
	for n := range 1500 {
		moves, letters := 1+n%5, leftLetters
		switch n {
		case 499:
			moves = 7
		case 999:
			moves = 8
		}
		if r.Intn(2) == 0 {
			letters = rightLetters
		}
		demands := ringing(r, randomDemands(r, moves, letters))
		for i := range demands {
			demands[i].T *= 2.5
		}
		windows := Windows(demands, AllFree(), 0)
		windows = windows[:min(len(windows), moves)]
		if len(windows) == 0 {
			continue
		}
		if len(windows) == 8 {
			eight++
		}
		slots := Schedule(windows, Steady)
		checkSlots(t, windows, slots, Steady)
		late, rings, spare := twinSchedule(windows, Steady)
		latest, sounding := 0.0, 0
		for _, s := range slots {
			latest = math.Max(latest, s.Late)
			if s.Rings {
				sounding++
			}
		}
		require.InDelta(t, late, latest, 1e-8, "%+v", windows)
		if late == 0 {
			inTime++
			require.Equal(t, rings, sounding, "%+v\n%+v", windows, slots)
			require.InDelta(t, spare, tightest(slots), 1e-8, "%+v\n%+v", windows, slots)
		}
	}
	assert.Greater(t, inTime, 300)
	assert.Positive(t, eight, "one at least has eight moves")
}

// canBeDone is an independent way to the least lateness: for each set of moves that
// are done, the earliest that the foot can be free with no move later than so
// much.
func canBeDone(windows []Window, busy Busy, late float64) bool {
	n := len(windows)
	free := make([]float64, 1<<n)
	for set := 1; set < 1<<n; set++ {
		free[set] = math.Inf(1)
		for rest := set; rest != 0; rest &= rest - 1 {
			i := bits.TrailingZeros(uint(rest))
			before := math.Inf(-1)
			if set != 1<<i {
				before = free[set&^(1<<i)]
			}
			end := math.Max(before, windows[i].Release) + busy.Of(windows[i])
			if end <= windows[i].Deadline+late {
				free[set] = math.Min(free[set], end)
			}
		}
	}
	return !math.IsInf(free[1<<n-1], 1)
}

func TestLateOfManyMoves(t *testing.T) {
	r := rand.New(rand.NewSource(3))
	for range 150 {
		windows := Windows(randomDemands(r, 18, leftLetters), AllFree(), 0)
		windows = windows[:min(len(windows), 14)]
		late := Late(windows, Steady)
		require.True(t, canBeDone(windows, Steady, late+1e-8))
		require.False(t, late > 0 && canBeDone(windows, Steady, late-1e-6))
		latest := 0.0
		slots := Schedule(windows, Steady)
		checkSlots(t, windows, slots, Steady)
		for _, s := range slots {
			latest = math.Max(latest, s.Late)
		}
		require.InDelta(t, late, latest, 1e-8)
	}
}
