package hands

import (
	"fmt"
	"math"
	"slices"

	"fourfold/analysis/harp"
)

// The twin for two hands: every way to deal the notes, every way to cut each hand's
// strokes into placings, every pair of such cuts. Only fingers inside given cuts are
// chosen by a chain of minima.

type twinCut struct {
	cost   int64
	first  []float64
	last   []float64
	lowest []int
	top    []int
}

// twinCuts gives every way to cut the strokes into placings with its cheapest cost.
func twinCuts(strokes []Stroke, foreign []map[int]bool, h harp.Hand) []twinCut {
	var all []twinCut
	var on func(at int, ends []twinPlacing, costs []int64, so twinCut)
	on = func(at int, ends []twinPlacing, costs []int64, so twinCut) {
		if at == len(strokes) {
			so.cost = 0
			if len(costs) > 0 {
				so.cost = slices.Min(costs)
			}
			all = append(all, so)
			return
		}
		for to := at; to < len(strokes); to++ {
			placings := twinPlacings(strokes, at, to, h)
			if len(placings) == 0 {
				continue
			}
			var next []int64
			for _, p := range placings {
				own, _ := p.own(h)
				borrows := false
				for i, s := range p.strokes {
					for _, string := range s.Strings {
						borrows = borrows || foreign[at+i][string]
					}
				}
				if borrows {
					own += int64(math.Round(h.OtherStaff * 1e6))
				}
				best := int64(math.MaxInt64)
				for i, a := range ends {
					_, change, _ := twinChange(a, p, h)
					best = min(best, costs[i]+change)
				}
				if len(ends) == 0 {
					best = 0
				}
				next = append(next, best+own)
			}
			p := placings[0]
			on(to+1, placings, next, twinCut{
				first:  append(slices.Clone(so.first), strokes[at].T),
				last:   append(slices.Clone(so.last), strokes[to].T),
				lowest: append(slices.Clone(so.lowest), p.lowest()),
				top:    append(slices.Clone(so.top), p.highest()),
			})
		}
	}
	on(0, nil, nil, twinCut{})
	return all
}

