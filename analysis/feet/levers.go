package feet

import (
	"cmp"
	"math"
	"slices"

	"fourfold/analysis/harp"
)

// LeverTime is how long a hand is kept from the strings by one lever, in seconds.
// That a lever needs a free hand and moves one string by one semitone is published
// (web primers on lever harps); the time is common practice, no source.
const LeverTime = .35

// LeverDemand is one stroke on a string of a lever harp.
type LeverDemand struct {
	T      float64 // seconds
	String int
	Alter  int // semitones from the natural
}

// Hand is a hand, for levers.
type Hand int8

// The hands. On most harps the levers are nearer to the left hand: it is asked
// first (common practice, no source).
const (
	LeftHand Hand = iota
	RightHand
)

// String gives "left" or "right".
func (h Hand) String() string { return Foot(h).String() }

// Span is a stretch of time in seconds.
type Span struct{ From, To float64 }

// LeverMove is one lever raised or lowered. Times are seconds.
type LeverMove struct {
	String   int
	Up       bool    // raised: the string sounds a semitone higher
	Release  float64 // the last stroke that needs the lever as it was, or the start
	Deadline float64 // the first stroke that needs it moved
	Free     bool    // a hand is free for it
	Hand     Hand    // which; without meaning where none is free
	At, End  float64 // when; without a free hand, just before the deadline
	Demand   int     // which demand needs it, by its place in the list
}

// LeverPlan is what the levers must do.
type LeverPlan struct {
	Raised      []int       // strings whose levers are up at the start
	Moves       []LeverMove // in order of At
	Unreachable []int       // demands, by place, that neither lever position gives
	Clashes     [][]int     // demands, by place, that ask one string to be up and down in one instant
}

// LeverOptions is what the lever plan must know.
type LeverOptions struct {
	Start float64   // seconds: from when on levers may move
	Open  [7]int8   // alteration of each letter, C to B, with its lever down
	Free  [2][]Span // when the left and the right hand have nothing to play
}

// LeverOptionsOf gives the options of an instrument whose hands are free as given.
func LeverOptionsOf(i harp.Instrument, start float64, free [2][]Span) LeverOptions {
	return LeverOptions{Start: start, Open: i.Open, Free: free}
}

// Levers plans the levers: each string has its own, set before the piece as its
// first stroke needs it, and each move takes a free hand for LeverTime between
// two strokes. Moves that some order and choice of hands can place are all placed
// in knots of up to six; of a larger knot those with the first deadlines come
// first, and what then has no place is said not to be free.
func Levers(demands []LeverDemand, o LeverOptions) LeverPlan {
	var plan LeverPlan
	moves := plan.windows(demands, o)
	free := [2][]Span{gaps(o.Free[LeftHand]), gaps(o.Free[RightHand])}
	for _, knot := range leverKnots(moves) {
		free = placeLevers(knot, free)
	}
	plan.Moves = moves
	slices.SortStableFunc(plan.Moves, func(a, b LeverMove) int { return cmp.Compare(a.At, b.At) })
	return plan
}

// windows finds the moves in order of their deadlines, and what cannot be.
func (p *LeverPlan) windows(demands []LeverDemand, o LeverOptions) []LeverMove {
	order := make([]int, len(demands))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(demands[i].T, demands[j].T) })
	type state struct {
		up     bool
		last   float64
		demand int
	}
	at := map[int]state{}
	var moves []LeverMove
	for _, i := range order {
		d := demands[i]
		raised := d.Alter - int(o.Open[Note{String: d.String}.Letter()])
		if raised < 0 || raised > 1 {
			p.Unreachable = append(p.Unreachable, i)
			continue
		}
		was, known := at[d.String]
		up := raised == 1
		switch {
		case !known && up:
			p.Raised = append(p.Raised, d.String)
		case known && was.up != up && d.T-was.last <= tolerance:
			p.Clashes = append(p.Clashes, []int{was.demand, i})
			continue
		case known && was.up != up:
			moves = append(moves, LeverMove{String: d.String, Up: up, Release: was.last, Deadline: d.T, Demand: i})
		}
		at[d.String] = state{up, d.T, i}
	}
	slices.Sort(p.Raised)
	return moves
}

// gaps gives spans in order of time, without those too short for a lever.
func gaps(free []Span) []Span {
	var long []Span
	for _, s := range free {
		if s.To-s.From >= LeverTime-tolerance {
			long = append(long, s)
		}
	}
	slices.SortFunc(long, func(a, b Span) int { return cmp.Compare(a.From, b.From) })
	return long
}

// leverKnots parts moves, in order of deadline, where no window reaches across.
func leverKnots(moves []LeverMove) [][]LeverMove {
	var knots [][]LeverMove
	end, opens := len(moves), math.Inf(1)
	for i := len(moves) - 1; i >= 0; i-- {
		opens = min(opens, moves[i].Release)
		if i == 0 || opens >= moves[i-1].Deadline-tolerance {
			knots = append(knots, moves[i:end])
			end = i
		}
	}
	slices.Reverse(knots)
	return knots
}

// mostLevers is how many levers of a knot are tried in all orders.
const mostLevers = 6

// placeLevers places the moves of a knot and gives what is left of the hands' time.
func placeLevers(knot []LeverMove, free [2][]Span) [2][]Span {
	if len(knot) <= mostLevers {
		if left, ok := tryLevers(knot, free); ok {
			return left
		}
	}
	for i := range knot {
		if left, ok := tryLevers(knot[i:i+1], free); ok {
			free = left
			continue
		}
		knot[i].At, knot[i].End = knot[i].Deadline-LeverTime, knot[i].Deadline
	}
	return free
}

// tryLevers places all of the moves, or none.
func tryLevers(moves []LeverMove, free [2][]Span) ([2][]Span, bool) {
	open := -1
	for i := range moves {
		if moves[i].Free {
			continue
		}
		open = i
		for _, h := range []Hand{LeftHand, RightHand} {
			at, left, ok := leverSlot(free[h], moves[i])
			if !ok {
				continue
			}
			rest := free
			rest[h] = left
			moves[i].Free, moves[i].Hand, moves[i].At, moves[i].End = true, h, at, at+LeverTime
			if all, ok := tryLevers(moves, rest); ok {
				return all, true
			}
			moves[i].Free = false
		}
	}
	return free, open < 0
}

// leverSlot finds the first time at which a hand can make the move, and what is
// left of its free time.
func leverSlot(free []Span, m LeverMove) (at float64, left []Span, ok bool) {
	for i, s := range free {
		at = math.Max(s.From, m.Release)
		if at+LeverTime <= math.Min(s.To, m.Deadline)+tolerance {
			left = slices.Concat(free[:i], gaps([]Span{{s.From, at}, {at + LeverTime, s.To}}), free[i+1:])
			return at, left, true
		}
	}
	return 0, nil, false
}
