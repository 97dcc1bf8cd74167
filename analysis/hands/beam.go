package hands

import (
	"cmp"
	"hash/maphash"
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

// rank orders the ways to share. A placing of which only the end is there looks dear by
// itself and is cheap as a part of a longer one: so both count.
func (b *beginning) rank() int64 { return b.base() - (b.base()-b.least())/4 + b.guide }

// compare puts the better way first.
func (b *beginning) compare(c *beginning) int {
	return cmp.Or(cmp.Compare(b.rank(), c.rank()), cmp.Compare(b.odd, c.odd))
}

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
const farBehind = 3

// sweepEvery is after how many moments cells are taken back.
const sweepEvery = 16

// beam goes from the last moment to the first and keeps the cheapest few ways. It
// gives a cost that no way is below: all that it drops are bounded.
func (t *together) beam() int64 {
	bound := int64(math.MaxInt64)
	prefix := t.prefixes()
	kept := []*beginning{{}}
	far := millionths(farBehind * t.h.Overload)
	made := newCells(t.h)
	defer made.spare()
	made.alike = map[uint64]*cell{}
	for i := len(t.moments) - 1; i >= 0; i-- {
		clear(made.made)
		clear(made.alike)
		next := t.extend(kept, i, made)
		slices.SortStableFunc(next, (*beginning).compare)
		keep := min(t.width, len(next))
		for keep > 1 && next[keep-1].rank() > plus(next[0].rank(), far) {
			keep--
		}
		for _, dropped := range next[keep:] {
			bound = min(bound, plus(dropped.certain(), prefix[i]))
		}
		kept = next[:keep]
		if i%sweepEvery == 0 {
			made.sweep(kept, t.moments[i].t)
		}
	}
	for _, b := range kept {
		bound = min(bound, b.base()-b.under)
		if t.best == nil || t.best.worseThan(b.base(), b.odd) {
			t.try(b.chosen())
		}
	}
	return bound
}

// extend puts every share of moment i before every way kept, and of ways that go on
// alike leaves the cheapest.
func (t *together) extend(kept []*beginning, i int, made *cells) []*beginning {
	m := &t.moments[i]
	type likeness struct {
		right, left *cell
		soon        uint64
	}
	alike := map[likeness]int{}
	var next []*beginning
	for _, b := range kept {
		for which := range m.shares {
			s := &m.shares[which]
			n := &beginning{
				lists:  made.before(b.lists, i, m, s),
				shared: b.shared + s.sharedWith(b.lists, m.t, t.h),
				guide:  b.guide + t.guide(b.lists, s, m.t, made),
				under:  b.under,
				odd:    b.odd + s.odd,
				share:  which,
				after:  b,
			}
			key := likeness{n.lists[Right].cell, n.lists[Left].cell, t.soon(n.lists, m.t, made)}

			at, known := alike[key]
			if !known {
				alike[key] = len(next)
				next = append(next, n)
				continue
			}
			better, other := next[at], n
			if other.compare(better) < 0 {
				better, other = other, better
			}
			better.under = max(better.under, better.base()-other.base()+other.under)
			next[at] = better
		}
	}
	return next
}

// soon tells apart what the hands strike within the time in which a shared string
// costs something.
func (t *together) soon(lists [2]list, now float64, made *cells) uint64 {
	var hash maphash.Hash
	hash.SetSeed(made.seed)
	for _, l := range lists {
		for c := l.cell; c != nil && c.stroke.T < now+t.h.SharedWithin; c = c.next {
			for _, n := range append([]int{c.moment}, c.stroke.Strings...) {
				hash.WriteByte(byte(n))
				hash.WriteByte(byte(n >> 8))
				hash.WriteByte(byte(n >> 16))
			}
		}
		hash.WriteByte(0xff)
	}
	return hash.Sum64()
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
