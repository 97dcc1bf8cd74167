package rules

import (
	"fourfold/analysis/hands"
	"fourfold/analysis/harp"
)

// Overloads counts the runs of placings that a hand has no time for, among those
// that touch a stretch of time in seconds: what hands/restrike, hands/turn and
// hands/new-placing would find together.
func Overloads(solved *hands.Solution, profile harp.Hand, from, to float64) (n int) {
	h := &Hand{Staff: hands.Staff{Strokes: solved.Strokes}, Solution: solved}
	for _, r := range findRuns(h, profile) {
		if t := h.timeOf(r); t.from <= to && from <= t.to {
			n++
		}
	}
	return n
}
