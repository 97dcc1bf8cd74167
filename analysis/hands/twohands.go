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

	sharing *Sharing
}

// Sharing is a way to share the notes between two hands that are not yet fingered.
type Sharing struct {
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
// few per cent more: short phrases are then not solved exactly either.
func SolveTwoQuickly(w Written, profile harp.Hand, width int) *TwoSolution {
	return ShareQuickly(w, profile, width).Solve()
}

// ShareQuickly is SolveTwoQuickly for somebody who first wants to know whether anything
// changes hands.
func ShareQuickly(w Written, profile harp.Hand, width int) *Sharing {
	return shareQuickly(w, newHand(profile), width)
}

// ShareQuickly is hands.ShareQuickly; what the solver remembers helps to finger.
func (s *Solver) ShareQuickly(w Written, width int) *Sharing { return shareQuickly(w, s.h, width) }

func shareQuickly(w Written, h *hand, width int) *Sharing {
	s := &Sharing{two: w.Two, width: max(1, width), h: h}
	return s.again(w)
}

// Resolve is SolveTwo for staves that are mostly those of an earlier solution, as after
// an edit: phrases at the beginning and the end that are the same, but for one exact
// shift in time, are taken over.
func (s *TwoSolution) Resolve(w Written) *TwoSolution { return s.sharing.again(w).Solve() }

// again shares other staves, and takes over what is the same.
func (s *Sharing) again(w Written) *Sharing {
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
	next := &Sharing{two: w.Two, width: s.width, h: s.h}
	for i, phrase := range cut {
		var answer solved
		switch after := len(cut) - i; {
		case i < head:
			answer = old[i]
		case after <= tail:
			answer = old[len(old)-after]
		default:
			t := &together{h: s.h, moments: phrase, width: s.width, two: w.Two}
			answer.bound = t.solve()
			answer.plan = t.best
		}
		answer.moments = phrase
		next.solved = append(next.solved, answer)
	}
	return next
}

// Strokes are what each hand plays, by Side.
func (s *Sharing) Strokes() (all [2][]Stroke) {
	for _, phrase := range s.solved {
		both := parts(phrase.moments, phrase.plan.chosen)
		for side := range all {
			all[side] = append(all[side], both[side].strokes...)
		}
	}
	return all
}

// Solve fingers both hands.
func (s *Sharing) Solve() *TwoSolution {
	two := &TwoSolution{sharing: s}
	for side := range two.Hands {
		two.Hands[side] = &Solution{Hand: s.h.Hand, h: s.h}
	}
	for _, phrase := range s.solved {
		phrase.plan.finger(phrase.moments, s.h)
		two.join(phrase)
	}
	return two
}

// join adds a phrase, which has nothing to do with those before.
func (s *TwoSolution) join(phrase solved) {
	p := phrase.plan
	both := parts(phrase.moments, p.chosen)
	for side, hand := range s.Hands {
		from := len(hand.Strokes)
		hand.Strokes = append(hand.Strokes, both[side].strokes...)
		s.Borrowed[side] = append(s.Borrowed[side], both[side].borrowed...)
		for _, placing := range p.hands[side].Placings {
			if placing.From == 0 && from > 0 {
				placing.Change = Afresh
			}
			placing.From, placing.To = placing.From+from, placing.To+from
			hand.Placings = append(hand.Placings, placing)
		}
		hand.Cost = plus(hand.Cost, p.hands[side].Cost)
		hand.MaxLoad = max(hand.MaxLoad, p.hands[side].MaxLoad)
	}
	s.Cost, s.LowerBound = plus(s.Cost, p.cost), plus(s.LowerBound, phrase.bound)
	s.SharedStrings, s.Interlocks = plus(s.SharedStrings, p.shared), plus(s.Interlocks, p.interlocks)
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
	lengths [2][]int // by side and stroke: the length of the placing that begins there, or 0; nil for the cheapest
	cost    int64
	odd     int
	// What is shared and interlocked costs, and how the hands play; nil until it is
	// worked out.
	shared, interlocks int64
	hands              [2]*Solution
}

// worseThan says whether a plan of this cost and oddness is better.
func (p *plan) worseThan(cost int64, odd int) bool {
	return p.cost > cost || p.cost == cost && p.odd > odd
}

// finger works out how the hands play, if that is not done yet, and what they cost each
// other.
func (p *plan) finger(moments []moment, h *hand) {
	if p.hands[Right] != nil {
		return
	}
	both := parts(moments, p.chosen)
	for side := range both {
		p.hands[side] = both[side].solve(p.lengths[side], h)
	}
	p.interlocks = int64(interlocks(p.hands[Right].stays(), p.hands[Left].stays())) * millionths(h.Interlocked)
	p.cost = plus(plus(p.hands[Right].Cost, p.hands[Left].Cost), plus(p.shared, p.interlocks))
}

// together is the search for the best way to share one phrase.
type together struct {
	h       *hand
	moments []moment
	width   int
	two     bool  // the first share of each moment is the written one
	steps   int   // that are left for trying everything
	atLeast int64 // what no plan is below, as far as trying everything tells
	best    *plan
}

// solve finds the best plan, and gives a cost that no plan is below.
func (t *together) solve() int64 {
	bound := t.beam()
	if t.mayTryAll() && t.everything() {
		bound = t.best.cost
	}
	bound = max(bound, t.atLeast)
	return min(bound, t.best.cost)
}

// try keeps a way to share if it is better than all before. By themselves the hands
// cost what is known; how they play is worked out only where they may interlock.
func (t *together) try(b *beginning) {
	if t.best != nil && !t.best.worseThan(b.base(), b.odd) {
		return
	}
	p := &plan{chosen: b.chosen(), cost: b.base(), odd: b.odd, shared: b.shared}
	if mayInterlock(t.moments, p.chosen, t.h) {
		p.finger(t.moments, t.h)
	}
	t.keep(p)
}

// keep takes a plan if it is better than all before.
func (t *together) keep(p *plan) {
	if t.best == nil || t.best.worseThan(p.cost, p.odd) {
		t.best = p
	}
}

// mayInterlock says whether the right hand has a stroke below one of the left that is so
// near in time that their placings may overlap: a placing has four strokes at most, each
// of them within the time of a fresh start.
func mayInterlock(moments []moment, chosen []int, h *hand) bool {
	near := 2 * (mostStrings - 1) * h.Afresh
	for i := range moments {
		right := moments[i].shares[chosen[i]].strings[Right]
		if len(right) == 0 {
			continue
		}
		top := right[len(right)-1]
		below := func(j int) bool {
			left := (Stroke{Strings: moments[j].shares[chosen[j]].strings[Left]}).counted()
			return len(left) > 0 && top < left[0]
		}
		for j := i; j < len(moments) && moments[j].t-moments[i].t <= near; j++ {
			if below(j) {
				return true
			}
		}
		for j := i - 1; j >= 0 && moments[i].t-moments[j].t <= near; j-- {
			if below(j) {
				return true
			}
		}
	}
	return false
}
