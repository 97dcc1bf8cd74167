package hands

import "sync"

// The programme runs from the last stroke to the first: the value of a state, a
// placing with its fingers, is the cost from there to the end. Costs join only
// neighbours, so this is exact. Running backwards makes the ties easy: among all
// sequences of the same cost and number, the wanted one is found reading forwards
// (see trace.go).

// mostStates is how many states can start at one stroke: placings of 1 to 4 single
// strings have 4 + 6 + 4 + 1 fingerings, and no other mixture has more.
const mostStates = 15

// value is the best that can follow from a state, itself included.
type value struct {
	cost     int64 // millionths
	placings int32
}

func (v value) less(w value) bool {
	return v.cost < w.cost || v.cost == w.cost && v.placings < w.placings
}

// values are those of the states that start at one stroke.
type values [mostStates]value

// column is what can start at one stroke.
type column struct {
	at     int // the stroke; -1 when the column is empty
	runs   []run
	states []state
	values *values
	sorted []int8 // the states by value, best first; empty when not yet sorted
	open   bool   // the strokes go on beyond the last one known, see opens
}

// opens says whether a run that ends with the last stroke known may be the beginning of
// a longer one.
func (c *column) opens(r *run) bool { return c.open && !r.forced && r.k < mostStrings }

// piece is what a placing costs at least for so many of its strings: it has four at
// most.
func (h *hand) piece(strings int) int64 {
	return int64(strings) * (millionths(h.Placing) / mostStrings)
}

// fill finds what can start at a stroke. next gives the n-th stroke after it, false
// beyond the end.
func (c *column) fill(from int, first Stroke, borrowed bool, next func(n int) (s Stroke, borrowed, ok bool), h *hand) {
	c.at, c.runs, c.states, c.sorted = from, c.runs[:0], c.states[:0], c.sorted[:0]
	r := lone(first, from, h)
	r.borrowed = borrowed
	for {
		c.states = r.appendStates(c.states, len(c.runs), h)
		c.runs = append(c.runs, r)
		s, borrowed, ok := next(r.n)
		if !ok {
			return
		}
		if r, ok = r.extended(s, h); !ok || !h.Outer.Fits(r.high()-r.low()) {
			return // nor does any longer one fit
		}
		r.borrowed = r.borrowed || borrowed
	}
}

// only leaves the states of the run of n strokes.
func (c *column) only(n int) {
	left := c.states[:0]
	for _, s := range c.states {
		if c.runs[s.run].n == n {
			left = append(left, s)
		}
	}
	c.states = left
}

// sort puts the states in the order of their values.
func (c *column) sort() {
	for i := range c.states {
		j := len(c.sorted)
		c.sorted = append(c.sorted, int8(i))
		for ; j > 0 && c.values[i].less(c.values[c.sorted[j-1]]); j-- {
			c.sorted[j] = c.sorted[j-1]
		}
		c.sorted[j] = int8(i)
	}
}

// evaluate fills the values. after gives the column of the n-th stroke after this
// one, evaluated, or nil beyond the end.
func (c *column) evaluate(after func(n int) *column, h *hand) {
	s := 0
	var pairs [mostStrings]pair
	for r := range c.runs {
		a := &c.runs[r]
		next := after(a.n)
		if next != nil && len(next.sorted) == 0 {
			next.sort()
		}
		for ; s < len(c.states) && c.states[s].run == r; s++ {
			v := value{cost: c.states[s].own, placings: 1}
			if next == nil && c.opens(a) {
				v = value{cost: h.piece(a.k), placings: 1}
			}
			if next != nil {
				best := next.follow(a, &c.states[s], &pairs, h)
				v = value{cost: plus(v.cost, best.cost), placings: 1 + best.placings}
			}
			c.values[s] = v
		}
	}
	c.sorted = c.sorted[:0]
}

