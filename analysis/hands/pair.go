package hands

import (
	"math"
	"math/bits"
)

// pair is what two runs, one right after the other, have to do with each other
// whatever their fingers are.
type pair struct {
	a, b     *run
	have     float64 // from the last stroke of a to the first of b
	afresh   bool
	under    bool              // a cross-under, if a's last finger allows it
	over     bool              // a cross-over, likewise
	pivot    bool              // a pivot, if b's first fingers allow it
	near     bool              // both lie within the hand's outer span
	same     bool              // the same strings
	common   uint8             // which strings of b are in a, bit j for the j-th
	restrike int               // strings that come back soon
	distance float64           // between the mean strings, where they are not near
	again    float64           // largest load of a string that comes back
	floor    int64             // what the change costs at least, whatever the fingers
	inTime   [Leap + 1]int64   // what each kind of change that can be costs where there is time
	hurry    [Leap + 1]float64 // and its largest load, whatever the fingers
}

// pair works out what a and b have to do with each other.
func (h *hand) pair(a, b *run) (p pair) {
	p.set(a, b, h)
	p.price(h)
	return p
}

// set works out what a and b have to do with each other, but for the costs. The pair
// must be empty.
func (p *pair) set(a, b *run, h *hand) {
	p.a, p.b, p.have = a, b, b.first()-a.last()
	if p.have >= h.Afresh-sameTime {
		p.afresh = true
		return
	}
	if last := a.n - 1; last > 0 && a.size[last] == 1 {
		up := a.order == StraightUp || a.order == CrossedUp
		down := a.order == StraightDown || a.order == CrossedDown
		p.under = up && b.low() > a.high() && b.low()-a.high() <= h.CrossReach
		p.over = down && b.high() < a.low() && a.low()-b.high() <= h.CrossReach
		p.pivot = p.pivots(h)
	}
	p.near = max(a.high(), b.high())-min(a.low(), b.low()) <= h.Outer.Most
	if !p.near {
		p.distance = min(between(a, b), float64(h.MostSteps))
	}
	p.compare(h)
	p.same = a.k == b.k && bits.OnesCount8(p.common) == a.k
	p.may(h)
}

// compare looks for strings of a that come back in b.
func (p *pair) compare(h *hand) {
	a, b := p.a, p.b
	if a.high() < b.low() || b.high() < a.low() {
		return
	}
	for j, string := range b.strings[:b.k] {
		for i := range a.k {
			if a.strings[i] != string {
				continue
			}
			p.common |= 1 << j
			need, have := h.sameString(a, b, i, j), b.at[j]-a.at[i]
			p.again = max(p.again, load(need, have))
			if have < h.RestrikeWithin-sameTime {
				p.restrike++
			}
		}
	}
}

// may finds out what the kinds of change ask for that some fingers allow.
func (p *pair) may(h *hand) {
	for _, c := range p.kinds() {
		if c == NoChange {
			continue
		}
		p.hurry[c] = max(p.again, load(p.least(c, h), p.have))
	}
}

// kinds are those changes; NoChange where there are less.
func (p *pair) kinds() (all [3]Change) {
	all[0] = Leap
	if p.near {
		all[0] = SamePlace
	}
	switch {
	case p.under:
		all[1] = CrossUnder
	case p.over:
		all[1] = CrossOver
	}
	if p.pivot {
		all[2] = Pivot
	}
	return all
}

// price finds out what they cost.
func (p *pair) price(h *hand) {
	if p.afresh {
		return
	}
	p.floor = mostCost
	for _, c := range p.kinds() {
		if c == NoChange {
			continue
		}
		p.inTime[c] = millionths(p.unhurried(c, h))
		p.floor = min(p.floor, p.cost(c, p.hurry[c], h))
	}
}

