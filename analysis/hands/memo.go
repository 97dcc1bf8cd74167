package hands

import (
	"encoding/binary"
	"hash/maphash"
	"math"
	"sync"
)

// memo remembers the steps of the programme. Music says the same again and again, at
// another place on the harp and later. What a step finds depends on its stroke, on the
// time to the next one, and on what follows there: the strokes that placings can reach
// from there on, and what they are worth to each other. So a step is looked up under
// these, and only worked out where it is new.
//
// It holds as many steps as two generations, some eight megabytes: when one is full, the
// one before it is forgotten, but for what was used since. What is forgotten is worked
// out again. It may be used by several goroutines at a time.
type memo struct {
	mu       sync.Mutex
	new, old map[stepKey]*step
	seeds    [2]maphash.Seed
}

// generation is how many steps a generation has.
const generation = 1 << 14

// stepKey is all that a step depends on.
type stepKey struct {
	stroke uint64   // its strings, from the lowest of the next stroke on; see strokeKey
	gap    int64    // ticks to the next stroke; 0 where the hand starts afresh there
	after  likeness // of what follows from the next stroke on; see alone
}

// likeness tells apart what follows from a stroke on: 128 bits of a hash, under a seed
// that is drawn anew for each memo. Zero stands for what cannot be looked up.
type likeness [2]uint64

// alone is the likeness of what follows where the hand starts afresh, or the music ends.
var alone = likeness{1, 0}

// step is what the programme finds at a stroke: the values of its states, less that of
// what follows; see key.
type step struct {
	costs    [mostStates]int32
	placings [mostStates]int8
	states   uint8      // how many there are
	here     likeness   // of what follows from this stroke on
	lanes    *laneMarks // what lanes found here; nil for nothing
}

// laneMarks is what reading the lanes forwards found at a stroke. Guarded by the memo.
type laneMarks struct {
	trails []trail
	edges  []edges
	placed []placed
}

// trail is where the lanes go on: from the placing of n strokes that begins at the
// stroke, in one of some fingerings, to that of next strokes in one of others.
type trail struct {
	n, next      int8
	reach, other uint8
}

// edges is where cheapest sequences go from the placing of n strokes that begins at the
// stroke, in one of some fingerings, to that of next strokes in one of others: which of
// the first are left so, and which of the others reached.
type edges struct {
	n, next       int8
	from, to      uint8
	left, reached uint8
}

// placed is the placing after the one of n strokes that begins at the stroke, but for
// its place and its fingers.
type placed struct {
	n, next  int8
	from, to fingers
	Placing
}

func newMemo() *memo {
	return &memo{new: map[stepKey]*step{}, seeds: [2]maphash.Seed{maphash.MakeSeed(), maphash.MakeSeed()}}
}

// find gives the step that is remembered; nil for none.
func (m *memo) find(k stepKey) *step {
	m.mu.Lock()
	defer m.mu.Unlock()
	s := m.new[k]
	if s == nil {
		if s = m.old[k]; s != nil {
			m.write(k, s)
		}
	}
	return s
}

// keep remembers a step.
func (m *memo) keep(k stepKey, s *step) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.write(k, s)
}

func (m *memo) write(k stepKey, s *step) {
	if len(m.new) >= generation {
		m.old, m.new = m.new, make(map[stepKey]*step, generation)
	}
	m.new[k] = s
}

// trail finds where the lanes go on from a step; false where it is not remembered.
func (m *memo) trail(s *step, n int8, reach uint8) (trail, bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if s.lanes != nil {
		for _, t := range s.lanes.trails {
			if t.n == n && t.reach == reach {
				return t, true
			}
		}
	}
	return trail{}, false
}

// edges finds which fingerings of two placings meet after a step; false where it is not
// remembered.
func (m *memo) edges(s *step, n, next int8, from, to uint8) (edges, bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if s.lanes != nil {
		for _, e := range s.lanes.edges {
			if e.n == n && e.next == next && e.from == from && e.to == to {
				return e, true
			}
		}
	}
	return edges{}, false
}

// placing completes what is known of the placing after a step's; false where it is not
// remembered.
func (m *memo) placing(s *step, as placed) (Placing, bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if s.lanes != nil {
		for i := range s.lanes.placed {
			p := &s.lanes.placed[i]
			if p.n == as.n && p.next == as.next && p.from == as.from && p.to == as.to {
				return p.Placing, true
			}
		}
	}
	return Placing{}, false
}

// mark writes down what lanes found at a step.
func (m *memo) mark(s *step, found func(*laneMarks)) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if s.lanes == nil {
		s.lanes = &laneMarks{}
	}
	found(s.lanes)
}

// perSecond is how many ticks a second has, see score.Tick. Differences of times that
// are whole ticks are exact, so what is worked out from equal ones is equal bit by bit.
const perSecond = 1 << 36

// ticks gives a time in whole ticks; false when it is none, or too late to be exact.
func ticks(t float64) (n int64, ok bool) {
	n = int64(t * perSecond)
	return n, float64(n) == t*perSecond && math.Abs(t) < 1<<17
}

