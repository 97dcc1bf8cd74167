package feet

import (
	"math/rand"
	"testing"

	"fourfold/analysis/harp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func leverHarp(t *testing.T, free [2][]Span) LeverOptions {
	t.Helper()
	i, ok := harp.InstrumentNamed("lever34")
	require.True(t, ok)
	return LeverOptionsOf(i, 0, free)
}

const f4, f5, a4, b4 = 31, 38, 33, 34

// Octaves are independent: F sharp 5 with F natural 4 (web primers on lever harps).
func TestLeversOfOctavesAreIndependent(t *testing.T) {
	p := Levers([]LeverDemand{{0, f4, 0}, {0, f5, 1}}, leverHarp(t, [2][]Span{}))
	assert.Equal(t, LeverPlan{Raised: []int{f5}}, p)
}

func TestLeverNeedsAFreeHand(t *testing.T) {
	demands := []LeverDemand{{0, f4, 0}, {2, f4, 1}}
	p := Levers(demands, leverHarp(t, [2][]Span{{{0, .3}, {1, 1.4}}, nil}))
	require.Len(t, p.Moves, 1)
	assert.Equal(t, LeverMove{String: f4, Up: true, Release: 0, Deadline: 2, Free: true, Hand: LeftHand, At: 1, End: 1.35, Demand: 1}, p.Moves[0])

	p = Levers(demands, leverHarp(t, [2][]Span{nil, {{-1, 5}}}))
	assert.Equal(t, RightHand, p.Moves[0].Hand)
	assert.True(t, p.Moves[0].Free)

	p = Levers(demands, leverHarp(t, [2][]Span{{{0, .3}}, {{1.7, 3}}}))
	assert.False(t, p.Moves[0].Free)
	assert.InDelta(t, 1.65, p.Moves[0].At, 1e-12)
}

// The usual tuning is E flat major (ABRSM syllabus): A sharp and C flat have no
// lever.
func TestLeversCannotReach(t *testing.T) {
	p := Levers([]LeverDemand{{0, a4, -1}, {1, a4, 1}, {2, b4, 0}, {3, 28, -1}, {4, 28, 2}}, leverHarp(t, [2][]Span{}))
	assert.Equal(t, []int{1, 3, 4}, p.Unreachable)
	assert.Equal(t, []int{b4}, p.Raised)
	assert.Empty(t, p.Moves)
}

func TestLeverClash(t *testing.T) {
	p := Levers([]LeverDemand{{1, f4, 0}, {1, f4, 1}}, leverHarp(t, [2][]Span{}))
	assert.Equal(t, [][]int{{0, 1}}, p.Clashes)
}

// Two moves that only fit one way round.
func TestLeversInTheOrderThatFits(t *testing.T) {
	demands := []LeverDemand{{0, f4, 0}, {.6, f5, 0}, {1.6, f5, 1}, {1.7, f4, 1}}
	p := Levers(demands, leverHarp(t, [2][]Span{{{0, .5}, {.9, 1.4}}, nil}))
	require.Len(t, p.Moves, 2)
	assert.Equal(t, f4, p.Moves[0].String)
	for _, m := range p.Moves {
		assert.True(t, m.Free)
	}
}

// Moves never overlap in a hand, keep to their windows and to the hand's free
// time, and as many are placed as some order and choice of hands can place.
func TestLeversKeepToTheHands(t *testing.T) {
	r := rand.New(rand.NewSource(8))
	full := 0
	for range 400 {
		var demands []LeverDemand
		for i := range 4 + r.Intn(4) {
			demands = append(demands, LeverDemand{T: float64(i)*.3 + r.Float64()*.2, String: f4 + r.Intn(3), Alter: 0})
			d := &demands[i]
			d.Alter = int(eFlatOpen(d.String)) + r.Intn(2)
		}
		var free [2][]Span
		for h := range free {
			t := 0.
			for t < 3 {
				s := Span{t, t + r.Float64()*1.2}
				free[h] = append(free[h], s)
				t = s.To + r.Float64()*.5
			}
		}
		p := Levers(demands, leverHarp(t, free))
		placed := 0
		for i, m := range p.Moves {
			if !m.Free {
				continue
			}
			placed++
			require.GreaterOrEqual(t, m.At, m.Release-1e-9)
			require.LessOrEqual(t, m.End, m.Deadline+1e-9)
			inside := false
			for _, s := range free[m.Hand] {
				inside = inside || m.At >= s.From-1e-9 && m.End <= s.To+1e-9
			}
			require.True(t, inside)
			for _, other := range p.Moves[:i] {
				if other.Free && other.Hand == m.Hand {
					require.True(t, other.End <= m.At+1e-9 || m.End <= other.At+1e-9)
				}
			}
		}
		if can := leversTwin(p.Moves, free); can {
			full++
			require.Equal(t, len(p.Moves), placed, "%+v %v", p.Moves, free)
		}
	}
	assert.Greater(t, full, 50)
}

func eFlatOpen(str int) int8 { return [7]int8{0, 0, -1, 0, 0, -1, -1}[str%7] }

// leversTwin says whether all moves can be placed: each hand's moves in every
// order, each as early as it can be.
func leversTwin(moves []LeverMove, free [2][]Span) bool {
	if len(moves) > 6 {
		return false
	}
	can := false
	everyOrder(len(moves), func(order []int) {
		for hands := 0; hands < 1<<len(moves) && !can; hands++ {
			next := [2]float64{-1, -1}
			ok := true
			for _, i := range order {
				h := hands >> i & 1
				at := -1.
				for _, s := range free[h] {
					start := max(s.From, next[h], moves[i].Release)
					if start+LeverTime <= min(s.To, moves[i].Deadline)+1e-9 {
						at = start
						break
					}
				}
				if at < 0 {
					ok = false
					break
				}
				next[h] = at + LeverTime
			}
			can = can || ok
		}
	})
	return can
}
