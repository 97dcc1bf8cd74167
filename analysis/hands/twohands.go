package hands

import (
	"cmp"
	"hash/maphash"
	"math"
	"slices"

	"fourfold/analysis/harp"
)

// TwoSolution is how two hands share what is written.
type TwoSolution struct {
	Cost int64 // millionths: both hands, and what they cost each other
	// LowerBound is a cost that no way to share and to finger can be below. Where it
	// equals Cost the solution is the best there is.
	LowerBound int64
	Hands      [2]*Solution // by Side; the costs of their placings hold what borrowing costs
	Borrowed   [2][]bool    // by Side and stroke: it takes notes of the other hand's staff
	// SharedStrings and Interlocks are what the hands cost each other.
	SharedStrings, Interlocks int64
}

// exactMoments is up to how many instants the search tries everything.
const exactMoments = 8

// SolveTwo shares the notes between two hands and fingers them. Up to eight instants
// it is exact; beyond that it keeps the best beginnings of a few ways at a time, and
// says how far from the best it can be at most. It never costs more than the staves as
// written.
func SolveTwo(w Written, profile harp.Hand) *TwoSolution {
	h := newHand(profile)
	t := &together{h: h, moments: w.moments(h)}
	if w.Two {
		t.try(make([]int, len(t.moments))) // the first share is the written one
	}
	bound := t.beam()
	if len(t.moments) <= exactMoments {
		t.everything()
		bound = t.best.Cost
	}
	t.best.LowerBound = min(bound, t.best.Cost)
	return t.best
}

// together is the search for the best way to share.
type together struct {
	h       *hand
	moments []moment
	best    *TwoSolution
}

// try works out one choice of shares, hand by hand, and keeps it if it is better than
// all before.
func (t *together) try(chosen []int) {
	both := parts(t.moments, chosen)
	t.keep(both, [2]*Solution{both[Right].solve(nil, t.h), both[Left].solve(nil, t.h)})
}

// keep takes a solution if it is better than all before.
func (t *together) keep(both [2]part, hands [2]*Solution) {
	s := &TwoSolution{
		Hands:         hands,
		Borrowed:      [2][]bool{both[Right].borrowed, both[Left].borrowed},
		SharedStrings: sharedStrings(both, t.h),
	}
	s.Interlocks = int64(interlocks(hands[Right].stays(), hands[Left].stays())) * millionths(t.h.Interlocked)
	s.Cost = plus(plus(hands[Right].Cost, hands[Left].Cost), plus(s.SharedStrings, s.Interlocks))
	if t.best == nil || s.Cost < t.best.Cost {
		t.best = s
	}
}

// beginning is one way to share the moments from some moment to the end.
type beginning struct {
	lists  [2]list
	shared int64 // cost of shared strings
	guide  int64 // an estimate of what interlocked hands will cost
	under  int64 // what ways that were dropped for this one may have cost less
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

// chosen lists the shares, from the first moment on.
func (b *beginning) chosen() []int {
	var all []int
	for ; b.after != nil; b = b.after {
		all = append(all, b.share)
	}
	return all
}

// prefixes bounds from below what the moments before each one cost: no placing holds
// more than four strings, and the two that may go on past it are counted there.
func (t *together) prefixes() []int64 {
	all := make([]int64, len(t.moments)+1)
	strings := 0
	for i, m := range t.moments {
		strings += min(len(m.strings), mostStrings)
		placings := max(0, (strings-2*(mostStrings-1)+mostStrings-1)/mostStrings)
		all[i+1] = int64(placings) * millionths(t.h.Placing)
	}
	return all
}

// width is how many ways to share the search keeps at a time.
const width = 16

// sweepEvery is after how many moments cells are taken back.
const sweepEvery = 16

// beam goes from the last moment to the first and keeps the cheapest few ways. It
// gives a cost that no way is below: all that it drops are bounded.
func (t *together) beam() int64 {
	bound := int64(math.MaxInt64)
	prefix := t.prefixes()
	kept := []*beginning{{}}
	made := newCells(t.h)
	made.alike = map[uint64]*cell{}
	for i := len(t.moments) - 1; i >= 0; i-- {
		clear(made.made)
		clear(made.alike)
		next := t.extend(kept, i, made)
		slices.SortStableFunc(next, func(a, b *beginning) int { return cmp.Compare(a.base()+a.guide, b.base()+b.guide) })
		for _, dropped := range next[min(width, len(next)):] {
			bound = min(bound, plus(dropped.least()-dropped.under, prefix[i]))
		}
		kept = next[:min(width, len(next))]
		if i%sweepEvery == 0 {
			made.sweep(kept, t.moments[i].t)
		}
	}
	for _, b := range kept {
		bound = min(bound, b.base()-b.under)
		if t.best == nil || b.base() < t.best.Cost {
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
				guide:  b.guide + t.guide(b.lists, s, m.t),
				under:  b.under,
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
			if other.base()+other.guide < better.base()+better.guide {
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
func (t *together) guide(lists [2]list, s *share, now float64) int64 {
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
