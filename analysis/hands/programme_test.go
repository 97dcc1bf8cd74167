package hands

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis/harp"
)

// randomStrokes makes a short part with what the model finds hard: chords, strings
// that come back, wide leaps, more than four strings, gaps of a second, and times
// that lie on a limit or a hair beside it; some with printed fingers.
func randomStrokes(r *rand.Rand, most int) []Stroke {
	var strokes []Stroke
	t := float64(r.IntN(3))
	centre := 20 + r.IntN(20)
	spread := []int{3, 6, 11, 25}[r.IntN(4)]
	chords := r.IntN(3)
	printed := r.IntN(3) == 0
	for range 1 + r.IntN(most) {
		n := 1
		if r.IntN(3) < chords {
			n = 1 + r.IntN(4)
		}
		if r.IntN(40) == 0 {
			n = 5 + r.IntN(2)
		}
		s := Stroke{T: t}
		for range n {
			s.Strings = append(s.Strings, centre+r.IntN(spread))
			if printed {
				s.Printed = append(s.Printed, r.IntN(3)*r.IntN(3))
			}
		}
		strokes = append(strokes, s)
		t += randomGap(r)
		if r.IntN(6) == 0 {
			centre = 20 + r.IntN(20)
		}
	}
	return Tidy(strokes)
}

func randomGap(r *rand.Rand) float64 {
	hair := []float64{0, 0, 0, 1e-10, -1e-10, 9e-10, -9e-10, 3e-9, -3e-9}[r.IntN(9)]
	switch r.IntN(12) {
	case 0:
		return []float64{1, .5, .99, 1.2}[r.IntN(4)] + hair
	case 1:
		return []float64{.06, .07, .085, .105, .12, .08, .1, .16, .18, .24, .22, .25}[r.IntN(12)] + hair
	case 2:
		return .03 + .3*r.Float64()
	default:
		return []float64{.05, .0625, .1, .125, .15, .2, .25}[r.IntN(7)]
	}
}

func names(placings []Placing) (lengths []int, fingers []int, changes, orders []string) {
	for _, p := range placings {
		lengths = append(lengths, p.To-p.From+1)
		for _, list := range p.Fingers {
			fingers = append(fingers, list...)
		}
		changes = append(changes, p.Change.String())
		orders = append(orders, p.Order.String())
	}
	return lengths, fingers, changes, orders
}

// profiles are the two hands, and one for which most choices cost the same, so that
// ties decide.
func profiles() []harp.Hand {
	even := harp.Standard()
	even.Name = "even"
	even.PerFinger, even.PerStep, even.Leap.CostPerStep = 0, 0, 0
	for _, c := range []*harp.Change{&even.CrossUnder, &even.CrossOver, &even.Pivot, &even.SamePlace, &even.Leap} {
		c.Cost = 1
	}
	return []harp.Hand{harp.Standard(), harp.Small(), even}
}

