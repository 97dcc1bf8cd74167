package feet

import "math"

// Slot is when a foot makes one move.
type Slot struct {
	Window  Window
	At, End float64 // seconds
	Late    float64 // seconds by which End misses the deadline; 0 where it does not
	Rings   bool    // a string of the letter still rings when the move starts: the slide will be heard
}

// Schedule places the moves of one foot in time, in order of their starts. The
// greatest Late is as small as it can be (see Late). Moves that do not get in
// each other's way are placed for themselves; where they do, the whole knot of
// them is. A knot in which nobody need be late has the fewest moves while their
// string rings; of such orders the one whose tightest move has most time to
// spare before its deadline; of those the one whose moves end first. A knot that
// must be late is only as little late as it can be.
func Schedule(windows []Window, busy Busy) []Slot {
	return arrangementOf(windows, busy).slots()
}

// alone places a move that nothing is in the way of: as soon as its strings are
// quiet if that is in time, else as soon as it may.
func alone(w Window, busy float64) Slot {
	if w.Quiet+busy <= w.Deadline+tolerance {
		return slot(w, w.Quiet, w.Quiet+busy)
	}
	return slot(w, w.Release, w.Release+busy)
}

// inTurn lets the moves of each letter take the letter's places in the order in
// which its pedal must go through them.
func inTurn(windows []Window, order []int) []int {
	var own [Letters][]int
	for i, w := range windows {
		own[w.Letter] = append(own[w.Letter], i)
	}
	turn := make([]int, len(order))
	for k, i := range order {
		l := windows[i].Letter
		turn[k], own[l] = own[l][0], own[l][1:]
	}
	return turn
}

// oneAfterAnother starts each move as soon as the foot and its window allow.
func oneAfterAnother(windows []Window, busy Busy, order []int) []Slot {
	var slots []Slot
	free := math.Inf(-1)
	for _, i := range order {
		at := max(free, windows[i].Release)
		free = at + busy.Of(windows[i])
		slots = append(slots, slot(windows[i], at, free))
	}
	return slots
}

func slot(w Window, at, end float64) Slot {
	s := Slot{Window: w, At: at, End: end, Rings: at < w.Quiet-tolerance}
	if late := end - w.Deadline; late > tolerance {
		s.Late = late
	}
	return s
}
