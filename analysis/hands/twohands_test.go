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
// notes on both, some staves the wrong way round, and some with a mark for either hand.
func randomWritten(r *rand.Rand, most int) Written {
	w := Written{Two: r.IntN(3) > 0}
	w.Named = w.Two && r.IntN(4) > 0
	crossed := r.IntN(3) == 0
	marked := r.IntN(4) == 0
	for _, s := range randomStrokes(r, most) {
		if !w.Two {
			w.Staves[Right] = append(w.Staves[Right], s)
			continue
		}
		middle := 22 + r.IntN(20)
		var both, printed [2][]int
		for j, string := range s.Strings {
			side := r.IntN(2)
			if crossed && string < middle {
				side = int(Right)
			} else if crossed {
				side = int(Left)
			}
			finger := 0
			if s.Printed != nil {
				finger = s.Printed[j]
			}
			both[side], printed[side] = append(both[side], string), append(printed[side], finger)
			if r.IntN(8) == 0 {
				both[1-side], printed[1-side] = append(both[1-side], string), append(printed[1-side], 0)
			}
		}
		for side := range both {
			if marked && len(both[side]) > 0 && r.IntN(3) == 0 {
				// A mark over one note gives it to either hand, but not to both.
				to := r.IntN(2)
				if other := w.Bound[1-to]; len(other) == 0 || other[0].T != s.T {
					w.Bound[to] = []Stroke{{T: s.T, Strings: both[side][:1]}}
				}
			}
			if len(both[side]) > 0 {
				w.Staves[side] = append(w.Staves[side], Stroke{T: s.T, Strings: both[side], Printed: printed[side]})
			}
		}
	}
	return w
}

// What shared strings cost is counted in three ways: as the search goes, for a whole
// sharing, and by the twin.
func TestSharedStrings(t *testing.T) {
	r := rand.New(rand.NewPCG(12, 12))
	h := newHand(harp.Standard())
	some := 0
	for range 2000 {
		w := Written{Two: true}
		now := 0.0
		for range 2 + r.IntN(5) {
			var s Stroke
			s.T = now
			for range 1 + r.IntN(2)*r.IntN(6) {
				s.Strings = append(s.Strings, 28+r.IntN(3)*(1+r.IntN(2)))
			}
			s.Strings = stringSet(s.Strings, nil)
			for side := range w.Staves {
				if r.IntN(3) > 0 {
					w.Staves[side] = append(w.Staves[side], s)
				}
			}
			now += []float64{.1, .25, .5, .5 - 2e-9, .5 - 5e-10, .24, .26}[r.IntN(7)]
		}
		moments := w.moments(h)
		chosen := make([]int, len(moments))
		made := newCells(h)
		var lists [2]list
		var cost int64
		for i := len(moments) - 1; i >= 0; i-- {
			m := &moments[i]
			chosen[i] = r.IntN(len(m.shares))
			s := &m.shares[chosen[i]]
			cost += s.sharedWith(lists, m.t, h)
			lists = made.before(lists, i, m, s)
		}
		both := parts(moments, chosen)
		want := twinShared([2][]Stroke{both[Right].strokes, both[Left].strokes}, h.Hand)
		require.Equal(t, want, cost, "%v %v", both[Right].strokes, both[Left].strokes)
		require.Equal(t, want, sharedStrings(both, h), "%v %v", both[Right].strokes, both[Left].strokes)
		if want > 0 {
			some++
		}
	}
	assert.Greater(t, some, 500)
}

