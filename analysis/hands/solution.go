package hands

import (
	"slices"

	"fourfold/analysis/harp"
)

// Placing is a run of strokes whose strings are all set under the fingers before the
// first of them is plucked, with how it is reached.
type Placing struct {
	From, To int // the first and the last of its strokes
	// Fingers are, stroke by stroke, the finger of each string from the lowest up; 0 for
	// strings below the four that count. Placings share them: they must not be changed.
	Fingers [][]int
	Order   Order
	Change  Change // how it is reached from the placing before
	// Impossible is set on a single stroke of more than four strings, and on one that
	// no fingering takes within the hand's reach.
	Impossible bool
	// Cost is the placing's own, ChangeCost that of the change, in millionths.
	Cost, ChangeCost int64
	// Load is the largest load of its inner gaps, ChangeLoad that of the change's
	// needs; 0 where nothing is needed.
	Load, ChangeLoad float64
	// Beyond counts the steps beyond comfortable that its spans have together.
	Beyond int
}

// Solution is the cheapest fingering of one hand's strokes.
type Solution struct {
	Hand     harp.Hand
	Strokes  []Stroke
	Cost     int64 // millionths
	Placings []Placing
	// MaxLoad is the largest load of all; 0 where nothing is needed.
	MaxLoad float64

	h           *hand
	checkpoints []checkpoint
	lanes       []lane
}

// Solve finds the cheapest fingering. The strokes must be tidy, see Tidy; they are
// kept, and must not be changed afterwards. Equal costs go to fewer placings, then to
// longer placings first, then to smaller fingers first.
func Solve(strokes []Stroke, profile harp.Hand) *Solution {
	return newProgramme(strokes, newHand(profile)).solve()
}

// solve finds the cheapest fingering, and ends the programme.
func (p *programme) solve() *Solution {
	defer p.end()
	h, strokes := p.h, p.strokes
	for i := len(strokes) - 1; i >= 0; i-- {
		p.step(i)
	}
	s := &Solution{Hand: h.Hand, Strokes: strokes, h: h}
	for i := len(strokes) - blockLen; i > 0; i -= blockLen {
		s.checkpoints = append(s.checkpoints, p.table.keep(i))
	}
	slices.Reverse(s.checkpoints)
	s.lanes = p.trace()
	s.Placings = p.placings(s.lanes, 0, len(s.lanes), nil)
	s.sum()
	return s
}

// placings writes down the lanes from one to another, after those already written.
func (p *programme) placings(lanes []lane, from, to int, written []Placing) []Placing {
	written = slices.Grow(written, to-from)
	for i := from; i < to; i++ {
		l := &lanes[i]
		var before *lane
		if i > 0 {
			before = &lanes[i-1]
		}
		pl := p.placed(before, l)
		pl.From, pl.To, pl.Fingers = l.from, l.to, p.lists(l)
		written = append(written, pl)
	}
	return written
}

// placed writes down a lane, which is reached from another; nil before the first.
func (p *programme) placed(before, l *lane) Placing {
	if before == nil {
		return p.place(before, l)
	}
	s := p.table.step(before.from)
	if s == nil || p.afresh(l.from) {
		return p.place(before, l)
	}
	as := placed{n: int8(l.from - before.from), next: int8(l.to - l.from + 1), from: before.pick, to: l.pick}
	if known, ok := p.memo.placing(s, as); ok {
		return known
	}
	as.Placing = p.place(before, l)
	p.memo.mark(s, func(m *laneMarks) { m.placed = append(m.placed, as) })
	return as.Placing
}

// place works out what placed gives.
func (p *programme) place(before, l *lane) Placing {
	// Copied: columns are reused.
	p.to, p.at = *p.run(l), p.state(l)
	if before == nil {
		return p.h.placing(nil, nil, &p.to, &p.at)
	}
	p.from, p.before = *p.run(before), p.state(before)
	return p.h.placing(&p.from, &p.before, &p.to, &p.at)
}

