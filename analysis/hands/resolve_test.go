package hands

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"unsafe"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis/harp"
)

// gridded is a time on a grid fine enough for music, on which shifts do not round.
func gridded(t float64) float64 { return math.Round(t*(1<<36)) / (1 << 36) }

// edited changes a few neighbouring strokes: other strings, other times, more strokes
// or fewer; what follows is moved with them.
func edited(r *rand.Rand, old []Stroke) []Stroke {
	at := r.IntN(len(old) + 1)
	if near := len(old) - blockLen*(1+r.IntN(4)) + r.IntN(12) - 2; r.IntN(2) == 0 && near >= 0 {
		at = min(near, len(old)) // close to a checkpoint
	}
	out := min(r.IntN(4), len(old)-at)
	t := 0.0
	if at > 0 {
		t = old[at-1].T
	}
	edit := slices.Clone(old[:at])
	for range r.IntN(4) {
		t += gridded([]float64{.1, .125, .2, .25, 1.5}[r.IntN(5)])
		s := Stroke{T: t}
		for range 1 + r.IntN(1+r.IntN(3)) {
			s.Strings = append(s.Strings, 25+r.IntN(14))
		}
		s.Strings = stringSet(s.Strings, nil)
		if r.IntN(3) == 0 {
			s.Printed = make([]int, len(s.Strings))
			s.Printed[0] = 1 + r.IntN(4)
		}
		edit = append(edit, s)
	}
	if at+out == len(old) {
		return edit
	}
	shift := t + gridded(.125) - old[at+out].T
	if r.IntN(2) == 0 && old[at+out].T > t {
		shift = 0
	}
	for _, s := range old[at+out:] {
		edit = append(edit, Stroke{T: s.T + shift, Strings: s.Strings, Printed: s.Printed})
	}
	return edit
}

func TestResolveIsSolve(t *testing.T) {
	rounds := 40
	if testing.Short() {
		rounds = 8
	}
	r := rand.New(rand.NewPCG(10, 10))
	for round := range rounds {
		// Much that repeats makes many ties.
		bars := sixteenths(12 + r.IntN(12))
		if round%4 == 0 {
			for i := range bars {
				bars[i].Strings = []int{28 + i%4}
			}
		}
		if round%4 == 1 {
			bars = bars[:r.IntN(70)]
		}
		for i := range bars {
			bars[i].T = gridded(float64(i) * .125)
		}
		h := profiles()[round%3]
		s := Solve(bars, h)
		for edit := range 15 {
			if len(s.Strokes) == 0 {
				break
			}
			what := fmt.Sprintf("round %d, edit %d", round, edit)
			next := edited(r, s.Strokes)
			before := slices.Clone(s.Placings)
			got, want := s.Resolve(next), Solve(next, h)
			require.Equal(t, want.Cost, got.Cost, what)
			require.Equal(t, want.Placings, got.Placings, what)
			require.Equal(t, want.MaxLoad, got.MaxLoad, what)
			require.Equal(t, want.lanes, got.lanes, what)
			require.Equal(t, before, s.Placings, "the earlier solution stays, "+what)
			s = got
		}
	}
}

// A change just after a checkpoint reaches into placings that begin before it.
func TestResolveJustAfterACheckpoint(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 13))
	for range 400 {
		strokes := sixteenths(5)
		for i := range strokes {
			strokes[i] = Stroke{T: gridded(float64(i) * .25), Strings: []int{28 + r.IntN(8)}}
		}
		changed := slices.Clone(strokes)
		changed[len(strokes)-blockLen+r.IntN(8)].Strings = []int{28 + r.IntN(8)}
		s := Solve(strokes, harp.Standard())
		require.Equal(t, Solve(changed, harp.Standard()).Placings, s.Resolve(changed).Placings)
	}
}

func TestResolveWithNothing(t *testing.T) {
	strokes := []Stroke{{T: 0, Strings: []int{28}}, {T: .5, Strings: []int{30}}}
	empty := Solve(nil, harp.Standard())
	some := empty.Resolve(strokes)
	assert.Equal(t, Solve(strokes, harp.Standard()).Placings, some.Placings)
	assert.Empty(t, some.Resolve(nil).Placings)
	assert.Same(t, some, some.Resolve(slices.Clone(strokes)))
}

// An edit in a long part is worked out near the edit: far fewer blocks of the table are
// filled than there are.
func TestResolveIsLocal(t *testing.T) {
	strokes := sixteenths(100)
	for i := range strokes {
		strokes[i].T = gridded(float64(i) / 6)
	}
	s := Solve(strokes, harp.Standard())
	changed := slices.Clone(strokes)
	changed[800].Strings = []int{41}
	head, tail := same(strokes, changed)
	r := &resolving{programme: newProgramme(changed, s.h), old: s, head: head, tail: len(changed) - tail}
	require.True(t, r.tables())
	r.trace()
	filled := 0
	for _, b := range r.table.blocks {
		if b != nil {
			filled++
		}
	}
	assert.LessOrEqual(t, filled, 6, "of %d", len(r.table.blocks))
}

func BenchmarkResolve1000Bars(b *testing.B) {
	strokes := sixteenths(1000)
	for i := range strokes {
		strokes[i].T = gridded(float64(i) / 6)
	}
	s := Solve(strokes, harp.Standard())
	r := rand.New(rand.NewPCG(11, 11))
	var edits [][]Stroke
	for range 50 {
		edits = append(edits, edited(r, strokes))
	}
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		s.Resolve(edits[i%len(edits)])
	}
}

// How much of a solution stays in memory, a stroke: the placings, whose fingers are
// shared, the lanes and the checkpoints.
func BenchmarkSolutionSize(b *testing.B) {
	strokes := sixteenths(1000)
	for b.Loop() {
		s := Solve(strokes, harp.Standard())
		kept := len(s.checkpoints)*int(unsafe.Sizeof(checkpoint{})+unsafe.Sizeof([mostStrings]values{})) +
			len(s.lanes)*int(unsafe.Sizeof(lane{})) + len(s.Placings)*int(unsafe.Sizeof(Placing{}))
		b.ReportMetric(float64(kept)/float64(len(strokes)), "bytes/stroke")
	}
}