// Placings overlap in time with their ends included, and interlock when all of the
// right hand is below all of the left.
func TestInterlocks(t *testing.T) {
	right := []stay{{0, .5, 20, 25}, {1, 1.5, 20, 25}}
	tests := []struct {
		left stay
		n    int
	}{
		{stay{.5, 1, 26, 30}, 2},                  // both ends touch
		{stay{.5 + 5e-10, 1 - 5e-10, 26, 30}, 2},  // within the tolerance
		{stay{.5 + 3e-9, 1 - 3e-9, 26, 30}, 0},    // between
		{stay{.2, .3, 25, 30}, 0},                 // one string is common
		{stay{.2, .3, 10, 15}, 0},                 // as it should be
		{stay{0, 9, 26, 30}, 2},                   // over both
		{stay{1.5, 1.5, 26, 30}, 1},               // at the end
		{stay{-1, 0, 26, 30}, 1},                  // at the beginning
		{stay{1.5 + 3e-9, 1.5 + 3e-9, 26, 30}, 0}, // after it
	}
	for _, tt := range tests {
		assert.Equal(t, tt.n, interlocks(right, []stay{tt.left}), "%v", tt.left)
	}
	assert.Equal(t, 3, interlocks(right, []stay{{0, .1, 26, 27}, {.2, .2, 28, 29}, {.3, .4, 20, 21}, {1.1, 1.1, 30, 30}}))
}

func TestTwoHandsAreExhaustiveSearch(t *testing.T) {
	cases, long := 400, 6
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
		if c%5 == 0 {
			from := float64(r.IntN(3))
			w.Within = []Interval{{from, from + r.Float64()}}
		}
		w.Spared = c%4 == 1
		h := profiles()[c%3]
		what := fmt.Sprintf("case %d, %s hand: %+v", c, h.Name, w)
		got := SolveTwo(w, h)
		require.Equal(t, twinTwo(w, h), got.Cost, what)
		require.Equal(t, got.Cost, got.LowerBound, what)
		checkTwo(t, w, got, what)
	}
}

// Up to eight instants, wherever trying everything can be afforded.
func TestTwoHandsUpToEightAreExhaustiveSearch(t *testing.T) {
	cases := 25
	if testing.Short() {
		cases = 4
	}
	r := rand.New(rand.NewPCG(16, 16))
	for done := 0; done < cases; {
		w, h := randomWritten(r, exactMoments), profiles()[done%3]
		ways := 1
		moments := w.moments(newHand(h))
		for _, m := range moments {
			ways *= len(m.shares)
		}
		if len(moments) < exactMoments-1 || ways > 600 {
			continue
		}
		done++
		got := SolveTwo(w, h)
		require.Equal(t, twinTwo(w, h), got.Cost, "%+v", w)
		require.Equal(t, got.Cost, got.LowerBound, "%+v", w)
	}
}

// Five falling notes are cheapest with the first two in one placing; but when the left
// hand plays above them between these two, the first stands better alone.
func TestPlacingsMakeWayForTheOtherHand(t *testing.T) {
	w := Written{Two: true, Named: true, Staves: [2][]Stroke{
		Right: figure(one(24, 23, 22, 21, 20), 1, 0, .3),
		Left:  {{T: .15, Strings: []int{40}}},
	}}
	got := SolveTwo(w, harp.Standard())
	assert.Equal(t, twinTwo(w, harp.Standard()), got.Cost)
	assert.Equal(t, w.Staves[Right], got.Hands[Right].Strokes)
	assert.Equal(t, 0, got.Hands[Right].Placings[0].To)
	assert.Zero(t, got.Interlocks)
}

// Where a chord is out of reach either way, it stays with the hand that reads it, and the
// bass with the other one; by the cost alone the bass would be thrown in with it.
func TestNoHandIsGivenMoreOfWhatItCannotTake(t *testing.T) {
	w := Written{Two: true, Named: true, Staves: [2][]Stroke{
		Right: {{T: 0, Strings: []int{31, 33, 35, 38, 40}}},
		Left:  {{T: 0, Strings: []int{21}}},
	}}
	byCost := SolveTwo(w, harp.Standard())
	require.Len(t, byCost.Hands[Right].Strokes[0].Strings, 6)
	w.Spared = true
	got := SolveTwo(w, harp.Standard())
	for side, hand := range got.Hands {
		assert.Equal(t, w.Staves[side], hand.Strokes)
	}
	// What the other hand can take it is still given.
	w.Staves[Left][0].Strings = []int{24}
	got = SolveTwo(w, harp.Standard())
	assert.Equal(t, []int{24, 31}, got.Hands[Left].Strokes[0].Strings)
	assert.Less(t, got.Cost, byCost.Cost)
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
			moments := w.moments(newHand(h))
			written := plan{chosen: make([]int, len(moments))}
			written.shared = sharedStrings(parts(moments, written.chosen), newHand(h))
			written.finger(moments, newHand(h))
			assert.LessOrEqual(t, got.Cost, written.cost, what)
		}
		assert.Positive(t, got.LowerBound, what)
	}
}

