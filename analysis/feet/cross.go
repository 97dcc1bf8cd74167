package feet

import (
	"cmp"
	"slices"
)

// mostCrossed is up to how many moves of a knot are looked at for one to cross with:
// more is beyond what one crossing can mend.
const mostCrossed = 16

// crossing is a move that the foot over the middle takes: E the left, B the right.
type crossing struct {
	window Window
	from   Foot // whose pedal it is
}

// overMiddle is each foot's own pedal that the other foot reaches.
var overMiddle = [2]Letter{Left: B, Right: E}

// cross lets a foot take moves of the neighbour over the middle where its own foot
// is late in the knot and the other has time. Knot by knot the move goes over
// without which fewest are late, if that saves a late one, it is in time there, and
// the pedal's moves stay in turn.
func cross(feet [2]*arrangement) (taken []crossing) {
	for _, f := range []Foot{Left, Right} {
		var late []*group
		for _, g := range feet[f].groups {
			if g.late > 0 && len(g.slots) <= mostCrossed {
				late = append(late, g)
			}
		}
		for _, g := range late {
			if !slices.Contains(feet[f].groups, g) {
				continue // parted by a crossing before
			}
			if w, ok := relief(g, feet[f.Other()], overMiddle[f], feet[f].busy); ok && handOver(feet, f, w) {
				taken = append(taken, crossing{w, f})
			}
		}
	}
	return taken
}

// relief finds the move of a late knot that the other foot has a gap for and
// without which fewest moves of the knot are late.
func relief(g *group, other *arrangement, over Letter, busy Busy) (best Window, ok bool) {
	least := g.late
	for i, s := range g.slots {
		if s.Window.Letter != over || !other.hasGap(s.Window) {
			continue
		}
		rest := slices.Delete(g.windows(), i, i+1)
		late := 0
		for _, part := range entangle(rest, busy) {
			late += part.late
		}
		if late < least {
			best, ok, least = s.Window, true, late
		}
	}
	return best, ok
}

// hasGap says whether the foot is free long enough within a window.
func (a *arrangement) hasGap(w Window) bool {
	var own []Slot
	for _, g := range a.around(w.Release, w.Deadline) {
		own = append(own, g.slots...)
	}
	slices.SortFunc(own, func(a, b Slot) int { return cmp.Compare(a.At, b.At) })
	free, busy := w.Release, a.busy.Of(w)
	for _, s := range own {
		if s.At >= free+busy-tolerance {
			break
		}
		free = max(free, s.End)
	}
	return free+busy <= w.Deadline+tolerance
}

// handOver gives a move to the other foot if that saves a late one, it is in time
// there, and the pedal's moves stay in turn. Else all is left as it is.
func handOver(feet [2]*arrangement, from Foot, w Window) bool {
	to := from.Other()
	was := [2]*arrangement{feet[0].clone(), feet[1].clone()}
	fresh := append(feet[from].drop(w.Demand), feet[to].fit([]Window{w})...)
	if feet[0].late+feet[1].late < was[0].late+was[1].late && isInTime(fresh, w) && isInTurn(feet, fresh, w.Letter) {
		return true
	}
	*feet[0], *feet[1] = *was[0], *was[1]
	return false
}

// isInTime says whether a move of one of the groups is not late.
func isInTime(groups []*group, w Window) bool {
	for _, g := range groups {
		for _, s := range g.slots {
			if s.Window.Demand == w.Demand {
				return s.Late == 0
			}
		}
	}
	return false
}

// isInTurn says whether the moves of a pedal that were placed anew follow each other,
// and those that were not, as they must, now that both feet make them.
func isInTurn(feet [2]*arrangement, fresh []*group, l Letter) bool {
	follows := func(s, before Slot) bool { return s.At >= before.End-tolerance }
	for _, g := range fresh {
		for _, s := range g.slots {
			if s.Window.Letter != l {
				continue
			}
			for _, other := range [][]*group{feet[0].groups, feet[1].groups} {
				for _, h := range other {
					for _, o := range h.slots {
						switch {
						case o.Window.Letter != l:
						case o.Window.compare(s.Window) < 0 && !follows(s, o), o.Window.compare(s.Window) > 0 && !follows(o, s):
							return false
						}
					}
				}
			}
		}
	}
	return true
}
