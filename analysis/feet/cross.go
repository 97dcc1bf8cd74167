package feet

import (
	"cmp"
	"slices"
)

// cross lets a foot take moves of the neighbour over the middle, E for the left
// and B for the right, where its own foot is late in the knot and the other has
// time. It is given the feet's windows and placed knots and gives them anew; with
// no late move saved they are as they were.
func cross(sides [2][]Window, knots [2][][]Slot, busy Busy) ([2][]Window, [2][][]Slot) {
	for _, f := range []Foot{Left, Right} {
		over := B
		if f == Right {
			over = E
		}
		var taken []Window
		other := slots(knots[f.Other()])
		for _, knot := range knots[f] {
			if w, ok := relief(knot, other, over, busy); ok {
				taken = append(taken, w)
			}
		}
		tries := mostTries
		sides, knots = handOverMost(sides, knots, f, taken, busy, &tries)
	}
	return sides, knots
}

// mostTries bounds how often both feet are placed anew for crossings. A knot of
// more moves than mostCrossed is beyond what one crossing can mend.
const (
	mostTries   = 16
	mostCrossed = 16
)

// handOverMost hands all the moves over, or where that does not do, each half for
// itself.
func handOverMost(sides [2][]Window, knots [2][][]Slot, from Foot, taken []Window, busy Busy, tries *int) ([2][]Window, [2][][]Slot) {
	if len(taken) == 0 || *tries == 0 {
		return sides, knots
	}
	*tries--
	newSides, newKnots, ok := handOver(sides, knots, from, taken, busy)
	if ok || len(taken) == 1 {
		return newSides, newKnots
	}
	half := len(taken) / 2
	sides, knots = handOverMost(sides, knots, from, taken[:half], busy, tries)
	return handOverMost(sides, knots, from, taken[half:], busy, tries)
}

// relief finds the move of a late knot that the other foot has a gap for and
// without which fewest moves of the knot are late.
func relief(knot, other []Slot, over Letter, busy Busy) (best Window, ok bool) {
	if len(knot) > mostCrossed || !isLate(knot) {
		return best, false
	}
	least := countLate(knot)
	windows := windowsOf(knot)
	for i, w := range windows {
		if w.Letter != over || !hasGap(other, w, busy.Of(w)) {
			continue
		}
		rest := slices.Delete(slices.Clone(windows), i, i+1)
		if late := countLate(Schedule(rest, busy)); late < least {
			best, ok, least = w, true, late
		}
	}
	return best, ok
}

// hasGap says whether a foot with these slots, in order, is free long enough
// within the window.
func hasGap(own []Slot, w Window, busy float64) bool {
	free := w.Release
	for _, s := range own {
		if s.At >= free+busy-tolerance {
			break
		}
		free = max(free, s.End)
	}
	return free+busy <= w.Deadline+tolerance
}

// handOver gives moves to the other foot if each saves a late one, none of them is
// late there, and the pedal's moves stay in turn.
func handOver(sides [2][]Window, knots [2][][]Slot, from Foot, taken []Window, busy Busy) ([2][]Window, [2][][]Slot, bool) {
	handed := func(w Window) bool { return slices.Contains(taken, w) }
	var newSides [2][]Window
	newSides[from] = slices.DeleteFunc(slices.Clone(sides[from]), handed)
	newSides[from.Other()] = slices.Concat(sides[from.Other()], taken)
	var newKnots [2][][]Slot
	was, late := 0, 0
	for f := range newKnots {
		newKnots[f] = arrange(newSides[f], busy)
		was += countLate(slots(knots[f]))
		late += countLate(slots(newKnots[f]))
	}
	if late+len(taken) > was || !inTurnAndTime(newKnots, taken[0].Letter, handed) {
		return sides, knots, false
	}
	return newSides, newKnots, true
}

// inTurnAndTime says whether no move of the pedal starts before the one before it
// has ended, now that both feet make them, and whether those handed over are in
// time.
func inTurnAndTime(knots [2][][]Slot, l Letter, handed func(Window) bool) bool {
	var own []Slot
	for f := range knots {
		for _, s := range slots(knots[f]) {
			if s.Window.Letter == l {
				own = append(own, s)
			}
		}
	}
	slices.SortStableFunc(own, func(a, b Slot) int { return cmp.Compare(a.Window.Deadline, b.Window.Deadline) })
	for i, s := range own {
		if s.Late > 0 && handed(s.Window) || i > 0 && s.At < own[i-1].End-tolerance {
			return false
		}
	}
	return true
}

func countLate(own []Slot) int {
	late := 0
	for _, s := range own {
		if s.Late > 0 {
			late++
		}
	}
	return late
}
