package feet

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
