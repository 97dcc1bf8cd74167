package hands

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

// column is what can start at one stroke.
type column struct {
	at     int // the stroke; -1 when the column is empty
	runs   []run
	states []state
	sorted []int8 // the states by value, best first; empty when not yet sorted
}

// window is how many columns are at hand: a stroke's and those of the strokes at
// which its placings can end.
const window = 8

// programme is the work on one hand's strokes. Columns are made when asked for.
type programme struct {
	h       *hand
	strokes []Stroke
	columns [window]column
}

func newProgramme(strokes []Stroke, h *hand) *programme {
	p := &programme{h: h, strokes: strokes}
	for i := range p.columns {
		p.columns[i] = column{
			at:     -1,
			runs:   make([]run, 0, mostStrings),
			states: make([]state, 0, mostStates),
			sorted: make([]int8, 0, mostStates),
		}
	}
	return p
}

// column gives what can start at stroke i. It holds until a column a window away is
// asked for.
func (p *programme) column(i int) *column {
	c := &p.columns[i%window]
	if c.at == i {
		return c
	}
	c.at, c.runs, c.states, c.sorted = i, c.runs[:0], c.states[:0], c.sorted[:0]
	r, ok := lone(p.strokes, i, p.h), true
	for ok {
		c.states = r.appendStates(c.states, len(c.runs), p.h)
		c.runs = append(c.runs, r)
		r, ok = r.extended(p.strokes, p.h)
	}
	return c
}

// sort puts the states of a column in the order of their values.
func (c *column) sort(values *[mostStates]value) {
	for i := range c.states {
		j := len(c.sorted)
		c.sorted = append(c.sorted, int8(i))
		for ; j > 0 && values[i].less(values[c.sorted[j-1]]); j-- {
			c.sorted[j] = c.sorted[j-1]
		}
		c.sorted[j] = int8(i)
	}
}

// step fills the values of the states that start at stroke i. The values of the four
// strokes after it must be there.
func (p *programme) step(i int, t *table) {
	c, values := p.column(i), t.values(i)
	for s := range c.states {
		values[s] = value{cost: c.states[s].own, placings: 1}
	}
	s := 0
	for r := range c.runs {
		a := &c.runs[r]
		end := a.to + 1
		if end == len(p.strokes) {
			break
		}
		next, nextValues := p.column(end), t.values(end)
		if len(next.sorted) == 0 {
			next.sort(nextValues)
		}
		var pairs [mostStrings]pair
		for ; s < len(c.states) && c.states[s].run == r; s++ {
			best := p.follow(a, &c.states[s], next, nextValues, &pairs)
			values[s].cost = plus(values[s].cost, best.cost)
			values[s].placings += best.placings
		}
	}
	c.sorted = c.sorted[:0]
}

// follow finds the best that can come after state s of run a. The states that may
// follow are looked at in the order of their values: no change costs less than
// nothing, so when the value alone is too much, all the rest are.
func (p *programme) follow(a *run, s *state, next *column, values *[mostStates]value, pairs *[mostStrings]pair) value {
	best := value{cost: mostCost, placings: int32(len(p.strokes)) + 1}
	for _, n := range next.sorted {
		v := values[n]
		if !v.less(best) {
			break
		}
		t := &next.states[n]
		pr := &pairs[t.run]
		if pr.a == nil {
			*pr = p.h.pair(a, &next.runs[t.run], p.strokes)
		}
		v.cost = plus(v.cost, p.h.changeCost(pr, s, t))
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
