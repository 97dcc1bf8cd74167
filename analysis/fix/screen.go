package fix

import (
	"fourfold/analysis/hands"
)

// promising is a quick test that no fix of the hands' findings fails: after the
// change the strokes at fault, taken by themselves, can be played, and the other
// hand can take what it is given. It spares most candidates the way through the
// text.
func (s *site) promising(c candidate) bool {
	const tolerance = 1e-9
	if s.hand == nil || c.touched() == 0 {
		return true
	}
	f := s.finding
	var left, given []hands.Stroke
	for i, plucks := range s.hand.Plucks {
		after, gone := hands.Stroke{T: s.hand.Strokes[i].T}, hands.Stroke{T: s.hand.Strokes[i].T}
		for _, pl := range plucks {
			at, ok := s.spots[pl.Note]
			switch p, moved := c.pitch[at]; {
			case ok && moved:
				after.Strings = append(after.Strings, p.str)
			case ok && c.drop[at]:
			case ok && c.give[at]:
				gone.Strings = append(gone.Strings, pl.Note.String)
			default:
				after.Strings = append(after.Strings, pl.Note.String)
			}
		}
		if len(after.Strings) > 0 && i >= f.From && i <= f.To {
			left = append(left, after)
		}
		if len(gone.Strings) > 0 {
			given = append(given, gone)
		}
	}
	left = hands.Tidy(left)
	switch f.Rule {
	case reachName, tooManyName:
		for _, stroke := range left {
			if !hands.Reachable(stroke.Strings, s.set.Hand) {
				return false
			}
		}
	case stretchName:
	case tightName:
		if hands.Ceiling(left, s.set.Hand) > s.set.Hand.Tight+tolerance {
			return false
		}
	default:
		if f.Speed != nil && hands.Ceiling(left, s.set.Hand) > 1+tolerance {
			return false
		}
	}
	return len(given) == 0 || s.takes(given)
}

// takes says whether the other hand can take strokes beside its own without a need
// that is tight.
func (s *site) takes(given []hands.Stroke) bool {
	const tolerance = 1e-9
	if s.other == nil {
		return false
	}
	from, to := given[0].T-s.set.Hand.Afresh, given[len(given)-1].T+s.set.Hand.Afresh
	all := append([]hands.Stroke{}, given...)
	for _, stroke := range s.other.Strokes {
		if stroke.T > from && stroke.T < to {
			all = append(all, stroke)
		}
	}
	all = hands.Tidy(all)
	for _, stroke := range all {
		if !hands.Reachable(stroke.Strings, s.set.Hand) {
			return false
		}
	}
	return hands.Ceiling(all, s.set.Hand) <= s.set.Hand.Tight+tolerance
}

// speedRules are those of a hand that has no time.
func speedRules(rule string) bool {
	return anyOf(turnName, newPlacingName, restrikeName, tightName)(rule)
}

// handRules are all that a hand can be asked too much for.
func handRules(rule string) bool {
	return speedRules(rule) || anyOf(reachName, tooManyName, stretchName)(rule)
}

func octaveRules(rule string) bool {
	return speedRules(rule) || rule == rangeName || rule == undiscedName
}

// feetRules are answered by writing a note on another string that sounds it.
func feetRules(rule string) bool {
	return len(rule) > 5 && rule[:5] == "feet/" || rule == undiscedName
}

func hasSpeed(rule string) bool { return handRules(rule) || feetRules(rule) }
