package feet

import (
	"cmp"
	"slices"
)

// arrangement is all moves of one foot, placed.
type arrangement struct {
	busy    Busy
	groups  []*group // by the time from which they were tried
	longest float64  // seconds: no group was tried for longer
	late    int      // how many moves are late
}

func arrangementOf(windows []Window, busy Busy) *arrangement {
	a := &arrangement{busy: busy}
	a.insert(entangle(windows, busy))
	return a
}

// fit brings in more moves. The result is that of arranging all moves at once: a
// group that was never tried at a time at which one of the new ones was, has not
// met it in any round. Those that may have met are parted and begin anew. It gives
// the groups that are new.
func (a *arrangement) fit(windows []Window) []*group {
	windows = slices.Clone(windows)
	for {
		slices.SortFunc(windows, Window.compare)
		fresh := entangle(windows, a.busy)
		met := a.takeMet(fresh)
		if len(met) == 0 {
			a.insert(fresh)
			return fresh
		}
		for _, g := range met {
			windows = append(windows, g.windows()...)
		}
	}
}

// drop takes the move for a demand out, and arranges those that stay as if it had
// never been there. It gives the groups that are new.
func (a *arrangement) drop(demand int) []*group {
	gone := func(s Slot) bool { return s.Window.Demand == demand }
	var stay []Window
	for _, g := range a.take(func(g *group) bool { return slices.ContainsFunc(g.slots, gone) }) {
		for _, s := range g.slots {
			if !gone(s) {
				stay = append(stay, s.Window)
			}
		}
	}
	return a.fit(stay)
}

// take takes groups out.
func (a *arrangement) take(chosen func(*group) bool) (taken []*group) {
	a.groups = slices.DeleteFunc(a.groups, func(g *group) bool {
		if !chosen(g) {
			return false
		}
		taken = append(taken, g)
		a.late -= g.late
		return true
	})
	return taken
}

// takeMet takes out the groups that may have met some others.
func (a *arrangement) takeMet(others []*group) []*group {
	met := map[*group]bool{}
	for _, o := range others {
		for _, g := range a.around(o.from, o.to) {
			met[g] = true
		}
	}
	if len(met) == 0 {
		return nil
	}
	return a.take(func(g *group) bool { return met[g] })
}

// around gives the groups that were tried at some time between two.
func (a *arrangement) around(from, to float64) (found []*group) {
	first, _ := slices.BinarySearchFunc(a.groups, from-a.longest-tolerance, func(g *group, t float64) int { return cmp.Compare(g.from, t) })
	for _, g := range a.groups[first:] {
		if g.from > to {
			break
		}
		if g.to >= from {
			found = append(found, g)
		}
	}
	return found
}

// insert puts placed groups in.
func (a *arrangement) insert(fresh []*group) {
	for _, g := range fresh {
		a.longest = max(a.longest, g.to-g.from)
		a.late += g.late
	}
	if len(fresh) > 8 {
		a.groups = append(a.groups, fresh...)
		slices.SortFunc(a.groups, (*group).compare)
		return
	}
	for _, g := range fresh {
		at, _ := slices.BinarySearchFunc(a.groups, g, (*group).compare)
		a.groups = slices.Insert(a.groups, at, g)
	}
}

// clone is an arrangement of its own with the same groups.
func (a *arrangement) clone() *arrangement {
	copied := *a
	copied.groups = slices.Clone(a.groups)
	return &copied
}

// moves counts all moves.
func (a *arrangement) moves() (n int) {
	for _, g := range a.groups {
		n += len(g.slots)
	}
	return n
}

// slots gives all moves in the order of their starts.
func (a *arrangement) slots() []Slot {
	all := make([]Slot, 0, a.moves())
	for _, g := range a.groups {
		all = append(all, g.slots...)
	}
	slices.SortFunc(all, func(a, b Slot) int {
		return cmp.Or(cmp.Compare(a.At, b.At), cmp.Compare(a.Window.Demand, b.Window.Demand))
	})
	return all
}

// latest says by how many seconds the latest move is late.
func (a *arrangement) latest() (most float64) {
	for _, g := range a.groups {
		for _, s := range g.slots {
			most = max(most, s.Late)
		}
	}
	return most
}

// windows gives all moves in the order of their deadlines.
func (a *arrangement) windows() []Window {
	all := make([]Window, 0, a.moves())
	for _, g := range a.groups {
		for _, s := range g.slots {
			all = append(all, s.Window)
		}
	}
	slices.SortFunc(all, Window.compare)
	return all
}

// stretch is Stretch of all moves.
func (a *arrangement) stretch() float64 {
	if a.late == 0 {
		return 1
	}
	least := 1.0
	for _, g := range a.groups {
		least = max(least, g.stretch)
	}
	// Mostly what is late needs to be slower than all else; then the order as it is will
	// do, at that tempo, for the rest.
	slots := a.slots()
	own, order := make([]Window, len(slots)), make([]int, len(slots))
	for i, s := range slots {
		own[i], order[i] = s.Window, i
	}
	own = fromZero(own)
	if factor(own, a.busy, order, least) <= least {
		return least
	}
	return stretchAll(a.windows(), a.busy, least)
}
