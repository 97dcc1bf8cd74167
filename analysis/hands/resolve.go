package hands

import "slices"

// Resolve is Solve for strokes that are mostly those of an earlier solution, as after
// an edit: the same answer, worked out only as far as it can have changed. The earlier
// solution stays as it is.
//
// Strokes after the edit that are moved in time count as the same when they are moved
// by exactly one amount, without rounding. Times that are sums of multiples of a power
// of two, such as 2⁻³⁶ s, have that; times that are rounded one by one have not, and are
// then worked out again.
//
// The programme goes from the last changed stroke towards the beginning until its table
// equals the old one but for a constant; then the ties are read forwards until they
// meet the old path.
func (s *Solution) Resolve(strokes []Stroke) *Solution {
	head, tail := same(s.Strokes, strokes)
	if head == len(strokes) && head == len(s.Strokes) {
		return s
	}
	p := newProgramme(strokes, s.h)
	defer p.end()
	r := &resolving{
		programme: p, old: s,
		moved: len(strokes) - len(s.Strokes),
		head:  head, tail: len(strokes) - tail,
	}
	if len(strokes) == 0 || !r.tables() {
		return newProgramme(strokes, s.h).solve()
	}
	r.trace()
	return r.solution()
}

// same counts the strokes that two lists have in common at the beginning, and those
// at the end but for one exact shift in time.
func same(old, new []Stroke) (head, tail int) {
	shortest := min(len(old), len(new))
	for head < shortest && old[head].T == new[head].T && old[head].same(new[head]) {
		head++
	}
	if head == shortest {
		return head, 0
	}
	shift := new[len(new)-1].T - old[len(old)-1].T
	for tail < shortest-head {
		a, b := old[len(old)-1-tail], new[len(new)-1-tail]
		if !exactSum(a.T, shift, b.T) || !a.same(b) {
			break
		}
		tail++
	}
	return head, tail
}

// exactSum says whether a + b is c without rounding.
func exactSum(a, b, c float64) bool {
	sum := a + b
	rest := sum - a
	return sum == c && (a-(sum-rest))+(b-rest) == 0
}

// resolving is the work of one Resolve.
type resolving struct {
	*programme
	old   *Solution
	moved int // by how many places the strokes after the change stand later
	head  int // strokes before this one are as they were
	tail  int // strokes from this one on are as they were
	// equal is the stroke up to which, with the three after it, tables are equal but
	// for a constant; -1 when they never are.
	equal int

	lanes []lane
	first int // the first lane that is not simply the old one
	meets int // the first lane from which on lanes are the old ones again
	stays int // the old lane that this one is
}

// tables works out the new values: from the first checkpoint after the change down to
// the first one before it at which they equal the old. False when costs are so absurd
// that they were cut off; equality then says nothing.
func (r *resolving) tables() bool {
	t := r.table
	start := len(r.strokes)
	for _, c := range r.old.checkpoints {
		if c.at+r.moved >= r.tail {
			c.at += r.moved
			t.checkpoints = append(t.checkpoints, c)
		}
	}
	if len(t.checkpoints) > 0 {
		start = t.checkpoints[0].at
		t.load(&t.checkpoints[0])
	}
	// Tables can be equal where all that placings from there hold is as it was.
	before := slices.Clone(r.old.checkpoints)
	for len(before) > 0 && before[len(before)-1].at+2*mostStrings-1 > r.head {
		before = before[:len(before)-1]
	}
	r.equal = -1
	var made []checkpoint
	for i := start - 1; i >= 0; i-- {
		r.step(i)
		if t.values(i)[0].cost >= mostCost/2 {
			return false
		}
		if len(before) > 0 && before[len(before)-1].at == i {
			if more, ok := r.equals(&before[len(before)-1]); ok {
				r.equal = i
				for n := range before {
					before[n].more.cost += more.cost
					before[n].more.placings += more.placings
				}
				break
			}
			before = before[:len(before)-1]
		}
		if i > 0 && (start-i)%blockLen == 0 && i+mostStrings <= len(r.strokes) {
			made = append(made, t.keep(i))
		}
	}
	if n := len(made); r.equal >= 0 && n > 0 && made[n-1].at-r.equal < blockLen/2 {
		made = made[:n-1]
	}
	slices.Reverse(made)
	if r.equal < 0 {
		before = nil
	}
	t.checkpoints = slices.Concat(before, made, t.checkpoints)
	return true
}

