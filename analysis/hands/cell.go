package hands

import (
	"sync"
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
	best     int64  // the cheapest way to play from here on
	least    int64  // what from here on costs at least, whatever comes before
	same     uint64 // of the stroke: equal for equal ones
	worth    uint64 // of the values, but for a constant
	sign     uint64
	round    int // the last sweep that found it in use
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
	h     *hand
	made  map[cellKey]*cell
	alike map[uint64]*cell // by signature
	merge bool             // of cells that are alike one is enough
	open  bool             // the lists go on beyond their ends
	sure  bool             // only what is certain counts, no guesses

	all, free []*cell
	round     int
	scratch   scratch
}

func newCells(h *hand) *cells {
	c := spareCells.Get().(*cells)
	c.h, c.merge, c.open, c.sure = h, false, false, false
	return c
}

// spareCells are the cells of searches that are over: the next one fills them anew. A
// key makes tens of searches, of hundreds of cells each.
var spareCells = sync.Pool{New: func() any {
	return &cells{made: map[cellKey]*cell{}, alike: map[uint64]*cell{}, scratch: scratch{alike: map[[2]*cell]int{}}}
}}

// mostSpare is how many cells are spared at most.
const mostSpare = 1024

// spare gives the cells back at the end of a search, when nothing holds one any more.
func (c *cells) spare() {
	c.free = append(c.free, c.all...)
	if len(c.free) > mostSpare || len(c.made) > mostSpare {
		return
	}
	c.forget()
	c.h, c.all = nil, c.all[:0]
	spareCells.Put(c)
}

// forget starts on another moment: no cell made so far stands at it.
func (c *cells) forget() {
	clear(c.made)
	clear(c.alike)
	clear(c.scratch.alike)
}

// list is one hand's strokes from some moment on. Of lists that behave alike in all
// that comes before them, one stands for all, and what another costs more is kept
// beside it.
type list struct {
	*cell
	more int64
}

func (l list) best() int64 {
	if l.cell == nil {
		return 0
	}
	return plus(l.cell.best, l.more)
}

func (l list) least() int64 {
	if l.cell == nil {
		return 0
	}
	return plus(l.cell.least, l.more)
}

// before puts a share of moment i before the hands' lists.
func (c *cells) before(lists [2]list, i int, m *moment, s *share) [2]list {
	for side := range lists {
		if len(s.strings[side]) == 0 {
			continue
		}
		l := &lists[side]
		l.cell = c.cell(Side(side), l.cell, i, m, s)
		if !c.merge {
			continue
		}
		if one := c.alike[l.sign]; one != nil {
			l.more += l.cell.best - one.best
			l.cell = one
		} else {
			c.alike[l.sign] = l.cell
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
	made = c.blank()
	made.stroke, made.borrowed, made.moment, made.next = s.stroke(int(side), m.t), s.borrowed[side], i, next
	made.work(c, m.t)
	c.made[key] = made
	return made
}

// blank gives a cell to fill.
func (c *cells) blank() *cell {
	var made *cell
	if last := len(c.free) - 1; last >= 0 {
		made, c.free = c.free[last], c.free[:last]
		made.round = 0 // of no sweep of this search
	} else {
		made = &cell{column: newColumn()}
		made.values = new(values)
	}
	c.all = append(c.all, made)
	return made
}

// sweep takes back the cells that are too far from the beginnings of the lists in use
// to matter any more, and cuts the lists there.
func (c *cells) sweep(kept []*beginning, now float64) {
	c.round++
	for _, b := range kept {
		for _, l := range b.lists {
			a := l.cell
			for n := 0; a != nil && (n < 2*mostStrings || a.stroke.T < now+c.h.SharedWithin); n, a = n+1, a.next {
				a.round = c.round
			}
		}
	}
	used := c.all[:0]
	for _, a := range c.all {
		if a.round != c.round {
			c.free = append(c.free, a)
			continue
		}
		if a.next != nil && a.next.round != c.round {
			a.next = nil
		}
		used = append(used, a)
	}
	c.all = used
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
func (c *cell) work(of *cells, now float64) {
	c.open = of.open
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
	c.same = c.sameness()
	if of.merge {
		c.worth = c.worths()
		c.sign = c.signature(of, now)
	}
}

// lowerBound: either a placing begins at this stroke, or one that began before goes
// on over it and ends within the next three. Then its strings here cost what they do of
// any placing, and what follows it at least the best from there.
func (c *cell) lowerBound(h *hand) int64 {
	least := c.best
	strings := 0
	for a := c; a != nil; a = a.next {
		if strings += len(a.stroke.Strings); strings >= mostStrings {
			break
		}
		rest := int64(0)
		if a.next != nil {
			rest = a.next.best
		}
		least = min(least, plus(h.piece(strings), rest))
	}
	return least
}

// sameness is equal for cells of the same stroke.
func (c *cell) sameness() uint64 {
	hash := mixed(uint64(c.moment), uint64(len(c.stroke.Strings)))
	if c.borrowed {
		hash = mixed(hash, 1)
	}
	for _, s := range c.stroke.Strings {
		hash = mixed(hash, uint64(s))
	}
	return hash
}

// worths is equal for cells whose values are equal but for a constant.
func (c *cell) worths() uint64 {
	hash := uint64(len(c.states))
	for s := range c.states {
		hash = mixed(hash, uint64(c.values[s].cost-c.best))
	}
	return hash
}

// signature is equal for cells with the same future behaviour: the same strokes as
// far as a placing that begins now or earlier can reach, and as far as sharing a string
// matters, and the same values but for a constant.
func (c *cell) signature(of *cells, now float64) uint64 {
	var hash uint64
	a := c
	for n := 0; a != nil && (n < 2*mostStrings-1 || a.stroke.T < now+of.h.SharedWithin); n, a = n+1, a.next {
		hash = mixed(hash, a.same)
		if n < mostStrings {
			hash = mixed(mixed(hash, a.worth), uint64(a.best-c.best))
		}
	}
	return hash
}

// mixed makes one number of two, so that others make other ones.
func mixed(a, b uint64) uint64 {
	const odd = 0x9e3779b97f4a7c15
	a = (a ^ b) * odd
	a = (a ^ a>>32) * odd
	return a ^ a>>29
}

// sharedWith is what it costs that both hands strike strings of the share now, or
// that one strikes a string that the other strikes soon after: the strikes with no
// strike between.
func (s *share) sharedWith(lists [2]list, t float64, h *hand) int64 {
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
