package hands

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// An octave higher, everything is the same: hands feel steps between strings, not the
// strings.
func TestOctaveHigherIsTheSame(t *testing.T) {
	r := rand.New(rand.NewPCG(20, 20))
	for c := range 100 {
		strokes := randomStrokes(r, 20)
		var higher []Stroke
		for _, s := range strokes {
			h := Stroke{T: s.T}
			for _, string := range s.Strings {
				h.Strings = append(h.Strings, string+7)
			}
			higher = append(higher, h)
		}
		h := profiles()[c%3]
		require.Equal(t, Solve(strokes, h).Placings, Solve(higher, h).Placings)
		require.Equal(t, Ceiling(strokes, h), Ceiling(higher, h))
	}
}

// The order in which a chord's notes are written, or strokes are given, changes nothing.
func TestOrderOfWritingIsNothing(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 21))
	for range 100 {
		strokes := randomStrokes(r, 12)
		var mixed []Stroke
		for _, s := range strokes {
			for _, string := range s.Strings {
				mixed = append(mixed, Stroke{s.T, []int{string}})
			}
		}
		r.Shuffle(len(mixed), func(i, j int) { mixed[i], mixed[j] = mixed[j], mixed[i] })
		require.Equal(t, strokes, Tidy(mixed))
	}
}

// In half the time every load is twice as large, as long as no gap is a second: what
// holds up to a tempo holds up to the same tempo whatever tempo was asked.
func TestLoadsScaleWithTempo(t *testing.T) {
	r := rand.New(rand.NewPCG(22, 22))
	h := profiles()[0]
	for range 100 {
		var slow, quick []Stroke
		for i, s := range randomStrokes(r, 20) {
			slow = append(slow, Stroke{float64(i) * .5, s.Strings})
			quick = append(quick, Stroke{float64(i) * .25, s.Strings})
		}
		assert.InDelta(t, 2*Ceiling(slow, h), Ceiling(quick, h), 1e-9)
	}
}