// The bounds hold: they lie below what everything tried gives.
func TestLowerBoundIsOne(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 8))
	exact := 0
	for c := range 300 {
		w := randomWritten(r, exactMoments)
		h := newHand(profiles()[c%3])
		s := &together{h: h, moments: w.moments(h), width: 1 + c%4}
		bound, least := s.beam(), SolveTwo(w, h.Hand).Cost
		assert.LessOrEqual(t, bound, least, "case %d: %+v", c, w)
		dolls := s.dolls()
		assert.LessOrEqual(t, dolls[len(s.moments)], least, "case %d: %+v", c, w)
		assert.LessOrEqual(t, s.stretches(1+c%3), least, "case %d: %+v", c, w)
		if wide := s.stretches(1000); wide == least {
			exact++
		} else {
			// Without what interlocked hands cost it is exact.
			assert.Less(t, wide, least, "case %d: %+v", c, w)
		}
	}
	assert.Greater(t, exact, 200)
}

// In long phrases the closer bound lies between the quick one and what is found.
func TestCloserBound(t *testing.T) {
	for _, w := range []Written{twoStaves(6), {Staves: [2][]Stroke{sixteenths(12)}}} {
		s := SolveTwo(w, harp.Standard())
		few, many := s.CloserBound(4), s.CloserBound(64)
		assert.LessOrEqual(t, s.LowerBound, few)
		assert.Less(t, few, many)
		assert.LessOrEqual(t, many, s.Cost)
		assert.Greater(t, float64(many), .5*float64(s.Cost))
	}
	exact := SolveTwo(twoStavesOf(sixteenths(1)[:8]), harp.Standard())
	assert.Equal(t, exact.Cost, exact.CloserBound(4))
}

