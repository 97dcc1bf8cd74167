package hands

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis/harp"
)

// slowAnswer is the best that can follow from a state, read off every way to go on.
type slowAnswer struct {
	cost             int64
	lengths, fingers []int
}

func (a *slowAnswer) better(b *slowAnswer) bool {
	if a.cost != b.cost {
		return a.cost < b.cost
	}
	if len(a.lengths) != len(b.lengths) {
		return len(a.lengths) < len(b.lengths)
	}
	if c := slices.Compare(b.lengths, a.lengths); c != 0 {
		return c < 0
	}
	return slices.Compare(a.fingers, b.fingers) < 0
}

// slowSolve is the programme without anything that spares work: it looks from each state
// at all states that can follow, and keeps whole sequences.
func slowSolve(part part, profile harp.Hand) slowAnswer {
	h := newHand(profile)
	type start struct {
		run
		state
		best slowAnswer
	}
	starts := make([][]start, len(part.strokes)+1)
	for i := len(part.strokes) - 1; i >= 0; i-- {
		r := lone(part.strokes[i], i, h)
		r.borrowed = part.borrowed != nil && part.borrowed[i]
		for ok := true; ok; {
			for _, st := range r.appendStates(nil, 0, h) {
				s := start{run: r, state: st}
				var fingers []int
				for n := range r.n {
					stroke := part.strokes[i+n]
					fingers = append(fingers, make([]int, len(stroke.Strings)-len(stroke.counted()))...)
					for j := range r.k {
						if int(r.stroke[j]) == n {
							fingers = append(fingers, st.fingers.on(j))
						}
					}
				}
				s.best = slowAnswer{cost: st.own, lengths: []int{r.n}, fingers: fingers}
				for n, next := range starts[i+r.n] {
					pr := h.pair(&r, &next.run)
					all := slowAnswer{
						cost:    st.own + next.best.cost + h.changeCost(&pr, &st, &next.state),
						lengths: append([]int{r.n}, next.best.lengths...),
						fingers: append(slices.Clone(fingers), next.best.fingers...),
					}
					if n == 0 || all.better(&s.best) {
						s.best = all
					}
				}
				starts[i] = append(starts[i], s)
			}
			if i+r.n == len(part.strokes) {
				break
			}
			borrowed := r.borrowed || part.borrowed != nil && part.borrowed[i+r.n]
			r, ok = r.extended(part.strokes[i+r.n], h)
			r.borrowed = borrowed
		}
	}
	var best slowAnswer
	for n := range starts[0] {
		if b := &starts[0][n].best; n == 0 || b.better(&best) {
			best = *b
		}
	}
	return best
}

// figured is music of a few figures in any order, as players play it, elsewhere on the
// harp each time; on whole ticks.
func figured(r *rand.Rand, figures int) part {
	kinds := make([]part, 3)
	for k := range kinds {
		kinds[k].strokes = randomStrokes(r, 6)
	}
	var p part
	t := float64(r.IntN(100))
	for range figures {
		kind, up := kinds[r.IntN(len(kinds))], r.IntN(9)-4
		for i, s := range kind.strokes {
			strings := slices.Clone(s.Strings)
			for j := range strings {
				strings[j] += up
			}
			p.strokes = append(p.strokes, Stroke{T: t, Strings: strings, Printed: s.Printed})
			p.borrowed = append(p.borrowed, r.IntN(20) == 0)
			if i+1 < len(kind.strokes) {
				t += gridded(kind.strokes[i+1].T - s.T)
			}
		}
		t += gridded([]float64{.125, .2, .25, .5, 1.5}[r.IntN(5)])
	}
	return p
}