// equals compares the values at a checkpoint with the new ones. It gives what must be
// added to the old.
func (r *resolving) equals(c *checkpoint) (more value, ok bool) {
	for n := range c.columns {
		states := len(r.column(c.at + n).states)
		for s, v := range c.columns[n][:states] {
			now := r.table.values(c.at + n)[s]
			m := value{now.cost - v.cost - c.more.cost, now.placings - v.placings - c.more.placings}
			if n == 0 && s == 0 {
				more = m
			}
			if m != more {
				return value{}, false
			}
		}
	}
	return more, true
}

// trace finds the new lanes.
func (r *resolving) trace() {
	old := r.old.lanes
	// Lanes that start where tables are equal are the old ones.
	for r.first < len(old) && r.equal >= 0 && old[r.first].from < r.equal+mostStrings {
		r.first++
	}
	r.lanes = append(make([]lane, 0, len(old)+8), old[:r.first]...)
	if r.first == 0 {
		r.lanes = append(r.lanes, r.firstLane())
	}
	r.stays = r.first
	for {
		last := len(r.lanes) - 1
		if last >= r.first && r.meetsOld(&r.lanes[last]) {
			r.meets = last
			r.lanes[last].keep, r.lanes[last].pick = old[r.stays].keep, old[r.stays].pick
			for _, l := range old[r.stays+1:] {
				l.from, l.to = l.from+r.moved, l.to+r.moved
				r.lanes = append(r.lanes, l)
			}
			break
		}
		if r.lanes[last].to+1 == len(r.strokes) {
			r.meets = len(r.lanes)
			r.stays = len(old)
			break
		}
		r.lanes = append(r.lanes, r.nextLane(&r.lanes[last]))
	}
	r.prunes()
	r.chooses()
}

// meetsOld says whether the lane is one of the old, with all that follows it. The old
// lanes are looked at once, in order.
func (r *resolving) meetsOld(l *lane) bool {
	old := r.old.lanes
	for r.stays < len(old) && old[r.stays].from+r.moved < l.from {
		r.stays++
	}
	if r.stays == len(old) || l.from < r.tail {
		return false
	}
	o := &old[r.stays]
	return o.from+r.moved == l.from && o.to+r.moved == l.to && o.reach == l.reach
}

// prunes goes from where lanes meet the old ones towards the beginning, until what is
// kept is what was kept.
func (r *resolving) prunes() {
	i := min(r.meets, len(r.lanes)) - 1
	for ; i >= 0; i-- {
		before := r.lanes[i].keep
		r.prune(r.lanes, i)
		if i < r.first && r.lanes[i].keep == before {
			break
		}
		r.first = min(r.first, i)
	}
}

// chooses picks the fingers from the first changed lane on, until they are those that
// were picked.
func (r *resolving) chooses() {
	for i := r.first; i < len(r.lanes); i++ {
		before := r.lanes[i].pick
		r.choose(r.lanes, i)
		if i >= r.meets && r.lanes[i].pick == before {
			// The placing after this one is reached as before.
			r.stays += i + 1 - r.meets
			r.meets = i + 1
			return
		}
	}
	r.stays += len(r.lanes) - r.meets
	r.meets = len(r.lanes)
}

// solution writes down the changed placings between those that stay.
func (r *resolving) solution() *Solution {
	s := &Solution{
		Hand: r.old.Hand, Strokes: r.strokes, h: r.h,
		checkpoints: r.table.checkpoints,
		lanes:       r.lanes,
	}
	s.Placings = append(make([]Placing, 0, len(r.lanes)), r.old.Placings[:r.first]...)
	s.Placings = r.placings(r.lanes, r.first, r.meets, s.Placings)
	for _, p := range r.old.Placings[min(r.stays, len(r.old.Placings)):] {
		p.From, p.To = p.From+r.moved, p.To+r.moved
		s.Placings = append(s.Placings, p)
	}
	s.sum()
	return s
}
