package rules

import (
	"fourfold/analysis/hands"
)

// cause is why a hand has no time.
type cause int

const (
	restrike cause = iota
	turn
	newPlacing
)

// overload is one placing or one change whose largest need is more than the
// time there is.
type overload struct {
	unit  int // 2·placing for its inside, 2·placing − 1 for the change to it
	cause cause
	need  hands.Need // the binding one, or the same string's where that is the cause
}

// run is a maximal row of neighbouring overloads by one cause: one finding.
type run struct {
	cause    cause
	overload []overload
	from, to int     // placings touched
	load     float64 // the least possible largest load of these strokes
}

// worst is the run's largest need.
func (r run) worst() overload {
	w := r.overload[0]
	for _, o := range r.overload[1:] {
		if o.need.Load > w.need.Load+tolerance {
			w = o
		}
	}
	return w
}

// findRuns gathers the overloads of the cheapest fingering into runs and keeps
// those that no other fingering plays in time.
func findRuns(h *Hand) (out []run) {
	for _, passage := range h.Solution.Passages() {
		var runs []run
		for pl := passage.From; pl <= passage.To; pl++ {
			for _, unit := range []int{2*pl - 1, 2 * pl} {
				if unit < 2*passage.From {
					continue // the way to the first placing is free
				}
				if o, ok := h.overloadOf(unit); ok {
					runs = join(runs, o)
				}
			}
		}
		out = append(out, h.necessary(runs, passage)...)
	}
	return out
}

// join adds an overload to the last run when it is its neighbour: the next
// placing or change, with at most one unit that holds between them.
func join(runs []run, o overload) []run {
	pl := (o.unit + 1) / 2
	first := pl
	if o.unit%2 != 0 {
		first = pl - 1
	}
	if n := len(runs) - 1; n >= 0 && runs[n].cause == o.cause {
		last := runs[n].overload[len(runs[n].overload)-1]
		if o.unit-last.unit <= 2 {
			runs[n].overload = append(runs[n].overload, o)
			runs[n].to = pl
			return runs
		}
	}
	return append(runs, run{cause: o.cause, overload: []overload{o}, from: first, to: pl})
}

// necessary drops the runs that another fingering of their surroundings avoids:
// the strokes of the run with a placing more on each side, as far as no other
// run begins there, then with three, then the whole passage. What is left knows
// how fast it can go at best.
func (h *Hand) necessary(runs []run, passage hands.Passage) (out []run) {
	var doubtful []run
	for i, r := range runs {
		first, last := passage.From, passage.To
		if i > 0 {
			first = min(runs[i-1].to, r.from)
		}
		if i+1 < len(runs) {
			last = max(runs[i+1].from, r.to)
		}
		for _, more := range []int{1, 3} {
			r.load = h.ceilingOf(max(first, r.from-more), min(last, r.to+more))
			if r.load > 1+tolerance {
				break
			}
		}
		if r.load > 1+tolerance {
			out = append(out, r)
		} else {
			doubtful = append(doubtful, r)
		}
	}
	if len(out) > 0 || len(doubtful) == 0 {
		return out
	}
	whole := h.ceilingOf(passage.From, passage.To)
	if whole <= 1+tolerance {
		return nil
	}
	worst := doubtful[0]
	for _, r := range doubtful[1:] {
		if r.worst().need.Load > worst.worst().need.Load {
			worst = r
		}
	}
	worst.load = whole
	return []run{worst}
}

// ceilingOf is the least possible largest load of the strokes of some placings.
func (h *Hand) ceilingOf(from, to int) float64 {
	pl := h.Solution.Placings
	return h.Solution.Ceiling(pl[from].From, pl[to].To)
}

// overloadOf looks at one placing or change and names the cause, the first in
// the order restrike, turn, new placing that applies.
func (h *Hand) overloadOf(unit int) (overload, bool) {
	if h.loadOf(unit) <= 1+tolerance {
		return overload{}, false
	}
	var binding, same hands.Need
	for _, n := range h.needsOf(unit) {
		if n.Load > binding.Load {
			binding = n
		}
		if n.Kind == hands.SameString && n.Load > same.Load {
			same = n
		}
	}
	if binding.Load <= 1+tolerance {
		return overload{}, false
	}
	switch {
	case same.Load > 1+tolerance:
		return overload{unit, restrike, same}, true
	case h.turns(unit):
		return overload{unit, turn, binding}, true
	}
	return overload{unit, newPlacing, binding}, true
}

// loadOf is the largest load of a unit.
func (h *Hand) loadOf(unit int) float64 {
	pl := &h.Solution.Placings[(unit+1)/2]
	if unit%2 == 0 {
		return pl.Load
	}
	return pl.ChangeLoad
}

func (h *Hand) needsOf(unit int) []hands.Need {
	if unit%2 == 0 {
		return h.Solution.Inside(unit / 2)
	}
	return h.Solution.Needs((unit + 1) / 2)
}

// turns says whether the direction changes: inside a placing where its order is
// not straight, and on the way to the next where the hand comes back into the
// group it has just played. A group that starts again in its own direction is
// no turn.
func (h *Hand) turns(unit int) bool {
	pls := h.Solution.Placings
	if unit%2 == 0 {
		return !straight(pls[unit/2].Order)
	}
	a, b := pls[(unit-1)/2], pls[(unit+1)/2]
	last, first := a.To, b.From
	if last == 0 {
		return false
	}
	before := h.direction(last-1, last)
	return before != 0 && h.direction(last, first) == -before &&
		!(h.runsOn(a, before) && h.runsOn(b, before))
}

// runsOn says whether a placing of several strokes goes one way.
func (h *Hand) runsOn(p hands.Placing, way int) bool {
	if p.To == p.From {
		return false
	}
	return straight(p.Order) && h.direction(p.From, p.From+1) == way
}

// direction is 1 where stroke j lies above stroke i, −1 below, 0 level, by the
// middle of their strings.
func (h *Hand) direction(i, j int) int {
	a, b := h.Strokes[i].Strings, h.Strokes[j].Strings
	sa, sb := 0, 0
	for _, s := range a {
		sa += s
	}
	for _, s := range b {
		sb += s
	}
	switch d := sb*len(a) - sa*len(b); {
	case d > 0:
		return 1
	case d < 0:
		return -1
	}
	return 0
}

// straight orders go one way, or nowhere.
func straight(o hands.Order) bool {
	return o == hands.Straight || o == hands.StraightUp || o == hands.StraightDown
}
