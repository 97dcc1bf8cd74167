package feet

import "cmp"

// Window is one change of a pedal, and when it may happen.
type Window struct {
	Letter   Letter
	From, To Pos
	Release  float64 // seconds: the last stroke that needs From, or the start
	Deadline float64 // seconds: the first stroke that needs To
	Quiet    float64 // seconds, from Release on: when no string of the letter rings any more
	Demand   int     // which demand needs To, by its place in the list
}

// Notches gives how far the pedal moves: 1 or 2.
func (w Window) Notches() int {
	if w.To-w.From == 2 || w.From-w.To == 2 {
		return 2
	}
	return 1
}

// compare orders windows by their deadlines, then by the demands.
func (w Window) compare(v Window) int {
	return cmp.Or(cmp.Compare(w.Deadline, v.Deadline), cmp.Compare(w.Demand, v.Demand))
}

// shift moves the window so many seconds and demands on.
func (w *Window) shift(by float64, demands int) {
	w.Release, w.Deadline, w.Quiet = w.Release+by, w.Deadline+by, w.Quiet+by
	w.Demand += demands
}

// Busy is how long a foot is busy with one move, in seconds, by how many
// notches the pedal goes.
type Busy struct{ One, Two float64 }

// Steady is the time a foot takes without haste: about two moves a second
// (handout "Writing for the Pedal Harp", item 6), a little more for two notches.
// Hurried is what real harp parts ask for at times. Both fitted, no source for
// the exact figures.
var (
	Steady  = Busy{One: .50, Two: .65}
	Hurried = Busy{One: .25, Two: .40}
)

// Of gives the time of the window's move.
func (b Busy) Of(w Window) float64 {
	if w.Notches() == 2 {
		return b.Two
	}
	return b.One
}

// Windows finds every change of a pedal that the demands ask for, in the order
// of their deadlines. A letter that is Free in the initial setting is set before
// the piece as its first stroke needs it. A letter that has a position but no
// stroke yet may move from the start on, which must be a time (minus infinity will
// do only if all letters are Free).
//
// Where one letter is asked for at two positions in one instant the window has
// no width: the move is late by its whole time, and no tempo helps.
func Windows(demands []Demand, initial Setting, start float64) []Window {
	windows := make([]Window, 0, len(demands)/3)
	at := initial
	var last, rings [Letters]float64
	for l := range last {
		last[l], rings[l] = start, start
	}
	for _, i := range byTime(demands) {
		d := demands[i]
		if at[d.Letter] != Free && at[d.Letter] != d.Pos {
			windows = append(windows, Window{
				Letter: d.Letter, From: at[d.Letter], To: d.Pos,
				Release: last[d.Letter], Deadline: d.T,
				Quiet: max(rings[d.Letter], last[d.Letter]), Demand: i,
			})
		}
		at[d.Letter] = d.Pos
		last[d.Letter] = d.T
		rings[d.Letter] = max(rings[d.Letter], d.T+toTick(d.Rings))
	}
	return windows
}

// OfFoot gives the windows of the pedals under one foot.
func OfFoot(windows []Window, f Foot) []Window {
	own := make([]Window, 0, len(windows))
	for _, w := range windows {
		if w.Letter.Foot() == f {
			own = append(own, w)
		}
	}
	return own
}
