package hands

import "fourfold/analysis/harp"

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

	solved []solved
	two    bool
	width  int
	h      *hand
}

// solved is a phrase with its answer.
type solved struct {
	moments []moment
	plan    *plan
	bound   int64
}

// SolveTwo shares the notes between two hands and fingers them. Phrases, between which
// neither hand plays for a second, have nothing to do with each other and are solved
// one by one. Up to eight instants a phrase is solved exactly, up to sixteen mostly; in
// longer ones the search keeps the best few ways at a time, and says how far from the
// best it can be at most. It never costs more than the staves as written.
func SolveTwo(w Written, profile harp.Hand) *TwoSolution { return SolveTwoQuickly(w, profile, width) }

// width is how many ways to share the search keeps at a time.
const width = 16

// SolveTwoQuickly is SolveTwo with a choice of how many ways to share a long phrase are
// kept at a time, at least one. Fewer than SolveTwo's sixteen take less time and cost a
// few per cent more: only phrases of up to eight instants are then solved exactly, and
// not those for which the few ways are known to cost least.
func SolveTwoQuickly(w Written, profile harp.Hand, width int) *TwoSolution {
	s := &TwoSolution{two: w.Two, width: max(1, width), h: newHand(profile)}
	return s.resolve(w)
}

// Resolve is SolveTwo for staves that are mostly those of an earlier solution, as after
// an edit: phrases at the beginning and the end that are the same, but for one exact
// shift in time, are taken over.
func (s *TwoSolution) Resolve(w Written) *TwoSolution { return s.resolve(w) }

func (s *TwoSolution) resolve(w Written) *TwoSolution {
	moments := w.moments(s.h)
	cut := phrases(moments, s.h)
	old := s.solved
	if w.Two != s.two {
		old = nil
	}
	head, tail := 0, 0
	for head < min(len(old), len(cut)) && samePhrase(old[head].moments, cut[head]) {
		head++
	}
	for tail < min(len(old), len(cut))-head && samePhrase(old[len(old)-1-tail].moments, cut[len(cut)-1-tail]) {
		tail++
	}
	var whole plan
	var bound int64
	var all []solved
	for i, phrase := range cut {
		var answer solved
		switch after := len(cut) - i; {
		case i < head:
			answer = old[i]
		case after <= tail:
			answer = old[len(old)-after]
		default:
			t := &together{h: s.h, moments: phrase, width: s.width}
			answer.bound = t.solve(w.Two)
			answer.plan = t.best
		}
		answer.moments = phrase
		all = append(all, answer)
		bound = plus(bound, answer.bound)
		whole.join(answer.plan)
	}
	next := whole.solution(moments, s.h)
	next.LowerBound, next.solved, next.two, next.width, next.h = bound, all, w.Two, s.width, s.h
	return next
}

// samePhrase says whether two phrases ask for the same, at times that are the same but
// for one exact shift.
func samePhrase(old, new []moment) bool {
	if len(old) != len(new) {
		return false
	}
	shift := new[0].t - old[0].t
	for i := range old {
		a, b := &old[i], &new[i]
		if !exactSum(a.t, shift, b.t) || len(a.shares) != len(b.shares) {
			return false
		}
		for n := range a.shares {
			if !a.shares[n].same(&b.shares[n]) {
				return false
			}
		}
	}
	return true
}

func (s *share) same(as *share) bool {
	return s.borrowed == as.borrowed &&
		s.stroke(int(Right), 0).same(as.stroke(int(Right), 0)) && s.stroke(int(Left), 0).same(as.stroke(int(Left), 0))
}

// phrases cuts the moments where nothing is plucked for so long that all hands start
// afresh, and no string is shared across.
func phrases(moments []moment, h *hand) [][]moment {
	var all [][]moment
	from := 0
	for i := range moments {
		if i+1 == len(moments) || moments[i+1].t-moments[i].t >= max(h.Afresh, h.SharedWithin)-sameTime {
			all = append(all, moments[from:i+1])
			from = i + 1
		}
	}
	return all
}

// plan is a way to share moments, and to cut the hands' strokes into placings.
type plan struct {
	chosen  []int    // by moment: which of its shares
	lengths [2][]int // by side and stroke: the length of the placing that begins there, or 0
	cost    int64
	odd     int
}

// worseThan says whether a plan of this cost and oddness is better.
func (p *plan) worseThan(cost int64, odd int) bool {
	return p.cost > cost || p.cost == cost && p.odd > odd
}

func (p *plan) join(next *plan) {
	p.chosen = append(p.chosen, next.chosen...)
	for side := range p.lengths {
		p.lengths[side] = append(p.lengths[side], next.lengths[side]...)
	}
}

// solution works a plan out.
func (p *plan) solution(moments []moment, h *hand) *TwoSolution {
	both := parts(moments, p.chosen)
	s := &TwoSolution{Borrowed: [2][]bool{both[Right].borrowed, both[Left].borrowed}}
	for side := range both {
		s.Hands[side] = both[side].solve(p.lengths[side], h)
	}
	s.SharedStrings = sharedStrings(both, h)
	s.Interlocks = int64(interlocks(s.Hands[Right].stays(), s.Hands[Left].stays())) * millionths(h.Interlocked)
	s.Cost = plus(plus(s.Hands[Right].Cost, s.Hands[Left].Cost), plus(s.SharedStrings, s.Interlocks))
	return s
}

// together is the search for the best way to share one phrase.
type together struct {
	h       *hand
	moments []moment
	width   int
	steps   int   // that are left for trying everything
	atLeast int64 // what no plan is below, as far as trying everything tells
	best    *plan
}

// solve finds the best plan, and gives a cost that no plan is below.
func (t *together) solve(two bool) int64 {
	if two {
		t.try(make([]int, len(t.moments))) // the first share is the written one
	}
	bound := t.beam()
	if t.mayTryAll(bound) && t.everything() {
		bound = t.best.cost
	}
	bound = max(bound, t.atLeast)
	return min(bound, t.best.cost)
}

// try works out one choice of shares, hand by hand, and keeps it if it is better than
// all before.
func (t *together) try(chosen []int) {
	p := &plan{chosen: chosen}
	for i, which := range chosen {
		p.odd += t.moments[i].shares[which].odd
	}
	s := p.solution(t.moments, t.h)
	for side, hand := range s.Hands {
		p.lengths[side] = hand.lengths()
	}
	p.cost = s.Cost
	t.keep(p)
}

// keep takes a plan if it is better than all before.
func (t *together) keep(p *plan) {
	if t.best == nil || t.best.worseThan(p.cost, p.odd) {
		t.best = p
	}
}

// lengths gives, for each stroke, the length of the placing that begins there, or 0.
func (s *Solution) lengths() []int {
	all := make([]int, len(s.Strokes))
	for _, p := range s.Placings {
		all[p.From] = p.To - p.From + 1
	}
	return all
}