// strokeKey writes down a stroke: how many strings, how far they lie from a string, and
// the fingers printed on them. False when they are too far away.
func strokeKey(s Stroke, borrowed bool, base int) (key uint64, ok bool) {
	strings := s.counted()
	away := strings[0] - base + 1<<15
	ok = away >= 0 && away < 1<<16
	key = uint64(away)<<3 | uint64(min(len(s.Strings), mostStrings+1))
	for _, string := range strings[1:] {
		above := string - strings[0]
		ok = ok && above < 1<<8
		key = key<<8 | uint64(above)
	}
	key <<= 3 * mostStrings
	for j, f := range s.printed() {
		ok = ok && 0 <= f && f < 1<<3
		key |= uint64(f) << (3 * j)
	}
	key <<= 1
	if borrowed {
		key |= 1
	}
	return key, ok
}

// key is what the step of stroke i is looked up under, and the value that its values are
// less; false where it cannot be looked up.
func (p *programme) key(i int) (k stepKey, base value, ok bool) {
	if p.memo == nil {
		return k, base, false
	}
	s := p.strokes[i]
	below := s.counted()[0]
	k.after = alone
	switch {
	case i+1 == len(p.strokes):
	case p.afresh(i + 1):
		base = p.best(i + 1)
	default:
		now, exact := ticks(s.T)
		next, also := ticks(p.strokes[i+1].T)
		if !exact || !also {
			return k, base, false
		}
		k.gap, k.after = next-now, p.likeness(i+1)
		if k.after == (likeness{}) {
			return k, base, false
		}
		below = p.strokes[i+1].counted()[0]
		base = p.table.values(i + 1)[0]
	}
	k.stroke, ok = strokeKey(s, p.borrows(i), below)
	return k, base, ok && base.cost < mostCost/2
}

// afresh says whether the hand starts afresh at stroke i.
func (p *programme) afresh(i int) bool { return p.strokes[i].T-p.strokes[i-1].T >= p.h.Afresh-sameTime }

// best is the best value of stroke i; that of nothing beyond the end.
func (p *programme) best(i int) value {
	if i == len(p.strokes) {
		return value{}
	}
	all := p.table.values(i)[:p.count(i)]
	best := all[0]
	for _, v := range all[1:] {
		if v.less(best) {
			best = v
		}
	}
	return best
}

// count is how many states start at stroke i.
func (p *programme) count(i int) int {
	if s := p.table.step(i); s != nil {
		return int(s.states)
	}
	return len(p.column(i).states)
}

// recall fills the values of stroke i from what is remembered.
func (p *programme) recall(i int, s *step, base value) {
	values := p.table.values(i)
	for n := range s.states {
		values[n] = value{base.cost + int64(s.costs[n]), base.placings + int32(s.placings[n])}
	}
	p.table.remember(i, s)
}

// remember writes the step of stroke i down, which is evaluated.
func (p *programme) remember(i int, k stepKey, base value) {
	c := p.column(i)
	s := &step{states: uint8(len(c.states))}
	for n := range c.states {
		v := c.values[n]
		cost, placings := v.cost-base.cost, v.placings-base.placings
		s.costs[n], s.placings[n] = int32(cost), int8(placings)
		if v.cost >= mostCost/2 || int64(s.costs[n]) != cost || int32(s.placings[n]) != placings {
			return
		}
	}
	if s.here = p.liken(i); s.here != (likeness{}) {
		p.memo.keep(k, s)
		p.table.remember(i, s)
	}
}

// likeness is that of what follows from stroke i on, which is evaluated.
func (p *programme) likeness(i int) likeness {
	if s := p.table.step(i); s != nil {
		return s.here
	}
	return p.liken(i)
}

// liken works the likeness out. What can be before the stroke meets what follows in the
// placings that begin there, or, when one that began before goes on over some strokes,
// in those that begin after these: as long as they hold no more than three strings
// together.
func (p *programme) liken(i int) likeness {
	base := p.table.values(i)[0]
	buffer := p.buffer[:0]
	over, reach := 0, 0
	for _, r := range p.column(i).runs {
		if !r.forced && r.k < mostStrings {
			over++
		}
	}
	for n := 0; n <= over; n++ {
		if at := i + n; at == len(p.strokes) || n > 0 && p.afresh(at) {
			best := p.best(at)
			buffer = append(buffer, 0xff)
			buffer = binary.AppendVarint(buffer, best.cost-base.cost)
			buffer = binary.AppendVarint(buffer, int64(best.placings-base.placings))
			break
		}
		c := p.column(i + n)
		buffer = append(buffer, byte(len(c.runs)), byte(len(c.states)))
		for _, v := range c.values[:len(c.states)] {
			buffer = binary.AppendVarint(buffer, v.cost-base.cost)
			buffer = binary.AppendVarint(buffer, int64(v.placings-base.placings))
		}
		reach = max(reach, n+len(c.runs))
	}
	lowest := p.strokes[i].counted()[0]
	before := int64(0)
	for n := range reach {
		key, ok := strokeKey(p.strokes[i+n], p.borrows(i+n), lowest)
		now, exact := ticks(p.strokes[i+n].T)
		if !ok || !exact {
			return likeness{}
		}
		buffer = binary.LittleEndian.AppendUint64(buffer, key)
		if n > 0 {
			buffer = binary.AppendVarint(buffer, now-before)
		}
		before = now
	}
	p.buffer = buffer
	return likeness{maphash.Bytes(p.memo.seeds[0], buffer) | 1<<1, maphash.Bytes(p.memo.seeds[1], buffer)}
}
