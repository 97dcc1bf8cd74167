package hands

// What a way to share costs at least can be told before it is worked out: from the
// hands' lists that it stands before, from what one hand can take at all, and from the
// time that it has to the next stroke. Most ways are dropped for that alone.

// floor is what is known of a hand's list before it is worked out: what it costs at
// least, and what it costs at least whatever comes before.
type floor struct{ best, least int64 }

// floorOf is that of a list with a stroke of a share put before it.
func (c *cells) floorOf(l list, s *share, side int, now float64) floor {
	strings := s.strings[side]
	if len(strings) == 0 {
		return floor{l.best(), l.least()}
	}
	piece := c.h.piece(min(len(strings), mostStrings))
	if l.cell == nil && c.open && !s.forced[side] {
		return floor{piece, piece}
	}
	known := floor{best: piece, least: piece}
	switch own := c.h.alone(s.forced[side], s.borrowed[side]); {
	case l.cell == nil:
		known.best = own
	case c.h.joins(s, side, l.cell, now):
		known.least = plus(piece, l.cell.least)
		known.best = known.least
	default:
		known.best = plus(own, plus(c.h.leastChange(s, side, l.cell, now), l.cell.best))
		known.least = min(known.best, plus(piece, l.cell.least))
	}
	return floor{plus(known.best, l.more), plus(known.least, l.more)}
}

// alone is what a stroke costs at least as a placing of its own.
func (h *hand) alone(forced, borrowed bool) int64 {
	cost := h.Placing
	if forced {
		cost += h.Impossible
	}
	if borrowed {
		cost += h.OtherStaff
	}
	return millionths(cost)
}

// joins says whether a stroke may be in one placing with the one that follows.
func (h *hand) joins(s *share, side int, next *cell, now float64) bool {
	return !s.forced[side] && !next.runs[0].forced && len(s.strings[side])+next.runs[0].k <= mostStrings &&
		next.stroke.T-now < h.Afresh-sameTime && hull(s.strings[side], next.stroke.Strings) <= h.Outer.Most
}

// leastChange is what it costs at least to go from a stroke that is a placing of its own
// to the next stroke: only a hand that stays where it is has less than a leap.
func (h *hand) leastChange(s *share, side int, next *cell, now float64) int64 {
	have := next.stroke.T - now
	if have >= h.Afresh-sameTime {
		return 0
	}
	least := millionths(h.Leap.Cost + h.excess(load(h.Leap.Least, have)))
	if hull((Stroke{Strings: s.strings[side]}).counted(), next.stroke.counted()) > h.Outer.Most {
		return least
	}
	return min(least, millionths(min(h.SamePlace.Cost, h.SameStrings)+h.excess(load(h.SamePlace.Least, have))))
}

// hull is how far apart the outermost of all the strings are.
func hull(a, b []int) int {
	return max(a[len(a)-1], b[len(b)-1]) - min(a[0], b[0])
}
