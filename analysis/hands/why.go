package hands

// Why says why a placing ends where it does.
type Why uint8

// The reasons, in the order in which the first that holds is given.
const (
	WhyEnd       Why = iota // the music ends
	WhyRest                 // the hand has a second or more before the next stroke
	WhyAlone                // the stroke cannot be taken and stands alone
	WhyNextAlone            // the next stroke cannot be taken and stands alone
	WhyRestruck             // the next stroke has a string that is used already
	WhyFifth                // the next stroke would make more than four strings
	WhyTooWide              // with the next stroke, lowest and highest lie too far apart
	WhyFingers              // no fingering reaches, though lowest and highest could be
	WhyPrinted              // no fingering obeys the printed fingers of both
	WhyTurn                 // with the next stroke, the placing would change direction
	WhyCheaper              // it could go on, but another grouping is easier
	whyEnd
)

var whyNames = [whyEnd]string{
	"the music ends", "a rest or a long note frees the hand", "it cannot be taken and stands alone",
	"the next notes cannot be taken and stand alone", "a string is used already", "a fifth note",
	"too wide for the hand", "no fingers reach", "the printed fingers part here", "the direction turns", "another grouping is easier",
}

func (w Why) String() string { return whyNames[w] }

// Why says why placing i ends where it does, by trying to go on with the next stroke.
func (s *Solution) Why(i int) Why {
	p := &s.Placings[i]
	if p.To+1 == len(s.Strokes) {
		return WhyEnd
	}
	r, _ := s.rebuilt(i)
	next := s.Strokes[p.To+1]
	if next.T-r.last() >= s.h.Afresh-sameTime {
		return WhyRest
	}
	if r.forced {
		return WhyAlone
	}
	after := lone(next, 0, s.h)
	if after.forced {
		return WhyNextAlone
	}
	for _, string := range next.Strings {
		if r.has(string) {
			return WhyRestruck
		}
	}
	longer, ok := r.extended(next, s.h)
	switch {
	case !ok:
		return WhyFifth
	case !s.h.Outer.Fits(longer.high() - longer.low()):
		return WhyTooWide
	case !longer.fits(s.h):
		return WhyFingers
	case r.obeyed(s.h) && after.obeyed(s.h) && !longer.obeyed(s.h):
		return WhyPrinted
	case longer.order == Turned && r.order != Turned:
		return WhyTurn
	default:
		return WhyCheaper
	}
}

// obeyed says whether some fingering within the hand's reach is as printed.
func (r *run) obeyed(h *hand) bool {
	for _, f := range fingerings[r.k] {
		as := r.stretch(f, h).fits
		for j := range r.k {
			as = as && (r.printed[j] == 0 || f.on(j) == int(r.printed[j]))
		}
		if as {
			return true
		}
	}
	return false
}
