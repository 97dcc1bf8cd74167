package hands

import (
	"cmp"
	"math"
	"slices"
)

// beginning is one way to share the moments from some moment to the end.
type beginning struct {
	lists  [2]list
	shared int64 // cost of shared strings
	guide  int64 // an estimate of what interlocked hands will cost
	under  int64 // what ways that were dropped for this one may have cost less
	odd    int   // of its shares together
	share  int
	after  *beginning
}

// base is what it costs by itself, but for interlocked hands.
func (b *beginning) base() int64 {
	return plus(b.shared, plus(b.lists[Right].best(), b.lists[Left].best()))
}

// least bounds from below what any whole sharing with this end costs.
func (b *beginning) least() int64 {
	return plus(b.shared, plus(b.lists[Right].least(), b.lists[Left].least()))
}

// certain is what a way to share costs at least, whatever comes before, and whichever of
// those that it stands for it is.
func (b *beginning) certain() int64 { return b.least() - b.under }

// chosen lists the shares, from the first moment on.
func (b *beginning) chosen() []int {
	var all []int
	for ; b.after != nil; b = b.after {
		all = append(all, b.share)
	}
	return all
}

// prefixes bounds from below what the moments before each one cost: each string costs
// what it does of a placing of four.
func (t *together) prefixes() []int64 {
	all := make([]int64, len(t.moments)+1)
	for i, m := range t.moments {
		all[i+1] = all[i] + t.h.piece(min(len(m.strings), mostStrings))
	}
	return all
}

// farBehind is how much more than the best a way may cost to be kept, as a load.
const farBehind = .5

// fewerWhereFixed is how many times fewer ways are kept at a moment that is played as
// written in any case.
const fewerWhereFixed = 4

// sweepEvery is after how many moments cells are taken back.
const sweepEvery = 16

// beam goes from the last moment to the first and keeps the cheapest few ways, and the
// written one to the end. It gives a cost that no way is below: all that it drops are
// bounded.
func (t *together) beam() int64 {
	bound := int64(math.MaxInt64)
	prefix := t.prefixes()
	kept, written := []*beginning{{}}, &beginning{}
	made := newCells(t.h)
	defer made.spare()
	made.merge = true
	few := choice{order: byRank, most: t.width, far: millionths(farBehind * t.h.Overload), limit: mostCost}
	for i := len(t.moments) - 1; i >= 0; i-- {
		made.forget()
		var dropped int64
		few.most = t.width
		if len(t.moments[i].shares) == 1 {
			few.most = max(1, t.width/fewerWhereFixed)
		}
		kept, dropped = t.extend(kept, i, made, few)
		bound = min(bound, plus(dropped, prefix[i]))
		if t.two {
			written = t.with(written, i, 0, made)
		}
		if i%sweepEvery == 0 {
			made.sweep(append(kept, written), t.moments[i].t)
		}
	}
	for _, b := range kept {
		bound = min(bound, b.base()-b.under)
	}
	t.tryAll(kept)
	if t.two {
		t.try(written)
	}
	return bound
}

// tryMost is how long a phrase may be for all ways kept to be tried to the end. In longer
// ones they differ in little but the first few moments, and each takes as long as both
// hands do.
const tryMost = 64

// tryAll tries the ways kept, the cheapest first.
func (t *together) tryAll(kept []*beginning) {
	slices.SortStableFunc(kept, func(a, b *beginning) int { return cmp.Or(cmp.Compare(a.base(), b.base()), cmp.Compare(a.odd, b.odd)) })
	if len(t.moments) > tryMost {
		kept = kept[:1]
	}
	for _, b := range kept {
		t.try(b)
	}
}

// with puts one share of moment i before a way to share those after it.
func (t *together) with(b *beginning, i, which int, made *cells) *beginning {
	m := &t.moments[i]
	s := &m.shares[which]
	return &beginning{
		lists:  made.before(b.lists, i, m, s),
		shared: b.shared + s.sharedWith(b.lists, m.t, t.h),
		odd:    b.odd + s.odd,
		share:  which,
		after:  b,
	}
}

// order ranks ways to share by what they cost by themselves and at least, by an
// estimate, and by what those they stand for may cost less. It never falls where the
// first two rise.
type order func(base, least, guide, under int64) int64

// byRank is the order of the search. A placing of which only the end is there looks dear
// by itself and is cheap as a part of a longer one: so both count.
func byRank(base, least, guide, _ int64) int64 { return base - (base-least)/4 + guide }

// byBound is the order in which bounds are made.
func byBound(_, least, _, under int64) int64 { return least - under }

func (b *beginning) by(o order) int64 { return o(b.base(), b.least(), b.guide, b.under) }

// choice is which of the ways to share are kept.
type choice struct {
	order order
	most  int   // so many
	far   int64 // that are so far behind the best at most
	limit int64 // and not above this
}

