package hands

import "math/bits"

// lane is one placing of the cheapest sequences while they are read forwards. The
// sequences with the longest first placing are kept, of these the ones with the
// longest second, and so on: all that are left have the same placings, and differ in
// their fingers only.
type lane struct {
	from, to int
	reach    uint8 // fingerings that a cheapest sequence reaches, by their place in fingerings
	keep     uint8 // those from which it also goes on to the end
	pick     fingers
}

// trace finds the sequence that the ties choose.
func (p *programme) trace() []lane {
	if len(p.strokes) == 0 {
		return nil
	}
	lanes := []lane{p.firstLane()}
	for lanes[len(lanes)-1].to+1 < len(p.strokes) {
		lanes = append(lanes, p.nextLane(&lanes[len(lanes)-1]))
	}
	for i := len(lanes) - 1; i >= 0; i-- {
		p.prune(lanes, i)
	}
	for i := range lanes {
		p.choose(lanes, i)
	}
	return lanes
}

// firstLane is the longest placing with which a cheapest sequence begins.
func (p *programme) firstLane() lane {
	p.ensure(0)
	c := p.column(0)
	best := c.values[0]
	for s := range c.states {
		if c.values[s].less(best) {
			best = c.values[s]
		}
	}
	l := lane{to: -1}
	for s := range c.states {
		if c.values[s] == best {
			l.add(c, s)
		}
	}
	return l
}

// add lets the lane reach a state; a longer placing puts shorter ones out.
func (l *lane) add(c *column, s int) {
	st := &c.states[s]
	switch to := c.runs[st.run].to(); {
	case to < l.to:
		return
	case to > l.to:
		l.from, l.to, l.reach = c.at, to, 0
	}
	l.reach |= 1 << st.which
}

// nextLane is the longest placing with which a cheapest sequence goes on.
func (p *programme) nextLane(l *lane) lane {
	p.ensure(l.to + 1)
	p.ensure(l.from)
	s := p.table.step(l.from)
	if s == nil || p.afresh(l.to+1) {
		return p.lookOn(l)
	}
	n := int8(l.to - l.from + 1)
	if t, ok := p.memo.trail(s, n, l.reach); ok {
		return lane{from: l.to + 1, to: l.to + int(t.next), reach: t.other}
	}
	next := p.lookOn(l)
	p.memo.mark(s, func(m *laneMarks) {
		m.trails = append(m.trails, trail{n: n, reach: l.reach, next: int8(next.to - l.to), other: next.reach})
	})
	return next
}

// lookOn works nextLane out.
func (p *programme) lookOn(l *lane) lane {
	next := lane{to: -1}
	p.eachEdge(l, l.reach, func(_ *state, c *column, s int) { next.add(c, s) })
	return next
}

// eachEdge visits every change from the lane's fingerings in the set that lies on a
// cheapest sequence.
func (p *programme) eachEdge(l *lane, set uint8, visit func(from *state, c *column, to int)) {
	p.ensure(l.to + 1)
	p.ensure(l.from)
	c, next := p.column(l.from), p.column(l.to+1)
	a := &c.runs[l.to-l.from]
	var pairs [mostStrings]pair
	for s := range c.states {
		st := &c.states[s]
		if st.run != l.to-l.from || set>>st.which&1 == 0 {
			continue
		}
		for n := range next.states {
			to := &next.states[n]
			// The change costs nothing less than nothing.
			v := value{cost: plus(st.own, next.values[n].cost), placings: next.values[n].placings + 1}
			if v.cost > c.values[s].cost || v.placings != c.values[s].placings {
				continue
			}
			pr := &pairs[to.run]
			if pr.a == nil {
				*pr = p.h.pair(a, &next.runs[to.run])
			}
			if plus(st.own, plus(next.values[n].cost, p.h.changeCost(pr, st, to))) == c.values[s].cost {
				visit(st, next, n)
			}
		}
	}
}

// meets finds the changes from a set of the lane's fingerings to a set of the next one's
// that lie on a cheapest sequence: which of the first have one, and which of the second.
func (p *programme) meets(l *lane, from uint8, next *lane, to uint8) (left, reached uint8) {
	p.ensure(next.from)
	p.ensure(l.from)
	s := p.table.step(l.from)
	if s == nil || p.afresh(next.from) {
		return p.lookBoth(l, from, next, to)
	}
	n, after := int8(l.to-l.from+1), int8(next.to-next.from+1)
	if e, ok := p.memo.edges(s, n, after, from, to); ok {
		return e.left, e.reached
	}
	left, reached = p.lookBoth(l, from, next, to)
	p.memo.mark(s, func(m *laneMarks) {
		m.edges = append(m.edges, edges{n: n, next: after, from: from, to: to, left: left, reached: reached})
	})
	return left, reached
}

// lookBoth works meets out.
func (p *programme) lookBoth(l *lane, from uint8, next *lane, to uint8) (left, reached uint8) {
	p.eachEdge(l, from, func(st *state, c *column, s int) {
		if after := &c.states[s]; c.runs[after.run].to() == next.to && to>>after.which&1 != 0 {
			left |= 1 << st.which
			reached |= 1 << after.which
		}
	})
	return left, reached
}

// prune leaves in lane i the fingerings from which lane i+1 is reached where it is
// kept.
func (p *programme) prune(lanes []lane, i int) {
	l := &lanes[i]
	if i == len(lanes)-1 || l.reach&(l.reach-1) == 0 {
		l.keep = l.reach
		return
	}
	next := &lanes[i+1]
	l.keep, _ = p.meets(l, l.reach, next, next.keep)
}

// choose picks the fingers of lane i: of the kept ones that follow from the pick
// before, those with the smallest list.
func (p *programme) choose(lanes []lane, i int) {
	l := &lanes[i]
	l.pick = 0
	follow := l.keep
	if i > 0 && follow&(follow-1) != 0 {
		before := &lanes[i-1]
		_, follow = p.meets(before, before.picked(), l, l.keep)
	}
	g := p.grouping(l)
	all := fingerings[g.k]
	if follow&(follow-1) == 0 {
		l.pick = all[bits.TrailingZeros8(follow)]
		return
	}
	for which, f := range all {
		if follow>>which&1 != 0 && (l.pick == 0 || g.compare(f, l.pick) < 0) {
			l.pick = f
		}
	}
}

// picked is the set of the picked fingering alone.
func (l *lane) picked() uint8 {
	for _, all := range fingerings {
		for which, f := range all {
			if f == l.pick {
				return 1 << which
			}
		}
	}
	return 0
}

// run is the run of the lane.
func (p *programme) run(l *lane) *run { return &p.column(l.from).runs[l.to-l.from] }
