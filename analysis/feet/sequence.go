package feet

import (
	"container/heap"
	"math"
)

// job is one move as one foot sees it. Times are seconds.
type job struct {
	release, deadline, busy float64
}

// rounding is a difference in seconds that only comes from computing.
const rounding = 1e-12

// The search for the best order of one foot's moves is bounded: mostNodes tries,
// and mostWork moves gone over in all. Eight moves need fewer even when every
// order is tried; thousands of moves of hurried music need about a dozen.
const (
	mostNodes = 20000
	mostWork  = 2_000_000
)

// sequence finds the order of the jobs in which the latest of them, measured
// from its deadline, is the least late: one machine with releases and
// deadlines, no job interrupted. It gives that order, its lateness (negative
// where every job ends early) and whether it is proved to be the least; it
// stops as soon as the lateness is down to enough.
//
// The method is Carlier's branch and bound: put the jobs in the order in which
// the most urgent one that is there goes first. Where the lateness comes from a
// run of jobs behind a less urgent one, c, that was started because nothing
// else was there, then in a better order c comes before all of the run or after
// all of it. Both are tried.
func sequence(jobs []job, enough float64) (order []int, lateness float64, proved bool) {
	s := search{given: jobs, enough: enough, best: math.Inf(1)}
	s.most = min(mostNodes, 1+mostWork/(len(jobs)+1))
	s.branch(append([]job(nil), jobs...))
	return s.order, s.best, s.nodes <= s.most
}

type search struct {
	given  []job
	enough float64
	best   float64 // lateness of order
	order  []int
	nodes  int
	most   int // nodes
}

// branch searches with jobs that were narrowed by the branches before.
func (s *search) branch(jobs []job) {
	if s.nodes++; s.nodes > s.most || s.best <= s.enough {
		return
	}
	order, starts, ends := mostUrgentFirst(jobs)
	if late := lateness(s.given, order); late < s.best {
		s.best, s.order = late, order
	}
	last, c := critical(jobs, order, starts, ends)
	if c < 0 {
		return
	}
	run := order[c+1 : last+1]
	released, busy, due := math.Inf(1), 0.0, math.Inf(-1)
	for _, i := range run {
		released = min(released, jobs[i].release)
		busy += jobs[i].busy
		due = max(due, jobs[i].deadline)
	}
	// No order of the run alone, or of the run with c, can do better than this.
	least := released + busy - due
	with := jobs[order[c]]
	least = max(least, min(released, with.release)+busy+with.busy-max(due, with.deadline))
	if least >= s.best-rounding {
		return
	}
	before, after := with, with
	before.deadline = min(with.deadline, jobs[order[last]].deadline-busy)
	after.release = max(with.release, released+busy)
	for _, narrowed := range []job{before, after} {
		jobs[order[c]] = narrowed
		if interruptedLateness(jobs) < s.best-rounding {
			s.branch(append([]job(nil), jobs...))
		}
	}
	jobs[order[c]] = with
}

// critical finds in a schedule the job that is latest (last) and, in the run
// without a pause that leads to it, the last job that is less urgent (c, or -1).
// Both are places in the order.
func critical(jobs []job, order []int, starts, ends []float64) (last, c int) {
	worst := math.Inf(-1)
	for k, i := range order {
		if late := ends[k] - jobs[i].deadline; late >= worst {
			worst, last = late, k
		}
	}
	first := last
	for first > 0 && starts[first] <= ends[first-1] {
		first--
	}
	for c = last - 1; c >= first; c-- {
		if jobs[order[c]].deadline > jobs[order[last]].deadline {
			return last, c
		}
	}
	return last, -1
}

// lateness gives by how much the latest job misses its deadline when the jobs
// are taken in this order, each as early as it can be.
func lateness(jobs []job, order []int) float64 {
	free, worst := math.Inf(-1), math.Inf(-1)
	for _, i := range order {
		free = max(free, jobs[i].release) + jobs[i].busy
		worst = max(worst, free-jobs[i].deadline)
	}
	return worst
}

// mostUrgentFirst starts, whenever the foot is free, the job with the first
// deadline among those that are there. It gives the order, and in that order
// when the jobs start and end.
func mostUrgentFirst(jobs []job) (order []int, starts, ends []float64) {
	free := math.Inf(-1)
	arrivals := byRelease(jobs)
	ready := urgency{jobs: jobs}
	for len(order) < len(jobs) {
		if len(ready.waiting) == 0 {
			free = max(free, jobs[arrivals[0]].release)
		}
		for len(arrivals) > 0 && jobs[arrivals[0]].release <= free {
			heap.Push(&ready, arrivals[0])
			arrivals = arrivals[1:]
		}
		i := heap.Pop(&ready).(int)
		order = append(order, i)
		starts = append(starts, free)
		free += jobs[i].busy
		ends = append(ends, free)
	}
	return order, starts, ends
}

// interruptedLateness is the least lateness if a job could be left and taken up
// again: never more than without that freedom.
func interruptedLateness(jobs []job) float64 {
	left := make([]float64, len(jobs))
	for i, j := range jobs {
		left[i] = j.busy
	}
	free, worst := math.Inf(-1), math.Inf(-1)
	arrivals := byRelease(jobs)
	ready := urgency{jobs: jobs}
	for len(arrivals) > 0 || len(ready.waiting) > 0 {
		if len(ready.waiting) == 0 {
			free = max(free, jobs[arrivals[0]].release)
		}
		for len(arrivals) > 0 && jobs[arrivals[0]].release <= free {
			heap.Push(&ready, arrivals[0])
			arrivals = arrivals[1:]
		}
		i := ready.waiting[0]
		if len(arrivals) > 0 && jobs[arrivals[0]].release < free+left[i] {
			left[i] -= jobs[arrivals[0]].release - free
			free = jobs[arrivals[0]].release
			continue
		}
		free += left[i]
		worst = max(worst, free-jobs[i].deadline)
		heap.Pop(&ready)
	}
	return worst
}
