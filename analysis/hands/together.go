package hands

import "fourfold/analysis/harp"

// Together is what two hands cost as they are fingered, each by itself and what they
// cost each other. Either may be nil.
func Together(right, left *Solution) int64 {
	var both [2]part
	var at [2][]stay
	var cost int64
	var h *hand
	for side, s := range [2]*Solution{right, left} {
		if s == nil {
			continue
		}
		h = s.h
		both[side].strokes, at[side] = s.Strokes, s.stays()
		cost = plus(cost, s.Cost)
	}
	if h == nil {
		return 0
	}
	return plus(cost, plus(sharedStrings(both, h), int64(interlocks(at[Right], at[Left]))*millionths(h.Interlocked)))
}

// LeastTogether gives a cost that no way to share the notes is below, looking at some
// ways at a time; see CloserBound.
func LeastTogether(w Written, profile harp.Hand, ways int) int64 {
	h := newHand(profile)
	var sum int64
	for _, phrase := range phrases(w.moments(h), h) {
		t := &together{h: h, moments: phrase}
		sum = plus(sum, t.stretches(max(1, ways)))
	}
	return sum
}
