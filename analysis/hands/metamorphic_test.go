package hands

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis/harp"
)

// An octave higher, everything is the same: hands feel steps between strings, not the
// strings.
func TestOctaveHigherIsTheSame(t *testing.T) {
	r := rand.New(rand.NewPCG(20, 20))
	for c := range 100 {
		strokes := randomStrokes(r, 20)
		var higher []Stroke
		for _, s := range strokes {
			h := Stroke{T: s.T, Printed: s.Printed}
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
			for j, string := range s.Strings {
				one := Stroke{T: s.T, Strings: []int{string}}
				if s.Printed != nil {
					one.Printed = []int{s.Printed[j]}
				}
				mixed = append(mixed, one)
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
			slow = append(slow, Stroke{T: float64(i) * .5, Strings: s.Strings})
			quick = append(quick, Stroke{T: float64(i) * .25, Strings: s.Strings})
		}
		assert.InDelta(t, 2*Ceiling(slow, h), Ceiling(quick, h), 1e-9)
	}
}

// mirrored turns a part upside down.
func mirrored(strokes []Stroke) []Stroke {
	var out []Stroke
	for _, s := range strokes {
		m := Stroke{T: s.T}
		for _, string := range slices.Backward(s.Strings) {
			m.Strings = append(m.Strings, 60-string)
		}
		out = append(out, m)
	}
	return out
}

// evenHanded is a hand to which up and down, thumb and ring finger, are the same. It
// does not cross, since only the thumb can be passed under.
func evenHanded() harp.Hand {
	h := harp.Standard()
	h.Spans[3][4], h.Spans[2][4] = h.Spans[1][2], h.Spans[1][3]
	h.StraightDown, h.CrossedDown = h.StraightUp, h.CrossedUp
	h.PerFinger, h.CrossReach = 0, 0
	return h
}

// To a hand to which both directions are the same, a part turned upside down costs the
// same and holds up to the same tempo.
func TestMirroredIsTheSameToAnEvenHand(t *testing.T) {
	r := rand.New(rand.NewPCG(23, 23))
	h := evenHanded()
	for range 300 {
		var strokes []Stroke
		for _, s := range randomStrokes(r, 20) {
			// Of more than four strings the top ones count: that is not even.
			strokes = append(strokes, Stroke{T: s.T, Strings: s.counted()})
		}
		require.Equal(t, Solve(strokes, h).Cost, Solve(mirrored(strokes), h).Cost)
		require.InDelta(t, Ceiling(strokes, h), Ceiling(mirrored(strokes), h), 1e-12)
	}
}

// To a real hand a group of thirds costs the same up and down, and goes as much faster up
// as the least times say; the broken orders differ by what the table says.
func TestMirroredGroups(t *testing.T) {
	h := harp.Standard()
	up := figure(one(28, 30, 32, 34), 1, 0, .2)
	assert.Equal(t, Solve(up, h).Cost, Solve(mirrored(up), h).Cost)
	assert.InDelta(t, Ceiling(mirrored(up), h)/Ceiling(up, h), h.StraightDown.Least/h.StraightUp.Least, 1e-12)

	crossed := figure(one(28, 32, 30, 34), 1, 0, .2)
	assert.Equal(t, CrossedUp, Solve(crossed, h).Placings[0].Order)
	assert.Equal(t, CrossedDown, Solve(mirrored(crossed), h).Placings[0].Order)
	assert.InDelta(t, float64(Solve(mirrored(crossed), h).Cost-Solve(crossed, h).Cost)/1e6, h.CrossedDown.Cost-h.CrossedUp.Cost, 1e-9)
}
