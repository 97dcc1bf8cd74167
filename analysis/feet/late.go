package feet

import (
	"cmp"
	"math"
	"slices"
)

// Late gives by how many seconds one foot comes late: in each order of its
// moves every move starts when the foot is free and its window is open, and the
// move that misses its deadline by most counts; Late is the least of that over
// all orders, and 0 where some order misses none. All windows must be one
// foot's.
func Late(windows []Window, busy Busy) float64 {
	if len(windows) == 0 {
		return 0
	}
	_, late, _ := sequence(jobsOf(windows, busy, 1), 0)
	if late <= tolerance {
		return 0
	}
	return late
}

// jobsOf gives the moves as jobs, with the music slower by a factor.
func jobsOf(windows []Window, busy Busy, slower float64) []job {
	jobs := make([]job, len(windows))
	for i, w := range windows {
		jobs[i] = job{release: w.Release * slower, deadline: w.Deadline * slower, busy: busy.Of(w)}
	}
	return jobs
}

// Stretch gives the factor by which the music must be slower for one foot to be
// nowhere late: the tempo at which it holds is the tempo divided by it. It is
// the least s ≥ 1 for which, in some order of the moves, every run of moves i
// to j takes no longer than s·(deadline of j − release of i). It is infinite
// where a window has no width: no tempo helps there.
//
// Windows that do not overlap do not disturb each other once nobody is late, so
// each cluster of windows is asked for itself.
func Stretch(windows []Window, busy Busy) float64 {
	if Late(windows, busy) == 0 {
		return 1
	}
	stretch := 1.0
	for _, cluster := range clusters(windows) {
		stretch = max(stretch, stretchOf(cluster, busy, stretch))
	}
	return stretch
}

// clusters parts the windows where none reaches across.
func clusters(windows []Window) [][]Window {
	sorted := append([]Window(nil), windows...)
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

// stretchOf finds the factor of one cluster, or gives least where it needs no
// more than that. It halves the distance between a factor that is known to
// fail and one that an order is known to hold, and takes the order's own exact
// factor each time.
func stretchOf(windows []Window, busy Busy, least float64) float64 {
	for _, w := range windows {
		if w.Deadline-w.Release <= tolerance {
			return math.Inf(1)
		}
		least = max(least, busy.Of(w)/(w.Deadline-w.Release))
	}
	best := func(s float64) float64 {
		order, _, _ := sequence(jobsOf(windows, busy, s), 0)
		return factor(windows, busy, order)
	}
	most := min(best(least), factor(windows, busy, byDeadline(windows)))
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

// byDeadline gives the windows' places in order of deadline.
func byDeadline(windows []Window) []int {
	order := make([]int, len(windows))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(windows[i].Deadline, windows[j].Deadline) })
	return order
}

// factor gives by how much the music must be slower for this order to hold.
func factor(windows []Window, busy Busy, order []int) float64 {
	worst := 1.0
	for i := range order {
		run := 0.0
		for j := i; j < len(order); j++ {
			run += busy.Of(windows[order[j]])
			width := windows[order[j]].Deadline - windows[order[i]].Release
			if width <= tolerance {
				return math.Inf(1)
			}
			worst = max(worst, run/width)
		}
	}
	return worst
}
