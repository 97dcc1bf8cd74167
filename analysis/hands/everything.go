package hands

import (
	"cmp"
	"math"
	"slices"
)

// exactMoments is up to how many instants in a phrase the search tries everything,
// however long it takes; up to tryMoments it tries to, for as many steps as its width
// allows.
const (
	exactMoments = 8
	tryMoments   = 2 * exactMoments
	stepsByWidth = 500
)

// mayTryAll says whether to try everything, when the best plan so far costs at least
// the bound.
func (t *together) mayTryAll(bound int64) bool {
	if t.width < width {
		return len(t.moments) <= exactMoments && bound < t.best.cost
	}
	return len(t.moments) <= tryMoments
}

// everything tries every way to share the moments, but for those that cannot be
// better than the best known. False when it had to stop before the end.
func (t *together) everything() bool {
	t.steps = math.MaxInt
	if len(t.moments) > exactMoments {
		t.steps = t.width * stepsByWidth
	}
	t.share(&beginning{}, len(t.moments), newCells(t.h), t.prefixes())
	return t.steps > 0
}

// share goes on from a way to share the moments from i to the end.
func (t *together) share(b *beginning, i int, made *cells, prefix []int64) {
	if i == 0 {
		t.finish(b)
		return
	}
	if t.steps--; t.steps <= 0 {
		t.steps = 0
		return
	}
	m := &t.moments[i-1]
	next := make([]*beginning, 0, len(m.shares))
	for which := range m.shares {
		s := &m.shares[which]
		next = append(next, &beginning{
			lists:  made.before(b.lists, i-1, m, s),
			shared: b.shared + s.sharedWith(b.lists, m.t, t.h),
			odd:    b.odd + s.odd,
			share:  which,
			after:  b,
		})
	}
	slices.SortStableFunc(next, func(a, b *beginning) int {
		return cmp.Or(cmp.Compare(a.least(), b.least()), cmp.Compare(a.odd, b.odd))
	})
	for _, n := range next {
		if !t.best.worseThan(plus(n.least(), prefix[i-1]), n.odd) {
			continue
		}
		t.share(n, i-1, made, prefix)
	}
}

// finish finds the best fingering for one choice of shares. By themselves the hands
// do best apart; but how they cut their strokes into placings decides where they
// interlock. So all cuts are tried that are cheap enough to be better than the best
// known.
func (t *together) finish(b *beginning) {
	if !t.best.worseThan(b.base(), b.odd) {
		return
	}
	spare := t.best.cost - b.base()
	var cuts [2][]cut
	for side, list := range b.lists {
		cuts[side] = t.h.cuts(list.cell, spare)
	}
	best := plan{cost: t.best.cost, odd: t.best.odd}
	var found [2]cut
	for _, r := range cuts[Right] {
		for _, l := range cuts[Left] {
			cost := b.shared + r.cost + l.cost
			if !best.worseThan(cost, b.odd) {
				break
			}
			cost += int64(interlocks(r.stays, l.stays)) * millionths(t.h.Interlocked)
			if best.worseThan(cost, b.odd) {
				best.cost, best.odd, found = cost, b.odd, [2]cut{r, l}
			}
		}
	}
	if !t.best.worseThan(best.cost, best.odd) {
		return
	}
	best.chosen = b.chosen()
	best.lengths = [2][]int{found[Right].lengths, found[Left].lengths}
	t.keep(&best)
}

// cut is one way to cut a hand's strokes into placings.
type cut struct {
	lengths []int // by first stroke
	stays   []stay
	cost    int64 // with the best fingers
}

// cuts lists the ways to cut the list that cost up to spare more than the best,
// cheapest first.
func (h *hand) cuts(list *cell, spare int64) []cut {
	if list == nil {
		return []cut{{}}
	}
	var all []cut
	// ends holds the cost so far of each state of the last run.
	var on func(c *cell, last *run, ends []state, so cut)
	on = func(c *cell, last *run, ends []state, so cut) {
		if c == nil {
			so.cost = ends[0].own
			for _, e := range ends {
				so.cost = min(so.cost, e.own)
			}
			so.lengths, so.stays = slices.Clone(so.lengths), slices.Clone(so.stays)
			all = append(all, so)
			return
		}
		for i := range c.runs {
			r := &c.runs[i]
			reached := h.reached(c, i, last, ends, plus(list.best, spare))
			if len(reached) == 0 {
				continue
			}
			next := so
			next.lengths = append(so.lengths, r.n)
			for range r.n - 1 {
				next.lengths = append(next.lengths, 0)
			}
			next.stays = append(so.stays, stay{r.first(), r.last(), r.low(), r.high()})
			on(c.after(r.n), r, reached, next)
		}
	}
	on(list, nil, nil, cut{})
	slices.SortStableFunc(all, func(a, b cut) int { return cmp.Compare(a.cost, b.cost) })
	return all
}

// reached gives the states of run i of the cell with what they cost, everything
// before included, leaving out those from which the end costs more than the limit.
func (h *hand) reached(c *cell, i int, last *run, ends []state, limit int64) []state {
	var all []state
	for s := range c.states {
		st := c.states[s]
		if st.run != i {
			continue
		}
		before := int64(0)
		if last != nil {
			p := h.pair(last, &c.runs[i])
			before = mostCost
			for e := range ends {
				before = min(before, plus(ends[e].own, h.changeCost(&p, &ends[e], &st)))
			}
		}
		if plus(before, c.values[s].cost) <= limit {
			st.own = plus(before, st.own)
			all = append(all, st)
		}
	}
	return all
}