// state is the lane's picked state.
func (p *programme) state(l *lane) state {
	c := p.column(l.from)
	for _, s := range c.states {
		if s.run == l.to-l.from && s.fingers == l.pick {
			return s
		}
	}
	panic("a lane without its state")
}

// placing writes down b, reached from a, but for its place and its fingers; a is nil
// before the first.
func (h *hand) placing(a *run, before *state, b *run, st *state) Placing {
	p := Placing{
		Order:      b.order,
		Cost:       st.own,
		Load:       b.load,
		Beyond:     b.stretch(st.fingers, h).beyond,
		Impossible: b.forced,
	}
	if a != nil {
		pr := h.pair(a, b)
		p.Change = pr.change(before, st)
		p.ChangeLoad = pr.load(p.Change, before, st, h)
		p.ChangeCost = pr.cost(p.Change, p.ChangeLoad, h)
	}
	return p
}

// sum adds up the placings.
func (s *Solution) sum() {
	s.Cost, s.MaxLoad = 0, 0
	for i := range s.Placings {
		p := &s.Placings[i]
		s.Cost = plus(s.Cost, plus(p.Cost, p.ChangeCost))
		s.MaxLoad = max(s.MaxLoad, p.Load, p.ChangeLoad)
	}
}

// rebuilt gives placing i as the programme saw it.
func (s *Solution) rebuilt(i int) (run, state) {
	p := &s.Placings[i]
	r := lone(s.Strokes[p.From], p.From, s.h)
	for r.to() < p.To {
		r, _ = r.extended(s.Strokes[r.to()+1], s.h)
	}
	var used fingers
	for _, list := range p.Fingers {
		for _, f := range list {
			if f > 0 {
				used |= 1 << (f - 1)
			}
		}
	}
	for _, st := range r.appendStates(nil, 0, s.h) {
		if st.fingers == used {
			return r, st
		}
	}
	panic("a placing without its state")
}

// Inside lists what placing i needs between its own strokes, in their order.
func (s *Solution) Inside(i int) []Need {
	p := &s.Placings[i]
	var all []Need
	for j := p.From; j < p.To; j++ {
		least, have := s.h.orders[p.Order].Least, s.Strokes[j+1].T-s.Strokes[j].T
		all = append(all, Need{Kind: OrderGap, Seconds: least, Have: have, Load: load(least, have), From: j, To: j + 1})
	}
	return all
}

// Needs lists what the change to placing i needs: first the change itself, then
// strings, then fingers. Empty for the first placing and after a gap.
func (s *Solution) Needs(i int) []Need {
	if i == 0 {
		return nil
	}
	a, from := s.rebuilt(i - 1)
	b, to := s.rebuilt(i)
	pr := s.h.pair(&a, &b)
	return pr.needs(s.Placings[i].Change, &from, &to, s.h)
}

// Spread is the distance between two strings of a placing.
type Spread struct {
	Low, High             int // the strings
	LowFinger, HighFinger int // their fingers
	Steps                 int // between them
	Beyond                int // of these, steps beyond comfortable
	Fits                  bool
}

// Spreads measures placing i: each neighbouring pair of strings from the lowest up,
// then, from three strings, the lowest and the highest. Fits is false only in an
// impossible placing.
func (s *Solution) Spreads(i int) []Spread {
	r, st := s.rebuilt(i)
	between := func(low, high int, span harp.Span) Spread {
		steps := r.strings[high] - r.strings[low]
		return Spread{r.strings[low], r.strings[high], st.on(low), st.on(high), steps, span.Beyond(steps), span.Fits(steps)}
	}
	var all []Spread
	for j := 1; j < r.k; j++ {
		all = append(all, between(j-1, j, s.Hand.Spans[st.on(j)][st.on(j-1)]))
	}
	if r.k >= 3 {
		all = append(all, between(0, r.k-1, s.Hand.Outer))
	}
	return all
}
