package hands

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"fourfold/analysis/harp"
)

func TestWhy(t *testing.T) {
	tests := []struct {
		why   Why
		group [][]int
		gap   float64
	}{
		{WhyEnd, one(28), .2},
		{WhyRest, one(28, 30), 1},
		{WhyAlone, [][]int{{28, 29, 30, 31, 32}, {33}}, .2},
		{WhyNextAlone, [][]int{{28}, {28, 29, 30, 31, 32}}, .2},
		{WhyRestruck, one(28, 28), .2},
		{WhyFifth, [][]int{{28, 30, 32, 34}, {35}}, .2},
		{WhyTooWide, one(28, 38), .2},
		{WhyFingers, [][]int{{28, 35}, {37}}, .2},
		{WhyTurn, one(28, 30, 35, 32), .1},
	}
	for _, tt := range tests {
		s := Solve(figure(tt.group, 1, 0, tt.gap), harp.Standard())
		assert.Equal(t, tt.why, s.Why(0), "%v: %+v", tt.group, s.Placings)
	}
}

// Up with the thumb and then the second finger is no placing, whoever prints it.
func TestWhyPrinted(t *testing.T) {
	strokes := figure(one(28, 29, 30), 1, 0, .4)
	for i, finger := range []int{2, 1, 2} {
		strokes[i].Printed = []int{finger}
	}
	s := Solve(strokes, harp.Standard())
	assert.Equal(t, 1, s.Placings[0].To)
	assert.Equal(t, WhyPrinted, s.Why(0))
}

// Five notes up would go three and two or four and one: where the first placing could
// have gone on, it says so.
func TestWhyCheaper(t *testing.T) {
	s := Solve(figure(one(28, 29, 30, 31, 32), 1, 0, .2), harp.Standard())
	assert.Equal(t, 2, s.Placings[0].To)
	assert.Equal(t, WhyCheaper, s.Why(0))
}

// Whatever the music, a reason is given that the placing bears out.
func TestWhyIsTrue(t *testing.T) {
	seen := map[Why]bool{}
	s := Solve(sixteenths(60), harp.Standard())
	for i, p := range s.Placings {
		why := s.Why(i)
		seen[why] = true
		assert.NotEmpty(t, why.String())
		if why == WhyFifth {
			strings := 0
			for _, stroke := range s.Strokes[p.From : p.To+2] {
				strings += len(stroke.Strings)
			}
			assert.Greater(t, strings, mostStrings)
		}
	}
	assert.Greater(t, len(seen), 3)
}
