package feet

import (
	"cmp"
	"math"
	"slices"
)

// Stretch gives the factor by which the music must be slower for one foot to be
// nowhere late: the tempo at which it holds is the tempo divided by it. It is
// the least s ≥ 1 for which, in some order of the moves, every run of moves i
// to j takes no longer than s·(deadline of j − release of i). It is infinite
// where a window has no width: no tempo helps there.
func Stretch(windows []Window, busy Busy) float64 {
	return arrangementOf(windows, busy).stretch()
}

// stretchAll gives the factor of one foot's moves when part of them are known to
// need least. Windows that do not overlap do not disturb each other once nobody
// is late, so each cluster of them is asked for itself.
func stretchAll(windows []Window, busy Busy, least float64) float64 {
	for _, cluster := range clusters(windows) {
		least = stretchOf(cluster, busy, least)
	}
	return least
}

// clusters parts the windows where none reaches across.
func clusters(windows []Window) [][]Window {
	sorted := slices.Clone(windows)
	slices.SortStableFunc(sorted, func(a, b Window) int { return cmp.Compare(a.Release, b.Release) })
	var parts [][]Window
	start, reach := 0, math.Inf(-1)
	for i, w := range sorted {
		if i > start && w.Release >= reach {
			parts = append(parts, sorted[start:i])
			start = i
		}
		reach = max(reach, w.Deadline)
	}
	return append(parts, sorted[start:])
}

// stretchOf finds the factor of some moves, or gives least where they need no
// more than that. It halves the distance between a factor that is known to fail
// and one that an order is known to hold, and takes the order's own exact factor
// each time.
func stretchOf(windows []Window, busy Busy, least float64) float64 {
	for _, w := range windows {
		if w.Deadline-w.Release <= tolerance {
			return math.Inf(1)
		}
		least = max(least, busy.Of(w)/(w.Deadline-w.Release))
	}
	if math.IsInf(least, 1) {
		return least
	}
	windows = fromZero(windows)
	best := func(s float64) float64 {
		order, _, _ := sequence(jobsOf(windows, busy, s), 0)
		return factor(windows, busy, order, least)
	}
	most := min(best(least), factor(windows, busy, byDeadline(windows), least))
	for most-least > tolerance/10*least {
		middle := (least + most) / 2
		own := best(middle)
		most = min(most, own)
		if own > middle*(1+tolerance/100) {
			least = middle
		}
	}
	return most
}

// fromZero shifts the windows so that the first opens at 0, where times are
// finest.
func fromZero(windows []Window) []Window {
	first := math.Inf(1)
	for _, w := range windows {
		first = min(first, w.Release)
	}
	shifted := slices.Clone(windows)
	for i := range shifted {
		shifted[i].Release -= first
		shifted[i].Deadline -= first
	}
	return shifted
}

// byDeadline gives the windows' places in order of deadline.
func byDeadline(windows []Window) []int {
	order := make([]int, len(windows))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(windows[i].Deadline, windows[j].Deadline) })
	return order
}

// factor gives by how much the music must be slower for this order to hold, at
// least s: as long as some run of moves is late it is slowed to where that run
// holds.
func factor(windows []Window, busy Busy, order []int, s float64) float64 {
	for {
		held := s
		release, run := 0.0, 0.0
		for k, i := range order {
			w := windows[i]
			if k == 0 || held*w.Release >= held*release+run {
				release, run = w.Release, 0
			}
			run += busy.Of(w)
			if held*release+run > held*w.Deadline+rounding {
				if w.Deadline-release <= tolerance {
					return math.Inf(1)
				}
				s = max(s, run/(w.Deadline-release))
			}
		}
		if s <= held*(1+rounding) {
			return s
		}
	}
}
