package rules

import (
	"sort"

	"fourfold/analysis/feet"
	"fourfold/analysis/hands"
	"fourfold/parser/score"
)

// Plucked is a note that is plucked, with its time in seconds.
type Plucked struct {
	hands.Pluck
	T float64
}

// Plucked are the notes of the part in order of time, but those inside glissandi.
func (p *Part) Plucked() (all []Plucked) {
	p.eachPluck(func(pl pluckAt) {
		if pl.stroke >= 0 {
			all = append(all, Plucked{*pl.Pluck, pl.t})
		}
	})
	sort.SliceStable(all, func(i, j int) bool { return all[i].T < all[j].T })
	return all
}

// doublingTime is how soon a pitch comes again on another string, in seconds, for the
// writer to have meant two strings. Common practice, no source.
const doublingTime = .5

// Bound says which notes keep their spelling: harmonics, where a pedal can give them,
// notes from a macro, and a pitch that is written on two strings by turns.
func Bound(all []Plucked) []bool {
	bound := make([]bool, len(all))
	last := map[int]int{} // the last note of each sounding pitch
	for i, pl := range all {
		bound[i] = bound[i] || pl.Event.Expanded || IsHarmonic(pl.Event, pl.Note) && abs(pl.Note.Alter) < 2
		pitch := feet.Note{String: pl.Note.String, Alter: pl.Note.Alter}.Pitch()
		if k, known := last[pitch]; known && pl.T-all[k].T < doublingTime && all[k].Note.String != pl.Note.String {
			bound[i], bound[k] = true, true
		}
		last[pitch] = i
	}
	return bound
}

// IsHarmonic says whether !open! stands over a note's event, or in the chord before it.
func IsHarmonic(ev *score.Event, n *score.Note) bool {
	for _, m := range n.Marks {
		if m.Text == "open" {
			return true
		}
	}
	return hands.HasMark(ev, "open")
}