// A run of sixteen notes up passes from hand to hand: no placing holds more than four
// strings and no hand plays two placings in a row.
func TestRunPassesFromHandToHand(t *testing.T) {
	var run []Stroke
	for i := range 16 {
		run = append(run, Stroke{T: float64(i) * .08, Strings: []int{21 + i}})
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

// A mark binds: the lower of two notes goes to the right hand, the upper to the left,
// though that crosses the hands, and nothing is borrowed.
func TestBoundNotes(t *testing.T) {
	w := Written{
		Staves: [2][]Stroke{Right: {{T: 0, Strings: []int{30, 40}}}},
		Bound:  [2][]Stroke{Right: {{T: 0, Strings: []int{30, 99}}}, Left: {{T: 0, Strings: []int{40}}}},
		Named:  true, Two: true,
	}
	got := SolveTwo(w, harp.Standard())
	assert.Equal(t, []Stroke{{T: 0, Strings: []int{30}}}, got.Hands[Right].Strokes)
	assert.Equal(t, []Stroke{{T: 0, Strings: []int{40}}}, got.Hands[Left].Strokes)
	assert.Equal(t, [2][]bool{{false}, {false}}, got.Borrowed)
	assert.Equal(t, int64(500_000), got.Interlocks)
}

// Outside the times given, everything stays as written.
func TestSharedWithin(t *testing.T) {
	w := twoStaves(12)
	w.Within = []Interval{{2, 9}, {14, 20}, {25, 25.5}}
	got, written := SolveTwo(w, harp.Standard()), SolveTwo(Written{Staves: w.Staves, Named: true, Within: []Interval{}}, harp.Standard())
	assert.Less(t, got.Cost, written.Cost)
	for side, hand := range got.Hands {
		taken := map[float64][]int{}
		for _, s := range hand.Strokes {
			taken[s.T] = s.Strings
		}
		for _, s := range w.Staves[side] {
			if !w.free(s.T) {
				assert.Equal(t, s.Strings, taken[s.T])
			}
		}
	}
	assert.Equal(t, w.Staves[Left], written.Hands[Left].Strokes)
}

// Of ways that cost the same, the one is taken that a harpist expects: low notes left,
// high notes right.
func TestRegisterDecides(t *testing.T) {
	got := SolveTwo(Written{Staves: [2][]Stroke{{{T: 0, Strings: []int{14}}, {T: 2, Strings: []int{45}}, {T: 4, Strings: []int{14, 45}}}}}, harp.Standard())
	assert.Equal(t, []Stroke{{T: 2, Strings: []int{45}}, {T: 4, Strings: []int{45}}}, got.Hands[Right].Strokes)
	assert.Equal(t, []Stroke{{T: 0, Strings: []int{14}}, {T: 4, Strings: []int{14}}}, got.Hands[Left].Strokes)
}

func TestTwoHandsWithNothing(t *testing.T) {
	got := SolveTwo(Written{Two: true, Named: true}, harp.Standard())
	assert.Zero(t, got.Cost)
	assert.Zero(t, got.LowerBound)
}

// After an edit, phrases that stay are taken over, and the answer is that from nothing.
func TestResolveTwoIsSolveTwo(t *testing.T) {
	r := rand.New(rand.NewPCG(14, 14))
	long := func() Written {
		w := Written{Two: true, Named: true}
		now := 0.0
		for range 12 {
			for range 1 + r.IntN(6) {
				for side := range w.Staves {
					if r.IntN(4) > 0 {
						w.Staves[side] = append(w.Staves[side], Stroke{T: now, Strings: []int{24 + 6*(1-side) + r.IntN(12)}})
					}
				}
				now += .125
			}
			now += 1.25
		}
		return w
	}
	w := long()
	s := SolveTwo(w, harp.Standard())
	for range 30 {
		next := w
		side := Side(r.IntN(2))
		next.Staves[side] = edited(r, w.Staves[side])
		if shift := .25; r.IntN(3) == 0 {
			// A bar is put in: all that follows on both staves moves.
			at := next.Staves[side][len(next.Staves[side])/2].T
			for side := range next.Staves {
				next.Staves[side] = slices.Clone(next.Staves[side])
				for i := range next.Staves[side] {
					if next.Staves[side][i].T >= at {
						next.Staves[side][i].T += shift
					}
				}
			}
		}
		got, want := s.Resolve(next), SolveTwo(next, harp.Standard())
		require.Equal(t, want.Cost, got.Cost)
		require.Equal(t, want.LowerBound, got.LowerBound)
		for side := range got.Hands {
			require.Equal(t, want.Hands[side].Strokes, got.Hands[side].Strokes)
			require.Equal(t, want.Hands[side].Placings, got.Hands[side].Placings)
		}
		w, s = next, got
	}
}

// twoStaves is a part of so many bars of sixteenths on both staves.
func twoStaves(bars int) Written { return twoStavesOf(sixteenths(2 * bars)) }

// twoStavesOf gives the first half of the strokes to the right hand, and the rest at the
// same times to the left.
func twoStavesOf(all []Stroke) Written {
	w := Written{Two: true, Named: true}
	w.Staves[Right] = all[:len(all)/2]
	for i, s := range all[len(all)/2:] {
		w.Staves[Left] = append(w.Staves[Left], Stroke{T: w.Staves[Right][i].T, Strings: []int{s.Strings[0] - 10}})
	}
	return w
}

func BenchmarkSolveTwoStaves1000Bars(b *testing.B) {
	w := twoStaves(1000)
	b.ReportAllocs()
	for b.Loop() {
		s := SolveTwo(w, harp.Standard())
		b.ReportMetric(float64(s.Cost)/1e6, "cost")
		b.ReportMetric(float64(s.LowerBound)/1e6, "bound")
	}
}

// With notes shared anew in one bar of twenty only.
func BenchmarkSolveTwoWithin1000Bars(b *testing.B) {
	w := twoStaves(1000)
	for t := 0.0; t < 1000*16/6.; t += 20 * 16 / 6. {
		w.Within = append(w.Within, Interval{t, t + 16/6.})
	}
	for b.Loop() {
		SolveTwo(w, harp.Standard())
	}
}

func BenchmarkSolveTwoQuickly1000Bars(b *testing.B) {
	w := twoStaves(1000)
	for b.Loop() {
		s := SolveTwoQuickly(w, harp.Standard(), 4)
		b.ReportMetric(float64(s.Cost)/1e6, "cost")
	}
}

func BenchmarkSolveTwoFromOneStave1000Bars(b *testing.B) {
	w := Written{Staves: [2][]Stroke{sixteenths(1000)}}
	b.ReportAllocs()
	for b.Loop() {
		s := SolveTwo(w, harp.Standard())
		b.ReportMetric(float64(s.Cost)/1e6, "cost")
		b.ReportMetric(float64(s.LowerBound)/1e6, "bound")
	}
}

// How much dearer the search of a few ways at a time is than everything tried, in phrases
// short enough for both: the mean and the worst of a hundred, in per cent.
func BenchmarkExcessOfTheSearch(b *testing.B) {
	h := newHand(harp.Standard())
	for b.Loop() {
		r := rand.New(rand.NewPCG(15, 15))
		sum, worst, n := 0.0, 0.0, 0
		for n < 100 {
			w := Written{Two: true, Named: true}
			for i := range 8 + r.IntN(9) {
				for side := range w.Staves {
					if r.IntN(3) > 0 {
						w.Staves[side] = append(w.Staves[side], Stroke{T: float64(i) * .15, Strings: []int{24 + 6*(1-side) + r.IntN(12)}})
					}
				}
			}
			s := &together{h: h, moments: w.moments(h), width: width}
			s.beam()
			found := s.best.cost
			if s.everything() {
				excess := 100 * (float64(found)/float64(s.best.cost) - 1)
				sum, worst, n = sum+excess, max(worst, excess), n+1
			}
		}
		b.ReportMetric(sum/float64(n), "%mean")
		b.ReportMetric(worst, "%worst")
	}
}

// phrased is twoStaves with two seconds of rest after every eighth bar.
func phrased(bars int) Written {
	w := twoStaves(bars)
	for side := range w.Staves {
		for i := range w.Staves[side] {
			w.Staves[side][i].T += 2 * float64(i/(8*16))
		}
	}
	return w
}

// After one edit of a part in phrases of eight bars: one phrase is searched anew.
func BenchmarkResolveTwo1000Bars(b *testing.B) {
	w := phrased(1000)
	s := SolveTwoQuickly(w, harp.Standard(), 4)
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		next := w
		next.Staves[Right] = slices.Clone(w.Staves[Right])
		at := &next.Staves[Right][8000]
		at.Strings = []int{at.Strings[0] + 1 + i%2}
		s.Resolve(next)
	}
}

// By how much at most what the search finds in long music is dearer than the best: the
// cost over the closer bound, and over what four times as many ways find; in per cent.
func BenchmarkGapOfTheSearch(b *testing.B) {
	for name, w := range map[string]Written{"two staves": twoStaves(32), "one stave": {Staves: [2][]Stroke{sixteenths(32)}}} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				s, more := SolveTwo(w, harp.Standard()), SolveTwoQuickly(w, harp.Standard(), 4*width)
				b.ReportMetric(100*(1-float64(s.CloserBound(64))/float64(s.Cost)), "%proved")
				b.ReportMetric(100*(1-float64(more.Cost)/float64(s.Cost)), "%found")
			}
		})
	}
}