// follow finds the best that can come after state s of run a, from this column on.
// The states are looked at in the order of their values: no change costs less than
// nothing, so when the value alone is too much, all the rest are.
func (c *column) follow(a *run, s *state, pairs *[mostStrings]pair, h *hand) value {
	best := value{cost: mostCost + 1}
	for _, n := range c.sorted {
		v := c.values[n]
		if !v.less(best) {
			break
		}
		t := &c.states[n]
		pr := &pairs[t.run]
		if pr.a != a {
			*pr = pair{}
			pr.set(a, &c.runs[t.run], h)
			pr.price(h)
		}
		room := int64(mostCost)
		if best.cost < mostCost { // no sum is cut off
			room = best.cost - v.cost
		}
		if pr.floor > room {
			continue
		}
		cost, ok := pr.costWithin(room, s, t, h)
		if !ok {
			continue
		}
		v.cost = plus(v.cost, cost)
		if v.less(best) {
			best = v
		}
	}
	return best
}

// changeCost is the cost of the change from one state to another.
func (h *hand) changeCost(p *pair, a, b *state) int64 {
	c := p.change(a, b)
	return p.cost(c, p.load(c, a, b, h), h)
}

// window is how many columns are at hand: a stroke's and those of the strokes at
// which its placings can end.
const window = 8

// programme is the work on one hand's strokes. Columns are made when asked for.
type programme struct {
	h        *hand
	strokes  []Stroke
	borrowed []bool // which strokes take notes of the other staff; nil for none
	lengths  []int  // of the placings, by their first stroke; nil when they are to be found
	table    *table // nil where no values are worked out
	memo     *memo  // nil where nothing is remembered
	buffer   []byte // to write down in
	from, to run    // to write placings down from, with their states
	before   state
	at       state
	columns  [window]column
}

func newProgramme(strokes []Stroke, h *hand) *programme {
	p := programmes.Get().(*programme)
	p.begin(strokes, h)
	p.table = newTable(len(strokes))
	p.memo = h.memoFor(len(strokes))
	return p
}

// programmes are those whose work is done: the next one fills their columns anew. A
// part asks for hundreds.
var programmes = sync.Pool{New: func() any {
	p := new(programme)
	for i := range p.columns {
		p.columns[i] = newColumn()
	}
	return p
}}

// begin empties the programme for other strokes, without a table.
func (p *programme) begin(strokes []Stroke, h *hand) {
	p.h, p.strokes, p.borrowed, p.lengths, p.table, p.memo = h, strokes, nil, nil, nil, nil
	for i := range p.columns {
		p.columns[i].at, p.columns[i].values = -1, nil
	}
}

// end gives the programme back when nothing holds its columns or its table any more.
func (p *programme) end() {
	if p.table != nil {
		p.table.end()
	}
	p.begin(nil, nil)
	programmes.Put(p)
}

func newColumn() column {
	return column{
		at:     -1,
		runs:   make([]run, 0, mostStrings),
		states: make([]state, 0, mostStates),
		sorted: make([]int8, 0, mostStates),
	}
}

// column gives what can start at stroke i. It holds until a column a window away is
// asked for.
func (p *programme) column(i int) *column {
	c := &p.columns[i%window]
	if c.at != i {
		c.fill(i, p.strokes[i], p.borrows(i), func(n int) (Stroke, bool, bool) {
			if i+n == len(p.strokes) {
				return Stroke{}, false, false
			}
			return p.strokes[i+n], p.borrows(i + n), true
		}, p.h)
		if p.lengths != nil {
			c.only(p.lengths[i])
		}
		if p.table != nil {
			c.values = p.table.values(i)
		}
	}
	return c
}

func (p *programme) borrows(i int) bool { return p.borrowed != nil && p.borrowed[i] }

// step works out the values of stroke i; those of the four strokes after it must be.
func (p *programme) step(i int) {
	key, base, ok := p.key(i)
	if ok {
		if s := p.memo.find(key); s != nil {
			p.recall(i, s, base)
			p.table.finish(i)
			return
		}
	}
	p.column(i).evaluate(func(n int) *column {
		if i+n == len(p.strokes) {
			return nil
		}
		return p.column(i + n)
	}, p.h)
	p.table.finish(i)
	if ok {
		p.remember(i, key, base)
	}
}
