package feet

import (
	"cmp"
	"slices"
)

// urgency is a heap of jobs that wait: the first deadline on top, then the
// first in the list.
type urgency struct {
	jobs    []job
	waiting []int
}

func (u *urgency) Len() int { return len(u.waiting) }
func (u *urgency) Less(a, b int) bool {
	i, j := u.waiting[a], u.waiting[b]
	if u.jobs[i].deadline != u.jobs[j].deadline {
		return u.jobs[i].deadline < u.jobs[j].deadline
	}
	return i < j
}
func (u *urgency) Swap(a, b int) { u.waiting[a], u.waiting[b] = u.waiting[b], u.waiting[a] }
func (u *urgency) Push(i any)    { u.waiting = append(u.waiting, i.(int)) }
func (u *urgency) Pop() any {
	last := len(u.waiting) - 1
	i := u.waiting[last]
	u.waiting = u.waiting[:last]
	return i
}

// byRelease gives the jobs' places in order of release.
func byRelease(jobs []job) []int {
	order := make([]int, len(jobs))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(jobs[i].release, jobs[j].release) })
	return order
}