// What random strokes meet too seldom.
func TestSolveIsExhaustiveSearchInCorners(t *testing.T) {
	const hair = 9e-10
	tests := map[string][]Stroke{
		"a stroke that must be alone though another would bring it within the hand": {{T: 0, Strings: []int{28, 35, 37}}, {T: .3, Strings: []int{31}}},
		"the same, after the other":                                 {{T: 0, Strings: []int{31}}, {T: .3, Strings: []int{28, 35, 37}}},
		"two strokes too wide that a third brings within the hand":  {{T: 0, Strings: []int{28, 35}}, {T: .3, Strings: []int{37}}, {T: .6, Strings: []int{31}}},
		"an order gap missed by less than the tolerance":            {{T: 0, Strings: []int{28}}, {T: .06 - hair, Strings: []int{30}}},
		"a leap missed by less than the tolerance":                  {{T: 0, Strings: []int{10}}, {T: .4 - hair, Strings: []int{45}}},
		"a leap missed by more":                                     {{T: 0, Strings: []int{10}}, {T: .4 - 3e-9, Strings: []int{45}}},
		"falling with two fingers, which do not let the thumb over": {{T: 0, Strings: []int{34}}, {T: .3, Strings: []int{32}}, {T: .6, Strings: []int{31}}, {T: .9, Strings: []int{24}}, {T: 1.2, Strings: []int{20}}},
		"five strings and their top four":                           {{T: 0, Strings: []int{20, 28, 30, 32, 35}}, {T: .3, Strings: []int{20}}, {T: .6, Strings: []int{28, 30, 32, 35}}},
		"a second, to the tolerance":                                {{T: 0, Strings: []int{28}}, {T: 1 - hair, Strings: []int{30}}, {T: 2 - 4e-9, Strings: []int{28}}},
		"a string back in half a second, to the tolerance":          {{T: 0, Strings: []int{28}}, {T: .5 - hair, Strings: []int{28}}, {T: 1 - 4e-9, Strings: []int{28}}},
		"steps beyond those counted":                                {{T: 0, Strings: []int{0}}, {T: .5, Strings: []int{60}}, {T: .9, Strings: []int{-5, 0}}},
	}
	for name, strokes := range tests {
		for _, h := range profiles() {
			want, ceiling := twinSolve(strokes, h)
			got := Solve(strokes, h)
			lengths, fingers, changes, orders := names(got.Placings)
			assert.Equal(t, want.cost, got.Cost, name)
			assert.Equal(t, want.lengths, lengths, name)
			assert.Equal(t, want.fingers, fingers, name)
			assert.Equal(t, want.changes, changes, name)
			assert.Equal(t, want.orders, orders, name)
			assert.InDelta(t, ceiling, Ceiling(strokes, h), 1e-12, name)
		}
	}
}

func TestSolveIsExhaustiveSearch(t *testing.T) {
	cases := 1000
	if testing.Short() {
		cases = 200
	}
	r := rand.New(rand.NewPCG(4, 4))
	for c := range cases {
		strokes := randomStrokes(r, 5)
		h := profiles()[c%3]
		what := fmt.Sprintf("case %d, %s hand: %v", c, h.Name, strokes)
		want, ceiling := twinSolve(strokes, h)
		got := Solve(strokes, h)
		lengths, fingers, changes, orders := names(got.Placings)
		require.Equal(t, want.cost, got.Cost, what)
		require.Equal(t, want.lengths, lengths, what)
		require.Equal(t, want.fingers, fingers, what)
		require.Equal(t, want.changes, changes, what)
		require.Equal(t, want.orders, orders, what)
		require.InDelta(t, want.load, got.MaxLoad, 1e-9, what)
		require.InDelta(t, ceiling, Ceiling(strokes, h), 1e-9, what)
	}
}

// What is listed for a reader and what the programme counts with are the same.
func TestNeedsAreTheLoads(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	kinds := map[NeedKind]int{}
	for c := range 300 {
		s := Solve(randomStrokes(r, 12), profiles()[c%3])
		worst := 0.0
		for i, p := range s.Placings {
			inside, change, beyond := 0.0, 0.0, 0
			for _, n := range s.Inside(i) {
				inside = max(inside, n.Load)
				kinds[n.Kind]++
			}
			for _, n := range s.Needs(i) {
				assert.InDelta(t, s.Strokes[n.To].T-s.Strokes[n.From].T, n.Have, 1e-12)
				change = max(change, n.Load)
				kinds[n.Kind]++
			}
			for _, spread := range s.Spreads(i) {
				beyond += spread.Beyond
				assert.True(t, spread.Fits || p.Impossible)
			}
			assert.Equal(t, p.Load, inside)
			assert.Equal(t, p.ChangeLoad, change)
			assert.Equal(t, p.Beyond, beyond)
			worst = max(worst, inside, change)
		}
		assert.Equal(t, s.MaxLoad, worst)
		assert.LessOrEqual(t, Ceiling(s.Strokes, s.Hand), s.MaxLoad)
	}
	assert.Len(t, kinds, int(needKindsEnd), "every kind of need was met")
}

func TestNoStrokes(t *testing.T) {
	s := Solve(nil, harp.Standard())
	assert.Zero(t, s.Cost)
	assert.Empty(t, s.Placings)
	assert.Zero(t, Ceiling(nil, harp.Standard()))
}

