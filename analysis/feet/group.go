package feet

import (
	"cmp"
	"math"
	"slices"
)

// group is a knot of moves of one foot, placed: moves that would get in each
// other's way if each were placed for itself. A move that nothing is in the way of
// is a group of its own. Groups are never changed.
type group struct {
	slots    []Slot  // in order of their starts
	from, to float64 // seconds: all the time at which its moves were tried on the way
	late     int     // how many of its moves are late
	stretch  float64 // see Stretch; 1 where none is late
}

// windows gives the moves of the group.
func (g *group) windows() []Window {
	windows := make([]Window, len(g.slots))
	for i, s := range g.slots {
		windows[i] = s.Window
	}
	return windows
}

// shifted is the group so many seconds and demands on.
func (g *group) shifted(by float64, demands int) *group {
	moved := *g
	moved.from, moved.to = g.from+by, g.to+by
	moved.slots = slices.Clone(g.slots)
	for i := range moved.slots {
		s := &moved.slots[i]
		s.At, s.End = s.At+by, s.End+by
		s.Window.shift(by, demands)
	}
	return &moved
}

// entangle parts moves into groups and places them. All begin by themselves; then,
// as long as any overlap in time, all that do are joined and placed anew together.
//
// That each group is placed as well as if it were alone, and that in the end no
// two overlap, is why the whole is as good as any schedule can be. And groups that
// never met in any round know nothing of each other: see arrangement.fit.
func entangle(windows []Window, busy Busy) []*group {
	singles, slots := make([]group, len(windows)), make([]Slot, len(windows))
	all := make([]*group, len(windows))
	spans := make([]span, len(windows))
	for i, w := range windows {
		slots[i] = alone(w, busy.Of(w))
		all[i] = &singles[i]
		all[i].slots = slots[i : i+1 : i+1]
		all[i].from, all[i].to = slots[i].At, slots[i].End
		spans[i] = span{slots[i].At, slots[i].End, i}
	}
	slices.SortFunc(spans, span.compare)
	for {
		parts := overlapping(spans, len(all))
		if len(parts) == 0 {
			break
		}
		var fresh []span
		for _, members := range parts {
			g := joined(all, members, busy)
			for _, s := range g.slots {
				fresh = append(fresh, span{s.At, s.End, len(all)})
			}
			all = append(all, g)
		}
		spans = exchanged(spans, all, fresh)
	}
	return finished(all, busy)
}

// finished gives the groups that were not joined to others, in the order of the
// times at which they were tried.
func finished(all []*group, busy Busy) []*group {
	done := make([]*group, 0, len(all))
	for _, g := range all {
		if g == nil {
			continue
		}
		g.late, g.stretch = countLate(g.slots), 1
		if g.late > 0 {
			g.stretch = stretchOf(g.windows(), busy, 1)
		}
		done = append(done, g)
	}
	slices.SortFunc(done, (*group).compare)
	return done
}

func (g *group) compare(h *group) int {
	return cmp.Or(cmp.Compare(g.from, h.from), cmp.Compare(g.slots[0].Window.Demand, h.slots[0].Window.Demand))
}

// span is the time of one move and the number of the group that it is in.
type span struct {
	from, to float64
	group    int
}

func (s span) compare(t span) int {
	return cmp.Or(cmp.Compare(s.from, t.from), cmp.Compare(s.group, t.group))
}

// overlapping finds the groups that overlap, by number; spans are in order.
func overlapping(spans []span, groups int) (parts [][]int) {
	var leader []int32 // made when the first two meet
	lead := func(g int) int {
		for int(leader[g]) != g {
			leader[g] = leader[leader[g]]
			g = int(leader[g])
		}
		return g
	}
	var met []int
	reach, owner := math.Inf(-1), -1
	for _, s := range spans {
		if owner >= 0 && s.from < reach-tolerance && s.group != owner {
			if leader == nil {
				leader = make([]int32, groups)
				for g := range leader {
					leader[g] = int32(g)
				}
			}
			leader[lead(s.group)] = int32(lead(owner))
			met = append(met, s.group, owner)
		}
		if s.to > reach {
			reach, owner = s.to, s.group
		}
	}
	slices.Sort(met)
	place := map[int]int{}
	for _, g := range slices.Compact(met) {
		l := lead(g)
		if _, known := place[l]; !known {
			place[l] = len(parts)
			parts = append(parts, nil)
		}
		parts[place[l]] = append(parts[place[l]], g)
	}
	return parts
}

// joined places the moves of some groups together; in their place there are none
// then.
func joined(all []*group, members []int, busy Busy) *group {
	g := &group{from: math.Inf(1), to: math.Inf(-1)}
	var windows []Window
	for _, m := range members {
		for _, s := range all[m].slots {
			windows = append(windows, s.Window)
		}
		g.from, g.to = min(g.from, all[m].from), max(g.to, all[m].to)
		all[m] = nil
	}
	g.slots = place(windows, busy)
	for _, s := range g.slots {
		g.from, g.to = min(g.from, s.At), max(g.to, s.End)
	}
	return g
}

// exchanged leaves out the spans of groups that are no more and puts in fresh ones.
func exchanged(spans []span, all []*group, fresh []span) []span {
	slices.SortFunc(fresh, span.compare)
	out := make([]span, 0, len(spans))
	for _, s := range spans {
		if all[s.group] == nil {
			continue
		}
		for len(fresh) > 0 && fresh[0].compare(s) < 0 {
			out, fresh = append(out, fresh[0]), fresh[1:]
		}
		out = append(out, s)
	}
	return append(out, fresh...)
}

// place places the moves of one knot. Times are counted from the first release, so
// that a knot is placed alike wherever it stands.
func place(windows []Window, busy Busy) []Slot {
	slices.SortFunc(windows, Window.compare)
	first := math.Inf(1)
	for _, w := range windows {
		first = min(first, w.Release)
	}
	counted := slices.Clone(windows)
	for i := range counted {
		counted[i].shift(-first, 0)
		counted[i].Demand = i
	}
	placed := placeCounted(counted, busy)
	for k, s := range placed {
		s.Window, s.At, s.End = windows[s.Window.Demand], s.At+first, s.End+first
		placed[k] = s
	}
	return placed
}

func placeCounted(windows []Window, busy Busy) []Slot {
	var order []int
	if late := inGivenOrder(windows, busy); late > tolerance {
		order, late, _ = sequence(jobsOf(windows, busy, 1), 0)
		if late > tolerance {
			return oneAfterAnother(windows, busy, inTurn(windows, order))
		}
	}
	if slots := newKnot(windows, busy).place(); slots != nil {
		return slots
	}
	if order == nil {
		order, _, _ = sequence(jobsOf(windows, busy, 1), 0)
	}
	return oneAfterAnother(windows, busy, inTurn(windows, order))
}

// inGivenOrder gives by how much the latest move misses its deadline when the moves are
// made as they are listed.
func inGivenOrder(windows []Window, busy Busy) float64 {
	free, worst := math.Inf(-1), math.Inf(-1)
	for _, w := range windows {
		free = max(free, w.Release) + busy.Of(w)
		worst = max(worst, free-w.Deadline)
	}
	return worst
}

func countLate(slots []Slot) int {
	late := 0
	for _, s := range slots {
		if s.Late > 0 {
			late++
		}
	}
	return late
}
