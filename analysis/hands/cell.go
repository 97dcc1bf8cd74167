package hands

import (
	"hash/maphash"
	"math"
)

// cell is one stroke of one hand in a list that runs towards the end of the music.
// Lists that end alike share their cells, so that what a hand does later is worked
// out once however many ways lead up to it.
type cell struct {
	column
	stroke   Stroke
	borrowed bool
	moment   int
	next     *cell
	best     int64 // the cheapest way to play from here on
	least    int64 // what from here on costs at least, whatever comes before
	sign     uint64
}

// cellKey names a cell among those that one search makes.
type cellKey struct {
	next   *cell
	moment int
	first  int // the lowest string of the stroke, and how many: subsets of one moment
	n      int
	side   Side
}

// cells makes the cells of a search, each of them once.
type cells struct {
	h    *hand
	made map[cellKey]*cell
	seed maphash.Seed
}

// before puts a share of moment i before the hands' lists.
func (c *cells) before(lists [2]*cell, i int, m *moment, s *share) [2]*cell {
	for side := range lists {
		if len(s.strings[side]) > 0 {
			lists[side] = c.cell(Side(side), lists[side], i, m, s)
		}
	}
	return lists
}

func (c *cells) cell(side Side, next *cell, i int, m *moment, s *share) *cell {
	strings := s.strings[side]
	key := cellKey{next, i, strings[0], len(strings), side}
	made := c.made[key]
	if made != nil && sameStrings(made.stroke.Strings, strings) {
		return made
	}
	made = &cell{
		column:   newColumn(),
		stroke:   Stroke{m.t, strings},
		borrowed: s.borrowed[side],
		moment:   i,
		next:     next,
	}
	made.values = new(values)
	made.work(c)
	c.made[key] = made
	return made
}

func sameStrings(a, b []int) bool {
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// after is the n-th cell after this one.
func (c *cell) after(n int) *cell {
	for ; n > 0 && c != nil; n-- {
		c = c.next
	}
	return c
}

// work fills in what follows from the stroke and the cells after it.
func (c *cell) work(of *cells) {
	c.fill(0, c.stroke, c.borrowed, func(n int) (Stroke, bool, bool) {
		if a := c.after(n); a != nil {
			return a.stroke, a.borrowed, true
		}
		return Stroke{}, false, false
	}, of.h)
	c.evaluate(func(n int) *column {
		if a := c.after(n); a != nil {
			return &a.column
		}
		return nil
	}, of.h)
	c.best = mostCost
	for s := range c.states {
		c.best = min(c.best, c.values[s].cost)
	}
	c.least = c.lowerBound(of.h)
	c.sign = c.signature(of)
}

// lowerBound: either a placing begins at this stroke, or one that began before goes
// on over it and ends within the next three. That one costs at least a placing, and
// what follows it at least the best from there.
func (c *cell) lowerBound(h *hand) int64 {
	least := c.best
	longer := millionths(h.Placing)
	strings := 0
	for a := c; a != nil; a = a.next {
		if strings += len(a.stroke.Strings); strings >= mostStrings {
			break
		}
		rest := int64(0)
		if a.next != nil {
			rest = a.next.best
		}
		least = min(least, plus(longer, rest))
	}
	return least
}

// signature is equal for cells with the same future behaviour: the same strokes as
// far as a placing that begins now or earlier can reach, and the same values but for a
// constant.
func (c *cell) signature(of *cells) uint64 {
	var hash maphash.Hash
	hash.SetSeed(of.seed)
	write := func(n int64) {
		var b [8]byte
		for i := range b {
			b[i] = byte(n >> (8 * i))
		}
		hash.Write(b[:])
	}
	a := c
	for n := 0; n < 2*mostStrings-1 && a != nil; n, a = n+1, a.next {
		write(int64(a.moment))
		for _, s := range a.stroke.Strings {
			write(int64(s))
		}
		write(math.MinInt64)
		if n < mostStrings {
			for s := range a.states {
				write(a.values[s].cost - c.best)
			}
		}
	}
	return hash.Sum64()
}

// sharedWith is what it costs that both hands strike strings of the share now, or
// that one strikes a string that the other strikes soon after: the strikes with no
// strike between.
func (s *share) sharedWith(lists [2]*cell, t float64, h *hand) int64 {
	pairs := 0
	for side := range lists {
		for _, string := range (Stroke{Strings: s.strings[side]}).counted() {
			mine, other := lists[side].strikes(string, t+h.SharedWithin), lists[1-side].strikes(string, t+h.SharedWithin)
			if other != nil && (mine == nil || other.moment <= mine.moment) {
				pairs++
			}
			if side == int(Right) && (Stroke{Strings: s.strings[Left]}).plucks(string) {
				pairs++
			}
		}
	}
	return int64(pairs) * millionths(h.SharedString)
}

// strikes finds the first cell that strikes the string before a time.
func (c *cell) strikes(string int, before float64) *cell {
	for ; c != nil && c.stroke.T < before-sameTime; c = c.next {
		if c.stroke.plucks(string) {
			return c
		}
	}
	return nil
}

// plucks says whether the stroke has the string among those that count.
func (s Stroke) plucks(string int) bool {
	for _, n := range s.counted() {
		if n == string {
			return true
		}
	}
	return false
}