// Strokes at all but the same instant cost more than can be counted, and no sum wraps.
func TestAbsurdTempo(t *testing.T) {
	var strokes []Stroke
	for i := range 2000 {
		strokes = append(strokes, Stroke{T: float64(i) * 2e-9, Strings: []int{28 + i%2*20}})
	}
	s := Solve(strokes, harp.Standard())
	assert.Positive(t, s.Cost)
	assert.Equal(t, 1999, s.Placings[len(s.Placings)-1].To)
}

func TestTidy(t *testing.T) {
	got := Tidy([]Stroke{
		{T: .5, Strings: []int{30, 28, 30}}, {T: 0, Strings: []int{35}}, {T: .5 + 5e-10, Strings: []int{32}}, {T: .2, Strings: nil},
	})
	assert.Equal(t, []Stroke{{T: 0, Strings: []int{35}}, {T: .5, Strings: []int{28, 30, 32}}}, got)
}

// sixteenths is a part of so many bars of sixteenths at ♩ = 90: scales, broken chords
// and figures with turns, as in real parts.
func sixteenths(bars int) []Stroke {
	r := rand.New(rand.NewPCG(9, 9))
	figures := [][]int{
		{0, 1, 2, 3, 4, 5, 6, 7}, {7, 6, 5, 4, 3, 2, 1, 0}, {0, 2, 4, 7, 0, 2, 4, 7},
		{0, 4, 2, 4, 0, 4, 2, 4}, {0, 2, 4, 7, 9, 7, 4, 2}, {0, 2, 1, 3, 2, 4, 3, 5},
	}
	var strokes []Stroke
	for range bars {
		base := 25 + r.IntN(14)
		figure := figures[r.IntN(len(figures))]
		for i := range 16 {
			strokes = append(strokes, Stroke{T: float64(len(strokes)) / 6, Strings: []int{base + figure[i%8]}})
		}
	}
	return strokes
}

func BenchmarkSolve1000Bars(b *testing.B) {
	strokes := sixteenths(1000)
	b.ReportAllocs()
	for b.Loop() {
		Solve(strokes, harp.Standard())
	}
}

func BenchmarkCeiling1000Bars(b *testing.B) {
	strokes := sixteenths(1000)
	b.ReportAllocs()
	for b.Loop() {
		Ceiling(strokes, harp.Standard())
	}
}

// A printed finger is taken where the hand can take it in time; where it cannot, what
// can be played wins.
func TestPrintedFingers(t *testing.T) {
	tests := map[string]struct {
		strokes []Stroke
		fingers []int
	}{
		"a scale as the page has it": {
			[]Stroke{{T: 0, Strings: []int{28}, Printed: []int{4}}, {T: .3, Strings: []int{29}, Printed: []int{2}}, {T: .6, Strings: []int{30}}},
			[]int{4, 2, 1},
		},
		"a chord": {[]Stroke{{T: 0, Strings: []int{28, 30, 32}, Printed: []int{4, 0, 2}}}, []int{4, 3, 2}},
		"the thumb on the lower string, which only one of the two allows": {
			[]Stroke{{T: 0, Strings: []int{28, 30}, Printed: []int{1, 2}}}, []int{3, 2},
		},
		"too wide for the fingers": {
			[]Stroke{{T: 0, Strings: []int{28, 34}, Printed: []int{3, 2}}}, []int{3, 1},
		},
		"one finger twice in no time": {
			[]Stroke{{T: 0, Strings: []int{30}, Printed: []int{2}}, {T: .1, Strings: []int{31}, Printed: []int{2}}}, []int{2, 1},
		},
		"the same with time": {
			[]Stroke{{T: 0, Strings: []int{30}, Printed: []int{2}}, {T: .4, Strings: []int{31}, Printed: []int{2}}}, []int{2, 2},
		},
	}
	for name, tt := range tests {
		t.Run(name, func(t *testing.T) {
			_, fingers, _, _ := names(Solve(tt.strokes, harp.Standard()).Placings)
			assert.Equal(t, tt.fingers, fingers)
		})
	}
}
