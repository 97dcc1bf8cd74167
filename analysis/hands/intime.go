package hands

import "slices"

// timely leaves out the ways to share that give a hand notes that it has no time to come
// to, or to go on from: notes so far from what it plays before or after in any way to
// share that only a leap gets there, in less time than any leap takes. It goes from the
// first moment to the last, and what is left out no longer counts for those after.
func timely(moments []moment, h *hand) {
	for i := range moments {
		if m := &moments[i]; len(m.shares) > 1 {
			m.shares = slices.DeleteFunc(m.shares, func(s share) bool { return tooLate(moments, i, &s, h) })
		}
	}
}

// tooLate says whether a share of moment i gives a hand notes for which it has no time.
func tooLate(moments []moment, i int, s *share, h *hand) bool {
	for side := range s.strings {
		if s.borrowed[side] && !(comesTo(moments, i, s, side, h) && goesOn(moments, i, s, side, h)) {
			return true
		}
	}
	return false
}

// comesTo says whether a hand has time for what a share of moment i gives it, as far as
// what it plays before goes.
func comesTo(moments []moment, i int, s *share, side int, h *hand) bool {
	for j := i - 1; j >= 0 && moments[i].t-moments[j].t < h.Leap.Least-sameTime; j-- {
		if near, rests := moments[j].near(s, side, h); near || !rests {
			return near
		}
	}
	return true
}

// goesOn says the same of what it plays after.
func goesOn(moments []moment, i int, s *share, side int, h *hand) bool {
	for j := i + 1; j < len(moments) && moments[j].t-moments[i].t < h.Leap.Least-sameTime; j++ {
		if near, rests := moments[j].near(s, side, h); near || !rests {
			return near
		}
	}
	return true
}

// near says whether some way to share the moment has the hand near enough to the strings
// of another share to get there without a leap: where both may lie in one placing, or
// fingers cross. And whether some way has it rest.
func (m *moment) near(s *share, side int, h *hand) (near, rests bool) {
	for i := range m.shares {
		strings := m.shares[i].strings[side]
		if len(strings) == 0 {
			rests = true
		} else if hull(s.strings[side], strings) <= h.Outer.Most+h.CrossReach {
			return true, rests
		}
	}
	return false, rests
}
