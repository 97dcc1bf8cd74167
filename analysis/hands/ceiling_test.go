package hands

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"

	"fourfold/analysis/harp"
)

// figure repeats a group of strokes, each time moved by so many steps. Strokes are
// written as chords of string numbers; nil is an instant at which the other hand plays.
func figure(group [][]int, times, shift int, gap float64) []Stroke {
	var strokes []Stroke
	for n := range times {
		for i, chord := range group {
			s := Stroke{T: float64(n*len(group)+i) * gap}
			for _, string := range chord {
				s.Strings = append(s.Strings, string+n*shift)
			}
			strokes = append(strokes, s)
		}
	}
	return Tidy(strokes)
}

func one(strings ...int) (group [][]int) {
	for _, s := range strings {
		group = append(group, []int{s})
	}
	return group
}

// waiting is a group followed by as many instants of the other hand.
func waiting(group [][]int) [][]int { return append(group, make([][]int, len(group))...) }

// The ceilings that the placing model names for itself, found by exhaustive search
// when it was written down; notes or chords a second, as printed there. They are the
// model's own figures, not measurements of players: common practice, no source. The
// notes of a figure are ours where the model names it in words only.
func TestCeilingsOfTheModel(t *testing.T) {
	tests := []struct {
		name    string
		group   [][]int
		times   int
		shift   int
		ceiling string
	}{
		{"one-hand scale up", one(28, 29, 30, 31), 8, 4, "10.9"},
		{"one-hand scale down", one(60, 59, 58, 57), 8, -4, "9.4"},
		{"hands alternating by four, up", waiting(one(14, 15, 16, 17)), 6, 8, "16.7"},
		{"hands alternating by four, down", waiting(one(60, 59, 58, 57)), 6, -8, "14.3"},
		{"thirds piled up, hands alternating by four", waiting(one(7, 9, 11, 13)), 4, 16, "15.2"},
		{"one figure in one direction, repeated", one(28, 30, 32, 35), 8, 0, "10.0"},
		{"the same notes with a turn", one(28, 30, 35, 32), 8, 0, "8.8"},
		{"a wider group with a turn", one(28, 35, 33, 31), 8, 0, "8.3"},
		{"the order 4-2-3-1, repeated", one(28, 32, 30, 35), 8, 0, "10.0"}, // crossed, not turned
		{"broken thirds up", one(28, 30, 29, 31), 8, 2, "10.0"},
		{"broken thirds down", one(45, 43, 44, 42), 8, -2, "9.5"},
		{"repeated note", one(28), 12, 0, "5.6"},
		{"repeated octaves", [][]int{{28, 35}}, 12, 0, "4.3"},
		{"octaves in a scale", [][]int{{28, 35}}, 12, 1, "4.3"},
		{"chords of four moving by a fourth", [][]int{{28, 30, 32, 35}}, 8, 3, "3.8"},
		{"one-hand trill", one(28, 29), 8, 0, "8.3"},
		{"a trill in two hands", waiting(one(28)), 12, 0, "11.1"},
		{"single notes in wide leaps", one(21, 35), 8, 0, "3.2"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			const gap = .1
			rate := 1 / gap / Ceiling(figure(tt.group, tt.times, tt.shift, gap), harp.Standard())
			assert.Equal(t, tt.ceiling, fmt.Sprintf("%.1f", rate))
		})
	}
}
