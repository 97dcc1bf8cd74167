package hands

import "math/bits"

// pair is what two runs, one right after the other, have to do with each other
// whatever their fingers are.
type pair struct {
	a, b     *run
	have     float64 // from the last stroke of a to the first of b
	afresh   bool
	under    bool // a cross-under, if a's last finger allows it
	over     bool // a cross-over, likewise
	pivot    bool // a pivot, if b's first fingers allow it
	near     bool // both lie within the hand's outer span
	same     bool // the same strings
	distance float64
	common   uint8   // which strings of b are in a, bit j for the j-th
	again    float64 // largest load of a string that comes back
	restrike int     // strings that come back soon
	floor    int64   // what the change costs at least, whatever the fingers
	// inTime is what each kind of change costs where there is time, plus one; 0 for not
	// yet known.
	inTime [Leap + 1]int64
}

// pair works out what a and b have to do with each other.
func (h *hand) pair(a, b *run) pair {
	p := pair{a: a, b: b, have: b.first() - a.last()}
	if p.have >= h.Afresh-sameTime {
		p.afresh = true
		return p
	}
	if last := a.n - 1; last > 0 && a.size[last] == 1 {
		up := a.order == StraightUp || a.order == CrossedUp
		down := a.order == StraightDown || a.order == CrossedDown
		p.under = up && b.low() > a.high() && b.low()-a.high() <= h.CrossReach
		p.over = down && b.high() < a.low() && a.low()-b.high() <= h.CrossReach
		p.pivot = p.pivots(h)
	}
	p.near = max(a.high(), b.high())-min(a.low(), b.low()) <= h.Outer.Most
	p.distance = min(between(a, b), float64(h.MostSteps))
	for j := range b.k {
		for i := range a.k {
			if a.strings[i] != b.strings[j] {
				continue
			}
			p.common |= 1 << j
			need, have := h.sameString(a, b, i, j), b.at(j)-a.at(i)
			p.again = max(p.again, load(need, have))
			if have < h.RestrikeWithin-sameTime {
				p.restrike++
			}
		}
	}
	p.same = a.k == b.k && bits.OnesCount8(p.common) == a.k
	p.floor = p.cost(p.cheapest(h), p.again, h)
	return p
}

// pivots says whether the hand can turn about a's last string to b, but for the
// fingers: b lies within reach of it and does not begin with it.
func (p *pair) pivots(h *hand) bool {
	last := 0
	for j := range p.a.k {
		if p.a.stroke[j] == p.a.n-1 {
			last = p.a.strings[j]
		}
	}
	for j := range p.b.k {
		if p.b.stroke[j] == 0 && p.b.strings[j] == last {
			return false
		}
	}
	return distance(p.b.low(), last) <= h.Outer.Most && distance(p.b.high(), last) <= h.Outer.Most
}

// sameString is the time from the i-th string of a to the j-th of b, which are one.
func (h *hand) sameString(a, b *run, i, j int) float64 {
	if a.stroke[i] == a.n-1 && b.stroke[j] == 0 {
		return h.SameNext
	}
	return h.SameString
}

// between is the distance of the mean strings. It is one division of whole numbers, so
// that it does not depend on where on the harp they lie.
func between(a, b *run) float64 {
	return float64(distance(b.sum()*a.k, a.sum()*b.k)) / float64(a.k*b.k)
}

func (r *run) sum() int {
	sum := 0
	for j := range r.k {
		sum += r.strings[j]
	}
	return sum
}

func distance(a, b int) int { return max(a-b, b-a) }

// change says which way the hand goes, the first that fits.
func (p *pair) change(a, b *state) Change {
	switch {
	case p.afresh:
		return Afresh
	case p.under && a.thumbmost() == 1:
		return CrossUnder
	case p.over && a.ringmost() >= 3:
		return CrossOver
	case p.pivot && p.firstFingers(b)&p.lastFinger(a) == 0:
		return Pivot
	case p.near:
		return SamePlace
	default:
		return Leap
	}
}

// lastFinger is the finger of a's last stroke, which is one string.
func (p *pair) lastFinger(a *state) (last fingers) {
	for j := range p.a.k {
		if p.a.stroke[j] == p.a.n-1 {
			last |= 1 << (a.on(j) - 1)
		}
	}
	return last
}

// firstFingers are those of b's first stroke.
func (p *pair) firstFingers(b *state) (first fingers) {
	for j := range p.b.k {
		if p.b.stroke[j] == 0 {
			first |= 1 << (b.on(j) - 1)
		}
	}
	return first
}

// cheapest is the change that costs least of those that some fingers allow.
func (p *pair) cheapest(h *hand) Change {
	c := Leap
	if p.near {
		c = SamePlace
	}
	for _, other := range [...]struct {
		may bool
		c   Change
	}{{p.under, CrossUnder}, {p.over, CrossOver}, {p.pivot, Pivot}} {
		if other.may && p.flat(other.c, h) < p.flat(c, h) {
			c = other.c
		}
	}
	return c
}