// candidate is a way to put a share of a moment before a way kept, before it is worked
// out.
type candidate struct {
	before        *beginning
	share         int
	shared, guide int64
	floor         int64 // what it comes to at least in the order of the choice
	certain       int64 // what it costs at least, whatever comes before
}

// scratch is what extend fills anew for each moment.
type scratch struct {
	candidates []candidate
	ranks      []int64 // of the best ways so far, in order
	alike      map[[2]*cell]int
}

// extend puts every share of moment i before every way kept, of ways that go on alike
// leaves the cheapest, and makes a choice, the best first. Those that can be told before
// not to be chosen are not worked out. What all that it drops cost at least is given too.
func (t *together) extend(kept []*beginning, i int, made *cells, by choice) (next []*beginning, dropped int64) {
	candidates := t.candidates(kept, i, made, by.order)
	best := top{ranks: made.scratch.ranks[:0], choice: by}
	dropped = mostCost
	alike := made.scratch.alike // by the cells from which it goes on
	clear(alike)
	for n := range candidates {
		c := &candidates[n]
		if c.floor > best.limit() {
			for _, c := range candidates[n:] {
				dropped = min(dropped, c.certain)
			}
			break
		}
		b := t.with(c.before, i, c.share, made)
		b.guide, b.under = c.guide, c.before.under
		key := [2]*cell{b.lists[Right].cell, b.lists[Left].cell}
		at, known := alike[key]
		if !known {
			alike[key] = len(next)
			next = append(next, b)
			best.add(b.by(by.order))
			continue
		}
		better, other := next[at], b
		best.remove(better.by(by.order))
		if cmp.Or(cmp.Compare(other.by(byRank), better.by(byRank)), cmp.Compare(other.odd, better.odd)) < 0 {
			better, other = other, better
		}
		better.under = max(better.under, better.base()-other.base()+other.under)
		next[at] = better
		best.add(better.by(by.order))
	}
	made.scratch.ranks = best.ranks
	slices.SortStableFunc(next, func(a, b *beginning) int {
		return cmp.Or(cmp.Compare(a.by(by.order), b.by(by.order)), cmp.Compare(a.odd, b.odd))
	})
	keep := min(by.most, len(next))
	for keep > 1 && next[keep-1].by(by.order) > best.limit() {
		keep--
	}
	for _, b := range next[keep:] {
		dropped = min(dropped, b.certain())
	}
	return next[:keep:keep], dropped
}

// candidates lists the ways to put a share of moment i before a way kept, the one that
// comes to the least first.
func (t *together) candidates(kept []*beginning, i int, made *cells, o order) []candidate {
	m := &t.moments[i]
	all := made.scratch.candidates[:0]
	for _, b := range kept {
		for which := range m.shares {
			s := &m.shares[which]
			right, left := made.floorOf(b.lists[Right], s, int(Right), m.t), made.floorOf(b.lists[Left], s, int(Left), m.t)
			c := candidate{before: b, share: which,
				shared: b.shared + s.sharedWith(b.lists, m.t, t.h),
				guide:  b.guide + t.guide(b.lists, s, m.t, made)}
			least := plus(c.shared, plus(right.least, left.least))
			c.floor = o(plus(c.shared, plus(right.best, left.best)), least, c.guide, b.under)
			c.certain = least - b.under
			all = append(all, c)
		}
	}
	slices.SortStableFunc(all, func(a, b candidate) int { return cmp.Compare(a.floor, b.floor) })
	made.scratch.candidates = all
	return all
}

// top holds what the best ways so far come to, as many as are kept.
type top struct {
	choice
	ranks []int64
}

func (p *top) add(rank int64) {
	at, _ := slices.BinarySearch(p.ranks, rank)
	p.ranks = slices.Insert(p.ranks, at, rank)
}

func (p *top) remove(rank int64) {
	at, _ := slices.BinarySearch(p.ranks, rank)
	p.ranks = slices.Delete(p.ranks, at, at+1)
}

// limit is what a way may come to at most to be chosen, as far as is known.
func (p *top) limit() int64 {
	limit := p.choice.limit
	if len(p.ranks) > 0 {
		limit = min(limit, plus(p.ranks[0], p.far))
	}
	if len(p.ranks) >= p.most {
		limit = min(limit, p.ranks[p.most-1])
	}
	return limit
}

// guide estimates what interlocked hands will cost: a hand that plays now and again
// within a second, on the wrong side of what the other plays between.
func (t *together) guide(lists [2]list, s *share, now float64, made *cells) int64 {
	if made.sure {
		return 0
	}
	var cost int64
	for side := range lists {
		strings, mine, other := s.strings[side], lists[side], lists[1-side]
		if len(strings) == 0 || mine.cell == nil || other.cell == nil || other.moment >= mine.moment || mine.stroke.T-now >= t.h.Afresh {
			continue
		}
		between := other.stroke.Strings
		if Side(side) == Right && strings[len(strings)-1] < between[0] || Side(side) == Left && strings[0] > between[len(between)-1] {
			cost += millionths(t.h.Interlocked) / 2
		}
	}
	return cost
}
