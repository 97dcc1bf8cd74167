package feet

import (
	"math"
	"sort"
)

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
	knots := make([][]Slot, len(windows))
	for i := range windows {
		knots[i] = place(windows[i:i+1], busy)
	}
	for {
		var merged bool
		if knots, merged = merge(knots, busy); !merged {
			break
		}
	}
	var slots []Slot
	for _, knot := range knots {
		slots = append(slots, knot...)
	}
	sort.SliceStable(slots, func(i, j int) bool { return slots[i].At < slots[j].At })
	return slots
}

// merge joins knots whose moves overlap in time and places the moves of each
// such group anew. It says whether there were any.
//
// That each knot is placed as well as if it were alone, and that in the end no
// two overlap, is why the whole is as good as any schedule can be.
func merge(knots [][]Slot, busy Busy) (merged [][]Slot, any bool) {
	type span struct {
		from, to float64
		knot     int
	}
	var spans []span
	for k, knot := range knots {
		for _, s := range knot {
			spans = append(spans, span{s.At, s.End, k})
		}
	}
	sort.SliceStable(spans, func(i, j int) bool { return spans[i].from < spans[j].from })
	group := make([]int, len(knots))
	for k := range group {
		group[k] = k
	}
	var of func(k int) int
	of = func(k int) int {
		if group[k] != k {
			group[k] = of(group[k])
		}
		return group[k]
	}
	reach, owner := math.Inf(-1), -1
	for _, s := range spans {
		if owner >= 0 && s.from < reach-tolerance && of(s.knot) != of(owner) {
			group[of(s.knot)] = of(owner)
			any = true
		}
		if s.to > reach {
			reach, owner = s.to, s.knot
		}
	}
	if !any {
		return knots, false
	}
	members := make([][]Window, len(knots))
	parts := make([]int, len(knots))
	for k, knot := range knots {
		g := of(k)
		parts[g]++
		for _, s := range knot {
			members[g] = append(members[g], s.Window)
		}
	}
	for k, knot := range knots {
		switch {
		case of(k) == k && parts[k] == 1:
			merged = append(merged, knot)
		case of(k) == k:
			merged = append(merged, place(members[k], busy))
		}
	}
	return merged, true
}

// place places the moves of one knot.
func place(windows []Window, busy Busy) []Slot {
	if len(windows) == 1 {
		return []Slot{alone(windows[0], busy.Of(windows[0]))}
	}
	sort.SliceStable(windows, func(i, j int) bool { return windows[i].Deadline < windows[j].Deadline })
	order, late, _ := sequence(jobsOf(windows, busy, 1), 0)
	if late <= tolerance {
		if slots := newKnot(windows, busy).place(); slots != nil {
			return slots
		}
	}
	return oneAfterAnother(windows, busy, inTurn(windows, order))
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