// least is the time that the change takes from stroke to stroke.
func (p *pair) least(c Change, h *hand) float64 {
	switch c {
	case CrossUnder:
		return h.CrossUnder.Least
	case CrossOver:
		return h.CrossOver.Least
	case Pivot:
		return h.Pivot.Least
	case SamePlace:
		return h.SamePlace.Least
	case Leap:
		return h.Leap.Least + h.Leap.LeastPerStep*p.distance
	default:
		return 0
	}
}

// added is what a finger needs more in this change.
func (h *hand) added(c Change) float64 {
	switch c {
	case CrossUnder:
		return h.CycleUnder
	case CrossOver:
		return h.CycleOver
	default:
		return 0
	}
}

// cycle is the time of a finger from the i-th string of a to the j-th of b.
func (p *pair) cycle(i, j int, added float64, h *hand) float64 {
	steps := min(distance(p.a.strings[i], p.b.strings[j]), h.MostSteps)
	return h.Cycle + h.CyclePerStep*float64(steps) + added + h.CyclePerNote*float64(p.b.size[p.b.stroke[j]]-1)
}

// newcomer is the time of a finger that a does not use, to the j-th string of b.
func (p *pair) newcomer(j int, added float64, h *hand) float64 {
	return h.NewFinger + added + h.CyclePerNote*float64(p.b.size[p.b.stroke[j]]-1)
}

// load is the largest load of the change's needs. It is what needs lists, without
// the list.
func (p *pair) load(c Change, a, b *state, h *hand) float64 {
	if c == Afresh {
		return 0
	}
	worst := max(p.again, load(p.least(c, h), p.have))
	added := h.added(c)
	for rest := b.fingers; rest != 0; rest &= rest - 1 {
		f := rest.thumbmost()
		j := b.at[f]
		switch {
		case a.has(f):
			i := a.at[f]
			worst = max(worst, load(p.cycle(int(i), int(j), added, h), p.b.at(int(j))-p.a.at(int(i))))
		case p.common>>j&1 == 0:
			worst = max(worst, load(p.newcomer(int(j), added, h), p.b.at(int(j))-p.a.first()))
		}
	}
	return worst
}

// flat is the cost of the change by its kind.
func (p *pair) flat(c Change, h *hand) float64 {
	switch c {
	case CrossUnder:
		return h.CrossUnder.Cost
	case CrossOver:
		return h.CrossOver.Cost
	case Pivot:
		return h.Pivot.Cost
	case SamePlace:
		if p.same {
			return h.SameStrings
		}
		return h.SamePlace.Cost
	case Leap:
		return h.Leap.Cost + h.Leap.CostPerStep*p.distance
	default:
		return 0
	}
}

// cost is what the change costs, in millionths.
func (p *pair) cost(c Change, load float64, h *hand) int64 {
	if c == Afresh {
		return 0
	}
	if load > 1 {
		return millionths(p.flat(c, h) + h.Restrike*float64(p.restrike) + h.excess(load))
	}
	if p.inTime[c] == 0 {
		p.inTime[c] = 1 + millionths(p.flat(c, h)+h.Restrike*float64(p.restrike))
	}
	return p.inTime[c] - 1
}

// needs lists everything the change asks of the hand, the change itself first, then
// strings and fingers from the lowest string of b up.
func (p *pair) needs(c Change, a, b *state, h *hand) []Need {
	if c == Afresh {
		return nil
	}
	least := p.least(c, h)
	all := []Need{{Kind: ChangeLeast, Seconds: least, Have: p.have, Load: load(least, p.have), From: p.a.to(), To: p.b.from}}
	for j := range p.b.k {
		for i := range p.a.k {
			if p.a.strings[i] == p.b.strings[j] {
				all = append(all, p.need(SameString, h.sameString(p.a, p.b, i, j), i, j))
			}
		}
	}
	added := h.added(c)
	for j := range p.b.k {
		f := b.on(j)
		if a.has(f) {
			i := int(a.at[f])
			n := p.need(FingerCycle, p.cycle(i, j, added, h), i, j)
			n.Finger = f
			all = append(all, n)
		} else if p.common>>j&1 == 0 {
			have := p.b.at(j) - p.a.first()
			need := p.newcomer(j, added, h)
			all = append(all, Need{Kind: NewFinger, Seconds: need, Have: have, Load: load(need, have),
				From: p.a.from, To: p.b.from + p.b.stroke[j], ToString: p.b.strings[j], Finger: f})
		}
	}
	return all
}

// need is one from the i-th string of a to the j-th of b.
func (p *pair) need(kind NeedKind, seconds float64, i, j int) Need {
	have := p.b.at(j) - p.a.at(i)
	return Need{Kind: kind, Seconds: seconds, Have: have, Load: load(seconds, have),
		From: p.a.from + p.a.stroke[i], To: p.b.from + p.b.stroke[j], FromString: p.a.strings[i], ToString: p.b.strings[j]}
}