// pivots says whether the hand can turn about a's last string to b, but for the
// fingers: b lies within reach of it and does not begin with it.
func (p *pair) pivots(h *hand) bool {
	last := 0
	for j := range p.a.k {
		if int(p.a.stroke[j]) == p.a.n-1 {
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
	if int(a.stroke[i]) == a.n-1 && b.stroke[j] == 0 {
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
	for _, s := range r.strings[:r.k] {
		sum += s
	}
	return sum
}

func distance(a, b int) int { return max(a-b, b-a) }

// change says which way the hand goes, the first that fits.
func (p *pair) change(a, b *state) Change {
	switch {
	case p.afresh:
		return Afresh
	case p.under && a.has(1):
		return CrossUnder
	case p.over && a.ringmost() >= 3:
		return CrossOver
	case p.pivot && b.first&a.last == 0:
		return Pivot
	case p.near:
		return SamePlace
	default:
		return Leap
	}
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
	l, _ := p.loadWithin(math.Inf(1), c, a, b, h)
	return l
}

// loadWithin is the largest load of the change's needs, if it is no more than most.
// False when it is more, or perhaps when it is: what is too much is not divided.
func (p *pair) loadWithin(most float64, c Change, a, b *state, h *hand) (worst float64, ok bool) {
	worst = p.hurry[c]
	if worst > most {
		return 0, false
	}
	if c == Afresh {
		return worst, true
	}
	added := h.added(c)
	for rest := b.fingers; rest != 0; rest &= rest - 1 {
		f := rest.thumbmost()
		j := int(b.at[f])
		var need, have float64
		switch {
		case a.has(f):
			i := int(a.at[f])
			need, have = p.cycle(i, j, added, h), p.b.at[j]-p.a.at[i]
		case p.common>>j&1 == 0:
			need, have = p.newcomer(j, added, h), p.b.at[j]-p.a.first()
		default:
			continue
		}
		if need > most*have+sameTime {
			return 0, false
		}
		worst = max(worst, load(need, have))
	}
	return worst, true
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

// unhurried is the cost of the change where there is time.
func (p *pair) unhurried(c Change, h *hand) float64 {
	return p.flat(c, h) + h.Restrike*float64(p.restrike)
}

// cost is what the change costs, in millionths.
func (p *pair) cost(c Change, load float64, h *hand) int64 {
	if load > 1 && c != Afresh {
		return millionths(p.unhurried(c, h) + h.excess(load))
	}
	return p.inTime[c]
}

// costWithin is what the change from one state to another costs, in millionths, if it
// is no more than there is room for. False when it is more, or perhaps when it is.
func (p *pair) costWithin(room int64, a, b *state, h *hand) (cost int64, ok bool) {
	c := p.change(a, b)
	if c == Afresh {
		return 0, true
	}
	if p.inTime[c] > room {
		return 0, false
	}
	// A load above this costs more than there is room for: by two millionths more,
	// against rounding.
	most := math.Inf(1)
	if room < mostCost {
		most = 1 + float64(room-p.inTime[c]+2)*h.loadOfMillionth
	}
	worst, ok := p.loadWithin(most, c, a, b, h)
	if !ok {
		return 0, false
	}
	return p.cost(c, worst, h), true
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
			have := p.b.at[j] - p.a.first()
			need := p.newcomer(j, added, h)
			all = append(all, Need{Kind: NewFinger, Seconds: need, Have: have, Load: load(need, have),
				From: p.a.from, To: p.b.from + int(p.b.stroke[j]), ToString: p.b.strings[j], Finger: f})
		}
	}
	return all
}

// need is one from the i-th string of a to the j-th of b.
func (p *pair) need(kind NeedKind, seconds float64, i, j int) Need {
	have := p.b.at[j] - p.a.at[i]
	return Need{Kind: kind, Seconds: seconds, Have: have, Load: load(seconds, have),
		From: p.a.from + int(p.a.stroke[i]), To: p.b.from + int(p.b.stroke[j]), FromString: p.a.strings[i], ToString: p.b.strings[j]}
}
