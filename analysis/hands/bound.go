package hands

import "math"

// CloserBound gives a cost that no way to share and to finger can be below, at least
// LowerBound and mostly much closer to Cost. The more ways to share are looked at a
// time, the closer, and the longer it takes: with 64 about five times as long as the
// solution itself.
func (s *TwoSolution) CloserBound(ways int) int64 {
	var sum int64
	for _, phrase := range s.sharing.solved {
		bound := phrase.bound
		if bound < phrase.plan.cost {
			t := &together{h: s.sharing.h, moments: phrase.moments}
			bound = min(phrase.plan.cost, max(bound, t.stretches(max(1, ways))))
		}
		sum = plus(sum, bound)
	}
	return sum
}

// stretches bounds a phrase from below: it is cut into stretches, from the end to the
// beginning, and what each costs at least by itself is added up. Placings that a cut goes
// through count on both sides by their strings.
func (t *together) stretches(ways int) int64 {
	var sum int64
	for to := len(t.moments); to > 0; {
		least, from := t.stretch(to, ways)
		sum, to = plus(sum, least), from
	}
	return sum
}

// stretch goes from a moment towards the beginning as long as that tells more: until the
// cheapest way kept is as dear as one that was dropped.
func (t *together) stretch(to, ways int) (least int64, from int) {
	made := newCells(t.h)
	defer made.spare()
	made.merge, made.open, made.sure = true, to < len(t.moments), true
	kept := []*beginning{{}}
	dropped := int64(math.MaxInt64)
	for from = to; from > 0 && least < dropped; from-- {
		made.forget()
		var more int64
		kept, more = t.extend(kept, from-1, made, choice{order: byBound, most: ways, far: mostCost, limit: mostCost})
		dropped = min(dropped, more)
		least = min(dropped, kept[0].certain())
		if (to-from)%sweepEvery == 0 {
			made.sweep(kept, t.moments[from-1].t)
		}
	}
	if from > 0 {
		return least, from
	}
	// Nothing comes before the first moment: all placings are whole.
	least = dropped
	for _, b := range kept {
		least = min(least, b.base()-b.under)
	}
	return least, 0
}
