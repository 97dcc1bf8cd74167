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
	waysByWidth  = 20
)

// mayTryAll says whether to try everything.
func (t *together) mayTryAll() bool {
	return t.width >= width && len(t.moments) <= tryMoments
}

// everything tries every way to share the moments, but for those that cannot be
// better than the best known. False when it had to stop before the end.
func (t *together) everything() bool {
	dolls := t.dolls()
	t.atLeast = dolls[len(t.moments)]
	t.steps = t.mostSteps()
	made := newCells(t.h)
	defer made.spare()
	t.share(&beginning{}, len(t.moments), made, dolls)
	return t.steps > 0
}

func (t *together) mostSteps() int {
	if len(t.moments) > exactMoments {
		return t.width * stepsByWidth
	}
	return math.MaxInt
}

// dolls bounds from below what the moments before each one cost, as prefixes does, but
// closely: each bound is the least cost of these moments by themselves, when both hands'
// last placings may go on and count by their strings. One is found with the help of
// those before it, as nested dolls.
func (t *together) dolls() []int64 {
	all := make([]int64, len(t.moments)+1)
	for i := 1; i <= len(t.moments); i++ {
		// More moments never cost less.
		all[i] = max(all[i-1], t.doll(i, all))
	}
	return all
}

// doll bounds what the moments before the i-th cost, by what less of them do. All ways to
// share are tried but for those that cannot be the best; when they are too many at a
// time, what is known so far is the bound.
func (t *together) doll(i int, prefix []int64) int64 {
	made := newCells(t.h)
	defer made.spare()
	made.merge, made.open, made.sure = true, true, true
	most := t.known(i, made)
	kept := []*beginning{{}}
	for ; i > 0; i-- {
		made.forget()
		next, dropped := t.extend(kept, i-1, made, choice{order: byBound, most: t.atATime(), far: mostCost, limit: most - prefix[i-1] - 1})
		bound := min(most, plus(dropped, prefix[i-1]))
		for _, n := range next {
			bound = min(bound, plus(n.certain(), prefix[i-1]))
		}
		kept = slices.DeleteFunc(next, func(n *beginning) bool { return plus(n.certain(), prefix[i-1]) >= most })
		if len(kept) == 0 || len(next) == t.atATime() {
			return bound
		}
	}
	for _, b := range kept {
		most = min(most, b.certain())
	}
	return most
}

// atATime is how many ways to share a doll keeps at a time.
func (t *together) atATime() int {
	if len(t.moments) > exactMoments {
		return t.width * waysByWidth
	}
	return math.MaxInt
}

// known is what a doll costs as the best plan known shares its moments.
func (t *together) known(i int, made *cells) int64 {
	b := &beginning{}
	for j := i - 1; j >= 0; j-- {
		b = t.with(b, j, t.best.chosen[j], made)
	}
	return b.least()
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
	for _, n := range t.following(b, i, made, prefix) {
		if !t.best.worseThan(plus(n.least(), prefix[i-1]), n.odd) {
			continue
		}
		t.share(n, i-1, made, prefix)
	}
}

// following lists the ways to put a share of the moment before i before a way to share
// those from i on, the most promising first, and leaves out those that can be told not to
// be better than the best.
func (t *together) following(b *beginning, i int, made *cells, prefix []int64) []*beginning {
	m := &t.moments[i-1]
	next := make([]*beginning, 0, len(m.shares))
	for which := range m.shares {
		s := &m.shares[which]
		right, left := made.floorOf(b.lists[Right], s, int(Right), m.t), made.floorOf(b.lists[Left], s, int(Left), m.t)
		if !t.best.worseThan(plus(b.shared+prefix[i-1], plus(right.least, left.least)), b.odd+s.odd) {
			continue
		}
		next = append(next, t.with(b, i-1, which, made))
	}
	slices.SortStableFunc(next, func(a, b *beginning) int {
		return cmp.Or(cmp.Compare(a.least(), b.least()), cmp.Compare(a.odd, b.odd))
	})
	return next
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
	best.chosen, best.shared = b.chosen(), b.shared
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
