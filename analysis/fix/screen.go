package fix

import (
	"fourfold/analysis/hands"
	"fourfold/parser/score"
)

// promising is a quick test that no fix of the hands' findings fails: after the
// change the strokes at fault can be played, and the other hand can take what it is
// given. It spares most candidates the way through the text.
func (s *site) promising(c candidate) bool {
	if s.hand == nil || c.touched() == 0 {
		return true
	}
	all, given := s.after(c.change)
	if len(given) > 0 && !s.takes(given) {
		return false
	}
	from, to := s.hand.Strokes[s.finding.From].T, s.hand.Strokes[s.finding.To].T
	fault := between(all, from, to)
	switch s.finding.Rule {
	case reachName, tooManyName:
		for _, stroke := range fault {
			if !hands.Reachable(stroke.Strings, s.set.Hand) {
				return false
			}
		}
	case tightName:
		if hands.Ceiling(fault, s.set.Hand) > s.set.Hand.Tight+tolerance {
			return false
		}
	case turnName, newPlacingName, restrikeName:
		if hands.Ceiling(fault, s.set.Hand) > 1+tolerance || !s.eases(all) {
			return false
		}
	}
	return true
}

const tolerance = 1e-9

// after gives the hand's strokes after a change, and those that it gives away.
func (s *site) after(c change) (all, given []hands.Stroke) {
	for i, plucks := range s.hand.Plucks {
		stays, goes := hands.Stroke{T: s.hand.Strokes[i].T}, hands.Stroke{T: s.hand.Strokes[i].T}
		for _, pl := range plucks {
			at, ok := s.spots[pl.Note]
			switch p, moved := c.pitch[at]; {
			case ok && moved:
				stays.Strings = append(stays.Strings, p.str)
			case ok && c.drop[at]:
			case ok && c.give[at]:
				goes.Strings = append(goes.Strings, pl.Note.String)
			default:
				stays.Strings = append(stays.Strings, pl.Note.String)
			}
		}
		if len(stays.Strings) > 0 {
			all = append(all, stays)
		}
		if len(goes.Strings) > 0 {
			given = append(given, goes)
		}
	}
	return hands.Tidy(all), given
}

// between gives the strokes of a stretch of time.
func between(strokes []hands.Stroke, from, to float64) (out []hands.Stroke) {
	for _, stroke := range strokes {
		if stroke.T >= from-tolerance && stroke.T <= to+tolerance {
			out = append(out, stroke)
		}
	}
	return out
}

// eases says whether the hand, playing other strokes, is overloaded at fewer places
// in the bars of the finding and beside them.
func (s *site) eases(strokes []hands.Stroke) bool {
	from := s.part.Timeline.Seconds(max(1, s.finding.Bar-1), score.Zero)
	to := s.part.Timeline.Seconds(s.finding.EndBar+2, score.Zero)
	if s.overloads < 0 {
		s.overloads = s.part.Overloads(s.hand, s.hand.Strokes, from, to)
	}
	return s.part.Overloads(s.hand, strokes, from, to) < s.overloads
}

// takes says whether the other hand can take strokes beside its own without a need
// that is tight.
func (s *site) takes(given []hands.Stroke) bool {
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
	return speedRules(rule) || anyOf(rangeName, undiscedName, lowName, buzzName)(rule)
}

// feetRules are answered by writing a note on another string that sounds it.
func feetRules(rule string) bool {
	return len(rule) > 5 && rule[:5] == "feet/" || rule == undiscedName
}

func hasSpeed(rule string) bool { return handRules(rule) || feetRules(rule) || rule == tremoloName }
