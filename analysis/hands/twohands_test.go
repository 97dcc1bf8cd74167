package hands

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis/harp"
)

// randomWritten deals random strokes to staves: one, or two with or without names; some
// notes on both.
func randomWritten(r *rand.Rand, most int) Written {
	w := Written{Two: r.IntN(3) > 0}
	w.Named = w.Two && r.IntN(4) > 0
	for _, s := range randomStrokes(r, most) {
		if !w.Two {
			w.Staves[Right] = append(w.Staves[Right], s)
			continue
		}
		var both [2][]int
		for _, string := range s.Strings {
			side := r.IntN(2)
			both[side] = append(both[side], string)
			if r.IntN(8) == 0 {
				both[1-side] = append(both[1-side], string)
			}
		}
		for side := range both {
			if len(both[side]) > 0 {
				w.Staves[side] = append(w.Staves[side], Stroke{s.T, both[side]})
			}
		}
	}
	return w
}

func TestTwoHandsAreExhaustiveSearch(t *testing.T) {
	cases, long := 150, 3
	if testing.Short() {
		cases, long = 40, 0
	}
	r := rand.New(rand.NewPCG(6, 6))
	for c := range cases {
		most := 4
		if c < long {
			most = exactMoments
		}
		w := randomWritten(r, most)
		h := profiles()[c%3]
		what := fmt.Sprintf("case %d, %s hand: %+v", c, h.Name, w)
		got := SolveTwo(w, h)
		require.Equal(t, twinTwo(w, h), got.Cost, what)
		require.Equal(t, got.Cost, got.LowerBound, what)
		checkTwo(t, w, got, what)
	}
}

// checkTwo sees to it that the solution plays what is written, and costs what it says.
func checkTwo(t *testing.T, w Written, got *TwoSolution, what string) {
	t.Helper()
	plucked := map[float64][]int{}
	for _, s := range slices.Concat(w.Staves[Right], w.Staves[Left]) {
		plucked[s.T] = stringSet(plucked[s.T], s.Strings)
	}
	taken := map[float64][]int{}
	for _, hand := range got.Hands {
		for _, s := range hand.Strokes {
			taken[s.T] = stringSet(taken[s.T], s.Strings)
		}
	}
	require.Equal(t, plucked, taken, what)
	require.Equal(t, got.Cost, got.Hands[Right].Cost+got.Hands[Left].Cost+got.SharedStrings+got.Interlocks, what)
	require.LessOrEqual(t, got.LowerBound, got.Cost, what)
}

func TestTwoHandsBeyondExhaustiveSearch(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	for c := range 20 {
		w := randomWritten(r, 60)
		h := profiles()[c%3]
		what := fmt.Sprintf("case %d", c)
		got := SolveTwo(w, h)
		checkTwo(t, w, got, what)
		if w.Two {
			written := &together{h: newHand(h), moments: w.moments(newHand(h))}
			written.try(make([]int, len(written.moments)))
			assert.LessOrEqual(t, got.Cost, written.best.Cost, what)
		}
		assert.Positive(t, got.LowerBound, what)
	}
}

// The bound holds: it lies below what everything tried gives.
func TestLowerBoundIsOne(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 8))
	for c := range 60 {
		w := randomWritten(r, exactMoments)
		h := newHand(profiles()[c%3])
		s := &together{h: h, moments: w.moments(h)}
		bound := s.beam()
		assert.LessOrEqual(t, bound, SolveTwo(w, h.Hand).Cost, "case %d: %+v", c, w)
	}
}

// A run of sixteen notes up passes from hand to hand: no placing holds more than four
// strings and no hand plays two placings in a row.
func TestRunPassesFromHandToHand(t *testing.T) {
	var run []Stroke
	for i := range 16 {
		run = append(run, Stroke{float64(i) * .08, []int{21 + i}})
	}
	got := SolveTwo(Written{Staves: [2][]Stroke{run}}, harp.Standard())
	owner := map[float64]int{}
	for side, hand := range got.Hands {
		assert.LessOrEqual(t, hand.MaxLoad, 1.0)
		for i, p := range hand.Placings {
			assert.LessOrEqual(t, p.To-p.From, 3)
			owner[hand.Strokes[p.From].T] = 10*side + i
		}
	}
	assert.Len(t, owner, 4)
	assert.Zero(t, got.Interlocks)
}

func TestTwoHandsWithNothing(t *testing.T) {
	got := SolveTwo(Written{Two: true, Named: true}, harp.Standard())
	assert.Zero(t, got.Cost)
	assert.Zero(t, got.LowerBound)
}

func BenchmarkSolveTwo100Bars(b *testing.B) {
	strokes := sixteenths(100)
	for b.Loop() {
		SolveTwo(Written{Staves: [2][]Stroke{strokes}}, harp.Standard())
	}
}
