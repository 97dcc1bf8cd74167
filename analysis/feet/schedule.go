package feet

import (
	"cmp"
	"math"
	"slices"
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
	return slots(arrange(windows, busy))
}

// slots puts the moves of all knots into the order of their starts.
func slots(knots [][]Slot) []Slot {
	all := make([]Slot, 0, len(knots))
	for _, knot := range knots {
		all = append(all, knot...)
	}
	slices.SortStableFunc(all, func(a, b Slot) int { return cmp.Compare(a.At, b.At) })
	return all
}

// arrange places the moves of one foot and keeps the knots apart.
func arrange(windows []Window, busy Busy) [][]Slot {
	single := make([]Slot, len(windows))
	knots := make([][]Slot, len(windows))
	for i, w := range windows {
		single[i] = alone(w, busy.Of(w))
		knots[i] = single[i : i+1 : i+1]
	}
	for {
		var merged bool
		if knots, merged = merge(knots, busy); !merged {
			return knots
		}
	}
}

// isLate says whether a move of the knot is late.
func isLate(knot []Slot) bool {
	return slices.ContainsFunc(knot, func(s Slot) bool { return s.Late > 0 })
}

func windowsOf(knot []Slot) []Window {
	windows := make([]Window, len(knot))
	for i, s := range knot {
		windows[i] = s.Window
	}
	return windows
}

// merge joins knots whose moves overlap in time and places the moves of each
// such group anew. It says whether there were any.
//
// That each knot is placed as well as if it were alone, and that in the end no
// two overlap, is why the whole is as good as any schedule can be.
func merge(knots [][]Slot, busy Busy) (merged [][]Slot, any bool) {
	group, any := overlaps(knots)
	if !any {
		return knots, false
	}
	parts := make([]int, len(knots))
	for k := range knots {
		parts[group[k]]++
	}
	members := map[int][]Window{}
	for k, knot := range knots {
		if g := group[k]; parts[g] > 1 {
			for _, s := range knot {
				members[g] = append(members[g], s.Window)
			}
		}
	}
	merged = knots[:0]
	for k, knot := range knots {
		switch {
		case group[k] == k && parts[k] == 1:
			merged = append(merged, knot)
		case group[k] == k:
			merged = append(merged, place(members[k], busy))
		}
	}
	return merged, true
}

// overlaps gives each knot the number of the knot that stands for its group, and
// says whether any two overlap.
func overlaps(knots [][]Slot) (group []int, any bool) {
	type span struct {
		from, to float64
		knot     int
	}
	spans := make([]span, 0, len(knots))
	for k, knot := range knots {
		for _, s := range knot {
			spans = append(spans, span{s.At, s.End, k})
		}
	}
	slices.SortFunc(spans, func(a, b span) int {
		return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.knot, b.knot))
	})
	group = make([]int, len(knots))
	for k := range group {
		group[k] = k
	}
	leader := func(k int) int {
		for group[k] != k {
			group[k] = group[group[k]]
			k = group[k]
		}
		return k
	}
	reach, owner := math.Inf(-1), -1
	for _, s := range spans {
		if owner >= 0 && s.from < reach-tolerance && leader(s.knot) != leader(owner) {
			group[leader(s.knot)] = leader(owner)
			any = true
		}
		if s.to > reach {
			reach, owner = s.to, s.knot
		}
	}
	for k := range group {
		group[k] = leader(k)
	}
	return group, any
}

// place places the moves of one knot.
func place(windows []Window, busy Busy) []Slot {
	slices.SortStableFunc(windows, func(a, b Window) int { return cmp.Compare(a.Deadline, b.Deadline) })
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