// twinTwo is the least cost of both hands together.
func twinTwo(w Written, h harp.Hand) int64 {
	type instant struct {
		t       float64
		written [2]map[int]bool
		all     []int
		printed map[int]int
	}
	var instants []instant
	for side, strokes := range w.Staves {
		for _, s := range strokes {
			at := slices.IndexFunc(instants, func(i instant) bool { return i.t == s.T })
			if at < 0 {
				at = len(instants)
				instants = append(instants, instant{t: s.T, written: [2]map[int]bool{{}, {}}, printed: map[int]int{}})
			}
			for j, string := range s.Strings {
				if s.Printed != nil && instants[at].printed[string] == 0 {
					instants[at].printed[string] = s.Printed[j]
				}
				instants[at].written[side][string] = true
				if !slices.Contains(instants[at].all, string) {
					instants[at].all = append(instants[at].all, string)
				}
			}
		}
	}
	slices.SortFunc(instants, func(a, b instant) int {
		if a.t < b.t {
			return -1
		}
		return 1
	})
	known := map[string][]twinCut{}
	best := int64(math.MaxInt64)
	bound := func(in *instant, side, string int) bool {
		for _, s := range w.Bound[side] {
			if s.T == in.t && slices.Contains(s.Strings, string) {
				return true
			}
		}
		return false
	}
	// taken says whether the string is one of the other hand's.
	taken := func(in *instant, side, string int) bool { return !in.written[side][string] && !bound(in, side, string) }
	// ways lists how an instant's strings may go to the hands.
	ways := func(in *instant) (all [][2][]int) {
		slices.Sort(in.all)
		give := func(cut [2][]int) {
			// A mark gives its note to one hand, wherever the cut is.
			var hands [2][]int
			for side := range cut {
				for _, s := range cut[side] {
					if to := 1 - side; bound(in, to, s) {
						hands[to] = append(hands[to], s)
					} else {
						hands[side] = append(hands[side], s)
					}
				}
			}
			for side := range hands {
				slices.Sort(hands[side])
				hands[side] = slices.Compact(hands[side])
			}
			for side := range hands {
				more := slices.ContainsFunc(hands[side], func(s int) bool { return taken(in, side, s) })
				if w.Spared && more && twinAlone(Stroke{T: in.t, Strings: hands[side]}, h) {
					return
				}
			}
			all = append(all, hands)
		}
		free := w.Within == nil
		for _, within := range w.Within {
			free = free || in.t >= within.From && in.t <= within.To
		}
		for low := 0; low <= len(in.all) && free; low++ {
			give([2][]int{in.all[low:], in.all[:low]})
		}
		if w.Two || !free {
			var hands [2][]int
			for side := range hands {
				for s := range in.written[side] {
					hands[side] = append(hands[side], s)
				}
				slices.Sort(hands[side])
			}
			give(hands)
		}
		return all
	}
	options := make([][][2][]int, len(instants))
	for i := range instants {
		options[i] = ways(&instants[i])
	}
	// late says whether a hand has no time for what it is given: going on from there, in
	// less time than a leap takes, it must play what only a leap gets to.
	late := func(i int, strings []int, side, step int) bool {
		for j := i + step; j >= 0 && j < len(instants); j += step {
			if math.Abs(instants[j].t-instants[i].t) >= h.Leap.Least-1e-9 {
				return false
			}
			rests := false
			for _, way := range options[j] {
				if len(way[side]) == 0 {
					rests = true
					continue
				}
				both := slices.Concat(strings, way[side])
				if slices.Max(both)-slices.Min(both) <= h.Outer.Most+h.CrossReach {
					return false
				}
			}
			if !rests {
				return true
			}
		}
		return false
	}
	for i := range instants {
		if in := &instants[i]; w.Spared && len(options[i]) > 1 {
			options[i] = slices.DeleteFunc(options[i], func(way [2][]int) bool {
				for side, strings := range way {
					borrows := slices.ContainsFunc(twinTop(Stroke{Strings: strings}), func(s int) bool { return w.Named && taken(in, side, s) })
					if borrows && (late(i, strings, side, -1) || late(i, strings, side, 1)) {
						return true
					}
				}
				return false
			})
		}
	}
	var deal func(i int, strokes [2][]Stroke, foreign [2][]map[int]bool)
	deal = func(i int, strokes [2][]Stroke, foreign [2][]map[int]bool) {
		if i == len(instants) {
			best = min(best, twinBest(strokes, foreign, known, best, h))
			return
		}
		in := &instants[i]
		for _, hands := range options[i] {
			next, nextForeign := strokes, foreign
			for side := range hands {
				if len(hands[side]) == 0 {
					continue
				}
				others := map[int]bool{}
				for _, s := range hands[side] {
					others[s] = w.Named && taken(in, side, s)
				}
				var printed []int
				for _, s := range hands[side] {
					printed = append(printed, in.printed[s])
				}
				next[side] = append(slices.Clone(strokes[side]), Stroke{T: in.t, Strings: hands[side], Printed: printed})
				nextForeign[side] = append(slices.Clone(foreign[side]), others)
			}
			deal(i+1, next, nextForeign)
		}
	}
	deal(0, [2][]Stroke{}, [2][]map[int]bool{})
	return best
}

// twinBest is the least cost of both hands' strokes below another cost.
func twinBest(strokes [2][]Stroke, foreign [2][]map[int]bool, known map[string][]twinCut, best int64, h harp.Hand) int64 {
	var cuts [2][]twinCut
	for side := range cuts {
		key := fmt.Sprint(side, strokes[side])
		if _, ok := known[key]; !ok {
			known[key] = twinCuts(strokes[side], foreign[side], h)
		}
		cuts[side] = known[key]
	}
	shared := twinShared(strokes, h)
	for _, r := range cuts[0] {
		for _, l := range cuts[1] {
			cost := shared + r.cost + l.cost
			if cost >= best {
				continue
			}
			for x := range r.first {
				for y := range l.first {
					if r.first[x] <= l.last[y]+1e-9 && l.first[y] <= r.last[x]+1e-9 && r.top[x] < l.lowest[y] {
						cost += int64(math.Round(h.Interlocked * 1e6))
					}
				}
			}
			best = min(best, cost)
		}
	}
	return best
}

// twinShared counts the pairs of strikes of one string by both hands.
func twinShared(strokes [2][]Stroke, h harp.Hand) int64 {
	cost := int64(0)
	for _, r := range strokes[0] {
		for _, l := range strokes[1] {
			for _, string := range twinTop(r) {
				if !slices.Contains(twinTop(l), string) || math.Abs(r.T-l.T) >= h.SharedWithin-1e-9 {
					continue
				}
				between := false
				for _, other := range slices.Concat(strokes[0], strokes[1]) {
					inside := other.T > min(r.T, l.T) && other.T < max(r.T, l.T)
					between = between || inside && slices.Contains(twinTop(other), string)
				}
				if !between {
					cost += int64(math.Round(h.SharedString * 1e6))
				}
			}
		}
	}
	return cost
}