// What is remembered, of this music and of other, changes nothing, and neither does what
// the programme does not look at.
func TestMemoryChangesNothing(t *testing.T) {
	cases := 400
	if testing.Short() {
		cases = 60
	}
	r := rand.New(rand.NewPCG(21, 21))
	var solvers []*Solver
	for _, profile := range profiles() {
		solvers = append(solvers, NewSolver(profile))
	}
	for c := range cases {
		p := figured(r, 2+r.IntN(14))
		if c%5 == 0 {
			p = part{strokes: randomStrokes(r, 40)} // not on whole ticks
		}
		h := solvers[c/40%3].h
		what := fmt.Sprintf("case %d: %v", c, p)
		want := slowSolve(p, h.Hand)
		var plain *Solution
		for _, remembers := range []bool{false, true, true} {
			pr := newProgramme(p.strokes, h)
			pr.borrowed = p.borrowed
			if !remembers {
				pr.memo = nil
			}
			got := pr.solve()
			lengths, fingers, _, _ := names(got.Placings)
			require.Equal(t, want.cost, got.Cost, what)
			require.Equal(t, want.lengths, lengths, what)
			require.Equal(t, want.fingers, fingers, what)
			if plain == nil {
				plain = got
			}
			require.Equal(t, plain.Placings, got.Placings, what)
			require.Equal(t, plain.MaxLoad, got.MaxLoad, what)
			require.Equal(t, Ceiling(p.strokes, h.Hand), got.Ceiling(0, len(p.strokes)-1), what)
		}
	}
}

// One solver for several goroutines gives each what it would give alone.
func TestSolverAtOnce(t *testing.T) {
	r := rand.New(rand.NewPCG(23, 23))
	var pieces []part
	for range 4 {
		pieces = append(pieces, figured(r, 40))
	}
	s := NewSolver(harp.Standard())
	var all sync.WaitGroup
	for _, p := range append(pieces, pieces...) {
		all.Go(func() {
			got, want := s.Solve(p.strokes), Solve(p.strokes, harp.Standard())
			assert.Equal(t, want.Placings, got.Placings)
			assert.Equal(t, want.Placings, got.Resolve(p.strokes[1:]).Resolve(p.strokes).Placings)
			assert.Equal(t, Ceiling(p.strokes, harp.Standard()), s.Ceiling(p.strokes))
		})
	}
	all.Wait()
}

// What was worked out once is not worked out again, higher up on the harp and later.
func TestMemoryRecalls(t *testing.T) {
	first := figured(rand.New(rand.NewPCG(22, 22)), 30)
	again := part{borrowed: first.borrowed}
	for _, s := range first.strokes {
		strings := slices.Clone(s.Strings)
		for j := range strings {
			strings[j] += 3
		}
		again.strokes = append(again.strokes, Stroke{T: s.T + 20, Strings: strings, Printed: s.Printed})
	}
	h := newHand(harp.Standard())
	m := newMemo()
	filled := 0
	for _, p := range []part{first, again} {
		pr := newProgramme(p.strokes, h)
		pr.borrowed, pr.memo = p.borrowed, m
		for i := len(p.strokes) - 1; i >= 0; i-- {
			pr.step(i)
		}
		filled = 0
		for i := range pr.columns {
			if pr.columns[i].at >= 0 {
				filled++
			}
		}
	}
	assert.Zero(t, filled)
}

// The memory is bounded, and keeps what was used last.
func TestMemoryForgets(t *testing.T) {
	m := newMemo()
	often := &step{}
	m.keep(stepKey{stroke: 1}, often)
	for n := range int64(5 * generation) {
		m.keep(stepKey{gap: n}, &step{})
		assert.Same(t, often, m.find(stepKey{stroke: 1}))
	}
	assert.LessOrEqual(t, len(m.new), generation)
	assert.LessOrEqual(t, len(m.old), generation)
	assert.Nil(t, m.find(stepKey{gap: 1}))
	assert.NotNil(t, m.find(stepKey{gap: 5*generation - 1}))
}

// What remembering is worth, in a thousand bars of sixteenths on whole ticks: nothing is
// remembered, all is new to the memo, all is known.
func BenchmarkSolveRemembering1000Bars(b *testing.B) {
	strokes := sixteenths(1000)
	for i := range strokes {
		strokes[i].T = gridded(strokes[i].T)
	}
	h := newHand(harp.Standard())
	known := NewSolver(h.Hand)
	known.Solve(strokes)
	for _, bench := range []struct {
		name string
		memo func() *memo
	}{
		{"nothing", func() *memo { return nil }},
		{"new", newMemo},
		{"known", func() *memo { return known.h.memo }},
	} {
		b.Run(bench.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				p := newProgramme(strokes, h)
				p.memo = bench.memo()
				p.solve()
			}
		})
	}
}
