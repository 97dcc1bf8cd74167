package hands

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What a hand's list costs at least is never more than what it is then worked out to cost,
// whether the music ends with it or goes on.
func TestFloorLiesBelow(t *testing.T) {
	r := rand.New(rand.NewPCG(18, 18))
	tight := 0
	for c := range 300 {
		h := newHand(profiles()[c%3])
		moments := randomWritten(r, 12).moments(h)
		made := newCells(h)
		made.open = c%2 == 0
		var lists [2]list
		for i := len(moments) - 1; i >= 0; i-- {
			m := &moments[i]
			for n := range m.shares {
				s := &m.shares[n]
				after := made.before(lists, i, m, s)
				for side := range after {
					floor := made.floorOf(lists[side], s, side, m.t)
					require.LessOrEqual(t, floor.best, after[side].best(), "case %d, moment %d, share %d", c, i, n)
					require.LessOrEqual(t, floor.least, after[side].least(), "case %d, moment %d, share %d", c, i, n)
					if len(s.strings[side]) > 0 && floor.best == after[side].best() {
						tight++
					}
				}
			}
			lists = made.before(lists, i, m, &m.shares[r.IntN(len(m.shares))])
		}
		made.spare()
	}
	assert.Greater(t, tight, 500, "some are exact")
}

// A hand is given nothing that it cannot come to in time: the right hand, two octaves above,
// takes a note of the left only where it rests for a fifth of a second on both sides.
func TestNoHandIsGivenWhatItHasNoTimeFor(t *testing.T) {
	h := newHand(profiles()[0])
	for _, test := range []struct {
		away  float64 // seconds from the note to what the right hand plays before and after
		given bool
	}{{.15, false}, {.19, false}, {.2, true}, {.3, true}} {
		w := Written{Named: true, Two: true, Spared: true, Staves: [2][]Stroke{
			Right: {{T: 1 - test.away, Strings: []int{45}}, {T: 1 + test.away, Strings: []int{45}}},
			Left:  {{T: 1, Strings: []int{24}}},
		}}
		w.Bound[Right] = w.Staves[Right] // it must play them itself
		given := false
		for _, s := range w.moments(h)[1].shares {
			given = given || len(s.strings[Right]) > 0
		}
		assert.Equal(t, test.given, given, "%v s away", test.away)
	}
}
